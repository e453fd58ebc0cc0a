//! The front door: every fault of a surveyed building at once, with its place.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use core::ops::RangeInclusive;

use quantity::{Mm, Quantity};
use working::{Fault, Faults, numbered};

use crate::building::{BaseStep, Below, Building, Facade, Meets, Opening, Side, StructuralJoint};
use crate::polygon::{
    Point, Rectangle, area_within, bounds, contains, doubled_area, holds_point, is_simple, meets,
};
use crate::substrate::Substrate;

/// The stated limits of a survey.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Most facades in a building.
    pub facades: u32,
    /// Most points in an outline.
    pub points: u32,
    /// Most openings in a building.
    pub openings: u32,
    /// Most joints, base steps, cracks or fixtures on a facade.
    pub features: u32,
    /// Most points that the fixtures of a facade are held at, all together.
    pub fixture_points: u32,
    /// Most layers in a wall.
    pub layers: u32,
    /// Greatest width of a facade.
    pub extent: Mm,
    /// Greatest height of a facade.
    pub height: Mm,
    /// Least width of a structural joint in the system.
    pub joint_gap_min: Mm,
}

/// The limits in force. A larger building is sent in parts.
pub const LIMITS: Limits = Limits {
    facades: 60,
    points: 200,
    openings: 2000,
    features: 100,
    fixture_points: 1000,
    layers: 30,
    extent: Mm(300_000),
    height: Mm(200_000),
    joint_gap_min: Mm(5),
};

/// Checks a building.
///
/// # Errors
/// Every fault, in the order of the fields, each with its path, what was found and what was expected.
pub fn check(building: &Building) -> Result<(), alloc::vec::Vec<Fault>> {
    let mut faults = Faults::new();
    let count = building.facades.len();
    if count == 0 || count > LIMITS.facades as usize {
        faults.add(
            "building.facades",
            "OUT_OF_RANGE",
            numbered(count as u64, "facade", "facades"),
            format!("1 to {} facades", LIMITS.facades),
        );
    }
    let openings: usize = building.facades.iter().map(|f| f.openings.len()).sum();
    let mut spared = None;
    if openings > LIMITS.openings as usize {
        faults.add(
            "building.facades",
            "LIMIT_EXCEEDED",
            format!("{openings} openings"),
            format!(
                "at most {} openings in one building; send it in parts",
                LIMITS.openings
            ),
        );
        // So many are not looked at one by one; everything else is.
        let spared = spared.insert(building.clone());
        for facade in &mut spared.facades {
            facade.openings.clear();
        }
    }
    let building = spared.as_ref().unwrap_or(building);
    extents(building, &mut faults);
    substrate("building.substrate", &building.substrate, &mut faults);
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let by_id = by_id(building);
    for (i, facade) in building.facades.iter().enumerate() {
        let path = format!("building.facades[{i}]");
        if facade.id.is_empty() {
            faults.add(
                format!("{path}.id"),
                "MISSING",
                "nothing",
                "a name, unique in the building",
            );
        } else if let Some(first) = seen.insert(&facade.id, i) {
            faults.add(
                format!("{path}.id"),
                "DUPLICATE",
                format!("`{}`, already used by facades[{first}]", facade.id),
                "a name unique in the building",
            );
        }
        check_facade(&path, facade, &mut faults);
        corners(&by_id, i, facade, &mut faults);
    }
    faults.or(())
}

fn extents(building: &Building, faults: &mut Faults) {
    let mut extent = |field: &str, size: Mm, most: Mm| {
        if size <= Mm::ZERO || size > most {
            faults.add(
                format!("building.{field}"),
                "OUT_OF_RANGE",
                format!("{size}"),
                format!("1 to {most}"),
            );
        }
    };
    extent("plan_length_mm", building.plan_length, LIMITS.extent);
    extent("plan_width_mm", building.plan_width, LIMITS.extent);
    extent("height_mm", building.height, LIMITS.height);
    if building.storeys == 0 || building.storeys > 60 {
        faults.add(
            "building.storeys",
            "OUT_OF_RANGE",
            format!("{}", building.storeys),
            "1 to 60",
        );
    }
}

