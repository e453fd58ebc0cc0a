//! Wind, anchors and bond: the survey as a fixing job, and the design as the answer.

use alloc::borrow::Cow;
use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use facade::{Below, Building, Facade, Rectangle, Substrate, area_within};
use fixing::anchors::{Governing, Pattern, WallResistance};
use fixing::placement::{BoardOnWall, Stand};
use fixing::wind::{EnWind, FacadeOnPlan, Plan, PlanShape, Site};
use fixing::{FacadeToFix, FixingAnswer, FixingJob, Situation, ZoneAnswer, fix};
use material::{Anchor, Attachment, BaseCategory, Board, Setting, System};
use quantity::{Area, AreaMass, Mm, WindPressure};
use standards::en_1991_1_4::NationalWind;
use standards::eota::FixingRules;
use takeoff::{AnchorNeed, Bonding, Fitting};
use working::{Fault, Faults, Figure, Finding, Severity, Sheet};

use crate::answer::{
    AnchorPoint, BoardBond, ChosenAnchor, DrillingLine, Fixing, FixingZone, SensitivityRow,
    zone_label,
};
use crate::parts::Parts;
use crate::request::{Request, WindSite};
use crate::set_out::{Product, Products, purpose};
use crate::thermal_part::{AnchorsOf, bridges};

/// What the fixing design rests on.
#[derive(Clone, Copy)]
pub(crate) struct FixingBasis<'a> {
    pub building: &'a Building,
    pub parts: &'a Parts<'a>,
    pub rules: &'a FixingRules,
    pub national: &'a NationalWind,
    pub site: &'a WindSite,
    pub bed: Mm,
    /// How boards are to be bonded, where the caller says.
    pub bonding: Option<Bonding>,
}

/// A wall behind that differs from the others, with the category its anchors are designed for.
struct Wall<'a> {
    path: String,
    /// The field that holds it: the building or the facade.
    holder: String,
    substrate: Cow<'a, Substrate>,
    /// Whether the category was surveyed.
    known: bool,
}

/// The different walls, and which one each facade has.
fn walls<'a>(basis: &FixingBasis<'a>) -> (Vec<Wall<'a>>, Vec<usize>) {
    let mut sources: Vec<&Substrate> = Vec::new();
    let mut found: Vec<Wall<'a>> = Vec::new();
    let mut of = Vec::new();
    for (index, facade) in basis.building.facades.iter().enumerate() {
        let substrate = basis.building.substrate_of(facade);
        if let Some(known) = sources.iter().position(|s| *s == substrate) {
            of.push(known);
            continue;
        }
        of.push(sources.len());
        sources.push(substrate);
        let holder = if facade.substrate.is_some() {
            format!("building.facades[{index}]")
        } else {
            String::from("building")
        };
        let path = format!("{holder}.substrate");
        let known = substrate.category.is_some();
        let mut substrate = Cow::Borrowed(substrate);
        if !known {
            substrate.to_mut().category = weakest(&basis.parts.anchors);
        }
        found.push(Wall {
            path,
            holder,
            substrate,
            known,
        });
    }
    (found, of)
}

/// The category in which the system's first anchor holds least: what is designed for where the base material is not known.
fn weakest(anchors: &[&Anchor]) -> Option<BaseCategory> {
    let base = &anchors.first()?.base;
    base.iter()
        .reduce(|weakest, next| {
            if next.resistance < weakest.resistance {
                next
            } else {
                weakest
            }
        })
        .map(|row| row.category)
}

