//! The four calls that run the straight line, as one job of the domain.

use ::estimate::{
    Bonding, ClimateChoice, Include, Request, RuleCosts, ThicknessChoice, USUAL_INDOOR, WindSite,
};
use api::v1;
use facade::{Assumption, Building};
use quantity::{
    Area, Decimal, Length, Mm, Temperature, ThermalResistance, Transmittance, WindSpeed,
};
use working::{Fault, Faults};

use super::field::{choice, text};
use super::survey;

/// A request in the domain's terms, with the branch whose catalogue it is to be resolved in.
#[derive(Clone, Debug)]
pub struct Job {
    /// The branch; empty for the generic catalogue.
    pub branch: String,
    /// The job itself.
    pub request: Request,
    /// How its building was told.
    pub told: Told,
}

/// How a request tells its building.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// By a full survey, or not at all.
    Surveyed,
    /// By the short form, which was expanded to a building.
    Short,
}

impl Told {
    fn of(survey: Option<&Survey<'_>>) -> Self {
        match survey {
            Some(Survey::Short(_)) => Self::Short,
            _ => Self::Surveyed,
        }
    }
    /// Faults by the fields that the request has: those of a building that a short form was expanded to are the form's.
    pub fn named(self, mut faults: Vec<Fault>) -> Vec<Fault> {
        if self == Self::Short {
            let of_building = |f: &Fault| f.path == "building" || f.path.starts_with("building.");
            for fault in faults.iter_mut().filter(|f| of_building(f)) {
                fault.path = String::from("short");
            }
        }
        faults
    }
}

/// A request with faults: every one, and the job as far as it could be read, so that its names can still be looked up.
#[derive(Clone, Debug)]
pub struct Unsound {
    /// The job, with something that stands in for what was not told.
    pub job: Job,
    /// Every fault of its values.
    pub faults: Vec<Fault>,
}

impl Unsound {
    /// The faults together with those found when names were looked up, without the names that only stand in.
    pub fn with(self, names: Vec<Fault>) -> Vec<Fault> {
        beside(self.faults, names)
    }
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
    bonding_method: i32,
    base_coat_courses_mm: &'a [f64],
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
pub fn estimate(wire: &v1::EstimateRequest) -> Result<Job, Box<Unsound>> {
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
        bonding_method: wire.bonding_method,
        base_coat_courses_mm: &wire.base_coat_courses_mm,
        tax_share: &wire.tax_share,
        include: wire.include.as_ref(),
    })
}

/// Setting-out and quantities.
///
/// # Errors
/// Every fault of the request.
pub fn take_off(wire: &v1::TakeOffRequest) -> Result<Job, Box<Unsound>> {
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
        reflection_index_percent: wire.reflection_index_percent,
        measurement: &wire.measurement,
        layout_rules: &wire.layout_rules,
        search_budget_steps: wire.search_budget_steps,
        site_temperature: wire.site_temperature.as_ref(),
        bonding_method: wire.bonding_method,
        base_coat_courses_mm: &wire.base_coat_courses_mm,
        tax_share: &wire.tax_share,
        include: wire.include.as_ref(),
    })
}

/// Thickness, transmittance, moisture.
///
/// # Errors
/// Every fault of the request.
pub fn assess(wire: &v1::AssessRequest) -> Result<Job, Box<Unsound>> {
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
        bonding_method: 0,
        base_coat_courses_mm: &[],
        tax_share: "",
        include: wire.include.as_ref(),
    })
}

/// Wind, anchors, bond.
///
/// # Errors
/// Every fault of the request.
pub fn design(wire: &v1::DesignRequest) -> Result<Job, Box<Unsound>> {
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
        bonding_method: 0,
        base_coat_courses_mm: &[],
        tax_share: "",
        include: wire.include.as_ref(),
    })
}

