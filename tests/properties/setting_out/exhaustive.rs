//! The fewest boards for small walls, by trying everything. It shares no code with the engine: it reads the job, and of a layout
//! only where its courses lie.
//!
//! Every joint is tried at every place of a grid, every set of pieces that joints make is parted among boards in every way,
//! and every board is cut from edge to edge in every way, in any number of stages. What is cut out of a notched piece is
//! stock. Left out are cuts that stop inside a board elsewhere than at a notch, and joints between two places of the grid: a
//! layout may take fewer boards than found here only where a joint of it stands off the grid.
//!
//! Walls are rectangles with free ends and at most one opening; a base line is level.

use std::collections::{BTreeSet, HashMap};

use setting_out::{Course, Job, Layout, Piece, Rotation, Rules, Wall};

/// The rectangle that a piece is cut from, in millimetres, and what is cut out of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Blank {
    /// What it takes of a board at least, with a kerf beside it and over it: where a rectangle grown by the kerf is cut in two, the
    /// parts grown so fill it.
    room: i32,
    width: i32,
    height: i32,
    /// Of what is cut out, as much as is left for another piece.
    notch: (i32, i32),
}

/// A set of pieces, the largest first.
type Pieces = Vec<Blank>;

/// From left, bottom to right, top.
type Box4 = (i32, i32, i32, i32);

fn size(of: Box4) -> (i32, i32) {
    ((of.2 - of.0).max(0), (of.3 - of.1).max(0))
}

fn shared(a: Box4, b: Box4) -> Box4 {
    (a.0.max(b.0), a.1.max(b.1), a.2.min(b.2), a.3.min(b.3))
}

impl Blank {
    /// A piece that takes all of a rectangle but what of an opening lies in it.
    fn around(rect: Box4, opening: Option<Box4>, kerf: i32) -> Self {
        let (width, height) = size(rect);
        let out = opening.map(|o| shared(rect, o));
        let out = out.filter(|o| o.0 < o.2 && o.1 < o.3);
        let grown = |(w, h): (i32, i32)| (w + kerf) * (h + kerf);
        let (mut room, mut notch) = (grown((width, height)), (0, 0));
        if let Some(out) = out {
            let (w, h) = size(out);
            // Each side of the notch that is not one of the rectangle's is sawn.
            let sawn = |sides: [bool; 2]| kerf * sides.iter().filter(|s| **s).count() as i32;
            notch = (
                w - sawn([out.0 > rect.0, out.2 < rect.2]),
                h - sawn([out.1 > rect.1, out.3 < rect.3]),
            );
            if notch.0 > 0 && notch.1 > 0 {
                room -= grown(notch);
            }
        }
        Self {
            room,
            width,
            height,
            notch,
        }
    }
}

/// Boards of one size, and what was found out about cutting them.
pub struct Saw {
    board: (i32, i32),
    kerf: i32,
    turns: bool,
    fits: HashMap<((i32, i32), Pieces), bool>,
    within: HashMap<(Pieces, u32), bool>,
}

impl Saw {
    pub fn of(job: &Job) -> Self {
        let stock = &job.boards[0];
        Self {
            board: (stock.length.0, stock.height.0),
            kerf: stock.kerf.0,
            turns: stock.rotation == Rotation::Allowed,
            fits: HashMap::new(),
            within: HashMap::new(),
        }
    }

    fn grown(&self, (width, height): (i32, i32)) -> i32 {
        (width + self.kerf) * (height + self.kerf)
    }

    /// Whether pieces can be cut from a rectangle.
    fn fits(&mut self, from: (i32, i32), pieces: &[Blank]) -> bool {
        let Some(largest) = pieces.first() else {
            return true;
        };
        if room(pieces) > self.grown(from) {
            return false;
        }
        let lies = |p: &Blank, turns: bool| {
            p.width <= from.0 && p.height <= from.1
                || turns && p.height <= from.0 && p.width <= from.1
        };
        if !pieces.iter().all(|p| lies(p, self.turns)) {
            return false;
        }
        if pieces == [*largest] {
            return true;
        }
        let key = (from, pieces.to_vec());
        if let Some(&known) = self.fits.get(&key) {
            return known;
        }
        let fits = self.fits_in_notch(pieces) || self.fits_parted(from, pieces);
        self.fits.insert(key, fits);
        fits
    }

    /// Whether one of the pieces, which lies in its rectangle, has a notch for all others.
    fn fits_in_notch(&mut self, pieces: &[Blank]) -> bool {
        (0..pieces.len()).any(|holder| {
            let mut others = pieces.to_vec();
            let notch = others.remove(holder).notch;
            notch.0 > 0 && notch.1 > 0 && self.fits(notch, &others)
        })
    }