/// The system with a pull-through row for every board of the job, and the boards for which the facade board's stands in, because it
/// states none for a plinth or barrier board.
fn complete<'a>(
    parts: &Parts<'_>,
    products: &Products<'a>,
) -> (System, Vec<&'a str>, Vec<Finding>) {
    let mut system = parts.system.clone();
    // A system names its boards without the kind, the fixing design with it.
    for row in &mut system.plate_resistances {
        if !row.board.contains('.') {
            row.board = format!("board.{}", row.board);
        }
    }
    let (mut lent, mut findings) = (Vec::new(), Vec::new());
    let main = &parts.board.article.key;
    let plate = if parts.board.wider_plate {
        ", and with it the wider plate that it was tested with"
    } else {
        ""
    };
    for product in [products.plinth, products.barrier].into_iter().flatten() {
        let key = product.board.article.key.as_str();
        if key == main || system.plate_resistances.iter().any(|row| row.board == *key) {
            continue;
        }
        let borrowed: Vec<_> = system
            .plate_resistances
            .iter()
            .filter(|row| row.board == *main)
            .cloned()
            .collect();
        system
            .plate_resistances
            .extend(borrowed.into_iter().map(|row| material::PlateResistance {
                board: key.into(),
                ..row
            }));
        lent.push(key);
        findings.push(Finding {
            code: "PULL_THROUGH_TAKEN_FROM_FACADE_BOARD",
            severity: Severity::Caution,
            path: String::from("system"),
            text: format!("The system states no pull-through resistance for {key}; that of {main} is taken{plate}. Confirm it against the assessment."),
            source: "EAD 040083 (from memory, unverified)",
        });
    }
    (system, lent, findings)
}

/// The board of each key. One that is lent the pull-through resistance of the facade board takes the wider plate as well, if that was tested
/// with one.
fn anchored(keys: &[Key<'_>], lent: &[&str], main: &Board) -> Vec<Board> {
    keys.iter()
        .map(|key| {
            let board = key.product.board;
            let lent = lent.contains(&board.article.key.as_str());
            Board {
                wider_plate: board.wider_plate || (lent && main.wider_plate),
                ..board.clone()
            }
        })
        .collect()
}

/// A part of the wall with its own board: which wall behind, which product, which role.
struct Key<'a> {
    wall: usize,
    product: Product<'a>,
    role: &'static str,
    /// The boards alone, such as `facade boards 160 mm`.
    boards: String,
    /// The boards on their wall.
    name: String,
}

fn keys<'a>(walls: &[Wall<'_>], products: &Products<'a>) -> Vec<Key<'a>> {
    let roles = [
        (Some(products.main), "facade"),
        (products.plinth, "plinth"),
        (products.barrier, "barrier"),
    ];
    walls
        .iter()
        .enumerate()
        .flat_map(|(wall, behind)| {
            roles.into_iter().filter_map(move |(product, role)| {
                let product = product?;
                let boards = format!("{role} boards {}", product.size.thickness);
                Some(Key {
                    wall,
                    product,
                    role,
                    name: format!("{boards} on {}", behind.path),
                    boards,
                })
            })
        })
        .collect()
}

/// Designs the fixing. Without a layout the boards are left out: the design by zone is then all there is.
///
/// # Errors
/// Every fault of site and building, and why no anchor of the system serves.
pub(crate) fn designed(
    basis: &FixingBasis<'_>,
    products: &Products<'_>,
    laid: Option<(&setting_out::Job, &setting_out::Layout)>,
    sheet: &mut Sheet,
) -> Result<Fixed, Vec<Fault>> {
    let (walls, of) = walls(basis);
    let (system, lent, mut findings) = complete(basis.parts, products);
    let keys = keys(&walls, products);
    let anchored = anchored(&keys, &lent, basis.parts.board);
    let flush_first = flush_first(&basis.parts.anchors);
    let situations: Vec<Situation<'_>> = keys
        .iter()
        .zip(&anchored)
        .filter_map(|(key, board)| {
            let anchors = if board.wider_plate {
                &flush_first
            } else {
                &basis.parts.anchors
            };
            situation(basis, &walls, key, board, anchors)
        })
        .collect();
    let boards: Vec<Vec<BoardOnWall>> = of
        .iter()
        .enumerate()
        .map(|(index, wall)| {
            let facade = basis.building.facades.get(index);
            laid.zip(facade)
                .map(|(laid, facade)| boards(laid, facade, index, *wall, &keys))
                .unwrap_or_default()
        })
        .collect();
    let openings: Vec<Vec<Rectangle>> = basis
        .building
        .facades
        .iter()
        .map(|f| f.openings.iter().map(|o| o.raw).chain(buried(f)).collect())
        .collect();
    let paths: Vec<String> = (0..basis.building.facades.len())
        .map(|i| format!("building.facades[{i}]"))
        .collect();
    let plan = plan(basis.building);
    let facades: Vec<FacadeToFix<'_>> = basis
        .building
        .facades
        .iter()
        .zip(&boards)
        .zip(openings.iter().zip(&paths))
        .map(|((facade, boards), (openings, path))| FacadeToFix {
            path,
            id: &facade.id,
            runs: FacadeOnPlan::side_by_width(facade.width(), &plan),
            ground: ground(facade),
            outline: &facade.outline,
            openings,
            boards,
        })
        .collect();
    let site = site(basis.site);
    let code = EnWind {
        national: basis.national,
        site: &site,
        path: "wind",
    };
    let job = FixingJob {
        code: &code,
        plan,
        loaded_area: basis.site.loaded_area,
        rules: basis.rules,
        system: &system,
        situations: &situations,
        facades: &facades,
        pattern: Pattern::JointsAndField,
    };
    let answer = fix(&job, sheet)?;
    findings.extend(unknown_base(&walls, basis.parts));
    findings.extend(unanchored_below_ground(basis.building));
    Ok(Fixed {
        answer,
        findings,
        roles: keys
            .iter()
            .zip(&anchored)
            .map(|(key, board)| (key.role, board.wider_plate))
            .collect(),
        boards: keys.into_iter().map(|key| (key.name, key.boards)).collect(),
    })
}

