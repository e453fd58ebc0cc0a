//! prEN/EN 17237, ETICS product standard.

use working::AnyFormula;

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[];
