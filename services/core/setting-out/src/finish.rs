//! From the search to the answer: numbers, boards, cuts, junctions, sums and breaches.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::format;
use alloc::vec::Vec;

use quantity::Mm;

use crate::bound::bounds;
use crate::butts::too_near_each_other;
use crate::geometry::{
    Column, Rect, Segment, Span, area2, bounds as outer, common, joined, notches, rings,
};
use crate::layout::{
    BoardUse, Breach, Course, Cut, CutKind, CutPiece, Form, Junction, Layout, Offcut, Piece,
    Placement, ProductSum, Proof, Rule, Stopped, Turn, WallSum,
};
use crate::plan::{Course as PlanCourse, around, corners_inside, holes, runs_level};
use crate::run::{Short, Task, lowest, nearest, width_breaches};
use crate::search::{Search, Work};
use crate::stock::{Axis, Kind, Plain, Pose, Sheet, Sizes};
use crate::twins::Hand;
use crate::{Point, ZoneExtent};

/// The finished layout.
pub fn finish(search: &Search, stopped: Stopped) -> Layout {
    let mut layout = Layout {
        steps: search.steps,
        stopped,
        ..Layout::default()
    };
    for course in &search.plan.courses {
        layout.courses.push(Course {
            wall: course.wall,
            zone: course.zone,
            number: course.number,
            bottom: Mm(course.lines.lo),
            top: Mm(course.lines.hi),
            left_extension: Mm(course.extension[0]),
            right_extension: Mm(course.extension[1]),
        });
    }
    let numbers = number_pieces(search, &mut layout);
    lay_boards(search, &numbers, &mut layout);
    junctions(search, &mut layout);
    sum_walls(search, &mut layout);
    sum_products(search, &mut layout);
    layout.breaches = breaches(search);
    layout
}

fn point(x: i32, y: i32) -> Point {
    Point { x: Mm(x), y: Mm(y) }
}

/// Numbers the pieces course by course; gives for each piece of the search its number.
fn number_pieces(search: &Search, layout: &mut Layout) -> BTreeMap<u32, u32> {
    let mut numbers = BTreeMap::new();
    for (index, (course, laid)) in search.plan.courses.iter().zip(&search.laid).enumerate() {
        let mut ids: Vec<u32> = laid
            .runs
            .iter()
            .flat_map(|r| r.pieces.iter().copied())
            .collect();
        ids.sort_by_key(|id| {
            let around = search.pieces[*id as usize].around;
            (around.x0, around.y0, *id)
        });
        for id in ids {
            let work = &search.pieces[id as usize];
            let mut edges = rings(&work.segments);
            let holes = edges.split_off(1.min(edges.len()));
            let number = layout.pieces.len() as u32 + 1;
            numbers.insert(id, number);
            layout.pieces.push(Piece {
                number,
                wall: course.wall,
                zone: course.zone,
                course: index,
                product: course.product,
                board: 0,
                outline: edges.pop().unwrap_or_default(),
                holes,
                form: form(work, &search.stocks[course.product].sizes),
            });
        }
    }
    numbers
}

fn form(work: &Work, sizes: &Sizes) -> Form {
    if work.segments.iter().any(|s| !s.is_level()) {
        Form::Sloped
    } else if work.blank.plain == Plain::Shaped {
        Form::Notched
    } else if work.blank.is_whole(sizes) {
        Form::Whole
    } else {
        Form::Cut
    }
}