    /// Whether one cut from edge to edge leaves some of the pieces at either side.
    fn fits_parted(&mut self, from: (i32, i32), pieces: &[Blank]) -> bool {
        for (one, other) in partings(pieces) {
            for upright in [true, false] {
                let [along, across] = if upright {
                    [from.0, from.1]
                } else {
                    [from.1, from.0]
                };
                let part = |along: i32| {
                    if upright {
                        (along, across)
                    } else {
                        (across, along)
                    }
                };
                // As much as the one side needs; the other gets the rest.
                let needed = self.lengths(&one, upright, along);
                let least = needed.into_iter().find(|&x| self.fits(part(x), &one));
                let rest = least.map(|least| along - least - self.kerf);
                if rest.is_some_and(|rest| rest > 0 && self.fits(part(rest), &other)) {
                    return true;
                }
            }
        }
        false
    }

    /// The lengths that pieces side by side can take, the shortest first.
    fn lengths(&self, pieces: &[Blank], upright: bool, most: i32) -> BTreeSet<i32> {
        let mut lengths = BTreeSet::from([0]);
        for p in pieces {
            let mut sides = vec![if upright { p.width } else { p.height }];
            if self.turns {
                sides.push(if upright { p.height } else { p.width });
            }
            let more = lengths.iter().flat_map(|so_far| {
                let gap = if *so_far > 0 { self.kerf } else { 0 };
                sides.iter().map(move |side| so_far + gap + side)
            });
            let more: Vec<i32> = more.filter(|x| *x <= most).collect();
            lengths.extend(more);
        }
        lengths.remove(&0);
        lengths
    }

    /// Whether so many boards are enough for all pieces.
    fn within(&mut self, pieces: &[Blank], boards: u32) -> bool {
        let Some((first, rest)) = pieces.split_first() else {
            return true;
        };
        let board = self.grown(self.board);
        // What is left must fit on one board less.
        let least = room(pieces) - board * (boards as i32 - 1);
        if least > board {
            return false;
        }
        let key = (pieces.to_vec(), boards);
        if let Some(&known) = self.within.get(&key) {
            return known;
        }
        let enough = self.shares(*first, rest, least, boards);
        self.within.insert(key, enough);
        enough
    }

    /// Whether a piece can share its board with some of the others so that one board less is enough for what is left.
    fn shares(&mut self, first: Blank, rest: &[Blank], least: i32, boards: u32) -> bool {
        subsets(rest).any(|(with, left)| {
            let mut own = vec![first];
            own.extend(with);
            room(&own) >= least && self.fits(self.board, &own) && self.within(&left, boards - 1)
        })
    }

    /// The fewest boards for one of several sets of pieces.
    pub fn fewest(&mut self, sets: &BTreeSet<Pieces>) -> Option<u32> {
        let most = sets.iter().map(Vec::len).min()? as u32;
        (1..=most).find(|&boards| sets.iter().any(|set| self.within(set, boards)))
    }
}

fn room(pieces: &[Blank]) -> i32 {
    pieces.iter().map(|p| p.room).sum()
}

/// All ways to choose some of sorted pieces: those and the others. Like pieces are not told apart.
fn subsets(pieces: &[Blank]) -> impl Iterator<Item = (Pieces, Pieces)> {
    let mut kinds: Vec<(Blank, usize)> = Vec::new();
    for &piece in pieces {
        match kinds.last_mut() {
            Some((kind, count)) if *kind == piece => *count += 1,
            _ => kinds.push((piece, 1)),
        }
    }
    let ways: usize = kinds.iter().map(|(_, count)| count + 1).product();
    (0..ways).rev().map(move |mut way| {
        let (mut some, mut others) = (Vec::new(), Vec::new());
        for (kind, count) in &kinds {
            let taken = way % (count + 1);
            way /= count + 1;
            some.extend(std::iter::repeat_n(*kind, taken));
            others.extend(std::iter::repeat_n(*kind, count - taken));
        }
        (some, others)
    })
}

/// All ways to part pieces in two, none of them empty.
fn partings(pieces: &[Blank]) -> Vec<(Pieces, Pieces)> {
    let all = subsets(pieces);
    all.filter(|(one, other)| !one.is_empty() && !other.is_empty())
        .collect()
}

/// A wall, column by column of the grid.
struct Ground<'a> {
    wall: &'a Wall,
    opening: Option<Box4>,
    grid: i32,
    kerf: i32,
}

/// One way to lay a course.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Way {
    /// Joints that reach its lower and its upper line.
    reach: [Vec<i32>; 2],
    pieces: Pieces,
}

