//! ISO 6946: the total thermal resistance of a wall, its U-value and the corrections.

use alloc::borrow::Cow;
use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

use quantity::{Conductivity, Length, Rounding, ThermalResistance, Transmittance};
use standards::iso_6946 as iso;
use working::{Fault, Figure, Finding, Origin, Severity, Sheet};

use crate::build_up::{
    Body, BuildUp, Fasteners, RecessReading, Role, Section, SlightVentilation, SmallCorrections,
    Surfaces,
};
use crate::formula;
use crate::record::{Bare, Record, label, under};
use crate::validate::{layer_path, validate};

/// Conductivities from here on are taken as metal bridging the insulation (common practice, no source).
pub const METAL_W_PER_MK: f64 = 10.0;

/// One layer of the wall as it counts.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerResistance {
    /// Its place in the build-up.
    pub index: usize,
    /// Its name.
    pub name: String,
    /// Its part.
    pub role: Role,
    /// Its resistance; of an inhomogeneous layer the equivalent one of the lower limit.
    pub resistance: Figure<ThermalResistance>,
}

/// The limits of the combined method.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CombinedMethod {
    /// The upper limit, whole paths side by side.
    pub upper: Figure<ThermalResistance>,
    /// The lower limit, layers in series.
    pub lower: Figure<ThermalResistance>,
    /// The largest relative error.
    pub relative_error: Figure<f64>,
    /// Upper over lower limit; the method holds up to 1.5.
    pub ratio: Figure<f64>,
}

/// What a correction is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CorrectionOf {
    /// Air voids in the insulation.
    Voids,
    /// Fasteners by the approximate procedure of ISO 6946.
    Fasteners,
    /// Anchors as point bridges.
    Anchors,
    /// A linear bridge, by its name.
    Linear(String),
}

/// One correction.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// What it is for.
    pub of: CorrectionOf,
    /// How much it adds to U.
    pub value: Figure<Transmittance>,
}

/// The thermal transmittance of a wall and what led to it. Nothing is rounded.
#[derive(Clone, Debug, PartialEq)]
pub struct Transmittances {
    /// The internal surface resistance.
    pub inside_surface: Figure<ThermalResistance>,
    /// The external surface resistance; the internal one stands here outside a well ventilated layer.
    pub outside_surface: Figure<ThermalResistance>,
    /// The layers that count, from inside to outside.
    pub layers: Vec<LayerResistance>,
    /// Surfaces and layers in series, the resistance along which temperatures are found.
    pub series: Figure<ThermalResistance>,
    /// The combined method's limits, where a layer has sections.
    pub combined: Option<CombinedMethod>,
    /// The total thermal resistance.
    pub total: Figure<ThermalResistance>,
    /// U without corrections.
    pub u: Figure<Transmittance>,
    /// The corrections, all of them.
    pub corrections: Vec<Correction>,
    /// The corrections together.
    pub correction: Figure<Transmittance>,
    /// Their share of U.
    pub correction_share: Figure<f64>,
    /// Whether they were left out by the 3 % rule.
    pub dropped: bool,
    /// U with the corrections that are made.
    pub u_corrected: Figure<Transmittance>,
    /// What the reader should know: limits of the method, ventilated layers, values from memory.
    pub findings: Vec<Finding>,
}

impl Transmittances {
    /// The corrected U-value rounded for print or comparison; two significant figures are the standard's own rule.
    pub fn rounded(&self, rounding: Rounding) -> Transmittance {
        Transmittance::from_w_per_m2k(rounding.round(self.u_corrected.value.as_w_per_m2k()))
    }
    /// The resistance of all layers of these parts in series, without surfaces.
    pub fn resistance_of(&self, roles: &[Role]) -> ThermalResistance {
        self.layers
            .iter()
            .filter(|layer| roles.contains(&layer.role))
            .map(|layer| layer.resistance.value)
            .sum()
    }
}

