//! The economic thickness of a system's board.

use api::v1;
use drawing::{CostPlot, CostPoint, cost_plot};
use material::{Assortment, Board, System};
use quantity::{Length, SpecificHeat, Transmittance};
use thermal::{
    Body, BuildUp, Homogeneous, Layer, LimitValue, Role, Source, Storage, ThermalLimit, Vapour,
};
use working::{Faults, Sheet};

use super::{Said, encode, parse};
use crate::refused::Refused;
use crate::snapshot::Snapshot;

/// Specific heat of mortars and renders, ISO 10456:2007 Table 4 (from memory, unverified).
pub(super) const MINERAL_HEAT: SpecificHeat = SpecificHeat::from_j_per_kgk(1000.0);

/// The economic thickness.
///
/// # Errors
/// Every fault of the request at once, a name that is not there, or a board without any price.
pub fn economy(
    wire: &v1::EconomyRequest,
    snapshot: &Snapshot,
) -> Result<v1::EconomyResponse, Refused> {
    let branch = &snapshot.branch(&wire.branch)?.assortment;
    let system = system(branch, "system", &wire.system)?;
    let mut faults = Faults::new();
    let mut wall = parse::layers(&wire.layers, &mut faults);
    if wall.is_empty() {
        faults.add("layers", "MISSING", "no layers", "the existing wall");
    }
    let slot = wall.len();
    let board = board(branch, system)?;
    let stock = stock(board);
    let Some(first) = stock.first() else {
        return Err(no_price(&board.article.key));
    };
    wall.push(layer(
        "board",
        &board.article.key,
        Role::Insulation,
        first.thickness,
        first.material,
    ));
    wall.extend(coats(branch, system));
    let build_up = BuildUp::of("", wall);
    let limit = wire.u_at_most_w_per_m2k.map(|u| {
        if !(0.01..=20.0).contains(&u) {
            let expected = "0.01 to 20 W/(m2.K)";
            faults.add(
                "u_at_most_w_per_m2k",
                "OUT_OF_RANGE",
                format!("{u}"),
                expected,
            );
        }
        ThermalLimit::stated(LimitValue::TransmittanceAtMost(
            Transmittance::from_w_per_m2k(u),
        ))
    });
    let terms = parse::terms(wire.terms.as_ref(), branch.currency);
    let asked = thermal::EconomyRequest {
        build_up: &build_up,
        slot,
        stock: &stock,
        terms: &terms,
        fixed_cost_per_m2: wire.fixed_cost_per_m2,
        limit: limit.as_ref(),
    };
    let mut sheet = Sheet::new();
    let found = thermal::economic_thickness(&asked, &mut sheet);
    let found = found.map_err(|list| parse::reworded(list, ""));
    let found = match found {
        Ok(found) if faults.is_empty() => found,
        Ok(_) => return Err(faults.into_list().into()),
        Err(list) => {
            faults.extend(list);
            return Err(faults.into_list().into());
        }
    };
    let mut said = Said::without_catalogue(parse::include(wire.include.as_ref()), sheet, snapshot);
    said.provenance = encode::provenance(&said.sheet.documents(), Some(branch), snapshot.rules());
    if stock.len() < board.thicknesses.len() {
        let left = board.thicknesses.len() - stock.len();
        said.note(
            "NO_PRICE",
            "system",
            format!("{left} stocked thicknesses have no price and are left out."),
        );
    }
    said.note(
        "ANCHORS_NOT_COUNTED",
        "",
        "Anchors, base profiles and waste are not counted; costs compare thicknesses and are no offer.",
    );
    let plot = || cost_plot(&plot(wire.fixed_cost_per_m2, &found, branch));
    said.draw("cost-over-thickness.svg", "Cost over thickness", plot);
    Ok(encode::economy(
        wire,
        &board.article.key,
        branch.currency,
        &found,
        said,
    ))
}

