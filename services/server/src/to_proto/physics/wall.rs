//! The answer for a wall of the caller's own.

use api::v1;
use estimate::{Moisture, WallLayer};
use quantity::Rounding;
use thermal::{Correction, CorrectionOf, Transmittances};

use super::super::common::{assumptions, drawings, findings};
use super::super::{sheet, thermal as parts};
use crate::calls::Said;

/// The wall.
pub fn wall(
    wire: &v1::WallRequest,
    of: &Transmittances,
    layers: &[WallLayer],
    moisture: Option<&Moisture>,
    said: Said,
) -> v1::WallResponse {
    let correction = |c: &Correction| v1::WallCorrection {
        name: match &c.of {
            CorrectionOf::Voids => "air voids".to_owned(),
            CorrectionOf::Fasteners => "fasteners".to_owned(),
            CorrectionOf::Anchors => "anchors".to_owned(),
            CorrectionOf::Linear(name) => name.clone(),
        },
        added_w_per_m2k: c.value.value.as_w_per_m2k(),
    };
    v1::WallResponse {
        reference: wire.reference.clone(),
        provenance: Some(said.provenance),
        findings: findings(&said.findings),
        assumptions: assumptions(&said.assumptions),
        u_w_per_m2k: of.u.value.as_w_per_m2k(),
        u_corrected_w_per_m2k: of.u_corrected.value.as_w_per_m2k(),
        u_rounded_w_per_m2k: of.rounded(Rounding::Significant(2)).as_w_per_m2k(),
        resistance_m2k_per_w: of.total.value.as_m2k_per_w(),
        combined: of.combined.map(|c| v1::CombinedMethod {
            upper_m2k_per_w: c.upper.value.as_m2k_per_w(),
            lower_m2k_per_w: c.lower.value.as_m2k_per_w(),
            error_share: c.relative_error.value,
        }),
        corrections: of.corrections.iter().map(correction).collect(),
        corrections_dropped: of.dropped,
        layers: layers.iter().map(parts::layer).collect(),
        moisture: moisture.map(parts::moisture),
        drawings: drawings(&said.drawings),
        sheet: sheet::asked_for(&said.sheet, said.include),
    }
}
