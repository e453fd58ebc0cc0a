//! The insulated wall.

use api::v1;

use super::said::{number, paragraph, section};
use super::table::{Align, Table};

pub(super) fn print(out: &mut String, part: &v1::ThermalPart) {
    section(out, "WALL");
    let mut table = Table::new([("", Align::Left), ("", Align::Right), ("", Align::Left)]);
    let mut row = |name: &str, value: String, unit: &str| {
        table.row([name.to_owned(), value, unit.to_owned()]);
    };
    row("U as it is", number(part.u_before_w_per_m2k, 3), "W/(m2.K)");
    row(
        "U insulated, plain layers",
        number(part.u_uncorrected_w_per_m2k, 3),
        "W/(m2.K)",
    );
    row(
        "U insulated, anchors and profiles counted",
        number(part.u_after_w_per_m2k, 3),
        "W/(m2.K)",
    );
    row(
        "Anchors counted in it",
        number(part.anchors_per_m2, 1),
        "per m2",
    );
    table.print(out);
    limits(out, part);
    sizing(out, part);
    layers(out, &part.layers);
    if let Some(moisture) = &part.moisture {
        self::moisture(out, moisture);
    }
}

fn holds(flag: bool) -> String {
    if flag { "holds" } else { "DOES NOT HOLD" }.to_owned()
}

fn limits(out: &mut String, part: &v1::ThermalPart) {
    if part.limits.is_empty() {
        return;
    }
    out.push('\n');
    let mut table = Table::new([
        ("Limit", Align::Wrap),
        ("Source", Align::Left),
        ("Used", Align::Right),
        ("", Align::Left),
    ]);
    for limit in &part.limits {
        let used = format!("{} %", number(limit.utilisation_share * 100.0, 0));
        table.row([
            limit.text.clone(),
            limit.source.clone(),
            used,
            holds(limit.holds),
        ]);
    }
    table.print(out);
}

fn sizing(out: &mut String, part: &v1::ThermalPart) {
    if part.sizing.len() < 2 {
        return;
    }
    out.push('\n');
    let mut table = Table::new([
        ("Tried mm", Align::Right),
        ("U W/(m2.K)", Align::Right),
        ("Target", Align::Left),
    ]);
    // The last that fail and the first that hold say why; the others say nothing more.
    let first = part
        .sizing
        .iter()
        .position(|row| row.holds)
        .unwrap_or(part.sizing.len());
    for row in part
        .sizing
        .iter()
        .take(first + 2)
        .skip(first.saturating_sub(2))
    {
        table.row([
            row.thickness_mm.to_string(),
            number(row.u_w_per_m2k, 3),
            holds(row.holds),
        ]);
    }
    table.print(out);
    paragraph(
        out,
        "Tried before anything is set out, with the anchors of whole boards and without profiles; U insulated above counts anchors as placed.",
    );
}

pub(super) fn layers(out: &mut String, layers: &[v1::WallLayer]) {
    if layers.is_empty() {
        return;
    }
    out.push('\n');
    let mut table = Table::new([
        ("Layer, inside to outside", Align::Wrap),
        ("mm", Align::Right),
        ("W/(m.K)", Align::Right),
        ("m2K/W", Align::Right),
        ("s_d m", Align::Right),
        ("outer face degC", Align::Right),
    ]);
    for layer in layers {
        table.row([
            layer.name.clone(),
            number(layer.thickness_mm, 1),
            number(layer.conductivity_w_per_mk, 3),
            number(layer.resistance_m2k_per_w, 3),
            number(layer.vapour_thickness_m, 2),
            number(layer.outer_celsius, 1),
        ]);
    }
    table.print(out);
}

pub(super) fn moisture(out: &mut String, moisture: &v1::Moisture) {
    if moisture.verdict.is_empty() && moisture.months.is_empty() {
        return;
    }
    section(out, "MOISTURE");
    paragraph(out, &moisture.verdict);
    let mould = if moisture.mould_safe {
        "stays free of mould"
    } else {
        "IS AT RISK OF MOULD"
    };
    paragraph(
        out,
        &format!(
            "Inner surface: temperature factor {}, at least {} in month {}: {mould}.",
            number(moisture.factor_share, 3),
            number(moisture.factor_min_share, 3),
            moisture.critical_month
        ),
    );
    if moisture.accumulated_max_kg_per_m2 > 0.0 {
        paragraph(
            out,
            &format!(
                "Condensate at its most: {} kg/m2.",
                number(moisture.accumulated_max_kg_per_m2, 3)
            ),
        );
    }
}
