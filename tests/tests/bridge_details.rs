//! Every detail of the rules: it stands at its defaults and at the ends of its ranges, and insulation does what insulation does.

mod bridge_reading;

use std::collections::BTreeMap;

use thermal_bridge::{Accuracy, Detail, Junction, Solution, build, record, solve};
use working::{Fault, Sheet};

fn choose(choices: &[(&str, f64)]) -> BTreeMap<String, f64> {
    choices
        .iter()
        .map(|(name, value)| ((*name).to_string(), *value))
        .collect()
}

fn try_solve(
    detail: &Detail,
    chosen: &BTreeMap<String, f64>,
) -> Result<(Solution, Junction), Vec<Fault>> {
    try_solve_to(detail, chosen, &Accuracy::default())
}

fn try_solve_to(
    detail: &Detail,
    chosen: &BTreeMap<String, f64>,
    accuracy: &Accuracy,
) -> Result<(Solution, Junction), Vec<Fault>> {
    let section = build(detail, chosen)?;
    let solution = solve(&section.model, accuracy)?;
    let junction = record(&mut Sheet::new(), &section, &solution)?;
    Ok((solution, junction))
}

fn at(id: &str, choices: &[(&str, f64)]) -> (Solution, Junction) {
    try_solve(&bridge_reading::detail(id), &choose(choices))
        .unwrap_or_else(|faults| panic!("{id} at {choices:?}: {faults:#?}"))
}

fn psi(id: &str, choices: &[(&str, f64)]) -> f64 {
    at(id, choices).1.psi_outer.value.as_w_per_mk()
}

fn factor(id: &str, choices: &[(&str, f64)]) -> f64 {
    at(id, choices).1.factor.value
}

#[test]
fn every_detail_stands_at_its_defaults() {
    let details = bridge_reading::details();
    assert!(details.len() >= 9, "{} details", details.len());
    for detail in &details {
        let (solution, junction) = try_solve(detail, &BTreeMap::new())
            .unwrap_or_else(|faults| panic!("{}: {faults:#?}", detail.id));
        assert!(
            solution.imbalance() < 1e-9,
            "{}: {}",
            detail.id,
            solution.imbalance()
        );
        let last = solution.refinements().last().unwrap();
        assert!(last.flow_change.unwrap() <= 0.01, "{}: {last:?}", detail.id);
        let f = junction.factor.value;
        assert!(f > 0.3 && f < 1.0, "{}: f_Rsi {f}", detail.id);
        let psi = junction.psi_outer.value.as_w_per_mk();
        assert!((-0.5..1.5).contains(&psi), "{}: psi {psi}", detail.id);
    }
}

#[test]
fn every_parameter_may_stand_at_either_end_of_its_range_alone() {
    // The first grid is enough to see that a section is whole.
    let coarse = Accuracy {
        most_halvings: 0,
        ..Accuracy::default()
    };
    for detail in bridge_reading::details() {
        for parameter in &detail.parameters {
            for value in [parameter.lowest, parameter.highest] {
                let chosen = choose(&[(&parameter.name, value)]);
                match try_solve_to(&detail, &chosen, &coarse) {
                    Ok((solution, _)) => assert!(solution.imbalance() < 1e-9),
                    // Some ends do not fit the other defaults; then the answer says where, and nothing worse happens.
                    Err(faults) => assert!(
                        faults
                            .iter()
                            .all(|f| !f.path.is_empty() && f.reason != "NOT_SOLVED"),
                        "{} with {} = {value}: {faults:#?}",
                        detail.id,
                        parameter.name
                    ),
                }
            }
        }
    }
}

#[test]
fn insulation_at_the_junction_lowers_psi_and_warms_the_inner_surface() {
    // (detail, parameter of the local insulation)
    for (id, name, thick) in [
        ("reveal", "d_rev", 40.0),
        ("sill", "d_sill", 40.0),
        ("lintel-roller-box", "d_b", 40.0),
        ("base-at-walkway", "i_p", 120.0),
        ("parapet", "e_i", 100.0),
        ("parapet", "e_t", 100.0),
        ("base-profile", "i_p", 120.0),
    ] {
        let (bare, clad) = (at(id, &[(name, 0.0)]), at(id, &[(name, thick)]));
        // The flanking elements change with some of these, so the law is said of the heat that passes and of the coldest point.
        assert!(
            clad.1.coupling.value < bare.1.coupling.value,
            "{id}, {name}: heat flow"
        );
        // Insulation between room and box cools the box, and with it the top of the frame; everywhere else the surface gains.
        if id != "lintel-roller-box" {
            assert!(
                clad.1.factor.value > bare.1.factor.value,
                "{id}, {name}: f_Rsi"
            );
        }
    }
    assert!(psi("reveal", &[("d_rev", 0.0)]) > psi("reveal", &[("d_rev", 30.0)]));
    assert!(psi("sill", &[("d_sill", 0.0)]) > psi("sill", &[("d_sill", 30.0)]));
    assert!(psi("base-at-walkway", &[("i_p", 0.0)]) > psi("base-at-walkway", &[("i_p", 100.0)]));
}

