//! Laws of moisture transport and drying, and every fault of a bad wall.

use moisture_transport::{
    Accuracy, AirPermeability, Candidate, Climate, Dry, DryingTask, Face, Film, Hour, Layer,
    Liquid, Material, Slicing, Sorption, SorptionPoint, Start, Swing, Task, VapourResistance, Wall,
    drying, record, simulate,
};
use quantity::{
    Conductivity, Density, Duration, HeatFlux, Length, MoistureFlux, SpecificHeat, Temperature,
    Transmittance, WaterAbsorption,
};
use working::Sheet;

fn kg_m3(number: f64) -> Density {
    Density::from_kg_per_m3(number)
}

struct Recipe {
    name: &'static str,
    conductivity: f64,
    density: f64,
    factors: (f64, f64),
    sorption: Sorption,
    absorption: Option<f64>,
}

/// Demonstration data, no source: the laws hold for any.
fn material(recipe: Recipe) -> Material {
    Material {
        name: recipe.name.to_string(),
        conductivity: Conductivity::from_w_per_mk(recipe.conductivity),
        conductivity_by_water: recipe.absorption.map_or(0.0, |_| 0.002),
        density: kg_m3(recipe.density),
        specific_heat: SpecificHeat::from_j_per_kgk(1000.0),
        vapour: VapourResistance::DryWet {
            dry: recipe.factors.0,
            wet: recipe.factors.1,
        },
        sorption: recipe.sorption,
        liquid: recipe
            .absorption
            .map_or(Liquid::None, |a| Liquid::ByAbsorption {
                coefficient: WaterAbsorption::from_kg_per_m2_root_s(a),
                redistribution: 0.1,
            }),
    }
}

fn capillary(free: f64, at_80: f64) -> Sorption {
    Sorption::Capillary {
        free_saturation: kg_m3(free),
        at_80: kg_m3(at_80),
    }
}

fn board(name: &'static str, factor: f64, most: f64) -> Material {
    let points = [(0.0, 0.0), (0.9, 0.5), (1.0, most)]
        .map(|(humidity, water)| SorptionPoint {
            humidity,
            water: kg_m3(water),
        })
        .to_vec();
    material(Recipe {
        name,
        conductivity: 0.035,
        density: 30.0,
        factors: (factor, factor),
        sorption: Sorption::Table { points },
        absorption: None,
    })
}

fn layer(mm: f64, material: Material, start: Start) -> Layer {
    Layer {
        thickness: Length::from_mm(mm),
        material,
        start,
    }
}

/// A rendered masonry wall with boards outside; the masonry holds `water` at the start.
fn wall(insulation: Material, water: f64) -> Wall {
    let settled = Start::Humidity(0.8);
    let plaster = Recipe {
        name: "plaster",
        conductivity: 0.57,
        density: 1300.0,
        factors: (10.0, 6.0),
        sorption: capillary(250.0, 8.0),
        absorption: Some(0.05),
    };
    let brick = Recipe {
        name: "brick",
        conductivity: 0.5,
        density: 1600.0,
        factors: (12.0, 8.0),
        sorption: capillary(230.0, 9.0),
        absorption: Some(0.15),
    };
    let finish = Recipe {
        name: "finish",
        conductivity: 0.87,
        density: 1700.0,
        factors: (25.0, 20.0),
        sorption: capillary(200.0, 25.0),
        absorption: Some(0.005),
    };
    Wall {
        layers: vec![
            layer(15.0, material(plaster), settled),
            layer(240.0, material(brick), Start::Water(kg_m3(water))),
            layer(140.0, insulation, settled),
            layer(7.0, material(finish), settled),
        ],
        inside: face(8.0, 0.3, 0.0),
        outside: face(20.0, 0.004, 0.7),
        start: Temperature::from_celsius(15.0),
        air: AirPermeability::ByTemperature,
    }
}

fn face(heat: f64, air_layer: f64, rain: f64) -> Face {
    Face::Film(Film {
        heat_transfer: Transmittance::from_w_per_m2k(heat),
        vapour_air_layer: Length::from_m(air_layer),
        absorbed_sun: 0.4,
        held_rain: rain,
    })
}

