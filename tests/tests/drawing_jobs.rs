//! Drawings of whole jobs against the surveys and the order lists that they belong to.

mod drawing_answers;
mod drawing_paper;
mod surveyed;

use std::collections::{BTreeMap, BTreeSet};

use api::v1;
use drawing_answers::{answer, request, sheets};
use drawing_paper::{Paper, lawful};

const SURVEYS: [&str; 6] = [
    "house",
    "flats",
    "short",
    "drawings/l-shaped",
    "drawings/stepped",
    "drawings/court",
];

/// The surveyed building; nothing for the short form.
fn building(request: &mut v1::EstimateRequest) -> Option<&mut v1::Building> {
    match request.survey.as_mut() {
        Some(v1::estimate_request::Survey::Building(building)) => Some(building),
        _ => None,
    }
}

/// Millimetres on the wall for one on paper, as the title block says.
fn scale(paper: &Paper) -> Option<f64> {
    paper
        .words
        .iter()
        .filter(|w| w.group == "title-block")
        .find_map(|w| w.content.strip_prefix("1:")?.parse().ok())
}

/// Metres drawn of each kind of bead, and how many strokes they are drawn in.
fn drawn(answer: &v1::EstimateResponse) -> BTreeMap<String, (f64, u32)> {
    let mut found: BTreeMap<String, (f64, u32)> = BTreeMap::new();
    for paper in sheets(answer, "-reinforcement-") {
        let Some(scale) = scale(&paper) else { continue };
        for path in &paper.paths {
            let Some(kind) = path.group.strip_prefix("bead-") else {
                continue;
            };
            let sum = found.entry(kind.to_owned()).or_default();
            for run in &path.runs {
                let length = (run[1].0 - run[0].0).hypot(run[1].1 - run[0].1);
                sum.0 += length * scale / 1000.0;
                sum.1 += 1;
            }
        }
    }
    found.remove("counted-elsewhere");
    found
}

/// Metres of each kind on the order list.
fn bought(answer: &v1::EstimateResponse) -> BTreeMap<String, f64> {
    let mut found = BTreeMap::new();
    for line in &answer.kit.as_ref().unwrap().lines {
        let article = line.article.as_str();
        let kind = match article.split_once('.') {
            Some(("bead", kind)) => kind,
            Some(("base-profile", _)) => "base",
            Some(("sealing-strip", _)) => "sealing",
            _ => continue,
        };
        *found.entry(kind.to_owned()).or_insert(0.0) += line.net;
    }
    found
}

/// Metres of strip at the ends of sills, which lie across the wall where no elevation can show them: two for each window, from its frame through
/// the board and the 5 mm of its bed. No two windows of these surveys touch, and none reaches a plinth; the short form's are 150 mm deep.
fn across(mut request: v1::EstimateRequest, answer: &v1::EstimateResponse) -> f64 {
    let system = f64::from(answer.system.as_ref().unwrap().thickness_mm + 5);
    let deep = |depth: i32| 2.0 * (f64::from(depth) + system) / 1000.0;
    if let Some(v1::estimate_request::Survey::Short(form)) = &request.survey {
        return f64::from(form.opening_count) * deep(150);
    }
    let facades = building(&mut request).unwrap().facades.iter();
    let openings = facades.flat_map(|facade| &facade.openings);
    let windows = openings.filter(|opening| opening.kind() != v1::OpeningKind::Door);
    windows.map(|window| deep(window.reveal_depth_mm)).sum()
}

#[test]
fn what_is_drawn_along_edges_is_what_is_bought() {
    for name in SURVEYS {
        let answer = answer(request(name));
        let (drawn, mut bought) = (drawn(&answer), bought(&answer));
        *bought.get_mut("sealing").unwrap() -= across(request(name), &answer);
        let kinds: Vec<&String> = drawn.keys().collect();
        assert_eq!(kinds, bought.keys().collect::<Vec<_>>(), "{name}");
        for (kind, (length, strokes)) in drawn {
            // Each end is written to a hundredth of a millimetre at 1:100 or larger; slopes are bought to the full millimetre.
            let close = f64::from(strokes) * 0.002;
            let net = bought[&kind];
            assert!(
                (length - net).abs() <= close,
                "{name}, {kind}: {length} of {net}"
            );
        }
    }
}

