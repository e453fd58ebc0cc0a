//! EN 1991-1-4:2005+A1:2010, wind actions.
//!
//! The formulas for basic velocity, profile, turbulence, peak pressure and wall pressure, the recommended Table 7.1, and the types of
//! national parameters ([`NationalWind`]). Formulas and table were read in public worked examples and open implementations that
//! agree with each other; clause numbers are from memory of the text.

mod national;

pub use national::{
    AltitudeRule, Band, Basis, Cited, CoefficientPair, CoefficientRow, HeightReading, NationalWind,
    ParameterColumn, Profile, ReturnPeriodRule, SideReference, TableColumns, Terrain,
    TerrainFactor, TurbulenceFactor, WindZone, ZoneColumn,
};

use quantity::{Area, Density, Length, WindPressure, WindSpeed};
use working::{AnyFormula, Clause, Formula, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &BASIC_VELOCITY,
    &PROBABILITY_FACTOR,
    &PROBABILITY_FACTOR_STATED,
    &VELOCITY_OF_PERIOD,
    &ALTITUDE_RATIO,
    &ALTITUDE_SLOPE,
    &ALTITUDE_BY_HEIGHT,
    &VELOCITY_AT_ALTITUDE,
    &PRESSURE_AT_ALTITUDE,
    &TERRAIN_FACTOR,
    &ROUGHNESS_FACTOR,
    &MEAN_VELOCITY,
    &TURBULENCE_FACTOR_OF_ROUGHNESS,
    &TURBULENCE_INTENSITY,
    &PEAK_PRESSURE,
    &BASIC_PRESSURE,
    &EXPOSURE_FACTOR,
    &BAND_FACTOR,
    &BAND_PRESSURE,
    &PRESSURE_OF_FACTOR,
    &PRESSURE_OF_OROGRAPHY,
    &BETWEEN_ROWS,
    &PRESSURE_BETWEEN_ROWS,
    &SLENDERNESS,
    &EDGE_MEASURE,
    &COEFFICIENT_BETWEEN_RATIOS,
    &COEFFICIENT_OF_AREA,
    &EXTERNAL_PRESSURE,
    &SUCTION,
];

/// The document.
pub const DOCUMENT: &str = "EN 1991-1-4:2005+A1:2010";

/// The greatest height of a building that the document covers.
pub const HEIGHT_MAX: Length = Length::from_m(200.0);
/// Where the limit of height stands.
pub const SCOPE: Clause = unverified("1.1(2), heights up to 200 m");
/// Where the zones of walls stand.
pub const WALL_ZONES: Clause = read("7.2.2(1), Figure 7.5");
/// Where the pressure coefficients of walls stand.
pub const TABLE_7_1: Clause = read("Table 7.1");
/// Above this ratio of height to depth, the coefficients of walls are only a guide.
pub const SLENDERNESS_MAX: f64 = 5.0;
/// Where that limit stands.
pub const SLENDER_CLAUSE: Clause = unverified("7.2.2(2), h/d above 5");

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

/// The basic wind velocity.
///
/// ```
/// use quantity::WindSpeed;
/// use standards::en_1991_1_4::BASIC_VELOCITY;
/// let v = (BASIC_VELOCITY.function)((1.0, 1.0, WindSpeed::from_m_per_s(26.0)));
/// assert_eq!(v.as_m_per_s(), 26.0);
/// ```
pub static BASIC_VELOCITY: Formula<(f64, f64, WindSpeed), WindSpeed> = Formula {
    clause: read("4.2(2), (4.1)"),
    name: "basic wind velocity",
    symbol: "v_b",
    inputs: &[
        symbol("c_dir", "directional factor", 0.7, 1.0),
        symbol("c_season", "season factor", 0.7, 1.0),
        symbol("v_b,0", "fundamental basic wind velocity", 20.0, 40.0),
    ],
    expression: "c_dir * c_season * v_b,0",
    function: |(direction, season, v)| direction * season * v,
};

