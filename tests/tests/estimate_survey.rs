//! What the surveyed walls ask of a system and of each other is told beside the answer.

mod drawing_paper;

use api::v1;
use client::{Estimator, parse};

/// A rectangular facade on a base line of its own; `left` and `right` are edges in TOML.
fn facade(
    id: &str,
    (width, low, high): (i32, i32, i32),
    (left, right): (&str, &str),
    openings: &str,
) -> String {
    format!(
        r#"
[[building.facades]]
id = "{id}"
left = {{ {left} }}
right = {{ {right} }}
outline = [{{ x_mm = 0, y_mm = {low} }}, {{ x_mm = {width}, y_mm = {low} }}, {{ x_mm = {width}, y_mm = {high} }}, {{ x_mm = 0, y_mm = {high} }}]
base = [{{ from_mm = 0, to_mm = {width}, level_mm = {low}, ground_mm = {low}, below = "walkway" }}]
openings = [{openings}]
"#
    )
}

fn window(x: i32, y: i32) -> String {
    format!(
        r#"{{ id = "W", x_mm = {x}, y_mm = {y}, width_mm = 1200, height_mm = 1300, reveal_depth_mm = 100 }}"#
    )
}

const FREE: &str = r#"kind = "free-end""#;

fn inner(with: &str) -> String {
    format!(r#"kind = "re-entrant-corner", with = "{with}""#)
}

fn salient(with: &str) -> String {
    format!(r#"kind = "salient-corner", with = "{with}""#)
}

/// The findings of these facades in boards of a thickness, by code.
fn findings(thickness: i32, facades: &[String]) -> Vec<v1::Finding> {
    estimated(thickness, facades).findings
}

/// The answer for these facades in boards of a thickness, with every piece.
fn estimated(thickness: i32, facades: &[String]) -> v1::EstimateResponse {
    answered(asked(thickness, facades))
}

fn answered(request: v1::EstimateRequest) -> v1::EstimateResponse {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let answer = here.estimate(request);
    answer.unwrap_or_else(|r| panic!("{} {:?}", r.summary, r.faults))
}

/// The request for these facades in boards of a thickness, with every piece and drawing.
fn asked(thickness: i32, facades: &[String]) -> v1::EstimateRequest {
    let text = format!(
        r#"
system = "eps-white"
[thickness]
board_thickness_mm = {thickness}
[wind]
basic_velocity_m_per_s = 25.0
terrain = "III"
[building]
plan_length_mm = 10000
plan_width_mm = 8000
height_mm = 6000
storeys = 2
[building.substrate]
surface = "bare-masonry"
category = "solid-masonry"
layers = [{{ name = "brick", thickness_mm = 300.0, conductivity_w_per_mk = 0.68, vapour_resistance_factor = 8.0, density_kg_per_m3 = 1600.0, specific_heat_j_per_kgk = 1000.0 }}]
{}"#,
        facades.concat()
    );
    let Ok(mut survey) = parse("walls.toml", &text, |_| None) else {
        panic!("cannot be read: {text}")
    };
    survey.request.include = Some(v1::Include {
        setting_out: true,
        drawings: true,
        ..v1::Include::default()
    });
    survey.request
}

fn of<'a>(findings: &'a [v1::Finding], code: &str) -> Vec<&'a v1::Finding> {
    findings.iter().filter(|f| f.code == code).collect()
}

/// The fields of an estimate's request, as the contract writes them.
fn fields_of_the_request() -> Vec<&'static str> {
    let contract = include_str!("../../proto/etics/v1/estimate.proto");
    let message = contract.split("message EstimateRequest {").nth(1);
    let message = message.and_then(|rest| rest.split("\n}").next());
    let lines = message.expect("the request").lines().map(str::trim);
    let fields = lines.filter(|line| !line.starts_with("//") && line.ends_with(';'));
    let names = fields.filter_map(|field| field.split(" = ").next()?.split(' ').next_back());
    names.collect()
}

