//! Defaults of the fixing rules, every one of them still to be verified, and the check of rule data.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec;
use alloc::vec::Vec;

use quantity::{Force, Length, PerArea, Stress};
use standards::eota::{BondRule, Cited, FixingRules, PlacementRule, SiteTestRule};
use working::{Fault, Faults, Standing};

const MEMORY: &str = "from memory of the assessment documents";
const PRACTICE: &str = "common practice, no source";

/// The defaults where no national rule data are given.
pub fn defaults() -> FixingRules {
    let steps = [0.3, 0.4, 0.5, 0.6, 0.75, 0.9, 1.2, 1.5];
    FixingRules {
        key: "eota-default".to_string(),
        name: "defaults after the European assessment documents".to_string(),
        country: String::new(),
        document: "EAD 040083-00-0404, EAD 330196-01-0604, EOTA TR 051".to_string(),
        wind_factor: Cited::published(1.5, "recommended in a public certificate; EN 1990"),
        wall_factor: Cited::unverified(2.0, MEMORY),
        system_factor: Cited::unverified(1.5, MEMORY),
        system_reduction: Cited::unverified(1.0, MEMORY),
        per_m2_min: Cited::unverified(PerArea::from_per_m2(4.0), MEMORY),
        per_m2_usual_low: Cited::unverified(PerArea::from_per_m2(4.0), PRACTICE),
        per_m2_usual_high: Cited::unverified(PerArea::from_per_m2(16.0), PRACTICE),
        site_tests: SiteTestRule {
            tests_min: Cited::unverified(15, MEMORY),
            smallest: Cited::unverified(5, MEMORY),
            factor: Cited::unverified(0.6, MEMORY),
            cap: Cited::unverified(Force::from_kn(1.5), MEMORY),
            steps: Cited::unverified(steps.into_iter().map(Force::from_kn).collect(), MEMORY),
        },
        bond: BondRule {
            needed_strength: Cited::unverified(Stress::from_mpa(0.03), MEMORY),
            share_floor: Cited::unverified(0.2, MEMORY),
            share_practice: Cited::published(0.4, "trade page: dabs cover at least 40 %"),
            substrate_min: Cited::unverified(Stress::from_mpa(0.08), MEMORY),
            material_factor: Cited::unverified(1.0, "no partial factor known; the margin is shown"),
            dead_load_factor: Cited::unverified(1.35, "EN 1990, from memory"),
            flatness_bonded_mm: Cited::published(10.0, "trade article, German practice"),
            flatness_anchored_mm: Cited::published(20.0, "trade article, German practice"),
        },
        placement: PlacementRule {
            board_edge: Cited::unverified(Length::from_mm(100.0), PRACTICE),
            board_edge_min: Cited::unverified(Length::from_mm(50.0), PRACTICE),
        },
    }
}

/// Every fault of fixing rules: factors below 1, shares outside 0 to 1, numbers that are not positive, steps out of order.
pub fn check(rules: &FixingRules, path: &str) -> Vec<Fault> {
    let mut faults = Faults::new();
    let mut within = |field: &str, number: f64, low: f64, high: f64| {
        if !(low..=high).contains(&number) {
            faults.add(
                format!("{path}.{field}"),
                "OUT_OF_RANGE",
                number.to_string(),
                format!("{low} to {high}"),
            );
        }
    };
    within("wind_factor", rules.wind_factor.value, 1.0, 5.0);
    within("wall_factor", rules.wall_factor.value, 1.0, 5.0);
    within("system_factor", rules.system_factor.value, 1.0, 5.0);
    within("system_reduction", rules.system_reduction.value, 0.01, 1.0);
    within("per_m2_min", rules.per_m2_min.value.as_per_m2(), 0.0, 30.0);
    within(
        "per_m2_usual_low",
        rules.per_m2_usual_low.value.as_per_m2(),
        0.0,
        50.0,
    );
    within(
        "per_m2_usual_high",
        rules.per_m2_usual_high.value.as_per_m2(),
        0.0,
        50.0,
    );
    let tests = &rules.site_tests;
    within(
        "site_tests.tests_min",
        f64::from(tests.tests_min.value),
        1.0,
        1000.0,
    );
    within(
        "site_tests.smallest",
        f64::from(tests.smallest.value),
        1.0,
        f64::from(tests.tests_min.value),
    );
    within("site_tests.factor", tests.factor.value, 0.01, 1.0);
    within("site_tests.cap_kn", tests.cap.value.as_kn(), 0.01, 100.0);
    let bond = &rules.bond;
    within(
        "bond.needed_strength_mpa",
        bond.needed_strength.value.as_mpa(),
        0.001,
        10.0,
    );
    within("bond.share_floor", bond.share_floor.value, 0.0, 1.0);
    within("bond.share_practice", bond.share_practice.value, 0.0, 1.0);
    within(
        "bond.substrate_min_mpa",
        bond.substrate_min.value.as_mpa(),
        0.0,
        10.0,
    );
    within(
        "bond.material_factor",
        bond.material_factor.value,
        1.0,
        10.0,
    );
    within(
        "bond.dead_load_factor",
        bond.dead_load_factor.value,
        1.0,
        5.0,
    );
    within(
        "placement.board_edge_mm",
        rules.placement.board_edge.value.as_mm(),
        1.0,
        500.0,
    );
    let high = rules.placement.board_edge.value.as_mm();
    within(
        "placement.board_edge_min_mm",
        rules.placement.board_edge_min.value.as_mm(),
        1.0,
        high,
    );
    let steps = &tests.steps.value;
    let rising = steps.windows(2).all(|pair| pair.first() < pair.last());
    if !rising || steps.iter().any(|s| !(s.as_n() > 0.0 && s.is_finite())) {
        faults.add(
            format!("{path}.site_tests.steps_kn"),
            "NOT_ASCENDING",
            format!("{} steps", steps.len()),
            "positive forces that rise",
        );
    }
    faults.into_list()
}

/// The names of the rules that an anchor design leans on and that are not verified.
pub(crate) fn unverified(rules: &FixingRules) -> Vec<&'static str> {
    let all = [
        (rules.wind_factor.standing, "partial factor on the wind"),
        (rules.wall_factor.standing, "partial factor in the wall"),
        (
            rules.system_factor.standing,
            "partial factor on pull-through",
        ),
        (rules.system_reduction.standing, "reduction on pull-through"),
        (rules.per_m2_min.standing, "least number of anchors"),
    ];
    let mut names = vec![];
    names.extend(
        all.into_iter()
            .filter(|(s, _)| *s == Standing::Unverified)
            .map(|(_, n)| n),
    );
    names
}
