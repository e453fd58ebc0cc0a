//! The dynamics of one wall of a batch: the product of the matrices of its layers.

use alloc::vec::Vec;

use quantity::{ArealHeatCapacity, Duration, Transmittance};

use super::elementary::{atan2, sin_cos, sinh_cosh};

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

/// How many layers go through the elementary functions side by side.
const ABREAST: usize = 4;

/// Up to four layers as a swing sees them; places without a layer hold a layer that is never asked for.
#[derive(Clone, Copy, Debug)]
struct Few {
    /// The thermal resistance.
    resistance: [f64; ABREAST],
    /// pi times conductivity, density and specific heat over the period; 0 where nothing is stored. Its root is the conductivity
    /// over the penetration depth.
    storing: [f64; ABREAST],
}

/// The layers of the wall at hand, from inside to outside.
#[derive(Clone, Debug, Default)]
pub(super) struct Layers {
    count: usize,
    fours: Vec<Few>,
    stores: bool,
}

/// A wall as a swing sees it, besides its layers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sides {
    /// The resistances of its surfaces.
    pub inside: f64,
    pub outside: f64,
    /// U of the plane wall.
    pub u: f64,
}

impl Layers {
    pub fn clear(&mut self) {
        self.count = 0;
        self.fours.clear();
        self.stores = false;
    }
    /// Adds the next layer; `storing` as in [`Few`], 0 for a layer that stores nothing.
    pub fn push(&mut self, resistance: f64, storing: f64) {
        let place = self.count % ABREAST;
        if place == 0 {
            self.fours.push(Few {
                resistance: [1.0; ABREAST],
                storing: [1.0; ABREAST],
            });
        }
        if let Some(few) = self.fours.last_mut() {
            few.resistance[place] = resistance;
            few.storing[place] = storing;
        }
        self.count += 1;
        self.stores |= storing > 0.0;
    }

    /// The dynamics; nothing where no layer stores heat or no swing of this period comes through.
    pub fn swing(&self, sides: &Sides, period: Duration) -> Option<Swing> {
        if !self.stores {
            return None;
        }
        // Each row of the product goes through the layers from outside by itself.
        let mut first = ((1.0, 0.0), (-sides.outside, 0.0));
        let mut second = ((0.0, 0.0), (1.0, 0.0));
        let mut depth = 0.0;
        let mut here = (self.count + ABREAST - 1) % ABREAST + 1;
        for few in self.fours.iter().rev() {
            let four = Four::of(few);
            for place in (0..here).rev() {
                let matrix = four.at(place);
                depth += four.ratio[place];
                first = matrix.after(first);
                second = matrix.after(second);
            }
            here = ABREAST;
        }
        if depth > crate::DEEPEST_RATIO {
            return None;
        }
        let inner = LayerMatrix::resistance(sides.inside);
        Some(characteristics(
            inner.after(first),
            inner.after(second).1,
            sides.u,
            period,
        ))
    }
}

fn characteristics((z11, z12): (C, C), z22: C, u: f64, period: Duration) -> Swing {
    let size = 1.0 / modulus(z12.0, z12.1);
    let against = |z: C| (z.0 * z12.1 - z.1 * z12.0, -z.0 * z12.0 - z.1 * z12.1);
    let (inner, outer) = (against(z11), against(z22));
    let (ups, across) = (
        [z12.1, inner.0, outer.0, 0.0],
        [-z12.0, inner.1, outer.1, 1.0],
    );
    let mut angles = [0.0; 4];
    for ((angle, up), across) in angles.iter_mut().zip(&ups).zip(&across) {
        *angle = atan2(*up, *across);
    }
    let [argument, angle_inside, angle_outside, _] = angles;
    let turn = if argument > 0.0 {
        core::f64::consts::TAU
    } else {
        0.0
    };
    let per_turn = period / core::f64::consts::TAU;
    let admittance = |z: C| Transmittance::from_w_per_m2k(modulus(z.0, z.1) * size);
    let capacity = |z: C| {
        ArealHeatCapacity::from_j_per_m2k(per_turn.as_seconds() * modulus(z.0 - 1.0, z.1) * size)
    };
    Swing {
        periodic: Transmittance::from_w_per_m2k(size),
        decrement: size / u,
        shift: per_turn * (argument - turn),
        admittance_inside: admittance(z11),
        shift_inside: per_turn * angle_inside,
        admittance_outside: admittance(z22),
        shift_outside: per_turn * angle_outside,
        capacity_inside: capacity(z11),
        capacity_outside: capacity(z22),
    }
}