/// The fixing design with what was adapted of its input.
pub(crate) struct Fixed {
    pub answer: FixingAnswer,
    pub findings: Vec<Finding>,
    /// By situation: the role of its boards, and whether they take a wider plate.
    roles: Vec<(&'static str, bool)>,
    /// The boards alone of each situation, by its name.
    boards: BTreeMap<String, String>,
}

/// Anchors by preference in a soft board: flush ones first, because a wider plate lies on its face.
fn flush_first<'a>(anchors: &[&'a Anchor]) -> Vec<&'a Anchor> {
    let mut sorted = anchors.to_vec();
    sorted.sort_by_key(|anchor| anchor.setting != Setting::Flush);
    sorted
}

fn situation<'a>(
    basis: &FixingBasis<'a>,
    walls: &'a [Wall<'_>],
    key: &'a Key<'a>,
    board: &'a Board,
    anchors: &'a [&'a Anchor],
) -> Option<Situation<'a>> {
    let wall = walls.get(key.wall)?;
    let tests = &wall.substrate.pull_out_tests;
    Some(Situation {
        path: &wall.path,
        name: &key.name,
        board,
        thickness: key.product.size.thickness,
        anchors,
        plate: basis.parts.plate,
        plug: basis.parts.plug,
        substrate: &wall.substrate,
        member_thickness: None,
        bed: basis.bed,
        wall: if tests.is_empty() {
            WallResistance::Assessed
        } else {
            WallResistance::SiteTests(tests.clone())
        },
    })
}

/// Says that nothing is drilled below ground, where there is anything below it.
fn unanchored_below_ground(building: &Building) -> Option<Finding> {
    let mut buried = building.facades.iter().flat_map(buried);
    buried.next().map(|_| Finding {
        code: "NO_ANCHORS_BELOW_GROUND",
        severity: Severity::Note,
        path: String::from("building.facades"),
        text: String::from(
            "below finished ground boards are bonded only: anchors there would pierce the waterproofing",
        ),
        source: "common practice, no source",
    })
}

/// What of an insulated plinth lies below finished ground, by step.
fn buried(facade: &Facade) -> impl Iterator<Item = Rectangle> + '_ {
    let low = facade.bounds().0.y;
    let steps = facade.base.iter();
    let plinth = steps.filter(move |s| s.below == Below::InsulatedPlinth && s.ground > low);
    plinth.map(move |s| Rectangle {
        x: s.from,
        y: low,
        width: s.to - s.from,
        height: s.ground.min(s.level) - low,
    })
}

