//! The rule book: every rule set of a snapshot by its key.
//!
//! It only gathers what the engines' crates define, so that the estimate can be handed rules without knowing how they were read, and the
//! catalogue can fill it without knowing what is asked.
#![no_std]
extern crate alloc;

use alloc::collections::BTreeMap;
use alloc::string::String;
use alloc::vec::Vec;

/// Every rule set of a snapshot by its key.
#[derive(Clone, Debug, Default)]
pub struct RuleBook {
    /// A hash of the normalised content.
    pub revision: String,
    /// Setting-out rule sets.
    pub setting_out: BTreeMap<String, setting_out::Rules>,
    /// Climates of twelve months.
    pub climates: BTreeMap<String, thermal::Climate>,
    /// Humidity classes of rooms.
    pub humidity_classes: BTreeMap<String, thermal::HumidityClass>,
    /// National limits of transmittance or resistance.
    pub thermal_limits: BTreeMap<String, thermal::ThermalLimit>,
    /// National limits of condensate.
    pub condensate_limits: Vec<thermal::CondensateLimit>,
    /// Measurement rule sets for billing.
    pub measurement: BTreeMap<String, takeoff::MeasurementRules>,
    /// National parameter sets of EN 1991-1-4.
    pub wind: BTreeMap<String, standards::en_1991_1_4::NationalWind>,
    /// Partial factors and rules of fixing design.
    pub fixing: BTreeMap<String, standards::eota::FixingRules>,
    /// Fire-barrier rows of every country.
    pub fire: Vec<fixing::fire::FireRule>,
    /// Parametric details for thermal bridges.
    pub details: BTreeMap<String, thermal_bridge::Detail>,
    /// National floors of the temperature factor.
    pub factor_floors: Vec<thermal::FactorFloor>,
}
