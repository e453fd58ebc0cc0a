//! Runs longer than a bar: how they are pieced, and what they take however they are pieced.
//!
//! The plain way is full bars and one remainder ([`split`]). Where the short runs leave rests, remainders, and full bars too, may come from
//! them: from one rest that holds the part, or parted over several. What no rest holds opens a new bar, whose rest joins the others.

use alloc::vec::Vec;

use quantity::Mm;

use crate::cutting::{Cutting, Loose, Problem, Stock, split, total};

/// How runs are cut from bars or rolls.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cut {
    /// Left open between two pieces of a run; negative for an overlap.
    pub gap: Mm,
    pub kerf: Mm,
    /// The shortest piece.
    pub least: Mm,
    /// The shortest rest that a long run is pieced from.
    pub rest: Mm,
    pub budget: u32,
    /// What the stock is called, such as `bars`.
    pub called: &'static str,
}

impl Cut {
    /// The shortest piece that any way of piecing makes, from bars of which the shortest is `bar` long.
    fn shortest(self, bar: Mm) -> Mm {
        self.least.min(self.rest).min(bar / 2).max(Mm(1))
    }

    /// The shortest of several parts that a bar's length or a remainder is made of.
    pub fn part(self) -> Mm {
        self.rest.max(self.least).max(Mm(1))
    }
}

/// What long runs take from the bars at least, over every way of piecing them: a piece is at most `longest` and comes from bars of which
/// the shortest is `shortest`. A gap saves length with every piece and a saw cut takes some, so either the fewest pieces count or the most.
pub(crate) fn loose(long: &[Mm], longest: Mm, shortest: Mm, how: Cut) -> Loose {
    let (gap, kerf) = (i64::from(how.gap.0), i64::from(how.kerf.0));
    let (most, least) = (
        i64::from(longest.0) + gap,
        i64::from(how.shortest(shortest).0),
    );
    let takes = |run: &Mm| {
        let length = i64::from(run.0) + gap;
        let pieces = if kerf >= gap {
            (length + most.max(1) - 1) / most.max(1)
        } else {
            length / (least + gap).max(1)
        };
        (length + pieces * (kerf - gap)).max(0)
    };
    Loose {
        length: long.iter().map(takes).sum(),
        least: least + kerf,
    }
}

/// A way of serving long runs from rests.
#[derive(Clone, Copy)]
enum Way {
    /// Run by run, the longest rests first, what remains in full bars and a remainder.
    RunByRun,
    /// Remainders first, the shortest first.
    ShortRemainders,
    /// Remainders first, the longest first.
    LongRemainders,
}

/// Pieces for long runs, cut from what the plan of the short runs leaves and from as few new bars as three ways of serving them find.
pub(crate) fn pieced(
    cutting: &Cutting,
    short: &[Mm],
    long: &[Mm],
    bar: Stock,
    how: Cut,
) -> Vec<Mm> {
    let mut rests: Vec<Mm> = cutting
        .patterns
        .iter()
        .flat_map(|p| core::iter::repeat_n(p.left - how.kerf, p.times as usize))
        .filter(|rest| *rest > Mm::ZERO)
        .collect();
    rests.sort_unstable();
    let ways = [Way::RunByRun, Way::ShortRemainders, Way::LongRemainders];
    let tried = ways.into_iter().map(|way| {
        let mut pool = Pool {
            rests: rests.clone(),
            bar: bar.length,
            how,
        };
        let pieces = match way {
            Way::RunByRun => pool.run_by_run(long),
            Way::ShortRemainders | Way::LongRemainders => pool.remainders_first(long, way),
        };
        let all: Vec<Mm> = short.iter().copied().chain(pieces).collect();
        let (problem, counts) = Problem::new(&all, bar);
        (total(&problem.quick(&counts)), all)
    });
    let best = tried.reduce(|best, next| if next.0 < best.0 { next } else { best });
    best.map(|(_, pieces)| pieces).unwrap_or_default()
}

/// Rests that are still there, shortest first.
struct Pool {
    rests: Vec<Mm>,
    bar: Mm,
    how: Cut,
}

