//! The EOTA documents on ETICS kits and plastic anchors (EAD 040083, EAD 330196, TR 025, TR 051).

use working::AnyFormula;

/// Every formula of this module, for the proof that print equals code.
pub static FORMULAS: &[&dyn AnyFormula] = &[];
