//! Draws the sheets of an elevation.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::corner;
use crate::elevation::dimension::{self, ChainPicture};
use crate::elevation::layout::{self, JOINT_ROW, MATCH_ROW, Plan, Window, ZONE_BAND};
use crate::elevation::legend::{self, BASE_PEN, CRACK_PEN, Content, MATCH_PEN, piece_style};
use crate::elevation::level::{self, LevelMark};
use crate::elevation::number::{self, Numbers, Obstacles};
use crate::elevation::opening::{self, Label};
use crate::elevation::overlay::{self, Overlay};
use crate::elevation::{
    ChainSide, DimensionChain, ElevationDrawing, ElevationOptions, Layer, PieceKind, Point,
};
use crate::geometry::{Hatch, bounds, clip_polygon, clip_segment, hatch};
use crate::lettering::Lettering;
use crate::sheet::{
    COLUMN, LegendLine, ListLine, PICTURE, Sheet, Strip, Symbol, broken, capacity, lists_behind,
    mark, open, scale_bar, together, write_list,
};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

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

/// Everything on one sheet but the pieces, with its place found.
struct Page {
    overlay: Overlay,
    labels: Vec<Label>,
    chains: Vec<ChainPicture>,
    /// The place in the drawing of each of them.
    places: Vec<usize>,
    levels: Vec<LevelMark>,
    legend: Vec<LegendLine>,
    list: Vec<ListLine>,
    spare: [Frame; 2],
}

impl Page {
    fn capacity(&self) -> usize {
        self.spare.iter().map(capacity).sum()
    }
    /// Writes as much of the list as there is room for.
    fn write(&self, svg: &mut Svg) {
        let mut rest = self.list.as_slice();
        for area in &self.spare {
            let (here, after) = rest.split_at(rest.len().min(capacity(area)));
            write_list(svg, area, here);
            rest = after;
        }
    }
    /// What the sheet has no room for.
    fn overflow(&self) -> &[ListLine] {
        self.list.get(self.capacity()..).unwrap_or_default()
    }
}

/// A column without an end.
const REST: Frame = Frame::new(0.0, 0.0, COLUMN, 1e9);

/// What a sheet has no room for, each section under a heading that names the sheet.
fn of_sheet(number: usize, lines: &[ListLine]) -> Vec<ListLine> {
    let mut found = Vec::with_capacity(lines.len() + 1);
    let mut heading = format!("Of sheet {number}");
    let mut said = false;
    for line in lines {
        match line {
            ListLine::Heading(text) if said => {
                heading = format!("Of sheet {number}: {text}");
                said = false;
            }
            ListLine::Heading(text) => {
                let between = if heading.contains(':') { " " } else { ": " };
                heading = format!("{heading}{between}{text}");
            }
            other => {
                if !said {
                    found.extend(broken(&[ListLine::Heading(heading.clone())]));
                    said = true;
                }
                found.push(other.clone());
            }
        }
    }
    found
}

/// An elevation with everything in its place, and not yet written.
pub(super) struct Placed<'a> {
    pub drawing: &'a ElevationDrawing,
    pub options: ElevationOptions,
    plan: Plan,
    pages: Vec<Page>,
    numbers: Numbers,
    /// What of their lists the pictures' sheets have no room for.
    behind: Vec<ListLine>,
}

impl<'a> Placed<'a> {
    /// Finds the places.
    pub(super) fn of(drawing: &'a ElevationDrawing, options: ElevationOptions, plan: Plan) -> Self {
        let (pages, numbers) = pages(drawing, &options, &plan);
        let behind: Vec<ListLine> = pages
            .iter()
            .enumerate()
            .filter(|(_, page)| !page.overflow().is_empty())
            .flat_map(|(i, page)| of_sheet(i + 1, page.overflow()))
            .collect();
        Self {
            drawing,
            options,
            plan,
            pages,
            numbers,
            behind: together(behind, &[PICTURE]),
        }
    }

