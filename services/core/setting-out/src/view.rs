//! One of a building and its mirror image, each wall from its left end and the walls in an order of their own: the view in which a job
//! is solved, so that a mirror image, a moved origin or another list of the same walls gets the same boards and cuts, and the way back.

use alloc::vec::Vec;

use quantity::Mm;

use crate::beyond::Beyond;
use crate::finish;
use crate::geometry::{Column, Edge, LaneShape, Rect, Run, Segment};
use crate::layout::{Layout, Stopped};
use crate::order::walls_in_order;
use crate::plan::{Avoid, Course, Lane, Plan, around};
use crate::search::{Laid, LaidRun, Search, Work, blank};
use crate::steps::Step;
use crate::stock::{Sheet, Style};
use crate::turns::Untoothed;
use crate::{
    BaseStep, Corner, CornerKind, Job, Opening, Point, Runner, Strip, Wall, Zone, ZoneExtent,
};

/// A job as it is solved.
pub struct View {
    pub job: Job,
    image: Image,
    /// For each wall as it was given the way back to there.
    back: Vec<Way>,
    /// The place in the given list of each wall of the job.
    walls: Vec<usize>,
    /// The place in the given list of each corner of the job.
    corners: Vec<usize>,
}

/// Which of a building and its mirror image is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Image {
    AsGiven,
    Mirrored,
}

/// Left and right against each other, along one wall.
#[derive(Clone, Copy, Debug)]
struct Way {
    image: Image,
    from: i32,
}

impl Way {
    /// Onto a wall that begins at nothing.
    fn away(image: Image, wall: &Wall) -> Self {
        let ends = around(wall);
        let from = match image {
            Image::AsGiven => -ends.x0,
            Image::Mirrored => ends.x1,
        };
        Self { image, from }
    }
    /// The other way round. A mirror image is its own.
    fn back(self) -> Self {
        match self.image {
            Image::AsGiven => Self {
                from: -self.from,
                ..self
            },
            Image::Mirrored => self,
        }
    }
    fn x(self, x: i32) -> i32 {
        match self.image {
            Image::AsGiven => self.from + x,
            Image::Mirrored => self.from - x,
        }
    }
    /// A stretch stays one from left to right.
    fn stretch(self, [x0, x1]: [i32; 2]) -> [i32; 2] {
        self.sides([self.x(x0), self.x(x1)])
    }
    /// What belongs to the left and to the right end.
    fn sides<T>(self, [left, right]: [T; 2]) -> [T; 2] {
        match self.image {
            Image::AsGiven => [left, right],
            Image::Mirrored => [right, left],
        }
    }
    /// From left to right.
    fn row<T>(self, mut all: Vec<T>) -> Vec<T> {
        if self.image == Image::Mirrored {
            all.reverse();
        }
        all
    }
    fn point(self, p: Point) -> Point {
        Point {
            x: Mm(self.x(p.x.0)),
            y: p.y,
        }
    }
    fn corner(self, corner: Point, width: Mm) -> Point {
        let [x, _] = self.stretch([corner.x.0, (corner.x + width).0]);
        Point {
            x: Mm(x),
            y: corner.y,
        }
    }
    fn segment(self, s: &Segment) -> Segment {
        let [x0, x1] = self.stretch([s.x0, s.x1]);
        Segment {
            x0,
            x1,
            lo: self.sides(s.lo),
            hi: self.sides(s.hi),
        }
    }
    fn run(self, run: &Run) -> Run {
        let [x0, x1] = self.stretch([run.x0, run.x1]);
        let column = |column: &Column| {
            let [x0, x1] = self.stretch([column.x0, column.x1]);
            let segments = column.segments.iter().map(|s| self.segment(s)).collect();
            Column { x0, x1, segments }
        };
        Run {
            x0,
            x1,
            columns: self.row(run.columns.iter().map(column).collect()),
        }
    }
    fn shape(self, shape: &LaneShape) -> LaneShape {
        let edge = |edge: &Edge| {
            let [x0, x1] = self.stretch([edge.x0, edge.x1]);
            let [y0, y1] = self.sides([edge.y0, edge.y1]);
            Edge { x0, y0, x1, y1 }
        };
        let void = |void: &Rect| {
            let [x0, x1] = self.stretch([void.x0, void.x1]);
            Rect { x0, x1, ..*void }
        };
        LaneShape {
            edges: shape.edges.iter().map(edge).collect(),
            voids: shape.voids.iter().map(void).collect(),
        }
    }
    fn avoid(self, avoid: &Avoid) -> Avoid {
        let [from, to] = self.stretch([avoid.from, avoid.to]);
        let core = self.stretch([avoid.core.0, avoid.core.1]);
        Avoid {
            from,
            to,
            core: (core[0], core[1]),
            ..*avoid
        }
    }
    fn steps(self, steps: &[Step]) -> Vec<Step> {
        let step = |step: &Step| {
            let [from, to] = self.stretch([step.from, step.to]);
            Step { from, to, ..*step }
        };
        steps.iter().map(step).collect()
    }
    fn butts(self, butts: &[(i32, i32)]) -> Vec<(i32, i32)> {
        butts.iter().map(|(x, y)| (self.x(*x), *y)).collect()
    }
    fn joints(self, joints: &[i32]) -> Vec<i32> {
        self.row(joints.iter().map(|x| self.x(*x)).collect())
    }
}

