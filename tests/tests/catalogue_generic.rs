//! The catalogues that come with the service: all read without a fault, every system holds together, the schema is fresh.

use std::fs;
use std::path::{Path, PathBuf};

use catalogue::{Catalogues, SourceFile};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../catalogues")
}

fn texts(folder: &Path, into: &mut Vec<SourceFile>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            texts(&path, into);
        } else if path.extension().is_some_and(|e| e == "toml") {
            let label = path
                .strip_prefix(root())
                .unwrap()
                .to_str()
                .unwrap()
                .to_owned();
            into.push(SourceFile::new(label, fs::read_to_string(&path).unwrap()));
        }
    }
}

fn shipped() -> Catalogues {
    let mut files = Vec::new();
    texts(&root(), &mut files);
    Catalogues::read(files)
}

#[test]
fn every_shipped_catalogue_is_without_fault() {
    let faults: Vec<String> = shipped().faults().iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn generic_has_a_system_for_every_insulant_of_the_facade() {
    let generic = shipped().assemble("generic").unwrap().assortment;
    for (name, board) in generic.boards.iter().filter(|(_, b)| b.exposure.facade) {
        let system = generic.systems.values().find(|s| s.board == *name);
        let system = system.unwrap_or_else(|| panic!("no system for {name}"));
        assert!(generic.mortars[&system.bonding_mortar].bonding.is_some());
        assert!(
            board.thicknesses.iter().all(|t| t.supply.price.is_some()),
            "{name}"
        );
    }
    assert_eq!(generic.boards.len(), 8);
}

fn fresh_or_written(name: &str, fresh: &str) {
    let path = root().join("schema").join(name);
    if std::env::var_os("WRITE_SCHEMA").is_some() {
        fs::write(&path, fresh).unwrap();
    }
    let checked_in = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        checked_in == fresh,
        "run with WRITE_SCHEMA=1 to write {}",
        path.display()
    );
}

#[test]
fn the_schemas_in_the_repository_are_those_the_readers_are_made_from() {
    fresh_or_written("catalogue.schema.json", &catalogue::catalogue_schema());
    for (kind, fresh) in catalogue::rules::rule_schemas() {
        fresh_or_written(&format!("{kind}.schema.json"), &fresh);
    }
}

fn shipped_rules() -> catalogue::rules::RuleData {
    let mut files = Vec::new();
    texts(&root(), &mut files);
    catalogue::rules::read(&files)
}

#[test]
fn all_shipped_rule_data_is_sound_and_every_file_gives_a_rule_set() {
    let mut files = Vec::new();
    texts(&root().join("rules"), &mut files);
    texts(&root().join("climates"), &mut files);
    let data = shipped_rules();
    let faults: Vec<String> = data.faults.iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let book = &data.book;
    let countries: std::collections::BTreeSet<&str> =
        book.fire.iter().map(|row| row.country.as_str()).collect();
    let sets = [
        book.measurement.len(),
        book.setting_out.len(),
        book.climates.len(),
        book.humidity_classes.len(),
        book.condensate_limits.len(),
        book.factor_floors.len(),
        book.thermal_limits.len(),
        book.wind.len(),
        book.fixing.len(),
        countries.len(),
        data.details.len(),
    ];
    assert_eq!(sets.iter().sum::<usize>(), files.len(), "{sets:?}");
    assert_eq!(book.revision.len(), 32);
}

#[test]
fn the_sets_that_stand_in_code_too_read_as_they_stand_there() {
    let book = shipped_rules().book;
    assert_eq!(book.fixing["eota-default"], fixing::rules::defaults());
    let recommended = standards::en_1991_1_4::NationalWind::recommended();
    let read = &book.wind["en-recommended"];
    assert_eq!(read.terrains, recommended.terrains);
    assert_eq!(read.return_period, recommended.return_period);
    assert_eq!(read.strips_between, recommended.strips_between);
    for (ours, theirs) in read.coefficients.iter().zip(&recommended.coefficients) {
        assert_eq!(ours.ratio, theirs.ratio);
        for (a, b) in ours.zones.iter().zip(&theirs.zones) {
            assert_eq!(a.value, b.value);
        }
    }
}
