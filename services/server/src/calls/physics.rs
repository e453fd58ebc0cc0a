//! The single questions of building physics: bridges, dynamics, economic thickness, the saving, drying.

mod bridge;
mod drying;
mod economy;

pub use bridge::{bridge, list_details};
pub use drying::drying;
pub use economy::economy;

use api::v1;
use estimate::Include;
use thermal::{SavingRequest, usual_ranges};
use working::{Finding, Severity, Sheet};

use crate::from_proto::physics as parse;
use crate::refused::Refused;
use crate::snapshot::Snapshot;
use crate::to_proto::physics as encode;

/// What every answer of this service carries.
pub(crate) struct Said {
    pub include: Include,
    pub findings: Vec<Finding>,
    pub assumptions: Vec<facade::Assumption>,
    pub drawings: Vec<estimate::Drawing>,
    pub sheet: Sheet,
    pub provenance: v1::Provenance,
}

impl Said {
    /// An answer that took nothing from a catalogue.
    fn without_catalogue(include: Include, sheet: Sheet, snapshot: &Snapshot) -> Self {
        Self {
            include,
            findings: Vec::new(),
            assumptions: Vec::new(),
            drawings: Vec::new(),
            provenance: encode::provenance(&sheet.documents(), None, snapshot.rules()),
            sheet,
        }
    }

    fn note(&mut self, code: &'static str, path: &str, text: impl Into<String>) {
        self.findings.push(Finding {
            code,
            severity: Severity::Note,
            path: path.to_owned(),
            text: text.into(),
            source: "",
        });
    }

    fn assume(&mut self, path: &str, text: impl Into<String>) {
        self.assumptions.push(facade::Assumption {
            path: path.to_owned(),
            text: text.into(),
        });
    }

    /// Keeps a drawing; one that cannot be drawn is told and not an error.
    fn draw(
        &mut self,
        name: &str,
        title: &str,
        drawn: impl FnOnce() -> Result<String, Vec<working::Fault>>,
    ) {
        if !self.include.drawings {
            return;
        }
        match drawn() {
            Ok(svg) => self.drawings.push(estimate::Drawing {
                name: name.to_owned(),
                title: title.to_owned(),
                svg,
            }),
            Err(faults) => {
                let why = faults.first().map(ToString::to_string).unwrap_or_default();
                self.note("NOT_DRAWN", "", format!("{title} is not drawn: {why}"));
            }
        }
    }
}

/// Dynamic thermal characteristics.
///
/// # Errors
/// Every fault of the request at once.
pub fn dynamics(
    wire: &v1::DynamicsRequest,
    snapshot: &Snapshot,
) -> Result<v1::DynamicsResponse, Refused> {
    let (build_up, period) = parse::dynamics(wire)?;
    let mut sheet = Sheet::new();
    let found = thermal::dynamics(&build_up, period, &mut sheet);
    let found = found.map_err(|faults| {
        let renamed = |mut fault: working::Fault| {
            fault.path = fault
                .path
                .replace("vapour_factor", "vapour_resistance_factor");
            fault.path = fault.path.replace("period_seconds", "period_hours");
            fault
        };
        parse::reworded(faults.into_iter().map(renamed).collect(), "")
    })?;
    let include = parse::include(wire.include.as_ref());
    let said = Said::without_catalogue(include, sheet, snapshot);
    Ok(encode::dynamics(wire, &found, period, said))
}

/// The saving of a year.
///
/// # Errors
/// Every fault of the request at once, or a climate that is not there.
pub fn saving(
    wire: &v1::SavingRequest,
    snapshot: &Snapshot,
) -> Result<v1::SavingResponse, Refused> {
    let mut job = parse::saving(wire)?;
    job.terms.degree_time = match &job.season {
        parse::Season::DegreeDays(days) => quantity::DegreeTime::from_kelvin_days(*days),
        parse::Season::Climate(key, rule) => {
            thermal::degree_days_by_month(climate(snapshot, "terms.climate.key", key)?, *rule)
        }
    };
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
    let found = thermal::saving(&asked, &mut sheet).map_err(|f| parse::reworded(f, ""))?;
    let include = parse::include(wire.include.as_ref());
    let mut said = Said::without_catalogue(include, sheet, snapshot);
    if are_usual {
        for range in &job.ranges {
            let input = encode::input(range.input).as_str_name();
            let name = input.trim_start_matches("SAVING_INPUT_").to_lowercase();
            let name = name.replace('_', " ");
            let text = format!(
                "{name}: {} to {} of its value; {}",
                range.low, range.high, range.why
            );
            said.assume("ranges", text);
        }
    }
    if matches!(job.season, parse::Season::Climate(..)) {
        said.note(
            "DEGREE_DAYS_BY_MONTH",
            "terms.climate",
            "Degree days are counted from monthly means; mild months with some cold days come out too low.",
        );
    }
    Ok(encode::saving(wire, &found, &job.terms, said))
}

/// A climate of the rule data.
fn climate<'a>(
    snapshot: &'a Snapshot,
    path: &str,
    key: &str,
) -> Result<&'a thermal::Climate, Refused> {
    let climates = &snapshot.rules().climates;
    let found = climates.get(key);
    found.ok_or_else(|| Refused::unknown(path, key, climates.keys().map(String::as_str)))
}
