//! ISO 13786:2017, dynamic thermal characteristics.
//!
//! A layer is a matrix of complex numbers; each formula here is one real or imaginary part of one entry, so that the sheet can be
//! recomputed line by line. The matrix method is exact; it was checked against an independent simulation in time.

use quantity::{
    ArealHeatCapacity, Conductivity, Density, Duration, Length, SpecificHeat, ThermalResistance,
    Transmittance,
};
use working::{AnyFormula, Clause, Formula, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &PENETRATION,
    &RATIO,
    &DIAGONAL_RE,
    &DIAGONAL_IM,
    &UPPER_RE,
    &UPPER_IM,
    &LOWER_RE,
    &LOWER_IM,
    &PURE_RESISTANCE,
    &PRODUCT_RE,
    &PRODUCT_IM,
    &ADMITTANCE,
    &PERIODIC,
    &DECREMENT,
    &SHIFT,
    &PERIODIC_SHIFT,
    &CAPACITY,
];

/// The document.
pub const DOCUMENT: &str = "ISO 13786:2017";
/// The usual period, one day.
pub const DAY: Duration = Duration::from_days(1.0);

const fn clause(clause: &'static str) -> Clause {
    Clause {
        document: DOCUMENT,
        clause,
        standing: Standing::Published,
    }
}
const fn symbol(name: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol {
        name,
        meaning,
        range: (low, high),
    }
}

/// The periodic penetration depth.
pub static PENETRATION: Formula<(Conductivity, Duration, Density, SpecificHeat), Length> =
    Formula {
        clause: clause("periodic penetration depth"),
        name: "periodic penetration depth",
        symbol: "delta",
        inputs: &[
            symbol("lambda", "thermal conductivity", 0.02, 3.0),
            symbol("T", "period", 3600.0, 604_800.0),
            symbol("rho", "density", 15.0, 2500.0),
            symbol("c", "specific heat capacity", 500.0, 2000.0),
        ],
        expression: "sqrt(lambda * T / (3.141592653589793 * rho * c))",
        function: |(lambda, period, rho, c)| {
            Length::from_m(libm::sqrt(
                lambda.as_w_per_mk() * period.as_seconds()
                    / (core::f64::consts::PI * rho.as_kg_per_m3() * c.as_j_per_kgk()),
            ))
        },
    };

/// The thickness against the penetration depth.
pub static RATIO: Formula<(Length, Length), f64> = Formula {
    clause: clause("ratio of thickness to penetration depth"),
    name: "thickness against the penetration depth",
    symbol: "xi",
    inputs: &[
        symbol("d", "thickness", 0.001, 0.5),
        symbol("delta", "periodic penetration depth", 0.05, 0.5),
    ],
    expression: "d / delta",
    function: |(d, delta)| d / delta,
};

const XI: Symbol = symbol("xi", "thickness against the penetration depth", 0.05, 5.0);

/// Z11 and Z22 of a layer, real part.
pub static DIAGONAL_RE: Formula<(f64,), f64> = Formula {
    clause: clause("heat transfer matrix of a layer"),
    name: "Z11 of the layer, real part",
    symbol: "Re Z_11",
    inputs: &[XI],
    expression: "cosh(xi) * cos(xi)",
    function: |(xi,)| libm::cosh(xi) * libm::cos(xi),
};
/// Z11 and Z22 of a layer, imaginary part.
pub static DIAGONAL_IM: Formula<(f64,), f64> = Formula {
    clause: clause("heat transfer matrix of a layer"),
    name: "Z11 of the layer, imaginary part",
    symbol: "Im Z_11",
    inputs: &[XI],
    expression: "sinh(xi) * sin(xi)",
    function: |(xi,)| libm::sinh(xi) * libm::sin(xi),
};

const DELTA: Symbol = symbol("delta", "periodic penetration depth", 0.05, 0.5);
const LAMBDA: Symbol = symbol("lambda", "thermal conductivity", 0.02, 3.0);

