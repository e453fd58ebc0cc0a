//! Domain to wire, by hand and field by field. Lists keep the order the engine gave them, so that the same answer is the same bytes.

mod catalogue;
mod common;
mod fixing;
pub mod physics;
mod property;
mod sheet;
mod takeoff;
mod thermal;

use api::v1;
use estimate::{Estimate, Include};

pub use catalogue::{article, check, listing, systems};
pub use common::provenance;

use common::{assumptions, drawings, findings};

/// The whole answer.
pub fn estimate(
    answer: &Estimate,
    include: Include,
    provenance: v1::Provenance,
) -> v1::EstimateResponse {
    v1::EstimateResponse {
        reference: answer.reference.clone(),
        provenance: Some(provenance),
        findings: findings(&answer.findings),
        assumptions: assumptions(&answer.assumptions),
        system: Some(thermal::chosen(&answer.system)),
        thermal: Some(thermal::part(&answer.thermal)),
        fixing: Some(fixing::part(&answer.fixing)),
        layout: Some(takeoff::layout(&answer.layout)),
        kit: Some(takeoff::kit(&answer.kit)),
        drawings: [drawings(&answer.wall_drawings), drawings(&answer.drawings)].concat(),
        sheet: sheet::asked_for(&answer.sheet, include),
    }
}

/// Boards and kit.
pub fn take_off(
    answer: &Estimate,
    include: Include,
    provenance: v1::Provenance,
) -> v1::TakeOffResponse {
    v1::TakeOffResponse {
        reference: answer.reference.clone(),
        provenance: Some(provenance),
        findings: findings(&answer.findings),
        assumptions: assumptions(&without_climate(answer)),
        system: Some(thermal::chosen(&answer.system)),
        layout: Some(takeoff::layout(&answer.layout)),
        kit: Some(takeoff::kit(&answer.kit)),
        drawings: drawings(&answer.drawings),
        sheet: sheet::asked_for(&answer.sheet, include),
    }
}

/// The thermal assessment.
pub fn assess(
    answer: &Estimate,
    include: Include,
    provenance: v1::Provenance,
) -> v1::AssessResponse {
    v1::AssessResponse {
        reference: answer.reference.clone(),
        provenance: Some(provenance),
        findings: findings(&answer.findings),
        assumptions: assumptions(&answer.assumptions),
        system: Some(thermal::chosen(&answer.system)),
        thermal: Some(thermal::part(&answer.thermal)),
        drawings: drawings(&answer.wall_drawings),
        sheet: sheet::asked_for(&answer.sheet, include),
    }
}

/// The fixing design.
pub fn design(
    answer: &Estimate,
    include: Include,
    provenance: v1::Provenance,
) -> v1::DesignResponse {
    v1::DesignResponse {
        reference: answer.reference.clone(),
        provenance: Some(provenance),
        findings: findings(&answer.findings),
        assumptions: assumptions(&without_climate(answer)),
        system: Some(thermal::chosen(&answer.system)),
        fixing: Some(fixing::part(&answer.fixing)),
        drawings: drawings(&answer.drawings),
        sheet: sheet::asked_for(&answer.sheet, include),
    }
}

/// What was assumed, without the climate: the moisture of the wall is no part of these answers.
fn without_climate(answer: &Estimate) -> Vec<facade::Assumption> {
    let all = answer.assumptions.iter();
    let told = all.filter(|assumed| !assumed.path.starts_with("climate."));
    told.cloned().collect()
}
