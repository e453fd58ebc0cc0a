//! What a foreman reads off a sheet: which row a chain measures, what a leader runs to, where a list goes on, which number is whose.

mod drawing_paper;
#[allow(dead_code)] // shared with the other checks
#[path = "../../services/core/drawing/examples/gallery/scenes.rs"]
mod scenes;

use drawing::{
    AnchorDrawing, AnchorKind, CutBoard, CutLine, CutPart, CuttingSheet, DimensionChain,
    ElevationDrawing, ElevationOptions, FixtureMark, JointDrawing, Lettering, ListSection, Lists,
    OpeningDrawing, OpeningFoot, PartTop, PartUse, Point, Rectangle, TitleBlock, ZoneDrawing,
    chains_of, cutting_sheets, elevation, list_sheets, utilisation_picture,
};
use drawing_paper::{Box4, Paper, Word, lawful};
use quantity::Mm;

fn papers(sheets: &[drawing::Sheet]) -> Vec<Paper> {
    sheets.iter().map(|s| lawful(&s.svg)).collect()
}

fn window(id: &str, at: Rectangle) -> OpeningDrawing {
    OpeningDrawing {
        id: id.into(),
        raw: at,
        finished: at,
        foot: OpeningFoot::Sill,
    }
}

fn room_of(word: &Word) -> Box4 {
    word.sized_box(
        Lettering::Small.width_mm(&word.content),
        Lettering::Small.height_mm(),
    )
}

/// A wall whose storeys have openings of their own.
fn wall_of_rows(height: i32) -> ElevationDrawing {
    let outline = Rectangle::at(0, 0, 9000, height).corners().to_vec();
    let openings = vec![
        window("a", Rectangle::at(700, 0, 1000, 2100)),
        window("b", Rectangle::at(3000, 900, 1500, 1200)),
        window("c", Rectangle::at(6200, 900, 1100, 1300)),
        window("d", Rectangle::at(1100, 3600, 1300, 1300)),
        window("e", Rectangle::at(5100, 3900, 700, 700)),
    ];
    ElevationDrawing {
        dimensions: chains_of(&outline, &openings, &[]),
        outline,
        openings,
        ..ElevationDrawing::default()
    }
}

/// The figures of the chains of rows, by the heights that their names tell.
fn row_chains(paper: &Paper) -> Vec<(String, Vec<i32>)> {
    let names = paper.words.iter().filter(|w| w.class == "dimension-name");
    let names: Vec<&Word> = names.collect();
    let chains = names.chunks_exact(2).map(|name| {
        let line = f64::midpoint(name[0].y, name[1].y);
        let mut figures: Vec<(f64, i32)> = paper
            .words
            .iter()
            .filter(|w| w.class == "dimension-figure" && !w.upward)
            .filter(|w| (line - 4.5..line + 3.5).contains(&w.y))
            .map(|w| (w.x, w.content.parse().unwrap()))
            .collect();
        figures.sort_by(|a, b| a.0.total_cmp(&b.0));
        let figures = figures.into_iter().map(|(_, figure)| figure).collect();
        (name[1].content.replace('\u{a0}', " "), figures)
    });
    chains.collect()
}

#[test]
fn each_row_of_openings_has_a_chain_of_its_own() {
    let sheets = elevation(&wall_of_rows(5400), &ElevationOptions::boards()).unwrap();
    let told = row_chains(&papers(&sheets)[0]);
    let wanted = [
        (
            "±0.000 to +2.200",
            vec![700, 1000, 1300, 1500, 1700, 1100, 1700],
        ),
        ("+3.600 to +4.900", vec![1100, 1300, 2700, 700, 3200]),
    ];
    let wanted = wanted.map(|(name, figures)| (name.to_owned(), figures));
    assert_eq!(told, wanted);
}

