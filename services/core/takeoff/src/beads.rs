//! Beads by use, and sealing strips.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::{BeadUse, Unit};
use quantity::Mm;

use crate::edges::EdgeKind;
use crate::job::{Job, SealedJoint};
use crate::line::Component;
use crate::order::{Order, Want};
use crate::piecing::Cut;
use crate::survey::Survey;

/// Which edges a bead follows; the drawings ask the same, see [`crate::edges::followed`].
pub(crate) fn edges_of(usage: BeadUse, job: &Job) -> Vec<EdgeKind> {
    match usage {
        BeadUse::Corner => {
            let mut kinds = alloc::vec![
                EdgeKind::SalientCorner,
                EdgeKind::ReEntrantCorner,
                EdgeKind::FreeEnd,
                EdgeKind::Offset,
                EdgeKind::Jamb
            ];
            if is_plinth_thinner(job) {
                kinds.push(EdgeKind::PlinthStep);
            }
            kinds
        }
        BeadUse::Drip => {
            let mut kinds = alloc::vec![EdgeKind::Lintel, EdgeKind::LowerEdge];
            if job.parts.base_profile.is_none() {
                kinds.push(EdgeKind::BaseLine);
            }
            // Facade boards that stand out over a thinner plinth end in a drip.
            if is_plinth_thinner(job) {
                kinds.push(EdgeKind::PlinthTop);
            }
            kinds
        }
        BeadUse::Joint => alloc::vec![EdgeKind::Joint],
        BeadUse::Sill => alloc::vec![EdgeKind::Sill],
        BeadUse::Frame if are_frames_sealed(job) => Vec::new(),
        BeadUse::Frame => alloc::vec![EdgeKind::Jamb, EdgeKind::FrameHead],
    }
}

/// Whether a strip seals the frames, because the system has no bead for them.
fn are_frames_sealed(job: &Job) -> bool {
    let has_bead = job.parts.beads.iter().any(|b| b.usage == BeadUse::Frame);
    !has_bead && job.practice.sealed.contains(&SealedJoint::Frame)
}

/// Whether facade boards stand out over and beside the plinth, so that their edges there are seen.
fn is_plinth_thinner(job: &Job) -> bool {
    job.plinth_back() > Mm::ZERO
}

pub(crate) const USES: [(BeadUse, Component, &str); 5] = [
    (BeadUse::Corner, Component::CornerBead, "corner bead"),
    (BeadUse::Drip, Component::DripBead, "drip bead"),
    (BeadUse::Joint, Component::JointBead, "joint profile"),
    (BeadUse::Sill, Component::SillBead, "sill bead"),
    (BeadUse::Frame, Component::FrameBead, "frame bead"),
];

/// Every bead line.
pub(crate) fn beads(job: &Job, survey: &Survey, order: &mut Order) {
    for (usage, component, name) in USES {
        let runs = survey.runs(&edges_of(usage, job));
        if runs.is_empty() {
            continue;
        }
        order.sheet.section(format!("Beads: {name}"));
        match job.parts.beads.iter().find(|b| b.usage == usage) {
            Some(bead) => {
                let want = Want {
                    component,
                    article: &bead.article,
                    purpose: told(&runs),
                };
                order.bars(&want, &bead.stock, &runs, cut_rule(job, Mm::ZERO));
            }
            None => order.unsupplied(
                component,
                &format!("{name}: none in the system"),
                Unit::Metre,
                total(&runs),
            ),
        }
    }
}

fn cut_rule(job: &Job, gap: Mm) -> Cut {
    Cut {
        gap,
        kerf: job.practice.bar_kerf,
        least: job.practice.bar_piece_min,
        rest: job.practice.bar_rest_min,
        budget: job.practice.cutting_budget,
        called: "bars",
    }
}

fn total(runs: &[(String, Mm)]) -> f64 {
    runs.iter().map(|(_, r)| r.to_length().as_m()).sum()
}

/// The kinds of edge, each once, without their facades.
fn told(runs: &[(String, Mm)]) -> String {
    let mut kinds: Vec<&str> = Vec::new();
    for (name, _) in runs {
        let kind = name
            .rsplit_once(", ")
            .map_or(name.as_str(), |(_, kind)| kind);
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    kinds.join(", ")
}

/// Which edges a sealing strip follows: the joints that practice seals; frames only where the system has no frame bead.
pub(crate) fn sealed(job: &Job) -> Vec<EdgeKind> {
    job.practice
        .sealed
        .iter()
        .flat_map(|joint| match joint {
            SealedJoint::Sill => alloc::vec![EdgeKind::Sill],
            SealedJoint::Frame if are_frames_sealed(job) => {
                alloc::vec![EdgeKind::Jamb, EdgeKind::FrameHead]
            }
            SealedJoint::Frame => Vec::new(),
            SealedJoint::Abutting => alloc::vec![EdgeKind::Abutting],
            SealedJoint::Eaves => alloc::vec![EdgeKind::Eaves],
        })
        .collect()
}

/// The joints that practice seals: along edges, and at the ends of sills, where these lie in the reveals or in the boards before them.
fn sealed_runs(job: &Job, survey: &Survey) -> Vec<(String, Mm)> {
    let mut runs = Vec::new();
    for kind in sealed(job) {
        runs.extend(survey.runs(&[kind]));
        if kind == EdgeKind::Sill {
            for facade in &survey.facades {
                let name = || format!("{}, ends of sills", facade.id);
                runs.extend(facade.sill_ends.iter().map(|end| (name(), end.length)));
            }
        }
    }
    runs
}

/// Sealing strips.
pub(crate) fn sealing(job: &Job, survey: &Survey, order: &mut Order) {
    let runs = sealed_runs(job, survey);
    if runs.is_empty() {
        return;
    }
    order.sheet.section("Sealing strips");
    let Some(strip) = job.parts.sealing_strip else {
        order.unsupplied(
            Component::SealingStrip,
            "sealing strip: none in the system",
            Unit::Metre,
            total(&runs),
        );
        return;
    };
    let want = Want {
        component: Component::SealingStrip,
        article: &strip.article,
        purpose: told(&runs),
    };
    let how = Cut {
        kerf: Mm::ZERO,
        called: "rolls",
        ..cut_rule(job, Mm::ZERO)
    };
    order.bars(&want, &strip.stock, &runs, how);
}
