//! Boards, order list, totals, water.

use api::v1;

use super::said::{amount, number, paragraph, section};
use super::table::{Align, Table};

pub(super) fn boards(out: &mut String, layout: &v1::Layout) {
    if layout.totals.is_empty() {
        return;
    }
    section(out, "BOARDS");
    let mut table = Table::new([
        ("Board", Align::Left),
        ("mm", Align::Right),
        ("Boards", Align::Right),
        ("whole", Align::Right),
        ("cut pieces", Align::Right),
        ("cuts", Align::Right),
        ("Wall m2", Align::Right),
        ("Offcuts m2", Align::Right),
        ("Scrap m2", Align::Right),
        ("At least", Align::Right),
        ("Plain layout", Align::Wrap),
    ]);
    for total in &layout.totals {
        let plain = format!(
            "{} boards, {} cuts",
            total.baseline_board_count, total.baseline_cut_count
        );
        let least = total.bound_effective_count.max(total.bound_area_count);
        table.row([
            total.board.clone(),
            total.thickness_mm.to_string(),
            total.board_count.to_string(),
            total.whole_count.to_string(),
            total.cut_piece_count.to_string(),
            total.cut_count.to_string(),
            number(total.net_area_m2, 1),
            number(total.offcut_area_m2, 1),
            number(total.scrap_area_m2, 1),
            if total.proven {
                format!("{least} (proven)")
            } else {
                least.to_string()
            },
            if total.baseline_board_count == 0 {
                String::new()
            } else {
                plain
            },
        ]);
    }
    table.print(out);
    joints(out, layout);
    if let Some(text) = not_kept(layout.breaches.len()) {
        paragraph(out, &text);
    }
    rule_costs(out, layout);
    leftovers(out, layout);
    cutting(out, layout);
}

/// The joints of all facades together; each by itself is in the machine form.
fn joints(out: &mut String, layout: &v1::Layout) {
    let upright: f64 = layout.joints.iter().map(|j| j.vertical_m).sum();
    let level: f64 = layout.joints.iter().map(|j| j.level_m).sum();
    if upright + level > 0.0 {
        let [upright, level] = [upright, level].map(|m| number(m, 1));
        paragraph(
            out,
            &format!("Joints between boards: {upright} m upright, {level} m level."),
        );
    }
}

fn rule_costs(out: &mut String, layout: &v1::Layout) {
    if layout.rule_costs.is_empty() {
        return;
    }
    section(out, "WHAT THE RULES COST");
    let mut table = Table::new([("Rule", Align::Left), ("Boards", Align::Right)]);
    for cost in &layout.rule_costs {
        table.row([cost.rule.clone(), cost.board_count.to_string()]);
    }
    table.print(out);
}

fn leftovers(out: &mut String, layout: &v1::Layout) {
    if layout.leftovers.is_empty() || layout.boards.is_empty() {
        return;
    }
    section(out, "OFFCUTS LEFT");
    let mut table = Table::new([
        ("Board", Align::Left),
        ("mm x mm", Align::Right),
        ("Pieces", Align::Right),
    ]);
    for left in &layout.leftovers {
        table.row([
            left.board.clone(),
            format!("{} x {}", left.width_mm, left.height_mm),
            left.count.to_string(),
        ]);
    }
    table.print(out);
}

