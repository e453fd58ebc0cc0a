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
    let refusal = match parse(name, text, |unsound| estimator.estimate(unsound).err()) {
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
            let _ = parse("torn.toml", &whole[..at], |_| None);
            let _ = parse("torn.json", &whole[..at], |_| None);
        }
        let mut bytes = whole.clone().into_bytes();
        bytes[at] = bytes[at].wrapping_add(1);
        if let Ok(text) = String::from_utf8(bytes)
            && let Ok(survey) = parse("changed.toml", &text, |_| None)
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
        let survey = parse("short.json", text, |_| None).ok();
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

/// The texts of all faults, by path.
fn texts(name: &str, text: &str) -> Vec<(String, String)> {
    let estimator = here();
    let Err(NoSurvey::Faults(faults, _)) =
        parse(name, text, |unsound| estimator.estimate(unsound).err())
    else {
        panic!("{name} has no faults");
    };
    faults.into_iter().map(|f| (f.path, f.text)).collect()
}

/// JSON tells no places, and its faults are no fewer for that.
#[test]
fn words_unknown_in_json_hide_nothing_either() {
    let text = r#"{"system": "nope", "bonding_method": "glue", "measurement": "by-guess", "taxShare": "abc",
        "thickness": {"board_thickness_mm": 140}, "reflection_index_percent": 400,
        "short": {"length_mm": -8000, "height_mm": 5600}}"#;
    let told = found("many.json", text, &here()).unwrap();
    for expected in [
        "bonding_method UNKNOWN_VALUE",
        "system UNKNOWN_SYSTEM",
        "measurement UNKNOWN_RULE_SET",
        "tax_share NOT_A_DECIMAL",
        "reflection_index_percent OUT_OF_RANGE",
        "short.length_mm OUT_OF_RANGE",
    ] {
        assert!(told.contains(expected), "`{expected}` not in {told:?}");
    }
}

/// The fault is that nothing told is left out: a mistaken end that stands alone is told once, and no corner is said to disagree with it.
#[test]
fn a_misspelt_end_is_the_only_fault() {
    let path = Path::new(FOLDER).join("end-misspelt-at-a-corner.toml");
    let told = found("corner.toml", &fs::read_to_string(path).unwrap(), &here()).unwrap();
    assert_eq!(
        told.into_iter().collect::<Vec<_>>(),
        ["building.facades[1].left.kind UNKNOWN_VALUE"]
    );
}

/// The names of a faulty survey are asked for with a bonding method that nobody knows; a sound one in the file is not blamed for that.
#[test]
fn a_sound_bonding_method_beside_an_unknown_key_is_no_fault() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/surveys/short.toml");
    let text = fs::read_to_string(path).unwrap();
    let text = format!("bonding_method = \"full-bed\"\nreflektion = 20\n{text}");
    let told = found("bonding.toml", &text, &here()).unwrap();
    assert_eq!(
        told.into_iter().collect::<Vec<_>>(),
        ["reflektion UNKNOWN_KEY"]
    );
}

/// A key that stands for no field which the opening lacks hides nothing of that opening; one that does, hides what may come of the lack.
#[test]
fn an_unknown_key_hides_only_what_may_come_of_it() {
    let path = Path::new(FOLDER).join("openings-overlap.toml");
    let text = fs::read_to_string(path).unwrap();
    let told = |from: &str, to: &str| -> Vec<String> {
        let changed = text.replace(from, to);
        assert_ne!(changed, text, "{from}");
        let told = found("overlap.toml", &changed, &here()).unwrap();
        told.into_iter().collect()
    };
    let opening = "building.facades[0].openings[1]";
    assert_eq!(
        told("id = \"B\",", "id = \"B\", colour = \"red\","),
        [
            format!("{opening} OPENINGS_OVERLAP"),
            format!("{opening}.colour UNKNOWN_KEY"),
        ]
    );
    // Without its `x_mm` it would stand at the wall's left end, where it overlaps the first one, which nobody said.
    assert_eq!(
        told("x_mm = 2000,", "x = 500,"),
        [format!("{opening}.x UNKNOWN_KEY")]
    );
}

