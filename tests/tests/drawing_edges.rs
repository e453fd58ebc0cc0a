//! The lines that beads and profiles are drawn along, against the order list of the same job, for parts that systems have and lack.

mod takeoff_scene;

use facade::{BaseStep, Below, Building, Meets, Opening, OpeningKind, Point, StructuralJoint};
use quantity::Mm;
use takeoff::edges::{EdgeKind, edges, followed};
use takeoff::{Component, Job, Laid, MeasurementRules, Parts, take_off};
use takeoff_scene::{building, job, laid, rules, stock, wall, window};
use working::Sheet;

/// Two walls round a corner: a door through the base line, a joint, a gable over a plinth, steps of base and outline.
fn home() -> Building {
    let corner = |with: &str| Meets::SalientCorner { with: with.into() };
    let mut front = wall(
        "front",
        vec![
            Point::at(0, 0),
            Point::at(12_000, 0),
            Point::at(12_000, 6_000),
            Point::at(5_000, 6_000),
            Point::at(5_000, 4_000),
            Point::at(0, 4_000),
        ],
        vec![
            window("W1", 1000, 1000, 1200, 1400),
            Opening {
                kind: OpeningKind::Door,
                ..window("D1", 5000, 0, 1100, 2200)
            },
        ],
    );
    front.left = Meets::AbuttingBuilding;
    front.right = corner("side");
    front.joints.push(StructuralJoint {
        x: Mm(7500),
        gap: Mm(20),
    });
    let gable = vec![
        Point::at(0, -600),
        Point::at(9000, -600),
        Point::at(9000, 6000),
        Point::at(4500, 9000),
        Point::at(0, 6000),
    ];
    let mut side = wall("side", gable, vec![window("W2", 4000, 6300, 1000, 1000)]);
    side.left = corner("front");
    let step = |from: i32, to: i32, level: i32, below: Below| BaseStep {
        from: Mm(from),
        to: Mm(to),
        level: Mm(level),
        ground: Mm(level - 300),
        below,
    };
    side.base = vec![
        step(0, 4000, 0, Below::InsulatedPlinth),
        step(4000, 9000, 150, Below::InsulatedPlinth),
    ];
    building(vec![front, side])
}

/// The metres of every component along the lines, and on the order list.
fn check(change: impl FnOnce(&mut Job<'_>)) -> Vec<(Component, f64)> {
    let home = home();
    let stock = stock::assortment();
    let parts = Parts::resolve(&stock, "eps", None).unwrap();
    let boards: Laid = laid(&home, &parts, Mm(140));
    let set: MeasurementRules = rules("din-18345");
    let mut job = job(&home, &parts, &boards, &set);
    change(&mut job);
    let found = take_off(&job, &mut Sheet::new()).unwrap();
    let mut lengths = Vec::new();
    for (component, kinds) in followed(&job) {
        let mut drawn = 0.0;
        for index in 0..home.facades.len() {
            for edge in edges(&home, index, job.thickness).list {
                if kinds.contains(&edge.kind) {
                    let along = |(a, b): &(Point, Point)| {
                        f64::from((b.x - a.x).0).hypot(f64::from((b.y - a.y).0))
                    };
                    let length: f64 = edge.lines.iter().map(along).sum();
                    // A slope is bought to the full millimetre above.
                    let bought = f64::from(edge.length.0);
                    assert!((0.0..1.0).contains(&(bought - length)), "{edge:?}");
                    drawn += bought / 1000.0;
                }
            }
        }
        let lines = found.lines.iter().filter(|l| l.component == component);
        // The ends of sills lie across the wall, where no line on it can show them.
        let across = |l: &takeoff::Line| -> f64 {
            let ends = l
                .shares
                .iter()
                .filter(|s| s.name.ends_with("ends of sills"));
            ends.map(|s| s.amount).sum()
        };
        let net: f64 = lines.clone().map(|l| l.net_need - across(l)).sum();
        if component == Component::SealingStrip {
            let facades = found.facades.iter();
            let ends = facades.flat_map(|f| &f.sill_ends);
            let told: f64 = ends.map(|end| end.length.to_length().as_m()).sum();
            let bought: f64 = lines.map(across).sum();
            assert!(
                bought > 0.0 && (told - bought).abs() < 1e-9,
                "{told}, {bought}"
            );
        }
        assert!(
            (net - drawn).abs() < 1e-9,
            "{component:?}: {net}, drawn {drawn}"
        );
        lengths.push((component, drawn));
    }
    lengths
}

fn metres(lengths: &[(Component, f64)], component: Component) -> f64 {
    let of = lengths.iter().filter(|l| l.0 == component);
    of.map(|l| l.1).sum()
}

#[test]
fn lines_are_as_long_as_what_is_bought() {
    let usual = check(|_| {});
    // 12 m less the door of 1.1 m and the joint, mitred round the corner by the board.
    let base = metres(&usual, Component::BaseProfile);
    assert!((base - (12.0 - 1.1 - 0.02 + 0.14)).abs() < 1e-9, "{base}");
    let thin = check(|job| job.plinth_thickness = Some(Mm(100)));
    // Over a thinner plinth its whole top drips: 9 m and the corner's mitre.
    let more = metres(&thin, Component::DripBead) - metres(&usual, Component::DripBead);
    assert!((more - (9.0 + 0.14)).abs() < 1e-9, "{more}");
    let bare = check(|job| job.parts.base_profile = None);
    assert!((metres(&bare, Component::BaseProfile)).abs() < 1e-9);
    let more = metres(&bare, Component::DripBead) - metres(&usual, Component::DripBead);
    assert!((more - base).abs() < 1e-9, "{more}");
    check(|job| job.parts.beads.clear());
}

/// Nothing that runs along the base line runs through a door, and no edge leaves the wall but round its corners.
#[test]
fn lines_lie_where_their_edges_are() {
    let home = home();
    for (index, facade) in home.facades.iter().enumerate() {
        let (low, high) = facade.bounds();
        for edge in edges(&home, index, Mm(140)).list {
            for (a, b) in &edge.lines {
                let level = matches!(edge.kind, EdgeKind::BaseLine | EdgeKind::PlinthTop);
                let reach = if level { Mm(140) } else { Mm::ZERO };
                for p in [a, b] {
                    assert!(p.x >= low.x - reach && p.x <= high.x + reach, "{edge:?}");
                    assert!(p.y >= low.y.min(Mm(-600)) && p.y <= high.y, "{edge:?}");
                }
                let doors = facade
                    .finished_openings()
                    .filter(|o| o.opening.kind == OpeningKind::Door);
                for door in doors.map(|o| o.size) {
                    let through = a.x.min(b.x) < door.right() && a.x.max(b.x) > door.x;
                    assert!(!(level && through), "{edge:?}");
                }
            }
        }
    }
    let step = edges(&home, 0, Mm(140));
    let offsets: Vec<_> = step
        .list
        .iter()
        .filter(|e| e.kind == EdgeKind::Offset)
        .collect();
    assert_eq!(offsets.len(), 1);
    let (a, b) = offsets[0].lines[0];
    assert_eq!((a.x, b.x), (Mm(5000), Mm(5000)));
    assert_eq!((a.y.min(b.y), a.y.max(b.y)), (Mm(4000), Mm(6000)));
}
