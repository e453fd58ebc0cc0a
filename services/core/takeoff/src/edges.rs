//! Every length that a bead, a strip or a profile follows, edge by edge.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;
use core::cmp::Ordering;

use facade::{
    Below, Building, Facade, FinishedOpening, Meets, OpeningKind, Point, Rectangle, Side, Stretch,
    common, contains, joined, length, less, without,
};
use quantity::{Length, Mm};

use crate::beads;
use crate::job::Job;
use crate::line::Component;

/// What an edge is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EdgeKind {
    /// The base line above a walkway or ground.
    BaseLine,
    /// The line between facade boards and plinth boards.
    PlinthTop,
    /// An upright line between them, where the plinth steps.
    PlinthStep,
    /// A corner that points outwards, counted once for both facades.
    SalientCorner,
    /// A corner that points inwards, counted once for both facades.
    ReEntrantCorner,
    /// An end that meets nothing.
    FreeEnd,
    /// A vertical edge inside the facade's width: a step of the base or of the top.
    Offset,
    /// A jamb of an opening.
    Jamb,
    /// The head of an opening, at the boards' face.
    Lintel,
    /// A lower edge above the base line.
    LowerEdge,
    /// A structural joint.
    Joint,
    /// Under a window sill, at the boards' face.
    Sill,
    /// An end at an abutting building.
    Abutting,
    /// Eaves and verge.
    Eaves,
    /// The head of an opening, at the frame.
    FrameHead,
}

impl EdgeKind {
    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::BaseLine => "base line",
            Self::PlinthTop => "top of the plinth",
            Self::PlinthStep => "steps of the plinth",
            Self::SalientCorner => "salient corners",
            Self::ReEntrantCorner => "re-entrant corners",
            Self::FreeEnd => "free ends",
            Self::Offset => "steps of the outline",
            Self::Jamb => "jambs",
            Self::Lintel | Self::FrameHead => "lintels",
            Self::LowerEdge => "lower free edges",
            Self::Joint => "structural joints",
            Self::Sill => "sills",
            Self::Abutting => "abutting building",
            Self::Eaves => "eaves and verges",
        }
    }
}

/// Where facade boards and plinth boards meet.
pub(crate) const OVER_PLINTH: [EdgeKind; 2] = [EdgeKind::PlinthTop, EdgeKind::PlinthStep];

/// One straight edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FacadeEdge {
    /// What it is.
    pub kind: EdgeKind,
    /// Its length, rounded up to the millimetre where it slopes.
    pub length: Mm,
    /// Where it is, such as `F1, window W3`.
    pub place: String,
    /// The lines that it runs along on the facade, one of them beyond the outline where it turns a salient corner. Their lengths add up to
    /// `length`, but for the rounding of what slopes.
    pub lines: Vec<EdgeLine>,
}

/// A straight line on a facade, from one end to the other.
pub type EdgeLine = (Point, Point);

/// All edges of one facade, and the gaps of its base line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Edges {
    /// Edges in the order base, ends, outline, joints, openings.
    pub list: Vec<FacadeEdge>,
    /// Widths of what interrupts the base line above a walkway or ground: openings and joints, one after the other made one.
    pub base_gaps: Vec<Mm>,
    /// Where the left end shares a corner or a joint with another facade: that edge is in the list of the facade whose right end meets it.
    pub shared_left: Vec<EdgeLine>,
    /// Where the other wall of a re-entrant corner stands before the left end and before the right one.
    pub before: [Option<Stretch>; 2],
}

impl Edges {
    /// Where the other wall of a re-entrant corner stands before an end. Over that height this wall's boards end short of the corner.
    pub(crate) fn before(&self, side: Side) -> Option<Stretch> {
        let [left, right] = self.before;
        match side {
            Side::Left => left,
            Side::Right => right,
        }
    }

    /// Whether that wall stands before the whole of a stretch of height.
    pub(crate) fn is_before(&self, side: Side, (from, to): Stretch) -> bool {
        let other = self.before(side);
        other.is_some_and(|(low, high)| low <= from && to <= high)
    }

    /// The lengths of one kind, in order.
    pub fn of(&self, kind: EdgeKind) -> impl Iterator<Item = Mm> + '_ {
        self.list
            .iter()
            .filter(move |e| e.kind == kind)
            .map(|e| e.length)
    }
}

