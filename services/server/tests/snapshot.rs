//! Catalogues as a server lives with them: a folder dropped in is there without a rebuild, and a bad file takes nothing good down.

use std::path::Path;

use api::v1;
use catalogue::SourceFile;
use server::{Refused, Snapshot, calls, read_folder, status};
use tonic_types::StatusExt as _;
use working::Halt;

fn shipped() -> Vec<SourceFile> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../catalogues");
    read_folder(&root).unwrap()
}

fn asked(branch: &str, system: &str, thickness: i32) -> v1::EstimateRequest {
    let short = v1::ShortForm {
        length_mm: 6000,
        height_mm: 3000,
        ..v1::ShortForm::default()
    };
    v1::EstimateRequest {
        branch: branch.to_owned(),
        survey: Some(v1::estimate_request::Survey::Short(short)),
        system: system.to_owned(),
        thickness: Some(v1::Thickness {
            choice: Some(v1::thickness::Choice::BoardThicknessMm(thickness)),
        }),
        ..v1::EstimateRequest::default()
    }
}

/// A branch of its own with a board that the others do not have, and nothing else.
fn straw() -> Vec<SourceFile> {
    let heading = "format = 1\n[catalogue]\nname = \"straw-branch\"\ncurrency = \"EUR\"\nextends = \"generic\"\n";
    let board = "format = 1\n[board.straw]\nname = \"Pressed straw board\"\nsource = \"demo value\"\n\
        insulant = \"pressed straw\"\nlength-mm = 1000\nheight-mm = 500\nconductivity-w-per-mk = 0.052\n\
        density-kg-per-m3 = 110\nspecific-heat-j-per-kgk = 2000\nvapour-resistance-factor = 3\nreaction-to-fire = \"E\"\n\
        rotation = \"allowed\"\nexposure = [\"facade\"]\nkerf-mm = 3\nbonded-share-min = 0.4\nwider-plate = true\n\
        [board.straw.thickness.100]\nboards-per-pack = 4\nprice = \"40.00\"\n";
    vec![
        SourceFile::new("straw-branch/catalogue.toml", heading),
        SourceFile::new("straw-branch/straw.toml", board),
    ]
}

#[test]
fn everything_that_is_shipped_is_sound() {
    let shipped = Snapshot::read(shipped());
    let faults: Vec<String> = shipped.faults().iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.concat());
    assert!(shipped.names().any(|n| n == "generic") && shipped.names().count() >= 2);
    let systems = calls::list_systems(&v1::ListSystemsRequest::default(), &shipped).unwrap();
    assert!(systems.systems.len() >= 7);
}

#[test]
fn the_embedded_catalogues_are_those_of_the_folder() {
    let (embedded, folder) = (Snapshot::embedded(), Snapshot::read(shipped()));
    for name in folder.names() {
        let revision = |s: &Snapshot| s.branch(name).map(|b| b.assortment.revision.clone());
        assert_eq!(revision(&embedded), revision(&folder));
    }
    assert_eq!(embedded.rules().revision, folder.rules().revision);
}

#[test]
fn a_bad_file_takes_nothing_good_down() {
    let good = Snapshot::read(shipped());
    let mut files = shipped();
    files.push(SourceFile::new("west-branch/catalogue.toml", "format = 1\n[catalogue]\nname = \"west-branch\"\ncurrency = \"EUR\"\nextends = \"generic\"\n"));
    files.push(SourceFile::new(
        "west-branch/prices.toml",
        "format = 1\n[board.eps-white]\nprise = \"1.00\"\n",
    ));
    let next = Snapshot::read(files.clone());
    assert!(next.names().any(|n| n == "generic"));
    assert!(!next.faults().is_empty());
    assert!(
        next.faults()
            .iter()
            .all(|f| f.file == "west-branch/prices.toml" && f.line == 3)
    );
    assert!(matches!(
        next.branch("west-branch"),
        Err(Refused::UnknownName(_))
    ));
    // A file of the generic catalogue is broken while the server runs: the last good state stays in force.
    for file in &mut files {
        if file.path.starts_with("generic/") {
            file.text.push_str("\nbroken = \n");
        }
    }
    let broken = Snapshot::read(files).or_last_good(&good);
    assert!(!broken.faults().is_empty());
    // All of them rest on the generic one; none of them is told as taken up.
    assert!(broken.stayed().eq(good.names()));
    assert!(!broken.rules_stayed() && good.stayed().next().is_none());
    let revision = |s: &Snapshot| s.branch("").map(|b| b.assortment.revision.clone());
    assert_eq!(revision(&broken), revision(&good));
    assert!(calls::estimate(&asked("", "eps-white", 100), &broken, Halt::NEVER).is_ok());
}

/// A branch whose new state is refused is not told as taken up, and the others are.
#[test]
fn a_refused_branch_is_told_as_staying() {
    let mut files = shipped();
    files.extend(straw());
    let good = Snapshot::read(files.clone());
    for file in &mut files {
        if file.path == "straw-branch/straw.toml" {
            file.text = file.text.replace("price = ", "prise = ");
        }
    }
    let next = Snapshot::read(files).or_last_good(&good);
    assert!(next.stayed().eq(["straw-branch"]));
    assert!(next.names().eq(good.names()));
}

