//! The four calls that run the straight line, as one job of the domain.

use api::v1;
use estimate::{ClimateChoice, Include, Request, ThicknessChoice, WindSite};
use facade::{Assumption, Building};
use quantity::{
    Area, Decimal, Length, Mm, Temperature, ThermalResistance, Transmittance, WindSpeed,
};
use working::{Fault, Faults};

use super::field::{Range, key, number, text};
use super::survey;

/// The largest step budget that a caller may ask for. It bounds the time of a call.
pub const MOST_SEARCH_STEPS: u64 = 20_000_000;

/// The thickest board that a request may name.
const THICKEST_BOARD: Mm = Mm(1000);

/// A request in the domain's terms, with the branch whose catalogue it is to be resolved in.
#[derive(Clone, Debug)]
pub struct Job {
    /// The branch; empty for the generic catalogue.
    pub branch: String,
    /// The job itself.
    pub request: Request,
}

enum Survey<'a> {
    Building(&'a v1::Building),
    Short(&'a v1::ShortForm),
}

/// What the four requests have in common, and what only some of them ask for, in the order of the fields.
struct Fields<'a> {
    reference: &'a str,
    branch: &'a str,
    survey: Option<Survey<'a>>,
    system: &'a str,
    thickness: Option<&'a v1::Thickness>,
    wind: Option<&'a v1::Wind>,
    climate: Option<&'a v1::Climate>,
    country: &'a str,
    finish: &'a str,
    reflection_index_percent: Option<f64>,
    measurement: &'a str,
    layout_rules: &'a str,
    search_budget_steps: u64,
    site_temperature: Option<&'a v1::SiteTemperature>,
    tax_share: &'a str,
    include: Option<&'a v1::Include>,
}

macro_rules! survey_of {
    ($module:ident, $wire:expr) => {
        match &$wire.survey {
            Some(v1::$module::Survey::Building(b)) => Some(Survey::Building(b)),
            Some(v1::$module::Survey::Short(s)) => Some(Survey::Short(s)),
            None => None,
        }
    };
}

/// The whole job.
///
/// # Errors
/// Every fault of the request.
pub fn estimate(wire: &v1::EstimateRequest) -> Result<Job, Vec<Fault>> {
    job(&Fields {
        reference: &wire.reference,
        branch: &wire.branch,
        survey: survey_of!(estimate_request, wire),
        system: &wire.system,
        thickness: wire.thickness.as_ref(),
        wind: wire.wind.as_ref(),
        climate: wire.climate.as_ref(),
        country: &wire.country,
        finish: &wire.finish,
        reflection_index_percent: wire.reflection_index_percent,
        measurement: &wire.measurement,
        layout_rules: &wire.layout_rules,
        search_budget_steps: wire.search_budget_steps,
        site_temperature: wire.site_temperature.as_ref(),
        tax_share: &wire.tax_share,
        include: wire.include.as_ref(),
    })
}

/// Setting-out and quantities.
///
/// # Errors
/// Every fault of the request.
pub fn take_off(wire: &v1::TakeOffRequest) -> Result<Job, Vec<Fault>> {
    job(&Fields {
        reference: &wire.reference,
        branch: &wire.branch,
        survey: survey_of!(take_off_request, wire),
        system: &wire.system,
        thickness: wire.thickness.as_ref(),
        wind: wire.wind.as_ref(),
        climate: None,
        country: &wire.country,
        finish: &wire.finish,
        reflection_index_percent: None,
        measurement: &wire.measurement,
        layout_rules: &wire.layout_rules,
        search_budget_steps: wire.search_budget_steps,
        site_temperature: None,
        tax_share: &wire.tax_share,
        include: wire.include.as_ref(),
    })
}

