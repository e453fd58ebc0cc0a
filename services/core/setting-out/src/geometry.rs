//! A course as columns of solid wall, and pieces as their outlines.

use alloc::vec::Vec;

use quantity::Mm;
use smallvec::{SmallVec, smallvec};

use crate::Point;

/// Far beyond any wall: used to carry a base line or a strip past the ends of a wall.
pub const BEYOND: i32 = 20_000;

/// An upright rectangle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rect {
    pub x0: i32,
    pub y0: i32,
    pub x1: i32,
    pub y1: i32,
}

impl Rect {
    pub fn width(self) -> i32 {
        self.x1 - self.x0
    }
    pub fn height(self) -> i32 {
        self.y1 - self.y0
    }
    pub fn area(self) -> i64 {
        i64::from(self.width()) * i64::from(self.height())
    }
}

/// Two levels between which something lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    pub lo: i32,
    pub hi: i32,
}

/// Stretches sorted, those that meet as one.
pub fn joined(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_unstable();
    let mut all: Vec<Span> = Vec::new();
    for span in spans {
        match all.last_mut() {
            Some(last) if span.lo <= last.hi => last.hi = last.hi.max(span.hi),
            _ => all.push(span),
        }
    }
    all
}

/// What sorted stretches, none of which overlaps another, have in common with others of the kind.
pub fn common(a: &[Span], b: &[Span]) -> Vec<Span> {
    let (mut i, mut j, mut both) = (0, 0, Vec::new());
    while let (Some(a), Some(b)) = (a.get(i), b.get(j)) {
        let (lo, hi) = (a.lo.max(b.lo), a.hi.min(b.hi));
        if lo < hi {
            both.push(Span { lo, hi });
        }
        if a.hi <= b.hi { i += 1 } else { j += 1 }
    }
    both
}

/// An edge of the outline that is not upright, from left to right.
#[derive(Clone, Copy, Debug)]
pub struct Edge {
    pub x0: i32,
    pub y0: i32,
    pub x1: i32,
    pub y1: i32,
}

impl Edge {
    /// The level at `x`, to the nearest whole millimetre.
    fn at(self, x: i32) -> i32 {
        interpolate((self.x0, self.y0), (self.x1, self.y1), x)
    }
    /// The levels at both ends of a stretch, kept between the first and the last of some levels, which are sorted. Where the edge
    /// crosses one of them it is that one: on a steep edge the nearest whole millimetre along the wall lies more than half a
    /// millimetre above or below. Where it crosses several in one millimetre, the stretch lies beyond them all or before them all.
    fn between(self, x: (i32, i32), levels: &[i32]) -> [i32; 2] {
        let (&[lo, ..], &[.., hi]) = (levels, levels) else {
            return [self.at(x.0), self.at(x.1)];
        };
        let crossed = |y: &&i32, x: i32| self.crossing(**y) == Some(x);
        let lowest = |x: i32| levels.iter().find(|y| crossed(y, x));
        let highest = |x: i32| levels.iter().rev().find(|y| crossed(y, x));
        let (last, first) = if self.y0 < self.y1 {
            (highest(x.0), lowest(x.1))
        } else {
            (lowest(x.0), highest(x.1))
        };
        let near = |x: i32| self.at(x).clamp(lo, hi);
        [
            last.copied().unwrap_or_else(|| near(x.0)),
            first.copied().unwrap_or_else(|| near(x.1)),
        ]
    }
    /// Where the edge crosses a level, if it slopes and does.
    fn crossing(self, y: i32) -> Option<i32> {
        let (lo, hi) = (self.y0.min(self.y1), self.y0.max(self.y1));
        (lo < y && y < hi).then(|| interpolate((self.y0, self.x0), (self.y1, self.x1), y))
    }
}

/// The value at `t` on the line through `a` and `b`, rounded half up.
fn interpolate(a: (i32, i32), b: (i32, i32), t: i32) -> i32 {
    let run = i64::from(b.0) - i64::from(a.0);
    if run == 0 || a.1 == b.1 {
        return a.1;
    }
    let (rise, along) = (
        i64::from(b.1) - i64::from(a.1),
        i64::from(t) - i64::from(a.0),
    );
    let twice = 2 * rise * along;
    let rounded = if run > 0 {
        (twice + run).div_euclid(2 * run)
    } else {
        (-twice - run).div_euclid(-2 * run)
    };
    a.1 + rounded as i32
}

