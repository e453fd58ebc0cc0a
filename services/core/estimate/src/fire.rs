//! Fire-barrier strips by rule rows, as strips of the facades to be set out.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Building, Facade, Side};
use fixing::fire::{
    FireAnswer, FireBuilding, FireFacade, FireOpening, FireStep, FireTop, Proposal, barriers,
};
use rules::RuleBook;
use standards::en_13501_1::FireClass;
use working::{Finding, Severity};

use crate::job::Resolved;
use crate::request::Request;
use crate::set_out::{BarrierStrip, Products};

/// The strips that rule rows propose, each laid as it is told, with what is to be said of them.
pub(crate) fn strips(
    request: &Request,
    resolved: &Resolved<'_>,
    products: &Products<'_>,
    book: &RuleBook,
) -> (Vec<BarrierStrip>, Vec<Finding>) {
    let building = &request.building;
    let Ok(insulation) = resolved.parts.board.reaction_to_fire.parse::<FireClass>() else {
        return (Vec::new(), Vec::new());
    };
    let facades = building.facades.iter().enumerate();
    let rules = resolved.layout;
    let seen = FireBuilding {
        country: request.country.clone(),
        height: building.height.to_length(),
        storeys: building.storeys,
        insulation,
        thickness: products.main.size.thickness,
        facades: facades.map(|(i, f)| seen_by_fire(i, f)).collect(),
        joined: joined(building),
        clear: rules.course_line_clear.max(rules.min_piece_height),
    };
    let (answer, mut findings) = barriers(&book.fire, &seen);
    let FireAnswer::Rules { proposals, .. } = answer else {
        return (Vec::new(), findings);
    };
    let mut strips = Vec::new();
    for proposal in &proposals {
        let Some(facade) = building.facade_index(&proposal.facade) else {
            continue;
        };
        if products.barrier.is_some() {
            findings.push(proposed(facade, proposal));
            strips.push(strip(facade, proposal));
        } else {
            findings.push(no_board(proposal, products));
        }
    }
    (strips, findings)
}

fn proposed(facade: usize, proposal: &Proposal) -> Finding {
    Finding {
        code: "FIRE_BARRIER_PROPOSED",
        severity: Severity::Caution,
        path: format!("building.facades[{facade}]"),
        text: format!(
            "{}: {} (row {})",
            proposal.facade, proposal.text, proposal.rule
        ),
        source: "",
    }
}

fn no_board(proposal: &Proposal, products: &Products<'_>) -> Finding {
    Finding {
        code: "NO_BARRIER_BOARD",
        severity: Severity::Breach,
        path: String::from("system"),
        text: format!(
            "{}: {} The system has no barrier board in {}.",
            proposal.facade, proposal.text, products.main.size.thickness
        ),
        source: "",
    }
}

fn strip(facade: usize, proposal: &Proposal) -> BarrierStrip {
    BarrierStrip {
        facade,
        left: proposal.x_from,
        right: proposal.x_to,
        bottom: proposal.y_from,
        height: proposal.y_to - proposal.y_from,
    }
}

/// Facades that corners or structural joints join, seen from the one whose right end is there.
fn joined(building: &Building) -> Vec<(usize, usize)> {
    let facades = building.facades.iter().enumerate();
    let with = |facade: &Facade| building.facade_index(facade.meets(Side::Right).with()?);
    facades.filter_map(|(i, f)| Some((i, with(f)?))).collect()
}

fn seen_by_fire(index: usize, facade: &Facade) -> FireFacade {
    let (low, high) = facade.bounds();
    let steps = facade.base.iter().map(|s| FireStep {
        from: s.from,
        to: s.to,
        level: s.level,
    });
    let top = facade::upper_edge(&facade.outline);
    let top = top.into_iter().map(|(from, to)| FireTop {
        from: from.x,
        to: to.x,
        left: from.y,
        right: to.y,
    });
    let openings = facade.finished_openings().map(|finished| FireOpening {
        id: finished.opening.id.clone(),
        left: finished.size.x,
        right: finished.size.right(),
        bottom: finished.size.y,
        top: finished.size.top(),
    });
    FireFacade {
        id: facade.id.clone(),
        path: format!("building.facades[{index}]"),
        left: low.x,
        right: high.x,
        base: steps.collect(),
        top: top.collect(),
        ground: facade.base.iter().map(|s| s.ground).min().unwrap_or(low.y),
        openings: openings.collect(),
    }
}
