//! Chains of dimensions: oblique ticks, figures above the line, short stretches lettered in a second row.

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::Mm;

use crate::elevation::layout::{FIRST_LANE, LANE, LEVEL_BAND, Window};
use crate::elevation::{
    ChainSide, DimensionChain, ElevationDrawing, JointDrawing, OpeningDrawing, OpeningRows, Point,
};
use crate::lettering::Lettering;
use crate::sheet::PICTURE;
use crate::svg::{Anchoring, Paint, Pen, Reading, Spot, Svg, Text};

/// The usual chains of a facade: openings, row by row where the rows differ, then corners and structural joints, then overall below; sills,
/// lintels and overall on the left.
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
        let ends = alloc::vec![low, high];
        let mut chain = |stations: Vec<Mm>, rows: Option<OpeningRows>| {
            let chain = DimensionChain {
                side,
                stations: sorted(&stations),
                rows,
            };
            if !chains.contains(&chain) {
                chains.push(chain);
            }
        };
        let mut rows = if side == ChainSide::Below {
            row_stations(openings, &ends)
        } else {
            Vec::new()
        };
        if let [] | [_] = rows.as_slice() {
            let all = openings.iter().flat_map(|o| o.finished.corners());
            let all = all.map(|corner| read(&corner)).chain(ends.clone());
            rows = alloc::vec![(all.collect(), None)];
        }
        for (stations, rows) in rows {
            chain(stations, rows);
        }
        let mut corners = corners;
        if side == ChainSide::Below {
            corners.extend(joints.iter().map(|joint| joint.from.x));
        }
        chain(corners, None);
        chain(ends, None);
    }
    chains
}

/// The stations of a chain with the rows of openings that it measures.
type Stations = (Vec<Mm>, Option<OpeningRows>);

/// Openings beside each other.
struct Row<'a> {
    /// The heights that all of them have in common.
    common: (Mm, Mm),
    openings: Vec<&'a OpeningDrawing>,
}

fn heights(opening: &OpeningDrawing) -> (Mm, Mm) {
    let finished = &opening.finished;
    (finished.y, finished.y + finished.height)
}

/// The rows of openings from the lowest up. An opening stands in a row with those beside which it has half of its height or of theirs.
fn rows(openings: &[OpeningDrawing]) -> Vec<Row<'_>> {
    let mut upwards: Vec<&OpeningDrawing> = openings.iter().collect();
    upwards.sort_by_key(|o| (heights(o), o.finished.x));
    let mut rows: Vec<Row<'_>> = Vec::new();
    for opening in upwards {
        let (low, high) = heights(opening);
        let beside = rows.iter_mut().find(|row| {
            let (from, to) = row.common;
            let shared = high.min(to) - low.max(from);
            shared.0 * 2 >= (high - low).min(to - from).0
        });
        match beside {
            Some(row) => {
                row.common = (low.max(row.common.0), high.min(row.common.1));
                row.openings.push(opening);
            }
            None => rows.push(Row {
                common: (low, high),
                openings: alloc::vec![opening],
            }),
        }
    }
    rows
}

/// The stations of the rows of openings, with the ends of the wall. Rows whose openings are in line share theirs.
fn row_stations(openings: &[OpeningDrawing], ends: &[Mm]) -> Vec<Stations> {
    let mut found: Vec<(Vec<Mm>, OpeningRows)> = Vec::new();
    for (row, number) in rows(openings).iter().zip(1..) {
        let across = row.openings.iter().flat_map(|o| {
            let f = &o.finished;
            [f.x, f.x + f.width]
        });
        let stations = sorted(&across.chain(ends.iter().copied()).collect::<Vec<Mm>>());
        let all = row.openings.iter().map(|o| heights(o));
        let (low, high) = all.fold((Mm(i32::MAX), Mm(i32::MIN)), |(low, high), (from, to)| {
            (low.min(from), high.max(to))
        });
        match found.iter_mut().find(|(known, _)| *known == stations) {
            Some((_, rows)) => {
                rows.from = low.min(rows.from);
                rows.to = high.max(rows.to);
                rows.numbers.push(number);
            }
            None => found.push((
                stations,
                OpeningRows {
                    from: low,
                    to: high,
                    numbers: alloc::vec![number],
                },
            )),
        }
    }
    let named = found.into_iter();
    named
        .map(|(stations, rows)| (stations, Some(rows)))
        .collect()
}