/// A part of a course with a straight lower and a straight upper edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Segment {
    pub x0: i32,
    pub x1: i32,
    pub lo: [i32; 2],
    pub hi: [i32; 2],
}

impl Segment {
    pub fn lo_at(&self, x: i32) -> i32 {
        interpolate((self.x0, self.lo[0]), (self.x1, self.lo[1]), x)
    }
    pub fn hi_at(&self, x: i32) -> i32 {
        interpolate((self.x0, self.hi[0]), (self.x1, self.hi[1]), x)
    }
    pub fn is_level(&self) -> bool {
        self.lo[0] == self.lo[1] && self.hi[0] == self.hi[1]
    }
    pub fn bottom(&self) -> i32 {
        self.lo[0].min(self.lo[1])
    }
    pub fn top(&self) -> i32 {
        self.hi[0].max(self.hi[1])
    }
    /// Twice the area.
    pub fn area2(&self) -> i64 {
        let left = i64::from(self.hi[0] - self.lo[0]);
        let right = i64::from(self.hi[1] - self.lo[1]);
        (left + right) * i64::from(self.x1 - self.x0)
    }
    pub fn clip(&self, from: i32, to: i32) -> Option<Self> {
        let (x0, x1) = (self.x0.max(from), self.x1.min(to));
        let clipped = (x0 < x1).then(|| Self {
            x0,
            x1,
            lo: [self.lo_at(x0), self.lo_at(x1)],
            hi: [self.hi_at(x0), self.hi_at(x1)],
        });
        // Nothing is left of a slope's foot that is lower than the grid.
        clipped.filter(|s| s.area2() > 0)
    }
}

/// The segments of a piece: in place while there are few.
pub type Segments = SmallVec<[Segment; 4]>;
/// Connected pieces between two joints.
pub type Pieces = SmallVec<[Segments; 1]>;
/// What falls out of a piece.
pub type Notches = SmallVec<[Rect; 2]>;

/// All segments over one stretch of a course, from the bottom up; more than one beside a small opening.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    pub x0: i32,
    pub x1: i32,
    pub segments: Vec<Segment>,
}

/// What a zone of a wall is made of.
#[derive(Clone, Debug, Default)]
pub struct LaneShape {
    pub edges: Vec<Edge>,
    pub voids: Vec<Rect>,
}

/// What a corner adds to and takes from one course.
#[derive(Clone, Debug, Default)]
pub struct Toothing {
    pub added: Vec<Rect>,
    pub taken: Vec<Rect>,
}

impl LaneShape {
    /// The solid part of the wall between two course lines, as columns from left to right.
    pub fn band(&self, lines: Span, toothing: &Toothing) -> Vec<Column> {
        let mut voids: Vec<Rect> = self
            .voids
            .iter()
            .chain(&toothing.taken)
            .copied()
            .filter(|v| v.y0 < lines.hi && v.y1 > lines.lo)
            .collect();
        voids.sort_unstable();
        let xs = self.critical(lines, &voids, toothing);
        let mut columns: Vec<Column> = Vec::new();
        let mut active: Vec<Rect> = Vec::new();
        let mut next = 0;
        for pair in xs.windows(2) {
            let (x0, x1) = (pair[0], pair[1]);
            active.retain(|v| v.x1 > x0);
            while next < voids.len() && voids[next].x0 <= x0 {
                if voids[next].x1 > x0 {
                    active.push(voids[next]);
                }
                next += 1;
            }
            let segments = self.segments((x0, x1), lines, &active, toothing);
            push_column(&mut columns, Column { x0, x1, segments });
        }
        columns
    }

    /// The solid part of one millimetre of the wall between two course lines, from the bottom up.
    pub fn at(&self, x: (i32, i32), lines: Span) -> Vec<Span> {
        let spans = |v: &&Rect| v.x0 <= x.0 && v.x1 >= x.1 && v.y0 < lines.hi && v.y1 > lines.lo;
        let voids: Vec<Rect> = self.voids.iter().filter(spans).copied().collect();
        let solid = self.segments(x, lines, &voids, &Toothing::default());
        let span = |s: &Segment| Span {
            lo: s.bottom(),
            hi: s.top(),
        };
        solid.iter().map(span).collect()
    }

