//! Axes: ticks by the 1-2-5 rule, panels, line styles for black and white, and a legend.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use crate::geometry::clip_segment;
use crate::lettering::Lettering;
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Reading, Spot, Svg, Text};

/// Ticks of an axis: whole multiples of 1, 2 or 5 times a power of ten that cover a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ticks {
    /// The first multiple.
    pub first: i64,
    /// How many ticks, at least two.
    pub count: u32,
    /// 1, 2 or 5.
    pub mantissa: i64,
    /// The power of ten.
    pub exponent: i32,
}

impl Ticks {
    /// The fewest-digit ticks that cover `low` to `high` with no more than `most` of them (`most` is taken as 3 at least). A range without length is
    /// widened to one step either way; figures that are not finite, and beyond 1e12, count as 0.
    pub fn covering(low: f64, high: f64, most: u32) -> Self {
        let sound = |v: f64| {
            if v.is_finite() && libm::fabs(v) <= 1e12 {
                v
            } else {
                0.0
            }
        };
        let (mut low, mut high) = (sound(low.min(high)), sound(high.max(low)));
        let size = libm::fabs(low).max(libm::fabs(high));
        if high - low <= size * 1e-9 || high - low < 1e-9 {
            let half = if size < 1e-6 { 1.0 } else { size * 0.05 };
            (low, high) = (low - half, high + half);
        }
        let most = most.max(3);
        let start = libm::floor(libm::log10((high - low) / f64::from(most))) as i32;
        // Two decades hold the answer: three mantissas each.
        for exponent in start..start + 4 {
            for mantissa in [1_i64, 2, 5] {
                let step = mantissa as f64 * libm::pow(10.0, f64::from(exponent));
                let first = libm::floor(low / step + 1e-9) as i64;
                let last = libm::ceil(high / step - 1e-9) as i64;
                let count = last - first + 1;
                if count <= i64::from(most) {
                    return Self {
                        first,
                        count: count.max(2) as u32,
                        mantissa,
                        exponent,
                    };
                }
            }
        }
        Self {
            first: 0,
            count: 2,
            mantissa: 1,
            exponent: start + 4,
        }
    }

    /// The step from tick to tick.
    pub fn step(&self) -> f64 {
        self.scaled(self.mantissa)
    }

    fn scaled(&self, units: i64) -> f64 {
        // Division by a whole power of ten keeps 0.1 the nearest to one tenth.
        if self.exponent < 0 {
            units as f64 / libm::pow(10.0, f64::from(-self.exponent))
        } else {
            units as f64 * libm::pow(10.0, f64::from(self.exponent))
        }
    }

    /// The value of a tick, counted from 0.
    pub fn value(&self, index: u32) -> f64 {
        self.scaled((self.first + i64::from(index)) * self.mantissa)
    }

    /// All values in order.
    pub fn values(&self) -> Vec<f64> {
        (0..self.count).map(|i| self.value(i)).collect()
    }

    /// The figure written at a tick.
    pub fn label(&self, index: u32) -> String {
        let decimals = (-self.exponent).max(0) as usize;
        let value = self.value(index);
        format!("{:.decimals$}", if value == 0.0 { 0.0 } else { value })
    }

    /// The first and the last value.
    pub fn range(&self) -> (f64, f64) {
        (self.value(0), self.value(self.count.saturating_sub(1)))
    }
}

/// A range of values laid along a line on paper.
#[derive(Clone, Debug)]
pub(crate) struct Axis {
    pub ticks: Ticks,
    pub low: f64,
    pub high: f64,
    pub title: String,
}

impl Axis {
    /// From tick to tick.
    pub(crate) fn round(values: impl Iterator<Item = f64>, most: u32, title: &str) -> Self {
        let (low, high) = extremes(values);
        let ticks = Ticks::covering(low, high, most);
        let (low, high) = ticks.range();
        Self {
            ticks,
            low,
            high,
            title: String::from(title),
        }
    }
    /// From value to value, with the ticks that lie between.
    pub(crate) fn tight(low: f64, high: f64, most: u32, title: &str) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        Self {
            ticks: Ticks::covering(low, high, most),
            low,
            high,
            title: String::from(title),
        }
    }
}

/// Least and greatest; 0 to 1 for none.
pub(crate) fn extremes(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    });
    if low <= high { (low, high) } else { (0.0, 1.0) }
}

/// A field of the plot with its two axes.
#[derive(Clone, Debug)]
pub(crate) struct Panel {
    pub frame: Frame,
    pub x: Axis,
    pub y: Axis,
}

impl Panel {
    pub(crate) fn spot(&self, x: f64, y: f64) -> Spot {
        let across = (x - self.x.low) / (self.x.high - self.x.low);
        let up = (y - self.y.low) / (self.y.high - self.y.low);
        Spot::at(
            self.frame.x0 + across * self.frame.width(),
            self.frame.y1 - up * self.frame.height(),
        )
    }