/// The drawing with one chain for all rows of openings, where it has several.
pub(super) fn with_shared_chain(drawing: &ElevationDrawing) -> Option<ElevationDrawing> {
    let (rows, others): (Vec<&DimensionChain>, Vec<&DimensionChain>) =
        drawing.dimensions.iter().partition(|c| c.rows.is_some());
    if rows.len() < 2 {
        return None;
    }
    let stations: Vec<Mm> = rows.iter().flat_map(|c| c.stations.clone()).collect();
    let shared = DimensionChain {
        side: ChainSide::Below,
        stations: sorted(&stations),
        rows: None,
    };
    let dimensions = core::iter::once(shared).chain(others.into_iter().cloned());
    Some(ElevationDrawing {
        dimensions: dimensions.collect(),
        ..drawing.clone()
    })
}

/// Whether a chain measures the edges of openings and nothing else between its ends.
pub(super) fn is_of_openings(chain: &DimensionChain, drawing: &ElevationDrawing) -> bool {
    let stations = sorted(&chain.stations);
    let all = drawing.openings.iter().flat_map(|o| edges(chain.side, o));
    let edges: BTreeSet<Mm> = all.collect();
    match stations.as_slice() {
        [_, inner @ .., _] if !inner.is_empty() => inner.iter().all(|at| edges.contains(at)),
        _ => false,
    }
}

/// A chain as a sheet has it: one of all openings measures those that stand within the sheet's heights or, on the left, its breadth. Others
/// would be stretches between edges that nobody sees there. Nothing where it has no opening to measure.
pub(super) fn on_sheet(
    chain: &DimensionChain,
    drawing: &ElevationDrawing,
    window: &Window,
) -> Option<DimensionChain> {
    if chain.rows.is_some() || !is_of_openings(chain, drawing) {
        return Some(chain.clone());
    }
    let seen = |opening: &&OpeningDrawing| {
        let f = &opening.finished;
        let (from, to, low, high) = match chain.side {
            ChainSide::Below => (f.y, f.y + f.height, window.mm.y0, window.mm.y1),
            ChainSide::Left | ChainSide::Right => (f.x, f.x + f.width, window.mm.x0, window.mm.x1),
        };
        f64::from(from.0) < high && f64::from(to.0) > low
    };
    let here = drawing.openings.iter().filter(seen);
    let edges: BTreeSet<Mm> = here.flat_map(|o| edges(chain.side, o)).collect();
    let stations = sorted(&chain.stations);
    let ends = [stations.first().copied(), stations.last().copied()];
    let kept = stations
        .into_iter()
        .filter(|at| edges.contains(at) || ends.contains(&Some(*at)));
    let stations: Vec<Mm> = kept.collect();
    (stations.len() > 2).then(|| DimensionChain {
        stations,
        ..chain.clone()
    })
}

/// The edges of an opening that chains on a side measure.
fn edges(side: ChainSide, opening: &OpeningDrawing) -> [Mm; 2] {
    let finished = &opening.finished;
    match side {
        ChainSide::Below => [finished.x, finished.x + finished.width],
        ChainSide::Left | ChainSide::Right => [finished.y, finished.y + finished.height],
    }
}

/// Whether the place of an opening along the wall must be told in words: there are chains along it, and none has its left edge.
pub(super) fn is_unmeasured(opening: &OpeningDrawing, drawing: &ElevationDrawing) -> bool {
    let along = || {
        drawing
            .dimensions
            .iter()
            .filter(|c| c.side == ChainSide::Below)
    };
    along().next().is_some() && !along().any(|c| c.stations.contains(&opening.finished.x))
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
    /// What the chain measures, in two lines at its left end.
    name: Vec<(Spot, String)>,
    /// Stretches whose figure found no room.
    pub left_out: Vec<(Mm, Mm)>,
    /// How many stretches the sheet shows.
    pub stretches: usize,
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
    let unseen = |rows: &OpeningRows| {
        f64::from(rows.to.0) <= window.mm.y0 || f64::from(rows.from.0) >= window.mm.y1
    };
    if chain.rows.as_ref().is_some_and(unseen) {
        return None;
    }
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
        name: Vec::new(),
        left_out: Vec::new(),
        stretches: 0,
    };
    if let Some(rows) = &chain.rows {
        picture.name = name(rows, picture.line, window);
    }
    let stretches: Vec<Stretch> = stations
        .windows(2)
        .filter_map(|pair| match pair {
            &[a, b] => Stretch::of((a, b), along, (start, end)),
            _ => None,
        })
        .collect();
    picture.stretches = stretches.len();
    letter(&mut picture, &stretches, (start, end));
    Some(picture)
}

/// What a sheet shows of the stretch between two stations, along its chain.
#[derive(Clone, Copy)]
struct Stretch {
    stations: (Mm, Mm),
    low: f64,
    high: f64,
    /// Whether all of it is shown. One that goes over several sheets bears its full figure on each, in the middle of the part shown.
    whole: bool,
}