fn cutting(out: &mut String, layout: &v1::Layout) {
    let cut: Vec<_> = layout
        .boards
        .iter()
        .filter(|b| b.parts.len() > 1 || b.parts.iter().any(|p| p.order > 0))
        .collect();
    if cut.is_empty() {
        return;
    }
    section(out, "CUTTING LIST");
    let mut table = Table::new([
        ("Board no.", Align::Right),
        ("Board", Align::Left),
        ("Cut", Align::Right),
        ("Piece", Align::Right),
        ("Course", Align::Left),
        ("mm x mm", Align::Right),
        ("from left, from below mm", Align::Right),
        ("", Align::Left),
    ]);
    let place = |number: u32| layout.pieces.iter().find(|p| p.number == number);
    for board in cut {
        for part in &board.parts {
            let piece = place(part.piece);
            table.row([
                board.number.to_string(),
                board.board.clone(),
                if part.order == 0 {
                    String::new()
                } else {
                    part.order.to_string()
                },
                if part.piece == 0 {
                    "offcut".to_owned()
                } else {
                    part.piece.to_string()
                },
                piece
                    .map(|p| format!("{}, course {}", p.facade, p.course))
                    .unwrap_or_default(),
                format!("{} x {}", part.width_mm, part.height_mm),
                format!("{}, {}", part.x_mm, part.y_mm),
                if part.turned { "turned" } else { "" }.to_owned(),
            ]);
        }
    }
    table.print(out);
}

pub(super) fn order(out: &mut String, kit: &v1::Kit) {
    areas(out, kit);
    lines(out, kit);
    totals(out, kit);
    if !kit.water.is_empty() {
        section(out, "WATER ON SITE");
        let mut table = Table::new([("For", Align::Left), ("Litres", Align::Right)]);
        for water in &kit.water {
            table.row([water.purpose.clone(), number(water.water_l, 0)]);
        }
        table.print(out);
    }
}

fn areas(out: &mut String, kit: &v1::Kit) {
    if kit.areas.is_empty() {
        return;
    }
    section(out, "AREAS");
    let mut table = Table::new([
        ("Facade", Align::Left),
        ("Gross m2", Align::Right),
        ("Net m2", Align::Right),
        ("with reveals m2", Align::Right),
        ("Finished surface m2", Align::Right),
        ("Billed m2", Align::Right),
    ]);
    for area in &kit.areas {
        table.row([
            if area.facade.is_empty() {
                "All".to_owned()
            } else {
                area.facade.clone()
            },
            number(area.gross_m2, 2),
            number(area.net_m2, 2),
            number(area.with_reveals_m2, 2),
            number(area.developed_m2, 2),
            number(area.billed_m2, 2),
        ]);
    }
    table.print(out);
    if !kit.measurement.is_empty() {
        paragraph(
            out,
            &format!(
                "Billed by {}; nothing is bought from the billed area.",
                kit.measurement
            ),
        );
    }
    billed_lengths(out, kit);
}

/// What is billed by the metre, and by stages of height.
fn billed_lengths(out: &mut String, kit: &v1::Kit) {
    let all = kit.areas.iter().find(|area| area.facade.is_empty());
    let lengths = all.map_or([0.0; 3], |all| {
        [all.billed_base_m, all.billed_reveals_m, all.billed_strips_m]
    });
    let told = ["base line", "reveals", "facades that are strips"]
        .into_iter()
        .zip(lengths);
    let told: Vec<String> = told
        .filter(|(_, length)| *length > 0.0)
        .map(|(name, length)| format!("{name} {} m", number(length, 2)))
        .collect();
    if !told.is_empty() {
        paragraph(out, &format!("By the metre: {}.", told.join(", ")));
    }
    for area in &kit.areas {
        for stage in &area.billed_stages {
            let [from, to] = [stage.from_m, stage.to_m].map(|m| number(m, 2));
            let size = number(stage.area_m2, 2);
            let facade = &area.facade;
            let text = format!("{facade}, {from} to {to} m above ground: {size} m2 of it.");
            paragraph(out, &text);
        }
    }
}

