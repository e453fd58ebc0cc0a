//! All articles of one catalogue as written, by kind.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use material::Assortment;
use quantity::Currency;
use toml::de::DeValue;

use crate::complete::{ArticleEntry, Completing};
use crate::entry::{Entry, KeyText, table_of};
use crate::fault::{Fact, Found};
use crate::json::Json;
use crate::kinds::{
    AccessoryEntry, AdhesiveEntry, AnchorEntry, BaseProfileEntry, BeadEntry, BoardEntry,
    FinishEntry, FoamEntry, HygricEntry, MeshEntry, MortarEntry, MountingElementEntry, PlateEntry,
    PlugEntry, PrimerEntry, SealingStripEntry, SystemEntry, WaterproofingEntry,
};
use crate::nearest::nearest;
use crate::source::{Place, SourceFile, look_up};
use crate::value::{Leaf, Reading, Value};

type Kind<E> = BTreeMap<String, E>;

macro_rules! articles {
    ($( $field:ident: $entry:ty = $kind:literal; )*) => {
        /// All articles of one catalogue as written.
        #[derive(Clone, Debug, Default)]
        pub(crate) struct Articles { $( pub $field: Kind<$entry>, )* }

        impl Articles {
            /// The kinds of article, as they stand before the first point of a table's name.
            pub const KINDS: &'static [&'static str] = &[$($kind),*];

            /// Reads the tables of one kind; false where there is no such kind.
            pub fn read(&mut self, kind: &str, raw: &DeValue<'_>, at: Place, reading: &mut Reading<'_>) -> bool {
                match kind {
                    $( $kind => self.$field.extend(read_kind::<$entry>(raw, at, reading)), )*
                    _ => return false,
                }
                true
            }
            /// Takes in the articles of another file of the same catalogue.
            pub fn take_in(&mut self, other: Self, files: &[SourceFile], found: &mut Vec<Found>) {
                $( take_in_kind($kind, &mut self.$field, other.$field, files, found); )*
            }
            /// Lays the articles of a catalogue that extends this one over them.
            pub fn lay_over(&mut self, later: Self, found: &mut Vec<Found>) {
                $( lay_over_kind($kind, &mut self.$field, later.$field, found); )*
            }
            /// Drops all prices.
            pub fn strip_prices(&mut self) {
                $( self.$field.values_mut().for_each(Entry::strip_prices); )*
            }
            /// Everything that is written and not withdrawn.
            pub fn leaves(&self) -> Vec<Leaf> {
                let mut out = Vec::new();
                $( for (name, entry) in &self.$field {
                    if !entry.is_withdrawn() {
                        entry.list_leaves(&format!("{}.{name}", $kind), &mut out);
                    }
                } )*
                out
            }
            /// The names of a kind, each with whether it is withdrawn.
            pub fn names(&self, kind: &str) -> Vec<(&str, bool)> {
                match kind {
                    $( $kind => self.$field.iter().map(|(n, e)| (n.as_str(), e.is_withdrawn())).collect(), )*
                    _ => Vec::new(),
                }
            }
            /// Where an article is withdrawn; the start of the first file where it is not.
            pub fn withdrawn_at(&self, kind: &str, name: &str) -> Place {
                let at = match kind {
                    $( $kind => self.$field.get(name).and_then(Entry::withdrawn_at), )*
                    _ => None,
                };
                at.unwrap_or_default()
            }
            /// The materials. What is missing or does not go together is added to `found`, and its article left out.
            pub fn complete(&self, name: &str, currency: Currency, found: &mut Vec<Found>) -> Assortment {
                let mut assortment = Assortment::empty(name, currency);
                $( assortment.$field = complete_kind($kind, &self.$field, currency, found); )*
                assortment
            }
            /// As JSON Schema, kind by kind.
            pub fn schemas() -> Vec<(String, Json)> {
                alloc::vec![$( ($kind.into(), kind_schema::<$entry>()) ),*]
            }
        }
    };
}

