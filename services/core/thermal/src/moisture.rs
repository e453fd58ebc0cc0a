//! The moisture question as a whole: mould at the surface, moisture inside, national limits.

use alloc::borrow::Cow;
use alloc::string::String;
use alloc::vec::Vec;

use standards::iso_13788 as iso;
use working::{
    Check, Clause, Fault, Faults, Finding, Limit, Origin, Severity, Sheet, Standing, Verdict,
};

use crate::air::{MonthAir, air_on, month_name};
use crate::build_up::{Body, BuildUp};
use crate::climate::{
    Climate, CondensateAt, CondensateLimit, Inside, InsideHumidity, validate_climate,
};
use crate::interstitial::{Interstitial, Outcome, interstitial_on};
use crate::mould::{Mould, MouldCriteria, mould_on};
use crate::record::Record;
use crate::transmittance::{Transmittances, transmittance_on};
use crate::validate::{Needs, layer_path, validate_for, within};

/// A question of moisture.
#[derive(Clone, Copy, Debug)]
pub struct MoistureRequest<'a> {
    /// The wall; every layer needs its vapour resistance.
    pub build_up: &'a BuildUp,
    /// The climate outside.
    pub climate: &'a Climate,
    /// The air inside.
    pub inside: &'a Inside,
    /// What the mould check goes by.
    pub mould: &'a MouldCriteria,
    /// National limits of what may gather.
    pub limits: &'a [CondensateLimit],
}

/// The verdict on one national limit of condensate.
#[derive(Clone, Debug, PartialEq)]
pub struct CondensateVerdict {
    /// The limit, by its key.
    pub id: String,
    /// What it holds for; whether a contact face takes up water is for a person to judge.
    pub at: CondensateAt,
    /// Whether it is kept.
    pub verdict: Verdict,
}

/// The answer to a question of moisture.
#[derive(Clone, Debug, PartialEq)]
pub struct Moisture {
    /// The transmittance it rests on.
    pub transmittances: Transmittances,
    /// The air month by month.
    pub air: Vec<MonthAir>,
    /// Mould at the inner surface.
    pub mould: Mould,
    /// Moisture inside the wall.
    pub interstitial: Interstitial,
    /// The verdicts on the national limits that apply.
    pub limits: Vec<CondensateVerdict>,
    /// What the reader should know.
    pub findings: Vec<Finding>,
}

impl Moisture {
    /// Whether the surface stays free of mould, what gathers dries, and every limit for any plane is kept. A limit for contact
    /// faces that take up no water is left to its verdict and a finding.
    pub fn holds(&self) -> bool {
        self.mould.holds()
            && self.interstitial.outcome != Outcome::Accumulates
            && self
                .limits
                .iter()
                .all(|limit| limit.verdict.holds || limit.at == CondensateAt::NonCapillaryContact)
    }
}

/// Mould and moisture of a wall through the year to ISO 13788, with every figure on the sheet.
///
/// # Errors
/// Every fault of the wall, of the climate and of the air inside at once.
pub fn moisture(request: &MoistureRequest<'_>, sheet: &mut Sheet) -> Result<Moisture, Vec<Fault>> {
    validate_moisture(request)?;
    Record::section(sheet, "Thermal transmittance");
    let of = transmittance_on(request.build_up, sheet);
    sheet.section("Air inside and outside by month");
    let air = air_on(request.climate, request.inside, sheet);
    let mould = mould_on(&of, &air, request.mould, sheet);
    let interstitial = interstitial_on(request.build_up, &of, &air, sheet);
    let limits = judge_condensate(request.limits, &interstitial, sheet);
    let mut findings = of.findings.clone();
    findings.extend(unverified(request));
    findings.extend(sections(request.build_up));
    findings.extend(breaches(request.build_up, &air, &mould, &interstitial));
    findings.extend(limits.iter().filter_map(limit_finding));
    Ok(Moisture {
        transmittances: of,
        air,
        mould,
        interstitial,
        limits,
        findings,
    })
}

fn validate_moisture(request: &MoistureRequest<'_>) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if let Err(list) = validate_for(request.build_up, Needs::Vapour) {
        faults.extend(list);
    }
    if let Err(list) = validate_climate(request.climate, request.inside) {
        faults.extend(list);
    }
    let mould = request.mould;
    within(
        &mut faults,
        "mould.surface_m2k_per_w",
        mould.surface.as_m2k_per_w(),
        (0.01, 2.0),
        "m2K/W",
    );
    within(
        &mut faults,
        "mould.critical_humidity",
        mould.critical_humidity,
        (0.1, 1.0),
        "",
    );
    if let Some((factor, _)) = &mould.factor {
        within(
            &mut faults,
            "mould.temperature_factor",
            *factor,
            (0.0, 1.0),
            "",
        );
    }
    faults.or(())
}

const LIMIT_CLAUSE: Clause = Clause::project("national limit of condensate named beside it");

