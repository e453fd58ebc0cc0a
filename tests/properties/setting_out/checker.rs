//! An independent checker of layouts. It shares no code with the engine: it reads the job and the layout, works out
//! for itself what must be covered, and lists whatever is wrong.

use std::collections::{BTreeMap, BTreeSet};

use setting_out::{
    BaseStep, Corner, CornerKind, CornerPieces, Course, Form, Job, Layout, Piece, Placement, Point,
    Rotation, Rule, Runner, Turn, Wall, ZoneExtent,
};

#[path = "space.rs"]
mod space;

type Ring = Vec<(f64, f64)>;

/// What the checker finds.
#[derive(Debug, Default)]
pub struct Verdict {
    /// Whatever makes the layout wrong. Empty: it is sound.
    pub wrong: Vec<String>,
    /// Rules that are not kept, as the checker sees them: rule, wall, x, y.
    pub breaches: Vec<(Rule, usize, i32, i32)>,
    /// What the grid of 1 mm may make a breach of a rule or not.
    close: Vec<(Rule, usize, i32, i32)>,
    /// For each product: fewest boards by area, and by area with high strips rounded up.
    pub bounds: Vec<(u32, u32)>,
    /// The same for what the grid of 1 mm may make of slopes: half a millimetre less, and more.
    grid: Vec<[(u32, u32); 2]>,
}

/// Checks everything.
pub fn check(job: &Job, layout: &Layout) -> Verdict {
    let mut verdict = Verdict::default();
    tiling(job, layout, &mut verdict);
    toothing(job, layout, &mut verdict);
    verdict.wrong.extend(space::clashes(job, layout));
    boards(job, layout, &mut verdict);
    sums(job, layout, &mut verdict);
    rules(job, layout, &mut verdict);
    declared(layout, &mut verdict);
    verdict
}

fn ring(points: &[Point]) -> Ring {
    points
        .iter()
        .map(|p| (f64::from(p.x.0), f64::from(p.y.0)))
        .collect()
}

fn area(ring: &Ring) -> f64 {
    let n = ring.len();
    (0..n)
        .map(|i| ring[i].0 * ring[(i + 1) % n].1 - ring[(i + 1) % n].0 * ring[i].1)
        .sum::<f64>()
        / 2.0
}

fn piece_area(piece: &Piece) -> f64 {
    area(&ring(&piece.outline)).abs()
        - piece
            .holes
            .iter()
            .map(|h| area(&ring(h)).abs())
            .sum::<f64>()
}

/// The upright intervals in which rings cover the line at `x`, by even and odd crossings.
fn intervals(rings: &[Ring], x: f64) -> Vec<(f64, f64)> {
    let mut ys: Vec<f64> = Vec::new();
    for ring in rings {
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            if (a.0 < x) != (b.0 < x) {
                ys.push(a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0));
            }
        }
    }
    ys.sort_by(f64::total_cmp);
    ys.chunks_exact(2).map(|p| (p[0], p[1])).collect()
}

fn without(from: Vec<(f64, f64)>, cut: (f64, f64)) -> Vec<(f64, f64)> {
    from.into_iter()
        .flat_map(|s| [(s.0, s.1.min(cut.0)), (s.0.max(cut.1), s.1)])
        .filter(|s| s.1 - s.0 > 1e-9)
        .collect()
}

fn limits(wall: &Wall) -> (f64, f64) {
    let xs = wall.outline.iter().map(|p| f64::from(p.x.0));
    (
        xs.clone().fold(f64::MAX, f64::min),
        xs.fold(f64::MIN, f64::max),
    )
}

/// Upright edges of the outline at `x`.
fn ends(wall: &Wall, x: f64) -> Vec<(f64, f64)> {
    let r = ring(&wall.outline);
    (0..r.len())
        .map(|i| (r[i], r[(i + 1) % r.len()]))
        .filter(|(a, b)| a.0 == x && b.0 == x && a.1 != b.1)
        .map(|(a, b)| (a.1.min(b.1), a.1.max(b.1)))
        .collect()
}

fn wall_named<'a>(job: &'a Job, id: &str) -> &'a Wall {
    job.walls
        .iter()
        .find(|w| w.id == id)
        .expect("wall of a corner")
}

/// Where a wall's end and its neighbour's end both stand: left, then right.
fn shared_ends(job: &Job, wall: &Wall) -> [Vec<(f64, f64)>; 2] {
    let (x0, x1) = limits(wall);
    let meet = |own: Vec<(f64, f64)>, other: Vec<(f64, f64)>| {
        own.iter()
            .flat_map(|a| other.iter().map(move |b| (a.0.max(b.0), a.1.min(b.1))))
            .filter(|s| s.0 < s.1)
            .collect()
    };
    let left = job
        .corners
        .iter()
        .find(|c| c.left_end_of == wall.id)
        .map_or_else(Vec::new, |c| {
            let other = wall_named(job, &c.right_end_of);
            meet(ends(wall, x0), ends(other, limits(other).1))
        });
    let right = job
        .corners
        .iter()
        .find(|c| c.right_end_of == wall.id)
        .map_or_else(Vec::new, |c| {
            let other = wall_named(job, &c.left_end_of);
            meet(ends(wall, x1), ends(other, limits(other).0))
        });
    [left, right]
}

/// What a course must cover at `x`, and whether the wall slopes there.
fn wanted(job: &Job, layout: &Layout, course: usize, x: f64) -> Vec<(f64, f64)> {
    let c = &layout.courses[course];
    let wall = &job.walls[c.wall];
    let (x0, x1) = limits(wall);
    let ext = [
        f64::from(c.left_extension.0),
        f64::from(c.right_extension.0),
    ];
    let shared = shared_ends(job, wall);
    let mut solid: Vec<(f64, f64)> = intervals(&[ring(&wall.outline)], x);
    let beyond = [x0 - ext[0] < x && x < x0, x1 < x && x < x1 + ext[1]];
    let added = shared.iter().zip(beyond).filter(|(_, beyond)| *beyond);
    solid.extend(added.flat_map(|(spans, _)| spans));
    // The board before an inside corner takes its place from whatever is there, be it what the other end adds to a narrow wall.
    let short = [x0 < x && x < x0 - ext[0], x1 + ext[1] < x && x < x1];
    for (spans, _) in shared.iter().zip(short).filter(|(_, short)| *short) {
        for &span in spans {
            solid = without(solid, span);
        }
    }
    for o in &wall.openings {
        let (left, bottom) = (f64::from(o.corner.x.0), f64::from(o.corner.y.0));
        let right = left + f64::from(o.width.0);
        // A window that turns the corner has no board before it.
        let beyond = x < x0 && left <= x0 || x > x1 && right >= x1;
        if left < x && x < right || beyond {
            solid = without(solid, (bottom, bottom + f64::from(o.height.0)));
        }
    }
    for j in &wall.structural_joints {
        let left = f64::from(j.x.0 - j.gap.0 / 2);
        if left < x && x < left + f64::from(j.gap.0) {
            solid.clear();
        }
    }
    zone_part(wall, c.zone, x, &mut solid);
    let clip = |s: &(f64, f64)| (s.0.max(f64::from(c.bottom.0)), s.1.min(f64::from(c.top.0)));
    let mut parts: Vec<_> = solid.iter().map(clip).collect();
    parts.retain(|s| s.1 - s.0 > 1e-9);
    parts.sort_by(|a, b| a.0.total_cmp(&b.0));
    parts
}

