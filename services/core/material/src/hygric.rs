//! What generic materials do with water.

use quantity::{Conductivity, Density, SpecificHeat, WaterAbsorption};

use crate::pack::Article;

/// Hygric data of a generic material: of masonry, render, boards and coats alike. They are not bought.
#[derive(Clone, Debug, PartialEq)]
pub struct Hygric {
    /// Heading.
    pub article: Article,
    /// Water content at free saturation.
    pub free_saturation: Density,
    /// Water content in balance with 80 % relative humidity, below 79 % of free saturation.
    pub water_at_80: Density,
    /// Water absorption coefficient; zero for a material that draws no liquid.
    pub water_absorption: WaterAbsorption,
    /// Water vapour diffusion resistance factor by the dry cup; an article's own factor stands above it.
    pub vapour_factor_dry: Option<f64>,
    /// Water vapour diffusion resistance factor by the wet cup.
    pub vapour_factor_wet: Option<f64>,
    /// Thermal conductivity when dry; an article's own stands above it.
    pub conductivity: Option<Conductivity>,
    /// By how much one kilogram of water in a cubic metre raises the conductivity, in W/(m.K).
    pub conductivity_by_water: f64,
    /// Density when dry; an article's own stands above it.
    pub density: Option<Density>,
    /// Specific heat capacity when dry; an article's own stands above it.
    pub specific_heat: Option<SpecificHeat>,
}
