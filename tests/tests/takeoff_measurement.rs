//! Measurement rule sets against what their sources state, and the laws that every set obeys.

mod takeoff_scene;

use facade::{Below, Facade, Meets, Opening, OpeningKind, Point, StructuralJoint};
use quantity::{Area, Length, Mm};
use takeoff::edges::edges;
use takeoff::measurement::{Adjacent, Band, Edge, HeightStages, Plane, RevealBilling};
use takeoff::{Billing, MeasurementRules, Projection, bill};
use takeoff_scene::{Draw, building, number, read_rules, rectangle, root, rules, wall, window};
use working::{Faults, Sheet};

const PROJECTION: Projection = Projection {
    facade: Length::from_mm(145.0),
    plinth_back: Length::ZERO,
};
const SETS: [&str; 8] = [
    "din-18345",
    "din-18363",
    "is-1200",
    "nrm2",
    "pomi-1979",
    "cesmm4",
    "anzsmm",
    "oenorm-b-2259",
];

/// What is billed of a facade; the wall `G` that its corners may name stands as high as it.
fn billed(facade: &Facade, rules: &MeasurementRules) -> Billing {
    billed_beside(facade, wall("G", facade.outline.clone(), Vec::new()), rules)
}

fn billed_beside(facade: &Facade, other: Facade, rules: &MeasurementRules) -> Billing {
    let home = building(vec![facade.clone(), other]);
    let edges = edges(&home, 0, Mm(140));
    bill(facade, &edges, PROJECTION, rules, &mut Sheet::new()).unwrap()
}

fn near(a: Area, m2: f64) -> bool {
    (a.as_m2() - m2).abs() < 1e-9
}

#[test]
fn every_shipped_set_is_sound_and_templates_bill_nothing() {
    let mut shipped: Vec<String> = std::fs::read_dir(root().join("catalogues/rules/measurement"))
        .unwrap()
        .map(|e| {
            let path = e.unwrap().path();
            path.file_stem().unwrap().to_str().unwrap().to_owned()
        })
        .collect();
    shipped.sort();
    let mut expected = SETS.map(str::to_owned).to_vec();
    expected.sort();
    assert_eq!(shipped, expected);
    for key in SETS {
        let set = rules(key);
        let mut faults = Faults::new();
        set.check(key, &mut faults);
        assert!(faults.is_empty(), "{:?}", faults.into_list());
        assert_eq!(set.key, key);
        let plain = wall("F", rectangle(10_000, 5_000), Vec::new());
        let home = building(vec![plain.clone()]);
        let edges = edges(&home, 0, Mm(140));
        let nothing = bill(&plain, &edges, PROJECTION, &set, &mut Sheet::new()).is_none();
        assert_eq!(
            nothing,
            set.standing == working::Standing::Unverified,
            "{key}"
        );
    }
}

#[test]
fn worked_thresholds() {
    let text =
        std::fs::read_to_string(root().join("tests/worked/takeoff/thresholds.toml")).unwrap();
    let cases: toml::Table = text.parse().unwrap();
    let cases = cases["case"].as_array().unwrap();
    assert!(cases.len() >= 9);
    for case in cases {
        let name = case["name"].as_str().unwrap();
        let mut x = 500;
        let openings = case["openings-mm"]
            .as_array()
            .unwrap()
            .iter()
            .enumerate()
            .map(|(i, o)| {
                let size = |key: &str| o.get(key).map_or(0, |v| number(v) as i32);
                let mut opening = window(&format!("O{i}"), x, 1000, size("width"), size("height"));
                opening.reveal_insulation = Mm(size("reveal-insulation"));
                opening.reveal_depth = Mm(size("reveal-depth"));
                x += size("width");
                opening
            })
            .collect();
        let facade = wall("F", rectangle(10_000, 5_000), openings);
        let found = billed(&facade, &rules(case["set"].as_str().unwrap()));
        let (deducted, added) = (number(&case["deducted-m2"]), number(&case["added-m2"]));
        assert!(near(found.deducted, deducted), "{name}: {found:?}");
        assert!(near(found.added, added), "{name}: {found:?}");
        assert!(
            near(found.billed, 50.0 - deducted + added),
            "{name}: {found:?}"
        );
    }
}

#[test]
fn raw_and_finished_size_decide_differently() {
    // 2.60 m2 in the bare wall, 1.94 m x 1.27 m = 2.4638 m2 when its reveals are insulated.
    let mut opening = window("W", 2000, 1000, 2000, 1300);
    opening.reveal_insulation = Mm(30);
    let facade = wall("F", rectangle(10_000, 5_000), vec![opening]);
    let finished = rules("din-18345");
    let raw = MeasurementRules {
        basis: takeoff::measurement::OpeningBasis::Raw,
        ..finished.clone()
    };
    assert!(near(billed(&facade, &finished).billed, 50.0));
    assert!(near(billed(&facade, &raw).billed, 47.4));
}

