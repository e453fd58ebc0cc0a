//! Sun and driving rain on a facade, from hourly weather on the horizontal and in the open.
//!
//! The sun's place is that of the middle of each hour, by the textbooks' formulas for declination (Cooper 1969) and equation of time
//! (Spencer 1971). Sky and ground are alike in every direction; the horizon is free; heat radiated to the sky is not counted.

use alloc::vec::Vec;
use core::f64::consts::PI;

use quantity::{HeatFlux, Length, MoistureFlux};

use crate::climate::MONTH_DAYS;
use crate::epw::{Hour, Weather};
use crate::formula;

/// How a facade lies in sun and rain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Where it looks, degrees from north by east.
    pub facing_degrees: f64,
    /// The share of the sun that the ground before it throws back.
    pub ground_reflection: f64,
    /// The share of the driving rain in the open that reaches it.
    pub rain_share: f64,
}

/// One hour on a facade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FacadeHour {
    /// The sun that falls on it, the mean of the hour.
    pub sun: HeatFlux,
    /// The rain that strikes it, the mean of the hour.
    pub rain: MoistureFlux,
}

/// A year on a facade.
#[derive(Clone, Debug, PartialEq)]
pub struct FacadeWeather {
    /// The hours, in the order of the weather.
    pub hours: Vec<FacadeHour>,
    /// Hours whose radiation the file does not have; they count as dark.
    pub without_sun: usize,
    /// Hours whose rain, or the wind in them, the file does not have; they count as dry.
    pub without_rain: usize,
}

impl FacadeWeather {
    /// The sun of the whole year, kWh/m2.
    pub fn sun_kwh_per_m2(&self) -> f64 {
        self.hours.iter().map(|h| h.sun.as_w_per_m2()).sum::<f64>() / 1e3
    }
    /// The driving rain of the whole year, kg/m2.
    pub fn rain_kg_per_m2(&self) -> f64 {
        self.hours
            .iter()
            .map(|h| h.rain.as_kg_per_m2s() * 3600.0)
            .sum()
    }
}

/// The year of a weather on a facade.
pub fn on_facade(weather: &Weather, exposure: &Exposure) -> FacadeWeather {
    let mut found = FacadeWeather {
        hours: Vec::with_capacity(weather.hours.len()),
        without_sun: 0,
        without_rain: 0,
    };
    for hour in &weather.hours {
        let sun = sun_on(weather, hour, exposure);
        let rain = rain_on(hour, exposure);
        found.without_sun += usize::from(sun.is_none());
        found.without_rain += usize::from(rain.is_none());
        found.hours.push(FacadeHour {
            sun: sun.unwrap_or(HeatFlux::ZERO),
            rain: rain.unwrap_or(MoistureFlux::ZERO),
        });
    }
    found
}

/// The sun on a facade in one hour of a weather; nothing where the file does not have it.
pub fn sun_on(weather: &Weather, hour: &Hour, exposure: &Exposure) -> Option<HeatFlux> {
    let (direct, diffuse) = (hour.direct_w_per_m2?, hour.diffuse_w_per_m2?);
    let place = SunPlace::of(weather, hour);
    let global = hour
        .global_w_per_m2
        .unwrap_or(direct * libm::fmax(0.0, place.sine_of_height()) + diffuse);
    let flux = HeatFlux::from_w_per_m2;
    let cosine = place.cosine_of_incidence(exposure.facing_degrees);
    Some((formula::SUN_ON_WALL.function)((
        flux(direct),
        cosine,
        flux(diffuse),
        flux(global),
        exposure.ground_reflection,
    )))
}

fn rain_on(hour: &Hour, exposure: &Exposure) -> Option<MoistureFlux> {
    let rain = hour.rain?;
    if rain <= Length::ZERO {
        return Some(MoistureFlux::ZERO);
    }
    let (wind, from) = (hour.wind?, hour.wind_from_degrees?);
    let cosine = libm::cos((from - exposure.facing_degrees) * PI / 180.0);
    let depth = (formula::DRIVING_RAIN.function)((wind, rain, libm::fmax(0.0, cosine)));
    // A metre of water on a square metre is a thousand kilograms.
    let kg_per_m2 = depth.as_m() * 1000.0 * exposure.rain_share;
    Some(MoistureFlux::from_kg_per_m2s(kg_per_m2 / 3600.0))
}

/// Where the sun stands: latitude, declination and hour angle, in radians.
struct SunPlace {
    latitude: f64,
    declination: f64,
    hour_angle: f64,
}

