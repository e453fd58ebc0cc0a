//! A place in a file, as people read it.

use std::fmt;
use std::ops::Range;

/// A line with a caret. Long lines are cut to a window round the caret, so that nothing runs over the edge of the screen.
pub(crate) struct Excerpt {
    file: String,
    line: usize,
    column: usize,
    shown: String,
    indent: usize,
    carets: usize,
}

/// Widest window of a line, in characters.
const WINDOW: usize = 100;
/// Characters shown before the caret where the line is cut.
const BEFORE: usize = 30;

impl Excerpt {
    /// The first line of a span of bytes.
    pub fn of(file: &str, text: &str, span: &Range<usize>) -> Self {
        let mut start = span.start.min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        let before = text.get(..start).unwrap_or_default();
        let line_start = before.rfind('\n').map_or(0, |n| n + 1);
        let line: Vec<char> = text
            .get(line_start..)
            .unwrap_or_default()
            .lines()
            .next()
            .unwrap_or_default()
            .chars()
            .collect();
        let column = text
            .get(line_start..start)
            .unwrap_or_default()
            .chars()
            .count();
        let length = text
            .get(start..span.end.min(text.len()))
            .map_or(1, |t| t.lines().next().unwrap_or_default().chars().count());
        let cut = if line.len() > WINDOW {
            column.saturating_sub(BEFORE)
        } else {
            0
        };
        let shown: String = line.iter().skip(cut).take(WINDOW).collect();
        let indent = column - cut;
        Self {
            file: file.to_owned(),
            line: before.matches('\n').count() + 1,
            column: column + 1,
            indent,
            carets: length.clamp(1, WINDOW.saturating_sub(indent).max(1)),
            shown,
        }
    }
}

impl fmt::Display for Excerpt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self.line.to_string();
        let gutter = " ".repeat(number.len());
        writeln!(
            f,
            "    {gutter}--> {}:{}:{}",
            self.file, self.line, self.column
        )?;
        writeln!(f, "    {number} | {}", self.shown)?;
        write!(
            f,
            "    {gutter} | {}{}",
            " ".repeat(self.indent),
            "^".repeat(self.carets)
        )
    }
}
