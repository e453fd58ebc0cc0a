//! Where the order of each cut is written, so that no ring can be read as another cut's.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::CutBoard;
use super::cell::spot;
use crate::elevation::Obstacles;
use crate::geometry::clip_segment;
use crate::lettering::Lettering;
use crate::svg::{Anchoring, Frame, Paint, Pen, Spot, Svg, Text};

/// Radius of the ring around the order of a cut.
pub(super) const RING: f64 = 1.9;

/// The order of a cut: its ring stands on the cut, or a leader runs from it to a dot on the cut.
#[derive(Clone, Debug)]
pub(super) struct Order {
    at: Spot,
    foot: Option<Spot>,
    text: String,
}

/// A cut on paper.
#[derive(Clone, Copy, Debug)]
struct Line {
    from: Spot,
    to: Spot,
}

impl Line {
    fn at(&self, share: f64) -> Spot {
        Spot::at(
            self.from.x + share * (self.to.x - self.from.x),
            self.from.y + share * (self.to.y - self.from.y),
        )
    }
    /// Into how many steps no longer than that it is divided, and no fewer than so many.
    fn steps(&self, longest: f64, least: u32) -> u32 {
        let length = libm::hypot(self.to.x - self.from.x, self.to.y - self.from.y);
        (libm::ceil(length / longest) as u32).max(least)
    }
    /// How far a place is from it.
    fn away(&self, at: Spot) -> f64 {
        let (dx, dy) = (self.to.x - self.from.x, self.to.y - self.from.y);
        let square = (dx * dx + dy * dy).max(1e-12);
        let along = ((at.x - self.from.x) * dx + (at.y - self.from.y) * dy) / square;
        let foot = self.at(along.clamp(0.0, 1.0));
        libm::hypot(at.x - foot.x, at.y - foot.y)
    }
    /// Whether it meets another line.
    fn meets(&self, other: &Self) -> bool {
        let turn =
            |a: Spot, b: Spot, c: Spot| (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        let apart = |line: &Self, a: Spot, b: Spot| {
            turn(line.from, line.to, a) * turn(line.from, line.to, b) > 0.0
        };
        !apart(self, other.from, other.to) && !apart(other, self.from, self.to)
    }
}

/// From the middle of a cut outwards, never its ends.
const ALONG: [f64; 13] = [
    0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.12, 0.88, 0.08, 0.92,
];
/// The sixteen ways that a leader may run, as steps of a circle.
const WAYS: u8 = 16;
/// How far a ring may stand from its cut.
const REACH: [f64; 6] = [3.2, 4.5, 6.0, 8.0, 11.0, 15.0];
/// The same on a crowded board.
const FARTHER: [f64; 6] = [19.0, 24.0, 30.0, 38.0, 48.0, 60.0];
/// Free paper between a ring and a cut that is not its own.
const CLEAR: f64 = 0.3;

/// Places the orders of a board's cuts in a box of that size whose upper left corner is the origin; words keep off the rings.
pub(super) fn place(
    board: &CutBoard,
    scale: f64,
    size: (f64, f64),
    obstacles: &mut Obstacles,
) -> Vec<Order> {
    let lines: Vec<Line> = board
        .cuts
        .iter()
        .map(|cut| Line {
            from: spot(cut.from, board, scale),
            to: spot(cut.to, board, scale),
        })
        .collect();
    let mut orders: Vec<Order> = Vec::with_capacity(lines.len());
    for (own, (line, cut)) in lines.iter().zip(&board.cuts).enumerate() {
        let others: Vec<Line> = lines
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != own)
            .map(|(_, other)| *other)
            .collect();
        let crowd = Crowd {
            line,
            others: &others,
            size,
            obstacles,
        };
        let (at, foot) = crowd.place();
        obstacles.add(ring(at));
        if let Some(foot) = foot {
            // Boxes along the leader keep words off it.
            let leader = Line { from: at, to: foot };
            let steps = leader.steps(2.0, 5);
            for step in 1..=steps {
                let on = leader.at(f64::from(step) / f64::from(steps));
                obstacles.add(Frame::around(on, 0.8, 0.8));
            }
        }
        orders.push(Order {
            at,
            foot,
            text: cut.order.to_string(),
        });
    }
    orders
}

fn ring(at: Spot) -> Frame {
    Frame::around(at, 2.0 * RING, 2.0 * RING)
}

/// From where a leader may come: two cuts a saw's width apart are told apart by the side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    /// Nearer to its own cut than to any other.
    Own,
    /// Nearer to its own cut than to any that lies right beside its foot.
    Told,
    /// Wherever the ring covers no other.
    Any,
}

/// A cut among the others of its board.
struct Crowd<'a> {
    line: &'a Line,
    others: &'a [Line],
    size: (f64, f64),
    obstacles: &'a Obstacles,
}

