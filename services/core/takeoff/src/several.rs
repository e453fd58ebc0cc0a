//! Long runs pieced from bars of several lengths together.
//!
//! A run that no bar holds may take packs of one length and its last metres from another, where packs of one length alone would be bought in
//! vain. Whole packs of all lengths are one pool: short runs lie in the shortest rest that holds them, longest first; then every long run
//! takes rest after rest, until one holds what is left of it. Where that does not do, rests are drawn by chance, again and again.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;
use core::cmp::Reverse;

use quantity::Mm;

use crate::cutting::{Pattern, counted};
use crate::exchange::Chance;
use crate::mixture::{Offers, Outlay};
use crate::piecing::Cut;

/// The most mixtures of packs that are looked at, and the most that are tried.
const CELLS_MAX: u64 = 2000;
const TRIES_MAX: usize = 200;
/// The most runs that are laid in all tries together, so that many runs get fewer tries, and the fewest tries.
const LAID_MAX: usize = 100_000;
const TRIES_MIN: usize = 8;
/// The most runs that are laid in all draws together.
const DRAWN_MAX: usize = 200_000;
/// Packs of the longest length beyond what the length of the runs asks for.
const PACKS_BEYOND: u64 = 1;

/// What is cut: runs that stay whole, and runs longer than every bar.
pub(crate) struct Runs<'a> {
    pub short: &'a [Mm],
    pub long: &'a [Mm],
}

impl Runs<'_> {
    /// How many there are; one at least.
    fn count(&self) -> usize {
        (self.short.len() + self.long.len()).max(1)
    }
}

/// How every bar is cut, by length of bar, and all pieces, those of the short runs first.
pub(crate) struct Pieced {
    pub patterns: Vec<Vec<Pattern>>,
    pub pieces: Vec<Mm>,
}

impl Pieced {
    fn of(pool: &Pool, offers: &Offers, pieces: Vec<Mm>) -> Self {
        Self {
            patterns: pool.patterns(offers.sizes.len()),
            pieces,
        }
    }
}

/// Pieces the long runs from whole packs of the lengths up to `of` with less outlay than `known`, the least outlay first.
pub(crate) fn pieced(
    offers: &Offers,
    of: usize,
    runs: &Runs<'_>,
    how: Cut,
    known: Outlay,
) -> Option<Pieced> {
    let mut mixtures = mixtures(offers, of, runs, how);
    mixtures.retain(|(outlay, _)| *outlay < known);
    let tries = (LAID_MAX / runs.count()).clamp(TRIES_MIN, TRIES_MAX);
    mixtures.iter().take(tries).find_map(|(_, bars)| {
        let orders = [Order::LongestRests, Order::ShortestRests];
        orders.into_iter().find_map(|order| {
            let mut pool = Pool::new(offers, bars, how);
            let pieces = pool.serve(runs, order)?;
            Some(Pieced::of(&pool, offers, pieces))
        })
    })
}

/// The same by chance, with no less outlay than `least`, which no plan can do with less than.
pub(crate) fn drawn(
    offers: &Offers,
    of: usize,
    runs: &Runs<'_>,
    how: Cut,
    (least, known): (Outlay, Outlay),
) -> Option<Pieced> {
    let mut mixtures = mixtures(offers, of, runs, how);
    mixtures.retain(|(outlay, _)| least <= *outlay && *outlay < known);
    let draws = DRAWN_MAX / runs.count() / mixtures.len().clamp(1, DRAWN_MAX);
    let mut chance = Chance::new();
    mixtures.iter().find_map(|(_, bars)| {
        (0..draws).find_map(|_| {
            let mut pool = Pool::new(offers, bars, how);
            let pieces = pool.draw(runs, &mut chance)?;
            Some(Pieced::of(&pool, offers, pieces))
        })
    })
}

/// Bars in whole packs of each length that are as long as the runs, or little longer, the least outlay first.
fn mixtures(offers: &Offers, of: usize, runs: &Runs<'_>, how: Cut) -> Vec<(Outlay, Vec<u64>)> {
    let length = |size: usize| {
        let length = offers.sizes.get(size).map_or(Mm(1), |s| s.length);
        i64::from((length + how.gap.max(Mm::ZERO)).0).max(1)
    };
    let all = runs.short.iter().chain(runs.long);
    let need: i64 = all.map(|run| i64::from(run.0)).sum();
    let bars_for = |size: usize, need: i64| (need.max(0) as u64).div_ceil(length(size) as u64);
    // As many numbers of each shorter length as multiply to no more than the most cells.
    let power = |n: &u64| n.checked_pow(of as u32);
    let numbers = (1..=CELLS_MAX)
        .take_while(|n| power(n).is_some_and(|all| all <= CELLS_MAX))
        .last()
        .unwrap_or(1);
    let mut grid: Vec<Vec<u64>> = alloc::vec![Vec::new()];
    for size in 0..of {
        let most = offers.packs(size, bars_for(size, need)).unwrap_or(0);
        let stride = (most + 1).div_ceil(numbers);
        let steps: Vec<u64> = (0..=most / stride).map(|i| i * stride).collect();
        let with = |bars: &Vec<u64>, packs: u64| {
            let mut bars = bars.clone();
            bars.push(offers.bars_in(size, packs));
            bars
        };
        grid = grid
            .iter()
            .flat_map(|bars| steps.iter().map(move |packs| with(bars, *packs)))
            .collect();
    }
    let mut found = Vec::new();
    for shorter in grid {
        let held = shorter.iter().enumerate();
        let held: i64 = held.map(|(size, n)| length(size) * *n as i64).sum();
        let least = offers.packs(of, bars_for(of, need - held)).unwrap_or(0);
        for packs in least..=least + PACKS_BEYOND {
            let mut bars = shorter.clone();
            bars.push(offers.bars_in(of, packs));
            bars.resize(offers.sizes.len(), 0);
            found.extend(offers.outlay(&bars).map(|outlay| (outlay, bars)));
        }
    }
    found.sort();
    found
}

