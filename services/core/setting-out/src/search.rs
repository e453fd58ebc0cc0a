//! Joints and offcuts chosen together: a first layout course by course, then courses laid anew while that helps.

use alloc::collections::BTreeSet;
use alloc::vec::Vec;

use crate::geometry::{Rect, Run, Segment, bounds, notches};
use crate::layout::Stopped;
use crate::plan::{Course, Plan};
use crate::run::{Parting, Task, part, touching};
use crate::stock::{Blank, Place, Plain, Prices, Sizes, Stock, Turning};
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

/// A course as it is laid now.
#[derive(Clone, Debug, Default)]
pub struct Laid {
    /// For each run its joints.
    pub joints: Vec<Vec<i32>>,
    /// Joints that touch the lower and the upper line, sorted.
    pub bottoms: Vec<i32>,
    pub tops: Vec<i32>,
    pub pieces: Vec<u32>,
    pub penalty: i64,
}

/// The search and all it knows.
pub struct Search<'a> {
    pub job: &'a Job,
    pub plan: &'a Plan,
    pub stocks: Vec<Stock>,
    pub laid: Vec<Laid>,
    pub pieces: Vec<Work>,
    vacant: Vec<u32>,
    pub steps: u64,
    seed: u64,
}

/// The sizes of each product under the rules.
pub fn sizes(job: &Job) -> Vec<Sizes> {
    job.boards
        .iter()
        .map(|b| Sizes {
            length: b.length.0,
            height: b.height.0,
            kerf: b.kerf.0,
            min_width: job.rules.min_piece_width.0,
            min_height: job.rules.min_piece_height.0,
            turning: if b.rotation == Rotation::Allowed {
                Turning::Free
            } else {
                Turning::Fixed
            },
        })
        .collect()
}

/// A piece of the wall as it is cut from a board.
pub fn blank(piece: u32, segments: &[Segment]) -> (Rect, Blank) {
    let around = bounds(segments);
    let sloped = segments.iter().any(|s| !s.is_level());
    let gaps = notches(segments);
    let sides = |n: &Rect| {
        u32::from(n.x0 > around.x0)
            + u32::from(n.x1 < around.x1)
            + u32::from(n.y0 > around.y0)
            + u32::from(n.y1 < around.y1)
    };
    let notch_cuts = if sloped {
        1 + gaps.len() as u32
    } else {
        gaps.iter().map(sides).sum()
    };
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
    let notches = if sloped {
        Vec::new()
    } else {
        gaps.iter().map(shifted).collect()
    };
    (
        around,
        Blank {
            piece,
            width: around.width(),
            height: around.height(),
            notches,
            notch_cuts,
            plain,
        },
    )
}

impl<'a> Search<'a> {
    pub fn new(job: &'a Job, plan: &'a Plan) -> Self {
        Self {
            job,
            plan,
            stocks: sizes(job).into_iter().map(Stock::new).collect(),
            laid: alloc::vec![Laid::default(); plan.courses.len()],
            pieces: Vec::new(),
            vacant: Vec::new(),
            steps: 0,
            seed: 0x2545_F491_4F6C_DD1D,
        }
    }

    fn draw(&mut self) -> u64 {
        self.seed ^= self.seed << 13;
        self.seed ^= self.seed >> 7;
        self.seed ^= self.seed << 17;
        self.seed >> 11
    }

    /// Lays every course once, from the bottom up.
    pub fn first(&mut self) {
        for course in 0..self.plan.courses.len() {
            self.lay(course, 0);
        }
    }

    fn neighbours(&self, course: &Course) -> (Vec<i32>, Vec<i32>) {
        let gather = |list: &[usize], pick: fn(&Laid) -> &Vec<i32>| {
            let mut joints: Vec<i32> = list
                .iter()
                .flat_map(|&c| pick(&self.laid[c]).iter().copied())
                .collect();
            joints.sort_unstable();
            joints
        };
        (
            gather(&course.below, |l| &l.tops),
            gather(&course.above, |l| &l.bottoms),
        )
    }

