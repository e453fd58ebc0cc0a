//! The formulas of the takeoff, each printed as it is computed.

use quantity::{Area, AreaMass, Density, Length, Mass, Volume};
use working::{AnyFormula, Clause, Formula, List, Standing, Symbol};

/// Every formula of this crate, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &NET_AREA,
    &DEVELOPED_AREA,
    &REVEAL_AREA,
    &COATED_AREA,
    &AREA_SUM,
    &CLEAR_SIZE,
    &BILLED_AREA,
    &BONDING,
    &COURSE,
    &SPREAD,
    &MASS_SUM,
    &WITH_SITE_WASTE,
    &COUNT_SUM,
    &COUNT_WITH_WASTE,
    &ROLLS_WITH_WASTE,
    &PACKS,
    &BAR_FIXINGS,
    &DIAGONALS,
    &MESH_STRIPS,
    &FOAM,
    &MIXING_WATER,
    &ELEMENT_ADHESIVE,
    &ELEMENT_MORTAR,
    &LAYER_MASS,
    &MEAN_MASS,
    &MASS_PER_AREA,
    &LENGTH_SUM,
];

/// What a ratio is taken by before it is raised to a whole number, so that the dust of arithmetic counts nothing: 2.1 / 0.3 is 7, and
/// its binary fraction lies a hair above.
const WITHOUT_DUST: f64 = 1.0 - 1e-9;

const fn symbol(name: &'static str, meaning: &'static str, low: f64, high: f64) -> Symbol {
    Symbol {
        name,
        meaning,
        range: (low, high),
    }
}

const fn practice(clause: &'static str) -> Clause {
    Clause {
        document: "common practice, no source",
        clause,
        standing: Standing::Unverified,
    }
}

/// What the boards cover, in the plane of the bare wall.
pub static NET_AREA: Formula<(Area, List<Area>), Area> = Formula {
    clause: Clause::project("areas of a facade"),
    name: "net geometric area",
    symbol: "A_net",
    inputs: &[
        symbol("A_gross", "area inside the outline", 400.0, 500.0),
        symbol("A_o", "openings at their finished size", 0.1, 20.0),
    ],
    expression: "A_gross - sum(A_o)",
    function: |(gross, openings)| gross - openings.0.into_iter().sum(),
};

/// The outer plane of the boards, round the corners.
pub static DEVELOPED_AREA: Formula<(Area, Length, Length, Length, Area), Area> = Formula {
    clause: Clause::project("areas of a facade"),
    name: "developed area",
    symbol: "A_dev",
    inputs: &[
        symbol("A_net", "net geometric area", 50.0, 500.0),
        symbol("p", "projection of the boards' face", 0.05, 0.4),
        symbol("h_s", "height of salient corners", 0.0, 20.0),
        symbol("h_r", "height of re-entrant corners", 0.0, 20.0),
        symbol("A_b", "what a thinner plinth stands back there", 0.0, 1.0),
    ],
    expression: "A_net + p * (h_s - h_r) - A_b",
    function: |(net, projection, salient, re_entrant, back)| {
        net + projection * (salient - re_entrant) - back
    },
};

/// Jambs and head of one opening.
pub static REVEAL_AREA: Formula<(Length, Length, Length), Area> = Formula {
    clause: Clause::project("areas of a facade"),
    name: "reveal area of an opening",
    symbol: "A_r",
    inputs: &[
        symbol("j", "its finished jambs in the wall", 0.3, 6.0),
        symbol("w", "its finished head in the wall", 0.3, 5.0),
        symbol("t", "depth from the frame to the boards' face", 0.05, 0.6),
    ],
    expression: "(j + w) * t",
    function: |(jambs, head, depth)| (jambs + head) * depth,
};

/// An opening when all is done.
pub static CLEAR_SIZE: Formula<(Length, f64, Length, f64, Length), Length> = Formula {
    clause: Clause::project("what stands on the edges of boards in an opening"),
    name: "clear size of an opening",
    symbol: "w_c",
    inputs: &[
        symbol("w", "size between the boards of the facade", 0.3, 5.0),
        symbol("n_b", "sides with reveal boards on a bed", 0.0, 2.0),
        symbol("b", "bed of the reveal boards", 0.0, 0.02),
        symbol("n_c", "coated sides", 0.0, 2.0),
        symbol("c", "base coat and finish", 0.002, 0.02),
    ],
    expression: "w - n_b * b - n_c * c",
    function: |(size, beds, bed, coated, coats)| size - bed * beds - coats * coated,
};

