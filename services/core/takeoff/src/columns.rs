//! The linear relaxation over cutting patterns (Gilmore and Gomory), for the bound and for a plan rounded from it.
//!
//! Bars may come in several lengths: of all but the longest there is a limited number, and bars of the longest are to be as few as can be.
//! Patterns are priced exactly by a knapsack over whole millimetres, so the bound of Farley, the dual value over the best pattern's
//! value, holds whether or not the relaxation ran to its end. Equal ratios leave the basis by the lowest row.

use alloc::vec::Vec;

use crate::cutting::Fill;

/// The most pivots of one relaxation.
const PIVOTS_MAX: u32 = 2000;
/// The most sizes that are relaxed; the basis is a square of their number.
const SIZES_MAX: usize = 200;
/// How much of the values that prove most is in those that patterns are priced by.
const STEADY: f64 = 0.6;
/// What counts as nothing among pattern values near 1.
const DUST: f64 = 1e-9;

/// A cutting problem: sizes with their numbers, kerf included in both.
#[derive(Clone, Copy)]
pub(crate) struct Demand<'a> {
    /// Lengths of bar, shortest first. The last holds every size, and is what is counted.
    pub capacities: &'a [i64],
    /// How many bars of the others there are.
    pub limits: &'a [u64],
    pub sizes: &'a [i64],
    pub counts: &'a [u32],
}

/// What the relaxation gives.
pub(crate) struct Relaxed {
    /// No plan can do with fewer bars of the longest length.
    pub bound: u64,
    /// What a piece of each size is worth, in bars of the longest length.
    pub worth: Vec<f64>,
    /// A whole plan, rounded from the relaxation; nothing where it does not round to one.
    pub plan: Option<Vec<Cuts>>,
}

/// Some bars of one length, cut alike.
#[derive(Clone, Debug)]
pub(crate) struct Cuts {
    /// Which of the lengths.
    pub of: usize,
    pub fill: Fill,
    pub times: u64,
}

/// Relaxes and rounds down, again and again on what is left, until nothing is; nothing where there are too many sizes. Where `cells` of
/// knapsack tables do not last, the bound is what was proven until then.
pub(crate) fn relax(demand: Demand, cells: &mut u64) -> Option<Relaxed> {
    if demand.sizes.len() > SIZES_MAX {
        return None;
    }
    let first = solve(demand, cells);
    let (bound, worth) = (first.bound, first.worth.clone());
    let plan = rounded(demand, first, cells);
    Some(Relaxed { bound, worth, plan })
}

fn rounded(demand: Demand, first: Solved, cells: &mut u64) -> Option<Vec<Cuts>> {
    let mut first = Some(first);
    let mut left = demand.counts.to_vec();
    let mut limits = demand.limits.to_vec();
    let mut plan = Vec::new();
    // Each round takes at least one bar, and one that takes no more is followed by a smaller problem.
    while left.iter().any(|n| *n > 0) {
        let again = Demand {
            counts: &left,
            limits: &limits,
            ..demand
        };
        let solved = match first.take() {
            Some(solved) => solved,
            None => solve(again, cells),
        };
        let mut taken = false;
        for (of, fill, times) in &solved.basis {
            let there = limits.get(*of).copied().unwrap_or(u64::MAX);
            let whole = (libm::floor(times + 1e-6) as u64)
                .min(fits(&left, fill))
                .min(there);
            if whole > 0 {
                take(&mut left, fill, whole);
                spend(&mut limits, *of, whole);
                plan.push(Cuts {
                    of: *of,
                    fill: fill.clone(),
                    times: whole,
                });
                taken = true;
            }
        }
        if !taken {
            // The largest fraction becomes one bar; of equals the first.
            let (of, fill, _) = solved
                .basis
                .into_iter()
                .reduce(|best, next| if next.2 > best.2 + DUST { next } else { best })?;
            let fill: Fill = fill.iter().zip(&left).map(|(f, l)| *f.min(l)).collect();
            if fill.iter().all(|n| *n == 0) || limits.get(of) == Some(&0) {
                return None;
            }
            take(&mut left, &fill, 1);
            spend(&mut limits, of, 1);
            plan.push(Cuts { of, fill, times: 1 });
        }
    }
    Some(plan)
}

fn spend(limits: &mut [u64], of: usize, bars: u64) {
    if let Some(limit) = limits.get_mut(of) {
        *limit = limit.saturating_sub(bars);
    }
}

