//! Beads, strips and profiles along the edges of the wall, and the ends of sills.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;

use crate::elevation::layout::Window;
use crate::elevation::number::Obstacles;
use crate::elevation::reference::mark_text;
use crate::elevation::{BeadKind, BeadLine, ElevationDrawing, Point, SillSide};
use crate::geometry::{bounds, clip_segment, inside, on_edge};
use crate::lettering::Lettering;
use crate::sheet::{Symbol, coded, mark, reach};
use crate::svg::{Anchoring, Frame, LineKind, Paint, Pen, Spot, Svg, Text};

/// All of one sheet, with their places found.
#[derive(Clone, Debug, Default)]
pub(super) struct Beads {
    lines: Vec<PlacedBead>,
    /// The symbols of the ends of sills.
    ends: Vec<Spot>,
    /// The codes of beads along openings that are too small for them, by opening.
    unlettered: BTreeMap<usize, BTreeSet<&'static str>>,
}

#[derive(Clone, Debug)]
struct PlacedBead {
    kind: BeadKind,
    from: Spot,
    to: Spot,
    code: Option<Spot>,
}

/// How a bead is drawn: pen and code letter are our own. The class is that of its lines in the SVG.
pub(super) struct BeadStyle {
    pub pen: Pen,
    pub code: &'static str,
    pub text: &'static str,
    class: &'static str,
}

pub(super) const fn bead_style(kind: BeadKind) -> BeadStyle {
    let (pen, code, text, class) = match kind {
        BeadKind::Base => (Pen::EXTRA_WIDE, "B", "base profile", "bead-base"),
        BeadKind::Corner => (Pen::WIDE, "C", "corner bead", "bead-corner"),
        BeadKind::Drip => {
            let pen = Pen::of(0.5, LineKind::Dashed);
            (pen, "D", "drip bead", "bead-drip")
        }
        BeadKind::Joint => {
            let pen = Pen::of(0.5, LineKind::LongDashedDotted);
            (pen, "J", "joint bead", "bead-joint")
        }
        BeadKind::Sill => {
            let pen = Pen::of(0.35, LineKind::LongDashedDoubleDotted);
            (pen, "S", "sill connection", "bead-sill")
        }
        BeadKind::Frame => {
            let pen = Pen::of(0.25, LineKind::Dashed);
            (pen, "F", "frame bead", "bead-frame")
        }
        BeadKind::Sealing => {
            let pen = Pen::of(0.35, LineKind::Dotted);
            (pen, "T", "sealing strip", "bead-sealing")
        }
        BeadKind::CornerElsewhere => {
            let text = "corner bead of the next elevation";
            (Pen::NARROW, "(C)", text, "bead-counted-elsewhere")
        }
        BeadKind::JointElsewhere => {
            let text = "joint bead of the next elevation";
            (Pen::NARROW, "(J)", text, "bead-counted-elsewhere")
        }
    };
    BeadStyle {
        pen,
        code,
        text,
        class,
    }
}

/// The symbol of a strip that runs across the wall, from the frame to the boards' face.
pub(super) const SILL_END: Symbol = Symbol::Diamond;
/// How far from the end of a strip's line its symbol may stand: clear of the beads along the jamb where there is room, but never beyond the
/// middle; at the last where it is clear of letters nowhere.
const INSETS: [f64; 7] = [3.0, 2.5, 2.0, 1.5, 3.75, 4.5, 1.0];

/// Distance from one line to the next where several run along one edge.
const LANE: f64 = 1.1;
/// From the line of an opening's edge to the first bead along it: both widths and a little white.
const BESIDE: f64 = 0.6;
/// Along the edges of an opening lower or narrower than this no codes are written: they would cover each other's beads.
const LETTERED: f64 = 6.0;

/// Whether a bead runs along an edge of an opening.
fn along_opening(drawing: &ElevationDrawing, bead: &BeadLine) -> bool {
    drawing.openings.iter().any(|opening| {
        let f = &opening.finished;
        let (right, top) = (f.x + f.width, f.y + f.height);
        let both = |on: &dyn Fn(&Point) -> bool| on(&bead.from) && on(&bead.to);
        let (across, up) = (f.x..=right, f.y..=top);
        let level = [f.y, top]
            .iter()
            .any(|y| both(&|p| p.y == *y && across.contains(&p.x)));
        level
            || [f.x, right]
                .iter()
                .any(|x| both(&|p| p.x == *x && up.contains(&p.y)))
    })
}

