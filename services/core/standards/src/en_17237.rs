//! prEN 17237:2018, external thermal insulation composite systems with render: the masses for which the product standard is written.

use quantity::AreaMass;
use working::{AnyFormula, Clause, Formula, Standing, Symbol};

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[&MASS];

/// The document.
pub const DOCUMENT: &str = "prEN 17237:2018 (draft)";

/// Where the limits of mass stand (read in a public catalogue page of the draft; not verified against the final text).
pub const SCOPE: Clause = Clause {
    document: DOCUMENT,
    clause: "1, scope",
    standing: Standing::Unverified,
};

/// The greatest masses for which the document is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassLimits {
    /// Rendering.
    pub render: AreaMass,
    /// Rendering and insulation.
    pub whole: AreaMass,
}

/// Systems with adhesive under the boards.
pub const WITH_ADHESIVE: MassLimits = MassLimits {
    render: AreaMass::from_kg_per_m2(40.0),
    whole: AreaMass::from_kg_per_m2(65.0),
};
/// Systems without adhesive.
pub const WITHOUT_ADHESIVE: MassLimits = MassLimits {
    render: AreaMass::from_kg_per_m2(30.0),
    whole: AreaMass::from_kg_per_m2(60.0),
};

/// The mass of render and insulation.
pub static MASS: Formula<(AreaMass, AreaMass), AreaMass> = Formula {
    clause: SCOPE,
    name: "mass of render and insulation",
    symbol: "m",
    inputs: &[
        Symbol {
            name: "m_render",
            meaning: "mass of the render",
            range: (3.0, 60.0),
        },
        Symbol {
            name: "m_ins",
            meaning: "mass of the insulation",
            range: (1.0, 40.0),
        },
    ],
    expression: "m_render + m_ins",
    function: |(render, insulation)| render + insulation,
};
