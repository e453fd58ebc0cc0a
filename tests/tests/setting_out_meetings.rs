//! Where walls, zones and openings meet: corners with unlike courses, windows that turn a corner, low parts, level cracks.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
#[allow(dead_code)] // titles are for the table
#[path = "../properties/setting_out/instance.rs"]
mod instance;
mod setting_out_scene;

use std::collections::BTreeMap;

use quantity::Mm;
use setting_out::{
    BaseStep, Breach, Corner, CornerKind, CornerPieces, Form, Job, KeepClear, Layout, Opening,
    Piece, Point, Rule, Rules, Runner, Strip, Wall, Zone, ZoneExtent, first_to_run, set_out,
};
use setting_out_scene::{board, wall};

fn rectangle(id: &str, width: i32, levels: [i32; 2], openings: Vec<Opening>) -> Wall {
    let [low, high] = levels;
    let outline = [(0, low), (width, low), (width, high), (0, high)];
    Wall {
        thickness: Mm(160),
        bed: Mm(5),
        ..wall(id, &outline, openings)
    }
}

fn opening(id: &str, x: i32, y: i32, width: i32, height: i32) -> Opening {
    Opening {
        id: id.into(),
        corner: Point { x: Mm(x), y: Mm(y) },
        width: Mm(width),
        height: Mm(height),
    }
}

fn with_plinth(wall: Wall, level: i32) -> Wall {
    let to = wall.outline.iter().map(|p| p.x).max().expect("a corner");
    let zone = |id: &str, extent: ZoneExtent| Zone {
        id: id.into(),
        extent,
        board: if extent == ZoneExtent::Plinth {
            "plinth".into()
        } else {
            "board".into()
        },
    };
    Wall {
        base_line: vec![BaseStep {
            from: Mm(0),
            to,
            level: Mm(level),
        }],
        zones: vec![
            zone("main", ZoneExtent::Main),
            zone("plinth", ZoneExtent::Plinth),
        ],
        ..wall
    }
}

/// Walls A and B round an outside corner at A's right end.
fn round_a_corner(a: Wall, b: Wall) -> Job {
    let plinth = setting_out::BoardStock {
        key: "plinth".into(),
        length: Mm(1200),
        height: Mm(600),
        thickness: Mm(120),
        ..board()
    };
    Job {
        corners: vec![Corner {
            id: "A/B".into(),
            right_end_of: a.id.clone(),
            left_end_of: b.id.clone(),
            kind: CornerKind::Salient,
            first_to_run: Runner::RightEnd,
        }],
        walls: vec![a, b],
        boards: vec![board(), plinth],
        rules: Rules {
            corner_pieces: CornerPieces::AtLeast(Mm(150)),
            ..Rules::default()
        },
        ..Job::default()
    }
}

fn alone(wall: Wall) -> Job {
    Job {
        walls: vec![wall],
        boards: vec![board()],
        ..Job::default()
    }
}

/// The layout, after the checker has judged it.
fn sound(job: &Job) -> Layout {
    let layout = set_out(job).unwrap_or_else(|faults| panic!("{faults:?}"));
    let verdict = checker::check(job, &layout);
    assert!(verdict.wrong.is_empty(), "{:#?}", verdict.wrong);
    layout
}

fn of(layout: &Layout, rule: Rule) -> Vec<&Breach> {
    layout.breaches.iter().filter(|b| b.rule == rule).collect()
}

fn span(piece: &Piece, of: fn(&Point) -> Mm) -> (i32, i32) {
    let values = || piece.outline.iter().map(|p| of(p).0);
    (
        values().min().expect("a corner"),
        values().max().expect("a corner"),
    )
}

/// Heights over which the pieces of a wall lie further to the left or to the right than its bed.
fn beyond(layout: &Layout, wall: usize, left: i32, right: i32) -> Vec<(i32, i32)> {
    let own = layout.pieces.iter().filter(|p| p.wall == wall);
    let past = own.filter(|p| {
        let (from, to) = span(p, |q| q.x);
        from < left - 5 || to > right + 5
    });
    past.map(|p| span(p, |q| q.y)).collect()
}

