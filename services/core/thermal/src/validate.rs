//! Everything that can be wrong with a wall, found at once.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Length;
use standards::iso_6946::{SLIGHTLY_ABOVE_MM2_PER_M, THICKEST_AIR_LAYER};
use working::{Fault, Faults};

use crate::build_up::{Body, BuildUp, Homogeneous, Layer, Role, Surfaces, Vapour};
use crate::record::under;

/// The most layers of a wall.
pub const MOST_LAYERS: usize = 100;
/// The most section paths through a wall; the upper limit goes along each.
pub const MOST_PATHS: usize = 4096;
/// The least conductivity of a layer, W/(m K): a tenth of what the best evacuated insulants reach (common practice, no source). Less is a slip,
/// and what it does to a period or a thickness would be blamed on those.
pub const LEAST_CONDUCTIVITY: f64 = 1e-4;
/// The greatest, W/(m K): above every metal.
pub const GREATEST_CONDUCTIVITY: f64 = 1e4;
/// How far the shares of sections may add up beside 1.
pub const SHARE_TOLERANCE: f64 = 1e-6;

/// What a calculation needs to know beyond conductivities.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Needs {
    /// Steady heat flow only.
    Heat,
    /// Resistance to vapour too.
    Vapour,
    /// Storage of heat too.
    Storage,
}

/// Whether a wall can be calculated: layers with thickness and conductivity, sections whose shares add to 1, air layers that the
/// table covers, no ventilated air layer on the warm side of the insulation that is put on.
///
/// # Errors
/// Every fault with the path of its field, what was found and what was expected.
pub fn validate(build_up: &BuildUp) -> Result<(), Vec<Fault>> {
    validate_for(build_up, Needs::Heat)
}

pub(crate) fn validate_for(build_up: &BuildUp, needs: Needs) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let layers_path = under(&build_up.path, "layers");
    if build_up.layers.is_empty() {
        faults.add(&layers_path, "EMPTY", "no layer", "at least one layer");
    }
    if build_up.layers.len() > MOST_LAYERS {
        let found = format!("{} layers", build_up.layers.len());
        faults.add(
            layers_path.as_str(),
            "TOO_MANY",
            found,
            format!("at most {MOST_LAYERS}"),
        );
    }
    for (index, layer) in build_up.layers.iter().take(MOST_LAYERS).enumerate() {
        check_layer(index, layer, build_up, needs, &mut faults);
    }
    check_paths(build_up, &layers_path, &mut faults);
    check_ventilation(build_up, &mut faults);
    check_extras(build_up, &mut faults);
    faults.or(())
}

/// The path of a layer: its own, or by its place.
pub(crate) fn layer_path(build_up: &BuildUp, index: usize, layer: &Layer) -> String {
    if layer.path.is_empty() {
        under(&build_up.path, &format!("layers[{index}]"))
    } else {
        layer.path.clone()
    }
}

pub(crate) fn above_zero(faults: &mut Faults, path: &str, number: f64, unit: &str) {
    let reason = if number.is_finite() {
        "NOT_ABOVE_ZERO"
    } else {
        "NOT_FINITE"
    };
    if !(number.is_finite() && number > 0.0) {
        faults.add(
            path,
            reason,
            format!("{number} {unit}"),
            "a finite number above 0",
        );
    }
}

pub(crate) fn within(faults: &mut Faults, path: &str, number: f64, range: (f64, f64), unit: &str) {
    if !(number.is_finite() && number >= range.0 && number <= range.1) {
        let reason = if number.is_finite() {
            "OUT_OF_RANGE"
        } else {
            "NOT_FINITE"
        };
        let expected = format!("{} to {} {unit}", range.0, range.1);
        faults.add(path, reason, format!("{number} {unit}"), expected);
    }
}

