//! Wind, anchors and bond: the survey as a fixing design, and the design as the answer.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use facade::{Building, Facade, Substrate, area_within};
use fixing::anchors::{
    AnchorRequest, Counted, Pattern, Resistance, WallResistance, ZoneDesign, design, resistance,
    serves, verify,
};
use fixing::length::{ChosenLength, Layers, choose};
use fixing::placement::{
    BoardOnWall, Distances, Placement, Stand, WallToAnchor, ZoneRectangle, place,
};
use fixing::wind::{
    EnWind, FacadeOnPlan, Plan, PlanShape, Site, Suction, WindRequest, ZoneStrip, suction,
};
use material::{Anchor, Attachment, BaseCategory, Board};
use quantity::{Area, Length, Mm, WindPressure};
use standards::en_1991_1_4::NationalWind;
use standards::eota::FixingRules;
use takeoff::{AnchorNeed, Fitting};
use working::{Fault, Faults, Figure, Finding, Severity, Sheet};

use crate::answer::{AnchorPoint, ChosenAnchor, Fixing, FixingZone};
use crate::parts::Parts;
use crate::request::WindSite;
use crate::set_out::{Product, Products, purpose};
use crate::thermal_part::{AnchorsOf, bridges};

/// What the fixing design rests on.
pub(crate) struct FixingRequest<'a> {
    pub building: &'a Building,
    pub parts: &'a Parts<'a>,
    pub rules: &'a FixingRules,
    pub bed: Mm,
}

/// The wind on every facade.
///
/// # Errors
/// Every fault of the site and of the plan.
pub(crate) fn wind(
    building: &Building,
    site: &WindSite,
    national: &NationalWind,
    sheet: &mut Sheet,
) -> Result<Suction, Vec<Fault>> {
    sheet.section("Wind");
    let plan = Plan {
        length: building.plan_length,
        width: building.plan_width,
        height: building.height.to_length(),
        shape: PlanShape::Rectangular,
    };
    let facades = building
        .facades
        .iter()
        .map(|facade| on_plan(facade, &plan))
        .collect();
    let own = Site {
        velocity: site.basic_velocity,
        zone: site.zone.clone(),
        terrain: site.terrain.clone(),
        altitude: site.altitude,
        orography: site.orography_factor,
        ..Site::default()
    };
    let code = EnWind {
        national,
        site: &own,
        path: "wind",
    };
    suction(
        &code,
        &WindRequest {
            plan,
            facades,
            loaded_area: site.loaded_area,
        },
        sheet,
    )
}

fn on_plan(facade: &Facade, plan: &Plan) -> FacadeOnPlan {
    let (low, high) = facade.bounds();
    let ground = facade
        .base
        .iter()
        .map(|step| step.ground)
        .min()
        .unwrap_or(low.y);
    FacadeOnPlan {
        id: facade.id.clone(),
        runs: FacadeOnPlan::side_by_width(facade.width(), plan),
        left: low.x,
        right: high.x,
        bottom: low.y,
        top: high.y,
        ground,
    }
}

/// A wall behind and a board before it: what decides which anchor serves.
pub(crate) struct Situation<'a> {
    pub substrate: usize,
    pub product: Product<'a>,
    pub role: &'static str,
    pub anchor: &'a Anchor,
    pub resistance: Resistance,
    pub length: ChosenLength,
}

/// The different substrates, and which one each facade has.
fn substrates(building: &Building) -> (Vec<(&Substrate, String)>, Vec<usize>) {
    let mut found: Vec<(&Substrate, String)> = Vec::new();
    let mut of = Vec::new();
    for (index, facade) in building.facades.iter().enumerate() {
        let substrate = building.substrate_of(facade);
        let known = found.iter().position(|(s, _)| *s == substrate);
        of.push(known.unwrap_or(found.len()));
        if known.is_none() {
            let path = if facade.substrate.is_some() {
                format!("building.facades[{index}].substrate")
            } else {
                String::from("building.substrate")
            };
            found.push((substrate, path));
        }
    }
    (found, of)
}

