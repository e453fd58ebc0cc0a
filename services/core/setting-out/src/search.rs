//! Joints and offcuts chosen together: a first layout course by course, then courses laid anew while that helps.

use alloc::borrow::Cow;
use alloc::collections::BTreeSet;
use alloc::vec::Vec;

use working::Halt;

use crate::bound::bounds as bounds_of;
use crate::geometry::{Rect, Segment, bounds, notches};
use crate::layout::Stopped;
use crate::plan::{Course, Plan};
use crate::prices::Prices;
use crate::run::{Pains, Task, joint_penalty, nearest, part, piece_penalty, touching};
use crate::stock::{Blank, Place, Plain, Sizes, Stock, Style, Turning};
use crate::twins::Slant;
use crate::{Job, Rotation};

/// A piece while the search goes on.
#[derive(Clone, Debug, Default)]
pub struct Work {
    pub course: usize,
    pub segments: Vec<Segment>,
    pub around: Rect,
    pub blank: Blank,
    pub place: Place,
}

/// What the number of a piece stands for: told by itself, because pieces are drawn all the time and lie far apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    Vacant,
    WholeBoard,
    CutPiece,
}

/// A run as it is laid now.
#[derive(Clone, Debug, Default)]
pub struct LaidRun {
    pub joints: Vec<i32>,
    /// From left to right.
    pub pieces: Vec<u32>,
}

/// A course as it is laid now.
#[derive(Clone, Debug, Default)]
pub struct Laid {
    pub runs: Vec<LaidRun>,
    /// Joints that touch the boards below and above, sorted.
    pub bottoms: Vec<i32>,
    pub tops: Vec<i32>,
    /// What breaches weigh: of its pieces, of its joints, and of its joints against those below.
    pub penalty: i64,
}

/// A stretch of a run between two joints, to be laid anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Section {
    course: usize,
    run: usize,
    from: i32,
    to: i32,
}

/// At least so many thousandths of the changes lay stretches anew while a rule is broken; so many cut two boards anew; the
/// others shift joints.
const MENDING: u64 = 11;
const RECUT: u64 = 100;
/// After so many stretches laid anew without a breach the less, those of a course are taken as forced.
const VAIN: u32 = 100;
/// After so many changes without gain, and more for a large building, the search has settled.
const PATIENCE: usize = 4000;
/// Where the drawing of changes begins.
const SEED: u64 = 0xBE01_8911_A302_77C3;
/// Pieces are cut anew in so many orders.
const ORDERS: u32 = 4;

/// The search and all it knows.
#[derive(Clone)]
pub struct Search<'a> {
    pub job: &'a Job,
    pub plan: &'a Plan,
    pub stocks: Vec<Stock>,
    pub laid: Vec<Laid>,
    /// The widths wanted of the corner pieces of each course, left and right.
    pub corners: Vec<[Option<i32>; 2]>,
    pub pieces: Vec<Work>,
    /// What each number of a piece stands for.
    pub marks: Vec<Mark>,
    vacant: Vec<u32>,
    /// How many boards of each product the area asks for.
    expected: Vec<u32>,
    pub steps: u64,
    /// Changes since the last gain.
    idle: usize,
    /// How often each course was laid anew in vain because of a breach.
    vain: Vec<u32>,
    seed: u64,
}

/// How much worse a change may be.
#[derive(Clone, Copy, Debug)]
pub struct Heat<'a> {
    /// At most, by product, in thousandths of a board.
    heats: &'a [i64],
    /// What was drawn, in thousandths; the heat falls with its square.
    share: i64,
}

impl Heat<'_> {
    /// In thousandths of a board of a product.
    pub fn of(self, product: usize) -> i64 {
        let most = self.heats.get(product).copied().unwrap_or(0);
        most * self.share / 1000 * self.share / 1000
    }
}

/// The sizes of each product under the rules.
pub fn sizes(job: &Job) -> Vec<Sizes> {
    job.boards
        .iter()
        .map(|b| Sizes {
            length: b.length.0,
            height: b.height.0,
            kerf: b.kerf.0,
            // Where no least size is asked for, a leftover still has one.
            min_width: job.rules.min_piece_width.0.max(1),
            min_height: job.rules.min_piece_height.0.max(1),
            turning: if b.rotation == Rotation::Allowed {
                Turning::Free
            } else {
                Turning::Fixed
            },
            style: Style::default(),
        })
        .collect()
}

