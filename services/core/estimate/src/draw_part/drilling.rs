//! What the driller needs on his sheet: which anchor, how deep, which plate, and where on a whole board.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::Facade;
use quantity::Mm;
use setting_out::{Form, Piece};
use working::numbered;

use super::Drawn;
use crate::answer::{DrillingLine, FixingZone};
use crate::set_out::part;

/// The anchors by the boards that they hold, and the pattern of a whole board in each zone.
pub(super) fn notes(drawn: &Drawn<'_>, index: usize, facade: &Facade) -> Vec<String> {
    let mine = drawn.drilling.iter().filter(|d| d.facade == facade.id);
    let mut notes: Vec<String> = mine.map(|line| anchor(drawn, line)).collect();
    notes.extend(patterns(drawn, index, facade));
    notes
}

fn anchor(drawn: &Drawn<'_>, line: &DrillingLine) -> String {
    let chosen = drawn
        .chosen
        .iter()
        .find(|c| c.situation == line.situation && c.anchor == line.anchor);
    let name = chosen.map_or(line.anchor.as_str(), |c| c.name.as_str());
    let called = |key: &str| {
        let article = crate::parts::article(drawn.stock, key);
        article.map_or_else(|| String::from(key), |article| article.name.clone())
    };
    let with = |what: &str, key: &str| match key {
        "" => String::new(),
        key => format!("; {what}: {}", called(key)),
    };
    let plate = chosen.map_or(String::new(), |c| with("plate", &c.plate));
    let plug = chosen.map_or(String::new(), |c| with("plug or cap", &c.plug));
    let boards = boards(drawn, line);
    format!(
        "Drill for {boards}: {name}, {}\u{a0}mm long; diameter {}\u{a0}mm, {:.0}\u{a0}mm into the wall, {:.0}\u{a0}mm from the face of the board{plate}{plug}; {}.",
        line.length.0,
        line.drill_diameter.0,
        line.drill_depth.as_mm(),
        line.hole_depth.as_mm(),
        numbered(line.count, "anchor", "anchors")
    )
}

/// The boards that a line drills through. The sheet shows one wall: the field of the request that tells its substrate says nothing on site,
/// unless it tells two lines of the wall apart.
fn boards<'a>(drawn: &Drawn<'_>, line: &'a DrillingLine) -> &'a str {
    let is_alike = |other: &DrillingLine| {
        other.facade == line.facade
            && other.situation != line.situation
            && other.boards == line.boards
    };
    if drawn.drilling.iter().any(is_alike) {
        &line.situation
    } else {
        &line.boards
    }
}

/// Anchors by squares of a metre, so that a board's are found at once.
struct Grid {
    squares: BTreeMap<(i32, i32), Vec<(Mm, Mm)>>,
}

const SQUARE: i32 = 1000;

impl Grid {
    fn of(drawn: &Drawn<'_>, facade: &Facade) -> Self {
        let mut squares: BTreeMap<(i32, i32), Vec<(Mm, Mm)>> = BTreeMap::new();
        for point in drawn.anchors.iter().filter(|p| p.facade == facade.id) {
            let square = (point.x.0.div_euclid(SQUARE), point.y.0.div_euclid(SQUARE));
            squares.entry(square).or_default().push((point.x, point.y));
        }
        Self { squares }
    }
    /// The anchors inside a board, from its left and lower edge, row by row. Those in its joints follow its neighbours' joints, and differ from
    /// board to board.
    fn on(&self, board: &Board) -> Vec<(Mm, Mm)> {
        let squares = |from: Mm, to: Mm| from.0.div_euclid(SQUARE)..=to.0.div_euclid(SQUARE);
        let mut found: Vec<(Mm, Mm)> = squares(board.x0, board.x1)
            .flat_map(|x| squares(board.y0, board.y1).map(move |y| (x, y)))
            .filter_map(|square| self.squares.get(&square))
            .flatten()
            .filter(|(x, y)| board.x0 < *x && *x < board.x1 && board.y0 < *y && *y < board.y1)
            .map(|(x, y)| (*y - board.y0, *x - board.x0))
            .collect();
        found.sort_unstable();
        found
    }
}