/// A whole number is one however large it is: what is wrong with it is its range, and the range told is that of the field.
#[test]
fn a_number_beyond_the_grid_is_told_its_range() {
    let path = Path::new(FOLDER).join("openings-overlap.toml");
    let text = fs::read_to_string(path).unwrap();
    let (head, _) = text.split_once("openings = [").unwrap();
    let opening =
        r#"{ id = "A", x_mm = 99999999999, y_mm = 1000, width_mm = 1200, height_mm = 1400 }"#;
    let told = texts("far.toml", &format!("{head}openings = [{opening}]\n"));
    let expected = "found 99999999999, expected -300000 mm to 300000 mm";
    let at = "building.facades[0].openings[0].x_mm";
    assert_eq!(told, [(at.to_owned(), expected.to_owned())]);
}

#[test]
fn a_share_of_tax_with_too_many_digits_is_told_their_number() {
    let text = format!("system = 5\ntax_share = \"0.2{}1\"\n", "0".repeat(27));
    let told = texts("tax.toml", &text);
    let (_, tax) = told.iter().find(|(path, _)| path == "tax_share").unwrap();
    assert!(tax.contains("31 characters"), "{tax}");
    assert!(tax.contains("at most 12 characters"), "{tax}");
}

/// What the catalogue has beside the system does not help who must choose a finish of the system.
#[test]
fn an_unknown_finish_is_told_the_finishes_of_its_system() {
    let path = Path::new(FOLDER).join("finish-unknown.toml");
    let text = fs::read_to_string(path).unwrap();
    let Ok(survey) = parse("finish.toml", &text, |_| None) else {
        panic!("the survey itself is sound");
    };
    let refusal = here().estimate(survey.request).unwrap_err();
    let fault = refusal.faults.iter().find(|f| f.path == "finish").unwrap();
    assert!(fault.text.contains("silicone-1-5"), "{}", fault.text);
    assert!(!fault.text.contains("silicate"), "{}", fault.text);
}

/// The least thickness that any anchor of the system takes is what is missing, not that of the anchor which is preferred.
#[test]
fn a_thin_board_is_told_the_least_thickness_that_serves() {
    let path = Path::new(FOLDER).join("system-thinner-than-tested.toml");
    let text = fs::read_to_string(path).unwrap();
    let Ok(survey) = parse("thin.toml", &text, |_| None) else {
        panic!("the survey itself is sound");
    };
    let refusal = here().estimate(survey.request).unwrap_err();
    let texts: Vec<&str> = refusal.faults.iter().map(|f| f.text.as_str()).collect();
    assert_eq!(texts.len(), 1, "{texts:?}");
    assert!(texts[0].contains("at least 60 mm"), "{texts:?}");
}

/// What a sound text has and what stands there instead.
type Changes = &'static [(&'static str, &'static str)];

