//! The single questions of building physics through the same calls that the server answers with, against published numbers.

use std::fs;
use std::path::Path;

use api::v1;
use client::{Estimator, NoSurvey, Refusal, parse_as};
use prost::Message;

fn here() -> Estimator {
    Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary))
}

fn file<M: Message + Default>(name: &str, kind: &str) -> M {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("surveys/physics")
        .join(name);
    let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    match parse_as(name, &text, kind) {
        Ok((message, _)) => message,
        Err(NoSurvey::Faults(faults, _)) => panic!("{name}: {faults:#?}"),
        Err(NoSurvey::Syntax(faults)) => panic!("{name}: {faults:#?}"),
        Err(NoSurvey::Unreadable(why)) => panic!("{name}: {why}"),
    }
}

fn answered<A>(answer: Result<A, Refusal>) -> A {
    answer.unwrap_or_else(|r| {
        let faults: Vec<&str> = r.faults.iter().map(|f| f.text.as_str()).collect();
        panic!("{}: {faults:#?}", r.summary)
    })
}

fn refused<A>(answer: Result<A, Refusal>) -> Vec<String> {
    match answer {
        Ok(_) => panic!("it was answered"),
        Err(refusal) => refusal
            .faults
            .iter()
            .map(|f| format!("{} {}", f.path, f.reason))
            .collect(),
    }
}

fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found} and not {expected}"
    );
}

const EVERYTHING: Option<v1::Include> = Some(v1::Include {
    setting_out: false,
    working: true,
    drawings: true,
    rule_costs: false,
});

/// A drawing of that name came back, and an XML reader that is not ours reads it.
fn is_drawn(drawings: &[v1::Drawing], name: &str) -> String {
    let found = drawings.iter().find(|d| d.name == name);
    let found = found.unwrap_or_else(|| panic!("{name} among {}", drawings.len()));
    let tree = roxmltree::Document::parse(&found.svg).unwrap_or_else(|e| panic!("{name}: {e}"));
    assert_eq!(tree.root_element().tag_name().name(), "svg");
    let texts = tree.descendants().filter_map(|n| n.text());
    texts.collect::<Vec<_>>().join(" ")
}

fn is_sound(provenance: Option<&v1::Provenance>, sheet: Option<&v1::CalculationSheet>) {
    assert!(!provenance.unwrap().standards.is_empty());
    assert!(
        sheet
            .unwrap()
            .lines
            .iter()
            .any(|l| l.kind() == v1::LineKind::Derived)
    );
}

/// Own transfer matrix, cross-checked by an independent Crank-Nicolson simulation that differs by less than 0.03 %; in this order:
/// U, periodic U, decrement, shift in h, inner and outer admittance with their shifts, inner and outer capacity in kJ/(m2.K).
const SWINGS: [(&str, [f64; 10]); 3] = [
    (
        "dynamics-concrete.toml",
        [
            3.55731, 1.82707, 0.51361, -5.67569, 5.70431, 0.94812, 11.59188, 1.87277, 86.1677,
            170.8749,
        ],
    ),
    (
        "dynamics-concrete-boards.toml",
        [
            0.35892, 0.06056, 0.16872, -8.10882, 5.94176, 0.85301, 0.84705, 4.03244, 82.2901,
            12.4800,
        ],
    ),
    (
        "dynamics-brick-boards.toml",
        [
            0.19688, 0.02134, 0.10838, -11.69279, 3.90529, 1.61787, 1.02543, 4.97356, 53.9780,
            14.2038,
        ],
    ),
];

#[test]
fn dynamics_meet_the_cross_checked_walls() {
    let here = here();
    for (name, expected) in SWINGS {
        let mut request: v1::DynamicsRequest = file(name, "DynamicsRequest");
        request.include = EVERYTHING;
        let a = answered(here.dynamics(request));
        let found = [
            a.u_w_per_m2k,
            a.periodic_u_w_per_m2k,
            a.decrement_share,
            a.shift_hours,
            a.admittance_inside_w_per_m2k,
            a.shift_inside_hours,
            a.admittance_outside_w_per_m2k,
            a.shift_outside_hours,
            a.capacity_inside_j_per_m2k / 1e3,
            a.capacity_outside_j_per_m2k / 1e3,
        ];
        for (found, expected) in found.iter().zip(expected) {
            // The last printed digit, and 1e-4 relative.
            near(name, *found, expected, 6e-6_f64.max(1e-4 * expected.abs()));
        }
        is_sound(a.provenance.as_ref(), a.sheet.as_ref());
        let words = is_drawn(&a.drawings, "swing.svg");
        let later = format!("{:.1} h later", -a.shift_hours);
        let later = later.replace(".0 h", " h");
        assert!(words.contains(&later), "{later} in {words}");
    }
}

