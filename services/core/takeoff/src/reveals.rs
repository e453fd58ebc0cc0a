//! Reveal strips: cut from what the facade leaves of the same board, then from whole boards.
//!
//! A rectangle is ripped into strips of one width, the strips are cut to length. From whole boards the lengths and the rips are two
//! one-dimensional cutting problems, each with its bound. Strips may be jointed lengthwise where that saves a board, and boards that
//! may be turned are ripped across where more strips of a width lie side by side along the board.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;

use material::{Board, Rotation};
use quantity::{Area, Mm};

use crate::cutting::{CutFault, Cutting, Pattern, Stock, cut, split};
use crate::job::Leftover;

/// Cells of fill tables that a step of the budget stands for.
const CELLS_A_STEP: u64 = 100;

/// Strips by width, each with its length.
pub(crate) type Strips = Vec<(Mm, Mm)>;

/// What the strips are cut from.
pub(crate) struct Ground<'a> {
    pub board: &'a Board,
    /// Left over from the same board in the same thickness.
    pub leftovers: &'a [Leftover],
    /// The shortest part of a strip.
    pub part_min: Mm,
    /// Steps of the search for each cutting plan.
    pub budget: u32,
    /// The packs bought where so many whole boards are ripped, with what else the board is laid for.
    pub packs: &'a dyn Fn(u64) -> u64,
}

/// How a rectangle, or whole boards, are ripped and their rips cut to length.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RipPlan {
    /// Leftovers of the facade, the largest first.
    pub leftovers: Vec<RippedLeftover>,
    /// Whole boards, ripped along one side and then along the other.
    pub boards: Vec<RippedBoards>,
    /// Strips that are put together from parts. A part may itself be put together from others.
    pub joints: BTreeMap<Jointed, u32>,
}

impl RipPlan {
    /// How many joints are inside strips.
    #[must_use]
    pub fn joint_count(&self) -> u64 {
        let each = self.joints.iter();
        each.map(|(strip, times)| (strip.parts.len() as u64 - 1) * u64::from(*times))
            .sum()
    }
}

/// A leftover and the rips that are taken from it, one after the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RippedLeftover {
    /// The leftover.
    pub of: Leftover,
    /// The rips, in the order in which they are sawn.
    pub rips: Vec<Rip>,
}

/// One rip, cut to length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rip {
    /// Which side of the board it runs along.
    pub along: Along,
    /// Its width.
    pub width: Mm,
    /// What it is cut into.
    pub pieces: Vec<Mm>,
}

/// Whole boards that are ripped along one of their sides.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RippedBoards {
    /// That side.
    pub along: Along,
    /// The widths of the rips of each board; the bar is the board's other side.
    pub boards: Vec<Pattern>,
    /// How the rips of each width are cut to length.
    pub rips: Vec<(Mm, Vec<Pattern>)>,
}

/// A strip put together from parts, end to end.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Jointed {
    /// Its width.
    pub width: Mm,
    /// Its length, the parts together.
    pub length: Mm,
    /// The parts.
    pub parts: Vec<Mm>,
}

/// How the strips are cut.
#[derive(Clone, Debug, Default)]
pub(crate) struct Ripped {
    /// Board by board.
    pub plan: RipPlan,
    /// Whole boards.
    pub boards: u64,
    /// No plan of the ways that were tried, each rip of one width and all rips of a width along the same side, can do with fewer.
    pub least: u64,
    /// Strips cut from leftovers.
    pub from_leftovers: Area,
    /// Area of the leftovers that something is cut from.
    pub touched: Area,
    /// Usable rests of those leftovers.
    pub rests: Area,
    /// Usable rests of the whole boards.
    pub board_rests: Area,
}

/// Whether a strip may be put together from parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Joints {
    /// Only where it is longer than a board.
    Long,
    /// Wherever it fills a strip.
    Anywhere,
}

