//! Where figures of the sheet come from, by the names of the request and of the catalogue. The parts of the work have names of their own
//! for what they are given.

use alloc::format;
use alloc::string::String;

use facade::Building;
use quantity::Area;
use working::Origin;

use crate::parts::Parts;
use crate::request::{Request, ThicknessChoice};

/// What the parts of the work call the fields of a request.
const FIELDS: [(&str, &str); 11] = [
    ("facades", "building.facades"),
    ("plan", "building"),
    ("plan.height_m", "building.height_mm"),
    ("plan.length_mm", "building.plan_length_mm"),
    ("plan.width_mm", "building.plan_width_mm"),
    ("fixing_rules", "country"),
    ("site.reflection_index", "reflection_index_percent"),
    ("site.solar_reflectance", "reflection_index_percent"),
    ("site.coldest_celsius", "site_temperature.least_celsius"),
    ("site.warmest_celsius", "site_temperature.greatest_celsius"),
    ("courses", "base_coat_courses_mm"),
];

/// What is known of the job when its sheet is told.
pub(crate) struct Known<'a> {
    pub request: &'a Request,
    pub parts: &'a Parts<'a>,
    /// Anchors of the facade boards as placed, and the area of these.
    pub placed: Option<(u32, Area)>,
}

/// What the request calls a field that a part of the work calls otherwise; nothing where it is called so already.
pub(crate) fn field(path: &str, building: &Building) -> Option<String> {
    if let Some(known) = FIELDS.iter().find(|known| known.0 == path) {
        return Some(known.1.into());
    }
    // A facade without a wall of its own has the building's.
    let (index, rest) = path
        .strip_prefix("building.facades[")?
        .split_once("].substrate")?;
    let facade = building.facades.get(index.parse::<usize>().ok()?)?;
    let shared = facade.substrate.is_none();
    shared.then(|| format!("building.substrate{rest}"))
}

/// The first names of a request's fields.
const REQUEST: [&str; 18] = [
    "branch",
    "short",
    "building",
    "system",
    "thickness",
    "wind",
    "climate",
    "country",
    "finish",
    "reflection_index_percent",
    "measurement",
    "layout_rules",
    "search_budget_steps",
    "site_temperature",
    "tax_share",
    "include",
    "bonding_method",
    "base_coat_courses_mm",
];

/// The endings by which the setting-out knows fields of a facade, and the request's.
const OF_FACADE: [(&str, &str); 16] = [
    (".base_line[", ".base["),
    (".base_line", ".base"),
    (".structural_joints", ".joints"),
    (".keep_clear", ".cracks"),
    (".corner.x", ".x_mm"),
    (".corner.y", ".y_mm"),
    (".width", ".width_mm"),
    (".height", ".height_mm"),
    (".gap", ".gap_mm"),
    (".level", ".level_mm"),
    ("].from.x", "].from.x_mm"),
    ("].from.y", "].from.y_mm"),
    ("].to.x", "].to.x_mm"),
    ("].to.y", "].to.y_mm"),
    ("].x", "].x_mm"),
    ("].y", "].y_mm"),
];

/// The field of the request that a fault or a finding is to be put down to, by the path that a part of the work gives it. What stands in no
/// request comes from the articles of the system.
pub(crate) fn blamed(path: &str, request: &Request) -> String {
    let own = field(path, &request.building);
    of_fault(own.as_deref().unwrap_or(path), &request.thickness)
}

/// The field of a path as the parts of the work write it.
fn of_fault(path: &str, thickness: &ThicknessChoice) -> String {
    if let Some(course) = path.strip_prefix("courses[") {
        let index = course.split(']').next().unwrap_or_default();
        return format!("base_coat_courses_mm[{index}]");
    }
    if path == "walls" || path.starts_with("corners") {
        return "building.facades".into();
    }
    if path.starts_with("rules") {
        return "layout_rules".into();
    }
    if matches!(path, "thickness" | "thickness_mm" | "plinth_thickness_mm") {
        return of_thickness(thickness).into();
    }
    if let Some(wall) = path.strip_prefix("walls[") {
        return of_facade(wall, thickness);
    }
    let head = path.split(['.', '[']).next().unwrap_or_default();
    match head {
        _ if path.is_empty() => String::new(),
        "building" => of_wall(path, thickness),
        "system" => "system".into(),
        _ if REQUEST.contains(&head) => path.into(),
        _ => "system".into(),
    }
}

/// The field in which the request tells the thickness.
fn of_thickness(thickness: &ThicknessChoice) -> &'static str {
    match thickness {
        ThicknessChoice::Given(_) => "thickness.board_thickness_mm",
        ThicknessChoice::TransmittanceAtMost(_) => "thickness.transmittance_at_most_w_per_m2k",
        ThicknessChoice::ResistanceAtLeast(_) => "thickness.resistance_at_least_m2k_per_w",
        ThicknessChoice::Limit(_) => "thickness.limit",
    }
}