/// The part of a piece that may be anchored: nothing below finished ground. Pieces that are cut otherwise than square and reach into the
/// ground keep their outline; the ground counts as an opening there.
fn above_ground(
    facade: &Facade,
    outline: Vec<facade::Point>,
    holes: &[Vec<setting_out::Point>],
) -> Option<Vec<facade::Point>> {
    let span = |of: fn(&facade::Point) -> Mm| {
        let values = outline.iter().map(of);
        values.clone().min().zip(values.max())
    };
    let ((x0, x1), (y0, y1)) = (span(|p| p.x)?, span(|p| p.y)?);
    let (low, high) = facade.bounds();
    // A piece round a corner lies over the ground beside the wall's end.
    let over = |r: &Rectangle| {
        let (from, to) = (r.x, r.right());
        (from < x1 || from == low.x) && (x0 < to || to == high.x)
    };
    let ground = buried(facade).filter(over).map(|r| r.top()).max();
    match ground {
        Some(ground) if y1 <= ground => None,
        Some(ground) if y0 < ground && outline.len() == 4 && holes.is_empty() => {
            let raised = outline.into_iter().map(|p| facade::Point {
                y: p.y.max(ground),
                ..p
            });
            Some(raised.collect())
        }
        _ => Some(outline),
    }
}

