//! Why a job could not be estimated at all.

use alloc::vec::Vec;

use working::Fault;

/// What kind of refusal it is; the gravest that occurred.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RefusalKind {
    /// Values of the request are bad in themselves.
    BadValue,
    /// The request names an article or a rule set that does not exist.
    NotFound,
    /// Parts that exist do not go together, or rule data that the request asks for is missing.
    DoNotFit,
    /// The work was halted before its end; there are no faults.
    Halted,
}

/// A refusal, with every fault at once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Its kind.
    pub kind: RefusalKind,
    /// Every fault, in the order of the fields.
    pub faults: Vec<Fault>,
}
