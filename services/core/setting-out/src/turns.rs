//! Which wall runs past at a corner, course by course.
//!
//! Courses of the two walls that lie at one height share the corner: one of them runs past, the other stops. Where their lines
//! differ, as beside unlike plinths, all courses that overlap from one to the next are taken together: one wall runs past them
//! all, so that no two boards ask for the same place, and what is not toothed there is told.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;

use quantity::Mm;

use crate::geometry::{Rect, Segment, Span, Toothing, common, joined};
use crate::plan::{Course, Lane, Plan, around, board_thickness, shared_end};
use crate::{Corner, CornerKind, Job, Opening, Runner, Wall};

/// What one course does at one end of its wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Turn {
    /// How many times the walls took turns below it: by turns the one and the other runs past.
    pub count: usize,
    /// The thickness of the other wall's boards there, if it has any.
    pub against: Option<Mm>,
}

/// A stretch of a corner over which the courses of its walls do not lie at equal heights.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Untoothed {
    /// Index in the job.
    pub corner: usize,
    pub span: Span,
}

/// Where a course of one of the two walls reaches the corner.
#[derive(Clone, Copy)]
struct Part {
    /// 0 of the wall whose right end is at the corner, 1 of the other.
    wall: usize,
    lane: usize,
    line: usize,
    span: Span,
}

impl Part {
    /// The end of its wall that is at the corner: the right end of the one meets the left end of the other.
    fn side(&self) -> usize {
        1 - self.wall
    }
    /// Whether both lie at some height.
    fn shares(&self, other: &Self) -> bool {
        self.span.lo < other.span.hi && other.span.lo < self.span.hi
    }
}

/// A corner by the places of its walls in a list: the one whose right end is there, then the one whose left end is.
pub type Meeting = (usize, usize, CornerKind);

/// Which wall should run past first at each corner. What is told looks the same from both sides, so that a building and its mirror image
/// get the same wherever their walls differ in figures or in what they meet.
///
/// At one corner it is the shorter wall; of walls of one length the one whose figures come first. A wall no wider than a board runs past at
/// one of its corners and stops at the other in each course, unless corners that are settled already forbid it: if it ran at both and then
/// stopped at both, its courses would differ by the depth of two boards, and the narrower one may be too narrow for any piece.
#[must_use]
pub fn first_to_run(walls: &[Wall], corners: &[Meeting], board: Mm) -> Vec<Runner> {
    let ranks = ranks(walls, corners);
    let preferred: Vec<Runner> = corners
        .iter()
        .map(|(right, left, _)| {
            let of = |wall: usize, end: Runner| (seen_from(&walls[wall], end), ranks[wall]);
            if of(*left, Runner::LeftEnd) < of(*right, Runner::RightEnd) {
                Runner::LeftEnd
            } else {
                Runner::RightEnd
            }
        })
        .collect();
    let mut runners = preferred.clone();
    // Corners that hang together through walls that are held: each with its set.
    let mut sets: Vec<usize> = (0..corners.len()).collect();
    let mut narrow: Vec<usize> = (0..walls.len())
        .filter(|w| around(&walls[*w]).width() <= board.0)
        .collect();
    narrow.sort_by_key(|w| ranks[*w]);
    for wall in narrow {
        let at_left = corners.iter().position(|(_, left, _)| *left == wall);
        let at_right = corners.iter().position(|(right, ..)| *right == wall);
        let (Some(at_left), Some(at_right)) = (at_left, at_right) else {
            continue;
        };
        let [one, other] = [sets[at_left], sets[at_right]];
        let runs = [
            runners[at_left] == Runner::LeftEnd,
            runners[at_right] == Runner::RightEnd,
        ];
        // Settled already, or as it should be.
        if one != other && runs[0] == runs[1] {
            // What speaks against turning all corners of a set: how many would then have the longer wall first, less those that would
            // not; then what meets there.
            let against = |set: usize| {
                let own = (0..corners.len()).filter(|at| sets[*at] == set);
                let more = |at: usize| if runners[at] == preferred[at] { 1 } else { -1 };
                let mut met: Vec<_> = own.clone().map(|at| met(&corners[at], &ranks)).collect();
                met.sort_unstable();
                (own.map(more).sum::<i32>(), met)
            };
            let turned = if against(other) < against(one) {
                other
            } else {
                one
            };
            for (runner, _) in runners
                .iter_mut()
                .zip(&sets)
                .filter(|(_, own)| **own == turned)
            {
                *runner = runner.other();
            }
        }
        join(&mut sets, one, other);
    }
    runners
}

/// What meets at a corner, from whichever side it is looked at.
fn met((right, left, kind): &Meeting, ranks: &[usize]) -> (i32, [usize; 2]) {
    let mut walls = [ranks[*right], ranks[*left]];
    walls.sort_unstable();
    (i32::from(*kind == CornerKind::ReEntrant), walls)
}