/// The box of a whole board on the wall.
#[derive(Clone, Copy)]
struct Board {
    x0: Mm,
    y0: Mm,
    x1: Mm,
    y1: Mm,
}

impl Board {
    fn of(piece: &Piece) -> Option<Self> {
        let xs = || piece.outline.iter().map(|p| p.x);
        let ys = || piece.outline.iter().map(|p| p.y);
        Some(Self {
            x0: xs().min()?,
            y0: ys().min()?,
            x1: xs().max()?,
            y1: ys().max()?,
        })
    }
    fn within(&self, zone: &FixingZone) -> bool {
        let across = zone.x_from <= self.x0 && self.x1 <= zone.x_to;
        across && zone.y_from <= self.y0 && self.y1 <= zone.y_to
    }
}

/// How often each pattern stands on whole boards of one size in zones of one name and kind of boards.
type Patterns<'a> = BTreeMap<(&'a str, &'a str, Mm, Mm), BTreeMap<Vec<(Mm, Mm)>, u32>>;

fn patterns(drawn: &Drawn<'_>, index: usize, facade: &Facade) -> Vec<String> {
    let grid = Grid::of(drawn, facade);
    if grid.squares.is_empty() {
        return Vec::new();
    }
    let zones: Vec<&FixingZone> = drawn
        .zones
        .iter()
        .filter(|zone| zone.facade == facade.id)
        .collect();
    let mut found: Patterns<'_> = BTreeMap::new();
    let whole = |p: &&Piece| p.wall == index && p.form == Form::Whole;
    for piece in drawn.layout.pieces.iter().filter(whole) {
        let boards = part(drawn.job, piece);
        let Some(board) = Board::of(piece) else {
            continue;
        };
        let mut here = zones.iter().filter(|z| z.boards == boards);
        if let Some(zone) = here.find(|zone| board.within(zone)) {
            let (wide, high) = (board.x1 - board.x0, board.y1 - board.y0);
            let key = (zone.zone.as_str(), boards.name(), wide, high);
            *found
                .entry(key)
                .or_default()
                .entry(grid.on(&board))
                .or_default() += 1;
        }
    }
    let told = found
        .into_iter()
        .map(|((zone, boards, wide, high), patterns)| {
            format!(
                "Zone {zone}, whole {boards} board {}\u{a0}×\u{a0}{}, {}",
                wide.0,
                high.0,
                commonest(patterns)
            )
        });
    told.collect()
}

/// How the boards of one size are drilled most often; where most have no anchor inside, how the others are.
fn commonest(patterns: BTreeMap<Vec<(Mm, Mm)>, u32>) -> String {
    let all: u32 = patterns.values().sum();
    let none: &[(Mm, Mm)] = &[];
    let bare = patterns.get(none).copied().unwrap_or_default();
    // Of equals the first in order, whatever order the boards have.
    let inside = patterns
        .into_iter()
        .filter(|(places, _)| !places.is_empty())
        .rev()
        .max_by_key(|(_, count)| *count);
    let at = |pattern: &[(Mm, Mm)]| {
        let anchors = numbered(pattern.len() as u64, "anchor", "anchors");
        let rows = rows(pattern);
        format!("{anchors} inside it at {rows}; others in its joints, as drawn.")
    };
    match inside {
        None => format!("all {all}: none inside, all in its joints, as drawn."),
        Some((pattern, count)) if bare >= count => format!(
            "most often ({bare} of {all}): none inside, all in its joints, as drawn. Also, {count} of {all}: {}",
            at(&pattern)
        ),
        Some((pattern, count)) => format!("most often ({count} of {all}): {}", at(&pattern)),
    }
}

/// Places row by row: how far from the left edge, and how far up from the lower one.
fn rows(pattern: &[(Mm, Mm)]) -> String {
    let rows: Vec<String> = pattern
        .chunk_by(|a, b| a.0 == b.0)
        .filter_map(|row| {
            let up = row.first()?.0;
            let places: Vec<String> = row.iter().map(|(_, x)| format!("{}", x.0)).collect();
            let places = places.join(", ");
            Some(format!(
                "{places} from its left and {} from its lower edge",
                up.0
            ))
        })
        .collect();
    rows.join("; ")
}
