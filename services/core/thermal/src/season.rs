//! From weather to what a calculation by month or by degree days asks for.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{DegreeTime, Duration, Temperature, VapourPressure};
use working::Standing;

use crate::climate::{Climate, MONTHS, Month, OutsideHumidity};
use crate::epw::Weather;

/// How degree days are counted; definitions differ by country, so this is a parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DegreeRule {
    /// On every day colder than the base, the base less the day's mean.
    Base(Temperature),
    /// On every day not warmer than the limit, the inside temperature less the day's mean.
    InsideAndLimit {
        /// The inside temperature, such as 20 degC.
        inside: Temperature,
        /// The heating limit, such as 12 degC.
        limit: Temperature,
    },
}

impl DegreeRule {
    /// The difference that a day, an hour or a month of this mean temperature counts with, K.
    fn difference(self, mean: f64) -> f64 {
        match self {
            Self::Base(base) => libm::fmax(0.0, base.as_celsius() - mean),
            Self::InsideAndLimit { inside, limit } => {
                if mean <= limit.as_celsius() {
                    libm::fmax(0.0, inside.as_celsius() - mean)
                } else {
                    0.0
                }
            }
        }
    }
}

/// Degree time from the daily means of hourly weather.
pub fn degree_days(weather: &Weather, rule: DegreeRule) -> DegreeTime {
    let days = weather.hours.chunks(24).map(|day| {
        let mean = day.iter().map(|h| h.temperature.as_celsius()).sum::<f64>() / day.len() as f64;
        rule.difference(mean) * day.len() as f64 / 24.0
    });
    DegreeTime::from_kelvin_days(days.sum())
}

/// Degree time hour by hour, for a calculation that follows the hours.
pub fn degree_hours(weather: &Weather, rule: DegreeRule) -> DegreeTime {
    let hours = weather
        .hours
        .iter()
        .map(|h| rule.difference(h.temperature.as_celsius()));
    DegreeTime::from_kelvin_days(hours.sum::<f64>() / 24.0)
}

/// Degree time from monthly means; mild months with some cold days come out too low.
pub fn degree_days_by_month(climate: &Climate, rule: DegreeRule) -> DegreeTime {
    let months = climate
        .months
        .iter()
        .map(|m| rule.difference(m.outside.as_celsius()) * m.length.as_days());
    DegreeTime::from_kelvin_days(months.sum())
}

/// The monthly climate of hourly weather: mean temperature and mean vapour pressure. The vapour pressure is carried and not the
/// humidity, because in very cold months the humidity of the means passes 100 %.
pub fn monthly(weather: &Weather, id: impl Into<String>) -> Climate {
    let months: Vec<Month> = (1..=MONTHS)
        .map(|month| {
            let hours = || {
                weather
                    .hours
                    .iter()
                    .filter(move |h| usize::from(h.month) == month)
            };
            let count = hours().count() as f64;
            let celsius = hours().map(|h| h.temperature.as_celsius()).sum::<f64>() / count;
            let pressure = hours().map(|h| h.vapour_pressure().as_pa()).sum::<f64>() / count;
            Month {
                outside: Temperature::from_celsius(celsius),
                humidity: OutsideHumidity::Pressure(VapourPressure::from_pa(pressure)),
                length: Duration::from_hours(count),
            }
        })
        .collect();
    Climate {
        id: id.into(),
        name: weather.place.clone(),
        source: String::from("monthly means of hourly weather"),
        standing: Standing::Project,
        path: String::new(),
        months,
    }
}