fn hour(outside: (f64, f64), inside: (f64, f64), sun: f64, rain_mm: f64) -> Hour {
    Hour {
        outside_temperature: Temperature::from_celsius(outside.0),
        outside_humidity: outside.1,
        sun: HeatFlux::from_w_per_m2(sun),
        rain: MoistureFlux::from_kg_per_m2s(rain_mm / 3600.0),
        inside_temperature: Temperature::from_celsius(inside.0),
        inside_humidity: inside.1,
    }
}

fn year() -> Climate {
    Climate::Yearly(Swing {
        coldest: hour((-1.0, 0.85), (20.0, 0.45), 0.0, 0.0),
        warmest: hour((19.0, 0.73), (22.0, 0.6), 0.0, 0.0),
        coldest_after: Duration::from_days(90.0),
    })
}

/// A month of made-up weather with sun by day and showers, from a fixed seed.
fn weather(hours: usize) -> Climate {
    let mut seed = 11_u64;
    let mut draw = move || {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as f64 / f64::from(1_u32 << 31)
    };
    Climate::Hourly(
        (0..hours)
            .map(|h| {
                let day = (2.0 * std::f64::consts::PI * (h % 24) as f64 / 24.0).cos();
                let rain = if draw() < 0.1 { 2.0 * draw() } else { 0.0 };
                let outside = (
                    5.0 - 5.0 * day + draw(),
                    (0.8 + 0.1 * day + 0.1 * (draw() - 0.5)).min(1.0),
                );
                hour(outside, (20.0, 0.5), (-400.0 * day).max(0.0) * draw(), rain)
            })
            .collect(),
    )
}

fn days(number: f64) -> Duration {
    Duration::from_days(number)
}

fn task(span: f64, every: f64) -> Task {
    Task {
        span: days(span),
        every: days(every),
        profiles_at: vec![days(span)],
    }
}

#[test]
fn no_water_is_lost_or_made() {
    for (climate, accuracy, span) in [
        (weather(720), Accuracy::climate(), 60.0),
        (year(), Accuracy::seasons(), 730.0),
        (
            Climate::Constant(hour((0.0, 0.8), (20.0, 0.5), 0.0, 1.0)),
            Accuracy::seasons(),
            30.0,
        ),
    ] {
        for insulation in [board("foam", 60.0, 40.0), board("wool", 1.0, 200.0)] {
            let history = simulate(
                &wall(insulation, 120.0),
                &climate,
                &task(span, span),
                &accuracy,
            )
            .unwrap();
            assert!(history.imbalance() < 1e-6, "{}", history.imbalance());
            assert!(history.crossed.as_kg_per_m2() > 1.0);
            // The record agrees with what crossed the faces.
            let total = |i: usize| history.records[i].total.as_kg_per_m2();
            let change = total(history.records.len() - 1) - total(0);
            let crossed = (history.from_inside + history.from_outside).as_kg_per_m2();
            assert!((change - crossed).abs() < 1e-5, "{change} and {crossed}");
        }
    }
}

#[test]
fn a_sealed_wall_keeps_its_water() {
    let mut sealed = wall(board("wool", 1.0, 200.0), 100.0);
    let shut = Face::Film(Film {
        heat_transfer: Transmittance::from_w_per_m2k(10.0),
        vapour_air_layer: Length::from_m(10_000.0),
        absorbed_sun: 0.0,
        held_rain: 0.0,
    });
    (sealed.inside, sealed.outside) = (shut, shut);
    let history = simulate(&sealed, &year(), &task(730.0, 365.0), &Accuracy::seasons()).unwrap();
    let totals: Vec<f64> = history
        .records
        .iter()
        .map(|r| r.total.as_kg_per_m2())
        .collect();
    // Ten kilometres of air let through a few grams in two years: 2e-10 / 1e4 * 2000 Pa * 6.3e7 s = 2.5 g on each face.
    assert!((totals[2] - totals[0]).abs() < 0.006, "{totals:?}");
    // Inside it wanders: the boards and the finish take up what the masonry gives.
    assert!(history.records[2].layers[1] < history.records[0].layers[1]);
}

