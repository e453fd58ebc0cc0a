//! Sets out the insulation boards of a whole building and cuts them from as few packs as the rules allow.
//!
//! Given walls as surveyed, the boards as bought and a rule set, [`set_out`] answers where every course line and every
//! joint goes, from which board each piece is cut and in what order, what is left over, how near this is to the least
//! that any layout could do, and which rule, if any, could not be kept and where.
//!
//! The crate deliberately does not know facades as measured, catalogues, prices, anchors or drawings. It knows no rule
//! figures either: stagger, smallest piece and keep-outs are data of the job.
//!
//! Lengths are whole millimetres. On a sloping edge the points where joints and course lines meet it are rounded to
//! the millimetre; everywhere else the pieces tile the wall exactly.
//!
//! ```
//! use quantity::Mm;
//! use setting_out::*;
//!
//! let point = |x, y| Point { x: Mm(x), y: Mm(y) };
//! let wall = Wall {
//!     id: "north".into(),
//!     outline: vec![point(0, 0), point(4_000, 0), point(4_000, 2_500), point(0, 2_500)],
//!     zones: vec![Zone { id: "main".into(), extent: ZoneExtent::Main, board: "eps".into() }],
//!     ..Wall::default()
//! };
//! let board = BoardStock {
//!     key: "eps".into(),
//!     length: Mm(1_000),
//!     height: Mm(500),
//!     thickness: Mm(160),
//!     boards_per_pack: 3,
//!     waste_ppm: 0,
//!     rotation: Rotation::Allowed,
//!     kerf: Mm(2),
//! };
//! let layout = set_out(&Job { walls: vec![wall], boards: vec![board], ..Job::default() })?;
//! assert!(layout.breaches.is_empty());
//! assert_eq!(layout.products[0].lb_area, 20);
//! assert!(layout.products[0].boards <= 21);
//! # Ok::<(), Vec<Fault>>(())
//! ```
#![no_std]
extern crate alloc;

mod fault;
mod job;
mod layout;

mod beyond;
mod bound;
mod butts;
mod corners;
mod finish;
mod forecast;
mod geometry;
mod half_bond;
mod leaves;
mod lines;
mod order;
mod plan;
mod prices;
mod room;
mod run;
mod search;
mod shift;
mod solve;
mod steps;
mod stock;
mod turns;
mod twins;
mod view;

use alloc::vec::Vec;

use working::Halt;

pub use fault::{Fault, MAX_BOARDS, MAX_OPENINGS, MAX_PARTS, MAX_WALLS};
pub use half_bond::{PencilCourses, half_bond};
pub use job::{
    BaseStep, BoardStock, Budget, Corner, CornerKind, CornerPieces, Job, KeepClear, Opening, Point,
    Rotation, RuleCosts, Rules, Runner, Strip, StructuralJoint, Wall, Zone, ZoneExtent,
};
pub use layout::{
    BoardUse, Breach, Course, Cut, CutKind, CutPiece, Form, Junction, Layout, Offcut, Piece,
    Placement, ProductSum, Proof, Rule, RuleCost, Stopped, Turn, WallSum,
};
pub use turns::{Meeting, first_to_run};

/// Sets out all walls of a job.
///
/// The same job gives the same layout, byte for byte; its mirror image, and walls that begin elsewhere, get the same boards
/// and cuts. A layout that cannot obey every rule is an answer: the least bad one found, with each breach named and placed
/// in [`Layout::breaches`].
///
/// # Errors
/// Every [`Fault`] of the job at once, if it is impossible to read: an outline that crosses itself, openings that
/// overlap, rules that no board can obey, more of anything than the stated limits.
pub fn set_out(job: &Job) -> Result<Layout, Vec<Fault>> {
    Ok(set_out_unless(job, Halt::NEVER)?.unwrap_or_default())
}

/// Sets out as [`set_out`] does, or gives nothing where the search was halted before its end.
///
/// # Errors
/// Those of [`set_out`].
pub fn set_out_unless(job: &Job, halt: Halt<'_>) -> Result<Option<Layout>, Vec<Fault>> {
    let faults = fault::faults(job);
    if !faults.is_empty() {
        return Err(faults);
    }
    let Some(mut layout) = solve::solve(job, solve::Purpose::Build, halt) else {
        return Ok(None);
    };
    if job.budget.rule_costs == RuleCosts::Report {
        let Some(costs) = solve::rule_costs(job, halt) else {
            return Ok(None);
        };
        layout.rule_costs = costs;
    }
    Ok(Some(layout))
}

/// What each rule costs a job: the boards that a search for as few boards as can be, whatever the cuts, saves without it.
/// One such search for the job and one for each rule; nothing for a job that has faults, or where the search was halted.
pub fn rule_costs(job: &Job, halt: Halt<'_>) -> Vec<RuleCost> {
    let sound = fault::faults(job).is_empty();
    let costs = sound.then(|| solve::rule_costs(job, halt)).flatten();
    costs.unwrap_or_default()
}
