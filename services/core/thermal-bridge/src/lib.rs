//! How much heat a junction loses beyond its flat parts, and how cold its inner surface becomes: steady flow in two dimensions.
#![no_std]
extern crate alloc;

mod assemble;
mod grid;
mod model;
mod multigrid;
mod outline;
mod solution;
mod solve;

pub use grid::Grading;
pub use model::{
    Boundary, CONDUCTIVITY_RANGE, Contact, Environment, LARGEST_COORDINATE_M, MOST_ENVIRONMENTS,
    MOST_PARTS, Model, Point, Rectangle, SNAP_M,
};
pub use solution::{Refinement, Solution, SurfacePoint};
pub use solve::{Accuracy, solve};