/// The U-value of a wall to ISO 6946, with every figure on the sheet.
///
/// # Errors
/// What [`validate`] says of the wall.
///
/// ```
/// use quantity::{Conductivity, Length};
/// use thermal::{Body, BuildUp, Homogeneous, Layer, Role};
/// let layer = |name, role, mm, lambda| {
///     let material = Homogeneous::of_conductivity(Conductivity::from_w_per_mk(lambda));
///     Layer::request(name, "", role, Length::from_mm(mm), Body::Homogeneous(material))
/// };
/// let wall = BuildUp::of("build_up", vec![
///     layer("brick", Role::Wall, 240.0, 0.5),
///     layer("board", Role::Insulation, 140.0, 0.035),
///     layer("render", Role::Coat, 7.0, 0.87),
/// ]);
/// let mut sheet = working::Sheet::new();
/// let answer = thermal::transmittance(&wall, &mut sheet).unwrap();
/// assert!((answer.u_corrected.value.as_w_per_m2k() - 0.214682).abs() < 1e-6);
/// ```
pub fn transmittance(build_up: &BuildUp, sheet: &mut Sheet) -> Result<Transmittances, Vec<Fault>> {
    validate(build_up)?;
    Record::section(sheet, "Thermal transmittance");
    Ok(transmittance_on(build_up, sheet))
}

/// The same without a sheet and without validation, for searches; a bad wall gives NaN.
pub fn transmittance_bare(build_up: &BuildUp) -> Transmittances {
    transmittance_on(build_up, &mut Bare)
}

/// One inhomogeneous layer's sections on the sheet.
struct SectionFigures {
    shares: Vec<Figure<f64>>,
    resistances: Vec<Figure<ThermalResistance>>,
}

/// A layer on the sheet.
struct LayerFigures {
    index: usize,
    resistance: Figure<ThermalResistance>,
    sections: Option<SectionFigures>,
}

pub(crate) fn transmittance_on<R: Record>(build_up: &BuildUp, record: &mut R) -> Transmittances {
    let mut findings = Vec::new();
    let (inside, outside) = surfaces(build_up, record);
    let layers: Vec<LayerFigures> = build_up
        .layers
        .iter()
        .enumerate()
        .map(|(index, layer)| layer_figures(index, layer, build_up, record))
        .collect();
    let whole = ventilated_total(build_up, &layers, (inside, outside), record, &mut findings);
    let u = record.derive(
        || label(format_args!("U")),
        &iso::TRANSMITTANCE,
        (whole.total,),
    );
    note_method(build_up, whole.combined.as_ref(), &mut findings);
    let counted: Vec<LayerResistance> = layers
        .iter()
        .take(whole.counted)
        .map(|layer| named(build_up, layer))
        .collect();
    let corrections = corrections(build_up, &layers, whole.total, record);
    let values: Vec<Figure<Transmittance>> = corrections.iter().map(|c| c.value).collect();
    let correction = record.derive(
        || label(format_args!("dU, all corrections")),
        &iso::CORRECTION_SUM,
        (&values,),
    );
    let correction_share = record.derive(
        || label(format_args!("dU/U")),
        &iso::CORRECTION_SHARE,
        (correction, u),
    );
    let dropped = !corrections.is_empty()
        && build_up.small_corrections == SmallCorrections::Dropped
        && libm::fabs(correction_share.value) < iso::NEGLIGIBLE_SHARE;
    let u_corrected = if dropped {
        record.step(|| {
            Cow::Borrowed(
                "The corrections together are below 3 % of U and are not made (ISO 6946:2017, 7).",
            )
        });
        u
    } else {
        record.derive(
            || label(format_args!("U_c")),
            &iso::CORRECTED,
            (u, correction),
        )
    };
    Transmittances {
        inside_surface: inside,
        outside_surface: whole.outside,
        layers: counted,
        series: whole.series,
        combined: whole.combined,
        total: whole.total,
        u,
        corrections,
        correction,
        correction_share,
        dropped,
        u_corrected,
        findings,
    }
}

fn named(build_up: &BuildUp, layer: &LayerFigures) -> LayerResistance {
    let given = build_up.layers.get(layer.index);
    LayerResistance {
        index: layer.index,
        name: given.map(|l| l.name.clone()).unwrap_or_default(),
        role: given.map(|l| l.role).unwrap_or_default(),
        resistance: layer.resistance,
    }
}

type Pair = (Figure<ThermalResistance>, Figure<ThermalResistance>);

