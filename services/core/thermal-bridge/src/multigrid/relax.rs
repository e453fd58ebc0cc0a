//! The smoother: every second line of a grid solved exactly, the others held.

use alloc::vec::Vec;

use super::Few;
use super::equations::{Equations, sum};

/// The line solves in one direction, eliminated beforehand.
///
/// Rows are eliminated from left to right; the first column and every second one from it from below, the columns between from above.
pub(super) struct Pivots {
    /// The reciprocal pivots.
    pivot: Vec<f64>,
    /// The pivot times the coupling to the node eliminated before.
    forward: Vec<f64>,
    /// The pivot times the coupling to the node eliminated after.
    backward: Vec<f64>,
}

impl Pivots {
    pub fn rows(q: &Equations) -> Self {
        let mut pivots = Self::zeros(q);
        for j in 0..q.ny {
            for i in 0..q.nx {
                let at = q.at(i, j);
                pivots.eliminate(q, at, (at - 1, q.east[at - 1]), q.east[at]);
            }
        }
        pivots
    }
    pub fn columns(q: &Equations) -> Self {
        let mut pivots = Self::zeros(q);
        let s = q.stride();
        for j in 0..q.ny {
            for i in (0..q.nx).step_by(2) {
                let at = q.at(i, j);
                pivots.eliminate(q, at, (at - s, q.north[at - s]), q.north[at]);
            }
        }
        for j in (0..q.ny).rev() {
            for i in (1..q.nx).step_by(2) {
                let at = q.at(i, j);
                pivots.eliminate(q, at, (at + s, q.north[at]), q.north[at - s]);
            }
        }
        pivots
    }
    fn zeros(q: &Equations) -> Self {
        let zero = || alloc::vec![0.0; q.size()];
        Self {
            pivot: zero(),
            forward: zero(),
            backward: zero(),
        }
    }
    /// Eliminates one node, with the node eliminated before it and the couplings to that one and to the next.
    fn eliminate(&mut self, q: &Equations, at: usize, (before, coupling): (usize, f64), next: f64) {
        let left = q.centre[at] - coupling * coupling * self.pivot[before];
        let inverse = if left > 0.0 { 1.0 / left } else { 0.0 };
        self.pivot[at] = inverse;
        self.forward[at] = coupling * inverse;
        self.backward[at] = next * inverse;
    }
}

/// What stands around the lines to be solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Around {
    /// Nothing but zeros, in every node.
    Zeros,
    /// Values that are held.
    Values,
}

/// In which order the two halves of the lines are solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// The first line and every second one from it, then the others.
    Forth,
    /// The others first.
    Back,
}

/// Solves every second row, the others held, and then the others.
pub(super) fn relax_rows<const L: usize>(
    q: &Equations,
    pivots: &Pivots,
    b: &[Few<L>],
    x: &mut [Few<L>],
    (order, around): (Order, Around),
) {
    let rows = Rows { q, pivots, b };
    // Each solve is one long chain of dependent operations; several fill the processor.
    if L == 1 {
        rows.relax::<4>(x, order, around);
    } else {
        rows.relax::<2>(x, order, around);
    }
}

/// The equations of the rows and their right-hand sides.
struct Rows<'a, const L: usize> {
    q: &'a Equations,
    pivots: &'a Pivots,
    b: &'a [Few<L>],
}

