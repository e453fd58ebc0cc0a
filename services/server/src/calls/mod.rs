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

use std::collections::BTreeSet;

use ::catalogue::Assembly;
use ::estimate::{Estimate, Refusal, Request};
use material::Assortment;
use rules::RuleBook;
use working::{Fault, Halt};

use crate::from_proto::{Job, Unsound};
use crate::nearest::nearest;
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
            names.extend(in_every_branch(request, snapshot));
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

/// The answer to a job, or why there is none by the fields of its request.
fn answered(
    job: &Job,
    stock: &Assortment,
    rules: &RuleBook,
    halt: Halt<'_>,
) -> Result<Estimate, Refused> {
    ::estimate::estimate_unless(&job.request, stock, rules, halt).map_err(|refusal| {
        let faults = job.told.named(refusal.faults);
        Refused::from(Refusal { faults, ..refusal })
    })
}

/// What is wrong with a request whichever branch was meant: a system that none has, and what every branch would say in the same words.
/// Nothing where a catalogue is faulty, because that may be the one meant.
fn in_every_branch(request: &Request, snapshot: &Snapshot) -> Vec<Fault> {
    if !snapshot.faults().is_empty() {
        return Vec::new();
    }
    let sound = snapshot
        .names()
        .filter_map(|name| snapshot.branch(name).ok());
    let stocks: Vec<&Assortment> = sound.map(|branch| &branch.assortment).collect();
    let systems: BTreeSet<&str> = stocks
        .iter()
        .flat_map(|stock| stock.systems.keys().map(String::as_str))
        .collect();
    if !request.system.is_empty() && !systems.contains(request.system.as_str()) {
        return vec![unknown_system(&request.system, &systems)];
    }
    let mut each = stocks
        .iter()
        .map(|stock| ::estimate::unknown(request, stock, snapshot.rules()));
    let of_rules = ::estimate::unknown_rules(request, snapshot.rules());
    let first = each.next().unwrap_or_default();
    let common = each.fold(first, |mut common, faults| {
        common.retain(|fault| faults.contains(fault));
        common
    });
    let is_new = |fault: &Fault| !of_rules.contains(fault);
    common.into_iter().filter(is_new).collect()
}

/// A system that no branch has.
fn unknown_system(name: &str, systems: &BTreeSet<&str>) -> Fault {
    let near = nearest(name, systems.iter().copied());
    let expected = if near.is_empty() {
        let all: Vec<&str> = systems.iter().copied().collect();
        format!("a system of one of the branches: {}", all.join(", "))
    } else {
        format!(
            "a system of one of the branches; nearest: {}",
            near.join(", ")
        )
    };
    let name: String = name.chars().take(80).collect();
    Fault {
        path: String::from("system"),
        reason: "UNKNOWN_SYSTEM",
        found: format!("`{name}`, which no branch has"),
        expected,
    }
}