/// Keeps of a wall's upright line what belongs to one zone.
fn zone_part(wall: &Wall, zone: usize, x: f64, solid: &mut Vec<(f64, f64)>) {
    let (x0, x1) = limits(wall);
    let inner = x.clamp(x0 + 1e-6, x1 - 1e-6);
    let base = wall
        .base_line
        .iter()
        .find(|b| f64::from(b.from.0) <= inner && inner <= f64::from(b.to.0))
        .map(|b| f64::from(b.level.0));
    let strip_at = |extent: ZoneExtent| -> Option<(f64, f64)> {
        let ZoneExtent::FireBarrier(s) = extent else {
            return None;
        };
        let (left, bottom) = (f64::from(s.corner.x.0), f64::from(s.corner.y.0));
        (left <= inner && inner <= left + f64::from(s.width.0))
            .then(|| (bottom, bottom + f64::from(s.height.0)))
    };
    let all = std::mem::take(solid);
    *solid = match wall.zones[zone].extent {
        ZoneExtent::FireBarrier(_) => match strip_at(wall.zones[zone].extent) {
            Some(s) => all
                .iter()
                .map(|a| (a.0.max(s.0), a.1.min(s.1)))
                .filter(|a| a.0 < a.1)
                .collect(),
            None => Vec::new(),
        },
        extent => {
            let mut kept = all;
            for s in wall.zones.iter().filter_map(|z| strip_at(z.extent)) {
                kept = without(kept, s);
            }
            match (extent, base) {
                (ZoneExtent::Plinth, Some(level)) => without(kept, (level, f64::MAX)),
                (ZoneExtent::Main, Some(level)) => without(kept, (f64::MIN, level)),
                (ZoneExtent::Plinth, None) => Vec::new(),
                _ => kept,
            }
        }
    };
}

/// The x at which what a course must cover can change.
fn breaks(job: &Job, layout: &Layout, course: usize, pieces: &[&Piece]) -> Vec<f64> {
    let c = &layout.courses[course];
    let wall = &job.walls[c.wall];
    let (x0, x1) = limits(wall);
    let mut xs: BTreeSet<i64> = BTreeSet::new();
    let mut fine: Vec<f64> = Vec::new();
    let mut add = |v: i32| {
        xs.insert(i64::from(v));
    };
    for o in &wall.openings {
        add(o.corner.x.0);
        add(o.corner.x.0 + o.width.0);
    }
    for j in &wall.structural_joints {
        add(j.x.0 - j.gap.0 / 2);
        add(j.x.0 - j.gap.0 / 2 + j.gap.0);
    }
    for b in &wall.base_line {
        add(b.from.0);
        add(b.to.0);
    }
    for z in &wall.zones {
        if let ZoneExtent::FireBarrier(s) = z.extent {
            add(s.corner.x.0);
            add(s.corner.x.0 + s.width.0);
        }
    }
    for p in pieces {
        for v in p.outline.iter().chain(p.holes.iter().flatten()) {
            add(v.x.0);
        }
    }
    for v in &wall.outline {
        add(v.x.0);
    }
    for e in [x0, x1] {
        fine.push(e);
    }
    fine.extend([
        x0 - f64::from(c.left_extension.0),
        x1 + f64::from(c.right_extension.0),
    ]);
    let r = ring(&wall.outline);
    for i in 0..r.len() {
        let (a, b) = (r[i], r[(i + 1) % r.len()]);
        // Where a base line runs out at a slope what is wanted begins there.
        let levels = wall.base_line.iter().map(|b| b.level.0);
        for y in levels.chain([c.bottom.0, c.top.0]).map(f64::from) {
            if (a.1 < y) != (b.1 < y) && a.0 != b.0 {
                fine.push(a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1));
            }
        }
    }
    fine.extend(xs.into_iter().map(|v| v as f64));
    fine.sort_by(f64::total_cmp);
    fine.dedup();
    fine
}

fn slopes(wall: &Wall) -> bool {
    let r = ring(&wall.outline);
    (0..r.len()).any(|i| {
        let (a, b) = (r[i], r[(i + 1) % r.len()]);
        a.0 != b.0 && a.1 != b.1
    })
}

/// How far a sloping edge may lie above or below where it should because its ends lie on the grid of 1 mm, where what is
/// wanted changes so from one end of a stretch to the other: half a millimetre along the wall is more on a steep edge.
fn slope_slack(from: &[(f64, f64)], to: &[(f64, f64)], width: f64) -> f64 {
    let moves = from.iter().zip(to);
    let steepest = moves
        .map(|(p, q)| (p.0 - q.0).abs().max((p.1 - q.1).abs()) / width)
        .fold(0.0, f64::max);
    (0.51 + steepest / 2.0).max(1.01)
}

/// Every course is covered exactly once and nothing else is.
fn tiling(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    let products = job.boards.len();
    let mut stacks: Vec<Vec<(f64, f64, f64)>> = vec![Vec::new(); products];
    let mut by_course: Vec<Vec<&Piece>> = vec![Vec::new(); layout.courses.len()];
    for piece in &layout.pieces {
        by_course[piece.course].push(piece);
        let c = &layout.courses[piece.course];
        let key = &job.walls[c.wall].zones[c.zone].board;
        if job.boards[piece.product].key != *key || piece.wall != c.wall || piece.zone != c.zone {
            verdict
                .wrong
                .push(format!("piece {} is not of its zone's board", piece.number));
        }
    }
    let mut net = vec![0.0; job.walls.len()];
    for (index, pieces) in by_course.iter().enumerate() {
        let c = &layout.courses[index];
        let wall = &job.walls[c.wall];
        let sloping = slopes(wall);
        let product = job
            .boards
            .iter()
            .position(|b| b.key == wall.zones[c.zone].board)
            .expect("board");
        let rings: Vec<Vec<Ring>> = pieces
            .iter()
            .map(|p| {
                std::iter::once(ring(&p.outline))
                    .chain(p.holes.iter().map(|h| ring(h)))
                    .collect()
            })
            .collect();
        let reach: Vec<(f64, f64)> = rings
            .iter()
            .map(|r| {
                let xs = r[0].iter().map(|p| p.0);
                (
                    xs.clone().fold(f64::MAX, f64::min),
                    xs.fold(f64::MIN, f64::max),
                )
            })
            .collect();
        let xs = breaks(job, layout, index, pieces);
        for pair in xs.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if b - a < 1e-6 {
                continue;
            }
            let middle = f64::midpoint(a, b);
            let want = wanted(job, layout, index, middle);
            for s in &want {
                net[c.wall] += (s.1 - s.0) * (b - a);
            }
            let (low, slack) = if sloping {
                let ends = [a + 1e-6, b - 1e-6].map(|x| wanted(job, layout, index, x));
                let heights = ends.iter().flatten().map(|s| s.1 - s.0);
                let slack = slope_slack(&ends[0], &ends[1], b - a);
                (heights.fold(f64::MAX, f64::min), slack)
            } else {
                (f64::MAX, 1e-9)
            };
            stacks[product].extend(want.iter().map(|s| (b - a, s.1 - s.0, low.min(s.1 - s.0))));
            let mut have: Vec<(f64, f64)> = rings
                .iter()
                .zip(&reach)
                .filter(|(_, r)| r.0 < middle && middle < r.1)
                .flat_map(|(r, _)| intervals(r, middle))
                .collect();
            have.sort_by(|p, q| p.0.total_cmp(&q.0));
            let mut joined: Vec<(f64, f64)> = Vec::new();
            for s in have {
                match joined.last_mut() {
                    Some(last) if s.0 < last.1 - slack => {
                        verdict.wrong.push(format!(
                            "{} course {}: overlap at x {middle}, y {}",
                            wall.id, index, s.0
                        ));
                        last.1 = last.1.max(s.1);
                    }
                    Some(last) if (s.0 - last.1).abs() <= slack => last.1 = s.1,
                    _ => joined.push(s),
                }
            }
            // At the tip of a slope one side may be hardly higher than the slack, the other hardly lower.
            let near = |p: &(f64, f64), q: &(f64, f64)| {
                (p.0 - q.0).abs() <= slack && (p.1 - q.1).abs() <= slack
            };
            let same = |least: f64| {
                let high = |s: &&(f64, f64)| s.1 - s.0 > least;
                let (have, want) = (joined.iter().filter(high), want.iter().filter(high));
                have.clone().count() == want.clone().count()
                    && have.zip(want).all(|(p, q)| near(p, q))
            };
            if !(same(slack) || same(2.0 * slack) || (sloping && b - a <= 2.0)) {
                verdict.wrong.push(format!(
                    "{} course {}: at x {middle} covers {joined:?}, wanted {want:?}",
                    wall.id, index
                ));
            }
        }
    }
    whole_wall(job, layout, &net, verdict);
    bounds(job, &stacks, verdict);
}

