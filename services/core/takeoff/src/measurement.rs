//! Measurement rule sets: what of a facade is billed. Purchases never follow from them.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Area, Length, Quantity, Rounding};
use working::{Faults, Standing};

/// The plane in which areas are measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Plane {
    /// The bare wall.
    #[default]
    BareWall,
    /// The finished outer surface, round the corners.
    FinishedSurface,
}

/// Which outline is measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OutlineRule {
    /// The outline as it is.
    #[default]
    AsBuilt,
    /// The smallest upright rectangle round it.
    BoundingRectangle,
}

/// Which size of an opening decides.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OpeningBasis {
    /// The size in the bare wall.
    Raw,
    /// The size after the reveals are insulated.
    #[default]
    Finished,
    /// The smaller of both in each direction.
    Smallest,
}

/// How the reveals of an opening are billed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RevealBilling {
    /// Not at all.
    #[default]
    None,
    /// Their area is added.
    Area,
    /// By the metre, beside the area.
    Length,
}

/// Which sides of an opening count as reveals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RevealSides {
    /// Both jambs and the head.
    #[default]
    JambsAndHead,
    /// The sill too.
    AllSides,
}

/// Whether openings that touch are one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Adjacent {
    /// Each for itself.
    #[default]
    Apart,
    /// Together, when the band is sought.
    Joined,
}

/// Whether an opening round a corner is one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CornerOpenings {
    /// Each face for itself; a survey by facades holds them that way.
    #[default]
    PerFace,
    /// Both faces together; a survey by facades cannot tell, and a finding says so.
    Whole,
}

/// Whether a band's limit belongs to it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Edge {
    /// "Up to and including".
    #[default]
    Included,
    /// "Below".
    Excluded,
}

/// What happens to openings up to a size.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band {
    /// The limit; nothing for the last band, which holds all larger ones.
    pub up_to: Option<Area>,
    /// Whether the limit itself belongs to the band.
    pub edge: Edge,
    /// The share of the opening that is deducted, 0 to 1.
    pub deduct_share: f64,
    /// What happens to its reveals.
    pub reveals: RevealBilling,
}

/// Stages of height that are billed apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeightStages {
    /// Height of the first stage above the lowest finished ground.
    pub first: Length,
    /// Height of each further stage.
    pub step: Length,
}

/// How the results are rounded, at the end only.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct MeasureRounding {
    /// Lengths in metres.
    pub length: Rounding,
    /// Areas in square metres.
    pub area: Rounding,
}

/// What a figure is raised by before it is rounded, so that half a step on the millimetre grid goes up although its binary fraction may
/// lie a hair below.
const HALF_GOES_UP: f64 = 1.0 + 1e-12;

impl MeasureRounding {
    /// An area as it is billed.
    pub fn round_area(self, area: Area) -> Area {
        match self.area {
            Rounding::Full => area,
            step => Area::from_m2(step.round(area.as_m2() * HALF_GOES_UP)),
        }
    }
    /// A length as it is billed.
    pub fn round_length(self, length: Length) -> Length {
        match self.length {
            Rounding::Full => length,
            step => Length::from_m(step.round(length.as_m() * HALF_GOES_UP)),
        }
    }
}

/// A measurement rule set.
///
/// The file form, one file a set, `format = 1`. Every key but the heading has the default of [`MeasurementRules::template`]:
///
/// | key | type | field |
/// |---|---|---|
/// | `key`, `name`, `document`, `edition`, `source` | text | the heading; `key` is the file's name without `.toml` |
/// | `status` | `"published"`, `"unverified"` | [`Self::standing`] |
/// | `notes` | list of text | [`Self::notes`] |
/// | `plane` | `"bare-wall"`, `"finished-surface"` | [`Self::plane`] |
/// | `outline` | `"as-built"`, `"bounding-rectangle"` | [`Self::outline`] |
/// | `opening-basis` | `"raw"`, `"finished"`, `"smallest"` | [`Self::basis`] |
/// | `adjacent-openings` | `"apart"`, `"joined"` | [`Self::adjacent`] |
/// | `corner-openings` | `"per-face"`, `"whole"` | [`Self::corner_openings`] |
/// | `reveal-sides` | `"jambs-and-head"`, `"all-sides"` | [`Self::reveal_sides`] |
/// | `reveal-length-up-to-mm` | number, optional | [`Self::reveal_length_up_to`] |
/// | `interruption-over-mm` | number, optional | [`Self::interruption_over`] |
/// | `linear-gap-over-mm` | number, optional | [`Self::linear_gap_over`] |
/// | `narrow-strip-up-to-mm` | number, optional | [`Self::narrow_strip_up_to`] |
/// | `round-length-decimals`, `round-area-decimals` | whole number, optional | [`Self::rounding`]; absent: full value |
/// | `[height-stages]` `first-mm`, `step-mm` | numbers, table optional | [`Self::height_stages`] |
/// | `[[band]]` `up-to-m2` (absent in the last), `limit = "included"\|"excluded"`, `deduct-share`, `reveals = "none"\|"area"\|"length"` | tables in rising order | [`Self::bands`]; none: the set is a template, and a job that names it is refused |
#[derive(Clone, Debug, PartialEq)]
pub struct MeasurementRules {
    /// Its key, such as `din-18345`.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// The document that it follows.
    pub document: String,
    /// The edition.
    pub edition: String,
    /// Where its numbers were read.
    pub source: String,
    /// How well it is known.
    pub standing: Standing,
    /// What a user should know of it.
    pub notes: Vec<String>,
    /// The plane of measurement.
    pub plane: Plane,
    /// The outline that is measured.
    pub outline: OutlineRule,
    /// The size of an opening that decides.
    pub basis: OpeningBasis,
    /// Openings by size, smallest first. An empty list is a template: a job that names it is refused.
    pub bands: Vec<Band>,
    /// What counts as reveal.
    pub reveal_sides: RevealSides,
    /// Reveals up to this depth go by the metre where a band bills them by area.
    pub reveal_length_up_to: Option<Length>,
    /// Openings that touch.
    pub adjacent: Adjacent,
    /// Openings round a corner.
    pub corner_openings: CornerOpenings,
    /// Interruptions of the surface wider than this are deducted; nothing: none are.
    pub interruption_over: Option<Length>,
    /// Gaps in items by the metre longer than this are deducted; nothing: all are.
    pub linear_gap_over: Option<Length>,
    /// Facades up to this width or height are billed by the metre and not by their area; a finding says so.
    pub narrow_strip_up_to: Option<Length>,
    /// Stages of height.
    pub height_stages: Option<HeightStages>,
    /// Rounding at the end.
    pub rounding: MeasureRounding,
}