/// Thickness, transmittance, moisture.
///
/// # Errors
/// Every fault of the request.
pub fn assess(wire: &v1::AssessRequest) -> Result<Job, Vec<Fault>> {
    job(&Fields {
        reference: &wire.reference,
        branch: &wire.branch,
        survey: survey_of!(assess_request, wire),
        system: &wire.system,
        thickness: wire.thickness.as_ref(),
        wind: wire.wind.as_ref(),
        climate: wire.climate.as_ref(),
        country: &wire.country,
        finish: &wire.finish,
        reflection_index_percent: wire.reflection_index_percent,
        measurement: "",
        layout_rules: "",
        search_budget_steps: 0,
        site_temperature: None,
        tax_share: "",
        include: wire.include.as_ref(),
    })
}

/// Wind, anchors, bond.
///
/// # Errors
/// Every fault of the request.
pub fn design(wire: &v1::DesignRequest) -> Result<Job, Vec<Fault>> {
    job(&Fields {
        reference: &wire.reference,
        branch: &wire.branch,
        survey: survey_of!(design_request, wire),
        system: &wire.system,
        thickness: wire.thickness.as_ref(),
        wind: wire.wind.as_ref(),
        climate: None,
        country: &wire.country,
        finish: "",
        reflection_index_percent: None,
        measurement: "",
        layout_rules: &wire.layout_rules,
        search_budget_steps: wire.search_budget_steps,
        site_temperature: None,
        tax_share: "",
        include: wire.include.as_ref(),
    })
}

fn job(wire: &Fields<'_>) -> Result<Job, Vec<Fault>> {
    let mut faults = Faults::new();
    let reference = text("reference", wire.reference, &mut faults);
    let branch = text("branch", wire.branch, &mut faults);
    let (building, mut assumptions) = surveyed(wire.survey.as_ref(), &mut faults);
    let system = key(
        "system",
        wire.system,
        "the key of a system in the catalogue",
        &mut faults,
    );
    let thickness = thickness(wire.thickness, &mut faults);
    let wind = match (wire.wind, &wire.survey) {
        (None, Some(Survey::Short(_))) => assumed_wind(&mut assumptions),
        (given, _) => wind(given, &mut faults),
    };
    let climate = climate(wire.climate, &mut faults);
    let country = country(wire.country, &mut faults);
    let finish = text("finish", wire.finish, &mut faults);
    let percent = Range {
        least: 0.0,
        most: 100.0,
        unit: "percent",
    };
    let reflection_index = wire
        .reflection_index_percent
        .map(|p| number("reflection_index_percent", p, percent, &mut faults));
    let measurement = text("measurement", wire.measurement, &mut faults);
    let layout_rules = text("layout_rules", wire.layout_rules, &mut faults);
    if wire.search_budget_steps > MOST_SEARCH_STEPS {
        faults.add(
            "search_budget_steps",
            "LIMIT_EXCEEDED",
            format!("{}", wire.search_budget_steps),
            format!("at most {MOST_SEARCH_STEPS}"),
        );
    }
    let site_temperature = site_temperature(wire.site_temperature, &mut faults);
    let tax_share = tax_share(wire.tax_share, &mut faults);
    let include = wire.include.map_or_else(Include::default, |i| Include {
        setting_out: i.setting_out,
        working: i.working,
        drawings: i.drawings,
    });
    let building = faults.or(building)?;
    Ok(Job {
        branch,
        request: Request {
            reference,
            building,
            assumptions,
            system,
            thickness,
            wind,
            climate,
            country,
            finish,
            reflection_index,
            measurement,
            layout_rules,
            search_budget: wire.search_budget_steps,
            site_temperature,
            tax_share,
            include,
        },
    })
}

