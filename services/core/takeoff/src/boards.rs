//! Boards by thickness, boards for reveals, and foam for gaps between them.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Building, FinishedOpening, OpeningKind};
use material::{Board, Unit};
use quantity::{Area, Mm};
use working::{Figure, Origin, Severity, numbered};

use crate::formulas::FOAM;
use crate::job::{BoardRole, Job, Leftover, find};
use crate::line::{Bound, Component, Line, Loss};
use crate::order::{Order, Pile, Want, bare};
use crate::reveals::{Ground, RipPlan, Ripped, Strips, rip};

/// Boards of one kind and thickness, in all roles.
#[derive(Default)]
struct Heap {
    roles: Vec<(BoardRole, u64, u64)>,
    net_area: Area,
    offcuts: Area,
    scrap: Area,
    leftovers: Vec<Leftover>,
    told: Vec<String>,
}

/// How the reveal strips of one thickness are cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RevealCutting {
    /// Thickness of the board.
    pub thickness: Mm,
    /// Name of the article that they are cut from.
    pub board: String,
    /// Board by board.
    pub plan: RipPlan,
    /// How it came about, in words.
    pub told: String,
}

/// Every board line: what the setting-out laid and what the reveals take, pooled by board and thickness. Gives how the reveal strips are
/// cut.
pub(crate) fn boards(job: &Job, order: &mut Order) -> Vec<RevealCutting> {
    order.sheet.section("Boards");
    if job.laid.boards.is_empty() {
        order.find(
            "BOARDS_NOT_SET_OUT",
            Severity::Caution,
            "laid",
            "no setting-out was given: no boards are counted but those of the reveals",
            "",
        );
    }
    let mut heaps: BTreeMap<(String, Mm), Heap> = BTreeMap::new();
    for need in &job.laid.boards {
        // One key for a board however it is named, so that all its roles share packs and leftovers.
        let key = find(&job.parts.assortment.boards, &need.board)
            .map_or_else(|| need.board.clone(), |board| bare_key(job, board));
        let heap = heaps.entry((key, need.thickness)).or_default();
        heap.roles.push((need.role, need.boards, need.bound));
        heap.net_area += need.net_area;
        heap.offcuts += need.offcut_area;
        heap.scrap += need.scrap_area;
        heap.leftovers.extend(&need.leftovers);
    }
    let strips = by_thickness(&reveal_strips(job.building));
    let cuttings = strips
        .iter()
        .filter_map(|(thickness, strips)| reveal_boards(job, *thickness, strips, &mut heaps, order))
        .collect();
    for ((key, thickness), heap) in heaps {
        let Some(board) = find(&job.parts.assortment.boards, &key) else {
            continue;
        };
        board_line(order, board, thickness, &heap);
    }
    cuttings
}

fn board_line(order: &mut Order, board: &Board, thickness: Mm, heap: &Heap) {
    let count: u64 = heap.roles.iter().map(|r| r.1).sum();
    let Some(stocked) = board.stocked(thickness) else {
        let missing = format!("{} in {thickness}, not stocked", board.article.name);
        order.unsupplied(Component::Board, &missing, Unit::Piece, count as f64);
        return;
    };
    let roles: Vec<&str> = heap.roles.iter().map(|r| r.0.name()).collect();
    let want = Want {
        component: Component::Board,
        article: &board.article,
        purpose: format!("{thickness}: {}", roles.join(", ")),
    };
    let pile = Pile {
        supply: &stocked.supply,
        content: f64::from(stocked.boards_per_pack),
        unit: Unit::Piece,
        size: Some(thickness),
        scale: 1.0,
    };
    let parts: Vec<(String, Figure<f64>)> = heap
        .roles
        .iter()
        .map(|(role, boards, _)| {
            let origin = Origin::Counted("setting-out and cutting of boards".into());
            let label = format!("boards {}", role.name());
            (
                String::from(role.name()),
                order.sheet.given(label, *boards as f64, origin),
            )
        })
        .collect();
    if let Some(line) = order.count(&want, &pile, parts) {
        line.told.extend(heap.told.iter().cloned());
        cutting_loss(line, board, heap, count);
        line.bounds
            .extend(heap.roles.iter().map(|(role, boards, bound)| Bound {
                of: format!("boards, {}", role.name()),
                found: *boards,
                least: *bound,
            }));
    }
}

/// The net need of boards is what lies on the wall; the rest of the whole boards is cutting loss.
fn cutting_loss(line: &mut Line, board: &Board, heap: &Heap, count: u64) {
    let one = (board.length.to_length() * board.height.to_length()).as_m2();
    if one <= 0.0 {
        return;
    }
    let laid = heap.net_area.as_m2() / one;
    let loss = count as f64 - laid;
    line.add_net(-loss);
    line.told.push(format!(
        "waste {:.2} = {count} x {} - {:.2}, what {:.2} m2 on the wall take of boards of {one:.3} m2",
        line.need - laid,
        1.0 + board.article.waste_share,
        laid,
        heap.net_area.as_m2()
    ));
    line.losses.insert(
        0,
        Loss {
            amount: loss,
            origin: format!(
                "cutting: {:.2} m2 of usable offcuts, {:.2} m2 of scrap and saw cuts",
                heap.offcuts.as_m2(),
                heap.scrap.as_m2()
            ),
        },
    );
}