/// Which corners of an opening lie in coated wall, in the order of [`Rectangle::corners`]: the three quarters round the corner beside the
/// opening are all wall, above the base line, or in an insulated plinth above finished ground. An opening that lies in the plinth as a
/// whole has its window well, and all of its corners.
pub fn corners_in_wall(facade: &Facade, opening: &FinishedOpening) -> [bool; 4] {
    let others = || {
        let all = facade.openings.iter();
        all.filter(|other| !core::ptr::eq(*other, opening.opening))
    };
    let coated = |x: Mm, y: Mm| {
        let cell = Rectangle {
            x,
            y,
            width: Mm(1),
            height: Mm(1),
        };
        let from = facade.base_step_at(x).map_or(y, |step| match step.below {
            Below::InsulatedPlinth if opening.size.top() <= step.level => y,
            Below::InsulatedPlinth => step.ground.min(step.level),
            Below::Walkway | Below::Ground => step.level,
        });
        y >= from
            && contains(&facade.outline, &cell)
            && !others().any(|other| other.raw.overlaps(&cell))
    };
    let [a, b, c, d] = opening.size.corners();
    // The quarters of each corner by their lower left: -1 is beyond it, 0 beside.
    [(a, (-1, -1)), (b, (0, -1)), (c, (0, 0)), (d, (-1, 0))].map(|(p, (x, y))| {
        let quarter = |x: i32, y: i32| coated(p.x + Mm(x), p.y + Mm(y));
        quarter(x, y) && quarter(-1 - x, y) && quarter(x, -1 - y)
    })
}

/// Every edge of the facade at `index` of a checked building, for boards whose thickness is `thickness`.
///
/// A base profile is mitred at corners: its nose grows by the thickness at a salient one; at a re-entrant one the flange on the wall
/// keeps the length of the wall. The beads of an opening that turns a salient corner meet like that nose. A corner is counted on the facade
/// whose right end meets it.
pub fn edges(building: &Building, index: usize, thickness: Mm) -> Edges {
    let mut found = Edges::default();
    let Some(facade) = building.facades.get(index) else {
        return found;
    };
    let stands = |side| building.before(facade, side).map(|(_, stretch)| stretch);
    found.before = [Side::Left, Side::Right].map(stands);
    base_line(facade, thickness, &mut found);
    plinth_steps(facade, &mut found);
    ends(building, facade, &mut found);
    outline(facade, &mut found);
    joints(facade, &mut found);
    openings(building, facade, thickness, &mut found);
    found
}

impl Edges {
    fn add(&mut self, kind: EdgeKind, length: Mm, place: impl Into<String>, lines: Vec<EdgeLine>) {
        if length > Mm::ZERO {
            self.list.push(FacadeEdge {
                kind,
                length,
                place: place.into(),
                lines,
            });
        }
    }
    /// An edge along one level or upright line.
    fn add_straight(&mut self, kind: EdgeKind, line: EdgeLine, place: impl Into<String>) {
        let (a, b) = line;
        let length = (b.x - a.x).abs() + (b.y - a.y).abs();
        self.add(kind, length, place, alloc::vec![line]);
    }
}

/// What the kit lays along edges: each part with the kinds of edge that it follows, whether or not the system has an article for it. The
/// order list and the drawings both ask here, so that what is drawn is what is bought.
pub fn followed(job: &Job) -> Vec<(Component, Vec<EdgeKind>)> {
    let mut parts = alloc::vec![(Component::SealingStrip, beads::sealed(job))];
    if job.parts.base_profile.is_some() {
        parts.push((Component::BaseProfile, alloc::vec![EdgeKind::BaseLine]));
    }
    for (usage, component, _) in beads::USES {
        parts.push((component, beads::edges_of(usage, job)));
    }
    parts
}

/// The sides of an outline, counter-clockwise.
fn sides(outline: &[Point]) -> Vec<(Point, Point)> {
    let doubled: i128 = outline
        .iter()
        .zip(outline.iter().cycle().skip(1))
        .map(|(a, b)| i128::from(a.x.0) * i128::from(b.y.0) - i128::from(b.x.0) * i128::from(a.y.0))
        .sum();
    outline
        .iter()
        .zip(outline.iter().cycle().skip(1))
        .map(|(a, b)| if doubled >= 0 { (*a, *b) } else { (*b, *a) })
        .collect()
}

