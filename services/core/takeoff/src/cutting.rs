//! One-dimensional cutting: bars and rolls, with the bound and whether it is reached.
//!
//! First fit and best completion give a plan; the bound is the best of the area bound, Martello and Toth's L2, and the dual
//! feasible functions u^(k) of Fekete and Schepers. Where plan and bound differ, the relaxation over patterns sharpens both, and then a
//! search over maximal patterns of the longest piece left closes the gap or ends at its budget of steps. Maximal patterns lose nothing: any piece that would fit into the bar of the longest
//! piece may be moved there from another bar.

use alloc::collections::BTreeMap;
use alloc::vec::Vec;
use core::cmp::Reverse;

use quantity::Mm;

use crate::columns::{Cuts, Demand, relax};
use crate::exchange::filled;

/// A bar or roll to be cut, and what a cut takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Its length.
    pub length: Mm,
    /// Width of a cut.
    pub kerf: Mm,
}

/// How some bars are cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    /// Pieces of one bar, longest first, each length with its number.
    pub pieces: Vec<(Mm, u32)>,
    /// How many bars are cut so.
    pub times: u64,
    /// What is left of each bar.
    pub left: Mm,
    /// How long the bar is.
    pub bar: Mm,
}

/// A plan for all pieces.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cutting {
    /// Bars it takes.
    pub bars: u64,
    /// No plan can take fewer than this.
    pub bound: u64,
    /// Steps of the search.
    pub steps: u32,
    /// How each bar is cut.
    pub patterns: Vec<Pattern>,
}

impl Cutting {
    /// Whether no plan can take fewer bars.
    pub fn is_proven(&self) -> bool {
        self.bars == self.bound
    }
}

/// Why pieces cannot be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutFault {
    /// A piece is longer than the bar, or not positive.
    Piece(Mm),
    /// The bar has no length, or the kerf is negative.
    Stock,
    /// More pieces than the limit.
    TooMany(usize),
}

/// The most pieces that are cut in one plan.
pub const PIECES_MAX: usize = 100_000;
/// The usual budget: a step is one look at one size, so that the time for a step does not grow with the problem.
pub const BUDGET: u32 = 300_000;
/// Cells of knapsack tables that a step of the budget stands for.
pub(crate) const CELLS_A_STEP: u64 = 100;
/// The deepest search; a plan with more kinds of bars than this is not searched.
pub(crate) const DEEPEST: usize = 300;
/// The most patterns looked at for one bar; where there are more, the search proves nothing.
pub(crate) const PATTERNS_MAX: usize = 64;

/// Cuts `pieces` from bars of `stock` with a search of at most `budget` steps.
///
/// # Errors
/// A piece does not fit, the stock is not sound, or there are too many pieces.
///
/// ```
/// use quantity::Mm;
/// use takeoff::cutting::{Stock, cut};
/// let bar = Stock { length: Mm(2500), kerf: Mm(0) };
/// let plan = cut(&[Mm(1250), Mm(1250), Mm(2500)], bar, 1000).unwrap();
/// assert_eq!((plan.bars, plan.bound), (2, 2));
/// ```
pub fn cut(pieces: &[Mm], stock: Stock, budget: u32) -> Result<Cutting, CutFault> {
    if stock.length <= Mm::ZERO || stock.kerf < Mm::ZERO || stock.length > Mm::LIMIT {
        return Err(CutFault::Stock);
    }
    if pieces.len() > PIECES_MAX {
        return Err(CutFault::TooMany(pieces.len()));
    }
    if let Some(odd) = pieces
        .iter()
        .find(|p| **p <= Mm::ZERO || **p > stock.length)
    {
        return Err(CutFault::Piece(*odd));
    }
    let kerf = i64::from(stock.kerf.0);
    let (problem, counts) = Problem::new(pieces, stock);
    let mut bound = problem.bound(&counts, Loose::NONE);
    let mut best = problem.quick(&counts);
    if total(&best) > bound {
        let demand = Demand {
            capacities: &[problem.capacity],
            limits: &[],
            sizes: &problem.sizes,
            counts: &counts,
        };
        if let Some(relaxed) = relax(demand, &mut (u64::from(budget) * CELLS_A_STEP)) {
            bound = bound.max(relaxed.bound);
            let plan: Vec<(Fill, u64)> = relaxed
                .plan
                .into_iter()
                .flatten()
                .map(|Cuts { fill, times, .. }| (fill, times))
                .collect();
            if !plan.is_empty() && total(&plan) < total(&best) {
                best = plan;
            }
        }
    }
    let mut budget = budget;
    if let Some(plan) = exchanged(&problem, &counts, (bound, total(&best)), &mut budget) {
        best = plan;
    }
    let searched = if total(&best) <= DEEPEST as u64 {
        search(&problem, &counts, bound, total(&best), budget)
    } else {
        Searched::default()
    };
    let best = searched.plan.unwrap_or(best);
    let bars = total(&best);
    Ok(Cutting {
        bars,
        bound: if searched.whole {
            bars
        } else {
            bound.min(bars)
        },
        steps: searched.steps,
        patterns: problem.patterns(best, kerf),
    })
}