fn lay_boards(search: &Search, numbers: &BTreeMap<u32, u32>, layout: &mut Layout) {
    for (product, stock) in search.stocks.iter().enumerate() {
        let mut sheets: Vec<(u8, u32, &Sheet)> = Vec::new();
        for sheet in stock.sheets.iter().flatten() {
            let first = sheet.pieces().filter_map(|id| numbers.get(&id)).min();
            let cut = u8::from(!matches!(
                sheet.nodes.first().map(|n| &n.kind),
                Some(Kind::Item { notch_cuts: 0, .. })
            ));
            sheets.push((cut, first.copied().unwrap_or(0), sheet));
        }
        sheets.sort_by_key(|s| (s.0, s.1));
        let mut offcuts: Vec<Offcut> = Vec::new();
        for (_, _, sheet) in sheets {
            let number = layout.boards.len() as u32 + 1;
            let mut board = BoardUse {
                number,
                product,
                ..BoardUse::default()
            };
            read_sheet(search, sheet, numbers, &mut board, &mut offcuts);
            for (order, placement) in board.placements.iter().enumerate() {
                let Some(piece) = layout
                    .pieces
                    .get_mut((placement.piece as usize).wrapping_sub(1))
                else {
                    continue;
                };
                piece.board = layout.boards.len();
                let (width, height) = match placement.turn {
                    Turn::Quarter => (placement.height, placement.width),
                    Turn::None | Turn::Half => (placement.width, placement.height),
                };
                layout.cutting_list.push(CutPiece {
                    board: number,
                    order: order as u32 + 1,
                    piece: piece.number,
                    wall: piece.wall,
                    course: piece.course,
                    width,
                    height,
                    form: piece.form,
                });
            }
            layout.boards.push(board);
        }
        offcuts.sort_by_key(|o| {
            (
                -i64::from(o.width.0) * i64::from(o.height.0),
                o.board,
                o.corner,
            )
        });
        layout.offcuts.extend(offcuts);
    }
}

/// Reads the cuts of a board in their order, its pieces and its leftovers.
fn read_sheet(
    search: &Search,
    sheet: &Sheet,
    numbers: &BTreeMap<u32, u32>,
    board: &mut BoardUse,
    offcuts: &mut Vec<Offcut>,
) {
    let sizes = &search.stocks[board.product].sizes;
    let mut stack = alloc::vec![0_u32];
    while let Some(index) = stack.pop() {
        let Some(node) = sheet.nodes.get(index as usize) else {
            continue;
        };
        let rect = node.rect;
        match &node.kind {
            Kind::Dead => {}
            Kind::Free => {
                if sizes.usable(rect.width(), rect.height()) {
                    offcuts.push(Offcut {
                        product: board.product,
                        board: board.number,
                        corner: point(rect.x0, rect.y0),
                        width: Mm(rect.width()),
                        height: Mm(rect.height()),
                    });
                }
            }
            Kind::Split {
                axis,
                first,
                second,
            } => {
                let part = sheet.nodes.get(*first as usize).map_or(rect, |n| n.rect);
                // Along the edge of what is freed first; on a board that was turned over that lies at the right.
                let x = if part.x0 > rect.x0 { part.x0 } else { part.x1 };
                let (from, to) = match axis {
                    Axis::Upright => (point(x, rect.y0), point(x, rect.y1)),
                    Axis::Level => (point(rect.x0, part.y1), point(rect.x1, part.y1)),
                };
                if part != rect {
                    board.cuts.push(Cut {
                        from,
                        to,
                        kind: CutKind::Through,
                    });
                }
                stack.extend([*second, *first]);
            }
            Kind::Item {
                piece,
                twin: Some(twin),
                ..
            } => lay_pair(search, [*piece, *twin], rect, numbers, board),
            Kind::Item { piece, pose, .. } => {
                board.placements.push(Placement {
                    piece: numbers.get(piece).copied().unwrap_or(0),
                    corner: point(rect.x0, rect.y0),
                    width: Mm(rect.width()),
                    height: Mm(rect.height()),
                    turn: if *pose == Pose::Turned {
                        Turn::Quarter
                    } else {
                        Turn::None
                    },
                });
                shape_cuts(&search.pieces[*piece as usize], rect, &mut board.cuts);
                let inner: Vec<u32> = sheet.below(index).collect();
                stack.extend(inner.into_iter().rev());
            }
        }
    }
}

