//! Draws the sheets of an elevation.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use crate::elevation::dimension::{self, ChainPicture};
use crate::elevation::layout::{self, MATCH_ROW, Plan, Window, ZONE_BAND};
use crate::elevation::number::{self, Numbers, Obstacles};
use crate::elevation::overlay::{self, Overlay, anchor_symbol, bead_style, trimmed};
use crate::elevation::{
    AnchorKind, BeadKind, ChainSide, ElevationDrawing, ElevationOptions, Layer, PieceDrawing,
    PieceKind, Point,
};
use crate::geometry::{Hatch, bounds, clip_polygon, clip_segment, hatch};
use crate::lettering::Lettering;
use crate::sheet::{
    LegendLine, ListLine, PICTURE, Sample, Sheet, Strip, Symbol, broken, capacity, mark, open,
    scale_bar, write_list,
};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

const fn piece_style(kind: PieceKind) -> (Hatch, &'static str) {
    match kind {
        PieceKind::Whole => (Hatch::Plain, "whole board"),
        PieceKind::Cut => (Hatch::Rising, "cut piece"),
        PieceKind::Notched => (Hatch::Falling, "notched piece"),
        PieceKind::Plinth => (Hatch::Level, "plinth board"),
        PieceKind::Barrier => (Hatch::Crossed, "fire barrier strip"),
        PieceKind::Fill => (Hatch::Solid, "filled gap"),
    }
}

/// How many numbers would go to the list.
pub(super) fn unnumbered(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    plan: &Plan,
) -> usize {
    let mut obstacles: Vec<Obstacles> = plan.windows.iter().map(|_| Obstacles::default()).collect();
    for (window, obstacles) in plan.windows.iter().zip(obstacles.iter_mut()) {
        overlay::place(drawing, options, window, obstacles);
    }
    number::place(&drawing.pieces, &plan.windows, &mut obstacles, plan.scale)
        .unplaced
        .len()
}

/// All sheets, pictures first, then the rest of the list.
pub(super) fn sheets(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    plan: &Plan,
) -> Vec<Sheet> {
    let mut obstacles: Vec<Obstacles> = plan.windows.iter().map(|_| Obstacles::default()).collect();
    let overlays: Vec<Overlay> = plan
        .windows
        .iter()
        .zip(obstacles.iter_mut())
        .map(|(window, obstacles)| overlay::place(drawing, options, window, obstacles))
        .collect();
    let numbers = if options.shows(Layer::Numbers) {
        number::place(&drawing.pieces, &plan.windows, &mut obstacles, plan.scale)
    } else {
        Numbers::default()
    };
    let chains: Vec<Vec<ChainPicture>> = plan
        .windows
        .iter()
        .map(|w| chains(drawing, options, w))
        .collect();
    let lines = broken(&list(drawing, options, &numbers, &chains));
    let spare: Vec<Frame> = plan
        .windows
        .iter()
        .map(|w| layout::spare(w, plan))
        .collect();
    let beside: usize = spare.iter().map(capacity).sum();
    let behind = lines
        .len()
        .saturating_sub(beside)
        .div_ceil(capacity(&PICTURE));
    let legend = legend(drawing, options, &numbers);
    let count = plan.windows.len() + behind;
    let mut rest = lines.as_slice();
    let mut sheets = Vec::with_capacity(count);
    for (i, window) in plan.windows.iter().enumerate() {
        let strip = Strip {
            block: &drawing.block,
            scale: Some(plan.scale),
            number: i + 1,
            count,
            legend: &legend,
        };
        let mut svg = open(&strip);
        window_picture(&mut svg, drawing, options, window);
        if let Some(overlay) = overlays.get(i) {
            overlay::draw(&mut svg, overlay);
        }
        number_texts(&mut svg, &numbers, i);
        for chain in chains.get(i).into_iter().flatten() {
            dimension::draw(&mut svg, chain);
        }
        surroundings(&mut svg, drawing, plan, window);
        if let Some(area) = spare.get(i) {
            let (here, after) = rest.split_at(rest.len().min(capacity(area)));
            write_list(&mut svg, area, here);
            rest = after;
        }
        sheets.push(strip.finished(svg));
    }
    for i in plan.windows.len()..count {
        let strip = Strip {
            block: &drawing.block,
            scale: None,
            number: i + 1,
            count,
            legend: &[],
        };
        let mut svg = open(&strip);
        let (here, after) = rest.split_at(rest.len().min(capacity(&PICTURE)));
        write_list(&mut svg, &PICTURE, here);
        rest = after;
        sheets.push(strip.finished(svg));
    }
    sheets
}