/// A plan with fewer than `known` bars by exchange of pieces, from the bound up; half of the steps go to each number of bars.
fn exchanged(
    problem: &Problem,
    counts: &[u32],
    (bound, known): (u64, u64),
    budget: &mut u32,
) -> Option<Vec<(Fill, u64)>> {
    (bound..known).find_map(|bars| {
        let mut steps = *budget / 2;
        *budget -= steps;
        let capacities = alloc::vec![problem.capacity; bars as usize];
        let fills = filled(&problem.sizes, counts, &capacities, &mut steps);
        *budget += steps;
        Some(fills?.into_iter().map(|fill| (fill, 1)).collect())
    })
}

/// What a search came to.
#[derive(Default)]
struct Searched {
    /// A plan with fewer bars than were known, where one was found.
    plan: Option<Vec<(Fill, u64)>>,
    /// Whether nothing was left out.
    whole: bool,
    steps: u32,
}

/// Looks for a plan with fewer than `known` bars, down to `bound`.
fn search(problem: &Problem, counts: &[u32], bound: u64, known: u64, budget: u32) -> Searched {
    let mut search = Search {
        problem,
        budget,
        steps: 0,
        whole: true,
        bound,
        best_bars: known,
        best: None,
        path: Vec::new(),
    };
    search.descend(&mut counts.to_vec());
    Searched {
        plan: search.best,
        whole: search.whole,
        steps: search.steps,
    }
}

/// How many of each size are in one bar.
pub(crate) type Fill = Vec<u32>;

pub(crate) fn total(plan: &[(Fill, u64)]) -> u64 {
    plan.iter().map(|(_, times)| times).sum()
}

/// What must come from the bars in parts that nobody has chosen yet: runs longer than a bar, which may be pieced in many ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Loose {
    /// Length that all parts together take from the bars at least, a cut with each.
    pub length: i64,
    /// What the shortest part takes, its cut included.
    pub least: i64,
}

impl Loose {
    pub const NONE: Self = Self {
        length: 0,
        least: 1,
    };
}

/// Sizes to be cut from bars of one length.
#[derive(Clone, Debug)]
pub(crate) struct Problem {
    /// The length of a bar with a kerf.
    pub capacity: i64,
    /// Distinct sizes, longest first, a kerf with each.
    pub sizes: Vec<i64>,
}

impl Problem {
    /// The problem of pieces that the caller has checked, and how many there are of each size.
    pub fn new(pieces: &[Mm], stock: Stock) -> (Self, Vec<u32>) {
        let kerf = i64::from(stock.kerf.0);
        let mut counts: BTreeMap<Reverse<i64>, u32> = BTreeMap::new();
        for piece in pieces {
            *counts
                .entry(Reverse(i64::from(piece.0) + kerf))
                .or_default() += 1;
        }
        // A cut is needed after every piece but the last that ends with the bar, so one kerf is added to each piece and to the bar.
        let problem = Self {
            capacity: i64::from(stock.length.0) + kerf,
            sizes: counts.keys().map(|k| k.0).collect(),
        };
        (problem, counts.into_values().collect())
    }

    fn each<'a>(&'a self, counts: &'a [u32]) -> impl Iterator<Item = (i64, i64)> + 'a {
        self.sizes
            .iter()
            .zip(counts)
            .map(|(s, n)| (*s, i64::from(*n)))
    }

