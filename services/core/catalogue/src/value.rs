//! The types of value a key may have: how each is read, overlaid, listed and described.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt::Display;
use core::ops::RangeInclusive;

use quantity::{Currency, Mm, Money};
use toml::de::DeValue;

use crate::fault::{Fact, Found};
use crate::json::Json;
use crate::nearest::nearest;
use crate::source::{Located, Place};

/// Reading one file: where it stands, and what was found wrong so far.
pub(crate) struct Reading<'f> {
    pub file: u32,
    pub found: &'f mut Vec<Found>,
}

impl Reading<'_> {
    pub fn place(&self, span: &core::ops::Range<usize>) -> Place {
        Place::new(self.file, span)
    }
    pub fn fault(&mut self, at: Place, fact: Fact, help: Option<String>) {
        self.found.push(Found { at, fact, help });
    }
    fn wrong_type(&mut self, at: Place, raw: &DeValue<'_>, expected: impl Into<String>) {
        let fact = Fact::WrongType {
            found: in_words(raw),
            expected: expected.into(),
        };
        self.fault(at, fact, None);
    }
}

/// A leaf as it enters the revision and the list of origins.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Leaf {
    pub path: String,
    pub text: String,
    pub at: Place,
}

/// A type of value that a key may have.
pub(crate) trait Value: Sized + Clone {
    /// What narrows the type, such as a range.
    type Limits;
    /// Reads it, or says what is wrong and gives nothing.
    fn read(
        raw: &DeValue<'_>,
        at: Place,
        limits: &Self::Limits,
        reading: &mut Reading<'_>,
    ) -> Option<Self>;
    /// Lays a later value over this one. Tables are laid over key by key.
    fn overlay(&mut self, later: Self) {
        *self = later;
    }
    /// The value without prices in another currency than the branch's; nothing where it is a price itself.
    fn without_prices(self) -> Option<Self> {
        Some(self)
    }
    /// Adds what is written, leaf by leaf.
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>);
    /// Says which required keys are missing inside.
    fn report_missing(&self, _within: &str, _found: &mut Vec<Found>) {}
    /// As JSON Schema.
    fn schema(limits: &Self::Limits) -> Json;
}

fn in_words(raw: &DeValue<'_>) -> String {
    match raw {
        DeValue::String(text) => format!("text `{text}`"),
        DeValue::Integer(number) => format!("number {}", number.as_str()),
        DeValue::Float(number) => format!("number {}", number.as_str()),
        DeValue::Boolean(flag) => format!("`{flag}`"),
        DeValue::Datetime(_) => "a date".into(),
        DeValue::Array(_) => "a list".into(),
        DeValue::Table(_) => "a table".into(),
    }
}

/// The number of an integer or float, or nothing for another type. May be infinite or NaN.
fn number(raw: &DeValue<'_>) -> Option<f64> {
    match raw {
        DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix())
            .map_or(Some(f64::INFINITY), |whole| Some(whole as f64)),
        DeValue::Float(n) => n.as_str().parse().ok(),
        _ => None,
    }
}

fn in_range<T: PartialOrd + Display>(
    value: T,
    limits: &RangeInclusive<T>,
    at: Place,
    reading: &mut Reading<'_>,
) -> Option<T> {
    if limits.contains(&value) {
        return Some(value);
    }
    let fact = Fact::OutOfRange {
        found: value.to_string(),
        min: limits.start().to_string(),
        max: limits.end().to_string(),
    };
    reading.fault(at, fact, None);
    None
}

/// A finite number, or a fault.
fn finite(raw: &DeValue<'_>, at: Place, expected: &str, reading: &mut Reading<'_>) -> Option<f64> {
    let Some(value) = number(raw) else {
        reading.wrong_type(at, raw, expected);
        return None;
    };
    if !value.is_finite() {
        let fact = Fact::NotFinite {
            found: in_words(raw),
        };
        reading.fault(at, fact, None);
        return None;
    }
    Some(value)
}

