//! `rules/measurement/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Area, Length, Rounding};
use takeoff::measurement::{
    Adjacent, Band, CornerOpenings, Edge, HeightStages, MeasureRounding, MeasurementRules,
    OpeningBasis, OutlineRule, Plane, RevealBilling, RevealSides,
};

use crate::complete::of;
use crate::entry::{Rows, entry};
use crate::fault::Found;
use crate::rules::file::{RuleEntry, rule_file, standing, texts, word};
use crate::source::Located;
use crate::value::Text;

entry! {
    /// What happens to openings up to a size.
    BandEntry {
        /// The limit; left out in the last band, which holds all larger ones.
        up_to: f64 = "up-to-m2", Optional, 0.0..=1_000_000.0;
        /// Whether the limit itself belongs to the band; `included` where left out.
        limit: String = "limit", Optional, Text::Choice(&["included", "excluded"]);
        /// The share of the opening that is deducted.
        deduct_share: f64 = "deduct-share", Required, 0.0..=1.0;
        /// What happens to its reveals; `none` where left out.
        reveals: String = "reveals", Optional, Text::Choice(&["none", "area", "length"]);
    }
}

entry! {
    /// Stages of height that are billed apart.
    HeightStagesEntry {
        /// Height of the first stage above the lowest finished ground.
        first: f64 = "first-mm", Required, 100.0..=1_000_000.0;
        /// Height of each further stage.
        step: f64 = "step-mm", Required, 100.0..=1_000_000.0;
    }
}

rule_file! {
    /// A measurement rule set for billing.
    MeasurementEntry {
        /// The document that it follows.
        document: String = "document", Required, Text::Free;
        /// The edition.
        edition: String = "edition", Required, Text::Free;
        /// The plane of measurement; `bare-wall` where left out.
        plane: String = "plane", Optional, Text::Choice(&["bare-wall", "finished-surface"]);
        /// The outline that is measured; `as-built` where left out.
        outline: String = "outline", Optional, Text::Choice(&["as-built", "bounding-rectangle"]);
        /// The size of an opening that decides; `finished` where left out.
        basis: String = "opening-basis", Optional, Text::Choice(&["raw", "finished", "smallest"]);
        /// Openings that touch; `apart` where left out.
        adjacent: String = "adjacent-openings", Optional, Text::Choice(&["apart", "joined"]);
        /// Openings round a corner; `per-face` where left out.
        corner_openings: String = "corner-openings", Optional, Text::Choice(&["per-face", "whole"]);
        /// What counts as reveal; `jambs-and-head` where left out.
        reveal_sides: String = "reveal-sides", Optional, Text::Choice(&["jambs-and-head", "all-sides"]);
        /// Reveals up to this depth go by the metre where a band bills them by area.
        reveal_length_up_to: f64 = "reveal-length-up-to-mm", Optional, 0.0..=1_000_000.0;
        /// Interruptions of the surface wider than this are deducted.
        interruption_over: f64 = "interruption-over-mm", Optional, 0.0..=1_000_000.0;
        /// Gaps in items by the metre longer than this are deducted.
        linear_gap_over: f64 = "linear-gap-over-mm", Optional, 0.0..=1_000_000.0;
        /// Facades up to this width are billed by the metre.
        narrow_strip_up_to: f64 = "narrow-strip-up-to-mm", Optional, 0.0..=1_000_000.0;
        /// Decimals of lengths in metres; the full value where left out.
        length_decimals: u32 = "round-length-decimals", Optional, 0..=6;
        /// Decimals of areas in square metres; the full value where left out.
        area_decimals: u32 = "round-area-decimals", Optional, 0..=6;
        /// Stages of height.
        height_stages: HeightStagesEntry = "height-stages", Optional, ();
        /// Openings by size, smallest first; none: the set is a template, and a job that names it is refused.
        bands: Rows<BandEntry> = "band", Optional, ();
    }
}

impl BandEntry {
    fn complete(&self) -> Option<Band> {
        Some(Band {
            up_to: of(&self.up_to).map(Area::from_m2),
            edge: match word(self.limit.as_ref()) {
                "excluded" => Edge::Excluded,
                _ => Edge::Included,
            },
            deduct_share: of(&self.deduct_share)?,
            reveals: match word(self.reveals.as_ref()) {
                "area" => RevealBilling::Area,
                "length" => RevealBilling::Length,
                _ => RevealBilling::None,
            },
        })
    }
}

fn rounding(decimals: Option<u32>) -> Rounding {
    let decimals = decimals.and_then(|d| u8::try_from(d).ok());
    decimals.map_or(Rounding::Full, Rounding::Decimals)
}

impl RuleEntry for MeasurementEntry {
    type Rules = MeasurementRules;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, _found: &mut Vec<Found>) -> Option<MeasurementRules> {
        let bands = self.bands.iter().flat_map(|rows| &rows.value.0);
        let stages = self.height_stages.as_ref().map(|s| &s.value);
        Some(MeasurementRules {
            document: of(&self.document)?,
            edition: of(&self.edition)?,
            source: of(&self.source)?,
            standing: standing(self.status.as_ref()),
            notes: texts(self.notes.as_ref()),
            plane: match word(self.plane.as_ref()) {
                "finished-surface" => Plane::FinishedSurface,
                _ => Plane::BareWall,
            },
            outline: match word(self.outline.as_ref()) {
                "bounding-rectangle" => OutlineRule::BoundingRectangle,
                _ => OutlineRule::AsBuilt,
            },
            basis: match word(self.basis.as_ref()) {
                "raw" => OpeningBasis::Raw,
                "smallest" => OpeningBasis::Smallest,
                _ => OpeningBasis::Finished,
            },
            bands: bands.map(BandEntry::complete).collect::<Option<_>>()?,
            reveal_sides: match word(self.reveal_sides.as_ref()) {
                "all-sides" => RevealSides::AllSides,
                _ => RevealSides::JambsAndHead,
            },
            reveal_length_up_to: of(&self.reveal_length_up_to).map(Length::from_mm),
            adjacent: match word(self.adjacent.as_ref()) {
                "joined" => Adjacent::Joined,
                _ => Adjacent::Apart,
            },
            corner_openings: match word(self.corner_openings.as_ref()) {
                "whole" => CornerOpenings::Whole,
                _ => CornerOpenings::PerFace,
            },
            interruption_over: of(&self.interruption_over).map(Length::from_mm),
            linear_gap_over: of(&self.linear_gap_over).map(Length::from_mm),
            narrow_strip_up_to: of(&self.narrow_strip_up_to).map(Length::from_mm),
            height_stages: stages.and_then(|s| {
                Some(HeightStages {
                    first: Length::from_mm(of(&s.first)?),
                    step: Length::from_mm(of(&s.step)?),
                })
            }),
            rounding: MeasureRounding {
                length: rounding(of(&self.length_decimals)),
                area: rounding(of(&self.area_decimals)),
            },
            ..MeasurementRules::template(of(&self.key)?, of(&self.name)?)
        })
    }

    fn check(rules: &MeasurementRules) -> Vec<working::Fault> {
        let mut faults = working::Faults::new();
        rules.check("set", &mut faults);
        faults.into_list()
    }
}