    /// The best lower bound on the number of bars. What is loose counts by its length wherever the threshold is no greater than its
    /// shortest part: a longer part takes its length at least, by whatever function the others are weighed.
    pub fn bound(&self, counts: &[u32], loose: Loose) -> u64 {
        let c = self.capacity;
        let up = |a: i64| a.max(0).div_euclid(c) + i64::from(a.max(0).rem_euclid(c) > 0);
        let area: i64 = self.each(counts).map(|(s, n)| s * n).sum();
        let mut best = up(area + loose.length);
        let thresholds = self.sizes.iter().copied().chain([0, loose.least]);
        for threshold in thresholds.filter(|s| 2 * s <= c) {
            let (mut alone, mut half, mut half_size, mut small) = (0, 0, 0, 0);
            if threshold <= loose.least {
                small = loose.length;
            }
            for (s, n) in self.each(counts) {
                if s > c - threshold {
                    alone += n;
                } else if 2 * s > c {
                    half += n;
                    half_size += s * n;
                } else if s >= threshold {
                    small += s * n;
                }
            }
            best = best.max(alone + half + up(small - (half * c - half_size)));
        }
        for k in 1..=20_i64 {
            // u^(k)(x) = x where (k+1)x is whole, else floor((k+1)x)/k, in units of the bar; scaled by k * capacity.
            let scaled: i64 = self
                .each(counts)
                .map(|(s, n)| {
                    let times = (k + 1) * s;
                    let value = if times % c == 0 { k * s } else { times / c * c };
                    value * n
                })
                .sum();
            best = best.max((scaled + k * c - 1).div_euclid(k * c));
        }
        best as u64
    }

    /// The better of first fit and best completion.
    pub fn quick(&self, counts: &[u32]) -> Vec<(Fill, u64)> {
        let first = self.first_fit(counts);
        let other = self.best_completion(counts);
        if total(&other) < total(&first) {
            other
        } else {
            first
        }
    }

    /// First fit, longest first, with equal bars told by their number.
    pub fn first_fit(&self, counts: &[u32]) -> Vec<(Fill, u64)> {
        let mut left = counts.to_vec();
        let mut plan = Vec::new();
        while let Some(fill) = self.greedy(&left) {
            repeat(&mut left, fill, &mut plan);
        }
        plan
    }

    /// One bar filled longest first; nothing where no piece is left.
    fn greedy(&self, left: &[u32]) -> Option<Fill> {
        let mut room = self.capacity;
        let fill: Fill = self
            .each(left)
            .map(|(s, n)| {
                let take = n.min(room / s.max(1));
                room -= take * s;
                take as u32
            })
            .collect();
        fill.iter().any(|n| *n > 0).then_some(fill)
    }

    /// Fills bar after bar with the longest piece left and what leaves least.
    fn best_completion(&self, counts: &[u32]) -> Vec<(Fill, u64)> {
        let mut left = counts.to_vec();
        let mut plan = Vec::new();
        let nodes = (50_000 / left.len().max(1) as u32).clamp(20, 2000);
        loop {
            let (fills, _, _) = self.completions(&left, nodes);
            let Some((_, fill)) = fills.into_iter().next() else {
                return plan;
            };
            repeat(&mut left, fill, &mut plan);
        }
    }

    /// Maximal fills with the longest piece left, least waste first; whether these are all; and how many nodes were looked at, of at
    /// most `steps`.
    pub fn completions(&self, left: &[u32], steps: u32) -> (Vec<(i64, Fill)>, bool, u32) {
        let Some(first) = left.iter().position(|n| *n > 0) else {
            return (Vec::new(), true, 0);
        };
        let mut walk = Walk {
            problem: self,
            left,
            fill: alloc::vec![0; left.len()],
            found: Vec::new(),
            steps,
            whole: true,
        };
        let size = self.sizes.get(first).copied().unwrap_or(1);
        if let Some(one) = walk.fill.get_mut(first) {
            *one = 1;
        }
        walk.fill_from(first, self.capacity - size);
        let looked = steps - walk.steps;
        let (mut found, mut whole) = (walk.found, walk.whole);
        // Equal waste: more of the longer pieces first, so that the order is the same on every machine.
        found.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.cmp(&a.1)));
        if found.is_empty() {
            whole = false;
            if let Some(fill) = self.greedy(left) {
                found.push((0, fill));
            }
        }
        (found, whole, looked)
    }

    pub fn patterns(&self, plan: Vec<(Fill, u64)>, kerf: i64) -> Vec<Pattern> {
        let mut merged: BTreeMap<Reverse<Fill>, u64> = BTreeMap::new();
        for (fill, times) in plan {
            *merged.entry(Reverse(fill)).or_default() += times;
        }
        merged
            .into_iter()
            .map(|(Reverse(fill), times)| {
                let used: i64 = self.each(&fill).map(|(s, n)| s * n).sum();
                let pieces = self
                    .sizes
                    .iter()
                    .zip(&fill)
                    .filter(|(_, n)| **n > 0)
                    .map(|(s, n)| (Mm((s - kerf) as i32), *n))
                    .collect();
                Pattern {
                    pieces,
                    times,
                    left: Mm((self.capacity - used) as i32),
                    bar: Mm((self.capacity - kerf) as i32),
                }
            })
            .collect()
    }
}