/// The factor for a return period other than 50 years.
pub static PROBABILITY_FACTOR: Formula<(f64, f64, f64), f64> = Formula {
    clause: read("4.2(2) note 4, (4.2)"),
    name: "probability factor",
    symbol: "c_prob",
    inputs: &[
        symbol("K", "shape parameter", 0.1, 0.3),
        symbol("n", "exponent", 0.4, 1.0),
        symbol("T", "return period in years", 2.0, 500.0),
    ],
    expression: "((1 - K * ln(-ln(1 - 1 / T))) / (1 - K * ln(-ln(0.98))))^n",
    function: |(k, n, years)| {
        libm::pow(
            (1.0 - k * libm::log(-libm::log(1.0 - 1.0 / years)))
                / (1.0 - k * libm::log(-libm::log(0.98))),
            n,
        )
    },
};

/// The factor for a return period where the national text states the constant in front instead of dividing by it.
pub static PROBABILITY_FACTOR_STATED: Formula<(f64, f64, f64, f64), f64> = Formula {
    clause: unverified("4.2(2) note 4, national form"),
    name: "probability factor with a stated constant",
    symbol: "c_prob",
    inputs: &[
        symbol("c", "constant in front", 0.7, 0.8),
        symbol("K", "shape parameter", 0.1, 0.3),
        symbol("n", "exponent", 0.4, 1.0),
        symbol("T", "return period in years", 2.0, 500.0),
    ],
    expression: "c * (1 - K * ln(-ln(1 - 1 / T)))^n",
    function: |(c, k, n, years)| {
        c * libm::pow(1.0 - k * libm::log(-libm::log(1.0 - 1.0 / years)), n)
    },
};

/// The basic velocity for a return period.
pub static VELOCITY_OF_PERIOD: Formula<(f64, WindSpeed), WindSpeed> = Formula {
    clause: read("4.2(2) note 4"),
    name: "basic wind velocity of the return period",
    symbol: "v_b",
    inputs: &[
        symbol("c_prob", "probability factor", 0.8, 1.2),
        symbol("v_b,50", "basic wind velocity for 50 years", 20.0, 40.0),
    ],
    expression: "c_prob * v_b,50",
    function: |(c, v)| c * v,
};

/// The altitude factor that grows with the ratio of altitude to a reference altitude.
pub static ALTITUDE_RATIO: Formula<(f64, Length, Length), f64> = Formula {
    clause: unverified("4.2(1) note 2, national altitude rule by ratio"),
    name: "altitude factor",
    symbol: "c_alt",
    inputs: &[
        symbol("k_s", "slope of the rule", 0.1, 0.6),
        symbol("A", "altitude of the site", 500.0, 1500.0),
        symbol("A_0", "altitude from which it counts", 300.0, 1000.0),
    ],
    expression: "1 + k_s * max(A / A_0 - 1, 0)",
    function: |(k, a, a0)| 1.0 + k * libm::fmax(a / a0 - 1.0, 0.0),
};

/// The altitude factor that grows by the metre above a reference altitude.
pub static ALTITUDE_SLOPE: Formula<(f64, Length, Length), f64> = Formula {
    clause: unverified("4.2(1) note 2, national altitude rule by the metre"),
    name: "altitude factor",
    symbol: "c_alt",
    inputs: &[
        symbol("s", "growth per metre", 0.0001, 0.001),
        symbol("A", "altitude of the site", 0.0, 1500.0),
        symbol("A_0", "altitude from which it counts", 0.0, 500.0),
    ],
    expression: "1 + s * max(A - A_0, 0)",
    function: |(s, a, a0)| 1.0 + s * libm::fmax(a.as_m() - a0.as_m(), 0.0),
};

/// The altitude factor that falls with the height of the building.
pub static ALTITUDE_BY_HEIGHT: Formula<(f64, Length, Length), f64> = Formula {
    clause: unverified("4.2(1) note 2, national altitude rule by height"),
    name: "altitude factor",
    symbol: "c_alt",
    inputs: &[
        symbol("s", "growth per metre", 0.0005, 0.002),
        symbol("A", "altitude of the site", 0.0, 1000.0),
        symbol("z_s", "height it is taken for", 2.0, 100.0),
    ],
    expression: "1 + s * A * if(z_s > 10, (10 / z_s)^0.2, 1)",
    function: |(s, a, z)| {
        let fall = if z.as_m() > 10.0 {
            libm::pow(10.0 / z.as_m(), 0.2)
        } else {
            1.0
        };
        1.0 + s * a.as_m() * fall
    },
};

