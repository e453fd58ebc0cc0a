//! What lies across the depth of the system: the ends of sills, reveals beside a thinner plinth, boards of reveals, and what goes round the
//! corners of a plinth in the ground. Worked out by hand from the geometry and the small assortment: boards of 140 mm on a bed of 10 mm.

mod takeoff_scene;

use facade::{BaseStep, Below, Building, Facade, Meets, Opening, OpeningKind, Point};
use quantity::Mm;
use takeoff::{Component, Job, Laid, Line, MeasurementRules, Parts, Takeoff, take_off};
use takeoff_scene::{building, job, laid, line, near, rectangle, rules, stock, wall, window};
use working::Sheet;

fn with(home: &Building, change: impl FnOnce(&mut Job<'_>)) -> Takeoff {
    let stock = stock::assortment();
    let parts = Parts::resolve(&stock, "eps", None).unwrap();
    let boards: Laid = laid(home, &parts, Mm(140));
    let set: MeasurementRules = rules("din-18345");
    let mut job = job(home, &parts, &boards, &set);
    change(&mut job);
    take_off(&job, &mut Sheet::new()).unwrap()
}

fn share(line: &Line, name: &str) -> f64 {
    let of = line.shares.iter().filter(|s| s.name == name);
    of.map(|s| s.amount).sum()
}

fn plain(width: i32, height: i32) -> Facade {
    Facade {
        left: Meets::AbuttingBuilding,
        right: Meets::AbuttingBuilding,
        ..wall("F", rectangle(width, height), Vec::new())
    }
}

/// A wall 8 m by 3 m and `deep` below, with an insulated plinth up to 500 mm above the ground at 0.
fn over_plinth(deep: i32, openings: Vec<Opening>) -> Facade {
    let corners = [(0, -deep), (8_000, -deep), (8_000, 3_000), (0, 3_000)];
    Facade {
        outline: corners.map(|(x, y)| Point::at(x, y)).to_vec(),
        openings,
        base: vec![BaseStep {
            from: Mm(0),
            to: Mm(8_000),
            level: Mm(500),
            ground: Mm(0),
            below: Below::InsulatedPlinth,
        }],
        ..plain(8_000, 3_000)
    }
}

fn reveal(mut opening: Opening) -> Opening {
    opening.reveal_depth = Mm(120);
    opening.reveal_insulation = Mm(30);
    opening
}

fn door(id: &str, x: i32, y: i32, width: i32, height: i32) -> Opening {
    Opening {
        kind: OpeningKind::Door,
        ..window(id, x, y, width, height)
    }
}

/// A sill meets the reveals left and right, from the frame through the boards: 120 + 150 mm at each of its ends (common practice, no
/// source). A door has none, nor an end where another opening stands beside the window, nor what practice does not seal.
#[test]
fn sills_are_sealed_at_their_ends() {
    let ends = |openings: Vec<Opening>| {
        let mut facade = plain(8_000, 3_000);
        facade.openings = openings;
        let found = with(&building(vec![facade]), |_| {});
        let strip = line(&found, Component::SealingStrip);
        assert!(near(
            strip.net_need,
            strip.shares.iter().map(|s| s.amount).sum()
        ));
        share(strip, "F, ends of sills")
    };
    let a = || reveal(window("A", 1_000, 900, 1_200, 1_400));
    assert!(near(ends(vec![a()]), 2.0 * 0.27));
    let flush = window("B", 4_000, 900, 1_000, 1_000);
    assert!(near(
        ends(vec![a(), flush.clone()]),
        2.0 * 0.27 + 2.0 * 0.15
    ));
    assert!(near(ends(vec![door("D", 4_000, 0, 1_000, 2_000)]), 0.0));
    // A window and the door that it stands beside: one end each side of both, but no sill and no wall between them.
    let beside = reveal(door("D", 2_200, 0, 1_000, 2_300));
    assert!(near(ends(vec![a(), beside]), 0.27));
    // Higher than the window beside it, whose sill ends at the wall below this one's jamb.
    let higher = reveal(window("C", 2_200, 1_200, 800, 1_100));
    assert!(near(ends(vec![a(), higher]), 3.0 * 0.27));
    let mut facade = plain(8_000, 3_000);
    facade.openings = vec![a()];
    let found = with(&building(vec![facade]), |job| job.practice.sealed.clear());
    assert!(
        found
            .lines
            .iter()
            .all(|l| l.component != Component::SealingStrip)
    );
}

/// What a plinth of 100 mm takes from the coated area, the reveals of the mesh and the strips at sills, against one of 140 mm.
fn narrower(openings: Vec<Opening>) -> [f64; 3] {
    let home = building(vec![over_plinth(0, openings)]);
    let of = |thickness: i32| {
        let found = with(&home, |job| job.plinth_thickness = Some(Mm(thickness)));
        let mesh = line(&found, Component::Mesh);
        let shares: f64 = mesh.shares.iter().map(|s| s.amount).sum();
        assert!(near(mesh.net_need, shares));
        assert!(near(mesh.net_need, found.areas.with_reveals.as_m2()));
        let seals = line(&found, Component::SealingStrip);
        [
            mesh.net_need,
            share(mesh, "reveals"),
            share(seals, "F, ends of sills"),
        ]
    };
    let (thick, thin) = (of(140), of(100));
    [0, 1, 2].map(|i| thick[i] - thin[i])
}

/// Boards of 140 mm over a plinth of 100 mm, which stands 40 mm back: the edge over it is coated along 8 m less the opening, and a reveal is
/// 40 mm narrower as far as it lies beside the plinth.
#[test]
fn reveals_are_narrower_beside_a_thinner_plinth() {
    let check = |openings: Vec<Opening>, over: f64, beside: f64, ends: f64| {
        let [coated, reveals, seals] = narrower(openings);
        assert!(near(coated, 0.04 * (beside - over)), "{coated}");
        assert!(near(reveals, 0.04 * beside), "{reveals}");
        assert!(near(seals, 0.04 * ends), "{seals}");
    };
    // A door from the ground: 500 mm of each jamb are in the plinth; finished it is 940 mm wide.
    let from_ground = reveal(door("D", 2_000, 0, 1_000, 2_200));
    check(vec![from_ground], 8.0 - 0.94, 2.0 * 0.5, 0.0);
    // A window whose sill is 200 mm above the ground: 300 mm of each jamb, and both ends of its sill.
    let low = reveal(window("W", 2_000, 200, 1_000, 1_200));
    check(vec![low], 8.0 - 0.94, 2.0 * 0.3, 2.0);
    // A cellar window in the plinth as a whole, finished 270 mm high and 940 mm wide, and its head.
    let cellar = reveal(window("K", 2_000, 100, 1_000, 300));
    check(vec![cellar], 8.0, 2.0 * 0.27 + 0.94, 2.0);
    // A window over the base line is none of the plinth's.
    let high = reveal(window("W", 2_000, 500, 1_000, 1_200));
    check(vec![high], 8.0 - 0.94, 0.0, 0.0);
}

/// A cellar window whose head lies on the base line: the edge of the boards over it is its lintel, with one drip bead, and no top of the
/// plinth beside it. By hand 8 m over the plinth, 940 mm of them the lintel, both with a drip.
#[test]
fn a_head_on_the_base_line_drips_once() {
    let mut head = window("K", 2_000, 100, 940, 400);
    head.reveal_depth = Mm(120);
    let home = building(vec![over_plinth(0, vec![head])]);
    let found = with(&home, |job| job.plinth_thickness = Some(Mm(100)));
    let drip = line(&found, Component::DripBead);
    assert!(near(drip.net_need, 8.0), "{:?}", drip.shares);
}

/// What is bonded in reveals is what is cut for them: the head's board runs over those on the jambs.
#[test]
fn mortar_is_ordered_for_every_reveal_board() {
    let mut sill = reveal(window("A", 1_000, 900, 1_200, 1_400));
    sill.sill_insulation = Mm(20);
    let beside = reveal(door("D", 2_200, 0, 1_000, 2_300));
    let bare = window("B", 4_000, 900, 1_000, 1_000);
    let mut facade = plain(8_000, 3_000);
    facade.openings = vec![sill.clone()];
    // By hand: head 1.20 m, jambs 1.40 - 0.03 - 0.02 m, sill 1.20 - 0.06 m, all 120 mm deep on 5 kg/m2.
    let name = "F, reveal boards on a full bed";
    let found = with(&building(vec![facade.clone()]), |_| {});
    let mortar = share(line(&found, Component::BondingMortar), name);
    let by_hand = 5.0 * 0.12 * (1.2 + 2.0 * 1.35 + 1.14);
    assert!(near(mortar, by_hand), "{mortar}");
    facade.openings = vec![sill, beside, bare];
    let home = building(vec![facade]);
    let strips = takeoff::reveal_strips(&home).into_iter();
    let cut: f64 = strips
        .map(|s| (s.width.to_length() * s.length.to_length()).as_m2())
        .sum();
    let mortar = share(line(&with(&home, |_| {}), Component::BondingMortar), name);
    assert!(near(mortar, 5.0 * cut), "{mortar}");
}

/// Over the boards of a plinth the waterproofing follows their outer plane. By hand, walls of 8 m and 5 m that go 800 mm into the ground, up
/// to 50 mm above it, 3 kg/m2; boards of 140 mm, or of 100 mm in the plinth, on a bed of 10 mm.
#[test]
fn waterproofing_goes_round_the_corners_of_the_plinth() {
    let over = |meets: fn(&str) -> Meets, free: Meets, thickness: i32| {
        let (mut a, mut b) = (over_plinth(800, Vec::new()), over_plinth(800, Vec::new()));
        (a.id, b.id) = ("A".into(), "B".into());
        (a.right, b.left, b.right) = (meets("B"), meets("A"), free);
        let found = with(&building(vec![a, b]), |job| {
            job.plinth_thickness = Some(Mm(thickness));
        });
        let line = line(&found, Component::Waterproofing);
        let behind = share(line, "A, behind the boards") + share(line, "B, behind the boards");
        assert!(near(behind, 3.0 * 16.0 * 1.3), "{behind}");
        (line.net_need - behind) / 3.0
    };
    let salient = |with: &str| Meets::SalientCorner { with: with.into() };
    let inner = |with: &str| Meets::ReEntrantCorner { with: with.into() };
    let abutting = |_: &str| Meets::AbuttingBuilding;
    for (thickness, p) in [(140, 0.15), (100, 0.11)] {
        for (meets, sign) in [
            (salient as fn(&str) -> Meets, 1.0),
            (inner, -1.0),
            (abutting, 0.0),
        ] {
            let flat = 16.0 * 0.85;
            let found = over(meets, Meets::AbuttingBuilding, thickness);
            assert!(near(found, flat + sign * 2.0 * p * 0.85), "{found}");
            // The face of a free end stands in the ground as well.
            let found = over(meets, Meets::FreeEnd, thickness);
            let by_hand = flat + (sign * 2.0 + 1.0) * p * 0.85;
            assert!(near(found, by_hand), "{found}");
        }
    }
}

/// A cellar window that reaches into the ground: the waterproofing goes on behind the boards of its reveals, and over their faces and the
/// sill up to 50 mm above the ground. By hand, 1000 by 600 mm with its sill 200 mm below the ground, finished 940 by 570 mm; the frame lies
/// 120 mm deep, the boards of 140 mm (or 100) stand 150 mm (or 110) out; 3 kg/m2. A door has no sill, and what lies higher nothing.
#[test]
fn waterproofing_goes_into_low_reveals() {
    let names = [
        "F, behind the boards of reveals",
        "F, over reveals to above ground",
    ];
    let of = |opening: Opening, thickness: i32| {
        let home = building(vec![over_plinth(800, vec![opening])]);
        let found = with(&home, |job| job.plinth_thickness = Some(Mm(thickness)));
        let line = line(&found, Component::Waterproofing);
        let shares: f64 = line.shares.iter().map(|s| s.amount).sum();
        assert!(near(line.net_need, shares));
        names.map(|name| share(line, name) / 3.0)
    };
    let cellar = || reveal(window("K", 2_000, -200, 1_000, 600));
    for (thickness, depth) in [(140, 0.27), (100, 0.23)] {
        let [behind, over] = of(cellar(), thickness);
        assert!(near(behind, 0.12 * (2.0 * 0.57 + 0.94)), "{behind}");
        assert!(near(over, depth * (2.0 * 0.25 + 0.94)), "{over}");
    }
    let mut insulated = cellar();
    insulated.sill_insulation = Mm(20);
    let [behind, over] = of(insulated, 140);
    assert!(near(behind, 0.12 * (2.0 * 0.55 + 2.0 * 0.94)), "{behind}");
    assert!(near(over, 0.27 * (2.0 * 0.23 + 0.94)), "{over}");
    let [behind, over] = of(reveal(door("D", 2_000, 0, 1_000, 2_200)), 140);
    assert!(near(behind, 0.12 * 2.0 * 0.5), "{behind}");
    assert!(near(over, 0.27 * 2.0 * 0.05), "{over}");
    let bare = window("B", 2_000, -200, 1_000, 600);
    let [behind, over] = of(bare, 140);
    assert!(near(behind, 0.0), "{behind}");
    assert!(near(over, 0.15 * (2.0 * 0.25 + 1.0)), "{over}");
    let high = of(reveal(window("W", 2_000, 900, 1_000, 1_200)), 140);
    assert!(high.iter().all(|area| near(*area, 0.0)), "{high:?}");
}