/// Every window of these surveys has wall at both of its lower corners, and room for a symbol beside each; what stands in the legend is none.
#[test]
fn the_ends_of_sills_are_marked_and_told() {
    for name in SURVEYS {
        let mut request = request(name);
        let answer = answer(request.clone());
        let system = answer.system.as_ref().unwrap().thickness_mm + 5;
        let Some(building) = building(&mut request) else {
            continue;
        };
        for facade in &building.facades {
            let file = format!("elevation-{}-reinforcement", file_name(&facade.id));
            let papers = sheets(&answer, &file);
            let openings = facade.openings.iter();
            let windows: Vec<_> = openings
                .filter(|o| o.kind() != v1::OpeningKind::Door)
                .collect();
            let marks = papers.iter().flat_map(|p| &p.paths);
            let marks = marks.filter(|p| p.group == "sill-end");
            let drawn = marks.filter(|p| p.runs[0][0].1 < 240.0).count();
            assert_eq!(drawn, 2 * windows.len(), "{name}, {}", facade.id);
            let list = listed(&papers).join(" ");
            for window in windows {
                let told = format!("{} at each end", window.reveal_depth_mm + system);
                assert!(
                    list.contains(&told),
                    "{name}, {}: {told} in {list}",
                    window.id
                );
            }
        }
    }
}

/// A facade's name as its files have it.
fn file_name(id: &str) -> String {
    let safe = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    id.to_lowercase().chars().map(safe).collect()
}

/// Levels as elevations write them.
fn level(mm: i32) -> String {
    let sign = match mm.signum() {
        1 => "+",
        0 => "±",
        _ => "-",
    };
    format!("{sign}{}.{:03}", mm.abs() / 1000, mm.abs() % 1000)
}

#[test]
fn every_opening_can_be_read_by_size_and_level() {
    for name in SURVEYS {
        let mut request = request(name);
        let answer = answer(request.clone());
        let Some(building) = building(&mut request) else {
            continue;
        };
        for facade in &building.facades {
            let file = file_name(&facade.id);
            for set in ["boards", "anchors", "reinforcement"] {
                let papers = sheets(&answer, &format!("elevation-{file}-{set}"));
                let words: Vec<&str> = papers
                    .iter()
                    .flat_map(|p| &p.words)
                    .filter(|w| w.group == "opening-name" || w.group == "list")
                    .map(|w| w.content.as_str())
                    .collect();
                let said = words.join(" ").replace('\u{a0}', " ");
                for o in &facade.openings {
                    let (width, height) = (
                        o.width_mm - 2 * o.reveal_insulation_mm,
                        o.height_mm - o.reveal_insulation_mm - o.sill_insulation_mm,
                    );
                    let size = format!("{width} × {height}");
                    let low = level(o.y_mm + o.sill_insulation_mm);
                    for wanted in [&size, &low] {
                        assert!(
                            said.contains(wanted.as_str()),
                            "{name}, {set}: {}: {wanted} in {said}",
                            o.id
                        );
                    }
                }
                for step in &facade.base {
                    assert!(said.contains(&level(step.level_mm)), "{name}: {said}");
                }
            }
        }
    }
}

