//! A material's data as straight lines between many points of humidity, so that every form of it costs the solver the same.

use alloc::vec::Vec;

use quantity::{Density, Quantity, Suction};
use standards::en_15026;

use crate::material::{Liquid, Material, Sorption, VapourResistance};

/// How many equal steps lie between humidity 0 and the knee.
const STEPS_BELOW: usize = 900;
/// Where the steps begin to shrink towards saturation.
const KNEE: f64 = 0.9;
/// The ratio of one step's distance from saturation to the next one's.
const SHRINK: f64 = 0.98;
/// The distance from saturation at which the steps end.
const NEAREST: f64 = 1e-7;

/// The water, liquid potential and vapour permeability of a material over humidity.
#[derive(Clone, Debug)]
pub(crate) struct Curve {
    points: Vec<CurvePoint>,
    /// Beyond saturation the water rises this fast, in kg/m3 for a humidity of one.
    beyond: f64,
    /// The share of the liquid transport that is left while no water is drawn in.
    pub redistribution: f64,
}

/// One point of a curve.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct CurvePoint {
    /// The relative humidity.
    pub humidity: f64,
    /// The water content, in kg/m3.
    pub water: f64,
    /// The integral of the liquid diffusivity over humidity, in kg/(m.s).
    pub liquid: f64,
    /// The reciprocal of the vapour resistance factor.
    pub open: f64,
}

/// A value read from a curve with its slopes.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Reading {
    /// The water content, in kg/m3.
    pub water: f64,
    /// Its slope over humidity.
    pub water_slope: f64,
    /// The liquid potential, in kg/(m.s).
    pub liquid: f64,
    /// Its slope over humidity.
    pub liquid_slope: f64,
    /// The reciprocal of the vapour resistance factor.
    pub open: f64,
}

/// The water content of a sorption at a humidity between 0 and 1, in kg/m3.
pub(crate) fn water_at(sorption: &Sorption, humidity: f64) -> f64 {
    match sorption {
        Sorption::None => 0.0,
        Sorption::BySuction {
            saturation,
            a_per_pa,
            n,
            m,
        } => {
            if humidity <= 0.0 {
                return 0.0;
            }
            let suction = Suction::from_pa(libm::fmax(en_15026::suction_pa(humidity), 0.0));
            (en_15026::SUCTION_SORPTION.function)((*saturation, suction, *a_per_pa, *n, *m)).si()
        }
        Sorption::Logarithmic { saturation, a, n } => {
            if humidity <= 0.0 {
                return 0.0;
            }
            (en_15026::LOGARITHMIC_SORPTION.function)((*saturation, humidity, *a, *n)).si()
        }
        Sorption::Capillary {
            free_saturation,
            at_80,
        } => (en_15026::CAPILLARY_SORPTION.function)((*free_saturation, *at_80, humidity)).si(),
        Sorption::Table { points } => {
            let after = points.partition_point(|p| p.humidity <= humidity);
            let Some(low) = after.checked_sub(1).and_then(|i| points.get(i)) else {
                return points.first().map_or(0.0, |p| p.water.as_kg_per_m3());
            };
            let Some(high) = points.get(after) else {
                return low.water.as_kg_per_m3();
            };
            let share = (humidity - low.humidity) / (high.humidity - low.humidity);
            (low.water + (high.water - low.water) * share).as_kg_per_m3()
        }
    }
}

/// The water content at saturation, in kg/m3.
pub(crate) fn saturation(sorption: &Sorption) -> f64 {
    water_at(sorption, 1.0)
}

/// The diffusivity of liquid over humidity at a point, in kg/(m.s), by suction; only conductivities need it.
fn conductivity_over_humidity(
    coefficients: &[f64],
    around: Density,
    water: f64,
    humidity: f64,
) -> f64 {
    let offset = water - around.as_kg_per_m3();
    let exponent = coefficients
        .iter()
        .rev()
        .fold(0.0, |sum, c| sum * offset + c);
    // The slope of the Kelvin equation turns a gradient of suction into one of humidity.
    let slope = en_15026::WATER_DENSITY * en_15026::GAS_CONSTANT * en_15026::KELVIN_TEMPERATURE
        / (en_15026::MOLAR_MASS * humidity);
    libm::exp(exponent) * slope
}

impl Curve {
    /// The curve of a sound material.
    pub fn new(material: &Material) -> Self {
        let mut humidities: Vec<f64> = (0..STEPS_BELOW)
            .map(|k| KNEE * k as f64 / STEPS_BELOW as f64)
            .collect();
        let mut distance = 1.0 - KNEE;
        // About seven hundred steps, since the distance shrinks by a fixed share.
        while distance > NEAREST {
            humidities.push(1.0 - distance);
            distance *= SHRINK;
        }
        humidities.push(1.0);
        // A table's own points are kept, so that its corners stay where they are.
        if let Sorption::Table { points } = &material.sorption {
            humidities.extend(
                points
                    .iter()
                    .map(|p| p.humidity)
                    .filter(|h| *h > 0.0 && *h < 1.0),
            );
            humidities.sort_by(f64::total_cmp);
            humidities.dedup();
        }
        let full = saturation(&material.sorption);
        let mut points: Vec<CurvePoint> = Vec::with_capacity(humidities.len());
        for humidity in humidities {
            let water = water_at(&material.sorption, humidity);
            let liquid = liquid_potential(material, water, full, humidity, points.last());
            let open = 1.0 / resistance_factor(&material.vapour, humidity, water, full);
            points.push(CurvePoint {
                humidity,
                water,
                liquid,
                open,
            });
        }
        let steepest = points
            .windows(2)
            .rev()
            .take(3)
            .map(|w| (w[1].water - w[0].water) / (w[1].humidity - w[0].humidity))
            .fold(0.0, libm::fmax);
        Self {
            points,
            beyond: libm::fmax(steepest, 10.0 * full),
            redistribution: match material.liquid {
                Liquid::ByAbsorption { redistribution, .. } => redistribution,
                _ => 1.0,
            },
        }
    }

