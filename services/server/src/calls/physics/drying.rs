//! How long a wet wall takes to dry behind the boards of several systems.

use api::v1;
use drawing::{Curve, DryingPlot, LimitLine, drying_plot};
use material::{Assortment, System};
use moisture_transport::{
    Accuracy, AirPermeability, Candidate, Climate, Dry, DryingAnswer, DryingTask, Face, Film, Hour,
    Layer, Liquid, Material, Sorption, SorptionPoint, Start, Swing, VapourResistance, Wall,
};
use quantity::{
    Density, Duration, HeatFlux, Length, Mm, MoistureFlux, Temperature, Transmittance,
    WaterAbsorption,
};
use working::{Faults, Sheet};

use super::economy::{MINERAL_HEAT, bare, board, system};
use super::{Said, climate, encode, parse};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// The air layer that resists vapour as much as the film inside and outside does (common practice, no source).
const FILM_INSIDE_M: f64 = 0.008;
const FILM_OUTSIDE_M: f64 = 0.004;

/// How long a wet wall takes to dry.
///
/// # Errors
/// Every fault of the request at once, or a name that is not there.
pub fn drying(
    wire: &v1::DryingRequest,
    snapshot: &Snapshot,
) -> Result<v1::DryingResponse, Refused> {
    let job = parse::drying(wire)?;
    let branch = &snapshot.branch(&wire.branch)?.assortment;
    let year = year(climate(snapshot, "climate", &wire.climate)?, &job);
    let candidates = candidates(wire, &job, branch)?;
    let task = DryingTask {
        dry: Dry::Humidity(job.dry_humidity),
        longest: Duration::from_days(365.0 * job.years),
        every: Duration::from_days((365.0 * job.years / 200.0).max(1.0)),
    };
    let found = moisture_transport::drying(&candidates, &year, &task, &Accuracy::seasons());
    let found = found.map_err(|faults| parse::reworded(faults, ""))?;
    let mut sheet = Sheet::new();
    for (candidate, one) in candidates.iter().zip(&found.candidates) {
        moisture_transport::record(&mut sheet, candidate, one);
    }
    let mut said = Said::without_catalogue(parse::include(wire.include.as_ref()), sheet, snapshot);
    said.provenance = encode::provenance(&said.sheet.documents(), Some(branch), snapshot.rules());
    tell(wire, &mut said);
    said.draw("drying.svg", "Drying of the wet layer", || {
        drying_plot(&plot(&found))
    });
    Ok(encode::drying(wire, &found, said))
}

fn tell(wire: &v1::DryingRequest, said: &mut Said) {
    if wire.rooms.is_none() {
        said.assume(
            "rooms",
            "20 degC and 50 % in winter, 22 degC and 60 % in summer",
        );
    }
    if wire.inner_coating_sd_m.is_none() {
        said.assume(
            "inner_coating_sd_m",
            "0.1 m, a paint that lets vapour through",
        );
    }
    if wire.dry_humidity_share.is_none() {
        said.assume(
            "dry_humidity_share",
            "0.8, the humidity at which building materials in use settle",
        );
    }
    if wire.years.is_none() {
        said.assume("years", "5 years at most");
    }
    said.assume(
        "candidates",
        "boards hold next to no water; base coat and finish hold 200 kg/m3 at free saturation and 25 kg/m3 at 80 %, and draw 0.005 kg/(m2.s0.5) (common practice, no source)",
    );
    said.assume(
        "layers",
        "water already in the pores spreads at a tenth of the diffusivity of rain drawn in (common practice, no source)",
    );
    said.note(
        "CLIMATE_SWINGS",
        "climate",
        "Temperature and humidity swing once a year between the coldest and the warmest month; there is neither sun nor rain in it.",
    );
}

/// A year that swings between the coldest and the warmest month of a climate.
fn year(months: &thermal::Climate, job: &parse::DryingJob) -> Climate {
    let hour = |month: usize, celsius: f64, humidity: f64| {
        let (temperature, outside) = months
            .months
            .get(month)
            .map_or((Temperature::from_celsius(10.0), 0.8), |m| {
                (m.outside, relative(m))
            });
        Hour {
            outside_temperature: temperature,
            outside_humidity: outside,
            sun: HeatFlux::ZERO,
            rain: MoistureFlux::ZERO,
            inside_temperature: Temperature::from_celsius(celsius),
            inside_humidity: humidity,
        }
    };
    let mut order: Vec<usize> = (0..months.months.len()).collect();
    let mean = |i: usize| months.months.get(i).map_or(0.0, |m| m.outside.as_celsius());
    order.sort_by(|&a, &b| mean(a).total_cmp(&mean(b)));
    let coldest = order.first().copied().unwrap_or(0);
    let warmest = order.last().copied().unwrap_or(6);
    let after = (coldest + 13 - job.start_month) % 12;
    let rooms = &job.rooms;
    Climate::Yearly(Swing {
        coldest: hour(coldest, rooms.winter_celsius, rooms.winter_humidity_share),
        warmest: hour(warmest, rooms.summer_celsius, rooms.summer_humidity_share),
        coldest_after: Duration::from_days(365.0 * (after as f64 + 0.5) / 12.0),
    })
}

/// The relative humidity of a month.
fn relative(month: &thermal::Month) -> f64 {
    let share = match month.humidity {
        thermal::OutsideHumidity::Relative(share) => share,
        thermal::OutsideHumidity::Pressure(pressure) => {
            let full = (standards::iso_13788::SATURATION.function)((month.outside,));
            pressure.as_pa() / full.as_pa()
        }
    };
    share.clamp(0.05, 0.98)
}

