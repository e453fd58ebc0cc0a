//! Ends of fire-barrier strips and rises of a stepped base line: butts that stand where the survey puts them, from which the joints of
//! the boards over and under them keep the stagger.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BaseStep, BoardStock, Budget, Job, Junction, Layout, Opening, PencilCourses, Point, Rule,
    RuleCosts, Strip, Zone, ZoneExtent, half_bond, set_out,
};
use setting_out_scene::{board, wall};

const WIDTH: i32 = 14_000;

/// A wall with two rows of windows, a strip over each that reaches past its jambs.
fn over_lintels(past: i32, height: i32, sill: i32) -> Job {
    let outline = [(0, 0), (WIDTH, 0), (WIDTH, 6_000), (0, 6_000)];
    let places =
        (0..4).flat_map(|i| [0, 1].map(|storey| (1_300 + 3_300 * i, sill + 2_800 * storey)));
    let windows: Vec<Opening> = places
        .map(|(x, y)| Opening {
            id: format!("{x} {y}"),
            corner: Point { x: Mm(x), y: Mm(y) },
            width: Mm(1_260),
            height: Mm(1_300),
        })
        .collect();
    let strips: Vec<Zone> = windows
        .iter()
        .map(|window| Zone {
            id: format!("over {}", window.id),
            extent: ZoneExtent::FireBarrier(Strip {
                corner: Point {
                    x: window.corner.x - Mm(past),
                    y: window.corner.y + window.height,
                },
                width: window.width + Mm(2 * past),
                height: Mm(height),
            }),
            board: "strip".into(),
        })
        .collect();
    let mut own = wall("front", &outline, windows);
    own.zones.extend(strips);
    Job {
        walls: vec![own],
        boards: vec![
            board(),
            BoardStock {
                key: "strip".into(),
                length: Mm(1_200),
                height: Mm(200),
                ..board()
            },
        ],
        budget: Budget {
            rule_costs: RuleCosts::Skip,
            ..Budget::default()
        },
        ..Job::default()
    }
}

fn jobs() -> impl Iterator<Item = Job> {
    [150, 300, 470].into_iter().flat_map(|past| {
        let heights = [200, 300].into_iter();
        heights.flat_map(move |height| [800, 930].map(|sill| over_lintels(past, height, sill)))
    })
}

fn sound(job: &Job, layout: &Layout) {
    let verdict = checker::check(job, layout);
    assert!(verdict.wrong.is_empty(), "{:#?}", verdict.wrong);
}

/// The ends of the strips of a job that lie inside its wall: from where to where each butt stands.
fn ends(job: &Job) -> Vec<(i32, [i32; 2])> {
    let strips = job.walls[0].zones.iter().filter_map(|z| match z.extent {
        ZoneExtent::FireBarrier(strip) => Some(strip),
        _ => None,
    });
    strips
        .flat_map(|s| {
            let levels = [s.corner.y.0, (s.corner.y + s.height).0];
            [s.corner.x.0, (s.corner.x + s.width).0].map(|x| (x, levels))
        })
        .collect()
}

#[test]
fn joints_keep_the_stagger_from_the_ends_of_strips() {
    for job in jobs() {
        let layout = set_out(&job).expect("no faults");
        sound(&job, &layout);
        let stagger = layout.breaches.iter().filter(|b| b.rule == Rule::Stagger);
        let broken: Vec<_> = stagger.collect();
        assert!(broken.is_empty(), "{broken:#?}");
        // Boards go on over and under both ends of every strip, so that four boards or three meet there.
        for (x, levels) in ends(&job) {
            for y in levels {
                let at = Point { x: Mm(x), y: Mm(y) };
                let here = |j: &Junction| j.at == at;
                assert!(layout.junctions.iter().any(here), "{x}, {y}");
            }
        }
    }
}

#[test]
fn joints_too_near_to_the_end_of_a_strip_are_told() {
    let mut told = 0;
    for job in jobs() {
        let pencil = half_bond(&job, PencilCourses::Clear).expect("no faults");
        sound(&job, &pencil);
        let ends = ends(&job);
        for breach in pencil
            .breaches
            .iter()
            .filter(|b| b.what.contains("end of a strip"))
        {
            let apart = |end: &(i32, [i32; 2])| {
                let on_level = end.1.contains(&breach.at.y.0);
                on_level.then_some((end.0 - breach.at.x.0).abs())
            };
            assert_eq!(ends.iter().filter_map(apart).min(), Some(breach.found.0));
            told += 1;
        }
    }
    assert!(told > 20, "the pencil keeps clear of no end: {told}");
}

#[test]
fn joints_keep_the_stagger_from_the_rises_of_a_base_line() {
    let mut within = 0;
    for [low, high] in [[300, 700], [400, 650], [550, 900], [700, 1_150]] {
        for at in [6_000, 6_270, 6_510] {
            let mut job = over_lintels(300, 200, 1_600);
            let plinth = |board: &str| Zone {
                id: "plinth".into(),
                extent: ZoneExtent::Plinth,
                board: board.into(),
            };
            let step = |from: i32, to: i32, level: i32| BaseStep {
                from: Mm(from),
                to: Mm(to),
                level: Mm(level),
            };
            job.boards.push(BoardStock {
                key: "plinth".into(),
                length: Mm(1_250),
                height: Mm(600),
                ..board()
            });
            job.walls[0].zones.push(plinth("plinth"));
            job.walls[0].base_line = vec![step(0, at, low), step(at, WIDTH, high)];
            let layout = set_out(&job).expect("no faults");
            sound(&job, &layout);
            let stagger = layout.breaches.iter().filter(|b| b.rule == Rule::Stagger);
            let broken: Vec<_> = stagger.collect();
            assert!(broken.is_empty(), "{low}, {high}, {at}: {broken:#?}");
            let foot = Point {
                x: Mm(at),
                y: Mm(low),
            };
            within += usize::from(layout.junctions.iter().any(|j| j.at == foot));
        }
    }
    assert!(within > 6, "boards lie under the rise: {within}");
}