/// A whole number, or a fault.
fn whole<T: TryFrom<i64> + PartialOrd + Display>(
    raw: &DeValue<'_>,
    at: Place,
    limits: &RangeInclusive<T>,
    reading: &mut Reading<'_>,
) -> Option<T> {
    let value = finite(raw, at, "a whole number", reading)?;
    if libm::trunc(value) != value {
        reading.wrong_type(at, raw, "a whole number");
        return None;
    }
    // Beyond 2^53 a double no longer holds every whole number; nothing that is counted here comes near.
    let narrow = (value.abs() < 9e15).then_some(value as i64);
    let narrow = narrow.and_then(|n| T::try_from(n).ok());
    if narrow.is_none() {
        let fact = Fact::OutOfRange {
            found: value.to_string(),
            min: limits.start().to_string(),
            max: limits.end().to_string(),
        };
        reading.fault(at, fact, None);
    }
    in_range(narrow?, limits, at, reading)
}

fn leaf(path: &str, text: impl Into<String>, at: Place, out: &mut Vec<Leaf>) {
    out.push(Leaf {
        path: path.into(),
        text: text.into(),
        at,
    });
}

impl Value for f64 {
    type Limits = RangeInclusive<f64>;
    fn read(
        raw: &DeValue<'_>,
        at: Place,
        limits: &Self::Limits,
        reading: &mut Reading<'_>,
    ) -> Option<Self> {
        let value = finite(raw, at, "a number", reading)?;
        in_range(value, limits, at, reading)
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        leaf(path, self.to_string(), at, out);
    }
    fn schema(limits: &Self::Limits) -> Json {
        range_schema("number", *limits.start(), *limits.end())
    }
}

fn range_schema(type_name: &str, min: f64, max: f64) -> Json {
    Json::object([
        ("type", Json::text(type_name)),
        ("minimum", Json::Number(min)),
        ("maximum", Json::Number(max)),
    ])
}

macro_rules! whole_values {
    ($($t:ty: $as_number:expr),*) => { $(
        impl Value for $t {
            type Limits = RangeInclusive<$t>;
            fn read(raw: &DeValue<'_>, at: Place, limits: &Self::Limits, reading: &mut Reading<'_>) -> Option<Self> {
                whole(raw, at, limits, reading)
            }
            fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
                leaf(path, self.to_string(), at, out);
            }
            fn schema(limits: &Self::Limits) -> Json {
                range_schema("integer", $as_number(*limits.start()), $as_number(*limits.end()))
            }
        }
    )* };
}
whole_values!(u32: f64::from, u64: |n| n as f64);

impl Value for Mm {
    type Limits = RangeInclusive<i32>;
    fn read(
        raw: &DeValue<'_>,
        at: Place,
        limits: &Self::Limits,
        reading: &mut Reading<'_>,
    ) -> Option<Self> {
        whole(raw, at, limits, reading).map(Mm)
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        leaf(path, self.0.to_string(), at, out);
    }
    fn schema(limits: &Self::Limits) -> Json {
        range_schema(
            "integer",
            f64::from(*limits.start()),
            f64::from(*limits.end()),
        )
    }
}

impl Value for bool {
    type Limits = ();
    fn read(raw: &DeValue<'_>, at: Place, (): &(), reading: &mut Reading<'_>) -> Option<Self> {
        if let DeValue::Boolean(flag) = raw {
            return Some(*flag);
        }
        reading.wrong_type(at, raw, "`true` or `false`");
        None
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        leaf(path, self.to_string(), at, out);
    }
    fn schema((): &()) -> Json {
        Json::object([("type", Json::text("boolean"))])
    }
}

/// The text of a price, already proven to be a decimal. Its currency is that of the catalogue it stands in.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Price(pub String);