/// The building of either survey, checked whole, so that its faults come back beside those of the other fields.
fn surveyed(wire: Option<&Survey<'_>>, faults: &mut Faults) -> (Building, Vec<Assumption>) {
    let none = || (survey::building(&v1::Building::default(), &mut Faults::new()), Vec::new());
    match wire {
        None => {
            faults.add(
                "building",
                "MISSING",
                "nothing",
                "a full survey in `building`, or the short form in `short`",
            );
            none()
        }
        Some(Survey::Short(form)) => survey::short_form(form).expand().unwrap_or_else(|found| {
            faults.extend(found);
            none()
        }),
        Some(Survey::Building(wire)) => {
            let mut own = Faults::new();
            let building = survey::building(wire, &mut own);
            let own = own.into_list();
            if let Err(found) = facade::check(&building) {
                // A stand-in for a field that has a fault of its own must not be blamed a second time.
                let blamed = |f: &Fault| {
                    own.iter().any(|o| {
                        let beyond = o.path.strip_prefix(&f.path);
                        beyond.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
                    })
                };
                faults.extend(found.into_iter().filter(|f| !blamed(f)));
            }
            faults.extend(own);
            (building, Vec::new())
        }
    }
}

fn thickness(wire: Option<&v1::Thickness>, faults: &mut Faults) -> ThicknessChoice {
    let expected = "a board thickness in `given_mm`, or a target in `u_max_w_per_m2k`, `r_min_m2k_per_w` or `limit`";
    match wire.and_then(|t| t.choice.as_ref()) {
        None => {
            faults.add("thickness", "MISSING", "nothing", expected);
            ThicknessChoice::Given(Mm::ZERO)
        }
        Some(v1::thickness::Choice::GivenMm(mm)) => {
            if *mm < 1 || *mm > THICKEST_BOARD.0 {
                faults.add(
                    "thickness.given_mm",
                    "OUT_OF_RANGE",
                    format!("{mm} mm"),
                    format!("1 to {THICKEST_BOARD}"),
                );
            }
            ThicknessChoice::Given(Mm(*mm))
        }
        Some(v1::thickness::Choice::UMaxWPerM2k(u)) => {
            let range = Range {
                least: 0.01,
                most: 10.0,
                unit: "W/(m2.K)",
            };
            let u = number("thickness.u_max_w_per_m2k", *u, range, faults);
            ThicknessChoice::TransmittanceAtMost(Transmittance::from_w_per_m2k(u))
        }
        Some(v1::thickness::Choice::RMinM2kPerW(r)) => {
            let range = Range {
                least: 0.1,
                most: 100.0,
                unit: "m2K/W",
            };
            let r = number("thickness.r_min_m2k_per_w", *r, range, faults);
            ThicknessChoice::ResistanceAtLeast(ThermalResistance::from_m2k_per_w(r))
        }
        Some(v1::thickness::Choice::Limit(limit)) => ThicknessChoice::Limit(key(
            "thickness.limit",
            limit,
            "the key of a limit in the rule data",
            faults,
        )),
    }
}

/// The recommended parameter set of EN 1991-1-4, used where a request names none.
const NATIONAL_SET: &str = "en-recommended";

/// What stands for the wind where a short form tells none: common practice, no source.
fn assumed_wind(assumptions: &mut Vec<Assumption>) -> WindSite {
    assumptions.push(Assumption {
        path: "wind".to_owned(),
        text: "basic wind velocity 27.5 m/s, terrain category II, flat ground (common practice, no source); state the site's own wind before anchors are ordered".to_owned(),
    });
    WindSite {
        national_set: NATIONAL_SET.to_owned(),
        basic_velocity: Some(WindSpeed::from_m_per_s(27.5)),
        zone: String::new(),
        terrain: "II".to_owned(),
        altitude: None,
        orography_factor: 1.0,
        loaded_area: Area::from_m2(1.0),
    }
}