/// What is taken where a request tells nothing.
mod unsaid {
    pub const NATIONAL_SET: &str = "en-recommended";
    pub const TERRAIN: &str = "II";
    pub const BASIC_VELOCITY_M_PER_S: f64 = 27.5;
    pub const CLIMATE: &str = "k1";
    pub const HUMIDITY_CLASS: &str = "iso-13788-3";
    pub const MEASUREMENT: &str = "din-18345";
}

/// A job that is being read: its faults and what is assumed for it.
struct Reading {
    faults: Faults,
    assumptions: Vec<Assumption>,
}

impl Reading {
    fn assume(&mut self, path: &str, text: impl Into<String>) {
        self.assumptions.push(Assumption {
            path: path.to_owned(),
            text: text.into(),
        });
    }

    /// A key of the rule data, or the usual one, which is then told as an assumption.
    fn rule_set(&mut self, path: &str, told: &str, usual: &str, what: &str) -> String {
        if told.is_empty() {
            self.assume(
                path,
                format!("the {what} `{usual}`, because the request names none"),
            );
            return usual.to_owned();
        }
        text(path, told, &mut self.faults)
    }
}

fn job(wire: &Fields<'_>) -> Result<Job, Box<Unsound>> {
    let mut reading = Reading {
        faults: Faults::new(),
        assumptions: Vec::new(),
    };
    let branch = text("branch", wire.branch, &mut reading.faults);
    let building = surveyed(wire.survey.as_ref(), &mut reading);
    let request = Request {
        reference: text("reference", wire.reference, &mut reading.faults),
        building,
        system: text("system", wire.system, &mut reading.faults),
        thickness: thickness(wire.thickness, &mut reading.faults),
        wind: wind(wire, &mut reading),
        climate: climate(wire.climate, &mut reading),
        country: text("country", wire.country, &mut reading.faults),
        finish: text("finish", wire.finish, &mut reading.faults),
        reflection_index: wire.reflection_index_percent,
        measurement: measurement(wire, &mut reading),
        layout_rules: text("layout_rules", wire.layout_rules, &mut reading.faults),
        search_budget: wire.search_budget_steps,
        rule_costs: if wire.include.is_some_and(|i| i.rule_costs) {
            RuleCosts::Report
        } else {
            RuleCosts::Skip
        },
        site_temperature: wire.site_temperature.map(|t| {
            let celsius = Temperature::from_celsius;
            (celsius(t.least_celsius), celsius(t.greatest_celsius))
        }),
        bonding: bonding_method(wire.bonding_method, &mut reading.faults),
        base_coat_courses: wire
            .base_coat_courses_mm
            .iter()
            .map(|mm| Length::from_mm(*mm))
            .collect(),
        tax_share: tax_share(wire.tax_share, &mut reading.faults),
        include: wire.include.map_or_else(Include::default, |i| Include {
            setting_out: i.setting_out,
            working: i.working,
            drawings: i.drawings,
        }),
        assumptions: reading.assumptions,
    };
    let told = Told::of(wire.survey.as_ref());
    let values = ::estimate::check(&request).err().unwrap_or_default();
    let faults = beside(reading.faults.into_list(), told.named(values));
    let job = Job {
        branch,
        request,
        told,
    };
    if faults.is_empty() {
        Ok(job)
    } else {
        Err(Box::new(Unsound { job, faults }))
    }
}

/// Whether a fault only comes of something that others say was not told.
fn blamed(own: &[Fault], fault: &Fault) -> bool {
    own.iter().any(|o| {
        let beyond = fault.path.strip_prefix(o.path.as_str());
        let within = beyond.is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
        // Either the fault lies within what was not told, or what was not told is one field of what the fault speaks of. An item of a list
        // lies where it lies, whatever was not told of it.
        let outer = o.path.rsplit_once('.').map(|(outer, _)| outer);
        let outer = outer.filter(|outer| !outer.ends_with(']'));
        within || outer == Some(fault.path.as_str())
    })
}

/// Faults with those that were found after them, without what only comes of them.
fn beside(own: Vec<Fault>, later: Vec<Fault>) -> Vec<Fault> {
    let later = later.into_iter();
    let later: Vec<Fault> = later.filter(|f| !blamed(&own, f)).collect();
    let mut all = Faults::new();
    all.extend(own);
    all.extend(later);
    all.into_list()
}

