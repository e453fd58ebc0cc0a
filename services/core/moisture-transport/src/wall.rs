//! The wall and what lies on either side of it.

use alloc::vec::Vec;

use quantity::{
    Duration, HeatFlux, Length, MoistureFlux, Temperature, Transmittance, VapourPermeability,
};

use crate::material::Layer;

/// A wall: layers from inside to outside, in full contact, without air gap.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Layers from inside to outside.
    pub layers: Vec<Layer>,
    /// The inner face.
    pub inside: Face,
    /// The outer face.
    pub outside: Face,
    /// The temperature of the whole wall at the start.
    pub start: Temperature,
    /// How still air lets vapour through.
    pub air: AirPermeability,
}

/// The vapour permeability of still air, which every vapour resistance factor divides.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum AirPermeability {
    /// By temperature, [`standards::en_15026::AIR_PERMEABILITY`].
    #[default]
    ByTemperature,
    /// By a constant diffusivity and the gas law, as in the EN 15026 benchmark.
    IdealGas,
    /// One value, as monthly methods take it.
    Constant(VapourPermeability),
}

/// How a face meets the air beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Face {
    /// The face itself has the temperature and humidity of the air; water may enter as liquid.
    Fixed,
    /// Through a film of air.
    Film(Film),
}

/// The film on a face, and what it takes of sun and rain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// The coefficient of heat transfer.
    pub heat_transfer: Transmittance,
    /// The air layer that resists vapour as much as the film does; paint is added here.
    pub vapour_air_layer: Length,
    /// The share of the sun on the face that it absorbs.
    pub absorbed_sun: f64,
    /// The share of the rain on the face that stays to be drawn in; what the face cannot draw runs off.
    pub held_rain: f64,
}

/// The air on both sides at one time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// The temperature outside.
    pub outside_temperature: Temperature,
    /// The relative humidity outside, 0 to 1.
    pub outside_humidity: f64,
    /// The sun that falls on the outer face.
    pub sun: HeatFlux,
    /// The rain that strikes the outer face.
    pub rain: MoistureFlux,
    /// The temperature inside.
    pub inside_temperature: Temperature,
    /// The relative humidity inside, 0 to 1.
    pub inside_humidity: f64,
}

/// The course of the air on both sides.
#[derive(Clone, Debug, PartialEq)]
pub enum Climate {
    /// Always the same.
    Constant(Hour),
    /// Hour by hour, again from the start after the last one; each value holds at the end of its hour and temperatures and
    /// humidities run straight between, while sun and rain are the mean of their hour.
    Hourly(Vec<Hour>),
    /// A year of twelve months without days: temperatures and humidities swing once a year around their means.
    Yearly(Swing),
}

/// A climate that swings once a year, for places without hourly data. There is neither sun nor rain in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    /// The air on the coldest day.
    pub coldest: Hour,
    /// The air half a year later.
    pub warmest: Hour,
    /// How long after the start of the calculation the coldest day is.
    pub coldest_after: Duration,
}

impl Climate {
    /// The air during a step: temperatures and humidities at its end, sun and rain over it. `seconds` is the end of the step.
    pub(crate) fn air(&self, seconds: f64) -> Hour {
        match self {
            Self::Constant(hour) => *hour,
            Self::Hourly(hours) => hourly(hours, seconds),
            Self::Yearly(swing) => {
                let turn = (seconds - swing.coldest_after.as_seconds()) / YEAR_SECONDS;
                let share = 0.5 - 0.5 * libm::cos(2.0 * core::f64::consts::PI * turn);
                between(&swing.coldest, &swing.warmest, share)
            }
        }
    }
    /// The length of time over which the air changes steadily; steps end where it does.
    pub(crate) fn pace(&self) -> f64 {
        match self {
            Self::Constant(_) => f64::INFINITY,
            Self::Hourly(_) => 3600.0,
            Self::Yearly(_) => 86_400.0,
        }
    }
}

/// A year of 365 days, in seconds.
pub(crate) const YEAR_SECONDS: f64 = 365.0 * 86_400.0;

fn hourly(hours: &[Hour], seconds: f64) -> Hour {
    let place = seconds / 3600.0;
    // The step that ends at a full hour lies in the hour before it.
    let whole = libm::fmax(libm::ceil(place - 1e-9) - 1.0, 0.0);
    let index = whole as usize;
    let count = hours.len().max(1);
    let at = |i: usize| hours.get(i % count).copied().unwrap_or(STILL);
    let (before, this) = (at(index + count - 1), at(index));
    let mixed = between(&before, &this, (place - whole).clamp(0.0, 1.0));
    Hour {
        sun: this.sun,
        rain: this.rain,
        ..mixed
    }
}

/// Stands where there is no hour at all; a climate without hours is refused before it is used.
const STILL: Hour = Hour {
    outside_temperature: Temperature::from_celsius(20.0),
    outside_humidity: 0.5,
    sun: HeatFlux::ZERO,
    rain: MoistureFlux::ZERO,
    inside_temperature: Temperature::from_celsius(20.0),
    inside_humidity: 0.5,
};

fn between(one: &Hour, other: &Hour, share: f64) -> Hour {
    let mix = |a: f64, b: f64| a + (b - a) * share;
    let temperature = |a: Temperature, b: Temperature| {
        Temperature::from_celsius(mix(a.as_celsius(), b.as_celsius()))
    };
    Hour {
        outside_temperature: temperature(one.outside_temperature, other.outside_temperature),
        outside_humidity: mix(one.outside_humidity, other.outside_humidity),
        sun: HeatFlux::from_w_per_m2(mix(one.sun.as_w_per_m2(), other.sun.as_w_per_m2())),
        rain: MoistureFlux::from_kg_per_m2s(mix(
            one.rain.as_kg_per_m2s(),
            other.rain.as_kg_per_m2s(),
        )),
        inside_temperature: temperature(one.inside_temperature, other.inside_temperature),
        inside_humidity: mix(one.inside_humidity, other.inside_humidity),
    }
}