fn chains(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    window: &Window,
) -> Vec<ChainPicture> {
    if !options.shows(Layer::Dimensions) {
        return Vec::new();
    }
    let mut lanes: BTreeMap<ChainSide, usize> = BTreeMap::new();
    drawing
        .dimensions
        .iter()
        .filter_map(|chain| {
            let lane = lanes.entry(chain.side).or_insert(0);
            let here = *lane;
            *lane += 1;
            dimension::laid_out(chain, here, window)
        })
        .collect()
}

fn window_picture(
    svg: &mut Svg,
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    window: &Window,
) {
    let clipped = |points: &[Point]| {
        let shape = window.shape(points);
        if bounds(&shape).overlaps(&window.paper) {
            clip_polygon(&shape, &window.paper)
        } else {
            Vec::new()
        }
    };
    if options.shows(Layer::Pieces) {
        let shapes: Vec<(PieceKind, Vec<Spot>)> = drawing
            .pieces
            .iter()
            .map(|p| (p.kind, clipped(&p.outline)))
            .filter(|(_, shape)| !shape.is_empty())
            .collect();
        if options.shows(Layer::Hatching) {
            hatching(svg, &shapes);
        }
        svg.group("pieces", Pen::NARROW, Paint::None);
        for (_, shape) in &shapes {
            svg.polygon(shape);
        }
        svg.end();
    }
    openings(svg, drawing, options, window);
    svg.group("outline", Pen::WIDE, Paint::None);
    svg.polygon(&clipped(&drawing.outline));
    svg.end();
    for (name, pen, points) in [
        (
            "base-line",
            Pen::of(0.35, LineKind::LongDashedDotted),
            &drawing.base_line,
        ),
        ("ground-line", Pen::EXTRA_WIDE, &drawing.ground_line),
    ] {
        svg.group(name, pen, Paint::None);
        let spots = window.shape(points);
        let strokes: Vec<(Spot, Spot)> = spots
            .windows(2)
            .filter_map(|pair| match pair {
                &[a, b] => clip_segment(a, b, &window.paper),
                _ => None,
            })
            .collect();
        svg.strokes(&strokes);
        svg.end();
    }
}

fn hatching(svg: &mut Svg, shapes: &[(PieceKind, Vec<Spot>)]) {
    svg.group("hatch", Pen::HATCH, Paint::None);
    for (kind, shape) in shapes {
        svg.strokes(&hatch(shape, piece_style(*kind).0, 1.5));
    }
    svg.end();
    svg.group("fill", Pen::HATCH, Paint::Black);
    for (_, shape) in shapes
        .iter()
        .filter(|(kind, _)| piece_style(*kind).0 == Hatch::Solid)
    {
        svg.polygon(shape);
    }
    svg.end();
}

/// Openings: finished edge, raw edge dashed behind it, diagonals as ISO 7519 has them, and the name.
fn openings(
    svg: &mut Svg,
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    window: &Window,
) {
    for opening in &drawing.openings {
        let raw = clip_polygon(&window.shape(&opening.raw.corners()), &window.paper);
        let whole = window.shape(&opening.finished.corners());
        let finished = clip_polygon(&whole, &window.paper);
        if finished.is_empty() {
            continue;
        }
        let raw_shown = options.shows(Layer::Pieces) && opening.raw != opening.finished;
        if raw_shown && !raw.is_empty() {
            svg.group("raw-opening", Pen::of(0.18, LineKind::Dashed), Paint::None);
            svg.polygon(&raw);
            svg.end();
        }
        svg.group("opening", Pen::MIDDLE, Paint::White);
        svg.polygon(&finished);
        svg.end();
        svg.group("diagonal", Pen::FINE, Paint::None);
        if let &[a, b, c, d] = whole.as_slice() {
            let diagonals: Vec<(Spot, Spot)> = [(a, c), (b, d)]
                .into_iter()
                .filter_map(|(from, to)| clip_segment(from, to, &window.paper))
                .collect();
            svg.strokes(&diagonals);
        }
        svg.end();
        let frame = bounds(&finished);
        let middle = Spot::at(
            f64::midpoint(frame.x0, frame.x1),
            f64::midpoint(frame.y0, frame.y1),
        );
        let words = Lettering::Small.fitted(&opening.id, frame.width() - 1.0);
        if words.chars().count() > 1 || words == opening.id {
            let text = Text::level(middle, Lettering::Small, Anchoring::Middle, &words);
            svg.group("opening-name", Pen::FINE, Paint::White);
            if !words.is_empty() {
                svg.rect_without_line(&text.frame());
            }
            svg.text(&text);
            svg.end();
        }
    }
}