    /// Reads the curve; `near` is where the last reading was and is kept for the next.
    pub fn read(&self, humidity: f64, near: &mut u32) -> Reading {
        let last = self.points.len().saturating_sub(2);
        if humidity >= 1.0 {
            let end = self.points.last().copied().unwrap_or_default();
            return Reading {
                water: end.water + self.beyond * (humidity - 1.0),
                water_slope: self.beyond,
                liquid: end.liquid,
                liquid_slope: 0.0,
                open: end.open,
            };
        }
        let mut at = (*near as usize).min(last);
        let holds = |i: usize| {
            let low = self.points.get(i).is_none_or(|p| p.humidity <= humidity);
            let high = self.points.get(i + 1).is_none_or(|p| p.humidity > humidity);
            (low, high)
        };
        // Mostly the last place or one beside it; else a search.
        match holds(at) {
            (true, true) => {}
            (true, false) if holds(at + 1) == (true, true) => at += 1,
            (false, true) if at > 0 && holds(at - 1) == (true, true) => at -= 1,
            _ => {
                at = self
                    .points
                    .partition_point(|p| p.humidity <= humidity)
                    .saturating_sub(1)
                    .min(last);
            }
        }
        *near = at as u32;
        let (Some(low), Some(high)) = (self.points.get(at), self.points.get(at + 1)) else {
            return Reading::default();
        };
        let step = high.humidity - low.humidity;
        let offset = humidity - low.humidity;
        let water_slope = (high.water - low.water) / step;
        let liquid_slope = (high.liquid - low.liquid) / step;
        Reading {
            water: low.water + water_slope * offset,
            water_slope,
            liquid: low.liquid + liquid_slope * offset,
            liquid_slope,
            open: low.open + (high.open - low.open) / step * offset,
        }
    }

    /// The humidity at which the curve holds so much water; saturation where it never does.
    pub fn humidity_of(&self, water: f64) -> f64 {
        let after = self.points.partition_point(|p| p.water < water);
        let Some(high) = self.points.get(after) else {
            return 1.0;
        };
        let Some(low) = after.checked_sub(1).and_then(|i| self.points.get(i)) else {
            return high.humidity;
        };
        low.humidity
            + (high.humidity - low.humidity) * (water - low.water) / (high.water - low.water)
    }
}

fn liquid_potential(
    material: &Material,
    water: f64,
    full: f64,
    humidity: f64,
    before: Option<&CurvePoint>,
) -> f64 {
    match &material.liquid {
        Liquid::None => 0.0,
        Liquid::ByDiffusivity(d) => d.as_m2_per_s() * water,
        // The integral of the exponential diffusivity over the water content, in closed form.
        Liquid::ByAbsorption { coefficient: a, .. } => {
            if full <= 0.0 {
                return 0.0;
            }
            let speed = a.as_kg_per_m2_root_s() / full;
            let scale = 3.8 * speed * speed * full / libm::log(1000.0);
            scale * (libm::pow(1000.0, water / full - 1.0) - 1e-3)
        }
        Liquid::ByConductivity {
            coefficients,
            around,
        } => {
            let Some(before) = before else {
                return 0.0;
            };
            let k = |w: f64, h: f64| conductivity_over_humidity(coefficients, *around, w, h);
            let step = humidity - before.humidity;
            let middle = before.humidity + 0.5 * step;
            let start = if before.humidity > 0.0 {
                k(before.water, before.humidity)
            } else {
                0.0
            };
            let mean = (start
                + 4.0 * k(water_at(&material.sorption, middle), middle)
                + k(water, humidity))
                / 6.0;
            before.liquid + mean * step
        }
    }
}

fn resistance_factor(vapour: &VapourResistance, humidity: f64, water: f64, full: f64) -> f64 {
    match vapour {
        VapourResistance::Constant { factor } => *factor,
        VapourResistance::DryWet { dry, wet } => {
            let share = ((humidity - 0.25) / 0.5).clamp(0.0, 1.0);
            dry + (wet - dry) * share
        }
        VapourResistance::FillingPores { factor } => {
            let filled = if full > 0.0 { water / full } else { 0.0 };
            // A trace stays open, so that saturated pores do not make the equations singular.
            factor / libm::fmax(en_15026::open_share(filled), 1e-6)
        }
    }
}
