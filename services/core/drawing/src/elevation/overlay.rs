//! What lies over the boards: mesh, beads, joints, zones, anchors and marks.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::bead::Beads;
use crate::elevation::layout::{JOINT_ROW, Window, ZONE_BAND};
use crate::elevation::legend::BORDER_PEN;
use crate::elevation::number::Obstacles;
use crate::elevation::reference::{Listed, Mark, Marked, mark_text};
use crate::elevation::series::{Elements, element_symbol};
use crate::elevation::{
    AnchorKind, BreachMark, ElementLoad, ElevationDrawing, ElevationOptions, JointDrawing, Layer,
    MeshStrip, OpeningCorner, Point, ZoneDrawing,
};
use crate::geometry::{Hatch, bounds, clip_polygon, clip_segment, hatch, parts_inside};
use crate::lettering::Lettering;
use crate::sheet::{Symbol, mark, reach};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

/// Everything over the boards of one sheet, with its place found.
#[derive(Clone, Debug, Default)]
pub(super) struct Overlay {
    mesh: Vec<Vec<Spot>>,
    /// Beads, strips and profiles.
    pub beads: Beads,
    joints: Vec<(Spot, Spot)>,
    joint_names: Vec<(Spot, String)>,
    joint_leaders: Vec<(Spot, Spot)>,
    borders: Vec<(Spot, Spot)>,
    /// The hatch of zones whose anchors are not enough.
    failing: Vec<(Spot, Spot)>,
    zone_names: Vec<ZoneName>,
    brackets: Vec<(Spot, Spot)>,
    anchors: BTreeMap<AnchorKind, Vec<Spot>>,
    /// The mounting elements of the sheet, as its list tells them.
    pub elements: Elements,
    fixtures: Vec<Mark>,
    breaches: Vec<Mark>,
}

#[derive(Clone, Debug)]
struct ZoneName {
    at: Spot,
    lettering: Lettering,
    text: String,
}

impl ZoneName {
    fn words(&self) -> Text<'_> {
        Text::level(self.at, self.lettering, Anchoring::Middle, &self.text)
    }
}

/// A zone on a sheet that is to be named.
struct Named {
    /// Its wordings, from the longest to the shortest.
    words: [String; 3],
    fails: bool,
    frame: Frame,
    /// Whether its title stands above the elevation.
    above: bool,
}

pub(super) const fn anchor_symbol(kind: AnchorKind) -> (Symbol, &'static str) {
    match kind {
        AnchorKind::Flush => (Symbol::Ring, "anchor, flush plate"),
        AnchorKind::Recessed => (Symbol::Disc, "anchor, recessed"),
        AnchorKind::WidePlate => (Symbol::DoubleRing, "anchor, wider plate"),
    }
}

/// Half the width of the ground line, and a little white.
const LINE_REACH: f64 = 0.5;

