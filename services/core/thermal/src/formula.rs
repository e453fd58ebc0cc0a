//! Formulas of plain arithmetic and of this project that no standard owns.

use quantity::{AreaMass, Length, Temperature, ThermalResistance};
use working::{AnyFormula, Clause, Formula, List, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &SUM,
    &IN_SERIES,
    &THICKNESS,
    &REDUCED,
    &PART_OF_RESISTANCE,
    &PART_OF_LENGTH,
    &SURFACE_TEMPERATURE,
    &MASS_SUM,
];

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

/// The resistance up to a place within a layer.
pub static PART_OF_RESISTANCE: Formula<
    (ThermalResistance, ThermalResistance, f64),
    ThermalResistance,
> = Formula {
    clause: Clause::project("resistance up to a place within a layer"),
    name: "resistance from inside to the place",
    symbol: "R_x",
    inputs: &[
        symbol("R_a", "resistance up to the layer", 0.1, 5.0),
        symbol("R", "resistance of the layer", 0.01, 5.0),
        symbol("x", "share of the layer inside the place", 0.0, 1.0),
    ],
    expression: "R_a + R * x",
    function: |(before, layer, share)| before + layer * share,
};

/// The diffusion-equivalent air layer up to a place within a layer.
pub static PART_OF_LENGTH: Formula<(Length, Length, f64), Length> = Formula {
    clause: Clause::project("air layer up to a place within a layer"),
    name: "diffusion-equivalent air layer from inside to the place",
    symbol: "s_x",
    inputs: &[
        symbol("s_a", "air layer up to the layer", 0.0, 5.0),
        symbol("s_d", "air layer of the layer", 0.01, 10.0),
        symbol("x", "share of the layer inside the place", 0.0, 1.0),
    ],
    expression: "s_a + s_d * x",
    function: |(before, layer, share)| before + layer * share,
};

/// The temperature of an inner surface by its factor.
pub static SURFACE_TEMPERATURE: Formula<(Temperature, Temperature, f64), Temperature> = Formula {
    clause: Clause::project("definition of the temperature factor, solved for the temperature"),
    name: "temperature of the inner surface",
    symbol: "theta_si",
    inputs: &[
        symbol("theta_e", "outside temperature", -20.0, 15.0),
        symbol("theta_i", "inside temperature", 16.0, 25.0),
        symbol("f", "temperature factor", 0.3, 1.0),
    ],
    expression: "theta_e + f * (theta_i - theta_e)",
    function: |(outside, inside, factor)| outside.raised(inside.above(outside) * factor),
};

/// Moisture of several planes together.
pub static MASS_SUM: Formula<(List<AreaMass>,), AreaMass> = Formula {
    clause: Clause::project("moisture of all planes together"),
    name: "moisture of all planes together",
    symbol: "M_a",
    inputs: &[symbol("M_k", "moisture of each plane", 0.0, 1.0)],
    expression: "sum(M_k)",
    function: |(parts,)| parts.0.iter().copied().sum(),
};
