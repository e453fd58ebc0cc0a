//! Small moves: joints of a run shifted or dropped so that pieces fit leftovers, and boards cut anew. One costs little to weigh, so
//! thousands are tried while one stretch could be laid anew.

use alloc::vec::Vec;

use smallvec::{SmallVec, smallvec};

use crate::forecast::Forecast;
use crate::geometry::{Run, Segments};
use crate::plan::Course;
use crate::run::{Task, crowded, joint_weight, piece_penalty, touching};
use crate::search::{Heat, LaidRun, Mark, Search, blank};
use crate::stock::{Blank, Plain, Turning};

/// A pair of narrow neighbours weighs a board divided by this.
const CROWD: i64 = 12;
/// So many shifts between two pieces are drawn, of which one is tried.
const DRAWS: usize = 3;
/// So many of 64 widths that are wanted fill the room beside a piece on its board, where there is any.
const FILLING: u64 = 32;
/// Of two neighbours that one board would hold, so many of 64 shifts drop the joint between.
const JOINED: u64 = 8;

/// Joints of a run between two joints that stay, and what is to stand in their place.
struct Shift {
    course: usize,
    run: usize,
    from: i32,
    to: i32,
    old: Joints,
    new: Joints,
    /// By how much joints move together that are known to keep clear of the joints beside them where they still stand in the same
    /// column.
    clear: Option<i32>,
}

/// A few joints of a run.
type Joints = SmallVec<[i32; 8]>;

/// Two pieces of a run whose widths change against each other while those between them move; or one piece twice, to be
/// parted.
struct Pair {
    /// The piece that was drawn.
    id: usize,
    course: usize,
    run: usize,
    left: usize,
    right: usize,
    between: [i32; 2],
    widths: [i32; 2],
    /// By how much the joints between may move, or how wide a part may be.
    range: [i32; 2],
    /// Whether joints keep clear of those beside them within it.
    clear: bool,
    /// Whether they are neighbours that one board would hold.
    joinable: bool,
    own: Own,
}

/// Which of the two pieces was drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Own {
    Left,
    Right,
}