#[test]
fn a_bad_wall_in_a_swing_is_told_whole() {
    let mut request: v1::DynamicsRequest = file("dynamics-brick-boards.toml", "DynamicsRequest");
    request.layers[0].thickness_mm = 0.0;
    request.layers[1].density_kg_per_m3 = f64::NAN;
    request.layers[2].conductivity_w_per_mk = -1.0;
    let faults = refused(here().dynamics(request));
    for place in [
        "layers[0].thickness_mm",
        "layers[1].density_kg_per_m3",
        "layers[2].conductivity_w_per_mk",
    ] {
        assert!(
            faults.iter().any(|f| f.starts_with(place)),
            "{place} in {faults:?}"
        );
    }
}

/// A swing hardly enters what hardly conducts; that is no fault of the period, which the caller may not even have sent.
#[test]
fn a_conductivity_out_of_all_measure_is_told_on_its_own_field() {
    for odd in [1e-300, 9.9e-5, 1.1e4, f64::NAN] {
        let mut request: v1::DynamicsRequest =
            file("dynamics-brick-boards.toml", "DynamicsRequest");
        request.period_hours = None;
        request.layers[2].conductivity_w_per_mk = odd;
        let faults = refused(here().dynamics(request));
        assert_eq!(faults.len(), 1, "{odd}: {faults:?}");
        let place = "layers[2].conductivity_w_per_mk";
        assert!(faults[0].starts_with(place), "{odd}: {faults:?}");
        assert!(faults[0].len() < 200, "{faults:?}");
    }
}

#[test]
fn a_section_of_the_caller_meets_the_standards_second_case() {
    let mut request: v1::BridgeRequest = file("bridge-metal.toml", "BridgeRequest");
    request.include = EVERYTHING;
    let a = answered(here().bridge(request));
    // ISO 10211:2017, annex C, case 2: 9.5 W/m within 0.1, and 7.1 degC within 0.1 at A.
    near("heat flow", a.flows[0].flow_w_per_m, 9.5, 0.1);
    near("temperature at A", a.points[0].temperature_c, 7.1, 0.1);
    near(
        "balance",
        a.flows[0].flow_w_per_m + a.flows[1].flow_w_per_m,
        0.0,
        1e-6,
    );
    assert!(a.imbalance_share < 1e-9);
    assert!(a.drawings[0].svg.starts_with("<svg") || a.drawings[0].svg.starts_with("<?xml"));
    is_sound(a.provenance.as_ref(), a.sheet.as_ref());
}

#[test]
fn the_exact_corner_comes_out() {
    let request: v1::BridgeRequest = file("bridge-corner.toml", "BridgeRequest");
    let a = answered(here().bridge(request));
    // By conformal mapping: the excess over the arms is 1 - (2/pi) ln 2.
    let excess = 1.0 - 2.0 / std::f64::consts::PI * 2.0_f64.ln();
    // The flow settles to 2e-4 of some 20.6 W/(m.K), and psi is a small difference of it.
    near("psi inner", a.psi_inner_w_per_mk, excess, 0.006);
    near("psi outer", a.psi_outer_w_per_mk, excess - 2.0, 0.006);
}

#[test]
fn a_detail_is_solved_and_its_wrong_parameters_are_told_together() {
    let here = here();
    let details = answered(here.list_details(v1::ListDetailsRequest {})).details;
    assert!(details.len() >= 10);
    let mut request: v1::BridgeRequest = file("bridge-reveal.toml", "BridgeRequest");
    let a = answered(here.bridge(request.clone()));
    assert!(a.factor_share > 0.0 && a.factor_share < 1.0 && !a.parameters.is_empty());
    let reveal = details.iter().find(|d| d.key == "reveal").unwrap();
    let beyond = &reveal.parameters[0];
    let detail = v1::DetailChoice {
        key: "reveal".to_owned(),
        parameters: vec![
            v1::NamedValue {
                name: "no-such".to_owned(),
                value: 1.0,
            },
            v1::NamedValue {
                name: beyond.name.clone(),
                value: beyond.highest + 1.0,
            },
        ],
    };
    request.section = Some(v1::bridge_request::Section::Detail(detail));
    let mut faults = refused(here.bridge(request.clone()));
    faults.sort();
    assert_eq!(
        faults,
        [
            "detail.parameters[0].value UNKNOWN_PARAMETER",
            "detail.parameters[1].value OUT_OF_RANGE"
        ]
    );
    let detail = v1::DetailChoice {
        key: "revael".to_owned(),
        parameters: Vec::new(),
    };
    request.section = Some(v1::bridge_request::Section::Detail(detail));
    assert_eq!(refused(here.bridge(request)), ["detail.key UNKNOWN_NAME"]);
}

