//! Plane geometry on the millimetre grid: exact where the grid allows, in millimetres as `f64` where a slope leaves it.

use alloc::vec::Vec;

use quantity::{Area, Mm};

/// A point on a facade seen from outside: x to the right from the facade's own origin, y up from one datum common to the building.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Point {
    /// To the right.
    pub x: Mm,
    /// Up.
    pub y: Mm,
}

impl Point {
    /// From whole millimetres.
    pub const fn at(x: i32, y: i32) -> Self {
        Self { x: Mm(x), y: Mm(y) }
    }
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rectangle {
    /// Left edge.
    pub x: Mm,
    /// Lower edge.
    pub y: Mm,
    /// Width.
    pub width: Mm,
    /// Height.
    pub height: Mm,
}

impl Rectangle {
    /// Right edge.
    pub fn right(&self) -> Mm {
        self.x + self.width
    }
    /// Upper edge.
    pub fn top(&self) -> Mm {
        self.y + self.height
    }
    /// The area.
    pub fn area(&self) -> Area {
        self.width.to_length() * self.height.to_length()
    }
    /// Whether the insides of two rectangles meet.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x < other.right()
            && other.x < self.right()
            && self.y < other.top()
            && other.y < self.top()
    }
    /// The corners, counter-clockwise from the lower left.
    pub fn corners(&self) -> [Point; 4] {
        [
            Point {
                x: self.x,
                y: self.y,
            },
            Point {
                x: self.right(),
                y: self.y,
            },
            Point {
                x: self.right(),
                y: self.top(),
            },
            Point {
                x: self.x,
                y: self.top(),
            },
        ]
    }
}

/// A stretch of a horizontal line inside an outline, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

/// The sides of a closed outline.
pub(crate) fn sides(outline: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    outline
        .iter()
        .zip(outline.iter().cycle().skip(1))
        .map(|(a, b)| (*a, *b))
}

/// Twice the signed area in square millimetres, exact; positive where the outline runs counter-clockwise.
pub(crate) fn doubled_area(outline: &[Point]) -> i128 {
    sides(outline)
        .map(|(a, b)| i128::from(a.x.0) * i128::from(b.y.0) - i128::from(b.x.0) * i128::from(a.y.0))
        .sum()
}

/// The area inside an outline, exact whichever way round it runs.
pub fn area(outline: &[Point]) -> Area {
    Area::from_mm2(doubled_area(outline).unsigned_abs() as f64 / 2.0)
}

/// The lower left and upper right of what an outline takes up; nothing for an empty one.
pub fn bounds(outline: &[Point]) -> Option<(Point, Point)> {
    let first = *outline.first()?;
    Some(outline.iter().fold((first, first), |(low, high), p| {
        (
            Point {
                x: low.x.min(p.x),
                y: low.y.min(p.y),
            },
            Point {
                x: high.x.max(p.x),
                y: high.y.max(p.y),
            },
        )
    }))
}

/// Which side of the line from `a` to `b` the point `p` lies on: above zero on the left.
fn turn(a: Point, b: Point, p: Point) -> i128 {
    let (ax, ay) = (i128::from(a.x.0), i128::from(a.y.0));
    (i128::from(b.x.0) - ax) * (i128::from(p.y.0) - ay)
        - (i128::from(b.y.0) - ay) * (i128::from(p.x.0) - ax)
}

fn within_box(a: Point, b: Point, p: Point) -> bool {
    a.x.min(b.x) <= p.x && p.x <= a.x.max(b.x) && a.y.min(b.y) <= p.y && p.y <= a.y.max(b.y)
}

/// Whether two sides share any point.
fn touch(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (abc, abd, cda, cdb) = (
        turn(a, b, c).signum(),
        turn(a, b, d).signum(),
        turn(c, d, a).signum(),
        turn(c, d, b).signum(),
    );
    (abc != abd && cda != cdb)
        || (abc == 0 && within_box(a, b, c))
        || (abd == 0 && within_box(a, b, d))
        || (cda == 0 && within_box(c, d, a))
        || (cdb == 0 && within_box(c, d, b))
}

