//! Drying curves: water content over time, one curve for each material or build-up.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::axes::{Axis, Below, CurveLegend, LineStyle, Panel, plot_title};
use crate::plot::{
    LimitLine, PLOT_ITEMS_MAX, PLOT_WIDTH_MM, check_count, check_figure, check_points,
};
use crate::svg::{Frame, LineKind, Pen, Svg};

/// A named curve.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// Its name in the legend.
    pub name: String,
    /// Its points, x and y in the units of the axes.
    pub points: Vec<(f64, f64)>,
}

/// Water content over time; fits any other curves over a common axis as well.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DryingPlot {
    /// The title.
    pub title: String,
    /// Title of the level axis with its unit, for example `time, days`.
    pub x_title: String,
    /// Title of the upright axis with its unit, for example `water in the wall, kg/m²`.
    pub y_title: String,
    /// The curves.
    pub curves: Vec<Curve>,
    /// Limits across the plot, for example `dry enough`.
    pub limits: Vec<LimitLine>,
}

/// Draws the plot as SVG text, 180 mm wide.
///
/// # Errors
/// Every fault at once: no curves, a curve of fewer than two points, a figure that is not finite.
pub fn drying_plot(plot: &DryingPlot) -> Result<String, Vec<Fault>> {
    check(plot)?;
    let points = || plot.curves.iter().flat_map(|c| c.points.iter());
    let panel = Panel {
        frame: Frame::new(24.0, 12.0, 176.0, 92.0),
        x: Axis::round(points().map(|p| p.0), 12, &plot.x_title),
        y: Axis::round(
            points()
                .map(|p| p.1)
                .chain(plot.limits.iter().map(|l| l.value))
                .chain([0.0]),
            10,
            &plot.y_title,
        ),
    };
    let limit_pen = LineStyle::plain(Pen::of(0.25, LineKind::LongDashedDoubleDotted));
    let entries: Vec<(String, LineStyle)> = plot
        .curves
        .iter()
        .enumerate()
        .map(|(i, c)| (c.name.clone(), LineStyle::nth(i)))
        .chain(plot.limits.iter().map(|l| (l.name.clone(), limit_pen)))
        .collect();
    let legend = CurveLegend {
        entries: &entries,
        left: 24.0,
        width: 152.0,
    };
    let mut svg = Svg::open(PLOT_WIDTH_MM, 104.0 + legend.height(), &plot.title, "");
    plot_title(&mut svg, &plot.title, PLOT_WIDTH_MM);
    panel.draw(&mut svg, Below::Figures);
    for limit in &plot.limits {
        let line = [(panel.x.low, limit.value), (panel.x.high, limit.value)];
        panel.curve(&mut svg, &line, limit_pen);
    }
    for (i, curve) in plot.curves.iter().enumerate() {
        panel.curve(&mut svg, &curve.points, LineStyle::nth(i));
    }
    legend.draw(&mut svg, 102.0);
    Ok(svg.close())
}

fn check(plot: &DryingPlot) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    check_count(&mut faults, "curves", plot.curves.len(), 1, PLOT_ITEMS_MAX);
    check_count(&mut faults, "limits", plot.limits.len(), 0, PLOT_ITEMS_MAX);
    for (i, curve) in plot.curves.iter().enumerate() {
        check_points(
            &mut faults,
            &format!("curves[{i}].points"),
            &curve.points,
            2,
        );
    }
    for (i, limit) in plot.limits.iter().enumerate() {
        check_figure(&mut faults, &format!("limits[{i}].value"), limit.value);
    }
    faults.or(())
}