    fn critical(&self, lines: Span, voids: &[Rect], toothing: &Toothing) -> Vec<i32> {
        let mut xs: Vec<i32> = Vec::new();
        for edge in &self.edges {
            xs.extend([edge.x0, edge.x1]);
            xs.extend(edge.crossing(lines.lo));
            xs.extend(edge.crossing(lines.hi));
            // A base line that runs out at a slope.
            for void in voids {
                let within = |x: &i32| void.x0 < *x && *x < void.x1;
                let levels = [void.y0, void.y1].into_iter();
                xs.extend(levels.filter_map(|y| edge.crossing(y)).filter(within));
            }
        }
        for rect in voids.iter().chain(&toothing.added) {
            xs.extend([rect.x0, rect.x1]);
        }
        xs.sort_unstable();
        xs.dedup();
        xs
    }

    fn segments(
        &self,
        x: (i32, i32),
        lines: Span,
        voids: &[Rect],
        toothing: &Toothing,
    ) -> Vec<Segment> {
        // Where zones and openings begin and end inside the course, edges meet them as they meet its lines.
        let within = |y: &i32| lines.lo < *y && *y < lines.hi;
        let inner = voids.iter().flat_map(|v| [v.y0, v.y1]).filter(within);
        let mut levels: Vec<i32> = inner.chain([lines.lo, lines.hi]).collect();
        levels.sort_unstable();
        let mut ends: Vec<[i32; 2]> = self
            .edges
            .iter()
            .filter(|e| e.x0 <= x.0 && e.x1 >= x.1)
            .map(|e| e.between(x, &levels))
            .collect();
        ends.sort_unstable_by_key(|y| (y[0] + y[1], y[0]));
        let mut solid: Vec<Segment> = Vec::new();
        for pair in ends.chunks_exact(2) {
            let (lo, hi) = (pair[0], pair[1]);
            solid.push(Segment {
                x0: x.0,
                x1: x.1,
                lo,
                hi: [hi[0].max(lo[0]), hi[1].max(lo[1])],
            });
        }
        for add in toothing.added.iter().filter(|r| r.x0 <= x.0 && r.x1 >= x.1) {
            let (lo, hi) = (add.y0.max(lines.lo), add.y1.min(lines.hi));
            solid.push(Segment {
                x0: x.0,
                x1: x.1,
                lo: [lo; 2],
                hi: [hi.max(lo); 2],
            });
        }
        for void in voids {
            solid = solid.into_iter().flat_map(|s| less(s, *void)).collect();
        }
        solid.retain(|s| s.area2() > 0);
        solid.sort_unstable_by_key(|s| (s.lo[0] + s.lo[1], s.hi[0]));
        solid
    }
}

/// A segment without what lies in a void that spans its whole width. Where a slope runs out at the void, what is left ends in a point on
/// the void's edge.
fn less(segment: Segment, void: Rect) -> impl Iterator<Item = Segment> {
    let hi = segment.hi.map(|y| y.min(void.y0));
    let lo = segment.lo.map(|y| y.max(void.y1));
    let below = Segment {
        lo: [segment.lo[0].min(hi[0]), segment.lo[1].min(hi[1])],
        hi,
        ..segment
    };
    let above = Segment {
        hi: [segment.hi[0].max(lo[0]), segment.hi[1].max(lo[1])],
        lo,
        ..segment
    };
    [below, above].into_iter().filter(|s| s.area2() > 0)
}

fn push_column(columns: &mut Vec<Column>, column: Column) {
    if column.segments.is_empty() {
        return;
    }
    if let Some(last) = columns.last_mut()
        && last.x1 == column.x0
        && last.segments.len() == column.segments.len()
        && last
            .segments
            .iter()
            .zip(&column.segments)
            .all(|(a, b)| a.is_level() && b.is_level() && a.lo == b.lo && a.hi == b.hi)
    {
        last.x1 = column.x1;
        for segment in &mut last.segments {
            segment.x1 = column.x1;
        }
        return;
    }
    columns.push(column);
}

/// An unbroken stretch of a course.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Run {
    pub x0: i32,
    pub x1: i32,
    pub columns: Vec<Column>,
}

/// The unbroken stretches of a course, from left to right.
pub fn runs(columns: Vec<Column>) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for column in columns {
        if let Some(run) = runs.last_mut()
            && run.x1 == column.x0
            && run
                .columns
                .last()
                .is_some_and(|left| shared(left, &column).next().is_some())
        {
            run.x1 = column.x1;
            run.columns.push(column);
            continue;
        }
        runs.push(Run {
            x0: column.x0,
            x1: column.x1,
            columns: alloc::vec![column],
        });
    }
    runs
}