fn surfaces<R: Record>(build_up: &BuildUp, record: &mut R) -> Pair {
    match &build_up.surfaces {
        Surfaces::Conventional => (
            record.given(
                || label(format_args!("R_si")),
                iso::internal_surface(build_up.direction),
                || Origin::Table(iso::SURFACE_TABLE),
            ),
            record.given(
                || label(format_args!("R_se")),
                iso::EXTERNAL_SURFACE,
                || Origin::Table(iso::SURFACE_TABLE),
            ),
        ),
        Surfaces::Given {
            inside,
            outside,
            from,
        } => (
            record.given(
                || label(format_args!("R_si")),
                *inside,
                || from.origin("inside-m2k-per-w"),
            ),
            record.given(
                || label(format_args!("R_se")),
                *outside,
                || from.origin("outside-m2k-per-w"),
            ),
        ),
    }
}

fn layer_figures<R: Record>(
    index: usize,
    layer: &crate::Layer,
    build_up: &BuildUp,
    record: &mut R,
) -> LayerFigures {
    let name = layer.name.as_str();
    let thickness = |record: &mut R| {
        record.given(
            || label(format_args!("d, {name}")),
            layer.thickness,
            || layer.thickness_from.origin("thickness-mm"),
        )
    };
    let conductivity = |record: &mut R, lambda: Conductivity| {
        record.given(
            || label(format_args!("lambda, {name}")),
            lambda,
            || layer.material_from.origin("conductivity-w-per-mk"),
        )
    };
    let mut sections = None;
    let resistance = match &layer.body {
        Body::Homogeneous(material) => {
            let d = thickness(record);
            let lambda = conductivity(record, material.conductivity);
            record.derive(
                || label(format_args!("R, {name}")),
                &iso::LAYER,
                (d, lambda),
            )
        }
        Body::Sections(parts) => {
            let d = thickness(record);
            let figures = section_figures(name, parts, d, layer, record);
            let equal = record.derive(
                || label(format_args!("R, {name}, equivalent")),
                &iso::PARALLEL,
                (&figures.shares, &figures.resistances),
            );
            sections = Some(figures);
            equal
        }
        Body::Air { openings_mm2_per_m } => air_layer(layer, *openings_mm2_per_m, build_up, record),
        Body::Resistance { resistance, .. } => record.given(
            || label(format_args!("R, {name}")),
            *resistance,
            || layer.material_from.origin("resistance-m2k-per-w"),
        ),
    };
    LayerFigures {
        index,
        resistance,
        sections,
    }
}

fn section_figures<R: Record>(
    name: &str,
    parts: &[Section],
    d: Figure<Length>,
    layer: &crate::Layer,
    record: &mut R,
) -> SectionFigures {
    let mut figures = SectionFigures {
        shares: Vec::with_capacity(parts.len()),
        resistances: Vec::with_capacity(parts.len()),
    };
    for (place, part) in parts.iter().enumerate() {
        figures.shares.push(record.given(
            || label(format_args!("f, {name}, section {place}")),
            part.share,
            || layer.material_from.origin("share"),
        ));
        let lambda = record.given(
            || label(format_args!("lambda, {name}, section {place}")),
            part.material.conductivity,
            || layer.material_from.origin("conductivity-w-per-mk"),
        );
        figures.resistances.push(record.derive(
            || label(format_args!("R, {name}, section {place}")),
            &iso::LAYER,
            (d, lambda),
        ));
    }
    figures
}

/// The resistance of an air layer as if unventilated; the edition of 1996 halves a slightly ventilated one here.
fn air_layer<R: Record>(
    layer: &crate::Layer,
    openings: f64,
    build_up: &BuildUp,
    record: &mut R,
) -> Figure<ThermalResistance> {
    let name = layer.name.as_str();
    let d = record.given(
        || label(format_args!("d, {name}")),
        layer.thickness,
        || layer.thickness_from.origin("thickness-mm"),
    );
    let Some((low, high)) = iso::air_cells(build_up.direction, layer.thickness) else {
        let nothing = ThermalResistance::from_m2k_per_w(f64::NAN);
        let why = || Origin::Assumed(Cow::Borrowed("no table covers this thickness"));
        return record.given(|| label(format_args!("R, {name}")), nothing, why);
    };
    let table = || Origin::Table(iso::AIR_TABLE);
    let d_a = record.given(|| label(format_args!("d_a")), low.thickness, table);
    let d_b = record.given(|| label(format_args!("d_b")), high.thickness, table);
    let r_a = record.given(|| label(format_args!("R_a")), low.resistance, table);
    let r_b = record.given(|| label(format_args!("R_b")), high.resistance, table);
    let still = record.derive(
        || label(format_args!("R, {name}")),
        &iso::AIR_LAYER,
        (d, d_a, d_b, r_a, r_b),
    );
    let slight = openings > iso::SLIGHTLY_ABOVE_MM2_PER_M && openings <= iso::WELL_ABOVE_MM2_PER_M;
    if slight && build_up.slight_ventilation == SlightVentilation::Halved {
        return record.derive(
            || label(format_args!("R, {name}, halved")),
            &iso::AIR_LAYER_HALVED,
            (still,),
        );
    }
    still
}

