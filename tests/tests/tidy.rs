//! What no lint sees: the shape of the tree, the arrows between crates, one `Status` file, file and function length.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The longest file and the longest function, in lines; tests and generated code are not counted.
const FILE_LINES: usize = 1000;
const FUNCTION_LINES: usize = 100;

/// Third-party crates that the pure ring may use, each with its reason in DEVELOPERS.md.
const CORE_MAY_USE: &[&str] = &[
    "libm",
    "rust_decimal",
    "smallvec",
    "serde",
    "serde_spanned",
    "toml",
    "blake3",
    "schemars",
    "serde_json",
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn files_below(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        let mut entries: Vec<PathBuf> = fs::read_dir(&folder)
            .into_iter()
            .flatten()
            .flatten()
            .map(|entry| entry.path())
            .collect();
        entries.sort();
        for path in entries {
            if path.is_dir() && !path.ends_with("target") {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == ending) {
                found.push(path);
            }
        }
    }
    found
}

fn core_crates() -> Vec<PathBuf> {
    let mut crates: Vec<PathBuf> = fs::read_dir(root().join("services/core"))
        .unwrap()
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.join("Cargo.toml").exists())
        .collect();
    crates.sort();
    crates
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}

fn dependencies(manifest: &Path) -> BTreeSet<String> {
    let table: toml::Table = fs::read_to_string(manifest).unwrap().parse().unwrap();
    table
        .get("dependencies")
        .and_then(toml::Value::as_table)
        .map(|t| t.keys().cloned().collect())
        .unwrap_or_default()
}

#[test]
fn the_top_of_the_tree_shows_only_what_belongs_there() {
    let allowed = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "catalogues",
        "deploy",
        "proto",
        "services",
        "target",
        "tests",
    ];
    let strangers: Vec<String> = fs::read_dir(root())
        .unwrap()
        .flatten()
        .map(|entry| name_of(&entry.path()))
        .filter(|name| !name.starts_with('.') && !allowed.contains(&name.as_str()))
        .collect();
    assert!(
        strangers.is_empty(),
        "no place for {strangers:?} at the top of the tree"
    );
    for name in allowed.iter().filter(|name| **name != "target") {
        assert!(root().join(name).exists(), "{name} is missing");
    }
}

