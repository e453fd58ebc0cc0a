//! What each part of the wall takes: mortar by board and flatness, reveals, steps of the outline, inner corners, rests of rolls. Worked
//! out by hand from the geometry and the small assortment.

mod takeoff_scene;

use facade::{
    BaseStep, Below, Building, Facade, Fixture, FixtureLoad, Flatness, Meets, Point,
    StructuralJoint,
};
use material::{Assortment, LoadClass};
use quantity::{Area, Mass, Mm};
use takeoff::edges::EdgeKind;
use takeoff::mesh::{Strips, strips};
use takeoff::{
    AnchorNeed, BoardRole, BondNeed, Bonding, Component, Fitting, Job, Laid, Line,
    MeasurementRules, Parts, Takeoff, take_off,
};
use takeoff_scene::{
    base_step, building, job, laid, line, near, rectangle, rules, stock, wall, window,
};
use working::Sheet;

fn with<'a>(
    home: &'a Building,
    stock: &'a Assortment,
    change: impl FnOnce(&mut Job<'a>),
) -> Takeoff {
    let parts = Parts::resolve(stock, "eps", None).unwrap();
    // Leaked, so that a check may put its own beside them.
    let boards: &'static Laid = Box::leak(Box::new(laid(home, &parts, Mm(140))));
    let set: &'static MeasurementRules = Box::leak(Box::new(rules("din-18345")));
    let mut job = job(home, &parts, boards, set);
    change(&mut job);
    take_off(&job, &mut Sheet::new()).unwrap()
}

/// The sections of the sheet in which the net mass of a mortar is summed up.
fn sections_of(stock: &Assortment, mortar: &str) -> Vec<String> {
    let home = building(vec![plain(10_000, 5_000)]);
    let parts = Parts::resolve(stock, "eps", None).unwrap();
    let boards = laid(&home, &parts, Mm(140));
    let set = rules("din-18345");
    let mut sheet = Sheet::new();
    take_off(&job(&home, &parts, &boards, &set), &mut sheet).unwrap();
    let lines = sheet.lines().into_iter();
    let sums = lines.filter(|line| line.label == format!("net {mortar}"));
    sums.map(|line| line.section).collect()
}

#[test]
fn a_mortar_is_summed_up_under_its_own_name() {
    let mut stock = stock::assortment();
    let (bond, coat) = {
        let system = &stock.systems["eps"];
        (&system.bonding_mortar, &system.base_coat_mortar)
    };
    let key = |mortar: &str| stock.mortars[mortar].article.key.clone();
    let (bond, coat, both) = (key(bond), key(coat), coat.clone());
    assert_ne!(bond, coat);
    assert_eq!(sections_of(&stock, &bond), ["Bonding mortar"]);
    assert_eq!(sections_of(&stock, &coat), ["Base coat"]);
    // One mortar for both is bought together.
    let usage = stock.mortars.values().find_map(|m| m.bonding);
    stock.mortars.get_mut(&both).unwrap().bonding = usage;
    stock.systems.get_mut("eps").unwrap().bonding_mortar = both;
    assert_eq!(sections_of(&stock, &coat), ["Bonding mortar and base coat"]);
}

fn share(line: &Line, name: &str) -> f64 {
    let share = line.shares.iter().find(|s| s.name == name);
    share
        .unwrap_or_else(|| panic!("no {name} in {:?}", line.shares))
        .amount
}

fn length(found: &Takeoff, kind: EdgeKind) -> f64 {
    let total = found.edges.iter().find(|e| e.kind == kind);
    total.map_or(0.0, |e| e.length.as_m())
}

fn plain(width: i32, height: i32) -> Facade {
    Facade {
        left: Meets::AbuttingBuilding,
        right: Meets::AbuttingBuilding,
        ..wall("F", rectangle(width, height), Vec::new())
    }
}

fn flat_to(home: &mut Building, gap: i32) {
    home.substrate.flatness = Some(Flatness {
        gap: Mm(gap),
        straightedge: Mm(2000),
    });
}

#[test]
fn boards_are_bonded_by_what_they_ask_and_how_flat_the_wall_is() {
    let stock = stock::assortment();
    let mut full = stock::assortment();
    full.boards.get_mut("eps").unwrap().bonded_share_min = 1.0;
    let mut much = stock::assortment();
    much.boards.get_mut("eps").unwrap().bonded_share_min = 0.6;
    let (dabs, bed) = (Some(Bonding::BeadAndDab), Some(Bonding::FullBed));
    // 50 m2; 4 kg/m2 in beads and dabs or 5 kg/m2 in a full bed, and 1.5 kg for each mm of gap over the covered share.
    for (stock, gap, asked, per_m2) in [
        (&stock, Some(3), None, 5.0 + 1.5 * 3.0),
        (&stock, Some(4), None, 4.0 + 1.5 * 0.5 * 4.0),
        (&stock, None, None, 4.0),
        (&stock, Some(3), dabs, 4.0 + 1.5 * 0.5 * 3.0),
        (&stock, Some(4), bed, 5.0 + 1.5 * 4.0),
        (&much, Some(4), None, 4.0 + 1.5 * 0.6 * 4.0),
        (&full, Some(4), dabs, 5.0 + 1.5 * 4.0),
    ] {
        let mut home = building(vec![plain(10_000, 5_000)]);
        match gap {
            Some(gap) => flat_to(&mut home, gap),
            None => home.substrate.flatness = None,
        }
        let found = with(&home, stock, |j| j.bonding = asked);
        let need = line(&found, Component::BondingMortar).net_need;
        assert!(near(need, 50.0 * per_m2), "{gap:?} {asked:?}: {need}");
    }
    // Under a straightedge of half a metre 3 mm are no flat wall.
    let mut home = building(vec![plain(10_000, 5_000)]);
    home.substrate.flatness = Some(Flatness {
        gap: Mm(3),
        straightedge: Mm(500),
    });
    let found = with(&home, &stock, |_| {});
    let need = line(&found, Component::BondingMortar).net_need;
    assert!(near(need, 50.0 * (4.0 + 1.5 * 0.5 * 3.0)), "{need}");
}