/// The total of a wall or of its inner part.
struct Whole {
    counted: usize,
    outside: Figure<ThermalResistance>,
    series: Figure<ThermalResistance>,
    combined: Option<CombinedMethod>,
    total: Figure<ThermalResistance>,
}

fn ventilated_total<R: Record>(
    build_up: &BuildUp,
    layers: &[LayerFigures],
    (inside, outside): Pair,
    record: &mut R,
    findings: &mut Vec<Finding>,
) -> Whole {
    let ventilated = build_up
        .layers
        .iter()
        .enumerate()
        .find_map(|(index, layer)| match layer.body {
            Body::Air { openings_mm2_per_m }
                if openings_mm2_per_m > iso::SLIGHTLY_ABOVE_MM2_PER_M =>
            {
                Some((index, openings_mm2_per_m, layer))
            }
            _ => None,
        });
    let Some((at, openings, layer)) = ventilated else {
        return total(layers, inside, outside, record);
    };
    let inner = layers.get(..at).unwrap_or_default();
    let well = openings > iso::WELL_ABOVE_MM2_PER_M;
    findings.push(Finding {
        code: if well { "AIR_LAYER_WELL_VENTILATED" } else { "AIR_LAYER_SLIGHTLY_VENTILATED" },
        severity: Severity::Note,
        path: layer_path(build_up, at, layer),
        text: String::from(if well {
            "the air layer is well ventilated: it and all layers outside it do not count, and the external surface resistance is the internal one"
        } else {
            "the air layer is slightly ventilated; the rule for it is from memory of the standard"
        }),
        source: iso::DOCUMENT,
    });
    if well {
        return total(inner, inside, inside, record);
    }
    if build_up.slight_ventilation == SlightVentilation::Halved {
        let through = layers.get(..=at).unwrap_or_default();
        let beyond: Vec<Figure<ThermalResistance>> = layers
            .iter()
            .skip(at + 1)
            .map(|layer| layer.resistance)
            .collect();
        let capped = record.derive(
            || label(format_args!("R outside the air layer")),
            &iso::CAPPED_OUTSIDE,
            (&beyond,),
        );
        let end = record.derive(
            || label(format_args!("R outside with R_se")),
            &formula::IN_SERIES,
            (capped, outside),
        );
        return total(through, inside, end, record);
    }
    let still = total(layers, inside, outside, record);
    let open = total(inner, inside, inside, record);
    let a_ve = record.given(
        || label(format_args!("A_ve")),
        openings,
        || layer.material_from.origin("openings-mm2-per-m"),
    );
    let total = record.derive(
        || label(format_args!("R_tot, slightly ventilated")),
        &iso::SLIGHTLY_VENTILATED,
        (a_ve, still.total, open.total),
    );
    Whole { total, ..still }
}

fn total<R: Record>(
    layers: &[LayerFigures],
    inside: Figure<ThermalResistance>,
    outside: Figure<ThermalResistance>,
    record: &mut R,
) -> Whole {
    let mut resistances: Vec<Figure<ThermalResistance>> =
        layers.iter().map(|l| l.resistance).collect();
    let series = record.derive(
        || label(format_args!("R_tot, layers in series")),
        &iso::TOTAL,
        (inside, &resistances, outside),
    );
    let mut whole = Whole {
        counted: layers.len(),
        outside,
        series,
        combined: None,
        total: series,
    };
    if layers.iter().all(|layer| layer.sections.is_none()) {
        return whole;
    }
    let paths = section_paths(layers, record);
    let mut totals = Vec::with_capacity(paths.len());
    for (place, path) in paths.iter().enumerate() {
        for (at, resistance) in resistances.iter_mut().zip(&path.resistances) {
            *at = *resistance;
        }
        totals.push(record.derive(
            || label(format_args!("R_tot, path {place}")),
            &iso::TOTAL,
            (inside, &resistances, outside),
        ));
    }
    let shares: Vec<Figure<f64>> = paths.iter().map(|path| path.share).collect();
    let upper = record.derive(
        || label(format_args!("R_tot, upper limit")),
        &iso::PARALLEL,
        (&shares, &totals),
    );
    let mean = record.derive(
        || label(format_args!("R_tot")),
        &iso::MEAN_OF_LIMITS,
        (upper, series),
    );
    whole.combined = Some(CombinedMethod {
        upper,
        lower: series,
        relative_error: record.derive(
            || label(format_args!("e")),
            &iso::RELATIVE_ERROR,
            (upper, series, mean),
        ),
        ratio: record.derive(
            || label(format_args!("R_upper/R_lower")),
            &iso::LIMIT_RATIO,
            (upper, series),
        ),
    });
    whole.total = mean;
    whole
}