articles! {
    boards: BoardEntry = "board";
    mortars: MortarEntry = "mortar";
    meshes: MeshEntry = "mesh";
    beads: BeadEntry = "bead";
    base_profiles: BaseProfileEntry = "base-profile";
    accessories: AccessoryEntry = "accessory";
    anchors: AnchorEntry = "anchor";
    plates: PlateEntry = "plate";
    plugs: PlugEntry = "plug";
    foams: FoamEntry = "foam";
    sealing_strips: SealingStripEntry = "sealing-strip";
    waterproofings: WaterproofingEntry = "waterproofing";
    primers: PrimerEntry = "primer";
    finishes: FinishEntry = "finish";
    mounting_elements: MountingElementEntry = "mounting-element";
    adhesives: AdhesiveEntry = "adhesive";
    hygrics: HygricEntry = "hygric";
    systems: SystemEntry = "system";
}

fn read_kind<E: Entry>(raw: &DeValue<'_>, at: Place, reading: &mut Reading<'_>) -> Kind<E> {
    let mut kind = Kind::new();
    let Some(table) = table_of(raw, at, reading) else {
        return kind;
    };
    for (key, raw) in table {
        let key_at = reading.place(&key.span());
        let name = key.get_ref().to_string();
        if <String as KeyText>::parse(&name).is_none() {
            let fact = Fact::Malformed {
                found: name,
                expected: <String as KeyText>::EXPECTED.into(),
            };
            reading.fault(key_at, fact, None);
            continue;
        }
        if let Some(entry) = E::read(raw.get_ref(), key_at, &(), reading) {
            kind.insert(name, entry);
        }
    }
    kind
}

fn take_in_kind<E: Entry>(
    kind: &str,
    into: &mut Kind<E>,
    other: Kind<E>,
    files: &[SourceFile],
    found: &mut Vec<Found>,
) {
    for (name, entry) in other {
        let Some(first) = into.get(&name) else {
            into.insert(name, entry);
            continue;
        };
        let fact = Fact::Twice {
            what: format!("{kind}.{name}"),
            first: told_at(first.place(), files),
        };
        found.push(Found {
            at: entry.place(),
            fact,
            help: Some("one catalogue tells each article in one file; lay a change over it in a catalogue that extends it".into()),
        });
    }
}

/// A place as `file:line`.
pub(crate) fn told_at(at: Place, files: &[SourceFile]) -> String {
    files
        .get(at.file as usize)
        .map_or_else(String::new, |file| {
            format!("{}:{}", file.path, look_up(&file.text, at).line)
        })
}

fn lay_over_kind<E: Entry>(kind: &str, base: &mut Kind<E>, later: Kind<E>, found: &mut Vec<Found>) {
    for (name, entry) in later {
        if let Some(below) = base.get_mut(&name) {
            below.lay_over(entry);
            continue;
        }
        if entry.is_withdrawn() {
            let near = nearest(&name, base.keys().map(String::as_str));
            let help = near.map(|n| format!("did you mean `{kind}.{n}`?"));
            let fact = Fact::UnknownName {
                kind: kind.into(),
                name,
            };
            found.push(Found {
                at: entry.place(),
                fact,
                help,
            });
            continue;
        }
        base.insert(name, entry);
    }
}

fn complete_kind<E: ArticleEntry>(
    kind: &str,
    entries: &Kind<E>,
    currency: Currency,
    found: &mut Vec<Found>,
) -> Kind<E::Material> {
    let mut materials = BTreeMap::new();
    for (name, entry) in entries.iter().filter(|(_, e)| !e.is_withdrawn()) {
        let key = format!("{kind}.{name}");
        let before = found.len();
        entry.find_missing(&key, found);
        if entry.heading().name.is_none() {
            let others = entries.iter().filter(|(_, e)| e.heading().name.is_some());
            let help = match nearest(name, others.map(|(n, _)| n.as_str())) {
                Some(near) => format!("did you mean `{kind}.{near}`?"),
                None => format!("no parent has `{key}`, so everything must be told here"),
            };
            for fault in found.iter_mut().skip(before) {
                fault.help = Some(help.clone());
            }
        }
        let mut completing = Completing {
            key,
            currency,
            found,
        };
        if let Some(material) = entry.complete(&mut completing) {
            materials.insert(name.clone(), material);
        }
    }
    materials
}

fn kind_schema<E: Entry>() -> Json {
    Json::object([
        ("type", Json::text("object")),
        (
            "patternProperties",
            Json::object([(<String as KeyText>::PATTERN, E::object_schema())]),
        ),
        ("additionalProperties", Json::Flag(false)),
    ])
}