#[test]
fn walls_with_unlike_plinths_never_ask_for_the_same_corner() {
    for levels in [[300, 600], [300, 450], [640, 300], [300, 300]] {
        let a = with_plinth(rectangle("A", 5000, [-300, 2700], Vec::new()), levels[0]);
        let b = with_plinth(rectangle("B", 4000, [-300, 2700], Vec::new()), levels[1]);
        let layout = sound(&round_a_corner(a, b));
        // Read off the pieces: no height at which boards of both walls lie in the corner.
        for one in beyond(&layout, 0, 0, 5000) {
            for other in beyond(&layout, 1, 0, 4000) {
                let shared = one.1.min(other.1) - one.0.max(other.0);
                assert!(shared <= 0, "{levels:?}: {one:?} and {other:?}");
            }
        }
        // Whether unlike courses are told, and only those, is the checker's.
        let told = of(&layout, Rule::CornerCourses);
        let like = levels[0] == levels[1];
        assert!(!like || told.is_empty(), "{levels:?}: {told:?}");
    }
}

/// Before an inner corner stands a pier of 50 mm beside a doorway of full height. Where its wall stops, the board of the other, 100 mm and
/// its bed of 5 mm, takes all of it: there is nothing to tooth, though the courses of the two walls are unlike. Where it runs, its boards
/// meet the other's at unlike heights.
#[test]
fn a_corner_where_no_board_of_a_narrow_pier_is_left_has_nothing_to_tooth() {
    for (first_to_run, left) in [(Runner::LeftEnd, false), (Runner::RightEnd, true)] {
        let mut a = rectangle(
            "A",
            3000,
            [0, 2500],
            vec![opening("o", 1900, 0, 1050, 2500)],
        );
        let mut b = rectangle("B", 4000, [0, 2500], Vec::new());
        (a.thickness, b.thickness) = (Mm(100), Mm(120));
        b.zones[0].board = "plinth".into();
        let mut job = round_a_corner(a, b);
        job.corners[0].kind = CornerKind::ReEntrant;
        job.corners[0].first_to_run = first_to_run;
        let layout = sound(&job);
        let own = layout.pieces.iter().filter(|p| p.wall == 0);
        let pier = own.filter(|p| span(p, |q| q.x).1 > 2950).count();
        assert_eq!(pier > 0, left, "{first_to_run:?}");
        let told = of(&layout, Rule::CornerCourses);
        assert_eq!(!told.is_empty(), left, "{first_to_run:?}: {told:?}");
    }
}

/// A level crack that rises by an odd number of millimetres has no middle on the grid: the datum must not decide to which side it is
/// rounded.
#[test]
fn course_lines_keep_the_same_distance_from_a_crack_wherever_the_datum_lies() {
    for rise in [1, 3, 7] {
        let lines = |datum: i32| {
            let mut wall = rectangle("A", 4000, [datum, datum + 2000], Vec::new());
            wall.keep_clear = vec![KeepClear {
                id: "crack".into(),
                from: Point {
                    x: Mm(0),
                    y: Mm(datum + 500),
                },
                to: Point {
                    x: Mm(4000),
                    y: Mm(datum + 500 + rise),
                },
            }];
            let layout = sound(&alone(wall));
            let lines = layout.courses.iter().map(|c| c.bottom.0 - datum);
            lines.collect::<Vec<i32>>()
        };
        let at_the_datum = lines(0);
        for datum in [-5000, -1001, 3000] {
            assert_eq!(at_the_datum, lines(datum), "{rise}, {datum}");
        }
    }
}

/// The wall as in a mirror.
fn mirrored(wall: &Wall) -> Wall {
    let width = wall.outline.iter().map(|p| p.x).max().expect("a corner");
    let mut image = wall.clone();
    for p in &mut image.outline {
        p.x = width - p.x;
    }
    for o in &mut image.openings {
        o.corner.x = width - o.corner.x - o.width;
    }
    image
}

