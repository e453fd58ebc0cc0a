//! `[mortar.*]`, `[primer.*]`, `[finish.*]`, `[waterproofing.*]`

use alloc::string::String;

use material::{BaseCoatUse, BondingUse, Finish, Mortar, Primer, Unit, Waterproofing};
use quantity::{AreaMass, Conductivity, Density, Duration, Length, Stress};

use crate::complete::{ArticleEntry, Completing, of};
use crate::entry::{entry, supplied_article};
use crate::value::Text;

entry! {
    /// How much of a mortar bonding takes.
    BondingEntry {
        /// Bead round the board and dabs on a flat substrate, dry mortar.
        bead_and_dab: f64 = "bead-and-dab-kg-per-m2", Required, 0.1..=30.0;
        /// Added for each millimetre of unevenness, over the bonded share.
        per_mm_unevenness: f64 = "per-mm-unevenness-kg-per-m2", Required, 0.0..=5.0;
        /// The whole face with a notched trowel, dry mortar.
        full_bed: f64 = "full-bed-kg-per-m2", Required, 0.1..=30.0;
        /// Mean thickness of the bed on a flat substrate.
        bed: f64 = "bed-mm", Required, 0.5..=50.0;
        /// Mean dry bond strength to the insulant, where declared.
        strength_to_insulant: f64 = "strength-to-insulant-kpa", Optional, 1.0..=5000.0;
        /// How long until anchors may be set.
        before_anchors: f64 = "before-anchors-hours", Required, 0.0..=1000.0;
    }
}

entry! {
    /// How much of a mortar the reinforced base coat takes.
    BaseCoatEntry {
        /// Dry mortar for each millimetre of thickness.
        per_mm: f64 = "per-mm-kg-per-m2", Required, 0.05..=5.0;
        /// Least thickness.
        thickness_min: f64 = "thickness-min-mm", Required, 0.5..=50.0;
        /// Greatest thickness.
        thickness_max: f64 = "thickness-max-mm", Required, 0.5..=50.0;
        /// Usual thickness.
        thickness: f64 = "thickness-mm", Required, 0.5..=50.0;
        /// Drying before the primer.
        drying: f64 = "drying-hours", Required, 0.0..=2000.0;
    }
}

supplied_article! {
    /// A bonding or levelling mortar, or one that serves for both.
    MortarEntry {
        /// Bonding, where it may bond.
        bonding: BondingEntry = "bonding", Optional, ();
        /// Base coat, where it may be one.
        base_coat: BaseCoatEntry = "base-coat", Optional, ();
        /// Mixing water for each kilogram of dry mortar.
        water: f64 = "water-l-per-kg", Required, 0.0..=2.0;
        /// Density when hardened.
        density: f64 = "density-kg-per-m3", Required, 100.0..=4000.0;
        /// Thermal conductivity when hardened.
        conductivity: f64 = "conductivity-w-per-mk", Required, 0.01..=5.0;
        /// Water vapour diffusion resistance factor when hardened.
        vapour_resistance_factor: f64 = "vapour-resistance-factor", Required, 1.0..=1_000_000.0;
        /// Its hygric data.
        hygric: String = "hygric", Optional, Text::Reference("hygric");
        /// Dry mortar in a pack.
        pack_content: f64 = "pack-kg", Required, 0.1..=5000.0;
    }
}

impl BondingEntry {
    fn complete(&self) -> Option<BondingUse> {
        Some(BondingUse {
            bead_and_dab: AreaMass::from_kg_per_m2(of(&self.bead_and_dab)?),
            per_mm_unevenness: AreaMass::from_kg_per_m2(of(&self.per_mm_unevenness)?),
            full_bed: AreaMass::from_kg_per_m2(of(&self.full_bed)?),
            bed: Length::from_mm(of(&self.bed)?),
            strength_to_insulant: of(&self.strength_to_insulant).map(Stress::from_kpa),
            before_anchors: Duration::from_hours(of(&self.before_anchors)?),
        })
    }
}

impl BaseCoatEntry {
    fn complete(&self, completing: &mut Completing<'_>) -> Option<BaseCoatUse> {
        let (min, usual, max) = (&self.thickness_min, &self.thickness, &self.thickness_max);
        completing.in_order(min, usual, ("`thickness-min-mm`", "`thickness-mm`"));
        completing.in_order(usual, max, ("`thickness-mm`", "`thickness-max-mm`"));
        Some(BaseCoatUse {
            per_mm: AreaMass::from_kg_per_m2(of(&self.per_mm)?),
            thickness_min: Length::from_mm(of(min)?),
            thickness_max: Length::from_mm(of(max)?),
            thickness: Length::from_mm(of(usual)?),
            drying: Duration::from_hours(of(&self.drying)?),
        })
    }
}

