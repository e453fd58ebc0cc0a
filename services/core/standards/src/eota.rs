//! European assessment documents for facade insulation kits and their plastic anchors: EAD 040083-00-0404, EAD 330196-01-0604, ETAG 014 and
//! EOTA TR 051.
//!
//! Nobody here holds the bodies of these texts. The arithmetic is certain and tested; every partial factor, step, count and
//! default is data in [`FixingRules`] and carries its standing. The calculation sheet prints it.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Acceleration, Area, AreaMass, Force, Length, PerArea, Stress, WindPressure};
use working::{AnyFormula, Clause, Formula, List, Standing, Symbol};

pub use crate::en_1991_1_4::Cited;

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &DESIGN_SUCTION,
    &WALL_RESISTANCE,
    &WALL_OF_PERMISSIBLE,
    &SYSTEM_RESISTANCE,
    &GOVERNING_RESISTANCE,
    &NEEDED,
    &NUMBER,
    &PER_BOARD,
    &PROVIDED,
    &PROVIDED_RESISTANCE,
    &JOINT_SHARE,
    &LENGTH_NEEDED,
    &REACH,
    &DRILL_DEPTH,
    &HOLE_DEPTH,
    &SITE_RESISTANCE,
    &BONDED_SHARE,
    &GREATEST_SHARE,
    &BOND_RESISTANCE,
    &BOND_TENSION,
    &BOND_SHEAR,
];

const EAD_KIT: &str = "EAD 040083-00-0404";
const EAD_ANCHOR: &str = "EAD 330196-01-0604";
const TR_051: &str = "EOTA TR 051";

const fn unverified(document: &'static str, clause: &'static str) -> Clause {
    Clause {
        document,
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

/// Where the comparison of design suction and design resistance stands.
pub const VERIFICATION: Clause = unverified(EAD_KIT, "resistance to wind load, S_d <= R_d");
/// Where the categories of base material stand.
pub const CATEGORIES: Clause = unverified(EAD_ANCHOR, "use categories A to E");
/// Where the least member thickness, spacing and edge distance stand.
pub const DISTANCES: Clause = unverified(
    EAD_ANCHOR,
    "least member thickness, spacing and edge distance",
);
/// Where the rule stands that pull-through values hold from the tested thickness and plate upwards.
pub const PULL_THROUGH_RANGE: Clause = unverified(
    EAD_KIT,
    "pull-through, least board thickness and plate diameter",
);
/// Where the tests on site stand.
pub const SITE_TESTS: Clause = unverified(TR_051, "at least 15 centric tension tests");
/// Where the rule stands that tests on site need an assessment in the same family of material.
pub const SAME_FAMILY: Clause = unverified(TR_051, "same base material as in the assessment");
/// Where the least bonded share stands.
pub const BOND: Clause = unverified("ETAG 004:2013", "minimum bonded area");

/// How site tests are evaluated.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteTestRule {
    /// The least number of tests.
    pub tests_min: Cited<u32>,
    /// How many of the smallest are averaged.
    pub smallest: Cited<u32>,
    /// The factor on their mean.
    pub factor: Cited<f64>,
    /// The most that may be claimed.
    pub cap: Cited<Force>,
    /// The steps in which assessments state resistances, in ascending order; empty where the value is not stepped down.
    pub steps: Cited<Vec<Force>>,
}

/// How bonding is judged.
#[derive(Clone, Debug, PartialEq)]
pub struct BondRule {
    /// The strength whose ratio to the mean bond strength is the least share, 0.03 MPa.
    pub needed_strength: Cited<Stress>,
    /// The least share whatever the strength.
    pub share_floor: Cited<f64>,
    /// The least share by practice.
    pub share_practice: Cited<f64>,
    /// The least pull-off strength of the substrate for a system that is bonded only.
    pub substrate_min: Cited<Stress>,
    /// The partial factor on bond strength.
    pub material_factor: Cited<f64>,
    /// The partial factor on the weight of the system.
    pub dead_load_factor: Cited<f64>,
    /// Greatest gap under a straightedge of one metre, bonded; in millimetres.
    pub flatness_bonded_mm: Cited<f64>,
    /// The same, bonded and anchored.
    pub flatness_anchored_mm: Cited<f64>,
}

/// Where anchors stand on a board.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacementRule {
    /// Distance of a field anchor from the board's edge where there is room.
    pub board_edge: Cited<Length>,
    /// The same on narrow pieces.
    pub board_edge_min: Cited<Length>,
}