/// Places the overlay of a sheet and notes the boxes that numbers must keep clear of.
pub(super) fn place(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    window: &Window,
    obstacles: &mut Obstacles,
) -> Overlay {
    let mut overlay = Overlay::default();
    let paper = &window.paper;
    if options.shows(Layer::Anchors) {
        for anchor in &drawing.anchors {
            let at = window.spot(anchor.at);
            if window.holds(anchor.at) {
                let half = reach(anchor_symbol(anchor.kind).0) + 0.2;
                obstacles.add(Frame::around(at, 2.0 * half, 2.0 * half));
                overlay.anchors.entry(anchor.kind).or_default().push(at);
            }
        }
    }
    if options.shows(Layer::Mesh) {
        for strip in &drawing.mesh {
            let shape = clip_polygon(&strip_shape(strip, window), paper);
            if !shape.is_empty() {
                overlay.mesh.push(shape);
            }
        }
    }
    // The symbols of all kinds before the first reference, so that neither a reference nor its leader hides one.
    let breaches = options
        .shows(Layer::Breaches)
        .then(|| Marked::of(breaches(drawing), "!", window, obstacles));
    let fixtures = options.shows(Layer::Fixtures).then(|| {
        overlay.elements = Elements::of(drawing, options, window);
        let letters = drawing.letters(ELEMENTS);
        let listed = listed(drawing, &overlay.elements);
        Marked::of(listed, letters, window, obstacles)
    });
    overlay.breaches = breaches.map_or_else(Vec::new, |m| m.referred(paper, obstacles));
    overlay.fixtures = fixtures.map_or_else(Vec::new, |m| m.referred(paper, obstacles));
    if options.shows(Layer::Beads) {
        overlay.beads = Beads::of(drawing, window, obstacles);
    }
    base_and_ground(drawing, window, obstacles);
    // Names keep off the openings; the codes of the beads above stand on their edges.
    for opening in &drawing.openings {
        let frame = bounds(&window.shape(&opening.finished.corners()));
        if frame.overlaps(paper) {
            obstacles.add(Frame::new(
                frame.x0.max(paper.x0),
                frame.y0.max(paper.y0),
                frame.x1.min(paper.x1),
                frame.y1.min(paper.y1),
            ));
        }
    }
    if options.shows(Layer::Zones) {
        zones(drawing, window, obstacles, &mut overlay);
    }
    for (i, joint) in drawing.joints.iter().enumerate() {
        let (from, to) = (window.spot(joint.from), window.spot(joint.to));
        overlay.joint(joint_key(drawing, i, joint), from, to, paper);
    }
    overlay
}

fn breaches(drawing: &ElevationDrawing) -> Vec<Listed> {
    let mark = |breach: &BreachMark| Listed {
        at: breach.at,
        symbol: Symbol::Triangle,
        referred: true,
    };
    drawing.breaches.iter().map(mark).collect()
}

/// Mounting elements; of a row at one distance those bear a reference that the list names.
fn listed(drawing: &ElevationDrawing, elements: &Elements) -> Vec<Listed> {
    let referred = elements.referred();
    let marks = drawing.fixtures.iter().enumerate();
    marks
        .map(|(i, mark)| Listed {
            at: mark.at,
            symbol: element_symbol(mark.load).0,
            referred: referred.contains(&i),
        })
        .collect()
}

/// Numbers and names keep off the base and the ground line, which their white ground would break into dashes; the codes of the beads above
/// stand on them.
fn base_and_ground(drawing: &ElevationDrawing, window: &Window, obstacles: &mut Obstacles) {
    for line in [&drawing.base_line, &drawing.ground_line] {
        for pair in line.windows(2) {
            let &[from, to] = pair else { continue };
            let here = clip_segment(window.spot(from), window.spot(to), &window.paper);
            if let Some((a, b)) = here {
                let frame = bounds(&[a, b]);
                obstacles.add(Frame::new(
                    frame.x0 - LINE_REACH,
                    frame.y0 - LINE_REACH,
                    frame.x1 + LINE_REACH,
                    frame.y1 + LINE_REACH,
                ));
            }
        }
    }
}

/// The strip's long side touches the corner; its width runs away from the opening.
fn strip_shape(strip: &MeshStrip, window: &Window) -> Vec<Spot> {
    let slant = core::f64::consts::FRAC_1_SQRT_2;
    let (dx, dy) = match strip.corner {
        OpeningCorner::LowerLeft => (-slant, -slant),
        OpeningCorner::LowerRight => (slant, -slant),
        OpeningCorner::UpperRight => (slant, slant),
        OpeningCorner::UpperLeft => (-slant, slant),
    };
    let (x, y) = (f64::from(strip.at.x.0), f64::from(strip.at.y.0));
    let half = f64::from(strip.length.0) / 2.0;
    let width = f64::from(strip.width.0);
    [(-half, 0.0), (half, 0.0), (half, width), (-half, width)]
        .iter()
        .map(|(a, o)| window.place(x - dy * a + dx * o, y + dx * a + dy * o))
        .collect()
}