/// A wall with random openings that lie apart.
fn random_wall(draw: &mut Draw) -> Facade {
    let count = draw.between(1, 7);
    let openings = (0..count)
        .map(|i| {
            let (w, h) = (draw.between(300, 2400), draw.between(300, 2400));
            let mut o = window(
                &format!("O{i}"),
                400 + i * 2800,
                draw.between(0, 2000),
                w,
                h,
            );
            o.reveal_depth = Mm(draw.between(0, 400));
            o.reveal_insulation = Mm(draw.between(0, 60));
            o
        })
        .collect();
    let mut facade = wall("F", rectangle(400 + count * 2800, 5_000), openings);
    facade.left = [
        Meets::FreeEnd,
        Meets::SalientCorner { with: "G".into() },
        Meets::ReEntrantCorner { with: "G".into() },
    ][draw.below(3) as usize]
        .clone();
    facade
}

#[test]
fn billed_is_gross_less_deducted_plus_added_and_stages_add_up() {
    let mut draw = Draw(1);
    for key in ["din-18345", "din-18363", "is-1200"] {
        let mut set = rules(key);
        set.height_stages = Some(HeightStages {
            first: Length::from_m(2.0),
            step: Length::from_m(0.7),
        });
        // What is rounded for itself need not add up to the rounded whole.
        set.rounding.area = quantity::Rounding::Full;
        for _ in 0..200 {
            let facade = random_wall(&mut draw);
            let found = billed(&facade, &set);
            let by_parts = facade.gross_area() - found.deducted + found.added;
            assert!(near(found.billed, by_parts.as_m2()));
            let openings: Area = found.openings.iter().map(|o| o.deducted).sum();
            assert!(near(openings, found.deducted.as_m2()));
            let stages: Area = found.stages.iter().map(|s| s.area).sum();
            assert!(near(stages, found.billed.as_m2()), "{key}: {found:?}");
        }
    }
}

#[test]
fn a_higher_threshold_never_bills_less() {
    let mut draw = Draw(2);
    for _ in 0..50 {
        let facade = random_wall(&mut draw);
        let mut last = Area::ZERO;
        for tenth in 1..60 {
            let mut set = rules("din-18345");
            set.bands[0].up_to = Some(Area::from_m2(f64::from(tenth) / 10.0));
            let found = billed(&facade, &set).billed;
            assert!(found.as_m2() >= last.as_m2() - 1e-9);
            last = found;
        }
    }
}

#[test]
fn excluded_limits_joined_openings_and_interruptions_are_data() {
    let facade = wall(
        "F",
        rectangle(10_000, 5_000),
        vec![
            window("A", 1000, 1000, 1000, 1500),
            window("B", 2000, 1000, 1000, 1500),
        ],
    );
    let mut set = rules("din-18345");
    set.bands[0].up_to = Some(Area::from_m2(1.5));
    assert!(near(billed(&facade, &set).billed, 50.0));
    set.bands[0].edge = Edge::Excluded;
    assert!(near(billed(&facade, &set).billed, 47.0));
    let mut joined = rules("din-18345");
    joined.adjacent = Adjacent::Joined;
    // Together 3.0 m2, over 2.5 m2.
    assert!(near(billed(&facade, &joined).billed, 47.0));
    let mut split = wall("F", rectangle(10_000, 5_000), Vec::new());
    split.joints.push(StructuralJoint {
        x: Mm(5000),
        gap: Mm(30),
    });
    let mut cut = rules("din-18345");
    assert!(near(billed(&split, &cut).billed, 50.0));
    cut.interruption_over = Some(Length::from_mm(20.0));
    assert!(near(billed(&split, &cut).billed, 50.0 - 0.03 * 5.0));
}

#[test]
fn the_finished_plane_grows_round_corners_and_polygons_may_be_boxed() {
    let gable = vec![
        Point::at(0, 0),
        Point::at(8000, 0),
        Point::at(8000, 5000),
        Point::at(4000, 8000),
        Point::at(0, 5000),
    ];
    let mut facade = wall("F", gable, Vec::new());
    // 8 x 5 + 8 x 3 / 2 by hand; the box is 8 x 8.
    assert!(near(billed(&facade, &rules("din-18345")).billed, 52.0));
    assert!(near(billed(&facade, &rules("din-18363")).billed, 64.0));
    facade.left = Meets::SalientCorner { with: "G".into() };
    let grown = billed(&facade, &rules("din-18345")).billed;
    assert!(near(grown, 52.0 + 0.145 * 5.0));
    let mut bare = rules("din-18345");
    bare.plane = Plane::BareWall;
    assert!(near(billed(&facade, &bare).billed, 52.0));
}

