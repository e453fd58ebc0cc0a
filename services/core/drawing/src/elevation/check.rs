//! Every fault of an elevation at once.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;
use working::{Fault, Faults};

use super::{ChainSide, ElevationDrawing, ElevationOptions, Point, Rectangle, Scale, layout};

/// The stated limits of one elevation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ElevationLimits {
    /// Most pieces.
    pub pieces: usize,
    /// Most anchors.
    pub anchors: usize,
    /// Most zones and parts of zones.
    pub zones: usize,
    /// Most of every other kind of thing: openings, beads, strips, marks, notes.
    pub others: usize,
    /// Most points in the facade's outline, the base line or the ground line.
    pub points: usize,
    /// Most points in the outline of a piece.
    pub piece_points: usize,
    /// Most chains on one side.
    pub chains: usize,
    /// Most picture sheets.
    pub sheets: usize,
}

/// The limits in force. A larger elevation is sent in parts, or at a coarser scale.
pub const ELEVATION_LIMITS: ElevationLimits = ElevationLimits {
    pieces: 50_000,
    anchors: 300_000,
    zones: 500,
    others: 10_000,
    points: 2000,
    piece_points: 100,
    chains: 4,
    sheets: 200,
};

pub(super) fn check(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    counts(drawing, &mut faults);
    if !faults.is_empty() {
        return faults.or(());
    }
    outline(
        "outline",
        &drawing.outline,
        ELEVATION_LIMITS.points,
        &mut faults,
    );
    line("base_line", &drawing.base_line, &mut faults);
    line("ground_line", &drawing.ground_line, &mut faults);
    for (i, opening) in drawing.openings.iter().enumerate() {
        rectangle(&format!("openings[{i}].raw"), &opening.raw, &mut faults);
        rectangle(
            &format!("openings[{i}].finished"),
            &opening.finished,
            &mut faults,
        );
    }
    pieces(drawing, &mut faults);
    overlays(drawing, &mut faults);
    scale(options, &mut faults);
    if faults.is_empty() {
        let sheets = layout::sheet_count(drawing, options);
        if sheets > ELEVATION_LIMITS.sheets {
            faults.add(
                "options.scale",
                "LIMIT_EXCEEDED",
                format!("{sheets} sheets"),
                format!(
                    "at most {} sheets; take a coarser scale",
                    ELEVATION_LIMITS.sheets
                ),
            );
        }
    }
    faults.or(())
}

fn counts(drawing: &ElevationDrawing, faults: &mut Faults) {
    let most = ELEVATION_LIMITS;
    let mut count = |path: &str, found: usize, limit: usize| {
        if found > limit {
            faults.add(
                path,
                "LIMIT_EXCEEDED",
                format!("{found}"),
                format!("at most {limit}"),
            );
        }
    };
    count("outline", drawing.outline.len(), most.points);
    count("base_line", drawing.base_line.len(), most.points);
    count("ground_line", drawing.ground_line.len(), most.points);
    count("pieces", drawing.pieces.len(), most.pieces);
    count("anchors", drawing.anchors.len(), most.anchors);
    count("zones", drawing.zones.len(), most.zones);
    for (path, found) in [
        ("openings", drawing.openings.len()),
        ("joints", drawing.joints.len()),
        ("slots", drawing.slots.len()),
        ("cracks", drawing.cracks.len()),
        ("mesh", drawing.mesh.len()),
        ("beads", drawing.beads.len()),
        ("sill_ends", drawing.sill_ends.len()),
        ("fixtures", drawing.fixtures.len()),
        ("breaches", drawing.breaches.len()),
        ("notes", drawing.notes.len()),
    ] {
        count(path, found, most.others);
    }
    for side in [ChainSide::Below, ChainSide::Left, ChainSide::Right] {
        let found = drawing.dimensions.iter().filter(|c| c.side == side).count();
        count("dimensions", found, most.chains);
    }
    for (i, chain) in drawing.dimensions.iter().enumerate() {
        count(
            &format!("dimensions[{i}].stations"),
            chain.stations.len(),
            most.others,
        );
    }
}

fn point(path: &str, at: Point, faults: &mut Faults) {
    for (name, value) in [("x", at.x), ("y", at.y)] {
        distance(path, name, value, faults);
    }
}

fn distance(path: &str, name: &str, value: Mm, faults: &mut Faults) {
    if value.abs() > Mm::LIMIT {
        faults.add(
            format!("{path}.{name}"),
            "OUT_OF_RANGE",
            format!("{value}"),
            format!("within {} either way", Mm::LIMIT),
        );
    }
}

fn line(path: &str, points: &[Point], faults: &mut Faults) {
    for (i, at) in points.iter().enumerate() {
        point(&format!("{path}[{i}]"), *at, faults);
    }
}

