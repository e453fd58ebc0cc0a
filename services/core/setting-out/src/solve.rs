//! From a job to a layout: several quick starts, the best of them improved until the steps are spent.
//!
//! Boards come before cuts, but not at any price: while there are more boards than near enough to the bound, one more
//! is worth many cuts; from there on it is worth about what it costs. Cuts beyond those of the pencil layout weigh more.

use alloc::vec::Vec;

use working::Halt;

use crate::half_bond::pencil;
use crate::layout::{Layout, Stopped};
use crate::lines::{Outlook, Rests};
use crate::plan::{Plan, plan};
use crate::run::Pains;
use crate::search::{Search, sizes};
use crate::stock::{Sizes, Stock, Style, Tally};
use crate::view::View;
use crate::{BoardStock, CornerPieces, Job, bound};

/// A building of fewer boards gets the steps of one with so many.
const LEAST_BOARDS: u64 = 855;
/// From so many boards on each counts two thirds: a step takes longer there, and there are more leftovers to choose from.
const MANY_BOARDS: u64 = 2000;
/// Up to so many boards courses that lie whole are no reason for another aim.
const SMALL: i64 = 50;
/// From so many boards on, one over the bound is near enough.
const FEW: i64 = 10;
/// More breaches than so many, and so many thousandths of the boards on top, let a start look for places on a finer grid.
const FEW_BROKEN: i64 = 4;
const MANY_BROKEN: i64 = 25;
/// Starts are made until this share of the steps is spent, in thousandths.
const STARTING: u64 = 250;
/// What is left of the steps is spent in so many slices; after each the price of boards is set anew.
const SLICES: u64 = 24;
/// The share of the slices, in thousandths, until which leftovers are gathered; then they are used up.
const GATHERING: u64 = 250;
/// From this share on, boards come first where both aims are missed.
const LATE: u64 = 600;
/// Before these slices breaches that were taken as forced are looked at again, and corners are turned: first when leftovers have
/// been gathered and a breach weighs more.
const HEARTS: [u64; 4] = [6, 12, 18, 22];
/// How much worse a change may be at the beginning, in thousandths of a board. It falls to nothing with the square of the share
/// that is left, and rises with the price of cuts: where they are dear, nothing would be moved any more otherwise.
const HEAT: i64 = 120;
/// So many thousandths of the changes lay stretches anew.
const ANEW: u64 = 1;

/// The course lines tried; the pencil's come first.
const LINES: [Outlook; 5] = [
    Outlook::CALM,
    Outlook::calm(Rests::All),
    Outlook::busy(Rests::Half),
    Outlook::busy(Rests::All),
    Outlook::busy(Rests::None),
];

/// Breaches weigh more than any saving of boards.
const NEVER: i64 = 200_000;

/// Ways to lay the first courses: for few cuts, where a long low leftover is worth more than its area because a strip cut
/// from it spares a rip, and for few boards.
const QUIET: Style = Style {
    full: [700, 1000],
    low: [447, 1751],
    cap: 40,
    cut: 128,
    piece: 250,
    wish: 0,
    breach: NEVER,
};
const SPARING: Style = Style {
    full: [700, 1000],
    low: [125, 420],
    cap: 12,
    cut: 8,
    piece: 145,
    wish: 600,
    ..QUIET
};

/// For low courses cut across the boards: many narrow pieces, and nothing hoped of long low leftovers.
const ACROSS: Style = Style {
    low: [60, 200],
    piece: 40,
    ..SPARING
};

/// While there are many steps left, leftovers are gathered and a breach may stand for a while.
const GATHER: Style = Style {
    full: [700, 1000],
    low: [160, 167],
    cap: 6,
    cut: 60,
    piece: 300,
    wish: 750,
    breach: 600,
};
/// Then boards, cuts and pieces are judged, and what leftovers could still be good for.
const JUDGE: Style = Style {
    full: [300, 1000],
    low: [20, 120],
    cap: 14,
    cut: 76,
    piece: 58,
    wish: 300,
    breach: NEVER,
};
/// Where boards miss their aim, leftovers are used up rather than gathered. In large buildings gathering takes longer, and beside slopes
/// twins are waited for.
const USE_UP: Style = Style {
    full: [700, 1000],
    ..JUDGE
};
/// How starts are compared: most breaches can be mended later.
const AMONG_STARTS: Style = Style {
    cut: 60,
    piece: 82,
    breach: 2000,
    ..JUDGE
};

