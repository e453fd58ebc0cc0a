//! Formulas of plain arithmetic and of this project that no standard owns.

use quantity::{
    Area, AreaMass, ArealEnergy, DegreeTime, EmissionFactor, Energy, HeatFlux,
    HeatTransferCoefficient, Length, LinearTransmittance, Mass, PointTransmittance, Temperature,
    ThermalResistance, Transmittance, WindSpeed,
};
use working::{AnyFormula, Clause, Formula, List, Standing, Symbol};

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
    &SEASON_LOSS,
    &YEARLY_COST,
    &PRESENT_VALUE,
    &LIFE_CYCLE_COST,
    &HEAT_TRANSFER,
    &SEASON_ENERGY,
    &ENERGY_SAVED,
    &MONEY_SAVED,
    &EMISSION_SAVED,
    &DRIVING_RAIN,
    &SUN_ON_WALL,
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

/// Heat lost through a square metre in a heating season.
pub static SEASON_LOSS: Formula<(Transmittance, DegreeTime), ArealEnergy> = Formula {
    clause: Clause::project("heat loss by degree time"),
    name: "heat lost through a square metre in a year",
    symbol: "q",
    inputs: &[
        symbol("U_c", "corrected thermal transmittance", 0.1, 3.0),
        symbol("G", "degree time of the heating season", 1e8, 5e8),
    ],
    expression: "U_c * G",
    function: |(u, degree_time)| u * degree_time,
};

/// What the yearly energy of a square metre costs.
pub static YEARLY_COST: Formula<(ArealEnergy, f64, f64), f64> = Formula {
    clause: Clause::project("energy bought for the heat lost"),
    name: "cost of a year's energy for a square metre, in the currency",
    symbol: "c",
    inputs: &[
        symbol("q", "heat lost in a year", 1e7, 1e9),
        symbol("eta", "efficiency of the heating", 0.5, 4.0),
        symbol("p", "price of a kilowatt hour, in the currency", 0.02, 0.5),
    ],
    expression: "q / 3600000 / eta * p",
    function: |(loss, efficiency, price)| loss.as_kwh_per_m2() / efficiency * price,
};

/// The present value of one unit of cost a year, at a price that grows.
pub static PRESENT_VALUE: Formula<(f64, f64, f64), f64> = Formula {
    clause: Clause::project("present value of a yearly cost that grows"),
    name: "present value of one unit a year",
    symbol: "a",
    inputs: &[
        symbol("i", "discount rate a year", 0.03, 0.1),
        symbol("e", "growth of the energy price a year", 0.0, 0.02),
        symbol("n", "years", 1.0, 50.0),
    ],
    expression: "if(abs(i - e) < 0.000000001, n, (1 + e) / (i - e) * (1 - ((1 + e) / (1 + i))^n))",
    function: |(discount, growth, years)| {
        if libm::fabs(discount - growth) < 1e-9 {
            years
        } else {
            (1.0 + growth) / (discount - growth)
                * (1.0 - libm::pow((1.0 + growth) / (1.0 + discount), years))
        }
    },
};

/// The cost of a square metre over the years considered.
pub static LIFE_CYCLE_COST: Formula<(f64, f64, f64, f64), f64> = Formula {
    clause: Clause::project("life-cycle cost of a square metre"),
    name: "cost over the years considered, in the currency per m2",
    symbol: "C",
    inputs: &[
        symbol("c_b", "price of the boards", 0.0, 100.0),
        symbol(
            "c_0",
            "cost that does not depend on the thickness",
            0.0,
            200.0,
        ),
        symbol("a", "present value of one unit a year", 5.0, 40.0),
        symbol("c", "cost of a year's energy", 0.1, 50.0),
    ],
    expression: "c_b + c_0 + a * c",
    function: |(boards, fixed, present, yearly)| boards + fixed + present * yearly,
};

/// Areas and transmittances, lengths and linear transmittances, numbers and point transmittances.
pub type HeatTransferInputs = (
    List<Area>,
    List<Transmittance>,
    List<Length>,
    List<LinearTransmittance>,
    List<f64>,
    List<PointTransmittance>,
);

/// The heat transfer coefficient of a part of a building with its bridges.
pub static HEAT_TRANSFER: Formula<HeatTransferInputs, HeatTransferCoefficient> = Formula {
    clause: Clause {
        document: "ISO 13789:2017",
        clause: "transmission heat transfer coefficient",
        standing: Standing::Unverified,
    },
    name: "heat transfer coefficient with bridges",
    symbol: "H",
    inputs: &[
        symbol("A", "areas", 10.0, 500.0),
        symbol("U", "transmittances", 0.1, 2.0),
        symbol("l", "lengths of linear bridges", 1.0, 100.0),
        symbol("psi", "linear transmittances", -0.1, 0.5),
        symbol("n", "numbers of point bridges", 0.0, 1000.0),
        symbol("chi", "point transmittances", 0.0, 0.01),
    ],
    expression: "sum(A * U) + sum(l * psi) + sum(n * chi)",
    function: |(areas, us, lengths, psis, numbers, chis)| {
        let plane: f64 = areas
            .0
            .iter()
            .zip(&us.0)
            .map(|(a, u)| a.as_m2() * u.as_w_per_m2k())
            .sum();
        let linear: f64 = lengths
            .0
            .iter()
            .zip(&psis.0)
            .map(|(l, psi)| l.as_m() * psi.as_w_per_mk())
            .sum();
        let point: f64 = numbers
            .0
            .iter()
            .zip(&chis.0)
            .map(|(n, chi)| n * chi.as_w_per_k())
            .sum();
        HeatTransferCoefficient::from_w_per_k(plane + linear + point)
    },
};

