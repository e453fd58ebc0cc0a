//! The surveyed building.

use std::collections::BTreeMap;

use api::v1;
use facade::{
    BaseStep, Below, Building, Condition, Crack, ExistingLayer, Facade, Fixture, FixtureLoad,
    Flatness, LIMITS, Meets, Opening, OpeningKind, Point, Rectangle, ShortForm, StructuralJoint,
    Substrate, Surface,
};
use material::BaseCategory;
use quantity::{Conductivity, Density, Force, Length, Mm, SpecificHeat, Stress};
use working::Faults;

use super::field::{choice, text, told};

/// The most pull-out tests that are read; an evaluation asks for a few dozen at the most.
const MOST_TESTS: usize = 1000;

pub(super) fn building(wire: &v1::Building, faults: &mut Faults) -> Building {
    let facades = wire.facades.iter().enumerate();
    let mut facades: Vec<Facade> = facades
        .map(|(i, f)| facade(&format!("building.facades[{i}]"), f, faults))
        .collect();
    agree(wire, &mut facades);
    Building {
        facades,
        substrate: if let Some(wall) = &wire.substrate {
            substrate("building.substrate", wall, faults)
        } else {
            faults.add(
                "building.substrate",
                "MISSING",
                "nothing",
                "the existing wall",
            );
            bare_wall()
        },
        plan_length: Mm(wire.plan_length_mm),
        plan_width: Mm(wire.plan_width_mm),
        height: Mm(wire.height_mm),
        storeys: wire.storeys,
    }
}

/// Stands in for a building that the request does not tell, so that the rest can still be checked.
pub(super) fn stand_in() -> Building {
    let form = ShortForm {
        length: Mm(10_000),
        height: Mm(6_000),
        ..ShortForm::default()
    };
    form.expand().map_or_else(
        |_| building(&v1::Building::default(), &mut Faults::new()),
        |(building, _)| building,
    )
}

pub(super) fn short_form(wire: &v1::ShortForm) -> ShortForm {
    ShortForm {
        length: Mm(wire.length_mm),
        height: Mm(wire.height_mm),
        opening_count: wire.opening_count,
        opening_width: Mm(wire.opening_width_mm),
        opening_height: Mm(wire.opening_height_mm),
    }
}

/// Stands in for a wall that the request does not tell, so that the rest can still be checked.
fn bare_wall() -> Substrate {
    Substrate {
        layers: vec![ExistingLayer {
            name: String::new(),
            thickness: Length::from_mm(240.0),
            conductivity: Conductivity::from_w_per_mk(1.0),
            vapour_resistance_factor: 1.0,
            density: Density::from_kg_per_m3(1000.0),
            specific_heat: SpecificHeat::from_j_per_kgk(1000.0),
        }],
        surface: Surface::BareMasonry,
        old_render: Mm::ZERO,
        flatness: None,
        conditions: Vec::new(),
        category: None,
        pull_off: None,
        pull_out_tests: Vec::new(),
    }
}

fn facade(path: &str, wire: &v1::Facade, faults: &mut Faults) -> Facade {
    let id = text(&format!("{path}.id"), &wire.id, faults);
    let openings = wire.openings.iter().enumerate();
    let openings = openings
        .map(|(i, o)| opening(&format!("{path}.openings[{i}]"), o, faults))
        .collect();
    let left = edge(&format!("{path}.left"), wire.left.as_ref(), faults);
    let right = edge(&format!("{path}.right"), wire.right.as_ref(), faults);
    let base = wire.base.iter().enumerate();
    let base = base
        .map(|(i, b)| base_step(&format!("{path}.base[{i}]"), b, faults))
        .collect();
    let cracks = wire.cracks.iter().enumerate();
    let cracks = cracks
        .map(|(i, c)| crack(&format!("{path}.cracks[{i}]"), c, faults))
        .collect();
    let fixtures = wire.fixtures.iter().enumerate();
    let fixtures = fixtures
        .map(|(i, f)| fixture(&format!("{path}.fixtures[{i}]"), f, faults))
        .collect();
    let wall = wire.substrate.as_ref();
    Facade {
        id,
        outline: wire.outline.iter().copied().map(point).collect(),
        openings,
        left,
        right,
        joints: wire.joints.iter().copied().map(joint).collect(),
        base,
        cracks,
        fixtures,
        substrate: wall.map(|w| substrate(&format!("{path}.substrate"), w, faults)),
    }
}

fn point(wire: v1::Point) -> Point {
    Point::at(wire.x_mm, wire.y_mm)
}

fn joint(wire: v1::StructuralJoint) -> StructuralJoint {
    StructuralJoint {
        x: Mm(wire.x_mm),
        gap: Mm(wire.gap_mm),
    }
}

