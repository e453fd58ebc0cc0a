//! The cutting sheet: every board that is cut, its pieces, the order of the cuts, what is kept and what is scrap.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::Mm;
use working::{Fault, Faults};

use crate::elevation::{Obstacles, Point};
use crate::geometry::{Hatch, area, bounds, box_inside};
use crate::lettering::Lettering;
use crate::sheet::{
    LegendLine, ListLine, PICTURE, Sample, Sheet, Strip, TitleBlock, broken, capacity, filled,
    open, write_list,
};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Reading, Spot, Svg, Text};

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
    /// What becomes of it.
    pub used_as: PartUse,
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
    /// Its parts.
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

/// Draws the cutting sheets. Every piece number stands once, on the part or under its board.
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
    // The list stands under the last boards where it has room there, else on sheets of its own.
    let spare = Frame::new(PICTURE.x0, lower.min(PICTURE.y1), PICTURE.x1, PICTURE.y1);
    let list_below = !pages.is_empty() && list.len() <= capacity(&spare);
    let behind = if list_below {
        0
    } else {
        list.len().div_ceil(capacity(&PICTURE)).max(1)
    };
    let count = pages.len() + behind;
    let legend = [
        LegendLine::new(Sample::Area(Hatch::Plain), "piece for the wall, numbered"),
        LegendLine::new(Sample::Area(Hatch::Rising), "offcut kept, O and number"),
        LegendLine::new(Sample::Area(Hatch::Crossed), "scrap"),
        LegendLine::new(Sample::Line(CUT_PEN), "cut; the figure is its order"),
    ];
    let mut sheets = Vec::with_capacity(count);
    for (i, page) in pages.iter().enumerate() {
        let strip = Strip {
            block: &sheet.block,
            scale: Some(scale),
            number: i + 1,
            count,
            legend: &legend,
        };
        let mut svg = open(&strip);
        for (cell, corner) in page {
            if let (Some(cell), Some(board)) = (cells.get(*cell), sheet.boards.get(*cell)) {
                cell.draw(&mut svg, board, *corner, scale);
            }
        }
        if list_below && i + 1 == pages.len() {
            write_list(&mut svg, &spare, &list);
        }
        sheets.push(strip.finished(svg));
    }
    for i in 0..behind {
        let lines = list.chunks(capacity(&PICTURE)).nth(i).unwrap_or_default();
        let strip = Strip {
            block: &sheet.block,
            scale: None,
            number: pages.len() + i + 1,
            count,
            legend: &[],
        };
        let mut svg = open(&strip);
        write_list(&mut svg, &PICTURE, lines);
        sheets.push(strip.finished(svg));
    }
    Ok(sheets)
}

const CUT_PEN: Pen = Pen::of(0.5, LineKind::Dashed);
const GAP: f64 = 8.0;
const CAPTION: f64 = 5.0;
const LINE: f64 = 3.6;
/// Room under a board for the rings of cuts that end there.
const UNDER: f64 = 2.6;

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

/// A word on a part, placed in the board's own frame.
#[derive(Clone, Debug)]
struct PlacedWord {
    at: Spot,
    lettering: Lettering,
    reading: Reading,
    text: String,
    class: &'static str,
}

/// A board as it stands on paper, its upper left corner at the origin.
#[derive(Clone, Debug)]
struct Cell {
    width: f64,
    height: f64,
    board_height: f64,
    orders: Vec<(Spot, String)>,
    words: Vec<PlacedWord>,
    /// Parts without room for their number or size, written under the board.
    under: Vec<UnderLine>,
}

#[derive(Clone, Debug)]
struct UnderLine {
    class: &'static str,
    name: String,
    size: String,
}

/// What a board is, as long as there is room: its size can also be read off the drawing.
fn caption(board: &CutBoard, room: f64) -> String {
    let (number, product) = (board.number, &board.product);
    let size = format!("{} × {}", board.length.0, board.height.0);
    let whole = format!("Board {number}: {product}, {size}");
    let texts = [whole, format!("{number}: {product}, {size}")];
    let fits = |text: &String| Lettering::Small.fitted(text, room) == *text;
    texts.into_iter().find(fits).unwrap_or_else(|| {
        let short = format!("Board {number}: {product}");
        Lettering::Small.fitted(&short, room)
    })
}

