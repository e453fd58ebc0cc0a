//! Which file of rule data goes to which reader, and where the faults of the engines' own checks stand.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use crate::fault::{Fact, Found};
use crate::nearest::nearest;
use crate::read::{is_rule_data, open};
use crate::rules::file::RuleEntry;
use crate::source::{Place, SourceFile};
use crate::value::{Leaf, Reading};

pub(crate) struct Shelf<'f> {
    files: &'f [SourceFile],
    folders: Vec<&'static str>,
    pub found: Vec<Found>,
    /// What the sound rule sets say, for the revision.
    pub leaves: Vec<(String, String)>,
}

/// The folder of rule data that a file lies in, from its first part named `rules` or `climates` on.
fn kind_of(file: &SourceFile) -> &str {
    let folder = file.folder();
    let mut start = 0;
    for part in folder.split('/') {
        if matches!(part, "rules" | "climates") {
            return folder.get(start..).unwrap_or(folder);
        }
        start += part.len() + 1;
    }
    folder
}

fn number_of(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}

impl<'f> Shelf<'f> {
    pub fn new(files: &'f [SourceFile]) -> Self {
        Self {
            files,
            folders: Vec::new(),
            found: Vec::new(),
            leaves: Vec::new(),
        }
    }

    /// The sound rule sets of one folder by key.
    pub fn take<E: RuleEntry>(&mut self, folder: &'static str) -> BTreeMap<String, E::Rules> {
        self.folders.push(folder);
        let mut sets = BTreeMap::new();
        for (index, file) in self.files.iter().enumerate() {
            if !is_rule_data(file) || kind_of(file) != folder {
                continue;
            }
            let mut found = Vec::new();
            let set = take_file::<E>(file, number_of(index), &mut found);
            let sound = found.is_empty();
            self.found.append(&mut found);
            let Some((key, rules, leaves)) = set.filter(|_| sound) else {
                continue;
            };
            if sets.contains_key(&key) {
                self.found.push(Found {
                    at: Place::new(number_of(index), &(0..0)),
                    fact: Fact::Twice {
                        what: format!("{folder}/{key}"),
                        first: format!("an earlier file named `{key}.toml`"),
                    },
                    help: None,
                });
                continue;
            }
            let named = |leaf: Leaf| (format!("{folder}/{key}{}", leaf.path), leaf.text);
            self.leaves.extend(leaves.into_iter().map(named));
            sets.insert(key, rules);
        }
        sets
    }

    /// A folder that no reader takes would be forgotten without a word.
    pub fn refuse_unknown_folders(&mut self) {
        for (index, file) in self
            .files
            .iter()
            .enumerate()
            .filter(|(_, f)| is_rule_data(f))
        {
            let kind = kind_of(file);
            if self.folders.contains(&kind) {
                continue;
            }
            let near = nearest(kind, self.folders.iter().copied());
            let help = near.map_or_else(
                || format!("folders of rule data: {}", self.folders.join(", ")),
                |n| format!("did you mean `{n}`?"),
            );
            self.found.push(Found {
                at: Place::new(number_of(index), &(0..0)),
                fact: Fact::UnknownName {
                    kind: "kind of rule data".into(),
                    name: kind.into(),
                },
                help: Some(help),
            });
        }
    }
}

type Set<E> = (String, <E as RuleEntry>::Rules, Vec<Leaf>);

fn take_file<E: RuleEntry>(
    file: &SourceFile,
    number: u32,
    found: &mut Vec<Found>,
) -> Option<Set<E>> {
    let mut reading = Reading {
        file: number,
        found,
    };
    let opened = open(file, &mut reading)?;
    let start = Place::new(number, &(0..0));
    let entry = E::read_table(opened.table.get_ref(), start, &mut reading);
    if opened.torn_lines.is_empty() {
        entry.find_missing(file.file_name(), found);
    } else {
        opened.drop_echoes(file, found);
    }
    let mut leaves = Vec::new();
    entry.list_leaves("", &mut leaves);
    // Values that could not be read would be told once more as missing.
    let readable = found.is_empty();
    let mut conditional = Vec::new();
    let rules = entry.complete(&mut conditional);
    if readable {
        found.append(&mut conditional);
    }
    if let (true, Some(rules)) = (found.is_empty(), &rules) {
        let faults = E::check(rules);
        found.extend(faults.into_iter().map(|f| placed(f, &leaves, start)));
    }
    let key = entry.key()?;
    if file.file_name().strip_suffix(".toml") != Some(&key.value) {
        let fact = Fact::NotTogether {
            why: format!("the key `{}` is not the name of the file", key.value),
        };
        found.push(Found {
            at: key.at,
            fact,
            help: Some(format!("call the file `{}.toml`", key.value)),
        });
    }
    Some((key.value.clone(), rules?, leaves))
}

/// A fault of an engine's check, at the written value whose name follows the fault's path furthest.
fn placed(fault: working::Fault, leaves: &[Leaf], start: Place) -> Found {
    let path = fault
        .path
        .replace('_', "-")
        .replace('[', ".")
        .replace(']', "");
    let path: Vec<&str> = path.split('.').skip(1).collect();
    let mut best = (0, start);
    for leaf in leaves {
        let reached = followed(&path, &leaf.path);
        if reached > best.0 {
            best = (reached, leaf.at);
        }
    }
    Found {
        at: best.1,
        fact: Fact::Refused {
            found: fault.found,
            expected: fault.expected,
        },
        help: None,
    }
}

/// How many parts of a path a leaf follows. Engines write lists in the plural and leave units out.
fn followed(path: &[&str], leaf: &str) -> usize {
    let mut parts = leaf.split('.').skip(1).peekable();
    let mut reached = 0;
    for part in path {
        let Some(next) = parts.peek() else { break };
        let named = part.strip_suffix('s').unwrap_or(part);
        let unit = next.strip_prefix(part).or_else(|| next.strip_prefix(named));
        if unit.is_some_and(|unit| unit.is_empty() || unit == "s" || unit.starts_with('-')) {
            parts.next();
            reached += 1;
        } else if part.parse::<usize>().is_ok() {
            return 0;
        }
    }
    reached
}
