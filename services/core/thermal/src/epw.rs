//! Hourly weather in the EPW text format, read from text to plain data.
//!
//! Header lines come first, one record an hour after them, fields parted by commas. A missing value is one that the format itself
//! marks so (99.9 for temperature, 999 for humidity and so on). Every fault comes back with its line.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::{Length, Temperature, VapourPressure, WindSpeed};
use working::{Fault, Faults};

/// One hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// The month, 1 to 12.
    pub month: u8,
    /// The day of the month, 1 to 31.
    pub day: u8,
    /// The hour that ends the record, 1 to 24.
    pub hour: u8,
    /// The dry-bulb temperature.
    pub temperature: Temperature,
    /// The relative humidity, 0 to 1.1; the formula for its meaning below 0 degC differs between files.
    pub humidity: f64,
    /// The pressure of the air, Pa; nothing where missing.
    pub air_pressure_pa: Option<f64>,
    /// Global radiation on the horizontal, W/m2.
    pub global_w_per_m2: Option<f64>,
    /// Direct radiation on a plane that faces the sun, W/m2.
    pub direct_w_per_m2: Option<f64>,
    /// Diffuse radiation on the horizontal, W/m2.
    pub diffuse_w_per_m2: Option<f64>,
    /// Where the wind comes from, degrees from north by east.
    pub wind_from_degrees: Option<f64>,
    /// The speed of the wind.
    pub wind: Option<WindSpeed>,
    /// The rain of the hour, as a depth.
    pub rain: Option<Length>,
}

impl Hour {
    /// The vapour pressure, from humidity and the saturation curve of ISO 13788.
    pub fn vapour_pressure(&self) -> VapourPressure {
        let saturation = standards::iso_13788::saturation_pa(self.temperature.as_celsius());
        VapourPressure::from_pa(self.humidity * saturation)
    }
}

/// A year of hours.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// The place as the file names it.
    pub place: String,
    /// Degrees north.
    pub latitude: f64,
    /// Degrees east.
    pub longitude: f64,
    /// Hours ahead of universal time.
    pub time_zone_hours: f64,
    /// The height above the sea.
    pub elevation: Length,
    /// 8760 or 8784 hours in order.
    pub hours: Vec<Hour>,
}

/// The most characters of a text that is read; a year of hours has about 1.7 million.
pub const LONGEST_TEXT: usize = 20_000_000;
/// The hours of a common year.
pub const HOURS: usize = 8760;
/// The hours of a leap year.
pub const LEAP_HOURS: usize = 8784;

/// Reads a text in the EPW format.
///
/// # Errors
/// Every fault with its line: no location, a line with too few fields, a number that is none or out of its range, temperature or
/// humidity missing, months out of order, not one record an hour for a whole year.
pub fn read(text: &str) -> Result<Weather, Vec<Fault>> {
    let mut faults = Faults::new();
    if text.len() > LONGEST_TEXT {
        faults.add(
            "weather",
            "TOO_LONG",
            format!("{} characters", text.len()),
            format!("at most {LONGEST_TEXT}"),
        );
        return Err(faults.into_list());
    }
    let mut weather = Weather {
        place: String::new(),
        latitude: 0.0,
        longitude: 0.0,
        time_zone_hours: 0.0,
        elevation: Length::ZERO,
        hours: Vec::with_capacity(HOURS),
    };
    let mut located = false;
    let mut last: Option<Hour> = None;
    for (index, line) in text.lines().enumerate() {
        let line = line.trim();
        let number = index + 1;
        let first = line.split(',').next().unwrap_or_default().trim();
        if line.is_empty() {
            continue;
        }
        if first.starts_with(|c: char| c.is_ascii_digit()) {
            let hour = record(number, line, &mut faults);
            if let Some(hour) = hour {
                check_order(number, last.as_ref(), &hour, &mut faults);
                weather.hours.push(hour);
            }
            // After a line that cannot be read the order starts anew, so that the fault is told once.
            last = hour;
        } else if first.eq_ignore_ascii_case("LOCATION") {
            located = true;
            location(number, line, &mut weather, &mut faults);
        } else if first.eq_ignore_ascii_case("DATA PERIODS") {
            check_periods(number, line, &mut faults);
        }
    }
    if !located {
        faults.add(
            "weather",
            "NO_LOCATION",
            "no line that begins with LOCATION",
            "the header of the format",
        );
    }
    let count = weather.hours.len();
    if faults.is_empty() && count != HOURS && count != LEAP_HOURS {
        faults.add(
            "weather",
            "NOT_A_YEAR",
            format!("{count} hours"),
            format!("{HOURS} hours, or {LEAP_HOURS} in a leap year"),
        );
    }
    faults.or(weather)
}

fn at(line: usize, field: &str) -> String {
    format!("weather.line[{line}].{field}")
}

fn parse(line: usize, field: &'static str, text: Option<&str>, faults: &mut Faults) -> Option<f64> {
    let text = text.unwrap_or_default().trim();
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Some(number),
        _ => {
            faults.add(
                at(line, field),
                "NOT_A_NUMBER",
                format!("`{}`", shortened(text)),
                "a number",
            );
            None
        }
    }
}

fn shortened(text: &str) -> String {
    text.chars().take(40).collect()
}