/// Distance of the strokes over a zone whose anchors are not enough: a narrow zone shows them too, and what lies under them is read.
const FAILING: f64 = 3.0;

/// The letters of mounting elements and of structural joints, each with others for a survey whose openings are called so. `J` alone is the
/// code of a bead.
pub(super) const ELEMENTS: [&str; 3] = ["M", "ME", "M-"];
const JOINTS: [&str; 3] = ["SJ", "STJ", "SJ-"];

/// From the edge of a sheet to the key of a joint: the levels beside it and the key do not read as one.
const OFF_LEVELS: f64 = 1.5;
/// From how far down a joint is led to its key.
const LED_DOWN: f64 = 2.0;

/// From one row of zones' titles above the elevation to the next.
const TITLE_ROW: f64 = 3.5;

/// What is said of a zone whose anchors are not enough.
pub(super) const NOT_ENOUGH: &str = "NOT ENOUGH";

/// The figures of all boards in one part of a zone.
type Figures<'a> = Vec<(&'a Option<String>, u64, u64)>;

fn figures<'a>(drawing: &'a ElevationDrawing, of: &ZoneDrawing) -> Figures<'a> {
    let here = drawing.zones.iter();
    let mut figures: Figures<'_> = here
        .filter(|zone| zone.name == of.name && zone.area == of.area)
        .map(|zone| {
            let (density, used) = (zone.anchors_per_m2, zone.utilisation);
            (&zone.other_boards, density.to_bits(), used.to_bits())
        })
        .collect();
    figures.sort_unstable();
    figures
}

/// What the zones are called on the drawing, in their order. Parts of one name that differ in a figure are counted, so that each title has
/// its own figures.
pub(super) fn zone_titles(drawing: &ElevationDrawing) -> Vec<String> {
    let mut known: BTreeMap<&str, Vec<Figures<'_>>> = BTreeMap::new();
    for zone in &drawing.zones {
        let list = known.entry(&zone.name).or_default();
        let figures = figures(drawing, zone);
        if !list.contains(&figures) {
            list.push(figures);
        }
    }
    let title = |zone: &ZoneDrawing| {
        let list = known.get(zone.name.as_str()).map_or(&[][..], Vec::as_slice);
        let place = list.iter().position(|f| *f == figures(drawing, zone));
        let name = match place {
            Some(place) if list.len() > 1 => format!("{} {}", zone.name, place + 1),
            _ => zone.name.clone(),
        };
        match &zone.other_boards {
            Some(boards) => format!("{name}, {boards}"),
            None => name,
        }
    };
    drawing.zones.iter().map(title).collect()
}

/// Whether the picture shows a zone: one of other boards gives way to the facade's in the same place.
pub(super) fn is_pictured(drawing: &ElevationDrawing, zone: &ZoneDrawing) -> bool {
    let same = |other: &ZoneDrawing| other.other_boards.is_none() && other.area == zone.area;
    zone.other_boards.is_none() || !drawing.zones.iter().any(same)
}

/// The worst of all zones in the same place, whatever boards they are of: where one kind of boards fails, the place fails.
pub(super) fn worst<'a>(drawing: &'a ElevationDrawing, zone: &'a ZoneDrawing) -> &'a ZoneDrawing {
    let here = drawing.zones.iter().filter(|other| other.area == zone.area);
    // Of equals the first in the list, which are the facade's boards.
    here.rev().max_by(|a, b| a.by_worth(b)).unwrap_or(zone)
}

/// What a structural joint is called on the picture: its name where that is short, else a key to the list.
pub(super) fn joint_key(drawing: &ElevationDrawing, index: usize, joint: &JointDrawing) -> String {
    if joint.name.chars().count() <= 3 {
        joint.name.clone()
    } else {
        format!("{}{}", drawing.letters(JOINTS), index + 1)
    }
}