/// Rows 1 and 3 are in line, row 2 is not: the name says so, for their heights would take in the row between them.
/// Levels that crowd about the foot of the wall stand beside it, and never on the names of the chains below it.
#[test]
fn levels_at_the_foot_keep_off_the_names_of_chains() {
    let mut wall = wall_of_rows(5400);
    let steps = |levels: [i32; 3]| {
        let ends = levels
            .into_iter()
            .zip([(0, 3000), (3000, 6000), (6000, 9000)]);
        let points = ends.flat_map(|(y, (from, to))| [(from, y), (to, y)]);
        points.map(|(x, y)| Point { x: Mm(x), y: Mm(y) }).collect()
    };
    wall.base_line = steps([230, 320, 410]);
    wall.ground_line = steps([50, 100, 150]);
    let paper = &papers(&elevation(&wall, &ElevationOptions::boards()).unwrap())[0];
    let of = |class: &str| -> Vec<Box4> {
        let words = paper.words.iter().filter(|w| w.class == class);
        words.map(room_of).collect()
    };
    let (names, levels) = (of("dimension-name"), of("level-figure"));
    assert!(
        names.len() >= 4 && levels.len() >= 8,
        "{names:?} {levels:?}"
    );
    for level in &levels {
        assert!(!names.iter().any(|name| name.overlaps(level)), "{level:?}");
    }
}

#[test]
fn rows_in_line_with_another_between_are_named_by_number() {
    let outline = Rectangle::at(0, 0, 9000, 6000).corners().to_vec();
    let openings = vec![
        window("a", Rectangle::at(700, 900, 1000, 600)),
        window("b", Rectangle::at(3000, 2900, 1500, 600)),
        window("c", Rectangle::at(700, 4900, 1000, 600)),
    ];
    let drawing = ElevationDrawing {
        dimensions: chains_of(&outline, &openings, &[]),
        outline,
        openings,
        ..ElevationDrawing::default()
    };
    let sheets = elevation(&drawing, &ElevationOptions::boards()).unwrap();
    let told = row_chains(&papers(&sheets)[0]);
    let wanted = [
        ("1, 3 from below".to_owned(), vec![700, 1000, 7300]),
        ("+2.900 to +3.500".to_owned(), vec![3000, 1500, 4500]),
    ];
    assert_eq!(told, wanted);
}

#[test]
fn rows_in_line_share_one_chain_without_a_name() {
    let mut drawing = wall_of_rows(5400);
    for (opening, x) in drawing.openings.iter_mut().skip(3).zip([700, 3000]) {
        opening.finished.x = Mm(x);
    }
    drawing.openings.truncate(4);
    drawing.openings[3].finished.width = Mm(1000);
    drawing.openings.drain(1..3);
    let chains = chains_of(&drawing.outline, &drawing.openings, &[]);
    assert!(
        chains.iter().all(|chain| chain.rows.is_none()),
        "{chains:?}"
    );
}

/// Chains of rows never cost a sheet or a scale: of many heights, some leave them no room.
#[test]
fn chains_of_rows_keep_to_the_room_there_is() {
    let mut kinds = [0, 0];
    for height in (5000..12_500).step_by(250) {
        let drawing = wall_of_rows(height);
        let (rows, mut others): (Vec<DimensionChain>, Vec<DimensionChain>) = drawing
            .dimensions
            .iter()
            .cloned()
            .partition(|c| c.rows.is_some());
        let mut stations: Vec<Mm> = rows.iter().flat_map(|c| c.stations.clone()).collect();
        stations.sort_unstable();
        stations.dedup();
        let side = rows[0].side;
        others.insert(
            0,
            DimensionChain {
                side,
                stations,
                rows: None,
            },
        );
        let shared = ElevationDrawing {
            dimensions: others,
            ..drawing.clone()
        };
        let drawn = |d: &ElevationDrawing| elevation(d, &ElevationOptions::anchors()).unwrap();
        let (each, shared) = (drawn(&drawing), drawn(&shared));
        assert_eq!(each.len(), shared.len(), "{height}");
        assert_eq!(each[0].scale, shared[0].scale, "{height}");
        kinds[usize::from(row_chains(&papers(&each)[0]).is_empty())] += 1;
    }
    assert!(kinds.iter().all(|count| *count > 1), "{kinds:?}");
}

