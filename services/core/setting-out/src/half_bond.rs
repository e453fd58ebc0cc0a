//! The pencil layout: half bond from the left end, offcuts used again where they fit. The yardstick for the search.

use alloc::vec::Vec;

use crate::fault::{Fault, faults};
use crate::layout::{Layout, Stopped};
use crate::lines::Outlook;
use crate::plan::{around, plan};
use crate::run::half;
use crate::search::Search;
use crate::stock::{Habit, Style};
use crate::{Job, finish};

/// A foreman cuts from the leftover that fits best.
const PENCIL: Style = Style {
    full: [850, 1000],
    low: [600, 700],
    cap: 100,
    cut: 25,
    piece: 30,
    wish: 0,
    breach: 0,
    habit: Habit::Free,
};

/// Sets out a job in plain half bond: each course begins at the left end of its wall with a whole or a half board by
/// turns, joints fall where they fall, and every piece is cut from the best leftover there is.
///
/// Joints may break rules of the job; they are reported as breaches. Course lines are the first of those that
/// [`crate::set_out`] tries.
///
/// # Errors
/// The same as [`crate::set_out`].
pub fn half_bond(job: &Job) -> Result<Layout, Vec<Fault>> {
    let found = faults(job);
    if !found.is_empty() {
        return Err(found);
    }
    let plan = plan(job, Outlook::Even);
    let mut search = Search::new(job, &plan, PENCIL);
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
    Ok(finish::finish(&search, Stopped::Settled))
}
