//! Measures the fixing design of buildings of growing size on one core: 2,000 m² in under 50 ms, and linear growth. Run with `--release`;
//! ends with an error where either fails.

#[path = "../tests/fixing_scene/mod.rs"]
mod fixing_scene;

use std::time::Instant;

use fixing::wind::Runs;
use fixing_scene::{scene, wall, windows};
use quantity::{Length, Mm};
use working::Sheet;

/// Milliseconds of the fastest of several runs, and the anchors.
fn measure(facades: i32, width: i32) -> (f64, f64, u32) {
    let height = 12_500;
    let mut job = scene();
    job.plan.length = Mm(width);
    job.plan.height = Length::from_mm(f64::from(height));
    job.walls = (0..facades)
        .map(|_| {
            (
                Runs::AlongLength,
                wall(width, height, windows(width, height)),
            )
        })
        .collect();
    let area = f64::from(facades) * f64::from(width) * f64::from(height) / 1e6;
    let mut best = f64::INFINITY;
    let mut count = 0;
    for _ in 0..7 {
        let start = Instant::now();
        count = job.fix(&mut Sheet::new()).map_or(0, |answer| answer.count);
        best = best.min(start.elapsed().as_secs_f64() * 1e3);
    }
    (area, best, count)
}

fn main() {
    let mut rates = Vec::new();
    for (facades, width) in [
        (4, 10_000),
        (4, 20_000),
        (4, 40_000),
        (4, 80_000),
        (4, 160_000),
        (16, 40_000),
    ] {
        let (area, ms, count) = measure(facades, width);
        println!(
            "{area:>8.0} m2 {count:>7} anchors {ms:>9.2} ms {:>8.2} us/m2",
            ms * 1e3 / area
        );
        rates.push((area, ms));
    }
    let at = |area: f64| {
        rates
            .iter()
            .find(|r| r.0 == area)
            .map_or(f64::INFINITY, |r| r.1)
    };
    let slow = at(2_000.0) > 50.0;
    let bent = at(8_000.0) > 6.0 * at(2_000.0);
    if slow || bent {
        println!(
            "too slow: 2,000 m2 in {:.1} ms, 8,000 m2 in {:.1} ms",
            at(2_000.0),
            at(8_000.0)
        );
        std::process::exit(1);
    }
}