fn candidates(
    wire: &v1::DryingRequest,
    job: &parse::DryingJob,
    branch: &Assortment,
) -> Result<Vec<Candidate>, Refused> {
    let mut faults = Faults::new();
    let mut unknown: Option<Refused> = None;
    let mut list = Vec::new();
    for (i, asked) in wire.candidates.iter().enumerate() {
        let path = format!("candidates[{i}]");
        let system = match system(branch, &format!("{path}.system"), &asked.system) {
            Ok(system) => system,
            Err(refused) => {
                faults.extend(refused.faults().to_vec());
                unknown = Some(refused);
                continue;
            }
        };
        let board = board(branch, system)?;
        let thickness = Mm(asked.board_thickness_mm);
        if board.stocked(thickness).is_none() {
            let stocked: Vec<String> = board
                .thicknesses
                .iter()
                .map(|t| t.thickness.0.to_string())
                .collect();
            faults.add(
                format!("{path}.board_thickness_mm"),
                "OUT_OF_RANGE",
                format!("{} mm", asked.board_thickness_mm),
                format!("a stocked thickness: {} mm", stocked.join(", ")),
            );
            continue;
        }
        let mut layers = job.layers.clone();
        layers.push(Layer {
            thickness: thickness.to_length(),
            material: dry_board(board),
            start: Start::Humidity(0.8),
        });
        layers.extend(coats(branch, system));
        list.push(Candidate {
            name: format!("{} {} mm", system.article.name, asked.board_thickness_mm),
            wall: Wall {
                layers,
                inside: face(8.0, FILM_INSIDE_M + job.inner_coating.as_m()),
                outside: face(20.0, FILM_OUTSIDE_M),
                start: Temperature::from_celsius(15.0),
                air: AirPermeability::ByTemperature,
            },
            wet_layer: job.wet_layer,
        });
    }
    match (faults.is_empty(), unknown) {
        (true, _) => Ok(list),
        (false, Some(_)) => Err(Refused::UnknownName(faults.into_list())),
        (false, None) => Err(Refused::BadRequest(faults.into_list())),
    }
}

fn face(heat: f64, air_layer_m: f64) -> Face {
    Face::Film(Film {
        heat_transfer: Transmittance::from_w_per_m2k(heat),
        vapour_air_layer: Length::from_m(air_layer_m),
        absorbed_sun: 0.0,
        held_rain: 0.0,
    })
}

fn dry_board(board: &material::Board) -> Material {
    let point = |(humidity, water): (f64, f64)| SorptionPoint {
        humidity,
        water: Density::from_kg_per_m3(water),
    };
    Material {
        name: board.insulant.clone(),
        conductivity: board.conductivity,
        conductivity_by_water: 0.0,
        density: board.density,
        specific_heat: board.specific_heat,
        vapour: VapourResistance::Constant {
            factor: board.vapour_resistance_factor,
        },
        sorption: Sorption::Table {
            points: [(0.0, 0.0), (0.9, 0.5), (1.0, 100.0)].map(point).to_vec(),
        },
        liquid: Liquid::None,
    }
}

/// Base coat and finish.
fn coats(branch: &Assortment, system: &System) -> Vec<Layer> {
    let coat = |name: &str, thickness, conductivity, density, factor| Layer {
        thickness,
        start: Start::Humidity(0.8),
        material: Material {
            name: name.to_owned(),
            conductivity,
            conductivity_by_water: 0.0,
            density,
            specific_heat: MINERAL_HEAT,
            vapour: VapourResistance::Constant { factor },
            sorption: Sorption::Capillary {
                free_saturation: Density::from_kg_per_m3(200.0),
                at_80: Density::from_kg_per_m3(25.0),
            },
            liquid: Liquid::ByAbsorption {
                coefficient: WaterAbsorption::from_kg_per_m2_root_s(0.005),
                redistribution: parse::REDISTRIBUTION,
            },
        },
    };
    let mortar = branch.mortars.get(bare(&system.base_coat_mortar));
    let base = mortar.map(|m| {
        let factor = m.vapour_resistance_factor;
        coat(
            "base coat",
            system.base_coat_thickness,
            m.conductivity,
            m.density,
            factor,
        )
    });
    let finish = system
        .finishes
        .first()
        .and_then(|key| branch.finishes.get(bare(key)));
    let finish = finish.map(|f| {
        let factor = f.vapour_resistance_factor;
        coat("finish", f.thickness, f.conductivity, f.density, factor)
    });
    base.into_iter().chain(finish).collect()
}

fn plot(found: &DryingAnswer) -> DryingPlot {
    let curves = found.candidates.iter().map(|one| Curve {
        name: one.name.clone(),
        points: one
            .curve
            .iter()
            .map(|p| (p.after.as_days(), p.water.as_kg_per_m3()))
            .collect(),
    });
    let limits = found.candidates.first().map(|one| LimitLine {
        name: "counts as dry".to_owned(),
        value: one.target.as_kg_per_m3(),
    });
    DryingPlot {
        title: "Drying of the wet layer".to_owned(),
        x_title: "time, days".to_owned(),
        y_title: "mean water content, kg/m³".to_owned(),
        curves: curves.collect(),
        limits: limits.into_iter().collect(),
    }
}
