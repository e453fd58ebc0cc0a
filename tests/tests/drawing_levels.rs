//! Levels, labels and letters of an elevation, and where a piece is found on the cutting sheets.

mod drawing_paper;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/scenes.rs"]
mod scenes;
mod surveyed;

use std::collections::{BTreeMap, BTreeSet};

use api::v1;
use client::Estimator;
use drawing::{
    BeadKind, BeadLine, CutBoard, CutLine, CutPart, CuttingSheet, ElevationDrawing,
    ElevationOptions, OpeningDrawing, OpeningFoot, PartTop, PartUse, Point, Rectangle, TitleBlock,
    chains_of, cutting_sheets, elevation,
};
use drawing_paper::{Paper, apart, lawful};
use quantity::Mm;

fn papers(sheets: &[drawing::Sheet]) -> Vec<Paper> {
    sheets.iter().map(|s| lawful(&s.svg)).collect()
}

/// The level marks of a sheet: millimetres, and where their strokes meet the elevation.
fn marks(paper: &Paper) -> Vec<(i32, f64)> {
    let figures = paper.words.iter().filter(|w| w.class == "level-figure");
    let strokes = paper.paths.iter().filter(|p| p.group == "level");
    // Each mark: the stroke to its level, its line, its triangle.
    let levels: Vec<f64> = strokes.step_by(3).map(|p| p.runs[0][0].1).collect();
    let figures: Vec<i32> = figures
        .map(|w| {
            let digits = w.content.replace(['+', '±', '.'], "");
            digits.parse().unwrap_or_else(|_| panic!("{}", w.content))
        })
        .collect();
    assert_eq!(figures.len(), levels.len());
    figures.into_iter().zip(levels).collect()
}

fn said(paper: &Paper, group: &str) -> String {
    let words = paper.words.iter().filter(|w| w.group == group);
    let words: Vec<&str> = words.map(|w| w.content.as_str()).collect();
    words.join(" ").replace('\u{a0}', " ")
}

/// Base, ground, upper and lower edge and the cut edges have their level, at its height and clear of all figures.
fn check(drawing: &ElevationDrawing, scale: u32) {
    let options = ElevationOptions::boards().at_scale(scale);
    let mut seen = BTreeSet::new();
    for paper in papers(&elevation(drawing, &options).unwrap()) {
        let marks = marks(&paper);
        for pair in marks.windows(2) {
            let (mm, paper) = (pair[1].0 - pair[0].0, pair[0].1 - pair[1].1);
            let close = 0.011 * f64::from(scale);
            assert!(
                (paper * f64::from(scale) - f64::from(mm)).abs() <= close,
                "{pair:?}"
            );
        }
        apart(&paper, &["level-figure", "dimension-figure"]);
        for cut in paper.paths.iter().filter(|p| p.group == "match-line") {
            for run in cut.runs.iter().filter(|run| run[0].1 == run[1].1) {
                let marked = marks.iter().any(|(_, y)| (y - run[0].1).abs() < 0.02);
                assert!(marked, "no level at the cut {run:?}");
            }
        }
        seen.extend(marks.into_iter().map(|(mm, _)| mm));
    }
    let ys = |points: &[Point]| points.iter().map(|p| p.y.0).collect::<Vec<i32>>();
    let outline = ys(&drawing.outline);
    let wanted = [ys(&drawing.base_line), ys(&drawing.ground_line)].concat();
    let ends = [outline.iter().min(), outline.iter().max()];
    for level in wanted.iter().chain(ends.into_iter().flatten()) {
        assert!(seen.contains(level), "{level} in {seen:?}");
    }
}

#[test]
fn levels_stand_beside_the_elevation() {
    for scale in [20, 50, 100] {
        check(&scenes::house(), scale);
        check(&scenes::block_of_flats(), scale);
    }
    // Many low steps: their marks are moved apart.
    let steps = |height: i32| -> Vec<Point> {
        let step = |i: i32| [(2000 * i, 60 * i), (2000 * i + 2000, 60 * i)];
        let ends = (0..6).flat_map(step);
        ends.map(|(x, y)| Point::at(x, y + height)).collect()
    };
    let stepped = ElevationDrawing {
        outline: Rectangle::at(0, 0, 12_000, 4000).corners().to_vec(),
        base_line: steps(300),
        ground_line: steps(0),
        ..ElevationDrawing::default()
    };
    for scale in [20, 50, 100] {
        check(&stepped, scale);
    }
}

