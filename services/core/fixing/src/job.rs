//! The fixing design of a whole building, in one straight line: wind, resistance, number, placement, verification on the wall.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use facade::{Point, Rectangle, Substrate};
use material::{Anchor, Board, Plate, Plug, Setting, System};
use quantity::{Area, Length, Mm, WindPressure};
use standards::eota::FixingRules;
use working::{Fault, Faults, Finding, Severity, Sheet, Verdict};

use crate::anchors::{
    self, AnchorRequest, Governing, Pattern, Resistance, WallResistance, ZoneDesign, ZoneVerified,
};
use crate::length::{self, ChosenLength, Layers};
use crate::placement::{BoardOnWall, Distances, Placement, WallToAnchor, ZoneRectangle, place};
use crate::sensitivity::{self, SensitivityRow};
use crate::wind::{
    self, FacadeOnPlan, FacadeSuction, LoadLevel, Plan, Runs, Suction, WindCode, WindRequest,
    ZoneStrip,
};

/// A layer situation: what the anchors of some boards reach through and hold in.
#[derive(Clone, Debug)]
pub struct Situation<'a> {
    /// Path in the request, for faults and origins.
    pub path: &'a str,
    /// Its name, such as `facade boards on the rear wall`.
    pub name: &'a str,
    /// The board.
    pub board: &'a Board,
    /// Its thickness.
    pub thickness: Mm,
    /// Anchors in order of preference; the first that serves is taken.
    pub anchors: &'a [&'a Anchor],
    /// Wider plate of the system.
    pub plate: Option<&'a Plate>,
    /// Plug of the system, over sunk anchors; a cap, over flush ones, where none of `anchors` is sunk.
    pub plug: Option<&'a Plug>,
    /// The wall behind.
    pub substrate: &'a Substrate,
    /// Thickness of the base material, where known.
    pub member_thickness: Option<Length>,
    /// Adhesive bed.
    pub bed: Mm,
    /// Where the resistance in the wall comes from.
    pub wall: WallResistance,
}

/// One facade.
#[derive(Clone, Debug)]
pub struct FacadeToFix<'a> {
    /// Path in the request.
    pub path: &'a str,
    /// Its id.
    pub id: &'a str,
    /// Which side of the plan it runs along.
    pub runs: Runs,
    /// Level of the ground, from which heights count.
    pub ground: Mm,
    /// The edge of the bare wall.
    pub outline: &'a [Point],
    /// The bare openings.
    pub openings: &'a [Rectangle],
    /// The boards as set out; each names its situation.
    pub boards: &'a [BoardOnWall],
}

/// The whole job.
pub struct FixingJob<'a> {
    /// The wind code at the site.
    pub code: &'a dyn WindCode,
    /// The building in plan.
    pub plan: Plan,
    /// Loaded area of one fixing; 1 m² lies on the safe side.
    pub loaded_area: Area,
    /// Fixing rules.
    pub rules: &'a FixingRules,
    /// The system.
    pub system: &'a System,
    /// Layer situations.
    pub situations: &'a [Situation<'a>],
    /// Facades.
    pub facades: &'a [FacadeToFix<'a>],
    /// Where the anchors of a board stand.
    pub pattern: Pattern,
}

/// The anchor of one layer situation.
#[derive(Clone, Debug, PartialEq)]
pub struct SituationAnswer {
    /// The situation's name.
    pub name: String,
    /// Key of the anchor.
    pub anchor: String,
    /// Its resistances.
    pub resistance: Resistance,
    /// Its length and drilling.
    pub length: ChosenLength,
    /// How many on the whole building.
    pub count: u32,
}

/// One zone of one facade in one layer situation.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneAnswer {
    /// Facade.
    pub facade: String,
    /// The strip of the wall.
    pub strip: ZoneStrip,
    /// Index of the strip on its facade.
    pub strip_index: usize,
    /// Index of the situation.
    pub situation: usize,
    /// The design for whole boards.
    pub design: ZoneDesign,
    /// Anchors for a whole board as placed; more than designed where cut boards and edges ask for it.
    pub per_board: u32,
    /// Anchors placed for the boards of the zone.
    pub count: u32,
    /// Area of the boards of the zone.
    pub area: Area,
    /// The check with the real number and the real share of anchors in joints; nothing where no board belongs to the zone.
    pub verified: Option<ZoneVerified>,
}

