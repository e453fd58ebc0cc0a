//! Where figures of a sheet come from, by the fields of each request: the engines have names of their own for what they are given.

use api::v1;
use standards::iso_6946::AIR_TABLE;
use working::Origin;

/// A path of layers, such as `layers[2].thickness_mm`, as index and field.
fn of_layer(path: &str) -> Option<(usize, &str)> {
    let (index, field) = path.strip_prefix("layers[")?.split_once("].")?;
    Some((index.parse().ok()?, field))
}

/// Those of a wall.
pub(super) fn of_wall(origin: &Origin, wire: &v1::WallRequest) -> Option<Origin> {
    let climate = wire.climate.as_ref();
    let indoor = || match climate.and_then(|c| c.indoor_celsius) {
        Some(_) => Origin::request("climate.indoor_celsius"),
        None => Origin::Assumed("20 degC indoors".into()),
    };
    match origin {
        Origin::Request(path) if path == "climate.temperatures" => Some(indoor()),
        Origin::Request(path) if path == "climate.relative_humidity" => {
            Some(Origin::request("climate.indoor_humidity_share"))
        }
        Origin::Request(path) => {
            let (index, field) = of_layer(path)?;
            let layer = wire.layers.get(index)?;
            if !layer.sections.is_empty() && field != "thickness_mm" {
                return Some(Origin::request(format!("layers[{index}].sections")));
            }
            let of_table = layer.openings_mm2_per_m.is_some() && field == "resistance_m2k_per_w";
            of_table.then_some(Origin::Table(AIR_TABLE))
        }
        Origin::Rule(rule) if rule.ends_with("coldest month, inside-celsius") => Some(indoor()),
        Origin::Rule(rule) if rule.ends_with("coldest month, outside-celsius") => {
            use v1::wall_climate::Outside;
            match &climate?.outside {
                Some(Outside::Months(_)) => Some(Origin::request("climate.months")),
                Some(Outside::EpwText(_)) => Some(Origin::request("climate.epw_text")),
                _ => None,
            }
        }
        _ => None,
    }
}

/// Those of a saving.
pub(super) fn of_saving(origin: &Origin, wire: &v1::SavingRequest) -> Option<Origin> {
    use v1::saving_terms::Season;
    let Origin::Request(path) = origin else {
        return None;
    };
    if path == "terms.degree_days" {
        let season = match wire.terms.as_ref()?.season.as_ref()? {
            Season::DegreeDays(_) => return None,
            Season::Climate(_) => "terms.climate",
            Season::Weather(_) => "terms.weather",
            Season::Months(_) => "terms.months",
        };
        return Some(Origin::Counted(format!("degree days of {season}").into()));
    }
    let (state, field) = path.split_once('.')?;
    let list = match (state, field) {
        ("before" | "after", "area_m2" | "u_w_per_m2k") => "planes",
        ("before" | "after", "length_m" | "psi_w_per_mk") => "lines",
        ("before" | "after", "number" | "chi_w_per_k") => "points",
        _ => return None,
    };
    Some(Origin::request(format!("{state}.{list}")))
}

/// Those of a section: of the caller's own, or of a detail, whose parameters the answer lists.
pub(super) fn of_bridge(origin: &Origin, wire: &v1::BridgeRequest) -> Option<Origin> {
    use v1::bridge_request::Section;
    let Origin::Request(path) = origin else {
        return None;
    };
    Some(match wire.section.as_ref()? {
        Section::Own(_) => Origin::request(format!("own.{path}")),
        Section::Detail(detail) => Origin::Rule(format!(
            "detail {}, at the parameters of the answer: {path}",
            detail.key
        )),
    })
}

/// Those of a drying.
pub(super) fn of_drying(origin: &Origin, wire: &v1::DryingRequest) -> Option<Origin> {
    let Origin::Request(path) = origin else {
        return None;
    };
    let (index, field) = of_layer(path)?;
    let layer = wire.layers.get(index)?;
    let (told, name, key) = match field.strip_prefix("material.")? {
        "sorption.free_saturation_kg_per_m3" => (
            layer.free_saturation_kg_per_m3,
            "free_saturation_kg_per_m3",
            "free-saturation-kg-per-m3",
        ),
        "sorption.at_80_kg_per_m3" => (
            layer.water_at_80_kg_per_m3,
            "water_at_80_kg_per_m3",
            "water-at-80-kg-per-m3",
        ),
        "liquid.coefficient" => (
            layer.water_absorption_kg_per_m2s05,
            "water_absorption_kg_per_m2s05",
            "water-absorption-kg-per-m2s05",
        ),
        "start" => {
            let own = format!("layers[{index}].start_water_kg_per_m3");
            return Some(Origin::request(own));
        }
        "dry" => {
            let humidity = match wire.dry_humidity_share {
                Some(_) => "`dry_humidity_share`",
                None => "0.8, as is assumed",
            };
            let text = format!("water in balance with a humidity of {humidity}");
            return Some(Origin::Counted(text.into()));
        }
        _ => return None,
    };
    if told == 0.0 && !layer.material.is_empty() {
        return Some(Origin::catalogue(layer.material.as_str(), key));
    }
    Some(Origin::request(format!("layers[{index}].{name}")))
}
