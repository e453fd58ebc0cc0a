//! The elevation: one facade with its boards, anchors, reinforcement and dimensions on one or several A3 sheets.

mod bead;
mod body;
mod check;
mod corner;
mod crowd;
mod dimension;
mod layout;
mod legend;
mod level;
mod number;
mod opening;
mod overlay;
mod reference;
mod series;
mod utilisation;

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;
use working::Fault;

use crate::elevation::body::Placed;
use crate::sheet::{Sheet, TitleBlock};

pub use dimension::{chains_of, level};
pub(crate) use number::Obstacles;
pub use utilisation::utilisation_picture;

/// A point on the facade: x to the right, y up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Point {
    /// To the right.
    pub x: Mm,
    /// Up.
    pub y: Mm,
}

impl Point {
    /// From whole millimetres.
    pub const fn at(x: i32, y: i32) -> Self {
        Self { x: Mm(x), y: Mm(y) }
    }
}

/// An upright rectangle on the facade.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rectangle {
    /// Left edge.
    pub x: Mm,
    /// Lower edge.
    pub y: Mm,
    /// Width, over 0.
    pub width: Mm,
    /// Height, over 0.
    pub height: Mm,
}

impl Rectangle {
    /// From whole millimetres: left, lower, width, height.
    pub const fn at(x: i32, y: i32, width: i32, height: i32) -> Self {
        Self {
            x: Mm(x),
            y: Mm(y),
            width: Mm(width),
            height: Mm(height),
        }
    }
    /// The corners from the lower left, counter-clockwise.
    pub fn corners(&self) -> [Point; 4] {
        let (right, top) = (self.x + self.width, self.y + self.height);
        [
            Point {
                x: self.x,
                y: self.y,
            },
            Point {
                x: right,
                y: self.y,
            },
            Point { x: right, y: top },
            Point { x: self.x, y: top },
        ]
    }
}

/// What stands at the lower edge of an opening.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OpeningFoot {
    /// A sill.
    #[default]
    Sill,
    /// The floor or a step: a door.
    Floor,
}

/// A window or a door.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpeningDrawing {
    /// Its name in the survey.
    pub id: String,
    /// As the mason left it.
    pub raw: Rectangle,
    /// After the reveal insulation.
    pub finished: Rectangle,
    /// What stands at its lower edge.
    pub foot: OpeningFoot,
}

/// What a piece is made from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceKind {
    /// An uncut board.
    Whole,
    /// Cut to a rectangle or along a slope.
    Cut,
    /// Notched around the corner of an opening.
    Notched,
    /// A whole plinth board.
    Plinth,
    /// A cut plinth board.
    PlinthCut,
    /// A notched plinth board.
    PlinthNotched,
    /// An uncut board of a fire barrier.
    Barrier,
    /// A cut strip of a fire barrier.
    BarrierCut,
    /// A notched strip of a fire barrier.
    BarrierNotched,
    /// A gap that is filled, not boarded.
    Fill,
}

/// One piece on the wall.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceDrawing {
    /// Its number in the cutting list, unique in the drawing.
    pub number: u32,
    /// Its outline, at least three points.
    pub outline: Vec<Point>,
    /// What it is made from.
    pub kind: PieceKind,
}

/// How an anchor sits in the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AnchorKind {
    /// Plate flush with the board.
    Flush,
    /// Countersunk under a plug.
    Recessed,
    /// With a wider plate.
    WidePlate,
}

/// One anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AnchorDrawing {
    /// Its place.
    pub at: Point,
    /// Which of the drawing's zones it belongs to, by place in the list.
    pub zone: usize,
    /// How it sits.
    pub kind: AnchorKind,
}

/// A wind zone, or a part of one, and the boards of one kind that it governs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ZoneDrawing {
    /// Its name, for example `A`. Parts of one zone share it.
    pub name: String,
    /// What its boards are called where they are not the facade's, for example `plinth boards`: told in the list, not on the picture.
    pub other_boards: Option<String>,
    /// Where it lies.
    pub area: Rectangle,
    /// Anchors per square metre.
    pub anchors_per_m2: f64,
    /// Effect over resistance; over 1 fails.
    pub utilisation: f64,
    /// Whether fewer anchors stand there than rules or system ask for, whatever the wind.
    pub too_few: bool,
}

impl ZoneDrawing {
    /// Whether its anchors are not enough.
    pub(crate) fn fails(&self) -> bool {
        self.too_few || self.utilisation > 1.0
    }
    /// The worse of two comes last: what fails after what holds, then by the used share.
    fn by_worth(&self, other: &Self) -> core::cmp::Ordering {
        let share = self.utilisation.total_cmp(&other.utilisation);
        self.fails().cmp(&other.fails()).then(share)
    }
}

