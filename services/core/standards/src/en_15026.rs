//! EN 15026:2007, moisture transfer through building parts by numerical simulation.
//!
//! The forms of the benchmark wall (Kelvin, sorption, permeability) were read in a public test code that carries the bands of the
//! standard's annex A; the forms of the surface films in public lecture notes that quote its draft. What comes from memory is
//! unverified.

use quantity::{
    Density, Diffusivity, Length, MoistureFlux, Suction, Temperature, VapourPermeability,
    VapourPressure, WaterAbsorption, WindSpeed,
};
use working::{AnyFormula, Clause, Formula, List, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &SUCTION,
    &SUCTION_SORPTION,
    &LOGARITHMIC_SORPTION,
    &CAPILLARY_SORPTION,
    &AIR_PERMEABILITY,
    &MATERIAL_PERMEABILITY,
    &SUCTION_DIFFUSIVITY,
    &OUTER_FILM,
    &VAPOUR_FLOW,
    &LIQUID_FLOW,
    &INDOOR_TEMPERATURE,
    &INDOOR_HUMIDITY,
    &MEAN_WATER,
    &MASS_BALANCE,
];

/// The document.
pub const DOCUMENT: &str = "EN 15026:2007";

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

/// The gas constant, in J/(mol.K), as in the benchmark of annex A.
pub const GAS_CONSTANT: f64 = 8.314_459_8;
/// The molar mass of water, in kg/mol, as in the benchmark of annex A.
pub const MOLAR_MASS: f64 = 0.018_015_28;
/// The density of water, in kg/m3.
pub const WATER_DENSITY: f64 = 1000.0;
/// The temperature at which the Kelvin equation is taken, in kelvin.
pub const KELVIN_TEMPERATURE: f64 = 293.15;
/// The specific heat capacity of water, in J/(kg.K), as in the benchmark of annex A.
pub const WATER_HEAT: f64 = 4190.0;
/// The heat of evaporation, in J/kg, as in the benchmark of annex A.
pub const EVAPORATION_HEAT: f64 = 2.5e6;
/// The pressure of the air, in Pa.
pub const AIR_PRESSURE: f64 = 101_325.0;
/// Where the constants stand.
pub const CONSTANTS: Clause = read("annex A, data of the benchmark");
/// The diffusivity of water vapour in air, in m2/s, as in the benchmark of annex A.
pub const VAPOUR_DIFFUSIVITY: f64 = 26.1e-6;
/// The equivalent air layer of the film on an inner wall face, in metres.
pub const INNER_FILM_M: f64 = 0.008;
/// Where the film on an inner face stands.
pub const INNER_FILM_CLAUSE: Clause = read("vapour resistance of internal surfaces");
/// The humidity at which a building material in use settles; its water content there is the usual mark for dry.
pub const PRACTICAL_HUMIDITY: f64 = 0.80;

/// The suction that holds pore water in balance with a relative humidity.
///
/// ```
/// use standards::en_15026::SUCTION;
/// let p = (SUCTION.function)((0.95,));
/// assert!((p.as_pa() - 6.94e6).abs() < 0.01e6);
/// ```
pub static SUCTION: Formula<(f64,), Suction> = Formula {
    clause: read("4.2, Kelvin equation"),
    name: "suction in balance with a relative humidity at 20 degrees Celsius",
    symbol: "p_suc",
    inputs: &[symbol("phi", "relative humidity", 0.05, 0.999)],
    expression: "-(1000 * 8.3144598 * 293.15 / 0.01801528) * ln(phi)",
    function: |(humidity,)| Suction::from_pa(suction_pa(humidity)),
};

/// [`SUCTION`] on bare numbers, for the solver.
pub fn suction_pa(humidity: f64) -> f64 {
    -(WATER_DENSITY * GAS_CONSTANT * KELVIN_TEMPERATURE / MOLAR_MASS) * libm::log(humidity)
}

