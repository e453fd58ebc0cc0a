//! Bad catalogues, each with what must be said about it.
//!
//! A case is a file or a folder under `faults/catalogues`. Its comments state every fault that must be told and no other: a
//! comment `#! fragment` for the line it stands on, `#! generic/systems.toml: fragment` for a line of the generic catalogue that
//! the case was laid over, and `#& fragment` for a further fragment of the same fault. A file without `[catalogue]` is laid
//! over the generic catalogue.

use std::fs;
use std::path::{Path, PathBuf};

use catalogue::{CatalogueFault, Catalogues, SourceFile};

fn home(folder: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)
}

fn texts(folder: &Path, label: &str, into: &mut Vec<SourceFile>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
        let name = path.file_name().unwrap().to_str().unwrap();
        let label = if label.is_empty() {
            name.to_owned()
        } else {
            format!("{label}/{name}")
        };
        if path.is_dir() {
            texts(&path, &label, into);
        } else {
            into.push(SourceFile::new(label, fs::read_to_string(&path).unwrap()));
        }
    }
}

struct Expectation {
    file: String,
    line: Option<u32>,
    fragments: Vec<String>,
}

fn expectations(file: &SourceFile) -> Vec<Expectation> {
    let mut all: Vec<Expectation> = Vec::new();
    for (line, number) in file.text.lines().zip(1..) {
        for note in line.split("#! ").skip(1) {
            let mut fragments = note.split("#& ").map(|f| f.trim().to_owned());
            let first = fragments.next().unwrap();
            let elsewhere = first
                .split_once(": ")
                .filter(|(place, _)| place.starts_with("generic/"));
            let (place, first) = match elsewhere {
                Some((place, rest)) => ((place.to_owned(), None), rest.to_owned()),
                None => ((file.path.clone(), Some(number)), first),
            };
            all.push(Expectation {
                file: place.0,
                line: place.1,
                fragments: [first].into_iter().chain(fragments).collect(),
            });
        }
    }
    all
}

fn matches(expected: &Expectation, fault: &CatalogueFault) -> bool {
    let text = format!(
        "{} {}",
        fault.message(),
        fault.help.as_deref().unwrap_or("")
    );
    fault.file == expected.file
        && expected.line.is_none_or(|line| line == fault.line)
        && expected
            .fragments
            .iter()
            .all(|fragment| text.contains(fragment))
}

/// The files of a case, with the generic catalogue where the case needs one.
fn case_files(path: &Path) -> Vec<SourceFile> {
    let mut files = Vec::new();
    if path.is_dir() {
        texts(path, "", &mut files);
    } else {
        let text = fs::read_to_string(path).unwrap();
        if text.contains("[catalogue]") {
            files.push(SourceFile::new("case/catalogue.toml", text));
        } else {
            let heading = "format = 1\n[catalogue]\nname = \"case\"\ncurrency = \"EUR\"\nextends = \"generic\"\n";
            files.push(SourceFile::new("case/catalogue.toml", heading));
            files.push(SourceFile::new("case/articles.toml", text));
        }
    }
    texts(&home("../catalogues/generic"), "generic", &mut files);
    files
}

fn check(path: &Path) -> Result<(), String> {
    let files = case_files(path);
    let expected: Vec<Expectation> = files.iter().flat_map(expectations).collect();
    let mut faults = catalogue::rules::read(&files).faults;
    faults.extend(Catalogues::read(files).faults());
    let told: String = faults.iter().map(ToString::to_string).collect();
    let mut open: Vec<&CatalogueFault> = faults.iter().collect();
    for one in &expected {
        let Some(at) = open.iter().position(|fault| matches(one, fault)) else {
            return Err(format!(
                "{}: not told: {:?}, but\n{told}",
                path.display(),
                one.fragments
            ));
        };
        open.remove(at);
    }
    if expected.is_empty() || !open.is_empty() {
        let rest: String = open.iter().map(ToString::to_string).collect();
        return Err(format!(
            "{}: told beyond what is expected:\n{rest}",
            path.display()
        ));
    }
    Ok(())
}

#[test]
fn every_bad_catalogue_is_told_with_its_place() {
    let folder = home("faults/catalogues");
    let mut cases: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    cases.sort();
    assert!(cases.len() > 40, "only {} cases found", cases.len());
    let failures: Vec<String> = cases.iter().filter_map(|case| check(case).err()).collect();
    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
}