/// A weak mortar is bonded over more of the boards' backs than bead and dabs cover, or over all of them: 4 kg/m2 and 1.5 kg for each of 4 mm
/// over that share, or 5 kg/m2 and the whole; what is asked of one kind of board is not asked of another.
#[test]
fn boards_are_bonded_as_the_design_of_the_bond_asks() {
    let mortar = |role: BoardRole, share: f64, method: Bonding| {
        let home = building(vec![plain(10_000, 5_000)]);
        let needs = [BondNeed {
            role,
            share,
            method,
        }];
        let needs: &'static [BondNeed] = Box::leak(Box::new(needs));
        let found = with(&home, &stock::assortment(), |j| j.bonds = needs);
        line(&found, Component::BondingMortar).net_need / 50.0
    };
    let (dabs, bed) = (Bonding::BeadAndDab, Bonding::FullBed);
    let (facade, plinth) = (BoardRole::Facade, BoardRole::Plinth);
    assert!(near(mortar(facade, 0.4, dabs), 4.0 + 1.5 * 0.5 * 4.0));
    assert!(near(mortar(facade, 0.7, dabs), 4.0 + 1.5 * 0.7 * 4.0));
    assert!(near(mortar(facade, 0.9, bed), 5.0 + 1.5 * 4.0));
    assert!(near(mortar(plinth, 0.9, bed), 4.0 + 1.5 * 0.5 * 4.0));
}

#[test]
fn plinth_and_barriers_are_bonded_as_their_own_boards() {
    let mut stock = stock::assortment();
    stock.boards.get_mut("plinth").unwrap().bonded_share_min = 0.6;
    let mut lamella = stock.boards["eps"].clone();
    lamella.article.key = "board.lamella".into();
    lamella.bonded_share_min = 1.0;
    stock.boards.insert("lamella".into(), lamella);
    let mut facade = plain(10_000, 5_000);
    facade.outline = rectangle(10_000, 5_000)
        .into_iter()
        .map(|p| Point {
            y: p.y - Mm(600),
            ..p
        })
        .collect();
    facade.base = vec![BaseStep {
        from: Mm(0),
        to: Mm(10_000),
        level: Mm(0),
        ground: Mm(-300),
        below: Below::InsulatedPlinth,
    }];
    let home = building(vec![facade]);
    let parts = Parts::resolve(&stock, "eps", None).unwrap();
    let mut boards = laid(&home, &parts, Mm(140));
    let mut strips = boards.boards[0].clone();
    strips.board = "lamella".into();
    strips.role = BoardRole::Barrier;
    strips.net_area = Area::from_m2(2.0);
    strips.by_facade = vec![("F".into(), Area::from_m2(2.0))];
    boards.boards.push(strips);
    boards.boards[0].unanchored = vec![("F".into(), Area::from_m2(1.5))];
    let boards: &'static Laid = Box::leak(Box::new(boards));
    let found = with(&home, &stock, |j| j.laid = boards);
    // 50 m2 in all with 4 mm of gap: 6 m2 of plinth over 60 %, 2 m2 of strips over their whole face, 1.5 m2 without room for anchors too, the
    // rest over 50 %.
    let mortar = line(&found, Component::BondingMortar);
    assert!(near(
        share(mortar, "F, plinth"),
        6.0 * (4.0 + 1.5 * 0.6 * 4.0)
    ));
    assert!(near(
        share(mortar, "F, fire barriers"),
        2.0 * (5.0 + 1.5 * 4.0)
    ));
    assert!(near(
        share(mortar, "F, facade"),
        40.5 * (4.0 + 1.5 * 0.5 * 4.0)
    ));
    let alone = "F, facade, boards without room for anchors";
    assert!(near(share(mortar, alone), 1.5 * (5.0 + 1.5 * 4.0)));
}

#[test]
fn boards_under_sills_take_mortar_and_what_is_wasted_takes_water() {
    let mut stock = stock::assortment();
    for mortar in stock.mortars.values_mut() {
        mortar.article.waste_share = 0.03;
    }
    let mut opening = window("W", 2000, 1000, 1260, 1450);
    opening.reveal_depth = Mm(150);
    opening.reveal_insulation = Mm(30);
    opening.sill_insulation = Mm(20);
    let mut facade = plain(10_000, 5_000);
    facade.openings.push(opening);
    let home = building(vec![facade]);
    let found = with(&home, &stock, |_| {});
    // Finished 1.20 by 1.40 m: jambs 2.8 m, the head over their boards 1.26 m, sill 1.2 m, 150 mm deep, 5 kg/m2.
    let mortar = line(&found, Component::BondingMortar);
    let name = "F, reveal boards on a full bed";
    assert!(near(share(mortar, name), 5.0 * 0.15 * (2.8 + 1.26 + 1.2)));
    let coat = line(&found, Component::BaseCoat);
    let mixed = (mortar.net_need + coat.net_need) * 1.03;
    let water = line(&found, Component::MixingWater);
    assert!(near(water.net_need, 0.24 * mixed));
}

