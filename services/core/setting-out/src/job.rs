//! What is to be set out: walls, boards, rules and corners, as plain data.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

/// A point on a wall, seen from outside: `x` to the right, `y` up from one datum common to all walls of the job.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Point {
    /// Distance to the right of the wall's own origin.
    pub x: Mm,
    /// Height above the datum of the site.
    pub y: Mm,
}

/// Everything that one search needs. Walls that name the same board share its packs and offcuts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Job {
    /// The walls, in the order in which they are numbered and reported.
    pub walls: Vec<Wall>,
    /// Pairs of wall ends that meet at a corner; an end that is in no pair is free.
    pub corners: Vec<Corner>,
    /// The board products that the zones name.
    pub boards: Vec<BoardStock>,
    /// The rule set.
    pub rules: Rules,
    /// How long to search.
    pub budget: Budget,
}

/// One wall as surveyed: the bare substrate, without the thickness of the system.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wall {
    /// The caller's name of the wall; unique in the job.
    pub id: String,
    /// A simple polygon, either way round, not closed by a repeated point. Edges may slope (gables).
    pub outline: Vec<Point>,
    /// Openings at their finished size, after reveal insulation.
    pub openings: Vec<Opening>,
    /// Where the main boards begin, from left to right; plinth boards lie below. Empty: there is no plinth.
    pub base_line: Vec<BaseStep>,
    /// Which board goes where. Exactly one main zone; at most one plinth; any number of fire barriers.
    pub zones: Vec<Zone>,
    /// Structural movement joints, carried through the insulation over the whole height.
    pub structural_joints: Vec<StructuralJoint>,
    /// Cracks and changes of substrate that no board joint may lie over.
    pub keep_clear: Vec<KeepClear>,
    /// Thickness of the main boards: by so much the neighbour runs past at a toothed corner. At a corner at least 1 mm.
    pub thickness: Mm,
    /// Thickness of the adhesive bed behind the boards.
    pub bed: Mm,
}

/// An upright rectangular opening.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Opening {
    /// The caller's name of the opening; unique in its wall.
    pub id: String,
    /// The lower left corner.
    pub corner: Point,
    /// Finished clear width.
    pub width: Mm,
    /// Finished clear height.
    pub height: Mm,
}

/// A level piece of the base line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct BaseStep {
    /// Where it begins.
    pub from: Mm,
    /// Where it ends; the next step begins here.
    pub to: Mm,
    /// Its height above the datum.
    pub level: Mm,
}

/// A part of the wall with its own board and its own courses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Zone {
    /// The caller's name of the zone; unique in its wall.
    pub id: String,
    /// Which part of the wall it is.
    pub extent: ZoneExtent,
    /// The key of its board in [`Job::boards`].
    pub board: String,
}

/// Which part of a wall a zone covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZoneExtent {
    /// Below the base line.
    Plinth,
    /// All that no other zone covers.
    Main,
    /// A horizontal strip of non-combustible board, as the rule data asks.
    FireBarrier(Strip),
}

/// The rectangle of a fire-barrier strip; what lies outside the outline or in an opening is cut away.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Strip {
    /// The lower left corner.
    pub corner: Point,
    /// Length along the wall.
    pub width: Mm,
    /// Height of the strip.
    pub height: Mm,
}

/// A structural movement joint: an upright slot over the whole height of the wall.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StructuralJoint {
    /// The caller's name.
    pub id: String,
    /// The middle of the slot.
    pub x: Mm,
    /// Its clear width; at least 1 mm.
    pub gap: Mm,
}

/// A straight piece of a crack or of a change of substrate.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeepClear {
    /// The caller's name.
    pub id: String,
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
}

/// Two wall ends that meet. Seen from outside, the right end of one wall meets the left end of the next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Corner {
    /// The caller's name.
    pub id: String,
    /// The wall whose right end is at this corner.
    pub right_end_of: String,
    /// The wall whose left end is at this corner.
    pub left_end_of: String,
    /// Which way the corner turns.
    pub kind: CornerKind,
    /// Which of the two runs past in the first, third, fifth course.
    pub first_to_run: Runner,
}

/// Which way a corner turns, seen from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CornerKind {
    /// An outside corner. The wall that runs past covers the neighbour's bed and board, the other stops behind its board.
    Salient,
    /// An inside corner. The wall that runs goes to the neighbour's substrate, the other stops at its face.
    ReEntrant,
}

