//! A table with known keys, and tables of such tables. One macro makes the struct, its reader, its overlay and its schema
//! from one list of fields, so that they cannot disagree.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use toml::de::{DeTable, DeValue};

use crate::fault::{Fact, Found};
use crate::json::Json;
use crate::nearest::nearest;
use crate::source::{Located, Place};
use crate::value::{Leaf, Reading, Value, is_key};

/// Whether a key must be there once all overlays are laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Need {
    Required,
    Optional,
}

/// A table with known keys.
pub(crate) trait Entry: Sized + Clone + Default {
    /// The known keys in the order of the documentation.
    const KEYS: &'static [&'static str];
    fn read_table(table: &DeTable<'_>, at: Place, reading: &mut Reading<'_>) -> Self;
    fn lay_over(&mut self, later: Self);
    fn strip_prices(&mut self);
    fn list_leaves(&self, path: &str, out: &mut Vec<Leaf>);
    fn find_missing(&self, within: &str, found: &mut Vec<Found>);
    fn object_schema() -> Json;
    /// Where the table's name stands, in the file that names it first.
    fn place(&self) -> Place;
    /// Where `withdrawn = true` stands, for those tables that know the key.
    fn withdrawn_at(&self) -> Option<Place> {
        None
    }
    /// Whether it is taken out.
    fn is_withdrawn(&self) -> bool {
        self.withdrawn_at().is_some()
    }
}

impl<E: Entry> Value for E {
    type Limits = ();
    fn read(raw: &DeValue<'_>, at: Place, (): &(), reading: &mut Reading<'_>) -> Option<Self> {
        table_of(raw, at, reading).map(|table| E::read_table(table, at, reading))
    }
    fn overlay(&mut self, later: Self) {
        self.lay_over(later);
    }
    fn without_prices(mut self) -> Option<Self> {
        self.strip_prices();
        Some(self)
    }
    fn leaves(&self, path: &str, _: Place, out: &mut Vec<Leaf>) {
        self.list_leaves(path, out);
    }
    fn report_missing(&self, within: &str, found: &mut Vec<Found>) {
        self.find_missing(within, found);
    }
    fn schema((): &()) -> Json {
        E::object_schema()
    }
}

/// The table inside a value, or a fault.
pub(crate) fn table_of<'t, 'i>(
    raw: &'t DeValue<'i>,
    at: Place,
    reading: &mut Reading<'_>,
) -> Option<&'t DeTable<'i>> {
    if let DeValue::Table(table) = raw {
        return Some(table);
    }
    let fact = Fact::WrongType {
        found: "a single value".into(),
        expected: "a table".into(),
    };
    reading.fault(at, fact, None);
    None
}

/// What stands between the points of a table's name: `140`, `A`, `white`.
pub(crate) trait KeyText: Ord + Clone + core::fmt::Display {
    const EXPECTED: &'static str;
    /// As a regular expression, for the schema.
    const PATTERN: &'static str;
    fn parse(text: &str) -> Option<Self>;
}

impl KeyText for i32 {
    const EXPECTED: &'static str = "a whole number of millimetres from 1 to 100000";
    const PATTERN: &'static str = "^[0-9]+$";
    fn parse(text: &str) -> Option<Self> {
        // `140` and `0140` would be two keys for one size.
        let plain = !text.starts_with('0') && text.bytes().all(|b| b.is_ascii_digit());
        let size: Self = text.parse().ok()?;
        (plain && (1..=100_000).contains(&size)).then_some(size)
    }
}

impl KeyText for String {
    const EXPECTED: &'static str = "a key of lower-case letters, digits and hyphens";
    const PATTERN: &'static str = "^[a-z0-9]+(-[a-z0-9]+)*$";
    fn parse(text: &str) -> Option<Self> {
        is_key(text).then(|| text.into())
    }
}

impl KeyText for char {
    const EXPECTED: &'static str = "a base-material category from A to E";
    const PATTERN: &'static str = "^[A-E]$";
    fn parse(text: &str) -> Option<Self> {
        let letter = material::BaseCategory::from_letter(text.chars().next()?)?;
        (text.len() == 1).then_some(letter.letter())
    }
}

