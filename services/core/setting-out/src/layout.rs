//! The answer: every piece at its place, every board with its cuts, and what they come to.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

use crate::Point;

/// A complete setting-out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Layout {
    /// The courses, by wall, zone and height.
    pub courses: Vec<Course>,
    /// The pieces, numbered from 1 in the order of the courses and from left to right.
    pub pieces: Vec<Piece>,
    /// The boards that are bought and what each is cut into, by product; whole boards come first.
    pub boards: Vec<BoardUse>,
    /// The cutting list, in the order of the boards.
    pub cutting_list: Vec<CutPiece>,
    /// What is left over and large enough to use, by product, largest first.
    pub offcuts: Vec<Offcut>,
    /// Where boards meet, wall by wall: the places that anchors are set at.
    pub junctions: Vec<Junction>,
    /// Sums for each wall.
    pub walls: Vec<WallSum>,
    /// Sums, bounds and proof for each product.
    pub products: Vec<ProductSum>,
    /// Each rule that could not be kept, with its place. Empty: the layout obeys every rule.
    pub breaches: Vec<Breach>,
    /// What each rule costs, when the budget asked for it.
    pub rule_costs: Vec<RuleCost>,
    /// Steps spent.
    pub steps: u64,
    /// Why the search ended. What is proven stands with each product.
    pub stopped: Stopped,
}

impl Layout {
    /// The piece of a number.
    #[must_use]
    pub fn piece(&self, number: u32) -> Option<&Piece> {
        self.pieces.get((number as usize).checked_sub(1)?)
    }
}

/// Why the search ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stopped {
    /// No move improved the layout any more.
    #[default]
    Settled,
    /// The steps were spent.
    BudgetSpent,
}

/// A course of boards.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Course {
    /// Index of the wall in the job.
    pub wall: usize,
    /// Index of the zone in the wall.
    pub zone: usize,
    /// Number in its zone, from 1 at the bottom.
    pub number: u32,
    /// Its lower line.
    pub bottom: Mm,
    /// Its upper line.
    pub top: Mm,
    /// By how much the boards go beyond the outline at the left end (negative: stop short).
    pub left_extension: Mm,
    /// By how much the boards go beyond the outline at the right end (negative: stop short).
    pub right_extension: Mm,
}

/// One piece on a wall.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Piece {
    /// Its number, from 1.
    pub number: u32,
    /// Index of the wall in the job.
    pub wall: usize,
    /// Index of the zone in the wall.
    pub zone: usize,
    /// Index of the course in [`Layout::courses`].
    pub course: usize,
    /// Index of the product in the job's boards.
    pub product: usize,
    /// Index of its board in [`Layout::boards`].
    pub board: usize,
    /// Its edge on the wall, anticlockwise from the lowest leftmost point.
    pub outline: Vec<Point>,
    /// Holes in it, each clockwise: an opening smaller than a board.
    pub holes: Vec<Vec<Point>>,
    /// What kind of piece it is.
    pub form: Form,
}

/// What has been done to a board to make a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// A whole board.
    #[default]
    Whole,
    /// A rectangle cut from a board.
    Cut,
    /// A piece with a notch or a hole for an opening, a step or a joint.
    Notched,
    /// A piece with a sloping edge.
    Sloped,
}

/// A board that is bought, and how it is cut.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BoardUse {
    /// Number from 1.
    pub number: u32,
    /// Index of the product in the job's boards.
    pub product: usize,
    /// Where each piece lies on the board.
    pub placements: Vec<Placement>,
    /// The cuts in order.
    pub cuts: Vec<Cut>,
}

/// A piece on its board. The board lies with its length along x; the origin is its lower left corner.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Placement {
    /// Number of the piece.
    pub piece: u32,
    /// Lower left corner of the rectangle around the piece as it lies on the board.
    pub corner: Point,
    /// Width of that rectangle.
    pub width: Mm,
    /// Height of that rectangle.
    pub height: Mm,
    /// How the piece on the wall is turned to lie on the board.
    pub turn: Turn,
}

impl Placement {
    /// The edge of a piece as it lies on the board.
    #[must_use]
    pub fn outline(&self, piece: &Piece) -> Vec<Point> {
        self.laid(piece, &piece.outline)
    }
    /// The holes of a piece as they lie on the board.
    #[must_use]
    pub fn holes(&self, piece: &Piece) -> Vec<Vec<Point>> {
        let holes = piece.holes.iter();
        holes.map(|hole| self.laid(piece, hole)).collect()
    }
    /// A ring of a piece, turned and moved as the piece is.
    fn laid(&self, piece: &Piece, ring: &[Point]) -> Vec<Point> {
        let turned = |p: &Point| match self.turn {
            Turn::None => *p,
            Turn::Quarter => Point { x: -p.y, y: p.x },
            Turn::Half => Point { x: -p.x, y: -p.y },
        };
        let least = |of: fn(&Point) -> Mm| {
            let outline = piece.outline.iter().map(turned);
            outline.map(|p| of(&p)).min().unwrap_or_default()
        };
        let (x, y) = (
            self.corner.x - least(|p| p.x),
            self.corner.y - least(|p| p.y),
        );
        let moved = |p: Point| Point {
            x: p.x + x,
            y: p.y + y,
        };
        ring.iter().map(|p| moved(turned(p))).collect()
    }
}

/// How a piece is turned, anticlockwise, from its place on the wall to its place on the board.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Turn {
    /// Not turned.
    #[default]
    None,
    /// By a quarter.
    Quarter,
    /// By a half.
    Half,
}

