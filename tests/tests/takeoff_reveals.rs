//! Boards of reveals: deep ones, joints that save nothing, and how the waste of boards comes about.

mod takeoff_scene;

use std::collections::BTreeMap;

use facade::Opening;
use material::{Assortment, Rotation};
use quantity::{Area, Mm};
use takeoff::cutting::Pattern;
use takeoff::{Along, Component, Line, MeasurementRules, Parts, RipPlan, Takeoff, take_off};
use takeoff_scene::{building, job, laid, rectangle, rules, stock, wall, window};
use working::Sheet;

/// A wall with windows of the same size, one for each depth of reveal, insulated by 30 mm.
fn take(depths: &[i32], (width, height): (i32, i32), stock: &Assortment) -> Takeoff {
    let opening = |(i, depth): (usize, &i32)| Opening {
        reveal_depth: Mm(*depth),
        reveal_insulation: Mm(30),
        ..window(&format!("W{i}"), 500 + 2000 * i as i32, 800, width, height)
    };
    let openings = depths.iter().enumerate().map(opening).collect();
    let wide = 1000 + 2000 * depths.len() as i32;
    let home = building(vec![wall("F", rectangle(wide, 3000), openings)]);
    let parts = Parts::resolve(stock, "eps", None).unwrap();
    let boards = laid(&home, &parts, Mm(140));
    let set: MeasurementRules = rules("din-18345");
    take_off(&job(&home, &parts, &boards, &set), &mut Sheet::new()).unwrap()
}

/// The line of boards of 30 mm.
fn reveals(found: &Takeoff) -> &Line {
    let mut boards = found
        .lines
        .iter()
        .filter(|l| l.component == Component::Board && l.purpose.starts_with("30 mm"));
    boards.next().unwrap()
}

fn boards(found: &Takeoff) -> u64 {
    reveals(found).bounds[0].found
}

/// Strips of 600 mm lie across boards of 1000 by 500 mm, one a board, 500 mm long: a head of 1200 and two jambs of 1370 mm take eight.
#[test]
fn deep_reveals_are_cut_from_turned_boards_and_spare_the_others() {
    let stock = stock::assortment();
    let found = take(&[600, 140], (1200, 1400), &stock);
    assert!(!found.findings.iter().any(|f| f.code == "PART_NOT_SUPPLIED"));
    let area = (0.6 + 0.14) * (1.2 + 2.0 * 1.37);
    assert!((reveals(&found).net_need - area / 0.5).abs() < 1e-9);
    let deep = boards(&take(&[600], (1200, 1400), &stock));
    assert!((8..=9).contains(&deep), "{deep}");
    assert!(boards(&found) >= deep);
}

/// What no board gives in one width lies side by side, as its mesh does.
#[test]
fn deeper_reveals_lie_in_strips_side_by_side() {
    let mut stock = stock::assortment();
    let deep = take(&[1500], (1200, 1400), &stock);
    let area = 1.5 * (1.2 + 2.0 * 1.37);
    assert!((reveals(&deep).net_need - area / 0.5).abs() < 1e-9);
    // Boards that must not be turned give 500 mm at most.
    stock.boards.get_mut("eps").unwrap().rotation = Rotation::Forbidden;
    let deep = take(&[600], (1200, 1400), &stock);
    assert!(!deep.findings.iter().any(|f| f.code == "PART_NOT_SUPPLIED"));
    let area = 0.6 * (1.2 + 2.0 * 1.37);
    assert!(boards(&deep) as f64 * 0.5 >= area);
}

/// A window of 860 by 830 mm: a head of 860 and jambs of 800 mm, 180 mm wide. Whole strips lie two on a board: two boards. Jointed from
/// parts of 500 mm across a board they are one. A pack of 16 holds either, so nothing is jointed.
#[test]
fn a_joint_that_saves_no_pack_is_not_made() {
    let mut stock = stock::assortment();
    let whole = take(&[180], (860, 830), &stock);
    assert!(reveals(&whole).told[0].contains("no strip jointed"));
    assert_eq!((boards(&whole), reveals(&whole).packs()), (2, 1));
    for size in &mut stock.boards.get_mut("eps").unwrap().thicknesses {
        size.boards_per_pack = 1;
    }
    let jointed = take(&[180], (860, 830), &stock);
    assert_eq!(boards(&jointed), 1, "{:?}", reveals(&jointed).told);
}

