//! Small moves: joints of a run shifted, dropped or set so that pieces fit leftovers. A shift costs little to weigh, so
//! thousands are tried while one stretch could be laid anew.

use alloc::vec::Vec;

use crate::geometry::Segment;
use crate::plan::Course;
use crate::run::{Task, crowded, joint_weight, nearest, piece_penalty, touching};
use crate::search::{Search, Work, blank};
use crate::stock::{Blank, Place, Plain};

/// Joints of a run between two joints that stay, and what is to stand in their place.
struct Shift {
    course: usize,
    run: usize,
    from: i32,
    to: i32,
    old: Vec<i32>,
    new: Vec<i32>,
}

impl Search<'_> {
    /// Tries one shift. It is kept if it is worse by no more than `heat` thousandths of a board. Says whether it is better.
    pub fn shift(&mut self, heat: i64) -> bool {
        self.steps += 4;
        self.draw_shift()
            .is_some_and(|shift| self.try_shift(&shift, heat))
    }

    fn drawn_piece(&mut self) -> Option<usize> {
        let mut last = None;
        for _ in 0..4 {
            let id = self.draw() as usize % self.pieces.len().max(1);
            let work = self.pieces.get(id)?;
            if work.segments.is_empty() {
                continue;
            }
            last = Some(id);
            let sizes = &self.stocks[self.plan.courses[work.course].product].sizes;
            if !work.blank.is_whole(sizes) {
                break;
            }
        }
        last
    }

    fn draw_shift(&mut self) -> Option<Shift> {
        let id = self.drawn_piece()?;
        let course = self.pieces[id].course;
        let (x, height) = (self.pieces[id].around.x0, self.pieces[id].blank.height);
        let plan = self.plan;
        let own = &plan.courses[course];
        let run = own.runs.partition_point(|r| r.x1 <= x);
        let stretch = own.runs.get(run)?;
        let draw = self.draw();
        let target = self.draw_width(own, height, draw >> 8)?;
        let length = self.stocks[own.product].sizes.length;
        let joints = &self.laid[course].runs[run].joints;
        let mut stops = Vec::with_capacity(joints.len() + 2);
        stops.push(stretch.x0);
        stops.extend_from_slice(joints);
        stops.push(stretch.x1);
        let count = stops.len() - 1;
        let piece = (stops.partition_point(|s| *s <= x) - 1).min(count - 1);
        let width = |i: usize| stops[i + 1] - stops[i];
        // The pieces whose widths change, one on the left and one on the right; those between move.
        let rightward = |from: usize| (from..count).find(|&i| width(i) < length);
        let leftward = |to: usize| (0..to).rev().find(|&i| width(i) < length);
        let kind = draw % 8;
        let (left, right, by) = match kind {
            0 | 1 => {
                let right = rightward(piece + 1)?;
                (piece, right, target - width(piece))
            }
            2 | 3 => {
                let left = leftward(piece)?;
                (left, piece, width(piece) - target)
            }
            4 => {
                let right = piece + 1;
                (right < count).then_some(())?;
                (piece, right, target - width(piece))
            }
            5 => {
                let left = piece.checked_sub(1)?;
                (left, piece, width(piece) - target)
            }
            6 => {
                // A further piece before this one or before whole boards on its left.
                let start = leftward(piece).map_or(0, |i| i + 1);
                return insert(course, run, &stops, start, piece, target);
            }
            _ => {
                // A further piece after this one or after whole boards on its right.
                let end = rightward(piece + 1).map_or(count - 1, |i| i - 1);
                return insert_after(course, run, &stops, piece, end, target);
            }
        };
        if by == 0 {
            return None;
        }
        let (a, b) = (width(left) + by, width(right) - by);
        if a < 0 || b < 0 || a > length || b > length {
            return None;
        }
        let old: Vec<i32> = stops[left + 1..=right].to_vec();
        let mut new: Vec<i32> = old.iter().map(|x| x + by).collect();
        if a == 0 {
            new.remove(0);
        }
        if b == 0 {
            new.pop();
        }
        let (from, to) = (stops[left], stops[right + 1]);
        Some(Shift {
            course,
            run,
            from,
            to,
            old,
            new,
        })
    }

    /// A width that a piece of this height could well have.
    fn draw_width(&mut self, course: &Course, height: i32, draw: u64) -> Option<i32> {
        let stock = &self.stocks[course.product];
        let sizes = stock.sizes;
        let rest = draw >> 4;
        Some(match draw % 8 {
            0 => 0,
            1 => sizes.length,
            2..=4 => stock.leaf_width(height, rest as usize)?,
            5 | 6 => {
                let other = self.pieces.get(rest as usize % self.pieces.len().max(1))?;
                (self.plan.courses[other.course].product == course.product
                    && !other.segments.is_empty())
                .then_some(())?;
                let width = if other.blank.height <= height && other.blank.plain == Plain::Rectangle
                {
                    other.blank.width
                } else {
                    other.blank.width.min(sizes.length)
                };
                if rest.is_multiple_of(3) {
                    width
                } else {
                    sizes.length - sizes.kerf - width
                }
            }
            _ => (rest % sizes.length.max(1) as u64) as i32,
        })
    }

    /// The distances from a place to the nearest joints of the courses below and above.
    fn nearest_beside(&self, course: &Course, x: i32) -> [Option<i32>; 2] {
        let below = course.below.iter().map(|&c| &self.laid[c].tops);
        let above = course.above.iter().map(|&c| &self.laid[c].bottoms);
        [
            below.filter_map(|joints| nearest(joints, x)).min(),
            above.filter_map(|joints| nearest(joints, x)).min(),
        ]
    }

    fn stretch_weight(&self, shift: &Shift, joints: &[i32]) -> i64 {
        let course = &self.plan.courses[shift.course];
        let sizes = self.stocks[course.product].sizes;
        let task = Task {
            course,
            run: &course.runs[shift.run],
            from: shift.from,
            to: shift.to,
            rules: &self.job.rules,
            sizes: &sizes,
            below: &[],
            above: &[],
            shake: 0,
        };
        let mut last = shift.from;
        let mut sum = 0;
        for &joint in joints {
            sum += joint_weight(&task, joint, self.nearest_beside(course, joint))
                + piece_penalty(&task, last, joint);
            last = joint;
        }
        sum + piece_penalty(&task, last, shift.to)
    }

    /// How many pairs of narrow neighbours at corners a stretch has, those with the pieces beside it among them.
    fn crowds(&self, shift: &Shift, joints: &[i32]) -> usize {
        let course = &self.plan.courses[shift.course];
        let sizes = &self.stocks[course.product].sizes;
        let run = &course.runs[shift.run];
        let laid = &self.laid[shift.course].runs[shift.run].joints;
        let before = laid.partition_point(|x| *x < shift.from);
        let after = laid.partition_point(|x| *x <= shift.to);
        let outer = |inside: bool, index: Option<usize>, end: i32| {
            inside.then(|| index.and_then(|i| laid.get(i)).copied().unwrap_or(end))
        };
        let first = outer(shift.from > run.x0, before.checked_sub(1), run.x0);
        let last = outer(shift.to < run.x1, Some(after), run.x1);
        let mut stops = first
            .into_iter()
            .chain([shift.from])
            .chain(joints.iter().copied())
            .chain([shift.to])
            .chain(last);
        let (Some(mut from), Some(mut joint)) = (stops.next(), stops.next()) else {
            return 0;
        };
        let mut pairs = 0;
        for to in stops {
            pairs += usize::from(crowded(course, sizes, [from, joint, to]));
            (from, joint) = (joint, to);
        }
        pairs
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
        if self.crowds(shift, &shift.new) > self.crowds(shift, &shift.old) {
            return None;
        }
        self.steps += 4;
        let after = self.stretch_weight(shift, &shift.new);
        let mended = self.laid[shift.course].penalty > 0
            || course.above.iter().any(|&c| self.laid[c].penalty > 0);
        let before = if after > 0 || mended {
            self.stretch_weight(shift, &shift.old)
        } else {
            0
        };
        (after <= before).then_some(Breaches { before, after })
    }

    /// Which pieces of the stretch go, which only move, and which are new.
    fn change(&self, shift: &Shift) -> Change {
        let run = &self.plan.courses[shift.course].runs[shift.run];
        let inside = |id: &u32| {
            let around = self.pieces[*id as usize].around;
            shift.from <= around.x0 && around.x1 <= shift.to
        };
        let own = &self.laid[shift.course].runs[shift.run].pieces;
        let mut change = Change {
            gone: own.iter().copied().filter(inside).collect(),
            ..Change::default()
        };
        let mut last = shift.from;
        for &x in shift.new.iter().chain(core::iter::once(&shift.to)) {
            for segments in run.pieces(last, x) {
                let (around, like) = blank(0, &segments);
                let same = change
                    .gone
                    .iter()
                    .position(|id| alike(&self.pieces[*id as usize].blank, &like));
                let Some(index) = same else {
                    change.fresh.push(segments);
                    continue;
                };
                let id = change.gone.swap_remove(index);
                let blank = Blank { piece: id, ..like };
                change.moved.push((
                    id,
                    Work {
                        course: shift.course,
                        segments,
                        around,
                        blank,
                        place: Place::default(),
                    },
                ));
            }
            last = x;
        }
        change
    }

    fn try_shift(&mut self, shift: &Shift, heat: i64) -> bool {
        let Some(breaches) = self.breaches(shift) else {
            return false;
        };
        self.steps += 40;
        let product = self.plan.courses[shift.course].product;
        let mut change = self.change(shift);
        let piece = self.stocks[product].sizes.joint_cost();
        let before =
            self.board_weight(product) + breaches.before + change.gone.len() as i64 * piece;
        self.stocks[product].begin();
        let evicted = self.take_down(product, &change.gone);
        let kept: Vec<(u32, Place)> = evicted
            .iter()
            .map(|id| (*id, self.pieces[*id as usize].place))
            .collect();
        let fresh = core::mem::take(&mut change.fresh);
        let ids: Vec<u32> = fresh
            .into_iter()
            .map(|segments| self.add(shift.course, segments))
            .collect();
        self.cut_all(product, ids.iter().chain(&evicted).copied().collect());
        let after = self.board_weight(product) + breaches.after + ids.len() as i64 * piece;
        if after > before + heat * self.stocks[product].sizes.board_area() / 1000 {
            self.stocks[product].take_back();
            for (id, place) in kept {
                self.pieces[id as usize].place = place;
            }
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
        for (id, mut work) in change.moved {
            work.place = self.pieces[id as usize].place;
            self.pieces[id as usize] = work;
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
        own.joints.retain(stays);
        own.joints.extend(&shift.new);
        own.joints.sort_unstable();
        for (list, line) in [
            (&mut laid.bottoms, course.lines.lo),
            (&mut laid.tops, course.lines.hi),
        ] {
            list.retain(stays);
            list.extend(touching(&course.runs[shift.run], &shift.new, line));
            list.sort_unstable();
        }
    }
}

/// What breaches weigh in a stretch.
struct Breaches {
    before: i64,
    after: i64,
}

/// What a shift does to the pieces of its stretch.
#[derive(Default)]
struct Change {
    gone: Vec<u32>,
    /// Pieces that stay as they are on their boards and only move on the wall.
    moved: Vec<(u32, Work)>,
    fresh: Vec<Vec<Segment>>,
}

/// Whether two blanks are cut alike. Sloped pieces never are: their slope is not in the blank.
fn alike(a: &Blank, b: &Blank) -> bool {
    a.width == b.width
        && a.height == b.height
        && a.plain == b.plain
        && a.notches == b.notches
        && (a.plain == Plain::Rectangle || !a.notches.is_empty())
}

fn insert(
    course: usize,
    run: usize,
    stops: &[i32],
    start: usize,
    piece: usize,
    width: i32,
) -> Option<Shift> {
    let left = stops[piece + 1] - stops[piece] - width;
    if width <= 0 || left < 0 {
        return None;
    }
    let old: Vec<i32> = stops[start + 1..=piece].to_vec();
    let mut new: Vec<i32> = stops[start..=piece].iter().map(|x| x + width).collect();
    if left == 0 {
        new.pop();
    }
    Some(Shift {
        course,
        run,
        from: stops[start],
        to: stops[piece + 1],
        old,
        new,
    })
}

fn insert_after(
    course: usize,
    run: usize,
    stops: &[i32],
    piece: usize,
    end: usize,
    width: i32,
) -> Option<Shift> {
    let left = stops[piece + 1] - stops[piece] - width;
    if width <= 0 || left < 0 {
        return None;
    }
    let old: Vec<i32> = stops[piece + 1..=end].to_vec();
    let mut new: Vec<i32> = stops[piece + 1..=end + 1]
        .iter()
        .map(|x| x - width)
        .collect();
    if left == 0 {
        new.remove(0);
    }
    Some(Shift {
        course,
        run,
        from: stops[piece],
        to: stops[end + 1],
        old,
        new,
    })
}
