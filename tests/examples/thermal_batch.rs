//! Answers a file of walls in bulk and says how long it took: the side of the comparison in `tests/speed/thermal` that is ours.
//!
//! `thermal_batch <walls.csv> <answers.csv>`: each line of walls is groups of five numbers, one group a layer from inside to
//! outside: thickness m, conductivity W/(m K), vapour factor, density kg/m3, specific heat J/(kg K).

mod processor;

use processor::processor_seconds;
use std::fmt::Write as _;

use quantity::{
    Conductivity, Density, Duration, Length, SpecificHeat, Temperature, VapourPressure,
};
use standards::iso_13786::DAY;
use thermal::{
    Batch, Body, BuildUp, Climate, Homogeneous, HumidityClass, Inside, InsideHumidity, Layer,
    MONTH_DAYS, Month, Outcome, OutsideHumidity, Role, Storage, Vapour,
};
use working::Standing;

const CELSIUS: [f64; 12] = [
    -1.0, 0.0, 4.0, 9.0, 14.0, 18.0, 19.0, 19.0, 15.0, 10.0, 5.0, 1.0,
];
const HUMIDITY: [f64; 12] = [
    0.85, 0.84, 0.78, 0.72, 0.68, 0.69, 0.73, 0.75, 0.79, 0.83, 0.88, 0.88,
];

fn wall(line: &str) -> BuildUp {
    let numbers: Vec<f64> = line
        .split(',')
        .map(|n| n.parse().expect("a number"))
        .collect();
    let layers = numbers
        .chunks(5)
        .map(|n| {
            let material = Homogeneous {
                conductivity: Conductivity::from_w_per_mk(n[1]),
                vapour: Some(Vapour::Factor(n[2])),
                storage: Some(Storage {
                    density: Density::from_kg_per_m3(n[3]),
                    specific_heat: SpecificHeat::from_j_per_kgk(n[4]),
                }),
            };
            Layer::request(
                "layer",
                "",
                Role::Wall,
                Length::from_m(n[0]),
                Body::Homogeneous(material),
            )
        })
        .collect();
    BuildUp::of("wall", layers)
}

fn batch() -> Batch {
    let months = CELSIUS
        .iter()
        .zip(HUMIDITY)
        .zip(MONTH_DAYS)
        .map(|((celsius, phi), days)| Month {
            outside: Temperature::from_celsius(*celsius),
            humidity: OutsideHumidity::Relative(phi),
            length: Duration::from_days(days),
        })
        .collect();
    let text = |text: &str| text.to_string();
    let climate = Climate {
        id: text("k1"),
        name: text("K1"),
        source: text("demo"),
        standing: Standing::Unverified,
        path: text("climate"),
        months,
    };
    let class = HumidityClass {
        id: text("3"),
        rooms: text("demo"),
        excess: VapourPressure::from_pa(810.0),
        none_from: Temperature::from_celsius(20.0),
        source: text("demo"),
        standing: Standing::Unverified,
    };
    let inside = Inside {
        temperatures: vec![Temperature::from_celsius(20.0)],
        humidity: InsideHumidity::Class(class),
        path: text("inside"),
    };
    Batch::new(&climate, &inside, DAY).expect("a sound climate")
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, walls, answers] = arguments.as_slice() else {
        eprintln!("usage: thermal_batch <walls.csv> <answers.csv>");
        std::process::exit(2);
    };
    let text = std::fs::read_to_string(walls).expect("the walls");
    let walls: Vec<BuildUp> = text.lines().map(wall).collect();
    let mut batch = batch();
    // Best of five, so that a neighbour on the machine counts as little as it can.
    let mut seconds = f64::INFINITY;
    let mut found = Vec::with_capacity(walls.len());
    for _ in 0..5 {
        let begin = processor_seconds();
        found.clear();
        found.extend(
            walls
                .iter()
                .map(|wall| batch.answer(wall).expect("a sound wall")),
        );
        seconds = seconds.min(processor_seconds() - begin);
    }
    let mut out = String::new();
    for answer in &found {
        let swing = answer.swing.expect("storage is given");
        let outcome = match answer.outcome {
            Outcome::NoCondensation => 0,
            Outcome::DriesOut => 1,
            Outcome::Accumulates => 2,
        };
        let _ = writeln!(
            out,
            "{:e},{:e},{:e},{:e},{outcome},{:e},{:e},{:e},{:e},{:e},{:e}",
            answer.u_corrected.as_w_per_m2k(),
            answer.factor,
            answer.most.as_kg_per_m2(),
            answer.left.as_kg_per_m2(),
            swing.periodic.as_w_per_m2k(),
            swing.shift.as_hours(),
            swing.admittance_inside.as_w_per_m2k(),
            swing.admittance_outside.as_w_per_m2k(),
            swing.capacity_inside.as_j_per_m2k(),
            swing.capacity_outside.as_j_per_m2k(),
        );
    }
    std::fs::write(answers, out).expect("a place for the answers");
    println!("{seconds}");
}
