//! `climates/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Duration, Temperature, VapourPressure};
use thermal::{Climate, MONTHS, Month, OutsideHumidity};

use crate::complete::of;
use crate::fault::{Fact, Found};
use crate::rules::file::{RuleEntry, rule_file, standing};
use crate::source::Located;

rule_file! {
    /// A climate of twelve months, January first.
    ClimateEntry {
        /// Mean temperatures of the outside air.
        outside: Vec<f64> = "outside-celsius", Required, -60.0..=60.0;
        /// Relative humidities; these, or `vapour-pressure-pa`.
        relative_humidity: Vec<f64> = "relative-humidity", Optional, 0.0..=1.0;
        /// Mean vapour pressures.
        vapour_pressure: Vec<f64> = "vapour-pressure-pa", Optional, 0.0..=10_000.0;
        /// Lengths of the months.
        days: Vec<f64> = "days", Required, 1.0..=366.0;
    }
}

/// Says that a list has not twelve numbers.
fn twelve(list: Option<&Located<Vec<f64>>>, key: &str, found: &mut Vec<Found>) {
    if let Some(list) = list
        && list.value.len() != MONTHS
    {
        found.push(Found {
            at: list.at,
            fact: Fact::Refused {
                found: alloc::format!("{} numbers in `{key}`", list.value.len()),
                expected: "twelve, January first".into(),
            },
            help: None,
        });
    }
}

impl RuleEntry for ClimateEntry {
    type Rules = Climate;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, found: &mut Vec<Found>) -> Option<Climate> {
        twelve(self.outside.as_ref(), "outside-celsius", found);
        twelve(self.days.as_ref(), "days", found);
        twelve(self.relative_humidity.as_ref(), "relative-humidity", found);
        twelve(self.vapour_pressure.as_ref(), "vapour-pressure-pa", found);
        let humidity: Vec<OutsideHumidity> = match (&self.relative_humidity, &self.vapour_pressure)
        {
            (Some(shares), None) => shares
                .value
                .iter()
                .map(|&phi| OutsideHumidity::Relative(phi))
                .collect(),
            (None, Some(pressures)) => {
                let pressures = pressures.value.iter();
                pressures
                    .map(|&p| OutsideHumidity::Pressure(VapourPressure::from_pa(p)))
                    .collect()
            }
            _ => {
                let why = "a climate has either `relative-humidity` or `vapour-pressure-pa`".into();
                let at = self.vapour_pressure.as_ref().map_or(self.at, |p| p.at);
                found.push(Found {
                    at,
                    fact: Fact::NotTogether { why },
                    help: None,
                });
                return None;
            }
        };
        let (outside, days) = (of(&self.outside)?, of(&self.days)?);
        let months = outside.iter().zip(&days).zip(humidity);
        Some(Climate {
            id: of(&self.key)?,
            name: of(&self.name)?,
            source: of(&self.source)?,
            standing: standing(self.status.as_ref()),
            path: String::new(),
            months: months
                .map(|((&celsius, &days), humidity)| Month {
                    outside: Temperature::from_celsius(celsius),
                    humidity,
                    length: Duration::from_days(days),
                })
                .collect(),
        })
    }
}
