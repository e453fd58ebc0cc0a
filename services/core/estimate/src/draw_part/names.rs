//! Names of files: safe in every file system, one for each facade, and the same from run to run.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// No name is longer than this, so that no file system refuses it.
const LONGEST: usize = 80;

/// One name for each of the ids, which are unique. A plain id keeps its letters and digits. Where another id would have the same name, where
/// letters beyond ASCII would be lost, or where it is too long, the id's fingerprint follows: so a facade's name does not change with the order of the
/// survey.
pub(super) fn file_names(ids: &[&str]) -> Vec<String> {
    let mut plain: BTreeMap<String, usize> = BTreeMap::new();
    for id in ids {
        *plain.entry(safe(id)).or_default() += 1;
    }
    let mut taken: BTreeSet<String> = BTreeSet::new();
    // Plain names first: a fingerprint never takes one of them.
    let keeps = |id: &str| {
        let name = safe(id);
        let fits = id.is_ascii() && (1..=LONGEST).contains(&name.len());
        (fits && plain.get(&name) == Some(&1)).then_some(name)
    };
    taken.extend(ids.iter().filter_map(|id| keeps(id)));
    let named = ids.iter().map(|id| {
        keeps(id).unwrap_or_else(|| {
            let name = marked(id);
            // Two ids of one fingerprint are told apart by their order, which is all that is left.
            let counted = (2..=ids.len() + 1).map(|n| format!("{name}-{n}"));
            let mut free = core::iter::once(name.clone()).chain(counted);
            let name = free.find(|n| !taken.contains(n)).unwrap_or(name);
            taken.insert(name.clone());
            name
        })
    });
    named.collect()
}

/// Small letters and digits, and a stroke for everything else.
fn safe(id: &str) -> String {
    let one = |c: char| {
        if c.is_ascii_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '-'
        }
    };
    id.chars().map(one).collect()
}

/// What is left of an id, and its fingerprint.
fn marked(id: &str) -> String {
    let kept = safe(id);
    let kept: String = kept.trim_matches('-').chars().take(LONGEST - 9).collect();
    let print = fingerprint(id);
    if kept.is_empty() {
        format!("{print:08x}")
    } else {
        format!("{kept}-{print:08x}")
    }
}

fn fingerprint(text: &str) -> u32 {
    let mut print = Fingerprint::new();
    print.add(text.as_bytes());
    print.value()
}

/// Thirty-two bits by the rule of Fowler, Noll and Vo (FNV-1a).
#[derive(Clone, Copy, Debug)]
pub(super) struct Fingerprint(u32);

impl Fingerprint {
    pub(super) const fn new() -> Self {
        Self(0x811c_9dc5)
    }
    pub(super) fn add(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u32::from(*byte)).wrapping_mul(0x0100_0193);
        }
    }
    pub(super) const fn value(self) -> u32 {
        self.0
    }
}
