//! Thickness, transmittance and moisture of every different wall of the building.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Area, Length, Mm, PerArea, Temperature, Transmittance};
use rules::RuleBook;
use thermal::{
    Aim, Board, BuildUp, Climate, HumidityClass, Inside, InsideHumidity, Layering, LimitValue,
    LinearBridge, MoistureRequest, MouldCriteria, Outcome, PointBridges, ResistanceOf,
    SizingRequest, Source, ThermalLimit, Transmittances,
};
use working::{Fault, Faults, Finding, Severity, Sheet, Standing};

use crate::answer::{
    CondensationOutcome, Drawing, LimitCheck, Moisture, MoistureMonth, SizingRow, Thermal,
    WallLayer,
};
use crate::parts::{Parts, expected};
use crate::request::{Request, ThicknessChoice};
use crate::wall::{self, ExistingWall};
use crate::wall_drawings::wall_drawings;

/// The rule data that the thermal part goes by.
pub(crate) struct ThermalRules<'a> {
    pub climate: &'a Climate,
    pub class: &'a HumidityClass,
    /// The limit that the thickness must meet, where one is asked for.
    pub target: Option<ThermalLimit>,
    /// Limits of the country that hold everywhere in it, checked whatever was asked.
    pub limits: Vec<&'a ThermalLimit>,
    /// Limits of the country that hold only in a zone of it, which the request does not tell.
    pub zonal: Vec<&'a ThermalLimit>,
    pub book: &'a RuleBook,
}

/// The anchors that go with a board thickness: how many on the average square metre, and what each lets through.
pub(crate) type AnchorsOf = BTreeMap<Mm, PointBridges>;

/// Looks up the rule data that a request names.
pub(crate) fn resolve<'a>(
    request: &Request,
    book: &'a RuleBook,
    faults: &mut Faults,
) -> Option<ThermalRules<'a>> {
    let climate = book.climates.get(&request.climate.climate);
    if climate.is_none() {
        let found = format!("`{}`", request.climate.climate);
        faults.add(
            "climate.climate",
            "UNKNOWN_CLIMATE",
            found,
            expected("climate", &book.climates, &request.climate.climate),
        );
    }
    let class = book.humidity_classes.get(&request.climate.humidity_class);
    if class.is_none() {
        let found = format!("`{}`", request.climate.humidity_class);
        let known = expected(
            "humidity class",
            &book.humidity_classes,
            &request.climate.humidity_class,
        );
        faults.add(
            "climate.humidity_class",
            "UNKNOWN_HUMIDITY_CLASS",
            found,
            known,
        );
    }
    let target = match &request.thickness {
        ThicknessChoice::Given(_) => None,
        ThicknessChoice::TransmittanceAtMost(value) => {
            Some(own_limit(LimitValue::TransmittanceAtMost(*value)))
        }
        ThicknessChoice::ResistanceAtLeast(value) => {
            Some(own_limit(LimitValue::ResistanceAtLeast {
                of: ResistanceOf::Total,
                value: *value,
            }))
        }
        ThicknessChoice::Limit(key) => {
            let limit = book.thermal_limits.get(key);
            if limit.is_none() {
                faults.add(
                    "thickness.limit",
                    "UNKNOWN_LIMIT",
                    format!("`{key}`"),
                    expected("thermal limit", &book.thermal_limits, key),
                );
            }
            limit.cloned()
        }
    };
    let (limits, zonal) = book
        .thermal_limits
        .values()
        .filter(|limit| !request.country.is_empty() && limit.country == request.country)
        .partition(|limit| limit.zone.is_empty());
    Some(ThermalRules {
        climate: climate?,
        class: class?,
        target,
        limits,
        zonal,
        book,
    })
}

/// The caller's own target as a limit.
fn own_limit(value: LimitValue) -> ThermalLimit {
    ThermalLimit {
        id: String::from("request"),
        ..ThermalLimit::stated(value)
    }
}

