//! The base: profile with fixings, joiners and packers, and the waterproofing of an insulated plinth.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{BaseStep, Facade};
use material::{Accessory, BaseProfile, Unit};
use quantity::{Area, Length, Mm};
use working::{Figure, Origin, Severity};

use crate::depths::in_plinth;
use crate::edges::{EdgeKind, area_below, in_plinth_below};
use crate::formulas::{BAR_FIXINGS, COUNT_SUM, DEVELOPED_AREA, SPREAD};
use crate::job::Job;
use crate::line::Component;
use crate::order::{BarPieces, Order, Pile, Want};
use crate::piecing::Cut;
use crate::survey::Survey;

/// The base profile and what holds it. Lower edges without a profile get a drip bead elsewhere.
pub(crate) fn base_profile(job: &Job, survey: &Survey, order: &mut Order) {
    let runs = survey.runs(&[EdgeKind::BaseLine]);
    if runs.is_empty() {
        return;
    }
    order.sheet.section("Base profile");
    let total: f64 = runs.iter().map(|(_, r)| r.to_length().as_m()).sum();
    let Some(profile) = job.parts.base_profile else {
        order.find(
            "BASE_PROFILE_ABSENT",
            Severity::Note,
            "",
            format!("the system has no base profile: {total:.2} m of base line get a drip bead"),
            "",
        );
        return;
    };
    let Some((_, stock)) = profile.sizes.iter().find(|(t, _)| *t == job.thickness) else {
        let missing = format!("{} for boards of {}", profile.article.name, job.thickness);
        order.unsupplied(Component::BaseProfile, &missing, Unit::Metre, total);
        return;
    };
    let want = Want {
        component: Component::BaseProfile,
        article: &profile.article,
        purpose: String::from("base line above walkway or ground"),
    };
    let how = Cut {
        gap: profile.joint_gap,
        kerf: job.practice.bar_kerf,
        least: job.practice.bar_piece_min,
        rest: job.practice.bar_rest_min,
        budget: job.practice.cutting_budget,
        called: "bars",
    };
    let bars = order.bars(&want, stock, &runs, how);
    small_parts(job, profile, &bars, order);
}

/// Fixings, joiners and packers, counted on the cut bars.
fn small_parts(job: &Job, profile: &BaseProfile, bars: &BarPieces, order: &mut Order) {
    let spacing = order.sheet.given(
        "s",
        profile.fixing_spacing.to_length(),
        Origin::catalogue(profile.article.key.as_str(), "fixing-spacing-mm"),
    );
    let by_bar: Vec<Figure<f64>> = bars
        .pieces
        .iter()
        .map(|piece| {
            let origin = Origin::Counted("cutting plan above".into());
            let l = order.sheet.given("l", piece.to_length(), origin);
            order.sheet.derive("n_f", &BAR_FIXINGS, (l, spacing))
        })
        .collect();
    let fixings = order
        .sheet
        .derive("fixings", &COUNT_SUM, (by_bar.as_slice(),));
    let count = fixings.value;
    let fixings = alloc::vec![(String::from("bars"), fixings)];
    small(
        order,
        Component::ProfileFixing,
        job.parts.profile_fixing,
        "fixings of the base profile",
        fixings,
    );
    let joints = order.sheet.given(
        "joints of the base profile",
        bars.joints as f64,
        Origin::Counted("pieces less runs".into()),
    );
    let joiners = alloc::vec![(String::from("joints"), joints)];
    small(
        order,
        Component::ProfileJoiner,
        job.parts.profile_joiner,
        "joiners of the base profile",
        joiners,
    );
    let packers = order.sheet.given(
        "packers of the base profile",
        count * job.practice.packers_per_fixing,
        Origin::Rule(format!("{}: packers for each fixing", job.practice.source)),
    );
    let packers = alloc::vec![(String::from("fixings"), packers)];
    small(
        order,
        Component::ProfilePacker,
        job.parts.profile_packer,
        "packers of the base profile",
        packers,
    );
}

/// A small part counted in pieces.
fn small(
    order: &mut Order,
    component: Component,
    part: Option<&Accessory>,
    purpose: &str,
    parts: Vec<(String, Figure<f64>)>,
) {
    let need: f64 = parts.iter().map(|(_, f)| f.value).sum();
    let Some(part) = part else {
        order.unsupplied(component, purpose, Unit::Piece, need);
        return;
    };
    let want = Want {
        component,
        article: &part.article,
        purpose: String::from(purpose),
    };
    let pile = Pile {
        supply: &part.supply,
        content: part.supply.pack.content,
        unit: Unit::Piece,
        size: None,
        scale: 1.0,
    };
    order.count(&want, &pile, parts);
}

