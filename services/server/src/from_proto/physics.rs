//! The single questions of building physics. What their engines check themselves is not checked twice; their fault paths are turned into
//! those of the wire here.

use std::collections::BTreeMap;

use ::estimate::Include;
use api::v1;
use quantity::{
    Area, Conductivity, Currency, Density, Duration, EmissionFactor, Length, LinearTransmittance,
    PointTransmittance, SpecificHeat, Temperature, ThermalResistance, Transmittance,
};
use working::{Fault, Faults};

use super::field::{choice, text, told};

mod drying;
mod wall;
pub mod weather;

pub use drying::{DryingJob, FacadeJob, REDISTRIBUTION, Swung, drying};
pub use wall::{Outside, Rooms, WallAir, in_wire_words as in_wall_words, wall};

/// What comes back beside the answer.
pub fn include(wire: Option<&v1::Include>) -> Include {
    wire.map_or_else(Include::default, |i| Include {
        setting_out: i.setting_out,
        working: i.working,
        drawings: i.drawings,
    })
}

/// The faults of an engine with the wire's paths and reasons.
pub fn reworded(faults: Vec<Fault>, prefix: &str) -> Vec<Fault> {
    let reason = |reason: &'static str| match reason {
        "EMPTY" => "MISSING",
        "COUNT" | "TOO_MANY" | "TOO_LONG" | "TOO_MANY_PATHS" => "LIMIT_EXCEEDED",
        "MU_BELOW_ONE" | "NOT_ABOVE_ZERO" | "NOT_RISING" => "OUT_OF_RANGE",
        "TWICE" => "DUPLICATE",
        "NO_SUCH_LAYER" => "UNKNOWN_LAYER",
        other => other,
    };
    let one = |fault: Fault| Fault {
        path: format!("{prefix}{}", fault.path),
        reason: reason(fault.reason),
        ..fault
    };
    faults.into_iter().map(one).collect()
}

/// The section of a bridge.
pub enum SectionChoice {
    /// A detail of the rule data.
    Detail {
        key: String,
        parameters: BTreeMap<String, f64>,
        /// The names in the order of the request.
        order: Vec<String>,
    },
    /// The caller's own.
    Own(Box<thermal_bridge::Section>),
}

/// The question of a bridge.
///
/// # Errors
/// Every fault of the request; of an own section those that a solve would find as well.
pub fn bridge(wire: &v1::BridgeRequest) -> Result<SectionChoice, Vec<Fault>> {
    let mut faults = Faults::new();
    text("reference", &wire.reference, &mut faults);
    match &wire.section {
        None => {
            faults.add("section", "MISSING", "nothing", "`detail` or `own`");
            Err(faults.into_list())
        }
        Some(v1::bridge_request::Section::Detail(detail)) => {
            let mut parameters = BTreeMap::new();
            for (i, named) in detail.parameters.iter().enumerate() {
                let path = format!("detail.parameters[{i}].name");
                let name = text(&path, &named.name, &mut faults);
                if parameters.insert(name, named.value).is_some() {
                    let found = format!("`{}` again", named.name);
                    faults.add(path, "DUPLICATE", found, "each parameter at most once");
                }
            }
            let key = text("detail.key", &detail.key, &mut faults);
            let order = detail.parameters.iter().map(|p| p.name.clone()).collect();
            faults.or(SectionChoice::Detail {
                key,
                parameters,
                order,
            })
        }
        Some(v1::bridge_request::Section::Own(own)) => own_section(own, faults),
    }
}

