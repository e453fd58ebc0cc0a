//! A refusal, whether it came over the wire or from the same calls in this process.

use server::Refused;
use tonic::{Code, Status};
use tonic_types::StatusExt as _;
use working::Fault;

/// One fault with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The field.
    pub path: String,
    /// The code.
    pub reason: String,
    /// What was found and what was expected.
    pub text: String,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// The reason by its name on the wire; `UNREACHABLE` where there was no server.
    pub reason: String,
    /// One line.
    pub summary: String,
    /// Every fault.
    pub faults: Vec<Told>,
}

impl From<&Fault> for Told {
    fn from(fault: &Fault) -> Self {
        Self {
            path: fault.path.clone(),
            reason: fault.reason.to_owned(),
            text: format!("found {}, expected {}", fault.found, fault.expected),
        }
    }
}

impl Refusal {
    /// Faults of a survey file for which nothing was estimated: its own, and those of the names in what could be read of it.
    pub fn of_faults(faults: &[Told]) -> Self {
        Self {
            reason: "BAD_REQUEST".to_owned(),
            summary: "the survey has faults".to_owned(),
            faults: faults.to_vec(),
        }
    }
}

impl From<Refused> for Refusal {
    fn from(refused: Refused) -> Self {
        Self {
            reason: refused.reason().to_owned(),
            summary: refused.summary(),
            faults: refused.faults().iter().map(Told::from).collect(),
        }
    }
}

impl From<Status> for Refusal {
    fn from(status: Status) -> Self {
        let details = status.get_error_details();
        let reason = details.error_info().map(|info| info.reason.clone());
        let reason = reason.unwrap_or_else(|| match status.code() {
            Code::Unavailable => "UNREACHABLE".to_owned(),
            code => format!("{code:?}").to_uppercase(),
        });
        let violations = details
            .bad_request()
            .map_or(&[][..], |b| &b.field_violations);
        Self {
            reason,
            summary: status.message().to_owned(),
            faults: violations
                .iter()
                .map(|v| Told {
                    path: v.field.clone(),
                    reason: v.reason.clone(),
                    text: v.description.clone(),
                })
                .collect(),
        }
    }
}
