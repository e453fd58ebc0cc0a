//! Plane geometry on paper: clipping to a window, hatching, and room for a number.

use alloc::vec::Vec;

use crate::svg::{Frame, Spot};

/// How an area is filled in black and white.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hatch {
    /// Left white.
    Plain,
    /// Lines rising to the right at 45°.
    Rising,
    /// Lines falling to the right at 45°.
    Falling,
    /// Both of the former.
    Crossed,
    /// Level lines.
    Level,
    /// Upright lines.
    Upright,
    /// Level and upright lines.
    Squared,
    /// Level and rising lines.
    LevelRising,
    /// Level and falling lines.
    LevelFalling,
    /// Upright and rising lines.
    UprightRising,
    /// Upright and falling lines.
    UprightFalling,
    /// Pairs of rising lines.
    RisingPairs,
    /// Filled with ink.
    Solid,
}

/// Strokes of a hatch are bounded, whatever the size of the area.
const STROKES_MAX: i32 = 4000;

/// How deep a place lies inside one side of a window, and whether that side is upright.
type Side = (fn(Spot, &Frame) -> f64, bool);

/// The part of a polygon inside a window (Sutherland and Hodgman). Bridges of a concave shape lie on the window's edge.
pub(crate) fn clip_polygon(polygon: &[Spot], window: &Frame) -> Vec<Spot> {
    let mut kept: Vec<Spot> = polygon.to_vec();
    let sides: [Side; 4] = [
        (|s, w| s.x - w.x0, true),
        (|s, w| w.x1 - s.x, true),
        (|s, w| s.y - w.y0, false),
        (|s, w| w.y1 - s.y, false),
    ];
    for (depth, upright) in sides {
        let mut next = Vec::with_capacity(kept.len() + 4);
        let mut previous = match kept.last() {
            Some(last) => *last,
            None => return kept,
        };
        for &spot in &kept {
            let (before, now) = (depth(previous, window), depth(spot, window));
            if (before > 0.0 && now < 0.0) || (before < 0.0 && now > 0.0) {
                let share = before / (before - now);
                let mut crossing = Spot::at(
                    previous.x + share * (spot.x - previous.x),
                    previous.y + share * (spot.y - previous.y),
                );
                if upright {
                    crossing.x = crossing.x.clamp(window.x0, window.x1);
                } else {
                    crossing.y = crossing.y.clamp(window.y0, window.y1);
                }
                next.push(crossing);
            }
            if now >= 0.0 {
                next.push(spot);
            }
            previous = spot;
        }
        kept = next;
    }
    if area(&kept) < 1e-6 { Vec::new() } else { kept }
}

/// The part of a segment inside a window (Liang and Barsky).
pub(crate) fn clip_segment(from: Spot, to: Spot, window: &Frame) -> Option<(Spot, Spot)> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let (mut start, mut end) = (0.0_f64, 1.0_f64);
    for (slope, room) in [
        (-dx, from.x - window.x0),
        (dx, window.x1 - from.x),
        (-dy, from.y - window.y0),
        (dy, window.y1 - from.y),
    ] {
        if slope == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if slope < 0.0 {
            start = start.max(room / slope);
        } else {
            end = end.min(room / slope);
        }
    }
    (start <= end).then(|| {
        (
            Spot::at(from.x + start * dx, from.y + start * dy),
            Spot::at(from.x + end * dx, from.y + end * dy),
        )
    })
}

/// The area of a polygon, without sign.
pub(crate) fn area(polygon: &[Spot]) -> f64 {
    let Some(last) = polygon.last() else {
        return 0.0;
    };
    let mut doubled = 0.0;
    let mut previous = *last;
    for &spot in polygon {
        doubled += previous.x * spot.y - spot.x * previous.y;
        previous = spot;
    }
    libm::fabs(doubled) / 2.0
}

/// The upright box around places; empty for none.
pub(crate) fn bounds(spots: &[Spot]) -> Frame {
    let mut frame = Frame::new(
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    );
    for spot in spots {
        frame.x0 = frame.x0.min(spot.x);
        frame.y0 = frame.y0.min(spot.y);
        frame.x1 = frame.x1.max(spot.x);
        frame.y1 = frame.y1.max(spot.y);
    }
    if spots.is_empty() {
        Frame::default()
    } else {
        frame
    }
}

