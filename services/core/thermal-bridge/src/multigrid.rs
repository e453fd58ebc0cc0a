//! The equations on a grid, and their solution by conjugate gradients with one multigrid cycle as the preconditioner.
//!
//! Coefficients jump by factors of ten thousand between metal and insulation and cells are a hundred times longer than wide, so
//! the cycle relaxes whole lines in both directions and interpolates by the equations themselves. A halved grid has the grid it was
//! halved from below it; below the first grid the coarse equations are formed from the fine ones. Several right-hand sides go through
//! together, so that each coefficient is fetched once for all. Work and memory stay in proportion to the number of nodes; the number of
//! iterations is bounded.

mod equations;
mod relax;
mod transfer;

use alloc::vec::Vec;

pub(crate) use equations::Equations;
use relax::{Around, Order, Pivots, relax_columns, relax_rows};
use transfer::{Transfer, coarsened};

/// The values of several fields in one node.
pub(crate) type Few<const L: usize> = [f64; L];

/// One grid of the hierarchy with all that a cycle needs on it.
struct Level {
    equations: Equations,
    rows: Pivots,
    columns: Pivots,
    /// To the next coarser grid; the coarsest has none.
    transfer: Option<Transfer>,
}

impl Level {
    fn new(equations: Equations) -> Self {
        Self {
            rows: Pivots::rows(&equations),
            columns: Pivots::columns(&equations),
            transfer: None,
            equations,
        }
    }
    fn relax_rows<const L: usize>(&self, fields: &mut Fields<L>, order: Order, around: Around) {
        let how = (order, around);
        relax_rows(&self.equations, &self.rows, &fields.b, &mut fields.x, how);
    }
    fn relax_columns<const L: usize>(&self, fields: &mut Fields<L>, order: Order) {
        let (q, columns) = (&self.equations, &self.columns);
        relax_columns(q, columns, &fields.b, &mut fields.x, order);
    }
}

/// The fields of a cycle on one grid.
struct Fields<const L: usize> {
    x: Vec<Few<L>>,
    b: Vec<Few<L>>,
    r: Vec<Few<L>>,
}

/// A hierarchy of grids over one set of equations.
pub(crate) struct Hierarchy {
    levels: Vec<Level>,
}

