//! Strips of mesh over a facade: vertical drops or horizontal bands, each as long as the wall it covers.

use alloc::vec::Vec;

use facade::{Facade, Meets, Point, Rectangle, Side, Stretch};
use material::Mesh;
use quantity::{Length, Mm};

use crate::edges::{Edges, transposed};

/// Which way the strips run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Strips {
    /// Vertical, from the top down.
    Drops,
    /// Horizontal, along the facade.
    Bands,
}

impl Strips {
    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Drops => "vertical drops",
            Self::Bands => "horizontal bands",
        }
    }
}

/// The strips of one facade, in millimetres rounded up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StripPlan {
    /// How many lines of strips lie side by side.
    pub lines: u32,
    /// The extent that they cover.
    pub extent: Mm,
    /// Each strip's length, overlaps of strips longer than a roll not counted.
    pub lengths: Vec<Mm>,
}

/// The face that is covered: the outline moved out at salient corners and free ends and in at re-entrant ones, and the openings.
struct Face {
    outline: Vec<Point>,
    openings: Vec<Rectangle>,
}

/// The millimetres that hold a length, but for the dust of arithmetic.
pub(crate) fn up_to_mm(length: Length) -> Mm {
    Mm(libm::ceil(length.as_mm() - 1e-6) as i32)
}

/// How far the face of a facade goes beyond the ends of its bare wall.
struct Growth<'a> {
    facade: &'a Facade,
    edges: &'a Edges,
    out: Mm,
}

impl Growth<'_> {
    /// How far to the right the face's end lies at a stretch of height; less than nothing: to the left.
    fn at(&self, side: Side, height: Stretch) -> Mm {
        let out = match self.facade.meets(side) {
            Meets::SalientCorner { .. } | Meets::FreeEnd => self.out,
            // Strips reach to the corner where the other wall does not stand before this one.
            Meets::ReEntrantCorner { .. } if self.edges.is_before(side, height) => -self.out,
            Meets::ReEntrantCorner { .. }
            | Meets::AbuttingBuilding
            | Meets::StructuralJoint { .. } => Mm::ZERO,
        };
        if side == Side::Left { -out } else { out }
    }

    /// The side of the facade whose end lies at `x`.
    fn side(&self, x: Mm) -> Option<Side> {
        let (low, high) = self.facade.bounds();
        let sides = [(Side::Left, low.x), (Side::Right, high.x)];
        sides
            .into_iter()
            .find(|side| side.1 == x)
            .map(|side| side.0)
    }

    /// A side of the outline as it is covered: an upright end in the parts that the other wall of an inner corner makes of it.
    fn moved(&self, (a, b): (Point, Point)) -> Vec<Point> {
        let end = self.side(a.x).filter(|_| a.x == b.x);
        let Some(side) = end else {
            let at = |p: Point| {
                let by = self.side(p.x).map(|side| self.at(side, (p.y, p.y)));
                Point {
                    x: p.x + by.unwrap_or(Mm::ZERO),
                    y: p.y,
                }
            };
            return alloc::vec![at(a), at(b)];
        };
        let (from, to) = (a.y.min(b.y), a.y.max(b.y));
        let other = self.edges.before(side);
        let parts = other.map_or([from, to], |(low, high)| [low, high]);
        let mut levels = alloc::vec![from];
        levels.extend(parts.into_iter().filter(|y| from < *y && *y < to));
        levels.push(to);
        let parts = levels.iter().zip(levels.iter().skip(1));
        let mut points: Vec<Point> = parts
            .flat_map(|(from, to)| {
                let x = a.x + self.at(side, (*from, *to));
                [from, to].map(|y| Point { x, y: *y })
            })
            .collect();
        if b.y < a.y {
            points.reverse();
        }
        points
    }
}

impl Face {
    fn new(facade: &Facade, edges: &Edges, projection: Length) -> Self {
        let growth = Growth {
            facade,
            edges,
            out: up_to_mm(projection),
        };
        let (low, high) = facade.bounds();
        // An opening that ends with the facade takes what grows round the corner too.
        let openings = facade.finished_openings().map(|o| {
            let mut size = o.size;
            let height = (size.y, size.top());
            if size.x == low.x {
                let by = growth.at(Side::Left, height);
                size.x += by;
                size.width -= by;
            }
            if size.right() == high.x {
                size.width += growth.at(Side::Right, height);
            }
            size
        });
        let corners = facade.outline.iter();
        let sides = corners.zip(facade.outline.iter().cycle().skip(1));
        Self {
            outline: sides.flat_map(|(a, b)| growth.moved((*a, *b))).collect(),
            openings: openings.collect(),
        }
    }

    fn turned(&self) -> Self {
        let openings = self
            .openings
            .iter()
            .map(|r| Rectangle {
                x: r.y,
                y: r.x,
                width: r.height,
                height: r.width,
            })
            .collect();
        Self {
            outline: transposed(&self.outline),
            openings,
        }
    }

    fn mirrored(&self) -> Self {
        let openings = self
            .openings
            .iter()
            .map(|r| Rectangle {
                x: -r.right(),
                ..*r
            })
            .collect();
        let outline = self.outline.iter().rev();
        Self {
            outline: outline.map(|p| Point { x: -p.x, y: p.y }).collect(),
            openings,
        }
    }