/// Clips in rows, so near each other that their references have no room beside them, among anchors.
fn crowded(apart: i32, rows: i32) -> ElevationDrawing {
    let outline = Rectangle::at(0, 0, 9000, 6000).corners().to_vec();
    let clip = |i: i32| FixtureMark {
        at: Point::at(3150 + apart * i, 2850 + apart * (i % rows)),
        // Each of its own name, so that none is told by its neighbours.
        text: format!("cable clip {i}"),
        ..FixtureMark::default()
    };
    let anchors = (0..18).flat_map(|x| {
        (0..12).map(move |y| AnchorDrawing {
            at: Point::at(250 + 500 * x, 250 + 500 * y),
            kind: AnchorKind::Recessed,
            zone: 0,
        })
    });
    ElevationDrawing {
        outline,
        anchors: anchors.collect(),
        zones: vec![ZoneDrawing {
            name: "A".into(),
            area: Rectangle::at(0, 0, 9000, 6000),
            anchors_per_m2: 4.0,
            utilisation: 0.5,
            ..ZoneDrawing::default()
        }],
        fixtures: (0..12).map(clip).collect(),
        ..ElevationDrawing::default()
    }
}

type Stroke = ((f64, f64), (f64, f64));

/// How near a place comes to a stroke.
fn away(at: (f64, f64), (a, b): Stroke) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = ((at.0 - a.0) * dx + (at.1 - a.1) * dy) / (dx * dx + dy * dy);
    let along = along.clamp(0.0, 1.0);
    (at.0 - a.0 - along * dx).hypot(at.1 - a.1 - along * dy)
}

fn cross(one: Stroke, other: Stroke) -> bool {
    let turn = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
        (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
    };
    let parted = |s: Stroke, t: Stroke| turn(s.0, s.1, t.0) * turn(s.0, s.1, t.1) < 0.0;
    parted(one, other) && parted(other, one)
}

#[test]
fn leaders_of_crowded_marks_cross_nothing() {
    let mut led = 0;
    for apart in [125, 135, 150, 165, 180] {
        for rows in [1, 2, 3] {
            led += leaders_are_clear(&crowded(apart, rows));
        }
    }
    assert!(led > 20, "{led}");
}

/// Checks the leaders of a drawing and counts them.
fn leaders_are_clear(drawing: &ElevationDrawing) -> usize {
    let paper = &papers(&elevation(drawing, &ElevationOptions::anchors()).unwrap())[0];
    let leaders: Vec<Stroke> = paper
        .paths
        .iter()
        .filter(|p| p.group == "mark-leader")
        .flat_map(|p| p.runs.iter().map(|run| (run[0], run[1])))
        .collect();
    let words: Vec<&Word> = paper.words.iter().filter(|w| w.group == "mark").collect();
    assert_eq!(words.len(), 12);
    let anchors = || paper.circles.iter().filter(|c| c.group == "anchor");
    for (i, leader) in leaders.iter().enumerate() {
        for other in &leaders[i + 1..] {
            assert!(!cross(*leader, *other), "{leader:?} {other:?}");
        }
        for anchor in anchors() {
            let gap = away((anchor.x, anchor.y), *leader) - anchor.r;
            // Its own element may lie on an anchor.
            let own = (anchor.x - leader.0.0).hypot(anchor.y - leader.0.1) < 1.8;
            assert!(own || gap > 0.0, "a leader runs over an anchor");
        }
        for word in &words {
            let centre = room_of(word).centre();
            let own = (centre.0 - leader.1.0).hypot(centre.1 - leader.1.1) < 0.2;
            let gap = away(centre, *leader);
            assert!(own || gap > 0.9, "a leader runs through {}", word.content);
        }
    }
    let symbols = paper.rects.iter().filter(|(g, _)| g == "symbol");
    let symbols: Vec<(f64, f64)> = symbols.map(|(_, b)| b.centre()).collect();
    assert!(symbols.len() >= 12);
    for leader in &leaders {
        for at in &symbols {
            let own = (at.0 - leader.0.0).hypot(at.1 - leader.0.1) < 0.2;
            assert!(
                own || away(*at, *leader) > 1.0,
                "a leader runs over an element"
            );
        }
    }
    leaders.len()
}