/// Lays two pieces of one slant against each other: at the left the one whose slope then lies at its right, and the
/// other at the right. One of them is turned by a half.
fn lay_pair(
    search: &Search,
    pair: [u32; 2],
    at: Rect,
    numbers: &BTreeMap<u32, u32>,
    board: &mut BoardUse,
) {
    let hand = |id: u32| search.pieces[id as usize].blank.slant.map(|s| s.hand);
    let turns = match hand(pair[0]) {
        Some(Hand::Left) => [Turn::Half, Turn::None],
        _ => [Turn::None, Turn::Half],
    };
    for (side, (id, turn)) in pair.into_iter().zip(turns).enumerate() {
        let blank = &search.pieces[id as usize].blank;
        let x = if side == 0 {
            at.x0
        } else {
            at.x1 - blank.width
        };
        board.placements.push(Placement {
            piece: numbers.get(&id).copied().unwrap_or(0),
            corner: point(x, at.y0),
            width: Mm(blank.width),
            height: Mm(blank.height),
            turn,
        });
    }
    let first = &search.pieces[pair[0] as usize].blank;
    let run = first.slant.map_or(0, |s| s.run);
    let end = at.x0 + first.width;
    // The longer edge of the first lies below unless it is turned.
    let (low, high) = match turns[0] {
        Turn::Half => (end - run, end),
        _ => (end, end - run),
    };
    board.cuts.push(Cut {
        from: point(low, at.y0),
        to: point(high, at.y1),
        kind: CutKind::Slope,
    });
}

/// The cuts that shape a piece: the inner sides of its notches, and its slopes.
fn shape_cuts(work: &Work, at: Rect, cuts: &mut Vec<Cut>) {
    let (dx, dy) = (at.x0 - work.around.x0, at.y0 - work.around.y0);
    let mut add = |a: (i32, i32), b: (i32, i32), kind: CutKind| {
        cuts.push(Cut {
            from: point(a.0 + dx, a.1 + dy),
            to: point(b.0 + dx, b.1 + dy),
            kind,
        });
    };
    for n in notches(&work.segments) {
        let around = work.around;
        if n.x0 > around.x0 {
            add((n.x0, n.y0), (n.x0, n.y1), CutKind::Notch);
        }
        if n.x1 < around.x1 {
            add((n.x1, n.y0), (n.x1, n.y1), CutKind::Notch);
        }
        if n.y0 > around.y0 {
            add((n.x0, n.y0), (n.x1, n.y0), CutKind::Notch);
        }
        if n.y1 < around.y1 {
            add((n.x0, n.y1), (n.x1, n.y1), CutKind::Notch);
        }
    }
    for s in &work.segments {
        for y in [s.lo, s.hi] {
            if y[0] != y[1] {
                add((s.x0, y[0]), (s.x1, y[1]), CutKind::Slope);
            }
        }
    }
}

/// Where joints, and the butts between zones, end at boards that go on to both sides.
fn junctions(search: &Search, layout: &mut Layout) {
    let courses = &search.plan.courses;
    for (course, laid) in courses.iter().zip(&search.laid) {
        let junction = |(x, y): (i32, i32)| Junction {
            wall: course.wall,
            at: point(x, y),
        };
        let sides = [(&laid.bottoms, &course.below), (&laid.tops, &course.above)];
        for (side, (joints, others)) in sides.into_iter().enumerate() {
            let ends = joints.iter().map(|x| (*x, course.levels(*x)[side]));
            let solid = |end: &(i32, i32)| others.iter().any(|&o| stands(&courses[o], *end));
            layout.junctions.extend(ends.filter(solid).map(junction));
        }
        let butts = course.butts.iter().flatten().copied();
        let solid = butts.filter(|end| stands(course, *end));
        layout.junctions.extend(solid.map(junction));
    }
    layout.junctions.sort_unstable();
    layout.junctions.dedup();
}

