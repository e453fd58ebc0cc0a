//! Elevations, utilisation and cutting sheets, read back from their SVG text.

mod drawing_paper;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/plots.rs"]
mod plots;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/scenes.rs"]
mod scenes;

use std::collections::BTreeMap;

use drawing::{
    AnchorDrawing, AnchorKind, BreachMark, CUT_BOARDS_MAX, ChainSide, DimensionChain,
    ELEVATION_LIMITS, ElevationDrawing, ElevationOptions, Layer, PartUse, PieceDrawing, PieceKind,
    Point, Rectangle, Sheet, ZoneDrawing, chains_of, cutting_sheets, elevation,
    utilisation_picture,
};
use drawing_paper::{Numbers, Paper, apart, lawful};
use quantity::Mm;

fn all_layers() -> ElevationOptions {
    ElevationOptions::of(&[
        Layer::Pieces,
        Layer::Hatching,
        Layer::Numbers,
        Layer::Anchors,
        Layer::Zones,
        Layer::Mesh,
        Layer::Beads,
        Layer::Dimensions,
        Layer::Fixtures,
        Layer::Breaches,
    ])
}

fn a3(sheets: &[Sheet]) -> Vec<Paper> {
    sheets
        .iter()
        .enumerate()
        .map(|(i, sheet)| {
            assert_eq!(sheet.number as usize, i + 1);
            assert_eq!(sheet.count as usize, sheets.len());
            let paper = lawful(&sheet.svg);
            // ISO 216: A3 is 297 by 420.
            assert_eq!((paper.width, paper.height), (420.0, 297.0));
            paper
        })
        .collect()
}

fn numbers_on(papers: &[Paper]) -> BTreeMap<u32, usize> {
    let mut found = BTreeMap::new();
    for word in papers.iter().flat_map(|p| &p.words) {
        if word.class == "piece-number" {
            *found.entry(word.content.parse().unwrap()).or_insert(0) += 1;
        }
    }
    found
}

/// Every piece number once over all sheets, none on another, none on an anchor.
fn numbered(drawing: &ElevationDrawing, options: &ElevationOptions) -> Vec<Paper> {
    let papers = a3(&elevation(drawing, options).unwrap());
    let expected: BTreeMap<u32, usize> = drawing.pieces.iter().map(|p| (p.number, 1)).collect();
    assert_eq!(numbers_on(&papers), expected);
    for paper in &papers {
        apart(paper, &["piece-number"]);
        for word in paper
            .words
            .iter()
            .filter(|w| w.class == "piece-number" && w.group == "numbers")
        {
            let b = word.digits_box();
            for c in paper.circles.iter().filter(|c| c.group == "anchor") {
                let near = (c.x - c.x.clamp(b.x0, b.x1)).hypot(c.y - c.y.clamp(b.y0, b.y1));
                assert!(near >= c.r - 0.02, "anchor on number {}", word.content);
            }
        }
    }
    papers
}

#[test]
fn every_number_stands_once_at_every_scale() {
    for drawing in [scenes::house(), scenes::block_of_flats()] {
        for options in [
            ElevationOptions::boards(),
            ElevationOptions::boards().at_scale(25),
            ElevationOptions::boards().at_scale(100),
            ElevationOptions::boards().at_scale(200),
            all_layers(),
            all_layers().at_scale(100),
        ] {
            numbered(&drawing, &options);
        }
    }
}

#[test]
fn scales_and_sheets_are_those_a_foreman_can_read() {
    let house = elevation(&scenes::house(), &ElevationOptions::boards()).unwrap();
    assert_eq!((house.len(), house[0].scale), (1, Some(50)));
    // At 1:100 most cut pieces of the long block would be numbered in a list, so 1:50 is taken.
    let block = elevation(&scenes::block_of_flats(), &ElevationOptions::boards()).unwrap();
    assert!(block.len() > 3);
    assert_eq!(block[0].scale, Some(50));
    let papers = a3(&block);
    let listed = papers
        .iter()
        .flat_map(|p| &p.words)
        .filter(|w| w.class == "piece-number" && w.group == "list")
        .count();
    assert!(
        listed * 10 < scenes::block_of_flats().pieces.len(),
        "{listed} in the list"
    );
    let anchors = elevation(&scenes::block_of_flats(), &ElevationOptions::anchors()).unwrap();
    assert_eq!((anchors.len(), anchors[0].scale), (2, Some(100)));
}

