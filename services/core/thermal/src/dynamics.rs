//! ISO 13786: how a wall answers a temperature that swings, by the matrices of its layers.

use alloc::borrow::Cow;
use alloc::format;
use alloc::vec::Vec;

use quantity::{
    ArealHeatCapacity, Conductivity, Duration, Length, ThermalResistance, Transmittance,
};
use standards::iso_13786 as iso;
use working::{Fault, Faults, Figure, Origin, Sheet};

use crate::build_up::{Body, BuildUp, Homogeneous, Layer};
use crate::record::{Record, label, under};
use crate::transmittance::{Transmittances, transmittance_on};
use crate::validate::{Needs, validate_for, within};

/// Beyond this sum of thickness over penetration depth a swing does not come through in numbers that mean anything.
pub const DEEPEST_RATIO: f64 = 300.0;

/// One complex number on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Complex {
    /// The real part.
    pub re: Figure<f64>,
    /// The imaginary part.
    pub im: Figure<f64>,
}

/// A heat transfer matrix on the sheet, from the inner side to the outer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Matrix {
    /// Temperature by temperature.
    pub z11: Complex,
    /// Temperature by heat flow, m2K/W.
    pub z12: Complex,
    /// Heat flow by temperature, W/(m2K).
    pub z21: Complex,
    /// Heat flow by heat flow.
    pub z22: Complex,
}

impl Matrix {
    /// The determinant, real and imaginary part; 1 and 0 but for the last digits.
    pub fn determinant(&self) -> (f64, f64) {
        let v = |c: Complex| (c.re.value, c.im.value);
        let times = |(a, ai): (f64, f64), (b, bi): (f64, f64)| (a * b - ai * bi, a * bi + ai * b);
        let first = times(v(self.z11), v(self.z22));
        let second = times(v(self.z12), v(self.z21));
        (first.0 - second.0, first.1 - second.1)
    }
}

/// The dynamic characteristics of a wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Dynamics {
    /// The transmittance it is compared with.
    pub transmittances: Transmittances,
    /// The matrix of the whole wall with its surfaces.
    pub matrix: Matrix,
    /// The periodic thermal transmittance.
    pub periodic: Figure<Transmittance>,
    /// The decrement factor, against U of the plane wall.
    pub decrement: Figure<f64>,
    /// The time shift of the periodic transmittance, from minus one period up to none.
    pub shift: Figure<Duration>,
    /// The admittance of the inner side.
    pub admittance_inside: Figure<Transmittance>,
    /// Its time shift, positive where the flow leads.
    pub shift_inside: Figure<Duration>,
    /// The admittance of the outer side.
    pub admittance_outside: Figure<Transmittance>,
    /// Its time shift.
    pub shift_outside: Figure<Duration>,
    /// The areal heat capacity of the inner side.
    pub capacity_inside: Figure<ArealHeatCapacity>,
    /// The areal heat capacity of the outer side.
    pub capacity_outside: Figure<ArealHeatCapacity>,
}

/// The dynamic characteristics of a wall for one period, one day as a rule ([`standards::iso_13786::DAY`]).
///
/// # Errors
/// What [`crate::validate`] says of the wall; layers without density and heat capacity; layers of several sections; a period that is not from
/// a minute to 10^12 seconds, or so short that a swing does not come through.
pub fn dynamics(
    build_up: &BuildUp,
    period: Duration,
    sheet: &mut Sheet,
) -> Result<Dynamics, Vec<Fault>> {
    validate_dynamics(build_up, period)?;
    Record::section(sheet, "Dynamic thermal characteristics");
    Ok(dynamics_on(build_up, period, sheet))
}

fn validate_dynamics(build_up: &BuildUp, period: Duration) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if let Err(list) = validate_for(build_up, Needs::Storage) {
        faults.extend(list);
    }
    let path = under(&build_up.path, "period_seconds");
    within(&mut faults, &path, period.as_seconds(), (60.0, 1e12), "s");
    if faults.is_empty() {
        let ratio: f64 = build_up
            .layers
            .iter()
            .filter_map(|layer| stored(layer).map(|material| (layer, material)))
            .map(|(layer, material)| ratio(layer, material, period))
            .sum();
        if ratio > DEEPEST_RATIO {
            let found =
                format!("layers {ratio:.0} times as thick as a swing of this period reaches");
            faults.add(
                path,
                "PERIOD_TOO_SHORT",
                found,
                format!("at most {DEEPEST_RATIO} times"),
            );
        }
    }
    faults.or(())
}

