//! Insulation boards.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Conductivity, Density, Mm, SpecificHeat};

use crate::pack::{Article, Supply};

/// Whether a board may be turned by a right angle when laid or cut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rotation {
    /// It may: the material is alike in both directions.
    #[default]
    Allowed,
    /// It may not: fibres run one way, or the edges are profiled.
    Forbidden,
}

/// Where a board may stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Exposure {
    /// On the facade above the splash zone.
    pub facade: bool,
    /// In the splash zone at the plinth.
    pub plinth: bool,
    /// Below ground.
    pub ground: bool,
}

/// A kind of board, stocked in several thicknesses.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// Heading.
    pub article: Article,
    /// The insulant in words, such as `expanded polystyrene`.
    pub insulant: String,
    /// Length, laid along the course.
    pub length: Mm,
    /// Height of a course.
    pub height: Mm,
    /// Design thermal conductivity.
    pub conductivity: Conductivity,
    /// Density.
    pub density: Density,
    /// Specific heat capacity.
    pub specific_heat: SpecificHeat,
    /// Water vapour diffusion resistance factor; at least 1.
    pub vapour_resistance_factor: f64,
    /// Key of its hygric data without the kind, where there are any.
    pub hygric: Option<String>,
    /// Reaction-to-fire class by EN 13501-1, such as `E` or `A1`.
    pub reaction_to_fire: String,
    /// Whether it may be turned.
    pub rotation: Rotation,
    /// Where it may stand.
    pub exposure: Exposure,
    /// Width of a cut.
    pub kerf: Mm,
    /// The least share of the board's back that must be bonded.
    pub bonded_share_min: f64,
    /// Whether anchors in this board take a wider plate (soft boards).
    pub wider_plate: bool,
    /// The stocked thicknesses, thinnest first.
    pub thicknesses: Vec<BoardThickness>,
}

/// One stocked thickness of a board.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardThickness {
    /// Thickness.
    pub thickness: Mm,
    /// Boards in a pack.
    pub boards_per_pack: u32,
    /// Pack, price, stock. The pack is counted in pieces.
    pub supply: Supply,
}

impl Board {
    /// The stocked thickness that is exactly `thickness`.
    pub fn stocked(&self, thickness: Mm) -> Option<&BoardThickness> {
        self.thicknesses.iter().find(|t| t.thickness == thickness)
    }
}
