//! How long a wet layer takes to dry behind each of several insulations: the curve, and the answer in words.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{AreaMass, Density, Duration, Length};
use standards::en_15026;
use working::{Check, Clause, Fault, Faults, Figure, Halt, Limit, Origin, Sheet};

use crate::curve::water_at;
use crate::material::{Liquid, Sorption};
use crate::simulate::{Accuracy, History, Task, simulate_unless};
use crate::wall::{Climate, Wall};

/// A wall that is asked about.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What sets it apart, such as `mineral wool 140 mm`.
    pub name: String,
    /// The wall, its wet layer with the water it starts with.
    pub wall: Wall,
    /// The index of the wet layer.
    pub wet_layer: usize,
}

/// When a layer counts as dry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dry {
    /// At a mean water content.
    Water(Density),
    /// At the water content in balance with a relative humidity, 0 to 1; 0.8 is usual.
    Humidity(f64),
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DryingTask {
    /// When the layer counts as dry.
    pub dry: Dry,
    /// How long the calculation follows the wall at most.
    pub longest: Duration,
    /// How often the curve has a point.
    pub every: Duration,
}

/// A point of a drying curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DryingPoint {
    /// The time since the start.
    pub after: Duration,
    /// The mean water content of the wet layer.
    pub water: Density,
    /// All water in the wall.
    pub total: AreaMass,
}

/// How one candidate dries.
#[derive(Clone, Debug, PartialEq)]
pub struct Drying {
    /// The candidate's name.
    pub name: String,
    /// The name of the wet material.
    pub material: String,
    /// The thickness of the wet layer.
    pub thickness: Length,
    /// The curve from the start to the end.
    pub curve: Vec<DryingPoint>,
    /// The mean water content at the start.
    pub start: Density,
    /// The mean water content at the end of the calculation.
    pub end: Density,
    /// The mean water content at which the layer counts as dry.
    pub target: Density,
    /// The time after which it stays at or below that until the end; nothing where it ends above.
    pub dry_after: Option<Duration>,
    /// The time after which half of the water above the target has gone; nothing where that is not reached.
    pub half_after: Option<Duration>,
    /// The whole course.
    pub history: History,
    /// The answer in words.
    pub answer: String,
}

/// How all candidates dry.
#[derive(Clone, Debug, PartialEq)]
pub struct DryingAnswer {
    /// One a candidate, in the order asked.
    pub candidates: Vec<Drying>,
    /// The candidates from the fastest to the slowest, by their index; those that do not dry come last, the drier ones first.
    pub order: Vec<usize>,
    /// The comparison in words.
    pub answer: String,
}

/// The most candidates of one question.
pub const MOST_CANDIDATES: usize = 20;

/// Follows every candidate through the climate and tells how long its wet layer takes to dry.
///
/// # Errors
/// Every fault of every candidate, of the climate and of the task at once, each with the candidate's index in its path; or
/// `NOT_SOLVED` as [`simulate`] says it.
pub fn drying(
    candidates: &[Candidate],
    climate: &Climate,
    task: &DryingTask,
    accuracy: &Accuracy,
) -> Result<DryingAnswer, Vec<Fault>> {
    let answer = drying_unless(candidates, climate, task, accuracy, Halt::NEVER)?;
    // Never halted, it has an answer.
    answer.ok_or_else(Vec::new)
}

/// Follows every candidate as [`drying`] does, or gives nothing where the calculation was halted before its end.
///
/// # Errors
/// Those of [`drying`].
pub fn drying_unless(
    candidates: &[Candidate],
    climate: &Climate,
    task: &DryingTask,
    accuracy: &Accuracy,
    halt: Halt<'_>,
) -> Result<Option<DryingAnswer>, Vec<Fault>> {
    let mut faults = Faults::new();
    if !(1..=MOST_CANDIDATES).contains(&candidates.len()) {
        faults.add(
            "candidates",
            "COUNT",
            format!("{}", candidates.len()),
            format!("1 to {MOST_CANDIDATES} candidates"),
        );
    }
    match task.dry {
        Dry::Humidity(h) if !(0.01..=0.99).contains(&h) => {
            faults.add(
                "dry.humidity",
                "OUT_OF_RANGE",
                format!("{h}"),
                "0.01 to 0.99",
            );
        }
        Dry::Water(w) if !(w.as_kg_per_m3() > 0.0 && w.is_finite()) => {
            faults.add(
                "dry.water_kg_per_m3",
                "OUT_OF_RANGE",
                format!("{}", w.as_kg_per_m3()),
                "above 0 kg/m3",
            );
        }
        _ => {}
    }
    for (i, candidate) in candidates.iter().enumerate() {
        if candidate.wet_layer >= candidate.wall.layers.len() {
            faults.add(
                format!("candidates[{i}].wet_layer"),
                "UNKNOWN_LAYER",
                format!("index {}", candidate.wet_layer),
                format!("an index below {}", candidate.wall.layers.len()),
            );
        }
    }
    faults.or(())?;
    let mut faults = Faults::new();
    let mut answers = Vec::with_capacity(candidates.len());
    for (i, candidate) in candidates.iter().enumerate() {
        match dry_one(candidate, climate, task, accuracy, halt) {
            Ok(Some(answer)) => answers.push(answer),
            Ok(None) => return Ok(None),
            Err(list) => faults.extend(list.into_iter().map(|fault| Fault {
                path: format!("candidates[{i}].{}", fault.path),
                ..fault
            })),
        }
    }
    faults.or(())?;
    let order = ranked(&answers);
    let answer = compare(&answers, &order, task);
    Ok(Some(DryingAnswer {
        candidates: answers,
        order,
        answer,
    }))
}

