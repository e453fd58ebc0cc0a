//! Laws of the surveyed building: areas against an independent count, invariance, and every fault with its place.

use facade::{
    BaseStep, Below, Building, Facade, Fixture, FixtureLoad, LIMITS, Meets, Opening, OpeningKind,
    Point, Rectangle, ShortForm, Side, StructuralJoint, area, area_within, check, contains,
    is_simple, spans_at,
};
use quantity::Mm;

/// A fixed-seed source, so that a failed law fails again.
struct Draw(u64);
impl Draw {
    fn below(&mut self, most: u64) -> i32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most) as i32
    }
}

/// A random staircase outline, monotone from left to right, with sloping or level tops.
fn skyline(draw: &mut Draw) -> Vec<Point> {
    let columns = 2 + draw.below(5);
    let mut outline = vec![Point::at(0, 0), Point::at(columns * 10, 0)];
    for column in (0..columns).rev() {
        let (right, left) = (5 + draw.below(20), 5 + draw.below(20));
        outline.push(Point::at(column * 10 + 10, right));
        outline.push(Point::at(column * 10, left));
    }
    outline.dedup();
    outline
}

#[test]
fn area_is_what_horizontal_strips_add_up_to() {
    let mut draw = Draw(7);
    for _ in 0..300 {
        let outline = skyline(&mut draw);
        if !is_simple(&outline) {
            continue;
        }
        // Between two heights at which nothing happens the width is linear, so the middle line is exact; corners lie on whole millimetres
        // and side crossings do not change the sum.
        let strips: f64 = (0..30)
            .map(|y| {
                spans_at(&outline, f64::from(y) + 0.5)
                    .iter()
                    .map(|s| s.to - s.from)
                    .sum::<f64>()
            })
            .sum();
        assert!(
            (area(&outline).as_mm2() - strips).abs() < 1e-6,
            "{outline:?}: {strips}"
        );
        let moved: Vec<Point> = outline
            .iter()
            .map(|p| Point {
                x: p.x + Mm(977),
                y: p.y - Mm(31),
            })
            .collect();
        let mirrored: Vec<Point> = outline.iter().map(|p| Point { x: -p.x, y: p.y }).collect();
        assert_eq!(area(&outline), area(&moved));
        assert_eq!(area(&outline), area(&mirrored));
        let (left, right) = (
            Rectangle {
                x: Mm(0),
                y: Mm(0),
                width: Mm(17),
                height: Mm(99),
            },
            Rectangle {
                x: Mm(17),
                y: Mm(0),
                width: Mm(999),
                height: Mm(99),
            },
        );
        let parts = area_within(&outline, &left) + area_within(&outline, &right);
        assert!(
            (parts.as_mm2() - area(&outline).as_mm2()).abs() < 1e-6,
            "splitting a wall keeps its area"
        );
    }
}

#[test]
fn containment_agrees_with_counting_every_millimetre() {
    let mut draw = Draw(11);
    let (mut inside, mut outside) = (0, 0);
    for _ in 0..400 {
        let outline = skyline(&mut draw);
        if !is_simple(&outline) {
            continue;
        }
        let rectangle = Rectangle {
            x: Mm(draw.below(40)),
            y: Mm(draw.below(12)),
            width: Mm(1 + draw.below(15)),
            height: Mm(1 + draw.below(12)),
        };
        let covered = area_within(&outline, &rectangle).as_mm2();
        let whole = (covered - rectangle.area().as_mm2()).abs() < 1e-9;
        assert_eq!(
            contains(&outline, &rectangle),
            whole,
            "{rectangle:?} in {outline:?}"
        );
        if whole { inside += 1 } else { outside += 1 }
    }
    assert!(
        inside > 20 && outside > 20,
        "both cases occur: {inside} {outside}"
    );
}

fn house() -> Building {
    let form = ShortForm {
        length: Mm(9000),
        height: Mm(6000),
        opening_count: 4,
        opening_width: Mm(1000),
        opening_height: Mm(1300),
    };
    form.expand().unwrap().0
}

type Spoil = fn(&mut Building);

