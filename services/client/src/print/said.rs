//! What stands round every answer: heading, findings, assumptions, provenance.

use std::fmt::Write as _;

use api::v1;

use super::table::{Align, PAGE, Table, wrap};

/// A heading of its own line, ruled off.
pub(super) fn section(out: &mut String, title: &str) {
    let _ = writeln!(out, "\n{title}\n{}", "-".repeat(title.chars().count()));
}

/// A paragraph, indented by two.
pub(super) fn paragraph(out: &mut String, text: &str) {
    for line in wrap(text, PAGE - 2) {
        let _ = writeln!(out, "  {line}");
    }
}

pub(super) fn head(
    out: &mut String,
    title: &str,
    reference: &str,
    system: Option<&v1::ChosenSystem>,
) {
    let title = if reference.is_empty() {
        title.to_owned()
    } else {
        format!("{title}: {reference}")
    };
    let _ = writeln!(
        out,
        "{title}\n{}",
        "=".repeat(title.chars().count().min(PAGE))
    );
    let Some(system) = system else { return };
    let mut table = Table::new([("", Align::Left), ("", Align::Wrap)]);
    let mut row = |name: &str, value: String| {
        if !value.is_empty() {
            table.row([name.to_owned(), value]);
        }
    };
    let chosen = if system.key.is_empty() {
        String::new()
    } else {
        format!("{} ({})", system.name, system.key)
    };
    row("System", chosen);
    let board = if system.board.is_empty() {
        String::new()
    } else {
        format!("{}, {} mm", system.board, system.thickness_mm)
    };
    row("Board", board);
    row("Finish", system.finish.clone());
    row("Held", system.attachment.clone());
    row("Reaction to fire", system.reaction_to_fire.clone());
    table.print(out);
}

/// Findings first by weight: what does not hold, what to be careful with, what to know.
pub(super) fn findings(out: &mut String, list: &[v1::Finding]) {
    section(out, "FINDINGS");
    if list.is_empty() {
        paragraph(out, "None.");
        return;
    }
    let words = [
        (v1::Severity::Breach, "DOES NOT HOLD"),
        (v1::Severity::Caution, "CAUTION"),
        (v1::Severity::Note, "Note"),
    ];
    let mut table = Table::new([("", Align::Left), ("", Align::Wrap)]);
    for (severity, word) in words {
        let these: Vec<&v1::Finding> = list.iter().filter(|f| f.severity() == severity).collect();
        for (n, finding) in these.iter().enumerate() {
            let alike = |f: &&&v1::Finding| f.code == finding.code;
            let before = these.iter().take(n).filter(alike).count();
            let all = these.iter().filter(alike).count();
            if !FOLDED.contains(&finding.code.as_str()) || before < ALIKE || all == ALIKE + 1 {
                table.row([word.to_owned(), sentence(finding)]);
            } else if before == ALIKE {
                table.row([
                    word.to_owned(),
                    format!("... and {} more of the kind {}", all - ALIKE, finding.code),
                ]);
            }
        }
    }
    table.print(out);
}

/// Findings of one kind that are printed where the kind may be folded; the rest are counted. JSON tells them all.
const ALIKE: usize = 4;
/// The kinds that may be folded: they come in great number, and what is left unread hurts nobody. Everything else, and whatever is said of fire,
/// wind, anchors, the wall or the site, is printed in full.
const FOLDED: [&str; 7] = [
    "LAYOUT_RULE_NOT_KEPT",
    "THERMAL_LIMIT_OF_ZONE",
    "PRICE_MISSING",
    "STOCK_SHORT",
    "REVEAL_BOARD_NOT_STOCKED",
    "DIAGONAL_WIDER_THAN_ROLL",
    "FLATNESS_NOT_MEASURED",
];

fn sentence(finding: &v1::Finding) -> String {
    let mut text = finding.text.clone();
    if !finding.path.is_empty() {
        text = format!("{text} [{}]", finding.path);
    }
    if !finding.source.is_empty() {
        text = format!("{text} ({})", finding.source);
    }
    text
}