fn check_layer(index: usize, layer: &Layer, build_up: &BuildUp, needs: Needs, faults: &mut Faults) {
    let path = layer_path(build_up, index, layer);
    let thickness = layer.thickness.as_m();
    let thickness_path = under(&path, "thickness_mm");
    if matches!(layer.body, Body::Resistance { .. }) {
        within(
            faults,
            &thickness_path,
            thickness * 1e3,
            (0.0, 10_000.0),
            "mm",
        );
    } else {
        above_zero(faults, &thickness_path, thickness * 1e3, "mm");
        if thickness > 10.0 {
            faults.add(
                &thickness_path,
                "OUT_OF_RANGE",
                format!("{} mm", thickness * 1e3),
                "at most 10000 mm",
            );
        }
    }
    match &layer.body {
        Body::Homogeneous(material) => check_material(&path, material, needs, faults),
        Body::Sections(sections) => {
            check_sections(&path, layer, needs, faults);
            for (place, section) in sections.iter().enumerate() {
                let path = under(&path, &format!("sections[{place}]"));
                check_material(&path, &section.material, needs, faults);
            }
        }
        Body::Air { openings_mm2_per_m } => {
            if layer.thickness > THICKEST_AIR_LAYER {
                let found = format!("an air layer of {} mm", layer.thickness.as_mm());
                faults.add(
                    &thickness_path,
                    "AIR_LAYER_TOO_THICK",
                    found,
                    "at most 300 mm",
                );
            }
            let path = under(&path, "openings_mm2_per_m");
            within(faults, &path, *openings_mm2_per_m, (0.0, 1e7), "mm2/m");
        }
        Body::Resistance {
            resistance,
            equivalent_air,
        } => {
            above_zero(
                faults,
                &under(&path, "resistance_m2k_per_w"),
                resistance.as_m2k_per_w(),
                "m2K/W",
            );
            match equivalent_air {
                Some(s_d) => check_equivalent_air(&under(&path, "equivalent_air_m"), *s_d, faults),
                None if needs == Needs::Vapour => missing(&path, "equivalent_air_m", faults),
                None => {}
            }
        }
    }
}

fn missing(path: &str, field: &str, faults: &mut Faults) {
    faults.add(
        under(path, field),
        "MISSING",
        "nothing",
        "a value, because this calculation needs it",
    );
}

fn check_equivalent_air(path: &str, s_d: Length, faults: &mut Faults) {
    within(faults, path, s_d.as_m(), (1e-5, 1e5), "m");
}

fn check_material(path: &str, material: &Homogeneous, needs: Needs, faults: &mut Faults) {
    let lambda = material.conductivity.as_w_per_mk();
    let lambda_path = under(path, "conductivity_w_per_mk");
    above_zero(faults, &lambda_path, lambda, "W/(m K)");
    if lambda.is_finite() && lambda > 0.0 {
        let range = (LEAST_CONDUCTIVITY, GREATEST_CONDUCTIVITY);
        within(faults, &lambda_path, lambda, range, "W/(m K)");
    }
    match material.vapour {
        Some(Vapour::Factor(mu)) if !(mu.is_finite() && (1.0..=1e7).contains(&mu)) => {
            let reason = if mu < 1.0 {
                "MU_BELOW_ONE"
            } else {
                "OUT_OF_RANGE"
            };
            let expected = "a vapour resistance factor from 1 (still air) to 10000000";
            faults.add(
                under(path, "vapour_factor"),
                reason,
                format!("{mu}"),
                expected,
            );
        }
        Some(Vapour::EquivalentAir(s_d)) => {
            check_equivalent_air(&under(path, "equivalent_air_m"), s_d, faults);
        }
        None if needs == Needs::Vapour => missing(path, "vapour_factor", faults),
        _ => {}
    }
    match material.storage {
        Some(storage) => {
            let density = storage.density.as_kg_per_m3();
            within(
                faults,
                &under(path, "density_kg_per_m3"),
                density,
                (0.5, 30_000.0),
                "kg/m3",
            );
            let heat = storage.specific_heat.as_j_per_kgk();
            within(
                faults,
                &under(path, "specific_heat_j_per_kgk"),
                heat,
                (50.0, 10_000.0),
                "J/(kg K)",
            );
        }
        None if needs == Needs::Storage => missing(path, "density_kg_per_m3", faults),
        None => {}
    }
}

fn check_sections(path: &str, layer: &Layer, needs: Needs, faults: &mut Faults) {
    let Body::Sections(sections) = &layer.body else {
        return;
    };
    let path_of = under(path, "sections");
    if sections.is_empty() {
        faults.add(&path_of, "EMPTY", "no section", "at least one section");
        return;
    }
    for (place, section) in sections.iter().enumerate() {
        let path = under(path, &format!("sections[{place}].share"));
        if !(section.share.is_finite() && section.share > 0.0) {
            faults.add(
                path,
                "NOT_ABOVE_ZERO",
                format!("{}", section.share),
                "a share above 0",
            );
        }
    }
    let sum: f64 = sections.iter().map(|section| section.share).sum();
    if !sum.is_finite() || libm::fabs(sum - 1.0) > SHARE_TOLERANCE {
        faults.add(
            &path_of,
            "SHARES_NOT_ONE",
            format!("shares that add to {sum}"),
            "shares that add to 1",
        );
    }
    if needs == Needs::Storage && sections.len() > 1 {
        let found = format!("{} sections side by side", sections.len());
        faults.add(
            &path_of,
            "NOT_PLANE",
            found,
            "plane layers; ask for the section of interest alone",
        );
    }
}

