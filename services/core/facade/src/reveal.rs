//! Openings after their reveals are insulated, and how much of each edge lies in the wall.
//!
//! An edge has no wall where another opening touches it, nor a jamb or a head where the outline ends with it, as at a window round a corner.

use alloc::vec::Vec;

use quantity::Mm;

use crate::building::{Facade, Opening, Side};
use crate::polygon::{Rectangle, sides};

/// A stretch of a level or upright line, from its lower to its higher end.
pub type Stretch = (Mm, Mm);

/// Stretches together.
pub fn length(stretches: &[Stretch]) -> Mm {
    stretches.iter().map(|(from, to)| *to - *from).sum()
}

/// What of stretches lies outside another.
pub fn without(stretches: Vec<Stretch>, (from, to): Stretch) -> Vec<Stretch> {
    stretches
        .into_iter()
        .flat_map(|(a, b)| [(a, b.min(from)), (a.max(to), b)])
        .filter(|(a, b)| a < b)
        .collect()
}

/// What of stretches lies outside all of some others.
pub fn less(stretches: Vec<Stretch>, holes: &[Stretch]) -> Vec<Stretch> {
    holes
        .iter()
        .fold(stretches, |rest, hole| without(rest, *hole))
}

/// What of stretches lies inside any of some others.
pub fn common(stretches: Vec<Stretch>, others: &[Stretch]) -> Vec<Stretch> {
    let outside = less(stretches.clone(), others);
    less(stretches, &outside)
}

