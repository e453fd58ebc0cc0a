//! A building and its mirror image get the same boards and cuts, and so does one whose walls begin elsewhere: nothing in the
//! rules knows left from right, or where a survey put its origin.

#[path = "../properties/setting_out/checker.rs"]
mod checker;
#[allow(dead_code)] // titles are for the table
#[path = "../properties/setting_out/instance.rs"]
mod instance;

use std::collections::BTreeSet;

use quantity::Mm;
use setting_out::{
    CornerKind, CutKind, Job, Layout, PencilCourses, Point, Runner, Wall, ZoneExtent, half_bond,
    set_out,
};

/// Where `x` lies on a wall that was mirrored about its middle or moved.
fn moved(job: &Job, to: impl Fn(i32, [i32; 2]) -> i32, mirrored: bool) -> Job {
    let mut job = job.clone();
    for wall in &mut job.walls {
        let xs = wall.outline.iter().map(|p| p.x.0);
        let ends = [xs.clone().min().unwrap(), xs.max().unwrap()];
        let at = |x: Mm| Mm(to(x.0, ends));
        let left = |x: Mm, width: Mm| if mirrored { at(x + width) } else { at(x) };
        for p in &mut wall.outline {
            p.x = at(p.x);
        }
        for o in &mut wall.openings {
            o.corner.x = left(o.corner.x, o.width);
        }
        for step in &mut wall.base_line {
            (step.from, step.to) = (at(step.from), at(step.to));
            if mirrored {
                std::mem::swap(&mut step.from, &mut step.to);
            }
        }
        if mirrored {
            wall.base_line.reverse();
        }
        for zone in &mut wall.zones {
            if let ZoneExtent::FireBarrier(strip) = &mut zone.extent {
                strip.corner.x = left(strip.corner.x, strip.width);
            }
        }
        for joint in &mut wall.structural_joints {
            joint.x = at(joint.x);
        }
        for clear in &mut wall.keep_clear {
            (clear.from.x, clear.to.x) = (at(clear.from.x), at(clear.to.x));
        }
    }
    if mirrored {
        for corner in &mut job.corners {
            std::mem::swap(&mut corner.right_end_of, &mut corner.left_end_of);
            corner.first_to_run = match corner.first_to_run {
                Runner::RightEnd => Runner::LeftEnd,
                Runner::LeftEnd => Runner::RightEnd,
            };
        }
    }
    job
}

/// What a layout comes to: boards and cuts of each product, and breaches.
fn sums(layout: &Layout) -> (Vec<(u32, u32, u32)>, usize) {
    let products = layout.products.iter().map(|p| (p.boards, p.cuts, p.pieces));
    (products.collect(), layout.breaches.len())
}

fn sound(what: &str, job: &Job) -> Layout {
    let layout = set_out(job).unwrap_or_else(|faults| panic!("{what}: {faults:?}"));
    let verdict = checker::check(job, &layout);
    assert!(verdict.wrong.is_empty(), "{what}: {:#?}", verdict.wrong);
    layout
}

/// Wall and edge of every piece, in no order.
fn pieces(layout: &Layout, to: impl Fn(usize, Point) -> Point) -> BTreeSet<(usize, Vec<Point>)> {
    let piece = |piece: &setting_out::Piece| {
        let mut edge: Vec<Point> = piece.outline.iter().map(|p| to(piece.wall, *p)).collect();
        edge.sort_unstable();
        (piece.wall, edge)
    };
    layout.pieces.iter().map(piece).collect()
}

fn jobs() -> impl Iterator<Item = (String, Job)> {
    instance::all().into_iter().map(|case| {
        let mut job = case.job;
        job.budget.steps = if case.name.starts_with("12") { 30 } else { 150 };
        (case.name, job)
    })
}

#[test]
fn a_mirror_image_has_the_same_counts_and_the_mirrored_layout() {
    for (name, job) in jobs() {
        let mirrored = moved(&job, |x, [left, right]| left + right - x, true);
        let (plain, image) = (sound(&name, &job), sound(&name, &mirrored));
        assert_eq!(sums(&plain), sums(&image), "{name}");
        let level = job.walls.iter().all(|w| w.outline.len() == 4);
        if level {
            let middle = |wall: usize| {
                let xs = job.walls[wall].outline.iter().map(|p| p.x);
                xs.clone().min().unwrap() + xs.max().unwrap()
            };
            let back = pieces(&image, |wall, p| Point {
                x: middle(wall) - p.x,
                y: p.y,
            });
            // A building that is its own mirror image gets the same layout either way.
            let own = pieces(&plain, |_, p| p);
            let same = own == back || own == pieces(&image, |_, p| p);
            assert!(same, "{name}: the layout is not the mirrored one");
        }
    }
}

/// What a layout is compared with, half bond in the same hand, is the same as well.
#[test]
fn half_bond_of_a_mirror_image_has_the_same_counts() {
    for (name, job) in jobs() {
        let mirrored = moved(&job, |x, [left, right]| left + right - x, true);
        for courses in [PencilCourses::Whole, PencilCourses::Clear] {
            let [plain, image] = [&job, &mirrored]
                .map(|job| half_bond(job, courses).unwrap_or_else(|faults| panic!("{faults:?}")));
            assert_eq!(sums(&plain), sums(&image), "{name}: {courses:?}");
        }
    }
}

/// A cut: left and right ends in order, so that a mirror image compares.
type Sawn = [(i32, i32); 2];