/// How often a fill can be taken from what is left.
fn fits(left: &[u32], fill: &[u32]) -> u64 {
    left.iter()
        .zip(fill)
        .filter(|(_, f)| **f > 0)
        .map(|(l, f)| u64::from(l / f))
        .min()
        .unwrap_or(0)
}

fn take(left: &mut [u32], fill: &[u32], times: u64) {
    for (l, f) in left.iter_mut().zip(fill) {
        *l = l.saturating_sub((u64::from(*f) * times) as u32);
    }
}

struct Solved {
    bound: u64,
    worth: Vec<f64>,
    /// Lengths and patterns in the basis with their fractional numbers.
    basis: Vec<(usize, Fill, f64)>,
}

fn solve(demand: Demand, cells: &mut u64) -> Solved {
    let rows: Vec<usize> = (0..demand.counts.len())
        .filter(|i| demand.counts.get(*i).is_some_and(|n| *n > 0))
        .collect();
    let pick = |i: &usize| {
        let size = demand.sizes.get(*i).copied().unwrap_or(i64::MAX).max(1);
        let count = demand.counts.get(*i).copied().unwrap_or(0);
        (size, count)
    };
    let items: Vec<(i64, u32)> = rows.iter().map(pick).collect();
    let mut master = Master::new(demand, items);
    let mut proven = Proven::by_length(&master);
    let mut pool: Vec<Column> = Vec::new();
    for _ in 0..PIVOTS_MAX {
        let duals = master.duals();
        let mut entering = master.entering(&duals, &pool);
        // Patterns that were found before cost nothing; then those for steadier values, and in the end those for the basis's own.
        for values in [proven.towards(&duals), duals.clone()] {
            if entering.is_some() {
                break;
            }
            let Some(priced) = master.price(&values, cells) else {
                break;
            };
            proven.keep(&master, &values, &priced);
            let found = master.columns(priced);
            entering = master.entering(&duals, &found);
            pool.extend(found);
        }
        let Some(column) = entering else { break };
        if !master.enter(column) {
            break;
        }
    }
    let (best, worth) = (proven.bars, proven.duals);
    let spread = |fill: &Fill| {
        let mut whole = alloc::vec![0; demand.counts.len()];
        for (row, n) in rows.iter().zip(fill) {
            if let Some(cell) = whole.get_mut(*row) {
                *cell = *n;
            }
        }
        whole
    };
    let mut spread_worth = alloc::vec![0.0; demand.counts.len()];
    for (row, value) in rows.iter().zip(&worth) {
        if let Some(cell) = spread_worth.get_mut(*row) {
            *cell = libm::fmax(0.0, *value);
        }
    }
    Solved {
        bound: libm::ceil(best - 1e-6) as u64,
        worth: spread_worth,
        basis: master
            .basis
            .iter()
            .zip(&master.level)
            .filter_map(|(column, x)| Some((column.of?, spread(&column.fill), *x)))
            .collect(),
    }
}

/// The values of pieces that prove most so far.
struct Proven {
    bars: f64,
    duals: Vec<f64>,
}

impl Proven {
    /// Every piece is worth its length.
    fn by_length(master: &Master) -> Self {
        let longest = master.capacities.last().copied().unwrap_or(1).max(1) as f64;
        let worth = |(size, _): &(i64, u32)| *size as f64 / longest;
        let mut duals: Vec<f64> = master.items.iter().map(worth).collect();
        duals.resize(master.level.len(), 0.0);
        Self { bars: 0.0, duals }
    }

    /// Values between these and the basis's own, which jump about: patterns priced by them serve longer.
    fn towards(&self, duals: &[f64]) -> Vec<f64> {
        let pairs = self.duals.iter().zip(duals);
        pairs
            .map(|(a, b)| STEADY * a + (1.0 - STEADY) * b)
            .collect()
    }

    fn keep(&mut self, master: &Master, duals: &[f64], priced: &[Priced]) {
        let bars = master.farley(duals, priced);
        if bars > self.bars {
            self.bars = bars;
            self.duals = duals.to_vec();
        }
    }
}

/// A column of the relaxation: a pattern of one length, or a limited bar that stays uncut.
#[derive(Clone)]
struct Column {
    /// The length; nothing for a bar that stays uncut.
    of: Option<usize>,
    /// Pieces by size.
    fill: Fill,
    /// The limit that it draws on.
    limit: Option<usize>,
}

/// The best pattern of one length, with its value.
struct Priced {
    value: f64,
    fill: Fill,
}

/// Some pieces of one size, taken together or not at all.
struct Bundle {
    item: usize,
    pieces: u32,
    size: usize,
    value: f64,
}

