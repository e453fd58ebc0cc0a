//! What is bought before and after, what is saved with its range, and what each uncertain input does to it.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::axes::{Axis, Below, Panel, Ticks, extremes, figure, plot_title};
use crate::geometry::Hatch;
use crate::lettering::Lettering;
use crate::plot::{PLOT_WIDTH_MM, check_count, check_figure};
use crate::sheet::filled;
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

/// An amount with its range, rising.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AmountRange {
    /// The least of all combinations of the inputs' ends.
    pub least: f64,
    /// The likely lower end.
    pub likely_low: f64,
    /// With every input at its value.
    pub value: f64,
    /// The likely upper end.
    pub likely_high: f64,
    /// The most of all combinations.
    pub most: f64,
}

/// What one uncertain input does alone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct InputBar {
    /// The input.
    pub name: String,
    /// The saving with the input at its low factor.
    pub low: f64,
    /// The saving with the input at its high factor.
    pub high: f64,
}

/// A saving before and after, with its range.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SavingPlot {
    /// The title.
    pub title: String,
    /// The unit of what is bought, for example `kWh a year`.
    pub unit: String,
    /// Bought before.
    pub before: f64,
    /// Bought after.
    pub after: f64,
    /// Saved.
    pub saved: AmountRange,
    /// The unit of the inputs' bars, for example `EUR a year`.
    pub bar_unit: String,
    /// The saving that the inputs' bars stand about.
    pub bar_value: f64,
    /// The inputs, from the one that does most.
    pub inputs: Vec<InputBar>,
}

const LEFT: f64 = 26.0;
const RIGHT: f64 = 176.0;
/// Where the bars of the inputs begin; their names stand before it.
const NAMES: f64 = 72.0;
const PITCH: f64 = 7.0;
const INPUTS_MAX: usize = 20;

/// Draws the plot as SVG text, 180 mm wide.
///
/// # Errors
/// Every fault at once: more than twenty inputs, a figure that is not finite.
pub fn saving_plot(plot: &SavingPlot) -> Result<String, Vec<Fault>> {
    check(plot)?;
    let range = &plot.saved;
    let heights = [plot.before, plot.after, 0.0, range.least, range.most];
    let title = format!("energy bought, {}", plot.unit);
    let amounts = Panel {
        frame: Frame::new(LEFT, 12.0, RIGHT, 76.0),
        x: Axis::tight(0.0, 3.0, 12, ""),
        y: Axis::round(heights.into_iter(), 8, &title),
    };
    let top = 94.0;
    let bottom = top + plot.inputs.len() as f64 * PITCH;
    let height = if plot.inputs.is_empty() {
        88.0
    } else {
        bottom + 12.0
    };
    let mut svg = Svg::open(PLOT_WIDTH_MM, height, &plot.title, "");
    plot_title(&mut svg, &plot.title, PLOT_WIDTH_MM);
    amounts.draw(&mut svg, Below::Nothing);
    let zero = (amounts.spot(0.0, 0.0), amounts.spot(3.0, 0.0));
    svg.group("zero", Pen::MIDDLE, Paint::None);
    svg.line(zero.0, zero.1);
    svg.end();
    bar(
        &mut svg,
        &amounts,
        0.5,
        plot.before,
        Hatch::Crossed,
        "before",
    );
    bar(&mut svg, &amounts, 1.5, plot.after, Hatch::Rising, "after");
    bar(&mut svg, &amounts, 2.5, range.value, Hatch::Plain, "saved");
    spread(&mut svg, &amounts, 2.5, range);
    if !plot.inputs.is_empty() {
        inputs(&mut svg, plot, (top, bottom));
    }
    Ok(svg.close())
}

/// A bar with its figure over it and its name under the panel.
fn bar(svg: &mut Svg, panel: &Panel, at: f64, value: f64, pattern: Hatch, name: &str) {
    let (a, b) = (panel.spot(at - 0.22, 0.0), panel.spot(at + 0.22, value));
    let frame = Frame::new(a.x, a.y.min(b.y), b.x, a.y.max(b.y));
    filled(svg, &frame.corners(), pattern);
    svg.group("bar", Pen::MIDDLE, Paint::None);
    svg.rect(&frame);
    svg.end();
    let words = figure(value, 0);
    // The figure stands inside the bar at its left, clear of the range at its middle, or over a bar that is too low for it.
    let inside = frame.height() > 6.0;
    let y = if inside {
        frame.y0 + 3.0
    } else {
        frame.y0 - 2.4
    };
    let text = Text::level(
        Spot::at(frame.x0 + 1.5, y),
        Lettering::Small,
        Anchoring::Start,
        &words,
    );
    svg.group("bar-figure", Pen::FINE, Paint::White);
    svg.rect_without_line(&text.frame());
    svg.text(&text);
    let below = Spot::at(f64::midpoint(frame.x0, frame.x1), panel.frame.y1 + 3.4);
    svg.text(&Text::level(
        below,
        Lettering::Small,
        Anchoring::Middle,
        name,
    ));
    svg.end();
}

