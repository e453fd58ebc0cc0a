//! Mounting elements in a row at one distance, which are told as one: a list of fifty points of a railing helps nobody.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use crate::elevation::layout::Window;
use crate::elevation::{AnchorDrawing, ElementLoad, ElevationDrawing, FixtureMark, Point};
use crate::sheet::Symbol;

/// How many in a row are told as one; three points are as quickly read each.
const LEAST: usize = 4;

/// Anchors nearer than this to the middle of a mounting element are told: half a plate of 60 mm and half an element of 140 mm (common practice,
/// no source).
pub(super) const CLASH: f64 = 100.0;

/// Neighbours in the drawing's list on one sheet: a row at one distance, or a single one.
pub(super) struct Series<'a> {
    /// The place of the first in the list.
    first: usize,
    marks: Vec<&'a FixtureMark>,
}

pub(super) const fn element_symbol(load: ElementLoad) -> (Symbol, &'static str) {
    match load {
        ElementLoad::Light => (Symbol::Square, "mounting element, light load"),
        ElementLoad::Heavy => (Symbol::WideSquare, "mounting element, heavy load"),
    }
}

/// The elements on a sheet in the order of the list.
pub(super) fn of_sheet<'a>(drawing: &'a ElevationDrawing, window: &Window) -> Vec<Series<'a>> {
    let all = drawing.fixtures.iter().enumerate();
    let here: Vec<(usize, &FixtureMark)> = all.filter(|(_, f)| window.holds(f.at)).collect();
    let mut rest = here.as_slice();
    let mut found = Vec::new();
    while let Some(&(first, _)) = rest.first() {
        let (row, after) = rest.split_at(row_length(rest));
        let marks = row.iter().map(|(_, mark)| *mark).collect();
        found.push(Series { first, marks });
        rest = after;
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

impl Series<'_> {
    /// The line of the list: the references, the place, and along a row the distances as ISO 129-1 writes them, number by spacing.
    pub(super) fn line(&self, drawing: &ElevationDrawing, letters: &str) -> Option<String> {
        let (first, last) = (*self.marks.first()?, *self.marks.last()?);
        let number = self.first + 1;
        let text = &first.text;
        let place = |p: Point| (drawing.along(p.x), p.y.0);
        let ((x0, y0), (x1, y1)) = (place(first.at), place(last.at));
        let spaces = self.marks.len() - 1;
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

    /// The places in the drawing's list whose references stand on the picture: the ends, and what `named` asks for.
    pub(super) fn referred<'a>(
        &'a self,
        named: impl Fn(&FixtureMark) -> bool + 'a,
    ) -> impl Iterator<Item = usize> + 'a {
        let last = self.marks.len() - 1;
        let marks = self.marks.iter().enumerate();
        marks
            .filter(move |(i, mark)| *i == 0 || *i == last || named(mark))
            .map(|(i, _)| self.first + i)
    }

    /// Whether it tells several as one.
    pub(super) fn is_row(&self) -> bool {
        self.marks.len() > 1
    }
}

/// Anchors that may hit a mounting element, whose size the survey does not tell.
pub(super) fn clashing<'a>(
    drawing: &'a ElevationDrawing,
    element: &'a FixtureMark,
) -> impl Iterator<Item = &'a AnchorDrawing> {
    drawing.anchors.iter().filter(|anchor| {
        let (dx, dy) = (anchor.at.x - element.at.x, anchor.at.y - element.at.y);
        libm::hypot(f64::from(dx.0), f64::from(dy.0)) < CLASH
    })
}
