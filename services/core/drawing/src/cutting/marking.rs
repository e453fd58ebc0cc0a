//! What one needs to mark a part with rule and square: its size, the edges of a slope, and each notch with its place.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::Point;

/// The size of a part in words, as it lies on its board.
pub(super) fn marking(outline: &[Point], holes: &[Vec<Point>]) -> String {
    let around = Around::of(outline);
    let mut words = alloc::vec![format!(
        "{}\u{a0}×\u{a0}{}",
        around.width().0,
        around.height().0
    )];
    match departures(outline, &around) {
        Some(found) => words.extend(found),
        None => words.push(corners(outline, &around)),
    }
    for hole in holes {
        let inner = Around::of(hole);
        words.push(if is_upright(hole) && hole.len() == 4 {
            around.place(&inner)
        } else {
            format!("hole, {}", corners(hole, &around))
        });
    }
    words.join(", ")
}

/// The upright rectangle around an outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Around {
    x0: Mm,
    y0: Mm,
    x1: Mm,
    y1: Mm,
}

impl Around {
    fn of(outline: &[Point]) -> Self {
        let xs = outline.iter().map(|p| p.x);
        let ys = outline.iter().map(|p| p.y);
        Self {
            x0: xs.clone().min().unwrap_or_default(),
            y0: ys.clone().min().unwrap_or_default(),
            x1: xs.max().unwrap_or_default(),
            y1: ys.max().unwrap_or_default(),
        }
    }
    fn width(&self) -> Mm {
        self.x1 - self.x0
    }
    fn height(&self) -> Mm {
        self.y1 - self.y0
    }
    /// A notch or a hole by its size and where it sits.
    fn place(&self, notch: &Self) -> String {
        let size = format!("{}\u{a0}by\u{a0}{}", notch.width().0, notch.height().0);
        let (from_left, from_below) = ((notch.x0 - self.x0).0, (notch.y0 - self.y0).0);
        let across = match (notch.x0 == self.x0, notch.x1 == self.x1) {
            (true, _) => Some("left"),
            (_, true) => Some("right"),
            _ => None,
        };
        let up = match (notch.y0 == self.y0, notch.y1 == self.y1) {
            (true, _) => Some("lower"),
            (_, true) => Some("upper"),
            _ => None,
        };
        match (up, across) {
            (Some(up), Some(across)) => format!("notch {size} {up} {across}"),
            (Some(up), None) => format!("notch {size} in {up} edge {from_left} from left"),
            (None, Some(across)) => {
                format!("notch {size} in {across} edge {from_below} from below")
            }
            (None, None) => {
                format!("hole {size} at {from_left} from left {from_below} from below")
            }
        }
    }
}

/// How a part departs from its rectangle, or nothing where only its corners can tell.
fn departures(outline: &[Point], around: &Around) -> Option<Vec<String>> {
    if is_upright(outline) {
        return Some(notches(outline, around));
    }
    let (filled, notches) = filled(outline);
    if Around::of(&filled) != *around {
        return None;
    }
    let mut words = edges(&filled, around)?;
    words.extend(notches.iter().map(|notch| around.place(notch)));
    Some(words)
}

fn sides(outline: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    outline
        .iter()
        .copied()
        .zip(outline.iter().copied().cycle().skip(1))
}

/// Whether every edge is level or upright.
fn is_upright(outline: &[Point]) -> bool {
    sides(outline).all(|(a, b)| a.x == b.x || a.y == b.y)
}

/// What an upright outline lacks of its rectangle, as rectangles from left to right: between two neighbouring corners along x, the
/// outline is the same all the way.
fn notches(outline: &[Point], around: &Around) -> Vec<String> {
    let mut xs: Vec<Mm> = outline.iter().map(|p| p.x).collect();
    xs.sort_unstable();
    xs.dedup();
    let mut open: Vec<Around> = Vec::new();
    let mut found: Vec<Around> = Vec::new();
    for pair in xs.windows(2) {
        let &[x0, x1] = pair else { continue };
        let mut levels: Vec<Mm> = sides(outline)
            .filter(|(a, b)| a.y == b.y && a.x.min(b.x) <= x0 && a.x.max(b.x) >= x1)
            .map(|(a, _)| a.y)
            .collect();
        levels.extend([around.y0, around.y1]);
        levels.sort_unstable();
        // Between the rectangle's edge and the first level, and between every second and third, nothing is left.
        let here: Vec<Around> = levels
            .chunks_exact(2)
            .filter_map(|gap| match gap {
                &[y0, y1] if y0 < y1 => Some(Around { x0, y0, x1, y1 }),
                _ => None,
            })
            .collect();
        let (going_on, done): (Vec<Around>, Vec<Around>) = open
            .into_iter()
            .partition(|o| here.iter().any(|h| (h.y0, h.y1) == (o.y0, o.y1)));
        found.extend(done);
        open = here
            .into_iter()
            .map(|h| {
                let before = going_on.iter().find(|o| (o.y0, o.y1) == (h.y0, h.y1));
                before.map_or(h, |o| Around { x0: o.x0, ..h })
            })
            .collect();
    }
    found.extend(open);
    found.sort_unstable_by_key(|n| (n.x0, n.y0));
    found.iter().map(|n| around.place(n)).collect()
}

/// The outline with its rectangular notches filled, and the notches: in a corner one corner of the outline points inwards, in an edge two.
fn filled(outline: &[Point]) -> (Vec<Point>, Vec<Around>) {
    let mut shape = outline.to_vec();
    let mut notches = Vec::new();
    // Each turn takes away at least one corner that points inwards.
    for _ in 0..outline.len() {
        let Some((next, notch)) = (0..shape.len()).find_map(|i| without_notch(&shape, i)) else {
            break;
        };
        shape = next;
        notches.push(notch);
    }
    (shape, notches)
}