/// The environments of an own section, each with a name of its own.
fn own_environments(
    wire: &v1::OwnSection,
    section: &mut thermal_bridge::Section,
    faults: &mut Faults,
) {
    for (i, e) in wire.environments.iter().enumerate() {
        let path = format!("own.environments[{i}].name");
        let name = text(&path, &e.name, faults);
        if wire
            .environments
            .iter()
            .take(i)
            .any(|other| other.name == name)
        {
            faults.add(
                path,
                "DUPLICATE",
                format!("`{name}` again"),
                "each name once",
            );
        }
        let path = format!("own.environments[{i}].side");
        let side = told(&path, e.side, "inside, outside or between", faults);
        section.sides.push(match side {
            Some(v1::BridgeSide::Outside) => thermal_bridge::Side::Outside,
            Some(v1::BridgeSide::Between) => thermal_bridge::Side::Between,
            _ => thermal_bridge::Side::Inside,
        });
        section
            .model
            .environments
            .push(thermal_bridge::Environment {
                name,
                temperature: Temperature::from_celsius(e.temperature_c),
                resistance: ThermalResistance::from_m2k_per_w(e.surface_resistance_m2k_per_w),
            });
    }
}

fn own_section(wire: &v1::OwnSection, mut faults: Faults) -> Result<SectionChoice, Vec<Fault>> {
    let names: Vec<&str> = wire.environments.iter().map(|e| e.name.as_str()).collect();
    let environment = |path: String, name: &str, faults: &mut Faults| -> usize {
        let found = names.iter().position(|n| *n == name);
        if found.is_none() {
            let found = format!("`{}`", name.chars().take(80).collect::<String>());
            let expected = format!("one of {}", names.join(", "));
            faults.add(path, "UNKNOWN_ENVIRONMENT", found, expected);
        }
        found.unwrap_or_default()
    };
    let mm = Length::from_mm;
    let mut section = thermal_bridge::Section {
        model: thermal_bridge::Model::default(),
        sides: Vec::new(),
        flanks: Vec::new(),
        points: Vec::new(),
        parameters: Vec::new(),
    };
    own_environments(wire, &mut section, &mut faults);
    for (i, r) in wire.rectangles.iter().enumerate() {
        section.model.rectangles.push(thermal_bridge::Rectangle {
            name: text(&format!("own.rectangles[{i}].name"), &r.name, &mut faults),
            x0: mm(r.x0_mm),
            y0: mm(r.y0_mm),
            x1: mm(r.x1_mm),
            y1: mm(r.y1_mm),
            conductivity: Conductivity::from_w_per_mk(r.conductivity_w_per_mk),
        });
    }
    for (i, b) in wire.boundaries.iter().enumerate() {
        let contact = if b.environment.is_empty() {
            thermal_bridge::Contact::Adiabatic
        } else {
            let path = format!("own.boundaries[{i}].environment");
            thermal_bridge::Contact::Environment(environment(path, &b.environment, &mut faults))
        };
        section.model.boundaries.push(thermal_bridge::Boundary {
            from: thermal_bridge::Point::from_mm(b.from_x_mm, b.from_y_mm),
            to: thermal_bridge::Point::from_mm(b.to_x_mm, b.to_y_mm),
            contact,
        });
    }
    for (i, f) in wire.flanks.iter().enumerate() {
        let path = format!("own.flanks[{i}]");
        section.flanks.push(thermal_bridge::Flank {
            name: text(&format!("{path}.name"), &f.name, &mut faults),
            warm: environment(format!("{path}.warm"), &f.warm, &mut faults),
            cold: environment(format!("{path}.cold"), &f.cold, &mut faults),
            from: thermal_bridge::Point::from_mm(f.warm_x_mm, f.warm_y_mm),
            to: thermal_bridge::Point::from_mm(f.cold_x_mm, f.cold_y_mm),
            inner_length: mm(f.inner_length_mm),
            outer_length: mm(f.outer_length_mm),
        });
    }
    for (what, count) in [("flanks", wire.flanks.len()), ("points", wire.points.len())] {
        if count > MOST_MARKS {
            let expected = format!("at most {MOST_MARKS}");
            faults.add(
                format!("own.{what}"),
                "LIMIT_EXCEEDED",
                format!("{count}"),
                expected,
            );
        }
    }
    for (i, p) in wire.points.iter().enumerate().take(MOST_MARKS) {
        let name = text(&format!("own.points[{i}].name"), &p.name, &mut faults);
        let point = thermal_bridge::Point::from_mm(p.x_mm, p.y_mm);
        section.points.push((name, point));
    }
    if faults.is_empty() {
        return Ok(SectionChoice::Own(Box::new(section)));
    }
    // What the section itself lacks is told beside it.
    if let Err(more) = thermal_bridge::check(&section.model) {
        faults.extend(reworded(more, "own."));
    }
    Err(faults.into_list())
}