/// Each length with its number, longest first.
///
/// ```
/// use quantity::Mm;
/// use takeoff::cutting::counted;
/// assert_eq!(counted(&[Mm(300), Mm(500), Mm(300)]), [(Mm(500), 1), (Mm(300), 2)]);
/// ```
pub fn counted(pieces: &[Mm]) -> Vec<(Mm, u32)> {
    let mut counts: BTreeMap<Reverse<Mm>, u32> = BTreeMap::new();
    for piece in pieces {
        *counts.entry(Reverse(*piece)).or_default() += 1;
    }
    counts
        .into_iter()
        .map(|(Reverse(length), n)| (length, n))
        .collect()
}

/// Takes a fill as many times as the pieces last.
fn repeat(left: &mut [u32], fill: Fill, plan: &mut Vec<(Fill, u64)>) {
    let times = left
        .iter()
        .zip(&fill)
        .filter(|(_, f)| **f > 0)
        .map(|(l, f)| l / f)
        .min()
        .unwrap_or(0)
        .max(1);
    for (l, f) in left.iter_mut().zip(&fill) {
        *l = l.saturating_sub(f * times);
    }
    plan.push((fill, u64::from(times)));
}

/// The enumeration of maximal fills.
struct Walk<'a> {
    problem: &'a Problem,
    left: &'a [u32],
    fill: Fill,
    found: Vec<(i64, Fill)>,
    steps: u32,
    whole: bool,
}

impl Walk<'_> {
    /// Chooses how many of size `at` and shorter are in the bar, most first. Depth is the number of distinct sizes that fit.
    fn fill_from(&mut self, at: usize, room: i64) {
        if self.steps == 0 || self.found.len() > 4 * PATTERNS_MAX {
            self.whole = false;
            return;
        }
        self.steps -= 1;
        let next = (at..self.left.len()).find(|i| {
            let size = self.problem.sizes.get(*i).copied().unwrap_or(i64::MAX);
            size <= room && self.spare(*i) > 0
        });
        let Some(i) = next else {
            // Nothing more fits behind; it is maximal where nothing fits before either.
            let fits = (0..self.left.len()).any(|i| {
                self.problem.sizes.get(i).is_some_and(|s| *s <= room) && self.spare(i) > 0
            });
            if !fits {
                self.found.push((room, self.fill.clone()));
            }
            return;
        };
        let size = self
            .problem
            .sizes
            .get(i)
            .copied()
            .unwrap_or(i64::MAX)
            .max(1);
        let most = i64::from(self.spare(i)).min(room / size);
        for take in (0..=most).rev() {
            self.put(i, take as u32);
            self.fill_from(i + 1, room - take * size);
            self.take(i, take as u32);
        }
    }
    fn spare(&self, i: usize) -> u32 {
        let left = self.left.get(i).copied().unwrap_or(0);
        left.saturating_sub(self.fill.get(i).copied().unwrap_or(0))
    }
    fn put(&mut self, i: usize, n: u32) {
        if let Some(f) = self.fill.get_mut(i) {
            *f += n;
        }
    }
    fn take(&mut self, i: usize, n: u32) {
        if let Some(f) = self.fill.get_mut(i) {
            *f -= n;
        }
    }
}

/// The search that closes the gap between plan and bound.
struct Search<'a> {
    problem: &'a Problem,
    budget: u32,
    steps: u32,
    whole: bool,
    bound: u64,
    best_bars: u64,
    best: Option<Vec<(Fill, u64)>>,
    path: Vec<Fill>,
}

