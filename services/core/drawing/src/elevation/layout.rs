//! Which part of the facade stands on which sheet, and where.

use alloc::vec::Vec;

use crate::elevation::{ChainSide, ElevationDrawing, ElevationOptions, Layer, Point, Scale};
use crate::geometry::bounds;
use crate::sheet::{COLUMN, PICTURE};
use crate::svg::{Frame, Spot};

/// Distance from one chain of dimensions to the next.
pub(super) const LANE: f64 = 10.0;
/// Distance from the elevation to its first chain.
pub(super) const FIRST_LANE: f64 = 7.0;
/// Width of the band left of the elevation in which levels stand, together with what the first chain keeps off.
pub(super) const LEVEL_BAND: f64 = 12.0;
/// Height of the band in which zones are named.
pub(super) const ZONE_BAND: f64 = 8.0;
/// Height of the row in which structural joints are named.
pub(super) const JOINT_ROW: f64 = 3.4;
/// Height of the row that says where the facade goes on.
pub(super) const MATCH_ROW: f64 = 5.0;
/// Height of the row of the scale bar.
pub(super) const BAR_ROW: f64 = 7.0;
/// The same with a key plan in it.
pub(super) const KEY_ROW: f64 = 14.0;

/// A part of the facade on a sheet. `mm` has y upwards, `paper` has y downwards.
#[derive(Clone, Copy, Debug)]
pub(super) struct Window {
    pub mm: Frame,
    pub paper: Frame,
    pub column: usize,
    pub row: usize,
    /// The upper edge of the whole elevation.
    pub top: f64,
    /// The right edge of the whole elevation.
    pub right: f64,
    scale: f64,
}

impl Window {
    /// Whether a point is on this sheet; one on the line between two sheets is on the later of them only.
    pub(super) fn holds(&self, at: Point) -> bool {
        let (x, y) = (f64::from(at.x.0), f64::from(at.y.0));
        let across = x < self.mm.x1 || (x == self.mm.x1 && self.mm.x1 == self.right);
        let up = y < self.mm.y1 || (y == self.mm.y1 && self.mm.y1 == self.top);
        x >= self.mm.x0 && y >= self.mm.y0 && across && up
    }
    pub(super) fn spot(&self, at: Point) -> Spot {
        self.place(f64::from(at.x.0), f64::from(at.y.0))
    }
    pub(super) fn place(&self, x: f64, y: f64) -> Spot {
        Spot::at(
            self.paper.x0 + (x - self.mm.x0) / self.scale,
            self.paper.y1 - (y - self.mm.y0) / self.scale,
        )
    }
    pub(super) fn shape(&self, points: &[Point]) -> Vec<Spot> {
        points.iter().map(|p| self.spot(*p)).collect()
    }
}

/// The sheets of an elevation.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub scale: u32,
    pub columns: usize,
    pub rows: usize,
    /// From the lower left, row by row upwards.
    pub windows: Vec<Window>,
    pub extent: Frame,
    pub right_band: f64,
    /// What stands above the elevation besides free paper.
    pub above_band: f64,
}

/// The bands around the elevation on paper.
#[derive(Clone, Copy, Debug)]
struct Bands {
    left: f64,
    right: f64,
    above: f64,
    below: f64,
    /// For a list at the right border.
    list: f64,
}

/// Whether room is kept for a list beside the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum ListBand {
    None,
    Kept,
}