pub(super) fn assumptions(out: &mut String, list: &[v1::Assumption]) {
    if list.is_empty() {
        return;
    }
    section(out, "ASSUMED, TO BE CONFIRMED ON SITE");
    let mut table = Table::new([("For", Align::Left), ("Assumed", Align::Wrap)]);
    for assumed in list {
        table.row([assumed.path.clone(), assumed.text.clone()]);
    }
    table.print(out);
}

pub(super) fn provenance(out: &mut String, from: Option<&v1::Provenance>) {
    let Some(from) = from else { return };
    section(out, "WHERE THIS COMES FROM");
    let mut table = Table::new([("", Align::Left), ("", Align::Wrap)]);
    let mut row = |name: &str, value: String| table.row([name.to_owned(), value]);
    row("Engine", from.engine_version.clone());
    if !from.catalogue.is_empty() {
        let revision = short(&from.catalogue_revision);
        row(
            "Catalogue",
            format!("{}, revision {revision}", from.catalogue),
        );
    }
    row(
        "Rule data",
        format!("revision {}", short(&from.rules_revision)),
    );
    for standard in &from.standards {
        let known = match standard.standing() {
            v1::Standing::Unverified => "in part from memory, not verified",
            v1::Standing::Published => "as published",
            v1::Standing::Project | v1::Standing::Unspecified => "",
        };
        row(
            "",
            format!("{}: {known}", standard.document)
                .trim_end_matches([':', ' '])
                .to_owned(),
        );
    }
    table.print(out);
}

fn short(revision: &str) -> &str {
    match revision.get(..12) {
        Some(short) => short,
        None if revision.is_empty() => "none",
        None => revision,
    }
}

/// A number with so many decimals, and its thousands set apart.
pub(super) fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "-".to_owned();
    }
    let text = format!("{value:.decimals$}");
    // What rounds to nothing has no sign.
    let nothing = text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.'));
    let text = if nothing {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    };
    let (sign, digits) = text
        .strip_prefix('-')
        .map_or(("", text.as_str()), |d| ("-", d));
    let (whole, rest) = digits
        .split_once('.')
        .map_or((digits, String::new()), |(w, r)| (w, format!(".{r}")));
    format!("{sign}{}{rest}", apart(whole))
}

fn apart(digits: &str) -> String {
    let length = digits.len();
    let set = digits.char_indices().map(|(i, c)| {
        let gap = i > 0 && (length - i).is_multiple_of(3);
        if gap { format!(" {c}") } else { c.to_string() }
    });
    set.collect()
}

/// An amount of money with its thousands set apart, without its currency.
pub(super) fn amount(money: Option<&v1::Money>) -> String {
    let Some(money) = money else {
        return "no price".to_owned();
    };
    let (whole, rest) = money
        .amount
        .split_once('.')
        .unwrap_or((&money.amount, "00"));
    format!("{}.{rest}", apart(whole))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn six_of(code: &str, severity: v1::Severity) -> String {
        let list: Vec<v1::Finding> = (1..=6)
            .map(|n| v1::Finding {
                code: code.to_owned(),
                severity: severity.into(),
                text: format!("number {n}"),
                ..v1::Finding::default()
            })
            .collect();
        let mut out = String::new();
        findings(&mut out, &list);
        out
    }

    #[test]
    fn what_can_hurt_someone_is_never_folded_away() {
        for (code, severity) in [
            ("FIRE_BARRIER_PROPOSED", v1::Severity::Caution),
            ("ANCHORS_NOT_ENOUGH", v1::Severity::Breach),
            ("BOARDS_SHORT_OF_ANCHORS", v1::Severity::Caution),
            ("A_KIND_OF_LATER_DAYS", v1::Severity::Note),
        ] {
            let said = six_of(code, severity);
            assert!((1..=6).all(|n| said.contains(&format!("number {n}"))));
            assert!(!said.contains("more of the kind"), "{said}");
        }
        let said = six_of("LAYOUT_RULE_NOT_KEPT", v1::Severity::Breach);
        assert!(said.contains("number 4") && !said.contains("number 5"));
        assert!(said.contains("... and 2 more of the kind LAYOUT_RULE_NOT_KEPT"));
    }

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(number(1_234_567.891, 1), "1 234 567.9");
        assert_eq!(number(-999.0, 0), "-999");
        assert_eq!(number(f64::NAN, 2), "-");
    }
}
