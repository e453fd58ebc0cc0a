//! ISO 6946:2017, thermal resistance and thermal transmittance.
//!
//! The clause numbers and whatever carries [`Standing::Unverified`] are from memory of the text; the tables and the combined method were
//! read in public texts that cite it. The last two formulas add the point and linear bridges of an external insulation kit, as
//! the European assessment documents for such kits do.

use quantity::{
    Area, Conductivity, Length, LinearTransmittance, PerArea, PointTransmittance, Temperature,
    ThermalResistance, Transmittance,
};
use working::{AnyFormula, Clause, Formula, List, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &LAYER,
    &TOTAL,
    &TRANSMITTANCE,
    &PARALLEL,
    &MEAN_OF_LIMITS,
    &RELATIVE_ERROR,
    &LIMIT_RATIO,
    &PATH_SHARE,
    &AIR_LAYER,
    &AIR_LAYER_HALVED,
    &CAPPED_OUTSIDE,
    &SLIGHTLY_VENTILATED,
    &VOIDS,
    &FASTENER_ALPHA,
    &PENETRATED,
    &FASTENERS,
    &CORRECTION_SUM,
    &CORRECTION_SHARE,
    &CORRECTED,
    &INTERFACE_TEMPERATURE,
    &POINT_BRIDGES,
    &LINEAR_BRIDGES,
];

/// The document.
pub const DOCUMENT: &str = "ISO 6946:2017";

const fn read(clause: &'static str) -> Clause {
    Clause {
        document: DOCUMENT,
        clause,
        standing: Standing::Published,
    }
}
const fn unverified(clause: &'static str) -> Clause {
    Clause {
        document: DOCUMENT,
        clause,
        standing: Standing::Unverified,
    }
}
const fn symbol(name: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol {
        name,
        meaning,
        range: (low, high),
    }
}

/// The direction of heat flow through the element.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeatFlow {
    /// Upwards: a roof in winter.
    Up,
    /// Horizontal, and up to 30 degrees from it: a wall.
    #[default]
    Horizontal,
    /// Downwards: a floor over outside air.
    Down,
}

/// Where the surface resistances stand.
pub const SURFACE_TABLE: Clause = read("6.8, conventional surface resistances");

/// The conventional internal surface resistance.
pub const fn internal_surface(direction: HeatFlow) -> ThermalResistance {
    ThermalResistance::from_m2k_per_w(match direction {
        HeatFlow::Up => 0.10,
        HeatFlow::Horizontal => 0.13,
        HeatFlow::Down => 0.17,
    })
}

/// The conventional external surface resistance.
pub const EXTERNAL_SURFACE: ThermalResistance = ThermalResistance::from_m2k_per_w(0.04);

/// Where the resistances of unventilated air layers stand.
pub const AIR_TABLE: Clause =
    read("6.9.2, unventilated air layers, both faces of emissivity 0.8 or more");

/// The thickest air layer of the table.
pub const THICKEST_AIR_LAYER: Length = Length::from_mm(300.0);

/// The openings to the outside, in square millimetres per metre of length, above which an air layer is slightly ventilated.
pub const SLIGHTLY_ABOVE_MM2_PER_M: f64 = 500.0;
/// The openings, in square millimetres per metre of length, above which an air layer is well ventilated.
pub const WELL_ABOVE_MM2_PER_M: f64 = 1500.0;

/// The share of U below which the corrections together need not be made.
pub const NEGLIGIBLE_SHARE: f64 = 0.03;
/// Where the 3 % rule stands.
pub const NEGLIGIBLE_CLAUSE: Clause = read("7, corrections below 3 % of U");
/// Above this ratio of the upper to the lower limit the combined method is not valid.
pub const LARGEST_LIMIT_RATIO: f64 = 1.5;
/// Where the limit of the combined method stands.
pub const LIMIT_RATIO_CLAUSE: Clause = unverified("6.7.2.1, limits of the combined method");

/// One cell of the table of air layers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirCell {
    /// The thickness of the air layer.
    pub thickness: Length,
    /// Its resistance.
    pub resistance: ThermalResistance,
}

const AIR_MM: [f64; 9] = [0.0, 5.0, 7.0, 10.0, 15.0, 25.0, 50.0, 100.0, 300.0];
const AIR_UP: [f64; 9] = [0.0, 0.11, 0.13, 0.15, 0.16, 0.16, 0.16, 0.16, 0.16];
const AIR_HORIZONTAL: [f64; 9] = [0.0, 0.11, 0.13, 0.15, 0.17, 0.18, 0.18, 0.18, 0.18];
const AIR_DOWN: [f64; 9] = [0.0, 0.11, 0.13, 0.15, 0.17, 0.19, 0.21, 0.22, 0.23];

