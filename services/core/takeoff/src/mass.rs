//! Mass per square metre, and whether the kit lies in the scope of the draft product standard.

use alloc::string::String;
use alloc::vec::Vec;

use material::{Finish, Mesh, Mortar, Primer};
use quantity::{AreaMass, Length, Mass};
use standards::en_17237;
use working::{Check, Clause, Figure, Limit, Origin, Severity};

use crate::coats::Coats;
use crate::formulas::{AREA_SUM, LAYER_MASS, MASS_PER_AREA, MASS_SUM, MEAN_MASS};
use crate::job::Job;
use crate::order::Order;
use crate::survey::Survey;

/// Where the limits were read: the scope of a draft, to be verified against the final text.
pub const SCOPE: Clause = en_17237::SCOPE;
/// Greatest mass of the rendering in scope, for kits with adhesive.
pub const RENDERING_MAX: AreaMass = en_17237::WITH_ADHESIVE.render;
/// Greatest mass of rendering and insulation in scope, for kits with adhesive.
pub const RENDERING_AND_INSULATION_MAX: AreaMass = en_17237::WITH_ADHESIVE.whole;

/// Whether the masses lie in the draft's scope.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// Both do.
    Inside,
    /// One does not.
    Outside,
}

/// The masses that the wall carries, as mean values of dry mortar and finish as delivered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassPerArea {
    /// Boards.
    pub insulation: AreaMass,
    /// Bonding mortar.
    pub adhesive: AreaMass,
    /// Base coat, mesh, primer and finish.
    pub rendering: AreaMass,
    /// All together.
    pub total: AreaMass,
    /// Against the draft's limits.
    pub scope: Scope,
}

/// What base coat, mesh, primer and finish weigh on a square metre, mortar counted dry and primer and finish as delivered: the mass that
/// the wall's bond carries and that the scope of the product standard limits.
pub fn rendering(
    base_coat: &Mortar,
    thickness: Length,
    mesh: &Mesh,
    primer: &Primer,
    finish: &Finish,
) -> AreaMass {
    let usage = base_coat.base_coat;
    let coat = usage.map_or(AreaMass::ZERO, |b| b.per_mm * thickness.as_mm());
    coat + mesh.per_area + primer.per_area + finish.per_area
}

/// The mass per square metre of the facade.
pub(crate) fn mass_per_area(
    job: &Job,
    survey: &Survey,
    coats: &Coats,
    order: &mut Order,
) -> MassPerArea {
    order.sheet.section("Mass per square metre");
    let board = job.parts.board;
    let from = |key| Origin::catalogue(board.article.key.as_str(), key);
    let rho = order
        .sheet
        .given("rho", board.density, from("density-kg-per-m3"));
    let d = order.sheet.given(
        "d",
        job.thickness.to_length(),
        Origin::request("thickness_mm"),
    );
    let insulation = order.sheet.derive("insulation", &LAYER_MASS, (rho, d));
    let sum = |order: &mut Order, areas: Vec<Figure<quantity::Area>>| {
        order.sheet.derive("A", &AREA_SUM, (areas.as_slice(),))
    };
    let net = sum(order, survey.facades.iter().map(|f| f.areas.net).collect());
    let coated = sum(
        order,
        survey.facades.iter().map(|f| f.areas.coated).collect(),
    );
    let finished = sum(order, survey.facades.iter().map(|f| f.finished).collect());
    let mean = |order: &mut Order, name: &'static str, parts: &[(String, Figure<Mass>)], area| {
        let figures: Vec<Figure<Mass>> = parts.iter().map(|(_, f)| *f).collect();
        let mass = order.sheet.derive(name, &MASS_SUM, (figures.as_slice(),));
        order.sheet.derive(name, &MEAN_MASS, (mass, area))
    };
    let adhesive = mean(order, "bonding mortar", &coats.bonding, net);
    let base_coat = mean(order, "base coat", &coats.base_coat, coated);
    let primer = mean(order, "primer", &coats.primer, finished);
    let finish = mean(order, "finish", &coats.finish, finished);
    let mesh = job.parts.mesh;
    let origin = Origin::catalogue(mesh.article.key.as_str(), "mass-g-per-m2");
    let mesh = order.sheet.given("mesh", mesh.per_area, origin);
    let mut together = |name: &'static str, layers: &[Figure<AreaMass>]| {
        order.sheet.derive(name, &MASS_PER_AREA, (layers,))
    };
    let rendering = together("rendering", &[base_coat, mesh, primer, finish]);
    let hung = together("rendering and insulation", &[rendering, insulation]);
    let total = together("whole system", &[adhesive, hung]);
    let scope = scope(rendering, hung, order);
    MassPerArea {
        insulation: insulation.value,
        adhesive: adhesive.value,
        rendering: rendering.value,
        total: total.value,
        scope,
    }
}

/// Compares both masses with the draft's limits.
fn scope(rendering: Figure<AreaMass>, hung: Figure<AreaMass>, order: &mut Order) -> Scope {
    let mut found = Scope::Inside;
    for (name, figure, limit) in [
        ("mass of the rendering", rendering, RENDERING_MAX),
        (
            "mass of rendering and insulation",
            hung,
            RENDERING_AND_INSULATION_MAX,
        ),
    ] {
        let limit = order.sheet.given("limit", limit, Origin::Table(SCOPE));
        let verdict = order.sheet.check(Check {
            name: name.into(),
            clause: SCOPE,
            figure,
            limit,
            side: Limit::AtMost,
        });
        if verdict.holds {
            continue;
        }
        found = Scope::Outside;
        order.find(
            "MASS_OUTSIDE_SCOPE",
            Severity::Caution,
            "",
            alloc::format!(
                "{name} is {:.1} kg/m2, above {:.0} kg/m2: outside the scope of the draft product standard, so that the system's own assessment must cover it; verify against the final text",
                figure.value.as_kg_per_m2(),
                limit.value.as_kg_per_m2()
            ),
            SCOPE.document,
        );
    }
    found
}
