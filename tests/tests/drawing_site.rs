//! What a foreman reads off the sheets of a job, against the answer that they belong to.

mod drawing_answers;
mod drawing_paper;
mod surveyed;

use std::collections::{BTreeMap, BTreeSet};

use api::v1;
use drawing::{
    AnchorDrawing, AnchorKind, BeadKind, BeadLine, ChainSide, DimensionChain, ElevationDrawing,
    ElevationOptions, FixtureMark, JointDrawing, ListSection, Lists, OpeningDrawing, OpeningFoot,
    PieceDrawing, PieceKind, Point, Rectangle, TitleBlock, ZoneDrawing, chains_of, elevation,
    list_sheets, utilisation_picture,
};
use drawing_answers::{answer, request, sheets};
use drawing_paper::{Box4, Circle, Paper, Word, lawful};
use quantity::Mm;

/// The surveyed building.
fn building(request: &mut v1::EstimateRequest) -> &mut v1::Building {
    match request.survey.as_mut() {
        Some(v1::estimate_request::Survey::Building(building)) => building,
        _ => panic!("a survey of a building"),
    }
}

fn words<'a>(papers: &'a [Paper], group: &str) -> Vec<&'a str> {
    let all = papers.iter().flat_map(|p| &p.words);
    all.filter(|w| w.group == group)
        .map(|w| w.content.as_str())
        .collect()
}

/// Two zones side by side; in the right one the plinth's boards are given.
fn zones(plinth: f64, too_few: bool) -> ElevationDrawing {
    let zone = |x: i32, boards: Option<&str>, utilisation: f64| ZoneDrawing {
        name: if x == 0 { "B" } else { "A" }.into(),
        other_boards: boards.map(Into::into),
        area: Rectangle::at(x, 0, 5000, 6000),
        anchors_per_m2: 8.0,
        utilisation,
        too_few: too_few && boards.is_some(),
    };
    ElevationDrawing {
        outline: Rectangle::at(0, 0, 10_000, 6000).corners().to_vec(),
        zones: vec![
            zone(0, None, 0.4),
            zone(5000, None, 0.87),
            zone(5000, Some("plinth boards"), plinth),
        ],
        ..ElevationDrawing::default()
    }
}

#[test]
fn a_place_is_as_bad_as_the_worst_boards_in_it() {
    let picture = |drawing: &ElevationDrawing| -> Vec<Paper> {
        let sheets = utilisation_picture(drawing).unwrap();
        sheets.iter().map(|s| lawful(&s.svg)).collect()
    };
    let ink = |papers: &[Paper]| -> usize {
        let paths = papers[0].paths.iter().filter(|p| p.group == "utilisation");
        paths.map(|p| p.runs.len()).sum()
    };
    let (good, bad, few) = (
        picture(&zones(0.5, false)),
        picture(&zones(1.03, false)),
        picture(&zones(0.5, true)),
    );
    assert!(words(&good, "zone-name").contains(&"87 %"));
    assert!(!words(&good, "zone-name").contains(&"NOT ENOUGH"));
    let said = words(&bad, "zone-name");
    for wanted in ["plinth boards", "103 %", "NOT ENOUGH"] {
        assert!(said.contains(&wanted), "{wanted} in {said:?}");
    }
    assert!(!said.contains(&"87 %"), "{said:?}");
    assert!(words(&few, "zone-name").contains(&"NOT ENOUGH"));
    assert!(ink(&bad) > 2 * ink(&good) && ink(&few) == ink(&bad));
}

#[test]
fn the_drilling_sheet_marks_a_zone_that_fails() {
    let drilling = |drawing: &ElevationDrawing| -> Vec<Paper> {
        let sheets = elevation(drawing, &ElevationOptions::anchors()).unwrap();
        sheets.iter().map(|s| lawful(&s.svg)).collect()
    };
    let failing = |papers: &[Paper]| -> Vec<f64> {
        let paths = papers.iter().flat_map(|p| &p.paths);
        let mine = paths.filter(|p| p.group == "zone-failing");
        mine.flat_map(|p| p.runs.iter().flatten().map(|at| at.0))
            .collect()
    };
    assert!(failing(&drilling(&zones(0.9, false))).is_empty());
    let papers = drilling(&zones(1.03, false));
    let hatched = failing(&papers);
    let outline = papers[0].paths.iter().find(|p| p.group == "outline");
    let xs = outline.unwrap().runs.iter().flatten().map(|at| at.0);
    let (left, right) = (xs.clone().fold(f64::MAX, f64::min), xs.fold(0.0, f64::max));
    let middle = f64::midpoint(left, right);
    assert!(
        hatched
            .iter()
            .all(|x| (middle - 0.01..=right + 0.01).contains(x))
    );
    assert!(hatched.len() > 10);
    let said = words(&papers, "zone-name");
    assert!(
        said.iter()
            .any(|w| w.starts_with("A: ") && w.ends_with("NOT ENOUGH")),
        "{said:?}"
    );
    assert!(
        said.iter()
            .all(|w| !w.starts_with('B') || !w.contains("NOT"))
    );
}

