//! What a sheet says of its parts, read back and held against the shapes: how parts are cut, what is scrap, how kinds are told apart.

mod drawing_paper;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/plots.rs"]
mod plots;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/scenes.rs"]
mod scenes;

use std::collections::BTreeSet;

use drawing::{
    BeadKind, BeadLine, CrackLine, CutBoard, CutLine, CutPart, CuttingSheet, ElevationDrawing,
    ElevationOptions, JointDrawing, Lettering, PartTop, PartUse, PieceDrawing, PieceKind, Point,
    Rectangle, SillEnd, SillSide, TitleBlock, ZoneDrawing, chains_of, cutting_sheets, elevation,
    level,
};
use drawing_paper::{Box4, Numbers, Paper, Word, lawful};
use quantity::Mm;

fn papers(sheets: &[drawing::Sheet]) -> Vec<Paper> {
    sheets.iter().map(|s| lawful(&s.svg)).collect()
}

fn sheet(boards: Vec<CutBoard>) -> CuttingSheet {
    CuttingSheet {
        block: TitleBlock::default(),
        boards,
        notes: Vec::new(),
    }
}

fn board(size: (i32, i32), parts: Vec<CutPart>) -> CutBoard {
    CutBoard {
        number: 1,
        product: "board 140 mm".into(),
        length: Mm(size.0),
        height: Mm(size.1),
        kerf: Mm(3),
        parts,
        cuts: vec![CutLine {
            order: 1,
            from: Point::at(0, 0),
            to: Point::at(0, size.1),
        }],
    }
}

fn piece(points: &[(i32, i32)], holes: &[&[(i32, i32)]]) -> CutPart {
    let ring = |points: &[(i32, i32)]| points.iter().map(|p| Point::at(p.0, p.1)).collect();
    CutPart {
        outline: ring(points),
        holes: holes.iter().map(|h| ring(h)).collect(),
        used_as: PartUse::Piece(7),
        top: PartTop::Up,
    }
}

/// What the sheet says of the only piece, its lines put together.
fn told(part: CutPart) -> String {
    let papers = papers(&cutting_sheets(&sheet(vec![board((4000, 900), vec![part])])).unwrap());
    let words: Vec<String> = papers
        .iter()
        .flat_map(|p| &p.words)
        .filter(|w| w.class == "part-size")
        .map(|w| w.content.replace('\u{a0}', " "))
        .collect();
    words.join(" ")
}

type Corner = (f64, f64);

/// A shape as a carpenter with rule and square makes it from the words alone, from its lower left.
#[derive(Debug)]
struct Marked {
    outline: Vec<Corner>,
    cut_out: Vec<[f64; 4]>,
}

fn figures(text: &str) -> Vec<f64> {
    text.split(|c: char| !c.is_ascii_digit())
        .filter(|t| !t.is_empty())
        .map(|t| t.parse().unwrap())
        .collect()
}

/// From where to where an edge runs along its side.
fn along(text: &str, whole: f64) -> (f64, f64) {
    let f = figures(text);
    let from_end = text.ends_with("from right") || text.ends_with("from above");
    match f.as_slice() {
        [at] if text.contains("apex") => (*at, *at),
        [length] if from_end => (whole - length, whole),
        [length] => (0.0, *length),
        [length, at] => (*at, at + length),
        _ => panic!("{text}"),
    }
}

