//! The order in which a job's walls are looked at: by what they are and where they meet, so that a list of the same walls in another
//! order gets the same boards and cuts.

use alloc::vec::Vec;

use crate::{CornerKind, Job, Runner};

/// A wall on the way along its neighbours: its figures, and how it meets the next.
type Step<'a> = (&'a [i32], [i32; 2]);

/// The walls of a job in an order that no list gives them: along corners from left to right, from the end that has no neighbour or from
/// where the figures come first; several such rows by their figures too.
///
/// `figures` tells walls apart; alike ones that have alike neighbours may change places.
pub fn walls_in_order(job: &Job, figures: &[Vec<i32>]) -> Vec<usize> {
    let position = |id: &str| job.walls.iter().position(|w| w.id == id);
    let mut next = alloc::vec![None; job.walls.len()];
    let mut has_left = alloc::vec![false; job.walls.len()];
    for corner in &job.corners {
        let ends = position(&corner.right_end_of).zip(position(&corner.left_end_of));
        if let Some((from, to)) = ends {
            let inside = i32::from(corner.kind == CornerKind::ReEntrant);
            let left_first = i32::from(corner.first_to_run == Runner::LeftEnd);
            next[from] = Some((to, [inside, left_first]));
            has_left[to] = true;
        }
    }
    let mut rows: Vec<Vec<usize>> = Vec::new();
    let mut met = alloc::vec![false; job.walls.len()];
    let starts = (0..job.walls.len()).filter(|w| !has_left[*w]);
    for start in starts.chain(0..job.walls.len()) {
        let mut row = Vec::new();
        let mut at = Some(start);
        while let Some(wall) = at.filter(|w| !met[*w]) {
            met[wall] = true;
            row.push(wall);
            at = next[wall].map(|(to, _)| to);
        }
        if !row.is_empty() {
            rows.push(row);
        }
    }
    let steps = |row: &[usize]| -> Vec<Step<'_>> {
        let step = |wall: &usize| {
            let meets = next[*wall].map_or([-1, -1], |(_, meets)| meets);
            (figures[*wall].as_slice(), meets)
        };
        row.iter().map(step).collect()
    };
    for row in &mut rows {
        if has_left[row[0]] {
            let turns = (0..row.len()).map(|by| {
                let mut turned = row.clone();
                turned.rotate_left(by);
                turned
            });
            if let Some(first) = turns.min_by_key(|turned| steps(turned)) {
                *row = first;
            }
        }
    }
    rows.sort_by_key(|row| steps(row));
    rows.into_iter().flatten().collect()
}
