//! The plots: 180 mm wide, in black and white, for a page of a report.

mod condensate;
mod cost;
mod drying;
mod isotherm;
mod profile;
mod saving;
mod swing;

use alloc::format;
use alloc::string::String;

use working::Faults;

pub use condensate::{CondensatePlot, PlaneCondensate, condensate_plot};
pub use cost::{CostPlot, CostPoint, cost_plot};
pub use drying::{Curve, DryingPlot, drying_plot};
pub use isotherm::{
    DetailRectangle, FieldMark, IsothermPlot, TemperatureField, isotherm_plot, isotherms,
};
pub use profile::{CondensationPlane, ProfileLayer, WallProfile, wall_profile};
pub use saving::{AmountRange, InputBar, SavingPlot, saving_plot};
pub use swing::{SwingPlot, swing_plot};

/// Width of a plot on paper.
pub const PLOT_WIDTH_MM: f64 = 180.0;
/// Most points of one curve, and most coordinates of a field one way.
pub const PLOT_POINTS_MAX: usize = 20_000;
/// Most curves, layers, planes, rectangles or marks of one plot.
pub const PLOT_ITEMS_MAX: usize = 200;

/// A limit drawn across a plot.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitLine {
    /// What it is and where it comes from.
    pub name: String,
    /// Its value on the upright axis.
    pub value: f64,
}

/// Says a figure that is not finite or beyond 1e9 either way.
fn check_figure(faults: &mut Faults, path: &str, value: f64) {
    if !(-1e9..=1e9).contains(&value) {
        faults.add(
            path,
            "OUT_OF_RANGE",
            format!("{value}"),
            "a finite figure within 1e9 either way",
        );
    }
}

fn check_points(faults: &mut Faults, path: &str, points: &[(f64, f64)], least: usize) {
    check_count(faults, path, points.len(), least, PLOT_POINTS_MAX);
    for (i, (x, y)) in points.iter().enumerate().take(PLOT_POINTS_MAX) {
        check_figure(faults, &format!("{path}[{i}].x"), *x);
        check_figure(faults, &format!("{path}[{i}].y"), *y);
    }
}

fn check_count(faults: &mut Faults, path: &str, found: usize, least: usize, most: usize) {
    if !(least..=most).contains(&found) {
        faults.add(
            path,
            "OUT_OF_RANGE",
            format!("{found}"),
            format!("{least} to {most}"),
        );
    }
}
