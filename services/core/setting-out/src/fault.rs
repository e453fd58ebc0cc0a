//! What makes a job impossible to read: every fault at once, each with its place in the input.

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use quantity::Mm;

use crate::plan::around;
use crate::{Corner, CornerPieces, Job, Opening, Point, Rules, Wall, ZoneExtent};

/// Something in a job that no layout could be made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where: the path of the field, such as `walls[2].openings[0].width`.
    pub path: String,
    /// What stands there.
    pub found: String,
    /// What would be accepted.
    pub expected: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: found {}, expected {}",
            self.path, self.found, self.expected
        )
    }
}

/// Walls in a job.
pub const MAX_WALLS: usize = 500;
/// Openings in a wall.
pub const MAX_OPENINGS: usize = 4_000;
/// Points of an outline, steps of a base line, zones, joints and cracks of a wall.
pub const MAX_PARTS: usize = 200;
/// Boards that a job may need by area.
pub const MAX_BOARDS: i64 = 100_000;
/// As many boards wasted as laid.
const MAX_WASTE_PPM: u32 = 1_000_000;
/// Widest slot of a structural joint.
const MAX_GAP: i32 = 500;
/// Longest side of a board.
const MAX_BOARD_SIDE: i32 = 6_000;

struct Faults(Vec<Fault>);

impl Faults {
    fn add(
        &mut self,
        path: impl Into<String>,
        found: impl fmt::Display,
        expected: impl Into<String>,
    ) {
        self.0.push(Fault {
            path: path.into(),
            found: format!("{found}"),
            expected: expected.into(),
        });
    }
    fn range(&mut self, path: impl Into<String>, value: Mm, from: i32, to: i32) {
        if value.0 < from || value.0 > to {
            self.add(path, value, format!("{from} to {to} mm"));
        }
    }
    fn count(&mut self, path: impl Into<String>, count: usize, limit: usize) {
        if count > limit {
            self.add(path, count, format!("at most {limit}"));
        }
    }
}

/// Every fault of a job, in the order of its fields.
pub fn faults(job: &Job) -> Vec<Fault> {
    let mut faults = Faults(Vec::new());
    faults.count("walls", job.walls.len(), MAX_WALLS);
    if job.walls.is_empty() {
        faults.add("walls", "none", "at least one wall");
    }
    let mut seen = BTreeSet::new();
    for (index, wall) in job.walls.iter().enumerate().take(MAX_WALLS) {
        if !seen.insert(&wall.id) {
            faults.add(
                format!("walls[{index}].id"),
                &wall.id,
                "an id that no other wall has",
            );
        }
        check_wall(job, wall, &format!("walls[{index}]"), &mut faults);
    }
    check_corners(job, &mut faults);
    check_boards(job, &mut faults);
    check_rules(job, &job.rules, &mut faults);
    if faults.0.is_empty() {
        check_size(job, &mut faults);
    }
    faults.0
}

fn check_wall(job: &Job, wall: &Wall, path: &str, faults: &mut Faults) {
    faults.count(
        format!("{path}.openings"),
        wall.openings.len(),
        MAX_OPENINGS,
    );
    faults.count(format!("{path}.outline"), wall.outline.len(), MAX_PARTS);
    faults.count(format!("{path}.base_line"), wall.base_line.len(), MAX_PARTS);
    faults.count(format!("{path}.zones"), wall.zones.len(), MAX_PARTS);
    faults.count(
        format!("{path}.structural_joints"),
        wall.structural_joints.len(),
        MAX_PARTS,
    );
    faults.count(
        format!("{path}.keep_clear"),
        wall.keep_clear.len(),
        MAX_PARTS,
    );
    // At a corner boards without thickness would all run past, and all stop.
    let at_corner = |c: &Corner| [&c.right_end_of, &c.left_end_of].contains(&&wall.id);
    let thinnest = i32::from(job.corners.iter().any(at_corner));
    faults.range(format!("{path}.thickness"), wall.thickness, thinnest, 1_000);
    faults.range(format!("{path}.bed"), wall.bed, 0, 200);
    let limit = Mm::LIMIT.0;
    for (i, p) in wall.outline.iter().enumerate().take(MAX_PARTS) {
        faults.range(format!("{path}.outline[{i}].x"), p.x, -limit, limit);
        faults.range(format!("{path}.outline[{i}].y"), p.y, -limit, limit);
    }
    for (i, c) in wall.keep_clear.iter().enumerate().take(MAX_PARTS) {
        for (name, p) in [("from", c.from), ("to", c.to)] {
            faults.range(
                format!("{path}.keep_clear[{i}].{name}.x"),
                p.x,
                -limit,
                limit,
            );
            faults.range(
                format!("{path}.keep_clear[{i}].{name}.y"),
                p.y,
                -limit,
                limit,
            );
        }
    }
    let ring = sound_outline(wall, path, faults);
    check_openings(wall, ring, path, faults);
    check_base_line(wall, ring, path, faults);
    check_zones(job, wall, path, faults);
    check_joints(wall, ring, path, faults);
}

