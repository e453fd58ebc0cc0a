//! Laws that hold for every wall, on random ones from a fixed seed.

mod thermal_walls;

use quantity::{Duration, Length, Temperature, ThermalResistance};
use standards::iso_13786::DAY;
use thermal::{
    Body, Boundary, BuildUp, MoistureRequest, MouldCriteria, Outcome, Source, Surfaces, Vapour,
};
use thermal_walls::{Draw, climate, plane_wall, rooms, section_wall};
use working::Sheet;

fn near(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * a.abs().max(b.abs()).max(1e-12)
}

fn u_of(wall: &BuildUp) -> f64 {
    let answer = thermal::transmittance(wall, &mut Sheet::new()).expect("a sound wall");
    answer.u_corrected.value.as_w_per_m2k()
}

/// Cuts one layer in two that add up to it.
fn split(wall: &BuildUp, at: usize, share: f64) -> BuildUp {
    let mut cut = wall.clone();
    let mut second = cut.layers[at].clone();
    let whole = cut.layers[at].thickness;
    cut.layers[at].thickness = whole * share;
    second.thickness = whole * (1.0 - share);
    cut.layers.insert(at + 1, second);
    cut
}

#[test]
fn every_printed_formula_of_the_project_is_its_function() {
    for formula in thermal::formula::FORMULAS {
        working::proof::prove(*formula, 300).expect("print equals code");
    }
}

#[test]
fn more_insulation_never_raises_u() {
    let mut draw = Draw(1);
    for _ in 0..500 {
        let wall = section_wall(&mut draw);
        let at = (draw.unit() * wall.layers.len() as f64) as usize;
        let mut thicker = wall.clone();
        thicker.layers[at].thickness = thicker.layers[at].thickness * draw.between(1.0, 3.0);
        assert!(u_of(&thicker) <= u_of(&wall) * (1.0 + 1e-12));
    }
}

#[test]
fn splitting_a_layer_changes_nothing_in_heat() {
    let mut draw = Draw(2);
    for _ in 0..300 {
        let wall = plane_wall(&mut draw);
        let at = (draw.unit() * wall.layers.len() as f64) as usize;
        let cut = split(&wall, at, draw.between(0.1, 0.9));
        assert!(near(u_of(&wall), u_of(&cut), 1e-12));
        let whole = thermal::dynamics(&wall, DAY, &mut Sheet::new()).expect("a sound wall");
        let parts = thermal::dynamics(&cut, DAY, &mut Sheet::new()).expect("a sound wall");
        assert!(near(
            whole.periodic.value.as_w_per_m2k(),
            parts.periodic.value.as_w_per_m2k(),
            1e-9
        ));
        assert!(near(
            whole.shift.value.as_hours(),
            parts.shift.value.as_hours(),
            1e-9
        ));
        let kappa = |d: &thermal::Dynamics| d.capacity_inside.value.as_j_per_m2k();
        assert!(near(kappa(&whole), kappa(&parts), 1e-9));
    }
}

#[test]
fn reversing_a_wall_keeps_its_periodic_transmittance() {
    let mut draw = Draw(3);
    for _ in 0..300 {
        let mut wall = plane_wall(&mut draw);
        let surfaces = |inside: f64, outside: f64| Surfaces::Given {
            inside: ThermalResistance::from_m2k_per_w(inside),
            outside: ThermalResistance::from_m2k_per_w(outside),
            from: Source::Assumed(String::from("test")),
        };
        wall.surfaces = surfaces(0.13, 0.04);
        let there = thermal::dynamics(&wall, DAY, &mut Sheet::new()).expect("a sound wall");
        wall.layers.reverse();
        wall.surfaces = surfaces(0.04, 0.13);
        let back = thermal::dynamics(&wall, DAY, &mut Sheet::new()).expect("a sound wall");
        assert!(near(
            there.periodic.value.as_w_per_m2k(),
            back.periodic.value.as_w_per_m2k(),
            1e-9
        ));
        assert!(near(
            there.shift.value.as_hours(),
            back.shift.value.as_hours(),
            1e-9
        ));
        let (inside, outside) = (there.admittance_inside.value, back.admittance_outside.value);
        assert!(near(inside.as_w_per_m2k(), outside.as_w_per_m2k(), 1e-9));
    }
}

