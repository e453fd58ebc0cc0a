//! Wind suction, anchors, bond.

use api::v1;

use crate::refused::Refused;
use crate::snapshot::Snapshot;
use crate::{from_proto, to_proto};

/// Wind suction, anchors, bond.
///
/// # Errors
/// The request has faults, names what is not there, or asks for parts that do not go together; every fault at once.
pub fn design(
    wire: &v1::DesignRequest,
    snapshot: &Snapshot,
) -> Result<v1::DesignResponse, Refused> {
    let (job, branch) = super::resolved(from_proto::design(wire), snapshot)?;
    let answer = estimate::estimate(&job.request, &branch.assortment, snapshot.rules())?;
    let provenance = to_proto::provenance(&answer.standards, &branch.assortment, snapshot.rules());
    Ok(to_proto::design(&answer, job.request.include, provenance))
}