/// Whether two sides cross with their insides, touching not counted.
fn cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    turn(a, b, c).signum() * turn(a, b, d).signum() < 0
        && turn(c, d, a).signum() * turn(c, d, b).signum() < 0
}

/// Whether a closed outline neither crosses nor touches itself, and has no side of no length. Compares every pair of sides, so callers limit their number.
pub fn is_simple(outline: &[Point]) -> bool {
    let all: Vec<(Point, Point)> = sides(outline).collect();
    let count = all.len();
    if count < 3 || all.iter().any(|(a, b)| a == b) {
        return false;
    }
    for (i, (a, b)) in all.iter().enumerate() {
        for (j, (c, d)) in all.iter().enumerate().skip(i + 1) {
            let next = j == i + 1;
            let last = i == 0 && j + 1 == count;
            if next || last {
                // Neighbours share one point; they must not fold back on each other.
                let (tip, end) = if next { (*a, *d) } else { (*b, *c) };
                let shared = if next { *b } else { *a };
                let folded = turn(tip, shared, end) == 0 && {
                    let dot = i128::from((tip.x - shared.x).0) * i128::from((end.x - shared.x).0)
                        + i128::from((tip.y - shared.y).0) * i128::from((end.y - shared.y).0);
                    dot > 0
                };
                if folded {
                    return false;
                }
            } else if touch(*a, *b, *c, *d) {
                return false;
            }
        }
    }
    true
}

/// Whether a point lies inside an outline or on it.
pub(crate) fn holds_point(outline: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (a, b) in sides(outline) {
        if turn(a, b, p) == 0 && within_box(a, b, p) {
            return true;
        }
        if (a.y > p.y) != (b.y > p.y) {
            let left = turn(a, b, p) > 0;
            if left == (b.y > a.y) {
                inside = !inside;
            }
        }
    }
    inside
}

/// The upper edge of an outline from left to right, in straight pieces. Heights of slopes within a piece are rounded down to the grid.
pub fn upper_edge(outline: &[Point]) -> Vec<(Point, Point)> {
    let mut xs: Vec<Mm> = outline.iter().map(|p| p.x).collect();
    xs.sort_unstable();
    xs.dedup();
    let mut found: Vec<(Point, Point)> = Vec::new();
    for pair in xs.windows(2) {
        let &[from, to] = pair else { continue };
        // Of sides that do not cross, the one that lies higher at both ends lies higher between.
        let over = sides(outline)
            .filter(|(a, b)| a.x.min(b.x) <= from && to <= a.x.max(b.x))
            .map(|(a, b)| (height_at(a, b, from), height_at(a, b, to)))
            .max_by_key(|(left, right)| (i64::from(left.0) + i64::from(right.0), *left));
        let Some((left, right)) = over else { continue };
        match found.last_mut() {
            Some(last)
                if last.0.y == last.1.y
                    && left == right
                    && last.1 == (Point { x: from, y: left }) =>
            {
                last.1.x = to;
            }
            _ => found.push((Point { x: from, y: left }, Point { x: to, y: right })),
        }
    }
    found
}

/// The height of a side that is not upright at `x`, rounded down.
fn height_at(a: Point, b: Point, x: Mm) -> Mm {
    let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
    let run = i64::from((b.x - a.x).0).max(1);
    let rise = i64::from((b.y - a.y).0) * i64::from((x - a.x).0);
    a.y + Mm(rise.div_euclid(run) as i32)
}

/// Whether a line meets an outline or lies inside it.
pub(crate) fn meets(outline: &[Point], (from, to): (Point, Point)) -> bool {
    holds_point(outline, from) || sides(outline).any(|(a, b)| touch(a, b, from, to))
}