#[test]
fn the_determinant_of_every_wall_is_one() {
    let mut draw = Draw(4);
    for _ in 0..300 {
        let wall = plane_wall(&mut draw);
        let answer = thermal::dynamics(&wall, DAY, &mut Sheet::new()).expect("a sound wall");
        let (re, im) = answer.matrix.determinant();
        let size = answer.matrix.z11.re.value.hypot(answer.matrix.z11.im.value)
            * answer.matrix.z22.re.value.hypot(answer.matrix.z22.im.value);
        assert!((re - 1.0).abs() < 1e-12 * size.max(1.0), "{re}");
        assert!(im.abs() < 1e-12 * size.max(1.0), "{im}");
        assert!(
            answer.decrement.value <= 1.0 + 1e-12,
            "a wall does not amplify"
        );
        assert!(
            answer.shift.value.as_seconds() <= 0.0,
            "the far side answers later"
        );
    }
}

#[test]
fn a_swing_without_end_is_the_steady_state() {
    let mut draw = Draw(5);
    for _ in 0..100 {
        let wall = plane_wall(&mut draw);
        let period = Duration::from_seconds(1e11);
        let slow = thermal::dynamics(&wall, period, &mut Sheet::new()).expect("a sound wall");
        let u = slow.transmittances.u.value.as_w_per_m2k();
        assert!(near(slow.periodic.value.as_w_per_m2k(), u, 1e-6));
        assert!(near(slow.admittance_inside.value.as_w_per_m2k(), u, 1e-6));
        assert!((slow.shift.value / period).abs() < 1e-4);
        // In the limit each side stores by its share of the temperature fall, and the shares add to one: all there is.
        let all: f64 = wall
            .layers
            .iter()
            .map(|layer| match &layer.body {
                Body::Homogeneous(m) => {
                    let s = m.storage.expect("storage");
                    s.density.as_kg_per_m3()
                        * s.specific_heat.as_j_per_kgk()
                        * layer.thickness.as_m()
                }
                _ => 0.0,
            })
            .sum();
        let sides = slow.capacity_inside.value + slow.capacity_outside.value;
        assert!(
            near(sides.as_j_per_m2k(), all, 1e-3),
            "{} {all}",
            sides.as_j_per_m2k()
        );
    }
}

#[test]
fn air_and_bare_resistance_have_no_phase() {
    let part = |name: &str, mm: f64, body: Body| {
        thermal::Layer::request(name, "", thermal::Role::Wall, Length::from_mm(mm), body)
    };
    let wall = BuildUp::of(
        "wall",
        vec![
            part(
                "lining",
                0.0,
                Body::Resistance {
                    resistance: ThermalResistance::from_m2k_per_w(1.2),
                    equivalent_air: None,
                },
            ),
            part(
                "cavity",
                40.0,
                Body::Air {
                    openings_mm2_per_m: 0.0,
                },
            ),
        ],
    );
    let answer = thermal::dynamics(&wall, DAY, &mut Sheet::new()).expect("a sound wall");
    assert!(near(
        answer.periodic.value.as_w_per_m2k(),
        answer.transmittances.u.value.as_w_per_m2k(),
        1e-14
    ));
    assert_eq!(answer.shift.value.as_seconds(), 0.0);
    assert_eq!(answer.capacity_inside.value.as_j_per_m2k(), 0.0);
}

#[test]
fn the_upper_limit_is_never_below_the_lower_one() {
    let mut draw = Draw(6);
    for _ in 0..500 {
        let wall = section_wall(&mut draw);
        let answer = thermal::transmittance(&wall, &mut Sheet::new()).expect("a sound wall");
        let combined = answer.combined.expect("sections");
        assert!(
            combined.upper.value.as_m2k_per_w()
                >= combined.lower.value.as_m2k_per_w() * (1.0 - 1e-12)
        );
        assert!(combined.relative_error.value >= -1e-12);
        assert_eq!(
            thermal::transmittance_bare(&wall).u_corrected.value,
            answer.u_corrected.value
        );
    }
}