#[test]
fn the_same_wall_of_a_corner_and_of_its_mirror_image_runs_first() {
    let walls = [
        rectangle("A", 5000, [0, 2700], Vec::new()),
        rectangle("B", 4000, [0, 2700], Vec::new()),
        rectangle(
            "C",
            5000,
            [0, 2700],
            vec![opening("o", 700, 900, 1200, 1300)],
        ),
        rectangle(
            "D",
            5000,
            [0, 2700],
            vec![opening("o", 900, 900, 1200, 1300)],
        ),
        wall(
            "E",
            &[(0, 0), (5000, 0), (5000, 3500), (0, 2500)],
            Vec::new(),
        ),
    ];
    for a in &walls {
        for b in walls.iter().filter(|b| b.id != a.id) {
            let runner = |right: Wall, left: Wall| {
                first_to_run(&[right, left], &[(0, 1, CornerKind::Salient)], Mm(1000))
            };
            let given = runner(a.clone(), b.clone());
            let image = runner(mirrored(b), mirrored(a));
            assert_ne!(given, image, "{} and {}", a.id, b.id);
        }
    }
}

/// How the walls of a row are listed.
#[derive(Clone, Copy, PartialEq)]
enum Listed {
    FromTheLeft,
    Backwards,
}

/// Rectangles round a niche or a bay: widths from left to right, and which corners between them are re-entrant.
fn in_a_row(widths: &[i32], re_entrant: &[bool], thickness: i32, listed: Listed) -> Job {
    let mut walls: Vec<Wall> = widths
        .iter()
        .enumerate()
        .map(|(i, width)| {
            let mut wall = rectangle(&format!("W{i}"), *width, [0, 3000], Vec::new());
            wall.thickness = Mm(thickness);
            wall
        })
        .collect();
    let kind = |inside: bool| {
        if inside {
            CornerKind::ReEntrant
        } else {
            CornerKind::Salient
        }
    };
    let inside = re_entrant.iter().enumerate();
    let mut places: Vec<_> = inside
        .map(|(i, inside)| (i, i + 1, kind(*inside)))
        .collect();
    if listed == Listed::Backwards {
        walls.reverse();
        let last = walls.len() - 1;
        for (right, left, _) in &mut places {
            (*right, *left) = (last - *right, last - *left);
        }
    }
    let runners = first_to_run(&walls, &places, Mm(1000));
    let corners = places.iter().zip(&runners);
    let corners = corners
        .map(|((right, left, kind), runner)| Corner {
            id: format!("{}/{}", walls[*right].id, walls[*left].id),
            right_end_of: walls[*right].id.clone(),
            left_end_of: walls[*left].id.clone(),
            kind: *kind,
            first_to_run: *runner,
        })
        .collect();
    Job {
        boards: vec![setting_out::BoardStock {
            thickness: Mm(thickness),
            ..board()
        }],
        walls,
        corners,
        rules: Rules {
            corner_pieces: CornerPieces::AtLeast(Mm(150)),
            ..Rules::default()
        },
        ..Job::default()
    }
}

