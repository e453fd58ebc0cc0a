//! What can be wrong with a file, and how it is told.

use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use quantity::PriceFault;

use crate::source::{Place, SourceFile, look_up};

/// One fact about what is wrong.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)] // the fields are the numbers and names of the fact
pub enum Fact {
    /// The text is not TOML.
    Syntax { message: String },
    /// The file is longer than the service reads.
    TooLong { bytes: usize, limit: usize },
    /// The file says a format that this version does not read.
    UnknownFormat { found: String },
    /// The file does not say its format.
    NoFormat,
    /// The folder has no heading.
    NoHeading { folder: String },
    /// A key that nothing reads.
    UnknownKey { key: String, within: String },
    /// A key with no unit, or with another unit than the one that is read.
    WrongUnit { key: String, expected: String },
    /// A value of another type.
    WrongType { found: String, expected: String },
    /// Infinite, or not a number.
    NotFinite { found: String },
    /// A number outside its range.
    OutOfRange {
        found: String,
        min: String,
        max: String,
    },
    /// A price that is not a decimal in range.
    NotAPrice(PriceFault),
    /// A word outside a fixed list.
    NotAChoice { found: String, choices: Vec<String> },
    /// A text that breaks the grammar of its key.
    Malformed { found: String, expected: String },
    /// Keys that must be there.
    Missing { within: String, keys: Vec<String> },
    /// A table or list without content.
    Empty { within: String, what: String },
    /// A name that stands for nothing.
    UnknownName { kind: String, name: String },
    /// A withdrawn article that systems still need.
    Withdrawn {
        kind: String,
        name: String,
        needed_by: Vec<String>,
    },
    /// Told twice.
    Twice { what: String, first: String },
    /// A catalogue that extends itself, by the names on the way.
    Cycle { chain: Vec<String> },
    /// A chain of parents longer than the limit.
    ChainTooLong { limit: usize },
    /// What the engine that uses the value does not accept.
    Refused { found: String, expected: String },
    /// Parts that do not go together.
    NotTogether { why: String },
}

impl fmt::Display for Fact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Syntax { message } => write!(f, "not valid TOML: {message}"),
            Self::TooLong { bytes, limit } => {
                write!(f, "the file has {bytes} bytes; at most {limit} are read")
            }
            Self::UnknownFormat { found } => write!(f, "unknown format {found}"),
            Self::NoFormat => f.write_str("the file does not say its format"),
            Self::NoHeading { folder } => {
                write!(f, "no `catalogue.toml` in `{folder}` or above it")
            }
            Self::UnknownKey { key, within } => write!(f, "unknown key `{key}` in {within}"),
            Self::WrongUnit { key, expected } => {
                write!(
                    f,
                    "`{key}` does not say the unit that is read, `{expected}`"
                )
            }
            Self::WrongType { found, expected } | Self::Refused { found, expected } => {
                write!(f, "found {found}, expected {expected}")
            }
            Self::NotFinite { found } => write!(f, "{found} is not a finite number"),
            Self::OutOfRange { found, min, max } => {
                write!(f, "{found} is outside {min} to {max}")
            }
            Self::NotAPrice(fault) => fault.fmt(f),
            Self::NotAChoice { found, choices } => {
                write!(f, "`{found}` is none of {}", list(choices))
            }
            Self::Malformed { found, expected } => write!(f, "`{found}` is not {expected}"),
            Self::Missing { within, keys } => write!(f, "{within} lacks {}", list(keys)),
            Self::Empty { within, what } => write!(f, "{within} has no {what}"),
            Self::UnknownName { kind, name } => write!(f, "there is no {kind} `{name}`"),
            Self::Withdrawn {
                kind,
                name,
                needed_by,
            } => write!(
                f,
                "{kind} `{name}` is withdrawn, and still needed by {}",
                list(needed_by)
            ),
            Self::Twice { what, first } => write!(f, "{what} is already told at {first}"),
            Self::Cycle { chain } => write!(f, "`extends` runs in a circle: {}", chain.join(" > ")),
            Self::ChainTooLong { limit } => write!(f, "more than {limit} parents in a row"),
            Self::NotTogether { why } => f.write_str(why),
        }
    }
}

fn list(words: &[String]) -> String {
    let quoted: Vec<String> = words.iter().map(|w| alloc::format!("`{w}`")).collect();
    quoted.join(", ")
}

/// A fault with its place. [`Display`](fmt::Display) prints it with the line, a caret and the help.
#[derive(Clone, Debug, PartialEq)]
pub struct CatalogueFault {
    /// Path as given in [`SourceFile`]; empty where the fault is in no file, such as a name asked for that is not there.
    pub file: String,
    /// Line, from 1; 0 where the fault is in no file.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// The text of the line.
    pub source_line: String,
    /// How many characters the caret underlines; at least 1.
    pub caret_width: u32,
    /// What is wrong.
    pub fact: Fact,
    /// What to do about it, where that is known.
    pub help: Option<String>,
}

impl CatalogueFault {
    /// What is wrong, as one lower-case fragment.
    pub fn message(&self) -> String {
        self.fact.to_string()
    }
}

impl fmt::Display for CatalogueFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A line of a data file is short; what is longer is cut so that the caret stays on the screen.
        const LINE: usize = 160;
        let number = self.line.to_string();
        let gutter = " ".repeat(number.len());
        if self.line == 0 {
            return writeln!(f, "{}", self.fact);
        }
        writeln!(
            f,
            "{}:{}:{}: {}",
            self.file, self.line, self.column, self.fact
        )?;
        let column = self.column.saturating_sub(1) as usize;
        if column < LINE {
            let shown: String = self.source_line.chars().take(LINE).collect();
            let indent: String = shown
                .chars()
                .take(column)
                .map(|c| if c == '\t' { '\t' } else { ' ' })
                .collect();
            let carets = "^".repeat((self.caret_width as usize).clamp(1, LINE - column));
            writeln!(f, "{number} | {shown}")?;
            writeln!(f, "{gutter} | {indent}{carets}")?;
        }
        match &self.help {
            Some(help) => writeln!(f, "{gutter} = help: {help}"),
            None => Ok(()),
        }
    }
}

/// A fault whose place is still a byte range.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Found {
    pub at: Place,
    pub fact: Fact,
    pub help: Option<String>,
}

/// Faults in the order of their places, each once, with lines and columns.
pub(crate) fn told(found: &[Found], files: &[SourceFile]) -> Vec<CatalogueFault> {
    let mut faults: Vec<(Place, CatalogueFault)> = Vec::new();
    let mut ordered: Vec<&Found> = found.iter().collect();
    ordered.sort_by_key(|f| f.at);
    for one in ordered {
        let file = files.get(one.at.file as usize);
        let seen = look_up(file.map_or("", |f| &f.text), one.at);
        let fault = CatalogueFault {
            file: file.map_or_else(String::new, |f| f.path.clone()),
            line: seen.line,
            column: seen.column,
            source_line: seen.source_line,
            caret_width: seen.caret_width,
            fact: one.fact.clone(),
            help: one.help.clone(),
        };
        let same_place = faults.iter().rev().take_while(|(at, _)| *at == one.at);
        if !same_place.into_iter().any(|(_, other)| *other == fault) {
            faults.push((one.at, fault));
        }
    }
    faults.into_iter().map(|(_, fault)| fault).collect()
}