#[test]
fn each_bad_survey_is_told_with_its_place() {
    let cases: &[(&str, &str, Spoil)] = &[
        ("building.facades", "OUT_OF_RANGE", |b| b.facades.clear()),
        ("building.facades[0].outline", "OUTLINE_CROSSES", |b| {
            b.facades[0].outline.swap(1, 2);
        }),
        ("building.facades[0].outline", "OUT_OF_RANGE", |b| {
            b.facades[0].outline.truncate(2);
        }),
        ("building.facades[0].outline[1]", "OUT_OF_RANGE", |b| {
            b.facades[0].outline[1].x = Mm(i32::MAX);
        }),
        ("building.facades[0].openings[1]", "OPENING_OUTSIDE", |b| {
            b.facades[0].openings[1].raw.x = Mm(8500);
        }),
        ("building.facades[0].openings[1]", "OPENINGS_OVERLAP", |b| {
            b.facades[0].openings[1].raw = b.facades[0].openings[0].raw;
        }),
        ("building.facades[0].openings[1].id", "DUPLICATE", |b| {
            b.facades[0].openings[1].id = b.facades[0].openings[0].id.clone();
        }),
        (
            "building.facades[0].openings[2].width_mm",
            "OUT_OF_RANGE",
            |b| b.facades[0].openings[2].raw.width = Mm(-5),
        ),
        (
            "building.facades[0].openings[0].x_mm",
            "OUT_OF_RANGE",
            |b| b.facades[0].openings[0].raw.x = Mm(i32::MIN),
        ),
        (
            "building.facades[0].openings[0].reveal_insulation_mm",
            "OPENING_CLOSED",
            |b| {
                b.facades[0].openings[0].reveal_insulation = Mm(300);
                b.facades[0].openings[0].raw.width = Mm(600);
            },
        ),
        ("building.facades[0].left", "UNKNOWN_FACADE", |b| {
            b.facades[0].left = Meets::SalientCorner {
                with: "north".into(),
            }
        }),
        ("building.facades[0].left", "CORNER_MISMATCH", |b| {
            b.facades[0].left = Meets::SalientCorner { with: "F1".into() }
        }),
        (
            "building.facades[0].joints[0].gap_mm",
            "OUT_OF_RANGE",
            |b| {
                b.facades[0].joints.push(StructuralJoint {
                    x: Mm(60),
                    gap: Mm(1),
                });
            },
        ),
        ("building.facades[0].joints[0].x_mm", "OUT_OF_RANGE", |b| {
            b.facades[0].joints.push(StructuralJoint {
                x: Mm(90_000),
                gap: Mm(20),
            });
        }),
        ("building.facades[0].base", "MISSING", |b| {
            b.facades[0].base.clear();
        }),
        ("building.facades[0].base", "BASE_GAP", |b| {
            b.facades[0].base[0].to = Mm(4000);
        }),
        (
            "building.facades[0].base[0].ground_mm",
            "OUT_OF_RANGE",
            |b| {
                b.facades[0].base[0].below = Below::InsulatedPlinth;
                b.facades[0].base[0].ground = Mm(-200_001);
            },
        ),
        ("building.facades[0].base[0].to_mm", "OUT_OF_RANGE", |b| {
            b.facades[0].base[0].to = Mm(i32::MAX);
        }),
        (
            "building.facades[0].base[0].below",
            "WALL_BELOW_BASE",
            |b| b.facades[0].base[0].level = Mm(300),
        ),
        (
            "building.facades[0].base[0].ground_mm",
            "OUT_OF_RANGE",
            |b| b.facades[0].base[0].ground = Mm(10),
        ),
        (
            "building.substrate.layers[0].conductivity_w_per_mk",
            "NOT_FINITE",
            |b| {
                b.substrate.layers[0].conductivity =
                    quantity::Conductivity::from_w_per_mk(f64::NAN);
            },
        ),
        ("building.substrate.layers", "OUT_OF_RANGE", |b| {
            b.substrate.layers.clear();
        }),
        (
            "building.substrate.pull_out_tests_kn[0]",
            "NOT_FINITE",
            |b| {
                b.substrate
                    .pull_out_tests
                    .push(quantity::Force::from_kn(f64::INFINITY));
            },
        ),
        ("building.height_mm", "OUT_OF_RANGE", |b| b.height = Mm(0)),
        ("building.facades", "LIMIT_EXCEEDED", |b| {
            let opening = b.facades[0].openings[0].clone();
            b.facades[0].openings = (0..10_000)
                .map(|i| Opening {
                    id: format!("{i}"),
                    ..opening.clone()
                })
                .collect();
        }),
    ];
    let mut all = house();
    for (path, reason, spoil) in cases {
        let mut building = house();
        check(&building).expect("the house itself is sound");
        spoil(&mut building);
        let faults = check(&building).expect_err(path);
        assert!(
            faults
                .iter()
                .any(|f| f.path == *path && f.reason == *reason),
            "{path} {reason}: {faults:?}"
        );
        assert!(
            faults
                .iter()
                .all(|f| !f.found.is_empty() && !f.expected.is_empty())
        );
        if !matches!(
            *path,
            "building.facades"
                | "building.facades[0].outline"
                | "building.facades[0].outline[1]"
                | "building.facades[0].base"
        ) {
            spoil(&mut all);
        }
    }
    let together = check(&all).expect_err("all at once");
    assert!(
        together.len() >= 8,
        "several faults come back together: {together:?}"
    );
}