fn outline_of(paper: &Paper) -> (f64, f64, f64, f64) {
    let points: Vec<(f64, f64)> = paper
        .paths
        .iter()
        .filter(|p| p.group == "outline")
        .flat_map(|p| p.runs.iter().flatten().copied())
        .collect();
    points.iter().fold(
        (f64::MAX, f64::MAX, f64::MIN, f64::MIN),
        |(a, b, c, d), (x, y)| (a.min(*x), b.min(*y), c.max(*x), d.max(*y)),
    )
}

#[test]
fn the_stated_scale_is_the_drawn_scale_and_numbers_lie_on_their_pieces() {
    let drawing = scenes::house();
    let papers = numbered(&drawing, &ElevationOptions::boards());
    let (x0, y0, x1, y1) = outline_of(&papers[0]);
    assert!((x1 - x0 - 10_000.0 / 50.0).abs() < 0.02);
    assert!((y1 - y0 - 8000.0 / 50.0).abs() < 0.02);
    for word in papers[0]
        .words
        .iter()
        .filter(|w| w.class == "piece-number" && w.group == "numbers")
    {
        let (x, y) = word.digits_box().centre();
        let (x, y) = ((x - x0) * 50.0, (y1 - y) * 50.0);
        let piece = drawing
            .pieces
            .iter()
            .find(|p| p.number.to_string() == word.content)
            .unwrap();
        assert!(holds(&piece.outline, x, y), "{} at {x}, {y}", word.content);
    }
}

fn holds(outline: &[Point], x: f64, y: f64) -> bool {
    let mut within = false;
    for i in 0..outline.len() {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        let (ax, ay, bx, by) = (
            f64::from(a.x.0),
            f64::from(a.y.0),
            f64::from(b.x.0),
            f64::from(b.y.0),
        );
        if (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax) {
            within = !within;
        }
    }
    within
}

#[test]
fn every_anchor_is_drawn_once_at_its_place() {
    for drawing in [scenes::house(), scenes::block_of_flats()] {
        for scale in [50, 100] {
            let sheets = elevation(&drawing, &ElevationOptions::anchors().at_scale(scale)).unwrap();
            let papers = a3(&sheets);
            let wide = drawing
                .anchors
                .iter()
                .filter(|a| a.kind == AnchorKind::WidePlate)
                .count();
            let drawn = papers
                .iter()
                .flat_map(|p| &p.circles)
                .filter(|c| c.group == "anchor")
                .count();
            assert_eq!(
                drawn,
                drawing.anchors.len() + wide,
                "a wider plate has two rings"
            );
        }
    }
    let drawing = scenes::house();
    let papers = a3(&elevation(&drawing, &ElevationOptions::anchors()).unwrap());
    let (x0, _, _, y1) = outline_of(&papers[0]);
    for anchor in &drawing.anchors {
        let (x, y) = (
            x0 + f64::from(anchor.at.x.0) / 50.0,
            y1 - f64::from(anchor.at.y.0) / 50.0,
        );
        assert!(
            papers[0]
                .circles
                .iter()
                .any(|c| c.group == "anchor" && (c.x - x).abs() < 0.02 && (c.y - y).abs() < 0.02)
        );
    }
}

#[test]
fn the_zone_table_counts_the_anchors() {
    let drawing = scenes::house();
    let papers = a3(&elevation(&drawing, &ElevationOptions::anchors()).unwrap());
    let text = papers
        .iter()
        .flat_map(|p| &p.words)
        .filter(|w| w.group == "list")
        .map(|w| w.content.clone())
        .collect::<Vec<String>>()
        .join(" ");
    for name in ["A", "B"] {
        let count = drawing
            .anchors
            .iter()
            .filter(|a| drawing.zones[a.zone].name == name)
            .count();
        assert!(
            text.contains(&format!("{count} anchors, utilisation")),
            "{text}"
        );
    }
}

