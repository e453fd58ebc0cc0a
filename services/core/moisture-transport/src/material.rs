//! What a layer does with water: how much it holds, how it lets vapour through, how it draws liquid.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Conductivity, Density, Diffusivity, Length, SpecificHeat, WaterAbsorption};

/// A material with its hygric data.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// What it is, such as `solid brick`.
    pub name: String,
    /// The thermal conductivity when dry.
    pub conductivity: Conductivity,
    /// By how much one kilogram of water in a cubic metre raises it, in W/(m.K) for each kg/m3.
    pub conductivity_by_water: f64,
    /// The density when dry.
    pub density: Density,
    /// The specific heat capacity when dry.
    pub specific_heat: SpecificHeat,
    /// The resistance to vapour.
    pub vapour: VapourResistance,
    /// The water held.
    pub sorption: Sorption,
    /// The liquid drawn.
    pub liquid: Liquid,
}

/// How a material resists vapour.
#[derive(Clone, Debug, PartialEq)]
pub enum VapourResistance {
    /// One factor at every humidity.
    Constant {
        /// The vapour resistance factor, at least 1.
        factor: f64,
    },
    /// A dry and a wet factor, changing linearly between the humidities of the two cups.
    DryWet {
        /// Up to 25 % relative humidity.
        dry: f64,
        /// From 75 % relative humidity.
        wet: f64,
    },
    /// Falling as water fills the pores, the form of the EN 15026 benchmark; it needs a saturation from the sorption.
    FillingPores {
        /// The factor when dry.
        factor: f64,
    },
}

/// How much water a material holds at a relative humidity.
#[derive(Clone, Debug, PartialEq)]
pub enum Sorption {
    /// None worth counting.
    None,
    /// `w_f / (1 + (a p_suc)^n)^m`, by suction.
    BySuction {
        /// The water content when saturated.
        saturation: Density,
        /// The factor of the suction, in 1/Pa.
        a_per_pa: f64,
        /// The inner exponent.
        n: f64,
        /// The outer exponent.
        m: f64,
    },
    /// `w_f / (1 - ln(phi)/a)^n`, by the logarithm of humidity.
    Logarithmic {
        /// The water content when saturated.
        saturation: Density,
        /// The scale of the logarithm.
        a: f64,
        /// The exponent.
        n: f64,
    },
    /// By two measured points: free saturation, and the content at 80 % relative humidity.
    Capillary {
        /// Free saturation.
        free_saturation: Density,
        /// The water content at 80 % relative humidity, below 80 % of free saturation.
        at_80: Density,
    },
    /// A curve of relative humidity and water content, straight between its points; both rise.
    Table {
        /// The points, from humidity 0 to humidity 1.
        points: Vec<SorptionPoint>,
    },
}

/// A point of a sorption curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SorptionPoint {
    /// The relative humidity, 0 to 1.
    pub humidity: f64,
    /// The water content there.
    pub water: Density,
}

/// How a material moves liquid water.
#[derive(Clone, Debug, PartialEq)]
pub enum Liquid {
    /// It does not: plastic foams, wool treated against water.
    None,
    /// A liquid conductivity whose logarithm is a polynomial of the water content: `K = exp(sum(c_k (w - w_0)^k))`, in s.
    ByConductivity {
        /// The coefficients from the constant one upwards.
        coefficients: Vec<f64>,
        /// The water content around which they are taken.
        around: Density,
    },
    /// One diffusivity at every water content.
    ByDiffusivity(Diffusivity),
    /// By the water absorption coefficient: it needs a saturation from the sorption.
    ByAbsorption {
        /// The water absorption coefficient.
        coefficient: WaterAbsorption,
        /// Water already in the pores spreads more slowly than rain is drawn in: the share of the diffusivity that is left while
        /// no rain strikes the wall, above 0 and up to 1. A tenth is usual (common practice, no source).
        redistribution: f64,
    },
}

/// How wet a layer is at the start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Start {
    /// In balance with a relative humidity, 0 to 1.
    Humidity(f64),
    /// At a water content, which the sorption must reach.
    Water(Density),
}

/// A layer of the wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Its thickness.
    pub thickness: Length,
    /// Its material.
    pub material: Material,
    /// How wet it starts.
    pub start: Start,
}