type C = (f64, f64);

fn modulus(re: f64, im: f64) -> f64 {
    libm::sqrt(re * re + im * im)
}

fn times(a: C, b: C) -> C {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

/// The entries of the matrices of four layers.
struct Four {
    /// Thickness over penetration depth; 0 where nothing is stored.
    ratio: [f64; ABREAST],
    diagonal: ([f64; ABREAST], [f64; ABREAST]),
    upper: ([f64; ABREAST], [f64; ABREAST]),
    lower: ([f64; ABREAST], [f64; ABREAST]),
}

impl Four {
    fn of(few: &Few) -> Self {
        let zero = [0.0; ABREAST];
        let mut four = Self {
            ratio: zero,
            diagonal: (zero, zero),
            upper: (zero, zero),
            lower: (zero, zero),
        };
        // One loop for each function, so that each goes side by side.
        let (mut q, mut half) = (zero, zero);
        for (q, storing) in q.iter_mut().zip(&few.storing) {
            // The conductivity over the penetration depth.
            *q = libm::sqrt(*storing);
        }
        let (mut sinh, mut cosh, mut sin, mut cos) = (zero, zero, zero, zero);
        for k in 0..ABREAST {
            four.ratio[k] = few.resistance[k] * q[k];
            half[k] = -0.5 / q[k];
        }
        for k in 0..ABREAST {
            (sinh[k], cosh[k]) = sinh_cosh(four.ratio[k]);
        }
        for k in 0..ABREAST {
            (sin[k], cos[k]) = sin_cos(four.ratio[k]);
        }
        for k in 0..ABREAST {
            let (a, b) = (sinh[k] * cos[k], cosh[k] * sin[k]);
            let stores = q[k] > 0.0;
            let (re, im) = (half[k] * (a + b), half[k] * (b - a));
            four.diagonal.0[k] = cosh[k] * cos[k];
            four.diagonal.1[k] = sinh[k] * sin[k];
            four.upper.0[k] = if stores { re } else { -few.resistance[k] };
            four.upper.1[k] = if stores { im } else { 0.0 };
            four.lower.0[k] = (b - a) * q[k];
            four.lower.1[k] = -(a + b) * q[k];
        }
        four
    }
    fn at(&self, place: usize) -> LayerMatrix {
        let entry = |of: &([f64; ABREAST], [f64; ABREAST])| (of.0[place], of.1[place]);
        LayerMatrix {
            diagonal: entry(&self.diagonal),
            upper: entry(&self.upper),
            lower: entry(&self.lower),
        }
    }
}

/// The heat transfer matrix of one layer; both entries of its diagonal are the same.
#[derive(Clone, Copy)]
struct LayerMatrix {
    diagonal: C,
    upper: C,
    lower: C,
}

impl LayerMatrix {
    fn resistance(r: f64) -> Self {
        Self {
            diagonal: (1.0, 0.0),
            upper: (-r, 0.0),
            lower: (0.0, 0.0),
        }
    }
    /// A row of the product so far, carried through this layer on its inner side.
    #[inline]
    fn after(&self, row: (C, C)) -> (C, C) {
        let plus = |x: C, y: C| (x.0 + y.0, x.1 + y.1);
        (
            plus(times(row.0, self.diagonal), times(row.1, self.lower)),
            plus(times(row.0, self.upper), times(row.1, self.diagonal)),
        )
    }
}