fn mark_out(text: &str) -> Marked {
    let mut items = text.split(", ");
    let size = figures(items.next().unwrap());
    let (w, h) = (size[0], size[1]);
    let mut sides: [Option<(f64, f64)>; 4] = [None; 4];
    let mut outline = Vec::new();
    let mut cut_out = Vec::new();
    for item in items {
        let f = figures(item);
        if item.starts_with("notch") || item.starts_with("hole") {
            let x = match item {
                i if i.contains("at ") || i.contains("lower edge") || i.contains("upper edge") => {
                    f[2]
                }
                i if i.contains("right") => w - f[0],
                _ => 0.0,
            };
            let y = match item {
                i if i.contains("at ") => f[3],
                i if i.contains("left edge") || i.contains("right edge") => f[2],
                i if i.contains("upper") => h - f[1],
                _ => 0.0,
            };
            cut_out.push([x, y, x + f[0], y + f[1]]);
        } else if item.starts_with("corners") {
            outline = f.chunks(2).map(|c| (c[0], c[1])).collect();
        } else {
            let names = ["lower", "upper", "left", "right"];
            let side = names.iter().position(|n| item.starts_with(n)).unwrap();
            sides[side] = Some(along(item, if side < 2 { w } else { h }));
        }
    }
    if sides.iter().any(Option::is_some) {
        let [lower, upper, left, right] = sides;
        outline.extend(lower.iter().flat_map(|s| [(s.0, 0.0), (s.1, 0.0)]));
        outline.extend(right.iter().flat_map(|s| [(w, s.0), (w, s.1)]));
        outline.extend(upper.iter().flat_map(|s| [(s.1, h), (s.0, h)]));
        outline.extend(left.iter().flat_map(|s| [(0.0, s.1), (0.0, s.0)]));
    }
    if outline.is_empty() {
        outline = vec![(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)];
    }
    Marked { outline, cut_out }
}

fn within(outline: &[Corner], x: f64, y: f64) -> bool {
    let mut inside = false;
    for i in 0..outline.len() {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        if (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            inside = !inside;
        }
    }
    inside
}

/// The words give the shape: at 60 by 60 places both say the same.
fn check_marking(part: &CutPart) {
    let text = told(part.clone());
    let marked = mark_out(&text);
    let (x0, y0) = (
        part.outline.iter().map(|p| p.x.0).min().unwrap(),
        part.outline.iter().map(|p| p.y.0).min().unwrap(),
    );
    let ring = |points: &[Point]| -> Vec<Corner> {
        let from_corner = |p: &Point| (f64::from(p.x.0 - x0), f64::from(p.y.0 - y0));
        points.iter().map(from_corner).collect()
    };
    let outline = ring(&part.outline);
    let holes: Vec<Vec<Corner>> = part.holes.iter().map(|h| ring(h)).collect();
    let far = |of: fn(&Corner) -> f64| outline.iter().map(of).fold(0.0, f64::max);
    let (w, h) = (far(|p| p.0), far(|p| p.1));
    for i in 0..60 {
        for j in 0..60 {
            let (x, y) = (
                w * (f64::from(i) + 0.513) / 60.0,
                h * (f64::from(j) + 0.487) / 60.0,
            );
            let real = within(&outline, x, y) && !holes.iter().any(|o| within(o, x, y));
            let cut = marked
                .cut_out
                .iter()
                .any(|c| c[0] < x && x < c[2] && c[1] < y && y < c[3]);
            assert_eq!(
                within(&marked.outline, x, y) && !cut,
                real,
                "{text} at {x}, {y}: {outline:?}"
            );
        }
    }
}

