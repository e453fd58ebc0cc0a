//! ISO 13788: moisture that gathers between and within the layers, month by month, and whether it dries.

use alloc::borrow::Cow;
use alloc::collections::BTreeMap;
use alloc::string::String;
use alloc::vec;
use alloc::vec::Vec;

use quantity::{
    AreaMass, Length, MoistureFlux, Quantity, Temperature, ThermalResistance, VapourPermeability,
    VapourPressure,
};
use standards::{iso_6946, iso_13788 as iso};
use working::{Clause, Figure, Origin, Sheet, Standing};

use crate::air::{MonthAir, month_name};
use crate::build_up::{Body, BuildUp, Vapour};
use crate::climate::MONTHS;
use crate::formula;
use crate::glaser::{self, Curve, Grid};
use crate::record::label;
use crate::transmittance::{LayerResistance, Transmittances};

/// Where the equivalent thickness of an air layer stands.
const AIR_LAYER_CLAUSE: Clause = Clause {
    document: iso::DOCUMENT,
    clause: "6.2, s_d of an air layer is 0.01 m whatever its thickness",
    standing: Standing::Unverified,
};

/// One point of the wall between which vapour flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The layer it ends or lies in, by its place in the build-up; nothing for the inner surface.
    pub layer: Option<usize>,
    /// The share of that layer inside the point; 1 at its outer face.
    pub share: f64,
    /// The distance from the inner surface.
    pub depth: Length,
    /// The diffusion-equivalent air layer from the inner surface.
    pub equivalent_air: Length,
    /// The resistance from the room.
    pub resistance: ThermalResistance,
}

/// The state at a point in the middle of a month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointState {
    /// Temperature.
    pub temperature: Temperature,
    /// Saturation pressure.
    pub saturation: VapourPressure,
    /// Vapour pressure.
    pub pressure: VapourPressure,
}

/// A plane at which moisture gathers in some month.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Its place among the points.
    pub point: usize,
    /// Where it is, in words.
    pub place: String,
}

/// What happens at one plane in one month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneMonth {
    /// Its place among the planes.
    pub plane: usize,
    /// The temperature there.
    pub temperature: Figure<Temperature>,
    /// What the month's rate at its beginning gives in a whole month; negative for evaporation, which ends when the plane is dry.
    pub condensate: Figure<AreaMass>,
    /// What has gathered at the end of the month.
    pub accumulated: Figure<AreaMass>,
}

/// One month inside the wall.
#[derive(Clone, Debug, PartialEq)]
pub struct WallMonth {
    /// The month, 0 for January.
    pub month: usize,
    /// The planes that are wet or gather.
    pub planes: Vec<PlaneMonth>,
    /// What has gathered at all planes by the end.
    pub accumulated: Figure<AreaMass>,
    /// The profile at the month's beginning, one state a point.
    pub profile: Vec<PointState>,
}

/// How the year ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// No plane gathers moisture in any month.
    NoCondensation,
    /// Moisture gathers and dries within the year.
    DriesOut,
    /// Moisture is left after twelve months.
    Accumulates,
}

/// Moisture inside the wall over a year.
#[derive(Clone, Debug, PartialEq)]
pub struct Interstitial {
    /// The points, from the inner surface to the outer one.
    pub points: Vec<Point>,
    /// The planes at which moisture gathers, from inside to outside.
    pub planes: Vec<Plane>,
    /// Twelve months from the first with condensation; from January where there is none.
    pub months: Vec<WallMonth>,
    /// The month the year starts with, 0 for January.
    pub start: Option<usize>,
    /// How it ends.
    pub outcome: Outcome,
    /// The most that gathers at all planes together.
    pub most: Figure<AreaMass>,
    /// In which month that is.
    pub most_month: Option<usize>,
    /// What is left after twelve months.
    pub left: Figure<AreaMass>,
    /// What would be left after a second year, found bare; more than after the first means it grows.
    pub left_after_second_year: AreaMass,
}

/// One layer's part of the grid on the sheet.
struct LayerParts {
    index: usize,
    resistance: Figure<ThermalResistance>,
    equivalent_air: Figure<Length>,
    resistance_before: Figure<ThermalResistance>,
    air_before: Figure<Length>,
    pieces: usize,
}

/// A point on the sheet.
#[derive(Clone, Copy)]
struct PointFigures {
    resistance: Figure<ThermalResistance>,
    air: Figure<Length>,
}