fn check_facade(path: &str, facade: &Facade, faults: &mut Faults) {
    let outline_path = format!("{path}.outline");
    let points = facade.outline.len();
    let before = faults.count();
    if points < 3 || points > LIMITS.points as usize {
        faults.add(
            &outline_path,
            "OUT_OF_RANGE",
            numbered(points as u64, "point", "points"),
            format!("3 to {} points", LIMITS.points),
        );
    } else {
        for (i, p) in facade.outline.iter().enumerate() {
            if !within_reach(*p) {
                faults.add(
                    format!("{outline_path}[{i}]"),
                    "OUT_OF_RANGE",
                    format!("({}, {})", p.x, p.y),
                    format!("x within {}, y within {}", LIMITS.extent, LIMITS.height),
                );
            }
        }
        // A corner that is far out makes the outline cross wherever it should lie.
        let is_near = facade.outline.iter().all(|p| within_reach(*p));
        if is_near && !is_simple(&facade.outline) {
            faults.add(
                &outline_path,
                "OUTLINE_CROSSES",
                "an outline that crosses, touches or repeats itself",
                "a closed outline whose sides meet only at their shared corners",
            );
        } else if is_near && doubled_area(&facade.outline) == 0 {
            faults.add(
                &outline_path,
                "OUTLINE_EMPTY",
                "an outline without area",
                "an outline with area",
            );
        }
    }
    let sound_outline = faults.count() == before;
    openings(path, facade, sound_outline, faults);
    features(path, facade, sound_outline, faults);
    if let Some(wall) = &facade.substrate {
        substrate(&format!("{path}.substrate"), wall, faults);
    }
}

fn openings(path: &str, facade: &Facade, sound_outline: bool, faults: &mut Faults) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (i, opening) in facade.openings.iter().enumerate() {
        let place = format!("{path}.openings[{i}]");
        if let Some(first) = seen.insert(&opening.id, i) {
            faults.add(
                format!("{place}.id"),
                "DUPLICATE",
                format!("`{}`, already used by openings[{first}]", opening.id),
                "a name unique on the facade",
            );
        }
        if !sizes(&place, opening, faults) {
            continue;
        }
        stays_open(&place, facade, opening, faults);
        if sound_outline && !contains(&facade.outline, &opening.raw) {
            let r = opening.raw;
            faults.add(
                &place,
                "OPENING_OUTSIDE",
                format!(
                    "opening `{}` from ({}, {}) to ({}, {})",
                    opening.id,
                    r.x,
                    r.y,
                    r.right(),
                    r.top()
                ),
                "an opening that lies in the wall",
            );
        }
        for (j, other) in facade.openings.iter().enumerate().take(i) {
            if opening.raw.overlaps(&other.raw) {
                faults.add(
                    &place,
                    "OPENINGS_OVERLAP",
                    format!(
                        "opening `{}` overlaps openings[{j}] `{}`",
                        opening.id, other.id
                    ),
                    "openings that lie apart",
                );
            }
        }
        for (j, joint) in few(&facade.joints).iter().enumerate() {
            let half = Mm(joint.gap.0.clamp(0, 1000) / 2);
            if opening.raw.x < joint.x + half && joint.x - half < opening.raw.right() {
                faults.add(
                    &place,
                    "OPENING_ON_JOINT",
                    format!(
                        "opening `{}` crosses joints[{j}] at {}",
                        opening.id, joint.x
                    ),
                    "openings clear of structural joints",
                );
            }
        }
    }
}

/// Whether the sizes of an opening are sound by themselves.
fn sizes(place: &str, opening: &Opening, faults: &mut Faults) -> bool {
    let r = opening.raw;
    let mut sound = true;
    let mut within = |field: &str, size: Mm, least: Mm, most: Mm| {
        if size < least || size > most {
            faults.add(
                format!("{place}.{field}"),
                "OUT_OF_RANGE",
                format!("{size}"),
                format!("{least} to {most}"),
            );
            sound = false;
        }
    };
    within("x_mm", r.x, -LIMITS.extent, LIMITS.extent);
    within("y_mm", r.y, -LIMITS.height, LIMITS.height);
    within("width_mm", r.width, Mm(1), LIMITS.extent);
    within("height_mm", r.height, Mm(1), LIMITS.height);
    within("reveal_depth_mm", opening.reveal_depth, Mm::ZERO, Mm(2000));
    within(
        "reveal_insulation_mm",
        opening.reveal_insulation,
        Mm::ZERO,
        Mm(300),
    );
    within(
        "sill_insulation_mm",
        opening.sill_insulation,
        Mm::ZERO,
        Mm(300),
    );
    sound
}

