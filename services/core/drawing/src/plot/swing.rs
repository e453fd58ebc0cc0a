//! How much of an outside temperature swing comes through a wall, and how much later.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::axes::{Axis, Below, CurveLegend, LineStyle, Panel, figure, plot_title};
use crate::lettering::Lettering;
use crate::plot::{PLOT_WIDTH_MM, check_figure};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

/// A swing of the outside temperature, and the heat that it sends into the room.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SwingPlot {
    /// The title.
    pub title: String,
    /// The period, over 0.
    pub period_hours: f64,
    /// How far the outside temperature swings about its mean, K.
    pub outside_k: f64,
    /// How far the heat flow into the room would swing with a wall of the same transmittance that stores nothing, W/m².
    pub massless_w_per_m2: f64,
    /// How far it swings with the wall itself, W/m².
    pub wall_w_per_m2: f64,
    /// How much later than the outside temperature it has its peak, from 0 to one period.
    pub later_hours: f64,
}

/// Where the outside peak stands, and how much is drawn, in periods: the latest peak inside still lies in it.
const PEAK: f64 = 0.25;
const DRAWN: f64 = 1.5;
const POINTS: u32 = 180;
const LEFT: f64 = 24.0;
const RIGHT: f64 = 176.0;

/// Draws the plot as SVG text, 180 mm wide.
///
/// # Errors
/// Every fault at once: a period not over 0, a delay of more than a period, a figure that is not finite.
pub fn swing_plot(plot: &SwingPlot) -> Result<String, Vec<Fault>> {
    check(plot)?;
    let hours = Axis::tight(0.0, DRAWN * plot.period_hours, 13, "time, h");
    let outside = wave(plot, plot.outside_k, 0.0);
    let massless = wave(plot, plot.massless_w_per_m2, 0.0);
    let wall = wave(plot, plot.wall_w_per_m2, plot.later_hours);
    let ordinates = |points: &[(f64, f64)]| points.iter().map(|p| p.1).collect::<Vec<f64>>();
    let flows = [ordinates(&massless), ordinates(&wall)].concat();
    let above = Panel {
        frame: Frame::new(LEFT, 12.0, RIGHT, 46.0),
        x: hours.clone(),
        y: Axis::round(ordinates(&outside).into_iter(), 6, "outside, K about mean"),
    };
    let below = Panel {
        frame: Frame::new(LEFT, 56.0, RIGHT, 116.0),
        x: hours,
        y: Axis::round(flows.into_iter(), 8, "heat into the room, W/m² about mean"),
    };
    let entries = [
        (String::from("outside temperature"), OUTSIDE),
        (
            String::from("wall of the same U that stores nothing"),
            MASSLESS,
        ),
        (String::from("this wall"), WALL),
    ];
    let legend = CurveLegend {
        entries: &entries,
        left: LEFT,
        width: RIGHT - LEFT,
    };
    let mut svg = Svg::open(PLOT_WIDTH_MM, 128.0 + legend.height(), &plot.title, "");
    plot_title(&mut svg, &plot.title, PLOT_WIDTH_MM);
    above.draw(&mut svg, Below::TicksOnly);
    below.draw(&mut svg, Below::Figures);
    for panel in [&above, &below] {
        let zero = (panel.spot(panel.x.low, 0.0), panel.spot(panel.x.high, 0.0));
        svg.group("zero", Pen::NARROW, Paint::None);
        svg.line(zero.0, zero.1);
        svg.end();
    }
    above.curve(&mut svg, &outside, OUTSIDE);
    below.curve(&mut svg, &massless, MASSLESS);
    below.curve(&mut svg, &wall, WALL);
    delay(&mut svg, plot, &above, &below);
    legend.draw(&mut svg, 126.0);
    Ok(svg.close())
}

const OUTSIDE: LineStyle = LineStyle::plain(Pen::of(0.5, LineKind::LongDashedDotted));
const MASSLESS: LineStyle = LineStyle::plain(Pen::of(0.35, LineKind::Dashed));
const WALL: LineStyle = LineStyle::plain(Pen::WIDE);

fn wave(plot: &SwingPlot, height: f64, later: f64) -> Vec<(f64, f64)> {
    (0..=POINTS)
        .map(|i| {
            let hours = DRAWN * plot.period_hours * f64::from(i) / f64::from(POINTS);
            let turn = (hours - later) / plot.period_hours - PEAK;
            (
                hours,
                height * libm::cos(2.0 * core::f64::consts::PI * turn),
            )
        })
        .collect()
}

/// Both peaks, and between the panels the time from the one to the other with what is left of the swing.
fn delay(svg: &mut Svg, plot: &SwingPlot, above: &Panel, below: &Panel) {
    let at = PEAK * plot.period_hours;
    let (first, second) = (
        above.spot(at, plot.outside_k),
        below.spot(at + plot.later_hours, plot.wall_w_per_m2),
    );
    let y = f64::midpoint(above.frame.y1, below.frame.y0);
    svg.group("peaks", Pen::of(0.25, LineKind::Dashed), Paint::None);
    svg.line(first, Spot::at(first.x, y + 1.0));
    svg.line(Spot::at(second.x, y - 1.0), second);
    svg.end();
    svg.group("delay", Pen::NARROW, Paint::None);
    svg.strokes(&[
        (Spot::at(first.x, y), Spot::at(second.x, y)),
        (
            Spot::at(first.x - 0.8, y + 0.8),
            Spot::at(first.x + 0.8, y - 0.8),
        ),
        (
            Spot::at(second.x - 0.8, y + 0.8),
            Spot::at(second.x + 0.8, y - 0.8),
        ),
    ]);
    svg.end();
    let left = if plot.massless_w_per_m2 > 0.0 {
        let share = plot.wall_w_per_m2 / plot.massless_w_per_m2;
        format!("; {} % of the swing is left", figure(100.0 * share, 1))
    } else {
        String::new()
    };
    let words = format!("{} h later{left}", figure(plot.later_hours, 1));
    let text = Text::level(
        Spot::at(second.x + 2.5, y),
        Lettering::Small,
        Anchoring::Start,
        &words,
    );
    // Beside the dimension where there is room, before it where there is not.
    let text = if text.frame().x1 > RIGHT {
        Text {
            at: Spot::at(first.x - 2.5, y),
            anchoring: Anchoring::End,
            ..text
        }
    } else {
        text
    };
    let text = if text.frame().x0 < LEFT - 20.0 {
        Text {
            at: Spot::at(f64::midpoint(first.x, second.x), y - 2.2),
            anchoring: Anchoring::Middle,
            ..text
        }
    } else {
        text
    };
    svg.group("delay-text", Pen::FINE, Paint::White);
    svg.rect_without_line(&text.frame());
    svg.text(&text);
    svg.end();
}

fn check(plot: &SwingPlot) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let period = plot.period_hours;
    if !(period > 0.0 && period <= 1e9) {
        let expected = "over 0 to 1e9 h";
        faults.add(
            "period_hours",
            "OUT_OF_RANGE",
            format!("{period}"),
            expected,
        );
    }
    if !(0.0..=period.max(0.0)).contains(&plot.later_hours) {
        let found = format!("{}", plot.later_hours);
        faults.add("later_hours", "OUT_OF_RANGE", found, "0 to one period");
    }
    check_figure(&mut faults, "outside_k", plot.outside_k);
    check_figure(&mut faults, "massless_w_per_m2", plot.massless_w_per_m2);
    check_figure(&mut faults, "wall_w_per_m2", plot.wall_w_per_m2);
    faults.or(())
}
