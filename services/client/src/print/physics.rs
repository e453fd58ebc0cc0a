//! The answers of the single questions of building physics.

use api::v1;

use super::said::{assumptions, findings, head, number, paragraph, provenance, section};
use super::sheet;
use super::table::{Align, Table};
use super::thermal;

/// What stands below the figures of every answer.
macro_rules! close {
    ($out:expr, $answer:expr) => {
        findings(&mut $out, &$answer.findings);
        assumptions(&mut $out, &$answer.assumptions);
        sheet::print(&mut $out, $answer.sheet.as_ref());
        provenance(&mut $out, $answer.provenance.as_ref());
    };
}

fn figures<'a>(out: &mut String, rows: impl IntoIterator<Item = (&'a str, String, &'a str)>) {
    let columns = [("", Align::Left), ("", Align::Right), ("", Align::Left)];
    let mut table = Table::new(columns);
    for (name, value, unit) in rows {
        table.row([name.to_owned(), value, unit.to_owned()]);
    }
    table.print(out);
}

pub(crate) fn details(answer: &v1::ListDetailsResponse) -> String {
    let mut out = String::new();
    head(&mut out, "DETAILS", "", None);
    for detail in &answer.details {
        section(&mut out, &format!("{}: {}", detail.key, detail.title));
        paragraph(&mut out, &detail.note);
        let mut table = Table::new([
            ("Parameter", Align::Left),
            ("What it is", Align::Wrap),
            ("Unit", Align::Left),
            ("Usual", Align::Right),
            ("From", Align::Right),
            ("To", Align::Right),
        ]);
        for p in &detail.parameters {
            table.row([
                p.name.clone(),
                p.meaning.clone(),
                p.unit.clone(),
                p.usual.to_string(),
                p.lowest.to_string(),
                p.highest.to_string(),
            ]);
        }
        table.print(&mut out);
    }
    provenance(&mut out, answer.provenance.as_ref());
    out
}

pub(crate) fn wall(answer: &v1::WallResponse) -> String {
    let mut out = String::new();
    head(&mut out, "WALL", &answer.reference, None);
    let (u, r) = ("W/(m2.K)", "m2.K/W");
    let mut rows = vec![
        (
            "Total resistance",
            number(answer.resistance_m2k_per_w, 3),
            r,
        ),
        ("U, plain", number(answer.u_w_per_m2k, 4), u),
    ];
    if let Some(method) = &answer.combined {
        let share = number(method.error_share * 100.0, 1);
        rows.push(("Upper limit", number(method.upper_m2k_per_w, 3), r));
        rows.push(("Lower limit", number(method.lower_m2k_per_w, 3), r));
        rows.push(("Error at most", share, "%"));
    }
    for c in &answer.corrections {
        rows.push((&c.name, number(c.added_w_per_m2k, 5), u));
    }
    let corrected = if answer.corrections_dropped {
        "U, corrections below 3 % left out"
    } else {
        "U, corrected"
    };
    rows.push((corrected, number(answer.u_corrected_w_per_m2k, 4), u));
    rows.push((
        "U, two significant figures",
        answer.u_rounded_w_per_m2k.to_string(),
        u,
    ));
    figures(&mut out, rows);
    thermal::layers(&mut out, &answer.layers);
    if let Some(moisture) = &answer.moisture {
        thermal::moisture(&mut out, moisture);
    }
    close!(out, answer);
    out
}

