//! Why a call was not answered, before it becomes a status of the transport.

use estimate::{Refusal, RefusalKind};
use working::Fault;

use crate::nearest::nearest;

/// Why a call was not answered. Each is a reason of the wire's `ErrorReason`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// Values of the request are bad; every fault at once.
    BadRequest(Vec<Fault>),
    /// Names that stand for nothing; every fault at once, of other kinds too where they were found beside it.
    UnknownName(Vec<Fault>),
    /// Parts that do not go together, or missing rule data.
    PartsDoNotFit(Vec<Fault>),
    /// The message is larger than the server takes.
    MessageTooLarge,
    /// The answer is larger than the server sends.
    AnswerTooLarge {
        /// Bytes of the answer.
        bytes: usize,
        /// The most bytes of a message.
        most: usize,
    },
    /// The server has as much work as it takes on.
    Overloaded,
    /// The deadline passed.
    DeadlineExceeded,
    /// The server is going down.
    ShuttingDown,
    /// A defect; the text is for the log.
    Internal(String),
}

impl Refused {
    /// A name that stands for nothing, with the nearest ones.
    pub fn unknown<'a>(path: &str, name: &str, known: impl IntoIterator<Item = &'a str>) -> Self {
        let known: Vec<&str> = known.into_iter().collect();
        let near = nearest(name, known.iter().copied());
        let expected = match (near.as_slice(), known.as_slice()) {
            ([], []) => "a name that is there; there is none".to_owned(),
            ([], [first @ .., last]) if first.len() < 12 => {
                let first: Vec<String> = first.iter().map(|n| format!("`{n}`, ")).collect();
                format!("one of {}`{last}`", first.concat())
            }
            ([], _) => format!("one of the {} names that are listed", known.len()),
            (near, _) => {
                let near: Vec<String> = near.iter().map(|n| format!("`{n}`")).collect();
                format!("a name that is there; nearest: {}", near.join(", "))
            }
        };
        let name: String = name.chars().take(80).collect();
        Self::UnknownName(vec![Fault {
            path: path.to_owned(),
            reason: "UNKNOWN_NAME",
            found: format!("`{name}`"),
            expected,
        }])
    }

    /// The reason by its name on the wire.
    pub fn reason(&self) -> &'static str {
        match self {
            Self::BadRequest(_) => "BAD_REQUEST",
            Self::UnknownName(_) => "UNKNOWN_NAME",
            Self::PartsDoNotFit(_) => "PARTS_DO_NOT_FIT",
            Self::MessageTooLarge | Self::AnswerTooLarge { .. } => "MESSAGE_TOO_LARGE",
            Self::Overloaded => "OVERLOADED",
            Self::DeadlineExceeded => "DEADLINE_EXCEEDED",
            Self::ShuttingDown => "SHUTTING_DOWN",
            Self::Internal(_) => "INTERNAL",
        }
    }

    /// The faults, where it has any.
    pub fn faults(&self) -> &[Fault] {
        match self {
            Self::BadRequest(faults) | Self::UnknownName(faults) | Self::PartsDoNotFit(faults) => {
                faults
            }
            _ => &[],
        }
    }

    /// One line for people.
    pub fn summary(&self) -> String {
        let first = |what: &str, faults: &[Fault]| match faults {
            [] => what.to_owned(),
            [only] => format!("{what}: {only}"),
            [first, rest @ ..] => format!("{what}: {first}; and {} more", rest.len()),
        };
        match self {
            Self::BadRequest(faults) => first("the request has faults", faults),
            Self::UnknownName(faults) => first("the request names what is not there", faults),
            Self::PartsDoNotFit(faults) => first("the parts do not go together", faults),
            Self::MessageTooLarge => {
                "the message is larger than this server takes; send the building in parts"
                    .to_owned()
            }
            Self::AnswerTooLarge { bytes, most } => {
                let mib = |bytes: &usize| *bytes as f64 / f64::from(1 << 20);
                format!(
                    "the answer has {:.1} MiB, more than the {:.1} MiB that this server sends; leave out `include.drawings`, then `include.setting_out` and `include.working`, or ask for each in a call of its own",
                    mib(bytes),
                    mib(most)
                )
            }
            Self::Overloaded => {
                "the server has as much work as it takes on; try again shortly".to_owned()
            }
            Self::DeadlineExceeded => "the deadline passed before the answer was ready".to_owned(),
            Self::ShuttingDown => "the server is going down; try another one".to_owned(),
            Self::Internal(_) => {
                "a defect of the service; the log of the server tells more".to_owned()
            }
        }
    }
}

impl From<Refusal> for Refused {
    fn from(refusal: Refusal) -> Self {
        match refusal.kind {
            RefusalKind::BadValue => Self::BadRequest(refusal.faults),
            RefusalKind::NotFound => Self::UnknownName(refusal.faults),
            RefusalKind::DoNotFit => Self::PartsDoNotFit(refusal.faults),
            // Only a call that is late or gone halts its work.
            RefusalKind::Halted => Self::DeadlineExceeded,
        }
    }
}

impl From<Vec<Fault>> for Refused {
    fn from(faults: Vec<Fault>) -> Self {
        Self::BadRequest(faults)
    }
}
