//! fixing.
#![no_std]
extern crate alloc;

pub mod anchors;
mod pull_out;
pub mod rules;
pub mod wind;

pub use pull_out::{PullOut, pull_out};