/// Bundles that add up to every number up to `most`, and to no more.
fn bundled(most: usize) -> impl Iterator<Item = usize> {
    let (mut left, mut next) = (most, 1);
    core::iter::from_fn(move || {
        let bundle = next.min(left);
        left -= bundle;
        next *= 2;
        (bundle > 0).then_some(bundle)
    })
}

/// The relaxation's basis with its inverse: a row for each size, then one for each limit.
struct Master<'a> {
    capacities: &'a [i64],
    limits: &'a [u64],
    items: Vec<(i64, u32)>,
    basis: Vec<Column>,
    inverse: Vec<Vec<f64>>,
    level: Vec<f64>,
}

impl<'a> Master<'a> {
    /// Begins with one pattern of the longest length for each size, filled with it alone, and all limited bars uncut.
    fn new(demand: Demand<'a>, items: Vec<(i64, u32)>) -> Self {
        let (m, longest) = (items.len(), demand.capacities.len().saturating_sub(1));
        let limits = demand.limits.get(..longest).unwrap_or(demand.limits);
        let rows = m + limits.len();
        let capacity = demand.capacities.last().copied().unwrap_or(0);
        let alone = |(size, count): (i64, u32)| (count.min((capacity / size).max(1) as u32)).max(1);
        let unit = |i: usize, value: f64| {
            let mut row = alloc::vec![0.0; rows];
            if let Some(cell) = row.get_mut(i) {
                *cell = value;
            }
            row
        };
        let mut master = Self {
            capacities: demand.capacities,
            limits,
            items,
            basis: Vec::with_capacity(rows),
            inverse: Vec::with_capacity(rows),
            level: Vec::with_capacity(rows),
        };
        for (i, item) in master.items.iter().enumerate() {
            let mut fill = alloc::vec![0; m];
            if let Some(n) = fill.get_mut(i) {
                *n = alone(*item);
            }
            master.basis.push(Column {
                of: Some(longest),
                fill,
                limit: None,
            });
            let times = f64::from(alone(*item));
            master.inverse.push(unit(i, 1.0 / times));
            master.level.push(f64::from(item.1) / times);
        }
        for (l, limit) in limits.iter().enumerate() {
            master.basis.push(Column {
                of: None,
                fill: alloc::vec![0; m],
                limit: Some(l),
            });
            master.inverse.push(unit(m + l, 1.0));
            master.level.push(*limit as f64);
        }
        master
    }

    /// What one more piece of each size would cost, and one more limited bar; every pattern of the longest length costs one bar, the
    /// others nothing.
    fn duals(&self) -> Vec<f64> {
        let mut duals = alloc::vec![0.0; self.level.len()];
        for (column, row) in self.basis.iter().zip(&self.inverse) {
            if column.of.is_some() && column.limit.is_none() {
                for (dual, cell) in duals.iter_mut().zip(row) {
                    *dual += cell;
                }
            }
        }
        duals
    }

    /// Bars of the longest length that the duals prove to be needed, besides all limited bars.
    fn farley(&self, duals: &[f64], priced: &[Priced]) -> f64 {
        let need: f64 = duals
            .iter()
            .zip(&self.items)
            .map(|(p, (_, n))| p * f64::from(*n))
            .sum();
        let limited: f64 = priced
            .iter()
            .zip(self.limits)
            .map(|(p, limit)| p.value * *limit as f64)
            .sum();
        let longest = priced.last().map_or(1.0, |p| p.value);
        (need - limited) / libm::fmax(longest, 1.0)
    }