/// National rules and defaults of the fixing design, as data.
#[derive(Clone, Debug, PartialEq)]
pub struct FixingRules {
    /// Their key, such as `eota-default`.
    pub key: String,
    /// Their name.
    pub name: String,
    /// ISO 3166-1 alpha-2 code, or empty for none.
    pub country: String,
    /// The document they stand for.
    pub document: String,
    /// Partial factor on the wind, γF.
    pub wind_factor: Cited<f64>,
    /// Partial factor on the resistance in the wall, γM.
    pub wall_factor: Cited<f64>,
    /// Partial factor on the pull-through of the system, γM.
    pub system_factor: Cited<f64>,
    /// Reduction on the pull-through of the system; 1 for none.
    pub system_reduction: Cited<f64>,
    /// The least number of anchors.
    pub per_m2_min: Cited<PerArea>,
    /// Fewer than this call for a second look.
    pub per_m2_usual_low: Cited<PerArea>,
    /// More than this call for a second look.
    pub per_m2_usual_high: Cited<PerArea>,
    /// Tests on site.
    pub site_tests: SiteTestRule,
    /// Bonding.
    pub bond: BondRule,
    /// Placement.
    pub placement: PlacementRule,
}

/// The design value of the suction.
///
/// ```
/// use quantity::WindPressure;
/// use standards::eota::DESIGN_SUCTION;
/// let s = (DESIGN_SUCTION.function)((1.5, WindPressure::from_kpa(1.05)));
/// assert!((s.as_kpa() - 1.575).abs() < 1e-12);
/// ```
pub static DESIGN_SUCTION: Formula<(f64, WindPressure), WindPressure> = Formula {
    clause: VERIFICATION,
    name: "design suction",
    symbol: "S_d",
    inputs: &[
        symbol("gamma_F", "partial factor on the wind", 1.0, 1.6),
        symbol("w_ek", "characteristic suction", 100.0, 3000.0),
    ],
    expression: "gamma_F * w_ek",
    function: |(gamma, w)| gamma * w,
};

/// What the wall holds: design resistance of one anchor.
pub static WALL_RESISTANCE: Formula<(Force, f64), Force> = Formula {
    clause: unverified(EAD_ANCHOR, "design resistance, N_Rk/gamma_M"),
    name: "design resistance of one anchor in the wall",
    symbol: "r_wall",
    inputs: &[
        symbol("N_Rk", "characteristic pull-out resistance", 300.0, 1500.0),
        symbol("gamma_M", "partial factor", 1.0, 2.5),
    ],
    expression: "N_Rk / gamma_M",
    function: |(n, gamma)| n / gamma,
};

/// What the wall holds where only a permissible load is stated, which holds every safety factor already: it is raised to the level of the
/// design suction, so that no factor counts twice.
pub static WALL_OF_PERMISSIBLE: Formula<(f64, Force), Force> = Formula {
    clause: Clause::project("a permissible load is compared with the characteristic suction"),
    name: "design resistance of one anchor in the wall, from a permissible load",
    symbol: "r_wall",
    inputs: &[
        symbol("gamma_F", "partial factor on the wind", 1.0, 1.6),
        symbol("F_perm", "permissible load", 100.0, 750.0),
    ],
    expression: "gamma_F * F_perm",
    function: |(gamma, f)| gamma * f,
};

/// What the system holds: the pull-through of one anchor, weighed between board field and board joint.
pub static SYSTEM_RESISTANCE: Formula<(f64, Force, Force, f64, f64), Force> = Formula {
    clause: unverified(EAD_KIT, "R_d = (R_panel n_panel + R_joint n_joint)/gamma_M"),
    name: "design pull-through resistance of one anchor",
    symbol: "r_system",
    inputs: &[
        symbol("k", "national reduction", 0.5, 1.0),
        symbol(
            "R_panel",
            "characteristic pull-through in the board's field",
            300.0,
            900.0,
        ),
        symbol(
            "R_joint",
            "characteristic pull-through in a board joint",
            250.0,
            700.0,
        ),
        symbol("s", "share of anchors in joints", 0.0, 1.0),
        symbol("gamma_M", "partial factor", 1.0, 2.5),
    ],
    expression: "k * (R_panel * (1 - s) + R_joint * s) / gamma_M",
    function: |(k, panel, joint, share, gamma)| k * (panel * (1.0 - share) + joint * share) / gamma,
};