/// Every stocked thickness of the board with the anchors that go with it.
fn stock(parts: &Parts<'_>, anchors: &AnchorsOf, thicker_than: Mm) -> Vec<Board> {
    parts
        .board
        .thicknesses
        .iter()
        .filter(|size| size.thickness > thicker_than)
        .filter_map(|size| {
            Some(Board {
                name: format!("{} {}", parts.board.article.name, size.thickness),
                article: parts.board.article.key.clone(),
                thickness: size.thickness.to_length(),
                material: wall::board_material(parts.board),
                price_per_m2: None,
                anchors: Some(anchors.get(&size.thickness)?.clone()),
            })
        })
        .collect()
}

/// The thickness chosen, and what was tried.
pub(crate) struct Sized {
    pub thickness: Mm,
    pub admissible: bool,
    pub rows: Vec<SizingRow>,
}

/// The smallest stocked thickness above `thicker_than` with which every wall meets the target; without one, the nearest to it.
///
/// # Errors
/// Faults of a wall that the survey's own check does not see.
pub(crate) fn size(
    walls: &[ExistingWall<'_>],
    parts: &Parts<'_>,
    target: &ThermalLimit,
    anchors: &AnchorsOf,
    thicker_than: Mm,
    sheet: &mut Sheet,
) -> Result<Sized, Vec<Fault>> {
    let stock = stock(parts, anchors, thicker_than);
    let first = stock
        .first()
        .map_or(Length::from_mm(100.0), |board| board.thickness);
    let mut sized = Sized {
        thickness: Mm::ZERO,
        admissible: true,
        rows: Vec::new(),
    };
    let mut faults = Faults::new();
    for existing in walls {
        let first = Mm::from_whole(libm::round(first.as_mm())).unwrap_or(Mm(100));
        let (build_up, slot) = wall::after(existing, parts, first, None);
        let request = SizingRequest {
            build_up: &build_up,
            slot,
            stock: &stock,
            layering: Layering::Single,
            aim: Aim::Thinnest,
            limit: target,
            room: None,
        };
        match thermal::size(&request, sheet) {
            Ok(answer) => {
                sized.admissible &= answer.admissible;
                if let Some(choice) = answer.choice {
                    let mm =
                        Mm::from_whole(libm::round(choice.thickness.as_mm())).unwrap_or(Mm::ZERO);
                    sized.thickness = sized.thickness.max(mm);
                }
            }
            Err(list) => faults.extend(list),
        }
    }
    sized.rows = rows(walls, parts, target, anchors);
    faults.or(sized)
}

/// Every stocked thickness with the worst wall's corrected transmittance.
fn rows(
    walls: &[ExistingWall<'_>],
    parts: &Parts<'_>,
    target: &ThermalLimit,
    anchors: &AnchorsOf,
) -> Vec<SizingRow> {
    parts
        .board
        .thicknesses
        .iter()
        .filter_map(|size| {
            let anchors = anchors.get(&size.thickness)?;
            let mut row = SizingRow {
                thickness: size.thickness,
                transmittance: Transmittance::ZERO,
                holds: true,
            };
            for existing in walls {
                let (build_up, _) =
                    wall::after(existing, parts, size.thickness, Some(anchors.clone()));
                let of = thermal::transmittance_bare(&build_up);
                row.transmittance = row.transmittance.max(of.u_corrected.value);
                row.holds &= thermal::judge(target, &build_up, &of, &mut Sheet::new()).holds;
            }
            Some(row)
        })
        .collect()
}

/// What the thermal part is asked for, once the thickness and the anchors are known.
pub(crate) struct Finished<'a> {
    pub walls: &'a [ExistingWall<'a>],
    pub parts: &'a Parts<'a>,
    pub thickness: Mm,
    pub anchors: PointBridges,
    /// Length of base profile and the area of the wall that it edges.
    pub profile: Option<(Length, Area)>,
}

/// The thermal answer for the worst wall, and what is to be said about every wall.
#[derive(Default)]
pub(crate) struct Assessed {
    pub thermal: Thermal,
    /// The plots of the worst wall, where asked for.
    pub drawings: Vec<Drawing>,
    pub findings: Vec<Finding>,
}