#[test]
fn a_board_for_the_plinth_only_is_none_for_reveals() {
    let mut stock = stock::assortment();
    let eps = stock.boards.get_mut("eps").unwrap();
    eps.thicknesses.retain(|t| t.thickness != Mm(30));
    let mut opening = window("W", 2000, 1000, 1200, 1400);
    opening.reveal_depth = Mm(150);
    opening.reveal_insulation = Mm(30);
    let mut facade = plain(10_000, 5_000);
    facade.openings.push(opening);
    let home = building(vec![facade]);
    let told = |stock: &Assortment| {
        let found = with(&home, stock, |_| {});
        found
            .findings
            .iter()
            .any(|f| f.code == "REVEAL_BOARD_NOT_STOCKED")
    };
    assert!(told(&stock));
    stock.boards.get_mut("plinth").unwrap().exposure.facade = true;
    assert!(!told(&stock));
}

#[test]
fn steps_of_the_outline_are_coated_as_far_as_they_are_seen() {
    // The right half is 3 m higher, and the left half goes 0.5 m deeper, where the ground on the right hides it.
    let mut facade = plain(10_000, 5_000);
    facade.outline = vec![
        Point::at(0, -500),
        Point::at(5000, -500),
        Point::at(5000, 0),
        Point::at(10_000, 0),
        Point::at(10_000, 8000),
        Point::at(5000, 8000),
        Point::at(5000, 5000),
        Point::at(0, 5000),
    ];
    let step = |from, to, level, ground| BaseStep {
        from: Mm(from),
        to: Mm(to),
        level: Mm(level),
        ground: Mm(ground),
        below: Below::Ground,
    };
    facade.base = vec![step(0, 5000, -500, -800), step(5000, 10_000, 0, 0)];
    let home = building(vec![facade]);
    let found = with(&home, &stock::assortment(), |_| {});
    assert!(near(length(&found, EdgeKind::Offset), 3.0));
    let (net, coated) = (found.areas.net.as_m2(), found.areas.with_reveals.as_m2());
    assert!(near(net, 5.0 * 5.5 + 5.0 * 8.0));
    // Boards of 140 mm on a bed of 10 mm.
    assert!(near(coated, net + 3.0 * 0.15));
}

/// A door beside the step of a base line: where it ends with the outline, there is no wall whose step could be seen.
#[test]
fn no_step_of_the_outline_is_seen_where_an_opening_ends_with_it() {
    let at = |(x, y): (i32, i32)| Point { x: Mm(x), y: Mm(y) };
    let base = |level: [i32; 2]| {
        vec![
            base_step(0, 3000, level[0], Below::Walkway),
            base_step(3000, 8000, level[1], Below::Walkway),
        ]
    };
    let corners = [
        (0, 500),
        (3000, 500),
        (3000, 0),
        (8000, 0),
        (8000, 4000),
        (0, 4000),
    ];
    let offset = |door: Option<i32>| {
        let mut facade = plain(8000, 4000);
        facade.outline = corners.map(at).to_vec();
        facade.base = base([500, 0]);
        facade.openings = door
            .map(|x| window("D", x, 0, 1000, 2100))
            .into_iter()
            .collect();
        let found = with(&building(vec![facade]), &stock::assortment(), |_| {});
        let areas = found.areas;
        let net = areas.with_reveals.as_m2() - areas.developed.as_m2();
        (
            length(&found, EdgeKind::Offset),
            length(&found, EdgeKind::Jamb),
            net,
        )
    };
    // Ground on the left stands at 200, so that 300 mm of the step are seen; 150 mm deep.
    let (bare, none) = (offset(None), offset(Some(4000)));
    assert!(near(bare.0, 0.3) && near(bare.2, 0.3 * 0.15), "{bare:?}");
    assert!(near(none.0, 0.3) && near(none.1, 4.2), "{none:?}");
    // The door's jamb beside the wall on the left begins at 500; below it there is nothing but the door's frame.
    let beside = offset(Some(3000));
    assert!(near(beside.0, 0.0), "{beside:?}");
    assert!(near(beside.1, 2.1 + 1.6), "{beside:?}");
    assert!(near(beside.2, (2.1 + 1.6 + 1.0) * 0.15), "{beside:?}");
}