impl<const L: usize> Rows<'_, L> {
    /// Solves `R` rows side by side. The second half follows the first as soon as both neighbours of its rows are there, while they are
    /// at hand.
    fn relax<const R: usize>(&self, x: &mut [Few<L>], order: Order, around: Around) {
        let (leads, follows) = match order {
            Order::Forth => (1, 2),
            Order::Back => (2, 1),
        };
        let (mut lead, mut follow) = (leads, follows);
        while lead <= self.q.ny {
            lead = self.solve_group::<R>(x, lead, around);
            // Rows next to the one that comes next have to wait for it.
            while follow + 2 * R < lead {
                follow = self.solve_group::<R>(x, follow, Around::Values);
            }
        }
        while follow <= self.q.ny {
            follow = self.solve_group::<R>(x, follow, Around::Values);
        }
    }

    /// Solves this row and every second one after it, `R` of them or the one where there are fewer; gives the row that comes next.
    fn solve_group<const R: usize>(&self, x: &mut [Few<L>], first: usize, around: Around) -> usize {
        let s = self.q.stride();
        let group = if first + 2 * (R - 1) <= self.q.ny {
            R
        } else {
            1
        };
        let (mut from, mut to) = (s - 1, 1);
        for k in 0..group {
            let j = first + 2 * k;
            gather_row(self.q, self.b, x, (j, around));
            let span = self.q.span(j);
            (from, to) = (from.min(span.0), to.max(span.1));
        }
        let start = first * s;
        let line = |k: usize| {
            let row = start + 2 * k * s..start + (2 * k + 1) * s;
            Line {
                pivot: &self.pivots.pivot[row.clone()],
                forward: &self.pivots.forward[row.clone()],
                backward: &self.pivots.backward[row],
            }
        };
        let mut pairs = x[start..].chunks_mut(2 * s);
        if group == R {
            let lines: [Line; R] = core::array::from_fn(line);
            let mut own: [&mut [Few<L>]; R] =
                core::array::from_fn(|_| pairs.next().map_or(&mut [][..], |pair| &mut pair[..s]));
            solve_abreast(&mut own, &lines, (from, to));
        } else if let Some(pair) = pairs.next() {
            solve_abreast(&mut [&mut pair[..s]], &[line(0)], (from, to));
        }
        first + 2 * group
    }
}

/// Writes the right-hand side of a row's own equations, with its neighbours as they are, in the place of its values.
fn gather_row<const L: usize>(
    q: &Equations,
    b: &[Few<L>],
    x: &mut [Few<L>],
    (j, around): (usize, Around),
) {
    let s = q.stride();
    let (from, to) = q.span(j);
    let [mine, _, below] = q.rows(j);
    let (head, tail) = x.split_at_mut(j * s);
    let (own, above_x) = tail.split_at_mut(s);
    let b = &b[mine.clone()];
    if around == Around::Zeros {
        if from < to {
            own[from..to].copy_from_slice(&b[from..to]);
        }
        return;
    }
    let (xs, xn) = (&head[(j - 1) * s..], &above_x[..s]);
    let (n, sn) = (&q.north[mine.clone()], &q.north[below.clone()]);
    if let Some(d) = &q.diagonal {
        let (ne, nw) = (&d.north_east[mine.clone()], &d.north_west[mine]);
        let (sw, se) = (&d.north_east[below.clone()], &d.north_west[below]);
        for i in from..to {
            own[i] = sum(
                b[i],
                [
                    (n[i], &xn[i]),
                    (sn[i], &xs[i]),
                    (ne[i], &xn[i + 1]),
                    (nw[i], &xn[i - 1]),
                    (sw[i - 1], &xs[i - 1]),
                    (se[i + 1], &xs[i + 1]),
                ],
            );
        }
    } else {
        for i in from..to {
            own[i] = sum(b[i], [(n[i], &xn[i]), (sn[i], &xs[i])]);
        }
    }
}

/// The eliminated equations of one row.
struct Line<'a> {
    pivot: &'a [f64],
    forward: &'a [f64],
    backward: &'a [f64],
}

/// Solves rows of one length side by side, whose right-hand sides stand in `x`.
fn solve_abreast<const L: usize, const R: usize>(
    x: &mut [&mut [Few<L>]; R],
    lines: &[Line; R],
    (from, to): (usize, usize),
) {
    let s = x.iter().map(|row| row.len()).min().unwrap_or(0);
    let to = to.min(s);
    let x = x.each_mut().map(|row| &mut row[..s]);
    let pivot = lines.each_ref().map(|line| &line.pivot[..s]);
    let forward = lines.each_ref().map(|line| &line.forward[..s]);
    let backward = lines.each_ref().map(|line| &line.backward[..s]);
    let mut last = [[0.0; L]; R];
    for i in from..to {
        for r in 0..R {
            for l in 0..L {
                last[r][l] = x[r][i][l] * pivot[r][i] + forward[r][i] * last[r][l];
            }
            x[r][i] = last[r];
        }
    }
    last = [[0.0; L]; R];
    for i in (from..to).rev() {
        for r in 0..R {
            for l in 0..L {
                last[r][l] = x[r][i][l] + backward[r][i] * last[r][l];
            }
            x[r][i] = last[r];
        }
    }
}