    /// How many sheets it takes.
    pub(super) fn count(&self) -> usize {
        self.pages.len() + self.behind.len().div_ceil(capacity(&PICTURE))
    }

    /// The drawing without the chains of its openings that leave out more than one figure in so many, or nothing where there is none.
    pub(super) fn without_unreadable(&self, left_out: usize) -> Option<ElevationDrawing> {
        let drawing = self.drawing;
        let unreadable = |index: usize| {
            let pictures = self
                .pages
                .iter()
                .flat_map(|p| p.places.iter().zip(&p.chains));
            let mine = pictures.filter(|(place, _)| **place == index);
            let (out, all) = mine.fold((0, 0), |(out, all), (_, chain)| {
                (out + chain.left_out.len(), all + chain.stretches)
            });
            out * left_out > all
        };
        let all = drawing.dimensions.iter().enumerate();
        let readable: Vec<DimensionChain> = all
            .filter(|(i, chain)| !(dimension::is_of_openings(chain, drawing) && unreadable(*i)))
            .map(|(_, chain)| chain.clone())
            .collect();
        (readable.len() < drawing.dimensions.len()).then(|| ElevationDrawing {
            dimensions: readable,
            ..drawing.clone()
        })
    }

    pub(super) fn scale(&self) -> u32 {
        self.plan.scale
    }

    /// All sheets, pictures first, then what of their lists they had no room for.
    pub(super) fn sheets(&self) -> Vec<Sheet> {
        let (drawing, plan, count) = (self.drawing, &self.plan, self.count());
        let mut sheets = Vec::with_capacity(count);
        for (i, (window, page)) in plan.windows.iter().zip(&self.pages).enumerate() {
            let strip = Strip {
                block: &drawing.block,
                scale: Some(plan.scale),
                number: i + 1,
                count,
                legend: &page.legend,
            };
            let mut svg = open(&strip);
            window_picture(&mut svg, drawing, &self.options, window);
            overlay::draw(&mut svg, &page.overlay);
            opening::draw(&mut svg, &page.labels);
            number_texts(&mut svg, &self.numbers, i);
            for chain in &page.chains {
                dimension::draw(&mut svg, chain);
            }
            level::draw(&mut svg, &page.levels);
            surroundings(&mut svg, drawing, plan, window);
            page.write(&mut svg);
            sheets.push(strip.finished(svg));
        }
        sheets.extend(lists_behind(&drawing.block, &self.behind, count));
        sheets
    }
}

fn pages(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    plan: &Plan,
) -> (Vec<Page>, Numbers) {
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
    let labels = opening::labels(drawing, options, &plan.windows, &overlays);
    let pages = plan
        .windows
        .iter()
        .zip(overlays)
        .zip(labels)
        .enumerate()
        .map(|(i, ((window, overlay), labels))| {
            let chains = chains(drawing, options, window);
            let (places, chains): (Vec<usize>, Vec<ChainPicture>) = chains.into_iter().unzip();
            let content = Content {
                drawing,
                options,
                window,
                sheet: i,
                sheets: plan.windows.len(),
                overlay: &overlay,
                numbers: &numbers,
                chains: &chains,
                labels: &labels,
            };
            let legend = legend::legend(&content);
            let spare = layout::spare(window, plan);
            let list = legend::list(&content, spare.iter().map(capacity).sum());
            let [beside, above] = spare;
            // What has room in neither stands on another sheet, where it is laid out anew.
            let list = together(list, &[beside, above, REST]);
            Page {
                legend,
                list,
                spare,
                levels: level::marks(drawing, options, window),
                overlay,
                labels,
                chains,
                places,
            }
        })
        .collect();
    (pages, numbers)
}