#[test]
fn too_many_openings_hide_no_other_fault() {
    let mut home = house();
    home.height = Mm(0);
    home.storeys = 0;
    let facade = &mut home.facades[0];
    facade.openings = (0..2_001)
        .map(|i| opening(&format!("W{i}"), [100, 100, 500, 500], 0))
        .collect();
    facade.outline[2].y = Mm(900_000);
    let faults = check(&home).unwrap_err();
    let told = |path: &str| faults.iter().any(|f| f.path.starts_with(path));
    for path in [
        "building.facades",
        "building.height_mm",
        "building.storeys",
        "building.facades[0].outline",
    ] {
        assert!(told(path), "{path}: {faults:?}");
    }
    let each = faults.iter().filter(|f| f.path.contains("openings["));
    assert_eq!(each.count(), 0);
}

#[test]
fn a_pair_of_corners_must_agree() {
    let mut building = house();
    let mut gable = building.facades[0].clone();
    gable.id = "F2".into();
    gable.left = Meets::SalientCorner { with: "F1".into() };
    building.facades[0].right = Meets::SalientCorner { with: "F2".into() };
    building.facades.push(gable);
    check(&building).expect("they agree");
    building.facades[1].left = Meets::ReEntrantCorner { with: "F1".into() };
    let faults = check(&building).unwrap_err();
    let places: Vec<&str> = faults.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(
        places,
        ["building.facades[0].right", "building.facades[1].left"]
    );
}

/// Ends are looked up by name, and a fault of one lists no more names than a building may have: ten thousand lists of ten thousand names
/// would be no answer.
#[test]
fn ends_of_very_many_facades_are_told_shortly() {
    let mut building = house();
    let mut one = building.facades[0].clone();
    one.openings.clear();
    let salient = |with: String| Meets::SalientCorner { with };
    building.facades = (0..30_000)
        .map(|i| {
            let mut facade = one.clone();
            facade.id = format!("F{i}");
            facade.right = salient(format!("F{}", i + 1));
            facade.left = salient(format!("F{}", i - 1));
            facade
        })
        .collect();
    let faults = check(&building).unwrap_err();
    let paths: Vec<&str> = faults.iter().map(|f| f.path.as_str()).collect();
    let ends = [
        "building.facades",
        "building.facades[0].left",
        "building.facades[29999].right",
    ];
    assert_eq!(paths, ends);
    assert!(faults.iter().all(|f| f.expected.len() < 100), "{faults:?}");
}

/// Features beyond the limit are told by their number, and nothing else is held against each of them.
#[test]
fn very_many_features_are_a_stated_limit_that_hides_nothing_else() {
    let mut building = house();
    building.height = Mm(0);
    let joint = StructuralJoint {
        x: Mm(1000),
        gap: Mm(20),
    };
    building.facades[0].joints = vec![joint; 200_000];
    let faults = check(&building).unwrap_err();
    let told: Vec<(&str, &str)> = faults.iter().map(|f| (f.path.as_str(), f.reason)).collect();
    let expected = [
        ("building.height_mm", "OUT_OF_RANGE"),
        ("building.facades[0].joints", "LIMIT_EXCEEDED"),
    ];
    assert_eq!(told, expected);
}