fn surveyed(wire: Option<&Survey<'_>>, reading: &mut Reading) -> Building {
    match wire {
        None => {
            let expected = "a full survey in `building`, or the short form in `short`";
            reading
                .faults
                .add("building", "MISSING", "nothing", expected);
            survey::stand_in()
        }
        Some(Survey::Building(wire)) => survey::building(wire, &mut reading.faults),
        Some(Survey::Short(form)) => match survey::short_form(form).expand() {
            Ok((building, assumed)) => {
                reading.assumptions.extend(assumed);
                building
            }
            Err(found) => {
                reading.faults.extend(found);
                survey::stand_in()
            }
        },
    }
}

fn thickness(wire: Option<&v1::Thickness>, faults: &mut Faults) -> ThicknessChoice {
    match wire.and_then(|t| t.choice.as_ref()) {
        None => {
            let expected = "a thickness in `board_thickness_mm`, or a target in `transmittance_at_most_w_per_m2k`, `resistance_at_least_m2k_per_w` or `limit`";
            faults.add("thickness", "MISSING", "nothing", expected);
            ThicknessChoice::Given(Mm(100))
        }
        Some(v1::thickness::Choice::BoardThicknessMm(mm)) => ThicknessChoice::Given(Mm(*mm)),
        Some(v1::thickness::Choice::TransmittanceAtMostWPerM2k(u)) => {
            ThicknessChoice::TransmittanceAtMost(Transmittance::from_w_per_m2k(*u))
        }
        Some(v1::thickness::Choice::ResistanceAtLeastM2kPerW(r)) => {
            ThicknessChoice::ResistanceAtLeast(ThermalResistance::from_m2k_per_w(*r))
        }
        Some(v1::thickness::Choice::Limit(limit)) => {
            ThicknessChoice::Limit(text("thickness.limit", limit, faults))
        }
    }
}

/// The wind that nearly every request leaves as it is, told as assumed where it does.
fn assume_usual_wind(wire: Option<&v1::Wind>, reading: &mut Reading) {
    let usual = usual_wind();
    if wire.is_none_or(|w| w.national_set.is_empty()) {
        let set = usual.national_set;
        let text = format!("the wind parameter set `{set}`, because the request names none");
        reading.assume("wind.national_set", text);
    }
    if wire.is_none_or(|w| w.orography_factor.is_none()) {
        let text = format!(
            "{}, flat ground: on a hill, a ridge or an escarpment the wind is stronger",
            usual.orography_factor
        );
        reading.assume("wind.orography_factor", text);
    }
    if wire.is_none_or(|w| w.loaded_area_m2.is_none()) {
        let area = usual.loaded_area.as_m2();
        let text = format!("{area} m2 for one fixing, on the safe side");
        reading.assume("wind.loaded_area_m2", text);
    }
}

fn wind(wire: &Fields<'_>, reading: &mut Reading) -> WindSite {
    let short = matches!(wire.survey, Some(Survey::Short(_)));
    let Some(wire) = wire.wind else {
        if short {
            reading.assume(
                "wind",
                format!(
                    "basic wind velocity {} m/s, terrain category {}, flat ground (common practice, no source); state the site's own wind before anchors are ordered",
                    unsaid::BASIC_VELOCITY_M_PER_S,
                    unsaid::TERRAIN
                ),
            );
        } else {
            let expected = "the wind at the site";
            reading.faults.add("wind", "MISSING", "nothing", expected);
        }
        assume_usual_wind(None, reading);
        return usual_wind();
    };
    if wire.basic_velocity_m_per_s.is_none() && wire.zone.is_empty() {
        reading.faults.add(
            "wind.basic_velocity_m_per_s",
            "MISSING",
            "nothing",
            "a basic wind velocity, or a wind zone of the national set in `zone`",
        );
    }
    if wire.terrain.is_empty() {
        let expected = "a terrain category of the national set, such as `II`";
        reading
            .faults
            .add("wind.terrain", "MISSING", "nothing", expected);
    }
    let set = text("wind.national_set", &wire.national_set, &mut reading.faults);
    assume_usual_wind(Some(wire), reading);
    let usual = usual_wind();
    WindSite {
        national_set: if set.is_empty() {
            usual.national_set
        } else {
            set
        },
        basic_velocity: wire.basic_velocity_m_per_s.map(WindSpeed::from_m_per_s),
        zone: text("wind.zone", &wire.zone, &mut reading.faults),
        terrain: text("wind.terrain", &wire.terrain, &mut reading.faults),
        altitude: wire.altitude_m.map(Length::from_m),
        orography_factor: wire.orography_factor.unwrap_or(usual.orography_factor),
        loaded_area: wire.loaded_area_m2.map_or(usual.loaded_area, Area::from_m2),
    }
}