/// The price of cuts and pieces to begin with and where both aims are met, in thousandths of what the styles say, and its
/// limits.
const PRICE: i64 = 1000;
const PRICES: [i64; 2] = [150, 5000];
/// What becomes of it, in thousandths, after a slice in which boards miss their aim, both do, both do late, or cuts do.
const BOARDS_MISSED: i64 = 750;
const BOTH_MISSED: i64 = 900;
const LATE_MISSED: i64 = 650;
const CUTS_MISSED: i64 = 2050;

/// What is weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    /// A start, which will be improved.
    Start,
    /// A layout that may be the answer.
    Layout,
}

/// What is aimed at for one product.
#[derive(Clone, Copy, Debug)]
struct Aim {
    /// Near enough to the bound.
    boards: i64,
    /// As few as the pencil's.
    cuts: i64,
}

/// What a layout weighs, in cuts: a board, and what a board and a cut beyond the aim weigh on top, a cut more where the aim
/// for boards is met; a breach of a start. Improving a start takes boards off more readily than what its course lines cost in cuts.
const BOARD: i64 = 20;
const BOARD_BEYOND: i64 = 120;
const START_BEYOND: i64 = 40;
const CUT_BEYOND: i64 = 2;
const ONLY_CUT_BEYOND: i64 = 8;
const BREACH: i64 = 20;
/// What an aim that is missed weighs in itself.
const MISSED: i64 = 40;
/// By how much starts may miss the aim, in thousandths: improving them saves that much.
const SLACK: Aim = Aim {
    boards: 13,
    cuts: 49,
};

/// What a layout weighs by the aims for its products, in tenths of a cut.
fn cost(aims: &[Aim], search: &Search, stage: Stage) -> i64 {
    let products = search.stocks.iter().zip(&search.job.boards).zip(aims);
    let costs = products.map(|((stock, board), aim)| aim.cost(stock.tally(), board, stage));
    costs.sum()
}

impl Aim {
    /// What the boards and cuts of a product weigh, in tenths of a cut. A board that only fills up a pack weighs nine tenths of one
    /// in use.
    fn cost(self, tally: Tally, board: &BoardStock, stage: Stage) -> i64 {
        let paid = match stage {
            // Improving a start takes off more than what is left over in a pack.
            Stage::Start => tally.boards,
            Stage::Layout => board.boards_of(board.packs_for(tally.boards)),
        };
        let boards = i64::from(paid) * 9 + i64::from(tally.boards);
        let cuts = i64::from(tally.cuts);
        let (more, further) = (boards - 10 * self.boards, cuts - self.cuts);
        let (board, only_cut, missed) = match stage {
            Stage::Start => (START_BEYOND, CUT_BEYOND, 0),
            Stage::Layout => (BOARD_BEYOND, ONLY_CUT_BEYOND, MISSED),
        };
        let cut = if more > 0 { CUT_BEYOND } else { only_cut };
        let aims_missed = i64::from(more > 0) + i64::from(further > 0);
        10 * (cuts + cut * further.max(0) + missed * aims_missed)
            + BOARD * boards
            + board * more.max(0)
    }
    fn with(self, slack: Self) -> Self {
        Self {
            boards: self.boards + self.boards * slack.boards / 1000,
            cuts: self.cuts + self.cuts * slack.cuts / 1000,
        }
    }
    /// The price of cuts and pieces for the slice after this one.
    fn price(self, tally: Tally, now: i64, share: u64) -> i64 {
        let next = match self.missed(tally) {
            (true, false) => now * BOARDS_MISSED / 1000,
            (true, true) if share >= LATE => now * LATE_MISSED / 1000,
            (false, true) => now * CUTS_MISSED / 1000,
            (false, false) => (3 * now + PRICE) / 4,
            (true, true) => now * BOTH_MISSED / 1000,
        };
        next.clamp(PRICES[0], PRICES[1])
    }
    /// How changes are judged in the slice that begins at a share of them.
    fn style(self, stock: &Stock, share: u64) -> Style {
        let gathers = self.boards >= MANY_BOARDS as i64 || stock.lone().slopes;
        let (boards_missed, _) = self.missed(stock.tally());
        match share {
            ..GATHERING => GATHER,
            _ if boards_missed && !gathers => USE_UP,
            _ => JUDGE,
        }
    }
    /// Whether there are more boards and more cuts than aimed at.
    fn missed(self, tally: Tally) -> (bool, bool) {
        let (boards, cuts) = (i64::from(tally.boards), i64::from(tally.cuts));
        (boards > self.boards, cuts > self.cuts)
    }
}