/// The most flanks, and the most points, of an own section.
const MOST_MARKS: usize = 50;
/// The most layers of a wall.
const MOST_LAYERS: usize = 30;

/// The existing layers of a wall, from inside to outside.
pub fn layers(wire: &[v1::ExistingLayer], faults: &mut Faults) -> Vec<thermal::Layer> {
    if wire.len() > MOST_LAYERS {
        let expected = format!("at most {MOST_LAYERS}");
        faults.add(
            "layers",
            "LIMIT_EXCEEDED",
            format!("{}", wire.len()),
            expected,
        );
    }
    let layer = |(i, l): (usize, &v1::ExistingLayer)| {
        let path = format!("layers[{i}]");
        let known = l.density_kg_per_m3 != 0.0 || l.specific_heat_j_per_kgk != 0.0;
        let material = thermal::Homogeneous {
            conductivity: Conductivity::from_w_per_mk(l.conductivity_w_per_mk),
            vapour: (l.vapour_resistance_factor != 0.0)
                .then_some(thermal::Vapour::Factor(l.vapour_resistance_factor)),
            storage: known.then(|| thermal::Storage {
                density: Density::from_kg_per_m3(l.density_kg_per_m3),
                specific_heat: SpecificHeat::from_j_per_kgk(l.specific_heat_j_per_kgk),
            }),
        };
        let name = text(&format!("{path}.name"), &l.name, faults);
        thermal::Layer::request(
            name,
            path,
            thermal::Role::Wall,
            Length::from_mm(l.thickness_mm),
            thermal::Body::Homogeneous(material),
        )
    };
    wire.iter()
        .take(MOST_LAYERS)
        .enumerate()
        .map(layer)
        .collect()
}

/// Surface resistances that a caller gives.
fn given_surfaces(given: v1::SurfaceResistances) -> thermal::Surfaces {
    thermal::Surfaces::Given {
        inside: ThermalResistance::from_m2k_per_w(given.inside_m2k_per_w),
        outside: ThermalResistance::from_m2k_per_w(given.outside_m2k_per_w),
        from: thermal::Source::Request("surfaces".to_owned()),
    }
}

/// The wall and the period of a swing.
///
/// # Errors
/// Every fault of the request that its engine does not find.
pub fn dynamics(wire: &v1::DynamicsRequest) -> Result<(thermal::BuildUp, Duration), Vec<Fault>> {
    let mut faults = Faults::new();
    text("reference", &wire.reference, &mut faults);
    let mut build_up = thermal::BuildUp::of("", layers(&wire.layers, &mut faults));
    if let Some(given) = &wire.surfaces {
        build_up.surfaces = given_surfaces(*given);
    }
    let period = Duration::from_hours(wire.period_hours.unwrap_or(24.0));
    faults.or((build_up, period))
}

/// The energy terms of an economic thickness, in a currency.
pub fn terms(wire: Option<&v1::EnergyTerms>, currency: Currency) -> thermal::EnergyTerms {
    let none = v1::EnergyTerms::default();
    let wire = wire.unwrap_or(&none);
    thermal::EnergyTerms {
        currency,
        price_per_kwh: wire.price_per_kwh,
        degree_time: quantity::DegreeTime::from_kelvin_days(wire.degree_days),
        efficiency: wire.efficiency,
        discount_rate: wire.discount_rate,
        price_growth: wire.price_growth,
        years: wire.years,
        from: thermal::Source::Request("terms".to_owned()),
    }
}