/// Between two inner corners a wall of 450 mm with boards of 160 and a bed of 5 is 285 mm wide where it stops at one of them, and 120 mm
/// where it stops at both. So it runs at one and stops at the other in every course.
#[test]
fn a_narrow_wall_runs_past_at_one_corner_and_stops_at_the_other() {
    for (widths, re_entrant, thickness, least) in [
        (&[3000, 450, 3000][..], &[true, true][..], 160, 285),
        (&[2000, 700, 4000], &[true, true], 300, 395),
        (
            &[4000, 300, 2000, 300, 4000],
            &[true, false, false, true],
            160,
            300,
        ),
        (
            &[4000, 300, 2000, 350, 3000],
            &[true, false, false, true],
            160,
            300,
        ),
        (&[4000, 800, 4000], &[false, true], 160, 800),
        (
            &[3300, 300, 3300, 700, 3300],
            &[true, false, true, false],
            160,
            300,
        ),
    ] {
        let job = in_a_row(widths, re_entrant, thickness, Listed::FromTheLeft);
        let layout = sound(&job);
        let narrow = (0..widths.len()).filter(|w| widths[*w] < 1000);
        for wall in narrow {
            let own = layout.pieces.iter().filter(|p| p.wall == wall);
            let mut courses: BTreeMap<usize, (i32, i32)> = BTreeMap::new();
            for piece in own {
                let (from, to) = span(piece, |p| p.x);
                let course = courses.entry(piece.course).or_insert((from, to));
                *course = (course.0.min(from), course.1.max(to));
            }
            for (from, to) in courses.into_values() {
                assert!(to - from >= least, "{widths:?}: {from} to {to}");
            }
        }
        let too_narrow = of(&layout, Rule::MinPieceWidth);
        assert!(too_narrow.is_empty(), "{widths:?}: {too_narrow:?}");
        // As seen in a mirror.
        let mut mirror = (widths.to_vec(), re_entrant.to_vec());
        mirror.0.reverse();
        mirror.1.reverse();
        let row = |(widths, inside): &(Vec<i32>, Vec<bool>), listed| {
            sound(&in_a_row(widths, inside, thickness, listed))
        };
        let image = row(&mirror, Listed::FromTheLeft);
        let other = row(&(widths.to_vec(), re_entrant.to_vec()), Listed::Backwards);
        let counts = |l: &Layout| (l.products[0].boards, l.products[0].cuts, l.breaches.len());
        assert_eq!(counts(&layout), counts(&image), "{widths:?}");
        assert_eq!(counts(&layout), counts(&other), "{widths:?}");
    }
}

#[test]
fn a_corner_is_toothed_across_the_base_line() {
    let a = with_plinth(rectangle("A", 5000, [-300, 2700], Vec::new()), 300);
    let b = with_plinth(rectangle("B", 4000, [-300, 2700], Vec::new()), 300);
    let layout = sound(&round_a_corner(a, b));
    let courses = layout.courses.iter().filter(|c| c.wall == 0);
    let mut runs: Vec<(i32, bool)> = courses
        .map(|c| (c.bottom.0, c.right_extension > Mm(5)))
        .collect();
    runs.sort_unstable();
    assert!(runs.len() > 4);
    assert!(runs.windows(2).all(|w| w[0].1 != w[1].1), "{runs:?}");
}

#[test]
fn no_board_lies_before_a_window_that_turns_the_corner() {
    let window = opening("o", 3800, 900, 1200, 1300);
    let a = rectangle("A", 5000, [0, 2800], vec![window.clone()]);
    let plain = rectangle("B", 4000, [0, 2800], Vec::new());
    let turned = rectangle("B", 4000, [0, 2800], vec![opening("o", 0, 900, 1000, 1300)]);
    for b in [plain, turned] {
        let both = !b.openings.is_empty();
        let layout = sound(&round_a_corner(a.clone(), b));
        let within = |wall: usize, from: i32, to: i32| {
            layout.pieces.iter().any(|p| {
                let (x0, x1) = span(p, |q| q.x);
                let (y0, y1) = span(p, |q| q.y);
                let whole = p.form == Form::Whole || p.form == Form::Cut;
                p.wall == wall && whole && x0 < to && x1 > from && y0 < 2200 && y1 > 900
            })
        };
        assert!(!within(0, 3800, 5400), "before A's window");
        assert!(!both || !within(1, -400, 1000), "before B's window");
        let thin = of(&layout, Rule::CornerPiece);
        assert!(thin.is_empty(), "{thin:?}");
    }
}

#[test]
fn a_strip_too_low_over_a_lintel_is_laid_in_as_few_pieces_as_may_be() {
    // 40 and 33 mm of wall over a lintel: each piece that lies over it is too low there. A board of 1 m that covers the
    // notched corners by 100 mm each spans 800 mm of the 2,000, and one of 1,010 mm is spanned by two.
    for (x, y, width, height, fewest) in [(1000, 960, 2000, 1800, 3), (777, 767, 1010, 2000, 2)] {
        let job = alone(rectangle(
            "A",
            5000,
            [0, 2800],
            vec![opening("o", x, y, width, height)],
        ));
        let layout = sound(&job);
        let low = of(&layout, Rule::MinPieceHeight);
        assert_eq!(low.len(), fewest, "{low:#?}");
    }
}