#[test]
fn a_bad_section_is_told_whole() {
    let mut request: v1::BridgeRequest = file("bridge-metal.toml", "BridgeRequest");
    let Some(v1::bridge_request::Section::Own(own)) = &mut request.section else {
        panic!("an own section");
    };
    own.rectangles[0].conductivity_w_per_mk = 0.0;
    own.boundaries[0].environment = "nowhere".to_owned();
    own.environments[1].side = 0;
    let faults = refused(here().bridge(request));
    for fault in [
        "own.rectangles[0].conductivity_w_per_mk OUT_OF_RANGE",
        "own.boundaries[0].environment UNKNOWN_ENVIRONMENT",
        "own.environments[1].side MISSING",
    ] {
        assert!(faults.iter().any(|f| f == fault), "{fault} in {faults:?}");
    }
}

#[test]
fn the_economic_thickness_is_the_least_of_its_curve() {
    let here = here();
    let mut request: v1::EconomyRequest = file("economy.toml", "EconomyRequest");
    request.include = EVERYTHING;
    let a = answered(here.economy(request.clone()));
    let least = a
        .curve
        .iter()
        .min_by(|x, y| x.total_cost_per_m2.total_cmp(&y.total_cost_per_m2));
    let least = least.unwrap();
    assert_eq!(a.best_thickness_mm, Some(least.thickness_mm));
    // By hand: a = sum over 30 years of (1.02/1.03)^k, and 3500 K d are 84 kKh.
    let present: f64 = (1..=30).map(|k| (1.02_f64 / 1.03).powi(k)).sum();
    let yearly = least.u_w_per_m2k * 84.0 / 0.9 * 0.12;
    near(
        "energy",
        least.energy_cost_per_m2,
        present * yearly,
        0.05 * present * yearly,
    );
    near(
        "sum",
        least.total_cost_per_m2,
        least.board_cost_per_m2 + 80.0 + least.energy_cost_per_m2,
        1e-9,
    );
    assert_eq!(a.drawings.len(), 1);
    is_sound(a.provenance.as_ref(), a.sheet.as_ref());
    assert!(a.findings.iter().any(|f| f.code == "ANCHORS_NOT_COUNTED"));
    request.system = "eps-wite".to_owned();
    request.layers[0].thickness_mm = -1.0;
    request.u_at_most_w_per_m2k = Some(f64::INFINITY);
    request.terms = None;
    let faults = refused(here.economy(request));
    for place in [
        "system UNKNOWN_NAME",
        "layers[0].thickness_mm",
        "u_at_most_w_per_m2k",
        "terms.efficiency",
        "terms.years",
    ] {
        assert!(
            faults.iter().any(|f| f.starts_with(place)),
            "{place} in {faults:?}"
        );
    }
}

#[test]
fn the_saving_is_that_of_a_hand_calculation() {
    let here = here();
    let mut request: v1::SavingRequest = file("saving.toml", "SavingRequest");
    request.include = EVERYTHING;
    let a = answered(here.saving(request.clone()));
    // By hand: 200 x 1.4 + 80 x 0.1 = 288 W/K, 200 x 0.2 + 80 x 0.05 = 44 W/K, 244 x 84 / 0.9 kWh.
    near("before", a.before_w_per_k, 288.0, 1e-9);
    near("after", a.after_w_per_k, 44.0, 1e-9);
    let (energy, money, emission) = (
        a.energy_kwh.unwrap(),
        a.money.unwrap(),
        a.emission_kg.unwrap(),
    );
    near("energy", energy.value, 244.0 * 84.0 / 0.9, 1e-6);
    near("money", money.value, 0.12 * energy.value, 1e-6);
    near("emission", emission.value, 0.2 * energy.value, 1e-6);
    assert!(energy.least < energy.likely_low && energy.likely_high < energy.most);
    assert!(!a.effects.is_empty() && !a.assumptions.is_empty());
    let words = is_drawn(&a.drawings, "saving.svg");
    for figure in ["26880", "4107", "22773", "transmittance before"] {
        assert!(words.contains(figure), "{figure} in {words}");
    }
    is_sound(a.provenance.as_ref(), a.sheet.as_ref());
    request.before = None;
    let terms = request.terms.as_mut().unwrap();
    terms.currency = "money".to_owned();
    terms.efficiency = 0.0;
    let faults = refused(here.saving(request));
    for place in ["before.planes", "terms.currency", "terms.efficiency"] {
        assert!(
            faults.iter().any(|f| f.starts_with(place)),
            "{place} in {faults:?}"
        );
    }
}

