//! The pencil layout: half bond from one end, offcuts used again where they fit. The yardstick for the search.

use alloc::vec::Vec;

use crate::Job;
use crate::fault::{Fault, faults};
use crate::layout::{Layout, Stopped};
use crate::lines::Outlook;
use crate::plan::{Plan, around, plan};
use crate::run::half;
use crate::search::Search;
use crate::stock::Style;
use crate::view::View;

/// A foreman cuts from the leftover that fits best.
const PENCIL: Style = Style {
    full: [850, 1000],
    low: [600, 700],
    cap: 100,
    cut: 25,
    piece: 30,
    wish: 0,
    breach: 0,
};

/// Where the courses of the pencil layout lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PencilCourses {
    /// Whole courses from the base line up, wherever sills and lintels lie.
    Whole,
    /// Lines that keep clear of sills and lintels, with as few ripped courses as that takes.
    Clear,
}

/// Sets out a job in plain half bond: each course begins at one end of its wall with a whole or a half board by
/// turns, joints fall where they fall, and every piece is cut from the best leftover there is. A building and its mirror image
/// begin at mirrored ends.
///
/// Joints may break rules of the job, and so may whole courses; they are reported as breaches.
///
/// # Errors
/// The same as [`crate::set_out`].
pub fn half_bond(job: &Job, courses: PencilCourses) -> Result<Layout, Vec<Fault>> {
    let found = faults(job);
    if !found.is_empty() {
        return Err(found);
    }
    let outlook = match courses {
        PencilCourses::Whole => Outlook::Plain,
        PencilCourses::Clear => Outlook::CALM,
    };
    let view = View::of(job);
    let plan = plan(&view.job, outlook);
    Ok(view.finish(job, &pencil(&view.job, &plan), Stopped::Settled))
}

/// The pencil layout on given courses.
pub fn pencil<'a>(job: &'a Job, plan: &'a Plan) -> Search<'a> {
    let mut search = Search::new(job, plan, PENCIL);
    for (index, course) in plan.courses.iter().enumerate() {
        let sizes = search.stocks[course.product].sizes;
        let start = around(&job.walls[course.wall]).x0 - course.extension[0];
        let first = if course.number % 2 == 1 {
            sizes.length
        } else {
            half(&sizes)
        };
        let joints: Vec<Vec<i32>> = course
            .runs
            .iter()
            .map(|run| {
                let offset = (run.x0 - start - first).div_euclid(sizes.length) * sizes.length;
                let mut x = start + first + offset;
                let mut joints = Vec::new();
                while x < run.x1 {
                    if x > run.x0 {
                        joints.push(x);
                    }
                    x += sizes.length;
                }
                joints
            })
            .collect();
        search.put(index, joints);
    }
    search
}
