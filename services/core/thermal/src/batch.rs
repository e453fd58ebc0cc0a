//! Many walls at once: transmittance, monthly moisture and dynamics of each, bare and without allocation in the common case.
//!
//! The answers are those of [`crate::transmittance()`], [`crate::moisture()`] and [`crate::dynamics()`] to the last digits that sums in another order leave; a wall
//! of interest is then asked there for its sheet.

use alloc::vec::Vec;

use quantity::{
    AreaMass, ArealHeatCapacity, Duration, ThermalResistance, Transmittance, VapourPressure,
};
use standards::{iso_6946, iso_13788};
use working::Fault;

use crate::air::{MonthAir, air_on};
use crate::build_up::{Body, BuildUp, SmallCorrections, Surfaces, Vapour};
use crate::climate::{Climate, Inside, MONTHS, validate_climate};
use crate::glaser::{self, Air, Curve, Grid};
use crate::interstitial::{Outcome, pieces};
use crate::record::Bare;
use crate::transmittance::transmittance_on;
use crate::validate::{Needs, validate_for};

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

/// The dynamics of a wall of a batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    /// The periodic thermal transmittance.
    pub periodic: Transmittance,
    /// The decrement factor.
    pub decrement: f64,
    /// The time shift of the periodic transmittance.
    pub shift: Duration,
    /// The admittance of the inner side.
    pub admittance_inside: Transmittance,
    /// Its time shift.
    pub shift_inside: Duration,
    /// The admittance of the outer side.
    pub admittance_outside: Transmittance,
    /// Its time shift.
    pub shift_outside: Duration,
    /// The areal heat capacity of the inner side.
    pub capacity_inside: ArealHeatCapacity,
    /// The areal heat capacity of the outer side.
    pub capacity_outside: ArealHeatCapacity,
}

/// A climate, rooms and a period, and the scratch that all walls share.
#[derive(Clone, Debug)]
pub struct Batch {
    year: Vec<BatchMonth>,
    period: Duration,
    layers: Vec<Lean>,
    /// The faces of the layers alone.
    faces: Grid,
    /// The faces and the subdivisions.
    grid: Grid,
    mass: Vec<f64>,
}

/// One month of the climate, and what the wall at hand does in it.
#[derive(Clone, Debug)]
struct BatchMonth {
    air: Air,
    /// The least temperature of the inner surface without mould.
    least_celsius: f64,
    /// The warmest that a point may be for the string of a dry wall to reach its saturation.
    reach: f64,
    /// The curve of the wall at hand, where `saturated`.
    curve: Curve,
    saturated: bool,
    /// Whether the wall gathers moisture in this month when dry.
    gathers: bool,
}

impl BatchMonth {
    fn of(air: &MonthAir) -> Self {
        // A hair more than the dew point, so that a touch within rounding is not lost.
        let dew = |pressure: VapourPressure| iso_13788::dew_point_celsius(pressure.as_pa()) + 1e-6;
        let inside = air.inside_pressure.value;
        Self {
            air: air.bare(),
            least_celsius: iso_13788::dew_point_celsius(inside.as_pa() / iso_13788::MOULD_HUMIDITY),
            reach: dew(inside).max(dew(air.outside_pressure.value)),
            curve: Curve::default(),
            saturated: false,
            gathers: false,
        }
    }
}

