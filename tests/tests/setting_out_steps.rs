//! Stepped bases: where the plinth ends within a course of facade boards, the joints of the two keep their stagger as on a
//! course line; so they do under a strip that stands on the plinth, and before the end of the wall.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BaseStep, BoardStock, Breach, Budget, Corner, CornerKind, Course, Job, KeepClear, Layout,
    Opening, PencilCourses, Point, Rule, RuleCosts, Rules, Runner, Strip, Wall, Zone, ZoneExtent,
    half_bond, set_out,
};
use setting_out_scene::{board, wall};

/// A wall of 18 m whose base line has three steps at given levels.
fn stepped(levels: [i32; 3], opening: bool) -> Job {
    let window = Opening {
        id: "window".into(),
        corner: Point {
            x: Mm(7400),
            y: Mm(1650),
        },
        width: Mm(1210),
        height: Mm(1200),
    };
    let outline = [(0, 0), (18_000, 0), (18_000, 4_250), (0, 4_250)];
    let mut own = wall("slope", &outline, Vec::from_iter(opening.then_some(window)));
    own.zones.push(Zone {
        id: "plinth".into(),
        extent: ZoneExtent::Plinth,
        board: "plinth".into(),
    });
    let step = |(at, level): (usize, i32)| BaseStep {
        from: Mm(6_000 * at as i32),
        to: Mm(6_000 * (at as i32 + 1)),
        level: Mm(level),
    };
    own.base_line = levels.into_iter().enumerate().map(step).collect();
    Job {
        walls: vec![own],
        boards: vec![
            board(),
            BoardStock {
                key: "plinth".into(),
                length: Mm(1250),
                height: Mm(600),
                ..board()
            },
        ],
        rules: Rules::default(),
        budget: Budget {
            steps: 300,
            rule_costs: RuleCosts::Skip,
        },
        ..Job::default()
    }
}

/// The same seen in a mirror.
fn mirrored(job: &Job) -> Job {
    let mut job = job.clone();
    for own in &mut job.walls {
        let width = Mm(18_000);
        for point in &mut own.outline {
            point.x = width - point.x;
        }
        for opening in &mut own.openings {
            opening.corner.x = width - opening.corner.x - opening.width;
        }
        for step in &mut own.base_line {
            (step.from, step.to) = (width - step.to, width - step.from);
        }
        own.base_line.reverse();
    }
    job
}

fn sound(job: &Job) -> Layout {
    let layout = set_out(job).unwrap_or_else(|faults| panic!("{faults:?}"));
    let verdict = checker::check(job, &layout);
    let levels: Vec<i32> = job.walls[0].base_line.iter().map(|s| s.level.0).collect();
    assert!(verdict.wrong.is_empty(), "{levels:?}: {:#?}", verdict.wrong);
    layout
}

/// Levels of steps by 10 cm, up and down the slope and over a hump.
fn slopes() -> impl Iterator<Item = [i32; 3]> {
    (1..=5).flat_map(|first| {
        (1..=5).flat_map(move |second| {
            let (a, b) = (100 * first + 150, 100 * second);
            [[a, a + b, a + 2 * b], [a, a + b, a], [a + b, a, a + b]]
        })
    })
}

/// How far pieces of a wall lie on each other: every pair of level edges on one line, walked in opposite directions.
fn level_joints(layout: &Layout) -> i32 {
    let edges = layout.pieces.iter().flat_map(|piece| {
        let next = piece.outline.iter().cycle().skip(1);
        let edges = piece.outline.iter().zip(next);
        let level = edges.filter(|(a, b)| a.y == b.y);
        level.map(|(a, b)| (a.y.0, a.x.0, b.x.0))
    });
    let (right, left): (Vec<_>, Vec<_>) = edges.partition(|(_, from, to)| from < to);
    let shared = |a: &(i32, i32, i32)| -> i32 {
        let own = left.iter().filter(|b| b.0 == a.0);
        own.map(|b| (a.2.min(b.1) - a.1.max(b.2)).max(0)).sum()
    };
    right.iter().map(shared).sum()
}

#[test]
fn level_joints_are_counted_at_steps() {
    for levels in slopes() {
        let layout = sound(&stepped(levels, true));
        assert_eq!(
            layout.walls[0].level_joint,
            Mm(level_joints(&layout)),
            "{levels:?}"
        );
    }
}