/// Stretches that meet or overlap made one, from the lowest on.
pub fn joined(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    stretches.sort_unstable();
    let mut joined: Vec<Stretch> = Vec::new();
    for (from, to) in stretches {
        match joined.last_mut() {
            Some(last) if last.1 >= from => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// An opening after its reveals are insulated. Each of its edges is given as the stretches of it that lie in the wall.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FinishedOpening<'a> {
    /// As it was surveyed.
    pub opening: &'a Opening,
    /// What the boards are cut to, and what is billed.
    pub size: Rectangle,
    /// The left jamb, along y.
    pub left: Vec<Stretch>,
    /// The right jamb, along y.
    pub right: Vec<Stretch>,
    /// The head, along x.
    pub head: Vec<Stretch>,
    /// The lower edge, along x.
    pub foot: Vec<Stretch>,
}

impl FinishedOpening<'_> {
    /// Both jambs together.
    pub fn jambs(&self) -> Mm {
        length(&self.left) + length(&self.right)
    }
}

/// The edges of an opening.
#[derive(Clone, Copy)]
enum Edge {
    Left,
    Right,
    Head,
    Foot,
}

/// What of an edge has no wall.
struct Bare {
    /// Where another opening touches it.
    openings: Vec<Stretch>,
    /// Where the outline ends with it.
    ends: Vec<Stretch>,
}

impl Bare {
    fn rest(&self, edge: Stretch) -> Vec<Stretch> {
        less(less(alloc::vec![edge], &self.openings), &self.ends)
    }

    /// Reveal boards would end in a touching opening, or hang on nothing.
    fn holds_boards(&self, edge: Stretch) -> bool {
        self.openings.is_empty() && !self.rest(edge).is_empty()
    }
}

fn along_x(r: &Rectangle) -> Stretch {
    (r.x, r.right())
}

fn along_y(r: &Rectangle) -> Stretch {
    (r.y, r.top())
}

impl Facade {
    /// An opening after its reveals are insulated: by its reveal insulation at jambs and head and by its sill insulation below, but not
    /// at an edge that another opening touches, nor at a jamb or a head that lies on the outline.
    pub fn finished<'a>(&self, opening: &'a Opening) -> FinishedOpening<'a> {
        let raw = &opening.raw;
        let near = |other: &&Rectangle| {
            let across = other.x <= raw.right() && raw.x <= other.right();
            across && other.y <= raw.top() && raw.y <= other.top()
        };
        let others = self.openings.iter().map(|o| &o.raw);
        let near: Vec<&Rectangle> = others.filter(near).collect();
        let [left, right, head, foot] = [Edge::Left, Edge::Right, Edge::Head, Edge::Foot]
            .map(|edge| self.bare(raw, &near, edge));
        let less = |bare: &Bare, edge: Stretch, by: Mm| {
            if bare.holds_boards(edge) {
                by
            } else {
                Mm::ZERO
            }
        };
        let (x, y) = (along_x(raw), along_y(raw));
        let side = opening.reveal_insulation;
        let from_left = less(&left, y, side);
        let from_foot = less(&foot, x, opening.sill_insulation);
        let size = Rectangle {
            x: raw.x + from_left,
            y: raw.y + from_foot,
            width: raw.width - from_left - less(&right, y, side),
            height: raw.height - from_foot - less(&head, x, side),
        };
        FinishedOpening {
            opening,
            size,
            left: left.rest(along_y(&size)),
            right: right.rest(along_y(&size)),
            head: head.rest(along_x(&size)),
            foot: foot.rest(along_x(&size)),
        }
    }

    /// All openings after their reveals are insulated, in the order of the survey. Each is held against every other one.
    pub fn finished_openings(&self) -> impl Iterator<Item = FinishedOpening<'_>> {
        self.openings.iter().map(|opening| self.finished(opening))
    }

    /// The stretches of height at an end in which there is wall: the outline's upright edge there less the openings that touch it.
    pub fn end_stretches(&self, side: Side) -> Vec<Stretch> {
        let (low, high) = self.bounds();
        let x = if side == Side::Left { low.x } else { high.x };
        let edges = sides(&self.outline).filter(|(a, b)| a.x == x && b.x == x);
        let mut wall: Vec<Stretch> = edges.map(|(a, b)| (a.y.min(b.y), a.y.max(b.y))).collect();
        wall.sort_unstable();
        for opening in &self.openings {
            if opening.raw.x == x || opening.raw.right() == x {
                wall = without(wall, along_y(&self.finished(opening).size));
            }
        }
        wall
    }

    /// What of an opening's edge has no wall, with the openings that may touch it.
    fn bare(&self, raw: &Rectangle, near: &[&Rectangle], edge: Edge) -> Bare {
        let touches = |other: &Rectangle| match edge {
            Edge::Left => other.right() == raw.x,
            Edge::Right => other.x == raw.right(),
            Edge::Head => other.y == raw.top(),
            Edge::Foot => other.top() == raw.y,
        };
        let (own, along): (Stretch, fn(&Rectangle) -> Stretch) = match edge {
            Edge::Left | Edge::Right => (along_y(raw), along_y),
            Edge::Head | Edge::Foot => (along_x(raw), along_x),
        };
        let shared = |(from, to): Stretch| {
            let shared = (from.max(own.0), to.min(own.1));
            (shared.0 < shared.1).then_some(shared)
        };
        Bare {
            openings: near
                .iter()
                .filter(|other| touches(other))
                .filter_map(|other| shared(along(other)))
                .collect(),
            ends: self.outline_at(raw, edge).filter_map(shared).collect(),
        }
    }

    /// The sides of the outline on the line of an opening's edge. A lower edge stands on what lies below the outline, so none end it.
    fn outline_at(&self, raw: &Rectangle, edge: Edge) -> impl Iterator<Item = Stretch> {
        let (left, right, top) = (raw.x, raw.right(), raw.top());
        sides(&self.outline).filter_map(move |(a, b)| {
            let (ends, from, to) = match edge {
                Edge::Left => (a.x == left && b.x == left, a.y, b.y),
                Edge::Right => (a.x == right && b.x == right, a.y, b.y),
                Edge::Head => (a.y == top && b.y == top, a.x, b.x),
                Edge::Foot => (false, a.x, b.x),
            };
            ends.then(|| (from.min(to), from.max(to)))
        })
    }
}
