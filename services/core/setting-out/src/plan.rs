//! From the job to courses: lanes, course lines, toothing, runs, and where no joint may be.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;

use quantity::Mm;

use crate::beyond::{Beyond, look_beyond};
use crate::butts::keep_from_butts;
use crate::geometry::{BEYOND, Edge, LaneShape, Rect, Run, Segment, Span, Toothing, runs};
use crate::layout::Rule;
use crate::lines::{Ground, Level, Outlook, add_profile};
use crate::steps::{Step, link_at_steps};
use crate::turns::{Turn, Untoothed, take_turns, untoothed};
use crate::{BaseStep, Corner, CornerKind, CornerPieces, Job, Rules, Runner, Wall, ZoneExtent};

/// One zone of one wall.
#[derive(Clone, Debug)]
pub struct Lane {
    pub wall: usize,
    pub zone: usize,
    pub product: usize,
    pub extent: ZoneExtent,
    pub shape: LaneShape,
    /// The same without openings and structural joints.
    pub bare: LaneShape,
    pub bottom: i32,
    pub top: i32,
    pub lines: Vec<i32>,
    /// Of each course between two lines, what it does at the left and at the right end of the wall.
    pub turns: [Vec<Turn>; 2],
}

impl Course {
    /// The stretches in which no joint may stand that a joint at `x` lies in, with how far it is from what each keeps clear.
    pub fn avoided(&self, x: i32) -> impl Iterator<Item = (&Avoid, i32)> {
        let from = self
            .avoid
            .partition_point(|a| a.from <= x - self.longest_avoid);
        let near = self.avoid[from..].iter().take_while(move |a| a.from < x);
        near.filter_map(move |a| a.distance(x).map(|d| (a, d)))
    }
    /// How far a piece at one end reaches past its own wall: there it lies before the other wall's boards, or beside their bed, and
    /// has nothing to be bonded to.
    pub fn past(&self, side: usize) -> i32 {
        self.extension[side].max(0)
    }
    /// The least widths of the first and the last piece of a run.
    pub fn least_widths(&self, run: &Run, rules: &Rules) -> [i32; 2] {
        let least = rules.min_piece_width.0;
        let ends = [run.x0, run.x1];
        [0, 1].map(|side| match rules.corner_pieces {
            CornerPieces::AtLeast(width) if self.corner_ends[side] == Some(ends[side]) => {
                least.max(width.0 + self.past(side))
            }
            _ => least,
        })
    }
}

/// A stretch in which no joint may stand, with what forbids it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Avoid {
    pub from: i32,
    pub to: i32,
    /// The line kept clear of, and the distance asked for.
    pub core: (i32, i32),
    pub reach: i32,
    pub rule: Rule,
}

impl Avoid {
    /// By what those of a course are sorted.
    pub fn order(&self) -> (i32, i32, Rule) {
        (self.from, self.to, self.rule)
    }
    /// How far a joint is from what it has to keep clear of; nothing if it does.
    pub fn distance(&self, x: i32) -> Option<i32> {
        (self.from < x && x < self.to).then(|| (self.core.0 - x).max(x - self.core.1).max(0))
    }
}

/// A course to be laid.
#[derive(Clone, Debug)]
pub struct Course {
    pub wall: usize,
    pub zone: usize,
    pub product: usize,
    pub number: u32,
    pub lines: Span,
    pub extension: [i32; 2],
    /// The x at which the run ends at a toothed outside corner, left and right.
    pub corner_ends: [Option<i32>; 2],
    /// Whether this course runs past the other wall at its left and right end.
    pub runs_past: [bool; 2],
    pub runs: Vec<Run>,
    /// Sorted by [`Avoid::order`].
    pub avoid: Vec<Avoid>,
    /// How long the longest of them is.
    pub longest_avoid: i32,
    /// Courses of the same wall that lie directly below and above and must be staggered against.
    pub below: Vec<usize>,
    pub above: Vec<usize>,
    /// Where the lower and the upper edge meet those courses off the course line.
    pub steps: [Vec<Step>; 2],
    /// Place and level of the butts between zones that end at the boards from below, and of those that begin over them.
    pub butts: [Vec<(i32, i32)>; 2],
    /// Where the course above would best have its joints, sorted by place.
    pub wishes: Vec<Wish>,
    /// What lies below and above.
    pub beyond: [Beyond; 2],
    /// Whether a piece of it could be lower than allowed, or a part of one.
    pub has_low: bool,
}

