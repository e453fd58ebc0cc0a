//! Openings, strips, steps and joints that touch each other, the ends of their wall or its base line, or lie beside it. Random walls
//! of many kinds found each of these cases; each is judged by the checker, and by what it says itself.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BaseStep, Breach, Budget, Corner, CornerKind, CornerPieces, Job, KeepClear, Layout, Opening,
    PencilCourses, Point, Rule, RuleCosts, Rules, Runner, Strip, StructuralJoint, Wall, Zone,
    ZoneExtent, half_bond, set_out,
};
use setting_out_scene::{board, wall};

/// A wall of one board with openings: left, bottom, width, height.
fn front(width: i32, height: i32, openings: &[[i32; 4]]) -> Wall {
    let outline = [(0, 0), (width, 0), (width, height), (0, height)];
    let opening = |&[x, y, width, height]: &[i32; 4]| Opening {
        id: format!("{x} {y}"),
        corner: Point { x: Mm(x), y: Mm(y) },
        width: Mm(width),
        height: Mm(height),
    };
    wall("front", &outline, openings.iter().map(opening).collect())
}

/// No rule asks for anything; each test sets what it is about.
fn job(walls: Vec<Wall>) -> Job {
    let rules = Rules {
        stagger: Mm(0),
        min_piece_width: Mm(0),
        min_piece_height: Mm(0),
        corner_pieces: CornerPieces::AtLeast(Mm(0)),
        opening_keep_out: Mm(0),
        course_line_clear: Mm(0),
        crack_overlap: Mm(0),
    };
    Job {
        walls,
        boards: vec![board()],
        rules,
        budget: Budget {
            steps: 60,
            rule_costs: RuleCosts::Skip,
        },
        ..Job::default()
    }
}

/// Steps of a base line: from, to, level.
fn base_line(steps: &[[i32; 3]]) -> Vec<BaseStep> {
    let step = |&[from, to, level]: &[i32; 3]| BaseStep {
        from: Mm(from),
        to: Mm(to),
        level: Mm(level),
    };
    steps.iter().map(step).collect()
}

fn plinth() -> Zone {
    Zone {
        id: "plinth".into(),
        extent: ZoneExtent::Plinth,
        board: "board".into(),
    }
}

fn strip([x, y, width, height]: [i32; 4]) -> Zone {
    let strip = Strip {
        corner: Point { x: Mm(x), y: Mm(y) },
        width: Mm(width),
        height: Mm(height),
    };
    Zone {
        id: format!("strip {x} {y}"),
        extent: ZoneExtent::FireBarrier(strip),
        board: "board".into(),
    }
}

fn checked(job: &Job, layout: Layout) -> Layout {
    let verdict = checker::check(job, &layout);
    assert!(verdict.wrong.is_empty(), "{:#?}", verdict.wrong);
    layout
}

fn laid(job: &Job) -> Layout {
    let layout = set_out(job).unwrap_or_else(|faults| panic!("{faults:?}"));
    checked(job, layout)
}

/// In plain half bond, where joints fall as they fall.
fn pencil(job: &Job) -> Layout {
    let layout = half_bond(job, PencilCourses::Whole).unwrap_or_else(|faults| panic!("{faults:?}"));
    checked(job, layout)
}

/// Place and measure of every breach of a rule.
fn told(layout: &Layout, rule: Rule) -> Vec<(i32, i32, i32)> {
    let own = layout.breaches.iter().filter(|b| b.rule == rule);
    own.map(|b: &Breach| (b.at.x.0, b.at.y.0, b.found.0))
        .collect()
}

/// The left one of two windows that touch ends under the lintel of the right one: over it a piece of its own width is left.
#[test]
fn a_narrow_piece_over_one_of_two_windows_that_touch_is_told() {
    let mut job = job(vec![front(
        942,
        439,
        &[[0, 129, 100, 171], [100, 98, 600, 341]],
    )]);
    job.rules.min_piece_width = Mm(150);
    assert_eq!(told(&laid(&job), Rule::MinPieceWidth), [(0, 300, 100)]);
}

