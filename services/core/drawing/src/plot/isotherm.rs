//! Isotherms of a two-dimensional field, with the detail drawn under them.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::axes::{Ticks, extremes, figure, plot_title};
use crate::elevation::Obstacles;
use crate::geometry::Hatch;
use crate::lettering::{Lettering, wrapped};
use crate::plot::{PLOT_ITEMS_MAX, PLOT_WIDTH_MM, check_count, check_figure};
use crate::sheet::filled;
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

/// Temperatures at the crossings of a grid of lines, graded or not.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TemperatureField {
    /// Places of the upright lines, growing, mm.
    pub x_mm: Vec<f64>,
    /// Places of the level lines, growing, mm; y up.
    pub y_mm: Vec<f64>,
    /// Temperatures in °C, row by row from the lowest y, each row from the lowest x; nothing where there is no material.
    pub celsius: Vec<Option<f64>>,
}

impl TemperatureField {
    fn at(&self, column: usize, row: usize) -> Option<f64> {
        *self.celsius.get(row * self.x_mm.len() + column)?
    }
}

/// A rectangle of a material.
#[derive(Clone, Debug, PartialEq)]
pub struct DetailRectangle {
    /// Left edge, mm.
    pub x0_mm: f64,
    /// Lower edge, mm.
    pub y0_mm: f64,
    /// Right edge, mm.
    pub x1_mm: f64,
    /// Upper edge, mm.
    pub y1_mm: f64,
    /// The material's generic name.
    pub material: String,
    /// How it is hatched; one material keeps to one hatch.
    pub hatch: Hatch,
}

/// A marked place.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldMark {
    /// Its place, mm.
    pub x_mm: f64,
    /// Its place, mm.
    pub y_mm: f64,
    /// What is written at it.
    pub text: String,
}

/// Isotherms with the detail under them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct IsothermPlot {
    /// The title.
    pub title: String,
    /// The field.
    pub field: TemperatureField,
    /// The detail.
    pub rectangles: Vec<DetailRectangle>,
    /// Temperatures drawn wide and dashed, for example the one at which mould may grow.
    pub emphasised: Vec<f64>,
    /// Marked places.
    pub marks: Vec<FieldMark>,
}

/// Most lines of a field one way; the product stays within a million.
const LINES_MAX: usize = 4000;
const NODES_MAX: usize = 1_000_000;

/// An edge of the grid: column, row, and whether it runs up.
type Edge = (usize, usize, bool);

/// The isotherm of a level as lines through places in mm; a closed one ends where it begins. Within a cell the field
/// counts as linear along the cell's edges (marching squares); a saddle is decided by the mean of its four corners. Cells with a corner
/// without temperature have no line. The field is taken as checked: lengths that do not agree give no lines.
pub fn isotherms(field: &TemperatureField, level: f64) -> Vec<Vec<(f64, f64)>> {
    let (columns, rows) = (field.x_mm.len(), field.y_mm.len());
    let mut links: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
    for row in 0..rows.saturating_sub(1) {
        for column in 0..columns.saturating_sub(1) {
            for (a, b) in cell(field, column, row, level) {
                links.entry(a).or_default().push(b);
                links.entry(b).or_default().push(a);
            }
        }
    }
    let mut used: BTreeSet<(Edge, Edge)> = BTreeSet::new();
    let mut lines = Vec::new();
    let ends: Vec<Edge> = links
        .iter()
        .filter(|(_, next)| next.len() == 1)
        .map(|(edge, _)| *edge)
        .collect();
    let all: Vec<Edge> = links.keys().copied().collect();
    for start in ends.into_iter().chain(all) {
        let mut edges = alloc::vec![start];
        let mut here = start;
        // Every link is walked once, so the walk ends.
        while let Some(next) = links.get(&here).and_then(|options| {
            options
                .iter()
                .copied()
                .find(|n| !used.contains(&(here.min(*n), here.max(*n))))
        }) {
            used.insert((here.min(next), here.max(next)));
            edges.push(next);
            here = next;
        }
        if edges.len() > 1 {
            lines.push(
                edges
                    .iter()
                    .filter_map(|edge| crossing(field, *edge, level))
                    .collect(),
            );
        }
    }
    lines
}

