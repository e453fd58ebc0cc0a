//! What a caller describes: rectangles of material, the environments around them, and where each touches.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Conductivity, Length, Temperature, ThermalResistance};

/// A two-dimensional section through a thermal bridge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Model {
    /// The material, in rectangles that may touch but not overlap. Together they may have any outline.
    pub rectangles: Vec<Rectangle>,
    /// What lies along the outline: every part of it exactly once.
    pub boundaries: Vec<Boundary>,
    /// The environments that boundaries refer to.
    pub environments: Vec<Environment>,
}

/// A rectangle of one material.
#[derive(Clone, Debug, PartialEq)]
pub struct Rectangle {
    /// What it is, such as `insulation`.
    pub name: String,
    /// Its left side.
    pub x0: Length,
    /// Its lower side.
    pub y0: Length,
    /// Its right side.
    pub x1: Length,
    /// Its upper side.
    pub y1: Length,
    /// The thermal conductivity of the material.
    pub conductivity: Conductivity,
}

/// A point of the section.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: Length,
    /// Upwards.
    pub y: Length,
}

impl Point {
    /// From millimetres.
    pub const fn from_mm(x: f64, y: f64) -> Self {
        Self {
            x: Length::from_mm(x),
            y: Length::from_mm(y),
        }
    }
}

/// What a part of the outline touches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Contact {
    /// A cut plane or plane of symmetry: no heat passes.
    Adiabatic,
    /// The environment of this index.
    Environment(usize),
}

/// A straight part of the outline, parallel to one axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boundary {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// What it touches.
    pub contact: Contact,
}

/// An environment: one temperature, and one surface resistance towards the material.
///
/// Where one room touches the bridge through two surface resistances, say two environments of one temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Environment {
    /// What it is, such as `inside`.
    pub name: String,
    /// Its temperature.
    pub temperature: Temperature,
    /// The surface resistance; zero fixes the temperature of the surface itself.
    pub resistance: ThermalResistance,
}

/// The most rectangles, and the most boundaries, of a model.
pub const MOST_PARTS: usize = 400;
/// The most environments of a model.
pub const MOST_ENVIRONMENTS: usize = 12;
/// Lines of the section nearer to one another than this are one line, in metres.
pub const SNAP_M: f64 = 2e-6;
/// The largest coordinate, either way, in metres.
pub const LARGEST_COORDINATE_M: f64 = 1000.0;
/// The lowest and the highest thermal conductivity, in W/(m.K).
pub const CONDUCTIVITY_RANGE: (f64, f64) = (1e-4, 1e4);
