//! The SVG text itself: paper millimetres, pens by ISO 128-2, hatching drawn as lines so that every renderer shows the same.

use alloc::string::String;
use core::fmt::Write as _;

use crate::lettering::{Lettering, escape_into};

/// A place on the paper in millimetres, x to the right and y down from the upper left corner.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Spot {
    pub x: f64,
    pub y: f64,
}

impl Spot {
    pub(crate) const fn at(x: f64, y: f64) -> Self {
        Self { x, y }
    }
}

/// An upright box on the paper: `x0 < x1`, `y0 < y1`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Frame {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Frame {
    pub(crate) const fn new(x0: f64, y0: f64, x1: f64, y1: f64) -> Self {
        Self { x0, y0, x1, y1 }
    }
    pub(crate) fn width(&self) -> f64 {
        self.x1 - self.x0
    }
    pub(crate) fn height(&self) -> f64 {
        self.y1 - self.y0
    }
    pub(crate) fn middle(&self) -> Spot {
        Spot::at(
            f64::midpoint(self.x0, self.x1),
            f64::midpoint(self.y0, self.y1),
        )
    }
    pub(crate) fn overlaps(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }
    pub(crate) fn contains(&self, spot: Spot) -> bool {
        (self.x0..=self.x1).contains(&spot.x) && (self.y0..=self.y1).contains(&spot.y)
    }
    pub(crate) fn corners(&self) -> [Spot; 4] {
        [
            Spot::at(self.x0, self.y1),
            Spot::at(self.x1, self.y1),
            Spot::at(self.x1, self.y0),
            Spot::at(self.x0, self.y0),
        ]
    }
    /// The box of a text centred at a place.
    pub(crate) fn around(centre: Spot, width: f64, height: f64) -> Self {
        Self {
            x0: centre.x - width / 2.0,
            y0: centre.y - height / 2.0,
            x1: centre.x + width / 2.0,
            y1: centre.y + height / 2.0,
        }
    }
}

/// Kind of line by ISO 128-2, with dash lengths for lines on paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LineKind {
    /// 01, continuous.
    Continuous,
    /// 02, dashed: hidden edges.
    Dashed,
    /// 04, long-dashed dotted: centre lines, limits of areas.
    LongDashedDotted,
    /// 05, long-dashed double-dotted.
    LongDashedDoubleDotted,
    /// 08, long-dashed short-dashed.
    LongDashedShortDashed,
    /// 07, dotted.
    Dotted,
}

impl LineKind {
    const fn dashes(self) -> &'static str {
        match self {
            Self::Continuous => "",
            Self::Dashed => "2,1",
            Self::LongDashedDotted => "5,1,0.4,1",
            Self::LongDashedDoubleDotted => "5,1,0.4,1,0.4,1",
            Self::LongDashedShortDashed => "5,1,2,1",
            Self::Dotted => "0.5,0.9",
        }
    }
}

/// A line width and kind. The widths are those of the line group 0.5 of ISO 128-2, with a finer one for hatching.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pen {
    pub width: f64,
    pub kind: LineKind,
}

impl Pen {
    pub(crate) const HATCH: Self = Self::continuous(0.1);
    pub(crate) const FINE: Self = Self::continuous(0.13);
    pub(crate) const NARROW: Self = Self::continuous(0.18);
    pub(crate) const MIDDLE: Self = Self::continuous(0.35);
    pub(crate) const WIDE: Self = Self::continuous(0.5);
    pub(crate) const EXTRA_WIDE: Self = Self::continuous(0.8);

    pub(crate) const fn continuous(width: f64) -> Self {
        Self {
            width,
            kind: LineKind::Continuous,
        }
    }
    pub(crate) const fn of(width: f64, kind: LineKind) -> Self {
        Self { width, kind }
    }
}

/// What fills the shapes of a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Paint {
    None,
    White,
    Black,
}

impl Paint {
    const fn colour(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::White => "#fff",
            Self::Black => "#000",
        }
    }
}

