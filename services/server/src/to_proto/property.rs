//! The properties of an article in words, in reading order, units in the names.

use std::fmt::Display;

use api::v1;
use material::{
    Anchor, Article, Assortment, BaseProfile, BeadUse, Board, Finish, Hygric, LoadClass, Mesh,
    Mortar, Rotation, Setting, System,
};
use quantity::LinearTransmittance;

use super::catalogue::attachment;

/// The heading of an article by its full key.
pub(super) fn heading<'a>(assortment: &'a Assortment, key: &str) -> Option<&'a Article> {
    let (kind, name) = key.split_once('.')?;
    macro_rules! of {
        ($($kind:literal => $field:ident),* $(,)?) => {
            match kind {
                $($kind => assortment.$field.get(name).map(|a| &a.article),)*
                _ => None,
            }
        };
    }
    of! {
        "board" => boards, "mortar" => mortars, "adhesive" => adhesives, "anchor" => anchors,
        "plate" => plates, "plug" => plugs, "foam" => foams, "base-profile" => base_profiles,
        "accessory" => accessories, "sealing-strip" => sealing_strips,
        "waterproofing" => waterproofings, "bead" => beads, "mesh" => meshes, "primer" => primers,
        "finish" => finishes, "mounting-element" => mounting_elements, "system" => systems, "hygric" => hygrics,
    }
}

/// A list that is filled line by line, each with the source that the article names for it.
struct Lines<'a> {
    article: &'a Article,
    list: Vec<v1::Property>,
}

impl<'a> Lines<'a> {
    fn of(article: &'a Article) -> Self {
        let list = Vec::new();
        Self { article, list }
    }
    fn add(&mut self, name: &str, value: impl Display) -> &mut Self {
        // Sources are kept by the key of the catalogue: the words of the name joined by hyphens.
        let word = name.split(' ').next().unwrap_or_default();
        let sources = &self.article.sources;
        let source = sources.iter().find(|(key, _)| key.starts_with(word));
        self.list.push(v1::Property {
            name: name.to_owned(),
            value: value.to_string(),
            source: source.map(|(_, s)| s.clone()).unwrap_or_default(),
        });
        self
    }
    fn some(&mut self, name: &str, value: Option<impl Display>) -> &mut Self {
        if let Some(value) = value {
            self.add(name, value);
        }
        self
    }
}

/// The properties of an article by its full key; none where its heading says everything.
pub(super) fn properties(assortment: &Assortment, key: &str) -> Vec<v1::Property> {
    let Some((kind, name)) = key.split_once('.') else {
        return Vec::new();
    };
    let list = match kind {
        "board" => assortment.boards.get(name).map(board),
        "mortar" => assortment.mortars.get(name).map(mortar),
        "anchor" => assortment.anchors.get(name).map(anchor),
        "base-profile" => assortment.base_profiles.get(name).map(base_profile),
        "mesh" => assortment.meshes.get(name).map(mesh),
        "finish" => assortment.finishes.get(name).map(finish),
        "hygric" => assortment.hygrics.get(name).map(hygric),
        "system" => assortment.systems.get(name).map(system),
        _ => small(assortment, kind, name),
    };
    list.unwrap_or_default()
}

fn board(board: &Board) -> Vec<v1::Property> {
    let mut lines = Lines::of(&board.article);
    let yes = |flag: bool| if flag { "yes" } else { "no" };
    lines
        .add("insulant", &board.insulant)
        .add("length mm", board.length.0)
        .add("height mm", board.height.0)
        .add("conductivity W/(m.K)", board.conductivity.as_w_per_mk())
        .add("density kg/m3", board.density.as_kg_per_m3())
        .add("specific heat J/(kg.K)", board.specific_heat.as_j_per_kgk())
        .add("vapour resistance factor", board.vapour_resistance_factor)
        .add("reaction to fire", &board.reaction_to_fire)
        .add("may be turned", yes(board.rotation == Rotation::Allowed))
        .add("on the facade", yes(board.exposure.facade))
        .add("in the splash zone", yes(board.exposure.plinth))
        .add("below ground", yes(board.exposure.ground))
        .add("kerf mm", board.kerf.0)
        .add("bonded share at least", board.bonded_share_min)
        .add("anchors take a wider plate", yes(board.wider_plate));
    lines.list
}

