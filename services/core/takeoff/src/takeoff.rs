//! The front door: the whole takeoff of a job.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Area, Length, Mm, Money};
use working::{Fault, Finding, Severity, Sheet};

use crate::areas::FiveAreas;
use crate::billing::{Billing, Projection, bill, strip_length};
use crate::boards::RevealCutting;
use crate::check::check;
use crate::edges::EdgeKind;
use crate::job::Job;
use crate::line::{Component, Line};
use crate::mass::{MassPerArea, mass_per_area};
use crate::measurement::{CornerOpenings, MeasurementRules, Plane, RevealBilling};
use crate::mesh::Strips;
use crate::openings::{ClearOpening, SillEnd};
use crate::order::Order;
use crate::survey::Survey;
use crate::{base, beads, boards, coats, fixings, reinforcement, site};

/// One facade's areas and its billing.
#[derive(Clone, Debug, PartialEq)]
pub struct FacadeTakeoff {
    /// Its id.
    pub id: String,
    /// The five areas.
    pub areas: FiveAreas,
    /// How the billed area came about.
    pub billing: Option<Billing>,
    /// The openings as they are left, in the order of the survey.
    pub clear: Vec<ClearOpening>,
    /// The ends of window sills that meet the wall, opening by opening.
    pub sill_ends: Vec<SillEnd>,
}

/// The length of all edges of one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeTotal {
    /// The kind.
    pub kind: EdgeKind,
    /// How many there are.
    pub count: u32,
    /// Their length together.
    pub length: Length,
}

/// What the whole costs, as far as prices are known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Price {
    /// The whole; nothing where any line lacks a price.
    pub total: Option<Money>,
    /// The sum of the lines that have one; nothing where none has.
    pub known: Option<Money>,
    /// Articles without a price and parts without an article, in the order of the lines.
    pub missing: Vec<String>,
}

/// The takeoff of a building.
#[derive(Clone, Debug, PartialEq)]
pub struct Takeoff {
    /// Facade by facade, in the order of the survey.
    pub facades: Vec<FacadeTakeoff>,
    /// All facades together.
    pub areas: FiveAreas,
    /// Every kind of edge that occurs.
    pub edges: Vec<EdgeTotal>,
    /// The lines, in the order of work.
    pub lines: Vec<Line>,
    /// What they cost.
    pub price: Price,
    /// Mass per square metre.
    pub mass: MassPerArea,
    /// Which way the mesh of each facade hangs; none where it could not be cut from its rolls.
    pub mesh_ways: Vec<Strips>,
    /// How the strips for reveals are cut, by thickness; none where no board of the system gives them.
    pub reveal_cuttings: Vec<RevealCutting>,
    /// Findings.
    pub findings: Vec<Finding>,
}

/// Takes off a job and records every figure on the sheet.
///
/// # Errors
/// Every fault of the job at once; see [`check`].
pub fn take_off(job: &Job, sheet: &mut Sheet) -> Result<Takeoff, Vec<Fault>> {
    check(job)?;
    let survey = Survey::new(job, sheet);
    let mut order = Order {
        sheet,
        lines: Vec::new(),
        findings: Vec::new(),
    };
    let facades = billed(job, &survey, &mut order);
    base::base_profile(job, &survey, &mut order);
    base::waterproofing(job, &survey, &mut order);
    let reveal_cuttings = boards::boards(job, &mut order);
    boards::foam(job, &mut order);
    fixings::mounting(job, &mut order);
    fixings::anchors(job, &mut order);
    beads::sealing(job, &survey, &mut order);
    beads::beads(job, &survey, &mut order);
    let mesh_ways = reinforcement::mesh(job, &survey, &mut order);
    let coats = coats::coats(job, &survey, &mut order);
    let mass = mass_per_area(job, &survey, &coats, &mut order);
    site::site_checks(job, &mut order);
    let Order {
        mut lines,
        findings,
        ..
    } = order;
    lines.sort_by_key(|l| l.component);
    Ok(Takeoff {
        areas: together(&facades, job.measurement),
        edges: edge_totals(&survey),
        price: price(&lines),
        facades,
        lines,
        mass,
        mesh_ways,
        reveal_cuttings,
        findings,
    })
}

