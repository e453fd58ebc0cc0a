//! The list and the index behind the boards: where each piece is cut.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{CuttingSheet, PartUse};
use crate::lettering::Lettering;
use crate::sheet::{COLUMN, ListLine, capacity, write_list};
use crate::svg::{Anchoring, Frame, Paint, Pen, Spot, Svg, Text};

/// A piece, the board that it is cut from, and the sheet that shows that board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Entry {
    piece: u32,
    board: u32,
    sheet: usize,
}

/// Every piece that is cut, by its number.
pub(super) fn of(sheet: &CuttingSheet, pages: &[Vec<(usize, Spot)>]) -> Vec<Entry> {
    let mut entries = Vec::new();
    for (page, cells) in pages.iter().enumerate() {
        for board in cells.iter().filter_map(|(i, _)| sheet.boards.get(*i)) {
            entries.extend(board.parts.iter().filter_map(|part| match part.used_as {
                PartUse::Piece(piece) => Some(Entry {
                    piece,
                    board: board.number,
                    sheet: page + 1,
                }),
                PartUse::Offcut(_) | PartUse::Scrap => None,
            }));
        }
    }
    entries.sort_unstable();
    entries
}

/// Width of a column of the index, where its figures end, and the pitch of its lines.
const WIDTH: f64 = 30.0;
const ENDS: [f64; 3] = [8.0, 18.0, 27.0];
const PITCH: f64 = 3.9;
/// Room over the first line.
const TOP: f64 = 4.0;

/// What stands in one column.
#[derive(Clone, Copy, Debug)]
enum Column<'a> {
    List(&'a [ListLine]),
    Index(&'a [Entry]),
}

impl Column<'_> {
    const fn width(&self) -> f64 {
        match self {
            Self::List(_) => COLUMN,
            Self::Index(_) => WIDTH,
        }
    }
}

/// The columns of one sheet, each with its place from the left.
#[derive(Clone, Debug, Default)]
pub(super) struct Page<'a> {
    columns: Vec<(f64, Column<'a>)>,
}

/// The list, and beside it the index, in areas of one size; one empty page where neither says anything. More pages than one where an
/// area is too small for both.
pub(super) fn laid_out<'a>(
    list: &'a [ListLine],
    index: &'a [Entry],
    area: &Frame,
) -> Vec<Page<'a>> {
    let one = Frame::new(area.x0, area.y0, area.x0 + COLUMN, area.y1);
    let rows = capacity(&one);
    // A heading takes the first line of a column of the index.
    let columns = list.chunks(rows.max(1)).map(Column::List);
    let columns = columns.chain(index.chunks(rows.max(2) - 1).map(Column::Index));
    let mut pages = alloc::vec![Page::default()];
    let mut x = area.x0;
    for column in columns {
        if x + column.width() > area.x1 + 1e-9 {
            pages.push(Page::default());
            x = area.x0;
        }
        if let Some(page) = pages.last_mut() {
            page.columns.push((x, column));
        }
        x += column.width();
    }
    if rows < 2 && !(list.is_empty() && index.is_empty()) {
        pages.push(Page::default());
    }
    pages
}

impl Page<'_> {
    pub(super) fn write(&self, svg: &mut Svg, area: &Frame) {
        for (x, column) in &self.columns {
            match column {
                Column::List(lines) => {
                    let one = Frame::new(*x, area.y0, *x + COLUMN, area.y1);
                    write_list(svg, &one, lines);
                }
                Column::Index(entries) => write_index(svg, Spot::at(*x, area.y0 + TOP), entries),
            }
        }
    }
}

fn write_index(svg: &mut Svg, at: Spot, entries: &[Entry]) {
    svg.group("index", Pen::NARROW, Paint::None);
    let mut write = |row: usize, words: [&str; 3], class: &'static str| {
        let y = at.y + PITCH * row as f64;
        for (end, word) in ENDS.into_iter().zip(words) {
            let text = Text::level(
                Spot::at(at.x + 2.0 + end, y),
                Lettering::Small,
                Anchoring::End,
                word,
            );
            svg.text(&Text { class, ..text });
        }
    };
    write(0, ["piece", "board", "sheet"], "");
    for (i, entry) in entries.iter().enumerate() {
        let figures = [
            entry.piece.to_string(),
            entry.board.to_string(),
            entry.sheet.to_string(),
        ];
        write(
            i + 1,
            figures.each_ref().map(String::as_str),
            "index-figure",
        );
    }
    svg.line(
        Spot::at(at.x + 2.0, at.y + 1.7),
        Spot::at(at.x + 2.0 + ENDS[2], at.y + 1.7),
    );
    svg.end();
}