#[test]
fn heat_in_is_heat_out_at_every_layer() {
    let mut draw = Draw(7);
    for _ in 0..300 {
        let wall = plane_wall(&mut draw);
        let mut sheet = Sheet::new();
        let answer = thermal::transmittance(&wall, &mut sheet).expect("a sound wall");
        let boundary = Boundary {
            inside: Temperature::from_celsius(20.0),
            outside: Temperature::from_celsius(draw.between(-20.0, 10.0)),
            from: Source::Assumed(String::from("test")),
        };
        let at = thermal::temperatures(&answer, &boundary, &mut sheet);
        let fall = boundary.inside.as_celsius() - boundary.outside.as_celsius();
        let flow = fall * answer.u.value.as_w_per_m2k();
        let first = boundary.inside.as_celsius() - at[0].temperature.value.as_celsius();
        assert!(near(first / 0.13, flow, 1e-9));
        for (pair, layer) in at.windows(2).zip(&answer.layers) {
            let drop =
                pair[0].temperature.value.as_celsius() - pair[1].temperature.value.as_celsius();
            let through = drop / layer.resistance.value.as_m2k_per_w();
            assert!(
                (through - flow).abs()
                    < 1e-9 * flow.max(1.0) + 1e-12 / layer.resistance.value.as_m2k_per_w()
            );
        }
        let last = at.last().expect("a surface").temperature.value.as_celsius()
            - boundary.outside.as_celsius();
        assert!(near(last / 0.04, flow, 1e-9));
    }
}

fn ask(wall: &BuildUp, climate: &thermal::Climate, excess: f64) -> thermal::Moisture {
    let (inside, mould) = (rooms(excess), MouldCriteria::default());
    let request = MoistureRequest {
        build_up: wall,
        climate,
        inside: &inside,
        mould: &mould,
        limits: &[],
    };
    thermal::moisture(&request, &mut Sheet::new()).expect("a sound question")
}

/// Walls with a tight outer layer, so that most of them gather moisture.
fn wet_wall(draw: &mut Draw) -> BuildUp {
    let mut wall = plane_wall(draw);
    let last = wall.layers.len() - 1;
    if let Body::Homogeneous(material) = &mut wall.layers[last].body {
        material.vapour = Some(Vapour::EquivalentAir(Length::from_m(
            draw.between(1.0, 30.0),
        )));
    }
    wall
}

#[test]
fn vapour_in_less_vapour_out_is_what_gathers() {
    let mut draw = Draw(8);
    let (mut wet, mut several) = (0, 0);
    for _ in 0..300 {
        let (wall, climate) = (wet_wall(&mut draw), climate(&mut draw));
        let answer = ask(&wall, &climate, draw.between(300.0, 1200.0));
        let found = &answer.interstitial;
        several += usize::from(found.planes.len() > 1);
        for month in &found.months {
            let state = &month.profile;
            for at in state {
                assert!(
                    at.pressure.as_pa() <= at.saturation.as_pa() * (1.0 + 1e-9),
                    "above saturation"
                );
            }
            let s = |k: usize| found.points[k].equivalent_air.as_m();
            let p = |k: usize| state[k].pressure.as_pa();
            let n = state.len() - 1;
            let flow = |a: usize, b: usize| 2e-10 * (p(a) - p(b)) / (s(b) - s(a));
            let seconds = answer.air[month.month].length.value.as_seconds();
            let gathers: f64 = month
                .planes
                .iter()
                .map(|plane| plane.condensate.value.as_kg_per_m2())
                .sum();
            let balance = (flow(0, 1) - flow(n - 1, n)) * seconds;
            assert!((balance - gathers).abs() < 1e-7, "{balance} {gathers}");
            wet += usize::from(!month.planes.is_empty());
        }
    }
    assert!(
        wet > 500 && several > 20,
        "the walls hardly gather moisture: {wet} {several}"
    );
}