/// The material of a layer that stores heat.
fn stored(layer: &Layer) -> Option<&Homogeneous> {
    match &layer.body {
        Body::Homogeneous(material) => Some(material),
        Body::Sections(parts) => parts.first().map(|part| &part.material),
        Body::Air { .. } | Body::Resistance { .. } => None,
    }
}

fn ratio(layer: &Layer, material: &Homogeneous, period: Duration) -> f64 {
    let Some(storage) = material.storage else {
        return 0.0;
    };
    let depth = (iso::PENETRATION.function)((
        material.conductivity,
        period,
        storage.density,
        storage.specific_heat,
    ));
    layer.thickness / depth
}

pub(crate) fn dynamics_on<R: Record>(
    build_up: &BuildUp,
    period: Duration,
    record: &mut R,
) -> Dynamics {
    let of = transmittance_on(build_up, record);
    let t = record.given(
        || Cow::Borrowed("T"),
        period,
        || {
            if period == iso::DAY {
                Origin::Assumed(Cow::Borrowed("a period of one day"))
            } else {
                Origin::request(under(&build_up.path, "period_seconds"))
            }
        },
    );
    let entry = || Origin::Assumed(Cow::Borrowed("entry of a matrix without storage"));
    let one = record.given(|| Cow::Borrowed("1"), 1.0, entry);
    let zero = record.given(|| Cow::Borrowed("0"), 0.0, entry);
    let plain = Plain { one, zero };
    let mut matrix = resistance_matrix(of.inside_surface, &plain, record);
    for layer in &of.layers {
        let Some(given) = build_up.layers.get(layer.index) else {
            continue;
        };
        let next = match stored(given) {
            Some(material) => layer_matrix(given, material, t, record),
            None => resistance_matrix(layer.resistance, &plain, record),
        };
        matrix = product(&next, &matrix, &given.name, record);
    }
    let outer = resistance_matrix(of.outside_surface, &plain, record);
    let matrix = product(&outer, &matrix, "outer surface", record);
    characteristics(of, matrix, t, record)
}

struct Plain {
    one: Figure<f64>,
    zero: Figure<f64>,
}

fn resistance_matrix<R: Record>(
    resistance: Figure<ThermalResistance>,
    plain: &Plain,
    record: &mut R,
) -> Matrix {
    let upper = record.derive(
        || Cow::Borrowed("Z_12 of a resistance"),
        &iso::PURE_RESISTANCE,
        (resistance,),
    );
    let real = |re: Figure<f64>| Complex { re, im: plain.zero };
    Matrix {
        z11: real(plain.one),
        z12: real(upper),
        z21: real(plain.zero),
        z22: real(plain.one),
    }
}

/// The penetration depth, the conductivity, and the thickness against that depth.
type Depth = (Figure<Length>, Figure<Conductivity>, Figure<f64>);

fn depth<R: Record>(
    layer: &Layer,
    material: &Homogeneous,
    t: Figure<Duration>,
    record: &mut R,
) -> Depth {
    let name = layer.name.as_str();
    let from = &layer.material_from;
    let storage = material.storage.unwrap_or(crate::Storage {
        density: quantity::Density::from_kg_per_m3(f64::NAN),
        specific_heat: quantity::SpecificHeat::from_j_per_kgk(f64::NAN),
    });
    let lambda = record.given(
        || label(format_args!("lambda, {name}")),
        material.conductivity,
        || from.origin("conductivity-w-per-mk"),
    );
    let rho = record.given(
        || label(format_args!("rho, {name}")),
        storage.density,
        || from.origin("density-kg-per-m3"),
    );
    let c = record.given(
        || label(format_args!("c, {name}")),
        storage.specific_heat,
        || from.origin("specific-heat-j-per-kgk"),
    );
    let d = record.given(
        || label(format_args!("d, {name}")),
        layer.thickness,
        || layer.thickness_from.origin("thickness-mm"),
    );
    let delta = record.derive(
        || label(format_args!("delta, {name}")),
        &iso::PENETRATION,
        (lambda, t, rho, c),
    );
    let xi = record.derive(
        || label(format_args!("xi, {name}")),
        &iso::RATIO,
        (d, delta),
    );
    (delta, lambda, xi)
}

