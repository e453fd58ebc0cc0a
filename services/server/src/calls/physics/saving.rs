//! The saving of a year.

use api::v1;
use drawing::{AmountRange, InputBar, SavingPlot, saving_plot};
use quantity::DegreeTime;
use thermal::{SavingRequest, UncertainInput, usual_ranges};
use working::{Faults, Sheet};

use super::{Said, encode, origins, parse};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// The saving of a year.
///
/// # Errors
/// Every fault of the request at once, a climate that is not there among them.
pub fn saving(
    wire: &v1::SavingRequest,
    snapshot: &Snapshot,
) -> Result<v1::SavingResponse, Refused> {
    let mut job = parse::saving(wire)?;
    let mut faults = Faults::new();
    job.terms.degree_time = degree_time(&job.season, snapshot, &mut faults);
    let are_usual = job.ranges.is_empty();
    if are_usual {
        job.ranges = usual_ranges();
    }
    let asked = SavingRequest {
        before: &job.before,
        after: &job.after,
        terms: &job.terms,
        ranges: &job.ranges,
    };
    let mut sheet = Sheet::new();
    let found = match thermal::saving(&asked, &mut sheet) {
        Ok(found) if faults.is_empty() => found,
        Ok(_) => return Err(super::refused(faults)),
        Err(list) => {
            faults.extend(parse::reworded(list, ""));
            return Err(super::refused(faults));
        }
    };
    sheet.retell(|origin| origins::of_saving(origin, wire));
    let include = parse::include(wire.include.as_ref());
    let mut said = Said::without_catalogue(include, sheet, snapshot);
    if are_usual {
        tell_ranges(&job.ranges, &mut said);
    }
    tell_season(&job.season, &mut said);
    let currency = job.terms.currency.code();
    said.draw("saving.svg", "Energy before and after", || {
        saving_plot(&plot(&found, currency))
    });
    Ok(encode::saving(wire, &found, &job.terms, said))
}

/// The degree time of the season; where its climate is not there, that of an ordinary one, so that the other faults are found.
fn degree_time(season: &parse::Season, snapshot: &Snapshot, faults: &mut Faults) -> DegreeTime {
    match season {
        parse::Season::DegreeDays(days) => DegreeTime::from_kelvin_days(*days),
        parse::Season::Climate(key, rule) => {
            match super::climate(snapshot, "terms.climate.key", key) {
                Ok(climate) => thermal::degree_days_by_month(climate, *rule),
                Err(unknown) => {
                    faults.extend(unknown.faults().to_vec());
                    DegreeTime::from_kelvin_days(3000.0)
                }
            }
        }
        parse::Season::Months(climate, rule) => thermal::degree_days_by_month(climate, *rule),
        parse::Season::Weather(weather, rule, v1::DegreeStep::Hour) => {
            thermal::degree_hours(weather, *rule)
        }
        parse::Season::Weather(weather, rule, _) => thermal::degree_days(weather, *rule),
        parse::Season::Faulty => DegreeTime::ZERO,
    }
}

fn name(input: UncertainInput) -> String {
    let input = encode::input(input).as_str_name();
    let name = input.trim_start_matches("SAVING_INPUT_").to_lowercase();
    name.replace('_', " ")
}

fn tell_ranges(ranges: &[thermal::InputRange], said: &mut Said) {
    for range in ranges {
        let text = format!(
            "{}: {} to {} of its value; {}",
            name(range.input),
            range.low,
            range.high,
            range.why
        );
        said.assume("ranges", text);
    }
}

fn tell_season(season: &parse::Season, said: &mut Said) {
    match season {
        parse::Season::Climate(..) | parse::Season::Months(..) => said.note(
            "DEGREE_DAYS_BY_MONTH",
            "terms",
            "Degree days are counted from monthly means; mild months with some cold days come out too low.",
        ),
        parse::Season::Weather(weather, _, step) => {
            let step = if *step == v1::DegreeStep::Hour {
                "hour by hour"
            } else {
                "by the mean of each day"
            };
            let text = format!(
                "Degree days are counted {step} from {} hours of weather at {}.",
                weather.hours.len(),
                weather.place
            );
            said.note("DEGREE_DAYS_BY_WEATHER", "terms.weather", text);
        }
        parse::Season::DegreeDays(_) | parse::Season::Faulty => {}
    }
}

fn plot(found: &thermal::Saving, currency: &str) -> SavingPlot {
    let range = found.energy_range_kwh;
    let input = |e: &thermal::InputEffect| InputBar {
        name: name(e.input),
        low: e.money.0,
        high: e.money.1,
    };
    SavingPlot {
        title: "Energy bought before and after, and what the uncertain inputs do".to_owned(),
        unit: "kWh a year".to_owned(),
        before: found.energy_before.value.as_kwh(),
        after: found.energy_after.value.as_kwh(),
        saved: AmountRange {
            least: range.least,
            likely_low: range.likely_low,
            value: range.value,
            likely_high: range.likely_high,
            most: range.most,
        },
        bar_unit: format!("{currency} a year"),
        bar_value: found.money.value,
        inputs: found.effects.iter().map(input).collect(),
    }
}