/// The opening that a bead runs along, if its letters have no room there.
fn small_opening(drawing: &ElevationDrawing, ends: [Point; 2], window: &Window) -> Option<usize> {
    drawing.openings.iter().position(|opening| {
        let f = &opening.finished;
        let on = |p: &Point| {
            (f.x..=f.x + f.width).contains(&p.x) && (f.y..=f.y + f.height).contains(&p.y)
        };
        let frame = bounds(&window.shape(&f.corners()));
        ends.iter().all(on) && frame.width().min(frame.height()) < LETTERED
    })
}

impl Beads {
    /// Beads that share a line are drawn beside each other, going into the opening they belong to. Those along the outline or a structural
    /// joint stand beside its line, so that both are seen.
    pub(super) fn of(
        drawing: &ElevationDrawing,
        window: &Window,
        obstacles: &mut Obstacles,
    ) -> Self {
        let mut beads = Self::default();
        let mut small = Vec::with_capacity(drawing.beads.len());
        let laid = laid(drawing, window);
        for &(bead, from, to) in &laid {
            let opening = small_opening(drawing, [bead.from, bead.to], window);
            if let Some(opening) = opening {
                let codes = beads.unlettered.entry(opening).or_default();
                codes.insert(bead_style(bead.kind).code);
            }
            small.push(opening.is_some());
            beads.lines.push(PlacedBead {
                kind: bead.kind,
                from,
                to,
                code: None,
            });
        }
        for (line, _) in beads
            .lines
            .iter_mut()
            .zip(small)
            .filter(|(_, small)| !small)
        {
            line.code = code(line, obstacles);
        }
        // A code has few places, a symbol all of the end of its line.
        beads.ends = ends(drawing, window, &laid, obstacles);
        beads
    }

    /// The boxes of the codes, and of the symbols of the ends of sills.
    pub(super) fn frames(&self) -> impl Iterator<Item = Frame> + '_ {
        let coded = self.lines.iter().filter_map(|bead| {
            let code = bead_style(bead.kind).code;
            Some(mark_text(bead.code?, code).frame())
        });
        let side = 2.0 * reach(SILL_END);
        let ends = self.ends.iter();
        coded.chain(ends.map(move |at| Frame::around(*at, side, side)))
    }

    /// Whether the codes of an opening's beads are written in the list only.
    pub(super) fn is_unlettered(&self, opening: usize) -> bool {
        self.unlettered.contains_key(&opening)
    }

    /// Openings too small for the codes of their beads, with these codes.
    pub(super) fn unlettered(&self) -> impl Iterator<Item = (usize, Vec<&'static str>)> + '_ {
        let all = self.unlettered.iter();
        all.map(|(opening, codes)| (*opening, codes.iter().copied().collect()))
    }

    /// The kinds on the sheet.
    pub(super) fn kinds(&self) -> BTreeSet<BeadKind> {
        self.lines.iter().map(|b| b.kind).collect()
    }

    /// Whether the end of a sill is marked.
    pub(super) fn has_ends(&self) -> bool {
        !self.ends.is_empty()
    }

    /// Draws them: lines first, for the codes have a white ground.
    pub(super) fn draw(&self, svg: &mut Svg) {
        for bead in &self.lines {
            let style = bead_style(bead.kind);
            svg.group(style.class, style.pen, Paint::None);
            svg.line(bead.from, bead.to);
            svg.end();
        }
        for bead in &self.lines {
            if let Some(at) = bead.code {
                coded(svg, at, bead_style(bead.kind).code);
            }
        }
        for at in &self.ends {
            mark(svg, *at, SILL_END);
        }
    }
}

/// A bead, and the line on the sheet that it is drawn as.
type Laid<'a> = (&'a BeadLine, Spot, Spot);

/// The beads of a sheet where they are drawn.
fn laid<'a>(drawing: &'a ElevationDrawing, window: &Window) -> Vec<Laid<'a>> {
    let outline = window.shape(&drawing.outline);
    let joints = drawing.joints.iter().map(|j| (key(j.from, j.to), 1));
    let mut lanes: BTreeMap<(Point, Point), u32> = joints.collect();
    let mut found = Vec::with_capacity(drawing.beads.len());
    for bead in &drawing.beads {
        let (from, to) = (window.spot(bead.from), window.spot(bead.to));
        let first = u32::from(on_edge(middle(from, to), &outline));
        let lane = lanes.entry(key(bead.from, bead.to)).or_insert(first);
        // Beside the edge of an opening, so that neither line hides the other.
        let aside = if along_opening(drawing, bead) {
            BESIDE
        } else {
            0.0
        };
        let shift = f64::from(*lane) * LANE + aside;
        *lane += 1;
        // Cut at the edge of the sheet first: moved sideways, a slope keeps its length.
        let Some(here) = clip_segment(from, to, &window.paper) else {
            continue;
        };
        let side = sideways((from, to), drawing, window, &outline);
        let moved = |s: Spot| Spot::at(s.x + side.x * shift, s.y + side.y * shift);
        found.push((bead, moved(here.0), moved(here.1)));
    }
    found
}

