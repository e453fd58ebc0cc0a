//! ISO 10456:2007, conversion of design values of thermal conductivity.
//!
//! The exponential form was read in a public text that cites the standard; the coefficients of materials are catalogue data.

use quantity::{AreaMass, Conductivity, Density, Length, TemperatureDifference};
use working::{AnyFormula, Clause, Formula, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &MOISTURE_BY_VOLUME,
    &MOISTURE_FACTOR,
    &TEMPERATURE_FACTOR,
    &CONVERTED,
];

/// The document.
pub const DOCUMENT: &str = "ISO 10456:2007";
/// The density of water.
pub const WATER: Density = Density::from_kg_per_m3(1000.0);

const fn clause(clause: &'static str, standing: Standing) -> Clause {
    Clause {
        document: DOCUMENT,
        clause,
        standing,
    }
}
const fn symbol(name: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol {
        name,
        meaning,
        range: (low, high),
    }
}

/// Moisture by volume from moisture per area.
pub static MOISTURE_BY_VOLUME: Formula<(AreaMass, Density, Length), f64> = Formula {
    clause: clause(
        "7.3, moisture content volume by volume",
        Standing::Published,
    ),
    name: "moisture content volume by volume",
    symbol: "psi",
    inputs: &[
        symbol("u", "moisture per area", 0.0, 2.0),
        symbol("rho_w", "density of water", 998.0, 1000.0),
        symbol("d", "thickness that holds it", 0.01, 0.3),
    ],
    expression: "u / (rho_w * d)",
    function: |(u, water, d)| u / (water * d),
};

/// The conversion factor for moisture.
pub static MOISTURE_FACTOR: Formula<(f64, f64, f64), f64> = Formula {
    clause: clause("7.3, conversion for moisture", Standing::Published),
    name: "conversion factor for moisture",
    symbol: "F_m",
    inputs: &[
        symbol("f_psi", "moisture conversion coefficient", 0.5, 10.0),
        symbol("psi_1", "moisture before", 0.0, 0.05),
        symbol("psi_2", "moisture after", 0.0, 0.05),
    ],
    expression: "exp(f_psi * (psi_2 - psi_1))",
    function: |(coefficient, before, after)| libm::exp(coefficient * (after - before)),
};

/// The conversion factor for temperature.
pub static TEMPERATURE_FACTOR: Formula<(f64, TemperatureDifference), f64> = Formula {
    clause: clause("7.2, conversion for temperature", Standing::Unverified),
    name: "conversion factor for temperature",
    symbol: "F_T",
    inputs: &[
        symbol("f_T", "temperature conversion coefficient, 1/K", 0.0, 0.006),
        symbol(
            "dT",
            "temperature after less temperature before",
            -20.0,
            20.0,
        ),
    ],
    expression: "exp(f_T * dT)",
    function: |(coefficient, difference)| libm::exp(coefficient * difference.as_kelvin()),
};

/// A conductivity under other conditions.
pub static CONVERTED: Formula<(Conductivity, f64, f64), Conductivity> = Formula {
    clause: clause("7.1", Standing::Published),
    name: "converted thermal conductivity",
    symbol: "lambda_2",
    inputs: &[
        symbol("lambda_1", "thermal conductivity before", 0.02, 3.0),
        symbol("F_T", "factor for temperature", 0.8, 1.2),
        symbol("F_m", "factor for moisture", 0.8, 1.5),
    ],
    expression: "lambda_1 * F_T * F_m",
    function: |(lambda, temperature, moisture)| lambda * temperature * moisture,
};