/// The square cuts of every board, as they are or in mirror image, whichever comes first.
fn sawn(job: &Job, layout: &Layout) -> Vec<(usize, Vec<Sawn>)> {
    let mut all: Vec<(usize, Vec<Sawn>)> = layout
        .boards
        .iter()
        .map(|board| {
            let length = job.boards[board.product].length.0;
            let seen = |x: fn(i32, i32) -> i32| {
                let cut = |cut: &setting_out::Cut| {
                    let mut ends = [cut.from, cut.to].map(|p| (x(p.x.0, length), p.y.0));
                    ends.sort_unstable();
                    ends
                };
                let square = board.cuts.iter().filter(|c| c.kind != CutKind::Slope);
                let mut all: Vec<Sawn> = square.map(cut).collect();
                all.sort_unstable();
                all
            };
            let (plain, mirrored) = (seen(|x, _| x), seen(|x, length| length - x));
            (board.product, plain.min(mirrored))
        })
        .collect();
    all.sort_unstable();
    all
}

/// A saw cut follows the edge of the piece that it frees, in either hand; along a board's edge there is nothing to cut.
#[test]
fn a_mirror_image_is_sawn_along_the_same_lines() {
    for (name, mut job) in jobs() {
        job.boards.iter_mut().for_each(|b| b.kerf = Mm(3));
        let mirrored = moved(&job, |x, [left, right]| left + right - x, true);
        let (plain, image) = (sound(&name, &job), sound(&name, &mirrored));
        for layout in [&plain, &image] {
            for board in &layout.boards {
                let (l, h) = (
                    job.boards[board.product].length,
                    job.boards[board.product].height,
                );
                for cut in &board.cuts {
                    let along = |a: Mm, b: Mm, end: Mm| a == b && (a <= Mm::ZERO || a >= end);
                    let edge = along(cut.from.x, cut.to.x, l) || along(cut.from.y, cut.to.y, h);
                    assert!(!edge, "{name}, board {}: {cut:?}", board.number);
                }
            }
        }
        assert!(sawn(&job, &plain) == sawn(&job, &image), "{name}");
    }
}

/// Two walls alike, each its own mirror image, that differ only in which way their two corners turn.
#[test]
fn the_kind_of_a_corner_tells_a_building_from_its_mirror_image() {
    let mut job = instance::all().swap_remove(4).job;
    job.budget.steps = 150;
    job.walls.truncate(2);
    job.walls[0] = Wall {
        id: job.walls[0].id.clone(),
        ..job.walls[1].clone()
    };
    let [one, other] = [job.walls[0].id.clone(), job.walls[1].id.clone()];
    for wall in &mut job.walls {
        let left = wall.outline.iter().map(|p| p.x).min().unwrap();
        wall.outline.iter_mut().for_each(|p| p.x -= left);
        wall.openings.clear();
    }
    job.corners.truncate(2);
    for (corner, kind) in job
        .corners
        .iter_mut()
        .zip([CornerKind::Salient, CornerKind::ReEntrant])
    {
        corner.kind = kind;
    }
    (job.corners[0].right_end_of, job.corners[0].left_end_of) = (one.clone(), other.clone());
    (job.corners[1].right_end_of, job.corners[1].left_end_of) = (other, one);
    job.corners[1].first_to_run = match job.corners[0].first_to_run {
        Runner::RightEnd => Runner::LeftEnd,
        Runner::LeftEnd => Runner::RightEnd,
    };
    let mirrored = moved(&job, |x, [left, right]| left + right - x, true);
    let (plain, image) = (sound("as given", &job), sound("mirrored", &mirrored));
    assert_eq!(sums(&plain), sums(&image));
    let width = job.walls[0].outline.iter().map(|p| p.x).max().unwrap();
    let back = pieces(&image, |_, p| Point {
        x: width - p.x,
        y: p.y,
    });
    assert!(
        pieces(&plain, |_, p| p) == back,
        "the layout is not the mirrored one"
    );
}

#[test]
fn where_a_wall_begins_changes_nothing() {
    for (name, job) in jobs() {
        let off = moved(&job, |x, _| x - 3217, false);
        let (plain, moved) = (sound(&name, &job), sound(&name, &off));
        assert_eq!(sums(&plain), sums(&moved), "{name}");
        let back = pieces(&moved, |_, p| Point {
            x: p.x + Mm(3217),
            y: p.y,
        });
        let same = pieces(&plain, |_, p| p) == back;
        assert!(same, "{name}: the layout is another one");
    }
}

/// The same walls, corners and openings listed the other way round, or from another one on.
#[test]
fn a_list_in_another_order_has_the_same_pieces_boards_and_cuts() {
    let mut several = 0;
    for (name, job) in jobs() {
        let plain = sound(&name, &job);
        for turn in 0..3 {
            let mut listed = job.clone();
            let walls = listed.walls.len();
            if turn == 2 {
                listed.walls.reverse();
                listed.corners.reverse();
                listed.walls.iter_mut().for_each(|w| w.openings.reverse());
            } else {
                listed.walls.rotate_left((turn + 1) % walls);
                let corners = listed.corners.len().max(1);
                listed.corners.rotate_left(turn % corners);
            }
            several += usize::from(walls > 2);
            let other = sound(&name, &listed);
            assert_eq!(sums(&plain), sums(&other), "{name}, {turn}");
            assert_eq!(sawn(&job, &plain), sawn(&listed, &other), "{name}, {turn}");
            let places = |job: &Job, layout: &Layout| {
                let names = layout.pieces.iter().map(|p| {
                    let mut edge = p.outline.clone();
                    edge.sort_unstable();
                    (job.walls[p.wall].outline.clone(), edge)
                });
                let mut names: Vec<_> = names.collect();
                names.sort_unstable();
                names
            };
            // Walls that are alike may have changed places, with all that lies on them.
            assert_eq!(
                places(&job, &plain),
                places(&listed, &other),
                "{name}, {turn}"
            );
        }
    }
    assert!(several > 0);
}
