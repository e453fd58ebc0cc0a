//! The different walls behind the boards, and what their anchors are designed for where the base material is not known.

use alloc::borrow::Cow;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::Substrate;
use material::{Anchor, BaseCategory};
use working::{Finding, Severity};

use crate::fix_part::FixingBasis;
use crate::parts::Parts;

/// A wall behind that differs from the others, with the category its anchors are designed for.
pub(super) struct Wall<'a> {
    pub path: String,
    /// The field that holds it: the building or the facade.
    pub holder: String,
    pub substrate: Cow<'a, Substrate>,
    /// Whether the category was surveyed.
    pub known: bool,
    /// The facades that stand on it.
    pub facades: Vec<&'a str>,
}

/// The different walls, and which one each facade has.
pub(super) fn walls<'a>(basis: &FixingBasis<'a>) -> (Vec<Wall<'a>>, Vec<usize>) {
    let mut sources: Vec<&Substrate> = Vec::new();
    let mut found: Vec<Wall<'a>> = Vec::new();
    let mut of = Vec::new();
    for (index, facade) in basis.building.facades.iter().enumerate() {
        let substrate = basis.building.substrate_of(facade);
        if let Some(known) = sources.iter().position(|s| *s == substrate) {
            of.push(known);
            if let Some(wall) = found.get_mut(known) {
                wall.facades.push(&facade.id);
            }
            continue;
        }
        of.push(sources.len());
        sources.push(substrate);
        let holder = if facade.substrate.is_some() {
            format!("building.facades[{index}]")
        } else {
            String::from("building")
        };
        let path = format!("{holder}.substrate");
        let known = substrate.category.is_some();
        let mut substrate = Cow::Borrowed(substrate);
        if !known {
            substrate.to_mut().category = weakest(&basis.parts.anchors);
        }
        found.push(Wall {
            path,
            holder,
            substrate,
            known,
            facades: alloc::vec![facade.id.as_str()],
        });
    }
    (found, of)
}

/// The category in which the system's first anchor holds least: what is designed for where the base material is not known.
fn weakest(anchors: &[&Anchor]) -> Option<BaseCategory> {
    let base = &anchors.first()?.base;
    base.iter()
        .reduce(|weakest, next| {
            if next.resistance < weakest.resistance {
                next
            } else {
                weakest
            }
        })
        .map(|row| row.category)
}

pub(super) fn unknown_base(walls: &[Wall<'_>], parts: &Parts<'_>) -> Vec<Finding> {
    walls
        .iter()
        .filter(|wall| !wall.known)
        .filter_map(|wall| {
            let letter = wall.substrate.category?.letter();
            let anchor = &parts.anchors.first()?.article.key;
            Some(Finding {
                code: "BASE_MATERIAL_UNKNOWN",
                severity: Severity::Breach,
                path: format!("{}.category", wall.path),
                text: format!(
                    "The category of the base material is not known. Anchors are counted for category {letter}, in which {anchor} holds least; establish \
                     the category and make pull-out tests before ordering."
                ),
                source: "EAD 330196 (from memory, unverified)",
            })
        })
        .collect()
}