fn check_paths(build_up: &BuildUp, path: &str, faults: &mut Faults) {
    let paths = build_up
        .layers
        .iter()
        .fold(1_usize, |paths, layer| match &layer.body {
            Body::Sections(sections) => paths.saturating_mul(sections.len().max(1)),
            _ => paths,
        });
    if paths > MOST_PATHS {
        let found = format!("{paths} paths through the sections");
        faults.add(
            path,
            "TOO_MANY_PATHS",
            found,
            format!("at most {MOST_PATHS}"),
        );
    }
}

fn check_ventilation(build_up: &BuildUp, faults: &mut Faults) {
    let mut ventilated = build_up.layers.iter().enumerate().filter(|(_, layer)| {
        matches!(layer.body, Body::Air { openings_mm2_per_m } if openings_mm2_per_m > SLIGHTLY_ABOVE_MM2_PER_M)
    });
    let Some((first, layer)) = ventilated.next() else {
        return;
    };
    for (index, layer) in ventilated {
        let path = under(&layer_path(build_up, index, layer), "openings_mm2_per_m");
        faults.add(
            path,
            "SECOND_VENTILATED_LAYER",
            "a second ventilated air layer",
            "at most one in a wall",
        );
    }
    if let Some(insulation) = build_up
        .layers
        .iter()
        .skip(first + 1)
        .find(|l| l.role == Role::Insulation)
    {
        let path = under(&layer_path(build_up, first, layer), "openings_mm2_per_m");
        let found = format!(
            "a ventilated air layer on the warm side of the insulation `{}`",
            insulation.name
        );
        faults.add(
            path,
            "VENTILATED_INSIDE_INSULATION",
            found,
            "at most 500 mm2/m, or the layer outside the insulation",
        );
    }
}

fn check_extras(build_up: &BuildUp, faults: &mut Faults) {
    if let Surfaces::Given {
        inside, outside, ..
    } = &build_up.surfaces
    {
        let path = under(&build_up.path, "surfaces");
        within(
            faults,
            &under(&path, "inside_m2k_per_w"),
            inside.as_m2k_per_w(),
            (0.0, 2.0),
            "m2K/W",
        );
        within(
            faults,
            &under(&path, "outside_m2k_per_w"),
            outside.as_m2k_per_w(),
            (0.0, 2.0),
            "m2K/W",
        );
    }
    if let Some(anchors) = &build_up.anchors {
        let path = under(&build_up.path, "anchors");
        within(
            faults,
            &under(&path, "per_m2"),
            anchors.per_area.as_per_m2(),
            (0.0, 100.0),
            "1/m2",
        );
        within(
            faults,
            &under(&path, "chi_w_per_k"),
            anchors.chi.as_w_per_k(),
            (0.0, 0.1),
            "W/K",
        );
    }
    for (index, bridge) in build_up.linear.iter().enumerate() {
        let path = if bridge.path.is_empty() {
            under(&build_up.path, &format!("linear[{index}]"))
        } else {
            bridge.path.clone()
        };
        within(
            faults,
            &under(&path, "psi_w_per_mk"),
            bridge.psi.as_w_per_mk(),
            (-5.0, 5.0),
            "W/(m K)",
        );
        within(
            faults,
            &under(&path, "length_m"),
            bridge.length.as_m(),
            (0.0, 1e5),
            "m",
        );
        above_zero(
            faults,
            &under(&path, "wall_area_m2"),
            bridge.wall_area.as_m2(),
            "m2",
        );
    }
    check_fasteners(build_up, faults);
}

fn check_fasteners(build_up: &BuildUp, faults: &mut Faults) {
    let insulation: Length = build_up
        .layers
        .iter()
        .filter(|layer| layer.role == Role::Insulation)
        .map(|layer| layer.thickness)
        .sum();
    let Some(fasteners) = &build_up.fasteners else {
        return;
    };
    let path = under(&build_up.path, "fasteners");
    within(
        faults,
        &under(&path, "per_m2"),
        fasteners.per_area.as_per_m2(),
        (0.0, 100.0),
        "1/m2",
    );
    within(
        faults,
        &under(&path, "conductivity_w_per_mk"),
        fasteners.conductivity.as_w_per_mk(),
        (0.0, 500.0),
        "W/(m K)",
    );
    within(
        faults,
        &under(&path, "cross_section_mm2"),
        fasteners.cross_section.as_mm2(),
        (0.0, 1e4),
        "mm2",
    );
    if insulation <= Length::ZERO {
        faults.add(
            path.as_str(),
            "NO_INSULATION",
            "no layer of insulation",
            "a layer of insulation that they pierce",
        );
    }
    if let Some(length) = fasteners.recessed_length
        && !(length > Length::ZERO && length <= insulation)
    {
        let found = format!("{} mm", length.as_mm());
        let expected = format!(
            "above 0 and at most the insulation's {} mm",
            insulation.as_mm()
        );
        faults.add(
            under(&path, "recessed_length_mm"),
            "OUT_OF_RANGE",
            found,
            expected,
        );
    }
}