/// A corner of an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpeningCorner {
    /// Lower left.
    LowerLeft,
    /// Lower right.
    LowerRight,
    /// Upper right.
    UpperRight,
    /// Upper left.
    UpperLeft,
}

/// A strip of mesh laid diagonally across the corner of an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MeshStrip {
    /// The corner's place.
    pub at: Point,
    /// Which corner of the opening it is.
    pub corner: OpeningCorner,
    /// Length of the strip across the corner.
    pub length: Mm,
    /// Width of the strip.
    pub width: Mm,
}

/// What a bead or profile is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BeadKind {
    /// Base profile.
    Base,
    /// Corner bead.
    Corner,
    /// Drip bead.
    Drip,
    /// Movement joint bead.
    Joint,
    /// Sill connection.
    Sill,
    /// Frame bead.
    Frame,
    /// Sealing strip.
    Sealing,
    /// The bead of a corner that the next elevation shows, and that is counted there.
    CornerElsewhere,
    /// The same for the bead of a structural joint between two facades.
    JointElsewhere,
}

/// A length of bead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BeadLine {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// What it is for.
    pub kind: BeadKind,
}

/// Which end of a sill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SillSide {
    /// The left one.
    Left,
    /// The right one.
    Right,
}

/// The end of a sill that a strip seals where it meets the wall: across the wall, so that only its place can be seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SillEnd {
    /// The opening, by its place in the drawing's list.
    pub opening: usize,
    /// Which end.
    pub side: SillSide,
    /// Length of the strip, from the frame to the boards' face.
    pub length: Mm,
}

impl SillEnd {
    /// The corner of its opening.
    pub(crate) fn at(&self, drawing: &ElevationDrawing) -> Option<Point> {
        let f = &drawing.openings.get(self.opening)?.finished;
        let x = match self.side {
            SillSide::Left => f.x,
            SillSide::Right => f.x + f.width,
        };
        Some(Point { x, y: f.y })
    }
}

/// A structural joint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JointDrawing {
    /// Its name.
    pub name: String,
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
}

/// A crack, or a line where the substrate changes: boards bridge it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CrackLine {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
}

/// What a mounting element carries: elements of each are others.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum ElementLoad {
    /// A lamp, a downpipe bracket.
    #[default]
    Light,
    /// A railing, an awning.
    Heavy,
}

/// A mounting element for something that is fixed to the wall later.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FixtureMark {
    /// Its place.
    pub at: Point,
    /// What it is for.
    pub text: String,
    /// What it carries.
    pub load: ElementLoad,
}

/// A place at a corner that points inwards which a board of the other wall takes: nothing is laid there from this side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SlotDrawing {
    /// Where it lies.
    pub area: Rectangle,
    /// The other wall.
    pub wall: String,
}

/// A place where a setting-out rule could not be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BreachMark {
    /// Its place.
    pub at: Point,
    /// Which rule, and by how much.
    pub text: String,
}

/// Which edge of the elevation a chain of dimensions runs along.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChainSide {
    /// Under the elevation; the stations are x.
    Below,
    /// Left of the elevation; the stations are y.
    Left,
    /// Right of the elevation; the stations are y.
    Right,
}

/// A chain of dimensions. Chains on one side are stacked outwards in their order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DimensionChain {
    /// Along which edge.
    pub side: ChainSide,
    /// Where the ticks stand; sorted and freed of doubles by the drawing.
    pub stations: Vec<Mm>,
    /// The rows of openings that a chain below measures, where they have several chains. It is named by them and stands on the sheets that
    /// show them; where the rows have no room for chains of their own, they share one.
    pub rows: Option<OpeningRows>,
}

/// Rows of openings in line, which share a chain of dimensions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpeningRows {
    /// The lowest edge of their openings.
    pub from: Mm,
    /// The highest.
    pub to: Mm,
    /// Which rows they are, counted from the lowest, which is 1.
    pub numbers: Vec<u32>,
}

/// Everything that an elevation can show.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ElevationDrawing {
    /// The title block.
    pub block: TitleBlock,
    /// The facade's outline, at least three points.
    pub outline: Vec<Point>,
    /// Windows and doors.
    pub openings: Vec<OpeningDrawing>,
    /// The base line, from left to right; steps are allowed; may be empty.
    pub base_line: Vec<Point>,
    /// The ground, from left to right; may be empty.
    pub ground_line: Vec<Point>,
    /// Structural joints.
    pub joints: Vec<JointDrawing>,
    /// Cracks and changes of substrate.
    pub cracks: Vec<CrackLine>,
    /// The pieces.
    pub pieces: Vec<PieceDrawing>,
    /// What boards of other walls take.
    pub slots: Vec<SlotDrawing>,
    /// The anchors.
    pub anchors: Vec<AnchorDrawing>,
    /// The wind zones.
    pub zones: Vec<ZoneDrawing>,
    /// Diagonal mesh.
    pub mesh: Vec<MeshStrip>,
    /// Beads and profiles.
    pub beads: Vec<BeadLine>,
    /// The ends of sills that strips seal.
    pub sill_ends: Vec<SillEnd>,
    /// Mounting elements.
    pub fixtures: Vec<FixtureMark>,
    /// Rules that could not be kept.
    pub breaches: Vec<BreachMark>,
    /// Chains of dimensions; [`chains_of`] gives the usual ones.
    pub dimensions: Vec<DimensionChain>,
    /// Lines of text for the list beside or behind the picture.
    pub notes: Vec<String>,
}

