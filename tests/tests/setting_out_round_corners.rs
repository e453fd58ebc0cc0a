//! Corners between walls of unlike heights, grounds, thicknesses and openings: no two boards ask for one place, and none is missing.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_draw;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BaseStep, BoardStock, Corner, CornerKind, CornerPieces, Job, Layout, Opening, Point, Rotation,
    Rules, Runner, Strip, StructuralJoint, Wall, Zone, ZoneExtent, set_out,
};
use setting_out_draw::Draw;
use setting_out_scene::{board, wall};

fn point(x: i32, y: i32) -> Point {
    Point { x: Mm(x), y: Mm(y) }
}

fn opening(id: &str, x: i32, y: i32, width: i32, height: i32) -> Opening {
    Opening {
        id: id.into(),
        corner: point(x, y),
        width: Mm(width),
        height: Mm(height),
    }
}

fn strip(x: i32, y: i32, width: i32) -> Zone {
    let strip = Strip {
        corner: point(x, y),
        width: Mm(width),
        height: Mm(200),
    };
    Zone {
        id: "strip".into(),
        extent: ZoneExtent::FireBarrier(strip),
        board: "strip".into(),
    }
}

fn plinth() -> Zone {
    Zone {
        id: "plinth".into(),
        extent: ZoneExtent::Plinth,
        board: "plinth".into(),
    }
}

fn stock(key: &str, length: i32, height: i32, thickness: i32) -> BoardStock {
    BoardStock {
        key: key.into(),
        length: Mm(length),
        height: Mm(height),
        thickness: Mm(thickness),
        ..board()
    }
}

fn checked(job: &Job) -> Layout {
    let layout = set_out(job).unwrap_or_else(|faults| panic!("{faults:?}"));
    let verdict = checker::check(job, &layout);
    assert!(verdict.wrong.is_empty(), "{:#?}", verdict.wrong);
    layout
}

/// The outline of a wall: a rectangle, a gable, a rising ground, a step, or one with a recess at an end.
fn outline(draw: &mut Draw, [x0, x1, lo, hi]: [i32; 4]) -> Vec<(i32, i32)> {
    let middle = i32::midpoint(x0, x1);
    let rise = |draw: &mut Draw, most: i32| draw.between(10, most).min(hi - lo - 300);
    let [third, two_thirds] = [lo + (hi - lo) / 3, lo + (hi - lo) * 2 / 3];
    match draw.between(0, 8) {
        0 => vec![
            (x0, lo),
            (x1, lo),
            (x1, hi),
            (middle, hi + draw.between(300, 1500)),
            (x0, hi),
        ],
        1 => vec![(x0, lo), (x1, lo + rise(draw, 900)), (x1, hi), (x0, hi)],
        2 => {
            let step = lo + rise(draw, 1200);
            vec![
                (x0, lo),
                (middle, lo),
                (middle, step),
                (x1, step),
                (x1, hi),
                (x0, hi),
            ]
        }
        3 => {
            let inside = x1 - ((x1 - x0) / 3).max(1);
            vec![
                (x0, lo),
                (x1, lo),
                (x1, third),
                (inside, third),
                (inside, two_thirds),
                (x1, two_thirds),
                (x1, hi),
                (x0, hi),
            ]
        }
        _ => vec![(x0, lo), (x1, lo), (x1, hi), (x0, hi)],
    }
}

