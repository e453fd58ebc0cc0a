//! `[mesh.*]`, `[bead.*]`, `[base-profile.*]`, `[sealing-strip.*]`

use alloc::string::String;
use alloc::vec::Vec;

use material::{BaseProfile, Bead, BeadUse, LinearStock, Mesh, ProfileSize, SealingStrip, Unit};
use quantity::{AreaMass, LinearTransmittance, Mm};

use crate::complete::{ArticleEntry, Completing, of};
use crate::entry::{Keyed, article, entry, size, supplied_article};
use crate::source::{Located, Place};
use crate::value::Text;

supplied_article! {
    /// Reinforcement mesh in rolls. A pack is one roll.
    MeshEntry {
        /// Width of the roll.
        roll_width: Mm = "roll-width-mm", Required, 100..=5000;
        /// Length of the roll.
        roll_length: Mm = "roll-length-mm", Required, 1000..=500_000;
        /// Least overlap of two strips.
        overlap: Mm = "overlap-mm", Required, 0..=500;
        /// Mass.
        mass: f64 = "mass-g-per-m2", Required, 10.0..=2000.0;
        /// Width of the diagonal piece at an opening's corner.
        diagonal_width: Mm = "diagonal-width-mm", Required, 0..=1000;
        /// Length of the diagonal piece at an opening's corner.
        diagonal_length: Mm = "diagonal-length-mm", Required, 0..=1500;
    }
}

impl ArticleEntry for MeshEntry {
    type Material = Mesh;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Mesh> {
        let article = completing.article(self)?;
        let (width, length) = (of(&self.roll_width)?, of(&self.roll_length)?);
        let overlap = self.overlap.as_ref()?;
        if overlap.value >= width {
            let why = alloc::format!(
                "the overlap {} leaves nothing of a roll {width} wide",
                overlap.value
            );
            completing.not_together(overlap.at, why, None);
        }
        let area = (width.to_length() * length.to_length()).as_m2();
        Some(Mesh {
            article,
            roll_width: width,
            roll_length: length,
            overlap: overlap.value,
            per_area: AreaMass::from_kg_per_m2(of(&self.mass)? / 1000.0),
            diagonal_width: of(&self.diagonal_width)?,
            diagonal_length: of(&self.diagonal_length)?,
            supply: completing.supply(self, "roll", area, Unit::SquareMetre),
        })
    }
}

size! {
    /// One length of bar.
    BarEntry {
        /// Bars in a pack.
        pieces: u32 = "bars-per-pack", Required, 1..=10_000;
    }
}

size! {
    /// One length of roll.
    RollEntry {
        /// Rolls in a pack.
        pieces: u32 = "rolls-per-pack", Required, 1..=10_000;
    }
}

/// A bar or roll of one length.
trait LengthEntry: crate::entry::Entry + crate::complete::Supplied {
    fn pieces(&self) -> Option<u32>;
}
impl LengthEntry for BarEntry {
    fn pieces(&self) -> Option<u32> {
        of(&self.pieces)
    }
}
impl LengthEntry for RollEntry {
    fn pieces(&self) -> Option<u32> {
        of(&self.pieces)
    }
}

fn stock<E: LengthEntry>(
    lengths: Option<&Located<Keyed<i32, E>>>,
    place: Place,
    completing: &mut Completing<'_>,
) -> Option<LinearStock> {
    let lengths = lengths?;
    let mut sizes = Vec::new();
    for (&mm, entry) in lengths.value.kept() {
        let pieces = entry.pieces()?;
        let metres = Mm(mm).to_length().as_m() * f64::from(pieces);
        sizes.push(ProfileSize {
            length: Mm(mm),
            pieces,
            supply: completing.supply(entry, "pack", metres, Unit::Metre),
        });
    }
    if sizes.is_empty() {
        let help = alloc::format!("add a table such as [{}.length.2500]", completing.key);
        completing.empty(place, "stocked length", help);
        return None;
    }
    Some(LinearStock { sizes })
}

article! {
    /// A bead in bars.
    BeadEntry {
        /// What it is for.
        usage: String = "use", Required, Text::Choice(&["corner", "drip", "joint", "sill", "frame"]);
        /// Stocked bars by millimetres.
        length: Keyed<i32, BarEntry> = "length", Required, ();
    }
}

impl ArticleEntry for BeadEntry {
    type Material = Bead;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<Bead> {
        let usage = match of(&self.usage)?.as_str() {
            "corner" => BeadUse::Corner,
            "drip" => BeadUse::Drip,
            "joint" => BeadUse::Joint,
            "sill" => BeadUse::Sill,
            _ => BeadUse::Frame,
        };
        Some(Bead {
            article: completing.article(self)?,
            usage,
            stock: stock(self.length.as_ref(), self.at, completing)?,
        })
    }
}

entry! {
    /// The bars of a base profile for one board thickness.
    ProfileThicknessEntry {
        /// Stocked bars by millimetres.
        length: Keyed<i32, BarEntry> = "length", Required, ();
        /// True takes this thickness out.
        withdrawn: bool = "withdrawn", Optional, ();
    }
    withdrawn by withdrawn
}

article! {
    /// A base profile, by board thickness.
    BaseProfileEntry {
        /// Bars for each board thickness in millimetres.
        thickness: Keyed<i32, ProfileThicknessEntry> = "thickness", Required, ();
        /// Greatest distance between fixings.
        fixing_spacing: Mm = "fixing-spacing-mm", Required, 50..=2000;
        /// Gap left between two profiles.
        joint_gap: Mm = "joint-gap-mm", Required, 0..=20;
        /// Linear thermal transmittance of the profile, where known.
        linear_transmittance: f64 = "linear-transmittance-w-per-mk", Optional, -1.0..=5.0;
    }
}

impl ArticleEntry for BaseProfileEntry {
    type Material = BaseProfile;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<BaseProfile> {
        let article = completing.article(self)?;
        let thickness = self.thickness.as_ref()?;
        let mut sizes = Vec::new();
        for (&mm, entry) in thickness.value.kept() {
            sizes.push((Mm(mm), stock(entry.length.as_ref(), entry.at, completing)?));
        }
        if sizes.is_empty() {
            let help = alloc::format!(
                "add a table such as [{}.thickness.140.length.2500]",
                completing.key
            );
            completing.empty(thickness.at, "board thickness", help);
            return None;
        }
        Some(BaseProfile {
            article,
            sizes,
            fixing_spacing: of(&self.fixing_spacing)?,
            joint_gap: of(&self.joint_gap)?,
            linear_transmittance: of(&self.linear_transmittance)
                .map(LinearTransmittance::from_w_per_mk),
        })
    }
}

article! {
    /// A sealing strip in rolls.
    SealingStripEntry {
        /// Stocked rolls by millimetres.
        length: Keyed<i32, RollEntry> = "length", Required, ();
    }
}

impl ArticleEntry for SealingStripEntry {
    type Material = SealingStrip;

    fn complete(&self, completing: &mut Completing<'_>) -> Option<SealingStrip> {
        Some(SealingStrip {
            article: completing.article(self)?,
            stock: stock(self.length.as_ref(), self.at, completing)?,
        })
    }
}
