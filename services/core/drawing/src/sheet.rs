//! The A3 sheet: border, title block, legend, scale bar and lists.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use crate::geometry::{Hatch, hatch};
use crate::lettering::{Lettering, wrapped};
use crate::svg::{Anchoring, Frame, Paint, Pen, Spot, Svg, Text};

/// Width of a sheet on paper: A3 landscape by ISO 216.
pub const SHEET_WIDTH_MM: f64 = 420.0;
/// Height of a sheet on paper.
pub const SHEET_HEIGHT_MM: f64 = 297.0;

/// The border: 20 mm filing margin, 10 mm elsewhere, as ISO 5457 has it.
pub(crate) const BORDER: Frame = Frame::new(20.0, 10.0, 410.0, 287.0);
/// Where the picture goes.
pub(crate) const PICTURE: Frame = Frame::new(20.0, 10.0, 410.0, 247.0);
const STRIP_TOP: f64 = 247.0;
const BLOCK_LEFT: f64 = 262.0;
const LINE_PITCH: f64 = 3.9;
/// Width of a list column, and of the text in it.
pub(crate) const COLUMN: f64 = 58.0;
const COLUMN_TEXT: f64 = COLUMN - 2.5;

/// What the title block says. All of it is the caller's own text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TitleBlock {
    /// The building or the job.
    pub project: String,
    /// What the drawing shows, for example `South elevation, boards`.
    pub title: String,
    /// The drawing's number.
    pub number: String,
    /// The state or revision.
    pub revision: String,
    /// The date as it is to be printed; the core has no clock.
    pub date: String,
    /// Who answers for the drawing.
    pub responsible: String,
    /// One line of warning or status, for example that anchors need confirming by the person responsible.
    pub remark: String,
}

impl TitleBlock {
    /// The block of a sheet that holds nothing but a list, which its title says.
    pub(crate) fn of_a_list(&self) -> Self {
        Self {
            title: format!("{}, list", self.title),
            ..self.clone()
        }
    }
}

/// One finished sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// Its number, from 1.
    pub number: u32,
    /// How many belong together.
    pub count: u32,
    /// The scale 1 : n, or nothing where the sheet is a list.
    pub scale: Option<u32>,
    /// The SVG text, 420 mm by 297 mm.
    pub svg: String,
}

/// What the small sample of a legend line shows.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Sample {
    Area(Hatch),
    /// An area whose strokes stand so far apart.
    Spaced(Hatch, f64),
    Line(Pen),
    /// A zigzag.
    Zigzag(Pen),
    /// A line with a code letter on it.
    Coded(Pen, &'static str),
    Opening,
    /// A box with a leader to a dot.
    Led,
    Symbol(Symbol),
}

/// The small marks of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Symbol {
    Ring,
    Disc,
    DoubleRing,
    Dot,
    Square,
    /// In a wide line and empty, so that an anchor on it is seen.
    WideSquare,
    Triangle,
    Mesh,
    /// Full, and on its point.
    Diamond,
    /// An arrow up.
    Upward,
}

#[derive(Clone, Debug)]
pub(crate) struct LegendLine {
    pub sample: Sample,
    pub text: String,
}

impl LegendLine {
    pub(crate) fn new(sample: Sample, text: &str) -> Self {
        Self {
            sample,
            text: String::from(text),
        }
    }
}

/// A line of a list beside or behind the picture.
#[derive(Clone, Debug)]
pub(crate) enum ListLine {
    Heading(String),
    Text(String),
    /// What a text goes on with.
    More(String),
    /// A piece that had no room for its number.
    Piece {
        number: u32,
        text: String,
    },
}

/// What the strip along the lower edge needs to know.
#[derive(Clone, Debug)]
pub(crate) struct Strip<'a> {
    pub block: &'a TitleBlock,
    pub scale: Option<u32>,
    pub number: usize,
    pub count: usize,
    pub legend: &'a [LegendLine],
}

impl Strip<'_> {
    /// The sheet with its number and scale.
    pub(crate) fn finished(&self, svg: Svg) -> Sheet {
        Sheet {
            number: self.number as u32,
            count: self.count as u32,
            scale: self.scale,
            svg: svg.close(),
        }
    }
}

