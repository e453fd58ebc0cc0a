//! The bond of every kind of board on every different wall.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use fixing::bond::FULL_SURFACE_OVER;
use quantity::{AreaMass, WindPressure};
use takeoff::{BondNeed, Bonding};
use working::{Fault, Faults, Figure, Finding, Sheet};

use crate::answer::{BoardBond, Part};
use crate::fix_part::FixingBasis;
use crate::fix_part::walls::walls;
use crate::set_out::{Product, Products};

/// The bond on every different wall: how each kind of board is bonded, the findings, and whether every check holds.
pub(crate) struct Bonded {
    pub boards: Vec<BoardBond>,
    /// What that asks of each kind of board.
    pub needs: Vec<BondNeed>,
    pub holds: bool,
    pub findings: Vec<Finding>,
}

/// Judges the bond of every kind of board on every different wall.
///
/// # Errors
/// A system that is bonded only, on a substrate whose pull-off strength is not known.
pub(crate) fn bonds(
    basis: &FixingBasis<'_>,
    products: &Products<'_>,
    design_suction: Figure<WindPressure>,
    render_mass: AreaMass,
    sheet: &mut Sheet,
) -> Result<Bonded, Vec<Fault>> {
    let mut bonded = Bonded {
        boards: Vec::new(),
        needs: Vec::new(),
        holds: true,
        findings: Vec::new(),
    };
    let mut faults = Faults::new();
    for (part, product) in products.by_part() {
        match bond(basis, (part, product), design_suction, render_mass, sheet) {
            Ok(one) => {
                bonded.holds &= one.holds;
                for finding in one.findings {
                    // What is said of the wall is said once, whichever boards stand on it.
                    if !bonded.findings.contains(&finding) {
                        bonded.findings.push(finding);
                    }
                }
                bonded.needs.push(need(&one.of_board));
                bonded.boards.push(one.of_board);
            }
            Err(list) => {
                faults.extend(list);
                break;
            }
        }
    }
    faults.or(bonded)
}

/// What the design of the bond asks of the boards of one kind.
fn need(bond: &BoardBond) -> BondNeed {
    BondNeed {
        role: bond.boards.role(),
        // A mortar too weak for the whole board is told by the bond; no board has more than its back.
        share: libm::fmin(bond.share, 1.0),
        method: if bond.share > FULL_SURFACE_OVER {
            Bonding::FullBed
        } else {
            Bonding::BeadAndDab
        },
    }
}

/// The bond of one kind of board on every different wall.
struct BondOfKind {
    of_board: BoardBond,
    holds: bool,
    findings: Vec<Finding>,
}

/// Judges the bond of one kind of board on every different wall.
///
/// # Errors
/// A system that is bonded only, on a substrate whose pull-off strength is not known.
fn bond(
    basis: &FixingBasis<'_>,
    (part, product): (Part, Product<'_>),
    design_suction: Figure<WindPressure>,
    render_mass: AreaMass,
    sheet: &mut Sheet,
) -> Result<BondOfKind, Vec<Fault>> {
    let (walls, _) = walls(basis);
    let (board, thickness) = (product.board, product.size.thickness);
    let practice = takeoff::Practice::default();
    let (mut share, mut bonding) = (0.0, String::new());
    let (mut holds, mut findings) = (true, Vec::new());
    let mut faults = Faults::new();
    for wall in &walls {
        let asked = fixing::bond::BondRequest {
            path: &wall.holder,
            rules: basis.rules,
            attachment: basis.parts.system.attachment,
            board: &board.article.key,
            board_share_min: board.bonded_share_min,
            bond_strength: basis
                .parts
                .bonding_mortar
                .bonding
                .and_then(|b| b.strength_to_insulant),
            substrate: &wall.substrate,
            design_suction,
            render_mass,
            insulation_mass: board.density * thickness.to_length(),
        };
        match fixing::bond::bond(&asked, sheet) {
            Ok(found) => {
                share = libm::fmax(share, found.share.value);
                // What the board needs at least may be less than what a flat wall, or the caller, asks for.
                let flatness = wall.substrate.flatness;
                let method = match Bonding::of(board, basis.bonding, flatness, &practice) {
                    Bonding::FullBed => fixing::bond::FULL_SURFACE,
                    Bonding::BeadAndDab => found.method,
                };
                if bonding.is_empty() {
                    bonding = method.to_string();
                } else if !bonding.contains(method) {
                    bonding = format!("{bonding}, elsewhere {method}");
                }
                holds &= found.checks.iter().all(|check| check.holds);
                findings.extend(found.findings);
            }
            Err(list) => faults.extend(list),
        }
    }
    faults.or(BondOfKind {
        of_board: BoardBond {
            boards: part,
            board: board.article.key.clone(),
            share,
            bonding,
        },
        holds,
        findings,
    })
}
