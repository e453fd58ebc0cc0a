//! The shortest stocked anchor that serves a layer situation, and what is drilled for it.

use alloc::format;
use alloc::vec::Vec;

use material::{Anchor, BaseResistance, Board, Plate, Plug, Setting};
use quantity::{Length, Mm};
use standards::eota;
use working::{Fault, Faults, Figure, Origin, Sheet};

/// What an anchor reaches through.
#[derive(Clone, Copy, Debug)]
pub struct Layers<'a> {
    /// Path of the situation in the request, for faults and origins.
    pub path: &'a str,
    /// The anchor.
    pub anchor: &'a Anchor,
    /// Its assessment row in the base material.
    pub base: &'a BaseResistance,
    /// Old render or levelling coat outside the base material.
    pub old_render: Mm,
    /// Adhesive bed.
    pub bed: Mm,
    /// The board.
    pub board: &'a Board,
    /// Its thickness.
    pub thickness: Mm,
    /// A wider plate, where the system has one.
    pub plate: Option<&'a Plate>,
    /// A plug or cap, where the system has one.
    pub plug: Option<&'a Plug>,
}

/// The anchor of one layer situation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChosenLength {
    /// The stocked length.
    pub length: Mm,
    /// The least length that serves.
    pub needed: Figure<Length>,
    /// Diameter of the drill.
    pub drill_diameter: Mm,
    /// Depth of the hole in the base material: beyond the tip of the stocked length, which may reach deeper than the least one.
    pub drill_depth: Figure<Length>,
    /// Depth of the hole from the face of the board.
    pub hole_depth: Figure<Length>,
    /// How the plate sits.
    pub setting: Setting,
    /// Whether a wider plate goes under.
    pub wider_plate: bool,
    /// Whether a plug closes the recess, or a cap covers the plate.
    pub plugged: bool,
}

/// Chooses the shortest stocked length that serves. It never takes a shorter one.
///
/// # Errors
/// The list ends too early, with what is missing; a recess as deep as the board; a soft board without a wider plate; a sunk anchor without a
/// plug; negative layers.
pub fn choose(layers: &Layers<'_>, sheet: &mut Sheet) -> Result<ChosenLength, Vec<Fault>> {
    let mut faults = Faults::new();
    let recess = match layers.anchor.setting {
        Setting::Flush => Mm::ZERO,
        Setting::Recessed { depth } => depth,
    };
    check(layers, recess, &mut faults);
    if !faults.is_empty() {
        return Err(faults.into_list());
    }
    let (path, anchor, base) = (layers.path, layers.anchor, layers.base);
    let key = |key| Origin::catalogue(anchor.article.key.clone(), key);
    let given = |field: &str| Origin::request(format!("{path}.{field}"));
    let embedment = sheet.given("h_ef", base.embedment.to_length(), key("embedment-mm"));
    let old = sheet.given(
        "t_old",
        layers.old_render.to_length(),
        given("old_render_mm"),
    );
    let bed = sheet.given("t_bed", layers.bed.to_length(), given("adhesive_bed_mm"));
    let board = sheet.given(
        "t_ins",
        layers.thickness.to_length(),
        given("board_thickness_mm"),
    );
    let sunk = sheet.given("t_rec", recess.to_length(), key("recess-depth-mm"));
    let needed = sheet.derive(
        "L",
        &eota::LENGTH_NEEDED,
        (embedment, old, bed, board, sunk),
    );
    let least = base.embedment + layers.old_render + layers.bed + layers.thickness - recess;
    let serves = anchor
        .lengths
        .iter()
        .map(|l| l.length)
        .filter(|&l| l >= least)
        .min();
    let Some(length) = serves else {
        let longest = anchor.lengths.iter().map(|l| l.length).max();
        let missing = match longest {
            Some(longest) => format!(
                "the longest stocked is {longest}, {} are missing",
                least - longest
            ),
            None => "none is stocked".into(),
        };
        faults.add(
            path,
            "NO_ANCHOR_LONG_ENOUGH",
            format!("{least} needed"),
            format!("a stocked length of {}: {missing}", anchor.article.key),
        );
        return Err(faults.into_list());
    };
    sheet.step(format!(
        "shortest stocked length of {} that serves: {length}",
        anchor.article.key
    ));
    let stocked = sheet.given("L stocked", length.to_length(), key("length"));
    let reach = sheet.derive("h_nom", &eota::REACH, (stocked, sunk, old, bed, board));
    let extra = sheet.given(
        "h_add",
        base.extra_drill_depth.to_length(),
        key("extra-drill-depth-mm"),
    );
    let drill_depth = sheet.derive("h_1", &eota::DRILL_DEPTH, (reach, extra));
    let hole_depth = sheet.derive("h_hole", &eota::HOLE_DEPTH, (drill_depth, old, bed, board));
    Ok(ChosenLength {
        length,
        needed,
        drill_diameter: anchor.drill_diameter,
        drill_depth,
        hole_depth,
        setting: anchor.setting,
        wider_plate: layers.board.wider_plate,
        plugged: layers.plug.is_some(),
    })
}

fn check(layers: &Layers<'_>, recess: Mm, faults: &mut Faults) {
    let path = layers.path;
    let amounts = [
        ("old_render_mm", layers.old_render, 500),
        ("adhesive_bed_mm", layers.bed, 200),
        ("board_thickness_mm", layers.thickness, 1000),
        ("anchor.recess_mm", recess, 1000),
        ("anchor.embedment_mm", layers.base.embedment, 500),
        (
            "anchor.extra_drill_depth_mm",
            layers.base.extra_drill_depth,
            500,
        ),
    ];
    for (field, amount, most) in amounts {
        if !(0..=most).contains(&amount.0) {
            faults.add(
                format!("{path}.{field}"),
                "OUT_OF_RANGE",
                format!("{amount}"),
                format!("0 to {most} mm"),
            );
        }
    }
    if recess >= layers.thickness {
        faults.add(
            format!("{path}.anchor"),
            "RECESS_DEEPER_THAN_BOARD",
            format!("a recess of {recess} in a board of {}", layers.thickness),
            "a recess less deep than the board",
        );
    }
    if layers.board.wider_plate && layers.plate.is_none() {
        faults.add(
            format!("{path}.plate"),
            "WIDER_PLATE_MISSING",
            format!("no wider plate for {}", layers.board.article.key),
            "a system with a wider plate: this board is too soft for the anchor's own",
        );
    }
    if recess > Mm::ZERO && layers.plug.is_none() {
        faults.add(
            format!("{path}.plug"),
            "PLUG_MISSING",
            format!("{} sits {recess} deep", layers.anchor.article.key),
            "a system with a plug for sunk anchors",
        );
    }
}