/// Points beyond the limit are told once, with all fixtures of the facade together, though each of them would be off the wall.
#[test]
fn very_many_fixing_points_are_a_stated_limit() {
    let with = |fixtures: usize, points: usize| {
        let mut building = house();
        let off = Point {
            x: Mm(-500),
            y: Mm(-500),
        };
        let fixture = Fixture {
            name: "rail".into(),
            load: FixtureLoad::Light,
            points: vec![off; points],
        };
        building.facades[0].fixtures = vec![fixture; fixtures];
        check(&building).unwrap_err()
    };
    let most = LIMITS.fixture_points as usize;
    let told = with(2, most / 2);
    let looked_at = told.iter().filter(|f| f.reason == "OUT_OF_RANGE");
    assert!(looked_at.count() > 100);
    assert!(told.iter().all(|f| f.reason != "LIMIT_EXCEEDED"));
    let told = with(2, most / 2 + 1);
    let [fault] = told.as_slice() else {
        panic!("{told:?}")
    };
    assert_eq!(fault.path, "building.facades[0].fixtures");
    assert_eq!(fault.reason, "LIMIT_EXCEEDED");
    assert!(fault.found.contains(&format!("{}", most + 2)), "{fault}");
}

/// A step that begins too far left would lie over the wall of the one before it; it has no wall of its own below it that could be wrong.
#[test]
fn a_step_out_of_place_is_told_once() {
    let mut building = house();
    let facade = &mut building.facades[0];
    let right = facade.bounds().1.x;
    let step = |from: i32, to: Mm, level: i32| BaseStep {
        from: Mm(from),
        to,
        level: Mm(level),
        ground: Mm(level - 300),
        below: Below::Walkway,
    };
    let top = facade.bounds().1.y;
    let corners = [
        (Mm(0), Mm(0)),
        (Mm(3000), Mm(0)),
        (Mm(3000), Mm(500)),
        (right, Mm(500)),
        (right, top),
        (Mm(0), top),
    ];
    facade.outline = corners.map(|(x, y)| Point { x, y }).to_vec();
    facade.openings.clear();
    facade.base = vec![step(0, Mm(3000), 0), step(3000, right, 500)];
    check(&building).expect("two steps in their places");
    building.facades[0].base[1].from = Mm(0);
    let faults = check(&building).unwrap_err();
    let told: Vec<(&str, &str)> = faults.iter().map(|f| (f.path.as_str(), f.reason)).collect();
    assert_eq!(told, [("building.facades[0].base[1]", "BASE_GAP")]);
}

#[test]
fn the_short_form_gives_a_sound_building_or_says_why_not() {
    let mut draw = Draw(3);
    let (mut sound, mut refused) = (0, 0);
    for _ in 0..500 {
        let form = ShortForm {
            length: Mm(draw.below(40_000) - 100),
            height: Mm(draw.below(20_000) - 100),
            opening_count: draw.below(40) as u32,
            opening_width: Mm(draw.below(3000) - 100),
            opening_height: Mm(draw.below(3000) - 100),
        };
        match form.expand() {
            Ok((building, assumed)) => {
                check(&building).unwrap_or_else(|faults| panic!("{form:?}: {faults:?}"));
                assert_eq!(
                    building.facades[0].openings.len(),
                    form.opening_count as usize
                );
                assert!(!assumed.is_empty());
                sound += 1;
            }
            Err(faults) => {
                assert!(faults.iter().all(|f| f.path.starts_with("short.")));
                refused += 1;
            }
        }
    }
    assert!(sound > 50 && refused > 50, "{sound} {refused}");
    let huge = ShortForm {
        length: Mm(i32::MAX),
        height: Mm(i32::MIN),
        opening_count: u32::MAX,
        opening_width: Mm(0),
        opening_height: Mm(1),
    };
    assert!(huge.expand().unwrap_err().len() >= 4);
}

fn opening(id: &str, raw: [i32; 4], insulation: i32) -> Opening {
    let [x, y, width, height] = raw.map(Mm);
    Opening {
        id: id.into(),
        raw: Rectangle {
            x,
            y,
            width,
            height,
        },
        reveal_depth: Mm(150),
        reveal_insulation: Mm(insulation),
        sill_insulation: Mm(insulation),
        ..Opening::default()
    }
}

