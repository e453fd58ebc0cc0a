//! Where figures of the sheet come from, by the names of the request and of the catalogue. The parts of the work have names of their own
//! for what they are given.

use alloc::format;

use working::Origin;

use crate::parts::Parts;

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

/// What the request calls a field that a part of the work calls otherwise.
pub(crate) fn field(path: &str) -> Option<&'static str> {
    let known = FIELDS.iter().find(|known| known.0 == path);
    known.map(|known| known.1)
}

/// The origin as a reader of request and catalogue knows it; nothing where the part names it so already.
pub(crate) fn retold(origin: &Origin, parts: &Parts<'_>) -> Option<Origin> {
    match origin {
        Origin::Request(path) => of_request(path, parts),
        Origin::Catalogue { article, key } => of_catalogue(article, key, parts),
        _ => None,
    }
}

fn of_request(path: &str, parts: &Parts<'_>) -> Option<Origin> {
    if let Some(own) = field(path) {
        return Some(Origin::request(own));
    }
    let mortar = |key| Origin::catalogue(parts.bonding_mortar.article.key.as_str(), key);
    match path.rsplit_once('.') {
        Some((_, "temperatures")) => Some(Origin::request("climate.indoor_celsius")),
        Some((_, "adhesive_bed_mm")) => Some(mortar("bed-mm")),
        Some((_, "bond_strength_mpa")) => Some(mortar("strength-to-insulant-kpa")),
        Some((wall, "board_thickness_mm")) if wall != "thickness" => Some(chosen()),
        _ => {
            let course = path.strip_prefix("courses[")?;
            Some(Origin::request(format!("base_coat_courses_mm[{course}")))
        }
    }
}

fn chosen() -> Origin {
    Origin::Counted("the thickness chosen, or tried".into())
}

fn of_catalogue(article: &str, key: &'static str, parts: &Parts<'_>) -> Option<Origin> {
    let system = parts.system.article.key.as_str();
    if article == "system" {
        return Some(Origin::catalogue(system, key));
    }
    if article.starts_with("plate resistance of ") {
        return Some(Origin::catalogue(format!("{system}, {article}"), key));
    }
    let (kind, _) = article.split_once('.')?;
    let own = match (kind, key) {
        ("board", "thickness-mm") => return Some(chosen()),
        ("anchor", "per-m2") => {
            return Some(Origin::Counted("anchors placed, for each m2".into()));
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