#[test]
fn a_wet_wall_dries_sooner_behind_wool_than_behind_foam() {
    let here = here();
    let mut request: v1::DryingRequest = file("drying.toml", "DryingRequest");
    request.include = EVERYTHING;
    let a = answered(here.drying(request.clone()));
    // The foam is named first and the wool second; the wool lets vapour through and so dries first.
    assert_eq!(a.order, [1, 0]);
    near("start", a.results[0].start_kg_per_m3, 150.0, 1e-6);
    near("target", a.results[0].target_kg_per_m3, 9.0, 1e-9);
    assert!(a.answer.contains("dry after") && a.drawings.len() == 1);
    request.wet_layer = 7;
    request.years = Some(50.0);
    request.layers[0].vapour_factor_dry = 0.5;
    let mut faults = refused(here.drying(request.clone()));
    faults.sort();
    assert_eq!(
        faults,
        [
            "layers[0].vapour_factor_dry OUT_OF_RANGE",
            "wet_layer UNKNOWN_LAYER",
            "years OUT_OF_RANGE"
        ]
    );
    let mut request: v1::DryingRequest = file("drying.toml", "DryingRequest");
    request.candidates[0].system = "no-such".to_owned();
    request.candidates[1].board_thickness_mm = 101;
    let faults = refused(here.drying(request));
    assert_eq!(
        faults,
        [
            "candidates[0].system UNKNOWN_NAME",
            "candidates[1].board_thickness_mm OUT_OF_RANGE"
        ]
    );
}

/// An unknown branch hides what lies in branches, such as systems and materials, and nothing else.
#[test]
fn beside_an_unknown_branch_the_rest_is_checked() {
    let here = here();
    let mut drying: v1::DryingRequest = file("drying-materials.toml", "DryingRequest");
    drying.branch = "no-such".to_owned();
    drying.layers[0].material = "nothing".to_owned();
    drying.candidates[0].system = "nothing".to_owned();
    assert_eq!(
        refused(here.drying(drying.clone())),
        ["branch UNKNOWN_NAME"]
    );
    drying.climate = "nowhere".to_owned();
    drying.years = Some(50.0);
    let mut faults = refused(here.drying(drying));
    faults.sort();
    let told = [
        "branch UNKNOWN_NAME",
        "climate UNKNOWN_NAME",
        "years OUT_OF_RANGE",
    ];
    assert_eq!(faults, told);

    let mut economy: v1::EconomyRequest = file("economy.toml", "EconomyRequest");
    economy.branch = "no-such".to_owned();
    economy.system = "nothing".to_owned();
    let alone = refused(here.economy(economy.clone()));
    assert_eq!(alone, ["branch UNKNOWN_NAME"]);
    economy.anchors_per_m2 = Some(90.0);
    let faults = refused(here.economy(economy));
    let told = ["branch UNKNOWN_NAME", "anchors_per_m2 OUT_OF_RANGE"];
    assert_eq!(faults, told);
}

#[test]
fn anchors_cost_money_and_heat_in_the_economic_thickness() {
    let here = here();
    let mut request: v1::EconomyRequest = file("economy.toml", "EconomyRequest");
    let bare = answered(here.economy(request.clone()));
    request.anchors_per_m2 = Some(6.0);
    request.old_render_mm = Some(20);
    let held = answered(here.economy(request.clone()));
    for point in &held.curve {
        let plain = bare
            .curve
            .iter()
            .find(|p| p.thickness_mm == point.thickness_mm);
        let plain = plain.unwrap();
        near(
            "boards",
            point.board_cost_per_m2,
            plain.board_cost_per_m2,
            1e-9,
        );
        assert!(point.anchor_cost_per_m2 > 0.0 && plain.anchor_cost_per_m2 == 0.0);
        assert!(point.u_w_per_m2k > plain.u_w_per_m2k);
        // The anchor passes the board less its recess of 20 mm, the render, and reaches 25 mm at least into the wall.
        assert!(point.anchor_length_mm >= point.thickness_mm + 20 + 25 - 20);
        let sum =
            point.board_cost_per_m2 + point.anchor_cost_per_m2 + 80.0 + point.energy_cost_per_m2;
        near("sum", point.total_cost_per_m2, sum, 1e-9);
    }
    request.anchors_per_m2 = Some(-1.0);
    assert_eq!(
        refused(here.economy(request)),
        ["anchors_per_m2 OUT_OF_RANGE"]
    );
}

