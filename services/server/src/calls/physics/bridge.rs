//! Thermal bridges in two dimensions.

use std::collections::BTreeMap;

use api::v1;
use drawing::{FieldMark, Hatch, IsothermPlot, TemperatureField, isotherm_plot};
use thermal_bridge::{Accuracy, Point, Section, Solution};
use working::{Fault, Halt, Sheet};

use super::{Said, encode, origins, parse};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// The details of the rule data.
///
/// # Errors
/// None; the signature is that of every call.
#[allow(clippy::unnecessary_wraps)] // the shape of a call
pub fn list_details(
    _: &v1::ListDetailsRequest,
    snapshot: &Snapshot,
) -> Result<v1::ListDetailsResponse, Refused> {
    Ok(encode::details(snapshot.rules()))
}

/// How far a grid is refined: fifty times finer than the standard asks, because psi is a small difference of large flows.
fn fine() -> Accuracy {
    Accuracy {
        flow_change: 2e-4,
        ..Accuracy::default()
    }
}

/// A section through a thermal bridge.
///
/// # Errors
/// Every fault of the section at once, or a detail that is not there.
pub fn bridge(
    wire: &v1::BridgeRequest,
    snapshot: &Snapshot,
    halt: Halt<'_>,
) -> Result<v1::BridgeResponse, Refused> {
    let choice = parse::bridge(wire)?;
    let (title, section, prefix) = section(choice, snapshot)?;
    let solved = thermal_bridge::solve_unless(&section.model, &fine(), halt);
    let solution = solved.map_err(|faults| parse::reworded(faults, prefix))?;
    let solution = solution.ok_or(Refused::DeadlineExceeded)?;
    let mut sheet = Sheet::new();
    let junction = thermal_bridge::record(&mut sheet, &section, &solution);
    let junction = junction.map_err(|faults| parse::reworded(faults, prefix))?;
    sheet.retell(|origin| origins::of_bridge(origin, wire));
    let include = parse::include(wire.include.as_ref());
    let mut said = Said::without_catalogue(include, sheet, snapshot);
    let plot = || {
        isotherm_plot(&isotherms(
            &title,
            &section,
            &solution,
            junction.coldest.point,
        ))
    };
    said.draw("isotherms.svg", "Isotherms", plot);
    Ok(encode::bridge(
        wire, &title, &section, &solution, &junction, said,
    ))
}

fn section(
    choice: parse::SectionChoice,
    snapshot: &Snapshot,
) -> Result<(String, Section, &'static str), Refused> {
    let (key, parameters, order) = match choice {
        parse::SectionChoice::Own(section) => {
            return Ok(("Own section".to_owned(), *section, "own."));
        }
        parse::SectionChoice::Detail {
            key,
            parameters,
            order,
        } => (key, parameters, order),
    };
    let details = &snapshot.rules().details;
    let Some(detail) = details.get(&key) else {
        let known = details.keys().map(String::as_str);
        return Err(Refused::unknown("detail.key", &key, known));
    };
    let placed = |fault: Fault| {
        let place = fault
            .path
            .strip_prefix("parameters.")
            .and_then(|name| order.iter().position(|n| n == name));
        let path = place.map_or(fault.path.clone(), |i| format!("parameters[{i}].value"));
        Fault { path, ..fault }
    };
    let section = thermal_bridge::build(detail, &parameters)
        .map_err(|faults| parse::reworded(faults.into_iter().map(placed).collect(), "detail."))?;
    Ok((detail.title.clone(), section, "detail."))
}

const HATCHES: [Hatch; 8] = [
    Hatch::Rising,
    Hatch::Falling,
    Hatch::Plain,
    Hatch::Crossed,
    Hatch::Level,
    Hatch::Upright,
    Hatch::Squared,
    Hatch::RisingPairs,
];

fn isotherms(title: &str, section: &Section, solution: &Solution, coldest: Point) -> IsothermPlot {
    let (columns, rows) = (solution.columns(), solution.rows());
    let mut celsius = Vec::with_capacity(columns.len() * rows.len());
    for row in 0..rows.len() {
        for column in 0..columns.len() {
            celsius.push(
                solution
                    .temperature(column, row)
                    .map(quantity::Temperature::as_celsius),
            );
        }
    }
    let mut hatches: BTreeMap<&str, Hatch> = BTreeMap::new();
    let mut rectangles = Vec::new();
    for r in &section.model.rectangles {
        let next = HATCHES.get(hatches.len() % HATCHES.len());
        let next = next.copied().unwrap_or(Hatch::Plain);
        rectangles.push(drawing::DetailRectangle {
            x0_mm: r.x0.as_mm(),
            y0_mm: r.y0.as_mm(),
            x1_mm: r.x1.as_mm(),
            y1_mm: r.y1.as_mm(),
            material: r.name.clone(),
            hatch: *hatches.entry(&r.name).or_insert(next),
        });
    }
    let mark = |point: Point, text: &str| FieldMark {
        x_mm: point.x.as_mm(),
        y_mm: point.y.as_mm(),
        text: text.to_owned(),
    };
    let points = section
        .points
        .iter()
        .map(|(name, point)| mark(*point, name));
    IsothermPlot {
        title: title.to_owned(),
        field: TemperatureField {
            x_mm: columns.iter().map(|x| x.as_mm()).collect(),
            y_mm: rows.iter().map(|y| y.as_mm()).collect(),
            celsius,
        },
        rectangles,
        emphasised: Vec::new(),
        marks: points.chain([mark(coldest, "coldest")]).collect(),
    }
}
