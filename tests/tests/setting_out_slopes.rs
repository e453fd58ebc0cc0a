//! Walls with sloping edges: they are covered whatever the slope, and pieces of one slope are cut in pairs.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BoardStock, Budget, CutKind, Form, Job, Layout, Opening, PencilCourses, Point, Rotation, Rule,
    RuleCosts, Turn, Wall, half_bond, set_out,
};
use setting_out_scene::wall;

fn job(board: (i32, i32), rotation: Rotation, kerf: i32, walls: Vec<Wall>) -> Job {
    Job {
        walls,
        boards: vec![BoardStock {
            length: Mm(board.0),
            height: Mm(board.1),
            thickness: Mm(160),
            boards_per_pack: 3,
            rotation,
            kerf: Mm(kerf),
            ..setting_out_scene::board()
        }],
        budget: Budget {
            steps: 400,
            rule_costs: RuleCosts::Skip,
        },
        ..Job::default()
    }
}

/// A layout that the checker has nothing against.
fn sound(job: &Job, what: &str) -> Layout {
    let layout = set_out(job).unwrap_or_else(|faults| panic!("{what}: {faults:?}"));
    let verdict = checker::check(job, &layout);
    assert!(verdict.wrong.is_empty(), "{what}: {:#?}", verdict.wrong);
    layout
}

/// A joint that falls at the foot of a slope parts nothing off there.
#[test]
fn no_piece_of_the_pencil_is_without_a_shape() {
    let mut feet = 0;
    for rise in (100..2_500).step_by(7) {
        let (width, eaves) = (6_000, 2_000);
        let foot = eaves + width * rise / 1_000;
        let outline = [(0, 0), (width, 0), (width, foot), (0, eaves)];
        let board = (1_000, 500);
        let job = job(
            board,
            Rotation::Allowed,
            2,
            vec![wall("w", &outline, vec![])],
        );
        let pencil = half_bond(&job, PencilCourses::Whole).expect("no faults");
        for piece in &pencil.pieces {
            assert!(piece.outline.len() >= 3, "{rise}: {piece:?}");
        }
        // A joint within some millimetres of where the slope leaves the course.
        let joints = pencil.pieces.iter().map(|p| &p.outline);
        let low = joints.flatten().filter(|p| (1..4).contains(&(p.x.0 % 500)));
        feet += usize::from(low.count() > 0);
    }
    assert!(feet > 10, "joints fall at the foot of the slope: {feet}");
}

/// Slopes from 10 to 70 degrees, of one side, of two, and of one that only leans. The grid of 1 mm must not leave
/// slivers: where the wall's courses are whole, no part of a piece is lower than the rules allow.
#[test]
fn a_wall_is_covered_whatever_its_slope() {
    for (board, rotation) in [
        ((1000, 500), Rotation::Allowed),
        ((1200, 400), Rotation::Forbidden),
    ] {
        for rise in [176, 364, 577, 839, 1000, 1192, 1732, 2747] {
            let (width, eaves) = (7300, 2000);
            let up = |along: i32| eaves + along * rise / 1000;
            let shapes: [(&str, Vec<(i32, i32)>); 4] = [
                (
                    "gable",
                    vec![(width, eaves), (width / 2, up(width / 2)), (0, eaves)],
                ),
                (
                    "hip",
                    vec![
                        (width, eaves),
                        (width - 1713, up(1713)),
                        (1713, up(1713)),
                        (0, eaves),
                    ],
                ),
                (
                    "one slope",
                    vec![(width, up(3000)), (width - 3000, up(3000)), (0, eaves)],
                ),
                ("leaning", vec![(width + rise / 60, 4000), (0, 4000)]),
            ];
            for (what, top) in shapes {
                let mut outline = vec![(0, 0), (width, 0)];
                outline.extend(top);
                let hole = Opening {
                    id: "window".into(),
                    corner: Point {
                        x: Mm(2900),
                        y: Mm(650),
                    },
                    width: Mm(1200),
                    height: Mm(1000),
                };
                let job = job(board, rotation, 2, vec![wall("w", &outline, vec![hole])]);
                let what = format!("{what}, {rise} in 1000, boards {board:?}");
                let layout = sound(&job, &what);
                let low = |b: &&setting_out::Breach| b.rule == Rule::MinPieceHeight;
                let slivers = layout.breaches.iter().filter(low);
                let slivers: Vec<_> = slivers.filter(|b| b.found < Mm(20)).collect();
                assert!(slivers.is_empty(), "{what}: {slivers:?}");
            }
        }
    }
}

/// By hand: two pieces 700 long below and 300 above make a board of 1000 by 500 with one cut, if the saw takes nothing.
/// With a kerf they do not fit.
#[test]
fn two_like_slopes_are_one_board() {
    let right = [(0, 0), (700, 0), (300, 500), (0, 500)];
    let left = [(0, 0), (700, 0), (700, 500), (400, 500)];
    for shape in [right, left] {
        for rotation in [Rotation::Allowed, Rotation::Forbidden] {
            let walls = || vec![wall("a", &shape, Vec::new()), wall("b", &shape, Vec::new())];
            let layout = sound(&job((1000, 500), rotation, 0, walls()), "pair");
            assert_eq!((layout.boards.len(), layout.products[0].cuts), (1, 1));
            let turns: Vec<Turn> = layout.boards[0].placements.iter().map(|p| p.turn).collect();
            assert!(turns.contains(&Turn::Half) && turns.contains(&Turn::None));
            let layout = sound(&job((1000, 500), rotation, 3, walls()), "apart");
            assert_eq!(layout.boards.len(), 2);
        }
    }
}