/// A place just inside a jamb at which the course above would best have a joint, so that little is notched away over
/// the opening's sill. A joint of this course within the stagger of it pushes that joint further into the opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wish {
    pub x: i32,
    /// Which way the joint above is pushed: to the right from a left jamb.
    pub push: Push,
    /// Height of what is notched away.
    pub void: i32,
}

/// The side to which a joint gives way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Push {
    Right,
    Left,
}

impl Wish {
    /// By how much more is notched away when a joint stands at `x`, in mm².
    pub fn cost(&self, x: i32, stagger: i32) -> i64 {
        let further = match self.push {
            Push::Right => x + stagger - self.x,
            Push::Left => self.x + stagger - x,
        };
        if (x - self.x).abs() < stagger {
            i64::from(further) * i64::from(self.void)
        } else {
            0
        }
    }
}

/// The whole job, ready to be laid.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    pub lanes: Vec<Lane>,
    pub courses: Vec<Course>,
    pub toothing_area: Vec<i64>,
    pub net_area: Vec<i64>,
    /// Stretches of corners whose two walls have unlike courses.
    pub untoothed: Vec<Untoothed>,
}

/// Two lanes that meet at a corner.
struct Meeting {
    right_end: usize,
    left_end: usize,
}

pub fn plan(job: &Job, outlook: Outlook) -> Plan {
    let mut lanes = lanes(job);
    let groups = groups(job, &lanes);
    for group in &groups {
        let lines = ground(job, &lanes, group).choose(outlook);
        for &lane in group {
            lanes[lane].lines.clone_from(&lines);
        }
    }
    take_turns(job, &mut lanes);
    let mut plan = Plan {
        lanes,
        ..Plan::default()
    };
    plan.toothing_area = alloc::vec![0; job.walls.len()];
    plan.net_area = alloc::vec![0; job.walls.len()];
    for lane in 0..plan.lanes.len() {
        add_courses(job, &mut plan, lane);
    }
    plan.untoothed = untoothed(job, &plan);
    link(&mut plan);
    link_at_steps(job, &mut plan);
    keep_from_butts(&mut plan, &job.rules);
    wish(&mut plan, job.rules.opening_keep_out.0);
    look_beyond(&mut plan, &job.rules);
    plan
}

fn product(job: &Job, key: &str) -> usize {
    job.boards.iter().position(|b| b.key == key).unwrap_or(0)
}

/// The rectangle around an outline.
pub fn around(wall: &Wall) -> Rect {
    let mut rect = Rect {
        x0: i32::MAX,
        y0: i32::MAX,
        x1: i32::MIN,
        y1: i32::MIN,
    };
    for p in &wall.outline {
        rect.x0 = rect.x0.min(p.x.0);
        rect.x1 = rect.x1.max(p.x.0);
        rect.y0 = rect.y0.min(p.y.0);
        rect.y1 = rect.y1.max(p.y.0);
    }
    rect
}

/// The openings and slots of a wall.
pub fn holes(wall: &Wall) -> (Vec<Rect>, Vec<Rect>) {
    let limits = around(wall);
    let openings = wall
        .openings
        .iter()
        .map(|o| Rect {
            x0: o.corner.x.0,
            y0: o.corner.y.0,
            x1: o.corner.x.0 + o.width.0,
            y1: o.corner.y.0 + o.height.0,
        })
        .collect();
    let slots = wall
        .structural_joints
        .iter()
        .map(|j| {
            let x0 = j.x.0 - j.gap.0 / 2;
            Rect {
                x0,
                x1: x0 + j.gap.0,
                y0: limits.y0 - BEYOND,
                y1: limits.y1 + BEYOND,
            }
        })
        .collect();
    (openings, slots)
}

