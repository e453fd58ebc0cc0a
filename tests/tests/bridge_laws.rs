//! Laws that every section obeys, and every fault of a bad one.

mod halting;

use halting::halted_after;
use quantity::{Conductivity, Length, Temperature, ThermalResistance};
use thermal_bridge::{
    Accuracy, Boundary, Contact, Environment, Grading, Model, Point, Rectangle, Solution, solve,
    solve_unless,
};
use working::Halt;

fn rectangle(name: &str, x0: f64, y0: f64, x1: f64, y1: f64, lambda: f64) -> Rectangle {
    Rectangle {
        name: name.to_string(),
        x0: Length::from_mm(x0),
        y0: Length::from_mm(y0),
        x1: Length::from_mm(x1),
        y1: Length::from_mm(y1),
        conductivity: Conductivity::from_w_per_mk(lambda),
    }
}

fn environment(name: &str, celsius: f64, resistance: f64) -> Environment {
    Environment {
        name: name.to_string(),
        temperature: Temperature::from_celsius(celsius),
        resistance: ThermalResistance::from_m2k_per_w(resistance),
    }
}

fn path(corners: &[(f64, f64)], contact: Contact) -> Vec<Boundary> {
    corners
        .windows(2)
        .map(|pair| Boundary {
            from: Point::from_mm(pair[0].0, pair[0].1),
            to: Point::from_mm(pair[1].0, pair[1].1),
            contact,
        })
        .collect()
}

/// A fixed-seed random source (SplitMix64).
struct Draw(u64);

impl Draw {
    fn unit(&mut self) -> f64 {
        tests::unit(&mut self.0)
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

/// A patchwork of four by three rectangles, conductivities over four decades, three environments.
fn patchwork(draw: &mut Draw) -> Model {
    let mut xs = vec![0.0];
    let mut ys = vec![0.0];
    for _ in 0..4 {
        xs.push(xs[xs.len() - 1] + draw.between(2.0, 300.0));
    }
    for _ in 0..3 {
        ys.push(ys[ys.len() - 1] + draw.between(2.0, 200.0));
    }
    let mut rectangles = Vec::new();
    for row in ys.windows(2) {
        for column in xs.windows(2) {
            let lambda = 10.0_f64.powf(draw.between(-1.7, 2.4));
            rectangles.push(rectangle(
                "patch", column[0], row[0], column[1], row[1], lambda,
            ));
        }
    }
    let (w, h) = (xs[4], ys[3]);
    let mut boundaries = path(&[(0.0, 0.0), (w, 0.0)], Contact::Environment(0));
    boundaries.extend(path(&[(w, 0.0), (w, h)], Contact::Environment(1)));
    boundaries.extend(path(&[(w, h), (xs[2], h)], Contact::Environment(2)));
    boundaries.extend(path(
        &[(xs[2], h), (0.0, h), (0.0, 0.0)],
        Contact::Adiabatic,
    ));
    Model {
        rectangles,
        boundaries,
        environments: vec![
            environment("inside", draw.between(15.0, 25.0), draw.between(0.05, 0.3)),
            environment("outside", draw.between(-15.0, 5.0), draw.between(0.02, 0.2)),
            environment("cellar", draw.between(5.0, 12.0), draw.between(0.05, 0.3)),
        ],
    }
}

fn quick() -> Accuracy {
    Accuracy {
        most_halvings: 1,
        ..Accuracy::default()
    }
}

#[test]
fn a_halted_solution_is_none_and_one_that_is_asked_is_the_same() {
    let model = patchwork(&mut Draw(3));
    let whole = solve(&model, &Accuracy::default()).expect("a sound section");
    let halted = |times| {
        let work = |halt: Halt<'_>| solve_unless(&model, &Accuracy::default(), halt);
        let (end, asked) = halted_after(times, work);
        (end.expect("a sound section"), asked)
    };
    let (end, all) = halted(usize::MAX);
    assert_eq!(end.as_ref(), Some(&whole));
    assert!(all > 20, "asked {all} times only");
    for times in [0, 1, 2, all / 3, all - 1] {
        let (end, asked) = halted(times);
        assert_eq!(end, None, "halted after {times} of {all}");
        // Nothing more is worked on: what is left asks once for each lane, once for the grid and once for the end.
        assert!(
            asked < times + 8,
            "asked {asked} times, halted after {times} of {all}"
        );
    }
    assert_eq!(halted(all).0, Some(whole));
}

fn couplings(solution: &Solution) -> [f64; 6] {
    let l = |a, b| solution.coupling(a, b).unwrap().as_w_per_mk();
    [l(0, 1), l(1, 0), l(0, 2), l(2, 0), l(1, 2), l(2, 1)]
}

#[test]
fn heat_in_is_heat_out_coupling_is_mutual_and_no_point_leaves_the_range() {
    let mut draw = Draw(1);
    for case in 0..40 {
        let model = patchwork(&mut draw);
        let solution = solve(&model, &quick()).unwrap_or_else(|f| panic!("{case}: {f:#?}"));
        assert!(
            solution.imbalance() < 1e-9,
            "{case}: {}",
            solution.imbalance()
        );
        let flows: Vec<f64> = (0..3)
            .map(|e| solution.flow(e).unwrap().as_w_per_m())
            .collect();
        let sizes: f64 = flows.iter().map(|f| f.abs()).sum();
        assert!(
            flows.iter().sum::<f64>().abs() < 1e-9 * sizes,
            "{case}: {flows:?}"
        );
        let [ab, ba, ac, ca, bc, cb] = couplings(&solution);
        let largest = ab.max(ac).max(bc);
        for (one, other) in [(ab, ba), (ac, ca), (bc, cb)] {
            assert!(
                (one - other).abs() < 1e-9 * largest,
                "{case}: {one} and {other}"
            );
            assert!(one > -1e-9 * largest, "{case}: negative coupling {one}");
        }
        let (low, high) = model
            .environments
            .iter()
            .map(|e| e.temperature.as_celsius())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), t| {
                (l.min(t), h.max(t))
            });
        for column in 0..solution.columns().len() {
            for row in 0..solution.rows().len() {
                let t = solution.temperature(column, row).unwrap().as_celsius();
                assert!(
                    (low - 1e-7..=high + 1e-7).contains(&t),
                    "{case}: {t} outside {low} to {high}"
                );
            }
        }
    }
}