#[test]
fn findings_speak_of_fields_of_the_request() {
    // The window leaves 100 mm of wall beside the salient corner, too little for any corner piece, and no wall is as long as the plan.
    let walls = [
        facade(
            "A",
            (5000, 0, 2800),
            (&inner("B"), &salient("C")),
            &window(3700, 900),
        ),
        facade("B", (4000, 0, 2800), (FREE, &inner("A")), ""),
        facade("C", (3000, 0, 2800), (&salient("A"), FREE), ""),
    ];
    let request = v1::EstimateRequest {
        branch: "north-branch".to_owned(),
        ..asked(180, &walls)
    };
    let found = answered(request).findings;
    let fields = fields_of_the_request();
    assert!(
        fields.contains(&"building") && fields.contains(&"system"),
        "{fields:?}"
    );
    for finding in &found {
        let head = finding.path.split(['.', '[']).next().unwrap_or_default();
        assert!(head.is_empty() || fields.contains(&head), "{finding:?}");
    }
    for (code, path) in [
        ("LAYOUT_RULE_NOT_KEPT", "building.facades[0]"),
        ("FACADE_SIDE_UNKNOWN", "building.facades"),
        ("STOCK_SHORT", "system"),
    ] {
        let told = of(&found, code);
        assert!(!told.is_empty(), "{code} is not told");
        assert!(told.iter().all(|f| f.path == path), "{told:?}");
    }
}

/// What is found of a plain wall in a country.
fn found_in(country: &str) -> Vec<v1::Finding> {
    let walls = [facade("A", (4000, 0, 2800), (FREE, FREE), "")];
    let request = v1::EstimateRequest {
        country: country.to_owned(),
        ..asked(100, &walls)
    };
    answered(request).findings
}

/// The shipped rows name Germany for all three, France for limits of walls only, and nothing for New Zealand.
#[test]
fn what_no_rule_data_hold_of_a_country_is_told() {
    let lacking = |country: &str| -> Vec<String> {
        let found = found_in(country);
        let told = of(&found, "THERMAL_NO_RULE_DATA").into_iter();
        told.map(|f| f.text.clone()).collect()
    };
    assert_eq!(lacking("DE"), Vec::<String>::new());
    assert_eq!(lacking(""), Vec::<String>::new());
    let france = lacking("FR");
    assert_eq!(france.len(), 2, "{france:?}");
    assert!(!france.iter().any(|text| text.contains("limits of walls")));
    let nowhere = lacking("NZ");
    assert_eq!(nowhere.len(), 3, "{nowhere:?}");
    for text in &nowhere {
        assert!(
            text.starts_with("No rule data on") && text.contains("(NZ; rows exist for"),
            "{text}"
        );
    }
}

/// The shipped wind sets name Germany and not New Zealand; the request asks for the recommended values.
#[test]
fn a_wind_set_that_is_not_of_the_country_is_told() {
    let told = |country: &str| -> Vec<String> {
        let mut found = found_in(country);
        found.retain(|f| f.path == "wind.national_set" && f.code != "WIND_DATA_UNVERIFIED");
        found.into_iter().map(|f| f.code).collect()
    };
    assert_eq!(told(""), Vec::<String>::new());
    assert_eq!(told("DE"), ["WIND_SET_OF_ELSEWHERE"]);
    assert_eq!(told("NZ"), ["WIND_NO_RULE_DATA"]);
}