/// An opening that ends with the wall goes on past its end: no board lies before the corner of a window that turns it.
fn past_ends(opening: Rect, limits: Rect) -> Rect {
    let past = [opening.x0 <= limits.x0, opening.x1 >= limits.x1];
    Rect {
        x0: opening.x0 - if past[0] { BEYOND } else { 0 },
        x1: opening.x1 + if past[1] { BEYOND } else { 0 },
        ..opening
    }
}

pub fn strip(extent: ZoneExtent, limits: Rect) -> Option<Rect> {
    let ZoneExtent::FireBarrier(strip) = extent else {
        return None;
    };
    let (x0, x1) = (strip.corner.x.0, strip.corner.x.0 + strip.width.0);
    // Nothing is left of a strip that lies beside the wall.
    (x0 < limits.x1 && limits.x0 < x1).then(|| Rect {
        x0: if x0 <= limits.x0 {
            limits.x0 - BEYOND
        } else {
            x0
        },
        x1: if x1 >= limits.x1 {
            limits.x1 + BEYOND
        } else {
            x1
        },
        y0: strip.corner.y.0,
        y1: strip.corner.y.0 + strip.height.0,
    })
}

/// What lies under each step of the base line; the first and the last go on past the ends of the wall.
pub fn steps(wall: &Wall, limits: Rect) -> Vec<Rect> {
    let under = |s: &BaseStep| Rect {
        x0: if s.from.0 <= limits.x0 {
            limits.x0 - BEYOND
        } else {
            s.from.0
        },
        x1: if s.to.0 >= limits.x1 {
            limits.x1 + BEYOND
        } else {
            s.to.0
        },
        y0: limits.y0 - BEYOND,
        y1: s.level.0,
    };
    // Where a base line goes on past the wall, its steps beside it carry nothing.
    let carries = |s: &&BaseStep| s.from.0 < limits.x1 && limits.x0 < s.to.0;
    let steps = wall.base_line.iter().filter(carries);
    steps.map(under).collect()
}

fn lanes(job: &Job) -> Vec<Lane> {
    let mut lanes = Vec::new();
    for (wall_index, wall) in job.walls.iter().enumerate() {
        let limits = around(wall);
        let (openings, slots) = holes(wall);
        let steps = steps(wall, limits);
        for (zone_index, zone) in wall.zones.iter().enumerate() {
            let mut voids: Vec<Rect> = Vec::new();
            let (mut bottom, mut top) = (limits.y0, limits.y1);
            match zone.extent {
                ZoneExtent::Plinth => {
                    voids.extend(steps.iter().map(|s| Rect {
                        y0: s.y1,
                        y1: limits.y1 + BEYOND,
                        ..*s
                    }));
                    top = steps
                        .iter()
                        .map(|s| s.y1)
                        .max()
                        .unwrap_or(bottom)
                        .clamp(bottom, limits.y1);
                    voids.extend(wall.zones.iter().filter_map(|z| strip(z.extent, limits)));
                }
                ZoneExtent::Main => {
                    voids.extend(&steps);
                    bottom = steps
                        .iter()
                        .map(|s| s.y1)
                        .min()
                        .unwrap_or(bottom)
                        .clamp(bottom, top);
                    voids.extend(wall.zones.iter().filter_map(|z| strip(z.extent, limits)));
                }
                ZoneExtent::FireBarrier(_) => {
                    let Some(rect) = strip(zone.extent, limits) else {
                        continue;
                    };
                    (bottom, top) = (rect.y0.max(limits.y0), rect.y1.min(limits.y1));
                    let (y0, y1) = (limits.y0 - BEYOND, limits.y1 + BEYOND);
                    voids.push(Rect {
                        x0: limits.x0 - 2 * BEYOND,
                        x1: rect.x0,
                        y0,
                        y1,
                    });
                    voids.push(Rect {
                        x0: rect.x1,
                        x1: limits.x1 + 2 * BEYOND,
                        y0,
                        y1,
                    });
                }
            }
            voids.retain(|v| v.width() > 0 && v.height() > 0);
            let openings = openings.iter().map(|o| past_ends(*o, limits));
            let all = openings.chain(slots.iter().copied()).chain(voids.clone());
            if bottom < top {
                lanes.push(Lane {
                    wall: wall_index,
                    zone: zone_index,
                    product: product(job, &zone.board),
                    extent: zone.extent,
                    shape: LaneShape {
                        edges: edges(wall),
                        voids: all.collect(),
                    },
                    bare: LaneShape {
                        edges: edges(wall),
                        voids,
                    },
                    bottom,
                    top,
                    lines: Vec::new(),
                    turns: [Vec::new(), Vec::new()],
                });
            }
        }
    }
    lanes
}

