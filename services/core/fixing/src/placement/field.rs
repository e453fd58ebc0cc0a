//! Anchors in the field of a board.

use alloc::vec::Vec;

use facade::Point;

use super::plane::{Bounds, Cells, apart_squared, point};
use super::{Near, Piece, Surroundings};

/// The finest step of the grid of places that are tried, in millimetres.
const STEP: i64 = 25;
/// The most steps along either side of a board.
const STEPS_MAX: i64 = 48;

/// The most numbers that are tried on a board without room; more than a board of usual size ever asks for.
const TRIES_MAX: usize = 16;

/// Storage that is used again from board to board.
#[derive(Default)]
pub(super) struct Scratch {
    found: Vec<u32>,
}

/// What a place in the field is measured against.
struct Room<'a> {
    around: &'a Surroundings<'a>,
    piece: &'a Piece<'a>,
    near: Near,
    /// Anchors in joints nearby.
    joints: Vec<Point>,
    margin: i64,
    spacing: i64,
}

impl Room<'_> {
    /// Whether a place is free but for the board's own anchors.
    fn free(&self, p: Point) -> bool {
        self.piece.shape.holds(p, self.margin)
            && !self
                .joints
                .iter()
                .any(|&j| apart_squared(j, p) < self.spacing * self.spacing)
            && self.around.clear(&self.near, p)
    }
    fn crowded(&self, placed: &[Point], p: Point) -> bool {
        placed
            .iter()
            .any(|&o| apart_squared(o, p) < self.spacing * self.spacing)
    }
    fn inset(&self) -> Option<Bounds> {
        let inset = self.piece.shape.bounds.grown(-self.margin);
        (inset.width() >= 0 && inset.height() >= 0).then_some(inset)
    }
}

/// At most `wanted` places in the field of a piece: the usual ones where they are free, else the nearest free ones.
pub(super) fn place(
    around: &Surroundings<'_>,
    piece: &Piece<'_>,
    wanted: usize,
    (joints, joint_cells): (&[Point], &Cells),
    scratch: &mut Scratch,
) -> Vec<Point> {
    if wanted == 0 {
        return Vec::new();
    }
    let distances = around.wall.distances;
    let spacing = i64::from(distances.spacing.0);
    let least = i64::from(distances.board_edge_min.0).max((spacing + 1) / 2);
    let usual = i64::from(distances.board_edge.0).max(least);
    let near = around.near(piece.shape.bounds, &mut scratch.found);
    joint_cells.near(piece.shape.bounds.grown(spacing), &mut scratch.found);
    let joints = scratch
        .found
        .iter()
        .filter_map(|&i| joints.get(i as usize).copied())
        .collect();
    let mut room = Room {
        around,
        piece,
        near,
        joints,
        margin: usual,
        spacing,
    };
    let mut best: Vec<Point> = Vec::new();
    for margin in [usual, least] {
        room.margin = margin;
        let first = arrange(&room, wanted);
        if first.len() == wanted {
            return first;
        }
        let grid = Grid::of(&room);
        // Fewer places spread otherwise, so that a smaller number may fit better; the most that fit are kept.
        for number in (1..=wanted).rev().take(TRIES_MAX) {
            if number <= best.len() {
                break;
            }
            let found = relocate(&room, &grid, number);
            if found.len() > best.len() {
                best = found;
            }
        }
        if best.len() == wanted {
            break;
        }
    }
    best
}

/// The usual places of `number` anchors that are free.
fn arrange(room: &Room<'_>, number: usize) -> Vec<Point> {
    let mut placed = Vec::with_capacity(number);
    for i in 0..number {
        if let Some(p) = usual(room, i, number)
            && room.free(p)
            && !room.crowded(&placed, p)
        {
            placed.push(p);
        }
    }
    placed
}

/// The usual place of anchor `i` of `number`: in a row along the longer side, from three anchors on in a zigzag.
fn usual(room: &Room<'_>, i: usize, number: usize) -> Option<Point> {
    let inset = room.inset()?;
    let b = room.piece.shape.bounds;
    let (i, n) = (i as i64, number as i64);
    let part = |low: i64, size: i64, times: i64, of: i64| low + (size * times + of / 2) / of;
    let wide = b.width() >= b.height();
    let (long, across) = if wide {
        ((b.left, b.width()), (b.bottom, b.height()))
    } else {
        ((b.bottom, b.height()), (b.left, b.width()))
    };
    let along = part(long.0, long.1, 2 * i + 1, 2 * n);
    let zigzag = match (number >= 3, i % 2) {
        (false, _) => 2,
        (true, 0) => 1,
        (true, _) => 3,
    };
    let off = part(across.0, across.1, zigzag, 4);
    let (x, y) = if wide { (along, off) } else { (off, along) };
    Some(point(
        x.clamp(inset.left, inset.right),
        y.clamp(inset.bottom, inset.top),
    ))
}

/// The free places of a grid over the piece.
struct Grid {
    free: Vec<Point>,
}

impl Grid {
    fn of(room: &Room<'_>) -> Self {
        let Some(inset) = room.inset() else {
            return Self { free: Vec::new() };
        };
        let marks = |low: i64, high: i64| {
            let size = high - low;
            let count = (size / STEP).clamp(1, STEPS_MAX);
            (0..=count).map(move |i| low + size * i / count)
        };
        let free = marks(inset.bottom, inset.top)
            .flat_map(|y| marks(inset.left, inset.right).map(move |x| point(x, y)))
            .filter(|&p| room.free(p))
            .collect();
        Self { free }
    }
}

/// `number` anchors, each at its usual place where that is free, else at the nearest free one, of equal ones the lowest leftmost.
fn relocate(room: &Room<'_>, grid: &Grid, number: usize) -> Vec<Point> {
    let mut placed: Vec<Point> = Vec::with_capacity(number);
    for i in 0..number {
        let Some(target) = usual(room, i, number) else {
            break;
        };
        if room.free(target) && !room.crowded(&placed, target) {
            placed.push(target);
            continue;
        }
        let mut best: Option<(i64, Point)> = None;
        for &p in &grid.free {
            let apart = apart_squared(p, target);
            if best.is_none_or(|(b, _)| apart < b) && !room.crowded(&placed, p) {
                best = Some((apart, p));
            }
        }
        match best {
            Some((_, p)) => placed.push(p),
            None => break,
        }
    }
    placed
}
