//! `rules/thermal-limits/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Rounding, ThermalResistance, Transmittance};
use thermal::{LimitValue, ResistanceOf, ThermalLimit};

use crate::complete::of;
use crate::fault::Found;
use crate::rules::file::{RuleEntry, need, rule_file, standing, text, texts, word};
use crate::source::Located;
use crate::value::Text;

rule_file! {
    /// A national limit of transmittance or resistance.
    LimitEntry {
        /// The country by its ISO 3166 code.
        country: String = "country", Required, Text::Any;
        /// The act.
        act: String = "act", Required, Text::Free;
        /// The edition of the act.
        edition: String = "edition", Required, Text::Free;
        /// The element in the act's words.
        element: String = "element", Required, Text::Free;
        /// The action on it in the act's words.
        action: String = "action", Required, Text::Free;
        /// The zone it holds for; everywhere where left out.
        zone: String = "zone", Optional, Text::Any;
        /// The first day it holds.
        valid_from: String = "valid-from", Optional, Text::Date;
        /// The last day it holds.
        valid_to: String = "valid-to", Optional, Text::Date;
        /// What is limited.
        quantity: String = "quantity", Required, Text::Choice(&["transmittance-at-most", "resistance-at-least"]);
        /// Which resistance, where one is limited.
        resistance_of: String = "resistance-of", Optional, Text::Choice(&["insulation", "kit", "wall", "total"]);
        /// The greatest transmittance.
        transmittance: f64 = "value-w-per-m2k", Optional, 0.01..=10.0;
        /// The least resistance.
        resistance: f64 = "value-m2k-per-w", Optional, 0.01..=100.0;
        /// How the figure is rounded before it is compared; `full` where left out.
        rounding: String = "rounding", Optional, Text::Choice(&["full", "decimals", "significant"]);
        /// To how many digits.
        digits: u32 = "rounding-digits", Optional, 0..=9;
        /// The share by which a resistance of insulation is reduced where fixings pierce it.
        pierced_reduction: f64 = "pierced-reduction-share", Optional, 0.0..=1.0;
        /// Exceptions in words.
        exceptions: Vec<Located<String>> = "exceptions", Optional, Text::Free;
    }
}

impl LimitEntry {
    fn value(&self, found: &mut Vec<Found>) -> Option<LimitValue> {
        let within = (word(self.quantity.as_ref()), self.quantity.as_ref()?.at);
        if within.0 == "transmittance-at-most" {
            let value = need(
                self.transmittance.as_ref(),
                "value-w-per-m2k",
                within,
                found,
            )?;
            return Some(LimitValue::TransmittanceAtMost(
                Transmittance::from_w_per_m2k(value),
            ));
        }
        let which = need(self.resistance_of.as_ref(), "resistance-of", within, found);
        let value = need(self.resistance.as_ref(), "value-m2k-per-w", within, found)?;
        Some(LimitValue::ResistanceAtLeast {
            of: match which?.as_str() {
                "insulation" => ResistanceOf::Insulation,
                "kit" => ResistanceOf::Kit,
                "wall" => ResistanceOf::Wall,
                _ => ResistanceOf::Total,
            },
            value: ThermalResistance::from_m2k_per_w(value),
        })
    }

    fn rounded(&self, found: &mut Vec<Found>) -> Option<Rounding> {
        let Some(rounding) = &self.rounding else {
            return Some(Rounding::Full);
        };
        if rounding.value == "full" {
            return Some(Rounding::Full);
        }
        let within = (rounding.value.as_str(), rounding.at);
        let digits = need(self.digits.as_ref(), "rounding-digits", within, found)?;
        let digits = u8::try_from(digits).ok()?;
        Some(match rounding.value.as_str() {
            "decimals" => Rounding::Decimals(digits),
            _ => Rounding::Significant(digits.max(1)),
        })
    }
}

impl RuleEntry for LimitEntry {
    type Rules = ThermalLimit;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, found: &mut Vec<Found>) -> Option<ThermalLimit> {
        let (value, rounding) = (self.value(found), self.rounded(found));
        Some(ThermalLimit {
            id: of(&self.key)?,
            country: text(self.country.as_ref()),
            act: of(&self.act)?,
            edition: of(&self.edition)?,
            element: of(&self.element)?,
            action: of(&self.action)?,
            zone: text(self.zone.as_ref()),
            valid_from: text(self.valid_from.as_ref()),
            valid_to: text(self.valid_to.as_ref()),
            value: value?,
            rounding: rounding?,
            pierced_reduction: of(&self.pierced_reduction).unwrap_or(0.0),
            exceptions: texts(self.exceptions.as_ref()),
            source: of(&self.source)?,
            standing: standing(self.status.as_ref()),
        })
    }
}