#[test]
fn slopes_and_notches_can_be_marked_from_the_words() {
    let shapes: [&[(i32, i32)]; 14] = [
        &[(0, 0), (1000, 0), (1000, 500), (0, 500)],
        // An upright piece below a slope, a triangle, a corner cut off, an apex.
        &[(0, 0), (1000, 0), (1000, 500), (0, 350)],
        &[(0, 0), (1000, 0), (1000, 470)],
        &[(0, 0), (1000, 0), (1000, 500), (360, 500), (0, 150)],
        &[(100, 0), (900, 0), (900, 220), (560, 480), (100, 130)],
        &[(0, 500), (438, 93), (876, 500)],
        &[(200, 0), (700, 0), (900, 500), (0, 500)],
        // Notches: in a corner, in an edge, two, a stair, one beside a slope.
        &[
            (0, 0),
            (1000, 0),
            (1000, 500),
            (311, 500),
            (311, 396),
            (0, 396),
        ],
        &[
            (0, 0),
            (1000, 0),
            (1000, 500),
            (700, 500),
            (700, 350),
            (200, 350),
            (200, 500),
            (0, 500),
        ],
        &[
            (0, 0),
            (1000, 0),
            (1000, 200),
            (850, 200),
            (850, 320),
            (1000, 320),
            (1000, 500),
            (0, 500),
        ],
        &[
            (0, 0),
            (1000, 0),
            (1000, 500),
            (600, 500),
            (600, 400),
            (300, 400),
            (300, 250),
            (0, 250),
        ],
        &[
            (0, 100),
            (150, 100),
            (150, 0),
            (1000, 0),
            (1000, 500),
            (700, 500),
            (700, 350),
            (200, 350),
            (200, 500),
            (0, 500),
        ],
        &[
            (0, 0),
            (400, 0),
            (400, 180),
            (1000, 180),
            (1000, 500),
            (360, 500),
            (0, 150),
        ],
        // No words but its corners can tell this one.
        &[(0, 0), (1000, 100), (700, 300), (900, 500), (50, 450)],
    ];
    for shape in shapes {
        check_marking(&piece(shape, &[]));
        let mirrored: Vec<(i32, i32)> = shape.iter().rev().map(|p| (1000 - p.0, p.1)).collect();
        check_marking(&piece(&mirrored, &[]));
        let turned: Vec<(i32, i32)> = shape.iter().map(|p| (1100 - p.0, 600 - p.1)).collect();
        check_marking(&piece(&turned, &[]));
    }
    let whole = [(0, 0), (1000, 0), (1000, 500), (0, 500)];
    check_marking(&piece(
        &whole,
        &[&[(300, 120), (300, 270), (500, 270), (500, 120)]],
    ));
}

/// Rectangles with notches cut at random out of every side, and slopes over them.
#[test]
fn any_piece_can_be_marked_from_the_words() {
    let mut numbers = Numbers(11);
    for round in 0..150 {
        let (w, h) = (400 + numbers.below(1000), 300 + numbers.below(500));
        let mut cut = || (40 + numbers.below(80), 40 + numbers.below(60));
        let (a, b, c) = (cut(), cut(), cut());
        let mut shape = vec![(0, 0), (w - a.0, 0), (w - a.0, a.1), (w, a.1)];
        if round % 3 == 0 {
            shape.extend([
                (w, h),
                (w / 2 + b.0, h),
                (w / 2 + b.0, h - b.1),
                (w / 2, h - b.1),
                (w / 2, h),
            ]);
        } else {
            shape.extend([(w, h - b.1), (w - b.0, h)]);
        }
        if round % 2 == 0 {
            shape.extend([(c.0, h), (c.0, h - c.1), (0, h - c.1)]);
        } else {
            shape.extend([(c.0, h), (0, h - c.1)]);
        }
        check_marking(&piece(&shape, &[]));
    }
}

/// A box that a word does not leave, by the drawing's own widths.
fn room_of(word: &Word) -> Box4 {
    let lettering = if word.size < 3.0 {
        Lettering::Small
    } else {
        Lettering::Plain
    };
    word.sized_box(lettering.width_mm(&word.content), lettering.height_mm())
}