#[test]
fn a_low_point_of_a_slope_is_named_as_too_low() {
    // A roof of 14 degrees: the first board under it ends in a point; where its joint lies decides how high it is.
    for rise in [300, 700, 1700] {
        let outline = [(0, 0), (7000, 0), (7000, 2500 + rise), (0, 2500)];
        let layout = sound(&alone(wall("A", &outline, Vec::new())));
        let low = layout.pieces.iter().filter(|p| {
            let slopes = p.outline.len() == 3;
            let (lo, hi) = span(p, |q| q.y);
            slopes && hi - lo < 100
        });
        let told = of(&layout, Rule::MinPieceHeight);
        for piece in low {
            let (lo, _) = span(piece, |q| q.y);
            assert!(told.iter().any(|b| b.at.y == Mm(lo)), "{piece:?}: {told:?}");
        }
    }
}

#[test]
fn a_course_line_over_a_level_crack_is_named() {
    let crack = |y: i32| KeepClear {
        id: format!("at {y}"),
        from: Point { x: Mm(0), y: Mm(y) },
        to: Point {
            x: Mm(4000),
            y: Mm(y),
        },
    };
    let with = |levels: &[i32]| {
        let mut wall = rectangle("A", 4000, [0, 2000], Vec::new());
        wall.keep_clear = levels.iter().map(|y| crack(*y)).collect();
        sound(&alone(wall))
    };
    // One crack can be kept clear of by 100 mm.
    assert!(of(&with(&[500]), Rule::CrackOverlap).is_empty());
    // Cracks every 180 mm leave no line for boards of 500 mm.
    let levels: Vec<i32> = (1..11).map(|i| 180 * i).collect();
    let layout = with(&levels);
    let told = of(&layout, Rule::CrackOverlap);
    let lines: std::collections::BTreeSet<Mm> = layout.courses.iter().map(|c| c.top).collect();
    let inner = lines.iter().filter(|y| **y < Mm(2000)).count();
    assert!(inner >= 3);
    let told_lines: std::collections::BTreeSet<Mm> = told.iter().map(|b| b.at.y).collect();
    assert_eq!(told_lines.len(), inner, "{told:?}");
}

#[test]
fn a_crack_within_an_opening_is_under_no_board() {
    // From the sill to the lintel: what lies under and over the window need not mind it.
    let window = opening("o", 1000, 700, 1200, 1300);
    let mut wall = rectangle("A", 4000, [0, 2500], vec![window]);
    let free = set_out(&alone(wall.clone())).expect("no faults");
    wall.keep_clear = vec![KeepClear {
        id: "crack".into(),
        from: Point {
            x: Mm(1500),
            y: Mm(750),
        },
        to: Point {
            x: Mm(1600),
            y: Mm(1950),
        },
    }];
    let layout = sound(&alone(wall));
    assert!(of(&layout, Rule::CrackOverlap).is_empty());
    assert_eq!(layout.products[0].boards, free.products[0].boards);
}

#[test]
fn strips_on_a_stepped_base_leave_no_low_rows() {
    for step in [90, 205, 250] {
        let mut wall = rectangle("A", 6000, [0, 3000], Vec::new());
        let level = |from: i32, level: i32| BaseStep {
            from: Mm(from),
            to: Mm(from + 3000),
            level: Mm(level),
        };
        wall.base_line = vec![level(0, 0), level(3000, step)];
        let strip = |x: i32, y: i32| Zone {
            id: format!("strip at {x}"),
            extent: ZoneExtent::FireBarrier(Strip {
                corner: Point { x: Mm(x), y: Mm(y) },
                width: Mm(3000),
                height: Mm(200),
            }),
            board: "board".into(),
        };
        wall.zones.extend([strip(0, 0), strip(3000, step)]);
        let layout = sound(&alone(wall));
        // Between the two upper edges the left half has a row as high as the step, and nothing lower.
        let low = of(&layout, Rule::MinPieceHeight);
        assert!(
            low.iter().all(|b| b.found >= Mm(step.min(100))),
            "{step}: {low:?}"
        );
        assert!(step < 100 || low.is_empty(), "{step}: {low:?}");
    }
}