#[test]
fn own_walls_meet_the_published_example_and_the_arithmetic() {
    let here = here();
    let a = answered(here.wall(file("wall-timber.toml", "WallRequest")));
    // Scottish Government technical handbook, 6.B.2: limits 3.435 and 3.304, U 0.297.
    let method = a.combined.unwrap();
    near("upper limit", method.upper_m2k_per_w, 3.435, 0.001);
    near("lower limit", method.lower_m2k_per_w, 3.304, 0.001);
    near("U", a.u_w_per_m2k, 0.297, 0.0005);
    near("U rounded", a.u_rounded_w_per_m2k, 0.30, 1e-12);
    assert!(a.moisture.is_none());
    assert!(a.findings.iter().any(|f| f.code == "MOISTURE_NOT_ASSESSED"));
    let mut request: v1::WallRequest = file("wall.toml", "WallRequest");
    request.include = EVERYTHING;
    let a = answered(here.wall(request));
    // 1 / (0.13 + 0.24 / 0.5 + 0.14 / 0.035 + 0.007 / 0.87 + 0.04), and six anchors of 0.004 W/K.
    near("U", a.u_w_per_m2k, 0.214_682, 1e-6);
    near("U with anchors", a.u_corrected_w_per_m2k, 0.238_682, 1e-6);
    assert_eq!(a.moisture.unwrap().months.len(), 12);
    is_sound(a.provenance.as_ref(), a.sheet.as_ref());
    let words = is_drawn(&a.drawings, "wall-profile.svg");
    assert!(words.contains("foam board") && words.contains("January"));
    is_drawn(&a.drawings, "condensate.svg");
}

#[test]
fn insulation_on_the_wrong_side_condenses_and_is_drawn_so() {
    let mut request: v1::WallRequest = file("wall.toml", "WallRequest");
    request.include = EVERYTHING;
    request.layers.reverse();
    let a = answered(here().wall(request));
    let moisture = a.moisture.unwrap();
    assert_ne!(moisture.outcome(), v1::CondensationOutcome::None);
    let most = moisture.accumulated_max_kg_per_m2 * 1e3;
    let words = is_drawn(&a.drawings, "wall-profile.svg");
    let told = format!("at most {most:.2} g/m\u{b2}");
    assert!(words.contains(&told), "{told} in {words}");
    let words = is_drawn(&a.drawings, "condensate.svg");
    assert!(words.contains("gathered") && !words.contains("none in any month"));
}

fn twelve_months(celsius: f64) -> v1::MonthlyClimate {
    let month = v1::MonthlyMean {
        outdoor_celsius: celsius,
        moisture: Some(v1::monthly_mean::Moisture::HumidityShare(0.8)),
    };
    v1::MonthlyClimate {
        name: "a place of no seasons".to_owned(),
        months: vec![month; 12],
    }
}