/// Narrow zones that fail, side by side: every warning is read whole, and no title stands on another.
#[test]
fn warnings_of_narrow_zones_are_readable() {
    let names = ["A 7", "B 7", "C 7", "D 7"];
    let zone = |(i, name): (usize, &&str)| ZoneDrawing {
        name: (*name).into(),
        area: Rectangle::at(600 * i as i32, 0, 600, 6000),
        anchors_per_m2: 8.0,
        utilisation: if i == 3 { 0.6 } else { 1.2 },
        ..ZoneDrawing::default()
    };
    let drawing = ElevationDrawing {
        outline: Rectangle::at(0, 0, 2400, 6000).corners().to_vec(),
        zones: names.iter().enumerate().map(zone).collect(),
        ..ElevationDrawing::default()
    };
    for scale in [50, 100] {
        let papers = drawn(&drawing, &ElevationOptions::anchors().at_scale(scale));
        let titles: Vec<&Word> = papers[0]
            .words
            .iter()
            .filter(|w| w.group == "zone-name")
            .collect();
        for name in &names[..3] {
            let warned = titles
                .iter()
                .any(|w| w.content.starts_with(name) && w.content.contains("NOT"));
            assert!(warned, "{name}");
        }
        for (i, word) in titles.iter().enumerate() {
            let a = word.sized_box(width(word), 0.73 * word.size);
            for other in &titles[i + 1..] {
                let b = other.sized_box(width(other), 0.73 * other.size);
                let apart = a.x1 <= b.x0 || b.x1 <= a.x0 || a.y1 <= b.y0 || b.y1 <= a.y0;
                assert!(apart, "1:{scale}: {} and {}", word.content, other.content);
            }
        }
        let strokes = papers[0].paths.iter().filter(|p| p.group == "zone-failing");
        assert!(strokes.map(|p| p.runs.len()).sum::<usize>() > 20);
    }
}

/// The letter of a bead stands on it, on the base line too.
#[test]
fn the_base_profile_has_its_letter() {
    let base = vec![Point::at(0, 300), Point::at(8000, 300)];
    let drawing = ElevationDrawing {
        outline: Rectangle::at(0, 0, 8000, 4000).corners().to_vec(),
        beads: vec![BeadLine {
            from: base[0],
            to: base[1],
            kind: BeadKind::Base,
        }],
        base_line: base,
        ..ElevationDrawing::default()
    };
    let papers = drawn(&drawing, &ElevationOptions::reinforcement());
    let letters = papers[0].words.iter();
    let letters = letters.filter(|w| w.content == "B" && w.group != "legend");
    // One on the wall, one in the sample of the legend.
    assert_eq!(letters.count(), 2);
}

/// On the pictures of a storm, every place says the share of its worst boards.
#[test]
fn pictures_of_used_shares_are_those_of_the_answer() {
    let mut request = request("house");
    request.wind.as_mut().unwrap().basic_velocity_m_per_s = Some(45.0);
    let answer = answer(request);
    let zones = &answer.fixing.as_ref().unwrap().zones;
    let mut worst: BTreeMap<(&str, i32, i32), f64> = BTreeMap::new();
    for zone in zones {
        let place = (zone.facade.as_str(), zone.x_from_mm, zone.y_from_mm);
        let share = worst.entry(place).or_default();
        *share = share.max(zone.utilisation_share);
    }
    assert!(!worst.is_empty());
    for facade in zones.iter().map(|z| &z.facade).collect::<BTreeSet<_>>() {
        let file = facade.to_lowercase().replace(' ', "-");
        let papers = sheets(&answer, &format!("elevation-{file}-utilisation"));
        let said = words(&papers, "zone-name");
        let mut shares: Vec<&&str> = said.iter().filter(|w| w.ends_with(" %")).collect();
        let mine = worst.iter().filter(|(place, _)| place.0 == facade);
        let mut wanted: Vec<String> = mine
            .map(|(_, share)| format!("{:.0} %", share * 100.0))
            .collect();
        shares.sort();
        wanted.sort();
        assert_eq!(shares, wanted.iter().collect::<Vec<_>>(), "{facade}");
    }
}

/// The house with other names.
fn renamed(names: &[(usize, &str)]) -> v1::EstimateResponse {
    let mut request = request("house");
    let building = building(&mut request);
    for &(index, new) in names {
        let old = std::mem::replace(&mut building.facades[index].id, new.to_owned());
        for facade in &mut building.facades {
            for edge in [&mut facade.left, &mut facade.right].into_iter().flatten() {
                if edge.with == old {
                    new.clone_into(&mut edge.with);
                }
            }
        }
    }
    answer(request)
}

#[test]
fn no_two_sheets_have_one_name_and_no_name_depends_on_the_others_order() {
    let plain = renamed(&[]);
    let names = |answer: &v1::EstimateResponse| -> Vec<String> {
        answer.drawings.iter().map(|d| d.name.clone()).collect()
    };
    let boards = |answer: &v1::EstimateResponse, id: &str| -> String {
        let title = format!("Elevation {id}: boards");
        let mine = answer.drawings.iter().find(|d| d.title.starts_with(&title));
        mine.unwrap().name.clone()
    };
    for (first, second) in [("南立面", "北立面"), ("a/b", "a-b"), ("South", "south")] {
        let one = renamed(&[(0, first), (1, second)]);
        let other = renamed(&[(0, second), (1, first)]);
        let all = names(&one);
        let apart: BTreeSet<String> = all.iter().map(|n| n.to_lowercase()).collect();
        assert_eq!(apart.len(), all.len(), "{all:?}");
        let safe = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
        assert!(all.iter().all(|name| name.chars().all(safe)), "{all:?}");
        for id in [first, second] {
            assert_eq!(boards(&one, id), boards(&other, id));
        }
    }
    // Names that nothing shares are left as they are.
    let one = renamed(&[(0, "Yard 2")]);
    assert!(names(&one).contains(&"elevation-yard-2-boards-1.svg".to_owned()));
    let kept = |n: &&String| !n.starts_with("elevation-");
    assert_eq!(
        names(&plain).iter().filter(kept).count(),
        names(&one).iter().filter(kept).count()
    );
}

/// A width that a word has at most, in a wide common face: DejaVu Sans by its `hmtx` table.
fn width(word: &Word) -> f64 {
    let advance = |c: char| match c {
        '0'..='9' => 1303.0,
        '×' => 1716.0,
        ',' | ' ' | '\u{a0}' => 651.0,
        'O' => 1612.0,
        'm' => 1995.0,
        _ => 1300.0,
    };
    word.content.chars().map(advance).sum::<f64>() / 2048.0 * word.size
}

