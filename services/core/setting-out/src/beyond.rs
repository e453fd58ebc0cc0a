//! What lies below and above a course, so that a joint can be weighed by what it leaves to the courses beside it.

use alloc::collections::BTreeSet;
use alloc::vec::Vec;

use crate::Rules;
use crate::geometry::{Column, Segment, Span, joined};
use crate::plan::{Course, Plan};

/// What lies on one side of a course: where it stands against the course line, where it may have no joint, and where its
/// runs end. All are sorted, stretches that meet are one.
#[derive(Clone, Debug, Default)]
pub struct Beyond {
    pub rests: Vec<Span>,
    pub shut: Vec<Span>,
    pub ends: Vec<i32>,
}

impl Beyond {
    /// How long the piece would have to be that lies over joints from one place to another, nearer to each other than twice
    /// the stagger: between them it can have no joint, nor beside them nearer than the stagger or where none may be. Nothing
    /// where it could end over an opening.
    pub fn bridge(&self, from: i32, to: i32, stagger: i32) -> Option<i32> {
        let (mut lo, mut hi) = (from - stagger, to + stagger);
        if let Some(shut) = self.shut.get(self.shut.partition_point(|s| s.hi <= lo)) {
            lo = lo.min(shut.lo);
        }
        let before = self.shut[..self.shut.partition_point(|s| s.lo < hi)].last();
        if let Some(shut) = before {
            hi = hi.max(shut.hi);
        }
        let rest = self.rests.get(self.rests.partition_point(|r| r.hi < to))?;
        let within = |x: i32| {
            let inside = x.clamp(rest.lo, rest.hi);
            (inside == x || self.ends.binary_search(&inside).is_ok()).then_some(inside)
        };
        Some(within(hi)? - within(lo)?)
    }
}

/// Where a course can have no joint because the piece at an end of a run would be too narrow.
fn shut_ends<'a>(course: &'a Course, rules: &'a Rules) -> impl Iterator<Item = Span> + 'a {
    let least = |run| course.least_widths(run, rules);
    course.runs.iter().flat_map(move |run| {
        let [left, right] = least(run);
        let span = |lo: i32, hi: i32| Span { lo, hi };
        [
            span(run.x0, (run.x0 + left).min(run.x1)),
            span((run.x1 - right).max(run.x0), run.x1),
        ]
    })
}

/// Notes in each course what lies below and above.
pub fn look_beyond(plan: &mut Plan, rules: &Rules) {
    for index in 0..plan.courses.len() {
        let course = &plan.courses[index];
        let side = |others: &[usize], side: usize| {
            let others = others.iter().map(|&c| &plan.courses[c]);
            let avoid = others.clone().flat_map(|o| &o.avoid);
            let avoid = avoid.map(|a| Span {
                lo: a.from,
                hi: a.to,
            });
            let shut_ends = others.clone().flat_map(|o| shut_ends(o, rules));
            let runs = others.clone().flat_map(|o| &o.runs);
            let ends: BTreeSet<i32> = runs.flat_map(|r| [r.x0, r.x1]).collect();
            let rests = others.flat_map(|o| {
                let columns = o.runs.iter().flat_map(|r| &r.columns);
                columns.filter(|c| meets(course, side, o, c))
            });
            Beyond {
                rests: joined(rests.map(|c| Span { lo: c.x0, hi: c.x1 }).collect()),
                shut: joined(avoid.chain(shut_ends).collect()),
                ends: ends.into_iter().collect(),
            }
        };
        let beyond = [side(&course.below, 0), side(&course.above, 1)];
        plan.courses[index].beyond = beyond;
    }
}

/// Whether a column of a course beside this one, below or above, stands against it.
fn meets(course: &Course, side: usize, beside: &Course, column: &Column) -> bool {
    let middle = i32::midpoint(column.x0, column.x1);
    let level = course.levels(middle)[side];
    let touches = |s: &Segment| s.lo.contains(&level) || s.hi.contains(&level);
    beside.levels(middle)[1 - side] == level && column.segments.iter().any(touches)
}