/// A field of a facade by a path of the setting-out, without `walls[`.
fn of_facade(wall: &str, thickness: &ThicknessChoice) -> String {
    let facade = wall.split(']').next().unwrap_or_default();
    let beyond = wall.get(facade.len() + 1..).unwrap_or_default();
    match beyond {
        ".thickness" => return of_thickness(thickness).into(),
        ".bed" => return "system".into(),
        // Zones are made of the building, and its strips by the rows of a country.
        zones if zones.starts_with(".zones") => return format!("building.facades[{facade}]"),
        _ => {}
    }
    // The ends of a step are fields, those of a crack are points.
    let step = beyond.starts_with(".base_line");
    let mut field = String::from(beyond);
    for (theirs, own) in OF_FACADE {
        if theirs.ends_with('[') || theirs == ".structural_joints" || theirs == ".keep_clear" {
            field = field.replacen(theirs, own, 1);
        } else if let Some(start) = field.strip_suffix(theirs) {
            field = format!("{start}{own}");
        }
    }
    if step && (field.ends_with("].from") || field.ends_with("].to")) {
        field.push_str("_mm");
    }
    format!("building.facades[{facade}]{field}")
}

/// A field of the building or of a wall behind it, by a path of the building or of the fixing design.
fn of_wall(path: &str, thickness: &ThicknessChoice) -> String {
    let Some((wall, last)) = path.rsplit_once('.') else {
        return path.into();
    };
    match last {
        "board_thickness_mm" => of_thickness(thickness).into(),
        "anchors" | "board" | "plate_mm" | "system" => "system".into(),
        "member_thickness_mm" => format!("{wall}.layers"),
        "wall_resistance" | "pull_out_tests" => format!("{wall}.pull_out_tests_kn"),
        _ => path.replace(".pull_out_tests[", ".pull_out_tests_kn["),
    }
}

/// The origin as a reader of request and catalogue knows it; nothing where the part names it so already.
pub(crate) fn retold(origin: &Origin, known: &Known<'_>) -> Option<Origin> {
    match origin {
        Origin::Request(path) => of_request(path, known),
        Origin::Catalogue { article, key } => of_catalogue(article, key, known),
        Origin::Rule(rule) => of_rule(rule, known),
        _ => None,
    }
}

/// The origin of the number of anchors before any is placed; nothing for other figures.
pub(crate) fn before_placing(origin: &Origin) -> Option<Origin> {
    let mean = "anchors of whole boards by the area of the wind zones, before they are placed";
    match origin {
        Origin::Catalogue {
            article,
            key: "per-m2",
        } if article.starts_with("anchor.") => Some(Origin::Counted(mean.into())),
        _ => None,
    }
}

fn of_request(path: &str, known: &Known<'_>) -> Option<Origin> {
    let mortar = |key| Origin::catalogue(known.parts.bonding_mortar.article.key.as_str(), key);
    match path.rsplit_once('.') {
        Some((_, "adhesive_bed_mm")) => return Some(mortar("bed-mm")),
        Some((_, "bond_strength_mpa")) => return Some(mortar("strength-to-insulant-kpa")),
        Some((wall, "board_thickness_mm")) if wall != "thickness" => return Some(chosen()),
        None if path == "thickness_mm" => return Some(chosen()),
        _ => {}
    }
    let told = match (path.rsplit_once('.'), path.strip_prefix("courses[")) {
        (Some((_, "temperatures")), _) => Some(INDOOR.into()),
        (_, Some(course)) => Some(format!("base_coat_courses_mm[{course}")),
        _ => field(path, &known.request.building),
    };
    let own = told.as_deref().unwrap_or(path);
    let assumed = assumed(own, known.request);
    assumed.or_else(|| told.map(Origin::request))
}

/// The assumption that stands for a field, or for what it lies in, where the request did not tell it.
fn assumed(path: &str, request: &Request) -> Option<Origin> {
    let covers = |of: &str| {
        let rest = path.strip_prefix(of);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
    };
    let nearest = request
        .assumptions
        .iter()
        .filter(|assumption| covers(&assumption.path))
        .max_by_key(|assumption| assumption.path.len())?;
    Some(Origin::Assumed(nearest.text.clone().into()))
}

/// The field of the indoor temperature.
const INDOOR: &str = "climate.indoor_celsius";

fn of_rule(rule: &str, known: &Known<'_>) -> Option<Origin> {
    if rule.ends_with(", coldest month, inside-celsius") {
        let told = || Origin::request(INDOOR);
        return Some(assumed(INDOOR, known.request).unwrap_or_else(told));
    }
    let stated = rule == thermal::STATED_IN_THE_REQUEST;
    let field = match known.request.thickness {
        ThicknessChoice::TransmittanceAtMost(_) => "thickness.transmittance_at_most_w_per_m2k",
        ThicknessChoice::ResistanceAtLeast(_) => "thickness.resistance_at_least_m2k_per_w",
        _ => return None,
    };
    stated.then(|| Origin::request(field))
}

fn chosen() -> Origin {
    Origin::Counted("the thickness chosen, or tried".into())
}

