//! What a change of one input would do to the number of anchors and the greatest used share of their resistance.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::{Anchor, BaseCategory};
use quantity::{Force, WindPressure};
use standards::eota;

use crate::anchors::{Resistance, WallResistance};
use crate::job::{FixingJob, SituationAnswer, ZoneAnswer, judged};
use crate::placement::{BoardCount, Placement};
use crate::wind::Suction;

/// What a change of one input would do.
#[derive(Clone, Debug, PartialEq)]
pub struct SensitivityRow {
    /// What is changed, in words.
    pub change: String,
    /// Anchors then.
    pub anchors: u32,
    /// Greatest used share of the anchors' resistance then; the least number is heeded by the count and not in it.
    pub utilisation: f64,
}

/// A zone under changed inputs.
struct Changed<'a> {
    zone: &'a ZoneAnswer,
    suction: WindPressure,
    resistance: Resistance,
    more: u32,
}

/// The rows: the design as it is, one metre per second more, the next weaker masonry, one more anchor on every board.
pub(crate) fn rows(
    job: &FixingJob<'_>,
    wind: &Suction,
    situations: &[SituationAnswer],
    zones: &[ZoneAnswer],
    placements: &[Placement],
) -> Vec<SensitivityRow> {
    let v = wind.basic_velocity.value.as_m_per_s();
    let faster = (v + 1.0) * (v + 1.0) / (v * v);
    let row = |change: String, factor: f64, weaker: bool, more: u32| {
        let changed: Vec<Changed<'_>> = judged(zones)
            .filter_map(|zone| {
                let s = situations.get(zone.situation)?;
                let mut resistance = s.resistance.clone();
                if weaker && let Some(force) = next_weaker(job, zone.situation, s) {
                    resistance.wall.value = force.1;
                }
                Some(Changed {
                    zone,
                    suction: zone.design.design_suction.value * factor,
                    resistance,
                    more,
                })
            })
            .collect();
        outcome(change, &changed, job, placements)
    };
    let mut rows = alloc::vec![
        row("as designed".into(), 1.0, false, 0),
        row("one metre per second more".into(), faster, false, 0),
    ];
    let weaker: Vec<String> = situations
        .iter()
        .enumerate()
        .filter_map(|(i, s)| {
            let (category, force) = next_weaker(job, i, s)?;
            let kn = force.as_kn();
            Some(format!(
                "{}: category {}, {kn:.3} kN by design",
                s.name,
                category.letter()
            ))
        })
        .collect();
    if !weaker.is_empty() {
        let change = format!("next weaker base material ({})", weaker.join("; "));
        rows.push(row(change, 1.0, true, 0));
    }
    rows.push(row("one more anchor on every board".into(), 1.0, false, 1));
    rows
}

/// The assessed category with the next smaller resistance, and its design value.
fn next_weaker(
    job: &FixingJob<'_>,
    situation: usize,
    answer: &SituationAnswer,
) -> Option<(BaseCategory, Force)> {
    let s = job.situations.get(situation)?;
    if s.wall != WallResistance::Assessed {
        return None;
    }
    let anchor: &Anchor = s.anchors.iter().find(|a| a.article.key == answer.anchor)?;
    let here = answer.resistance.base.resistance;
    let weaker = anchor
        .base
        .iter()
        .filter(|b| b.resistance < here && b.resistance > Force::ZERO)
        .max_by(|a, b| a.resistance.as_n().total_cmp(&b.resistance.as_n()))?;
    let design = (eota::WALL_RESISTANCE.function)((weaker.resistance, job.rules.wall_factor.value));
    Some((weaker.category, design))
}

/// Anchors are counted by the share of each board, with the anchors in joints as they stand.
fn outcome(
    change: String,
    changed: &[Changed<'_>],
    job: &FixingJob<'_>,
    placements: &[Placement],
) -> SensitivityRow {
    let mut anchors = 0_u32;
    let mut utilisation = 0.0;
    for c in changed {
        let designed = c.resistance.per_board(c.suction);
        // What cut boards and edges asked for beyond the design stays.
        let raised = c.zone.per_board.saturating_sub(c.zone.design.per_board);
        let most = c.resistance.per_board_max().max(c.zone.per_board);
        let per_board = (designed + raised + c.more).min(most);
        let facade = job.facades.iter().position(|f| f.id == c.zone.facade);
        let boards: Vec<&BoardCount> = facade
            .and_then(|i| placements.get(i))
            .into_iter()
            .flat_map(|p| &p.boards)
            .filter(|b| b.zone == c.zone.strip_index && b.situation == c.zone.situation)
            .collect();
        let whole = c.resistance.board_area.value;
        let count: u32 = boards
            .iter()
            .map(|b| {
                let room = if b.short() > 0 {
                    b.in_joints + b.in_field
                } else {
                    u32::MAX
                };
                BoardCount::share_of(b.area, whole, per_board)
                    .max(b.in_joints)
                    .min(room)
            })
            .sum();
        anchors = anchors.saturating_add(count);
        let joints: u32 = boards.iter().map(|b| b.in_joints).sum();
        let area: f64 = boards.iter().map(|b| b.area.as_m2()).sum();
        let (number, share) = if count == 0 || area <= 0.0 {
            let share =
                f64::from(c.resistance.pattern.in_joints(per_board)) / f64::from(per_board.max(1));
            (f64::from(per_board) / whole.as_m2(), share)
        } else {
            (
                f64::from(count) / area,
                f64::from(joints) / f64::from(count),
            )
        };
        let used = c.suction.as_pa() / (number * c.resistance.bare(share).as_n());
        utilisation = libm::fmax(utilisation, used);
    }
    SensitivityRow {
        change,
        anchors,
        utilisation,
    }
}