/// Whether boards of a course lie against a level at a place inside a run.
fn stands(course: &PlanCourse, (x, y): (i32, i32)) -> bool {
    let stands = |s: &Segment| s.lo_at(x) == y || s.hi_at(x) == y;
    course.runs.iter().any(|run| {
        let after = run.column_after(x);
        let beside = [Some(after), after.checked_sub(1)].into_iter().flatten();
        let columns = beside.filter_map(|at| run.columns.get(at));
        let mut near = columns.filter(|c| c.x0 <= x && x <= c.x1);
        run.x0 < x && x < run.x1 && near.any(|c| c.segments.iter().any(stands))
    })
}

fn sum_walls(search: &Search, layout: &mut Layout) {
    let plan = search.plan;
    let mut sums: Vec<WallSum> = (0..search.job.walls.len())
        .map(|wall| WallSum {
            wall,
            net_area_mm2: plan.net_area[wall].div_euclid(2),
            toothing_area_mm2: plan.toothing_area[wall].div_euclid(2),
            ..WallSum::default()
        })
        .collect();
    let mut twice: Vec<i64> = alloc::vec![0; sums.len()];
    for piece in &layout.pieces {
        let sum = &mut sums[piece.wall];
        twice[piece.wall] +=
            area2(&piece.outline) + piece.holes.iter().map(|h| area2(h)).sum::<i64>();
        match piece.form {
            Form::Whole => sum.whole += 1,
            Form::Cut => sum.cut += 1,
            Form::Notched => sum.notched += 1,
            Form::Sloped => sum.sloped += 1,
        }
    }
    for (course, laid) in plan.courses.iter().zip(&search.laid) {
        let sum = &mut sums[course.wall];
        for (run, joints) in course.runs.iter().zip(laid.runs.iter().map(|r| &r.joints)) {
            sum.vertical_joint += joints
                .iter()
                .flat_map(|x| run.joint(*x))
                .map(|s| Mm(s.hi - s.lo))
                .sum::<Mm>();
        }
        for &other in &course.above {
            sum.level_joint += Mm(shared_length(course, &plan.courses[other]));
        }
    }
    for (sum, twice) in sums.iter_mut().zip(twice) {
        sum.piece_area_mm2 = twice.div_euclid(2);
    }
    layout.walls = sums;
}

/// How far two courses lie on each other, on a course line and at steps of the base line.
fn shared_length(lower: &PlanCourse, upper: &PlanCourse) -> i32 {
    let levels = shared_levels(lower, upper).into_iter();
    let stretches = levels.flat_map(|y| shared_stretches(lower, upper, y));
    stretches.map(|s| s.hi - s.lo).sum()
}

/// The levels at which two courses can lie on each other, from the bottom up.
fn shared_levels(lower: &PlanCourse, upper: &PlanCourse) -> BTreeSet<i32> {
    let steps = lower.steps[1].iter().chain(&upper.steps[0]);
    let levels = steps.map(|s| s.level);
    levels.chain([lower.lines.hi]).collect()
}

/// Where two courses lie on each other, from left to right.
fn shared_stretches(lower: &PlanCourse, upper: &PlanCourse, y: i32) -> Vec<Span> {
    let stretches = |course: &PlanCourse, pick: fn(&Segment) -> [i32; 2]| -> Vec<Span> {
        let columns = course.runs.iter().flat_map(|r| &r.columns);
        let touching = columns.filter(|c| c.segments.iter().any(|s| pick(s) == [y, y]));
        let span = |c: &Column| Span { lo: c.x0, hi: c.x1 };
        touching.map(span).collect()
    };
    common(&stretches(lower, |s| s.hi), &stretches(upper, |s| s.lo))
}