impl ZoneAnswer {
    /// Suction against resistance as the anchors stand on the wall, or as designed where nothing is set out.
    fn resistance_verdict(&self) -> Verdict {
        let on_wall = self.verified.as_ref();
        on_wall.map_or(self.design.verdict, |found| found.verdict)
    }
}

/// The zones that are judged: those with boards; where nothing is set out, all of them as designed.
pub(crate) fn judged(zones: &[ZoneAnswer]) -> impl Iterator<Item = &ZoneAnswer> {
    let laid = zones.iter().any(|zone| zone.verified.is_some());
    zones
        .iter()
        .filter(move |zone| zone.verified.is_some() || !laid)
}

/// The greatest used share of a resistance, and whether every check of anchors holds.
fn verdict(zones: &[ZoneAnswer]) -> (f64, bool) {
    let resistances = || judged(zones).map(ZoneAnswer::resistance_verdict);
    let mut numbers = judged(zones).filter_map(|zone| zone.verified.as_ref());
    let utilisation = resistances().map(|v| v.utilisation).fold(0.0, libm::fmax);
    let holds = resistances().all(|v| v.holds) && numbers.all(|v| v.number.holds);
    (utilisation, holds)
}

/// One line of the drilling list.
#[derive(Clone, Debug, PartialEq)]
pub struct DrillingLine {
    /// Facade.
    pub facade: String,
    /// Layer situation.
    pub situation: String,
    /// Key of the anchor.
    pub anchor: String,
    /// Its length.
    pub length: Mm,
    /// Diameter of the drill.
    pub drill_diameter: Mm,
    /// Depth of the hole in the base material.
    pub drill_depth: Length,
    /// Depth of the hole from the face of the board.
    pub hole_depth: Length,
    /// How many.
    pub count: u32,
}

/// The fixing design.
#[derive(Clone, Debug, PartialEq)]
pub struct FixingAnswer {
    /// The wind.
    pub wind: Suction,
    /// Layer situations in the order of the job.
    pub situations: Vec<SituationAnswer>,
    /// Zones by facade, from below and from the left, then by situation.
    pub zones: Vec<ZoneAnswer>,
    /// Every anchor by facade, in the order of the job.
    pub placements: Vec<Placement>,
    /// The drilling list.
    pub drilling: Vec<DrillingLine>,
    /// All anchors.
    pub count: u32,
    /// Greatest used share of the anchors' resistance in any zone. The least number of anchors is a check of its own and not in it.
    pub utilisation: f64,
    /// Whether every check holds.
    pub holds: bool,
    /// What a change of one input would do.
    pub sensitivity: Vec<SensitivityRow>,
    /// Cautions, breaches, notes.
    pub findings: Vec<Finding>,
}

/// How often the number of a zone is raised because boards on the wall hold fewer than whole boards would.
const RAISES_MAX: u32 = 4;

/// Designs the fixing of a building.
///
/// # Errors
/// Every fault at once: those of building and site, and of each layer situation the refusals of its preferred anchor where none of its anchors
/// serves.
pub fn fix(job: &FixingJob<'_>, sheet: &mut Sheet) -> Result<FixingAnswer, Vec<Fault>> {
    let mut faults = Faults::new();
    check(job, &mut faults);
    let request = wind_request(job);
    let wind = wind::suction(job.code, &request, sheet)
        .map_err(|list| faults.extend(list))
        .ok();
    let level = wind.as_ref().map_or(LoadLevel::Characteristic, |w| w.level);
    sheet.section("Resistance of the anchors");
    let situations: Vec<Option<SituationAnswer>> = job
        .situations
        .iter()
        .map(|s| {
            situation(job, s, level, sheet)
                .map_err(|list| faults.extend(list))
                .ok()
        })
        .collect();
    faults.or(())?;
    let situations: Vec<SituationAnswer> = situations.into_iter().flatten().collect();
    let Some(wind) = wind else {
        return Err(Vec::new());
    };
    sheet.section("Anchors by zone");
    let designs = Designs::new(&wind, &situations, sheet);
    let mut zones = Vec::new();
    let mut placements = Vec::with_capacity(job.facades.len());
    for (facade, suction) in job.facades.iter().zip(&wind.facades) {
        let (placement, per_board) = place_facade(job, facade, suction, &situations, &designs)?;
        let answers = verify_facade(
            (facade, suction),
            &situations,
            &designs,
            (&placement, &per_board),
            sheet,
        );
        zones.extend(answers);
        placements.push(placement);
    }
    Ok(finish(job, wind, situations, zones, placements))
}

