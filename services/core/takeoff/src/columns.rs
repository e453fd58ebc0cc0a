//! The linear relaxation over cutting patterns (Gilmore and Gomory), for the bound and for a plan rounded from it.
//!
//! Patterns are priced exactly by a knapsack over whole millimetres, so the bound of Farley, the dual value over the best pattern's
//! value, holds whether or not the relaxation ran to its end. Equal ratios leave the basis by the lowest row.

use alloc::vec::Vec;

use crate::cutting::Fill;

/// The most pivots of one relaxation.
const PIVOTS_MAX: u32 = 400;
/// The most sizes that are relaxed; the basis is a square of their number.
const SIZES_MAX: usize = 200;
/// What counts as nothing among pattern values near 1.
const DUST: f64 = 1e-9;

/// A cutting problem: sizes with their numbers, kerf included in both.
#[derive(Clone, Copy)]
pub(crate) struct Demand<'a> {
    pub capacity: i64,
    pub sizes: &'a [i64],
    pub counts: &'a [u32],
}

/// What the relaxation gives.
pub(crate) struct Relaxed {
    /// No plan can do with fewer bars.
    pub bound: u64,
    /// A whole plan, rounded from the relaxation.
    pub plan: Vec<(Fill, u64)>,
}

/// Relaxes and rounds down, again and again on what is left, until nothing is; nothing where `cells` of knapsack tables do not suffice.
pub(crate) fn relax(demand: Demand, mut cells: u64) -> Option<Relaxed> {
    if demand.sizes.len() > SIZES_MAX {
        return None;
    }
    let mut left = demand.counts.to_vec();
    let mut plan = Vec::new();
    let mut bound = None;
    // Each round takes at least one bar, and one that takes no more is followed by a smaller problem.
    while left.iter().any(|n| *n > 0) {
        let solved = solve(
            Demand {
                counts: &left,
                ..demand
            },
            &mut cells,
        )?;
        bound.get_or_insert(solved.bound);
        let mut taken = false;
        for (fill, times) in &solved.basis {
            let whole = (libm::floor(times + 1e-6) as u64).min(fits(&left, fill));
            if whole > 0 {
                take(&mut left, fill, whole);
                plan.push((fill.clone(), whole));
                taken = true;
            }
        }
        if !taken {
            // The largest fraction becomes one bar; of equals the first.
            let (fill, _) = solved
                .basis
                .into_iter()
                .reduce(|best, next| if next.1 > best.1 + DUST { next } else { best })?;
            let fill: Fill = fill.iter().zip(&left).map(|(f, l)| *f.min(l)).collect();
            if fill.iter().all(|n| *n == 0) {
                return None;
            }
            take(&mut left, &fill, 1);
            plan.push((fill, 1));
        }
    }
    Some(Relaxed {
        bound: bound.unwrap_or(0),
        plan,
    })
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
    /// Patterns in the basis with their fractional numbers.
    basis: Vec<(Fill, f64)>,
}

fn solve(demand: Demand, cells: &mut u64) -> Option<Solved> {
    let rows: Vec<usize> = (0..demand.counts.len())
        .filter(|i| demand.counts.get(*i).is_some_and(|n| *n > 0))
        .collect();
    let pick = |i: &usize| {
        let size = demand.sizes.get(*i).copied().unwrap_or(i64::MAX).max(1);
        let count = demand.counts.get(*i).copied().unwrap_or(0);
        (size, count)
    };
    let items: Vec<(i64, u32)> = rows.iter().map(pick).collect();
    let mut master = Master::new(demand.capacity, items);
    let mut best = 0.0;
    for _ in 0..PIVOTS_MAX {
        let duals = master.duals();
        let (value, fill) = master.price(&duals, cells)?;
        let dual: f64 = duals
            .iter()
            .zip(&master.items)
            .map(|(p, (_, n))| p * f64::from(*n))
            .sum();
        best = libm::fmax(best, dual / libm::fmax(value, 1.0));
        if value <= 1.0 + DUST || !master.enter(&fill) {
            break;
        }
    }
    let spread = |fill: &Fill| {
        let mut whole = alloc::vec![0; demand.counts.len()];
        for (row, n) in rows.iter().zip(fill) {
            if let Some(cell) = whole.get_mut(*row) {
                *cell = *n;
            }
        }
        whole
    };
    Some(Solved {
        bound: libm::ceil(best - 1e-6) as u64,
        basis: master
            .basis
            .iter()
            .zip(&master.level)
            .map(|(fill, x)| (spread(fill), *x))
            .collect(),
    })
}

