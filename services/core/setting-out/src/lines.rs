//! Course lines: where the first course begins, and where a course is ripped so that no line meets a sill or a lintel.

use alloc::collections::BTreeMap;
use alloc::vec::Vec;
use core::cmp::Ordering;

use crate::geometry::{Column, Span};

/// A level that course lines have to keep away from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Level {
    pub y: i32,
    /// A sill, a lintel, a crack: a line is not to be nearer, nor on it. Nothing at an eaves or a step, which is best met
    /// exactly.
    pub clear: i32,
    /// Nearer than this, below and above it, a line leaves strips that are too low.
    pub low: [i32; 2],
    /// In so many pieces.
    pub pieces: i64,
}

impl Level {
    /// How far below and above it a line is near enough for nothing.
    pub fn reach(&self) -> [i32; 2] {
        self.low.map(|low| low.max(self.clear))
    }
    /// What a line at `y` breaks, in thousandths of a breach: one at the least, and up to two by how near it is.
    fn broken(&self, y: i32) -> i64 {
        let distance = (y - self.y).abs();
        let short = |reach: i32| match reach - distance {
            short @ 1.. => 1000 + i64::from(short) * 1000 / i64::from(reach),
            _ => 0,
        };
        let [below, above] = self.low.map(short);
        let strips = match y.cmp(&self.y) {
            Ordering::Less => below,
            Ordering::Equal => 0,
            Ordering::Greater => above,
        };
        short(self.clear) + self.pieces * strips
    }
}

/// What the choice of lines for one group of lanes rests on.
#[derive(Clone, Debug, Default)]
pub struct Ground {
    pub bottom: i32,
    pub top: i32,
    /// Lines that are given: the edges of fire-barrier strips.
    pub forced: Vec<i32>,
    pub levels: Vec<Level>,
    /// How wide the wall is where it has these upright spans.
    pub profile: BTreeMap<Vec<Span>, i64>,
    pub course_height: i32,
    pub board_length: i32,
    pub min_height: i32,
    pub kerf: i32,
}

/// How course lines are chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outlook {
    /// Whole courses from the bottom up and between given lines, wherever sills and lintels lie.
    Plain,
    /// The cheapest that keep clear of sills and lintels.
    Priced {
        /// How much use is expected of what is left beside a strip.
        rests: Rests,
        /// What it costs to rip a course, in thousandths of its area.
        rip: i64,
    },
}

impl Outlook {
    /// Few ripped courses, and some use for what they leave.
    pub const CALM: Self = Self::calm(Rests::Half);

    /// Few ripped courses: one costs a quarter of its area.
    pub const fn calm(rests: Rests) -> Self {
        Self::Priced { rests, rip: 250 }
    }

    /// Ripped courses wherever that saves boards.
    pub const fn busy(rests: Rests) -> Self {
        Self::Priced { rests, rip: 40 }
    }
}

/// How much use is expected of what is left beside a strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rests {
    /// Half of it finds one.
    Half,
    /// All of it.
    All,
    /// None of it.
    None,
}

/// So many residues of the course height are tried; more would not fit the time of a large building.
const RESIDUES: usize = 48;
/// A sloping top is judged in so many level steps.
const SLOPE_STEPS: i32 = 12;
/// Bands weighed at most; a taller or more broken wall is tried at fewer residues.
const BANDS: usize = 120_000;

/// Adds the upright spans of a lane to a profile.
pub fn add_profile(profile: &mut BTreeMap<Vec<Span>, i64>, columns: &[Column]) {
    for column in columns {
        let level = column
            .segments
            .iter()
            .all(crate::geometry::Segment::is_level);
        let steps = if level {
            1
        } else {
            SLOPE_STEPS.min(column.x1 - column.x0).max(1)
        };
        for step in 0..steps {
            let width = column.x1 - column.x0;
            let (from, to) = (
                column.x0 + width * step / steps,
                column.x0 + width * (step + 1) / steps,
            );
            let middle = i32::midpoint(from, to);
            let spans: Vec<Span> = column
                .segments
                .iter()
                .map(|s| Span {
                    lo: s.lo_at(middle),
                    hi: s.hi_at(middle),
                })
                .filter(|s| s.lo < s.hi)
                .collect();
            if to > from && !spans.is_empty() {
                *profile.entry(spans).or_default() += i64::from(to - from);
            }
        }
    }
}

impl Ground {
    /// The course lines from bottom to top.
    pub fn choose(&self, outlook: Outlook) -> Vec<i32> {
        match outlook {
            Outlook::Plain => self.whole(),
            Outlook::Priced { rests, rip } => self.cheapest(rests, rip),
        }
    }

    /// Whole courses from the bottom up, ripped only under a given line and at the top.
    fn whole(&self) -> Vec<i32> {
        let mut lines = alloc::vec![self.bottom];
        let mut last = self.bottom;
        for &stop in self.forced.iter().chain([&self.top]) {
            while last + self.course_height < stop {
                last += self.course_height;
                lines.push(last);
            }
            last = stop;
            lines.push(last);
        }
        lines
    }

