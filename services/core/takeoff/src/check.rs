//! Every fault of a job at once, before anything is counted.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use material::{Article, Board, LinearStock, Supply, Unit};
use quantity::{Area, Mm, Quantity};
use working::{Fault, Faults};

use crate::job::{BoardNeed, Job, Parts, find};

/// The most entries of boards or anchors in one job.
const ENTRIES_MAX: usize = 10_000;
/// The most boards or anchors in one entry.
const COUNT_MAX: u64 = 10_000_000;

/// Checks a job.
///
/// # Errors
/// Every fault of the building, the parts, the results of other engines, the rule set and the practice, in that order.
pub fn check(job: &Job) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if let Err(building) = facade::check(job.building) {
        faults.extend(building);
    }
    sizes(job, &mut faults);
    parts(&job.parts, &mut faults);
    laid(job, &mut faults);
    bonds(job, &mut faults);
    anchors(job, &mut faults);
    job.measurement.check("measurement", &mut faults);
    job.measurement.check_rule_data("measurement", &mut faults);
    practice(job, &mut faults);
    faults.or(())
}

fn within(faults: &mut Faults, path: impl Into<String>, value: f64, least: f64, most: f64) {
    if !(least..=most).contains(&value) {
        let reason = if value.is_finite() {
            "OUT_OF_RANGE"
        } else {
            "NOT_FINITE"
        };
        faults.add(
            path,
            reason,
            format!("{value}"),
            format!("{least} to {most}"),
        );
    }
}

fn sizes(job: &Job, faults: &mut Faults) {
    within(
        faults,
        "thickness_mm",
        f64::from(job.thickness.0),
        10.0,
        500.0,
    );
    if let Some(t) = job.plinth_thickness {
        within(faults, "plinth_thickness_mm", f64::from(t.0), 10.0, 500.0);
    }
    if job.courses.len() > 5 {
        let found = format!("{} courses", job.courses.len());
        faults.add("courses", "LIMIT_EXCEEDED", found, "at most 5 courses");
    }
    for (i, course) in job.courses.iter().enumerate() {
        within(
            faults,
            format!("courses[{i}].thickness_mm"),
            course.as_mm(),
            0.1,
            50.0,
        );
    }
    let site = job.site;
    for (path, value, least, most) in [
        ("site.reflection_index", site.reflection_index, 0.0, 100.0),
        ("site.solar_reflectance", site.solar_reflectance, 0.0, 100.0),
        (
            "site.coldest_celsius",
            site.coldest.map(Quantity::si),
            -60.0,
            60.0,
        ),
        (
            "site.warmest_celsius",
            site.warmest.map(Quantity::si),
            -60.0,
            60.0,
        ),
    ] {
        if let Some(value) = value {
            within(faults, path, value, least, most);
        }
    }
}

fn article(faults: &mut Faults, article: &Article) {
    within(
        faults,
        format!("{}.waste-share", article.key),
        article.waste_share,
        0.0,
        1.0,
    );
}

fn supply(faults: &mut Faults, heading: &Article, supply: &Supply, unit: Unit) {
    article(faults, heading);
    let path = format!("{}.pack", heading.key);
    within(
        faults,
        format!("{path}.content"),
        supply.pack.content,
        1e-6,
        1e6,
    );
    if supply.pack.unit != unit {
        faults.add(
            format!("{path}.unit"),
            "WRONG_UNIT",
            supply.pack.unit.code(),
            unit.code(),
        );
    }
}

fn stock(faults: &mut Faults, heading: &Article, stock: &LinearStock) {
    article(faults, heading);
    if stock.sizes.is_empty() {
        faults.add(
            format!("{}.sizes", heading.key),
            "MISSING",
            "no length",
            "at least one length",
        );
    }
    for (i, size) in stock.sizes.iter().enumerate() {
        let path = format!("{}.sizes[{i}]", heading.key);
        within(
            faults,
            format!("{path}.length-mm"),
            f64::from(size.length.0),
            100.0,
            200_000.0,
        );
        within(
            faults,
            format!("{path}.pieces"),
            f64::from(size.pieces),
            1.0,
            100_000.0,
        );
    }
}

