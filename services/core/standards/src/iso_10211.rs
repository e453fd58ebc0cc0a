//! ISO 10211:2017, thermal bridges: heat flows and surface temperatures by detailed calculation.
//!
//! The clause numbers are from memory of the text, so every citation here is unverified. The validation cases that the solver is
//! held to stand with their sources beside the tests.

use quantity::{
    Length, LinearHeatFlow, LinearTransmittance, Temperature, TemperatureDifference, Transmittance,
};
use working::{AnyFormula, Clause, Formula, List, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &HEAT_FLOW,
    &COUPLING,
    &LINEAR_TRANSMITTANCE,
    &DIFFERENCE_SHARE,
    &LINEAR_TRANSMITTANCE_BESIDE_UNHEATED,
    &TEMPERATURE_DIFFERENCE,
    &FLOW_SUM,
    &TEMPERATURE_FACTOR,
    &WEIGHTED_TEMPERATURE,
    &REFINEMENT_CHANGE,
    &BALANCE,
    &EXTRAPOLATED_COUPLING,
];

/// The document.
pub const DOCUMENT: &str = "ISO 10211:2017";

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

/// The largest relative change of the heat flow that a halving of the grid may still bring.
pub const LARGEST_FLOW_CHANGE: f64 = 0.01;
/// The largest change of the temperature factor of the coldest surface point that a halving of the grid may still bring.
pub const LARGEST_FACTOR_CHANGE: f64 = 0.005;
/// The largest sum of all heat flows, as a share of half the sum of their sizes.
pub const LARGEST_IMBALANCE: f64 = 1e-4;
/// Where the three limits stand.
pub const CRITERIA: Clause = unverified("5.3 and annex C, conditions of a numerical method");
/// The smallest distance from the bridge at which a model may be cut where there is no plane of symmetry.
pub const SMALLEST_CUT_DISTANCE: Length = Length::from_m(1.0);
/// How many times the thickness of the flanking element a cut must at least lie away from the bridge.
pub const CUT_DISTANCE_THICKNESSES: f64 = 3.0;
/// Where the place of the cut planes stands.
pub const CUT_PLANES: Clause = unverified("7.2, location of cut-off planes");

/// The heat flow from one environment to another for each metre of the bridge.
pub static HEAT_FLOW: Formula<(LinearTransmittance, Temperature, Temperature), LinearHeatFlow> =
    Formula {
        clause: unverified("9.1, heat flow from the coupling coefficient"),
        name: "heat flow between two environments",
        symbol: "Phi_l",
        inputs: &[
            symbol("L_2D", "thermal coupling coefficient", 0.01, 5.0),
            symbol(
                "theta_i",
                "temperature of the warmer environment",
                10.0,
                25.0,
            ),
            symbol(
                "theta_e",
                "temperature of the colder environment",
                -20.0,
                10.0,
            ),
        ],
        expression: "L_2D * (theta_i - theta_e)",
        function: |(coupling, warm, cold)| coupling * warm.above(cold),
    };

/// The thermal coupling coefficient that a calculated heat flow stands for.
pub static COUPLING: Formula<(LinearHeatFlow, TemperatureDifference), LinearTransmittance> =
    Formula {
        clause: unverified("9.1, thermal coupling coefficient"),
        name: "thermal coupling coefficient of a two-dimensional model",
        symbol: "L_2D",
        inputs: &[
            symbol(
                "Phi_l",
                "heat flow of the model by unit of length",
                0.1,
                60.0,
            ),
            symbol(
                "delta_theta",
                "difference of the temperatures of the environments",
                1.0,
                40.0,
            ),
        ],
        expression: "Phi_l / delta_theta",
        function: |(flow, difference)| flow / difference,
    };

