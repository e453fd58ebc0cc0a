//! The equations on a grid, and their solution by conjugate gradients with one multigrid cycle as the preconditioner.
//!
//! Coefficients jump by factors of ten thousand between metal and insulation and cells are a hundred times longer than wide, so
//! the cycle relaxes whole lines in both directions, interpolates by the equations themselves, and forms the coarse equations
//! from the fine ones. Work and memory stay in proportion to the number of nodes; the number of iterations is bounded.

use alloc::vec::Vec;

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
    fn span(&self, j: usize) -> (usize, usize) {
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

    /// `out = b - A x` on every node.
    fn residual(&self, b: &[f64], x: &[f64], out: &mut [f64]) {
        let s = self.stride();
        for j in 1..=self.ny {
            let (from, to) = self.span(j);
            let mine = j * s..(j + 1) * s;
            let above = (j + 1) * s..(j + 2) * s;
            let below = (j - 1) * s..j * s;
            let out = &mut out[mine.clone()];
            let (b, xc, xn, xs) = (
                &b[mine.clone()],
                &x[mine.clone()],
                &x[above],
                &x[below.clone()],
            );
            let (c, e) = (&self.centre[mine.clone()], &self.east[mine.clone()]);
            let (n, sn) = (&self.north[mine.clone()], &self.north[below.clone()]);
            for i in from..to {
                out[i] = b[i] - c[i] * xc[i]
                    + e[i] * xc[i + 1]
                    + e[i - 1] * xc[i - 1]
                    + n[i] * xn[i]
                    + sn[i] * xs[i];
            }
            if let Some(d) = &self.diagonal {
                let (ne, nw) = (&d.north_east[mine.clone()], &d.north_west[mine]);
                let (se, sw) = (&d.north_west[below.clone()], &d.north_east[below]);
                for i in from..to {
                    out[i] += ne[i] * xn[i + 1]
                        + nw[i] * xn[i - 1]
                        + sw[i - 1] * xs[i - 1]
                        + se[i + 1] * xs[i + 1];
                }
            }
        }
    }

    /// `out = A x` on every node; returns the inner product of `x` and `out`.
    fn apply(&self, x: &[f64], out: &mut [f64]) -> f64 {
        let s = self.stride();
        let mut product = 0.0;
        for j in 1..=self.ny {
            let (from, to) = self.span(j);
            let mine = j * s..(j + 1) * s;
            let above = (j + 1) * s..(j + 2) * s;
            let below = (j - 1) * s..j * s;
            let out = &mut out[mine.clone()];
            let (xc, xn, xs) = (&x[mine.clone()], &x[above], &x[below.clone()]);
            let (c, e) = (&self.centre[mine.clone()], &self.east[mine.clone()]);
            let (n, sn) = (&self.north[mine], &self.north[below]);
            for i in from..to {
                let value = c[i] * xc[i]
                    - e[i] * xc[i + 1]
                    - e[i - 1] * xc[i - 1]
                    - n[i] * xn[i]
                    - sn[i] * xs[i];
                out[i] = value;
                product += xc[i] * value;
            }
        }
        product
    }
}

/// The line solves in one direction, eliminated beforehand.
struct Pivots {
    /// The reciprocal pivots.
    pivot: Vec<f64>,
    /// The pivot times the coupling to the node before.
    forward: Vec<f64>,
    /// The pivot times the coupling to the node after.
    backward: Vec<f64>,
}

impl Pivots {
    /// Along rows (`step` 1, couplings to the right) or columns (`step` a stride, couplings upwards).
    fn new(equations: &Equations, couplings: &[f64], step: usize) -> Self {
        let zero = || alloc::vec![0.0; equations.size()];
        let (mut pivot, mut forward, mut backward) = (zero(), zero(), zero());
        for j in 0..equations.ny {
            for i in 0..equations.nx {
                let at = equations.at(i, j);
                let coupling = couplings[at - step];
                let left = equations.centre[at] - coupling * coupling * pivot[at - step];
                let inverse = if left > 0.0 { 1.0 / left } else { 0.0 };
                pivot[at] = inverse;
                forward[at] = coupling * inverse;
                backward[at] = couplings[at] * inverse;
            }
        }
        Self {
            pivot,
            forward,
            backward,
        }
    }
}

