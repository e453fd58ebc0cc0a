//! How long a wet wall takes to dry behind the boards of several systems.

use std::collections::BTreeSet;

use api::v1;
use drawing::{Curve, DryingPlot, LimitLine, drying_plot};
use material::{Assortment, Hygric, System};
use moisture_transport::{
    Accuracy, AirPermeability, Candidate, Climate, Dry, DryingAnswer, DryingTask, Face, Film, Hour,
    Layer, Liquid, Material, Sorption, SorptionPoint, Start, Swing, VapourResistance, Wall,
};
use quantity::{
    Conductivity, Density, Duration, HeatFlux, Length, Mm, MoistureFlux, Temperature,
    Transmittance, WaterAbsorption,
};
use thermal::FacadeWeather;
use working::{Faults, Halt, Sheet};

use super::economy::{MINERAL_HEAT, bare, board, system};
use super::{Said, climate, encode, origins, parse};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// The air layer that resists vapour as much as the film inside and outside does (common practice, no source).
const FILM_INSIDE_M: f64 = 0.008;
const FILM_OUTSIDE_M: f64 = 0.004;

/// How long a wet wall takes to dry.
///
/// # Errors
/// Every fault of the request at once, names that are not there among them; beside a branch that is not there, those that lie in none.
pub fn drying(
    wire: &v1::DryingRequest,
    snapshot: &Snapshot,
    halt: Halt<'_>,
) -> Result<v1::DryingResponse, Refused> {
    let (branch, unknown) = super::branch(snapshot, &wire.branch)?;
    let mut faults = Faults::new();
    let job = parse::drying(wire, branch, &mut faults);
    if let Some(unknown) = unknown {
        return Err(beside(unknown, &job, snapshot, faults));
    }
    let air = air(&job, snapshot, &mut faults);
    let mut hygric = HygricUsed::default();
    let candidates = candidates(wire, &job, branch, &mut hygric, &mut faults)?;
    let (Some(air), true) = (air, faults.is_empty()) else {
        return Err(super::refused(faults));
    };
    let task = DryingTask {
        dry: Dry::Humidity(job.dry_humidity),
        longest: Duration::from_days(365.0 * job.years),
        every: Duration::from_days((365.0 * job.years / 200.0).max(1.0)),
    };
    let (climate, accuracy) = (&air.climate, &air.accuracy);
    let found = moisture_transport::drying_unless(&candidates, climate, &task, accuracy, halt);
    let found = found.map_err(|faults| parse::reworded(faults, ""))?;
    let found = found.ok_or(Refused::DeadlineExceeded)?;
    let mut sheet = Sheet::new();
    for (candidate, one) in candidates.iter().zip(&found.candidates) {
        moisture_transport::record(&mut sheet, candidate, one);
    }
    sheet.retell(|origin| origins::of_drying(origin, wire));
    let mut said = Said::without_catalogue(parse::include(wire.include.as_ref()), sheet, snapshot);
    said.provenance = encode::provenance(&said.sheet.documents(), Some(branch), snapshot.rules());
    tell(wire, &job, &mut said);
    air.tell(wire, &mut said);
    hygric.tell(&job.hygric, branch, &mut said);
    said.draw("drying.svg", "Drying of the wet layer", || {
        drying_plot(&plot(&found))
    });
    Ok(encode::drying(wire, &found, said))
}

/// What is wrong whichever branch was meant. Materials and systems lie in branches, climates do not.
fn beside(unknown: Refused, job: &parse::DryingJob, snapshot: &Snapshot, found: Faults) -> Refused {
    let mut faults = Faults::new();
    let found = found.into_list().into_iter();
    faults.extend(found.filter(|fault| fault.reason != "UNKNOWN_NAME"));
    air(job, snapshot, &mut faults);
    super::join(Some(unknown), faults)
}

/// The articles of the candidates with hygric data of the catalogue, and those without.
#[derive(Default)]
struct HygricUsed {
    known: BTreeSet<String>,
    assumed: BTreeSet<String>,
}