/// A window as high as a house, on two sheets: both name it, and both say how the drawing is to be read.
#[test]
fn each_sheet_names_its_openings_and_says_how_to_read_it() {
    let outline = Rectangle::at(0, 0, 3300, 17_600).corners().to_vec();
    let high = Rectangle::at(1030, 2020, 1040, 11_950);
    let openings = vec![OpeningDrawing {
        id: "stairs".into(),
        raw: high,
        finished: high,
        foot: OpeningFoot::Sill,
    }];
    let drawing = ElevationDrawing {
        dimensions: chains_of(&outline, &openings, &[]),
        notes: vec!["Base line from x 0 to 3300: ±0.000".into()],
        outline,
        openings,
        ..ElevationDrawing::default()
    };
    let options = ElevationOptions::boards().at_scale(50);
    let papers = papers(&elevation(&drawing, &options).unwrap());
    assert_eq!(papers.len(), 2);
    for paper in &papers {
        let name = said(paper, "opening-name");
        assert!(name.contains("stairs 1040 × 11950 sill +2.020"), "{name}");
        let list = said(paper, "list");
        for wanted in ["Dimensions in millimetres", "Base line from x 0"] {
            assert!(list.contains(wanted), "{list}");
        }
        assert!(said(paper, "legend").contains("goes on on another sheet"));
    }
    check(&drawing, 50);
}

/// The beads of a cellar window of 150 mm are told in the list; their letters would cover it.
#[test]
fn small_openings_have_the_letters_of_their_beads_in_the_list() {
    let outline = Rectangle::at(0, 0, 6000, 4000).corners().to_vec();
    let opening = |id: &str, at: Rectangle| OpeningDrawing {
        id: id.into(),
        raw: at,
        finished: at,
        foot: OpeningFoot::Sill,
    };
    let openings = vec![
        opening("cellar", Rectangle::at(700, 300, 740, 150)),
        opening("room", Rectangle::at(2500, 1500, 1200, 1200)),
    ];
    let around = |at: &Rectangle| {
        let [a, b, c, d] = at.corners();
        let line = |from: Point, to: Point, kind: BeadKind| BeadLine { from, to, kind };
        [
            line(a, d, BeadKind::Corner),
            line(b, c, BeadKind::Corner),
            line(d, c, BeadKind::Drip),
            line(a, b, BeadKind::Sill),
        ]
    };
    let drawing = ElevationDrawing {
        beads: openings.iter().flat_map(|o| around(&o.finished)).collect(),
        outline,
        openings,
        ..ElevationDrawing::default()
    };
    let options = ElevationOptions::reinforcement().at_scale(50);
    let papers = papers(&elevation(&drawing, &options).unwrap());
    let list = said(&papers[0], "list");
    assert!(list.contains("cellar at x 700: C, D, S"), "{list}");
    // Four letters at the room, three samples in the legend, none at the cellar.
    let codes = papers[0].words.iter().filter(|w| w.group == "code");
    assert_eq!(codes.count(), 4 + 3);
    let strokes = papers[0].paths.iter();
    let strokes = strokes.filter(|p| p.group.starts_with("bead-")).count();
    assert_eq!(strokes, 8);
}