impl Stretch {
    fn of((a, b): (Mm, Mm), along: impl Fn(Mm) -> f64, (start, end): (f64, f64)) -> Option<Self> {
        let (low, high) = (along(a), along(b));
        let seen = high > start + 1e-6 && low < end - 1e-6;
        seen.then(|| Self {
            stations: (a, b),
            low: low.max(start),
            high: high.min(end),
            whole: low >= start - 1e-6 && high <= end + 1e-6,
        })
    }
    fn size(&self) -> i32 {
        (self.stations.1 - self.stations.0).0
    }
    fn middle(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }
    fn holds(&self, text: &str) -> bool {
        Lettering::Small.width_mm(text) + 0.6 <= self.high - self.low
    }
    /// Whether it and the next are told as one, if there are enough of them.
    fn is_like(&self, next: &Self) -> bool {
        self.whole && next.whole && self.size() == next.size()
    }
}

/// So many equal stretches in a row, too short for a figure each, are told as one.
const LEAST_EQUAL: usize = 4;

/// Equal stretches as ISO 129-1 writes them: their number by the size of one and, where there is room, all together.
fn repeated(equal: &[Stretch]) -> Option<(Stretch, String)> {
    let (first, last) = (equal.first()?, equal.last()?);
    let size = first.size();
    if equal.len() < LEAST_EQUAL || first.holds(&format!("{size}")) {
        return None;
    }
    let all = Stretch {
        stations: (first.stations.0, last.stations.1),
        high: last.high,
        ..*first
    };
    let short = format!("{}\u{a0}×\u{a0}{size}", equal.len());
    let long = format!("{short} (=\u{a0}{})", all.size());
    let mut texts = [long, short].into_iter();
    let text = texts.find(|text| all.holds(text))?;
    Some((all, text))
}

/// Finds the places of the figures: in their stretch, else beside the line in one of two rows; what has none is left out.
fn letter(picture: &mut ChainPicture, stretches: &[Stretch], (start, end): (f64, f64)) {
    let mut used = [f64::NEG_INFINITY; 3];
    for equal in stretches.chunk_by(Stretch::is_like) {
        if let Some((all, text)) = repeated(equal) {
            let (middle, half) = (all.middle(), Lettering::Small.width_mm(&text) / 2.0);
            // Beside the line: on it the ticks of all the stretches would run through the figure.
            let free = |row: &usize| used.get(*row).is_none_or(|end| middle - half > *end + 0.4);
            if let Some(row) = [1, 2].into_iter().find(free) {
                if let Some(end) = used.get_mut(row) {
                    *end = middle + half;
                }
                picture.figures.push((middle, row, text));
                continue;
            }
        }
        for stretch in equal {
            let text = format!("{}", stretch.size());
            let (middle, half) = (stretch.middle(), Lettering::Small.width_mm(&text) / 2.0);
            let rows: &[usize] = match (stretch.holds(&text), stretch.whole) {
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
            } else if stretch.whole {
                picture.left_out.push(stretch.stations);
            }
        }
    }
}

/// The name of a chain of rows, left of it: the heights of its openings, or the numbers of rows between which others lie.
fn name(rows: &OpeningRows, line: f64, window: &Window) -> Vec<(Spot, String)> {
    let end = window.paper.x0 - NAME_GAP;
    let room = end - PICTURE.x0 - 1.0;
    let neighbours = rows.numbers.windows(2).all(|pair| match pair {
        &[a, b] => a + 1 == b,
        _ => true,
    });
    let (first, long, short) = if neighbours {
        let from = level(rows.from);
        let long = format!("{from} to {}", level(rows.to));
        ("openings at", long, format!("from {from}"))
    } else {
        let numbers = rows.numbers.iter().map(|n| format!("{n}"));
        let numbers = numbers.collect::<Vec<String>>().join(", ");
        let long = format!("{numbers} from below");
        ("openings of rows", long, numbers)
    };
    let fits = Lettering::Small.width_mm(&long) <= room;
    let second = if fits { long } else { short };
    alloc::vec![
        (Spot::at(end, line - 1.6), String::from(first)),
        (
            Spot::at(end, line + 1.6),
            Lettering::Small.fitted(&second, room)
        ),
    ]
}

/// From the end of a chain to its name.
const NAME_GAP: f64 = 2.5;

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
    for (at, line) in &chain.name {
        svg.text(&Text {
            class: "dimension-name",
            ..Text::level(*at, Lettering::Small, Anchoring::End, line)
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
