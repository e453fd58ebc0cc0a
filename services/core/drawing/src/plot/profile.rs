//! Temperature and vapour pressure through the wall, with the wall drawn above.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::axes::{Axis, Below, CurveLegend, LineStyle, Panel, extremes, plot_title};
use crate::geometry::{Hatch, hatch};
use crate::lettering::Lettering;
use crate::plot::{PLOT_ITEMS_MAX, PLOT_WIDTH_MM, check_count, check_figure, check_points};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Reading, Spot, Svg, Text};

/// A layer of the wall, in the order of the plot from left to right.
#[derive(Clone, Debug, PartialEq)]
pub struct ProfileLayer {
    /// Its generic name.
    pub name: String,
    /// Thickness, over 0.
    pub thickness_mm: f64,
    /// How it is hatched.
    pub hatch: Hatch,
}

/// A plane where water condenses.
#[derive(Clone, Debug, PartialEq)]
pub struct CondensationPlane {
    /// Its place from the left face.
    pub x_mm: f64,
    /// What is written at it.
    pub text: String,
}

/// Temperature and vapour pressure through a wall. Places are from the left face of the first layer; places before 0 and
/// beyond the last layer are air.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WallProfile {
    /// The title.
    pub title: String,
    /// What is left of the wall, for example `inside`.
    pub left: String,
    /// What is right of the wall.
    pub right: String,
    /// The layers from left to right.
    pub layers: Vec<ProfileLayer>,
    /// Place in mm, temperature in °C.
    pub temperature: Vec<(f64, f64)>,
    /// Place in mm, vapour pressure in Pa; may be empty.
    pub vapour_pressure: Vec<(f64, f64)>,
    /// Place in mm, saturation pressure in Pa; may be empty.
    pub saturation_pressure: Vec<(f64, f64)>,
    /// Planes of condensation.
    pub condensation: Vec<CondensationPlane>,
}

const LEFT: f64 = 22.0;
const RIGHT: f64 = 176.0;
const STRIP: (f64, f64) = (10.0, 30.0);

/// Draws the profile as SVG text, 180 mm wide.
///
/// # Errors
/// Every fault at once: no layer, a thickness not over 0, a figure that is not finite, fewer than two temperatures.
pub fn wall_profile(plot: &WallProfile) -> Result<String, Vec<Fault>> {
    check(plot)?;
    let total: f64 = plot.layers.iter().map(|l| l.thickness_mm).sum();
    let (low, high) = extremes(
        plot.temperature
            .iter()
            .chain(&plot.vapour_pressure)
            .chain(&plot.saturation_pressure)
            .map(|p| p.0),
    );
    let margin = total * 0.06;
    let x = Axis::tight(
        low.min(-margin),
        high.max(total + margin),
        12,
        "place from the left face, mm",
    );
    let names: Vec<String> = plot
        .layers
        .iter()
        .enumerate()
        .map(|(i, l)| {
            let size = crate::axes::figure(l.thickness_mm, 1);
            format!("{} {}, {size} mm", i + 1, l.name)
        })
        .collect();
    let pressures = !plot.vapour_pressure.is_empty() || !plot.saturation_pressure.is_empty();
    let first_end = 80.0;
    let last_end = if pressures { 138.0 } else { first_end };
    let mut entries = alloc::vec![(String::from("temperature"), TEMPERATURE)];
    if pressures {
        entries.push((String::from("vapour pressure"), VAPOUR));
        entries.push((String::from("saturation pressure"), SATURATION));
    }
    let legend = CurveLegend {
        entries: &entries,
        left: LEFT,
        width: RIGHT - LEFT,
    };
    let layer_rows = names.len().div_ceil(2) as f64;
    let height = last_end + 11.0 + legend.height() + layer_rows * 4.2 + 4.0;
    let mut svg = Svg::open(PLOT_WIDTH_MM, height, &plot.title, "");
    plot_title(&mut svg, &plot.title, PLOT_WIDTH_MM);
    let temperatures = Panel {
        frame: Frame::new(LEFT, STRIP.1 + 4.0, RIGHT, first_end),
        y: Axis::round(plot.temperature.iter().map(|p| p.1), 8, "temperature, °C"),
        x: x.clone(),
    };
    section(&mut svg, plot, &temperatures);
    let mut panels = alloc::vec![temperatures];
    if pressures {
        let values = plot
            .vapour_pressure
            .iter()
            .chain(&plot.saturation_pressure)
            .map(|p| p.1)
            .chain([0.0]);
        panels.push(Panel {
            frame: Frame::new(LEFT, first_end + 5.0, RIGHT, last_end),
            y: Axis::round(values, 8, "vapour pressure, Pa"),
            x,
        });
    }
    for (i, panel) in panels.iter().enumerate() {
        let below = if i + 1 == panels.len() {
            Below::Figures
        } else {
            Below::TicksOnly
        };
        panel.draw(&mut svg, below);
        boundaries(&mut svg, plot, panel);
    }
    if let Some(panel) = panels.first() {
        panel.curve(&mut svg, &plot.temperature, TEMPERATURE);
    }
    if let Some(panel) = panels.get(1) {
        panel.curve(&mut svg, &plot.saturation_pressure, SATURATION);
        panel.curve(&mut svg, &plot.vapour_pressure, VAPOUR);
    }
    condensation(&mut svg, plot, &panels);
    let top = last_end + 10.0;
    legend.draw(&mut svg, top);
    layer_names(&mut svg, &names, top + legend.height() + 2.5);
    Ok(svg.close())
}