/// What 300 mm hold is held by whole fixings: 2100 / 300 is 7, though 2.1 / 0.3 is a hair more in binary fractions, as (6.4 - 0.1) / 0.9 is.
#[test]
fn the_dust_of_arithmetic_counts_no_fixing_and_no_strip() {
    let stock = stock::assortment();
    for width in (300..=2400).step_by(50) {
        let found = with(&building(vec![plain(width, 3000)]), &stock, |_| {});
        let fixings = f64::from(width.unsigned_abs().div_ceil(300) + 1);
        let counted = line(&found, Component::ProfileFixing).net_need;
        assert!((counted - fixings).abs() < 1e-9, "{width}: {counted}");
    }
    for width in (1000..=9100).step_by(100) {
        let home = building(vec![plain(width, 3000)]);
        let parts = Parts::resolve(&stock, "eps", None).unwrap();
        let boards = laid(&home, &parts, Mm(140));
        let set = rules("din-18345");
        let mut sheet = Sheet::new();
        take_off(&job(&home, &parts, &boards, &set), &mut sheet).unwrap();
        let lines = sheet.lines();
        let mut strips = lines.iter().filter(|line| line.section == "Mesh");
        let strips = strips
            .find(|line| ["vertical drops", "horizontal bands"].contains(&line.label.as_str()));
        let strips = strips.unwrap();
        let across = if strips.label == "vertical drops" {
            width
        } else {
            3000
        };
        let least = f64::from((across - 100).unsigned_abs().div_ceil(900));
        assert!((strips.value - least).abs() < 1e-9, "{width}: {strips:?}");
    }
}

#[test]
fn a_base_profile_keeps_the_length_of_the_wall_at_an_inner_corner() {
    let corner = |with: &str| Meets::ReEntrantCorner { with: with.into() };
    let mut left = wall("A", rectangle(8000, 3000), Vec::new());
    let mut right = wall("B", rectangle(5000, 3000), Vec::new());
    left.right = corner("B");
    right.left = corner("A");
    let home = building(vec![left, right]);
    let found = with(&home, &stock::assortment(), |_| {});
    assert!(near(line(&found, Component::BaseProfile).net_need, 13.0));
}

#[test]
fn waste_of_mesh_comes_out_of_the_rests_of_the_rolls() {
    let mut stock = stock::assortment();
    stock.meshes.get_mut("mesh").unwrap().article.waste_share = 0.02;
    // Four strips of 3 m on 3.5 m: 12 m of a roll of 50 m, of which 2 % are wasted.
    let home = building(vec![plain(3500, 3000)]);
    let found = with(&home, &stock, |_| {});
    let mesh = line(&found, Component::Mesh);
    assert_eq!(mesh.packs(), 1);
    assert!(near(mesh.need, 12.0 * 1.02));
    assert!(near(mesh.leftover, 50.0 - 12.0 * 1.02));
    // Where the rolls are cut up to the last strip, the waste buys one more: 16 strips of 3 m and one of 2 m hang joined.
    let home = building(vec![plain(900 * 16 + 100, 3120)]);
    let found = with(&home, &stock, |_| {});
    let mesh = line(&found, Component::Mesh);
    let cut = mesh.need / 1.02;
    assert!(cut <= 50.0 && mesh.need > 50.0, "{cut}");
    assert_eq!((mesh.cutting[0].bars, mesh.packs()), (1, 2));
    assert_eq!((mesh.bounds[0].found, mesh.bounds[0].least), (2, 2));
    assert!(mesh.told[0].contains("2 rolls, 1 of them only for the waste on site of 2 %"));
}

/// Two heavy fixing points and a light one. Where the catalogue says that a heavy element is bonded with 0.5 kg, 1 kg more of mortar is
/// bought, with its waste and its water; the boards' mortar on a square metre stays what it is.
#[test]
fn heavy_elements_take_the_mortar_that_the_catalogue_says() {
    let mut facade = plain(8000, 3000);
    let fixture = |load: FixtureLoad, places: &[i32]| Fixture {
        name: format!("{load:?}"),
        load,
        points: places.iter().map(|x| Point::at(*x, 1500)).collect(),
    };
    facade.fixtures = vec![
        fixture(FixtureLoad::Heavy, &[1000, 3000]),
        fixture(FixtureLoad::Light, &[5000]),
    ];
    let home = building(vec![facade]);
    let needs = [AnchorNeed {
        anchor: "anchor".into(),
        length: Mm(215),
        count: 40,
        zone: "F, zone A".into(),
        plate: Fitting::Without,
        plug: Fitting::With,
    }];
    let needs: &'static [AnchorNeed] = Box::leak(Box::new(needs));
    let of = |mortar: Option<f64>| {
        let mut stock = stock::assortment();
        for element in stock.mounting_elements.values_mut() {
            let heavy = element.load == LoadClass::Heavy;
            element.mortar = mortar.filter(|_| heavy).map(Mass::from_kg);
        }
        let found = with(&home, &stock, |j| j.anchors = needs);
        let untold = found.findings.iter().any(|f| {
            f.code == "HEAVY_ELEMENT_ANCHORS" && f.text.contains("mortar that the elements")
        });
        let mortar = line(&found, Component::BondingMortar).clone();
        let water = line(&found, Component::MixingWater).need;
        (mortar, water, found.mass.adhesive, untold)
    };
    let (none, told) = (of(None), of(Some(0.5)));
    assert!(near(told.0.net_need - none.0.net_need, 1.0));
    assert!(near(share(&told.0, "heavy mounting elements"), 1.0));
    let stock = stock::assortment();
    let mortar = &stock.mortars[&stock.systems["eps"].bonding_mortar];
    let wasted = 1.0 + mortar.article.waste_share;
    assert!(near(told.0.need - none.0.need, wasted));
    assert!(near(told.1 - none.1, wasted * mortar.water_l_per_kg));
    assert_eq!(told.2, none.2);
    assert_eq!((none.3, told.3), (true, false));
}