/// Z12 of a layer, real part, in m2K/W.
pub static UPPER_RE: Formula<(Length, Conductivity, f64), f64> = Formula {
    clause: clause("heat transfer matrix of a layer"),
    name: "Z12 of the layer, real part, m2K/W",
    symbol: "Re Z_12",
    inputs: &[DELTA, LAMBDA, XI],
    expression: "0 - delta / (2 * lambda) * (sinh(xi) * cos(xi) + cosh(xi) * sin(xi))",
    function: |(delta, lambda, xi)| {
        0.0 - delta.as_m() / (2.0 * lambda.as_w_per_mk())
            * (libm::sinh(xi) * libm::cos(xi) + libm::cosh(xi) * libm::sin(xi))
    },
};
/// Z12 of a layer, imaginary part, in m2K/W.
pub static UPPER_IM: Formula<(Length, Conductivity, f64), f64> = Formula {
    clause: clause("heat transfer matrix of a layer"),
    name: "Z12 of the layer, imaginary part, m2K/W",
    symbol: "Im Z_12",
    inputs: &[DELTA, LAMBDA, XI],
    expression: "0 - delta / (2 * lambda) * (cosh(xi) * sin(xi) - sinh(xi) * cos(xi))",
    function: |(delta, lambda, xi)| {
        0.0 - delta.as_m() / (2.0 * lambda.as_w_per_mk())
            * (libm::cosh(xi) * libm::sin(xi) - libm::sinh(xi) * libm::cos(xi))
    },
};
/// Z21 of a layer, real part, in W/(m2K).
pub static LOWER_RE: Formula<(Length, Conductivity, f64), f64> = Formula {
    clause: clause("heat transfer matrix of a layer"),
    name: "Z21 of the layer, real part, W/(m2K)",
    symbol: "Re Z_21",
    inputs: &[DELTA, LAMBDA, XI],
    expression: "0 - lambda / delta * (sinh(xi) * cos(xi) - cosh(xi) * sin(xi))",
    function: |(delta, lambda, xi)| {
        0.0 - lambda.as_w_per_mk() / delta.as_m()
            * (libm::sinh(xi) * libm::cos(xi) - libm::cosh(xi) * libm::sin(xi))
    },
};
/// Z21 of a layer, imaginary part, in W/(m2K).
pub static LOWER_IM: Formula<(Length, Conductivity, f64), f64> = Formula {
    clause: clause("heat transfer matrix of a layer"),
    name: "Z21 of the layer, imaginary part, W/(m2K)",
    symbol: "Im Z_21",
    inputs: &[DELTA, LAMBDA, XI],
    expression: "0 - lambda / delta * (sinh(xi) * cos(xi) + cosh(xi) * sin(xi))",
    function: |(delta, lambda, xi)| {
        0.0 - lambda.as_w_per_mk() / delta.as_m()
            * (libm::sinh(xi) * libm::cos(xi) + libm::cosh(xi) * libm::sin(xi))
    },
};

/// Z12 of a surface or of a layer without storage, in m2K/W.
pub static PURE_RESISTANCE: Formula<(ThermalResistance,), f64> = Formula {
    clause: clause("heat transfer matrix of a surface or an air layer"),
    name: "Z12 of a resistance without storage, m2K/W",
    symbol: "Z_12",
    inputs: &[symbol("R", "thermal resistance", 0.01, 5.0)],
    expression: "0 - R",
    function: |(r,)| 0.0 - r.as_m2k_per_w(),
};

const A: Symbol = symbol("a", "first factor, real part", -5.0, 5.0);
const AI: Symbol = symbol("ai", "first factor, imaginary part", -5.0, 5.0);
const B: Symbol = symbol("b", "second factor, real part", -5.0, 5.0);
const BI: Symbol = symbol("bi", "second factor, imaginary part", -5.0, 5.0);
const C: Symbol = symbol("c", "third factor, real part", -5.0, 5.0);
const CI: Symbol = symbol("ci", "third factor, imaginary part", -5.0, 5.0);
const D: Symbol = symbol("d", "fourth factor, real part", -5.0, 5.0);
const DI: Symbol = symbol("di", "fourth factor, imaginary part", -5.0, 5.0);

/// Two products of complex numbers together: the parts of a, b, c and d in the order real, imaginary.
pub type ProductInputs = (f64, f64, f64, f64, f64, f64, f64, f64);

/// One entry of a product of matrices, a b + c d, real part.
pub static PRODUCT_RE: Formula<ProductInputs, f64> = Formula {
    clause: clause("heat transfer matrix of the wall"),
    name: "entry of the product of matrices, real part",
    symbol: "Re Z",
    inputs: &[A, AI, B, BI, C, CI, D, DI],
    expression: "a * b - ai * bi + (c * d - ci * di)",
    function: |(a, ai, b, bi, c, ci, d, di)| a * b - ai * bi + (c * d - ci * di),
};
/// One entry of a product of matrices, a b + c d, imaginary part.
pub static PRODUCT_IM: Formula<ProductInputs, f64> = Formula {
    clause: clause("heat transfer matrix of the wall"),
    name: "entry of the product of matrices, imaginary part",
    symbol: "Im Z",
    inputs: &[A, AI, B, BI, C, CI, D, DI],
    expression: "a * bi + ai * b + (c * di + ci * d)",
    function: |(a, ai, b, bi, c, ci, d, di)| a * bi + ai * b + (c * di + ci * d),
};

