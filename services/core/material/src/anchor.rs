//! Anchors, wider plates, plugs.

use alloc::vec::Vec;

use quantity::{Force, Length, Mm, PointTransmittance};

use crate::pack::{Article, Supply};

/// The category of the base material that an anchor is assessed in (EAD 330196, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BaseCategory {
    /// A: normal-weight concrete.
    Concrete,
    /// B: solid masonry.
    SolidMasonry,
    /// C: hollow or perforated masonry.
    HollowMasonry,
    /// D: lightweight aggregate concrete.
    LightweightConcrete,
    /// E: autoclaved aerated concrete.
    AeratedConcrete,
}

impl BaseCategory {
    /// All, in order of their letters.
    pub const ALL: [Self; 5] = [
        Self::Concrete,
        Self::SolidMasonry,
        Self::HollowMasonry,
        Self::LightweightConcrete,
        Self::AeratedConcrete,
    ];
    /// The letter.
    pub const fn letter(self) -> char {
        match self {
            Self::Concrete => 'A',
            Self::SolidMasonry => 'B',
            Self::HollowMasonry => 'C',
            Self::LightweightConcrete => 'D',
            Self::AeratedConcrete => 'E',
        }
    }
    /// The category of a letter A to E.
    pub fn from_letter(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.letter() == letter)
    }
}

/// How an anchor's plate sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// Flush with the board's face.
    Flush,
    /// Sunk by `depth` and closed with a plug of the insulant.
    Recessed {
        /// How far below the board's face.
        depth: Mm,
    },
}

/// What an anchor carries in one category of base material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BaseResistance {
    /// The category.
    pub category: BaseCategory,
    /// Characteristic pull-out resistance N_Rk.
    pub resistance: Force,
    /// Effective embedment h_ef.
    pub embedment: Mm,
    /// Drill depth beyond the embedment.
    pub extra_drill_depth: Mm,
}

/// One stocked length of an anchor.
#[derive(Clone, Debug, PartialEq)]
pub struct AnchorLength {
    /// Length.
    pub length: Mm,
    /// Pack, price, stock. Counted in pieces.
    pub supply: Supply,
}

/// A plastic anchor with a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Anchor {
    /// Heading.
    pub article: Article,
    /// The base-material categories it is assessed in; a category that is missing is refused.
    pub base: Vec<BaseResistance>,
    /// Diameter of the plate.
    pub plate_diameter: Mm,
    /// Stiffness of the plate in kilonewtons per millimetre, where declared.
    pub plate_stiffness_kn_per_mm: Option<f64>,
    /// Diameter of the drill.
    pub drill_diameter: Mm,
    /// Point thermal transmittance χ.
    pub point_transmittance: PointTransmittance,
    /// How the plate sits.
    pub setting: Setting,
    /// The least board thickness it is assessed for.
    pub board_thickness_min: Mm,
    /// Least distance between anchors.
    pub spacing_min: Mm,
    /// Least distance from the edge of the base material.
    pub edge_distance_min: Mm,
    /// Least thickness of the base material.
    pub member_thickness_min: Length,
    /// Stocked lengths, shortest first.
    pub lengths: Vec<AnchorLength>,
}

impl Anchor {
    /// What it carries in a category, or nothing where it is not assessed there.
    pub fn in_category(&self, category: BaseCategory) -> Option<&BaseResistance> {
        self.base.iter().find(|b| b.category == category)
    }
}

/// A wider plate added under an anchor's own, for soft boards.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Heading.
    pub article: Article,
    /// Diameter.
    pub diameter: Mm,
    /// Pack, price, stock. Counted in pieces.
    pub supply: Supply,
}

/// A plug of insulant over a sunk anchor, or a cap over a flush one.
#[derive(Clone, Debug, PartialEq)]
pub struct Plug {
    /// Heading.
    pub article: Article,
    /// Pack, price, stock. Counted in pieces.
    pub supply: Supply,
}