#[test]
fn steady_heat_and_vapour_are_the_plain_ones() {
    // Two layers that hold no water: temperatures by ISO 6946, vapour pressures by their resistances, by hand.
    let dry = |name, lambda, factor| {
        material(Recipe {
            name,
            conductivity: lambda,
            density: 500.0,
            factors: (factor, factor),
            sorption: Sorption::None,
            absorption: None,
        })
    };
    let plain = Wall {
        layers: vec![
            layer(200.0, dry("inner", 0.5, 10.0), Start::Humidity(0.5)),
            layer(100.0, dry("outer", 0.04, 40.0), Start::Humidity(0.5)),
        ],
        inside: face(1.0 / 0.13, 0.008, 0.0),
        outside: face(25.0, 0.004, 0.0),
        start: Temperature::from_celsius(10.0),
        air: AirPermeability::Constant(quantity::VapourPermeability::from_kg_per_mspa(2e-10)),
    };
    let climate = Climate::Constant(hour((5.0, 0.5), (20.0, 0.4), 0.0, 0.0));
    let history = simulate(&plain, &climate, &task(200.0, 200.0), &Accuracy::seasons()).unwrap();
    let saturation = |t: f64| 610.5 * (17.269 * t / (237.3 + t)).exp();
    let (pi, pe) = (0.4 * saturation(20.0), 0.5 * saturation(5.0));
    let resistance = 0.13 + 0.4 + 2.5 + 0.04;
    let air_layers = 0.008 + 2.0 + 4.0 + 0.004;
    for slice in &history.profiles[0].slices {
        let x = slice.from_inside.as_m();
        let r = 0.13
            + if x < 0.2 {
                x / 0.5
            } else {
                0.4 + (x - 0.2) / 0.04
            };
        let s = 0.008
            + if x < 0.2 {
                x * 10.0
            } else {
                2.0 + (x - 0.2) * 40.0
            };
        let t = 20.0 - 15.0 * r / resistance;
        // What vapour carries is a few thousandths of the heat; it is not in the hand calculation.
        assert!(
            (slice.temperature.as_celsius() - t).abs() < 0.02,
            "{x}: {} for {t}",
            slice.temperature.as_celsius()
        );
        let p = pi + (pe - pi) * s / air_layers;
        let got = slice.humidity * saturation(slice.temperature.as_celsius());
        assert!((got - p).abs() < 0.5, "{x}: {got} for {p}");
    }
}

#[test]
fn finer_steps_and_slices_change_little() {
    let climate = weather(720);
    let mean = |accuracy: &Accuracy| {
        let history = simulate(
            &wall(board("wool", 1.0, 200.0), 60.0),
            &climate,
            &task(90.0, 90.0),
            accuracy,
        )
        .unwrap();
        history.records[1].layers[1].as_kg_per_m3()
    };
    let usual = mean(&Accuracy::climate());
    let fine = mean(&Accuracy {
        longest_step: Duration::from_seconds(900.0),
        humidity: 0.02,
        temperature_k: 1.0,
        slicing: Slicing {
            smallest_m: 5e-4,
            growth: 1.25,
            least: 12,
        },
        ..Accuracy::climate()
    });
    assert!(
        (usual - fine).abs() < 0.02 * (60.0 - fine),
        "{usual} and {fine}"
    );
}

#[test]
fn the_same_run_gives_the_same_bits() {
    let run = || {
        simulate(
            &wall(board("foam", 60.0, 40.0), 60.0),
            &weather(240),
            &task(20.0, 5.0),
            &Accuracy::climate(),
        )
        .unwrap()
    };
    assert_eq!(run(), run());
}

fn candidates(water: f64) -> Vec<Candidate> {
    [
        ("wool", 1.0),
        ("board of factor 5", 5.0),
        ("foam", 60.0),
        ("dense foam", 150.0),
    ]
    .map(|(name, factor)| Candidate {
        name: name.to_string(),
        wall: wall(board(name, factor, 100.0), water),
        wet_layer: 1,
    })
    .to_vec()
}