/// Figures that do not belong together, side by side on a board, would read as one: `830 × 120` before `8` as 1208.
#[test]
fn figures_on_a_cut_board_keep_apart() {
    for name in ["house", "drawings/court", "drawings/l-shaped"] {
        let mut read = 0;
        for paper in sheets(&answer(request(name)), "cutting-") {
            let figures = ["part-size", "piece-number", "offcut-number"];
            let all = paper.words.iter();
            let boxes: Vec<(&Word, Box4)> = all
                .filter(|w| w.group == "part-words" && figures.contains(&w.class.as_str()))
                .filter(|w| w.anchoring == "middle")
                .map(|w| (w, w.sized_box(width(w), 0.73 * w.size)))
                .collect();
            for (i, (word, a)) in boxes.iter().enumerate() {
                for (other, b) in &boxes[i + 1..] {
                    let (dx, dy) = (
                        (b.x0 - a.x1).max(a.x0 - b.x1),
                        (b.y0 - a.y1).max(a.y0 - b.y1),
                    );
                    // Along the line where both read the same way; beside and under each other a little.
                    let (along, across) = if word.upward { (dy, dx) } else { (dx, dy) };
                    let same = word.upward == other.upward;
                    let clear = along > 1.9 || across > 0.3 || (!same && along.max(across) > 0.3);
                    read += 1;
                    assert!(
                        clear,
                        "{name}: {} and {}: {dx} {dy}",
                        word.content, other.content
                    );
                }
            }
        }
        assert!(read > 0);
    }
}

/// How far a place lies from a stroke.
fn away(at: (f64, f64), run: &[(f64, f64)]) -> f64 {
    let ((x0, y0), (x1, y1)) = (run[0], run[run.len() - 1]);
    let (dx, dy) = (x1 - x0, y1 - y0);
    let square = (dx * dx + dy * dy).max(1e-12);
    let share = (((at.0 - x0) * dx + (at.1 - y0) * dy) / square).clamp(0.0, 1.0);
    (at.0 - x0 - share * dx).hypot(at.1 - y0 - share * dy)
}

/// Each order stands on its own cut and on no other, or is led to it.
#[test]
fn the_order_of_a_cut_can_be_told_from_the_others() {
    for name in ["house", "flats", "drawings/court", "drawings/stepped"] {
        let (mut rings, mut unclear) = (0, Vec::new());
        for paper in sheets(&answer(request(name)), "cutting-") {
            let strokes = |group: &str| -> Vec<Vec<(f64, f64)>> {
                let mine = paper.paths.iter().filter(|p| p.group == group);
                mine.flat_map(|p| p.runs.clone()).collect()
            };
            let (cuts, leaders) = (strokes("cut"), strokes("cut-leader"));
            let orders = paper.circles.iter().filter(|c| c.group == "cut-order");
            let orders: Vec<&Circle> = orders.collect();
            // Cuts and rings are drawn in one order, board by board.
            assert_eq!(cuts.len(), orders.len(), "{name}");
            for (own, ring) in orders.iter().enumerate() {
                rings += 1;
                let apart = |other: &&Circle| {
                    let away = (ring.x - other.x).hypot(ring.y - other.y);
                    away > ring.r + other.r - 0.05
                };
                assert!(orders[..own].iter().all(apart), "{name}: rings overlap");
                let led = leaders
                    .iter()
                    .find(|run| (run[0].0 - ring.x).hypot(run[0].1 - ring.y) < 0.02);
                let foot = led.map_or((ring.x, ring.y), |run| run[1]);
                let others = cuts.iter().enumerate().filter(|(i, _)| *i != own);
                // Two cuts a saw's width apart are one line on paper: a leader comes from the own side.
                let sound = others.map(|(_, cut)| cut).all(|other| {
                    let at = (ring.x, ring.y);
                    let own_side = away(at, &cuts[own]) < away(at, other);
                    away(foot, other) > 0.25 || (led.is_some() && own_side)
                });
                if away(foot, &cuts[own]) > 0.03 || !sound {
                    unclear.push((own, ring.x, ring.y));
                }
            }
        }
        assert!(rings > 10);
        assert!(unclear.is_empty(), "{name}: {unclear:?}");
    }
}

/// As many arrows as turned parts, beside the words of those without room for one.
#[test]
fn turned_pieces_say_which_way_they_lie() {
    let mut turned = 0;
    for name in ["house", "drawings/l-shaped", "drawings/stepped"] {
        let answer = answer(request(name));
        let boards = &answer.layout.as_ref().unwrap().boards;
        let parts = boards
            .iter()
            .filter(|b| !b.cuts.is_empty())
            .flat_map(|b| &b.parts);
        let wanted = parts.filter(|p| p.turned || p.half_turned).count();
        let (mut arrows, mut told) = (0, 0);
        for paper in sheets(&answer, "cutting-") {
            let shafts = paper.paths.iter().filter(|p| p.group == "arrow");
            let drawn = shafts.filter(|p| p.runs[0].len() == 2).count();
            let explained = words(std::slice::from_ref(&paper), "legend")
                .contains(&"turned piece: the arrow points up on the wall");
            // The legend has an arrow of its own.
            arrows += drawn - usize::from(explained);
            assert!(explained || drawn == 0);
            let said = words(std::slice::from_ref(&paper), "part-words").join(" ");
            told += said.matches("upper edge on the wall").count();
        }
        assert_eq!(arrows + told, wanted, "{name}");
        turned += wanted;
    }
    assert!(turned > 0);
}