impl Value for Price {
    type Limits = ();
    fn read(raw: &DeValue<'_>, at: Place, (): &(), reading: &mut Reading<'_>) -> Option<Self> {
        let DeValue::String(text) = raw else {
            let fact = Fact::WrongType {
                found: in_words(raw),
                expected: "the price as text".into(),
            };
            let digits = number(raw).filter(|n| n.is_finite());
            let help = digits.map_or_else(
                || "a price is a decimal in quotes, such as \"12.50\"".into(),
                |n| format!("write it in quotes, so that it stays exact: \"{n}\""),
            );
            reading.fault(at, fact, Some(help));
            return None;
        };
        match Money::price(text, Currency::EUR) {
            Ok(_) => Some(Self(text.to_string())),
            Err(fault) => {
                reading.fault(at, Fact::NotAPrice(fault), None);
                None
            }
        }
    }
    fn without_prices(self) -> Option<Self> {
        None
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        // 27.9 and 27.90 are one price, so they are one text.
        let money = Money::price(&self.0, Currency::EUR);
        leaf(
            path,
            money.map_or_else(|_| self.0.clone(), |m| m.amount_text()),
            at,
            out,
        );
    }
    fn schema((): &()) -> Json {
        Json::object([
            ("type", Json::text("string")),
            ("pattern", Json::text("^[0-9]+(\\.[0-9]{1,6})?$")),
        ])
    }
}

/// What a text may be.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Text {
    /// Anything but nothing.
    Free,
    /// Anything, also nothing.
    Any,
    /// Lower-case letters, digits and hyphens.
    Key,
    /// One of a fixed list.
    Choice(&'static [&'static str]),
    /// The key of an article of this kind; checked once all articles are known.
    Reference(&'static str),
    /// A reaction-to-fire class by EN 13501-1.
    FireClass,
    /// Three capitals.
    Currency,
    /// A calendar date, year-month-day.
    Date,
}

/// Whether a text can be a key: lower-case letters, digits, single hyphens inside.
pub(crate) fn is_key(text: &str) -> bool {
    let inside = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
    !text.is_empty()
        && text
            .split('-')
            .all(|part| !part.is_empty() && part.chars().all(inside))
}

/// The grammar of EN 13501-1, from memory: A1 and F stand alone; E alone or with d2; the rest with s1 to s3 and d0 to d2.
pub(crate) fn is_fire_class(text: &str) -> bool {
    let Some((class, rest)) = text.split_once('-') else {
        return matches!(text, "A1" | "E" | "F");
    };
    match class {
        "E" => rest == "d2",
        "A2" | "B" | "C" | "D" => {
            matches!(
                rest.split_once(','),
                Some(("s1" | "s2" | "s3", "d0" | "d1" | "d2"))
            )
        }
        _ => false,
    }
}

fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let digits = |t: &str, n: usize| t.len() == n && t.bytes().all(|b| b.is_ascii_digit());
    let within = |t: &str, max: u32| t.parse().is_ok_and(|n: u32| (1..=max).contains(&n));
    match parts.as_slice() {
        [year, month, day] => {
            digits(year, 4)
                && digits(month, 2)
                && digits(day, 2)
                && within(month, 12)
                && within(day, 31)
        }
        _ => false,
    }
}