#[test]
fn a_thermal_break_and_insulation_around_the_balcony_both_help() {
    let through = psi("balcony-slab", &[]);
    assert!(psi("balcony-slab", &[("lambda_b", 0.2)]) < through);
    assert!(psi("balcony-slab", &[("e_t", 80.0), ("e_b", 80.0)]) < through);
    assert!(factor("balcony-slab", &[("lambda_b", 0.2)]) > factor("balcony-slab", &[]));
    // Reference rule of thumb: a slab right through an insulated wall is among the worst bridges there are.
    assert!(through > 0.5, "{through}");
}

#[test]
fn a_metal_base_profile_is_worse_than_a_plastic_one() {
    assert!(
        psi("base-profile", &[("lambda_b", 160.0)]) > psi("base-profile", &[("lambda_b", 0.17)])
    );
}

#[test]
fn corners_keep_their_signs() {
    // Geometry: outer dimensions count a salient corner twice, inner dimensions a re-entrant one.
    let (_, salient) = at("corner-salient", &[]);
    assert!(salient.psi_inner.value.as_w_per_mk() > 0.0);
    assert!(salient.psi_outer.value.as_w_per_mk() < 0.0);
    let (_, re_entrant) = at("corner-re-entrant", &[]);
    assert!(re_entrant.psi_inner.value.as_w_per_mk() < 0.0);
    assert!(re_entrant.psi_outer.value.as_w_per_mk() > 0.0);
    assert!(salient.factor.value < re_entrant.factor.value);
}

#[test]
fn a_filled_joint_hardly_bridges_and_an_open_one_does() {
    let filled = psi("joint-profile", &[]);
    assert!(filled.abs() < 0.02, "{filled}");
    assert!(psi("joint-profile", &[("lambda_j", 1.0)]) > filled + 0.01);
}

#[test]
fn the_sheet_carries_grid_flows_flanks_and_both_psi() {
    let detail = bridge_reading::detail("reveal");
    let section = build(&detail, &BTreeMap::new()).unwrap();
    let solution = solve(&section.model, &Accuracy::default()).unwrap();
    let mut sheet = Sheet::new();
    let junction = record(&mut sheet, &section, &solution).unwrap();
    let lines = sheet.lines();
    let step = lines
        .iter()
        .find(|l| l.kind == working::LineKind::Step)
        .unwrap();
    assert!(
        step.label.contains("lines") && step.label.contains("heat out"),
        "{}",
        step.label
    );
    let checks: Vec<_> = lines
        .iter()
        .filter(|l| l.kind == working::LineKind::Checked)
        .collect();
    assert_eq!(checks.len(), 2);
    assert!(checks.iter().all(|c| c.holds));
    // By hand from the sheet's own lines: psi = L2D - U1 l1 - U2 l2.
    let u: Vec<f64> = junction
        .flanks
        .iter()
        .map(|u| u.value.as_w_per_m2k())
        .collect();
    let flat = u[0] * 1.5 + u[1] * 0.08;
    let psi = junction.coupling.value.as_w_per_mk() - flat;
    assert!((psi - junction.psi_outer.value.as_w_per_mk()).abs() < 1e-12);
    // The wall of the detail by ISO 6946, by hand: 0.13 + 0.015/0.57 + 0.24/0.5 + 0.14/0.035 + 0.007/0.87 + 0.04.
    let total = 0.13 + 0.015 / 0.57 + 0.24 / 0.5 + 0.14 / 0.035 + 0.007 / 0.87 + 0.04;
    assert!((u[0] - 1.0 / total).abs() < 1e-12);
}

#[test]
fn faults_of_a_choice_come_all_at_once() {
    let detail = bridge_reading::detail("reveal");
    let faults = build(
        &detail,
        &choose(&[("m", -5.0), ("nonsense", 1.0), ("i", f64::NAN)]),
    )
    .unwrap_err();
    let reasons: Vec<&str> = faults.iter().map(|f| f.reason).collect();
    assert!(reasons.contains(&"UNKNOWN_PARAMETER"), "{reasons:?}");
    assert!(
        reasons.contains(&"OUT_OF_RANGE") && reasons.contains(&"NOT_FINITE"),
        "{reasons:?}"
    );
    assert!(
        faults
            .iter()
            .any(|f| f.path == "parameters.m" && f.expected.contains("masonry"))
    );

    let mut wrong = detail;
    wrong.rectangles[0].x1 = "L + nowhere".to_string();
    wrong.boundaries[0].environment = Some("attic".to_string());
    wrong.flanks[0].warm = "attic".to_string();
    let faults = build(&wrong, &BTreeMap::new()).unwrap_err();
    let paths: Vec<&str> = faults.iter().map(|f| f.path.as_str()).collect();
    for path in [
        "rectangles[0].x1_mm",
        "boundaries[0].environment",
        "flanks[0].warm",
    ] {
        assert!(paths.contains(&path), "{paths:?}");
    }
}
