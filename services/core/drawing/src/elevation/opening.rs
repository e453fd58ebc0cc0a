//! What is written in an opening: its name, its finished size and the level of its lower edge, or a key to a list of them.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use crate::elevation::dimension;
use crate::elevation::layout::Window;
use crate::elevation::overlay::Overlay;
use crate::elevation::{
    ElevationDrawing, ElevationOptions, Layer, OpeningDrawing, OpeningFoot, level,
};
use crate::geometry::{bounds, clip_polygon};
use crate::lettering::Lettering;
use crate::svg::{Anchoring, Frame, Paint, Pen, Reading, Spot, Svg, Text};

/// What stands in one opening on a sheet.
#[derive(Clone, Debug)]
pub(super) struct Label {
    rows: Vec<String>,
    middle: Spot,
    reading: Reading,
    /// The line in the list, where the opening has no room for all of it.
    pub listed: Option<String>,
    /// Whether that line tells how far along the wall it lies, because no chain does.
    pub placed: bool,
}

const LETTERING: Lettering = Lettering::Small;
/// From row to row.
const PITCH: f64 = 3.1;
/// Height of the last row.
const ROW: f64 = 2.2;
/// Clearance from the edge of the opening; more where the letters of beads stand on it.
const CLEAR: f64 = 0.6;
const CLEAR_OF_BEADS: f64 = 2.0;

/// Finished size and level in words.
fn size(opening: &OpeningDrawing) -> [String; 2] {
    let finished = &opening.finished;
    let foot = match opening.foot {
        OpeningFoot::Sill => "sill",
        OpeningFoot::Floor => "foot",
    };
    [
        format!("{}\u{a0}×\u{a0}{}", finished.width.0, finished.height.0),
        format!("{foot}\u{a0}{}", level(finished.y)),
    ]
}

/// The labels of all openings, on every sheet that shows a part of them, clear of the marks that stand in openings.
pub(super) fn labels(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    windows: &[Window],
    overlays: &[Overlay],
) -> Vec<Vec<Label>> {
    let mut found: Vec<Vec<Label>> = windows.iter().map(|_| Vec::new()).collect();
    for (w, (window, found)) in windows.iter().zip(&mut found).enumerate() {
        for (i, opening) in drawing.openings.iter().enumerate() {
            let shape = window.shape(&opening.finished.corners());
            let shape = clip_polygon(&shape, &window.paper);
            if shape.is_empty() {
                continue;
            }
            let frame = bounds(&shape);
            let bare = overlays.get(w).is_some_and(|o| o.is_unlettered(i));
            let clear = if options.shows(Layer::Beads) && !bare {
                CLEAR_OF_BEADS
            } else {
                CLEAR
            };
            let room = Frame::new(
                frame.x0 + clear,
                frame.y0 + clear,
                frame.x1 - clear,
                frame.y1 - clear,
            );
            let marks: Vec<Frame> = overlays
                .get(w)
                .into_iter()
                .flat_map(Overlay::mark_frames)
                .filter(|mark| mark.overlaps(&room))
                .collect();
            let letters = drawing.letters(["K", "KEY", "K-"]);
            let key = format!("{letters}{}", i + 1);
            let words = Words {
                key: &key,
                id: &opening.id,
                x: drawing.along(opening.finished.x),
                placed: options.shows(Layer::Dimensions)
                    && dimension::is_unmeasured(opening, drawing),
            };
            found.push(label(opening, &words, &room, &marks));
        }
    }
    found
}

/// What an opening is called, and where it lies along the wall.
struct Words<'a> {
    key: &'a str,
    id: &'a str,
    x: i32,
    /// Whether the list must tell where it lies.
    placed: bool,
}

impl Words<'_> {
    /// The line of the list: the key where only that stands on the picture, the name, and what the picture leaves out.
    fn listed(&self, keyed: Option<&str>, rest: &str) -> Option<String> {
        let place = if self.placed {
            format!("x\u{a0}{}", self.x)
        } else {
            String::new()
        };
        let told = match (place.as_str(), rest) {
            ("", rest) => String::from(rest),
            (place, "") => String::from(place),
            (place, rest) => format!("{place}, {rest}"),
        };
        let name = keyed.map_or_else(|| String::from(self.id), |key| format!("{key} {}", self.id));
        match (keyed, told.as_str()) {
            (None, "") => None,
            (_, "") => Some(name),
            (_, told) => Some(format!("{name}: {told}")),
        }
    }
}

/// The fullest label that the room holds; what it leaves out goes to the list under the name or the key that it keeps.
fn label(opening: &OpeningDrawing, words: &Words<'_>, room: &Frame, marks: &[Frame]) -> Label {
    let [size, level] = size(opening);
    let (id, key) = (words.id, words.key);
    let all = format!("{size}, {level}");
    let tries = [
        (alloc::vec![id, &size, &level], words.listed(None, "")),
        (alloc::vec![key, &size, &level], words.listed(Some(key), "")),
        (alloc::vec![id], words.listed(None, &all)),
        (alloc::vec![key], words.listed(Some(key), &all)),
    ];
    for (rows, listed) in &tries {
        for reading in [Reading::Level, Reading::Upward] {
            if let Some(middle) = place(rows, reading, room, marks) {
                return Label {
                    rows: rows.iter().map(|r| String::from(*r)).collect(),
                    middle,
                    reading,
                    listed: listed.clone(),
                    placed: words.placed,
                };
            }
        }
    }
    Label {
        rows: Vec::new(),
        middle: Spot::at(room.x0, room.y0),
        reading: Reading::Level,
        listed: Some(format!("at x\u{a0}{}: {id}, {all}", words.x)),
        placed: words.placed,
    }
}

/// Where the middle of the rows may stand: in the middle of the room, else nearer to its foot or its head, clear of marks.
fn place(rows: &[&str], reading: Reading, room: &Frame, marks: &[Frame]) -> Option<Spot> {
    let length = rows
        .iter()
        .map(|row| LETTERING.width_mm(row))
        .fold(0.0, f64::max);
    let depth = ROW + PITCH * (rows.len().max(1) - 1) as f64;
    let (wide, high) = match reading {
        Reading::Level => (length, depth),
        Reading::Upward => (depth, length),
    };
    let spare = room.height() - high;
    if wide > room.width() || spare < 0.0 {
        return None;
    }
    [0.5, 0.7, 0.3, 0.85, 0.15, 1.0, 0.0]
        .into_iter()
        .map(|share| {
            Spot::at(
                f64::midpoint(room.x0, room.x1),
                room.y0 + high / 2.0 + share * spare,
            )
        })
        .find(|at| {
            let frame = Frame::around(*at, wide, high);
            !marks.iter().any(|mark| mark.overlaps(&frame))
        })
}

/// Writes the labels, each row on a white ground.
pub(super) fn draw(svg: &mut Svg, labels: &[Label]) {
    svg.group("opening-name", Pen::FINE, Paint::White);
    for label in labels {
        let count = label.rows.len() as f64;
        for (i, row) in label.rows.iter().enumerate() {
            let shift = (i as f64 - (count - 1.0) / 2.0) * PITCH;
            let at = match label.reading {
                Reading::Level => Spot::at(label.middle.x, label.middle.y + shift),
                Reading::Upward => Spot::at(label.middle.x + shift, label.middle.y),
            };
            let text = Text {
                reading: label.reading,
                ..Text::level(at, LETTERING, Anchoring::Middle, row)
            };
            if !row.is_empty() {
                svg.rect_without_line(&text.frame());
            }
            svg.text(&text);
        }
    }
    svg.end();
}