/// The ring of a cut touches its own board, so that none between two boards may be read as the neighbour's.
#[test]
fn rings_of_cuts_touch_their_own_board() {
    let ring = |points: &[(i32, i32)]| points.iter().map(|p| Point::at(p.0, p.1)).collect();
    let boards = (0..6).map(|i: i32| CutBoard {
        number: i.unsigned_abs() + 1,
        product: "board 140 mm".into(),
        length: Mm(1200),
        height: Mm(600),
        kerf: Mm(0),
        parts: vec![CutPart {
            outline: ring(&[
                (0, 0),
                (1200, 0),
                (1200, 600),
                (45, 600),
                (45, 450),
                (0, 450),
            ]),
            holes: Vec::new(),
            used_as: PartUse::Piece(i.unsigned_abs() + 1),
            top: PartTop::Up,
        }],
        cuts: [((45, 450), (45, 600)), ((0, 450), (45, 450))]
            .into_iter()
            .zip(1..)
            .map(|((from, to), order)| CutLine {
                order,
                from: Point::at(from.0, from.1),
                to: Point::at(to.0, to.1),
            })
            .collect(),
    });
    let sheet = CuttingSheet {
        block: TitleBlock::default(),
        boards: boards.collect(),
        notes: Vec::new(),
    };
    for paper in papers(&cutting_sheets(&sheet).unwrap()) {
        let boards: Vec<_> = paper.rects.iter().filter(|(g, _)| g == "board").collect();
        for ring in paper.circles.iter().filter(|c| c.group == "cut-order") {
            let away = |b: &drawing_paper::Box4| {
                let dx = (b.x0 - ring.x).max(ring.x - b.x1).max(0.0);
                let dy = (b.y0 - ring.y).max(ring.y - b.y1).max(0.0);
                dx.hypot(dy)
            };
            let nearest = boards.iter().map(|(_, b)| away(b)).fold(f64::MAX, f64::min);
            assert!(nearest <= ring.r + 0.02, "{nearest} from any board");
        }
    }
}

/// Four cuts that cross near one corner of a board: each keeps a ring of its own.
#[test]
fn rings_of_crowded_cuts_lie_apart() {
    let at = |p: (i32, i32)| Point::at(p.0, p.1);
    let cuts = [
        ((60, 0), (60, 600)),
        ((0, 60), (60, 60)),
        ((0, 90), (60, 90)),
        ((30, 0), (30, 60)),
    ];
    let board = CutBoard {
        number: 1,
        product: "board 140 mm".into(),
        length: Mm(1200),
        height: Mm(600),
        kerf: Mm(0),
        parts: Vec::new(),
        cuts: cuts
            .into_iter()
            .zip(1..)
            .map(|((from, to), order)| CutLine {
                order,
                from: at(from),
                to: at(to),
            })
            .collect(),
    };
    let sheet = CuttingSheet {
        block: TitleBlock::default(),
        boards: vec![board],
        notes: Vec::new(),
    };
    for paper in papers(&cutting_sheets(&sheet).unwrap()) {
        let rings: Vec<_> = paper
            .circles
            .iter()
            .filter(|c| c.group == "cut-order")
            .collect();
        assert_eq!(rings.len(), 4);
        for (i, a) in rings.iter().enumerate() {
            for b in &rings[i + 1..] {
                let apart = (a.x - b.x).hypot(a.y - b.y);
                assert!(apart >= a.r + b.r - 0.05, "{apart}");
            }
        }
    }
}

fn answer(name: &str) -> v1::EstimateResponse {
    let here = Estimator::here(None).unwrap_or_else(|r| panic!("{}", r.summary));
    let include = v1::Include {
        setting_out: true,
        working: false,
        drawings: true,
        rule_costs: false,
    };
    here.estimate(surveyed::request(name, include))
        .unwrap_or_else(|r| panic!("{name}: {}", r.summary))
}

