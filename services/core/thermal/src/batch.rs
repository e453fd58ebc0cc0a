//! Many walls at once: transmittance, monthly moisture and dynamics of each, bare and without allocation in the common case.
//!
//! The answers are those of [`crate::transmittance()`], [`crate::moisture()`] and [`crate::dynamics()`] to the last digits that sums in another order leave; a wall
//! of interest is then asked there for its sheet.

mod damp;
mod elementary;
mod swing;

use alloc::vec::Vec;

use quantity::{AreaMass, Duration, ThermalResistance, Transmittance};
use standards::{iso_6946, iso_13788};
use working::Fault;

use crate::air::{MonthAir, air_on};
use crate::build_up::{Body, BuildUp, SmallCorrections, Surfaces, Vapour};
use crate::climate::{Climate, Inside, validate_climate};
use crate::interstitial::Outcome;
use crate::record::Bare;
use crate::transmittance::transmittance_on;
use crate::validate::{GREATEST_CONDUCTIVITY, LEAST_CONDUCTIVITY, Needs, validate_for};
use damp::{Around, Damp, Lean};
use swing::{Layers, Sides};

pub use swing::Swing;

/// What a wall of a batch answers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BatchAnswer {
    /// The total thermal resistance.
    pub total: ThermalResistance,
    /// U with its corrections.
    pub u_corrected: Transmittance,
    /// The temperature factor of the inner surface with the surface resistance for mould.
    pub factor: f64,
    /// The factor that the critical month asks for; nothing where no month asks.
    pub factor_needed: Option<f64>,
    /// That month, 0 for January.
    pub critical_month: Option<usize>,
    /// The most moisture that gathers at all planes together.
    pub most: AreaMass,
    /// What is left after twelve months.
    pub left: AreaMass,
    /// How the year ends.
    pub outcome: Outcome,
    /// The dynamics; nothing where a layer has no storage given or has sections.
    pub swing: Option<Swing>,
}

/// A climate, rooms and a period, and the scratch that all walls share.
#[derive(Clone, Debug)]
pub struct Batch {
    period: Duration,
    /// The factor that the critical month asks for, and that month: the wall has no say in them.
    needed: Option<(f64, usize)>,
    layers: Vec<Lean>,
    swinging: Layers,
    damp: Damp,
}

/// The wall's numbers besides its layers.
#[derive(Clone, Copy, Debug)]
struct Whole {
    inside: f64,
    outside: f64,
    series: f64,
    total: f64,
    u: f64,
    u_corrected: f64,
    /// Whether every layer is homogeneous and says what it stores, or is one that stores nothing.
    plane: bool,
}

impl Batch {
    /// A batch for this climate, these rooms and this period.
    ///
    /// # Errors
    /// What [`validate_climate`] says, or a period that is not from a minute to 10^12 seconds.
    pub fn new(climate: &Climate, inside: &Inside, period: Duration) -> Result<Self, Vec<Fault>> {
        validate_climate(climate, inside)?;
        let mut faults = working::Faults::new();
        crate::validate::within(
            &mut faults,
            "period_seconds",
            period.as_seconds(),
            (60.0, 1e12),
            "s",
        );
        faults.or(())?;
        let air = air_on(climate, inside, &mut Bare);
        Ok(Self {
            period,
            needed: most_needed(&air),
            layers: Vec::new(),
            swinging: Layers::default(),
            damp: Damp::of(&air),
        })
    }

    /// The answer for one wall.
    ///
    /// # Errors
    /// What [`crate::validate`] says of the wall, and layers without their vapour resistance.
    pub fn answer(&mut self, build_up: &BuildUp) -> Result<BatchAnswer, Vec<Fault>> {
        let whole = if let Some(whole) = self.plain(build_up) {
            whole
        } else {
            validate_for(build_up, Needs::Vapour)?;
            self.general(build_up)
        };
        let total = whole.total - whole.inside + iso_13788::MOULD_SURFACE.as_m2k_per_w();
        let factor = 1.0 - iso_13788::MOULD_SURFACE.as_m2k_per_w() / total;
        let around = Around {
            inside: whole.inside,
            series: whole.series,
        };
        let gathered = self.damp.gather(&self.layers, &around);
        let sides = Sides {
            inside: whole.inside,
            outside: whole.outside,
            u: whole.u,
        };
        let swing = if whole.plane {
            self.swinging.swing(&sides, self.period)
        } else {
            None
        };
        Ok(BatchAnswer {
            total: ThermalResistance::from_m2k_per_w(whole.total),
            u_corrected: Transmittance::from_w_per_m2k(whole.u_corrected),
            factor,
            factor_needed: self.needed.map(|(needed, _)| needed),
            critical_month: self.needed.map(|(_, month)| month),
            most: AreaMass::from_kg_per_m2(gathered.most),
            left: AreaMass::from_kg_per_m2(gathered.left),
            outcome: gathered.outcome,
            swing,
        })
    }