#[test]
fn a_section_of_one_dimension_is_the_plain_wall() {
    // ISO 6946 in series, by hand: the grid must not add anything to it, whatever the layers.
    let mut draw = Draw(2);
    for _ in 0..30 {
        let width = draw.between(50.0, 2000.0);
        let (mut x, mut resistance) = (0.0, 0.0);
        let mut rectangles = Vec::new();
        for _ in 0..5 {
            let d = draw.between(1.0, 300.0);
            let lambda = 10.0_f64.powf(draw.between(-1.7, 2.3));
            rectangles.push(rectangle("layer", x, 0.0, x + d, width, lambda));
            resistance += d / 1000.0 / lambda;
            x += d;
        }
        let (rsi, rse) = (draw.between(0.05, 0.3), draw.between(0.02, 0.2));
        let mut boundaries = path(&[(0.0, 0.0), (0.0, width)], Contact::Environment(0));
        boundaries.extend(path(&[(x, 0.0), (x, width)], Contact::Environment(1)));
        boundaries.extend(path(&[(0.0, 0.0), (x, 0.0)], Contact::Adiabatic));
        boundaries.extend(path(&[(0.0, width), (x, width)], Contact::Adiabatic));
        let model = Model {
            rectangles,
            boundaries,
            environments: vec![
                environment("inside", 20.0, rsi),
                environment("outside", -10.0, rse),
            ],
        };
        let solution = solve(&model, &quick()).unwrap();
        let expected = width / 1000.0 / (rsi + resistance + rse);
        let got = solution.coupling(0, 1).unwrap().as_w_per_mk();
        assert!((got / expected - 1.0).abs() < 1e-9, "{got} for {expected}");
        let factor = (solution
            .coldest_surface(0)
            .unwrap()
            .temperature
            .as_celsius()
            + 10.0)
            / 30.0;
        let by_hand = 1.0 - rsi / (rsi + resistance + rse);
        assert!((factor - by_hand).abs() < 1e-9, "{factor} for {by_hand}");
    }
}