/// How fine values between coarse nodes come from coarse ones, indexed by the coarse node to the lower left.
struct Transfer {
    /// On a coarse row: from the left and from the right node.
    row: [Vec<f64>; 2],
    /// On a coarse column: from the lower and from the upper node.
    column: [Vec<f64>; 2],
    /// Between four: from lower left, lower right, upper left, upper right.
    middle: [Vec<f64>; 4],
}

impl Transfer {
    fn new(fine: &Equations, ncx: usize, ncy: usize) -> Self {
        let size = (ncx + 2) * (ncy + 2);
        let zero = || alloc::vec![0.0; size];
        let mut transfer = Self {
            row: [zero(), zero()],
            column: [zero(), zero()],
            middle: [zero(), zero(), zero(), zero()],
        };
        let stencil = Neighbours::of(fine);
        for cj in 0..ncy {
            for ci in 0..ncx {
                let coarse = (cj + 1) * (ncx + 2) + ci + 1;
                let (i, j) = (2 * ci, 2 * cj);
                if i + 1 < fine.nx {
                    let [w, e, s, n, sw, se, nw, ne] = stencil.couplings(fine.at(i + 1, j));
                    let (left, right) = (w + sw + nw, e + se + ne);
                    let [a, b] = between(fine.centre[fine.at(i + 1, j)], left, right, n + s);
                    transfer.row[0][coarse] = a;
                    transfer.row[1][coarse] = b;
                }
                if j + 1 < fine.ny {
                    let [w, e, s, n, sw, se, nw, ne] = stencil.couplings(fine.at(i, j + 1));
                    let (lower, upper) = (s + sw + se, n + nw + ne);
                    let [a, b] = between(fine.centre[fine.at(i, j + 1)], lower, upper, e + w);
                    transfer.column[0][coarse] = a;
                    transfer.column[1][coarse] = b;
                }
            }
        }
        transfer.fill_middles(fine, ncx, ncy);
        transfer
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
                let (row, column) = (&self.row, &self.column);
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

    /// Adds the coarse correction to the fine values.
    fn prolong(&self, ncx: usize, coarse: &[f64], fine: &Equations, x: &mut [f64]) {
        let cs = ncx + 2;
        for j in 0..fine.ny {
            let c0 = (j / 2 + 1) * cs;
            let row = &mut x[(j + 1) * fine.stride()..(j + 2) * fine.stride()];
            let lower = &coarse[c0..c0 + cs];
            if j % 2 == 0 {
                let (l, r) = (&self.row[0][c0..c0 + cs], &self.row[1][c0..c0 + cs]);
                for (pair, c) in row[1..=fine.nx].chunks_mut(2).zip(1..) {
                    pair[0] += lower[c];
                    if let Some(odd) = pair.get_mut(1) {
                        *odd += l[c] * lower[c] + r[c] * lower[c + 1];
                    }
                }
            } else {
                let upper = &coarse[c0 + cs..c0 + 2 * cs];
                let (d, u) = (&self.column[0][c0..c0 + cs], &self.column[1][c0..c0 + cs]);
                let [m0, m1, m2, m3] = &self.middle;
                let (m0, m1) = (&m0[c0..c0 + cs], &m1[c0..c0 + cs]);
                let (m2, m3) = (&m2[c0..c0 + cs], &m3[c0..c0 + cs]);
                for (pair, c) in row[1..=fine.nx].chunks_mut(2).zip(1..) {
                    pair[0] += d[c] * lower[c] + u[c] * upper[c];
                    if let Some(odd) = pair.get_mut(1) {
                        *odd += m0[c] * lower[c]
                            + m1[c] * lower[c + 1]
                            + m2[c] * upper[c]
                            + m3[c] * upper[c + 1];
                    }
                }
            }
        }
    }

    /// The fine residual gathered on the coarse nodes with the same weights.
    fn restrict(&self, fine: &Equations, residual: &[f64], coarse: &Equations, out: &mut [f64]) {
        let (fs, cs) = (fine.stride(), coarse.stride());
        for cj in 0..coarse.ny {
            let c0 = (cj + 1) * cs;
            let f0 = (2 * cj + 1) * fs;
            let (below, mine) = (&residual[f0 - fs..f0], &residual[f0..f0 + fs]);
            let above = &residual[f0 + fs..f0 + 2 * fs];
            let rows = [&self.row[0][c0..c0 + cs], &self.row[1][c0..c0 + cs]];
            let (up, down) = (&self.column[0][c0..c0 + cs], &self.column[1][c0 - cs..c0]);
            let m = &self.middle;
            let (m0, m1) = (&m[0][c0..c0 + cs], &m[1][c0..c0 + cs]);
            let (m2, m3) = (&m[2][c0 - cs..c0], &m[3][c0 - cs..c0]);
            let out = &mut out[c0..c0 + cs];
            for ci in 0..coarse.nx {
                let (c, f) = (ci + 1, 2 * ci + 1);
                out[c] = mine[f]
                    + rows[0][c] * mine[f + 1]
                    + rows[1][c - 1] * mine[f - 1]
                    + up[c] * above[f]
                    + down[c] * below[f]
                    + m0[c] * above[f + 1]
                    + m1[c - 1] * above[f - 1]
                    + m2[c] * below[f + 1]
                    + m3[c - 1] * below[f - 1];
            }
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

/// The eight couplings around a node.
struct Neighbours<'a> {
    equations: &'a Equations,
    stride: usize,
}

impl<'a> Neighbours<'a> {
    fn of(equations: &'a Equations) -> Self {
        Self {
            equations,
            stride: equations.stride(),
        }
    }
    /// To the left, right, below, above, lower left, lower right, upper left, upper right.
    fn couplings(&self, at: usize) -> [f64; 8] {
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

/// The coarse equations: the fine ones applied to what each coarse node stands for.
fn coarsened(fine: &Equations, transfer: &Transfer, ncx: usize, ncy: usize) -> Equations {
    let mut coarse = Equations::new(ncx, ncy);
    let size = coarse.size();
    let mut diagonal = Diagonal {
        north_east: alloc::vec![0.0; size],
        north_west: alloc::vec![0.0; size],
    };
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
                    (-1..=1).all(|b| (a, b) == (0, 0) || transfer.weight(c, stride, a, b) == 0.0)
                })
            {
                continue;
            }
            for b in -1..=1_i32 {
                for a in -1..=1_i32 {
                    let weight = transfer.weight(c, stride, a, b);
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
                            sum += image[q as usize][p as usize]
                                * transfer.weight(other, stride, a, b);
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

/// One grid of the hierarchy with all that a cycle needs on it.
struct Level {
    equations: Equations,
    rows: Pivots,
    columns: Pivots,
    /// To the next coarser grid; the coarsest has none.
    transfer: Option<Transfer>,
    x: Vec<f64>,
    b: Vec<f64>,
    r: Vec<f64>,
}

impl Level {
    fn new(equations: Equations) -> Self {
        let size = equations.size();
        let rows = Pivots::new(&equations, &equations.east, 1);
        let columns = Pivots::new(&equations, &equations.north, equations.stride());
        Self {
            rows,
            columns,
            transfer: None,
            x: alloc::vec![0.0; size],
            b: alloc::vec![0.0; size],
            r: alloc::vec![0.0; size],
            equations,
        }
    }

    /// Solves every second row exactly, the others held.
    fn relax_rows(&mut self, parity: usize) {
        let s = self.equations.stride();
        let rows = (self.equations.ny + 1 - parity) / 2;
        let first = 1 + parity;
        let mut done = 0;
        while done < rows {
            let group = (rows - done).min(ABREAST);
            for k in 0..group {
                self.gather_row(first + 2 * (done + k));
            }
            let start = (first + 2 * done) * s;
            let spans = (0..group).map(|k| self.equations.span(first + 2 * (done + k)));
            let (from, to) = spans.fold((s - 1, 1), |(from, to), (a, b)| (from.min(a), to.max(b)));
            let mut pairs = self.x[start..].chunks_mut(2 * s);
            let line = |k: usize| {
                let row = start + 2 * k * s..start + (2 * k + 1) * s;
                Line {
                    pivot: &self.rows.pivot[row.clone()],
                    forward: &self.rows.forward[row.clone()],
                    backward: &self.rows.backward[row],
                }
            };
            if group == ABREAST
                && let (Some(a), Some(b), Some(c), Some(d)) =
                    (pairs.next(), pairs.next(), pairs.next(), pairs.next())
            {
                let x = [&mut a[..s], &mut b[..s], &mut c[..s], &mut d[..s]];
                solve_abreast(x, &[line(0), line(1), line(2), line(3)], (from, to));
            } else {
                for (k, pair) in pairs.take(group).enumerate() {
                    line(k).solve(&mut pair[..s], (from, to));
                }
            }
            done += group;
        }
    }

    /// Writes the right-hand side of a row's own equations, with its neighbours as they are, in the place of its values.
    fn gather_row(&mut self, j: usize) {
        let q = &self.equations;
        let s = q.stride();
        let (from, to) = q.span(j);
        let (head, tail) = self.x.split_at_mut(j * s);
        let (mine_x, above_x) = tail.split_at_mut(s);
        let xs = &head[(j - 1) * s..];
        let xn = &above_x[..s];
        let mine = j * s..(j + 1) * s;
        let below = (j - 1) * s..j * s;
        let (b, n, sn) = (
            &self.b[mine.clone()],
            &q.north[mine.clone()],
            &q.north[below.clone()],
        );
        let x = &mut mine_x[..s];
        if let Some(d) = &q.diagonal {
            let (ne, nw) = (&d.north_east[mine.clone()], &d.north_west[mine]);
            let (sw, se) = (&d.north_east[below.clone()], &d.north_west[below]);
            for i in from..to {
                x[i] = b[i]
                    + n[i] * xn[i]
                    + sn[i] * xs[i]
                    + ne[i] * xn[i + 1]
                    + nw[i] * xn[i - 1]
                    + sw[i - 1] * xs[i - 1]
                    + se[i + 1] * xs[i + 1];
            }
        } else {
            for i in from..to {
                x[i] = b[i] + n[i] * xn[i] + sn[i] * xs[i];
            }
        }
    }

    /// Solves every second column exactly, the others held.
    fn relax_columns(&mut self, parity: usize) {
        let q = &self.equations;
        let s = q.stride();
        for j in 1..=q.ny {
            let (from, to) = column_span(q, j, parity);
            let (head, tail) = self.x.split_at_mut(j * s);
            let (mine_x, above_x) = tail.split_at_mut(s);
            let xs = &head[(j - 1) * s..];
            let (x, xn) = (&mut mine_x[..s], &above_x[..s]);
            let mine = j * s..(j + 1) * s;
            let below = (j - 1) * s..j * s;
            let (b, e) = (&self.b[mine.clone()], &q.east[mine.clone()]);
            let (pivot, forward) = (
                &self.columns.pivot[mine.clone()],
                &self.columns.forward[mine.clone()],
            );
            if let Some(d) = &q.diagonal {
                let (ne, nw) = (&d.north_east[mine.clone()], &d.north_west[mine]);
                let (sw, se) = (&d.north_east[below.clone()], &d.north_west[below]);
                let mut i = from;
                while i < to {
                    let known = b[i]
                        + e[i] * x[i + 1]
                        + e[i - 1] * x[i - 1]
                        + ne[i] * xn[i + 1]
                        + nw[i] * xn[i - 1]
                        + sw[i - 1] * xs[i - 1]
                        + se[i + 1] * xs[i + 1];
                    x[i] = known * pivot[i] + forward[i] * xs[i];
                    i += 2;
                }
            } else {
                let mut i = from;
                while i < to {
                    let known = b[i] + e[i] * x[i + 1] + e[i - 1] * x[i - 1];
                    x[i] = known * pivot[i] + forward[i] * xs[i];
                    i += 2;
                }
            }
        }
        for j in (1..=q.ny).rev() {
            let (from, to) = column_span(q, j, parity);
            let (head, tail) = self.x.split_at_mut((j + 1) * s);
            let x = &mut head[j * s..];
            let xn = &tail[..s];
            let mine = j * s..(j + 1) * s;
            let backward = &self.columns.backward[mine];
            let mut i = from;
            while i < to {
                x[i] += backward[i] * xn[i];
                i += 2;
            }
        }
    }
}

/// Where row `j` has equations in every second column.
fn column_span(q: &Equations, j: usize, parity: usize) -> (usize, usize) {
    let (from, to) = q.span(j);
    // Framed places are one beyond the columns.
    let from = if (from - 1) % 2 == parity {
        from
    } else {
        from + 1
    };
    (from, to)
}

/// How many rows are solved side by side: each solve is one long chain of dependent operations, four of them fill the processor.
const ABREAST: usize = 4;

/// The eliminated equations of one row.
struct Line<'a> {
    pivot: &'a [f64],
    forward: &'a [f64],
    backward: &'a [f64],
}

impl Line<'_> {
    /// Solves a row whose right-hand side stands in `x`.
    fn solve(&self, x: &mut [f64], (from, to): (usize, usize)) {
        let s = x.len();
        let (pivot, forward, backward) =
            (&self.pivot[..s], &self.forward[..s], &self.backward[..s]);
        let mut last = 0.0;
        for i in from..to {
            last = x[i] * pivot[i] + forward[i] * last;
            x[i] = last;
        }
        last = 0.0;
        for i in (from..to).rev() {
            last = x[i] + backward[i] * last;
            x[i] = last;
        }
    }
}

/// Solves four rows of one length side by side, each as [`Line::solve`] does.
fn solve_abreast(x: [&mut [f64]; ABREAST], lines: &[Line; ABREAST], (from, to): (usize, usize)) {
    let [a, b, c, d] = x;
    let s = a.len();
    let to = to.min(s);
    let (a, b, c, d) = (&mut a[..s], &mut b[..s], &mut c[..s], &mut d[..s]);
    let [pa, pb, pc, pd] = lines.each_ref().map(|line| &line.pivot[..s]);
    let [fa, fb, fc, fd] = lines.each_ref().map(|line| &line.forward[..s]);
    let mut last = [0.0; ABREAST];
    for i in from..to {
        last = [
            a[i] * pa[i] + fa[i] * last[0],
            b[i] * pb[i] + fb[i] * last[1],
            c[i] * pc[i] + fc[i] * last[2],
            d[i] * pd[i] + fd[i] * last[3],
        ];
        a[i] = last[0];
        b[i] = last[1];
        c[i] = last[2];
        d[i] = last[3];
    }
    let [ba, bb, bc, bd] = lines.each_ref().map(|line| &line.backward[..s]);
    last = [0.0; ABREAST];
    for i in (from..to).rev() {
        last = [
            a[i] + ba[i] * last[0],
            b[i] + bb[i] * last[1],
            c[i] + bc[i] * last[2],
            d[i] + bd[i] * last[3],
        ];
        a[i] = last[0];
        b[i] = last[1];
        c[i] = last[2];
        d[i] = last[3];
    }
}

/// A hierarchy of grids over one set of equations.
pub(crate) struct Hierarchy {
    levels: Vec<Level>,
}

/// How a solve went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Solved {
    /// How many iterations it took.
    pub iterations: usize,
    /// The sum of the sizes of the residuals at the end.
    pub residual: f64,
}

/// The most iterations of one solve.
pub(crate) const MOST_ITERATIONS: usize = 80;

impl Hierarchy {
    /// Builds the coarse grids.
    pub fn new(equations: Equations) -> Self {
        let mut levels = alloc::vec![Level::new(equations)];
        while let Some(fine) = levels.last_mut() {
            let (nx, ny) = (fine.equations.nx, fine.equations.ny);
            // A single row or column is solved exactly by its line.
            if nx.min(ny) <= 1 {
                break;
            }
            let (ncx, ncy) = (nx.div_ceil(2), ny.div_ceil(2));
            let transfer = Transfer::new(&fine.equations, ncx, ncy);
            let coarse = coarsened(&fine.equations, &transfer, ncx, ncy);
            fine.transfer = Some(transfer);
            levels.push(Level::new(coarse));
        }
        Self { levels }
    }

    /// The finest equations.
    pub fn equations(&self) -> Option<&Equations> {
        self.levels.first().map(|level| &level.equations)
    }

    /// One V-cycle from zero on the right-hand side held by the finest level.
    fn cycle(&mut self) {
        for depth in 0..self.levels.len() {
            let (finer, coarser) = self.levels.split_at_mut(depth + 1);
            let Some(level) = finer.last_mut() else {
                return;
            };
            level.x.fill(0.0);
            let Some(transfer) = &level.transfer else {
                if level.equations.ny <= 1 {
                    level.relax_rows(0);
                } else {
                    level.relax_columns(0);
                }
                break;
            };
            let _ = transfer;
            level.relax_rows(0);
            level.relax_rows(1);
            level.relax_columns(0);
            level.relax_columns(1);
            level.equations.residual(&level.b, &level.x, &mut level.r);
            if let (Some(transfer), Some(next)) = (&level.transfer, coarser.first_mut()) {
                transfer.restrict(&level.equations, &level.r, &next.equations, &mut next.b);
            }
        }
        for depth in (0..self.levels.len().saturating_sub(1)).rev() {
            let (finer, coarser) = self.levels.split_at_mut(depth + 1);
            if let (Some(level), Some(next)) = (finer.last_mut(), coarser.first()) {
                if let Some(transfer) = &level.transfer {
                    transfer.prolong(next.equations.nx, &next.x, &level.equations, &mut level.x);
                }
                level.relax_columns(1);
                level.relax_columns(0);
                level.relax_rows(1);
                level.relax_rows(0);
            }
        }
    }

    /// Solves `A x = b` from the start in `x`, until the sum of the sizes of the residuals is at most `tolerance(x)`.
    pub fn solve(&mut self, b: &[f64], x: &mut [f64], tolerance: impl Fn(&[f64]) -> f64) -> Solved {
        let Some(size) = self.levels.first().map(|level| level.equations.size()) else {
            return Solved {
                iterations: 0,
                residual: 0.0,
            };
        };
        let mut r = alloc::vec![0.0; size];
        let mut p = alloc::vec![0.0; size];
        let mut ap = alloc::vec![0.0; size];
        let mut rz_before = 0.0;
        let mut iterations = 0;
        if let Some(q) = self.equations() {
            q.residual(b, x, &mut r);
        }
        let size_of = |r: &[f64]| r.iter().map(|v| libm::fabs(*v)).sum::<f64>();
        let mut residual = size_of(&r);
        let mut limit = tolerance(x);
        while residual > limit && iterations < MOST_ITERATIONS {
            if let Some(level) = self.levels.first_mut() {
                level.b.copy_from_slice(&r);
            }
            self.cycle();
            let Some(level) = self.levels.first() else {
                break;
            };
            let rz: f64 = r.iter().zip(&level.x).map(|(r, z)| r * z).sum();
            let beta = if iterations == 0 { 0.0 } else { rz / rz_before };
            for (p, z) in p.iter_mut().zip(&level.x) {
                *p = z + beta * *p;
            }
            let pap = level.equations.apply(&p, &mut ap);
            // Only rounding is left where the direction has no energy.
            if pap.is_nan() || pap <= 0.0 {
                break;
            }
            let alpha = rz / pap;
            residual = 0.0;
            for (((x, r), p), ap) in x.iter_mut().zip(&mut r).zip(&p).zip(&ap) {
                *x += alpha * p;
                *r -= alpha * ap;
                residual += libm::fabs(*r);
            }
            rz_before = rz;
            iterations += 1;
            limit = tolerance(x);
        }
        Solved {
            iterations,
            residual,
        }
    }
}
