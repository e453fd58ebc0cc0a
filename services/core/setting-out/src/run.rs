//! Where the joints of one run go: the cheapest way from one end to the other that obeys the rules.

use alloc::vec::Vec;

use crate::geometry::{Rect, Run, Segment, bounds, notches};
use crate::layout::Rule;
use crate::plan::Course;
use crate::prices::Prices;
use crate::stock::Sizes;
use crate::twins::{Hand, Slant};
use crate::{CornerPieces, Rules};

/// A run to be parted into pieces, and what it must agree with.
pub struct Task<'a> {
    pub course: &'a Course,
    pub run: &'a Run,
    /// The stretch of the run that is to be parted; the joints at its ends stand.
    pub from: i32,
    pub to: i32,
    pub rules: &'a Rules,
    pub sizes: &'a Sizes,
    /// Joints below and above that touch the course, sorted.
    pub below: &'a [i32],
    pub above: &'a [i32],
    /// The width wanted of a piece at a toothed corner, left and right.
    pub corner: [Option<i32>; 2],
    /// Draws variants between equals; 0 draws none.
    pub shake: u64,
    /// Variants differ by at most this part of a board for each piece.
    pub noise: i64,
}

impl<'a> Task<'a> {
    /// A whole run to be judged as it is laid, with no neighbours.
    pub fn judge(course: &'a Course, run: &'a Run, rules: &'a Rules, sizes: &'a Sizes) -> Self {
        Self {
            course,
            run,
            from: run.x0,
            to: run.x1,
            rules,
            sizes,
            below: &[],
            above: &[],
            corner: [None; 2],
            shake: 0,
            noise: NOISE,
        }
    }
}

/// How strictly the rules are taken while joints are sought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Strictness {
    /// A place or a piece that breaks a rule is not considered.
    Obey,
    /// It is considered at a price far above any board.
    LeastBad,
}

/// A mark inside a run is carried on by whole boards so many times to either side.
const CARRIED: i32 = 1;
/// The finer grid, in parts of a board, tried when the usual places do not suffice.
const FINE: i32 = 40;
/// Variants differ by at most this part of a board for each piece; by this one where a breach is to be mended, and what it
/// takes matters less.
const NOISE: i64 = 200;
const LOUD: i64 = 12;
const NONE: i64 = i64::MAX / 4;

/// The half board: two from one, with a cut between.
pub fn half(sizes: &Sizes) -> i32 {
    (sizes.length - sizes.kerf) / 2
}

/// The distance of `x` to the nearest of sorted places.
pub fn nearest(places: &[i32], x: i32) -> Option<i32> {
    let index = places.partition_point(|p| *p < x);
    let right = places.get(index).map(|p| p - x);
    let left = index
        .checked_sub(1)
        .and_then(|i| places.get(i))
        .map(|p| x - p);
    match (left, right) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// How much trouble to take over a stretch for which the usual places do not suffice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pains {
    /// Take the least bad of the usual places; it can be mended later.
    Few,
    /// Look for places on a finer grid.
    All,
    /// The same, and take dearer ways too.
    Mend,
}

impl Pains {
    /// By which part of a board variants may differ.
    pub fn noise(self) -> i64 {
        if self == Self::Mend { LOUD } else { NOISE }
    }
}

/// The joints of a run.
pub fn part(task: &Task, prices: &mut Prices<'_>, pains: Pains, steps: &mut u64) -> Vec<i32> {
    let mut places = positions(task, prices);
    if let Some(joints) = search(task, prices, &places, Strictness::Obey, steps) {
        return joints;
    }
    if pains != Pains::Few {
        let stride = (task.sizes.length / FINE).max(1);
        places.extend((task.from..task.to).step_by(stride as usize).skip(1));
        places.sort_unstable();
        places.dedup();
        if let Some(joints) = search(task, prices, &places, Strictness::Obey, steps) {
            return joints;
        }
    }
    search(task, prices, &places, Strictness::LeastBad, steps).unwrap_or_default()
}

