//! A wall's moisture as plots: temperature and vapour pressure through it, and condensate by month.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use drawing::{
    CondensatePlot, CondensationPlane, Hatch, LimitLine, PlaneCondensate, ProfileLayer,
    WallProfile, condensate_plot, wall_profile,
};
use quantity::Temperature;
use thermal::{Body, BuildUp, CondensateAt, CondensateLimit, MONTH_NAMES, Moisture, Role};
use working::{Fault, Finding, Severity};

use crate::answer::Drawing;

/// The most planes that a plot of condensate tells apart.
const MOST_PLANES: usize = 6;
/// The air beside the wall, as a share of its thickness.
const AIR_SHARE: f64 = 0.06;

/// The plots of a wall whose moisture is known, the profile first. What cannot be drawn becomes a finding.
pub fn wall_drawings(
    build_up: &BuildUp,
    moisture: &Moisture,
    limits: &[CondensateLimit],
) -> (Vec<Drawing>, Vec<Finding>) {
    let mut drawings = Vec::new();
    let mut findings = Vec::new();
    let profile = profile(build_up, moisture);
    let (condensate, left_out) = condensate(moisture, limits);
    let plots = [
        (
            "wall-profile.svg",
            profile.title.clone(),
            wall_profile(&profile),
        ),
        (
            "condensate.svg",
            condensate.title.clone(),
            condensate_plot(&condensate),
        ),
    ];
    for (name, title, svg) in plots {
        match svg {
            Ok(svg) => drawings.push(Drawing {
                name: String::from(name),
                title,
                svg,
            }),
            Err(faults) => findings.push(not_drawn(&title, &faults)),
        }
    }
    if left_out > 0 {
        findings.push(note(format!(
            "The plot of condensate shows the {MOST_PLANES} planes that gather most; {left_out} more are left out of it."
        )));
    }
    (drawings, findings)
}

fn not_drawn(title: &str, faults: &[Fault]) -> Finding {
    let why = faults.first().map(ToString::to_string).unwrap_or_default();
    note(format!("{title} could not be drawn: {why}"))
}

fn note(text: String) -> Finding {
    Finding {
        code: "NOT_DRAWN",
        severity: Severity::Note,
        path: String::new(),
        text,
        source: "",
    }
}

/// The coldest month outside, by its place among the months of the wall.
fn coldest(moisture: &Moisture) -> usize {
    let outside = |i: usize| {
        moisture
            .air
            .get(i)
            .map_or(Temperature::from_celsius(0.0), |a| a.outside.value)
    };
    (0..moisture.air.len()).fold(
        0,
        |best, i| {
            if outside(i) < outside(best) { i } else { best }
        },
    )
}

fn profile(build_up: &BuildUp, moisture: &Moisture) -> WallProfile {
    let wall = &moisture.interstitial;
    let month = coldest(moisture);
    let total: f64 = build_up.layers.iter().map(|l| l.thickness.as_mm()).sum();
    let air = moisture.air.get(month);
    let states = wall
        .months
        .iter()
        .find(|m| m.month == month)
        .map_or(&[][..], |m| &m.profile);
    let mut temperature = Vec::with_capacity(states.len() + 2);
    let mut pressure = Vec::with_capacity(states.len() + 2);
    let mut saturation = Vec::with_capacity(states.len());
    let (before, beyond) = (-AIR_SHARE * total, (1.0 + AIR_SHARE) * total);
    if let Some(air) = air {
        temperature.push((before, air.inside.value.as_celsius()));
        pressure.push((before, air.inside_pressure.value.as_pa()));
    }
    for (point, state) in wall.points.iter().zip(states) {
        let x = point.depth.as_mm();
        temperature.push((x, state.temperature.as_celsius()));
        pressure.push((x, state.pressure.as_pa()));
        saturation.push((x, state.saturation.as_pa()));
    }
    if let Some(air) = air {
        temperature.push((beyond, air.outside.value.as_celsius()));
        pressure.push((beyond, air.outside_pressure.value.as_pa()));
    }
    let name = MONTH_NAMES.get(month).copied().unwrap_or_default();
    WallProfile {
        title: format!("Temperature and vapour pressure through the wall in {name}"),
        left: String::from("inside"),
        right: String::from("outside"),
        layers: layers(build_up),
        temperature,
        vapour_pressure: pressure,
        saturation_pressure: saturation,
        condensation: planes(moisture),
    }
}