    /// The pattern of greatest value for each length; nothing where the cells are used up.
    fn price(&self, duals: &[f64], cells: &mut u64) -> Option<Vec<Priced>> {
        let width = self.capacities.last().copied().unwrap_or(0).max(0) as usize + 1;
        // Bundles of one, two, four and so on of a size are items of their own, and add up to every number of it.
        let bundles: Vec<Bundle> = self
            .items
            .iter()
            .zip(duals)
            .enumerate()
            .filter(|(_, (_, dual))| **dual > 0.0)
            .flat_map(|(item, ((size, count), dual))| {
                let size = *size as usize;
                let most = (*count as usize).min((width - 1) / size.max(1));
                bundled(most).map(move |pieces| Bundle {
                    item,
                    pieces: pieces as u32,
                    size: size * pieces,
                    value: dual * pieces as f64,
                })
            })
            .collect();
        let basis = self.level.len() * self.level.len();
        *cells = cells.checked_sub((bundles.len() * width + basis) as u64)?;
        let mut old = alloc::vec![0.0_f64; width];
        let mut next = old.clone();
        let mut taken: Vec<Vec<bool>> = Vec::with_capacity(bundles.len());
        for bundle in &bundles {
            let mut marks = alloc::vec![false; width];
            let targets = next.iter_mut().zip(marks.iter_mut()).skip(bundle.size);
            for ((cell, mark), from) in targets.zip(&old) {
                if from + bundle.value > *cell + 1e-12 {
                    *cell = from + bundle.value;
                    *mark = true;
                }
            }
            old.copy_from_slice(&next);
            taken.push(marks);
        }
        let best = |capacity: &i64| {
            let mut fill = alloc::vec![0; self.items.len()];
            let end = (*capacity).max(0) as usize;
            let mut at = end;
            for (bundle, marks) in bundles.iter().zip(&taken).rev() {
                if marks.get(at).copied().unwrap_or(false) {
                    if let Some(n) = fill.get_mut(bundle.item) {
                        *n += bundle.pieces;
                    }
                    at = at.saturating_sub(bundle.size);
                }
            }
            Priced {
                value: old.get(end).copied().unwrap_or(0.0),
                fill,
            }
        };
        Some(self.capacities.iter().map(best).collect())
    }

    /// The patterns of the lengths that there are bars of, the longest first.
    fn columns(&self, priced: Vec<Priced>) -> Vec<Column> {
        let longest = self.capacities.len().saturating_sub(1);
        let there = |l: &usize| *l == longest || self.limits.get(*l).is_some_and(|n| *n > 0);
        let each = priced.into_iter().enumerate().rev();
        each.filter(|(l, _)| there(l))
            .map(|(l, pattern)| Column {
                of: Some(l),
                fill: pattern.fill,
                limit: (l < longest).then_some(l),
            })
            .collect()
    }

    /// The column that gains most, of equals the first of the patterns given, then a bar that stays uncut; nothing where none gains.
    fn entering(&self, duals: &[f64], patterns: &[Column]) -> Option<Column> {
        let limit_duals = duals.get(self.items.len()..).unwrap_or(&[]);
        let dual_of = |limit: usize| limit_duals.get(limit).copied().unwrap_or(0.0);
        let gain = |column: &Column| -> f64 {
            let pieces = duals.iter().zip(&column.fill).filter(|(_, n)| **n > 0);
            let worth: f64 = pieces.map(|(dual, n)| dual * f64::from(*n)).sum();
            worth + column.limit.map_or(-1.0, dual_of)
        };
        let uncut = (0..limit_duals.len()).map(|limit| Column {
            of: None,
            fill: alloc::vec![0; self.items.len()],
            limit: Some(limit),
        });
        let uncut: Vec<Column> = uncut.collect();
        let mut best = (DUST, None);
        for column in patterns.iter().chain(&uncut) {
            let gain = gain(column);
            if gain > best.0 + DUST {
                best = (gain, Some(column));
            }
        }
        best.1.cloned()
    }

    /// Brings a column into the basis; whether a pivot was found.
    fn enter(&mut self, entering: Column) -> bool {
        let m = self.items.len();
        let column: Vec<f64> = self
            .inverse
            .iter()
            .map(|row| {
                let pieces: f64 = row
                    .iter()
                    .zip(&entering.fill)
                    .map(|(c, n)| c * f64::from(*n))
                    .sum();
                let limit = entering.limit.and_then(|l| row.get(m + l));
                pieces + limit.copied().unwrap_or(0.0)
            })
            .collect();
        let leaving = column
            .iter()
            .zip(&self.level)
            .enumerate()
            .filter(|(_, (c, _))| **c > 1e-7)
            .map(|(i, (c, x))| (i, x / c, *c))
            .reduce(|best, next| if next.1 < best.1 - DUST { next } else { best });
        let Some((row, ratio, pivot)) = leaving else {
            return false;
        };
        let Some(mut pivot_row) = self.inverse.get(row).cloned() else {
            return false;
        };
        for cell in &mut pivot_row {
            *cell /= pivot;
        }
        for (i, (other, factor)) in self.inverse.iter_mut().zip(&column).enumerate() {
            if i == row {
                other.clone_from(&pivot_row);
            } else {
                for (cell, p) in other.iter_mut().zip(&pivot_row) {
                    *cell -= factor * p;
                }
            }
        }
        for (i, (x, factor)) in self.level.iter_mut().zip(&column).enumerate() {
            *x = if i == row {
                ratio
            } else {
                libm::fmax(0.0, *x - factor * ratio)
            };
        }
        if let Some(old) = self.basis.get_mut(row) {
            *old = entering;
        }
        true
    }
}
