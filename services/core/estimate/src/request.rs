//! What a caller asks for: the survey, the choices, and how much should come back.

use alloc::string::String;
use alloc::vec::Vec;

use facade::{Assumption, Building};
use quantity::{
    Area, Decimal, Length, Mm, Temperature, ThermalResistance, Transmittance, WindSpeed,
};
use setting_out::RuleCosts;
use takeoff::Bonding;

/// A whole job.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// The caller's own reference, passed through.
    pub reference: String,
    /// The surveyed building, or the one that a short form was expanded to.
    pub building: Building,
    /// What the short form assumed; empty for a full survey.
    pub assumptions: Vec<Assumption>,
    /// The system's key in the catalogue.
    pub system: String,
    /// The board thickness, or the target that it must meet.
    pub thickness: ThicknessChoice,
    /// The wind at the site.
    pub wind: WindSite,
    /// The climate and the use of the rooms.
    pub climate: ClimateChoice,
    /// ISO 3166-1 alpha-2 code of the country whose fire and thermal rule data are asked for, or empty.
    pub country: String,
    /// Finish key; empty for the system's usual one.
    pub finish: String,
    /// Light reflectance (reflection index) of the finish colour in percent, where chosen.
    pub reflection_index: Option<f64>,
    /// Key of the measurement rule set for the billed area.
    pub measurement: String,
    /// Key of the setting-out rule set; empty for the usual one for boards of this height.
    pub layout_rules: String,
    /// Steps of the setting-out search for each board, up to [`crate::MOST_SEARCH_STEPS`]; zero for the default.
    pub search_budget: u64,
    /// Whether to say what each rule of setting-out costs: one more search for each rule.
    pub rule_costs: RuleCosts,
    /// How boards are to be bonded; nothing: by the board and the flatness of the wall.
    pub bonding: Option<Bonding>,
    /// Thickness of each course of the base coat; empty: one course of the system's thickness.
    pub base_coat_courses: Vec<Length>,
    /// Air temperatures expected on site, least and greatest, where known.
    pub site_temperature: Option<(Temperature, Temperature)>,
    /// Tax on the price as a share, such as 0.20.
    pub tax_share: Decimal,
    /// How much should come back.
    pub include: Include,
}

/// The board thickness, or the target that it must meet.
#[derive(Clone, Debug, PartialEq)]
pub enum ThicknessChoice {
    /// This thickness.
    Given(Mm),
    /// The smallest stocked one whose transmittance does not exceed this.
    TransmittanceAtMost(Transmittance),
    /// The smallest stocked one whose insulated wall reaches this resistance.
    ResistanceAtLeast(ThermalResistance),
    /// The smallest stocked one that satisfies a limit of the rule data, by its key.
    Limit(String),
}

/// The wind at the site.
#[derive(Clone, Debug, PartialEq)]
pub struct WindSite {
    /// Key of the national parameter set, such as `en-recommended`.
    pub national_set: String,
    /// Fundamental basic wind velocity, where the caller states it.
    pub basic_velocity: Option<WindSpeed>,
    /// Wind zone of the national set, where the caller names it instead.
    pub zone: String,
    /// Terrain category or profile of the national set, such as `II`.
    pub terrain: String,
    /// Altitude of the site, where the set's rule needs it.
    pub altitude: Option<Length>,
    /// Orography factor c_o; 1 on flat ground.
    pub orography_factor: f64,
    /// Loaded area of one fixing for the pressure coefficient; 1 m2 on the safe side.
    pub loaded_area: Area,
}

/// The climate and the use of the rooms.
#[derive(Clone, Debug, PartialEq)]
pub struct ClimateChoice {
    /// Key of a climate in the rule data.
    pub climate: String,
    /// Indoor air temperature.
    pub indoor: Temperature,
    /// Key of the humidity class.
    pub humidity_class: String,
}

/// How much should come back beside the kit, its price and the findings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Include {
    /// Every board, piece and anchor with its place, and the cutting list.
    pub setting_out: bool,
    /// The calculation sheet.
    pub working: bool,
    /// Drawings as SVG.
    pub drawings: bool,
}