    /// Parts a course into pieces and cuts them.
    fn lay(&mut self, index: usize, shake: u64) {
        let plan = self.plan;
        let course = &plan.courses[index];
        let (below, above) = self.neighbours(course);
        let mut laid = Laid::default();
        for run in &course.runs {
            let stock = &self.stocks[course.product];
            let sizes = stock.sizes;
            let task = Task {
                course,
                run,
                rules: &self.job.rules,
                sizes: &sizes,
                below: &below,
                above: &above,
                shake,
            };
            let mut prices = Prices::new(stock);
            let Parting { joints, penalty } = part(&task, &mut prices, &mut self.steps);
            laid.penalty += penalty;
            self.cut_run(index, run, joints, &mut laid);
        }
        self.laid[index] = laid;
    }

    /// Lays a course with joints that are given for each run.
    pub fn put(&mut self, index: usize, joints: Vec<Vec<i32>>) {
        let mut laid = Laid::default();
        for (run, joints) in self.plan.courses[index].runs.iter().zip(joints) {
            self.cut_run(index, run, joints, &mut laid);
        }
        self.laid[index] = laid;
    }

    fn cut_run(&mut self, index: usize, run: &Run, joints: Vec<i32>, laid: &mut Laid) {
        let course = &self.plan.courses[index];
        laid.bottoms.extend(touching(run, &joints, course.lines.lo));
        laid.tops.extend(touching(run, &joints, course.lines.hi));
        let stops: Vec<i32> = core::iter::once(run.x0)
            .chain(joints.iter().copied())
            .chain(core::iter::once(run.x1))
            .collect();
        let mut fresh: Vec<u32> = Vec::new();
        for pair in stops.windows(2) {
            for segments in run.pieces(pair[0], pair[1]) {
                fresh.push(self.add(index, segments));
            }
        }
        laid.pieces.extend(&fresh);
        let product = course.product;
        self.cut_all(product, fresh);
        laid.joints.push(joints);
    }

    fn add(&mut self, course: usize, segments: Vec<Segment>) -> u32 {
        let id = self.vacant.pop().unwrap_or(self.pieces.len() as u32);
        let (around, blank) = blank(id, &segments);
        let work = Work {
            course,
            segments,
            around,
            blank,
            place: Place::default(),
        };
        match self.pieces.get_mut(id as usize) {
            Some(slot) => *slot = work,
            None => self.pieces.push(work),
        }
        id
    }

    /// Cuts pieces, the largest first.
    fn cut_all(&mut self, product: usize, mut ids: Vec<u32>) {
        let size = |work: &Work| i64::from(work.blank.width) * i64::from(work.blank.height);
        ids.sort_by_key(|id| (-size(&self.pieces[*id as usize]), *id));
        for id in ids {
            let place = self.stocks[product].place(&self.pieces[id as usize].blank);
            self.pieces[id as usize].place = place;
            self.steps += 1;
        }
    }

    /// What the layout of one product weighs: breaches, boards, cuts, and how scattered its leftovers are.
    fn weight(&self, product: usize) -> i64 {
        let stock = &self.stocks[product];
        let tally = stock.tally();
        i64::from(tally.boards) * stock.sizes.board_area()
            + i64::from(tally.cuts) * stock.sizes.cut_cost()
            - tally.gathered / 2
    }

    /// Lays courses anew until nothing more is gained or the steps are spent.
    pub fn improve(&mut self, until: u64) -> Stopped {
        let mut idle = 0;
        let patience = 60 + 2 * self.plan.courses.len();
        let mut turn = 0_usize;
        while self.steps < until && idle < patience {
            let product = turn % self.stocks.len().max(1);
            turn += 1;
            let Some(courses) = self.pick(product) else {
                idle += 1;
                continue;
            };
            if self.attempt(product, &courses) {
                idle = 0;
            } else {
                idle += 1;
            }
        }
        if idle >= patience {
            Stopped::Settled
        } else {
            Stopped::BudgetSpent
        }
    }