impl ElevationDrawing {
    /// The left end of the wall, where the chains of dimensions start and lists count from.
    pub(crate) fn origin(&self) -> Mm {
        let xs = self.outline.iter().map(|p| p.x);
        xs.min().unwrap_or_default()
    }
    /// A place along the wall as lists tell it.
    pub(crate) fn along(&self, x: Mm) -> i32 {
        (x - self.origin()).0
    }
    /// The letters of a kind of marks: the first for which no opening has such a name.
    pub(crate) fn letters(&self, choices: [&'static str; 3]) -> &'static str {
        let like = |id: &str, letters: &str| {
            let rest = id.strip_prefix(letters);
            rest.is_some_and(|rest| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit()))
        };
        let free = choices.into_iter().find(|letters| {
            let mut ids = self.openings.iter();
            !ids.any(|o| like(&o.id.to_uppercase(), letters))
        });
        let [.., last] = choices;
        free.unwrap_or(last)
    }
    /// From where lists count.
    pub(crate) fn counting(&self) -> String {
        let origin = self.origin().0;
        let text = "x counts from the left end of the wall, y from the level ±0.000";
        if origin == 0 {
            format!("{text}.")
        } else {
            format!("{text}; the survey has x {origin} there.")
        }
    }
}

/// A layer of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// Outlines of the pieces.
    Pieces,
    /// Hatching of the pieces by kind.
    Hatching,
    /// Numbers of the pieces.
    Numbers,
    /// Anchors.
    Anchors,
    /// Zone borders.
    Zones,
    /// Diagonal mesh.
    Mesh,
    /// Beads and profiles.
    Beads,
    /// Dimensions.
    Dimensions,
    /// Mounting elements.
    Fixtures,
    /// Rules that could not be kept.
    Breaches,
}

/// The scale of an elevation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// The largest of 1:20, 1:50, 1:100 that puts the facade on one sheet; else 1:100 on several. Where at 1:100 more than
    /// 5 % of the piece numbers would find no room on their pieces, or of the anchors would stand too near another to be told apart, 1:50 on
    /// more sheets; where a quarter does at 1:50 and one sheet is as high as the wall, 1:20.
    Chosen,
    /// 1 : n, on as many sheets as it takes; n from 5 to 1000.
    OneTo(u32),
}

/// What to show and how large.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ElevationOptions {
    /// The layers shown.
    pub layers: BTreeSet<Layer>,
    /// The scale.
    pub scale: Scale,
}

impl ElevationOptions {
    /// Chosen layers at the chosen scale.
    pub fn of(layers: &[Layer]) -> Self {
        Self {
            layers: layers.iter().copied().collect(),
            scale: Scale::Chosen,
        }
    }
    /// The board drawing: pieces told apart and numbered, dimensions, breaches.
    pub fn boards() -> Self {
        Self::of(&[
            Layer::Pieces,
            Layer::Hatching,
            Layer::Numbers,
            Layer::Dimensions,
            Layer::Breaches,
        ])
    }
    /// The drilling drawing: anchors and zone borders over plain board outlines.
    pub fn anchors() -> Self {
        Self::of(&[
            Layer::Pieces,
            Layer::Anchors,
            Layer::Zones,
            Layer::Dimensions,
            Layer::Fixtures,
        ])
    }
    /// The reinforcement drawing: mesh at openings, beads and mounting elements, no boards.
    pub fn reinforcement() -> Self {
        Self::of(&[
            Layer::Mesh,
            Layer::Beads,
            Layer::Dimensions,
            Layer::Fixtures,
        ])
    }
    /// The same at a given scale.
    #[must_use]
    pub fn at_scale(mut self, one_to: u32) -> Self {
        self.scale = Scale::OneTo(one_to);
        self
    }
    pub(crate) fn shows(&self, layer: Layer) -> bool {
        self.layers.contains(&layer)
    }
}