impl<'a> Ground<'a> {
    fn of(job: &'a Job, wall: usize, grid: i32) -> Self {
        let wall = &job.walls[wall];
        assert!(wall.openings.len() < 2 && wall.outline.len() == 4);
        Self {
            wall,
            opening: opening(wall),
            grid,
            kerf: job.boards[0].kerf.0,
        }
    }

    fn ends(&self) -> [i32; 2] {
        let xs = self.wall.outline.iter().map(|p| p.x.0);
        [xs.clone().min().unwrap_or(0), xs.max().unwrap_or(0)]
    }

    /// What of a course stands in the column right of `x`, from the bottom up.
    fn column(&self, course: [i32; 2], x: i32) -> Vec<[i32; 2]> {
        let [x0, x1] = self.ends();
        if x < x0 || x >= x1 {
            return Vec::new();
        }
        let [lo, hi] = course;
        let through = self.opening.filter(|o| o.0 <= x && x < o.2);
        let parts = match through {
            Some(o) => vec![[lo, hi.min(o.1)], [lo.max(o.3), hi]],
            None => vec![[lo, hi]],
        };
        parts.into_iter().filter(|s| s[0] < s[1]).collect()
    }

    /// The heights over which a joint of a course at `x` parts boards.
    fn joint(&self, course: [i32; 2], x: i32) -> Vec<[i32; 2]> {
        let left = self.column(course, x - self.grid);
        let right = self.column(course, x);
        let both = left
            .iter()
            .flat_map(|a| right.iter().map(|b| [a[0].max(b[0]), a[1].min(b[1])]));
        both.filter(|s| s[0] < s[1]).collect()
    }

    /// The pieces of a course from one joint or end to the next: what hangs together.
    fn pieces(&self, course: [i32; 2], from: i32, to: i32) -> Vec<Box4> {
        let columns = (from..to).step_by(self.grid as usize);
        let cell = |x: i32| {
            let spans = self.column(course, x).into_iter();
            spans.map(move |s| (x, s[0], x + self.grid, s[1]))
        };
        let mut loose: Vec<Box4> = columns.flat_map(cell).collect();
        let mut pieces = Vec::new();
        while let Some(first) = loose.pop() {
            let mut piece = vec![first];
            let mut at = 0;
            while let Some(&own) = piece.get(at) {
                let meets = |c: &Box4| c.0 <= own.2 && own.0 <= c.2 && c.1 < own.3 && own.1 < c.3;
                let (met, others) = loose.into_iter().partition(meets);
                let met: Vec<Box4> = met;
                loose = others;
                piece.extend(met);
                at += 1;
            }
            let grown = piece.iter().fold(first, |all, c| {
                (
                    all.0.min(c.0),
                    all.1.min(c.1),
                    all.2.max(c.2),
                    all.3.max(c.3),
                )
            });
            pieces.push(grown);
        }
        pieces
    }

    /// Whether a joint of a course at `x` is too near a jamb that ends in the course.
    fn near_a_jamb(&self, course: [i32; 2], x: i32, keep_out: i32) -> bool {
        let Some(o) = self.opening else { return false };
        let [x0, x1] = self.ends();
        let ys = self.wall.outline.iter().map(|p| p.y.0);
        let (bottom, top) = (ys.clone().min().unwrap_or(0), ys.max().unwrap_or(0));
        let [lo, hi] = course;
        // Boards go on under the sill, or over the lintel.
        let sill = bottom < o.1 && lo < o.1 && o.1 <= hi;
        let lintel = o.3 < top && lo <= o.3 && o.3 < hi;
        let jambs = [o.0, o.2].into_iter().filter(|j| x0 < *j && *j < x1);
        (sill || lintel) && jambs.into_iter().any(|j| (j - x).abs() < keep_out)
    }

    /// All lawful ways to lay a course.
    fn ways(&self, course: [i32; 2], length: i32, rules: &Rules) -> Vec<Way> {
        let [x0, x1] = self.ends();
        let grid = self.grid as usize;
        let solid = |x: i32| !self.column(course, x).is_empty();
        // Runs of boards, between the ends and openings that take all of the course.
        let mut runs: Vec<[i32; 2]> = Vec::new();
        for x in (x0..x1).step_by(grid).filter(|x| solid(*x)) {
            match runs.last_mut() {
                Some(run) if run[1] == x => run[1] += self.grid,
                _ => runs.push([x, x + self.grid]),
            }
        }
        let mut ways = vec![Way::default()];
        for [from, to] in runs {
            // Ways to lay the run as far as each place.
            let mut upto: HashMap<i32, Vec<Way>> = HashMap::from([(from, ways)]);
            for x in (from..=to).step_by(grid).skip(1) {
                let lawful = x == to
                    || !self.near_a_jamb(course, x, rules.opening_keep_out.0)
                        && !self.joint(course, x).is_empty();
                if !lawful {
                    continue;
                }
                let mut here = Vec::new();
                for start in (from..x).step_by(grid).filter(|s| x - s <= length) {
                    let Some(before) = upto.get(&start) else {
                        continue;
                    };
                    let pieces = self.pieces(course, start, x);
                    if pieces.iter().any(|p| size(*p).0 < rules.min_piece_width.0) {
                        continue;
                    }
                    let blank = |p: Box4| Blank::around(p, self.opening, self.kerf);
                    let blanks: Pieces = pieces.into_iter().map(blank).collect();
                    for way in before {
                        let mut way = way.clone();
                        way.pieces.extend(&blanks);
                        if x < to {
                            way.note(&self.joint(course, x), course, x);
                        }
                        here.push(way);
                    }
                }
                upto.insert(x, here);
            }
            ways = upto.remove(&to).unwrap_or_default();
        }
        for way in &mut ways {
            sort(&mut way.pieces);
        }
        ways.sort();
        ways.dedup();
        ways
    }
}

