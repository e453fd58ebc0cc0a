//! The straight line.

use material::Assortment;
use rules::RuleBook;

use crate::answer::Estimate;
use crate::refusal::{Refusal, RefusalKind};
use crate::request::Request;

/// Estimates a whole job from resolved materials and rules.
///
/// # Errors
/// A [`Refusal`] with every fault at once. A design that fails its checks is an answer, not an error.
pub fn estimate(
    request: &Request,
    _assortment: &Assortment,
    _rules: &RuleBook,
) -> Result<Estimate, Refusal> {
    facade::check(&request.building).map_err(|faults| Refusal {
        kind: RefusalKind::BadValue,
        faults,
    })?;
    Ok(Estimate::default())
}