/// Tables by key, such as one per stocked thickness.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Keyed<K: Ord, E>(pub BTreeMap<K, E>);

impl<K: KeyText, E: Entry> Value for Keyed<K, E> {
    type Limits = ();
    fn read(raw: &DeValue<'_>, at: Place, (): &(), reading: &mut Reading<'_>) -> Option<Self> {
        let table = table_of(raw, at, reading)?;
        let mut entries = BTreeMap::new();
        for (key, raw) in table {
            let key_at = reading.place(&key.span());
            let Some(parsed) = K::parse(key.get_ref()) else {
                let fact = Fact::Malformed {
                    found: key.get_ref().to_string(),
                    expected: K::EXPECTED.into(),
                };
                reading.fault(key_at, fact, None);
                continue;
            };
            if let Some(entry) = E::read(raw.get_ref(), key_at, &(), reading) {
                entries.insert(parsed, entry);
            }
        }
        Some(Self(entries))
    }
    fn overlay(&mut self, later: Self) {
        for (key, entry) in later.0 {
            match self.0.get_mut(&key) {
                Some(base) => base.lay_over(entry),
                None => {
                    self.0.insert(key, entry);
                }
            }
        }
    }
    fn without_prices(mut self) -> Option<Self> {
        self.0.values_mut().for_each(E::strip_prices);
        Some(self)
    }
    fn leaves(&self, path: &str, _: Place, out: &mut Vec<Leaf>) {
        for (key, entry) in self.kept() {
            entry.list_leaves(&format!("{path}.{key}"), out);
        }
    }
    fn report_missing(&self, within: &str, found: &mut Vec<Found>) {
        for (key, entry) in self.kept() {
            entry.find_missing(&format!("{within}.{key}"), found);
        }
    }
    fn schema((): &()) -> Json {
        Json::object([
            ("type", Json::text("object")),
            (
                "patternProperties",
                Json::object([(K::PATTERN, E::object_schema())]),
            ),
            ("additionalProperties", Json::Flag(false)),
        ])
    }
}

impl<K: KeyText, E: Entry> Keyed<K, E> {
    /// The tables that are not withdrawn, in the order of their keys.
    pub fn kept(&self) -> impl Iterator<Item = (&K, &E)> {
        self.0.iter().filter(|(_, entry)| !entry.is_withdrawn())
    }
}

/// Tables in a stated order, `[[band]]`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Rows<E>(pub Vec<E>);

impl<E: Entry> Value for Rows<E> {
    type Limits = ();
    fn read(raw: &DeValue<'_>, at: Place, (): &(), reading: &mut Reading<'_>) -> Option<Self> {
        let DeValue::Array(items) = raw else {
            let fact = Fact::WrongType {
                found: "a single value".into(),
                expected: "a list of tables".into(),
            };
            reading.fault(at, fact, None);
            return None;
        };
        let rows = items.iter().map(|item| {
            let at = reading.place(&item.span());
            E::read(item.get_ref(), at, &(), reading)
        });
        rows.collect::<Vec<_>>()
            .into_iter()
            .collect::<Option<Vec<E>>>()
            .map(Self)
    }
    fn leaves(&self, path: &str, _: Place, out: &mut Vec<Leaf>) {
        for (number, entry) in self.0.iter().enumerate() {
            entry.list_leaves(&format!("{path}.{number}"), out);
        }
    }
    fn report_missing(&self, within: &str, found: &mut Vec<Found>) {
        for (number, entry) in self.0.iter().enumerate() {
            entry.find_missing(&format!("{within}[{number}]"), found);
        }
    }
    fn schema((): &()) -> Json {
        Json::object([("type", Json::text("array")), ("items", E::object_schema())])
    }
}

/// One key as the schema tells it.
pub(crate) fn field_schema(doc: &str, need: Need, value: Json) -> Json {
    let doc = doc.trim();
    let text = match need {
        Need::Required => format!("{doc} Required, here or in a parent."),
        Need::Optional => doc.into(),
    };
    value.with("description", Json::text(text))
}

