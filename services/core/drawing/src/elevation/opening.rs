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
    /// What the list tells, where the opening has no room for all of it.
    pub listed: Option<Listed>,
    /// Whether that line tells how far along the wall it lies, because no chain does.
    pub placed: bool,
}

/// What the list tells of an opening.
#[derive(Clone, Debug)]
pub(super) struct Listed {
    /// Its key where only that stands on the picture, and its name.
    name: String,
    /// Where it lies along the wall, where no chain tells it or nothing stands in the opening.
    place: Option<i32>,
    /// Whether the picture names it.
    is_named: bool,
    /// Its size and level, where the picture leaves them out.
    pub told: String,
}

impl Listed {
    /// The line of this opening alone.
    pub(super) fn line(&self) -> String {
        let told = self.told.as_str();
        match (self.place, self.is_named) {
            (Some(x), false) => format!("at x\u{a0}{x}: {}, {told}", self.name),
            (Some(x), true) if told.is_empty() => format!("{}: x\u{a0}{x}", self.name),
            (Some(x), true) => format!("{}: x\u{a0}{x}, {told}", self.name),
            (None, _) if told.is_empty() => self.name.clone(),
            (None, _) => format!("{}: {told}", self.name),
        }
    }

    /// Its part of a line for several. No line breaks within a short one.
    fn part(&self) -> String {
        let part = match self.place {
            Some(x) => format!("{} at x {x}", self.name),
            None => self.name.clone(),
        };
        if part.chars().count() <= WHOLE {
            part.replace(' ', "\u{a0}")
        } else {
            part
        }
    }

    /// The line of several that are told the same.
    pub(super) fn together(equal: &[&Self]) -> String {
        match equal {
            [one] => one.line(),
            all => {
                let told = all.first().map_or("", |one| one.told.as_str());
                let parts: Vec<String> = all.iter().map(|one| one.part()).collect();
                format!("{} openings {told}: {}", all.len(), parts.join(", "))
            }
        }
    }
}

/// Names no longer than this stay on one line, in signs.
const WHOLE: usize = 20;

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
            let bare = overlays.get(w).is_some_and(|o| o.beads.is_unlettered(i));
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
    /// What the list tells: the key where only that stands on the picture, the name, and what the picture leaves out.
    fn listed(&self, keyed: Option<&str>, rest: &str) -> Option<Listed> {
        let place = self.placed.then_some(self.x);
        if keyed.is_none() && place.is_none() && rest.is_empty() {
            return None;
        }
        Some(Listed {
            name: keyed.map_or_else(|| String::from(self.id), |key| format!("{key} {}", self.id)),
            place,
            is_named: true,
            told: String::from(rest),
        })
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
        listed: Some(Listed {
            name: String::from(id),
            place: Some(words.x),
            is_named: false,
            told: all,
        }),
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
