//! What closes the edges of boards where the outline is no plain rectangle: arches, windows that turn a corner, steps of the ground.

mod takeoff_scene;

use facade::{BaseStep, Below, Building, Facade, Opening, OpeningKind, Point};
use quantity::Mm;
use takeoff::edges::EdgeKind;
use takeoff::{Component, Practice, Takeoff};
use takeoff_scene::{base_step, building, corner_window, line, metres, near, take, wall, window};

/// A wall of 9 m by 6 m with a gateway of 3 m between x 3 m and 6 m: jambs of 2.2 m under half a circle of twelve chords. The base line
/// runs at the ground beside the gateway and at `springing` across it.
fn gateway(springing: i32) -> (Building, f64) {
    let half_circle = (1..12).map(|i| {
        let turn = f64::from(i) * std::f64::consts::PI / 12.0;
        let x = 4500.0 - 1500.0 * turn.cos();
        let y = 2200.0 + 1500.0 * turn.sin();
        (x.round() as i32, y.round() as i32)
    });
    let arch: Vec<(i32, i32)> = std::iter::once((3000, 2200))
        .chain(half_circle)
        .chain([(6000, 2200)])
        .collect();
    let chords = arch.windows(2).map(|pair| {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        f64::from(dx).hypot(f64::from(dy)) / 1000.0
    });
    let length = chords.sum();
    let outline = [(0, 0), (3000, 0)].into_iter().chain(arch);
    let outline = outline.chain([(6000, 0), (9000, 0), (9000, 6000), (0, 6000)]);
    let on_ground = |from: i32, to: i32, level: i32| BaseStep {
        ground: Mm(-300),
        ..base_step(from, to, level, Below::Walkway)
    };
    let facade = Facade {
        base: vec![
            on_ground(0, 3000, 0),
            on_ground(3000, 6000, springing),
            on_ground(6000, 9000, 0),
        ],
        ..wall(
            "gate",
            outline.map(|(x, y)| Point::at(x, y)).collect(),
            Vec::new(),
        )
    };
    (building(vec![facade]), length)
}

/// The soffit of an arch is closed all along with drip beads, its steep springers too, wherever the base line is drawn under it. Bars are cut to the millimetre above, so twelve chords add less than 12 mm.
#[test]
fn an_arch_is_closed_from_springer_to_springer() {
    for springing in [0, 2200] {
        let (home, arch) = gateway(springing);
        let found = take(&home);
        let soffit = metres(&found, EdgeKind::LowerEdge);
        assert!((arch..arch + 0.012).contains(&soffit), "{soffit} of {arch}");
        assert!(near(metres(&found, EdgeKind::BaseLine), 6.0));
        let drip = line(&found, Component::DripBead).net_need;
        assert!(near(drip, soffit), "{drip}");
        // The faces of boards at the two free ends, at the jambs of the gateway and along its soffit, 150 mm deep.
        let areas = found.areas;
        let faces = areas.with_reveals.as_m2() - areas.developed.as_m2();
        assert!(near(faces, 0.15 * (2.0 * 6.0 + 2.0 * 2.2 + soffit)));
    }
}

/// A lower side of the outline that runs over two steps of the base line lies on the one and hangs over the other. By hand: 3 m of profile on
/// the wall below, and of the 5 m above at 2.5 m 2 m over a terrace at that level, 3 m over open ground.
#[test]
fn a_lower_side_is_told_step_by_step_of_the_base() {
    let at = |(x, y): (i32, i32)| Point::at(x, y);
    let outline = [
        (0, 0),
        (3000, 0),
        (3000, 2500),
        (8000, 2500),
        (8000, 5000),
        (0, 5000),
    ];
    let facade = Facade {
        base: [(0, 3000, 0), (3000, 5000, 2500), (5000, 8000, 0)]
            .map(|(from, to, level)| base_step(from, to, level, Below::Walkway))
            .to_vec(),
        ..wall("F", outline.map(at).to_vec(), Vec::new())
    };
    let found = take(&building(vec![facade]));
    assert!(near(metres(&found, EdgeKind::BaseLine), 3.0 + 2.0));
    assert!(near(metres(&found, EdgeKind::LowerEdge), 3.0));
}

/// A wall along ground that rises 400 mm over 8 m keeps its base profile, whether or not its base line steps with the ground.
#[test]
fn a_wall_along_sloping_ground_stands_on_its_base_line() {
    for levels in [[0, 200], [0, 0]] {
        let outline = [(0, 0), (8000, 400), (8000, 5000), (0, 5000)];
        let base = stepped(levels, Below::Walkway, [0, 0]).base;
        let facade = Facade {
            base,
            ..wall(
                "F",
                outline.map(|(x, y)| Point::at(x, y)).to_vec(),
                Vec::new(),
            )
        };
        let found = take(&building(vec![facade]));
        assert!(near(metres(&found, EdgeKind::BaseLine), 8.0), "{levels:?}");
        assert!(near(metres(&found, EdgeKind::LowerEdge), 0.0), "{levels:?}");
    }
}