/// Transmittance, limits and moisture of every wall.
///
/// # Errors
/// Faults of a wall, of the climate or of the room air.
pub(crate) fn assess(
    request: &Request,
    rules: &ThermalRules<'_>,
    finished: &Finished<'_>,
    sheet: &mut Sheet,
) -> Result<Assessed, Vec<Fault>> {
    let mut worst: Option<Assessed> = None;
    let mut findings = Vec::new();
    let mut faults = Faults::new();
    for existing in finished.walls {
        match one_wall(request, rules, finished, existing, sheet) {
            Ok(mut one) => {
                findings.append(&mut one.findings);
                if worst
                    .as_ref()
                    .is_none_or(|w| one.thermal.after > w.thermal.after)
                {
                    worst = Some(one);
                }
            }
            Err(list) => faults.extend(list),
        }
    }
    findings.extend(without_rule_data(&request.country, rules.book));
    faults.or(Assessed {
        findings,
        ..worst.unwrap_or_default()
    })
}

/// What the rule data do not hold of a country that was named: silence would read as if nothing were asked there.
fn without_rule_data(country: &str, book: &RuleBook) -> Vec<Finding> {
    let limits = book.thermal_limits.values().map(|l| l.country.as_str());
    let condensate = book.condensate_limits.iter().map(|l| l.country.as_str());
    let floors = book.factor_floors.iter().map(|f| f.country.as_str());
    let kinds: [(&str, BTreeSet<&str>); 3] = [
        ("thermal limits of walls", limits.collect()),
        ("limits of condensate", condensate.collect()),
        ("least temperature factors", floors.collect()),
    ];
    let lacking = kinds
        .into_iter()
        .filter(|(_, known)| !country.is_empty() && !known.contains(country));
    let told = lacking.map(|(kind, known)| Finding {
        code: "THERMAL_NO_RULE_DATA",
        severity: Severity::Note,
        path: String::from("country"),
        text: format!(
            "No rule data on {kind} ({country}; rows exist for {}). That does not mean that none apply there.",
            Vec::from_iter(known).join(", ")
        ),
        source: "",
    });
    told.collect()
}

fn one_wall(
    request: &Request,
    rules: &ThermalRules<'_>,
    finished: &Finished<'_>,
    existing: &ExistingWall<'_>,
    sheet: &mut Sheet,
) -> Result<Assessed, Vec<Fault>> {
    sheet.step(format!("The wall as it stands ({}).", existing.path));
    let before = thermal::transmittance(&wall::before(existing), sheet)?;
    sheet.step("The wall with the system.");
    let (mut build_up, _) = wall::after(
        existing,
        finished.parts,
        finished.thickness,
        Some(finished.anchors.clone()),
    );
    build_up.linear = profile_bridge(finished);
    let inside = Inside {
        temperatures: alloc::vec![request.climate.indoor],
        humidity: InsideHumidity::Class(rules.class.clone()),
        path: String::from("climate"),
    };
    let floors = rules
        .book
        .factor_floors
        .iter()
        .filter(|floor| floor.country == request.country)
        .cloned()
        .collect();
    let condensate: Vec<_> = rules
        .book
        .condensate_limits
        .iter()
        .filter(|limit| limit.country == request.country)
        .cloned()
        .collect();
    let question = MoistureRequest {
        build_up: &build_up,
        climate: rules.climate,
        inside: &inside,
        mould: &MouldCriteria {
            floors,
            ..MouldCriteria::default()
        },
        limits: &condensate,
    };
    let moisture = thermal::moisture(&question, sheet)?;
    let mut findings = moisture.findings.clone();
    let mut limits = Vec::new();
    for limit in rules.target.iter().chain(rules.limits.iter().copied()) {
        let verdict = thermal::judge(limit, &build_up, &moisture.transmittances, sheet);
        let is_target = rules
            .target
            .as_ref()
            .is_some_and(|target| target.id == limit.id);
        if limits.iter().any(|l: &LimitCheck| l.key == limit.id) {
            continue;
        }
        limits.push(limit_check(limit, verdict));
        if !verdict.holds {
            findings.push(limit_finding(limit, is_target));
        }
    }
    findings.extend(rules.zonal.iter().map(|limit| {
        // Bare: a limit that may not hold here has no place on the sheet.
        let of = &moisture.transmittances;
        let verdict = thermal::judge(limit, &build_up, of, &mut Sheet::new());
        zone_finding(limit, &existing.path, verdict)
    }));
    let thermal = Thermal {
        before: before.u_corrected.value,
        uncorrected: moisture.transmittances.u.value,
        after: moisture.transmittances.u_corrected.value,
        resistance: moisture.transmittances.total.value,
        anchors_per_m2: finished.anchors.per_area.as_per_m2(),
        limits,
        sizing: Vec::new(),
        layers: layers(&build_up, &moisture, rules, request, sheet),
        moisture: told_moisture(&moisture),
    };
    let mut drawings = Vec::new();
    if request.include.drawings {
        let (drawn, said) = wall_drawings(&build_up, &moisture, &condensate);
        drawings = drawn;
        findings.extend(said);
    }
    Ok(Assessed {
        thermal,
        drawings,
        findings,
    })
}