/// A straight cut, from edge to edge of the part in hand, or a side of a notch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cut {
    /// Where the saw or the wire goes in.
    pub from: Point,
    /// Where it comes out or stops.
    pub to: Point,
    /// Whether it goes through.
    pub kind: CutKind,
}

/// Whether a cut parts the board or shapes a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CutKind {
    /// From edge to edge of the part in hand.
    #[default]
    Through,
    /// A side of a notch, stopping inside the piece.
    Notch,
    /// A sloping cut.
    Slope,
}

/// A line of the cutting list.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CutPiece {
    /// Number of the board.
    pub board: u32,
    /// Order of the piece on its board, from 1.
    pub order: u32,
    /// Number of the piece.
    pub piece: u32,
    /// Index of the wall in the job.
    pub wall: usize,
    /// Index of the course in [`Layout::courses`].
    pub course: usize,
    /// Width on the wall.
    pub width: Mm,
    /// Height on the wall.
    pub height: Mm,
    /// What kind of piece it is.
    pub form: Form,
}

/// A rectangle left over that is at least as large as the smallest piece the rules allow.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Offcut {
    /// Index of the product in the job's boards.
    pub product: usize,
    /// Number of the board it is left from.
    pub board: u32,
    /// Its lower left corner on the board.
    pub corner: Point,
    /// Along the board.
    pub width: Mm,
    /// Across the board.
    pub height: Mm,
}

/// A point where a vertical joint meets a course line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Junction {
    /// Index of the wall in the job.
    pub wall: usize,
    /// The place.
    pub at: Point,
}

/// Sums for one wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WallSum {
    /// Index of the wall in the job.
    pub wall: usize,
    /// Substrate to be covered: outline less openings and structural joints, in mm².
    pub net_area_mm2: i64,
    /// What the corners add (or, inside, take away): the sum of the extensions, in mm².
    pub toothing_area_mm2: i64,
    /// The pieces together, in mm²; net and toothing together, but for the grid of 1 mm on sloping edges.
    pub piece_area_mm2: i64,
    /// Vertical joints between boards.
    pub vertical_joint: Mm,
    /// Level joints between courses.
    pub level_joint: Mm,
    /// Whole boards.
    pub whole: u32,
    /// Rectangles cut.
    pub cut: u32,
    /// Notched pieces.
    pub notched: u32,
    /// Sloped pieces.
    pub sloped: u32,
}

/// Sums for one product over all walls.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ProductSum {
    /// Index of the product in the job's boards.
    pub product: usize,
    /// Boards cut into or laid whole.
    pub boards: u32,
    /// Packs to buy, waste on site included.
    pub packs: u32,
    /// Boards bought beyond those in use: what is counted for waste on site, and what is left of the last pack.
    pub spare_boards: u32,
    /// Pieces laid.
    pub pieces: u32,
    /// Cuts made.
    pub cuts: u32,
    /// Area of the pieces, in mm².
    pub piece_area_mm2: i64,
    /// Area of the leftovers that are large enough to use, in mm².
    pub offcut_area_mm2: i64,
    /// Kerf, slivers and corners: what is left of the boards besides, in mm².
    pub scrap_area_mm2: i64,
    /// Fewest boards by area alone.
    pub lb_area: u32,
    /// Fewest boards when a strip too high to leave a usable strip beside it counts as a whole course.
    /// Where pieces may be turned this is a yardstick rather than a bound.
    pub lb_eff: u32,
    /// The larger of the bounds that hold strictly.
    pub bound: u32,
    /// Boards above the bound.
    pub gap: u32,
    /// Whether no layout on these course lines can buy fewer packs.
    pub packs_proven: Proof,
    /// Whether no layout on these course lines can use fewer boards.
    pub boards_proven: Proof,
}

/// Whether a count is known to be the least.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Proof {
    /// The bound is reached.
    Proven,
    /// The bound is not reached; the least may lie between.
    #[default]
    Open,
}

/// A rule of [`crate::Rules`], or of the trade at large.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// Vertical joints in neighbouring courses too near.
    Stagger,
    /// A piece narrower than allowed.
    MinPieceWidth,
    /// A piece, or a part of one, lower than allowed.
    MinPieceHeight,
    /// A piece at a toothed corner that is neither whole nor half, or too narrow.
    CornerPiece,
    /// A vertical joint too near a jamb in a course where the jamb ends.
    OpeningKeepOut,
    /// A course line too near a sill or a lintel.
    CourseLineClear,
    /// A joint over a crack or a change of substrate.
    CrackOverlap,
    /// Two walls at a corner whose courses do not lie at equal heights: they cannot be toothed.
    CornerCourses,
}

/// A rule that is not kept, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Breach {
    /// The rule.
    pub rule: Rule,
    /// Index of the wall in the job.
    pub wall: usize,
    /// The place on the wall.
    pub at: Point,
    /// What there is.
    pub found: Mm,
    /// What the rule asks for at least; where `or` is set exactly; nothing where no length is asked for.
    pub required: Mm,
    /// The other length that the rule allows.
    pub or: Option<Mm>,
    /// What it concerns, in words.
    pub what: String,
}

impl core::fmt::Display for Breach {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let Self {
            found,
            required,
            what,
            ..
        } = self;
        match self.or {
            Some(or) => write!(f, "{what}: found {found}, asked {required} or {or}"),
            None if self.rule == Rule::CornerCourses => write!(f, "{what}"),
            None => write!(f, "{what}: found {found}, asked at least {required}"),
        }
    }
}

/// How many boards and breaches fewer there would be without a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RuleCost {
    /// The rule that was lifted.
    pub rule: Rule,
    /// Boards that a search for few boards then saves.
    pub boards: u32,
}