fn drawn(drawing: &ElevationDrawing, options: &ElevationOptions) -> Vec<Paper> {
    let sheets = elevation(drawing, options).unwrap();
    sheets.iter().map(|s| lawful(&s.svg)).collect()
}

/// A wall whose survey begins at x 5000.
fn moved() -> ElevationDrawing {
    let outline = Rectangle::at(5000, 0, 12_000, 6000).corners().to_vec();
    let joint = JointDrawing {
        name: "structural joint 1".into(),
        from: Point::at(11_000, 0),
        to: Point::at(11_000, 6000),
    };
    // Each of its own name, so that none is told by its neighbours.
    let element = |x: i32, y: i32| FixtureMark {
        at: Point::at(x, y),
        text: format!("awning {x}"),
        ..FixtureMark::default()
    };
    ElevationDrawing {
        dimensions: chains_of(&outline, &[], std::slice::from_ref(&joint)),
        outline,
        joints: vec![joint],
        fixtures: (0..16).map(|i| element(6000 + 60 * i, 3000)).collect(),
        ..ElevationDrawing::default()
    }
}

#[test]
fn lists_count_from_where_the_chains_start() {
    let papers = drawn(&moved(), &ElevationOptions::anchors());
    let list = words(&papers, "list").join(" ");
    assert!(list.contains("M1 x 1000, y 3000: awning"), "{list}");
    assert!(
        list.contains("left end of the wall") && list.contains("the survey has x 5000 there"),
        "{list}"
    );
}

#[test]
fn a_structural_joint_is_a_station_of_a_chain() {
    let papers = drawn(&moved(), &ElevationOptions::boards());
    let figures = papers[0].words.iter();
    let figures = figures.filter(|w| w.class == "dimension-figure" && !w.upward);
    let figures: Vec<&str> = figures.map(|w| w.content.as_str()).collect();
    assert_eq!(
        figures.iter().filter(|f| **f == "6000").count(),
        2,
        "{figures:?}"
    );
    assert!(figures.contains(&"12000"), "{figures:?}");
}

/// What is told of corners is what the courses do there.
#[test]
fn corners_tell_how_far_boards_run_and_whose_boards_lie_there() {
    let slots: usize = ["drawings/l-shaped", "drawings/court"]
        .map(corners)
        .iter()
        .sum();
    assert!(slots > 0);
}

/// Checks the corners of a survey; how many slots its sheets show.
fn corners(name: &str) -> usize {
    let answer = answer(request(name));
    let layout = answer.layout.as_ref().unwrap();
    let mut request = request(name);
    let mut slots = 0;
    for facade in &building(&mut request).facades {
        let file = facade.id.to_lowercase().replace(' ', "-");
        let papers = sheets(&answer, &format!("elevation-{file}-boards"));
        let scale: f64 = words(&papers, "title-block")
            .iter()
            .find_map(|w| w.strip_prefix("1:")?.parse().ok())
            .unwrap();
        let list = words(&papers, "list").join(" ").replace('\u{a0}', " ");
        let low = facade.outline.iter().map(|p| p.x_mm).min().unwrap();
        let pieces = layout.pieces.iter().filter(|p| p.facade == facade.id);
        let reached = pieces
            .flat_map(|p| &p.outline)
            .map(|p| p.x_mm)
            .min()
            .unwrap();
        if reached < low {
            let said = format!("boards run {} mm past the outline", low - reached);
            assert!(list.contains(&said), "{said} in {list}");
        }
        // Covered and open stretches together are the outline.
        let run = |group: &str| -> f64 {
            let mine = papers[0].paths.iter().filter(|p| p.group == group);
            let runs = mine.flat_map(|p| p.runs.iter().map(move |r| (r, p.closed)));
            runs.map(|(r, closed)| {
                let ends = r.iter().zip(r.iter().skip(1));
                let open: f64 = ends.map(|(a, b)| (b.0 - a.0).hypot(b.1 - a.1)).sum();
                let (a, b) = (r[0], r[r.len() - 1]);
                open + if closed {
                    (b.0 - a.0).hypot(b.1 - a.1)
                } else {
                    0.0
                }
            })
            .sum()
        };
        let points = &facade.outline;
        let around: f64 = points
            .iter()
            .zip(points.iter().cycle().skip(1))
            .map(|(a, b)| f64::from(b.x_mm - a.x_mm).hypot(f64::from(b.y_mm - a.y_mm)))
            .sum();
        let pictures = papers.iter().filter(|p| {
            let block = p.words.iter().filter(|w| w.group == "title-block");
            block.clone().any(|w| w.content.starts_with("1:"))
        });
        let single = pictures.count() == 1;
        let drawn = (run("outline") + run("outline-covered")) * scale;
        assert!(
            !single || (drawn - around).abs() < 0.5 * scale,
            "{drawn} of {around}"
        );
        assert!(!single || reached >= low || run("outline-covered") > 0.0);
        let all = papers.iter().flat_map(|p| &p.paths);
        let here = all.filter(|p| p.group == "slot").count();
        slots += here;
        let legend = words(&papers, "legend").join(" ");
        assert_eq!(here > 0, legend.contains("at the corner"), "{legend}");
    }
    slots
}

