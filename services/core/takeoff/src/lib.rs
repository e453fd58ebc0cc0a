//! The takeoff of an external thermal insulation job: five areas, every part of the kit by geometry, whole packs, and the price.
//!
//! It answers what is needed, what is lost and why, what is bought and what is left, with the bound of every search. The boards come from
//! a setting-out and the anchors from a fixing design, both as plain input ([`Laid`], [`AnchorNeed`]). It does not know how they were found, nor
//! where articles and rule sets were read. Purchases follow from geometry alone; the billed area is for the invoice.
//!
//! ```
//! use quantity::Mm;
//! use takeoff::cutting::{Stock, cut};
//! // Jambs of 1.20 m from bars of 2.50 m, a saw cut of 2 mm: two jambs a bar, and no plan does with fewer bars.
//! let plan = cut(&[Mm(1200); 7], Stock { length: Mm(2500), kerf: Mm(2) }, 1000).unwrap();
//! assert_eq!((plan.bars, plan.is_proven()), (4, true));
//! ```
#![no_std]
extern crate alloc;

mod areas;
mod bars;
mod base;
mod beads;
mod billing;
mod boards;
mod check;
mod coats;
mod columns;
pub mod cutting;
mod depths;
pub mod edges;
mod exchange;
mod fixings;
mod formulas;
mod hanging;
mod job;
mod line;
mod mass;
pub mod measurement;
pub mod mesh;
mod mixture;
mod openings;
mod order;
mod piecing;
mod reinforcement;
mod reveals;
mod several;
mod site;
mod survey;
mod takeoff;

pub use areas::FiveAreas;
pub use billing::{BilledOpening, Billing, Projection, Stage, bill};
pub use boards::{RevealCutting, RevealPlace, RevealStrip, reveal_strips};
pub use check::check;
pub use formulas::FORMULAS;
pub use job::{
    AnchorNeed, BoardNeed, BoardRole, BondNeed, Bonding, Fitting, Job, Laid, Leftover, Parts,
    Practice, SealedJoint, Site,
};
pub use line::{Bound, Component, Line, Loss, Purchase, Share};
pub use mass::{MassPerArea, RENDERING_AND_INSULATION_MAX, RENDERING_MAX, SCOPE, Scope, rendering};
pub use measurement::MeasurementRules;
pub use openings::{ClearOpening, SillEnd};
pub use reveals::{Along, Jointed, Rip, RipPlan, RippedBoards, RippedLeftover};
pub use takeoff::{EdgeTotal, FacadeTakeoff, Price, Takeoff, take_off};
