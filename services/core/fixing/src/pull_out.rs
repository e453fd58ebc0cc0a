//! Pull-out tests on site and what may be claimed from them.

use alloc::format;
use alloc::vec::Vec;

use quantity::Force;
use standards::eota::{self, SiteTestRule};
use working::{Fault, Faults, Figure, Finding, Origin, Severity, Sheet, numbered};

/// The resistance that tests on site allow to be claimed.
#[derive(Clone, Debug, PartialEq)]
pub struct PullOut {
    /// By the rule: a factor on the mean of the smallest, with the cap.
    pub evaluated: Figure<Force>,
    /// The value that the design uses: stepped down where the rule has steps.
    pub resistance: Figure<Force>,
    /// Whether the cap acts.
    pub capped: bool,
    /// What the reader should know.
    pub findings: Vec<Finding>,
}

/// Evaluates pull-out tests. Their order does not matter, and no test that falls lower ever raises the result.
///
/// # Errors
/// Fewer tests than the rule asks for, and every test that is not a positive number or beyond 100 kN.
///
/// ```
/// use fixing::{pull_out, rules};
/// use quantity::Force;
/// let loads = [2.1, 1.9, 2.4, 1.6, 2.2, 2.0, 1.8, 2.3, 2.5, 1.7, 2.6, 2.2, 2.1, 1.9, 2.0].map(Force::from_kn);
/// let rule = rules::defaults().site_tests;
/// let found = pull_out(&rule, &loads, "pull_out_tests", &mut working::Sheet::new()).unwrap();
/// assert!((found.evaluated.value.as_kn() - 1.068).abs() < 1e-12);
/// assert_eq!(found.resistance.value.as_kn(), 0.9);
/// assert!(pull_out(&rule, &loads[1..], "pull_out_tests", &mut working::Sheet::new()).is_err());
/// ```
pub fn pull_out(
    rule: &SiteTestRule,
    tests: &[Force],
    path: &str,
    sheet: &mut Sheet,
) -> Result<PullOut, Vec<Fault>> {
    let mut faults = Faults::new();
    check(rule, tests, path, &mut faults);
    faults.or(())?;
    let mut order: Vec<(usize, Force)> = tests.iter().copied().enumerate().collect();
    order.sort_by(|a, b| a.1.as_n().total_cmp(&b.1.as_n()).then(a.0.cmp(&b.0)));
    order.truncate(rule.smallest.value as usize);
    sheet.step(format!(
        "{} pull-out tests on site; the {} smallest count",
        tests.len(),
        order.len()
    ));
    let smallest: Vec<Figure<Force>> = order
        .iter()
        .map(|(i, load)| sheet.given("N", *load, Origin::request(format!("{path}[{i}]"))))
        .collect();
    let factor = sheet.given(
        "factor on the mean",
        rule.factor.value,
        Origin::Rule(rule.factor.cite("site_tests.factor")),
    );
    let cap = sheet.given(
        "cap",
        rule.cap.value,
        Origin::Rule(rule.cap.cite("site_tests.cap")),
    );
    let evaluated = sheet.derive("N_Rk1", &eota::SITE_RESISTANCE, (factor, &smallest, cap));
    let mut findings = Vec::new();
    let resistance = step_down(rule, evaluated, path, &mut findings, sheet);
    Ok(PullOut {
        evaluated,
        resistance,
        capped: evaluated.value >= rule.cap.value,
        findings,
    })
}

fn check(rule: &SiteTestRule, tests: &[Force], path: &str, faults: &mut Faults) {
    let least = rule.tests_min.value.max(1);
    if tests.len() < least as usize {
        faults.add(
            path,
            "TOO_FEW_TESTS",
            numbered(tests.len() as u64, "test", "tests"),
            format!(
                "at least {least}: {}, {}",
                eota::SITE_TESTS.document,
                eota::SITE_TESTS.clause
            ),
        );
    }
    if tests.len() > 1000 {
        faults.add(
            path,
            "OUT_OF_RANGE",
            numbered(tests.len() as u64, "test", "tests"),
            "at most 1000",
        );
    }
    for (i, load) in tests.iter().enumerate() {
        let kn = load.as_kn();
        if !(kn > 0.0 && kn <= 100.0) {
            faults.add(
                format!("{path}[{i}]"),
                "OUT_OF_RANGE",
                format!("{kn} kN"),
                "an ultimate load above 0 and up to 100 kN",
            );
        }
    }
}

/// The greatest step that the value reaches, or the value itself where there are no steps or it lies below the first.
fn step_down(
    rule: &SiteTestRule,
    evaluated: Figure<Force>,
    path: &str,
    findings: &mut Vec<Finding>,
    sheet: &mut Sheet,
) -> Figure<Force> {
    let Some(&first) = rule.steps.value.first() else {
        return evaluated;
    };
    let reached = rule
        .steps
        .value
        .iter()
        .rev()
        .find(|&&s| s <= evaluated.value);
    let Some(&step) = reached else {
        findings.push(Finding {
            code: "SITE_RESISTANCE_BELOW_STEPS",
            severity: Severity::Caution,
            path: path.into(),
            text: format!(
                "The tests give {:.3} kN, less than the lowest step of {} kN. Another anchor or a deeper embedment should be tried.",
                evaluated.value.as_kn(),
                first.as_kn()
            ),
            source: "EOTA TR 051",
        });
        return evaluated;
    };
    let cited = rule.steps.cite("site_tests.steps");
    sheet.given(
        "N_Rk of the tests",
        step,
        Origin::Counted(format!("greatest step not above N_Rk1; {cited}").into()),
    )
}
