//! From the wind at the site to each anchor on the drawing.
//!
//! [`fix()`] answers for a whole building: the suction on every facade by a wind code ([`wind`]), how many anchors each zone needs and what
//! governs ([`anchors`]), how long they are and how they are drilled ([`length`]), where each one stands on the boards as set out
//! ([`placement`]), checked again with the real number and the real share in joints. [`bond`] judges the mortar, [`fire`] proposes barrier
//! strips from rule rows. It deliberately knows no catalogue, no request, no text format and no country: national parameters and rules are plain
//! data, and what is not verified says so on the sheet and in the findings. It is an aid to the person responsible for the structure, never
//! a replacement.
//!
//! ```
//! use fixing::wind::{EnWind, PlanShape, Plan, Site};
//! use quantity::{Length, Mm, WindSpeed};
//! use standards::en_1991_1_4::NationalWind;
//!
//! // SX016a, a public worked example: 26 m/s, terrain II, 7.3 m above ground, 911 Pa.
//! let national = NationalWind::recommended();
//! let site = Site { velocity: Some(WindSpeed::from_m_per_s(26.0)), terrain: "II".into(), ..Site::default() };
//! let code = EnWind { national: &national, site: &site, path: "wind" };
//! let q = code.peak_pressure(Length::from_m(7.3), &mut working::Sheet::new()).unwrap();
//! assert!((q.peak.value.as_pa() - 911.0).abs() < 0.6);
//! ```
#![no_std]
extern crate alloc;

mod job;

pub mod wind;

pub mod anchors;
pub mod length;
pub mod placement;
mod pull_out;
pub mod rules;
mod sensitivity;

pub mod bond;
pub mod fire;

pub use job::{
    DrillingLine, FacadeToFix, FixingAnswer, FixingJob, Situation, SituationAnswer, ZoneAnswer, fix,
};
pub use pull_out::{PullOut, pull_out};
pub use sensitivity::SensitivityRow;
