//! The parts of a surveyed building.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Area, Mm};

use crate::polygon::{Point, Rectangle, area, bounds};
use crate::reveal::Stretch;
use crate::substrate::Substrate;

/// What an opening is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OpeningKind {
    /// A window: sill below, mesh at four corners.
    #[default]
    Window,
    /// A door or a window down to the floor: no sill, mesh at its two upper corners where it stands on the base line.
    Door,
}

/// An opening, by its size in the substrate.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Opening {
    /// Its name on site, unique on the facade.
    pub id: String,
    /// What it is.
    pub kind: OpeningKind,
    /// Where it is in the bare wall.
    pub raw: Rectangle,
    /// Depth of the reveal from the bare wall's face to the frame.
    pub reveal_depth: Mm,
    /// Insulation of jambs and head; zero for none.
    pub reveal_insulation: Mm,
    /// Insulation under the sill; zero for none.
    pub sill_insulation: Mm,
}

/// What a vertical edge of a facade meets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meets {
    /// A corner that points outwards, with the named facade.
    SalientCorner {
        /// The other facade's id.
        with: String,
    },
    /// A corner that points inwards, with the named facade.
    ReEntrantCorner {
        /// The other facade's id.
        with: String,
    },
    /// A building that abuts; closed with a sealing strip.
    AbuttingBuilding,
    /// A structural joint at the edge; closed with a joint profile.
    StructuralJoint {
        /// Its gap.
        gap: Mm,
        /// The facade beyond it, where that is one of this building: the joint of both is closed once.
        with: Option<String>,
    },
    /// Nothing: the system ends there with a bead.
    FreeEnd,
}

impl Meets {
    /// The id of the facade that the end is shared with.
    pub fn with(&self) -> Option<&str> {
        match self {
            Self::SalientCorner { with } | Self::ReEntrantCorner { with } => Some(with),
            Self::StructuralJoint { with, .. } => with.as_deref(),
            Self::AbuttingBuilding | Self::FreeEnd => None,
        }
    }
}

/// A vertical structural joint within a facade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StructuralJoint {
    /// The middle of the joint.
    pub x: Mm,
    /// Its gap.
    pub gap: Mm,
}

/// What stands below the base line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Below {
    /// A finished walkway: the system ends above it on a base profile.
    #[default]
    Walkway,
    /// Soil or gravel: the system ends above it on a base profile.
    Ground,
    /// An insulated plinth: the outline reaches down to `BaseStep::ground` or below, with plinth boards under the base line.
    InsulatedPlinth,
}

/// One step of the base line, from left to right.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct BaseStep {
    /// Where it begins.
    pub from: Mm,
    /// Where it ends.
    pub to: Mm,
    /// Height of the base line: the lower edge of the facade boards.
    pub level: Mm,
    /// Height of the finished ground or walkway.
    pub ground: Mm,
    /// What stands below.
    pub below: Below,
}

/// A crack, or a line where the substrate changes: boards must bridge it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Crack {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
}

/// What a fixture weighs on the facade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FixtureLoad {
    /// Light: a lamp, a downpipe bracket.
    Light,
    /// Heavy: a balcony rail, an awning.
    Heavy,
}

/// Something to be fixed to the finished facade.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fixture {
    /// What it is.
    pub name: String,
    /// Its load.
    pub load: FixtureLoad,
    /// Where each of its fixing points lies.
    pub points: Vec<Point>,
}

/// One facade, seen from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Facade {
    /// Its name, unique in the building.
    pub id: String,
    /// The outline of the bare wall that is to be insulated, a plinth zone included.
    pub outline: Vec<Point>,
    /// Openings.
    pub openings: Vec<Opening>,
    /// What the leftmost vertical edge meets.
    pub left: Meets,
    /// What the rightmost vertical edge meets.
    pub right: Meets,
    /// Structural joints within.
    pub joints: Vec<StructuralJoint>,
    /// The base line from left to right, without gaps.
    pub base: Vec<BaseStep>,
    /// Cracks and changes of substrate.
    pub cracks: Vec<Crack>,
    /// Fixtures.
    pub fixtures: Vec<Fixture>,
    /// The wall behind, where it differs from the building's.
    pub substrate: Option<Substrate>,
}