fn slanted(a: Point, b: Point) -> Mm {
    let (dx, dy) = (f64::from((b.x - a.x).0), f64::from((b.y - a.y).0));
    Mm(libm::ceil(libm::hypot(dx, dy) - 1e-6) as i32)
}

/// A part of a lower side of the outline.
struct LowerSide {
    line: EdgeLine,
    /// Whether a profile along the base line closes it. A side along sloping ground is closed so where it begins at the base line or below;
    /// of one that rises more than it runs, as an arch at its springers, only what lies below.
    on_base: bool,
}

/// The lower sides of an outline, parted where steps of the base line end and where they cross the base line.
fn lower_sides(facade: &Facade) -> Vec<LowerSide> {
    let sides = sides(&facade.outline).into_iter();
    let lower = sides.filter(|(a, b)| a.x < b.x);
    lower.flat_map(|side| parted(facade, side)).collect()
}

/// The parts of one lower side, from left to right; parts beside each other that are alike are one.
fn parted(facade: &Facade, (a, b): EdgeLine) -> Vec<LowerSide> {
    let (dx, dy) = (f64::from((b.x - a.x).0), f64::from((b.y - a.y).0));
    let rounded = |value: f64| Mm(libm::round(value) as i32);
    let y_at = |x: Mm| match x {
        x if x == a.x => a.y,
        x if x == b.x => b.y,
        x => a.y + rounded(dy * f64::from((x - a.x).0) / dx),
    };
    let crossing = |level: Mm| {
        let beside = (level - a.y).0.signum() * (level - b.y).0.signum();
        (beside < 0).then(|| a.x + rounded(dx * f64::from((level - a.y).0) / dy))
    };
    let mut cuts: Vec<Mm> = alloc::vec![a.x, b.x];
    for step in &facade.base {
        cuts.extend([step.from, step.to]);
        cuts.extend(crossing(step.level));
    }
    cuts.retain(|x| a.x <= *x && *x <= b.x);
    cuts.sort_unstable();
    cuts.dedup();
    let mut parts: Vec<LowerSide> = Vec::new();
    for pair in cuts.windows(2) {
        let [from, to] = pair else { continue };
        let line = (*from, *to);
        let level = facade.base_level_at(line.0);
        let on_base = if libm::fabs(dy) <= dx {
            a.y.min(b.y) <= level
        } else {
            y_at(line.0) + y_at(line.1) < level * 2
        };
        let at = |x: Mm| Point { x, y: y_at(x) };
        match parts.last_mut() {
            Some(last) if last.on_base == on_base => last.line.1 = at(line.1),
            _ => parts.push(LowerSide {
                line: (at(line.0), at(line.1)),
                on_base,
            }),
        }
    }
    parts
}

fn base_line(facade: &Facade, thickness: Mm, found: &mut Edges) {
    let (low, high) = facade.bounds();
    let lower: Vec<Stretch> = lower_sides(facade)
        .into_iter()
        .filter(|side| side.on_base)
        .map(|LowerSide { line: (a, b), .. }| (a.x, b.x))
        .collect();
    let openings: Vec<Rectangle> = facade.finished_openings().map(|o| o.size).collect();
    let mut gaps: Vec<Stretch> = Vec::new();
    for (i, step) in facade.base.iter().enumerate() {
        let mut stretches: Vec<Stretch> = lower
            .iter()
            .map(|&(a, b)| (a.max(step.from), b.min(step.to)))
            .filter(|(a, b)| a < b)
            .collect();
        stretches.sort_unstable();
        // A head on the base line is its opening's edge, and none of the boards beside it.
        let through = openings
            .iter()
            .filter(|f| f.y <= step.level && step.level <= f.top())
            .map(|f| (f.x, f.right()));
        let joints = facade.joints.iter().map(|joint| {
            let from = joint.x - joint.gap / 2;
            (from, from + joint.gap)
        });
        let kind = match step.below {
            Below::Walkway | Below::Ground => EdgeKind::BaseLine,
            Below::InsulatedPlinth => EdgeKind::PlinthTop,
        };
        for (from, to) in through.chain(joints) {
            if kind == EdgeKind::BaseLine {
                let cut = stretches.iter().map(|&(a, b)| (a.max(from), b.min(to)));
                gaps.extend(cut.filter(|(a, b)| a < b));
            }
            stretches = without(stretches, (from, to));
        }
        for (from, to) in stretches {
            let beyond = |at_end: bool, meets: &Meets| match meets {
                Meets::SalientCorner { .. } if at_end => thickness,
                _ => Mm::ZERO,
            };
            let left = from - beyond(from == low.x, &facade.left);
            let right = to + beyond(to == high.x, &facade.right);
            let at = |x: Mm| Point { x, y: step.level };
            found.add(
                kind,
                right - left,
                format!("{}, step {} from {from}", facade.id, i + 1),
                alloc::vec![(at(left), at(right))],
            );
        }
    }
    let widths = joined(gaps).into_iter().map(|(from, to)| to - from);
    found.base_gaps = widths.collect();
}