/// Small boards with notched and narrow pieces, whose sizes have no room on them.
fn small_boards(count: i32) -> CuttingSheet {
    let boards = (0..count)
        .map(|i| {
            let notch = 90 + 7 * (i % 12);
            let part = |points: &[(i32, i32)], number: i32| CutPart {
                used_as: PartUse::Piece(number.unsigned_abs()),
                top: PartTop::Up,
                ..piece(points, &[])
            };
            let first = 10_000 + 3 * i;
            let lower = [
                (0, 0),
                (600, 0),
                (600, 200),
                (notch + 80, 200),
                (notch + 80, 100),
                (notch, 100),
                (notch, 200),
                (0, 200),
            ];
            let upper = [(0, 203), (600, 203), (600, 303), (0, 303)];
            let slope = [(0, 306), (600, 306), (600, 400), (notch, 400), (0, 320)];
            let parts = vec![
                part(&lower, first),
                part(&upper, first + 1),
                part(&slope, first + 2),
            ];
            // Short cuts beside each other, with no room for their rings on them.
            let cuts = (0..4)
                .map(|k: i32| CutLine {
                    order: k.unsigned_abs() + 1,
                    from: Point::at(80 + 30 * k, 0),
                    to: Point::at(80 + 30 * k, 20),
                })
                .collect();
            CutBoard {
                number: i.unsigned_abs() + 1,
                product: "board of expanded polystyrene, grey, 100 mm".into(),
                cuts,
                ..board((600, 400), parts)
            }
        })
        .collect();
    sheet(boards)
}

#[test]
fn words_on_a_cutting_sheet_keep_to_their_room() {
    for sheet in [
        small_boards(4),
        small_boards(60),
        plots::cutting(7),
        plots::cutting(60),
    ] {
        for paper in papers(&cutting_sheets(&sheet).unwrap()) {
            let words: Vec<(&Word, Box4)> = paper
                .words
                .iter()
                .filter(|w| matches!(w.group.as_str(), "part-words" | "board-caption"))
                .map(|w| (w, room_of(w)))
                .collect();
            for (i, (word, a)) in words.iter().enumerate() {
                assert!(a.x1 <= 410.0, "{} leaves the frame", word.content);
                for (other, b) in &words[i + 1..] {
                    assert!(!a.overlaps(b), "{} covers {}", word.content, other.content);
                }
                let foreign = paper.rects.iter().filter(|(g, r)| {
                    let on_it = r.x0 <= a.x0 && a.x1 <= r.x1 && r.y0 <= a.y0 && a.y1 <= r.y1;
                    g == "board" && !on_it
                });
                for (_, r) in foreign {
                    assert!(!a.overlaps(r), "{} runs into a board", word.content);
                }
            }
            for ring in paper.circles.iter().filter(|c| c.group == "cut-order") {
                let inner = 0.7 * ring.r;
                let ring = Box4 {
                    x0: ring.x - inner,
                    x1: ring.x + inner,
                    y0: ring.y - inner,
                    y1: ring.y + inner,
                };
                for (word, b) in &words {
                    assert!(!ring.overlaps(b), "a ring covers {}", word.content);
                }
            }
            assert!(words.iter().all(|(w, _)| !w.content.contains('…')));
        }
    }
}

fn inside(outline: &[(f64, f64)], at: (f64, f64)) -> bool {
    within(outline, at.0, at.1)
}

#[test]
fn what_no_part_takes_is_hatched_as_scrap_and_nothing_else() {
    let rest = board(
        (1000, 500),
        vec![
            piece(&[(0, 0), (600, 0), (600, 350), (0, 350)], &[]),
            CutPart {
                used_as: PartUse::Offcut(1),
                top: PartTop::Up,
                ..piece(&[(603, 0), (1000, 0), (1000, 350), (603, 350)], &[])
            },
        ],
    );
    let full = board(
        (1000, 500),
        vec![piece(&[(0, 0), (1000, 0), (1000, 500), (0, 500)], &[])],
    );
    let legend = |paper: &Paper| {
        let mut words = paper.words.iter();
        words.any(|w| w.group == "legend" && w.content == "scrap")
    };
    let paper = &papers(&cutting_sheets(&sheet(vec![full])).unwrap())[0];
    assert!(!legend(paper));
    assert!(paper.paths.iter().all(|p| p.group != "scrap"));
    let paper = &papers(&cutting_sheets(&sheet(vec![rest])).unwrap())[0];
    assert!(legend(paper));
    let parts: Vec<&Vec<(f64, f64)>> = paper
        .paths
        .iter()
        .filter(|p| p.group == "part")
        .map(|p| &p.runs[0])
        .collect();
    let strokes = || {
        paper
            .paths
            .iter()
            .filter(|p| p.group == "scrap")
            .flat_map(|p| &p.runs)
    };
    assert!(strokes().count() > 30);
    for run in strokes() {
        let middle = (
            f64::midpoint(run[0].0, run[1].0),
            f64::midpoint(run[0].1, run[1].1),
        );
        assert!(
            !parts.iter().any(|p| inside(p, middle)),
            "{middle:?} lies on a part"
        );
    }
    // Strokes 1.5 mm apart both ways over 1000 by 150 mm at 1:10.
    let ink: f64 = strokes()
        .map(|r| (r[1].0 - r[0].0).hypot(r[1].1 - r[0].1))
        .sum();
    assert!((ink - 2.0 * 100.0 * 15.0 / 1.5).abs() < 0.05 * ink, "{ink}");
}

