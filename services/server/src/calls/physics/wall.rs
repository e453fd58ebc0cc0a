//! A wall of the caller's own: transmittance, and with a climate mould and condensate.

use api::v1;
use estimate::{Drawing, Moisture, WallLayer};
use quantity::Temperature;
use thermal::{
    Boundary, BuildUp, Climate, Inside, InsideHumidity, MoistureRequest, MouldCriteria, Source,
    Transmittances,
};
use working::{Faults, Finding, Sheet};

use super::{Said, encode, origins, parse};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// The names of a request, found.
struct Found {
    climate: Climate,
    inside: Inside,
}

/// What there is to tell.
struct Told {
    of: Transmittances,
    layers: Vec<WallLayer>,
    moisture: Option<Moisture>,
    findings: Vec<Finding>,
    drawings: Vec<Drawing>,
    /// What could not be drawn.
    undrawn: Vec<Finding>,
}

/// A wall of the caller's own.
///
/// # Errors
/// Every fault of the request at once, names that are not there among them.
pub fn wall(wire: &v1::WallRequest, snapshot: &Snapshot) -> Result<v1::WallResponse, Refused> {
    let mut faults = Faults::new();
    let job = parse::wall(wire, &mut faults);
    let found = job
        .air
        .as_ref()
        .map(|air| names(air, snapshot, &mut faults));
    if !faults.is_empty() {
        return Err(refusal(&job.build_up, found.flatten().as_ref(), faults));
    }
    let mut sheet = Sheet::new();
    let include = parse::include(wire.include.as_ref());
    let mut told = match found.flatten() {
        Some(found) => with_air(wire, &job.build_up, &found, snapshot, &mut sheet)?,
        None => without_air(&job.build_up, &mut sheet)?,
    };
    sheet.retell(|origin| origins::of_wall(origin, wire));
    let mut said = Said::without_catalogue(include, sheet, snapshot);
    said.findings.append(&mut told.findings);
    if include.drawings {
        said.drawings.append(&mut told.drawings);
        said.findings.append(&mut told.undrawn);
    }
    explain(wire, &mut said);
    Ok(encode::wall(
        wire,
        &told.of,
        &told.layers,
        told.moisture.as_ref(),
        said,
    ))
}

/// Heat alone; temperatures at 20 and 0 degC.
fn without_air(build_up: &BuildUp, sheet: &mut Sheet) -> Result<Told, Refused> {
    let of = thermal::transmittance(build_up, sheet).map_err(parse::in_wall_words)?;
    let usual = Boundary {
        inside: Temperature::from_celsius(20.0),
        outside: Temperature::from_celsius(0.0),
        from: Source::Assumed("20 and 0 degC without a climate".to_owned()),
    };
    Ok(Told {
        findings: of.findings.clone(),
        layers: estimate::wall_layers(build_up, &of, &usual, sheet),
        of,
        moisture: None,
        drawings: Vec::new(),
        undrawn: Vec::new(),
    })
}

/// Heat and moisture.
fn with_air(
    wire: &v1::WallRequest,
    build_up: &BuildUp,
    found: &Found,
    snapshot: &Snapshot,
    sheet: &mut Sheet,
) -> Result<Told, Refused> {
    let rules = snapshot.rules();
    let here = |country: &str| !wire.country.is_empty() && country == wire.country;
    let limits = rules.condensate_limits.iter();
    let limits: Vec<_> = limits.filter(|l| here(&l.country)).cloned().collect();
    let floors = rules.factor_floors.iter();
    let mould = MouldCriteria {
        floors: floors.filter(|f| here(&f.country)).cloned().collect(),
        ..MouldCriteria::default()
    };
    let question = MoistureRequest {
        build_up,
        climate: &found.climate,
        inside: &found.inside,
        mould: &mould,
        limits: &limits,
    };
    let answer = thermal::moisture(&question, sheet).map_err(parse::in_wall_words)?;
    let (drawings, undrawn) = estimate::wall_drawings(build_up, &answer, &limits);
    let coldest = Boundary {
        inside: found.inside.temperature(0),
        outside: estimate::coldest(&found.climate),
        from: Source::Rule(format!("climate {}, coldest month", found.climate.id)),
    };
    Ok(Told {
        moisture: Some(estimate::told_moisture(&answer)),
        findings: answer.findings,
        layers: estimate::wall_layers(build_up, &answer.transmittances, &coldest, sheet),
        of: answer.transmittances,
        drawings,
        undrawn,
    })
}

fn explain(wire: &v1::WallRequest, said: &mut Said) {
    match &wire.climate {
        None => said.note(
            "MOISTURE_NOT_ASSESSED",
            "climate",
            "Without a climate neither mould nor condensate is assessed; temperatures are those at 20 degC inside and 0 degC outside.",
        ),
        Some(climate) if climate.indoor_celsius.is_none() => {
            said.assume("climate.indoor_celsius", "20 degC");
        }
        Some(_) => {}
    }
}

/// Looks up what the climate names.
fn names(air: &parse::WallAir, snapshot: &Snapshot, faults: &mut Faults) -> Option<Found> {
    let rules = snapshot.rules();
    let climate = match air.outside.as_ref() {
        Some(parse::Outside::Own(climate)) => Some(climate.clone()),
        Some(parse::Outside::Key(key)) => match super::climate(snapshot, "climate.key", key) {
            Ok(climate) => Some(climate.clone()),
            Err(refused) => {
                faults.extend(refused.faults().to_vec());
                None
            }
        },
        None => None,
    };
    let humidity = match air.rooms.as_ref() {
        Some(parse::Rooms::Relative(share)) => Some(InsideHumidity::Relative(*share)),
        Some(parse::Rooms::Class(key)) => {
            let class = rules.humidity_classes.get(key);
            if class.is_none() {
                let known = rules.humidity_classes.keys().map(String::as_str);
                let refused = Refused::unknown("climate.humidity_class", key, known);
                faults.extend(refused.faults().to_vec());
            }
            class.map(|c| InsideHumidity::Class(c.clone()))
        }
        None => None,
    };
    Some(Found {
        climate: climate?,
        inside: Inside {
            temperatures: vec![air.indoor],
            humidity: humidity?,
            path: "climate".to_owned(),
        },
    })
}

/// The refusal of a request with faults, those that the engine finds in the wall told beside them.
fn refusal(build_up: &BuildUp, found: Option<&Found>, mut faults: Faults) -> Refused {
    let more = match found {
        Some(found) => {
            let question = MoistureRequest {
                build_up,
                climate: &found.climate,
                inside: &found.inside,
                mould: &MouldCriteria::default(),
                limits: &[],
            };
            thermal::moisture(&question, &mut Sheet::new()).err()
        }
        None => thermal::validate(build_up).err(),
    };
    faults.extend(parse::in_wall_words(more.unwrap_or_default()));
    super::refused(faults)
}
