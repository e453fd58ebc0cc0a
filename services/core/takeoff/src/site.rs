//! Checks on site: flatness, colour, splash zone, base line, temperatures, drying, and the usual cautions.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{BaseStep, Below, Condition, Facade, Meets, OpeningKind, Side, Surface, common};
use quantity::Length;
use standards::din_18202::{Row, flatness, to_the_millimetre};
use working::{Check, Limit, Origin, Severity, numbered};

use crate::coats::courses;
use crate::edges::wall_beside;
use crate::job::Job;
use crate::order::Order;

/// Light reflection index above which no further proof of the colour is asked for.
const REFLECTION_OVER: f64 = 20.0;
/// Total solar reflectance that a darker colour must exceed.
const SOLAR_REFLECTANCE_OVER: f64 = 25.0;
const COLOUR_SOURCE: &str = "DIN 55699, as cited in trade texts";
const PRACTICE: &str = "common practice, no source";

/// Every site check and caution.
pub(crate) fn site_checks(job: &Job, order: &mut Order) {
    order.sheet.section("Site checks");
    for (i, facade) in job.building.facades.iter().enumerate() {
        let path = format!("building.facades[{i}]");
        flat(job, facade, &path, order);
        base(job, facade, &path, order);
        corner(job, facade, &path, order);
    }
    waterproofing(job, order);
    colour(job, order);
    temperatures(job, order);
    drying(job, order);
    cautions(order);
    not_on_this_list(job, order);
}

/// What the work takes and no kit holds, so that nobody thinks it ordered.
fn not_on_this_list(job: &Job, order: &mut Order) {
    let facades = &job.building.facades;
    let openings = || facades.iter().flat_map(|f| &f.openings);
    let windows = openings().filter(|o| o.kind == OpeningKind::Window).count();
    let loose = |f: &&Facade| {
        let conditions = &job.building.substrate_of(f).conditions;
        conditions.contains(&Condition::Sanding) || conditions.contains(&Condition::Dusty)
    };
    let loose: Vec<&str> = facades
        .iter()
        .filter(loose)
        .map(|f| f.id.as_str())
        .collect();
    let mut missing: Vec<String> = Vec::new();
    if !loose.is_empty() {
        missing.push(format!(
            "a hardening primer for what sands or is dusty ({})",
            loose.join(", ")
        ));
    }
    if windows > 0 {
        missing.push(format!(
            "the sills of {}",
            numbered(windows as u64, "window", "windows")
        ));
    }
    let covered = match openings().count() as u64 {
        0 => String::from("the ground"),
        count => format!("{} and the ground", numbered(count, "opening", "openings")),
    };
    missing.push(format!("sheets and tape to cover {covered}"));
    let mitres = facades.iter().filter(|f| is_mitred(job, f)).count() as u64;
    if mitres > 0 && job.parts.base_profile.is_some() {
        missing.push(format!(
            "corner pieces for {} of the base profile, where it is not cut to a mitre on site",
            numbered(mitres, "corner", "corners")
        ));
    }
    order.find(
        "NOT_ON_THIS_LIST",
        Severity::Note,
        "",
        format!(
            "not on the order list, because no kit holds them: {}",
            missing.join("; ")
        ),
        "",
    );
}

/// Whether base profiles meet, at one level, at the corner where a facade's right end meets another.
fn is_mitred(job: &Job, facade: &Facade) -> bool {
    let (Meets::SalientCorner { with } | Meets::ReEntrantCorner { with }) = &facade.right else {
        return false;
    };
    let index = job.building.facade_index(with);
    let other = index.and_then(|i| job.building.facades.get(i));
    let beyond = other.and_then(|o| o.base.first());
    let (Some(own), Some(beyond)) = (facade.base.last(), beyond) else {
        return false;
    };
    let has_profile = |step: &BaseStep| step.below != Below::InsulatedPlinth;
    has_profile(own) && has_profile(beyond) && own.level == beyond.level
}