/// Places where a joint could be worth while, from end to end of the stretch: whole boards from either end, beginning
/// with a half board or a leftover, and whole boards from the edges of what must be kept clear.
fn positions(task: &Task, prices: &Prices<'_>) -> Vec<i32> {
    let (x0, x1, length) = (task.from, task.to, task.sizes.length);
    let mut places = alloc::vec![x0, x1];
    let count = (x1 - x0) / length + 1;
    let mut from_left =
        |start: i32, times: i32| places.extend((0..=times).map(|i| start + i * length));
    let half = half(task.sizes);
    from_left(x0, count);
    from_left(x0 + half, count);
    let starts = start_widths(task, prices);
    for width in &starts {
        from_left(x0 + width, count);
        if task.course.corner_ends[0] == Some(x0) {
            from_left(x0 + half + width, count);
        }
    }
    let mut from_right = |start: i32| places.extend((0..=count).map(|i| start - i * length));
    from_right(x1);
    from_right(x1 - half);
    for width in &starts {
        from_right(x1 - width);
        if task.course.corner_ends[1] == Some(x1) {
            from_right(x1 - half - width);
        }
    }
    let height = task.course.lines.hi - task.course.lines.lo;
    if task.sizes.across(height).is_some() {
        let across = task.sizes.height;
        let count = (x1 - x0) / across + 1;
        places.extend((0..=count).flat_map(|i| [x0 + i * across, x1 - i * across]));
    }
    let mut near = |mark: i32| places.extend((-CARRIED..=CARRIED).map(|i| mark + i * length));
    for avoid in task
        .course
        .avoid
        .iter()
        .filter(|a| a.to > x0 && a.from < x1)
    {
        near(avoid.from);
        near(avoid.to);
    }
    let stagger = task.rules.stagger.0;
    let reach = |joint: &i32| *joint > x0 - stagger && *joint < x1 + stagger;
    for &joint in task.below.iter().chain(task.above).filter(|j| reach(j)) {
        near(joint - stagger);
        near(joint + stagger);
    }
    for wish in task.course.wishes.iter().filter(|w| x0 < w.x && w.x < x1) {
        near(wish.x - stagger);
        near(wish.x + stagger);
    }
    beside_openings(task, prices, &mut places);
    at_slopes(task, prices, &mut places);
    let mut near = |mark: i32| places.extend((-CARRIED..=CARRIED).map(|i| mark + i * length));
    let least = task.course.least_widths(task.run, task.rules);
    near(x0 + least[0]);
    near(x1 - least[1]);
    if task.shake != 0 {
        near(x0 + (task.shake % length.max(1) as u64) as i32);
        near(x1 - (task.shake / 7 % length.max(1) as u64) as i32);
    }
    places.retain(|x| x0 <= *x && *x <= x1);
    places.sort_unstable();
    places.dedup();
    places
}

/// Joints near sloping ends, so that pieces of one slope find their like.
fn at_slopes(task: &Task, prices: &Prices<'_>, places: &mut Vec<i32>) {
    let lines = task.course.lines;
    let height = lines.hi - lines.lo;
    let ends = [task.run.columns.first(), task.run.columns.last()];
    for column in ends.into_iter().flatten() {
        let around = Rect {
            x0: column.x0,
            x1: column.x1,
            y0: lines.lo,
            y1: lines.hi,
        };
        let Some(slant) = Slant::of(around, &column.segments) else {
            continue;
        };
        let draw = (task.shake / 13) as usize;
        for width in prices.twin_widths(slant, height, draw).take(SLOPES) {
            places.push(match slant.hand {
                Hand::Left => column.x0 + width,
                Hand::Right => column.x1 - width,
            });
        }
    }
}

/// So many widths are tried at a sloping end.
const SLOPES: usize = 4;

/// Joints in strips over and under openings, so that leftovers of fitting length fill them from either side.
fn beside_openings(task: &Task, prices: &Prices<'_>, places: &mut Vec<i32>) {
    let (height, clear) = (
        task.course.lines.hi - task.course.lines.lo,
        task.rules.opening_keep_out.0,
    );
    for column in task
        .run
        .columns
        .iter()
        .filter(|c| c.x1 > task.from && c.x0 < task.to)
    {
        let [segment] = column.segments.as_slice() else {
            continue;
        };
        let strip = segment.hi[0] - segment.lo[0];
        if strip >= height || column.x1 - column.x0 < 3 * clear {
            continue;
        }
        let (left, right) = (column.x0 + clear, column.x1 - clear);
        places.extend([
            i32::midpoint(left, right),
            left + (right - left) / 3,
            right - (right - left) / 3,
        ]);
        let mut lengths: Vec<i32> = prices.strips(strip, right - left).collect();
        lengths.sort_unstable();
        lengths.dedup();
        let stride = lengths.len().div_ceil(STRIPS).max(1);
        let first = (task.shake / 11) as usize % stride;
        for length in lengths.into_iter().rev().skip(first).step_by(stride) {
            places.extend([left + length, right - length]);
        }
    }
}