/// Whether an upright box lies inside a polygon.
pub(crate) fn box_inside(frame: &Frame, polygon: &[Spot]) -> bool {
    let Some(last) = polygon.last() else {
        return false;
    };
    let centre = frame.middle();
    if !inside(centre, polygon) {
        return false;
    }
    let inner = Frame::new(
        frame.x0 + 1e-9,
        frame.y0 + 1e-9,
        frame.x1 - 1e-9,
        frame.y1 - 1e-9,
    );
    let mut previous = *last;
    for &spot in polygon {
        if clip_segment(previous, spot, &inner).is_some() {
            return false;
        }
        previous = spot;
    }
    true
}

/// Whether a place lies inside a polygon, by crossings.
pub(crate) fn inside(at: Spot, polygon: &[Spot]) -> bool {
    let Some(last) = polygon.last() else {
        return false;
    };
    let mut within = false;
    let mut previous = *last;
    for &spot in polygon {
        if (previous.y > at.y) != (spot.y > at.y) {
            let share = (at.y - previous.y) / (spot.y - previous.y);
            if at.x < previous.x + share * (spot.x - previous.x) {
                within = !within;
            }
        }
        previous = spot;
    }
    within
}

/// The parts of a segment inside a polygon; parts along its edge do not count.
pub(crate) fn parts_inside(from: Spot, to: Spot, polygon: &[Spot]) -> Vec<(Spot, Spot)> {
    let at = |t: f64| Spot::at(from.x + t * (to.x - from.x), from.y + t * (to.y - from.y));
    let mut cuts = alloc::vec![0.0, 1.0];
    let mut previous = match polygon.last() {
        Some(last) => *last,
        None => return Vec::new(),
    };
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    for &spot in polygon {
        let (ex, ey) = (spot.x - previous.x, spot.y - previous.y);
        let turn = dx * ey - dy * ex;
        let (ox, oy) = (previous.x - from.x, previous.y - from.y);
        if libm::fabs(turn) > 1e-12 {
            let t = (ox * ey - oy * ex) / turn;
            if (0.0..=1.0).contains(&t) {
                cuts.push(t);
            }
        } else {
            // Along each other: the edge's ends may end the part.
            let square = dx * dx + dy * dy;
            for end in [previous, spot] {
                let t = ((end.x - from.x) * dx + (end.y - from.y) * dy) / square.max(1e-12);
                if (0.0..=1.0).contains(&t) {
                    cuts.push(t);
                }
            }
        }
        previous = spot;
    }
    cuts.sort_by(f64::total_cmp);
    let mut parts: Vec<(Spot, Spot)> = Vec::new();
    for pair in cuts.windows(2) {
        if let &[a, b] = pair
            && b - a > 1e-9
        {
            let middle = at(f64::midpoint(a, b));
            if inside(middle, polygon) && !on_edge(middle, polygon) {
                parts.push((at(a), at(b)));
            }
        }
    }
    parts
}

/// Whether a place lies on the edge of a polygon, to 0.05 mm on paper.
pub(crate) fn on_edge(at: Spot, polygon: &[Spot]) -> bool {
    let near = Frame::around(at, 0.1, 0.1);
    let Some(last) = polygon.last() else {
        return false;
    };
    let mut previous = *last;
    polygon.iter().any(|&spot| {
        let hit = clip_segment(previous, spot, &near).is_some();
        previous = spot;
        hit
    })
}

/// The strokes that hatch a polygon, spaced on paper. Solid and plain areas have none.
pub(crate) fn hatch(polygon: &[Spot], pattern: Hatch, spacing: f64) -> Vec<(Spot, Spot)> {
    hatch_rings(&[polygon], pattern, spacing, SHORTEST)
}

/// Shorter strokes of a hatch are left out: they would be dots.
const SHORTEST: f64 = 0.15;
/// The same for what is left between parts, so that a saw cut is not hatched.
const SHORTEST_REST: f64 = 0.6;

/// The strokes that hatch what parts leave of a whole. The parts lie within it and do not overlap; holes in them count as left.
pub(crate) fn hatch_rest(
    whole: &[Spot],
    parts: &[Vec<Spot>],
    pattern: Hatch,
    spacing: f64,
) -> Vec<(Spot, Spot)> {
    let mut rings: Vec<&[Spot]> = alloc::vec![whole];
    rings.extend(parts.iter().map(Vec::as_slice));
    hatch_rings(&rings, pattern, spacing, SHORTEST_REST)
}