/// What the bridge adds to the flanking elements counted with their lengths.
///
/// ```
/// use quantity::{Length, LinearTransmittance, Transmittance};
/// use standards::iso_10211::LINEAR_TRANSMITTANCE;
/// use working::List;
/// // An insulated outer corner: two arms of 2 m inside, U = 0.21505 W/(m2.K), 0.9542 W/m at one kelvin.
/// let psi = (LINEAR_TRANSMITTANCE.function)((
///     LinearTransmittance::from_w_per_mk(0.9542),
///     List(vec![Transmittance::from_w_per_m2k(0.21505); 2]),
///     List(vec![Length::from_m(2.0); 2]),
/// ));
/// assert!((psi.as_w_per_mk() - 0.0940).abs() < 1e-4);
/// ```
pub static LINEAR_TRANSMITTANCE: Formula<
    (LinearTransmittance, List<Transmittance>, List<Length>),
    LinearTransmittance,
> = Formula {
    clause: unverified("12.3, linear thermal transmittance"),
    name: "linear thermal transmittance",
    symbol: "psi",
    inputs: &[
        symbol("L_2D", "thermal coupling coefficient", 0.1, 5.0),
        symbol(
            "U",
            "thermal transmittances of the flanking elements",
            0.1,
            3.0,
        ),
        symbol("l", "lengths over which they are counted", 0.5, 3.0),
    ],
    expression: "L_2D - sum(U * l)",
    function: |(coupling, u, l)| {
        coupling
            - u.0
                .iter()
                .zip(&l.0)
                .map(|(&u, &l)| u * l)
                .sum::<LinearTransmittance>()
    },
};

/// The share of the whole temperature difference that lies across a flanking element towards an unheated space.
pub static DIFFERENCE_SHARE: Formula<(Temperature, Temperature, TemperatureDifference), f64> =
    Formula {
        clause: Clause::project("temperature difference across an element as a share of the whole"),
        name: "share of the temperature difference",
        symbol: "b",
        inputs: &[
            symbol(
                "theta_1",
                "temperature on the warm side of the element",
                15.0,
                25.0,
            ),
            symbol("theta_2", "temperature on its cold side", -10.0, 12.0),
            symbol(
                "delta_theta",
                "difference between inside and outside",
                10.0,
                40.0,
            ),
        ],
        expression: "(theta_1 - theta_2) / delta_theta",
        function: |(warm, cold, whole)| warm.above(cold) / whole,
    };

/// Coupling, shares of the difference, transmittances, lengths.
type FlatShares = (
    LinearTransmittance,
    List<f64>,
    List<Transmittance>,
    List<Length>,
);

/// [`LINEAR_TRANSMITTANCE`] where a flanking element borders an unheated space: each is counted with its share of the difference.
pub static LINEAR_TRANSMITTANCE_BESIDE_UNHEATED: Formula<FlatShares, LinearTransmittance> =
    Formula {
        clause: unverified("12.3, linear thermal transmittance with more than two environments"),
        name: "linear thermal transmittance",
        symbol: "psi",
        inputs: &[
            symbol(
                "L_2D",
                "heat flow from inside by the whole temperature difference",
                0.1,
                5.0,
            ),
            symbol("b", "shares of the temperature difference", 0.0, 1.0),
            symbol(
                "U",
                "thermal transmittances of the flanking elements",
                0.1,
                3.0,
            ),
            symbol("l", "lengths over which they are counted", 0.5, 3.0),
        ],
        expression: "L_2D - sum(b * U * l)",
        function: |(coupling, b, u, l)| {
            let flat = b.0.iter().zip(&u.0).zip(&l.0);
            coupling
                - flat
                    .map(|((&b, &u), &l)| b * u * l)
                    .sum::<LinearTransmittance>()
        },
    };

/// The temperature difference that psi and the temperature factor refer to.
pub static TEMPERATURE_DIFFERENCE: Formula<(Temperature, Temperature), TemperatureDifference> =
    Formula {
        clause: Clause::project("difference of two temperatures"),
        name: "temperature difference between inside and outside",
        symbol: "delta_theta",
        inputs: &[
            symbol("theta_i", "internal temperature", 15.0, 25.0),
            symbol("theta_e", "external temperature", -20.0, 10.0),
        ],
        expression: "theta_i - theta_e",
        function: |(inside, outside)| inside.above(outside),
    };

/// The heat that all heated environments lose.
pub static FLOW_SUM: Formula<(List<LinearHeatFlow>,), LinearHeatFlow> = Formula {
    clause: Clause::project("sum of heat flows"),
    name: "heat flow from inside",
    symbol: "Phi_l",
    inputs: &[symbol(
        "Phi",
        "heat flows from the heated environments",
        -5.0,
        30.0,
    )],
    expression: "sum(Phi)",
    function: |(flows,)| flows.0.iter().copied().sum(),
};