/// A piece of the wall as it is cut from a board.
pub fn blank(piece: u32, segments: &[Segment]) -> (Rect, Blank) {
    let around = bounds(segments);
    if let [only] = segments
        && only.is_level()
    {
        let plain = Blank {
            piece,
            width: around.width(),
            height: around.height(),
            ..Blank::default()
        };
        return (around, plain);
    }
    let sloped = segments.iter().any(|s| !s.is_level());
    let gaps = notches(segments);
    let sides = |n: &Rect| {
        u32::from(n.x0 > around.x0)
            + u32::from(n.x1 < around.x1)
            + u32::from(n.y0 > around.y0)
            + u32::from(n.y1 < around.y1)
    };
    let edges = segments.iter().flat_map(|s| [s.lo, s.hi]);
    let slopes = edges.filter(|y| y[0] != y[1]).count() as u32;
    let notch_cuts = slopes + gaps.iter().map(sides).sum::<u32>();
    let shifted = |n: &Rect| Rect {
        x0: n.x0 - around.x0,
        x1: n.x1 - around.x0,
        y0: n.y0 - around.y0,
        y1: n.y1 - around.y0,
    };
    let plain = if sloped || !gaps.is_empty() {
        Plain::Shaped
    } else {
        Plain::Rectangle
    };
    let notches = gaps.iter().map(shifted).collect();
    (
        around,
        Blank {
            piece,
            width: around.width(),
            height: around.height(),
            notches,
            notch_cuts,
            plain,
            slant: Slant::of(around, segments),
        },
    )
}

impl<'a> Search<'a> {
    pub fn new(job: &'a Job, plan: &'a Plan, style: Style) -> Self {
        let sizes = sizes(job);
        let expected: Vec<u32> = (0..sizes.len())
            .map(|p| bounds_of(plan, p, &sizes[p]).area)
            .collect();
        let mut stocks: Vec<Stock> = sizes.into_iter().map(Stock::new).collect();
        for (stock, &boards) in stocks.iter_mut().zip(&expected) {
            stock.weigh_by(style, boards);
        }
        Self {
            job,
            plan,
            stocks,
            expected,
            laid: alloc::vec![Laid::default(); plan.courses.len()],
            corners: alloc::vec![[None; 2]; plan.courses.len()],
            pieces: Vec::new(),
            marks: Vec::new(),
            vacant: Vec::new(),
            steps: 0,
            idle: 0,
            vain: alloc::vec![0; plan.courses.len()],
            seed: SEED,
        }
    }

    pub fn draw(&mut self) -> u64 {
        self.seed ^= self.seed << 13;
        self.seed ^= self.seed >> 7;
        self.seed ^= self.seed << 17;
        self.seed >> 11
    }

    /// Lays every course once, from the bottom up; `false` where it was halted before the last one.
    pub fn first(&mut self, pains: Pains, halt: Halt<'_>) -> bool {
        self.agree_corners();
        for course in 0..self.plan.courses.len() {
            if halt.is_asked() {
                return false;
            }
            self.lay(course, pains);
        }
        for course in 0..self.plan.courses.len() {
            self.laid[course].penalty = self.penalty(course);
        }
        true
    }

    /// A course below (0) or above (1) another, and its joints on that one's side, sorted.
    fn towards(&self, beside: usize, side: usize) -> (&Course, &[i32]) {
        let laid = &self.laid[beside];
        let joints = if side == 0 { &laid.tops } else { &laid.bottoms };
        (&self.plan.courses[beside], joints)
    }