    /// Courses to lay anew: those whose pieces lie on boards with much left over.
    fn pick(&mut self, product: usize) -> Option<Vec<usize>> {
        let draw = self.draw() as usize;
        if !draw.is_multiple_of(4)
            && let Some(courses) = self.pick_breach(product, draw / 4)
        {
            return Some(courses);
        }
        let slack = self.stocks[product].slack_boards();
        if slack.is_empty() {
            return None;
        }
        let reach = slack.len().min(8 + slack.len() / 4);
        let board = slack[draw % reach];
        let mut courses: BTreeSet<usize> = self.stocks[product]
            .pieces_on(board)
            .into_iter()
            .map(|p| self.pieces[p as usize].course)
            .collect();
        if let Some(&first) = courses.first()
            && draw.is_multiple_of(3)
        {
            let above = self.plan.courses[first].above.iter();
            courses.extend(above.filter(|&&c| self.plan.courses[c].product == product));
        }
        let mut list: Vec<usize> = courses.into_iter().take(3).collect();
        if (draw / 3).is_multiple_of(2) {
            list.reverse();
        }
        Some(list)
    }

    /// A course that breaks a rule, together with a neighbour that may give way.
    fn pick_breach(&self, product: usize, draw: usize) -> Option<Vec<usize>> {
        let courses = &self.plan.courses;
        let broken: Vec<usize> = (0..courses.len())
            .filter(|&c| courses[c].product == product && self.laid[c].penalty > 0)
            .collect();
        let &course = broken.get(draw % broken.len().max(1))?;
        let same = |list: &[usize]| list.iter().copied().find(|&c| courses[c].product == product);
        let (below, above) = (same(&courses[course].below), same(&courses[course].above));
        let order = match draw / broken.len() % 5 {
            0 => [Some(course), None, None],
            1 => [below, Some(course), None],
            2 => [above, Some(course), None],
            3 => [Some(course), below, above],
            _ => [below, Some(course), above],
        };
        Some(order.into_iter().flatten().collect())
    }

    /// Lays some courses anew and keeps the result if it is no worse. Says whether it is better.
    fn attempt(&mut self, product: usize, courses: &[usize]) -> bool {
        let penalty = |s: &Self| courses.iter().map(|&c| s.laid[c].penalty).sum::<i64>();
        let before = self.weight(product) + penalty(self);
        let saved: Vec<Laid> = courses.iter().map(|&c| self.laid[c].clone()).collect();
        let saved_pieces: Vec<(u32, Work)> = saved
            .iter()
            .flat_map(|l| &l.pieces)
            .map(|&p| (p, self.pieces[p as usize].clone()))
            .collect();
        self.stocks[product].begin();
        let own: BTreeSet<u32> = saved_pieces.iter().map(|p| p.0).collect();
        let mut evicted: Vec<(u32, Place)> = Vec::new();
        let mut off: BTreeSet<u32> = BTreeSet::new();
        for &(id, ref work) in &saved_pieces {
            if off.contains(&id) {
                continue;
            }
            for other in self.stocks[product].remove(work.place) {
                off.insert(other);
                if !own.contains(&other) {
                    evicted.push((other, self.pieces[other as usize].place));
                }
            }
        }
        let first_new = self.pieces.len();
        let vacant = self.vacant.clone();
        for &course in courses {
            self.laid[course] = Laid::default();
        }
        for &course in courses {
            let shake = self.draw();
            self.lay(course, shake);
        }
        self.cut_all(product, evicted.iter().map(|e| e.0).collect());
        let after = self.weight(product) + penalty(self);
        if after <= before {
            self.stocks[product].keep();
            self.vacant.extend(own);
            return after < before;
        }
        self.stocks[product].take_back();
        for (course, laid) in courses.iter().zip(saved) {
            self.laid[*course] = laid;
        }
        for (id, work) in saved_pieces {
            self.pieces[id as usize] = work;
        }
        for (id, place) in evicted {
            self.pieces[id as usize].place = place;
        }
        self.pieces.truncate(first_new);
        self.vacant = vacant;
        false
    }
}