/// The depth of board and bed that a neighbour takes at an inner corner, as the findings tell it of a window that reaches the corner.
#[test]
fn a_window_at_an_inner_corner_is_told_with_what_is_covered_of_it() {
    let walls = |x: i32| {
        [
            facade("A", (5000, 0, 2800), (FREE, &inner("B")), &window(x, 900)),
            facade("B", (4000, 0, 2800), (&inner("A"), FREE), ""),
        ]
    };
    // The bed of the demo mortar is 10 mm or less: 160 mm of board and the bed stand before the wall.
    let at_corner = findings(160, &walls(3800));
    let told = of(&at_corner, "INNER_CORNER_COVERS_OPENING");
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].path, "building.facades[0].openings[0]");
    assert_eq!(told[0].severity, v1::Severity::Breach as i32);
    let depth: i32 = (160..=170)
        .find(|d| told[0].text.contains(&format!("reaches {d} mm")))
        .expect("a depth");
    for (x, covered) in [(3700, depth - 100), (3800 - depth + 1, 1)] {
        let found = findings(160, &walls(x));
        let told = of(&found, "INNER_CORNER_COVERS_OPENING");
        assert!(
            told.len() == 1 && told[0].text.contains(&format!("reaches {covered} mm")),
            "{told:?}"
        );
    }
    let clear = findings(160, &walls(3800 - depth));
    assert!(of(&clear, "INNER_CORNER_COVERS_OPENING").is_empty());
    // Nor is a window above the other wall covered.
    let above = findings(
        160,
        &[
            facade(
                "A",
                (5000, 0, 5600),
                (FREE, &inner("B")),
                &window(3800, 3500),
            ),
            facade("B", (4000, 0, 2800), (&inner("A"), FREE), ""),
        ],
    );
    assert!(of(&above, "INNER_CORNER_COVERS_OPENING").is_empty());
}

#[test]
fn a_niche_without_room_is_told_with_what_is_missing() {
    let niche = |width: i32, thickness: i32| {
        findings(
            thickness,
            &[
                facade("A", (4000, 0, 2800), (FREE, &inner("B")), ""),
                facade("B", (width, 0, 2800), (&inner("A"), &inner("C")), ""),
                facade("C", (4000, 0, 2800), (&inner("B"), FREE), ""),
            ],
        )
    };
    for width in [100, 200] {
        let found = niche(width, 200);
        let told = of(&found, "INNER_CORNER_TOO_NARROW");
        assert_eq!(told.len(), 1, "{width}");
        assert_eq!(told[0].path, "building.facades[1]");
        // 200 mm of board and a bed of up to 10 mm, of one neighbour: the walls take turns.
        assert!(
            (0..=20).any(|bed| told[0]
                .text
                .contains(&format!("{} mm too little", 200 + bed - width))),
            "{told:?}"
        );
    }
    assert_eq!(of(&niche(300, 200), "INNER_CORNER_NARROW").len(), 1);
    assert!(of(&niche(500, 200), "INNER_CORNER_NARROW").is_empty());
    let wide = niche(900, 200);
    assert!(wide.iter().all(|f| !f.code.starts_with("INNER_CORNER")));
}

/// Facades measured from levels of their own share no height at their corner; both ranges are told.
#[test]
fn joined_ends_that_share_no_height_are_told() {
    let walls = |low: i32| {
        findings(
            120,
            &[
                facade("A", (4000, 0, 2800), (FREE, &salient("B")), ""),
                facade("B", (4000, low, low + 2800), (&salient("A"), FREE), ""),
            ],
        )
    };
    let apart = walls(3000);
    let told = of(&apart, "JOINED_ENDS_APART");
    assert_eq!(told.len(), 1);
    assert!(
        told[0].text.contains("from 0 mm to 2800 mm")
            && told[0].text.contains("from 3000 mm to 5800 mm")
    );
    assert!(of(&walls(0), "JOINED_ENDS_APART").is_empty());
    assert!(of(&walls(2500), "JOINED_ENDS_APART").is_empty());
}

/// A base line is given, so that one beside a sill can only be told.
#[test]
fn a_base_line_beside_a_sill_is_told() {
    let at = |y: i32| {
        findings(
            120,
            &[facade("A", (5000, 0, 2800), (FREE, FREE), &window(1000, y))],
        )
    };
    for (y, told) in [(0, 0), (50, 1), (99, 1), (100, 0)] {
        assert_eq!(of(&at(y), "BASE_LINE_NEAR_OPENING").len(), told, "{y}");
    }
}