fn check(job: &FixingJob<'_>, faults: &mut Faults) {
    if job.situations.is_empty() {
        faults.add(
            "situations",
            "MISSING",
            "none",
            "at least one layer situation",
        );
    }
    for (i, facade) in job.facades.iter().enumerate() {
        let used = facade.boards.iter().map(|b| b.situation).max();
        if used.is_some_and(|most| most >= job.situations.len()) {
            faults.add(
                format!("facades[{i}].boards"),
                "UNKNOWN_SITUATION",
                format!("situation {}", used.unwrap_or_default()),
                format!("less than {}", job.situations.len()),
            );
        }
    }
}

fn wind_request(job: &FixingJob<'_>) -> WindRequest {
    let facades = job.facades.iter().map(|facade| {
        let xs = facade.outline.iter().map(|p| p.x);
        let ys = facade.outline.iter().map(|p| p.y);
        FacadeOnPlan {
            id: facade.id.to_string(),
            runs: facade.runs,
            left: xs.clone().min().unwrap_or_default(),
            right: xs.max().unwrap_or_default(),
            bottom: ys.clone().min().unwrap_or_default(),
            top: ys.max().unwrap_or_default(),
            ground: facade.ground,
        }
    });
    WindRequest {
        plan: job.plan,
        facades: facades.collect(),
        loaded_area: job.loaded_area,
    }
}

fn anchor_request<'a>(
    job: &FixingJob<'a>,
    s: &Situation<'a>,
    anchor: &'a Anchor,
    level: LoadLevel,
) -> AnchorRequest<'a> {
    AnchorRequest {
        path: s.path,
        rules: job.rules,
        level,
        anchor,
        plate: s.plate.filter(|_| s.board.wider_plate),
        board: &s.board.article.key,
        board_thickness: s.thickness,
        board_area: s.board.length.to_length() * s.board.height.to_length(),
        plate_resistances: &job.system.plate_resistances,
        per_m2_min: job.system.anchors_per_m2_min,
        per_m2_max: job.system.anchors_per_m2_max,
        category: s.substrate.category,
        member_thickness: s.member_thickness,
        wall: s.wall.clone(),
        pattern: job.pattern,
    }
}

fn with_anchor(
    job: &FixingJob<'_>,
    s: &Situation<'_>,
    anchor: &Anchor,
    level: LoadLevel,
    sheet: &mut Sheet,
) -> Result<SituationAnswer, Vec<Fault>> {
    let resistance = anchors::resistance(&anchor_request(job, s, anchor, level), sheet)?;
    let layers = Layers {
        path: s.path,
        anchor,
        base: &resistance.base,
        old_render: s.substrate.old_render,
        bed: s.bed,
        board: s.board,
        thickness: s.thickness,
        plate: s.plate,
        plug: cover(s, anchor),
    };
    let length = length::choose(&layers, sheet)?;
    within_wall(s, anchor, length.drill_depth.value)?;
    Ok(SituationAnswer {
        name: s.name.to_string(),
        anchor: anchor.article.key.clone(),
        resistance,
        length,
        count: 0,
    })
}

/// The hole for the stocked length ends within the base material, where its thickness is known.
fn within_wall(s: &Situation<'_>, anchor: &Anchor, hole: Length) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if let Some(thickness) = s.member_thickness
        && hole >= thickness
    {
        faults.add(
            format!("{}.member_thickness_mm", s.path),
            "HOLE_THROUGH_WALL",
            format!("{} mm", thickness.as_mm()),
            format!(
                "more than the hole of {} mm for the stocked length of {}",
                hole.as_mm(),
                anchor.article.key
            ),
        );
    }
    faults.or(())
}

/// What covers an anchor: the system's plug over a sunk one, its cap over a flush one. It is a cap where the system sinks none.
fn cover<'a>(s: &Situation<'a>, anchor: &Anchor) -> Option<&'a Plug> {
    let flush = |anchor: &Anchor| anchor.setting == Setting::Flush;
    let caps = s.anchors.iter().all(|anchor| flush(anchor));
    s.plug.filter(|_| caps || !flush(anchor))
}

