//! A question of drying: the wet wall, the weather on it.

use api::v1;
use material::{Assortment, Hygric};
use quantity::{Conductivity, Density, Length, SpecificHeat, WaterAbsorption};
use thermal::Exposure;
use thermal::epw::Weather;
use working::Faults;

use super::{text, weather};
use crate::refused::Refused;

/// The most systems that one drying compares, and the most layers of its masonry.
const MOST_CANDIDATES: usize = 8;
const MOST_WET_LAYERS: usize = 10;
/// The years that a drying is followed.
const YEARS: (f64, f64) = (0.1, 10.0);

/// A question of drying.
pub struct DryingJob {
    pub layers: Vec<moisture_transport::Layer>,
    /// The hygric data of the catalogue that the layers take.
    pub hygric: Vec<String>,
    pub wet_layer: usize,
    pub start_month: usize,
    pub rooms: v1::DryingRooms,
    pub inner_coating: Length,
    pub dry_humidity: f64,
    pub years: f64,
    pub climate: Swung,
}

/// The climate on the wall.
pub enum Swung {
    /// A year that swings between the coldest and the warmest month of a climate of the rule data.
    Year(String),
    /// Hourly weather.
    Hourly(Box<FacadeJob>),
    /// Not told; there is a fault.
    Faulty,
}

/// Hourly weather and how it strikes the facade.
pub struct FacadeJob {
    pub weather: Weather,
    pub exposure: Exposure,
    pub absorbed_sun: f64,
    pub held_rain: f64,
}

/// The most years times candidates with hourly weather: each takes half a second and more.
const MOST_HOURLY_YEARS: f64 = 24.0;

/// Checks the values of one layer of the masonry; `within` takes a path, a value, its range and its unit.
fn hygric_values(
    i: usize,
    layer: &v1::HygricLayer,
    within: &mut impl FnMut(&str, f64, (f64, f64), &str),
) {
    let mut at = |field: &str, value: f64, range: (f64, f64), unit: &str| {
        within(&format!("layers[{i}].{field}"), value, range, unit);
    };
    at("thickness_mm", layer.thickness_mm, (1.0, 2000.0), " mm");
    at(
        "conductivity_w_per_mk",
        layer.conductivity_w_per_mk,
        (0.01, 10.0),
        " W/(m.K)",
    );
    at(
        "conductivity_by_water",
        layer.conductivity_by_water,
        (0.0, 0.1),
        "",
    );
    at(
        "density_kg_per_m3",
        layer.density_kg_per_m3,
        (100.0, 5000.0),
        " kg/m3",
    );
    at(
        "specific_heat_j_per_kgk",
        layer.specific_heat_j_per_kgk,
        (100.0, 5000.0),
        " J/(kg.K)",
    );
    at("vapour_factor_dry", layer.vapour_factor_dry, (1.0, 1e5), "");
    at("vapour_factor_wet", layer.vapour_factor_wet, (1.0, 1e5), "");
    let free = layer.free_saturation_kg_per_m3;
    at("free_saturation_kg_per_m3", free, (1.0, 1000.0), " kg/m3");
    let at_80 = layer.water_at_80_kg_per_m3;
    at(
        "water_at_80_kg_per_m3",
        at_80,
        (0.01, (0.79 * free).max(0.02)),
        " kg/m3",
    );
    at(
        "water_absorption_kg_per_m2s05",
        layer.water_absorption_kg_per_m2s05,
        (0.0, 5.0),
        "",
    );
    if let Some(water) = layer.start_water_kg_per_m3 {
        at(
            "start_water_kg_per_m3",
            water,
            (0.01, (0.99 * free).max(0.02)),
            " kg/m3",
        );
    }
}