/// Where two neighbouring columns touch.
fn shared<'a>(left: &'a Column, right: &'a Column) -> impl Iterator<Item = Span> + 'a {
    let with = |a: &'a Segment| {
        right.segments.iter().map(move |b| Span {
            lo: a.lo[1].max(b.lo[0]),
            hi: a.hi[1].min(b.hi[0]),
        })
    };
    left.segments.iter().flat_map(with).filter(|s| s.lo < s.hi)
}

impl Run {
    /// The column that begins at or before `x` and ends after it.
    pub fn column_after(&self, x: i32) -> usize {
        self.columns.partition_point(|c| c.x1 <= x)
    }
    /// Whether two joints stand in one column, all of whose edges are level.
    pub fn in_one_column(&self, x: i32, other: i32) -> bool {
        let column = self.columns.get(self.column_after(x));
        column.is_some_and(|c| {
            c.x0 <= other && other < c.x1 && c.segments.iter().all(Segment::is_level)
        })
    }
    /// Whether a joint at `x` reaches a level.
    pub fn reaches(&self, x: i32, y: i32) -> bool {
        self.joint(x).any(|s| s.lo == y || s.hi == y)
    }
    /// The upright spans along which a joint at `x` parts the run.
    pub fn joint(&self, x: i32) -> impl Iterator<Item = Span> + '_ {
        let index = self.column_after(x);
        let right = self.columns.get(index);
        let inside = right.filter(|c| c.x0 < x);
        let left = index.checked_sub(1).and_then(|i| self.columns.get(i));
        let between = right.zip(left).filter(|_| inside.is_none());
        let within = inside.into_iter().flat_map(|c| &c.segments);
        within
            .map(move |s| Span {
                lo: s.lo_at(x),
                hi: s.hi_at(x),
            })
            .filter(|s| s.lo < s.hi)
            .chain(
                between
                    .into_iter()
                    .flat_map(|(right, left)| shared(left, right)),
            )
    }
    /// The only segment between two joints, where the run is one level stretch there.
    pub fn plain(&self, from: i32, to: i32) -> Option<Segment> {
        let column = self.columns.get(self.column_after(from))?;
        let [segment] = column.segments.as_slice() else {
            return None;
        };
        if column.x1 < to || !segment.is_level() {
            return None;
        }
        segment.clip(from, to)
    }
    /// The segments between two joints, parted into connected pieces.
    pub fn pieces(&self, from: i32, to: i32) -> Pieces {
        let mut pieces = Pieces::new();
        let columns = self.columns.iter().skip(self.column_after(from));
        for column in columns.take_while(|c| c.x0 < to) {
            for segment in column.segments.iter().filter_map(|s| s.clip(from, to)) {
                join(&mut pieces, segment);
            }
        }
        pieces.sort_by_key(|p| p.first().map_or((0, 0), |s| (s.x0, s.lo[0])));
        pieces
    }
}

/// Adds a segment to the piece it touches, and makes one of pieces that it bridges.
fn join(pieces: &mut Pieces, segment: Segment) {
    let meets =
        |s: &Segment| s.x1 == segment.x0 && s.lo[1].max(segment.lo[0]) < s.hi[1].min(segment.hi[0]);
    let Some(first) = pieces.iter().position(|piece| piece.iter().any(meets)) else {
        pieces.push(smallvec![segment]);
        return;
    };
    let mut grown = pieces.remove(first);
    let mut index = first;
    while let Some(piece) = pieces.get(index) {
        if piece.iter().any(meets) {
            grown.extend(pieces.remove(index));
        } else {
            index += 1;
        }
    }
    grown.push(segment);
    grown.sort_by_key(|s| (s.x0, s.lo[0] + s.lo[1]));
    pieces.push(grown);
}

/// The rectangle around segments.
pub fn bounds(segments: &[Segment]) -> Rect {
    let mut iter = segments.iter();
    let Some(first) = iter.next() else {
        return Rect::default();
    };
    let start = Rect {
        x0: first.x0,
        y0: first.bottom(),
        x1: first.x1,
        y1: first.top(),
    };
    iter.fold(start, |r, s| Rect {
        x0: r.x0.min(s.x0),
        y0: r.y0.min(s.bottom()),
        x1: r.x1.max(s.x1),
        y1: r.y1.max(s.top()),
    })
}

/// The rectangles that are missing from the rectangle around a piece.
pub fn notches(segments: &[Segment]) -> Notches {
    let around = bounds(segments);
    let mut found = Notches::new();
    for stack in segments.chunk_by(|a, b| a.x0 == b.x0) {
        let (x0, x1) = (stack[0].x0, stack[0].x1);
        let mut floor = around.y0;
        for segment in stack {
            add_notch(
                &mut found,
                Rect {
                    x0,
                    y0: floor,
                    x1,
                    y1: segment.bottom(),
                },
            );
            floor = segment.top();
        }
        add_notch(
            &mut found,
            Rect {
                x0,
                y0: floor,
                x1,
                y1: around.y1,
            },
        );
    }
    found
}