fn hygric(hygric: &Hygric) -> Vec<v1::Property> {
    let mut lines = Lines::of(&hygric.article);
    lines
        .add(
            "free saturation kg/m3",
            hygric.free_saturation.as_kg_per_m3(),
        )
        .add("water at 80 % kg/m3", hygric.water_at_80.as_kg_per_m3())
        .add(
            "water absorption kg/(m2.s0.5)",
            hygric.water_absorption.as_kg_per_m2_root_s(),
        )
        .some("vapour factor by the dry cup", hygric.vapour_factor_dry)
        .some("vapour factor by the wet cup", hygric.vapour_factor_wet)
        .some(
            "conductivity W/(m.K)",
            hygric.conductivity.map(quantity::Conductivity::as_w_per_mk),
        )
        .add(
            "conductivity by water W/(m.K) per kg/m3",
            hygric.conductivity_by_water,
        )
        .some(
            "density kg/m3",
            hygric.density.map(quantity::Density::as_kg_per_m3),
        )
        .some(
            "specific heat J/(kg.K)",
            hygric
                .specific_heat
                .map(quantity::SpecificHeat::as_j_per_kgk),
        );
    lines.list
}

fn mortar(mortar: &Mortar) -> Vec<v1::Property> {
    let mut lines = Lines::of(&mortar.article);
    if let Some(use_) = &mortar.bonding {
        lines
            .add("bead and dab kg/m2", use_.bead_and_dab.as_kg_per_m2())
            .add(
                "unevenness kg/m2 per mm",
                use_.per_mm_unevenness.as_kg_per_m2(),
            )
            .add("full bed kg/m2", use_.full_bed.as_kg_per_m2())
            .add("wait before anchors h", use_.before_anchors.as_hours());
    }
    if let Some(coat) = &mortar.base_coat {
        lines
            .add("base coat kg/m2 per mm", coat.per_mm.as_kg_per_m2())
            .add("base coat thickness mm", coat.thickness.as_mm())
            .add("drying before the primer h", coat.drying.as_hours());
    }
    lines
        .add("water l/kg", mortar.water_l_per_kg)
        .add("density kg/m3", mortar.density.as_kg_per_m3())
        .add("conductivity W/(m.K)", mortar.conductivity.as_w_per_mk())
        .add("vapour resistance factor", mortar.vapour_resistance_factor);
    lines.list
}

fn anchor(anchor: &Anchor) -> Vec<v1::Property> {
    let mut lines = Lines::of(&anchor.article);
    for base in &anchor.base {
        let name = format!(
            "pull-out resistance kN, base material {}",
            base.category.letter()
        );
        lines.add(&name, base.resistance.as_kn());
        let name = format!("embedment mm, base material {}", base.category.letter());
        lines.add(&name, base.embedment.0);
    }
    let setting = match anchor.setting {
        Setting::Flush => "flush".to_owned(),
        Setting::Recessed { depth } => format!("sunk by {depth}"),
    };
    lines
        .add("plate diameter mm", anchor.plate_diameter.0)
        .some("plate stiffness kN/mm", anchor.plate_stiffness_kn_per_mm)
        .add("drill diameter mm", anchor.drill_diameter.0)
        .add(
            "point transmittance W/K",
            anchor.point_transmittance.as_w_per_k(),
        )
        .add("setting", setting)
        .add("board thickness mm at least", anchor.board_thickness_min.0)
        .add("spacing mm at least", anchor.spacing_min.0)
        .add("edge distance mm at least", anchor.edge_distance_min.0);
    lines.list
}

fn base_profile(profile: &BaseProfile) -> Vec<v1::Property> {
    let mut lines = Lines::of(&profile.article);
    let psi = profile.linear_transmittance;
    lines
        .add("fixing spacing mm", profile.fixing_spacing.0)
        .add("joint gap mm", profile.joint_gap.0)
        .some(
            "linear transmittance W/(m.K)",
            psi.map(LinearTransmittance::as_w_per_mk),
        );
    lines.list
}

fn mesh(mesh: &Mesh) -> Vec<v1::Property> {
    let mut lines = Lines::of(&mesh.article);
    lines
        .add("roll width mm", mesh.roll_width.0)
        .add("roll length mm", mesh.roll_length.0)
        .add("overlap mm", mesh.overlap.0)
        .add(
            "diagonal piece mm",
            format!("{} x {}", mesh.diagonal_width.0, mesh.diagonal_length.0),
        );
    lines.list
}