/// The boards that the figures of a place are of, where its title does not say so.
pub(super) fn boards_of<'a>(zone: &ZoneDrawing, worst: &'a ZoneDrawing) -> Option<&'a str> {
    let other = worst.other_boards != zone.other_boards;
    other.then(|| worst.other_boards.as_deref().unwrap_or("facade boards"))
}

/// What a zone is called on the drawing, from the longest wording to the shortest. All figures are those of its worst boards.
fn wordings(title: &str, zone: &ZoneDrawing, worst: &ZoneDrawing) -> [String; 3] {
    let boards = boards_of(zone, worst).map_or(String::new(), |boards| format!("{boards} "));
    let density = trimmed(worst.anchors_per_m2);
    let share = format!("{:.0} %", worst.utilisation * 100.0);
    if worst.fails() {
        return [
            format!("{title}: {boards}{density}/m², {share}: {NOT_ENOUGH}"),
            format!("{title}: {boards}{share}: {NOT_ENOUGH}"),
            format!("{title}: {NOT_ENOUGH}"),
        ];
    }
    [
        format!("{title}: {boards}{density}/m², {share}"),
        format!("{title}: {boards}{density}/m²"),
        String::from(title),
    ]
}

/// A number with at most one decimal.
pub(super) fn trimmed(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), String::from)
}

fn zones(
    drawing: &ElevationDrawing,
    window: &Window,
    obstacles: &mut Obstacles,
    overlay: &mut Overlay,
) {
    let paper = &window.paper;
    overlay.borders = borders(drawing, window);
    let mut named: Vec<Named> = Vec::new();
    let highest = drawing
        .zones
        .iter()
        .map(|z| z.area.y + z.area.height)
        .max()
        .unwrap_or_default();
    let titled = drawing.zones.iter().zip(zone_titles(drawing));
    for (zone, title) in titled.filter(|(zone, _)| is_pictured(drawing, zone)) {
        let shape = clip_polygon(&window.shape(&zone.area.corners()), paper);
        if shape.is_empty() {
            continue;
        }
        let worst = worst(drawing, zone);
        if worst.fails() {
            let outline = window.shape(&drawing.outline);
            let failing = clip_polygon(&outline, &bounds(&shape));
            overlay
                .failing
                .extend(hatch(&failing, Hatch::Falling, FAILING));
        }
        // On every sheet, what goes on upwards is named above it.
        let top = zone.area.y + zone.area.height;
        let goes_on = f64::from(top.0) >= window.mm.y1;
        named.push(Named {
            words: wordings(&title, zone, worst),
            fails: worst.fails(),
            frame: bounds(&shape),
            above: goes_on || (top == highest && window.mm.y1 >= window.top),
        });
    }
    let joints = if drawing.joints.is_empty() {
        0.0
    } else {
        JOINT_ROW
    };
    let line = paper.y0 - joints - ZONE_BAND + 4.6;
    for zone in named.iter().filter(|zone| zone.above) {
        overlay.bracket(&zone.frame, line);
    }
    // Warnings find their places first: other titles give way to them.
    named.sort_by_key(|zone| !zone.fails);
    for zone in &named {
        if zone.above {
            overlay.name_above(zone, line, paper);
            continue;
        }
        let inside = overlay.name_inside(&zone.words, &zone.frame, obstacles);
        // A warning may stand over the borders of its zone, or above the elevation, but it is never left out.
        if !inside
            && zone.fails
            && !overlay.name_inside(&zone.words, &around(&zone.frame, paper), obstacles)
        {
            overlay.name_above(zone, line, paper);
        }
    }
}

/// How far a warning may stand over the borders of its zone.
const OVER: (f64, f64) = (15.0, 4.0);

/// A zone's box with what lies beside it on the sheet.
fn around(frame: &Frame, paper: &Frame) -> Frame {
    Frame::new(
        (frame.x0 - OVER.0).max(paper.x0),
        (frame.y0 - OVER.1).max(paper.y0),
        (frame.x1 + OVER.0).min(paper.x1),
        (frame.y1 + OVER.1).min(paper.y1),
    )
}

