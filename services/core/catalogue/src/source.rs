//! Where a value stands: file, line, column.

use alloc::string::String;
use core::ops::Range;

/// The text of one file, read by the caller.
///
/// `path` is only a label: it is split at `/` to find the folder, and printed with faults.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceFile {
    /// Path from the root of the catalogues, such as `generic/boards.toml`.
    pub path: String,
    /// The whole text, UTF-8.
    pub text: String,
}

impl SourceFile {
    /// A file from its path and text.
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            path: path.into(),
            text: text.into(),
        }
    }
    /// The path without the file name; empty for a file at the root.
    pub fn folder(&self) -> &str {
        self.path.rsplit_once('/').map_or("", |(folder, _)| folder)
    }
    /// The file name without its folder.
    pub fn file_name(&self) -> &str {
        self.path.rsplit_once('/').map_or(&self.path, |(_, n)| n)
    }
}

/// A stretch of one file, in bytes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Place {
    pub file: u32,
    pub start: u32,
    pub end: u32,
}

impl Place {
    pub fn new(file: u32, span: &Range<usize>) -> Self {
        let narrow = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Self {
            file,
            start: narrow(span.start),
            end: narrow(span.end),
        }
    }
}

/// A value with the place it was written at.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Located<T> {
    pub value: T,
    pub at: Place,
}

/// A place as people read it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Lookup {
    pub line: u32,
    pub column: u32,
    pub source_line: String,
    pub caret_width: u32,
}

/// The line, the column in characters from 1, the text of the line, and how many characters are meant.
pub(crate) fn look_up(text: &str, at: Place) -> Lookup {
    let start = floor_boundary(text, at.start as usize);
    let end = floor_boundary(text, at.end as usize).max(start);
    let before = text.get(..start).unwrap_or("");
    let line_start = before.rfind('\n').map_or(0, |n| n + 1);
    let rest = text.get(line_start..).unwrap_or("");
    let source_line = rest.split('\n').next().unwrap_or("").trim_end_matches('\r');
    let line_end = line_start + source_line.len();
    let count = |range: Range<usize>| text.get(range).map_or(0, |t| t.chars().count()) as u32;
    Lookup {
        line: before.matches('\n').count() as u32 + 1,
        column: count(line_start..start) + 1,
        source_line: source_line.into(),
        caret_width: count(start..end.min(line_end).max(start)).max(1),
    }
}

fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    // A UTF-8 character has at most four bytes, so this ends after three steps.
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