#[test]
fn chains_close() {
    let drawing = scenes::house();
    let papers = a3(&elevation(&drawing, &ElevationOptions::boards()).unwrap());
    let figures: Vec<i32> = papers[0]
        .words
        .iter()
        .filter(|w| w.class == "dimension-figure")
        .map(|w| w.content.parse().unwrap())
        .collect();
    // Below: openings of three rows, gable halves, overall; left: sills and lintels, eaves, overall; right: sixteen courses.
    assert_eq!(figures.iter().sum::<i32>(), 5 * 10_000 + 3 * 8000 + 8000);
    apart(&papers[0], &["dimension-figure"]);
}

#[test]
fn chains_of_an_outline_without_openings_are_its_sizes() {
    let chains = chains_of(&Rectangle::at(0, 0, 6000, 3000).corners(), &[], &[]);
    let stations: Vec<(ChainSide, Vec<Mm>)> =
        chains.into_iter().map(|c| (c.side, c.stations)).collect();
    assert_eq!(
        stations,
        [
            (ChainSide::Below, vec![Mm(0), Mm(6000)]),
            (ChainSide::Left, vec![Mm(0), Mm(3000)])
        ]
    );
    assert!(chains_of(&[], &[], &[]).is_empty());
}

#[test]
fn figures_too_short_to_letter_go_to_the_list() {
    let mut drawing = ElevationDrawing {
        outline: Rectangle::at(0, 0, 6000, 3000).corners().to_vec(),
        ..ElevationDrawing::default()
    };
    drawing.dimensions.push(DimensionChain {
        side: ChainSide::Below,
        // No two neighbours are equal, and told as one: 13 and 12 by turns.
        stations: (0..60)
            .map(|i| Mm(i * 13 - i / 2))
            .chain([Mm(6000)])
            .collect(),
        rows: None,
    });
    let papers = a3(&elevation(&drawing, &ElevationOptions::boards()).unwrap());
    apart(&papers[0], &["dimension-figure"]);
    let drawn = papers[0]
        .words
        .iter()
        .filter(|w| w.class == "dimension-figure")
        .count();
    let listed = papers
        .iter()
        .flat_map(|p| &p.words)
        .filter(|w| w.group == "list")
        .filter(|w| w.content.ends_with(": 13") || w.content.ends_with(": 12"))
        .count();
    assert!(listed > 20);
    assert_eq!(drawn + listed, 60);
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let draw = || {
        let mut all = String::new();
        for drawing in [scenes::house(), scenes::block_of_flats()] {
            for sheet in elevation(&drawing, &all_layers()).unwrap() {
                all.push_str(&sheet.svg);
            }
            for sheet in utilisation_picture(&drawing).unwrap() {
                all.push_str(&sheet.svg);
            }
        }
        for sheet in cutting_sheets(&plots::cutting(40)).unwrap() {
            all.push_str(&sheet.svg);
        }
        all
    };
    assert_eq!(draw(), draw());
}

#[test]
fn text_of_callers_stays_text() {
    let hostile =
        "</text><script>alert(1)</script> & \"q\" 'a' \u{0} \u{1b} \u{ffff} \u{202e}]]> <!--";
    let mut drawing = scenes::house();
    drawing.block.project = hostile.into();
    drawing.block.title = hostile.into();
    drawing.block.remark = hostile.into();
    drawing.block.number = hostile.into();
    drawing.notes = vec![hostile.into()];
    drawing.openings[0].id = hostile.into();
    drawing.zones[0].name = hostile.into();
    drawing.fixtures[0].text = hostile.into();
    drawing.breaches[0].text = hostile.into();
    for sheet in elevation(&drawing, &all_layers()).unwrap() {
        assert!(!sheet.svg.contains("<script"));
        let document = roxmltree::Document::parse(&sheet.svg).unwrap();
        assert!(
            document
                .descendants()
                .all(|n| n.tag_name().name() != "script")
        );
        let title = document
            .descendants()
            .find(|n| n.tag_name().name() == "title")
            .unwrap()
            .text()
            .unwrap();
        assert!(title.starts_with("</text><script>alert(1)</script> & \"q\" 'a' \u{fffd} \u{fffd} \u{fffd} \u{fffd}]]> <!--"), "{title}");
        assert!(
            document
                .descendants()
                .flat_map(|n| n.attributes())
                .all(|a| !a.name().starts_with("on"))
        );
    }
    let mut sheet = plots::cutting(3);
    sheet.boards[0].product = hostile.into();
    for sheet in cutting_sheets(&sheet).unwrap() {
        lawful_text(&sheet.svg);
    }
}

