//! Boards of two walls at a corner, looked at from above: none may lie where another does. Only heights at which both walls have an
//! upright end are judged; there the walls meet at a right angle.

use std::collections::BTreeSet;

use setting_out::{Corner, CornerKind, Job, Layout, Piece, Wall, ZoneExtent};

/// A board at some height, from above: from and to along the first wall, counted from the corner, then away from it.
type Plan = [(f64, f64); 2];

/// Slopes lie on the grid of 1 mm.
const GRID: f64 = 0.6;

/// Where boards of both walls of a corner take the same place.
pub fn clashes(job: &Job, layout: &Layout) -> Vec<String> {
    let mut found = Vec::new();
    for corner in &job.corners {
        let walls = walls(job, corner);
        let [a, b] = walls.map(|wall| &job.walls[wall]);
        let own = layout.pieces.iter().filter(|p| walls.contains(&p.wall));
        let corners = own.flat_map(|p| p.outline.iter().chain(p.holes.iter().flatten()));
        let levels: BTreeSet<i32> = corners.map(|p| p.y.0).collect();
        let levels: Vec<i32> = levels.into_iter().collect();
        for pair in levels.windows(2).filter(|l| l[1] - l[0] > 1) {
            let y = f64::midpoint(f64::from(pair[0]), f64::from(pair[1]));
            if !(stands(a, ends(a)[1], y) && stands(b, ends(b)[0], y)) {
                continue;
            }
            let [of_a, of_b] = walls.map(|wall| across(job, layout, wall, y));
            let first = of_a.into_iter().map(|(x, depth)| {
                let end = f64::from(ends(a)[1]);
                [(x.0 - end, x.1 - end), depth]
            });
            let second: Vec<Plan> = of_b
                .into_iter()
                .map(|(x, depth)| {
                    let end = f64::from(ends(b)[0]);
                    match corner.kind {
                        // The second wall goes back from the corner, its boards beyond it.
                        CornerKind::Salient => [depth, (end - x.1, end - x.0)],
                        // It comes forward, its boards over the first wall.
                        CornerKind::ReEntrant => [(-depth.1, -depth.0), (x.0 - end, x.1 - end)],
                    }
                })
                .collect();
            for one in first {
                let clash = second.iter().find(|other| overlap(&one, other));
                found.extend(clash.map(|other| {
                    format!(
                        "corner {}: boards of both walls at y {y}: {one:?} and {other:?}",
                        corner.id
                    )
                }));
            }
        }
    }
    found
}

fn overlap(one: &Plan, other: &Plan) -> bool {
    let mut sides = one.iter().zip(other);
    sides.all(|(a, b)| a.1.min(b.1) - a.0.max(b.0) > GRID)
}

/// The wall whose right end is at the corner, and the other.
fn walls(job: &Job, corner: &Corner) -> [usize; 2] {
    [&corner.right_end_of, &corner.left_end_of].map(|id| {
        let place = job.walls.iter().position(|w| w.id == *id);
        place.expect("wall of a corner")
    })
}

fn ends(wall: &Wall) -> [i32; 2] {
    let xs = || wall.outline.iter().map(|p| p.x.0);
    [xs().min().expect("a corner"), xs().max().expect("a corner")]
}

/// Whether a wall has an upright edge at `x` at a height.
fn stands(wall: &Wall, x: i32, y: f64) -> bool {
    let ring = &wall.outline;
    let mut edges = (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]));
    edges.any(|(a, b)| {
        let (lo, hi) = (f64::from(a.y.min(b.y).0), f64::from(a.y.max(b.y).0));
        a.x.0 == x && b.x.0 == x && lo < y && y < hi
    })
}

/// The boards of a wall at a height: from and to along it, and between which distances from it.
fn across(job: &Job, layout: &Layout, wall: usize, y: f64) -> Vec<((f64, f64), (f64, f64))> {
    let bed = f64::from(job.walls[wall].bed.0);
    let own = layout.pieces.iter().filter(|p| p.wall == wall);
    own.flat_map(|piece| {
        let thickness = match job.walls[wall].zones[piece.zone].extent {
            ZoneExtent::Plinth => job.boards[piece.product].thickness,
            _ => job.walls[wall].thickness,
        };
        let depth = (bed, bed + f64::from(thickness.0));
        crossings(piece, y)
            .into_iter()
            .map(move |along| (along, depth))
    })
    .collect()
}

fn crossings(piece: &Piece, y: f64) -> Vec<(f64, f64)> {
    let mut xs: Vec<f64> = Vec::new();
    for ring in std::iter::once(&piece.outline).chain(&piece.holes) {
        for (a, b) in (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()])) {
            let [ax, ay, bx, by] = [a.x.0, a.y.0, b.x.0, b.y.0].map(f64::from);
            if (ay < y) != (by < y) {
                xs.push(ax + (bx - ax) * (y - ay) / (by - ay));
            }
        }
    }
    xs.sort_by(f64::total_cmp);
    xs.chunks_exact(2).map(|p| (p[0], p[1])).collect()
}