/// The words of a list by column, each from above.
fn columns(paper: &Paper) -> Vec<Vec<&Word>> {
    let mut words: Vec<&Word> = paper.words.iter().filter(|w| w.group == "list").collect();
    // A column is wider than its indent.
    words.sort_by(|a, b| a.x.total_cmp(&b.x));
    let mut columns: Vec<Vec<&Word>> = Vec::new();
    for word in words {
        match columns.last_mut() {
            Some(column) if word.x - column[0].x < 15.0 => column.push(word),
            _ => columns.push(vec![word]),
        }
    }
    for column in &mut columns {
        column.sort_by(|a, b| a.y.total_cmp(&b.y));
    }
    columns
}

#[test]
fn lists_that_go_on_say_what_they_are_lists_of() {
    let lines = (0..700).map(|i| format!("{i}: 2000 mm off bar {i}"));
    let lists = Lists {
        block: TitleBlock::default(),
        sections: vec![ListSection {
            heading: "Corner bead of 2000 mm, how each bar is cut on site".into(),
            lines: lines.collect(),
        }],
    };
    let sheets = papers(&list_sheets(&lists).unwrap());
    assert!(sheets.len() > 1);
    let columns: Vec<Vec<&Word>> = sheets.iter().flat_map(columns).collect();
    assert!(columns.len() > sheets.len());
    for column in &columns[1..] {
        let heading = format!("{} {}", column[0].content, column[1].content);
        assert!(heading.starts_with("Corner bead of 2000 mm"), "{heading}");
        assert!(heading.ends_with("(continued)"), "{heading}");
    }
    let all = sheets.iter().flat_map(|p| &p.words);
    let lines = all.filter(|w| w.group == "list" && w.content.contains(" off bar "));
    assert_eq!(lines.count(), 700);
}

/// So many openings that their list goes on above the elevation.
#[test]
fn a_list_that_goes_on_above_the_elevation_has_its_heading() {
    let outline = Rectangle::at(0, 0, 12_000, 6000).corners().to_vec();
    let slot = |i: i32| {
        let at = Rectangle::at(400 + i % 16 * 700, 800 + i / 16 * 900, 260, 400 - i);
        window(&format!("slot {i}"), at)
    };
    let openings: Vec<OpeningDrawing> = (0..80).map(slot).collect();
    let notes =
        (0..8).map(|i| format!("Note {i}: what the person responsible has said of this wall."));
    let drawing = ElevationDrawing {
        dimensions: chains_of(&outline, &openings, &[]),
        notes: notes.collect(),
        openings,
        outline,
        ..ElevationDrawing::default()
    };
    let paper = &papers(&elevation(&drawing, &ElevationOptions::boards()).unwrap())[0];
    let columns = columns(paper);
    let first = &columns[0];
    assert!(first[0].x < 100.0, "nothing stands above the elevation");
    let heading = format!("{} {}", first[0].content, first[1].content);
    assert!(heading.starts_with("Openings, to the boards"), "{heading}");
    let listed = columns
        .iter()
        .flatten()
        .filter(|w| w.content.contains("sill"));
    assert_eq!(listed.count(), 80);
}

