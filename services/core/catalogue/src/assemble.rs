//! One catalogue laid over its parents, completed and checked.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use material::Assortment;
use quantity::Currency;

use crate::articles::Articles;
use crate::fault::{CatalogueFault, Fact, Found, told};
use crate::nearest::nearest;
use crate::read::{Shelf, Written, shelve};
use crate::revision::hash;
use crate::source::SourceFile;
use crate::together::{check_names, check_parts, shorten_lists};
use crate::value::Leaf;

/// More parents in a row are refused: nobody finds the value that holds in a longer chain.
const LONGEST_CHAIN: usize = 8;

/// Catalogues that were read, whole or faulty.
///
/// ```
/// use catalogue::{Catalogues, SourceFile};
/// let heading = "format = 1\n[catalogue]\nname = \"town\"\ncurrency = \"EUR\"\n";
/// let primer = "format = 1\n[primer.quartz]\nname = \"Primer\"\nsource = \"demo value\"\n\
///     use-kg-per-m2 = 0.25\ndrying-hours = 24\npack-kg = 20\nprice = \"49.90\"\n";
/// let files = [("town/catalogue.toml", heading), ("town/coats.toml", primer)];
/// let catalogues = Catalogues::read(files.map(|(path, text)| SourceFile::new(path, text)).into());
/// let town = catalogues.assemble("town").unwrap();
/// assert_eq!(town.assortment.primers["quartz"].supply.price.unwrap().to_string(), "49.90 EUR");
/// ```
#[derive(Clone, Debug)]
pub struct Catalogues {
    files: Vec<SourceFile>,
    shelf: Shelf,
}

/// Where a value that holds was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Origin {
    /// Path as given in [`SourceFile`].
    pub file: String,
    /// Line, from 1.
    pub line: u32,
}

/// One catalogue, complete.
#[derive(Clone, Debug, PartialEq)]
pub struct Assembly {
    /// Its articles, with the revision.
    pub assortment: Assortment,
    /// The name for people; the plain name where there is none.
    pub title: String,
    /// The day from which the prices hold, year-month-day.
    pub effective: Option<String>,
    /// Free text of the heading.
    pub notes: Option<String>,
    /// The parents, nearest first.
    pub parents: Vec<String>,
    /// Where each value was written, by its full key such as `board.eps-white.thickness.140.price`.
    pub origins: BTreeMap<String, Origin>,
}

impl Catalogues {
    /// Reads all files. Never fails: faults are kept and told by [`Self::assemble`] and [`Self::faults`].
    /// Files in a folder named `rules` or `climates` are left to [`crate::rules`].
    pub fn read(files: Vec<SourceFile>) -> Self {
        let shelf = shelve(&files);
        Self { files, shelf }
    }