/// What of a wall stands between two places over its ends at a height, without openings and joints.
fn standing(wall: &Wall, from: f64, to: f64, spans: &[(f64, f64)], lines: (f64, f64)) -> f64 {
    let mut slots: Vec<(f64, f64, f64, f64)> = Vec::new();
    for o in &wall.openings {
        let (x, y) = (f64::from(o.corner.x.0), f64::from(o.corner.y.0));
        slots.push((x, x + f64::from(o.width.0), y, y + f64::from(o.height.0)));
    }
    for j in &wall.structural_joints {
        let left = f64::from(j.x.0 - j.gap.0 / 2);
        slots.push((left, left + f64::from(j.gap.0), f64::MIN, f64::MAX));
    }
    let mut xs: Vec<f64> = wall.outline.iter().map(|p| f64::from(p.x.0)).collect();
    xs.extend(slots.iter().flat_map(|s| [s.0, s.1]));
    xs.extend([from, to]);
    xs.retain(|x| from <= *x && *x <= to);
    xs.sort_by(f64::total_cmp);
    let mut sum = 0.0;
    for pair in xs.windows(2) {
        let x = f64::midpoint(pair[0], pair[1]);
        let mut solid = intervals(&[ring(&wall.outline)], x);
        for slot in slots.iter().filter(|s| s.0 < x && x < s.1) {
            solid = without(solid, (slot.2, slot.3));
        }
        let clip = |a: &(f64, f64), b: &(f64, f64)| {
            (a.1.min(b.1).min(lines.1) - a.0.max(b.0).max(lines.0)).max(0.0)
        };
        let high = solid
            .iter()
            .flat_map(|a| spans.iter().map(move |b| clip(a, b)));
        sum += high.sum::<f64>() * (pair[1] - pair[0]);
    }
    sum
}

/// What a course adds past the ends of its wall, less what it leaves to the board before an inside corner: where the ends stand,
/// and no window that turns the corner is. Nothing is known of a wall narrower than what is taken from it.
fn beside(job: &Job, wall: &Wall, c: &Course) -> Option<f64> {
    let (x0, x1) = limits(wall);
    let [left, right] = [c.left_extension, c.right_extension].map(|e| f64::from(e.0));
    if (-left).max(0.0) + (-right).max(0.0) > x1 - x0 {
        return None;
    }
    let lines = (f64::from(c.bottom.0), f64::from(c.top.0));
    let clip = |s: &(f64, f64)| (s.1.min(lines.1) - s.0.max(lines.0)).max(0.0);
    let [left_end, right_end] = shared_ends(job, wall);
    let mut sum = 0.0;
    for (e, end, spans) in [(left, x0, left_end), (right, x1, right_end)] {
        if e < 0.0 {
            let (from, to) = if end == x0 {
                (x0, x0 - e)
            } else {
                (x1 + e, x1)
            };
            sum -= standing(wall, from, to, &spans, lines);
            continue;
        }
        let mut clear = spans;
        for o in &wall.openings {
            let from = f64::from(o.corner.x.0);
            if from == end || from + f64::from(o.width.0) == end {
                let bottom = f64::from(o.corner.y.0);
                clear = without(clear, (bottom, bottom + f64::from(o.height.0)));
            }
        }
        sum += e * clear.iter().map(clip).sum::<f64>();
    }
    Some(sum)
}

/// The courses together cover the whole wall: their net areas add up to what polygon and openings give.
fn whole_wall(job: &Job, layout: &Layout, covered: &[f64], verdict: &mut Verdict) {
    for (index, wall) in job.walls.iter().enumerate() {
        let (mut xs, mut total) = (Vec::new(), 0.0);
        for x in wall.outline.iter().map(|p| p.x.0).chain(
            wall.openings
                .iter()
                .flat_map(|o| [o.corner.x.0, o.corner.x.0 + o.width.0]),
        ) {
            xs.push(f64::from(x));
        }
        for b in &wall.base_line {
            xs.extend([f64::from(b.from.0), f64::from(b.to.0)]);
        }
        for j in &wall.structural_joints {
            let left = f64::from(j.x.0 - j.gap.0 / 2);
            xs.extend([left, left + f64::from(j.gap.0)]);
        }
        // Where the base line runs out at a slope.
        let r = ring(&wall.outline);
        for (a, b) in (0..r.len()).map(|i| (r[i], r[(i + 1) % r.len()])) {
            let levels = wall.base_line.iter().map(|b| f64::from(b.level.0));
            let crossed = levels.filter(|y| (a.1 < *y) != (b.1 < *y) && a.0 != b.0);
            xs.extend(crossed.map(|y| a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1)));
        }
        xs.sort_by(f64::total_cmp);
        let has_plinth = wall.zones.iter().any(|z| z.extent == ZoneExtent::Plinth);
        for pair in xs.windows(2).filter(|p| p[1] - p[0] > 1e-9) {
            let x = f64::midpoint(pair[0], pair[1]);
            let mut solid = intervals(&[ring(&wall.outline)], x);
            for o in wall
                .openings
                .iter()
                .filter(|o| f64::from(o.corner.x.0) < x && x < f64::from(o.corner.x.0 + o.width.0))
            {
                solid = without(
                    solid,
                    (
                        f64::from(o.corner.y.0),
                        f64::from(o.corner.y.0 + o.height.0),
                    ),
                );
            }
            if wall.structural_joints.iter().any(|j| {
                (x - f64::from(j.x.0 - j.gap.0 / 2) - f64::from(j.gap.0) / 2.0).abs()
                    < f64::from(j.gap.0) / 2.0
            }) {
                solid.clear();
            }
            if !has_plinth {
                for b in wall
                    .base_line
                    .iter()
                    .filter(|b| f64::from(b.from.0) < x && x < f64::from(b.to.0))
                {
                    solid = without(solid, (f64::MIN, f64::from(b.level.0)));
                }
            }
            total += solid.iter().map(|s| s.1 - s.0).sum::<f64>() * (pair[1] - pair[0]);
        }
        let own = layout.courses.iter().filter(|c| c.wall == index);
        let extra: Option<f64> = own.map(|c| beside(job, wall, c)).sum();
        let high = layout.courses.iter().filter(|c| c.wall == index);
        let high: i32 = high.map(|c| c.top.0 - c.bottom.0).sum();
        let ys = wall.outline.iter().map(|p| p.y.0);
        let rise = ys.clone().max().unwrap_or(0) - ys.min().unwrap_or(0);
        // Where the board before an inside corner takes all of a course there is none.
        let known = extra.filter(|_| high == rise);
        let extra = known.unwrap_or(covered[index] - total);
        let tolerance = if slopes(wall) {
            covered[index] * 1e-6 + 60_000.0
        } else {
            0.5
        };
        if wall.zones.len() == 1
            && wall.base_line.is_empty()
            && (total + extra - covered[index]).abs() > tolerance
        {
            verdict.wrong.push(format!(
                "{}: courses cover {}, the wall has {}",
                wall.id,
                covered[index],
                total + extra
            ));
        }
        let pieces: f64 = layout
            .pieces
            .iter()
            .filter(|p| p.wall == index)
            .map(piece_area)
            .sum();
        if (pieces - covered[index]).abs() > tolerance {
            verdict.wrong.push(format!(
                "{}: pieces have {pieces} mm², wanted {}",
                wall.id, covered[index]
            ));
        }
        let sum = &layout.walls[index];
        if (sum.net_area_mm2 as f64 - total).abs() > tolerance {
            verdict.wrong.push(format!(
                "{}: net area {} given, {total} found",
                wall.id, sum.net_area_mm2
            ));
        }
        if ((sum.net_area_mm2 + sum.toothing_area_mm2 - sum.piece_area_mm2) as f64).abs()
            > tolerance
        {
            verdict.wrong.push(format!(
                "{}: net, toothing and pieces do not add up",
                wall.id
            ));
        }
    }
}