/// Ranges of an article's numbers, by key.
fn ranges(faults: &mut Faults, article: &Article, rows: &[(&str, f64, f64, f64)]) {
    for (field, value, least, most) in rows {
        within(
            faults,
            format!("{}.{field}", article.key),
            *value,
            *least,
            *most,
        );
    }
}

fn mm(length: Mm) -> f64 {
    f64::from(length.0)
}

fn parts(parts: &Parts, faults: &mut Faults) {
    boards(parts, faults);
    mortars(parts, faults);
    coats(parts, faults);
    linear(parts, faults);
    pieces(parts, faults);
}

fn boards(parts: &Parts, faults: &mut Faults) {
    for board in [Some(parts.board), parts.plinth_board]
        .into_iter()
        .flatten()
    {
        article(faults, &board.article);
        let rows = [
            ("length-mm", mm(board.length), 50.0, 5000.0),
            ("height-mm", mm(board.height), 50.0, 5000.0),
            ("kerf-mm", mm(board.kerf), 0.0, 20.0),
            ("bonded-share-min", board.bonded_share_min, 0.0, 1.0),
            ("density-kg-per-m3", board.density.si(), 1.0, 2000.0),
        ];
        ranges(faults, &board.article, &rows);
    }
}

fn mortars(parts: &Parts, faults: &mut Faults) {
    for mortar in [parts.bonding_mortar, parts.base_coat_mortar] {
        supply(faults, &mortar.article, &mortar.supply, Unit::Kilogram);
        let water = [("water-l-per-kg", mortar.water_l_per_kg, 0.0, 2.0)];
        ranges(faults, &mortar.article, &water);
        if let Some(b) = mortar.bonding {
            let rows = [
                ("bead-and-dab-kg-per-m2", b.bead_and_dab.si(), 0.0, 100.0),
                ("full-bed-kg-per-m2", b.full_bed.si(), 0.0, 100.0),
                (
                    "kg-per-m2-and-mm-unevenness",
                    b.per_mm_unevenness.si(),
                    0.0,
                    100.0,
                ),
                ("bed-mm", b.bed.as_mm(), 0.0, 100.0),
            ];
            ranges(faults, &mortar.article, &rows);
        }
        if let Some(c) = mortar.base_coat {
            let rows = [("kg-per-m2-and-mm", c.per_mm.si(), 0.0, 10.0)];
            ranges(faults, &mortar.article, &rows);
        }
    }
    let thickness = parts.system.base_coat_thickness.as_mm();
    let rows = [("base-coat-thickness-mm", thickness, 0.1, 50.0)];
    ranges(faults, &parts.system.article, &rows);
}

fn coats(parts: &Parts, faults: &mut Faults) {
    let primer = parts.primer;
    supply(faults, &primer.article, &primer.supply, Unit::Kilogram);
    let rows = [
        ("kg-per-m2", primer.per_area.si(), 0.0, 10.0),
        ("water-share-min", primer.water_share_min, 0.0, 2.0),
        ("water-share-max", primer.water_share_max, 0.0, 2.0),
    ];
    ranges(faults, &primer.article, &rows);
    let finish = parts.finish;
    supply(faults, &finish.article, &finish.supply, Unit::Kilogram);
    let rows = [("kg-per-m2", finish.per_area.si(), 0.0, 50.0)];
    ranges(faults, &finish.article, &rows);
    if let Some(w) = parts.waterproofing {
        supply(faults, &w.article, &w.supply, Unit::Kilogram);
        ranges(
            faults,
            &w.article,
            &[("kg-per-m2", w.per_area.si(), 0.0, 50.0)],
        );
    }
}

fn linear(parts: &Parts, faults: &mut Faults) {
    let mesh = parts.mesh;
    supply(faults, &mesh.article, &mesh.supply, Unit::SquareMetre);
    let rows = [
        ("roll-width-mm", mm(mesh.roll_width), 100.0, 10_000.0),
        ("roll-length-mm", mm(mesh.roll_length), 1000.0, 500_000.0),
        ("overlap-mm", mm(mesh.overlap), 0.0, mm(mesh.roll_width / 2)),
        ("diagonal-width-mm", mm(mesh.diagonal_width), 50.0, 2000.0),
        ("diagonal-length-mm", mm(mesh.diagonal_length), 50.0, 2000.0),
        ("kg-per-m2", mesh.per_area.si(), 0.0, 10.0),
    ];
    ranges(faults, &mesh.article, &rows);
    for bead in &parts.beads {
        stock(faults, &bead.article, &bead.stock);
    }
    if let Some(profile) = parts.base_profile {
        let rows = [
            (
                "fixing-spacing-mm",
                mm(profile.fixing_spacing),
                20.0,
                2000.0,
            ),
            ("joint-gap-mm", mm(profile.joint_gap), 0.0, 20.0),
        ];
        ranges(faults, &profile.article, &rows);
        for (_, sizes) in &profile.sizes {
            stock(faults, &profile.article, sizes);
        }
    }
    if let Some(strip) = parts.sealing_strip {
        stock(faults, &strip.article, &strip.stock);
    }
}