    /// A wall of homogeneous layers with nothing but anchors as bridges: no text, no allocation. Nothing for any other wall, or where
    /// something is wrong with it.
    fn plain(&mut self, build_up: &BuildUp) -> Option<Whole> {
        let bridged = !build_up.linear.is_empty()
            || build_up.fasteners.is_some()
            || build_up.voids != iso_6946::VoidLevel::None
            || build_up.surfaces != Surfaces::Conventional;
        if bridged || build_up.layers.is_empty() || build_up.layers.len() > crate::MOST_LAYERS {
            return None;
        }
        self.layers.clear();
        self.swinging.clear();
        let inside = iso_6946::internal_surface(build_up.direction).as_m2k_per_w();
        let outside = iso_6946::EXTERNAL_SURFACE.as_m2k_per_w();
        let per_period = core::f64::consts::PI / self.period.as_seconds();
        let (mut sum, mut plane) = (0.0, true);
        for layer in &build_up.layers {
            let Body::Homogeneous(material) = &layer.body else {
                return None;
            };
            let (d, lambda) = (layer.thickness.as_m(), material.conductivity.as_w_per_mk());
            let equivalent_air = match material.vapour? {
                Vapour::Factor(mu) if (1.0..=1e7).contains(&mu) => mu * d,
                Vapour::EquivalentAir(s_d) if (1e-5..=1e5).contains(&s_d.as_m()) => s_d.as_m(),
                _ => return None,
            };
            let conducts = (LEAST_CONDUCTIVITY..=GREATEST_CONDUCTIVITY).contains(&lambda);
            if !(d > 0.0 && d <= 10.0 && conducts) {
                return None;
            }
            let storing = match material.storage {
                Some(storage) => {
                    let (rho, c) = (
                        storage.density.as_kg_per_m3(),
                        storage.specific_heat.as_j_per_kgk(),
                    );
                    if !((0.5..=30_000.0).contains(&rho) && (50.0..=10_000.0).contains(&c)) {
                        return None;
                    }
                    per_period * lambda * rho * c
                }
                None => 0.0,
            };
            plane &= material.storage.is_some();
            let resistance = d / lambda;
            sum += resistance;
            self.swinging.push(resistance, storing);
            self.layers.push(Lean {
                resistance,
                equivalent_air,
            });
        }
        let total = inside + sum + outside;
        let u = 1.0 / total;
        let u_corrected = match &build_up.anchors {
            None => u,
            Some(anchors) => {
                let (n, chi) = (anchors.per_area.as_per_m2(), anchors.chi.as_w_per_k());
                if !((0.0..=100.0).contains(&n) && (0.0..=0.1).contains(&chi)) {
                    return None;
                }
                let correction = chi * n;
                let small = correction / u < iso_6946::NEGLIGIBLE_SHARE;
                if small && build_up.small_corrections == SmallCorrections::Dropped {
                    u
                } else {
                    u + correction
                }
            }
        };
        Some(Whole {
            inside,
            outside,
            series: total,
            total,
            u,
            u_corrected,
            plane,
        })
    }

    /// Any other sound wall, by the way that the sheet goes.
    fn general(&mut self, build_up: &BuildUp) -> Whole {
        let of = transmittance_on(build_up, &mut Bare);
        self.layers.clear();
        self.swinging.clear();
        let per_period = core::f64::consts::PI / self.period.as_seconds();
        let mut plane = true;
        for layer in &of.layers {
            let given = build_up.layers.get(layer.index);
            let equivalent_air = given
                .and_then(crate::Layer::equivalent_air)
                .unwrap_or_default();
            let storing = match given.map(|given| &given.body) {
                Some(Body::Homogeneous(material)) => {
                    plane &= material.storage.is_some();
                    material.storage.map_or(0.0, |s| {
                        per_period
                            * material.conductivity.as_w_per_mk()
                            * s.density.as_kg_per_m3()
                            * s.specific_heat.as_j_per_kgk()
                    })
                }
                Some(Body::Sections(_)) => {
                    plane = false;
                    0.0
                }
                Some(Body::Air { .. } | Body::Resistance { .. }) | None => 0.0,
            };
            let resistance = layer.resistance.value.as_m2k_per_w();
            self.swinging.push(resistance, storing);
            self.layers.push(Lean {
                resistance,
                equivalent_air: equivalent_air.as_m(),
            });
        }
        Whole {
            inside: of.inside_surface.value.as_m2k_per_w(),
            outside: of.outside_surface.value.as_m2k_per_w(),
            series: of.series.value.as_m2k_per_w(),
            total: of.total.value.as_m2k_per_w(),
            u: of.u.value.as_w_per_m2k(),
            u_corrected: of.u_corrected.value.as_w_per_m2k(),
            plane,
        }
    }
}

/// What the climate asks of the temperature factor in the month that asks the most, and that month.
fn most_needed(year: &[MonthAir]) -> Option<(f64, usize)> {
    let mut worst: Option<(f64, usize)> = None;
    for (index, month) in year.iter().enumerate() {
        let air = month.bare();
        let (inside, outside) = (air.inside_celsius, air.outside_celsius);
        let least = iso_13788::dew_point_celsius(
            month.inside_pressure.value.as_pa() / iso_13788::MOULD_HUMIDITY,
        );
        if outside >= inside || outside >= least {
            continue;
        }
        let needed = (least - outside) / (inside - outside);
        if worst.is_none_or(|(most, _)| needed > most) {
            worst = Some((needed, index));
        }
    }
    worst
}

#[cfg(test)]
mod tests;
