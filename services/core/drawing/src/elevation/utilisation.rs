//! Utilisation by zone as a picture: the worse a zone is used, the denser it is hatched.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::Fault;

use crate::elevation::layout::{self, Window};
use crate::elevation::legend::BORDER_PEN;
use crate::elevation::{
    ElevationDrawing, ElevationOptions, Layer, Scale, ZoneDrawing, check, overlay,
};
use crate::geometry::{Hatch, bounds, box_inside, clip_polygon, hatch};
use crate::lettering::Lettering;
use crate::sheet::{
    LegendLine, ListLine, PICTURE, Sample, Sheet, Strip, broken, capacity, lists_behind, open,
    scale_bar, together, write_list,
};
use crate::svg::{Anchoring, Frame, Paint, Pen, Spot, Svg, Text};

/// Upper end of a band, its pattern, the distance of its strokes on paper, and its name.
const BANDS: [(f64, Hatch, f64, &str); 4] = [
    (0.5, Hatch::Rising, 5.0, "up to 50 %"),
    (0.8, Hatch::Rising, 2.0, "over 50 to 80 %"),
    (1.0, Hatch::Crossed, 2.0, "over 80 to 100 %"),
    (
        f64::INFINITY,
        Hatch::Crossed,
        0.7,
        "over 100 %, or fewer anchors than asked for: NOT ENOUGH",
    ),
];

/// The band of the share as it is printed, in whole percent; what fails is in the last, whatever is printed.
fn band(zone: &ZoneDrawing) -> (Hatch, f64) {
    let printed = libm::round(zone.utilisation * 100.0);
    BANDS
        .iter()
        .find(|b| printed <= libm::round(b.0 * 100.0) && !zone.fails())
        .map_or((Hatch::Crossed, 0.7), |b| (b.1, b.2))
}

/// Draws the outline, the openings and the zones with their utilisation on one sheet, and a table of the zones beside or behind it.
///
/// # Errors
/// As for [`elevation`](crate::elevation).
pub fn utilisation_picture(drawing: &ElevationDrawing) -> Result<Vec<Sheet>, Vec<Fault>> {
    let bare = ElevationDrawing {
        block: drawing.block.clone(),
        outline: drawing.outline.clone(),
        openings: drawing.openings.clone(),
        ground_line: drawing.ground_line.clone(),
        zones: drawing.zones.clone(),
        notes: drawing.notes.clone(),
        ..ElevationDrawing::default()
    };
    let mut options = ElevationOptions::of(&[Layer::Zones]);
    check::check(&bare, &options)?;
    let fitting = [20, 50, 100, 200, 500, 1000]
        .into_iter()
        .find(|n| layout::sheet_count(&bare, &options.clone().at_scale(*n)) == 1)
        .unwrap_or(1000);
    options.scale = Scale::OneTo(fitting);
    check::check(&bare, &options)?;
    let plan = layout::plan(&bare, &options);
    let legend = legend(&bare);
    let [spare, _] = plan
        .windows
        .last()
        .map_or([PICTURE; 2], |w| layout::spare(w, &plan));
    let lines = together(broken(&table(&bare)), &[spare, PICTURE]);
    let beside = capacity(&spare).min(lines.len());
    let behind = (lines.len() - beside).div_ceil(capacity(&PICTURE));
    let count = plan.windows.len() + behind;
    let mut sheets = Vec::with_capacity(count);
    let (here, rest) = lines.split_at(beside);
    for (i, window) in plan.windows.iter().enumerate() {
        let strip = Strip {
            block: &bare.block,
            scale: Some(plan.scale),
            number: i + 1,
            count,
            legend: &legend,
        };
        let mut svg = open(&strip);
        picture(&mut svg, &bare, window);
        scale_bar(
            &mut svg,
            Spot::at(PICTURE.x0 + 12.0, PICTURE.y1 - 3.5),
            plan.scale,
        );
        if i + 1 == plan.windows.len() {
            write_list(&mut svg, &spare, here);
        }
        sheets.push(strip.finished(svg));
    }
    sheets.extend(lists_behind(&bare.block, rest, count));
    Ok(sheets)
}