pub(crate) fn bridge(answer: &v1::BridgeResponse) -> String {
    let mut out = String::new();
    head(&mut out, "THERMAL BRIDGE", &answer.reference, None);
    paragraph(&mut out, &answer.title);
    let transmittance = "W/(m.K)";
    figures(
        &mut out,
        [
            (
                "Coupling L2D",
                number(answer.coupling_w_per_mk, 4),
                transmittance,
            ),
            (
                "psi, inner dimensions",
                number(answer.psi_inner_w_per_mk, 4),
                transmittance,
            ),
            (
                "psi, outer dimensions",
                number(answer.psi_outer_w_per_mk, 4),
                transmittance,
            ),
            (
                "Temperature factor f_Rsi",
                number(answer.factor_share, 3),
                "",
            ),
        ],
    );
    out.push('\n');
    let mut table = Table::new([
        ("Environment", Align::Left),
        ("Heat W/m", Align::Right),
        ("Coldest degC", Align::Right),
        ("at x mm", Align::Right),
        ("y mm", Align::Right),
    ]);
    for flow in &answer.flows {
        let at = flow.coldest.clone().unwrap_or_default();
        table.row([
            flow.environment.clone(),
            number(flow.flow_w_per_m, 3),
            number(at.temperature_c, 2),
            number(at.x_mm, 1),
            number(at.y_mm, 1),
        ]);
    }
    table.print(&mut out);
    if !answer.points.is_empty() {
        out.push('\n');
        let mut table = Table::new([
            ("Point", Align::Left),
            ("x mm", Align::Right),
            ("y mm", Align::Right),
            ("degC", Align::Right),
        ]);
        for p in &answer.points {
            table.row([
                p.name.clone(),
                number(p.x_mm, 1),
                number(p.y_mm, 1),
                number(p.temperature_c, 2),
            ]);
        }
        table.print(&mut out);
    }
    if !answer.parameters.is_empty() {
        section(&mut out, "PARAMETERS");
        let mut table = Table::new([("", Align::Left), ("", Align::Right)]);
        for p in &answer.parameters {
            table.row([p.name.clone(), p.value.to_string()]);
        }
        table.print(&mut out);
    }
    section(&mut out, "GRIDS");
    let mut table = Table::new([
        ("Lines across", Align::Right),
        ("up", Align::Right),
        ("Flow changed %", Align::Right),
    ]);
    for g in &answer.grids {
        let change = g.flow_change_share.map(|c| number(c * 100.0, 3));
        table.row([
            g.lines_across.to_string(),
            g.lines_up.to_string(),
            change.unwrap_or_default(),
        ]);
    }
    table.print(&mut out);
    paragraph(
        &mut out,
        &format!(
            "Heat in and heat out differ by {:.1e} of the heat that passes.",
            answer.imbalance_share
        ),
    );
    close!(out, answer);
    out
}

pub(crate) fn dynamics(answer: &v1::DynamicsResponse) -> String {
    let mut out = String::new();
    head(&mut out, "DYNAMIC CHARACTERISTICS", &answer.reference, None);
    let (u, capacity) = ("W/(m2.K)", "kJ/(m2.K)");
    figures(
        &mut out,
        [
            ("Period", number(answer.period_hours, 1), "h"),
            ("U", number(answer.u_w_per_m2k, 4), u),
            (
                "Periodic transmittance",
                number(answer.periodic_u_w_per_m2k, 5),
                u,
            ),
            ("Decrement factor", number(answer.decrement_share, 4), ""),
            ("Time shift", number(answer.shift_hours, 2), "h"),
            (
                "Admittance inside",
                number(answer.admittance_inside_w_per_m2k, 3),
                u,
            ),
            ("its time shift", number(answer.shift_inside_hours, 2), "h"),
            (
                "Admittance outside",
                number(answer.admittance_outside_w_per_m2k, 3),
                u,
            ),
            ("its time shift", number(answer.shift_outside_hours, 2), "h"),
            (
                "Heat capacity inside",
                number(answer.capacity_inside_j_per_m2k / 1e3, 2),
                capacity,
            ),
            (
                "Heat capacity outside",
                number(answer.capacity_outside_j_per_m2k / 1e3, 2),
                capacity,
            ),
        ],
    );
    close!(out, answer);
    out
}