/// Two to four walls in a row or all round.
fn drawn(seed: u64) -> Job {
    let mut draw = Draw(seed);
    let count = draw.between(2, 4);
    let (length, height) = draw.one_of(&[(1000, 500), (1200, 600), (800, 625)]);
    let thickness = draw.one_of(&[40, 100, 160, 300]);
    let common = [draw.between(-500, 500), draw.between(2000, 4000)];
    let mut walls = Vec::new();
    for index in 0..count {
        let width = draw.one_of(&[300, 900, 2000, 4000, 6000]) + draw.between(0, 900);
        let x0 = draw.one_of(&[0, 0, -2500]);
        let x1 = x0 + width;
        let lo = draw.one_of(&[common[0], common[0], -700, 220]);
        let hi = draw.one_of(&[common[1], common[1], 1777, 4800]);
        let outline = outline(&mut draw, [x0, x1, lo, hi]);
        let mut own = Wall {
            thickness: Mm(draw.one_of(&[thickness, thickness, 40, 160, 301])),
            bed: Mm(draw.one_of(&[0, 5, 5, 30])),
            ..wall(&format!("W{index}"), &outline, Vec::new())
        };
        for id in ["a", "b"] {
            let (w, h) = (draw.between(100, 2500), draw.between(100, 2500));
            // At an end, near it, or anywhere.
            let x = match draw.between(0, 4) {
                0 => x0,
                1 => x1 - w,
                2 => x1 - w - draw.between(1, 400),
                3 => x0 + draw.between(1, 400),
                _ => x0 + draw.between(0, width),
            };
            let y = lo + draw.between(0, hi - lo);
            if draw.once_in(2) && x0 <= x && x + w <= x1 && y + h <= hi {
                own.openings.push(opening(id, x, y, w, h));
            }
        }
        if draw.once_in(2) {
            let level = |draw: &mut Draw| Mm(draw.one_of(&[common[0] + 300, lo + 120, lo + 900]));
            let at = x0
                + draw
                    .one_of(&[width / 2, 150, width - 150, width - 1])
                    .min(width - 1);
            let step = |from: i32, to: i32, level: Mm| BaseStep {
                from: Mm(from),
                to: Mm(to),
                level,
            };
            own.base_line = vec![
                step(x0, at, level(&mut draw)),
                step(at, x1, level(&mut draw)),
            ];
            if draw.once_in(2) {
                own.zones.push(plinth());
            }
        }
        if draw.once_in(3) {
            let beside = draw.one_of(&[0, 0, 100, 700]).min(width - 1);
            let x = draw.one_of(&[x0, x0 + beside]);
            own.zones.push(strip(x, common[0] + 1200, width - beside));
        }
        if draw.once_in(6) {
            own.structural_joints = vec![StructuralJoint {
                id: "joint".into(),
                x: Mm(x0 + draw.between(30, width - 30)),
                gap: Mm(20),
            }];
        }
        walls.push(own);
    }
    let all_round = draw.once_in(3);
    let corners = (0..count).filter(|at| all_round || at + 1 < count);
    let corners = corners.map(|at| Corner {
        id: format!("K{at}"),
        right_end_of: format!("W{at}"),
        left_end_of: format!("W{}", (at + 1) % count),
        kind: draw.one_of(&[CornerKind::Salient, CornerKind::ReEntrant]),
        first_to_run: draw.one_of(&[Runner::RightEnd, Runner::LeftEnd]),
    });
    let corners = corners.collect();
    let mut job = Job {
        walls,
        corners,
        boards: vec![
            stock("board", length, height, thickness),
            stock("plinth", 1000, 500, draw.one_of(&[40, 120, 200])),
            stock("strip", 1200, 200, thickness),
        ],
        rules: Rules {
            corner_pieces: draw
                .one_of(&[CornerPieces::WholeOrHalf, CornerPieces::AtLeast(Mm(150))]),
            ..Rules::default()
        },
        ..Job::default()
    };
    job.budget.steps = 0;
    // What does not fit its wall is left out.
    while let Err(faults) = set_out(&job) {
        let mut left_out = false;
        for (index, wall) in job.walls.iter_mut().enumerate() {
            let at = |field: &str| format!("walls[{index}].{field}");
            let faulty = |field: &str| faults.iter().any(|f| f.path.starts_with(&at(field)));
            if faulty("openings") {
                left_out |= wall.openings.pop().is_some();
            }
            if faulty("zones") {
                let before = wall.zones.len();
                let strip = |z: &Zone| matches!(z.extent, ZoneExtent::FireBarrier(_));
                wall.zones.retain(|z| !strip(z));
                left_out |= wall.zones.len() < before;
            }
        }
        assert!(left_out, "{seed}: {faults:?}");
    }
    job
}

#[test]
fn walls_of_all_kinds_meet_without_a_clash() {
    for seed in 0..400 {
        let job = drawn(seed);
        let layout = set_out(&job).unwrap_or_else(|faults| panic!("{seed}: {faults:?}"));
        let verdict = checker::check(&job, &layout);
        assert!(verdict.wrong.is_empty(), "{seed}: {:#?}", verdict.wrong);
    }
}