struct Wall<'a> {
    build_up: &'a BuildUp,
    of: &'a Transmittances,
    parts: Vec<LayerParts>,
    points: Vec<Point>,
    grid: Grid,
    inner: PointFigures,
    delta: Figure<VapourPermeability>,
    figures: BTreeMap<usize, PointFigures>,
}

pub(crate) fn interstitial_on(
    build_up: &BuildUp,
    of: &Transmittances,
    air: &[MonthAir],
    sheet: &mut Sheet,
) -> Interstitial {
    sheet.section("Moisture inside the wall");
    let mut wall = lay_out(build_up, of, sheet);
    let year: Vec<glaser::Air> = air.iter().map(MonthAir::bare).collect();
    let mut curve = Curve::default();
    let start = glaser::start(&glaser::gathering(&wall.grid, &year, &mut curve));
    let zero = sheet.given(
        "M_a at the beginning",
        AreaMass::ZERO,
        Origin::Assumed(Cow::Borrowed("the wall is dry at the beginning")),
    );
    sheet.step(match start {
        Some(month) => Cow::Owned(alloc::format!(
            "The year starts with {}, the first month with condensation after the longest dry spell. Layers above 0.25 m2K/W are subdivided; {} points.",
            month_name(month),
            wall.points.len()
        )),
        None => Cow::Owned(alloc::format!(
            "In no month does the line of vapour pressure touch saturation at any of {} points: no condensation.",
            wall.points.len()
        )),
    });
    let mut mass: Vec<Figure<AreaMass>> = vec![zero; wall.points.len()];
    let mut months = Vec::with_capacity(MONTHS);
    let mut wet: Vec<usize> = Vec::new();
    for step in 0..air.len() {
        let month = (start.unwrap_or(0) + step) % air.len().max(1);
        let Some(air) = air.get(month) else { continue };
        months.push(carry(&mut wall, air, &mut mass, &mut wet, sheet));
    }
    wet.sort_unstable();
    number_planes(&mut months, &wet);
    let planes = wet
        .iter()
        .map(|&point| Plane {
            point,
            place: place(&wall, point),
        })
        .collect();
    finish(Interstitial {
        points: wall.points,
        planes,
        start,
        outcome: Outcome::NoCondensation,
        most: zero,
        most_month: None,
        left: months
            .last()
            .map_or(zero, |month: &WallMonth| month.accumulated),
        left_after_second_year: second_year(&wall.grid, &year, start, &mass),
        months,
    })
}

/// Within the carrying, planes are numbered by their point; afterwards by their place among the planes.
fn number_planes(months: &mut [WallMonth], wet: &[usize]) {
    for plane in months.iter_mut().flat_map(|month| month.planes.iter_mut()) {
        plane.plane = wet
            .iter()
            .position(|point| *point == plane.plane)
            .unwrap_or(0);
    }
}

fn finish(mut found: Interstitial) -> Interstitial {
    for month in &found.months {
        if month.accumulated.value > found.most.value {
            found.most = month.accumulated;
            found.most_month = Some(month.month);
        }
    }
    found.outcome = if found.start.is_none() {
        Outcome::NoCondensation
    } else if found.left.value.as_kg_per_m2() > glaser::NEGLIGIBLE {
        Outcome::Accumulates
    } else {
        Outcome::DriesOut
    };
    found
}

fn second_year(
    grid: &Grid,
    year: &[glaser::Air],
    start: Option<usize>,
    mass: &[Figure<AreaMass>],
) -> AreaMass {
    let Some(start) = start else {
        return AreaMass::ZERO;
    };
    let mut mass: Vec<f64> = mass.iter().map(|m| m.value.as_kg_per_m2()).collect();
    let mut curve = Curve::default();
    for step in 0..year.len() {
        if let Some(air) = year.get((start + step) % year.len()) {
            glaser::month(grid, air, &mut mass, &mut curve);
        }
    }
    AreaMass::from_kg_per_m2(mass.iter().sum())
}

/// How many equal pieces a layer of this resistance is divided into.
pub(crate) fn pieces(resistance: ThermalResistance) -> usize {
    let pieces = libm::ceil(resistance / iso::SUBDIVIDED_ABOVE * (1.0 - 1e-12));
    // A layer of 25 m2K/W has a hundred pieces; more say nothing more.
    pieces.clamp(1.0, 100.0) as usize
}