#[test]
fn core_crates_are_no_std_and_know_no_transport() {
    let ours: BTreeSet<String> = core_crates().iter().map(|p| name_of(p)).collect();
    let mut wrong = Vec::new();
    for folder in core_crates() {
        let lib = fs::read_to_string(folder.join("src/lib.rs")).unwrap();
        if !lib.lines().any(|line| {
            line.starts_with("#![no_std]") || line.starts_with("#![cfg_attr(not(feature")
        }) {
            wrong.push(format!("{}: no #![no_std]", name_of(&folder)));
        }
        for name in dependencies(&folder.join("Cargo.toml")) {
            if !ours.contains(&name) && !CORE_MAY_USE.contains(&name.as_str()) {
                wrong.push(format!("{} may not use {name}", name_of(&folder)));
            }
        }
        for file in files_below(&folder.join("src"), "rs") {
            let text = fs::read_to_string(&file).unwrap();
            for word in [
                "tonic::",
                "prost::",
                "tokio::",
                "std::fs",
                "std::env",
                "std::time",
                "HashMap",
                "println!",
                "Status::",
            ] {
                if text.contains(word) {
                    wrong.push(format!("{} names {word}", file.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_arrows_point_one_way() {
    // Who may depend on whom in the pure ring, by name; a crate that is not named here is a mistake to be seen.
    let may: &[(&str, &[&str])] = &[
        ("quantity", &[]),
        ("working", &["quantity"]),
        ("standards", &["quantity", "working"]),
        ("material", &["quantity", "working"]),
        ("facade", &["quantity", "working", "material"]),
        ("setting-out", &["quantity", "working"]),
        (
            "takeoff",
            &[
                "quantity",
                "working",
                "material",
                "facade",
                "setting-out",
                "standards",
            ],
        ),
        ("thermal", &["quantity", "working", "standards"]),
        ("thermal-bridge", &["quantity", "working", "standards"]),
        ("moisture-transport", &["quantity", "working", "standards"]),
        (
            "fixing",
            &[
                "quantity",
                "working",
                "standards",
                "material",
                "facade",
                "setting-out",
            ],
        ),
        ("drawing", &["quantity", "working"]),
        (
            "rules",
            &[
                "quantity",
                "working",
                "standards",
                "material",
                "setting-out",
                "takeoff",
                "thermal",
                "thermal-bridge",
                "fixing",
            ],
        ),
        (
            "estimate",
            &[
                "quantity",
                "working",
                "standards",
                "material",
                "facade",
                "setting-out",
                "takeoff",
                "thermal",
                "fixing",
                "drawing",
                "rules",
            ],
        ),
        (
            "catalogue",
            &[
                "quantity",
                "working",
                "standards",
                "material",
                "setting-out",
                "takeoff",
                "thermal",
                "thermal-bridge",
                "fixing",
                "rules",
            ],
        ),
    ];
    let ours: BTreeSet<String> = core_crates().iter().map(|p| name_of(p)).collect();
    let mut wrong = Vec::new();
    for folder in core_crates() {
        let name = name_of(&folder);
        let Some((_, allowed)) = may.iter().find(|(crate_name, _)| *crate_name == name) else {
            wrong.push(format!("{name} has no arrows stated"));
            continue;
        };
        for dependency in dependencies(&folder.join("Cargo.toml")) {
            if ours.contains(&dependency) && !allowed.contains(&dependency.as_str()) {
                wrong.push(format!("{name} -> {dependency}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn one_file_makes_a_status() {
    let makers: Vec<String> = [
        "services/server/src",
        "services/client/src",
        "services/api/src",
    ]
    .iter()
    .flat_map(|folder| files_below(&root().join(folder), "rs"))
    .filter(|file| {
        let text = fs::read_to_string(file).unwrap();
        text.contains("Status::new(")
            || text.contains("Status::with_")
            || text.contains("Status::invalid_argument")
            || text.contains("Status::internal")
    })
    .map(|file| name_of(&file))
    .collect();
    assert!(makers.len() <= 1, "{makers:?}");
}

#[test]
fn files_and_functions_fit_a_reader() {
    let mut long = Vec::new();
    for file in files_below(&root().join("services"), "rs") {
        let text = fs::read_to_string(&file).unwrap();
        // Tests at the end of a file are data more than code.
        let code = text
            .split("\n#[cfg(test)]\nmod tests")
            .next()
            .unwrap_or_default();
        if code.lines().count() > FILE_LINES {
            long.push(format!(
                "{}: {} lines",
                file.display(),
                code.lines().count()
            ));
        }
        let mut start: Option<(usize, usize, String)> = None;
        for (number, line) in code.lines().enumerate() {
            let indent = line.len() - line.trim_start().len();
            let head = line.trim_start();
            let is_function = [
                "fn ",
                "pub fn ",
                "pub(crate) fn ",
                "pub(super) fn ",
                "async fn ",
                "pub async fn ",
                "const fn ",
                "pub const fn ",
            ]
            .iter()
            .any(|word| head.starts_with(word));
            if is_function && !head.ends_with(';') && start.is_none() {
                start = Some((number, indent, head.to_owned()));
            } else if let Some((from, depth, name)) = &start
                && indent == *depth
                && (head == "}" || (head.ends_with('}') && *from == number))
            {
                if number - from + 1 > FUNCTION_LINES {
                    long.push(format!(
                        "{}:{}: {} lines: {name}",
                        file.display(),
                        from + 1,
                        number - from + 1
                    ));
                }
                start = None;
            }
            if is_function && head.ends_with('}') {
                start = None;
            }
        }
    }
    assert!(
        long.is_empty(),
        "longer than a reader can hold:\n{}",
        long.join("\n")
    );
}

#[test]
fn nothing_is_left_unfinished() {
    // Spelt in halves, so that this file does not find itself.
    let words = [
        concat!("todo", "!("),
        concat!("unimplemented", "!("),
        concat!("#[ign", "ore"),
        concat!("dbg", "!("),
    ];
    let mut left = Vec::new();
    for folder in ["services", "tests"] {
        for file in files_below(&root().join(folder), "rs") {
            let text = fs::read_to_string(&file).unwrap();
            for word in words {
                if text.contains(word) {
                    left.push(format!("{}: {word}", file.display()));
                }
            }
        }
    }
    assert!(left.is_empty(), "{}", left.join("\n"));
}

/// What the comments of the contract tell of codes and of the search is what the program has.
#[test]
fn the_contract_tells_what_the_program_does() {
    let text = |files: Vec<PathBuf>| -> String {
        let texts = files.iter().map(|f| fs::read_to_string(f).unwrap());
        texts.collect::<Vec<_>>().join("\n")
    };
    let contract = text(files_below(&root().join("proto"), "proto"));
    let program = text(files_below(&root().join("services"), "rs"));
    let mut codes = 0;
    for code in contract.split("such as `").skip(1) {
        let code = code.split('`').next().unwrap();
        let is_code = |c: char| c.is_ascii_uppercase() || c == '_';
        if code.contains('_') && code.chars().all(is_code) {
            codes += 1;
            assert!(
                program.contains(&format!("\"{code}\"")),
                "nothing is told as {code}"
            );
        }
    }
    assert!(codes > 0, "no code is told");
    let search = program.split("const LEAST_BOARDS: u64 = ").nth(1).unwrap();
    let least = search.split(';').next().unwrap();
    let told: Vec<&str> = contract
        .split(" boards get the steps of ")
        .skip(1)
        .map(|rest| rest.split(';').next().unwrap())
        .collect();
    assert_eq!(told, [least; 3], "steps of the search");
}