impl ArticleEntry for MortarEntry {
    type Material = Mortar;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Mortar> {
        let article = completing.article(self)?;
        if self.bonding.is_none() && self.base_coat.is_none() && self.spoiled.is_empty() {
            let why = alloc::format!("{} neither bonds nor coats", completing.key);
            let help = alloc::format!(
                "add [{0}.bonding], [{0}.base-coat], or both",
                completing.key
            );
            completing.not_together(self.at, why, Some(help));
        }
        let coat = self.base_coat.as_ref();
        Some(Mortar {
            article,
            bonding: self.bonding.as_ref().and_then(|b| b.value.complete()),
            base_coat: coat.and_then(|c| c.value.complete(completing)),
            water_l_per_kg: of(&self.water)?,
            density: Density::from_kg_per_m3(of(&self.density)?),
            conductivity: Conductivity::from_w_per_mk(of(&self.conductivity)?),
            vapour_resistance_factor: of(&self.vapour_resistance_factor)?,
            hygric: of(&self.hygric),
            supply: completing.supply(self, "bag", of(&self.pack_content)?, Unit::Kilogram),
        })
    }
}

supplied_article! {
    /// A pigmented primer under the finish.
    PrimerEntry {
        /// Use before dilution.
        per_area: f64 = "use-kg-per-m2", Required, 0.01..=5.0;
        /// Dilution water as a share of the primer's mass, least; 0 where left out.
        water_share_min: f64 = "water-share-min", Optional, 0.0..=2.0;
        /// Dilution water as a share of the primer's mass, greatest; 0 where left out.
        water_share_max: f64 = "water-share-max", Optional, 0.0..=2.0;
        /// Drying before the finish.
        drying: f64 = "drying-hours", Required, 0.0..=2000.0;
        /// Primer in a pack.
        pack_content: f64 = "pack-kg", Required, 0.1..=2000.0;
    }
}

impl ArticleEntry for PrimerEntry {
    type Material = Primer;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Primer> {
        let article = completing.article(self)?;
        let (least, most) = (&self.water_share_min, &self.water_share_max);
        completing.in_order(least, most, ("`water-share-min`", "`water-share-max`"));
        Some(Primer {
            article,
            per_area: AreaMass::from_kg_per_m2(of(&self.per_area)?),
            water_share_min: of(least).unwrap_or(0.0),
            water_share_max: of(most).or(of(least)).unwrap_or(0.0),
            drying: Duration::from_hours(of(&self.drying)?),
            supply: completing.supply(self, "bucket", of(&self.pack_content)?, Unit::Kilogram),
        })
    }
}

supplied_article! {
    /// A textured finish of one grain.
    FinishEntry {
        /// Grain size.
        grain: f64 = "grain-mm", Required, 0.1..=20.0;
        /// Use.
        per_area: f64 = "use-kg-per-m2", Required, 0.1..=30.0;
        /// Thickness when dry.
        thickness: f64 = "thickness-mm", Required, 0.1..=30.0;
        /// Density when dry.
        density: f64 = "density-kg-per-m3", Required, 100.0..=4000.0;
        /// Thermal conductivity.
        conductivity: f64 = "conductivity-w-per-mk", Required, 0.01..=5.0;
        /// Water vapour diffusion resistance factor.
        vapour_resistance_factor: f64 = "vapour-resistance-factor", Required, 1.0..=1_000_000.0;
        /// Its hygric data.
        hygric: String = "hygric", Optional, Text::Reference("hygric");
        /// Finish in a pack.
        pack_content: f64 = "pack-kg", Required, 0.1..=2000.0;
    }
}

impl ArticleEntry for FinishEntry {
    type Material = Finish;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Finish> {
        Some(Finish {
            article: completing.article(self)?,
            grain: Length::from_mm(of(&self.grain)?),
            per_area: AreaMass::from_kg_per_m2(of(&self.per_area)?),
            thickness: Length::from_mm(of(&self.thickness)?),
            density: Density::from_kg_per_m3(of(&self.density)?),
            conductivity: Conductivity::from_w_per_mk(of(&self.conductivity)?),
            vapour_resistance_factor: of(&self.vapour_resistance_factor)?,
            hygric: of(&self.hygric),
            supply: completing.supply(self, "bucket", of(&self.pack_content)?, Unit::Kilogram),
        })
    }
}

supplied_article! {
    /// Waterproofing behind and over the boards at the plinth and below ground.
    WaterproofingEntry {
        /// Use.
        per_area: f64 = "use-kg-per-m2", Required, 0.1..=30.0;
        /// Waterproofing in a pack.
        pack_content: f64 = "pack-kg", Required, 0.1..=2000.0;
    }
}

impl ArticleEntry for WaterproofingEntry {
    type Material = Waterproofing;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Waterproofing> {
        Some(Waterproofing {
            article: completing.article(self)?,
            per_area: AreaMass::from_kg_per_m2(of(&self.per_area)?),
            supply: completing.supply(self, "bucket", of(&self.pack_content)?, Unit::Kilogram),
        })
    }
}