fn lay_out<'a>(build_up: &'a BuildUp, of: &'a Transmittances, sheet: &mut Sheet) -> Wall<'a> {
    let delta = sheet.given(
        "delta_0",
        iso::AIR_PERMEABILITY,
        Origin::Table(iso::AIR_PERMEABILITY_CLAUSE),
    );
    let zero = sheet.given(
        "s at the inner surface",
        Length::ZERO,
        Origin::Assumed(Cow::Borrowed(
            "air layers are counted from the inner surface",
        )),
    );
    let inner = PointFigures {
        resistance: of.inside_surface,
        air: zero,
    };
    let mut at = inner;
    let mut depth = Length::ZERO;
    let mut wall = Wall {
        build_up,
        of,
        parts: Vec::with_capacity(of.layers.len()),
        points: vec![Point {
            layer: None,
            share: 1.0,
            depth,
            equivalent_air: zero.value,
            resistance: at.resistance.value,
        }],
        grid: Grid::default(),
        inner,
        delta,
        figures: BTreeMap::new(),
    };
    for layer in &of.layers {
        at = add_layer(&mut wall, layer, at, depth, sheet);
        depth = wall.points.last().map_or(depth, |point| point.depth);
    }
    wall.grid = Grid {
        s: wall
            .points
            .iter()
            .map(|p| p.equivalent_air.as_m())
            .collect(),
        share: wall
            .points
            .iter()
            .map(|p| p.resistance / of.series.value)
            .collect(),
        permeability: delta.value.as_kg_per_mspa(),
    };
    wall
}

/// Adds a layer's points and gives the figures at its outer face.
fn add_layer(
    wall: &mut Wall<'_>,
    layer: &LayerResistance,
    at: PointFigures,
    depth: Length,
    sheet: &mut Sheet,
) -> PointFigures {
    let equivalent_air = equivalent_air(wall.build_up, layer.index, sheet);
    let pieces = pieces(layer.resistance.value);
    let given = wall.build_up.layers.get(layer.index);
    let thickness = given.map_or(Length::ZERO, |l| l.thickness);
    for piece in 1..=pieces {
        let share = piece as f64 / pieces as f64;
        wall.points.push(Point {
            layer: Some(layer.index),
            share,
            depth: depth + thickness * share,
            equivalent_air: at.air.value + equivalent_air.value * share,
            resistance: at.resistance.value + layer.resistance.value * share,
        });
    }
    wall.parts.push(LayerParts {
        index: layer.index,
        resistance: layer.resistance,
        equivalent_air,
        resistance_before: at.resistance,
        air_before: at.air,
        pieces,
    });
    let face = Origin::Assumed(Cow::Borrowed("the outer face of the layer"));
    let one = sheet.given("x", 1.0, face);
    let next = PointFigures {
        resistance: sheet.derive(
            label(format_args!("R from inside to behind {}", layer.name)),
            &formula::PART_OF_RESISTANCE,
            (at.resistance, layer.resistance, one),
        ),
        air: sheet.derive(
            label(format_args!("s from inside to behind {}", layer.name)),
            &formula::PART_OF_LENGTH,
            (at.air, equivalent_air, one),
        ),
    };
    wall.figures.insert(wall.points.len() - 1, next);
    next
}

fn equivalent_air(build_up: &BuildUp, index: usize, sheet: &mut Sheet) -> Figure<Length> {
    let nothing = |sheet: &mut Sheet| {
        sheet.given(
            "s_d",
            Length::ZERO,
            Origin::Assumed(Cow::Borrowed("no layer")),
        )
    };
    let Some(layer) = build_up.layers.get(index) else {
        return nothing(sheet);
    };
    let name = layer.name.as_str();
    let material = match &layer.body {
        Body::Homogeneous(material) => Some(material),
        Body::Sections(parts) => parts
            .iter()
            .reduce(|best, next| if next.share > best.share { next } else { best })
            .map(|part| &part.material),
        Body::Air { .. } => {
            return sheet.given(
                label(format_args!("s_d, {name}")),
                Length::from_m(0.01),
                Origin::Table(AIR_LAYER_CLAUSE),
            );
        }
        Body::Resistance { .. } => None,
    };
    if let Some(Vapour::Factor(mu)) = material.and_then(|m| m.vapour) {
        let mu = sheet.given(
            label(format_args!("mu, {name}")),
            mu,
            layer.material_from.origin("vapour-resistance-factor"),
        );
        let d = sheet.given(
            label(format_args!("d, {name}")),
            layer.thickness,
            layer.thickness_from.origin("thickness-mm"),
        );
        return sheet.derive(
            label(format_args!("s_d, {name}")),
            &iso::EQUIVALENT_AIR,
            (mu, d),
        );
    }
    let s_d = layer.equivalent_air().unwrap_or_default();
    sheet.given(
        label(format_args!("s_d, {name}")),
        s_d,
        layer.material_from.origin("equivalent-air-m"),
    )
}