#[test]
fn cutting_a_rectangle_in_two_or_naming_parts_in_another_order_changes_nothing() {
    let mut draw = Draw(3);
    let model = patchwork(&mut draw);
    let even = Accuracy {
        flow_change: 2e-4,
        factor_change: 1.0,
        ..Accuracy::default()
    };
    let whole = couplings(&solve(&model, &even).unwrap());
    let mut reordered = model.clone();
    reordered.rectangles.reverse();
    reordered.boundaries.reverse();
    assert_eq!(
        whole,
        couplings(&solve(&reordered, &even).unwrap()),
        "the order of parts is not a part of the answer"
    );
    let mut cut = model;
    let mut second = cut.rectangles[5].clone();
    let middle = (second.x0 + second.x1) * 0.5;
    cut.rectangles[5].x1 = middle;
    second.x0 = middle;
    cut.rectangles.push(second);
    // The cut moves grid lines, so the two differ by no more than the grid's own error.
    for (one, other) in whole.iter().zip(couplings(&solve(&cut, &even).unwrap())) {
        assert!(
            (one - other).abs() < 2e-3 * whole[0].max(whole[2]),
            "{one} and {other}"
        );
    }
}

#[test]
fn a_mirrored_section_has_the_same_flows_and_the_same_run_gives_the_same_bits() {
    let mut draw = Draw(4);
    let model = patchwork(&mut draw);
    let mut mirrored = model.clone();
    for r in &mut mirrored.rectangles {
        (r.x0, r.x1) = (-r.x1, -r.x0);
    }
    for b in &mut mirrored.boundaries {
        b.from.x = -b.from.x;
        b.to.x = -b.to.x;
    }
    let (one, other) = (
        solve(&model, &quick()).unwrap(),
        solve(&mirrored, &quick()).unwrap(),
    );
    for (a, b) in couplings(&one).iter().zip(couplings(&other)) {
        assert!(
            (a - b).abs() < 1e-8 * one.coupling(0, 1).unwrap().as_w_per_mk().max(1.0),
            "{a} and {b}"
        );
    }
    assert_eq!(solve(&model, &quick()).unwrap(), one);
}

#[test]
fn conducting_more_anywhere_never_lowers_the_flow_between_two_environments() {
    // Rayleigh's law of monotony.
    let mut draw = Draw(5);
    for _ in 0..10 {
        let mut model = patchwork(&mut draw);
        // With the third environment at the temperature of the second there are two.
        model.environments[2].temperature = model.environments[1].temperature;
        let flow = |m: &Model| solve(m, &quick()).unwrap().flow(0).unwrap().as_w_per_m();
        let before = flow(&model);
        let index = (draw.unit() * 12.0) as usize;
        let factor = draw.between(1.1, 5.0);
        let lambda = model.rectangles[index].conductivity;
        model.rectangles[index].conductivity = lambda * factor;
        assert!(flow(&model) >= before * (1.0 - 1e-9));
    }
}

#[test]
fn other_temperatures_need_no_new_solve() {
    let mut draw = Draw(6);
    let mut model = patchwork(&mut draw);
    let first = solve(&model, &quick()).unwrap();
    let celsius = [21.0, -12.0, 3.0].map(Temperature::from_celsius);
    for (e, t) in model.environments.iter_mut().zip(celsius) {
        e.temperature = t;
    }
    assert_eq!(
        first.at_temperatures(&celsius).unwrap(),
        solve(&model, &quick()).unwrap()
    );
    assert!(first.at_temperatures(&celsius[..2]).is_none());
}

