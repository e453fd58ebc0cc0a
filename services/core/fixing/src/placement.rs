//! Every anchor at its place: on the boards as they are set out, cut boards and edges included, clear of openings and edges of the wall.

mod field;
mod hand;
mod joints;
mod plane;

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::vec::Vec;
use core::cmp::Ordering;

use facade::{Point, Rectangle};
use quantity::{Area, Mm, WindPressure};
use working::{Fault, Faults};

use crate::anchors::{Counted, Pattern};
use hand::{Mirrored, comes_before};
use plane::{Bounds, Cells, Shape, nearer_to_segment, sides};

/// A board or piece of a board on the wall.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BoardOnWall {
    /// Its number.
    pub number: u32,
    /// Its edge.
    pub outline: Vec<Point>,
    /// Holes in it.
    pub holes: Vec<Vec<Point>>,
    /// Index of its layer situation: which anchors, which rows of [`WallToAnchor::per_board`].
    pub situation: usize,
}

/// A rectangle of the wall in which one suction governs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ZoneRectangle {
    /// Left edge.
    pub x_from: Mm,
    /// Right edge.
    pub x_to: Mm,
    /// Lower edge.
    pub y_from: Mm,
    /// Upper edge.
    pub y_to: Mm,
}

/// Distances that anchors keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Distances {
    /// Between anchors.
    pub spacing: Mm,
    /// From the edges of the base material: the wall's outline and its bare openings.
    pub wall_edge: Mm,
    /// Of a field anchor from the board's edge, where there is room.
    pub board_edge: Mm,
    /// The same on narrow pieces; half the spacing where that is more.
    pub board_edge_min: Mm,
}

/// One facade to be anchored.
#[derive(Clone, Copy, Debug)]
pub struct WallToAnchor<'a> {
    /// Path of the facade in the request, for faults.
    pub path: &'a str,
    /// The edge of the bare wall.
    pub outline: &'a [Point],
    /// The bare openings.
    pub openings: &'a [Rectangle],
    /// The boards as set out.
    pub boards: &'a [BoardOnWall],
    /// Area of a whole board of each situation.
    pub whole_boards: &'a [Area],
    /// Zones.
    pub zones: &'a [ZoneRectangle],
    /// The suction of each zone: of those that a board touches, the one with the greatest governs it; between equals the one that
    /// has more of the board.
    pub suctions: &'a [WindPressure],
    /// For each zone, the anchors of a whole board of each situation.
    pub per_board: &'a [Vec<u32>],
    /// Where the anchors of a board stand.
    pub pattern: Pattern,
    /// Distances.
    pub distances: Distances,
}

/// Whether an anchor stands in a joint or in a board's field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stand {
    /// At a T-junction of boards.
    Joint,
    /// In the field of a board.
    Field,
}

/// One anchor on the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AnchorPoint {
    /// Its place.
    pub at: Point,
    /// Joint or field.
    pub stand: Stand,
    /// Number of the board that it counts for; a joint's anchor counts for the board on one side of the joint, the same on the whole wall.
    pub board: u32,
    /// Index of the zone that governs that board.
    pub zone: usize,
    /// Index of the board's layer situation.
    pub situation: usize,
}

/// What one board has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoardCount {
    /// Its number.
    pub board: u32,
    /// Index of the zone that governs it: of those it touches, the one with the greatest suction, and between equals the one that has
    /// more of it.
    pub zone: usize,
    /// Index of its layer situation.
    pub situation: usize,
    /// Its area.
    pub area: Area,
    /// Its share of a whole board's anchors, rounded up.
    pub asked: u32,
    /// Anchors in joints that count for it.
    pub in_joints: u32,
    /// Anchors in its field.
    pub in_field: u32,
}

impl BoardCount {
    /// How many are missing.
    pub const fn short(&self) -> u32 {
        self.asked.saturating_sub(self.in_joints + self.in_field)
    }
    /// Its share of a number for a whole board, rounded up, at least one.
    pub fn share_of(area: Area, whole: Area, per_board: u32) -> u32 {
        let share = f64::from(per_board) * (area / whole) * (1.0 - 1e-9);
        if per_board == 0 || !share.is_finite() {
            return 0;
        }
        libm::ceil(share).clamp(1.0, 10_000.0) as u32
    }
}