fn wind(wire: Option<&v1::Wind>, faults: &mut Faults) -> WindSite {
    let Some(wire) = wire else {
        faults.add("wind", "MISSING", "nothing", "the wind at the site");
        return assumed_wind(&mut Vec::new());
    };
    if wire.basic_velocity_m_per_s.is_none() && wire.zone.is_empty() {
        faults.add(
            "wind.basic_velocity_m_per_s",
            "MISSING",
            "nothing",
            "a basic wind velocity, or a wind zone of the national set in `zone`",
        );
    }
    let mut within = |field: &str, value: f64, least: f64, most: f64, unit: &'static str| {
        number(&format!("wind.{field}"), value, Range { least, most, unit }, faults)
    };
    let speed = wire.basic_velocity_m_per_s;
    let basic_velocity = speed.map(|v| WindSpeed::from_m_per_s(within("basic_velocity_m_per_s", v, 5.0, 100.0, "m/s")));
    let altitude = wire.altitude_m.map(|h| Length::from_m(within("altitude_m", h, -500.0, 6000.0, "m")));
    let orography_factor = within("orography_factor", wire.orography_factor.unwrap_or(1.0), 1.0, 3.0, "");
    let loaded_area = within("loaded_area_m2", wire.loaded_area_m2.unwrap_or(1.0), 0.01, 1000.0, "m2");
    let set = text("wind.national_set", &wire.national_set, faults);
    WindSite {
        national_set: if set.is_empty() { NATIONAL_SET.to_owned() } else { set },
        basic_velocity,
        zone: text("wind.zone", &wire.zone, faults),
        terrain: key("wind.terrain", &wire.terrain, "a terrain category of the national set, such as `II`", faults),
        altitude,
        orography_factor,
        loaded_area: Area::from_m2(loaded_area),
    }
}

fn climate(wire: Option<&v1::Climate>, faults: &mut Faults) -> ClimateChoice {
    let unsaid = v1::Climate::default();
    let wire = wire.unwrap_or(&unsaid);
    let range = Range {
        least: -20.0,
        most: 60.0,
        unit: "degrees Celsius",
    };
    let indoor = number("climate.indoor_celsius", wire.indoor_celsius.unwrap_or(20.0), range, faults);
    ClimateChoice {
        climate: text("climate.climate", &wire.climate, faults),
        indoor: Temperature::from_celsius(indoor),
        humidity_class: text("climate.humidity_class", &wire.humidity_class, faults),
    }
}

fn country(wire: &str, faults: &mut Faults) -> String {
    let code = wire.is_empty() || (wire.len() == 2 && wire.bytes().all(|b| b.is_ascii_uppercase()));
    if !code {
        faults.add(
            "country",
            "OUT_OF_RANGE",
            format!("`{}`", wire.chars().take(20).collect::<String>()),
            "two capitals by ISO 3166-1, such as `DE`, or nothing",
        );
        return String::new();
    }
    wire.to_owned()
}

fn site_temperature(
    wire: Option<&v1::SiteTemperature>,
    faults: &mut Faults,
) -> Option<(Temperature, Temperature)> {
    let wire = wire?;
    let range = Range {
        least: -60.0,
        most: 70.0,
        unit: "degrees Celsius",
    };
    let least = number("site_temperature.least_celsius", wire.least_celsius, range, faults);
    let greatest = number("site_temperature.greatest_celsius", wire.greatest_celsius, range, faults);
    if least > greatest {
        faults.add(
            "site_temperature",
            "OUT_OF_RANGE",
            format!("{least} to {greatest} degrees Celsius"),
            "a least temperature that does not exceed the greatest",
        );
    }
    Some((Temperature::from_celsius(least), Temperature::from_celsius(greatest)))
}

fn tax_share(wire: &str, faults: &mut Faults) -> Decimal {
    if wire.is_empty() {
        return Decimal::ZERO;
    }
    let plain = wire.len() <= 12
        && wire.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && wire.starts_with(|c: char| c.is_ascii_digit());
    match wire.parse::<Decimal>().ok().filter(|_| plain) {
        None => {
            let found: String = wire.chars().take(20).collect();
            faults.add(
                "tax_share",
                "NOT_A_DECIMAL",
                format!("`{found}`"),
                "a plain decimal share such as `0.20`",
            );
            Decimal::ZERO
        }
        Some(share) if share > Decimal::ONE => {
            faults.add("tax_share", "OUT_OF_RANGE", format!("{share}"), "0 to 1; 20 percent is `0.20`");
            Decimal::ZERO
        }
        Some(share) => share,
    }
}