#[test]
fn joints_keep_their_stagger_at_steps() {
    let mut within = 0;
    for levels in slopes() {
        for opening in [false, true] {
            let layout = sound(&stepped(levels, opening));
            let near = |b: &&Breach| b.rule == Rule::Stagger;
            let broken: Vec<_> = layout.breaches.iter().filter(near).collect();
            assert!(broken.is_empty(), "{levels:?}, {opening}: {broken:#?}");
            // A step inside a course of either kind.
            let inside = |c: &Course| levels.iter().any(|y| c.bottom.0 < *y && *y < c.top.0);
            within += usize::from(layout.courses.iter().any(inside));
        }
    }
    assert!(within > 20, "steps lie within courses: {within}");
}

#[test]
fn stepped_bases_and_their_mirror_images_are_one_job() {
    for levels in slopes().step_by(7) {
        let job = stepped(levels, true);
        let [own, mirror] = [&job, &mirrored(&job)].map(sound);
        let sums = |layout: &Layout| -> Vec<[u32; 2]> {
            let products = layout.products.iter();
            products.map(|p| [p.boards, p.cuts]).collect()
        };
        assert_eq!(sums(&own), sums(&mirror), "{levels:?}");
        assert_eq!(own.breaches.len(), mirror.breaches.len());
        assert_eq!(own.junctions.len(), mirror.junctions.len());
    }
}

#[test]
fn joints_too_near_at_a_step_are_told_with_their_place() {
    let mut told = 0;
    for levels in slopes() {
        let job = stepped(levels, false);
        let pencil = half_bond(&job, PencilCourses::Clear).expect("no faults");
        let verdict = checker::check(&job, &pencil);
        assert!(verdict.wrong.is_empty(), "{levels:?}: {:#?}", verdict.wrong);
        let at_steps = |b: &&Breach| b.what.contains("a step of the base line");
        for breach in pencil.breaches.iter().filter(at_steps) {
            assert!(levels.contains(&breach.at.y.0), "{breach:?}");
            told += 1;
        }
    }
    assert!(told > 20, "the pencil keeps no stagger at steps: {told}");
}

/// The level edges of the pieces of a course that lie at a height, those below (0) or above (1) the pieces.
fn edges(layout: &Layout, course: usize, y: i32, side: usize) -> Vec<[i32; 2]> {
    let own = layout.pieces.iter().filter(|p| p.course == course);
    own.flat_map(|piece| {
        let next = piece.outline.iter().cycle().skip(1);
        let level = piece.outline.iter().zip(next).filter(move |(a, b)| {
            // A piece's edge runs anticlockwise: to the right below it.
            let below = a.x < b.x;
            a.y.0 == y && b.y.0 == y && below == (side == 0)
        });
        level.map(|(a, b)| [a.x.min(b.x).0, a.x.max(b.x).0])
    })
    .collect()
}

/// A strip that stands on the lowest step of a base line within a course of plinth boards.
fn strip_on_a_step() -> Job {
    let mut job = stepped([450, 750, 850], false);
    job.walls[0].zones.push(Zone {
        id: "strip".into(),
        extent: ZoneExtent::FireBarrier(Strip {
            corner: Point {
                x: Mm(500),
                y: Mm(450),
            },
            width: Mm(5000),
            height: Mm(250),
        }),
        board: "strip".into(),
    });
    job.boards.push(BoardStock {
        key: "strip".into(),
        length: Mm(1200),
        ..board()
    });
    job
}