impl Text {
    fn expected(self) -> &'static str {
        match self {
            Self::Free | Self::Any | Self::Choice(_) => "text",
            Self::Key => "a key of lower-case letters, digits and hyphens",
            Self::Reference(_) => "the key of an article",
            Self::FireClass => "a class by EN 13501-1",
            Self::Currency => "a currency code of three capitals by ISO 4217",
            Self::Date => "a date such as 2026-01-31",
        }
    }

    fn holds(self, text: &str) -> bool {
        match self {
            Self::Free => !text.trim().is_empty(),
            Self::Any => true,
            Self::Choice(choices) => choices.contains(&text),
            Self::Key | Self::Reference(_) => is_key(text),
            Self::FireClass => is_fire_class(text),
            Self::Currency => Currency::from_code(text).is_some(),
            Self::Date => is_date(text),
        }
    }

    fn check(self, text: &str, at: Place, reading: &mut Reading<'_>) -> Option<String> {
        if self.holds(text) {
            return Some(text.into());
        }
        let (fact, help) = match self {
            Self::Choice(choices) => (
                Fact::NotAChoice {
                    found: text.into(),
                    choices: choices.iter().map(|&c| c.into()).collect(),
                },
                nearest(text, choices.iter().copied()).map(|n| format!("did you mean `{n}`?")),
            ),
            Self::FireClass => (
                malformed(text, self.expected()),
                Some("A1, F, E and E-d2 stand as they are; A2, B, C and D need smoke and droplets, such as B-s1,d0".into()),
            ),
            Self::Reference(kind) => (
                malformed(text, self.expected()),
                text.strip_prefix(kind)
                    .and_then(|t| t.strip_prefix('.'))
                    .map(|bare| format!("the kind is known here; write \"{bare}\"")),
            ),
            _ => (malformed(text, self.expected()), None),
        };
        reading.fault(at, fact, help);
        None
    }

    fn schema_of(self) -> Json {
        let text = Json::object([("type", Json::text("string"))]);
        match self {
            Self::Any => text,
            Self::Free => text.with("minLength", Json::Number(1.0)),
            Self::Choice(choices) => text.with(
                "enum",
                Json::List(choices.iter().map(|&c| Json::text(c)).collect()),
            ),
            Self::Key | Self::Reference(_) => {
                text.with("pattern", Json::text("^[a-z0-9]+(-[a-z0-9]+)*$"))
            }
            Self::FireClass => text.with(
                "pattern",
                Json::text("^(A1|F|E|E-d2|(A2|B|C|D)-s[123],d[012])$"),
            ),
            Self::Currency => text.with("pattern", Json::text("^[A-Z]{3}$")),
            Self::Date => text.with("format", Json::text("date")),
        }
    }
}

fn malformed(found: &str, expected: &str) -> Fact {
    Fact::Malformed {
        found: found.into(),
        expected: expected.into(),
    }
}

impl Value for String {
    type Limits = Text;
    fn read(
        raw: &DeValue<'_>,
        at: Place,
        limits: &Text,
        reading: &mut Reading<'_>,
    ) -> Option<Self> {
        match raw {
            DeValue::String(text) => limits.check(text, at, reading),
            // A bare date in TOML is a value of its own; it is as good as the text.
            DeValue::Datetime(date) if matches!(limits, Text::Date) => {
                limits.check(&date.to_string(), at, reading)
            }
            _ => {
                reading.wrong_type(at, raw, limits.expected());
                None
            }
        }
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        leaf(path, self.clone(), at, out);
    }
    fn schema(limits: &Text) -> Json {
        limits.schema_of()
    }
}

impl Value for Vec<Located<String>> {
    type Limits = Text;
    fn read(
        raw: &DeValue<'_>,
        at: Place,
        limits: &Text,
        reading: &mut Reading<'_>,
    ) -> Option<Self> {
        let DeValue::Array(items) = raw else {
            reading.wrong_type(at, raw, "a list of texts");
            return None;
        };
        let mut texts = Self::new();
        let mut whole = true;
        for item in items {
            let at = reading.place(&item.span());
            let read = String::read(item.get_ref(), at, limits, reading);
            if !matches!(limits, Text::Free | Text::Any)
                && let Some(value) = &read
                && let Some(first) = texts.iter().find(|t| t.value == *value)
            {
                let fact = Fact::NotTogether {
                    why: format!("`{}` stands twice in one list", first.value),
                };
                reading.fault(at, fact, None);
                whole = false;
            }
            whole &= read.is_some();
            texts.extend(read.map(|value| Located { value, at }));
        }
        whole.then_some(texts)
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        let texts: Vec<&str> = self.iter().map(|t| t.value.as_str()).collect();
        leaf(path, texts.join(", "), at, out);
    }
    fn schema(limits: &Text) -> Json {
        Json::object([
            ("type", Json::text("array")),
            ("items", limits.schema_of()),
            ("uniqueItems", Json::Flag(true)),
        ])
    }
}

