//! Breaches that are left at toothed corners: only such as no choice of whole and half boards avoids, found by trying all.

#[path = "../properties/setting_out/block.rs"]
mod block;
#[allow(dead_code)] // titles are for the table
#[path = "../properties/setting_out/instance.rs"]
mod instance;

use block::Block;
use setting_out::{CornerKind, CornerPieces, Job, Layout, Rule, Wall, set_out};

/// What a course offers at one corner.
struct Stretch {
    bottom: i32,
    top: i32,
    /// Where it ends at the corner, and which way it goes on from there.
    end: i32,
    inward: i32,
    /// From the corner to the first opening or to the far end.
    length: i32,
    whole: i32,
    half: i32,
}

/// The courses of a wall at one of its ends, from bottom to top.
fn stretches(job: &Job, layout: &Layout, wall: usize, right: bool) -> Vec<Stretch> {
    let outline = &job.walls[wall].outline;
    let (least, most) = (
        outline.iter().map(|p| p.x.0).min().unwrap(),
        outline.iter().map(|p| p.x.0).max().unwrap(),
    );
    let mut found = Vec::new();
    for (index, course) in layout.courses.iter().enumerate() {
        if course.wall != wall {
            continue;
        }
        let (end, inward) = if right {
            (most + course.right_extension.0, -1)
        } else {
            (least - course.left_extension.0, 1)
        };
        let own = layout.pieces.iter().filter(|p| p.course == index);
        let sides: Vec<(i32, i32)> = own
            .map(|piece| {
                let xs = || piece.outline.iter().map(|p| p.x.0);
                (xs().min().unwrap(), xs().max().unwrap())
            })
            .collect();
        // From piece to piece, as long as they meet.
        let mut x = end;
        let inwards = |&(a, b): &(i32, i32)| if right { (b, a) } else { (a, b) };
        while let Some((_, next)) = sides.iter().map(inwards).find(|side| side.0 == x) {
            x = next;
        }
        let board = &job.boards[job
            .boards
            .iter()
            .position(|b| b.key == job.walls[wall].zones[course.zone].board)
            .unwrap()];
        if x != end {
            found.push(Stretch {
                bottom: course.bottom.0,
                top: course.top.0,
                end,
                inward,
                length: (x - end).abs(),
                whole: board.length.0,
                half: (board.length.0 - board.kerf.0) / 2,
            });
        }
    }
    found.sort_by_key(|s| s.bottom);
    found
}

/// The least breaches that corner pieces take, by trying whole, half and neither in every course. Neither is one breach and
/// agrees with everything; a rest too narrow for a piece and a joint too near the one below are one each.
fn least_breaches(job: &Job, stretches: &[Stretch]) -> usize {
    // For each choice of the course below: breaches so far, and the place of its joint.
    let mut below: Vec<(usize, Option<i32>)> = vec![(0, None)];
    let mut line = i32::MIN;
    for own in stretches {
        let mut here: Vec<(usize, Option<i32>)> = Vec::new();
        for width in [Some(own.whole), Some(own.half), None] {
            let rest = width.map_or(0, |w| own.length - w);
            if rest < 0 {
                continue;
            }
            let narrow = (1..job.rules.min_piece_width.0).contains(&rest);
            let breaches = usize::from(narrow) + usize::from(width.is_none());
            let joint = (rest > 0).then(|| own.end + own.inward * (own.length - rest));
            let least = below.iter().map(|(so_far, under)| {
                let clash = own.bottom == line
                    && joint
                        .zip(*under)
                        .is_some_and(|(a, b)| (a - b).abs() < job.rules.stagger.0);
                so_far + usize::from(clash)
            });
            here.push((least.min().unwrap() + breaches, joint));
        }
        (below, line) = (here, own.top);
    }
    below.iter().map(|b| b.0).min().unwrap()
}

/// The same for all toothed corners of a building.
fn forced(job: &Job, layout: &Layout) -> usize {
    assert_eq!(job.rules.corner_pieces, CornerPieces::WholeOrHalf);
    let ends = job.corners.iter().filter(|c| c.kind == CornerKind::Salient);
    let wall = |id: &str| job.walls.iter().position(|w: &Wall| w.id == id).unwrap();
    ends.flat_map(|c| [(wall(&c.right_end_of), true), (wall(&c.left_end_of), false)])
        .map(|(wall, right)| least_breaches(job, &stretches(job, layout, wall, right)))
        .sum()
}

#[test]
fn only_forced_breaches_are_left() {
    for case in instance::all() {
        let layout = set_out(&case.job).unwrap_or_else(|faults| panic!("{faults:?}"));
        let least = forced(&case.job, &layout);
        assert!(
            layout.breaches.len() == least
                && layout.breaches.iter().all(|b| b.rule == Rule::CornerPiece),
            "{}: {least} forced, {:#?}",
            case.name,
            layout.breaches
        );
    }
}

/// Whole and half boards come by turns through all the courses of a corner. Where they fall out of turn half way up, a piece that
/// is neither stands between, and the courses above it have to be turned together.
#[test]
fn courses_of_a_corner_that_fell_out_of_turn_are_turned_together() {
    for [long, short, storeys] in [[2, 1, 4], [4, 1, 5], [5, 1, 5], [3, 2, 6], [5, 2, 4]] {
        let block = Block {
            long,
            short,
            storeys,
        };
        let job = block.job();
        let layout = set_out(&job).unwrap_or_else(|faults| panic!("{faults:?}"));
        assert_eq!(forced(&job, &layout), 0, "{block:?}");
        assert!(
            layout.breaches.is_empty(),
            "{block:?}: {:#?}",
            layout.breaches
        );
    }
}