/// The anchors of one facade.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placement {
    /// Anchors: those in joints from below and from one side, then those in fields in the order of the boards.
    pub points: Vec<AnchorPoint>,
    /// What each board has, in their order.
    pub boards: Vec<BoardCount>,
}

impl Placement {
    /// Counts by zone and layer situation.
    pub fn counts(&self) -> BTreeMap<(usize, usize), Counted> {
        let mut counts: BTreeMap<(usize, usize), Counted> = BTreeMap::new();
        for board in &self.boards {
            let count = counts.entry((board.zone, board.situation)).or_default();
            count.anchors += board.in_joints + board.in_field;
            count.in_joints += board.in_joints;
            count.area += board.area;
        }
        counts
    }
    /// Boards that have fewer anchors than their share, because there is no room within the distances.
    pub fn short(&self) -> impl Iterator<Item = &BoardCount> {
        self.boards.iter().filter(|b| b.short() > 0)
    }
}

/// A piece may be so much larger than its whole board, for rounding on slopes and corners.
const LARGEST: f64 = 1.1;

/// What lies around the boards, and how to find it.
struct Surroundings<'a> {
    wall: &'a WallToAnchor<'a>,
    openings: Vec<Bounds>,
    opening_cells: Cells,
    edges: Vec<(Point, Point)>,
    edge_cells: Cells,
}

impl<'a> Surroundings<'a> {
    fn new(wall: &'a WallToAnchor<'a>, range: Bounds) -> Self {
        let openings: Vec<Bounds> = wall.openings.iter().map(Bounds::of_rectangle).collect();
        let mut opening_cells = Cells::over(range, 2_000);
        for (i, bounds) in openings.iter().enumerate() {
            opening_cells.add(*bounds, i as u32);
        }
        let edges: Vec<(Point, Point)> = sides(wall.outline).collect();
        let mut edge_cells = Cells::over(range, 2_000);
        for (i, &edge) in edges.iter().enumerate() {
            edge_cells.add(Bounds::of_segment(edge), i as u32);
        }
        Self {
            wall,
            openings,
            opening_cells,
            edges,
            edge_cells,
        }
    }
    /// What is near enough to a range to matter there.
    fn near(&self, range: Bounds, scratch: &mut Vec<u32>) -> Near {
        let grown = range.grown(i64::from(self.wall.distances.wall_edge.0));
        self.opening_cells.near(grown, scratch);
        let openings: Vec<Bounds> = scratch
            .iter()
            .filter_map(|&i| self.openings.get(i as usize).copied())
            .filter(|o| o.meets(grown))
            .collect();
        self.edge_cells.near(grown, scratch);
        let edges: Vec<(Point, Point)> = scratch
            .iter()
            .filter_map(|&i| self.edges.get(i as usize).copied())
            .filter(|&e| Bounds::of_segment(e).meets(grown))
            .collect();
        let inside = edges.is_empty()
            && plane::inside(
                self.edges.iter().copied(),
                plane::point(
                    i64::midpoint(range.left, range.right),
                    i64::midpoint(range.bottom, range.top),
                ),
            );
        Near {
            openings,
            edges,
            inside,
        }
    }
    /// Whether an anchor may stand at a point as far as wall and openings are concerned.
    fn clear(&self, near: &Near, p: Point) -> bool {
        let distance = i64::from(self.wall.distances.wall_edge.0);
        let within = near.inside
            || (!near.edges.is_empty()
                && !near
                    .edges
                    .iter()
                    .any(|&e| nearer_to_segment(p, e, distance))
                && plane::inside(self.edges.iter().copied(), p));
        within && !near.openings.iter().any(|o| o.nearer(p, distance))
    }
}

/// The openings and edges near a board.
struct Near {
    openings: Vec<Bounds>,
    edges: Vec<(Point, Point)>,
    /// No edge is near and the place lies within the wall.
    inside: bool,
}

/// A board with what governs it.
struct Piece<'a> {
    board: &'a BoardOnWall,
    shape: Shape,
    zone: usize,
    per_board: u32,
}