/// A question of drying with the faults that its engine does not find; its systems and its climate are resolved by name.
pub fn drying(wire: &v1::DryingRequest, assortment: &Assortment, faults: &mut Faults) -> DryingJob {
    text("reference", &wire.reference, faults);
    let (layers, hygric) = filled(&wire.layers, assortment, faults);
    let climate = climate(wire, faults);
    let mut within = |path: &str, value: f64, (low, high): (f64, f64), unit: &str| {
        if !(low..=high).contains(&value) {
            let expected = format!("{low} to {high}{unit}");
            faults.add(path, "OUT_OF_RANGE", format!("{value}"), expected);
        }
    };
    let rooms = rooms(wire, &mut within);
    let hourly = wire.weather.is_some();
    let years = wire.years.unwrap_or(if hourly { 3.0 } else { 5.0 });
    within("years", years, YEARS, " years");
    let coating = wire.inner_coating_sd_m.unwrap_or(0.1);
    within("inner_coating_sd_m", coating, (0.0, 100.0), " m");
    let dry_humidity = wire.dry_humidity_share.unwrap_or(0.8);
    within("dry_humidity_share", dry_humidity, (0.3, 0.95), "");
    within(
        "start_month",
        f64::from(wire.start_month),
        (1.0, 12.0),
        ", January being 1",
    );
    let (count, asked) = (wire.layers.len(), wire.candidates.len());
    within(
        "layers",
        count as f64,
        (1.0, MOST_WET_LAYERS as f64),
        " layers",
    );
    within(
        "candidates",
        asked as f64,
        (1.0, MOST_CANDIDATES as f64),
        " systems",
    );
    for (i, layer) in layers.iter().enumerate() {
        hygric_values(i, layer, &mut within);
    }
    if hourly && years * asked as f64 > MOST_HOURLY_YEARS {
        let found = format!("{years} years for {asked} candidates");
        let expected =
            format!("years times candidates of at most {MOST_HOURLY_YEARS} with hourly weather");
        faults.add("years", "LIMIT_EXCEEDED", found, expected);
    }
    let wet = wet_layer(wire, faults);
    for (i, layer) in layers.iter().enumerate() {
        text(&format!("layers[{i}].name"), &layer.name, faults);
    }
    DryingJob {
        layers: layers.iter().map(hygric_layer).collect(),
        hygric,
        wet_layer: wet,
        start_month: wire.start_month as usize,
        rooms,
        inner_coating: Length::from_m(coating),
        dry_humidity,
        years,
        climate,
    }
}

/// The air in the rooms, in its ranges.
fn rooms(
    wire: &v1::DryingRequest,
    within: &mut impl FnMut(&str, f64, (f64, f64), &str),
) -> v1::DryingRooms {
    let usual = v1::DryingRooms {
        winter_celsius: 20.0,
        winter_humidity_share: 0.5,
        summer_celsius: 22.0,
        summer_humidity_share: 0.6,
    };
    let rooms = wire.rooms.unwrap_or(usual);
    within(
        "rooms.winter_celsius",
        rooms.winter_celsius,
        (-10.0, 40.0),
        " degC",
    );
    within(
        "rooms.summer_celsius",
        rooms.summer_celsius,
        (-10.0, 40.0),
        " degC",
    );
    within(
        "rooms.winter_humidity_share",
        rooms.winter_humidity_share,
        (0.05, 0.98),
        "",
    );
    within(
        "rooms.summer_humidity_share",
        rooms.summer_humidity_share,
        (0.05, 0.98),
        "",
    );
    rooms
}

/// The place of the wet layer, which must be there with its water.
fn wet_layer(wire: &v1::DryingRequest, faults: &mut Faults) -> usize {
    let wet = wire.wet_layer as usize;
    let start = wire.layers.get(wet).map(|l| l.start_water_kg_per_m3);
    if start.is_none() {
        let expected = format!("a place below {}", wire.layers.len());
        faults.add("wet_layer", "UNKNOWN_LAYER", format!("{wet}"), expected);
    } else if start == Some(None) {
        let path = format!("layers[{wet}].start_water_kg_per_m3");
        faults.add(
            path,
            "MISSING",
            "nothing",
            "the water content of the wet layer",
        );
    }
    wet
}

/// The layers with what they leave to the hygric data of the catalogue, and the keys of those data.
fn filled(
    wire: &[v1::HygricLayer],
    assortment: &Assortment,
    faults: &mut Faults,
) -> (Vec<v1::HygricLayer>, Vec<String>) {
    let mut used: Vec<String> = Vec::new();
    let mut layers = Vec::new();
    for (i, layer) in wire.iter().take(MOST_WET_LAYERS).enumerate() {
        let mut layer = layer.clone();
        if layer.material.is_empty() {
            layers.push(layer);
            continue;
        }
        let key = layer.material.strip_prefix("hygric.");
        let key = key.unwrap_or(&layer.material).to_owned();
        if let Some(found) = assortment.hygrics.get(&key) {
            fill(&mut layer, found);
            if !used.contains(&found.article.key) {
                used.push(found.article.key.clone());
            }
        } else {
            let path = format!("layers[{i}].material");
            let known = assortment.hygrics.keys().map(String::as_str);
            let unknown = Refused::unknown(&path, &layer.material, known);
            faults.extend(unknown.faults().to_vec());
            // Its zeros stand for the data that are not there, and are no faults of their own.
            if let Some(any) = assortment.hygrics.values().find(|h| h.density.is_some()) {
                fill(&mut layer, any);
            }
        }
        layers.push(layer);
    }
    (layers, used)
}