/// A wall 6 m by 3 m, its left end free and its right end a corner.
fn with_openings(openings: Vec<Opening>) -> Facade {
    let mut wall = house().facades.remove(0);
    wall.outline = vec![
        Point::at(0, 0),
        Point::at(6000, 0),
        Point::at(6000, 3000),
        Point::at(0, 3000),
    ];
    wall.right = Meets::SalientCorner { with: "G".into() };
    wall.openings = openings;
    wall
}

fn size(x: i32, y: i32, width: i32, height: i32) -> Rectangle {
    Rectangle {
        x: Mm(x),
        y: Mm(y),
        width: Mm(width),
        height: Mm(height),
    }
}

/// By hand: 30 mm less at each side that has wall, none at the corner; the corner's upright edge ends above and below.
#[test]
fn a_window_that_ends_with_the_facade_has_no_jamb_there() {
    let wall = with_openings(vec![opening("W", [4000, 900, 2000, 1300], 30)]);
    let found = wall.finished(&wall.openings[0]);
    assert_eq!(found.size, size(4030, 930, 1970, 1240));
    assert_eq!(found.left, [(Mm(930), Mm(2170))]);
    assert_eq!(found.right, []);
    assert_eq!(found.head, [(Mm(4030), Mm(6000))]);
    assert_eq!(
        wall.end_stretches(Side::Right),
        [(Mm(0), Mm(930)), (Mm(2170), Mm(3000))]
    );
    assert_eq!(wall.end_stretches(Side::Left), [(Mm(0), Mm(3000))]);
    assert!((wall.net_area().as_m2() - (18.0 - 1.97 * 1.24)).abs() < 1e-9);
    // Right up to the eaves it has no head either; on the outline's lower edge its sill stays.
    let wall = with_openings(vec![opening("W", [1000, 0, 1000, 3000], 30)]);
    let found = wall.finished(&wall.openings[0]);
    assert_eq!(found.size, size(1030, 30, 940, 2970));
    assert!(found.head.is_empty());
    assert_eq!(found.foot, [(Mm(1030), Mm(1970))]);
}

/// A window beside a higher door: what touches has no wall, what is left of the door's jamb has.
#[test]
fn openings_that_touch_have_no_wall_between_them() {
    let openings = vec![
        opening("W", [1000, 900, 1000, 1300], 30),
        opening("D", [2000, 0, 1000, 2400], 0),
    ];
    let wall = with_openings(openings);
    let found: Vec<_> = wall.finished_openings().collect();
    assert_eq!(found[0].size, size(1030, 930, 970, 1240));
    assert!(found[0].right.is_empty());
    assert_eq!(found[1].size, size(2000, 0, 1000, 2400));
    assert_eq!(
        found[1].left,
        [(Mm(0), Mm(900)), (Mm(2200), Mm(2400))],
        "the door's jamb below and above the window"
    );
    // A door on a slab: neither the door's foot nor that part of the slab's head.
    let openings = vec![
        opening("slab", [800, 2000, 3400, 200], 0),
        opening("D", [1000, 2200, 2000, 700], 0),
    ];
    let wall = with_openings(openings);
    let found: Vec<_> = wall.finished_openings().collect();
    assert!(found[1].foot.is_empty());
    assert_eq!(found[0].head, [(Mm(800), Mm(1000)), (Mm(3000), Mm(4200))]);
}

#[test]
fn finished_openings_are_the_raw_ones_less_their_insulation() {
    let wall = with_openings(vec![Opening {
        id: "W1".into(),
        kind: OpeningKind::Window,
        raw: size(1000, 900, 2000, 1300),
        reveal_depth: Mm(150),
        reveal_insulation: Mm(30),
        sill_insulation: Mm(20),
    }]);
    let found = wall.finished(&wall.openings[0]);
    assert_eq!(found.size, size(1030, 920, 1940, 1250));
    assert_eq!(found.jambs(), Mm(2500));
    assert_eq!(LIMITS.joint_gap_min, Mm(5), "common practice, no source");
    let plinth = BaseStep {
        from: Mm(0),
        to: Mm(1),
        level: Mm(0),
        ground: Mm(-300),
        below: Below::InsulatedPlinth,
    };
    assert_ne!(plinth.below, Below::default());
}