#[test]
fn a_joint_between_two_facades_is_closed_once() {
    let joint = |with: Option<&str>| Meets::StructuralJoint {
        gap: Mm(20),
        with: with.map(str::to_owned),
    };
    let pair = |left: Option<&str>, right: Option<&str>| {
        let mut a = plain(8000, 3000);
        let mut b = plain(5000, 4000);
        (a.id, b.id) = ("A".into(), "B".into());
        (a.right, b.left) = (joint(right), joint(left));
        building(vec![a, b])
    };
    // Each told for itself they are two; one joint is closed as far as both walls stand, and the higher one goes on with a free end.
    let stock = stock::assortment();
    let apart = with(&pair(None, None), &stock, |_| {});
    assert!(near(line(&apart, Component::JointBead).net_need, 7.0));
    let shared = with(&pair(Some("A"), Some("B")), &stock, |_| {});
    assert!(near(line(&shared, Component::JointBead).net_need, 3.0));
    assert!(near(length(&shared, EdgeKind::FreeEnd), 1.0));
    // The face of that metre is coated, 150 mm deep.
    let more = shared.areas.with_reveals.as_m2() - apart.areas.with_reveals.as_m2();
    assert!(near(more, 0.15), "{more}");
    let mesh = |found: &Takeoff| {
        let mesh = line(found, Component::Mesh);
        let pieces = mesh.cutting[0].patterns.iter().flat_map(|p| &p.pieces);
        pieces.filter(|(length, _)| *length == Mm(1000)).count()
    };
    assert_eq!((mesh(&apart), mesh(&shared)), (0, 1));
    let disagree = facade::check(&pair(Some("A"), None)).unwrap_err();
    assert!(
        disagree.iter().any(|f| f.reason == "CORNER_MISMATCH"),
        "{disagree:?}"
    );
}

/// A corner of two walls that end at two heights is told; its bead runs up the higher one.
#[test]
fn a_corner_at_two_heights_is_told() {
    let corner = |with: &str| Meets::SalientCorner { with: with.into() };
    let pair = |height: i32| {
        let (mut a, mut b) = (plain(8000, 3000), plain(5000, height));
        (a.id, b.id) = ("A".into(), "B".into());
        (a.right, b.left) = (corner("B"), corner("A"));
        building(vec![a, b])
    };
    let stock = stock::assortment();
    let told = |found: &Takeoff| {
        let findings = found.findings.iter();
        findings
            .filter(|f| f.code == "CORNER_AT_TWO_HEIGHTS")
            .count()
    };
    let (level, stepped) = (
        with(&pair(3000), &stock, |_| {}),
        with(&pair(4000), &stock, |_| {}),
    );
    assert_eq!((told(&level), told(&stepped)), (0, 1));
    assert!(near(length(&stepped, EdgeKind::SalientCorner), 4.0));
}

/// A step of an insulated plinth that begins at the ground.
fn step(from: i32, to: i32, level: i32) -> BaseStep {
    BaseStep {
        from: Mm(from),
        to: Mm(to),
        level: Mm(level),
        ground: Mm(0),
        below: Below::InsulatedPlinth,
    }
}

/// Where a plinth steps, the edge of thicker facade boards beside the higher part of it is seen and has a corner bead; none where the plinth
/// is as thick, where a structural joint ends the boards, and none in an opening.
#[test]
fn a_step_of_a_thinner_plinth_has_a_corner_bead() {
    let beads = |thickness: i32, change: fn(&mut Facade)| {
        let mut facade = plain(8000, 3000);
        facade.base = vec![step(0, 3000, 300), step(3000, 8000, 750)];
        change(&mut facade);
        let home = building(vec![facade]);
        let found = with(&home, &stock::assortment(), |j| {
            j.plinth_thickness = Some(Mm(thickness));
        });
        let mut lines = found.lines.iter();
        let bead = lines.find(|l| l.component == Component::CornerBead);
        bead.map_or(0.0, |line| line.net_need)
    };
    assert!(near(beads(100, |_| {}), 0.45));
    assert!(near(beads(140, |_| {}), 0.0));
    let joint = |f: &mut Facade| {
        f.joints = vec![StructuralJoint {
            x: Mm(3000),
            gap: Mm(20),
        }];
    };
    assert!(near(beads(100, joint), 0.0));
    // Below the bottom of the outline over the higher plinth its own offset goes on.
    let bottom = |f: &mut Facade| {
        let corners = [
            (0, 0),
            (3000, 0),
            (3000, 500),
            (8000, 500),
            (8000, 3000),
            (0, 3000),
        ];
        f.outline = corners.map(|(x, y)| Point { x: Mm(x), y: Mm(y) }).to_vec();
        f.base[0].ground = Mm(0);
        f.base[1].ground = Mm(500);
    };
    let both = beads(100, bottom);
    assert!(near(both - beads(140, bottom), 0.25), "{both}");
    // A door from 2.5 to 3.5 m stands from the ground to over both levels, with two jambs of its own.
    let door = |f: &mut Facade| f.openings = vec![window("D", 2500, 0, 1000, 2000)];
    assert!(near(beads(100, door), beads(140, door)));
}