impl SunPlace {
    fn of(weather: &Weather, hour: &Hour) -> Self {
        let months = usize::from(hour.month.saturating_sub(1));
        let before: f64 = MONTH_DAYS.iter().take(months).sum();
        let day = before + f64::from(hour.day);
        let declination = 23.45 * libm::sin(2.0 * PI * (284.0 + day) / 365.0);
        let turn = 2.0 * PI * (day - 1.0) / 365.0;
        let equation_minutes = 229.2
            * (0.000_075 + 0.001_868 * libm::cos(turn)
                - 0.032_077 * libm::sin(turn)
                - 0.014_615 * libm::cos(2.0 * turn)
                - 0.040_89 * libm::sin(2.0 * turn));
        let east_minutes = 4.0 * (weather.longitude - 15.0 * weather.time_zone_hours);
        let solar = f64::from(hour.hour) - 0.5 + (east_minutes + equation_minutes) / 60.0;
        Self {
            latitude: weather.latitude * PI / 180.0,
            declination: declination * PI / 180.0,
            hour_angle: (solar - 12.0) * PI / 12.0,
        }
    }
    /// Of the sun's height over the horizon.
    fn sine_of_height(&self) -> f64 {
        libm::sin(self.latitude) * libm::sin(self.declination)
            + libm::cos(self.latitude) * libm::cos(self.declination) * libm::cos(self.hour_angle)
    }
    /// Of the angle between the sun and the normal of an upright plane; 0 behind it and at night.
    fn cosine_of_incidence(&self, facing_degrees: f64) -> f64 {
        if self.sine_of_height() <= 0.0 {
            return 0.0;
        }
        // From south, towards west.
        let facing = (facing_degrees - 180.0) * PI / 180.0;
        let (sin_d, cos_d) = (libm::sin(self.declination), libm::cos(self.declination));
        let (sin_l, cos_l) = (libm::sin(self.latitude), libm::cos(self.latitude));
        let cosine = -sin_d * cos_l * libm::cos(facing)
            + cos_d * sin_l * libm::cos(facing) * libm::cos(self.hour_angle)
            + cos_d * libm::sin(facing) * libm::sin(self.hour_angle);
        libm::fmax(0.0, cosine)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(latitude: f64, declination: f64, hour_angle: f64) -> SunPlace {
        let rad = |degrees: f64| degrees * PI / 180.0;
        SunPlace {
            latitude: rad(latitude),
            declination: rad(declination),
            hour_angle: rad(hour_angle),
        }
    }

    #[test]
    fn at_noon_of_the_longest_day_the_sun_stands_where_plain_geometry_puts_it() {
        // 90 - 50 + 23.45 = 63.45 degrees over a horizon at 50 degrees north.
        let noon = place(50.0, 23.45, 0.0);
        let height = 63.45_f64 * PI / 180.0;
        assert!((noon.sine_of_height() - libm::sin(height)).abs() < 1e-12);
        assert!((noon.cosine_of_incidence(180.0) - libm::cos(height)).abs() < 1e-12);
        assert!(noon.cosine_of_incidence(0.0) < 1e-12);
    }

    #[test]
    fn the_sun_on_the_four_sides_of_a_house_is_its_level_part() {
        for latitude in [-60.0, -10.0, 0.0, 35.0, 66.0] {
            for declination in [-23.0, 0.0, 15.0] {
                for hour_angle in [-100.0, -75.0, -20.0, 10.0, 60.0] {
                    let sun = place(latitude, declination, hour_angle);
                    let sine = sun.sine_of_height();
                    let level: f64 = [0.0, 90.0, 180.0, 270.0]
                        .iter()
                        .map(|f| libm::pow(sun.cosine_of_incidence(*f), 2.0))
                        .sum();
                    let expected = if sine > 0.0 { 1.0 - sine * sine } else { 0.0 };
                    assert!((level - expected).abs() < 1e-12);
                    // What the morning gives to the east the afternoon gives to the west.
                    let mirrored = place(latitude, declination, -hour_angle);
                    let (east, west) = (
                        sun.cosine_of_incidence(90.0),
                        mirrored.cosine_of_incidence(270.0),
                    );
                    assert!((east - west).abs() < 1e-12);
                }
            }
        }
    }

    #[test]
    fn rain_strikes_the_windward_side_alone() {
        let hour = Hour {
            month: 1,
            day: 1,
            hour: 12,
            temperature: quantity::Temperature::from_celsius(5.0),
            humidity: 0.9,
            air_pressure_pa: None,
            global_w_per_m2: None,
            direct_w_per_m2: None,
            diffuse_w_per_m2: None,
            wind_from_degrees: Some(270.0),
            wind: Some(quantity::WindSpeed::from_m_per_s(4.5)),
            rain: Some(Length::from_mm(1.0)),
        };
        let on = |facing_degrees: f64| {
            let exposure = Exposure {
                facing_degrees,
                ground_reflection: 0.2,
                rain_share: 0.5,
            };
            rain_on(&hour, &exposure).map_or(-1.0, |r| r.as_kg_per_m2s() * 3600.0)
        };
        // One millimetre at 4.5 m/s: 2/9 x 4.5 = 1 mm in the open, half of it here.
        assert!((on(270.0) - 0.5).abs() < 1e-12);
        assert!((on(210.0) - 0.25).abs() < 1e-12);
        assert!(on(90.0).abs() < 1e-12);
    }
}