#[test]
fn the_waste_of_boards_is_told_with_its_figures() {
    let mut stock = stock::assortment();
    stock.boards.get_mut("eps").unwrap().article.waste_share = 0.02;
    let found = take(&[140], (1200, 1400), &stock);
    let mut lines = found.lines.iter();
    let facade = lines.find(|l| l.purpose.starts_with("140 mm")).unwrap();
    let count = facade.bounds[0].found;
    let net = (9.0 - 1.14 * 1.37) / 0.5;
    let waste = count as f64 * 1.02 - net;
    let lost: f64 = facade.losses.iter().map(|l| l.amount).sum();
    assert!((lost - waste).abs() < 1e-9);
    let told = format!("waste {waste:.2} = {count} x 1.02 - {net:.2}");
    assert!(
        facade.told.iter().any(|t| t.starts_with(&told)),
        "{:?}",
        facade.told
    );
}

/// Boards under four sills: 700 by 260 and 700 by 240 mm one over the other, and beside them 300 by 250 over 300 by 240 mm, lie on one board of
/// 1000 by 500 mm, parted first across and then along. In rips of one width along or across it takes two; so no bound may say two.
#[test]
fn the_bound_of_reveal_boards_holds_for_every_way_of_cutting() {
    let mut home = building(vec![wall("F", rectangle(10_000, 3_000), Vec::new())]);
    let sizes = [(700, 260), (700, 240), (300, 250), (300, 240)];
    let sills = sizes.iter().zip(1..).map(|((width, depth), i)| Opening {
        reveal_depth: Mm(*depth),
        sill_insulation: Mm(30),
        ..window(&format!("W{i}"), 2_000 * i, 800, *width, 1_400)
    });
    home.facades[0].openings = sills.collect();
    let mut stock = stock::assortment();
    for size in &mut stock.boards.get_mut("eps").unwrap().thicknesses {
        size.boards_per_pack = 1;
    }
    let parts = Parts::resolve(&stock, "eps", None).unwrap();
    let (boards, set) = (laid(&home, &parts, Mm(140)), rules("din-18345"));
    let found = take_off(&job(&home, &parts, &boards, &set), &mut Sheet::new()).unwrap();
    let bound = &reveals(&found).bounds[0];
    assert!(bound.least <= 1 && bound.found >= 1, "{bound:?}");
}

type Lengths = BTreeMap<(Mm, Mm), i64>;

/// What a plan cuts, width and length with the number; every rip and board is held against its size.
fn cut_by(plan: &RipPlan, kerf: i32, taken: &mut u64) -> Lengths {
    let fits = |sizes: &[Mm], room: Mm| {
        let used: i32 = sizes.iter().map(|s| s.0 + kerf).sum();
        assert!(used <= room.0 + kerf, "{sizes:?} of {room}");
    };
    let each = |pattern: &Pattern| -> Vec<Mm> {
        let pieces = pattern.pieces.iter();
        let pieces = pieces.flat_map(|(size, n)| std::iter::repeat_n(*size, *n as usize));
        pieces.collect()
    };
    let mut lengths = Lengths::new();
    for leftover in &plan.leftovers {
        let (mut width, mut height) = (leftover.of.width, leftover.of.height);
        for rip in &leftover.rips {
            let (long, across) = match rip.along {
                Along::Length => (width, &mut height),
                Along::Height => (height, &mut width),
            };
            fits(&rip.pieces, long);
            assert!(rip.width <= *across, "{leftover:?}");
            *across -= rip.width + Mm(kerf);
            for piece in &rip.pieces {
                *lengths.entry((rip.width, *piece)).or_default() += 1;
            }
        }
    }
    for ripped in &plan.boards {
        let (long, across) = match ripped.along {
            Along::Length => (Mm(1000), Mm(500)),
            Along::Height => (Mm(500), Mm(1000)),
        };
        let mut rips: BTreeMap<Mm, u64> = BTreeMap::new();
        for board in &ripped.boards {
            fits(&each(board), across);
            *taken += board.times;
            for (width, n) in &board.pieces {
                *rips.entry(*width).or_default() += u64::from(*n) * board.times;
            }
        }
        for (width, patterns) in &ripped.rips {
            let count: u64 = patterns.iter().map(|p| p.times).sum();
            assert_eq!(rips.remove(width), Some(count), "{ripped:?}");
            for pattern in patterns {
                fits(&each(pattern), long);
                for (length, n) in &pattern.pieces {
                    *lengths.entry((*width, *length)).or_default() +=
                        i64::from(*n) * pattern.times as i64;
                }
            }
        }
        assert!(rips.is_empty());
    }
    lengths
}

