//! The calls, each a plain function of the same five lines: parse, resolve, compute, explain, encode.
//!
//! They know neither socket nor clock: the server's shell and the command line without a server both end here. Those that can take long are
//! given a [`working::Halt`]; halted, they are refused as late.

mod assess;
mod catalogue;
mod design;
mod estimate;
mod physics;
mod take_off;

pub use assess::assess;
pub use catalogue::{check, get_article, list_articles, list_systems};
pub use design::design;
pub use estimate::estimate;
pub(crate) use physics::Said;
pub use physics::{bridge, drying, dynamics, economy, list_details, saving, wall};
pub use take_off::take_off;

use ::catalogue::Assembly;

use crate::from_proto::{Job, Unsound};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// A job with the catalogue of its branch. Where values of it are bad, the names that stand for nothing are told beside them.
fn resolved(
    read: Result<Job, Box<Unsound>>,
    snapshot: &Snapshot,
) -> Result<(Job, &Assembly), Refused> {
    let unsound = match read {
        Ok(job) => {
            if let Ok(branch) = snapshot.branch(&job.branch) {
                return Ok((job, branch));
            }
            let faults = Vec::new();
            Box::new(Unsound { job, faults })
        }
        Err(unsound) => unsound,
    };
    let request = &unsound.job.request;
    let names = match snapshot.branch(&unsound.job.branch) {
        Ok(branch) => ::estimate::unknown(request, &branch.assortment, snapshot.rules()),
        // Rule data do not depend on the branch.
        Err(refused) => {
            let mut names = refused.faults().to_vec();
            names.extend(::estimate::unknown_rules(request, snapshot.rules()));
            names
        }
    };
    let only_names = unsound.faults.is_empty();
    let faults = unsound.with(names);
    Err(if only_names {
        Refused::UnknownName(faults)
    } else {
        Refused::BadRequest(faults)
    })
}
