//! Systems: which parts go together, and what they carry together.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Force, Length, Mass, Mm};

use crate::pack::{Article, Supply};

/// How a system is held to the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Attachment {
    /// By mortar alone.
    Bonded,
    /// By mortar, with anchors that secure it while the mortar sets or ages.
    BondedWithSupplementaryAnchors,
    /// By anchors, with mortar that keeps the boards in plane.
    AnchoredWithSupplementaryMortar,
}

/// What the boards of a system resist when pulled over an anchor's plate.
#[derive(Clone, Debug, PartialEq)]
pub struct PlateResistance {
    /// The board's key.
    pub board: String,
    /// Least board thickness of the tests.
    pub thickness_min: Mm,
    /// Least plate diameter of the tests.
    pub plate_diameter_min: Mm,
    /// Characteristic resistance of an anchor in the board's field, R_panel.
    pub panel: Force,
    /// Characteristic resistance of an anchor at a board joint, R_joint.
    pub joint: Force,
}

/// A system.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    /// Heading.
    pub article: Article,
    /// How it is held.
    pub attachment: Attachment,
    /// Board on the facade.
    pub board: String,
    /// Board in the splash zone and below ground, where the facade board may not stand there.
    pub plinth_board: Option<String>,
    /// Board of fire-barrier strips, where the system has one.
    pub barrier_board: Option<String>,
    /// Bonding mortar.
    pub bonding_mortar: String,
    /// Mortar of the base coat.
    pub base_coat_mortar: String,
    /// Thickness of the base coat.
    pub base_coat_thickness: Length,
    /// Mesh.
    pub mesh: String,
    /// Beads by use, each at most once.
    pub beads: Vec<String>,
    /// Base profile.
    pub base_profile: Option<String>,
    /// Fixings of the base profile (nail plugs), joiners, packers.
    pub profile_fixing: Option<String>,
    /// Joiner between two base profiles.
    pub profile_joiner: Option<String>,
    /// Packer behind a base profile.
    pub profile_packer: Option<String>,
    /// Anchors that belong to the system, in order of preference.
    pub anchors: Vec<String>,
    /// Wider plate.
    pub plate: Option<String>,
    /// Plug over sunk anchors; where all its anchors are flush, a cap over those.
    pub plug: Option<String>,
    /// Foam for gaps.
    pub foam: Option<String>,
    /// Sealing strip.
    pub sealing_strip: Option<String>,
    /// Waterproofing at the plinth.
    pub waterproofing: Option<String>,
    /// Mounting elements, light and heavy.
    pub mounting_elements: Vec<String>,
    /// Adhesive that sets milled-in mounting elements.
    pub mounting_adhesive: Option<String>,
    /// Primer.
    pub primer: String,
    /// Finishes, the first being the usual one.
    pub finishes: Vec<String>,
    /// Pull-through resistances.
    pub plate_resistances: Vec<PlateResistance>,
    /// Least number of anchors per square metre.
    pub anchors_per_m2_min: f64,
    /// Most anchors per square metre for which the system is claimed.
    pub anchors_per_m2_max: f64,
    /// Reaction-to-fire class of the whole, by EN 13501-1.
    pub reaction_to_fire: String,
}

/// A small part counted in pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Accessory {
    /// Heading.
    pub article: Article,
    /// Pack, price, stock. Counted in pieces.
    pub supply: Supply,
}

/// Low-density foam for gaps between boards.
#[derive(Clone, Debug, PartialEq)]
pub struct Foam {
    /// Heading.
    pub article: Article,
    /// Litres of set foam from one litre on the can.
    pub yield_l_per_l: f64,
    /// Pack, price, stock. Counted in litres.
    pub supply: Supply,
}

/// An adhesive for mounting elements.
#[derive(Clone, Debug, PartialEq)]
pub struct Adhesive {
    /// Heading.
    pub article: Article,
    /// Litres for one mounting element.
    pub litres_per_element: f64,
    /// Pack, price, stock. Counted in litres.
    pub supply: Supply,
}

/// What a mounting element may carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadClass {
    /// Light: milled in and set with polyurethane adhesive.
    Light,
    /// Heavy: let in, bonded, then anchored once dry.
    Heavy,
}

/// A mounting element for hardware on the facade.
#[derive(Clone, Debug, PartialEq)]
pub struct MountingElement {
    /// Heading.
    pub article: Article,
    /// What it may carry.
    pub load: LoadClass,
    /// Anchors it takes.
    pub anchors: u32,
    /// Dry mortar that a heavy one is bonded with, where it is known.
    pub mortar: Option<Mass>,
    /// Board thicknesses it serves.
    pub thickness_min: Mm,
    /// Board thicknesses it serves.
    pub thickness_max: Mm,
    /// Pack, price, stock. Counted in pieces.
    pub supply: Supply,
}