impl Search<'_> {
    /// Tries one shift: the best by forecast of a few between the same two pieces. It is kept if it is worse by no more than the
    /// heat. Says whether it is better.
    pub fn shift(&mut self, heat: Heat<'_>) -> bool {
        self.steps += 3;
        let Some(pair) = self.draw_pair() else {
            return false;
        };
        let product = self.plan.courses[pair.course].product;
        let heat = heat.of(product);
        let mut least = heat * self.stocks[product].sizes.board_area() / 1000;
        let mut best = None;
        for _ in 0..DRAWS {
            self.steps += 2;
            let Some(shift) = self.draw_shift(&pair) else {
                continue;
            };
            let Some(breaches) = self.breaches(&shift) else {
                continue;
            };
            self.steps += 20;
            let change = self.change(&shift);
            match self.forecast(product, &change, breaches, least) {
                Some(cost) if cost > least => {}
                cost => {
                    least = cost.unwrap_or(least);
                    best = Some((shift, breaches, change));
                }
            }
        }
        best.is_some_and(|(shift, breaches, change)| self.try_shift(&shift, breaches, change, heat))
    }

    /// Drops every joint between neighbours that one board would hold, where that makes nothing worse.
    pub fn join_neighbours(&mut self) {
        for course in 0..self.laid.len() {
            for run in 0..self.laid[course].runs.len() {
                let mut at = 0;
                while let Some(shift) = self.without_joint(course, run, at) {
                    let product = self.plan.courses[course].product;
                    let before = self.laid[course].runs[run].joints.len();
                    self.steps += 20;
                    if let Some(breaches) = self.breaches(&shift) {
                        let change = self.change(&shift);
                        let cost = self.forecast(product, &change, breaches, 0);
                        if cost.is_none_or(|cost| cost <= 0) {
                            self.try_shift(&shift, breaches, change, 0);
                        }
                    }
                    if self.laid[course].runs[run].joints.len() == before {
                        at += 1;
                    }
                }
            }
        }
    }

    /// The shift that drops a joint of a run, counted from the left; nothing beyond the last.
    fn without_joint(&self, course: usize, run: usize, at: usize) -> Option<Shift> {
        let stretch = &self.plan.courses[course].runs[run];
        let joints = &self.laid[course].runs[run].joints;
        let joint = *joints.get(at)?;
        let before = at.checked_sub(1).and_then(|i| joints.get(i));
        Some(Shift {
            course,
            run,
            from: *before.unwrap_or(&stretch.x0),
            to: *joints.get(at + 1).unwrap_or(&stretch.x1),
            old: smallvec![joint],
            new: Joints::new(),
            clear: None,
        })
    }

    fn drawn_piece(&mut self) -> Option<usize> {
        let mut last = None;
        for _ in 0..4 {
            let id = self.draw() as usize % self.pieces.len().max(1);
            match self.marks.get(id)? {
                Mark::Vacant => {}
                Mark::WholeBoard => last = Some(id),
                Mark::CutPiece => return Some(id),
            }
        }
        last
    }

    fn draw_pair(&mut self) -> Option<Pair> {
        let id = self.drawn_piece()?;
        let course = self.pieces[id].course;
        let x = self.pieces[id].around.x0;
        let plan = self.plan;
        let own = &plan.courses[course];
        let run = own.runs.partition_point(|r| r.x1 <= x);
        let stretch = own.runs.get(run)?;
        let draw = self.draw();
        let length = self.stocks[own.product].sizes.length;
        let joints = &self.laid[course].runs[run].joints;
        let count = joints.len() + 1;
        // The left end, the joints and the right end.
        let stop = |i: usize| match i.checked_sub(1) {
            None => stretch.x0,
            Some(at) => joints.get(at).copied().unwrap_or(stretch.x1),
        };
        let piece = joints.partition_point(|s| *s <= x);
        let width = |i: usize| stop(i + 1) - stop(i);
        let kind = draw % 32;
        let pair = |left: usize, right: usize, range: [i32; 2]| Pair {
            id,
            course,
            run,
            left,
            right,
            between: [stop(left), stop(right + 1)],
            widths: [width(left), width(right)],
            range,
            clear: false,
            joinable: false,
            own: if left == piece { Own::Left } else { Own::Right },
        };
        if kind >= 30 {
            let whole = width(piece);
            return Some(pair(piece, piece, [1, whole - 1]));
        }
        // The pieces whose widths change, one on the left and one on the right; those between move.
        let rightward = |from: usize| (from..count).find(|&i| width(i) < length);
        let leftward = |to: usize| (0..to).rev().find(|&i| width(i) < length);
        let (left, right) = match kind {
            0..=9 => (piece, rightward(piece + 1)?),
            10..=19 => (leftward(piece)?, piece),
            20..=25 => (piece, piece + 1),
            _ => (piece.checked_sub(1)?, piece),
        };
        if right >= count {
            return None;
        }
        let (a, b) = (width(left), width(right));
        let mut range = [(-a).max(b - length), b.min(length - a)];
        let clear = !(draw >> 8).is_multiple_of(8);
        if clear {
            let clear = self.clearance(own, stretch, &joints[left..right]);
            range = [range[0].max(clear[0]), range[1].min(clear[1])];
        }
        let joinable = right == left + 1 && a + b <= length;
        if range[0] > range[1] {
            range = [0, 0];
        }
        let pair = Pair {
            clear,
            joinable,
            ..pair(left, right, range)
        };
        (joinable || range != [0, 0]).then_some(pair)
    }

    /// A shift between two pieces, or a further joint in one.
    fn draw_shift(&mut self, pair: &Pair) -> Option<Shift> {
        let draw = self.draw();
        let rest = draw >> 5;
        let range = pair.range;
        let [from, to] = pair.between;
        let shift = |old: Joints, new: Joints| Shift {
            course: pair.course,
            run: pair.run,
            from,
            to,
            old,
            new,
            clear: None,
        };
        if pair.left == pair.right {
            let part = self.draw_width(pair.id, range, rest)?;
            let x = if draw.is_multiple_of(2) {
                from + part
            } else {
                to - part
            };
            let lies_between = (range[0]..=range[1]).contains(&part);
            return lies_between.then(|| shift(Joints::new(), smallvec![x]));
        }
        let [a, b] = pair.widths;
        if pair.joinable && draw % 64 < JOINED {
            return Some(shift(smallvec![from + a], Joints::new()));
        }
        let by = match draw % 16 {
            0 => range[0],
            1 => range[1],
            2 => b - a,
            3 => range[0] + (rest % (range[1] - range[0] + 1) as u64) as i32,
            _ => {
                let width = self.width_wanted(pair, rest)?;
                match pair.own {
                    Own::Left => width - a,
                    Own::Right => b - width,
                }
            }
        };
        let narrow = self.job.rules.min_piece_width.0;
        let lawful = |old: i32, new: i32| new == 0 || new >= narrow || new >= old;
        if by == 0 || by < range[0] || by > range[1] || !lawful(a, a + by) || !lawful(b, b - by) {
            return None;
        }
        let joints = &self.laid[pair.course].runs[pair.run].joints;
        let old = Joints::from_slice(&joints[pair.left..pair.right]);
        let mut new: Joints = old.iter().map(|x| x + by).collect();
        if a + by == 0 {
            new.remove(0);
        }
        if b == by {
            new.pop();
        }
        Some(Shift {
            clear: pair.clear.then_some(by),
            ..shift(old, new)
        })
    }

    /// By how much joints may move together, to the left and to the right, before one comes too near to a joint beside it
    /// or to what must be kept clear.
    fn clearance(&self, course: &Course, run: &Run, joints: &[i32]) -> [i32; 2] {
        let stagger = self.job.rules.stagger.0;
        let (mut least, mut most) = (i32::MIN / 2, i32::MAX / 2);
        for &x in joints {
            let after = course.avoid.partition_point(|a| a.from < x);
            if let Some(avoid) = course.avoid.get(after) {
                most = most.min(avoid.from - x);
            }
            if let Some(avoid) = after.checked_sub(1).and_then(|i| course.avoid.get(i))
                && avoid.to <= x
            {
                least = least.max(avoid.to - x);
            }
            let Some(column) = run.columns.get(run.column_after(x)) else {
                continue;
            };
            let levels = course.levels(x);
            let (first, last) = (column.segments.first(), column.segments.last());
            let sides = [
                (&course.below, first.is_some_and(|s| s.lo[0] == levels[0])),
                (&course.above, last.is_some_and(|s| s.hi[0] == levels[1])),
            ];
            for (side, (others, touches)) in sides.into_iter().enumerate() {
                for &other in others.iter().filter(|_| touches) {
                    let near = self.joints_of(other, course, side);
                    let at = near.partition_point(|j| *j < x);
                    if let Some(joint) = near.get(at) {
                        most = most.min(joint - stagger - x);
                    }
                    if let Some(joint) = at.checked_sub(1).and_then(|i| near.get(i)) {
                        least = least.max(joint + stagger - x);
                    }
                }
            }
        }
        [least, most]
    }

    /// A width that the drawn piece of a pair could well have: with all that is left beside it on its board, or another.
    fn width_wanted(&mut self, pair: &Pair, draw: u64) -> Option<i32> {
        let [a, b] = pair.widths;
        let (width, limits) = match pair.own {
            Own::Left => (a, pair.range.map(|by| a + by)),
            Own::Right => (b, [b - pair.range[1], b - pair.range[0]]),
        };
        let work = &self.pieces[pair.id];
        // A sloping end is better filled by another piece.
        if work.blank.slant.is_none() && draw % 64 < FILLING {
            let place = work.place;
            let stock = &mut self.stocks[self.plan.courses[pair.course].product];
            if let Some(more) = stock.room_beside(place) {
                return Some(width + more);
            }
        }
        self.draw_width(pair.id, limits, draw)
    }

    /// A width between two that a piece could well have: that of a leftover, or of another piece, or what is left beside one.
    fn draw_width(&self, id: usize, limits: [i32; 2], draw: u64) -> Option<i32> {
        let work = &self.pieces[id];
        let product = self.plan.courses[work.course].product;
        let stock = &self.stocks[product];
        let sizes = stock.sizes;
        let height = work.blank.height;
        let rest = draw >> 4;
        if work.blank.slant.is_some() && !draw.is_multiple_of(4) {
            return stock.twin_width(&work.blank, limits, rest as usize);
        }
        match draw % 8 {
            0..=3 => stock.leaves().width_within(height, limits, rest as usize),
            4 if sizes.turning == Turning::Free => {
                stock.leaves().height_within(height, limits, rest as usize)
            }
            5 => Some(sizes.length),
            _ => {
                let other = self.pieces.get(rest as usize % self.pieces.len().max(1))?;
                (self.plan.courses[other.course].product == product && !other.segments.is_empty())
                    .then_some(())?;
                let width = if other.blank.height <= height && other.blank.plain == Plain::Rectangle
                {
                    other.blank.width
                } else {
                    other.blank.width.min(sizes.length)
                };
                Some(if rest.is_multiple_of(3) {
                    width
                } else {
                    sizes.length - sizes.kerf - width
                })
            }
        }
    }

    /// The distances from a place to the nearest joints of the courses below and above.
    fn nearest_beside(&self, course: &Course, x: i32) -> [Option<i32>; 2] {
        let near = |side: usize| {
            let others = [&course.below, &course.above][side].iter();
            others
                .filter_map(|&c| self.nearest_of(c, course, side, x))
                .min()
        };
        [near(0), near(1)]
    }

    /// What breaches weigh in the stretch with these joints. Those that moved, by so much, where they keep clear of the joints beside
    /// them are not held against these.
    fn stretch_weight(&self, shift: &Shift, joints: &[i32], moved: Option<i32>) -> i64 {
        let course = &self.plan.courses[shift.course];
        let sizes = self.stocks[course.product].sizes;
        let task = Task::judge(course, &course.runs[shift.run], &self.job.rules, &sizes);
        let mut last = shift.from;
        let mut sum = 0;
        for &joint in joints {
            let near = if moved.is_some_and(|by| task.run.in_one_column(joint, joint - by)) {
                [None; 2]
            } else {
                self.nearest_beside(course, joint)
            };
            sum += joint_weight(&task, joint, near) + piece_penalty(&task, last, joint);
            last = joint;
        }
        sum + piece_penalty(&task, last, shift.to)
    }

    /// By how many a shift changes the pairs of narrow neighbours in its stretch, those with the pieces beside it among them.
    fn more_crowds(&self, shift: &Shift) -> i64 {
        let course = &self.plan.courses[shift.course];
        let sizes = &self.stocks[course.product].sizes;
        let run = &course.runs[shift.run];
        let laid = &self.laid[shift.course].runs[shift.run].joints;
        let before = laid.partition_point(|x| *x < shift.from);
        let after = before + laid[before..].partition_point(|x| *x <= shift.to);
        // Where the pieces beside the stretch end; at an end of the run there is none.
        let outer = |inside: bool, index: Option<usize>, end: i32| {
            let joint = index.and_then(|i| laid.get(i)).copied();
            inside.then(|| joint.unwrap_or(end))
        };
        let first = outer(shift.from > run.x0, before.checked_sub(1), run.x0);
        let last = outer(shift.to < run.x1, Some(after), run.x1);
        let pairs = |joints: &[i32]| {
            let (mut pairs, mut left, mut joint) = (0, first, shift.from);
            for to in joints.iter().copied().chain([shift.to]).chain(last) {
                let crowd = left.is_some_and(|from| crowded(sizes, [from, joint, to]));
                pairs += i64::from(crowd);
                (left, joint) = (Some(joint), to);
            }
            pairs
        };
        pairs(&shift.new) - pairs(&shift.old)
    }

    /// What breaches weigh in the stretch before and after, unless the shift is impossible or adds to them.
    fn breaches(&mut self, shift: &Shift) -> Option<Breaches> {
        let course = &self.plan.courses[shift.course];
        let length = self.stocks[course.product].sizes.length;
        let mut last = shift.from;
        for &x in shift.new.iter().chain(core::iter::once(&shift.to)) {
            if x <= last || x - last > length {
                return None;
            }
            last = x;
        }
        self.steps += 4;
        let unstepped = course.steps.iter().all(Vec::is_empty);
        let moved = shift.clear.filter(|_| unstepped);
        let after = self.stretch_weight(shift, &shift.new, moved);
        let mended = self.laid[shift.course].penalty > 0
            || course.above.iter().any(|&c| self.laid[c].penalty > 0);
        let before = if after > 0 || mended {
            self.stretch_weight(shift, &shift.old, None)
        } else {
            0
        };
        if after > before {
            return None;
        }
        Some(Breaches {
            before,
            after,
            crowd: self.more_crowds(shift) * self.stocks[course.product].sizes.board_area() / CROWD,
        })
    }

    /// Which pieces of the stretch go, which only move, and which are new.
    fn change(&self, shift: &Shift) -> Change {
        let run = &self.plan.courses[shift.course].runs[shift.run];
        let LaidRun {
            joints,
            pieces: own,
        } = &self.laid[shift.course].runs[shift.run];
        let x = |id: &u32| self.pieces[*id as usize].around.x0;
        let between = if own.len() == joints.len() + 1 {
            // One piece between any two joints.
            let first = joints.partition_point(|joint| *joint <= shift.from);
            first..first + shift.old.len() + 1
        } else {
            let first = own.partition_point(|id| x(id) < shift.from);
            let after = own.partition_point(|id| x(id) < shift.to);
            first..after
        };
        let mut change = Change {
            gone: own.get(between).unwrap_or(&[]).into(),
            ..Change::default()
        };
        let mut from = shift.from;
        for &to in shift.new.iter().chain(core::iter::once(&shift.to)) {
            if let Some(only) = run.plain(from, to) {
                let size = (to - from, only.hi[0] - only.lo[0]);
                let same = |id: &u32| {
                    let blank = &self.pieces[*id as usize].blank;
                    blank.plain == Plain::Rectangle && (blank.width, blank.height) == size
                };
                match change.gone.iter().position(same) {
                    Some(index) => change.move_on(index, [from, to], 0),
                    None => change.fresh.push(smallvec![only]),
                }
                from = to;
                continue;
            }
            for (part, segments) in run.pieces(from, to).into_iter().enumerate() {
                let like = blank(0, &segments).1;
                let same = |id: &u32| alike(&self.pieces[*id as usize].blank, &like);
                match change.gone.iter().position(same) {
                    Some(index) => change.move_on(index, [from, to], part),
                    None => change.fresh.push(segments),
                }
            }
            from = to;
        }
        change
    }

    /// By how much the weight would change, as far as that can be foretold; or a part of it, where that is more than `most`.
    fn forecast(
        &mut self,
        product: usize,
        change: &Change,
        breaches: Breaches,
        most: i64,
    ) -> Option<i64> {
        let stock = &mut self.stocks[product];
        let mut forecast = Forecast::default();
        for &id in &change.gone {
            if !stock.foresee_lift(self.pieces[id as usize].place, &mut forecast) {
                return None;
            }
        }
        let stock = &self.stocks[product];
        let more = change.fresh.len() as i64 - change.gone.len() as i64;
        forecast.cost += more * stock.sizes.joint_cost() + breaches.weight();
        for segments in &change.fresh {
            let like = blank(0, segments).1;
            if like.slant.is_some() {
                return None;
            }
            if forecast.cost <= most {
                stock.foresee_cut(&like, &mut forecast);
            }
        }
        let evicted = core::mem::take(&mut forecast.evicted);
        for id in evicted.iter().filter(|id| !change.gone.contains(id)) {
            if forecast.cost <= most {
                stock.foresee_cut(&self.pieces[*id as usize].blank, &mut forecast);
            }
        }
        Some(forecast.cost)
    }

    fn try_shift(
        &mut self,
        shift: &Shift,
        breaches: Breaches,
        mut change: Change,
        heat: i64,
    ) -> bool {
        self.steps += 30;
        let product = self.plan.courses[shift.course].product;
        let piece = self.stocks[product].sizes.joint_cost();
        let before =
            self.board_weight(product) + breaches.before + change.gone.len() as i64 * piece;
        self.stocks[product].begin();
        let evicted = self.take_down(product, &change.gone);
        let kept = self.places(&evicted);
        let fresh = core::mem::take(&mut change.fresh);
        let ids: Vec<u32> = fresh
            .into_iter()
            .map(|segments| self.add(shift.course, &segments))
            .collect();
        self.cut_all(product, ids.iter().chain(&evicted).copied().collect());
        let after =
            self.board_weight(product) + breaches.after + breaches.crowd + ids.len() as i64 * piece;
        if after > before + heat * self.stocks[product].sizes.board_area() / 1000 {
            self.stocks[product].take_back();
            self.put_back(kept);
            for id in ids.into_iter().rev() {
                self.vacate(id);
            }
            return false;
        }
        self.stocks[product].keep();
        self.settle(shift, change, &ids);
        if breaches.before > 0 || breaches.after > 0 || self.laid[shift.course].penalty > 0 {
            self.laid[shift.course].penalty = self.penalty(shift.course);
            for &c in &self.plan.courses[shift.course].above {
                self.laid[c].penalty = self.penalty(c);
            }
        }
        after < before
    }

    /// Cuts the pieces of two boards anew, in another order. Says whether it is better.
    pub fn recut(&mut self, heat: Heat<'_>) -> bool {
        self.steps += 4;
        let Some(id) = self.drawn_piece() else {
            return false;
        };
        let product = self.plan.courses[self.pieces[id].course].product;
        let heat = heat.of(product);
        let draw = self.draw() as usize;
        let board = self.pieces[id].place.board;
        let slack = self.stocks[product].slack_board(draw);
        let other = slack.filter(|other| *other != board);
        let mut ids = self.stocks[product].pieces_on(board);
        if let Some(other) = other {
            ids.extend(self.stocks[product].pieces_on(other));
        }
        if ids.len() < 2 || ids.len() > 16 {
            return false;
        }
        self.steps += 10 + 12 * ids.len() as u64;
        let before = self.board_weight(product);
        let kept = self.places(&ids);
        self.stocks[product].begin();
        self.stocks[product].clear(board);
        if let Some(other) = other {
            self.stocks[product].clear(other);
        }
        for last in (1..ids.len()).rev() {
            let other = self.draw() as usize % (last + 1);
            ids.swap(last, other);
        }
        for &id in &ids {
            self.cut(product, id);
        }
        let after = self.board_weight(product);
        if after > before + heat * self.stocks[product].sizes.board_area() / 1000 {
            self.stocks[product].take_back();
            self.put_back(kept);
            return false;
        }
        self.stocks[product].keep();
        after < before
    }

    /// Takes pieces off their boards. Gives the others that lay in their notches.
    pub fn take_down(&mut self, product: usize, gone: &[u32]) -> Vec<u32> {
        let mut evicted: Vec<u32> = Vec::new();
        for &id in gone {
            if !evicted.contains(&id) {
                let place = self.pieces[id as usize].place;
                evicted.extend(self.stocks[product].remove(place));
            }
        }
        evicted.retain(|id| !gone.contains(id));
        evicted
    }

    /// Enters a shift that is kept.
    fn settle(&mut self, shift: &Shift, change: Change, ids: &[u32]) {
        let run = &self.plan.courses[shift.course].runs[shift.run];
        for moved in change.moved {
            let [from, to] = moved.between;
            let Some(segments) = run.pieces(from, to).into_iter().nth(moved.part) else {
                continue;
            };
            let (around, blank) = blank(moved.id, &segments);
            let work = &mut self.pieces[moved.id as usize];
            (work.around, work.blank) = (around, blank);
            work.segments.clear();
            work.segments.extend(segments);
        }
        for &id in &change.gone {
            self.vacate(id);
        }
        let course = &self.plan.courses[shift.course];
        let stays = |x: &i32| *x <= shift.from || *x >= shift.to;
        let laid = &mut self.laid[shift.course];
        let own = &mut laid.runs[shift.run];
        own.pieces.retain(|id| !change.gone.contains(id));
        own.pieces.extend(ids);
        own.pieces
            .sort_by_key(|id| self.pieces[*id as usize].around.x0);
        own.joints.retain(stays);
        own.joints.extend(&shift.new);
        own.joints.sort_unstable();
        let touching = touching(course, &course.runs[shift.run], &shift.new);
        for (list, new) in [&mut laid.bottoms, &mut laid.tops]
            .into_iter()
            .zip(touching)
        {
            list.retain(stays);
            list.extend(new);
            list.sort_unstable();
        }
    }
}