/// Cuts the strips: the leftovers first, in whole strips or jointed ones, then whole boards, in whole strips or jointed ones, along
/// the board or across it.
///
/// Of these ways and of those without leftovers the one with the fewest packs is taken, of equals that with the fewest joints, then the
/// fewest boards, then the first: a board that only a joint saves, and that no pack saves, is worth no joint. A strip deeper than a board
/// can give lies in parts side by side.
///
/// # Errors
/// A board without size.
pub(crate) fn rip(ground: &Ground, strips: &Strips) -> Result<Ripped, CutFault> {
    let mut best: Option<(Rank, Ripped)> = None;
    let first: &[Option<Joints>] = if ground.leftovers.is_empty() {
        &[None]
    } else {
        &[Some(Joints::Long), Some(Joints::Anywhere), None]
    };
    for leftovers in first {
        let mut demand = Demand::new(ground, strips);
        let mut started = Ripped::default();
        if let Some(joints) = leftovers {
            demand.fill_leftovers(ground, *joints, &mut started);
        }
        let mut planned = Vec::new();
        for joints in [Joints::Long, Joints::Anywhere] {
            let along = demand.rips(ground, joints, Along::Length)?;
            let across = match ground.board.rotation {
                Rotation::Allowed => demand.rips(ground, joints, Along::Height)?,
                Rotation::Forbidden => BTreeMap::new(),
            };
            planned.push([along, across]);
        }
        started.plan.joints.clone_from(&demand.jointed);
        let mut found = Vec::new();
        for across in demand.ways_across(ground.board) {
            for rips in &planned {
                found.push(rip_boards(ground, rips, &across, &started)?);
            }
        }
        let least = found.iter().map(|r| r.least).min().unwrap_or(0);
        for ripped in found {
            let rank = rank(ground, &ripped);
            if best.as_ref().is_none_or(|(known, _)| rank < *known) {
                best = Some((rank, Ripped { least, ..ripped }));
            }
        }
    }
    Ok(best.map(|(_, ripped)| ripped).unwrap_or_default())
}

/// Packs, joints, boards: less is better, in this order.
type Rank = (u64, u64, u64);

fn rank(ground: &Ground, ripped: &Ripped) -> Rank {
    let packs = (ground.packs)(ripped.boards);
    (packs, ripped.plan.joint_count(), ripped.boards)
}

/// With more widths than this that may go either way, either all of them are ripped along the board or all across.
const WIDTHS_MIXED: usize = 4;

/// What is still to be cut: lengths with their number, by width.
#[derive(Clone, Debug, Default)]
struct Demand {
    by_width: BTreeMap<Mm, BTreeMap<Mm, u32>>,
    /// Strips put together so far.
    jointed: BTreeMap<Jointed, u32>,
}

/// One strip of a leftover, filled.
struct Fill {
    width: Mm,
    along: Along,
    pieces: Vec<Mm>,
    /// A part cut from a longer piece: the piece and the part.
    part: Option<(Mm, Mm)>,
    covered: i64,
}

/// Which side of the board a strip runs along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// The long one.
    Length,
    /// The short one.
    Height,
}

impl Demand {
    fn new(ground: &Ground, strips: &Strips) -> Self {
        let mut demand = Self::default();
        let board = ground.board;
        let widest = match board.rotation {
            Rotation::Allowed => board.height.max(board.length),
            Rotation::Forbidden => board.height,
        };
        for (width, length) in strips {
            let parts = split(*length, board.length, Mm::ZERO, ground.part_min);
            for beside in split(*width, widest, Mm::ZERO, ground.part_min) {
                joint(&mut demand.jointed, beside, *length, &parts);
                let list = demand.by_width.entry(beside).or_default();
                for part in &parts {
                    *list.entry(*part).or_default() += 1;
                }
            }
        }
        demand
    }