fn finish(finish: &Finish) -> Vec<v1::Property> {
    let mut lines = Lines::of(&finish.article);
    lines
        .add("grain mm", finish.grain.as_mm())
        .add("use kg/m2", finish.per_area.as_kg_per_m2())
        .add("thickness mm", finish.thickness.as_mm())
        .add("vapour resistance factor", finish.vapour_resistance_factor);
    lines.list
}

fn system(system: &System) -> Vec<v1::Property> {
    let mut lines = Lines::of(&system.article);
    lines
        .add("attachment", attachment(system.attachment))
        .add("board", &system.board)
        .some("plinth board", system.plinth_board.as_ref())
        .some("barrier board", system.barrier_board.as_ref())
        .add("bonding mortar", &system.bonding_mortar)
        .add("base coat mortar", &system.base_coat_mortar)
        .add("base coat thickness mm", system.base_coat_thickness.as_mm())
        .add("mesh", &system.mesh)
        .add("beads", system.beads.join(", "))
        .some("base profile", system.base_profile.as_ref())
        .add("anchors", system.anchors.join(", "))
        .some("wider plate", system.plate.as_ref())
        .some("plug", system.plug.as_ref())
        .some("foam", system.foam.as_ref())
        .some("sealing strip", system.sealing_strip.as_ref())
        .some("waterproofing", system.waterproofing.as_ref())
        .add("primer", &system.primer)
        .add("finishes", system.finishes.join(", "))
        .add("anchors per m2 at least", system.anchors_per_m2_min)
        .add("anchors per m2 at most", system.anchors_per_m2_max)
        .add("reaction to fire", &system.reaction_to_fire);
    for tested in &system.plate_resistances {
        let from = format!(
            "board {} from {}, plate from {}",
            tested.board, tested.thickness_min, tested.plate_diameter_min
        );
        lines.add(
            &format!("pull-through kN in the field, {from}"),
            tested.panel.as_kn(),
        );
        lines.add(
            &format!("pull-through kN at joints, {from}"),
            tested.joint.as_kn(),
        );
    }
    lines.list
}

/// The kinds with one or two properties.
fn small(assortment: &Assortment, kind: &str, name: &str) -> Option<Vec<v1::Property>> {
    let heading = heading(assortment, &format!("{kind}.{name}"))?;
    let mut lines = Lines::of(heading);
    match kind {
        "bead" => {
            let usage = assortment.beads.get(name).map(|b| match b.usage {
                BeadUse::Corner => "salient and re-entrant edges, jambs",
                BeadUse::Drip => "lintels and lower edges",
                BeadUse::Joint => "structural joints",
                BeadUse::Sill => "under window sills",
                BeadUse::Frame => "at window and door frames",
            });
            lines.some("use", usage);
        }
        "plate" => {
            lines.some(
                "diameter mm",
                assortment.plates.get(name).map(|p| p.diameter.0),
            );
        }
        "foam" => {
            lines.some(
                "yield l/l",
                assortment.foams.get(name).map(|f| f.yield_l_per_l),
            );
        }
        "adhesive" => {
            lines.some(
                "use l per element",
                assortment.adhesives.get(name).map(|a| a.litres_per_element),
            );
        }
        "waterproofing" => {
            lines.some(
                "use kg/m2",
                assortment
                    .waterproofings
                    .get(name)
                    .map(|w| w.per_area.as_kg_per_m2()),
            );
        }
        "primer" => {
            if let Some(primer) = assortment.primers.get(name) {
                lines
                    .add("use kg/m2", primer.per_area.as_kg_per_m2())
                    .add("dilution water share at most", primer.water_share_max)
                    .add("drying before the finish h", primer.drying.as_hours());
            }
        }
        "mounting-element" => {
            if let Some(element) = assortment.mounting_elements.get(name) {
                let load = match element.load {
                    LoadClass::Light => "light",
                    LoadClass::Heavy => "heavy",
                };
                lines.add("load", load).add("anchors", element.anchors).add(
                    "board thickness mm",
                    format!("{} to {}", element.thickness_min.0, element.thickness_max.0),
                );
            }
        }
        _ => {}
    }
    Some(lines.list)
}
