//! Cost over thickness, with the optimum marked.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::axes::{
    Axis, Below, CurveLegend, LineStyle, Panel, PointMark, figure, plot_title, point_mark,
};
use crate::lettering::Lettering;
use crate::plot::{PLOT_POINTS_MAX, PLOT_WIDTH_MM, check_count, check_figure};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

/// The cost at one thickness, over the life reckoned with.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CostPoint {
    /// Thickness of the insulation.
    pub thickness_mm: f64,
    /// What the system costs.
    pub system: f64,
    /// What the heat costs.
    pub heat: f64,
}

/// Cost over thickness.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CostPlot {
    /// The title.
    pub title: String,
    /// The unit of all costs, for example `EUR/m²`.
    pub unit: String,
    /// The stocked thicknesses, growing.
    pub points: Vec<CostPoint>,
    /// Which point is the optimum, by place in the list.
    pub optimum: Option<usize>,
}

/// Draws the plot as SVG text, 180 mm wide.
///
/// # Errors
/// Every fault at once: no points, thicknesses that do not grow, a figure that is not finite, an optimum that is not there.
pub fn cost_plot(plot: &CostPlot) -> Result<String, Vec<Fault>> {
    check(plot)?;
    let series = |read: fn(&CostPoint) -> f64| -> Vec<(f64, f64)> {
        plot.points
            .iter()
            .map(|p| (p.thickness_mm, read(p)))
            .collect()
    };
    let curves = [
        (
            "sum",
            series(|p| p.system + p.heat),
            LineStyle {
                pen: Pen::WIDE,
                mark: PointMark::Disc,
                spacing: 0.0,
            },
        ),
        (
            "system",
            series(|p| p.system),
            LineStyle {
                pen: Pen::of(0.35, LineKind::Dashed),
                mark: PointMark::Ring,
                spacing: 6.0,
            },
        ),
        (
            "heat",
            series(|p| p.heat),
            LineStyle {
                pen: Pen::of(0.35, LineKind::LongDashedDotted),
                mark: PointMark::Triangle,
                spacing: 6.0,
            },
        ),
    ];
    let values = curves
        .iter()
        .flat_map(|(_, points, _)| points.iter().map(|p| p.1))
        .chain([0.0]);
    let panel = Panel {
        frame: Frame::new(24.0, 12.0, 176.0, 92.0),
        x: Axis::round(
            plot.points.iter().map(|p| p.thickness_mm),
            12,
            "thickness of the insulation, mm",
        ),
        y: Axis::round(values, 10, &format!("cost, {}", plot.unit)),
    };
    let entries: Vec<(String, LineStyle)> = curves
        .iter()
        .map(|(name, _, style)| (String::from(*name), *style))
        .collect();
    let legend = CurveLegend {
        entries: &entries,
        left: 24.0,
        width: 152.0,
    };
    let mut svg = Svg::open(PLOT_WIDTH_MM, 104.0 + legend.height(), &plot.title, "");
    plot_title(&mut svg, &plot.title, PLOT_WIDTH_MM);
    panel.draw(&mut svg, Below::Figures);
    for (_, points, style) in &curves {
        panel.curve(&mut svg, points, *style);
    }
    if let Some(best) = plot.optimum.and_then(|i| plot.points.get(i)) {
        optimum(&mut svg, plot, &panel, best);
    }
    legend.draw(&mut svg, 102.0);
    Ok(svg.close())
}

fn optimum(svg: &mut Svg, plot: &CostPlot, panel: &Panel, best: &CostPoint) {
    let sum = best.system + best.heat;
    let at = panel.spot(best.thickness_mm, sum);
    let foot = Spot::at(at.x, panel.frame.y1);
    svg.group("optimum", Pen::of(0.25, LineKind::Dashed), Paint::None);
    svg.line(at, foot);
    svg.end();
    svg.group("optimum", Pen::MIDDLE, Paint::None);
    svg.circle(at, 2.2);
    svg.end();
    point_mark(svg, at, PointMark::Disc);
    let words = format!(
        "least: {} mm, {} {}",
        figure(best.thickness_mm, 1),
        figure(sum, 2),
        plot.unit
    );
    let room = panel.frame.width() - 4.0;
    let words = Lettering::Plain.fitted(&words, room);
    let half = Lettering::Plain.width_mm(&words) / 2.0;
    let x =
        at.x.clamp(panel.frame.x0 + half + 1.0, panel.frame.x1 - half - 1.0);
    // Above the point where there is room, else below.
    let y = if at.y - 6.5 > panel.frame.y0 + 2.0 {
        at.y - 5.5
    } else {
        at.y + 6.0
    };
    let text = Text::level(Spot::at(x, y), Lettering::Plain, Anchoring::Middle, &words);
    svg.group("optimum-text", Pen::FINE, Paint::White);
    svg.rect_without_line(&text.frame());
    svg.text(&text);
    svg.end();
}

fn check(plot: &CostPlot) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    check_count(&mut faults, "points", plot.points.len(), 1, PLOT_POINTS_MAX);
    for (i, point) in plot.points.iter().enumerate() {
        for (name, value) in [
            ("thickness_mm", point.thickness_mm),
            ("system", point.system),
            ("heat", point.heat),
        ] {
            check_figure(&mut faults, &format!("points[{i}].{name}"), value);
        }
    }
    for (i, pair) in plot.points.windows(2).enumerate() {
        if let [a, b] = pair
            && b.thickness_mm <= a.thickness_mm
        {
            faults.add(
                format!("points[{}].thickness_mm", i + 1),
                "NOT_GROWING",
                format!("{} after {}", b.thickness_mm, a.thickness_mm),
                "more than the one before",
            );
        }
    }
    if let Some(i) = plot.optimum
        && i >= plot.points.len()
    {
        faults.add(
            "optimum",
            "OUT_OF_RANGE",
            format!("{i}"),
            format!("less than {}, the number of points", plot.points.len()),
        );
    }
    faults.or(())
}