impl Pool {
    /// Every run takes the longest rests whole, as long as what remains is no shorter than a rest may be.
    fn run_by_run(&mut self, long: &[Mm]) -> Vec<Mm> {
        let mut pieces = Vec::new();
        let (part, gap) = (self.how.part(), self.how.gap);
        for run in long {
            let mut left = *run;
            let fits = |rest: &Mm, left: Mm| *rest >= part && *rest + part + gap <= left;
            while let Some(rest) = self.rests.pop_if(|rest| fits(rest, left)) {
                pieces.push(rest);
                left = left - rest - gap;
            }
            pieces.extend(split(left, self.bar, gap, self.how.least));
        }
        pieces
    }

    /// Every run's remainder is served first, those that cannot be parted before the others; then as many full bars as the rests still hold.
    fn remainders_first(&mut self, long: &[Mm], way: Way) -> Vec<Mm> {
        let bar = self.bar;
        let split = |run: &Mm| split(*run, bar, self.how.gap, self.how.least);
        let parts: Vec<Vec<Mm>> = long.iter().map(split).collect();
        let each = parts.iter().flatten().copied().filter(|p| *p < bar);
        let whole = |part: &Mm| *part < self.how.part() * 2 + self.how.gap;
        let (mut first, mut then): (Vec<Mm>, Vec<Mm>) = each.partition(whole);
        first.sort_unstable_by(|a, b| b.cmp(a));
        then.sort_unstable();
        if matches!(way, Way::LongRemainders) {
            then.reverse();
        }
        let mut pieces = Vec::new();
        for part in first.into_iter().chain(then) {
            if self.single(part) {
                pieces.push(part);
            } else if let Some(several) = self.several(part) {
                pieces.extend(several);
            } else {
                pieces.push(part);
                self.put(bar - part - self.how.kerf);
            }
        }
        for run in parts {
            let full = run.iter().filter(|p| **p == bar).count() as i32;
            // As many of the full bars at once as the rests hold, so that no more than one rest is shortened.
            let gap = self.how.gap;
            let found = (1..=full).rev().find_map(|saved| {
                let length = bar * saved + gap * (saved - 1);
                Some((saved, self.several(length)?))
            });
            let (saved, several) = found.unwrap_or_default();
            pieces.extend(several);
            pieces.extend(core::iter::repeat_n(bar, (full - saved) as usize));
        }
        pieces
    }

    fn put(&mut self, rest: Mm) {
        if rest > Mm::ZERO {
            let at = self.rests.partition_point(|r| *r < rest);
            self.rests.insert(at, rest);
        }
    }

    /// Takes a part from the shortest rest that holds it; whether there was one.
    fn single(&mut self, part: Mm) -> bool {
        let at = self.rests.partition_point(|r| *r < part);
        if at >= self.rests.len() {
            return false;
        }
        let rest = self.rests.remove(at);
        self.put(rest - part - self.how.kerf);
        true
    }

    /// Parts a length over the fewest rests that hold it, and of so many the shortest.
    fn several(&mut self, length: Mm) -> Option<Vec<Mm>> {
        let part = self.how.part();
        let from = self.rests.partition_point(|r| *r < part);
        // A part is no shorter than the limit, so their number is bounded by the length.
        let most = ((length.0 / part.0.max(1)) as usize + 1).min(self.rests.len() - from);
        for count in 2..=most {
            let need = length - self.how.gap * (count as i32 - 1);
            if need < part * count as i32 {
                return None;
            }
            let sum = |at: usize| -> i64 {
                let window = self.rests.get(at..at + count).unwrap_or(&[]);
                window.iter().map(|r| i64::from(r.0)).sum()
            };
            let last = self.rests.len() - count;
            if sum(last) < i64::from(need.0) {
                continue;
            }
            // Sums of neighbours grow with their place.
            let (mut low, mut high) = (from, last);
            while low < high {
                let middle = usize::midpoint(low, high);
                if sum(middle) < i64::from(need.0) {
                    low = middle + 1;
                } else {
                    high = middle;
                }
            }
            return Some(self.share(low, count, need));
        }
        None
    }

    /// Cuts `need` from `count` rests from `at` on; each but the last gives all it can while the others still get a part.
    fn share(&mut self, at: usize, count: usize, need: Mm) -> Vec<Mm> {
        let rests: Vec<Mm> = self.rests.drain(at..at + count).collect();
        let mut left = need;
        let mut pieces = Vec::with_capacity(count);
        for (i, rest) in rests.into_iter().enumerate() {
            let others = self.how.part() * (count - 1 - i) as i32;
            let piece = rest.min(left - others);
            left -= piece;
            pieces.push(piece);
            self.put(rest - piece - self.how.kerf);
        }
        pieces
    }
}
