//! Walls with much on them: rows of mounting elements, dense anchors, openings that are in line with no other.

mod drawing_paper;

use drawing::{
    ElevationDrawing, ElevationOptions, OpeningDrawing, Point, Rectangle, ZoneDrawing, chains_of,
    elevation,
};
use drawing_paper::{Paper, lawful};
use roxmltree::Document;

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