/// The outline, where what lies on the wall can be measured against it.
fn sound_outline<'a>(wall: &'a Wall, path: &str, faults: &mut Faults) -> Option<&'a [Point]> {
    let field = format!("{path}.outline");
    if faults.0.iter().any(|f| f.path.starts_with(&field)) {
        return None;
    }
    if let Some(why) = not_simple(&wall.outline) {
        faults.add(field, why, "a simple polygon with an area");
        return None;
    }
    Some(&wall.outline)
}

fn check_joints(wall: &Wall, ring: Option<&[Point]>, path: &str, faults: &mut Faults) {
    for (i, joint) in wall.structural_joints.iter().enumerate().take(MAX_PARTS) {
        faults.range(
            format!("{path}.structural_joints[{i}].gap"),
            joint.gap,
            1,
            MAX_GAP,
        );
        // Boards stand at either side of the whole slot.
        let gap = joint.gap.0.clamp(1, MAX_GAP);
        let before = gap / 2;
        let [from, to] = match ring {
            Some(_) => {
                let limits = around(wall);
                [limits.x0 + 1 + before, limits.x1 - 1 - (gap - before)]
            }
            None => [-Mm::LIMIT.0, Mm::LIMIT.0],
        };
        faults.range(
            format!("{path}.structural_joints[{i}].x"),
            joint.x,
            from,
            to,
        );
    }
}

fn cross(a: Point, b: Point, c: Point) -> i64 {
    i64::from((b.x - a.x).0) * i64::from((c.y - a.y).0)
        - i64::from((b.y - a.y).0) * i64::from((c.x - a.x).0)
}

/// Whether two closed segments touch.
fn touch(a: (Point, Point), b: (Point, Point)) -> bool {
    let within = |p: Point, s: (Point, Point)| {
        cross(s.0, s.1, p) == 0
            && p.x >= s.0.x.min(s.1.x)
            && p.x <= s.0.x.max(s.1.x)
            && p.y >= s.0.y.min(s.1.y)
            && p.y <= s.0.y.max(s.1.y)
    };
    let side = |s: (Point, Point), p: Point| cross(s.0, s.1, p).signum();
    (side(a, b.0) * side(a, b.1) < 0 && side(b, a.0) * side(b, a.1) < 0)
        || within(b.0, a)
        || within(b.1, a)
        || within(a.0, b)
        || within(a.1, b)
}

/// Why a ring is not a simple polygon, if it is not.
fn not_simple(ring: &[Point]) -> Option<String> {
    let count = ring.len();
    if count < 3 {
        return Some(format!("{count} points"));
    }
    if crate::geometry::area2(ring) == 0 {
        return Some("no area".to_string());
    }
    let edge = |i: usize| (ring[i], ring[(i + 1) % count]);
    for i in 0..count {
        if edge(i).0 == edge(i).1 {
            return Some(format!("point {i} twice in a row"));
        }
        for j in i + 1..count {
            let next = j == i + 1 || (i == 0 && j == count - 1);
            if next {
                let (a, b, c) = if j == i + 1 {
                    (ring[i], ring[j], ring[(j + 1) % count])
                } else {
                    (ring[j], ring[0], ring[1])
                };
                let back = cross(a, b, c) == 0
                    && i64::from((b.x - a.x).0) * i64::from((c.x - b.x).0)
                        + i64::from((b.y - a.y).0) * i64::from((c.y - b.y).0)
                        < 0;
                if back {
                    return Some(format!("an edge that runs back on itself after point {i}"));
                }
            } else if touch(edge(i), edge(j)) {
                return Some(format!("edges {i} and {j} meet"));
            }
        }
    }
    None
}

