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

/// A mark and its reference.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    pub at: Spot,
    pub words: Spot,
    /// Whether the reference stands so far off that a leader runs to it.
    pub led: bool,
    pub text: String,
    /// The side of the symbol's box.
    side: f64,
}

impl Mark {
    /// The boxes of the symbol, of the reference and along the leader.
    pub(super) fn frames(&self) -> impl Iterator<Item = Frame> + use<> {
        let leader = self.led.then(|| along(self.at, self.words, self.side));
        let boxes = [
            Frame::around(self.at, self.side, self.side),
            mark_text(self.words, &self.text).frame(),
        ];
        boxes.into_iter().chain(leader.into_iter().flatten())
    }
}

/// The marks of one kind on a sheet, by their places in the drawing's list; their symbols are noted as obstacles.
pub(super) struct Marked<'a> {
    letters: &'a str,
    here: Vec<(usize, Spot)>,
    /// The side of a symbol's box.
    side: f64,
}

impl<'a> Marked<'a> {
    pub(super) fn of(
        places: impl Iterator<Item = Point>,
        (letters, symbol): (&'a str, Symbol),
        window: &Window,
        obstacles: &mut Obstacles,
    ) -> Self {
        let here: Vec<(usize, Spot)> = places
            .enumerate()
            .filter(|(_, place)| window.holds(*place))
            .map(|(i, place)| (i, window.spot(place)))
            .collect();
        let side = 2.0 * reach(symbol) + 0.4;
        for (_, at) in &here {
            obstacles.add(Frame::around(*at, side, side));
        }
        Self {
            letters,
            here,
            side,
        }
    }

    /// The marks with their references beside them, on a white ground; where there is no free place beside a symbol, the reference stands
    /// further off, with a leader. References beside their symbols find their places first, for they have the fewest.
    pub(super) fn referred(self, paper: &Frame, obstacles: &mut Obstacles) -> Vec<Mark> {
        let mut marks: Vec<(usize, Mark)> = Vec::with_capacity(self.here.len());
        let side = self.side;
        let mut crowded = Vec::new();
        for (i, at) in self.here {
            let text = format!("{}{}", self.letters, i + 1);
            match beside((at, side), &text, paper, obstacles) {
                Some(words) => {
                    obstacles.add(mark_text(words, &text).frame());
                    let mark = Mark {
                        at,
                        words,
                        led: false,
                        text,
                        side,
                    };
                    marks.push((i, mark));
                }
                None => crowded.push((i, at, text)),
            }
        }
        for (i, at, text) in crowded {
            let (words, led) = led((at, side), &text, paper, obstacles);
            obstacles.add(mark_text(words, &text).frame());
            if led {
                for frame in along(at, words, side) {
                    obstacles.add(frame);
                }
            }
            let mark = Mark {
                at,
                words,
                led,
                text,
                side,
            };
            marks.push((i, mark));
        }
        marks.sort_unstable_by_key(|(i, _)| *i);
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
