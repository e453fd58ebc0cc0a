//! Boards of reveals: deep ones, joints that save nothing, and how the waste of boards comes about.

mod takeoff_scene;

use facade::Opening;
use material::{Assortment, Rotation};
use quantity::Mm;
use takeoff::{Component, Line, MeasurementRules, Parts, Takeoff, take_off};
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
