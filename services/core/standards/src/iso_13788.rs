//! ISO 13788:2012, surface humidity and interstitial condensation.
//!
//! The saturation curve, the margin of 1.10 and the critical humidity of 0.80 were read in public texts that cite the standard; the
//! rest is from memory of it and carries [`Standing::Unverified`].

use quantity::{
    AreaMass, Duration, Length, MoistureFlux, Temperature, ThermalResistance, VapourPermeability,
    VapourPressure,
};
use working::{AnyFormula, Clause, Formula, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &SATURATION,
    &DEW_POINT,
    &PARTIAL_PRESSURE,
    &EXCESS,
    &INSIDE_PRESSURE,
    &LEAST_SATURATION,
    &TEMPERATURE_FACTOR,
    &WALL_FACTOR,
    &WITH_SURFACE,
    &EQUIVALENT_AIR,
    &RELATIVE_HUMIDITY,
    &CONDENSATION_RATE,
    &MONTHLY_AMOUNT,
    &ACCUMULATED,
];

/// The document.
pub const DOCUMENT: &str = "ISO 13788:2012";

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

/// The vapour permeability of still air with respect to partial pressure.
pub const AIR_PERMEABILITY: VapourPermeability = VapourPermeability::from_kg_per_mspa(2e-10);
/// Where that permeability stands.
pub const AIR_PERMEABILITY_CLAUSE: Clause = read("6.1, vapour permeability of air");
/// The internal surface resistance for mould on opaque surfaces.
pub const MOULD_SURFACE: ThermalResistance = ThermalResistance::from_m2k_per_w(0.25);
/// The internal surface resistance for condensation on glazing and frames.
pub const GLAZING_SURFACE: ThermalResistance = ThermalResistance::from_m2k_per_w(0.13);
/// Where these surface resistances stand.
pub const SURFACE_CLAUSE: Clause = unverified("4.4.1, surface resistances");
/// The relative humidity at a surface from which mould grows.
pub const MOULD_HUMIDITY: f64 = 0.80;
/// Where that humidity stands.
pub const MOULD_CLAUSE: Clause = read("5.3, critical surface humidity");
/// The margin on the internal vapour excess.
pub const EXCESS_MARGIN: f64 = 1.10;
/// Where the margin stands.
pub const MARGIN_CLAUSE: Clause = read("4.3.2, margin on the internal vapour pressure");
/// Layers of more resistance than this are subdivided.
pub const SUBDIVIDED_ABOVE: ThermalResistance = ThermalResistance::from_m2k_per_w(0.25);
/// Where the calculation of interstitial condensation stands.
pub const INTERSTITIAL_CLAUSE: Clause = unverified("6.4, interstitial condensation");

/// The saturation pressure of water vapour, over water from 0 degrees Celsius and over ice below.
pub static SATURATION: Formula<(Temperature,), VapourPressure> = Formula {
    clause: read("annex E, saturation pressure"),
    name: "saturation pressure of water vapour",
    symbol: "p_sat",
    inputs: &[symbol("theta", "temperature", -30.0, 40.0)],
    expression: "if(theta >= 0, 610.5 * exp(17.269 * theta / (237.3 + theta)), 610.5 * exp(21.875 * theta / (265.5 + theta)))",
    function: |(theta,)| VapourPressure::from_pa(saturation_pa(theta.as_celsius())),
};

/// The saturation pressure in pascals at so many degrees Celsius.
pub fn saturation_pa(celsius: f64) -> f64 {
    if celsius >= 0.0 {
        610.5 * libm::exp(17.269 * celsius / (237.3 + celsius))
    } else {
        610.5 * libm::exp(21.875 * celsius / (265.5 + celsius))
    }
}

/// The temperature at which a vapour pressure saturates: the dew point.
pub static DEW_POINT: Formula<(VapourPressure,), Temperature> = Formula {
    clause: read("annex E, temperature of saturation"),
    name: "temperature of saturation",
    symbol: "theta",
    inputs: &[symbol("p", "vapour pressure", 60.0, 4000.0)],
    expression: "if(p >= 610.5, 237.3 * ln(p / 610.5) / (17.269 - ln(p / 610.5)), 265.5 * ln(p / 610.5) / (21.875 - ln(p / 610.5)))",
    function: |(p,)| Temperature::from_celsius(dew_point_celsius(p.as_pa())),
};