fn outline(path: &str, points: &[Point], most: usize, faults: &mut Faults) {
    if points.len() < 3 || points.len() > most {
        faults.add(
            path,
            "OUT_OF_RANGE",
            format!("{} points", points.len()),
            format!("3 to {most} points"),
        );
    }
    line(path, points.get(..most).unwrap_or(points), faults);
}

fn rectangle(path: &str, shape: &Rectangle, faults: &mut Faults) {
    point(
        path,
        Point {
            x: shape.x,
            y: shape.y,
        },
        faults,
    );
    for (name, size) in [("width", shape.width), ("height", shape.height)] {
        if size <= Mm::ZERO || size > Mm::LIMIT {
            faults.add(
                format!("{path}.{name}"),
                "OUT_OF_RANGE",
                format!("{size}"),
                format!("1 mm to {}", Mm::LIMIT),
            );
        }
    }
}

fn pieces(drawing: &ElevationDrawing, faults: &mut Faults) {
    let mut seen: BTreeMap<u32, usize> = BTreeMap::new();
    for (i, piece) in drawing.pieces.iter().enumerate() {
        let path = format!("pieces[{i}].outline");
        outline(&path, &piece.outline, ELEVATION_LIMITS.piece_points, faults);
        if let Some(first) = seen.insert(piece.number, i) {
            faults.add(
                format!("pieces[{i}].number"),
                "DUPLICATE",
                format!("{}, already used by pieces[{first}]", piece.number),
                "a number unique in the drawing",
            );
        }
    }
}

fn overlays(drawing: &ElevationDrawing, faults: &mut Faults) {
    for (i, joint) in drawing.joints.iter().enumerate() {
        point(&format!("joints[{i}].from"), joint.from, faults);
        point(&format!("joints[{i}].to"), joint.to, faults);
    }
    for (i, slot) in drawing.slots.iter().enumerate() {
        rectangle(&format!("slots[{i}].area"), &slot.area, faults);
    }
    for (i, crack) in drawing.cracks.iter().enumerate() {
        point(&format!("cracks[{i}].from"), crack.from, faults);
        point(&format!("cracks[{i}].to"), crack.to, faults);
    }
    for (i, anchor) in drawing.anchors.iter().enumerate() {
        point(&format!("anchors[{i}].at"), anchor.at, faults);
        if anchor.zone >= drawing.zones.len() {
            faults.add(
                format!("anchors[{i}].zone"),
                "OUT_OF_RANGE",
                format!("{}", anchor.zone),
                format!("less than {}, the number of zones", drawing.zones.len()),
            );
        }
    }
    for (i, zone) in drawing.zones.iter().enumerate() {
        rectangle(&format!("zones[{i}].area"), &zone.area, faults);
        for (name, value) in [
            ("anchors_per_m2", zone.anchors_per_m2),
            ("utilisation", zone.utilisation),
        ] {
            if !(0.0..=1e6).contains(&value) {
                faults.add(
                    format!("zones[{i}].{name}"),
                    "OUT_OF_RANGE",
                    format!("{value}"),
                    String::from("0 to 1000000"),
                );
            }
        }
    }
    for (i, strip) in drawing.mesh.iter().enumerate() {
        point(&format!("mesh[{i}].at"), strip.at, faults);
        let size = Rectangle {
            x: strip.at.x,
            y: strip.at.y,
            width: strip.length,
            height: strip.width,
        };
        rectangle(&format!("mesh[{i}]"), &size, faults);
    }
    for (i, bead) in drawing.beads.iter().enumerate() {
        point(&format!("beads[{i}].from"), bead.from, faults);
        point(&format!("beads[{i}].to"), bead.to, faults);
    }
    let count = drawing.openings.len();
    for (i, end) in drawing.sill_ends.iter().enumerate() {
        if end.opening >= count {
            faults.add(
                format!("sill_ends[{i}].opening"),
                "OUT_OF_RANGE",
                format!("{}", end.opening),
                format!("the place of one of {count} openings"),
            );
        }
    }
    for (i, mark) in drawing.fixtures.iter().enumerate() {
        point(&format!("fixtures[{i}].at"), mark.at, faults);
    }
    for (i, mark) in drawing.breaches.iter().enumerate() {
        point(&format!("breaches[{i}].at"), mark.at, faults);
    }
    for (i, chain) in drawing.dimensions.iter().enumerate() {
        for (j, station) in chain.stations.iter().enumerate() {
            distance(
                &format!("dimensions[{i}]"),
                &format!("stations[{j}]"),
                *station,
                faults,
            );
        }
    }
}

fn scale(options: &ElevationOptions, faults: &mut Faults) {
    if let Scale::OneTo(n) = options.scale
        && !(5..=1000).contains(&n)
    {
        faults.add(
            "options.scale",
            "OUT_OF_RANGE",
            format!("1:{n}"),
            "1:5 to 1:1000",
        );
    }
}