/// Reveal insulation must leave something of an opening, wherever that lies. An outline with too many points is not asked: each opening
/// is held against every side of it.
fn stays_open(place: &str, facade: &Facade, opening: &Opening, faults: &mut Faults) {
    if facade.outline.len() > LIMITS.points as usize {
        return;
    }
    let size = |opening: &Opening| facade.finished(opening).size;
    let is_open = |r: Rectangle| r.width > Mm::ZERO && r.height > Mm::ZERO;
    let f = size(opening);
    if is_open(f) {
        return;
    }
    // The sill's insulation is to blame only where the reveals' alone would leave an opening.
    let reveals_alone = Opening {
        sill_insulation: Mm::ZERO,
        ..opening.clone()
    };
    let (reveals, sill) = (opening.reveal_insulation, opening.sill_insulation);
    let (field, insulation, expected) = if is_open(size(&reveals_alone)) {
        let both = if reveals > Mm::ZERO {
            format!("{sill} at the sill and {reveals} at the head and jambs")
        } else {
            format!("{sill} at the sill")
        };
        let expected = "sill insulation that leaves an opening";
        ("sill_insulation_mm", both, expected)
    } else {
        let expected = "reveal insulation that leaves an opening";
        ("reveal_insulation_mm", format!("{reveals}"), expected)
    };
    faults.add(
        format!("{place}.{field}"),
        "OPENING_CLOSED",
        format!(
            "{insulation} leaves {} x {} of opening `{}`",
            f.width, f.height, opening.id
        ),
        expected,
    );
}

fn features(path: &str, facade: &Facade, sound_outline: bool, faults: &mut Faults) {
    let mut count = |field: &str, n: usize| {
        if n > LIMITS.features as usize {
            faults.add(
                format!("{path}.{field}"),
                "LIMIT_EXCEEDED",
                format!("{n}"),
                format!("at most {}", LIMITS.features),
            );
        }
    };
    count("joints", facade.joints.len());
    count("base", facade.base.len());
    count("cracks", facade.cracks.len());
    count("fixtures", facade.fixtures.len());
    let points = fixture_points(facade);
    if points > LIMITS.fixture_points as usize {
        faults.add(
            format!("{path}.fixtures"),
            "LIMIT_EXCEEDED",
            format!("{points} points"),
            format!("at most {} points in all", LIMITS.fixture_points),
        );
    }
    for (side, meets) in [("left", &facade.left), ("right", &facade.right)] {
        if let Meets::StructuralJoint { gap, .. } = meets {
            joint_gap(&format!("{path}.{side}.joint_gap_mm"), *gap, faults);
        }
    }
    for (i, joint) in facade.joints.iter().enumerate() {
        joint_gap(&format!("{path}.joints[{i}].gap_mm"), joint.gap, faults);
    }
    for (i, crack) in facade.cracks.iter().enumerate() {
        for (end, p) in [("from", crack.from), ("to", crack.to)] {
            if !within_reach(p) {
                faults.add(
                    format!("{path}.cracks[{i}].{end}"),
                    "OUT_OF_RANGE",
                    format!("({}, {})", p.x, p.y),
                    format!("x within {}, y within {}", LIMITS.extent, LIMITS.height),
                );
            }
        }
    }
    for (i, fixture) in facade.fixtures.iter().enumerate() {
        if fixture.points.is_empty() {
            faults.add(
                format!("{path}.fixtures[{i}].points"),
                "MISSING",
                format!("no points of fixture `{}`", fixture.name),
                "at least one point that the fixture is held at",
            );
        }
    }
    let around = bounds(&facade.outline).filter(|_| sound_outline);
    base_line(path, facade, around, faults);
    let Some((low, high)) = around else {
        return;
    };
    for (i, joint) in few(&facade.joints).iter().enumerate() {
        let half = Mm(joint.gap.0.clamp(0, 1000) / 2);
        if joint.x - half <= low.x || joint.x + half >= high.x {
            faults.add(
                format!("{path}.joints[{i}].x_mm"),
                "OUT_OF_RANGE",
                format!("{}", joint.x),
                format!("a joint that lies between {} and {}", low.x, high.x),
            );
        }
        let reach = |gap: Mm| i64::from(gap.0.clamp(0, 1000));
        let apart = |other: &StructuralJoint| i64::from((joint.x - other.x).abs().0) * 2;
        let others = facade.joints.iter().take(i).enumerate();
        for (j, other) in others {
            if apart(other) < reach(joint.gap) + reach(other.gap) {
                faults.add(
                    format!("{path}.joints[{i}].x_mm"),
                    "OVERLAP",
                    format!("a joint at {} over joints[{j}] at {}", joint.x, other.x),
                    "joints that lie apart",
                );
            }
        }
    }
    fixtures(path, facade, faults);
    cracks_lie_on_the_wall(path, facade, faults);
}