/// The strokes of a level through a cell, as pairs of its edges.
fn cell(field: &TemperatureField, column: usize, row: usize, level: f64) -> Vec<(Edge, Edge)> {
    let corner = |c: usize, r: usize| field.at(column + c, row + r);
    let (Some(a), Some(b), Some(c), Some(d)) =
        (corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1))
    else {
        return Vec::new();
    };
    let bottom = (column, row, false);
    let right = (column + 1, row, true);
    let top = (column, row + 1, false);
    let left = (column, row, true);
    let above = [a, b, c, d].map(|v| v > level);
    let centre_above = (a + b + c + d) / 4.0 > level;
    match above {
        [false, false, false, false] | [true, true, true, true] => Vec::new(),
        [true, false, false, false] | [false, true, true, true] => alloc::vec![(left, bottom)],
        [false, true, false, false] | [true, false, true, true] => alloc::vec![(bottom, right)],
        [false, false, true, false] | [true, true, false, true] => alloc::vec![(right, top)],
        [false, false, false, true] | [true, true, true, false] => alloc::vec![(top, left)],
        [true, true, false, false] | [false, false, true, true] => alloc::vec![(left, right)],
        [false, true, true, false] | [true, false, false, true] => alloc::vec![(bottom, top)],
        // Saddles: where the centre is above, the low corners are cut off, else the high ones.
        [true, false, true, false] if centre_above => {
            alloc::vec![(bottom, right), (top, left)]
        }
        [true, false, true, false] => alloc::vec![(left, bottom), (right, top)],
        [false, true, false, true] if centre_above => {
            alloc::vec![(left, bottom), (right, top)]
        }
        [false, true, false, true] => alloc::vec![(bottom, right), (top, left)],
    }
}