fn longest_first(runs: &[Mm]) -> Vec<Mm> {
    let mut runs = runs.to_vec();
    runs.sort_unstable_by_key(|run| Reverse(*run));
    runs
}

/// A bar by its place in the offers, and what it is cut into.
type Cuts = (usize, Reverse<Vec<(Mm, u32)>>);

/// Which rest a long run takes next.
#[derive(Clone, Copy)]
enum Order {
    LongestRests,
    ShortestRests,
}

/// A bar of the pool.
struct Bar {
    /// Its length by place in the offers.
    of: usize,
    length: Mm,
    pieces: Vec<Mm>,
    /// The longest piece that it still gives.
    rest: Mm,
}

struct Pool {
    bars: Vec<Bar>,
    /// Rests that are still there, shortest first, each with its bar.
    rests: BTreeSet<(Mm, usize)>,
    how: Cut,
}

impl Pool {
    fn new(offers: &Offers, bars: &[u64], how: Cut) -> Self {
        let each = offers.sizes.iter().zip(bars).enumerate();
        let bars: Vec<Bar> = each
            .flat_map(|(of, (size, count))| (0..*count).map(move |_| (of, size.length)))
            .map(|(of, length)| Bar {
                of,
                length,
                pieces: Vec::new(),
                rest: length,
            })
            .collect();
        let rests = bars.iter().enumerate().map(|(i, bar)| (bar.rest, i));
        Self {
            rests: rests.collect(),
            bars,
            how,
        }
    }

    /// The pieces of all runs, those of the short runs first; nothing where the pool does not hold them.
    fn serve(&mut self, runs: &Runs<'_>, order: Order) -> Option<Vec<Mm>> {
        for run in longest_first(runs.short) {
            let rest = self.holding(run)?;
            self.take(rest, run);
        }
        let mut pieces = runs.short.to_vec();
        let part = self.how.part();
        for run in longest_first(runs.long) {
            self.piece(run, &mut pieces, |pool| match order {
                Order::LongestRests => pool.rests.last().copied(),
                Order::ShortestRests => pool.holding(part),
            })?;
        }
        Some(pieces)
    }

    /// The same by chance: half of the short runs lie in the shortest rest that holds them, the others in any; the long ones come in any
    /// order and take any rest.
    fn draw(&mut self, runs: &Runs<'_>, chance: &mut Chance) -> Option<Vec<Mm>> {
        for run in longest_first(runs.short) {
            let rest = match chance.below(2) {
                0 => self.holding(run)?,
                _ => self.any(run, chance)?,
            };
            self.take(rest, run);
        }
        let mut pieces = runs.short.to_vec();
        let mut long = runs.long.to_vec();
        let part = self.how.part();
        while !long.is_empty() {
            let run = long.swap_remove(chance.below(long.len()));
            self.piece(run, &mut pieces, |pool| pool.any(part, chance))?;
        }
        Some(pieces)
    }

    /// Any rest that is so long.
    fn any(&self, least: Mm, chance: &mut Chance) -> Option<(Mm, usize)> {
        let holding = || self.rests.range((least, 0)..);
        let count = holding().count();
        holding().nth(chance.below(count)).copied()
    }

    /// Pieces one run from the rests that are `next`; every piece is as long as a part must be, so the loop ends.
    fn piece(
        &mut self,
        run: Mm,
        pieces: &mut Vec<Mm>,
        mut next: impl FnMut(&Self) -> Option<(Mm, usize)>,
    ) -> Option<()> {
        let (part, gap) = (self.how.part(), self.how.gap);
        let mut left = run;
        loop {
            if let Some(rest) = self.holding(left) {
                self.take(rest, left);
                pieces.push(left);
                return Some(());
            }
            let rest = next(self)?;
            // What is left of the run must still make a part.
            let piece = rest.0.min(left - gap - part);
            let more = left - piece - gap;
            if piece < part || more >= left {
                return None;
            }
            self.take(rest, piece);
            pieces.push(piece);
            left = more;
        }
    }

    /// The shortest rest that holds a piece.
    fn holding(&self, piece: Mm) -> Option<(Mm, usize)> {
        self.rests.range((piece, 0)..).next().copied()
    }

    fn take(&mut self, rest: (Mm, usize), piece: Mm) {
        self.rests.remove(&rest);
        if let Some(bar) = self.bars.get_mut(rest.1) {
            bar.pieces.push(piece);
            bar.rest = bar.rest - piece - self.how.kerf;
            if bar.rest > Mm::ZERO {
                self.rests.insert((bar.rest, rest.1));
            }
        }
    }

    /// The bars that are cut, like ones together, by length of bar.
    fn patterns(&self, lengths: usize) -> Vec<Vec<Pattern>> {
        let mut like: BTreeMap<Cuts, Pattern> = BTreeMap::new();
        for bar in self.bars.iter().filter(|bar| !bar.pieces.is_empty()) {
            let pieces = counted(&bar.pieces);
            let pattern = Pattern {
                pieces: pieces.clone(),
                times: 0,
                // What is left counts the kerf that a last piece at the end of the bar does without.
                left: bar.rest + self.how.kerf,
                bar: bar.length,
            };
            let entry = like.entry((bar.of, Reverse(pieces)));
            entry.or_insert(pattern).times += 1;
        }
        let mut patterns = alloc::vec![Vec::new(); lengths];
        for ((of, _), pattern) in like {
            if let Some(patterns) = patterns.get_mut(of) {
                patterns.push(pattern);
            }
        }
        patterns
    }
}
