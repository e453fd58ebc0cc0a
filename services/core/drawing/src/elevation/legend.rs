//! What a sheet says beside its picture: the legend of what it shows, and the list.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::bead::{SILL_END, bead_style};
use crate::elevation::corner;
use crate::elevation::dimension::ChainPicture;
use crate::elevation::layout::Window;
use crate::elevation::number::Numbers;
use crate::elevation::opening::{Label, Listed};
use crate::elevation::overlay::{
    ELEMENTS, Overlay, anchor_symbol, is_pictured, joint_key, trimmed, zone_titles,
};
use crate::elevation::series::{CLASH, Series, element_symbol};
use crate::elevation::{
    ElementLoad, ElevationDrawing, ElevationOptions, Layer, PieceDrawing, PieceKind, Point,
    SillEnd, SillSide,
};
use crate::geometry::{Hatch, clip_polygon, clip_segment, on_edge};
use crate::sheet::{LegendLine, ListLine, Sample, Symbol, broken};
use crate::svg::{LineKind, Pen, Spot};

/// The pen of the base line.
pub(super) const BASE_PEN: Pen = Pen::of(0.35, LineKind::LongDashedDotted);
/// The pen of the borders between zones: of another kind than the base line, which they cross.
pub(super) const BORDER_PEN: Pen = Pen::of(0.5, LineKind::LongDashedShortDashed);
/// The pen of cracks.
pub(super) const CRACK_PEN: Pen = Pen::continuous(0.25);

/// The pen of the line along which an elevation is cut.
pub(super) const MATCH_PEN: Pen = Pen::of(0.5, LineKind::LongDashedDoubleDotted);

/// What one sheet shows.
pub(super) struct Content<'a> {
    pub drawing: &'a ElevationDrawing,
    pub options: &'a ElevationOptions,
    pub window: &'a Window,
    /// Its place among the sheets.
    pub sheet: usize,
    /// How many sheets show the elevation.
    pub sheets: usize,
    pub overlay: &'a Overlay,
    pub numbers: &'a Numbers,
    pub chains: &'a [ChainPicture],
    pub labels: &'a [Label],
}

/// Level and upright lines tell what the board is for; rising ones that it is cut, falling ones that it is notched.
pub(super) const fn piece_style(kind: PieceKind) -> (Hatch, &'static str) {
    match kind {
        PieceKind::Whole => (Hatch::Plain, "whole board"),
        PieceKind::Cut => (Hatch::Rising, "cut piece"),
        PieceKind::Notched => (Hatch::Falling, "notched piece"),
        PieceKind::Plinth => (Hatch::Level, "plinth, whole board"),
        PieceKind::PlinthCut => (Hatch::LevelRising, "plinth, cut piece"),
        PieceKind::PlinthNotched => (Hatch::LevelFalling, "plinth, notched piece"),
        PieceKind::Barrier => (Hatch::Upright, "fire barrier, whole board"),
        PieceKind::BarrierCut => (Hatch::UprightRising, "fire barrier, cut piece"),
        PieceKind::BarrierNotched => (Hatch::UprightFalling, "fire barrier, notched piece"),
        PieceKind::Fill => (Hatch::Solid, "filled gap"),
    }
}

impl Content<'_> {
    fn sees_area(&self, outline: &[Point]) -> bool {
        !clip_polygon(&self.window.shape(outline), &self.window.paper).is_empty()
    }
    /// Whether the outline, which is drawn over it, hides a line.
    fn hides(&self, points: &[Point]) -> bool {
        let outline = self.window.shape(&self.drawing.outline);
        self.window.shape(points).windows(2).all(|pair| match pair {
            &[a, b] => on_edge(
                Spot::at(f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y)),
                &outline,
            ),
            _ => true,
        })
    }
    fn sees_line(&self, points: &[Point]) -> bool {
        self.window.shape(points).windows(2).any(|pair| match pair {
            &[a, b] => clip_segment(a, b, &self.window.paper).is_some(),
            _ => false,
        })
    }
}

