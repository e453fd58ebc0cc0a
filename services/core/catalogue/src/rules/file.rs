//! What every file of rule data has, and what the readers share.

use alloc::string::String;
use alloc::vec::Vec;

use standards::en_1991_1_4::Cited;
use working::Standing;

use crate::complete::of;
use crate::entry::{Entry, entry};
use crate::fault::{Fact, Found};
use crate::source::{Located, Place};
use crate::value::Text;

/// The words for how well a rule is known.
pub(crate) const STATUS: Text = Text::Choice(&["published", "unverified", "project"]);

/// One rule set as written.
pub(crate) trait RuleEntry: Entry {
    /// What it becomes.
    type Rules;
    /// The key, for the name of the file.
    fn key(&self) -> Option<&Located<String>>;
    /// The rule set, or nothing where something is missing. What is missing only under a condition is told here.
    fn complete(&self, found: &mut Vec<Found>) -> Option<Self::Rules>;
    /// What the engine's own check finds, by paths below the rule set.
    fn check(_rules: &Self::Rules) -> Vec<working::Fault> {
        Vec::new()
    }
}

/// The word of a choice; empty where it is left out.
pub(crate) fn word(field: Option<&Located<String>>) -> &str {
    field.map_or("", |f| f.value.as_str())
}

/// The text of a field; empty where it is left out.
pub(crate) fn text(field: Option<&Located<String>>) -> String {
    word(field).into()
}

/// The texts of a list.
pub(crate) fn texts(field: Option<&Located<Vec<Located<String>>>>) -> Vec<String> {
    let items = field.into_iter().flat_map(|list| &list.value);
    items.map(|item| item.value.clone()).collect()
}

/// How well a rule is known, from its word.
pub(crate) fn standing(field: Option<&Located<String>>) -> Standing {
    match word(field) {
        "published" => Standing::Published,
        "project" => Standing::Project,
        _ => Standing::Unverified,
    }
}

/// A value that a condition makes necessary, or a fault at the table that lacks it.
pub(crate) fn need<T: Clone>(
    field: Option<&Located<T>>,
    key: &str,
    within: (&str, Place),
    found: &mut Vec<Found>,
) -> Option<T> {
    if field.is_none() {
        let fact = Fact::Missing {
            within: within.0.into(),
            keys: alloc::vec![key.into()],
        };
        found.push(Found {
            at: within.1,
            fact,
            help: None,
        });
    }
    field.map(|f| f.value.clone())
}

/// The source and standing of a file, which hold where a table says nothing else.
#[derive(Clone, Debug)]
pub(crate) struct Backing {
    pub source: String,
    pub standing: Standing,
}

impl Backing {
    pub fn new(source: Option<&Located<String>>, status: Option<&Located<String>>) -> Self {
        Self {
            source: text(source),
            standing: standing(status),
        }
    }
    /// The backing of a table that may say its own.
    pub fn or(&self, source: Option<&Located<String>>, status: Option<&Located<String>>) -> Self {
        Self {
            source: source.map_or_else(|| self.source.clone(), |s| s.value.clone()),
            standing: status.map_or(self.standing, |_| standing(status)),
        }
    }
    /// A value with this backing.
    pub fn cite<T>(&self, value: T) -> Cited<T> {
        Cited {
            value,
            standing: self.standing,
            source: self.source.clone(),
        }
    }
}

entry! {
    /// A number with a source of its own.
    CitedNumberEntry {
        /// The number.
        value: f64 = "value", Required, 0.0..=1_000_000.0;
        /// Where it was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well it is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

impl CitedNumberEntry {
    /// The number with its backing.
    pub fn cited(field: Option<&Located<Self>>, backing: &Backing) -> Option<Cited<f64>> {
        let entry = &field?.value;
        let own = backing.or(entry.source.as_ref(), entry.status.as_ref());
        Some(own.cite(of(&entry.value)?))
    }
}

/// An [`entry!`] with the heading of a file of rule data.
macro_rules! rule_file {
    (
        $(#[doc = $about:literal])+
        $name:ident { $($fields:tt)* }
    ) => {
        $crate::entry::entry! {
            $(#[doc = $about])+
            $name {
                /// The format of this file.
                format: u32 = "format", Required, 1..=1;
                /// Its key; the file's name without `.toml`.
                key: alloc::string::String = "key", Required, $crate::value::Text::Key;
                /// Its name for people.
                name: alloc::string::String = "name", Required, $crate::value::Text::Free;
                /// Where its numbers were read.
                source: alloc::string::String = "source", Required, $crate::value::Text::Free;
                /// How well it is known; `unverified` where left out.
                status: alloc::string::String = "status", Optional, $crate::rules::file::STATUS;
                /// What a user should know of it.
                notes: alloc::vec::Vec<$crate::source::Located<alloc::string::String>> = "notes", Optional, $crate::value::Text::Free;
                $($fields)*
            }
        }
    };
}
pub(crate) use rule_file;
