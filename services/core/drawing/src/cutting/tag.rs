//! Numbers of parts that are too small for them: boxed, in a row over or under the board, with a leader to a dot on the part.

use alloc::string::String;
use alloc::vec::Vec;

use super::cell::tight;
use super::order::RING;
use crate::elevation::Obstacles;
use crate::geometry::{box_inside, boxes_along, inside};
use crate::lettering::Lettering;
use crate::svg::{Anchoring, Frame, Paint, Pen, Spot, Svg, Text};

/// Height that a row of boxed numbers takes; the rings of cuts stand between it and the board.
pub(super) const ROW: f64 = 4.2;
/// Height of a box.
const BOX: f64 = 3.0;
/// White around a number in its box.
const MARGIN: f64 = 0.45;
/// Free paper between a ring and the row.
const CLEAR: f64 = 0.3;
/// How far a box may stand out beside its board; beside the next board's there is still free paper.
const ASIDE: f64 = 3.0;
/// Radius of the dot on the part.
const DOT: f64 = 0.35;

/// A boxed number and the place on its part.
#[derive(Clone, Debug)]
pub(super) struct Tag {
    at: Spot,
    foot: Spot,
    text: String,
    class: &'static str,
}

impl Tag {
    /// Whether it stands over the board.
    pub(super) fn is_over(&self) -> bool {
        self.at.y < 0.0
    }
    fn words(&self) -> Text<'_> {
        Text {
            class: self.class,
            ..Text::level(self.at, Lettering::Small, Anchoring::Middle, &self.text)
        }
    }
    fn frame(&self) -> Frame {
        let words = tight(&self.words());
        Frame::new(
            words.x0 - MARGIN,
            words.y0 - MARGIN,
            words.x1 + MARGIN,
            words.y1 + MARGIN,
        )
    }
    /// Where the leader leaves the box.
    fn edge(&self) -> Spot {
        let frame = self.frame();
        Spot::at(self.at.x, if self.is_over() { frame.y1 } else { frame.y0 })
    }
    /// Small boxes along the leader.
    fn leader(&self) -> impl Iterator<Item = Frame> + use<> {
        // The first lies over the edge of the box itself.
        boxes_along(self.edge(), self.foot).skip(1)
    }
}

/// The box of a dot.
pub(super) fn dot(at: Spot) -> Frame {
    Frame::around(at, 2.0 * DOT, 2.0 * DOT)
}

/// Whether a dot stands in a part and in none of its holes.
pub(super) fn stands_in(at: Spot, outline: &[Spot], holes: &[Vec<Spot>]) -> bool {
    box_inside(&dot(at), outline) && !holes.iter().any(|hole| inside(at, hole))
}

/// The nearest free place for a number in the rows over and under a board of that room and height, whose leader runs over no ring, number or
/// other leader.
pub(super) fn place(
    foot: Spot,
    (text, class): (&str, &'static str),
    (room, height): (f64, f64),
    obstacles: &mut Obstacles,
) -> Option<Tag> {
    let away = RING + CLEAR + BOX / 2.0;
    let mut rows = [-away, height + away];
    if foot.y > height / 2.0 {
        rows.reverse();
    }
    let half = Lettering::Small.width_mm(text) / 2.0 + MARGIN;
    let steps =
        (0..60_i32).map(|step| f64::from((step + 1) / 2) * if step % 2 == 0 { 1.0 } else { -1.0 });
    let aside = steps.map(|step| foot.x + 1.2 * step);
    let within = aside.filter(|x| (half - ASIDE..=room - half + ASIDE).contains(x));
    let places = rows
        .iter()
        .flat_map(|y| within.clone().map(|x| Spot::at(x, *y)));
    let tags = places.map(|at| Tag {
        at,
        foot,
        text: String::from(text),
        class,
    });
    let mut free = tags.filter(|tag| {
        !obstacles.hit(&tag.frame()) && tag.leader().all(|frame| !obstacles.hit(&frame))
    });
    let tag = free.next()?;
    obstacles.add(tag.frame());
    for frame in tag.leader() {
        obstacles.add(frame);
    }
    Some(tag)
}

/// Draws the boxes with their leaders and dots.
pub(super) fn draw(svg: &mut Svg, tags: &[Tag], origin: Spot) {
    let moved = |s: Spot| Spot::at(s.x + origin.x, s.y + origin.y);
    svg.group("part-leader", Pen::NARROW, Paint::Black);
    for tag in tags {
        svg.line(moved(tag.edge()), moved(tag.foot));
        svg.circle(moved(tag.foot), DOT);
    }
    svg.end();
    svg.group("part-tag", Pen::NARROW, Paint::White);
    for tag in tags {
        let tag = Tag {
            at: moved(tag.at),
            ..tag.clone()
        };
        svg.rect(&tag.frame());
        svg.text(&tag.words());
    }
    svg.end();
}
