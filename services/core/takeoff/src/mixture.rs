//! Mixtures of stocked lengths, in whole packs at least outlay.
//!
//! Every number of packs of the shorter lengths is a cell, and so is a stretch of such numbers where there are too many. A cell's outlay is
//! bounded from below by valuations: any value per piece, with the most that a bar of each length can hold of it, says how many bars of the
//! longest are still needed. Cells are tried from the lowest outlay up, first by the relaxation over patterns, then by a search; what a try
//! learns sharpens the bound of all cells. The bound left at the end holds whether or not the tries ran out.

use alloc::vec::Vec;
use core::cmp::Reverse;

use material::LinearStock;
use quantity::{Decimal, Mm};

use crate::columns::{Cuts, Demand, relax};
use crate::cutting::{CELLS_A_STEP, DEEPEST, Fill, Loose, PATTERNS_MAX, Problem, total};
use crate::exchange::filled;

/// The most cells.
const CELLS_MAX: u64 = 2000;
/// The most tries for one way of piecing.
const TRIES_MAX: u32 = 60;
/// The share of the steps left that one search may take.
const STEPS_SHARE: u32 = 8;
/// What counts as nothing beside a number of bars.
const DUST: f64 = 1e-6;

/// A stocked length.
#[derive(Clone, Debug)]
pub(crate) struct Offer {
    /// Its place in the stock.
    pub index: usize,
    pub length: Mm,
    /// Bars in a pack.
    pub pieces: u32,
    pub price: Option<Decimal>,
}

/// What a purchase comes to, in the order of preference. Without prices the cost is nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Outlay {
    pub cost: Decimal,
    /// Length bought, in millimetres.
    pub bought: u64,
    pub packs: u64,
}

/// The stocked lengths, shortest first.
#[derive(Clone, Debug)]
pub(crate) struct Offers {
    pub sizes: Vec<Offer>,
    pub waste: f64,
    /// Whether all have a price; only then is the cheapest asked for.
    pub priced: bool,
}

impl Offers {
    /// The lengths that can be cut at all; of two equal ones both, in their order.
    pub fn new(stock: &LinearStock, waste: f64) -> Self {
        let mut sizes: Vec<Offer> = stock
            .sizes
            .iter()
            .enumerate()
            .filter(|(_, s)| Mm::ZERO < s.length && s.length <= Mm::LIMIT && s.pieces > 0)
            .map(|(index, s)| Offer {
                index,
                length: s.length,
                pieces: s.pieces,
                price: s.supply.price.map(|p| p.amount),
            })
            .collect();
        sizes.sort_by_key(|s| s.length);
        let priced = sizes.iter().all(|s| s.price.is_some());
        Self {
            sizes,
            waste,
            priced,
        }
    }

    /// The fewest packs of a length that hold bars and their waste on site.
    pub fn packs(&self, of: usize, bars: u64) -> Option<u64> {
        let size = self.sizes.get(of)?;
        quantity::whole_packs(bars as f64 * (1.0 + self.waste), f64::from(size.pieces))
    }

    /// The most bars that packs of a length hold with their waste on site.
    pub fn bars_in(&self, of: usize, packs: u64) -> u64 {
        let pieces = self.sizes.get(of).map_or(0, |s| s.pieces);
        let about = packs as f64 * f64::from(pieces) / (1.0 + self.waste);
        let mut bars = about.clamp(0.0, 1e12) as u64;
        // The quotient may miss a whole number by its rounding, either way.
        if self.packs(of, bars).is_none_or(|p| p > packs) {
            bars = bars.saturating_sub(1);
        } else if self.packs(of, bars + 1).is_some_and(|p| p <= packs) {
            bars += 1;
        }
        bars
    }

    /// The outlay for bars of each length.
    pub fn outlay(&self, bars: &[u64]) -> Option<Outlay> {
        let packs: Option<Vec<u64>> = bars
            .iter()
            .enumerate()
            .map(|(of, bars)| self.packs(of, *bars))
            .collect();
        Some(self.outlay_of(&packs?))
    }

