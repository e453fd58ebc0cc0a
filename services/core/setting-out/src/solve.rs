//! From a job to a layout: several quick starts, the best of them improved until the steps are spent.

use alloc::vec::Vec;

use crate::layout::Layout;
use crate::lines::Outlook;
use crate::plan::{Plan, plan};
use crate::search::{Search, sizes};
use crate::stock::{Habit, Style};
use crate::{CornerPieces, Job, bound, finish};

/// A building of fewer boards gets the steps of one with so many.
const LEAST_BOARDS: u64 = 400;
/// Ways to begin at toothed corners, tried wall by wall.
const HABITS: [Habit; 4] = [
    Habit::WholeRuns,
    Habit::HalfRuns,
    Habit::WholeRunsLeft,
    Habit::WholeRunsRight,
];
/// Starts are made until this share of the steps is spent, in thousandths.
const STARTING: u64 = 450;
/// Shares of what is left, in thousandths, until which leftovers are gathered and then used up.
const GATHERING: u64 = 600;
const USING: u64 = 850;

/// Among starts a breach weighs as much as so many thousandths of a board: most can be mended later.
const STARTING_BREACH: i64 = 2000;

/// Breaches weigh more than any saving of boards.
const NEVER: i64 = 200_000;

/// Ways to lay the first courses. Each suits other buildings: the weights differ in what a low leftover is worth, and
/// with it in whether openings are spanned by notched boards or by strips.
const SPARING: Style = Style {
    full: [700, 1000],
    low: [100, 420],
    cap: 12,
    cut: 10,
    piece: 90,
    wish: 600,
    breach: NEVER,
    habit: Habit::Free,
};
const PLAIN: Style = Style {
    low: [300, 700],
    cap: 40,
    cut: 20,
    piece: 100,
    wish: 0,
    ..SPARING
};
const QUIET: Style = Style {
    cut: 20,
    piece: 150,
    ..SPARING
};
const MIDDLING: Style = Style {
    low: [200, 500],
    cap: 15,
    cut: 20,
    piece: 100,
    wish: 300,
    ..SPARING
};
const ROOMY: Style = Style {
    full: [600, 1000],
    low: [300, 700],
    cap: 20,
    piece: 100,
    wish: 300,
    ..SPARING
};
const CLOSE: Style = Style {
    low: [100, 500],
    cap: 10,
    piece: 60,
    ..SPARING
};

/// The starts, in order: which course lines, how to lay, and what to draw variants from.
const STARTS: [(usize, Style, u64); 11] = [
    (0, SPARING, 0),
    (1, SPARING, 0),
    (0, QUIET, 0),
    (1, QUIET, 0),
    (2, SPARING, 0),
    (0, PLAIN, 0),
    (0, SPARING, 1),
    (1, SPARING, 1),
    (0, CLOSE, 0),
    (1, ROOMY, 0),
    (0, MIDDLING, 0),
];

/// What a finished layout is judged by: boards, then cuts and pieces, and what leftovers could still be good for.
const JUDGE: Style = Style {
    full: [300, 1000],
    low: [50, 300],
    cap: 10,
    cut: 15,
    piece: 40,
    wish: 300,
    breach: NEVER,
    habit: Habit::Free,
};
/// While there are many steps left, leftovers are gathered and a breach may stand for a while.
const GATHER: Style = Style {
    full: [700, 1000],
    low: [100, 420],
    cap: 12,
    cut: 15,
    piece: 40,
    wish: 300,
    breach: 1000,
    habit: Habit::Free,
};

/// At the end leftovers are worth nothing any more, so that cuts and pieces are spared at their expense.
const TRIM: Style = Style {
    full: [0, 100],
    low: [0, 50],
    cut: 20,
    piece: 40,
    ..JUDGE
};

/// Sets out a job that has no faults.
pub fn solve(job: &Job) -> Layout {
    let plans = [Outlook::Even, Outlook::Hopeful, Outlook::Wary].map(|o| plan(job, o));
    let boards: u64 = sizes(job)
        .iter()
        .enumerate()
        .map(|(product, sizes)| u64::from(bound::bounds(&plans[0], product, sizes).area))
        .sum();
    let until = job.budget.steps.saturating_mul(boards.max(LEAST_BOARDS));
    let mut start = best_start(job, &plans, until);
    let mut search = start.clone();
    let left = until.saturating_sub(search.steps);
    let begun = search.steps;
    search.weigh_by(GATHER);
    search.improve(begun + left / 1000 * GATHERING, [20, 5]);
    search.weigh_by(JUDGE);
    search.improve(begun + left / 1000 * USING, [5, 0]);
    search.weigh_by(TRIM);
    let stopped = search.improve(until, [0, 0]);
    repack(&mut search, job);
    start.weigh_by(TRIM);
    let steps = search.steps;
    if start.total() < search.total() {
        search = start;
        search.steps = steps;
    }
    finish::finish(&search, stopped)
}

/// The best of several first layouts. The first is always completed, whatever it takes.
fn best_start<'a>(job: &'a Job, plans: &'a [Plan; 3], until: u64) -> Search<'a> {
    let begin = |&(lines, style, seed): &(usize, Style, u64), habits: &[Habit], steps: u64| {
        let mut search = Search::new(job, &plans[lines], style);
        search.steps = steps;
        search.first(seed, habits);
        search.weigh_by(Style {
            breach: STARTING_BREACH,
            ..JUDGE
        });
        repack(&mut search, job);
        search
    };
    let mut best = begin(&STARTS[0], &[], 0);
    let mut steps = best.steps;
    let mut habits: Vec<Habit> = alloc::vec![Habit::Free; job.walls.len()];
    if job.rules.corner_pieces == CornerPieces::WholeOrHalf && !job.corners.is_empty() {
        let mut least = best.wall_penalties();
        for habit in HABITS {
            if steps > until / 1000 * STARTING {
                break;
            }
            let next = begin(&STARTS[0], &alloc::vec![habit; job.walls.len()], steps);
            steps = next.steps;
            for (wall, penalty) in next.wall_penalties().into_iter().enumerate() {
                if penalty < least[wall] {
                    (least[wall], habits[wall]) = (penalty, habit);
                }
            }
            if next.total() < best.total() {
                best = next;
            }
        }
    }
    let settled = habits.iter().all(|h| *h == Habit::Free);
    for start in STARTS.iter().skip(usize::from(settled)) {
        if steps > until / 1000 * STARTING {
            break;
        }
        let next = begin(start, &habits, steps);
        steps = next.steps;
        if next.total() < best.total() {
            best = next;
        }
    }
    best.weigh_by(JUDGE);
    best.steps = steps;
    best
}

fn repack(search: &mut Search, job: &Job) {
    (0..job.boards.len()).for_each(|product| search.repack(product));
}

/// What each rule costs: the boards that the same search saves without it.
pub fn rule_costs(job: &Job, layout: &Layout) -> Vec<crate::RuleCost> {
    use crate::{Rule, Rules};
    use quantity::Mm;
    let boards = |layout: &Layout| layout.products.iter().map(|p| p.boards).sum::<u32>();
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
        let without = solve(&Job {
            rules: lifted(rule)?,
            ..job.clone()
        });
        Some(crate::RuleCost {
            rule,
            boards: boards(layout).saturating_sub(boards(&without)),
        })
    })
    .collect()
}