/// The drip bead of a head that turns a salient corner meets that of the other wall at the corner of the boards' faces, as far beyond the
/// corner of the bare walls as the boards are thick, like the nose of the base profile; the frame ends in the wall. A head that the other
/// wall's boards close ends at them.
#[test]
fn beads_of_a_head_meet_at_the_corner_of_the_boards() {
    let mut home = corner_window(0);
    let found = take(&home);
    let need = |found: &Takeoff, component: Component| line(found, component).net_need;
    let bare = 2.0 + 1.6;
    assert!(near(need(&found, Component::DripBead), bare + 2.0 * 0.14));
    assert!(near(need(&found, Component::FrameBead), 2.0 * 1.4 + bare));
    // By wall: the longest bar that is cut of each is the whole head.
    let heads = || found.edges.iter().filter(|e| e.kind == EdgeKind::Lintel);
    assert!(near(
        heads().map(|e| e.length.as_m()).sum(),
        bare + 2.0 * 0.14
    ));
    home.facades[1].openings.clear();
    let found = take(&home);
    assert!(near(need(&found, Component::DripBead), 2.0));
}

/// A wall of 8 m with its base at `levels`, parted in the middle, each 300 mm above its ground.
fn stepped(levels: [i32; 2], below: Below, foot: [i32; 2]) -> Facade {
    let [left, right] = foot;
    let outline = [
        (0, left),
        (4000, left),
        (4000, right),
        (8000, right),
        (8000, 5000),
        (0, 5000),
    ];
    let mut outline: Vec<Point> = outline.iter().map(|(x, y)| Point::at(*x, *y)).collect();
    outline.dedup();
    if left == right {
        outline.retain(|p| p.x != Mm(4000));
    }
    Facade {
        base: vec![
            base_step(0, 4000, levels[0], below),
            base_step(4000, 8000, levels[1], below),
        ],
        ..wall("F", outline, Vec::new())
    }
}

/// By hand: ground at ±0 and at -700 mm, with facade boards from 300 mm above each. Where the ground steps, the lower boards begin 400 mm below
/// the ground beside them; with a step of 300 mm they begin at it and nothing is told, nor where a door stands at the step.
#[test]
fn facade_boards_beside_higher_ground_are_told() {
    let code = "BOARDS_BESIDE_HIGHER_GROUND";
    let told = |facade: Facade| -> Vec<(String, String)> {
        let found = take(&building(vec![facade])).findings.into_iter();
        let of = found.filter(|f| f.code == code);
        of.map(|f| (f.path, f.text)).collect()
    };
    let plinth = Below::InsulatedPlinth;
    for (below, foot) in [
        (Below::Walkway, [300, -400]),
        (plinth, [-200, -900]),
        (plinth, [-900, -900]),
    ] {
        let [left, right] = foot;
        for (levels, foot, step) in [([300, -400], foot, 1), ([-400, 300], [right, left], 0)] {
            let found = told(stepped(levels, below, foot));
            assert_eq!(found.len(), 1, "{below:?} {levels:?} {found:?}");
            assert_eq!(found[0].0, format!("building.facades[0].base[{step}]"));
            for wanted in ["400 mm", "x 4000 mm"] {
                assert!(found[0].1.contains(wanted), "{}", found[0].1);
            }
        }
    }
    assert_eq!(told(stepped([300, 0], Below::Walkway, [300, 0])), []);
    assert_eq!(told(stepped([300, 0], plinth, [-900, -900])), []);
    let mut door = stepped([300, -400], plinth, [-900, -900]);
    door.openings = vec![Opening {
        kind: OpeningKind::Door,
        ..window("door", 4000, -700, 1000, 2000)
    }];
    assert_eq!(told(door), []);
}

/// How high the waterproofing goes is told once, with the height that is counted, and only where there is a plinth to waterproof.
#[test]
fn the_height_of_the_waterproofing_is_told() {
    let told = |facade: Facade| -> Vec<String> {
        let found = take(&building(vec![facade])).findings.into_iter();
        let of = found.filter(|f| f.code == "WATERPROOFING_HEIGHT");
        of.map(|f| f.text).collect()
    };
    let plinth = told(stepped([300, 300], Below::InsulatedPlinth, [-200, -200]));
    assert_eq!(plinth.len(), 1);
    let rise = Practice::default().waterproofing_rise.to_string();
    assert!(plinth[0].contains(&format!("up to {rise} above finished ground")));
    assert_eq!(told(stepped([0, 0], Below::Walkway, [0, 0])).len(), 0);
}
