//! Every fault of a wall and its climate, at once.

use alloc::format;
use alloc::string::String;

use quantity::{Duration, Quantity};
use working::Faults;

use crate::curve::saturation;
use crate::material::{Layer, Liquid, Material, Sorption, Start, VapourResistance};
use crate::wall::{Climate, Face, Hour, Wall};

/// The most layers of a wall.
pub const MOST_LAYERS: usize = 30;
/// The most hours of a climate.
pub const MOST_HOURS: usize = 1_000_000;
/// The longest time that is calculated, in years of 365 days.
pub const MOST_YEARS: f64 = 200.0;

/// Adds a fault where `number` is not in the closed range; NaN never is.
fn within(faults: &mut Faults, path: String, number: f64, (low, high): (f64, f64), unit: &str) {
    if !(low..=high).contains(&number) {
        let reason = if number.is_finite() {
            "OUT_OF_RANGE"
        } else {
            "NOT_FINITE"
        };
        faults.add(
            path,
            reason,
            format!("{number}"),
            format!("{low} to {high} {unit}"),
        );
    }
}

/// Adds every fault of a wall.
pub(crate) fn check_wall(wall: &Wall, faults: &mut Faults) {
    let count = wall.layers.len();
    if !(1..=MOST_LAYERS).contains(&count) {
        faults.add(
            "layers",
            "COUNT",
            format!("{count}"),
            format!("1 to {MOST_LAYERS} layers"),
        );
    }
    for (i, layer) in wall.layers.iter().take(MOST_LAYERS).enumerate() {
        check_layer(&format!("layers[{i}]"), layer, faults);
    }
    for (path, face) in [("inside", &wall.inside), ("outside", &wall.outside)] {
        let Face::Film(film) = face else {
            continue;
        };
        let heat = film.heat_transfer.as_w_per_m2k();
        within(
            faults,
            format!("{path}.heat_transfer_w_per_m2k"),
            heat,
            (0.1, 1000.0),
            "W/(m2.K)",
        );
        let air = film.vapour_air_layer.as_m();
        within(
            faults,
            format!("{path}.vapour_air_layer_m"),
            air,
            (1e-5, 10_000.0),
            "m",
        );
        within(
            faults,
            format!("{path}.absorbed_sun"),
            film.absorbed_sun,
            (0.0, 1.0),
            "",
        );
        within(
            faults,
            format!("{path}.held_rain"),
            film.held_rain,
            (0.0, 1.0),
            "",
        );
    }
    let start = wall.start.as_celsius();
    within(
        faults,
        String::from("start_temperature_c"),
        start,
        (-50.0, 80.0),
        "degrees Celsius",
    );
}

fn check_layer(path: &str, layer: &Layer, faults: &mut Faults) {
    let thickness = layer.thickness.as_m();
    within(
        faults,
        format!("{path}.thickness_m"),
        thickness,
        (1e-4, 100.0),
        "m",
    );
    let before = faults.clone();
    check_material(&format!("{path}.material"), &layer.material, faults);
    match layer.start {
        Start::Humidity(h) => {
            within(
                faults,
                format!("{path}.start_humidity"),
                h,
                (0.001, 1.0),
                "",
            );
        }
        // Only a sound sorption says how much water is too much.
        Start::Water(w) if before.clone().into_list().len() == faults.clone().into_list().len() => {
            let full = saturation(&layer.material.sorption);
            within(
                faults,
                format!("{path}.start_water_kg_per_m3"),
                w.si(),
                (0.0, full),
                "kg/m3",
            );
        }
        Start::Water(_) => {}
    }
}