/// One line for each kind of thing on the sheet.
pub(super) fn legend(content: &Content<'_>) -> Vec<LegendLine> {
    let mut lines = Vec::new();
    wall_lines(content, &mut lines);
    let mut add = |sample: Sample, text: &str| lines.push(LegendLine::new(sample, text));
    let overlay = content.overlay;
    if overlay.has_joints() {
        add(
            Sample::Line(Pen::of(0.7, LineKind::Dashed)),
            "structural joint",
        );
    }
    let drawing = content.drawing;
    if drawing
        .cracks
        .iter()
        .any(|c| content.sees_line(&[c.from, c.to]))
    {
        add(Sample::Zigzag(CRACK_PEN), "crack or change of substrate");
    }
    for kind in overlay.anchor_kinds() {
        let (symbol, text) = anchor_symbol(kind);
        add(Sample::Symbol(symbol), text);
    }
    if overlay.has_borders() {
        add(Sample::Line(BORDER_PEN), "zone border");
    }
    if overlay.has_failing() {
        let sample = Sample::Spaced(Hatch::Falling, 2.0);
        add(sample, "zone with anchors NOT ENOUGH, see list");
    }
    if overlay.has_mesh() {
        add(Sample::Symbol(Symbol::Mesh), "diagonal mesh");
    }
    for kind in overlay.beads.kinds() {
        let style = bead_style(kind);
        add(Sample::Coded(style.pen, style.code), style.text);
    }
    if overlay.beads.has_ends() {
        let text = "sealing strip at the end of a sill, see list";
        add(Sample::Symbol(SILL_END), text);
    }
    let loads = [ElementLoad::Light, ElementLoad::Heavy];
    for load in loads.into_iter().filter(|l| overlay.shows_element(*l)) {
        let (symbol, text) = element_symbol(load);
        add(Sample::Symbol(symbol), text);
    }
    if overlay.has_breaches() {
        add(Sample::Symbol(Symbol::Triangle), "rule not kept, see list");
    }
    if content.sheets > 1 {
        add(Sample::Line(MATCH_PEN), "goes on on another sheet");
    }
    if content.numbers.unplaced_on(content.sheet).next().is_some() {
        add(Sample::Symbol(Symbol::Dot), "piece numbered in the list");
    }
    lines
}

/// Pieces, openings, base line and ground.
fn wall_lines(content: &Content<'_>, lines: &mut Vec<LegendLine>) {
    let (drawing, options) = (content.drawing, content.options);
    let mut add = |sample: Sample, text: &str| lines.push(LegendLine::new(sample, text));
    let shown = |piece: &&PieceDrawing| content.sees_area(&piece.outline);
    if options.shows(Layer::Pieces) && options.shows(Layer::Hatching) {
        let pieces = drawing.pieces.iter().filter(shown);
        let kinds: BTreeSet<PieceKind> = pieces.map(|p| p.kind).collect();
        for kind in kinds {
            let (pattern, text) = piece_style(kind);
            add(Sample::Area(pattern), text);
        }
    } else if options.shows(Layer::Pieces) && drawing.pieces.iter().any(|p| shown(&p)) {
        add(Sample::Area(Hatch::Plain), "board");
    }
    if options.shows(Layer::Pieces) {
        let slots = drawing.slots.iter();
        let walls: BTreeSet<&str> = slots
            .filter(|slot| content.sees_area(&slot.area.corners()))
            .map(|slot| slot.wall.as_str())
            .collect();
        for wall in walls {
            let text = format!("board of wall {wall} at the corner");
            add(Sample::Area(corner::SLOT), &text);
        }
        if corner::is_covered(drawing, content.window) {
            add(
                Sample::Line(corner::COVERED),
                "edge of the wall, behind boards",
            );
        }
    }
    let openings = || {
        let all = drawing.openings.iter();
        all.filter(|o| content.sees_area(&o.finished.corners()))
    };
    if openings().next().is_some() {
        add(Sample::Opening, "opening, to the boards");
    }
    if options.shows(Layer::Pieces) && openings().any(|o| o.raw != o.finished) {
        add(
            Sample::Line(Pen::of(0.18, LineKind::Dashed)),
            "opening, raw",
        );
    }
    if content.sees_line(&drawing.base_line) && !content.hides(&drawing.base_line) {
        add(Sample::Line(BASE_PEN), "base line");
    }
    if content.sees_line(&drawing.ground_line) {
        add(Sample::Line(Pen::EXTRA_WIDE), "ground");
    }
}