/// Openings without room for their size: those of one size and level share a line, and each is told in one line only.
#[test]
fn equal_openings_without_room_are_told_together() {
    let outline = Rectangle::at(0, 0, 12_000, 6000).corners().to_vec();
    let slot = |i: i32| {
        let high = if i == 20 { 450 } else { 400 };
        let at = Rectangle::at(400 + i % 16 * 700, 800 + i / 16 * 900, 260, high);
        window(&format!("W{i}"), at)
    };
    let openings: Vec<OpeningDrawing> = (0..48).map(slot).collect();
    let drawing = ElevationDrawing {
        dimensions: chains_of(&outline, &openings, &[]),
        openings,
        outline,
        ..ElevationDrawing::default()
    };
    let sheets = papers(&elevation(&drawing, &ElevationOptions::reinforcement()).unwrap());
    let list: Vec<&str> = sheets
        .iter()
        .flat_map(columns)
        .flatten()
        .map(|w| w.content.as_str())
        .collect();
    let list = list.join(" ").replace('\u{a0}', " ");
    for told in [
        "16 openings 260 × 400, sill +0.800:",
        "15 openings 260 × 400, sill +1.700:",
        "16 openings 260 × 400, sill +2.600:",
        ", 260 × 450, sill +1.700",
    ] {
        assert_eq!(list.matches(told).count(), 1, "{told} in {list}");
    }
    assert_eq!(list.matches("260 × 4").count(), 4, "{list}");
    for i in 0..48 {
        let words = list.split([' ', ',', ':']);
        let named = words.filter(|word| *word == format!("W{i}")).count();
        assert_eq!(named, 1, "W{i} in {list}");
    }
}

#[test]
fn entries_of_a_list_stay_whole_and_numbers_with_their_units() {
    let line = |i: i32| {
        let pad = "w".repeat(usize::try_from(i % 29).unwrap());
        format!("{i} {pad} of the anchors are used to 59 % at 1 369 Pa, x 1200 from the left end")
    };
    let lists = Lists {
        block: TitleBlock::default(),
        sections: vec![ListSection {
            heading: "Used".into(),
            lines: (0..300).map(line).collect(),
        }],
    };
    for paper in papers(&list_sheets(&lists).unwrap()) {
        for column in columns(&paper) {
            let edge = column.iter().map(|w| w.x).fold(f64::MAX, f64::min);
            let begins = column[0].x - edge < 0.1;
            assert!(begins, "{} goes on from elsewhere", column[0].content);
            for word in column {
                let torn = ["%", "Pa", "369", "1200"]
                    .iter()
                    .find(|t| word.content.starts_with(**t));
                assert_eq!(torn, None, "{}", word.content);
            }
        }
    }
}

#[test]
fn keys_of_joints_keep_off_the_levels() {
    for x in [0, 20, 60, 200, 5960, 6000] {
        let outline = [(0, 0), (6000, 0), (6000, 4200), (0, 2600)];
        let outline: Vec<Point> = outline.iter().map(|p| Point::at(p.0, p.1)).collect();
        let drawing = ElevationDrawing {
            dimensions: chains_of(&outline, &[], &[]),
            joints: vec![JointDrawing {
                name: format!("structural joint 1 at x {x}"),
                from: Point::at(x, 0),
                to: Point::at(x, 2600 + x * 16 / 60),
            }],
            outline,
            ..ElevationDrawing::default()
        };
        let paper = &papers(&elevation(&drawing, &ElevationOptions::boards()).unwrap())[0];
        let named = |group: &str| {
            let words = paper.words.iter().filter(|w| w.group == group);
            words.map(room_of).collect::<Vec<Box4>>()
        };
        let keys = named("joint-name");
        assert_eq!(keys.len(), 1);
        let strokes = paper.paths.iter().filter(|p| p.group == "level");
        for stroke in strokes.flat_map(|p| p.runs.iter().flatten()) {
            assert!(keys[0].x0 - stroke.0 > 1.0, "x {x}: {:?}", keys[0]);
        }
        // Its key is led to a joint that ends far below.
        let led = paper
            .paths
            .iter()
            .filter(|p| p.group == "joint-leader" && !p.runs.is_empty());
        assert_eq!(led.count(), usize::from(x < 5000));
    }
}

/// A board with small pieces in a corner, as toothing and lintels leave them.
fn crumbled() -> CutBoard {
    let part = |number: u32, at: Rectangle| CutPart {
        outline: at.corners().to_vec(),
        holes: Vec::new(),
        used_as: PartUse::Piece(number),
        top: PartTop::Up,
    };
    let mut parts = vec![part(200, Rectangle::at(0, 0, 700, 500))];
    for i in 0..8_u8 {
        let (x, y) = (i32::from(i) / 4 * 60, i32::from(i) % 4 * 125);
        parts.push(part(300 + u32::from(i), Rectangle::at(720 + x, y, 55, 120)));
    }
    let upright = |x: i32, order: u32| CutLine {
        order,
        from: Point::at(x, 0),
        to: Point::at(x, 500),
    };
    CutBoard {
        number: 1,
        product: "board 140 mm".into(),
        length: Mm(1000),
        height: Mm(500),
        kerf: Mm(5),
        parts,
        cuts: vec![upright(700, 1), upright(776, 2), upright(836, 3)],
    }
}