/// Strokes inside rings, counted even and odd.
fn hatch_rings(
    rings: &[&[Spot]],
    pattern: Hatch,
    spacing: f64,
    shortest: f64,
) -> Vec<(Spot, Spot)> {
    const RISING: (f64, f64) = (
        core::f64::consts::FRAC_1_SQRT_2,
        -core::f64::consts::FRAC_1_SQRT_2,
    );
    const FALLING: (f64, f64) = (
        core::f64::consts::FRAC_1_SQRT_2,
        core::f64::consts::FRAC_1_SQRT_2,
    );
    const LEVEL: (f64, f64) = (1.0, 0.0);
    const UPRIGHT: (f64, f64) = (0.0, 1.0);
    // Unit vectors along the strokes, and the shift of the rows.
    let families: &[((f64, f64), f64)] = match pattern {
        Hatch::Plain | Hatch::Solid => &[],
        Hatch::Rising => &[(RISING, 0.0)],
        Hatch::Falling => &[(FALLING, 0.0)],
        Hatch::Crossed => &[(RISING, 0.0), (FALLING, 0.0)],
        Hatch::Level => &[(LEVEL, 0.0)],
        Hatch::Upright => &[(UPRIGHT, 0.0)],
        Hatch::Squared => &[(LEVEL, 0.0), (UPRIGHT, 0.0)],
        Hatch::LevelRising => &[(LEVEL, 0.0), (RISING, 0.0)],
        Hatch::LevelFalling => &[(LEVEL, 0.0), (FALLING, 0.0)],
        Hatch::UprightRising => &[(UPRIGHT, 0.0), (RISING, 0.0)],
        Hatch::UprightFalling => &[(UPRIGHT, 0.0), (FALLING, 0.0)],
        Hatch::RisingPairs => &[(RISING, 0.0), (RISING, 0.3)],
    };
    let mut strokes = Vec::new();
    for &(along, shift) in families {
        let family = Rows {
            along,
            spacing,
            shift,
            shortest,
        };
        family.add_to(rings, &mut strokes);
    }
    strokes
}

/// One family of parallel strokes: rows at whole multiples of the spacing across the direction.
struct Rows {
    along: (f64, f64),
    spacing: f64,
    shift: f64,
    shortest: f64,
}

impl Rows {
    fn add_to(&self, rings: &[&[Spot]], strokes: &mut Vec<(Spot, Spot)>) {
        let (ux, uy) = self.along;
        let across = |s: Spot| s.y * ux - s.x * uy;
        let along = |s: Spot| s.x * ux + s.y * uy;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for &spot in rings.iter().copied().flatten() {
            low = low.min(across(spot));
            high = high.max(across(spot));
        }
        if low > high {
            return;
        }
        let first = libm::ceil(low / self.spacing - self.shift) as i32;
        let last = libm::floor(high / self.spacing - self.shift) as i32;
        for row in first..=last.min(first + STROKES_MAX) {
            let level = (f64::from(row) + self.shift) * self.spacing;
            let mut crossings: Vec<f64> = Vec::new();
            for ring in rings {
                let Some(mut previous) = ring.last().copied() else {
                    continue;
                };
                for &spot in *ring {
                    let (a, b) = (across(previous), across(spot));
                    if (a > level) != (b > level) {
                        let share = (level - a) / (b - a);
                        crossings.push(along(previous) + share * (along(spot) - along(previous)));
                    }
                    previous = spot;
                }
            }
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                if let &[from, to] = pair
                    && to - from > self.shortest
                {
                    let spot = |t: f64| Spot::at(t * ux - level * uy, t * uy + level * ux);
                    strokes.push((spot(from), spot(to)));
                }
            }
        }
    }
}

/// From one box along a line to the next.
const STEP: f64 = 0.6;

/// Small boxes along a line from end to end: what lies under any of them is crossed by it.
pub(crate) fn boxes_along(from: Spot, to: Spot) -> impl Iterator<Item = Frame> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let steps = libm::ceil(libm::hypot(dx, dy) / STEP).max(1.0) as u32;
    (0..=steps).map(move |step| {
        let share = f64::from(step) / f64::from(steps);
        let on = Spot::at(from.x + share * dx, from.y + share * dy);
        Frame::around(on, STEP, STEP)
    })
}