fn edges(wall: &Wall) -> Vec<Edge> {
    let count = wall.outline.len();
    (0..count)
        .filter_map(|i| {
            let (a, b) = (wall.outline[i], wall.outline[(i + 1) % count]);
            let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
            (a.x != b.x).then_some(Edge {
                x0: a.x.0,
                y0: a.y.0,
                x1: b.x.0,
                y1: b.y.0,
            })
        })
        .collect()
}

/// How thick the boards of a zone are, as far as a neighbour has to run past them.
pub fn board_thickness(job: &Job, lane: &Lane) -> Mm {
    match lane.extent {
        ZoneExtent::Plinth => job.boards[lane.product].thickness,
        ZoneExtent::Main | ZoneExtent::FireBarrier(_) => job.walls[lane.wall].thickness,
    }
}

/// The upright edges at one end of a wall, as spans.
fn end_spans(wall: &Wall, x: i32) -> Vec<Span> {
    let count = wall.outline.len();
    (0..count)
        .filter_map(|i| {
            let (a, b) = (wall.outline[i], wall.outline[(i + 1) % count]);
            let upright = a.x.0 == x && b.x.0 == x && a.y != b.y;
            upright.then(|| Span {
                lo: a.y.min(b.y).0,
                hi: a.y.max(b.y).0,
            })
        })
        .collect()
}

fn alike(a: ZoneExtent, b: ZoneExtent) -> bool {
    match (a, b) {
        (ZoneExtent::Main, ZoneExtent::Main) | (ZoneExtent::Plinth, ZoneExtent::Plinth) => true,
        (ZoneExtent::FireBarrier(a), ZoneExtent::FireBarrier(b)) => {
            a.corner.y == b.corner.y && a.height == b.height
        }
        _ => false,
    }
}

fn meetings(job: &Job, lanes: &[Lane]) -> Vec<Meeting> {
    let mut found = Vec::new();
    for corner in &job.corners {
        let wall = |id: &str| job.walls.iter().position(|w| w.id == id);
        let (Some(right), Some(left)) = (wall(&corner.right_end_of), wall(&corner.left_end_of))
        else {
            continue;
        };
        for (a, lane) in lanes.iter().enumerate().filter(|(_, l)| l.wall == right) {
            let partner = lanes
                .iter()
                .position(|l| l.wall == left && alike(l.extent, lane.extent));
            if let Some(b) = partner {
                found.push(Meeting {
                    right_end: a,
                    left_end: b,
                });
            }
        }
    }
    found
}

fn forced(job: &Job, lane: &Lane) -> BTreeSet<i32> {
    let wall = &job.walls[lane.wall];
    let limits = around(wall);
    if lane.extent != ZoneExtent::Main {
        return BTreeSet::new();
    }
    // A strip that stands on the base line has nothing under it to part.
    let stands = |r: &Rect| {
        let over = |s: &&BaseStep| s.from.0 < r.x1 && s.to.0 > r.x0;
        let under: Vec<&BaseStep> = wall.base_line.iter().filter(over).collect();
        !under.is_empty() && under.iter().all(|s| s.level.0 >= r.y0)
    };
    let strips = wall.zones.iter().filter_map(|z| strip(z.extent, limits));
    strips
        .flat_map(|r| [(!stands(&r)).then_some(r.y0), Some(r.y1)])
        .flatten()
        .collect()
}