    /// Frame, grid, ticks, figures and titles; without figures along x where `below` says so.
    pub(crate) fn draw(&self, svg: &mut Svg, below: Below) {
        let frame = &self.frame;
        svg.group("grid", Pen::of(0.1, LineKind::Dotted), Paint::None);
        let mut grid = Vec::new();
        let mut marks = Vec::new();
        let mut figures: Vec<(Spot, Anchoring, String)> = Vec::new();
        for i in 0..self.x.ticks.count {
            let at = self.spot(self.x.ticks.value(i), self.y.low);
            if below == Below::Nothing || at.x < frame.x0 - 0.01 || at.x > frame.x1 + 0.01 {
                continue;
            }
            grid.push((at, Spot::at(at.x, frame.y0)));
            marks.push((at, Spot::at(at.x, frame.y1 + 1.2)));
            if below == Below::Figures && i % self.every() == 0 {
                let label = self.x.ticks.label(i);
                // A long figure at the end of the axis moves inwards rather than off the page.
                let half = Lettering::Small.width_mm(&label) / 2.0;
                let x = at.x.min(frame.x1 + 3.5 - half).max(half);
                figures.push((Spot::at(x, frame.y1 + 3.4), Anchoring::Middle, label));
            }
        }
        for i in 0..self.y.ticks.count {
            let at = self.spot(self.x.low, self.y.ticks.value(i));
            if at.y < frame.y0 - 0.01 || at.y > frame.y1 + 0.01 {
                continue;
            }
            grid.push((at, Spot::at(frame.x1, at.y)));
            marks.push((at, Spot::at(frame.x0 - 1.2, at.y)));
            let place = Spot::at(frame.x0 - 2.0, at.y);
            figures.push((place, Anchoring::End, self.y.ticks.label(i)));
        }
        svg.strokes(&grid);
        svg.end();
        svg.group("axes", Pen::NARROW, Paint::None);
        svg.rect(frame);
        svg.strokes(&marks);
        let widest = figures
            .iter()
            .filter(|f| f.1 == Anchoring::End)
            .map(|f| Lettering::Small.width_mm(&f.2))
            .fold(0.0, f64::max);
        for (at, anchoring, text) in &figures {
            svg.text(&Text {
                class: "tick",
                ..Text::level(*at, Lettering::Small, *anchoring, text)
            });
        }
        if below == Below::Figures {
            let title = Lettering::Small.fitted(&self.x.title, frame.width());
            svg.text(&Text::level(
                Spot::at(f64::midpoint(frame.x0, frame.x1), frame.y1 + 7.6),
                Lettering::Small,
                Anchoring::Middle,
                &title,
            ));
        }
        let title = Lettering::Small.fitted(&self.y.title, frame.height() + 8.0);
        svg.text(&Text {
            reading: Reading::Upward,
            ..Text::level(
                Spot::at(
                    (frame.x0 - widest - 4.4).max(1.8),
                    f64::midpoint(frame.y0, frame.y1),
                ),
                Lettering::Small,
                Anchoring::Middle,
                &title,
            )
        });
        svg.end();
    }

    /// Every how many ticks along x there is room for a figure.
    fn every(&self) -> u32 {
        let widest = (0..self.x.ticks.count)
            .map(|i| Lettering::Small.width_mm(&self.x.ticks.label(i)) + 2.0)
            .fold(0.0, f64::max);
        let span = libm::fabs(self.x.high - self.x.low);
        let pitch = self.x.ticks.step() / span * self.frame.width();
        libm::ceil(widest / pitch.max(0.1)).max(1.0) as u32
    }

    /// Draws a curve inside the panel.
    pub(crate) fn curve(&self, svg: &mut Svg, points: &[(f64, f64)], style: LineStyle) {
        let spots: Vec<Spot> = points.iter().map(|(x, y)| self.spot(*x, *y)).collect();
        svg.group("curve", style.pen, Paint::None);
        let mut run: Vec<Spot> = Vec::new();
        for pair in spots.windows(2) {
            let &[a, b] = pair else { continue };
            match clip_segment(a, b, &self.frame) {
                Some((from, to)) => {
                    if run.last() != Some(&from) {
                        svg.polyline(&core::mem::take(&mut run));
                        run.push(from);
                    }
                    run.push(to);
                }
                None => svg.polyline(&core::mem::take(&mut run)),
            }
        }
        svg.polyline(&run);
        svg.end();
        // Marks stand apart, so that many points do not make a band of ink.
        let mut last: Option<Spot> = None;
        for spot in spots.into_iter().filter(|s| self.frame.contains(*s)) {
            if last.is_none_or(|l| libm::hypot(spot.x - l.x, spot.y - l.y) >= style.spacing) {
                point_mark(svg, spot, style.mark);
                last = Some(spot);
            }
        }
    }
}

/// What stands below a panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Below {
    Figures,
    TicksOnly,
    Nothing,
}

/// The mark at the points of a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PointMark {
    None,
    Disc,
    Ring,
    Square,
    Triangle,
    Diamond,
    Cross,
}

/// How a curve is told from the others without colour.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LineStyle {
    pub pen: Pen,
    pub mark: PointMark,
    pub spacing: f64,
}

