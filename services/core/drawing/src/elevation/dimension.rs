//! Chains of dimensions: oblique ticks, figures above the line, short stretches lettered in a second row.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::layout::{FIRST_LANE, LANE, LEVEL_BAND, Window};
use crate::elevation::{ChainSide, DimensionChain, JointDrawing, OpeningDrawing, Point};
use crate::lettering::Lettering;
use crate::svg::{Anchoring, Paint, Pen, Reading, Spot, Svg, Text};

/// The usual chains of a facade: openings, then corners and structural joints, then overall below; sills, lintels and overall on the left.
pub fn chains_of(
    outline: &[Point],
    openings: &[OpeningDrawing],
    joints: &[JointDrawing],
) -> Vec<DimensionChain> {
    let mut chains = Vec::new();
    for (side, read) in [
        (ChainSide::Below, (|p: &Point| p.x) as fn(&Point) -> Mm),
        (ChainSide::Left, |p: &Point| p.y),
    ] {
        let corners: Vec<Mm> = outline.iter().map(read).collect();
        let (Some(&low), Some(&high)) = (corners.iter().min(), corners.iter().max()) else {
            continue;
        };
        let mut fine = alloc::vec![low, high];
        for opening in openings {
            fine.extend(opening.finished.corners().iter().map(read));
        }
        let overall = alloc::vec![low, high];
        let mut corners = corners;
        if side == ChainSide::Below {
            corners.extend(joints.iter().map(|joint| joint.from.x));
        }
        for stations in [sorted(&fine), sorted(&corners), overall] {
            let chain = DimensionChain { side, stations };
            if !chains.contains(&chain) {
                chains.push(chain);
            }
        }
    }
    chains
}

/// A level in metres with its sign, as elevations have it: `+0.900`.
pub fn level(at: Mm) -> String {
    let sign = match at.0.signum() {
        1 => '+',
        -1 => '-',
        _ => '±',
    };
    let size = at.0.unsigned_abs();
    format!("{sign}{}.{:03}", size / 1000, size % 1000)
}

fn sorted(stations: &[Mm]) -> Vec<Mm> {
    let mut sorted = stations.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    sorted
}

/// The rows of figures, measured from the line towards the reader's top.
const ROWS: [f64; 3] = [1.6, 4.2, -3.0];

/// A chain as it stands on one sheet, in the chain's own direction: `along` the line, `across` towards the text.
#[derive(Clone, Debug)]
pub(super) struct ChainPicture {
    side: ChainSide,
    /// The line's place across: y for a chain below, x for the others.
    line: f64,
    from: f64,
    to: f64,
    ticks: Vec<f64>,
    figures: Vec<(f64, usize, String)>,
    /// Stretches whose figure found no room.
    pub left_out: Vec<(Mm, Mm)>,
}

impl ChainPicture {
    /// Whether it runs up the wall.
    pub(super) fn upright(&self) -> bool {
        self.side != ChainSide::Below
    }
}