/// The category to design for: the surveyed one, or, where none is known, the one in which the anchor holds least.
fn category(substrate: &Substrate, anchor: &Anchor) -> Option<BaseCategory> {
    substrate.category.or_else(|| {
        anchor
            .base
            .iter()
            .reduce(|weakest, next| {
                if next.resistance < weakest.resistance {
                    next
                } else {
                    weakest
                }
            })
            .map(|weakest| weakest.category)
    })
}

/// The pull-through rows for a board: the system's own, or those of the facade board where it states none.
fn rows<'a>(parts: &Parts<'a>, board: &Board) -> (&'a str, bool) {
    let key = bare(&board.article.key);
    let own = parts
        .system
        .plate_resistances
        .iter()
        .find(|row| row.board == key || row.board == board.article.key);
    own.map_or((parts.system.board.as_str(), false), |row| {
        (row.board.as_str(), true)
    })
}

fn bare(key: &str) -> &str {
    key.split_once('.').map_or(key, |(_, bare)| bare)
}

/// The first anchor of the system's list that serves a substrate and a product.
fn situation<'a>(
    request: &FixingRequest<'a>,
    (index, substrate, path): (usize, &Substrate, &str),
    (product, role): (Product<'a>, &'static str),
    wind: &Suction,
    sheet: &mut Sheet,
) -> Result<Situation<'a>, Vec<Fault>> {
    let parts = request.parts;
    let (row_key, _) = rows(parts, product.board);
    let plate = parts.plate.filter(|_| product.board.wider_plate);
    let tests = &substrate.pull_out_tests;
    let mut refused = Faults::new();
    for &anchor in &parts.anchors {
        let mut trial = Sheet::new();
        let asked = AnchorRequest {
            path,
            rules: request.rules,
            level: wind.level,
            anchor,
            plate,
            board: row_key,
            board_thickness: product.size.thickness,
            board_area: product.board.length.to_length() * product.board.height.to_length(),
            plate_resistances: &parts.system.plate_resistances,
            per_m2_min: parts.system.anchors_per_m2_min,
            per_m2_max: parts.system.anchors_per_m2_max,
            category: category(substrate, anchor),
            member_thickness: None,
            wall: if tests.is_empty() {
                WallResistance::Assessed
            } else {
                WallResistance::SiteTests(tests.clone())
            },
            pattern: Pattern::JointsAndField,
        };
        let length_of = |base: &material::BaseResistance, sheet: &mut Sheet| {
            let layers = Layers {
                path,
                anchor,
                base,
                old_render: substrate.old_render,
                bed: request.bed,
                board: product.board,
                thickness: product.size.thickness,
                plate: parts.plate,
                plug: parts
                    .plug
                    .filter(|_| matches!(anchor.setting, material::Setting::Recessed { .. })),
            };
            choose(&layers, sheet)
        };
        let tried = resistance(&asked, &mut trial)
            .and_then(|found| length_of(&found.base, &mut trial).map(|_| ()));
        match tried {
            Ok(()) => {
                sheet.step(format!("{}: {role} boards {}, the first anchor of the system's list that serves is {}.", path, product.size.thickness, anchor.article.key));
                let resistance = resistance(&asked, sheet)?;
                let length = length_of(&resistance.base, sheet)?;
                return Ok(Situation {
                    substrate: index,
                    product,
                    role,
                    anchor,
                    resistance,
                    length,
                });
            }
            Err(list) => refused.extend(list),
        }
    }
    let mut list = refused.into_list();
    list.sort();
    list.dedup();
    if list.is_empty() {
        list.push(Fault {
            path: "system".to_string(),
            reason: "NO_ANCHOR",
            found: format!("system `{}` without anchors", parts.system.article.key),
            expected: "a system with anchors, or one that is bonded only".to_string(),
        });
    }
    Err(list)
}

