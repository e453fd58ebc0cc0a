//! Walls with much on them: rows of mounting elements, dense anchors, openings that are in line with no other.

mod drawing_paper;

use std::collections::{BTreeMap, BTreeSet};

use drawing::{
    AnchorDrawing, AnchorKind, ChainSide, DimensionChain, ElementLoad, ElevationDrawing,
    ElevationOptions, FixtureMark, OpeningDrawing, Point, Rectangle, Sheet, ZoneDrawing, chains_of,
    elevation,
};
use drawing_paper::{Numbers, Paper, apart, lawful};
use quantity::Mm;
use roxmltree::Document;

fn papers(sheets: &[Sheet]) -> Vec<Paper> {
    sheets.iter().map(|s| lawful(&s.svg)).collect()
}

fn wall(width: i32, height: i32) -> ElevationDrawing {
    let outline = Rectangle::at(0, 0, width, height).corners().to_vec();
    ElevationDrawing {
        dimensions: chains_of(&outline, &[], &[]),
        outline,
        ..ElevationDrawing::default()
    }
}

/// The words of a group on one sheet.
fn words<'a>(paper: &'a Paper, group: &str) -> Vec<&'a str> {
    let words = paper.words.iter().filter(|w| w.group == group);
    words.map(|w| w.content.as_str()).collect()
}