/// The smaller of the two.
pub static GOVERNING_RESISTANCE: Formula<(Force, Force), Force> = Formula {
    clause: VERIFICATION,
    name: "governing design resistance of one anchor",
    symbol: "r",
    inputs: &[
        symbol("r_wall", "in the wall", 100.0, 900.0),
        symbol("r_system", "pull-through", 100.0, 900.0),
    ],
    expression: "min(r_wall, r_system)",
    function: |(wall, system)| wall.min(system),
};

/// Anchors needed for the suction.
pub static NEEDED: Formula<(WindPressure, Force), PerArea> = Formula {
    clause: VERIFICATION,
    name: "anchors needed for the suction",
    symbol: "n_S",
    inputs: &[
        symbol("S_d", "design suction", 100.0, 4500.0),
        symbol("r", "governing design resistance", 100.0, 900.0),
    ],
    expression: "S_d / r",
    function: |(s, r)| s / r,
};

/// Whole anchors per square metre, not fewer than the least number. A need within one part in 10^9 of a whole number is that number.
pub static NUMBER: Formula<(PerArea, PerArea), PerArea> = Formula {
    clause: unverified(EAD_KIT, "least number of anchors"),
    name: "anchors per square metre asked for",
    symbol: "n",
    inputs: &[
        symbol("n_S", "needed for the suction", 0.5, 20.0),
        symbol("n_min", "least number", 3.0, 6.0),
    ],
    expression: "max(ceil(n_S * (1 - 1e-9)), n_min)",
    function: |(needed, least)| {
        PerArea::from_per_m2(libm::ceil(needed.as_per_m2() * (1.0 - 1e-9))).max(least)
    },
};

/// Whole anchors for one board.
///
/// ```
/// use quantity::{Area, PerArea};
/// use standards::eota::PER_BOARD;
/// // 5 per square metre on a board of 0.5 square metres: 3, which makes 6.
/// assert_eq!((PER_BOARD.function)((PerArea::from_per_m2(5.0), Area::from_m2(0.5))), 3.0);
/// ```
pub static PER_BOARD: Formula<(PerArea, Area), f64> = Formula {
    clause: Clause::project("whole anchors on a whole board"),
    name: "anchors for one board",
    symbol: "k",
    inputs: &[
        symbol("n", "anchors per square metre asked for", 3.0, 20.0),
        symbol("A_b", "area of a whole board", 0.2, 1.0),
    ],
    expression: "ceil(n * A_b * (1 - 1e-9))",
    function: |(n, area)| libm::ceil(n.as_per_m2() * area.as_m2() * (1.0 - 1e-9)),
};

/// Anchors per square metre provided.
pub static PROVIDED: Formula<(f64, Area), PerArea> = Formula {
    clause: Clause::project("anchors over the area they hold"),
    name: "anchors per square metre provided",
    symbol: "n_prov",
    inputs: &[
        symbol("k", "anchors", 1.0, 500.0),
        symbol("A", "area of boards", 0.2, 100.0),
    ],
    expression: "k / A",
    function: |(k, area)| PerArea::from_per_m2(k / area.as_m2()),
};

/// The design resistance per area.
pub static PROVIDED_RESISTANCE: Formula<(PerArea, Force), WindPressure> = Formula {
    clause: VERIFICATION,
    name: "design resistance per area",
    symbol: "R_d",
    inputs: &[
        symbol("n_prov", "anchors per square metre provided", 2.0, 20.0),
        symbol("r", "governing design resistance", 100.0, 900.0),
    ],
    expression: "n_prov * r",
    function: |(n, r)| n * r,
};

/// The share of anchors in joints.
pub static JOINT_SHARE: Formula<(f64, f64), f64> = Formula {
    clause: Clause::project("anchors in joints over all anchors"),
    name: "share of anchors in board joints",
    symbol: "s",
    inputs: &[
        symbol("k_joint", "anchors in joints", 0.0, 100.0),
        symbol("k", "all anchors", 1.0, 200.0),
    ],
    expression: "k_joint / k",
    function: |(joint, all)| joint / all,
};

