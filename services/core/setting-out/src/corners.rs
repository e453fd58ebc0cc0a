//! Toothed corners: which courses begin with a whole board there and which with a half one.
//!
//! Courses hang together through their stagger: one alone can rarely change from one to the other. So the widths of all
//! corner pieces at one end of a wall, from bottom to top and through all zones, are chosen in one go.

use alloc::vec::Vec;

use crate::CornerPieces;
use crate::plan::Course;
use crate::run::{Pains, half};
use crate::search::{Search, Section, add_section};

/// Which courses of a corner are laid anew, to so many boards from the end.
const EXTENTS: [(Extent, i32); 5] = [
    (Extent::Turned, 3),
    (Extent::Turned, 8),
    (Extent::All, 1),
    (Extent::All, 3),
    FARTHEST,
];
/// Tried only where no rule would be broken afterwards: it undoes much that was gained.
const FARTHEST: (Extent, i32) = (Extent::All, 8);
/// What a breach weighs against the leaning, which only decides between equals.
const BREACH: i64 = 1000;

/// What decides between widths that break equally few rules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Leaning {
    /// As the pieces are laid now.
    AsLaid,
    /// A whole board where the course runs past the other wall, half a board where it stops.
    WholeRuns,
    /// The other way round.
    HalfRuns,
}

/// Which courses of a corner are laid anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Extent {
    /// Those that are to have another corner piece: often the few above or below the place where whole and half boards fall out of
    /// turn.
    Turned,
    All,
}

/// A width that the corner piece of a course could have.
#[derive(Clone, Copy, Debug)]
struct Choice {
    width: i32,
    /// Its inner joint, if the run goes on.
    joint: Option<i32>,
    cost: i64,
    /// Whether it is laid now.
    laid: bool,
}

/// A course at a corner, with what its corner piece could be.
struct Rung {
    course: usize,
    choices: Vec<Choice>,
}