/// Walls A, of 3 m, and B, of 4 m, both 2.5 m high with boards of 300 mm in a bed of 5.
fn two_walls(kind: CornerKind, first_to_run: Runner) -> Job {
    let rectangle = |id: &str, width: i32| Wall {
        thickness: Mm(300),
        bed: Mm(5),
        ..wall(
            id,
            &[(0, 0), (width, 0), (width, 2500), (0, 2500)],
            Vec::new(),
        )
    };
    Job {
        walls: vec![rectangle("A", 3000), rectangle("B", 4000)],
        corners: vec![Corner {
            id: "A/B".into(),
            right_end_of: "A".into(),
            left_end_of: "B".into(),
            kind,
            first_to_run,
        }],
        boards: vec![
            BoardStock {
                rotation: Rotation::Allowed,
                ..stock("board", 1000, 500, 300)
            },
            stock("plinth", 1000, 500, 300),
            stock("strip", 1200, 200, 300),
        ],
        rules: Rules {
            corner_pieces: CornerPieces::AtLeast(Mm(150)),
            ..Rules::default()
        },
        ..Job::default()
    }
}

fn furthest(layout: &Layout, wall: usize, zone: usize) -> i32 {
    let own = layout
        .pieces
        .iter()
        .filter(|p| (p.wall, p.zone) == (wall, zone));
    let xs = own.flat_map(|p| p.outline.iter().map(|q| q.x.0));
    xs.max().expect("a piece")
}

/// Before an inside corner B's boards take the last 305 mm of A wherever they run: of a strip that ends 200 mm before it, of wall that a
/// window of 200 mm leaves, and under a step 100 mm before it. None of this reaches A's end.
#[test]
fn what_ends_just_before_an_inside_corner_gives_way_to_the_boards_there() {
    for first_to_run in [Runner::LeftEnd, Runner::RightEnd] {
        let plain = two_walls(CornerKind::ReEntrant, first_to_run);
        for y in [300, 500, 700, 1000, 1500] {
            let mut short = plain.clone();
            short.walls[0].zones.push(strip(0, y, 2800));
            let mut window = plain.clone();
            window.walls[0].openings = vec![opening("o", 2800, y, 200, 700)];
            let mut step = plain.clone();
            let level = |from: i32, to: i32, level: i32| BaseStep {
                from: Mm(from),
                to: Mm(to),
                level: Mm(level),
            };
            step.walls[0].base_line = vec![level(0, 2900, 100), level(2900, 3000, y)];
            for job in [short, window, step] {
                checked(&job);
            }
        }
    }
}

/// A alone has boards in the plinth, 900 mm high: inside they go to the end of the wall in every course, outside none runs past it.
#[test]
fn where_the_other_wall_has_no_board_nothing_is_left_out_and_nothing_runs_past() {
    for first_to_run in [Runner::LeftEnd, Runner::RightEnd] {
        for (kind, end) in [(CornerKind::ReEntrant, 3000), (CornerKind::Salient, 3005)] {
            let mut job = two_walls(kind, first_to_run);
            for wall in &mut job.walls {
                wall.base_line = vec![BaseStep {
                    from: Mm(0),
                    to: Mm(4000),
                    level: Mm(900),
                }];
            }
            job.walls[0].zones.push(plinth());
            let layout = checked(&job);
            let courses = layout.courses.iter().enumerate();
            let own = courses.filter(|(_, c)| (c.wall, c.zone) == (0, 1));
            let ends = own.map(|(index, _)| {
                let pieces = layout.pieces.iter().filter(|p| p.course == index);
                let xs = pieces.flat_map(|p| p.outline.iter().map(|q| q.x.0));
                xs.max().expect("a piece")
            });
            let ends: Vec<i32> = ends.collect();
            assert_eq!(ends, [end; 2], "{kind:?}, {first_to_run:?}");
            // Above, they take turns.
            let most = if kind == CornerKind::Salient {
                3305
            } else {
                3000
            };
            assert_eq!(furthest(&layout, 0, 0), most);
        }
    }
}

/// Boards of no thickness would all run past a corner, and all stop there.
#[test]
fn a_wall_at_a_corner_has_boards_of_some_thickness() {
    let mut job = two_walls(CornerKind::Salient, Runner::RightEnd);
    job.walls[1].thickness = Mm(0);
    let faults = set_out(&job).expect_err("a fault");
    let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        ["walls[1].thickness: found 0 mm, expected 1 to 1000 mm"]
    );
    job.corners.clear();
    assert!(set_out(&job).is_ok());
}
