//! Stepped bases: where the plinth ends within a course of facade boards, the joints of the two keep their stagger as on a
//! course line.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BaseStep, BoardStock, Breach, Budget, Course, Job, Layout, Opening, PencilCourses, Point, Rule,
    RuleCosts, Rules, Zone, ZoneExtent, half_bond, set_out,
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