#[test]
fn a_point_on_an_interface_has_the_temperature_that_equals_the_fluxes() {
    // Two layers of one wall, by hand: q = 20/(0.1 + 0.2/0.4 + 0.1/0.05), interface at 20 - q (0.1 + 0.5).
    let mut boundaries = path(&[(0.0, 0.0), (0.0, 100.0)], Contact::Environment(0));
    boundaries.extend(path(
        &[(300.0, 0.0), (300.0, 100.0)],
        Contact::Environment(1),
    ));
    boundaries.extend(path(&[(0.0, 0.0), (300.0, 0.0)], Contact::Adiabatic));
    boundaries.extend(path(&[(0.0, 100.0), (300.0, 100.0)], Contact::Adiabatic));
    let model = Model {
        rectangles: vec![
            rectangle("brick", 0.0, 0.0, 200.0, 100.0, 0.4),
            rectangle("board", 200.0, 0.0, 300.0, 100.0, 0.05),
        ],
        boundaries,
        environments: vec![
            environment("inside", 20.0, 0.1),
            environment("outside", 0.0, 0.0),
        ],
    };
    let solution = solve(&model, &quick()).unwrap();
    let q = 20.0 / (0.1 + 0.5 + 2.0);
    let t = solution
        .temperature_at(Point::from_mm(200.0, 40.0))
        .unwrap()
        .as_celsius();
    assert!((t - (20.0 - q * 0.6)).abs() < 1e-9, "{t}");
    assert!(
        solution
            .temperature_at(Point::from_mm(301.0, 40.0))
            .is_none()
    );
    assert_eq!(
        solution
            .warmest_surface(1)
            .unwrap()
            .temperature
            .as_celsius(),
        0.0
    );
}

fn square() -> Model {
    let mut boundaries = path(&[(0.0, 0.0), (0.0, 100.0)], Contact::Environment(0));
    boundaries.extend(path(
        &[(100.0, 0.0), (100.0, 100.0)],
        Contact::Environment(1),
    ));
    boundaries.extend(path(&[(0.0, 0.0), (100.0, 0.0)], Contact::Adiabatic));
    boundaries.extend(path(&[(0.0, 100.0), (100.0, 100.0)], Contact::Adiabatic));
    Model {
        rectangles: vec![rectangle("square", 0.0, 0.0, 100.0, 100.0, 1.0)],
        boundaries,
        environments: vec![
            environment("inside", 20.0, 0.13),
            environment("outside", 0.0, 0.04),
        ],
    }
}

fn reasons(model: &Model) -> Vec<(String, &'static str)> {
    let faults = solve(model, &quick()).expect_err("a bad section");
    faults.into_iter().map(|f| (f.path, f.reason)).collect()
}