/// Marks nearer to each other than their references are wide: every symbol and every reference stays in sight, and is led where it is far.
#[test]
fn crowded_mounting_elements_hide_nothing() {
    let mut drawing = moved();
    drawing.zones = vec![ZoneDrawing {
        name: "A".into(),
        area: Rectangle::at(5000, 0, 12_000, 6000),
        ..ZoneDrawing::default()
    }];
    let anchor = |x: i32| AnchorDrawing {
        at: Point::at(x, 3060),
        zone: 0,
        kind: AnchorKind::Flush,
    };
    drawing.anchors = (0..40).map(|i| anchor(6000 + 250 * i)).collect();
    let papers = drawn(&drawing, &ElevationOptions::anchors().at_scale(50));
    let paper = &papers[0];
    let marks: Vec<&Word> = paper.words.iter().filter(|w| w.group == "mark").collect();
    assert_eq!(marks.len(), 16);
    let boxes: Vec<Box4> = marks
        .iter()
        .map(|w| w.sized_box(width(w), 0.73 * w.size))
        .collect();
    for (i, a) in boxes.iter().enumerate() {
        assert!(boxes[i + 1..].iter().all(|b| !a.overlaps(b)));
        for ring in paper.circles.iter().filter(|c| c.group == "anchor") {
            let around = Box4 {
                x0: ring.x - ring.r,
                x1: ring.x + ring.r,
                y0: ring.y - ring.r,
                y1: ring.y + ring.r,
            };
            assert!(!a.overlaps(&around), "{}", marks[i].content);
        }
    }
    // Nothing that is filled white comes after the anchors but names outside the wall and in openings.
    let leaders = paper.paths.iter().filter(|p| p.group == "mark-leader");
    assert!(leaders.count() >= 2);
    let order = elevation(&drawing, &ElevationOptions::anchors().at_scale(50)).unwrap();
    let svg = &order[0].svg;
    let last_mark = svg.rfind("<g class=\"mark\"").unwrap();
    assert!(svg.find("<g class=\"anchor\"").unwrap() > last_mark);
    // The first anchor lies 60 mm from the first element; the second 250 mm from it and 79 mm from the fourth.
    let list = words(&papers, "list").join(" ");
    assert!(list.contains("M1: anchor at x 1000, y 3060"), "{list}");
    assert!(list.contains("M5: anchor at x 1250, y 3060"), "{list}");
    assert!(!list.contains("M1: anchor at x 1250"), "{list}");
}

/// The driller's figures stand on his sheet, and the pattern told is that of a whole board.
#[test]
fn the_drilling_sheet_tells_anchors_depths_and_patterns() {
    let answer = answer(request("house"));
    let fixing = answer.fixing.as_ref().unwrap();
    for line in &fixing.drilling {
        let file = line.facade.to_lowercase().replace(' ', "-");
        let papers = sheets(&answer, &format!("elevation-{file}-anchors"));
        let list = words(&papers, "list").join(" ").replace('\u{a0}', " ");
        let said = format!(
            "{} mm long; diameter {} mm, {} mm into the wall, {} mm from the face of the board",
            line.length_mm, line.drill_diameter_mm, line.drill_depth_mm, line.hole_depth_mm
        );
        assert!(list.contains(&said), "{said} in {list}");
        let name = &fixing
            .anchors
            .iter()
            .find(|a| a.anchor == line.anchor)
            .unwrap()
            .name;
        let boards = line.situation.split(" on ").next().unwrap();
        let drilled = format!("Drill for {boards}: {name}");
        assert!(list.contains(&drilled), "{list}");
        // Neither a field of the request nor a key of the catalogue says anything to the driller.
        for key in ["building.", "plate.", "plug."] {
            assert!(!list.contains(key), "{key} in {list}");
        }
        assert!(list.contains("whole facade board"), "{list}");
        // What is told to be most often is no rarer than what is told after it.
        let list = list.split_whitespace().collect::<Vec<_>>().join(" ");
        for told in list.split("most often (").skip(1) {
            let (count, rest) = told.split_once(" of ").unwrap();
            let (all, rest) = rest.split_once("): ").unwrap();
            let (count, all): (u32, u32) = (count.parse().unwrap(), all.parse().unwrap());
            assert!(count <= all, "{told}");
            let none = "none inside, all in its joints, as drawn. Also, ";
            if let Some(also) = rest.strip_prefix(none) {
                let also: u32 = also.split(' ').next().unwrap().parse().unwrap();
                assert!(also <= count && also + count <= all, "{told}");
            }
        }
        assert!(!list.contains(" 1 anchors"), "{list}");
    }
    assert!(!fixing.drilling.is_empty());
}

/// Each sheet of a long wall says where it is cut, and the parts of its first chain add up to the wall.
#[test]
fn sheets_of_a_long_wall_can_be_placed_along_it() {
    let outline = Rectangle::at(5000, 0, 60_000, 5000).corners().to_vec();
    let drawing = ElevationDrawing {
        dimensions: chains_of(&outline, &[], &[]),
        outline,
        ..ElevationDrawing::default()
    };
    let papers = drawn(&drawing, &ElevationOptions::boards().at_scale(50));
    let papers: Vec<&Paper> = papers
        .iter()
        .filter(|p| p.words.iter().any(|w| w.group == "continuation"))
        .collect();
    assert!(papers.len() > 2);
    let mut before = 0;
    for (i, paper) in papers.iter().enumerate() {
        let said = words(std::slice::from_ref(*paper), "continuation");
        let places: Vec<i32> = said
            .iter()
            .filter_map(|w| w.split_once("cut at x ")?.1.split(',').next()?.parse().ok())
            .collect();
        let ends = usize::from(i > 0) + usize::from(i + 1 < papers.len());
        assert_eq!(places.len(), ends, "{said:?}");
        assert!(i == 0 || places[0] == before, "{said:?}");
        let to = if i + 1 < papers.len() {
            places[ends - 1]
        } else {
            60_000
        };
        let figures = words(std::slice::from_ref(*paper), "dimension");
        let here = (to - before).to_string();
        assert!(figures.contains(&here.as_str()), "{here} in {figures:?}");
        before = to;
        let parts = words(std::slice::from_ref(*paper), "key-plan-sheet");
        assert_eq!(parts.len(), papers.len());
    }
}