/// The index names board and sheet of every piece that is cut, and both are there.
#[test]
fn the_index_leads_from_a_piece_to_its_board() {
    for name in ["house", "flats"] {
        let answer = answer(name);
        let papers: Vec<Paper> = answer
            .drawings
            .iter()
            .filter(|d| d.name.starts_with("cutting-"))
            .map(|d| lawful(&d.svg))
            .collect();
        let figures: Vec<usize> = papers
            .iter()
            .flat_map(|p| &p.words)
            .filter(|w| w.class == "index-figure")
            .map(|w| w.content.parse().unwrap())
            .collect();
        let told: BTreeMap<u32, (u32, usize)> = figures
            .chunks(3)
            .map(|f| (f[0] as u32, (f[1] as u32, f[2])))
            .collect();
        assert_eq!(3 * told.len(), figures.len(), "{name}: a piece twice");
        let cut = answer.layout.as_ref().unwrap().boards.iter();
        let pieces: BTreeMap<u32, u32> = cut
            .filter(|board| !board.cuts.is_empty())
            .flat_map(|board| board.parts.iter().map(|part| (part.piece, board.number)))
            .filter(|(piece, _)| *piece > 0)
            .collect();
        let found: BTreeMap<u32, u32> = told.iter().map(|(p, (board, _))| (*p, *board)).collect();
        assert_eq!(found, pieces, "{name}");
        for (piece, (board, sheet)) in told {
            let words = || papers[sheet - 1].words.iter();
            let number = piece.to_string();
            assert!(words().any(|w| w.class == "piece-number" && w.content == number));
            let caption = format!("Board {board}:");
            assert!(
                words().any(|w| w.content.starts_with(&caption)),
                "{caption}"
            );
        }
        let boards = answer.drawings.iter().find(|d| d.name.contains("-boards-"));
        let list = said(&lawful(&boards.unwrap().svg), "list");
        assert!(
            list.contains("The index at the end of the sheets"),
            "{list}"
        );
    }
}

/// How many bars, how long each is, and the number and length of the pieces cut from one.
type BarsCut = (u64, u64, Vec<(u64, u64)>);

/// What a table of the list says: number and length of bars, each with the pieces cut from it. Where it goes on in another column its
/// heading stands there again.
fn cutting_table(list: &str, name: &str) -> Vec<BarsCut> {
    let heading = format!("{name}: number × length, cut into; rest with saw cuts ");
    let list = list.replace(&format!("{heading}(continued) "), "");
    let (_, after) = list
        .split_once(&heading)
        .unwrap_or_else(|| panic!("{heading} in {list}"));
    let mut table: Vec<BarsCut> = Vec::new();
    for word in after.split(' ').filter(|word| !word.is_empty()) {
        let plain = word.trim_end_matches([',', ';', ':']);
        if plain.starts_with("rest\u{a0}") {
            continue;
        }
        let Some((count, length)) = plain.split_once("\u{a0}×\u{a0}") else {
            break;
        };
        let (count, length) = (count.parse().unwrap(), length.parse().unwrap());
        match table.last_mut() {
            Some(bar) if !word.ends_with(':') => bar.2.push((count, length)),
            _ => table.push((count, length, Vec::new())),
        }
    }
    table
}

/// Bars and rolls hold the pieces told, the pieces make up what is built in, and no more bars are told than are bought.
#[test]
fn bars_and_rolls_are_cut_as_they_are_bought() {
    for name in ["house", "flats", "drawings/l-shaped"] {
        let answer = answer(name);
        let list = strips_and_bars(&answer);
        let mut met = 0;
        let mut lines: BTreeMap<&str, (f64, f64, &str)> = BTreeMap::new();
        for line in &answer.kit.as_ref().unwrap().lines {
            let sum = lines.entry(&line.article).or_insert((0.0, 0.0, &line.name));
            sum.0 += line.net;
            sum.1 += line.pack_content * line.packs as f64;
        }
        for (article, (net, bought, called)) in lines {
            let cut = ["bead.", "base-profile.", "sealing-strip.", "mesh."];
            if !cut.iter().any(|kind| article.starts_with(kind)) {
                continue;
            }
            let table = cutting_table(&list, called);
            let (mut bars, mut pieces, mut joints) = (0, 0, 0);
            for (times, bar, cut) in &table {
                let used: u64 = cut.iter().map(|(count, length)| count * length).sum();
                assert!(used > 0 && used <= *bar, "{name}, {called}: {table:?}");
                bars += times * bar;
                pieces += times * used;
                joints += times * cut.iter().map(|(count, _)| count).sum::<u64>();
            }
            if article.starts_with("mesh.") {
                continue;
            }
            let (bars, pieces) = (bars as f64 / 1000.0, pieces as f64 / 1000.0);
            // Base profiles stand 3 mm apart (common practice, no source).
            let gaps = 0.003 * joints as f64;
            assert!(
                pieces >= net - gaps - 0.001,
                "{name}, {called}: {pieces} m of {net} m"
            );
            assert!(
                bars <= bought + 0.001,
                "{name}, {called}: {bars} m of {bought} m"
            );
            met += 1;
        }
        assert!(met > 2, "{name}");
    }
}