fn bounds(job: &Job, stacks: &[Vec<(f64, f64, f64)>], verdict: &mut Verdict) {
    for (board, stack) in job.boards.iter().zip(stacks) {
        let (length, height) = (f64::from(board.length.0), f64::from(board.height.0));
        let mut smallest = stack.iter().map(|s| s.2).fold(height, f64::min);
        if board.rotation == Rotation::Allowed {
            smallest = smallest.min(f64::from(job.rules.min_piece_width.0));
        }
        let plain: f64 = stack.iter().map(|s| s.0 * s.1).sum();
        // Of a slope two pieces may come from one board. On the grid a gentle slope may be level, and what is lowest a millimetre
        // higher or lower.
        let raised = |level: f64, smallest: f64| -> f64 {
            let high = |s: &&(f64, f64, f64)| s.1 - s.2 < level && s.1 > height - smallest + 1e-6;
            let more = stack.iter().filter(high).map(|s| s.0 * (height - s.1));
            plain + more.sum::<f64>()
        };
        let own = raised(1e-6, smallest);
        let sloping = stack.iter().any(|s| s.2 < s.1 - 1e-6);
        let [fewest, most] = if sloping {
            [raised(1e-6, smallest - 1.0), raised(1.0, smallest + 1.0)]
        } else {
            [own; 2]
        };
        let sloped = stack.iter().filter(|s| s.2 < s.1 - 1e-6);
        let grid = sloped.map(|s| s.0 / 2.0).sum::<f64>();
        let count = |a: f64| ((a / (length * height)) - 1e-9).ceil() as u32;
        let both = |by: f64, raised: f64| (count(plain + by), count(raised + by));
        verdict.bounds.push(both(0.0, own));
        verdict.grid.push([both(-grid, fewest), both(grid, most)]);
    }
}

/// A stretch of a wall's end that a course covers, and whether it runs past there.
#[derive(Clone, Copy, Debug)]
struct Tooth {
    lo: f64,
    hi: f64,
    course: usize,
    runs: bool,
}

/// What the courses of a wall do at one of its ends, from the bottom up.
fn teeth(
    job: &Job,
    layout: &Layout,
    corner: &Corner,
    side: Runner,
    verdict: &mut Verdict,
) -> Vec<Tooth> {
    let index = |id: &str| job.walls.iter().position(|w| w.id == id).expect("wall");
    let (right, left) = (index(&corner.right_end_of), index(&corner.left_end_of));
    let (wall, other) = match side {
        Runner::RightEnd => (right, left),
        Runner::LeftEnd => (left, right),
    };
    let shared = shared_ends(job, &job.walls[right])[1].clone();
    let bed = job.walls[other].bed.0;
    // The plinth of the other wall may be of another thickness.
    let plinths = job.walls[other].zones.iter();
    let plinths = plinths.filter(|z| z.extent == ZoneExtent::Plinth);
    let plinths = plinths.filter_map(|z| job.boards.iter().find(|b| b.key == z.board));
    let thick: Vec<i32> = std::iter::once(job.walls[other].thickness.0)
        .chain(plinths.map(|b| b.thickness.0))
        .collect();
    let mut teeth = Vec::new();
    for (course, c) in layout.courses.iter().enumerate() {
        if c.wall != wall {
            continue;
        }
        let (x, inward, extension) = match side {
            Runner::RightEnd => (limits(&job.walls[wall]).1 - 0.5, -1.0, c.right_extension.0),
            Runner::LeftEnd => (limits(&job.walls[wall]).0 + 0.5, 1.0, c.left_extension.0),
        };
        // A course that stops short before an inside corner ends at the other wall's boards, whatever opening lies behind them.
        let stops_at = x + inward * f64::from(-extension.min(0));
        let mut solid: Vec<(f64, f64)> = Vec::new();
        for x in [x, stops_at] {
            let mut there = intervals(&[ring(&job.walls[wall].outline)], x);
            for o in &job.walls[wall].openings {
                let from = f64::from(o.corner.x.0);
                if from < x && x < from + f64::from(o.width.0) {
                    let bottom = f64::from(o.corner.y.0);
                    there = without(there, (bottom, bottom + f64::from(o.height.0)));
                }
            }
            zone_part(&job.walls[wall], c.zone, x, &mut there);
            for span in &solid {
                there = without(there, *span);
            }
            solid.extend(there);
        }
        // Where the board before another corner, or an opening beside this one, leaves nothing there is no board to tooth.
        let (x0, x1) = limits(&job.walls[wall]);
        let end = match side {
            Runner::RightEnd => x1 + f64::from(extension),
            Runner::LeftEnd => x0 - f64::from(extension),
        };
        let boards = layout.pieces.iter().filter(|p| p.course == course);
        let edges = boards.flat_map(upright_edges);
        let edges = edges.filter(|e| f64::from(e.0) == end && e.3 == (side == Runner::RightEnd));
        let reached: Vec<(f64, f64)> = edges.map(|e| (f64::from(e.1), f64::from(e.2))).collect();
        let own = solid.iter().flat_map(|s| {
            let clip = move |e: &(f64, f64)| (s.0.max(e.0), s.1.min(e.1));
            shared.iter().map(clip)
        });
        let own = own.flat_map(|s| {
            let clip = move |e: &(f64, f64)| (s.0.max(e.0), s.1.min(e.1));
            reached.iter().map(clip)
        });
        let own: Vec<(f64, f64)> = own.filter(|s| s.1 - s.0 > 1e-9).collect();
        if own.is_empty() {
            continue;
        }
        let (runs, stops): (Vec<i32>, Vec<i32>) = match corner.kind {
            CornerKind::Salient => (thick.iter().map(|t| t + bed).collect(), vec![bed]),
            CornerKind::ReEntrant => (vec![0], thick.iter().map(|t| -t - bed).collect()),
        };
        if !runs.contains(&extension) && !stops.contains(&extension) {
            verdict.wrong.push(format!(
                "corner {}: extension {extension} is neither run nor stop",
                corner.id
            ));
        }
        teeth.extend(own.into_iter().map(|(lo, hi)| Tooth {
            lo,
            hi,
            course,
            runs: runs.contains(&extension),
        }));
    }
    teeth.sort_by(|a, b| a.lo.total_cmp(&b.lo));
    teeth
}

