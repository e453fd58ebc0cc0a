//! Corners of the building: where boards run past the wall's edge, and where boards of the other wall lie.

use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::layout::Window;
use crate::elevation::{ElevationDrawing, Point};
use crate::geometry::{Hatch, bounds, clip_polygon, clip_segment, hatch, parts_inside};
use crate::lettering::Lettering;
use crate::svg::{Anchoring, LineKind, Paint, Pen, Reading, Spot, Svg, Text};

/// The pattern of what boards of another wall take.
pub(super) const SLOT: Hatch = Hatch::Crossed;
/// The pen of the wall's edge where boards cover it.
pub(super) const COVERED: Pen = Pen::of(0.18, LineKind::Dashed);

/// A stretch of the outline, in the open or behind boards.
struct Stretch {
    from: Point,
    to: Point,
    covered: bool,
}

/// The outline edge by edge; what boards run past is covered.
fn stretches(drawing: &ElevationDrawing) -> Vec<Stretch> {
    let outline = &drawing.outline;
    let ends = outline.iter().zip(outline.iter().cycle().skip(1));
    ends.flat_map(|(from, to)| {
        if from.x == to.x {
            upright(drawing, *from, *to)
        } else {
            alloc::vec![Stretch {
                from: *from,
                to: *to,
                covered: false
            }]
        }
    })
    .collect()
}

fn upright(drawing: &ElevationDrawing, from: Point, to: Point) -> Vec<Stretch> {
    let x = from.x;
    let (low, high) = (from.y.min(to.y), from.y.max(to.y));
    let reach = |read: fn(&Point) -> Mm, outline: &[Point]| {
        let values = outline.iter().map(read);
        let least = values.clone().min().unwrap_or_default();
        (least, values.max().unwrap_or_default())
    };
    let mut covered: Vec<(Mm, Mm)> = Vec::new();
    for piece in &drawing.pieces {
        let (left, right) = reach(|p| p.x, &piece.outline);
        let (bottom, top) = reach(|p| p.y, &piece.outline);
        let (bottom, top) = (bottom.max(low), top.min(high));
        if left < x && x < right && bottom < top {
            covered.extend(across(&piece.outline, x, (bottom, top)));
        }
    }
    covered.sort_unstable();
    let mut found = Vec::new();
    let mut add = |bottom: Mm, top: Mm, covered: bool| {
        if bottom < top {
            found.push(Stretch {
                from: Point { x, y: bottom },
                to: Point { x, y: top },
                covered,
            });
        }
    };
    let mut reached = low;
    for (bottom, top) in covered {
        add(reached, bottom, false);
        add(bottom.max(reached), top, true);
        reached = reached.max(top);
    }
    add(reached, high, false);
    found
}

/// How far beside an upright line a piece is looked for, in millimetres: slopes of fifty to one rise half a millimetre over it.
const BESIDE: f64 = 0.01;

/// The heights, within some, at which a piece lies on both sides of an upright line: one that is cut round an inner corner of the wall ends at it.
fn across(piece: &[Point], x: Mm, (low, high): (Mm, Mm)) -> Vec<(Mm, Mm)> {
    let spot = |x: f64, y: Mm| Spot::at(x, f64::from(y.0));
    let shape: Vec<Spot> = piece.iter().map(|p| spot(f64::from(p.x.0), p.y)).collect();
    let beside = |side: f64| {
        let x = f64::from(x.0) + side;
        parts_inside(spot(x, low), spot(x, high), &shape)
    };
    let (left, right) = (beside(-BESIDE), beside(BESIDE));
    let mut both: Vec<(Mm, Mm)> = Vec::new();
    for (a, b) in left {
        for (c, d) in &right {
            let from = Mm(libm::round(a.y.max(c.y)) as i32);
            let to = Mm(libm::round(b.y.min(d.y)) as i32);
            match both.last_mut() {
                _ if from >= to => {}
                Some(last) if last.1 == from => last.1 = to,
                _ => both.push((from, to)),
            }
        }
    }
    both
}

/// Whether boards cover a part of the outline that a sheet shows.
pub(super) fn is_covered(drawing: &ElevationDrawing, window: &Window) -> bool {
    let mut all = stretches(drawing).into_iter().filter(|s| s.covered);
    all.any(|s| clip_segment(window.spot(s.from), window.spot(s.to), &window.paper).is_some())
}

/// The outline, thin and dashed where boards cover it, as hidden edges are.
pub(super) fn outline(svg: &mut Svg, drawing: &ElevationDrawing, window: &Window) {
    let all = stretches(drawing);
    for (covered, name, pen) in [
        (false, "outline", Pen::WIDE),
        (true, "outline-covered", COVERED),
    ] {
        let strokes: Vec<(Spot, Spot)> = all
            .iter()
            .filter(|s| s.covered == covered)
            .filter_map(|s| clip_segment(window.spot(s.from), window.spot(s.to), &window.paper))
            .collect();
        svg.group(name, pen, Paint::None);
        svg.strokes(&strokes);
        svg.end();
    }
}

/// What boards of another wall take: hatched, with the wall's name where it has room.
pub(super) fn slots(svg: &mut Svg, drawing: &ElevationDrawing, window: &Window) {
    let shapes: Vec<(&str, Vec<Spot>)> = drawing
        .slots
        .iter()
        .map(|slot| {
            let shape = clip_polygon(&window.shape(&slot.area.corners()), &window.paper);
            (slot.wall.as_str(), shape)
        })
        .filter(|(_, shape)| !shape.is_empty())
        .collect();
    svg.group("slot-hatch", Pen::HATCH, Paint::None);
    for (_, shape) in &shapes {
        svg.strokes(&hatch(shape, SLOT, 1.5));
    }
    svg.end();
    svg.group("slot", Pen::NARROW, Paint::None);
    for (_, shape) in &shapes {
        svg.polygon(shape);
    }
    svg.end();
    svg.group("slot-name", Pen::FINE, Paint::White);
    for (wall, shape) in &shapes {
        let frame = bounds(shape);
        let at = frame.middle();
        let readings = [Reading::Level, Reading::Upward].map(|reading| Text {
            reading,
            ..Text::level(at, Lettering::Small, Anchoring::Middle, wall)
        });
        let fitting = readings.into_iter().find(|text| {
            let room = text.frame();
            room.width() < frame.width() && room.height() < frame.height()
        });
        if let Some(text) = fitting {
            svg.rect_without_line(&text.frame());
            svg.text(&text);
        }
    }
    svg.end();
}
