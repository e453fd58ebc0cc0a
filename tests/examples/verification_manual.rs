//! Prints the verification manual: clause, function, example, what its source expects and what the engines answer.
//!
//! `cargo run -p tests --example verification_manual > manual.md`

#[path = "../tests/thermal_worked/mod.rs"]
mod thermal_worked;

use std::path::{Path, PathBuf};

use thermal_worked::{Case, cases};
use toml::{Table, Value};
use working::{AnyFormula, Standing};

fn main() {
    println!("# Verification manual\n");
    println!(
        "Each example is a file of `tests/worked`; `cargo test -p tests` holds every line of it. Expected values come from the"
    );
    println!(
        "source named in the line, never from this program. Clauses marked unverified are from memory of a text that was not at hand.\n"
    );
    let mut cases = cases();
    cases.sort_by(|a, b| a.clause.cmp(&b.clause).then(a.id.cmp(&b.id)));
    let mut held = 0;
    let mut all = 0;
    let mut clause = "";
    for case in &cases {
        if case.clause != clause {
            clause = &case.clause;
            println!("## {clause}\n");
        }
        let (good, lines) = example(case);
        held += good;
        all += lines;
    }
    println!("{held} of {all} figures hold.\n");
    elsewhere();
    formulas();
    if held < all {
        std::process::exit(1);
    }
}

/// Prints one example; gives how many figures hold and how many there are.
fn example(case: &Case) -> (usize, usize) {
    let answers = case.answers();
    let file = case
        .file
        .file_name()
        .map(|name| name.to_string_lossy())
        .unwrap_or_default();
    println!("### {}: {}\n", case.id, case.title);
    println!("`{}`, file `{file}`\n", case.function);
    println!(
        "| figure | unit | expected | limit | got | | source |\n|---|---|---|---|---|---|---|"
    );
    let mut good = 0;
    for row in &case.expect {
        let got = answers.get(&row.what).copied().unwrap_or(f64::NAN);
        let holds = (got - row.value).abs() <= row.tolerance;
        good += usize::from(holds);
        println!(
            "| {} | {} | {} | {:e} | {} | {} | {} |",
            row.what,
            row.unit,
            row.value,
            row.tolerance,
            digits(got),
            if holds { "holds" } else { "FAILS" },
            row.source
        );
    }
    println!();
    (good, case.expect.len())
}

/// Lists the examples of the other folders with what they expect; their own tests run them.
fn elsewhere() {
    println!("## Examples that other tests of this package hold\n");
    println!(
        "| folder | example | clause | function | figure | expected | limit | source |\n|---|---|---|---|---|---|---|---|"
    );
    let worked = Path::new(env!("CARGO_MANIFEST_DIR")).join("worked");
    for folder in entries(&worked)
        .iter()
        .filter(|f| f.is_dir() && !f.ends_with("thermal"))
    {
        let name = folder
            .file_name()
            .map(|n| n.to_string_lossy().into_owned())
            .unwrap_or_default();
        for file in entries(folder) {
            let text = std::fs::read_to_string(&file).unwrap_or_default();
            let Ok(table) = text.parse::<Table>() else {
                continue;
            };
            let nested = table.get("case").and_then(Value::as_array);
            let cases: Vec<&Table> = match nested {
                Some(list) => list.iter().filter_map(Value::as_table).collect(),
                None => vec![&table],
            };
            for case in cases {
                listed(&name, case);
            }
        }
    }
    println!();
}

fn listed(folder: &str, case: &Table) {
    let text = |table: &Table, key: &str| {
        table
            .get(key)
            .and_then(Value::as_str)
            .unwrap_or_default()
            .to_string()
    };
    let number =
        |table: &Table, key: &str| table.get(key).map(ToString::to_string).unwrap_or_default();
    let title = [text(case, "id"), text(case, "name"), text(case, "title")].join(" ");
    let head = format!(
        "{folder} | {} | {} | {}",
        title.trim(),
        text(case, "clause"),
        text(case, "function")
    );
    let rows = case
        .get("expect")
        .and_then(Value::as_array)
        .map(Vec::as_slice)
        .unwrap_or_default();
    for row in rows.iter().filter_map(Value::as_table) {
        let source = [text(row, "source"), text(case, "source")]
            .into_iter()
            .find(|s| !s.is_empty())
            .unwrap_or_default();
        let (value, limit) = (number(row, "value"), number(row, "tolerance"));
        println!(
            "| {head} | {} | {value} | {limit} | {source} |",
            text(row, "what")
        );
    }
    if rows.is_empty() {
        println!("| {head} | | | | {} |", text(case, "source"));
    }
}

/// What lies in a folder, in the order of the names.
fn entries(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .map(|e| e.path())
        .collect();
    found.sort();
    found
}

/// Seven significant figures, with an exponent only where it reads better.
fn digits(number: f64) -> String {
    let size = number.abs();
    if number == 0.0 || (1e-4..1e7).contains(&size) {
        let places = if number == 0.0 {
            0
        } else {
            (6 - size.log10().floor() as i32).max(0) as usize
        };
        let text = format!("{number:.places$}");
        if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_string()
        } else {
            text
        }
    } else {
        format!("{number:.6e}")
    }
}

/// Every formula of every standard with its clause, how well it is known, and the proof that its print is its code.
fn formulas() {
    println!("## Formulas\n");
    println!(
        "Each printed expression was evaluated on 200 random inputs against the function that runs.\n"
    );
    println!(
        "| document | clause | standing | symbol | expression | print is code |\n|---|---|---|---|---|---|"
    );
    let own = thermal::formula::FORMULAS
        .iter()
        .map(|formula| ("thermal", *formula));
    for (_, formula) in standards::formulas().chain(own) {
        println!(
            "| {} | {} | {} | {} | `{}` | {} |",
            formula.clause().document,
            formula.clause().clause,
            standing(formula),
            formula.symbol(),
            formula.expression(),
            working::proof::prove(formula, 200)
                .map_or_else(|fault| fault, |()| String::from("proved"))
        );
    }
}

fn standing(formula: &dyn AnyFormula) -> &'static str {
    match formula.clause().standing {
        Standing::Published => "published",
        Standing::Unverified => "unverified",
        Standing::Project => "of this project",
    }
}
