//! The demo surveys answered with drawings.

use api::v1;
use client::Estimator;

use crate::drawing_paper::{Paper, lawful};
use crate::surveyed;

/// The request of a survey for its drawings, and for the setting-out beside them.
pub fn request(name: &str) -> v1::EstimateRequest {
    surveyed::request(
        name,
        v1::Include {
            setting_out: true,
            working: false,
            drawings: true,
            rule_costs: false,
        },
    )
}

pub fn answer(request: v1::EstimateRequest) -> v1::EstimateResponse {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let name = request.reference.clone();
    here.estimate(request)
        .unwrap_or_else(|r| panic!("{name}: {} {:?}", r.summary, r.faults))
}

/// The sheets whose names hold `part`, read back.
pub fn sheets(answer: &v1::EstimateResponse, part: &str) -> Vec<Paper> {
    let mine = answer.drawings.iter().filter(|d| d.name.contains(part));
    mine.map(|d| lawful(&d.svg)).collect()
}