/// So many leftovers are tried for each strip beside an opening.
const STRIPS: usize = 3;

/// Widths of leftovers with which a run could begin or end: a few, evenly drawn from all.
fn start_widths(task: &Task, prices: &Prices<'_>) -> Vec<i32> {
    let height = task.course.lines.hi - task.course.lines.lo;
    let mut widths: Vec<i32> = prices
        .widths(height)
        .filter(|w| *w >= task.rules.min_piece_width.0)
        .collect();
    widths.sort_unstable();
    widths.dedup();
    let stride = widths.len().div_ceil(STARTS).max(1);
    let first = (task.shake as usize) % stride;
    widths.into_iter().skip(first).step_by(stride).collect()
}

/// So many leftovers are tried at either end of a run.
const STARTS: usize = 3;

fn search(
    task: &Task,
    prices: &mut Prices<'_>,
    places: &[i32],
    strictness: Strictness,
    steps: &mut u64,
) -> Option<Vec<i32>> {
    let penalties: Vec<i64> = places.iter().map(|x| joint_penalty(task, *x)).collect();
    let last = places.len().checked_sub(1)?;
    let kept: Vec<usize> = (0..=last)
        .filter(|&i| i == 0 || i == last || strictness == Strictness::LeastBad || penalties[i] == 0)
        .collect();
    let columns: Vec<usize> = kept
        .iter()
        .map(|&i| task.run.column_after(places[i]))
        .collect();
    let touching: Vec<[bool; 2]> = kept
        .iter()
        .map(|&i| touches_lines(task, places[i]))
        .collect();
    let joint = |i: usize| (places[kept[i]], touching[i]);
    let alone: Vec<i64> = (0..kept.len())
        .map(|i| shut_out(task, joint(i), joint(i)))
        .collect();
    let mut best: Vec<(i64, usize)> = alloc::vec![(NONE, 0); kept.len()];
    best[0] = (0, 0);
    let mut first = 0;
    for to in 1..kept.len() {
        let x = places[kept[to]];
        let own = if kept[to] == last {
            0
        } else {
            penalties[kept[to]] + joint_cost(task, x)
        };
        let noise = noise(task, x);
        while first < to && x - places[kept[first]] > task.sizes.length {
            first += 1;
        }
        for from in first..to {
            let start = places[kept[from]];
            if best[from].0 >= NONE || best[from].0 + own > best[to].0 {
                continue;
            }
            *steps += 1;
            let penalty = piece_penalty(task, start, x);
            if penalty > 0 && strictness == Strictness::Obey {
                continue;
            }
            let piece = piece_cost(task, prices, columns[from], (start, x));
            let least = best[from].0 + own + penalty + corner_cost(task, start, x) + noise + piece;
            if least > best[to].0 {
                continue;
            }
            let before = places[kept[best[from].1]];
            let cramped = from > 0
                && touching[from] != [false; 2]
                && blocks(task, (before, start, x), best[from].1 == 0);
            let shut = if x - start < 2 * task.rules.stagger.0 {
                shut_out(task, joint(from), joint(to))
            } else {
                alone[to]
            };
            let blocked = i64::from(cramped) * task.sizes.board_area() / 2 + shut;
            let at_corner =
                task.course.corner_ends[0] == Some(before) || task.course.corner_ends[1] == Some(x);
            let crowd = if at_corner && from > 0 && crowded(task.sizes, [before, start, x]) {
                task.sizes.board_area() / 4
            } else {
                0
            };
            let cost = least + blocked + crowd;
            if cost <= best[to].0 {
                best[to] = (cost, from);
            }
        }
    }
    let end = kept.len() - 1;
    if best[end].0 >= NONE {
        return None;
    }
    let mut joints = Vec::new();
    let mut at = end;
    while at > 0 {
        at = best[at].1;
        if at > 0 {
            joints.push(places[kept[at]]);
        }
    }
    joints.reverse();
    Some(joints)
}

