//! The calculation sheet: every figure of an answer, followed back to its clause, its formula and its inputs.
//!
//! A [`Formula`] is one `static`: document and clause, symbols, the printed expression, and the function.
//! [`Sheet::derive`] computes and records in one step. [`proof::prove`] evaluates the printed expression on random inputs
//! against the function, so that what is printed is what is computed. This crate knows no standard and no trade rule; it also
//! holds the two ways an engine speaks back, a [`Finding`] about a sound input and a [`Fault`] of a bad one, and the one way it is
//! spoken to while it works: a [`Halt`].
//!
//! ```
//! use quantity::{Conductivity, Length, ThermalResistance};
//! use working::{Clause, Formula, Origin, Sheet, Standing, Symbol};
//!
//! static LAYER: Formula<(Length, Conductivity), ThermalResistance> = Formula {
//!     clause: Clause { document: "ISO 6946:2017", clause: "6.7.1.1", standing: Standing::Published },
//!     name: "thermal resistance of a layer",
//!     symbol: "R",
//!     inputs: &[Symbol { name: "d", meaning: "thickness", range: (0.001, 0.5) },
//!               Symbol { name: "lambda", meaning: "thermal conductivity", range: (0.02, 3.0) }],
//!     expression: "d / lambda",
//!     function: |(d, lambda)| d / lambda,
//! };
//! let mut sheet = Sheet::new();
//! let d = sheet.given("d", Length::from_mm(140.0), Origin::request("build_up.layers[2].thickness_mm"));
//! let lambda = sheet.given("lambda", Conductivity::from_w_per_mk(0.035), Origin::catalogue("board.eps", "conductivity-w-per-mk"));
//! let r = sheet.derive("R board", &LAYER, (d, lambda));
//! assert!((r.value.as_m2k_per_w() - 4.0).abs() < 1e-12);
//! assert!(sheet.lines()[2].substituted.contains("0.14 / 0.035"));
//! working::proof::prove(&LAYER, 100).unwrap();
//! ```
#![no_std]
extern crate alloc;

mod expression;
mod finding;
mod formula;
mod halt;
pub mod proof;
mod sheet;
mod words;

pub use expression::{ExpressionFault, evaluate};
pub use finding::{Fault, Faults, Finding, Severity};
pub use formula::{AnyFormula, Arg, Args, Clause, Formula, Inputs, List, Standing, Symbol, Term};
pub use halt::Halt;
pub use sheet::{Check, Figure, Limit, Line, LineInput, LineKind, Origin, Sheet, Verdict};
pub use words::{numbered, words_that_stay};