#[test]
fn reveals_go_by_area_or_by_the_metre() {
    let mut opening = window("W", 1000, 1000, 1000, 1000);
    opening.reveal_depth = Mm(155);
    let facade = wall("F", rectangle(10_000, 5_000), vec![opening]);
    let mut set = rules("din-18345");
    set.bands = vec![Band {
        deduct_share: 1.0,
        reveals: RevealBilling::Area,
        ..Band::default()
    }];
    // Depth on the finished plane 155 + 145 = 300 mm, over 2 jambs and the head: 3 m.
    assert!(near(billed(&facade, &set).added, 0.9));
    set.reveal_length_up_to = Some(Length::from_mm(300.0));
    let found = billed(&facade, &set);
    assert!(near(found.added, 0.0));
    assert!((found.reveal_length.as_m() - 3.0).abs() < 1e-9);
}

/// A door of 1.5 m by 2.2 m, its reveals 150 mm deep: two jambs and the head, and no face under the threshold.
#[test]
fn a_door_has_no_sill_to_bill() {
    let opening = Opening {
        kind: OpeningKind::Door,
        reveal_depth: Mm(150),
        ..window("D", 1000, 0, 1500, 2200)
    };
    let mut facade = wall("F", rectangle(10_000, 5_000), vec![opening]);
    let found = billed(&facade, &rules("is-1200"));
    assert_eq!(found.openings[0].band, 2, "over 3 m2");
    assert!(near(found.added, 0.15 * (2.0 * 2.2 + 1.5)));
    facade.openings[0].kind = OpeningKind::Window;
    let found = billed(&facade, &rules("is-1200"));
    assert!(near(found.added, 0.15 * 2.0 * (2.2 + 1.5)));
}

/// Gaps of up to 1 m are measured over, joints among them; what is longer is not, doors side by side being one gap.
#[test]
fn the_base_line_is_billed_over_short_gaps() {
    let door = |x: i32, width: i32| Opening {
        kind: OpeningKind::Door,
        ..window(&format!("D{x}"), x, 0, width, 2100)
    };
    let base = |openings: Vec<Opening>| {
        let mut facade = wall("F", rectangle(11_000, 3_000), openings);
        facade.joints.push(StructuralJoint {
            x: Mm(6000),
            gap: Mm(25),
        });
        billed(&facade, &rules("din-18363")).base_length.as_m()
    };
    assert!((base(vec![door(2000, 1000)]) - 11.0).abs() < 1e-9);
    assert!((base(vec![door(2000, 1100)]) - 9.9).abs() < 1e-9);
    assert!((base(vec![door(2000, 600), door(2600, 600)]) - 9.8).abs() < 1e-9);
    // Over an insulated plinth there is no base line, and a door through it leaves none to measure over.
    let mut facade = wall("F", rectangle(11_000, 3_000), vec![door(2000, 1000)]);
    facade.base[0].below = Below::InsulatedPlinth;
    assert_eq!(
        billed(&facade, &rules("din-18363")).base_length,
        Length::ZERO
    );
}

/// 2.345 m by 2.115 m are 4.959675 m2: DIN bills 4.96, and by stages of height each for itself.
#[test]
fn what_is_billed_is_rounded_as_the_set_says() {
    let facade = wall("F", rectangle(2345, 2115), Vec::new());
    let mut set = rules("din-18345");
    let found = billed(&facade, &set);
    assert!(near(found.billed, 4.959_675));
    assert!(near(found.rounded, 4.96));
    set.height_stages = Some(HeightStages {
        first: Length::from_m(1.0),
        step: Length::from_m(1.0),
    });
    // From the ground, 300 mm below: 700, 1000 and 415 mm are 1.6415, 2.345 and 0.973175 m2.
    let found = billed(&facade, &set);
    let stages: Vec<f64> = found.stages.iter().map(|s| s.area.as_m2()).collect();
    assert_eq!(stages, [1.64, 2.35, 0.97]);
    assert!(near(found.rounded, 4.96));
    let mut sheet = Sheet::new();
    let home = building(vec![facade.clone()]);
    let edges = edges(&home, 0, Mm(140));
    bill(&facade, &edges, PROJECTION, &rules("din-18345"), &mut sheet).unwrap();
    let lines = sheet.lines().into_iter();
    let labels: Vec<String> = lines.map(|l| l.label).collect();
    for label in ["A_bill F", "billed F", "billed base line F"] {
        assert!(labels.iter().any(|l| l == label), "{label} in {labels:?}");
    }
}

