//! Exact distances on the millimetre grid, and an index that finds what is near.

use alloc::vec::Vec;

use facade::{Point, Rectangle};
use quantity::Mm;

/// An upright rectangle by its sides; in whole millimetres within the limits of a survey.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Bounds {
    pub left: i64,
    pub bottom: i64,
    pub right: i64,
    pub top: i64,
}

impl Bounds {
    pub fn of_rectangle(r: &Rectangle) -> Self {
        Self {
            left: i64::from(r.x.0),
            bottom: i64::from(r.y.0),
            right: i64::from(r.right().0),
            top: i64::from(r.top().0),
        }
    }
    pub fn of_segment((a, b): (Point, Point)) -> Self {
        Self {
            left: i64::from(a.x.min(b.x).0),
            bottom: i64::from(a.y.min(b.y).0),
            right: i64::from(a.x.max(b.x).0),
            top: i64::from(a.y.max(b.y).0),
        }
    }
    pub fn of_points(points: &[Point]) -> Option<Self> {
        let mut all = points.iter().map(|&p| Self::of_segment((p, p)));
        let first = all.next()?;
        Some(all.fold(first, |a, b| Self {
            left: a.left.min(b.left),
            bottom: a.bottom.min(b.bottom),
            right: a.right.max(b.right),
            top: a.top.max(b.top),
        }))
    }
    pub fn grown(self, by: i64) -> Self {
        Self {
            left: self.left - by,
            bottom: self.bottom - by,
            right: self.right + by,
            top: self.top + by,
        }
    }
    pub fn width(self) -> i64 {
        self.right - self.left
    }
    pub fn height(self) -> i64 {
        self.top - self.bottom
    }
    pub fn meets(self, other: Self) -> bool {
        self.left <= other.right
            && other.left <= self.right
            && self.bottom <= other.top
            && other.bottom <= self.top
    }
    /// Whether the insides meet.
    pub fn overlaps(self, other: Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.bottom < other.top
            && other.bottom < self.top
    }
    /// The area that both cover.
    pub fn area_shared_with(self, other: Self) -> i64 {
        let width = self.right.min(other.right) - self.left.max(other.left);
        let height = self.top.min(other.top) - self.bottom.max(other.bottom);
        width.max(0) * height.max(0)
    }
    /// Whether a point lies nearer to the rectangle than `distance`, or in it.
    pub fn nearer(self, p: Point, distance: i64) -> bool {
        let (x, y) = (i64::from(p.x.0), i64::from(p.y.0));
        let dx = (self.left - x).max(x - self.right).max(0);
        let dy = (self.bottom - y).max(y - self.top).max(0);
        dx * dx + dy * dy < distance * distance || (dx == 0 && dy == 0)
    }
}

/// The sides of a closed line.
pub(super) fn sides(points: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    points
        .iter()
        .copied()
        .zip(points.iter().copied().cycle().skip(1))
}

/// Twice the signed area inside a closed line.
pub(super) fn twice_area(points: &[Point]) -> i64 {
    sides(points)
        .map(|(a, b)| i64::from(a.x.0) * i64::from(b.y.0) - i64::from(b.x.0) * i64::from(a.y.0))
        .sum()
}

/// The square of the distance between two points.
pub(super) fn apart_squared(a: Point, b: Point) -> i64 {
    let (dx, dy) = (i64::from((a.x - b.x).0), i64::from((a.y - b.y).0));
    dx * dx + dy * dy
}

/// Whether a point lies nearer to a segment than `distance`.
pub(super) fn nearer_to_segment(p: Point, (a, b): (Point, Point), distance: i64) -> bool {
    let square = distance * distance;
    let (dx, dy) = (i64::from((b.x - a.x).0), i64::from((b.y - a.y).0));
    let (px, py) = (i64::from((p.x - a.x).0), i64::from((p.y - a.y).0));
    let along = px * dx + py * dy;
    let length = dx * dx + dy * dy;
    if along <= 0 {
        return px * px + py * py < square;
    }
    if along >= length {
        return apart_squared(p, b) < square;
    }
    let cross = i128::from(px * dy - py * dx);
    cross * cross < i128::from(square) * i128::from(length)
}