/// Draws an elevation on as many sheets as it takes. Every piece number stands once, on the piece or in the list.
///
/// # Errors
/// Every fault of the input at once: no outline, a piece without an outline, a number used twice, a coordinate beyond
/// 1 km, a figure that is not finite, a zone that does not exist, a count beyond [`ELEVATION_LIMITS`].
pub fn elevation(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
) -> Result<Vec<Sheet>, Vec<Fault>> {
    let shared = dimension::with_shared_chain(drawing);
    check::check(shared.as_ref().unwrap_or(drawing), options)?;
    let Some(shared) = shared else {
        return Ok(readable(&at_best_scale(drawing, options), options));
    };
    let rows = drawing.dimensions.iter().filter(|c| c.rows.is_some());
    if rows.count() > ROWS_MAX || layout::sheet_count(drawing, options) > ELEVATION_LIMITS.sheets {
        return Ok(readable(&at_best_scale(&shared, options), options));
    }
    let in_one = at_best_scale(&shared, options);
    // A chain for each row of openings, unless that takes a coarser scale or more sheets.
    let each = at_best_scale(drawing, options);
    let room = each.count() <= in_one.count() && each.scale() <= in_one.scale();
    let chosen = if room { each } else { in_one };
    Ok(readable(&chosen, options))
}

/// Chains of openings are taken off where they leave out more than one figure in so many: the list of openings then tells where each lies, as
/// ISO 129-1 has coordinates in a table.
const LEFT_OUT: usize = 10;

/// The sheets of a drawing, without the chains of openings that nobody could read.
fn readable(placed: &Placed<'_>, options: &ElevationOptions) -> Vec<Sheet> {
    match placed.without_unreadable(LEFT_OUT) {
        Some(fewer) => at_best_scale(&fewer, options).sheets(),
        None => placed.sheets(),
    }
}

/// Most rows of openings with a chain of their own; more would take the paper from the wall.
const ROWS_MAX: usize = 4;

fn at_best_scale<'a>(drawing: &'a ElevationDrawing, options: &ElevationOptions) -> Placed<'a> {
    placed(drawing, best_scale(drawing, options))
}

fn best_scale(drawing: &ElevationDrawing, options: &ElevationOptions) -> ElevationOptions {
    let mut options = options.clone();
    if options.scale == Scale::Chosen {
        for step in &LARGER {
            if let Some(larger) = step.taken(drawing, &options) {
                options = larger;
            }
        }
    }
    options
}

/// When the chosen scale is too small for the numbers or the anchors, and the next larger one takes more sheets.
struct LargerScale {
    from: u32,
    to: u32,
    /// When more than one in this many numbers would go to the list.
    listed: usize,
    /// When more than one in this many anchors would stand too near another.
    crowded: usize,
    /// Most rows of sheets above each other.
    rows: usize,
}

/// A low wall whose courses have no numbers, such as strips of 100 mm at 1:50, has the height of its sheets to spare.
const LARGER: [LargerScale; 2] = [
    LargerScale {
        from: 100,
        to: 50,
        listed: 20,
        crowded: 20,
        rows: usize::MAX,
    },
    LargerScale {
        from: 50,
        to: 20,
        listed: 4,
        crowded: 4,
        rows: 1,
    },
];

impl LargerScale {
    fn taken(
        &self,
        drawing: &ElevationDrawing,
        options: &ElevationOptions,
    ) -> Option<ElevationOptions> {
        let plan = layout::plan(drawing, options);
        let larger = options.clone().at_scale(self.to);
        if plan.scale != self.from
            || layout::sheet_count(drawing, &larger) > ELEVATION_LIMITS.sheets
            || layout::plan(drawing, &larger).rows > self.rows
        {
            return None;
        }
        let numbers = || {
            let listed = body::unnumbered(drawing, options, &plan);
            listed * self.listed > drawing.pieces.len()
        };
        let anchors = || {
            let crowded = crowd::crowded(drawing, self.from);
            crowded * self.crowded > drawing.anchors.len()
        };
        let too_small = options.shows(Layer::Numbers) && numbers()
            || options.shows(Layer::Anchors) && anchors();
        too_small.then_some(larger)
    }
}

/// The sheets, with a band for the list beside the picture where the list would else stand on another sheet than its marks, and where the
/// band takes neither a coarser scale nor more pictures.
fn placed(drawing: &ElevationDrawing, options: ElevationOptions) -> Placed<'_> {
    let plan = layout::plan(drawing, &options);
    let banded = layout::plan_with_band(drawing, &options);
    let (scale, pictures) = (plan.scale, plan.windows.len());
    let without = Placed::of(drawing, options, plan);
    if without.count() == pictures || banded.scale != scale || banded.windows.len() > pictures {
        return without;
    }
    let with_band = Placed::of(drawing, without.options.clone(), banded);
    if with_band.count() < without.count() {
        with_band
    } else {
        without
    }
}

pub use check::{ELEVATION_LIMITS, ElevationLimits};
