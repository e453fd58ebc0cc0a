//! What a number measures: kinds of quantity, money, rounding, and the millimetre grid.
//!
//! One newtype per *kind*, SI inside, named constructors and readers, and the lawful products listed one by one, so that
//! a wind pressure can never be added to a vapour pressure. This crate knows no formula, no material and no text format.
//!
//! ```
//! use quantity::{Conductivity, Length};
//! let board = Length::from_mm(140.0) / Conductivity::from_w_per_mk(0.035);
//! assert!((board.as_m2k_per_w() - 4.0).abs() < 1e-12);
//! ```
#![no_std]
extern crate alloc;

mod grid;
mod kind;
mod money;
mod rounding;

pub use grid::Mm;
pub use kind::*;
pub use money::{Currency, Money, PriceFault};
pub use rounding::{Rounding, whole_packs};
pub use rust_decimal::Decimal;
