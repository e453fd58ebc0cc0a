//! The cutting sheet: every board that is cut, its pieces, the order of the cuts, what is kept and what is scrap.

mod cell;
mod index;
mod marking;
mod order;
mod tag;

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;
use working::{Fault, Faults};

use crate::elevation::Point;
use crate::geometry::{Hatch, area};
use crate::sheet::{
    LegendLine, ListLine, PICTURE, Sample, Sheet, Strip, Symbol, TitleBlock, broken, open,
};
use crate::svg::{Frame, LineKind, Pen, Spot};
use cell::Cell;
use marking::marking;

/// What becomes of a part of a cut board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartUse {
    /// A piece for the wall, by its number.
    Piece(u32),
    /// An offcut that is kept, by its number.
    Offcut(u32),
    /// Scrap.
    Scrap,
}

/// A part of a cut board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutPart {
    /// Its outline on the board, from the board's lower left.
    pub outline: Vec<Point>,
    /// Holes in it, in the same places.
    pub holes: Vec<Vec<Point>>,
    /// What becomes of it.
    pub used_as: PartUse,
    /// Where its upper edge on the wall points on the board drawn.
    pub top: PartTop,
}

/// Where the upper edge of a piece on the wall points on the board that it is cut from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartTop {
    /// Up: the piece lies as on the wall. So does an offcut, which has no upper edge.
    #[default]
    Up,
    /// To the left: turned by a quarter, anticlockwise.
    Left,
    /// Down: turned by a half.
    Down,
}

/// One cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutLine {
    /// Its place in the order of cuts of this board, from 1.
    pub order: u32,
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
}

/// A board with its cuts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutBoard {
    /// The board's number, unique on the sheet.
    pub number: u32,
    /// What it is, in generic words.
    pub product: String,
    /// Length.
    pub length: Mm,
    /// Height.
    pub height: Mm,
    /// What the saw or the wire takes at each cut.
    pub kerf: Mm,
    /// Its parts; what they leave of the board is scrap.
    pub parts: Vec<CutPart>,
    /// Its cuts.
    pub cuts: Vec<CutLine>,
}

/// All boards that are cut.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CuttingSheet {
    /// The title block.
    pub block: TitleBlock,
    /// The boards in the order in which they are cut.
    pub boards: Vec<CutBoard>,
    /// Lines of text for the list behind the boards.
    pub notes: Vec<String>,
}

/// Most boards of one cutting sheet; more are sent in parts.
pub const CUT_BOARDS_MAX: usize = 10_000;
/// Most parts, and most cuts, of one board.
pub const CUT_PARTS_MAX: usize = 200;
/// Largest length or height of a board: it stands at 1:20 on one sheet.
pub const CUT_BOARD_SIZE_MAX: Mm = Mm(4000);

/// Draws the cutting sheets. Every piece number stands on its part, or beside the board with a leader to it, or under its board, and once in the
/// index, which tells its board and its sheet.
///
/// # Errors
/// Every fault at once: a board without size, a number used twice, a part outside its board, a count beyond the limits.
pub fn cutting_sheets(sheet: &CuttingSheet) -> Result<Vec<Sheet>, Vec<Fault>> {
    check(sheet)?;
    let scale = chosen_scale(sheet);
    let cells: Vec<Cell> = sheet
        .boards
        .iter()
        .map(|board| Cell::new(board, scale))
        .collect();
    let (pages, lower) = paged(&cells);
    let list = broken(&list(sheet));
    let index = index::of(sheet, &pages);
    // List and index stand under the last boards where both have room there, else on sheets of their own.
    let spare = Frame::new(PICTURE.x0, lower.min(PICTURE.y1), PICTURE.x1, PICTURE.y1);
    let below = index::laid_out(&list, &index, &spare);
    let list_below = !pages.is_empty() && below.len() == 1;
    let behind = if list_below {
        Vec::new()
    } else {
        index::laid_out(&list, &index, &PICTURE)
    };
    let count = pages.len() + behind.len();
    let mut sheets = Vec::with_capacity(count);
    for (i, page) in pages.iter().enumerate() {
        let here: Vec<(&Cell, &CutBoard, Spot)> = page
            .iter()
            .filter_map(|(i, corner)| Some((cells.get(*i)?, sheet.boards.get(*i)?, *corner)))
            .collect();
        let strip = Strip {
            block: &block_of(sheet, &here),
            scale: Some(scale),
            number: i + 1,
            count,
            legend: &legend(&here),
        };
        let mut svg = open(&strip);
        for (cell, board, corner) in &here {
            cell.draw(&mut svg, board, *corner, scale);
        }
        if list_below && i + 1 == pages.len() {
            for page in &below {
                page.write(&mut svg, &spare);
            }
        }
        sheets.push(strip.finished(svg));
    }
    let block = TitleBlock {
        title: format!("{}: index and offcuts", sheet.block.title),
        ..sheet.block.clone()
    };
    let block = block.of_a_list();
    for (i, page) in behind.iter().enumerate() {
        let strip = Strip {
            block: &block,
            scale: None,
            number: pages.len() + i + 1,
            count,
            legend: &[],
        };
        let mut svg = open(&strip);
        page.write(&mut svg, &PICTURE);
        sheets.push(strip.finished(svg));
    }
    Ok(sheets)
}