fn opening(path: &str, wire: &v1::Opening, faults: &mut Faults) -> Opening {
    let kind = choice(&format!("{path}.kind"), wire.kind, faults);
    Opening {
        id: text(&format!("{path}.id"), &wire.id, faults),
        kind: match kind {
            Some(v1::OpeningKind::Door) => OpeningKind::Door,
            Some(v1::OpeningKind::Window | v1::OpeningKind::Unspecified) | None => {
                OpeningKind::Window
            }
        },
        raw: Rectangle {
            x: Mm(wire.x_mm),
            y: Mm(wire.y_mm),
            width: Mm(wire.width_mm),
            height: Mm(wire.height_mm),
        },
        reveal_depth: Mm(wire.reveal_depth_mm),
        reveal_insulation: Mm(wire.reveal_insulation_mm),
        sill_insulation: Mm(wire.sill_insulation_mm),
    }
}

fn edge(path: &str, wire: Option<&v1::Edge>, faults: &mut Faults) -> Meets {
    let expected = "what the edge meets: a salient or re-entrant corner, an abutting building, a structural joint or a free end";
    let Some(wire) = wire else {
        faults.add(path, "MISSING", "nothing", expected);
        return Meets::FreeEnd;
    };
    let kind = told(&format!("{path}.kind"), wire.kind, expected, faults);
    let with = text(&format!("{path}.with"), &wire.with, faults);
    match kind {
        Some(v1::EdgeKind::SalientCorner) => Meets::SalientCorner { with },
        Some(v1::EdgeKind::ReEntrantCorner) => Meets::ReEntrantCorner { with },
        Some(v1::EdgeKind::AbuttingBuilding) => Meets::AbuttingBuilding,
        Some(v1::EdgeKind::StructuralJoint) => Meets::StructuralJoint {
            gap: Mm(wire.joint_gap_mm),
            with: (!with.is_empty()).then_some(with),
        },
        Some(v1::EdgeKind::FreeEnd | v1::EdgeKind::Unspecified) | None => Meets::FreeEnd,
    }
}

fn base_step(path: &str, wire: &v1::BaseStep, faults: &mut Faults) -> BaseStep {
    let expected = "what stands below: a walkway, ground, or an insulated plinth";
    let below = told(&format!("{path}.below"), wire.below, expected, faults);
    BaseStep {
        from: Mm(wire.from_mm),
        to: Mm(wire.to_mm),
        level: Mm(wire.level_mm),
        ground: Mm(wire.ground_mm),
        below: match below {
            Some(v1::Below::Ground) => Below::Ground,
            Some(v1::Below::InsulatedPlinth) => Below::InsulatedPlinth,
            Some(v1::Below::Walkway | v1::Below::Unspecified) | None => Below::Walkway,
        },
    }
}

/// Ends whose kind could not be read stand in for what the facade beyond says of them, so that nobody is told that the two disagree.
/// Where there are more facades than are read, that is the fault which is told, and their ends stay as they are.
fn agree(wire: &v1::Building, facades: &mut [Facade]) {
    if facades.len() > LIMITS.facades as usize {
        return;
    }
    // What is said of each facade by the first one beyond it, by its name.
    let said = |end: fn(&Facade) -> &Meets| -> BTreeMap<String, Meets> {
        let beyond = facades.iter().rev();
        beyond
            .filter_map(|f| {
                let meets = end(f);
                Some((meets.with()?.to_owned(), answer(meets, &f.id)))
            })
            .collect()
    };
    let (lefts, rights) = (said(|f| &f.right), said(|f| &f.left));
    let unread = |edge: Option<&v1::Edge>| {
        edge.is_none_or(|e| v1::EdgeKind::try_from(e.kind).map_or(true, |k| k as i32 == 0))
    };
    for (wire, facade) in wire.facades.iter().zip(facades) {
        if unread(wire.left.as_ref())
            && let Some(left) = lefts.get(&facade.id)
        {
            facade.left.clone_from(left);
        }
        if unread(wire.right.as_ref())
            && let Some(right) = rights.get(&facade.id)
        {
            facade.right.clone_from(right);
        }
    }
}

/// The end that agrees with an end of the facade called `id`.
fn answer(meets: &Meets, id: &str) -> Meets {
    let with = id.to_owned();
    match meets {
        Meets::SalientCorner { .. } => Meets::SalientCorner { with },
        Meets::ReEntrantCorner { .. } => Meets::ReEntrantCorner { with },
        Meets::StructuralJoint { gap, .. } => Meets::StructuralJoint {
            gap: *gap,
            with: Some(with),
        },
        Meets::AbuttingBuilding | Meets::FreeEnd => meets.clone(),
    }
}