#[test]
fn cracks_of_the_survey_stand_where_they_were_found() {
    for name in ["house", "drawings/stepped", "drawings/court"] {
        let mut request = request(name);
        let answer = answer(request.clone());
        for facade in &building(&mut request).unwrap().facades {
            let file = facade.id.replace(' ', "-");
            for set in ["anchors", "reinforcement"] {
                let papers = sheets(&answer, &format!("elevation-{file}-{set}"));
                let cracks: Vec<_> = papers
                    .iter()
                    .flat_map(|p| p.paths.iter().filter(|p| p.group == "crack"))
                    .collect();
                assert_eq!(cracks.len(), facade.cracks.len(), "{name}, {file}, {set}");
                for (path, crack) in cracks.iter().zip(&facade.cracks) {
                    let (from, to) = (crack.from.unwrap(), crack.to.unwrap());
                    let run = &path.runs[0];
                    let (a, b) = (run[0], run[run.len() - 1]);
                    let scale = scale(&papers[0]).unwrap();
                    assert!(((b.0 - a.0) * scale - f64::from(to.x_mm - from.x_mm)).abs() < 3.0);
                    assert!(((a.1 - b.1) * scale - f64::from(to.y_mm - from.y_mm)).abs() < 3.0);
                }
            }
        }
    }
}

/// What stands in the lists of sheets.
fn listed(papers: &[Paper]) -> Vec<&str> {
    let words = papers.iter().flat_map(|p| &p.words);
    let list = words.filter(|w| w.group == "list");
    list.map(|w| w.content.as_str()).collect()
}

/// The lists name the figures of every zone of the answer, each with its own place.
#[test]
fn each_wind_zone_has_its_own_figures() {
    for name in ["house", "drawings/stepped", "drawings/court"] {
        let answer = answer(request(name));
        for zone in &answer.fixing.as_ref().unwrap().zones {
            if zone.zone.contains(' ') {
                continue;
            }
            let file = zone.facade.replace(' ', "-");
            let papers = sheets(&answer, &format!("elevation-{file}-anchors"));
            let list = listed(&papers);
            let place = format!(": x {} to {},", zone.x_from_mm, zone.x_to_mm);
            let title = list
                .iter()
                .find_map(|line| line.strip_prefix("· ")?.split_once(&place))
                .unwrap_or_else(|| panic!("{name}: {place} in {list:?}"))
                .0;
            let density = format!("{:.1}", zone.provided_per_m2);
            let density = density.trim_end_matches(".0");
            let head = format!("{title}: {density} anchors/m²");
            assert!(
                list.iter().any(|l| l.starts_with(&head)),
                "{head} in {list:?}"
            );
            let named = papers.iter().flat_map(|p| &p.words).any(|w| {
                let begins = w.content == title || w.content.starts_with(&format!("{title}:"));
                w.group == "zone-name" && begins
            });
            assert!(named, "{name}: {title} on the picture");
        }
    }
}

/// The anchors listed and drawn for each zone are those that the fixing design counted there, the plinth's and the strips' too; a board
/// may reach from the zone that governs it into another of the same name.
#[test]
fn the_anchors_of_a_zone_are_those_of_the_design() {
    for name in SURVEYS {
        let answer = answer(request(name));
        let fixing = answer.fixing.as_ref().unwrap();
        let mut counted = vec![0; fixing.zones.len()];
        for point in &fixing.points {
            let zone = &fixing.zones[point.zone_index as usize];
            assert_eq!(
                (&point.facade, point.zone.as_str()),
                (&zone.facade, zone.zone.split(' ').next().unwrap()),
                "{name}"
            );
            counted[point.zone_index as usize] += 1;
        }
        let designed: Vec<u32> = fixing.zones.iter().map(|z| z.count).collect();
        assert_eq!(counted, designed, "{name}");
        let facades: BTreeSet<&str> = fixing.zones.iter().map(|z| z.facade.as_str()).collect();
        for facade in facades {
            let mine = || fixing.zones.iter().filter(|z| z.facade == facade);
            let papers = sheets(&answer, &format!("elevation-{}-anchors", file_name(facade)));
            let list = listed(&papers);
            let list = list.join(" ");
            // A title stands before each of its places; parts that share it share their figures.
            let title = |zone: &v1::FixingZone| {
                let place = format!(
                    ": x {} to {}, y {} to {}",
                    zone.x_from_mm, zone.x_to_mm, zone.y_from_mm, zone.y_to_mm
                );
                let (before, _) = list
                    .split_once(&place)
                    .unwrap_or_else(|| panic!("{name}: {place} in {list}"));
                let title = before.rsplit_once("· ").unwrap().1;
                match zone.zone.split_once(' ') {
                    Some((_, role)) => format!("{title}, {role} boards"),
                    None => title.to_owned(),
                }
            };
            let mut titles: BTreeMap<String, u32> = BTreeMap::new();
            for zone in mine() {
                *titles.entry(title(zone)).or_default() += zone.count;
            }
            for (title, count) in &titles {
                let said = list.split(&format!(" {title}: ")).nth(1);
                let said = said.unwrap_or_else(|| panic!("{name}: {title} in {list}"));
                let words: Vec<&str> = said.split(' ').collect();
                let words = &words[words.iter().position(|w| w.contains("/m²")).unwrap()..];
                assert_eq!(
                    words[1..3],
                    [&count.to_string(), "anchors,"],
                    "{name}, {facade}: {title} in {list}"
                );
            }
            let all: u32 = titles.values().sum();
            assert!(
                list.contains(&format!("Anchors of this elevation: {all}")),
                "{name}: {list}"
            );
            // A wider plate has a smaller ring inside.
            let circles = papers.iter().flat_map(|p| &p.circles);
            let drawn = circles.filter(|c| c.group == "anchor" && c.r > 0.5).count();
            assert_eq!(drawn, all as usize, "{name}, {facade}");
        }
    }
}