    fn outlay_of(&self, packs: &[u64]) -> Outlay {
        let mut sum = Outlay {
            cost: Decimal::ZERO,
            bought: 0,
            packs: 0,
        };
        for (size, packs) in self.sizes.iter().zip(packs) {
            let length = u64::from(size.pieces) * u64::from(size.length.0.unsigned_abs());
            sum.bought = sum.bought.saturating_add(packs.saturating_mul(length));
            sum.packs = sum.packs.saturating_add(*packs);
            if let Some(price) = size.price.filter(|_| self.priced) {
                let cost = price.checked_mul(Decimal::from(*packs));
                sum.cost = cost
                    .and_then(|c| sum.cost.checked_add(c))
                    .unwrap_or(Decimal::MAX);
            }
        }
        sum
    }
}

/// What must be cut, whatever the mixture: pieces that stay whole, and runs longer than every length, which may be pieced in any way.
pub(crate) struct Need<'a> {
    pub whole: &'a [Mm],
    pub loose: Loose,
    pub kerf: Mm,
    /// Bars of any of the lengths that are needed at least.
    pub bars: u64,
}

/// A value for every piece, and the most that a bar of each length can hold of it.
struct Valuation {
    need: f64,
    worth: Vec<f64>,
}

/// Plans in the shortest lengths up to one, with what was proven about them.
pub(crate) struct Mixing<'a> {
    offers: &'a Offers,
    /// The lengths with a kerf.
    capacities: Vec<i64>,
    need: &'a Need<'a>,
    /// The whole pieces by size.
    problem: Problem,
    counts: Vec<u32>,
    valuations: Vec<Valuation>,
    cells: u64,
    steps: u32,
}

/// A plan found, with its outlay.
pub(crate) struct Mixed {
    pub bars: Vec<u64>,
    pub outlay: Outlay,
    /// The bars by length.
    pub plans: Vec<Vec<(Fill, u64)>>,
    /// The lengths with the sizes that the plans tell.
    pub problems: Vec<Problem>,
}

/// What a search came to.
pub(crate) struct Searched {
    /// A plan with less outlay than was known, where one was found.
    pub found: Option<Mixed>,
    /// No plan in these lengths can do with less.
    pub least: Outlay,
}

/// Numbers of packs of the shorter lengths.
struct Cell {
    /// The fewest packs.
    packs: Vec<u64>,
    /// The bars that the most packs hold; nothing where there is no most.
    room: Vec<Option<u64>>,
    /// Packs of the longest length to be tried next.
    aim: u64,
    /// Bars of the longest length that a search has proven to be needed.
    proven: u64,
    relaxed: bool,
}

impl<'a> Mixing<'a> {
    /// Lengths up to the one at `longest`, with a budget of steps; a step stands for several cells of knapsack tables.
    pub fn new(offers: &'a Offers, longest: usize, need: &'a Need<'a>, budget: u32) -> Self {
        let kerf = i64::from(need.kerf.0);
        let capacities: Vec<i64> = offers
            .sizes
            .iter()
            .take(longest + 1)
            .map(|s| i64::from(s.length.0) + kerf)
            .collect();
        let bar = crate::cutting::Stock {
            length: offers.sizes.get(longest).map_or(Mm::ZERO, |s| s.length),
            kerf: need.kerf,
        };
        let (problem, counts) = Problem::new(need.whole, bar);
        let mut mixing = Self {
            offers,
            capacities,
            need,
            problem,
            counts,
            valuations: Vec::new(),
            cells: u64::from(budget) * CELLS_A_STEP,
            steps: budget,
        };
        // Every piece and every loose part is worth its length.
        let lengths: Vec<f64> = mixing.problem.sizes.iter().map(|s| *s as f64).collect();
        mixing.value(&lengths, Some(1.0));
        // What a shorter length cannot hold is worth its length, all else nothing.
        for capacity in mixing.capacities.clone() {
            let beyond = |s: &f64| if *s > capacity as f64 { *s } else { 0.0 };
            let values: Vec<f64> = lengths.iter().map(beyond).collect();
            if values.iter().any(|v| *v > 0.0) {
                mixing.value(&values, Some(0.0));
            }
        }
        mixing
    }