/// The two neighbouring cells of the table between which an unventilated air layer of this thickness lies.
///
/// Nothing for a thickness that is not between 0 and 300 mm.
///
/// ```
/// use quantity::Length;
/// use standards::iso_6946::{HeatFlow, air_cells};
/// let (low, high) = air_cells(HeatFlow::Horizontal, Length::from_mm(20.0)).unwrap();
/// assert_eq!((low.resistance.as_m2k_per_w(), high.resistance.as_m2k_per_w()), (0.17, 0.18));
/// ```
pub fn air_cells(direction: HeatFlow, thickness: Length) -> Option<(AirCell, AirCell)> {
    let row = match direction {
        HeatFlow::Up => &AIR_UP,
        HeatFlow::Horizontal => &AIR_HORIZONTAL,
        HeatFlow::Down => &AIR_DOWN,
    };
    let mut cells = AIR_MM.iter().zip(row).map(|(&mm, &r)| AirCell {
        thickness: Length::from_mm(mm),
        resistance: ThermalResistance::from_m2k_per_w(r),
    });
    let mut low = cells.next()?;
    if thickness < low.thickness {
        return None;
    }
    for high in cells {
        if thickness <= high.thickness {
            return Some((low, high));
        }
        low = high;
    }
    None
}

/// How far air voids reach through the insulation.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum VoidLevel {
    /// Level 0: no voids across the layer; joints overlapped, or several layers with staggered joints.
    #[default]
    None,
    /// Level 1: voids that bridge the warm and the cold side, without circulation of air.
    Bridging,
    /// Level 2: such voids with circulation of air on the warm side.
    Circulating,
}

/// Where the corrections for air voids stand.
pub const VOID_TABLE: Clause = unverified("annex F.2, levels of air voids");

/// The correction for air voids before it is scaled to the wall.
pub const fn void_correction(level: VoidLevel) -> Transmittance {
    Transmittance::from_w_per_m2k(match level {
        VoidLevel::None => 0.0,
        VoidLevel::Bridging => 0.01,
        VoidLevel::Circulating => 0.04,
    })
}

/// The thermal resistance of a homogeneous layer.
pub static LAYER: Formula<(Length, Conductivity), ThermalResistance> = Formula {
    clause: read("6.7.1.1"),
    name: "thermal resistance of a layer",
    symbol: "R",
    inputs: &[
        symbol("d", "thickness of the layer", 0.001, 0.5),
        symbol("lambda", "design thermal conductivity", 0.02, 3.0),
    ],
    expression: "d / lambda",
    function: |(d, lambda)| d / lambda,
};

/// Surface resistances and layers in series: the total, or the lower limit where the layers are those of equivalent resistance.
pub static TOTAL: Formula<
    (
        ThermalResistance,
        List<ThermalResistance>,
        ThermalResistance,
    ),
    ThermalResistance,
> = Formula {
    clause: read("6.7.1.2"),
    name: "total thermal resistance, layers in series",
    symbol: "R_tot",
    inputs: &[
        symbol("R_si", "internal surface resistance", 0.1, 0.25),
        symbol("R", "resistances of the layers", 0.005, 5.0),
        symbol("R_se", "external surface resistance", 0.04, 0.17),
    ],
    expression: "R_si + sum(R) + R_se",
    function: |(inside, layers, outside)| inside + layers.0.iter().copied().sum() + outside,
};

/// The thermal transmittance without corrections.
pub static TRANSMITTANCE: Formula<(ThermalResistance,), Transmittance> = Formula {
    clause: read("6.5.1"),
    name: "thermal transmittance",
    symbol: "U",
    inputs: &[symbol("R_tot", "total thermal resistance", 0.2, 10.0)],
    expression: "1 / R_tot",
    function: |(total,)| total.reciprocal(),
};

/// Resistances side by side: the upper limit from whole paths, or the equivalent resistance of one layer of several sections.
pub static PARALLEL: Formula<(List<f64>, List<ThermalResistance>), ThermalResistance> = Formula {
    clause: read("6.7.2.3 and 6.7.2.4"),
    name: "resistances side by side by their shares of the area",
    symbol: "R",
    inputs: &[
        symbol("f", "shares of the area", 0.05, 1.0),
        symbol("R_s", "resistances of the sections", 0.05, 6.0),
    ],
    expression: "1 / sum(f / R_s)",
    function: |(shares, sections)| {
        let conductance: f64 = shares
            .0
            .iter()
            .zip(&sections.0)
            .map(|(f, r)| f / r.as_m2k_per_w())
            .sum();
        ThermalResistance::from_m2k_per_w(1.0 / conductance)
    },
};