fn one_piece(kind: PieceKind) -> ElevationDrawing {
    let outline = Rectangle::at(0, 0, 2000, 1500).corners().to_vec();
    ElevationDrawing {
        pieces: vec![PieceDrawing {
            number: 1,
            outline: outline.clone(),
            kind,
        }],
        outline,
        ..ElevationDrawing::default()
    }
}

/// The directions of the strokes in a piece, in whole degrees.
fn directions(kind: PieceKind) -> BTreeSet<i32> {
    let paper = &papers(&elevation(&one_piece(kind), &ElevationOptions::boards()).unwrap())[0];
    paper
        .paths
        .iter()
        .filter(|p| p.group == "hatch")
        .flat_map(|p| &p.runs)
        .filter(|r| (r[1].0 - r[0].0).hypot(r[1].1 - r[0].1) > 6.0)
        .map(|r| {
            let angle = (r[0].1 - r[1].1).atan2(r[1].0 - r[0].0).to_degrees();
            (angle.round() as i32).rem_euclid(180)
        })
        .collect()
}

#[test]
fn forms_of_plinth_and_barrier_are_told_apart_as_those_of_the_facade() {
    let kinds = [
        [PieceKind::Whole, PieceKind::Cut, PieceKind::Notched],
        [
            PieceKind::Plinth,
            PieceKind::PlinthCut,
            PieceKind::PlinthNotched,
        ],
        [
            PieceKind::Barrier,
            PieceKind::BarrierCut,
            PieceKind::BarrierNotched,
        ],
    ];
    let mut seen = BTreeSet::new();
    for [whole, cut, notched] in kinds {
        let whole = directions(whole);
        // A cut piece is the whole one with rising strokes over it, a notched one with falling strokes.
        let with = |angle: i32| {
            whole
                .iter()
                .copied()
                .chain([angle])
                .collect::<BTreeSet<i32>>()
        };
        assert_eq!(directions(cut), with(45));
        assert_eq!(directions(notched), with(135));
        assert!(seen.insert(whole));
    }
}

fn legend_of(paper: &Paper) -> Vec<&str> {
    let words = paper.words.iter();
    words
        .filter(|w| w.group == "legend")
        .map(|w| w.content.as_str())
        .collect()
}