/// What of a list of features is held against other parts of the facade: all of it, or nothing where it is longer than the limit, which is
/// told instead.
fn few<T>(features: &[T]) -> &[T] {
    if features.len() > LIMITS.features as usize {
        &[]
    } else {
        features
    }
}

/// Whether a point lies within the greatest facade.
fn within_reach(p: Point) -> bool {
    p.x.abs() <= LIMITS.extent && p.y.abs() <= LIMITS.height
}

/// A crack that meets the wall nowhere would bind no board.
fn cracks_lie_on_the_wall(path: &str, facade: &Facade, faults: &mut Faults) {
    for (i, crack) in few(&facade.cracks).iter().enumerate() {
        let sound = within_reach(crack.from) && within_reach(crack.to);
        if sound && !meets(&facade.outline, (crack.from, crack.to)) {
            let (from, to) = (crack.from, crack.to);
            faults.add(
                format!("{path}.cracks[{i}]"),
                "OUT_OF_RANGE",
                format!("from ({}, {}) to ({}, {})", from.x, from.y, to.x, to.y),
                "a crack that lies on the facade, in part at least",
            );
        }
    }
}

fn fixture_points(facade: &Facade) -> usize {
    facade.fixtures.iter().map(|f| f.points.len()).sum()
}

/// Fixing points must lie on the wall and beside its openings. Too many are told by their number and not looked at one by one.
fn fixtures(path: &str, facade: &Facade, faults: &mut Faults) {
    if fixture_points(facade) > LIMITS.fixture_points as usize {
        return;
    }
    for (i, fixture) in few(&facade.fixtures).iter().enumerate() {
        for (j, p) in fixture.points.iter().enumerate() {
            let inside = |r: &Rectangle| r.x < p.x && p.x < r.right() && r.y < p.y && p.y < r.top();
            let opening = facade.openings.iter().find(|o| inside(&o.raw));
            let found = match opening {
                Some(opening) => format!("({}, {}), in opening `{}`", p.x, p.y, opening.id),
                None if holds_point(&facade.outline, *p) => continue,
                None => format!("({}, {})", p.x, p.y),
            };
            faults.add(
                format!("{path}.fixtures[{i}].points[{j}]"),
                "OUT_OF_RANGE",
                found,
                "a point on the facade, beside its openings",
            );
        }
    }
}

fn joint_gap(path: &str, gap: Mm, faults: &mut Faults) {
    if gap < LIMITS.joint_gap_min || gap > Mm(200) {
        faults.add(
            path,
            "OUT_OF_RANGE",
            format!("{gap}"),
            format!("{} to 200 mm", LIMITS.joint_gap_min),
        );
    }
}

/// Whether a step without an insulated plinth has wall between its level and the lowest point of the outline.
fn has_wall_below(facade: &Facade, step: &BaseStep, low: Mm) -> bool {
    let strip = Rectangle {
        x: step.from,
        y: low,
        width: step.to - step.from,
        height: step.level - low,
    };
    step.below != Below::InsulatedPlinth
        && step.level > low
        && area_within(&facade.outline, &strip).as_m2() > 1e-6
}

