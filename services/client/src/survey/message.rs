//! A tree as a message of the wire, by field name. Every key that the message does not have and every value of another type comes back at
//! once, with its path.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use prost_reflect::{
    DynamicMessage, EnumDescriptor, FieldDescriptor, Kind, MessageDescriptor, ReflectMessage as _,
    Value,
};
use server::nearest;
use working::{Fault, Faults};

use super::tree::{Node, Plain};

/// Tables within tables beyond this are no survey.
const DEEPEST: usize = 20;

/// Where each field of the file stands.
pub(super) type Places = BTreeMap<String, Range<usize>>;

/// Stands in for a word that no enum has: a number that this version does not know either, so that the word counts as told, and as wrong.
pub(super) const NO_WORD: i32 = -1;

/// The messages whose lost values would make what depends on them wrong: an end of a facade and a corner of an outline.
const END: &str = "Edge";
const CORNER: &str = "Point";

/// What came of filling a message.
pub(super) struct Filled {
    pub faults: Vec<Fault>,
    /// Where the fields stand, as far as the format tells it.
    pub places: Places,
    /// The paths of all fields that the file tells.
    pub told: BTreeSet<String>,
    /// The paths of faulty fields that are told to the service by a value as wrong as that of the file.
    pub passed_on: BTreeSet<String>,
    /// Those among them that are whole numbers, but too far out.
    pub too_far_out: BTreeSet<String>,
    /// The paths of faulty items of lists that an empty one stands in for, so that those after them keep their numbers.
    pub empty_items: BTreeSet<String>,
    /// The paths of sound fields that were made wrong because another one of their table is lost, and says nothing without them.
    pub spoilt: BTreeSet<String>,
    /// The paths of keys that the message does not have, each with the paths of the fields that it resembles.
    pub strays: BTreeMap<String, Vec<String>>,
}

/// Fills messages and remembers faults and places.
#[derive(Default)]
pub(super) struct Filling {
    faults: Faults,
    places: Places,
    told: BTreeSet<String>,
    passed_on: BTreeSet<String>,
    too_far_out: BTreeSet<String>,
    empty_items: BTreeSet<String>,
    spoilt: BTreeSet<String>,
    strays: BTreeMap<String, Vec<String>>,
}

impl Filling {
    /// The message of the whole tree.
    pub fn whole(&mut self, kind: &MessageDescriptor, root: &Node) -> DynamicMessage {
        let mut message = DynamicMessage::new(kind.clone());
        if let Plain::Table(keys) = &root.value {
            self.fill(&mut message, keys, "", 0);
        } else {
            self.wrong("", &root.value, "a table of the request's fields");
        }
        message
    }

    pub fn filled(self) -> Filled {
        Filled {
            faults: self.faults.into_list(),
            places: self.places,
            told: self.told,
            passed_on: self.passed_on,
            too_far_out: self.too_far_out,
            empty_items: self.empty_items,
            spoilt: self.spoilt,
            strays: self.strays,
        }
    }

    fn wrong(&mut self, path: &str, found: &Plain, expected: impl Into<String>) {
        self.faults.add(path, "WRONG_TYPE", found.told(), expected);
    }

    fn fill(
        &mut self,
        message: &mut DynamicMessage,
        keys: &[(String, Option<Range<usize>>, Node)],
        within: &str,
        depth: usize,
    ) {
        let kind = message.descriptor();
        let mut is_whole = true;
        let mut strays: Vec<String> = Vec::new();
        let mut told: Vec<String> = Vec::with_capacity(keys.len());
        for (key, place, node) in keys {
            // Tools that write the protocol as JSON spell its names in lowerCamelCase.
            let field = kind.get_field_by_name(key);
            let field = field.or_else(|| kind.get_field_by_json_name(key));
            let name = field.as_ref().map_or(key.as_str(), FieldDescriptor::name);
            let path = path_of(within, name);
            self.told.insert(path.clone());
            if let Some(place) = place.clone().or(node.span.clone()) {
                self.places.insert(path.clone(), place);
            }
            let Some(field) = field else {
                strays.extend(self.unknown(&path, key, &kind));
                continue;
            };
            if told.iter().any(|known| known == field.name()) {
                let both = format!("`{}` and `{}`", field.name(), field.json_name());
                self.faults
                    .add(&path, "DUPLICATE", both, "only one of them");
            }
            told.push(field.name().to_owned());
            if matches!(node.value, Plain::Nothing) {
                continue;
            }
            let other = field
                .containing_oneof()
                .into_iter()
                .flat_map(|o| o.fields().collect::<Vec<_>>());
            if let Some(other) = other.filter(|o| *o != field).find(|o| message.has_field(o)) {
                let (one, two) = (other.name().to_owned(), field.name().to_owned());
                self.faults.add(
                    &path,
                    "DUPLICATE",
                    format!("`{one}` and `{two}`"),
                    "only one of them",
                );
            }
            let faults = self.faults.count();
            if let Some(value) = self.field(&field, node, &path, depth) {
                message.set_field(&field, value);
            }
            is_whole &= self.faults.count() == faults;
        }
        strays.retain(|meant| !self.told.contains(meant));
        self.lose(message, &strays, within);
        if kind.name() == END && !(is_whole && strays.is_empty()) {
            self.spoil_end(message, within);
        }
    }