/// Where the higher of two plinths beside each other ends against the facade boards over the lower one. Where the outline steps as well, only
/// as far as there is wall on both sides; along openings there is no such edge, and along a structural joint the boards end anyway.
fn plinth_steps(facade: &Facade, found: &mut Edges) {
    for pair in facade.base.windows(2) {
        let [left, right] = pair else { continue };
        let x = right.from;
        let joint = |j: &facade::StructuralJoint| (j.x - x).abs() <= j.gap / 2;
        let is_plinth = [left, right].map(|s| s.below == Below::InsulatedPlinth);
        if is_plinth != [true, true] || facade.joints.iter().any(joint) {
            continue;
        }
        let step = (left.level.min(right.level), left.level.max(right.level));
        let mut seen = alloc::vec![step];
        for side in [Side::Left, Side::Right] {
            seen = common(seen, &wall_beside(facade, x, side));
        }
        for (from, to) in seen {
            let at = |y: Mm| Point { x, y };
            let place = format!("{}, step at {x}", facade.id);
            found.add_straight(EdgeKind::PlinthStep, (at(from), at(to)), place);
        }
    }
}

/// Where wall stands beside an upright line, on one side of it: inside the outline, and along no opening that reaches the line.
pub(crate) fn wall_beside(facade: &Facade, x: Mm, side: Side) -> Vec<Stretch> {
    let turned = transposed(&facade.outline);
    let beside = match side {
        Side::Left => -0.5,
        Side::Right => 0.5,
    };
    let spans = facade::spans_at(&turned, f64::from(x.0) + beside);
    let inner = |s: facade::Span| {
        let from = Mm(libm::ceil(s.from - 1e-6) as i32);
        (from, Mm(libm::floor(s.to + 1e-6) as i32))
    };
    let wall: Vec<Stretch> = spans.into_iter().map(inner).collect();
    let openings = facade.finished_openings().map(|o| o.size);
    let across = openings.filter(|f| f.x <= x && x <= f.right());
    let across: Vec<Stretch> = across.map(|f| (f.y, f.top())).collect();
    less(wall, &across)
}

/// An end of a facade and what of it meets another.
struct End {
    kind: EdgeKind,
    /// Where both walls of a corner or joint are, or where the one wall ends.
    shared: Vec<Stretch>,
    /// Where this wall goes on beside a joint and the other does not.
    free: Vec<Stretch>,
}

/// What stands at an end. A corner is one edge for both of its walls; it has a bead wherever either of them stands. A joint is closed
/// where both stand, and beside it each wall by itself has a free end.
fn end(building: &Building, facade: &Facade, side: Side) -> End {
    let own = facade.end_stretches(side);
    let beyond = |with: &str| {
        let other = building.facade_index(with);
        let other = other.and_then(|i| building.facades.get(i));
        other.map(|other| other.end_stretches(side.opposite()))
    };
    let corner = |kind: EdgeKind, with: &str| {
        let mut shared = own.clone();
        shared.extend(less(beyond(with).unwrap_or_default(), &own));
        End {
            kind,
            shared: joined(shared),
            free: Vec::new(),
        }
    };
    let alone = |kind: EdgeKind| End {
        kind,
        shared: own.clone(),
        free: Vec::new(),
    };
    match facade.meets(side) {
        Meets::SalientCorner { with } => corner(EdgeKind::SalientCorner, with),
        Meets::ReEntrantCorner { with } => corner(EdgeKind::ReEntrantCorner, with),
        Meets::StructuralJoint {
            with: Some(with), ..
        } => {
            let free = beyond(with).map_or_else(Vec::new, |other| less(own.clone(), &other));
            End {
                kind: EdgeKind::Joint,
                shared: less(own, &free),
                free,
            }
        }
        Meets::StructuralJoint { with: None, .. } => alone(EdgeKind::Joint),
        Meets::AbuttingBuilding => alone(EdgeKind::Abutting),
        Meets::FreeEnd => alone(EdgeKind::FreeEnd),
    }
}

