//! Climates, humidity classes and limits of condensate as plain data, and what can be wrong with them.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{AreaMass, Duration, Temperature, VapourPressure};
use working::{Fault, Faults, Standing};

use crate::record::under;
use crate::validate::within;

/// The months of a year.
pub const MONTHS: usize = 12;
/// The names of the months, January first.
pub const MONTH_NAMES: [&str; MONTHS] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];
/// The days of the months of a common year.
pub const MONTH_DAYS: [f64; MONTHS] = [
    31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0,
];

/// The moisture of the outside air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutsideHumidity {
    /// Relative humidity, 0 to 1. Below 0 degC many files mean it over water while the curve is over ice; where the
    /// vapour pressure itself is known, give that.
    Relative(f64),
    /// The mean vapour pressure.
    Pressure(VapourPressure),
}

/// One month outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Month {
    /// The mean temperature.
    pub outside: Temperature,
    /// The moisture of the air.
    pub humidity: OutsideHumidity,
    /// The length of the month.
    pub length: Duration,
}

/// A climate of twelve months.
#[derive(Clone, Debug, PartialEq)]
pub struct Climate {
    /// A short key.
    pub id: String,
    /// What the reader calls it.
    pub name: String,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub standing: Standing,
    /// The field of the request that it stands for, for faults; empty where it comes from the catalogue.
    pub path: String,
    /// Twelve months, January first.
    pub months: Vec<Month>,
}

/// One humidity class of rooms.
#[derive(Clone, Debug, PartialEq)]
pub struct HumidityClass {
    /// A short key.
    pub id: String,
    /// What rooms it is for.
    pub rooms: String,
    /// The internal vapour excess at 0 degC outside and below; the upper limit of the class.
    pub excess: VapourPressure,
    /// The outside temperature from which there is no excess.
    pub none_from: Temperature,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub standing: Standing,
}

/// The moisture of the inside air.
#[derive(Clone, Debug, PartialEq)]
pub enum InsideHumidity {
    /// By a humidity class, with the standard's margin.
    Class(HumidityClass),
    /// A relative humidity, 0 to 1, the same all year.
    Relative(f64),
    /// A relative humidity for each of twelve months.
    Monthly(Vec<f64>),
}

/// The air inside.
#[derive(Clone, Debug, PartialEq)]
pub struct Inside {
    /// One temperature for all year, or one for each of twelve months.
    pub temperatures: Vec<Temperature>,
    /// Its moisture.
    pub humidity: InsideHumidity,
    /// The field of the request, for faults.
    pub path: String,
}

impl Inside {
    /// The temperature of a month, 0 for January.
    pub fn temperature(&self, month: usize) -> Temperature {
        let only = self.temperatures.first().copied().unwrap_or_default();
        self.temperatures.get(month).copied().unwrap_or(only)
    }
}

/// What a limit of condensate holds for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CondensateAt {
    /// Any plane, all planes together.
    AnyPlane,
    /// Planes between materials that do not take up water by capillarity.
    NonCapillaryContact,
}

/// A national limit of the moisture that may gather.
#[derive(Clone, Debug, PartialEq)]
pub struct CondensateLimit {
    /// A short key.
    pub id: String,
    /// The country by its ISO 3166 code.
    pub country: String,
    /// The act or standard with its edition.
    pub act: String,
    /// What it holds for.
    pub at: CondensateAt,
    /// The most that may gather.
    pub value: AreaMass,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub standing: Standing,
}

/// Whether a climate and the air inside can be calculated with.
///
/// # Errors
/// Every fault with its field: not twelve months, temperatures beyond -60 to 60 degC, humidity beyond 0 to 1, months of no length.
pub fn validate_climate(climate: &Climate, inside: &Inside) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let path = if climate.path.is_empty() {
        format!("climate[{}]", climate.id)
    } else {
        climate.path.clone()
    };
    let months = under(&path, "months");
    if climate.months.len() != MONTHS {
        let found = format!("{} months", climate.months.len());
        faults.add(
            months.as_str(),
            "NOT_TWELVE_MONTHS",
            found,
            "twelve months, January first",
        );
    }
    for (index, month) in climate.months.iter().take(MONTHS).enumerate() {
        let at = |field: &str| format!("{months}[{index}].{field}");
        within(
            &mut faults,
            &at("outside_celsius"),
            month.outside.as_celsius(),
            (-60.0, 60.0),
            "degC",
        );
        within(
            &mut faults,
            &at("days"),
            month.length.as_days(),
            (1.0, 366.0),
            "days",
        );
        match month.humidity {
            OutsideHumidity::Relative(phi) => {
                within(&mut faults, &at("relative_humidity"), phi, (0.0, 1.0), "");
            }
            OutsideHumidity::Pressure(p) => {
                within(
                    &mut faults,
                    &at("vapour_pressure_pa"),
                    p.as_pa(),
                    (0.0, 10_000.0),
                    "Pa",
                );
            }
        }
    }
    check_inside(inside, &mut faults);
    faults.or(())
}

fn check_inside(inside: &Inside, faults: &mut Faults) {
    let path = if inside.path.is_empty() {
        "inside"
    } else {
        &inside.path
    };
    let at = |field: &str| under(path, field);
    if inside.temperatures.len() != 1 && inside.temperatures.len() != MONTHS {
        let found = format!("{} temperatures", inside.temperatures.len());
        faults.add(
            at("temperatures"),
            "NOT_TWELVE_MONTHS",
            found,
            "one temperature, or twelve",
        );
    }
    for (index, temperature) in inside.temperatures.iter().take(MONTHS).enumerate() {
        let path = at(&format!("temperatures[{index}]"));
        within(
            faults,
            &path,
            temperature.as_celsius(),
            (-30.0, 60.0),
            "degC",
        );
    }
    match &inside.humidity {
        InsideHumidity::Class(class) => {
            within(
                faults,
                &at("class.excess_pa"),
                class.excess.as_pa(),
                (0.0, 5000.0),
                "Pa",
            );
            within(
                faults,
                &at("class.none_from_celsius"),
                class.none_from.as_celsius(),
                (1.0, 60.0),
                "degC",
            );
        }
        InsideHumidity::Relative(phi) => {
            within(faults, &at("relative_humidity"), *phi, (0.0, 1.0), "");
        }
        InsideHumidity::Monthly(list) => {
            if list.len() != MONTHS {
                let found = format!("{} humidities", list.len());
                faults.add(
                    at("relative_humidity"),
                    "NOT_TWELVE_MONTHS",
                    found,
                    "twelve relative humidities",
                );
            }
            for (index, phi) in list.iter().take(MONTHS).enumerate() {
                within(
                    faults,
                    &at(&format!("relative_humidity[{index}]")),
                    *phi,
                    (0.0, 1.0),
                    "",
                );
            }
        }
    }
}