fn spot(point: Point, board: &CutBoard, scale: f64) -> Spot {
    Spot::at(
        f64::from(point.x.0) / scale,
        f64::from((board.height - point.y).0) / scale,
    )
}

fn shape(outline: &[Point], board: &CutBoard, scale: f64) -> Vec<Spot> {
    outline.iter().map(|p| spot(*p, board, scale)).collect()
}

impl Cell {
    fn new(board: &CutBoard, one_to: u32) -> Self {
        let scale = f64::from(one_to);
        let mut obstacles = Obstacles::default();
        let mut orders = Vec::new();
        for cut in &board.cuts {
            let (from, to) = (spot(cut.from, board, scale), spot(cut.to, board, scale));
            let places = [0.0, 1.0, 0.5, 0.25, 0.75].map(|share| {
                Spot::at(
                    from.x + share * (to.x - from.x),
                    from.y + share * (to.y - from.y),
                )
            });
            let frame = |at: Spot| Frame::around(at, 2.0 * ORDER, 2.0 * ORDER);
            let at = places
                .into_iter()
                .find(|at| !obstacles.hit(&frame(*at)))
                .unwrap_or(places[2]);
            obstacles.add(frame(at));
            orders.push((at, cut.order.to_string()));
        }
        let mut words = Vec::new();
        let mut under = Vec::new();
        for part in &board.parts {
            let outline = shape(&part.outline, board, scale);
            let size = size_of(&part.outline);
            let (name, class) = match part.used_as {
                PartUse::Piece(number) => (number.to_string(), "piece-number"),
                PartUse::Offcut(number) => (format!("O{number}"), "offcut-number"),
                PartUse::Scrap => continue,
            };
            if let Some(block) = place_block(&outline, &mut obstacles, &name, class, &size) {
                words.extend(block);
                continue;
            }
            let named = place_word(&outline, &mut obstacles, &name, class, Lettering::Plain)
                .or_else(|| place_word(&outline, &mut obstacles, &name, class, Lettering::Small));
            let Some(named) = named else {
                under.push(UnderLine { class, name, size });
                continue;
            };
            words.push(named);
            match place_word(
                &outline,
                &mut obstacles,
                &size,
                "part-size",
                Lettering::Small,
            ) {
                Some(word) => words.push(word),
                None => under.push(UnderLine {
                    class: "part-name",
                    name,
                    size,
                }),
            }
        }
        let board_height = f64::from(board.height.0) / scale;
        Self {
            width: f64::from(board.length.0) / scale,
            height: CAPTION + board_height + LINE * under.len() as f64 + UNDER,
            board_height,
            orders,
            words,
            under,
        }
    }