/// The total resistance as the mean of its two limits.
pub static MEAN_OF_LIMITS: Formula<(ThermalResistance, ThermalResistance), ThermalResistance> =
    Formula {
        clause: read("6.7.2.2"),
        name: "total thermal resistance, mean of the limits",
        symbol: "R_tot",
        inputs: &[
            symbol("R_upper", "upper limit", 0.2, 10.0),
            symbol("R_lower", "lower limit", 0.2, 10.0),
        ],
        expression: "(R_upper + R_lower) / 2",
        function: |(upper, lower)| (upper + lower) / 2.0,
    };

/// The largest relative error of the combined method.
pub static RELATIVE_ERROR: Formula<(ThermalResistance, ThermalResistance, ThermalResistance), f64> =
    Formula {
        clause: unverified("6.7.2.5"),
        name: "largest relative error of the combined method",
        symbol: "e",
        inputs: &[
            symbol("R_upper", "upper limit", 3.0, 10.0),
            symbol("R_lower", "lower limit", 0.2, 2.9),
            symbol("R_tot", "total thermal resistance", 0.2, 10.0),
        ],
        expression: "(R_upper - R_lower) / (2 * R_tot)",
        function: |(upper, lower, total)| (upper - lower) / (2.0 * total),
    };

/// The ratio that bounds the use of the combined method.
pub static LIMIT_RATIO: Formula<(ThermalResistance, ThermalResistance), f64> = Formula {
    clause: unverified("6.7.2.1"),
    name: "ratio of the upper to the lower limit",
    symbol: "R_upper/R_lower",
    inputs: &[
        symbol("R_upper", "upper limit", 0.2, 10.0),
        symbol("R_lower", "lower limit", 0.2, 10.0),
    ],
    expression: "R_upper / R_lower",
    function: |(upper, lower)| upper / lower,
};

/// The share of a path that crosses sections of two layers.
pub static PATH_SHARE: Formula<(f64, f64), f64> = Formula {
    clause: read("6.7.2.3"),
    name: "share of the area of a path through two sections",
    symbol: "f",
    inputs: &[
        symbol("f_a", "share before this layer", 0.01, 1.0),
        symbol("f_b", "share of the section", 0.01, 1.0),
    ],
    expression: "f_a * f_b",
    function: |(a, b)| a * b,
};

/// The resistance of an unventilated air layer between two cells of the table.
pub static AIR_LAYER: Formula<
    (Length, Length, Length, ThermalResistance, ThermalResistance),
    ThermalResistance,
> = Formula {
    clause: unverified("6.9.2, linear interpolation in the table"),
    name: "resistance of an unventilated air layer",
    symbol: "R_g",
    inputs: &[
        symbol("d", "thickness of the air layer", 0.015, 0.025),
        symbol("d_a", "thickness of the cell below", 0.010, 0.015),
        symbol("d_b", "thickness of the cell above", 0.025, 0.050),
        symbol("R_a", "resistance of the cell below", 0.1, 0.2),
        symbol("R_b", "resistance of the cell above", 0.2, 0.3),
    ],
    expression: "R_a + (R_b - R_a) * ((d - d_a) / (d_b - d_a))",
    function: |(d, below, above, low, high)| low + (high - low) * ((d - below) / (above - below)),
};

/// The resistance of a slightly ventilated air layer in the edition of 1996.
pub static AIR_LAYER_HALVED: Formula<(ThermalResistance,), ThermalResistance> = Formula {
    clause: Clause {
        document: "ISO 6946:1996",
        clause: "5.3.3, half of the table value",
        standing: Standing::Published,
    },
    name: "resistance of a slightly ventilated air layer",
    symbol: "R_g",
    inputs: &[symbol(
        "R_u",
        "resistance of the unventilated layer",
        0.1,
        0.23,
    )],
    expression: "R_u / 2",
    function: |(r,)| r / 2.0,
};