    fn cheapest(&self, rests: Rests, rip: i64) -> Vec<i32> {
        let candidates = self.candidates();
        let spans = self.spans();
        let breach = self.breach();
        let strips = 1..=self.course_height;
        let taken: Vec<i64> = core::iter::once(0)
            .chain(strips.map(|height| self.taken(height, rests)))
            .collect();
        let count = candidates.len();
        let mut best: Vec<Option<(i64, usize)>> = alloc::vec![None; count];
        if let Some(first) = best.first_mut() {
            *first = Some((0, 0));
        }
        for to in 1..count {
            let line = self.line_cost(candidates[to], breach);
            for from in (0..to).rev() {
                let height = candidates[to] - candidates[from];
                if height > self.course_height {
                    break;
                }
                let Some((so_far, _)) = best[from] else {
                    continue;
                };
                let band = [candidates[from], candidates[to]];
                let cost = so_far + line + self.band_cost(band, &spans, &taken, [rip, breach]);
                if best[to].is_none_or(|b| cost < b.0) {
                    best[to] = Some((cost, from));
                }
                if self.forced.contains(&candidates[from]) {
                    break;
                }
            }
        }
        let mut lines = Vec::new();
        let mut at = count.saturating_sub(1);
        while let (Some(&y), Some((_, from))) =
            (candidates.get(at), best.get(at).copied().flatten())
        {
            lines.push(y);
            if at == 0 {
                break;
            }
            at = from;
        }
        lines.reverse();
        lines
    }

    fn candidates(&self) -> Vec<i32> {
        let mut weight: BTreeMap<i32, i64> = BTreeMap::new();
        let height = self.course_height;
        let mut note = |y: i32, by: i64| {
            *weight
                .entry((y - self.bottom).rem_euclid(height))
                .or_default() += by;
        };
        note(self.bottom, 1_000_000);
        note(self.top, 10_000);
        for &y in &self.forced {
            note(y, 1_000_000);
        }
        for level in &self.levels {
            let [below, above] = level.reach();
            note(level.y - below, 2);
            note(level.y + above, 2);
            if level.clear == 0 {
                note(level.y, 10);
            }
            for part in 2..=3 {
                note(level.y - height / part, 1);
                note(level.y + height / part, 1);
            }
        }
        note(self.bottom + height / 2, 5);
        let courses = ((self.top - self.bottom) / height + 1) as usize;
        let work = self.profile.len().div_ceil(16).max(1) * courses;
        let allowed = (1..=RESIDUES)
            .rev()
            .find(|n| n * n * work <= BANDS)
            .unwrap_or(1)
            .max(2);
        let mut residues: Vec<(i64, i32)> = weight.into_iter().map(|(r, w)| (-w, r)).collect();
        residues.sort_unstable();
        residues.truncate(allowed.max(self.forced.len().min(16) + 2));
        let mut lines: Vec<i32> = Vec::new();
        for (_, residue) in residues {
            let mut y = self.bottom + residue;
            while y < self.top {
                lines.push(y);
                y += height;
            }
        }
        lines.extend(
            self.forced
                .iter()
                .copied()
                .filter(|y| (self.bottom..self.top).contains(y)),
        );
        lines.extend([self.bottom, self.top]);
        lines.sort_unstable();
        lines.dedup();
        lines.retain(|y| !self.in_strip(*y));
        lines
    }

    /// Whether a line would lie within a fire-barrier strip, no higher than a course, that leaves nothing beside it to part.
    fn in_strip(&self, y: i32) -> bool {
        self.forced.windows(2).any(|strip| {
            let [lo, hi] = [strip[0], strip[1]];
            let mut spans = self.profile.keys().flatten();
            let low = hi - lo <= self.course_height;
            low && lo < y && y < hi && spans.all(|s| s.hi <= lo || hi <= s.lo)
        })
    }

    /// A breach weighs more than any saving: forty boards, and four courses of the whole wall.
    fn breach(&self) -> i64 {
        let across: i64 = self.profile.values().sum();
        (i64::from(self.board_length) * 40 + across * 4) * i64::from(self.course_height)
    }

    fn line_cost(&self, y: i32, breach: i64) -> i64 {
        if y >= self.top {
            return 0;
        }
        self.levels
            .iter()
            .map(|l| breach * l.broken(y) / 1000)
            .sum()
    }

    /// The board height that a strip will take: between its own height, as if its offcut found a use, and the share of
    /// a board that it takes when strips of its height are cut side by side.
    fn taken(&self, height: i32, rests: Rests) -> i64 {
        let (full, kerf) = (self.course_height, self.kerf);
        if height >= full {
            return i64::from(full);
        }
        let beside = ((full + kerf) / (height + kerf)).max(1);
        match rests {
            Rests::Half => i64::from(height + full / beside) / 2 + 1,
            Rests::All => i64::from(height) + 1,
            Rests::None => i64::from(full / beside) + 1,
        }
    }

    /// How wide the wall is over each upright span.
    fn spans(&self) -> Vec<(Span, i64)> {
        let mut spans: BTreeMap<Span, i64> = BTreeMap::new();
        for (column, across) in &self.profile {
            for &span in column {
                *spans.entry(span).or_default() += across;
            }
        }
        spans.into_iter().collect()
    }

    /// The board area that the wall between two lines will take, and the rips: one cut for each board and one more course.
    /// Given are the wall's spans, what strips of each height take, up to a whole board, and the weight of a rip and of
    /// a piece that is too low.
    fn band_cost(
        &self,
        [from, to]: [i32; 2],
        spans: &[(Span, i64)],
        taken: &[i64],
        [rip, breach]: [i64; 2],
    ) -> i64 {
        let full = self.course_height;
        let mut area = 0;
        let mut width = 0;
        for (span, across) in spans {
            let height = span.hi.min(to) - span.lo.max(from);
            if height <= 0 {
                continue;
            }
            width += across;
            area += across
                * taken
                    .get(height as usize)
                    .copied()
                    .unwrap_or(i64::from(full));
        }
        // One more level joint decides between equals.
        let mut cost = area + width * i64::from(full) / 50;
        if to - from < full && to < self.top {
            cost += width * i64::from(full) * rip / 1000;
        }
        if to - from < self.min_height {
            let pieces = width / i64::from(self.board_length.max(1)) + 1;
            cost += breach * pieces;
        }
        cost
    }
}