/// The least length of an anchor.
///
/// ```
/// use quantity::Length;
/// use standards::eota::LENGTH_NEEDED;
/// let mm = Length::from_mm;
/// let l = (LENGTH_NEEDED.function)((mm(25.0), mm(20.0), mm(10.0), mm(160.0), mm(0.0)));
/// assert!((l.as_mm() - 215.0).abs() < 1e-9);
/// ```
pub static LENGTH_NEEDED: Formula<(Length, Length, Length, Length, Length), Length> = Formula {
    clause: unverified(EAD_ANCHOR, "length, L >= h_ef + t_tol + t_ins"),
    name: "least length of the anchor",
    symbol: "L",
    inputs: &[
        symbol("h_ef", "effective embedment", 0.02, 0.07),
        symbol("t_old", "old render or levelling coat", 0.0, 0.05),
        symbol("t_bed", "adhesive bed", 0.0, 0.03),
        symbol("t_ins", "board", 0.04, 0.3),
        symbol("t_rec", "recess of the plate", 0.0, 0.03),
    ],
    expression: "h_ef + t_old + t_bed + t_ins - t_rec",
    function: |(embedment, old, bed, board, recess)| embedment + old + bed + board - recess,
};

/// How deep the anchor of a stocked length reaches into the base material: its tip lies no nearer than the least embedment, and deeper by
/// what the stocked length is longer than the least one.
///
/// ```
/// use quantity::Length;
/// use standards::eota::REACH;
/// let mm = Length::from_mm;
/// let h = (REACH.function)((mm(195.0), mm(20.0), mm(10.0), mm(5.0), mm(160.0)));
/// assert!((h.as_mm() - 40.0).abs() < 1e-9);
/// ```
pub static REACH: Formula<(Length, Length, Length, Length, Length), Length> = Formula {
    clause: Clause::project("what of the anchor lies in the base material"),
    name: "depth that the anchor reaches in the base material",
    symbol: "h_nom",
    inputs: &[
        symbol("L", "stocked length", 0.1, 0.4),
        symbol("t_rec", "recess of the plate", 0.0, 0.03),
        symbol("t_old", "old render or levelling coat", 0.0, 0.05),
        symbol("t_bed", "adhesive bed", 0.0, 0.03),
        symbol("t_ins", "board", 0.04, 0.3),
    ],
    expression: "L + t_rec - t_old - t_bed - t_ins",
    function: |(length, recess, old, bed, board)| length + recess - old - bed - board,
};

/// The depth of the hole in the base material.
pub static DRILL_DEPTH: Formula<(Length, Length), Length> = Formula {
    clause: unverified(EAD_ANCHOR, "drill depth in the base material"),
    name: "depth of the hole in the base material",
    symbol: "h_1",
    inputs: &[
        symbol("h_nom", "depth that the anchor reaches", 0.02, 0.1),
        symbol("h_add", "beyond the anchor's tip", 0.005, 0.02),
    ],
    expression: "h_nom + h_add",
    function: |(reach, extra)| reach + extra,
};

/// The depth of the hole from the face of the board: what the depth stop is set to.
pub static HOLE_DEPTH: Formula<(Length, Length, Length, Length), Length> = Formula {
    clause: Clause::project("hole through board, bed and old render into the base material"),
    name: "depth of the hole from the board's face",
    symbol: "h_hole",
    inputs: &[
        symbol("h_1", "depth in the base material", 0.03, 0.09),
        symbol("t_old", "old render or levelling coat", 0.0, 0.05),
        symbol("t_bed", "adhesive bed", 0.0, 0.03),
        symbol("t_ins", "board", 0.04, 0.3),
    ],
    expression: "h_1 + t_old + t_bed + t_ins",
    function: |(depth, old, bed, board)| depth + old + bed + board,
};

