//! Rule data: files under `rules/` and `climates/` become a rule book. One file holds one rule set, named by its `key`,
//! which is also the file's name. A faulty file is left out and told; the others stand.

mod climate;
mod detail;
mod file;
mod fire;
mod fixing;
mod limit;
mod measurement;
mod moisture;
mod schema;
mod setting_out;
mod shelf;
mod terrain;
mod wind;

pub use schema::rule_schemas;

use alloc::collections::BTreeMap;
use alloc::string::String;
use alloc::vec::Vec;

use ::rules::RuleBook;
use thermal_bridge::Detail;

use crate::fault::{CatalogueFault, told};
use crate::revision::hash;
use crate::rules::shelf::Shelf;
use crate::source::SourceFile;

/// All rule data of a snapshot.
#[derive(Clone, Debug, Default)]
pub struct RuleData {
    /// What the estimate goes by. Its revision covers the details too.
    pub book: RuleBook,
    /// Details of thermal bridges by key.
    pub details: BTreeMap<String, Detail>,
    /// Every fault of the files that were left out, in the order of files and lines.
    pub faults: Vec<CatalogueFault>,
}

/// Reads all rule data. Files that lie in no folder named `rules` or `climates` are catalogues and passed over.
/// Every rule set that is sound is there; every fault of the others is told.
///
/// ```
/// use catalogue::SourceFile;
/// let text = "format = 1\nkey = \"narrow\"\nname = \"Narrow boards\"\nsource = \"demo value\"\nstagger-mm = 100\n";
/// let data = catalogue::rules::read(&[SourceFile::new("rules/setting-out/narrow.toml", text)]);
/// assert!(data.faults.is_empty());
/// assert_eq!(data.book.setting_out["narrow"].stagger, quantity::Mm(100));
/// ```
pub fn read(files: &[SourceFile]) -> RuleData {
    let mut shelf = Shelf::new(files);
    let book = RuleBook {
        setting_out: shelf.take::<setting_out::SettingOutEntry>("rules/setting-out"),
        climates: shelf.take::<climate::ClimateEntry>("climates"),
        humidity_classes: shelf
            .take::<moisture::HumidityClassEntry>("rules/moisture/humidity-classes"),
        condensate_limits: listed(
            shelf.take::<moisture::CondensateEntry>("rules/moisture/condensate-limits"),
        ),
        factor_floors: listed(
            shelf.take::<moisture::FactorFloorEntry>("rules/moisture/factor-floors"),
        ),
        thermal_limits: shelf.take::<limit::LimitEntry>("rules/thermal-limits"),
        measurement: shelf.take::<measurement::MeasurementEntry>("rules/measurement"),
        wind: shelf.take::<wind::WindEntry>("rules/wind"),
        fixing: shelf.take::<fixing::FixingEntry>("rules/fixing"),
        fire: listed(shelf.take::<fire::FireEntry>("rules/fire"))
            .into_iter()
            .flatten()
            .collect(),
        ..RuleBook::default()
    };
    let details = shelf.take::<detail::DetailEntry>("rules/details");
    shelf.refuse_unknown_folders();
    let rows = shelf
        .leaves
        .iter()
        .map(|(path, text)| (path.as_str(), text.as_str()));
    let revision = hash(rows);
    RuleData {
        book: RuleBook { revision, ..book },
        details,
        faults: told(&shelf.found, files),
    }
}

/// In the order of the keys.
fn listed<T>(sets: BTreeMap<String, T>) -> Vec<T> {
    sets.into_values().collect()
}
