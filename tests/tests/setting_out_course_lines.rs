//! Course lines: wherever lines exist that keep clear of sills and lintels and leave no piece too low, a layout lies on such
//! lines. Whether any exist is found by trying all of them.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BoardStock, Budget, Corner, CornerKind, Job, Opening, Point, Rotation, Rule, RuleCosts, Rules,
    Runner, Wall, set_out,
};
use setting_out_scene::wall;

/// A wall with two storeys of windows and free ends.
fn facade(board: [i32; 2], windows: &[Window], rules: &Rules) -> Job {
    let [width, top] = [windows.len() as i32 * 2400 + 1200, 6000];
    let openings = windows.iter().zip(0..).flat_map(|(window, along)| {
        (0..2).map(move |floor| Opening {
            id: format!("{floor}.{along}"),
            corner: Point {
                x: Mm(1300 + along * 2400),
                y: Mm(floor * 3000 + window.sill),
            },
            width: Mm(1100),
            height: Mm(window.lintel - window.sill),
        })
    });
    let outline = [(0, 0), (width, 0), (width, top), (0, top)];
    Job {
        walls: vec![wall("wall", &outline, openings.collect())],
        boards: vec![BoardStock {
            length: Mm(board[0]),
            height: Mm(board[1]),
            rotation: Rotation::Allowed,
            ..setting_out_scene::board()
        }],
        rules: rules.clone(),
        budget: Budget {
            steps: 200,
            rule_costs: RuleCosts::Skip,
        },
        ..Job::default()
    }
}

#[derive(Clone, Copy)]
struct Window {
    sill: i32,
    lintel: i32,
}

/// Whether lines from the bottom to the top exist, on a grid of 10 mm, that are lawful: courses no higher than a board and no
/// lower than a piece may be, no line too near to a sill or a lintel, and no strip below a sill or over a lintel too low.
fn lawful_lines_exist(job: &Job) -> bool {
    let rules = &job.rules;
    let (low, clear) = (rules.min_piece_height.0, rules.course_line_clear.0);
    let wall = &job.walls[0];
    let lawful = |y: i32| {
        wall.openings.iter().all(|o| {
            let (sill, lintel) = (o.corner.y.0, (o.corner.y + o.height).0);
            let near = |level: i32| (y - level).abs() < clear;
            let strip =
                (sill - low + 1..sill).contains(&y) || (lintel + 1..lintel + low).contains(&y);
            !near(sill) && !near(lintel) && !strip
        })
    };
    let top = wall.outline.iter().map(|p| p.y.0).max().unwrap();
    let mut reached = vec![0];
    for y in (10..=top).step_by(10).filter(|&y| y == top || lawful(y)) {
        let course = low..=job.boards[0].height.0;
        if reached.iter().any(|below| course.contains(&(y - below))) {
            reached.push(y);
        }
    }
    reached.contains(&top)
}

fn check(what: &str, job: &Job) {
    let layout = set_out(job).unwrap_or_else(|faults| panic!("{what}: {faults:?}"));
    let of_lines = |rule: Rule| matches!(rule, Rule::CourseLineClear | Rule::MinPieceHeight);
    let broken: Vec<_> = layout
        .breaches
        .iter()
        .filter(|b| of_lines(b.rule))
        .collect();
    assert!(broken.is_empty(), "{what}: {broken:?}");
    let verdict = checker::check(job, &layout);
    assert!(verdict.wrong.is_empty(), "{what}: {:#?}", verdict.wrong);
}

/// A line may be nearer to a sill than a piece may be low, but not below it, where the strip between them would be too low.
#[test]
fn no_strip_beside_an_opening_is_too_low() {
    let mut lawful = 0;
    for clear in [0, 30, 60, 100] {
        for sill in (850..=1150).step_by(50) {
            for height in [1000, 1250, 1400] {
                let lintel = sill + height;
                let rules = Rules {
                    course_line_clear: Mm(clear),
                    ..Rules::default()
                };
                let job = facade([1000, 500], &[Window { sill, lintel }; 2], &rules);
                if lawful_lines_exist(&job) {
                    lawful += 1;
                    check(&format!("clear {clear}, {sill} to {lintel} mm"), &job);
                }
            }
        }
    }
    assert!(lawful > 60, "{lawful} facades can be laid at all");
}

/// On a wide wall a ripped course costs many boards, and still less than a rule.
#[test]
fn a_wide_wall_breaks_no_rule_to_spare_a_rip() {
    let mut lawful = 0;
    for count in [2, 12, 40] {
        for sill in (820..=1100).step_by(40) {
            let window = Window {
                sill,
                lintel: sill + 1320,
            };
            let job = facade([1200, 200], &vec![window; count], &Rules::default());
            if lawful_lines_exist(&job) {
                lawful += 1;
                check(&format!("{count} windows from {sill} mm"), &job);
            }
        }
    }
    assert!(lawful > 12, "{lawful} facades can be laid at all");
}

/// Low boards, and windows whose sills and lintels lie at many heights.
#[test]
fn low_boards_find_lines_between_openings_of_unlike_height() {
    let rules = Rules {
        min_piece_height: Mm(60),
        course_line_clear: Mm(60),
        ..Rules::default()
    };
    let mut lawful = 0;
    for first in (700..=1100).step_by(70) {
        for second in (730..=1130).step_by(80) {
            for height in [900, 1170, 1400] {
                let window = |sill: i32, height: i32| Window {
                    sill,
                    lintel: sill + height,
                };
                let windows = [
                    window(first, height),
                    window(second, height + 130),
                    window(first, height - 240),
                ];
                let job = facade([1200, 200], &windows, &rules);
                if lawful_lines_exist(&job) {
                    lawful += 1;
                    check(&format!("sills {first} and {second}, {height} mm"), &job);
                }
            }
        }
    }
    assert!(lawful > 20, "{lawful} facades can be laid at all");
}

/// A gable's point is not cut off: a line just below it would leave a sliver. The wall beside it, which shares its lines, is higher.
#[test]
fn no_line_lies_just_below_the_point_of_a_gable() {
    for above in [5, 12, 40, 80] {
        for rise in [2000, 2500] {
            let eaves = 5000 - rise + above;
            let point = 5000 + above;
            let gable = [(0, 0), (5000, 0), (5000, eaves), (2500, point), (0, eaves)];
            let side = [(0, 0), (3000, 0), (3000, 6000), (0, 6000)];
            let walled = |id: &str, outline: &[(i32, i32)]| Wall {
                thickness: Mm(100),
                bed: Mm(10),
                ..wall(id, outline, Vec::new())
            };
            let job = Job {
                walls: vec![walled("gable", &gable), walled("side", &side)],
                corners: vec![Corner {
                    id: "corner".into(),
                    right_end_of: "gable".into(),
                    left_end_of: "side".into(),
                    kind: CornerKind::Salient,
                    first_to_run: Runner::RightEnd,
                }],
                boards: vec![setting_out_scene::board()],
                budget: Budget {
                    steps: 200,
                    rule_costs: RuleCosts::Skip,
                },
                ..Job::default()
            };
            let what = format!("point {above} mm over a whole course, rise {rise} mm");
            check(&what, &job);
            let layout = set_out(&job).unwrap();
            assert!(layout.breaches.is_empty(), "{what}: {:?}", layout.breaches);
        }
    }
}