/// Between a jamb and a rise beside it 100 mm of the course are left under the sill; over the lintel it goes on from jamb to jamb.
#[test]
fn a_narrow_piece_under_a_sill_beside_a_rise_is_told() {
    let mut own = front(3000, 1500, &[[1000, 300, 1000, 150]]);
    own.base_line = base_line(&[[0, 1100, 0], [1100, 3000, 300]]);
    let mut job = job(vec![own]);
    job.rules.min_piece_width = Mm(150);
    let layout = pencil(&job);
    assert!(told(&layout, Rule::MinPieceWidth).contains(&(1000, 0, 100)));
    laid(&job);
}

/// The end of a strip stands 100 mm beside the rise whose upper level it lies on: main boards reach in between the two.
#[test]
fn a_strip_that_ends_beside_a_rise_is_told() {
    let mut own = front(6000, 2500, &[]);
    own.base_line = base_line(&[[0, 3000, 300], [3000, 6000, 500]]);
    own.zones.extend([plinth(), strip([3100, 500, 2000, 200])]);
    let mut job = job(vec![own]);
    job.rules.stagger = Mm(250);
    let between = |layout: &Layout| {
        let told = told(layout, Rule::Stagger);
        assert!(told.contains(&(3100, 500, 100)), "{told:?}");
    };
    between(&laid(&job));
    between(&pencil(&job));
    // At the rise itself the two are one edge of the boards beside them, and at the stagger they are far enough apart.
    for x in [3000, 3250] {
        job.walls[0].zones.pop();
        job.walls[0].zones.push(strip([x, 500, 2000, 200]));
        let found = told(&laid(&job), Rule::Stagger);
        let ends = found.iter().filter(|b| b.0 == x && b.1 == 500);
        assert_eq!(ends.count(), 0, "{found:?}");
    }
}

/// Where an opening takes the wall from end to end there is no course whose line could be too near to its lintel.
#[test]
fn no_line_is_told_where_there_is_no_course() {
    let mut own = front(6000, 3500, &[[0, 0, 6000, 1500]]);
    own.base_line = base_line(&[[0, 6000, 2390]]);
    own.zones.push(plinth());
    let mut job = job(vec![own]);
    job.boards[0].height = Mm(200);
    job.rules.course_line_clear = Mm(100);
    job.rules.min_piece_height = Mm(150);
    laid(&job);
    pencil(&job);
}

/// Under the middle of this window lies the plinth and under its left jamb the facade: each corner counts where it is.
#[test]
fn corners_of_an_opening_over_a_step_are_kept_clear_each() {
    let mut own = front(6487, 1500, &[[1328, 340, 2172, 271]]);
    own.base_line = base_line(&[[0, 1900, 100], [1900, 6487, 1024]]);
    let mut job = job(vec![own]);
    job.rules.opening_keep_out = Mm(100);
    job.rules.course_line_clear = Mm(100);
    let layout = pencil(&job);
    assert!(!told(&layout, Rule::CourseLineClear).is_empty());
    for at in (1_000..1_700).step_by(30) {
        job.walls[0].openings[0].corner.x = Mm(at);
        assert_eq!(told(&laid(&job), Rule::OpeningKeepOut), [], "{at}");
        pencil(&job);
    }
}

#[test]
fn a_crack_that_boards_need_not_cover_is_crossed_without_a_word() {
    let mut own = front(7000, 3000, &[]);
    own.keep_clear = vec![KeepClear {
        id: "crack".into(),
        from: Point {
            x: Mm(235),
            y: Mm(2181),
        },
        to: Point {
            x: Mm(1089),
            y: Mm(74),
        },
    }];
    let mut job = job(vec![own]);
    job.boards[0].height = Mm(200);
    assert_eq!(told(&pencil(&job), Rule::CrackOverlap), []);
    laid(&job);
}