fn billed(job: &Job, survey: &Survey, order: &mut Order) -> Vec<FacadeTakeoff> {
    let rules = job.measurement;
    order
        .sheet
        .section(format!("Billed areas by {}", rules.name));
    if rules.standing == working::Standing::Unverified {
        order.find(
            "MEASUREMENT_RULES_UNVERIFIED",
            Severity::Caution,
            "measurement",
            format!("{} is not verified against its text", rules.name),
            "",
        );
    }
    if rules.corner_openings == CornerOpenings::Whole {
        order.find(
            "CORNER_OPENINGS_BY_FACE",
            Severity::Note,
            "measurement",
            "openings round a corner are surveyed face by face; the rule set would take them whole",
            "",
        );
    }
    let facades = job.building.facades.iter().zip(&survey.facades);
    facades
        .zip(&survey.clear)
        .map(|((facade, measured), clear)| {
            narrow(facade, rules, order);
            let billing = bill(
                facade,
                &measured.edges,
                Projection {
                    facade: survey.faces.projection.value,
                    plinth_back: survey.faces.back,
                },
                rules,
                order.sheet,
            );
            let a = &measured.areas;
            FacadeTakeoff {
                id: facade.id.clone(),
                areas: FiveAreas {
                    gross: a.gross.value,
                    net: a.net.value,
                    with_reveals: a.coated.value,
                    developed: a.developed.value,
                    billed: billing.as_ref().map(|b| b.rounded),
                },
                billing,
                clear: clear.clone(),
                sill_ends: measured.sill_ends.clone(),
            }
        })
        .collect()
}

fn narrow(facade: &facade::Facade, rules: &MeasurementRules, order: &mut Order) {
    if let Some(length) = strip_length(facade, rules) {
        let bills_reveals = rules.bands.iter().any(|b| b.reveals != RevealBilling::None);
        // Measured to the finished surface, an opening has reveals as deep as the system even in a flush frame.
        let deep = |o: &facade::Opening| {
            o.reveal_depth > Mm::ZERO || rules.plane == Plane::FinishedSurface
        };
        let has_reveals = facade.openings.iter().any(deep);
        let reveals = if bills_reveals && has_reveals {
            "; its reveals are billed neither by area nor by the metre there, because the rule set's text for that is not held"
        } else {
            ""
        };
        order.find(
            "BILLED_BY_LENGTH",
            Severity::Note,
            "",
            format!(
                "{} is a strip that {} bills by the metre: {:.2} m, openings not deducted, and no area{reveals}",
                facade.id,
                rules.name,
                rules.rounding.round_length(length).as_m()
            ),
            "",
        );
    }
}

fn together(facades: &[FacadeTakeoff], rules: &MeasurementRules) -> FiveAreas {
    let sum = |of: fn(&FiveAreas) -> Area| facades.iter().map(|f| of(&f.areas)).sum();
    FiveAreas {
        gross: sum(|a| a.gross),
        net: sum(|a| a.net),
        with_reveals: sum(|a| a.with_reveals),
        developed: sum(|a| a.developed),
        // Rounded figures add up to one; rounding again takes off what binary fractions add.
        billed: facades
            .iter()
            .map(|f| f.areas.billed)
            .sum::<Option<Area>>()
            .map(|sum| rules.rounding.round_area(sum)),
    }
}

fn edge_totals(survey: &Survey) -> Vec<EdgeTotal> {
    let mut totals: alloc::collections::BTreeMap<EdgeKind, (u32, Length)> =
        alloc::collections::BTreeMap::new();
    for edge in survey.facades.iter().flat_map(|f| &f.edges.list) {
        let total = totals.entry(edge.kind).or_default();
        total.0 += 1;
        total.1 += Mm::to_length(edge.length);
    }
    totals
        .into_iter()
        .map(|(kind, (count, length))| EdgeTotal {
            kind,
            count,
            length,
        })
        .collect()
}

fn price(lines: &[Line]) -> Price {
    let mut found = Price::default();
    for line in lines {
        if line.purchases.is_empty() {
            let water = matches!(
                line.component,
                Component::MixingWater | Component::DilutionWater
            );
            if !water {
                found.missing.push(line.name.clone());
            }
            continue;
        }
        match (line.price(), found.known) {
            (None, _) => found.missing.push(line.article.clone()),
            (Some(price), None) => found.known = Some(price),
            (Some(price), Some(sum)) => match sum.plus(price) {
                Some(sum) => found.known = Some(sum),
                None => found.missing.push(line.article.clone()),
            },
        }
    }
    if found.missing.is_empty() {
        found.total = found.known;
    }
    found
}