fn lines(out: &mut String, kit: &v1::Kit) {
    section(out, "ORDER LIST");
    if kit.lines.is_empty() {
        paragraph(out, "Nothing to order.");
        return;
    }
    let mut table = Table::new([
        ("Article", Align::Wrap),
        ("Size", Align::Left),
        ("For", Align::Wrap),
        ("Net", Align::Right),
        ("Waste", Align::Right),
        ("", Align::Left),
        ("Buy", Align::Right),
        ("Packs", Align::Left),
        ("Left", Align::Right),
        ("A pack", Align::Right),
        ("Total", Align::Right),
        ("", Align::Wrap),
    ]);
    for line in &kit.lines {
        let short = line.short_packs.filter(|n| *n > 0);
        let purpose = line
            .purpose
            .strip_prefix(&line.size)
            .unwrap_or(&line.purpose);
        table.row([
            line.name.clone(),
            size(line),
            purpose.trim_start_matches([':', ' ']).to_owned(),
            need(line.net),
            if line.waste > 0.0 {
                number(line.waste, 1)
            } else {
                String::new()
            },
            line.unit.clone(),
            line.packs.to_string(),
            packs(line),
            number(line.leftover, 1),
            amount(line.price.as_ref()),
            amount(line.total.as_ref()),
            short
                .map(|n| format!("{n} not in stock"))
                .unwrap_or_default(),
        ]);
    }
    table.print(out);
}

/// How many places do not keep a rule, if any.
fn not_kept(places: usize) -> Option<String> {
    match places {
        0 => None,
        1 => Some(
            "1 place does not keep a rule of setting-out; it stands among the findings.".into(),
        ),
        _ => Some(format!(
            "{places} places do not keep a rule of setting-out; they stand among the findings."
        )),
    }
}

/// What is needed, in tenths, and a little of something in as many digits as show it.
fn need(net: f64) -> String {
    let shown = (1..=3_usize).find(|decimals| net >= 0.5 * 0.1_f64.powi(*decimals as i32));
    number(net, shown.unwrap_or(1))
}

/// The length of what is measured along it, in the metres of the line's other figures.
fn metres(line: &v1::KitLine) -> Option<f64> {
    let along = matches!(line.unit.as_str(), "m" | "m2");
    let millimetres = line.size.strip_suffix(" mm").filter(|_| along)?;
    let metres = millimetres.parse::<f64>().ok()? / 1000.0;
    (metres > 0.0).then_some(metres)
}

/// The size of a line.
fn size(line: &v1::KitLine) -> String {
    metres(line).map_or_else(
        || line.size.clone(),
        |metres| format!("{} m", plain(metres)),
    )
}

/// How many bars or short rolls a pack of metres holds, and how long each is: packs are counted out on site.
fn in_lengths(line: &v1::KitLine) -> Option<(f64, String)> {
    let metres = metres(line).filter(|_| line.unit == "m")?;
    let count = line.pack_content / metres;
    let whole = (count - count.round()).abs() < 1e-6 && count > 1.5;
    whole.then(|| (count.round(), size(line)))
}

/// What is bought, to be read on from the number of packs: `buckets of 20 kg`, and on how many pallets they come if one does not hold them.
fn packs(line: &v1::KitLine) -> String {
    if line.pack_name.is_empty() {
        return "no article".to_owned();
    }
    let name = if line.packs == 1 {
        line.pack_name.clone()
    } else {
        plural(&line.pack_name)
    };
    let pack = match in_lengths(line) {
        Some((count, length)) => format!("{name} of {count} x {length}"),
        None => format!("{name} of {} {}", plain(line.pack_content), line.unit),
    };
    match line.pallets {
        Some(pallets @ 2..) => format!("{pack}, on {pallets} pallets"),
        _ => pack,
    }
}

/// The plural of a pack's name. A catalogue may name its packs in another language: what is no lower-case English word stays as it is.
fn plural(name: &str) -> String {
    let is_word = name.ends_with(|c: char| c.is_ascii_lowercase())
        && name.starts_with(|c: char| c.is_ascii_lowercase());
    let hisses = ["s", "x", "z", "ch", "sh"]
        .iter()
        .any(|end| name.ends_with(end));
    match (is_word, hisses) {
        (false, _) => name.to_owned(),
        (true, true) => format!("{name}es"),
        (true, false) => format!("{name}s"),
    }
}

