//! Buildings drawn at random through the whole estimate, against laws: what is bought is what is needed, lost and left, and neither the order of the
//! survey nor the side it is seen from nor a price changes what is ordered.

mod surveyed;

use std::collections::BTreeMap;

use api::v1;
use client::Estimator;

/// A fixed-seed random source (SplitMix64).
struct Draw(u64);

impl Draw {
    fn whole(&mut self, low: i32, high: i32) -> i32 {
        let unit = tests::unit(&mut self.0);
        low + (unit * f64::from(high - low + 1)) as i32
    }
    fn one_of<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[self.whole(0, list.len() as i32 - 1) as usize]
    }
    fn often(&mut self, percent: i32) -> bool {
        self.whole(1, 100) <= percent
    }
}

const SYSTEMS: [&str; 7] = [
    "eps-white",
    "eps-grey",
    "mineral-wool",
    "mineral-wool-lamella",
    "cork",
    "wood-fibre",
    "polyurethane",
];

const fn at(x_mm: i32, y_mm: i32) -> v1::Point {
    v1::Point { x_mm, y_mm }
}

fn edge(kind: v1::EdgeKind, with: Option<usize>) -> v1::Edge {
    v1::Edge {
        kind: kind.into(),
        with: with.map_or_else(String::new, |i| format!("wall {i}")),
        ..v1::Edge::default()
    }
}

/// One wall with an opening in most of its bays, over a stepped plinth or a walkway, some with a gable.
fn wall(draw: &mut Draw, id: usize, has_plinth: bool) -> v1::Facade {
    let (bays, storeys) = (draw.whole(1, 3), draw.whole(1, 2));
    let bay = 10 * draw.whole(170, 340);
    let (width, height) = (bays * bay, storeys * 2800 + 300);
    let low = if has_plinth { -300 } else { 0 };
    let mut outline = vec![at(0, low), at(width, low), at(width, height)];
    if draw.often(30) {
        outline.push(at(10 * draw.whole(width / 30, width / 15), height + 1200));
    }
    outline.push(at(0, height));
    let below = if has_plinth {
        v1::Below::InsulatedPlinth
    } else {
        v1::Below::Walkway
    };
    let step = |from_mm: i32, to_mm: i32, level_mm: i32| v1::BaseStep {
        from_mm,
        to_mm,
        level_mm,
        ground_mm: level_mm - 300,
        below: below.into(),
    };
    let base = if has_plinth && draw.often(40) {
        let middle = 10 * draw.whole(width / 40, width / 15);
        vec![step(0, middle, 300), step(middle, width, 450)]
    } else {
        vec![step(0, width, if has_plinth { 300 } else { 0 })]
    };
    let mut openings = Vec::new();
    for place in 0..bays * storeys {
        if !draw.often(75) {
            continue;
        }
        let (wide, high) = (10 * draw.whole(50, bay / 10 - 60), 10 * draw.whole(60, 150));
        let (x, y) = (place % bays * bay, place / bays * 2800);
        openings.push(v1::Opening {
            id: format!("opening {place}"),
            kind: v1::OpeningKind::Window.into(),
            x_mm: x + 10 * draw.whole(30, (bay - wide) / 10 - 30),
            y_mm: y + 10 * draw.whole(75, 110),
            width_mm: wide,
            height_mm: high,
            reveal_depth_mm: draw.whole(0, 2) * 100,
            reveal_insulation_mm: draw.whole(0, 1) * 30,
            sill_insulation_mm: draw.whole(0, 1) * 20,
        });
    }
    v1::Facade {
        id: format!("wall {id}"),
        outline,
        openings,
        base,
        ..v1::Facade::default()
    }
}

