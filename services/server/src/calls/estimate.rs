//! The whole job.

use api::v1;
use working::Halt;

use crate::refused::Refused;
use crate::snapshot::Snapshot;
use crate::{from_proto, to_proto};

/// The whole job.
///
/// # Errors
/// The request has faults, names what is not there, or asks for parts that do not go together; every fault at once.
pub fn estimate(
    wire: &v1::EstimateRequest,
    snapshot: &Snapshot,
    halt: Halt<'_>,
) -> Result<v1::EstimateResponse, Refused> {
    let (job, branch) = super::resolved(from_proto::estimate(wire), snapshot)?;
    let (stock, rules) = (&branch.assortment, snapshot.rules());
    let answer = super::answered(&job, stock, rules, halt)?;
    let provenance = to_proto::provenance(&answer.standards, stock, rules);
    Ok(to_proto::estimate(&answer, job.request.include, provenance))
}
