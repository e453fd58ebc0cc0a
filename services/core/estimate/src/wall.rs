//! The wall before and after, as the thermal calculation sees it.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use facade::{Building, ExistingLayer, Substrate};
use material::{Board, Finish, Mortar};
use quantity::{Length, Mm};
use thermal::{Body, BuildUp, Homogeneous, Layer, PointBridges, Role, Source, Storage, Vapour};

use crate::parts::Parts;

/// One wall of the building that differs from the others, with its field in the request.
#[derive(Clone, Debug)]
pub(crate) struct ExistingWall<'a> {
    pub path: String,
    pub substrate: &'a Substrate,
    /// The facades that stand on it.
    pub facades: Vec<usize>,
}

/// The different walls behind the facades, in the order of the facades.
pub(crate) fn walls(building: &Building) -> Vec<ExistingWall<'_>> {
    let mut found: Vec<ExistingWall<'_>> = Vec::new();
    for (index, facade) in building.facades.iter().enumerate() {
        let substrate = building.substrate_of(facade);
        if let Some(same) = found
            .iter_mut()
            .find(|wall| wall.substrate.layers == substrate.layers)
        {
            same.facades.push(index);
            continue;
        }
        let path = match &facade.substrate {
            Some(_) => format!("building.facades[{index}].substrate"),
            None => String::from("building.substrate"),
        };
        found.push(ExistingWall {
            path,
            substrate,
            facades: alloc::vec![index],
        });
    }
    found
}

fn existing(path: &str, index: usize, layer: &ExistingLayer) -> Layer {
    let material = Homogeneous {
        conductivity: layer.conductivity,
        vapour: Some(Vapour::Factor(layer.vapour_resistance_factor)),
        storage: Some(Storage {
            density: layer.density,
            specific_heat: layer.specific_heat,
        }),
    };
    Layer::request(
        layer.name.clone(),
        format!("{path}.layers[{index}]"),
        Role::Wall,
        layer.thickness,
        Body::Homogeneous(material),
    )
}

/// The wall as it stands.
pub(crate) fn before(wall: &ExistingWall<'_>) -> BuildUp {
    let layers = wall
        .substrate
        .layers
        .iter()
        .enumerate()
        .map(|(i, layer)| existing(&wall.path, i, layer))
        .collect();
    BuildUp::of(wall.path.clone(), layers)
}

/// The board's material as the thermal calculation sees it.
pub(crate) fn board_material(board: &Board) -> Homogeneous {
    Homogeneous {
        conductivity: board.conductivity,
        vapour: Some(Vapour::Factor(board.vapour_resistance_factor)),
        storage: Some(Storage {
            density: board.density,
            specific_heat: board.specific_heat,
        }),
    }
}

fn coat(
    name: &str,
    article: &str,
    thickness: Length,
    material: Homogeneous,
    thickness_from: Source,
) -> Layer {
    Layer {
        name: String::from(name),
        role: Role::Coat,
        path: String::from("system"),
        thickness_from,
        material_from: Source::Catalogue(String::from(article)),
        thickness,
        body: Body::Homogeneous(material),
    }
}

fn base_coat(mortar: &Mortar, thickness: Length, system: &str) -> Layer {
    let material = Homogeneous {
        conductivity: mortar.conductivity,
        vapour: Some(Vapour::Factor(mortar.vapour_resistance_factor)),
        storage: Some(Storage {
            density: mortar.density,
            specific_heat: MINERAL_HEAT,
        }),
    };
    coat(
        "base coat",
        &mortar.article.key,
        thickness,
        material,
        Source::Catalogue(String::from(system)),
    )
}

fn finish(finish: &Finish) -> Layer {
    let material = Homogeneous {
        conductivity: finish.conductivity,
        vapour: Some(Vapour::Factor(finish.vapour_resistance_factor)),
        storage: Some(Storage {
            density: finish.density,
            specific_heat: MINERAL_HEAT,
        }),
    };
    coat(
        "finish",
        &finish.article.key,
        finish.thickness,
        material,
        Source::Catalogue(finish.article.key.clone()),
    )
}

/// Specific heat of mortars and renders, ISO 10456:2007 Table 4 (from memory, unverified).
const MINERAL_HEAT: quantity::SpecificHeat = quantity::SpecificHeat::from_j_per_kgk(1000.0);

/// The wall with the system, and the place of the board among its layers. The mortar bed is left out, as is usual: bead and dabs leave air beside them.
pub(crate) fn after(
    wall: &ExistingWall<'_>,
    parts: &Parts<'_>,
    thickness: Mm,
    anchors: Option<PointBridges>,
) -> (BuildUp, usize) {
    let mut build_up = before(wall);
    let slot = build_up.layers.len();
    build_up.layers.push(Layer {
        name: parts.board.article.name.clone(),
        role: Role::Insulation,
        path: String::from("system"),
        thickness_from: Source::Catalogue(parts.board.article.key.clone()),
        material_from: Source::Catalogue(parts.board.article.key.clone()),
        thickness: thickness.to_length(),
        body: Body::Homogeneous(board_material(parts.board)),
    });
    build_up.layers.push(base_coat(
        parts.base_coat_mortar,
        parts.system.base_coat_thickness,
        &parts.system.article.key,
    ));
    build_up.layers.push(finish(parts.finish));
    build_up.anchors = anchors;
    (build_up, slot)
}