/// A point's resistance and air layer on the sheet, written when first used.
fn point_figures(wall: &mut Wall<'_>, point: usize, sheet: &mut Sheet) -> PointFigures {
    if point == 0 {
        return wall.inner;
    }
    if let Some(figures) = wall.figures.get(&point) {
        return *figures;
    }
    let mut first = 1;
    for part in &wall.parts {
        if point < first + part.pieces {
            let share = (point - first + 1) as f64 / part.pieces as f64;
            let how = alloc::format!("piece {} of {} equal ones", point - first + 1, part.pieces);
            let x = sheet.given("x", share, Origin::Counted(Cow::Owned(how)));
            let figures = PointFigures {
                resistance: sheet.derive(
                    "R from inside to the plane",
                    &formula::PART_OF_RESISTANCE,
                    (part.resistance_before, part.resistance, x),
                ),
                air: sheet.derive(
                    "s from inside to the plane",
                    &formula::PART_OF_LENGTH,
                    (part.air_before, part.equivalent_air, x),
                ),
            };
            wall.figures.insert(point, figures);
            return figures;
        }
        first += part.pieces;
    }
    wall.inner
}

fn place(wall: &Wall<'_>, point: usize) -> String {
    let name = |index: usize| {
        wall.build_up
            .layers
            .get(index)
            .map_or("the outer surface", |l| l.name.as_str())
    };
    let Some(Point {
        layer: Some(index),
        share,
        ..
    }) = wall.points.get(point).copied()
    else {
        return String::from("the inner surface");
    };
    if share < 1.0 {
        return alloc::format!(
            "within {}, {:.0} % of it inside",
            name(index),
            share * 100.0
        );
    }
    match wall.parts.iter().find(|part| part.index > index) {
        Some(next) => alloc::format!("between {} and {}", name(index), name(next.index)),
        None => alloc::format!("the outer face of {}", name(index)),
    }
}

/// A point's temperature and the pressure of the string there, on the sheet.
fn held(
    wall: &mut Wall<'_>,
    point: usize,
    air: &MonthAir,
    sheet: &mut Sheet,
) -> (Figure<Temperature>, Figure<VapourPressure>) {
    let at = point_figures(wall, point, sheet);
    let name = month_name(air.month);
    let theta = sheet.derive(
        label(format_args!("theta at point {point}, {name}")),
        &iso_6946::INTERFACE_TEMPERATURE,
        (air.inside, air.outside, at.resistance, wall.of.series),
    );
    let saturation = sheet.derive(
        label(format_args!("p_sat at point {point}, {name}")),
        &iso::SATURATION,
        (theta,),
    );
    let last = wall.points.len().saturating_sub(1);
    let open = match point {
        0 => Some(air.inside_pressure),
        p if p == last => Some(air.outside_pressure),
        _ => None,
    };
    (
        theta,
        open.filter(|p| p.value <= saturation.value)
            .unwrap_or(saturation),
    )
}

/// Carries one month on the sheet.
fn carry(
    wall: &mut Wall<'_>,
    air: &MonthAir,
    mass: &mut [Figure<AreaMass>],
    wet: &mut Vec<usize>,
    sheet: &mut Sheet,
) -> WallMonth {
    let bare = air.bare();
    let mut curve = Curve::default();
    let before: Vec<f64> = mass.iter().map(|m| m.value.as_kg_per_m2()).collect();
    curve.saturate(&wall.grid, &bare);
    curve.pull(&wall.grid, &before);
    let profile = profile(&wall.grid, &bare, &curve);
    let mut after = before.clone();
    let mut end = Curve::default();
    let splits = glaser::month(&wall.grid, &bare, &mut after, &mut end);
    let name = month_name(air.month);
    if splits > 0 {
        sheet.step(alloc::format!("In {name} a plane dries before the month ends; the rest of the month is calculated without it."));
    }
    let mut planes = Vec::new();
    for at in curve.string.windows(3).zip(curve.rate.iter().skip(1)) {
        let (&[inner, point, outer], rate) = at else {
            continue;
        };
        let is_wet = before.get(point).is_some_and(|m| *m > 0.0);
        if !is_wet && rate * bare.seconds <= glaser::NEGLIGIBLE {
            continue;
        }
        let around = (inner, point, outer);
        let end = after.get(point).copied().unwrap_or(0.0);
        if let Some(mass) = mass.get_mut(point) {
            let plane = plane_month(wall, air, around, *mass, end, sheet);
            *mass = plane.accumulated;
            planes.push(plane);
        }
    }
    // Planes that begin to gather only after another has dried.
    for (point, (mass, end)) in mass.iter_mut().zip(&after).enumerate() {
        if *end > 0.0
            && mass.value.as_kg_per_m2() <= 0.0
            && !planes.iter().any(|p| p.plane == point)
        {
            let (temperature, _) = held(wall, point, air, sheet);
            *mass = counted(*end, name, sheet);
            planes.push(PlaneMonth {
                plane: point,
                temperature,
                condensate: *mass,
                accumulated: *mass,
            });
        }
    }
    for plane in &planes {
        if !wet.contains(&plane.plane) {
            wet.push(plane.plane);
        }
    }
    let each: Vec<Figure<AreaMass>> = planes.iter().map(|p| p.accumulated).collect();
    let accumulated = match each.as_slice() {
        [] => sheet.given(
            label(format_args!("M_a, {name}")),
            AreaMass::ZERO,
            Origin::Counted(Cow::Borrowed("no plane is wet")),
        ),
        [one] => *one,
        _ => sheet.derive(
            label(format_args!("M_a, {name}")),
            &formula::MASS_SUM,
            (&each,),
        ),
    };
    WallMonth {
        month: air.month,
        planes,
        accumulated,
        profile,
    }
}