/// Whether the courses of a product lie whole between storeys: a course is ripped only at the top, if anywhere.
fn aligned(plan: &Plan, product: usize, sizes: &Sizes) -> bool {
    let whole = |lines: &[i32]| {
        let inner = lines.len().saturating_sub(1);
        lines[..inner]
            .windows(2)
            .all(|w| w[1] - w[0] == sizes.height)
    };
    let mut lanes = plan.lanes.iter().filter(|l| l.product == product);
    lanes.all(|l| whole(&l.lines))
}

/// What a search is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// A layout to build from: boards near the bound, and no more cuts than that takes.
    Build,
    /// Few boards, whatever it takes: what a rule costs must not be hidden by boards that are near enough.
    CountBoards,
}

/// So many boards are near enough to the bounds, whatever the course lines: 1.5 % and one board over the bound that rounds
/// high strips up, on whole courses, if courses could lie whole; 4 % over the area where they could not.
///
/// Where the bound fills packs but for a board or two, it is as many as those packs hold: one board more would buy a pack.
fn enough(job: &Job, sizes: &[Sizes], plans: &[Plan], purpose: Purpose) -> Vec<i64> {
    let of = |(product, (sizes, stock)): (usize, (&Sizes, &BoardStock))| {
        if purpose == Purpose::CountBoards {
            return 0;
        }
        let area = i64::from(bound::bounds(&plans[0], product, sizes).area);
        let mut plans = plans.iter();
        let aligned = plans.find(|plan| area > SMALL && aligned(plan, product, sizes));
        let (bound, near) = if let Some(plan) = aligned {
            let eff = i64::from(bound::bounds(plan, product, sizes).eff);
            (eff, (eff * 1015 + 999) / 1000 + 1)
        } else {
            (area, (area * 104 / 100).max(area + i64::from(area >= FEW)))
        };
        let pack = i64::from(stock.boards_per_pack.max(1));
        let packed = filled(stock, near);
        if pack > 2 && 2 * (near - bound) <= pack && packed >= bound {
            packed
        } else {
            near
        }
    };
    let products = sizes.iter().zip(&job.boards);
    products.enumerate().map(of).collect()
}

/// The most boards, but no more than `near`, that leave nothing over in their packs.
fn filled(stock: &BoardStock, near: i64) -> i64 {
    let packs = stock.packs_for(u32::try_from(near).unwrap_or(u32::MAX));
    let held = |packs: u32| i64::from(stock.boards_of(packs));
    if held(packs) <= near {
        held(packs)
    } else {
        held(packs.saturating_sub(1))
    }
}

/// Sets out a job that has no faults; nothing where the search was halted.
pub fn solve(job: &Job, purpose: Purpose, halt: Halt<'_>) -> Option<Layout> {
    let view = View::of(job);
    let plans = plans(&view.job);
    let (search, stopped) = best_of(&view.job, &plans, purpose, halt)?;
    Some(view.finish(job, &search, stopped))
}