impl HygricUsed {
    /// The hygric data of an article, remembered either way.
    fn of<'a>(
        &mut self,
        article: &str,
        key: Option<&String>,
        branch: &'a Assortment,
    ) -> Option<&'a Hygric> {
        let found = key.and_then(|key| branch.hygrics.get(key));
        match found {
            Some(hygric) => self.known.insert(hygric.article.key.clone()),
            None => self.assumed.insert(article.to_owned()),
        };
        found
    }

    fn tell(&self, of_layers: &[String], branch: &Assortment, said: &mut Said) {
        let keys: BTreeSet<&String> = self.known.iter().chain(of_layers).collect();
        let told = keys.into_iter().filter_map(|key| {
            let hygric = branch.hygrics.get(bare(key))?;
            Some(format!("{key} ({})", hygric.article.source))
        });
        let told: Vec<String> = told.collect();
        if !told.is_empty() {
            said.caution(
                "HYGRIC_DATA_UNVERIFIED",
                "",
                format!(
                    "Water contents and absorption are those of generic materials in the catalogue: {}. They are not verified; a measurement of the masonry stands above them.",
                    told.join(", ")
                ),
            );
        }
        if !self.assumed.is_empty() {
            let list: Vec<&str> = self.assumed.iter().map(String::as_str).collect();
            said.caution(
                "HYGRIC_DATA_ASSUMED",
                "candidates",
                format!(
                    "The catalogue has no hygric data for {}: boards are taken to hold next to no water; base coat and finish to hold 200 kg/m3 at free saturation and 25 kg/m3 at 80 %, and to draw 0.005 kg/(m2.s0.5) (common practice, no source).",
                    list.join(", ")
                ),
            );
        }
    }
}

fn tell(wire: &v1::DryingRequest, job: &parse::DryingJob, said: &mut Said) {
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
        said.assume("years", format!("{} years at most", job.years));
    }
    said.assume(
        "layers",
        "water already in the pores spreads at a tenth of the diffusivity of rain drawn in (common practice, no source)",
    );
}

/// The air on both sides, and how finely it is followed.
struct Air<'a> {
    climate: Climate,
    accuracy: Accuracy,
    /// The facade and what falls on it, where the weather is hourly.
    facade: Option<(&'a parse::FacadeJob, FacadeWeather)>,
}

/// The air on both sides; nothing where there is a fault.
fn air<'a>(job: &'a parse::DryingJob, snapshot: &Snapshot, faults: &mut Faults) -> Option<Air<'a>> {
    match &job.climate {
        parse::Swung::Faulty => None,
        parse::Swung::Year(key) => match climate(snapshot, "climate", key) {
            Ok(months) => Some(Air {
                climate: year(months, job),
                accuracy: Accuracy::seasons(),
                facade: None,
            }),
            Err(unknown) => {
                faults.extend(unknown.faults().to_vec());
                None
            }
        },
        parse::Swung::Hourly(on) => {
            let weather = thermal::on_facade(&on.weather, &on.exposure);
            Some(Air {
                climate: hours(on, &weather, job),
                accuracy: Accuracy::climate(),
                facade: Some((on, weather)),
            })
        }
    }
}

impl Air<'_> {
    fn tell(&self, wire: &v1::DryingRequest, said: &mut Said) {
        let Some((on, weather)) = &self.facade else {
            said.caution(
                "CLIMATE_SWINGS",
                "climate",
                "Temperature and humidity swing once a year between the coldest and the warmest month; there is neither sun nor rain in it. Hourly weather (`weather`) has both.",
            );
            return;
        };
        let count = weather.hours.len();
        let text = format!(
            "{count} hours of weather at {}, repeated: on a facade that looks to {} degrees fall {:.0} kWh/m2 of sun and {:.0} kg/m2 of driving rain a year. Heat radiated to the sky is not counted.",
            on.weather.place,
            on.exposure.facing_degrees,
            weather.sun_kwh_per_m2(),
            weather.rain_kg_per_m2(),
        );
        said.note("WEATHER_ON_FACADE", "weather", text);
        for (missing, code, what) in [
            (
                weather.without_sun,
                "WEATHER_WITHOUT_SUN",
                "radiation; they count as dark",
            ),
            (
                weather.without_rain,
                "WEATHER_WITHOUT_RAIN",
                "rain, or wind while it rains; they count as dry, so that the wall may stay wetter than is told here",
            ),
        ] {
            if missing > 0 {
                let text = format!("{missing} of {count} hours of the weather are without {what}.");
                said.caution(code, "weather.epw_text", text);
            }
        }
        let told = wire.weather.as_ref();
        let mut assume = |field: &str, given: Option<f64>, text: &str| {
            if given.is_none() {
                let text = format!("{text} (common practice, no source)");
                said.assume(&format!("weather.{field}"), text);
            }
        };
        let get = |of: fn(&v1::FacadeWeather) -> Option<f64>| told.and_then(of);
        let absorbed = get(|w| w.absorbed_sun_share);
        assume("absorbed_sun_share", absorbed, "0.4, a light colour");
        let exposed = get(|w| w.rain_exposure_share);
        let half = "0.5 of the wind-driven rain in the open";
        assume("rain_exposure_share", exposed, half);
        let held = get(|w| w.held_rain_share);
        assume("held_rain_share", held, "0.7, the rest splashes off");
        let ground = get(|w| w.ground_reflection_share);
        assume("ground_reflection_share", ground, "0.2");
    }
}