const TEMPERATURE: LineStyle = LineStyle::plain(Pen::WIDE);
const VAPOUR: LineStyle = LineStyle::plain(Pen::of(0.5, LineKind::Dashed));
const SATURATION: LineStyle = LineStyle::plain(Pen::continuous(0.3));

/// The wall in section above the panels, to the panels' own scale of places.
fn section(svg: &mut Svg, plot: &WallProfile, panel: &Panel) {
    let mut from = 0.0;
    // Numbers below the wall keep clear of the one before.
    let mut free = panel.frame.x0;
    for (i, layer) in plot.layers.iter().enumerate() {
        let x0 = panel.spot(from, panel.y.low).x;
        from += layer.thickness_mm;
        let x1 = panel.spot(from, panel.y.low).x;
        let frame = Frame::new(x0, STRIP.0, x1, STRIP.1);
        crate::sheet::filled(svg, &frame.corners(), layer.hatch);
        svg.group("layer", Pen::MIDDLE, Paint::None);
        svg.rect(&frame);
        svg.end();
        let number = format!("{}", i + 1);
        let text = Text::level(
            Spot::at(f64::midpoint(x0, x1), f64::midpoint(STRIP.0, STRIP.1)),
            Lettering::Small,
            Anchoring::Middle,
            &number,
        );
        svg.group("layer-number", Pen::FINE, Paint::White);
        if text.frame().width() + 0.6 <= frame.width() {
            svg.rect_without_line(&text.frame());
            svg.text(&text);
        } else {
            // A thin layer is numbered below the wall, with a line to it where its number had to give way.
            let y = STRIP.1 + 2.2;
            let half = text.frame().width() / 2.0;
            let x = text.at.x.max(free + half);
            free = x + half + 0.8;
            if x - text.at.x > 0.4 {
                svg.line(Spot::at(text.at.x, STRIP.1), Spot::at(x, y - 1.3));
            }
            svg.text(&Text {
                at: Spot::at(x, y),
                ..text
            });
        }
        svg.end();
    }
    let whole = panel.spot(from, panel.y.low).x;
    let start = panel.spot(0.0, panel.y.low).x;
    svg.group("sides", Pen::FINE, Paint::None);
    for (text, x) in [
        (&plot.left, f64::midpoint(panel.frame.x0, start)),
        (&plot.right, f64::midpoint(whole, panel.frame.x1)),
    ] {
        let text = Lettering::Small.fitted(text, STRIP.1 - STRIP.0 + 2.0);
        svg.text(&Text {
            reading: Reading::Upward,
            ..Text::level(
                Spot::at(x, f64::midpoint(STRIP.0, STRIP.1)),
                Lettering::Small,
                Anchoring::Middle,
                &text,
            )
        });
    }
    svg.end();
}

