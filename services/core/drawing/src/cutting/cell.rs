//! One cut board on paper: its parts, the order of its cuts, and what the parts are called.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::marking::marking;
use super::order::{self, Order};
use super::tag::{self, Tag};
use super::{CUT_PEN, CutBoard, CutPart, PartTop, PartUse};
use crate::elevation::{Obstacles, Point};
use crate::geometry::{Hatch, bounds, box_inside, hatch_rest};
use crate::lettering::{Lettering, wrapped};
use crate::sheet::{ARROW, arrow, filled};
use crate::svg::{Anchoring, Frame, Paint, Pen, Reading, Spot, Svg, Text};

/// Pitch of the lines over and under a board.
const LINE: f64 = 3.6;
/// Room between the last line over a board and the board: rings of cuts stand out there.
const OVER: f64 = 1.4;
/// Room under a board for the rings of cuts that end there.
const UNDER: f64 = 2.6;
/// The narrowest room for the lines over and under a board, however short the board is.
const ROOM: f64 = 44.0;
/// Where the names of the lines under a board end, and where their sizes begin.
const NAME_END: f64 = 9.0;
const SIZE_START: f64 = 11.0;
/// Free paper between figures of different meaning, along the line and from line to line: `830 × 120` beside `8` would read as 1208.
const APART: f64 = 2.0;
const APART_ROWS: f64 = 0.5;

/// About how many places on a part are tried for the leader of its number.
const FEET: usize = 12;

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
pub(super) struct Cell {
    width: f64,
    board_height: f64,
    caption: Vec<String>,
    scrap: Vec<(Spot, Spot)>,
    orders: Vec<Order>,
    words: Vec<PlacedWord>,
    /// Arrows on turned parts.
    arrows: Vec<(Spot, PartTop)>,
    /// Numbers of parts that are too small for them, led to them from over or under the board.
    tags: Vec<Tag>,
    /// Parts without room for their number or size, written under the board.
    under: Vec<UnderLine>,
}

/// A line under a board; one that goes on from the line before has no name.
#[derive(Clone, Debug)]
struct UnderLine {
    class: &'static str,
    name: String,
    size: String,
}

pub(super) fn spot(point: Point, board: &CutBoard, scale: f64) -> Spot {
    Spot::at(
        f64::from(point.x.0) / scale,
        f64::from((board.height - point.y).0) / scale,
    )
}

/// An outline on a board as it stands on paper.
pub(super) fn shape(outline: &[Point], board: &CutBoard, scale: f64) -> Vec<Spot> {
    outline.iter().map(|p| spot(*p, board, scale)).collect()
}

impl Cell {
    pub(super) fn new(board: &CutBoard, one_to: u32) -> Self {
        let scale = f64::from(one_to);
        let mut cell = Self {
            width: f64::from(board.length.0) / scale,
            board_height: f64::from(board.height.0) / scale,
            caption: Vec::new(),
            scrap: Vec::new(),
            orders: Vec::new(),
            words: Vec::new(),
            arrows: Vec::new(),
            tags: Vec::new(),
            under: Vec::new(),
        };
        let (number, product) = (board.number, &board.product);
        let size = format!("{}\u{a0}×\u{a0}{}", board.length.0, board.height.0);
        let caption = format!("Board {number}: {product}, {size}");
        cell.caption = wrapped(Lettering::Small, &caption, cell.room());
        cell.scrap = scrap(board, scale);
        let mut obstacles = Obstacles::default();
        let size = (cell.width, cell.board_height);
        cell.orders = order::place(board, scale, size, &mut obstacles);
        let mut small: Vec<(&CutPart, usize)> = Vec::new();
        for part in &board.parts {
            if let Some(line) = cell.place_part(part, board, scale, &mut obstacles) {
                small.push((part, line));
            }
        }
        for (part, line) in small {
            cell.place_tag(part, line, board, scale, &mut obstacles);
        }
        cell
    }

    /// The number of a part that is too small for it beside the board, with a leader; its line under the board then only repeats it.
    fn place_tag(
        &mut self,
        part: &CutPart,
        line: usize,
        board: &CutBoard,
        scale: f64,
        obstacles: &mut Obstacles,
    ) {
        let outline = shape(&part.outline, board, scale);
        let holes: Vec<Vec<Spot>> = part.holes.iter().map(|h| shape(h, board, scale)).collect();
        let size = (self.room(), self.board_height);
        let Some(line) = self.under.get_mut(line) else {
            return;
        };
        let feet: Vec<Spot> = places(&outline)
            .filter(|at| tag::stands_in(*at, &outline, &holes))
            .filter(|at| !obstacles.hit(&tag::dot(*at)))
            .collect();
        let mut feet = feet.iter().copied().step_by((feet.len() / FEET).max(1));
        let named = (line.name.as_str(), line.class);
        if let Some(tag) = feet.find_map(|foot| tag::place(foot, named, size, obstacles)) {
            line.class = "part-name";
            self.tags.push(tag);
        }
    }

    /// The room that the board and its lines take across.
    pub(super) fn room(&self) -> f64 {
        self.width.max(ROOM)
    }