/// Borders between zones inside the outline, each drawn once where zones share it.
pub(super) fn borders(drawing: &ElevationDrawing, window: &Window) -> Vec<(Spot, Spot)> {
    let mut upright: BTreeMap<Mm, Vec<(Mm, Mm)>> = BTreeMap::new();
    let mut level: BTreeMap<Mm, Vec<(Mm, Mm)>> = BTreeMap::new();
    for zone in &drawing.zones {
        let area = &zone.area;
        let (right, top) = (area.x + area.width, area.y + area.height);
        for x in [area.x, right] {
            upright.entry(x).or_default().push((area.y, top));
        }
        for y in [area.y, top] {
            level.entry(y).or_default().push((area.x, right));
        }
    }
    let outline = window.shape(&drawing.outline);
    let mut found = Vec::new();
    let mut add = |from: Point, to: Point| {
        for (a, b) in parts_inside(window.spot(from), window.spot(to), &outline) {
            found.extend(clip_segment(a, b, &window.paper));
        }
    };
    for (x, stretches) in upright {
        for (y0, y1) in merged(stretches) {
            add(Point { x, y: y0 }, Point { x, y: y1 });
        }
    }
    for (y, stretches) in level {
        for (x0, x1) in merged(stretches) {
            add(Point { x: x0, y }, Point { x: x1, y });
        }
    }
    found
}

/// Stretches that touch or overlap, joined.
fn merged(mut stretches: Vec<(Mm, Mm)>) -> Vec<(Mm, Mm)> {
    stretches.sort_unstable();
    let mut joined: Vec<(Mm, Mm)> = Vec::new();
    for (from, to) in stretches {
        match joined.last_mut() {
            Some((_, end)) if from <= *end => *end = to.max(*end),
            _ => joined.push((from, to)),
        }
    }
    joined
}

impl Overlay {
    /// A structural joint with its key above the elevation, where it covers nothing.
    fn joint(&mut self, key: String, from: Spot, to: Spot, paper: &Frame) {
        let Some((from, to)) = clip_segment(from, to, paper) else {
            return;
        };
        self.joints.push((from, to));
        // At the edge of a sheet the key keeps off the levels beside it.
        let half = Lettering::Small.width_mm(&key) / 2.0 + OFF_LEVELS;
        let x = f64::midpoint(from.x, to.x);
        let x = x
            .max(paper.x0 + half)
            .min((paper.x1 - half).max(paper.x0 + half));
        let at = Spot::at(x, paper.y0 - JOINT_ROW / 2.0);
        self.joint_names.push((at, key));
        // Under a slope the joint ends far below its key.
        let end = if from.y < to.y { from } else { to };
        if end.y > paper.y0 + LED_DOWN {
            self.joint_leaders.push((Spot::at(x, paper.y0), end));
        }
    }