/// Places the anchors of one facade.
///
/// Anchors at T-junctions come first where the pattern has them; they count for the board on one side of the vertical joint. Each board is then
/// filled up in its field to its share of a whole board's number, rounded up. Where the usual place is too near to an edge, an opening or another
/// anchor, the nearest place on a grid that is free is taken; a board without room comes back in [`Placement::short`]. No
/// board's anchors depend on another board's number, so that a higher number never places fewer. The rules know no left and no right, but
/// the placement goes from left to right: of a wall and its mirror image the one whose figures come first is anchored, and both get the same.
///
/// # Errors
/// Boards without area or beyond the limits of a survey, a situation without a whole board, a zone without numbers.
pub fn place(wall: &WallToAnchor<'_>) -> Result<Placement, Vec<Fault>> {
    let mut faults = Faults::new();
    check(wall, &mut faults);
    faults.or(())?;
    let mirrored = Mirrored::of(wall);
    let other = mirrored.wall(wall);
    if comes_before(&other, wall) {
        return Ok(mirrored.back(placed(&other)));
    }
    Ok(placed(wall))
}

/// The anchors of a sound wall in the hand that it has.
fn placed(wall: &WallToAnchor<'_>) -> Placement {
    let pieces = pieces(wall);
    let Some(range) = pieces.iter().map(|p| p.shape.bounds).reduce(|a, b| Bounds {
        left: a.left.min(b.left),
        bottom: a.bottom.min(b.bottom),
        right: a.right.max(b.right),
        top: a.top.max(b.top),
    }) else {
        return Placement::default();
    };
    let around = Surroundings::new(wall, range);
    let joints = joints::place(&around, &pieces, range);
    let mut points: Vec<AnchorPoint> = Vec::with_capacity(joints.len() + 3 * pieces.len());
    let mut joint_cells = Cells::over(range, 500);
    let mut in_joints = alloc::vec![0_u32; pieces.len()];
    for (i, joint) in joints.iter().enumerate() {
        joint_cells.add(Bounds::of_segment((joint.at, joint.at)), i as u32);
        if let (Some(piece), Some(count)) =
            (pieces.get(joint.owner), in_joints.get_mut(joint.owner))
        {
            *count += 1;
            points.push(anchor(piece, joint.at, Stand::Joint));
        }
    }
    let places: Vec<Point> = joints.iter().map(|j| j.at).collect();
    let mut boards = Vec::with_capacity(pieces.len());
    let mut scratch = field::Scratch::default();
    for (piece, joints_here) in pieces.iter().zip(in_joints) {
        let whole = wall
            .whole_boards
            .get(piece.board.situation)
            .copied()
            .unwrap_or_default();
        let area = Area::from_mm2(piece.shape.twice_area as f64 / 2.0);
        let asked = BoardCount::share_of(area, whole, piece.per_board);
        let wanted = asked.saturating_sub(joints_here) as usize;
        let found = field::place(
            &around,
            piece,
            wanted,
            (&places, &joint_cells),
            &mut scratch,
        );
        points.extend(found.iter().map(|&at| anchor(piece, at, Stand::Field)));
        boards.push(BoardCount {
            board: piece.board.number,
            zone: piece.zone,
            situation: piece.board.situation,
            area,
            asked,
            in_joints: joints_here,
            in_field: found.len() as u32,
        });
    }
    Placement { points, boards }
}

fn anchor(piece: &Piece<'_>, at: Point, stand: Stand) -> AnchorPoint {
    AnchorPoint {
        at,
        stand,
        board: piece.board.number,
        zone: piece.zone,
        situation: piece.board.situation,
    }
}

