//! The equations themselves, and what they make of a field.

use alloc::vec::Vec;

use super::Few;

/// Symmetric equations on a tensor grid, each node coupled to at most eight neighbours.
///
/// `centre * x - sum(coupling * neighbour) = b`. All arrays are framed by one row and column of zeros.
#[derive(Clone, Debug)]
pub(crate) struct Equations {
    /// Nodes across.
    pub nx: usize,
    /// Nodes up.
    pub ny: usize,
    /// The coefficient of each node itself.
    pub centre: Vec<f64>,
    /// The coupling to the right neighbour.
    pub east: Vec<f64>,
    /// The coupling to the upper neighbour.
    pub north: Vec<f64>,
    /// The couplings to the upper right and upper left neighbour, where the equations have them.
    pub diagonal: Option<Diagonal>,
    /// For each framed row the first place that has an equation and the place after the last one.
    active: Vec<(usize, usize)>,
}

/// Couplings across a corner.
#[derive(Clone, Debug)]
pub(crate) struct Diagonal {
    /// To the upper right neighbour.
    pub north_east: Vec<f64>,
    /// To the upper left neighbour.
    pub north_west: Vec<f64>,
}

impl Equations {
    /// With all coefficients zero and no diagonal couplings.
    pub fn new(nx: usize, ny: usize) -> Self {
        let size = (nx + 2) * (ny + 2);
        Self {
            nx,
            ny,
            centre: alloc::vec![0.0; size],
            east: alloc::vec![0.0; size],
            north: alloc::vec![0.0; size],
            diagonal: None,
            active: alloc::vec![(1, nx + 1); ny + 2],
        }
    }
    /// Finds where each row has equations, so that no work is spent on what lies outside the material.
    pub fn bound(&mut self) {
        let stride = self.stride();
        self.active = self
            .centre
            .chunks(stride)
            .map(|row| {
                let first = row.iter().position(|c| *c != 0.0);
                let last = row.iter().rposition(|c| *c != 0.0);
                first
                    .zip(last)
                    .map_or((1, 1), |(first, last)| (first, last + 1))
            })
            .collect();
    }
    /// Where row `j` has equations, within its frame.
    pub fn span(&self, j: usize) -> (usize, usize) {
        let (first, after) = self.active.get(j).copied().unwrap_or((1, 1));
        (first.max(1), after.min(self.nx + 1))
    }
    /// The length of a framed row.
    pub fn stride(&self) -> usize {
        self.nx + 2
    }
    /// The length of a framed array.
    pub fn size(&self) -> usize {
        (self.nx + 2) * (self.ny + 2)
    }
    /// Where node (`i`, `j`) stands in a framed array.
    pub fn at(&self, i: usize, j: usize) -> usize {
        (j + 1) * self.stride() + i + 1
    }

    /// The rows that meet in row `j` of framed arrays: itself, the one above, the one below.
    pub fn rows(&self, j: usize) -> [core::ops::Range<usize>; 3] {
        let s = self.stride();
        [
            j * s..(j + 1) * s,
            (j + 1) * s..(j + 2) * s,
            (j - 1) * s..j * s,
        ]
    }

    /// `out = b - A x` on every `step`th column from the first.
    pub fn residual<const L: usize>(
        &self,
        b: &[Few<L>],
        x: &[Few<L>],
        out: &mut [Few<L>],
        step: usize,
    ) {
        for j in 1..=self.ny {
            let (from, to) = self.span(j);
            let from = 1 + (from - 1).next_multiple_of(step);
            let [mine, above, below] = self.rows(j);
            let out = &mut out[mine.clone()];
            let (b, xc, xn, xs) = (
                &b[mine.clone()],
                &x[mine.clone()],
                &x[above],
                &x[below.clone()],
            );
            let (c, e) = (&self.centre[mine.clone()], &self.east[mine.clone()]);
            let (n, sn) = (&self.north[mine.clone()], &self.north[below.clone()]);
            for i in (from..to).step_by(step) {
                out[i] = sum(
                    b[i],
                    [
                        (-c[i], &xc[i]),
                        (e[i], &xc[i + 1]),
                        (e[i - 1], &xc[i - 1]),
                        (n[i], &xn[i]),
                        (sn[i], &xs[i]),
                    ],
                );
            }
            if let Some(d) = &self.diagonal {
                let (ne, nw) = (&d.north_east[mine.clone()], &d.north_west[mine]);
                let (se, sw) = (&d.north_west[below.clone()], &d.north_east[below]);
                for i in (from..to).step_by(step) {
                    out[i] = sum(
                        out[i],
                        [
                            (ne[i], &xn[i + 1]),
                            (nw[i], &xn[i - 1]),
                            (sw[i - 1], &xs[i - 1]),
                            (se[i + 1], &xs[i + 1]),
                        ],
                    );
                }
            }
        }
    }

    /// `out = A x` on every node, for equations without couplings across a corner; gives the inner products of `x` and `out`.
    pub fn apply<const L: usize>(&self, x: &[Few<L>], out: &mut [Few<L>]) -> Few<L> {
        let mut product = [0.0; L];
        for j in 1..=self.ny {
            let (from, to) = self.span(j);
            let [mine, above, below] = self.rows(j);
            let out = &mut out[mine.clone()];
            let (xc, xn, xs) = (&x[mine.clone()], &x[above], &x[below.clone()]);
            let (c, e) = (&self.centre[mine.clone()], &self.east[mine.clone()]);
            let (n, sn) = (&self.north[mine], &self.north[below]);
            for i in from..to {
                let value = sum(
                    [0.0; L],
                    [
                        (c[i], &xc[i]),
                        (-e[i], &xc[i + 1]),
                        (-e[i - 1], &xc[i - 1]),
                        (-n[i], &xn[i]),
                        (-sn[i], &xs[i]),
                    ],
                );
                out[i] = value;
                for l in 0..L {
                    product[l] += xc[i][l] * value[l];
                }
            }
        }
        product
    }
}

/// A value and several others by their weights, field by field.
#[inline]
pub(super) fn sum<const L: usize, const N: usize>(
    start: Few<L>,
    terms: [(f64, &Few<L>); N],
) -> Few<L> {
    let mut total = start;
    for (weight, value) in terms {
        for l in 0..L {
            total[l] += weight * value[l];
        }
    }
    total
}

/// The eight couplings around a node.
pub(super) struct Neighbours<'a> {
    equations: &'a Equations,
    stride: usize,
}

impl<'a> Neighbours<'a> {
    pub fn of(equations: &'a Equations) -> Self {
        Self {
            equations,
            stride: equations.stride(),
        }
    }
    /// To the left, right, below, above, lower left, lower right, upper left, upper right.
    pub fn couplings(&self, at: usize) -> [f64; 8] {
        let (q, s) = (self.equations, self.stride);
        let (mut sw, mut se, mut nw, mut ne) = (0.0, 0.0, 0.0, 0.0);
        if let Some(d) = &q.diagonal {
            ne = d.north_east[at];
            nw = d.north_west[at];
            sw = d.north_east[at - s - 1];
            se = d.north_west[at - s + 1];
        }
        [
            q.east[at - 1],
            q.east[at],
            q.north[at - s],
            q.north[at],
            sw,
            se,
            nw,
            ne,
        ]
    }
}