#[test]
fn numbers_of_small_pieces_are_led_to_them() {
    // Ten boards stand at 1:20.
    let boards = (0..10).map(|i: u32| {
        let mut board = crumbled();
        board.number = i + 1;
        for part in &mut board.parts {
            if let PartUse::Piece(number) = &mut part.used_as {
                *number += 1000 * i;
            }
        }
        board
    });
    let sheet = CuttingSheet {
        block: TitleBlock::default(),
        boards: boards.collect(),
        notes: Vec::new(),
    };
    let scale = 20.0;
    let paper = &papers(&cutting_sheets(&sheet).unwrap())[0];
    let frames: Vec<&Box4> = paper
        .rects
        .iter()
        .filter(|(g, _)| g == "board")
        .map(|(_, b)| b)
        .collect();
    let leaders = paper.paths.iter().filter(|p| p.group == "part-leader");
    let leaders: Vec<Stroke> = leaders.map(|p| (p.runs[0][0], p.runs[0][1])).collect();
    let tags: Vec<&Word> = paper
        .words
        .iter()
        .filter(|w| w.group == "part-tag")
        .collect();
    assert_eq!(tags.len(), leaders.len());
    assert!(tags.len() > 40, "{}", tags.len());
    for (tag, leader) in tags.iter().zip(&leaders) {
        let number: u32 = tag.content.parse().unwrap();
        let (board, frame) = sheet
            .boards
            .iter()
            .zip(&frames)
            .find(|(b, _)| b.parts.iter().any(|p| p.used_as == PartUse::Piece(number)))
            .unwrap();
        // The leader ends on the piece of that number, read back on its board.
        let foot = (
            (leader.1.0 - frame.x0) * scale,
            (frame.y1 - leader.1.1) * scale,
        );
        let part = board
            .parts
            .iter()
            .find(|p| p.used_as == PartUse::Piece(number))
            .unwrap();
        let (low, high) = (part.outline[0], part.outline[2]);
        let on = f64::from(low.x.0) < foot.0
            && foot.0 < f64::from(high.x.0)
            && f64::from(low.y.0) < foot.1
            && foot.1 < f64::from(high.y.0);
        assert!(on, "{number}: {foot:?}");
        let under = paper
            .words
            .iter()
            .filter(|w| w.class == "part-name" && w.content == tag.content);
        assert_eq!(under.count(), 1);
    }
    for (i, tag) in tags.iter().enumerate() {
        let words = paper
            .words
            .iter()
            .filter(|w| matches!(w.group.as_str(), "part-words" | "board-caption"));
        for other in words.chain(tags[i + 1..].iter().copied()) {
            assert!(
                !room_of(tag).overlaps(&room_of(other)),
                "{} {}",
                tag.content,
                other.content
            );
        }
    }
    for (i, leader) in leaders.iter().enumerate() {
        for other in &leaders[i + 1..] {
            assert!(!cross(*leader, *other), "{leader:?} {other:?}");
        }
        for ring in paper.circles.iter().filter(|c| c.group == "cut-order") {
            assert!(
                away((ring.x, ring.y), *leader) > ring.r - 0.3,
                "a leader runs through a ring"
            );
        }
    }
}