/// The bands that are on the picture, and what else is.
fn legend(drawing: &ElevationDrawing) -> Vec<LegendLine> {
    let used = |b: &&(f64, Hatch, f64, &str)| {
        let mut worst = drawing
            .zones
            .iter()
            .map(|zone| overlay::worst(drawing, zone));
        worst.any(|zone| band(zone) == (b.1, b.2))
    };
    let mut lines: Vec<LegendLine> = BANDS
        .iter()
        .filter(used)
        .map(|b| LegendLine::new(Sample::Spaced(b.1, b.2), b.3))
        .collect();
    let areas = || drawing.zones.iter().map(|zone| zone.area);
    if areas().any(|area| areas().next() != Some(area)) {
        lines.push(LegendLine::new(Sample::Line(BORDER_PEN), "zone border"));
    }
    if !drawing.openings.is_empty() {
        lines.push(LegendLine::new(Sample::Area(Hatch::Plain), "opening"));
    }
    lines
}

fn table(drawing: &ElevationDrawing) -> Vec<ListLine> {
    let mut lines: Vec<ListLine> = drawing.notes.iter().cloned().map(ListLine::Text).collect();
    lines.push(ListLine::Text(drawing.counting()));
    lines.push(ListLine::Heading(String::from(
        "Zone: anchors, utilisation, place in mm",
    )));
    for (zone, title) in drawing.zones.iter().zip(overlay::zone_titles(drawing)) {
        let area = &zone.area;
        lines.push(ListLine::Text(format!(
            "{title}: {}/m², {:.0} %{}",
            overlay::trimmed(zone.anchors_per_m2),
            zone.utilisation * 100.0,
            if zone.fails() { " NOT ENOUGH" } else { "" },
        )));
        if !overlay::is_pictured(drawing, zone) {
            continue;
        }
        lines.push(ListLine::Text(format!(
            "· x {} to {}, y {} to {}",
            drawing.along(area.x),
            drawing.along(area.x + area.width),
            area.y.0,
            (area.y + area.height).0,
        )));
    }
    lines
}

fn picture(svg: &mut Svg, drawing: &ElevationDrawing, window: &Window) {
    let outline = clip_polygon(&window.shape(&drawing.outline), &window.paper);
    let shapes: Vec<(&ZoneDrawing, String, Vec<Spot>)> = drawing
        .zones
        .iter()
        .zip(overlay::zone_titles(drawing))
        .filter(|(zone, _)| overlay::is_pictured(drawing, zone))
        .map(|(zone, title)| {
            let frame = bounds(&window.shape(&zone.area.corners()));
            (zone, title, clip_polygon(&outline, &frame))
        })
        .filter(|(_, _, shape)| !shape.is_empty())
        .collect();
    svg.group("utilisation", Pen::HATCH, Paint::None);
    for (zone, _, shape) in &shapes {
        let (pattern, spacing) = band(overlay::worst(drawing, zone));
        svg.strokes(&hatch(shape, pattern, spacing));
    }
    svg.end();
    svg.group("zone-border", BORDER_PEN, Paint::None);
    svg.strokes(&overlay::borders(drawing, window));
    svg.end();
    svg.group("opening", Pen::NARROW, Paint::White);
    let mut openings: Vec<Frame> = Vec::new();
    for opening in &drawing.openings {
        let shape = clip_polygon(&window.shape(&opening.finished.corners()), &window.paper);
        svg.polygon(&shape);
        openings.push(bounds(&shape));
    }
    svg.end();
    svg.group("outline", Pen::WIDE, Paint::None);
    svg.polygon(&outline);
    svg.end();
    svg.group("zone-name", Pen::NARROW, Paint::White);
    for (zone, title, shape) in &shapes {
        let place = Named {
            zone,
            worst: overlay::worst(drawing, zone),
            title,
        };
        name(svg, &place, shape, &openings);
    }
    svg.end();
}

/// A place on the picture: its zone, and the worst of what lies there.
struct Named<'a> {
    zone: &'a ZoneDrawing,
    worst: &'a ZoneDrawing,
    title: &'a str,
}