    /// The names of all catalogues, faulty ones too, in alphabetical order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.shelf.catalogues.keys().map(String::as_str)
    }

    /// One catalogue laid over its parents.
    ///
    /// A value of the child replaces that of the parent, key by key; tables by size or category are laid over row by row.
    /// `withdrawn = true` takes out. Prices of a parent in another currency are not taken over.
    ///
    /// # Errors
    /// Every fault in the files of this catalogue and of its parents, in the order of files and lines, and every article that
    /// is incomplete or does not go together. Faults elsewhere do no harm.
    pub fn assemble(&self, name: &str) -> Result<Assembly, Vec<CatalogueFault>> {
        if !self.shelf.catalogues.contains_key(name) {
            return Err(alloc::vec![self.unknown(name)]);
        }
        let (assembly, found) = self.lay(name);
        match assembly {
            Some(assembly) if found.is_empty() => Ok(assembly),
            _ => Err(told(&found, &self.files)),
        }
    }

    /// Every fault of every catalogue, each once, in the order of files and lines.
    pub fn faults(&self) -> Vec<CatalogueFault> {
        let mut found = self.shelf.loose.clone();
        for name in self.names() {
            found.extend(self.lay(name).1);
        }
        told(&found, &self.files)
    }

    fn unknown(&self, name: &str) -> CatalogueFault {
        let near = nearest(name, self.names());
        CatalogueFault {
            file: String::new(),
            line: 0,
            column: 0,
            source_line: String::new(),
            caret_width: 1,
            fact: Fact::UnknownName {
                kind: "catalogue".into(),
                name: name.into(),
            },
            help: near.map(|n| format!("did you mean `{n}`?")),
        }
    }

    /// The catalogue and its parents, itself first, as far as they can be followed.
    fn chain<'s>(&'s self, name: &str, found: &mut Vec<Found>) -> Vec<(&'s str, &'s Written)> {
        let mut chain: Vec<(&str, &Written)> = Vec::new();
        let mut next = self.shelf.catalogues.get_key_value(name);
        while let Some((name, written)) = next {
            chain.push((name, written));
            next = None;
            let Some(parent) = &written.heading.extends else {
                break;
            };
            let (fact, help) = if chain.iter().any(|(n, _)| *n == parent.value) {
                let names = chain.iter().map(|(n, _)| (*n).to_string());
                let chain = names.chain([parent.value.clone()]).collect();
                (Fact::Cycle { chain }, None)
            } else if chain.len() > LONGEST_CHAIN {
                (
                    Fact::ChainTooLong {
                        limit: LONGEST_CHAIN,
                    },
                    None,
                )
            } else {
                next = self.shelf.catalogues.get_key_value(&parent.value);
                if next.is_some() {
                    continue;
                }
                let near = nearest(&parent.value, self.names());
                let fact = Fact::UnknownName {
                    kind: "catalogue".into(),
                    name: parent.value.clone(),
                };
                (fact, near.map(|n| format!("did you mean `{n}`?")))
            };
            let at = parent.at;
            found.push(Found { at, fact, help });
        }
        chain
    }

    fn lay(&self, name: &str) -> (Option<Assembly>, Vec<Found>) {
        let mut found = Vec::new();
        let chain = self.chain(name, &mut found);
        // Without its parents nearly everything would be missing; the fault of the chain is the one to tell.
        let broken = !found.is_empty();
        let mut articles = Articles::default();
        let mut currency: Option<Currency> = None;
        let mut torn = false;
        for (_, written) in chain.iter().rev() {
            found.extend(written.found.iter().cloned());
            torn |= written.torn;
            let own = written.heading.currency.as_ref();
            let own = own.and_then(|c| Currency::from_code(&c.value));
            if own != currency {
                articles.strip_prices();
            }
            currency = own;
            articles.lay_over(written.articles.clone(), &mut found);
        }
        if broken {
            return (None, found);
        }
        shorten_lists(&mut articles);
        if !torn {
            check_names(&articles, &mut found);
        }
        let Some(currency) = currency else {
            articles.complete(name, Currency::EUR, &mut found);
            return (None, found);
        };
        let mut assortment = articles.complete(name, currency, &mut found);
        check_parts(&articles, &assortment, &mut found);
        if torn {
            // What a torn file seems to lack may stand in the part that could not be read.
            found.retain(|f| !matches!(f.fact, Fact::Missing { .. }));
        }
        let leaves = articles.leaves();
        assortment.revision = revision(name, currency, &leaves);
        let heading = chain.first().map(|(_, written)| &written.heading);
        let text = |field: Option<&Option<crate::source::Located<String>>>| {
            field.and_then(Option::as_ref).map(|f| f.value.clone())
        };
        let assembly = Assembly {
            assortment,
            title: text(heading.map(|h| &h.title)).unwrap_or_else(|| name.into()),
            effective: text(heading.map(|h| &h.effective)),
            notes: text(heading.map(|h| &h.notes)),
            parents: chain.iter().skip(1).map(|(n, _)| (*n).into()).collect(),
            origins: self.origins(&leaves),
        };
        (Some(assembly), found)
    }

    fn origins(&self, leaves: &[Leaf]) -> BTreeMap<String, Origin> {
        // Leaves of one file come in the order of keys, not of lines, so each line is counted once per file ahead of time.
        let starts: Vec<Vec<usize>> = self
            .files
            .iter()
            .map(|f| f.text.match_indices('\n').map(|(at, _)| at).collect())
            .collect();
        let origin = |leaf: &Leaf| {
            let file = leaf.at.file as usize;
            let before = starts
                .get(file)
                .map_or(0, |s| s.partition_point(|&n| n < leaf.at.start as usize));
            Origin {
                file: self
                    .files
                    .get(file)
                    .map_or_else(String::new, |f| f.path.clone()),
                line: u32::try_from(before + 1).unwrap_or(u32::MAX),
            }
        };
        leaves
            .iter()
            .map(|leaf| (leaf.path.clone(), origin(leaf)))
            .collect()
    }
}

/// The hash of what is written, whatever the files, their order and their comments.
fn revision(name: &str, currency: Currency, leaves: &[Leaf]) -> String {
    let written = leaves
        .iter()
        .filter(|leaf| !leaf.path.ends_with(".withdrawn"));
    let rows = written.map(|leaf| (leaf.path.as_str(), leaf.text.as_str()));
    let heading = [
        ("catalogue.name", name),
        ("catalogue.currency", currency.code()),
    ];
    hash(rows.chain(heading))
}