fn usual_wind() -> WindSite {
    WindSite {
        national_set: unsaid::NATIONAL_SET.to_owned(),
        basic_velocity: Some(WindSpeed::from_m_per_s(unsaid::BASIC_VELOCITY_M_PER_S)),
        zone: String::new(),
        terrain: unsaid::TERRAIN.to_owned(),
        altitude: None,
        orography_factor: 1.0,
        loaded_area: Area::from_m2(1.0),
    }
}

fn climate(wire: Option<&v1::Climate>, reading: &mut Reading) -> ClimateChoice {
    let nothing = v1::Climate::default();
    let wire = wire.unwrap_or(&nothing);
    let climate = reading.rule_set("climate.climate", &wire.climate, unsaid::CLIMATE, "climate");
    if wire.indoor_celsius.is_none() {
        let usual = USUAL_INDOOR.as_celsius();
        reading.assume("climate.indoor_celsius", format!("{usual} degC indoors"));
    }
    let indoor = wire.indoor_celsius.map(Temperature::from_celsius);
    ClimateChoice {
        climate,
        indoor: indoor.unwrap_or(USUAL_INDOOR),
        humidity_class: reading.rule_set(
            "climate.humidity_class",
            &wire.humidity_class,
            unsaid::HUMIDITY_CLASS,
            "humidity class",
        ),
    }
}

fn measurement(wire: &Fields<'_>, reading: &mut Reading) -> String {
    if wire.measurement.is_empty() {
        // The answer names the set beside the billed area, so that no assumption needs to be told.
        return unsaid::MEASUREMENT.to_owned();
    }
    text("measurement", wire.measurement, &mut reading.faults)
}

fn bonding_method(wire: i32, faults: &mut Faults) -> Option<Bonding> {
    match choice("bonding_method", wire, faults)? {
        v1::BondingMethod::Unspecified => None,
        v1::BondingMethod::BeadAndDab => Some(Bonding::BeadAndDab),
        v1::BondingMethod::FullBed => Some(Bonding::FullBed),
    }
}

/// The most characters of a share of tax.
const MOST_TAX_DIGITS: usize = 12;

fn tax_share(wire: &str, faults: &mut Faults) -> Decimal {
    if wire.is_empty() {
        return Decimal::ZERO;
    }
    let plain = wire.len() <= MOST_TAX_DIGITS
        && wire
            .bytes()
            .all(|b| b.is_ascii_digit() || b == b'.' || b == b'-')
        && wire.ends_with(|c: char| c.is_ascii_digit());
    wire.parse().ok().filter(|_| plain).unwrap_or_else(|| {
        let count = wire.chars().count();
        let found = if count <= MOST_TAX_DIGITS {
            format!("`{wire}`")
        } else {
            let begin: String = wire.chars().take(MOST_TAX_DIGITS).collect();
            format!("{count} characters, `{begin}` and more")
        };
        let expected = format!(
            "a plain decimal share of at most {MOST_TAX_DIGITS} characters, such as `0.20`"
        );
        faults.add("tax_share", "NOT_A_DECIMAL", found, expected);
        Decimal::ZERO
    })
}
