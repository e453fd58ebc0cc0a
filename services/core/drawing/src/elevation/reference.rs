//! Marks on the elevation and where their references stand: beside them, or led to them past everything else that is marked.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use crate::elevation::Point;
use crate::elevation::layout::Window;
use crate::elevation::number::Obstacles;
use crate::geometry::boxes_along;
use crate::lettering::Lettering;
use crate::sheet::{Symbol, reach};
use crate::svg::{Anchoring, Frame, Spot, Text};

/// A mark, with its reference unless a list tells it by its neighbours.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    pub at: Spot,
    pub symbol: Symbol,
    pub reference: Option<Reference>,
}

/// What stands beside a mark.
#[derive(Clone, Debug)]
pub(super) struct Reference {
    pub words: Spot,
    /// Whether the reference stands so far off that a leader runs to it.
    pub led: bool,
    pub text: String,
}

impl Mark {
    /// The side of the symbol's box.
    fn side(&self) -> f64 {
        2.0 * reach(self.symbol) + 0.4
    }

    /// The boxes of the symbol, of the reference and along the leader.
    pub(super) fn frames(&self) -> impl Iterator<Item = Frame> + '_ {
        let side = self.side();
        let referred = self.reference.iter().flat_map(move |reference| {
            let leader = reference.led.then(|| along(self.at, reference.words, side));
            let words = mark_text(reference.words, &reference.text).frame();
            core::iter::once(words).chain(leader.into_iter().flatten())
        });
        core::iter::once(Frame::around(self.at, side, side)).chain(referred)
    }
}

/// A mark of a drawing's list.
pub(super) struct Listed {
    pub at: Point,
    pub symbol: Symbol,
    /// Whether its reference stands on the picture.
    pub referred: bool,
}

/// The marks of one kind on a sheet, by their places in the drawing's list; their symbols are noted as obstacles.
pub(super) struct Marked<'a> {
    letters: &'a str,
    here: Vec<(usize, Mark)>,
    referred: Vec<bool>,
}

impl<'a> Marked<'a> {
    pub(super) fn of(
        marks: Vec<Listed>,
        letters: &'a str,
        window: &Window,
        obstacles: &mut Obstacles,
    ) -> Self {
        let (mut here, mut referred) = (Vec::new(), Vec::new());
        let seen = |(_, mark): &(usize, Listed)| window.holds(mark.at);
        for (i, listed) in marks.into_iter().enumerate().filter(seen) {
            let mark = Mark {
                at: window.spot(listed.at),
                symbol: listed.symbol,
                reference: None,
            };
            obstacles.add(Frame::around(mark.at, mark.side(), mark.side()));
            here.push((i, mark));
            referred.push(listed.referred);
        }
        Self {
            letters,
            here,
            referred,
        }
    }

    /// The marks with their references beside them, on a white ground; where there is no free place beside a symbol, the reference stands
    /// further off, with a leader. References beside their symbols find their places first, for they have the fewest.
    pub(super) fn referred(self, paper: &Frame, obstacles: &mut Obstacles) -> Vec<Mark> {
        let mut marks = self.here;
        let mut crowded = Vec::new();
        let named = marks.iter_mut().zip(&self.referred);
        for ((i, mark), _) in named.filter(|(_, referred)| **referred) {
            let text = format!("{}{}", self.letters, *i + 1);
            match beside((mark.at, mark.side()), &text, paper, obstacles) {
                Some(words) => {
                    obstacles.add(mark_text(words, &text).frame());
                    mark.reference = Some(Reference {
                        words,
                        led: false,
                        text,
                    });
                }
                None => crowded.push((mark, text)),
            }
        }
        for (mark, text) in crowded {
            let side = mark.side();
            let (words, led) = led((mark.at, side), &text, paper, obstacles);
            obstacles.add(mark_text(words, &text).frame());
            if led {
                for frame in along(mark.at, words, side) {
                    obstacles.add(frame);
                }
            }
            mark.reference = Some(Reference { words, led, text });
        }
        marks.into_iter().map(|(_, mark)| mark).collect()
    }
}

/// How far off references with leaders may stand.
const LED: [f64; 9] = [5.0, 7.0, 9.0, 12.0, 15.0, 19.0, 24.0, 30.0, 38.0];

/// Past a symbol of that side sideways, and over or under it.
fn past(side: f64, text: &str) -> (f64, f64) {
    let half = Lettering::Small.width_mm(text) / 2.0;
    (half + side / 2.0 + 0.2, side / 2.0 + 1.6)
}

/// A free place for a reference beside its symbol.
fn beside(
    (at, side): (Spot, f64),
    text: &str,
    paper: &Frame,
    obstacles: &Obstacles,
) -> Option<Spot> {
    let (past, over) = past(side, text);
    let corners = [(1.0, -1.0), (-1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| Spot::at(at.x + x * past, at.y + y * 1.6));
    let upright = [Spot::at(at.x, at.y - over), Spot::at(at.x, at.y + over)];
    let mut places = corners.into_iter().chain(upright);
    places.find(|spot| is_free(*spot, text, paper, obstacles))
}

fn is_free(at: Spot, text: &str, paper: &Frame, obstacles: &Obstacles) -> bool {
    let frame = mark_text(at, text).frame();
    !obstacles.hit(&frame) && inside_of(&frame, paper)
}

/// A free place for a reference further off: where its leader runs over nothing or the least, and there the nearest; whether there is one at all.
fn led((at, side): (Spot, f64), text: &str, paper: &Frame, obstacles: &Obstacles) -> (Spot, bool) {
    let half = Lettering::Small.width_mm(text) / 2.0;
    let ways = (0..32_u8).map(|way| f64::from(way) * core::f64::consts::TAU / 32.0);
    let around = LED.iter().flat_map(|reach| {
        ways.clone().map(move |way| {
            let (x, y) = (libm::cos(way), libm::sin(way));
            Spot::at(at.x + (reach + half) * x, at.y + reach * y)
        })
    });
    let free = around.filter(|spot| is_free(*spot, text, paper, obstacles));
    let crossed = |spot: Spot| {
        let boxes = along(at, spot, side);
        boxes.filter(|frame| obstacles.hit(frame)).count()
    };
    // Of equals the first is the nearest.
    let found = free.min_by_key(|spot| crossed(*spot));
    let (past, _) = past(side, text);
    found.map_or((Spot::at(at.x + past, at.y - 1.6), false), |spot| {
        (spot, true)
    })
}

/// Small boxes along a leader outside the box of its own symbol.
fn along(at: Spot, words: Spot, side: f64) -> impl Iterator<Item = Frame> {
    let own = Frame::around(at, side, side);
    boxes_along(at, words).filter(move |frame| !frame.overlaps(&own))
}

fn inside_of(frame: &Frame, paper: &Frame) -> bool {
    frame.corners().iter().all(|corner| paper.contains(*corner))
}

pub(super) fn mark_text(at: Spot, text: &str) -> Text<'_> {
    Text::level(at, Lettering::Small, Anchoring::Middle, text)
}