/// A row of walls round corners, in one of the systems.
fn building(draw: &mut Draw) -> v1::EstimateRequest {
    let count = draw.whole(1, 3) as usize;
    let has_plinth = draw.often(50);
    let mut facades: Vec<v1::Facade> = (0..count).map(|i| wall(draw, i, has_plinth)).collect();
    let ends = [v1::EdgeKind::FreeEnd, v1::EdgeKind::AbuttingBuilding];
    facades[0].left = Some(edge(ends[draw.whole(0, 1) as usize], None));
    facades[count - 1].right = Some(edge(ends[draw.whole(0, 1) as usize], None));
    for i in 1..count {
        let kind = if draw.often(70) {
            v1::EdgeKind::SalientCorner
        } else {
            v1::EdgeKind::ReEntrantCorner
        };
        facades[i - 1].right = Some(edge(kind, Some(i)));
        facades[i].left = Some(edge(kind, Some(i - 1)));
    }
    let mut request = surveyed::request(
        "house",
        v1::Include {
            setting_out: true,
            ..v1::Include::default()
        },
    );
    request.system = draw.one_of(&SYSTEMS).into();
    let thickness = [100, 120, 140, 160][draw.whole(0, 3) as usize];
    request.thickness = Some(v1::Thickness {
        choice: Some(v1::thickness::Choice::BoardThicknessMm(thickness)),
    });
    walls(&mut request).clone_from(&facades);
    request
}

fn walls(request: &mut v1::EstimateRequest) -> &mut Vec<v1::Facade> {
    match request.survey.as_mut() {
        Some(v1::estimate_request::Survey::Building(building)) => &mut building.facades,
        _ => panic!("a surveyed building"),
    }
}

/// The same building seen in a mirror.
fn mirrored(request: &v1::EstimateRequest) -> v1::EstimateRequest {
    let mut request = request.clone();
    for wall in walls(&mut request) {
        let width = wall.outline.iter().map(|p| p.x_mm).max().unwrap();
        wall.outline.reverse();
        for p in &mut wall.outline {
            p.x_mm = width - p.x_mm;
        }
        wall.base.reverse();
        for step in &mut wall.base {
            (step.from_mm, step.to_mm) = (width - step.to_mm, width - step.from_mm);
        }
        for opening in &mut wall.openings {
            opening.x_mm = width - opening.x_mm - opening.width_mm;
        }
        std::mem::swap(&mut wall.left, &mut wall.right);
    }
    request
}

/// The same building, its walls and openings listed the other way round.
fn permuted(request: &v1::EstimateRequest) -> v1::EstimateRequest {
    let mut request = request.clone();
    let walls = walls(&mut request);
    walls.reverse();
    for wall in walls {
        wall.openings.reverse();
    }
    request
}

/// Every board of the generic catalogue at a price of its own, three times and more what it was.
fn dearer() -> Estimator {
    let folder = std::env::temp_dir().join(format!("etics-dearer-{}", std::process::id()));
    let branch = folder.join("dearer");
    std::fs::create_dir_all(&branch).unwrap();
    let generic = concat!(env!("CARGO_MANIFEST_DIR"), "/../catalogues/generic");
    for file in std::fs::read_dir(generic).unwrap() {
        let file = file.unwrap();
        let mut text = std::fs::read_to_string(file.path()).unwrap();
        if file.file_name() == "boards.toml" {
            text = text.replace("price = \"", "price = \"9");
        }
        if file.file_name() == "catalogue.toml" {
            text = text.replace("\"generic\"", "\"dearer\"");
        }
        std::fs::write(branch.join(file.file_name()), text).unwrap();
    }
    let here = Estimator::here(Some(&folder)).unwrap_or_else(|r| panic!("{}", r.summary));
    std::fs::remove_dir_all(&folder).unwrap();
    here
}

fn answered(here: &Estimator, request: v1::EstimateRequest) -> v1::EstimateResponse {
    let answer = here.estimate(request);
    answer.unwrap_or_else(|r| panic!("{} {:?}", r.summary, r.faults))
}

/// What is ordered: by article, size and purpose the packs, and need, waste and rest to a millionth.
type Order = BTreeMap<(String, String, String), (u64, [i64; 3])>;