/// Above the lower wall of an inner corner the boards of the higher one go to the corner, and its drawing shows none of the other's there.
#[test]
fn the_drawing_of_a_higher_wall_shows_no_boards_above_the_lower_one() {
    let low = 2900;
    let answer = estimated(
        120,
        &[
            facade("A", (5000, 0, 6000), (FREE, &inner("B")), ""),
            facade("B", (4000, 0, low), (&inner("A"), FREE), ""),
        ],
    );
    let pieces = &answer.layout.as_ref().unwrap().pieces;
    let of_a = pieces.iter().filter(|p| p.facade == "A");
    let points: Vec<_> = of_a.flat_map(|p| &p.outline).collect();
    let above = points.iter().filter(|p| p.y_mm > low).map(|p| p.x_mm);
    assert_eq!(above.max(), Some(5000));
    let sheet = |name: &str| {
        let drawing = answer.drawings.iter().find(|d| d.name.starts_with(name));
        drawing_paper::lawful(&drawing.unwrap().svg)
    };
    let paper = sheet("elevation-a-boards");
    let heights = |group: &str| {
        let paths = paper.paths.iter().filter(|p| p.group == group);
        let runs = paths.flat_map(|p| p.runs.iter().flatten());
        runs.fold((f64::MAX, f64::MIN), |(top, foot), (_, y)| {
            (top.min(*y), foot.max(*y))
        })
    };
    let (top, foot) = heights("outline");
    let level = foot - (foot - top) * f64::from(low) / 6000.0;
    let (slot_top, slot_foot) = heights("slot");
    assert!(slot_top < slot_foot, "no board of the other wall is drawn");
    assert!(slot_top > level - 0.02, "{slot_top} above {level}");
}

/// Two pieces that lie against each other on a stretch of a line share that stretch, whichever courses they are of: every pair of edges is
/// tried.
fn joints_by_pairs(pieces: &[v1::Piece]) -> i64 {
    upright_and_level(pieces).iter().sum()
}

/// The same, what stands upright and what lies level.
fn upright_and_level(pieces: &[v1::Piece]) -> [i64; 2] {
    type Edge = ((i32, i32), (i32, i32));
    let edges: Vec<(&str, Edge)> = pieces
        .iter()
        .flat_map(|piece| {
            let corners = piece.outline.iter().map(|p| (p.x_mm, p.y_mm));
            let next = corners.clone().cycle().skip(1);
            corners.zip(next).map(|edge| (piece.facade.as_str(), edge))
        })
        .collect();
    let shared = |((a, b), (c, d)): (Edge, Edge), pick: fn((i32, i32)) -> (i32, i32)| {
        let [a, b, c, d] = [a, b, c, d].map(pick);
        // On one line, walked in opposite directions.
        let is_met = a.0 == b.0 && b.0 == c.0 && c.0 == d.0 && (a.1 < b.1) != (c.1 < d.1);
        let common = a.1.max(b.1).min(c.1.max(d.1)) - a.1.min(b.1).max(c.1.min(d.1));
        if is_met { i64::from(common.max(0)) } else { 0 }
    };
    let mut total = [0; 2];
    for (i, (facade, one)) in edges.iter().enumerate() {
        for (other_facade, other) in &edges[..i] {
            if facade == other_facade {
                let pair = (*one, *other);
                total[0] += shared(pair, |p| p);
                total[1] += shared(pair, |(x, y)| (y, x));
            }
        }
    }
    total
}

/// The lengths of joints that the answer tells of each facade are those of the pieces that it tells.
#[test]
fn the_lengths_of_joints_are_told() {
    let facade = |id: &str, height: i32| {
        format!(
            r#"
[[building.facades]]
id = "{id}"
left = {{ kind = "free-end" }}
right = {{ kind = "abutting-building" }}
outline = [{{ x_mm = 0, y_mm = 0 }}, {{ x_mm = 7000, y_mm = 0 }}, {{ x_mm = 7000, y_mm = {height} }}, {{ x_mm = 0, y_mm = {height} }}]
base = [{{ from_mm = 0, to_mm = 7000, level_mm = 0, ground_mm = -300, below = "walkway" }}]
openings = [{{ id = "W", x_mm = 2400, y_mm = 1400, width_mm = 1200, height_mm = 1300, reveal_depth_mm = 100 }}]
"#
        )
    };
    let answer = estimated(140, &[facade("A", 4200), facade("B", 3100)]);
    let layout = answer.layout.as_ref().unwrap();
    assert_eq!(layout.joints.len(), 2);
    for told in &layout.joints {
        let pieces = layout.pieces.iter();
        let own: Vec<v1::Piece> = pieces
            .filter(|p| p.facade == told.facade)
            .cloned()
            .collect();
        let [upright, level] = upright_and_level(&own).map(|mm| mm as f64 / 1000.0);
        assert!(upright > 5.0 && level > 20.0, "{upright} {level}");
        assert!((told.vertical_m - upright).abs() < 1e-9, "{told:?}");
        assert!((told.level_m - level).abs() < 1e-9, "{told:?}");
    }
}