/// The first anchor of a situation that serves; where none does, the refusals of the one with the fewest, of equals the first: what another
/// one asks for beyond that is not what is missing.
fn situation(
    job: &FixingJob<'_>,
    s: &Situation<'_>,
    level: LoadLevel,
    sheet: &mut Sheet,
) -> Result<SituationAnswer, Vec<Fault>> {
    let mut nearest: Option<Vec<Fault>> = None;
    for anchor in s.anchors {
        match with_anchor(job, s, anchor, level, &mut Sheet::new()) {
            Ok(_) => {
                sheet.step(format!(
                    "{}: first anchor of the system that serves: {}",
                    s.name, anchor.article.key
                ));
                return with_anchor(job, s, anchor, level, sheet);
            }
            Err(faults) => {
                if nearest.as_ref().is_none_or(|n| faults.len() < n.len()) {
                    nearest = Some(faults);
                }
            }
        }
    }
    Err(nearest.unwrap_or_else(|| {
        let mut faults = Faults::new();
        faults.add(
            format!("{}.anchors", s.path),
            "MISSING",
            "no anchor",
            "at least one anchor in the system",
        );
        faults.into_list()
    }))
}

/// Designs by the line of the suction and the situation: zones of equal suction are designed once.
struct Designs {
    by_line: BTreeMap<(u32, usize), ZoneDesign>,
}

impl Designs {
    fn new(wind: &Suction, situations: &[SituationAnswer], sheet: &mut Sheet) -> Self {
        let mut by_line = BTreeMap::new();
        for strip in wind.facades.iter().flat_map(|f| &f.strips) {
            for (i, s) in situations.iter().enumerate() {
                by_line.entry((strip.suction.line, i)).or_insert_with(|| {
                    let label = format!("zone {}, {}", strip.zone, s.name);
                    anchors::design(&label, &s.resistance, strip.suction, sheet)
                });
            }
        }
        Self { by_line }
    }
    fn of(&self, strip: &ZoneStrip, situation: usize) -> Option<&ZoneDesign> {
        self.by_line.get(&(strip.suction.line, situation))
    }
    fn per_board(&self, strip: &ZoneStrip, situation: usize) -> u32 {
        self.of(strip, situation).map_or(0, |d| d.per_board)
    }
}

/// Places the anchors of a facade, and raises the number of a zone where its boards on the wall hold less than whole boards would.
fn place_facade(
    job: &FixingJob<'_>,
    facade: &FacadeToFix<'_>,
    suction: &FacadeSuction,
    situations: &[SituationAnswer],
    designs: &Designs,
) -> Result<(Placement, Vec<Vec<u32>>), Vec<Fault>> {
    let zones: Vec<ZoneRectangle> = suction
        .strips
        .iter()
        .map(|s| ZoneRectangle {
            x_from: s.x_from,
            x_to: s.x_to,
            y_from: s.y_from,
            y_to: s.y_to,
        })
        .collect();
    let suctions: Vec<WindPressure> = suction.strips.iter().map(|s| s.suction.value).collect();
    let mut per_board: Vec<Vec<u32>> = suction
        .strips
        .iter()
        .map(|strip| {
            (0..situations.len())
                .map(|i| designs.per_board(strip, i))
                .collect()
        })
        .collect();
    let whole_boards: Vec<Area> = situations
        .iter()
        .map(|s| s.resistance.board_area.value)
        .collect();
    let distances = distances(job);
    let mut raises = 0;
    loop {
        let placement = place(&WallToAnchor {
            path: facade.path,
            outline: facade.outline,
            openings: facade.openings,
            boards: facade.boards,
            whole_boards: &whole_boards,
            zones: &zones,
            suctions: &suctions,
            per_board: &per_board,
            pattern: job.pattern,
            distances,
        })?;
        let mut raised = false;
        if raises < RAISES_MAX {
            for ((zone, s), counted) in placement.counts() {
                let (Some(strip), Some(answer)) = (suction.strips.get(zone), situations.get(s))
                else {
                    continue;
                };
                let Some(design) = designs.of(strip, s) else {
                    continue;
                };
                let number = per_board.get_mut(zone).and_then(|list| list.get_mut(s));
                let serves =
                    anchors::serves(&answer.resistance, design.design_suction.value, counted);
                if let Some(number) = number
                    && !serves
                    && *number < answer.resistance.per_board_max()
                {
                    *number += 1;
                    raised = true;
                }
            }
        }
        if !raised {
            return Ok((placement, per_board));
        }
        raises += 1;
    }
}

/// The distances of the job: the strictest of its anchors, and the rule's distances on boards.
fn distances(job: &FixingJob<'_>) -> Distances {
    let anchors = || job.situations.iter().flat_map(|s| s.anchors.iter());
    let mm = |length: Length| Mm(libm::ceil(length.as_mm() - 1e-9) as i32);
    Distances {
        spacing: anchors().map(|a| a.spacing_min).max().unwrap_or_default(),
        wall_edge: anchors()
            .map(|a| a.edge_distance_min)
            .max()
            .unwrap_or_default(),
        board_edge: mm(job.rules.placement.board_edge.value),
        board_edge_min: mm(job.rules.placement.board_edge_min.value),
    }
}