/// Whether a point lies inside closed lines by the even-odd rule; a point on a line may count either way.
pub(super) fn inside(edges: impl Iterator<Item = (Point, Point)>, p: Point) -> bool {
    let mut odd = false;
    for (a, b) in edges {
        if (a.y > p.y) == (b.y > p.y) {
            continue;
        }
        let (ax, ay) = (i128::from(a.x.0), i128::from(a.y.0));
        let (bx, by) = (i128::from(b.x.0), i128::from(b.y.0));
        let (px, py) = (i128::from(p.x.0), i128::from(p.y.0));
        // The crossing lies right of the point: px < ax + (py - ay)(bx - ax)/(by - ay), without division.
        let left = (px - ax) * (by - ay);
        let right = (py - ay) * (bx - ax);
        if if by > ay { left < right } else { left > right } {
            odd = !odd;
        }
    }
    odd
}

/// The shape of a board on the wall.
#[derive(Clone, Debug)]
pub(super) struct Shape {
    pub bounds: Bounds,
    /// Empty for an upright rectangle.
    edges: Vec<(Point, Point)>,
    /// Twice the area, holes taken off.
    pub twice_area: i64,
}

impl Shape {
    pub fn new(outline: &[Point], holes: &[Vec<Point>]) -> Option<Self> {
        let bounds = Bounds::of_points(outline)?;
        let without: i64 = holes.iter().map(|h| twice_area(h).abs()).sum();
        let twice = twice_area(outline).abs() - without;
        let whole = twice == 2 * bounds.width() * bounds.height();
        let edges = if whole {
            Vec::new()
        } else {
            sides(outline)
                .chain(holes.iter().flat_map(|h| sides(h)))
                .collect()
        };
        Some(Self {
            bounds,
            edges,
            twice_area: twice,
        })
    }
    /// Whether a point lies inside and no nearer to any edge than `margin`.
    pub fn holds(&self, p: Point, margin: i64) -> bool {
        let (x, y) = (i64::from(p.x.0), i64::from(p.y.0));
        let b = self.bounds;
        let within = x - b.left >= margin
            && b.right - x >= margin
            && y - b.bottom >= margin
            && b.top - y >= margin;
        within
            && (self.edges.is_empty()
                || (inside(self.edges.iter().copied(), p)
                    && !self.edges.iter().any(|&e| nearer_to_segment(p, e, margin))))
    }
}

/// An index by square cells.
pub(super) struct Cells {
    origin: (i64, i64),
    size: i64,
    columns: i64,
    rows: i64,
    items: Vec<Vec<u32>>,
}

/// The most cells of an index.
const CELLS_MAX: i64 = 1 << 18;

impl Cells {
    /// An empty index over a range, with cells of at least `size`.
    pub fn over(range: Bounds, size: i64) -> Self {
        let mut size = size.max(1);
        let count = |size: i64| (range.width() / size + 1, range.height() / size + 1);
        while count(size).0 * count(size).1 > CELLS_MAX {
            size *= 2;
        }
        let (columns, rows) = count(size);
        Self {
            origin: (range.left, range.bottom),
            size,
            columns,
            rows,
            items: alloc::vec![Vec::new(); (columns * rows).max(0) as usize],
        }
    }
    fn cells(&self, b: Bounds) -> impl Iterator<Item = usize> + use<> {
        let column =
            |x: i64| ((x - self.origin.0).div_euclid(self.size)).clamp(0, self.columns - 1);
        let row = |y: i64| ((y - self.origin.1).div_euclid(self.size)).clamp(0, self.rows - 1);
        let (from, to) = (column(b.left), column(b.right));
        let (low, high) = (row(b.bottom), row(b.top));
        let columns = self.columns;
        (low..=high).flat_map(move |r| (from..=to).map(move |c| (r * columns + c) as usize))
    }
    pub fn add(&mut self, bounds: Bounds, item: u32) {
        for cell in self.cells(bounds) {
            if let Some(list) = self.items.get_mut(cell) {
                list.push(item);
            }
        }
    }
    /// What lies in the cells that a range touches, each once, in ascending order.
    pub fn near(&self, bounds: Bounds, found: &mut Vec<u32>) {
        found.clear();
        for cell in self.cells(bounds) {
            found.extend(self.items.get(cell).into_iter().flatten());
        }
        found.sort_unstable();
        found.dedup();
    }
    /// What lies in the cell of a point.
    pub fn at(&self, p: Point) -> &[u32] {
        let cell = self
            .cells(Bounds::of_segment((p, p)))
            .next()
            .unwrap_or_default();
        self.items.get(cell).map_or(&[], Vec::as_slice)
    }
}

/// A point from whole millimetres within the limits of a survey.
pub(super) fn point(x: i64, y: i64) -> Point {
    let limit = i64::from(2 * Mm::LIMIT.0);
    Point::at(x.clamp(-limit, limit) as i32, y.clamp(-limit, limit) as i32)
}
