//! A wall as seen from the other side: what the placement does from left to right, it does there from right to left.

use alloc::vec::Vec;

use facade::{Point, Rectangle};
use quantity::{Mm, WindPressure};

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
            ..board.clone()
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

/// The figures of a wall, whatever order and number its boards, openings and zones have, and at whichever corner a ring begins. The numbers of
/// anchors are none of them: with more, a wall keeps its hand.
#[derive(PartialEq, PartialOrd)]
pub(super) struct Figures {
    outline: Vec<Point>,
    openings: Vec<(Mm, Mm, Mm, Mm)>,
    boards: Vec<(Vec<Point>, Vec<Vec<Point>>, usize)>,
    zones: Vec<([Mm; 4], WindPressure)>,
}

impl Figures {
    pub(super) fn of(wall: &WallToAnchor<'_>) -> Self {
        let mut openings: Vec<(Mm, Mm, Mm, Mm)> = wall
            .openings
            .iter()
            .map(|o| (o.x, o.y, o.width, o.height))
            .collect();
        openings.sort_unstable();
        let board = |board: &BoardOnWall| {
            let mut holes: Vec<Vec<Point>> = board.holes.iter().map(|h| from_least(h)).collect();
            holes.sort_unstable();
            (from_least(&board.outline), holes, board.situation)
        };
        let mut boards: Vec<_> = wall.boards.iter().map(board).collect();
        boards.sort_unstable();
        let zone = |(z, suction): (&ZoneRectangle, &WindPressure)| {
            ([z.x_from, z.x_to, z.y_from, z.y_to], *suction)
        };
        let mut zones: Vec<_> = wall.zones.iter().zip(wall.suctions).map(zone).collect();
        zones.sort_by(|a, b| {
            let suction = a.1.as_pa().total_cmp(&b.1.as_pa());
            a.0.cmp(&b.0).then(suction)
        });
        Self {
            outline: from_least(wall.outline),
            openings,
            boards,
            zones,
        }
    }
}

/// A ring from its least corner on.
fn from_least(ring: &[Point]) -> Vec<Point> {
    let least = ring.iter().enumerate().min_by_key(|(_, p)| **p);
    let mut turned = ring.to_vec();
    turned.rotate_left(least.map_or(0, |(i, _)| i));
    turned
}
