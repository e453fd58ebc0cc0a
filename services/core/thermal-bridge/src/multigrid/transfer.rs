//! Between a grid and the next coarser one: interpolation by the equations, and the coarse equations that follow from it.

use alloc::vec::Vec;

use super::Few;
use super::equations::{Diagonal, Equations, Neighbours, sum};

/// How fine values on coarse columns come from coarse ones, indexed by the coarse node below: from the lower and from the upper node.
///
/// The columns between need no values: the relaxation before has left no residual on them, and the one after solves them from the columns
/// beside them, whatever stands there.
pub(super) struct Transfer {
    column: [Vec<f64>; 2],
}

/// The same for every fine node, as the coarse equations need it, indexed by the coarse node to the lower left.
struct Weights<'a> {
    /// On a coarse row: from the left and from the right node.
    row: [Vec<f64>; 2],
    /// On a coarse column: from the lower and from the upper node.
    column: &'a [Vec<f64>; 2],
    /// Between four: from lower left, lower right, upper left, upper right.
    middle: [Vec<f64>; 4],
}

impl Transfer {
    pub fn new(fine: &Equations, ncx: usize, ncy: usize) -> Self {
        let size = (ncx + 2) * (ncy + 2);
        let mut column = [alloc::vec![0.0; size], alloc::vec![0.0; size]];
        let stencil = Neighbours::of(fine);
        for cj in 0..ncy.min(fine.ny / 2) {
            for ci in 0..ncx {
                let coarse = (cj + 1) * (ncx + 2) + ci + 1;
                let at = fine.at(2 * ci, 2 * cj + 1);
                let [w, e, s, n, sw, se, nw, ne] = stencil.couplings(at);
                let (lower, upper) = (s + sw + se, n + nw + ne);
                let [a, b] = between(fine.centre[at], lower, upper, e + w);
                column[0][coarse] = a;
                column[1][coarse] = b;
            }
        }
        Self { column }
    }

    /// Adds the coarse correction to the fine values on coarse columns.
    pub fn prolong<const L: usize>(
        &self,
        ncx: usize,
        coarse: &[Few<L>],
        fine: &Equations,
        x: &mut [Few<L>],
    ) {
        let cs = ncx + 2;
        for j in 0..fine.ny {
            let c0 = (j / 2 + 1) * cs;
            let row = &mut x[(j + 1) * fine.stride()..(j + 2) * fine.stride()];
            let lower = &coarse[c0..c0 + cs];
            let values = row[1..=fine.nx].iter_mut().step_by(2).zip(1..);
            if j % 2 == 0 {
                for (value, c) in values {
                    *value = sum(*value, [(1.0, &lower[c])]);
                }
            } else {
                let upper = &coarse[c0 + cs..c0 + 2 * cs];
                let (d, u) = (&self.column[0][c0..c0 + cs], &self.column[1][c0..c0 + cs]);
                for (value, c) in values {
                    *value = sum(*value, [(d[c], &lower[c]), (u[c], &upper[c])]);
                }
            }
        }
    }

    /// The fine residual, which stands on coarse columns alone, gathered on the coarse nodes with the same weights.
    pub fn restrict<const L: usize>(
        &self,
        fine: &Equations,
        residual: &[Few<L>],
        coarse: &Equations,
        out: &mut [Few<L>],
    ) {
        let (fs, cs) = (fine.stride(), coarse.stride());
        for cj in 0..coarse.ny {
            let c0 = (cj + 1) * cs;
            let f0 = (2 * cj + 1) * fs;
            let (below, mine) = (&residual[f0 - fs..f0], &residual[f0..f0 + fs]);
            let above = &residual[f0 + fs..f0 + 2 * fs];
            let (up, down) = (&self.column[0][c0..c0 + cs], &self.column[1][c0 - cs..c0]);
            let out = &mut out[c0..c0 + cs];
            for ci in 0..coarse.nx {
                let (c, f) = (ci + 1, 2 * ci + 1);
                out[c] = sum(mine[f], [(up[c], &above[f]), (down[c], &below[f])]);
            }
        }
    }
}

impl<'a> Weights<'a> {
    fn new(fine: &Equations, transfer: &'a Transfer, ncx: usize, ncy: usize) -> Self {
        let size = (ncx + 2) * (ncy + 2);
        let zero = || alloc::vec![0.0; size];
        let mut weights = Self {
            row: [zero(), zero()],
            column: &transfer.column,
            middle: [zero(), zero(), zero(), zero()],
        };
        let stencil = Neighbours::of(fine);
        for cj in 0..ncy {
            for ci in 0..ncx.min(fine.nx / 2) {
                let coarse = (cj + 1) * (ncx + 2) + ci + 1;
                let at = fine.at(2 * ci + 1, 2 * cj);
                let [w, e, s, n, sw, se, nw, ne] = stencil.couplings(at);
                let (left, right) = (w + sw + nw, e + se + ne);
                let [a, b] = between(fine.centre[at], left, right, n + s);
                weights.row[0][coarse] = a;
                weights.row[1][coarse] = b;
            }
        }
        weights.fill_middles(fine, ncx, ncy);
        weights
    }