fn boards(
    (job, layout): (&setting_out::Job, &setting_out::Layout),
    surveyed: &Facade,
    facade: usize,
    wall: usize,
    keys: &[Key<'_>],
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
        .filter(|piece| piece.wall == facade)
        .filter_map(|piece| {
            Some(BoardOnWall {
                number: piece.number,
                outline: above_ground(surveyed, ring(&piece.outline), &piece.holes)?,
                holes: piece.holes.iter().map(|hole| ring(hole)).collect(),
                situation: keys
                    .iter()
                    .position(|key| key.wall == wall && key.role == purpose(job, piece))?,
            })
        })
        .collect()
}

fn plan(building: &Building) -> Plan {
    Plan {
        length: building.plan_length,
        width: building.plan_width,
        height: building.height.to_length(),
        shape: PlanShape::Rectangular,
    }
}

fn ground(facade: &Facade) -> Mm {
    facade
        .base
        .iter()
        .map(|step| step.ground)
        .min()
        .unwrap_or_else(|| facade.bounds().0.y)
}

/// Every fault of the wind at the site, by its national set.
pub(crate) fn site_faults(request: &Request, national: &NationalWind) -> Vec<Fault> {
    let site = site(&request.wind);
    let code = EnWind {
        national,
        site: &site,
        path: "wind",
    };
    code.faults(request.building.height.to_length())
}

fn site(site: &WindSite) -> Site {
    Site {
        velocity: site.basic_velocity,
        zone: site.zone.clone(),
        terrain: site.terrain.clone(),
        altitude: site.altitude,
        orography: site.orography_factor,
        ..Site::default()
    }
}

fn unknown_base(walls: &[Wall<'_>], parts: &Parts<'_>) -> Vec<Finding> {
    walls
        .iter()
        .filter(|wall| !wall.known)
        .filter_map(|wall| {
            let letter = wall.substrate.category?.letter();
            let anchor = &parts.anchors.first()?.article.key;
            Some(Finding {
                code: "BASE_MATERIAL_UNKNOWN",
                severity: Severity::Breach,
                path: format!("{}.category", wall.path),
                text: format!(
                    "The category of the base material is not known. Anchors are counted for category {letter}, in which {anchor} holds least; establish \
                     the category and make pull-out tests before ordering."
                ),
                source: "EAD 330196 (from memory, unverified)",
            })
        })
        .collect()
}

/// The anchors that go with each stocked thickness, by area over the zones: what the thermal sizing needs before anything is set out.
/// The faults are those of the thickest board where no thickness can be fixed.
pub(crate) fn densities(basis: &FixingBasis<'_>) -> (AnchorsOf, Vec<Fault>) {
    let mut found = AnchorsOf::new();
    let mut faults = Vec::new();
    for size in &basis.parts.board.thicknesses {
        let products = Products {
            main: Product {
                board: basis.parts.board,
                size,
            },
            plinth: None,
            barrier: None,
        };
        match designed(basis, &products, None, &mut Sheet::new()) {
            Ok(fixed) => {
                let anchor = fixed.answer.situations.first().and_then(|s| {
                    basis
                        .parts
                        .anchors
                        .iter()
                        .find(|a| a.article.key == s.anchor)
                });
                if let Some(anchor) = anchor {
                    found.insert(
                        size.thickness,
                        bridges(mean(basis.building, &fixed.answer.zones), anchor),
                    );
                }
            }
            Err(list) => faults = list,
        }
    }
    (found, faults)
}

/// The mean number for whole boards, weighted by the area of the zones.
fn mean(building: &Building, zones: &[ZoneAnswer]) -> f64 {
    let (mut anchors, mut area) = (0.0, 0.0);
    for zone in zones {
        let Some(facade) = building.facades.iter().find(|f| f.id == zone.facade) else {
            continue;
        };
        let part = area_within(&facade.outline, &strip_of(zone)).as_m2();
        anchors += part * zone.design.provided.value.as_per_m2();
        area += part;
    }
    if area > 0.0 { anchors / area } else { 0.0 }
}

fn strip_of(zone: &ZoneAnswer) -> Rectangle {
    let strip = &zone.strip;
    Rectangle {
        x: strip.x_from,
        y: strip.y_from,
        width: strip.x_to - strip.x_from,
        height: strip.y_to - strip.y_from,
    }
}

impl Fixed {
    fn role(&self, situation: usize) -> &'static str {
        self.roles
            .get(situation)
            .map_or("facade", |(role, _)| *role)
    }
    /// Anchors of the facade boards as they stand on the wall, and the area of these boards.
    pub fn placed(&self) -> (u32, Area) {
        let zones = || self.answer.zones.iter();
        let mine = || zones().filter(|zone| self.role(zone.situation) == "facade");
        let count = mine().fold(0_u32, |sum, zone| sum.saturating_add(zone.count));
        (count, mine().map(|zone| zone.area).sum())
    }
    /// Anchors per square metre of facade boards as they stand on the wall.
    pub fn per_m2(&self) -> f64 {
        let (count, area) = self.placed();
        let area = area.as_m2();
        if area > 0.0 {
            f64::from(count) / area
        } else {
            0.0
        }
    }
    /// Key of the anchor of the facade boards.
    pub fn anchor(&self) -> Option<&str> {
        self.answer.situations.first().map(|s| s.anchor.as_str())
    }
    /// The greatest design suction.
    pub fn design_suction(&self) -> Option<Figure<WindPressure>> {
        self.answer
            .zones
            .iter()
            .map(|zone| zone.design.design_suction)
            .reduce(|a, b| if b.value > a.value { b } else { a })
    }
    /// By wall, the area of the boards of a role that have fewer anchors than their share, for want of room.
    pub fn unanchored(&self, job: &setting_out::Job, role: &str) -> Vec<(String, Area)> {
        let of = |placement: &fixing::placement::Placement| -> Area {
            let short = placement.short();
            let own = short.filter(|b| self.role(b.situation) == role);
            own.map(|board| board.area).sum()
        };
        let walls = job.walls.iter().zip(&self.answer.placements);
        walls
            .map(|(wall, placement)| (wall.id.clone(), of(placement)))
            .collect()
    }
    /// What the takeoff needs.
    pub fn needs(&self) -> Vec<AnchorNeed> {
        self.answer
            .zones
            .iter()
            .filter(|zone| zone.count > 0)
            .filter_map(|zone| {
                let s = self.answer.situations.get(zone.situation)?;
                Some(AnchorNeed {
                    anchor: s.anchor.clone(),
                    length: s.length.length,
                    count: u64::from(zone.count),
                    zone: format!(
                        "{}, zone {}",
                        zone.facade,
                        zone_label(zone.strip.zone, self.role(zone.situation))
                    ),
                    plate: fitting(s.length.wider_plate),
                    plug: fitting(s.length.plugged),
                })
            })
            .collect()
    }
    /// The zones that have anchors, in the order in which they are told.
    fn told_zones(&self) -> impl Iterator<Item = &ZoneAnswer> {
        self.answer.zones.iter().filter(|zone| zone.count > 0)
    }
    /// The answer without the bond, which is judged apart.
    pub fn told(&self, parts: &Parts<'_>) -> Fixing {
        let wind = &self.answer.wind;
        Fixing {
            code: wind.code.clone(),
            basic_velocity: wind.basic_velocity.value,
            reference_height: wind.reference_height.value,
            peak_pressure: wind.peak_pressure.value,
            zones: self.told_zones().map(|zone| self.zone(zone)).collect(),
            anchors: self
                .answer
                .situations
                .iter()
                .filter(|s| s.count > 0)
                .map(|s| chosen(s, parts))
                .collect(),
            drilling: self
                .answer
                .drilling
                .iter()
                .map(|line| DrillingLine {
                    facade: line.facade.clone(),
                    boards: self
                        .boards
                        .get(&line.situation)
                        .cloned()
                        .unwrap_or_default(),
                    situation: line.situation.clone(),
                    anchor: line.anchor.clone(),
                    length: line.length,
                    drill_diameter: line.drill_diameter,
                    drill_depth: line.drill_depth,
                    hole_depth: line.hole_depth,
                    count: line.count,
                })
                .collect(),
            count: self.answer.count,
            points: Vec::new(),
            bonded_share: 0.0,
            bonding: String::new(),
            bonds: Vec::new(),
            utilisation: self.answer.utilisation,
            holds: self.answer.holds,
            sensitivity: self
                .answer
                .sensitivity
                .iter()
                .map(|row| SensitivityRow {
                    change: row.change.clone(),
                    anchors: row.anchors,
                    utilisation: row.utilisation,
                })
                .collect(),
        }
    }
    fn zone(&self, zone: &ZoneAnswer) -> FixingZone {
        let (resistance, provided, utilisation, governing) = match &zone.verified {
            Some(v) => (
                v.resistance.value,
                v.provided.value,
                v.verdict.utilisation,
                v.governing,
            ),
            None => (
                zone.design.resistance.value,
                zone.design.provided.value,
                zone.design.verdict.utilisation,
                zone.design.governing,
            ),
        };
        let least_per_m2 = self
            .answer
            .situations
            .get(zone.situation)
            .map_or(0.0, |s| s.resistance.least.value.as_per_m2());
        let few = zone.verified.as_ref().is_some_and(|v| !v.number.holds);
        let governing = match governing {
            _ if few => format!(
                "{}, {least_per_m2} per m2: DOES NOT HOLD, {:.2} stand there",
                Governing::LeastNumber.words(),
                provided.as_per_m2()
            ),
            Governing::LeastNumber => format!("{}, {least_per_m2} per m2", governing.words()),
            _ => governing.words().to_string(),
        };
        FixingZone {
            facade: zone.facade.clone(),
            zone: zone.strip.zone.to_string(),
            boards: self.role(zone.situation),
            x_from: zone.strip.x_from,
            x_to: zone.strip.x_to,
            y_from: zone.strip.y_from,
            y_to: zone.strip.y_to,
            suction: zone.strip.suction.value,
            design_suction: zone.design.design_suction.value,
            anchor_resistance: resistance,
            needed_per_m2: zone.design.needed.value.as_per_m2(),
            provided_per_m2: provided.as_per_m2(),
            per_board: zone.per_board,
            count: zone.count,
            utilisation,
            too_few: few,
            governing,
            least_per_m2,
        }
    }
    /// Every anchor with its place.
    pub fn points(&self) -> Vec<AnchorPoint> {
        let facades = &self.answer.wind.facades;
        // Only situations that have anchors are told.
        let told = |situation: usize| {
            let before = self.answer.situations.iter().take(situation);
            before.filter(|s| s.count > 0).count()
        };
        // An anchor belongs to a zone that has one, and only such zones are told.
        let zones: BTreeMap<(&str, usize, usize), usize> = self
            .told_zones()
            .enumerate()
            .map(|(i, z)| ((z.facade.as_str(), z.strip_index, z.situation), i))
            .collect();
        self.answer
            .placements
            .iter()
            .zip(facades)
            .flat_map(|(placement, facade)| {
                placement.points.iter().filter_map(|point| {
                    let zone = (facade.id.as_str(), point.zone, point.situation);
                    Some(AnchorPoint {
                        facade: facade.id.clone(),
                        x: point.at.x,
                        y: point.at.y,
                        zone: facade
                            .strips
                            .get(point.zone)
                            .map(|strip| strip.zone.to_string())
                            .unwrap_or_default(),
                        zone_index: *zones.get(&zone)?,
                        in_joint: point.stand == Stand::Joint,
                        anchor: told(point.situation),
                    })
                })
            })
            .collect()
    }
}

fn fitting(with: bool) -> Fitting {
    if with {
        Fitting::With
    } else {
        Fitting::Without
    }
}

fn chosen(s: &fixing::SituationAnswer, parts: &Parts<'_>) -> ChosenAnchor {
    let whole = |length: quantity::Length| Mm(libm::ceil(length.as_mm() - 1e-9) as i32);
    let name = parts
        .anchors
        .iter()
        .find(|a| a.article.key == s.anchor)
        .map(|a| a.article.name.clone());
    ChosenAnchor {
        situation: s.name.clone(),
        anchor: s.anchor.clone(),
        name: name.unwrap_or_default(),
        length: s.length.length,
        length_needed: whole(s.length.needed.value),
        drill_diameter: s.length.drill_diameter,
        drill_depth: whole(s.length.drill_depth.value),
        plate: parts
            .plate
            .filter(|_| s.length.wider_plate)
            .map(|p| p.article.key.clone())
            .unwrap_or_default(),
        plug: parts
            .plug
            .filter(|_| s.length.plugged)
            .map(|p| p.article.key.clone())
            .unwrap_or_default(),
        count: s.count,
    }
}

/// The bond on every different wall: how each kind of board is bonded, the findings, and whether every check holds.
pub(crate) struct Bonded {
    pub boards: Vec<BoardBond>,
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
    let kinds = [
        ("facade", Some(products.main)),
        ("plinth", products.plinth),
        ("barrier", products.barrier),
    ];
    let mut bonded = Bonded {
        boards: Vec::new(),
        holds: true,
        findings: Vec::new(),
    };
    let mut faults = Faults::new();
    for (boards, product) in kinds {
        let Some(product) = product else { continue };
        match bond(basis, product, design_suction, render_mass, sheet) {
            Ok(one) => {
                bonded.holds &= one.holds;
                for finding in one.findings {
                    // What is said of the wall is said once, whichever boards stand on it.
                    if !bonded.findings.contains(&finding) {
                        bonded.findings.push(finding);
                    }
                }
                bonded.boards.push(BoardBond {
                    boards: boards.to_string(),
                    ..one.of_board
                });
            }
            Err(list) => {
                faults.extend(list);
                break;
            }
        }
    }
    faults.or(bonded)
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
    product: Product<'_>,
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
            boards: String::new(),
            board: board.article.key.clone(),
            share,
            bonding,
        },
        holds,
        findings,
    })
}