    /// Adds a valuation of the whole pieces. What is loose is worth `rate` a millimetre, or as much as leaves every bar's worth as it is.
    fn value(&mut self, values: &[f64], rate: Option<f64>) {
        let width = self.problem.capacity.max(0) as usize + 1;
        let copies: Vec<(usize, f64)> = self
            .problem
            .sizes
            .iter()
            .zip(&self.counts)
            .zip(values)
            .filter(|(_, value)| **value > 0.0)
            .flat_map(|((size, count), value)| {
                let size = *size as usize;
                let most = (*count as usize).min((width - 1) / size.max(1));
                core::iter::repeat_n((size, *value), most)
            })
            .collect();
        let Some(cells) = self.cells.checked_sub((copies.len() * width) as u64) else {
            return;
        };
        self.cells = cells;
        let mut best = alloc::vec![0.0_f64; width];
        for (size, value) in copies {
            for at in (size..width).rev() {
                let from = best.get(at - size).copied().unwrap_or(0.0);
                if let Some(cell) = best.get_mut(at) {
                    *cell = libm::fmax(*cell, from + value);
                }
            }
        }
        let mut worth: Vec<f64> = self
            .capacities
            .iter()
            .map(|c| best.get(*c as usize).copied().unwrap_or(0.0))
            .collect();
        let mut need: f64 = values
            .iter()
            .zip(&self.counts)
            .map(|(v, n)| v * f64::from(*n))
            .sum();
        if self.need.loose.length > 0 {
            let rate = rate.unwrap_or_else(|| self.free_rate(&best, &worth));
            for (c, worth) in self.capacities.iter().zip(&mut worth) {
                for (left, value) in self.lefts(*c, &best) {
                    *worth = libm::fmax(*worth, value + rate * left);
                }
            }
            need += rate * self.need.loose.length as f64;
        }
        self.valuations.push(Valuation { need, worth });
    }