impl MeasurementRules {
    /// A rule set without bands: a job that names it is refused.
    pub fn template(key: impl Into<String>, name: impl Into<String>) -> Self {
        Self {
            key: key.into(),
            name: name.into(),
            document: String::new(),
            edition: String::new(),
            source: String::new(),
            standing: Standing::Unverified,
            notes: Vec::new(),
            plane: Plane::default(),
            outline: OutlineRule::default(),
            basis: OpeningBasis::default(),
            bands: Vec::new(),
            reveal_sides: RevealSides::default(),
            reveal_length_up_to: None,
            adjacent: Adjacent::default(),
            corner_openings: CornerOpenings::default(),
            interruption_over: None,
            linear_gap_over: None,
            narrow_strip_up_to: None,
            height_stages: None,
            rounding: MeasureRounding::default(),
        }
    }

    /// The band of an opening of this size; nothing where the set has no bands.
    ///
    /// A size within one part in 10^9 of a limit counts as the limit, so that the dust of arithmetic never moves an opening.
    pub fn band(&self, size: Area) -> Option<(usize, &Band)> {
        self.bands.iter().enumerate().find(|(_, band)| {
            band.up_to.is_none_or(|limit| {
                let dust = 1e-9 * limit.as_m2();
                match band.edge {
                    Edge::Included => size.as_m2() <= limit.as_m2() + dust,
                    Edge::Excluded => size.as_m2() < limit.as_m2() - dust,
                }
            })
        })
    }

    /// The fault of a job that names a template, under the field path `path`: without bands nobody knows what is billed.
    ///
    /// A template is a sound file all the same, so [`Self::check`] passes it.
    pub fn check_rule_data(&self, path: &str, faults: &mut Faults) {
        if self.bands.is_empty() {
            faults.add(
                path,
                "NO_RULE_DATA",
                format!(
                    "`{}`: no rule data for this measurement set; template only",
                    self.key
                ),
                "a measurement set whose bands of openings are filled in",
            );
        }
    }

    /// Every fault of the set, under the field path `path`.
    pub fn check(&self, path: &str, faults: &mut Faults) {
        let mut last: Option<Area> = None;
        for (i, band) in self.bands.iter().enumerate() {
            let place = format!("{path}.band[{i}]");
            if !(0.0..=1.0).contains(&band.deduct_share) {
                faults.add(
                    format!("{place}.deduct-share"),
                    "OUT_OF_RANGE",
                    format!("{}", band.deduct_share),
                    "0 to 1",
                );
            }
            let end = i + 1 == self.bands.len();
            match band.up_to {
                Some(limit)
                    if !limit.is_finite()
                        || limit <= Area::ZERO
                        || last.is_some_and(|l| limit <= l) =>
                {
                    faults.add(
                        format!("{place}.up-to-m2"),
                        "OUT_OF_RANGE",
                        format!("{}", limit.as_m2()),
                        "a finite area above that of the band before",
                    );
                }
                Some(_) if end => faults.add(
                    format!("{place}.up-to-m2"),
                    "BAND_OPEN_MISSING",
                    "a limit on the last band",
                    "no limit, so that every opening has a band",
                ),
                None if !end => faults.add(
                    format!("{place}.up-to-m2"),
                    "MISSING",
                    "no limit on a band before the last",
                    "a limit in square metres",
                ),
                limit => last = limit,
            }
        }
        let mut length = |key: &str, value: Option<Length>, least: f64| {
            if let Some(value) = value
                && !(least..=1e6).contains(&value.as_mm())
            {
                faults.add(
                    format!("{path}.{key}"),
                    "OUT_OF_RANGE",
                    format!("{}", value.si() * 1000.0),
                    format!("{least} to 1000000"),
                );
            }
        };
        length("reveal-length-up-to-mm", self.reveal_length_up_to, 0.0);
        length("interruption-over-mm", self.interruption_over, 0.0);
        length("linear-gap-over-mm", self.linear_gap_over, 0.0);
        length("narrow-strip-up-to-mm", self.narrow_strip_up_to, 0.0);
        length(
            "height-stages.first-mm",
            self.height_stages.map(|s| s.first),
            100.0,
        );
        length(
            "height-stages.step-mm",
            self.height_stages.map(|s| s.step),
            100.0,
        );
    }
}
