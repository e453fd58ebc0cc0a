//! Where figures of the sheet come from, by the names of the request and of the catalogue. The parts of the work have names of their own
//! for what they are given.

use alloc::format;

use working::Origin;

use crate::parts::Parts;
use crate::value;

/// The origin as a reader of request and catalogue knows it; nothing where the part names it so already.
pub(crate) fn retold(origin: &Origin, parts: &Parts<'_>) -> Option<Origin> {
    match origin {
        Origin::Request(field) => of_request(field, parts),
        Origin::Catalogue { article, key } => of_catalogue(article, key, parts),
        _ => None,
    }
}

fn of_request(field: &str, parts: &Parts<'_>) -> Option<Origin> {
    if let Some(own) = value::field(field) {
        return Some(Origin::request(own));
    }
    let mortar = |key| Origin::catalogue(parts.bonding_mortar.article.key.as_str(), key);
    match field.rsplit_once('.') {
        Some((layer, "vapour_factor")) => {
            let own = format!("{layer}.vapour_resistance_factor");
            Some(Origin::request(own))
        }
        Some((_, "temperatures")) => Some(Origin::request("climate.indoor_celsius")),
        Some((_, "adhesive_bed_mm")) => Some(mortar("bed-mm")),
        Some((_, "bond_strength_mpa")) => Some(mortar("strength-to-insulant-kpa")),
        Some((wall, "board_thickness_mm")) if wall != "thickness" => Some(chosen()),
        None if field.starts_with("courses[") => Some(Origin::catalogue(
            parts.system.article.key.as_str(),
            "base-coat-thickness-mm",
        )),
        _ => None,
    }
}

fn chosen() -> Origin {
    Origin::Counted("the thickness chosen, or tried".into())
}

fn of_catalogue(article: &str, key: &str, parts: &Parts<'_>) -> Option<Origin> {
    let system = parts.system.article.key.as_str();
    if article == "system" {
        return Some(Origin::catalogue(system, system_key(key)?));
    }
    if article.starts_with("plate resistance of ") {
        let row = format!("{system}, {article}");
        return Some(Origin::catalogue(row, resistance_key(key)?));
    }
    let (kind, _) = article.split_once('.')?;
    let own = match (kind, key) {
        ("board", "thickness-mm") => return Some(chosen()),
        ("anchor", "per-m2") => {
            return Some(Origin::Counted("anchors placed, for each m2".into()));
        }
        ("mesh", "pack") => return Some(Origin::Assumed("bought by the roll".into())),
        (_, "vapour-factor") => "vapour-resistance-factor",
        ("system", "thickness-mm") => "base-coat-thickness-mm",
        ("mortar", "kg-per-m2-and-mm") => "per-mm-kg-per-m2",
        ("mortar", "kg-per-m2-and-mm-unevenness") => "per-mm-unevenness-kg-per-m2",
        ("mesh", "kg-per-m2") => "mass-g-per-m2",
        (_, "kg-per-m2") => "use-kg-per-m2",
        (_, "litres-per-element") => "per-element-litres",
        ("anchor", "chi-w-per-k") => "point-transmittance-w-per-k",
        ("anchor", "recess-mm") => "recess-depth-mm",
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

fn system_key(key: &str) -> Option<&'static str> {
    match key {
        "anchors-per-m2-min" => Some("anchors-min-per-m2"),
        "anchors-per-m2-max" => Some("anchors-max-per-m2"),
        _ => None,
    }
}

fn resistance_key(key: &str) -> Option<&'static str> {
    let known = [
        "panel-kn",
        "joint-kn",
        "thickness-min-mm",
        "plate-diameter-min-mm",
    ];
    known.into_iter().find(|known| *known == key)
}
