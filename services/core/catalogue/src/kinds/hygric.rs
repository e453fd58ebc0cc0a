//! `[hygric.*]`

use material::Hygric;
use quantity::{Conductivity, Density, SpecificHeat, WaterAbsorption};

use crate::complete::{ArticleEntry, Completing, of};
use crate::entry::article;

article! {
    /// What a generic material does with water: masonry, render, boards, coats.
    HygricEntry {
        /// Water content at free saturation.
        free_saturation: f64 = "free-saturation-kg-per-m3", Required, 0.1..=1000.0;
        /// Water content in balance with 80 % relative humidity, below 79 % of free saturation.
        water_at_80: f64 = "water-at-80-kg-per-m3", Required, 0.001..=500.0;
        /// Water absorption coefficient, for a square metre and the root of a second; 0 for a material that draws no liquid.
        water_absorption: f64 = "water-absorption-kg-per-m2s05", Required, 0.0..=5.0;
        /// Water vapour diffusion resistance factor by the dry cup; an article's own stands above it.
        vapour_factor_dry: f64 = "vapour-factor-dry", Optional, 1.0..=1_000_000.0;
        /// Water vapour diffusion resistance factor by the wet cup; as by the dry cup where left out.
        vapour_factor_wet: f64 = "vapour-factor-wet", Optional, 1.0..=1_000_000.0;
        /// Thermal conductivity when dry; an article's own stands above it.
        conductivity: f64 = "conductivity-w-per-mk", Optional, 0.003..=10.0;
        /// By how much one kilogram of water in a cubic metre raises the conductivity, W/(m.K); 0 where left out.
        conductivity_by_water: f64 = "conductivity-by-water", Optional, 0.0..=0.1;
        /// Density when dry; an article's own stands above it.
        density: f64 = "density-kg-per-m3", Optional, 5.0..=5000.0;
        /// Specific heat capacity when dry; an article's own stands above it.
        specific_heat: f64 = "specific-heat-j-per-kgk", Optional, 100.0..=5000.0;
    }
}

impl ArticleEntry for HygricEntry {
    type Material = Hygric;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Hygric> {
        let article = completing.article(self)?;
        let (full, at_80) = (of(&self.free_saturation)?, of(&self.water_at_80)?);
        if at_80 > 0.79 * full {
            let why = alloc::format!(
                "`water-at-80-kg-per-m3` {at_80} exceeds 79 % of `free-saturation-kg-per-m3` {full}"
            );
            let at = self.water_at_80.as_ref().map_or(self.at, |f| f.at);
            completing.not_together(at, why, None);
        }
        let dry = of(&self.vapour_factor_dry);
        Some(Hygric {
            article,
            free_saturation: Density::from_kg_per_m3(full),
            water_at_80: Density::from_kg_per_m3(at_80),
            water_absorption: WaterAbsorption::from_kg_per_m2_root_s(of(&self.water_absorption)?),
            vapour_factor_dry: dry,
            vapour_factor_wet: of(&self.vapour_factor_wet).or(dry),
            conductivity: of(&self.conductivity).map(Conductivity::from_w_per_mk),
            conductivity_by_water: of(&self.conductivity_by_water).unwrap_or(0.0),
            density: of(&self.density).map(Density::from_kg_per_m3),
            specific_heat: of(&self.specific_heat).map(SpecificHeat::from_j_per_kgk),
        })
    }
}
