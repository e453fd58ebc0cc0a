//! EN 1991-1-4:2005+A1:2010, wind actions.

use working::AnyFormula;

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[];