fn judge_condensate(
    limits: &[CondensateLimit],
    found: &Interstitial,
    sheet: &mut Sheet,
) -> Vec<CondensateVerdict> {
    let mut verdicts = Vec::new();
    if found.start.is_none() {
        return verdicts;
    }
    for limit in limits {
        let rule = Origin::Rule(alloc::format!("{}, {}", limit.country, limit.act));
        let bound = sheet.given("M_a, limit", limit.value, rule);
        let verdict = sheet.check(Check {
            name: Cow::Owned(alloc::format!("most moisture that gathers, {}", limit.act)),
            clause: LIMIT_CLAUSE,
            figure: found.most,
            limit: bound,
            side: Limit::AtMost,
        });
        verdicts.push(CondensateVerdict {
            id: limit.id.clone(),
            at: limit.at,
            verdict,
        });
    }
    verdicts
}

fn limit_finding(limit: &CondensateVerdict) -> Option<Finding> {
    let (code, severity, text) = match limit.at {
        _ if limit.verdict.holds => return None,
        CondensateAt::AnyPlane => (
            "CONDENSATE_LIMIT_PASSED",
            Severity::Breach,
            "more moisture gathers than this limit allows",
        ),
        CondensateAt::NonCapillaryContact => (
            "CONDENSATE_LIMIT_AT_CONTACT",
            Severity::Caution,
            "more moisture gathers than this limit allows at a contact face that takes up no water; judge whether the face is one",
        ),
    };
    Some(Finding {
        code,
        severity,
        path: String::new(),
        text: alloc::format!("{text} ({})", limit.id),
        source: "national limit named in the answer",
    })
}

/// What of the given data rests on memory.
fn unverified(request: &MoistureRequest<'_>) -> Vec<Finding> {
    let climate = request.climate;
    let mut found = Vec::new();
    let mut add = |code, path: &str, text: String| {
        found.push(Finding {
            code,
            severity: Severity::Note,
            path: String::from(path),
            text,
            source: "the data's own statement",
        });
    };
    if climate.standing == Standing::Unverified {
        let text = alloc::format!(
            "the climate `{}` is not verified: {}",
            climate.name,
            climate.source
        );
        add("CLIMATE_UNVERIFIED", &climate.path, text);
    }
    if let InsideHumidity::Class(class) = &request.inside.humidity
        && class.standing == Standing::Unverified
    {
        let text = alloc::format!(
            "the humidity class `{}` is not verified: {}",
            class.id,
            class.source
        );
        add("HUMIDITY_CLASS_UNVERIFIED", &request.inside.path, text);
    }
    for limit in request
        .limits
        .iter()
        .filter(|l| l.standing == Standing::Unverified)
    {
        let text = alloc::format!("the limit `{}` is not verified: {}", limit.id, limit.source);
        add("CONDENSATE_LIMIT_UNVERIFIED", "", text);
    }
    for floor in request
        .mould
        .floors
        .iter()
        .filter(|f| f.standing == Standing::Unverified)
    {
        let text = alloc::format!(
            "the least temperature factor `{}` is not verified: {}",
            floor.id,
            floor.source
        );
        add("FACTOR_FLOOR_UNVERIFIED", "", text);
    }
    found
}

/// Layers whose sections a calculation along one line cannot see.
fn sections(build_up: &BuildUp) -> impl Iterator<Item = Finding> {
    let layers = build_up.layers.iter().enumerate();
    layers
        .filter(|(_, layer)| matches!(&layer.body, Body::Sections(parts) if parts.len() > 1))
        .map(|(index, layer)| Finding {
            code: "MOISTURE_ONE_SECTION",
            severity: Severity::Caution,
            path: layer_path(build_up, index, layer),
            text: String::from(
                "this layer has sections; moisture is calculated through the section with the largest share only",
            ),
            source: iso::DOCUMENT,
        })
}

fn breaches(
    build_up: &BuildUp,
    air: &[MonthAir],
    mould: &Mould,
    inside: &Interstitial,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut add = |code, text: String| {
        findings.push(Finding {
            code,
            severity: Severity::Breach,
            path: build_up.path.clone(),
            text,
            source: iso::DOCUMENT,
        });
    };
    let wet_surface = inside.months.iter().find(|month| {
        let pressure = air.get(month.month).map(|a| a.inside_pressure.value);
        month
            .profile
            .first()
            .is_some_and(|state| pressure.is_some_and(|p| p > state.saturation))
    });
    if let Some(month) = wet_surface {
        let text = alloc::format!(
            "the inner surface itself is wet in {}; mend that first",
            month_name(month.month)
        );
        add("SURFACE_CONDENSATION", text);
    }
    if !mould.holds() {
        let month = mould.critical.map_or("some month", month_name);
        let text = alloc::format!(
            "the inner surface is too cold to stay free of mould; {month} asks the most"
        );
        add("MOULD_RISK", text);
    }
    if inside.outcome == Outcome::Accumulates {
        let text = alloc::format!(
            "{:.3} kg/m2 of moisture is left after twelve months",
            inside.left.value.as_kg_per_m2()
        );
        add("MOISTURE_ACCUMULATES", text);
    }
    findings
}