#[test]
fn the_profile_solves_the_obstacle_problem() {
    let mut draw = Draw(9);
    let mut tried = 0;
    for _ in 0..40 {
        let (wall, climate) = (wet_wall(&mut draw), climate(&mut draw));
        let answer = ask(&wall, &climate, draw.between(500.0, 1200.0));
        let found = &answer.interstitial;
        let s: Vec<f64> = found
            .points
            .iter()
            .map(|p| p.equivalent_air.as_m())
            .collect();
        let mut held: Vec<usize> = Vec::new();
        for month in &found.months {
            let state = &month.profile;
            let n = s.len() - 1;
            // Projected over-relaxation: each point to the flow balance of its neighbours, never above saturation; wet planes stay at saturation.
            let mut p: Vec<f64> = state.iter().map(|at| at.saturation.as_pa()).collect();
            p[0] = state[0].pressure.as_pa();
            p[n] = state[n].pressure.as_pa();
            for _ in 0..50_000 {
                let mut moved = 0.0_f64;
                for k in 1..n {
                    if held.contains(&k) {
                        continue;
                    }
                    let (a, b) = (1.0 / (s[k] - s[k - 1]), 1.0 / (s[k + 1] - s[k]));
                    let balance = (a * p[k - 1] + b * p[k + 1]) / (a + b);
                    let next = (p[k] + 1.8 * (balance - p[k])).min(state[k].saturation.as_pa());
                    moved = moved.max((next - p[k]).abs());
                    p[k] = next;
                }
                if moved < 1e-9 {
                    break;
                }
            }
            for (k, at) in state.iter().enumerate() {
                assert!(
                    (p[k] - at.pressure.as_pa()).abs() < 1e-3,
                    "point {k}: {} {}",
                    p[k],
                    at.pressure.as_pa()
                );
            }
            tried += month.planes.len();
            held = month
                .planes
                .iter()
                .filter(|plane| plane.accumulated.value.as_kg_per_m2() > 0.0)
                .map(|plane| found.planes[plane.plane].point)
                .collect();
        }
    }
    assert!(tried > 50, "few wet planes were tried: {tried}");
}

#[test]
fn doubling_every_vapour_resistance_halves_what_gathers() {
    let mut draw = Draw(10);
    for _ in 0..100 {
        let (wall, climate) = (wet_wall(&mut draw), climate(&mut draw));
        let mut tight = wall.clone();
        for layer in &mut tight.layers {
            if let Body::Homogeneous(material) = &mut layer.body {
                material.vapour = material.vapour.map(|v| match v {
                    Vapour::Factor(mu) => Vapour::Factor(mu * 2.0),
                    Vapour::EquivalentAir(s_d) => Vapour::EquivalentAir(s_d * 2.0),
                });
            }
        }
        let excess = draw.between(300.0, 1200.0);
        let (once, twice) = (ask(&wall, &climate, excess), ask(&tight, &climate, excess));
        let most = |m: &thermal::Moisture| m.interstitial.most.value.as_kg_per_m2();
        assert!((most(&once) - 2.0 * most(&twice)).abs() < 1e-7);
        assert_eq!(
            once.interstitial.outcome == Outcome::NoCondensation,
            most(&once) <= 1e-9
        );
    }
}

#[test]
fn splitting_a_layer_where_it_is_subdivided_changes_nothing_in_moisture() {
    let mut draw = Draw(11);
    for _ in 0..100 {
        let (mut wall, climate) = (wet_wall(&mut draw), climate(&mut draw));
        // Two square metre kelvins per watt are eight pieces, and each half four.
        let at = wall.layers.len() - 2;
        if let Body::Homogeneous(material) = &wall.layers[at].body {
            wall.layers[at].thickness = Length::from_m(2.0 * material.conductivity.as_w_per_mk());
        }
        let (whole, cut) = (
            ask(&wall, &climate, 800.0),
            ask(&split(&wall, at, 0.5), &climate, 800.0),
        );
        let most = |m: &thermal::Moisture| m.interstitial.most.value.as_kg_per_m2();
        assert!((most(&whole) - most(&cut)).abs() < 1e-9);
        assert_eq!(whole.interstitial.outcome, cut.interstitial.outcome);
    }
}

