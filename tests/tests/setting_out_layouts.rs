//! Layouts of our twelve buildings, judged by a checker that shares no code with the engine, and laws that any layout
//! must keep.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod halting;
#[path = "../properties/setting_out/instance.rs"]
mod instance;
mod setting_out_scene;

use halting::halted_after;
use quantity::Mm;
use setting_out::{
    BaseStep, BoardStock, Breach, Budget, Fault, Job, Layout, Opening, PencilCourses, Point, Rule,
    RuleCosts, Zone, ZoneExtent, half_bond, set_out, set_out_unless,
};
use setting_out_scene::{board, wall};

/// Few steps: soundness must not depend on how long the search went on.
fn quick(job: &Job, steps: u64) -> Job {
    Job {
        budget: Budget {
            steps,
            rule_costs: RuleCosts::Skip,
        },
        ..job.clone()
    }
}

fn laid(job: &Job) -> Layout {
    set_out(job).unwrap_or_else(|faults| panic!("{faults:?}"))
}

/// A layout whose search is halted, and how often that asks.
fn halted_laying(job: &Job, times: usize) -> (Option<Layout>, usize) {
    let (end, asked) = halted_after(times, |halt| set_out_unless(job, halt));
    (end.expect("no faults"), asked)
}

#[test]
fn every_instance_is_sound_at_any_budget() {
    for case in instance::all() {
        for steps in [0, 60, 400, 1000] {
            let job = quick(&case.job, steps);
            let verdict = checker::check(&job, &laid(&job));
            assert!(
                verdict.wrong.is_empty(),
                "{} ({}): {:#?}",
                case.name,
                case.title,
                verdict.wrong
            );
        }
    }
}

#[test]
fn the_pencil_layout_is_sound_too() {
    for case in instance::all() {
        for courses in [PencilCourses::Whole, PencilCourses::Clear] {
            let layout = half_bond(&case.job, courses).expect("no faults");
            let verdict = checker::check(&case.job, &layout);
            assert!(
                verdict.wrong.is_empty(),
                "{}, {courses:?}: {:#?}",
                case.name,
                verdict.wrong
            );
        }
    }
}

#[test]
fn the_search_breaks_fewer_rules_than_the_pencil() {
    for case in instance::all() {
        let layout = laid(&quick(&case.job, 400));
        let pencil = half_bond(&case.job, PencilCourses::Clear).expect("no faults");
        assert!(
            layout.breaches.len() <= pencil.breaches.len(),
            "{}",
            case.name
        );
    }
}

#[test]
fn the_same_job_gives_the_same_layout() {
    let case = instance::all()
        .into_iter()
        .find(|c| c.name.starts_with("01"))
        .expect("garage");
    assert_eq!(laid(&case.job), laid(&case.job));
}

/// A joint of the plinth under a jamb whose sill lies on the base line stands in line with the opening's edge as much as
/// one of the main courses: wherever the window stands, none of them may be nearer than the keep-out without being named.
#[test]
fn joints_keep_out_across_the_base_line() {
    for x in (800..1800).step_by(50) {
        let mut job = plain(4000, 2500, vec![opening(x, 500, 900, 1200)]);
        job.walls[0].base_line = vec![BaseStep {
            from: Mm(0),
            to: Mm(4000),
            level: Mm(500),
        }];
        job.walls[0].zones.push(Zone {
            id: "plinth".into(),
            extent: ZoneExtent::Plinth,
            board: "board".into(),
        });
        let layout = laid(&quick(&job, 100));
        let verdict = checker::check(&job, &layout);
        assert!(verdict.wrong.is_empty(), "{x}: {:#?}", verdict.wrong);
        let plinth = |b: &&Breach| b.rule == Rule::OpeningKeepOut && b.at.y == Mm(0);
        assert_eq!(layout.breaches.iter().find(plinth), None, "{x}");
    }
}

fn plain(width: i32, height: i32, openings: Vec<Opening>) -> Job {
    let outline = [(0, 0), (width, 0), (width, height), (0, height)];
    Job {
        walls: vec![wall("wall", &outline, openings)],
        boards: vec![BoardStock {
            boards_per_pack: 5,
            ..board()
        }],
        ..Job::default()
    }
}

fn opening(x: i32, y: i32, width: i32, height: i32) -> Opening {
    Opening {
        id: format!("{x},{y}"),
        corner: Point { x: Mm(x), y: Mm(y) },
        width: Mm(width),
        height: Mm(height),
    }
}

/// By hand: 3 courses of 4 whole boards, each second begun and ended with a half board from one board.
#[test]
fn a_wall_of_whole_boards_needs_no_more_than_its_area_and_a_board() {
    let layout = laid(&plain(4000, 1500, Vec::new()));
    assert_eq!(layout.products[0].lb_area, 12);
    assert!(
        layout.products[0].boards <= 13,
        "{} boards",
        layout.products[0].boards
    );
    assert!(layout.breaches.is_empty());
}

#[test]
fn a_wall_smaller_than_a_board_is_one_piece() {
    let layout = laid(&plain(700, 400, Vec::new()));
    assert_eq!((layout.pieces.len(), layout.boards.len()), (1, 1));
    assert!(
        checker::check(&plain(700, 400, Vec::new()), &layout)
            .wrong
            .is_empty()
    );
}