    /// What is left of a bar for loose parts, where that holds one, with the most that the rest of the bar holds.
    fn lefts<'b>(&self, capacity: i64, best: &'b [f64]) -> impl Iterator<Item = (f64, f64)> + 'b {
        let most = (capacity - self.need.loose.least + 1).max(0) as usize;
        let each = best.iter().take(most).enumerate();
        each.map(move |(used, value)| ((capacity - used as i64) as f64, *value))
    }

    fn free_rate(&self, best: &[f64], worth: &[f64]) -> f64 {
        let mut rate: Option<f64> = None;
        for (c, worth) in self.capacities.iter().zip(worth) {
            for (left, value) in self.lefts(*c, best) {
                let free = (worth - value) / left;
                rate = Some(rate.map_or(free, |r| libm::fmin(r, free)));
            }
        }
        libm::fmax(0.0, rate.unwrap_or(0.0))
    }

    /// Bars of the longest length that are needed beside so many of the others.
    fn still(&self, room: &[Option<u64>]) -> u64 {
        let others: Option<u64> = room.iter().copied().sum();
        let mut most = others.map_or(0, |n| self.need.bars.saturating_sub(n));
        for valuation in &self.valuations {
            let Some((longest, worth)) = valuation.worth.split_last() else {
                continue;
            };
            let held: f64 = room
                .iter()
                .zip(worth)
                .map(|(bars, worth)| match bars {
                    Some(bars) => *bars as f64 * worth,
                    None if *worth > 0.0 => f64::INFINITY,
                    None => 0.0,
                })
                .sum();
            let rest = valuation.need - held;
            if *longest > 0.0 && rest > 0.0 {
                most = most.max(libm::ceil(rest / longest - DUST) as u64);
            }
        }
        most
    }

    /// The least outlay of any plan in a cell.
    fn least_of(&self, cell: &Cell) -> Outlay {
        let longest = self.longest();
        let bars = self.still(&cell.room).max(cell.proven);
        let mut packs = cell.packs.clone();
        packs.push(self.offers.packs(longest, bars).unwrap_or(u64::MAX));
        self.offers.outlay_of(&packs)
    }

    fn longest(&self) -> usize {
        self.capacities.len().saturating_sub(1)
    }

    /// Looks for pieces' plan with less outlay than `known`, and says what no plan can do with less than, over every way of piecing.
    pub fn search(&mut self, pieces: &[Mm], known: Outlay) -> Searched {
        let problems = self.problems(pieces);
        let Some((_, counts)) = problems.first() else {
            return Searched {
                found: None,
                least: known,
            };
        };
        let counts = counts.clone();
        let problems: Vec<Problem> = problems.into_iter().map(|(p, _)| p).collect();
        let mut cells = self.grid(&problems, &counts);
        let mut best = known;
        let mut found = None;
        for _ in 0..TRIES_MAX {
            let Some(at) = self.next(&mut cells, best) else {
                break;
            };
            let Some(cell) = cells.get_mut(at) else { break };
            let plan = self.tried(cell, &problems, &counts);
            let Some(mixed) = plan.and_then(|cuts| self.mixed(&problems, &cuts)) else {
                continue;
            };
            if mixed.outlay < best {
                best = mixed.outlay;
                found = Some(mixed);
            }
        }
        let least = cells.iter().map(|c| self.least_of(c)).min();
        Searched {
            found,
            least: least.map_or(best, |l| l.min(best)),
        }
    }

    /// The pieces as a problem of each length, all with the same sizes.
    fn problems(&self, pieces: &[Mm]) -> Vec<(Problem, Vec<u32>)> {
        let lengths = self.offers.sizes.iter().take(self.capacities.len());
        lengths
            .map(|size| {
                let bar = crate::cutting::Stock {
                    length: size.length,
                    kerf: self.need.kerf,
                };
                Problem::new(pieces, bar)
            })
            .collect()
    }

    /// Cells from no pack of a shorter length to as many as hold all that fits into it. The last stands for all numbers beyond too.
    fn grid(&self, problems: &[Problem], counts: &[u32]) -> Vec<Cell> {
        let shorter = problems.split_last().map_or(&[][..], |(_, s)| s);
        let mut cells = alloc::vec![Cell {
            packs: Vec::new(),
            room: Vec::new(),
            aim: 0,
            proven: 0,
            relaxed: false,
        }];
        // As many numbers of each length as multiply to no more than the most cells.
        let power = |n: &u64| n.checked_pow(shorter.len() as u32);
        let a_length = (1..=CELLS_MAX)
            .take_while(|n| power(n).is_some_and(|all| all <= CELLS_MAX))
            .last()
            .unwrap_or(1);
        for (of, problem) in shorter.iter().enumerate() {
            let fitting: Vec<u32> = problem
                .sizes
                .iter()
                .zip(counts)
                .map(|(s, n)| if *s <= problem.capacity { *n } else { 0 })
                .collect();
            let loose = self.need.loose.length / problem.capacity.max(1);
            let bars = total(&problem.first_fit(&fitting)) + loose.max(0) as u64;
            let most = self.offers.packs(of, bars).unwrap_or(0);
            let stride = (most + 1).div_ceil(a_length);
            let steps: Vec<u64> = (0..=most / stride).map(|i| i * stride).collect();
            let last = steps.last().copied().unwrap_or(0);
            cells = cells
                .iter()
                .flat_map(|cell| {
                    steps.iter().map(move |packs| {
                        let room = self.offers.bars_in(of, packs + stride - 1);
                        let mut room_all = cell.room.clone();
                        room_all.push((*packs < last).then_some(room));
                        let mut packs_all = cell.packs.clone();
                        packs_all.push(*packs);
                        Cell {
                            packs: packs_all,
                            room: room_all,
                            ..*cell
                        }
                    })
                })
                .collect();
        }
        cells
    }

    /// The cell with the least outlay that is still less than what is known, of equals the first.
    fn next(&self, cells: &mut [Cell], known: Outlay) -> Option<usize> {
        let longest = self.longest();
        let mut best: Option<(Outlay, usize)> = None;
        for (at, cell) in cells.iter_mut().enumerate() {
            let bars = self.still(&cell.room).max(cell.proven);
            let Some(packs) = self.offers.packs(longest, bars) else {
                continue;
            };
            cell.aim = cell.aim.max(packs);
            let mut packs = cell.packs.clone();
            packs.push(cell.aim);
            let outlay = self.offers.outlay_of(&packs);
            if outlay < best.map_or(known, |(o, _)| o) {
                best = Some((outlay, at));
            }
        }
        best.map(|(_, at)| at)
    }

    /// Tries the fewest packs of a cell with as many of the longest as it aims at.
    fn tried(
        &mut self,
        cell: &mut Cell,
        problems: &[Problem],
        counts: &[u32],
    ) -> Option<Vec<Cuts>> {
        let longest = self.longest();
        let mut limits: Vec<u64> = cell
            .packs
            .iter()
            .enumerate()
            .map(|(of, packs)| self.offers.bars_in(of, *packs))
            .collect();
        let aim = self.offers.bars_in(longest, cell.aim);
        if !cell.relaxed {
            cell.relaxed = true;
            if let Some(cuts) = self.relaxed(&limits, problems, counts) {
                return Some(cuts);
            }
        }
        limits.push(aim);
        if let Some(cuts) = self.exchanged(&limits, problems, counts) {
            return Some(cuts);
        }
        let deep = self.need.bars > DEEPEST as u64;
        let mut fitting = Fitting {
            problems,
            budget: if deep { 0 } else { self.steps / STEPS_SHARE },
            steps: 0,
            whole: true,
            path: Vec::new(),
        };
        let fits = fitting.descend(&mut counts.to_vec(), &mut limits);
        self.steps = self.steps.saturating_sub(fitting.steps);
        cell.aim += 1;
        if fits {
            let cut = |(of, fill)| Cuts { of, fill, times: 1 };
            return Some(fitting.path.into_iter().map(cut).collect());
        }
        let exact = cell.room.iter().zip(&cell.packs).enumerate();
        let exact =
            { exact }.all(|(of, (room, packs))| *room == Some(self.offers.bars_in(of, *packs)));
        // Where runs are longer than every length, another way of piecing may still do.
        if fitting.whole && exact && self.need.loose.length == 0 {
            cell.proven = cell.proven.max(aim + 1);
        }
        None
    }

    /// All pieces in the bars that there are, by exchange of pieces between them.
    fn exchanged(
        &mut self,
        limits: &[u64],
        problems: &[Problem],
        counts: &[u32],
    ) -> Option<Vec<Cuts>> {
        let sizes = &problems.last()?.sizes;
        let pieces: u64 = counts.iter().map(|n| u64::from(*n)).sum();
        let lengths = self.capacities.iter().zip(limits).enumerate();
        let bars: Vec<(usize, i64)> = lengths
            .flat_map(|(of, (capacity, n))| {
                core::iter::repeat_n((of, *capacity), (*n).min(pieces) as usize)
            })
            .collect();
        let capacities: Vec<i64> = bars.iter().map(|(_, capacity)| *capacity).collect();
        let allowed = self.steps / STEPS_SHARE;
        let mut steps = allowed;
        let fills = filled(sizes, counts, &capacities, &mut steps);
        self.steps -= allowed - steps;
        let used = { bars }.into_iter().map(|(of, _)| of).zip(fills?);
        let used = used.filter(|(_, fill)| fill.iter().any(|n| *n > 0));
        Some(used.map(|(of, fill)| Cuts { of, fill, times: 1 }).collect())
    }

    /// The plan that the relaxation rounds to; what it learns of the pieces' worth joins the valuations.
    fn relaxed(
        &mut self,
        limits: &[u64],
        problems: &[Problem],
        counts: &[u32],
    ) -> Option<Vec<Cuts>> {
        let longest = problems.last()?;
        let demand = Demand {
            capacities: &self.capacities,
            limits,
            sizes: &longest.sizes,
            counts,
        };
        let relaxed = relax(demand, &mut self.cells)?;
        let worth: Vec<f64> = self
            .problem
            .sizes
            .iter()
            .map(|size| {
                let same = longest.sizes.iter().position(|s| s == size);
                same.and_then(|i| relaxed.worth.get(i)).copied()
            })
            .map(|worth| worth.unwrap_or(0.0))
            .collect();
        self.value(&worth, None);
        relaxed.plan
    }

    /// Cuts gathered by length.
    fn mixed(&self, problems: &[Problem], cuts: &[Cuts]) -> Option<Mixed> {
        let mut plans: Vec<Vec<(Fill, u64)>> = alloc::vec![Vec::new(); problems.len()];
        for cut in cuts {
            plans.get_mut(cut.of)?.push((cut.fill.clone(), cut.times));
        }
        let bars: Vec<u64> = plans.iter().map(|plan| total(plan)).collect();
        Some(Mixed {
            outlay: self.offers.outlay(&bars)?,
            bars,
            plans,
            problems: problems.to_vec(),
        })
    }
}

