//! Every bad survey is refused with its place, none panics, and several faults come back together.
//!
//! The cases are data: `faults/surveys/*.toml`, each with what it expects in its first lines.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use api::v1::FaultCode;
use client::{Estimator, NoSurvey, Refusal, parse};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/faults/surveys");

fn cases() -> Vec<(PathBuf, String)> {
    let mut cases: Vec<(PathBuf, String)> = fs::read_dir(FOLDER)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.clone(), fs::read_to_string(&path).unwrap()))
        .collect();
    cases.sort();
    cases
}

/// The faults of a survey as `path REASON`, or `syntax` with its printed places.
fn found(name: &str, text: &str, estimator: &Estimator) -> Result<BTreeSet<String>, Vec<String>> {
    let refusal = match parse(name, text) {
        Err(NoSurvey::Syntax(faults)) => return Err(faults),
        Err(NoSurvey::Unreadable(why)) => panic!("{name}: {why}"),
        Err(NoSurvey::Faults(faults, _)) => Refusal::of_faults(&faults),
        Ok(survey) => match estimator.estimate(survey.request) {
            Ok(_) => return Ok(BTreeSet::new()),
            Err(refusal) => refusal,
        },
    };
    for fault in &refusal.faults {
        assert!(
            fault.text.contains("found") && fault.text.contains("expected"),
            "{name}: {fault:?}"
        );
        let listed = FaultCode::from_str_name(&format!("FAULT_CODE_{}", fault.reason));
        assert!(
            listed.is_some(),
            "{name}: the contract does not list {}",
            fault.reason
        );
    }
    let told = refusal
        .faults
        .iter()
        .map(|f| format!("{} {}", f.path, f.reason));
    Ok(told.collect())
}

fn here() -> Estimator {
    Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary))
}

#[test]
fn each_bad_survey_is_told_with_its_places() {
    let estimator = here();
    let cases = cases();
    assert!(cases.len() >= 40);
    for (path, text) in &cases {
        let name = path.display().to_string();
        let expected: Vec<&str> = text
            .lines()
            .filter_map(|l| l.strip_prefix("# expect: "))
            .collect();
        assert!(!expected.is_empty(), "{name} expects nothing");
        match found(&name, text, &estimator) {
            Err(printed) => {
                assert_eq!(expected, ["syntax"], "{name}");
                assert!(
                    printed.iter().all(|p| p.contains("-->") && p.contains('^')),
                    "{printed:?}"
                );
            }
            Ok(faults) => {
                for fault in expected {
                    assert!(
                        faults.contains(fault),
                        "{name}: `{fault}` is not among {faults:?}"
                    );
                }
            }
        }
    }
}

/// Nothing that a fault was not made of is blamed: a case with one fault tells at most the corner's other side beside it.
#[test]
fn a_single_fault_draws_no_crowd() {
    let estimator = here();
    for (path, text) in cases() {
        let name = path.display().to_string();
        let expected = text.lines().filter(|l| l.starts_with("# expect: ")).count();
        if let Ok(faults) = found(&name, &text, &estimator) {
            assert!(faults.len() <= expected + 1, "{name}: {faults:?}");
        }
    }
}

#[test]
fn ten_thousand_openings_in_a_full_survey_are_a_stated_limit() {
    let path = Path::new(FOLDER).join("openings-overlap.toml");
    let text = fs::read_to_string(path).unwrap();
    let (head, _) = text.split_once("openings = [").unwrap();
    let openings = (0..10_000).fold(String::new(), |mut list, i| {
        let x = i % 9000;
        let size = "width_mm = 10, height_mm = 10";
        list.push_str(&["{ id = \"", &i.to_string(), "\", x_mm = ", &x.to_string()].concat());
        list.push_str(&[", y_mm = 1000, ", size, " },\n"].concat());
        list
    });
    let text = format!("{head}openings = [\n{openings}]\n");
    let faults = found("many.toml", &text, &here()).unwrap();
    assert!(
        faults.contains("building.facades LIMIT_EXCEEDED"),
        "{faults:?}"
    );
}

/// Cut anywhere, or with any byte changed, a survey is refused or answered; it never panics.
#[test]
fn torn_surveys_never_panic() {
    let estimator = here();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/surveys/short.toml");
    let whole = fs::read_to_string(path).unwrap();
    for at in 0..whole.len() {
        if whole.is_char_boundary(at) {
            let _ = parse("torn.toml", &whole[..at]);
            let _ = parse("torn.json", &whole[..at]);
        }
        let mut bytes = whole.clone().into_bytes();
        bytes[at] = bytes[at].wrapping_add(1);
        if let Ok(text) = String::from_utf8(bytes)
            && let Ok(survey) = parse("changed.toml", &text)
            && at % 16 == 0
        {
            let _ = estimator.estimate(survey.request);
        }
    }
}

/// Tools that write the protocol as JSON spell its names in lowerCamelCase and 64-bit numbers as text: it is the same request, and its faults
/// name the fields of the protocol.
#[test]
fn the_protocols_own_json_is_read_as_well() {
    let own = r#"{"system": "eps-white", "tax_share": "0.20", "search_budget_steps": 50, "thickness": {"board_thickness_mm": 140},
        "short": {"length_mm": 8000, "height_mm": 5600, "opening_count": 2, "opening_width_mm": 1200, "opening_height_mm": 1300}}"#;
    let camel = r#"{"system": "eps-white", "taxShare": "0.20", "searchBudgetSteps": "50", "thickness": {"boardThicknessMm": 140},
        "short": {"lengthMm": 8000, "heightMm": 5600, "openingCount": 2, "openingWidthMm": 1200, "openingHeightMm": 1300}}"#;
    let read = |text: &str| {
        let survey = parse("short.json", text).ok();
        survey.unwrap_or_else(|| panic!("{text}")).request
    };
    assert_eq!(read(own), read(camel));
    let estimator = here();
    let bad = camel.replace("8000", "0");
    let told = found("bad.json", &bad, &estimator).unwrap();
    assert!(told.contains("short.length_mm OUT_OF_RANGE"), "{told:?}");
    let both = camel.replace("\"heightMm\"", "\"length_mm\": 8000, \"heightMm\"");
    let told = found("both.json", &both, &estimator).unwrap();
    assert!(told.contains("short.length_mm DUPLICATE"), "{told:?}");
}