#[test]
fn damper_rooms_never_ask_for_less() {
    let mut draw = Draw(12);
    for _ in 0..100 {
        let (wall, climate) = (plane_wall(&mut draw), climate(&mut draw));
        let (dry, damp) = (ask(&wall, &climate, 300.0), ask(&wall, &climate, 900.0));
        let asks = |m: &thermal::Moisture| {
            m.mould
                .months
                .iter()
                .filter_map(|m| m.factor_needed.map(|f| f.value))
                .fold(0.0, f64::max)
        };
        assert!(asks(&damp) >= asks(&dry));
        let most = |m: &thermal::Moisture| m.interstitial.most.value.as_kg_per_m2();
        assert!(most(&damp) >= most(&dry) - 1e-9);
    }
}

#[test]
fn the_batch_answers_what_the_sheet_answers() {
    let mut draw = Draw(13);
    let (climate, inside) = (climate(&mut draw), rooms(810.0));
    let mut batch = thermal::Batch::new(&climate, &inside, DAY).expect("a sound climate");
    let mut gathered = 0;
    for round in 0..400 {
        let wall = match round % 3 {
            0 => wet_wall(&mut draw),
            1 => section_wall(&mut draw),
            _ => plane_wall(&mut draw),
        };
        let fast = batch.answer(&wall).expect("a sound wall");
        let full = ask(&wall, &climate, 810.0);
        let of = &full.transmittances;
        assert!(near(
            fast.u_corrected.as_w_per_m2k(),
            of.u_corrected.value.as_w_per_m2k(),
            1e-12
        ));
        assert!(near(fast.factor, full.mould.factor.value, 1e-12));
        assert_eq!(fast.critical_month, full.mould.critical);
        assert_eq!(fast.outcome, full.interstitial.outcome);
        let (most, left) = (full.interstitial.most.value, full.interstitial.left.value);
        assert!((fast.most.as_kg_per_m2() - most.as_kg_per_m2()).abs() < 1e-9);
        assert!((fast.left.as_kg_per_m2() - left.as_kg_per_m2()).abs() < 1e-9);
        gathered += usize::from(fast.outcome != Outcome::NoCondensation);
        if round % 3 == 1 {
            continue;
        }
        let slow = thermal::dynamics(&wall, DAY, &mut Sheet::new()).expect("a sound wall");
        let swing = fast.swing.expect("storage is given");
        assert!(near(
            swing.periodic.as_w_per_m2k(),
            slow.periodic.value.as_w_per_m2k(),
            1e-9
        ));
        assert!(near(swing.decrement, slow.decrement.value, 1e-9));
        assert!((swing.shift.as_hours() - slow.shift.value.as_hours()).abs() < 1e-8);
        assert!(near(
            swing.admittance_inside.as_w_per_m2k(),
            slow.admittance_inside.value.as_w_per_m2k(),
            1e-9
        ));
        let kappa = [
            (swing.capacity_inside, slow.capacity_inside),
            (swing.capacity_outside, slow.capacity_outside),
        ];
        for (fast, slow) in kappa {
            assert!(near(fast.as_j_per_m2k(), slow.value.as_j_per_m2k(), 1e-9));
        }
        let (fast, slow22) = (swing.admittance_outside, slow.admittance_outside.value);
        assert!(near(fast.as_w_per_m2k(), slow22.as_w_per_m2k(), 1e-9));
        assert!((swing.shift_inside.as_hours() - slow.shift_inside.value.as_hours()).abs() < 1e-8);
        assert!(
            (swing.shift_outside.as_hours() - slow.shift_outside.value.as_hours()).abs() < 1e-8
        );
    }
    assert!(gathered > 50, "few walls gather moisture: {gathered}");
}
