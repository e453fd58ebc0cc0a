//! Aligned tables of plain text, no wider than the page.

use std::fmt::Write as _;

use working::words_that_stay;

/// The widest line that is printed, in characters.
pub(crate) const PAGE: usize = 120;

/// How a column stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Align {
    /// Texts.
    Left,
    /// Numbers.
    Right,
    /// A text that gives way where the page is too narrow, and goes on in the next line.
    Wrap,
}

/// A table that is filled row by row.
pub(crate) struct Table {
    columns: Vec<(&'static str, Align)>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub fn new(columns: impl IntoIterator<Item = (&'static str, Align)>) -> Self {
        Self {
            columns: columns.into_iter().collect(),
            rows: Vec::new(),
        }
    }

    pub fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// The table, indented by two, without a heading where all its columns have none. Columns that are empty in every row are left out.
    pub fn print(&self, out: &mut String) {
        let headed = self.columns.iter().any(|(name, _)| !name.is_empty());
        let cell = |row: &[String], c: usize| row.get(c).cloned().unwrap_or_default();
        let kept: Vec<usize> = (0..self.columns.len())
            .filter(|&c| self.rows.iter().any(|row| !cell(row, c).is_empty()))
            .collect();
        let mut columns: Vec<(usize, Align, usize)> = Vec::new();
        for c in kept {
            let Some((name, align)) = self.columns.get(c) else {
                continue;
            };
            let widest = self
                .rows
                .iter()
                .map(|row| cell(row, c).chars().count())
                .max();
            columns.push((c, *align, widest.unwrap_or(0).max(name.chars().count())));
        }
        give_way(&mut columns);
        if headed {
            let names = columns
                .iter()
                .map(|(c, _, _)| self.columns.get(*c).map_or("", |(n, _)| n).to_owned());
            line(out, &columns, &names.collect::<Vec<_>>());
            let rules = columns.iter().map(|(_, _, width)| "-".repeat(*width));
            line(out, &columns, &rules.collect::<Vec<_>>());
        }
        for row in &self.rows {
            print_row(out, &columns, row);
        }
    }
}

fn print_row(out: &mut String, columns: &[(usize, Align, usize)], row: &[String]) {
    let wrapped: Vec<Vec<String>> = columns
        .iter()
        .map(|&(c, align, width)| {
            let text = row.get(c).map_or("", String::as_str);
            if align == Align::Wrap {
                wrap(text, width)
            } else {
                vec![text.to_owned()]
            }
        })
        .collect();
    let lines = wrapped.iter().map(Vec::len).max().unwrap_or(0);
    for n in 0..lines {
        let cells: Vec<String> = wrapped
            .iter()
            .map(|w| w.get(n).cloned().unwrap_or_default())
            .collect();
        line(out, columns, &cells);
    }
}

/// Takes from the widest text that may wrap, character by character, until the row fits the page or nothing can be taken any more.
fn give_way(columns: &mut [(usize, Align, usize)]) {
    const NARROWEST: usize = 12;
    let whole = |columns: &[(usize, Align, usize)]| columns.iter().map(|c| c.2 + 2).sum::<usize>();
    while whole(columns) > PAGE {
        let wrapping = columns
            .iter_mut()
            .filter(|c| c.1 == Align::Wrap && c.2 > NARROWEST);
        let Some(widest) = wrapping.max_by_key(|c| c.2) else {
            return;
        };
        widest.2 -= 1;
    }
}

fn line(out: &mut String, columns: &[(usize, Align, usize)], cells: &[String]) {
    let mut text = String::from(" ");
    for ((_, align, width), cell) in columns.iter().zip(cells) {
        let pad = " ".repeat(width.saturating_sub(cell.chars().count()));
        let _ = match align {
            Align::Right => write!(text, " {pad}{cell} "),
            Align::Left | Align::Wrap => write!(text, " {cell}{pad} "),
        };
    }
    out.push_str(text.trim_end());
    out.push('\n');
}

/// The words of a text in lines of at most `width` characters; a longer word has a line of its own. A number stays with its unit where both
/// have room in a line.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let broken = words_that_stay(text).into_iter().flat_map(|words| {
        let parts = if words.chars().count() > width {
            words.split_whitespace().map(str::to_owned).collect()
        } else {
            vec![words]
        };
        parts.into_iter()
    });
    for word in broken {
        let last = lines.last().map_or(0, |l| l.chars().count());
        if last > 0 && last + 1 + word.chars().count() > width {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(&word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_right_and_texts_left() {
        let mut table = Table::new([
            ("Article", Align::Left),
            ("Packs", Align::Right),
            ("Note", Align::Left),
        ]);
        table.row(["board".into(), "12".into(), String::new()]);
        table.row(["mesh".into(), "3".into(), String::new()]);
        let mut out = String::new();
        table.print(&mut out);
        assert_eq!(
            out,
            "  Article  Packs\n  -------  -----\n  board       12\n  mesh         3\n"
        );
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let text = "63 anchors in all, 59 % of their resistance used";
        for width in 6..text.len() {
            let lines = wrap(text, width);
            assert!(lines.iter().all(|line| !line.starts_with('%')), "{lines:?}");
            assert_eq!(lines.join(" "), text);
        }
    }

    #[test]
    fn no_line_is_wider_than_the_page() {
        let mut table = Table::new([("Key", Align::Left), ("Text", Align::Wrap)]);
        table.row(["k".repeat(30), "some words ".repeat(40)]);
        let mut out = String::new();
        table.print(&mut out);
        assert!(out.lines().all(|l| l.chars().count() <= PAGE));
        assert!(out.lines().count() > 4);
    }
}