/// The fundamental velocity at the altitude of the site.
pub static VELOCITY_AT_ALTITUDE: Formula<(f64, WindSpeed), WindSpeed> = Formula {
    clause: read("4.2(1) note 2"),
    name: "fundamental basic wind velocity at the site's altitude",
    symbol: "v_b,0",
    inputs: &[
        symbol("c_alt", "altitude factor", 1.0, 1.5),
        symbol("v_b,map", "velocity of the zone", 20.0, 40.0),
    ],
    expression: "c_alt * v_b,map",
    function: |(c, v)| c * v,
};

/// The peak pressure raised for altitude.
pub static PRESSURE_AT_ALTITUDE: Formula<(WindPressure, f64, Length), WindPressure> = Formula {
    clause: unverified("4.2(1) note 2, national altitude rule on the pressure"),
    name: "peak velocity pressure at the site's altitude",
    symbol: "q_p",
    inputs: &[
        symbol("q_p,0", "peak velocity pressure", 300.0, 3000.0),
        symbol("a", "constant of the rule", 0.1, 0.3),
        symbol("A", "altitude of the site", 800.0, 1100.0),
    ],
    expression: "q_p,0 * (a + A / 1000)",
    function: |(q, a, altitude)| q * (a + altitude.as_m() / 1000.0),
};

/// The terrain factor.
///
/// ```
/// use quantity::Length;
/// use standards::en_1991_1_4::TERRAIN_FACTOR;
/// // Kr of terrain category IV as printed in worked examples: 0.234.
/// assert!(((TERRAIN_FACTOR.function)((Length::from_m(1.0),)) - 0.23433).abs() < 1e-5);
/// ```
pub static TERRAIN_FACTOR: Formula<(Length,), f64> = Formula {
    clause: read("4.3.2(1), (4.5)"),
    name: "terrain factor",
    symbol: "k_r",
    inputs: &[symbol("z_0", "roughness length", 0.003, 1.0)],
    expression: "0.19 * (z_0 / 0.05)^0.07",
    function: |(z0,)| 0.19 * libm::pow(z0.as_m() / 0.05, 0.07),
};

/// The roughness factor, held below the least height.
pub static ROUGHNESS_FACTOR: Formula<(f64, Length, Length, Length), f64> = Formula {
    clause: read("4.3.2(1), (4.4)"),
    name: "roughness factor",
    symbol: "c_r",
    inputs: &[
        symbol("k_r", "terrain factor", 0.15, 0.25),
        symbol("z", "height above ground", 1.0, 200.0),
        symbol("z_min", "least height", 1.0, 16.0),
        symbol("z_0", "roughness length", 0.003, 0.9),
    ],
    expression: "k_r * ln(max(z, z_min) / z_0)",
    function: |(kr, z, z_min, z0)| kr * libm::log(z.max(z_min) / z0),
};

/// The mean wind velocity.
pub static MEAN_VELOCITY: Formula<(f64, f64, WindSpeed), WindSpeed> = Formula {
    clause: read("4.3.1(1), (4.3)"),
    name: "mean wind velocity",
    symbol: "v_m",
    inputs: &[
        symbol("c_r", "roughness factor", 0.5, 1.7),
        symbol("c_o", "orography factor", 1.0, 1.6),
        symbol("v_b", "basic wind velocity", 20.0, 40.0),
    ],
    expression: "c_r * c_o * v_b",
    function: |(cr, co, v)| cr * co * v,
};

/// The turbulence factor where a national text makes it depend on the roughness length.
pub static TURBULENCE_FACTOR_OF_ROUGHNESS: Formula<(f64, f64, f64, Length), f64> = Formula {
    clause: unverified("4.4(1) note 2, national turbulence factor"),
    name: "turbulence factor",
    symbol: "k_I",
    inputs: &[
        symbol("a", "constant", 0.0001, 0.0003),
        symbol("b", "constant", 2.9, 3.1),
        symbol("n", "exponent", 5.0, 6.0),
        symbol("z_0", "roughness length", 0.003, 1.0),
    ],
    expression: "1 - a * (log10(z_0) + b)^n",
    function: |(a, b, n, z0)| 1.0 - a * libm::pow(libm::log10(z0.as_m()) + b, n),
};