/// Lanes that share their course lines because they meet at corners.
fn groups(job: &Job, lanes: &[Lane]) -> Vec<Vec<usize>> {
    let mut root: Vec<usize> = (0..lanes.len()).collect();
    for meeting in meetings(job, lanes) {
        let (a, b) = (meeting.right_end, meeting.left_end);
        let (x, y) = (&lanes[a], &lanes[b]);
        let heights = (job.boards[x.product].height, job.boards[y.product].height);
        if heights.0 == heights.1 && forced(job, x) == forced(job, y) {
            let (low, high) = (root[a].min(root[b]), root[a].max(root[b]));
            for r in &mut root {
                if *r == high {
                    *r = low;
                }
            }
        }
    }
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (lane, &r) in root.iter().enumerate() {
        groups.entry(r).or_default().push(lane);
    }
    groups.into_values().collect()
}

fn ground(job: &Job, lanes: &[Lane], group: &[usize]) -> Ground {
    let mut ground = Ground {
        bottom: i32::MAX,
        top: i32::MIN,
        ..Ground::default()
    };
    let rules = &job.rules;
    for &index in group {
        let lane = &lanes[index];
        let wall = &job.walls[lane.wall];
        let board = &job.boards[lane.product];
        ground.bottom = ground.bottom.min(lane.bottom);
        ground.top = ground.top.max(lane.top);
        ground.course_height = board.height.0;
        ground.board_length = board.length.0;
        ground.kerf = board.kerf.0;
        ground.min_height = rules.min_piece_height.0;
        ground.forced.extend(forced(job, lane));
        let (openings, _) = holes(wall);
        let low = rules.min_piece_height.0;
        let welcome = |y: i32| Level {
            y,
            low: [low; 2],
            pieces: 1,
            ..Level::default()
        };
        for o in openings {
            // Between a line and the sill over it, or the lintel under it, a strip of the opening's width is left.
            let sides = [[low, 0], [0, low]];
            let corners = corners_inside(lane, o).into_iter().zip(sides);
            let levels = corners.filter_map(|(corner, low)| {
                Some(Level {
                    y: corner?.1,
                    clear: rules.course_line_clear.0,
                    low,
                    pieces: i64::from(o.width() / board.length.0 + 2),
                })
            });
            ground.levels.extend(levels);
        }
        let tips = peaks(wall).map(|y| Level {
            low: [low, 0],
            ..welcome(y)
        });
        ground.levels.extend(tips);
        ground
            .levels
            .extend(level_edges(wall).into_iter().map(|e| welcome(e.y0)));
        ground.levels.extend(tooth_ends(job, wall, low));
        ground
            .levels
            .extend(wall.base_line.iter().map(|s| welcome(s.level.0)));
        for crack in wall.keep_clear.iter().filter(|c| runs_level(c.from, c.to)) {
            let (lo, hi) = (
                crack.from.y.min(crack.to.y).0,
                crack.from.y.max(crack.to.y).0,
            );
            ground.levels.push(Level {
                // Rounded alike wherever the datum lies.
                y: lo + (hi - lo) / 2,
                clear: rules.crack_overlap.0 + (hi - lo + 1) / 2,
                ..Level::default()
            });
        }
        let columns = lane.shape.band(
            Span {
                lo: lane.bottom,
                hi: lane.top,
            },
            &Toothing::default(),
        );
        add_profile(&mut ground.profile, &columns);
    }
    ground.levels.retain(|l| {
        let [below, above] = l.reach();
        ground.bottom - above < l.y && l.y < ground.top + below
    });
    ground
        .forced
        .retain(|y| ground.bottom < *y && *y < ground.top);
    ground.forced.sort_unstable();
    ground.forced.dedup();
    ground
}

/// Whether the lane goes on below and above a corner of an opening: at the jamb, just inside it.
fn beside_corner(lane: &Lane, opening: Rect, jamb: usize, y: i32) -> [bool; 2] {
    let x = [opening.x0, opening.x1 - 1][jamb];
    [(y - 1, y), (y, y + 1)].map(|(lo, hi)| {
        let solid = lane.bare.at((x, x + 1), Span { lo, hi });
        !solid.is_empty()
    })
}