/// Puts jointed strips together; the parts of some are themselves jointed.
fn put_together(plan: &RipPlan, lengths: &mut Lengths) {
    for (joint, times) in &plan.joints {
        assert_eq!(joint.parts.iter().copied().sum::<Mm>(), joint.length);
        for part in &joint.parts {
            *lengths.entry((joint.width, *part)).or_default() -= i64::from(*times);
        }
        *lengths.entry((joint.width, joint.length)).or_default() += i64::from(*times);
    }
    lengths.retain(|_, n| *n != 0);
}

#[test]
fn the_plan_of_reveal_strips_gives_every_strip_from_the_boards_bought() {
    let mut draw = takeoff_scene::Draw(5);
    let (mut from_leftovers, mut jointed) = (0, 0);
    for _ in 0..150 {
        let mut stock = stock::assortment();
        let board = stock.boards.get_mut("eps").unwrap();
        let kerf = draw.between(0, 4);
        board.kerf = Mm(kerf);
        for size in &mut board.thicknesses {
            size.boards_per_pack = draw.between(1, 3) as u32;
        }
        let openings = (0..draw.between(1, 6)).map(|i| Opening {
            reveal_depth: Mm(draw.between(60, 400)),
            reveal_insulation: Mm(140),
            ..window(
                &format!("W{i}"),
                500 + 2600 * i,
                800,
                draw.between(500, 2500),
                1400,
            )
        });
        let home = building(vec![wall("F", rectangle(16_400, 3000), openings.collect())]);
        let parts = Parts::resolve(&stock, "eps", None).unwrap();
        let mut boards = laid(&home, &parts, Mm(140));
        boards.boards[0].leftovers = (0..draw.between(0, 12))
            .map(|_| takeoff::Leftover {
                width: Mm(draw.between(100, 990)),
                height: Mm(draw.between(60, 500)),
            })
            .collect();
        boards.boards[0].offcut_area = Area::from_m2(6.0);
        let set: MeasurementRules = rules("din-18345");
        let found = take_off(&job(&home, &parts, &boards, &set), &mut Sheet::new()).unwrap();
        let mut wanted = Lengths::new();
        for strip in takeoff::reveal_strips(&home) {
            *wanted.entry((strip.width, strip.length)).or_default() += 1;
        }
        let [cutting] = &found.reveal_cuttings[..] else {
            panic!("{:?}", found.reveal_cuttings)
        };
        let mut taken = 0;
        let mut lengths = cut_by(&cutting.plan, kerf, &mut taken);
        put_together(&cutting.plan, &mut lengths);
        assert_eq!(lengths, wanted, "{cutting:?}");
        let line = found.lines.iter().find(|l| l.component == Component::Board);
        let bound = line
            .unwrap()
            .bounds
            .iter()
            .find(|b| b.of == "boards, reveals");
        assert_eq!(taken, bound.unwrap().found);
        from_leftovers += cutting.plan.leftovers.len();
        jointed += cutting.plan.joints.len();
    }
    assert!(from_leftovers > 0 && jointed > 0);
}