/// Above the lower wall of an inner corner nothing stands before the higher one: its face, its mesh and what is billed of it go to the
/// corner there. Boards of 140 mm on a bed of 10 mm.
#[test]
fn the_higher_wall_of_an_inner_corner_goes_to_the_corner_above_the_lower_one() {
    let corner = |with: &str| Meets::ReEntrantCorner { with: with.into() };
    let pair = |height: i32| {
        let (mut a, mut b) = (plain(8000, 3000), plain(5000, height));
        (a.id, b.id) = ("A".into(), "B".into());
        (a.right, b.left) = (corner("B"), corner("A"));
        with(&building(vec![a, b]), &stock::assortment(), |_| {})
    };
    let (level, stepped) = (pair(3000), pair(5000));
    assert!(near(level.areas.developed.as_m2(), 39.0 - 2.0 * 3.0 * 0.15));
    assert!(near(
        stepped.areas.developed.as_m2(),
        49.0 - 2.0 * 3.0 * 0.15
    ));
    let told = |found: &Takeoff| found.areas.with_reveals.as_m2() - found.areas.developed.as_m2();
    assert!(near(told(&stepped), told(&level)));
}

/// Boards of 140 mm stand 40 mm out over and beside a plinth of 100 mm: those edges are coated and meshed, and what goes round corners and
/// free ends in the plinth is as much less. By hand.
#[test]
fn boards_are_coated_where_they_stand_out_over_a_thinner_plinth() {
    // What a plinth of 100 mm adds to the coated and to the developed area, and in strips 40 mm wide to the mesh.
    let more = |facades: Vec<Facade>| {
        let home = building(facades);
        let of = |thickness: i32| {
            let found = with(&home, &stock::assortment(), |j| {
                j.plinth_thickness = Some(Mm(thickness));
            });
            let mesh = line(&found, Component::Mesh);
            assert!(near(mesh.net_need, found.areas.with_reveals.as_m2()));
            let pieces = mesh.cutting.iter().flat_map(|c| &c.patterns);
            let pieces =
                pieces.flat_map(|p| p.pieces.iter().map(|(l, n)| (*l, u64::from(*n) * p.times)));
            let cut: f64 = pieces.map(|(l, n)| l.to_length().as_m() * n as f64).sum();
            let areas = found.areas;
            (areas.with_reveals.as_m2(), areas.developed.as_m2(), cut)
        };
        let (thin, thick) = (of(100), of(140));
        (thin.0 - thick.0, thin.1 - thick.1, thin.2 - thick.2)
    };
    let mut stepped = plain(8000, 3000);
    stepped.base = vec![step(0, 3000, 300), step(3000, 8000, 750)];
    let (coated, developed, cut) = more(vec![stepped.clone()]);
    assert!(near(coated, 0.04 * (3.0 + 5.0 + 0.45)), "{coated}");
    assert!(near(developed, 0.0), "{developed}");
    // Twenty-five of them lie abreast on the roll, and take the length of the longest.
    assert!(near(cut, 5.0), "{cut}");
    // The ends are free: 300 and 750 mm of them are in the plinth.
    let free = Facade {
        left: Meets::FreeEnd,
        right: Meets::FreeEnd,
        ..stepped
    };
    let (coated, ..) = more(vec![free]);
    let by_hand = 0.04 * (3.0 + 5.0 + 0.45 - 0.3 - 0.75);
    assert!(near(coated, by_hand), "{coated}");
    // Round a corner that points outwards the edge over the plinth is 140 mm longer on either wall, and 500 mm of it are in the plinth.
    let pair = |corner: fn(&str) -> Meets| {
        let (mut a, mut b) = (plain(8000, 3000), plain(5000, 3000));
        (a.id, b.id) = ("A".into(), "B".into());
        (a.right, b.left) = (corner("B"), corner("A"));
        (a.base, b.base) = (vec![step(0, 8000, 500)], vec![step(0, 5000, 500)]);
        more(vec![a, b])
    };
    let (coated, developed, _) = pair(|with| Meets::SalientCorner { with: with.into() });
    assert!(near(developed, -0.04 * 2.0 * 0.5), "{developed}");
    assert!(near(coated, 0.04 * (8.14 + 5.14 - 1.0)), "{coated}");
    let (coated, developed, _) = pair(|with| Meets::ReEntrantCorner { with: with.into() });
    assert!(near(developed, 0.04 * 2.0 * 0.5), "{developed}");
    assert!(near(coated, 0.04 * (8.0 + 5.0 + 1.0)), "{coated}");
}

/// Where the system has no base profile, the undersides of the boards at the base line are coated, but for what a door takes.
#[test]
fn the_base_line_is_coated_where_the_system_has_no_profile() {
    let mut bare = stock::assortment();
    bare.systems.get_mut("eps").unwrap().base_profile = None;
    let mut facade = plain(8000, 3000);
    facade.openings = vec![window("D", 2500, 0, 1000, 2000)];
    let home = building(vec![facade]);
    let coated = |stock: &Assortment| {
        let found = with(&home, stock, |_| {});
        let mesh = line(&found, Component::Mesh).net_need;
        assert!(near(mesh, found.areas.with_reveals.as_m2()));
        mesh
    };
    let more = coated(&bare) - coated(&stock::assortment());
    assert!(near(more, 7.0 * 0.15), "{more}");
}