impl Search<'_> {
    fn descend(&mut self, left: &mut Vec<u32>) {
        if self.best_bars <= self.bound {
            return;
        }
        if self.steps >= self.budget {
            self.whole = false;
            return;
        }
        // The bound looks at every size for every threshold.
        let sizes = left.len() as u32;
        self.steps = self
            .steps
            .saturating_add(1 + sizes.saturating_mul(sizes) / 2);
        let used = self.path.len() as u64;
        if left.iter().all(|n| *n == 0) {
            if used < self.best_bars {
                self.best_bars = used;
                self.best = Some(self.path.iter().map(|f| (f.clone(), 1)).collect());
            }
            return;
        }
        if used + self.problem.bound(left, Loose::NONE) >= self.best_bars {
            return;
        }
        let allowed = 5000.min(self.budget.saturating_sub(self.steps) / sizes.max(1));
        let (fills, whole, looked) = self.problem.completions(left, allowed);
        self.steps = self.steps.saturating_add(looked.saturating_mul(sizes));
        self.whole &= whole && fills.len() <= PATTERNS_MAX;
        for (_, fill) in fills.into_iter().take(PATTERNS_MAX) {
            let before = left.clone();
            for (l, f) in left.iter_mut().zip(&fill) {
                *l = l.saturating_sub(*f);
            }
            self.path.push(fill);
            self.descend(left);
            self.path.pop();
            *left = before;
        }
    }
}

/// Cuts a run into pieces that a bar holds, as few as can be: full bars and one rest, which is at least `least` long.
///
/// `gap` is left open between two pieces; a negative one is an overlap. The caller keeps `bar + gap` positive.
pub fn split(run: Mm, bar: Mm, gap: Mm, least: Mm) -> Vec<Mm> {
    let pitch = bar + gap;
    if run <= Mm::ZERO || bar <= Mm::ZERO || pitch <= Mm::ZERO {
        return Vec::new();
    }
    if run <= bar {
        return alloc::vec![run];
    }
    let count = (i64::from(run.0) + i64::from(gap.0) + i64::from(pitch.0) - 1) / i64::from(pitch.0);
    let count = count as i32;
    let rest = run - pitch * (count - 1);
    let mut pieces = alloc::vec![bar; (count - 1) as usize];
    // A rest shorter than can be fixed takes its length from the bar before it.
    let lent = (least - rest).max(Mm::ZERO).min(bar / 2);
    if let Some(last) = pieces.last_mut() {
        *last -= lent;
    }
    pieces.push(rest + lent);
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every way of putting pieces into bars.
    fn least(pieces: &[i64], rooms: &mut Vec<i64>, capacity: i64, best: u64) -> u64 {
        let Some((piece, rest)) = pieces.split_first() else {
            return best.min(rooms.len() as u64);
        };
        let mut best = best;
        for i in 0..rooms.len() {
            if rooms[i] >= *piece {
                rooms[i] -= piece;
                best = least(rest, rooms, capacity, best);
                rooms[i] += piece;
            }
        }
        if rooms.len() as u64 + 1 < best {
            rooms.push(capacity - piece);
            best = least(rest, rooms, capacity, best);
            rooms.pop();
        }
        best
    }

    #[test]
    fn the_search_alone_and_the_relaxation_alone_frame_the_optimum() {
        let mut state = 1_u64;
        let mut draw = |low: i64, high: i64| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            low + ((state >> 33) % (high - low + 1) as u64) as i64
        };
        for _ in 0..400 {
            let capacity = draw(20, 120);
            let pieces: Vec<i64> = (0..draw(3, 8))
                .map(|_| draw(capacity / 6, capacity * 3 / 5))
                .collect();
            let mut sizes = pieces.clone();
            sizes.sort_unstable_by(|a, b| b.cmp(a));
            sizes.dedup();
            let count = |s: &i64| pieces.iter().filter(|p| *p == s).count() as u32;
            let counts: Vec<u32> = sizes.iter().map(count).collect();
            let optimum = least(&pieces, &mut Vec::new(), capacity, pieces.len() as u64);
            let problem = Problem { capacity, sizes };
            // The search begins with no plan and no bound, so that all the work is its own.
            let found = search(&problem, &counts, 1, pieces.len() as u64 + 1, 10_000_000);
            assert!(found.whole);
            assert_eq!(found.plan.map(|p| total(&p)), Some(optimum), "{pieces:?}");
            let demand = Demand {
                capacities: &[capacity],
                limits: &[],
                sizes: &problem.sizes,
                counts: &counts,
            };
            let relaxed = relax(demand, &mut 10_000_000).unwrap();
            assert!(
                relaxed.bound <= optimum
                    && optimum <= relaxed.plan.unwrap().iter().map(|c| c.times).sum::<u64>(),
                "{pieces:?}"
            );
            assert!(problem.bound(&counts, Loose::NONE) <= optimum, "{pieces:?}");
        }
    }
}