/// The turbulence intensity, held below the least height.
pub static TURBULENCE_INTENSITY: Formula<(f64, f64, Length, Length, Length), f64> = Formula {
    clause: read("4.4(1), (4.7)"),
    name: "turbulence intensity",
    symbol: "I_v",
    inputs: &[
        symbol("k_I", "turbulence factor", 0.8, 1.0),
        symbol("c_o", "orography factor", 1.0, 1.6),
        symbol("z", "height above ground", 1.0, 200.0),
        symbol("z_min", "least height", 1.0, 16.0),
        symbol("z_0", "roughness length", 0.003, 0.9),
    ],
    expression: "k_I / (c_o * ln(max(z, z_min) / z_0))",
    function: |(ki, co, z, z_min, z0)| ki / (co * libm::log(z.max(z_min) / z0)),
};

/// The peak velocity pressure of the logarithmic profile.
///
/// ```
/// use quantity::{Density, WindSpeed};
/// use standards::en_1991_1_4::PEAK_PRESSURE;
/// // Worksheet example, terrain IV at 9 m: v_m = 0.234 * ln(10) * 26, I_v = 0.434, q_p = 0.497 kPa.
/// let q = (PEAK_PRESSURE.function)((0.4343, Density::from_kg_per_m3(1.25), WindSpeed::from_m_per_s(14.03)));
/// assert!((q.as_kpa() - 0.497).abs() < 0.001);
/// ```
pub static PEAK_PRESSURE: Formula<(f64, Density, WindSpeed), WindPressure> = Formula {
    clause: read("4.5(1), (4.8)"),
    name: "peak velocity pressure",
    symbol: "q_p",
    inputs: &[
        symbol("I_v", "turbulence intensity", 0.1, 0.5),
        symbol("rho", "density of the air", 1.2, 1.3),
        symbol("v_m", "mean wind velocity", 10.0, 60.0),
    ],
    expression: "(1 + 7 * I_v) * 0.5 * rho * v_m^2",
    function: |(iv, rho, v)| {
        let v = v.as_m_per_s();
        WindPressure::from_pa((1.0 + 7.0 * iv) * 0.5 * rho.as_kg_per_m3() * (v * v))
    },
};

/// The basic velocity pressure.
pub static BASIC_PRESSURE: Formula<(Density, WindSpeed), WindPressure> = Formula {
    clause: read("4.5(1), (4.10)"),
    name: "basic velocity pressure",
    symbol: "q_b",
    inputs: &[
        symbol("rho", "density of the air", 1.2, 1.3),
        symbol("v_b", "basic wind velocity", 20.0, 40.0),
    ],
    expression: "0.5 * rho * v_b^2",
    function: |(rho, v)| {
        let v = v.as_m_per_s();
        WindPressure::from_pa(0.5 * rho.as_kg_per_m3() * (v * v))
    },
};

/// The exposure factor.
pub static EXPOSURE_FACTOR: Formula<(WindPressure, WindPressure), f64> = Formula {
    clause: read("4.5(1), (4.9)"),
    name: "exposure factor",
    symbol: "c_e",
    inputs: &[
        symbol("q_p", "peak velocity pressure", 300.0, 3000.0),
        symbol("q_b", "basic velocity pressure", 250.0, 800.0),
    ],
    expression: "q_p / q_b",
    function: |(qp, qb)| qp / qb,
};

/// The exposure factor of a band of heights.
pub static BAND_FACTOR: Formula<(f64, f64, Length, Length), f64> = Formula {
    clause: unverified("4.5(1) note 1, national profile by bands of height"),
    name: "exposure factor of the band",
    symbol: "c_e",
    inputs: &[
        symbol("a", "factor at 10 m", 1.0, 3.0),
        symbol("b", "exponent", 0.0, 0.4),
        symbol("z", "height above ground", 1.0, 200.0),
        symbol("z_min", "least height", 1.0, 16.0),
    ],
    expression: "a * (max(z, z_min) / 10)^b",
    function: |(a, b, z, z_min)| a * libm::pow(z.max(z_min).as_m() / 10.0, b),
};