/// The cap of the edition of 1996 on what lies outside a slightly ventilated air layer.
pub static CAPPED_OUTSIDE: Formula<(List<ThermalResistance>,), ThermalResistance> = Formula {
    clause: Clause {
        document: "ISO 6946:1996",
        clause: "5.3.3, layers outside capped at 0.15",
        standing: Standing::Published,
    },
    name: "resistance counted outside a slightly ventilated air layer",
    symbol: "R_out",
    inputs: &[symbol(
        "R",
        "resistances of the layers outside the air layer",
        0.01,
        1.0,
    )],
    expression: "min(sum(R), 0.15)",
    function: |(layers,)| {
        layers
            .0
            .iter()
            .copied()
            .sum::<ThermalResistance>()
            .min(ThermalResistance::from_m2k_per_w(0.15))
    },
};

/// The total resistance with a slightly ventilated air layer, between the unventilated and the well ventilated one.
pub static SLIGHTLY_VENTILATED: Formula<
    (f64, ThermalResistance, ThermalResistance),
    ThermalResistance,
> = Formula {
    clause: unverified("6.9.3"),
    name: "total thermal resistance with a slightly ventilated air layer",
    symbol: "R_tot",
    inputs: &[
        symbol("A_ve", "openings in mm2 per m", 500.0, 1500.0),
        symbol(
            "R_u",
            "total resistance with the layer unventilated",
            0.2,
            10.0,
        ),
        symbol(
            "R_v",
            "total resistance with the layer well ventilated",
            0.2,
            10.0,
        ),
    ],
    expression: "(1500 - A_ve) / 1000 * R_u + (A_ve - 500) / 1000 * R_v",
    function: |(openings, unventilated, ventilated)| {
        (WELL_ABOVE_MM2_PER_M - openings) / 1000.0 * unventilated
            + (openings - SLIGHTLY_ABOVE_MM2_PER_M) / 1000.0 * ventilated
    },
};

/// The correction for air voids.
pub static VOIDS: Formula<(Transmittance, ThermalResistance, ThermalResistance), Transmittance> =
    Formula {
        clause: unverified("annex F.2"),
        name: "correction for air voids",
        symbol: "dU_g",
        inputs: &[
            symbol("dU", "correction of the level", 0.0, 0.04),
            symbol("R_1", "resistance of the layer with voids", 0.5, 8.0),
            symbol("R_tot", "total thermal resistance", 0.5, 10.0),
        ],
        expression: "dU * (R_1 / R_tot)^2",
        function: |(level, layer, total)| level * libm::pow(layer / total, 2.0),
    };

/// The coefficient of a fastener, which a recess shortens.
pub static FASTENER_ALPHA: Formula<(Length, Length), f64> = Formula {
    clause: unverified("annex F.3"),
    name: "coefficient of a fastener",
    symbol: "alpha",
    inputs: &[
        symbol("d_1", "length of the fastener in the insulation", 0.02, 0.3),
        symbol("d_0", "thickness of the insulation", 0.02, 0.3),
    ],
    expression: "0.8 * (d_1 / d_0)",
    function: |(length, insulation)| 0.8 * (length / insulation),
};

/// The resistance of the part of a layer that a recessed fastener penetrates.
pub static PENETRATED: Formula<(ThermalResistance, Length, Length), ThermalResistance> = Formula {
    clause: unverified("annex F.3, resistance of the penetrated part"),
    name: "resistance of the penetrated part of the insulation",
    symbol: "R_1",
    inputs: &[
        symbol("R", "resistance of the insulation layer", 0.5, 8.0),
        symbol("d_1", "length of the fastener in the insulation", 0.02, 0.3),
        symbol("d_0", "thickness of the insulation", 0.02, 0.3),
    ],
    expression: "R * (d_1 / d_0)",
    function: |(layer, length, insulation)| layer * (length / insulation),
};

/// Coefficient, conductivity, cross-section, number, insulation thickness, resistance of it, total resistance.
pub type FastenerInputs = (
    f64,
    Conductivity,
    Area,
    PerArea,
    Length,
    ThermalResistance,
    ThermalResistance,
);

/// The correction for mechanical fasteners.
pub static FASTENERS: Formula<FastenerInputs, Transmittance> = Formula {
    clause: unverified("annex F.3"),
    name: "correction for mechanical fasteners",
    symbol: "dU_f",
    inputs: &[
        symbol("alpha", "coefficient of the fastener", 0.4, 0.8),
        symbol("lambda_f", "conductivity of the fastener", 1.0, 60.0),
        symbol("A_f", "cross-section of one fastener", 1e-6, 1e-4),
        symbol("n_f", "number of fasteners per area", 2.0, 16.0),
        symbol("d_0", "thickness of the insulation", 0.02, 0.3),
        symbol("R_1", "resistance of the penetrated insulation", 0.5, 8.0),
        symbol("R_tot", "total thermal resistance", 0.5, 10.0),
    ],
    expression: "alpha * lambda_f * A_f * n_f / d_0 * (R_1 / R_tot)^2",
    function: |(alpha, lambda, section, number, insulation, layer, total)| {
        Transmittance::from_w_per_m2k(
            alpha * lambda.as_w_per_mk() * section.as_m2() * number.as_per_m2() / insulation.as_m()
                * libm::pow(layer / total, 2.0),
        )
    },
};

