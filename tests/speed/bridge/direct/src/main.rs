//! Factors and solves symmetric equations by the sparse Cholesky method of the crate `faer`, on one core, and says how long it took: a side
//! of the comparison in `tests/speed/bridge/compare.py`.
//!
//! `direct <equations> <fields>`: both files are little-endian. Equations: the number of unknowns n, of right-hand sides k and of entries
//! m of the lower triangle as u64, m rows and m columns as u64, m values and k times n right-hand sides as f64. Fields: k times n values.

use std::time::Instant;

use faer::linalg::solvers::Solve;
use faer::sparse::{SparseColMat, Triplet};
use faer::{Mat, Par, Side};

/// Seconds that this process spent on a processor; by the clock where the system does not tell.
fn processor_seconds(since: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok());
    nanoseconds.map_or_else(|| since.elapsed().as_secs_f64(), |n| n * 1e-9)
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, equations, field] = arguments.as_slice() else {
        eprintln!("usage: direct <equations> <field>");
        std::process::exit(2);
    };
    let bytes = std::fs::read(equations).expect("the equations");
    let mut words = bytes
        .chunks_exact(8)
        .map(|w| <[u8; 8]>::try_from(w).expect("eight bytes"));
    let mut take = |count: usize| -> Vec<[u8; 8]> { words.by_ref().take(count).collect() };
    let whole = |w: &[u8; 8]| u64::from_le_bytes(*w) as usize;
    let real = |w: &[u8; 8]| f64::from_le_bytes(*w);
    let head = take(3);
    let (n, k, m) = (whole(&head[0]), whole(&head[1]), whole(&head[2]));
    let (rows, columns, values, load) = (take(m), take(m), take(m), take(k * n));
    let triplets: Vec<_> = rows
        .iter()
        .zip(&columns)
        .zip(&values)
        .map(|((r, c), v)| Triplet::new(whole(r), whole(c), real(v)))
        .collect();
    let matrix =
        SparseColMat::<usize, f64>::try_new_from_triplets(n, n, &triplets).expect("a sound matrix");
    let b = Mat::from_fn(n, k, |i, field| real(&load[field * n + i]));
    faer::set_global_parallelism(Par::Seq);
    let began = Instant::now();
    let (mut best, mut solution) = (f64::INFINITY, b.clone());
    for _ in 0..3 {
        let start = processor_seconds(began);
        let factor = matrix
            .sp_cholesky(Side::Lower)
            .expect("a positive definite matrix");
        let x = factor.solve(&b);
        best = best.min(processor_seconds(began) - start);
        solution = x;
    }
    let out: Vec<u8> = (0..k * n)
        .flat_map(|at| solution[(at % n, at / n)].to_le_bytes())
        .collect();
    std::fs::write(field, out).expect("a place for the field");
    println!("{best}");
}
