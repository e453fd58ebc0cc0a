//! The rule book: every rule set of a snapshot by its key.
//!
//! It only gathers what the engines' crates define, so that the estimate can be handed rules without knowing how they were read.
#![no_std]
extern crate alloc;

use alloc::string::String;

/// Every rule set of a snapshot by its key.
#[derive(Clone, Debug, Default)]
pub struct RuleBook {
    /// A hash of the normalised content.
    pub revision: String,
}