/// The list of a sheet, broken to its column: on the first what concerns all, on each what its own marks mean. How it is to be read is
/// said on each that has `room` lines for both.
pub(super) fn list(content: &Content<'_>, room: usize) -> Vec<ListLine> {
    let mut own = Vec::new();
    openings(content, &mut own);
    unlettered(content, &mut own);
    sill_ends(content, &mut own);
    marks(content, &mut own);
    clashes(content, &mut own);
    left_out(content, &mut own);
    unnumbered(content, &mut own);
    let mut lines = Vec::new();
    common(content, &mut lines);
    let (mut lines, own) = (broken(&lines), broken(&own));
    if content.sheet > 0 && lines.len() + own.len() > room {
        lines.clear();
    }
    lines.extend(own);
    lines
}

fn common(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    let (drawing, options) = (content.drawing, content.options);
    let text = "Dimensions in millimetres, levels in metres.";
    lines.push(ListLine::Text(String::from(text)));
    lines.push(ListLine::Text(drawing.counting()));
    if content.sheets > 1 && options.shows(Layer::Numbers) {
        lines.push(ListLine::Text(String::from(
            "A piece cut by the edge of a sheet bears its number on one of the sheets only.",
        )));
    }
    lines.extend(drawing.notes.iter().cloned().map(ListLine::Text));
    for (i, joint) in drawing.joints.iter().enumerate() {
        let key = joint_key(drawing, i, joint);
        if key != joint.name {
            lines.push(ListLine::Text(format!("{key}: {}", joint.name)));
        }
    }
    if content.sheet == 0 && options.shows(Layer::Zones) {
        zone_lines(drawing, lines);
    }
}

fn openings(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    // Openings of one size and level are told together, by the first.
    let mut equal: Vec<Vec<&Listed>> = Vec::new();
    let mut known: BTreeMap<&str, usize> = BTreeMap::new();
    for listed in content.labels.iter().filter_map(|l| l.listed.as_ref()) {
        let place = if listed.told.is_empty() {
            equal.len()
        } else {
            *known.entry(&listed.told).or_insert(equal.len())
        };
        match equal.get_mut(place) {
            Some(group) => group.push(listed),
            None => equal.push(alloc::vec![listed]),
        }
    }
    if equal.is_empty() {
        return;
    }
    let place = if content.labels.iter().any(|label| label.placed) {
        "x of the left edge, "
    } else {
        ""
    };
    lines.push(ListLine::Heading(format!(
        "Openings, to the boards: {place}width × height, level of the lower edge"
    )));
    let line = |group: Vec<&Listed>| ListLine::Text(Listed::together(&group));
    lines.extend(equal.into_iter().map(line));
}

/// What runs along openings that have no room for letters; openings with the same beads are told together.
fn unlettered(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    let mut alike: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (index, codes) in content.overlay.beads.unlettered() {
        if let Some(opening) = content.drawing.openings.get(index) {
            let id = &opening.id;
            let x = content.drawing.along(opening.finished.x);
            let openings = alike.entry(codes.join(", ")).or_default();
            openings.push(format!("{id} at x\u{a0}{x}"));
        }
    }
    if !alike.is_empty() {
        let heading = "Beads of openings too small for their letters";
        lines.push(ListLine::Heading(String::from(heading)));
    }
    for (codes, openings) in alike {
        lines.push(ListLine::Text(match openings.as_slice() {
            all if all.len() > 1 && all.len() == content.labels.len() => {
                format!("{codes}: all openings of this sheet")
            }
            [one] => format!("{one}: {codes}"),
            all => format!("{codes}: {}", all.join(", ")),
        }));
    }
}