fn check_openings(wall: &Wall, ring: Option<&[Point]>, path: &str, faults: &mut Faults) {
    let limit = Mm::LIMIT.0;
    let mut sound: Vec<(usize, &Opening)> = Vec::new();
    for (i, o) in wall.openings.iter().enumerate().take(MAX_OPENINGS) {
        let before = faults.0.len();
        faults.range(format!("{path}.openings[{i}].width"), o.width, 1, limit);
        faults.range(format!("{path}.openings[{i}].height"), o.height, 1, limit);
        faults.range(
            format!("{path}.openings[{i}].corner.x"),
            o.corner.x,
            -limit,
            limit,
        );
        faults.range(
            format!("{path}.openings[{i}].corner.y"),
            o.corner.y,
            -limit,
            limit,
        );
        if faults.0.len() == before {
            if ring.is_some_and(|ring| !inside(ring, o)) {
                faults.add(
                    format!("{path}.openings[{i}]"),
                    format!("opening {}", o.id),
                    "an opening inside the outline",
                );
            }
            sound.push((i, o));
        }
    }
    sound.sort_by_key(|(i, o)| (o.corner.x, *i));
    for (at, (i, a)) in sound.iter().enumerate() {
        let right = a.corner.x + a.width;
        for (j, b) in sound
            .iter()
            .skip(at + 1)
            .take_while(|(_, b)| b.corner.x < right)
        {
            if a.corner.y < b.corner.y + b.height && b.corner.y < a.corner.y + a.height {
                faults.add(
                    format!("{path}.openings[{}]", i.max(j)),
                    format!("opening {} overlaps opening {}", b.id, a.id),
                    "openings that do not overlap",
                );
            }
        }
    }
}

/// Whether a rectangle lies in a ring; it may touch the edge.
fn inside(ring: &[Point], o: &Opening) -> bool {
    let (x0, y0, x1, y1) = (
        o.corner.x,
        o.corner.y,
        o.corner.x + o.width,
        o.corner.y + o.height,
    );
    let count = ring.len();
    let crosses = (0..count).any(|i| {
        let (a, b) = (ring[i], ring[(i + 1) % count]);
        let outside = (a.x <= x0 && b.x <= x0)
            || (a.x >= x1 && b.x >= x1)
            || (a.y <= y0 && b.y <= y0)
            || (a.y >= y1 && b.y >= y1);
        if outside {
            return false;
        }
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            .map(|(x, y)| cross(a, b, Point { x, y }).signum());
        !(corners.iter().all(|s| *s >= 0) || corners.iter().all(|s| *s <= 0))
    });
    let (mx, my) = (
        2 * i64::from(x0.0) + i64::from(o.width.0),
        2 * i64::from(y0.0) + i64::from(o.height.0),
    );
    !crosses && contains(ring, mx, my)
}

/// Whether a ring contains a point given in half millimetres.
fn contains(ring: &[Point], x2: i64, y2: i64) -> bool {
    let count = ring.len();
    let mut odd = false;
    for i in 0..count {
        let (a, b) = (ring[i], ring[(i + 1) % count]);
        let (ay, by) = (2 * i64::from(a.y.0), 2 * i64::from(b.y.0));
        if (ay > y2) != (by > y2) {
            let (ax, bx) = (2 * i64::from(a.x.0), 2 * i64::from(b.x.0));
            let side = (bx - ax) * (y2 - ay) - (x2 - ax) * (by - ay);
            if (side > 0) == (by > ay) {
                odd = !odd;
            }
        }
    }
    odd
}