fn of_catalogue(article: &str, key: &'static str, known: &Known<'_>) -> Option<Origin> {
    let system = known.parts.system.article.key.as_str();
    if article == "system" {
        return Some(Origin::catalogue(system, key));
    }
    if let Some(board) = article.strip_prefix(PLATE_RESISTANCE) {
        let of = plate_resistance_of(board, known.parts);
        return Some(Origin::catalogue(format!("{system}, {of}"), key));
    }
    let (kind, _) = article.split_once('.')?;
    let own = match (kind, key) {
        ("board", "thickness-mm") => return Some(chosen()),
        ("anchor", "per-m2") => {
            let (anchors, area) = known.placed?;
            let area = area.as_m2();
            return Some(Origin::Counted(
                format!("{anchors} anchors placed / {area} m2 of facade boards").into(),
            ));
        }
        ("mesh", "pack") => return Some(Origin::Assumed("bought by the roll".into())),
        ("system", "thickness-mm") => "base-coat-thickness-mm",
        ("anchor", "chi-w-per-k") => "point-transmittance-w-per-k",
        ("board", "pack") => "boards-per-pack",
        ("mortar" | "finish" | "primer" | "waterproofing", "pack") => "pack-kg",
        ("adhesive" | "foam", "pack") => "pack-litres",
        (_, "pack") => "pieces-per-pack",
        ("sealing-strip", "pieces") => "rolls-per-pack",
        (_, "pieces") => "bars-per-pack",
        _ => return None,
    };
    Some(Origin::catalogue(article, own))
}

const PLATE_RESISTANCE: &str = "plate resistance of ";

/// Whose pull-through resistance is taken for a board: its own, or the facade board's where the system states none for it.
fn plate_resistance_of(board: &str, parts: &Parts<'_>) -> String {
    let bare = board.strip_prefix("board.").unwrap_or(board);
    let mut stated = parts.system.plate_resistances.iter();
    if stated.any(|row| row.board == board || row.board == bare) {
        format!("{PLATE_RESISTANCE}{board}")
    } else {
        let lender = &parts.board.article.key;
        format!("{PLATE_RESISTANCE}{lender} for {board}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Mm;

    /// The paths that setting-out and fixing give their faults, and the field of the request that each is put down to.
    const CASES: [(&str, &str); 29] = [
        ("walls", "building.facades"),
        ("corners[2].left_end_of", "building.facades"),
        ("walls[3].id", "building.facades[3].id"),
        ("walls[3].thickness", "thickness.board_thickness_mm"),
        ("walls[3].bed", "system"),
        (
            "walls[12].outline[7].x",
            "building.facades[12].outline[7].x_mm",
        ),
        ("walls[0].outline", "building.facades[0].outline"),
        (
            "walls[0].openings[1].width",
            "building.facades[0].openings[1].width_mm",
        ),
        (
            "walls[0].openings[1].corner.y",
            "building.facades[0].openings[1].y_mm",
        ),
        ("walls[0].openings[1]", "building.facades[0].openings[1]"),
        ("walls[0].base_line", "building.facades[0].base"),
        (
            "walls[0].base_line[2].from",
            "building.facades[0].base[2].from_mm",
        ),
        (
            "walls[0].base_line[2].to",
            "building.facades[0].base[2].to_mm",
        ),
        (
            "walls[0].base_line[2].level",
            "building.facades[0].base[2].level_mm",
        ),
        (
            "walls[0].structural_joints[4].gap",
            "building.facades[0].joints[4].gap_mm",
        ),
        (
            "walls[0].structural_joints[4].x",
            "building.facades[0].joints[4].x_mm",
        ),
        (
            "walls[0].keep_clear[4].from.x",
            "building.facades[0].cracks[4].from.x_mm",
        ),
        (
            "walls[0].keep_clear[4].to.y",
            "building.facades[0].cracks[4].to.y_mm",
        ),
        ("walls[0].keep_clear", "building.facades[0].cracks"),
        ("walls[0].zones[4].width", "building.facades[0]"),
        ("boards[1].length", "system"),
        ("rules.stagger", "layout_rules"),
        (
            "building.substrate.board_thickness_mm",
            "thickness.board_thickness_mm",
        ),
        ("building.facades[1].substrate.anchors", "system"),
        ("building.facades[1].substrate.plate_mm", "system"),
        (
            "building.substrate.member_thickness_mm",
            "building.substrate.layers",
        ),
        (
            "building.substrate.pull_out_tests[2]",
            "building.substrate.pull_out_tests_kn[2]",
        ),
        ("building.substrate.category", "building.substrate.category"),
        ("board.eps-white.waste-share", "system"),
    ];

    #[test]
    fn every_fault_is_put_down_to_a_field_of_the_request() {
        for (path, own) in CASES {
            let thickness = ThicknessChoice::Given(Mm(100));
            assert_eq!(of_fault(path, &thickness), own, "{path}");
            // What names a field already is left alone.
            assert_eq!(of_fault(own, &thickness), own);
        }
    }
}