/// How long the strips at the ends of sills are; sills with like ends are told together.
fn sill_ends(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    let (drawing, options) = (content.drawing, content.options);
    if !options.shows(Layer::Beads) {
        return;
    }
    let seen = |end: &&SillEnd| end.at(drawing).is_some_and(|at| content.window.holds(at));
    let mut sills: BTreeMap<usize, [Option<Mm>; 2]> = BTreeMap::new();
    for end in drawing.sill_ends.iter().filter(seen) {
        let [left, right] = sills.entry(end.opening).or_default();
        match end.side {
            SillSide::Left => *left = Some(end.length),
            SillSide::Right => *right = Some(end.length),
        }
    }
    let count = sills.len();
    let mut alike: BTreeMap<[Option<Mm>; 2], Vec<&str>> = BTreeMap::new();
    for (opening, ends) in sills {
        if let Some(opening) = drawing.openings.get(opening) {
            alike.entry(ends).or_default().push(&opening.id);
        }
    }
    if alike.is_empty() {
        return;
    }
    let heading = "Sealing strips at the ends of sills, from the frame to the boards' face";
    lines.push(ListLine::Heading(String::from(heading)));
    for (ends, openings) in alike {
        let words = match ends {
            [Some(left), Some(right)] if left == right => format!("{} at each end", left.0),
            [Some(left), Some(right)] => {
                format!("{} at the left end, {} at the right end", left.0, right.0)
            }
            [Some(left), None] => format!("{} at the left end", left.0),
            [None, Some(right)] => format!("{} at the right end", right.0),
            [None, None] => continue,
        };
        lines.push(ListLine::Text(match openings.as_slice() {
            all if all.len() > 1 && all.len() == count => {
                format!("{words}: all {count} sills of this sheet")
            }
            all => format!("{words}: {}", all.join(", ")),
        }));
    }
}

/// What the marks mean.
fn marks(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    let (drawing, options) = (content.drawing, content.options);
    let mut add = |heading: &str, told: Vec<String>| {
        if !told.is_empty() {
            lines.push(ListLine::Heading(String::from(heading)));
            lines.extend(told.into_iter().map(ListLine::Text));
        }
    };
    if options.shows(Layer::Breaches) {
        let all = drawing.breaches.iter().enumerate();
        let here = all.filter(|(_, breach)| content.window.holds(breach.at));
        let told = here.map(|(i, breach)| {
            let (number, x, y) = (i + 1, drawing.along(breach.at.x), breach.at.y.0);
            format!("!{number} x {x}, y {y}: {}", breach.text)
        });
        add("Rules not kept", told.collect());
    }
    if options.shows(Layer::Fixtures) {
        let letters = drawing.letters(ELEMENTS);
        let series = &content.overlay.elements.series;
        let heading = if series.iter().any(Series::is_row) {
            "Mounting elements; of a row at one distance the first and the last bear their mark"
        } else {
            "Mounting elements"
        };
        let told = series.iter().filter_map(|s| s.line(drawing, letters));
        add(heading, told.collect());
    }
}

/// Anchors that may hit a mounting element, with the reference of the element.
fn clashes(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    let drawing = content.drawing;
    let clashes = &content.overlay.elements.clashes;
    if clashes.is_empty() {
        return;
    }
    lines.push(ListLine::Heading(format!(
        "Anchors within {CLASH} mm of a mounting element: to be moved clear of it, as the person responsible decides"
    )));
    let letters = drawing.letters(ELEMENTS);
    lines.extend(clashes.iter().filter_map(|(element, anchor)| {
        let anchor = drawing.anchors.get(*anchor)?;
        let (x, y) = (drawing.along(anchor.at.x), anchor.at.y.0);
        let text = format!("{letters}{}: anchor at x {x}, y {y}", element + 1);
        Some(ListLine::Text(text))
    }));
}

