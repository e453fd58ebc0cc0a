//! Wind, zones, anchors, bond.

use api::v1;
use estimate::{
    AnchorPoint, BoardBond, ChosenAnchor, DrillingLine, Fixing, FixingZone, SensitivityRow,
};

pub(super) fn part(fixing: &Fixing) -> v1::FixingPart {
    v1::FixingPart {
        wind_code: fixing.code.clone(),
        basic_velocity_m_per_s: fixing.basic_velocity.as_m_per_s(),
        reference_height_m: fixing.reference_height.as_m(),
        peak_pressure_pa: fixing.peak_pressure.as_pa(),
        zones: fixing.zones.iter().map(zone).collect(),
        anchors: fixing.anchors.iter().map(anchor).collect(),
        count: fixing.count,
        points: fixing.points.iter().map(point).collect(),
        bonded_share: fixing.bonded_share,
        bonding: fixing.bonding.clone(),
        utilisation_share: fixing.utilisation,
        holds: fixing.holds,
        sensitivity: fixing.sensitivity.iter().map(sensitivity).collect(),
        drilling: fixing.drilling.iter().map(drilling).collect(),
        bonds: fixing.bonds.iter().map(bond).collect(),
    }
}

fn bond(bond: &BoardBond) -> v1::BoardBond {
    v1::BoardBond {
        boards: bond.boards.name().to_owned(),
        board: bond.board.clone(),
        bonded_share_min: bond.share,
        bonding: bond.bonding.clone(),
    }
}

fn drilling(line: &DrillingLine) -> v1::DrillingLine {
    v1::DrillingLine {
        facade: line.facade.clone(),
        situation: line.situation.clone(),
        anchor: line.anchor.clone(),
        length_mm: line.length.0,
        drill_diameter_mm: line.drill_diameter.0,
        drill_depth_mm: line.drill_depth.as_mm(),
        hole_depth_mm: line.hole_depth.as_mm(),
        count: line.count,
    }
}

fn zone(zone: &FixingZone) -> v1::FixingZone {
    v1::FixingZone {
        facade: zone.facade.clone(),
        zone: zone.label(),
        x_from_mm: zone.x_from.0,
        x_to_mm: zone.x_to.0,
        y_from_mm: zone.y_from.0,
        y_to_mm: zone.y_to.0,
        suction_pa: zone.suction.as_pa(),
        design_suction_pa: zone.design_suction.as_pa(),
        anchor_resistance_kn: zone.anchor_resistance.as_kn(),
        needed_per_m2: zone.needed_per_m2,
        provided_per_m2: zone.provided_per_m2,
        per_board: zone.per_board,
        count: zone.count,
        utilisation_share: zone.utilisation,
        governing: zone.governing.clone(),
        least_per_m2: zone.least_per_m2,
    }
}

fn anchor(anchor: &ChosenAnchor) -> v1::ChosenAnchor {
    v1::ChosenAnchor {
        situation: anchor.situation.clone(),
        anchor: anchor.anchor.clone(),
        name: anchor.name.clone(),
        length_mm: anchor.length.0,
        length_needed_mm: anchor.length_needed.0,
        drill_diameter_mm: anchor.drill_diameter.0,
        drill_depth_mm: anchor.drill_depth.0,
        plate: anchor.plate.clone(),
        plug: anchor.plug.clone(),
        count: anchor.count,
    }
}

fn point(point: &AnchorPoint) -> v1::AnchorPoint {
    v1::AnchorPoint {
        facade: point.facade.clone(),
        x_mm: point.x.0,
        y_mm: point.y.0,
        zone: point.zone.clone(),
        in_joint: point.in_joint,
        anchor_index: point.anchor as u32,
        zone_index: point.zone_index as u32,
    }
}

fn sensitivity(row: &SensitivityRow) -> v1::SensitivityRow {
    v1::SensitivityRow {
        change: row.change.clone(),
        anchor_count: row.anchors,
        utilisation_share: row.utilisation,
    }
}