/// Opens a sheet with its border and the strip along the lower edge.
pub(crate) fn open(strip: &Strip<'_>) -> Svg {
    let title = format!(
        "{} {} {}/{}",
        strip.block.project, strip.block.title, strip.number, strip.count
    );
    let mut svg = Svg::open(
        SHEET_WIDTH_MM,
        SHEET_HEIGHT_MM,
        title.trim(),
        &strip.block.remark,
    );
    svg.group("border", Pen::WIDE, Paint::None);
    svg.rect(&BORDER);
    svg.line(
        Spot::at(BORDER.x0, STRIP_TOP),
        Spot::at(BORDER.x1, STRIP_TOP),
    );
    svg.line(
        Spot::at(BLOCK_LEFT, STRIP_TOP),
        Spot::at(BLOCK_LEFT, BORDER.y1),
    );
    svg.end();
    title_block(&mut svg, strip);
    legend(&mut svg, strip.legend);
    svg
}

fn title_block(svg: &mut Svg, strip: &Strip<'_>) {
    let (x0, x1) = (BLOCK_LEFT, BORDER.x1);
    let block = strip.block;
    svg.group("title-block", Pen::NARROW, Paint::None);
    for y in [255.0, 265.0, 275.0] {
        svg.line(Spot::at(x0, y), Spot::at(x1, y));
    }
    for x in [292.0, 322.0, 366.0] {
        svg.line(Spot::at(x, 265.0), Spot::at(x, 275.0));
    }
    let wide = x1 - x0 - 4.0;
    let mut write = |x: f64, y: f64, lettering: Lettering, text: &str, room: f64| {
        svg.text(&Text::level(
            Spot::at(x, y),
            lettering,
            Anchoring::Start,
            &lettering.fitted(text, room),
        ));
    };
    for (y, lettering, line) in in_band(&block.project, 251.0, Lettering::Plain, wide) {
        write(x0 + 2.0, y, lettering, &line, wide);
    }
    for (y, lettering, line) in in_band(&block.title, 260.0, Lettering::Large, wide) {
        write(x0 + 2.0, y, lettering, &line, wide);
    }
    let scale = strip
        .scale
        .map_or_else(|| String::from("-"), |n| format!("1:{n}"));
    let cells = [
        (x0, "Scale (A3)", scale, 30.0),
        (
            292.0,
            "Sheet",
            format!("{}/{}", strip.number, strip.count),
            30.0,
        ),
        (322.0, "Drawing no.", block.number.clone(), 44.0),
        (366.0, "Revision", block.revision.clone(), 44.0),
    ];
    for (x, name, value, room) in cells {
        write(x + 1.5, 267.3, Lettering::Small, name, room - 2.0);
        write(x + 1.5, 271.8, Lettering::Plain, &value, room - 2.0);
    }
    let who = match (block.date.is_empty(), block.responsible.is_empty()) {
        (false, false) => format!("{} · {}", block.date, block.responsible),
        (false, true) => block.date.clone(),
        _ => block.responsible.clone(),
    };
    write(x0 + 2.0, 277.6, Lettering::Small, &who, wide);
    for (row, line) in wrapped(Lettering::Small, &block.remark, wide)
        .iter()
        .take(2)
        .enumerate()
    {
        write(
            x0 + 2.0,
            281.2 + 3.4 * row as f64,
            Lettering::Small,
            line,
            wide,
        );
    }
    svg.end();
}

/// A text in a band of the title block: in one line as large as it fits, else in two lines of the smallest lettering.
fn in_band(
    text: &str,
    middle: f64,
    largest: Lettering,
    wide: f64,
) -> Vec<(f64, Lettering, String)> {
    let one = [largest, Lettering::Plain, Lettering::Small]
        .into_iter()
        .find(|lettering| lettering.width_mm(text) <= wide);
    if let Some(lettering) = one {
        return alloc::vec![(middle, lettering, String::from(text))];
    }
    let small = Lettering::Small;
    let mut lines = wrapped(small, text, wide).into_iter();
    let first = lines.next().unwrap_or_default();
    let rest: Vec<String> = lines.collect();
    alloc::vec![
        (middle - 1.7, small, first),
        (middle + 1.7, small, rest.join(" ")),
    ]
}