fn crossing(field: &TemperatureField, (column, row, up): Edge, level: f64) -> Option<(f64, f64)> {
    let a = field.at(column, row)?;
    let (x0, y0) = (*field.x_mm.get(column)?, *field.y_mm.get(row)?);
    let (b, x1, y1) = if up {
        (field.at(column, row + 1)?, x0, *field.y_mm.get(row + 1)?)
    } else {
        (field.at(column + 1, row)?, *field.x_mm.get(column + 1)?, y0)
    };
    let share = ((level - a) / (b - a)).clamp(0.0, 1.0);
    Some((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
}

/// Draws the plot as SVG text, 180 mm wide, both ways at one scale.
///
/// # Errors
/// Every fault at once: grid lines that do not grow, temperatures that do not match the grid, a figure that is not finite.
pub fn isotherm_plot(plot: &IsothermPlot) -> Result<String, Vec<Fault>> {
    check(plot)?;
    let view = View::of(plot);
    let height = (view.frame.y1 + 12.0).max(16.0 + legend_height(plot));
    let mut svg = Svg::open(PLOT_WIDTH_MM, height, &plot.title, "");
    plot_title(&mut svg, &plot.title, PLOT_WIDTH_MM);
    for rectangle in &plot.rectangles {
        if let Some(frame) = view.rectangle(rectangle) {
            filled(&mut svg, &frame.corners(), rectangle.hatch);
        }
    }
    svg.group("material", Pen::MIDDLE, Paint::None);
    svg.strokes(&outlines(plot, &view));
    svg.end();
    svg.group("field", Pen::FINE, Paint::None);
    svg.rect(&view.frame);
    svg.end();
    let (low, high) = extremes(plot.field.celsius.iter().flatten().copied());
    let ticks = Ticks::covering(low, high, 14);
    let mut obstacles = Obstacles::default();
    let words = mark_words(plot, &view);
    keep_clear(plot, &view, &words, &mut obstacles);
    let mut labels: Vec<(Spot, String)> = Vec::new();
    for &level in &plot.emphasised {
        let pen = Pen::of(0.6, LineKind::Dashed);
        let text = format!("{} °C", figure(level, 2));
        labels.extend(line(
            &mut svg,
            plot,
            &view,
            level,
            pen,
            &text,
            &mut obstacles,
        ));
    }
    for i in 0..ticks.count {
        let level = ticks.value(i);
        if level > low && level < high {
            let text = ticks.label(i);
            let pen = Pen::continuous(0.3);
            labels.extend(line(
                &mut svg,
                plot,
                &view,
                level,
                pen,
                &text,
                &mut obstacles,
            ));
        }
    }
    svg.group("isotherm-label", Pen::FINE, Paint::White);
    for (at, label) in &labels {
        let text = Text {
            class: "isotherm-label",
            ..Text::level(*at, Lettering::Small, Anchoring::Middle, label)
        };
        svg.rect_without_line(&text.frame());
        svg.text(&text);
    }
    svg.end();
    draw_marks(&mut svg, plot, &view, &words);
    legend(&mut svg, plot, &ticks, (low, high));
    scale_line(&mut svg, &view);
    Ok(svg.close())
}

/// The edges of the rectangles, without those along which a rectangle meets another of its own material.
fn outlines(plot: &IsothermPlot, view: &View) -> Vec<(Spot, Spot)> {
    let mut strokes = Vec::new();
    for r in &plot.rectangles {
        let others = || {
            plot.rectangles
                .iter()
                .filter(|o| o.material == r.material && o.hatch == r.hatch)
        };
        for (x, left) in [(r.x0_mm, true), (r.x1_mm, false)] {
            let met = others()
                .filter(|o| if left { o.x1_mm == x } else { o.x0_mm == x })
                .map(|o| (o.y0_mm, o.y1_mm));
            for (a, b) in remaining((r.y0_mm, r.y1_mm), met) {
                strokes.push((view.spot(x, a), view.spot(x, b)));
            }
        }
        for (y, lower) in [(r.y0_mm, true), (r.y1_mm, false)] {
            let met = others()
                .filter(|o| if lower { o.y1_mm == y } else { o.y0_mm == y })
                .map(|o| (o.x0_mm, o.x1_mm));
            for (a, b) in remaining((r.x0_mm, r.x1_mm), met) {
                strokes.push((view.spot(a, y), view.spot(b, y)));
            }
        }
    }
    strokes
}

/// What is left of a stretch when others are taken out.
fn remaining(stretch: (f64, f64), taken: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let mut left = alloc::vec![stretch];
    for (from, to) in taken {
        left = left
            .into_iter()
            .flat_map(|(a, b)| [(a, b.min(from)), (a.max(to), b)])
            .filter(|(a, b)| b > a)
            .collect();
    }
    left
}

/// Where the field stands on paper.
#[derive(Clone, Copy, Debug)]
struct View {
    frame: Frame,
    x0: f64,
    y0: f64,
    per_mm: f64,
}

impl View {
    fn of(plot: &IsothermPlot) -> Self {
        let (x0, x1) = extremes(plot.field.x_mm.iter().copied());
        let (y0, y1) = extremes(plot.field.y_mm.iter().copied());
        let per_mm = (126.0 / (x1 - x0)).min(130.0 / (y1 - y0));
        Self {
            frame: Frame::new(
                6.0,
                11.0,
                6.0 + (x1 - x0) * per_mm,
                11.0 + (y1 - y0) * per_mm,
            ),
            x0,
            y0,
            per_mm,
        }
    }
    fn spot(&self, x: f64, y: f64) -> Spot {
        Spot::at(
            (self.frame.x0 + (x - self.x0) * self.per_mm).clamp(self.frame.x0, self.frame.x1),
            (self.frame.y1 - (y - self.y0) * self.per_mm).clamp(self.frame.y0, self.frame.y1),
        )
    }
    fn rectangle(&self, r: &DetailRectangle) -> Option<Frame> {
        let (a, b) = (self.spot(r.x0_mm, r.y1_mm), self.spot(r.x1_mm, r.y0_mm));
        let frame = Frame::new(a.x, a.y, b.x, b.y);
        (frame.width() > 1e-6 && frame.height() > 1e-6).then_some(frame)
    }
}

/// Draws a level and finds the place of its label on its longest line.
fn line(
    svg: &mut Svg,
    plot: &IsothermPlot,
    view: &View,
    level: f64,
    pen: Pen,
    label: &str,
    obstacles: &mut Obstacles,
) -> Option<(Spot, String)> {
    let mut longest: (f64, Vec<Spot>) = (0.0, Vec::new());
    svg.group("isotherm", pen, Paint::None);
    for line in isotherms(&plot.field, level) {
        let mut spots: Vec<Spot> = Vec::new();
        let last = line.len().saturating_sub(1);
        for (i, (x, y)) in line.iter().enumerate() {
            let spot = view.spot(*x, *y);
            let near = spots
                .last()
                .is_some_and(|s| libm::hypot(spot.x - s.x, spot.y - s.y) < 0.1);
            if !near || i == last {
                spots.push(spot);
            }
        }
        svg.polyline(&spots);
        let length: f64 = spots
            .windows(2)
            .map(|p| match p {
                [a, b] => libm::hypot(b.x - a.x, b.y - a.y),
                _ => 0.0,
            })
            .sum();
        if length > longest.0 {
            longest = (length, spots);
        }
    }
    svg.end();
    let (length, spots) = longest;
    if length < 8.0 {
        return None;
    }
    [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9]
        .iter()
        .find_map(|share| {
            let at = along(&spots, share * length)?;
            let frame = Text::level(at, Lettering::Small, Anchoring::Middle, label).frame();
            let inside = frame.corners().iter().all(|c| view.frame.contains(*c));
            (inside && !obstacles.hit(&frame)).then(|| {
                obstacles.add(frame);
                (at, String::from(label))
            })
        })
}

/// The place at a length along a line.
fn along(spots: &[Spot], length: f64) -> Option<Spot> {
    let mut rest = length;
    for pair in spots.windows(2) {
        if let [a, b] = pair {
            let step = libm::hypot(b.x - a.x, b.y - a.y);
            if rest <= step && step > 0.0 {
                let share = rest / step;
                return Some(Spot::at(
                    a.x + share * (b.x - a.x),
                    a.y + share * (b.y - a.y),
                ));
            }
            rest -= step;
        }
    }
    spots.last().copied()
}

/// The words of a mark with their place.
struct MarkWords {
    at: Spot,
    anchoring: Anchoring,
    words: String,
}

impl MarkWords {
    fn text(&self) -> Text<'_> {
        Text::level(self.at, Lettering::Small, self.anchoring, &self.words)
    }
}

/// From the middle of a mark to its words: along, and up or down, the nearest first.
const MARK_ALONG: f64 = 2.0;
const MARK_ROWS: [f64; 6] = [-2.4, 2.4, -5.6, 5.6, -8.8, 8.8];
/// The box of a mark's ring.
const MARK_BOX: f64 = 3.0;

/// The places of a mark's words, on the side that has more room first, and over the mark before under it.
fn mark_places(view: &View, at: Spot) -> Vec<(Spot, Anchoring)> {
    let sides = [
        (MARK_ALONG, Anchoring::Start),
        (-MARK_ALONG, Anchoring::End),
    ];
    let right = at.x < f64::midpoint(view.frame.x0, view.frame.x1);
    let first = usize::from(!right);
    let sides = [first, 1 - first].map(|i| sides.get(i).copied());
    let places = MARK_ROWS.iter().flat_map(|up| {
        let sides = sides.into_iter().flatten();
        sides.map(move |(along, anchoring)| (Spot::at(at.x + along, at.y + up), anchoring))
    });
    let inside = |(spot, _): &(Spot, Anchoring)| spot.y - 1.6 > view.frame.y0;
    places.filter(inside).collect()
}

/// The words of all marks, each where it covers neither another mark nor its words; where there is no such place, in its first.
fn mark_words(plot: &IsothermPlot, view: &View) -> Vec<MarkWords> {
    let spot = |mark: &FieldMark| view.spot(mark.x_mm, mark.y_mm);
    let mut taken: Vec<Frame> = plot
        .marks
        .iter()
        .map(|mark| Frame::around(spot(mark), MARK_BOX, MARK_BOX))
        .collect();
    let mut found = Vec::with_capacity(plot.marks.len());
    for mark in &plot.marks {
        let room = (view.frame.width() / 2.0 - 3.0).max(4.0);
        let words = |(at, anchoring): (Spot, Anchoring)| MarkWords {
            at,
            anchoring,
            words: Lettering::Small.fitted(&mark.text, room),
        };
        let places = mark_places(view, spot(mark));
        let first = places.first().copied().map(words);
        let mut tries = places.into_iter().map(words);
        let free = tries.find(|words| {
            let frame = words.text().frame();
            let off_page = frame.x0 < 0.0 || frame.x1 > LEGEND_LEFT;
            !off_page && !taken.iter().any(|other| other.overlaps(&frame))
        });
        if let Some(words) = free.or(first) {
            taken.push(words.text().frame());
            found.push(words);
        }
    }
    found
}

fn keep_clear(plot: &IsothermPlot, view: &View, words: &[MarkWords], obstacles: &mut Obstacles) {
    for mark in &plot.marks {
        let at = view.spot(mark.x_mm, mark.y_mm);
        obstacles.add(Frame::around(at, MARK_BOX, MARK_BOX));
    }
    for words in words {
        obstacles.add(words.text().frame());
    }
}

fn draw_marks(svg: &mut Svg, plot: &IsothermPlot, view: &View, words: &[MarkWords]) {
    svg.group("field-mark", Pen::MIDDLE, Paint::White);
    // The words on their white ground first, so that no ring is hidden.
    for words in words {
        let text = words.text();
        svg.rect_without_line(&text.frame());
        svg.text(&text);
    }
    for mark in &plot.marks {
        svg.circle(view.spot(mark.x_mm, mark.y_mm), 1.0);
    }
    svg.end();
}

const LEGEND_LEFT: f64 = 136.0;

/// Material name and hatch, each pair once, in the order of the rectangles.
fn materials(plot: &IsothermPlot) -> Vec<(&str, Hatch)> {
    let mut seen: Vec<(&str, Hatch)> = Vec::new();
    for rectangle in &plot.rectangles {
        let entry = (rectangle.material.as_str(), rectangle.hatch);
        if !seen.contains(&entry) {
            seen.push(entry);
        }
    }
    seen
}

fn legend_lines(name: &str) -> Vec<String> {
    wrapped(
        Lettering::Small,
        name,
        PLOT_WIDTH_MM - LEGEND_LEFT - 14.0 - 2.0,
    )
}

fn legend_height(plot: &IsothermPlot) -> f64 {
    let lines: usize = materials(plot)
        .iter()
        .map(|(name, _)| legend_lines(name).len().max(1))
        .sum();
    lines as f64 * 3.4 + materials(plot).len() as f64 * 2.4 + 22.0
}

fn legend(svg: &mut Svg, plot: &IsothermPlot, ticks: &Ticks, (low, high): (f64, f64)) {
    let mut y = 14.0;
    let write = |svg: &mut Svg, x: f64, y: f64, words: &str| {
        svg.text(&Text::level(
            Spot::at(x, y),
            Lettering::Small,
            Anchoring::Start,
            words,
        ));
    };
    svg.group("legend", Pen::FINE, Paint::None);
    write(svg, LEGEND_LEFT, y, "temperatures in °C");
    write(
        svg,
        LEGEND_LEFT,
        y + 4.0,
        &format!("lines every {} K", figure(ticks.step(), 6)),
    );
    write(
        svg,
        LEGEND_LEFT,
        y + 8.0,
        &format!("from {} to {}", figure(low, 1), figure(high, 1)),
    );
    svg.end();
    y += 15.0;
    for (name, hatch) in materials(plot) {
        let sample = Frame::new(LEGEND_LEFT, y - 1.8, LEGEND_LEFT + 11.0, y + 1.8);
        filled(svg, &sample.corners(), hatch);
        svg.group("legend", Pen::NARROW, Paint::None);
        svg.rect(&sample);
        let lines = legend_lines(name);
        for (i, words) in lines.iter().enumerate() {
            write(svg, LEGEND_LEFT + 13.0, y + 3.4 * i as f64, words);
        }
        svg.end();
        y += 3.4 * lines.len().max(1) as f64 + 2.4;
    }
}

/// A round length under the field.
fn scale_line(svg: &mut Svg, view: &View) {
    let ticks = Ticks::covering(0.0, 40.0 / view.per_mm, 3);
    let size = ticks.step();
    let (x0, x1) = (view.frame.x0, view.frame.x0 + size * view.per_mm);
    let y = view.frame.y1 + 5.0;
    svg.group("scale-line", Pen::MIDDLE, Paint::None);
    svg.strokes(&[
        (Spot::at(x0, y), Spot::at(x1, y)),
        (Spot::at(x0, y - 1.0), Spot::at(x0, y + 1.0)),
        (Spot::at(x1, y - 1.0), Spot::at(x1, y + 1.0)),
    ]);
    svg.text(&Text::level(
        Spot::at(x1 + 2.0, y),
        Lettering::Small,
        Anchoring::Start,
        &format!("{} mm", figure(size, 6)),
    ));
    svg.end();
}

fn check(plot: &IsothermPlot) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let field = &plot.field;
    for (name, lines) in [("field.x_mm", &field.x_mm), ("field.y_mm", &field.y_mm)] {
        check_count(&mut faults, name, lines.len(), 2, LINES_MAX);
        for (i, value) in lines.iter().enumerate() {
            check_figure(&mut faults, &format!("{name}[{i}]"), *value);
        }
        for (i, pair) in lines.windows(2).enumerate() {
            if let [a, b] = pair
                && b <= a
            {
                faults.add(
                    format!("{name}[{}]", i + 1),
                    "NOT_GROWING",
                    format!("{b} after {a}"),
                    "more than the one before",
                );
            }
        }
    }
    let nodes = field.x_mm.len().saturating_mul(field.y_mm.len());
    if nodes > NODES_MAX {
        faults.add(
            "field",
            "LIMIT_EXCEEDED",
            format!("{nodes} crossings"),
            format!("at most {NODES_MAX}"),
        );
    } else {
        check_count(
            &mut faults,
            "field.celsius",
            field.celsius.len(),
            nodes,
            nodes,
        );
        for (i, value) in field.celsius.iter().enumerate().take(NODES_MAX) {
            if let Some(value) = value
                && !(-1e9..=1e9).contains(value)
            {
                check_figure(&mut faults, &format!("field.celsius[{i}]"), *value);
            }
        }
    }
    let most = 5 * PLOT_ITEMS_MAX;
    check_count(&mut faults, "rectangles", plot.rectangles.len(), 0, most);
    check_count(&mut faults, "marks", plot.marks.len(), 0, PLOT_ITEMS_MAX);
    check_count(&mut faults, "emphasised", plot.emphasised.len(), 0, 20);
    for (i, r) in plot.rectangles.iter().enumerate() {
        let path = format!("rectangles[{i}]");
        for (name, value) in [
            ("x0_mm", r.x0_mm),
            ("y0_mm", r.y0_mm),
            ("x1_mm", r.x1_mm),
            ("y1_mm", r.y1_mm),
        ] {
            check_figure(&mut faults, &format!("{path}.{name}"), value);
        }
        if r.x1_mm <= r.x0_mm || r.y1_mm <= r.y0_mm {
            faults.add(
                path,
                "OUT_OF_RANGE",
                format!("{} by {}", r.x1_mm - r.x0_mm, r.y1_mm - r.y0_mm),
                "a width and a height over 0",
            );
        }
    }
    for (i, mark) in plot.marks.iter().enumerate() {
        check_figure(&mut faults, &format!("marks[{i}].x_mm"), mark.x_mm);
        check_figure(&mut faults, &format!("marks[{i}].y_mm"), mark.y_mm);
    }
    for (i, level) in plot.emphasised.iter().enumerate() {
        check_figure(&mut faults, &format!("emphasised[{i}]"), *level);
    }
    faults.or(())
}