fn pieces(parts: &Parts, faults: &mut Faults) {
    let small = [
        parts.profile_fixing,
        parts.profile_joiner,
        parts.profile_packer,
    ];
    for part in small.into_iter().flatten() {
        supply(faults, &part.article, &part.supply, Unit::Piece);
    }
    if let Some(plate) = parts.plate {
        supply(faults, &plate.article, &plate.supply, Unit::Piece);
    }
    if let Some(plug) = parts.plug {
        supply(faults, &plug.article, &plug.supply, Unit::Piece);
    }
    for element in &parts.elements {
        supply(faults, &element.article, &element.supply, Unit::Piece);
        if let Some(mortar) = element.mortar {
            let rows = [("mortar-kg-per-element", mortar.as_kg(), 0.0, 50.0)];
            ranges(faults, &element.article, &rows);
        }
    }
    if let Some(foam) = parts.foam {
        supply(faults, &foam.article, &foam.supply, Unit::Litre);
        let rows = [("yield-l-per-l", foam.yield_l_per_l, 1.0, 200.0)];
        ranges(faults, &foam.article, &rows);
    }
    if let Some(a) = parts.adhesive {
        supply(faults, &a.article, &a.supply, Unit::Litre);
        let rows = [("litres-per-element", a.litres_per_element, 0.0, 10.0)];
        ranges(faults, &a.article, &rows);
    }
}

fn count(faults: &mut Faults, path: String, found: u64) {
    if found > COUNT_MAX {
        faults.add(
            path,
            "LIMIT_EXCEEDED",
            format!("{found}"),
            format!("at most {COUNT_MAX}"),
        );
    }
}

/// Leftovers are parts of the boards: no larger than one, and no more area than is said to be left.
fn leftovers(need: &BoardNeed, board: &Board, path: &str, faults: &mut Faults) {
    let odd = need.leftovers.iter().position(|l| {
        !(Mm(1)..=board.length).contains(&l.width) || !(Mm(1)..=board.height).contains(&l.height)
    });
    if let Some((at, odd)) = odd.and_then(|at| need.leftovers.get(at).map(|l| (at, l))) {
        faults.add(
            format!("{path}.leftovers[{at}]"),
            "OUT_OF_RANGE",
            format!("{} by {}", odd.width, odd.height),
            format!("1 mm to the board's {} by {}", board.length, board.height),
        );
    }
    let area: Area = need
        .leftovers
        .iter()
        .map(|l| l.width.to_length() * l.height.to_length())
        .sum();
    if area.as_m2() > need.offcut_area.as_m2() * (1.0 + 1e-6) + 1e-6 {
        faults.add(
            format!("{path}.leftovers"),
            "AREA_ABOVE_OFFCUTS",
            format!("{:.3} m2", area.as_m2()),
            format!("at most the {:.3} m2 of offcuts", need.offcut_area.as_m2()),
        );
    }
}

