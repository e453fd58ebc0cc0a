//! Formulas of plain arithmetic and of this project that no standard owns.

use quantity::{Length, ThermalResistance};
use working::{AnyFormula, Clause, Formula, List, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[&SUM, &IN_SERIES, &THICKNESS, &REDUCED];

const fn symbol(name: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol {
        name,
        meaning,
        range: (low, high),
    }
}

/// Resistances in series.
pub static SUM: Formula<(List<ThermalResistance>,), ThermalResistance> = Formula {
    clause: Clause::project("resistances in series"),
    name: "resistances in series",
    symbol: "R",
    inputs: &[symbol("R_j", "resistances", 0.01, 5.0)],
    expression: "sum(R_j)",
    function: |(parts,)| parts.0.iter().copied().sum(),
};

/// Two resistances in series.
pub static IN_SERIES: Formula<(ThermalResistance, ThermalResistance), ThermalResistance> =
    Formula {
        clause: Clause::project("resistances in series"),
        name: "resistances in series",
        symbol: "R",
        inputs: &[
            symbol("R_a", "first", 0.01, 5.0),
            symbol("R_b", "second", 0.01, 5.0),
        ],
        expression: "R_a + R_b",
        function: |(a, b)| a + b,
    };

/// Thicknesses together.
pub static THICKNESS: Formula<(List<Length>,), Length> = Formula {
    clause: Clause::project("thicknesses together"),
    name: "thickness of several layers",
    symbol: "d",
    inputs: &[symbol("d_j", "thicknesses", 0.01, 0.3)],
    expression: "sum(d_j)",
    function: |(parts,)| parts.0.iter().copied().sum(),
};

/// A resistance that an act lets count only in part.
pub static REDUCED: Formula<(ThermalResistance, f64), ThermalResistance> = Formula {
    clause: Clause::project("reduction of a declared resistance that an act asks for"),
    name: "resistance that counts under the act",
    symbol: "R",
    inputs: &[
        symbol("R_d", "resistance", 0.5, 8.0),
        symbol("r", "reduction", 0.0, 0.5),
    ],
    expression: "R_d * (1 - r)",
    function: |(resistance, reduction)| resistance * (1.0 - reduction),
};
