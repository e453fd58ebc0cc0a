//! The fixing design as the answer tells it: zones, anchors, drilling, and every anchor with its place.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use fixing::ZoneAnswer;
use fixing::anchors::Governing;
use fixing::placement::Stand;
use quantity::Mm;

use crate::answer::{AnchorPoint, ChosenAnchor, DrillingLine, Fixing, FixingZone, SensitivityRow};
use crate::fix_part::Fixed;
use crate::parts::Parts;

impl Fixed {
    /// The zones that have anchors, in the order in which they are told.
    fn told_zones(&self) -> impl Iterator<Item = &ZoneAnswer> {
        self.answer.zones.iter().filter(|zone| zone.count > 0)
    }
    /// The answer without the bond, which is judged apart.
    pub fn told(&self, parts: &Parts<'_>) -> Fixing {
        let wind = &self.answer.wind;
        Fixing {
            code: wind.code.clone(),
            basic_velocity: wind.basic_velocity.value,
            reference_height: wind.reference_height.value,
            peak_pressure: wind.peak_pressure.value,
            zones: self.told_zones().map(|zone| self.zone(zone)).collect(),
            anchors: self
                .answer
                .situations
                .iter()
                .filter(|s| s.count > 0)
                .map(|s| chosen(s, parts))
                .collect(),
            drilling: self
                .answer
                .drilling
                .iter()
                .map(|line| DrillingLine {
                    facade: line.facade.clone(),
                    boards: self
                        .boards
                        .get(&line.situation)
                        .cloned()
                        .unwrap_or_default(),
                    situation: line.situation.clone(),
                    anchor: line.anchor.clone(),
                    length: line.length,
                    drill_diameter: line.drill_diameter,
                    drill_depth: line.drill_depth,
                    hole_depth: line.hole_depth,
                    count: line.count,
                })
                .collect(),
            count: self.answer.count,
            points: Vec::new(),
            bonded_share: 0.0,
            bonding: String::new(),
            bonds: Vec::new(),
            utilisation: self.answer.utilisation,
            holds: self.answer.holds,
            sensitivity: self
                .answer
                .sensitivity
                .iter()
                .map(|row| SensitivityRow {
                    change: row.change.clone(),
                    anchors: row.anchors,
                    utilisation: row.utilisation,
                })
                .collect(),
        }
    }
    fn zone(&self, zone: &ZoneAnswer) -> FixingZone {
        let (resistance, provided, utilisation, governing) = match &zone.verified {
            Some(v) => (
                v.resistance.value,
                v.provided.value,
                v.verdict.utilisation,
                v.governing,
            ),
            None => (
                zone.design.resistance.value,
                zone.design.provided.value,
                zone.design.verdict.utilisation,
                zone.design.governing,
            ),
        };
        let least_per_m2 = self
            .answer
            .situations
            .get(zone.situation)
            .map_or(0.0, |s| s.resistance.least.value.as_per_m2());
        let few = zone.verified.as_ref().is_some_and(|v| !v.number.holds);
        let governing = match governing {
            _ if few => format!(
                "{}, {least_per_m2} per m2: DOES NOT HOLD, {:.2} stand there",
                Governing::LeastNumber.words(),
                provided.as_per_m2()
            ),
            Governing::LeastNumber => format!("{}, {least_per_m2} per m2", governing.words()),
            _ => governing.words().to_string(),
        };
        FixingZone {
            facade: zone.facade.clone(),
            zone: zone.strip.zone.to_string(),
            boards: self.part(zone.situation),
            x_from: zone.strip.x_from,
            x_to: zone.strip.x_to,
            y_from: zone.strip.y_from,
            y_to: zone.strip.y_to,
            suction: zone.strip.suction.value,
            design_suction: zone.design.design_suction.value,
            anchor_resistance: resistance,
            needed_per_m2: zone.design.needed.value.as_per_m2(),
            provided_per_m2: provided.as_per_m2(),
            per_board: zone.per_board,
            count: zone.count,
            utilisation,
            too_few: few,
            governing,
            least_per_m2,
        }
    }
    /// Every anchor with its place.
    pub fn points(&self) -> Vec<AnchorPoint> {
        let facades = &self.answer.wind.facades;
        // Only situations that have anchors are told.
        let told = |situation: usize| {
            let before = self.answer.situations.iter().take(situation);
            before.filter(|s| s.count > 0).count()
        };
        // An anchor belongs to a zone that has one, and only such zones are told.
        let zones: BTreeMap<(&str, usize, usize), usize> = self
            .told_zones()
            .enumerate()
            .map(|(i, z)| ((z.facade.as_str(), z.strip_index, z.situation), i))
            .collect();
        self.answer
            .placements
            .iter()
            .zip(facades)
            .flat_map(|(placement, facade)| {
                placement.points.iter().filter_map(|point| {
                    let zone = (facade.id.as_str(), point.zone, point.situation);
                    Some(AnchorPoint {
                        facade: facade.id.clone(),
                        x: point.at.x,
                        y: point.at.y,
                        zone: facade
                            .strips
                            .get(point.zone)
                            .map(|strip| strip.zone.to_string())
                            .unwrap_or_default(),
                        zone_index: *zones.get(&zone)?,
                        in_joint: point.stand == Stand::Joint,
                        anchor: told(point.situation),
                    })
                })
            })
            .collect()
    }
}

fn chosen(s: &fixing::SituationAnswer, parts: &Parts<'_>) -> ChosenAnchor {
    let whole = |length: quantity::Length| Mm(libm::ceil(length.as_mm() - 1e-9) as i32);
    let name = parts
        .anchors
        .iter()
        .find(|a| a.article.key == s.anchor)
        .map(|a| a.article.name.clone());
    ChosenAnchor {
        situation: s.name.clone(),
        anchor: s.anchor.clone(),
        name: name.unwrap_or_default(),
        length: s.length.length,
        length_needed: whole(s.length.needed.value),
        drill_diameter: s.length.drill_diameter,
        drill_depth: whole(s.length.drill_depth.value),
        plate: parts
            .plate
            .filter(|_| s.length.wider_plate)
            .map(|p| p.article.key.clone())
            .unwrap_or_default(),
        plug: parts
            .plug
            .filter(|_| s.length.plugged)
            .map(|p| p.article.key.clone())
            .unwrap_or_default(),
        count: s.count,
    }
}