/// The water content in balance with a suction.
pub static SUCTION_SORPTION: Formula<(Density, Suction, f64, f64, f64), Density> = Formula {
    clause: read("annex A, moisture storage function of the benchmark"),
    name: "water content by suction",
    symbol: "w",
    inputs: &[
        symbol("w_f", "water content when saturated", 50.0, 300.0),
        symbol("p_suc", "suction", 1e4, 1e8),
        symbol("a", "reciprocal suction of the form", 1e-8, 1e-6),
        symbol("n", "inner exponent", 1.2, 3.0),
        symbol("m", "outer exponent", 0.1, 0.9),
    ],
    expression: "w_f / (1 + (a * p_suc) ^ n) ^ m",
    function: |(saturated, suction, a, n, m)| {
        let inner = libm::pow(a * suction.as_pa(), n);
        saturated / libm::pow(1.0 + inner, m)
    },
};

/// The water content in balance with a relative humidity, the form of the isothermal drying benchmark.
pub static LOGARITHMIC_SORPTION: Formula<(Density, f64, f64, f64), Density> = Formula {
    clause: Clause {
        document: "HAMSTAD WP2, 2002",
        clause: "benchmark 2, moisture storage function",
        standing: Standing::Published,
    },
    name: "water content by the logarithm of humidity",
    symbol: "w",
    inputs: &[
        symbol("w_f", "water content when saturated", 50.0, 300.0),
        symbol("phi", "relative humidity", 0.05, 0.999),
        symbol("a", "scale of the logarithm", 0.05, 0.5),
        symbol("n", "exponent", 0.3, 1.5),
    ],
    expression: "w_f / (1 - ln(phi) / a) ^ n",
    function: |(saturated, humidity, a, n)| saturated / libm::pow(1.0 - libm::log(humidity) / a, n),
};

/// The water content of a capillary material by two measured points: free saturation, and 80 % relative humidity.
pub static CAPILLARY_SORPTION: Formula<(Density, Density, f64), Density> = Formula {
    clause: unverified("moisture storage approximated from two measured points"),
    name: "water content by relative humidity",
    symbol: "w",
    inputs: &[
        symbol("w_f", "free saturation", 150.0, 400.0),
        symbol("w_80", "water content at 80 % relative humidity", 1.0, 60.0),
        symbol("phi", "relative humidity", 0.0, 1.0),
    ],
    expression: "w_f * (0.8 * (w_f - w_80) / (w_f * 0.8 - w_80) - 1) * phi / (0.8 * (w_f - w_80) / (w_f * 0.8 - w_80) - phi)",
    function: |(free, at_80, humidity)| {
        let b = 0.8 * (free - at_80) / (free * 0.8 - at_80);
        free * (b - 1.0) * humidity * (1.0 / (b - humidity))
    },
};

/// The vapour permeability of still air.
///
/// ```
/// use quantity::Temperature;
/// use standards::en_15026::AIR_PERMEABILITY;
/// let delta = (AIR_PERMEABILITY.function)((Temperature::from_celsius(20.0),));
/// assert!((delta.as_kg_per_mspa() - 1.966e-10).abs() < 1e-12);
/// ```
pub static AIR_PERMEABILITY: Formula<(Temperature,), VapourPermeability> = Formula {
    clause: read("vapour permeability of still air, as quoted in public lecture notes"),
    name: "vapour permeability of still air at normal pressure",
    symbol: "delta_0",
    inputs: &[symbol("theta", "temperature", -20.0, 40.0)],
    expression: "2e-7 * (theta + 273.15) ^ 0.81 / 101325",
    function: |(t,)| VapourPermeability::from_kg_per_mspa(air_permeability(t.as_celsius())),
};

/// [`AIR_PERMEABILITY`] on bare numbers, for the solver.
pub fn air_permeability(celsius: f64) -> f64 {
    2e-7 * libm::pow(celsius + 273.15, 0.81) / AIR_PRESSURE
}