/// The characteristic resistance from tests on site: a factor on the mean of the smallest, with a cap. The list is of the smallest only.
///
/// ```
/// use quantity::Force;
/// use standards::eota::SITE_RESISTANCE;
/// use working::List;
/// let kn = |list: &[f64]| List(list.iter().map(|&f| Force::from_kn(f)).collect());
/// let n = (SITE_RESISTANCE.function)((0.6, kn(&[1.6, 1.7, 1.8, 1.9, 1.9]), Force::from_kn(1.5)));
/// assert!((n.as_kn() - 1.068).abs() < 1e-12);
/// ```
pub static SITE_RESISTANCE: Formula<(f64, List<Force>, Force), Force> = Formula {
    clause: unverified(TR_051, "N_Rk1 = 0.6 N_1 <= 1.5 kN"),
    name: "characteristic resistance from tests on site",
    symbol: "N_Rk1",
    inputs: &[
        symbol("f", "factor", 0.5, 0.6),
        symbol("N_i", "the smallest ultimate loads", 500.0, 3000.0),
        symbol("N_max", "cap", 1000.0, 1500.0),
    ],
    expression: "min(f * mean(N_i), N_max)",
    function: |(factor, list, cap)| {
        let sum: f64 = list.0.iter().map(|f| f.as_n()).sum();
        let mean = sum / list.0.len() as f64;
        Force::from_n(libm::fmin(factor * mean, cap.as_n()))
    },
};

/// The least bonded share from the strength of the bond between adhesive and board.
///
/// ```
/// use quantity::Stress;
/// use standards::eota::BONDED_SHARE;
/// let share = (BONDED_SHARE.function)((Stress::from_mpa(0.03), Stress::from_mpa(0.08), 0.2));
/// assert!((share - 0.375).abs() < 1e-12);
/// ```
pub static BONDED_SHARE: Formula<(Stress, Stress, f64), f64> = Formula {
    clause: BOND,
    name: "least bonded share",
    symbol: "S",
    inputs: &[
        symbol(
            "f_need",
            "strength needed over the whole board",
            20_000.0,
            40_000.0,
        ),
        symbol("B", "mean bond strength, dry", 50_000.0, 250_000.0),
        symbol("S_0", "floor", 0.1, 0.4),
    ],
    expression: "max(f_need / B, S_0)",
    function: |(need, strength, floor)| libm::fmax(need / strength, floor),
};

/// The bonded share to be provided: the greatest that is asked for.
pub static GREATEST_SHARE: Formula<(List<f64>,), f64> = Formula {
    clause: Clause::project("the greatest bonded share that strength, practice or board asks for"),
    name: "bonded share to be provided",
    symbol: "S",
    inputs: &[symbol("S_i", "shares asked for", 0.1, 1.0)],
    expression: "max(S_i)",
    function: |(shares,)| shares.0.iter().copied().fold(f64::NEG_INFINITY, libm::fmax),
};

/// The design strength of the bond: the weaker of bond and substrate.
pub static BOND_RESISTANCE: Formula<(Stress, Stress, f64), Stress> = Formula {
    clause: Clause::project("the weaker of bond and substrate over its partial factor"),
    name: "design strength of the bond",
    symbol: "f_d",
    inputs: &[
        symbol("B", "mean bond strength, dry", 50_000.0, 250_000.0),
        symbol(
            "f_sub",
            "pull-off strength of the substrate",
            50_000.0,
            500_000.0,
        ),
        symbol("gamma_M", "partial factor", 1.0, 4.0),
    ],
    expression: "min(B, f_sub) / gamma_M",
    function: |(bond, substrate, gamma)| bond.min(substrate) / gamma,
};

/// Tension in the bond from suction.
pub static BOND_TENSION: Formula<(WindPressure, f64), Stress> = Formula {
    clause: Clause::project("design suction over the bonded share"),
    name: "tension in the bond",
    symbol: "sigma_d",
    inputs: &[
        symbol("S_d", "design suction", 100.0, 4500.0),
        symbol("S", "bonded share", 0.2, 1.0),
    ],
    expression: "S_d / S",
    function: |(s, share)| Stress::from_pa(s.as_pa() / share),
};

/// Shear in the bond from the weight of the system.
pub static BOND_SHEAR: Formula<(f64, AreaMass, Acceleration, f64), Stress> = Formula {
    clause: Clause::project("weight of the system over the bonded share"),
    name: "shear in the bond",
    symbol: "tau_d",
    inputs: &[
        symbol("gamma_G", "partial factor on dead load", 1.0, 1.4),
        symbol("m", "mass of the system", 5.0, 65.0),
        symbol("g", "acceleration of free fall", 9.80, 9.82),
        symbol("S", "bonded share", 0.2, 1.0),
    ],
    expression: "gamma_G * m * g / S",
    function: |(gamma, mass, g, share)| Stress::from_pa(gamma * (mass * g).as_pa() / share),
};
