//! fixing.
#![no_std]
extern crate alloc;

pub mod anchors;
pub mod bond;
pub mod fire;
pub mod length;
pub mod placement;
mod pull_out;
pub mod rules;
pub mod wind;

pub use pull_out::{PullOut, pull_out};