fn strips_and_bars(answer: &v1::EstimateResponse) -> String {
    let sheets = answer
        .drawings
        .iter()
        .filter(|d| d.name.starts_with("strips-and-bars-"));
    let papers: Vec<Paper> = sheets.map(|d| lawful(&d.svg)).collect();
    let words = papers.iter().flat_map(|p| &p.words);
    let words: Vec<&str> = words
        .filter(|w| w.group == "list")
        .map(|w| w.content.as_str())
        .collect();
    words.join(" ")
}

/// Every opening with insulated reveals has its strips by size: two jambs of its finished height, a head of its raw width, and under a
/// window a sill of its finished width.
#[test]
fn strips_of_reveals_are_told_by_opening() {
    let answer = answer("house");
    let list = strips_and_bars(&answer).replace('\u{a0}', " ");
    // Free rows at the end of a column are no words.
    let list = list.split_whitespace().collect::<Vec<_>>().join(" ");
    let lines = &answer.kit.as_ref().unwrap().lines;
    let board = lines.iter().find(|l| l.article == "board.eps-white");
    let board = board.unwrap().name.replace('\u{a0}', " ");
    // tests/surveys/house.toml, front, `hall`: 1400 by 1300 raw, 140 deep, 30 mm at jambs and head, 20 mm under the sill.
    let from = format!("Reveal strips 30 mm from {board}");
    for wanted in [
        from.as_str(),
        "front, each of 2 openings (hall, living room): 2 jambs 140 × 1250, head 140 × 1400",
        "front, each of 2 openings (hall, living room): sill 140 × 1340",
        "front, landing: sill 140 × 940",
    ] {
        assert!(list.contains(wanted), "{wanted} in {list}");
    }
    // A door has no strip under it.
    assert!(!list.contains("front door: sill"), "{list}");
    let sheet = answer
        .drawings
        .iter()
        .find(|d| d.name.contains("front-reinforcement"));
    let notes = said(&lawful(&sheet.unwrap().svg), "list");
    assert!(
        notes.contains("1000 mm wide, overlapping by 100 mm"),
        "{notes}"
    );
}

/// Openings of a wall that take the same strips stand in one line, which tells how many and which they are.
#[test]
fn equal_reveals_are_told_together() {
    let list = strips_and_bars(&answer("flats")).replace('\u{a0}', " ");
    let list = list.split_whitespace().collect::<Vec<_>>().join(" ");
    // tests/surveys/flats.toml: 39 windows of 1600 by 1400 on the street beside the entrance, reveals of 160 with 30 mm at jambs and head and
    // 20 mm under the sill; ten windows of 1000 by 1400 and nothing else on the east.
    let windows = (1..=5).flat_map(|storey| (1..=8).map(move |bay| (storey, bay)));
    let windows = windows.filter(|window| *window != (1, 4));
    let names: Vec<String> = windows.map(|(s, b)| format!("street {s}.{b}")).collect();
    let named = format!("street, each of 39 openings ({})", names.join(", "));
    for wanted in [
        format!("{named}: sill 160 × 1540"),
        format!("{named}: 2 jambs 160 × 1350, head 160 × 1600"),
        String::from("street, entrance: 2 jambs 160 × 2270, head 160 × 1600"),
        String::from("east, each of all 10 openings: sill 160 × 940"),
    ] {
        assert!(list.contains(&wanted), "{wanted} in {list}");
    }
    assert!(!list.contains("street, street 1.1:"), "{list}");
}