/// One of the two walls at a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Runner {
    /// The wall whose right end is at the corner.
    RightEnd,
    /// The wall whose left end is at the corner.
    LeftEnd,
}

impl Runner {
    /// The other of the two.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::RightEnd => Self::LeftEnd,
            Self::LeftEnd => Self::RightEnd,
        }
    }
}

/// A board product as it is bought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardStock {
    /// The caller's key; unique in the job.
    pub key: String,
    /// The long side, laid level.
    pub length: Mm,
    /// The short side: the height of a course.
    pub height: Mm,
    /// Thickness.
    pub thickness: Mm,
    /// Boards in a pack; at least 1.
    pub boards_per_pack: u32,
    /// What is bought on top for waste on site, in millionths of the boards laid; 0 where nothing is.
    pub waste_ppm: u32,
    /// Whether a piece may be cut with its length across the board. A half turn is always allowed.
    pub rotation: Rotation,
    /// Width lost at each cut.
    pub kerf: Mm,
}

impl BoardStock {
    /// The packs bought for so many boards, waste on site included.
    pub fn packs_for(&self, boards: u32) -> u32 {
        let needed = u64::from(boards) * u64::from(WHOLE + self.waste_ppm);
        let pack = u64::from(self.boards_per_pack.max(1)) * u64::from(WHOLE);
        needed.div_ceil(pack) as u32
    }

    /// The most boards for which so many packs are bought.
    pub fn boards_of(&self, packs: u32) -> u32 {
        let held = u64::from(packs) * u64::from(self.boards_per_pack.max(1));
        (held * u64::from(WHOLE) / u64::from(WHOLE + self.waste_ppm)) as u32
    }
}

/// All, in millionths.
const WHOLE: u32 = 1_000_000;

/// Whether pieces may be turned by a quarter when they are cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rotation {
    /// The material is alike both ways (foams).
    Allowed,
    /// The fibre or the face has a direction (lamellas, faced boards).
    Forbidden,
}

/// The rule set: each figure is data, none is known to the engine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rules {
    /// Least distance of vertical joints in courses that lie on each other.
    pub stagger: Mm,
    /// Least width of any piece.
    pub min_piece_width: Mm,
    /// Least height of any piece, and of what is left of a course beside an eaves or a step.
    pub min_piece_height: Mm,
    /// What may stand at a toothed corner.
    pub corner_pieces: CornerPieces,
    /// Least distance of a vertical joint from a jamb in a course where that jamb ends.
    pub opening_keep_out: Mm,
    /// Least distance of a course line from a sill or a lintel, so that one notched board covers each opening's corner.
    pub course_line_clear: Mm,
    /// By how much a board must cover a crack or a change of substrate to each side.
    pub crack_overlap: Mm,
}

/// What may stand at a toothed outside corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CornerPieces {
    /// Whole boards and half boards only; a half board is half of the length less one kerf.
    WholeOrHalf,
    /// Any piece at least so wide on its own wall: where a course runs past the other wall, what lies before its boards is not
    /// bonded to anything and does not count.
    AtLeast(Mm),
}

impl Default for Rules {
    /// Common practice, no source, except the 100 mm over cracks; a job should carry its own rule set.
    fn default() -> Self {
        Self {
            stagger: Mm(250),
            min_piece_width: Mm(150),
            min_piece_height: Mm(100),
            corner_pieces: CornerPieces::WholeOrHalf,
            opening_keep_out: Mm(100),
            course_line_clear: Mm(100),
            crack_overlap: Mm(100),
        }
    }
}

/// How far to search, counted in steps and never in seconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Budget {
    /// Steps for each board that the walls need by area, so that the time grows with the building; a small building gets
    /// those of 855 boards, and from 2,000 boards on each counts two thirds. A step is one piece weighed at one place.
    /// The first layout is always completed, whatever it takes.
    pub steps: u64,
    /// Whether to set out again with each rule lifted, to learn what it costs.
    pub rule_costs: RuleCosts,
}

/// Whether the price of each rule is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuleCosts {
    /// No.
    Skip,
    /// Yes: one more search, of the same budget, and one for each rule.
    Report,
}

impl Default for Budget {
    /// Enough to come near the bound in under a second for a building of 2,000 m².
    fn default() -> Self {
        Self {
            steps: 3_000,
            rule_costs: RuleCosts::Skip,
        }
    }
}