#[test]
fn everything_that_is_wrong_with_a_wall_comes_back_at_once() {
    use v1::wall_climate::Outside;
    let here = here();
    let mut request: v1::WallRequest = file("wall.toml", "WallRequest");
    let mut eleven = twelve_months(0.0);
    eleven.months.truncate(11);
    let climate = request.climate.as_mut().unwrap();
    climate.outside = Some(Outside::Months(eleven));
    let insulation = request.layers.remove(1);
    let plain = |name: &str| v1::BuildUpLayer {
        name: name.to_owned(),
        thickness_mm: 20.0,
        conductivity_w_per_mk: 0.5,
        vapour_resistance_factor: 10.0,
        ..v1::BuildUpLayer::default()
    };
    let section = |area_share: f64| v1::LayerSection {
        area_share,
        conductivity_w_per_mk: 0.1,
        vapour_resistance_factor: 5.0,
    };
    request.layers = vec![
        v1::BuildUpLayer {
            thickness_mm: 0.0,
            ..plain("no thickness")
        },
        v1::BuildUpLayer {
            conductivity_w_per_mk: -0.5,
            ..plain("negative conductivity")
        },
        v1::BuildUpLayer {
            conductivity_w_per_mk: 0.0,
            ..plain("no conductivity")
        },
        v1::BuildUpLayer {
            vapour_resistance_factor: 0.9,
            ..plain("thinner than air")
        },
        v1::BuildUpLayer {
            conductivity_w_per_mk: 0.0,
            vapour_resistance_factor: 0.0,
            sections: vec![section(0.85), section(0.25)],
            ..plain("more than whole")
        },
        v1::BuildUpLayer {
            conductivity_w_per_mk: 0.0,
            vapour_resistance_factor: 0.0,
            openings_mm2_per_m: Some(2000.0),
            ..plain("ventilated inside the insulation")
        },
        insulation,
    ];
    let mut faults = refused(here.wall(request.clone()));
    faults.sort();
    let mut expected = [
        "layers[0].thickness_mm OUT_OF_RANGE",
        "layers[1].conductivity_w_per_mk OUT_OF_RANGE",
        "layers[2].conductivity_w_per_mk OUT_OF_RANGE",
        "layers[3].vapour_resistance_factor OUT_OF_RANGE",
        "layers[4].sections SHARES_NOT_ONE",
        "layers[5].openings_mm2_per_m VENTILATED_INSIDE_INSULATION",
        "climate.months.months NOT_TWELVE_MONTHS",
    ];
    expected.sort_unstable();
    assert_eq!(faults, expected);
    // Names that are not there are told beside what is wrong with the layers.
    let climate = request.climate.as_mut().unwrap();
    climate.outside = Some(Outside::Key("k2".to_owned()));
    climate.rooms = Some(v1::wall_climate::Rooms::HumidityClass("dry".to_owned()));
    request.layers.truncate(1);
    let mut faults = refused(here.wall(request));
    faults.sort();
    assert_eq!(
        faults,
        [
            "climate.humidity_class UNKNOWN_NAME",
            "climate.key UNKNOWN_NAME",
            "layers[0].thickness_mm OUT_OF_RANGE",
        ]
    );
}

/// A year of weather in the EPW format: the temperature of each hour by its place, steady wind from the west with rain in it.
fn weather(celsius: impl Fn(usize) -> f64) -> String {
    const DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let mut text = "LOCATION,Somewhere,-,-,made up,0,50.0,10.0,1.0,200.0\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n".to_owned();
    let mut place = 0;
    for (month, days) in DAYS.into_iter().enumerate() {
        for day in 1..=days {
            for hour in 1..=24 {
                let mut fields = vec!["0".to_owned(); 35];
                for (i, value) in [
                    (0, 2001.0),
                    (1, month as f64 + 1.0),
                    (2, f64::from(day)),
                    (3, f64::from(hour)),
                    (6, celsius(place)),
                    (8, 80.0),
                    (9, 101_325.0),
                    (20, 270.0),
                    (21, 4.5),
                    (33, 0.2),
                ] {
                    fields[i] = value.to_string();
                }
                text.push_str(&fields.join(","));
                text.push('\n');
                place += 1;
            }
        }
    }
    text
}

#[test]
fn a_season_is_counted_from_weather_and_from_months() {
    use v1::saving_terms::Season;
    let here = here();
    let mut request: v1::SavingRequest = file("saving.toml", "SavingRequest");
    let days = |season: Season, request: &mut v1::SavingRequest| {
        request.terms.as_mut().unwrap().season = Some(season);
        answered(here.saving(request.clone())).degree_days
    };
    // Noon and midnight differ by 20 K about 10 degC: every day counts whole, by the hour only the cold half does.
    let swinging = |i: usize| if i % 24 < 12 { 0.0 } else { 20.0 };
    let of_weather = |step: v1::DegreeStep| {
        Season::Weather(v1::SeasonWeather {
            epw_text: weather(swinging),
            step: step.into(),
            ..v1::SeasonWeather::default()
        })
    };
    let by_day = days(of_weather(v1::DegreeStep::Day), &mut request);
    near("by the day", by_day, 365.0 * (20.0 - 10.0), 1e-6);
    let by_hour = days(of_weather(v1::DegreeStep::Hour), &mut request);
    near("by the hour", by_hour, 365.0 * 0.5 * (20.0 - 0.0), 1e-6);
    let months = |means: v1::MonthlyClimate| {
        Season::Months(v1::SeasonMonths {
            means: Some(means),
            indoor_celsius: Some(22.0),
            ..v1::SeasonMonths::default()
        })
    };
    let by_month = days(months(twelve_months(2.0)), &mut request);
    near("by the month", by_month, 365.0 * (22.0 - 2.0), 1e-6);
    let mut eleven = twelve_months(2.0);
    eleven.months.pop();
    eleven.months[3].outdoor_celsius = f64::NAN;
    let terms = request.terms.as_mut().unwrap();
    terms.season = Some(months(eleven));
    terms.price_per_kwh = -1.0;
    let faults = refused(here.saving(request));
    for place in [
        "terms.months.means.months NOT_TWELVE_MONTHS",
        "terms.months.means.months[3].outdoor_celsius NOT_FINITE",
        "terms.price_per_kwh",
    ] {
        assert!(
            faults.iter().any(|f| f.starts_with(place)),
            "{place} in {faults:?}"
        );
    }
}

