//! One module per standard edition, one function per formula or table.
//!
//! Every formula is a [`working::Formula`] with its clause; tables and national parameters are data types. This crate knows no
//! facade, no catalogue and no request. What is from memory of a text that nobody here holds carries
//! [`working::Standing::Unverified`], and the calculation sheet prints it.
#![no_std]
extern crate alloc;

pub mod asce_7;
pub mod din_18202;
pub mod en_13501_1;
pub mod en_15026;
pub mod en_17237;
pub mod en_1991_1_4;
pub mod eota;
pub mod iso_10211;
pub mod iso_10456;
pub mod iso_13786;
pub mod iso_13788;
pub mod iso_6946;

use working::AnyFormula;

/// Every formula of every module with the module's name, for the proof that print equals code.
pub fn formulas() -> impl Iterator<Item = (&'static str, &'static dyn AnyFormula)> {
    [
        ("asce_7", asce_7::FORMULAS),
        ("din_18202", din_18202::FORMULAS),
        ("en_13501_1", en_13501_1::FORMULAS),
        ("en_15026", en_15026::FORMULAS),
        ("en_17237", en_17237::FORMULAS),
        ("en_1991_1_4", en_1991_1_4::FORMULAS),
        ("eota", eota::FORMULAS),
        ("iso_10211", iso_10211::FORMULAS),
        ("iso_10456", iso_10456::FORMULAS),
        ("iso_13786", iso_13786::FORMULAS),
        ("iso_13788", iso_13788::FORMULAS),
        ("iso_6946", iso_6946::FORMULAS),
    ]
    .into_iter()
    .flat_map(|(module, formulas)| formulas.iter().map(move |formula| (module, *formula)))
}