fn legend(svg: &mut Svg, lines: &[LegendLine]) {
    let rows = 7;
    let left = BORDER.x0 + 2.0;
    let columns = lines.len().div_ceil(rows).max(1);
    let room = BLOCK_LEFT - left - 2.0;
    // Three columns of one width, unless fewer take a longer text.
    let longest = lines
        .iter()
        .map(|line| Lettering::Small.width_mm(&line.text) + 14.1)
        .fold(room / 3.0, f64::max);
    let column_width = longest.min(room / columns as f64);
    for (i, line) in lines.iter().enumerate() {
        let x = left + (i / rows) as f64 * column_width;
        let y = STRIP_TOP + 4.0 + (i % rows) as f64 * 5.3;
        sample(svg, Spot::at(x, y), line.sample);
        svg.group("legend", Pen::NARROW, Paint::None);
        let words = Lettering::Small.fitted(&line.text, column_width - 14.0);
        svg.text(&Text::level(
            Spot::at(x + 12.0, y),
            Lettering::Small,
            Anchoring::Start,
            &words,
        ));
        svg.end();
    }
}

fn sample(svg: &mut Svg, at: Spot, kind: Sample) {
    let (from, to) = (at, Spot::at(at.x + 10.0, at.y));
    let frame = Frame::new(at.x, at.y - 1.8, at.x + 10.0, at.y + 1.8);
    match kind {
        Sample::Area(pattern) => {
            filled(svg, &frame.corners(), pattern);
            svg.group("legend", Pen::NARROW, Paint::None);
            svg.rect(&frame);
            svg.end();
        }
        Sample::Spaced(pattern, spacing) => {
            svg.group("hatch", Pen::HATCH, Paint::None);
            svg.strokes(&hatch(&frame.corners(), pattern, spacing));
            svg.end();
            svg.group("legend", Pen::NARROW, Paint::None);
            svg.rect(&frame);
            svg.end();
        }
        Sample::Line(pen) => {
            svg.group("legend", pen, Paint::None);
            svg.line(from, to);
            svg.end();
        }
        Sample::Zigzag(pen) => {
            svg.group("legend", pen, Paint::None);
            let spots: Vec<Spot> = (0..=8_i32)
                .map(|i| {
                    let side = [0.0, -0.6, 0.0, 0.6];
                    let shift = side.get(i as usize % 4).copied().unwrap_or_default();
                    Spot::at(at.x + 1.25 * f64::from(i), at.y + shift)
                })
                .collect();
            svg.polyline(&spots);
            svg.end();
        }
        Sample::Coded(pen, code) => {
            svg.group("legend", pen, Paint::None);
            svg.line(from, to);
            svg.end();
            coded(svg, Spot::at(at.x + 5.0, at.y), code);
        }
        Sample::Opening => {
            svg.group("legend", Pen::MIDDLE, Paint::None);
            svg.rect(&frame);
            svg.end();
            svg.group("legend", Pen::FINE, Paint::None);
            let [a, b, c, d] = frame.corners();
            svg.strokes(&[(a, c), (b, d)]);
            svg.end();
        }
        Sample::Led => {
            svg.group("legend", Pen::NARROW, Paint::White);
            svg.line(Spot::at(at.x + 4.0, at.y), Spot::at(at.x + 9.0, at.y));
            svg.rect(&Frame::new(at.x, at.y - 1.4, at.x + 4.0, at.y + 1.4));
            svg.end();
            svg.group("legend", Pen::NARROW, Paint::Black);
            svg.circle(Spot::at(at.x + 9.0, at.y), 0.35);
            svg.end();
        }
        Sample::Symbol(symbol) => mark(svg, Spot::at(at.x + 5.0, at.y), symbol),
    }
}

/// A code letter on a line, on a white ground.
pub(crate) fn coded(svg: &mut Svg, at: Spot, code: &str) {
    let text = Text::level(at, Lettering::Small, Anchoring::Middle, code);
    svg.group("code", Pen::FINE, Paint::White);
    svg.rect_without_line(&text.frame());
    svg.text(&text);
    svg.end();
}

