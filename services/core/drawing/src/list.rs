//! Sheets that hold nothing but lists: tables for the site without a picture.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::sheet::{
    ListLine, PICTURE, Sheet, Strip, TitleBlock, broken, capacity, open, together, write_list,
};

/// A list with its heading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ListSection {
    /// What it is a list of.
    pub heading: String,
    /// Its lines, broken where they are too long for a column.
    pub lines: Vec<String>,
}

/// Lists under one title.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lists {
    /// The title block.
    pub block: TitleBlock,
    /// The lists in their order.
    pub sections: Vec<ListSection>,
}

/// Most lines of all lists together.
pub const LIST_LINES_MAX: usize = 20_000;

/// Writes lists on as many sheets as they take; none where there is nothing to write.
///
/// # Errors
/// More lines than [`LIST_LINES_MAX`].
pub fn list_sheets(lists: &Lists) -> Result<Vec<Sheet>, Vec<Fault>> {
    let mut faults = Faults::new();
    let count: usize = lists.sections.iter().map(|s| s.lines.len() + 1).sum();
    if count > LIST_LINES_MAX {
        faults.add(
            "sections",
            "LIMIT_EXCEEDED",
            format!("{count} lines"),
            format!("at most {LIST_LINES_MAX}"),
        );
        return faults.or(Vec::new());
    }
    let mut lines = Vec::with_capacity(count);
    for section in &lists.sections {
        lines.push(ListLine::Heading(section.heading.clone()));
        lines.extend(section.lines.iter().cloned().map(ListLine::Text));
    }
    let lines = together(broken(&lines), &[PICTURE]);
    let sheets = lines.len().div_ceil(capacity(&PICTURE));
    let pages = lines.chunks(capacity(&PICTURE)).enumerate();
    let drawn = pages.map(|(i, page)| {
        let strip = Strip {
            block: &lists.block,
            scale: None,
            number: i + 1,
            count: sheets,
            legend: &[],
        };
        let mut svg = open(&strip);
        write_list(&mut svg, &PICTURE, page);
        strip.finished(svg)
    });
    Ok(drawn.collect())
}