fn crack(path: &str, wire: &v1::Crack, faults: &mut Faults) -> Crack {
    let mut end = |name: &str, wire: Option<v1::Point>| {
        if wire.is_none() {
            faults.add(format!("{path}.{name}"), "MISSING", "nothing", "a point");
        }
        wire.map(point).unwrap_or_default()
    };
    Crack {
        from: end("from", wire.from),
        to: end("to", wire.to),
    }
}

fn fixture(path: &str, wire: &v1::Fixture, faults: &mut Faults) -> Fixture {
    let load = told(
        &format!("{path}.load"),
        wire.load,
        "a light or a heavy load",
        faults,
    );
    Fixture {
        name: text(&format!("{path}.name"), &wire.name, faults),
        load: match load {
            Some(v1::FixtureLoad::Light) => FixtureLoad::Light,
            Some(v1::FixtureLoad::Heavy | v1::FixtureLoad::Unspecified) | None => {
                FixtureLoad::Heavy
            }
        },
        points: wire.points.iter().copied().map(point).collect(),
    }
}

fn substrate(path: &str, wire: &v1::Substrate, faults: &mut Faults) -> Substrate {
    let layers = wire.layers.iter().enumerate();
    let layers = layers
        .map(|(i, l)| layer(&format!("{path}.layers[{i}]"), l, faults))
        .collect();
    let expected = "what the boards are bonded to: bare masonry, render or concrete";
    let surface = told(&format!("{path}.surface"), wire.surface, expected, faults);
    let conditions = wire.conditions.iter().enumerate();
    let conditions = conditions
        .filter_map(|(i, &c)| condition(&format!("{path}.conditions[{i}]"), c, faults))
        .collect();
    let category = choice(&format!("{path}.category"), wire.category, faults);
    let tests = wire.pull_out_tests_kn.len();
    if tests > MOST_TESTS {
        faults.add(
            format!("{path}.pull_out_tests_kn"),
            "LIMIT_EXCEEDED",
            format!("{tests} tests"),
            format!("at most {MOST_TESTS}"),
        );
    }
    Substrate {
        layers,
        surface: match surface {
            Some(v1::Surface::Render) => Surface::Render,
            Some(v1::Surface::Concrete) => Surface::Concrete,
            Some(v1::Surface::BareMasonry | v1::Surface::Unspecified) | None => {
                Surface::BareMasonry
            }
        },
        old_render: Mm(wire.old_render_mm),
        flatness: wire.flatness.map(|f| Flatness {
            gap: Mm(f.gap_mm),
            straightedge: Mm(f.straightedge_mm),
        }),
        conditions,
        category: category.and_then(base_category),
        pull_off: wire.pull_off_mpa.map(Stress::from_mpa),
        pull_out_tests: wire
            .pull_out_tests_kn
            .iter()
            .take(MOST_TESTS)
            .map(|&kn| Force::from_kn(kn))
            .collect(),
    }
}

fn layer(path: &str, wire: &v1::ExistingLayer, faults: &mut Faults) -> ExistingLayer {
    ExistingLayer {
        name: text(&format!("{path}.name"), &wire.name, faults),
        thickness: Length::from_mm(wire.thickness_mm),
        conductivity: Conductivity::from_w_per_mk(wire.conductivity_w_per_mk),
        vapour_resistance_factor: wire.vapour_resistance_factor,
        density: Density::from_kg_per_m3(wire.density_kg_per_m3),
        specific_heat: SpecificHeat::from_j_per_kgk(wire.specific_heat_j_per_kgk),
    }
}

fn condition(path: &str, wire: i32, faults: &mut Faults) -> Option<Condition> {
    match told(path, wire, "a condition of the surface", faults)? {
        v1::Condition::Unspecified => None,
        v1::Condition::Painted => Some(Condition::Painted),
        v1::Condition::Sanding => Some(Condition::Sanding),
        v1::Condition::Dusty => Some(Condition::Dusty),
        v1::Condition::LooseRender => Some(Condition::LooseRender),
        v1::Condition::Damp => Some(Condition::Damp),
        v1::Condition::Growth => Some(Condition::Growth),
    }
}

fn base_category(wire: v1::BaseCategory) -> Option<BaseCategory> {
    match wire {
        v1::BaseCategory::Unspecified => None,
        v1::BaseCategory::Concrete => Some(BaseCategory::Concrete),
        v1::BaseCategory::SolidMasonry => Some(BaseCategory::SolidMasonry),
        v1::BaseCategory::HollowMasonry => Some(BaseCategory::HollowMasonry),
        v1::BaseCategory::LightweightConcrete => Some(BaseCategory::LightweightConcrete),
        v1::BaseCategory::AeratedConcrete => Some(BaseCategory::AeratedConcrete),
    }
}
