//! Wind, anchors, bond.

use api::v1;

use super::said::{number, paragraph, section};
use super::table::{Align, Table};

pub(super) fn print(out: &mut String, part: &v1::FixingPart) {
    section(out, "FIXING");
    if !part.wind_code.is_empty() {
        paragraph(
            out,
            &format!(
                "Wind by {}: basic velocity {} m/s, peak pressure {} Pa at {} m.",
                part.wind_code,
                number(part.basic_velocity_m_per_s, 1),
                number(part.peak_pressure_pa, 0),
                number(part.reference_height_m, 1)
            ),
        );
    }
    for bond in &part.bonds {
        let share = number(bond.bonded_share_min * 100.0, 0);
        paragraph(
            out,
            &format!(
                "Bond of {} boards ({}): {}, at least {share} % of the back.",
                bond.boards, bond.board, bond.bonding
            ),
        );
    }
    zones(out, part);
    anchors(out, part);
    drilling(out, part);
    sensitivity(out, part);
}

fn zones(out: &mut String, part: &v1::FixingPart) {
    if part.zones.is_empty() {
        return;
    }
    out.push('\n');
    let mut table = Table::new([
        ("Facade", Align::Left),
        ("Zone", Align::Left),
        ("x m", Align::Right),
        ("y m", Align::Right),
        ("Suction Pa", Align::Right),
        ("Design Pa", Align::Right),
        ("Needed/m2", Align::Right),
        ("A board", Align::Right),
        ("Anchors", Align::Right),
        ("Used", Align::Right),
        ("Governed by", Align::Wrap),
    ]);
    let metres =
        |from: i32, to: i32| format!("{:.2} - {:.2}", f64::from(from) / 1e3, f64::from(to) / 1e3);
    for zone in &part.zones {
        table.row([
            zone.facade.clone(),
            zone.zone.clone(),
            metres(zone.x_from_mm, zone.x_to_mm),
            metres(zone.y_from_mm, zone.y_to_mm),
            number(zone.suction_pa, 0),
            number(zone.design_suction_pa, 0),
            number(zone.needed_per_m2, 2),
            zone.per_board.to_string(),
            zone.count.to_string(),
            format!("{} %", number(zone.utilisation_share * 100.0, 0)),
            zone.governing.clone(),
        ]);
    }
    table.print(out);
    let verdict = if part.holds {
        "every check holds"
    } else {
        "NOT EVERY CHECK HOLDS"
    };
    let used = number(part.utilisation_share * 100.0, 0);
    paragraph(
        out,
        &format!(
            "{} anchors in all; {used} % of their resistance used at the most; {verdict}.",
            part.count
        ),
    );
}

fn anchors(out: &mut String, part: &v1::FixingPart) {
    if part.anchors.is_empty() {
        return;
    }
    out.push('\n');
    let mut table = Table::new([
        ("Where", Align::Wrap),
        ("Anchor", Align::Left),
        ("Length mm", Align::Right),
        ("Needed mm", Align::Right),
        ("Drill mm", Align::Right),
        ("Depth mm", Align::Right),
        ("Plate", Align::Left),
        ("Plug", Align::Left),
        ("Pieces", Align::Right),
    ]);
    for anchor in &part.anchors {
        table.row([
            anchor.situation.clone(),
            anchor.anchor.clone(),
            anchor.length_mm.to_string(),
            anchor.length_needed_mm.to_string(),
            anchor.drill_diameter_mm.to_string(),
            anchor.drill_depth_mm.to_string(),
            anchor.plate.clone(),
            anchor.plug.clone(),
            anchor.count.to_string(),
        ]);
    }
    table.print(out);
}

fn drilling(out: &mut String, part: &v1::FixingPart) {
    if part.drilling.is_empty() {
        return;
    }
    out.push('\n');
    let mut table = Table::new([
        ("To drill", Align::Left),
        ("Where", Align::Wrap),
        ("Holes", Align::Right),
        ("Drill mm", Align::Right),
        ("In the wall mm", Align::Right),
        ("From the board's face mm", Align::Right),
    ]);
    for line in &part.drilling {
        table.row([
            line.facade.clone(),
            line.situation.clone(),
            line.count.to_string(),
            line.drill_diameter_mm.to_string(),
            number(line.drill_depth_mm, 0),
            number(line.hole_depth_mm, 0),
        ]);
    }
    table.print(out);
}

fn sensitivity(out: &mut String, part: &v1::FixingPart) {
    if part.sensitivity.is_empty() {
        return;
    }
    out.push('\n');
    let mut table = Table::new([
        ("What if", Align::Wrap),
        ("Anchors", Align::Right),
        ("Resistance used", Align::Right),
    ]);
    for row in &part.sensitivity {
        let used = format!("{} %", number(row.utilisation_share * 100.0, 0));
        table.row([row.change.clone(), row.anchor_count.to_string(), used]);
    }
    table.print(out);
}