/// The vapour permeability of a material whose pores fill with water, the form of the benchmark.
pub static MATERIAL_PERMEABILITY: Formula<(f64, Density, Density), VapourPermeability> = Formula {
    clause: read("annex A, vapour permeability of the benchmark"),
    name: "vapour permeability of a material at 20 degrees Celsius",
    symbol: "delta_p",
    inputs: &[
        symbol("mu", "vapour resistance factor when dry", 5.0, 300.0),
        symbol("w", "water content", 0.0, 140.0),
        symbol("w_f", "water content when saturated", 146.0, 300.0),
    ],
    expression: "0.01801528 / (8.3144598 * 293.15) * 26.1e-6 / mu * (1 - w / w_f) / (0.503 * (1 - w / w_f) ^ 2 + 0.497)",
    function: |(mu, water, saturated)| {
        let dry = MOLAR_MASS / (GAS_CONSTANT * KELVIN_TEMPERATURE) * VAPOUR_DIFFUSIVITY / mu;
        VapourPermeability::from_kg_per_mspa(dry * open_share(water / saturated))
    },
};

/// By which share vapour still passes pores that are filled to `filled`, as a part of the whole.
pub fn open_share(filled: f64) -> f64 {
    let open = 1.0 - filled;
    open / (0.503 * libm::pow(open, 2.0) + 0.497)
}

/// The moisture diffusivity during suction, by the water absorption coefficient.
pub static SUCTION_DIFFUSIVITY: Formula<(WaterAbsorption, Density, Density), Diffusivity> =
    Formula {
        clause: unverified("liquid transport approximated from the water absorption coefficient"),
        name: "moisture diffusivity during suction",
        symbol: "D_w",
        inputs: &[
            symbol("A_w", "water absorption coefficient", 0.001, 0.5),
            symbol("w_f", "free saturation", 150.0, 400.0),
            symbol("w", "water content", 1.0, 150.0),
        ],
        expression: "3.8 * (A_w / w_f) ^ 2 * 1000 ^ (w / w_f - 1)",
        function: |(absorption, free, water)| {
            let speed = absorption.as_kg_per_m2_root_s() / free.as_kg_per_m3();
            Diffusivity::from_m2_per_s(
                3.8 * libm::pow(speed, 2.0) * libm::pow(1000.0, water / free - 1.0),
            )
        },
    };

/// The equivalent air layer of the film on an outer face.
pub static OUTER_FILM: Formula<(WindSpeed,), Length> = Formula {
    clause: read("vapour resistance of external surfaces, as quoted in public lecture notes"),
    name: "equivalent air layer of the external surface",
    symbol: "s_d,s",
    inputs: &[symbol("v", "speed of the wind", 0.0, 20.0)],
    expression: "1 / (67 + 90 * v)",
    function: |(wind,)| Length::from_m(1.0 / (67.0 + 90.0 * wind.as_m_per_s())),
};

/// The flow of vapour through a layer.
pub static VAPOUR_FLOW: Formula<
    (VapourPermeability, VapourPressure, VapourPressure, Length),
    MoistureFlux,
> = Formula {
    clause: unverified("4.2, vapour transport"),
    name: "density of vapour flow rate",
    symbol: "g_v",
    inputs: &[
        symbol(
            "delta_p",
            "vapour permeability of the material",
            1e-13,
            2e-10,
        ),
        symbol("p_1", "vapour pressure on one side", 400.0, 2500.0),
        symbol("p_2", "vapour pressure on the other", 200.0, 2000.0),
        symbol("d", "distance", 0.001, 0.3),
    ],
    expression: "delta_p * (p_1 - p_2) / d",
    function: |(permeability, one, other, distance)| {
        MoistureFlux::from_kg_per_m2s(
            permeability.as_kg_per_mspa() * (one - other).as_pa() / distance.as_m(),
        )
    },
};