/// Whether a rectangle lies inside a simple outline; it may touch the outline.
pub fn contains(outline: &[Point], rectangle: &Rectangle) -> bool {
    let corners = rectangle.corners();
    if !corners.iter().all(|c| holds_point(outline, *c)) {
        return false;
    }
    let crossed = sides(outline).any(|(a, b)| sides(&corners).any(|(c, d)| cross(a, b, c, d)));
    // An outline corner strictly inside the rectangle would also cut it.
    let notched = outline.iter().any(|p| {
        rectangle.x < p.x && p.x < rectangle.right() && rectangle.y < p.y && p.y < rectangle.top()
    });
    // The middle tells a rectangle that spans a recess along its edges from one that lies in the wall.
    let middle = spans_at(
        outline,
        f64::midpoint(f64::from(rectangle.y.0), f64::from(rectangle.top().0)),
    )
    .iter()
    .any(|s| {
        s.from <= f64::from(rectangle.x.0) + 1e-6 && f64::from(rectangle.right().0) <= s.to + 1e-6
    });
    !crossed && !notched && middle
}

/// The stretches of the horizontal line at `y` millimetres that lie inside a simple outline, from left to right. At the height of a corner
/// the stretches just above it are given.
pub fn spans_at(outline: &[Point], y: f64) -> Vec<Span> {
    let mut cuts: Vec<f64> = sides(outline)
        .filter_map(|(a, b)| {
            let (ax, ay, bx, by) = (
                f64::from(a.x.0),
                f64::from(a.y.0),
                f64::from(b.x.0),
                f64::from(b.y.0),
            );
            ((ay > y) != (by > y)).then(|| ax + (bx - ax) * (y - ay) / (by - ay))
        })
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.chunks_exact(2)
        .filter_map(|pair| {
            Some(Span {
                from: *pair.first()?,
                to: *pair.last()?,
            })
        })
        .collect()
}

/// The area of that part of an outline that lies in a rectangle; exact up to the rounding of `f64`.
pub fn area_within(outline: &[Point], window: &Rectangle) -> Area {
    let mut points: Vec<(f64, f64)> = outline
        .iter()
        .map(|p| (f64::from(p.x.0), f64::from(p.y.0)))
        .collect();
    let (left, right) = (f64::from(window.x.0), f64::from(window.right().0));
    let (low, high) = (f64::from(window.y.0), f64::from(window.top().0));
    points = clip(&points, |p| p.0 - left);
    points = clip(&points, |p| right - p.0);
    points = clip(&points, |p| p.1 - low);
    points = clip(&points, |p| high - p.1);
    let doubled: f64 = points
        .iter()
        .zip(points.iter().cycle().skip(1))
        .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
        .sum();
    Area::from_mm2(libm::fabs(doubled) / 2.0)
}

