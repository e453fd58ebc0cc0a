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
const FIELDS: [(&str, &str); 9] = [
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