fn layer_matrix<R: Record>(
    layer: &Layer,
    material: &Homogeneous,
    t: Figure<Duration>,
    record: &mut R,
) -> Matrix {
    let name = layer.name.as_str();
    let side = depth(layer, material, t, record);
    let (_, _, xi) = side;
    let diagonal = Complex {
        re: record.derive(
            || label(format_args!("Re Z_11, {name}")),
            &iso::DIAGONAL_RE,
            (xi,),
        ),
        im: record.derive(
            || label(format_args!("Im Z_11, {name}")),
            &iso::DIAGONAL_IM,
            (xi,),
        ),
    };
    Matrix {
        z11: diagonal,
        z12: Complex {
            re: record.derive(
                || label(format_args!("Re Z_12, {name}")),
                &iso::UPPER_RE,
                side,
            ),
            im: record.derive(
                || label(format_args!("Im Z_12, {name}")),
                &iso::UPPER_IM,
                side,
            ),
        },
        z21: Complex {
            re: record.derive(
                || label(format_args!("Re Z_21, {name}")),
                &iso::LOWER_RE,
                side,
            ),
            im: record.derive(
                || label(format_args!("Im Z_21, {name}")),
                &iso::LOWER_IM,
                side,
            ),
        },
        z22: diagonal,
    }
}

fn product<R: Record>(outer: &Matrix, inner: &Matrix, up_to: &str, record: &mut R) -> Matrix {
    let mut entry = |which: &str, a: Complex, b: Complex, c: Complex, d: Complex| {
        let factors = (a.re, a.im, b.re, b.im, c.re, c.im, d.re, d.im);
        Complex {
            re: record.derive(
                || label(format_args!("Re {which} up to {up_to}")),
                &iso::PRODUCT_RE,
                factors,
            ),
            im: record.derive(
                || label(format_args!("Im {which} up to {up_to}")),
                &iso::PRODUCT_IM,
                factors,
            ),
        }
    };
    Matrix {
        z11: entry("Z_11", outer.z11, inner.z11, outer.z12, inner.z21),
        z12: entry("Z_12", outer.z11, inner.z12, outer.z12, inner.z22),
        z21: entry("Z_21", outer.z21, inner.z11, outer.z22, inner.z21),
        z22: entry("Z_22", outer.z21, inner.z12, outer.z22, inner.z22),
    }
}

fn characteristics<R: Record>(
    of: Transmittances,
    matrix: Matrix,
    t: Figure<Duration>,
    record: &mut R,
) -> Dynamics {
    let w = matrix.z12;
    let (inside, outside) = (matrix.z11, matrix.z22);
    let periodic = record.derive(|| Cow::Borrowed("Y_12"), &iso::PERIODIC, (w.re, w.im));
    Dynamics {
        periodic,
        decrement: record.derive(|| Cow::Borrowed("f"), &iso::DECREMENT, (periodic, of.u)),
        shift: record.derive(
            || Cow::Borrowed("dt_12"),
            &iso::PERIODIC_SHIFT,
            (w.re, w.im, t),
        ),
        admittance_inside: record.derive(
            || Cow::Borrowed("Y_11"),
            &iso::ADMITTANCE,
            (inside.re, inside.im, w.re, w.im),
        ),
        shift_inside: record.derive(
            || Cow::Borrowed("dt_11"),
            &iso::SHIFT,
            (inside.re, inside.im, w.re, w.im, t),
        ),
        admittance_outside: record.derive(
            || Cow::Borrowed("Y_22"),
            &iso::ADMITTANCE,
            (outside.re, outside.im, w.re, w.im),
        ),
        shift_outside: record.derive(
            || Cow::Borrowed("dt_22"),
            &iso::SHIFT,
            (outside.re, outside.im, w.re, w.im, t),
        ),
        capacity_inside: record.derive(
            || Cow::Borrowed("kappa_1"),
            &iso::CAPACITY,
            (inside.re, inside.im, w.re, w.im, t),
        ),
        capacity_outside: record.derive(
            || Cow::Borrowed("kappa_2"),
            &iso::CAPACITY,
            (outside.re, outside.im, w.re, w.im, t),
        ),
        transmittances: of,
        matrix,
    }
}