fn check(wall: &WallToAnchor<'_>, faults: &mut Faults) {
    let path = wall.path;
    let bounded = |p: &Point| p.x.abs() <= Mm::LIMIT && p.y.abs() <= Mm::LIMIT;
    let d = wall.distances;
    let least = [d.spacing, d.wall_edge, d.board_edge, d.board_edge_min]
        .into_iter()
        .min();
    let most = [d.spacing, d.wall_edge, d.board_edge, d.board_edge_min]
        .into_iter()
        .max();
    if least < Some(Mm::ZERO) || most > Some(Mm(5_000)) {
        faults.add(
            format!("{path}.distances"),
            "OUT_OF_RANGE",
            format!("{d:?}"),
            "0 to 5000 mm each",
        );
    }
    if wall.outline.len() < 3 || !wall.outline.iter().all(bounded) {
        faults.add(
            format!("{path}.outline"),
            "OUT_OF_RANGE",
            format!("{} points", wall.outline.len()),
            "three points or more within 1 km",
        );
    }
    let opening_fits = |o: &Rectangle| {
        let corners = o.corners();
        corners.iter().all(bounded) && o.width.0 >= 0 && o.height.0 >= 0
    };
    if !wall.openings.iter().all(opening_fits) {
        faults.add(
            format!("{path}.openings"),
            "OUT_OF_RANGE",
            "an opening beyond 1 km",
            "all within 1 km",
        );
    }
    let zones = wall.zones.len();
    if wall.per_board.len() != zones || wall.suctions.len() != zones || zones == 0 {
        faults.add(
            format!("{path}.zones"),
            "MISSING",
            format!(
                "{zones} zones with {} numbers and {} suctions",
                wall.per_board.len(),
                wall.suctions.len()
            ),
            "at least one zone, numbers and a suction for each",
        );
    }
    for (i, board) in wall.boards.iter().enumerate() {
        let points = board.outline.iter().chain(board.holes.iter().flatten());
        let shape = Shape::new(&board.outline, &board.holes);
        let fits = board.outline.len() >= 3 && points.into_iter().all(bounded);
        let has_area = shape.is_some_and(|s| s.twice_area > 0);
        if !fits || !has_area {
            faults.add(
                format!("{path}.boards[{i}]"),
                "BOARD_WITHOUT_AREA",
                format!("board {}", board.number),
                "an outline with an area, within 1 km",
            );
        }
        let area = wall
            .whole_boards
            .get(board.situation)
            .copied()
            .unwrap_or_default();
        let numbered = wall
            .per_board
            .iter()
            .all(|list| board.situation < list.len());
        let shape = Shape::new(&board.outline, &board.holes);
        let found = shape.map_or(0.0, |s| s.twice_area as f64 / 2e6);
        if area.as_m2() > 0.0 && found > LARGEST * area.as_m2() {
            faults.add(
                format!("{path}.boards[{i}]"),
                "PIECE_LARGER_THAN_BOARD",
                format!("{found} m2"),
                format!("a piece of a board of {} m2", area.as_m2()),
            );
        }
        let sized = area.as_m2() > 0.0 && area.is_finite();
        if !sized || !numbered {
            faults.add(
                format!("{path}.boards[{i}].situation"),
                "UNKNOWN_SITUATION",
                format!("{}", board.situation),
                "a situation with a whole board and numbers in every zone",
            );
        }
    }
}

fn pieces<'a>(wall: &WallToAnchor<'a>) -> Vec<Piece<'a>> {
    let zones: Vec<Bounds> = wall.zones.iter().map(zone_bounds).collect();
    wall.boards
        .iter()
        .filter_map(|board| {
            let shape = Shape::new(&board.outline, &board.holes)?;
            let number = |zone: usize| {
                wall.per_board
                    .get(zone)
                    .and_then(|l| l.get(board.situation))
                    .copied()
                    .unwrap_or(0)
            };
            let suction = |zone: usize| wall.suctions.get(zone).copied().unwrap_or_default();
            // Between equals the zone that has more of the board, then the left one; the order in which zones are told must not matter.
            let share = |zone: usize| zones[zone].area_shared_with(shape.bounds);
            let corner = |zone: usize| (zones[zone].left, zones[zone].bottom);
            let worst = |best: usize, next: usize| {
                let stronger = suction(next)
                    .partial_cmp(&suction(best))
                    .unwrap_or(Ordering::Equal)
                    .then(number(next).cmp(&number(best)))
                    .then(share(next).cmp(&share(best)))
                    .then(corner(best).cmp(&corner(next)));
                if stronger == Ordering::Greater {
                    next
                } else {
                    best
                }
            };
            let mut governing: Vec<usize> = (0..zones.len())
                .filter(|i| zones[*i].overlaps(shape.bounds))
                .collect();
            if governing.is_empty() {
                governing.extend(0..zones.len());
            }
            let zone = governing.iter().copied().reduce(worst).unwrap_or(0);
            let most = governing.iter().map(|i| number(*i)).max();
            Some(Piece {
                board,
                per_board: most.unwrap_or(0),
                shape,
                zone,
            })
        })
        .collect()
}

fn zone_bounds(zone: &ZoneRectangle) -> Bounds {
    Bounds {
        left: i64::from(zone.x_from.0),
        bottom: i64::from(zone.y_from.0),
        right: i64::from(zone.x_to.0),
        top: i64::from(zone.y_to.0),
    }
}