/// At each corner one wall runs past and the other stops, turn and turn about; never both, never none.
fn toothing(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    for corner in &job.corners {
        let sides = [Runner::RightEnd, Runner::LeftEnd]
            .map(|side| teeth(job, layout, corner, side, verdict));
        let mut untoothed: Vec<(f64, f64)> = Vec::new();
        for a in &sides[0] {
            for b in &sides[1] {
                let (lo, hi) = (a.lo.max(b.lo), a.hi.min(b.hi));
                if hi - lo < 1e-9 {
                    continue;
                }
                if a.runs == b.runs {
                    let what = if a.runs { "run past" } else { "stop" };
                    verdict.wrong.push(format!(
                        "corner {}: both walls {what} from {lo} to {hi}",
                        corner.id
                    ));
                }
                if (a.lo, a.hi) != (b.lo, b.hi) {
                    untoothed.push((a.lo.min(b.lo), a.hi.max(b.hi)));
                }
            }
        }
        let wall = job.walls.iter().position(|w| w.id == corner.right_end_of);
        let declared = |lo: f64, hi: f64| {
            layout.breaches.iter().any(|b| {
                let (from, to) = (f64::from(b.at.y.0), f64::from((b.at.y + b.found).0));
                b.rule == Rule::CornerCourses
                    && Some(b.wall) == wall
                    && from <= lo + 1e-9
                    && hi <= to + 1e-9
            })
        };
        for (teeth, others) in [(&sides[0], &sides[1]), (&sides[1], &sides[0])] {
            let met = |t: &Tooth| {
                others
                    .iter()
                    .any(|o| o.hi.min(t.hi) - o.lo.max(t.lo) > 1e-9)
            };
            for pair in teeth.windows(2).filter(|p| p.iter().all(met)) {
                let (a, b) = (pair[0], pair[1]);
                let alike = a.runs == b.runs && a.course != b.course;
                if !alike || (a.hi - b.lo).abs() > 1e-9 {
                    continue;
                }
                untoothed.push((a.lo, b.hi));
                if !declared(a.lo, b.hi) {
                    verdict
                        .wrong
                        .push(format!("corner {}: no alternation at {}", corner.id, b.lo));
                }
            }
        }
        for told in layout.breaches.iter().filter(|b| {
            b.rule == Rule::CornerCourses && Some(b.wall) == wall && b.what.contains(&corner.id)
        }) {
            let (from, to) = (
                f64::from(told.at.y.0),
                f64::from((told.at.y + told.found).0),
            );
            let within = |s: &&(f64, f64)| from <= s.0 + 1e-9 && s.1 <= to + 1e-9;
            if !untoothed.iter().any(|s| within(&s)) {
                verdict
                    .wrong
                    .push(format!("a breach is declared that is none: {told:?}"));
            }
        }
    }
}

/// The piece's rings as they lie on the board.
fn placed(piece: &Piece, at: &Placement) -> Vec<Ring> {
    let turned = |r: Ring| -> Ring {
        match at.turn {
            Turn::None => r,
            Turn::Quarter => r.iter().map(|p| (-p.1, p.0)).collect(),
            Turn::Half => r.iter().map(|p| (-p.0, -p.1)).collect(),
        }
    };
    let mut rings: Vec<Ring> = std::iter::once(&piece.outline)
        .chain(&piece.holes)
        .map(|r| turned(ring(r)))
        .collect();
    let (x, y) = (
        rings[0].iter().map(|p| p.0).fold(f64::MAX, f64::min),
        rings[0].iter().map(|p| p.1).fold(f64::MAX, f64::min),
    );
    for p in rings.iter_mut().flatten() {
        p.0 += f64::from(at.corner.x.0) - x;
        p.1 += f64::from(at.corner.y.0) - y;
    }
    rings
}

#[derive(Clone, Copy, Debug)]
struct Box4(f64, f64, f64, f64);

fn around(r: &Ring) -> Box4 {
    r.iter()
        .fold(Box4(f64::MAX, f64::MAX, f64::MIN, f64::MIN), |b, p| {
            Box4(b.0.min(p.0), b.1.min(p.1), b.2.max(p.0), b.3.max(p.1))
        })
}

/// Something that lies on a board: a piece or a leftover.
struct Part {
    rings: Vec<Ring>,
    around: Box4,
}

/// Each piece lies on one board, once; the cuts can be made; areas add up.
fn boards(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    let mut seen = vec![0_u32; layout.pieces.len()];
    for (index, board) in layout.boards.iter().enumerate() {
        let stock = &job.boards[board.product];
        let kerf = f64::from(stock.kerf.0);
        let mut parts: Vec<Part> = Vec::new();
        for at in &board.placements {
            let Some(piece) = layout.pieces.get((at.piece as usize).wrapping_sub(1)) else {
                verdict.wrong.push(format!(
                    "board {} holds no piece {}",
                    board.number, at.piece
                ));
                continue;
            };
            seen[at.piece as usize - 1] += 1;
            if piece.board != index || piece.product != board.product {
                verdict.wrong.push(format!(
                    "piece {} does not name board {}",
                    piece.number, board.number
                ));
            }
            if at.turn == Turn::Quarter && stock.rotation == Rotation::Forbidden {
                verdict
                    .wrong
                    .push(format!("piece {} is turned", piece.number));
            }
            let rings = placed(piece, at);
            let around = around(&rings[0]);
            let given = (f64::from(at.width.0), f64::from(at.height.0));
            if (around.2 - around.0, around.3 - around.1) != given {
                verdict
                    .wrong
                    .push(format!("piece {} does not fit its placement", piece.number));
            }
            parts.push(Part { rings, around });
        }
        for o in layout.offcuts.iter().filter(|o| o.board == board.number) {
            let (x, y) = (f64::from(o.corner.x.0), f64::from(o.corner.y.0));
            let (w, h) = (f64::from(o.width.0), f64::from(o.height.0));
            let r = vec![(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
            parts.push(Part {
                around: around(&r),
                rings: vec![r],
            });
        }
        for p in &parts {
            let b = p.around;
            if b.0 < 0.0
                || b.1 < 0.0
                || b.2 > f64::from(stock.length.0)
                || b.3 > f64::from(stock.height.0)
            {
                verdict
                    .wrong
                    .push(format!("board {}: a part hangs over", board.number));
            }
        }
        let all: Vec<&Part> = parts.iter().collect();
        if !guillotine(&all, kerf) {
            verdict.wrong.push(format!(
                "board {}: cannot be cut from edge to edge",
                board.number
            ));
        }
    }
    for (piece, count) in layout.pieces.iter().zip(&seen) {
        if *count != 1 {
            verdict
                .wrong
                .push(format!("piece {} is cut {count} times", piece.number));
        }
    }
}

/// Whether parts can be freed by cuts that go through, a kerf wide; what lies in a notch is freed after its piece.
fn guillotine(parts: &[&Part], kerf: f64) -> bool {
    if parts.len() < 2 {
        return true;
    }
    for axis in 0..2 {
        let span = |p: &Part| {
            if axis == 0 {
                (p.around.0, p.around.2)
            } else {
                (p.around.1, p.around.3)
            }
        };
        for p in parts {
            let at = span(p).1;
            let (before, after): (Vec<&Part>, Vec<&Part>) =
                parts.iter().partition(|q| span(q).1 <= at + 1e-9);
            if !after.is_empty() && after.iter().all(|q| span(q).0 >= at + kerf - 1e-9) {
                return guillotine(&before, kerf) && guillotine(&after, kerf);
            }
        }
    }
    if let Some((before, after)) = by_slope(parts, kerf) {
        return guillotine(&before, kerf) && guillotine(&after, kerf);
    }
    // No cut goes through: one piece must hold all others in its notches.
    let holder = parts.iter().position(|p| {
        parts.iter().all(|q| {
            q.around.0 >= p.around.0
                && q.around.1 >= p.around.1
                && q.around.2 <= p.around.2
                && q.around.3 <= p.around.3
        })
    });
    let Some(holder) = holder else { return false };
    let inner: Vec<&Part> = parts
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != holder)
        .map(|(_, p)| *p)
        .collect();
    inner.iter().all(|q| clear_of(parts[holder], q, kerf)) && guillotine(&inner, kerf)
}

/// A through cut along a sloping edge of a part, if one parts the rest.
fn by_slope<'a>(parts: &[&'a Part], kerf: f64) -> Option<(Vec<&'a Part>, Vec<&'a Part>)> {
    for p in parts {
        let r = &p.rings[0];
        for i in 0..r.len() {
            let (a, b) = (r[i], r[(i + 1) % r.len()]);
            if a.0 == b.0 || a.1 == b.1 {
                continue;
            }
            let length = (b.0 - a.0).hypot(b.1 - a.1);
            let side =
                |q: (f64, f64)| ((b.0 - a.0) * (q.1 - a.1) - (b.1 - a.1) * (q.0 - a.0)) / length;
            let (left, right): (Vec<&Part>, Vec<&Part>) = parts
                .iter()
                .partition(|q| q.rings[0].iter().all(|v| side(*v) >= -1e-6));
            if !left.is_empty()
                && !right.is_empty()
                && right
                    .iter()
                    .all(|q| q.rings[0].iter().all(|v| side(*v) <= -kerf + 1.01))
            {
                return Some((left, right));
            }
        }
    }
    None
}