/// Bands of 1 m at 900 mm beside the lower wall of an inner corner end before its boards; those above, or partly above it, reach the corner.
/// By hand on 5 m by 5 m with a projection of 150 mm: of six bands three lie as a whole below 3 m, whichever end they begin at.
#[test]
fn bands_end_before_the_lower_wall_of_an_inner_corner() {
    let corner = |with: &str| Meets::ReEntrantCorner { with: with.into() };
    let lengths = |lower: i32, way: Strips| {
        let (mut a, mut b) = (plain(8000, lower), plain(5000, 5000));
        (a.id, b.id) = ("A".into(), "B".into());
        (a.right, b.left) = (corner("B"), corner("A"));
        let home = building(vec![a, b]);
        let stock = stock::assortment();
        let edges = takeoff::edges::edges(&home, 1, Mm(140));
        let depth = quantity::Length::from_mm(150.0);
        let plan = strips(&home.facades[1], &edges, depth, &stock.meshes["mesh"], way);
        let mut lengths: Vec<i32> = plan.lengths.iter().map(|l| l.0).collect();
        lengths.sort_unstable();
        (plan.extent.0, lengths)
    };
    let bands = |short: usize| {
        let each = std::iter::repeat_n(4850, short);
        (
            5000,
            each.chain(std::iter::repeat_n(5000, 6 - short)).collect(),
        )
    };
    assert_eq!(lengths(5000, Strips::Bands), bands(6));
    assert_eq!(lengths(3000, Strips::Bands), bands(3));
    // Every drop of the higher wall is as high as it, the one in the corner too.
    assert_eq!(lengths(3000, Strips::Drops), (5000, vec![5000; 6]));
    assert_eq!(lengths(5000, Strips::Drops), (4850, vec![5000; 6]));
}

/// By hand, strips of 1 m at 900 mm and 5 % waste: all in drops 7 of 4.0 m, 3 of 3.6 m and 6 of 1.8 m are 49.6 m, one roll of 50 m if nothing
/// were wasted, and with the waste 52.08 m, two. With the two smaller walls in bands 7 of 4.0 m, 4 of 2.4 m and 2 of 4.9 m are 47.4 m, and
/// 49.77 m with the waste: one roll.
#[test]
fn the_way_of_the_mesh_counts_the_rolls_that_are_bought() {
    let mut stock = stock::assortment();
    stock.meshes.get_mut("mesh").unwrap().article.waste_share = 0.05;
    let walls = [(6_100, 4_000), (2_400, 3_600), (4_900, 1_800)];
    let walls = walls.iter().enumerate().map(|(i, (width, height))| Facade {
        id: format!("F{i}"),
        ..plain(*width, *height)
    });
    let found = with(&building(walls.collect()), &stock, |_| {});
    let mesh = line(&found, Component::Mesh);
    assert_eq!(
        (mesh.packs(), mesh.bounds[0].least),
        (1, 1),
        "{:?}",
        mesh.told
    );
}

/// An upper storey of 4 m that reaches 3 m out over the wall below, and a passage of 2 m: their undersides are coated, and what the base
/// profile closes is not. By hand, with a projection of 150 mm: undersides 3 m and 2 m, upright faces 2.5 m each beside the passage.
#[test]
fn undersides_are_coated_where_no_profile_closes_them() {
    let at = |(x, y): (i32, i32)| Point { x: Mm(x), y: Mm(y) };
    let coated = |outline: &[(i32, i32)]| {
        let outline: Vec<Point> = outline.iter().copied().map(at).collect();
        let facade = Facade {
            left: Meets::AbuttingBuilding,
            right: Meets::AbuttingBuilding,
            ..wall("F", outline, Vec::new())
        };
        let found = with(&building(vec![facade]), &stock::assortment(), |_| {});
        let areas = found.facades[0].areas;
        let mesh = line(&found, Component::Mesh).net_need;
        assert!(near(mesh, areas.with_reveals.as_m2()));
        areas.with_reveals.as_m2() - areas.net.as_m2()
    };
    let p = 0.15;
    let plain = [(0, 0), (9_000, 0), (9_000, 6_000), (0, 6_000)];
    assert!(near(coated(&plain), 0.0));
    let over = [
        (0, 0),
        (6_000, 0),
        (6_000, 2_500),
        (9_000, 2_500),
        (9_000, 6_000),
        (0, 6_000),
    ];
    assert!(near(coated(&over), p * (3.0 + 2.5)), "{}", coated(&over));
    let passage = [
        (0, 0),
        (3_000, 0),
        (3_000, 2_500),
        (5_000, 2_500),
        (5_000, 0),
        (9_000, 0),
        (9_000, 6_000),
        (0, 6_000),
    ];
    assert!(
        near(coated(&passage), p * (2.0 + 2.5 + 2.5)),
        "{}",
        coated(&passage)
    );
}