impl View {
    /// Of a building and its mirror image the one whose figures come first.
    pub fn of(job: &Job) -> Self {
        let [given, mirrored] = [Image::AsGiven, Image::Mirrored].map(|image| {
            let ways: Vec<Way> = job.walls.iter().map(|w| Way::away(image, w)).collect();
            let mut seen = seen(job, image, &ways);
            let own: Vec<Vec<i32>> = seen.walls.iter().map(|w| wall_figures(&seen, w)).collect();
            let walls = walls_in_order(&seen, &own);
            seen.walls = walls.iter().map(|w| seen.walls[*w].clone()).collect();
            let mut corners: Vec<usize> = (0..seen.corners.len()).collect();
            corners.sort_by_key(|c| corner_figures(&seen, &seen.corners[*c]));
            seen.corners = corners.iter().map(|c| seen.corners[*c].clone()).collect();
            // All figures that tell a building from its mirror image.
            let of_corners = seen.corners.iter().flat_map(|c| corner_figures(&seen, c));
            let of_walls = walls.iter().flat_map(|w| own[*w].iter().copied());
            let figures: Vec<i32> = of_walls.chain(of_corners).collect();
            let view = Self {
                job: seen,
                image,
                back: ways.into_iter().map(Way::back).collect(),
                walls,
                corners,
            };
            (figures, view)
        });
        if mirrored.0 < given.0 {
            mirrored.1
        } else {
            given.1
        }
    }

    /// Whether nothing lies elsewhere than in the job as it was given.
    fn is_as_given(&self) -> bool {
        let in_place = |list: &[usize]| list.iter().enumerate().all(|(at, given)| at == *given);
        self.image == Image::AsGiven
            && self.back.iter().all(|way| way.from == 0)
            && in_place(&self.walls)
            && in_place(&self.corners)
    }

    /// Courses or lanes of the job in the order of the walls as they were given: each with its place in the job.
    fn in_given_order(&self, walls: impl Iterator<Item = usize>) -> Vec<usize> {
        let given: Vec<usize> = walls.map(|wall| self.walls[wall]).collect();
        let mut order: Vec<usize> = (0..given.len()).collect();
        order.sort_by_key(|at| given[*at]);
        order
    }

    /// The layout of the job as it was given.
    pub fn finish(&self, job: &Job, search: &Search, stopped: Stopped) -> Layout {
        if self.is_as_given() {
            return finish::finish(search, stopped);
        }
        let order = self.in_given_order(search.plan.courses.iter().map(|c| c.wall));
        let plan = self.plan(job, search.plan, &order);
        let given_place = inverse(&order);
        let mut given = Search::new(job, &plan, Style::default());
        given.steps = search.steps;
        given.stocks.clone_from(&search.stocks);
        if self.image == Image::Mirrored {
            for stock in &mut given.stocks {
                let length = stock.sizes.length;
                let shaped = |sheet: &&mut Sheet| {
                    let mut pieces = sheet.pieces();
                    pieces.any(|id| search.pieces[id as usize].blank.notch_cuts > 0)
                };
                let sheets = stock.sheets.iter_mut().flatten();
                sheets.filter(shaped).for_each(|s| mirror(s, length));
            }
        }
        let way = |course: usize| self.back[plan.courses[course].wall];
        let pieces = search.pieces.iter().enumerate();
        given.pieces = pieces
            .map(|(id, work)| {
                if work.segments.is_empty() {
                    return work.clone();
                }
                let course = given_place[work.course];
                let way = way(course);
                let mut segments: Vec<Segment> =
                    work.segments.iter().map(|s| way.segment(s)).collect();
                segments.sort_by_key(|s| (s.x0, s.lo[0]));
                let (around, blank) = blank(id as u32, &segments);
                Work {
                    course,
                    segments,
                    around,
                    blank,
                    place: work.place,
                }
            })
            .collect();
        let laid = order.iter().enumerate();
        given.laid = laid
            .map(|(course, seen)| {
                let laid = &search.laid[*seen];
                let way = way(course);
                let run = |run: &LaidRun| LaidRun {
                    joints: way.joints(&run.joints),
                    pieces: way.row(run.pieces.clone()),
                };
                Laid {
                    runs: way.row(laid.runs.iter().map(run).collect()),
                    bottoms: way.joints(&laid.bottoms),
                    tops: way.joints(&laid.tops),
                    penalty: laid.penalty,
                }
            })
            .collect();
        finish::finish(&given, stopped)
    }

