//! Upright butts between zones: the ends of fire-barrier strips and the rises of a stepped base line. They stand where the survey puts
//! them; the joints of the boards that lie on them and under them keep the stagger from them.

use alloc::collections::BTreeMap;
use alloc::vec::Vec;

use crate::Rules;
use crate::geometry::{Column, Run, Segment, Span, common, joined};
use crate::layout::Rule;
use crate::plan::{Avoid, Course, Plan};

/// The upright edges of boards at one place of a wall: those on the left of it and those on the right.
type Edges = [Vec<Span>; 2];

/// Notes in each course the butts that end at it from below and from above, and keeps its joints clear of them.
pub fn keep_from_butts(plan: &mut Plan, rules: &Rules) {
    let stagger = rules.stagger.0;
    let ends = ends(plan);
    for course in &mut plan.courses {
        let levels = (course.wall, course.lines.lo)..=(course.wall, course.lines.hi);
        for (side, ends) in ends.iter().enumerate() {
            for (&(_, y), places) in ends.range(levels.clone()) {
                let standing = standing(course, side, y);
                for &x in places {
                    let near = standing.iter().filter_map(|s| near(*s, x, stagger));
                    let avoid: Vec<Avoid> = near.collect();
                    if !avoid.is_empty() {
                        course.butts[side].push((x, y));
                        course.avoid.extend(avoid);
                    }
                }
            }
        }
        course.avoid.sort_unstable_by_key(Avoid::order);
        let lengths = course.avoid.iter().map(|a| a.to - a.from);
        course.longest_avoid = lengths.max().unwrap_or(0);
    }
}

/// Butts that end at a level with others that begin at it nearer than the stagger: wall and level, then the places of both.
pub fn too_near_each_other(plan: &Plan, stagger: i32) -> Vec<((usize, i32), [i32; 2])> {
    let [below, above] = ends(plan);
    let mut found = Vec::new();
    for (&at, places) in &below {
        for &over in above.get(&at).into_iter().flatten() {
            let near = places.iter().filter(|x| (*x - over).abs() < stagger);
            found.extend(near.map(|&x| (at, [x, over])));
        }
    }
    found
}

/// What of a stretch, both ends of which belong to it, no joint may stand in because of a butt.
fn near(stretch: Span, x: i32, stagger: i32) -> Option<Avoid> {
    let (from, to) = (
        (x - stagger).max(stretch.lo - 1),
        (x + stagger).min(stretch.hi + 1),
    );
    (from + 1 < to).then_some(Avoid {
        from,
        to,
        core: (x, x),
        reach: stagger,
        rule: Rule::Stagger,
    })
}

/// Where a joint of a course would end at a level, below (0) or above (1), and boards of another course do. A lintel inside a course is
/// no such place: the board beside it goes on past the level.
fn standing(course: &Course, side: usize, y: i32) -> Vec<Span> {
    let mut found: Vec<Span> = Vec::new();
    for run in &course.runs {
        let ends = |x: i32| run.joint(x).any(|s| [s.lo, s.hi][side] == y);
        for column in &run.columns {
            let stands = |s: &Segment| [s.lo, s.hi][side] == [y; 2];
            let middle = i32::midpoint(column.x0, column.x1);
            if course.levels(middle)[side] == y && column.segments.iter().any(stands) {
                found.push(Span {
                    lo: column.x0 + i32::from(!ends(column.x0)),
                    hi: column.x1 - i32::from(!ends(column.x1)),
                });
            }
        }
    }
    joined(found)
}

/// Where butts end, by wall and level: those that end from below (0), those that begin above (1).
fn ends(plan: &Plan) -> [BTreeMap<(usize, i32), Vec<i32>>; 2] {
    let mut zones: BTreeMap<usize, usize> = BTreeMap::new();
    for lane in &plan.lanes {
        *zones.entry(lane.wall).or_default() += 1;
    }
    let several = |course: &&Course| zones.get(&course.wall).is_some_and(|&zones| zones > 1);
    let mut edges: BTreeMap<(usize, i32), Edges> = BTreeMap::new();
    for course in plan.courses.iter().filter(several) {
        for run in &course.runs {
            add_edges(course.wall, run, &mut edges);
        }
    }
    let mut ends = [BTreeMap::new(), BTreeMap::new()];
    for ((wall, x), [mut left, mut right]) in edges {
        left.sort_unstable();
        right.sort_unstable();
        // Butts that follow each other are one.
        for butt in joined(common(&left, &right)) {
            for (ends, y) in ends.iter_mut().zip([butt.hi, butt.lo]) {
                ends.entry((wall, y)).or_insert_with(Vec::new).push(x);
            }
        }
    }
    ends
}

/// The upright edges of a run: at its ends, and where one of two columns goes further down or up than the other.
fn add_edges(wall: usize, run: &Run, edges: &mut BTreeMap<(usize, i32), Edges>) {
    for (i, column) in run.columns.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|i| run.columns.get(i));
        let after = run.columns.get(i + 1);
        let spans = |segments: &[Segment], end: usize| -> Vec<Span> {
            let span = |s: &Segment| Span {
                lo: s.lo[end],
                hi: s.hi[end],
            };
            segments.iter().map(span).collect()
        };
        let beside = |other: Option<&Column>, end: usize| {
            other.map_or_else(Vec::new, |c| spans(&c.segments, end))
        };
        let mut add = |x: i32, side: usize, own: Vec<Span>, other: &[Span]| {
            let bare = own.into_iter().flat_map(|s| without(s, other));
            edges.entry((wall, x)).or_default()[side].extend(bare);
        };
        add(column.x1, 0, spans(&column.segments, 1), &beside(after, 0));
        add(column.x0, 1, spans(&column.segments, 0), &beside(before, 1));
    }
}

/// A span without what others cover of it, which lie one above the other.
fn without(span: Span, others: &[Span]) -> Vec<Span> {
    let mut rest = Vec::new();
    let mut lo = span.lo;
    for other in others {
        rest.push(Span {
            lo,
            hi: other.lo.min(span.hi),
        });
        lo = lo.max(other.hi);
    }
    rest.push(Span { lo, hi: span.hi });
    rest.retain(|s| s.lo < s.hi);
    rest
}