/// The corners of an opening that lie inside the lane, for its sill and its lintel the one that is further left; a door has no sill
/// in the wall.
pub fn corners_inside(lane: &Lane, opening: Rect) -> [Option<(i32, i32)>; 2] {
    [opening.y0, opening.y1].map(|y| {
        let jambs = [opening.x0, opening.x1].into_iter().enumerate();
        let mut inside =
            jambs.filter(|&(jamb, _)| beside_corner(lane, opening, jamb, y) == [true; 2]);
        inside.next().map(|(_, x)| (x, y))
    })
}

/// The levels at which an outline rises to a point.
fn peaks(wall: &Wall) -> impl Iterator<Item = i32> + '_ {
    let corners = &wall.outline;
    let count = corners.len();
    let at = move |i: usize| corners[i % count].y;
    (0..count)
        .filter(move |&i| at(i + count - 1) < at(i) && at(i + 1) < at(i))
        .map(move |i| at(i).0)
}

/// Where the toothing of a wall's corners begins and ends: a line just inside would leave a low piece of it.
fn tooth_ends<'a>(job: &'a Job, wall: &'a Wall, low: i32) -> impl Iterator<Item = Level> + 'a {
    let own = |c: &&Corner| c.right_end_of == wall.id || c.left_end_of == wall.id;
    let spans = job.corners.iter().filter(own);
    let spans = spans.flat_map(|c| shared_end(job, c));
    spans.flat_map(move |s| {
        [(s.lo, [0, low]), (s.hi, [low, 0])].map(|(y, low)| Level {
            y,
            low,
            pieces: 1,
            ..Level::default()
        })
    })
}

/// Level edges of an outline.
fn level_edges(wall: &Wall) -> Vec<Edge> {
    edges(wall).into_iter().filter(|e| e.y0 == e.y1).collect()
}

/// Whether a crack runs along the courses, so that a course line could lie on it.
pub fn runs_level(from: crate::Point, to: crate::Point) -> bool {
    (from.y - to.y).abs() * 10 <= (from.x - to.x).abs()
}

/// Where both walls of a corner have an upright end.
pub fn shared_end(job: &Job, corner: &Corner) -> Vec<Span> {
    let wall = |id: &str| job.walls.iter().find(|w| w.id == id);
    let (Some(a), Some(b)) = (wall(&corner.right_end_of), wall(&corner.left_end_of)) else {
        return Vec::new();
    };
    let mut spans = Vec::new();
    for x in end_spans(a, around(a).x1) {
        for y in end_spans(b, around(b).x0) {
            let span = Span {
                lo: x.lo.max(y.lo),
                hi: x.hi.min(y.hi),
            };
            if span.lo < span.hi {
                spans.push(span);
            }
        }
    }
    spans
}

/// One end of a lane in one course.
struct End {
    extension: i32,
    spans: Vec<Span>,
    kind: Option<CornerKind>,
    running: bool,
}

fn end(job: &Job, lane: &Lane, own: Runner, turn: Turn) -> End {
    let id = &job.walls[lane.wall].id;
    let corner = job.corners.iter().find(|c| match own {
        Runner::RightEnd => c.right_end_of == *id,
        Runner::LeftEnd => c.left_end_of == *id,
    });
    let none = End {
        extension: 0,
        spans: Vec::new(),
        kind: None,
        running: false,
    };
    let Some(corner) = corner else { return none };
    let other = match own {
        Runner::RightEnd => &corner.left_end_of,
        Runner::LeftEnd => &corner.right_end_of,
    };
    let Some(other) = job.walls.iter().find(|w| w.id == *other) else {
        return none;
    };
    let thickness = turn.against.unwrap_or(other.thickness);
    let running = match turn.against {
        Some(_) => (corner.first_to_run == own) == turn.count.is_multiple_of(2),
        // Where the other wall has no board there is nothing to run past, and inside nothing to leave room for.
        None => corner.kind == CornerKind::ReEntrant,
    };
    let extension = match (corner.kind, running) {
        (CornerKind::Salient, true) => (thickness + other.bed).0,
        (CornerKind::Salient, false) => other.bed.0,
        (CornerKind::ReEntrant, true) => 0,
        (CornerKind::ReEntrant, false) => -(thickness + other.bed).0,
    };
    End {
        extension,
        spans: shared_end(job, corner),
        kind: Some(corner.kind),
        running,
    }
}