/// Lays a chain out on a window, or nothing where no part of it is on the sheet.
pub(super) fn laid_out(
    chain: &DimensionChain,
    lane: usize,
    window: &Window,
) -> Option<ChainPicture> {
    let mut stations = sorted(&chain.stations);
    if lane == 0 && chain.side == ChainSide::Below {
        stations = with_cuts(stations, window);
    }
    let offset = FIRST_LANE + lane as f64 * LANE;
    let level = chain.side == ChainSide::Below;
    let along = |station: Mm| {
        let v = f64::from(station.0);
        if level {
            window.place(v, 0.0).x
        } else {
            // Upwards on the paper, so that the chain grows with the station.
            -window.place(0.0, v).y
        }
    };
    let (start, end) = if level {
        (window.paper.x0, window.paper.x1)
    } else {
        (-window.paper.y1, -window.paper.y0)
    };
    let (first, last) = (along(*stations.first()?), along(*stations.last()?));
    let (from, to) = (first.max(start), last.min(end));
    if to - from < 0.01 {
        return None;
    }
    let mut picture = ChainPicture {
        side: chain.side,
        line: match chain.side {
            ChainSide::Below => window.paper.y1 + offset,
            ChainSide::Left => window.paper.x0 - LEVEL_BAND - offset,
            ChainSide::Right => window.paper.x1 + offset,
        },
        from,
        to,
        ticks: stations
            .iter()
            .map(|s| along(*s))
            .filter(|t| (from - 1e-6..=to + 1e-6).contains(t))
            .collect(),
        figures: Vec::new(),
        left_out: Vec::new(),
    };
    let mut used = [f64::NEG_INFINITY; 3];
    for pair in stations.windows(2) {
        let &[a, b] = pair else { continue };
        let (low, high) = (along(a), along(b));
        // A stretch that goes over several sheets bears its full figure on each, in the middle of the part shown.
        let whole = low >= start - 1e-6 && high <= end + 1e-6;
        if high <= start + 1e-6 || low >= end - 1e-6 {
            continue;
        }
        let (low, high) = (low.max(start), high.min(end));
        let middle = f64::midpoint(low, high);
        let text = format!("{}", (b - a).0);
        let half = Lettering::Small.width_mm(&text) / 2.0;
        let fits = 2.0 * half + 0.6 <= high - low;
        let rows: &[usize] = match (fits, whole) {
            (true, _) => &[0],
            (false, true) => &[1, 2],
            (false, false) => &[],
        };
        let row = rows.iter().copied().find(|row| {
            let free = used.get(*row).is_none_or(|end| middle - half > *end + 0.4);
            free && middle - half > start - 3.0 && middle + half < end + 3.0
        });
        if let Some(row) = row {
            if let Some(end) = used.get_mut(row) {
                *end = middle + half;
            }
            picture.figures.push((middle, row, text));
        } else if whole {
            picture.left_out.push((a, b));
        }
    }
    Some(picture)
}

/// The stations with those where the elevation is cut: on the first chain each sheet measures to its own edges, so that its part can be
/// placed along the wall.
fn with_cuts(mut stations: Vec<Mm>, window: &Window) -> Vec<Mm> {
    let cuts = [
        (window.column > 0, window.mm.x0),
        (window.mm.x1 < window.right, window.mm.x1),
    ];
    if let (Some(&first), Some(&last)) = (stations.first(), stations.last()) {
        let at = cuts.into_iter().filter(|(cut, _)| *cut);
        let at = at.map(|(_, x)| Mm(libm::round(x) as i32));
        stations.extend(at.filter(|x| first < *x && *x < last));
    }
    sorted(&stations)
}

/// Draws a chain.
pub(super) fn draw(svg: &mut Svg, chain: &ChainPicture) {
    let spot = |along: f64, across: f64| match chain.side {
        ChainSide::Below => Spot::at(along, chain.line - across),
        ChainSide::Left | ChainSide::Right => Spot::at(chain.line - across, -along),
    };
    svg.group("dimension", Pen::FINE, Paint::None);
    let mut strokes = alloc::vec![(spot(chain.from, 0.0), spot(chain.to, 0.0))];
    for &tick in &chain.ticks {
        strokes.push((spot(tick, -1.4), spot(tick, 1.4)));
    }
    svg.strokes(&strokes);
    for (middle, row, text) in &chain.figures {
        svg.text(&Text {
            at: spot(*middle, ROWS.get(*row).copied().unwrap_or_default()),
            lettering: Lettering::Small,
            anchoring: Anchoring::Middle,
            reading: if chain.side == ChainSide::Below {
                Reading::Level
            } else {
                Reading::Upward
            },
            class: "dimension-figure",
            content: text,
        });
    }
    svg.end();
    // A figure that stands off its line is led to its stretch.
    svg.group("dimension-leader", Pen::HATCH, Paint::None);
    let half = Lettering::Small.height_mm() / 2.0 + 0.2;
    let led = chain.figures.iter().filter(|(_, row, _)| *row > 0);
    let leaders: Vec<(Spot, Spot)> = led
        .map(|(middle, row, _)| {
            let across = ROWS.get(*row).copied().unwrap_or_default();
            let end = if across > 0.0 {
                across - half
            } else {
                across + half
            };
            (spot(*middle, 0.0), spot(*middle, end))
        })
        .collect();
    svg.strokes(&leaders);
    svg.end();
    svg.group("ticks", Pen::MIDDLE, Paint::None);
    let ticks: Vec<(Spot, Spot)> = chain
        .ticks
        .iter()
        .map(|&tick| (spot(tick - 0.8, -0.8), spot(tick + 0.8, 0.8)))
        .collect();
    svg.strokes(&ticks);
    svg.end();
}