/// What breaches weigh in a stretch.
#[derive(Clone, Copy)]
struct Breaches {
    before: i64,
    after: i64,
    /// What fewer rows of narrow pieces save.
    crowd: i64,
}

impl Breaches {
    /// What they weigh more after it.
    fn weight(self) -> i64 {
        self.after + self.crowd - self.before
    }
}

/// What a shift does to the pieces of its stretch.
#[derive(Default)]
struct Change {
    gone: SmallVec<[u32; 8]>,
    /// Pieces that stay as they are on their boards and only move on the wall.
    moved: SmallVec<[Moved; 8]>,
    fresh: SmallVec<[Segments; 3]>,
}

/// A piece that lies between other joints now, one of the parts there.
struct Moved {
    id: u32,
    between: [i32; 2],
    part: usize,
}

impl Change {
    fn move_on(&mut self, index: usize, between: [i32; 2], part: usize) {
        let id = self.gone.swap_remove(index);
        self.moved.push(Moved { id, between, part });
    }
}

/// Whether two blanks are cut alike. Sloped pieces never are: their slope is not in the blank.
fn alike(a: &Blank, b: &Blank) -> bool {
    a.width == b.width
        && a.height == b.height
        && a.plain == b.plain
        && a.notches == b.notches
        && (a.plain == Plain::Rectangle || !a.notches.is_empty())
}