fn check_material(path: &str, material: &Material, faults: &mut Faults) {
    let lambda = material.conductivity.as_w_per_mk();
    within(
        faults,
        format!("{path}.conductivity_w_per_mk"),
        lambda,
        (1e-3, 500.0),
        "W/(m.K)",
    );
    let by_water = material.conductivity_by_water;
    within(
        faults,
        format!("{path}.conductivity_by_water"),
        by_water,
        (0.0, 1.0),
        "W/(m.K) for 1 kg/m3",
    );
    let density = material.density.as_kg_per_m3();
    within(
        faults,
        format!("{path}.density_kg_per_m3"),
        density,
        (1.0, 20_000.0),
        "kg/m3",
    );
    let heat = material.specific_heat.as_j_per_kgk();
    within(
        faults,
        format!("{path}.specific_heat_j_per_kgk"),
        heat,
        (50.0, 10_000.0),
        "J/(kg.K)",
    );
    let factor = |faults: &mut Faults, name: &str, number: f64| {
        within(faults, format!("{path}.{name}"), number, (1.0, 1e8), "");
    };
    match material.vapour {
        VapourResistance::Constant { factor: mu }
        | VapourResistance::FillingPores { factor: mu } => {
            factor(faults, "vapour_resistance_factor", mu);
        }
        VapourResistance::DryWet { dry, wet } => {
            factor(faults, "vapour_resistance_factor_dry", dry);
            factor(faults, "vapour_resistance_factor_wet", wet);
        }
    }
    check_sorption(path, &material.sorption, faults);
    check_liquid(path, &material.liquid, faults);
    let needs = matches!(material.vapour, VapourResistance::FillingPores { .. })
        || matches!(
            material.liquid,
            Liquid::ByAbsorption { .. } | Liquid::ByConductivity { .. }
        );
    if needs && matches!(material.sorption, Sorption::None) {
        faults.add(
            format!("{path}.sorption"),
            "MISSING",
            "none",
            "a sorption, since its liquid or vapour data rest on a saturation",
        );
    }
}

fn check_sorption(path: &str, sorption: &Sorption, faults: &mut Faults) {
    let path = format!("{path}.sorption");
    let water = (0.01, 2000.0);
    match sorption {
        Sorption::None => {}
        Sorption::BySuction {
            saturation,
            a_per_pa,
            n,
            m,
        } => {
            within(
                faults,
                format!("{path}.saturation_kg_per_m3"),
                saturation.si(),
                water,
                "kg/m3",
            );
            within(
                faults,
                format!("{path}.a_per_pa"),
                *a_per_pa,
                (1e-12, 1.0),
                "1/Pa",
            );
            within(faults, format!("{path}.n"), *n, (0.1, 20.0), "");
            within(faults, format!("{path}.m"), *m, (0.01, 10.0), "");
        }
        Sorption::Logarithmic { saturation, a, n } => {
            within(
                faults,
                format!("{path}.saturation_kg_per_m3"),
                saturation.si(),
                water,
                "kg/m3",
            );
            within(faults, format!("{path}.a"), *a, (1e-6, 100.0), "");
            within(faults, format!("{path}.n"), *n, (0.01, 10.0), "");
        }
        Sorption::Capillary {
            free_saturation,
            at_80,
        } => {
            let free = free_saturation.si();
            within(
                faults,
                format!("{path}.free_saturation_kg_per_m3"),
                free,
                water,
                "kg/m3",
            );
            let below = (0.001, 0.79 * free);
            within(
                faults,
                format!("{path}.at_80_kg_per_m3"),
                at_80.si(),
                below,
                "kg/m3, below 79 % of free saturation",
            );
        }
        Sorption::Table { points } => check_table(&path, points, faults),
    }
}

fn check_table(path: &str, points: &[crate::material::SorptionPoint], faults: &mut Faults) {
    if !(2..=1000).contains(&points.len()) {
        faults.add(
            format!("{path}.points"),
            "COUNT",
            format!("{}", points.len()),
            "2 to 1000 points",
        );
        return;
    }
    for (i, point) in points.iter().enumerate() {
        within(
            faults,
            format!("{path}.points[{i}].humidity"),
            point.humidity,
            (0.0, 1.0),
            "",
        );
        let water = point.water.si();
        within(
            faults,
            format!("{path}.points[{i}].water_kg_per_m3"),
            water,
            (0.0, 2000.0),
            "kg/m3",
        );
    }
    for (i, pair) in points.windows(2).enumerate() {
        if !(pair[1].humidity > pair[0].humidity && pair[1].water >= pair[0].water) {
            faults.add(
                format!("{path}.points[{}]", i + 1),
                "NOT_RISING",
                format!("{} holding {}", pair[1].humidity, pair[1].water.si()),
                "a greater humidity than the point before, holding no less water",
            );
        }
    }
    for (i, expected) in [(0, 0.0), (points.len() - 1, 1.0)] {
        if points.get(i).is_some_and(|p| p.humidity != expected) {
            faults.add(
                format!("{path}.points[{i}].humidity"),
                "OUT_OF_RANGE",
                points
                    .get(i)
                    .map_or_else(String::new, |p| format!("{}", p.humidity)),
                format!("{expected}, so that the curve covers every humidity"),
            );
        }
    }
}