#[test]
fn a_dropped_in_folder_is_another_revision_and_nothing_else_changes() {
    let before = Snapshot::read(shipped());
    let files = shipped().into_iter().chain(straw()).collect();
    let after = Snapshot::read(files);
    let revision = |s: &Snapshot| s.branch("").map(|b| b.assortment.revision.clone());
    assert_eq!(revision(&before), revision(&after));
    let request = asked("", "eps-white", 100);
    assert_eq!(
        calls::estimate(&request, &before, Halt::NEVER),
        calls::estimate(&request, &after, Halt::NEVER)
    );
    let listed = v1::ListArticlesRequest {
        branch: "straw-branch".to_owned(),
        kind: "board".to_owned(),
    };
    let listed = calls::list_articles(&listed, &after).unwrap();
    assert!(listed.articles.iter().any(|a| a.key == "board.straw"));
}

#[test]
fn a_material_that_only_a_branch_has_comes_in_an_estimate() {
    let answer = calls::estimate(
        &asked("island-branch", "hemp", 100),
        &Snapshot::embedded(),
        Halt::NEVER,
    )
    .unwrap();
    let kit = answer.kit.unwrap();
    let board = kit
        .lines
        .iter()
        .find(|l| l.article == "board.hemp")
        .unwrap();
    assert_eq!(
        board.price.as_ref().map(|p| p.currency.as_str()),
        Some("DKK")
    );
    assert!(board.packs > 0);
}

#[test]
fn a_branch_alone_finds_the_generic_catalogue_and_the_rule_data() {
    let alone = Snapshot::over_embedded(straw());
    let faults: Vec<String> = alone.faults().iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.concat());
    assert!(
        calls::estimate(
            &asked("straw-branch", "eps-white", 100),
            &alone,
            Halt::NEVER
        )
        .is_ok()
    );
    assert_eq!(
        alone.names().collect::<Vec<_>>(),
        ["generic", "straw-branch"]
    );
}

/// A price of 0 may be meant for what the client supplies; the answer says where one is.
#[test]
fn a_price_of_nothing_is_told() {
    let codes = |price: &str| {
        let mut files = straw();
        let overlay = format!("format = 1\n[board.eps-white.thickness.100]\nprice = \"{price}\"\n");
        files.push(SourceFile::new("straw-branch/prices.toml", overlay));
        let branch = Snapshot::over_embedded(files);
        assert!(branch.faults().is_empty(), "{:?}", branch.faults());
        let asked = asked("straw-branch", "eps-white", 100);
        let answer = calls::estimate(&asked, &branch, Halt::NEVER).unwrap();
        let told = answer.findings.into_iter();
        let told = told.filter(|f| f.code == "PRICE_OF_NOTHING");
        told.map(|f| f.text).collect::<Vec<_>>()
    };
    assert!(codes("19.00").is_empty());
    let told = codes("0");
    assert!(
        told.len() == 1 && told[0].contains("board.eps-white"),
        "{told:?}"
    );
}

#[test]
fn a_sum_without_a_tax_share_says_that_no_tax_is_reckoned() {
    let kit = |tax_share: &str| {
        let mut asked = asked("", "eps-white", 100);
        asked.tax_share = tax_share.to_owned();
        let answer = calls::estimate(&asked, &Snapshot::embedded(), Halt::NEVER);
        answer.unwrap().kit.unwrap()
    };
    let (without, with) = (kit(""), kit("0.20"));
    assert_eq!(without.tax_share, "");
    assert_eq!(without.gross_price, without.net_price);
    assert_eq!(with.tax_share, "0.2");
    assert_ne!(with.gross_price, with.net_price);
}

#[test]
fn an_unknown_branch_names_the_nearest() {
    let refused = calls::estimate(
        &asked("north-brunch", "eps-white", 100),
        &Snapshot::embedded(),
        Halt::NEVER,
    )
    .unwrap_err();
    let Refused::UnknownName(faults) = refused else {
        panic!("{refused:?}")
    };
    assert_eq!(faults[0].path, "branch");
    assert!(
        faults[0].expected.contains("north-branch"),
        "{}",
        faults[0].expected
    );
}

#[test]
fn a_bridge_that_nobody_waits_for_is_left_undone() {
    let detail = v1::DetailChoice {
        key: "corner-salient".to_owned(),
        parameters: Vec::new(),
    };
    let request = v1::BridgeRequest {
        section: Some(v1::bridge_request::Section::Detail(detail)),
        ..v1::BridgeRequest::default()
    };
    let snapshot = Snapshot::embedded();
    let halted = calls::bridge(&request, &snapshot, Halt::when(&|| true));
    assert!(matches!(halted, Err(Refused::DeadlineExceeded)));
    assert!(calls::bridge(&request, &snapshot, Halt::NEVER).is_ok());
}

#[test]
fn what_was_expected_is_told_however_long_what_was_found_is() {
    let mut request = asked("", "eps-white", 100);
    request.wind = Some(v1::Wind {
        basic_velocity_m_per_s: Some(1e300),
        terrain: "II".to_owned(),
        ..v1::Wind::default()
    });
    request.tax_share = "9".repeat(290);
    let refused = calls::estimate(&request, &Snapshot::embedded(), Halt::NEVER).unwrap_err();
    let status = status(&refused);
    let details = status.get_error_details();
    let told = &details.bad_request().unwrap().field_violations;
    for field in ["wind.basic_velocity_m_per_s", "tax_share"] {
        let one = told.iter().find(|v| v.field == field);
        let one = one.unwrap_or_else(|| panic!("{field} is not told: {told:?}"));
        assert!(one.description.contains("expected "), "{one:?}");
        assert!(one.description.len() < 400, "{one:?}");
    }
    let velocity = told.iter().find(|v| v.field.starts_with("wind."));
    assert_eq!(
        velocity.unwrap().description,
        "found 1e300, expected 5 to 80"
    );
}
