//! Boards shorter than four times the stagger: a narrow piece leaves the course beside it no lawful place, so that a layout
//! without a breach has to be looked for ahead.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
mod setting_out_scene;

use quantity::Mm;
use setting_out::{
    BoardStock, Budget, Corner, CornerKind, CornerPieces, Job, Opening, Point, Rotation, RuleCosts,
    Rules, Runner, Wall, set_out,
};
use setting_out_scene::wall;

/// Three storeys of like windows in a wall with free ends, and boards of 800 by 625 mm.
fn facade(width: i32, [along, up, sill]: [i32; 3], storey: i32) -> Job {
    let room = width - 1800;
    let count = room / (along + 1500);
    let spacing = room / count;
    let windows = (0..3).flat_map(|floor| {
        (0..count).map(move |window| Opening {
            id: format!("{floor}.{window}"),
            corner: Point {
                x: Mm(1400 + window * spacing),
                y: Mm(sill + floor * storey),
            },
            width: Mm(along),
            height: Mm(up),
        })
    });
    let top = 3 * storey + 400;
    let outline = [(0, 0), (width, 0), (width, top), (0, top)];
    Job {
        walls: vec![wall("wall", &outline, windows.collect())],
        boards: vec![BoardStock {
            length: Mm(800),
            height: Mm(625),
            boards_per_pack: 4,
            rotation: Rotation::Allowed,
            ..setting_out_scene::board()
        }],
        budget: Budget {
            steps: 300,
            rule_costs: RuleCosts::Skip,
        },
        ..Job::default()
    }
}

/// Each of these facades can be laid without a breach, which the layouts themselves prove: the checker finds none either.
#[test]
fn no_rule_is_broken_where_none_has_to_be() {
    for width in [7300, 9100, 11_800] {
        for window in [[1300, 1250, 900], [1000, 1400, 850], [1750, 1150, 1000]] {
            for storey in [2750, 2900, 3050] {
                let what = format!("{width} mm, window {window:?}, storey {storey} mm");
                let job = facade(width, window, storey);
                let layout = set_out(&job).unwrap_or_else(|faults| panic!("{what}: {faults:?}"));
                assert!(layout.breaches.is_empty(), "{what}: {:?}", layout.breaches);
                let verdict = checker::check(&job, &layout);
                assert!(verdict.wrong.is_empty(), "{what}: {:#?}", verdict.wrong);
            }
        }
    }
}

/// Two walls in boards of 600 by 500 mm that meet at a toothed corner, where a piece must be 150 mm or more on its own wall: up to 360 mm
/// with what runs past the other one.
fn corner([first, second]: [i32; 2], thickness: i32) -> Job {
    let side = |id: &str, width: i32| {
        let outline = [(0, 0), (width, 0), (width, 5000), (0, 5000)];
        Wall {
            thickness: Mm(thickness),
            bed: Mm(10),
            ..wall(id, &outline, Vec::new())
        }
    };
    Job {
        walls: vec![side("first", first), side("second", second)],
        corners: vec![Corner {
            id: "corner".into(),
            right_end_of: "first".into(),
            left_end_of: "second".into(),
            kind: CornerKind::Salient,
            first_to_run: Runner::RightEnd,
        }],
        boards: vec![BoardStock {
            length: Mm(600),
            thickness: Mm(thickness),
            ..setting_out_scene::board()
        }],
        rules: Rules {
            stagger: Mm(200),
            corner_pieces: CornerPieces::AtLeast(Mm(150)),
            ..Rules::default()
        },
        budget: Budget {
            steps: 300,
            rule_costs: RuleCosts::Skip,
        },
    }
}

/// A corner piece too narrow by a little leaves the courses beside it none that is wide enough.
#[test]
fn corner_pieces_leave_room_for_those_beside_them() {
    for first in [3200, 4070, 5130] {
        for second in [2900, 6210] {
            for thickness in [80, 120, 140, 200] {
                let what = format!("{first} and {second} mm, {thickness} mm thick");
                let job = corner([first, second], thickness);
                let layout = set_out(&job).unwrap_or_else(|faults| panic!("{what}: {faults:?}"));
                assert!(layout.breaches.is_empty(), "{what}: {:?}", layout.breaches);
                let verdict = checker::check(&job, &layout);
                assert!(verdict.wrong.is_empty(), "{what}: {:#?}", verdict.wrong);
            }
        }
    }
}