fn dry_one(
    candidate: &Candidate,
    climate: &Climate,
    task: &DryingTask,
    accuracy: &Accuracy,
    halt: Halt<'_>,
) -> Result<Option<Drying>, Vec<Fault>> {
    let course = Task {
        span: task.longest,
        every: task.every,
        profiles_at: Vec::new(),
    };
    let history = simulate_unless(&candidate.wall, climate, &course, accuracy, halt)?;
    let Some(history) = history else {
        return Ok(None);
    };
    let index = candidate.wet_layer;
    let Some(layer) = candidate.wall.layers.get(index) else {
        return Err(Vec::new());
    };
    let target = match task.dry {
        Dry::Water(w) => w,
        Dry::Humidity(h) => Density::from_kg_per_m3(water_at(&layer.material.sorption, h)),
    };
    let curve: Vec<DryingPoint> = history
        .records
        .iter()
        .filter_map(|record| {
            Some(DryingPoint {
                after: record.after,
                water: *record.layers.get(index)?,
                total: record.total,
            })
        })
        .collect();
    let start = curve.first().map_or(Density::ZERO, |p| p.water);
    let end = curve.last().map_or(Density::ZERO, |p| p.water);
    let mut drying = Drying {
        name: candidate.name.clone(),
        material: layer.material.name.clone(),
        thickness: layer.thickness,
        dry_after: below_after(&curve, target),
        half_after: below_after(&curve, target + (start - target) * 0.5),
        curve,
        start,
        end,
        target,
        history,
        answer: String::new(),
    };
    drying.answer = tell(&drying, task);
    Ok(Some(drying))
}

/// The time after which a curve stays at or below a water content, straight between its points.
fn below_after(curve: &[DryingPoint], limit: Density) -> Option<Duration> {
    let above = curve.iter().rposition(|p| p.water > limit);
    let Some(last) = above else {
        return Some(Duration::ZERO);
    };
    let (high, low) = (curve.get(last)?, curve.get(last + 1)?);
    let share = (high.water - limit) / (high.water - low.water);
    Some(high.after + (low.after - high.after) * share)
}