/// Ranks of walls by their figures, shortest first, and then by what they meet and what that meets, from either side alike. Walls of one
/// rank cannot be told apart by their neighbours.
fn ranks(walls: &[Wall], corners: &[Meeting]) -> Vec<usize> {
    let own = |wall: &Wall| {
        let ends = [Runner::RightEnd, Runner::LeftEnd];
        ends.map(|end| seen_from(wall, end)).into_iter().min()
    };
    let mut ranks = ranked(&walls.iter().map(own).collect::<Vec<_>>());
    for _ in 0..walls.len().min(ROUNDS) {
        let keys: Vec<_> = (0..walls.len())
            .map(|wall| {
                let mut met: Vec<_> = corners
                    .iter()
                    .filter(|(right, left, _)| *right == wall || *left == wall)
                    .map(|corner| met(corner, &ranks))
                    .collect();
                met.sort_unstable();
                (ranks[wall], met)
            })
            .collect();
        ranks = ranked(&keys);
    }
    ranks
}

/// So far neighbours are looked at, along the walls.
const ROUNDS: usize = 16;

/// The place of each key among all that differ.
fn ranked<T: Ord>(keys: &[T]) -> Vec<usize> {
    let all: BTreeSet<&T> = keys.iter().collect();
    let places: BTreeMap<&T, usize> = all.into_iter().zip(0..).collect();
    keys.iter()
        .map(|key| places.get(key).copied().unwrap_or(0))
        .collect()
}

fn join(sets: &mut [usize], one: usize, other: usize) {
    sets.iter_mut()
        .filter(|set| **set == other)
        .for_each(|set| *set = one);
}

/// The figures of a wall, each part with its distance from a corner.
type Figures = Vec<(i32, i32, i32, i32)>;

/// The figures of a wall, with distances from the corner at one of its ends.
fn seen_from(wall: &Wall, end: Runner) -> Figures {
    let limits = around(wall);
    let from = |x: i32| match end {
        Runner::RightEnd => limits.x1 - x,
        Runner::LeftEnd => x - limits.x0,
    };
    let mut points: Vec<_> = wall
        .outline
        .iter()
        .map(|p| (from(p.x.0), p.y.0, 0, 0))
        .collect();
    points.sort_unstable();
    let opening = |o: &Opening| {
        let near = from(o.corner.x.0).min(from((o.corner.x + o.width).0));
        (near, o.corner.y.0, o.width.0, o.height.0)
    };
    let mut openings: Vec<_> = wall.openings.iter().map(opening).collect();
    openings.sort_unstable();
    let mut seen = alloc::vec![(limits.width(), 0, 0, 0)];
    seen.extend(points);
    seen.extend(openings);
    seen
}

/// Settles for every course who runs past at its ends.
pub fn take_turns(job: &Job, lanes: &mut [Lane]) {
    for lane in lanes.iter_mut() {
        let courses = lane.lines.len().saturating_sub(1);
        lane.turns = [0, 1].map(|_| alloc::vec![Turn::default(); courses]);
    }
    for corner in &job.corners {
        let groups = groups(parts(job, lanes, corner));
        for (count, group) in groups.iter().enumerate() {
            for part in group {
                let others = group.iter().filter(|o| o.wall != part.wall);
                let thickness = |o: &Part| board_thickness(job, &lanes[o.lane]);
                let against = others.map(thickness).max();
                lanes[part.lane].turns[part.side()][part.line] = Turn { count, against };
            }
        }
    }
}

/// The stretches of corners that are not toothed though boards of both walls meet there.
pub fn untoothed(job: &Job, plan: &Plan) -> Vec<Untoothed> {
    let place = |c: &Course| (c.wall, c.zone, c.lines.lo);
    let courses: BTreeMap<_, &Course> = plan.courses.iter().map(|c| (place(c), c)).collect();
    let boards_of = |part: &Part| {
        let lane = &plan.lanes[part.lane];
        let bottom = lane.lines[part.line].max(lane.bottom);
        let course = courses.get(&(lane.wall, lane.zone, bottom));
        let limits = around(&job.walls[lane.wall]);
        let ends = course.map(|c| end_boards(c, part.side(), limits));
        let both = ends.map_or_else(Vec::new, |ends| common(&ends, &[part.span]));
        let part = *part;
        both.into_iter().map(move |span| Part { span, ..part })
    };
    let mut untoothed = Vec::new();
    for (index, corner) in job.corners.iter().enumerate() {
        for group in groups(parts(job, &plan.lanes, corner)) {
            let laid: Vec<Part> = group.iter().flat_map(boards_of).collect();
            let meets = |p: &&Part| laid.iter().any(|o| o.wall != p.wall && p.shares(o));
            let meeting = |wall: usize| {
                let own = laid.iter().filter(|p| p.wall == wall).filter(meets);
                own.map(|p| (p.lane, p.line)).collect::<BTreeSet<_>>().len()
            };
            if meeting(0).max(meeting(1)) > 1 {
                let lo = group.iter().map(|p| p.span.lo).min();
                let hi = group.iter().map(|p| p.span.hi).max();
                untoothed.extend(lo.zip(hi).map(|(lo, hi)| Untoothed {
                    corner: index,
                    span: Span { lo, hi },
                }));
            }
        }
    }
    untoothed
}

