//! Wire to domain, by hand and field by field. Every fault of a request comes back at once, with the wire's own field path.
//!
//! What the estimate checks itself (ranges, openings in the wall, corners that agree) is not checked twice here; this module checks what
//! only the wire can get wrong: what is missing, unspecified, not a decimal.

mod field;
mod job;
pub mod physics;
mod survey;

pub use field::MOST_TEXT;
pub use job::{Job, Unsound, assess, design, estimate, take_off};