fn check_base_line(wall: &Wall, ring: Option<&[Point]>, path: &str, faults: &mut Faults) {
    let (Some(first), Some(last)) = (wall.base_line.first(), wall.base_line.last()) else {
        return;
    };
    let limits = around(wall);
    if ring.is_some() && (first.from.0 > limits.x0 || last.to.0 < limits.x1) {
        faults.add(
            format!("{path}.base_line"),
            format!("{} to {}", first.from, last.to),
            format!(
                "steps over the whole wall, {} to {} mm",
                limits.x0, limits.x1
            ),
        );
    }
    let limit = Mm::LIMIT.0;
    for (i, step) in wall.base_line.iter().enumerate().take(MAX_PARTS) {
        faults.range(
            format!("{path}.base_line[{i}].level"),
            step.level,
            -limit,
            limit,
        );
        faults.range(
            format!("{path}.base_line[{i}].from"),
            step.from,
            -limit,
            limit,
        );
        faults.range(format!("{path}.base_line[{i}].to"), step.to, -limit, limit);
        if step.from >= step.to {
            faults.add(
                format!("{path}.base_line[{i}].to"),
                step.to,
                format!("more than {}", step.from),
            );
        }
        if let Some(next) = wall.base_line.get(i + 1)
            && next.from != step.to
        {
            faults.add(
                format!("{path}.base_line[{}].from", i + 1),
                next.from,
                step.to.to_string(),
            );
        }
    }
}

fn check_zones(job: &Job, wall: &Wall, path: &str, faults: &mut Faults) {
    let count = |extent: ZoneExtent| wall.zones.iter().filter(|z| z.extent == extent).count();
    if count(ZoneExtent::Main) != 1 {
        faults.add(
            format!("{path}.zones"),
            format!("{} main zones", count(ZoneExtent::Main)),
            "exactly one main zone",
        );
    }
    let plinths = count(ZoneExtent::Plinth);
    if plinths > 1 {
        faults.add(
            format!("{path}.zones"),
            format!("{plinths} plinth zones"),
            "at most one plinth zone",
        );
    }
    if plinths > 0 && wall.base_line.is_empty() {
        faults.add(
            format!("{path}.base_line"),
            "none",
            "a base line, because there is a plinth zone",
        );
    }
    let limit = Mm::LIMIT.0;
    let mut strips: Vec<(Mm, Mm, Mm, Mm)> = Vec::new();
    for (i, zone) in wall.zones.iter().enumerate().take(MAX_PARTS) {
        if !job.boards.iter().any(|b| b.key == zone.board) {
            faults.add(
                format!("{path}.zones[{i}].board"),
                &zone.board,
                "the key of a board of the job",
            );
        }
        let ZoneExtent::FireBarrier(s) = zone.extent else {
            continue;
        };
        let before = faults.0.len();
        faults.range(format!("{path}.zones[{i}].width"), s.width, 1, limit);
        faults.range(format!("{path}.zones[{i}].height"), s.height, 1, limit);
        faults.range(
            format!("{path}.zones[{i}].corner.x"),
            s.corner.x,
            -limit,
            limit,
        );
        faults.range(
            format!("{path}.zones[{i}].corner.y"),
            s.corner.y,
            -limit,
            limit,
        );
        if faults.0.len() > before {
            continue;
        }
        let own = (
            s.corner.x,
            s.corner.y,
            s.corner.x + s.width,
            s.corner.y + s.height,
        );
        if strips
            .iter()
            .any(|t| own.0 < t.2 && t.0 < own.2 && own.1 < t.3 && t.1 < own.3)
        {
            faults.add(
                format!("{path}.zones[{i}]"),
                format!("strip {}", zone.id),
                "strips that do not overlap",
            );
        }
        let above_base = wall
            .base_line
            .iter()
            .all(|b| s.corner.y >= b.level || b.from >= own.2 || b.to <= own.0);
        if !above_base {
            faults.add(
                format!("{path}.zones[{i}].corner.y"),
                s.corner.y,
                "a strip above the base line",
            );
        }
        strips.push(own);
    }
}

fn check_corners(job: &Job, faults: &mut Faults) {
    let mut used = BTreeSet::new();
    faults.count("corners", job.corners.len(), 2 * MAX_WALLS);
    for (i, corner) in job.corners.iter().enumerate().take(2 * MAX_WALLS) {
        for (field, id) in [
            ("right_end_of", &corner.right_end_of),
            ("left_end_of", &corner.left_end_of),
        ] {
            if !job.walls.iter().any(|w| w.id == *id) {
                faults.add(format!("corners[{i}].{field}"), id, "the id of a wall");
            }
            if !used.insert((field, id)) {
                faults.add(
                    format!("corners[{i}].{field}"),
                    id,
                    "a wall end that is in no other corner",
                );
            }
        }
    }
}