fn flat(job: &Job, facade: &Facade, path: &str, order: &mut Order) {
    let wall = job.building.substrate_of(facade);
    let Some(measured) = wall.flatness else {
        order.find(
            "FLATNESS_NOT_MEASURED",
            Severity::Caution,
            format!("{path}.substrate.flatness"),
            format!(
                "the flatness of {} was not measured: bonding mortar is counted for a flat wall",
                facade.id
            ),
            "",
        );
        return;
    };
    let row = match wall.surface {
        Surface::Render => Row::Finished,
        Surface::BareMasonry | Surface::Concrete => Row::Unfinished,
    };
    let request = |field: &str| Origin::request(format!("{path}.substrate.flatness.{field}"));
    let distance = order.sheet.given(
        "l",
        measured.straightedge.to_length(),
        request("straightedge_mm"),
    );
    let full = flatness(row, distance, order.sheet);
    let limit = order.sheet.given(
        "t to the millimetre",
        to_the_millimetre(full.value),
        Origin::Counted("rounded as the table asks".into()),
    );
    let figure = order
        .sheet
        .given("gap", measured.gap.to_length(), request("gap_mm"));
    let verdict = order.sheet.check(Check {
        name: format!("flatness of {}", facade.id).into(),
        clause: row.clause(),
        figure,
        limit,
        side: Limit::AtMost,
    });
    if !verdict.holds {
        order.find(
            "FLATNESS_OUT_OF_TOLERANCE",
            Severity::Breach,
            format!("{path}.substrate.flatness.gap_mm"),
            format!(
                "{} has {} under a straightedge of {}, where {:.0} mm are allowed: level the wall, or bond with a bed that takes it up",
                facade.id,
                measured.gap,
                measured.straightedge,
                limit.value.as_mm()
            ),
            "DIN 18202, Table 3",
        );
    }
}

/// A corner of two walls that end at two heights: what stands over the lower one, the survey does not say.
fn corner(job: &Job, facade: &Facade, path: &str, order: &mut Order) {
    let (Meets::SalientCorner { with } | Meets::ReEntrantCorner { with }) = &facade.right else {
        return;
    };
    let index = job.building.facade_index(with);
    let Some(other) = index.and_then(|i| job.building.facades.get(i)) else {
        return;
    };
    let (own, beyond) = (facade.end(Side::Right).1, other.end(Side::Left).1);
    if own != beyond {
        order.find(
            "CORNER_AT_TWO_HEIGHTS",
            Severity::Note,
            format!("{path}.right"),
            format!(
                "{} ends at {own} at its corner with {with}, which ends at {beyond}: the corner bead runs up the higher of the two; what stands above the lower one was not surveyed, and no face of a free end is counted there",
                facade.id
            ),
            "",
        );
    }
}

fn base(job: &Job, facade: &Facade, path: &str, order: &mut Order) {
    for (i, clearance) in crate::base::clearances(facade) {
        let Some(step) = facade.base.get(i) else {
            continue;
        };
        let place = format!("{path}.base[{i}]");
        if step.below == Below::Walkway && clearance < job.practice.base_above_walkway {
            order.find(
                "BASE_TOO_CLOSE_TO_WALKWAY",
                Severity::Breach,
                place.clone(),
                format!(
                    "the base profile of {} is {clearance} above the walkway; leave at least {}",
                    facade.id, job.practice.base_above_walkway
                ),
                PRACTICE,
            );
        }
        if clearance < job.practice.splash_zone && !job.parts.board.exposure.plinth {
            order.find(
                "BASE_IN_SPLASH_ZONE",
                Severity::Caution,
                place,
                format!(
                    "facade boards of {} begin {clearance} above finished ground, inside the splash zone of {}: use plinth boards there",
                    facade.id, job.practice.splash_zone
                ),
                PRACTICE,
            );
        }
    }
    beside_higher_ground(job, facade, path, order);
    high_plinth(job, facade, path, order);
    for (i, step) in facade.base.iter().enumerate() {
        let insulated = step.below == Below::InsulatedPlinth;
        if insulated && job.parts.plinth_board.is_none() && !job.parts.board.exposure.plinth {
            order.find(
                "PLINTH_BOARD_ABSENT",
                Severity::Breach,
                format!("{path}.base[{i}]"),
                format!(
                    "{} has an insulated plinth, and the system has no board that may stand there",
                    facade.id
                ),
                "",
            );
        }
        if insulated
            && step.level - step.ground < job.practice.splash_zone
            && !job.parts.board.exposure.plinth
        {
            order.find(
                "PLINTH_BELOW_SPLASH_ZONE",
                Severity::Caution,
                format!("{path}.base[{i}].level_mm"),
                format!(
                    "the plinth of {} ends {} above finished ground; the splash zone reaches {}",
                    facade.id,
                    step.level - step.ground,
                    job.practice.splash_zone
                ),
                PRACTICE,
            );
        }
    }
}