#[test]
fn legends_and_lists_are_those_of_their_sheet() {
    let mut drawing = scenes::block_of_flats();
    drawing.pieces.push(PieceDrawing {
        number: 9000,
        outline: Rectangle::at(39_900, 14_000, 100, 900).corners().to_vec(),
        kind: PieceKind::Fill,
    });
    // Slivers at both ends, too small for their numbers.
    for (number, x) in [(9001, 100), (9002, 39_700)] {
        drawing.pieces.push(PieceDrawing {
            number,
            outline: Rectangle::at(x, 14_000, 40, 40).corners().to_vec(),
            kind: PieceKind::Fill,
        });
    }
    drawing.cracks.push(CrackLine {
        from: Point::at(100, 100),
        to: Point::at(900, 600),
    });
    let sheets = elevation(&drawing, &ElevationOptions::boards().at_scale(50)).unwrap();
    let papers = papers(&sheets);
    let (mut cracked, mut dots, mut listed) = (0, 0, 0);
    for (sheet, paper) in sheets.iter().zip(&papers) {
        if sheet.scale.is_none() {
            continue;
        }
        let legend = legend_of(paper);
        let crack = paper.paths.iter().any(|p| p.group == "crack");
        assert_eq!(legend.contains(&"crack or change of substrate"), crack);
        cracked += usize::from(crack);
        let joint = paper
            .paths
            .iter()
            .any(|p| p.group == "structural-joint" && !p.runs.is_empty());
        assert_eq!(legend.contains(&"structural joint"), joint);
        let solid = paper.paths.iter().any(|p| p.group == "fill");
        assert_eq!(legend.contains(&"filled gap"), solid);
        let here = paper
            .circles
            .iter()
            .filter(|c| c.group == "symbol" && (c.r - 0.4).abs() < 0.01);
        let here = here.count();
        let lines = paper.words.iter();
        let lines = lines
            .filter(|w| w.class == "piece-number" && w.group == "list")
            .count();
        // The legend has a dot of its own.
        let sample = usize::from(legend.contains(&"piece numbered in the list"));
        assert_eq!(
            here,
            lines + sample,
            "dots and lines of sheet {}",
            sheet.number
        );
        dots += here;
        listed += lines;
    }
    assert_eq!(cracked, 1);
    assert!(dots > 0 && listed > 1);
}

#[test]
fn joints_are_named_off_the_wall() {
    let mut drawing = scenes::house();
    drawing.joints.push(JointDrawing {
        name: "structural joint 1, gap 20 mm".into(),
        from: Point::at(6300, 0),
        to: Point::at(6300, 7350),
    });
    for options in [ElevationOptions::boards(), ElevationOptions::anchors()] {
        let papers = papers(&elevation(&drawing, &options).unwrap());
        let top = papers[0]
            .paths
            .iter()
            .filter(|p| p.group == "outline")
            .flat_map(|p| p.runs.iter().flatten())
            .map(|p| p.1)
            .fold(f64::MAX, f64::min);
        let names: Vec<&Word> = papers[0]
            .words
            .iter()
            .filter(|w| w.group == "joint-name")
            .collect();
        assert_eq!(names.len(), 1);
        assert!(names[0].y < top, "{} at {}", names[0].content, names[0].y);
        let key = format!("{}: structural joint 1", names[0].content);
        let mut list = papers.iter().flat_map(|p| &p.words);
        assert!(list.any(|w| w.group == "list" && w.content.starts_with(&key)));
        for name in papers[0].words.iter().filter(|w| w.group == "zone-name") {
            assert!(
                !room_of(name).overlaps(&room_of(names[0])),
                "{}",
                name.content
            );
        }
    }
}

#[test]
fn zones_of_one_letter_keep_their_own_figures() {
    let zone = |x: i32, n: f64, utilisation: f64| ZoneDrawing {
        name: "A".into(),
        area: Rectangle::at(x, 0, 2500, 3000),
        anchors_per_m2: n,
        utilisation,
        ..ZoneDrawing::default()
    };
    let outline = Rectangle::at(0, 0, 5000, 3000).corners().to_vec();
    let drawing = ElevationDrawing {
        dimensions: chains_of(&outline, &[], &[]),
        outline,
        zones: vec![zone(0, 5.8, 0.56), zone(2500, 7.8, 0.42)],
        ..ElevationDrawing::default()
    };
    let papers = papers(&elevation(&drawing, &ElevationOptions::anchors()).unwrap());
    let words = |group: &str| -> Vec<&str> {
        let all = papers[0].words.iter().filter(|w| w.group == group);
        all.map(|w| w.content.as_str()).collect()
    };
    assert_eq!(
        words("zone-name"),
        ["A 1: 5.8/m², 56 %", "A 2: 7.8/m², 42 %"]
    );
    let list = words("list").join(" ");
    assert!(
        list.contains("A 1: 5.8 anchors/m², 0 anchors, utilisation 56 % · A 1: x 0 to 2500"),
        "{list}"
    );
    assert!(
        list.contains("A 2: 7.8 anchors/m², 0 anchors, utilisation 42 % · A 2: x 2500 to 5000"),
        "{list}"
    );
}