fn check_boards(job: &Job, faults: &mut Faults) {
    let mut seen = BTreeSet::new();
    faults.count("boards", job.boards.len(), MAX_PARTS);
    for (i, board) in job.boards.iter().enumerate().take(MAX_PARTS) {
        if !seen.insert(&board.key) {
            faults.add(
                format!("boards[{i}].key"),
                &board.key,
                "a key that no other board has",
            );
        }
        faults.range(
            format!("boards[{i}].length"),
            board.length,
            50,
            MAX_BOARD_SIDE,
        );
        faults.range(
            format!("boards[{i}].height"),
            board.height,
            50,
            MAX_BOARD_SIDE,
        );
        faults.range(format!("boards[{i}].thickness"), board.thickness, 1, 1_000);
        faults.range(format!("boards[{i}].kerf"), board.kerf, 0, 20);
        if !(1..=100_000).contains(&board.boards_per_pack) {
            faults.add(
                format!("boards[{i}].boards_per_pack"),
                board.boards_per_pack,
                "1 to 100000",
            );
        }
        if board.waste_ppm > MAX_WASTE_PPM {
            faults.add(
                format!("boards[{i}].waste_ppm"),
                board.waste_ppm,
                format!("0 to {MAX_WASTE_PPM}"),
            );
        }
        if board.height > board.length {
            faults.add(
                format!("boards[{i}].height"),
                board.height,
                format!("at most the length, {}", board.length),
            );
        }
    }
}

fn check_rules(job: &Job, rules: &Rules, faults: &mut Faults) {
    let used = |key: &String| {
        job.walls
            .iter()
            .flat_map(|w| &w.zones)
            .any(|z| z.board == *key)
    };
    let boards = || job.boards.iter().filter(|b| used(&b.key));
    // A side that is itself a fault is no measure of rules.
    let side = |least: Option<Mm>| least.map(|mm| mm.clamp(Mm(0), Mm(MAX_BOARD_SIDE)));
    let Some(length) = side(boards().map(|b| b.length).min()) else {
        return;
    };
    let Some(height) = side(boards().map(|b| b.height).min()) else {
        return;
    };
    let corner = match rules.corner_pieces {
        CornerPieces::WholeOrHalf => Mm(0),
        CornerPieces::AtLeast(least) => least,
    };
    let half = length / 2;
    for (name, value, limit, why) in [
        ("stagger", rules.stagger, half, "half the shortest board"),
        (
            "min_piece_width",
            rules.min_piece_width,
            half,
            "half the shortest board",
        ),
        (
            "min_piece_height",
            rules.min_piece_height,
            height,
            "the lowest board",
        ),
        ("corner_pieces", corner, length, "the shortest board"),
        (
            "opening_keep_out",
            rules.opening_keep_out,
            half,
            "half the shortest board",
        ),
        (
            "course_line_clear",
            rules.course_line_clear,
            height / 2,
            "half the lowest board",
        ),
        (
            "crack_overlap",
            rules.crack_overlap,
            half,
            "half the shortest board",
        ),
    ] {
        if value.0 < 0 || value > limit {
            faults.add(
                format!("rules.{name}"),
                value,
                format!("0 to {limit}, {why}"),
            );
        }
    }
}

fn check_size(job: &Job, faults: &mut Faults) {
    let smallest = job
        .boards
        .iter()
        .map(|b| i64::from(b.length.0) * i64::from(b.height.0))
        .min()
        .unwrap_or(1);
    let area: i64 = job
        .walls
        .iter()
        .map(|w| crate::geometry::area2(&w.outline).abs() / 2)
        .sum();
    let courses: i64 = job
        .walls
        .iter()
        .map(|w| i64::from(around(w).height()))
        .sum::<i64>()
        / i64::from(job.boards.iter().map(|b| b.height.0).min().unwrap_or(1));
    if area / smallest.max(1) > MAX_BOARDS || courses > MAX_BOARDS {
        faults.add(
            "walls",
            format!("{} boards by area", area / smallest.max(1)),
            format!("at most {MAX_BOARDS} boards"),
        );
    }
}