fn has(list: &[(String, &'static str)], path: &str, reason: &str) -> bool {
    list.iter().any(|(p, r)| p == path && *r == reason)
}

#[test]
fn every_fault_of_a_bad_section_comes_at_once_with_its_place() {
    let mut model = square();
    model.rectangles[0].conductivity = Conductivity::from_w_per_mk(0.0);
    model.rectangles.push(rectangle(
        "not a number",
        200.0,
        f64::NAN,
        300.0,
        100.0,
        1.0,
    ));
    model.rectangles.push(rectangle(
        "inside out",
        300.0,
        0.0,
        200.0,
        100.0,
        f64::INFINITY,
    ));
    model.boundaries[0].contact = Contact::Environment(7);
    model
        .boundaries
        .extend(path(&[(0.0, 0.0), (50.0, 50.0)], Contact::Adiabatic));
    model.environments[1].resistance = ThermalResistance::from_m2k_per_w(-0.04);
    model.environments[0].temperature = Temperature::from_celsius(f64::NAN);
    let list = reasons(&model);
    for (path, reason) in [
        ("rectangles[0].conductivity_w_per_mk", "OUT_OF_RANGE"),
        ("rectangles[1].y0_mm", "NOT_FINITE"),
        ("rectangles[2].x1_mm", "NO_EXTENT"),
        ("rectangles[2].conductivity_w_per_mk", "OUT_OF_RANGE"),
        ("boundaries[0].environment", "UNKNOWN_ENVIRONMENT"),
        ("boundaries[4]", "NOT_AXIS_PARALLEL"),
        (
            "environments[1].surface_resistance_m2k_per_w",
            "OUT_OF_RANGE",
        ),
        ("environments[0].temperature_c", "OUT_OF_RANGE"),
        ("environments[0]", "UNUSED_ENVIRONMENT"),
    ] {
        assert!(
            has(&list, path, reason),
            "no {reason} at {path} in {list:?}"
        );
    }
}

#[test]
fn overlaps_gaps_and_open_outlines_are_told() {
    let mut overlapping = square();
    overlapping
        .rectangles
        .push(rectangle("over", 50.0, 50.0, 100.0, 100.0, 1.0));
    assert!(has(&reasons(&overlapping), "rectangles[1]", "OVERLAP"));

    // A square of four strips around an empty middle.
    let mut hollow = square();
    hollow.rectangles = vec![
        rectangle("below", 0.0, 0.0, 100.0, 40.0, 1.0),
        rectangle("above", 0.0, 60.0, 100.0, 100.0, 1.0),
        rectangle("left", 0.0, 40.0, 40.0, 60.0, 1.0),
        rectangle("right", 60.0, 40.0, 100.0, 60.0, 1.0),
    ];
    assert!(has(&reasons(&hollow), "boundaries", "GAP"));
    // With an environment of its own the hole is a cavity.
    hollow.environments.push(environment("cavity", 10.0, 0.13));
    let rim = [
        (40.0, 40.0),
        (60.0, 40.0),
        (60.0, 60.0),
        (40.0, 60.0),
        (40.0, 40.0),
    ];
    hollow
        .boundaries
        .extend(path(&rim, Contact::Environment(2)));
    assert!(solve(&hollow, &quick()).is_ok());

    let mut open = square();
    open.boundaries.pop();
    assert!(has(&reasons(&open), "boundaries", "OUTLINE_UNCOVERED"));

    let mut astray = square();
    astray
        .boundaries
        .extend(path(&[(50.0, 0.0), (50.0, 100.0)], Contact::Adiabatic));
    assert!(has(
        &reasons(&astray),
        "boundaries[4]",
        "BOUNDARY_NOT_ON_OUTLINE"
    ));

    let mut twice = square();
    twice
        .boundaries
        .extend(path(&[(100.0, 0.0), (100.0, 50.0)], Contact::Adiabatic));
    assert!(has(&reasons(&twice), "boundaries[4]", "BOUNDARY_TWICE"));

    let mut island = square();
    island
        .rectangles
        .push(rectangle("island", 200.0, 0.0, 300.0, 100.0, 1.0));
    let rim = [
        (200.0, 0.0),
        (300.0, 0.0),
        (300.0, 100.0),
        (200.0, 100.0),
        (200.0, 0.0),
    ];
    island.boundaries.extend(path(&rim, Contact::Adiabatic));
    assert!(has(&reasons(&island), "rectangles[1]", "NO_ENVIRONMENT"));
}

#[test]
fn empty_and_huge_inputs_are_refused_without_harm() {
    assert!(has(&reasons(&Model::default()), "rectangles", "COUNT"));
    let mut many = square();
    many.rectangles = vec![many.rectangles[0].clone(); 5000];
    assert!(has(&reasons(&many), "rectangles", "COUNT"));
    let fine = Accuracy {
        grading: Grading {
            divisions: 1e9,
            growth: 1.0,
            smallest_m: 0.0,
        },
        ..Accuracy::default()
    };
    // As fine as this cannot be; the grid stops at its bound and the answer is still one.
    assert!(solve(&square(), &fine).is_ok_and(|s| s.imbalance() < 1e-9));
    let senseless = Accuracy {
        grading: Grading {
            divisions: f64::NAN,
            growth: f64::NAN,
            smallest_m: f64::NAN,
        },
        ..Accuracy::default()
    };
    assert!(solve(&square(), &senseless).is_ok());
}