/// The flow of liquid water through a layer.
pub static LIQUID_FLOW: Formula<(Diffusivity, Density, Density, Length), MoistureFlux> = Formula {
    clause: unverified("4.2, liquid transport by water content"),
    name: "density of liquid flow rate",
    symbol: "g_l",
    inputs: &[
        symbol("D_w", "moisture diffusivity", 1e-12, 1e-6),
        symbol("w_1", "water content on one side", 20.0, 200.0),
        symbol("w_2", "water content on the other", 1.0, 150.0),
        symbol("d", "distance", 0.001, 0.3),
    ],
    expression: "D_w * (w_1 - w_2) / d",
    function: |(diffusivity, one, other, distance)| {
        MoistureFlux::from_kg_per_m2s(
            diffusivity.as_m2_per_s() * (one - other).as_kg_per_m3() / distance.as_m(),
        )
    },
};

/// The indoor temperature that goes with an outdoor one.
pub static INDOOR_TEMPERATURE: Formula<(Temperature,), Temperature> = Formula {
    clause: unverified("annex C, indoor temperature"),
    name: "indoor temperature by the daily mean outdoors",
    symbol: "theta_i",
    inputs: &[symbol(
        "theta_e",
        "daily mean outdoor temperature",
        -20.0,
        35.0,
    )],
    expression: "min(max(20 + 0.5 * (theta_e - 10), 20), 25)",
    function: |(outdoors,)| {
        let rise = 20.0 + 0.5 * (outdoors.as_celsius() - 10.0);
        Temperature::from_celsius(libm::fmin(libm::fmax(rise, 20.0), 25.0))
    },
};

/// The indoor humidity that goes with an outdoor temperature.
pub static INDOOR_HUMIDITY: Formula<(Temperature, f64), f64> = Formula {
    clause: unverified("annex C, indoor humidity"),
    name: "indoor relative humidity by the daily mean temperature outdoors",
    symbol: "phi_i",
    inputs: &[
        symbol("theta_e", "daily mean outdoor temperature", -20.0, 35.0),
        symbol("d_phi", "what dense occupation adds", 0.0, 0.1),
    ],
    expression: "min(max(0.3 + 0.01 * (theta_e + 10), 0.3), 0.6) + d_phi",
    function: |(outdoors, occupation)| {
        let rise = 0.3 + 0.01 * (outdoors.as_celsius() + 10.0);
        libm::fmin(libm::fmax(rise, 0.3), 0.6) + occupation
    },
};

/// The mean water content of a layer from the water in its parts.
pub static MEAN_WATER: Formula<(List<Density>, List<Length>), Density> = Formula {
    clause: Clause::project("mean over the thickness of a layer"),
    name: "mean water content of a layer",
    symbol: "w_m",
    inputs: &[
        symbol("w", "water contents of the parts", 1.0, 200.0),
        symbol("d", "thicknesses of the parts", 0.001, 0.05),
    ],
    expression: "sum(w * d) / sum(d)",
    function: |(water, parts)| {
        let thickness: Length = parts.0.iter().copied().sum();
        water
            .0
            .iter()
            .zip(&parts.0)
            .map(|(&w, &d)| w * d.as_m())
            .sum::<Density>()
            / thickness.as_m()
    },
};

/// What does not add up between the water stored and the water that crossed the faces, against all that crossed.
pub static MASS_BALANCE: Formula<(f64, f64, f64, f64), f64> = Formula {
    clause: Clause::project("conservation of mass"),
    name: "imbalance of water as a share of what crossed the faces",
    symbol: "beta_m",
    inputs: &[
        symbol("delta_m", "change of the water stored, kg/m2", -20.0, 20.0),
        symbol("m_i", "water that entered from inside, kg/m2", -10.0, 10.0),
        symbol("m_e", "water that entered from outside, kg/m2", -10.0, 10.0),
        symbol(
            "m_c",
            "water that crossed the faces either way, kg/m2",
            0.1,
            50.0,
        ),
    ],
    expression: "abs(delta_m - m_i - m_e) / m_c",
    function: |(stored, inside, outside, crossed)| libm::fabs(stored - inside - outside) / crossed,
};