/// The title block of a sheet, which says what boards it shows.
fn block_of(sheet: &CuttingSheet, here: &[(&Cell, &CutBoard, Spot)]) -> TitleBlock {
    let numbers = || here.iter().map(|(_, board, _)| board.number);
    let (Some(first), Some(last)) = (numbers().min(), numbers().max()) else {
        return sheet.block.clone();
    };
    let boards = if first == last {
        format!("board {first}")
    } else {
        format!("boards {first} to {last}")
    };
    TitleBlock {
        title: format!("{}: {boards}", sheet.block.title),
        ..sheet.block.clone()
    }
}

/// What the boards of one sheet show.
fn legend(here: &[(&Cell, &CutBoard, Spot)]) -> Vec<LegendLine> {
    let boards = || here.iter().map(|(_, board, _)| *board);
    let some =
        |wanted: fn(PartUse) -> bool| boards().any(|b| b.parts.iter().any(|p| wanted(p.used_as)));
    let mut lines = Vec::new();
    if some(|p| matches!(p, PartUse::Piece(_))) {
        let sample = Sample::Area(Hatch::Plain);
        lines.push(LegendLine::new(sample, "piece for the wall, numbered"));
    }
    if some(|p| matches!(p, PartUse::Offcut(_))) {
        let sample = Sample::Area(Hatch::Rising);
        let text = "offcut kept for use, O and number";
        lines.push(LegendLine::new(sample, text));
    }
    if here.iter().any(|(cell, _, _)| cell.has_tags()) {
        lines.push(LegendLine::new(
            Sample::Led,
            "number of a small part, led to it",
        ));
    }
    if boards().any(|b| b.parts.iter().any(|p| p.top != PartTop::Up)) {
        let text = "turned piece: the arrow points up on the wall";
        lines.push(LegendLine::new(Sample::Symbol(Symbol::Upward), text));
    }
    if here.iter().any(|(cell, _, _)| cell.has_scrap()) {
        lines.push(LegendLine::new(Sample::Area(Hatch::Crossed), "scrap"));
    }
    let kerfs = || boards().filter(|b| !b.cuts.is_empty()).map(|b| b.kerf.0);
    if let (Some(least), Some(most)) = (kerfs().min(), kerfs().max()) {
        let text = if least == most {
            format!("cut, its order ringed; kerf {most} mm")
        } else {
            format!("cut, its order ringed; kerf {least} to {most} mm")
        };
        lines.push(LegendLine::new(Sample::Line(CUT_PEN), &text));
    }
    lines
}

const CUT_PEN: Pen = Pen::of(0.5, LineKind::Dashed);
/// Distance from one board to the next.
const GAP: f64 = 8.0;

/// 1:10 for a handful of boards, 1:20 for more.
fn chosen_scale(sheet: &CuttingSheet) -> u32 {
    let largest = sheet
        .boards
        .iter()
        .map(|b| b.length.max(b.height))
        .max()
        .unwrap_or_default();
    if sheet.boards.len() <= 9 && largest <= Mm(1250) {
        10
    } else {
        20
    }
}

/// Boards by page, each with its upper left corner, row by row; and where the last row ends.
fn paged(cells: &[Cell]) -> (Vec<Vec<(usize, Spot)>>, f64) {
    let area = Frame::new(
        PICTURE.x0 + 6.0,
        PICTURE.y0 + 6.0,
        PICTURE.x1 - 4.0,
        PICTURE.y1 - 2.0,
    );
    let mut pages: Vec<Vec<(usize, Spot)>> = Vec::new();
    let mut page = Vec::new();
    let (mut x, mut y, mut row) = (area.x0, area.y0, 0.0_f64);
    for (i, cell) in cells.iter().enumerate() {
        let wide = cell.room();
        if x + wide > area.x1 && x > area.x0 {
            (x, y, row) = (area.x0, y + row + 4.0, 0.0);
        }
        if y + cell.height() > area.y1 && y > area.y0 {
            pages.push(core::mem::take(&mut page));
            (x, y, row) = (area.x0, area.y0, 0.0);
        }
        page.push((i, Spot::at(x, y)));
        x += wide + GAP;
        row = row.max(cell.height());
    }
    if !page.is_empty() {
        pages.push(page);
    }
    (pages, y + row + 2.0)
}