/// Every situation of the building.
///
/// # Errors
/// Why no anchor of the system serves, for every situation at once.
pub(crate) fn situations<'a>(
    request: &FixingRequest<'a>,
    products: &Products<'a>,
    wind: &Suction,
    sheet: &mut Sheet,
) -> Result<Vec<Situation<'a>>, Vec<Fault>> {
    sheet.section("Anchors");
    let (substrates, _) = substrates(request.building);
    let mut found = Vec::new();
    let mut faults = Faults::new();
    let roles = [
        (Some(products.main), "facade"),
        (products.plinth, "plinth"),
        (products.barrier, "barrier"),
    ];
    for (index, (substrate, path)) in substrates.iter().enumerate() {
        for (product, role) in roles {
            let Some(product) = product else { continue };
            match situation(
                request,
                (index, substrate, path),
                (product, role),
                wind,
                sheet,
            ) {
                Ok(one) => found.push(one),
                Err(list) => faults.extend(list),
            }
        }
    }
    let list = faults.into_list();
    if list.is_empty() {
        Ok(found)
    } else {
        Err(unique(list))
    }
}

fn unique(list: Vec<Fault>) -> Vec<Fault> {
    let mut kept: Vec<Fault> = Vec::new();
    for fault in list {
        if !kept.contains(&fault) {
            kept.push(fault);
        }
    }
    kept
}

/// The anchors that go with each stocked thickness, by area over the zones: what the thermal sizing needs before anything is set out.
pub(crate) fn densities(request: &FixingRequest<'_>, wind: &Suction) -> (AnchorsOf, Vec<Fault>) {
    let mut found = AnchorsOf::new();
    let mut faults = Vec::new();
    for size in &request.parts.board.thicknesses {
        let main = Product {
            board: request.parts.board,
            size,
        };
        let products = Products {
            main,
            plinth: None,
            barrier: None,
        };
        let mut sheet = Sheet::new();
        match situations(request, &products, wind, &mut sheet) {
            Ok(list) => {
                if let Some(first) = list.first() {
                    found.insert(
                        size.thickness,
                        bridges(density(request.building, &list, wind), first.anchor),
                    );
                }
            }
            Err(list) => faults = list,
        }
    }
    (found, faults)
}