/// The outline without the notch whose first inner corner is the one at `i`.
fn without_notch(shape: &[Point], i: usize) -> Option<(Vec<Point>, Around)> {
    let at = |step: usize| shape.get((i + step) % shape.len()).copied();
    let before = shape.get((i + shape.len() - 1) % shape.len()).copied()?;
    let (inner, after) = (at(0)?, at(1)?);
    if !points_inwards(shape, i) || !square(before, inner, after) {
        return None;
    }
    let second = (i + 1) % shape.len();
    if points_inwards(shape, second) {
        let end = at(2)?;
        let level = before.x == end.x || before.y == end.y;
        if !square(inner, after, end) || !level {
            return None;
        }
        let kept = kept_without(shape, &[i, second]);
        return Some((kept, Around::of(&[before, inner, after, end])));
    }
    let corner = Point {
        x: before.x + after.x - inner.x,
        y: before.y + after.y - inner.y,
    };
    let mut next = shape.to_vec();
    if let Some(place) = next.get_mut(i) {
        *place = corner;
    }
    Some((straightened(&next), Around::of(&[before, inner, after])))
}

fn square(a: Point, b: Point, c: Point) -> bool {
    (a.x == b.x && b.y == c.y) || (a.y == b.y && b.x == c.x)
}

fn turn(a: Point, b: Point, c: Point) -> i64 {
    let step = |p: Mm, q: Mm| i64::from((q - p).0);
    step(a.x, b.x) * step(b.y, c.y) - step(a.y, b.y) * step(b.x, c.x)
}

/// Whether the corner at `i` points into the outline.
fn points_inwards(shape: &[Point], i: usize) -> bool {
    let doubled: i64 = sides(shape)
        .map(|(a, b)| i64::from(a.x.0) * i64::from(b.y.0) - i64::from(b.x.0) * i64::from(a.y.0))
        .sum();
    let at = |step: usize| shape.get((i + step) % shape.len()).copied();
    match (at(shape.len() - 1), at(0), at(1)) {
        (Some(a), Some(b), Some(c)) => turn(a, b, c) * doubled.signum() < 0,
        _ => false,
    }
}

fn kept_without(shape: &[Point], left_out: &[usize]) -> Vec<Point> {
    let kept: Vec<Point> = shape
        .iter()
        .enumerate()
        .filter(|(i, _)| !left_out.contains(i))
        .map(|(_, p)| *p)
        .collect();
    straightened(&kept)
}

/// The outline without corners that lie on a straight line.
fn straightened(shape: &[Point]) -> Vec<Point> {
    (0..shape.len())
        .filter_map(|i| {
            let at = |step: usize| shape.get((i + step) % shape.len()).copied();
            let (a, b, c) = (at(shape.len() - 1)?, at(0)?, at(1)?);
            (turn(a, b, c) != 0).then_some(b)
        })
        .collect()
}

/// The lengths of the edges along the four sides of the rectangle, which tell an outline that has every corner on one of them.
fn edges(outline: &[Point], around: &Around) -> Option<Vec<String>> {
    let on_a_side =
        |p: &Point| p.x == around.x0 || p.x == around.x1 || p.y == around.y0 || p.y == around.y1;
    let inwards = (0..outline.len()).any(|i| points_inwards(outline, i));
    if inwards || !outline.iter().all(on_a_side) {
        return None;
    }
    let across = |y: Mm| -> Vec<Mm> {
        let on = outline.iter().filter(|p| p.y == y);
        on.map(|p| p.x - around.x0).collect()
    };
    let up = |x: Mm| -> Vec<Mm> {
        let on = outline.iter().filter(|p| p.x == x);
        on.map(|p| p.y - around.y0).collect()
    };
    let (wide, high) = (around.width(), around.height());
    let sides = [
        edge("lower", ["left", "right"], &across(around.y0), wide),
        edge("upper", ["left", "right"], &across(around.y1), wide),
        edge("left", ["below", "above"], &up(around.x0), high),
        edge("right", ["below", "above"], &up(around.x1), high),
    ];
    Some(sides.into_iter().flatten().collect())
}

/// One side: how long its edge is and from which end; an apex by its place; nothing where two slopes or a slope and an edge meet in its end.
fn edge(name: &str, ends: [&str; 2], stations: &[Mm], whole: Mm) -> Option<String> {
    let [first, last] = ends;
    let (from, to) = (
        stations.iter().copied().min()?,
        stations.iter().copied().max()?,
    );
    let length = (to - from).0;
    match (from == Mm::ZERO, to == whole) {
        (true, true) => Some(format!("{name} edge {length}")),
        _ if length == 0 && (from == Mm::ZERO || to == whole) => None,
        _ if length == 0 => Some(format!("{name} apex {} from {first}", from.0)),
        (true, false) => Some(format!("{name} edge {length} from {first}")),
        (false, true) => Some(format!("{name} edge {length} from {last}")),
        (false, false) => Some(format!("{name} edge {length} at {} from {first}", from.0)),
    }
}

/// Every corner from the lower left of the rectangle: to the right and up.
fn corners(outline: &[Point], around: &Around) -> String {
    let places: Vec<String> = outline
        .iter()
        .map(|p| format!("{}/{}", (p.x - around.x0).0, (p.y - around.y0).0))
        .collect();
    format!("corners right/up {}", places.join(" "))
}