impl Way {
    fn note(&mut self, joint: &[[i32; 2]], course: [i32; 2], x: i32) {
        for (side, reach) in self.reach.iter_mut().enumerate() {
            if joint.iter().any(|span| span[side] == course[side]) {
                reach.push(x);
            }
        }
    }
}

fn sort(pieces: &mut Pieces) {
    pieces.sort_unstable_by(|a, b| b.cmp(a));
}

fn opening(wall: &Wall) -> Option<Box4> {
    let o = wall.openings.first()?;
    Some((
        o.corner.x.0,
        o.corner.y.0,
        (o.corner.x + o.width).0,
        (o.corner.y + o.height).0,
    ))
}

/// What a layout's own pieces are cut from.
pub fn blanks(job: &Job, layout: &Layout) -> Pieces {
    let kerf = job.boards[0].kerf.0;
    let blank = |piece: &Piece| {
        let xs = || piece.outline.iter().map(|p| p.x.0);
        let ys = || piece.outline.iter().map(|p| p.y.0);
        let least = |v: Option<i32>| v.expect("a corner");
        let around = (
            least(xs().min()),
            least(ys().min()),
            least(xs().max()),
            least(ys().max()),
        );
        Blank::around(around, opening(&job.walls[piece.wall]), kerf)
    };
    let mut blanks: Pieces = layout.pieces.iter().map(blank).collect();
    sort(&mut blanks);
    blanks
}

/// The sets of pieces that all lawful layouts on given courses are made of, with joints on the grid. None: there are more
/// than `most`, or more ways through a wall.
pub fn sets(job: &Job, courses: &[Course], grid: i32, most: usize) -> Option<BTreeSet<Pieces>> {
    let mut all = BTreeSet::from([Pieces::new()]);
    for wall in 0..job.walls.len() {
        let own = sets_of_wall(job, courses, wall, grid, most)?;
        if all.len() * own.len() > most {
            return None;
        }
        let join = |(a, b): (&Pieces, &Pieces)| {
            let mut both = [a.as_slice(), b].concat();
            sort(&mut both);
            both
        };
        let pairs = all.iter().flat_map(|a| own.iter().map(move |b| (a, b)));
        all = pairs.map(join).collect();
    }
    Some(all)
}

fn sets_of_wall(
    job: &Job,
    courses: &[Course],
    wall: usize,
    grid: i32,
    most: usize,
) -> Option<BTreeSet<Pieces>> {
    let ground = Ground::of(job, wall, grid);
    let mut own: Vec<[i32; 2]> = courses
        .iter()
        .filter(|c| c.wall == wall)
        .map(|c| [c.bottom.0, c.top.0])
        .collect();
    own.sort_unstable();
    let stagger = job.rules.stagger.0;
    let apart = |a: &[i32], b: &[i32]| {
        let mut pairs = a.iter().flat_map(|x| b.iter().map(move |y| (x - y).abs()));
        pairs.all(|d| d >= stagger)
    };
    // By the joints that reach the upper line of the last course: the pieces so far.
    let mut below: BTreeSet<(Vec<i32>, Pieces)> = BTreeSet::from([(Vec::new(), Pieces::new())]);
    for course in own {
        let mut here = BTreeSet::new();
        for way in ground.ways(course, job.boards[0].length.0, &job.rules) {
            let [bottoms, tops] = way.reach;
            for (_, so_far) in below.iter().filter(|(under, _)| apart(under, &bottoms)) {
                let mut pieces = [so_far.as_slice(), &way.pieces].concat();
                sort(&mut pieces);
                here.insert((tops.clone(), pieces));
                if here.len() > most {
                    return None;
                }
            }
        }
        below = here;
    }
    Some(below.into_iter().map(|(_, pieces)| pieces).collect())
}