/// Hourly weather from the first hour of the start month, with rooms that swing once a year.
fn hours(on: &parse::FacadeJob, facade: &FacadeWeather, job: &parse::DryingJob) -> Climate {
    let weather = &on.weather;
    let count = weather.hours.len();
    let first = weather
        .hours
        .iter()
        .position(|h| usize::from(h.month) == job.start_month)
        .unwrap_or(0);
    let coldest = coldest_and_warmest(&thermal::monthly(weather, "weather")).0;
    let rooms = &job.rooms;
    let hour = |step: usize| {
        let i = (first + step) % count.max(1);
        let (outside, on_wall) = (weather.hours.get(i)?, facade.hours.get(i)?);
        let turn = i as f64 / count as f64 - (coldest as f64 + 0.5) / 12.0;
        let summer = 0.5 - 0.5 * (2.0 * std::f64::consts::PI * turn).cos();
        let between = |winter: f64, of_summer: f64| winter + (of_summer - winter) * summer;
        Some(Hour {
            outside_temperature: outside.temperature,
            outside_humidity: outside.humidity.clamp(0.01, 1.0),
            sun: on_wall.sun,
            rain: on_wall.rain,
            inside_temperature: Temperature::from_celsius(between(
                rooms.winter_celsius,
                rooms.summer_celsius,
            )),
            inside_humidity: between(rooms.winter_humidity_share, rooms.summer_humidity_share),
        })
    };
    Climate::Hourly((0..count).filter_map(hour).collect())
}