fn sum_products(search: &Search, layout: &mut Layout) {
    for (product, stock) in search.stocks.iter().enumerate() {
        let bounds = bounds(search.plan, product, &stock.sizes);
        let board = &search.job.boards[product];
        let boards = layout
            .boards
            .iter()
            .filter(|b| b.product == product)
            .count() as u32;
        let cuts = layout
            .boards
            .iter()
            .filter(|b| b.product == product)
            .map(|b| b.cuts.len() as u32)
            .sum();
        let own = || layout.pieces.iter().filter(|p| p.product == product);
        let area = |p: &Piece| area2(&p.outline) + p.holes.iter().map(|h| area2(h)).sum::<i64>();
        let piece_area = own().map(area).sum::<i64>().div_euclid(2);
        let offcuts = layout.offcuts.iter().filter(|o| o.product == product);
        let offcut_area: i64 = offcuts
            .map(|o| i64::from(o.width.0) * i64::from(o.height.0))
            .sum();
        let packs = board.packs_for(boards);
        let proof = |proven: bool| if proven { Proof::Proven } else { Proof::Open };
        layout.products.push(ProductSum {
            product,
            boards,
            packs,
            spare_boards: packs * board.boards_per_pack.max(1) - boards,
            pieces: own().count() as u32,
            cuts,
            piece_area_mm2: piece_area,
            offcut_area_mm2: offcut_area,
            scrap_area_mm2: i64::from(boards) * stock.sizes.board_area() - piece_area - offcut_area,
            lb_area: bounds.area,
            lb_eff: bounds.eff,
            bound: bounds.strict,
            gap: boards.saturating_sub(bounds.strict),
            packs_proven: proof(packs == board.packs_for(bounds.strict)),
            boards_proven: proof(boards == bounds.strict),
        });
    }
}

/// Every rule that is not kept, wall by wall from the bottom up.
pub fn breaches(search: &Search) -> Vec<Breach> {
    let mut found = Vec::new();
    for untoothed in &search.plan.untoothed {
        let corner = &search.job.corners[untoothed.corner];
        let walls = search.job.walls.iter();
        let Some((wall, own)) = walls.enumerate().find(|w| w.1.id == corner.right_end_of) else {
            continue;
        };
        let Span { lo, hi } = untoothed.span;
        found.push(Breach {
            rule: Rule::CornerCourses,
            wall,
            at: point(around(own).x1, lo),
            found: Mm(hi - lo),
            required: Mm(0),
            or: None,
            what: format!(
                "corner {}: the courses of {} and {} do not lie at equal heights; from y {lo} to {hi} mm one wall runs past, not toothed",
                corner.id, corner.right_end_of, corner.left_end_of
            ),
        });
    }
    for index in 0..search.plan.courses.len() {
        joint_breaches(search, index, &mut found);
        size_breaches(search, index, &mut found);
    }
    butt_breaches(search, &mut found);
    line_breaches(search, &mut found);
    level_crack_breaches(search, &mut found);
    found.sort_by_key(|b| (b.wall, b.at.y, b.at.x, b.rule));
    found
}

/// What boards of two courses meet at on a level: their course line, or else a step.
fn line_at(level: i32, course_line: i32) -> &'static str {
    if level == course_line {
        "course line"
    } else {
        "step of the base line"
    }
}

fn joint_breaches(search: &Search, index: usize, found: &mut Vec<Breach>) {
    let (course, laid) = (&search.plan.courses[index], &search.laid[index]);
    for (side, joints) in [&laid.bottoms, &laid.tops].into_iter().enumerate() {
        let near = joints
            .iter()
            .filter_map(|x| too_near(search, course, side, *x));
        found.extend(near);
    }
    for &x in laid.runs.iter().flat_map(|r| &r.joints) {
        let avoided = course.avoided(x);
        // Butts are told with the other joints that are too near.
        for (avoid, distance) in avoided.filter(|(avoid, _)| avoid.rule != Rule::Stagger) {
            let what = if avoid.rule == Rule::CrackOverlap {
                "a crack or change of substrate"
            } else {
                "a jamb"
            };
            found.push(Breach {
                rule: avoid.rule,
                wall: course.wall,
                at: point(x, course.lines.lo),
                found: Mm(distance),
                required: Mm(avoid.reach),
                or: None,
                what: format!("vertical joint {distance} mm from {what}"),
            });
        }
    }
}