/// The season of a saving.
pub enum Season {
    /// Told, K d.
    DegreeDays(f64),
    /// By a climate of the rule data.
    Climate(String, thermal::DegreeRule),
    /// By hourly weather, each day or each hour by itself.
    Weather(
        Box<thermal::epw::Weather>,
        thermal::DegreeRule,
        v1::DegreeStep,
    ),
    /// By monthly means.
    Months(thermal::Climate, thermal::DegreeRule),
    /// Not told in a way that can be counted; there is a fault.
    Faulty,
}

/// A question of the saving.
pub struct SavingJob {
    pub before: thermal::Envelope,
    pub after: thermal::Envelope,
    pub season: Season,
    /// All terms but the degree time.
    pub terms: thermal::SavingTerms,
    pub ranges: Vec<thermal::InputRange>,
}

/// A question of the saving.
///
/// # Errors
/// Every fault of the request that its engine does not find.
pub fn saving(wire: &v1::SavingRequest) -> Result<SavingJob, Vec<Fault>> {
    let mut faults = Faults::new();
    text("reference", &wire.reference, &mut faults);
    let before = envelope("before", wire.before.as_ref(), &mut faults);
    let after = envelope("after", wire.after.as_ref(), &mut faults);
    let none = v1::SavingTerms::default();
    let terms = wire.terms.as_ref().unwrap_or(&none);
    let season = season(terms.season.as_ref(), &mut faults);
    let currency = Currency::from_code(&terms.currency);
    if currency.is_none() {
        let found = format!("`{}`", terms.currency.chars().take(20).collect::<String>());
        let expected = "a currency's alphabetic code such as `EUR`";
        faults.add("terms.currency", "UNKNOWN_VALUE", found, expected);
    }
    let ranges = ranges(&wire.ranges, &mut faults);
    let job = SavingJob {
        before,
        after,
        season,
        terms: thermal::SavingTerms {
            degree_time: quantity::DegreeTime::ZERO,
            efficiency: terms.efficiency,
            currency: currency.unwrap_or(Currency::EUR),
            price_per_kwh: terms.price_per_kwh,
            emission: EmissionFactor::from_kg_per_kwh(terms.emission_kg_per_kwh),
            from: thermal::Source::Request("terms".to_owned()),
        },
        ranges,
    };
    if faults.is_empty() {
        return Ok(job);
    }
    // What the engine finds is told beside it.
    let asked = thermal::SavingRequest {
        before: &job.before,
        after: &job.after,
        terms: &job.terms,
        ranges: &job.ranges,
    };
    if let Err(more) = thermal::saving(&asked, &mut working::Sheet::new()) {
        faults.extend(reworded(more, ""));
    }
    Err(faults.into_list())
}

/// The season, one way or the other.
fn season(told: Option<&v1::saving_terms::Season>, faults: &mut Faults) -> Season {
    use v1::saving_terms::Season as On;
    match told {
        Some(On::DegreeDays(days)) => Season::DegreeDays(*days),
        Some(On::Climate(on)) => {
            let limits = (on.indoor_celsius, on.limit_celsius);
            let rule = degree_rule("terms.climate", limits, faults);
            Season::Climate(text("terms.climate.key", &on.key, faults), rule)
        }
        Some(On::Weather(on)) => {
            let limits = (on.indoor_celsius, on.limit_celsius);
            let rule = degree_rule("terms.weather", limits, faults);
            let step = choice("terms.weather.step", on.step, faults);
            let step = step.unwrap_or(v1::DegreeStep::Day);
            let weather = weather::epw("terms.weather.epw_text", &on.epw_text, faults);
            weather.map_or(Season::Faulty, |w| Season::Weather(Box::new(w), rule, step))
        }
        Some(On::Months(on)) => {
            let limits = (on.indoor_celsius, on.limit_celsius);
            let rule = degree_rule("terms.months", limits, faults);
            let none = v1::MonthlyClimate::default();
            let means = on.means.as_ref().unwrap_or(&none);
            let path = "terms.months.means";
            let climate = weather::months(path, means, weather::Moisture::Unneeded, faults);
            weather::validate(&climate, faults);
            Season::Months(climate, rule)
        }
        None => {
            let expected = "`degree_days`, `climate`, `weather` or `months`";
            faults.add("terms.degree_days", "MISSING", "nothing", expected);
            Season::Faulty
        }
    }
}