    /// Fields that misspelt keys were meant for are made wrong rather than left out: nothing then rests on their being zero.
    fn lose(&mut self, message: &mut DynamicMessage, meant: &[String], within: &str) {
        for field in message.descriptor().fields() {
            let path = path_of(within, field.name());
            let is_one = !field.is_list() && field.containing_oneof().is_none();
            if is_one
                && meant.contains(&path)
                && let Some(value) = self.as_wrong(&field.kind(), &path)
            {
                message.set_field(&field, value);
            }
        }
    }

    /// An end that lost a part of it says nothing of what it meets: its kind is made unknown, so that no facade is held against it.
    fn spoil_end(&mut self, message: &mut DynamicMessage, path: &str) {
        message.set_field_by_name("kind", Value::EnumNumber(NO_WORD));
        self.spoilt.insert(format!("{path}.kind"));
    }

    /// Tells a key that the message does not have, and gives the paths of the fields that it resembles.
    fn unknown(&mut self, path: &str, key: &str, kind: &MessageDescriptor) -> Vec<String> {
        let names: Vec<String> = kind.fields().map(|f| f.name().to_owned()).collect();
        // A key that lacks its unit, or has another one, begins like the key that is meant.
        let stem = key.split('_').next().unwrap_or(key);
        let stem = |n: &&String| n.split('_').next() == Some(stem);
        let like = names.iter().filter(stem).map(String::as_str);
        let like: Vec<&str> = like
            .chain(nearest(key, names.iter().map(String::as_str)))
            .collect();
        let within = path.strip_suffix(key).unwrap_or_default();
        let resembled = like.iter().map(|name| format!("{within}{name}"));
        let resembled: Vec<String> = resembled.collect();
        self.strays.insert(path.to_owned(), resembled.clone());
        let expected = match like.first() {
            Some(name) => format!("a key of {}; nearest: `{name}`", kind.name()),
            None => format!("one of {}", names.join(", ")),
        };
        self.faults.add(
            path,
            "UNKNOWN_KEY",
            format!("`{}`", key.chars().take(60).collect::<String>()),
            expected,
        );
        resembled
    }

    fn field(
        &mut self,
        field: &FieldDescriptor,
        node: &Node,
        path: &str,
        depth: usize,
    ) -> Option<Value> {
        if !field.is_list() {
            return self.single(field, node, path, depth);
        }
        let Plain::List(list) = &node.value else {
            self.wrong(path, &node.value, "a list");
            return None;
        };
        let mut values = Vec::with_capacity(list.len().min(4096));
        for (i, item) in list.iter().enumerate() {
            let path = format!("{path}[{i}]");
            self.told.insert(path.clone());
            if let Some(place) = item.span.clone() {
                self.places.insert(path.clone(), place);
            }
            let value = self.single(field, item, &path, depth);
            values.push(value.unwrap_or_else(|| self.empty_item(&field.kind(), &path)));
        }
        Some(Value::List(values))
    }

    /// What stands in for an item of a list that is nothing of its kind: a corner far out, which nothing is held against, or an empty one.
    fn empty_item(&mut self, kind: &Kind, path: &str) -> Value {
        self.empty_items.insert(path.to_owned());
        let Kind::Message(kind) = kind else {
            return Value::default_value(kind);
        };
        let mut message = DynamicMessage::new(kind.clone());
        if kind.name() == CORNER {
            for field in kind.fields() {
                message.set_field(&field, Value::I32(i32::MAX));
            }
        }
        Value::Message(message)
    }

    /// A value as wrong as one of another type, which the checks of the field refuse too; what depends on it is not judged then.
    fn as_wrong(&mut self, kind: &Kind, path: &str) -> Option<Value> {
        let value = match kind {
            Kind::Int32 => Value::I32(i32::MAX),
            Kind::Uint32 => Value::U32(u32::MAX),
            Kind::Uint64 => Value::U64(u64::MAX),
            Kind::Double => Value::F64(f64::NAN),
            Kind::Enum(_) => Value::EnumNumber(NO_WORD),
            _ => return None,
        };
        self.passed_on.insert(path.to_owned());
        Some(value)
    }