/// What base coat, mesh, primer and finish run over.
pub static COATED_AREA: Formula<(Area, List<Area>, Area), Area> = Formula {
    clause: Clause::project("areas of a facade"),
    name: "net area with reveals",
    symbol: "A_c",
    inputs: &[
        symbol("A_dev", "developed area", 50.0, 500.0),
        symbol("A_r", "reveals", 0.1, 5.0),
        symbol("A_e", "faces of free ends, steps and undersides", 0.0, 5.0),
    ],
    expression: "A_dev + sum(A_r) + A_e",
    function: |(developed, reveals, ends)| developed + reveals.0.into_iter().sum() + ends,
};

/// Areas together.
pub static AREA_SUM: Formula<(List<Area>,), Area> = Formula {
    clause: Clause::project("sum"),
    name: "areas together",
    symbol: "A",
    inputs: &[symbol("A_i", "areas", 0.1, 500.0)],
    expression: "sum(A_i)",
    function: |(areas,)| areas.0.into_iter().sum(),
};

/// The area that is billed, and never bought.
pub static BILLED_AREA: Formula<(Area, List<Area>, List<Area>), Area> = Formula {
    clause: Clause::project("billed area by the measurement rule set"),
    name: "billed area",
    symbol: "A_bill",
    inputs: &[
        symbol("A_gross", "area inside the outline", 400.0, 500.0),
        symbol("A_ded", "deducted", 0.1, 20.0),
        symbol("A_add", "added", 0.1, 20.0),
    ],
    expression: "A_gross - sum(A_ded) + sum(A_add)",
    function: |(gross, deducted, added)| {
        gross - deducted.0.into_iter().sum() + added.0.into_iter().sum()
    },
};

/// Dry bonding mortar.
pub static BONDING: Formula<(AreaMass, AreaMass, f64, Length, Area), Mass> = Formula {
    clause: practice("bonding mortar by bed and unevenness"),
    name: "bonding mortar",
    symbol: "M_b",
    inputs: &[
        symbol("m_0", "use on a flat substrate", 1.0, 8.0),
        symbol(
            "m_1",
            "use for each millimetre over the bonded share",
            0.5,
            2.0,
        ),
        symbol("s", "bonded share", 0.4, 1.0),
        symbol("g", "unevenness", 0.0, 0.02),
        symbol("A", "bonded area", 1.0, 500.0),
    ],
    expression: "(m_0 + m_1 * s * g / 0.001) * A",
    function: |(m0, m1, s, g, a)| (m0 + m1 * s * g.as_m() / 0.001) * a,
};

/// One course of a coat by its thickness.
pub static COURSE: Formula<(AreaMass, Length, Area), Mass> = Formula {
    clause: Clause::project("use by thickness"),
    name: "mortar of a course",
    symbol: "M_c",
    inputs: &[
        symbol("m_1", "use for each millimetre of thickness", 0.8, 2.0),
        symbol("d", "thickness of the course", 0.001, 0.015),
        symbol("A", "coated area", 1.0, 500.0),
    ],
    expression: "m_1 * d / 0.001 * A",
    function: |(m1, d, a)| m1 * d.as_m() / 0.001 * a,
};

/// Something spread over an area.
pub static SPREAD: Formula<(AreaMass, Area), Mass> = Formula {
    clause: Clause::project("use by area"),
    name: "use by area",
    symbol: "M",
    inputs: &[
        symbol("m", "use per area", 0.1, 10.0),
        symbol("A", "area", 1.0, 500.0),
    ],
    expression: "m * A",
    function: |(m, a)| m * a,
};

/// Masses together.
pub static MASS_SUM: Formula<(List<Mass>,), Mass> = Formula {
    clause: Clause::project("sum"),
    name: "masses together",
    symbol: "M",
    inputs: &[symbol("M_i", "masses", 0.1, 5000.0)],
    expression: "sum(M_i)",
    function: |(masses,)| masses.0.into_iter().sum(),
};