/// From the fastest to the slowest; of equals the one named first.
fn ranked(answers: &[Drying]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..answers.len()).collect();
    let key = |i: usize| {
        answers.get(i).map_or((f64::INFINITY, f64::INFINITY), |a| {
            let left = (a.end - a.target).as_kg_per_m3();
            a.dry_after
                .map_or((f64::INFINITY, left), |t| (t.as_seconds(), 0.0))
        })
    };
    order.sort_by(|&a, &b| {
        let (a, b) = (key(a), key(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    order
}

/// A time in the words of a site: days up to four months, months up to three years, then years.
fn span(time: Duration) -> String {
    let days = time.as_days();
    if days < 1.5 {
        String::from("a day or less")
    } else if days < 120.0 {
        format!("{days:.0} days")
    } else if days < 3.0 * 365.0 {
        format!("{:.0} months", days / 30.4)
    } else {
        format!("{:.1} years", days / 365.0)
    }
}

fn tell(drying: &Drying, task: &DryingTask) -> String {
    let (start, target, end) = (
        drying.start.as_kg_per_m3(),
        drying.target.as_kg_per_m3(),
        drying.end.as_kg_per_m3(),
    );
    let opening = format!(
        "Behind {}: the {} of {:.0} mm starts with {start:.0} kg of water in a cubic metre ({:.1} kg in each square metre of wall) and counts as dry at {target:.1} kg/m3.",
        drying.name,
        drying.material,
        drying.thickness.as_mm(),
        (drying.start * drying.thickness).as_kg_per_m2(),
    );
    let half = match drying.half_after {
        Some(time) if drying.start > drying.target => {
            format!(" Half of the surplus has gone after {}.", span(time))
        }
        _ => String::new(),
    };
    let close = match drying.dry_after {
        Some(time) if time <= Duration::ZERO => String::from(" It is dry from the start."),
        Some(time) => format!(" It is dry after {}.", span(time)),
        None => format!(
            " After {} it still holds {end:.1} kg/m3, {:.0} % of the surplus: it is not dry.",
            span(task.longest),
            100.0 * (end - target) / (start - target),
        ),
    };
    format!("{opening}{half}{close}")
}

fn compare(answers: &[Drying], order: &[usize], task: &DryingTask) -> String {
    let mut parts: Vec<String> = Vec::new();
    for answer in order.iter().filter_map(|&i| answers.get(i)) {
        parts.push(match answer.dry_after {
            Some(time) => format!("{}: dry after {}", answer.name, span(time)),
            None => format!("{}: not dry after {}", answer.name, span(task.longest)),
        });
    }
    format!(
        "{}. These times hold for the climate and material data given and for a wall without rising damp, leaks or joints that let rain in; a measurement of the masonry before the boards go on stands above them.",
        parts.join("; ")
    )
}

/// The share of what crossed the faces that may be missing in the balance.
const LARGEST_IMBALANCE: f64 = 1e-4;

/// Writes a drying on the sheet: what was calculated and how finely, the material forms of the wet layer, the balance of water, and
/// the time.
///
/// Gives the time to dryness as a figure where there is one.
pub fn record(
    sheet: &mut Sheet,
    candidate: &Candidate,
    drying: &Drying,
) -> Option<Figure<Duration>> {
    sheet.section(format!("Drying behind {}", drying.name));
    let h = &drying.history;
    sheet.step(format!(
        "Heat and moisture through {} layers in {} slices by implicit finite volumes: {} steps taken, {} refused and halved, {} Newton iterations; no air gap, no leak.",
        candidate.wall.layers.len(),
        h.slices,
        h.steps,
        h.refused,
        h.iterations
    ));
    record_material(sheet, candidate, drying);
    let counted = || Origin::Counted("sum over all slices and steps".into());
    let stored = sheet.given(
        "change of the water stored, kg/m2",
        h.stored.as_kg_per_m2(),
        counted(),
    );
    let inside = sheet.given(
        "water from inside, kg/m2",
        h.from_inside.as_kg_per_m2(),
        counted(),
    );
    let outside = sheet.given(
        "water from outside, kg/m2",
        h.from_outside.as_kg_per_m2(),
        counted(),
    );
    let crossed = sheet.given(
        "water across the faces either way, kg/m2",
        h.crossed.as_kg_per_m2(),
        counted(),
    );
    let balance = sheet.derive(
        "imbalance of water",
        &en_15026::MASS_BALANCE,
        (stored, inside, outside, crossed),
    );
    let clause = Clause::project("balance of water in a calculation over time");
    let limit = sheet.given(
        "largest imbalance",
        LARGEST_IMBALANCE,
        Origin::Table(clause),
    );
    sheet.check(Check {
        name: "no water is lost or made".into(),
        clause,
        figure: balance,
        limit,
        side: Limit::AtMost,
    });
    sheet.given("mean water content at the start", drying.start, counted());
    sheet.given("mean water content at the end", drying.end, counted());
    let time = drying.dry_after?;
    Some(sheet.given(
        "time until dry",
        time,
        Origin::Counted(
            "first time after which the mean water content stays at or below the mark".into(),
        ),
    ))
}

fn record_material(sheet: &mut Sheet, candidate: &Candidate, drying: &Drying) {
    let index = candidate.wet_layer;
    let Some(material) = candidate.wall.layers.get(index).map(|l| &l.material) else {
        return;
    };
    let from = |key: &str| Origin::request(format!("layers[{index}].material.{key}"));
    let Sorption::Capillary {
        free_saturation,
        at_80,
    } = material.sorption
    else {
        sheet.given(
            "water content that counts as dry",
            drying.target,
            from("sorption"),
        );
        return;
    };
    let free = sheet.given(
        "free saturation",
        free_saturation,
        from("sorption.free_saturation_kg_per_m3"),
    );
    let at_80 = sheet.given(
        "water content at 80 %",
        at_80,
        from("sorption.at_80_kg_per_m3"),
    );
    let practical = sheet.given(
        "humidity that counts as dry",
        en_15026::PRACTICAL_HUMIDITY,
        Origin::Assumed("the humidity at which building materials in use settle".into()),
    );
    sheet.derive(
        "water content in balance with it",
        &en_15026::CAPILLARY_SORPTION,
        (free, at_80, practical),
    );
    sheet.given(
        "water content that counts as dry",
        drying.target,
        from("dry"),
    );
    if let Liquid::ByAbsorption {
        coefficient: absorption,
        ..
    } = material.liquid
    {
        let absorption = sheet.given(
            "water absorption coefficient",
            absorption,
            from("liquid.coefficient"),
        );
        let start = sheet.given("water content at the start", drying.start, from("start"));
        sheet.derive(
            "moisture diffusivity at the start",
            &en_15026::SUCTION_DIFFUSIVITY,
            (absorption, free, start),
        );
    }
}
