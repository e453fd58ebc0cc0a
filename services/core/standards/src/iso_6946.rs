//! ISO 6946:2017, thermal resistance and thermal transmittance.

use working::AnyFormula;

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[];