#[test]
fn every_bad_line_of_a_weather_file_is_told() {
    let mut request: v1::SavingRequest = file("saving.toml", "SavingRequest");
    let good = weather(|_| 5.0);
    let mut lines: Vec<String> = good.lines().map(str::to_owned).collect();
    // Line 3 is the first hour of the year.
    lines[4] = lines[4].replace(",80,", ",999,");
    lines[9] = lines[9].replacen(",5,", ",warm,", 1);
    lines[19] = "2001,1,1,18,0".to_owned();
    let weather = v1::SeasonWeather {
        epw_text: lines.join("\n"),
        indoor_celsius: Some(200.0),
        ..v1::SeasonWeather::default()
    };
    let terms = request.terms.as_mut().unwrap();
    terms.season = Some(v1::saving_terms::Season::Weather(weather));
    let mut faults = refused(here().saving(request));
    faults.sort();
    assert_eq!(
        faults,
        [
            "terms.weather.epw_text.line[10].dry_bulb_celsius NOT_A_NUMBER",
            "terms.weather.epw_text.line[20].fields TOO_FEW_FIELDS",
            "terms.weather.epw_text.line[5].relative_humidity_percent MISSING",
            "terms.weather.indoor_celsius OUT_OF_RANGE",
        ]
    );
}

#[test]
fn rain_on_the_facade_keeps_a_wall_wetter() {
    let here = here();
    let mut request: v1::DryingRequest = file("drying-materials.toml", "DryingRequest");
    request.candidates.truncate(1);
    request.years = Some(0.2);
    request.climate.clear();
    let facing = |degrees: f64| v1::FacadeWeather {
        epw_text: weather(|_| 8.0),
        facing_degrees: Some(degrees),
        ..v1::FacadeWeather::default()
    };
    let mut end = |degrees: f64| {
        request.weather = Some(facing(degrees));
        let a = answered(here.drying(request.clone()));
        assert!(a.findings.iter().any(|f| f.code == "WEATHER_ON_FACADE"));
        let curve = &a.results[0].curve;
        curve.last().map(|p| p.total_kg_per_m2).unwrap()
    };
    let (windward, lee) = (end(270.0), end(90.0));
    assert!(windward > lee + 0.05, "{windward} and {lee} kg/m2");
    request.years = Some(10.0);
    request.candidates = vec![request.candidates[0].clone(); 3];
    request.climate = "k1".to_owned();
    let mut bad = facing(400.0);
    bad.held_rain_share = Some(1.5);
    bad.epw_text = "LOCATION,Nowhere".to_owned();
    request.weather = Some(bad);
    let faults = refused(here.drying(request));
    for place in [
        "years LIMIT_EXCEEDED",
        "climate DUPLICATE",
        "weather.facing_degrees OUT_OF_RANGE",
        "weather.held_rain_share OUT_OF_RANGE",
        "weather.epw_text.line[1].latitude NOT_A_NUMBER",
    ] {
        assert!(faults.iter().any(|f| f == place), "{place} in {faults:?}");
    }
}

#[test]
fn hygric_data_of_the_catalogue_stand_in_for_what_is_left_out() {
    let here = here();
    let mut request: v1::DryingRequest = file("drying-materials.toml", "DryingRequest");
    request.include = EVERYTHING;
    let a = answered(here.drying(request.clone()));
    assert_eq!(a.results.len(), 3);
    let words = is_drawn(&a.drawings, "drying.svg");
    for one in &a.results {
        // Solid brick of the generic catalogue holds 9 kg/m3 at 80 %.
        near("target", one.target_kg_per_m3, 9.0, 1e-9);
        assert!(words.contains(&one.name), "{} in {words}", one.name);
    }
    let codes: Vec<&str> = a.findings.iter().map(|f| f.code.as_str()).collect();
    assert!(codes.contains(&"HYGRIC_DATA_UNVERIFIED") && codes.contains(&"CLIMATE_SWINGS"));
    assert!(!codes.contains(&"HYGRIC_DATA_ASSUMED"));
    let mut without = request.clone();
    without.climate.clear();
    assert_eq!(refused(here.drying(without)), ["climate MISSING"]);
    request.layers[0].material = "hygric.lime-plastr".to_owned();
    request.layers[1].thickness_mm = 0.0;
    request.climate = "k2".to_owned();
    let mut faults = refused(here.drying(request));
    faults.sort();
    assert_eq!(
        faults,
        [
            "climate UNKNOWN_NAME",
            "layers[0].material UNKNOWN_NAME",
            "layers[1].thickness_mm OUT_OF_RANGE",
        ]
    );
}