fn bands(drawing: &ElevationDrawing, options: &ElevationOptions, several: bool) -> Bands {
    let lanes = |side: ChainSide| {
        if !options.shows(Layer::Dimensions) {
            return 0.0;
        }
        drawing.dimensions.iter().filter(|c| c.side == side).count() as f64
    };
    let band = |n: f64| {
        if n > 0.0 {
            FIRST_LANE + (n - 1.0) * LANE + 5.0
        } else {
            6.0
        }
    };
    let zones = options.shows(Layer::Zones) && !drawing.zones.is_empty();
    let joints = !drawing.joints.is_empty();
    let levels = if options.shows(Layer::Dimensions) {
        LEVEL_BAND
    } else {
        0.0
    };
    Bands {
        left: levels + band(lanes(ChainSide::Left)),
        right: band(lanes(ChainSide::Right)),
        above: 4.0
            + if joints { JOINT_ROW } else { 0.0 }
            + if zones { ZONE_BAND } else { 0.0 }
            + if several { MATCH_ROW } else { 0.0 },
        below: band(lanes(ChainSide::Below)) + if several { KEY_ROW } else { BAR_ROW },
        list: 0.0,
    }
}

fn room(bands: Bands) -> (f64, f64) {
    (
        PICTURE.width() - bands.left - bands.right - bands.list,
        PICTURE.height() - bands.above - bands.below,
    )
}

/// The upright box around everything that is drawn, in facade millimetres.
fn extent(drawing: &ElevationDrawing) -> Frame {
    let mut spots: Vec<Spot> = Vec::new();
    let mut add = |points: &[Point]| {
        spots.extend(
            points
                .iter()
                .map(|p| Spot::at(f64::from(p.x.0), f64::from(p.y.0))),
        );
    };
    add(&drawing.outline);
    add(&drawing.base_line);
    add(&drawing.ground_line);
    for piece in &drawing.pieces {
        add(&piece.outline);
    }
    for opening in &drawing.openings {
        add(&opening.raw.corners());
        add(&opening.finished.corners());
    }
    for slot in &drawing.slots {
        add(&slot.area.corners());
    }
    for joint in &drawing.joints {
        add(&[joint.from, joint.to]);
    }
    for crack in &drawing.cracks {
        add(&[crack.from, crack.to]);
    }
    for bead in &drawing.beads {
        add(&[bead.from, bead.to]);
    }
    for anchor in &drawing.anchors {
        add(&[anchor.at]);
    }
    for mark in &drawing.fixtures {
        add(&[mark.at]);
    }
    for mark in &drawing.breaches {
        add(&[mark.at]);
    }
    if let Some(&Point { x, y }) = drawing.outline.first() {
        for chain in &drawing.dimensions {
            for &station in &chain.stations {
                add(&[match chain.side {
                    ChainSide::Below => Point { x: station, y },
                    ChainSide::Left | ChainSide::Right => Point { x, y: station },
                }]);
            }
        }
    }
    let mut frame = bounds(&spots);
    // A facade without extent one way still needs a window of some size.
    frame.x1 = frame.x1.max(frame.x0 + 1.0);
    frame.y1 = frame.y1.max(frame.y0 + 1.0);
    frame
}

fn chosen_scale(
    drawing: &ElevationDrawing,
    options: &ElevationOptions,
    extent: &Frame,
) -> (u32, bool) {
    let single = room(bands(drawing, options, false));
    let fits = |n: u32| {
        extent.width() / f64::from(n) <= single.0 && extent.height() / f64::from(n) <= single.1
    };
    match options.scale {
        Scale::OneTo(n) => (n, !fits(n)),
        Scale::Chosen => {
            for n in [20, 50, 100] {
                if fits(n) {
                    return (n, false);
                }
            }
            (100, true)
        }
    }
}

fn parts(length: f64, room: f64) -> usize {
    libm::ceil(length / room - 1e-9).max(1.0) as usize
}

pub(super) fn sheet_count(drawing: &ElevationDrawing, options: &ElevationOptions) -> usize {
    let extent = extent(drawing);
    let (scale, several) = chosen_scale(drawing, options, &extent);
    let (wide, high) = room(bands(drawing, options, several));
    let n = f64::from(scale);
    parts(extent.width() / n, wide).saturating_mul(parts(extent.height() / n, high))
}

/// Lays the facade out on sheets.
pub(super) fn plan(drawing: &ElevationDrawing, options: &ElevationOptions) -> Plan {
    laid_out(drawing, options, ListBand::None)
}