#[test]
fn titles_are_whole_and_sheets_of_lists_say_so() {
    let mut long = request("house");
    long.reference =
        "Municipal primary school, Long Avenue 114 to 118, rear building, phase 2 of 3".into();
    let names = [
        (
            "front",
            "elevation to the courtyard of the neighbouring parcel 1147/3",
        ),
        ("gable", "gable elevation"),
    ];
    for facade in &mut building(&mut long).unwrap().facades {
        for side in [&mut facade.left, &mut facade.right].into_iter().flatten() {
            for (old, new) in names {
                if side.with == old {
                    side.with = new.into();
                }
            }
        }
        for (old, new) in names {
            if facade.id == old {
                facade.id = new.into();
            }
        }
    }
    let answer = answer(long);
    for drawing in answer.drawings.iter().filter(|d| !d.name.contains("wall")) {
        if drawing.name.starts_with("condensate") {
            continue;
        }
        assert!(!drawing.title.to_lowercase().contains("elevation elevation"));
        let paper = lawful(&drawing.svg);
        let block: Vec<&str> = paper
            .words
            .iter()
            .filter(|w| w.group == "title-block")
            .map(|w| w.content.as_str())
            .collect();
        assert!(block.iter().all(|w| !w.contains('…')), "{block:?}");
        // Sheets of a set that holds nothing but lists bear the title that others refer to.
        if block.contains(&"-") && !drawing.name.starts_with("strips-and-bars") {
            assert!(block.iter().any(|w| w.ends_with(", list")), "{block:?}");
        }
        // No name of a board is cut short, nor that of an opening.
        for word in &paper.words {
            let whole = matches!(
                word.group.as_str(),
                "board-caption" | "opening-name" | "list"
            );
            assert!(!whole || !word.content.contains('…'), "{}", word.content);
        }
    }
}

#[test]
fn boards_and_saw_cuts_are_said_where_they_are_drawn() {
    for name in SURVEYS {
        let answer = answer(request(name));
        let said = |papers: &[Paper], group: &str| -> String {
            let words = papers.iter().flat_map(|p| &p.words);
            let here = words.filter(|w| w.group == group);
            let text: Vec<&str> = here.map(|w| w.content.as_str()).collect();
            text.join(" ").replace('\u{a0}', " ")
        };
        let boards = said(&sheets(&answer, "-boards-"), "list");
        for board in &answer.layout.as_ref().unwrap().boards {
            assert!(
                boards.contains(&board.board),
                "{name}: {} in {boards}",
                board.board
            );
        }
        for paper in sheets(&answer, "cutting-") {
            if scale(&paper).is_some() {
                assert!(said(&[paper], "legend").contains("kerf"), "{name}");
            }
        }
    }
}
