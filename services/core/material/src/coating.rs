//! Mortars, primers, finishes and the waterproofing at the base.

use alloc::string::String;

use quantity::{AreaMass, Conductivity, Density, Duration, Length, Stress};

use crate::pack::{Article, Supply};

/// How much of a mortar bonding takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BondingUse {
    /// Bead round the board and dabs, on a flat substrate, dry mortar per square metre.
    pub bead_and_dab: AreaMass,
    /// Added for each millimetre of unevenness, dry mortar per square metre and millimetre, over the bonded share.
    pub per_mm_unevenness: AreaMass,
    /// The whole face with a notched trowel, dry mortar per square metre.
    pub full_bed: AreaMass,
    /// Mean thickness of the bed on a flat substrate.
    pub bed: Length,
    /// Mean dry bond strength to the insulant, where declared.
    pub strength_to_insulant: Option<Stress>,
    /// How long until anchors may be set.
    pub before_anchors: Duration,
}

/// How much of a mortar the reinforced base coat takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BaseCoatUse {
    /// Dry mortar per square metre for each millimetre of thickness.
    pub per_mm: AreaMass,
    /// Least thickness.
    pub thickness_min: Length,
    /// Greatest thickness.
    pub thickness_max: Length,
    /// Usual thickness.
    pub thickness: Length,
    /// Drying before the primer.
    pub drying: Duration,
}

/// A bonding or levelling mortar, or one that serves for both.
#[derive(Clone, Debug, PartialEq)]
pub struct Mortar {
    /// Heading.
    pub article: Article,
    /// Bonding, where it may bond.
    pub bonding: Option<BondingUse>,
    /// Base coat, where it may be one.
    pub base_coat: Option<BaseCoatUse>,
    /// Mixing water in litres for each kilogram of dry mortar.
    pub water_l_per_kg: f64,
    /// Density when hardened.
    pub density: Density,
    /// Thermal conductivity when hardened.
    pub conductivity: Conductivity,
    /// Water vapour diffusion resistance factor when hardened.
    pub vapour_resistance_factor: f64,
    /// Key of its hygric data without the kind, where there are any.
    pub hygric: Option<String>,
    /// Pack, price, stock. Counted in kilograms.
    pub supply: Supply,
}

/// A pigmented primer under the finish.
#[derive(Clone, Debug, PartialEq)]
pub struct Primer {
    /// Heading.
    pub article: Article,
    /// Use before dilution.
    pub per_area: AreaMass,
    /// Dilution water as a share of the primer's mass, least.
    pub water_share_min: f64,
    /// Dilution water as a share of the primer's mass, greatest.
    pub water_share_max: f64,
    /// Drying before the finish.
    pub drying: Duration,
    /// Pack, price, stock. Counted in kilograms.
    pub supply: Supply,
}

/// A textured finish of one grain.
#[derive(Clone, Debug, PartialEq)]
pub struct Finish {
    /// Heading.
    pub article: Article,
    /// Grain size.
    pub grain: Length,
    /// Use.
    pub per_area: AreaMass,
    /// Thickness when dry.
    pub thickness: Length,
    /// Density when dry.
    pub density: Density,
    /// Thermal conductivity.
    pub conductivity: Conductivity,
    /// Water vapour diffusion resistance factor.
    pub vapour_resistance_factor: f64,
    /// Key of its hygric data without the kind, where there are any.
    pub hygric: Option<String>,
    /// Pack, price, stock. Counted in kilograms.
    pub supply: Supply,
}

/// Waterproofing behind and over the boards at the plinth and below ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Waterproofing {
    /// Heading.
    pub article: Article,
    /// Use.
    pub per_area: AreaMass,
    /// Pack, price, stock. Counted in kilograms.
    pub supply: Supply,
}