fn check_liquid(path: &str, liquid: &Liquid, faults: &mut Faults) {
    match liquid {
        Liquid::None => {}
        Liquid::ByConductivity {
            coefficients,
            around,
        } => {
            if !(1..=12).contains(&coefficients.len()) {
                faults.add(
                    format!("{path}.liquid.coefficients"),
                    "COUNT",
                    format!("{}", coefficients.len()),
                    "1 to 12 coefficients",
                );
            }
            for (i, &c) in coefficients.iter().enumerate() {
                within(
                    faults,
                    format!("{path}.liquid.coefficients[{i}]"),
                    c,
                    (-100.0, 100.0),
                    "",
                );
            }
            within(
                faults,
                format!("{path}.liquid.around_kg_per_m3"),
                around.si(),
                (0.0, 2000.0),
                "kg/m3",
            );
        }
        Liquid::ByDiffusivity(d) => {
            within(
                faults,
                format!("{path}.liquid.diffusivity_m2_per_s"),
                d.si(),
                (0.0, 1e-3),
                "m2/s",
            );
        }
        Liquid::ByAbsorption {
            coefficient,
            redistribution,
        } => {
            let a = coefficient.si();
            within(
                faults,
                format!("{path}.liquid.coefficient"),
                a,
                (0.0, 10.0),
                "kg/(m2.s0.5)",
            );
            within(
                faults,
                format!("{path}.liquid.redistribution"),
                *redistribution,
                (1e-4, 1.0),
                "",
            );
        }
    }
}

/// Adds every fault of a climate.
pub(crate) fn check_climate(climate: &Climate, faults: &mut Faults) {
    match climate {
        Climate::Constant(hour) => check_hour("climate", hour, faults),
        Climate::Hourly(hours) => {
            if !(1..=MOST_HOURS).contains(&hours.len()) {
                faults.add(
                    "climate.hours",
                    "COUNT",
                    format!("{}", hours.len()),
                    format!("1 to {MOST_HOURS} hours"),
                );
                return;
            }
            for (i, hour) in hours.iter().enumerate() {
                if !sound(hour) {
                    check_hour(&format!("climate.hours[{i}]"), hour, faults);
                }
            }
        }
        Climate::Yearly(swing) => {
            check_hour("climate.coldest", &swing.coldest, faults);
            check_hour("climate.warmest", &swing.warmest, faults);
            let after = swing.coldest_after.as_days();
            within(
                faults,
                String::from("climate.coldest_after_days"),
                after,
                (-366.0, 366.0),
                "days",
            );
        }
    }
}

/// Whether an hour has no fault, without making any text.
fn sound(hour: &Hour) -> bool {
    let mut faults = Faults::new();
    // Most hours are sound, and for those no path is ever written.
    let numbers = [
        (hour.outside_temperature.as_celsius(), -70.0, 70.0),
        (hour.inside_temperature.as_celsius(), -70.0, 70.0),
        (hour.outside_humidity, 0.0, 1.0),
        (hour.inside_humidity, 0.0, 1.0),
        (hour.sun.as_w_per_m2(), -500.0, 1500.0),
        (hour.rain.as_kg_per_m2s(), 0.0, 0.1),
    ];
    if numbers
        .iter()
        .all(|(n, low, high)| (*low..=*high).contains(n))
    {
        return true;
    }
    check_hour("", hour, &mut faults);
    faults.is_empty()
}

fn check_hour(path: &str, hour: &Hour, faults: &mut Faults) {
    let celsius = (-70.0, 70.0);
    for (name, number, range, unit) in [
        (
            "outside_temperature_c",
            hour.outside_temperature.as_celsius(),
            celsius,
            "degrees Celsius",
        ),
        (
            "inside_temperature_c",
            hour.inside_temperature.as_celsius(),
            celsius,
            "degrees Celsius",
        ),
        ("outside_humidity", hour.outside_humidity, (0.0, 1.0), ""),
        ("inside_humidity", hour.inside_humidity, (0.0, 1.0), ""),
        (
            "sun_w_per_m2",
            hour.sun.as_w_per_m2(),
            (-500.0, 1500.0),
            "W/m2",
        ),
        (
            "rain_kg_per_m2s",
            hour.rain.as_kg_per_m2s(),
            (0.0, 0.1),
            "kg/(m2.s)",
        ),
    ] {
        within(faults, format!("{path}.{name}"), number, range, unit);
    }
}

/// Adds a fault for a time that cannot be calculated.
pub(crate) fn check_span(path: &str, span: Duration, faults: &mut Faults) {
    let days = span.as_days();
    within(
        faults,
        String::from(path),
        days,
        (1e-3, MOST_YEARS * 365.0),
        "days",
    );
}