/// Whether two neighbouring pieces, with joints or ends at these places, are both narrow: they hold few anchors, and a row
/// of them looks like what was left over.
pub fn crowded(sizes: &Sizes, [from, joint, to]: [i32; 3]) -> bool {
    joint > from && to - from < sizes.length / 2
}

/// Whether two neighbouring pieces are so narrow that a course on them would find no place for a joint within a board's
/// length: between joints nearer than twice the stagger there is none.
fn blocks(task: &Task, (before, joint, after): (i32, i32, i32), at_end: bool) -> bool {
    let stagger = task.rules.stagger.0;
    let narrow = joint - before < 2 * stagger && after - joint < 2 * stagger;
    let reach = if at_end { stagger } else { 2 * stagger };
    narrow && after - before > task.sizes.length - reach
}

/// What it weighs that the course below or above would find no lawful place for a joint within a board's length, because
/// of a joint and one before it that is nearer than twice the stagger, or is itself. Both come with whether they reach the
/// lower and the upper line.
fn shut_out(task: &Task, before: (i32, [bool; 2]), joint: (i32, [bool; 2])) -> i64 {
    let inside = |x: i32| task.run.x0 < x && x < task.run.x1;
    if !inside(joint.0) {
        return 0;
    }
    let sides = task.course.beyond.iter().enumerate();
    let shut = sides.filter(|&(side, beyond)| {
        let both = inside(before.0) && before.1[side];
        let from = if both { before.0 } else { joint.0 };
        let bridge = beyond.bridge(from, joint.0, task.rules.stagger.0);
        joint.1[side] && bridge.is_some_and(|length| length > task.sizes.length)
    });
    shut.count() as i64 * breach(task.sizes) * SHUT_OUT / 1000
}

/// Joints that leave a course beside them no lawful place weigh so many thousandths of the breach that will follow.
const SHUT_OUT: i64 = 500;

/// Whether a joint at `x` reaches the lower and the upper course line where other boards lie on them.
fn touches_lines(task: &Task, x: i32) -> [bool; 2] {
    let Some(column) = task.run.columns.get(task.run.column_after(x)) else {
        return [false; 2];
    };
    let (course, levels) = (task.course, task.course.levels(x));
    let down = !course.below.is_empty() && column.segments.iter().any(|s| s.lo[0] == levels[0]);
    let up = !course.above.is_empty() && column.segments.iter().any(|s| s.hi[0] == levels[1]);
    [down, up]
}

/// A breach weighs more than any saving of boards.
pub fn breach(sizes: &Sizes) -> i64 {
    sizes.board_area() * sizes.style.breach / 1000
}

/// What a value that falls short of a rule weighs.
fn weigh(sizes: &Sizes, found: i32, required: i32) -> i64 {
    if found == required {
        return 0;
    }
    breach(sizes)
        + breach(sizes) * i64::from((required - found).abs()) / (4 * i64::from(required.max(1)))
}

/// What the joint costs in itself, so that fewer and shorter joints win between equals.
fn joint_cost(task: &Task, x: i32) -> i64 {
    let stagger = task.rules.stagger.0;
    let wishes = &task.course.wishes;
    let first = wishes.partition_point(|w| w.x <= x - stagger);
    let pushed: i64 = wishes[first..]
        .iter()
        .take_while(|w| w.x < x + stagger)
        .map(|w| w.cost(x, stagger))
        .sum();
    task.sizes.joint_cost() + pushed * task.sizes.style.wish / 1000
}

/// What breaches of a joint at `x` weigh.
pub fn joint_penalty(task: &Task, x: i32) -> i64 {
    let sides = [(0, task.below), (1, task.above)];
    let near = sides.map(|(side, joints)| task.course.nearest_beside(side, joints, x));
    joint_weight(task, x, near)
}

/// What breaches of a joint at `x` weigh, with the distances to the nearest joints below and above.
pub fn joint_weight(task: &Task, x: i32, [below, above]: [Option<i32>; 2]) -> i64 {
    let mut penalty = 0;
    for (avoid, distance) in task.course.avoided(x) {
        penalty += weigh(task.sizes, distance, avoid.reach);
    }
    let stagger = task.rules.stagger.0;
    let short = |distance: &i32| *distance < stagger;
    let (below, above) = (below.filter(short), above.filter(short));
    if below.is_some() || above.is_some() {
        let touches = task.course.touches(task.run, x);
        for (distance, touches) in [below, above].into_iter().zip(touches) {
            if let Some(distance) = distance.filter(|_| touches) {
                penalty += weigh(task.sizes, distance, stagger);
            }
        }
    }
    penalty
}