/// A bead along the outline stands inside it and is as long as its edge.
#[test]
fn beads_along_the_outline_stand_beside_it() {
    let outline = vec![
        Point::at(0, 0),
        Point::at(4000, 0),
        Point::at(4000, 2000),
        Point::at(0, 3000),
    ];
    let edges = [(0, 1), (1, 2), (2, 3), (3, 0)];
    let beads = edges
        .iter()
        .map(|&(a, b): &(usize, usize)| BeadLine {
            from: outline[a],
            to: outline[b],
            kind: BeadKind::Sealing,
        })
        .collect();
    let drawing = ElevationDrawing {
        outline,
        beads,
        ..ElevationDrawing::default()
    };
    let sheets = elevation(&drawing, &ElevationOptions::reinforcement()).unwrap();
    let scale = f64::from(sheets[0].scale.unwrap());
    let paper = &papers(&sheets)[0];
    let shape = &paper
        .paths
        .iter()
        .find(|p| p.group == "outline")
        .unwrap()
        .runs[0];
    let lines: Vec<&Vec<(f64, f64)>> = paper
        .paths
        .iter()
        .filter(|p| p.group == "bead-sealing")
        .flat_map(|p| &p.runs)
        .collect();
    let lengths = [4000.0, 2000.0, 4000.0_f64.hypot(1000.0), 3000.0];
    assert_eq!(lines.len(), lengths.len());
    for (line, length) in lines.iter().zip(lengths) {
        let drawn = (line[1].0 - line[0].0).hypot(line[1].1 - line[0].1) * scale;
        assert!((drawn - length).abs() < 2.0, "{drawn} of {length}");
        let middle = (
            f64::midpoint(line[0].0, line[1].0),
            f64::midpoint(line[0].1, line[1].1),
        );
        assert!(inside(shape, middle), "{line:?} outside {shape:?}");
    }
}