fn laid(job: &Job, faults: &mut Faults) {
    let needs = &job.laid.boards;
    if needs.len() > ENTRIES_MAX {
        faults.add(
            "laid.boards",
            "LIMIT_EXCEEDED",
            format!("{} entries", needs.len()),
            format!("at most {ENTRIES_MAX}"),
        );
    }
    for (i, need) in needs.iter().enumerate().take(ENTRIES_MAX) {
        let path = format!("laid.boards[{i}]");
        count(faults, format!("{path}.boards"), need.boards);
        if need.bound > need.boards {
            faults.add(
                format!("{path}.bound"),
                "BOUND_ABOVE_RESULT",
                format!("a bound of {} above {} boards", need.bound, need.boards),
                "a bound that the result does not undercut",
            );
        }
        for (field, value) in [
            ("net_area_m2", need.net_area.si()),
            ("offcut_area_m2", need.offcut_area.si()),
            ("scrap_area_m2", need.scrap_area.si()),
            ("joint_length_m", need.joint_length.si()),
        ] {
            within(faults, format!("{path}.{field}"), value, 0.0, 1e7);
        }
        let Some(board) = find(&job.parts.assortment.boards, &need.board) else {
            faults.add(
                format!("{path}.board"),
                "UNKNOWN_ARTICLE",
                format!("`{}`", need.board),
                "a board of the assortment",
            );
            continue;
        };
        leftovers(need, board, &path, faults);
        let whole = board.length.to_length() * board.height.to_length() * need.boards as f64;
        if need.net_area.as_m2() > whole.as_m2() * (1.0 + 1e-6) + 1e-6 {
            faults.add(
                format!("{path}.net_area_m2"),
                "AREA_ABOVE_BOARDS",
                format!(
                    "{:.3} m2 from boards of {:.3} m2",
                    need.net_area.as_m2(),
                    whole.as_m2()
                ),
                "no more area than the boards have",
            );
        }
    }
}

fn bonds(job: &Job, faults: &mut Faults) {
    for (i, need) in job.bonds.iter().enumerate() {
        within(faults, format!("bonds[{i}].share"), need.share, 0.0, 1.0);
    }
}

fn anchors(job: &Job, faults: &mut Faults) {
    if job.anchors.len() > ENTRIES_MAX {
        faults.add(
            "anchors",
            "LIMIT_EXCEEDED",
            format!("{} entries", job.anchors.len()),
            format!("at most {ENTRIES_MAX}"),
        );
    }
    for (i, need) in job.anchors.iter().enumerate().take(ENTRIES_MAX) {
        let path = format!("anchors[{i}]");
        count(faults, format!("{path}.count"), need.count);
        let Some(anchor) = find(&job.parts.assortment.anchors, &need.anchor) else {
            faults.add(
                format!("{path}.anchor"),
                "UNKNOWN_ARTICLE",
                format!("`{}`", need.anchor),
                "an anchor of the assortment",
            );
            continue;
        };
        if let Some(stocked) = anchor.lengths.iter().find(|l| l.length == need.length) {
            supply(faults, &anchor.article, &stocked.supply, Unit::Piece);
        }
    }
}

fn practice(job: &Job, faults: &mut Faults) {
    let p = &job.practice;
    for (field, value, least, most) in [
        ("flat_up_to_mm", mm(p.flat_up_to), 0.0, 100.0),
        ("flat_over_mm", mm(p.flat_over), 0.0, 15_000.0),
        ("bead_and_dab_share", p.bead_and_dab_share, 0.0, 1.0),
        ("foamed_joint_share", p.foamed_joint_share, 0.0, 1.0),
        ("foamed_gap_mm", p.foamed_gap.as_mm(), 0.0, 20.0),
        ("packers_per_fixing", p.packers_per_fixing, 0.0, 10.0),
        ("bar_kerf_mm", mm(p.bar_kerf), 0.0, 20.0),
        ("bar_piece_min_mm", mm(p.bar_piece_min), 0.0, 1000.0),
        ("bar_rest_min_mm", mm(p.bar_rest_min), 1.0, 5000.0),
        ("reveal_part_min_mm", mm(p.reveal_part_min), 1.0, 5000.0),
        (
            "waterproofing_rise_mm",
            mm(p.waterproofing_rise),
            0.0,
            1000.0,
        ),
        ("splash_zone_mm", mm(p.splash_zone), 0.0, 2000.0),
        (
            "base_above_walkway_mm",
            mm(p.base_above_walkway),
            0.0,
            1000.0,
        ),
        ("work_from_celsius", p.work_from.si(), -30.0, 60.0),
        ("work_to_celsius", p.work_to.si(), -30.0, 60.0),
        (
            "cutting_budget",
            f64::from(p.cutting_budget),
            0.0,
            10_000_000.0,
        ),
    ] {
        within(faults, format!("practice.{field}"), value, least, most);
    }
}