    /// The boxes of the marks, of their references and leaders and of the codes of beads.
    pub(super) fn mark_frames(&self) -> impl Iterator<Item = Frame> + '_ {
        let marks = self.fixtures.iter().chain(&self.breaches);
        marks.flat_map(Mark::frames).chain(self.beads.frames())
    }

    pub(super) fn has_joints(&self) -> bool {
        !self.joints.is_empty()
    }
    pub(super) fn has_mesh(&self) -> bool {
        !self.mesh.is_empty()
    }
    pub(super) fn has_borders(&self) -> bool {
        !self.borders.is_empty()
    }
    pub(super) fn has_failing(&self) -> bool {
        !self.failing.is_empty()
    }
    /// Whether a mounting element of that load is shown.
    pub(super) fn shows_element(&self, load: ElementLoad) -> bool {
        let (symbol, _) = element_symbol(load);
        self.fixtures.iter().any(|mark| mark.symbol == symbol)
    }
    pub(super) fn has_breaches(&self) -> bool {
        !self.breaches.is_empty()
    }
    pub(super) fn anchor_kinds(&self) -> impl Iterator<Item = AnchorKind> + '_ {
        self.anchors.keys().copied()
    }

    /// The line above the elevation over which a zone is named, between two short strokes.
    fn bracket(&mut self, frame: &Frame, line: f64) {
        let (a, b) = (Spot::at(frame.x0, line), Spot::at(frame.x1, line));
        self.brackets.push((a, b));
        for end in [a, b] {
            self.brackets
                .push((Spot::at(end.x, line - 1.2), Spot::at(end.x, line + 1.2)));
        }
    }

    fn name_above(&mut self, zone: &Named, line: f64, paper: &Frame) {
        let names = self.title_above(zone, line, paper);
        self.zone_names.extend(names);
    }

    /// The title of a zone above the elevation where it covers no other, in one of two rows. A warning always has a place; another title
    /// without one stands in the list only.
    fn title_above(&self, zone: &Named, line: f64, paper: &Frame) -> Vec<ZoneName> {
        let middle = f64::midpoint(zone.frame.x0, zone.frame.x1);
        let name = |text: &str, lettering: Lettering, x: f64, row: f64| ZoneName {
            at: Spot::at(x, line - 2.0 - row * TITLE_ROW),
            lettering,
            text: String::from(text),
        };
        let free = |name: &ZoneName| {
            let frame = name.words().frame();
            let mut others = self.zone_names.iter();
            !others.any(|other| other.words().frame().overlaps(&frame))
        };
        let room = zone.frame.width() - 1.0;
        let fits = |name: &ZoneName| name.lettering.width_mm(&name.text) <= room;
        let small = |text: &str, x: f64, row: f64| name(text, Lettering::Small, x, row);
        let low = zone.words.iter().flat_map(|text| {
            [Lettering::Plain, Lettering::Small].map(|lettering| name(text, lettering, middle, 0.0))
        });
        let high = zone.words.iter().map(|text| small(text, middle, 1.0));
        if let Some(found) = low.chain(high).find(|name| fits(name) && free(name)) {
            return alloc::vec![found];
        }
        let [.., shortest] = &zone.words;
        if zone.fails
            && let Some((first, last)) = shortest.rsplit_once(' ')
        {
            let stacked = [small(first, middle, 1.0), small(last, middle, 0.0)];
            if stacked.iter().all(|name| fits(name) && free(name)) {
                return Vec::from(stacked);
            }
        }
        // A zone too narrow for its title has it all the same: it stands over its ends.
        let half = Lettering::Small.width_mm(shortest) / 2.0;
        let (left, right) = (paper.x0 + half, paper.x1 - half);
        let within = middle.max(left).min(right.max(left));
        let over = [0.0, 1.0].map(|row| small(shortest, within, row));
        if let Some(found) = over.into_iter().find(free) {
            return alloc::vec![found];
        }
        if !zone.fails {
            return Vec::new();
        }
        let aside = (1..=200_i32).flat_map(|step| {
            let aside = 2.0 * f64::from(step);
            [within - aside, within + aside]
        });
        let beside = aside
            .filter(|x| (left..=right).contains(x))
            .flat_map(|x| [0.0, 1.0].map(|row| small(shortest, x, row)));
        let higher = (2..=20_i32).map(|row| small(shortest, within, f64::from(row)));
        beside.chain(higher).find(free).into_iter().collect()
    }

    /// Names a zone inside a box, where no anchor or mark is covered; whether there was room.
    fn name_inside(
        &mut self,
        wordings: &[String],
        frame: &Frame,
        obstacles: &mut Obstacles,
    ) -> bool {
        for text in wordings.iter().cloned() {
            let lettering = Lettering::Small;
            let (wide, high) = (lettering.width_mm(&text) + 0.6, 2.8);
            if frame.width() < wide + 1.0 || frame.height() < high + 1.0 {
                continue;
            }
            let (columns, rows) = (12_u32, 60_u32);
            for row in 0..=rows {
                for column in 0..=columns {
                    let share = |n: u32, of: u32| f64::from(n) / f64::from(of);
                    let at = Spot::at(
                        frame.x0
                            + 0.5
                            + wide / 2.0
                            + share(column, columns) * (frame.width() - wide - 1.0),
                        frame.y0
                            + 0.5
                            + high / 2.0
                            + share(row, rows) * (frame.height() - high - 1.0),
                    );
                    let place = Frame::around(at, wide, high);
                    if !obstacles.hit(&place) {
                        obstacles.add(place);
                        self.zone_names.push(ZoneName {
                            at,
                            lettering,
                            text,
                        });
                        return true;
                    }
                }
            }
        }
        false
    }
}

