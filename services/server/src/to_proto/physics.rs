//! The answers of the single questions of building physics.

use api::v1;
use material::Assortment;
use moisture_transport::{Drying, DryingAnswer};
use quantity::{Currency, Duration};
use rules::RuleBook;
use thermal::{Dynamics, Economy, Ranged, Saving, SavingTerms, UncertainInput};
use thermal_bridge::{Junction, ParameterUnit, Section, Solution, SurfacePoint};
use working::Standing;

use super::common::{assumptions, drawings, findings};
use super::sheet;

mod wall;

pub use wall::wall;

use crate::calls::Said;

/// Where an answer comes from; without a catalogue where nothing was taken from one.
pub fn provenance(
    standards: &[(&'static str, Standing)],
    assortment: Option<&Assortment>,
    rules: &RuleBook,
) -> v1::Provenance {
    let none = Assortment::empty("", Currency::EUR);
    super::common::provenance(standards, assortment.unwrap_or(&none), rules)
}

/// The details of the rule data.
pub fn details(rules: &RuleBook) -> v1::ListDetailsResponse {
    let unit = |unit: ParameterUnit| match unit {
        ParameterUnit::Millimetre => "mm",
        ParameterUnit::WattPerMetreKelvin => "W/(m.K)",
        ParameterUnit::SquareMetreKelvinPerWatt => "m2.K/W",
        ParameterUnit::Celsius => "degC",
        ParameterUnit::Number => "1",
    };
    let details = rules.details.iter().map(|(key, detail)| v1::BridgeDetail {
        key: key.clone(),
        title: detail.title.clone(),
        note: detail.note.clone(),
        source: detail.source.clone(),
        parameters: detail
            .parameters
            .iter()
            .map(|p| v1::BridgeParameter {
                name: p.name.clone(),
                meaning: p.meaning.clone(),
                unit: unit(p.unit).to_owned(),
                usual: p.default,
                lowest: p.lowest,
                highest: p.highest,
                source: p.source.clone(),
            })
            .collect(),
    });
    v1::ListDetailsResponse {
        provenance: Some(provenance(&[], None, rules)),
        details: details.collect(),
    }
}

fn surface(name: &str, at: SurfacePoint) -> v1::BridgeTemperature {
    v1::BridgeTemperature {
        name: name.to_owned(),
        x_mm: at.point.x.as_mm(),
        y_mm: at.point.y.as_mm(),
        temperature_c: at.temperature.as_celsius(),
    }
}

/// A solved section.
pub fn bridge(
    wire: &v1::BridgeRequest,
    title: &str,
    section: &Section,
    solution: &Solution,
    junction: &Junction,
    said: Said,
) -> v1::BridgeResponse {
    let environments = section.model.environments.iter().enumerate();
    let flows = environments.map(|(i, e)| v1::BridgeFlow {
        environment: e.name.clone(),
        flow_w_per_m: solution.flow(i).unwrap_or_default().as_w_per_m(),
        coldest: solution.coldest_surface(i).map(|at| surface(&e.name, at)),
    });
    let flanks = section.flanks.iter().zip(&junction.flanks);
    let flanks = flanks.map(|(flank, u)| v1::BridgeFlankResult {
        name: flank.name.clone(),
        u_w_per_m2k: u.value.as_w_per_m2k(),
    });
    let points = section.points.iter().filter_map(|(name, point)| {
        let temperature = solution.temperature_at(*point)?;
        let at = SurfacePoint {
            point: *point,
            temperature,
        };
        Some(surface(name, at))
    });
    let grids = solution.refinements().iter().map(|r| v1::BridgeGrid {
        lines_across: u32::try_from(r.lines.0).unwrap_or(u32::MAX),
        lines_up: u32::try_from(r.lines.1).unwrap_or(u32::MAX),
        coupling_w_per_mk: r.coupling.as_w_per_mk(),
        flow_change_share: r.flow_change,
        factor_change_share: r.factor_change,
    });
    let parameters = section
        .parameters
        .iter()
        .map(|(name, value)| v1::NamedValue {
            name: name.clone(),
            value: *value,
        });
    v1::BridgeResponse {
        reference: wire.reference.clone(),
        provenance: Some(said.provenance),
        findings: findings(&said.findings),
        assumptions: assumptions(&said.assumptions),
        title: title.to_owned(),
        parameters: parameters.collect(),
        flows: flows.collect(),
        coupling_w_per_mk: junction.coupling.value.as_w_per_mk(),
        psi_inner_w_per_mk: junction.psi_inner.value.as_w_per_mk(),
        psi_outer_w_per_mk: junction.psi_outer.value.as_w_per_mk(),
        flanks: flanks.collect(),
        coldest: Some(surface("coldest inner surface", junction.coldest)),
        factor_share: junction.factor.value,
        points: points.collect(),
        grids: grids.collect(),
        imbalance_share: junction.imbalance,
        drawings: drawings(&said.drawings),
        sheet: sheet::asked_for(&said.sheet, said.include),
    }
}

/// Dynamic thermal characteristics.
pub fn dynamics(
    wire: &v1::DynamicsRequest,
    found: &Dynamics,
    period: Duration,
    said: Said,
) -> v1::DynamicsResponse {
    v1::DynamicsResponse {
        reference: wire.reference.clone(),
        provenance: Some(said.provenance),
        findings: findings(&said.findings),
        assumptions: assumptions(&said.assumptions),
        period_hours: period.as_hours(),
        u_w_per_m2k: found.transmittances.u_corrected.value.as_w_per_m2k(),
        periodic_u_w_per_m2k: found.periodic.value.as_w_per_m2k(),
        decrement_share: found.decrement.value,
        shift_hours: found.shift.value.as_hours(),
        admittance_inside_w_per_m2k: found.admittance_inside.value.as_w_per_m2k(),
        shift_inside_hours: found.shift_inside.value.as_hours(),
        admittance_outside_w_per_m2k: found.admittance_outside.value.as_w_per_m2k(),
        shift_outside_hours: found.shift_outside.value.as_hours(),
        capacity_inside_j_per_m2k: found.capacity_inside.value.as_j_per_m2k(),
        capacity_outside_j_per_m2k: found.capacity_outside.value.as_j_per_m2k(),
        drawings: drawings(&said.drawings),
        sheet: sheet::asked_for(&said.sheet, said.include),
    }
}

/// The board that is priced.
pub struct Priced<'a> {
    /// Its key.
    pub board: &'a str,
    pub currency: Currency,
    /// What the anchors cost at each point of the curve, and their length in mm.
    pub anchors: &'a [(f64, i32)],
}

/// The economic thickness.
pub fn economy(
    wire: &v1::EconomyRequest,
    priced: &Priced<'_>,
    found: &Economy,
    said: Said,
) -> v1::EconomyResponse {
    let mm = |place: Option<usize>| {
        let point = found.curve.get(place?)?;
        Some(point.thickness.as_mm().round() as i32)
    };
    let none = core::iter::repeat(&(0.0, 0));
    let anchors = priced.anchors.iter().chain(none);
    let curve = found.curve.iter().zip(anchors);
    let curve = curve.map(|(p, (anchors, length))| v1::EconomyPoint {
        thickness_mm: p.thickness.as_mm().round() as i32,
        u_w_per_m2k: p.u_corrected.as_w_per_m2k(),
        board_cost_per_m2: p.boards - anchors,
        energy_cost_per_m2: p.energy,
        total_cost_per_m2: p.total,
        admissible: p.admissible,
        anchor_cost_per_m2: *anchors,
        anchor_length_mm: *length,
    });
    v1::EconomyResponse {
        reference: wire.reference.clone(),
        provenance: Some(said.provenance),
        findings: findings(&said.findings),
        assumptions: assumptions(&said.assumptions),
        board: priced.board.to_owned(),
        currency: priced.currency.code().to_owned(),
        curve: curve.collect(),
        best_thickness_mm: mm(found.best),
        cheapest_thickness_mm: mm(found.cheapest),
        answer: found.text.clone(),
        drawings: drawings(&said.drawings),
        sheet: sheet::asked_for(&said.sheet, said.include),
    }
}

fn amount(ranged: Ranged) -> v1::SavingAmount {
    v1::SavingAmount {
        least: ranged.least,
        likely_low: ranged.likely_low,
        value: ranged.value,
        likely_high: ranged.likely_high,
        most: ranged.most,
    }
}

/// An uncertain input by its name on the wire.
pub fn input(input: UncertainInput) -> v1::SavingInput {
    match input {
        UncertainInput::TransmittanceBefore => v1::SavingInput::TransmittanceBefore,
        UncertainInput::TransmittanceAfter => v1::SavingInput::TransmittanceAfter,
        UncertainInput::BridgesBefore => v1::SavingInput::BridgesBefore,
        UncertainInput::BridgesAfter => v1::SavingInput::BridgesAfter,
        UncertainInput::DegreeTime => v1::SavingInput::DegreeDays,
        UncertainInput::Efficiency => v1::SavingInput::Efficiency,
        UncertainInput::Price => v1::SavingInput::Price,
        UncertainInput::Emission => v1::SavingInput::Emission,
    }
}

/// The saving of a year.
pub fn saving(
    wire: &v1::SavingRequest,
    found: &Saving,
    terms: &SavingTerms,
    said: Said,
) -> v1::SavingResponse {
    let effects = found.effects.iter().map(|e| v1::SavingEffect {
        input: input(e.input).into(),
        low_kwh: e.energy_kwh.0,
        high_kwh: e.energy_kwh.1,
        low_money: e.money.0,
        high_money: e.money.1,
        why: e.why.clone(),
    });
    v1::SavingResponse {
        reference: wire.reference.clone(),
        provenance: Some(said.provenance),
        findings: findings(&said.findings),
        assumptions: assumptions(&said.assumptions),
        before_w_per_k: found.before.value.as_w_per_k(),
        after_w_per_k: found.after.value.as_w_per_k(),
        degree_days: terms.degree_time.as_kelvin_days(),
        energy_before_kwh: found.energy_before.value.as_kwh(),
        energy_after_kwh: found.energy_after.value.as_kwh(),
        energy_kwh: Some(amount(found.energy_range_kwh)),
        money: Some(amount(found.money_range)),
        currency: terms.currency.code().to_owned(),
        emission_kg: Some(amount(found.emission_range_kg)),
        effects: effects.collect(),
        drawings: drawings(&said.drawings),
        sheet: sheet::asked_for(&said.sheet, said.include),
    }
}

/// How the wall dries.
pub fn drying(wire: &v1::DryingRequest, found: &DryingAnswer, said: Said) -> v1::DryingResponse {
    let one = |(asked, drying): (&v1::DryingCandidate, &Drying)| v1::DryingResult {
        name: drying.name.clone(),
        system: asked.system.clone(),
        board_thickness_mm: asked.board_thickness_mm,
        start_kg_per_m3: drying.start.as_kg_per_m3(),
        end_kg_per_m3: drying.end.as_kg_per_m3(),
        target_kg_per_m3: drying.target.as_kg_per_m3(),
        dry_after_days: drying.dry_after.map(Duration::as_days),
        half_after_days: drying.half_after.map(Duration::as_days),
        curve: drying
            .curve
            .iter()
            .map(|p| v1::DryingPoint {
                after_days: p.after.as_days(),
                water_kg_per_m3: p.water.as_kg_per_m3(),
                total_kg_per_m2: p.total.as_kg_per_m2(),
            })
            .collect(),
        answer: drying.answer.clone(),
    };
    let order = found.order.iter();
    v1::DryingResponse {
        reference: wire.reference.clone(),
        provenance: Some(said.provenance),
        findings: findings(&said.findings),
        assumptions: assumptions(&said.assumptions),
        answer: found.answer.clone(),
        results: wire
            .candidates
            .iter()
            .zip(&found.candidates)
            .map(one)
            .collect(),
        order: order
            .map(|i| u32::try_from(*i).unwrap_or(u32::MAX))
            .collect(),
        drawings: drawings(&said.drawings),
        sheet: sheet::asked_for(&said.sheet, said.include),
    }
}