/// A corner of two walls, the second with a strip, or a step of its base line, that lies beside it, where boards run past.
#[test]
fn what_lies_beside_a_wall_takes_nothing_from_the_boards_that_run_past() {
    let mut right = front(4000, 3000, &[]);
    right.id = "right".into();
    right.thickness = Mm(160);
    let left = Wall {
        id: "left".into(),
        ..right.clone()
    };
    let mut plain = job(vec![left, right]);
    plain.corners = vec![Corner {
        id: "corner".into(),
        right_end_of: "left".into(),
        left_end_of: "right".into(),
        kind: CornerKind::Salient,
        first_to_run: Runner::RightEnd,
    }];
    let mut beside = plain.clone();
    beside.walls[1].zones.push(strip([-60, 1500, 60, 200]));
    assert_eq!(laid(&plain).pieces, laid(&beside).pieces);
    let mut stepped = plain.clone();
    stepped.walls[1].base_line = base_line(&[[0, 4000, 200]]);
    let mut further = plain;
    further.walls[1].base_line = base_line(&[[-900, -40, 700], [-40, 4000, 200]]);
    assert_eq!(laid(&stepped).pieces, laid(&further).pieces);
}

/// A lintel that lies level with the end of a rise beside it, inside its course: what stands on it meets no other board there.
#[test]
fn joints_over_a_lintel_inside_a_course_meet_no_rise() {
    let mut own = front(1843, 1324, &[[800, 248, 300, 181]]);
    own.base_line = base_line(&[[0, 1178, 243], [1178, 1843, 429]]);
    own.zones.push(plinth());
    let mut job = job(vec![own]);
    job.rules.stagger = Mm(495);
    pencil(&job);
    laid(&job);
}

/// A steep side runs into a base line: there the lowest board ends in a point on the line, and nowhere below it.
#[test]
fn boards_over_a_base_line_that_runs_out_at_a_steep_side_stay_above_it() {
    let mut own = front(3248, 5288, &[]);
    let point = |x: i32, y: i32| Point { x: Mm(x), y: Mm(y) };
    own.outline = vec![point(0, 0), point(3248, 0), point(400, 5288)];
    own.base_line = base_line(&[[0, 2800, 1500], [2800, 3248, 1185]]);
    let mut job = job(vec![own]);
    (job.boards[0].length, job.boards[0].height) = (Mm(3000), Mm(1500));
    for layout in [laid(&job), pencil(&job)] {
        let points = layout.pieces.iter().flat_map(|p| &p.outline);
        let mut left = points.filter(|p| p.x < Mm(2800));
        assert!(left.all(|p| p.y >= Mm(1500)));
    }
}

/// A side that leans in crosses a base line inside a course: on the grid of 1 mm along the wall it may be several millimetres off there,
/// but the plinth's boards end level on the line and the facade's begin on it.
#[test]
fn boards_meet_level_where_a_steep_side_crosses_a_base_line() {
    let mut crossed = 0;
    for lean in [150, 263, 310] {
        for level in (301..360).step_by(4) {
            for right in [true, false] {
                let mut own = front(3000, 2500, &[]);
                let point = |x: i32, y: i32| Point { x: Mm(x), y: Mm(y) };
                own.outline = if right {
                    vec![
                        point(0, 0),
                        point(3000, 0),
                        point(3000 - lean, 2500),
                        point(0, 2500),
                    ]
                } else {
                    vec![
                        point(0, 0),
                        point(3000, 0),
                        point(3000, 2500),
                        point(lean, 2500),
                    ]
                };
                let [left_level, right_level] = if right {
                    [level - 150, level]
                } else {
                    [level, level - 150]
                };
                own.base_line = base_line(&[[0, 1500, left_level], [1500, 3000, right_level]]);
                own.zones.push(plinth());
                let job = job(vec![own]);
                for layout in [laid(&job), pencil(&job)] {
                    for piece in &layout.pieces {
                        let low = piece.zone == 1;
                        let near = |p: &&Point| (p.y.0 - level).abs() < 20;
                        let ends = piece.outline.iter().filter(near);
                        assert!(
                            ends.clone().all(|p| p.y == Mm(level)),
                            "{lean}, {level}: {piece:?}"
                        );
                        crossed += usize::from(low && ends.count() > 0);
                    }
                }
            }
        }
    }
    assert!(crossed > 100, "{crossed}");
}