/// Energy bought for a heat transfer coefficient over a season.
pub static SEASON_ENERGY: Formula<(HeatTransferCoefficient, DegreeTime, f64), Energy> = Formula {
    clause: Clause::project("energy bought for the heat lost"),
    name: "energy bought in a year",
    symbol: "Q",
    inputs: &[
        symbol("H", "heat transfer coefficient", 10.0, 2000.0),
        symbol("G", "degree time of the heating season", 1e8, 5e8),
        symbol("eta", "efficiency of the heating", 0.5, 4.0),
    ],
    expression: "H * G / eta",
    function: |(h, degree_time, efficiency)| h * degree_time / efficiency,
};

/// Energy saved.
pub static ENERGY_SAVED: Formula<(Energy, Energy), Energy> = Formula {
    clause: Clause::project("difference before and after"),
    name: "energy saved in a year",
    symbol: "dQ",
    inputs: &[
        symbol("Q_0", "energy before", 5e10, 1e11),
        symbol("Q_1", "energy after", 1e9, 4e10),
    ],
    expression: "Q_0 - Q_1",
    function: |(before, after)| before - after,
};

/// Money saved.
pub static MONEY_SAVED: Formula<(Energy, f64), f64> = Formula {
    clause: Clause::project("energy at its price"),
    name: "money saved in a year, in the currency",
    symbol: "s",
    inputs: &[
        symbol("dQ", "energy saved", 1e9, 1e11),
        symbol("p", "price of a kilowatt hour, in the currency", 0.02, 0.5),
    ],
    expression: "dQ / 3600000 * p",
    function: |(saved, price)| saved.as_kwh() * price,
};

/// Emissions saved.
pub static EMISSION_SAVED: Formula<(EmissionFactor, Energy), Mass> = Formula {
    clause: Clause::project("energy at its emission factor"),
    name: "carbon dioxide saved in a year",
    symbol: "m",
    inputs: &[
        symbol("k", "emission by energy", 0.0, 2e-7),
        symbol("dQ", "energy saved", 1e9, 1e11),
    ],
    expression: "k * dQ",
    function: |(factor, saved)| factor * saved,
};

/// The rain that the wind drives through an upright plane in the open in one hour.
pub static DRIVING_RAIN: Formula<(WindSpeed, Length, f64), Length> = Formula {
    clause: Clause {
        document: "ISO 15927-3:2009",
        clause: "driving rain by hourly wind and rain",
        standing: Standing::Unverified,
    },
    name: "driving rain of an hour in the open",
    symbol: "I",
    inputs: &[
        symbol("v", "wind speed, m/s", 0.0, 20.0),
        symbol("r", "rain of the hour, m", 1e-4, 0.02),
        symbol(
            "c",
            "cosine of the angle between wind and wall normal",
            0.0,
            1.0,
        ),
    ],
    expression: "2 / 9 * v * (1000 * r)^(8 / 9) * c / 1000",
    function: |(wind, rain, cosine)| {
        let depth = libm::pow(1000.0 * rain.as_m(), 8.0 / 9.0);
        Length::from_m(2.0 / 9.0 * wind.as_m_per_s() * depth * cosine / 1000.0)
    },
};

/// The sun on an upright plane: direct, half of the sky, half of what the ground throws back.
pub static SUN_ON_WALL: Formula<(HeatFlux, f64, HeatFlux, HeatFlux, f64), HeatFlux> = Formula {
    clause: Clause::project("sky and ground alike in every direction"),
    name: "sun on an upright plane",
    symbol: "E",
    inputs: &[
        symbol("E_b", "direct on a plane that faces the sun", 0.0, 1000.0),
        symbol(
            "c",
            "cosine of the angle of incidence, not below 0",
            0.0,
            1.0,
        ),
        symbol("E_d", "diffuse on the horizontal", 0.0, 500.0),
        symbol("E_g", "global on the horizontal", 0.0, 1100.0),
        symbol("rho", "share that the ground throws back", 0.0, 0.8),
    ],
    expression: "E_b * c + E_d / 2 + E_g * rho / 2",
    function: |(direct, cosine, diffuse, global, ground)| {
        direct * cosine + diffuse * 0.5 + global * ground * 0.5
    },
};
