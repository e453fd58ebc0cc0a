//! Thermal bridges against published and exact values, and the order in which the error falls.

mod bridge_reading;

use bridge_reading::Worked;
use thermal_bridge::{Accuracy, Grading, Point, Solution, solve};

fn fine() -> Accuracy {
    Accuracy {
        flow_change: 2e-4,
        factor_change: 2e-4,
        most_halvings: 5,
        most_nodes: 200_000,
        grading: Grading::default(),
    }
}

fn answer(case: &Worked, solution: &Solution, what: &str) -> f64 {
    let coupling = || solution.coupling(0, 1).unwrap().as_w_per_mk();
    if let Some(name) = what.strip_prefix("temperature at ") {
        let points = case.points.as_ref().expect("points");
        let point = points
            .iter()
            .find(|p| p.name == name)
            .expect("a point of that name");
        let place = Point::from_mm(point.x_mm, point.y_mm);
        return solution.temperature_at(place).unwrap().as_celsius();
    }
    match what {
        "heat flow" => solution.flow(0).unwrap().as_w_per_m(),
        "coupling" => coupling(),
        "psi inner" => coupling() - case.flat_inner_w_per_mk.unwrap(),
        "psi outer" => coupling() - case.flat_outer_w_per_mk.unwrap(),
        other => panic!("{}: no answer called {other}", case.id),
    }
}

#[test]
fn every_worked_example_holds() {
    let cases = bridge_reading::worked();
    assert!(cases.len() >= 4, "{} cases", cases.len());
    let mut wrong = Vec::new();
    for case in &cases {
        assert_eq!((case.format, case.ask.as_str()), (1, "section"));
        assert!(!case.expect.is_empty() && !case.title.is_empty() && !case.function.is_empty());
        let solution =
            solve(&case.model(), &fine()).unwrap_or_else(|f| panic!("{}: {f:#?}", case.id));
        assert!(
            solution.imbalance() < 1e-9,
            "{}: {}",
            case.id,
            solution.imbalance()
        );
        for expected in &case.expect {
            let got = answer(case, &solution, &expected.what);
            let apart = (got - expected.value).abs();
            if apart.is_nan() || apart > expected.tolerance {
                wrong.push(format!(
                    "{} ({}, {}): {} expected {} +- {} {} from {}, got {got}",
                    case.id,
                    case.title,
                    case.clause,
                    expected.what,
                    expected.value,
                    expected.tolerance,
                    expected.unit,
                    expected.source.as_ref().unwrap_or(&case.source)
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The exact temperature of case 1, with sizes as shares of the height, y from the cold bottom.
fn exact(x: f64, y: f64) -> f64 {
    let pi = std::f64::consts::PI;
    (0..60)
        .map(|k| f64::from(2 * k + 1))
        .map(|n| {
            // sinh(n pi y)/sinh(n pi) without overflow.
            let ratio = (n * pi * (y - 1.0)).exp() * (1.0 - (-2.0 * n * pi * y).exp())
                / (1.0 - (-2.0 * n * pi).exp());
            80.0 / (n * pi) * (n * pi * x).sin() * ratio
        })
        .sum()
}

fn on_grids(case: &Worked, cells: f64, halvings: u32) -> Vec<Solution> {
    (0..=halvings)
        .map(|most_halvings| {
            let accuracy = Accuracy {
                flow_change: 0.0,
                factor_change: 0.0,
                most_halvings,
                most_nodes: 1_000_000,
                // Even cells, so that halving is the only thing that changes.
                grading: Grading {
                    divisions: cells,
                    growth: 1.0,
                    smallest_m: 0.0,
                },
            };
            solve(&case.model(), &accuracy).unwrap()
        })
        .collect()
}

#[test]
fn the_error_falls_with_the_square_of_the_cells_where_the_solution_is_smooth() {
    let case = bridge_reading::worked()
        .into_iter()
        .find(|c| c.id == "C1")
        .unwrap();
    let errors: Vec<f64> = on_grids(&case, 8.0, 3)
        .iter()
        .map(|solution| {
            let mut worst = 0.0_f64;
            for column in 1..=4 {
                // Away from the upper corner, where the boundary itself jumps.
                for row in 1..=6 {
                    let (x, y) = (f64::from(column) / 8.0, f64::from(row) / 8.0);
                    let t = solution
                        .temperature_at(Point::from_mm(1000.0 * x, 1000.0 * y))
                        .unwrap();
                    worst = worst.max((t.as_celsius() - exact(x, y)).abs());
                }
            }
            worst
        })
        .collect();
    for pair in errors.windows(2) {
        let order = (pair[0] / pair[1]).log2();
        assert!((1.8..2.3).contains(&order), "order {order} from {errors:?}");
    }
}

#[test]
fn the_error_at_a_re_entrant_corner_falls_with_the_power_four_thirds() {
    // Theory: temperature goes as r^(2/3) there, so a flow errs by h^(4/3). Extrapolated with that order it must meet the exact value.
    let case = bridge_reading::worked()
        .into_iter()
        .find(|c| c.id == "C-exact")
        .unwrap();
    let exact = 1.0 - 2.0 / std::f64::consts::PI * 2.0_f64.ln();
    let psi: Vec<f64> = on_grids(&case, 4.0, 3)
        .iter()
        .map(|s| s.coupling(0, 1).unwrap().as_w_per_mk() - 20.0)
        .collect();
    for pair in psi.windows(2) {
        let order = ((pair[0] - exact) / (pair[1] - exact)).log2();
        assert!((1.2..1.5).contains(&order), "order {order} from {psi:?}");
    }
    let last = psi[psi.len() - 1];
    let before = psi[psi.len() - 2];
    let extrapolated = last + (last - before) / (2.0_f64.powf(4.0 / 3.0) - 1.0);
    assert!(
        (extrapolated - exact).abs() < 0.0005,
        "{extrapolated} for {exact}"
    );
}

#[test]
fn the_default_criteria_meet_the_limits_of_case_2() {
    let case = bridge_reading::worked()
        .into_iter()
        .find(|c| c.id == "C2")
        .unwrap();
    let solution = solve(&case.model(), &Accuracy::default()).unwrap();
    for expected in &case.expect {
        let got = answer(&case, &solution, &expected.what);
        assert!(
            (got - expected.value).abs() <= 0.1,
            "{}: {got} for {}",
            expected.what,
            expected.value
        );
    }
}
