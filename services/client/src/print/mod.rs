//! Answers and refusals for people: a site foreman's words, aligned, findings first, at most 120 columns.

mod catalogue;
mod fixing;
mod kit;
pub(crate) mod physics;
mod refusal;
mod said;
mod sheet;
mod table;
mod thermal;

use api::v1;

pub(crate) use catalogue::{article, check, listing};
pub(crate) use refusal::{no_survey, refused};

use said::{assumptions, findings, head, provenance};

/// The whole job.
pub(crate) fn estimate(answer: &v1::EstimateResponse) -> String {
    let mut out = String::new();
    head(
        &mut out,
        "ESTIMATE",
        &answer.reference,
        answer.system.as_ref(),
    );
    findings(&mut out, &answer.findings);
    if let Some(part) = &answer.thermal {
        thermal::print(&mut out, part);
    }
    if let Some(part) = &answer.fixing {
        fixing::print(&mut out, part);
    }
    if let Some(layout) = &answer.layout {
        kit::boards(&mut out, layout);
    }
    if let Some(kit) = &answer.kit {
        kit::order(&mut out, kit);
    }
    assumptions(&mut out, &answer.assumptions);
    sheet::print(&mut out, answer.sheet.as_ref());
    provenance(&mut out, answer.provenance.as_ref());
    out
}

/// Boards and order list.
pub(crate) fn takeoff(answer: &v1::TakeOffResponse) -> String {
    let mut out = String::new();
    head(
        &mut out,
        "TAKEOFF",
        &answer.reference,
        answer.system.as_ref(),
    );
    findings(&mut out, &answer.findings);
    if let Some(layout) = &answer.layout {
        kit::boards(&mut out, layout);
    }
    if let Some(kit) = &answer.kit {
        kit::order(&mut out, kit);
    }
    assumptions(&mut out, &answer.assumptions);
    sheet::print(&mut out, answer.sheet.as_ref());
    provenance(&mut out, answer.provenance.as_ref());
    out
}

/// Thickness, transmittance, moisture.
pub(crate) fn thermal(answer: &v1::AssessResponse) -> String {
    let mut out = String::new();
    head(
        &mut out,
        "THERMAL ASSESSMENT",
        &answer.reference,
        answer.system.as_ref(),
    );
    findings(&mut out, &answer.findings);
    if let Some(part) = &answer.thermal {
        thermal::print(&mut out, part);
    }
    assumptions(&mut out, &answer.assumptions);
    sheet::print(&mut out, answer.sheet.as_ref());
    provenance(&mut out, answer.provenance.as_ref());
    out
}

/// Wind, anchors, bond.
pub(crate) fn fixing(answer: &v1::DesignResponse) -> String {
    let mut out = String::new();
    head(
        &mut out,
        "FIXING DESIGN",
        &answer.reference,
        answer.system.as_ref(),
    );
    findings(&mut out, &answer.findings);
    if let Some(part) = &answer.fixing {
        fixing::print(&mut out, part);
    }
    assumptions(&mut out, &answer.assumptions);
    sheet::print(&mut out, answer.sheet.as_ref());
    provenance(&mut out, answer.provenance.as_ref());
    out
}