impl Value for Vec<f64> {
    type Limits = RangeInclusive<f64>;
    fn read(
        raw: &DeValue<'_>,
        at: Place,
        limits: &Self::Limits,
        reading: &mut Reading<'_>,
    ) -> Option<Self> {
        let DeValue::Array(items) = raw else {
            reading.wrong_type(at, raw, "a list of numbers");
            return None;
        };
        let numbers = items.iter().map(|item| {
            let at = reading.place(&item.span());
            f64::read(item.get_ref(), at, limits, reading)
        });
        numbers.collect::<Vec<_>>().into_iter().collect()
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        let texts: Vec<String> = self.iter().map(ToString::to_string).collect();
        leaf(path, texts.join(", "), at, out);
    }
    fn schema(limits: &Self::Limits) -> Json {
        Json::object([
            ("type", Json::text("array")),
            ("items", f64::schema(limits)),
        ])
    }
}

/// A list of pairs of texts, such as the points of an outline as expressions.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Pairs(pub Vec<[String; 2]>);

impl Value for Pairs {
    type Limits = ();
    fn read(raw: &DeValue<'_>, at: Place, (): &(), reading: &mut Reading<'_>) -> Option<Self> {
        let pair = |raw: &DeValue<'_>| match raw {
            DeValue::Array(items) => match items
                .iter()
                .map(toml::Spanned::get_ref)
                .collect::<Vec<_>>()
                .as_slice()
            {
                [DeValue::String(x), DeValue::String(y)] => Some([x.to_string(), y.to_string()]),
                _ => None,
            },
            _ => None,
        };
        let DeValue::Array(items) = raw else {
            reading.wrong_type(at, raw, "a list of pairs of texts");
            return None;
        };
        let mut pairs = Vec::new();
        for item in items {
            let Some(read) = pair(item.get_ref()) else {
                let at = reading.place(&item.span());
                reading.wrong_type(at, item.get_ref(), "a pair of texts such as [\"0\", \"T\"]");
                return None;
            };
            pairs.push(read);
        }
        Some(Self(pairs))
    }
    fn leaves(&self, path: &str, at: Place, out: &mut Vec<Leaf>) {
        let texts: Vec<String> = self.0.iter().map(|p| p.join(", ")).collect();
        leaf(path, texts.join("; "), at, out);
    }
    fn schema((): &()) -> Json {
        let text = Json::object([("type", Json::text("string"))]);
        let pair = Json::object([
            ("type", Json::text("array")),
            ("items", text),
            ("minItems", Json::Number(2.0)),
            ("maxItems", Json::Number(2.0)),
        ]);
        Json::object([("type", Json::text("array")), ("items", pair)])
    }
}

/// A free table of texts, such as `metadata`.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Words(pub BTreeMap<String, Located<String>>);

impl Words {
    /// The texts without their places.
    pub fn texts(&self) -> BTreeMap<String, String> {
        let pairs = self.0.iter();
        pairs.map(|(k, v)| (k.clone(), v.value.clone())).collect()
    }
}

impl Value for Words {
    type Limits = ();
    fn read(raw: &DeValue<'_>, at: Place, (): &(), reading: &mut Reading<'_>) -> Option<Self> {
        let DeValue::Table(table) = raw else {
            reading.wrong_type(at, raw, "a table of texts");
            return None;
        };
        let mut words = Self::default();
        for (key, raw) in table {
            let at = reading.place(&raw.span());
            let value = match raw.get_ref() {
                DeValue::String(text) => text.to_string(),
                DeValue::Integer(n) => n.to_string(),
                DeValue::Float(n) => n.to_string(),
                DeValue::Boolean(flag) => flag.to_string(),
                other => {
                    reading.wrong_type(at, other, "a text");
                    continue;
                }
            };
            let key = key.get_ref().to_string();
            words.0.insert(key, Located { value, at });
        }
        Some(words)
    }
    fn overlay(&mut self, later: Self) {
        self.0.extend(later.0);
    }
    fn leaves(&self, path: &str, _: Place, out: &mut Vec<Leaf>) {
        for (key, word) in &self.0 {
            leaf(&format!("{path}.{key}"), word.value.clone(), word.at, out);
        }
    }
    fn schema((): &()) -> Json {
        let text = Json::object([(
            "type",
            Json::List(["string", "number", "boolean"].map(Json::text).into()),
        )]);
        Json::object([
            ("type", Json::text("object")),
            ("additionalProperties", text),
        ])
    }
}
