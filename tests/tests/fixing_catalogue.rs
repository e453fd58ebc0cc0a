//! The rule data of wind, fixing and fire as the catalogue reads them, against the reader of the checks: two readers, one content.

mod fixing_reading;

use catalogue::SourceFile;
use fixing_reading::{files, fire_rules, fixing_rules, wind_sets};

#[test]
fn two_readers_find_the_same_rule_data() {
    let sources: Vec<SourceFile> = ["wind", "fixing", "fire"]
        .iter()
        .flat_map(|kind| {
            files(&format!("catalogues/rules/{kind}"))
                .into_iter()
                .map(move |(stem, text)| SourceFile::new(format!("rules/{kind}/{stem}.toml"), text))
        })
        .collect();
    let catalogue::rules::RuleData { book, faults, .. } = catalogue::rules::read(&sources);
    assert!(faults.is_empty(), "{} faults", faults.len());
    assert_eq!(book.wind, wind_sets());
    let fixing = files("catalogues/rules/fixing");
    assert_eq!(book.fixing.len(), fixing.len());
    for (key, text) in &fixing {
        assert_eq!(book.fixing[key], fixing_rules(text));
    }
    let sorted = |mut rows: Vec<fixing::fire::FireRule>| {
        rows.sort_by(|a, b| a.id.cmp(&b.id));
        rows
    };
    assert_eq!(sorted(book.fire), sorted(fire_rules()));
}
