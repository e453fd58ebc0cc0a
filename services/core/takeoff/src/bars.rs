//! Ways of buying bars, and which is best.
//!
//! What the longest bar bought holds is never pieced. So plans fall into families by the longest length that they buy, and the least outlay of
//! all is the least over the families, each over every way of piecing the runs that are longer.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use material::LinearStock;
use quantity::{Mm, Money};
use working::numbered;

use crate::cutting::{Cutting, Pattern, Problem, Stock, cut, split};
use crate::line::Bound;
use crate::mixture::{Mixed, Mixing, Need, Offers, Outlay};
use crate::piecing::{Cut, loose, pieced};
use crate::several::{self, Runs};

/// One way of buying bars.
pub(crate) struct BarPlan {
    /// Bars by size of the stock.
    pub bars: Vec<u64>,
    /// Millimetres of pieces cut from them, by size of the stock.
    pub supplied: Vec<f64>,
    pub pieces: Vec<Mm>,
    pub cutting: Vec<Cutting>,
    pub bounds: Vec<Bound>,
    /// Whether another choice of lengths could do better; nothing where there is but one length.
    pub proof: Option<String>,
    outlay: Outlay,
}

/// What bars of one length alone come to.
struct Alone {
    short: Vec<Mm>,
    long: Vec<Mm>,
    /// How the short runs are cut.
    cutting: Cutting,
    /// No way of piecing the long runs takes fewer bars.
    bound: u64,
    /// All runs, the long ones in full bars and a remainder.
    plain: Vec<Mm>,
    plain_cutting: Cutting,
    /// All runs, the long ones pieced from what the short ones leave; nothing where that cannot save a bar.
    pieced: Option<Vec<Mm>>,
}

/// The question: which runs, from what, and how.
struct Asked<'a> {
    runs: &'a [Mm],
    offers: Offers,
    sizes: usize,
    how: Cut,
}

impl BarPlan {
    /// The best of all ways tried, of equals the first: each length alone, long runs in full bars and a remainder; the same pieced from
    /// rests; then mixtures.
    pub fn best(stock: &LinearStock, runs: &[Mm], how: Cut, waste: f64) -> Option<Self> {
        let asked = Asked {
            runs,
            offers: Offers::new(stock, waste),
            sizes: stock.sizes.len(),
            how,
        };
        let lengths = asked.offers.sizes.len();
        let alone: Option<Vec<Alone>> = (0..lengths).map(|of| asked.alone(of)).collect();
        let alone = alone?;
        let families: Vec<usize> = (0..lengths).filter(|of| !asked.is_held(*of)).collect();
        let mut best: Option<Self> = None;
        for plan in asked.plain(&alone) {
            keep(&mut best, plan);
        }
        for (of, a) in alone.iter().enumerate() {
            keep(&mut best, asked.pieced(of, a));
        }
        let mut least: Option<Outlay> = None;
        for of in families.iter().copied() {
            let outlay = asked.family(&alone, of, &mut best)?;
            least = Some(least.map_or(outlay, |l: Outlay| l.min(outlay)));
        }
        let mut best = best?;
        let least = least.unwrap_or(best.outlay).min(best.outlay);
        best.proof = (lengths > 1).then(|| asked.proof(stock, best.outlay, least));
        if best.bounds.is_empty() {
            asked.name_bars(&mut best, &alone);
        }
        Some(best)
    }

    /// How it was found, in words.
    pub fn told(&self, stock: &LinearStock, how: Cut) -> String {
        let bars: Vec<String> = stock
            .sizes
            .iter()
            .zip(&self.bars)
            .filter(|(_, b)| **b > 0)
            .map(|(s, b)| format!("{b} of {}", s.length))
            .collect();
        let bounds: Vec<String> = self
            .bounds
            .iter()
            .map(|b| {
                let proof = if b.is_proven() {
                    "proven least"
                } else {
                    "gap open"
                };
                format!("{}, at least {}: {proof}", b.counted(), b.least)
            })
            .chain(self.proof.clone())
            .collect();
        format!(
            "cut {} with saw cuts of {} from {}; every length alone, mixtures of lengths, and long runs in full bars, pieced from rests or from several lengths tried; cheapest first, then least length bought, then fewest packs; {}",
            numbered(self.pieces.len() as u64, "piece", "pieces"),
            how.kerf,
            bars.join(", "),
            bounds.join("; ")
        )
    }
}