#[test]
fn a_faulty_catalogue_leaves_the_others_standing() {
    let mut files = case_files(&home("faults/catalogues/syntax.toml"));
    files.push(SourceFile::new(
        "torn/catalogue.toml",
        "format = 1\n[catalogue",
    ));
    let catalogues = Catalogues::read(files);
    assert!(catalogues.assemble("generic").is_ok());
    assert!(catalogues.assemble("case").is_err());
    assert!(catalogues.assemble("torn").is_err());
}

#[test]
fn an_unknown_catalogue_is_told_with_the_nearest_name() {
    let files = case_files(&home("faults/catalogues/syntax.toml"));
    let faults = Catalogues::read(files).assemble("genric").unwrap_err();
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].help.as_deref(), Some("did you mean `generic`?"));
}

/// Every fault points into its file: the line exists, it is the line shown, and the caret stands inside it.
fn places_hold(faults: &[CatalogueFault], files: &[SourceFile]) {
    for fault in faults {
        let file = files.iter().find(|f| f.path == fault.file).unwrap();
        let line = file.text.split('\n').nth(fault.line as usize - 1).unwrap();
        assert_eq!(line.trim_end_matches('\r'), fault.source_line);
        assert!(fault.column as usize <= line.chars().count() + 1, "{fault}");
        assert!(fault.caret_width >= 1);
        assert!(!fault.to_string().is_empty());
    }
}

/// A small generator of repeatable numbers, so that a failure can be run again.
struct Numbers(u64);
impl Numbers {
    fn next(&mut self, below: usize) -> usize {
        usize::try_from(tests::mixed(&mut self.0) % below.max(1) as u64).unwrap()
    }
}

/// One random wound: a character changed, cut out, doubled, or a piece of another line put in.
fn wound(text: &str, numbers: &mut Numbers) -> String {
    const SPLINTERS: &[&str] = &[
        "\"",
        "[",
        "]",
        "{",
        "}",
        "=",
        ".",
        "-1",
        "nan",
        "1e400",
        "9999999999999999999999",
        "'''",
        "\"\"\"",
        "\u{0}",
        "\u{e9}",
        "\u{1f9f1}",
        "\\",
        "\n",
        "\r",
        "[[board]]",
        "true",
        "0x",
        "1979-05-27",
        "#",
        "format = 1\n",
        "[board.eps-white]\n",
        "a.b.c=",
    ];
    let chars: Vec<char> = text.chars().collect();
    let at = numbers.next(chars.len());
    let upto = (at + numbers.next(12)).min(chars.len());
    let (head, tail): (String, String) =
        (chars[..at].iter().collect(), chars[upto..].iter().collect());
    match numbers.next(4) {
        0 => head + &tail,
        1 => head + SPLINTERS[numbers.next(SPLINTERS.len())] + &tail,
        2 => {
            head.clone()
                + &chars[at..upto].iter().collect::<String>()
                + &chars[at..].iter().collect::<String>()
        }
        _ => {
            head + SPLINTERS[numbers.next(SPLINTERS.len())]
                + &chars[at..].iter().collect::<String>()
        }
    }
}

#[test]
fn no_wounded_file_panics_and_every_place_holds() {
    let mut files = Vec::new();
    texts(&home("../catalogues/generic"), "generic", &mut files);
    let heading =
        "format = 1\n[catalogue]\nname = \"case\"\ncurrency = \"EUR\"\nextends = \"generic\"\n";
    files.push(SourceFile::new("case/catalogue.toml", heading));
    let mut numbers = Numbers(20_260_301);
    for _ in 0..300 {
        let mut wounded = files.clone();
        let which = numbers.next(wounded.len());
        for _ in 0..=numbers.next(4) {
            wounded[which].text = wound(&wounded[which].text, &mut numbers);
        }
        let catalogues = Catalogues::read(wounded.clone());
        let faults = catalogues.faults();
        places_hold(&faults, &wounded);
        // What is assembled without a word is whole: no system may name what is not there.
        if let Ok(assembly) = catalogues.assemble("generic") {
            let stock = assembly.assortment;
            assert!(
                stock
                    .systems
                    .values()
                    .all(|s| stock.boards.contains_key(&s.board))
            );
        }
    }
}

#[test]
fn deep_nesting_is_refused_without_a_crash() {
    let deep = format!(
        "format = 1\nx = {}{}",
        "[".repeat(100_000),
        "]".repeat(100_000)
    );
    let files = vec![SourceFile::new("case/catalogue.toml", deep)];
    assert!(!Catalogues::read(files).faults().is_empty());
}