/// The temperature factor of a surface point.
pub static TEMPERATURE_FACTOR: Formula<(Temperature, Temperature, Temperature), f64> = Formula {
    clause: unverified("3.1 and 9.2, temperature factor at the internal surface"),
    name: "temperature factor of the internal surface",
    symbol: "f_Rsi",
    inputs: &[
        symbol("theta_si", "temperature of the internal surface", 8.0, 20.0),
        symbol("theta_i", "internal temperature", 18.0, 25.0),
        symbol("theta_e", "external temperature", -20.0, 5.0),
    ],
    expression: "(theta_si - theta_e) / (theta_i - theta_e)",
    function: |(surface, internal, external)| surface.above(external) / internal.above(external),
};

/// A temperature in the model from its weights and the temperatures of the environments.
pub static WEIGHTED_TEMPERATURE: Formula<(List<f64>, List<Temperature>), Temperature> = Formula {
    clause: unverified("9.2, temperature weighting factors"),
    name: "temperature at a point",
    symbol: "theta",
    inputs: &[
        symbol("g", "weights of the environments at the point", 0.0, 1.0),
        symbol("theta_j", "temperatures of the environments", -20.0, 25.0),
    ],
    expression: "sum(g * theta_j)",
    function: |(weights, temperatures)| {
        weights
            .0
            .iter()
            .zip(&temperatures.0)
            .map(|(&g, &t)| g * t)
            .sum()
    },
};

/// How much the last halving of the grid changed the heat flow.
pub static REFINEMENT_CHANGE: Formula<(LinearTransmittance, LinearTransmittance), f64> = Formula {
    clause: unverified("5.3 and annex C, change of the heat flow when the grid is refined"),
    name: "change of the heat flow by the last halving of the grid",
    symbol: "epsilon",
    inputs: &[
        symbol(
            "L_coarse",
            "coupling coefficient on the coarser grid",
            0.1,
            5.0,
        ),
        symbol(
            "L_fine",
            "coupling coefficient on the halved grid",
            0.1,
            5.0,
        ),
    ],
    expression: "abs(L_fine - L_coarse) / L_fine",
    function: |(coarse, fine)| (fine - coarse).abs() / fine,
};

/// What is left when all heat flows into the model are added, against half the sum of their sizes.
pub static BALANCE: Formula<(List<LinearHeatFlow>,), f64> = Formula {
    clause: unverified("annex C, sum of the heat flows"),
    name: "imbalance of the heat flows",
    symbol: "beta",
    inputs: &[symbol(
        "Phi",
        "heat flows into the model, one an environment",
        -30.0,
        30.0,
    )],
    expression: "abs(sum(Phi)) / (0.5 * sum(abs(Phi)))",
    function: |(flows,)| {
        let sum: LinearHeatFlow = flows.0.iter().copied().sum();
        let sizes: LinearHeatFlow = flows.0.iter().map(|f| f.abs()).sum();
        sum.abs() / (0.5 * sizes)
    },
};

/// The coupling coefficient towards which the last two grids point, for an error that falls by 2^p with each halving.
pub static EXTRAPOLATED_COUPLING: Formula<
    (LinearTransmittance, LinearTransmittance, f64),
    LinearTransmittance,
> = Formula {
    clause: Clause::project("extrapolation over the size of the grid"),
    name: "coupling coefficient extrapolated over the grids",
    symbol: "L_0",
    inputs: &[
        symbol(
            "L_coarse",
            "coupling coefficient on the coarser grid",
            0.1,
            5.0,
        ),
        symbol(
            "L_fine",
            "coupling coefficient on the halved grid",
            0.1,
            5.0,
        ),
        symbol("p", "order of convergence", 1.0, 2.0),
    ],
    expression: "L_fine + (L_fine - L_coarse) / (2 ^ p - 1)",
    function: |(coarse, fine, order)| fine + (fine - coarse) / (libm::pow(2.0, order) - 1.0),
};
