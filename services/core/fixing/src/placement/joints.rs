//! Anchors at the T-junctions of boards.

use alloc::vec::Vec;

use facade::Point;
use quantity::Mm;

use super::plane::{Bounds, Cells, apart_squared};
use super::{Piece, Surroundings};
use crate::anchors::Pattern;

/// An anchor in a joint.
pub(super) struct Joint {
    pub at: Point,
    /// Index of the piece it counts for.
    pub owner: usize,
}

/// The T-junctions that hold an anchor, from below and from the left.
///
/// A T-junction is a corner of boards where all four quarters around are covered by three boards or more of one layer situation. It counts for the
/// board left of the vertical joint, and is used where that board has two anchors or more.
pub(super) fn place(around: &Surroundings<'_>, pieces: &[Piece<'_>], range: Bounds) -> Vec<Joint> {
    if around.wall.pattern == Pattern::FieldOnly {
        return Vec::new();
    }
    let mut cells = Cells::over(range, 1_000);
    for (i, piece) in pieces.iter().enumerate() {
        cells.add(piece.shape.bounds, i as u32);
    }
    let mut corners: Vec<(Mm, Mm)> = pieces
        .iter()
        .flat_map(|p| p.board.outline.iter().map(|c| (c.y, c.x)))
        .collect();
    corners.sort_unstable();
    corners.dedup();
    let spacing = i64::from(around.wall.distances.spacing.0);
    let mut placed: Vec<Joint> = Vec::new();
    let mut placed_cells = Cells::over(range, 500);
    let mut scratch = Vec::new();
    for (y, x) in corners {
        let at = Point { x, y };
        let Some(owner) = owner(pieces, &cells, at) else {
            continue;
        };
        let here = Bounds::of_segment((at, at));
        let near = around.near(here, &mut scratch);
        if !around.clear(&near, at) {
            continue;
        }
        placed_cells.near(here.grown(spacing), &mut scratch);
        let crowded = scratch
            .iter()
            .filter_map(|&i| placed.get(i as usize))
            .any(|j| apart_squared(j.at, at) < spacing * spacing);
        if crowded {
            continue;
        }
        placed_cells.add(here, placed.len() as u32);
        placed.push(Joint { at, owner });
    }
    placed
}

/// The piece that a corner's anchor counts for, where the corner is a T-junction.
fn owner(pieces: &[Piece<'_>], cells: &Cells, at: Point) -> Option<usize> {
    let quarter = |dx: i32, dy: i32| {
        let p = Point {
            x: at.x + Mm(dx),
            y: at.y + Mm(dy),
        };
        cells
            .at(p)
            .iter()
            .map(|&i| i as usize)
            .find(|&i| pieces.get(i).is_some_and(|piece| piece.shape.holds(p, 1)))
    };
    let (upper_left, upper_right) = (quarter(-1, 1)?, quarter(1, 1)?);
    let (lower_left, lower_right) = (quarter(-1, -1)?, quarter(1, -1)?);
    // A vertical joint ends here: from above, from below, or from both sides.
    let (above, below) = (upper_left != upper_right, lower_left != lower_right);
    let across = upper_left != lower_left && upper_right != lower_right;
    let owner = match (above, below) {
        (true, false) => upper_left,
        (false, true) => lower_left,
        (true, true) if across => upper_left,
        _ => return None,
    };
    let all = [upper_left, upper_right, lower_left, lower_right];
    let situation = |i: usize| pieces.get(i).map(|p| p.board.situation);
    let alike = all.iter().all(|&i| situation(i) == situation(owner));
    let enough = pieces.get(owner).is_some_and(|p| p.per_board >= 2);
    (across && alike && enough).then_some(owner)
}