/// A mass with what site work wastes.
pub static WITH_SITE_WASTE: Formula<(Mass, f64), Mass> = Formula {
    clause: Clause::project("need with waste on site"),
    name: "need with waste on site",
    symbol: "M_w",
    inputs: &[
        symbol("M", "net need", 1.0, 5000.0),
        symbol("w", "waste share of the article", 0.0, 0.2),
    ],
    expression: "M * (1 + w)",
    function: |(m, w)| m * (1.0 + w),
};

/// Counts together.
pub static COUNT_SUM: Formula<(List<f64>,), f64> = Formula {
    clause: Clause::project("sum"),
    name: "counts together",
    symbol: "n",
    inputs: &[symbol("n_i", "counts", 1.0, 500.0)],
    expression: "sum(n_i)",
    function: |(counts,)| counts.0.into_iter().sum(),
};

/// A count or measured number with what site work wastes.
pub static COUNT_WITH_WASTE: Formula<(f64, f64), f64> = Formula {
    clause: Clause::project("need with waste on site"),
    name: "need with waste on site",
    symbol: "n_w",
    inputs: &[
        symbol("n", "net need", 1.0, 5000.0),
        symbol("w", "waste share of the article", 0.0, 0.2),
    ],
    expression: "n * (1 + w)",
    function: |(n, w)| n * (1.0 + w),
};

/// Rolls: as many as the plan cuts, or as many as hold what is cut and what site work wastes of it, whichever is more. Waste comes
/// out of the rests first.
pub static ROLLS_WITH_WASTE: Formula<(f64, Length, f64, Length), f64> = Formula {
    clause: Clause::project("rolls for what is cut, with waste on site"),
    name: "rolls with waste on site",
    symbol: "n_w",
    inputs: &[
        symbol("n", "rolls cut by the plan", 1.0, 500.0),
        symbol("l", "length cut", 1.0, 5000.0),
        symbol("w", "waste share of the article", 0.0, 0.2),
        symbol("L", "length of a roll", 10.0, 100.0),
    ],
    expression: "max(n, l * (1 + w) / L)",
    function: |(n, l, w, roll)| libm::fmax(n, l * (1.0 + w) / roll),
};

/// Whole packs; one part in 10^9 is forgiven, so that the dust of arithmetic buys no pack.
pub static PACKS: Formula<(f64, f64), f64> = Formula {
    clause: Clause::project("least whole number of packs that holds the need"),
    name: "packs",
    symbol: "n_p",
    inputs: &[
        symbol("q", "need in the pack's unit", 0.1, 5000.0),
        symbol("c", "content of a pack", 0.5, 50.0),
    ],
    expression: "ceil(q / c * (1 - 1e-9))",
    function: |(need, content)| {
        quantity::whole_packs(need, content).map_or(f64::NAN, |packs| packs as f64)
    },
};

/// Fixings of one bar.
pub static BAR_FIXINGS: Formula<(Length, Length), f64> = Formula {
    clause: Clause::project("one fixing at each end, the rest at the greatest distance or closer"),
    name: "fixings of a bar",
    symbol: "n_f",
    inputs: &[
        symbol("l", "length of the bar", 0.1, 2.5),
        symbol("s", "greatest distance of fixings", 0.2, 0.5),
    ],
    expression: "ceil(l / s * (1 - 1e-9)) + 1",
    function: |(l, s)| libm::ceil(l / s * WITHOUT_DUST) + 1.0,
};

/// Diagonal strips at the corners of openings.
pub static DIAGONALS: Formula<(f64, f64), f64> = Formula {
    clause: practice("diagonal mesh at every corner of an opening that lies in the wall"),
    name: "diagonal strips",
    symbol: "n_d",
    inputs: &[
        symbol("n_4", "openings with four corners in the wall", 0.0, 200.0),
        symbol(
            "n_c",
            "corners in the wall of all other openings",
            0.0,
            100.0,
        ),
    ],
    expression: "4 * n_4 + n_c",
    function: |(four, corners)| 4.0 * four + corners,
};

/// Parallel strips of mesh.
pub static MESH_STRIPS: Formula<(Length, Length, Length), f64> = Formula {
    clause: Clause::project("strips side by side with an overlap"),
    name: "strips of mesh",
    symbol: "n_s",
    inputs: &[
        symbol("b", "extent to be covered", 1.5, 60.0),
        symbol("r", "width of the roll", 0.9, 1.2),
        symbol("o", "overlap", 0.05, 0.2),
    ],
    expression: "max(1, ceil((b - o) / (r - o) * (1 - 1e-9)))",
    function: |(b, r, o)| libm::fmax(1.0, libm::ceil((b - o) / (r - o) * WITHOUT_DUST)),
};

