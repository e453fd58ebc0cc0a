//! What is bought by the bar or by the roll.

use alloc::vec::Vec;

use quantity::{AreaMass, LinearTransmittance, Mm};

use crate::pack::{Article, Supply};

/// Reinforcement mesh in rolls.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Heading.
    pub article: Article,
    /// Width of the roll.
    pub roll_width: Mm,
    /// Length of the roll.
    pub roll_length: Mm,
    /// Least overlap of two strips.
    pub overlap: Mm,
    /// Mass.
    pub per_area: AreaMass,
    /// Size of the diagonal piece at an opening's corner: width.
    pub diagonal_width: Mm,
    /// Size of the diagonal piece at an opening's corner: length.
    pub diagonal_length: Mm,
    /// Pack, price, stock. One roll, counted in square metres.
    pub supply: Supply,
}

/// What a bead is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BeadUse {
    /// Salient and re-entrant edges, jambs.
    Corner,
    /// Where water must leave: lintels, lower edges.
    Drip,
    /// A structural joint carried through.
    Joint,
    /// Under a window sill.
    Sill,
    /// At a window or door frame.
    Frame,
}

/// A length of something bought in bars or rolls.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearStock {
    /// Lengths in which it is bought, shortest first, each with pack, price, stock. One bar or roll is the cut unit; the pack holds
    /// `pieces` of them.
    pub sizes: Vec<ProfileSize>,
}

/// One length of bar or roll.
#[derive(Clone, Debug, PartialEq)]
pub struct ProfileSize {
    /// Length of one bar or roll.
    pub length: Mm,
    /// Bars or rolls in a pack.
    pub pieces: u32,
    /// Pack, price, stock. Counted in metres.
    pub supply: Supply,
}

/// A bead in bars.
#[derive(Clone, Debug, PartialEq)]
pub struct Bead {
    /// Heading.
    pub article: Article,
    /// What it is for.
    pub usage: BeadUse,
    /// Bars.
    pub stock: LinearStock,
}

/// A base profile for one board thickness.
#[derive(Clone, Debug, PartialEq)]
pub struct BaseProfile {
    /// Heading.
    pub article: Article,
    /// Board thicknesses it serves, thinnest first, each with its bars.
    pub sizes: Vec<(Mm, LinearStock)>,
    /// Greatest distance between fixings.
    pub fixing_spacing: Mm,
    /// Gap left between two profiles.
    pub joint_gap: Mm,
    /// Linear thermal transmittance of the profile, where known.
    pub linear_transmittance: Option<LinearTransmittance>,
}

/// A sealing strip in rolls, for joints with sills, frames, eaves and abutting parts.
#[derive(Clone, Debug, PartialEq)]
pub struct SealingStrip {
    /// Heading.
    pub article: Article,
    /// Rolls.
    pub stock: LinearStock,
}