/// The steps of a base line one after another, and against the lower left and upper right corner of a sound outline.
fn base_line(path: &str, facade: &Facade, around: Option<(Point, Point)>, faults: &mut Faults) {
    if facade.base.is_empty() {
        faults.add(
            format!("{path}.base"),
            "MISSING",
            "no base line",
            "at least one step of the base line",
        );
        return;
    }
    // Where the step before ends, as far as that can be: what follows one that ends nowhere is not held against it.
    let mut at = around.map(|(low, _)| low.x);
    for (i, step) in facade.base.iter().enumerate() {
        let place = format!("{path}.base[{i}]");
        let begins = at.is_none_or(|at| step.from == at);
        if !begins || step.to <= step.from {
            let expected = at.map_or_else(
                || String::from("a step that ends to the right of where it begins"),
                |at| format!("a step that begins at {at} and ends to its right"),
            );
            faults.add(
                &place,
                "BASE_GAP",
                format!("a step from {} to {}", step.from, step.to),
                expected,
            );
        }
        if step.to > LIMITS.extent {
            faults.add(
                format!("{place}.to_mm"),
                "OUT_OF_RANGE",
                format!("{}", step.to),
                around.map_or_else(
                    || format!("at most {}", LIMITS.extent),
                    |(_, high)| format!("at most the outline's right edge, {}", high.x),
                ),
            );
        }
        let ends = step.from < step.to && step.to <= LIMITS.extent;
        at = ends.then_some(step.to);
        if let Some((low, high)) = around
            && !(low.y..high.y).contains(&step.level)
        {
            faults.add(
                format!("{place}.level_mm"),
                "OUT_OF_RANGE",
                format!("{}", step.level),
                format!("from {} to below {}", low.y, high.y),
            );
        }
        // A step that is out of place itself has no wall of its own below it.
        let below = |(low, high): (Point, Point)| {
            step.level < high.y && has_wall_below(facade, step, low.y)
        };
        if begins && ends && around.is_some_and(below) {
            faults.add(
                format!("{place}.below"),
                "WALL_BELOW_BASE",
                format!("an outline that reaches below the base line at {}, without an insulated plinth", step.level),
                "an outline that begins at the base line, or an insulated plinth below it",
            );
        }
        if step.ground > step.level {
            faults.add(
                format!("{place}.ground_mm"),
                "OUT_OF_RANGE",
                format!(
                    "ground at {}, above the base line at {}",
                    step.ground, step.level
                ),
                "ground at or below the base line",
            );
        }
        if step.ground.abs() > LIMITS.height {
            faults.add(
                format!("{place}.ground_mm"),
                "OUT_OF_RANGE",
                format!("{}", step.ground),
                format!("within {}", LIMITS.height),
            );
        }
    }
    let right = around.map(|(_, high)| high.x);
    if let (Some(at), Some(right)) = (at, right)
        && at != right
    {
        faults.add(
            format!("{path}.base"),
            "BASE_GAP",
            format!("a base line that ends at {at}"),
            format!("one that ends at the outline's right edge, {right}"),
        );
    }
}

/// The facades by their names; of those that share one, the first. A survey beyond the limit is looked up as often as it has ends.
fn by_id(building: &Building) -> BTreeMap<&str, &Facade> {
    let mut by_id = BTreeMap::new();
    for facade in &building.facades {
        by_id.entry(facade.id.as_str()).or_insert(facade);
    }
    by_id
}

/// The names that an end may tell: all where a building may have so many, else how many there are.
fn known(building: &BTreeMap<&str, &Facade>) -> String {
    if building.len() > LIMITS.facades as usize {
        return format!("the id of one of the {} facades", building.len());
    }
    let names: alloc::vec::Vec<&str> = building.keys().copied().collect();
    format!("one of {}", names.join(", "))
}

/// What an end meets must be there and agree. A facade without a name is not held against others: nothing can name it.
fn corners(building: &BTreeMap<&str, &Facade>, index: usize, facade: &Facade, faults: &mut Faults) {
    for side in [Side::Left, Side::Right] {
        let name = match side {
            Side::Left => "left",
            Side::Right => "right",
        };
        let opposite = side.opposite();
        let path = format!("building.facades[{index}].{name}");
        let (with, kind) = match facade.meets(side) {
            Meets::SalientCorner { with } => (with, "salient corner"),
            Meets::ReEntrantCorner { with } => (with, "re-entrant corner"),
            Meets::StructuralJoint {
                with: Some(with), ..
            } => (with, "structural joint"),
            _ => continue,
        };
        let Some(other) = building.get(with.as_str()) else {
            faults.add(
                path,
                "UNKNOWN_FACADE",
                format!("a {kind} with `{with}`"),
                known(building),
            );
            continue;
        };
        if facade.id.is_empty() {
            continue;
        }
        if other.id == facade.id {
            faults.add(
                path,
                "CORNER_MISMATCH",
                format!("a {kind} with itself"),
                format!("a {kind} with another facade"),
            );
            continue;
        }
        let answer = other.meets(opposite);
        let agrees = match (facade.meets(side), answer) {
            (Meets::SalientCorner { .. }, Meets::SalientCorner { with })
            | (Meets::ReEntrantCorner { .. }, Meets::ReEntrantCorner { with }) => {
                *with == facade.id
            }
            (Meets::StructuralJoint { gap: own, .. }, Meets::StructuralJoint { gap, with }) => {
                with.as_ref() == Some(&facade.id) && own == gap
            }
            _ => false,
        };
        if !agrees {
            let opposite_name = if opposite == Side::Left {
                "left"
            } else {
                "right"
            };
            faults.add(
                path,
                "CORNER_MISMATCH",
                format!(
                    "a {kind} with `{with}`, whose {opposite_name} end says {}",
                    told(answer)
                ),
                format!(
                    "`{with}`'s {opposite_name} end to be the same {kind} with `{}`",
                    facade.id
                ),
            );
        }
    }
}