    fn draw(&self, svg: &mut Svg, board: &CutBoard, corner: Spot, one_to: u32) {
        let scale = f64::from(one_to);
        let moved = |s: &Spot| Spot::at(s.x + corner.x, s.y + corner.y + CAPTION);
        svg.group("board-caption", Pen::FINE, Paint::None);
        let caption = caption(board, self.width + GAP - 3.0);
        svg.text(&Text::level(
            Spot::at(corner.x, corner.y + 1.0),
            Lettering::Small,
            Anchoring::Start,
            &caption,
        ));
        svg.end();
        for part in &board.parts {
            let outline: Vec<Spot> = shape(&part.outline, board, scale)
                .iter()
                .map(moved)
                .collect();
            let pattern = match part.used_as {
                PartUse::Piece(_) => Hatch::Plain,
                PartUse::Offcut(_) => Hatch::Rising,
                PartUse::Scrap => Hatch::Crossed,
            };
            filled(svg, &outline, pattern);
            svg.group("part", Pen::NARROW, Paint::None);
            svg.polygon(&outline);
            svg.end();
        }
        svg.group("cut", CUT_PEN, Paint::None);
        for cut in &board.cuts {
            let (from, to) = (spot(cut.from, board, scale), spot(cut.to, board, scale));
            svg.line(moved(&from), moved(&to));
        }
        svg.end();
        svg.group("board", Pen::MIDDLE, Paint::None);
        let whole = Frame::new(
            corner.x,
            corner.y + CAPTION,
            corner.x + self.width,
            corner.y + CAPTION + self.board_height,
        );
        svg.rect(&whole);
        svg.end();
        svg.group("cut-order", Pen::NARROW, Paint::White);
        for (at, order) in &self.orders {
            svg.circle(moved(at), ORDER);
            svg.text(&Text::level(
                moved(at),
                Lettering::Small,
                Anchoring::Middle,
                order,
            ));
        }
        svg.end();
        svg.group("part-words", Pen::FINE, Paint::White);
        for word in &self.words {
            let text = Text {
                reading: word.reading,
                class: word.class,
                ..Text::level(
                    moved(&word.at),
                    word.lettering,
                    Anchoring::Middle,
                    &word.text,
                )
            };
            svg.rect_without_line(&tight(&text));
            svg.text(&text);
        }
        for (row, line) in self.under.iter().enumerate() {
            let y = corner.y + CAPTION + self.board_height + UNDER + 0.9 + LINE * row as f64;
            svg.text(&Text {
                class: line.class,
                ..Text::level(
                    Spot::at(corner.x + 9.0, y),
                    Lettering::Small,
                    Anchoring::End,
                    &line.name,
                )
            });
            svg.text(&Text::level(
                Spot::at(corner.x + 11.0, y),
                Lettering::Small,
                Anchoring::Start,
                &line.size,
            ));
        }
        svg.end();
    }
}

/// Radius of the ring around the order of a cut.
const ORDER: f64 = 1.9;

/// The box of a text without the room for descenders, which numbers do not have.
fn tight(text: &Text<'_>) -> Frame {
    let frame = text.frame();
    let over = (text.lettering.font_size_mm() - text.lettering.height_mm()) / 2.0 - 0.15;
    match text.reading {
        Reading::Level => Frame::new(frame.x0, frame.y0 + over, frame.x1, frame.y1 - over),
        Reading::Upward => Frame::new(frame.x0 + over, frame.y0, frame.x1 - over, frame.y1),
    }
}

/// Places tried on a part, as shares of its width and height.
fn places(outline: &[Spot]) -> impl Iterator<Item = Spot> {
    let frame = bounds(outline);
    [0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85]
        .into_iter()
        .flat_map(move |y| {
            [0.5, 0.3, 0.7, 0.2, 0.8]
                .into_iter()
                .map(move |x| Spot::at(frame.x0 + x * frame.width(), frame.y0 + y * frame.height()))
        })
}

/// Clearance between a word and the edge of its part.
const CLEAR: f64 = 0.3;

fn free(frame: &Frame, outline: &[Spot], obstacles: &Obstacles) -> bool {
    let wider = Frame::new(
        frame.x0 - CLEAR,
        frame.y0 - CLEAR,
        frame.x1 + CLEAR,
        frame.y1 + CLEAR,
    );
    box_inside(&wider, outline) && !obstacles.hit(frame)
}

/// The number with the size below it, both together.
fn place_block(
    outline: &[Spot],
    obstacles: &mut Obstacles,
    name: &str,
    class: &'static str,
    size: &str,
) -> Option<[PlacedWord; 2]> {
    for at in places(outline) {
        let word = |text: &str, drop: f64, lettering: Lettering, class: &'static str| PlacedWord {
            at: Spot::at(at.x, at.y + drop),
            lettering,
            reading: Reading::Level,
            text: String::from(text),
            class,
        };
        let block = [
            word(name, -1.8, Lettering::Plain, class),
            word(size, 1.9, Lettering::Small, "part-size"),
        ];
        let frames = block
            .each_ref()
            .map(|w| tight(&Text::level(w.at, w.lettering, Anchoring::Middle, &w.text)));
        if frames.iter().all(|f| free(f, outline, obstacles)) {
            for frame in frames {
                obstacles.add(frame);
            }
            return Some(block);
        }
    }
    None
}

