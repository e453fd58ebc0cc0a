//! The wall that is there already.

use alloc::string::String;
use alloc::vec::Vec;

use material::BaseCategory;
use quantity::{Conductivity, Density, Force, Length, Mm, SpecificHeat, Stress};

/// One layer of the existing wall, from inside to outside.
#[derive(Clone, Debug, PartialEq)]
pub struct ExistingLayer {
    /// What it is.
    pub name: String,
    /// Thickness.
    pub thickness: Length,
    /// Thermal conductivity.
    pub conductivity: Conductivity,
    /// Water vapour diffusion resistance factor.
    pub vapour_resistance_factor: f64,
    /// Density.
    pub density: Density,
    /// Specific heat capacity.
    pub specific_heat: SpecificHeat,
}

/// The greatest gap found under a straightedge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Flatness {
    /// The gap.
    pub gap: Mm,
    /// The length of the straightedge.
    pub straightedge: Mm,
}

/// What the boards are bonded to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// Masonry without render.
    BareMasonry,
    /// Rendered masonry.
    Render,
    /// Concrete.
    Concrete,
}

/// A condition of the surface that asks for preparation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Condition {
    /// Painted.
    Painted,
    /// Chalking or sanding.
    Sanding,
    /// Dusty.
    Dusty,
    /// Render that sounds hollow.
    LooseRender,
    /// Damp, or with salts.
    Damp,
    /// Algae or moss.
    Growth,
}

/// The existing wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Substrate {
    /// Layers from inside to outside, an old render among them.
    pub layers: Vec<ExistingLayer>,
    /// What the boards are bonded to.
    pub surface: Surface,
    /// Thickness of an old render or levelling coat outside the base material; anchors must reach through it.
    pub old_render: Mm,
    /// Flatness, where measured.
    pub flatness: Option<Flatness>,
    /// Conditions found.
    pub conditions: Vec<Condition>,
    /// Category of the base material that anchors hold in, where known.
    pub category: Option<BaseCategory>,
    /// Pull-off strength of the surface, where measured.
    pub pull_off: Option<Stress>,
    /// Ultimate loads of pull-out tests made on site.
    pub pull_out_tests: Vec<Force>,
}