fn lawful_text(svg: &str) {
    assert!(!svg.contains("<script"));
    roxmltree::Document::parse(svg).unwrap();
}

/// Random facades of every size, with pieces that overlap, leave the outline, or are slivers.
#[test]
fn anything_that_is_accepted_is_drawn_lawfully() {
    let mut numbers = Numbers(7);
    for round in 0..60 {
        let size = [300, 3000, 30_000, 200_000][round % 4];
        let at = |n: &mut Numbers| Point::at(n.below(size) - size / 4, n.below(size / 2 + 10) - 20);
        let outline = vec![
            at(&mut numbers),
            at(&mut numbers),
            at(&mut numbers),
            at(&mut numbers),
        ];
        let zones = vec![
            ZoneDrawing {
                name: "A".into(),
                area: Rectangle::at(0, 0, size / 5 + 1, size / 3 + 1),
                anchors_per_m2: 6.0,
                utilisation: numbers.share() * 1.3,
                ..ZoneDrawing::default()
            },
            ZoneDrawing {
                name: "B".into(),
                area: Rectangle::at(size / 5, 0, size / 2 + 1, size / 7 + 1),
                anchors_per_m2: 4.5,
                utilisation: 0.2,
                ..ZoneDrawing::default()
            },
        ];
        let pieces = (0..40)
            .map(|i| {
                let p = at(&mut numbers);
                let (w, h) = (1 + numbers.below(1200), 1 + numbers.below(600));
                PieceDrawing {
                    number: 9000 + i * 7,
                    outline: Rectangle::at(p.x.0, p.y.0, w, h).corners().to_vec(),
                    kind: [
                        PieceKind::Cut,
                        PieceKind::Whole,
                        PieceKind::Fill,
                        PieceKind::Barrier,
                    ][i as usize % 4],
                }
            })
            .collect();
        let anchors = (0..30)
            .map(|i| AnchorDrawing {
                at: at(&mut numbers),
                zone: i % 2,
                kind: AnchorKind::Recessed,
            })
            .collect();
        let breaches = (0..5)
            .map(|_| BreachMark {
                at: at(&mut numbers),
                text: "stagger".into(),
            })
            .collect();
        let drawing = ElevationDrawing {
            dimensions: chains_of(&outline, &[], &[]),
            outline,
            pieces,
            anchors,
            zones,
            breaches,
            ..ElevationDrawing::default()
        };
        let scale = [20, 50, 100, 500][round % 4];
        numbered(&drawing, &all_layers().at_scale(scale));
        if round % 4 < 3 {
            numbered(&drawing, &all_layers());
        }
        a3(&utilisation_picture(&drawing).unwrap());
    }
}

#[test]
fn a_sheet_is_cut_between_openings_where_it_can_be() {
    let drawing = scenes::block_of_flats();
    let papers = a3(&elevation(&drawing, &ElevationOptions::boards().at_scale(100)).unwrap());
    let (x0, _, x1, _) = outline_of(&papers[0]);
    let cut = ((x1 - x0) * 100.0).round() as i32;
    let crossed = drawing
        .openings
        .iter()
        .filter(|o| (o.raw.x.0 + 1..o.raw.x.0 + o.raw.width.0).contains(&cut))
        .count();
    assert_eq!(crossed, 0, "cut at {cut}");
}

#[test]
fn all_faults_come_at_once_with_their_place() {
    let mut drawing = scenes::house();
    drawing.outline.truncate(2);
    drawing.pieces[3].number = drawing.pieces[0].number;
    drawing.pieces[4].outline.clear();
    drawing.anchors[5].zone = 99;
    drawing.zones[1].utilisation = f64::NAN;
    drawing.zones[2].anchors_per_m2 = f64::INFINITY;
    drawing.openings[2].raw.width = Mm(0);
    drawing.beads[0].to.x = Mm(2_000_000_000);
    drawing.mesh[0].length = Mm(-3);
    drawing.dimensions[0].stations[0] = Mm(-1_000_001);
    let faults = elevation(&drawing, &ElevationOptions::boards().at_scale(1)).unwrap_err();
    let paths: Vec<&str> = faults.iter().map(|f| f.path.as_str()).collect();
    for path in [
        "outline",
        "pieces[3].number",
        "pieces[4].outline",
        "anchors[5].zone",
        "zones[1].utilisation",
        "zones[2].anchors_per_m2",
        "openings[2].raw.width",
        "beads[0].to.x",
        "mesh[0].width",
        "dimensions[0].stations[0]",
        "options.scale",
    ] {
        assert!(paths.contains(&path), "{path} in {paths:?}");
    }
    assert_eq!(paths.len(), 11, "{paths:?}");
}