/// The chains on a sheet, each with its place in the drawing.
fn chains(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    window: &Window,
) -> Vec<(usize, ChainPicture)> {
    if !options.shows(Layer::Dimensions) {
        return Vec::new();
    }
    let mut lanes: BTreeMap<ChainSide, usize> = BTreeMap::new();
    drawing
        .dimensions
        .iter()
        .enumerate()
        .filter_map(|(i, chain)| {
            let lane = lanes.entry(chain.side).or_insert(0);
            // What a sheet does not show leaves its place to the next chain.
            let chain = dimension::on_sheet(chain, drawing, window)?;
            let picture = dimension::laid_out(&chain, *lane, window)?;
            *lane += 1;
            Some((i, picture))
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
    // Course lines give way to the base line, or they would fill the gaps in it. Openings lie over it: it stops at doors.
    let base = seen(window, &drawing.base_line);
    svg.group("base-clear", Pen::HATCH, Paint::White);
    for stroke in &base {
        let covered = bounds(&[stroke.0, stroke.1]);
        let (width, height) = (covered.width() + BASE_CLEAR, covered.height() + BASE_CLEAR);
        svg.rect_without_line(&Frame::around(covered.middle(), width, height));
    }
    svg.end();
    level_line(svg, ("base-line", BASE_PEN), &base);
    openings(svg, drawing, options, window);
    cracks(svg, drawing, window);
    if options.shows(Layer::Pieces) {
        corner::slots(svg, drawing, window);
    }
    if options.shows(Layer::Pieces) && corner::is_covered(drawing, window) {
        corner::outline(svg, drawing, window);
    } else {
        svg.group("outline", Pen::WIDE, Paint::None);
        svg.polygon(&clipped(&drawing.outline));
        svg.end();
    }
    let ground = seen(window, &drawing.ground_line);
    level_line(svg, ("ground-line", Pen::EXTRA_WIDE), &ground);
}

/// So wide a strip is left white under the base line.
const BASE_CLEAR: f64 = 0.9;

/// The strokes of a line that are in the window.
fn seen(window: &Window, points: &[Point]) -> Vec<(Spot, Spot)> {
    let spots = window.shape(points);
    let pairs = spots.windows(2).filter_map(|pair| match pair {
        &[a, b] => clip_segment(a, b, &window.paper),
        _ => None,
    });
    pairs.collect()
}

fn level_line(svg: &mut Svg, (name, pen): (&'static str, Pen), strokes: &[(Spot, Spot)]) {
    svg.group(name, pen, Paint::None);
    svg.strokes(strokes);
    svg.end();
}

/// Pitch and reach of the zigzag that a crack is drawn as.
const ZIGZAG: (f64, f64) = (1.2, 0.6);

/// Cracks and changes of substrate as zigzags, which no other line of the drawing is.
fn cracks(svg: &mut Svg, drawing: &ElevationDrawing, window: &Window) {
    svg.group("crack", CRACK_PEN, Paint::None);
    for crack in &drawing.cracks {
        let ends = clip_segment(
            window.spot(crack.from),
            window.spot(crack.to),
            &window.paper,
        );
        if let Some((from, to)) = ends {
            svg.polyline(&zigzag(from, to));
        }
    }
    svg.end();
}

fn zigzag(from: Spot, to: Spot) -> Vec<Spot> {
    let (pitch, reach) = ZIGZAG;
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = libm::hypot(dx, dy).max(1e-9);
    let turns = libm::ceil(length / pitch).max(2.0) as u32;
    let mut spots = alloc::vec![from];
    for turn in 1..turns {
        let share = f64::from(turn) / f64::from(turns);
        let side = if turn % 2 == 0 { reach } else { -reach };
        spots.push(Spot::at(
            from.x + share * dx - side * dy / length,
            from.y + share * dy + side * dx / length,
        ));
    }
    spots.push(to);
    spots
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

/// Openings: finished edge, raw edge dashed behind it, diagonals as ISO 7519 has them.
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
    for piece in numbers.unplaced_on(window) {
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
    svg.group("match-line", MATCH_PEN, Paint::None);
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
        continuations(svg, drawing, plan, window);
        key_plan(svg, drawing, plan, window);
    }
}

/// From the left border to the middle of what stands right of the scale bar.
const BESIDE_BAR: f64 = 98.0;

fn continuations(svg: &mut Svg, drawing: &ElevationDrawing, plan: &Plan, window: &Window) {
    let along = |x: f64| drawing.along(Mm(libm::round(x) as i32));
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
    let joints = if drawing.joints.is_empty() {
        0.0
    } else {
        JOINT_ROW
    };
    let y = y.max(window.paper.y0 - joints - ZONE_BAND - MATCH_ROW);
    let (x0, x1) = (window.paper.x0, window.paper.x1);
    if window.column > 0 {
        let other = sheet(window.column - 1, window.row);
        let text = format!("< sheet {other}, cut at x {}", along(window.mm.x0));
        write(x0, y, Anchoring::Start, &text);
    }
    if window.column + 1 < plan.columns {
        let other = sheet(window.column + 1, window.row);
        let text = format!("cut at x {}, sheet {other} >", along(window.mm.x1));
        write(x1, y, Anchoring::End, &text);
    }
    if window.row + 1 < plan.rows {
        let text = format!("above: sheet {}", sheet(window.column, window.row + 1));
        write(f64::midpoint(x0, x1), y, Anchoring::Middle, &text);
    }
    if window.row > 0 {
        let text = format!("below: sheet {}", sheet(window.column, window.row - 1));
        let x = f64::midpoint(x0, x1).max(PICTURE.x0 + BESIDE_BAR);
        write(x, PICTURE.y1 - 3.5, Anchoring::Middle, &text);
    }
    svg.end();
}

/// Least height of a row of sheets in the key plan.
const KEY_LEAST: f64 = 3.6;

/// The whole facade in small at the lower right, with this sheet's part shaded and the sheets' numbers where they have room. A long wall is
/// drawn higher than it is, so that the part can be seen.
fn key_plan(svg: &mut Svg, drawing: &ElevationDrawing, plan: &Plan, window: &Window) {
    let box_ = Frame::new(
        PICTURE.x1 - 62.0,
        PICTURE.y1 - 13.0,
        PICTURE.x1 - 2.0,
        PICTURE.y1 - 1.5,
    );
    let (wide, high) = (plan.extent.width(), plan.extent.height());
    let across = (wide / box_.width()).max(high / box_.height());
    let up = across.min(high / (KEY_LEAST * plan.rows as f64).min(box_.height()));
    let spot = |x: f64, y: f64| {
        Spot::at(
            box_.x1 - (plan.extent.x1 - x) / across,
            box_.y1 - (y - plan.extent.y0) / up,
        )
    };
    let part = |window: &Window| {
        let mm = &window.mm;
        let corners = [
            (mm.x0, mm.y0),
            (mm.x1, mm.y0),
            (mm.x1, mm.y1),
            (mm.x0, mm.y1),
        ];
        corners.map(|(x, y)| spot(x, y))
    };
    svg.group("key-plan", Pen::HATCH, Paint::None);
    svg.strokes(&hatch(&part(window), Hatch::Rising, 0.8));
    for other in &plan.windows {
        svg.polygon(&part(other));
    }
    svg.end();
    svg.group("key-plan", Pen::MIDDLE, Paint::None);
    svg.polygon(&part(window));
    svg.end();
    svg.group("key-plan-sheet", Pen::FINE, Paint::White);
    for (i, other) in plan.windows.iter().enumerate() {
        let frame = bounds(&part(other));
        let at = frame.middle();
        let number = format!("{}", i + 1);
        let text = Text::level(at, Lettering::Small, Anchoring::Middle, &number);
        let room = text.frame();
        if room.width() < frame.width() && room.height() < frame.height() {
            svg.rect_without_line(&room);
            svg.text(&text);
        }
    }
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
