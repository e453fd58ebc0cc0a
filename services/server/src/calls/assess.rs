//! Thickness, transmittance, moisture.

use api::v1;
use working::Halt;

use crate::refused::Refused;
use crate::snapshot::Snapshot;
use crate::{from_proto, to_proto};

/// Thickness, transmittance, moisture.
///
/// # Errors
/// The request has faults, names what is not there, or asks for parts that do not go together; every fault at once.
pub fn assess(
    wire: &v1::AssessRequest,
    snapshot: &Snapshot,
    halt: Halt<'_>,
) -> Result<v1::AssessResponse, Refused> {
    let (job, branch) = super::resolved(from_proto::assess(wire), snapshot)?;
    let (stock, rules) = (&branch.assortment, snapshot.rules());
    let answer = super::answered(&job, stock, rules, halt)?;
    let provenance = to_proto::provenance(&answer.standards, stock, rules);
    Ok(to_proto::assess(&answer, job.request.include, provenance))
}
