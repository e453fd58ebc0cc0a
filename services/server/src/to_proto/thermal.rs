//! Thickness, transmittance, moisture.

use api::v1;
use estimate::{
    ChosenSystem, CondensationOutcome, LimitCheck, Moisture, MoistureMonth, SizingRow, Thermal,
    WallLayer,
};

pub(super) fn chosen(system: &ChosenSystem) -> v1::ChosenSystem {
    v1::ChosenSystem {
        key: system.key.clone(),
        name: system.name.clone(),
        board: system.board.clone(),
        thickness_mm: system.thickness.0,
        finish: system.finish.clone(),
        reaction_to_fire: system.reaction_to_fire.clone(),
        attachment: system.attachment.clone(),
    }
}

pub(super) fn part(thermal: &Thermal) -> v1::ThermalPart {
    v1::ThermalPart {
        u_before_w_per_m2k: thermal.before.as_w_per_m2k(),
        u_uncorrected_w_per_m2k: thermal.uncorrected.as_w_per_m2k(),
        u_after_w_per_m2k: thermal.after.as_w_per_m2k(),
        resistance_m2k_per_w: thermal.resistance.as_m2k_per_w(),
        anchors_per_m2: thermal.anchors_per_m2,
        limits: thermal.limits.iter().map(limit).collect(),
        sizing: thermal.sizing.iter().map(sizing_row).collect(),
        layers: thermal.layers.iter().map(layer).collect(),
        moisture: Some(moisture(&thermal.moisture)),
    }
}

fn limit(check: &LimitCheck) -> v1::LimitCheck {
    v1::LimitCheck {
        key: check.key.clone(),
        source: check.source.clone(),
        text: check.text.clone(),
        holds: check.holds,
        utilisation_share: check.utilisation,
    }
}

fn sizing_row(row: &SizingRow) -> v1::SizingRow {
    v1::SizingRow {
        thickness_mm: row.thickness.0,
        u_w_per_m2k: row.transmittance.as_w_per_m2k(),
        holds: row.holds,
    }
}

pub(super) fn layer(layer: &WallLayer) -> v1::WallLayer {
    v1::WallLayer {
        name: layer.name.clone(),
        thickness_mm: layer.thickness.as_mm(),
        conductivity_w_per_mk: layer.conductivity.as_w_per_mk(),
        resistance_m2k_per_w: layer.resistance.as_m2k_per_w(),
        vapour_thickness_m: layer.vapour_thickness.as_m(),
        outer_celsius: layer.outer_temperature.as_celsius(),
    }
}

pub(super) fn moisture(moisture: &Moisture) -> v1::Moisture {
    let outcome = match moisture.outcome {
        // A default answer without months was not assessed.
        _ if moisture.months.is_empty() => v1::CondensationOutcome::Unspecified,
        CondensationOutcome::None => v1::CondensationOutcome::None,
        CondensationOutcome::DriesWithinYear => v1::CondensationOutcome::DriesWithinYear,
        CondensationOutcome::Accumulates => v1::CondensationOutcome::Accumulates,
    };
    v1::Moisture {
        factor_share: moisture.factor,
        factor_min_share: moisture.factor_min,
        critical_month: u32::from(moisture.critical_month),
        mould_safe: moisture.mould_safe,
        outcome: outcome.into(),
        accumulated_max_kg_per_m2: moisture.accumulated_max.as_kg_per_m2(),
        months: moisture.months.iter().map(month).collect(),
        verdict: moisture.verdict.clone(),
    }
}

fn month(month: &MoistureMonth) -> v1::MoistureMonth {
    v1::MoistureMonth {
        month: u32::from(month.month),
        outdoor_celsius: month.outdoor.as_celsius(),
        outdoor_pa: month.outdoor_pressure.as_pa(),
        indoor_pa: month.indoor_pressure.as_pa(),
        factor_min_share: month.factor_min,
        condensate_kg_per_m2: month.condensate.as_kg_per_m2(),
        accumulated_kg_per_m2: month.accumulated.as_kg_per_m2(),
    }
}