fn number_texts(svg: &mut Svg, numbers: &Numbers, window: usize) {
    svg.group("numbers", Pen::FINE, Paint::White);
    for number in numbers.placed.get(window).into_iter().flatten() {
        svg.rect_without_line(&number.frame);
        svg.text(&Text {
            reading: number.reading,
            class: "piece-number",
            ..Text::level(number.at, number.lettering, Anchoring::Middle, &number.text)
        });
    }
    svg.end();
    for piece in numbers.unplaced.iter().filter(|u| u.window == window) {
        if piece.dot != Spot::default() {
            mark(svg, piece.dot, Symbol::Dot);
        }
    }
}

/// Scale bar, match lines and the key plan.
fn surroundings(svg: &mut Svg, drawing: &ElevationDrawing, plan: &Plan, window: &Window) {
    let bar = Spot::at(PICTURE.x0 + 12.0, PICTURE.y1 - 3.5);
    scale_bar(svg, bar, plan.scale);
    let sides = [
        (window.column > 0, window.paper.x0, window.paper.x0),
        (
            window.column + 1 < plan.columns,
            window.paper.x1,
            window.paper.x1,
        ),
    ];
    svg.group(
        "match-line",
        Pen::of(0.5, LineKind::LongDashedDoubleDotted),
        Paint::None,
    );
    for (cut, x0, x1) in sides {
        if cut {
            svg.line(
                Spot::at(x0, window.paper.y0 - 2.0),
                Spot::at(x1, window.paper.y1 + 2.0),
            );
        }
    }
    for (cut, y) in [
        (window.row > 0, window.paper.y1),
        (window.row + 1 < plan.rows, window.paper.y0),
    ] {
        if cut {
            svg.line(
                Spot::at(window.paper.x0 - 2.0, y),
                Spot::at(window.paper.x1 + 2.0, y),
            );
        }
    }
    svg.end();
    if plan.windows.len() > 1 {
        continuations(svg, plan, window);
        key_plan(svg, drawing, plan, window);
    }
}

fn continuations(svg: &mut Svg, plan: &Plan, window: &Window) {
    let sheet = |column: usize, row: usize| row * plan.columns + column + 1;
    let y = PICTURE.y0 + MATCH_ROW / 2.0 + 1.0;
    svg.group("continuation", Pen::FINE, Paint::None);
    let mut write = |x: f64, y: f64, anchoring: Anchoring, content: &str| {
        svg.text(&Text::level(
            Spot::at(x, y),
            Lettering::Small,
            anchoring,
            content,
        ));
    };
    let y = y.max(window.paper.y0 - ZONE_BAND - MATCH_ROW);
    let (x0, x1) = (window.paper.x0, window.paper.x1);
    if window.column > 0 {
        let text = format!("< sheet {}", sheet(window.column - 1, window.row));
        write(x0, y, Anchoring::Start, &text);
    }
    if window.column + 1 < plan.columns {
        let text = format!("sheet {} >", sheet(window.column + 1, window.row));
        write(x1, y, Anchoring::End, &text);
    }
    if window.row + 1 < plan.rows {
        let text = format!("above: sheet {}", sheet(window.column, window.row + 1));
        write(f64::midpoint(x0, x1), y, Anchoring::Middle, &text);
    }
    if window.row > 0 {
        let text = format!("below: sheet {}", sheet(window.column, window.row - 1));
        write(
            f64::midpoint(x0, x1),
            PICTURE.y1 - 3.5,
            Anchoring::Middle,
            &text,
        );
    }
    svg.end();
}

