//! The calculation grid: every line of the section is a grid line, cells are small beside the lines and grow away from them.

use alloc::vec::Vec;

/// How the first grid is laid out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grading {
    /// Into how many cells the thinnest part beside a line is divided at that line; at least 1.
    pub divisions: f64,
    /// How much larger each cell is than its neighbour nearer to a line; above 1.
    pub growth: f64,
    /// The smallest cell beside a line, in metres.
    pub smallest_m: f64,
}

impl Default for Grading {
    fn default() -> Self {
        Self {
            divisions: 3.0,
            growth: 1.6,
            smallest_m: 5e-4,
        }
    }
}

/// The most cells into which one span between two lines is divided at first.
const MOST_CELLS_IN_A_SPAN: usize = 120;

/// Grid lines through every one of `lines`, and the span between lines that each cell lies in.
pub(crate) fn graded(lines: &[f64], grading: &Grading) -> Axis {
    let spans: Vec<f64> = lines.windows(2).map(|w| w[1] - w[0]).collect();
    let first = |line: usize| {
        let beside = [line.checked_sub(1), Some(line)];
        let thinnest = beside
            .into_iter()
            .filter_map(|at| spans.get(at?).copied())
            .fold(f64::INFINITY, libm::fmin);
        libm::fmax(
            thinnest / libm::fmax(grading.divisions, 1.0),
            grading.smallest_m,
        )
    };
    let mut places = Vec::new();
    let mut span_of = Vec::new();
    for (span, pair) in lines.windows(2).enumerate() {
        let (start, end) = (pair[0], pair[1]);
        places.push(start);
        let cells = span_cells(end - start, first(span), first(span + 1), grading.growth);
        let mut place = start;
        for (k, cell) in cells.iter().enumerate() {
            span_of.push(span);
            if k + 1 < cells.len() {
                place += cell;
                places.push(place);
            }
        }
    }
    places.extend(lines.last());
    Axis { places, span_of }
}

/// The cells of one span, growing from both ends and scaled to fill it exactly.
fn span_cells(length: f64, at_start: f64, at_end: f64, growth: f64) -> Vec<f64> {
    let growth = libm::fmax(growth, 1.0);
    let (mut from_start, mut from_end) = (Vec::new(), Vec::new());
    let (mut next_start, mut next_end) = (at_start, at_end);
    let mut filled = 0.0;
    while filled < length * (1.0 - 1e-9) && from_start.len() + from_end.len() < MOST_CELLS_IN_A_SPAN
    {
        if next_start <= next_end {
            from_start.push(next_start);
            filled += next_start;
            next_start *= growth;
        } else {
            from_end.push(next_end);
            filled += next_end;
            next_end *= growth;
        }
    }
    let scale = length / filled;
    from_start.extend(from_end.into_iter().rev());
    from_start.iter().map(|cell| cell * scale).collect()
}

/// The grid lines of one direction.
#[derive(Clone, Debug)]
pub(crate) struct Axis {
    /// The grid lines, rising, in metres.
    pub places: Vec<f64>,
    /// For each cell between two grid lines, the span of the section that it lies in.
    pub span_of: Vec<usize>,
}

impl Axis {
    /// Every cell halved.
    pub fn halved(&self) -> Self {
        let mut places = Vec::with_capacity(self.places.len() * 2);
        for pair in self.places.windows(2) {
            places.push(pair[0]);
            places.push(0.5 * (pair[0] + pair[1]));
        }
        places.extend(self.places.last());
        let span_of = self.span_of.iter().flat_map(|&span| [span, span]).collect();
        Self { places, span_of }
    }
    /// The sizes of the cells.
    pub fn sizes(&self) -> Vec<f64> {
        self.places.windows(2).map(|w| w[1] - w[0]).collect()
    }
    /// The number of grid lines.
    pub fn len(&self) -> usize {
        self.places.len()
    }
}
