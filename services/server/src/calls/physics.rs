//! The single questions of building physics: bridges, dynamics, economic thickness, the saving, drying.

mod bridge;
mod drying;
mod economy;
mod origins;
mod saving;
mod wall;

pub use bridge::{bridge, list_details};
pub use drying::drying;
pub use economy::economy;
pub use saving::saving;
pub use wall::wall;

use api::v1;
use estimate::Include;
use material::Assortment;
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
        self.find(Severity::Note, code, path, text.into());
    }

    fn caution(&mut self, code: &'static str, path: &str, text: impl Into<String>) {
        self.find(Severity::Caution, code, path, text.into());
    }

    fn find(&mut self, severity: Severity, code: &'static str, path: &str, text: String) {
        self.findings.push(Finding {
            code,
            severity,
            path: path.to_owned(),
            text,
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
    let mut said = Said::without_catalogue(include, sheet, snapshot);
    said.draw("swing.svg", "Heat into the room over a swing", || {
        drawing::swing_plot(&swing(&found, period))
    });
    Ok(encode::dynamics(wire, &found, period, said))
}

/// The swing of a wall as a drawing: 10 K outside.
fn swing(found: &thermal::Dynamics, period: quantity::Duration) -> drawing::SwingPlot {
    const OUTSIDE_K: f64 = 10.0;
    let u = found.transmittances.u.value.as_w_per_m2k();
    let hours = period.as_hours();
    drawing::SwingPlot {
        title: format!(
            "Heat into the room when the outside swings by {OUTSIDE_K} K in {} h",
            (hours * 100.0).round() / 100.0
        ),
        period_hours: hours,
        outside_k: OUTSIDE_K,
        massless_w_per_m2: u * OUTSIDE_K,
        wall_w_per_m2: found.periodic.value.as_w_per_m2k() * OUTSIDE_K,
        later_hours: (-found.shift.value.as_hours()).clamp(0.0, hours),
    }
}

/// The refusal for faults of which some may be names that stand for nothing.
fn refused(faults: working::Faults) -> Refused {
    let list = faults.into_list();
    if list.iter().any(|f| f.reason == "UNKNOWN_NAME") {
        Refused::UnknownName(list)
    } else {
        Refused::BadRequest(list)
    }
}

/// The catalogue of a branch; beside an unknown one that of any, and the refusal: what lies in no branch is checked all the same.
fn branch<'a>(
    snapshot: &'a Snapshot,
    name: &str,
) -> Result<(&'a Assortment, Option<Refused>), Refused> {
    let unknown = match snapshot.branch(name) {
        Ok(branch) => return Ok((&branch.assortment, None)),
        Err(unknown) => unknown,
    };
    let any = snapshot.names().find_map(|name| snapshot.branch(name).ok());
    any.map_or_else(
        || Err(unknown.clone()),
        |any| Ok((&any.assortment, Some(unknown.clone()))),
    )
}

/// A refusal with the faults found beside it.
fn join(refusal: Option<Refused>, faults: working::Faults) -> Refused {
    match refusal {
        Some(refusal) if faults.is_empty() || refusal.faults().is_empty() => refusal,
        Some(refusal) => {
            let mut all = working::Faults::new();
            all.extend(refusal.faults().to_vec());
            all.extend(faults.into_list());
            refused(all)
        }
        None => refused(faults),
    }
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