fn density(building: &Building, situations: &[Situation<'_>], wind: &Suction) -> f64 {
    let (_, of) = substrates(building);
    let (mut anchors, mut area) = (0.0, 0.0);
    for ((facade, suction), substrate) in building.facades.iter().zip(&wind.facades).zip(of) {
        let Some(mine) = situations
            .iter()
            .find(|s| s.substrate == substrate && s.role == "facade")
        else {
            continue;
        };
        let board = mine.resistance.board_area.value.as_m2();
        for strip in &suction.strips {
            let part = area_within(&facade.outline, &rectangle(strip)).as_m2();
            let per_board = mine.resistance.per_board(design_suction(mine, strip));
            anchors += part * f64::from(per_board) / board;
            area += part;
        }
    }
    if area > 0.0 { anchors / area } else { 0.0 }
}

fn design_suction(situation: &Situation<'_>, strip: &ZoneStrip) -> WindPressure {
    (standards::eota::DESIGN_SUCTION.function)((
        situation.resistance.wind_factor.value,
        strip.suction.value,
    ))
}

fn rectangle(strip: &ZoneStrip) -> facade::Rectangle {
    facade::Rectangle {
        x: strip.x_from,
        y: strip.y_from,
        width: strip.x_to - strip.x_from,
        height: strip.y_to - strip.y_from,
    }
}

/// The anchors of one facade on its boards.
pub(crate) struct Anchored {
    pub placement: Placement,
    /// By zone, by situation.
    pub per_board: Vec<Vec<u32>>,
}

/// Places the anchors of every facade, with one more on each board of a zone until what stands on the wall serves.
///
/// # Errors
/// Faults of the layout, which the setting-out does not make.
pub(crate) fn anchored(
    request: &FixingRequest<'_>,
    situations: &[Situation<'_>],
    wind: &Suction,
    job: &setting_out::Job,
    layout: &setting_out::Layout,
) -> Result<Vec<Anchored>, Vec<Fault>> {
    let (_, of) = substrates(request.building);
    let whole: Vec<Area> = situations
        .iter()
        .map(|s| s.resistance.board_area.value)
        .collect();
    let distances = distances(request, situations);
    let mut found = Vec::new();
    for (index, (facade, suction)) in request
        .building
        .facades
        .iter()
        .zip(&wind.facades)
        .enumerate()
    {
        let substrate = of.get(index).copied().unwrap_or_default();
        let boards = boards(job, layout, index, substrate, situations);
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
        let openings: Vec<facade::Rectangle> = facade.openings.iter().map(|o| o.raw).collect();
        let mut per_board: Vec<Vec<u32>> = suction
            .strips
            .iter()
            .map(|strip| {
                situations
                    .iter()
                    .map(|s| s.resistance.per_board(design_suction(s, strip)))
                    .collect()
            })
            .collect();
        let path = format!("building.facades[{index}]");
        // Bounded by the most anchors that any system is claimed for.
        for _ in 0..200 {
            let wall = WallToAnchor {
                path: &path,
                outline: &facade.outline,
                openings: &openings,
                boards: &boards,
                whole_boards: &whole,
                zones: &zones,
                per_board: &per_board,
                pattern: Pattern::JointsAndField,
                distances,
            };
            let placement = place(&wall)?;
            if !raise(&placement, situations, suction, &mut per_board) {
                found.push(Anchored {
                    placement,
                    per_board,
                });
                break;
            }
        }
    }
    Ok(found)
}

/// Asks for one more anchor on each board where those on the wall do not serve; says whether anything was raised.
fn raise(
    placement: &Placement,
    situations: &[Situation<'_>],
    suction: &fixing::wind::FacadeSuction,
    per_board: &mut [Vec<u32>],
) -> bool {
    let mut raised = false;
    for ((zone, situation), counted) in placement.counts() {
        let (Some(strip), Some(of)) = (suction.strips.get(zone), situations.get(situation)) else {
            continue;
        };
        if serves(&of.resistance, design_suction(of, strip), counted) {
            continue;
        }
        if let Some(number) = per_board
            .get_mut(zone)
            .and_then(|row| row.get_mut(situation))
            && *number < of.resistance.per_board_max()
        {
            *number += 1;
            raised = true;
        }
    }
    raised
}

fn distances(request: &FixingRequest<'_>, situations: &[Situation<'_>]) -> Distances {
    let most = |of: fn(&Anchor) -> Mm| {
        situations
            .iter()
            .map(|s| of(s.anchor))
            .max()
            .unwrap_or(Mm(100))
    };
    let whole = |length: Length| Mm(libm::ceil(length.as_mm()) as i32);
    Distances {
        spacing: most(|a| a.spacing_min),
        wall_edge: most(|a| a.edge_distance_min),
        board_edge: whole(request.rules.placement.board_edge.value),
        board_edge_min: whole(request.rules.placement.board_edge_min.value),
    }
}

fn boards(
    job: &setting_out::Job,
    layout: &setting_out::Layout,
    wall: usize,
    substrate: usize,
    situations: &[Situation<'_>],
) -> Vec<BoardOnWall> {
    let ring = |points: &[setting_out::Point]| {
        points
            .iter()
            .map(|p| facade::Point { x: p.x, y: p.y })
            .collect::<Vec<_>>()
    };
    layout
        .pieces
        .iter()
        .filter(|piece| piece.wall == wall)
        .map(|piece| BoardOnWall {
            number: piece.number,
            outline: ring(&piece.outline),
            holes: piece.holes.iter().map(|hole| ring(hole)).collect(),
            situation: situations
                .iter()
                .position(|s| s.substrate == substrate && s.role == purpose(job, piece))
                .unwrap_or_default(),
        })
        .collect()
}

/// The fixing part of the answer, with what takeoff and thermal need of it.
pub(crate) struct Fixed {
    pub answer: Fixing,
    pub findings: Vec<Finding>,
    pub needs: Vec<AnchorNeed>,
    /// Anchors per square metre of facade boards as they stand on the wall.
    pub per_m2: f64,
    /// The greatest design suction.
    pub design_suction: Option<Figure<WindPressure>>,
}

/// Verifies what stands on the wall and tells it.
pub(crate) fn verified(
    request: &FixingRequest<'_>,
    situations: &[Situation<'_>],
    wind: &Suction,
    anchored: &[Anchored],
    sheet: &mut Sheet,
) -> Fixed {
    sheet.section("Anchors on the wall");
    let mut fixed = Fixed {
        answer: Fixing {
            code: wind.code.clone(),
            basic_velocity: wind.basic_velocity.value,
            reference_height: wind.reference_height.value,
            peak_pressure: wind.peak_pressure.value,
            holds: true,
            ..Fixing::default()
        },
        findings: wind.findings.clone(),
        needs: Vec::new(),
        per_m2: 0.0,
        design_suction: None,
    };
    let mut facade_area = 0.0;
    let mut facade_anchors = 0.0;
    let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
    for ((facade, suction), on_wall) in request
        .building
        .facades
        .iter()
        .zip(&wind.facades)
        .zip(anchored)
    {
        for ((zone, index), counted) in on_wall.placement.counts() {
            let (Some(strip), Some(of)) = (suction.strips.get(zone), situations.get(index)) else {
                continue;
            };
            let per_board = on_wall
                .per_board
                .get(zone)
                .and_then(|row| row.get(index))
                .copied()
                .unwrap_or_default();
            zone_told(&mut fixed, facade, (strip, of, per_board, counted), sheet);
            *counts.entry(index).or_default() += counted.anchors;
            if of.role == "facade" {
                facade_area += counted.area.as_m2();
                facade_anchors += f64::from(counted.anchors);
            }
        }
        points(&mut fixed.answer, facade, suction, on_wall);
        short(&mut fixed.findings, facade, on_wall);
    }
    fixed.per_m2 = if facade_area > 0.0 {
        facade_anchors / facade_area
    } else {
        0.0
    };
    fixed.answer.count = counts.values().sum();
    fixed.answer.anchors = situations
        .iter()
        .enumerate()
        .filter_map(|(i, s)| told(request, s, counts.get(&i).copied()?))
        .collect();
    fixed
        .findings
        .extend(situation_findings(request, situations));
    fixed
}

fn zone_told(
    fixed: &mut Fixed,
    facade: &Facade,
    (strip, of, per_board, counted): (&ZoneStrip, &Situation<'_>, u32, Counted),
    sheet: &mut Sheet,
) {
    let label = format!("{}, zone {}, {} boards", facade.id, strip.zone, of.role);
    let designed: ZoneDesign = design(&label, &of.resistance, strip.suction, sheet);
    let on_wall = verify(
        &label,
        &of.resistance,
        designed.design_suction,
        counted,
        sheet,
    );
    let holds = on_wall.verdict.holds && on_wall.number.holds;
    fixed.answer.holds &= holds;
    fixed.answer.utilisation = fixed.answer.utilisation.max(on_wall.verdict.utilisation);
    if fixed
        .design_suction
        .is_none_or(|worst| designed.design_suction.value > worst.value)
    {
        fixed.design_suction = Some(designed.design_suction);
    }
    if !holds {
        fixed.findings.push(Finding {
            code: "ANCHORS_DO_NOT_SERVE",
            severity: Severity::Breach,
            path: String::from("building"),
            text: format!(
                "{label}: {:.1} anchors/m2 on the wall use {:.0} % of what they hold; the system is claimed for at most {} anchors/m2. Choose another system or anchor.",
                on_wall.provided.value.as_per_m2(),
                on_wall.verdict.utilisation * 100.0,
                of.resistance.most.value.as_per_m2()
            ),
            source: "EAD 040083, EAD 330196 (from memory, unverified)",
        });
    }
    fixed.needs.push(AnchorNeed {
        anchor: of.anchor.article.key.clone(),
        length: of.length.length,
        count: u64::from(counted.anchors),
        zone: format!("{}, zone {}", facade.id, strip.zone),
        plate: if of.length.wider_plate {
            Fitting::With
        } else {
            Fitting::Without
        },
        plug: if of.length.plugged {
            Fitting::With
        } else {
            Fitting::Without
        },
    });
    fixed.answer.zones.push(FixingZone {
        facade: facade.id.clone(),
        zone: if of.role == "facade" {
            strip.zone.to_string()
        } else {
            format!("{} {}", strip.zone, of.role)
        },
        x_from: strip.x_from,
        x_to: strip.x_to,
        y_from: strip.y_from,
        y_to: strip.y_to,
        suction: strip.suction.value,
        design_suction: designed.design_suction.value,
        anchor_resistance: on_wall.resistance.value,
        needed_per_m2: designed.needed.value.as_per_m2(),
        provided_per_m2: on_wall.provided.value.as_per_m2(),
        per_board,
        count: counted.anchors,
        utilisation: on_wall.verdict.utilisation,
        governing: on_wall.governing.words().to_string(),
    });
}

fn points(
    answer: &mut Fixing,
    facade: &Facade,
    suction: &fixing::wind::FacadeSuction,
    on_wall: &Anchored,
) {
    answer
        .points
        .extend(on_wall.placement.points.iter().map(|p| {
            AnchorPoint {
                facade: facade.id.clone(),
                x: p.at.x,
                y: p.at.y,
                zone: suction
                    .strips
                    .get(p.zone)
                    .map(|s| s.zone.to_string())
                    .unwrap_or_default(),
                in_joint: p.stand == Stand::Joint,
            }
        }));
}

fn short(findings: &mut Vec<Finding>, facade: &Facade, on_wall: &Anchored) {
    let list: Vec<String> = on_wall
        .placement
        .short()
        .map(|b| b.board.to_string())
        .collect();
    if list.is_empty() {
        return;
    }
    let shown = list.iter().take(12).cloned().collect::<Vec<_>>().join(", ");
    let more = if list.len() > 12 {
        format!(" and {} more", list.len() - 12)
    } else {
        String::new()
    };
    findings.push(Finding {
        code: "PIECES_WITHOUT_ROOM_FOR_ANCHORS",
        severity: Severity::Note,
        path: String::from("building"),
        text: format!("{}: pieces {shown}{more} have no room for their share of anchors within the edge distances; they are held by the bond, and the zone is checked with the anchors that are there.", facade.id),
        source: "common practice, no source",
    });
}

fn told(request: &FixingRequest<'_>, of: &Situation<'_>, count: u32) -> Option<ChosenAnchor> {
    let (substrates, _) = substrates(request.building);
    let (_, path) = substrates.get(of.substrate)?;
    Some(ChosenAnchor {
        situation: format!("{} boards {} on {path}", of.role, of.product.size.thickness),
        anchor: of.anchor.article.key.clone(),
        name: of.anchor.article.name.clone(),
        length: of.length.length,
        length_needed: Mm(libm::ceil(of.length.needed.value.as_mm()) as i32),
        drill_diameter: of.length.drill_diameter,
        drill_depth: Mm(libm::ceil(of.length.drill_depth.value.as_mm()) as i32),
        plate: request
            .parts
            .plate
            .filter(|_| of.length.wider_plate)
            .map(|p| p.article.key.clone())
            .unwrap_or_default(),
        plug: request
            .parts
            .plug
            .filter(|_| of.length.plugged)
            .map(|p| p.article.key.clone())
            .unwrap_or_default(),
        count,
    })
}

fn situation_findings(request: &FixingRequest<'_>, situations: &[Situation<'_>]) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    let mut add = |finding: Finding| {
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    };
    let (substrates, _) = substrates(request.building);
    for of in situations {
        of.resistance.findings.iter().cloned().for_each(&mut add);
        let Some((substrate, path)) = substrates.get(of.substrate) else {
            continue;
        };
        if substrate.category.is_none() {
            add(Finding {
                code: "BASE_MATERIAL_UNKNOWN",
                severity: Severity::Breach,
                path: format!("{path}.category"),
                text: format!(
                    "The category of the base material is not known. Anchors are counted for category {}, in which {} holds least; establish the category and make pull-out tests before ordering.",
                    of.resistance.base.category.letter(),
                    of.anchor.article.key
                ),
                source: "EAD 330196 (from memory, unverified)",
            });
        }
        let (row, own) = rows(request.parts, of.product.board);
        if !own {
            add(Finding {
                code: "PULL_THROUGH_TAKEN_FROM_FACADE_BOARD",
                severity: Severity::Caution,
                path: String::from("system"),
                text: format!(
                    "The system states no pull-through resistance for {}; that of {row} is taken. Confirm it against the assessment.",
                    of.product.board.article.key
                ),
                source: "EAD 040083 (from memory, unverified)",
            });
        }
    }
    findings
}

/// The bond of every different substrate.
///
/// # Errors
/// A system that is bonded only, on a substrate whose pull-off strength is not known.
pub(crate) fn bond(
    request: &FixingRequest<'_>,
    thickness: Mm,
    fixed: &mut Fixed,
    render_mass: quantity::AreaMass,
    sheet: &mut Sheet,
) -> Result<(), Vec<Fault>> {
    let (substrates, _) = substrates(request.building);
    let parts = request.parts;
    let Some(design_suction) = fixed.design_suction else {
        return Ok(());
    };
    let mut faults = Faults::new();
    for (substrate, path) in &substrates {
        let asked = fixing::bond::BondRequest {
            path,
            rules: request.rules,
            attachment: parts.system.attachment,
            board: &parts.board.article.key,
            board_share_min: parts.board.bonded_share_min,
            bond_strength: parts
                .bonding_mortar
                .bonding
                .and_then(|b| b.strength_to_insulant),
            substrate,
            design_suction,
            render_mass,
            insulation_mass: parts.board.density * thickness.to_length(),
        };
        match fixing::bond::bond(&asked, sheet) {
            Ok(found) => {
                fixed.answer.bonded_share = fixed.answer.bonded_share.max(found.share.value);
                fixed.answer.bonding = found.method.to_string();
                fixed.answer.holds &= found.checks.iter().all(|check| check.holds);
                fixed.findings.extend(found.findings);
            }
            Err(list) => faults.extend(list),
        }
    }
    faults.or(())
}

/// Whether the system takes anchors at all.
pub(crate) fn takes_anchors(parts: &Parts<'_>) -> bool {
    parts.system.attachment != Attachment::Bonded
}

/// A system that is held by its mortar alone: the wind is told, and the bond is checked against it.
pub(crate) fn bonded_only(request: &FixingRequest<'_>, wind: &Suction, sheet: &mut Sheet) -> Fixed {
    let worst = wind
        .facades
        .iter()
        .flat_map(|facade| &facade.strips)
        .map(|strip| strip.suction)
        .reduce(|a, b| if b.value > a.value { b } else { a });
    let factor = sheet.given(
        "gamma_F",
        request.rules.wind_factor.value,
        working::Origin::Rule(format!("{}, wind_factor", request.rules.key)),
    );
    Fixed {
        answer: Fixing {
            code: wind.code.clone(),
            basic_velocity: wind.basic_velocity.value,
            reference_height: wind.reference_height.value,
            peak_pressure: wind.peak_pressure.value,
            holds: true,
            ..Fixing::default()
        },
        findings: wind.findings.clone(),
        needs: Vec::new(),
        per_m2: 0.0,
        design_suction: worst
            .map(|w| sheet.derive("S_d", &standards::eota::DESIGN_SUCTION, (factor, w))),
    }
}