#[test]
fn limits_are_said_and_not_run_into() {
    let mut spiky = scenes::house();
    spiky.pieces[0].outline = vec![Point::at(0, 0); ELEVATION_LIMITS.piece_points + 1];
    spiky.zones = vec![spiky.zones[0].clone(); ELEVATION_LIMITS.zones + 1];
    let faults = elevation(&spiky, &ElevationOptions::boards()).unwrap_err();
    assert_eq!(faults[0].path, "zones");
    spiky.zones.truncate(3);
    let faults = elevation(&spiky, &ElevationOptions::boards()).unwrap_err();
    assert_eq!(faults[0].path, "pieces[0].outline");
    let wide = ElevationDrawing {
        outline: Rectangle::at(0, 0, 1_000_000, 1_000_000).corners().to_vec(),
        ..ElevationDrawing::default()
    };
    let faults = elevation(&wide, &ElevationOptions::boards()).unwrap_err();
    assert_eq!(
        (faults[0].path.as_str(), faults[0].reason),
        ("options.scale", "LIMIT_EXCEEDED")
    );
    let many = ElevationDrawing {
        anchors: vec![
            AnchorDrawing {
                at: Point::at(0, 0),
                zone: 0,
                kind: AnchorKind::Flush
            };
            ELEVATION_LIMITS.anchors + 1
        ],
        ..wide
    };
    let faults = elevation(&many, &ElevationOptions::boards()).unwrap_err();
    assert!(
        faults
            .iter()
            .any(|f| f.path == "anchors" && f.reason == "LIMIT_EXCEEDED")
    );
    let mut sheet = plots::cutting(1);
    sheet.boards = vec![sheet.boards[0].clone(); CUT_BOARDS_MAX + 1];
    assert_eq!(
        cutting_sheets(&sheet).unwrap_err()[0].reason,
        "LIMIT_EXCEEDED"
    );
}

#[test]
fn utilisation_over_one_is_said_in_words() {
    let mut drawing = scenes::house();
    let words = |drawing: &ElevationDrawing| -> Vec<String> {
        a3(&utilisation_picture(drawing).unwrap())
            .into_iter()
            .flat_map(|p| p.words)
            .filter(|w| w.group == "zone-name" || w.group == "list")
            .map(|w| w.content)
            .collect()
    };
    assert!(!words(&drawing).iter().any(|w| w.contains("NOT ENOUGH")));
    drawing.zones[0].utilisation = 1.04;
    let said = words(&drawing);
    assert!(said.iter().any(|w| w == "NOT ENOUGH"));
    assert!(said.iter().any(|w| w == "104 %"));
}

#[test]
fn denser_hatching_means_more_utilisation() {
    let mut drawing = scenes::house();
    drawing.openings.clear();
    let ink = |drawing: &ElevationDrawing| -> f64 {
        let papers = a3(&utilisation_picture(drawing).unwrap());
        papers[0]
            .paths
            .iter()
            .filter(|p| p.group == "utilisation")
            .flat_map(|p| &p.runs)
            .map(|r| (r[1].0 - r[0].0).hypot(r[1].1 - r[0].1))
            .sum()
    };
    let mut last = 0.0;
    for utilisation in [0.3, 0.7, 0.95, 1.2] {
        for zone in &mut drawing.zones {
            zone.utilisation = utilisation;
        }
        let now = ink(&drawing);
        assert!(now > 1.5 * last, "{now} after {last}");
        last = now;
    }
}