#[test]
fn the_thermal_part_draws_its_wall_and_names_the_limits_of_zones() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("surveys/house.toml");
    let text = fs::read_to_string(path).unwrap();
    let Ok((whole, _)) = parse_as::<v1::EstimateRequest>("house.toml", &text, "EstimateRequest")
    else {
        panic!("the demo house");
    };
    let survey = whole.survey.map(|s| match s {
        v1::estimate_request::Survey::Building(b) => v1::assess_request::Survey::Building(b),
        v1::estimate_request::Survey::Short(s) => v1::assess_request::Survey::Short(s),
    });
    let request = v1::AssessRequest {
        survey,
        system: whole.system,
        thickness: whole.thickness,
        wind: whole.wind,
        climate: whole.climate,
        country: "FR".to_owned(),
        include: EVERYTHING,
        ..v1::AssessRequest::default()
    };
    let a = answered(here().assess(request));
    is_drawn(&a.drawings, "wall-profile.svg");
    is_drawn(&a.drawings, "condensate.svg");
    let zone = a
        .findings
        .iter()
        .find(|f| f.code == "THERMAL_LIMIT_OF_ZONE");
    assert!(zone.unwrap().text.contains("H3"), "{}", zone.unwrap().text);
}

/// The request as it was sent, read with code that is not ours.
fn sent(name: &str) -> toml::Value {
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("surveys/physics")
        .join(name);
    let table: toml::Table = fs::read_to_string(file).unwrap().parse().unwrap();
    toml::Value::Table(table)
}

/// Every figure that the sheet calls sent stands in the request's file.
fn all_was_sent(name: &str, sheet: Option<v1::CalculationSheet>) {
    let request = sent(name);
    let lines = sheet.expect("the working was asked for").lines;
    assert!(lines.len() > 10, "{name}");
    for line in lines {
        let Some(path) = line.origin.strip_prefix("request: ") else {
            continue;
        };
        let mut steps = path.split('.').flat_map(|step| step.split('['));
        let found = steps.try_fold(&request, |at, step| match step.strip_suffix(']') {
            Some(index) => at.get(index.parse::<usize>().unwrap()),
            None => at.get(step),
        });
        assert!(found.is_some(), "{name}: {} from {path}", line.label);
    }
}

#[test]
fn what_a_sheet_calls_sent_was_sent() {
    let here = here();
    for name in ["wall.toml", "wall-timber.toml"] {
        let mut asked: v1::WallRequest = file(name, "WallRequest");
        asked.include = EVERYTHING;
        all_was_sent(name, answered(here.wall(asked)).sheet);
    }
    for name in [
        "bridge-corner.toml",
        "bridge-reveal.toml",
        "bridge-metal.toml",
    ] {
        let mut asked: v1::BridgeRequest = file(name, "BridgeRequest");
        asked.include = EVERYTHING;
        all_was_sent(name, answered(here.bridge(asked)).sheet);
    }
    let mut asked: v1::DynamicsRequest = file("dynamics-concrete.toml", "DynamicsRequest");
    asked.include = EVERYTHING;
    all_was_sent(
        "dynamics-concrete.toml",
        answered(here.dynamics(asked)).sheet,
    );
    let mut asked: v1::EconomyRequest = file("economy.toml", "EconomyRequest");
    asked.include = EVERYTHING;
    all_was_sent("economy.toml", answered(here.economy(asked)).sheet);
    let mut asked: v1::SavingRequest = file("saving.toml", "SavingRequest");
    asked.include = EVERYTHING;
    all_was_sent("saving.toml", answered(here.saving(asked)).sheet);
    for name in ["drying.toml", "drying-materials.toml"] {
        let mut asked: v1::DryingRequest = file(name, "DryingRequest");
        asked.include = EVERYTHING;
        asked.years = Some(0.2);
        all_was_sent(name, answered(here.drying(asked)).sheet);
    }
}