/// The search for a plan within given numbers of bars.
struct Fitting<'a> {
    problems: &'a [Problem],
    budget: u32,
    steps: u32,
    /// Whether nothing was left out.
    whole: bool,
    path: Vec<(usize, Fill)>,
}

impl Fitting<'_> {
    /// Whether the pieces left fit into the bars left, least waste first. Depth is the number of bars.
    fn descend(&mut self, left: &mut Vec<u32>, room: &mut Vec<u64>) -> bool {
        let Some(first) = left.iter().position(|n| *n > 0) else {
            return true;
        };
        if self.steps >= self.budget || self.path.len() >= DEEPEST {
            self.whole = false;
            return false;
        }
        self.steps = self.steps.saturating_add(1 + left.len() as u32);
        if !self.holds(left, room) {
            return false;
        }
        for (of, fill) in self.fills(first, left, room) {
            let before = left.clone();
            for (l, f) in left.iter_mut().zip(&fill) {
                *l = l.saturating_sub(*f);
            }
            if let Some(bars) = room.get_mut(of) {
                *bars = bars.saturating_sub(1);
            }
            self.path.push((of, fill));
            if self.descend(left, room) {
                return true;
            }
            self.path.pop();
            if let Some(bars) = room.get_mut(of) {
                *bars += 1;
            }
            *left = before;
        }
        false
    }

    /// Whether the bars left are as long as the pieces left.
    fn holds(&self, left: &[u32], room: &[u64]) -> bool {
        let sizes = self.problems.last().map_or(&[][..], |p| &p.sizes);
        let need: i64 = sizes.iter().zip(left).map(|(s, n)| s * i64::from(*n)).sum();
        let held: i64 = self
            .problems
            .iter()
            .zip(room)
            .map(|(p, n)| {
                p.capacity
                    .saturating_mul(i64::try_from(*n).unwrap_or(i64::MAX))
            })
            .fold(0, i64::saturating_add);
        need <= held
    }

    /// Fills of a bar of any length left with the longest piece left, least waste first, of equals the longest bar first.
    fn fills(&mut self, first: usize, left: &[u32], room: &[u64]) -> Vec<(usize, Fill)> {
        let sizes = left.len().max(1) as u32;
        let mut all: Vec<(i64, Reverse<usize>, Reverse<Fill>)> = Vec::new();
        for (of, (problem, bars)) in self.problems.iter().zip(room).enumerate() {
            let size = problem.sizes.get(first).copied().unwrap_or(i64::MAX);
            if *bars == 0 || size > problem.capacity {
                continue;
            }
            let allowed = 5000.min(self.budget.saturating_sub(self.steps) / sizes);
            let (fills, whole, looked) = problem.completions(left, allowed);
            self.steps = self.steps.saturating_add(looked.saturating_mul(sizes));
            self.whole &= whole;
            all.extend(
                fills
                    .into_iter()
                    .map(|(waste, fill)| (waste, Reverse(of), Reverse(fill))),
            );
        }
        all.sort();
        self.whole &= all.len() <= PATTERNS_MAX;
        all.into_iter()
            .take(PATTERNS_MAX)
            .map(|(_, Reverse(of), Reverse(fill))| (of, fill))
            .collect()
    }
}