fn ends(building: &Building, facade: &Facade, found: &mut Edges) {
    let (low, high) = facade.bounds();
    for side in [Side::Left, Side::Right] {
        let (x, name) = match side {
            Side::Left => (low.x, "left"),
            Side::Right => (high.x, "right"),
        };
        let End { kind, shared, free } = end(building, facade, side);
        let lines = |stretches: &[Stretch]| -> Vec<EdgeLine> {
            let upright = |(from, to): &Stretch| (Point { x, y: *from }, Point { x, y: *to });
            stretches.iter().map(upright).collect()
        };
        let place = format!("{}, {name} end", facade.id);
        found.add(
            EdgeKind::FreeEnd,
            length(&free),
            place.as_str(),
            lines(&free),
        );
        match facade.meets(side).with() {
            Some(_) if side == Side::Left => found.shared_left = lines(&shared),
            Some(with) => {
                let place = format!("{}, corner or joint with {with}", facade.id);
                found.add(kind, length(&shared), place, lines(&shared));
            }
            None => found.add(kind, length(&shared), place, lines(&shared)),
        }
    }
}

fn outline(facade: &Facade, found: &mut Edges) {
    for (a, b) in sides(&facade.outline) {
        let place = facade.id.clone();
        match a.x.cmp(&b.x) {
            Ordering::Equal => {
                for seen in offset(facade, a, b) {
                    found.add_straight(EdgeKind::Offset, seen, place.as_str());
                }
            }
            Ordering::Greater => {
                for (a, b) in beside_openings(facade, (a, b)) {
                    let line = alloc::vec![(a, b)];
                    found.add(EdgeKind::Eaves, slanted(a, b), place.as_str(), line);
                }
            }
            Ordering::Less => {
                for (a, b) in undersides_of(facade, (a, b)) {
                    let line = alloc::vec![(a, b)];
                    found.add(EdgeKind::LowerEdge, slanted(a, b), place.as_str(), line);
                }
            }
        }
    }
}

/// What of a lower side hangs above the base line and has wall at it.
fn undersides_of(facade: &Facade, side: EdgeLine) -> Vec<EdgeLine> {
    let parts = parted(facade, side).into_iter();
    let bare = parts.filter(|part| !part.on_base);
    bare.flat_map(|part| beside_openings(facade, part.line))
        .collect()
}

/// What of an upper or lower edge has wall at it: a level one is left out along openings that reach it.
fn beside_openings(facade: &Facade, (a, b): EdgeLine) -> Vec<EdgeLine> {
    if a.y != b.y {
        return alloc::vec![(a, b)];
    }
    let mut stretches: Vec<Stretch> = alloc::vec![(a.x.min(b.x), a.x.max(b.x))];
    for opening in facade.finished_openings() {
        let f = opening.size;
        if f.y == a.y || f.top() == a.y {
            stretches = without(stretches, (f.x, f.right()));
        }
    }
    let at = |x: Mm| Point { x, y: a.y };
    let along = |(from, to): Stretch| {
        if a.x < b.x {
            (at(from), at(to))
        } else {
            (at(to), at(from))
        }
    };
    stretches.into_iter().map(along).collect()
}

/// What of a vertical side inside the facade's width is seen and has wall at it: what ground stands before is not, nor what an opening takes.
fn offset(facade: &Facade, a: Point, b: Point) -> Vec<EdgeLine> {
    let (low, high) = facade.bounds();
    if a.x != b.x || a.x == low.x || a.x == high.x {
        return Vec::new();
    }
    // The wall lies to the left of a side that is walked counter-clockwise.
    let beside = if b.y > a.y { a.x + Mm(1) } else { a.x - Mm(1) };
    let step = facade.base_step_at(beside);
    let ground = step.map_or(low.y, |s| s.ground);
    let seen = (a.y.min(b.y).max(ground), a.y.max(b.y));
    let openings = facade.finished_openings().map(|o| o.size);
    let openings = openings.filter(|f| f.x == a.x || f.right() == a.x);
    let openings: Vec<Stretch> = openings.map(|f| (f.y, f.top())).collect();
    let wall = less(alloc::vec![seen], &openings);
    let at = |y: Mm| Point { x: a.x, y };
    let lines = wall.into_iter().filter(|(from, to)| from < to);
    lines.map(|(from, to)| (at(from), at(to))).collect()
}