fn profile_bridge(finished: &Finished<'_>) -> Vec<LinearBridge> {
    let Some((length, wall_area)) = finished.profile else {
        return Vec::new();
    };
    let Some(profile) = finished.parts.base_profile else {
        return Vec::new();
    };
    let Some(psi) = profile.linear_transmittance else {
        return Vec::new();
    };
    alloc::vec![LinearBridge {
        name: profile.article.name.clone(),
        path: String::from("system"),
        psi,
        length,
        wall_area,
        from: Source::Catalogue(profile.article.key.clone()),
    }]
}

fn limit_check(limit: &ThermalLimit, verdict: working::Verdict) -> LimitCheck {
    let text = match limit.value {
        LimitValue::TransmittanceAtMost(value) => {
            format!("U at most {} W/(m2.K)", value.as_w_per_m2k())
        }
        LimitValue::ResistanceAtLeast { value, .. } => {
            format!("R at least {} m2.K/W", value.as_m2k_per_w())
        }
    };
    LimitCheck {
        key: limit.id.clone(),
        source: if limit.id == "request" {
            String::from("request")
        } else {
            limit.citation()
        },
        text,
        holds: verdict.holds,
        utilisation: verdict.utilisation,
    }
}

fn limit_finding(limit: &ThermalLimit, is_target: bool) -> Finding {
    let unverified = if limit.standing == Standing::Unverified {
        " The limit is not verified."
    } else {
        ""
    };
    Finding {
        code: if is_target {
            "THERMAL_TARGET_MISSED"
        } else {
            "THERMAL_LIMIT_MISSED"
        },
        severity: if is_target {
            Severity::Breach
        } else {
            Severity::Caution
        },
        path: String::from("thickness"),
        text: format!(
            "The wall does not meet {}.{unverified} Exceptions are for a person to judge.",
            limit.citation()
        ),
        source: "thermal limit named in the answer",
    }
}

/// A limit of one zone of the country, judged as if the building lay in it: only a person knows whether it does.
fn zone_finding(limit: &ThermalLimit, path: &str, verdict: working::Verdict) -> Finding {
    let (severity, holds) = if verdict.holds {
        (Severity::Note, "the wall meets it")
    } else {
        (Severity::Caution, "the wall DOES NOT meet it")
    };
    Finding {
        code: "THERMAL_LIMIT_OF_ZONE",
        severity,
        path: String::from(path),
        text: format!(
            "{} holds only for: {}. Where that is the case, {holds} (used {:.0} %). Establish the zone.",
            limit.citation(),
            limit.zone,
            verdict.utilisation * 100.0
        ),
        source: "thermal limit named in the text",
    }
}

/// The layers with their temperatures in the coldest month.
fn layers(
    build_up: &BuildUp,
    moisture: &thermal::Moisture,
    rules: &ThermalRules<'_>,
    request: &Request,
    sheet: &mut Sheet,
) -> Vec<WallLayer> {
    let boundary = thermal::Boundary {
        inside: request.climate.indoor,
        outside: coldest(rules.climate),
        from: Source::Rule(format!("climate {}, coldest month", rules.climate.id)),
    };
    wall_layers(build_up, &moisture.transmittances, &boundary, sheet)
}

/// The mean temperature of a climate's coldest month.
pub fn coldest(climate: &Climate) -> Temperature {
    climate
        .months
        .iter()
        .map(|month| month.outside)
        .reduce(|a, b| if b < a { b } else { a })
        .unwrap_or(Temperature::from_celsius(0.0))
}