/// How degree days are counted; 20 and 12 degC where nothing is told.
fn degree_rule(
    path: &str,
    (inside, limit): (Option<f64>, Option<f64>),
    faults: &mut Faults,
) -> thermal::DegreeRule {
    let mut celsius = |field: &str, value: f64| {
        if !(-50.0..=60.0).contains(&value) {
            let path = format!("{path}.{field}");
            faults.add(path, "OUT_OF_RANGE", format!("{value}"), "-50 to 60 degC");
        }
        Temperature::from_celsius(value)
    };
    thermal::DegreeRule::InsideAndLimit {
        inside: celsius("indoor_celsius", inside.unwrap_or(20.0)),
        limit: celsius("limit_celsius", limit.unwrap_or(12.0)),
    }
}

fn envelope(
    path: &str,
    wire: Option<&v1::SavingEnvelope>,
    faults: &mut Faults,
) -> thermal::Envelope {
    let none = v1::SavingEnvelope::default();
    let wire = wire.unwrap_or(&none);
    let parts = wire.planes.len() + wire.lines.len() + wire.points.len();
    if parts > MOST_PARTS {
        let expected = format!("at most {MOST_PARTS} planes, lines and points");
        faults.add(path, "LIMIT_EXCEEDED", format!("{parts}"), expected);
    }
    let mut name =
        |list: &str, i: usize, name: &str| text(&format!("{path}.{list}[{i}].name"), name, faults);
    let planes = wire.planes.iter().take(MOST_PARTS).enumerate();
    let planes = planes.map(|(i, p)| thermal::EnvelopePlane {
        name: name("planes", i, &p.name),
        area: Area::from_m2(p.area_m2),
        u: Transmittance::from_w_per_m2k(p.u_w_per_m2k),
    });
    let planes = planes.collect();
    let lines = wire.lines.iter().take(MOST_PARTS).enumerate();
    let lines = lines.map(|(i, l)| thermal::EnvelopeLine {
        name: name("lines", i, &l.name),
        length: Length::from_m(l.length_m),
        psi: LinearTransmittance::from_w_per_mk(l.psi_w_per_mk),
    });
    let lines = lines.collect();
    let points = wire.points.iter().take(MOST_PARTS).enumerate();
    let points = points.map(|(i, p)| thermal::EnvelopePoint {
        name: name("points", i, &p.name),
        number: p.number,
        chi: PointTransmittance::from_w_per_k(p.chi_w_per_k),
    });
    thermal::Envelope {
        planes,
        lines,
        points: points.collect(),
        from: thermal::Source::Request(path.to_owned()),
    }
}

/// The most parts of an envelope.
const MOST_PARTS: usize = 500;

fn ranges(wire: &[v1::SavingRange], faults: &mut Faults) -> Vec<thermal::InputRange> {
    use thermal::UncertainInput as Input;
    let mut list = Vec::new();
    for (i, range) in wire.iter().enumerate().take(20) {
        let path = format!("ranges[{i}].input");
        let input = match told(&path, range.input, "the input that is meant", faults) {
            Some(v1::SavingInput::TransmittanceBefore) => Input::TransmittanceBefore,
            Some(v1::SavingInput::TransmittanceAfter) => Input::TransmittanceAfter,
            Some(v1::SavingInput::BridgesBefore) => Input::BridgesBefore,
            Some(v1::SavingInput::BridgesAfter) => Input::BridgesAfter,
            Some(v1::SavingInput::DegreeDays) => Input::DegreeTime,
            Some(v1::SavingInput::Efficiency) => Input::Efficiency,
            Some(v1::SavingInput::Price) => Input::Price,
            Some(v1::SavingInput::Emission) => Input::Emission,
            Some(v1::SavingInput::Unspecified) | None => continue,
        };
        list.push(thermal::InputRange {
            input,
            low: range.low,
            high: range.high,
            why: text(&format!("ranges[{i}].why"), &range.why, faults),
        });
    }
    list
}