/// The same with room for a column of a list at the right border.
pub(super) fn plan_with_band(drawing: &ElevationDrawing, options: &ElevationOptions) -> Plan {
    laid_out(drawing, options, ListBand::Kept)
}

fn laid_out(drawing: &ElevationDrawing, options: &ElevationOptions, list: ListBand) -> Plan {
    let extent = extent(drawing);
    let (scale, several) = chosen_scale(drawing, options, &extent);
    let mut bands = bands(drawing, options, several);
    if list == ListBand::Kept {
        bands.list = COLUMN + 2.0;
    }
    let (wide, high) = room(bands);
    let n = f64::from(scale);
    let across: Vec<(f64, f64)> = drawing
        .openings
        .iter()
        .map(|o| (f64::from(o.raw.x.0), f64::from((o.raw.x + o.raw.width).0)))
        .collect();
    let up: Vec<(f64, f64)> = drawing
        .openings
        .iter()
        .map(|o| (f64::from(o.raw.y.0), f64::from((o.raw.y + o.raw.height).0)))
        .collect();
    let columns = divided(extent.x0, extent.x1, wide * n, &across);
    let rows = divided(extent.y0, extent.y1, high * n, &up);
    let mut windows = Vec::new();
    for (row, &(y0, y1)) in rows.iter().enumerate() {
        for (column, &(x0, x1)) in columns.iter().enumerate() {
            let left = PICTURE.x0 + bands.left;
            let low = PICTURE.y1 - bands.below;
            windows.push(Window {
                mm: Frame::new(x0, y0, x1, y1),
                paper: Frame::new(left, low - (y1 - y0) / n, left + (x1 - x0) / n, low),
                column,
                row,
                top: extent.y1,
                right: extent.x1,
                scale: n,
            });
        }
    }
    Plan {
        scale,
        columns: columns.len(),
        rows: rows.len(),
        windows,
        extent,
        right_band: bands.right,
        above_band: bands.above,
    }
}

/// Divides a length into equal parts no longer than the room; a cut moves up to 2 m so that it crosses fewer openings. It stands at a full
/// millimetre, because its level is written beside it.
fn divided(low: f64, high: f64, room: f64, openings: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let count = parts(high - low, room);
    let mut result = Vec::with_capacity(count);
    let mut from = low;
    for i in 1..count {
        let target = low + (high - low) * i as f64 / count as f64;
        let earliest = high - (count - i) as f64 * room;
        let full = |cut: f64| {
            let down = libm::floor(cut);
            if down < earliest {
                libm::ceil(cut)
            } else {
                down
            }
        };
        let mut best = (usize::MAX, 0_i32, full(target.clamp(earliest, from + room)));
        for step in -20_i32..=20 {
            let cut = full(target + f64::from(step) * 100.0);
            if cut < earliest || cut > from + room || cut <= from {
                continue;
            }
            let crossed = openings
                .iter()
                .filter(|(a, b)| *a < cut && cut < *b)
                .count();
            if (crossed, step.abs()) < (best.0, best.1) {
                best = (crossed, step.abs(), cut);
            }
        }
        result.push((from, best.2));
        from = best.2;
    }
    result.push((from, high));
    result
}

/// Where a list may stand beside the picture: right of the elevation, and above it.
pub(super) fn spare(window: &Window, plan: &Plan) -> [Frame; 2] {
    let left = window.paper.x1 + plan.right_band + 2.0;
    let columns = libm::floor((PICTURE.x1 - left) / COLUMN).max(0.0);
    // The list keeps to the right border, away from the picture.
    let beside = PICTURE.x1 - columns * COLUMN;
    let top = PICTURE.y0 + 2.0;
    let above = window.paper.y0 - plan.above_band - 2.0;
    [
        Frame::new(beside, top, PICTURE.x1, PICTURE.y1 - 16.0),
        Frame::new(PICTURE.x0, top, beside - 2.0, above.max(top)),
    ]
}
