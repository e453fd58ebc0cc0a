//! The joints between the pieces on a wall, by their edges: wherever two pieces lie against each other, whether or not they are of one
//! course, one zone or one product. Where a base line steps, a plinth's end lies against facade boards in the middle of their course.

use alloc::collections::BTreeMap;
use alloc::vec::Vec;

use quantity::Length;
use setting_out::{Layout, Piece};

/// An edge along a line, from its lower end to its higher one, with the product of its piece.
type Edge = (i32, i32, usize);

/// The edges on one level or upright line of a wall: of the pieces below it or to its left, and of those on its other side.
#[derive(Default)]
struct Line {
    before: Vec<Edge>,
    beyond: Vec<Edge>,
}

/// Which way a line runs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Way {
    Level,
    Upright,
}

/// The length of the joints of each product's pieces. A joint between two products counts for each by half.
pub(crate) fn lengths(layout: &Layout, products: usize) -> Vec<Length> {
    let mut lines: BTreeMap<(usize, Way, i32), Line> = BTreeMap::new();
    for piece in &layout.pieces {
        add(piece, &mut lines);
    }
    let mut doubled = alloc::vec![0_i64; products];
    for line in lines.into_values() {
        share(line, &mut doubled);
    }
    let halved = |length: i64| Length::from_mm(length as f64 / 2.0);
    doubled.into_iter().map(halved).collect()
}

/// Sorts the straight edges of a piece; a slope lies on the outline of the wall and joins nothing. A piece is walked anticlockwise, so
/// that it lies above an edge to the right and to the left of one upwards.
fn add(piece: &Piece, lines: &mut BTreeMap<(usize, Way, i32), Line>) {
    let corners = piece.outline.iter();
    for (a, b) in corners.zip(piece.outline.iter().cycle().skip(1)) {
        let ((ax, ay), (bx, by)) = ((a.x.0, a.y.0), (b.x.0, b.y.0));
        let (key, from, to, is_beyond) = match (ax == bx, ay == by) {
            (false, true) => ((piece.wall, Way::Level, ay), ax, bx, ax < bx),
            (true, false) => ((piece.wall, Way::Upright, ax), ay, by, by < ay),
            _ => continue,
        };
        let line = lines.entry(key).or_default();
        let side = if is_beyond {
            &mut line.beyond
        } else {
            &mut line.before
        };
        side.push((from.min(to), from.max(to), piece.product));
    }
}

/// Adds what the two sides of a line share to the products of both pieces. Pieces never overlap, so that the edges of a side follow each
/// other.
fn share(mut line: Line, doubled: &mut [i64]) {
    line.before.sort_unstable();
    line.beyond.sort_unstable();
    let (mut before, mut beyond) = (line.before.iter().peekable(), line.beyond.iter().peekable());
    while let (Some(a), Some(b)) = (before.peek(), beyond.peek()) {
        let common = i64::from((a.1.min(b.1) - a.0.max(b.0)).max(0));
        for product in [a.2, b.2] {
            if let Some(length) = doubled.get_mut(product) {
                *length += common;
            }
        }
        if a.1 <= b.1 {
            before.next();
        } else {
            beyond.next();
        }
    }
}