/// Solves every second column, the others held, and then the others, in three passes: the second half is eliminated the way that the
/// first one is put together again, and follows it one row behind.
pub(super) fn relax_columns<const L: usize>(
    q: &Equations,
    pivots: &Pivots,
    b: &[Few<L>],
    x: &mut [Few<L>],
    order: Order,
) {
    let columns = Columns { q, pivots, b };
    // The first half is eliminated upwards in the forth order and downwards in the back order.
    let (first, second, way, back) = match order {
        Order::Forth => (0, 1, Way::Up, Way::Down),
        Order::Back => (1, 0, Way::Down, Way::Up),
    };
    let row = |step: usize, way: Way| match way {
        Way::Up => 1 + step,
        Way::Down => q.ny - step,
    };
    for step in 0..q.ny {
        columns.eliminate(x, row(step, way), first, way);
    }
    for step in 0..q.ny {
        columns.substitute(x, row(step, back), first, way);
        if let Some(behind) = step.checked_sub(1) {
            columns.eliminate(x, row(behind, back), second, back);
        }
    }
    if let Some(behind) = q.ny.checked_sub(1) {
        columns.eliminate(x, row(behind, back), second, back);
    }
    for step in 0..q.ny {
        columns.substitute(x, row(step, way), second, back);
    }
}

/// Which way a column is eliminated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Up,
    Down,
}

/// The equations of the columns and their right-hand sides.
struct Columns<'a, const L: usize> {
    q: &'a Equations,
    pivots: &'a Pivots,
    b: &'a [Few<L>],
}

impl<const L: usize> Columns<'_, L> {
    /// Eliminates one row of every second column, upwards or downwards.
    fn eliminate(&self, x: &mut [Few<L>], j: usize, parity: usize, way: Way) {
        let q = self.q;
        let s = q.stride();
        let (from, to) = column_span(q, j, parity);
        let (head, tail) = x.split_at_mut(j * s);
        let (own, above) = tail.split_at_mut(s);
        let (xs, xn) = (&head[(j - 1) * s..], &above[..s]);
        let before = match way {
            Way::Up => xs,
            Way::Down => xn,
        };
        let [mine, _, below] = q.rows(j);
        let (b, e) = (&self.b[mine.clone()], &q.east[mine.clone()]);
        let pivot = &self.pivots.pivot[mine.clone()];
        let forward = &self.pivots.forward[mine.clone()];
        let to = to.min(s - 1);
        if let Some(d) = &q.diagonal {
            let (ne, nw) = (&d.north_east[mine.clone()], &d.north_west[mine]);
            let (sw, se) = (&d.north_east[below.clone()], &d.north_west[below]);
            let mut i = from;
            while i < to {
                let known = sum(
                    b[i],
                    [
                        (e[i], &own[i + 1]),
                        (e[i - 1], &own[i - 1]),
                        (ne[i], &xn[i + 1]),
                        (nw[i], &xn[i - 1]),
                        (sw[i - 1], &xs[i - 1]),
                        (se[i + 1], &xs[i + 1]),
                    ],
                );
                own[i] = sum([0.0; L], [(pivot[i], &known), (forward[i], &before[i])]);
                i += 2;
            }
        } else {
            let mut i = from;
            while i < to {
                let known = sum(b[i], [(e[i], &own[i + 1]), (e[i - 1], &own[i - 1])]);
                own[i] = sum([0.0; L], [(pivot[i], &known), (forward[i], &before[i])]);
                i += 2;
            }
        }
    }

    /// Puts one row of every second column together, that was eliminated upwards or downwards.
    fn substitute(&self, x: &mut [Few<L>], j: usize, parity: usize, way: Way) {
        let s = self.q.stride();
        let (from, to) = column_span(self.q, j, parity);
        let (head, tail) = x.split_at_mut(j * s);
        let (own, above) = tail.split_at_mut(s);
        let after = match way {
            Way::Up => &above[..s],
            Way::Down => &head[(j - 1) * s..],
        };
        let backward = &self.pivots.backward[j * s..(j + 1) * s];
        let to = to.min(s);
        let mut i = from;
        while i < to {
            own[i] = sum(own[i], [(backward[i], &after[i])]);
            i += 2;
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