/// A rule that a piece breaks, with what there is and what is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Short {
    pub rule: Rule,
    pub found: i32,
    pub required: i32,
    /// The other length that the rule allows.
    pub or: Option<i32>,
}

/// The rules that a piece from `x0` to `x1` breaks by its width.
pub fn width_breaches(task: &Task, x0: i32, x1: i32) -> impl Iterator<Item = Short> {
    let width = x1 - x0;
    let short = |rule: Rule, found: i32, required: i32| Short {
        rule,
        found,
        required,
        or: None,
    };
    let required = task.rules.min_piece_width.0;
    let narrow = (width < required).then(|| short(Rule::MinPieceWidth, width, required));
    let at_corner = [
        task.course.corner_ends[0] == Some(x0),
        task.course.corner_ends[1] == Some(x1),
    ];
    let corner = (at_corner != [false; 2]).then(|| match task.rules.corner_pieces {
        CornerPieces::WholeOrHalf => {
            let (half, whole) = (half(task.sizes), task.sizes.length);
            let lengths = if 2 * width > half + whole {
                [whole, half]
            } else {
                [half, whole]
            };
            (!lengths.contains(&width)).then(|| Short {
                or: Some(lengths[1]),
                ..short(Rule::CornerPiece, width, lengths[0])
            })
        }
        CornerPieces::AtLeast(least) => {
            let past = (0..2).filter(|&side| at_corner[side]);
            let past: i32 = past.map(|side| task.course.past(side)).sum();
            let bonded = (width - past).max(0);
            (bonded < least.0).then(|| short(Rule::CornerPiece, bonded, least.0))
        }
    });
    narrow.into_iter().chain(corner.flatten())
}

/// How low a piece is: its lowest part with level edges, or the whole of it where all of it slopes.
pub fn lowest(segments: &[Segment]) -> Option<(i32, i32, i32)> {
    let level = segments.iter().filter(|s| s.is_level());
    let parts = level.map(|s| (s.hi[0] - s.lo[0], s.x0, s.lo[0]));
    parts.min().or_else(|| {
        segments.first()?;
        let around = bounds(segments);
        Some((around.height(), around.x0, around.y0))
    })
}

/// What it weighs that parts of a piece are lower than allowed.
fn low_penalty(task: &Task, x0: i32, x1: i32) -> i64 {
    let required = task.rules.min_piece_height.0;
    if !task.course.has_low {
        return 0;
    }
    let pieces = task.run.pieces(x0, x1);
    let low = pieces
        .iter()
        .filter_map(|p| lowest(p))
        .filter(|p| p.0 < required);
    low.map(|p| weigh(task.sizes, p.0, required)).sum()
}

#[inline]
pub fn piece_penalty(task: &Task, x0: i32, x1: i32) -> i64 {
    let (course, ends) = (task.course, task.course.corner_ends);
    let at_corner = ends[0] == Some(x0) || ends[1] == Some(x1);
    if !at_corner && !course.has_low && x1 - x0 >= task.rules.min_piece_width.0 {
        return 0;
    }
    unlike_others(task, x0, x1)
}

/// The same for a piece that could break a rule: at a corner, in a course with low parts, or narrow.
fn unlike_others(task: &Task, x0: i32, x1: i32) -> i64 {
    let by_width: i64 = width_breaches(task, x0, x1)
        .map(|s| weigh(task.sizes, s.found, s.required).max(1))
        .sum();
    by_width + low_penalty(task, x0, x1)
}

/// What it costs to begin at a toothed corner with another piece than the one wanted.
fn corner_cost(task: &Task, x0: i32, x1: i32) -> i64 {
    let against = [x0, x1].into_iter().enumerate().filter(|&(side, x)| {
        task.course.corner_ends[side] == Some(x)
            && task.corner[side].is_some_and(|width| width != x1 - x0)
    });
    against.count() as i64 * task.sizes.board_area()
}

/// What tells variants apart: a little more or less for a piece that ends at `x`.
fn noise(task: &Task, x: i32) -> i64 {
    if task.shake == 0 {
        return 0;
    }
    let mixed = (task.shake ^ (x as u64)).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40;
    (mixed as i64) * task.sizes.board_area() / ((1 << 24) * task.noise)
}

