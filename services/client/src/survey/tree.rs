//! A survey file as a tree of plain values, each with its place where the format tells it.

use std::collections::BTreeSet;
use std::fmt;
use std::ops::Range;

use serde::de::{Error as _, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use toml::de::{DeTable, DeValue};

/// A value of a file.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub value: Plain,
    /// Bytes of the file.
    pub span: Option<Range<usize>>,
}

/// A plain value.
#[derive(Clone, Debug)]
pub(super) enum Plain {
    /// Keys in the order of the file, each with its own place.
    Table(Vec<(String, Option<Range<usize>>, Node)>),
    List(Vec<Node>),
    Text(String),
    Whole(i64),
    Real(f64),
    Flag(bool),
    /// JSON's `null`.
    Nothing,
}

impl Plain {
    /// What it is, for a fault.
    pub fn told(&self) -> String {
        match self {
            Self::Table(_) => "a table".to_owned(),
            Self::List(list) => format!("a list of {}", list.len()),
            Self::Text(text) => format!("the text `{}`", text.chars().take(60).collect::<String>()),
            Self::Whole(number) => format!("{number}"),
            Self::Real(number) => format!("{number}"),
            Self::Flag(flag) => format!("{flag}"),
            Self::Nothing => "null".to_owned(),
        }
    }
}

/// A fault of the file's grammar.
#[derive(Clone, Debug)]
pub(super) struct Syntax {
    pub message: String,
    pub span: Option<Range<usize>>,
}

pub(super) fn from_toml(text: &str) -> Result<Node, Vec<Syntax>> {
    let (table, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        let told = errors.into_iter().map(|e| Syntax {
            message: e.message().to_owned(),
            span: e.span(),
        });
        return Err(told.collect());
    }
    let span = table.span();
    Ok(Node {
        value: table_node(table.get_ref()),
        span: Some(span),
    })
}

fn table_node(table: &DeTable<'_>) -> Plain {
    let mut keys: Vec<_> = table
        .iter()
        .map(|(key, value)| {
            let node = Node {
                value: toml_node(value.get_ref()),
                span: Some(value.span()),
            };
            (key.get_ref().to_string(), Some(key.span()), node)
        })
        .collect();
    keys.sort_by_key(|(_, place, _)| place.as_ref().map(|p| p.start));
    Plain::Table(keys)
}

fn toml_node(value: &DeValue<'_>) -> Plain {
    match value {
        DeValue::String(text) => Plain::Text(text.to_string()),
        DeValue::Boolean(flag) => Plain::Flag(*flag),
        DeValue::Integer(number) => {
            let whole = i64::from_str_radix(number.as_str(), number.radix());
            whole.map_or_else(|_| Plain::Text(number.as_str().to_owned()), Plain::Whole)
        }
        DeValue::Float(number) => {
            let real = number.as_str().parse();
            real.map_or_else(|_| Plain::Text(number.as_str().to_owned()), Plain::Real)
        }
        DeValue::Datetime(date) => Plain::Text(date.to_string()),
        DeValue::Array(list) => {
            let nodes = list.iter().map(|item| Node {
                value: toml_node(item.get_ref()),
                span: Some(item.span()),
            });
            Plain::List(nodes.collect())
        }
        DeValue::Table(table) => table_node(table),
    }
}

pub(super) fn from_json(text: &str) -> Result<Node, Vec<Syntax>> {
    // Some programs begin a file with a byte order mark.
    let bare = text.strip_prefix('\u{feff}').unwrap_or(text);
    let begin = text.len() - bare.len();
    serde_json::from_str(bare).map_err(|e| {
        let line_start: usize = bare
            .split_inclusive('\n')
            .take(e.line().saturating_sub(1))
            .map(str::len)
            .sum();
        let at = begin + line_start + e.column().saturating_sub(1);
        // The place is told beside the message, not in it.
        let message = e.to_string();
        let message = message
            .split(" at line ")
            .next()
            .unwrap_or_default()
            .to_owned();
        vec![Syntax {
            message,
            span: Some(at..at + 1),
        }]
    })
}

/// JSON as it stands: keys in the order of the file, and none of them twice, as in TOML.
impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(json: D) -> Result<Self, D::Error> {
        let value = json.deserialize_any(JsonValue)?;
        Ok(Self { value, span: None })
    }
}

struct JsonValue;

impl<'de> Visitor<'de> for JsonValue {
    type Value = Plain;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }
    fn visit_unit<E>(self) -> Result<Plain, E> {
        Ok(Plain::Nothing)
    }
    fn visit_bool<E>(self, flag: bool) -> Result<Plain, E> {
        Ok(Plain::Flag(flag))
    }
    fn visit_i64<E>(self, number: i64) -> Result<Plain, E> {
        Ok(Plain::Whole(number))
    }
    fn visit_u64<E>(self, number: u64) -> Result<Plain, E> {
        Ok(i64::try_from(number).map_or(Plain::Real(number as f64), Plain::Whole))
    }
    fn visit_f64<E>(self, number: f64) -> Result<Plain, E> {
        Ok(Plain::Real(number))
    }
    fn visit_str<E>(self, text: &str) -> Result<Plain, E> {
        Ok(Plain::Text(text.to_owned()))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Plain, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Plain::List(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Plain, A::Error> {
        let mut keys = Vec::new();
        let mut seen = BTreeSet::new();
        while let Some(key) = members.next_key::<String>()? {
            if !seen.insert(key.clone()) {
                let name: String = key.chars().take(60).collect();
                return Err(A::Error::custom(format_args!("duplicate key `{name}`")));
            }
            keys.push((key, None, members.next_value()?));
        }
        Ok(Plain::Table(keys))
    }
}