fn location(line: usize, text: &str, weather: &mut Weather, faults: &mut Faults) {
    let fields: Vec<&str> = text.split(',').collect();
    weather.place = fields
        .get(1)
        .map(|f| f.trim().to_string())
        .unwrap_or_default();
    let mut number = |index: usize, field: &'static str, range: (f64, f64)| {
        let found = parse(line, field, fields.get(index).copied(), faults)?;
        ranged(line, field, found, range, faults)
    };
    let latitude = number(6, "latitude", (-90.0, 90.0));
    let longitude = number(7, "longitude", (-180.0, 180.0));
    let zone = number(8, "time_zone", (-12.0, 14.0));
    let elevation = number(9, "elevation", (-1000.0, 9999.9));
    weather.latitude = latitude.unwrap_or_default();
    weather.longitude = longitude.unwrap_or_default();
    weather.time_zone_hours = zone.unwrap_or_default();
    weather.elevation = Length::from_m(elevation.unwrap_or_default());
}

fn ranged(
    line: usize,
    field: &'static str,
    number: f64,
    range: (f64, f64),
    faults: &mut Faults,
) -> Option<f64> {
    if number >= range.0 && number <= range.1 {
        return Some(number);
    }
    faults.add(
        at(line, field),
        "OUT_OF_RANGE",
        format!("{number}"),
        format!("{} to {}", range.0, range.1),
    );
    None
}

fn check_periods(line: usize, text: &str, faults: &mut Faults) {
    let mut fields = text.split(',').skip(1).map(str::trim);
    let (periods, per_hour) = (
        fields.next().unwrap_or_default(),
        fields.next().unwrap_or_default(),
    );
    if periods != "1" || per_hour != "1" {
        let found = format!(
            "{} periods of {} records an hour",
            shortened(periods),
            shortened(per_hour)
        );
        faults.add(
            at(line, "data_periods"),
            "NOT_HOURLY",
            found,
            "one period of one record an hour",
        );
    }
}

fn record(line: usize, text: &str, faults: &mut Faults) -> Option<Hour> {
    let fields: Vec<&str> = text.split(',').map(str::trim).collect();
    if fields.len() < 22 {
        faults.add(
            at(line, "fields"),
            "TOO_FEW_FIELDS",
            format!("{} fields", fields.len()),
            "at least 22 fields",
        );
        return None;
    }
    let field = |index: usize| fields.get(index).copied();
    let mut whole = |index: usize, name: &'static str, most: f64| -> Option<u8> {
        let number = parse(line, name, field(index), faults)?;
        let number = ranged(line, name, number, (1.0, most), faults)?;
        Some(number as u8)
    };
    let month = whole(1, "month", 12.0);
    let day = whole(2, "day", 31.0);
    let hour = whole(3, "hour", 24.0);
    let celsius = parse(line, "dry_bulb_celsius", field(6), faults).and_then(|number| {
        needed(line, "dry_bulb_celsius", number, 99.9, faults)?;
        ranged(line, "dry_bulb_celsius", number, (-70.0, 70.0), faults)
    });
    let humidity = parse(line, "relative_humidity_percent", field(8), faults).and_then(|number| {
        needed(line, "relative_humidity_percent", number, 999.0, faults)?;
        ranged(
            line,
            "relative_humidity_percent",
            number,
            (0.0, 110.0),
            faults,
        )
    });
    // Of the others a field that is absent, no number, or at or above its mark for missing, is missing.
    let optional = |index: usize, missing: f64| -> Option<f64> {
        let number: f64 = field(index)?.parse().ok()?;
        (number.is_finite() && number >= 0.0 && number < missing).then_some(number)
    };
    Some(Hour {
        month: month?,
        day: day?,
        hour: hour?,
        temperature: Temperature::from_celsius(celsius?),
        humidity: humidity? / 100.0,
        air_pressure_pa: optional(9, 999_999.0),
        global_w_per_m2: optional(13, 9999.0),
        direct_w_per_m2: optional(14, 9999.0),
        diffuse_w_per_m2: optional(15, 9999.0),
        wind_from_degrees: optional(20, 999.0),
        wind: optional(21, 999.0).map(WindSpeed::from_m_per_s),
        rain: optional(33, 999.0).map(Length::from_mm),
    })
}

fn needed(
    line: usize,
    field: &'static str,
    number: f64,
    missing: f64,
    faults: &mut Faults,
) -> Option<()> {
    if number >= missing {
        faults.add(
            at(line, field),
            "MISSING",
            format!("{number}, the mark of a missing value"),
            "a value",
        );
        return None;
    }
    Some(())
}

/// Hours follow each other; a typical year may be put together of months from several years, so the year itself is not looked at.
fn check_order(line: usize, last: Option<&Hour>, next: &Hour, faults: &mut Faults) {
    let Some(last) = last else {
        return;
    };
    let follows = if last.hour == 24 {
        next.hour == 1 && (next.month, next.day) > (last.month, last.day)
    } else {
        next.hour == last.hour + 1 && (next.month, next.day) == (last.month, last.day)
    };
    if !follows {
        let found = format!("month {} day {} hour {}", next.month, next.day, next.hour);
        let expected = format!(
            "the hour after month {} day {} hour {}",
            last.month, last.day, last.hour
        );
        faults.add(at(line, "hour"), "OUT_OF_ORDER", found, expected);
    }
}