fn add_courses(job: &Job, plan: &mut Plan, index: usize) {
    let lane = plan.lanes[index].clone();
    let wall = &job.walls[lane.wall];
    let limits = around(wall);
    let (openings, _) = holes(wall);
    let mut number = 0;
    for (line, pair) in lane.lines.windows(2).enumerate() {
        let lines = Span {
            lo: pair[0].max(lane.bottom),
            hi: pair[1].min(lane.top),
        };
        if lines.lo >= lines.hi {
            continue;
        }
        let ends = [
            end(job, &lane, Runner::LeftEnd, lane.turns[0][line]),
            end(job, &lane, Runner::RightEnd, lane.turns[1][line]),
        ];
        let toothing = toothing(&ends, limits);
        let plain = lane.shape.band(lines, &Toothing::default());
        let columns = lane.shape.band(lines, &toothing);
        let area = |c: &[crate::geometry::Column]| -> i64 {
            c.iter()
                .flat_map(|c| &c.segments)
                .map(Segment::area2)
                .sum::<i64>()
        };
        plan.net_area[lane.wall] += area(&plain);
        plan.toothing_area[lane.wall] += area(&columns) - area(&plain);
        let runs = runs(columns);
        if runs.is_empty() {
            continue;
        }
        number += 1;
        let at_end = |side: usize, x: i32| {
            let touches = ends[side]
                .spans
                .iter()
                .any(|s| s.lo < lines.hi && s.hi > lines.lo);
            (touches && ends[side].kind == Some(CornerKind::Salient)).then_some(x)
        };
        let least = job.rules.min_piece_height.0;
        let low = |s: &Segment| (0..2).any(|end| s.hi[end] - s.lo[end] < least);
        let columns = runs.iter().flat_map(|r| &r.columns);
        let has_low = columns.flat_map(|c| &c.segments).any(low);
        plan.courses.push(Course {
            has_low,
            wall: lane.wall,
            zone: lane.zone,
            product: lane.product,
            number,
            lines,
            extension: [ends[0].extension, ends[1].extension],
            corner_ends: [
                at_end(0, limits.x0 - ends[0].extension),
                at_end(1, limits.x1 + ends[1].extension),
            ],
            runs_past: [ends[0].running, ends[1].running],
            runs,
            avoid: avoid(job, &lane, &openings, lines),
            longest_avoid: 0,
            below: Vec::new(),
            above: Vec::new(),
            steps: [Vec::new(), Vec::new()],
            butts: [Vec::new(), Vec::new()],
            wishes: Vec::new(),
            beyond: [Beyond::default(), Beyond::default()],
        });
    }
}

fn toothing(ends: &[End; 2], limits: Rect) -> Toothing {
    let mut toothing = Toothing::default();
    for (side, end) in ends.iter().enumerate() {
        for span in &end.spans {
            let (y0, y1) = (span.lo, span.hi);
            let e = end.extension;
            let (x0, x1) = if side == 0 {
                (limits.x0 - e, limits.x0)
            } else {
                (limits.x1, limits.x1 + e)
            };
            match e {
                1.. => toothing.added.push(Rect { x0, y0, x1, y1 }),
                ..0 => toothing.taken.push(Rect {
                    x0: x1.min(x0),
                    y0,
                    x1: x1.max(x0),
                    y1,
                }),
                0 => {}
            }
        }
    }
    toothing
}

