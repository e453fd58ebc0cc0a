//! `[anchor.*]`, `[plate.*]`, `[plug.*]`

use alloc::string::String;
use alloc::vec::Vec;

use material::{Anchor, AnchorLength, BaseCategory, BaseResistance, Plate, Plug, Setting, Unit};
use quantity::{Force, Length, Mm, PointTransmittance};

use crate::complete::{ArticleEntry, Completing, of};
use crate::entry::{Keyed, article, entry, size, supplied_article};
use crate::value::Text;

size! {
    /// One stocked length of an anchor.
    AnchorLengthEntry {
        /// Anchors in a pack.
        pieces: u32 = "pieces-per-pack", Required, 1..=100_000;
    }
}

entry! {
    /// What an anchor carries in one category of base material.
    BaseResistanceEntry {
        /// Characteristic pull-out resistance.
        resistance: f64 = "resistance-kn", Required, 0.01..=20.0;
        /// Effective embedment.
        embedment: Mm = "embedment-mm", Required, 5..=500;
        /// Drill depth beyond the embedment.
        extra_drill_depth: Mm = "extra-drill-depth-mm", Required, 0..=200;
        /// True takes the category out: the anchor is refused there.
        withdrawn: bool = "withdrawn", Optional, ();
    }
    withdrawn by withdrawn
}

article! {
    /// A plastic anchor with a plate, stocked in several lengths.
    AnchorEntry {
        /// What it carries, by category of base material from A to E; a category that is missing is refused.
        base: Keyed<char, BaseResistanceEntry> = "base", Required, ();
        /// Diameter of the plate.
        plate_diameter: Mm = "plate-diameter-mm", Required, 20..=300;
        /// Stiffness of the plate, where declared.
        plate_stiffness: f64 = "plate-stiffness-kn-per-mm", Optional, 0.01..=50.0;
        /// Diameter of the drill.
        drill_diameter: Mm = "drill-diameter-mm", Required, 3..=40;
        /// Point thermal transmittance.
        point_transmittance: f64 = "point-transmittance-w-per-k", Required, 0.0..=0.1;
        /// How the plate sits.
        setting: String = "setting", Required, Text::Choice(&["flush", "recessed"]);
        /// How far a recessed plate sits below the board's face.
        recess_depth: Mm = "recess-depth-mm", Optional, 1..=100;
        /// The least board thickness it is assessed for.
        board_thickness_min: Mm = "board-thickness-min-mm", Required, 10..=1000;
        /// Least distance between anchors.
        spacing_min: Mm = "spacing-min-mm", Required, 10..=1000;
        /// Least distance from the edge of the base material.
        edge_distance_min: Mm = "edge-distance-min-mm", Required, 10..=1000;
        /// Least thickness of the base material.
        member_thickness_min: f64 = "member-thickness-min-mm", Required, 10.0..=1000.0;
        /// Stocked lengths by millimetres.
        length: Keyed<i32, AnchorLengthEntry> = "length", Required, ();
    }
}

impl AnchorEntry {
    fn resistances(&self, completing: &mut Completing<'_>) -> Option<Vec<BaseResistance>> {
        let base = self.base.as_ref()?;
        let mut resistances = Vec::new();
        for (&letter, entry) in base.value.kept() {
            resistances.push(BaseResistance {
                category: BaseCategory::from_letter(letter)?,
                resistance: Force::from_kn(of(&entry.resistance)?),
                embedment: of(&entry.embedment)?,
                extra_drill_depth: of(&entry.extra_drill_depth)?,
            });
        }
        if resistances.is_empty() {
            let help = alloc::format!("add a table such as [{}.base.A]", completing.key);
            completing.empty(base.at, "category of base material", help);
            return None;
        }
        Some(resistances)
    }

    fn stocked(&self, completing: &mut Completing<'_>) -> Option<Vec<AnchorLength>> {
        let lengths = self.length.as_ref()?;
        let mut stocked = Vec::new();
        for (&mm, entry) in lengths.value.kept() {
            let pieces = f64::from(of(&entry.pieces)?);
            stocked.push(AnchorLength {
                length: Mm(mm),
                supply: completing.supply(entry, "box", pieces, Unit::Piece),
            });
        }
        if stocked.is_empty() {
            let help = alloc::format!("add a table such as [{}.length.215]", completing.key);
            completing.empty(lengths.at, "stocked length", help);
            return None;
        }
        Some(stocked)
    }

    fn sits(&self, completing: &mut Completing<'_>) -> Option<Setting> {
        let setting = self.setting.as_ref()?;
        match (setting.value.as_str(), &self.recess_depth) {
            ("recessed", Some(depth)) => {
                if let Some(least) = &self.board_thickness_min
                    && depth.value >= least.value
                {
                    let why = alloc::format!(
                        "a recess of {} goes through the thinnest board, {}",
                        depth.value,
                        least.value
                    );
                    completing.not_together(depth.at, why, None);
                }
                Some(Setting::Recessed { depth: depth.value })
            }
            ("recessed", None) if !self.spoiled.contains("recess-depth-mm") => {
                let why = "a recessed anchor needs `recess-depth-mm`".into();
                completing.not_together(setting.at, why, None);
                None
            }
            (_, Some(depth)) => {
                let why =
                    "`recess-depth-mm` belongs to a recessed anchor, and this one is flush".into();
                completing.not_together(depth.at, why, None);
                None
            }
            _ => Some(Setting::Flush),
        }
    }
}

impl ArticleEntry for AnchorEntry {
    type Material = Anchor;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Anchor> {
        let article = completing.article(self)?;
        let base = self.resistances(completing);
        let lengths = self.stocked(completing);
        let setting = self.sits(completing);
        let least = of(&self.member_thickness_min)?;
        Some(Anchor {
            article,
            base: base?,
            plate_diameter: of(&self.plate_diameter)?,
            plate_stiffness_kn_per_mm: of(&self.plate_stiffness),
            drill_diameter: of(&self.drill_diameter)?,
            point_transmittance: PointTransmittance::from_w_per_k(of(&self.point_transmittance)?),
            setting: setting?,
            board_thickness_min: of(&self.board_thickness_min)?,
            spacing_min: of(&self.spacing_min)?,
            edge_distance_min: of(&self.edge_distance_min)?,
            member_thickness_min: Length::from_mm(least),
            lengths: lengths?,
        })
    }
}

supplied_article! {
    /// A wider plate under an anchor's own, for soft boards.
    PlateEntry {
        /// Diameter.
        diameter: Mm = "diameter-mm", Required, 20..=500;
        /// Plates in a pack.
        pieces: u32 = "pieces-per-pack", Required, 1..=100_000;
    }
}

impl ArticleEntry for PlateEntry {
    type Material = Plate;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Plate> {
        let pieces = f64::from(of(&self.pieces)?);
        Some(Plate {
            article: completing.article(self)?,
            diameter: of(&self.diameter)?,
            supply: completing.supply(self, "box", pieces, Unit::Piece),
        })
    }
}

supplied_article! {
    /// A plug of insulant over a sunk anchor, or a cap over a flush one.
    PlugEntry {
        /// Plugs in a pack.
        pieces: u32 = "pieces-per-pack", Required, 1..=100_000;
    }
}

impl ArticleEntry for PlugEntry {
    type Material = Plug;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Plug> {
        let pieces = f64::from(of(&self.pieces)?);
        Some(Plug {
            article: completing.article(self)?,
            supply: completing.supply(self, "box", pieces, Unit::Piece),
        })
    }
}
