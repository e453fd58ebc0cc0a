//! Wind, anchors and bond: the survey as a fixing job, and the design as the answer.

mod boards;
mod bond;
mod told;
mod walls;
mod wind;

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Building, Rectangle, area_within};
use fixing::anchors::{Pattern, WallResistance};
use fixing::placement::BoardOnWall;
use fixing::wind::{EnWind, FacadeOnPlan};
use fixing::{FacadeToFix, FixingAnswer, FixingJob, Situation, ZoneAnswer, fix};
use material::{Anchor, Attachment, Board, Setting};
use quantity::{Area, Mm, WindPressure};
use standards::en_1991_1_4::NationalWind;
use standards::eota::FixingRules;
use takeoff::{AnchorNeed, Bonding, Fitting};
use working::{Fault, Figure, Finding, Sheet};

use crate::answer::{Part, zone_label};
use crate::fix_part::boards::{
    Key, anchored, boards, buried, complete, keys, unanchored_below_ground,
};
use crate::fix_part::walls::{Wall, unknown_base, walls};
use crate::fix_part::wind::{ground, plan, site};
use crate::parts::Parts;
use crate::request::WindSite;
use crate::set_out::{Product, Products};
use crate::thermal_part::{AnchorsOf, bridges};

pub(crate) use bond::bonds;
pub(crate) use wind::{site_faults, wind_only};

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
        parts: keys
            .iter()
            .zip(&anchored)
            .map(|(key, board)| (key.part, board.wider_plate))
            .collect(),
        boards: keys.into_iter().map(|key| (key.name, key.boards)).collect(),
    })
}

/// The fixing design with what was adapted of its input.
pub(crate) struct Fixed {
    pub answer: FixingAnswer,
    pub findings: Vec<Finding>,
    /// By situation: what its boards are laid for, and whether they take a wider plate.
    parts: Vec<(Part, bool)>,
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
    fn part(&self, situation: usize) -> Part {
        self.parts
            .get(situation)
            .map_or(Part::Facade, |(part, _)| *part)
    }
    /// Anchors of the facade boards as they stand on the wall, and the area of these boards.
    pub fn placed(&self) -> (u32, Area) {
        let zones = || self.answer.zones.iter();
        let mine = || zones().filter(|zone| self.part(zone.situation) == Part::Facade);
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
    /// By wall, the area of the boards of a part that have fewer anchors than their share, for want of room.
    pub fn unanchored(&self, job: &setting_out::Job, part: Part) -> Vec<(String, Area)> {
        let of = |placement: &fixing::placement::Placement| -> Area {
            let short = placement.short();
            let own = short.filter(|b| self.part(b.situation) == part);
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
                        zone_label(zone.strip.zone, self.part(zone.situation))
                    ),
                    plate: fitting(s.length.wider_plate),
                    plug: fitting(s.length.plugged),
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

/// Whether the system takes anchors at all.
pub(crate) fn takes_anchors(parts: &Parts<'_>) -> bool {
    parts.system.attachment != Attachment::Bonded
}
