//! What openings carry that have no wall beside them: at corners of the building, against each other, over a step of the ground.

mod takeoff_scene;

use facade::{BaseStep, Below, Building, Facade, Opening, OpeningKind};
use quantity::Mm;
use takeoff::Component;
use takeoff::edges::{EdgeKind, corners_in_wall};
use takeoff_scene::{building, corner_window, line, metres, rectangle, take, wall, window};

fn diagonals(home: &Building) -> usize {
    let of = |facade: &Facade| {
        let openings = facade.finished_openings();
        let corners = openings.map(|o| corners_in_wall(facade, &o));
        corners.flatten().filter(|wall| *wall).count()
    };
    home.facades.iter().map(of).sum()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// By hand: one jamb a face, the corner's bead above and below, four corners of openings in the wall.
#[test]
fn a_corner_window_has_one_jamb_a_face_and_no_corner() {
    let home = corner_window(0);
    let found = take(&home);
    assert!(near(metres(&found, EdgeKind::Jamb), 2.0 * 1.4));
    assert!(near(metres(&found, EdgeKind::SalientCorner), 3.4 - 1.4));
    let corner = line(&found, Component::CornerBead).net_need;
    assert!(near(corner, 2.0 * 1.4 + 2.0), "{corner}");
    let frame = line(&found, Component::FrameBead).net_need;
    assert!(near(frame, 2.0 * 1.4 + 2.0 + 1.6), "{frame}");
    assert_eq!(diagonals(&home), 4);
    let cut = &line(&found, Component::Mesh).losses;
    assert!(cut.iter().any(|l| l.origin.starts_with("4 diagonal")));
    // The outer plane is 150 mm from the wall and has no more of the corner than the wall has; the reveals are 290 mm deep.
    let net = 3.4 * (6.4 + 5.2) - 1.4 * (2.0 + 1.6);
    let developed = net + 0.15 * 2.0 * (3.4 - 1.4);
    assert!(near(found.areas.net.as_m2(), net));
    assert!(near(found.areas.developed.as_m2(), developed));
    let reveals = 0.29 * (2.0 * 1.4 + 2.0 + 1.6);
    assert!(near(found.areas.with_reveals.as_m2(), developed + reveals));
}

/// The finished window is 1970 mm by 1370 mm: reveal boards for one jamb and the head, which runs from over the jamb to the corner.
#[test]
fn reveal_boards_of_a_corner_window_end_at_the_corner() {
    let home = corner_window(30);
    let found = take(&home);
    let size = home.facades[0].finished_openings().next().unwrap().size;
    assert_eq!((size.width, size.height), (Mm(1970), Mm(1370)));
    let reveal = found
        .lines
        .iter()
        .filter(|l| l.component == Component::Board);
    let told: Vec<&String> = reveal.flat_map(|l| &l.told).collect();
    let area = 0.14 * (2.0 + 1.6 + 2.0 * 1.37);
    assert!(
        told.iter()
            .any(|t| t.starts_with(&format!("reveals of 30 mm: 4 strips, {area:.3} m2"))),
        "{told:?}"
    );
    assert!(near(metres(&found, EdgeKind::Jamb), 2.0 * 1.37));
    assert!(near(metres(&found, EdgeKind::SalientCorner), 3.4 - 1.37));
}

/// A window at the corner of one wall only: the other wall's edge stands beside it and keeps its bead.
#[test]
fn a_corner_keeps_its_bead_where_either_wall_stands() {
    let mut home = corner_window(0);
    home.facades[1].openings.clear();
    let found = take(&home);
    assert!(near(metres(&found, EdgeKind::SalientCorner), 3.4));
    let lower = &mut home.facades[1];
    *lower = Facade {
        openings: vec![window("E", 0, 1600, 900, 1400)],
        ..lower.clone()
    };
    let found = take(&home);
    // South is open from 0.9 to 2.3 m, east from 1.6 to 3.0 m: both from 1.6 to 2.3 m.
    assert!(near(metres(&found, EdgeKind::SalientCorner), 3.4 - 0.7));
}

/// Two windows side by side, and a french door on a slab that is wider than it.
#[test]
fn nothing_is_laid_where_openings_touch() {
    let pair = building(vec![wall(
        "F",
        rectangle(9000, 3000),
        vec![
            window("A", 1000, 800, 1000, 1300),
            window("B", 2000, 800, 2100, 1300),
        ],
    )]);
    let found = take(&pair);
    assert!(near(metres(&found, EdgeKind::Jamb), 2.0 * 1.3));
    assert!(near(metres(&found, EdgeKind::Lintel), 3.1));
    assert_eq!(diagonals(&pair), 4);
    let door = Opening {
        kind: OpeningKind::Door,
        reveal_depth: Mm(140),
        reveal_insulation: Mm(30),
        ..window("door", 1000, 1200, 2000, 1500)
    };
    let balcony = building(vec![wall(
        "F",
        rectangle(9000, 3000),
        vec![window("slab", 800, 1000, 3400, 200), door],
    )]);
    let found = take(&balcony);
    // Both ends of the slab, beside the door, and the head of the door between its jambs.
    let heads = (3.4 - 2.0) + (2.0 - 0.06);
    assert!(near(metres(&found, EdgeKind::Lintel), heads));
    // Four corners of the slab and the door's upper two.
    assert_eq!(diagonals(&balcony), 6);
}

/// Ground 400 mm higher on the left: the lower left corner is buried, the lower right one is not.
#[test]
fn corners_over_a_step_of_the_ground_count_each_for_itself() {
    let mut home = building(vec![wall(
        "F",
        rectangle(6000, 3000),
        vec![window("cross", 2500, 500, 1000, 1200)],
    )]);
    let step = |from: i32, to: i32, ground: i32| BaseStep {
        from: Mm(from),
        to: Mm(to),
        level: Mm(1000),
        ground: Mm(ground),
        below: Below::InsulatedPlinth,
    };
    home.facades[0].base = vec![step(0, 3000, 600), step(3000, 6000, 200)];
    assert_eq!(diagonals(&home), 3);
}