/// Whether a rectangle lies clear of a rectilinear piece by at least the kerf.
fn clear_of(piece: &Part, inner: &Part, kerf: f64) -> bool {
    let b = inner.around;
    let grown = Box4(b.0 - kerf, b.1 - kerf, b.2 + kerf, b.3 + kerf);
    let mut xs: Vec<f64> = piece
        .rings
        .iter()
        .flatten()
        .map(|p| p.0)
        .chain([grown.0, grown.2])
        .collect();
    xs.sort_by(f64::total_cmp);
    xs.windows(2).filter(|w| w[1] - w[0] > 1e-9).all(|w| {
        let x = f64::midpoint(w[0], w[1]);
        x < grown.0
            || x > grown.2
            || intervals(&piece.rings, x)
                .iter()
                .all(|s| s.1 <= grown.1 + 1e-9 || s.0 >= grown.3 - 1e-9)
    })
}

/// Counts, packs, and bought = used + offcuts + scrap.
fn sums(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    for (product, board) in job.boards.iter().enumerate() {
        let sum = &layout.products[product];
        let count = layout
            .boards
            .iter()
            .filter(|b| b.product == product)
            .count() as u32;
        let cuts: usize = layout
            .boards
            .iter()
            .filter(|b| b.product == product)
            .map(|b| b.cuts.len())
            .sum();
        let used: f64 = layout
            .pieces
            .iter()
            .filter(|p| p.product == product)
            .map(piece_area)
            .sum();
        let left: f64 = layout
            .offcuts
            .iter()
            .filter(|o| o.product == product)
            .map(|o| f64::from(o.width.0) * f64::from(o.height.0))
            .sum();
        let bought = f64::from(count) * f64::from(board.length.0) * f64::from(board.height.0);
        let scrap = bought - used - left;
        let mut wrong = |what: &str| verdict.wrong.push(format!("{}: {what}", board.key));
        if sum.boards != count || sum.cuts as usize != cuts {
            wrong("counts of boards or cuts");
        }
        let wasted = f64::from(count) * (1.0 + f64::from(board.waste_ppm) / 1e6);
        let packs = wasted / f64::from(board.boards_per_pack);
        if f64::from(sum.packs) != (packs - 1e-6).ceil()
            || sum.spare_boards != sum.packs * board.boards_per_pack - count
        {
            wrong("packs");
        }
        if scrap < -1.0 || (sum.scrap_area_mm2 as f64 - scrap).abs() > 2.0 {
            wrong("bought is not used and offcuts and scrap");
        }
        let [least, most] = verdict.grid[product];
        if !(least.0..=most.0).contains(&sum.lb_area) || !(least.1..=most.1).contains(&sum.lb_eff) {
            verdict.wrong.push(format!(
                "{}: bounds {:?} given, {:?} found",
                board.key,
                (sum.lb_area, sum.lb_eff),
                verdict.bounds[product]
            ));
        }
        if sum.boards < sum.bound {
            verdict
                .wrong
                .push(format!("{}: fewer boards than the bound", board.key));
        }
    }
    for piece in &layout.pieces {
        let board = &job.boards[piece.product];
        let whole = piece_area(piece) == f64::from(board.length.0) * f64::from(board.height.0);
        if (piece.form == Form::Whole) != whole {
            verdict
                .wrong
                .push(format!("piece {}: form {:?}", piece.number, piece.form));
        }
    }
    if layout.cutting_list.len() != layout.pieces.len() {
        verdict
            .wrong
            .push("the cutting list does not list every piece once".into());
    }
}

/// A joint between two pieces of a course.
#[derive(Clone, Copy, Debug)]
struct Joint {
    x: i32,
    lo: i32,
    hi: i32,
}

fn upright_edges(piece: &Piece) -> Vec<(i32, i32, i32, bool)> {
    let mut edges = Vec::new();
    for r in std::iter::once(&piece.outline).chain(&piece.holes) {
        for i in 0..r.len() {
            let (a, b) = (r[i], r[(i + 1) % r.len()]);
            if a.x == b.x && a.y != b.y {
                edges.push((a.x.0, a.y.0.min(b.y.0), a.y.0.max(b.y.0), b.y > a.y));
            }
        }
    }
    edges
}

/// Upright edges by their place: from, to, and which way the edge runs.
type UprightEdges = BTreeMap<i32, Vec<(i32, i32, bool)>>;

/// The joints of each course, read off the pieces.
fn joints(layout: &Layout) -> Vec<Vec<Joint>> {
    let mut edges: Vec<UprightEdges> = vec![BTreeMap::new(); layout.courses.len()];
    for piece in &layout.pieces {
        for (x, lo, hi, up) in upright_edges(piece) {
            edges[piece.course].entry(x).or_default().push((lo, hi, up));
        }
    }
    edges
        .into_iter()
        .map(|course| {
            let mut found = Vec::new();
            for (x, list) in course {
                for a in list.iter().filter(|e| e.2) {
                    for b in list.iter().filter(|e| !e.2) {
                        let (lo, hi) = (a.0.max(b.0), a.1.min(b.1));
                        if lo < hi {
                            found.push(Joint { x, lo, hi });
                        }
                    }
                }
            }
            found
        })
        .collect()
}

fn rules(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    let joints = joints(layout);
    stagger(job, layout, &joints, verdict);
    butts_on_butts(job, layout, verdict);
    near_openings(job, layout, &joints, verdict);
    near_cracks(job, layout, &joints, verdict);
    near_level_cracks(job, layout, verdict);
    piece_sizes(job, layout, verdict);
    course_lines(job, layout, verdict);
}

/// Upright butts between pieces of unlike courses, at the ends of strips and the rises of a base line, by wall; those that go on
/// through several courses are one.
fn butts(job: &Job, layout: &Layout) -> Vec<Vec<Joint>> {
    let mut sides: BTreeMap<(usize, i32), UprightEdges> = BTreeMap::new();
    for piece in &layout.pieces {
        for (x, lo, hi, up) in upright_edges(piece) {
            let place = sides.entry((layout.courses[piece.course].wall, x));
            let of_course = place.or_default().entry(piece.course as i32);
            of_course.or_default().push((lo, hi, up));
        }
    }
    let mut found = vec![Vec::new(); job.walls.len()];
    for ((wall, x), courses) in sides {
        let mut spans: Vec<(i32, i32)> = Vec::new();
        for (own, edges) in &courses {
            let others = courses.iter().filter(|(course, _)| *course != own);
            for a in edges.iter().filter(|e| e.2) {
                let beyond = others.clone().flat_map(|(_, edges)| edges).filter(|e| !e.2);
                let both = beyond.map(|b| (a.0.max(b.0), a.1.min(b.1)));
                spans.extend(both.filter(|(lo, hi)| lo < hi));
            }
        }
        spans.sort_unstable();
        let mut whole: Vec<Joint> = Vec::new();
        for (lo, hi) in spans {
            match whole.last_mut() {
                Some(last) if last.hi == lo => last.hi = hi,
                _ => whole.push(Joint { x, lo, hi }),
            }
        }
        found[wall].extend(whole);
    }
    found
}