fn place_word(
    outline: &[Spot],
    obstacles: &mut Obstacles,
    text: &str,
    class: &'static str,
    lettering: Lettering,
) -> Option<PlacedWord> {
    for reading in [Reading::Level, Reading::Upward] {
        for at in places(outline) {
            let place = tight(&Text {
                reading,
                ..Text::level(at, lettering, Anchoring::Middle, text)
            });
            if free(&place, outline, obstacles) {
                obstacles.add(place);
                return Some(PlacedWord {
                    at,
                    lettering,
                    reading,
                    text: String::from(text),
                    class,
                });
            }
        }
    }
    None
}

fn extent(outline: &[Point]) -> (Mm, Mm) {
    let span = |read: fn(&Point) -> Mm| {
        let low = outline.iter().map(read).min().unwrap_or_default();
        outline.iter().map(read).max().unwrap_or_default() - low
    };
    (span(|p| p.x), span(|p| p.y))
}

/// Length by height; for a board with one corner notched out, that corner's size too.
fn size_of(outline: &[Point]) -> String {
    let (wide, high) = extent(outline);
    let whole = format!("{} × {}", wide.0, high.0);
    let mut previous = outline.last().copied().unwrap_or_default();
    let upright = outline.iter().all(|p| {
        let straight = p.x == previous.x || p.y == previous.y;
        previous = *p;
        straight
    });
    match (upright, outline.len()) {
        (true, 4) => whole,
        (true, 6) => match notch(outline) {
            Some((w, h)) => format!("{whole} less {} × {}", w.0, h.0),
            None => format!("{whole}, notched"),
        },
        (true, _) => format!("{whole}, notched"),
        (false, _) => format!("{whole}, sloped"),
    }
}

/// The size of the corner that an L-shape lacks.
fn notch(outline: &[Point]) -> Option<(Mm, Mm)> {
    let span = |read: fn(&Point) -> Mm| {
        Some((
            outline.iter().map(read).min()?,
            outline.iter().map(read).max()?,
        ))
    };
    let ((x0, x1), (y0, y1)) = (span(|p| p.x)?, span(|p| p.y)?);
    let inner = outline
        .iter()
        .find(|p| p.x > x0 && p.x < x1 && p.y > y0 && p.y < y1)?;
    let corner = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        .into_iter()
        .find(|(x, y)| !outline.iter().any(|p| p.x == *x && p.y == *y))?;
    Some(((corner.0 - inner.x).abs(), (corner.1 - inner.y).abs()))
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
        let wide = cell.width.max(20.0);
        if x + wide > area.x1 && x > area.x0 {
            (x, y, row) = (area.x0, y + row + 4.0, 0.0);
        }
        if y + cell.height > area.y1 && y > area.y0 {
            pages.push(core::mem::take(&mut page));
            (x, y, row) = (area.x0, area.y0, 0.0);
        }
        page.push((i, Spot::at(x, y)));
        x += wide + GAP;
        row = row.max(cell.height);
    }
    if !page.is_empty() {
        pages.push(page);
    }
    (pages, y + row + 2.0)
}

/// Notes, and the offcuts kept, largest first.
fn list(sheet: &CuttingSheet) -> Vec<ListLine> {
    let mut lines: Vec<ListLine> = sheet.notes.iter().cloned().map(ListLine::Text).collect();
    let mut kept: Vec<(f64, u32, String)> = Vec::new();
    for board in &sheet.boards {
        for part in &board.parts {
            if let PartUse::Offcut(number) = part.used_as {
                let size = area(&shape(&part.outline, board, 1.0));
                let text = format!(
                    "O{number}: {}, board {}, {}",
                    size_of(&part.outline),
                    board.number,
                    board.product
                );
                kept.push((size, number, text));
            }
        }
    }
    if !kept.is_empty() {
        kept.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        lines.push(ListLine::Heading(String::from(
            "Offcuts kept, largest first",
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
        if !(3..=CUT_PARTS_MAX).contains(&count) {
            faults.add(
                format!("{path}.parts[{j}].outline"),
                "OUT_OF_RANGE",
                format!("{count} points"),
                format!("3 to {CUT_PARTS_MAX} points"),
            );
        }
        if let Some(p) = part.outline.iter().find(|p| outside(p)) {
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