/// Waterproofing behind the plinth boards, and over them up to a little above finished ground: round their corners, over the faces of
/// free ends, and into reveals and over sills that lie so low.
pub(crate) fn waterproofing(job: &Job, survey: &Survey, order: &mut Order) {
    let mut parts = Vec::new();
    let mut areas = 0.0;
    order.sheet.section("Waterproofing of the plinth");
    let per_area = job.parts.waterproofing.map(|w| {
        let origin = Origin::catalogue(w.article.key.as_str(), "use-kg-per-m2");
        order.sheet.given("m", w.per_area, origin)
    });
    for facade in &job.building.facades {
        for (what, a) in waterproofed(job, survey, facade, order) {
            if a.value.as_m2() <= 0.0 {
                continue;
            }
            areas += a.value.as_m2();
            if let Some(per_area) = per_area {
                let label = format!("M {what}");
                let mass = order.sheet.derive(label, &SPREAD, (per_area, a));
                parts.push((format!("{}, {what}", facade.id), mass));
            }
        }
    }
    match job.parts.waterproofing {
        Some(w) => {
            let want = Want {
                component: Component::Waterproofing,
                article: &w.article,
                purpose: String::from("plinth and below ground"),
            };
            order.mass(&want, &w.supply, parts);
        }
        None => order.unsupplied(
            Component::Waterproofing,
            "waterproofing of the plinth",
            Unit::SquareMetre,
            areas,
        ),
    }
}

/// What of a facade is waterproofed: the bare wall behind the boards, and their outer plane.
fn waterproofed(
    job: &Job,
    survey: &Survey,
    facade: &Facade,
    order: &mut Order,
) -> [(&'static str, Figure<Area>); 5] {
    let rise = job.practice.waterproofing_rise;
    let top = |step: &BaseStep| (step.ground + rise).min(step.level);
    let names = [
        "behind the boards",
        "over the boards to above ground",
        "over the faces of free ends",
        "behind the boards of reveals",
        "over reveals to above ground",
    ];
    let [behind, over, faces, behind_reveals, over_reveals] = names;
    let sheet = &mut *order.sheet;
    let outline = || Origin::Counted("outline below the base line".into());
    let behind_area = area_below(facade, |step| step.level);
    let behind_area = sheet.given(format!("A {behind}, {}", facade.id), behind_area, outline());
    let (salient, re_entrant, free) = in_plinth_below(job.building, facade, top);
    let stands_out = survey.faces.projection.value - survey.faces.back;
    let counted = || Origin::Counted("ends of the plinth below that height".into());
    let flat = sheet.given("A flat", area_below(facade, top), outline());
    let p = sheet.given(
        "p",
        stands_out,
        Origin::Counted("thickness of the plinth's boards and bed of mortar".into()),
    );
    let h_s = sheet.given("h_s", salient, counted());
    let h_r = sheet.given("h_r", re_entrant, counted());
    let none = Origin::Counted("nothing stands back".into());
    let none = sheet.given("A_b", Area::ZERO, none);
    let label = format!("A {over}, {}", facade.id);
    let over_area = sheet.derive(label, &DEVELOPED_AREA, (flat, p, h_s, h_r, none));
    let label = format!("A {faces}, {}", facade.id);
    let faces_area = sheet.given(label, stands_out * free, counted());
    let counted =
        || Origin::Counted("edges of openings below that height times their depth".into());
    let label = format!("A {behind_reveals}, {}", facade.id);
    let behind_reveals_area = sheet.given(label, behind_reveal_boards(facade), counted());
    let label = format!("A {over_reveals}, {}", facade.id);
    let over_reveals_area = sheet.given(
        label,
        over_reveals_below(facade, stands_out, top),
        counted(),
    );
    [
        (behind, behind_area),
        (over, over_area),
        (faces, faces_area),
        (behind_reveals, behind_reveals_area),
        (over_reveals, over_reveals_area),
    ]
}

/// The bare wall behind the boards of reveals in an insulated plinth.
fn behind_reveal_boards(facade: &Facade) -> Area {
    let each = facade.finished_openings().map(|finished| {
        let edges = in_plinth(facade, &finished, |step| step.level);
        let opening = finished.opening;
        let covered = |thickness: Mm, edges: Length| match thickness {
            Mm(1..) => edges,
            _ => Length::ZERO,
        };
        let along = covered(opening.reveal_insulation, edges.jambs + edges.head)
            + covered(opening.sill_insulation, edges.foot);
        along * opening.reveal_depth.to_length()
    });
    each.sum()
}

/// Reveals and sills below a line, from the frame to the boards' face.
fn over_reveals_below(facade: &Facade, stands_out: Length, line: impl Fn(&BaseStep) -> Mm) -> Area {
    let each = facade.finished_openings().map(|finished| {
        let edges = in_plinth(facade, &finished, &line);
        let depth = finished.opening.reveal_depth.to_length() + stands_out;
        (edges.jambs + edges.head + edges.foot) * depth
    });
    each.sum()
}

/// The least distance between the base line and what lies below, by step; used by the site checks.
pub(crate) fn clearances(facade: &Facade) -> impl Iterator<Item = (usize, Mm)> + '_ {
    facade
        .base
        .iter()
        .enumerate()
        .filter(|(_, s)| s.below != facade::Below::InsulatedPlinth)
        .map(|(i, s)| (i, s.level - s.ground))
}