/// Joints that end where another begins, on a course line or at a step of the base line within a course, and those that end where a
/// butt does.
fn stagger(job: &Job, layout: &Layout, joints: &[Vec<Joint>], verdict: &mut Verdict) {
    let least = job.rules.stagger.0;
    let levels: Vec<_> = (0..job.walls.len())
        .map(|wall| level_joints(layout, wall))
        .collect();
    // A joint that ends at a sill or a lintel inside its course meets no other board there.
    let meets = |course: &Course, x: i32, y: i32| {
        let on = |l: &LevelJoint| l.y == y && l.from <= x && x <= l.to;
        let steps = &job.walls[course.wall].base_line;
        let step = |b: &BaseStep| b.level.0 == y && b.from.0 <= x && x <= b.to.0;
        [course.bottom.0, course.top.0].contains(&y)
            || steps.iter().any(step)
            || levels[course.wall].iter().any(on)
    };
    let mut ends: BTreeMap<(usize, i32), Vec<(usize, i32)>> = BTreeMap::new();
    for (i, course) in layout.courses.iter().enumerate() {
        for joint in joints[i].iter().filter(|j| meets(course, j.x, j.hi)) {
            let at = ends.entry((course.wall, joint.hi)).or_default();
            at.push((i, joint.x));
        }
    }
    let butts = butts(job, layout);
    for (i, course) in layout.courses.iter().enumerate() {
        for a in &joints[i] {
            let near = |x: i32| (a.x - x).abs() < least;
            let below = ends.get(&(course.wall, a.lo)).into_iter().flatten();
            let mut below = below.filter(|(j, x)| *j != i && near(*x));
            let mut own = butts[course.wall].iter().filter(|b| near(b.x));
            let [low, high] = [a.lo, a.hi].map(|y| meets(course, a.x, y));
            if low && (below.next().is_some() || own.clone().any(|b| b.hi == a.lo)) {
                let found = (Rule::Stagger, course.wall, a.x, a.lo);
                verdict.breaches.push(found);
            }
            if high && own.any(|b| b.lo == a.hi) {
                let found = (Rule::Stagger, course.wall, a.x, a.hi);
                verdict.breaches.push(found);
            }
        }
    }
}

/// Butts that end where others begin, on the level that boards lie on each other at from the one to the other.
fn butts_on_butts(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    let least = job.rules.stagger.0;
    for (wall, butts) in butts(job, layout).iter().enumerate() {
        let levels = level_joints(layout, wall);
        for (a, b) in butts.iter().flat_map(|a| butts.iter().map(move |b| (a, b))) {
            let (from, to) = (a.x.min(b.x), a.x.max(b.x));
            if a.hi != b.lo || to - from >= least {
                continue;
            }
            let on = levels.iter().filter(|l| l.y == a.hi);
            let mut on: Vec<(i32, i32)> = on.map(|l| (l.from, l.to)).collect();
            on.sort_unstable();
            let mut reached = from;
            for (lo, hi) in on {
                if lo <= reached {
                    reached = reached.max(hi);
                }
            }
            if reached >= to {
                verdict.breaches.push((Rule::Stagger, wall, b.x, a.hi));
            }
        }
    }
}

/// A corner of an opening at which the zone of a course goes on beyond the opening.
struct OpeningCorner {
    /// Index of the opening.
    opening: usize,
    x: i32,
    y: i32,
    lintel: bool,
    /// Whether it lies inside the zone rather than on its edge.
    inside: bool,
}

/// The corners of openings at which the zone of a course goes on beyond the opening, the left ones of each first.
fn opening_corners(job: &Job, layout: &Layout, course: usize) -> Vec<OpeningCorner> {
    let c = &layout.courses[course];
    let wall = &job.walls[c.wall];
    let mut corners = Vec::new();
    for (opening, o) in wall.openings.iter().enumerate() {
        let (x0, x1) = (o.corner.x.0, o.corner.x.0 + o.width.0);
        for (x, inside) in [(x0, 0.5), (x1, -0.5)] {
            let mut solid = intervals(&[ring(&wall.outline)], f64::from(x) + inside);
            zone_part(wall, c.zone, f64::from(x) + inside, &mut solid);
            let lies = |y: f64| solid.iter().any(|s| s.0 < y && y < s.1);
            for (y, lintel) in [(o.corner.y.0, false), (o.corner.y.0 + o.height.0, true)] {
                let beyond = [lies(f64::from(y) - 0.5), lies(f64::from(y) + 0.5)];
                if beyond[usize::from(lintel)] {
                    corners.push(OpeningCorner {
                        opening,
                        x,
                        y,
                        lintel,
                        inside: beyond == [true; 2],
                    });
                }
            }
        }
    }
    corners
}

fn near_openings(job: &Job, layout: &Layout, joints: &[Vec<Joint>], verdict: &mut Verdict) {
    let least = job.rules.opening_keep_out.0;
    for (index, c) in layout.courses.iter().enumerate() {
        let (x0, x1) = limits(&job.walls[c.wall]);
        // A window that turns the corner has no jamb there.
        let corners = opening_corners(job, layout, index).into_iter();
        let jambs = corners.filter(|k| x0 < f64::from(k.x) && f64::from(k.x) < x1);
        for k in jambs {
            let touches = if k.lintel {
                c.bottom.0 <= k.y && k.y < c.top.0
            } else {
                c.bottom.0 < k.y && k.y <= c.top.0
            };
            let near = joints[index].iter().filter(|j| (j.x - k.x).abs() < least);
            if touches {
                let found = near.map(|j| (Rule::OpeningKeepOut, c.wall, j.x, c.bottom.0));
                verdict.breaches.extend(found);
            }
        }
    }
}

fn near_cracks(job: &Job, layout: &Layout, joints: &[Vec<Joint>], verdict: &mut Verdict) {
    let least = f64::from(job.rules.crack_overlap.0);
    for (index, c) in layout.courses.iter().enumerate() {
        for crack in &job.walls[c.wall].keep_clear {
            let (a, b) = (
                (crack.from.x.0, crack.from.y.0),
                (crack.to.x.0, crack.to.y.0),
            );
            if (a.1 - b.1).abs() * 10 <= (a.0 - b.0).abs() {
                continue;
            }
            let (lo, hi) = (c.bottom.0.max(a.1.min(b.1)), c.top.0.min(a.1.max(b.1)));
            if lo >= hi {
                continue;
            }
            let at = |y: i32| {
                f64::from(a.0) + f64::from(b.0 - a.0) * f64::from(y - a.1) / f64::from(b.1 - a.1)
            };
            // What of the crack runs in an opening lies under no board.
            let mut parts = vec![(f64::from(lo), f64::from(hi))];
            let wall = &job.walls[c.wall];
            for o in &wall.openings {
                let (left, right) = (o.corner.x.0, (o.corner.x + o.width).0);
                let (p, q) = (at(lo).min(at(hi)), at(lo).max(at(hi)));
                if f64::from(left) < p && q < f64::from(right) {
                    let (bottom, top) = (o.corner.y.0, (o.corner.y + o.height).0);
                    parts = without(parts, (f64::from(bottom), f64::from(top)));
                }
            }
            for (lo, hi) in parts {
                let (lo, hi) = (lo as i32, hi as i32);
                let (p, q) = (at(lo).min(at(hi)), at(lo).max(at(hi)));
                for j in &joints[index] {
                    let distance = (p - f64::from(j.x)).max(f64::from(j.x) - q).max(0.0);
                    let found = (Rule::CrackOverlap, c.wall, j.x, c.bottom.0);
                    if distance < least - 1.0 {
                        verdict.breaches.push(found);
                    } else if distance < least {
                        verdict.close.push(found);
                    }
                }
            }
        }
    }
}

/// Where pieces of unlike courses of a wall lie on each other.
struct LevelJoint {
    y: i32,
    from: i32,
    to: i32,
    /// The course below.
    lower: usize,
}

