//! How much heat a junction loses beyond its flat parts, and how cold its inner surface becomes: steady flow in two dimensions.
//!
//! A [`Model`] is a section in rectangles with the environments along its outline; [`solve`] lays it on a grid whose lines follow every
//! material, halves the grid until the criteria of ISO 10211 hold, and gives temperatures, heat flows, coupling coefficients and the
//! coldest surface points. A [`Detail`] is such a section with named parameters; [`build`] makes the section of one choice, and
//! [`record`] turns its solution into the linear thermal transmittance and the temperature factor, on the calculation sheet.
//!
//! It deliberately does not know: files, catalogues, moisture, three dimensions, heat stored, air that moves in cavities (they come as
//! an equivalent conductivity), nor how a plot looks.
//!
//! ```
//! use quantity::{Conductivity, Length, Temperature, ThermalResistance};
//! use thermal_bridge::{Accuracy, Boundary, Contact, Environment, Model, Point, Rectangle, solve};
//! // A plain wall of 0.20 m, lambda 0.5, as wide as it is thick: one-dimensional flow, U = 1/(0.13 + 0.4 + 0.04).
//! let side = |x0, y0, x1, y1, contact| Boundary { from: Point::from_mm(x0, y0), to: Point::from_mm(x1, y1), contact };
//! let environment = |name: &str, celsius, resistance| Environment {
//!     name: name.into(),
//!     temperature: Temperature::from_celsius(celsius),
//!     resistance: ThermalResistance::from_m2k_per_w(resistance),
//! };
//! let model = Model {
//!     rectangles: vec![Rectangle {
//!         name: "brick".into(),
//!         x0: Length::ZERO,
//!         y0: Length::ZERO,
//!         x1: Length::from_mm(200.0),
//!         y1: Length::from_mm(200.0),
//!         conductivity: Conductivity::from_w_per_mk(0.5),
//!     }],
//!     boundaries: vec![
//!         side(0.0, 0.0, 0.0, 200.0, Contact::Environment(0)),
//!         side(200.0, 0.0, 200.0, 200.0, Contact::Environment(1)),
//!         side(0.0, 0.0, 200.0, 0.0, Contact::Adiabatic),
//!         side(0.0, 200.0, 200.0, 200.0, Contact::Adiabatic),
//!     ],
//!     environments: vec![environment("inside", 20.0, 0.13), environment("outside", 0.0, 0.04)],
//! };
//! let solution = solve(&model, &Accuracy::default()).unwrap();
//! let flow = solution.flow(0).unwrap().as_w_per_m();
//! assert!((flow - 0.2 * 20.0 / 0.57).abs() < 1e-9);
//! ```
#![no_std]
extern crate alloc;

mod model;
mod outline;

mod assemble;
mod grid;
mod multigrid;
mod solution;
mod solve;

mod detail;
mod junction;

pub use detail::{
    Derived, Detail, DetailBoundary, DetailEnvironment, DetailFlank, DetailPoint, DetailRectangle,
    Flank, Parameter, ParameterUnit, Section, Side, build,
};
pub use grid::Grading;
pub use junction::{CutLayer, Junction, layers_along, record};
pub use model::{
    Boundary, CONDUCTIVITY_RANGE, Contact, Environment, LARGEST_COORDINATE_M, MOST_ENVIRONMENTS,
    MOST_PARTS, Model, Point, Rectangle, SNAP_M,
};
pub use solution::{Refinement, Solution, SurfacePoint};
pub use solve::{Accuracy, check, solve, solve_unless};