    /// Fills the leftovers, largest first, strip by strip, each time with what covers most; ends when nothing fits or the cells are spent.
    fn fill_leftovers(&mut self, ground: &Ground, joints: Joints, ripped: &mut Ripped) {
        let mut cells = u64::from(ground.budget) * CELLS_A_STEP;
        let narrowest = self.by_width.keys().next().copied().unwrap_or(Mm(1));
        let mut order: Vec<Leftover> = ground.leftovers.to_vec();
        order.sort_by_key(|l| core::cmp::Reverse((mm2(l.width, l.height), l.width)));
        let kerf = ground.board.kerf;
        for leftover in order {
            let mut rest = leftover;
            let mut cut = 0;
            let mut rips = Vec::new();
            while let Some(fill) = self.best_fill(ground, joints, rest, &mut cells) {
                let side = match fill.along {
                    Along::Length => &mut rest.height,
                    Along::Height => &mut rest.width,
                };
                *side = (*side - fill.width - kerf).max(Mm::ZERO);
                cut += fill.covered;
                self.take(&fill);
                let part = fill.part.map(|(_, part)| part);
                rips.push(Rip {
                    along: fill.along,
                    width: fill.width,
                    pieces: fill.pieces.into_iter().chain(part).collect(),
                });
            }
            if cut > 0 {
                ripped
                    .plan
                    .leftovers
                    .push(RippedLeftover { of: leftover, rips });
                let usable =
                    |length: Mm, width: Mm| length >= ground.part_min && width >= narrowest;
                let turned = ground.board.rotation == Rotation::Allowed;
                ripped.from_leftovers += Area::from_mm2(cut as f64);
                ripped.touched += area(leftover.width, leftover.height);
                if usable(rest.width, rest.height) || turned && usable(rest.height, rest.width) {
                    ripped.rests += area(rest.width, rest.height);
                }
            }
        }
    }

    /// The strip of a rectangle that covers most; of equals the one along the board, then the narrower.
    fn best_fill(
        &self,
        ground: &Ground,
        joints: Joints,
        rest: Leftover,
        cells: &mut u64,
    ) -> Option<Fill> {
        let ways: &[(Along, Mm, Mm)] = match ground.board.rotation {
            Rotation::Allowed => &[
                (Along::Length, rest.width, rest.height),
                (Along::Height, rest.height, rest.width),
            ],
            Rotation::Forbidden => &[(Along::Length, rest.width, rest.height)],
        };
        let mut best: Option<Fill> = None;
        for (along, length, across) in ways {
            for (width, list) in self.by_width.range(..=*across) {
                let Some(pieces) = fullest(list, *length, ground.board.kerf, cells) else {
                    return best;
                };
                let used: Mm = pieces.iter().map(|p| *p + ground.board.kerf).sum();
                let part = match joints {
                    Joints::Long => None,
                    Joints::Anywhere => part(list, &pieces, *length - used, ground.part_min),
                };
                let lengths = pieces.iter().copied().chain(part.map(|(_, part)| part));
                let covered = lengths.map(|l| mm2(l, *width)).sum();
                if covered > best.as_ref().map_or(0, |b| b.covered) {
                    best = Some(Fill {
                        width: *width,
                        along: *along,
                        pieces,
                        part,
                        covered,
                    });
                }
            }
        }
        best
    }

    fn take(&mut self, fill: &Fill) {
        let Some(list) = self.by_width.get_mut(&fill.width) else {
            return;
        };
        for piece in fill
            .pieces
            .iter()
            .chain(fill.part.iter().map(|(whole, _)| whole))
        {
            if let Some(count) = list.get_mut(piece) {
                *count -= 1;
                if *count == 0 {
                    list.remove(piece);
                }
            }
        }
        if let Some((whole, part)) = fill.part {
            *list.entry(whole - part).or_default() += 1;
            joint(&mut self.jointed, fill.width, whole, &[part, whole - part]);
        }
        if list.is_empty() {
            self.by_width.remove(&fill.width);
        }
    }

    /// The sets of widths to try across the board, fewest first: each holds those that are wider than the board is high, and none that
    /// are wider than it is long.
    fn ways_across(&self, board: &Board) -> Vec<BTreeSet<Mm>> {
        let widths = || self.by_width.keys().copied();
        let only_across: BTreeSet<Mm> = widths().filter(|w| *w > board.height).collect();
        let mut ways = alloc::vec![only_across];
        let either: Vec<Mm> = widths()
            .filter(|w| *w <= board.height && *w <= board.length)
            .collect();
        if board.rotation == Rotation::Forbidden || either.is_empty() {
            return ways;
        }
        if either.len() > WIDTHS_MIXED {
            ways.extend(ways.first().cloned().map(|mut way| {
                way.extend(either);
                way
            }));
            return ways;
        }
        for width in either {
            let with = ways.iter().cloned().map(|mut way| {
                way.insert(width);
                way
            });
            ways.extend(with.collect::<Vec<_>>());
        }
        ways
    }