/// Boards of a plinth that go 800 mm into the ground: nothing is primed or finished there, neither on the face nor on a free end nor on
/// what grows round a corner. By hand, 10 m by 6 m from 800 mm below ground, projection 150 mm.
#[test]
fn nothing_is_finished_in_the_ground_at_ends_and_corners() {
    let facade = |meets: Meets| {
        let at = |(x, y): (i32, i32)| Point { x: Mm(x), y: Mm(y) };
        let outline = [(0, -800), (10_000, -800), (10_000, 6_000), (0, 6_000)];
        Facade {
            left: meets,
            right: Meets::AbuttingBuilding,
            base: vec![BaseStep {
                from: Mm(0),
                to: Mm(10_000),
                level: Mm(300),
                ground: Mm(0),
                below: Below::InsulatedPlinth,
            }],
            ..wall("F", outline.map(at).to_vec(), Vec::new())
        }
    };
    for meets in [Meets::AbuttingBuilding, Meets::FreeEnd] {
        let more = if meets == Meets::FreeEnd {
            0.15 * 6.0
        } else {
            0.0
        };
        let found = with(&building(vec![facade(meets)]), &stock::assortment(), |_| {});
        let primer = &stock::assortment().primers["primer"];
        let finished = line(&found, Component::Primer).net_need / primer.per_area.as_kg_per_m2();
        assert!(near(finished, 60.0 + more), "{finished}");
    }
}

/// A door as high as the eaves: there is no wall above it, and so no edge to seal. By hand 9 m of eaves less a door of 1 m.
#[test]
fn eaves_are_no_longer_than_the_wall_below_them() {
    for (height, eaves) in [(2_699, 9.0), (2_700, 8.0)] {
        let mut facade = plain(9_000, 2_700);
        facade.openings = vec![window("W", 4_000, 0, 1_000, height)];
        let found = with(&building(vec![facade]), &stock::assortment(), |_| {});
        assert!(near(length(&found, EdgeKind::Eaves), eaves), "{height}");
    }
}

/// Reveals 1.2 m deep take two strips of the roll side by side; their overlap is mesh, and no reveal. By hand: jambs of 1.4 m and a head of
/// 1.2 m, 1.2 m and 150 mm deep.
#[test]
fn the_overlap_of_strips_side_by_side_is_no_reveal() {
    let mut facade = plain(6_000, 3_000);
    let mut deep = window("W", 2_000, 800, 1_200, 1_400);
    deep.reveal_depth = Mm(1_200);
    deep.reveal_insulation = Mm(0);
    facade.openings = vec![deep];
    let found = with(&building(vec![facade]), &stock::assortment(), |_| {});
    let mesh = line(&found, Component::Mesh);
    let reveals = (1.4 + 1.4 + 1.2) * 1.35;
    assert!(near(share(mesh, "reveals"), reveals), "{:?}", mesh.shares);
    let face = found.facades[0].areas.with_reveals.as_m2() - reveals;
    assert!(near(share(mesh, "face, coated less reveals"), face));
}

/// What a foreman must think of himself is named where it is true, and only there.
#[test]
fn what_no_kit_holds_is_named_where_it_is_needed() {
    let told = |home: &Building| {
        let found = with(home, &stock::assortment(), |_| {});
        let mut all = found.findings.into_iter();
        all.find(|f| f.code == "NOT_ON_THIS_LIST").unwrap().text
    };
    let bare = told(&building(vec![plain(6_000, 3_000)]));
    for word in ["primer", "sill", "opening", "corner"] {
        assert!(!bare.contains(word), "{bare}");
    }
    assert!(bare.contains("sheets"), "{bare}");
    let mut facade = plain(6_000, 3_000);
    facade.openings = vec![window("W", 2_000, 800, 1_200, 1_400)];
    let mut home = building(vec![facade]);
    home.substrate.conditions = vec![facade::Condition::Dusty];
    let full = told(&home);
    for words in ["primer", "the sills of 1 window", "1 opening", "(F)"] {
        assert!(full.contains(words), "{words} in {full}");
    }
}

/// Corner pieces join base profiles that meet: not those whose base lines end at two levels.
#[test]
fn corner_pieces_are_named_only_where_base_profiles_meet() {
    let corner = |with: &str| Meets::SalientCorner { with: with.into() };
    for (low, meets) in [(0, true), (200, false)] {
        let mut left = wall("A", rectangle(8_000, 3_000), Vec::new());
        let outline = [(0, low), (5_000, low), (5_000, 3_000), (0, 3_000)];
        let outline = outline.map(|(x, y)| Point::at(x, y)).to_vec();
        let mut right = wall("B", outline, Vec::new());
        left.right = corner("B");
        right.left = corner("A");
        let home = building(vec![left, right]);
        let found = with(&home, &stock::assortment(), |_| {});
        let mut all = found.findings.iter();
        let told = all.find(|f| f.code == "NOT_ON_THIS_LIST").unwrap();
        assert_eq!(told.text.contains("1 corner"), meets, "{}", told.text);
    }
}

/// The reveals in a strip that goes by the metre are billed by nothing, and the note says so where there are any.
#[test]
fn a_strip_by_the_metre_says_what_becomes_of_its_reveals() {
    let told = |openings: Vec<facade::Opening>| {
        let mut facade = plain(300, 6_000);
        facade.openings = openings;
        let home = building(vec![facade]);
        let set: &'static MeasurementRules = Box::leak(Box::new(rules("is-1200")));
        let found = with(&home, &stock::assortment(), |job| job.measurement = set);
        let mut all = found.findings.into_iter();
        all.find(|f| f.code == "BILLED_BY_LENGTH").unwrap().text
    };
    let bare = told(Vec::new());
    assert!(!bare.contains("reveals"), "{bare}");
    let mut slit = window("W", 100, 1_000, 100, 1_000);
    slit.reveal_depth = Mm(150);
    let full = told(vec![slit]);
    assert!(full.contains("neither by area nor by the metre"), "{full}");
}
