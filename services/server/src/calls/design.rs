//! Wind suction, anchors, bond.

use api::v1;
use working::Halt;

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
    halt: Halt<'_>,
) -> Result<v1::DesignResponse, Refused> {
    let (job, branch) = super::resolved(from_proto::design(wire), snapshot)?;
    let (stock, rules) = (&branch.assortment, snapshot.rules());
    let answer = super::answered(&job, stock, rules, halt)?;
    let provenance = to_proto::provenance(&answer.standards, stock, rules);
    Ok(to_proto::design(&answer, job.request.include, provenance))
}