/// Facade boards beside a step of the ground that begin lower than the ground on its other side.
fn beside_higher_ground(job: &Job, facade: &Facade, path: &str, order: &mut Order) {
    if job.parts.board.exposure.plinth {
        return;
    }
    for (i, pair) in facade.base.windows(2).enumerate() {
        let [left, right] = pair else { continue };
        let (lower, higher, side) = if left.ground < right.ground {
            ((i, left), right, Side::Left)
        } else {
            ((i + 1, right), left, Side::Right)
        };
        let (i, lower) = lower;
        let buried = alloc::vec![(lower.level, higher.ground)];
        let wall = wall_beside(facade, right.from, side);
        let is_above = lower.ground == higher.ground || lower.level >= higher.ground;
        if is_above || common(buried, &wall).is_empty() {
            continue;
        }
        order.find(
            "BOARDS_BESIDE_HIGHER_GROUND",
            Severity::Caution,
            format!("{path}.base[{i}]"),
            format!(
                "facade boards of {} begin {} below the finished ground beside them, where it steps at x {}: no earth or paving may lie against their ends; carry the plinth boards on past the step, {} above the higher ground",
                facade.id,
                higher.ground - lower.level,
                right.from,
                job.practice.splash_zone
            ),
            PRACTICE,
        );
    }
}

/// How high the waterproofing of the plinth goes: above it nothing of it is counted.
fn waterproofing(job: &Job, order: &mut Order) {
    let mut steps = job.building.facades.iter().flat_map(|f| &f.base);
    let is_plinth = steps.any(|step| step.below == Below::InsulatedPlinth);
    if is_plinth && job.parts.waterproofing.is_some() {
        order.find(
            "WATERPROOFING_HEIGHT",
            Severity::Note,
            "",
            format!(
                "waterproofing is counted behind all boards of the plinth, and over them up to {} above finished ground",
                job.practice.waterproofing_rise
            ),
            PRACTICE,
        );
    }
}

/// A plinth that ends further above the ground than so many splash zones is told (common practice, no source).
const HIGH_PLINTH: i32 = 2;

/// A plinth that ends far above the splash zone, once for a facade with its highest step: boards that may stand in water are dear, and in a
/// class of fire behaviour of their own.
fn high_plinth(job: &Job, facade: &Facade, path: &str, order: &mut Order) {
    if job.parts.plinth_board.is_none() {
        return;
    }
    let over = |step: &BaseStep| step.level - step.ground;
    let steps = facade.base.iter().enumerate();
    let high: Vec<(usize, &BaseStep)> = steps
        .filter(|(_, step)| step.below == Below::InsulatedPlinth)
        .filter(|(_, step)| over(step) > job.practice.splash_zone * HIGH_PLINTH)
        .collect();
    // Of equals the first.
    let Some((i, step)) = high.iter().rev().max_by_key(|(_, step)| over(step)) else {
        return;
    };
    let others = match high.len() as u64 - 1 {
        0 => String::new(),
        n => format!(
            ", and {} of its base line",
            numbered(n, "more step", "more steps")
        ),
    };
    order.find(
        "PLINTH_HIGH_ABOVE_GROUND",
        Severity::Note,
        format!("{path}.base[{i}].level_mm"),
        format!(
            "the plinth of {} ends {} above finished ground{others}; the splash zone reaches {}. Plinth boards are counted, anchored and finished up to there: where that is not meant, lower the base line",
            facade.id,
            over(step),
            job.practice.splash_zone
        ),
        PRACTICE,
    );
}