/// Left or right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The left end.
    Left,
    /// The right end.
    Right,
}

impl Side {
    /// The other end: a corner or a joint joins the right end of one facade and the left end of the next.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

impl Facade {
    /// The area inside the outline, openings not deducted.
    pub fn gross_area(&self) -> Area {
        area(&self.outline)
    }
    /// The gross area less all openings at their finished size.
    pub fn net_area(&self) -> Area {
        let openings: Area = self.finished_openings().map(|o| o.size.area()).sum();
        self.gross_area() - openings
    }
    /// Lower left and upper right; both the origin for an empty outline.
    pub fn bounds(&self) -> (Point, Point) {
        bounds(&self.outline).unwrap_or_default()
    }
    /// Width between the leftmost and the rightmost point.
    pub fn width(&self) -> Mm {
        let (low, high) = self.bounds();
        high.x - low.x
    }
    /// The base line's height at `x`, or that of the nearest step.
    pub fn base_level_at(&self, x: Mm) -> Mm {
        let step = self.base_step_at(x);
        step.map_or_else(|| self.bounds().0.y, |s| s.level)
    }
    /// The step of the base line at `x`, or the nearest.
    pub fn base_step_at(&self, x: Mm) -> Option<&BaseStep> {
        self.base.iter().find(|s| x < s.to).or(self.base.last())
    }
    /// What an end meets.
    pub fn meets(&self, side: Side) -> &Meets {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }
    /// Where the outline's leftmost or rightmost end begins and ends: its upright edge, or the one point where it has none.
    pub fn end(&self, side: Side) -> (Mm, Mm) {
        let (low, high) = self.bounds();
        let x = if side == Side::Left { low.x } else { high.x };
        let at = || self.outline.iter().filter(|p| p.x == x).map(|p| p.y);
        (at().min().unwrap_or(low.y), at().max().unwrap_or(low.y))
    }
    /// The length of the outline's vertical edge at its leftmost or rightmost x.
    pub fn edge_length(&self, side: Side) -> Mm {
        let (low, high) = self.bounds();
        let x = if side == Side::Left { low.x } else { high.x };
        crate::polygon::sides(&self.outline)
            .filter(|(a, b)| a.x == x && b.x == x)
            .map(|(a, b)| (a.y - b.y).abs())
            .sum()
    }
}

/// A building of one or more facades.
#[derive(Clone, Debug, PartialEq)]
pub struct Building {
    /// Facades.
    pub facades: Vec<Facade>,
    /// The wall behind all facades that do not name their own.
    pub substrate: Substrate,
    /// Longest extent of the building in plan.
    pub plan_length: Mm,
    /// Extent across it.
    pub plan_width: Mm,
    /// Height above ground to the highest point of the roof or parapet.
    pub height: Mm,
    /// Storeys, the ground floor counted.
    pub storeys: u32,
}

impl Building {
    /// The wall behind a facade.
    pub fn substrate_of<'a>(&'a self, facade: &'a Facade) -> &'a Substrate {
        facade.substrate.as_ref().unwrap_or(&self.substrate)
    }
    /// The place of a facade by its id.
    pub fn facade_index(&self, id: &str) -> Option<usize> {
        self.facades.iter().position(|f| f.id == id)
    }
    /// The other wall of a re-entrant corner, which stands before an end of a facade, and where it begins and ends there by its outline: a window
    /// in the corner stands before the facade as well.
    pub fn before(&self, facade: &Facade, side: Side) -> Option<(&Facade, Stretch)> {
        let Meets::ReEntrantCorner { with } = facade.meets(side) else {
            return None;
        };
        let other = self.facades.get(self.facade_index(with)?)?;
        Some((other, other.end(side.opposite())))
    }
}