/// The list of one sheet as one text.
fn list(paper: &Paper) -> String {
    let text = words(paper, "list").join(" ").replace('\u{a0}', " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `300` or `300 to 900`.
fn ends(text: &str) -> (i32, i32) {
    let number = |t: &str| t.trim().parse().unwrap_or_else(|_| panic!("{text}"));
    match text.split_once(" to ") {
        Some((from, to)) => (number(from), number(to)),
        None => (number(text), number(text)),
    }
}

/// The entries of the lists that begin with a mark, each in one line. In these drawings every entry ends with a full stop.
fn entries(papers: &[Paper]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for line in papers.iter().flat_map(|p| words(p, "list")) {
        let line = line.replace('\u{a0}', " ");
        let begins = line
            .strip_prefix('M')
            .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
        match found.last_mut().filter(|entry| !entry.ends_with('.')) {
            Some(entry) => *entry = format!("{entry} {line}"),
            None if begins => found.push(line),
            None => {}
        }
    }
    found
}

/// The elements that a list tells: mark, place and text, rows written out point by point.
fn told(papers: &[Paper]) -> BTreeMap<usize, (i32, i32, String)> {
    let mut found = BTreeMap::new();
    for entry in entries(papers) {
        let (place, text) = entry.split_once(": ").unwrap_or_else(|| panic!("{entry}"));
        let (marks, place) = place.split_once(" x ").unwrap();
        let (xs, rest) = place.split_once(", y ").unwrap();
        let (ys, row) = rest.split_once(", ").unwrap_or((rest, ""));
        let ((first, last), xs, ys) = (ends(&marks.replace('M', "")), ends(xs), ends(ys));
        let spaces = last - first;
        if let Some((number, spacing)) = row.split_once(" × ") {
            let (spacing, whole) = spacing.split_once(" (= ").unwrap();
            let whole: i32 = whole.trim_end_matches(')').parse().unwrap();
            assert_eq!(number.parse::<i32>().unwrap(), spaces, "{entry}");
            assert_eq!(spacing.parse::<i32>().unwrap() * spaces, whole, "{entry}");
            assert_eq!((xs.1 - xs.0).abs() + (ys.1 - ys.0).abs(), whole, "{entry}");
        }
        for i in 0..=spaces {
            let at = |(a, b): (i32, i32)| a + (b - a) * i / spaces.max(1);
            let told = (at(xs), at(ys), text.to_owned());
            assert!(
                found.insert((first + i) as usize, told).is_none(),
                "{entry}"
            );
        }
    }
    found
}

/// Whatever the list tells as a row, each element can be found from its words, on every sheet; and no mark is left without a symbol.
#[test]
fn every_mounting_element_can_be_placed_from_the_list() {
    let mut numbers = Numbers(7);
    let mut rows = 0;
    for _ in 0..40 {
        let mut drawing = wall(30_000, 9000);
        while drawing.fixtures.len() < 30 {
            let (dx, dy) =
                [(390, 0), (0, 500), (-450, 0), (300, 200), (0, 0)][numbers.below(5) as usize];
            let from = (6000 + numbers.below(18_000), 1000 + numbers.below(3000));
            let text = ["rail", "pipe"][numbers.below(2) as usize];
            for i in 0..=numbers.below(9) {
                drawing.fixtures.push(FixtureMark {
                    at: Point::at(from.0 + i * dx, from.1 + i * dy),
                    text: format!("{text}."),
                    ..FixtureMark::default()
                });
            }
        }
        let options = ElevationOptions::reinforcement().at_scale(50);
        let papers = papers(&elevation(&drawing, &options).unwrap());
        let found = told(&papers);
        assert_eq!(found.len(), drawing.fixtures.len());
        for (i, mark) in drawing.fixtures.iter().enumerate() {
            let (x, y, text) = &found[&(i + 1)];
            assert_eq!((*x, *y), (mark.at.x.0, mark.at.y.0));
            assert_eq!(*text, mark.text);
        }
        let rects = papers.iter().flat_map(|p| &p.rects);
        let symbols = rects.filter(|(group, b)| group == "symbol" && b.y1 < 245.0);
        assert_eq!(symbols.count(), drawing.fixtures.len());
        let named = papers.iter().map(|p| words(p, "mark").len()).sum::<usize>();
        rows += usize::from(named < drawing.fixtures.len());
    }
    assert!(rows > 20, "{rows}");
}

/// Of a row the first and the last bear their mark, and those which the list names for an anchor too near them.
#[test]
fn of_a_row_the_ends_and_what_the_list_names_bear_their_marks() {
    let mut drawing = wall(20_000, 6000);
    drawing.fixtures = (0..51)
        .map(|i| FixtureMark {
            at: Point::at(300 + 390 * i, 2500),
            text: "railing".into(),
            load: ElementLoad::Heavy,
        })
        .collect();
    drawing.zones = vec![ZoneDrawing {
        name: "A".into(),
        area: Rectangle::at(0, 0, 20_000, 6000),
        ..ZoneDrawing::default()
    }];
    drawing.anchors = vec![AnchorDrawing {
        at: Point::at(300 + 390 * 20 + 60, 2550),
        zone: 0,
        kind: AnchorKind::Recessed,
    }];
    let options = ElevationOptions::anchors().at_scale(100);
    let papers = papers(&elevation(&drawing, &options).unwrap());
    let mut marks = words(&papers[0], "mark");
    marks.sort_unstable();
    assert_eq!(marks, ["M1", "M21", "M51"]);
    let list = list(&papers[0]);
    let row = "M1 to M51 x 300 to 19800, y 2500, 50 × 390 (= 19500): railing";
    assert!(list.contains(row), "{list}");
    let near = "M21: anchor at x 8160, y 2550";
    assert!(list.contains(near), "{list}");
    drawing.fixtures.truncate(3);
    let options = ElevationOptions::reinforcement();
    let three = elevation(&drawing, &options).unwrap();
    assert_eq!(words(&lawful(&three[0].svg), "mark").len(), 3);
}

/// Elements for light and for heavy loads are others: each has its symbol and its line in the legend, where it is shown.
#[test]
fn light_and_heavy_elements_are_told_apart() {
    let mut drawing = wall(6000, 3000);
    let element = |x: i32, load: ElementLoad| FixtureMark {
        at: Point::at(x, 1500),
        text: "thing".into(),
        load,
    };
    let legend = |drawing: &ElevationDrawing| {
        let sheets = elevation(drawing, &ElevationOptions::reinforcement()).unwrap();
        let legend = words(&lawful(&sheets[0].svg), "legend").join(" ");
        // The lines of the squares on the wall, from the left.
        let document = Document::parse(&sheets[0].svg).unwrap();
        let squares = document.descendants().filter(|n| n.has_tag_name("rect"));
        let mut lines: Vec<(i64, String)> = squares
            .filter_map(|n| {
                let group = n.parent_element()?;
                let y: f64 = n.attribute("y")?.parse().ok()?;
                let x: f64 = n.attribute("x")?.parse().ok()?;
                let here = group.attribute("class") == Some("symbol") && y < 245.0;
                here.then(|| {
                    (
                        x as i64,
                        group.attribute("stroke-width").unwrap_or("").to_owned(),
                    )
                })
            })
            .collect();
        lines.sort();
        (
            legend,
            lines
                .into_iter()
                .map(|(_, width)| width)
                .collect::<Vec<_>>(),
        )
    };
    drawing.fixtures = vec![element(1000, ElementLoad::Light)];
    let (light, _) = legend(&drawing);
    assert!(
        light.contains("light load") && !light.contains("heavy load"),
        "{light}"
    );
    drawing.fixtures.push(element(4000, ElementLoad::Heavy));
    let (both, lines) = legend(&drawing);
    assert!(
        both.contains("light load") && both.contains("heavy load"),
        "{both}"
    );
    assert_eq!(lines.len(), 2);
    assert_ne!(lines[0], lines[1]);
}

/// How many of an elevation's anchors have less than 0.7 mm of white to another at a scale, tried one by one.
fn too_near(drawing: &ElevationDrawing, radius: f64, scale: f64) -> usize {
    let least = (2.0 * radius + 0.7) * scale;
    let at = |a: &AnchorDrawing| (f64::from(a.at.x.0), f64::from(a.at.y.0));
    let near = |i: usize| {
        let (x, y) = at(&drawing.anchors[i]);
        let others = drawing.anchors.iter().enumerate().filter(|(j, _)| *j != i);
        others
            .map(|(_, a)| at(a))
            .any(|(u, v)| (x - u).hypot(y - v) < least)
    };
    (0..drawing.anchors.len()).filter(|i| near(*i)).count()
}

/// Where more than one anchor in twenty would stand so near another that their marks run together, the drilling sheet takes 1:50; and not
/// without that need.
#[test]
fn anchors_that_would_run_together_are_drawn_larger() {
    let mut numbers = Numbers(3);
    let mut taken = BTreeSet::new();
    for (kind, radius) in [(AnchorKind::Recessed, 0.55), (AnchorKind::WidePlate, 0.8)] {
        for spacing in [180, 220, 240, 260, 300, 400] {
            for odd in [0, 4, 20] {
                let mut drawing = wall(30_000, 6000);
                drawing.zones = vec![ZoneDrawing {
                    name: "A".into(),
                    area: Rectangle::at(0, 0, 30_000, 6000),
                    ..ZoneDrawing::default()
                }];
                let places = (0..20).flat_map(|x| (0..8).map(move |y| (x, y)));
                drawing.anchors = places
                    .map(|(x, y)| {
                        let aside = if numbers.below(100) < odd { 120 } else { 0 };
                        AnchorDrawing {
                            at: Point::at(1000 + spacing * x - aside, 1000 + spacing * y),
                            zone: 0,
                            kind,
                        }
                    })
                    .collect();
                let sheets = elevation(&drawing, &ElevationOptions::anchors()).unwrap();
                let near = too_near(&drawing, radius, 100.0);
                let larger = near * 20 > drawing.anchors.len();
                let scale = if larger { 50 } else { 100 };
                assert_eq!(sheets[0].scale, Some(scale), "{spacing} {odd}: {near}");
                taken.insert(scale);
            }
        }
    }
    assert_eq!(taken.len(), 2);
}

/// Kind of line, width and text of each line in a legend; those with a code letter on them are told apart by it.
fn legend_lines(svg: &str) -> Vec<(String, f64, String)> {
    let document = Document::parse(svg).unwrap();
    let mut pen: Option<(String, f64)> = None;
    let mut found = Vec::new();
    for group in document.descendants().filter(|n| n.has_tag_name("g")) {
        let class = group.attribute("class").unwrap_or("");
        let child = group.first_element_child();
        match child.map(|c| c.tag_name().name()) {
            Some("path") if class == "legend" => {
                let dashes = group.attribute("stroke-dasharray").unwrap_or("");
                let width = group.attribute("stroke-width").unwrap().parse().unwrap();
                pen = Some((dashes.to_owned(), width));
            }
            Some("text") if class == "legend" => {
                let text = child.and_then(|c| c.text()).unwrap_or("").to_owned();
                found.extend(pen.take().map(|(dashes, width)| (dashes, width, text)));
            }
            _ => pen = None,
        }
    }
    found
}

/// Two kinds of lines on one sheet differ in their dashes, or in their width as ISO 128-2 asks of narrow and wide ones, one to two. Hidden edges
/// of the wall and of openings are one kind.
#[test]
fn no_two_lines_of_a_legend_look_alike() {
    let mut drawing = wall(9000, 6000);
    drawing.base_line = vec![Point::at(0, 300), Point::at(9000, 300)];
    drawing.ground_line = vec![Point::at(0, 100), Point::at(9000, 100)];
    drawing.openings = vec![OpeningDrawing {
        id: "w".into(),
        raw: Rectangle::at(3000, 1000, 1200, 1300),
        finished: Rectangle::at(3030, 1020, 1140, 1250),
        ..OpeningDrawing::default()
    }];
    drawing.zones = [0, 4000]
        .map(|x| ZoneDrawing {
            name: format!("Z{x}"),
            area: Rectangle::at(x, 0, 4000 + x / 4, 6000),
            ..ZoneDrawing::default()
        })
        .to_vec();
    for options in [
        ElevationOptions::anchors(),
        ElevationOptions::anchors().at_scale(20),
    ] {
        let sheets = elevation(&drawing, &options).unwrap();
        let lines = legend_lines(&sheets[0].svg);
        assert!(lines.len() >= 3, "{lines:?}");
        for (i, (dashes, width, text)) in lines.iter().enumerate() {
            for (other, w, what) in &lines[i + 1..] {
                let apart = w.max(*width) >= 2.0 * w.min(*width);
                assert!(dashes != other || apart, "{text} looks like {what}");
            }
        }
    }
}

/// A base line that is the lower edge of the wall is drawn as that edge, and no legend promises another line.
#[test]
fn the_legend_has_no_line_that_the_outline_hides() {
    let mut drawing = wall(6000, 3000);
    for (level, shown) in [(0, false), (300, true)] {
        drawing.base_line = vec![Point::at(0, level), Point::at(6000, level)];
        let sheets = elevation(&drawing, &ElevationOptions::boards()).unwrap();
        let legend = words(&lawful(&sheets[0].svg), "legend").join(" ");
        assert_eq!(legend.contains("base line"), shown, "{legend}");
    }
}

/// Openings in no line with any other: each is placed along the wall by a station of a chain that is lettered, or by words.
#[test]
fn openings_in_no_line_are_placed_in_words() {
    let mut numbers = Numbers(11);
    let mut in_words = 0;
    for storeys in [1, 2, 5] {
        let mut drawing = wall(20_000, 15_000);
        for (row, bay) in (0..storeys).flat_map(|row| (0..8).map(move |bay| (row, bay))) {
            let (x, y) = (900 + 2400 * bay, 900 + 2900 * row);
            let (x, y) = (x + numbers.below(300), y + numbers.below(200));
            let area = Rectangle::at(x, y, 800 + numbers.below(500), 1300);
            drawing.openings.push(OpeningDrawing {
                id: format!("F{}{}", row + 1, bay + 1),
                raw: area,
                finished: area,
                ..OpeningDrawing::default()
            });
        }
        drawing.dimensions = chains_of(&drawing.outline, &drawing.openings, &[]);
        let papers = papers(&elevation(&drawing, &ElevationOptions::boards()).unwrap());
        let list: String = papers.iter().map(list).collect();
        for paper in &papers {
            apart(paper, &["dimension-figure"]);
        }
        let figures = papers.iter().flat_map(|p| words(p, "dimension")).count();
        let out = list.matches("along, x ").count() + list.matches("up, y ").count();
        assert!(out * 5 <= figures, "{out} of {figures}: {list}");
        for opening in &drawing.openings {
            let x = opening.finished.x.0;
            let said = list.contains(&format!("{}: x {x}", opening.id))
                || list.contains(&format!("at x {x}: {}", opening.id));
            in_words += usize::from(said);
            // Rows of their own have chains of their own.
            assert!(said || storeys <= 2, "{}: {list}", opening.id);
        }
        assert_eq!(list.contains("x of the left edge"), storeys == 5, "{list}");
    }
    assert_eq!(in_words, 40);
}

/// Where rows of openings share one chain, each sheet's chain measures the openings that the sheet shows, and no edge of another storey.
#[test]
fn a_shared_chain_measures_what_its_sheet_shows() {
    let mut drawing = wall(9000, 24_000);
    for row in 0..8 {
        let x = 1000 + 130 * row;
        for (id, x) in [("a", x), ("b", x + 4000)] {
            let area = Rectangle::at(x, 900 + 2900 * row, 1200, 1300);
            drawing.openings.push(OpeningDrawing {
                id: format!("{id}{row}"),
                raw: area,
                finished: area,
                ..OpeningDrawing::default()
            });
        }
    }
    drawing.dimensions = chains_of(&drawing.outline, &drawing.openings, &[]);
    let sheets = elevation(&drawing, &ElevationOptions::boards().at_scale(50)).unwrap();
    let papers = papers(&sheets);
    let shown = |paper: &Paper| -> Vec<&OpeningDrawing> {
        let names = words(paper, "opening-name");
        let all = drawing.openings.iter();
        all.filter(|o| names.contains(&o.id.as_str())).collect()
    };
    let pictures: Vec<&Paper> = papers.iter().filter(|p| !shown(p).is_empty()).collect();
    assert!(pictures.len() > 2, "{}", pictures.len());
    for paper in pictures {
        let shown = shown(paper);
        assert!(shown.len() < drawing.openings.len());
        let mut stations: Vec<i32> = shown
            .iter()
            .flat_map(|o| [o.finished.x.0, o.finished.x.0 + o.finished.width.0])
            .chain([0, 9000])
            .collect();
        stations.sort_unstable();
        stations.dedup();
        let wanted: Vec<i32> = stations.windows(2).map(|pair| pair[1] - pair[0]).collect();
        // The lettered and the listed stretches of the first chain below, told by what else the sheet has: the overall size.
        let list = list(paper);
        let level = paper
            .words
            .iter()
            .filter(|w| w.class == "dimension-figure" && !w.upward);
        let mut found: Vec<i32> = level
            .map(|w| w.content.parse().unwrap())
            .chain(list.split("along, x ").skip(1).map(|rest| {
                let size = rest.split_once(": ").unwrap().1;
                size.split(' ').next().unwrap().parse().unwrap()
            }))
            .filter(|size| *size != 9000)
            .collect();
        found.sort_unstable();
        let mut wanted = wanted;
        wanted.sort_unstable();
        assert_eq!(found, wanted, "{list}");
    }
}

/// The size that a figure of a chain tells: its own, or that of equal stretches together, whose number and size make it up.
fn told_size(figure: &str) -> (i32, i32) {
    let figure = figure.replace('\u{a0}', " ");
    let number = |text: &str| {
        text.trim()
            .parse::<i32>()
            .unwrap_or_else(|_| panic!("{figure}"))
    };
    let Some((count, rest)) = figure.split_once(" × ") else {
        return (1, number(&figure));
    };
    let (size, whole) = rest.split_once(" (= ").unwrap_or((rest, ""));
    let product = number(count) * number(size);
    assert!(
        whole.is_empty() || number(whole.trim_end_matches(')')) == product,
        "{figure}"
    );
    (number(count), product)
}

/// Low courses are told as one figure where each has no room for its own: all stretches are counted and add up to the wall, none goes to a
/// list, and no figure covers another.
#[test]
fn equal_courses_are_told_as_one() {
    for (course, scale, as_one) in [(200, 100, true), (200, 20, false), (500, 50, false)] {
        let mut drawing = wall(6000, 3000);
        let courses = 3000 / course;
        drawing.dimensions.retain(|c| c.side == ChainSide::Below);
        drawing.dimensions.push(DimensionChain {
            side: ChainSide::Right,
            // One course in the middle is lower, so that there are two rows of equal ones.
            stations: (0..=courses)
                .map(|i| Mm(i * course))
                .chain([Mm(course * (courses / 2) + 100)])
                .collect(),
            rows: None,
        });
        let options = ElevationOptions::boards().at_scale(scale);
        let paper = &papers(&elevation(&drawing, &options).unwrap())[0];
        let figures: Vec<(i32, i32)> = paper
            .words
            .iter()
            .filter(|w| w.class == "dimension-figure" && w.upward)
            .map(|w| told_size(&w.content))
            .collect();
        let stretches: i32 = figures.iter().map(|(count, _)| count).sum();
        assert_eq!(stretches, courses + 1, "{figures:?}");
        assert_eq!(figures.iter().map(|(_, size)| size).sum::<i32>(), 3000);
        assert_eq!(
            figures.iter().any(|(count, _)| *count > 1),
            as_one,
            "{figures:?}"
        );
        assert!(!list(paper).contains("too short to letter"));
        // No tick runs through a figure told as one.
        let as_ones = paper.words.iter().filter(|w| w.content.contains('×'));
        for word in as_ones.filter(|w| w.class == "dimension-figure") {
            let length = 0.5 * word.content.chars().count() as f64 * word.size;
            let room = word.sized_box(length, 0.73 * word.size);
            let ticks = paper.paths.iter().filter(|p| p.group == "ticks");
            for (x, y) in ticks.flat_map(|p| p.runs.iter().flatten()) {
                let within = (room.x0..room.x1).contains(x) && (room.y0..room.y1).contains(y);
                assert!(!within, "{}", word.content);
            }
        }
        // Every course keeps its ticks.
        let ticks = paper.paths.iter().filter(|p| p.group == "ticks");
        let most = ticks.map(|p| p.runs.len()).max().unwrap();
        assert_eq!(most as i32, courses + 2);
    }
}
