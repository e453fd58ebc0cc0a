//! Level marks beside the elevation: a triangle that stands on the level, with signed metres, after ISO 7519 (from memory, unverified).

use alloc::collections::BTreeSet;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::layout::{LEVEL_BAND, Window};
use crate::elevation::{ElevationDrawing, ElevationOptions, Layer, Point, dimension};
use crate::lettering::Lettering;
use crate::svg::{Anchoring, Paint, Pen, Spot, Svg, Text};

/// One mark: where the level is, and where there is room for the mark.
#[derive(Clone, Debug)]
pub(super) struct LevelMark {
    /// The level's place on paper.
    at: Spot,
    /// The height of the mark's own line.
    line: f64,
    text: String,
}

/// Height of a mark above its line, with what keeps it clear of the next.
const PITCH: f64 = 3.4;
/// Height of the triangle; it is as wide at each side of its point.
const TRIANGLE: f64 = 2.0;
/// From the elevation to the mark and to the point of its triangle.
const GAP: f64 = 0.3;
const POINT: f64 = 1.4;
/// How far under the elevation a mark may stand: below are the names of the chains of dimensions.
const UNDER_MOST: f64 = 2.5;
/// How far a mark reaches.
const REACH: f64 = LEVEL_BAND + 2.0;

/// The levels of a sheet: base, ground, lower and upper edges, and where the elevation is cut. Other corners of the outline have a mark
/// where there is room for it.
pub(super) fn marks(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    window: &Window,
) -> Vec<LevelMark> {
    if !options.shows(Layer::Dimensions) {
        return Vec::new();
    }
    let heights = |points: &[Point]| points.iter().map(|p| p.y).collect::<BTreeSet<Mm>>();
    let corners = heights(&drawing.outline);
    let mut chosen = heights(&drawing.base_line);
    chosen.extend(heights(&drawing.ground_line));
    chosen.extend(corners.first().into_iter().chain(corners.last()));
    let cuts = [
        (window.row > 0, window.mm.y0),
        (window.mm.y1 < window.top, window.mm.y1),
    ];
    let cut = cuts.into_iter().filter(|(cut, _)| *cut);
    chosen.extend(cut.map(|(_, y)| Mm(libm::round(y) as i32)));
    let place = |level: Mm| window.place(window.mm.x0, f64::from(level.0));
    let shown = |level: &Mm| (window.mm.y0..=window.mm.y1).contains(&f64::from(level.0));
    for level in corners.into_iter().filter(shown) {
        let near = |other: &Mm| libm::fabs(place(*other).y - place(level).y) < PITCH;
        if !chosen.iter().any(near) {
            chosen.insert(level);
        }
    }
    let mut marks: Vec<LevelMark> = chosen
        .into_iter()
        .filter(shown)
        .map(|level| LevelMark {
            at: place(level),
            line: place(level).y,
            text: dimension::level(level),
        })
        .collect();
    part(&mut marks, window.paper.y1 + UNDER_MOST);
    marks
}

/// Moves marks that would cover each other apart, each as little as the others let it: a stack of them stands about the middle of its
/// levels, but no lower than `lowest`. The marks run from the lowest level upwards.
fn part(marks: &mut [LevelMark], lowest: f64) {
    // Each stack: its first mark, how many marks, and the height of its lowest line.
    let mut stacks: Vec<(usize, usize, f64)> = Vec::new();
    for index in 0..marks.len() {
        let mut stack = (index, 1, marks.get(index).map_or(0.0, |m| m.at.y));
        while let Some(below) = stacks.last().copied() {
            let top = below.2 - below.1 as f64 * PITCH;
            if stack.2 <= top {
                break;
            }
            stacks.pop();
            stack = (below.0, below.1 + stack.1, 0.0);
            let own = marks.iter().skip(stack.0).take(stack.1).enumerate();
            let sum: f64 = own.map(|(i, m)| m.at.y + i as f64 * PITCH).sum();
            stack.2 = libm::fmin(sum / stack.1 as f64, lowest);
        }
        stacks.push(stack);
    }
    for (first, count, line) in stacks {
        for (i, mark) in marks.iter_mut().skip(first).take(count).enumerate() {
            mark.line = line - i as f64 * PITCH;
        }
    }
}

/// Draws the marks; one that was moved is led to its level.
pub(super) fn draw(svg: &mut Svg, marks: &[LevelMark]) {
    svg.group("level", Pen::NARROW, Paint::White);
    for mark in marks {
        let x = mark.at.x;
        let point = Spot::at(x - POINT, mark.line);
        svg.line(Spot::at(x - GAP, mark.at.y), point);
        svg.line(point, Spot::at(x - REACH, mark.line));
        svg.polygon(&[
            point,
            Spot::at(x - POINT + TRIANGLE / 2.0, mark.line - TRIANGLE),
            Spot::at(x - POINT - TRIANGLE / 2.0, mark.line - TRIANGLE),
        ]);
        svg.text(&Text {
            class: "level-figure",
            ..Text::level(
                Spot::at(x - POINT - TRIANGLE / 2.0 - 0.2, mark.line - 1.5),
                Lettering::Small,
                Anchoring::End,
                &mark.text,
            )
        });
    }
    svg.end();
}