/// Fills a shape with its pattern, without its outline.
pub(crate) fn filled(svg: &mut Svg, shape: &[Spot], pattern: Hatch) {
    match pattern {
        Hatch::Plain => {}
        Hatch::Solid => {
            svg.group("solid", Pen::HATCH, Paint::Black);
            svg.polygon(shape);
            svg.end();
        }
        other => {
            svg.group("hatch", Pen::HATCH, Paint::None);
            svg.strokes(&hatch(shape, other, 1.5));
            svg.end();
        }
    }
}

/// Half the size of a symbol's box.
pub(crate) const fn reach(symbol: Symbol) -> f64 {
    match symbol {
        Symbol::Ring | Symbol::Disc => 0.55,
        Symbol::DoubleRing | Symbol::Diamond => 0.8,
        Symbol::Dot => 0.4,
        Symbol::Square | Symbol::WideSquare => 1.0,
        Symbol::Triangle | Symbol::Mesh | Symbol::Upward => 1.6,
    }
}

/// Draws one of the small marks.
pub(crate) fn mark(svg: &mut Svg, at: Spot, symbol: Symbol) {
    let r = reach(symbol);
    match symbol {
        Symbol::Ring => {
            svg.group("symbol", Pen::NARROW, Paint::White);
            svg.circle(at, r);
            svg.end();
        }
        Symbol::Disc | Symbol::Dot => {
            svg.group("symbol", Pen::FINE, Paint::Black);
            svg.circle(at, r);
            svg.end();
        }
        Symbol::DoubleRing => {
            svg.group("symbol", Pen::FINE, Paint::White);
            svg.circle(at, r);
            svg.circle(at, r / 2.0);
            svg.end();
        }
        Symbol::Square => {
            svg.group("symbol", Pen::NARROW, Paint::White);
            let frame = Frame::around(at, 2.0 * r, 2.0 * r);
            svg.rect(&frame);
            let [a, b, c, d] = frame.corners();
            svg.strokes(&[(a, c), (b, d)]);
            svg.end();
        }
        Symbol::WideSquare => {
            svg.group("symbol", Pen::WIDE, Paint::White);
            let side = 2.0 * r - Pen::WIDE.width;
            svg.rect(&Frame::around(at, side, side));
            svg.end();
        }
        Symbol::Triangle => {
            svg.group("symbol", Pen::MIDDLE, Paint::White);
            svg.polygon(&[
                Spot::at(at.x, at.y - r),
                Spot::at(at.x + r, at.y + r),
                Spot::at(at.x - r, at.y + r),
            ]);
            svg.end();
        }
        Symbol::Diamond => {
            svg.group("sill-end", Pen::FINE, Paint::Black);
            svg.polygon(&[
                Spot::at(at.x, at.y - r),
                Spot::at(at.x + r, at.y),
                Spot::at(at.x, at.y + r),
                Spot::at(at.x - r, at.y),
            ]);
            svg.end();
        }
        Symbol::Upward => arrow(svg, at, (0.0, -1.0)),
        Symbol::Mesh => {
            svg.group("symbol", Pen::FINE, Paint::White);
            let shape = [
                Spot::at(at.x - 2.4, at.y + 0.4),
                Spot::at(at.x + 1.2, at.y - 1.8),
                Spot::at(at.x + 2.4, at.y - 0.4),
                Spot::at(at.x - 1.2, at.y + 1.8),
            ];
            svg.polygon(&shape);
            svg.strokes(&hatch(&shape, Hatch::Crossed, 0.6));
            svg.end();
        }
    }
}

/// Half the length of an arrow.
pub(crate) const ARROW: f64 = 1.9;

/// An arrow about a place, pointing along a unit step.
pub(crate) fn arrow(svg: &mut Svg, at: Spot, (x, y): (f64, f64)) {
    let on = |along: f64, aside: f64| {
        Spot::at(at.x + along * x - aside * y, at.y + along * y + aside * x)
    };
    svg.group("arrow", Pen::MIDDLE, Paint::None);
    let (foot, tip) = (on(-ARROW, 0.0), on(ARROW, 0.0));
    svg.strokes(&[(foot, tip)]);
    svg.polyline(&[on(ARROW - 1.2, -0.8), tip, on(ARROW - 1.2, 0.8)]);
    svg.end();
}