impl Named<'_> {
    /// What may stand in its box, from the fullest to the least. All figures are those of its worst boards.
    fn rows(&self) -> [Vec<String>; 4] {
        let density = format!("{}/m²", overlay::trimmed(self.worst.anchors_per_m2));
        let share = format!("{:.0} %", self.worst.utilisation * 100.0);
        let boards = overlay::boards_of(self.zone, self.worst);
        let verdict = self.worst.fails().then_some(overlay::NOT_ENOUGH);
        let words = |text: Option<&str>| -> Vec<String> {
            let all = text.into_iter().flat_map(|text| text.split(' '));
            all.map(String::from).collect()
        };
        let row = |text: Option<&str>| text.map(String::from);
        let title = || core::iter::once(String::from(self.title));
        [
            title()
                .chain(row(boards))
                .chain([density, share.clone()])
                .chain(row(verdict))
                .collect(),
            title()
                .chain(row(boards))
                .chain([share.clone()])
                .chain(row(verdict))
                .collect(),
            title()
                .chain(words(boards))
                .chain([share])
                .chain(words(verdict))
                .collect(),
            title().chain(words(verdict)).collect(),
        ]
    }
}

/// The place nearest to the middle of a zone where a box of that size lies in the zone and covers no opening.
fn clear_of(shape: &[Spot], (wide, high): (f64, f64), openings: &[Frame]) -> Option<Spot> {
    let frame = bounds(shape);
    let middle = frame.middle();
    let (aside, up) = ((frame.width() - wide) / 2.0, (frame.height() - high) / 2.0);
    let shares = || (-10..=10_i8).map(|n| f64::from(n) / 10.0);
    let mut places: Vec<(f64, f64)> = shares()
        .flat_map(|x| shares().map(move |y| (0.9 * x * aside, 0.9 * y * up)))
        .collect();
    // The sort is stable: of equals the first.
    places.sort_by(|a, b| libm::hypot(a.0, a.1).total_cmp(&libm::hypot(b.0, b.1)));
    let mut spots = places
        .iter()
        .map(|(x, y)| Spot::at(middle.x + x, middle.y + y));
    let clear = |spot: &Spot| {
        let place = Frame::around(*spot, wide, high);
        box_inside(&place, shape) && !openings.iter().any(|opening| opening.overlaps(&place))
    };
    spots.find(clear)
}

/// The lines of a zone's name in one lettering, and the box that they take.
struct Title<'a> {
    rows: &'a [String],
    lettering: Lettering,
    pitch: f64,
    size: (f64, f64),
}

impl<'a> Title<'a> {
    fn of(rows: &'a [String], lettering: Lettering) -> Self {
        let pitch = lettering.font_size_mm() + 0.6;
        let widths = rows.iter().map(|row| lettering.width_mm(row));
        let wide = widths.fold(0.0, f64::max) + 1.6;
        Self {
            rows,
            lettering,
            pitch,
            size: (wide, pitch * rows.len() as f64 + 1.0),
        }
    }
    fn draw(&self, svg: &mut Svg, middle: Spot) {
        svg.rect(&Frame::around(middle, self.size.0, self.size.1));
        for (i, row) in self.rows.iter().enumerate() {
            let y = middle.y + (i as f64 - (self.rows.len() as f64 - 1.0) / 2.0) * self.pitch;
            let at = Spot::at(middle.x, y);
            svg.text(&Text::level(at, self.lettering, Anchoring::Middle, row));
        }
    }
}

/// Name, density and utilisation in a framed box in the zone, in as few rows and as large as its width lets them: where they cover no
/// opening, nearest to the zone's middle; in its middle where they find no such place. The name alone stands only where no more has room.
fn name(svg: &mut Svg, place: &Named<'_>, shape: &[Spot], openings: &[Frame]) {
    let frame = bounds(shape);
    let [fuller @ .., least] = &place.rows();
    let full = fuller.iter().flat_map(|rows| titles(rows, &frame));
    let full: Vec<Title<'_>> = full.collect();
    let clear = |title: &Title<'_>| clear_of(shape, title.size, openings);
    let bare = titles(least, &frame);
    let mut others = full.iter().chain(&bare).map(|title| {
        let at = clear(title).unwrap_or_else(|| frame.middle());
        (title, at)
    });
    let free = full.iter().find_map(|title| Some((title, clear(title)?)));
    if let Some((title, at)) = free.or_else(|| others.next()) {
        title.draw(svg, at);
    }
}

/// What stands in these rows in each lettering that has room in a frame, the larger first.
fn titles<'a>(rows: &'a [String], frame: &Frame) -> Vec<Title<'a>> {
    let each = [Lettering::Plain, Lettering::Small].into_iter();
    each.map(|lettering| Title::of(rows, lettering))
        .filter(|title| title.size.0 <= frame.width() && title.size.1 <= frame.height())
        .collect()
}