/// The figures of a zone stand on the wall of the zone: beside its window and under its slope.
#[test]
fn figures_of_a_zone_cover_no_opening() {
    let outline = [(0, 0), (8000, 0), (8000, 2500), (0, 6000)];
    let outline: Vec<Point> = outline.iter().map(|p| Point::at(p.0, p.1)).collect();
    let drawing = ElevationDrawing {
        openings: vec![window("a", Rectangle::at(2500, 1500, 2500, 1800))],
        outline,
        zones: vec![ZoneDrawing {
            name: "A".into(),
            area: Rectangle::at(0, 0, 8000, 6000),
            anchors_per_m2: 6.4,
            utilisation: 0.58,
            ..ZoneDrawing::default()
        }],
        ..ElevationDrawing::default()
    };
    let paper = &papers(&utilisation_picture(&drawing).unwrap())[0];
    let corners = |group: &str| {
        let paths = paper.paths.iter().filter(|p| p.group == group);
        paths.flat_map(|p| p.runs.concat()).collect::<Vec<_>>()
    };
    let (window, wall) = (corners("opening"), corners("outline"));
    let low = |c: &[(f64, f64)]| {
        c.iter()
            .fold((f64::MAX, f64::MAX), |a, p| (a.0.min(p.0), a.1.min(p.1)))
    };
    let high = |c: &[(f64, f64)]| {
        c.iter()
            .fold((f64::MIN, f64::MIN), |a, p| (a.0.max(p.0), a.1.max(p.1)))
    };
    let (from, to) = (low(&window), high(&window));
    let window = Box4 {
        x0: from.0,
        y0: from.1,
        x1: to.0,
        y1: to.1,
    };
    let labels: Vec<&Box4> = paper
        .rects
        .iter()
        .filter(|(g, _)| g == "zone-name")
        .map(|(_, b)| b)
        .collect();
    assert_eq!(labels.len(), 1);
    assert!(!labels[0].overlaps(&window), "{:?} {window:?}", labels[0]);
    // The slope falls from the upper left; the box's upper right corner lies under it.
    let (left, right) = (low(&wall), high(&wall));
    let scale = (right.0 - left.0) / 8000.0;
    let slope = right.1 - scale * 6000.0 + (labels[0].x1 - left.0) * 3500.0 / 8000.0;
    assert!(labels[0].y0 > slope, "{:?}", labels[0]);
}

/// Between rows of windows that leave no room for four rows of plain letters, the figures of a zone are written smaller.
#[test]
fn figures_of_a_zone_shrink_to_stand_between_rows_of_openings() {
    let openings = (0..4).flat_map(|row| {
        (0..4).map(move |i| {
            let at = Rectangle::at(500 + 2800 * i, 900 + 2850 * row, 2200, 1300);
            window(&format!("{row}{i}"), at)
        })
    });
    let zone = |boards: Option<&str>, utilisation: f64| ZoneDrawing {
        name: "B".into(),
        other_boards: boards.map(String::from),
        area: Rectangle::at(0, 0, 11_600, 11_700),
        anchors_per_m2: 5.4,
        utilisation,
        ..ZoneDrawing::default()
    };
    let drawing = ElevationDrawing {
        outline: Rectangle::at(0, 0, 11_600, 11_700).corners().to_vec(),
        openings: openings.collect(),
        zones: vec![zone(None, 0.50), zone(Some("plinth boards"), 0.56)],
        ..ElevationDrawing::default()
    };
    let paper = &papers(&utilisation_picture(&drawing).unwrap())[0];
    let mut titles = paper.rects.iter().filter(|(g, _)| g == "zone-name");
    let (_, title) = titles.next().unwrap();
    let words = paper.words.iter().filter(|w| w.group == "zone-name");
    let words: Vec<&str> = words.map(|w| w.content.as_str()).collect();
    assert!(words.contains(&"56 %"), "{words:?}");
    for path in paper.paths.iter().filter(|p| p.group == "opening") {
        let corners = path.runs.concat();
        let of = |pick: fn(&(f64, f64)) -> f64| corners.iter().map(pick);
        let window = Box4 {
            x0: of(|p| p.0).fold(f64::MAX, f64::min),
            y0: of(|p| p.1).fold(f64::MAX, f64::min),
            x1: of(|p| p.0).fold(f64::MIN, f64::max),
            y1: of(|p| p.1).fold(f64::MIN, f64::max),
        };
        assert!(!title.overlaps(&window), "{title:?} {window:?}");
    }
}