/// The height of the steps of the outline that are seen.
pub(crate) fn offsets(facade: &Facade) -> Length {
    let sides = sides(&facade.outline).into_iter();
    let seen = sides.flat_map(|(a, b)| offset(facade, a, b));
    seen.map(|(from, to)| (to.y - from.y).to_length()).sum()
}

/// The length of the undersides of what overhangs: lower edges above the base line, which no profile closes.
pub(crate) fn undersides(facade: &Facade) -> Length {
    let sides = sides(&facade.outline).into_iter();
    let lower = sides.filter(|(a, b)| a.x < b.x);
    let bare = lower.flat_map(|line| undersides_of(facade, line));
    bare.map(|(a, b)| slanted(a, b).to_length()).sum()
}

/// The same outline with x and y exchanged.
pub(crate) fn transposed(outline: &[Point]) -> Vec<Point> {
    outline.iter().map(|p| Point { x: p.y, y: p.x }).collect()
}

fn joints(facade: &Facade, found: &mut Edges) {
    let turned = transposed(&facade.outline);
    for joint in &facade.joints {
        for span in facade::spans_at(&turned, f64::from(joint.x.0)) {
            let length = Mm(libm::ceil(span.to - span.from - 1e-6) as i32);
            let foot = Mm(libm::floor(span.from + 1e-6) as i32);
            let at = |y: Mm| Point { x: joint.x, y };
            found.add(
                EdgeKind::Joint,
                length,
                format!("{}, joint at {}", facade.id, joint.x),
                alloc::vec![(at(foot), at(foot + length))],
            );
        }
    }
}

/// How far the beads of an opening run on round a salient corner at an end of the wall, at the height `y` just inside the opening: as far as
/// the boards are thick, where an opening of the other wall goes on there.
fn beyond_corner(building: &Building, facade: &Facade, side: Side, (y, thickness): (Mm, Mm)) -> Mm {
    let Meets::SalientCorner { with } = facade.meets(side) else {
        return Mm::ZERO;
    };
    let other = building.facade_index(with);
    let Some(other) = other.and_then(|i| building.facades.get(i)) else {
        return Mm::ZERO;
    };
    let (low, high) = other.end(side.opposite());
    let walled = other.end_stretches(side.opposite());
    let is_open = low <= y && y < high && !walled.iter().any(|(from, to)| *from <= y && y < *to);
    if is_open { thickness } else { Mm::ZERO }
}

fn openings(building: &Building, facade: &Facade, thickness: Mm, found: &mut Edges) {
    let (low, high) = facade.bounds();
    for opening in facade.finished_openings() {
        let f = &opening.size;
        let place = format!("{}, opening {}", facade.id, opening.opening.id);
        let mut upright = |x: Mm, stretches: &[Stretch]| {
            for (from, to) in stretches {
                let line = (Point { x, y: *from }, Point { x, y: *to });
                found.add_straight(EdgeKind::Jamb, line, place.as_str());
            }
        };
        upright(f.x, &opening.left);
        upright(f.right(), &opening.right);
        // At the boards' face, round a corner; `inside` is a height in the opening.
        let mut level = |kind: EdgeKind, (y, inside): (Mm, Mm), stretches: &[Stretch]| {
            let beyond = |at_end: bool, side: Side| {
                if at_end {
                    beyond_corner(building, facade, side, (inside, thickness))
                } else {
                    Mm::ZERO
                }
            };
            for (from, to) in stretches {
                let left = *from - beyond(*from == low.x, Side::Left);
                let right = *to + beyond(*to == high.x, Side::Right);
                let at = |x: Mm| Point { x, y };
                let lines = [(left, *from), (*from, *to), (*to, right)].into_iter();
                let lines = lines.filter(|(from, to)| from < to);
                let lines = lines.map(|(from, to)| (at(from), at(to))).collect();
                found.add(kind, right - left, place.as_str(), lines);
            }
        };
        let top = (f.top(), f.top() - Mm(1));
        level(EdgeKind::Lintel, top, &opening.head);
        if opening.opening.kind == OpeningKind::Window {
            level(EdgeKind::Sill, (f.y, f.y), &opening.foot);
        }
        for (from, to) in &opening.head {
            let at = |x: &Mm| Point { x: *x, y: f.top() };
            found.add_straight(EdgeKind::FrameHead, (at(from), at(to)), place.as_str());
        }
    }
}