/// Where at an opening a strip lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RevealPlace {
    /// At one of its sides.
    Jamb,
    /// Over it.
    Head,
    /// Under its sill.
    Sill,
}

/// A strip of board for a reveal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RevealStrip {
    /// The facade.
    pub facade: String,
    /// The opening.
    pub opening: String,
    /// Where it lies.
    pub place: RevealPlace,
    /// Thickness of its board.
    pub thickness: Mm,
    /// Its width: the depth of the reveal.
    pub width: Mm,
    /// Its length.
    pub length: Mm,
}

/// Every strip for jambs, heads and sills, opening by opening: what the order list counts is what is told.
pub fn reveal_strips(building: &Building) -> Vec<RevealStrip> {
    let mut strips = Vec::new();
    for facade in &building.facades {
        for finished in facade.finished_openings() {
            let opening = finished.opening;
            for (place, thickness, length) in strips_of(&finished) {
                strips.push(RevealStrip {
                    facade: facade.id.clone(),
                    opening: opening.id.clone(),
                    place,
                    thickness,
                    width: opening.reveal_depth,
                    length,
                });
            }
        }
    }
    strips
}

/// Place, thickness and length of the strips of one opening.
pub(crate) fn strips_of(finished: &FinishedOpening) -> Vec<(RevealPlace, Mm, Mm)> {
    let (opening, size) = (finished.opening, finished.size);
    let mut strips = Vec::new();
    let mut add = |place: RevealPlace, thickness: Mm, length: Mm| {
        if opening.reveal_depth > Mm::ZERO && thickness > Mm::ZERO {
            strips.push((place, thickness, length));
        }
    };
    // The head runs over the boards on the jambs; the jambs stand between head and sill.
    for (from, to) in &finished.head {
        let from = if *from == size.x {
            opening.raw.x
        } else {
            *from
        };
        let to = if *to == size.right() {
            opening.raw.right()
        } else {
            *to
        };
        add(RevealPlace::Head, opening.reveal_insulation, to - from);
    }
    for (from, to) in finished.left.iter().chain(&finished.right) {
        add(RevealPlace::Jamb, opening.reveal_insulation, *to - *from);
    }
    if opening.kind == OpeningKind::Window {
        for (from, to) in &finished.foot {
            add(RevealPlace::Sill, opening.sill_insulation, *to - *from);
        }
    }
    strips
}

/// The strips by thickness: width and length of each.
fn by_thickness(strips: &[RevealStrip]) -> BTreeMap<Mm, Strips> {
    let mut by_thickness: BTreeMap<Mm, Strips> = BTreeMap::new();
    for strip in strips {
        let list = by_thickness.entry(strip.thickness).or_default();
        list.push((strip.width, strip.length));
    }
    by_thickness
}

/// The board that reveals of this thickness are cut from: the facade's, else the plinth's, where stocked. A reveal is part of the
/// facade: a board for the plinth only, which may burn where the facade's does not, is none for it.
fn reveal_board<'a>(job: &Job<'a>, thickness: Mm) -> Option<&'a Board> {
    let plinth = job.parts.plinth_board.filter(|b| b.exposure.facade);
    [Some(job.parts.board), plinth]
        .into_iter()
        .flatten()
        .find(|b| b.stocked(thickness).is_some())
}

/// Boards ripped into strips, the strips cut to length: two stages of guillotine cuts, each with its bound.
fn reveal_boards(
    job: &Job,
    thickness: Mm,
    strips: &Strips,
    heaps: &mut BTreeMap<(String, Mm), Heap>,
    order: &mut Order,
) -> Option<RevealCutting> {
    let area: Area = strips
        .iter()
        .map(|(w, l)| w.to_length() * l.to_length())
        .sum();
    let Some(board) = reveal_board(job, thickness) else {
        order.find(
            "REVEAL_BOARD_NOT_STOCKED",
            Severity::Caution,
            "",
            format!(
                "no board of the system is stocked in {thickness} for reveals; choose one for {:.2} m2",
                area.as_m2()
            ),
            "",
        );
        let missing = format!("reveal boards of {thickness}");
        order.unsupplied(Component::Board, &missing, Unit::SquareMetre, area.as_m2());
        return None;
    };
    let key = bare_key(job, board);
    let heap = heaps.entry((key, thickness)).or_default();
    let bought: u64 = heap.roles.iter().map(|role| role.1).sum();
    let per_pack = board.stocked(thickness).map_or(1, |s| s.boards_per_pack);
    let packs = |ripped: u64| {
        let need = (bought + ripped) as f64 * (1.0 + board.article.waste_share);
        quantity::whole_packs(need, f64::from(per_pack)).unwrap_or(u64::MAX)
    };
    let ground = Ground {
        board,
        leftovers: &heap.leftovers,
        part_min: job.practice.reveal_part_min,
        budget: job.practice.cutting_budget,
        packs: &packs,
    };
    let Ok(ripped) = rip(&ground, strips) else {
        let missing = format!("reveal boards of {thickness}, which cannot be cut from its boards");
        order.unsupplied(Component::Board, &missing, Unit::SquareMetre, area.as_m2());
        return None;
    };
    let one = board.length.to_length() * board.height.to_length();
    let least = by_area(area, one, &heap.leftovers);
    let told = told(thickness, strips.len(), area, &ripped, least);
    order.sheet.step(told.clone());
    heap.told.push(told.clone());
    // What rips of one width take at least bounds these plans and no others: strips of two widths may lie one after the other on a board.
    heap.roles
        .push((BoardRole::Reveal, ripped.boards, least.min(ripped.boards)));
    heap.net_area += area;
    heap.offcuts += ripped.rests + ripped.board_rests - ripped.touched;
    let whole = one * ripped.boards as f64 - (area - ripped.from_leftovers) - ripped.board_rests;
    heap.scrap += whole + ripped.touched - ripped.from_leftovers - ripped.rests;
    Some(RevealCutting {
        thickness,
        board: board.article.name.clone(),
        plan: ripped.plan,
        told,
    })
}