fn plot(fixed: f64, found: &thermal::Economy, branch: &Assortment) -> CostPlot {
    let points = found.curve.iter().map(|p| CostPoint {
        thickness_mm: p.thickness.as_mm(),
        system: p.boards + fixed,
        heat: p.energy,
    });
    CostPlot {
        title: "Cost over thickness".to_owned(),
        unit: format!("{}/m²", branch.currency.code()),
        points: points.collect(),
        optimum: found.best,
    }
}

fn no_price(board: &str) -> Refused {
    Refused::PartsDoNotFit(vec![working::Fault {
        path: "system".to_owned(),
        reason: "MISSING",
        found: format!("`{board}` without any price"),
        expected: "a board of which at least one thickness has a price".to_owned(),
    }])
}

/// A system by its key, with or without its kind.
pub(super) fn system<'a>(
    branch: &'a Assortment,
    path: &str,
    key: &str,
) -> Result<&'a System, Refused> {
    let found = branch
        .systems
        .get(key.strip_prefix("system.").unwrap_or(key));
    found.ok_or_else(|| Refused::unknown(path, key, branch.systems.keys().map(String::as_str)))
}

/// The facade board of a system.
pub(super) fn board<'a>(branch: &'a Assortment, system: &System) -> Result<&'a Board, Refused> {
    let key = bare(&system.board);
    let found = branch.boards.get(key);
    found.ok_or_else(|| Refused::Internal(format!("{} has no board {key}", system.article.key)))
}

/// A key without its kind.
pub(super) fn bare(key: &str) -> &str {
    key.split_once('.').map_or(key, |(_, bare)| bare)
}

/// The material of a board.
fn material(board: &Board) -> Homogeneous {
    Homogeneous {
        conductivity: board.conductivity,
        vapour: Some(Vapour::Factor(board.vapour_resistance_factor)),
        storage: Some(Storage {
            density: board.density,
            specific_heat: board.specific_heat,
        }),
    }
}

/// The stocked thicknesses that have a price, each at its price for a square metre.
fn stock(board: &Board) -> Vec<thermal::Board> {
    let one = board.length.to_length().as_m() * board.height.to_length().as_m();
    let priced = board.thicknesses.iter().filter_map(|stocked| {
        let price: f64 = stocked.supply.price?.amount_text().parse().ok()?;
        Some(thermal::Board {
            name: board.article.name.clone(),
            article: board.article.key.clone(),
            thickness: stocked.thickness.to_length(),
            material: material(board),
            price_per_m2: Some(price / (f64::from(stocked.boards_per_pack) * one)),
            anchors: None,
        })
    });
    priced.collect()
}

fn layer(name: &str, article: &str, role: Role, thickness: Length, material: Homogeneous) -> Layer {
    Layer {
        name: name.to_owned(),
        role,
        path: "system".to_owned(),
        thickness_from: Source::Catalogue(article.to_owned()),
        material_from: Source::Catalogue(article.to_owned()),
        thickness,
        body: Body::Homogeneous(material),
    }
}

/// Base coat and finish of a system.
fn coats(branch: &Assortment, system: &System) -> Vec<Layer> {
    let mut coats = Vec::new();
    if let Some(mortar) = branch.mortars.get(bare(&system.base_coat_mortar)) {
        let material = Homogeneous {
            conductivity: mortar.conductivity,
            vapour: Some(Vapour::Factor(mortar.vapour_resistance_factor)),
            storage: Some(Storage {
                density: mortar.density,
                specific_heat: MINERAL_HEAT,
            }),
        };
        let key = &mortar.article.key;
        coats.push(layer(
            "base coat",
            key,
            Role::Coat,
            system.base_coat_thickness,
            material,
        ));
    }
    let finish = system
        .finishes
        .first()
        .and_then(|key| branch.finishes.get(bare(key)));
    if let Some(finish) = finish {
        let material = Homogeneous {
            conductivity: finish.conductivity,
            vapour: Some(Vapour::Factor(finish.vapour_resistance_factor)),
            storage: Some(Storage {
                density: finish.density,
                specific_heat: MINERAL_HEAT,
            }),
        };
        let key = &finish.article.key;
        coats.push(layer("finish", key, Role::Coat, finish.thickness, material));
    }
    coats
}