    pub(super) fn height(&self) -> f64 {
        self.over() + self.board_height + LINE * self.under.len() as f64 + self.below()
    }

    pub(super) fn has_tags(&self) -> bool {
        !self.tags.is_empty()
    }

    pub(super) fn has_scrap(&self) -> bool {
        !self.scrap.is_empty()
    }

    fn over(&self) -> f64 {
        let tagged = self.tags.iter().any(Tag::is_over);
        LINE * self.caption.len() as f64 + OVER + if tagged { tag::ROW } else { 0.0 }
    }

    fn below(&self) -> f64 {
        let tagged = self.tags.iter().any(|tag| !tag.is_over());
        UNDER + if tagged { tag::ROW } else { 0.0 }
    }

    /// Number and marking on the part where both fit, else the number there and the marking under the board. Where not even the number has
    /// room, both stand there: in the line that is returned.
    fn place_part(
        &mut self,
        part: &CutPart,
        board: &CutBoard,
        scale: f64,
        obstacles: &mut Obstacles,
    ) -> Option<usize> {
        let (name, class) = match part.used_as {
            PartUse::Piece(number) => (number.to_string(), "piece-number"),
            PartUse::Offcut(number) => (format!("O{number}"), "offcut-number"),
            PartUse::Scrap => return None,
        };
        let outline = shape(&part.outline, board, scale);
        let size = self.turned(part, &outline, obstacles);
        if let Some(block) = place_block(&outline, obstacles, &name, class, &size) {
            self.words.extend(block);
            return None;
        }
        let named = [Lettering::Plain, Lettering::Small]
            .into_iter()
            .find_map(|lettering| place_word(&outline, obstacles, &name, class, lettering));
        let Some(named) = named else {
            let line = self.under.len();
            self.add_under(class, name, &size);
            return Some(line);
        };
        self.words.push(named);
        match place_word(&outline, obstacles, &size, "part-size", Lettering::Small) {
            Some(word) => self.words.push(word),
            None => self.add_under("part-name", name, &size),
        }
        None
    }

    /// The marking of a part. One that is turned has an arrow; where it has no room for it, the marking says which way it lies.
    fn turned(&mut self, part: &CutPart, outline: &[Spot], obstacles: &mut Obstacles) -> String {
        let size = marking(&part.outline, &part.holes);
        let way = match part.top {
            PartTop::Up => return size,
            PartTop::Left => "to the left",
            PartTop::Down => "below",
        };
        let side = 2.0 * ARROW + 0.4;
        let arrow = arrow_places(outline)
            .find(|at| free(&Frame::around(*at, side, side), outline, obstacles));
        match arrow {
            Some(at) => {
                obstacles.add(Frame::around(at, side, side));
                self.arrows.push((at, part.top));
                size
            }
            None => format!("{size}, upper edge on the wall {way}"),
        }
    }

    /// The marking under the board, in as many lines as the room beside the next board asks for.
    fn add_under(&mut self, class: &'static str, name: String, size: &str) {
        let mut name = name;
        for size in wrapped(Lettering::Small, size, self.room() - SIZE_START) {
            self.under.push(UnderLine {
                class,
                name: core::mem::take(&mut name),
                size,
            });
        }
    }

    pub(super) fn draw(&self, svg: &mut Svg, board: &CutBoard, corner: Spot, one_to: u32) {
        let scale = f64::from(one_to);
        let origin = Spot::at(corner.x, corner.y + self.over());
        let moved = |s: &Spot| Spot::at(s.x + origin.x, s.y + origin.y);
        svg.group("board-caption", Pen::FINE, Paint::None);
        for (row, line) in self.caption.iter().enumerate() {
            let at = Spot::at(corner.x, corner.y + 1.0 + LINE * row as f64);
            svg.text(&Text::level(at, Lettering::Small, Anchoring::Start, line));
        }
        svg.end();
        self.draw_parts(svg, board, scale, moved);
        svg.group("cut", CUT_PEN, Paint::None);
        for cut in &board.cuts {
            let (from, to) = (spot(cut.from, board, scale), spot(cut.to, board, scale));
            svg.line(moved(&from), moved(&to));
        }
        svg.end();
        svg.group("board", Pen::MIDDLE, Paint::None);
        svg.rect(&Frame::new(
            origin.x,
            origin.y,
            origin.x + self.width,
            origin.y + self.board_height,
        ));
        svg.end();
        for (at, top) in &self.arrows {
            let way = match top {
                PartTop::Up => (0.0, -1.0),
                PartTop::Left => (-1.0, 0.0),
                PartTop::Down => (0.0, 1.0),
            };
            arrow(svg, moved(at), way);
        }
        order::draw(svg, &self.orders, origin);
        tag::draw(svg, &self.tags, origin);
        self.draw_words(svg, origin);
    }