/// Where a text hangs on its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchoring {
    Start,
    Middle,
    End,
}

/// Which way a text reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reading {
    /// From the bottom edge of the sheet.
    Level,
    /// From the right edge of the sheet.
    Upward,
}

/// One piece of text. The place is the middle of its height.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Text<'a> {
    pub at: Spot,
    pub lettering: Lettering,
    pub anchoring: Anchoring,
    pub reading: Reading,
    /// A class by which a program finds the text again; empty for none.
    pub class: &'static str,
    pub content: &'a str,
}

impl<'a> Text<'a> {
    pub(crate) fn level(
        at: Spot,
        lettering: Lettering,
        anchoring: Anchoring,
        content: &'a str,
    ) -> Self {
        Self {
            at,
            lettering,
            anchoring,
            reading: Reading::Level,
            class: "",
            content,
        }
    }
    /// The box that the text does not leave.
    pub(crate) fn frame(&self) -> Frame {
        let length = self.lettering.width_mm(self.content);
        let height = self.lettering.font_size_mm();
        let (from, to) = match self.anchoring {
            Anchoring::Start => (0.0, length),
            Anchoring::Middle => (-length / 2.0, length / 2.0),
            Anchoring::End => (-length, 0.0),
        };
        match self.reading {
            Reading::Level => Frame::new(
                self.at.x + from,
                self.at.y - height / 2.0,
                self.at.x + to,
                self.at.y + height / 2.0,
            ),
            Reading::Upward => Frame::new(
                self.at.x - height / 2.0,
                self.at.y - to,
                self.at.x + height / 2.0,
                self.at.y - from,
            ),
        }
    }
}

/// An SVG under way.
#[derive(Debug)]
pub(crate) struct Svg {
    out: String,
}

