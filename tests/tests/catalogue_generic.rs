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

#[test]
fn the_schema_in_the_repository_is_the_one_the_reader_is_made_from() {
    let path = root().join("schema/catalogue.schema.json");
    let fresh = catalogue::catalogue_schema();
    if std::env::var_os("WRITE_SCHEMA").is_some() {
        fs::write(&path, &fresh).unwrap();
    }
    let checked_in = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        checked_in == fresh,
        "run with WRITE_SCHEMA=1 to write {}",
        path.display()
    );
}