    fn draw_parts(
        &self,
        svg: &mut Svg,
        board: &CutBoard,
        scale: f64,
        moved: impl Fn(&Spot) -> Spot,
    ) {
        svg.group("scrap", Pen::HATCH, Paint::None);
        let scrap: Vec<(Spot, Spot)> = self
            .scrap
            .iter()
            .map(|(from, to)| (moved(from), moved(to)))
            .collect();
        svg.strokes(&scrap);
        svg.end();
        for part in &board.parts {
            let ring = |points: &[Point]| -> Vec<Spot> {
                shape(points, board, scale).iter().map(&moved).collect()
            };
            let outline = ring(&part.outline);
            if matches!(part.used_as, PartUse::Offcut(_)) {
                filled(svg, &outline, Hatch::Rising);
            }
            svg.group("part", Pen::NARROW, Paint::None);
            svg.polygon(&outline);
            svg.end();
            svg.group("hole", Pen::NARROW, Paint::None);
            for hole in &part.holes {
                svg.polygon(&ring(hole));
            }
            svg.end();
        }
    }

    fn draw_words(&self, svg: &mut Svg, origin: Spot) {
        svg.group("part-words", Pen::FINE, Paint::White);
        for word in &self.words {
            let at = Spot::at(word.at.x + origin.x, word.at.y + origin.y);
            let text = Text {
                reading: word.reading,
                class: word.class,
                ..Text::level(at, word.lettering, Anchoring::Middle, &word.text)
            };
            svg.rect_without_line(&tight(&text));
            svg.text(&text);
        }
        for (row, line) in self.under.iter().enumerate() {
            let y = origin.y + self.board_height + self.below() + 0.9 + LINE * row as f64;
            let name = Spot::at(origin.x + NAME_END, y);
            if !line.name.is_empty() {
                svg.text(&Text {
                    class: line.class,
                    ..Text::level(name, Lettering::Small, Anchoring::End, &line.name)
                });
            }
            let size = Spot::at(origin.x + SIZE_START, y);
            svg.text(&Text {
                class: "part-size",
                ..Text::level(size, Lettering::Small, Anchoring::Start, &line.size)
            });
        }
        svg.end();
    }
}

/// The hatch of what the pieces and the offcuts leave of a board.
fn scrap(board: &CutBoard, scale: f64) -> Vec<(Spot, Spot)> {
    let whole = Frame::new(
        0.0,
        0.0,
        f64::from(board.length.0) / scale,
        f64::from(board.height.0) / scale,
    );
    let kept = board
        .parts
        .iter()
        .filter(|part| part.used_as != PartUse::Scrap);
    let rings: Vec<Vec<Spot>> = kept
        .flat_map(|part| core::iter::once(&part.outline).chain(&part.holes))
        .map(|ring| shape(ring, board, scale))
        .collect();
    hatch_rest(&whole.corners(), &rings, Hatch::Crossed, 1.5)
}

/// The box of a text without the room for descenders, which numbers do not have.
pub(super) fn tight(text: &Text<'_>) -> Frame {
    let frame = text.frame();
    let over = (text.lettering.font_size_mm() - text.lettering.height_mm()) / 2.0 - 0.15;
    match text.reading {
        Reading::Level => Frame::new(frame.x0, frame.y0 + over, frame.x1, frame.y1 - over),
        Reading::Upward => Frame::new(frame.x0 + over, frame.y0, frame.x1 - over, frame.y1),
    }
}

/// A word's box with the free paper around it.
fn apart(frame: &Frame, reading: Reading) -> Frame {
    let (x, y) = match reading {
        Reading::Level => (APART, APART_ROWS),
        Reading::Upward => (APART_ROWS, APART),
    };
    Frame::new(frame.x0 - x, frame.y0 - y, frame.x1 + x, frame.y1 + y)
}

/// Places tried on a part, as shares of its width and height: about its middle, then all over it, for notched parts are widest elsewhere.
fn places(outline: &[Spot]) -> impl Iterator<Item = Spot> {
    let frame = bounds(outline);
    let about = [0.5, 0.35, 0.65, 0.25, 0.75, 0.15, 0.85]
        .into_iter()
        .flat_map(|y| [0.5, 0.3, 0.7, 0.2, 0.8].into_iter().map(move |x| (x, y)));
    let step = |n: u8| f64::from(n) / f64::from(STEPS);
    let all = (1..STEPS).flat_map(move |y| (1..STEPS).map(move |x| (step(x), step(y))));
    about
        .chain(all)
        .map(move |(x, y)| Spot::at(frame.x0 + x * frame.width(), frame.y0 + y * frame.height()))
}

/// Into how many steps a part is divided each way.
const STEPS: u8 = 12;

/// Places tried for the arrow of a part: near its ends first, so that words keep its middle.
fn arrow_places(outline: &[Spot]) -> impl Iterator<Item = Spot> {
    let frame = bounds(outline);
    let inset = ARROW + 0.8;
    let along = move |x0: f64, x1: f64| [x1 - inset, x0 + inset, f64::midpoint(x0, x1)];
    let ys = along(frame.y0, frame.y1);
    along(frame.x0, frame.x1)
        .into_iter()
        .flat_map(move |x| [ys[2], ys[1], ys[0]].map(move |y| Spot::at(x, y)))
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
                obstacles.add(apart(&frame, Reading::Level));
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
                obstacles.add(apart(&place, reading));
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