/// Lays a later value over an earlier one.
pub(crate) fn overlay_field<T: Value>(base: &mut Option<Located<T>>, later: Option<Located<T>>) {
    match (base.as_mut(), later) {
        (Some(base), Some(later)) => {
            base.at = later.at;
            base.value.overlay(later.value);
        }
        (None, Some(later)) => *base = Some(later),
        (_, None) => {}
    }
}

/// Drops the prices of a field.
pub(crate) fn strip_field<T: Value>(field: &mut Option<Located<T>>) {
    *field = field.take().and_then(|Located { value, at }| {
        value.without_prices().map(|value| Located { value, at })
    });
}

/// Says that a key is not known: as a wrong unit, as a slip, or with the list of known keys. Gives the key that was meant.
pub(crate) fn unknown_key(
    key: &str,
    at: Place,
    keys: &[&'static str],
    reading: &mut Reading<'_>,
) -> Option<&'static str> {
    let hyphened = key.replace('_', "-");
    if let Some(&known) = keys.iter().find(|k| **k == hyphened) {
        let help = format!("keys are written with hyphens: `{known}`");
        reading.fault(at, plain_unknown(key), Some(help));
        return Some(known);
    }
    if let Some(&known) = keys.iter().find(|k| stem(k) == stem(&hyphened)) {
        let fact = Fact::WrongUnit {
            key: key.into(),
            expected: known.into(),
        };
        let help = if stem(known) == known {
            format!("write `{known}`")
        } else {
            format!("the key says its unit: `{known}`")
        };
        reading.fault(at, fact, Some(help));
        return Some(known);
    }
    let near = nearest(&hyphened, keys.iter().copied());
    let help = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("known here: {}", keys.join(", ")),
    };
    reading.fault(at, plain_unknown(key), Some(help));
    keys.iter().copied().find(|k| Some(*k) == near)
}

fn plain_unknown(key: &str) -> Fact {
    Fact::UnknownKey {
        key: key.into(),
        within: "this table".into(),
    }
}

/// A key without the unit at its end. Longer units stand before the shorter ones they end in.
fn stem(key: &str) -> &str {
    const UNITS: &[&str] = &[
        "mw-per-mk",
        "w-per-mk",
        "w-per-m2k",
        "w-per-k",
        "mw-per-k",
        "kg-per-m3",
        "g-per-cm3",
        "kj-per-kgk",
        "j-per-kgk",
        "kg-per-m2",
        "g-per-m2",
        "kn-per-mm",
        "n-per-mm",
        "l-per-kg",
        "l-per-l",
        "per-m2",
        "m-per-s",
        "kn-per-m2",
        "m2k-per-w",
        "mm",
        "cm",
        "m",
        "m2",
        "m3",
        "inch",
        "kg",
        "g",
        "t",
        "litres",
        "l",
        "ml",
        "kn",
        "n",
        "kpa",
        "mpa",
        "pa",
        "hours",
        "h",
        "days",
        "minutes",
        "seconds",
        "percent",
        "eur",
        "celsius",
    ];
    let units = UNITS.iter();
    units
        .filter_map(|unit| key.strip_suffix(unit)?.strip_suffix('-'))
        .min_by_key(|stem| stem.len())
        .unwrap_or(key)
}