const Z: Symbol = symbol("z", "Z on the diagonal, real part", 1.0, 50.0);
const ZI: Symbol = symbol("zi", "Z on the diagonal, imaginary part", 1.0, 50.0);
const X: Symbol = symbol("w", "Z12, real part", -50.0, -1.0);
const XIM: Symbol = symbol("wi", "Z12, imaginary part", -50.0, -1.0);

/// The thermal admittance of one side.
pub static ADMITTANCE: Formula<(f64, f64, f64, f64), Transmittance> = Formula {
    clause: clause("thermal admittance"),
    name: "thermal admittance, modulus of Z_mm / Z_12",
    symbol: "Y_mm",
    inputs: &[Z, ZI, X, XIM],
    expression: "sqrt(z^2 + zi^2) / sqrt(w^2 + wi^2)",
    function: |(z, zi, x, xi)| Transmittance::from_w_per_m2k(modulus(z, zi) / modulus(x, xi)),
};

/// The periodic thermal transmittance.
pub static PERIODIC: Formula<(f64, f64), Transmittance> = Formula {
    clause: clause("periodic thermal transmittance"),
    name: "periodic thermal transmittance, modulus of 1 / Z_12",
    symbol: "Y_12",
    inputs: &[X, XIM],
    expression: "1 / sqrt(w^2 + wi^2)",
    function: |(x, xi)| Transmittance::from_w_per_m2k(1.0 / modulus(x, xi)),
};

/// The decrement factor.
pub static DECREMENT: Formula<(Transmittance, Transmittance), f64> = Formula {
    clause: clause("decrement factor"),
    name: "decrement factor",
    symbol: "f",
    inputs: &[
        symbol("Y_12", "periodic thermal transmittance", 0.01, 3.0),
        symbol("U", "thermal transmittance of the plane wall", 0.1, 4.0),
    ],
    expression: "Y_12 / U",
    function: |(periodic, u)| periodic / u,
};

/// The time shift of an admittance, positive where it leads.
pub static SHIFT: Formula<(f64, f64, f64, f64, Duration), Duration> = Formula {
    clause: clause("time shift of the admittance"),
    name: "time shift of the admittance, argument of -Z_mm / Z_12",
    symbol: "dt_mm",
    inputs: &[Z, ZI, X, XIM, symbol("T", "period", 3600.0, 604_800.0)],
    expression: "T / 6.283185307179586 * atan2(z * wi - zi * w, 0 - z * w - zi * wi)",
    function: |(z, zi, x, xi, period)| {
        // -Z / X = -(z + i zi)(x - i xi) / |X|^2.
        period / core::f64::consts::TAU * libm::atan2(z * xi - zi * x, 0.0 - z * x - zi * xi)
    },
};

/// The time shift of the periodic transmittance, from minus one period up to none.
pub static PERIODIC_SHIFT: Formula<(f64, f64, Duration), Duration> = Formula {
    clause: clause("time shift of the periodic thermal transmittance"),
    name: "time shift of the periodic transmittance, argument of -1 / Z_12",
    symbol: "dt_12",
    inputs: &[
        symbol("w", "Z12, real part", -50.0, 50.0),
        symbol("wi", "Z12, imaginary part", -50.0, 50.0),
        symbol("T", "period", 3600.0, 604_800.0),
    ],
    expression: "T / 6.283185307179586 * (atan2(wi, 0 - w) - if(atan2(wi, 0 - w) > 0, 6.283185307179586, 0))",
    function: |(x, xi, period)| {
        // -1 / X = -(x - i xi) / |X|^2, whose argument is that of -x + i xi.
        let argument = libm::atan2(xi, 0.0 - x);
        let turn = if argument > 0.0 {
            core::f64::consts::TAU
        } else {
            0.0
        };
        period / core::f64::consts::TAU * (argument - turn)
    },
};

/// The areal heat capacity of one side.
pub static CAPACITY: Formula<(f64, f64, f64, f64, Duration), ArealHeatCapacity> = Formula {
    clause: clause("areal heat capacity"),
    name: "areal heat capacity, modulus of (Z_mm - 1) / Z_12",
    symbol: "kappa_m",
    inputs: &[Z, ZI, X, XIM, symbol("T", "period", 3600.0, 604_800.0)],
    expression: "T / 6.283185307179586 * (sqrt((z - 1)^2 + zi^2) / sqrt(w^2 + wi^2))",
    function: |(z, zi, x, xi, period)| {
        ArealHeatCapacity::from_j_per_m2k(
            period.as_seconds() / core::f64::consts::TAU * (modulus(z - 1.0, zi) / modulus(x, xi)),
        )
    },
};

fn modulus(re: f64, im: f64) -> f64 {
    libm::sqrt(libm::pow(re, 2.0) + libm::pow(im, 2.0))
}
