//! Mounting elements in a row at one distance, which are told as one: a list of fifty points of a railing helps nobody.

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use crate::elevation::layout::Window;
use crate::elevation::{
    AnchorDrawing, ElementLoad, ElevationDrawing, ElevationOptions, FixtureMark, Layer, Point,
};
use crate::sheet::Symbol;

/// How many in a row are told as one; three points are as quickly read each.
const LEAST: usize = 4;

/// Anchors nearer than this to the middle of a mounting element are told: half a plate of 60 mm and half an element of 140 mm (common practice,
/// no source).
pub(super) const CLASH: f64 = 100.0;

/// Neighbours in the drawing's list on one sheet: a row at one distance, or a single one.
#[derive(Clone, Debug)]
pub(super) struct Series {
    /// The place of the first in the list.
    first: usize,
    /// How many follow each other in the list, itself among them.
    count: usize,
}

/// The mounting elements on one sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct Elements {
    /// In the order of the drawing's list.
    pub series: Vec<Series>,
    /// An element and an anchor that may hit it, each by its place in the drawing's list, in the order of both.
    pub clashes: Vec<(usize, usize)>,
}

pub(super) const fn element_symbol(load: ElementLoad) -> (Symbol, &'static str) {
    match load {
        ElementLoad::Light => (Symbol::Square, "mounting element, light load"),
        ElementLoad::Heavy => (Symbol::WideSquare, "mounting element, heavy load"),
    }
}

impl Elements {
    /// Those on a sheet; clashes only where it shows anchors.
    pub(super) fn of<'a>(
        drawing: &'a ElevationDrawing,
        options: &ElevationOptions,
        window: &Window,
    ) -> Self {
        let all = drawing.fixtures.iter().enumerate();
        let here: Vec<(usize, &'a FixtureMark)> = all.filter(|(_, f)| window.holds(f.at)).collect();
        let clashes = if options.shows(Layer::Anchors) {
            let of = |&(i, mark): &(usize, &'a FixtureMark)| {
                clashing(drawing, mark).map(move |anchor| (i, anchor))
            };
            here.iter().flat_map(of).collect()
        } else {
            Vec::new()
        };
        Self {
            series: rows(&here),
            clashes,
        }
    }

    /// The places in the drawing's list whose references stand on the picture: the ends of rows, and what an anchor may hit.
    pub(super) fn referred(&self) -> BTreeSet<usize> {
        let ends = |s: &Series| [s.first, s.first + s.count - 1];
        let ends = self.series.iter().flat_map(ends);
        ends.chain(self.clashes.iter().map(|clash| clash.0))
            .collect()
    }
}

/// Marks with their places in the list, told together where they form a row.
fn rows(here: &[(usize, &FixtureMark)]) -> Vec<Series> {
    let mut rest = here;
    let mut found = Vec::new();
    while let Some(&(first, _)) = rest.first() {
        let count = row_length(rest);
        found.push(Series { first, count });
        rest = rest.get(count..).unwrap_or_default();
    }
    found
}

/// How many of the first marks are told as one.
fn row_length(marks: &[(usize, &FixtureMark)]) -> usize {
    let step = |pair: &[(usize, &FixtureMark)]| match pair {
        [(i, a), (j, b)] if i + 1 == *j && a.text == b.text && a.load == b.load => {
            Some((b.at.x - a.at.x, b.at.y - a.at.y))
        }
        _ => None,
    };
    let mut steps = marks.windows(2).map(step);
    let Some(Some(first)) = steps.next() else {
        return 1;
    };
    // Level or upright, for a slope has two distances; and not two in one place.
    if (first.0.0 == 0) == (first.1.0 == 0) {
        return 1;
    }
    let length = 2 + steps.take_while(|step| *step == Some(first)).count();
    if length < LEAST { 1 } else { length }
}

impl Series {
    /// The line of the list: the references, the place, and along a row the distances as ISO 129-1 writes them, number by spacing.
    pub(super) fn line(&self, drawing: &ElevationDrawing, letters: &str) -> Option<String> {
        let spaces = self.count - 1;
        let first = drawing.fixtures.get(self.first)?;
        let last = drawing.fixtures.get(self.first + spaces)?;
        let number = self.first + 1;
        let text = &first.text;
        let place = |p: Point| (drawing.along(p.x), p.y.0);
        let ((x0, y0), (x1, y1)) = (place(first.at), place(last.at));
        if spaces == 0 {
            return Some(format!("{letters}{number} x {x0}, y {y0}: {text}"));
        }
        let whole = x0.abs_diff(x1) + y0.abs_diff(y1);
        let spacing = whole / spaces as u32;
        let along = if y0 == y1 {
            format!("x {x0} to {x1}, y {y0}")
        } else {
            format!("x {x0}, y {y0} to {y1}")
        };
        let end = number + spaces;
        Some(format!(
            "{letters}{number} to {letters}{end} {along}, {spaces}\u{a0}×\u{a0}{spacing} (=\u{a0}{whole}): {text}"
        ))
    }

    /// Whether it tells several as one.
    pub(super) fn is_row(&self) -> bool {
        self.count > 1
    }
}

/// The places in the list of the anchors that may hit a mounting element, whose size the survey does not tell.
fn clashing<'a>(
    drawing: &'a ElevationDrawing,
    element: &'a FixtureMark,
) -> impl Iterator<Item = usize> + 'a {
    let near = |anchor: &AnchorDrawing| {
        let (dx, dy) = (anchor.at.x - element.at.x, anchor.at.y - element.at.y);
        libm::hypot(f64::from(dx.0), f64::from(dy.0)) < CLASH
    };
    let anchors = drawing.anchors.iter().enumerate();
    anchors
        .filter(move |(_, anchor)| near(anchor))
        .map(|(i, _)| i)
}