fn colour(job: &Job, order: &mut Order) {
    let path = "site.reflection_index";
    match (job.site.reflection_index, job.site.solar_reflectance) {
        (None, _) => order.find(
            "COLOUR_NOT_TOLD",
            Severity::Note,
            path,
            format!("choose a colour with a light reflection index above {REFLECTION_OVER:.0}, or show its total solar reflectance"),
            COLOUR_SOURCE,
        ),
        (Some(y), _) if y > REFLECTION_OVER => {}
        (Some(y), Some(tsr)) if tsr > SOLAR_REFLECTANCE_OVER => order.find(
            "COLOUR_DARK_BUT_REFLECTIVE",
            Severity::Note,
            path,
            format!("light reflection index {y:.0}, with a total solar reflectance of {tsr:.0} above {SOLAR_REFLECTANCE_OVER:.0}"),
            COLOUR_SOURCE,
        ),
        (Some(y), tsr) => {
            let told = tsr.map_or_else(|| "not told".into(), |t| format!("{t:.0}"));
            order.find(
                "COLOUR_TOO_DARK",
                Severity::Breach,
                path,
                format!("light reflection index {y:.0}, not above {REFLECTION_OVER:.0}: the total solar reflectance must exceed {SOLAR_REFLECTANCE_OVER:.0}, and is {told}"),
                COLOUR_SOURCE,
            );
        }
    }
}

fn temperatures(job: &Job, order: &mut Order) {
    let (from, to) = (
        job.practice.work_from.as_celsius(),
        job.practice.work_to.as_celsius(),
    );
    let mut breach = |path: &str, found: f64| {
        order.find(
            "WORK_TEMPERATURE",
            Severity::Breach,
            path,
            format!("{found:.1} degC is outside {from:.0} to {to:.0} degC for air and substrate during wet work and drying"),
            PRACTICE,
        );
    };
    if let Some(cold) = job.site.coldest.filter(|t| t.as_celsius() < from) {
        breach("site.coldest_celsius", cold.as_celsius());
    }
    if let Some(warm) = job.site.warmest.filter(|t| t.as_celsius() > to) {
        breach("site.warmest_celsius", warm.as_celsius());
    }
    order.find(
        "WORK_WEATHER",
        Severity::Note,
        "",
        format!("wet work at {from:.0} to {to:.0} degC of air and substrate, without rain, drying wind or direct sun; cover the scaffold"),
        PRACTICE,
    );
}

fn drying(job: &Job, order: &mut Order) {
    let mut wait = |code, days: f64, text: &str| {
        let hours = days * 24.0;
        order.find(
            code,
            Severity::Note,
            "",
            format!("{text}: {hours:.0} h"),
            "catalogue",
        );
    };
    if let Some(usage) = job.parts.bonding_mortar.bonding {
        wait(
            "DRYING_BEFORE_ANCHORS",
            usage.before_anchors.as_days(),
            "bonding mortar sets before anchors are placed",
        );
    }
    let thickness: Length = courses(job).into_iter().sum();
    if let Some(usage) = job.parts.base_coat_mortar.base_coat {
        let days = usage.drying.as_days();
        wait(
            "DRYING_BEFORE_PRIMER",
            days,
            "base coat dries before the primer",
        );
        let by_rule = thickness.as_mm();
        if days < by_rule {
            order.find(
                "DRYING_SHORTER_THAN_RULE",
                Severity::Caution,
                "",
                format!("the base coat's drying of {days:.1} d is shorter than a day for each millimetre, {by_rule:.1} d"),
                "trade glossary on DIN 18550: at least 1 day per mm, mineral mortar",
            );
        }
    }
    let primer = job.parts.primer.drying.as_days() * 24.0;
    order.find(
        "DRYING_BEFORE_FINISH",
        Severity::Note,
        "",
        format!("primer dries before the finish: {primer:.0} h"),
        "catalogue",
    );
}

fn cautions(order: &mut Order) {
    for (code, text) in [
        (
            "CAUTION_WET_MORTAR",
            "wet mortar is strongly alkaline: gloves, closed clothing and eye protection; rinse eyes with water at once and see a doctor",
        ),
        (
            "CAUTION_DUST",
            "cutting, rasping and drilling raise dust, from masonry and concrete also crystalline silica: extract at the tool and wear a fitting mask",
        ),
        (
            "CAUTION_SCAFFOLD",
            "work from a scaffold that a competent person has released; its ties stay until the last coat, and their holes are closed tightly",
        ),
        (
            "CAUTION_POWER_TOOLS",
            "drills, saws and mixers on protected circuits, with eye and ear protection; look for cables and pipes before drilling",
        ),
        (
            "CAUTION_LOCAL_RULES",
            "fire protection, fixing and scaffolds follow local codes and licensed practice, which this takeoff does not replace",
        ),
    ] {
        order.find(code, Severity::Caution, "", text, PRACTICE);
    }
}