impl Crowd<'_> {
    /// On the cut where the ring touches no other, else beside it with a leader that crosses none. On a crowded board the leader is
    /// longer, or crosses other cuts; no ring ever stands on another while there is free room on the board.
    fn place(&self) -> (Spot, Option<Spot>) {
        let on = ALONG.iter().map(|share| self.line.at(*share));
        let alone = on
            .clone()
            .find(|at| self.free(*at) && self.nearest(*at) > RING + CLEAR);
        if let Some(at) = alone {
            return (at, None);
        }
        // A tight ring reaches into a neighbour's line, and a leader is clearer; but better tight than ambiguous.
        let near = self.led(Side::Own, &REACH, 0);
        if let Some((at, foot)) = near.or_else(|| self.led(Side::Told, &REACH, 0)) {
            return (at, Some(foot));
        }
        let tight = on
            .clone()
            .find(|at| self.free(*at) && self.nearest(*at) > CLEAR);
        if let Some(at) = tight {
            return (at, None);
        }
        let led = self
            .led(Side::Told, &FARTHER, 0)
            .or_else(|| self.led(Side::Told, &REACH, 1))
            .or_else(|| self.led(Side::Told, &FARTHER, 1))
            .or_else(|| self.led(Side::Told, &REACH, usize::MAX))
            .or_else(|| self.led(Side::Told, &FARTHER, usize::MAX));
        if let Some((at, foot)) = led {
            return (at, Some(foot));
        }
        // Where another cut lies right on it, nothing tells the two apart.
        if let Some(at) = on.clone().find(|at| self.free(*at)) {
            return (at, None);
        }
        let anywhere = self
            .led(Side::Any, &REACH, usize::MAX)
            .or_else(|| self.led(Side::Any, &FARTHER, usize::MAX));
        anywhere.map_or((self.line.at(0.5), None), |(at, foot)| (at, Some(foot)))
    }

    fn nearest(&self, at: Spot) -> f64 {
        let all = self.others.iter().map(|other| other.away(at));
        all.fold(f64::INFINITY, f64::min)
    }

    /// Over and under the board stand its words; beside it another board may stand, so the ring still touches its own.
    fn free(&self, at: Spot) -> bool {
        let (wide, high) = self.size;
        let here = (-RING..=wide + RING).contains(&at.x) && (0.0..=high).contains(&at.y);
        here && !self.obstacles.hit(&ring(at))
    }

    /// Beside the cut, with a leader to the place on it that lies furthest from the others; it crosses so many of them at most.
    fn led(&self, side: Side, reaches: &[f64], crossed: usize) -> Option<(Spot, Spot)> {
        let mut feet: Vec<(f64, Spot)> = ALONG
            .iter()
            .map(|share| self.line.at(*share))
            .map(|foot| (self.nearest(foot).min(RING), foot))
            .collect();
        // The sort is stable: of equals the one nearer to the middle.
        feet.sort_by(|a, b| b.0.total_cmp(&a.0));
        let ways = (0..WAYS).map(|way| {
            let turn = f64::from(way) * core::f64::consts::TAU / f64::from(WAYS);
            (libm::cos(turn), libm::sin(turn))
        });
        // Where there is a choice, not at a foot that others crowd.
        let tried = if side == Side::Own { 5 } else { feet.len() };
        reaches.iter().find_map(|reach| {
            feet.iter().take(tried).find_map(|(_, foot)| {
                ways.clone().find_map(|(x, y)| {
                    let at = Spot::at(foot.x + reach * x, foot.y + reach * y);
                    let leader = Line {
                        from: at,
                        to: *foot,
                    };
                    let clear = self.free(at)
                        && self.line.away(at) > RING + CLEAR
                        && self.told(&leader, side)
                        && self.crossings(&leader, crossed)
                        && !self.runs_over(&leader);
                    clear.then_some((at, *foot))
                })
            })
        })
    }

    /// Whether a ring with that leader is read as its own cut's.
    fn told(&self, leader: &Line, side: Side) -> bool {
        let (at, foot) = (leader.from, leader.to);
        // More than the rounding of what is written.
        let own = self.line.away(at) + 0.02;
        match side {
            Side::Own => self.nearest(at) > (RING + CLEAR).max(own),
            Side::Told => {
                let beside = |other: &&Line| other.away(foot) <= CLEAR;
                self.nearest(at) > RING + CLEAR
                    && self.others.iter().filter(beside).all(|o| own < o.away(at))
            }
            Side::Any => true,
        }
    }

    /// Whether a leader crosses no more cuts than that.
    fn crossings(&self, leader: &Line, most: usize) -> bool {
        let others = self.others.iter();
        most == usize::MAX || others.filter(|other| other.meets(leader)).count() <= most
    }

    /// Whether a leader runs over a ring or a leader that stands already; what lies near its foot is its own cut's.
    fn runs_over(&self, leader: &Line) -> bool {
        let steps = leader.steps(1.5, 5);
        (1..steps).any(|step| {
            let at = leader.at(f64::from(step) / f64::from(steps));
            self.obstacles.hit(&Frame::around(at, 0.6, 0.6))
        }) || clip_segment(leader.from, leader.to, &self.board()).is_none()
    }

    fn board(&self) -> Frame {
        Frame::new(0.0, 0.0, self.size.0, self.size.1)
    }
}

/// Draws the rings, with leaders under them.
pub(super) fn draw(svg: &mut Svg, orders: &[Order], origin: Spot) {
    let moved = |s: Spot| Spot::at(s.x + origin.x, s.y + origin.y);
    let feet = || orders.iter().filter_map(|o| Some((o.at, o.foot?)));
    svg.group("cut-leader", Pen::NARROW, Paint::Black);
    for (at, foot) in feet() {
        svg.line(moved(at), moved(foot));
        svg.circle(moved(foot), 0.35);
    }
    svg.end();
    svg.group("cut-order", Pen::NARROW, Paint::White);
    for order in orders {
        let at = moved(order.at);
        svg.circle(at, RING);
        svg.text(&Text::level(
            at,
            Lettering::Small,
            Anchoring::Middle,
            &order.text,
        ));
    }
    svg.end();
}