    /// The rips along one side of whole boards from which what is left is cut, by width.
    fn rips(&self, ground: &Ground, joints: Joints, along: Along) -> Result<RipsByWidth, CutFault> {
        let (length, _) = sides(ground.board, along);
        let kerf = ground.board.kerf;
        let strip = Stock { length, kerf };
        let mut rips = BTreeMap::new();
        for (width, list) in &self.by_width {
            let mut own = Rips::default();
            let mut pieces = Vec::new();
            for (piece, count) in list.iter().rev() {
                let parts = split(*piece, length, Mm::ZERO, ground.part_min);
                for _ in 0..*count {
                    pieces.extend(&parts);
                    joint(&mut own.jointed, *width, *piece, &parts);
                }
            }
            pieces.sort_unstable_by(|a: &Mm, b| b.cmp(a));
            let whole: i64 = pieces.iter().map(|p| i64::from(p.0)).sum();
            if joints == Joints::Anywhere {
                let parts = jointed(&pieces, strip, ground.part_min);
                for (whole, parts) in pieces.iter().zip(&parts) {
                    joint(&mut own.jointed, *width, *whole, parts);
                }
                pieces = parts.into_iter().flatten().collect();
            }
            let plan = cut(&pieces, strip, ground.budget)?;
            // Jointed anywhere and sawn without loss, the strips fill one rip after the other.
            let filled = whole
                .unsigned_abs()
                .div_ceil(u64::from(length.0.unsigned_abs()).max(1));
            own.count = plan.bars;
            own.least = filled.min(plan.bars);
            own.rests = rests(&plan, kerf, ground.part_min, *width);
            own.patterns = plan.patterns;
            rips.insert(*width, own);
        }
        Ok(rips)
    }
}

/// The rips of one width.
#[derive(Clone, Debug, Default)]
struct Rips {
    count: u64,
    /// No plan can do with fewer.
    least: u64,
    /// What is left of them.
    rests: Area,
    /// How they are cut to length.
    patterns: Vec<Pattern>,
    /// Strips put together from parts.
    jointed: BTreeMap<Jointed, u32>,
}

type RipsByWidth = BTreeMap<Mm, Rips>;

/// How long the rips along one side of a board are, and what they share.
fn sides(board: &Board, along: Along) -> (Mm, Mm) {
    match along {
        Along::Length => (board.length, board.height),
        Along::Height => (board.height, board.length),
    }
}

/// Rips whole boards: the widths named across the board, the others along it.
fn rip_boards(
    ground: &Ground,
    [along, across]: &[RipsByWidth; 2],
    widths_across: &BTreeSet<Mm>,
    started: &Ripped,
) -> Result<Ripped, CutFault> {
    let kerf = ground.board.kerf;
    let mut ripped = started.clone();
    for (side, planned) in [(Along::Length, along), (Along::Height, across)] {
        let own = |width: &Mm| widths_across.contains(width) == (side == Along::Height);
        let (mut rips, mut least_rips) = (Vec::new(), Vec::new());
        let mut narrowest: Option<Mm> = None;
        let mut lengths = Vec::new();
        for (width, own) in planned.iter().filter(|(width, _)| own(width)) {
            narrowest = narrowest.or(Some(*width));
            rips.extend((0..own.count).map(|_| *width));
            least_rips.extend((0..own.least).map(|_| *width));
            ripped.board_rests += own.rests;
            lengths.push((*width, own.patterns.clone()));
            for (jointed, times) in &own.jointed {
                *ripped.plan.joints.entry(jointed.clone()).or_default() += times;
            }
        }
        let Some(narrowest) = narrowest else {
            continue;
        };
        let (long, length) = sides(ground.board, side);
        let stock = Stock { length, kerf };
        let plan = cut(&rips, stock, ground.budget)?;
        ripped.boards += plan.bars;
        let least = cut(&least_rips, stock, ground.budget)?.bound;
        ripped.least += least.min(plan.bars);
        if long >= ground.part_min {
            ripped.board_rests += rests(&plan, kerf, narrowest, long);
        }
        ripped.plan.boards.push(RippedBoards {
            along: side,
            boards: plan.patterns,
            rips: lengths,
        });
    }
    Ok(ripped)
}

/// Rests of a plan that are at least `least` long, `wide` across.
fn rests(plan: &Cutting, kerf: Mm, least: Mm, wide: Mm) -> Area {
    let long = plan.patterns.iter().map(|p| (p.left - kerf, p.times));
    long.filter(|(rest, _)| *rest > Mm::ZERO && *rest >= least)
        .map(|(rest, times)| area(rest, wide) * times as f64)
        .sum()
}