/// One way through the wall, section by section.
#[derive(Clone)]
struct Path {
    share: Figure<f64>,
    resistances: Vec<Figure<ThermalResistance>>,
}

/// Every way through the sections, in the order of the sections; validation bounds their number.
fn section_paths<R: Record>(layers: &[LayerFigures], record: &mut R) -> Vec<Path> {
    let whole = record.given(
        || label(format_args!("f, the whole area")),
        1.0,
        || Origin::Assumed(Cow::Borrowed("the paths share the whole area")),
    );
    let mut paths = vec![Path {
        share: whole,
        resistances: Vec::new(),
    }];
    for layer in layers {
        let Some(sections) = &layer.sections else {
            for path in &mut paths {
                path.resistances.push(layer.resistance);
            }
            continue;
        };
        let mut split = Vec::with_capacity(paths.len() * sections.shares.len());
        for path in &paths {
            for (share, resistance) in sections.shares.iter().zip(&sections.resistances) {
                let mut next = path.clone();
                next.share = record.derive(
                    || label(format_args!("f, path")),
                    &iso::PATH_SHARE,
                    (path.share, *share),
                );
                next.resistances.push(*resistance);
                split.push(next);
            }
        }
        paths = split;
    }
    paths
}

fn note_method(build_up: &BuildUp, combined: Option<&CombinedMethod>, findings: &mut Vec<Finding>) {
    let Some(combined) = combined else {
        return;
    };
    if combined.ratio.value > iso::LARGEST_LIMIT_RATIO {
        findings.push(Finding {
            code: "COMBINED_METHOD_NOT_VALID",
            severity: Severity::Breach,
            path: under(&build_up.path, "layers"),
            text: alloc::format!(
                "the upper limit is {:.2} times the lower one; above 1.5 the combined method is not valid, calculate the detail in two or three dimensions",
                combined.ratio.value
            ),
            source: iso::DOCUMENT,
        });
    }
    for (index, layer) in build_up.layers.iter().enumerate() {
        let Body::Sections(parts) = &layer.body else {
            continue;
        };
        if parts.len() > 1
            && parts
                .iter()
                .any(|p| p.material.conductivity.as_w_per_mk() >= METAL_W_PER_MK)
        {
            findings.push(Finding {
                code: "METAL_THROUGH_LAYER",
                severity: Severity::Breach,
                path: layer_path(build_up, index, layer),
                text: String::from("metal bridges this layer; the combined method does not hold for it, calculate the detail in two or three dimensions"),
                source: iso::DOCUMENT,
            });
        }
    }
}

fn corrections<R: Record>(
    build_up: &BuildUp,
    layers: &[LayerFigures],
    total: Figure<ThermalResistance>,
    record: &mut R,
) -> Vec<Correction> {
    let mut found = Vec::new();
    let is_insulation = |index: usize| {
        build_up
            .layers
            .get(index)
            .is_some_and(|l| l.role == Role::Insulation)
    };
    let insulation: Vec<Figure<ThermalResistance>> = layers
        .iter()
        .filter(|l| is_insulation(l.index))
        .map(|l| l.resistance)
        .collect();
    if build_up.voids != iso::VoidLevel::None && !insulation.is_empty() {
        let r_1 = record.derive(
            || label(format_args!("R_1, insulation")),
            &formula::SUM,
            (&insulation,),
        );
        let level = record.given(
            || label(format_args!("dU'', level of voids")),
            iso::void_correction(build_up.voids),
            || Origin::Table(iso::VOID_TABLE),
        );
        let value = record.derive(
            || label(format_args!("dU_g, voids")),
            &iso::VOIDS,
            (level, r_1, total),
        );
        found.push(Correction {
            of: CorrectionOf::Voids,
            value,
        });
    }
    if let Some(fasteners) = &build_up.fasteners {
        // A plastic fastener below 1 W/(m K) needs no correction.
        if fasteners.conductivity.as_w_per_mk() >= 1.0 && !insulation.is_empty() {
            let value = fastener_correction(build_up, fasteners, &insulation, total, record);
            found.push(Correction {
                of: CorrectionOf::Fasteners,
                value,
            });
        }
    }
    bridge_corrections(build_up, record, &mut found);
    found
}