/// The saw's path along a slope of 3 to 4 is five fourths of its kerf wide, measured along the board: 700 and 300 above a
/// run of 375 leave 4 · 5/4 = 5 of 1000 for a kerf of 4.
#[test]
fn the_kerf_is_measured_across_the_slope() {
    let shape = |width: i32| [(0, 0), (width, 0), (width - 375, 500), (0, 500)];
    for (second, boards) in [(670, 1), (671, 2)] {
        let walls = vec![
            wall("a", &shape(700), Vec::new()),
            wall("b", &shape(second), Vec::new()),
        ];
        let layout = sound(&job((1000, 500), Rotation::Allowed, 4, walls), "kerf");
        assert_eq!(layout.boards.len(), boards, "{second}");
    }
}

/// A law: pieces cut one by one take at least the rectangles around them, so that fewer boards prove shared cuts.
#[test]
fn a_gable_takes_fewer_boards_than_the_rectangles_around_its_pieces() {
    let gable = [(0, 0), (9000, 0), (9000, 500), (4500, 5000), (0, 500)];
    let walls = vec![wall("a", &gable, Vec::new())];
    let mut job = job((1000, 500), Rotation::Allowed, 2, walls);
    job.budget.steps = Budget::default().steps;
    let layout = sound(&job, "gable");
    let around = |piece: &setting_out::Piece| {
        let span = |of: fn(&Point) -> i32| {
            let values = || piece.outline.iter().map(of);
            i64::from(values().max().unwrap_or(0) - values().min().unwrap_or(0))
        };
        span(|p| p.x.0) * span(|p| p.y.0)
    };
    let rectangles: i64 = layout.pieces.iter().map(around).sum();
    let boards = layout.boards.len();
    assert!(
        (boards as i64) < (rectangles + 499_999) / 500_000,
        "{boards} boards for rectangles of {rectangles} mm2"
    );
    let slopes = layout.boards.iter().flat_map(|b| &b.cuts);
    let slopes = slopes.filter(|c| c.kind == CutKind::Slope).count();
    let sloped = layout.pieces.iter().filter(|p| p.form == Form::Sloped);
    assert!(slopes < sloped.count());
}

/// What is sawn out beside a sloped piece where two straight edges of it meet inward is a rectangle: it is told as a leftover, or another
/// piece is cut from it.
#[test]
fn rectangles_beside_sloped_pieces_are_told() {
    let mut found = 0;
    for shift in 0..24 {
        let at = 1840 + 115 * shift;
        let hole = Opening {
            id: "window".into(),
            corner: Point {
                x: Mm(at),
                y: Mm(2300),
            },
            width: Mm(900),
            height: Mm(1100),
        };
        let outline = [(0, 0), (7300, 0), (7300, 2000), (3650, 5000), (0, 2000)];
        let walls = vec![wall("W", &outline, vec![hole])];
        let job = job((1000, 500), Rotation::Forbidden, 0, walls);
        let layout = sound(&job, "gable");
        for piece in layout.pieces.iter().filter(|p| p.form == Form::Sloped) {
            let board = &layout.boards[piece.board];
            let placed = board.placements.iter().find(|p| p.piece == piece.number);
            let placed = placed.filter(|p| p.turn == Turn::None);
            let (xs, ys) = (
                || piece.outline.iter().map(|p| p.x.0),
                || piece.outline.iter().map(|p| p.y.0),
            );
            let around = [
                [xs().min().unwrap(), xs().max().unwrap()],
                [ys().min().unwrap(), ys().max().unwrap()],
            ];
            let count = piece.outline.len();
            for (i, p) in piece.outline.iter().enumerate() {
                let before = piece.outline[(i + count - 1) % count];
                let after = piece.outline[(i + 1) % count];
                // An inward corner between an upright and a level edge, outlines being anticlockwise.
                let turn = i64::from((p.x - before.x).0) * i64::from((after.y - p.y).0)
                    - i64::from((p.y - before.y).0) * i64::from((after.x - p.x).0);
                let (level, upright) = match (before.y == p.y, before.x == p.x) {
                    (true, _) if after.x == p.x => (before, after),
                    (_, true) if after.y == p.y => (after, before),
                    _ => continue,
                };
                // Both edges end at the rectangle around the piece.
                let free = around[0].contains(&level.x.0) && around[1].contains(&upright.y.0);
                let (w, h) = ((level.x - p.x).0.abs(), (upright.y - p.y).0.abs());
                let Some(placed) = placed.filter(|_| turn < 0 && free && w.min(h) >= 150) else {
                    continue;
                };
                let corner = (
                    placed.corner.x.0 + level.x.0.min(p.x.0) - around[0][0],
                    placed.corner.y.0 + upright.y.0.min(p.y.0) - around[1][0],
                );
                let inside = |at: Point| {
                    (corner.0..corner.0 + w).contains(&at.x.0)
                        && (corner.1..corner.1 + h).contains(&at.y.0)
                };
                let told = layout
                    .offcuts
                    .iter()
                    .any(|o| o.board == board.number && inside(o.corner));
                let used = board
                    .placements
                    .iter()
                    .any(|o| o.piece != piece.number && inside(o.corner));
                assert!(told || used, "{piece:?}: {w} by {h} at {corner:?}");
                found += 1;
            }
        }
    }
    assert!(found > 3, "{found}");
}