/// Draws the overlay.
pub(super) fn draw(svg: &mut Svg, overlay: &Overlay) {
    svg.group("mesh", Pen::NARROW, Paint::None);
    for shape in &overlay.mesh {
        svg.polygon(shape);
    }
    svg.end();
    svg.group("mesh-hatch", Pen::HATCH, Paint::None);
    for shape in &overlay.mesh {
        svg.strokes(&hatch(shape, Hatch::Squared, 0.8));
    }
    svg.end();
    svg.group(
        "structural-joint",
        Pen::of(0.7, LineKind::Dashed),
        Paint::None,
    );
    svg.strokes(&overlay.joints);
    svg.end();
    svg.group("joint-leader", Pen::HATCH, Paint::None);
    svg.strokes(&overlay.joint_leaders);
    svg.end();
    svg.group("joint-name", Pen::FINE, Paint::White);
    for (at, name) in &overlay.joint_names {
        let words = mark_text(*at, name);
        svg.rect_without_line(&words.frame());
        svg.text(&words);
    }
    svg.end();
    overlay.beads.draw(svg);
    zone_lines(svg, overlay);
    svg.group("mark-leader", Pen::FINE, Paint::None);
    let marks = || overlay.fixtures.iter().chain(&overlay.breaches);
    for place in marks() {
        if let Some(reference) = place.reference.as_ref().filter(|r| r.led) {
            svg.line(place.at, reference.words);
        }
    }
    svg.end();
    for place in marks() {
        mark(svg, place.at, place.symbol);
        let Some(reference) = &place.reference else {
            continue;
        };
        let words = mark_text(reference.words, &reference.text);
        svg.group("mark", Pen::FINE, Paint::White);
        svg.rect_without_line(&words.frame());
        svg.text(&words);
        svg.end();
    }
    // Nothing hides an anchor.
    anchors(svg, overlay);
}

fn zone_lines(svg: &mut Svg, overlay: &Overlay) {
    svg.group("zone-failing", Pen::NARROW, Paint::None);
    svg.strokes(&overlay.failing);
    svg.end();
    svg.group("zone-border", BORDER_PEN, Paint::None);
    svg.strokes(&overlay.borders);
    svg.end();
    svg.group("zone-bracket", Pen::NARROW, Paint::None);
    svg.strokes(&overlay.brackets);
    svg.end();
    svg.group("zone-name", Pen::FINE, Paint::White);
    for name in &overlay.zone_names {
        let words = name.words();
        svg.rect_without_line(&words.frame());
        svg.text(&words);
    }
    svg.end();
}

fn anchors(svg: &mut Svg, overlay: &Overlay) {
    for (kind, places) in &overlay.anchors {
        let (symbol, _) = anchor_symbol(*kind);
        let (pen, paint) = match symbol {
            Symbol::Disc => (Pen::FINE, Paint::Black),
            _ => (Pen::NARROW, Paint::White),
        };
        svg.group("anchor", pen, paint);
        for &at in places {
            svg.circle(at, reach(symbol));
            if symbol == Symbol::DoubleRing {
                svg.circle(at, reach(symbol) / 2.0);
            }
        }
        svg.end();
    }
}
