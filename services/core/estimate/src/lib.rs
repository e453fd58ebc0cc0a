//! The whole job in one straight line: size, fix, set out, take off, pack, price, check.
//!
//! It sees resolved materials and rule data, never a catalogue file, a wire message or a clock. The front door is [`estimate`].
#![no_std]
extern crate alloc;

mod answer;
mod draw_part;
mod fire;
mod fix_part;
mod job;
mod kit_part;
mod origins;
mod parts;
mod refusal;
mod request;
mod seams;
mod set_out;
mod survey_findings;
mod thermal_part;
mod value;
mod wall;
mod wall_drawings;

pub use answer::*;
pub use job::{estimate, estimate_unless, unknown, unknown_rules};
pub use refusal::{Refusal, RefusalKind};
pub use request::{ClimateChoice, Include, Request, ThicknessChoice, WindSite};
pub use setting_out::RuleCosts;
pub use takeoff::Bonding;
pub use thermal_part::{coldest, told_moisture, wall_layers};
pub use value::{MOST_SEARCH_STEPS, USUAL_INDOOR, check};
pub use wall_drawings::wall_drawings;