/// A wall with one window and the beads around it.
fn window(id: &str) -> ElevationDrawing {
    let at = Rectangle::at(2000, 1000, 1200, 1400);
    let [a, b, c, d] = at.corners();
    let bead = |from: Point, to: Point, kind: BeadKind| BeadLine { from, to, kind };
    ElevationDrawing {
        outline: Rectangle::at(0, 0, 8000, 4000).corners().to_vec(),
        openings: vec![OpeningDrawing {
            id: id.into(),
            raw: at,
            finished: at,
            foot: OpeningFoot::Sill,
        }],
        beads: vec![
            bead(a, d, BeadKind::Corner),
            bead(b, c, BeadKind::Corner),
            bead(d, c, BeadKind::Drip),
            bead(a, b, BeadKind::Sill),
        ],
        ..ElevationDrawing::default()
    }
}

#[test]
fn beads_of_an_opening_stand_beside_its_line_and_leave_its_corners_whole() {
    for scale in [20, 50, 100] {
        let papers = drawn(
            &window("w"),
            &ElevationOptions::reinforcement().at_scale(scale),
        );
        let paper = &papers[0];
        let opening = paper.paths.iter().find(|p| p.group == "opening").unwrap();
        let ring = &opening.runs[0];
        let sides: Vec<[(f64, f64); 2]> = ring
            .iter()
            .zip(ring.iter().cycle().skip(1))
            .map(|(a, b)| [*a, *b])
            .collect();
        let beads = paper.paths.iter().filter(|p| p.group.starts_with("bead-"));
        let mut count = 0;
        for bead in beads.flat_map(|p| &p.runs) {
            count += 1;
            let middle = (
                f64::midpoint(bead[0].0, bead[1].0),
                f64::midpoint(bead[0].1, bead[1].1),
            );
            let nearest = sides
                .iter()
                .map(|s| away(middle, s))
                .fold(f64::MAX, f64::min);
            // Half of both lines' widths, which are 0.35 and 0.5 at most.
            assert!(nearest > 0.175 + 0.25, "1:{scale}: {nearest}");
        }
        assert_eq!(count, 4);
        for (group, ground) in paper.rects.iter().filter(|(g, _)| g == "code") {
            for (x, y) in ring {
                let covers =
                    (ground.x0..=ground.x1).contains(x) && (ground.y0..=ground.y1).contains(y);
                assert!(!covers, "1:{scale}: {group} over a corner");
            }
        }
    }
}

#[test]
fn no_mark_has_the_name_of_an_opening() {
    let mut drawing = window("M1");
    drawing.fixtures = vec![FixtureMark {
        at: Point::at(5000, 2000),
        text: "lamp".into(),
        ..FixtureMark::default()
    }];
    let joint = |name: &str| JointDrawing {
        name: name.into(),
        from: Point::at(6000, 0),
        to: Point::at(6000, 4000),
    };
    drawing.joints = vec![joint("structural joint 1")];
    let papers = drawn(&drawing, &ElevationOptions::reinforcement());
    assert!(words(&papers, "opening-name").contains(&"M1"));
    assert_eq!(words(&papers, "mark"), ["ME1"]);
    assert!(
        words(&papers, "list")
            .join(" ")
            .contains("ME1 x 5000, y 2000: lamp")
    );
    // J is the code of a bead.
    assert_eq!(words(&papers, "joint-name"), ["SJ1"]);
    drawing.openings[0].id = "w".into();
    let papers = drawn(&drawing, &ElevationOptions::reinforcement());
    assert_eq!(words(&papers, "mark"), ["M1"]);
}

#[test]
fn no_number_cuts_the_ground_line() {
    let row = |y: i32, height: i32, first: u32| {
        (0..8).map(move |i: i32| PieceDrawing {
            number: first + i.unsigned_abs(),
            outline: Rectangle::at(1000 * i, y, 1000, height).corners().to_vec(),
            kind: PieceKind::Whole,
        })
    };
    let drawing = ElevationDrawing {
        outline: Rectangle::at(0, 0, 8000, 1000).corners().to_vec(),
        ground_line: vec![Point::at(0, 250), Point::at(8000, 250)],
        base_line: vec![Point::at(0, 760), Point::at(8000, 760)],
        pieces: row(0, 500, 1).chain(row(500, 500, 9)).collect(),
        ..ElevationDrawing::default()
    };
    let papers = drawn(&drawing, &ElevationOptions::boards().at_scale(50));
    let paper = &papers[0];
    let mut numbers = 0;
    for (_, ground) in paper.rects.iter().filter(|(g, _)| g == "numbers") {
        numbers += 1;
        let lines = paper.paths.iter();
        let lines = lines.filter(|p| p.group == "ground-line" || p.group == "base-line");
        for y in lines.map(|p| p.runs[0][0].1) {
            assert!(y < ground.y0 || y > ground.y1, "{y} in {ground:?}");
        }
    }
    assert_eq!(numbers, 16);
}

