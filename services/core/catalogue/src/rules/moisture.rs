//! `rules/moisture/*/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{AreaMass, Temperature, VapourPressure};
use thermal::{CondensateAt, CondensateLimit, FactorFloor, HumidityClass};

use crate::complete::of;
use crate::fault::Found;
use crate::rules::file::{RuleEntry, rule_file, standing, text, word};
use crate::source::Located;
use crate::value::Text;

rule_file! {
    /// A humidity class of rooms.
    HumidityClassEntry {
        /// The document that it follows.
        document: String = "document", Optional, Text::Free;
        /// What rooms it is for.
        rooms: String = "rooms", Required, Text::Free;
        /// The internal vapour excess at 0 degC outside and below; the upper limit of the class.
        excess: f64 = "excess-pa", Required, 0.0..=5000.0;
        /// The outside temperature from which there is no excess.
        none_from: f64 = "none-from-celsius", Required, 1.0..=40.0;
    }
}

impl RuleEntry for HumidityClassEntry {
    type Rules = HumidityClass;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, _found: &mut Vec<Found>) -> Option<HumidityClass> {
        Some(HumidityClass {
            id: of(&self.key)?,
            rooms: of(&self.rooms)?,
            excess: VapourPressure::from_pa(of(&self.excess)?),
            none_from: Temperature::from_celsius(of(&self.none_from)?),
            source: of(&self.source)?,
            standing: standing(self.status.as_ref()),
        })
    }
}

rule_file! {
    /// A national limit of the moisture that may gather.
    CondensateEntry {
        /// The country by its ISO 3166 code.
        country: String = "country", Required, Text::Any;
        /// The act or standard with its edition.
        act: String = "act", Required, Text::Free;
        /// What it holds for.
        at_planes: String = "at", Required, Text::Choice(&["any-plane", "non-capillary-contact"]);
        /// The most that may gather.
        limit: f64 = "limit-kg-per-m2", Required, 0.0..=100.0;
    }
}

impl RuleEntry for CondensateEntry {
    type Rules = CondensateLimit;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, _found: &mut Vec<Found>) -> Option<CondensateLimit> {
        Some(CondensateLimit {
            id: of(&self.key)?,
            country: text(self.country.as_ref()),
            act: of(&self.act)?,
            at: match word(self.at_planes.as_ref()) {
                "non-capillary-contact" => CondensateAt::NonCapillaryContact,
                _ => CondensateAt::AnyPlane,
            },
            value: AreaMass::from_kg_per_m2(of(&self.limit)?),
            source: of(&self.source)?,
            standing: standing(self.status.as_ref()),
        })
    }
}

rule_file! {
    /// A national floor of the temperature factor.
    FactorFloorEntry {
        /// The country by its ISO 3166 code.
        country: String = "country", Required, Text::Any;
        /// The act or standard with its edition.
        act: String = "act", Required, Text::Free;
        /// The least factor.
        factor: f64 = "factor", Required, 0.0..=1.0;
    }
}

impl RuleEntry for FactorFloorEntry {
    type Rules = FactorFloor;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, _found: &mut Vec<Found>) -> Option<FactorFloor> {
        Some(FactorFloor {
            id: of(&self.key)?,
            country: text(self.country.as_ref()),
            act: of(&self.act)?,
            value: of(&self.factor)?,
            source: of(&self.source)?,
            standing: standing(self.status.as_ref()),
        })
    }
}