#[test]
fn an_opening_inside_one_board_is_a_hole() {
    let job = plain(1000, 500, vec![opening(400, 150, 150, 150)]);
    let layout = laid(&job);
    assert_eq!(
        layout.pieces.iter().map(|p| p.holes.len()).sum::<usize>(),
        1
    );
    assert!(checker::check(&job, &layout).wrong.is_empty());
}

#[test]
fn an_opening_of_whole_boards_never_raises_the_area_bound() {
    let without = laid(&plain(6000, 3000, Vec::new()));
    let with = laid(&plain(6000, 3000, vec![opening(1500, 750, 1000, 1000)]));
    assert!(with.products[0].lb_area <= without.products[0].lb_area);
    assert!(with.products[0].boards <= without.products[0].boards);
}

#[test]
fn a_rule_that_cannot_be_kept_is_named_and_placed() {
    // A pier of 120 mm between two doors is narrower than any piece may be.
    let job = plain(
        3120,
        1500,
        vec![opening(500, 0, 1000, 1000), opening(1620, 0, 1000, 1000)],
    );
    let layout = laid(&job);
    let narrow = layout
        .breaches
        .iter()
        .find(|b| b.rule == Rule::MinPieceWidth)
        .expect("named");
    assert_eq!(
        (narrow.at.x, narrow.found, narrow.required),
        (Mm(1500), Mm(120), Mm(150))
    );
    assert!(checker::check(&job, &layout).wrong.is_empty());
}

fn paths(job: &Job) -> Vec<String> {
    set_out(job)
        .expect_err("faults")
        .into_iter()
        .map(|f: Fault| f.path)
        .collect()
}

#[test]
fn a_halted_search_gives_nothing_and_one_that_is_asked_gives_the_same() {
    let case = instance::all().swap_remove(0);
    let job = Job {
        budget: Budget {
            steps: 60,
            rule_costs: RuleCosts::Report,
        },
        ..case.job
    };
    let whole = laid(&job);
    let halted = |times| halted_laying(&job, times);
    let (end, all) = halted(usize::MAX);
    assert_eq!(end.as_ref(), Some(&whole));
    assert!(all > 100, "asked {all} times only");
    for times in [0, 1, 2, 10, all / 3, all - 1] {
        assert_eq!(halted(times).0, None, "halted after {times} of {all}");
    }
    assert_eq!(halted(all).0, Some(whole));
}

#[test]
fn a_first_layout_is_halted_between_two_courses() {
    let case = instance::all().swap_remove(11);
    let job = quick(&case.job, 0);
    let courses = laid(&job).courses.len();
    for times in [0, 1, courses / 2, courses - 1] {
        assert_eq!(halted_laying(&job, times), (None, times + 1));
    }
}

#[test]
fn impossible_rules_are_all_named_at_once() {
    let mut job = plain(4000, 2500, Vec::new());
    job.rules.stagger = Mm(600);
    job.rules.min_piece_width = Mm(1200);
    job.rules.min_piece_height = Mm(600);
    assert_eq!(
        paths(&job),
        [
            "rules.stagger",
            "rules.min_piece_width",
            "rules.min_piece_height"
        ]
    );
}

#[test]
fn unreadable_walls_are_faults() {
    let mut bow = plain(4000, 2500, Vec::new());
    bow.walls[0].outline.swap(1, 2);
    assert_eq!(paths(&bow), ["walls[0].outline"]);
    let mut flat = plain(4000, 2500, Vec::new());
    flat.walls[0].outline.truncate(2);
    assert_eq!(paths(&flat), ["walls[0].outline"]);
    let beside = plain(4000, 2500, vec![opening(3900, 500, 500, 500)]);
    assert_eq!(paths(&beside), ["walls[0].openings[0]"]);
    let over = plain(
        4000,
        2500,
        vec![opening(500, 500, 500, 500), opening(900, 600, 500, 500)],
    );
    assert_eq!(paths(&over), ["walls[0].openings[1]"]);
    let mut lost = plain(4000, 2500, Vec::new());
    lost.walls[0].zones[0].board = "none".into();
    assert_eq!(paths(&lost), ["walls[0].zones[0].board"]);
    let mut far = plain(4000, 2500, Vec::new());
    far.walls[0].outline[1].x = Mm(2_000_000);
    assert_eq!(paths(&far), ["walls[0].outline[1].x"]);
    assert!(paths(&Job::default()).contains(&"walls".to_string()));
}

#[test]
fn thousands_of_openings_meet_a_stated_limit_and_end() {
    let grid = |count: i32| -> Vec<Opening> {
        (0..count)
            .map(|i| opening(500 + i % 40 * 2000, 500 + i / 40 * 1500, 800, 700))
            .collect()
    };
    let too_many = plain(81_000, 160_000, grid(4_001));
    assert!(paths(&too_many).contains(&"walls[0].openings".to_string()));
    let many = quick(&plain(81_000, 20_000, grid(480)), 0);
    let layout = laid(&many);
    assert!(checker::check(&many, &layout).wrong.is_empty());
}