/// The heights at which boards of a course end where it ends at a corner: before an inside corner the board of another may leave none.
fn end_boards(course: &Course, side: usize, limits: Rect) -> Vec<Span> {
    let end = [
        limits.x0 - course.extension[0],
        limits.x1 + course.extension[1],
    ][side];
    let mut columns = course.runs.iter().flat_map(|run| &run.columns);
    let column = columns.find(|c| [c.x0, c.x1][side] == end);
    let segments = column.into_iter().flat_map(|c| &c.segments);
    let span = |s: &Segment| Span {
        lo: s.lo[side],
        hi: s.hi[side],
    };
    segments.map(span).filter(|s| s.lo < s.hi).collect()
}

/// How near to a corner boards of its two walls are at it. Before an inside corner the boards of each wall take the other's place as far as
/// they are thick: what ends there at a window, a step or the end of a strip is in their way though it does not reach the end.
fn depths(job: &Job, lanes: &[Lane], corner: &Corner) -> [i32; 2] {
    let depth = |other: &str| {
        let of = |lane: &&Lane| job.walls[lane.wall].id == other;
        let own = lanes.iter().filter(of);
        let deep = own.map(|lane| board_thickness(job, lane) + job.walls[lane.wall].bed);
        // What ends at the other's face meets it.
        1 + deep.max().map_or(0, |mm| mm.0)
    };
    match corner.kind {
        CornerKind::Salient => [1; 2],
        CornerKind::ReEntrant => [depth(&corner.left_end_of), depth(&corner.right_end_of)],
    }
}

/// The heights of a course at which a lane stands anywhere between two places, from the bottom up.
fn solid_within(lane: &Lane, (from, to): (i32, i32), course: Span) -> Vec<Span> {
    if to - from == 1 {
        return lane.shape.at((from, to), course);
    }
    let columns = lane.shape.band(course, &Toothing::default());
    let within = columns.iter().filter(|c| c.x0 < to && from < c.x1);
    let parts = within.flat_map(|c| &c.segments);
    let parts = parts.filter_map(|s| s.clip(from, to));
    let span = |s: Segment| Span {
        lo: s.bottom(),
        hi: s.top(),
    };
    joined(parts.map(span).collect())
}

/// What of both walls' courses reaches a corner, from the bottom up.
fn parts(job: &Job, lanes: &[Lane], corner: &Corner) -> Vec<Part> {
    let shared = shared_end(job, corner);
    let depths = depths(job, lanes, corner);
    let mut parts = Vec::new();
    for (wall, id) in [&corner.right_end_of, &corner.left_end_of]
        .into_iter()
        .enumerate()
    {
        let own = |lane: &&(usize, &Lane)| job.walls[lane.1.wall].id == *id;
        for (index, lane) in lanes.iter().enumerate().filter(|l| own(&l)) {
            let limits = around(&job.walls[lane.wall]);
            let end = match wall {
                0 => (limits.x1 - depths[0], limits.x1),
                _ => (limits.x0, limits.x0 + depths[1]),
            };
            for (line, pair) in lane.lines.windows(2).enumerate() {
                let course = Span {
                    lo: pair[0].max(lane.bottom),
                    hi: pair[1].min(lane.top),
                };
                if course.lo >= course.hi {
                    continue;
                }
                for solid in solid_within(lane, end, course) {
                    let clipped = shared.iter().map(|s| Span {
                        lo: s.lo.max(solid.lo),
                        hi: s.hi.min(solid.hi),
                    });
                    parts.extend(clipped.filter(|s| s.lo < s.hi).map(|span| Part {
                        wall,
                        lane: index,
                        line,
                        span,
                    }));
                }
            }
        }
    }
    parts.sort_by_key(|p| (p.span, p.wall));
    parts
}

/// Courses that share heights, together.
fn groups(parts: Vec<Part>) -> Vec<Vec<Part>> {
    let mut groups: Vec<Vec<Part>> = Vec::new();
    for part in parts {
        let joins = |group: &Vec<Part>| {
            group.iter().any(|p| {
                let same = (p.wall, p.lane, p.line) == (part.wall, part.lane, part.line);
                same || p.shares(&part)
            })
        };
        // All from the first that it joins on: they lie between.
        let first = groups.iter().position(joins).unwrap_or(groups.len());
        let mut joined: Vec<Part> = groups.drain(first..).flatten().collect();
        joined.push(part);
        groups.push(joined);
    }
    groups
}
