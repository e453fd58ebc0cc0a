//! A surveyed building: outlines, openings, reveals, edges, corners, joints, base line and substrate, on a whole-number
//! millimetre grid.
//!
//! The front door is [`check`], which returns every fault of a building at once; [`ShortForm::expand`] makes a building out of what a web
//! shop knows. Geometry only: no board, no price, no physics.
//!
//! ```
//! use facade::{Building, ShortForm, check};
//! use quantity::Mm;
//! let form = ShortForm { length: Mm(10_000), height: Mm(6_000), opening_count: 4, opening_width: Mm(1_200), opening_height: Mm(1_400), ..ShortForm::default() };
//! let (building, assumed) = form.expand().unwrap();
//! assert!(check(&building).is_ok());
//! assert!(!assumed.is_empty());
//! assert!((building.facades[0].gross_area().as_m2() - 60.0).abs() < 1e-9);
//! ```
#![no_std]
extern crate alloc;

mod building;
mod check;
mod polygon;
mod reveal;
mod short;
mod substrate;

pub use building::{
    BaseStep, Below, Building, Crack, Facade, Fixture, FixtureLoad, Meets, Opening, OpeningKind,
    Side, StructuralJoint,
};
pub use check::{LIMITS, Limits, check};
pub use polygon::{
    Point, Rectangle, Span, area, area_within, bounds, contains, is_simple, spans_at, upper_edge,
};
pub use reveal::{FinishedOpening, Stretch, common, joined, length, less, without};
pub use short::{Assumption, ShortForm};
pub use substrate::{Condition, ExistingLayer, Flatness, Substrate, Surface};