    /// The same courses on the walls as they were given.
    fn plan(&self, job: &Job, plan: &Plan, order: &[usize]) -> Plan {
        let lane = |at: usize| {
            let lane = &plan.lanes[at];
            let wall = self.walls[lane.wall];
            Lane {
                wall,
                extent: job.walls[wall].zones[lane.zone].extent,
                shape: LaneShape::default(),
                bare: self.back[wall].shape(&lane.bare),
                turns: self.back[wall].sides(lane.turns.clone()),
                ..lane.clone()
            }
        };
        let lanes = self.in_given_order(plan.lanes.iter().map(|l| l.wall));
        let given_place = inverse(order);
        let moved = |courses: &[usize]| courses.iter().map(|c| given_place[*c]).collect();
        let course = |at: &usize| {
            let course = &plan.courses[*at];
            let wall = self.walls[course.wall];
            let way = self.back[wall];
            let mut avoid: Vec<Avoid> = course.avoid.iter().map(|a| way.avoid(a)).collect();
            avoid.sort_unstable_by_key(Avoid::order);
            Course {
                wall,
                below: moved(&course.below),
                above: moved(&course.above),
                extension: way.sides(course.extension),
                corner_ends: way.sides(course.corner_ends.map(|end| end.map(|x| way.x(x)))),
                runs_past: way.sides(course.runs_past),
                runs: way.row(course.runs.iter().map(|r| way.run(r)).collect()),
                avoid,
                steps: course.steps.clone().map(|steps| way.steps(&steps)),
                butts: course.butts.clone().map(|butts| way.butts(&butts)),
                wishes: Vec::new(),
                beyond: [Beyond::default(), Beyond::default()],
                ..course.clone()
            }
        };
        let walls = inverse(&self.walls);
        let area = |areas: &[i64]| walls.iter().map(|seen| areas[*seen]).collect();
        let untoothed = |untoothed: &Untoothed| Untoothed {
            corner: self.corners[untoothed.corner],
            ..*untoothed
        };
        let mut stretches: Vec<Untoothed> = plan.untoothed.iter().map(untoothed).collect();
        stretches.sort_by_key(|u| u.corner);
        Plan {
            courses: order.iter().map(course).collect(),
            toothing_area: area(&plan.toothing_area),
            net_area: area(&plan.net_area),
            untoothed: stretches,
            lanes: lanes.into_iter().map(lane).collect(),
        }
    }
}

/// Where each of a list's members stands in it.
fn inverse(order: &[usize]) -> Vec<usize> {
    let mut places = alloc::vec![0; order.len()];
    for (place, member) in order.iter().enumerate() {
        places[*member] = place;
    }
    places
}

/// A job with its walls from their left ends on, or its mirror image. What has no order has one by its place.
fn seen(job: &Job, image: Image, ways: &[Way]) -> Job {
    let walls = job.walls.iter().zip(ways);
    let corner = |corner: &Corner| match image {
        Image::AsGiven => corner.clone(),
        Image::Mirrored => Corner {
            right_end_of: corner.left_end_of.clone(),
            left_end_of: corner.right_end_of.clone(),
            first_to_run: corner.first_to_run.other(),
            ..corner.clone()
        },
    };
    Job {
        walls: walls.map(|(wall, way)| seen_wall(wall, *way)).collect(),
        corners: job.corners.iter().map(corner).collect(),
        ..job.clone()
    }
}

