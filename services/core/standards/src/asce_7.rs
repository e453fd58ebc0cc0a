//! ASCE 7, components and cladding.

use working::AnyFormula;

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[];