/// A layer with nothing but numbers.
#[derive(Clone, Copy, Debug)]
struct Lean {
    resistance: f64,
    equivalent_air: f64,
    /// Thickness over penetration depth, and penetration depth over conductivity.
    storage: Option<(f64, f64)>,
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
            year: air.iter().map(BatchMonth::of).collect(),
            period,
            layers: Vec::new(),
            faces: Grid::default(),
            grid: Grid::default(),
            mass: Vec::new(),
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
        let (factor_needed, critical_month) = self.mould();
        let (most, left, outcome) = self.moisture(&whole);
        Ok(BatchAnswer {
            total: ThermalResistance::from_m2k_per_w(whole.total),
            u_corrected: Transmittance::from_w_per_m2k(whole.u_corrected),
            factor,
            factor_needed,
            critical_month,
            most: AreaMass::from_kg_per_m2(most),
            left: AreaMass::from_kg_per_m2(left),
            outcome,
            swing: self.swing(&whole),
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
        let inside = iso_6946::internal_surface(build_up.direction).as_m2k_per_w();
        let outside = iso_6946::EXTERNAL_SURFACE.as_m2k_per_w();
        let mut sum = 0.0;
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
            if !(d > 0.0 && d <= 10.0 && lambda > 0.0 && lambda <= 1e4) {
                return None;
            }
            let storage = match material.storage {
                Some(storage) => {
                    let (rho, c) = (
                        storage.density.as_kg_per_m3(),
                        storage.specific_heat.as_j_per_kgk(),
                    );
                    if !((0.5..=30_000.0).contains(&rho) && (50.0..=10_000.0).contains(&c)) {
                        return None;
                    }
                    let t = self.period.as_seconds();
                    let delta = libm::sqrt(lambda * t / (core::f64::consts::PI * rho * c));
                    Some((d / delta, delta / lambda))
                }
                None => None,
            };
            let resistance = d / lambda;
            sum += resistance;
            self.layers.push(Lean {
                resistance,
                equivalent_air,
                storage,
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
            plane: true,
        })
    }

    /// Any other sound wall, by the way that the sheet goes.
    fn general(&mut self, build_up: &BuildUp) -> Whole {
        let of = transmittance_on(build_up, &mut Bare);
        self.layers.clear();
        let mut plane = true;
        for layer in &of.layers {
            let given = build_up.layers.get(layer.index);
            let equivalent_air = given
                .and_then(crate::Layer::equivalent_air)
                .unwrap_or_default();
            let storage = given.and_then(|given| match &given.body {
                Body::Homogeneous(material) => {
                    let storage = material.storage;
                    plane &= storage.is_some();
                    let (lambda, t) = (
                        material.conductivity.as_w_per_mk(),
                        self.period.as_seconds(),
                    );
                    storage.map(|s| {
                        let heat = s.density.as_kg_per_m3() * s.specific_heat.as_j_per_kgk();
                        let delta = libm::sqrt(lambda * t / (core::f64::consts::PI * heat));
                        (given.thickness.as_m() / delta, delta / lambda)
                    })
                }
                Body::Sections(_) => {
                    plane = false;
                    None
                }
                Body::Air { .. } | Body::Resistance { .. } => None,
            });
            self.layers.push(Lean {
                resistance: layer.resistance.value.as_m2k_per_w(),
                equivalent_air: equivalent_air.as_m(),
                storage,
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

    fn mould(&self) -> (Option<f64>, Option<usize>) {
        let mut worst: Option<(f64, usize)> = None;
        for (index, month) in self.year.iter().enumerate() {
            let (inside, outside) = (month.air.inside_celsius, month.air.outside_celsius);
            if outside >= inside || outside >= month.least_celsius {
                continue;
            }
            let needed = (month.least_celsius - outside) / (inside - outside);
            if worst.is_none_or(|(most, _)| needed > most) {
                worst = Some((needed, index));
            }
        }
        (
            worst.map(|(needed, _)| needed),
            worst.map(|(_, month)| month),
        )
    }

    fn lay_out_faces(&mut self, whole: &Whole) {
        self.faces.s.clear();
        self.faces.share.clear();
        let (mut s, mut r) = (0.0, whole.inside);
        self.faces.s.push(s);
        self.faces.share.push(r / whole.series);
        for layer in &self.layers {
            s += layer.equivalent_air;
            r += layer.resistance;
            self.faces.s.push(s);
            self.faces.share.push(r / whole.series);
        }
    }

    fn lay_out(&mut self, whole: &Whole) {
        self.grid.s.clear();
        self.grid.share.clear();
        self.grid.permeability = iso_13788::AIR_PERMEABILITY.as_kg_per_mspa();
        let (mut s, mut r) = (0.0, whole.inside);
        self.grid.s.push(s);
        self.grid.share.push(r / whole.series);
        for layer in &self.layers {
            let pieces = pieces(ThermalResistance::from_m2k_per_w(layer.resistance));
            for piece in 1..=pieces {
                let share = piece as f64 / pieces as f64;
                self.grid.s.push(s + layer.equivalent_air * share);
                self.grid
                    .share
                    .push((r + layer.resistance * share) / whole.series);
            }
            s += layer.equivalent_air;
            r += layer.resistance;
        }
    }

    fn moisture(&mut self, whole: &Whole) -> (f64, f64, Outcome) {
        self.lay_out_faces(whole);
        let clear = |month: &BatchMonth| self.faces.clear_of(&month.air);
        if self.year.iter().all(clear) {
            return (0.0, 0.0, Outcome::NoCondensation);
        }
        self.lay_out(whole);
        for month in &mut self.year {
            month.saturated = !self.faces.clear_of(&month.air);
            month.gathers = false;
            if month.saturated {
                month
                    .curve
                    .saturate_colder(&self.grid, &month.air, month.reach);
                month.curve.pull(&self.grid, &[]);
                month.gathers = month.curve.gathers(month.air.seconds);
            }
        }
        let mut gathers = [false; MONTHS];
        for (gathers, month) in gathers.iter_mut().zip(&self.year) {
            *gathers = month.gathers;
        }
        let Some(start) = glaser::start(&gathers) else {
            return (0.0, 0.0, Outcome::NoCondensation);
        };
        self.mass.clear();
        self.mass.resize(self.grid.s.len(), 0.0);
        let (mut most, mut left) = (0.0, 0.0);
        for step in 0..MONTHS {
            // A dry wall in a month that gathers nothing stays dry.
            match self.year.get_mut((start + step) % MONTHS) {
                Some(month) if left > 0.0 || month.gathers => {
                    carry(&self.grid, month, &mut self.mass);
                    left = self.mass.iter().sum();
                    most = libm::fmax(most, left);
                }
                _ => {}
            }
        }
        let outcome = if left > glaser::NEGLIGIBLE {
            Outcome::Accumulates
        } else {
            Outcome::DriesOut
        };
        (most, left, outcome)
    }

    fn swing(&self, whole: &Whole) -> Option<Swing> {
        let stores = self.layers.iter().filter_map(|layer| layer.storage);
        let depth: f64 = stores.map(|(xi, _)| xi).sum();
        let given = whole.plane && self.layers.iter().any(|layer| layer.storage.is_some());
        if !given || depth > crate::DEEPEST_RATIO {
            return None;
        }
        // Each row of the product goes through the layers from outside by itself.
        let resistance = |r: f64| LayerMatrix {
            diagonal: (1.0, 0.0),
            upper: (-r, 0.0),
            lower: (0.0, 0.0),
        };
        let mut first = ((1.0, 0.0), (-whole.outside, 0.0));
        let mut second = ((0.0, 0.0), (1.0, 0.0));
        let layers = self.layers.iter().rev().map(|layer| match layer.storage {
            Some((xi, per_conductivity)) => LayerMatrix::of(xi, per_conductivity),
            None => resistance(layer.resistance),
        });
        for matrix in layers.chain([resistance(whole.inside)]) {
            first = matrix.after(first);
            second = matrix.after(second);
        }
        let (z11, z12, z22) = (first.0, first.1, second.1);
        let size = modulus(z12.0, z12.1);
        let argument = libm::atan2(z12.1, -z12.0);
        let turn = if argument > 0.0 {
            core::f64::consts::TAU
        } else {
            0.0
        };
        let per_turn = self.period / core::f64::consts::TAU;
        let shift =
            |z: C| per_turn * libm::atan2(z.0 * z12.1 - z.1 * z12.0, -z.0 * z12.0 - z.1 * z12.1);
        let admittance = |z: C| Transmittance::from_w_per_m2k(modulus(z.0, z.1) / size);
        let capacity = |z: C| {
            ArealHeatCapacity::from_j_per_m2k(
                per_turn.as_seconds() * modulus(z.0 - 1.0, z.1) / size,
            )
        };
        Some(Swing {
            periodic: Transmittance::from_w_per_m2k(1.0 / size),
            decrement: 1.0 / size / whole.u,
            shift: per_turn * (argument - turn),
            admittance_inside: admittance(z11),
            shift_inside: shift(z11),
            admittance_outside: admittance(z22),
            shift_outside: shift(z22),
            capacity_inside: capacity(z11),
            capacity_outside: capacity(z22),
        })
    }
}

/// Carries the planes through one month, on a curve that reaches the warmest wet one.
fn carry(grid: &Grid, month: &mut BatchMonth, mass: &mut [f64]) {
    let air = &month.air;
    let fall = air.inside_celsius - air.outside_celsius;
    let mut warmest = month.reach;
    for (mass, share) in mass.iter().zip(&grid.share) {
        if *mass > 0.0 {
            warmest = libm::fmax(warmest, air.inside_celsius - fall * share);
        }
    }
    if warmest > month.reach || !month.saturated {
        month.curve.saturate_colder(grid, air, warmest);
    }
    glaser::carry(grid, air, mass, &mut month.curve);
}

type C = (f64, f64);

fn modulus(re: f64, im: f64) -> f64 {
    libm::sqrt(re * re + im * im)
}

fn times(a: C, b: C) -> C {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

/// The heat transfer matrix of one layer; both entries of its diagonal are the same.
#[derive(Clone, Copy)]
struct LayerMatrix {
    diagonal: C,
    upper: C,
    lower: C,
}

impl LayerMatrix {
    /// From thickness over penetration depth, and penetration depth over conductivity.
    fn of(xi: f64, per_conductivity: f64) -> Self {
        // Below a half the exponential loses the digits of the hyperbolic sine.
        let (sinh, cosh) = if xi < 0.5 {
            (libm::sinh(xi), libm::cosh(xi))
        } else {
            let e = libm::exp(xi);
            ((e - 1.0 / e) / 2.0, f64::midpoint(e, 1.0 / e))
        };
        let (sin, cos) = libm::sincos(xi);
        let (a, b) = (sinh * cos, cosh * sin);
        Self {
            diagonal: (cosh * cos, sinh * sin),
            upper: (
                -per_conductivity / 2.0 * (a + b),
                -per_conductivity / 2.0 * (b - a),
            ),
            lower: (-(a - b) / per_conductivity, -(a + b) / per_conductivity),
        }
    }
    /// A row of the product so far, carried through this layer on its inner side.
    fn after(&self, row: (C, C)) -> (C, C) {
        let plus = |x: C, y: C| (x.0 + y.0, x.1 + y.1);
        (
            plus(times(row.0, self.diagonal), times(row.1, self.lower)),
            plus(times(row.0, self.upper), times(row.1, self.diagonal)),
        )
    }
}