/// A scale bar of a round length, with its end written.
pub(crate) fn scale_bar(svg: &mut Svg, at: Spot, scale: u32) {
    // Metres on the bar: the longest of 1-2-5 metres that stays within 60 mm.
    let per_metre = 1000.0 / f64::from(scale);
    let metres = [50.0, 20.0, 10.0, 5.0, 2.0, 1.0]
        .into_iter()
        .find(|m| m * per_metre <= 60.0)
        .unwrap_or(0.5);
    let step = metres * per_metre / 5.0;
    for i in 0..5_u32 {
        let x = at.x + f64::from(i) * step;
        let paint = if i % 2 == 0 {
            Paint::Black
        } else {
            Paint::White
        };
        svg.group("scale-bar", Pen::NARROW, paint);
        svg.rect(&Frame::new(x, at.y - 0.7, x + step, at.y + 0.7));
        svg.end();
    }
    svg.group("scale-bar", Pen::NARROW, Paint::None);
    let zero = Text::level(
        Spot::at(at.x - 1.0, at.y),
        Lettering::Small,
        Anchoring::End,
        "0",
    );
    svg.text(&zero);
    let end = format!("{metres} m");
    svg.text(&Text::level(
        Spot::at(at.x + 5.0 * step + 1.0, at.y),
        Lettering::Small,
        Anchoring::Start,
        &end,
    ));
    svg.end();
}

/// A list broken into lines that fit a column.
pub(crate) fn broken(list: &[ListLine]) -> Vec<ListLine> {
    let mut lines = Vec::new();
    for line in list {
        match line {
            ListLine::Heading(text) => {
                for part in wrapped(Lettering::Small, text, COLUMN_TEXT) {
                    lines.push(ListLine::Heading(part));
                }
            }
            ListLine::Text(text) => lines.extend(hanging(text)),
            ListLine::More(text) => lines.push(ListLine::More(text.clone())),
            ListLine::Piece { number, text } => lines.push(ListLine::Piece {
                number: *number,
                text: Lettering::Small.fitted(text, COLUMN_TEXT - NUMBER_COLUMN),
            }),
        }
    }
    lines
}

/// A text of a list in lines, all but the first indented, so that each entry is found by its beginning.
fn hanging(text: &str) -> Vec<ListLine> {
    let mut lines = wrapped(Lettering::Small, text, COLUMN_TEXT).into_iter();
    let Some(first) = lines.next() else {
        return Vec::new();
    };
    let rest = lines.collect::<Vec<String>>().join(" ");
    let rest = wrapped(Lettering::Small, &rest, COLUMN_TEXT - INDENT);
    let more = rest.into_iter().map(ListLine::More);
    core::iter::once(ListLine::Text(first))
        .chain(more)
        .collect()
}

/// The indent of lines that go on.
const INDENT: f64 = 2.0;

const NUMBER_COLUMN: f64 = 11.0;

/// Lays list lines out in the columns of areas, after the last of which others like it follow. A heading stays with the first line under it:
/// where it would end a column, it begins the next. Where a section goes on in another column, its heading is said again.
pub(crate) fn together(lines: Vec<ListLine>, areas: &[Frame]) -> Vec<ListLine> {
    let is_heading = |line: &ListLine| matches!(line, ListLine::Heading(_));
    let mut columns = columns_of(areas);
    let mut rows = columns.next().unwrap_or(usize::MAX);
    let mut row = 0;
    let mut kept: Vec<ListLine> = Vec::with_capacity(lines.len());
    let mut heading: Vec<ListLine> = Vec::new();
    let mut lines = lines.into_iter().peekable();
    while lines.peek().is_some() {
        let mut block: Vec<ListLine> = Vec::new();
        while let Some(heading) = lines.next_if(is_heading) {
            block.push(heading);
        }
        if !block.is_empty() {
            heading.clone_from(&block);
        }
        let begins = !block.is_empty();
        block.extend(lines.next());
        // An entry of a few lines is not torn apart.
        while let Some(more) = lines.next_if(|line| matches!(line, ListLine::More(_))) {
            block.push(more);
        }
        // A block taller than a column is broken wherever it must be.
        if row > 0 && row + block.len() > rows && block.len() > 1 && block.len() <= rows {
            for _ in row..rows {
                kept.push(ListLine::Text(String::new()));
            }
            row = rows;
        }
        if row == rows
            && let Some(next) = columns.clone().next()
            && !begins
        {
            let again = again(&heading);
            // In a low column the lines go first.
            if again.len() * HEADED_ROWS <= next {
                block.splice(0..0, again);
            }
        }
        for line in block {
            if row == rows {
                rows = columns.next().unwrap_or(rows);
                row = 0;
            }
            kept.push(line);
            row += 1;
        }
    }
    kept
}

