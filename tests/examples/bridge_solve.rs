//! Solves a section on a given number of halvings and writes grid, conductivities, films and temperatures, for the comparison in
//! `tests/speed/bridge/compare.py`.

mod processor;

#[path = "../tests/bridge_reading/mod.rs"]
mod bridge_reading;

use processor::processor_seconds;
use std::collections::BTreeMap;
use std::io::Write as _;

use thermal_bridge::{Accuracy, Contact, Model, build, solve};

fn model(name: &str) -> Model {
    if let Some(case) = bridge_reading::worked().into_iter().find(|c| c.id == name) {
        return case.model();
    }
    let section = build(&bridge_reading::detail(name), &BTreeMap::new());
    section.unwrap_or_else(|faults| panic!("{faults:#?}")).model
}

/// How many solves are timed together.
const SOLVES: u32 = 4;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let (Some(name), Some(halvings), Some(file)) =
        (arguments.next(), arguments.next(), arguments.next())
    else {
        eprintln!("usage: bridge_solve <case or detail> <halvings> <file to write>");
        std::process::exit(2);
    };
    let model = model(&name);
    let accuracy = Accuracy {
        flow_change: 0.0,
        factor_change: 0.0,
        most_halvings: halvings.parse().expect("a number of halvings"),
        most_nodes: 2_000_000,
        ..Accuracy::default()
    };
    // Best of five, each of four solves in a row, since the system counts in steps of milliseconds; each solve runs from the model to the
    // finished solution with all coarser grids on the way.
    let mut best = f64::INFINITY;
    let mut solution = None;
    for _ in 0..5 {
        let start = processor_seconds();
        for _ in 0..SOLVES {
            let solved = solve(&model, &accuracy);
            solution = Some(solved.unwrap_or_else(|faults| panic!("{faults:#?}")));
        }
        best = best.min((processor_seconds() - start) / f64::from(SOLVES));
    }
    let Some(solution) = solution else { return };
    let (xs, ys) = (solution.columns(), solution.rows());
    let mut out = std::io::BufWriter::new(std::fs::File::create(file).expect("a file to write"));
    let mut line = |key: &str, numbers: Vec<f64>| {
        let text: Vec<String> = numbers.iter().map(|n| format!("{n:e}")).collect();
        writeln!(out, "{key} {}", text.join(" ")).expect("a file that takes lines");
    };
    line("seconds", vec![best]);
    line("imbalance", vec![solution.imbalance()]);
    line(
        "iterations",
        solution
            .refinements()
            .iter()
            .map(|r| r.iterations as f64)
            .collect(),
    );
    line("x", xs.iter().map(|x| x.as_m()).collect());
    line("y", ys.iter().map(|y| y.as_m()).collect());
    let mut conductivities = Vec::new();
    for row in 0..ys.len() - 1 {
        for column in 0..xs.len() - 1 {
            let owner = solution.material(column, row);
            conductivities
                .push(owner.map_or(0.0, |i| model.rectangles[i].conductivity.as_w_per_mk()));
        }
    }
    line("lambda", conductivities);
    for boundary in &model.boundaries {
        if let Contact::Environment(index) = boundary.contact {
            let e = &model.environments[index];
            let (a, b) = (boundary.from, boundary.to);
            let numbers = [a.x.as_m(), a.y.as_m(), b.x.as_m(), b.y.as_m()];
            let film = [e.resistance.as_m2k_per_w(), e.temperature.as_celsius()];
            line("film", numbers.into_iter().chain(film).collect());
        }
    }
    let mut temperatures = Vec::new();
    for row in 0..ys.len() {
        for column in 0..xs.len() {
            temperatures.push(
                solution
                    .temperature(column, row)
                    .map_or(f64::NAN, quantity::Temperature::as_celsius),
            );
        }
    }
    line("temperature", temperatures);
}