fn question() -> DryingTask {
    DryingTask {
        dry: Dry::Humidity(0.8),
        longest: days(4.0 * 365.0),
        every: days(5.0),
    }
}

#[test]
fn a_wet_wall_dries_faster_behind_open_boards_than_behind_dense_ones() {
    let answer = drying(
        &candidates(150.0),
        &year(),
        &question(),
        &Accuracy::seasons(),
    )
    .unwrap();
    assert_eq!(answer.order, [0, 1, 2, 3]);
    let times: Vec<f64> = answer
        .candidates
        .iter()
        .map(|c| c.dry_after.expect("dry within four years").as_days())
        .collect();
    assert!(times.windows(2).all(|w| w[0] < w[1]), "{times:?}");
    for candidate in &answer.candidates {
        assert!((candidate.start.as_kg_per_m3() - 150.0).abs() < 1e-6);
        // The target by the sorption at 80 %, which the two points of the form define: 9 kg/m3.
        assert!((candidate.target.as_kg_per_m3() - 9.0).abs() < 1e-9);
        assert!(candidate.half_after.unwrap() < candidate.dry_after.unwrap());
        // Falls all the way to the mark.
        let until = candidate.dry_after.unwrap();
        let falling: Vec<f64> = candidate
            .curve
            .iter()
            .take_while(|p| p.after <= until)
            .map(|p| p.water.as_kg_per_m3())
            .collect();
        assert!(
            falling.windows(2).all(|w| w[1] < w[0]),
            "{}",
            candidate.name
        );
        assert!(
            candidate.answer.contains("150 kg of water") && candidate.answer.contains("dry after"),
            "{}",
            candidate.answer
        );
    }
    assert!(
        answer.answer.starts_with("wool: dry after"),
        "{}",
        answer.answer
    );
}

#[test]
fn more_water_takes_longer_and_paint_inside_slows() {
    let time = |water: f64, paint: f64| {
        let mut candidate = candidates(water).swap_remove(2);
        candidate.wall.inside = face(8.0, paint, 0.0);
        let answer = drying(&[candidate], &year(), &question(), &Accuracy::seasons()).unwrap();
        answer.candidates[0]
            .dry_after
            .expect("dry within four years")
            .as_days()
    };
    assert!(time(80.0, 0.1) < time(120.0, 0.1));
    assert!(time(120.0, 0.1) < time(180.0, 0.1));
    assert!(time(120.0, 0.1) < time(120.0, 0.5));
}

#[test]
fn a_wall_that_does_not_dry_says_so_with_its_figures() {
    let mut candidate = candidates(180.0).swap_remove(3);
    candidate.wall.inside = face(8.0, 100.0, 0.0);
    let short = DryingTask {
        longest: days(200.0),
        ..question()
    };
    let answer = drying(&[candidate], &year(), &short, &Accuracy::seasons()).unwrap();
    let only = &answer.candidates[0];
    assert!(only.dry_after.is_none() && only.end > only.target);
    assert!(
        only.answer.contains("not dry")
            && only
                .answer
                .contains(&format!("{:.1} kg/m3", only.end.as_kg_per_m3())),
        "{}",
        only.answer
    );
    assert!(
        answer.answer.contains("not dry after 7 months"),
        "{}",
        answer.answer
    );
}

#[test]
fn rain_that_the_face_cannot_draw_runs_off() {
    // A cloudburst offers far more than a finish of low absorption takes; what enters is bounded by A sqrt(t) of the finish.
    let storm = Climate::Constant(hour((15.0, 0.9), (20.0, 0.5), 0.0, 30.0));
    let mut tight = wall(board("foam", 60.0, 40.0), 20.0);
    tight.layers[3].start = Start::Humidity(0.5);
    let history = simulate(&tight, &storm, &task(0.25, 0.25), &Accuracy::climate()).unwrap();
    let entered = history.from_outside.as_kg_per_m2();
    let bound = 0.005 * (6.0_f64 * 3600.0).sqrt();
    assert!(
        entered > 0.3 * bound && entered < 1.1 * bound,
        "{entered} for {bound}"
    );
    let dry = hour((15.0, 0.9), (20.0, 0.5), 0.0, 0.0);
    let without = simulate(
        &tight,
        &Climate::Constant(dry),
        &task(0.25, 0.25),
        &Accuracy::climate(),
    )
    .unwrap();
    assert!(without.from_outside.as_kg_per_m2() < 0.1 * entered);
}