impl Search<'_> {
    /// Wants widths of corner pieces at each corner that could be lawful, but is not if whole and half boards come by turns,
    /// with the one or with the other in courses that run past: each course alone would find that out too late.
    pub fn agree_corners(&mut self) {
        for wall in 0..self.job.walls.len() {
            for side in 0..2 {
                let courses = self.corner(wall, side);
                let ways = [Leaning::WholeRuns, Leaning::HalfRuns].map(|leaning| {
                    let rungs = self.rungs(side, &courses, leaning);
                    (
                        self.cost_of(&rungs, |c| c.cost % BREACH),
                        self.ladder(&rungs),
                    )
                });
                let broken = ways.iter().any(|way| way.0 >= BREACH);
                let better = ways.into_iter().min_by_key(|way| way.0);
                let (cost, wanted) = better.unwrap_or_default().1;
                if broken && cost < BREACH {
                    for (course, width) in courses.into_iter().zip(wanted) {
                        self.corners[course][side] = width;
                    }
                }
            }
        }
    }

    /// Where courses that are not laid yet will have the inner joints of the corner pieces that they have agreed on, as far
    /// as they reach a course line.
    pub fn agreed_joints(&self, courses: &[usize], line: i32) -> Vec<i32> {
        let mut joints = Vec::new();
        for &index in courses.iter().filter(|&&c| self.laid[c].runs.is_empty()) {
            let course = &self.plan.courses[index];
            for (side, width) in self.corners[index].into_iter().enumerate() {
                let (Some(end), Some(width)) = (course.corner_ends[side], width) else {
                    continue;
                };
                let x = if side == 0 { end + width } else { end - width };
                if meets(course, x, line) {
                    joints.push(x);
                }
            }
        }
        joints
    }

    /// Lays the ends of courses anew, several together, at toothed corners where other corner pieces would break fewer rules.
    pub fn turn_corners(&mut self) {
        for wall in 0..self.job.walls.len() {
            for side in 0..2 {
                let courses = self.corner(wall, side);
                for leaning in [Leaning::AsLaid, Leaning::WholeRuns, Leaning::HalfRuns] {
                    for extent in EXTENTS {
                        self.turn_corner(side, &courses, leaning, extent);
                    }
                }
            }
        }
    }

    fn turn_corner(
        &mut self,
        side: usize,
        courses: &[usize],
        leaning: Leaning,
        extent: (Extent, i32),
    ) {
        if courses.iter().all(|&c| self.laid[c].penalty == 0) {
            return;
        }
        let rungs = self.rungs(side, courses, leaning);
        let (cost, wanted) = self.ladder(&rungs);
        if cost / BREACH >= self.cost_of(&rungs, |c| i64::from(!c.laid)) / BREACH
            || (extent == FARTHEST && cost >= BREACH)
        {
            return;
        }
        let (extent, reach) = extent;
        let kept = self.corners.clone();
        let mut sections: Vec<Section> = Vec::new();
        for (rung, width) in rungs.iter().zip(wanted) {
            self.corners[rung.course][side] = width;
            let stays = |c: &Choice| c.laid && Some(c.width) == width;
            if extent == Extent::Turned && rung.choices.iter().any(stays) {
                continue;
            }
            let own = &self.plan.courses[rung.course];
            let Some(end) = own.corner_ends[side] else {
                continue;
            };
            let inside = if side == 0 { end + 1 } else { end - 1 };
            let length = self.stocks[own.product].sizes.length;
            add_section(
                &mut sections,
                self.section_at(rung.course, inside, length * reach),
            );
        }
        if !sections.is_empty() {
            self.attempt(&sections, Pains::Few);
        }
        self.corners = kept;
    }

    /// The courses of a corner with what their pieces could be; none where any will do.
    fn rungs(&self, side: usize, courses: &[usize], leaning: Leaning) -> Vec<Rung> {
        if self.job.rules.corner_pieces != CornerPieces::WholeOrHalf {
            return Vec::new();
        }
        let rung = |&course: &usize| Rung {
            course,
            choices: self.choices(course, side, leaning),
        };
        courses.iter().map(rung).collect()
    }

    /// What breaches weigh if each course has the piece for which `least` is least.
    fn cost_of(&self, rungs: &[Rung], least: impl Fn(&Choice) -> i64) -> i64 {
        let mut sum = 0;
        let mut below: Option<(usize, &Choice)> = None;
        for rung in rungs {
            let own = rung.choices.iter().min_by_key(|c| least(c));
            if let Some(choice) = own {
                let clash = below.map(|(course, old)| self.clash(course, old, rung.course, choice));
                sum += choice.cost + clash.unwrap_or_default();
            }
            below = own.map(|choice| (rung.course, choice));
        }
        sum
    }

    /// The courses at one end of a wall that reach a toothed outside corner, from bottom to top.
    fn corner(&self, wall: usize, side: usize) -> Vec<usize> {
        let courses = &self.plan.courses;
        let own = |&c: &usize| {
            let run = match side {
                0 => courses[c].runs.first().map(|run| run.x0),
                _ => courses[c].runs.last().map(|run| run.x1),
            };
            courses[c].wall == wall && run.is_some() && courses[c].corner_ends[side] == run
        };
        let mut corner: Vec<usize> = (0..courses.len()).filter(own).collect();
        corner.sort_by_key(|&c| courses[c].lines.lo);
        corner
    }

    /// The widths of corner pieces that break the fewest rules together, and what that weighs.
    fn ladder(&self, rungs: &[Rung]) -> (i64, Vec<Option<i32>>) {
        // The cheapest way up, and from which choice below.
        let mut ways: Vec<Vec<(i64, usize)>> = Vec::new();
        for (index, rung) in rungs.iter().enumerate() {
            let below = index.checked_sub(1).map(|b| (&rungs[b], &ways[b]));
            let way = |choice: &Choice| {
                let up = below.into_iter().flat_map(|(below, ways)| {
                    let step = |(from, old): (usize, &Choice)| {
                        let clash = self.clash(below.course, old, rung.course, choice);
                        (ways[from].0 + clash, from)
                    };
                    below.choices.iter().enumerate().map(step)
                });
                let (cost, from) = up.min().unwrap_or_default();
                (cost + choice.cost, from)
            };
            ways.push(rung.choices.iter().map(way).collect());
        }
        let mut at = ways
            .last()
            .and_then(|last| (0..last.len()).min_by_key(|&i| last[i]));
        let cost = ways.last().zip(at).map_or(0, |(last, at)| last[at].0);
        let mut widths = Vec::new();
        for (rung, way) in rungs.iter().zip(&ways).rev() {
            let choice = at.and_then(|at| Some((rung.choices.get(at)?, way.get(at)?)));
            widths.push(choice.map(|c| c.0.width));
            at = choice.map(|c| c.1.1);
        }
        widths.reverse();
        (cost, widths)
    }

    /// A whole board, a half one, and the piece that is there now.
    fn choices(&self, course: usize, side: usize, leaning: Leaning) -> Vec<Choice> {
        let own = &self.plan.courses[course];
        let sizes = self.stocks[own.product].sizes;
        let Some((run, joints)) = self.end_run(course, side) else {
            return Vec::new();
        };
        let length = run[1] - run[0];
        let laid = match side {
            0 => joints.first().map_or(length, |x| x - run[0]),
            _ => joints.last().map_or(length, |x| run[1] - x),
        };
        let whole = match leaning {
            Leaning::WholeRuns => own.runs_past[side],
            Leaning::HalfRuns => !own.runs_past[side],
            Leaning::AsLaid => 2 * laid > sizes.length + half(&sizes),
        };
        let leant = if whole { sizes.length } else { half(&sizes) };
        let mut widths = alloc::vec![sizes.length, half(&sizes)];
        if !widths.contains(&laid) {
            widths.push(laid);
        }
        let choice = |width: i32| {
            let rest = length - width;
            let joint = match side {
                0 => run[0] + width,
                _ => run[1] - width,
            };
            let avoided = own.avoided(joint).next().is_some();
            let neither = width != sizes.length && width != half(&sizes);
            let breaches = i64::from(neither)
                + i64::from(rest > 0 && avoided)
                + i64::from(0 < rest && rest < self.job.rules.min_piece_width.0);
            Choice {
                width,
                joint: (rest > 0).then_some(joint),
                cost: BREACH * breaches + i64::from(width != leant),
                laid: width == laid,
            }
        };
        let possible = |width: &i32| *width <= length.min(sizes.length);
        widths.into_iter().filter(possible).map(choice).collect()
    }

    /// The run of a course at one end, and its joints.
    fn end_run(&self, course: usize, side: usize) -> Option<([i32; 2], &[i32])> {
        let runs = &self.plan.courses[course].runs;
        let index = if side == 0 {
            0
        } else {
            runs.len().checked_sub(1)?
        };
        let run = runs.get(index)?;
        let laid = self.laid[course].runs.get(index);
        Some(([run.x0, run.x1], laid.map_or(&[], |laid| &laid.joints)))
    }

    /// What it weighs if the inner joints of two corner pieces, one above the other, are too near.
    fn clash(&self, below: usize, lower: &Choice, above: usize, upper: &Choice) -> i64 {
        let (Some(a), Some(b)) = (lower.joint, upper.joint) else {
            return 0;
        };
        let courses = &self.plan.courses;
        let near = (a - b).abs() < self.job.rules.stagger.0;
        let linked = courses[above].below.contains(&below);
        let line = courses[below].lines.hi;
        let clash =
            near && linked && meets(&courses[below], a, line) && meets(&courses[above], b, line);
        if clash { BREACH } else { 0 }
    }
}

/// Whether a joint of a course at `x` reaches a course line.
fn meets(course: &Course, x: i32, line: i32) -> bool {
    let mut runs = course.runs.iter();
    runs.any(|r| r.x0 < x && x < r.x1 && r.reaches(x, line))
}