/// The stagger that a joint breaks below (0) or above (1) its course. What is too near to a joint above is told there.
fn too_near(search: &Search, course: &PlanCourse, side: usize, x: i32) -> Option<Breach> {
    let level = course.levels(x)[side];
    let beside = [course.below.as_slice(), &[]][side].iter();
    let joints = beside.flat_map(|&c| {
        let lower = &search.plan.courses[c];
        let meets = move |at: &&i32| lower.levels(**at)[1] == level;
        search.laid[c].tops.iter().filter(meets)
    });
    let apart = |at: &i32| (at - x).abs();
    let butts = course.butts[side].iter().filter(|butt| butt.1 == level);
    let what = [
        "vertical joints",
        "vertical joint and end of a strip or rise of a step",
    ];
    let nearest = [joints.map(apart).min(), butts.map(|b| apart(&b.0)).min()];
    let nearest = nearest.into_iter().zip(what);
    let (distance, what) = nearest.filter_map(|(d, what)| Some((d?, what))).min()?;
    let stagger = search.job.rules.stagger;
    (distance < stagger.0).then(|| Breach {
        rule: Rule::Stagger,
        wall: course.wall,
        at: point(x, level),
        found: Mm(distance),
        required: stagger,
        or: None,
        what: format!(
            "{what} {distance} mm apart across a {}",
            line_at(level, [course.lines.lo, course.lines.hi][side])
        ),
    })
}

/// Ends of strips and rises of steps that follow each other up the wall nearer than the stagger: where boards of the one level lie on
/// the other between them.
fn butt_breaches(search: &Search, found: &mut Vec<Breach>) {
    let plan = search.plan;
    let stagger = search.job.rules.stagger;
    for ((wall, level), [x, over]) in too_near_each_other(plan, stagger.0) {
        let own = plan.courses.iter().filter(|c| c.wall == wall);
        let on = own.flat_map(|c| {
            let above = c.above.iter().map(|&upper| &plan.courses[upper]);
            above.flat_map(move |upper| shared_stretches(c, upper, level))
        });
        let (from, to) = (x.min(over), x.max(over));
        if joined(on.collect())
            .iter()
            .any(|s| s.lo <= from && to <= s.hi)
        {
            found.push(Breach {
                rule: Rule::Stagger,
                wall,
                at: point(over, level),
                found: Mm(to - from),
                required: stagger,
                or: None,
                what: format!("ends of strips or rises of steps {} mm apart", to - from),
            });
        }
    }
}

fn size_breaches(search: &Search, index: usize, found: &mut Vec<Breach>) {
    let (course, laid) = (&search.plan.courses[index], &search.laid[index]);
    let sizes = search.stocks[course.product].sizes;
    let rules = &search.job.rules;
    for (run, joints) in course.runs.iter().zip(laid.runs.iter().map(|r| &r.joints)) {
        let task = Task::judge(course, run, rules, &sizes);
        let mut stops = alloc::vec![run.x0];
        stops.extend(joints);
        stops.push(run.x1);
        // Beside openings and at steps boards between two joints fall into pieces.
        let pieces = stops.windows(2).flat_map(|p| run.pieces(p[0], p[1]));
        for around in pieces.map(|piece| outer(&piece)) {
            for short in width_breaches(&task, around.x0, around.x1) {
                let Short {
                    rule,
                    found: width,
                    required,
                    or,
                } = short;
                let wall = if rule == Rule::CornerPiece {
                    " on its wall at a toothed corner"
                } else {
                    ""
                };
                found.push(Breach {
                    rule,
                    wall: course.wall,
                    at: point(around.x0, around.y0),
                    found: Mm(width),
                    required: Mm(required),
                    or: or.map(Mm),
                    what: format!("piece {width} mm wide{wall}"),
                });
            }
        }
    }
    let pieces = laid.runs.iter().flat_map(|r| &r.pieces);
    for piece in pieces {
        let low = lowest(&search.pieces[*piece as usize].segments);
        if let Some((height, x, y)) = low.filter(|l| l.0 < rules.min_piece_height.0) {
            found.push(Breach {
                rule: Rule::MinPieceHeight,
                wall: course.wall,
                at: point(x, y),
                found: Mm(height),
                required: rules.min_piece_height,
                or: None,
                what: format!("piece or part of a piece {height} mm high"),
            });
        }
    }
}

