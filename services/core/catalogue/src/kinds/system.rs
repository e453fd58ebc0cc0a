//! `[system.*]`

use alloc::string::String;
use alloc::vec::Vec;

use material::{Attachment, PlateResistance, System};
use quantity::{Force, Length, Mm};

use crate::complete::{ArticleEntry, Completing, of};
use crate::entry::{Keyed, article, entry};
use crate::source::Located;
use crate::value::Text;

entry! {
    /// What a board resists when pulled over an anchor's plate.
    PlateResistanceEntry {
        /// The board.
        board: String = "board", Required, Text::Reference("board");
        /// Least board thickness of the tests.
        thickness_min: Mm = "thickness-min-mm", Required, 10..=1000;
        /// Least plate diameter of the tests.
        plate_diameter_min: Mm = "plate-diameter-min-mm", Required, 20..=500;
        /// Characteristic resistance of an anchor in the board's field.
        panel: f64 = "panel-kn", Required, 0.001..=20.0;
        /// Characteristic resistance of an anchor at a board joint.
        joint: f64 = "joint-kn", Required, 0.001..=20.0;
        /// True takes this row out.
        withdrawn: bool = "withdrawn", Optional, ();
    }
    withdrawn by withdrawn
}

article! {
    /// Which parts go together, and what they carry together.
    SystemEntry {
        /// How the system is held to the wall.
        attachment: String = "attachment", Required, Text::Choice(&[
            "bonded", "bonded-with-supplementary-anchors", "anchored-with-supplementary-mortar",
        ]);
        /// Board on the facade.
        board: String = "board", Required, Text::Reference("board");
        /// Board in the splash zone and below ground, where the facade board may not stand there.
        plinth_board: String = "plinth-board", Optional, Text::Reference("board");
        /// Board of fire-barrier strips, where the system has one.
        barrier_board: String = "barrier-board", Optional, Text::Reference("board");
        /// Bonding mortar.
        bonding_mortar: String = "bonding-mortar", Required, Text::Reference("mortar");
        /// Mortar of the base coat.
        base_coat_mortar: String = "base-coat-mortar", Required, Text::Reference("mortar");
        /// Thickness of the base coat.
        base_coat_thickness: f64 = "base-coat-thickness-mm", Required, 0.5..=50.0;
        /// Mesh.
        mesh: String = "mesh", Required, Text::Reference("mesh");
        /// Beads, each use at most once.
        beads: Vec<Located<String>> = "beads", Optional, Text::Reference("bead");
        /// Base profile.
        base_profile: String = "base-profile", Optional, Text::Reference("base-profile");
        /// Fixing of the base profile.
        profile_fixing: String = "profile-fixing", Optional, Text::Reference("accessory");
        /// Joiner between two base profiles.
        profile_joiner: String = "profile-joiner", Optional, Text::Reference("accessory");
        /// Packer behind a base profile.
        profile_packer: String = "profile-packer", Optional, Text::Reference("accessory");
        /// Anchors that belong to the system, in order of preference.
        anchors: Vec<Located<String>> = "anchors", Optional, Text::Reference("anchor");
        /// Wider plate.
        plate: String = "plate", Optional, Text::Reference("plate");
        /// Plug over sunk anchors, or cap over flush ones.
        plug: String = "plug", Optional, Text::Reference("plug");
        /// Foam for gaps.
        foam: String = "foam", Optional, Text::Reference("foam");
        /// Sealing strip.
        sealing_strip: String = "sealing-strip", Optional, Text::Reference("sealing-strip");
        /// Waterproofing at the plinth.
        waterproofing: String = "waterproofing", Optional, Text::Reference("waterproofing");
        /// Mounting elements, light and heavy.
        mounting_elements: Vec<Located<String>> = "mounting-elements", Optional, Text::Reference("mounting-element");
        /// Adhesive that sets milled-in mounting elements.
        mounting_adhesive: String = "mounting-adhesive", Optional, Text::Reference("adhesive");
        /// Primer.
        primer: String = "primer", Required, Text::Reference("primer");
        /// Finishes, the first being the usual one.
        finishes: Vec<Located<String>> = "finishes", Required, Text::Reference("finish");
        /// Pull-through resistances, by a free key.
        plate_resistances: Keyed<String, PlateResistanceEntry> = "plate-resistance", Optional, ();
        /// Least number of anchors; 0 where left out.
        anchors_min: f64 = "anchors-min-per-m2", Optional, 0.0..=40.0;
        /// Most anchors for which the system is claimed.
        anchors_max: f64 = "anchors-max-per-m2", Required, 0.0..=40.0;
        /// Reaction-to-fire class of the whole, by EN 13501-1.
        reaction_to_fire: String = "reaction-to-fire", Required, Text::FireClass;
    }
}

fn texts(list: Option<&Located<Vec<Located<String>>>>) -> Vec<String> {
    let items = list.into_iter().flat_map(|l| &l.value);
    items.map(|item| item.value.clone()).collect()
}

impl ArticleEntry for SystemEntry {
    type Material = System;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<System> {
        let article = completing.article(self)?;
        let (least, most) = (&self.anchors_min, &self.anchors_max);
        completing.in_order(
            least,
            most,
            ("`anchors-min-per-m2`", "`anchors-max-per-m2`"),
        );
        let attachment = match of(&self.attachment)?.as_str() {
            "bonded" => Attachment::Bonded,
            "bonded-with-supplementary-anchors" => Attachment::BondedWithSupplementaryAnchors,
            _ => Attachment::AnchoredWithSupplementaryMortar,
        };
        Some(System {
            article,
            attachment,
            board: of(&self.board)?,
            plinth_board: of(&self.plinth_board),
            barrier_board: of(&self.barrier_board),
            bonding_mortar: of(&self.bonding_mortar)?,
            base_coat_mortar: of(&self.base_coat_mortar)?,
            base_coat_thickness: Length::from_mm(of(&self.base_coat_thickness)?),
            mesh: of(&self.mesh)?,
            beads: texts(self.beads.as_ref()),
            base_profile: of(&self.base_profile),
            profile_fixing: of(&self.profile_fixing),
            profile_joiner: of(&self.profile_joiner),
            profile_packer: of(&self.profile_packer),
            anchors: texts(self.anchors.as_ref()),
            plate: of(&self.plate),
            plug: of(&self.plug),
            foam: of(&self.foam),
            sealing_strip: of(&self.sealing_strip),
            waterproofing: of(&self.waterproofing),
            mounting_elements: texts(self.mounting_elements.as_ref()),
            mounting_adhesive: of(&self.mounting_adhesive),
            primer: of(&self.primer)?,
            finishes: texts(self.finishes.as_ref()),
            plate_resistances: self.resistances()?,
            anchors_per_m2_min: of(least).unwrap_or(0.0),
            anchors_per_m2_max: of(most)?,
            reaction_to_fire: of(&self.reaction_to_fire)?,
        })
    }
}

impl SystemEntry {
    fn resistances(&self) -> Option<Vec<PlateResistance>> {
        let rows = self.plate_resistances.iter().flat_map(|r| r.value.kept());
        rows.map(|(_, row)| {
            Some(PlateResistance {
                board: of(&row.board)?,
                thickness_min: of(&row.thickness_min)?,
                plate_diameter_min: of(&row.plate_diameter_min)?,
                panel: Force::from_kn(of(&row.panel)?),
                joint: Force::from_kn(of(&row.joint)?),
            })
        })
        .collect()
    }
}