fn add_notch(found: &mut Notches, rect: Rect) {
    if rect.height() <= 0 {
        return;
    }
    match found
        .iter_mut()
        .find(|r| r.x1 == rect.x0 && r.y0 == rect.y0 && r.y1 == rect.y1)
    {
        Some(left) => left.x1 = rect.x1,
        None => found.push(rect),
    }
}

/// The edges of connected segments as closed rings: the outer one anticlockwise and first, holes clockwise after it.
pub fn rings(segments: &[Segment]) -> Vec<Vec<Point>> {
    let mut edges: Vec<((i32, i32), (i32, i32))> = Vec::new();
    for s in segments {
        edges.push(((s.x0, s.lo[0]), (s.x1, s.lo[1])));
        edges.push(((s.x1, s.hi[1]), (s.x0, s.hi[0])));
    }
    let mut xs: Vec<i32> = segments.iter().flat_map(|s| [s.x0, s.x1]).collect();
    xs.sort_unstable();
    xs.dedup();
    for x in xs {
        let left: Vec<Span> = segments
            .iter()
            .filter(|s| s.x1 == x)
            .map(|s| Span {
                lo: s.lo[1],
                hi: s.hi[1],
            })
            .collect();
        let right: Vec<Span> = segments
            .iter()
            .filter(|s| s.x0 == x)
            .map(|s| Span {
                lo: s.lo[0],
                hi: s.hi[0],
            })
            .collect();
        edges.extend(
            uncovered(&left, &right)
                .into_iter()
                .map(|s| ((x, s.lo), (x, s.hi))),
        );
        edges.extend(
            uncovered(&right, &left)
                .into_iter()
                .map(|s| ((x, s.hi), (x, s.lo))),
        );
    }
    edges.retain(|(a, b)| a != b);
    edges.sort_unstable();
    let mut rings: Vec<Vec<Point>> = Vec::new();
    while let Some(start) = edges.pop() {
        let mut ring = alloc::vec![start.0];
        let mut end = start.1;
        while end != start.0 {
            ring.push(end);
            let Some(next) = edges.iter().position(|e| e.0 == end) else {
                break;
            };
            end = edges.remove(next).1;
        }
        rings.push(tidy(&ring));
    }
    rings.sort_by_key(|ring| core::cmp::Reverse(area2(ring)));
    rings
}

/// The parts of `spans` that `cover` leaves free.
fn uncovered(spans: &[Span], cover: &[Span]) -> Vec<Span> {
    let mut free = spans.to_vec();
    for c in cover {
        free = free
            .into_iter()
            .flat_map(|s| {
                [
                    Span {
                        lo: s.lo,
                        hi: s.hi.min(c.lo),
                    },
                    Span {
                        lo: s.lo.max(c.hi),
                        hi: s.hi,
                    },
                ]
            })
            .filter(|s| s.lo < s.hi)
            .collect();
    }
    free
}

/// A ring without points in the middle of a straight edge, beginning at its lowest leftmost point.
fn tidy(ring: &[(i32, i32)]) -> Vec<Point> {
    let count = ring.len();
    let mut kept: Vec<Point> = Vec::with_capacity(count);
    for (index, &b) in ring.iter().enumerate() {
        let a = ring[(index + count - 1) % count];
        let c = ring[(index + 1) % count];
        let cross = i64::from(b.0 - a.0) * i64::from(c.1 - b.1)
            - i64::from(b.1 - a.1) * i64::from(c.0 - b.0);
        if cross != 0 {
            kept.push(Point {
                x: Mm(b.0),
                y: Mm(b.1),
            });
        }
    }
    let start = kept
        .iter()
        .enumerate()
        .min_by_key(|(_, p)| (p.y, p.x))
        .map_or(0, |(i, _)| i);
    kept.rotate_left(start);
    kept
}

/// Twice the signed area of a ring; positive when it runs anticlockwise.
pub fn area2(ring: &[Point]) -> i64 {
    let count = ring.len();
    (0..count)
        .map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % count]);
            i64::from(a.x.0) * i64::from(b.y.0) - i64::from(b.x.0) * i64::from(a.y.0)
        })
        .sum()
}