/// The whole facade in small at the lower right, with this sheet's part shaded.
fn key_plan(svg: &mut Svg, drawing: &ElevationDrawing, plan: &Plan, window: &Window) {
    let box_ = Frame::new(
        PICTURE.x1 - 62.0,
        PICTURE.y1 - 13.0,
        PICTURE.x1 - 2.0,
        PICTURE.y1 - 1.5,
    );
    let scale = (plan.extent.width() / box_.width()).max(plan.extent.height() / box_.height());
    let spot = |x: f64, y: f64| {
        Spot::at(
            box_.x1 - (plan.extent.x1 - x) / scale,
            box_.y1 - (y - plan.extent.y0) / scale,
        )
    };
    let part: Vec<Spot> = [
        (window.mm.x0, window.mm.y0),
        (window.mm.x1, window.mm.y0),
        (window.mm.x1, window.mm.y1),
        (window.mm.x0, window.mm.y1),
    ]
    .iter()
    .map(|(x, y)| spot(*x, *y))
    .collect();
    svg.group("key-plan", Pen::HATCH, Paint::None);
    svg.strokes(&hatch(&part, Hatch::Rising, 0.8));
    svg.polygon(&part);
    svg.end();
    svg.group("key-plan", Pen::MIDDLE, Paint::None);
    let outline: Vec<Spot> = drawing
        .outline
        .iter()
        .map(|p| spot(f64::from(p.x.0), f64::from(p.y.0)))
        .collect();
    svg.polygon(&outline);
    svg.end();
}

fn legend(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    numbers: &Numbers,
) -> Vec<LegendLine> {
    let mut lines = Vec::new();
    if options.shows(Layer::Pieces) && options.shows(Layer::Hatching) {
        let kinds: BTreeSet<PieceKind> = drawing.pieces.iter().map(|p| p.kind).collect();
        for kind in kinds {
            let (pattern, text) = piece_style(kind);
            lines.push(LegendLine::new(Sample::Area(pattern), text));
        }
    } else if options.shows(Layer::Pieces) && !drawing.pieces.is_empty() {
        lines.push(LegendLine::new(Sample::Area(Hatch::Plain), "board"));
    }
    if !drawing.openings.is_empty() {
        lines.push(LegendLine::new(Sample::Opening, "opening, finished"));
        let raw = drawing.openings.iter().any(|o| o.raw != o.finished);
        if raw && options.shows(Layer::Pieces) {
            let pen = Pen::of(0.18, LineKind::Dashed);
            lines.push(LegendLine::new(Sample::Line(pen), "opening, raw"));
        }
    }
    if !drawing.base_line.is_empty() {
        let pen = Pen::of(0.35, LineKind::LongDashedDotted);
        lines.push(LegendLine::new(Sample::Line(pen), "base line"));
    }
    if !drawing.ground_line.is_empty() {
        lines.push(LegendLine::new(Sample::Line(Pen::EXTRA_WIDE), "ground"));
    }
    if !drawing.joints.is_empty() {
        let pen = Pen::of(0.7, LineKind::Dashed);
        lines.push(LegendLine::new(Sample::Line(pen), "structural joint"));
    }
    if options.shows(Layer::Anchors) {
        let kinds: BTreeSet<AnchorKind> = drawing.anchors.iter().map(|a| a.kind).collect();
        for kind in kinds {
            let (symbol, text) = anchor_symbol(kind);
            lines.push(LegendLine::new(Sample::Symbol(symbol), text));
        }
    }
    if options.shows(Layer::Zones) && !drawing.zones.is_empty() {
        let pen = Pen::of(0.5, LineKind::LongDashedDotted);
        lines.push(LegendLine::new(Sample::Line(pen), "zone border"));
    }
    if options.shows(Layer::Mesh) && !drawing.mesh.is_empty() {
        lines.push(LegendLine::new(
            Sample::Symbol(Symbol::Mesh),
            "diagonal mesh",
        ));
    }
    if options.shows(Layer::Beads) {
        let kinds: BTreeSet<BeadKind> = drawing.beads.iter().map(|b| b.kind).collect();
        for kind in kinds {
            let (pen, code, text) = bead_style(kind);
            lines.push(LegendLine::new(Sample::Coded(pen, code), text));
        }
    }
    if options.shows(Layer::Fixtures) && !drawing.fixtures.is_empty() {
        lines.push(LegendLine::new(
            Sample::Symbol(Symbol::Square),
            "mounting element",
        ));
    }
    if options.shows(Layer::Breaches) && !drawing.breaches.is_empty() {
        lines.push(LegendLine::new(
            Sample::Symbol(Symbol::Triangle),
            "rule not kept, see list",
        ));
    }
    if !numbers.unplaced.is_empty() {
        lines.push(LegendLine::new(
            Sample::Symbol(Symbol::Dot),
            "piece numbered in the list",
        ));
    }
    lines
}

