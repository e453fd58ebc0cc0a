//! Ways of buying bars, and which is best.
//!
//! What a stocked length holds is never pieced: a joint where none is needed is a weak place in an edge (common practice, no source). So a
//! length serves alone only where no run needs a longer one, and the least outlay is that over every way of piecing the runs that are longer
//! than all.

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
use crate::several::{self, Pieced, Runs};

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

/// What bars of one length alone come to, where no run asks for a longer one.
struct Alone {
    /// The length, by place in the offers.
    of: usize,
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

impl Alone {
    /// The runs, where some are longer than a bar.
    fn runs(&self) -> Option<Runs<'_>> {
        (!self.long.is_empty()).then_some(Runs {
            short: &self.short,
            long: &self.long,
        })
    }
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
        let serving = (0..lengths).filter(|of| asked.serves_alone(*of));
        let alone: Option<Vec<Alone>> = serving.map(|of| asked.alone(of)).collect();
        let alone = alone?;
        let mut best: Option<Self> = None;
        for plan in asked.plain(&alone) {
            keep(&mut best, plan);
        }
        for a in &alone {
            keep(&mut best, asked.pieced(a));
        }
        let least = asked.mixed_lengths(&alone, &mut best)?;
        let known = best.as_ref()?.outlay;
        let drawn = alone.last().filter(|_| least < known);
        keep(
            &mut best,
            drawn.and_then(|a| asked.drawn(a, (least, known))),
        );
        let mut best = best?;
        let least = least.min(best.outlay);
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
            "cut {} with saw cuts of {} from {}; every length alone, mixtures of lengths, and runs longer than all in full bars, pieced from rests or from several lengths tried, no other run pieced; cheapest first, then least length bought, then fewest packs; {}",
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

    /// Whether no run fits into a longer length only.
    fn serves_alone(&self, of: usize) -> bool {
        let longest = self.offers.sizes.last().map_or(Mm::ZERO, |s| s.length);
        let own = self.offers.sizes.get(of).map_or(Mm::ZERO, |s| s.length);
        !self.runs.iter().any(|run| own < *run && *run <= longest)
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
            of,
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
            .map(|a| self.one(a.of, a.bound, a.plain.clone(), a.plain_cutting.clone()))
            .collect();
        let longest = self.offers.sizes.len().saturating_sub(1);
        let exchanged = plans
            .last()
            .and_then(Option::as_ref)
            .and_then(|plan| self.exchanged(plan, longest));
        plans.push(exchanged);
        plans
    }

    /// One length alone, long runs pieced from rests.
    fn pieced(&self, alone: &Alone) -> Option<BarPlan> {
        let pieces = alone.pieced.clone()?;
        let cutting = cut(&pieces, self.stock(alone.of)?, self.how.budget).ok()?;
        self.one(alone.of, alone.bound, pieces, cutting)
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

    /// Looks for plans in several lengths, and says what no plan can do with less than.
    fn mixed_lengths(&self, alone: &[Alone], best: &mut Option<BarPlan>) -> Option<Outlay> {
        let longest = alone.last()?;
        if longest.of == 0 {
            return self.offers.outlay(&[longest.bound]);
        }
        keep(best, self.several(longest, best.as_ref()?.outlay));
        let mut ways: Vec<Vec<Mm>> = Vec::new();
        let plain = alone.iter().map(|a| &a.plain);
        let pieced = alone.iter().filter_map(|a| a.pieced.as_ref());
        for way in plain.chain(pieced) {
            if !ways.contains(way) {
                ways.push(way.clone());
            }
        }
        self.mixtures(longest, &ways, best)
    }

    /// Long runs pieced from bars of several lengths together, with less outlay than is known.
    fn several(&self, mine: &Alone, known: Outlay) -> Option<BarPlan> {
        let runs = mine.runs()?;
        let found = several::pieced(&self.offers, mine.of, &runs, self.how, known)?;
        self.pooled(found)
    }

    /// The same by chance, where nothing says yet that there is no such plan.
    fn drawn(&self, mine: &Alone, between: (Outlay, Outlay)) -> Option<BarPlan> {
        let runs = mine.runs()?;
        let found = several::drawn(&self.offers, mine.of, &runs, self.how, between)?;
        self.pooled(found)
    }

    fn pooled(&self, found: Pieced) -> Option<BarPlan> {
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
        ways: &[Vec<Mm>],
        best: &mut Option<BarPlan>,
    ) -> Option<Outlay> {
        let bar = self.stock(mine.of)?;
        let loose = loose(&mine.long, bar.length, self.stock(0)?.length, self.how);
        let (problem, counts) = Problem::new(&mine.short, bar);
        let need = Need {
            whole: &mine.short,
            loose,
            kerf: self.how.kerf,
            bars: mine.cutting.bound.max(problem.bound(&counts, loose)),
        };
        let mut mixing = Mixing::new(&self.offers, mine.of, &need, self.how.budget);
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
        for (of, size) in self.offers.sizes.iter().enumerate() {
            let found = plan.bars.get(size.index).copied().unwrap_or(0);
            if found > 0 {
                let alone = alone.iter().find(|alone| alone.of == of);
                used.push(Bound {
                    of: format!("{} of {}", self.how.called, size.length),
                    found,
                    least: alone.map_or(0, |alone| alone.bound).min(found),
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