/// How a solve went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Solved<const L: usize> {
    /// How many iterations it took, all right-hand sides together in each.
    pub iterations: usize,
    /// The energy by which the last iteration brought each field nearer to its solution; each iteration gains a small part only of what the
    /// one before gained, so the field is off by less.
    pub gained: Few<L>,
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

    /// Lays the equations of a halved grid over the hierarchy of the grid that was halved.
    ///
    /// Its lines are every second one of the finer grid and carry every interface of the materials, so its own equations serve as the
    /// coarse ones, with four couplings a node in place of eight.
    pub fn over(equations: Equations, coarser: Self) -> Self {
        let mut fine = Level::new(equations);
        if let Some(next) = coarser.levels.first() {
            let (ncx, ncy) = (next.equations.nx, next.equations.ny);
            fine.transfer = Some(Transfer::new(&fine.equations, ncx, ncy));
        }
        let mut levels = alloc::vec![fine];
        levels.extend(coarser.levels);
        Self { levels }
    }

    fn fields<const L: usize>(&self) -> Vec<Fields<L>> {
        let zeros = |level: &Level| alloc::vec![[0.0; L]; level.equations.size()];
        self.levels
            .iter()
            .map(|level| Fields {
                x: zeros(level),
                b: zeros(level),
                r: zeros(level),
            })
            .collect()
    }

    /// One V-cycle from zero on the right-hand sides held by the finest fields. Nodes without equations stay zero throughout.
    fn cycle<const L: usize>(&self, fields: &mut [Fields<L>]) {
        for (depth, level) in self.levels.iter().enumerate() {
            let (finer, coarser) = fields.split_at_mut(depth + 1);
            let Some(own) = finer.last_mut() else {
                return;
            };
            let Some(transfer) = &level.transfer else {
                if level.equations.ny <= 1 {
                    level.relax_rows(own, Order::Forth, Around::Zeros);
                } else {
                    own.x.fill([0.0; L]);
                    level.relax_columns(own, Order::Forth);
                }
                break;
            };
            level.relax_rows(own, Order::Forth, Around::Zeros);
            level.relax_columns(own, Order::Forth);
            // The last relaxation leaves no residual on the columns between.
            level.equations.residual(&own.b, &own.x, &mut own.r, 2);
            if let (Some(next), Some(below)) = (self.levels.get(depth + 1), coarser.first_mut()) {
                transfer.restrict(&level.equations, &own.r, &next.equations, &mut below.b);
            }
        }
        for depth in (0..self.levels.len().saturating_sub(1)).rev() {
            let (finer, coarser) = fields.split_at_mut(depth + 1);
            let (Some(own), Some(below)) = (finer.last_mut(), coarser.first()) else {
                return;
            };
            if let [level, next, ..] = &self.levels[depth..] {
                if let Some(transfer) = &level.transfer {
                    let ncx = next.equations.nx;
                    transfer.prolong(ncx, &below.x, &level.equations, &mut own.x);
                }
                level.relax_columns(own, Order::Back);
                level.relax_rows(own, Order::Back, Around::Values);
            }
        }
    }

    /// Solves `A x = b` for every right-hand side from the start in `x`, until an iteration gains no more energy than `tolerance(x)`.
    pub fn solve<const L: usize>(
        &self,
        b: Vec<Few<L>>,
        x: &mut [Few<L>],
        tolerance: impl Fn(&[Few<L>]) -> Few<L>,
    ) -> Solved<L> {
        let mut solved = Solved {
            iterations: 0,
            gained: [f64::INFINITY; L],
        };
        let Some(finest) = self.levels.first() else {
            return solved;
        };
        let q = &finest.equations;
        let mut fields = self.fields::<L>();
        // The finest right-hand side of the cycle is the residual; between two cycles its scratch is free.
        let Some(top) = fields.first_mut() else {
            return solved;
        };
        q.residual(&b, x, &mut top.b, 1);
        // The right-hand sides have done their part; the directions take their place, none to begin with.
        let mut p = b;
        p.fill([0.0; L]);
        let mut rz_before = [f64::INFINITY; L];
        let open = |gained: &Few<L>, limit: Few<L>| gained.iter().zip(limit).any(|(g, l)| *g > l);
        while open(&solved.gained, tolerance(x)) && solved.iterations < MOST_ITERATIONS {
            self.cycle(&mut fields);
            let Some(Fields { x: z, b: r, r: ap }) = fields.first_mut() else {
                break;
            };
            let rz = inner(r, z);
            let mut beta = [0.0; L];
            for l in 0..L {
                beta[l] = share(rz[l], rz_before[l]);
            }
            for (p, z) in p.iter_mut().zip(z.iter()) {
                for l in 0..L {
                    p[l] = z[l] + beta[l] * p[l];
                }
            }
            let pap = q.apply(&p, ap);
            let mut alpha = [0.0; L];
            for l in 0..L {
                alpha[l] = share(rz[l], pap[l]);
                solved.gained[l] = alpha[l] * rz[l];
            }
            // Only rounding is left where no direction has energy.
            if alpha == [0.0; L] {
                break;
            }
            for (((x, r), p), ap) in x.iter_mut().zip(r.iter_mut()).zip(&p).zip(ap.iter()) {
                for l in 0..L {
                    x[l] += alpha[l] * p[l];
                    r[l] -= alpha[l] * ap[l];
                }
            }
            rz_before = rz;
            solved.iterations += 1;
        }
        solved
    }
}

/// A part of a whole; nothing of a whole that is not above zero.
fn share(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

/// How many partial sums run side by side, since each addition waits for the one before it.
const PARTS: usize = 4;

/// The inner products of two fields.
pub(crate) fn inner<const L: usize>(a: &[Few<L>], b: &[Few<L>]) -> Few<L> {
    let ((a, a_rest), (b, b_rest)) = (a.as_chunks::<PARTS>(), b.as_chunks::<PARTS>());
    let mut parts = [[0.0; L]; PARTS];
    for (a, b) in a.iter().zip(b) {
        for k in 0..PARTS {
            for l in 0..L {
                parts[k][l] += a[k][l] * b[k][l];
            }
        }
    }
    for ((part, a), b) in parts.iter_mut().zip(a_rest).zip(b_rest) {
        for l in 0..L {
            part[l] += a[l] * b[l];
        }
    }
    let [a, b, c, d] = parts;
    core::array::from_fn(|l| (a[l] + b[l]) + (c[l] + d[l]))
}
