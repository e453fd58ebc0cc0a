//! Steps of the base line: where plinth and facade boards, or a strip, meet inside a course instead of on a course line.

use alloc::collections::BTreeMap;
use alloc::vec::Vec;

use crate::geometry::{Rect, Run};
use crate::plan::{Course, Plan, around, steps, strip};
use crate::run::nearest;
use crate::{Job, ZoneExtent};

/// A level stretch of the base line inside a course: what lies on its other side meets the course there, off the course line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    pub from: i32,
    pub to: i32,
    pub level: i32,
}

impl Course {
    /// The level at which boards below and above meet the course over `x`.
    pub fn levels(&self, x: i32) -> [i32; 2] {
        let over = |side: usize| {
            let steps = self.steps[side].iter();
            let steps = steps.filter(move |s| s.from <= x && x <= s.to);
            steps.map(|s| s.level)
        };
        // On the edge of a step a joint ends with the shorter of the pieces beside it.
        [
            over(0).max().unwrap_or(self.lines.lo),
            over(1).min().unwrap_or(self.lines.hi),
        ]
    }
    /// Whether a course below (0) or above (1) meets this one nowhere but on the course line.
    pub fn meets_on_the_line(&self, side: usize, beside: &Self) -> bool {
        self.steps[side].is_empty() && beside.steps[1 - side].is_empty()
    }
    /// Whether a joint at `x` of a course below (0) or above (1) ends at this one. On the edge of a step it does where this one
    /// begins at its level to either hand.
    pub fn meets(&self, side: usize, beside: &Self, x: i32) -> bool {
        let level = beside.levels(x)[1 - side];
        [x - 1, x + 1]
            .iter()
            .any(|x| self.levels(*x)[side] == level)
    }
    /// How far a joint at `x` is from the nearest of others, sorted, that end at the course below (0) or above (1) it. At a step only
    /// those count that end at the same level.
    pub fn nearest_beside(&self, side: usize, joints: &[i32], x: i32) -> Option<i32> {
        if self.steps[side].is_empty() {
            return nearest(joints, x);
        }
        let level = |x: i32| self.levels(x)[side];
        let alike = joints.iter().filter(|at| level(**at) == level(x));
        alike.map(|at| (at - x).abs()).min()
    }
    /// Whether a joint of a run at `x` reaches the boards below and above.
    pub fn touches(&self, run: &Run, x: i32) -> [bool; 2] {
        let levels = self.levels(x);
        run.joint(x).fold([false; 2], |[down, up], s| {
            [down || s.lo == levels[0], up || s.hi == levels[1]]
        })
    }
}

/// Links plinth courses with courses of facade boards or of a strip that stand on them at a step of the base line, within one of
/// the two or within both.
pub fn link_at_steps(job: &Job, plan: &mut Plan) {
    let extent = |course: &Course| job.walls[course.wall].zones[course.zone].extent;
    let (plinths, others): (Vec<usize>, Vec<usize>) =
        (0..plan.courses.len()).partition(|&c| extent(&plan.courses[c]) == ZoneExtent::Plinth);
    let mut of_walls: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for lower in plinths {
        let wall = plan.courses[lower].wall;
        of_walls.entry(wall).or_default().push(lower);
    }
    let mut met: Vec<([usize; 2], Step)> = Vec::new();
    for upper in others {
        let above = &plan.courses[upper];
        let Some(plinth) = of_walls.get(&above.wall) else {
            continue;
        };
        let wall = &job.walls[above.wall];
        let limits = around(wall);
        let strip = strip(extent(above), limits);
        let step = |s: Rect| Step {
            from: strip.map_or(s.x0, |r| r.x0.max(s.x0)),
            to: strip.map_or(s.x1, |r| r.x1.min(s.x1)),
            level: s.y1,
        };
        let steps: Vec<Step> = steps(wall, limits).into_iter().map(step).collect();
        for &lower in plinth {
            let below = &plan.courses[lower];
            let on_lines = below.lines.hi == above.lines.lo;
            let meets = |s: &Step| {
                s.from < s.to
                    && (below.lines.lo < s.level && s.level <= below.lines.hi)
                    && (above.lines.lo <= s.level && s.level < above.lines.hi)
                    && !(on_lines && s.level == above.lines.lo)
            };
            let here = steps.iter().copied().filter(meets);
            met.extend(here.map(|step| ([lower, upper], step)));
        }
    }
    for ([lower, upper], step) in met {
        let lines = [plan.courses[lower].lines.hi, plan.courses[upper].lines.lo];
        if step.level != lines[0] {
            plan.courses[lower].steps[1].push(step);
        }
        if step.level != lines[1] {
            plan.courses[upper].steps[0].push(step);
        }
        if !plan.courses[lower].above.contains(&upper) {
            plan.courses[lower].above.push(upper);
            plan.courses[upper].below.push(lower);
        }
    }
}