fn seen_wall(wall: &Wall, way: Way) -> Wall {
    let opening = |o: &Opening| Opening {
        corner: way.corner(o.corner, o.width),
        ..o.clone()
    };
    let step = |step: &BaseStep| {
        let [from, to] = way.stretch([step.from.0, step.to.0]).map(Mm);
        BaseStep { from, to, ..*step }
    };
    let zone = |zone: &Zone| Zone {
        extent: match zone.extent {
            ZoneExtent::FireBarrier(strip) => ZoneExtent::FireBarrier(Strip {
                corner: way.corner(strip.corner, strip.width),
                ..strip
            }),
            other => other,
        },
        ..zone.clone()
    };
    let mut seen = Wall {
        outline: from_lowest(wall.outline.iter().map(|p| way.point(*p)).collect()),
        openings: wall.openings.iter().map(opening).collect(),
        base_line: way.row(wall.base_line.iter().map(step).collect()),
        zones: wall.zones.iter().map(zone).collect(),
        ..wall.clone()
    };
    for joint in &mut seen.structural_joints {
        // A gap of an odd width is a millimetre wider at the right of its middle.
        let odd = match way.image {
            Image::AsGiven => 0,
            Image::Mirrored => joint.gap.0 % 2,
        };
        joint.x = Mm(way.x(joint.x.0) - odd);
    }
    for clear in &mut seen.keep_clear {
        let ends = [clear.from, clear.to].map(|p| way.point(p));
        (clear.from, clear.to) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
    }
    seen.openings.sort_by_key(|o| (o.corner, o.width, o.height));
    seen.structural_joints.sort_by_key(|j| (j.x, j.gap));
    seen.keep_clear.sort_by_key(|k| (k.from, k.to));
    seen
}

/// An outline anticlockwise from its lowest point furthest to the left.
fn from_lowest(mut outline: Vec<Point>) -> Vec<Point> {
    if crate::geometry::area2(&outline) < 0 {
        outline.reverse();
    }
    let first = (0..outline.len()).min_by_key(|i| (outline[*i].y, outline[*i].x));
    outline.rotate_left(first.unwrap_or(0));
    outline
}

/// The figures that tell a wall from others. The area of its openings comes first, the largest before all: where there is least room for
/// joints, leftovers are sought first.
fn wall_figures(job: &Job, wall: &Wall) -> Vec<i32> {
    let openings = wall.openings.iter();
    let area = openings.map(|o| i64::from(o.width.0) * i64::from(o.height.0));
    let mut all = alloc::vec![-((area.sum::<i64>() / 1000) as i32)];
    let points = wall.outline.iter().flat_map(|p| [p.x, p.y]);
    all.extend(points.map(|mm| mm.0));
    let openings = wall.openings.iter();
    all.extend(openings.flat_map(|o| [o.corner.x, o.corner.y, o.width, o.height].map(|mm| mm.0)));
    let steps = wall.base_line.iter();
    all.extend(steps.flat_map(|s| [s.from, s.to, s.level].map(|mm| mm.0)));
    for zone in &wall.zones {
        if let ZoneExtent::FireBarrier(strip) = zone.extent {
            all.extend([strip.corner.x, strip.corner.y, strip.width, strip.height].map(|mm| mm.0));
        }
    }
    all.extend(wall.structural_joints.iter().flat_map(|j| [j.x.0, j.gap.0]));
    let cracks = wall.keep_clear.iter().flat_map(|k| [k.from, k.to]);
    all.extend(cracks.flat_map(|p| [p.x.0, p.y.0]));
    let board = |key: &str| job.boards.iter().position(|b| b.key == key);
    let boards = wall.zones.iter().map(|z| board(&z.board));
    all.extend(boards.map(|b| b.map_or(-1, |b| b as i32)));
    all.extend([wall.thickness.0, wall.bed.0]);
    all
}

/// The walls of a corner by their places, and how they meet.
fn corner_figures(job: &Job, corner: &Corner) -> [i32; 4] {
    let wall = |id: &str| {
        let place = job.walls.iter().position(|w| w.id == id);
        place.map_or(-1, |i| i as i32)
    };
    let first = i32::from(corner.first_to_run == Runner::LeftEnd);
    let inside = i32::from(corner.kind == CornerKind::ReEntrant);
    [
        wall(&corner.right_end_of),
        wall(&corner.left_end_of),
        first,
        inside,
    ]
}

/// Turns a board over: left and right against each other. What a cut frees first stays the first of its two parts.
fn mirror(sheet: &mut Sheet, length: i32) {
    for node in &mut sheet.nodes {
        let rect = node.rect;
        node.rect = Rect {
            x0: length - rect.x1,
            x1: length - rect.x0,
            ..rect
        };
    }
}