/// All corrections together.
pub static CORRECTION_SUM: Formula<(List<Transmittance>,), Transmittance> = Formula {
    clause: read("7"),
    name: "corrections together",
    symbol: "dU",
    inputs: &[symbol("dU_k", "corrections", 0.0, 0.1)],
    expression: "sum(dU_k)",
    function: |(parts,)| parts.0.iter().copied().sum(),
};

/// What share of U the corrections are, for the 3 % rule.
pub static CORRECTION_SHARE: Formula<(Transmittance, Transmittance), f64> = Formula {
    clause: NEGLIGIBLE_CLAUSE,
    name: "share of the corrections in U",
    symbol: "dU/U",
    inputs: &[
        symbol("dU", "corrections together", 0.0, 0.1),
        symbol("U", "thermal transmittance without corrections", 0.1, 3.0),
    ],
    expression: "dU / U",
    function: |(correction, u)| correction / u,
};

/// The corrected thermal transmittance.
pub static CORRECTED: Formula<(Transmittance, Transmittance), Transmittance> = Formula {
    clause: read("7"),
    name: "corrected thermal transmittance",
    symbol: "U_c",
    inputs: &[
        symbol("U", "thermal transmittance without corrections", 0.1, 3.0),
        symbol("dU", "corrections together", 0.0, 0.1),
    ],
    expression: "U + dU",
    function: |(u, correction)| u + correction,
};

/// The temperature at an interface of plane layers in the steady state.
pub static INTERFACE_TEMPERATURE: Formula<
    (
        Temperature,
        Temperature,
        ThermalResistance,
        ThermalResistance,
    ),
    Temperature,
> = Formula {
    clause: Clause {
        document: "ISO 13788:2012",
        clause: "5.2, temperatures in proportion to resistances",
        standing: Standing::Published,
    },
    name: "temperature at an interface",
    symbol: "theta",
    inputs: &[
        symbol("theta_i", "inside temperature", 15.0, 25.0),
        symbol("theta_e", "outside temperature", -20.0, 14.0),
        symbol("R_x", "resistance from inside to the interface", 0.1, 2.0),
        symbol("R_tot", "total thermal resistance", 2.0, 10.0),
    ],
    expression: "theta_i - (theta_i - theta_e) * (R_x / R_tot)",
    function: |(inside, outside, at, total)| {
        Temperature::from_celsius(
            inside.as_celsius() - (inside.as_celsius() - outside.as_celsius()) * (at / total),
        )
    },
};

/// The anchors of an external insulation kit as point bridges.
pub static POINT_BRIDGES: Formula<(PointTransmittance, PerArea), Transmittance> = Formula {
    clause: Clause {
        document: "EAD 040083-00-0404",
        clause: "thermal resistance, point bridges of anchors",
        standing: Standing::Unverified,
    },
    name: "correction for anchors",
    symbol: "dU_p",
    inputs: &[
        symbol(
            "chi",
            "point thermal transmittance of one anchor",
            0.0,
            0.008,
        ),
        symbol("n", "number of anchors per area", 2.0, 16.0),
    ],
    expression: "chi * n",
    function: |(chi, n)| chi * n,
};

/// A base profile, rail or similar as a linear bridge.
pub static LINEAR_BRIDGES: Formula<(LinearTransmittance, Length, Area), Transmittance> = Formula {
    clause: Clause {
        document: "EAD 040083-00-0404",
        clause: "thermal resistance, linear bridges of profiles",
        standing: Standing::Unverified,
    },
    name: "correction for a linear bridge",
    symbol: "dU_l",
    inputs: &[
        symbol("psi", "linear thermal transmittance", -0.1, 0.5),
        symbol("l", "length of the bridge", 1.0, 100.0),
        symbol("A", "area of the wall that carries it", 10.0, 1000.0),
    ],
    expression: "psi * l / A",
    function: |(psi, length, area)| {
        Transmittance::from_w_per_m2k(psi.as_w_per_mk() * length.as_m() / area.as_m2())
    },
};
