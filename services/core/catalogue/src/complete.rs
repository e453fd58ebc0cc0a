//! From the tables as written to the materials they stand for.
#![allow(clippy::ref_option)] // a field of a table is an option by nature and is handed on whole

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::{Article, Pack, Supply, Unit};
use quantity::{Currency, Money};

use crate::entry::Entry;
use crate::fault::{Fact, Found};
use crate::source::{Located, Place};
use crate::value::{Price, Words};

type Field<T> = Option<Located<T>>;

/// The heading of an article as written.
pub(crate) struct Heading<'e> {
    pub name: &'e Field<String>,
    pub source: &'e Field<String>,
    pub sources: &'e Field<Words>,
    pub waste_share: &'e Field<f64>,
    pub metadata: &'e Field<Words>,
}

/// A table with the heading of an article.
pub(crate) trait Headed {
    fn heading(&self) -> Heading<'_>;
}

/// Pack, price and stock as written.
pub(crate) struct Terms<'e> {
    pub pack: &'e Field<String>,
    pub packs_per_pallet: &'e Field<u32>,
    pub price: &'e Field<Price>,
    pub stock_packs: &'e Field<u64>,
}

/// A table with pack, price and stock.
pub(crate) trait Supplied {
    fn terms(&self) -> Terms<'_>;
}

/// A table that stands for one material.
pub(crate) trait ArticleEntry: Entry + Headed {
    /// What it becomes.
    type Material;
    /// The material, or nothing where something is missing or wrong. Missing keys are told beforehand;
    /// what is found here is only what does not go together.
    fn complete(&self, completing: &mut Completing<'_>) -> Option<Self::Material>;
}

/// Completing one article: its key, its currency, and what was found wrong.
pub(crate) struct Completing<'f> {
    /// Key with its kind, such as `board.eps-white`.
    pub key: String,
    pub currency: Currency,
    pub found: &'f mut Vec<Found>,
}

/// The value of a field that may be left out.
pub(crate) fn of<T: Clone>(field: &Field<T>) -> Option<T> {
    field.as_ref().map(|f| f.value.clone())
}

impl Completing<'_> {
    /// The heading. Says which keys of `sources` stand for nothing.
    pub fn article<E: Entry + Headed>(&mut self, entry: &E) -> Option<Article> {
        let heading = entry.heading();
        self.check_sources(entry, heading.sources);
        let texts = |field: &Field<Words>| field.as_ref().map(|f| f.value.texts());
        Some(Article {
            key: self.key.clone(),
            name: of(heading.name)?,
            source: of(heading.source)?,
            sources: texts(heading.sources).unwrap_or_default(),
            waste_share: of(heading.waste_share).unwrap_or(0.0),
            metadata: texts(heading.metadata).unwrap_or_default(),
        })
    }

    fn check_sources<E: Entry>(&mut self, entry: &E, sources: &Field<Words>) {
        let Some(sources) = sources else { return };
        let mut leaves = Vec::new();
        entry.list_leaves("", &mut leaves);
        for (key, word) in &sources.value.0 {
            let is_leaf = leaves.iter().any(|leaf| {
                let mut parts = leaf.path.split('.').skip(1);
                parts.next() != Some("sources") && leaf.path.rsplit('.').next() == Some(key)
            });
            if !is_leaf && !E::KEYS.contains(&key.as_str()) {
                let why = format!(
                    "`sources` tells of `{key}`, which {} does not have",
                    self.key
                );
                self.not_together(word.at, why, None);
            }
        }
    }

    /// Pack, price and stock.
    pub fn supply(&self, entry: &impl Supplied, pack: &str, content: f64, unit: Unit) -> Supply {
        let terms = entry.terms();
        let price = terms.price.as_ref();
        Supply {
            pack: Pack {
                name: of(terms.pack).unwrap_or_else(|| pack.into()),
                content,
                unit,
                per_pallet: of(terms.packs_per_pallet),
            },
            price: price.and_then(|p| Money::price(&p.value.0, self.currency).ok()),
            stock_packs: of(terms.stock_packs),
        }
    }

    /// Says that parts do not go together.
    pub fn not_together(&mut self, at: Place, why: String, help: Option<String>) {
        let fact = Fact::NotTogether { why };
        self.found.push(Found { at, fact, help });
    }

    /// Says that a table has nothing in it.
    pub fn empty(&mut self, at: Place, what: &str, help: String) {
        let fact = Fact::Empty {
            within: self.key.clone(),
            what: what.into(),
        };
        let help = Some(help);
        self.found.push(Found { at, fact, help });
    }

    /// Checks that one number does not exceed another.
    pub fn in_order(&mut self, low: &Field<f64>, high: &Field<f64>, names: (&str, &str)) {
        if let (Some(low), Some(high)) = (low, high)
            && low.value > high.value
        {
            let why = format!(
                "{} {} exceeds {} {}",
                names.0, low.value, names.1, high.value
            );
            self.not_together(low.at, why, None);
        }
    }
}