/// Where the code of a line stands, if there is room.
fn code(line: &PlacedBead, obstacles: &mut Obstacles) -> Option<Spot> {
    let (from, to) = (line.from, line.to);
    let letter = bead_style(line.kind).code;
    [0.5, 0.35, 0.65, 0.2, 0.8].iter().find_map(|share| {
        let at = Spot::at(
            from.x + share * (to.x - from.x),
            from.y + share * (to.y - from.y),
        );
        let frame = Text::level(at, Lettering::Small, Anchoring::Middle, letter).frame();
        // Its white ground must not cut a corner out.
        let wider = Frame::around(at, frame.width() + 1.6, frame.height() + 1.6);
        let clear = !wider.contains(from) && !wider.contains(to);
        (clear && !obstacles.hit(&frame)).then(|| {
            obstacles.add(frame);
            at
        })
    })
}

/// The ends of sills whose symbols a sheet shows: those of openings with room for them. Each stands on the strip's own line under the sill,
/// where that is drawn, and clear of letters where it can.
fn ends(
    drawing: &ElevationDrawing,
    window: &Window,
    laid: &[Laid<'_>],
    obstacles: &mut Obstacles,
) -> Vec<Spot> {
    let side = 2.0 * reach(SILL_END) + 0.1;
    let mut placed = Vec::new();
    for end in &drawing.sill_ends {
        let Some(at) = end.at(drawing).filter(|at| window.holds(*at)) else {
            continue;
        };
        if small_opening(drawing, [at; 2], window).is_some() {
            continue;
        }
        let here = window.spot(at);
        let y = strip_under(at, laid).unwrap_or(here.y);
        let Some(opening) = drawing.openings.get(end.opening) else {
            continue;
        };
        let width = bounds(&window.shape(&opening.finished.corners())).width();
        let places = INSETS.map(|inset| match end.side {
            SillSide::Left => Spot::at(here.x + inset, y),
            SillSide::Right => Spot::at(here.x - inset, y),
        });
        let own_half = |spot: &&Spot| libm::fabs(spot.x - here.x) + side / 2.0 < width / 2.0;
        let mut free = places
            .iter()
            .filter(own_half)
            .filter(|spot| !obstacles.hit(&Frame::around(**spot, side, side)));
        let [.., last] = &places;
        let spot = *free.next().unwrap_or(last);
        obstacles.add(Frame::around(spot, side, side));
        placed.push(spot);
    }
    placed
}

/// How high the strip under a sill is drawn that ends at a corner of an opening.
fn strip_under(at: Point, laid: &[Laid<'_>]) -> Option<f64> {
    let mut strips = laid.iter().filter(|l| l.0.kind == BeadKind::Sealing);
    strips.find_map(|(bead, from, to)| {
        let level = bead.from.y == at.y && bead.to.y == at.y;
        let ends = bead.from.x == at.x || bead.to.x == at.x;
        (level && ends).then(|| f64::midpoint(from.y, to.y))
    })
}

/// A line whichever way it runs.
fn key(from: Point, to: Point) -> (Point, Point) {
    (from.min(to), from.max(to))
}

fn middle(from: Spot, to: Spot) -> Spot {
    Spot::at(f64::midpoint(from.x, to.x), f64::midpoint(from.y, to.y))
}

/// The unit step from a line into the opening or the wall that it runs along.
fn sideways(
    (from, to): (Spot, Spot),
    drawing: &ElevationDrawing,
    window: &Window,
    outline: &[Spot],
) -> Spot {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = libm::hypot(dx, dy).max(1e-9);
    let (nx, ny) = (-dy / length, dx / length);
    let on = middle(from, to);
    let probe = |reach: f64| Spot::at(on.x + nx * reach, on.y + ny * reach);
    let in_opening = |spot: Spot| {
        let mut openings = drawing.openings.iter();
        openings.any(|o| bounds(&window.shape(&o.finished.corners())).contains(spot))
    };
    let this_side = if on_edge(on, outline) {
        inside(probe(0.2), outline)
    } else {
        in_opening(probe(0.05))
    };
    if this_side {
        Spot::at(nx, ny)
    } else {
        Spot::at(-nx, -ny)
    }
}