/// The best layout found on choices of course lines, and why the search for it ended.
fn best_of<'a>(
    job: &'a Job,
    plans: &'a [Plan],
    purpose: Purpose,
    halt: Halt<'_>,
) -> Option<(Search<'a>, Stopped)> {
    let sizes = sizes(job);
    let boards: u64 = sizes
        .iter()
        .enumerate()
        .map(|(product, sizes)| u64::from(bound::bounds(&plans[0], product, sizes).area))
        .sum();
    let counts = boards.min(MANY_BOARDS) + boards.saturating_sub(MANY_BOARDS) * 2 / 3;
    let until = job.budget.steps.saturating_mul(counts.max(LEAST_BOARDS));
    let pencil = pencil(job, &plans[0]);
    let cuts = pencil.stocks.iter().map(|s| i64::from(s.tally().cuts));
    let boards = enough(job, &sizes, plans, purpose).into_iter();
    let aims: Vec<Aim> = boards
        .zip(cuts)
        .map(|(boards, cuts)| Aim { boards, cuts })
        .collect();
    let mut search = best_start(job, plans, until, &aims, halt)?;
    let begun = search.steps;
    let slice = until.saturating_sub(begun) / SLICES;
    let rank = |search: &Search| (search.broken(), cost(&aims, search, Stage::Layout));
    let mut best = (rank(&search), search.clone());
    let mut stopped = Stopped::BudgetSpent;
    if slice > 0 {
        search.turn_corners();
    }
    let mut prices = alloc::vec![PRICE; aims.len()];
    let mut weighed: Vec<Style> = Vec::new();
    for number in 0..SLICES {
        let share = number * 1000 / SLICES;
        let left = 1000 - share as i64;
        let heat = HEAT * left / 1000 * left / 1000;
        let heats: Vec<i64> = prices
            .iter()
            .map(|price| heat * price.max(&PRICE) / PRICE)
            .collect();
        let products = search.stocks.iter().zip(&aims).zip(&prices);
        let styles: Vec<Style> = products
            .map(|((stock, aim), price)| aim.style(stock, share).with_cuts_at(*price))
            .collect();
        if weighed != styles {
            search.weigh_each(&styles);
            weighed = styles;
        }
        if HEARTS.contains(&number) {
            search.take_heart();
            search.turn_corners();
        }
        stopped = search.improve(begun + slice * (number + 1), &heats, ANEW, halt);
        if halt.is_asked() {
            return None;
        }
        for ((price, stock), aim) in prices.iter_mut().zip(&search.stocks).zip(&aims) {
            *price = aim.price(stock.tally(), *price, share);
        }
        if share >= GATHERING && rank(&search) < best.0 {
            best = (rank(&search), search.clone());
        }
    }
    repack(&mut search, job);
    if best.0 < rank(&search) {
        let steps = search.steps;
        search = best.1;
        search.steps = steps;
    }
    search.join_neighbours();
    Some((search, stopped))
}

/// The choices of course lines, each once.
fn plans(job: &Job) -> Vec<Plan> {
    let mut plans: Vec<Plan> = Vec::new();
    for outlook in LINES {
        let next = plan(job, outlook);
        let same = |other: &Plan| {
            let mut lanes = other.lanes.iter().zip(&next.lanes);
            lanes.all(|(a, b)| a.lines == b.lines)
        };
        if !plans.iter().any(same) {
            plans.push(next);
        }
    }
    plans
}

