//! How water and heat move through a wall over years of weather, and how long a wet wall takes to dry.
#![no_std]
extern crate alloc;

mod cells;
mod check;
mod curve;
mod material;
mod simulate;
mod step;
mod wall;

pub use cells::Slicing;
pub use check::{MOST_HOURS, MOST_LAYERS, MOST_YEARS};
pub use material::{Layer, Liquid, Material, Sorption, SorptionPoint, Start, VapourResistance};
pub use simulate::{Accuracy, History, MOST_RECORDS, Profile, Record, SliceState, Task, simulate};
pub use wall::{AirPermeability, Climate, Face, Film, Hour, Swing, Wall};
