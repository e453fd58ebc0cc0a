//! Climates that a caller sends: hourly weather as a text, monthly means.

use api::v1;
use quantity::{Duration, Temperature, VapourPressure};
use thermal::epw::Weather;
use thermal::{Climate, MONTH_DAYS, Month, OutsideHumidity};
use working::{Fault, Faults, Standing};

use super::{reworded, text};

/// A year of hourly weather. Faults are those of the text, each with its line after the field's path.
pub fn epw(path: &str, epw_text: &str, faults: &mut Faults) -> Option<Weather> {
    if epw_text.is_empty() {
        faults.add(path, "MISSING", "nothing", "a text in the EPW format");
        return None;
    }
    match thermal::epw::read(epw_text) {
        Ok(weather) => Some(weather),
        Err(list) => {
            let placed = |fault: Fault| {
                let rest = fault.path.strip_prefix("weather").unwrap_or_default();
                Fault {
                    path: format!("{path}{rest}"),
                    ..fault
                }
            };
            faults.extend(reworded(list.into_iter().map(placed).collect(), ""));
            None
        }
    }
}

/// Whether a calculation asks for the moisture of each month.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moisture {
    /// It does.
    Needed,
    /// Temperatures are enough.
    Unneeded,
}

/// Monthly means as a climate. How many months there are, and whether their values are in range, the engine or `validate` says.
pub fn months(
    path: &str,
    wire: &v1::MonthlyClimate,
    moisture: Moisture,
    faults: &mut Faults,
) -> Climate {
    use v1::monthly_mean::Moisture as Given;
    let month = |(i, mean): (usize, &v1::MonthlyMean)| {
        let humidity = match mean.moisture {
            Some(Given::HumidityShare(share)) => OutsideHumidity::Relative(share),
            Some(Given::VapourPressurePa(pa)) => {
                OutsideHumidity::Pressure(VapourPressure::from_pa(pa))
            }
            None => {
                if moisture == Moisture::Needed {
                    let field = format!("{path}.months[{i}].humidity_share");
                    let expected = "`humidity_share` or `vapour_pressure_pa`";
                    faults.add(field, "MISSING", "nothing", expected);
                }
                OutsideHumidity::Relative(0.8)
            }
        };
        Month {
            outside: Temperature::from_celsius(mean.outdoor_celsius),
            humidity,
            length: Duration::from_days(MONTH_DAYS.get(i).copied().unwrap_or(30.0)),
        }
    };
    let months = wire.months.iter().take(100).enumerate();
    let months = months.map(month).collect();
    Climate {
        id: "own".to_owned(),
        name: text(&format!("{path}.name"), &wire.name, faults),
        source: "request".to_owned(),
        standing: Standing::Project,
        path: path.to_owned(),
        months,
    }
}

/// The faults of monthly means whose calculation does not look for them itself.
pub fn validate(climate: &Climate, faults: &mut Faults) {
    let inside = thermal::Inside {
        temperatures: vec![Temperature::from_celsius(20.0)],
        humidity: thermal::InsideHumidity::Relative(0.5),
        path: String::new(),
    };
    if let Err(list) = thermal::validate_climate(climate, &inside) {
        faults.extend(in_wire_words(list));
    }
}

/// The engine's names of a month's fields in those of the wire.
pub fn in_wire_words(list: Vec<Fault>) -> Vec<Fault> {
    let renamed = |mut fault: Fault| {
        for (engine, wire) in [
            (".outside_celsius", ".outdoor_celsius"),
            ("].relative_humidity", "].humidity_share"),
        ] {
            fault.path = fault.path.replace(engine, wire);
        }
        fault
    };
    reworded(list.into_iter().map(renamed).collect(), "")
}