    /// The nodes between four coarse ones follow from their own equation and the values on the edges around them.
    fn fill_middles(&mut self, fine: &Equations, ncx: usize, ncy: usize) {
        let stencil = Neighbours::of(fine);
        let stride = ncx + 2;
        for cj in 0..ncy {
            for ci in 0..ncx {
                let (i, j) = (2 * ci + 1, 2 * cj + 1);
                if i >= fine.nx || j >= fine.ny {
                    continue;
                }
                let at = fine.at(i, j);
                let centre = fine.centre[at];
                if centre <= 0.0 {
                    continue;
                }
                let c = (cj + 1) * stride + ci + 1;
                let [w, e, s, n, sw, se, nw, ne] = stencil.couplings(at);
                let (row, column) = (&self.row, self.column);
                self.middle[0][c] = (sw + s * row[0][c] + w * column[0][c]) / centre;
                self.middle[1][c] = (se + s * row[1][c] + e * column[0][c + 1]) / centre;
                self.middle[2][c] = (nw + n * row[0][c + stride] + w * column[1][c]) / centre;
                self.middle[3][c] = (ne + n * row[1][c + stride] + e * column[1][c + 1]) / centre;
            }
        }
    }

    /// The weight with which coarse node `c` counts in the fine node `a` to the right and `b` above it.
    fn weight(&self, c: usize, stride: usize, a: i32, b: i32) -> f64 {
        match (a, b) {
            (0, 0) => 1.0,
            (1, 0) => self.row[0][c],
            (-1, 0) => self.row[1][c - 1],
            (0, 1) => self.column[0][c],
            (0, -1) => self.column[1][c - stride],
            (1, 1) => self.middle[0][c],
            (-1, 1) => self.middle[1][c - 1],
            (1, -1) => self.middle[2][c - stride],
            (-1, -1) => self.middle[3][c - stride - 1],
            _ => 0.0,
        }
    }
}

/// The weights of two coarse nodes in the node between them.
///
/// The neighbours `beside` the line are taken to have the value sought, but for what a film takes away: next to metal that film
/// is shared by the whole thickness of the metal, so it must not weigh on this one line alone.
fn between(centre: f64, first: f64, second: f64, beside: f64) -> [f64; 2] {
    let along = first + second;
    if !(along > 0.0 && centre > 0.0) {
        return [0.0, 0.0];
    }
    let lost = libm::fmax(centre - along - beside, 0.0);
    let felt = if beside > 2.0 * along {
        2.0 * along / beside
    } else {
        1.0
    };
    let kept = along / (along + lost * felt);
    [first / along * kept, second / along * kept]
}

/// The coarse equations: the fine ones applied to what each coarse node stands for.
pub(super) fn coarsened(
    fine: &Equations,
    transfer: &Transfer,
    ncx: usize,
    ncy: usize,
) -> Equations {
    let mut coarse = Equations::new(ncx, ncy);
    let size = coarse.size();
    let mut diagonal = Diagonal {
        north_east: alloc::vec![0.0; size],
        north_west: alloc::vec![0.0; size],
    };
    let weights = Weights::new(fine, transfer, ncx, ncy);
    let stencil = Neighbours::of(fine);
    let stride = coarse.stride();
    for cj in 0..ncy {
        for ci in 0..ncx {
            let c = (cj + 1) * stride + ci + 1;
            // The fine equations applied to this coarse node's share, on the five by five fine nodes around it.
            let mut image = [[0.0_f64; 5]; 5];
            let middle = fine.at(2 * ci, 2 * cj);
            // Outside the material a coarse node stands for nothing.
            if fine.centre[middle] == 0.0
                && (-1..=1).all(|a| {
                    (-1..=1).all(|b| (a, b) == (0, 0) || weights.weight(c, stride, a, b) == 0.0)
                })
            {
                continue;
            }
            for b in -1..=1_i32 {
                for a in -1..=1_i32 {
                    let weight = weights.weight(c, stride, a, b);
                    if weight == 0.0 {
                        continue;
                    }
                    let (p, q) = ((a + 2) as usize, (b + 2) as usize);
                    let at = (fine.at(2 * ci, 2 * cj) as i64
                        + i64::from(a)
                        + i64::from(b) * fine.stride() as i64)
                        as usize;
                    image[q][p] += weight * fine.centre[at];
                    let [w, e, s, n, sw, se, nw, ne] = stencil.couplings(at);
                    image[q][p - 1] -= weight * w;
                    image[q][p + 1] -= weight * e;
                    image[q - 1][p] -= weight * s;
                    image[q + 1][p] -= weight * n;
                    image[q - 1][p - 1] -= weight * sw;
                    image[q - 1][p + 1] -= weight * se;
                    image[q + 1][p - 1] -= weight * nw;
                    image[q + 1][p + 1] -= weight * ne;
                }
            }
            let share = |other: usize, dx: i32, dy: i32| {
                let mut sum = 0.0;
                for b in -1..=1_i32 {
                    for a in -1..=1_i32 {
                        let (p, q) = (a + 2 * dx + 2, b + 2 * dy + 2);
                        if (0..5).contains(&p) && (0..5).contains(&q) {
                            sum +=
                                image[q as usize][p as usize] * weights.weight(other, stride, a, b);
                        }
                    }
                }
                sum
            };
            coarse.centre[c] = share(c, 0, 0);
            if ci + 1 < ncx {
                coarse.east[c] = -share(c + 1, 1, 0);
            }
            if cj + 1 < ncy {
                coarse.north[c] = -share(c + stride, 0, 1);
                if ci + 1 < ncx {
                    diagonal.north_east[c] = -share(c + stride + 1, 1, 1);
                }
                if ci > 0 {
                    diagonal.north_west[c] = -share(c + stride - 1, -1, 1);
                }
            }
        }
    }
    coarse.diagonal = Some(diagonal);
    coarse.bound();
    coarse
}