/// The dew point in degrees Celsius of so many pascals.
pub fn dew_point_celsius(pa: f64) -> f64 {
    let l = libm::log(pa / 610.5);
    if pa >= 610.5 {
        237.3 * l / (17.269 - l)
    } else {
        265.5 * l / (21.875 - l)
    }
}

/// A partial pressure from relative humidity.
pub static PARTIAL_PRESSURE: Formula<(f64, VapourPressure), VapourPressure> = Formula {
    clause: read("annex E, relative humidity"),
    name: "vapour pressure at a relative humidity",
    symbol: "p",
    inputs: &[
        symbol("phi", "relative humidity", 0.0, 1.0),
        symbol("p_sat", "saturation pressure", 100.0, 4000.0),
    ],
    expression: "phi * p_sat",
    function: |(phi, saturation)| phi * saturation,
};

/// The internal vapour excess of a humidity class.
pub static EXCESS: Formula<(VapourPressure, Temperature, Temperature), VapourPressure> = Formula {
    clause: unverified("annex A, humidity classes"),
    name: "internal vapour excess of the humidity class",
    symbol: "dp",
    inputs: &[
        symbol("dp_0", "excess at 0 degC and below", 200.0, 1400.0),
        symbol(
            "theta_0",
            "outside temperature from which there is none",
            20.0,
            20.0,
        ),
        symbol("theta_e", "outside temperature", -15.0, 25.0),
    ],
    expression: "dp_0 * min(1, max(0, (theta_0 - theta_e) / theta_0))",
    function: |(at_zero, none, outside)| {
        let share = (none.as_celsius() - outside.as_celsius()) / none.as_celsius();
        at_zero * libm::fmin(1.0, libm::fmax(0.0, share))
    },
};

/// The internal vapour pressure with the margin.
pub static INSIDE_PRESSURE: Formula<(VapourPressure, f64, VapourPressure), VapourPressure> =
    Formula {
        clause: MARGIN_CLAUSE,
        name: "internal vapour pressure",
        symbol: "p_i",
        inputs: &[
            symbol("p_e", "external vapour pressure", 100.0, 2500.0),
            symbol("m", "margin", 1.0, 1.2),
            symbol("dp", "internal vapour excess", 0.0, 1400.0),
        ],
        expression: "p_e + m * dp",
        function: |(outside, margin, excess)| outside + margin * excess,
    };

/// The least saturation pressure at a surface on which the critical humidity is not passed.
pub static LEAST_SATURATION: Formula<(VapourPressure, f64), VapourPressure> = Formula {
    clause: MOULD_CLAUSE,
    name: "least saturation pressure at the surface",
    symbol: "p_sat,si",
    inputs: &[
        symbol("p_i", "internal vapour pressure", 400.0, 2500.0),
        symbol("phi_cr", "critical humidity at the surface", 0.6, 1.0),
    ],
    expression: "p_i / phi_cr",
    function: |(inside, critical)| inside / critical,
};

/// The temperature factor at an inner surface.
pub static TEMPERATURE_FACTOR: Formula<(Temperature, Temperature, Temperature), f64> = Formula {
    clause: read("5.2, temperature factor"),
    name: "temperature factor at the inner surface",
    symbol: "f_Rsi",
    inputs: &[
        symbol("theta_si", "temperature of the inner surface", 5.0, 20.0),
        symbol("theta_e", "outside temperature", -20.0, 4.0),
        symbol("theta_i", "inside temperature", 18.0, 25.0),
    ],
    expression: "(theta_si - theta_e) / (theta_i - theta_e)",
    function: |(surface, outside, inside)| surface.above(outside) / inside.above(outside),
};

/// The temperature factor of a plane wall.
pub static WALL_FACTOR: Formula<(ThermalResistance, ThermalResistance), f64> = Formula {
    clause: read("5.2, temperature factor of a plane element"),
    name: "temperature factor of the plane wall",
    symbol: "f_Rsi",
    inputs: &[
        symbol("R_si", "internal surface resistance", 0.13, 0.25),
        symbol("R_tot", "total resistance with that surface", 0.5, 10.0),
    ],
    expression: "1 - R_si / R_tot",
    function: |(surface, total)| 1.0 - surface / total,
};

/// A total resistance with another internal surface resistance.
pub static WITH_SURFACE: Formula<
    (ThermalResistance, ThermalResistance, ThermalResistance),
    ThermalResistance,