/// Foam is counted for every joint, those too where a plinth ends in the middle of a course: a tenth of the joints with 3 mm, in boards of
/// 140 mm, by a foam that yields 35 times its volume.
#[test]
fn joints_beside_a_stepped_plinth_are_foamed_too() {
    let steps = r#"
id = "A"
left = { kind = "free-end" }
right = { kind = "abutting-building" }
outline = [{ x_mm = 0, y_mm = -750 }, { x_mm = 6300, y_mm = -750 }, { x_mm = 6300, y_mm = 200 }, { x_mm = 10000, y_mm = 200 }, { x_mm = 10000, y_mm = 5200 }, { x_mm = 0, y_mm = 5200 }]
base = [
  { from_mm = 0, to_mm = 6300, level_mm = 0, ground_mm = -450, below = "insulated-plinth" },
  { from_mm = 6300, to_mm = 10000, level_mm = 430, ground_mm = 200, below = "insulated-plinth" },
]
openings = [{ id = "W", x_mm = 2400, y_mm = 1400, width_mm = 1200, height_mm = 1300, reveal_depth_mm = 100 }]
"#;
    let answer = estimated(140, &[format!("[[building.facades]]{steps}")]);
    let layout = answer.layout.as_ref().unwrap();
    let zones = |zone: &str| layout.pieces.iter().filter(|p| p.zone == zone).count();
    assert!(zones("plinth") > 0 && zones("facade") > 0);
    let joints = joints_by_pairs(&layout.pieces) as f64;
    let litres = joints * 0.10 * 3.0 * 140.0 / 35.0 * 1e-6;
    let lines = answer.kit.as_ref().unwrap().lines.iter();
    let foam: f64 = lines
        .filter(|l| l.article.starts_with("foam."))
        .map(|l| l.net)
        .sum();
    assert!((foam - litres).abs() < 1e-9, "{foam} l, by pairs {litres}");
}

/// What is drilled and which anchor goes where is told in the words of the site: boards by what they are for, and of several walls by the
/// facades that stand on them, never by a field of the request.
#[test]
fn anchors_are_told_by_boards_and_facades() {
    let walls = |own: &str| -> Vec<String> {
        let free = || (FREE, FREE);
        let mut north = facade("north", (6000, 0, 3000), free(), "");
        north.push_str(own);
        let others = ["south", "west"].map(|id| facade(id, (6000, 0, 3000), free(), ""));
        let answer = estimated(120, &[vec![north], others.to_vec()].concat());
        let fixing = answer.fixing.unwrap();
        let chosen = fixing.anchors.iter().map(|a| a.situation.clone());
        let drilled = fixing.drilling.iter().map(|d| d.situation.clone());
        let mut said: Vec<String> = chosen.chain(drilled).collect();
        said.sort();
        said.dedup();
        said
    };
    assert_eq!(walls(""), ["facade boards 120 mm"]);
    let concrete = r#"
[building.facades.substrate]
surface = "concrete"
category = "concrete"
layers = [{ name = "concrete", thickness_mm = 200.0, conductivity_w_per_mk = 2.0, vapour_resistance_factor = 100.0, density_kg_per_m3 = 2300.0, specific_heat_j_per_kgk = 1000.0 }]
"#;
    assert_eq!(
        walls(concrete),
        [
            "facade boards 120 mm on north",
            "facade boards 120 mm on south, west"
        ]
    );
}