/// A dash-dot line over a course line shows no gaps: what is under it is white.
#[test]
fn course_lines_give_way_to_the_base_line() {
    let piece = |number: u32, y: i32| PieceDrawing {
        number,
        outline: Rectangle::at(0, y, 1000, 500).corners().to_vec(),
        kind: PieceKind::Whole,
    };
    let drawing = ElevationDrawing {
        outline: Rectangle::at(0, 0, 1000, 1500).corners().to_vec(),
        base_line: [(0, 500), (600, 500), (600, 1000), (1000, 1000)]
            .map(|(x, y)| Point::at(x, y))
            .to_vec(),
        pieces: vec![piece(1, 0), piece(2, 500), piece(3, 1000)],
        ..ElevationDrawing::default()
    };
    let sheets = elevation(&drawing, &ElevationOptions::boards()).unwrap();
    let paper = lawful(&sheets[0].svg);
    let clear = paper.rects.iter().filter(|(g, _)| g == "base-clear");
    let clear: Vec<_> = clear.map(|(_, frame)| frame).collect();
    let base = paper.paths.iter().filter(|p| p.group == "base-line");
    let strokes: Vec<_> = base.flat_map(|p| &p.runs).collect();
    assert_eq!((clear.len(), strokes.len()), (3, 3));
    for stroke in strokes {
        let within = |(x, y): (f64, f64)| {
            let near = clear.iter().filter(|f| {
                (f.x0 + 0.3..=f.x1 - 0.3).contains(&x) && (f.y0 + 0.3..=f.y1 - 0.3).contains(&y)
            });
            near.count() > 0
        };
        assert!(
            stroke.iter().copied().all(within),
            "{stroke:?} in {clear:?}"
        );
    }
    let place = |name: &str| sheets[0].svg.find(&format!("class=\"{name}\" "));
    assert!(place("pieces") < place("base-clear") && place("base-clear") < place("base-line"));
    let white = "<g class=\"base-clear\" fill=\"#fff\"";
    assert!(sheets[0].svg.contains(white));
}

#[test]
fn the_legend_of_used_shares_tells_what_is_drawn() {
    let legend = |drawing: &ElevationDrawing| -> Vec<String> {
        let sheets = utilisation_picture(drawing).unwrap();
        let papers: Vec<Paper> = sheets.iter().map(|s| lawful(&s.svg)).collect();
        words(&papers, "legend")
            .iter()
            .map(|w| (*w).to_owned())
            .collect()
    };
    let said = legend(&zones(0.5, false));
    assert_eq!(said, ["up to 50 %", "over 80 to 100 %", "zone border"]);
    let said = legend(&zones(1.2, false));
    assert_eq!(
        said,
        [
            "up to 50 %",
            "over 100 %, or fewer anchors than asked for: NOT ENOUGH",
            "zone border"
        ]
    );
}

/// A share lies in the band that its printed figure names: 80.3 % is told as 80 %, and 100.3 % is never enough.
#[test]
fn a_share_lies_in_the_band_of_its_figure() {
    let strokes = |share: f64| -> (Vec<String>, bool) {
        let mut drawing = zones(0.5, false);
        drawing.zones.truncate(1);
        drawing.zones[0].area = Rectangle::at(0, 0, 10_000, 6000);
        drawing.zones[0].utilisation = share;
        let sheets = utilisation_picture(&drawing).unwrap();
        let papers: Vec<Paper> = sheets.iter().map(|s| lawful(&s.svg)).collect();
        let legend = words(&papers, "legend");
        let fails = words(&papers, "zone-name").contains(&"NOT ENOUGH");
        (legend.iter().map(|w| (*w).to_owned()).collect(), fails)
    };
    for (share, band) in [
        (0.503, "up to 50 %"),
        (0.506, "over 50 to 80 %"),
        (0.803, "over 50 to 80 %"),
        (0.806, "over 80 to 100 %"),
        (1.0, "over 80 to 100 %"),
    ] {
        assert_eq!(strokes(share), (vec![band.to_owned()], false), "{share}");
    }
    let (legend, fails) = strokes(1.003);
    assert!(legend[0].starts_with("over 100 %") && fails, "{legend:?}");
}

/// A piece that is cut round an inner corner of the outline has wall behind it on one side of the edge only: the edge is in the open. What runs
/// past it hides it.
#[test]
fn an_edge_beside_a_notched_piece_is_not_behind_it() {
    let shape = |points: &[(i32, i32)]| -> Vec<Point> {
        let at = |&(x, y): &(i32, i32)| Point { x: Mm(x), y: Mm(y) };
        points.iter().map(at).collect()
    };
    let piece = |number: u32, points: &[(i32, i32)]| PieceDrawing {
        number,
        kind: PieceKind::Cut,
        outline: shape(points),
    };
    let notched = [
        (2500, 1800),
        (3000, 1800),
        (3000, 2000),
        (3500, 2000),
        (3500, 2300),
        (2500, 2300),
    ];
    let arched = [
        (2500, 1800),
        (3000, 1800),
        (3000, 2000),
        (3050, 2300),
        (2500, 2300),
    ];
    let past = [(2500, 1000), (3150, 1000), (3150, 1500), (2500, 1500)];
    let hidden = |pieces: Vec<PieceDrawing>| -> (usize, bool) {
        let drawing = ElevationDrawing {
            outline: shape(&[
                (0, 0),
                (3000, 0),
                (3000, 2000),
                (6000, 2000),
                (6000, 4000),
                (0, 4000),
            ]),
            pieces,
            ..ElevationDrawing::default()
        };
        let sheets = elevation(&drawing, &ElevationOptions::boards()).unwrap();
        let papers: Vec<Paper> = sheets.iter().map(|s| lawful(&s.svg)).collect();
        let paths = papers.iter().flat_map(|p| &p.paths);
        let covered = paths.filter(|p| p.group == "outline-covered");
        let runs = covered.map(|p| p.runs.len()).sum();
        let legend = words(&papers, "legend");
        (runs, legend.contains(&"edge of the wall, behind boards"))
    };
    assert_eq!(hidden(vec![piece(1, &notched)]), (0, false));
    assert_eq!(hidden(vec![piece(1, &arched)]), (0, false));
    let both = vec![piece(1, &notched), piece(2, &past)];
    assert_eq!(hidden(both), (1, true));
}