/// The best of several first layouts. The first is always completed, whatever it takes of the budget; nothing where it was halted.
fn best_start<'a>(
    job: &'a Job,
    plans: &'a [Plan],
    until: u64,
    aims: &[Aim],
    halt: Halt<'_>,
) -> Option<Search<'a>> {
    let slack: Vec<Aim> = aims.iter().map(|aim| aim.with(SLACK)).collect();
    let few: i64 = aims.iter().map(|aim| aim.boards).sum();
    let begin = |lines: usize, style: Style, pains: Pains, steps: u64| {
        let mut search = Search::new(job, &plans[lines], style);
        search.steps = steps;
        if !search.first(pains, halt) {
            return None;
        }
        search.weigh_by(AMONG_STARTS);
        repack(&mut search, job);
        let broken: i64 = search.stocks.first().map_or(0, |stock| {
            let one = stock.sizes.board_area() * AMONG_STARTS.breach / 1000;
            search.broken() / one.max(1)
        });
        let cost = cost(&slack, &search, Stage::Start) + 10 * BREACH * broken;
        Some((cost, search, broken))
    };
    let mut best = begin(0, QUIET, Pains::Few, 0)?;
    let mut steps = best.1.steps;
    let broken = best.2;
    let mut attempt = |lines: usize, style: Style, pains: Pains| {
        if steps > until / 1000 * STARTING {
            return false;
        }
        let Some(next) = begin(lines, style, pains, steps) else {
            return false;
        };
        steps = next.1.steps;
        let better = next.0 < best.0;
        if better {
            best = next;
        }
        better
    };
    let sparing = attempt(0, SPARING, Pains::Few);
    if broken > FEW_BROKEN + few * MANY_BROKEN / 1000 {
        attempt(0, if sparing { SPARING } else { QUIET }, Pains::All);
    }
    let mut lines = 0;
    for other in 1..plans.len() {
        if attempt(other, QUIET, Pains::Few) {
            lines = other;
        }
    }
    if lines > 0 {
        attempt(lines, SPARING, Pains::Few);
    }
    if plans.len() > 2 {
        attempt(2, SPARING, Pains::Few);
    }
    if has_across(job, &plans[0]) {
        attempt(0, ACROSS, Pains::Few);
    }
    let mut search = best.1;
    search.weigh_by(JUDGE);
    search.steps = steps;
    Some(search)
}

/// Whether there is a low course that takes fewer boards in pieces cut across them.
fn has_across(job: &Job, plan: &Plan) -> bool {
    let sizes = sizes(job);
    let mut courses = plan.courses.iter();
    courses.any(|c| sizes[c.product].across(c.lines.hi - c.lines.lo).is_some())
}

fn repack(search: &mut Search, job: &Job) {
    (0..job.boards.len()).for_each(|product| search.repack(product));
}

/// What each rule costs: the boards that a search for few boards saves without it. Nothing where a search was halted.
pub fn rule_costs(job: &Job, halt: Halt<'_>) -> Option<Vec<crate::RuleCost>> {
    use crate::{Rule, Rules};
    use quantity::Mm;
    let boards = |layout: &Layout| layout.products.iter().map(|p| p.boards).sum::<u32>();
    let with = boards(&solve(job, Purpose::CountBoards, halt)?);
    let zero = Mm(0);
    let lifted = |rule: Rule| -> Option<Rules> {
        let mut rules = job.rules.clone();
        match rule {
            Rule::Stagger => rules.stagger = zero,
            Rule::MinPieceWidth => rules.min_piece_width = Mm(1),
            Rule::MinPieceHeight => rules.min_piece_height = Mm(1),
            Rule::CornerPiece => rules.corner_pieces = CornerPieces::AtLeast(zero),
            Rule::OpeningKeepOut => rules.opening_keep_out = zero,
            Rule::CourseLineClear => rules.course_line_clear = zero,
            Rule::CrackOverlap => rules.crack_overlap = zero,
            Rule::CornerCourses => return None,
        }
        Some(rules)
    };
    [
        Rule::Stagger,
        Rule::MinPieceWidth,
        Rule::MinPieceHeight,
        Rule::CornerPiece,
        Rule::OpeningKeepOut,
        Rule::CourseLineClear,
        Rule::CrackOverlap,
    ]
    .into_iter()
    .filter_map(|rule| {
        let lifted = Job {
            rules: lifted(rule)?,
            ..job.clone()
        };
        let without = solve(&lifted, Purpose::CountBoards, halt);
        Some(without.map(|without| crate::RuleCost {
            rule,
            boards: with.saturating_sub(boards(&without)),
        }))
    })
    .collect()
}