fn left_out(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    // Along the wall first, then up it; a stretch of several chains is told once.
    let stretches: BTreeSet<(bool, Mm, Mm)> = content
        .chains
        .iter()
        .flat_map(|c| c.left_out.iter().map(|(a, b)| (c.upright(), *a, *b)))
        .collect();
    if stretches.is_empty() {
        return;
    }
    lines.push(ListLine::Heading(String::from(
        "Dimensions too short to letter",
    )));
    for (upright, a, b) in stretches {
        let size = (b - a).0;
        lines.push(ListLine::Text(if upright {
            format!("up, y {} to {}: {size}", a.0, b.0)
        } else {
            let along = |x: Mm| content.drawing.along(x);
            format!("along, x {} to {}: {size}", along(a), along(b))
        }));
    }
}

fn unnumbered(content: &Content<'_>, lines: &mut Vec<ListLine>) {
    let mut pieces = content
        .numbers
        .unplaced_on(content.sheet)
        .filter_map(|unplaced| content.drawing.pieces.get(unplaced.piece))
        .peekable();
    if pieces.peek().is_some() {
        lines.push(ListLine::Heading(String::from(
            "Pieces marked with a dot: number, place, size",
        )));
    }
    lines.extend(pieces.map(|piece| ListLine::Piece {
        number: piece.number,
        text: place_and_size(content.drawing, piece),
    }));
}

fn place_and_size(drawing: &ElevationDrawing, piece: &PieceDrawing) -> String {
    let xs = piece.outline.iter().map(|p| p.x.0);
    let ys = piece.outline.iter().map(|p| p.y.0);
    let (x0, x1) = (xs.clone().min().unwrap_or(0), xs.max().unwrap_or(0));
    let (y0, y1) = (ys.clone().min().unwrap_or(0), ys.max().unwrap_or(0));
    let along = drawing.along(Mm(x0));
    format!("x {along}, y {y0}: {} × {}", x1 - x0, y1 - y0)
}

/// One line for each title of a zone: density, anchors drawn, utilisation; below it where its parts lie. Parts share a title only where they
/// share every figure. Other boards lie in the parts of the facade's zones.
fn zone_lines(drawing: &ElevationDrawing, lines: &mut Vec<ListLine>) {
    if drawing.zones.is_empty() {
        return;
    }
    lines.push(ListLine::Heading(String::from("Wind zones")));
    let titles = zone_titles(drawing);
    let mut said: BTreeSet<&str> = BTreeSet::new();
    for (title, zone) in titles.iter().zip(&drawing.zones) {
        if !said.insert(title) {
            continue;
        }
        let of_title = |index: usize| titles.get(index) == Some(title);
        let count = drawing.anchors.iter().filter(|a| of_title(a.zone)).count();
        let density = trimmed(zone.anchors_per_m2);
        let used = format!(
            "{:.0} %{}",
            zone.utilisation * 100.0,
            if zone.fails() { " - NOT ENOUGH" } else { "" }
        );
        lines.push(ListLine::Text(if zone.other_boards.is_some() {
            format!("{title}: {density}/m², {count} anchors, {used}")
        } else {
            format!("{title}: {density} anchors/m², {count} anchors, utilisation {used}")
        }));
        for (_, part) in titles
            .iter()
            .zip(&drawing.zones)
            .filter(|(t, part)| *t == title && is_pictured(drawing, part))
        {
            let area = &part.area;
            lines.push(ListLine::Text(format!(
                "· {title}: x {} to {}, y {} to {}",
                drawing.along(area.x),
                drawing.along(area.x + area.width),
                area.y.0,
                (area.y + area.height).0,
            )));
        }
    }
    let all = drawing.anchors.len();
    lines.push(ListLine::Text(format!("Anchors of this elevation: {all}")));
    lines.push(ListLine::Text(String::from(
        "A board across a border counts whole, with the stronger wind.",
    )));
}