/// Notes, and the offcuts kept, by product and largest first.
fn list(sheet: &CuttingSheet) -> Vec<ListLine> {
    let mut lines: Vec<ListLine> = sheet.notes.iter().cloned().map(ListLine::Text).collect();
    let mut kept: BTreeMap<&str, Vec<(f64, u32, String)>> = BTreeMap::new();
    for board in &sheet.boards {
        for part in &board.parts {
            if let PartUse::Offcut(number) = part.used_as {
                let size = area(&cell::shape(&part.outline, board, 1.0));
                let marked = marking(&part.outline, &part.holes);
                let text = format!("O{number}: {marked}, board {}", board.number);
                let list = kept.entry(&board.product).or_default();
                list.push((size, number, text));
            }
        }
    }
    for (product, mut kept) in kept {
        kept.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        lines.push(ListLine::Heading(format!(
            "Offcuts kept of {product}, largest first"
        )));
        lines.extend(kept.into_iter().map(|(_, _, text)| ListLine::Text(text)));
    }
    lines
}

fn check(sheet: &CuttingSheet) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if sheet.boards.len() > CUT_BOARDS_MAX {
        faults.add(
            "boards",
            "LIMIT_EXCEEDED",
            format!("{}", sheet.boards.len()),
            format!("at most {CUT_BOARDS_MAX}"),
        );
        return faults.or(());
    }
    let mut boards: BTreeMap<u32, usize> = BTreeMap::new();
    let mut pieces: BTreeMap<u32, usize> = BTreeMap::new();
    for (i, board) in sheet.boards.iter().enumerate() {
        let path = format!("boards[{i}]");
        for (name, size) in [("length", board.length), ("height", board.height)] {
            if size <= Mm::ZERO || size > CUT_BOARD_SIZE_MAX {
                faults.add(
                    format!("{path}.{name}"),
                    "OUT_OF_RANGE",
                    format!("{size}"),
                    format!("1 mm to {CUT_BOARD_SIZE_MAX}"),
                );
            }
        }
        if let Some(first) = boards.insert(board.number, i) {
            faults.add(
                format!("{path}.number"),
                "DUPLICATE",
                format!("{}, already used by boards[{first}]", board.number),
                "a number unique on the sheet",
            );
        }
        check_parts(&path, board, &mut faults);
        for (j, part) in board.parts.iter().enumerate() {
            if let PartUse::Piece(number) = part.used_as
                && let Some(first) = pieces.insert(number, i)
            {
                faults.add(
                    format!("{path}.parts[{j}].used_as"),
                    "DUPLICATE",
                    format!("piece {number}, already cut from boards[{first}]"),
                    "a piece cut once",
                );
            }
        }
    }
    faults.or(())
}

fn check_parts(path: &str, board: &CutBoard, faults: &mut Faults) {
    for (name, count) in [("parts", board.parts.len()), ("cuts", board.cuts.len())] {
        if count > CUT_PARTS_MAX {
            faults.add(
                format!("{path}.{name}"),
                "LIMIT_EXCEEDED",
                format!("{count}"),
                format!("at most {CUT_PARTS_MAX}"),
            );
        }
    }
    let outside =
        |p: &Point| p.x < Mm::ZERO || p.y < Mm::ZERO || p.x > board.length || p.y > board.height;
    let on_board = format!("0 to {} by 0 to {}", board.length, board.height);
    for (j, part) in board.parts.iter().enumerate() {
        let count = part.outline.len();
        let holes_sound = part.holes.len() <= CUT_PARTS_MAX
            && part
                .holes
                .iter()
                .all(|h| (3..=CUT_PARTS_MAX).contains(&h.len()));
        if !(3..=CUT_PARTS_MAX).contains(&count) || !holes_sound {
            faults.add(
                format!("{path}.parts[{j}].outline"),
                "OUT_OF_RANGE",
                format!("{count} points"),
                format!("3 to {CUT_PARTS_MAX} points"),
            );
        }
        let holes = part.holes.iter().flatten();
        if let Some(p) = part.outline.iter().chain(holes).find(|p| outside(p)) {
            faults.add(
                format!("{path}.parts[{j}].outline"),
                "OUT_OF_RANGE",
                format!("x {}, y {}", p.x, p.y),
                on_board.clone(),
            );
        }
    }
    for (j, cut) in board.cuts.iter().enumerate() {
        if let Some(p) = [cut.from, cut.to].iter().find(|p| outside(p)) {
            faults.add(
                format!("{path}.cuts[{j}]"),
                "OUT_OF_RANGE",
                format!("x {}, y {}", p.x, p.y),
                on_board.clone(),
            );
        }
    }
}
