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
});

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
    request.layers[0].thickness_mm = -1.0;
    request.u_at_most_w_per_m2k = Some(f64::INFINITY);
    request.terms = None;
    let faults = refused(here.economy(request));
    for place in [
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