/// Course lines too near a sill or a lintel. The edges of declared fire-barrier strips are given and not judged.
fn line_breaches(search: &Search, found: &mut Vec<Breach>) {
    let clear = search.job.rules.course_line_clear.0;
    for lane in &search.plan.lanes {
        if matches!(lane.extent, ZoneExtent::FireBarrier(_)) {
            continue;
        }
        let wall = &search.job.walls[lane.wall];
        let given: Vec<i32> = wall
            .zones
            .iter()
            .filter_map(|z| {
                if let ZoneExtent::FireBarrier(s) = z.extent {
                    Some(s)
                } else {
                    None
                }
            })
            .flat_map(|s| [s.corner.y.0, (s.corner.y + s.height).0])
            .collect();
        let own = search.plan.courses.iter();
        let own = own.filter(|c| (c.wall, c.zone) == (lane.wall, lane.zone));
        let (bottoms, tops): (BTreeSet<i32>, BTreeSet<i32>) =
            own.map(|c| (c.lines.lo, c.lines.hi)).unzip();
        // Between two courses: where an opening takes all of the wall there is no line.
        let lines = tops.intersection(&bottoms).copied();
        let lines: Vec<i32> = lines.filter(|y| !given.contains(y)).collect();
        for opening in holes(wall).0 {
            let corners = corners_inside(lane, opening).into_iter();
            for (corner, side) in corners.zip(["sill", "lintel"]) {
                let Some((x, y)) = corner else { continue };
                if let Some(distance) = nearest(&lines, y).filter(|d| *d < clear) {
                    found.push(Breach {
                        rule: Rule::CourseLineClear,
                        wall: lane.wall,
                        at: point(x, y),
                        found: Mm(distance),
                        required: Mm(clear),
                        or: None,
                        what: format!("course line {distance} mm from a {side}"),
                    });
                }
            }
        }
    }
}

/// Level joints that lie over a level crack or change of substrate, or too near to it: on course lines and at steps of the base
/// line.
fn level_crack_breaches(search: &Search, found: &mut Vec<Breach>) {
    let plan = search.plan;
    let reach = search.job.rules.crack_overlap.0;
    for lower in &plan.courses {
        let above: Vec<&PlanCourse> = lower.above.iter().map(|&c| &plan.courses[c]).collect();
        let levels = above.iter().flat_map(|upper| shared_levels(lower, upper));
        let levels: BTreeSet<i32> = levels.collect();
        let cracks = search.job.walls[lower.wall].keep_clear.iter();
        let cracks = cracks.filter(|c| runs_level(c.from, c.to));
        for (crack, &y) in cracks.flat_map(|c| levels.iter().map(move |y| (c, y))) {
            let [from, to] = [crack.from.min(crack.to), crack.from.max(crack.to)];
            let (lo, hi) = (from.y.min(to.y).0, from.y.max(to.y).0);
            let distance = (lo - y).max(y - hi).max(0);
            if distance >= reach {
                continue;
            }
            let over = above.iter().flat_map(|u| shared_stretches(lower, u, y));
            let over = over.map(|s| (s.lo.max(from.x.0), s.hi.min(to.x.0)));
            let Some((x, _)) = over.filter(|s| s.0 < s.1).min() else {
                continue;
            };
            let line = line_at(y, lower.lines.hi);
            found.push(Breach {
                rule: Rule::CrackOverlap,
                wall: lower.wall,
                at: point(x, y),
                found: Mm(distance),
                required: Mm(reach),
                or: None,
                what: format!("{line} {distance} mm from a level crack or change of substrate"),
            });
        }
    }
}