impl Svg {
    /// Opens a drawing of a size in millimetres, white, black ink.
    pub(crate) fn open(width: f64, height: f64, title: &str, description: &str) -> Self {
        let mut svg = Self { out: String::new() };
        svg.out
            .push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"");
        svg.number(width);
        svg.out.push_str("mm\" height=\"");
        svg.number(height);
        svg.out.push_str("mm\" viewBox=\"0 0 ");
        svg.number(width);
        svg.out.push(' ');
        svg.number(height);
        svg.out
            .push_str("\" font-family=\"sans-serif\" stroke-linejoin=\"round\">\n<title>");
        escape_into(&mut svg.out, title);
        svg.out.push_str("</title>\n");
        if !description.is_empty() {
            svg.out.push_str("<desc>");
            escape_into(&mut svg.out, description);
            svg.out.push_str("</desc>\n");
        }
        svg.group("paper", Pen::HATCH, Paint::White);
        svg.rect_without_line(&Frame::new(0.0, 0.0, width, height));
        svg.end();
        svg
    }

    pub(crate) fn close(mut self) -> String {
        self.out.push_str("</svg>\n");
        self.out
    }

    /// Opens a group with a pen and a fill. The name is one of ours, never a caller's.
    pub(crate) fn group(&mut self, name: &'static str, pen: Pen, fill: Paint) {
        let _ = write!(
            self.out,
            "<g class=\"{name}\" fill=\"{}\" stroke=\"#000\" stroke-width=\"",
            fill.colour()
        );
        self.number(pen.width);
        self.out.push('"');
        let dashes = pen.kind.dashes();
        if !dashes.is_empty() {
            let _ = write!(self.out, " stroke-dasharray=\"{dashes}\"");
        }
        self.out.push_str(">\n");
    }

    pub(crate) fn end(&mut self) {
        self.out.push_str("</g>\n");
    }

    /// A number in millimetres to a hundredth; what is not finite cannot come here and would be written as 0.
    fn number(&mut self, value: f64) {
        let hundredths = libm::round(value * 100.0);
        if !hundredths.is_finite() || hundredths == 0.0 {
            self.out.push('0');
            return;
        }
        let whole = hundredths as i64;
        if whole < 0 {
            self.out.push('-');
        }
        let size = whole.unsigned_abs();
        let _ = write!(self.out, "{}", size / 100);
        match (size % 100, size % 10) {
            (0, _) => {}
            (part, 0) => {
                let _ = write!(self.out, ".{}", part / 10);
            }
            (part, _) => {
                let _ = write!(self.out, ".{part:02}");
            }
        }
    }

    fn attribute(&mut self, name: &str, value: f64) {
        self.out.push(' ');
        self.out.push_str(name);
        self.out.push_str("=\"");
        self.number(value);
        self.out.push('"');
    }

    fn pair(&mut self, spot: Spot) {
        self.number(spot.x);
        self.out.push(' ');
        self.number(spot.y);
    }

    /// One path of separate strokes.
    pub(crate) fn strokes(&mut self, segments: &[(Spot, Spot)]) {
        if segments.is_empty() {
            return;
        }
        self.out.push_str("<path d=\"");
        for (from, to) in segments {
            self.out.push('M');
            self.pair(*from);
            self.out.push('L');
            self.pair(*to);
        }
        self.out.push_str("\"/>\n");
    }

    pub(crate) fn line(&mut self, from: Spot, to: Spot) {
        self.strokes(&[(from, to)]);
    }

    /// An open line through places.
    pub(crate) fn polyline(&mut self, spots: &[Spot]) {
        self.path(spots, "");
    }

    pub(crate) fn polygon(&mut self, spots: &[Spot]) {
        self.path(spots, "Z");
    }

    fn path(&mut self, spots: &[Spot], ending: &str) {
        let Some((first, rest)) = spots.split_first() else {
            return;
        };
        self.out.push_str("<path d=\"M");
        self.pair(*first);
        for spot in rest {
            self.out.push('L');
            self.pair(*spot);
        }
        self.out.push_str(ending);
        self.out.push_str("\"/>\n");
    }

    pub(crate) fn rect(&mut self, frame: &Frame) {
        self.out.push_str("<rect");
        self.attribute("x", frame.x0);
        self.attribute("y", frame.y0);
        self.attribute("width", frame.width());
        self.attribute("height", frame.height());
        self.out.push_str("/>\n");
    }

    pub(crate) fn rect_without_line(&mut self, frame: &Frame) {
        self.out.push_str("<rect stroke=\"none\"");
        self.attribute("x", frame.x0);
        self.attribute("y", frame.y0);
        self.attribute("width", frame.width());
        self.attribute("height", frame.height());
        self.out.push_str("/>\n");
    }

    pub(crate) fn circle(&mut self, centre: Spot, radius: f64) {
        self.out.push_str("<circle");
        self.attribute("cx", centre.x);
        self.attribute("cy", centre.y);
        self.attribute("r", radius);
        self.out.push_str("/>\n");
    }

    /// Writes a text; it is its own ink, whatever the group draws with.
    pub(crate) fn text(&mut self, text: &Text<'_>) {
        let drop = text.lettering.height_mm() / 2.0;
        let at = match text.reading {
            Reading::Level => Spot::at(text.at.x, text.at.y + drop),
            Reading::Upward => Spot::at(text.at.x + drop, text.at.y),
        };
        self.out.push_str("<text fill=\"#000\" stroke=\"none\"");
        if !text.class.is_empty() {
            let _ = write!(self.out, " class=\"{}\"", text.class);
        }
        self.attribute("x", at.x);
        self.attribute("y", at.y);
        self.attribute("font-size", text.lettering.font_size_mm());
        match text.anchoring {
            Anchoring::Start => {}
            Anchoring::Middle => self.out.push_str(" text-anchor=\"middle\""),
            Anchoring::End => self.out.push_str(" text-anchor=\"end\""),
        }
        if text.reading == Reading::Upward {
            self.out.push_str(" transform=\"rotate(-90 ");
            self.pair(at);
            self.out.push_str(")\"");
        }
        self.out.push('>');
        escape_into(&mut self.out, text.content);
        self.out.push_str("</text>\n");
    }
}