/// On the finished surface a window at a corner reaches to the outer line of the insulation: 1.7 m and 145 mm by 1.4 m are over 2.5 m2.
#[test]
fn a_corner_window_is_measured_to_the_outer_line() {
    let mut facade = wall(
        "F",
        rectangle(5_000, 3_000),
        vec![window("W", 3300, 900, 1700, 1400)],
    );
    facade.right = Meets::SalientCorner { with: "G".into() };
    let found = billed(&facade, &rules("din-18345"));
    assert!(near(found.deducted, 1.845 * 1.4));
    assert!(near(found.billed, 5.145 * 3.0 - 1.845 * 1.4));
    facade.openings[0].raw.x -= Mm(1);
    let found = billed(&facade, &rules("din-18345"));
    assert!(near(found.billed, 5.145 * 3.0), "2.38 m2 is measured over");
}

#[test]
fn a_bad_set_comes_back_with_every_fault() {
    let set = read_rules(
        "format = 1\nkey = \"x\"\nname = \"x\"\ndocument = \"\"\nedition = \"\"\nsource = \"\"\nstatus = \"unverified\"\nnotes = []\n\
         interruption-over-mm = -1\n\
         [[band]]\nup-to-m2 = 2.0\ndeduct-share = 2.0\nreveals = \"none\"\n\
         [[band]]\nup-to-m2 = 1.0\ndeduct-share = nan\nreveals = \"none\"\n\
         [[band]]\nup-to-m2 = 5.0\ndeduct-share = 1.0\nreveals = \"none\"\n",
    );
    let mut faults = Faults::new();
    set.check("measurement", &mut faults);
    let paths: Vec<String> = faults.into_list().into_iter().map(|f| f.path).collect();
    assert_eq!(
        paths,
        [
            "measurement.band[0].deduct-share",
            "measurement.band[1].deduct-share",
            "measurement.band[1].up-to-m2",
            "measurement.band[2].up-to-m2",
            "measurement.interruption-over-mm",
        ]
    );
}

#[test]
fn a_template_is_refused_at_the_front_door_beside_the_other_faults() {
    let survey = client::read(&root().join("tests/surveys/house.toml"), |_| None);
    let mut request = survey.unwrap_or_else(|_| panic!("unreadable")).request;
    request.measurement = "nrm2".into();
    request.layout_rules = "no-such-rules".into();
    let here = client::Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let refused = here
        .estimate(request)
        .expect_err("a template bills nothing");
    let told: Vec<_> = refused.faults.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(told, ["measurement", "layout_rules"]);
    assert!(
        refused.faults[0]
            .text
            .contains("no rule data for this measurement set; template only")
    );
}

/// A gable under the set that measures the smallest rectangle, on the finished surface: by hand the wall of 10 m with a salient corner of
/// 145 mm on its left and a re-entrant one on its right keeps 10 m; with two salient ones it has 10.29 m, over the height of the ridge.
#[test]
fn a_rectangle_round_a_gable_is_as_high_at_its_ends_as_at_its_ridge() {
    let gable = [
        (0, 0),
        (10_000, 0),
        (10_000, 4_000),
        (5_000, 8_000),
        (0, 4_000),
    ];
    let at = |(x, y): (i32, i32)| Point { x: Mm(x), y: Mm(y) };
    let mut facade = wall("F", gable.map(at).to_vec(), Vec::new());
    let with = || "G".to_owned();
    facade.left = Meets::SalientCorner { with: with() };
    for (right, width) in [
        (Meets::SalientCorner { with: with() }, 10.29),
        (Meets::ReEntrantCorner { with: with() }, 10.0),
        (Meets::AbuttingBuilding, 10.145),
    ] {
        facade.right = right;
        let found = billed(&facade, &rules("din-18363"));
        assert!(near(found.billed, width * 8.0), "{:?}", found.billed);
    }
    // The same wall as a box has the same rectangle.
    facade.outline = rectangle(10_000, 8_000);
    facade.right = Meets::SalientCorner { with: with() };
    assert!(near(
        billed(&facade, &rules("din-18363")).billed,
        10.29 * 8.0
    ));
}