impl LineStyle {
    pub(crate) const fn plain(pen: Pen) -> Self {
        Self {
            pen,
            mark: PointMark::None,
            spacing: 0.0,
        }
    }
    /// The style of the n-th curve; all of the first twelve differ.
    pub(crate) fn nth(n: usize) -> Self {
        const KINDS: [LineKind; 4] = [
            LineKind::Continuous,
            LineKind::Dashed,
            LineKind::LongDashedDotted,
            LineKind::Dotted,
        ];
        const MARKS: [PointMark; 6] = [
            PointMark::Disc,
            PointMark::Ring,
            PointMark::Square,
            PointMark::Triangle,
            PointMark::Diamond,
            PointMark::Cross,
        ];
        let pick = |n: usize, len: usize| n % len;
        Self {
            pen: Pen::of(
                0.35,
                KINDS
                    .get(pick(n, KINDS.len()))
                    .copied()
                    .unwrap_or(LineKind::Continuous),
            ),
            mark: MARKS
                .get(pick(n, MARKS.len()))
                .copied()
                .unwrap_or(PointMark::None),
            spacing: 14.0,
        }
    }
}

pub(crate) fn point_mark(svg: &mut Svg, at: Spot, mark: PointMark) {
    let r = 1.0;
    let paint = if mark == PointMark::Disc {
        Paint::Black
    } else {
        Paint::White
    };
    if mark == PointMark::None {
        return;
    }
    svg.group("point", Pen::NARROW, paint);
    match mark {
        PointMark::None => {}
        PointMark::Disc => svg.circle(at, 0.8),
        PointMark::Ring => svg.circle(at, 0.9),
        PointMark::Square => svg.rect(&Frame::around(at, 1.7, 1.7)),
        PointMark::Triangle => svg.polygon(&[
            Spot::at(at.x, at.y - 1.2),
            Spot::at(at.x + 1.1, at.y + 0.8),
            Spot::at(at.x - 1.1, at.y + 0.8),
        ]),
        PointMark::Diamond => svg.polygon(&[
            Spot::at(at.x, at.y - 1.3),
            Spot::at(at.x + 1.3, at.y),
            Spot::at(at.x, at.y + 1.3),
            Spot::at(at.x - 1.3, at.y),
        ]),
        PointMark::Cross => svg.strokes(&[
            (Spot::at(at.x - r, at.y - r), Spot::at(at.x + r, at.y + r)),
            (Spot::at(at.x - r, at.y + r), Spot::at(at.x + r, at.y - r)),
        ]),
    }
    svg.end();
}

/// A legend of curves in rows below a plot; gives the height it took for any number of entries.
pub(crate) struct CurveLegend<'a> {
    pub entries: &'a [(String, LineStyle)],
    pub left: f64,
    pub width: f64,
}

impl CurveLegend<'_> {
    const PITCH: f64 = 5.0;
    const SAMPLE: f64 = 16.0;

    fn column_width(&self) -> f64 {
        let widest = self
            .entries
            .iter()
            .map(|(text, _)| Lettering::Small.width_mm(text))
            .fold(0.0, f64::max);
        (widest + Self::SAMPLE + 6.0).min(self.width)
    }
    fn columns(&self) -> usize {
        libm::floor(self.width / self.column_width()).max(1.0) as usize
    }
    pub(crate) fn height(&self) -> f64 {
        self.entries.len().div_ceil(self.columns()) as f64 * Self::PITCH
    }
    pub(crate) fn draw(&self, svg: &mut Svg, top: f64) {
        let (columns, width) = (self.columns(), self.column_width());
        for (i, (text, style)) in self.entries.iter().enumerate() {
            let x = self.left + (i % columns) as f64 * width;
            let y = top + ((i / columns) as f64 + 0.5) * Self::PITCH;
            svg.group("legend", style.pen, Paint::None);
            svg.line(Spot::at(x, y), Spot::at(x + 13.0, y));
            svg.end();
            point_mark(svg, Spot::at(x + 6.5, y), style.mark);
            svg.group("legend", Pen::FINE, Paint::None);
            let words = Lettering::Small.fitted(text, width - Self::SAMPLE - 1.0);
            svg.text(&Text::level(
                Spot::at(x + Self::SAMPLE, y),
                Lettering::Small,
                Anchoring::Start,
                &words,
            ));
            svg.end();
        }
    }
}

/// The title of a plot, at its upper left.
pub(crate) fn plot_title(svg: &mut Svg, title: &str, width: f64) {
    svg.group("title", Pen::FINE, Paint::None);
    let words = Lettering::Plain.fitted(title, width - 8.0);
    svg.text(&Text::level(
        Spot::at(4.0, 5.0),
        Lettering::Plain,
        Anchoring::Start,
        &words,
    ));
    svg.end();
}

/// A figure with at most so many decimals, without trailing zeros.
pub(crate) fn figure(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if !text.contains('.') {
        return text;
    }
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_string()
    } else {
        String::from(text)
    }
}