fn bridge_corrections<R: Record>(build_up: &BuildUp, record: &mut R, found: &mut Vec<Correction>) {
    if let Some(anchors) = &build_up.anchors {
        let chi = record.given(
            || label(format_args!("chi, anchor")),
            anchors.chi,
            || anchors.from.origin("chi-w-per-k"),
        );
        let n = record.given(
            || label(format_args!("n, anchors")),
            anchors.per_area,
            || anchors.from.origin("per-m2"),
        );
        let value = record.derive(
            || label(format_args!("dU_p, anchors")),
            &iso::POINT_BRIDGES,
            (chi, n),
        );
        found.push(Correction {
            of: CorrectionOf::Anchors,
            value,
        });
    }
    for bridge in &build_up.linear {
        let name = bridge.name.as_str();
        let psi = record.given(
            || label(format_args!("psi, {name}")),
            bridge.psi,
            || bridge.from.origin("psi-w-per-mk"),
        );
        let l = record.given(
            || label(format_args!("l, {name}")),
            bridge.length,
            || bridge.from.origin("length-m"),
        );
        let a = record.given(
            || label(format_args!("A, {name}")),
            bridge.wall_area,
            || bridge.from.origin("wall-area-m2"),
        );
        let value = record.derive(
            || label(format_args!("dU_l, {name}")),
            &iso::LINEAR_BRIDGES,
            (psi, l, a),
        );
        found.push(Correction {
            of: CorrectionOf::Linear(bridge.name.clone()),
            value,
        });
    }
}

fn fastener_correction<R: Record>(
    build_up: &BuildUp,
    fasteners: &Fasteners,
    insulation: &[Figure<ThermalResistance>],
    total: Figure<ThermalResistance>,
    record: &mut R,
) -> Figure<Transmittance> {
    let mut depths = Vec::new();
    for layer in build_up
        .layers
        .iter()
        .filter(|l| l.role == Role::Insulation)
    {
        let name = layer.name.as_str();
        depths.push(record.given(
            || label(format_args!("d, {name}")),
            layer.thickness,
            || layer.thickness_from.origin("thickness-mm"),
        ));
    }
    let d_0 = record.derive(
        || label(format_args!("d_0, insulation")),
        &formula::THICKNESS,
        (&depths,),
    );
    let layer = record.derive(
        || label(format_args!("R, insulation")),
        &formula::SUM,
        (insulation,),
    );
    let d_1 = match fasteners.recessed_length {
        Some(length) => record.given(
            || label(format_args!("d_1, fastener in the insulation")),
            length,
            || fasteners.from.origin("recessed-length-mm"),
        ),
        None => d_0,
    };
    let alpha = record.derive(
        || label(format_args!("alpha")),
        &iso::FASTENER_ALPHA,
        (d_1, d_0),
    );
    let r_1 = match fasteners.reading {
        RecessReading::WholeLayer => layer,
        RecessReading::PenetratedPart => record.derive(
            || label(format_args!("R_1")),
            &iso::PENETRATED,
            (layer, d_1, d_0),
        ),
    };
    let lambda = record.given(
        || label(format_args!("lambda_f")),
        fasteners.conductivity,
        || fasteners.from.origin("conductivity-w-per-mk"),
    );
    let section = record.given(
        || label(format_args!("A_f")),
        fasteners.cross_section,
        || fasteners.from.origin("cross-section-mm2"),
    );
    let n = record.given(
        || label(format_args!("n_f")),
        fasteners.per_area,
        || fasteners.from.origin("per-m2"),
    );
    record.derive(
        || label(format_args!("dU_f, fasteners")),
        &iso::FASTENERS,
        (alpha, lambda, section, n, d_0, r_1, total),
    )
}
