//! The calculation sheet, line by line, so that each can be recomputed by hand.

use std::fmt::Write as _;

use api::v1;

use super::said::section;
use super::table::{PAGE, wrap};

pub(super) fn print(out: &mut String, sheet: Option<&v1::CalculationSheet>) {
    let Some(sheet) = sheet else { return };
    section(out, "CALCULATION SHEET");
    for line in &sheet.lines {
        match line.kind() {
            v1::LineKind::Section => {
                let _ = writeln!(out, "\n  {}", line.label);
            }
            v1::LineKind::Step => told(out, line.number, &line.label),
            v1::LineKind::Given => {
                let text = format!(
                    "{} = {} {}   [{}]",
                    line.label,
                    plain(line.value),
                    unit(&line.unit),
                    line.origin
                );
                told(out, line.number, &text);
            }
            v1::LineKind::Derived => derived(out, line),
            v1::LineKind::Checked => {
                let verdict = if line.holds { "holds" } else { "DOES NOT HOLD" };
                let used = format!("{:.1} %", line.value * 100.0);
                let text = format!(
                    "{}: {}, {verdict}, {used} used   [{}]",
                    line.label,
                    line.substituted,
                    cited(line)
                );
                told(out, line.number, &text);
            }
            v1::LineKind::Unspecified => {}
        }
    }
}

fn derived(out: &mut String, line: &v1::SheetLine) {
    let text = format!(
        "{}: {} = {}   [{}]",
        line.label,
        line.symbol,
        line.expression,
        cited(line)
    );
    told(out, line.number, &text);
    let inputs = line.inputs.iter().map(|input| {
        let from: Vec<String> = input.from.iter().map(|f| f.line.to_string()).collect();
        let from = if from.len() > 6 {
            format!("{} lines", from.len())
        } else {
            format!("line {}", from.join(", "))
        };
        format!("{} from {from}", input.symbol)
    });
    let inputs: Vec<String> = inputs.collect();
    let result = format!(
        "= {} = {} {}   ({})",
        line.substituted,
        plain(line.value),
        unit(&line.unit),
        inputs.join("; ")
    );
    for text in wrap(&result, PAGE - 10) {
        let _ = writeln!(out, "          {text}");
    }
}

fn told(out: &mut String, number: u32, text: &str) {
    for (n, text) in wrap(text, PAGE - 8).into_iter().enumerate() {
        let _ = if n == 0 {
            writeln!(out, "  {number:>4}  {text}")
        } else {
            writeln!(out, "        {text}")
        };
    }
}

fn cited(line: &v1::SheetLine) -> String {
    let known = match line.standing() {
        v1::Standing::Unverified => ", not verified",
        _ => "",
    };
    format!("{}, {}{known}", line.document, line.clause)
}

fn unit(unit: &str) -> &str {
    if unit == "1" { "" } else { unit }
}

/// The fewest digits that give the number back, without an exponent where it reads well.
fn plain(number: f64) -> String {
    if number != 0.0 && !(1e-4..1e9).contains(&number.abs()) {
        format!("{number:e}")
    } else {
        format!("{number}")
    }
}
