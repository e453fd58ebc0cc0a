//! Setting-out and quantities.

use api::v1;
use working::Halt;

use crate::refused::Refused;
use crate::snapshot::Snapshot;
use crate::{from_proto, to_proto};

/// Setting-out and quantities.
///
/// # Errors
/// The request has faults, names what is not there, or asks for parts that do not go together; every fault at once.
pub fn take_off(
    wire: &v1::TakeOffRequest,
    snapshot: &Snapshot,
    halt: Halt<'_>,
) -> Result<v1::TakeOffResponse, Refused> {
    let (job, branch) = super::resolved(from_proto::take_off(wire), snapshot)?;
    let (stock, rules) = (&branch.assortment, snapshot.rules());
    let answer = super::answered(&job, stock, rules, halt)?;
    let provenance = to_proto::provenance(&answer.standards, stock, rules);
    Ok(to_proto::take_off(&answer, job.request.include, provenance))
}