#[test]
fn no_heading_ends_a_column() {
    for length in 1..9 {
        let section = |i: usize| ListSection {
            heading: format!("heading {i}"),
            lines: (0..length).map(|j| format!("line {j}")).collect(),
        };
        let lists = Lists {
            block: TitleBlock::default(),
            sections: (0..200).map(section).collect(),
        };
        let sheets = list_sheets(&lists).unwrap();
        let mut headings = 0;
        for paper in sheets.iter().map(|s| lawful(&s.svg)) {
            let mut columns: BTreeMap<i64, Vec<(f64, &str)>> = BTreeMap::new();
            for word in paper.words.iter().filter(|w| w.group == "list") {
                let column = columns.entry((word.x * 10.0) as i64).or_default();
                column.push((word.y, &word.content));
            }
            for mut column in columns.into_values() {
                column.retain(|(_, content)| !content.is_empty());
                column.sort_by(|a, b| a.0.total_cmp(&b.0));
                let first = |w: &str| w.starts_with("heading") && !w.ends_with("(continued)");
                headings += column.iter().filter(|w| first(w.1)).count();
                let last = column.last().map(|w| w.1).unwrap_or_default();
                assert!(!last.starts_with("heading"), "{length}: {last}");
            }
        }
        assert_eq!(headings, 200);
    }
}

/// Sheets of one answer bear its catalogue's revision, one fingerprint, and a number for each set.
#[test]
fn sheets_say_which_answer_they_belong_to() {
    let answer = answer(request("house"));
    let revision = &answer.provenance.as_ref().unwrap().catalogue_revision[..8];
    let mut states = BTreeSet::new();
    let mut numbers: BTreeMap<String, String> = BTreeMap::new();
    for drawing in &answer.drawings {
        let paper = lawful(&drawing.svg);
        let block = words(std::slice::from_ref(&paper), "title-block");
        let Some(at) = block.iter().position(|w| *w == "Revision") else {
            continue;
        };
        states.insert(block[at + 1].to_owned());
        let number = block.iter().position(|w| *w == "Drawing no.").unwrap();
        let set = drawing.name.rsplit_once('-').unwrap().0.to_owned();
        let known = numbers.insert(set, block[number + 1].to_owned());
        assert!(known.is_none_or(|known| known == block[number + 1]));
    }
    assert_eq!(states.len(), 1, "{states:?}");
    assert!(states.first().unwrap().starts_with(&format!("{revision}/")));
    let different: BTreeSet<&String> = numbers.values().collect();
    assert_eq!(different.len(), numbers.len());
}

#[test]
fn a_very_long_name_does_not_push_out_what_a_sheet_shows() {
    for (part, times) in [("wall to the yard ", 11), ("walltotheyard", 6)] {
        let long = part.repeat(times);
        let answer = renamed(&[(0, long.trim())]);
        for what in [
            "boards",
            "anchors and wind zones",
            "used share of the anchors",
        ] {
            let mine = answer.drawings.iter().filter(|d| {
                d.title.contains(part.trim()) && d.title.contains(&format!(": {what}"))
            });
            let mut count = 0;
            for drawing in mine {
                count += 1;
                let paper = lawful(&drawing.svg);
                let block = words(std::slice::from_ref(&paper), "title-block").join(" ");
                assert!(block.contains(what), "{block}");
            }
            assert!(count > 0, "{what}");
        }
    }
}

#[test]
fn a_figure_off_its_line_is_led_to_its_stretch() {
    let drawing = ElevationDrawing {
        outline: Rectangle::at(0, 0, 8000, 4000).corners().to_vec(),
        dimensions: vec![DimensionChain {
            side: ChainSide::Below,
            stations: [0, 3000, 3100, 3200, 8000].map(Mm).to_vec(),
            rows: None,
        }],
        ..ElevationDrawing::default()
    };
    let papers = drawn(&drawing, &ElevationOptions::boards().at_scale(50));
    let figures: Vec<&Word> = papers[0]
        .words
        .iter()
        .filter(|w| w.class == "dimension-figure" && w.content == "100")
        .collect();
    let leaders = papers[0]
        .paths
        .iter()
        .filter(|p| p.group == "dimension-leader");
    let leaders: Vec<&Vec<(f64, f64)>> = leaders.flat_map(|p| &p.runs).collect();
    assert_eq!((figures.len(), leaders.len()), (2, 2));
    for (figure, leader) in figures.iter().zip(&leaders) {
        assert!(leader.iter().all(|at| (at.0 - figure.x).abs() < 0.02));
    }
    // From the line of the chain, each to its own side.
    assert!((leaders[0][0].1 - leaders[1][0].1).abs() < 0.02);
    assert!((leaders[0][1].1 - leaders[0][0].1) * (leaders[1][1].1 - leaders[1][0].1) < 0.0);
}

/// Courses too low for numbers at 1:50: a low wall is drawn larger on more sheets, a high one is not.
#[test]
fn a_low_wall_of_low_courses_has_its_numbers_on_its_pieces() {
    let wall = |courses: i32| -> ElevationDrawing {
        let mut number = 0;
        let mut piece = |x: i32, y: i32| {
            number += 1;
            PieceDrawing {
                number,
                outline: Rectangle::at(x, y, 1000, 100).corners().to_vec(),
                kind: PieceKind::Cut,
            }
        };
        let places = (0..courses).flat_map(|row| (0..12).map(move |i| (1000 * i, 100 * row)));
        ElevationDrawing {
            pieces: places.map(|(x, y)| piece(x, y)).collect(),
            outline: Rectangle::at(0, 0, 12_000, 100 * courses)
                .corners()
                .to_vec(),
            ..ElevationDrawing::default()
        }
    };
    for (courses, scale) in [(4, "1:20"), (90, "1:50")] {
        let papers = drawn(&wall(courses), &ElevationOptions::boards());
        assert!(words(&papers, "title-block").contains(&scale), "{courses}");
        let listed = papers.iter().flat_map(|p| &p.words);
        let listed = listed.filter(|w| w.group == "list" && w.class == "piece-number");
        assert_eq!(listed.count() == 0, courses == 4);
    }
}