#[test]
fn strips_on_a_step_are_laid_against_the_plinth() {
    let job = strip_on_a_step();
    let layout = sound(&job);
    let (strip, plinth) = (2, 1);
    let of = |zone: usize, level: fn(&Course) -> Mm| {
        let courses = layout.courses.iter();
        let at = courses.enumerate().find(move |(_, c)| {
            c.zone == zone && c.bottom.0 <= 450 && 450 <= c.top.0 && level(c).0 != 0
        });
        at.map(|(at, _)| at).expect("a course at the step")
    };
    let (upper, lower) = (of(strip, |c| c.bottom), of(plinth, |c| c.top));
    assert!(layout.courses[lower].top > Mm(450), "the step lies within");
    let (below, above) = (edges(&layout, lower, 450, 1), edges(&layout, upper, 450, 0));
    // Every joint between two of the strip's boards, and every one under them, is where boards meet.
    let inner = |edges: &[[i32; 2]]| -> Vec<i32> {
        let ends = edges.iter().map(|e| e[1]);
        ends.filter(|x| edges.iter().any(|e| e[0] == *x) && (501..5500).contains(x))
            .collect()
    };
    let (upper, lower) = (inner(&above), inner(&below));
    assert!(upper.len() >= 3 && lower.len() >= 3, "{above:?}, {below:?}");
    for x in upper.iter().chain(&lower) {
        let at = |j: &setting_out::Junction| (j.at.x.0, j.at.y.0) == (*x, 450);
        assert!(layout.junctions.iter().any(at), "no boards meet at {x}");
    }
    for x in &upper {
        let near = lower.iter().map(|at| (at - x).abs()).min();
        assert!(near >= Some(250), "{upper:?} over {lower:?}");
    }
    assert_eq!(layout.walls[0].level_joint, Mm(level_joints(&layout)));
}

#[test]
fn joints_beyond_the_end_of_a_wall_keep_their_stagger_at_a_step() {
    // Boards 700 mm thick: where a course runs past the corner, a half board ends before the wall begins.
    let wide = |id: &str| Wall {
        thickness: Mm(700),
        id: id.into(),
        ..stepped([450, 450, 850], false).walls.remove(0)
    };
    let mut job = stepped([450, 450, 850], false);
    job.walls = vec![wide("south"), wide("east")];
    for zone in job.walls.iter_mut().flat_map(|w| &mut w.zones) {
        zone.board = "board".into();
    }
    job.boards.truncate(1);
    job.boards[0].height = Mm(600);
    job.boards[0].thickness = Mm(700);
    job.corners = vec![Corner {
        id: "corner".into(),
        right_end_of: "south".into(),
        left_end_of: "east".into(),
        kind: CornerKind::Salient,
        first_to_run: Runner::LeftEnd,
    }];
    let mut told = 0;
    for pencil in [false, true] {
        let layout = if pencil {
            half_bond(&job, PencilCourses::Clear).expect("no faults")
        } else {
            set_out(&job).expect("no faults")
        };
        let verdict = checker::check(&job, &layout);
        assert!(verdict.wrong.is_empty(), "{pencil}: {:#?}", verdict.wrong);
        told += layout
            .junctions
            .iter()
            .filter(|j| j.wall == 1 && j.at.x.0 < 0)
            .count();
    }
    assert!(told > 0, "no joint lies before the end of the wall");
}

#[test]
fn a_level_crack_under_a_step_is_told() {
    let mut job = stepped([450, 750, 850], false);
    job.walls[0].keep_clear.push(KeepClear {
        id: "crack".into(),
        from: Point {
            x: Mm(1000),
            y: Mm(460),
        },
        to: Point {
            x: Mm(5000),
            y: Mm(460),
        },
    });
    let layout = set_out(&job).expect("no faults");
    let told = layout
        .breaches
        .iter()
        .filter(|b| b.rule == Rule::CrackOverlap);
    let told: Vec<_> = told.map(|b| (b.at.x.0, b.at.y.0, b.found.0)).collect();
    assert_eq!(told, [(1000, 450, 10)], "{:#?}", layout.breaches);
}

#[test]
fn no_leftover_is_without_a_size() {
    for levels in slopes().step_by(5) {
        let mut job = stepped(levels, true);
        job.rules.min_piece_height = Mm(0);
        job.rules.min_piece_width = Mm(0);
        let layout = set_out(&job).expect("no faults");
        let empty = layout
            .offcuts
            .iter()
            .filter(|o| o.width.0 * o.height.0 == 0);
        assert_eq!(empty.count(), 0, "{levels:?}");
    }
}

#[test]
fn a_step_that_runs_out_at_a_slope_ends_there() {
    // The ground rises past the first two steps; and a lean-to roof falls to the last.
    let ground = [(0, 0), (18_000, 900), (18_000, 4_250), (0, 4_250)];
    let roof = [(0, 0), (18_000, 0), (18_000, 700), (0, 4_250)];
    for outline in [ground, roof] {
        let mut job = stepped([150, 450, 950], false);
        let point = |(x, y)| Point { x: Mm(x), y: Mm(y) };
        job.walls[0].outline = outline.map(point).to_vec();
        sound(&job);
    }
}
