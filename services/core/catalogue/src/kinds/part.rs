//! `[accessory.*]`, `[foam.*]`, `[mounting-element.*]`, `[adhesive.*]`

use alloc::string::String;

use material::{Accessory, Adhesive, Foam, LoadClass, MountingElement, Unit};
use quantity::{Mass, Mm};

use crate::complete::{ArticleEntry, Completing, of};
use crate::entry::supplied_article;
use crate::value::Text;

supplied_article! {
    /// A small part counted in pieces: fixings, joiners, packers.
    AccessoryEntry {
        /// Pieces in a pack.
        pieces: u32 = "pieces-per-pack", Required, 1..=100_000;
    }
}

impl ArticleEntry for AccessoryEntry {
    type Material = Accessory;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Accessory> {
        let pieces = f64::from(of(&self.pieces)?);
        Some(Accessory {
            article: completing.article(self)?,
            supply: completing.supply(self, "box", pieces, Unit::Piece),
        })
    }
}

supplied_article! {
    /// Low-density foam for gaps between boards.
    FoamEntry {
        /// Litres of set foam from one litre on the can.
        foamed: f64 = "yield-l-per-l", Required, 1.0..=100.0;
        /// Litres on the can.
        pack_content: f64 = "pack-litres", Required, 0.05..=200.0;
    }
}

impl ArticleEntry for FoamEntry {
    type Material = Foam;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Foam> {
        Some(Foam {
            article: completing.article(self)?,
            yield_l_per_l: of(&self.foamed)?,
            supply: completing.supply(self, "can", of(&self.pack_content)?, Unit::Litre),
        })
    }
}

supplied_article! {
    /// An adhesive for mounting elements.
    AdhesiveEntry {
        /// Adhesive for one mounting element.
        per_element: f64 = "per-element-litres", Required, 0.001..=10.0;
        /// Litres in a pack.
        pack_content: f64 = "pack-litres", Required, 0.05..=200.0;
    }
}

impl ArticleEntry for AdhesiveEntry {
    type Material = Adhesive;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Adhesive> {
        Some(Adhesive {
            article: completing.article(self)?,
            litres_per_element: of(&self.per_element)?,
            supply: completing.supply(self, "cartridge", of(&self.pack_content)?, Unit::Litre),
        })
    }
}

supplied_article! {
    /// A mounting element for hardware on the facade.
    MountingElementEntry {
        /// What it may carry: light ones are milled in and glued, heavy ones let in, bonded and anchored.
        load: String = "load", Required, Text::Choice(&["light", "heavy"]);
        /// Anchors it takes; 0 where left out.
        anchors: u32 = "anchors", Optional, 0..=20;
        /// Dry bonding mortar for one heavy element; not counted where left out.
        mortar: f64 = "mortar-kg-per-element", Optional, 0.01..=50.0;
        /// Thinnest board it serves.
        thickness_min: Mm = "thickness-min-mm", Required, 10..=1000;
        /// Thickest board it serves.
        thickness_max: Mm = "thickness-max-mm", Required, 10..=1000;
        /// Pieces in a pack.
        pieces: u32 = "pieces-per-pack", Required, 1..=10_000;
    }
}

impl ArticleEntry for MountingElementEntry {
    type Material = MountingElement;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<MountingElement> {
        let article = completing.article(self)?;
        let (min, max) = (self.thickness_min.as_ref()?, self.thickness_max.as_ref()?);
        if min.value > max.value {
            let why = alloc::format!(
                "`thickness-min-mm` {} exceeds `thickness-max-mm` {}",
                min.value.0,
                max.value.0
            );
            completing.not_together(min.at, why, None);
        }
        let load = match of(&self.load)?.as_str() {
            "light" => LoadClass::Light,
            _ => LoadClass::Heavy,
        };
        let anchors = of(&self.anchors).unwrap_or(0);
        if load == LoadClass::Heavy && anchors == 0 && !self.spoiled.contains("anchors") {
            let why = "a heavy mounting element is anchored, and `anchors` is 0".into();
            completing.not_together(
                self.at,
                why,
                Some("say how many it takes: `anchors = 4`".into()),
            );
        }
        if let Some(mortar) = self.mortar.as_ref().filter(|_| load == LoadClass::Light) {
            let why = "a light mounting element is glued, and takes no mortar".into();
            completing.not_together(mortar.at, why, None);
        }
        let pieces = f64::from(of(&self.pieces)?);
        Some(MountingElement {
            article,
            load,
            anchors,
            mortar: of(&self.mortar).map(Mass::from_kg),
            thickness_min: min.value,
            thickness_max: max.value,
            supply: completing.supply(self, "box", pieces, Unit::Piece),
        })
    }
}