    fn single(
        &mut self,
        field: &FieldDescriptor,
        node: &Node,
        path: &str,
        depth: usize,
    ) -> Option<Value> {
        match (field.kind(), &node.value) {
            (Kind::Message(kind), Plain::Table(keys)) if depth < DEEPEST => {
                let mut message = DynamicMessage::new(kind);
                self.fill(&mut message, keys, path, depth + 1);
                Some(Value::Message(message))
            }
            (Kind::Enum(kind), Plain::Text(word)) => {
                Some(Value::EnumNumber(self.word(&kind, word, path)))
            }
            (Kind::String, Plain::Text(text)) => Some(Value::String(text.clone())),
            (Kind::Bool, Plain::Flag(flag)) => Some(Value::Bool(*flag)),
            (Kind::Double, Plain::Real(number)) => Some(Value::F64(*number)),
            (Kind::Double, Plain::Whole(number)) => Some(Value::F64(*number as f64)),
            (Kind::Int32 | Kind::Uint32 | Kind::Uint64, Plain::Whole(_) | Plain::Real(_)) => {
                self.whole_number(&field.kind(), &node.value, path)
            }
            // The protocol's own JSON has 64-bit numbers as text.
            (Kind::Uint64, Plain::Text(text)) if text.parse::<u64>().is_ok() => {
                text.parse().ok().map(Value::U64)
            }
            (kind, found) => {
                self.wrong(path, found, told(&kind));
                self.as_wrong(&kind, path)
            }
        }
    }

    fn whole_number(&mut self, kind: &Kind, found: &Plain, path: &str) -> Option<Value> {
        let whole = match found {
            Plain::Whole(number) => Some(i128::from(*number)),
            // 1200.0 is a whole number too; what a double cannot tell apart is not taken for one.
            Plain::Real(number) if number.fract() == 0.0 && number.abs() < 1e15 => {
                Some(*number as i128)
            }
            _ => None,
        };
        let Some(whole) = whole else {
            let reason = match found {
                Plain::Real(n) if !n.is_finite() => "NOT_FINITE",
                _ => "OUT_OF_RANGE",
            };
            self.faults.add(path, reason, found.told(), told(kind));
            return self.as_wrong(kind, path);
        };
        let (least, most) = match kind {
            Kind::Int32 => (i128::from(i32::MIN), i128::from(i32::MAX)),
            Kind::Uint32 => (0, i128::from(u32::MAX)),
            _ => (0, i128::from(u64::MAX)),
        };
        // What is too far out is passed on as the farthest number, which the checks of the field refuse as well, with the range they ask for.
        let held = whole.clamp(least, most);
        if held != whole {
            let expected = format!("a whole number from {least} to {most}");
            self.faults
                .add(path, "OUT_OF_RANGE", found.told(), expected);
            self.too_far_out.insert(path.to_owned());
            if held == 0 {
                return self.as_wrong(kind, path);
            }
            self.passed_on.insert(path.to_owned());
        }
        match kind {
            Kind::Int32 => i32::try_from(held).ok().map(Value::I32),
            Kind::Uint32 => u32::try_from(held).ok().map(Value::U32),
            _ => u64::try_from(held).ok().map(Value::U64),
        }
    }

    /// A word of an enum: `salient-corner` stands for `EDGE_KIND_SALIENT_CORNER`.
    fn word(&mut self, kind: &EnumDescriptor, word: &str, path: &str) -> i32 {
        let zero = kind
            .get_value(0)
            .map_or_else(String::new, |v| v.name().to_owned());
        let prefix = zero
            .strip_suffix("UNSPECIFIED")
            .unwrap_or_default()
            .to_owned();
        let upper = word.to_uppercase().replace('-', "_");
        let whole = format!("{prefix}{upper}");
        let found = kind
            .values()
            .find(|v| v.name() == whole || v.name() == upper);
        if let Some(value) = found.filter(|v| v.number() != 0) {
            return value.number();
        }
        let words = kind.values().filter(|v| v.number() != 0);
        let words: Vec<String> = words
            .map(|v| {
                v.name()
                    .strip_prefix(&prefix)
                    .unwrap_or_default()
                    .to_lowercase()
                    .replace('_', "-")
            })
            .collect();
        let found = format!("`{}`", word.chars().take(60).collect::<String>());
        self.faults.add(
            path,
            "UNKNOWN_VALUE",
            found,
            format!("one of {}", words.join(", ")),
        );
        self.passed_on.insert(path.to_owned());
        NO_WORD
    }
}

/// The path of a field or key within a table; the survey itself has none.
fn path_of(within: &str, name: &str) -> String {
    if within.is_empty() {
        name.to_owned()
    } else {
        format!("{within}.{name}")
    }
}

fn told(kind: &Kind) -> &'static str {
    match kind {
        Kind::Message(_) => "a table",
        Kind::Enum(_) => "a word in quotes",
        Kind::String => "a text in quotes",
        Kind::Bool => "`true` or `false`",
        Kind::Int32 => "a whole number",
        Kind::Uint32 | Kind::Uint64 => "a whole number that is not negative",
        _ => "a number",
    }
}