/// What a piece costs in board area and cuts.
fn piece_cost(task: &Task, prices: &mut Prices<'_>, column: usize, (x0, x1): (i32, i32)) -> i64 {
    let columns = &task.run.columns;
    if let Some(only) = columns.get(column)
        && only.x1 >= x1
        && let [segment] = only.segments.as_slice()
        && segment.is_level()
    {
        return prices.of(x1 - x0, segment.hi[0] - segment.lo[0]);
    }
    if let Some(cost) = stepped_cost(task, prices, column, (x0, x1)) {
        return cost;
    }
    let mut cost = 0;
    for piece in task.run.pieces(x0, x1) {
        let around = bounds(&piece);
        let gaps = notches(&piece);
        let size = (around.width(), around.height());
        let alone = prices.of(size.0, size.1);
        let sloped = piece.iter().any(|s| !s.is_level());
        if sloped {
            let area: i64 = piece.iter().map(Segment::area2).sum::<i64>() / 2;
            let slant = Slant::of(around, &piece);
            let hope = slant.map_or(0, |slant| prices.hope(size, slant));
            let hope = hope.max((around.area() - area) * 3 / 4);
            let alone = alone + task.sizes.cut_cost() - hope;
            let twin = slant.and_then(|slant| prices.twin(size, slant));
            cost += twin.map_or(alone, |twin| twin.min(alone));
        } else {
            cost += alone;
            for gap in &gaps {
                cost -= prices.worth(
                    gap.width() - task.sizes.kerf,
                    gap.height() - task.sizes.kerf,
                );
            }
            cost += 2 * task.sizes.cut_cost() * gaps.len() as i64;
        }
    }
    cost
}

/// The cost of a piece that is one level segment over each column, the common shape beside an opening, worked out
/// without building it.
fn stepped_cost(
    task: &Task,
    prices: &mut Prices<'_>,
    column: usize,
    (x0, x1): (i32, i32),
) -> Option<i64> {
    let columns = task.run.columns.get(column..)?;
    let (mut bottom, mut top) = (i32::MAX, i32::MIN);
    let mut last: Option<(i32, i32)> = None;
    let mut count = 0;
    for own in columns.iter().take_while(|c| c.x0 < x1) {
        let [segment] = own.segments.as_slice() else {
            return None;
        };
        let (lo, hi) = (segment.lo[0], segment.hi[0]);
        let joined = last.is_none_or(|(a, b)| a.max(lo) < b.min(hi));
        if !segment.is_level() || !joined {
            return None;
        }
        (bottom, top) = (bottom.min(lo), top.max(hi));
        last = Some((lo, hi));
        count += 1;
    }
    let (kerf, cut) = (task.sizes.kerf, task.sizes.cut_cost());
    let mut cost = prices.of(x1 - x0, top - bottom);
    // The gaps under and over the columns; neighbours with the same gap are one.
    for side in [Side::Under, Side::Over] {
        let mut open: Option<(i32, i32)> = None;
        for index in 0..=count {
            let depth = columns.get(index).filter(|_| index < count).map_or(0, |c| {
                let s = &c.segments[0];
                match side {
                    Side::Under => s.lo[0] - bottom,
                    Side::Over => top - s.hi[0],
                }
            });
            let here = columns.get(index).map_or(x1, |c| c.x0).clamp(x0, x1);
            match open {
                Some((_, deep)) if deep == depth => {}
                Some((from, deep)) => {
                    cost += 2 * cut - prices.worth(here - from - kerf, deep - kerf);
                    open = (depth > 0).then_some((here, depth));
                }
                None => open = (depth > 0).then_some((here, depth)),
            }
        }
    }
    Some(cost)
}

/// Under or over the solid part of a column.
#[derive(Clone, Copy, Debug)]
enum Side {
    Under,
    Over,
}

/// The joints of a run that reach the boards below, and those that reach the boards above; sorted as they are given.
pub fn touching(course: &Course, run: &Run, joints: &[i32]) -> [Vec<i32>; 2] {
    let mut touching = [Vec::new(), Vec::new()];
    for &x in joints {
        let touches = course.touches(run, x);
        for (list, _) in touching.iter_mut().zip(touches).filter(|t| t.1) {
            list.push(x);
        }
    }
    touching
}
