//! What an engine says back: findings about a sound input, faults of a bad one.

use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing; nothing need be done.
    Note,
    /// A caution for work that can hurt someone, or a thing to confirm on site.
    Caution,
    /// A rule or check that does not hold.
    Breach,
}

/// Something an answer says about a sound input, with a stable code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// A stable code in capitals, such as `BASE_IN_SPLASH_ZONE`.
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// The field of the request it speaks of, such as `facades[0].openings[2]`; empty for the whole.
    pub path: String,
    /// A sentence for the reader.
    pub text: String,
    /// The document it rests on, or `common practice, no source`; empty where none is needed.
    pub source: &'static str,
}

/// One fault of a bad input: where, what was found, what was expected.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The field, such as `facades[0].openings[2].width_mm`.
    pub path: String,
    /// A stable reason in capitals, such as `NOT_FINITE`.
    pub reason: &'static str,
    /// What was found there.
    pub found: String,
    /// What was expected.
    pub expected: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: found {}, expected {}",
            self.path, self.found, self.expected
        )
    }
}

/// A gatherer of faults, so that all of them come back at once and in order.
#[derive(Clone, Debug, Default)]
pub struct Faults {
    list: Vec<Fault>,
    beyond: usize,
}

/// A number with more digits than any line holds, alone or with its unit, is told by its power of ten, so that what was expected is not
/// lost behind it.
fn on_a_line(found: String) -> String {
    let digits = found.find(' ').unwrap_or(found.len());
    if digits <= MOST_DIGITS {
        return found;
    }
    let (digits, unit) = found.split_at(digits);
    match digits.parse::<f64>() {
        Ok(number) if number.is_finite() => alloc::format!("{number:e}{unit}"),
        _ => found,
    }
}

/// The most characters of a number that is told digit by digit.
const MOST_DIGITS: usize = 24;

impl Faults {
    /// The most faults that are kept; further ones are counted and said in the last line.
    pub const KEPT: usize = 200;

    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }
    /// Adds one.
    pub fn add(
        &mut self,
        path: impl Into<String>,
        reason: &'static str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        if self.list.len() >= Self::KEPT {
            self.beyond += 1;
            return;
        }
        self.list.push(Fault {
            path: path.into(),
            reason,
            found: on_a_line(found.into()),
            expected: expected.into(),
        });
    }
    /// Adds those of a part.
    pub fn extend(&mut self, faults: impl IntoIterator<Item = Fault>) {
        for fault in faults {
            self.add(fault.path, fault.reason, fault.found, fault.expected);
        }
    }
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }
    /// How many were added, those beyond the kept ones too.
    pub fn count(&self) -> usize {
        self.list.len() + self.beyond
    }
    /// The value, or all faults.
    ///
    /// # Errors
    /// Any fault was added.
    pub fn or<T>(self, value: T) -> Result<T, Vec<Fault>> {
        if self.list.is_empty() {
            Ok(value)
        } else {
            Err(self.into_list())
        }
    }
    /// All faults kept, with a last one that counts those beyond.
    pub fn into_list(mut self) -> Vec<Fault> {
        if self.beyond > 0 {
            self.list.push(Fault {
                path: String::new(),
                reason: "TOO_MANY_FAULTS",
                found: alloc::format!("{} further faults", self.beyond),
                expected: String::from("the faults above mended first"),
            });
        }
        self.list
    }
}