/// Lays hygric data under a layer: what it says itself stands above them.
fn fill(layer: &mut v1::HygricLayer, from: &Hygric) {
    let lay = |field: &mut f64, value: Option<f64>| {
        if *field == 0.0 {
            *field = value.unwrap_or(0.0);
        }
    };
    if layer.name.is_empty() {
        layer.name.clone_from(&from.article.name);
    }
    let l = layer;
    lay(
        &mut l.conductivity_w_per_mk,
        from.conductivity.map(Conductivity::as_w_per_mk),
    );
    lay(
        &mut l.conductivity_by_water,
        Some(from.conductivity_by_water),
    );
    lay(
        &mut l.density_kg_per_m3,
        from.density.map(Density::as_kg_per_m3),
    );
    lay(
        &mut l.specific_heat_j_per_kgk,
        from.specific_heat.map(SpecificHeat::as_j_per_kgk),
    );
    lay(&mut l.vapour_factor_dry, from.vapour_factor_dry);
    lay(&mut l.vapour_factor_wet, from.vapour_factor_wet);
    let (free, at_80) = (from.free_saturation, from.water_at_80);
    lay(&mut l.free_saturation_kg_per_m3, Some(free.as_kg_per_m3()));
    lay(&mut l.water_at_80_kg_per_m3, Some(at_80.as_kg_per_m3()));
    let drawn = from.water_absorption.as_kg_per_m2_root_s();
    lay(&mut l.water_absorption_kg_per_m2s05, Some(drawn));
}

/// The climate, one way or the other.
fn climate(wire: &v1::DryingRequest, faults: &mut Faults) -> Swung {
    let Some(on) = &wire.weather else {
        if wire.climate.is_empty() {
            let expected = "`climate` or `weather`";
            faults.add("climate", "MISSING", "nothing", expected);
            return Swung::Faulty;
        }
        return Swung::Year(text("climate", &wire.climate, faults));
    };
    if !wire.climate.is_empty() {
        let expected = "only one of them";
        faults.add("climate", "DUPLICATE", "`climate` and `weather`", expected);
    }
    let mut share = |field: &str, told: Option<f64>, usual: f64| {
        let value = told.unwrap_or(usual);
        if !(0.0..=1.0).contains(&value) {
            let path = format!("weather.{field}");
            faults.add(path, "OUT_OF_RANGE", format!("{value}"), "0 to 1");
        }
        value
    };
    let absorbed_sun = share("absorbed_sun_share", on.absorbed_sun_share, 0.4);
    let rain_share = share("rain_exposure_share", on.rain_exposure_share, 0.5);
    let held_rain = share("held_rain_share", on.held_rain_share, 0.7);
    let ground = share("ground_reflection_share", on.ground_reflection_share, 0.2);
    let path = "weather.facing_degrees";
    let expected = "0 to 360 degrees from north by east";
    match on.facing_degrees {
        None => faults.add(path, "MISSING", "nothing", expected),
        Some(degrees) if !(0.0..=360.0).contains(&degrees) => {
            faults.add(path, "OUT_OF_RANGE", format!("{degrees}"), expected);
        }
        Some(_) => {}
    }
    let weather = weather::epw("weather.epw_text", &on.epw_text, faults);
    weather.map_or(Swung::Faulty, |weather| {
        Swung::Hourly(Box::new(FacadeJob {
            weather,
            exposure: Exposure {
                facing_degrees: on.facing_degrees.unwrap_or(180.0),
                ground_reflection: ground,
                rain_share,
            },
            absorbed_sun,
            held_rain,
        }))
    })
}

/// The share of the diffusivity that is left for water already in the pores (common practice, no source).
pub const REDISTRIBUTION: f64 = 0.1;

fn hygric_layer(wire: &v1::HygricLayer) -> moisture_transport::Layer {
    use moisture_transport::{Layer, Liquid, Material, Sorption, Start, VapourResistance};
    let absorption = wire.water_absorption_kg_per_m2s05;
    Layer {
        thickness: Length::from_mm(wire.thickness_mm),
        start: wire
            .start_water_kg_per_m3
            .map_or(Start::Humidity(0.8), |water| {
                Start::Water(Density::from_kg_per_m3(water))
            }),
        material: Material {
            name: wire.name.clone(),
            conductivity: Conductivity::from_w_per_mk(wire.conductivity_w_per_mk),
            conductivity_by_water: wire.conductivity_by_water,
            density: Density::from_kg_per_m3(wire.density_kg_per_m3),
            specific_heat: SpecificHeat::from_j_per_kgk(wire.specific_heat_j_per_kgk),
            vapour: VapourResistance::DryWet {
                dry: wire.vapour_factor_dry,
                wet: wire.vapour_factor_wet,
            },
            sorption: Sorption::Capillary {
                free_saturation: Density::from_kg_per_m3(wire.free_saturation_kg_per_m3),
                at_80: Density::from_kg_per_m3(wire.water_at_80_kg_per_m3),
            },
            liquid: if absorption > 0.0 {
                Liquid::ByAbsorption {
                    coefficient: WaterAbsorption::from_kg_per_m2_root_s(absorption),
                    redistribution: REDISTRIBUTION,
                }
            } else {
                Liquid::None
            },
        },
    }
}