/// The ends of sills, where a strip runs across the wall: a symbol at each on the strip's own line, clear of every word, and in the list how long
/// it is.
#[test]
fn ends_of_sills_are_marked_on_their_strips() {
    let outline = Rectangle::at(0, 0, 9000, 4000);
    let at = [
        Rectangle::at(800, 900, 1400, 1200),
        Rectangle::at(3200, 900, 600, 700),
        Rectangle::at(5200, 1100, 1800, 1500),
        // On any scale too small for a symbol.
        Rectangle::at(8000, 900, 280, 280),
    ];
    let openings = at
        .iter()
        .enumerate()
        .map(|(i, at)| drawing::OpeningDrawing {
            id: format!("W{i}"),
            raw: *at,
            finished: *at,
            foot: drawing::OpeningFoot::Sill,
        });
    let bead = |kind: BeadKind, a: Point, b: Point| BeadLine {
        from: a,
        to: b,
        kind,
    };
    let beads = at.iter().flat_map(|at| {
        let [a, b, c, d] = at.corners();
        [
            bead(BeadKind::Corner, a, d),
            bead(BeadKind::Corner, b, c),
            bead(BeadKind::Frame, a, d),
            bead(BeadKind::Frame, b, c),
            bead(BeadKind::Sill, a, b),
            bead(BeadKind::Sealing, a, b),
        ]
    });
    let end = |opening: usize, side: SillSide, length: i32| SillEnd {
        opening,
        side,
        length: Mm(length),
    };
    let mut drawing = ElevationDrawing {
        outline: outline.corners().to_vec(),
        openings: openings.collect(),
        beads: beads.collect(),
        sill_ends: vec![
            end(0, SillSide::Left, 305),
            end(0, SillSide::Right, 305),
            end(1, SillSide::Right, 305),
            end(2, SillSide::Left, 305),
            end(2, SillSide::Right, 265),
            end(3, SillSide::Left, 305),
            end(3, SillSide::Right, 305),
        ],
        ..ElevationDrawing::default()
    };
    let paper = &papers(&elevation(&drawing, &ElevationOptions::reinforcement()).unwrap())[0];
    let frame = |points: &[(f64, f64)]| Box4 {
        x0: points.iter().map(|p| p.0).fold(f64::MAX, f64::min),
        x1: points.iter().map(|p| p.0).fold(f64::MIN, f64::max),
        y0: points.iter().map(|p| p.1).fold(f64::MAX, f64::min),
        y1: points.iter().map(|p| p.1).fold(f64::MIN, f64::max),
    };
    let of = |group: &str| -> Vec<Box4> {
        let paths = paper.paths.iter().filter(|p| p.group == group);
        paths.map(|p| frame(&p.runs[0])).collect()
    };
    let (legend, marks): (Vec<Box4>, Vec<Box4>) =
        of("sill-end").into_iter().partition(|b| b.y0 > 240.0);
    assert_eq!((legend.len(), marks.len()), (1, 5));
    assert!(legend_of(paper).contains(&"sealing strip at the end of a sill, see list"));
    let (windows, strips) = (of("opening"), of("bead-sealing"));
    for mark in &marks {
        let (x, y) = mark.centre();
        let own = windows
            .iter()
            .find(|w| w.x0 < x && x < w.x1 && w.y0 < y && y < w.y1);
        let own = own.unwrap_or_else(|| panic!("{mark:?} is in no window"));
        let aside = (x - own.x0).min(own.x1 - x);
        assert!(
            own.y1 - y < 4.0 && (0.9..5.0).contains(&aside),
            "{mark:?} in {own:?}"
        );
        // On the line of its strip.
        assert!(
            strips
                .iter()
                .any(|s| s.x0 < x && x < s.x1 && (s.y0 - y).abs() < 0.02)
        );
        for word in &paper.words {
            assert!(
                !room_of(word).overlaps(mark),
                "{} on {mark:?}",
                word.content
            );
        }
    }
    let list = paper.words.iter().filter(|w| w.group == "list");
    let list: Vec<&str> = list.map(|w| w.content.as_str()).collect();
    let list = list.join(" ");
    for told in [
        "305 at each end: W0, W3",
        "305 at the right end: W1",
        "305 at the left end, 265 at the right end: W2",
    ] {
        assert!(list.contains(told), "{told} in {list}");
    }
    // The symbols give way to the letters.
    let letters = |drawing: &ElevationDrawing| {
        let mut options = ElevationOptions::reinforcement();
        options.scale = drawing::Scale::OneTo(100);
        let paper = &papers(&elevation(drawing, &options).unwrap())[0];
        let codes = ["S", "T", "F", "C"].map(|code| {
            let words = paper.words.iter();
            words.filter(|w| w.content == code && w.y < 240.0).count()
        });
        let marks = paper.paths.iter().filter(|p| p.group == "sill-end");
        (codes, marks.count())
    };
    let (with, marks) = letters(&drawing);
    let ends = std::mem::take(&mut drawing.sill_ends);
    let (without, none) = letters(&drawing);
    assert_eq!((with, none), (without, 0));
    assert!(marks > 4 && with[0] > 1, "{marks}, {with:?}");
    drawing.sill_ends = ends;
    drawing.sill_ends[6].opening = 4;
    let faults = elevation(&drawing, &ElevationOptions::reinforcement()).unwrap_err();
    assert_eq!(faults[0].path, "sill_ends[6].opening");
}

#[test]
fn levels_are_metres_with_their_sign() {
    let written = [0, 900, -250, 12_345, -1].map(|mm| level(Mm(mm)));
    assert_eq!(written, ["±0.000", "+0.900", "-0.250", "+12.345", "-0.001"]);
}