/// One half-plane of a polygon clip: keeps where `depth` is not negative. The bridges that a concave outline gets along the cut have no area.
fn clip(points: &[(f64, f64)], depth: impl Fn((f64, f64)) -> f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::with_capacity(points.len() + 2);
    for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
        let (da, db) = (depth(*a), depth(*b));
        if da >= 0.0 {
            kept.push(*a);
        }
        if (da > 0.0 && db < 0.0) || (da < 0.0 && db > 0.0) {
            let t = da / (da - db);
            kept.push((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A gabled wall 8 m wide, 5 m to the eaves, 8 m to the ridge: 40 + 12 m2 by hand.
    fn gable() -> Vec<Point> {
        alloc::vec![
            Point::at(0, 0),
            Point::at(8000, 0),
            Point::at(8000, 5000),
            Point::at(4000, 8000),
            Point::at(0, 5000)
        ]
    }

    #[test]
    fn a_gable_has_the_area_of_its_parts() {
        assert_eq!(area(&gable()).as_m2(), 52.0);
        let upper = Rectangle {
            x: Mm(0),
            y: Mm(5000),
            width: Mm(8000),
            height: Mm(3000),
        };
        assert!((area_within(&gable(), &upper).as_m2() - 12.0).abs() < 1e-12);
        assert_eq!(
            spans_at(&gable(), 6500.0),
            [Span {
                from: 2000.0,
                to: 6000.0
            }]
        );
    }

    #[test]
    fn crossing_folding_and_touching_outlines_are_not_simple() {
        assert!(is_simple(&gable()));
        let bow = [
            Point::at(0, 0),
            Point::at(10, 10),
            Point::at(10, 0),
            Point::at(0, 10),
        ];
        let spike = [
            Point::at(0, 0),
            Point::at(10, 0),
            Point::at(10, 10),
            Point::at(10, 5),
            Point::at(0, 5),
        ];
        let pinched = [
            Point::at(0, 0),
            Point::at(20, 0),
            Point::at(20, 10),
            Point::at(10, 0),
            Point::at(0, 10),
        ];
        let doubled = [
            Point::at(0, 0),
            Point::at(10, 0),
            Point::at(10, 0),
            Point::at(10, 10),
        ];
        for outline in [&bow[..], &spike, &pinched, &doubled, &gable()[..2]] {
            assert!(!is_simple(outline), "{outline:?}");
        }
    }

    #[test]
    fn a_rectangle_across_a_recess_or_a_slope_is_not_inside() {
        let u = [
            Point::at(0, 0),
            Point::at(30, 0),
            Point::at(30, 30),
            Point::at(20, 30),
            Point::at(20, 10),
            Point::at(10, 10),
            Point::at(10, 30),
            Point::at(0, 30),
        ];
        let at = |x, y, width, height| Rectangle {
            x: Mm(x),
            y: Mm(y),
            width: Mm(width),
            height: Mm(height),
        };
        assert!(contains(&u, &at(0, 0, 30, 10)));
        assert!(contains(&u, &at(20, 10, 10, 20)));
        assert!(!contains(&u, &at(5, 5, 20, 20)));
        assert!(!contains(&u, &at(10, 10, 10, 20)));
        assert!(!contains(&u, &at(0, 10, 30, 20)));
        assert!(contains(&gable(), &at(2000, 5000, 4000, 1500)));
        assert!(!contains(&gable(), &at(2000, 5000, 4000, 1501)));
    }

    /// The upper edge is read off a drawing: a stepped base does not lower it, stepped eaves part it, a gable slopes twice.
    #[test]
    fn the_upper_edge_is_what_is_seen_from_above() {
        let of = |points: &[(i32, i32)]| -> Vec<(i32, i32, i32, i32)> {
            let outline: Vec<Point> = points.iter().map(|p| Point::at(p.0, p.1)).collect();
            let edge = upper_edge(&outline).into_iter();
            edge.map(|(a, b)| (a.x.0, a.y.0, b.x.0, b.y.0)).collect()
        };
        let base = [
            (0, 0),
            (3000, 0),
            (3000, 200),
            (6000, 200),
            (6000, 6000),
            (0, 6000),
        ];
        assert_eq!(of(&base), [(0, 6000, 6000, 6000)]);
        let eaves = [
            (0, 0),
            (6000, 0),
            (6000, 5000),
            (3000, 5000),
            (3000, 6000),
            (0, 6000),
        ];
        assert_eq!(
            of(&eaves),
            [(0, 6000, 3000, 6000), (3000, 5000, 6000, 5000)]
        );
        let gable = [(0, 0), (6000, 0), (6000, 5000), (3000, 8000), (0, 5000)];
        assert_eq!(
            of(&gable),
            [(0, 5000, 3000, 8000), (3000, 8000, 6000, 5000)]
        );
        let passage = [
            (0, 0),
            (2000, 0),
            (2000, 2500),
            (4000, 2500),
            (4000, 0),
            (6000, 0),
            (6000, 5000),
            (0, 5000),
        ];
        assert_eq!(of(&passage), [(0, 5000, 6000, 5000)]);
    }
}