fn list(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    numbers: &Numbers,
    chains: &[Vec<ChainPicture>],
) -> Vec<ListLine> {
    let mut lines = alloc::vec![ListLine::Text(String::from("Dimensions in millimetres."))];
    if chains.len() > 1 && options.shows(Layer::Numbers) {
        lines.push(ListLine::Text(String::from(
            "A piece cut by the edge of a sheet bears its number on one of the sheets only.",
        )));
    }
    lines.extend(drawing.notes.iter().cloned().map(ListLine::Text));
    if options.shows(Layer::Zones) {
        zone_lines(drawing, &mut lines);
    }
    if options.shows(Layer::Breaches) && !drawing.breaches.is_empty() {
        lines.push(ListLine::Heading(String::from("Rules not kept")));
        for (i, breach) in drawing.breaches.iter().enumerate() {
            lines.push(ListLine::Text(format!(
                "!{} x {}, y {}: {}",
                i + 1,
                breach.at.x.0,
                breach.at.y.0,
                breach.text
            )));
        }
    }
    if options.shows(Layer::Fixtures) && !drawing.fixtures.is_empty() {
        lines.push(ListLine::Heading(String::from("Mounting elements")));
        for (i, fixture) in drawing.fixtures.iter().enumerate() {
            lines.push(ListLine::Text(format!(
                "M{} x {}, y {}: {}",
                i + 1,
                fixture.at.x.0,
                fixture.at.y.0,
                fixture.text
            )));
        }
    }
    let left_out: BTreeSet<(i32, i32)> = chains
        .iter()
        .flatten()
        .flat_map(|c| c.left_out.iter().map(|(a, b)| (a.0, b.0)))
        .collect();
    if !left_out.is_empty() {
        lines.push(ListLine::Heading(String::from(
            "Dimensions too short to letter",
        )));
        for (a, b) in left_out {
            lines.push(ListLine::Text(format!("{a} to {b}: {}", b - a)));
        }
    }
    if !numbers.unplaced.is_empty() {
        lines.push(ListLine::Heading(String::from(
            "Pieces marked with a dot: number, place, size",
        )));
        for unplaced in &numbers.unplaced {
            if let Some(piece) = drawing.pieces.get(unplaced.piece) {
                lines.push(ListLine::Piece {
                    number: piece.number,
                    text: place_and_size(piece),
                });
            }
        }
    }
    lines
}

fn place_and_size(piece: &PieceDrawing) -> String {
    let xs = piece.outline.iter().map(|p| p.x.0);
    let ys = piece.outline.iter().map(|p| p.y.0);
    let (x0, x1) = (xs.clone().min().unwrap_or(0), xs.max().unwrap_or(0));
    let (y0, y1) = (ys.clone().min().unwrap_or(0), ys.max().unwrap_or(0));
    format!("x {x0}, y {y0}: {} × {}", x1 - x0, y1 - y0)
}

/// One line for each zone name: density, anchors drawn, utilisation, and where its parts lie.
fn zone_lines(drawing: &ElevationDrawing, lines: &mut Vec<ListLine>) {
    if drawing.zones.is_empty() {
        return;
    }
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for anchor in &drawing.anchors {
        if let Some(zone) = drawing.zones.get(anchor.zone) {
            *counts.entry(&zone.name).or_insert(0) += 1;
        }
    }
    lines.push(ListLine::Heading(String::from("Wind zones")));
    let mut said: BTreeSet<&str> = BTreeSet::new();
    for zone in &drawing.zones {
        if said.insert(&zone.name) {
            let worst = drawing
                .zones
                .iter()
                .filter(|z| z.name == zone.name)
                .map(|z| z.utilisation)
                .fold(0.0, f64::max);
            lines.push(ListLine::Text(format!(
                "{}: {} anchors/m², {} anchors, utilisation {:.0} %{}",
                zone.name,
                trimmed(zone.anchors_per_m2),
                counts.get(zone.name.as_str()).copied().unwrap_or(0),
                worst * 100.0,
                if worst > 1.0 { " - NOT ENOUGH" } else { "" },
            )));
        }
        lines.push(ListLine::Text(format!(
            "· {}: x {} to {}, y {} to {}",
            zone.name,
            zone.area.x.0,
            (zone.area.x + zone.area.width).0,
            zone.area.y.0,
            (zone.area.y + zone.area.height).0,
        )));
    }
}