fn level_joints(layout: &Layout, wall: usize) -> Vec<LevelJoint> {
    let mut edges: BTreeMap<i32, Vec<(usize, i32, i32)>> = BTreeMap::new();
    let own = layout.pieces.iter().filter(|p| p.wall == wall);
    for (piece, r) in own.flat_map(|p| {
        std::iter::once(&p.outline)
            .chain(&p.holes)
            .map(move |r| (p, r))
    }) {
        for (a, b) in (0..r.len()).map(|i| (r[i], r[(i + 1) % r.len()])) {
            if a.y == b.y {
                let level = edges.entry(a.y.0).or_default();
                level.push((piece.course, a.x.0, b.x.0));
            }
        }
    }
    let mut found = Vec::new();
    for (y, edges) in edges {
        // An edge is walked to the right below its piece, and to the left over it.
        let (bottoms, tops): (Vec<_>, Vec<_>) = edges.iter().partition(|e| e.1 < e.2);
        for (upper, lo, hi) in bottoms {
            let under = tops.iter().filter(|t| t.0 != upper);
            let both = under.map(|t| LevelJoint {
                y,
                from: lo.max(t.2),
                to: hi.min(t.1),
                lower: t.0,
            });
            found.extend(both.filter(|joint| joint.from < joint.to));
        }
    }
    found
}

/// Level joints over level cracks, on course lines and at steps of the base line.
fn near_level_cracks(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    let least = job.rules.crack_overlap.0;
    for (index, wall) in job.walls.iter().enumerate() {
        let joints = level_joints(layout, index);
        for crack in &wall.keep_clear {
            let (a, b) = (crack.from, crack.to);
            if (a.y - b.y).0.abs() * 10 > (a.x - b.x).0.abs() {
                continue;
            }
            let (from, to) = (a.x.min(b.x).0, a.x.max(b.x).0);
            let distance = |y: i32| (a.y.min(b.y).0 - y).max(y - a.y.max(b.y).0).max(0);
            let near = joints.iter().filter(|j| distance(j.y) < least);
            let over = near.filter(|j| j.from.max(from) < j.to.min(to));
            // Where it begins on each level of each course.
            let mut first: BTreeMap<(usize, i32), i32> = BTreeMap::new();
            for joint in over {
                let x = joint.from.max(from);
                let place = first.entry((joint.lower, joint.y)).or_insert(x);
                *place = x.min(*place);
            }
            let found = first.into_iter();
            let found = found.map(|((_, y), x)| (Rule::CrackOverlap, index, x, y));
            verdict.breaches.extend(found);
        }
    }
}

fn piece_sizes(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    for piece in &layout.pieces {
        let board = &job.boards[piece.product];
        let c = &layout.courses[piece.course];
        let b = around(&ring(&piece.outline));
        let width = (b.2 - b.0) as i32;
        if width < job.rules.min_piece_width.0 {
            verdict
                .breaches
                .push((Rule::MinPieceWidth, piece.wall, b.0 as i32, b.1 as i32));
        }
        let (low, x, y) = lowest_part(piece);
        if low < f64::from(job.rules.min_piece_height.0) - 1e-9 {
            let found = (Rule::MinPieceHeight, piece.wall, x as i32, y as i32);
            verdict.breaches.push(found);
        }
        let wall = &job.walls[piece.wall];
        let (x0, x1) = limits(wall);
        let shared = shared_ends(job, wall);
        let salient = |side: usize| {
            job.corners.iter().any(|k| {
                k.kind == CornerKind::Salient
                    && if side == 0 {
                        k.left_end_of == wall.id
                    } else {
                        k.right_end_of == wall.id
                    }
            }) && shared[side]
                .iter()
                .any(|s| s.0 < f64::from(c.top.0) && f64::from(c.bottom.0) < s.1)
        };
        let at_left = salient(0) && b.0 == x0 - f64::from(c.left_extension.0);
        let at_right = salient(1) && b.2 == x1 + f64::from(c.right_extension.0);
        if at_left || at_right {
            let half = (board.length.0 - board.kerf.0) / 2;
            let fits = match job.rules.corner_pieces {
                CornerPieces::WholeOrHalf => width == half || width == board.length.0,
                CornerPieces::AtLeast(least) => {
                    // What of the piece lies on its own wall.
                    let from = if at_left { x0 } else { b.0 };
                    let to = if at_right { x1 } else { b.2 };
                    (b.2.min(to) - b.0.max(from)).max(0.0) >= f64::from(least.0)
                }
            };
            if !fits {
                verdict
                    .breaches
                    .push((Rule::CornerPiece, piece.wall, b.0 as i32, b.1 as i32));
            }
        }
    }
}

/// The least height of the parts of a piece that have level edges, with its place; of one that slopes all over, its whole height.
fn lowest_part(piece: &Piece) -> (f64, f64, f64) {
    let rings: Vec<Ring> = std::iter::once(ring(&piece.outline))
        .chain(piece.holes.iter().map(|h| ring(h)))
        .collect();
    let mut xs: Vec<f64> = rings.iter().flatten().map(|p| p.0).collect();
    xs.sort_by(f64::total_cmp);
    xs.dedup();
    let mut least = (f64::MAX, 0.0, 0.0);
    for w in xs.windows(2) {
        let quarter = (w[1] - w[0]) / 4.0;
        let (a, b) = (
            intervals(&rings, w[0] + quarter),
            intervals(&rings, w[1] - quarter),
        );
        for (p, q) in a.iter().zip(&b) {
            let equal = (p.0 - q.0).abs() < 1e-9 && (p.1 - q.1).abs() < 1e-9;
            if equal && p.1 - p.0 < least.0 {
                least = (p.1 - p.0, w[0], p.0);
            }
        }
    }
    if least.0 == f64::MAX {
        let b = around(&rings[0]);
        least = (b.3 - b.1, b.0, b.1);
    }
    least
}

fn course_lines(job: &Job, layout: &Layout, verdict: &mut Verdict) {
    let clear = job.rules.course_line_clear.0;
    let mut seen = BTreeSet::new();
    for (index, c) in layout.courses.iter().enumerate() {
        let wall = &job.walls[c.wall];
        if matches!(wall.zones[c.zone].extent, ZoneExtent::FireBarrier(_)) {
            continue;
        }
        let strips: Vec<i32> = wall
            .zones
            .iter()
            .filter_map(|z| {
                if let ZoneExtent::FireBarrier(s) = z.extent {
                    Some([s.corner.y.0, (s.corner.y + s.height).0])
                } else {
                    None
                }
            })
            .flatten()
            .collect();
        // A line between two courses of one zone.
        let inner = layout
            .courses
            .iter()
            .any(|o| o.wall == c.wall && o.zone == c.zone && o.bottom == c.top);
        if !inner || strips.contains(&c.top.0) {
            continue;
        }
        // Of each sill and each lintel the corner that is further left.
        let corners = opening_corners(job, layout, index);
        for k in corners.iter().filter(|k| k.inside) {
            let near = (k.y - c.top.0).abs() < clear;
            if near && seen.insert((c.wall, c.zone, k.opening, k.lintel)) {
                verdict
                    .breaches
                    .push((Rule::CourseLineClear, c.wall, k.x, k.y));
            }
        }
    }
}

/// The checker and the engine see the same breaches at the same places: none is hidden, none is invented.
fn declared(layout: &Layout, verdict: &mut Verdict) {
    let told = layout.breaches.iter();
    let told = told.filter(|b| b.rule != Rule::CornerCourses);
    let told: Vec<_> = told.map(|b| (b.rule, b.wall, b.at.x.0, b.at.y.0)).collect();
    for found in verdict.breaches.iter().filter(|b| !told.contains(b)) {
        verdict
            .wrong
            .push(format!("a breach is not declared: {found:?}"));
    }
    let seen =
        |b: &&(Rule, usize, i32, i32)| verdict.breaches.contains(b) || verdict.close.contains(b);
    for told in told.iter().filter(|b| !seen(b)) {
        verdict
            .wrong
            .push(format!("a breach is declared that is none: {told:?}"));
    }
}