fn told(meets: &Meets) -> String {
    match meets {
        Meets::SalientCorner { with } => format!("salient corner with `{with}`"),
        Meets::ReEntrantCorner { with } => format!("re-entrant corner with `{with}`"),
        Meets::AbuttingBuilding => String::from("abutting building"),
        Meets::StructuralJoint { gap, with } => match with {
            Some(with) => format!("structural joint of {gap} with `{with}`"),
            None => format!("structural joint of {gap}"),
        },
        Meets::FreeEnd => String::from("free end"),
    }
}

fn substrate(path: &str, wall: &Substrate, faults: &mut Faults) {
    if wall.layers.is_empty() || wall.layers.len() > LIMITS.layers as usize {
        faults.add(
            format!("{path}.layers"),
            "OUT_OF_RANGE",
            numbered(wall.layers.len() as u64, "layer", "layers"),
            format!("1 to {} layers", LIMITS.layers),
        );
    }
    for (i, layer) in wall.layers.iter().enumerate() {
        let mut within = |field: &str, number: f64, least: f64, most: f64| {
            let field = format!("{path}.layers[{i}].{field}");
            measured(field, number, least..=most, faults);
        };
        within("thickness_mm", layer.thickness.as_mm(), 0.01, 5000.0);
        within(
            "conductivity_w_per_mk",
            layer.conductivity.si(),
            0.001,
            500.0,
        );
        within(
            "vapour_resistance_factor",
            layer.vapour_resistance_factor,
            1.0,
            1e7,
        );
        within("density_kg_per_m3", layer.density.si(), 1.0, 10_000.0);
        within(
            "specific_heat_j_per_kgk",
            layer.specific_heat.si(),
            10.0,
            10_000.0,
        );
    }
    let mut size = |field: &str, size: Mm, least: Mm, most: Mm| {
        if size < least || size > most {
            faults.add(
                format!("{path}.{field}"),
                "OUT_OF_RANGE",
                format!("{size}"),
                format!("{least} to {most}"),
            );
        }
    };
    size("old_render_mm", wall.old_render, Mm::ZERO, Mm(200));
    if let Some(flatness) = wall.flatness {
        size("flatness.gap_mm", flatness.gap, Mm::ZERO, Mm(500));
        size(
            "flatness.straightedge_mm",
            flatness.straightedge,
            Mm(100),
            Mm(15_000),
        );
    }
    if let Some(strength) = wall.pull_off {
        let field = format!("{path}.pull_off_mpa");
        measured(field, strength.as_mpa(), 0.0..=20.0, faults);
    }
    for (i, force) in wall.pull_out_tests.iter().enumerate() {
        let field = format!("{path}.pull_out_tests_kn[{i}]");
        measured(field, force.as_kn(), 0.0..=50.0, faults);
    }
}

/// A measured number within its range; one that is none at all is told apart from one that lies outside.
fn measured(field: String, number: f64, range: RangeInclusive<f64>, faults: &mut Faults) {
    if range.contains(&number) {
        return;
    }
    let reason = if number.is_finite() {
        "OUT_OF_RANGE"
    } else {
        "NOT_FINITE"
    };
    let (least, most) = (range.start(), range.end());
    faults.add(
        field,
        reason,
        format!("{number}"),
        format!("{least} to {most}"),
    );
}