/// What is wrong is told with all of its faults, wherever they lie, and what only depends on a lost value is not blamed.
#[test]
fn each_fault_is_told_and_no_victim_of_one() {
    let house = concat!(env!("CARGO_MANIFEST_DIR"), "/surveys/house.toml");
    let house = fs::read_to_string(house).unwrap();
    let estimator = here();
    let cases: [(Changes, &[&str]); 15] = [
        // A corner of an outline of another type, or no corner at all: nothing on the wall is held against what is left of it.
        (
            &[(
                "{ x_mm = 4300, y_mm = 9200 }",
                "{ x_mm = \"4300\", y_mm = 9200 }",
            )],
            &["building.facades[1].outline[3].x_mm WRONG_TYPE"],
        ),
        (
            &[(
                "{ x_mm = 4300, y_mm = 9200 }",
                "{ x_mm = 4300.5, y_mm = 9200 }",
            )],
            &["building.facades[1].outline[3].x_mm OUT_OF_RANGE"],
        ),
        (
            &[("{ x_mm = 4300, y_mm = 9200 }", "\"the ridge\"")],
            &["building.facades[1].outline[3] WRONG_TYPE"],
        ),
        (
            &[("{ x_mm = 4300, y_mm = 9200 }", "{ x_mm = 4300, y = 9200 }")],
            &["building.facades[1].outline[3].y UNKNOWN_KEY"],
        ),
        (
            &[("to_mm = 5000", "to = 5000")],
            &["building.facades[1].base[0].to UNKNOWN_KEY"],
        ),
        (
            &[("with = \"gable\" }\noutline", "wiht = \"gable\" }\noutline")],
            &["building.facades[0].right.wiht UNKNOWN_KEY"],
        ),
        // An end that lost its neighbour: the neighbour does not disagree with it.
        (
            &[("with = \"gable\" }\noutline", "with = 7 }\noutline")],
            &["building.facades[0].right.with WRONG_TYPE"],
        ),
        // A step that ends nowhere: the next one is not held against it.
        (
            &[("to_mm = 5000", "to_mm = \"5000\"")],
            &["building.facades[1].base[0].to_mm WRONG_TYPE"],
        ),
        (
            &[("to_mm = 8600, level_mm = 450", "to_mm = 8600, level = 450")],
            &["building.facades[1].base[1].level UNKNOWN_KEY"],
        ),
        (
            &[("from_mm = 5000", "from_mm = true")],
            &["building.facades[1].base[1].from_mm WRONG_TYPE"],
        ),
        // What follows a lost item keeps its number.
        (
            &[
                ("{ id = \"kitchen side\"", "7, { id = \"kitchen side\""),
                (
                    "x_mm = 1600, y_mm = 3700, width_mm = 1000",
                    "x_mm = 1600, y_mm = 3700, width_mm = -1",
                ),
            ],
            &[
                "building.facades[1].openings[0] WRONG_TYPE",
                "building.facades[1].openings[2].width_mm OUT_OF_RANGE",
            ],
        ),
        // A key that stands for nothing hides nothing, whether in tables within its own or of fields that are left out.
        (
            &[
                ("id = \"gable\"", "id = \"gable\"\ncolour = \"red\""),
                (
                    "{ id = \"attic\", x_mm = 3800",
                    "{ id = \"attic\", x_mm = 38000",
                ),
            ],
            &[
                "building.facades[1].colour UNKNOWN_KEY",
                "building.facades[1].openings[3] OPENING_OUTSIDE",
            ],
        ),
        (
            &[("storeys = 2", "colour = \"red\"")],
            &[
                "building.colour UNKNOWN_KEY",
                "building.storeys OUT_OF_RANGE",
            ],
        ),
        // A key that is misspelt is told once, and what else is wrong beside it too.
        (
            &[("storeys = 2", "storey = 2")],
            &["building.storey UNKNOWN_KEY"],
        ),
        (
            &[
                ("storeys = 2", "storey = 2"),
                (
                    "{ id = \"attic\", x_mm = 3800",
                    "{ id = \"attic\", x_mm = 38000",
                ),
            ],
            &[
                "building.storey UNKNOWN_KEY",
                "building.facades[1].openings[3] OPENING_OUTSIDE",
            ],
        ),
    ];
    for (changes, expected) in cases {
        let text = changes.iter().fold(house.clone(), |text, (sound, bad)| {
            assert!(text.contains(sound), "{sound}");
            text.replacen(sound, bad, 1)
        });
        let told = found("house.toml", &text, &estimator).unwrap();
        let expected: BTreeSet<String> = expected.iter().map(|f| (*f).to_owned()).collect();
        assert_eq!(told, expected, "{changes:?}");
    }
}

/// The short form as JSON, with a further member.
fn json(more: &str) -> String {
    let short = r#""short": {"length_mm": 4000, "height_mm": 3000}"#;
    format!(
        r#"{{"system": "eps-white", "thickness": {{"board_thickness_mm": 120}}, {short}{more}}}"#
    )
}

#[test]
fn json_tells_no_key_twice() {
    let estimator = here();
    assert_eq!(
        found("once.json", &json(""), &estimator),
        Ok(BTreeSet::new())
    );
    let twice = json(",\n \"thickness\": {\"board_thickness_mm\": 160}");
    let printed = found("twice.json", &twice, &estimator).expect_err("a key twice");
    assert_eq!(printed.len(), 1, "{printed:?}");
    assert!(
        printed[0].contains("duplicate key `thickness`"),
        "{printed:?}"
    );
    assert!(printed[0].contains("twice.json:2:"), "{printed:?}");
}

#[test]
fn json_may_begin_with_a_byte_order_mark() {
    let marked = ["\u{feff}", &json("")].concat();
    assert_eq!(found("marked.json", &marked, &here()), Ok(BTreeSet::new()));
}

#[test]
fn a_fraction_within_its_range_is_told_to_be_no_whole_number() {
    let text = "system = \"eps-white\"\nthickness = { board_thickness_mm = 120 }\nshort = { length_mm = 4000, height_mm = 3000.5 }\n";
    let estimator = here();
    let Err(NoSurvey::Faults(faults, _)) =
        parse("half.toml", text, |r| estimator.estimate(r).err())
    else {
        panic!("half a millimetre")
    };
    let told: Vec<&str> = faults.iter().map(|f| f.text.as_str()).collect();
    let [told] = told.as_slice() else {
        panic!("{told:?}")
    };
    assert!(
        told.contains("a whole number") && told.contains("168000 mm"),
        "{told}"
    );
}