fn order(answer: &v1::EstimateResponse) -> Order {
    let lines = &answer.kit.as_ref().unwrap().lines;
    let millionths = |v: f64| (v * 1e6).round() as i64;
    let entry = |line: &v1::KitLine| {
        // The edges that a bead runs along are named in the order of the survey.
        let mut purpose: Vec<&str> = line.purpose.split(", ").collect();
        purpose.sort_unstable();
        let key = (line.article.clone(), line.size.clone(), purpose.join(", "));
        let amounts = [line.net, line.waste, line.leftover].map(millionths);
        (key, (line.packs, amounts))
    };
    lines.iter().map(entry).collect()
}

/// Needs that sum in another order differ by the dust of arithmetic.
fn assert_same(case: u64, what: &str, one: &Order, other: &Order) {
    let keys = |order: &Order| order.keys().cloned().collect::<Vec<_>>();
    assert_eq!(keys(one), keys(other), "case {case}, {what}");
    for (key, (packs, amounts)) in one {
        let (others, amounts_there) = other[key];
        let close = amounts
            .iter()
            .zip(amounts_there)
            .all(|(a, b)| a.abs_diff(b) <= 1);
        assert!(
            *packs == others && close,
            "case {case}, {what}: {key:?}: {packs} {amounts:?}, {others} {amounts_there:?}"
        );
    }
}

fn check(case: u64, answer: &v1::EstimateResponse) {
    let kit = answer.kit.as_ref().unwrap();
    for line in &kit.lines {
        let bought = line.packs as f64 * line.pack_content;
        let parts = [line.net, line.waste, line.leftover];
        let sound = parts.iter().all(|v| v.is_finite() && *v > -1e-9);
        assert!(sound, "case {case}: {line:?}");
        let account: f64 = parts.iter().sum();
        let close = (account - bought).abs() <= 1e-6 * bought.max(1.0);
        assert!(line.packs == 0 || close, "case {case}: {line:?}");
        // What is poured or counted is bought in the fewest packs.
        if line.packs > 0 && ["kg", "pc", "l"].contains(&line.unit.as_str()) {
            let fewer = (line.packs - 1) as f64 * line.pack_content;
            assert!(
                fewer < line.net + line.waste + 1e-9,
                "case {case}: {line:?}"
            );
        }
    }
    let (total, facades) = kit.areas.split_last().unwrap();
    let sum = |of: fn(&v1::Areas) -> f64| facades.iter().map(of).sum::<f64>() - of(total);
    for apart in [
        sum(|a| a.gross_m2),
        sum(|a| a.net_m2),
        sum(|a| a.with_reveals_m2),
        sum(|a| a.developed_m2),
        sum(|a| a.billed_m2),
    ] {
        assert!(apart.abs() < 1e-6, "case {case}: {apart}");
    }
    let fixing = answer.fixing.as_ref().unwrap();
    let lines = kit.lines.iter();
    let anchors: f64 = lines
        .filter(|l| l.article.starts_with("anchor."))
        .map(|l| l.net)
        .sum();
    assert!(
        (anchors - fixing.points.len() as f64).abs() < 1e-9,
        "case {case}"
    );
    let drawn = answer.findings.iter().find(|f| f.code == "NOT_DRAWN");
    assert!(drawn.is_none(), "case {case}: {drawn:?}");
}

#[test]
fn neither_order_nor_side_nor_price_changes_what_is_ordered() {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let dearer = dearer();
    let mut draw = Draw(1);
    for case in 0..16 {
        let request = building(&mut draw);
        let answer = answered(&here, request.clone());
        check(case, &answer);
        let usual = order(&answer);
        let other = answered(&here, mirrored(&request));
        assert_same(case, "mirrored", &usual, &order(&other));
        let other = answered(&here, permuted(&request));
        assert_same(case, "permuted", &usual, &order(&other));
        let mut request = request;
        request.branch = "dearer".into();
        let other = answered(&dearer, request);
        assert_same(case, "dearer", &usual, &order(&other));
        let paid = |a: &v1::EstimateResponse| a.kit.as_ref().unwrap().net_price.clone();
        assert_ne!(paid(&answer), paid(&other), "case {case}");
    }
}