/// The length of all pieces of a plan, in millimetres.
fn length_cut(cutting: &Cutting) -> f64 {
    let one = |p: &Pattern| -> f64 {
        let pieces = p.pieces.iter();
        pieces.map(|(l, n)| f64::from(l.0) * f64::from(*n)).sum()
    };
    let patterns = cutting.patterns.iter();
    patterns.map(|p| one(p) * p.times as f64).sum()
}

/// Keeps a plan that has less outlay than the best so far.
fn keep(best: &mut Option<BarPlan>, plan: Option<BarPlan>) {
    let known = best.as_ref().map(|b| b.outlay);
    if let Some(plan) = plan
        && known.is_none_or(|known| plan.outlay < known)
    {
        *best = Some(plan);
    }
}

impl Asked<'_> {
    fn stock(&self, of: usize) -> Option<Stock> {
        let size = self.offers.sizes.get(of)?;
        Some(Stock {
            length: size.length,
            kerf: self.how.kerf,
        })
    }

    /// Whether plans up to this length are among those up to the next: no run fits into the next one only.
    fn is_held(&self, of: usize) -> bool {
        match (self.stock(of), self.stock(of + 1)) {
            (Some(this), Some(next)) => {
                let between = |run: &Mm| this.length < *run && *run <= next.length;
                !self.runs.iter().any(between)
            }
            _ => false,
        }
    }

    fn alone(&self, of: usize) -> Option<Alone> {
        let bar = self.stock(of)?;
        let (short, long): (Vec<Mm>, Vec<Mm>) = self.runs.iter().partition(|r| **r <= bar.length);
        let cutting = cut(&short, bar, self.how.budget).ok()?;
        let bound = if long.is_empty() {
            cutting.bound
        } else {
            let (problem, counts) = Problem::new(&short, bar);
            let loose = loose(&long, bar.length, bar.length, self.how);
            cutting.bound.max(problem.bound(&counts, loose))
        };
        let split = |run: &Mm| split(*run, bar.length, self.how.gap, self.how.least);
        let plain: Vec<Mm> = short
            .iter()
            .copied()
            .chain(long.iter().flat_map(split))
            .collect();
        let plain_cutting = if long.is_empty() {
            cutting.clone()
        } else {
            cut(&plain, bar, self.how.budget).ok()?
        };
        let pieced = (!long.is_empty() && bound < plain_cutting.bars)
            .then(|| pieced(&cutting, &short, &long, bar, self.how));
        Some(Alone {
            short,
            long,
            cutting,
            bound,
            plain,
            plain_cutting,
            pieced,
        })
    }

    /// Each length alone, long runs in full bars and a remainder; then the longest, each of its bars exchanged for the shortest that does.
    fn plain(&self, alone: &[Alone]) -> Vec<Option<BarPlan>> {
        let mut plans: Vec<Option<BarPlan>> = alone
            .iter()
            .enumerate()
            .map(|(of, a)| self.one(of, a.bound, a.plain.clone(), a.plain_cutting.clone()))
            .collect();
        let longest = alone.len().saturating_sub(1);
        let exchanged = plans
            .last()
            .and_then(Option::as_ref)
            .and_then(|plan| self.exchanged(plan, longest));
        plans.push(exchanged);
        plans
    }

    /// One length alone, long runs pieced from rests.
    fn pieced(&self, of: usize, alone: &Alone) -> Option<BarPlan> {
        let pieces = alone.pieced.clone()?;
        let cutting = cut(&pieces, self.stock(of)?, self.how.budget).ok()?;
        self.one(of, alone.bound, pieces, cutting)
    }

    /// A plan in bars of one length.
    fn one(&self, of: usize, least: u64, pieces: Vec<Mm>, cutting: Cutting) -> Option<BarPlan> {
        let bound = Bound {
            of: format!(
                "{} of {}",
                self.how.called,
                self.offers.sizes.get(of)?.length
            ),
            found: cutting.bars,
            least,
        };
        let mut bars = alloc::vec![0; self.offers.sizes.len()];
        *bars.get_mut(of)? = cutting.bars;
        self.plan(&bars, pieces, alloc::vec![cutting], alloc::vec![bound])
    }

    fn plan(
        &self,
        bars: &[u64],
        pieces: Vec<Mm>,
        cutting: Vec<Cutting>,
        bounds: Vec<Bound>,
    ) -> Option<BarPlan> {
        let outlay = self.offers.outlay(bars)?;
        let (mut by_size, mut supplied) =
            (alloc::vec![0; self.sizes], alloc::vec![0.0; self.sizes]);
        let mut plans = cutting.iter();
        for (size, bars) in self.offers.sizes.iter().zip(bars) {
            *by_size.get_mut(size.index)? = *bars;
            if *bars > 0 {
                *supplied.get_mut(size.index)? = plans.next().map_or(0.0, length_cut);
            }
        }
        Some(BarPlan {
            bars: by_size,
            supplied,
            pieces,
            cutting,
            bounds,
            proof: None,
            outlay,
        })
    }

    /// Each bar of a plan exchanged for the shortest that holds its pieces.
    fn exchanged(&self, plan: &BarPlan, longest: usize) -> Option<BarPlan> {
        let from = self.stock(longest)?.length;
        let mut patterns: Vec<Vec<Pattern>> = alloc::vec![Vec::new(); self.offers.sizes.len()];
        for pattern in plan.cutting.iter().flat_map(|c| &c.patterns) {
            // What is left counts the kerf that a last piece at the end of the bar does without.
            let spare = |length: Mm| pattern.left - (from - length);
            let sizes = self.offers.sizes.iter();
            let of = { sizes }.position(|s| spare(s.length) >= Mm::ZERO)?;
            let bar = self.offers.sizes.get(of)?.length;
            let left = spare(bar);
            patterns.get_mut(of)?.push(Pattern {
                left,
                bar,
                ..pattern.clone()
            });
        }
        let bars: Vec<u64> = patterns
            .iter()
            .map(|list| list.iter().map(|p| p.times).sum())
            .collect();
        let cutting = self.cuttings(patterns);
        self.plan(&bars, plan.pieces.clone(), cutting, Vec::new())
    }

    /// Patterns by length as plans, each with the bound for its own pieces.
    fn cuttings(&self, patterns: Vec<Vec<Pattern>>) -> Vec<Cutting> {
        let mut list = Vec::new();
        for (of, patterns) in patterns.into_iter().enumerate() {
            let Some(bar) = self.stock(of).filter(|_| !patterns.is_empty()) else {
                continue;
            };
            let bars: u64 = patterns.iter().map(|p| p.times).sum();
            let pieces: Vec<Mm> = patterns
                .iter()
                .flat_map(|p| {
                    p.pieces
                        .iter()
                        .map(move |(l, n)| (*l, u64::from(*n) * p.times))
                })
                .flat_map(|(length, n)| core::iter::repeat_n(length, n as usize))
                .collect();
            let (problem, counts) = Problem::new(&pieces, bar);
            let bound = problem.bound(&counts, crate::cutting::Loose::NONE);
            list.push(Cutting {
                bars,
                bound: bound.min(bars),
                steps: 0,
                patterns,
            });
        }
        list
    }

    /// Looks for plans in lengths up to one, and says what none of them can do with less than.
    fn family(&self, alone: &[Alone], of: usize, best: &mut Option<BarPlan>) -> Option<Outlay> {
        let mine = alone.get(of)?;
        if of == 0 {
            let mut bars = alloc::vec![0; self.offers.sizes.len()];
            *bars.get_mut(of)? = mine.bound;
            return self.offers.outlay(&bars);
        }
        keep(best, self.several(mine, of, best.as_ref()?.outlay));
        let mut ways: Vec<Vec<Mm>> = Vec::new();
        let shorter = alone.iter().take(of + 1);
        // A shorter length that a run is too long for, but not for this one, pieces what here stays whole.
        let same = { shorter }.filter(|a| a.long.len() == mine.long.len());
        let (plain, pieced) = (
            same.clone().map(|a| &a.plain),
            same.filter_map(|a| a.pieced.as_ref()),
        );
        for way in plain.chain(pieced) {
            if !ways.contains(way) {
                ways.push(way.clone());
            }
        }
        self.mixtures(mine, of, &ways, best)
    }

    /// Long runs pieced from bars of several lengths together, with less outlay than is known.
    fn several(&self, mine: &Alone, of: usize, known: Outlay) -> Option<BarPlan> {
        if mine.long.is_empty() {
            return None;
        }
        let runs = Runs {
            short: &mine.short,
            long: &mine.long,
        };
        let found = several::pieced(&self.offers, of, &runs, self.how, known)?;
        let bars = found.patterns.iter();
        let bars: Vec<u64> = bars
            .map(|list| list.iter().map(|p| p.times).sum())
            .collect();
        let cutting = self.cuttings(found.patterns);
        self.plan(&bars, found.pieces, cutting, Vec::new())
    }

    fn mixtures(
        &self,
        mine: &Alone,
        of: usize,
        ways: &[Vec<Mm>],
        best: &mut Option<BarPlan>,
    ) -> Option<Outlay> {
        let bar = self.stock(of)?;
        let loose = loose(&mine.long, bar.length, self.stock(0)?.length, self.how);
        let (problem, counts) = Problem::new(&mine.short, bar);
        let need = Need {
            whole: &mine.short,
            loose,
            kerf: self.how.kerf,
            bars: mine.cutting.bound.max(problem.bound(&counts, loose)),
        };
        let mut mixing = Mixing::new(&self.offers, of, &need, self.how.budget);
        let mut least: Option<Outlay> = None;
        for pieces in ways {
            let known = best.as_ref()?.outlay;
            let searched = mixing.search(pieces, known);
            let plan = searched.found.and_then(|found| self.mixed(found, pieces));
            keep(best, plan);
            least = Some(least.map_or(searched.least, |l| l.max(searched.least)));
        }
        least
    }

    fn mixed(&self, found: Mixed, pieces: &[Mm]) -> Option<BarPlan> {
        let kerf = i64::from(self.how.kerf.0);
        let each = found.problems.iter().zip(found.plans);
        let patterns: Vec<Vec<Pattern>> = each
            .map(|(problem, plan)| problem.patterns(plan, kerf))
            .collect();
        let cutting = self.cuttings(patterns);
        self.plan(&found.bars, pieces.to_vec(), cutting, Vec::new())
    }

    /// Says how many bars a mixture takes. Bars of several lengths are told and not bounded: their number is not what was to be least.
    fn name_bars(&self, plan: &mut BarPlan, alone: &[Alone]) {
        let mut used: Vec<Bound> = Vec::new();
        for (size, alone) in self.offers.sizes.iter().zip(alone) {
            let found = plan.bars.get(size.index).copied().unwrap_or(0);
            if found > 0 {
                used.push(Bound {
                    of: format!("{} of {}", self.how.called, size.length),
                    found,
                    least: alone.bound.min(found),
                });
            }
        }
        if let [_] = used.as_slice() {
            plan.bounds = used;
            return;
        }
        let bars: Vec<String> = used.iter().map(Bound::counted).collect();
        let proof = plan.proof.take().unwrap_or_default();
        plan.proof = Some(format!("{}; {proof}", bars.join(" and ")));
    }

    /// Whether any choice of lengths could do with less: by price, or by length bought where a price is missing.
    fn proof(&self, stock: &LinearStock, found: Outlay, least: Outlay) -> String {
        let money = stock.sizes.iter().find_map(|s| s.supply.price);
        let told = |outlay: Outlay| match money.filter(|_| self.offers.priced) {
            Some(money) => Money {
                amount: outlay.cost,
                ..money
            }
            .to_string(),
            None => format!("{} m", outlay.bought as f64 / 1000.0),
        };
        let (found, least) = (told(found), told(least));
        let proof = if found == least {
            "proven least"
        } else {
            "bound"
        };
        format!("{found} over all choices of length ({proof} {least})")
    }
}