/// Foam for gaps between boards, as it leaves the can.
pub static FOAM: Formula<(Length, f64, Length, Length, f64), Volume> = Formula {
    clause: practice("gaps between boards up to 5 mm closed with foam"),
    name: "foam for gaps",
    symbol: "V_f",
    inputs: &[
        symbol("l", "length of joints", 1.0, 5000.0),
        symbol("s", "share of joints with a gap", 0.01, 0.5),
        symbol("g", "width of a gap", 0.002, 0.005),
        symbol("d", "thickness of the boards", 0.05, 0.3),
        symbol("y", "set foam from a litre", 10.0, 60.0),
    ],
    expression: "l * s * g * d / y",
    function: |(l, s, g, d, y)| l * s * g * d / y,
};

/// Water for mixing or diluting.
pub static MIXING_WATER: Formula<(Mass, f64), Volume> = Formula {
    clause: Clause::project("water by mass of product"),
    name: "water",
    symbol: "V_w",
    inputs: &[
        symbol("M", "mass of product", 1.0, 5000.0),
        symbol("w", "litres for each kilogram", 0.0, 0.4),
    ],
    expression: "M * w * 0.001",
    function: |(m, w)| Volume::from_m3(m.as_kg() * w * 0.001),
};

/// Adhesive that sets mounting elements.
pub static ELEMENT_ADHESIVE: Formula<(f64, f64), Volume> = Formula {
    clause: Clause::project("adhesive by mounting element"),
    name: "adhesive for mounting elements",
    symbol: "V_a",
    inputs: &[
        symbol("n", "elements", 1.0, 100.0),
        symbol("v", "litres for each element", 0.01, 0.2),
    ],
    expression: "n * v * 0.001",
    function: |(n, v)| Volume::from_m3(n * v * 0.001),
};

/// Mortar that heavy mounting elements are bonded with.
pub static ELEMENT_MORTAR: Formula<(f64, Mass), Mass> = Formula {
    clause: Clause::project("mortar by mounting element"),
    name: "bonding mortar of mounting elements",
    symbol: "M_e",
    inputs: &[
        symbol("n", "elements", 1.0, 100.0),
        symbol("m", "dry mortar for each element", 0.01, 5.0),
    ],
    expression: "n * m",
    function: |(n, m)| m * n,
};

/// A layer's mass.
pub static LAYER_MASS: Formula<(Density, Length), AreaMass> = Formula {
    clause: Clause::project("mass of a layer"),
    name: "mass per area of a layer",
    symbol: "m",
    inputs: &[
        symbol("rho", "density", 10.0, 300.0),
        symbol("d", "thickness", 0.02, 0.4),
    ],
    expression: "rho * d",
    function: |(rho, d)| rho * d,
};

/// A mean use.
pub static MEAN_MASS: Formula<(Mass, Area), AreaMass> = Formula {
    clause: Clause::project("mean mass per area"),
    name: "mean mass per area",
    symbol: "m",
    inputs: &[
        symbol("M", "mass", 1.0, 5000.0),
        symbol("A", "area", 1.0, 500.0),
    ],
    expression: "M / A",
    function: |(m, a)| m / a,
};

/// Layers together.
pub static MASS_PER_AREA: Formula<(List<AreaMass>,), AreaMass> = Formula {
    clause: Clause::project("mass of layers together"),
    name: "mass per area",
    symbol: "m",
    inputs: &[symbol("m_i", "layers", 0.1, 40.0)],
    expression: "sum(m_i)",
    function: |(layers,)| layers.0.into_iter().sum(),
};

/// Lengths together.
pub static LENGTH_SUM: Formula<(List<Length>,), Length> = Formula {
    clause: Clause::project("sum"),
    name: "lengths together",
    symbol: "l",
    inputs: &[symbol("l_i", "lengths", 0.1, 50.0)],
    expression: "sum(l_i)",
    function: |(lengths,)| lengths.0.into_iter().sum(),
};