fn avoid(job: &Job, lane: &Lane, openings: &[Rect], lines: Span) -> Vec<Avoid> {
    let wall = &job.walls[lane.wall];
    let limits = around(wall);
    let mut list = Vec::new();
    let reach = job.rules.opening_keep_out.0;
    for o in openings {
        let near_sill = lines.lo < o.y0 && o.y0 <= lines.hi;
        let near_lintel = lines.lo <= o.y1 && o.y1 < lines.hi;
        if !(near_sill || near_lintel) {
            continue;
        }
        for (jamb, x) in [o.x0, o.x1].into_iter().enumerate() {
            // A window that turns the corner has no jamb there.
            let within = limits.x0 < x && x < limits.x1;
            let goes_on = |y: i32, side: usize| beside_corner(lane, *o, jamb, y)[side];
            if within && (near_sill && goes_on(o.y0, 0) || near_lintel && goes_on(o.y1, 1)) {
                let rule = Rule::OpeningKeepOut;
                list.push(Avoid {
                    from: x - reach,
                    to: x + reach,
                    core: (x, x),
                    reach,
                    rule,
                });
            }
        }
    }
    let reach = job.rules.crack_overlap.0;
    let cracks = wall.keep_clear.iter();
    // Where boards need not cover a crack, a joint may cross it.
    let cracks = cracks.filter(|c| reach > 0 && !runs_level(c.from, c.to));
    for crack in cracks {
        let (a, b) = if crack.from.y <= crack.to.y {
            (crack.from, crack.to)
        } else {
            (crack.to, crack.from)
        };
        if a.y.0 >= lines.hi || b.y.0 <= lines.lo {
            continue;
        }
        let at = |y: i32| -> Mm {
            let (rise, run) = (i64::from((b.y - a.y).0), i64::from((b.x - a.x).0));
            if rise == 0 {
                a.x
            } else {
                Mm(a.x.0 + (run * i64::from(y - a.y.0) / rise) as i32)
            }
        };
        // What of the crack runs in an opening lies under no board.
        let mut parts = alloc::vec![(lines.lo.max(a.y.0), lines.hi.min(b.y.0))];
        for o in openings {
            let within = |x: i32| o.x0 < x && x < o.x1;
            let less = |(lo, hi): (i32, i32)| {
                let through = within(at(lo).0) && within(at(hi).0);
                let (below, above) = ((lo, hi.min(o.y0)), (lo.max(o.y1), hi));
                if through {
                    [below, above]
                } else {
                    [(lo, hi), (0, 0)]
                }
            };
            parts = parts.into_iter().flat_map(less).collect();
            parts.retain(|p| p.0 < p.1);
        }
        for (lo, hi) in parts {
            let (p, q) = (at(lo).0, at(hi).0);
            let core = (p.min(q), p.max(q));
            list.push(Avoid {
                from: core.0 - reach,
                to: core.1 + reach,
                core,
                reach,
                rule: Rule::CrackOverlap,
            });
        }
    }
    list.sort_unstable_by_key(Avoid::order);
    list
}

/// Finds for each course what lies on it and under it.
fn link(plan: &mut Plan) {
    let mut by_bottom: BTreeMap<(usize, i32), Vec<usize>> = BTreeMap::new();
    for (index, course) in plan.courses.iter().enumerate() {
        by_bottom
            .entry((course.wall, course.lines.lo))
            .or_default()
            .push(index);
    }
    for index in 0..plan.courses.len() {
        let course = &plan.courses[index];
        let above = by_bottom
            .get(&(course.wall, course.lines.hi))
            .cloned()
            .unwrap_or_default();
        for other in above {
            plan.courses[index].above.push(other);
            plan.courses[other].below.push(index);
        }
    }
}

/// Notes in each course what the courses above wish of it.
fn wish(plan: &mut Plan, clear: i32) {
    for index in 0..plan.courses.len() {
        let course = &plan.courses[index];
        let mut wishes: Vec<Wish> = Vec::new();
        let above = course.above.iter().map(|&c| &plan.courses[c]);
        let above = above.filter(|upper| upper.lines.lo == course.lines.hi);
        for (upper, column) in
            above.flat_map(|u| u.runs.iter().flat_map(|r| &r.columns).map(move |c| (u, c)))
        {
            let Some(low) = column.segments.first() else {
                continue;
            };
            let void = upper.lines.hi - low.hi[0];
            let inside = column.x1 - column.x0 > 2 * clear;
            if low.is_level() && low.lo[0] == upper.lines.lo && void > 0 && inside {
                wishes.push(Wish {
                    x: column.x0 + clear,
                    push: Push::Right,
                    void,
                });
                wishes.push(Wish {
                    x: column.x1 - clear,
                    push: Push::Left,
                    void,
                });
            }
        }
        wishes.sort_unstable();
        plan.courses[index].wishes = wishes;
    }
}