pub(crate) fn economy(answer: &v1::EconomyResponse) -> String {
    let mut out = String::new();
    head(&mut out, "ECONOMIC THICKNESS", &answer.reference, None);
    paragraph(&mut out, &answer.answer);
    paragraph(
        &mut out,
        &format!(
            "Board {}, costs in {} per m2.",
            answer.board, answer.currency
        ),
    );
    let mut table = Table::new([
        ("mm", Align::Right),
        ("U W/(m2.K)", Align::Right),
        ("Boards", Align::Right),
        ("Anchors", Align::Right),
        ("Energy", Align::Right),
        ("Together", Align::Right),
        ("", Align::Left),
    ]);
    for p in &answer.curve {
        let best = answer.best_thickness_mm == Some(p.thickness_mm);
        let word = match (best, p.admissible) {
            (true, _) => "least",
            (false, false) => "misses the limit",
            (false, true) => "",
        };
        table.row([
            p.thickness_mm.to_string(),
            number(p.u_w_per_m2k, 3),
            number(p.board_cost_per_m2, 2),
            number(p.anchor_cost_per_m2, 2),
            number(p.energy_cost_per_m2, 2),
            number(p.total_cost_per_m2, 2),
            word.to_owned(),
        ]);
    }
    table.print(&mut out);
    close!(out, answer);
    out
}

pub(crate) fn saving(answer: &v1::SavingResponse) -> String {
    let mut out = String::new();
    head(&mut out, "SAVING", &answer.reference, None);
    figures(
        &mut out,
        [
            ("Heat loss before", number(answer.before_w_per_k, 1), "W/K"),
            ("Heat loss after", number(answer.after_w_per_k, 1), "W/K"),
            ("Degree days", number(answer.degree_days, 0), "K.d"),
            (
                "Energy bought before",
                number(answer.energy_before_kwh, 0),
                "kWh a year",
            ),
            (
                "Energy bought after",
                number(answer.energy_after_kwh, 0),
                "kWh a year",
            ),
        ],
    );
    out.push('\n');
    let mut table = Table::new([
        ("Saved a year", Align::Left),
        ("Value", Align::Right),
        ("Likely from", Align::Right),
        ("to", Align::Right),
        ("Least", Align::Right),
        ("Most", Align::Right),
    ]);
    let amounts = [
        ("Energy kWh".to_owned(), &answer.energy_kwh),
        (format!("Money {}", answer.currency), &answer.money),
        ("Carbon dioxide kg".to_owned(), &answer.emission_kg),
    ];
    for (name, amount) in amounts {
        let a = amount.unwrap_or_default();
        let cells = [a.value, a.likely_low, a.likely_high, a.least, a.most];
        let cells = cells.map(|value| number(value, 0));
        table.row([name].into_iter().chain(cells));
    }
    table.print(&mut out);
    section(&mut out, "WHAT IS UNCERTAIN");
    let mut table = Table::new([
        ("Input", Align::Left),
        ("Money from", Align::Right),
        ("to", Align::Right),
        ("Why", Align::Wrap),
    ]);
    for effect in &answer.effects {
        let name = effect.input().as_str_name();
        let name = name.trim_start_matches("SAVING_INPUT_").to_lowercase();
        table.row([
            name.replace('_', " "),
            number(effect.low_money, 0),
            number(effect.high_money, 0),
            effect.why.clone(),
        ]);
    }
    table.print(&mut out);
    close!(out, answer);
    out
}

pub(crate) fn drying(answer: &v1::DryingResponse) -> String {
    let mut out = String::new();
    head(&mut out, "DRYING", &answer.reference, None);
    paragraph(&mut out, &answer.answer);
    let mut table = Table::new([
        ("Behind", Align::Wrap),
        ("Start kg/m3", Align::Right),
        ("Dry at", Align::Right),
        ("End", Align::Right),
        ("Half after days", Align::Right),
        ("Dry after days", Align::Right),
    ]);
    let days = |days: Option<f64>| days.map_or("not dry".to_owned(), |d| number(d, 0));
    for place in &answer.order {
        let Some(one) = answer.results.get(*place as usize) else {
            continue;
        };
        table.row([
            one.name.clone(),
            number(one.start_kg_per_m3, 1),
            number(one.target_kg_per_m3, 1),
            number(one.end_kg_per_m3, 1),
            days(one.half_after_days),
            days(one.dry_after_days),
        ]);
    }
    table.print(&mut out);
    for one in &answer.results {
        paragraph(&mut out, &one.answer);
    }
    close!(out, answer);
    out
}