    /// The joints of one course below (0) or above (1) another that reach it, sorted.
    pub fn joints_of(&self, beside: usize, course: &Course, side: usize) -> Cow<'_, [i32]> {
        let (other, joints) = self.towards(beside, side);
        if course.meets_on_the_line(side, other) {
            return Cow::Borrowed(joints);
        }
        let meets = |x: &&i32| course.meets(side, other, **x);
        Cow::Owned(joints.iter().filter(meets).copied().collect())
    }

    /// How far a joint at `x` is from the nearest of these.
    pub fn nearest_of(&self, beside: usize, course: &Course, side: usize, x: i32) -> Option<i32> {
        let (other, joints) = self.towards(beside, side);
        if course.meets_on_the_line(side, other) {
            return nearest(joints, x);
        }
        course.nearest_beside(side, &self.joints_of(beside, course, side), x)
    }

    fn joints_beside(&self, course: &Course, side: usize) -> Vec<i32> {
        let mut joints: Vec<i32> = Vec::new();
        for &beside in [&course.below, &course.above][side] {
            joints.extend_from_slice(&self.joints_of(beside, course, side));
        }
        joints.sort_unstable();
        joints
    }

    /// Parts a course into pieces and cuts them.
    fn lay(&mut self, index: usize, pains: Pains) {
        let plan = self.plan;
        let runs = &plan.courses[index].runs;
        self.laid[index].runs = alloc::vec![LaidRun::default(); runs.len()];
        for (run, stretch) in runs.iter().enumerate() {
            self.lay_section(
                Section {
                    course: index,
                    run,
                    from: stretch.x0,
                    to: stretch.x1,
                },
                0,
                pains,
            );
        }
        self.note_touching(index);
    }

    /// Lays a course with joints that are given for each run.
    pub fn put(&mut self, index: usize, joints: Vec<Vec<i32>>) {
        let plan = self.plan;
        let runs = &plan.courses[index].runs;
        self.laid[index].runs = alloc::vec![LaidRun::default(); runs.len()];
        for (run, (stretch, joints)) in runs.iter().zip(joints).enumerate() {
            self.cut_section(
                Section {
                    course: index,
                    run,
                    from: stretch.x0,
                    to: stretch.x1,
                },
                joints,
            );
        }
        self.note_touching(index);
    }

    fn note_touching(&mut self, index: usize) {
        let course = &self.plan.courses[index];
        let laid = &mut self.laid[index];
        laid.bottoms.clear();
        laid.tops.clear();
        for (run, own) in course.runs.iter().zip(&laid.runs) {
            let [bottoms, tops] = touching(course, run, &own.joints);
            laid.bottoms.extend(bottoms);
            laid.tops.extend(tops);
        }
    }

    /// Parts a stretch of a run, whose pieces are off, and cuts it.
    fn lay_section(&mut self, section: Section, shake: u64, pains: Pains) {
        let plan = self.plan;
        let course = &plan.courses[section.course];
        let reach = self.job.rules.stagger.0;
        let near = |mut joints: Vec<i32>| {
            joints.retain(|x| section.from - reach < *x && *x < section.to + reach);
            joints
        };
        let agreed = |mut joints: Vec<i32>, others: &[usize], line: i32| {
            joints.extend(self.agreed_joints(others, line));
            joints.sort_unstable();
            near(joints)
        };
        let below = agreed(
            self.joints_beside(course, 0),
            &course.below,
            course.lines.lo,
        );
        let above = agreed(
            self.joints_beside(course, 1),
            &course.above,
            course.lines.hi,
        );
        let stock = &self.stocks[course.product];
        let task = Task {
            course,
            run: &course.runs[section.run],
            from: section.from,
            to: section.to,
            rules: &self.job.rules,
            sizes: &stock.sizes,
            below: &below,
            above: &above,
            corner: self.corners[section.course],
            shake,
            noise: pains.noise(),
        };
        let mut steps = 0;
        let joints = part(&task, &mut Prices::new(stock), pains, &mut steps);
        self.steps += steps;
        self.cut_section(section, joints);
    }

    fn cut_section(&mut self, section: Section, joints: Vec<i32>) {
        let plan = self.plan;
        let course = &plan.courses[section.course];
        let run = &course.runs[section.run];
        let mut stops = alloc::vec![section.from];
        stops.extend(&joints);
        stops.push(section.to);
        let mut fresh: Vec<u32> = Vec::new();
        for pair in stops.windows(2) {
            for segments in run.pieces(pair[0], pair[1]) {
                fresh.push(self.add(section.course, &segments));
            }
        }
        let laid = &mut self.laid[section.course].runs[section.run];
        laid.pieces.extend(&fresh);
        laid.pieces
            .sort_by_key(|id| self.pieces[*id as usize].around.x0);
        laid.joints.extend(joints);
        laid.joints.sort_unstable();
        self.cut_all(course.product, fresh);
    }

    /// What the breaches of a course weigh.
    pub fn penalty(&self, index: usize) -> i64 {
        let course = &self.plan.courses[index];
        let below = self.joints_beside(course, 0);
        let sizes = self.stocks[course.product].sizes;
        let mut sum = 0;
        for (run, laid) in course.runs.iter().zip(&self.laid[index].runs) {
            let task = Task {
                below: &below,
                ..Task::judge(course, run, &self.job.rules, &sizes)
            };
            let (from, to) = (run.x0, run.x1);
            let mut last = from;
            for &joint in &laid.joints {
                sum += joint_penalty(&task, joint) + piece_penalty(&task, last, joint);
                last = joint;
            }
            sum += piece_penalty(&task, last, to);
        }
        sum
    }

    pub fn add(&mut self, course: usize, segments: &[Segment]) -> u32 {
        let id = self.vacant.pop().unwrap_or(self.pieces.len() as u32);
        let (around, blank) = blank(id, segments);
        let work = Work {
            course,
            segments: segments.to_vec(),
            around,
            blank,
            place: Place::default(),
        };
        let sizes = &self.stocks[self.plan.courses[course].product].sizes;
        let mark = if work.blank.is_whole(sizes) {
            Mark::WholeBoard
        } else {
            Mark::CutPiece
        };
        if let Some(slot) = self.pieces.get_mut(id as usize) {
            *slot = work;
            self.marks[id as usize] = mark;
        } else {
            self.pieces.push(work);
            self.marks.push(mark);
        }
        id
    }

    /// Cuts a piece where it costs least now.
    pub fn cut(&mut self, product: usize, id: u32) {
        let work = &mut self.pieces[id as usize];
        work.place = self.stocks[product].place(&work.blank);
    }

    /// Where pieces are cut now.
    pub fn places(&self, ids: &[u32]) -> Vec<(u32, Place)> {
        let place = |id: &u32| (*id, self.pieces[*id as usize].place);
        ids.iter().map(place).collect()
    }

    /// Notes that pieces are cut again where they were.
    pub fn put_back(&mut self, places: Vec<(u32, Place)>) {
        for (id, place) in places {
            self.pieces[id as usize].place = place;
        }
    }

    /// Cuts pieces, the largest first.
    pub fn cut_all(&mut self, product: usize, mut ids: Vec<u32>) {
        let size = |work: &Work| i64::from(work.blank.width) * i64::from(work.blank.height);
        ids.sort_by_key(|id| (-size(&self.pieces[*id as usize]), *id));
        for id in ids {
            self.cut(product, id);
            self.steps += 1;
        }
    }

    /// Frees the number of a piece.
    pub fn vacate(&mut self, id: u32) {
        self.clear(id);
        self.vacant.push(id);
    }

    fn clear(&mut self, id: u32) {
        self.pieces[id as usize].segments.clear();
        self.marks[id as usize] = Mark::Vacant;
    }

    /// What the boards of one product weigh: boards and cuts less what leftovers are worth.
    pub fn board_weight(&self, product: usize) -> i64 {
        let stock = &self.stocks[product];
        let tally = stock.tally();
        i64::from(tally.boards) * stock.sizes.board_area()
            + i64::from(tally.cuts) * stock.sizes.cut_cost()
            - stock.worth()
    }

    /// Weighs leftovers, cuts and pieces by another style.
    pub fn weigh_by(&mut self, style: Style) {
        self.weigh_each(&alloc::vec![style; self.stocks.len()]);
    }

    /// The same, with a style for each product.
    pub fn weigh_each(&mut self, styles: &[Style]) {
        let stocks = self.stocks.iter_mut().zip(&self.expected);
        for ((stock, &boards), &style) in stocks.zip(styles) {
            stock.weigh_by(style, boards);
        }
        for course in 0..self.plan.courses.len() {
            self.laid[course].penalty = self.penalty(course);
        }
        self.idle = 0;
    }

    /// What all breaches weigh.
    pub fn broken(&self) -> i64 {
        self.laid.iter().map(|l| l.penalty).sum()
    }

    /// Cuts all pieces of a product anew in several orders, and keeps the best result if it is better.
    pub fn repack(&mut self, product: usize) {
        let mut ids: Vec<u32> = (0..self.pieces.len() as u32)
            .filter(|id| {
                let work = &self.pieces[*id as usize];
                !work.segments.is_empty() && self.plan.courses[work.course].product == product
            })
            .collect();
        let mut best = (
            self.board_weight(product),
            self.stocks[product].clone(),
            self.places(&ids),
        );
        for order in 0..ORDERS {
            let size = |id: &u32| {
                let b = &self.pieces[*id as usize].blank;
                let (w, h) = (i64::from(b.width), i64::from(b.height));
                match order {
                    0 => (w * h, 0),
                    1 => (h, w),
                    2 => (w.max(h), w.min(h)),
                    _ => (i64::from(b.plain == Plain::Shaped), w * h),
                }
            };
            ids.sort_by_key(|id| (core::cmp::Reverse(size(id)), *id));
            self.stocks[product].empty();
            for &id in &ids {
                self.cut(product, id);
                self.steps += 1;
            }
            let weight = self.board_weight(product);
            if weight < best.0 {
                best = (weight, self.stocks[product].clone(), self.places(&ids));
            }
        }
        self.stocks[product] = best.1;
        self.put_back(best.2);
    }

    /// Shifts joints, cuts boards anew and lays stretches anew until the steps are spent or nothing has been gained for
    /// long. A change is kept if it is worse by less than the heat of its product, in thousandths of a board; `anew` thousandths
    /// of them lay stretches anew. Halted, it leaves off where it is.
    pub fn improve(&mut self, until: u64, heats: &[i64], anew: u64, halt: Halt<'_>) -> Stopped {
        let patience = PATIENCE + 40 * self.pieces.len();
        let mut turn = 0_usize;
        let mut broken = false;
        while self.steps < until && self.idle < patience {
            if turn.is_multiple_of(256) {
                if halt.is_asked() {
                    break;
                }
                broken = (0..self.laid.len()).any(|c| self.mendable(c));
            }
            turn += 1;
            self.steps += 1;
            let draw = self.draw();
            let anew = if broken { anew.max(MENDING) } else { anew };
            let better = if draw % 1000 < anew {
                let product = turn % self.stocks.len().max(1);
                let (sections, course) = self.pick(product);
                let before = self.broken();
                let pains = if course.is_some() && !draw.is_multiple_of(3) {
                    Pains::Mend
                } else {
                    Pains::All
                };
                let better = !sections.is_empty() && self.attempt(&sections, pains);
                if let Some(course) = course {
                    let mended = self.broken() < before;
                    self.vain[course] = if mended { 0 } else { self.vain[course] + 1 };
                }
                better
            } else {
                let share = (draw / 1000 % 1000) as i64;
                let heat = Heat { heats, share };
                if draw / 1_000_000 % 1000 < RECUT {
                    self.recut(heat)
                } else {
                    self.shift(heat)
                }
            };
            self.idle = if better { 0 } else { self.idle + 1 };
        }
        if self.idle < patience {
            Stopped::BudgetSpent
        } else {
            Stopped::Settled
        }
    }

    /// The stretch of a course around a place, a board or two to each side, from joint to joint.
    pub fn section_at(&self, course: usize, x: i32, reach: i32) -> Option<Section> {
        let runs = &self.plan.courses[course].runs;
        let run = runs
            .partition_point(|r| r.x1 <= x)
            .min(runs.len().checked_sub(1)?);
        let stretch = &runs[run];
        if stretch.x0 > x + reach || stretch.x1 < x - reach {
            return None;
        }
        let joints = &self.laid[course].runs.get(run)?.joints;
        let before = joints.partition_point(|j| *j <= x - reach);
        let after = joints.partition_point(|j| *j < x + reach);
        let from = before
            .checked_sub(1)
            .and_then(|i| joints.get(i))
            .copied()
            .unwrap_or(stretch.x0);
        let to = joints.get(after).copied().unwrap_or(stretch.x1);
        Some(Section {
            course,
            run,
            from,
            to,
        })
    }

    /// Whether a course breaks a rule that is not known to be forced on it.
    fn mendable(&self, course: usize) -> bool {
        self.laid[course].penalty > 0 && self.vain[course] < VAIN
    }

    /// Tries again to mend what was given up.
    pub fn take_heart(&mut self) {
        self.vain.fill(0);
    }

    /// Stretches to lay anew: where a rule is broken, or where a board is badly used; and the course that breaks a rule.
    fn pick(&mut self, product: usize) -> (Vec<Section>, Option<usize>) {
        let draw = self.draw() as usize;
        if !draw.is_multiple_of(3)
            && let Some((course, x)) = self.find_breach(product, draw / 3)
        {
            return (self.around(product, course, x, draw / 64), Some(course));
        }
        let Some(board) = self.stocks[product].slack_board(draw / 4) else {
            return (Vec::new(), None);
        };
        let ids = self.stocks[product].pieces_on(board);
        if draw.is_multiple_of(2) {
            let Some(&id) = ids.get(draw / 8 % ids.len().max(1)) else {
                return (Vec::new(), None);
            };
            let work = &self.pieces[id as usize];
            let x = i32::midpoint(work.around.x0, work.around.x1);
            return (self.around(product, work.course, x, draw / 64), None);
        }
        let length = self.stocks[product].sizes.length;
        let mut sections: Vec<Section> = Vec::new();
        for id in ids.into_iter().take(4) {
            let work = &self.pieces[id as usize];
            let x = i32::midpoint(work.around.x0, work.around.x1);
            let reach = length * (1 + (draw / 16 % 2) as i32);
            add_section(&mut sections, self.section_at(work.course, x, reach));
        }
        (sections, None)
    }

    /// A stretch and its neighbours above or below, in an order that lets one give way to the other.
    fn around(&self, product: usize, course: usize, x: i32, draw: usize) -> Vec<Section> {
        let own = &self.plan.courses[course];
        let beside = |list: &[usize]| {
            let reaches = |c: &usize| self.section_at(*c, x, 0).is_some();
            list.iter().copied().find(reaches)
        };
        let (below, above) = (beside(&own.below), beside(&own.above));
        let order = match draw % 5 {
            0 => [Some(course), None, None],
            1 => [below, Some(course), None],
            2 => [above, Some(course), None],
            3 => [Some(course), below, above],
            _ => [below, Some(course), above],
        };
        let reach = self.stocks[product].sizes.length * (1 + (draw / 5 % 4) as i32);
        let mut sections = Vec::new();
        for course in order.into_iter().flatten() {
            add_section(&mut sections, self.section_at(course, x, reach));
        }
        sections
    }

    /// A course that breaks a rule, and the place of one breach.
    fn find_breach(&self, product: usize, draw: usize) -> Option<(usize, i32)> {
        let courses = &self.plan.courses;
        let broken: Vec<usize> = (0..courses.len())
            .filter(|&c| courses[c].product == product && self.mendable(c))
            .collect();
        let &index = broken.get(draw % broken.len().max(1))?;
        let course = &courses[index];
        let below = self.joints_beside(course, 0);
        let sizes = self.stocks[product].sizes;
        let mut places: Vec<i32> = Vec::new();
        for (run, laid) in course.runs.iter().zip(&self.laid[index].runs) {
            let task = Task {
                below: &below,
                ..Task::judge(course, run, &self.job.rules, &sizes)
            };
            let (from, to) = (run.x0, run.x1);
            let mut last = from;
            for joint in laid.joints.iter().copied().chain(core::iter::once(to)) {
                if (joint < to && joint_penalty(&task, joint) > 0)
                    || piece_penalty(&task, last, joint) > 0
                {
                    places.push(joint);
                }
                last = joint;
            }
        }
        let &x = places.get(draw / 16 % places.len().max(1))?;
        Some((index, x))
    }

    /// Lays stretches anew and keeps the result if it is no worse. Says whether it is better.
    pub fn attempt(&mut self, sections: &[Section], pains: Pains) -> bool {
        let courses = &self.plan.courses;
        let products: BTreeSet<usize> =
            sections.iter().map(|s| courses[s.course].product).collect();
        let mut judged: BTreeSet<usize> = sections.iter().map(|s| s.course).collect();
        for section in sections {
            judged.extend(&courses[section.course].above);
        }
        let sum = |s: &Self| {
            let breaches: i64 = judged.iter().map(|&c| s.laid[c].penalty).sum();
            let boards: i64 = products.iter().map(|&p| s.board_weight(p)).sum();
            breaches + boards
        };
        let before = sum(self);
        let saved: Vec<(usize, Laid)> = judged.iter().map(|&c| (c, self.laid[c].clone())).collect();
        let vacant = self.vacant.clone();
        let first_new = self.pieces.len();
        for &product in &products {
            self.stocks[product].begin();
        }
        let (own, evicted) = self.take_off(&products, sections);
        let cost = |s: &Self, id: u32| {
            let product = courses[s.pieces[id as usize].course].product;
            s.stocks[product].sizes.joint_cost()
        };
        let before = before + own.iter().map(|o| cost(self, o.0)).sum::<i64>();
        for &section in sections {
            let shake = self.draw();
            self.lay_section(section, shake, pains);
            self.note_touching(section.course);
        }
        let fresh: Vec<u32> = vacant[self.vacant.len()..]
            .iter()
            .copied()
            .chain(first_new as u32..self.pieces.len() as u32)
            .collect();
        for &product in &products {
            let of = |id: &u32| courses[self.pieces[*id as usize].course].product == product;
            let ids = evicted.iter().map(|e| e.0).filter(of).collect();
            self.cut_all(product, ids);
        }
        for &course in &judged {
            self.laid[course].penalty = self.penalty(course);
        }
        let after = sum(self) + fresh.iter().map(|id| cost(self, *id)).sum::<i64>();
        if after <= before {
            for &product in &products {
                self.stocks[product].keep();
            }
            for (id, _) in own {
                self.vacate(id);
            }
            return after < before;
        }
        for &product in &products {
            self.stocks[product].take_back();
        }
        for (course, laid) in saved {
            self.laid[course] = laid;
        }
        for (id, work) in own {
            self.pieces[id as usize] = work;
        }
        self.put_back(evicted);
        for &id in &fresh {
            self.clear(id);
        }
        self.pieces.truncate(first_new);
        self.marks.truncate(first_new);
        self.vacant = vacant;
        false
    }

    /// Takes the pieces of stretches off their boards and off the wall. Gives them, and pieces of other stretches
    /// that lay in their notches and have to be cut again.
    fn take_off(&mut self, products: &BTreeSet<usize>, sections: &[Section]) -> TakenOff {
        let mut own: Vec<(u32, Work)> = Vec::new();
        for section in sections {
            let pieces = &self.pieces;
            let laid = &mut self.laid[section.course].runs[section.run];
            laid.joints
                .retain(|x| *x <= section.from || *x >= section.to);
            laid.pieces.retain(|&id| {
                let work = &pieces[id as usize];
                let inside = section.from <= work.around.x0 && work.around.x1 <= section.to;
                if inside {
                    own.push((id, work.clone()));
                }
                !inside
            });
        }
        for section in sections {
            self.note_touching(section.course);
        }
        let courses = &self.plan.courses;
        let mut evicted = Vec::new();
        for &product in products {
            let of = |o: &&(u32, Work)| courses[o.1.course].product == product;
            let gone: Vec<u32> = own.iter().filter(of).map(|o| o.0).collect();
            evicted.extend(self.take_down(product, &gone));
        }
        let evicted = self.places(&evicted);
        (own, evicted)
    }
}

/// Pieces that were taken off, and pieces of other stretches that lay in their notches, with where they lay.
type TakenOff = (Vec<(u32, Work)>, Vec<(u32, Place)>);

/// Adds a stretch unless it overlaps one that is there.
pub fn add_section(sections: &mut Vec<Section>, section: Option<Section>) {
    let Some(s) = section else { return };
    let overlaps =
        |o: &Section| o.course == s.course && o.run == s.run && o.from < s.to && s.from < o.to;
    if !sections.iter().any(overlaps) {
        sections.push(s);
    }
}