/// The boards that no plan can do without: the area that the leftovers cannot give.
fn by_area(area: Area, one: Area, leftovers: &[Leftover]) -> u64 {
    let left: Area = leftovers
        .iter()
        .map(|l| l.width.to_length() * l.height.to_length())
        .sum();
    libm::fmax(0.0, libm::ceil((area - left) / one - 1e-9)) as u64
}

fn told(thickness: Mm, strips: usize, area: Area, ripped: &Ripped, least: u64) -> String {
    let joints = match ripped.plan.joint_count() {
        0 => String::from("no strip jointed"),
        n => format!("{} lengthwise", numbered(n, "joint", "joints")),
    };
    let leftovers = match ripped.plan.leftovers.len() as u64 {
        0 => String::from("all"),
        n => format!(
            "{:.3} m2 from {} of the facade, the rest",
            ripped.from_leftovers.as_m2(),
            numbered(n, "leftover", "leftovers")
        ),
    };
    format!(
        "reveals of {thickness}: {}, {:.3} m2; {leftovers} ripped from {} and cut to length, {joints}; at least {least} by area, {} in rips of one width; usable rests {:.3} m2",
        numbered(strips as u64, "strip", "strips"),
        area.as_m2(),
        numbered(ripped.boards, "whole board", "whole boards"),
        ripped.least,
        (ripped.rests + ripped.board_rests).as_m2(),
    )
}

/// The key under which a board stands in the assortment.
fn bare_key(job: &Job, board: &Board) -> String {
    job.parts
        .assortment
        .boards
        .iter()
        .find(|(_, b)| b.article.key == board.article.key)
        .map_or_else(|| board.article.key.clone(), |(key, _)| key.clone())
}

/// Foam for the gaps that joints are assumed to have.
pub(crate) fn foam(job: &Job, order: &mut Order) {
    let needs: Vec<_> = job
        .laid
        .boards
        .iter()
        .filter(|n| n.joint_length.as_m() > 0.0)
        .collect();
    let (Some(foam), false) = (job.parts.foam, needs.is_empty()) else {
        return;
    };
    order.sheet.section("Foam for gaps");
    let rule = |key: &str| Origin::Rule(format!("{}: {key}", job.practice.source));
    let share = order.sheet.given(
        "s",
        job.practice.foamed_joint_share,
        rule("share of joints foamed"),
    );
    let gap = order
        .sheet
        .given("g", job.practice.foamed_gap, rule("width of a foamed gap"));
    let origin = Origin::catalogue(foam.article.key.as_str(), "yield-l-per-l");
    let gain = order.sheet.given("y", foam.yield_l_per_l, origin);
    let parts: Vec<(String, Figure<f64>)> = needs
        .into_iter()
        .map(|need| {
            let laid = Origin::Counted("joints of the setting-out".into());
            let l = order.sheet.given("l", need.joint_length, laid);
            let origin = Origin::request("thickness_mm");
            let d = order.sheet.given("d", need.thickness.to_length(), origin);
            let volume = order.sheet.derive("V_f", &FOAM, (l, share, gap, d, gain));
            (String::from(need.role.name()), bare(volume))
        })
        .collect();
    order.find(
        "FOAM_ASSUMED",
        Severity::Note,
        "",
        format!(
            "foam is counted for {:.0} % of {:.1} m of joints, {:.1} mm wide; wider gaps are filled with strips of the insulant, never with mortar",
            share.value * 100.0,
            job.laid.boards.iter().map(|n| n.joint_length.as_m()).sum::<f64>(),
            gap.value.as_mm()
        ),
        "common practice, no source",
    );
    let want = Want {
        component: Component::Foam,
        article: &foam.article,
        purpose: String::from("gaps between boards up to 5 mm"),
    };
    let pile = Pile {
        supply: &foam.supply,
        content: foam.supply.pack.content / 1000.0,
        unit: Unit::Litre,
        size: None,
        scale: 1000.0,
    };
    order.count(&want, &pile, parts);
}
