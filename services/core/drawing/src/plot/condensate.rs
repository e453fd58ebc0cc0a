//! Condensate by month: bars for the month, lines for what has gathered.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::axes::{Axis, Below, CurveLegend, LineStyle, Panel, plot_title};
use crate::geometry::Hatch;
use crate::lettering::Lettering;
use crate::plot::{LimitLine, PLOT_WIDTH_MM, check_count, check_figure};
use crate::sheet::filled;
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

/// What happens at one plane of condensation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlaneCondensate {
    /// Where the plane is.
    pub name: String,
    /// Condensed (over 0) or dried (below 0) in each month, g/m².
    pub monthly_g_per_m2: Vec<f64>,
    /// Gathered at the end of each month, g/m².
    pub gathered_g_per_m2: Vec<f64>,
}

/// Condensate by month.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CondensatePlot {
    /// The title.
    pub title: String,
    /// Names of the months, in the order in which they are reckoned.
    pub months: Vec<String>,
    /// The planes, at most six.
    pub planes: Vec<PlaneCondensate>,
    /// The limit of the gathered water, if there is one.
    pub limit: Option<LimitLine>,
}

const HATCHES: [Hatch; 6] = [
    Hatch::Rising,
    Hatch::Solid,
    Hatch::Falling,
    Hatch::Crossed,
    Hatch::Level,
    Hatch::Upright,
];

/// Draws the plot as SVG text, 180 mm wide.
///
/// # Errors
/// Every fault at once: no months, a plane without a figure for each month, more than six planes, a figure that is not finite.
pub fn condensate_plot(plot: &CondensatePlot) -> Result<String, Vec<Fault>> {
    check(plot)?;
    let values = plot
        .planes
        .iter()
        .flat_map(|p| p.monthly_g_per_m2.iter().chain(&p.gathered_g_per_m2))
        .copied()
        .chain(plot.limit.iter().map(|l| l.value))
        .chain([0.0]);
    let entries: Vec<(String, LineStyle)> = plot
        .planes
        .iter()
        .enumerate()
        .map(|(i, p)| (format!("{}: gathered", p.name), LineStyle::nth(i)))
        .chain(plot.limit.iter().map(|l| (l.name.clone(), LIMIT)))
        .collect();
    let panel = Panel {
        frame: Frame::new(24.0, 12.0, 176.0, 86.0),
        x: Axis::tight(0.0, plot.months.len() as f64, 12, ""),
        y: Axis::round(values, 10, "condensate, g/m²"),
    };
    let legend = CurveLegend {
        entries: &entries,
        left: 24.0,
        width: 152.0,
    };
    let bars_top = 96.0;
    let lines_top = bars_top + plot.planes.len() as f64 * 5.0;
    let mut svg = Svg::open(
        PLOT_WIDTH_MM,
        lines_top + legend.height() + 4.0,
        &plot.title,
        "",
    );
    plot_title(&mut svg, &plot.title, PLOT_WIDTH_MM);
    panel.draw(&mut svg, Below::Nothing);
    bars(&mut svg, plot, &panel);
    let zero = (panel.spot(panel.x.low, 0.0), panel.spot(panel.x.high, 0.0));
    svg.group("zero", Pen::MIDDLE, Paint::None);
    svg.line(zero.0, zero.1);
    svg.end();
    for (i, plane) in plot.planes.iter().enumerate() {
        let points: Vec<(f64, f64)> = plane
            .gathered_g_per_m2
            .iter()
            .enumerate()
            .map(|(m, v)| (m as f64 + 0.5, *v))
            .collect();
        panel.curve(&mut svg, &points, LineStyle::nth(i));
    }
    if let Some(limit) = &plot.limit {
        let line = [(panel.x.low, limit.value), (panel.x.high, limit.value)];
        panel.curve(&mut svg, &line, LIMIT);
    }
    svg.group("months", Pen::FINE, Paint::None);
    let room = panel.frame.width() / plot.months.len() as f64;
    for (m, month) in plot.months.iter().enumerate() {
        let at = Spot::at(panel.spot(m as f64 + 0.5, 0.0).x, panel.frame.y1 + 3.4);
        let words = Lettering::Small.fitted(month, room);
        svg.text(&Text::level(
            at,
            Lettering::Small,
            Anchoring::Middle,
            &words,
        ));
    }
    svg.end();
    for (i, plane) in plot.planes.iter().enumerate() {
        let y = bars_top + i as f64 * 5.0;
        let sample = Frame::new(24.0, y - 1.6, 37.0, y + 1.6);
        filled(&mut svg, &sample.corners(), pattern(i));
        svg.group("legend", Pen::NARROW, Paint::None);
        svg.rect(&sample);
        let words = format!("{}: in the month (below 0: dried)", plane.name);
        let words = Lettering::Small.fitted(&words, 134.0);
        svg.text(&Text::level(
            Spot::at(40.0, y),
            Lettering::Small,
            Anchoring::Start,
            &words,
        ));
        svg.end();
    }
    legend.draw(&mut svg, lines_top - 2.0);
    Ok(svg.close())
}

const LIMIT: LineStyle = LineStyle::plain(Pen::of(0.5, LineKind::LongDashedDoubleDotted));

fn pattern(plane: usize) -> Hatch {
    HATCHES.get(plane).copied().unwrap_or(Hatch::Plain)
}

fn bars(svg: &mut Svg, plot: &CondensatePlot, panel: &Panel) {
    let count = plot.planes.len().max(1) as f64;
    let share = 0.7 / count;
    for (i, plane) in plot.planes.iter().enumerate() {
        for (m, value) in plane.monthly_g_per_m2.iter().enumerate() {
            let from = m as f64 + 0.15 + i as f64 * share;
            let (a, b) = (panel.spot(from, 0.0), panel.spot(from + share, *value));
            if libm::fabs(a.y - b.y) < 0.01 {
                continue;
            }
            let bar = Frame::new(a.x, a.y.min(b.y), b.x, a.y.max(b.y));
            filled(svg, &bar.corners(), pattern(i));
            svg.group("bar", Pen::NARROW, Paint::None);
            svg.rect(&bar);
            svg.end();
        }
    }
}

fn check(plot: &CondensatePlot) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    check_count(&mut faults, "months", plot.months.len(), 1, 60);
    check_count(&mut faults, "planes", plot.planes.len(), 0, HATCHES.len());
    for (i, plane) in plot.planes.iter().enumerate() {
        for (name, values) in [
            ("monthly_g_per_m2", &plane.monthly_g_per_m2),
            ("gathered_g_per_m2", &plane.gathered_g_per_m2),
        ] {
            let path = format!("planes[{i}].{name}");
            check_count(
                &mut faults,
                &path,
                values.len(),
                plot.months.len(),
                plot.months.len(),
            );
            for (m, value) in values.iter().enumerate() {
                check_figure(&mut faults, &format!("{path}[{m}]"), *value);
            }
        }
    }
    if let Some(limit) = &plot.limit {
        check_figure(&mut faults, "limit.value", limit.value);
    }
    faults.or(())
}