/// Layers of the old wall are told apart by their hatches; insulation and coats have one each.
fn layers(build_up: &BuildUp) -> Vec<ProfileLayer> {
    const OLD: [Hatch; 4] = [
        Hatch::Rising,
        Hatch::Falling,
        Hatch::RisingPairs,
        Hatch::Level,
    ];
    let mut old = 0;
    let mut hatch = |role: Role, body: &Body| match (role, body) {
        (_, Body::Air { .. }) => Hatch::Plain,
        (Role::Insulation, _) => Hatch::Crossed,
        (Role::Coat, _) => Hatch::Upright,
        (Role::Wall, _) => {
            old += 1;
            OLD.get((old - 1) % OLD.len())
                .copied()
                .unwrap_or(Hatch::Rising)
        }
    };
    build_up
        .layers
        .iter()
        .map(|layer| ProfileLayer {
            name: layer.name.clone(),
            thickness_mm: layer.thickness.as_mm(),
            hatch: hatch(layer.role, &layer.body),
        })
        .collect()
}

/// Where moisture gathers, each plane with the most that it holds.
fn planes(moisture: &Moisture) -> Vec<CondensationPlane> {
    let wall = &moisture.interstitial;
    wall.planes
        .iter()
        .enumerate()
        .filter_map(|(index, plane)| {
            let depth = wall.points.get(plane.point)?.depth.as_mm();
            let most = gathered(moisture, index).into_iter().fold(0.0, f64::max);
            let digits = if most < 10.0 { 2 } else { 0 };
            Some(CondensationPlane {
                x_mm: depth,
                text: format!("condensate, at most {most:.digits$} g/m²"),
            })
        })
        .collect()
}

/// What has gathered at a plane at the end of each month, g/m2, in the order of the wall's months.
fn gathered(moisture: &Moisture, plane: usize) -> Vec<f64> {
    let at = |month: &thermal::WallMonth| {
        month
            .planes
            .iter()
            .find(|p| p.plane == plane)
            .map_or(0.0, |p| p.accumulated.value.as_kg_per_m2() * 1e3)
    };
    moisture.interstitial.months.iter().map(at).collect()
}

/// The plot of condensate, and how many planes it leaves out.
fn condensate(moisture: &Moisture, limits: &[CondensateLimit]) -> (CondensatePlot, usize) {
    let wall = &moisture.interstitial;
    let mut planes: Vec<PlaneCondensate> = wall
        .planes
        .iter()
        .enumerate()
        .map(|(index, plane)| {
            let gathered = gathered(moisture, index);
            // The year starts dry; what a month adds is what stands at its end over what stood before it.
            let before = core::iter::once(0.0).chain(gathered.iter().copied());
            PlaneCondensate {
                name: plane.place.clone(),
                monthly_g_per_m2: gathered.iter().zip(before).map(|(a, b)| a - b).collect(),
                gathered_g_per_m2: gathered,
            }
        })
        .collect();
    let left_out = planes.len().saturating_sub(MOST_PLANES);
    if left_out > 0 {
        let most = |p: &PlaneCondensate| p.gathered_g_per_m2.iter().copied().fold(0.0, f64::max);
        planes.sort_by(|a, b| most(b).total_cmp(&most(a)));
        planes.truncate(MOST_PLANES);
    }
    let short = |month: usize| {
        let name = MONTH_NAMES.get(month).copied().unwrap_or_default();
        name.chars().take(3).collect::<String>()
    };
    let limit = limits
        .iter()
        .filter(|l| l.at == CondensateAt::AnyPlane && !planes.is_empty())
        .min_by(|a, b| a.value.as_kg_per_m2().total_cmp(&b.value.as_kg_per_m2()))
        .map(|l| LimitLine {
            name: format!("limit of {}, {}", l.act, l.country),
            value: l.value.as_kg_per_m2() * 1e3,
        });
    let title = if planes.is_empty() {
        "Condensate in the wall by month: none in any month"
    } else {
        "Condensate in the wall by month"
    };
    let plot = CondensatePlot {
        title: String::from(title),
        months: wall.months.iter().map(|m| short(m.month)).collect(),
        planes,
        limit,
    };
    (plot, left_out)
}