/// The peak pressure of a band of heights that a national text states in kilopascals.
pub static BAND_PRESSURE: Formula<(WindPressure, f64, Length, Length), WindPressure> = Formula {
    clause: unverified("4.5(1) note 1, national profile by bands of height"),
    name: "peak velocity pressure of the band",
    symbol: "q_p",
    inputs: &[
        symbol("q", "pressure at 10 m", 1000.0, 2000.0),
        symbol("b", "exponent", 0.0, 0.4),
        symbol("z", "height above ground", 1.0, 200.0),
        symbol("z_min", "least height", 1.0, 16.0),
    ],
    expression: "q * (max(z, z_min) / 10)^b",
    function: |(q, b, z, z_min)| q * libm::pow(z.max(z_min).as_m() / 10.0, b),
};

/// The peak pressure of an exposure factor.
pub static PRESSURE_OF_FACTOR: Formula<(f64, WindPressure), WindPressure> = Formula {
    clause: read("4.5(1), (4.8)"),
    name: "peak velocity pressure",
    symbol: "q_p",
    inputs: &[
        symbol("c_e", "exposure factor", 1.0, 4.0),
        symbol("q_b", "basic velocity pressure", 250.0, 800.0),
    ],
    expression: "c_e * q_b",
    function: |(ce, qb)| ce * qb,
};

/// The peak pressure over orography where the profile is stated for flat ground as a whole: the square of the factor acts on the gusts as well, which
/// lies on the safe side.
pub static PRESSURE_OF_OROGRAPHY: Formula<(WindPressure, f64), WindPressure> = Formula {
    clause: Clause::project("orography factor squared on a profile stated for flat ground"),
    name: "peak velocity pressure over orography",
    symbol: "q_p",
    inputs: &[
        symbol(
            "q_p,0",
            "peak velocity pressure on flat ground",
            300.0,
            3000.0,
        ),
        symbol("c_o", "orography factor", 1.0, 1.6),
    ],
    expression: "q_p,0 * c_o * c_o",
    function: |(q, co)| q * co * co,
};

const BETWEEN: &[Symbol] = &[
    symbol("x", "where it is read", 1.0, 2.0),
    symbol("x_1", "lower neighbour", 0.1, 0.9),
    symbol("x_2", "upper neighbour", 2.1, 3.0),
    symbol("y_1", "value at the lower neighbour", 1.0, 2.0),
    symbol("y_2", "value at the upper neighbour", 2.0, 3.0),
];

/// A value between two rows of a table.
pub static BETWEEN_ROWS: Formula<(f64, f64, f64, f64, f64), f64> = Formula {
    clause: Clause::project("linear interpolation between two entries of a table"),
    name: "value between two entries",
    symbol: "y",
    inputs: BETWEEN,
    expression: "y_1 + (y_2 - y_1) * (x - x_1) / (x_2 - x_1)",
    function: |(x, x1, x2, y1, y2)| y1 + (y2 - y1) * (x - x1) / (x2 - x1),
};

/// A pressure between two rows of a table.
pub static PRESSURE_BETWEEN_ROWS: Formula<
    (f64, f64, f64, WindPressure, WindPressure),
    WindPressure,
> = Formula {
    clause: Clause::project("linear interpolation between two entries of a table"),
    name: "pressure between two entries",
    symbol: "q",
    inputs: BETWEEN,
    expression: "y_1 + (y_2 - y_1) * (x - x_1) / (x_2 - x_1)",
    function: |(x, x1, x2, y1, y2)| y1 + (y2 - y1) * (x - x1) / (x2 - x1),
};

/// The ratio of height to depth.
pub static SLENDERNESS: Formula<(Length, Length), f64> = Formula {
    clause: read("7.2.2(2), Table 7.1"),
    name: "ratio of height to depth",
    symbol: "h/d",
    inputs: &[
        symbol("h", "height of the building", 3.0, 100.0),
        symbol("d", "depth along the wind", 5.0, 100.0),
    ],
    expression: "h / d",
    function: |(h, d)| h / d,
};