/// Two pieces of a course over each other, under and over a window from end to end: each is told at its own height.
#[test]
fn narrow_pieces_are_told_where_they_lie() {
    let mut job = job(vec![front(120, 1000, &[[0, 600, 120, 200]])]);
    job.rules.min_piece_width = Mm(150);
    let layout = laid(&job);
    let told = layout.breaches.iter();
    let told = told.filter(|b| b.rule == Rule::MinPieceWidth);
    let mut told: Vec<Point> = told.map(|b| b.at).collect();
    told.sort_unstable();
    let corner = |p: &setting_out::Piece| p.outline.iter().min().copied();
    let mut lie: Vec<Point> = layout.pieces.iter().filter_map(corner).collect();
    lie.sort_unstable();
    assert_eq!(told, lie);
    assert!(told.contains(&Point {
        x: Mm(0),
        y: Mm(800)
    }));
}

fn paths(job: &Job) -> Vec<String> {
    let faults = set_out(job).expect_err("faults");
    faults.into_iter().map(|f| f.path).collect()
}

#[test]
fn a_slot_that_reaches_the_end_of_its_wall_is_a_fault() {
    let slot = |x: i32, gap: i32| {
        let mut own = front(3000, 1000, &[]);
        own.structural_joints = vec![StructuralJoint {
            id: "joint".into(),
            x: Mm(x),
            gap: Mm(gap),
        }];
        job(vec![own])
    };
    for (x, gap) in [(9, 18), (2991, 18), (10, 21), (2989, 21)] {
        let path = "walls[0].structural_joints[0].x";
        assert_eq!(paths(&slot(x, gap)), [path], "{x}, {gap}");
    }
    for (x, gap) in [(10, 18), (2990, 18), (11, 21), (2988, 21)] {
        laid(&slot(x, gap));
    }
}

/// Every field of both walls is beyond its range; an outline that is a fault hides none of the others.
#[test]
fn faults_of_an_outline_hide_no_others() {
    let mut own = front(3000, 1000, &[[500, 300, 500, 500]]);
    own.base_line = base_line(&[[0, 3000, 100]]);
    own.zones.push(strip([0, 800, 3000, 200]));
    own.structural_joints = vec![StructuralJoint {
        id: "joint".into(),
        x: Mm(1500),
        gap: Mm(20),
    }];
    let other = Wall {
        id: "other".into(),
        ..own.clone()
    };
    for most in [i32::MAX, i32::MIN] {
        let mut job = job(vec![own.clone(), other.clone()]);
        for own in &mut job.walls {
            own.outline[1].x = Mm(most);
            own.openings[0].corner.y = Mm(most);
            own.openings[0].width = Mm(most);
            own.base_line[0].level = Mm(most);
            own.zones[1] = strip([most; 4]);
            own.structural_joints[0].x = Mm(most);
            own.structural_joints[0].gap = Mm(most);
        }
        let found = paths(&job);
        for wall in 0..2 {
            for field in [
                "outline[1].x",
                "openings[0].corner.y",
                "openings[0].width",
                "base_line[0].level",
                "zones[1].corner.x",
                "zones[1].height",
                "structural_joints[0].x",
                "structural_joints[0].gap",
            ] {
                let path = format!("walls[{wall}].{field}");
                assert!(found.contains(&path), "{path}: {found:?}");
            }
        }
    }
}