/// Makes a struct of optional located fields with its reader, overlay, leaves and schema.
///
/// `entry!` makes a plain table, `entry!(part ...)` one that may be withdrawn.
macro_rules! entry {
    (
        $(#[doc = $about:literal])+
        $name:ident { $(
            $(#[doc = $doc:literal])+
            $field:ident: $t:ty = $key:literal, $need:ident, $limits:expr;
        )* }
        $(withdrawn by $withdrawn:ident)?
    ) => {
        $(#[doc = $about])+
        #[derive(Clone, Debug, Default, PartialEq)]
        pub(crate) struct $name {
            /// Where the table's name stands.
            pub at: $crate::source::Place,
            /// Keys that are there but could not be read; they are not missing.
            pub spoiled: alloc::collections::BTreeSet<&'static str>,
            $( $(#[doc = $doc])+ pub $field: Option<$crate::source::Located<$t>>, )*
        }

        impl $crate::entry::Entry for $name {
            const KEYS: &'static [&'static str] = &[$($key),*];

            fn read_table(
                table: &toml::de::DeTable<'_>,
                at: $crate::source::Place,
                reading: &mut $crate::value::Reading<'_>,
            ) -> Self {
                let mut entry = Self { at, ..Self::default() };
                for (key, raw) in table {
                    let key_at = reading.place(&key.span());
                    match key.get_ref().as_ref() {
                        $( $key => {
                            // A table is found by its name, a value by itself.
                            let at = match raw.get_ref() {
                                toml::de::DeValue::Table(_) => key_at,
                                _ => reading.place(&raw.span()),
                            };
                            let value = <$t as $crate::value::Value>::read(raw.get_ref(), at, &$limits, reading);
                            if value.is_none() {
                                entry.spoiled.insert($key);
                            }
                            entry.$field = value.map(|value| $crate::source::Located { value, at });
                        } )*
                        other => {
                            let meant = $crate::entry::unknown_key(other, key_at, Self::KEYS, reading);
                            entry.spoiled.extend(meant);
                        }
                    }
                }
                entry
            }
            fn lay_over(&mut self, later: Self) {
                $( $crate::entry::overlay_field(&mut self.$field, later.$field); )*
                self.spoiled.extend(later.spoiled);
            }
            fn strip_prices(&mut self) {
                $( $crate::entry::strip_field(&mut self.$field); )*
            }
            fn list_leaves(&self, path: &str, out: &mut alloc::vec::Vec<$crate::value::Leaf>) {
                $( if let Some(field) = &self.$field {
                    let path = alloc::format!("{path}.{}", $key);
                    $crate::value::Value::leaves(&field.value, &path, field.at, out);
                } )*
            }
            fn find_missing(&self, within: &str, found: &mut alloc::vec::Vec<$crate::fault::Found>) {
                let mut keys = alloc::vec::Vec::<alloc::string::String>::new();
                $( match &self.$field {
                    None if $crate::entry::Need::$need == $crate::entry::Need::Required
                        && !self.spoiled.contains($key) => keys.push($key.into()),
                    Some(field) => {
                        let within = alloc::format!("{within}.{}", $key);
                        $crate::value::Value::report_missing(&field.value, &within, found);
                    }
                    None => {}
                } )*
                if !keys.is_empty() {
                    found.push($crate::fault::Found {
                        at: self.at,
                        fact: $crate::fault::Fact::Missing { within: within.into(), keys },
                        help: None,
                    });
                }
            }
            fn object_schema() -> $crate::json::Json {
                use $crate::json::Json;
                let about: &[&str] = &[$($about),+];
                let members = alloc::vec![$( {
                    let doc: &[&str] = &[$($doc),+];
                    let schema = <$t as $crate::value::Value>::schema(&$limits);
                    (
                        alloc::string::String::from($key),
                        $crate::entry::field_schema(&doc.join(""), $crate::entry::Need::$need, schema),
                    )
                } ),*];
                Json::object([
                    ("type", Json::text("object")),
                    ("description", Json::text(about.join("").trim())),
                    ("properties", Json::Object(members)),
                    ("additionalProperties", Json::Flag(false)),
                ])
            }
            fn place(&self) -> $crate::source::Place {
                self.at
            }
            $( fn withdrawn_at(&self) -> Option<$crate::source::Place> {
                self.$withdrawn.as_ref().filter(|flag| flag.value).map(|flag| flag.at)
            } )?
        }
    };
}
pub(crate) use entry;

/// An [`entry!`] with the heading that every article has.
macro_rules! article {
    (
        $(#[doc = $about:literal])+
        $name:ident { $($fields:tt)* }
    ) => {
        $crate::entry::entry! {
            $(#[doc = $about])+
            $name {
                /// Its name for people.
                name: alloc::string::String = "name", Required, $crate::value::Text::Free;
                /// Where its numbers come from, unless `sources` says otherwise.
                source: alloc::string::String = "source", Required, $crate::value::Text::Free;
                /// Where single numbers come from, by key.
                sources: $crate::value::Words = "sources", Optional, ();
                /// The share added for waste on site; cutting loss is computed and not in here.
                waste_share: f64 = "waste-share", Optional, 0.0..=0.5;
                /// Free table, passed through: the caller's own article numbers.
                metadata: $crate::value::Words = "metadata", Optional, ();
                /// True takes the article out of this catalogue and of all that extend it.
                withdrawn: bool = "withdrawn", Optional, ();
                $($fields)*
            }
            withdrawn by withdrawn
        }
        impl $crate::complete::Headed for $name {
            fn heading(&self) -> $crate::complete::Heading<'_> {
                $crate::complete::Heading {
                    name: &self.name,
                    source: &self.source,
                    sources: &self.sources,
                    waste_share: &self.waste_share,
                    metadata: &self.metadata,
                }
            }
        }
    };
}
pub(crate) use article;

/// An [`article!`] that is bought in one kind of pack.
macro_rules! supplied_article {
    (
        $(#[doc = $about:literal])+
        $name:ident { $($fields:tt)* }
    ) => {
        $crate::entry::article! {
            $(#[doc = $about])+
            $name {
                $($fields)*
                /// What a pack is called.
                pack: alloc::string::String = "pack", Optional, $crate::value::Text::Free;
                /// Packs on a pallet, where sold so.
                packs_per_pallet: u32 = "packs-per-pallet", Optional, 1..=10_000;
                /// The price of one pack in the catalogue's currency, a decimal in quotes.
                price: $crate::value::Price = "price", Optional, ();
                /// How many packs the branch has.
                stock_packs: u64 = "stock-packs", Optional, 0..=1_000_000_000;
            }
        }
        impl $crate::complete::Supplied for $name {
            fn terms(&self) -> $crate::complete::Terms<'_> {
                $crate::complete::Terms {
                    pack: &self.pack,
                    packs_per_pallet: &self.packs_per_pallet,
                    price: &self.price,
                    stock_packs: &self.stock_packs,
                }
            }
        }
    };
}
pub(crate) use supplied_article;

/// A stocked size of an article: what [`supplied_article!`] adds, for one thickness or length.
macro_rules! size {
    (
        $(#[doc = $about:literal])+
        $name:ident { $($fields:tt)* }
    ) => {
        $crate::entry::entry! {
            $(#[doc = $about])+
            $name {
                $($fields)*
                /// What a pack is called.
                pack: alloc::string::String = "pack", Optional, $crate::value::Text::Free;
                /// Packs on a pallet, where sold so.
                packs_per_pallet: u32 = "packs-per-pallet", Optional, 1..=10_000;
                /// The price of one pack in the catalogue's currency, a decimal in quotes.
                price: $crate::value::Price = "price", Optional, ();
                /// How many packs the branch has.
                stock_packs: u64 = "stock-packs", Optional, 0..=1_000_000_000;
                /// True takes this size out.
                withdrawn: bool = "withdrawn", Optional, ();
            }
            withdrawn by withdrawn
        }
        impl $crate::complete::Supplied for $name {
            fn terms(&self) -> $crate::complete::Terms<'_> {
                $crate::complete::Terms {
                    pack: &self.pack,
                    packs_per_pallet: &self.packs_per_pallet,
                    price: &self.price,
                    stock_packs: &self.stock_packs,
                }
            }
        }
    };
}
pub(crate) use size;

#[cfg(test)]
mod tests {
    use super::stem;

    #[test]
    fn a_stem_is_a_key_without_its_unit() {
        assert_eq!(stem("conductivity-w-per-mk"), "conductivity");
        assert_eq!(stem("conductivity-mw-per-mk"), "conductivity");
        assert_eq!(stem("thickness-min-mm"), "thickness-min");
        assert_eq!(stem("price"), "price");
    }
}