#[test]
fn a_low_band_is_cut_across_the_boards_where_that_takes_fewer() {
    // 6,000 by 300 mm from boards of 1,000 by 500: along them six, across them twelve pieces, three from each board.
    for kerf in [0, 2, 5] {
        for (width, boards) in [(6_000, 4), (12_000, 8)] {
            let mut job = alone(rectangle("A", width, [0, 300], Vec::new()));
            job.boards[0].kerf = Mm(kerf);
            job.boards[0].boards_per_pack = 2;
            let layout = sound(&job);
            assert_eq!(layout.products[0].boards, boards, "{width} mm, kerf {kerf}");
        }
    }
}

#[test]
fn no_board_is_cut_in_two_to_be_laid_together_again() {
    for case in instance::all() {
        let layout = set_out(&case.job).unwrap_or_else(|faults| panic!("{faults:?}"));
        let mut last: Option<&Piece> = None;
        let mut parted = Vec::new();
        for piece in &layout.pieces {
            if let Some(before) = last.filter(|b| b.course == piece.course) {
                let plain = |p: &Piece| p.form == Form::Cut;
                let touch = span(before, |p| p.x).1 == span(piece, |p| p.x).0;
                let level = span(before, |p| p.y) == span(piece, |p| p.y);
                let wide = span(piece, |p| p.x).1 - span(before, |p| p.x).0;
                let fits = wide <= case.job.boards[piece.product].length.0;
                let one = before.board == piece.board;
                if plain(before) && plain(piece) && touch && level && fits && one {
                    parted.push((before.number, piece.number));
                }
            }
            last = Some(piece);
        }
        let few = layout.pieces.len() / 200;
        assert!(parted.len() <= few, "{}: {parted:?}", case.name);
    }
}

#[test]
fn packs_are_those_that_the_order_buys_with_its_waste() {
    for (pack, waste) in [
        (1, 0),
        (3, 0),
        (4, 20_000),
        (6, 50_000),
        (1, 30_000),
        (10, 7_500),
    ] {
        let board = setting_out::BoardStock {
            boards_per_pack: pack,
            waste_ppm: waste,
            ..board()
        };
        for boards in 0..2_000 {
            let packs = board.packs_for(boards);
            let needed = f64::from(boards) * (1.0 + f64::from(waste) / 1e6);
            let ordered = quantity::whole_packs(needed, f64::from(pack));
            assert_eq!(
                Some(u64::from(packs)),
                ordered,
                "{boards} in packs of {pack}, {waste}"
            );
            // The most that as many packs serve: one board more takes a pack more.
            let most = board.boards_of(packs);
            assert!(boards <= most);
            assert_eq!(
                (board.packs_for(most), board.packs_for(most + 1) > packs),
                (packs, true)
            );
        }
    }
}

#[test]
fn a_pack_is_not_opened_for_the_waste_of_one_board() {
    // Packs that hold what area alone asks for, and waste besides: the search stops at them or says how far it is.
    let mut saved = 0;
    for width in (9_000..15_000).step_by(500) {
        let job = |waste: u32| {
            let wall = rectangle("A", width, [0, 5_300], Vec::new());
            let mut job = alone(wall);
            job.boards[0].boards_per_pack = 12;
            job.boards[0].waste_ppm = waste;
            job
        };
        let blind = sound(&job(0)).products[0].clone();
        let knowing = sound(&job(50_000)).products[0].clone();
        let bought = |boards| job(50_000).boards[0].packs_for(boards);
        assert!(
            knowing.packs <= bought(blind.boards),
            "{width}: {knowing:?}"
        );
        saved += bought(blind.boards) - knowing.packs;
    }
    assert!(saved > 0);
}