fn counted(end: f64, name: &'static str, sheet: &mut Sheet) -> Figure<AreaMass> {
    sheet.given(
        label(format_args!("M_a of the plane, {name}")),
        AreaMass::from_kg_per_m2(end),
        Origin::Counted(Cow::Borrowed(
            "the month is split where a plane dries, and its parts are added",
        )),
    )
}

fn plane_month(
    wall: &mut Wall<'_>,
    air: &MonthAir,
    (inner, point, outer): (usize, usize, usize),
    before: Figure<AreaMass>,
    end: f64,
    sheet: &mut Sheet,
) -> PlaneMonth {
    let name = month_name(air.month);
    let (_, p_a) = held(wall, inner, air, sheet);
    let (temperature, p_c) = held(wall, point, air, sheet);
    let (_, p_b) = held(wall, outer, air, sheet);
    let s_a = point_figures(wall, inner, sheet).air;
    let s_c = point_figures(wall, point, sheet).air;
    let s_b = point_figures(wall, outer, sheet).air;
    let rate: Figure<MoistureFlux> = sheet.derive(
        label(format_args!("g at point {point}, {name}")),
        &iso::CONDENSATION_RATE,
        (wall.delta, p_a, p_c, p_b, s_a, s_c, s_b),
    );
    let condensate = sheet.derive(
        label(format_args!("g_c at point {point}, {name}")),
        &iso::MONTHLY_AMOUNT,
        (rate, air.length),
    );
    let whole = (iso::ACCUMULATED.function)((before.value, condensate.value));
    let accumulated = if libm::fabs(whole.si() - end) <= 1e-9 {
        sheet.derive(
            label(format_args!("M_a at point {point}, {name}")),
            &iso::ACCUMULATED,
            (before, condensate),
        )
    } else {
        counted(end, name, sheet)
    };
    PlaneMonth {
        plane: point,
        temperature,
        condensate,
        accumulated,
    }
}

/// Temperature, saturation and string at every point.
fn profile(grid: &Grid, air: &glaser::Air, curve: &Curve) -> Vec<PointState> {
    let fall = air.inside_celsius - air.outside_celsius;
    let mut bends = curve.string.windows(2).peekable();
    let last = grid.s.len().saturating_sub(1);
    grid.s
        .iter()
        .zip(&grid.share)
        .enumerate()
        .map(|(k, (s, share))| {
            while bends
                .peek()
                .is_some_and(|pair| pair.last().is_some_and(|end| *end < k && *end < last))
            {
                bends.next();
            }
            let celsius = air.inside_celsius - fall * share;
            let pressure = match bends.peek() {
                Some(&&[a, b]) => {
                    let at = |list: &[f64], k: usize| list.get(k).copied().unwrap_or(f64::NAN);
                    let (p_a, p_b) = (at(&curve.pressure, a), at(&curve.pressure, b));
                    let run = at(&grid.s, b) - at(&grid.s, a);
                    if run > 0.0 {
                        p_a + (p_b - p_a) * ((s - at(&grid.s, a)) / run)
                    } else {
                        p_b
                    }
                }
                _ => f64::NAN,
            };
            PointState {
                temperature: Temperature::from_celsius(celsius),
                saturation: VapourPressure::from_pa(iso::saturation_pa(celsius)),
                pressure: VapourPressure::from_pa(pressure),
            }
        })
        .collect()
}