#[test]
fn the_sheet_carries_search_material_and_balance() {
    let list = candidates(120.0);
    let answer = drying(&list, &year(), &question(), &Accuracy::seasons()).unwrap();
    let mut sheet = Sheet::new();
    let figure = record(&mut sheet, &list[0], &answer.candidates[0]).unwrap();
    assert_eq!(figure.value, answer.candidates[0].dry_after.unwrap());
    let lines = sheet.lines();
    assert!(
        lines
            .iter()
            .any(|l| l.kind == working::LineKind::Step && l.label.contains("slices"))
    );
    assert!(
        lines
            .iter()
            .any(|l| l.kind == working::LineKind::Checked && l.holds)
    );
    // 3.8 (0.15/230)^2 1000^(120/230 - 1), by hand.
    let d = lines.iter().find(|l| l.symbol == "D_w").unwrap();
    assert!(
        (d.value / (3.8 * (0.15_f64 / 230.0).powi(2) * 1000.0_f64.powf(120.0 / 230.0 - 1.0)) - 1.0)
            .abs()
            < 1e-9
    );
}

#[test]
fn every_fault_of_a_bad_wall_comes_at_once_with_its_place() {
    let mut bad = wall(board("foam", 60.0, 40.0), 500.0);
    bad.layers[0].thickness = Length::ZERO;
    bad.layers[0].material.conductivity = Conductivity::from_w_per_mk(-1.0);
    bad.layers[2].material.vapour = VapourResistance::Constant { factor: 0.5 };
    bad.layers[2].material.sorption = Sorption::Table {
        points: [(0.0, 5.0), (0.5, 3.0), (0.9, f64::NAN)]
            .map(|(humidity, water)| SorptionPoint {
                humidity,
                water: kg_m3(water),
            })
            .to_vec(),
    };
    bad.layers[3].start = Start::Humidity(1.2);
    bad.start = Temperature::from_celsius(f64::NAN);
    bad.inside = face(0.0, 0.01, 0.0);
    let climate = Climate::Hourly(vec![
        hour((5.0, 0.8), (20.0, 1.5), 0.0, 0.0),
        hour((900.0, 0.8), (20.0, 0.5), 0.0, -1.0),
    ]);
    let faults = simulate(
        &bad,
        &climate,
        &Task {
            span: days(-1.0),
            every: days(1.0),
            profiles_at: vec![],
        },
        &Accuracy::climate(),
    )
    .unwrap_err();
    let places: Vec<&str> = faults.iter().map(|f| f.path.as_str()).collect();
    for place in [
        "layers[0].thickness_m",
        "layers[0].material.conductivity_w_per_mk",
        "layers[1].start_water_kg_per_m3",
        "layers[2].material.vapour_resistance_factor",
        "layers[2].material.sorption.points[1]",
        "layers[2].material.sorption.points[2].water_kg_per_m3",
        "layers[2].material.sorption.points[2].humidity",
        "layers[3].start_humidity",
        "start_temperature_c",
        "inside.heat_transfer_w_per_m2k",
        "climate.hours[0].inside_humidity",
        "climate.hours[1].outside_temperature_c",
        "climate.hours[1].rain_kg_per_m2s",
        "span",
    ] {
        assert!(places.contains(&place), "no fault at {place} in {places:?}");
    }
    let faults = drying(&[], &year(), &question(), &Accuracy::seasons()).unwrap_err();
    assert_eq!(
        (faults[0].path.as_str(), faults[0].reason),
        ("candidates", "COUNT")
    );
    let mut lost = candidates(100.0);
    lost[1].wet_layer = 9;
    let faults = drying(&lost, &year(), &question(), &Accuracy::seasons()).unwrap_err();
    assert_eq!(faults[0].path, "candidates[1].wet_layer");
}