/// The layers of a wall with the temperatures behind them. A layer that does not count, outside a well ventilated one, has no
/// resistance and the temperature outside.
pub fn wall_layers(
    build_up: &BuildUp,
    of: &Transmittances,
    boundary: &thermal::Boundary,
    sheet: &mut Sheet,
) -> Vec<WallLayer> {
    let temperatures = thermal::temperatures(of, boundary, sheet);
    build_up
        .layers
        .iter()
        .enumerate()
        .map(|(index, layer)| {
            let conductivity = match &layer.body {
                thermal::Body::Homogeneous(material) => material.conductivity,
                _ => quantity::Conductivity::ZERO,
            };
            let mine = of.layers.iter().find(|l| l.index == index);
            let outer = temperatures.iter().find(|t| t.after == Some(index));
            WallLayer {
                name: layer.name.clone(),
                thickness: layer.thickness,
                conductivity,
                resistance: mine.map(|l| l.resistance.value).unwrap_or_default(),
                vapour_thickness: layer.equivalent_air().unwrap_or_default(),
                outer_temperature: outer.map_or(boundary.outside, |t| t.temperature.value),
            }
        })
        .collect()
}

/// The moisture of a wall as an answer tells it.
pub fn told_moisture(moisture: &thermal::Moisture) -> Moisture {
    let inside = &moisture.interstitial;
    let outcome = match inside.outcome {
        Outcome::NoCondensation => CondensationOutcome::None,
        Outcome::DriesOut => CondensationOutcome::DriesWithinYear,
        Outcome::Accumulates => CondensationOutcome::Accumulates,
    };
    let factor_min = moisture
        .mould
        .months
        .iter()
        .filter_map(|m| m.factor_needed.map(|f| f.value))
        .fold(0.0, f64::max);
    let critical = moisture.mould.critical.map_or(0, |month| month as u8 + 1);
    let months = moisture
        .air
        .iter()
        .zip(&moisture.mould.months)
        .map(|(air, mould)| {
            let wall = inside.months.iter().find(|m| m.month == air.month);
            MoistureMonth {
                month: air.month as u8 + 1,
                outdoor: air.outside.value,
                outdoor_pressure: air.outside_pressure.value,
                indoor_pressure: air.inside_pressure.value,
                factor_min: mould.factor_needed.map_or(0.0, |f| f.value),
                condensate: wall
                    .map(|w| w.planes.iter().map(|p| p.condensate.value).sum())
                    .unwrap_or_default(),
                accumulated: wall.map(|w| w.accumulated.value).unwrap_or_default(),
            }
        })
        .collect();
    Moisture {
        factor: moisture.mould.factor.value,
        factor_min,
        critical_month: critical,
        mould_safe: moisture.mould.holds(),
        outcome,
        accumulated_max: inside.most.value,
        months,
        verdict: verdict(moisture, outcome),
    }
}

fn verdict(moisture: &thermal::Moisture, outcome: CondensationOutcome) -> String {
    let surface = if moisture.mould.holds() {
        "The plain inner surface stays free of mould"
    } else {
        "The plain inner surface is at risk of mould"
    };
    let most = moisture.interstitial.most.value.as_kg_per_m2();
    let inside = match outcome {
        CondensationOutcome::None => String::from("no moisture condenses in the wall in any month"),
        CondensationOutcome::DriesWithinYear => {
            format!("at most {most:.3} kg/m2 condenses in winter and dries within the year")
        }
        CondensationOutcome::Accumulates => {
            format!("moisture gathers from year to year, up to {most:.3} kg/m2 in the first")
        }
    };
    format!(
        "{surface}; {inside}. Monthly steady method; thermal bridges, rain and built-in moisture are not in it."
    )
}

/// Anchors of a density as point bridges.
pub(crate) fn bridges(per_m2: f64, anchor: &material::Anchor) -> PointBridges {
    PointBridges {
        per_area: PerArea::from_per_m2(per_m2),
        chi: anchor.point_transmittance,
        from: Source::Catalogue(anchor.article.key.clone()),
    }
}