fn verify_facade(
    (facade, suction): (&FacadeToFix<'_>, &FacadeSuction),
    situations: &[SituationAnswer],
    designs: &Designs,
    (placement, per_board): (&Placement, &[Vec<u32>]),
    sheet: &mut Sheet,
) -> Vec<ZoneAnswer> {
    let counts = placement.counts();
    let mut answers = Vec::new();
    for (strip_index, strip) in suction.strips.iter().enumerate() {
        for (index, s) in situations.iter().enumerate() {
            let counted = counts.get(&(strip_index, index)).copied();
            let (Some(design), true) = (designs.of(strip, index), counted.is_some() || index == 0)
            else {
                continue;
            };
            let label = format!(
                "{}, zone {} at {}, {}",
                facade.id, strip.zone, strip.x_from, s.name
            );
            let verified = counted
                .map(|c| anchors::verify(&label, &s.resistance, design.design_suction, c, sheet));
            let counted = counted.unwrap_or_default();
            answers.push(ZoneAnswer {
                facade: facade.id.to_string(),
                strip: *strip,
                strip_index,
                situation: index,
                design: design.clone(),
                per_board: per_board
                    .get(strip_index)
                    .and_then(|list| list.get(index))
                    .copied()
                    .unwrap_or(design.per_board),
                count: counted.anchors,
                area: counted.area,
                verified,
            });
        }
    }
    answers
}

fn finish(
    job: &FixingJob<'_>,
    wind: Suction,
    mut situations: Vec<SituationAnswer>,
    zones: Vec<ZoneAnswer>,
    placements: Vec<Placement>,
) -> FixingAnswer {
    for zone in &zones {
        if let Some(s) = situations.get_mut(zone.situation) {
            s.count = s.count.saturating_add(zone.count);
        }
    }
    let drilling = drilling(job, &situations, &placements);
    let (utilisation, holds) = verdict(&zones);
    let sensitivity = sensitivity::rows(job, &wind, &situations, &zones, &placements);
    let mut findings = findings(job, &wind, &situations, &zones, &placements);
    findings.sort_by_key(|f| core::cmp::Reverse(f.severity));
    FixingAnswer {
        count: situations.iter().map(|s| s.count).sum(),
        wind,
        situations,
        zones,
        placements,
        drilling,
        utilisation,
        holds,
        sensitivity,
        findings,
    }
}

fn drilling(
    job: &FixingJob<'_>,
    situations: &[SituationAnswer],
    placements: &[Placement],
) -> Vec<DrillingLine> {
    let mut lines = Vec::new();
    for (facade, placement) in job.facades.iter().zip(placements) {
        let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
        for point in &placement.points {
            *counts.entry(point.situation).or_default() += 1;
        }
        for (index, count) in counts {
            if let Some(s) = situations.get(index) {
                lines.push(DrillingLine {
                    facade: facade.id.to_string(),
                    situation: s.name.clone(),
                    anchor: s.anchor.clone(),
                    length: s.length.length,
                    drill_diameter: s.length.drill_diameter,
                    drill_depth: s.length.drill_depth.value,
                    hole_depth: s.length.hole_depth.value,
                    count,
                });
            }
        }
    }
    lines
}

fn say(
    code: &'static str,
    severity: Severity,
    path: &str,
    text: String,
    source: &'static str,
) -> Finding {
    Finding {
        code,
        severity,
        path: path.to_string(),
        text,
        source,
    }
}

fn findings(
    job: &FixingJob<'_>,
    wind: &Suction,
    situations: &[SituationAnswer],
    zones: &[ZoneAnswer],
    placements: &[Placement],
) -> Vec<Finding> {
    let mut findings = wind.findings.clone();
    for finding in situations.iter().flat_map(|s| &s.resistance.findings) {
        if !findings.contains(finding) {
            findings.push(finding.clone());
        }
    }
    let structural = "The fixing is a structural design. It must be confirmed by the person responsible under local rules before it is built. What \
        matters most: the wind at the site, the category and state of the base material, and pull-out tests where either is in doubt.";
    findings.push(say(
        "STRUCTURAL_DESIGN_TO_CONFIRM",
        Severity::Caution,
        "",
        structural.to_string(),
        "",
    ));
    let drilling = "Drilling: dust is drawn off at the drill and breathing protection worn; eyes and ears are protected; hollow masonry is drilled \
        without hammer action; search for cables and pipes first; work from a scaffold that has been inspected.";
    let practice = "common practice, no source";
    findings.push(say(
        "DRILLING_SAFETY",
        Severity::Caution,
        "",
        drilling.to_string(),
        practice,
    ));
    for (facade, placement) in job.facades.iter().zip(placements) {
        if let Some(finding) = short_of_room(facade, placement) {
            findings.push(finding);
        }
    }
    for zone in judged(zones) {
        let situation = situations.get(zone.situation);
        findings.extend(situation.and_then(|situation| of_zone(job, situation, zone)));
    }
    findings
}

fn short_of_room(facade: &FacadeToFix<'_>, placement: &Placement) -> Option<Finding> {
    const SHOWN: usize = 12;
    let short: Vec<u32> = placement.short().map(|b| b.board).collect();
    if short.is_empty() {
        return None;
    }
    let names: Vec<String> = short.iter().take(SHOWN).map(ToString::to_string).collect();
    let more = if short.len() > SHOWN {
        " and others"
    } else {
        ""
    };
    let (have, are) = if short.len() == 1 {
        ("1 board has", "It is bonded over its")
    } else {
        (
            &*format!("{} boards have", short.len()),
            "They are bonded over their",
        )
    };
    let text = format!(
        "{have} no room for a full share of anchors within the distances from edges and openings: {}{more}. {are} full surface; the check of each \
         zone counts the anchors that are there.",
        names.join(", ")
    );
    Some(say(
        "BOARDS_SHORT_OF_ANCHORS",
        Severity::Caution,
        facade.path,
        text,
        "",
    ))
}

fn of_zone(job: &FixingJob<'_>, situation: &SituationAnswer, zone: &ZoneAnswer) -> Option<Finding> {
    let facade = job.facades.iter().find(|facade| facade.id == zone.facade);
    let path = facade.map_or("", |facade| facade.path);
    let place = format!(
        "{}, zone {} from {} to {}, {}",
        zone.facade, zone.strip.zone, zone.strip.x_from, zone.strip.x_to, situation.name
    );
    let failing = match &zone.verified {
        Some(v) if !v.verdict.holds => Some((v.verdict, v.governing)),
        Some(v) if !v.number.holds => Some((v.number, Governing::LeastNumber)),
        Some(_) => None,
        None => {
            (!zone.design.verdict.holds).then_some((zone.design.verdict, zone.design.governing))
        }
    };
    if let Some((verdict, governing)) = failing {
        let provided = zone
            .verified
            .as_ref()
            .map_or(0.0, |v| v.provided.value.as_per_m2());
        let text = if !verdict.utilisation.is_finite() {
            format!(
                "{place}: on no board there is room for an anchor within the distances from edges and openings, and nothing but the bond holds them. Make the boards there larger, or have a competent person design their fixing."
            )
        } else if governing == Governing::LeastNumber {
            format!(
                "{place}: {provided:.2} anchors per m2 stand there, at least {} are asked for whatever the wind: on some boards there is no room for more within the distances. Make the boards there larger, or have a competent person design their fixing.",
                situation.resistance.least.value.as_per_m2()
            )
        } else {
            format!(
                "{place}: utilisation {:.2}, {} governs. Choose an anchor that holds more, a wider plate or another system.",
                verdict.utilisation,
                governing.words()
            )
        };
        return Some(say(
            "ANCHORS_NOT_ENOUGH",
            Severity::Breach,
            path,
            text,
            "EAD 040083-00-0404",
        ));
    }
    let provided = zone
        .verified
        .as_ref()
        .map_or(zone.design.provided.value, |v| v.provided.value);
    let usual = (
        job.rules.per_m2_usual_low.value,
        job.rules.per_m2_usual_high.value,
    );
    if zone.count > 0 && (provided < usual.0 || provided > usual.1) {
        let text = format!(
            "{place}: {:.1} anchors per m2, outside the usual {} to {}: look at the inputs again.",
            provided.as_per_m2(),
            usual.0.as_per_m2(),
            usual.1.as_per_m2()
        );
        return Some(say(
            "ANCHORS_OUTSIDE_USUAL",
            Severity::Caution,
            path,
            text,
            "common practice, no source",
        ));
    }
    None
}
