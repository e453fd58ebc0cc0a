//! A wall as seen from the other side: what the placement does from left to right, it does there from right to left.

use alloc::vec::Vec;
use core::cmp::Ordering;

use facade::{Point, Rectangle};
use quantity::Mm;

use super::{BoardOnWall, Placement, WallToAnchor, ZoneRectangle};

/// A wall the other way round, about the middle of its outline. What it has no place for stays with the wall that it was made of.
pub(super) struct Mirrored {
    /// What x and its image are together.
    axis: Mm,
    outline: Vec<Point>,
    openings: Vec<Rectangle>,
    boards: Vec<BoardOnWall>,
    zones: Vec<ZoneRectangle>,
}

impl Mirrored {
    pub(super) fn of(wall: &WallToAnchor<'_>) -> Self {
        let xs = || wall.outline.iter().map(|p| p.x);
        let axis = xs().min().unwrap_or_default() + xs().max().unwrap_or_default();
        let ring = |points: &[Point]| -> Vec<Point> {
            let mirrored = points.iter().rev();
            mirrored.map(|p| across(axis, *p)).collect()
        };
        let board = |board: &BoardOnWall| BoardOnWall {
            outline: ring(&board.outline),
            holes: board.holes.iter().map(|hole| ring(hole)).collect(),
            number: board.number,
            situation: board.situation,
        };
        let opening = |o: &Rectangle| Rectangle {
            x: axis - o.right(),
            ..*o
        };
        let zone = |z: &ZoneRectangle| ZoneRectangle {
            x_from: axis - z.x_to,
            x_to: axis - z.x_from,
            ..*z
        };
        Self {
            axis,
            outline: ring(wall.outline),
            openings: wall.openings.iter().map(opening).collect(),
            boards: wall.boards.iter().map(board).collect(),
            zones: wall.zones.iter().map(zone).collect(),
        }
    }

    /// The wall with all that has no side.
    pub(super) fn wall<'a>(&'a self, of: &WallToAnchor<'a>) -> WallToAnchor<'a> {
        WallToAnchor {
            outline: &self.outline,
            openings: &self.openings,
            boards: &self.boards,
            zones: &self.zones,
            ..*of
        }
    }

    /// A placement on this wall, put back on the one that it was made of.
    pub(super) fn back(&self, mut placement: Placement) -> Placement {
        for point in &mut placement.points {
            point.at = across(self.axis, point.at);
        }
        placement
    }
}

fn across(axis: Mm, p: Point) -> Point {
    Point {
        x: axis - p.x,
        y: p.y,
    }
}

/// Whether the figures of a wall come before those of another, whatever order and number its boards, openings and zones have, and at whichever
/// corner a ring begins. The numbers of anchors are none of them: with more, a wall keeps its hand.
pub(super) fn comes_before(one: &WallToAnchor<'_>, other: &WallToAnchor<'_>) -> bool {
    let outline = from_least(one.outline).cmp(&from_least(other.outline));
    let decided = outline
        .then_with(|| openings(one).cmp(&openings(other)))
        .then_with(|| boards(one).cmp(&boards(other)))
        .then_with(|| zones(one).cmp(&zones(other)));
    decided == Ordering::Less
}

fn openings(wall: &WallToAnchor<'_>) -> Vec<[Mm; 4]> {
    let openings = wall.openings.iter();
    let mut figures: Vec<_> = openings.map(|o| [o.x, o.y, o.width, o.height]).collect();
    figures.sort_unstable();
    figures
}

/// The edges of a board, its holes and its layer situation.
type BoardFigures = (Vec<Point>, Vec<Vec<Point>>, usize);

fn boards(wall: &WallToAnchor<'_>) -> Vec<BoardFigures> {
    let figures = |board: &BoardOnWall| {
        let mut holes: Vec<Vec<Point>> = board.holes.iter().map(|h| from_least(h)).collect();
        holes.sort_unstable();
        (from_least(&board.outline), holes, board.situation)
    };
    let mut all: Vec<BoardFigures> = wall.boards.iter().map(figures).collect();
    all.sort_unstable();
    all
}

/// Where each zone lies, and its suction by its bits: any order of them will do.
fn zones(wall: &WallToAnchor<'_>) -> Vec<([Mm; 4], u64)> {
    let zones = wall.zones.iter().zip(wall.suctions);
    let mut figures: Vec<_> = zones
        .map(|(z, suction)| {
            let place = [z.x_from, z.x_to, z.y_from, z.y_to];
            (place, suction.as_pa().to_bits())
        })
        .collect();
    figures.sort_unstable();
    figures
}

/// A ring from its least corner on.
fn from_least(ring: &[Point]) -> Vec<Point> {
    let least = ring.iter().enumerate().min_by_key(|(_, p)| **p);
    let mut turned = ring.to_vec();
    turned.rotate_left(least.map_or(0, |(i, _)| i));
    turned
}