/// The range of a bar: a thin line from the least to the most, a wide one over the likely part, and the figures beside it.
fn spread(svg: &mut Svg, panel: &Panel, at: f64, range: &AmountRange) {
    let spot = |value: f64| panel.spot(at, value);
    let end = |value: f64| {
        let s = spot(value);
        (Spot::at(s.x - 2.0, s.y), Spot::at(s.x + 2.0, s.y))
    };
    svg.group("range", Pen::NARROW, Paint::None);
    svg.strokes(&[
        (spot(range.least), spot(range.most)),
        end(range.least),
        end(range.most),
    ]);
    svg.end();
    svg.group("likely", Pen::EXTRA_WIDE, Paint::None);
    svg.line(spot(range.likely_low), spot(range.likely_high));
    svg.end();
    let beside = panel.spot(at - 0.25, 0.0).x;
    let mut used: Vec<Frame> = Vec::new();
    for (value, word) in [
        (range.likely_low, "likely from"),
        (range.likely_high, "likely to"),
        (range.least, "least"),
        (range.most, "most"),
    ] {
        let words = format!("{word} {}", figure(value, 0));
        let mut y = spot(value).y;
        // Figures that stand close give way upwards, a bounded number of times.
        for _ in 0..6 {
            let text = Text::level(
                Spot::at(beside, y),
                Lettering::Small,
                Anchoring::End,
                &words,
            );
            let frame = text.frame();
            let Some(hit) = used.iter().find(|f| f.overlaps(&frame)) else {
                svg.group("range-figure", Pen::FINE, Paint::White);
                svg.rect_without_line(&frame);
                svg.text(&text);
                svg.end();
                used.push(frame);
                break;
            };
            y = hit.y0 - frame.height() / 2.0 - 0.2;
        }
    }
}

/// The inputs as bars about the saving.
fn inputs(svg: &mut Svg, plot: &SavingPlot, (top, bottom): (f64, f64)) {
    let ends = plot.inputs.iter().flat_map(|i| [i.low, i.high]);
    let (low, high) = extremes(ends.chain([plot.bar_value]));
    let ticks = Ticks::covering(low, high, 8);
    let panel = Panel {
        frame: Frame::new(NAMES, top, RIGHT, bottom),
        x: Axis::round(
            [low, high].into_iter(),
            8,
            &format!("saving with one input at its ends, {}", plot.bar_unit),
        ),
        y: Axis {
            // No ticks upwards: the rows have names.
            ticks: Ticks {
                first: 1_000_000,
                ..ticks
            },
            low: 0.0,
            high: plot.inputs.len() as f64,
            title: String::new(),
        },
    };
    panel.draw(svg, Below::Figures);
    for (i, input) in plot.inputs.iter().enumerate() {
        let y = plot.inputs.len() as f64 - i as f64;
        let (a, b) = (
            panel.spot(input.low, y - 0.2),
            panel.spot(input.high, y - 0.8),
        );
        let frame = Frame::new(a.x.min(b.x), a.y, a.x.max(b.x), b.y);
        filled(svg, &frame.corners(), Hatch::Rising);
        svg.group("input", Pen::MIDDLE, Paint::None);
        svg.rect(&frame);
        svg.end();
        let at = Spot::at(NAMES - 2.0, f64::midpoint(frame.y0, frame.y1));
        let words = Lettering::Small.fitted(&input.name, NAMES - 6.0);
        svg.group("input-name", Pen::FINE, Paint::None);
        svg.text(&Text::level(at, Lettering::Small, Anchoring::End, &words));
        svg.end();
    }
    let x = panel.spot(plot.bar_value, 0.0).x;
    svg.group("value", Pen::of(0.35, LineKind::Dashed), Paint::None);
    svg.line(Spot::at(x, top - 1.5), Spot::at(x, bottom));
    svg.end();
    let words = format!("{} {}", figure(plot.bar_value, 0), plot.bar_unit);
    svg.group("value-text", Pen::FINE, Paint::None);
    svg.text(&Text::level(
        Spot::at(x, top - 3.6),
        Lettering::Small,
        Anchoring::Middle,
        &words,
    ));
    svg.end();
}

fn check(plot: &SavingPlot) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let range = &plot.saved;
    for (path, value) in [
        ("before", plot.before),
        ("after", plot.after),
        ("saved.least", range.least),
        ("saved.likely_low", range.likely_low),
        ("saved.value", range.value),
        ("saved.likely_high", range.likely_high),
        ("saved.most", range.most),
        ("bar_value", plot.bar_value),
    ] {
        check_figure(&mut faults, path, value);
    }
    check_count(&mut faults, "inputs", plot.inputs.len(), 0, INPUTS_MAX);
    for (i, input) in plot.inputs.iter().enumerate().take(INPUTS_MAX) {
        check_figure(&mut faults, &format!("inputs[{i}].low"), input.low);
        check_figure(&mut faults, &format!("inputs[{i}].high"), input.high);
    }
    faults.or(())
}