> = Formula {
    clause: SURFACE_CLAUSE,
    name: "total resistance with the surface resistance for mould",
    symbol: "R_tot",
    inputs: &[
        symbol("R_T", "total resistance", 0.5, 10.0),
        symbol("R_a", "internal surface resistance in it", 0.1, 0.17),
        symbol("R_b", "internal surface resistance in its place", 0.2, 0.3),
    ],
    expression: "R_T - R_a + R_b",
    function: |(total, before, after)| total - before + after,
};

/// The diffusion-equivalent air layer thickness.
pub static EQUIVALENT_AIR: Formula<(f64, Length), Length> = Formula {
    clause: read("3.1.8, water vapour diffusion-equivalent air layer thickness"),
    name: "diffusion-equivalent air layer thickness",
    symbol: "s_d",
    inputs: &[
        symbol("mu", "vapour resistance factor", 1.0, 500.0),
        symbol("d", "thickness of the layer", 0.001, 0.5),
    ],
    expression: "mu * d",
    function: |(mu, d)| mu * d,
};

/// Relative humidity.
pub static RELATIVE_HUMIDITY: Formula<(VapourPressure, VapourPressure), f64> = Formula {
    clause: read("annex E, relative humidity"),
    name: "relative humidity",
    symbol: "phi",
    inputs: &[
        symbol("p", "vapour pressure", 100.0, 4000.0),
        symbol("p_sat", "saturation pressure", 100.0, 4000.0),
    ],
    expression: "p / p_sat",
    function: |(p, saturation)| p / saturation,
};

/// Permeability; the pressures at the next point inside, at the plane and at the next point outside; the diffusion-equivalent air
/// layer from the inner surface to each of the three.
pub type RateInputs = (
    VapourPermeability,
    VapourPressure,
    VapourPressure,
    VapourPressure,
    Length,
    Length,
    Length,
);

/// The rate of condensation at a plane, negative for evaporation.
pub static CONDENSATION_RATE: Formula<RateInputs, MoistureFlux> = Formula {
    clause: unverified("6.4.2 and 6.4.3"),
    name: "rate of condensation at the plane, negative for evaporation",
    symbol: "g",
    inputs: &[
        symbol("delta_0", "vapour permeability of air", 1.9e-10, 2.1e-10),
        symbol("p_a", "pressure at the next point inside", 1500.0, 2500.0),
        symbol("p_c", "saturation pressure at the plane", 600.0, 1000.0),
        symbol("p_b", "pressure at the next point outside", 300.0, 500.0),
        symbol("s_a", "air layer up to the next point inside", 0.0, 1.0),
        symbol("s_c", "air layer up to the plane", 2.0, 3.0),
        symbol("s_b", "air layer up to the next point outside", 5.0, 10.0),
    ],
    expression: "delta_0 * ((p_a - p_c) / (s_c - s_a) - (p_c - p_b) / (s_b - s_c))",
    function: |(delta, p_a, p_c, p_b, s_a, s_c, s_b)| {
        let gradient =
            (p_a - p_c).as_pa() / (s_c - s_a).as_m() - (p_c - p_b).as_pa() / (s_b - s_c).as_m();
        MoistureFlux::from_kg_per_m2s(delta.as_kg_per_mspa() * gradient)
    },
};

/// The amount of a month.
pub static MONTHLY_AMOUNT: Formula<(MoistureFlux, Duration), AreaMass> = Formula {
    clause: read("6.4, amount of a month"),
    name: "condensate of the month, negative for evaporation",
    symbol: "g_c",
    inputs: &[
        symbol("g", "rate", -1e-7, 1e-7),
        symbol("t", "length of the month", 2.4e6, 2.7e6),
    ],
    expression: "g * t",
    function: |(g, t)| g * t,
};

/// What has gathered at the end of a month.
pub static ACCUMULATED: Formula<(AreaMass, AreaMass), AreaMass> = Formula {
    clause: unverified("6.4.4, accumulated moisture"),
    name: "moisture gathered at the end of the month",
    symbol: "M_a",
    inputs: &[
        symbol("M", "moisture at its beginning", 0.0, 1.0),
        symbol("g_c", "condensate of the month", -0.5, 0.5),
    ],
    expression: "max(0, M + g_c)",
    function: |(before, month)| (before + month).max(AreaMass::ZERO),
};