/// The wind as the answer tells it, the greatest design suction, and what the reader should know.
pub(crate) type WindTold = (Fixing, Option<Figure<WindPressure>>, Vec<Finding>);

/// The wind alone, for a system that takes no anchors: its code, its figures, the greatest design suction.
///
/// # Errors
/// Every fault of site and building.
pub(crate) fn wind_only(
    basis: &FixingBasis<'_>,
    sheet: &mut Sheet,
) -> Result<WindTold, Vec<Fault>> {
    let site = site(basis.site);
    let plan = plan(basis.building);
    let code = EnWind {
        national: basis.national,
        site: &site,
        path: "wind",
    };
    let facades = basis.building.facades.iter().map(|facade| {
        let (low, high) = facade.bounds();
        FacadeOnPlan {
            id: facade.id.clone(),
            runs: FacadeOnPlan::side_by_width(facade.width(), &plan),
            left: low.x,
            right: high.x,
            bottom: low.y,
            top: high.y,
            ground: ground(facade),
        }
    });
    let request = fixing::wind::WindRequest {
        plan,
        facades: facades.collect(),
        loaded_area: basis.site.loaded_area,
    };
    let wind = fixing::wind::suction(&code, &request, sheet)?;
    let worst = wind
        .facades
        .iter()
        .flat_map(|f| &f.strips)
        .map(|s| s.suction)
        .reduce(|a, b| if b.value > a.value { b } else { a });
    let factor = sheet.given(
        "gamma_F",
        basis.rules.wind_factor.value,
        working::Origin::Rule(format!("{}, wind_factor", basis.rules.key)),
    );
    let suction = worst.map(|w| sheet.derive("S_d", &standards::eota::DESIGN_SUCTION, (factor, w)));
    let answer = Fixing {
        code: wind.code,
        basic_velocity: wind.basic_velocity.value,
        reference_height: wind.reference_height.value,
        peak_pressure: wind.peak_pressure.value,
        holds: true,
        ..Fixing::default()
    };
    Ok((answer, suction, wind.findings))
}

/// Whether the system takes anchors at all.
pub(crate) fn takes_anchors(parts: &Parts<'_>) -> bool {
    parts.system.attachment != Attachment::Bonded
}
