//! `[board.*]`

use alloc::string::String;
use alloc::vec::Vec;

use material::{Board, BoardThickness, Exposure, Rotation, Unit};
use quantity::{Conductivity, Density, Mm, SpecificHeat};

use crate::complete::{ArticleEntry, Completing, of};
use crate::entry::{Keyed, article, size};
use crate::source::Located;
use crate::value::Text;

size! {
    /// One stocked thickness of a board.
    BoardThicknessEntry {
        /// Boards in a pack.
        boards_per_pack: u32 = "boards-per-pack", Required, 1..=1000;
    }
}

article! {
    /// A kind of insulation board, stocked in several thicknesses.
    BoardEntry {
        /// The insulant in words, such as `expanded polystyrene`.
        insulant: String = "insulant", Required, Text::Free;
        /// Length, laid along the course.
        length: Mm = "length-mm", Required, 100..=5000;
        /// Height of a course.
        height: Mm = "height-mm", Required, 100..=3000;
        /// Design thermal conductivity.
        conductivity: f64 = "conductivity-w-per-mk", Required, 0.003..=1.0;
        /// Density.
        density: f64 = "density-kg-per-m3", Required, 5.0..=1000.0;
        /// Specific heat capacity.
        specific_heat: f64 = "specific-heat-j-per-kgk", Required, 100.0..=5000.0;
        /// Water vapour diffusion resistance factor.
        vapour_resistance_factor: f64 = "vapour-resistance-factor", Required, 1.0..=1_000_000.0;
        /// Its hygric data.
        hygric: String = "hygric", Optional, Text::Reference("hygric");
        /// Reaction-to-fire class by EN 13501-1.
        reaction_to_fire: String = "reaction-to-fire", Required, Text::FireClass;
        /// Whether it may be turned by a right angle; `allowed` where left out.
        rotation: String = "rotation", Optional, Text::Choice(&["allowed", "forbidden"]);
        /// Where it may stand; on the facade only where left out.
        exposure: Vec<Located<String>> = "exposure", Optional, Text::Choice(&["facade", "plinth", "ground"]);
        /// Width of a cut; 0 where left out.
        kerf: Mm = "kerf-mm", Optional, 0..=20;
        /// The least share of the board's back that must be bonded.
        bonded_share_min: f64 = "bonded-share-min", Required, 0.0..=1.0;
        /// Whether anchors in this board take a wider plate; false where left out.
        wider_plate: bool = "wider-plate", Optional, ();
        /// Stocked thicknesses by millimetres.
        thickness: Keyed<i32, BoardThicknessEntry> = "thickness", Required, ();
    }
}

impl ArticleEntry for BoardEntry {
    type Material = Board;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Board> {
        let article = completing.article(self)?;
        let thickness = self.thickness.as_ref()?;
        let mut thicknesses = Vec::new();
        for (&mm, entry) in thickness.value.kept() {
            let boards_per_pack = of(&entry.boards_per_pack)?;
            let pieces = f64::from(boards_per_pack);
            thicknesses.push(BoardThickness {
                thickness: Mm(mm),
                boards_per_pack,
                supply: completing.supply(entry, "pack", pieces, Unit::Piece),
            });
        }
        if thicknesses.is_empty() {
            let help = alloc::format!("add a table such as [{}.thickness.140]", completing.key);
            completing.empty(thickness.at, "stocked thickness", help);
            return None;
        }
        let rotation = match of(&self.rotation).as_deref() {
            Some("forbidden") => Rotation::Forbidden,
            _ => Rotation::Allowed,
        };
        Some(Board {
            article,
            insulant: of(&self.insulant)?,
            length: of(&self.length)?,
            height: of(&self.height)?,
            conductivity: Conductivity::from_w_per_mk(of(&self.conductivity)?),
            density: Density::from_kg_per_m3(of(&self.density)?),
            specific_heat: SpecificHeat::from_j_per_kgk(of(&self.specific_heat)?),
            vapour_resistance_factor: of(&self.vapour_resistance_factor)?,
            hygric: of(&self.hygric),
            reaction_to_fire: of(&self.reaction_to_fire)?,
            rotation,
            exposure: self.stands(),
            kerf: of(&self.kerf).unwrap_or_default(),
            bonded_share_min: of(&self.bonded_share_min)?,
            wider_plate: of(&self.wider_plate).unwrap_or(false),
            thicknesses,
        })
    }
}

impl BoardEntry {
    fn stands(&self) -> Exposure {
        let Some(places) = &self.exposure else {
            return Exposure {
                facade: true,
                plinth: false,
                ground: false,
            };
        };
        let holds = |place: &str| places.value.iter().any(|p| p.value == place);
        Exposure {
            facade: holds("facade"),
            plinth: holds("plinth"),
            ground: holds("ground"),
        }
    }
}