fn boundaries(svg: &mut Svg, plot: &WallProfile, panel: &Panel) {
    let mut strokes = Vec::new();
    let mut at = 0.0;
    for thickness in core::iter::once(0.0).chain(plot.layers.iter().map(|l| l.thickness_mm)) {
        at += thickness;
        let x = panel.spot(at, panel.y.low).x;
        strokes.push((Spot::at(x, panel.frame.y0), Spot::at(x, panel.frame.y1)));
    }
    svg.group("boundaries", Pen::FINE, Paint::None);
    svg.strokes(&strokes);
    svg.end();
}

fn condensation(svg: &mut Svg, plot: &WallProfile, panels: &[Panel]) {
    let Some(panel) = panels.last() else { return };
    let mut used: Vec<Frame> = Vec::new();
    for plane in &plot.condensation {
        let x = panel
            .spot(plane.x_mm, panel.y.low)
            .x
            .clamp(panel.frame.x0, panel.frame.x1);
        let band = Frame::new(
            (x - 0.7).max(panel.frame.x0),
            panel.frame.y0,
            (x + 0.7).min(panel.frame.x1),
            panel.frame.y1,
        );
        svg.group("condensation", Pen::HATCH, Paint::None);
        svg.strokes(&hatch(&band.corners(), Hatch::Crossed, 0.7));
        svg.end();
        let words = Lettering::Small.fitted(&plane.text, 70.0);
        let anchoring = if x > f64::midpoint(panel.frame.x0, panel.frame.x1) {
            Anchoring::End
        } else {
            Anchoring::Start
        };
        let shift = if anchoring == Anchoring::End {
            -1.6
        } else {
            1.6
        };
        for row in 0..12_u32 {
            let at = Spot::at(x + shift, panel.frame.y0 + 2.6 + 3.2 * f64::from(row));
            let text = Text::level(at, Lettering::Small, anchoring, &words);
            if used.iter().all(|f| !f.overlaps(&text.frame())) {
                used.push(text.frame());
                svg.group("condensation-text", Pen::FINE, Paint::White);
                svg.rect_without_line(&text.frame());
                svg.text(&text);
                svg.end();
                break;
            }
        }
    }
}

fn layer_names(svg: &mut Svg, names: &[String], top: f64) {
    let width = (RIGHT - LEFT) / 2.0;
    let rows = names.len().div_ceil(2).max(1);
    svg.group("layer-names", Pen::FINE, Paint::None);
    for (i, name) in names.iter().enumerate() {
        let at = Spot::at(
            LEFT + (i / rows) as f64 * width,
            top + (i % rows) as f64 * 4.2,
        );
        let words = Lettering::Small.fitted(name, width - 2.0);
        svg.text(&Text::level(at, Lettering::Small, Anchoring::Start, &words));
    }
    svg.end();
}

fn check(plot: &WallProfile) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    check_count(&mut faults, "layers", plot.layers.len(), 1, PLOT_ITEMS_MAX);
    check_count(
        &mut faults,
        "condensation",
        plot.condensation.len(),
        0,
        PLOT_ITEMS_MAX,
    );
    for (i, layer) in plot.layers.iter().enumerate() {
        if !(layer.thickness_mm > 0.0 && layer.thickness_mm <= 1e5) {
            faults.add(
                format!("layers[{i}].thickness_mm"),
                "OUT_OF_RANGE",
                format!("{}", layer.thickness_mm),
                "over 0 to 100000",
            );
        }
    }
    check_points(&mut faults, "temperature", &plot.temperature, 2);
    check_points(&mut faults, "vapour_pressure", &plot.vapour_pressure, 0);
    check_points(
        &mut faults,
        "saturation_pressure",
        &plot.saturation_pressure,
        0,
    );
    for (i, plane) in plot.condensation.iter().enumerate() {
        check_figure(&mut faults, &format!("condensation[{i}].x_mm"), plane.x_mm);
    }
    faults.or(())
}