/// A pack's content in the fewest digits.
fn plain(content: f64) -> String {
    let text = format!("{content:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn totals(out: &mut String, kit: &v1::Kit) {
    section(out, "TOTALS");
    let mut table = Table::new([("", Align::Left), ("", Align::Right), ("", Align::Left)]);
    let mut money = |name: &str, sum: Option<&v1::Money>| {
        if let Some(sum) = sum {
            table.row([name.to_owned(), amount(Some(sum)), sum.currency.clone()]);
        }
    };
    money("Materials", kit.net_price.as_ref());
    if !kit.tax_share.is_empty() {
        money("Tax", kit.tax.as_ref());
        money("With tax", kit.gross_price.as_ref());
    }
    let mut mass = |name: &str, value: f64, decimals: usize, unit: &str| {
        if value > 0.0 {
            table.row([name.to_owned(), number(value, decimals), unit.to_owned()]);
        }
    };
    mass("System on the wall", kit.mass_kg_per_m2, 1, "kg/m2");
    mass(
        "Boards, mesh, mortars and coats as ordered",
        kit.mass_kg,
        0,
        "kg",
    );
    table.print(out);
    if kit.tax_share.is_empty() && kit.net_price.is_some() {
        paragraph(out, "No tax is reckoned: the request tells no tax share.");
    }
    if kit.unpriced_count > 0 {
        paragraph(
            out,
            &format!(
                "{} lines have no price and are not in the sum.",
                kit.unpriced_count
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(packs: u64, pack_name: &str, pack_content: f64, unit: &str) -> v1::KitLine {
        v1::KitLine {
            packs,
            pack_name: pack_name.into(),
            pack_content,
            unit: unit.into(),
            ..v1::KitLine::default()
        }
    }

    #[test]
    fn packs_are_read_with_their_number_and_unit() {
        for (line, read) in [
            (line(4, "bucket", 20.0, "kg"), "buckets of 20 kg"),
            (line(1, "can", 0.75, "l"), "can of 0.75 l"),
            (line(9, "box", 100.0, "pc"), "boxes of 100 pc"),
            (line(2, "Eimer", 25.0, "kg"), "Eimer of 25 kg"),
        ] {
            assert_eq!(packs(&line), read);
        }
        let many = v1::KitLine {
            pallets: Some(6),
            ..line(121, "bucket", 25.0, "kg")
        };
        assert_eq!(packs(&many), "buckets of 25 kg, on 6 pallets");
        let bars = |size: &str| v1::KitLine {
            size: size.into(),
            ..line(1, "pack", 62.5, "m")
        };
        assert_eq!(packs(&bars("2500 mm")), "pack of 25 x 2.5 m");
        assert_eq!(packs(&bars("3000 mm")), "pack of 62.5 m");
        assert_eq!(packs(&line(0, "", 0.0, "m2")), "no article");
    }

    #[test]
    fn joints_of_all_facades_are_told_together() {
        let joints = |vertical_m: f64, level_m: f64| v1::BoardJoints {
            vertical_m,
            level_m,
            ..v1::BoardJoints::default()
        };
        let layout = v1::Layout {
            totals: vec![v1::BoardTotal::default()],
            joints: vec![joints(40.25, 1000.0), joints(9.5, 60.5)],
            ..v1::Layout::default()
        };
        let mut out = String::new();
        boards(&mut out, &layout);
        let told = "Joints between boards: 49.8 m upright, 1 060.5 m level.";
        assert!(out.contains(told), "{out}");
    }

    #[test]
    fn a_little_of_something_is_not_nothing() {
        for (net, read) in [
            (0.0, "0.0"),
            (0.04, "0.04"),
            (0.05, "0.1"),
            (0.004, "0.004"),
            (1234.56, "1 234.6"),
        ] {
            assert_eq!(need(net), read);
        }
    }

    #[test]
    fn lengths_are_in_metres_where_their_quantities_are() {
        for (unit, told, read) in [
            ("m", "2500 mm", "2.5 m"),
            ("m2", "50000 mm", "50 m"),
            ("pc", "160 mm", "160 mm"),
            ("m", "", ""),
        ] {
            let bar = v1::KitLine {
                size: told.into(),
                ..line(1, "pack", 50.0, unit)
            };
            assert_eq!(size(&bar), read);
        }
    }
}
