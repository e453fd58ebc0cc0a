//! The only file that makes a gRPC status. Reasons and codes are contract; they are told in `proto/etics/v1/common.proto`.

use std::time::Duration;

use tonic::{Code, Status};
use tonic_types::{ErrorDetails, FieldViolation, PreconditionViolation, StatusExt as _};
use working::Fault;

use crate::refused::Refused;

/// The domain of every reason.
const DOMAIN: &str = "etics.v1";

/// When a refused caller may try again.
const RETRY_AFTER: Duration = Duration::from_millis(500);

/// Faults beyond this are counted in the message but not sent, so that the list can be read.
const MOST_VIOLATIONS: usize = 40;

/// The most bytes of message and details as they are sent. Clients take 8 KiB of trailers unless they are told otherwise, and lose the whole
/// status where there is more; what is left carries the names of the trailers and what stands beside them.
const MOST_BYTES: usize = 7 << 10;

/// The most bytes of the message alone.
const MOST_MESSAGE: usize = 1 << 10;

/// The status of a refusal, with its details and as many of its faults as a client takes; the others are counted.
pub fn status(refused: &Refused) -> Status {
    let most = refused.faults().len().min(MOST_VIOLATIONS);
    let mut fewer = (2..=most).rev().map(|sent| with_faults(refused, sent));
    let found = fewer.find(|status| sent_bytes(status) <= MOST_BYTES);
    found.unwrap_or_else(|| with_faults(refused, 1))
}

/// Bytes of message and details in the trailers: the first in percent encoding, the second in base 64.
fn sent_bytes(status: &Status) -> usize {
    let message: usize = status.message().chars().map(sent_char).sum();
    message + status.details().len().div_ceil(3) * 4
}

/// Bytes of a character in percent encoding, where punctuation may be encoded too.
fn sent_char(c: char) -> usize {
    if c.is_ascii_alphanumeric() {
        1
    } else {
        3 * c.len_utf8()
    }
}

/// The status with the first of its faults.
fn with_faults(refused: &Refused, sent: usize) -> Status {
    let mut details = ErrorDetails::with_error_info(refused.reason(), DOMAIN, []);
    let code = match refused {
        Refused::BadRequest(faults) => {
            details.set_bad_request(violations(faults, sent));
            Code::InvalidArgument
        }
        Refused::UnknownName(faults) => {
            details.set_bad_request(violations(faults, sent));
            let unknown = faults.iter().find(|f| f.reason.starts_with("UNKNOWN_"));
            if let Some(fault) = unknown.or(faults.first()) {
                let name = short(fault.found.trim_matches('`'));
                details.set_resource_info(kind_of(&fault.path), name, "", short(&fault.expected));
            }
            Code::NotFound
        }
        Refused::PartsDoNotFit(faults) => {
            details.set_bad_request(violations(faults, sent));
            details.set_precondition_failure(preconditions(faults, sent));
            Code::FailedPrecondition
        }
        Refused::MessageTooLarge | Refused::AnswerTooLarge { .. } => Code::ResourceExhausted,
        Refused::Overloaded => {
            details.set_retry_info(Some(RETRY_AFTER));
            Code::ResourceExhausted
        }
        Refused::DeadlineExceeded => Code::DeadlineExceeded,
        Refused::ShuttingDown => {
            details.set_retry_info(Some(RETRY_AFTER));
            Code::Unavailable
        }
        Refused::Internal(_) => Code::Internal,
    };
    Status::with_error_details(code, message(&refused.summary()), details)
}

/// A line for people, as long as a header takes it.
fn message(summary: &str) -> String {
    let line = short(summary);
    let mut bytes = 0;
    let fits = |c: &char| {
        bytes += sent_char(*c);
        bytes <= MOST_MESSAGE
    };
    line.chars().take_while(fits).collect()
}

fn violations(faults: &[Fault], sent: usize) -> Vec<FieldViolation> {
    let first = faults.iter().take(sent);
    let mut list: Vec<FieldViolation> = first
        .map(|f| FieldViolation {
            field: short(&f.path),
            description: told(f),
            reason: f.reason.to_owned(),
            localized_message: None,
        })
        .collect();
    if let Some(beyond) = faults.len().checked_sub(sent).filter(|n| *n > 0) {
        list.push(FieldViolation {
            field: String::new(),
            description: format!(
                "found {beyond} further faults, expected the faults above mended first"
            ),
            reason: "TOO_MANY_FAULTS".to_owned(),
            localized_message: None,
        });
    }
    list
}

fn preconditions(faults: &[Fault], sent: usize) -> Vec<PreconditionViolation> {
    let first = faults.iter().take(sent);
    first
        .map(|f| PreconditionViolation {
            r#type: f.reason.to_owned(),
            subject: short(&f.path),
            description: told(f),
        })
        .collect()
}

/// The last name of a field path: what kind of thing was named there.
fn kind_of(path: &str) -> &str {
    let last = path.rsplit('.').next().unwrap_or(path);
    last.split('[').next().unwrap_or(last)
}

/// What was found and what was expected. Where both do not fit, what was found is cut first: the caller has it.
fn told(fault: &Fault) -> String {
    let expected = short(&fault.expected);
    let room = MOST.saturating_sub(expected.chars().count()).max(MOST / 4);
    format!("found {}, expected {expected}", cut(&fault.found, room))
}

/// The most characters of a text in a header.
const MOST: usize = 300;

/// A text that a caller may have had a hand in, cut to what a header may carry.
fn short(text: &str) -> String {
    cut(text, MOST)
}

fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most).chain("...".chars()).collect()
}

/// The response of a refusal, in place of one that the transport got wrong.
pub(crate) fn mended<B: Default>(refused: &Refused) -> http::Response<B> {
    status(refused).into_http()
}