/// Notes a strip that is put together from several parts.
fn joint(jointed: &mut BTreeMap<Jointed, u32>, width: Mm, length: Mm, parts: &[Mm]) {
    if parts.len() > 1 {
        let strip = Jointed {
            width,
            length,
            parts: parts.to_vec(),
        };
        *jointed.entry(strip).or_default() += 1;
    }
}

/// The parts of each piece, one piece after the other, going on from strip to strip where both parts are long enough; each is no longer
/// than a strip.
fn jointed(pieces: &[Mm], strip: Stock, part_min: Mm) -> Vec<Vec<Mm>> {
    let mut parts = Vec::new();
    let mut room = strip.length;
    for piece in pieces {
        let beyond = *piece - room;
        if *piece <= room {
            parts.push(alloc::vec![*piece]);
            room -= *piece + strip.kerf;
        } else if room >= part_min && room > Mm::ZERO && beyond >= part_min {
            parts.push(alloc::vec![room, beyond]);
            room = strip.length - beyond - strip.kerf;
        } else {
            parts.push(alloc::vec![*piece]);
            room = strip.length - *piece - strip.kerf;
        }
    }
    parts
}

/// The longest piece that fills `room` with a part of itself and keeps a part long enough, with that part.
fn part(list: &BTreeMap<Mm, u32>, taken: &[Mm], room: Mm, part_min: Mm) -> Option<(Mm, Mm)> {
    if room < part_min || room <= Mm::ZERO {
        return None;
    }
    let (longest, _) = list.iter().rev().find(|(piece, count)| {
        let gone = taken.iter().filter(|t| t == piece).count();
        gone < **count as usize
    })?;
    (*longest - room >= part_min && *longest > room).then_some((*longest, room))
}

/// The pieces that cover most of a strip, by every sum that they can make; nothing where the cells are spent.
fn fullest(list: &BTreeMap<Mm, u32>, strip: Mm, kerf: Mm, cells: &mut u64) -> Option<Vec<Mm>> {
    // A cut is needed after every piece but the last that ends with the strip, so one kerf is added to each piece and to the strip.
    let room = (strip + kerf).max(Mm::ZERO).0 as usize;
    let fitting: Vec<(usize, u32)> = list
        .range(Mm(1)..=strip.max(Mm(1)))
        .filter(|(piece, _)| **piece <= strip)
        .map(|(piece, count)| ((*piece + kerf).0 as usize, *count))
        .collect();
    *cells = cells.checked_sub(((fitting.len() + 1) * (room + 1)) as u64)?;
    // For each length the most that pieces can cover in it, and the last piece of that filling with its number.
    let mut covered = alloc::vec![Some(0_usize)];
    covered.resize(room + 1, None);
    let mut last: Vec<Option<usize>> = alloc::vec![None; room + 1];
    for (size, count) in fitting.iter().rev() {
        let mut spent = alloc::vec![0_u32; room + 1];
        for at in *size..=room {
            let before = at - size;
            let (Some(Some(sum)), Some(n)) =
                (covered.get(before).copied(), spent.get(before).copied())
            else {
                continue;
            };
            if n < *count
                && let (Some(c @ None), Some(l), Some(s)) =
                    (covered.get_mut(at), last.get_mut(at), spent.get_mut(at))
            {
                *c = Some(sum + size - kerf.0 as usize);
                *l = Some(*size);
                *s = n + 1;
            }
        }
    }
    let full = covered
        .iter()
        .enumerate()
        .filter_map(|(at, sum)| sum.map(|sum| (sum, core::cmp::Reverse(at))))
        .max()?;
    let mut at = full.1.0;
    let mut pieces = Vec::new();
    while let Some(Some(size)) = last.get(at) {
        pieces.push(Mm(*size as i32) - kerf);
        at = at.saturating_sub(*size);
    }
    Some(pieces)
}

fn mm2(a: Mm, b: Mm) -> i64 {
    i64::from(a.0) * i64::from(b.0)
}

fn area(a: Mm, b: Mm) -> Area {
    a.to_length() * b.to_length()
}