    /// Drops from the left: as many as the extent needs, each cut where an opening takes its whole width.
    fn drops(&self, mesh: &Mesh) -> StripPlan {
        let Some((low, high)) = facade::bounds(&self.outline) else {
            return StripPlan::default();
        };
        let pitch = (mesh.roll_width - mesh.overlap).max(Mm(1));
        let extent = high.x - low.x;
        let lines = ((extent - mesh.overlap).0 + pitch.0 - 1)
            .div_euclid(pitch.0)
            .max(1);
        let lengths = (0..lines)
            .flat_map(|i| {
                let from = low.x + pitch * i;
                self.covered(from, (from + mesh.roll_width).min(high.x))
            })
            .collect();
        StripPlan {
            lines: lines as u32,
            extent,
            lengths,
        }
    }

    /// The stretches of height in which there is wall between `from` and `to`.
    fn covered(&self, from: Mm, to: Mm) -> Vec<Mm> {
        let (a, b) = (f64::from(from.0), f64::from(to.0));
        let near: Vec<&Rectangle> = self
            .openings
            .iter()
            .filter(|r| r.x < to && from < r.right())
            .collect();
        let mut levels: Vec<f64> = self.outline.iter().map(|p| f64::from(p.y.0)).collect();
        for (p, q) in self.outline.iter().zip(self.outline.iter().cycle().skip(1)) {
            for x in [a, b] {
                let (px, qx) = (f64::from(p.x.0), f64::from(q.x.0));
                if (px < x) != (qx < x) {
                    let (py, qy) = (f64::from(p.y.0), f64::from(q.y.0));
                    levels.push(py + (qy - py) * (x - px) / (qx - px));
                }
            }
        }
        for r in &near {
            levels.extend([f64::from(r.y.0), f64::from(r.top().0)]);
        }
        levels.sort_by(f64::total_cmp);
        let mut stretches: Vec<(f64, f64)> = Vec::new();
        for (low, high) in levels.iter().zip(levels.iter().skip(1)) {
            if high - low < 1e-6 || !self.wall_at(f64::midpoint(*low, *high), (a, b), &near) {
                continue;
            }
            match stretches.last_mut() {
                Some(last) if *low - last.1 < 1e-6 => last.1 = *high,
                _ => stretches.push((*low, *high)),
            }
        }
        stretches
            .into_iter()
            .map(|(low, high)| Mm(libm::ceil(high - low - 1e-6) as i32))
            .collect()
    }

    /// Whether the line at `y` has wall between `a` and `b` that no opening takes.
    fn wall_at(&self, y: f64, (a, b): (f64, f64), near: &[&Rectangle]) -> bool {
        let mut taken: Vec<(f64, f64)> = near
            .iter()
            .filter(|r| f64::from(r.y.0) < y && y < f64::from(r.top().0))
            .map(|r| (f64::from(r.x.0), f64::from(r.right().0)))
            .collect();
        taken.sort_by(|p, q| p.0.total_cmp(&q.0));
        facade::spans_at(&self.outline, y).into_iter().any(|span| {
            let (mut at, end) = (libm::fmax(span.from, a), libm::fmin(span.to, b));
            for (from, to) in &taken {
                if *from > at + 1e-6 {
                    break;
                }
                at = libm::fmax(at, *to);
            }
            end - at > 1e-6
        })
    }
}

fn total(plan: &StripPlan) -> i64 {
    plan.lengths.iter().map(|l| i64::from(l.0)).sum()
}

/// The strips of a facade with these edges that run one way, begun at the end that takes less mesh.
///
/// Mesh runs round neither salient nor re-entrant corners; the beads there carry their own.
pub fn strips(
    facade: &Facade,
    edges: &Edges,
    projection: Length,
    mesh: &Mesh,
    way: Strips,
) -> StripPlan {
    let face = Face::new(facade, edges, projection);
    let face = if way == Strips::Bands {
        face.turned()
    } else {
        face
    };
    let (forth, back) = (face.drops(mesh), face.mirrored().drops(mesh));
    if total(&back) < total(&forth) {
        back
    } else {
        forth
    }
}

/// Lengths of roll for pieces of one width laid side by side across it: each group takes the length of its longest.
///
/// Nothing where a piece is wider than the roll.
pub fn side_by_side(mut pieces: Vec<Mm>, width: Mm, roll_width: Mm) -> Option<Vec<Mm>> {
    if width <= Mm::ZERO || width > roll_width {
        return None;
    }
    let abreast = (roll_width.0 / width.0).max(1) as usize;
    pieces.sort_unstable_by(|a, b| b.cmp(a));
    Some(
        pieces
            .chunks(abreast)
            .filter_map(|group| group.first().copied())
            .collect(),
    )
}

/// Lengths of roll for `count` diagonal strips, laid whichever way takes less; nothing where they are wider than the roll.
pub fn diagonals(count: usize, mesh: &Mesh) -> Option<Vec<Mm>> {
    let way = |width: Mm, length: Mm| {
        side_by_side(alloc::vec![length; count], width, mesh.roll_width)
            .filter(|rows| rows.iter().all(|r| *r <= mesh.roll_length))
    };
    let along = way(mesh.diagonal_width, mesh.diagonal_length);
    let across = way(mesh.diagonal_length, mesh.diagonal_width);
    let length = |rows: &Vec<Mm>| rows.iter().map(|r| i64::from(r.0)).sum::<i64>();
    match (along, across) {
        (Some(a), Some(b)) => Some(if length(&b) < length(&a) { b } else { a }),
        (a, b) => a.or(b),
    }
}