/// The measure of the edge zones.
///
/// ```
/// use quantity::Length;
/// use standards::en_1991_1_4::EDGE_MEASURE;
/// // Single-storey building, h 8 m, b 32 m: e = 16 m.
/// assert_eq!((EDGE_MEASURE.function)((Length::from_m(32.0), Length::from_m(8.0))).as_m(), 16.0);
/// ```
pub static EDGE_MEASURE: Formula<(Length, Length), Length> = Formula {
    clause: read("7.2.2(1), Figure 7.5"),
    name: "measure of the edge zones",
    symbol: "e",
    inputs: &[
        symbol("b", "breadth across the wind", 5.0, 100.0),
        symbol("h", "height of the building", 3.0, 100.0),
    ],
    expression: "min(b, 2 * h)",
    function: |(b, h)| b.min(2.0 * h),
};

/// A coefficient between two ratios of height to depth.
pub static COEFFICIENT_BETWEEN_RATIOS: Formula<(f64, f64, f64, f64, f64), f64> = Formula {
    clause: read("Table 7.1 note 1, linear interpolation in h/d"),
    name: "pressure coefficient between two ratios of height to depth",
    symbol: "c_pe",
    inputs: &[
        symbol("r", "ratio of height to depth", 0.3, 0.9),
        symbol("r_1", "lower ratio of the table", 0.1, 0.25),
        symbol("r_2", "upper ratio of the table", 1.0, 5.0),
        symbol("c_1", "coefficient at the lower ratio", -1.0, -0.3),
        symbol("c_2", "coefficient at the upper ratio", -1.4, -1.1),
    ],
    expression: "c_1 + (c_2 - c_1) * (r - r_1) / (r_2 - r_1)",
    function: |(r, r1, r2, c1, c2)| c1 + (c2 - c1) * (r - r1) / (r2 - r1),
};

/// The coefficient for a loaded area between 1 and 10 square metres.
///
/// ```
/// use quantity::Area;
/// use standards::en_1991_1_4::COEFFICIENT_OF_AREA;
/// let at = |a| (COEFFICIENT_OF_AREA.function)((Area::from_m2(a), -1.4, -1.2));
/// assert_eq!((at(0.5), at(1.0), at(10.0), at(40.0)), (-1.4, -1.4, -1.2, -1.2));
/// assert!((at(2.0) - -1.339_794).abs() < 1e-6);
/// ```
pub static COEFFICIENT_OF_AREA: Formula<(Area, f64, f64), f64> = Formula {
    clause: read("7.2.1(1), Figure 7.2"),
    name: "external pressure coefficient of the loaded area",
    symbol: "c_pe",
    inputs: &[
        symbol("A", "loaded area in square metres", 0.5, 12.0),
        symbol("c_pe,1", "coefficient for 1 m2", -1.7, 1.0),
        symbol("c_pe,10", "coefficient for 10 m2", -1.4, 0.8),
    ],
    expression: "if(A <= 1, c_pe,1, if(A >= 10, c_pe,10, c_pe,1 - (c_pe,1 - c_pe,10) * log10(A)))",
    function: |(area, one, ten)| {
        let a = area.as_m2();
        if a <= 1.0 {
            one
        } else if a >= 10.0 {
            ten
        } else {
            one - (one - ten) * libm::log10(a)
        }
    },
};

/// The wind pressure on an external surface; negative outwards.
pub static EXTERNAL_PRESSURE: Formula<(WindPressure, f64), WindPressure> = Formula {
    clause: read("5.2(1), (5.1)"),
    name: "wind pressure on the external surface",
    symbol: "w_e",
    inputs: &[
        symbol(
            "q_p",
            "peak velocity pressure at the reference height",
            300.0,
            3000.0,
        ),
        symbol("c_pe", "external pressure coefficient", -1.7, 1.0),
    ],
    expression: "q_p * c_pe",
    function: |(q, c)| q * c,
};

/// The suction of a wind pressure: positive outwards, nothing where the wind presses.
pub static SUCTION: Formula<(WindPressure,), WindPressure> = Formula {
    clause: read("5.1(2), sign of pressures"),
    name: "suction",
    symbol: "w_ek",
    inputs: &[symbol(
        "w_e",
        "wind pressure on the external surface",
        -4000.0,
        2000.0,
    )],
    expression: "max(-w_e, 0)",
    function: |(w,)| (-w).max(WindPressure::ZERO),
};