#[test]
fn the_cutting_sheet_names_every_piece_cut_and_offcut() {
    for count in [1, 7, 60, 200] {
        let sheet = plots::cutting(count);
        let papers = a3(&cutting_sheets(&sheet).unwrap());
        let expected: BTreeMap<u32, usize> = sheet
            .boards
            .iter()
            .flat_map(|b| &b.parts)
            .filter_map(|p| match p.used_as {
                PartUse::Piece(n) => Some((n, 1)),
                _ => None,
            })
            .collect();
        assert_eq!(numbers_on(&papers), expected);
        for paper in &papers {
            apart(paper, &["piece-number"]);
        }
        let cuts: usize = sheet.boards.iter().map(|b| b.cuts.len()).sum();
        let rings = papers
            .iter()
            .flat_map(|p| &p.circles)
            .filter(|c| c.group == "cut-order")
            .count();
        assert_eq!(rings, cuts);
        let listed = papers
            .iter()
            .flat_map(|p| &p.words)
            .filter(|w| w.group == "list" && w.content.starts_with('O') && w.content.contains(':'))
            .count();
        let kept = sheet
            .boards
            .iter()
            .flat_map(|b| &b.parts)
            .filter(|p| matches!(p.used_as, PartUse::Offcut(_)))
            .count();
        assert_eq!(listed, kept);
        // Each part that is not scrap has its size on the sheet.
        let sizes = papers
            .iter()
            .flat_map(|p| &p.words)
            .filter(|w| w.group == "part-words" && w.content.contains('×'))
            .count();
        let parts = sheet
            .boards
            .iter()
            .flat_map(|b| &b.parts)
            .filter(|p| p.used_as != PartUse::Scrap)
            .count();
        assert_eq!(sizes, parts);
    }
}

#[test]
fn the_cutting_sheet_draws_parts_to_its_stated_scale() {
    let sheet = plots::cutting(7);
    let sheets = cutting_sheets(&sheet).unwrap();
    let scale = f64::from(sheets[0].scale.unwrap());
    let papers = a3(&sheets);
    let drawn: f64 = papers
        .iter()
        .flat_map(|p| &p.paths)
        .filter(|p| p.group == "part")
        .map(|p| area(&p.runs[0]))
        .sum();
    let boards = sheet.boards.len() as f64 * 1000.0 * 500.0 / scale / scale;
    assert!(
        (drawn - boards).abs() < 1e-3 * boards,
        "{drawn} of {boards}"
    );
}

fn area(points: &[(f64, f64)]) -> f64 {
    let doubled: f64 = (0..points.len())
        .map(|i| {
            let (a, b) = (points[i], points[(i + 1) % points.len()]);
            a.0 * b.1 - b.0 * a.1
        })
        .sum();
    doubled.abs() / 2.0
}

#[test]
fn faults_of_a_cutting_sheet_come_at_once() {
    let mut sheet = plots::cutting(3);
    sheet.boards[1].number = sheet.boards[0].number;
    sheet.boards[2].length = Mm(0);
    sheet.boards[0].parts[0].outline[1].x = Mm(1001);
    sheet.boards[1].parts[0].used_as = sheet.boards[0].parts[0].used_as;
    sheet.boards[1].cuts[0].from.y = Mm(-1);
    let faults = cutting_sheets(&sheet).unwrap_err();
    let paths: Vec<&str> = faults.iter().map(|f| f.path.as_str()).collect();
    for path in [
        "boards[1].number",
        "boards[2].length",
        "boards[0].parts[0].outline",
        "boards[1].parts[0].used_as",
        "boards[1].cuts[0]",
    ] {
        assert!(paths.contains(&path), "{path} in {paths:?}");
    }
}

#[test]
fn an_empty_cutting_sheet_is_a_sheet() {
    let papers = a3(&cutting_sheets(&plots::cutting(0)).unwrap());
    assert_eq!(papers.len(), 1);
}

/// The board's lower edge is the lower edge on paper: the first board's scrap was cut from above its offcut.
#[test]
fn a_cut_board_stands_upright() {
    let sheet = plots::cutting(1);
    let papers = a3(&cutting_sheets(&sheet).unwrap());
    let parts: Vec<&drawing_paper::Path> = papers[0]
        .paths
        .iter()
        .filter(|p| p.group == "part")
        .collect();
    let lowest = |i: usize| parts[i].runs[0].iter().map(|p| p.1).fold(0.0, f64::max);
    assert_eq!(sheet.boards[0].parts[3].used_as, PartUse::Scrap);
    // 300 mm of offcut at 1:10 under the scrap.
    assert!((lowest(2) - lowest(3) - 30.0).abs() < 0.02);
}