/// The relaxation's basis with its inverse.
struct Master {
    capacity: usize,
    items: Vec<(i64, u32)>,
    basis: Vec<Fill>,
    inverse: Vec<Vec<f64>>,
    level: Vec<f64>,
}

impl Master {
    /// Begins with one pattern for each size, filled with it alone.
    fn new(capacity: i64, items: Vec<(i64, u32)>) -> Self {
        let m = items.len();
        let alone = |(size, count): (i64, u32)| (count.min((capacity / size).max(1) as u32)).max(1);
        let unit = |i: usize, value: f64| {
            let mut row = alloc::vec![0.0; m];
            if let Some(cell) = row.get_mut(i) {
                *cell = value;
            }
            row
        };
        let basis = items
            .iter()
            .enumerate()
            .map(|(i, item)| {
                unit(i, 1.0)
                    .iter()
                    .map(|u| *u as u32 * alone(*item))
                    .collect()
            })
            .collect();
        let inverse = items
            .iter()
            .enumerate()
            .map(|(i, item)| unit(i, 1.0 / f64::from(alone(*item))))
            .collect();
        let level = items
            .iter()
            .map(|item| f64::from(item.1) / f64::from(alone(*item)))
            .collect();
        Self {
            capacity: capacity.max(0) as usize,
            items,
            basis,
            inverse,
            level,
        }
    }

    /// What one more piece of each size would cost; every pattern costs one bar.
    fn duals(&self) -> Vec<f64> {
        let mut duals = alloc::vec![0.0; self.items.len()];
        for row in &self.inverse {
            for (dual, cell) in duals.iter_mut().zip(row) {
                *dual += cell;
            }
        }
        duals
    }

    /// The pattern of greatest value, with its value; nothing where the cells are used up.
    fn price(&self, duals: &[f64], cells: &mut u64) -> Option<(f64, Fill)> {
        let width = self.capacity + 1;
        // Copies of a size are items of their own.
        let copies: Vec<(usize, usize, f64)> = self
            .items
            .iter()
            .zip(duals)
            .enumerate()
            .filter(|(_, (_, dual))| **dual > 0.0)
            .flat_map(|(i, ((size, count), dual))| {
                let size = *size as usize;
                let most = (*count as usize).min(self.capacity / size.max(1));
                core::iter::repeat_n((i, size, *dual), most)
            })
            .collect();
        let basis = self.items.len() * self.items.len();
        *cells = cells.checked_sub((copies.len() * width + basis) as u64)?;
        let mut old = alloc::vec![0.0_f64; width];
        let mut next = old.clone();
        let mut taken: Vec<Vec<bool>> = Vec::with_capacity(copies.len());
        for (_, size, dual) in &copies {
            let mut marks = alloc::vec![false; width];
            let targets = next.iter_mut().zip(marks.iter_mut()).skip(*size);
            for ((cell, mark), from) in targets.zip(&old) {
                if from + dual > *cell + 1e-12 {
                    *cell = from + dual;
                    *mark = true;
                }
            }
            old.copy_from_slice(&next);
            taken.push(marks);
        }
        let mut fill = alloc::vec![0; self.items.len()];
        let mut at = self.capacity;
        for ((i, size, _), marks) in copies.iter().zip(&taken).rev() {
            if marks.get(at).copied().unwrap_or(false) {
                if let Some(n) = fill.get_mut(*i) {
                    *n += 1;
                }
                at = at.saturating_sub(*size);
            }
        }
        Some((old.last().copied().unwrap_or(0.0), fill))
    }

    /// Brings a pattern into the basis; whether a pivot was found.
    fn enter(&mut self, fill: &Fill) -> bool {
        let column: Vec<f64> = self
            .inverse
            .iter()
            .map(|row| row.iter().zip(fill).map(|(c, n)| c * f64::from(*n)).sum())
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
            old.clone_from(fill);
        }
        true
    }
}