/// The coldest and the warmest month, by their place.
fn coldest_and_warmest(months: &thermal::Climate) -> (usize, usize) {
    let mean = |i: usize| months.months.get(i).map_or(0.0, |m| m.outside.as_celsius());
    let mut order: Vec<usize> = (0..months.months.len()).collect();
    order.sort_by(|&a, &b| mean(a).total_cmp(&mean(b)));
    let coldest = order.first().copied().unwrap_or(0);
    (coldest, order.last().copied().unwrap_or(6))
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
    let (coldest, warmest) = coldest_and_warmest(months);
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
    hygric: &mut HygricUsed,
    faults: &mut Faults,
) -> Result<Vec<Candidate>, Refused> {
    let mut list = Vec::new();
    for (i, asked) in wire.candidates.iter().enumerate().take(20) {
        let path = format!("candidates[{i}]");
        let system = match system(branch, &format!("{path}.system"), &asked.system) {
            Ok(system) => system,
            Err(refused) => {
                faults.extend(refused.faults().to_vec());
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
        let of_board = hygric.of(&board.article.key, board.hygric.as_ref(), branch);
        layers.push(Layer {
            thickness: thickness.to_length(),
            material: board_material(board, of_board),
            start: Start::Humidity(0.8),
        });
        layers.extend(coats(branch, system, hygric));
        let (absorbed_sun, held_rain) = match &job.climate {
            parse::Swung::Hourly(on) => (on.absorbed_sun, on.held_rain),
            _ => (0.0, 0.0),
        };
        let air_inside = FILM_INSIDE_M + job.inner_coating.as_m();
        list.push(Candidate {
            name: format!("{} {} mm", system.article.name, asked.board_thickness_mm),
            wall: Wall {
                layers,
                inside: Face::Film(film(8.0, air_inside)),
                outside: Face::Film(Film {
                    absorbed_sun,
                    held_rain,
                    ..film(20.0, FILM_OUTSIDE_M)
                }),
                start: Temperature::from_celsius(15.0),
                air: AirPermeability::ByTemperature,
            },
            wet_layer: job.wet_layer,
        });
    }
    Ok(list)
}

/// A film without sun and rain.
fn film(heat: f64, air_layer_m: f64) -> Film {
    Film {
        heat_transfer: Transmittance::from_w_per_m2k(heat),
        vapour_air_layer: Length::from_m(air_layer_m),
        absorbed_sun: 0.0,
        held_rain: 0.0,
    }
}

/// Sorption and liquid by the hygric data of the catalogue.
fn of_catalogue(hygric: &Hygric) -> (Sorption, Liquid) {
    let sorption = Sorption::Capillary {
        free_saturation: hygric.free_saturation,
        at_80: hygric.water_at_80,
    };
    let liquid = if hygric.water_absorption > WaterAbsorption::ZERO {
        Liquid::ByAbsorption {
            coefficient: hygric.water_absorption,
            redistribution: parse::REDISTRIBUTION,
        }
    } else {
        Liquid::None
    };
    (sorption, liquid)
}

/// The board with its hygric data, or as one that holds next to no water.
fn board_material(board: &material::Board, hygric: Option<&Hygric>) -> Material {
    let point = |(humidity, water): (f64, f64)| SorptionPoint {
        humidity,
        water: Density::from_kg_per_m3(water),
    };
    let next_to_none = || {
        let points = [(0.0, 0.0), (0.9, 0.5), (1.0, 100.0)].map(point).to_vec();
        (Sorption::Table { points }, Liquid::None)
    };
    let (sorption, liquid) = hygric.map_or_else(next_to_none, of_catalogue);
    Material {
        name: board.insulant.clone(),
        conductivity: board.conductivity,
        conductivity_by_water: hygric.map_or(0.0, |h| h.conductivity_by_water),
        density: board.density,
        specific_heat: board.specific_heat,
        vapour: VapourResistance::Constant {
            factor: board.vapour_resistance_factor,
        },
        sorption,
        liquid,
    }
}

/// A coat's values of heat and vapour.
struct Coat<'a> {
    name: &'a str,
    thickness: Length,
    conductivity: Conductivity,
    density: Density,
    factor: f64,
}

impl Coat<'_> {
    /// The coat with its hygric data, or with usual ones.
    fn layer(&self, hygric: Option<&Hygric>) -> Layer {
        let usual = || {
            let sorption = Sorption::Capillary {
                free_saturation: Density::from_kg_per_m3(200.0),
                at_80: Density::from_kg_per_m3(25.0),
            };
            let liquid = Liquid::ByAbsorption {
                coefficient: WaterAbsorption::from_kg_per_m2_root_s(0.005),
                redistribution: parse::REDISTRIBUTION,
            };
            (sorption, liquid)
        };
        let (sorption, liquid) = hygric.map_or_else(usual, of_catalogue);
        Layer {
            thickness: self.thickness,
            start: Start::Humidity(0.8),
            material: Material {
                name: self.name.to_owned(),
                conductivity: self.conductivity,
                conductivity_by_water: hygric.map_or(0.0, |h| h.conductivity_by_water),
                density: self.density,
                specific_heat: MINERAL_HEAT,
                vapour: VapourResistance::Constant {
                    factor: self.factor,
                },
                sorption,
                liquid,
            },
        }
    }
}

/// Base coat and finish.
fn coats(branch: &Assortment, system: &System, hygric: &mut HygricUsed) -> Vec<Layer> {
    let mut layers = Vec::new();
    if let Some(m) = branch.mortars.get(bare(&system.base_coat_mortar)) {
        let coat = Coat {
            name: "base coat",
            thickness: system.base_coat_thickness,
            conductivity: m.conductivity,
            density: m.density,
            factor: m.vapour_resistance_factor,
        };
        layers.push(coat.layer(hygric.of(&m.article.key, m.hygric.as_ref(), branch)));
    }
    let finish = system.finishes.first();
    if let Some(f) = finish.and_then(|key| branch.finishes.get(bare(key))) {
        let coat = Coat {
            name: "finish",
            thickness: f.thickness,
            conductivity: f.conductivity,
            density: f.density,
            factor: f.vapour_resistance_factor,
        };
        layers.push(coat.layer(hygric.of(&f.article.key, f.hygric.as_ref(), branch)));
    }
    layers
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