/// Beside a lower wall of an inner corner the finished surface ends short of the corner as far as that wall stands, and a rectangle round
/// it is as wide as the part above.
#[test]
fn a_lower_wall_of_an_inner_corner_takes_only_its_height() {
    let mut facade = wall("F", rectangle(10_000, 5_000), Vec::new());
    facade.right = Meets::ReEntrantCorner { with: "G".into() };
    for (height, as_built, round) in [
        (5_000, 50.0 - 0.145 * 5.0, 50.0 - 0.145 * 5.0),
        (3_000, 50.0 - 0.145 * 3.0, 50.0),
    ] {
        let other = || wall("G", rectangle(4_000, height), Vec::new());
        let built = billed_beside(&facade, other(), &rules("din-18345"));
        assert!(near(built.billed, as_built), "{:?}", built.billed);
        let rectangle = billed_beside(&facade, other(), &rules("din-18363"));
        assert!(near(rectangle.billed, round), "{:?}", rectangle.billed);
    }
}

/// What a set bills by the metre it does not bill by area too: at the limit of 300 mm by the metre, a millimetre wider by area.
#[test]
fn a_narrow_strip_is_billed_by_the_metre_and_by_nothing_else() {
    let set = rules("is-1200");
    for (width, height, metres) in [(300, 6_000, 6.0), (6_000, 300, 6.0), (301, 6_000, 0.0)] {
        let found = billed(&wall("F", rectangle(width, height), Vec::new()), &set);
        let area = f64::from(width) * f64::from(height) / 1e6;
        assert_eq!(found.strip_length, Length::from_m(metres), "{width}");
        let expected = if metres > 0.0 { 0.0 } else { area };
        assert!(near(found.billed, expected), "{width}: {:?}", found.billed);
        assert!((found.rounded.as_m2() - expected).abs() < 0.006);
        let stages: f64 = found.stages.iter().map(|s| s.area.as_m2()).sum();
        assert!((stages - expected).abs() < 0.011);
        assert!(near(found.gross - found.deducted + found.added, expected));
    }
}

/// A wall of 10 m by 3 m over an insulated plinth of 500 mm, with a salient corner on its left, on the finished surface: the plinth stands
/// back 40 mm. By hand it grows by 145 mm over 2.5 m and by 105 mm over 0.5 m; a door from the ground, finished 3 m by 1.2 m, has 0.5 m of
/// each jamb in the plinth, and one that ends with the wall at the corner is as much smaller as the corner is.
#[test]
fn a_thinner_plinth_is_billed_in_its_own_plane() {
    let mut set = rules("din-18345");
    set.rounding.area = quantity::Rounding::Full;
    set.bands[1].reveals = RevealBilling::Area;
    let thinner = Projection {
        plinth_back: Length::from_mm(40.0),
        ..PROJECTION
    };
    let over_plinth = |openings: Vec<Opening>| {
        let mut facade = wall("F", rectangle(10_000, 3_000), openings);
        facade.base = vec![facade::BaseStep {
            from: Mm(0),
            to: Mm(10_000),
            level: Mm(500),
            ground: Mm(0),
            below: Below::InsulatedPlinth,
        }];
        facade.left = Meets::SalientCorner { with: "G".into() };
        facade
    };
    let billed = |facade: &Facade, projection: Projection| {
        let other = wall("G", facade.outline.clone(), Vec::new());
        let edges = edges(&building(vec![facade.clone(), other]), 0, Mm(140));
        bill(facade, &edges, projection, &set, &mut Sheet::new()).unwrap()
    };
    let plain = billed(&over_plinth(Vec::new()), thinner);
    assert!(
        near(plain.billed, 30.0 + 0.145 * 2.5 + 0.105 * 0.5),
        "{plain:?}"
    );
    let mut door = window("D", 3_000, 0, 1_200, 2_500);
    door.kind = OpeningKind::Door;
    door.reveal_depth = Mm(100);
    let facade = over_plinth(vec![door.clone()]);
    let [thick, thin] = [PROJECTION, thinner].map(|p| billed(&facade, p));
    let narrower = thick.openings[0].added - thin.openings[0].added;
    assert!(near(thick.openings[0].added, 0.245 * (1.2 + 2.0 * 2.5)));
    assert!(near(narrower, 0.04 * 2.0 * 0.5), "{narrower:?}");
    door.raw.x = Mm(0);
    let facade = over_plinth(vec![door]);
    let [thick, thin] = [PROJECTION, thinner].map(|p| billed(&facade, p));
    let smaller = thick.openings[0].deducted - thin.openings[0].deducted;
    assert!(near(smaller, 0.04 * 0.5), "{smaller:?}");
}