/// That part of a facade's bare wall below a line over each insulated plinth: the line is `rise` above what `line` gives.
pub(crate) fn area_below(
    facade: &Facade,
    line: impl Fn(&facade::BaseStep) -> Mm,
) -> quantity::Area {
    let (low, _) = facade.bounds();
    let openings: Vec<Rectangle> = facade.finished_openings().map(|o| o.size).collect();
    facade
        .base
        .iter()
        .filter(|s| s.below == Below::InsulatedPlinth && line(s) > low.y && s.to > s.from)
        .map(|s| {
            let window = Rectangle {
                x: s.from,
                y: low.y,
                width: s.to - s.from,
                height: line(s) - low.y,
            };
            let taken: quantity::Area = openings.iter().map(|o| shared(o, &window)).sum();
            facade::area_within(&facade.outline, &window) - taken
        })
        .sum()
}

/// The area that two rectangles share.
pub(crate) fn shared(a: &Rectangle, b: &Rectangle) -> quantity::Area {
    let width = a.right().min(b.right()) - a.x.max(b.x);
    let height = a.top().min(b.top()) - a.y.max(b.y);
    width.max(Mm::ZERO).to_length() * height.max(Mm::ZERO).to_length()
}

/// The heights of salient and of re-entrant corners and of free ends on this facade, each as far as there is wall; of a re-entrant corner
/// as far as both walls stand.
pub(crate) fn end_heights(building: &Building, facade: &Facade) -> (Length, Length, Length) {
    ends_below(building, facade, |_| Mm::LIMIT)
}

/// The same of what stands in an insulated plinth.
pub(crate) fn plinth_heights(building: &Building, facade: &Facade) -> (Length, Length, Length) {
    in_plinth_below(building, facade, |step| step.level)
}

/// The same of what stands in the ground: where boards of an insulated plinth go below it.
pub(crate) fn buried_heights(building: &Building, facade: &Facade) -> (Length, Length, Length) {
    in_plinth_below(building, facade, |step| step.ground.min(step.level))
}

/// Heights of ends in an insulated plinth, as far as they lie below a level of its step.
pub(crate) fn in_plinth_below(
    building: &Building,
    facade: &Facade,
    level: impl Fn(&facade::BaseStep) -> Mm,
) -> (Length, Length, Length) {
    ends_below(building, facade, |side| plinth_level(facade, side, &level))
}

/// A level of the insulated plinth at an end; below everything where there is none.
pub(crate) fn plinth_level(
    facade: &Facade,
    side: Side,
    level: impl Fn(&facade::BaseStep) -> Mm,
) -> Mm {
    let step = match side {
        Side::Left => facade.base.first(),
        Side::Right => facade.base.last(),
    };
    let plinth = step.filter(|step| step.below == Below::InsulatedPlinth);
    plinth.map_or(-Mm::LIMIT, level)
}

/// Heights of ends as far as they lie below a level.
fn ends_below(
    building: &Building,
    facade: &Facade,
    level: impl Fn(Side) -> Mm,
) -> (Length, Length, Length) {
    let mut heights = (Length::ZERO, Length::ZERO, Length::ZERO);
    for side in [Side::Left, Side::Right] {
        let top = level(side);
        let below = |stretches: &[Stretch]| -> Length {
            let each = stretches.iter();
            each.map(|(from, to)| ((*to).min(top) - *from).max(Mm::ZERO).to_length())
                .sum()
        };
        let own = below(&facade.end_stretches(side));
        match facade.meets(side) {
            Meets::SalientCorner { .. } => heights.0 += own,
            // What stands above or below the other wall ends where it is told to; nothing is known of what it meets there.
            Meets::ReEntrantCorner { .. } => {
                let other = building.before(facade, side).map(|(_, other)| other);
                let both = common(facade.end_stretches(side), other.as_slice());
                heights.1 += below(&both);
            }
            Meets::FreeEnd => heights.2 += own,
            Meets::StructuralJoint { .. } => {
                heights.2 += below(&end(building, facade, side).free);
            }
            Meets::AbuttingBuilding => {}
        }
    }
    heights
}