/// The heading of a section that goes on elsewhere.
fn again(heading: &[ListLine]) -> Vec<ListLine> {
    let words = heading.iter().filter_map(|line| match line {
        ListLine::Heading(text) => Some(text.as_str()),
        _ => None,
    });
    let text = words.collect::<Vec<_>>().join(" ");
    if text.is_empty() {
        return Vec::new();
    }
    let text = text.strip_suffix(CONTINUED).unwrap_or(&text);
    broken(&[ListLine::Heading(format!("{text}{CONTINUED}"))])
}

/// How many lines a column holds at least for each line of a heading that is said again.
const HEADED_ROWS: usize = 4;

/// Behind the heading of a section that began elsewhere.
const CONTINUED: &str = " (continued)";

/// The lines of each column of areas; the last area comes again and again.
fn columns_of(areas: &[Frame]) -> impl Iterator<Item = usize> + Clone + '_ {
    let held = areas.iter().filter(|area| capacity(area) > 0);
    let last = held.clone().next_back();
    let all = held.chain(last.into_iter().cycle());
    all.flat_map(|area| core::iter::repeat_n(rows(area), columns(area)))
}

/// How many list lines an area holds.
pub(crate) fn capacity(area: &Frame) -> usize {
    rows(area) * columns(area)
}

fn rows(area: &Frame) -> usize {
    libm::floor((area.height() - 4.0) / LINE_PITCH).max(0.0) as usize
}

fn columns(area: &Frame) -> usize {
    libm::floor(area.width() / COLUMN).max(0.0) as usize
}

/// The last of so many sheets, which hold nothing but list lines.
pub(crate) fn lists_behind(block: &TitleBlock, lines: &[ListLine], count: usize) -> Vec<Sheet> {
    let block = block.of_a_list();
    let pages = lines.chunks(capacity(&PICTURE));
    let before = count - pages.len();
    let sheet = |(i, lines): (usize, &[ListLine])| {
        let strip = Strip {
            block: &block,
            scale: None,
            number: before + i + 1,
            count,
            legend: &[],
        };
        let mut svg = open(&strip);
        write_list(&mut svg, &PICTURE, lines);
        strip.finished(svg)
    };
    pages.enumerate().map(sheet).collect()
}

/// Writes list lines into an area, column by column; the caller keeps to [`capacity`].
pub(crate) fn write_list(svg: &mut Svg, area: &Frame, lines: &[ListLine]) {
    let rows = rows(area).max(1);
    svg.group("list", Pen::NARROW, Paint::None);
    for (i, line) in lines.iter().enumerate() {
        let x = area.x0 + 2.0 + (i / rows) as f64 * COLUMN;
        let y = area.y0 + 4.0 + (i % rows) as f64 * LINE_PITCH;
        let mut write = |x: f64, class: &'static str, anchoring: Anchoring, content: &str| {
            svg.text(&Text {
                class,
                ..Text::level(Spot::at(x, y), Lettering::Small, anchoring, content)
            });
        };
        match line {
            ListLine::Heading(text) => {
                write(x, "", Anchoring::Start, text);
                let length = Lettering::Small.width_mm(text).min(COLUMN_TEXT);
                svg.line(Spot::at(x, y + 1.7), Spot::at(x + length, y + 1.7));
            }
            ListLine::Text(text) => write(x, "", Anchoring::Start, text),
            ListLine::More(text) => write(x + INDENT, "", Anchoring::Start, text),
            ListLine::Piece { number, text } => {
                write(
                    x + NUMBER_COLUMN - 2.5,
                    "piece-number",
                    Anchoring::End,
                    &number.to_string(),
                );
                write(x + NUMBER_COLUMN, "", Anchoring::Start, text);
            }
        }
    }
    svg.end();
}
