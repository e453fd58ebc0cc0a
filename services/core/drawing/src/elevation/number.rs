//! Room for the piece numbers: every number once, on its piece where it fits, else in the list.

use alloc::collections::BTreeMap;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use crate::elevation::PieceDrawing;
use crate::elevation::layout::Window;
use crate::geometry::{area, bounds, box_inside, clip_polygon, inside};
use crate::lettering::Lettering;
use crate::svg::{Frame, Reading, Spot};

/// Boxes on the paper that a number must not touch, found by cells of 8 mm.
#[derive(Clone, Debug, Default)]
pub(crate) struct Obstacles {
    cells: BTreeMap<(i32, i32), Vec<Frame>>,
}

const CELL: f64 = 8.0;

impl Obstacles {
    fn reach(frame: &Frame) -> impl Iterator<Item = (i32, i32)> {
        let cell = |v: f64| libm::floor(v / CELL) as i32;
        let (x0, x1) = (cell(frame.x0), cell(frame.x1));
        let (y0, y1) = (cell(frame.y0), cell(frame.y1));
        (x0..=x1).flat_map(move |x| (y0..=y1).map(move |y| (x, y)))
    }
    pub(crate) fn add(&mut self, frame: Frame) {
        for cell in Self::reach(&frame) {
            self.cells.entry(cell).or_default().push(frame);
        }
    }
    pub(crate) fn hit(&self, frame: &Frame) -> bool {
        Self::reach(frame).any(|cell| {
            self.cells
                .get(&cell)
                .is_some_and(|frames| frames.iter().any(|other| other.overlaps(frame)))
        })
    }
}

/// A number with its place.
#[derive(Clone, Debug)]
pub(super) struct PlacedNumber {
    pub text: String,
    pub at: Spot,
    pub lettering: Lettering,
    pub reading: Reading,
    pub frame: Frame,
}

/// A piece without room for its number: a dot stands on it, its line is in the list.
#[derive(Clone, Copy, Debug)]
pub(super) struct Unplaced {
    pub piece: usize,
    pub window: usize,
    pub dot: Spot,
}

/// Numbers by window, and the pieces that got none.
#[derive(Clone, Debug, Default)]
pub(super) struct Numbers {
    pub placed: Vec<Vec<PlacedNumber>>,
    pub unplaced: Vec<Unplaced>,
}

impl Numbers {
    /// The pieces without room for their number whose dots stand on a sheet.
    pub(super) fn unplaced_on(&self, window: usize) -> impl Iterator<Item = &Unplaced> {
        self.unplaced.iter().filter(move |u| u.window == window)
    }
}

/// Finds a place for every number. Obstacles grow by the numbers placed.
pub(super) fn place(
    pieces: &[PieceDrawing],
    windows: &[Window],
    obstacles: &mut [Obstacles],
    scale: u32,
) -> Numbers {
    let mut numbers = Numbers {
        placed: windows.iter().map(|_| Vec::new()).collect(),
        unplaced: Vec::new(),
    };
    for (i, piece) in pieces.iter().enumerate() {
        let mut visible: Vec<(usize, Vec<Spot>, f64)> = Vec::new();
        for (w, window) in windows.iter().enumerate() {
            let shape = window.shape(&piece.outline);
            if !bounds(&shape).overlaps(&window.paper) {
                continue;
            }
            let shape = clip_polygon(&shape, &window.paper);
            if !shape.is_empty() {
                let size = area(&shape);
                visible.push((w, shape, size));
            }
        }
        visible.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
        let text = piece.number.to_string();
        let found = visible.iter().find_map(|(w, shape, _)| {
            let obstacles = obstacles.get(*w)?;
            fit(&text, shape, obstacles, scale).map(|number| (*w, number))
        });
        match found {
            Some((w, number)) => {
                if let Some(obstacles) = obstacles.get_mut(w) {
                    obstacles.add(number.frame);
                }
                if let Some(list) = numbers.placed.get_mut(w) {
                    list.push(number);
                }
            }
            None => numbers.unplaced.push(Unplaced {
                piece: i,
                window: visible.first().map_or(0, |v| v.0),
                dot: visible.first().map_or(Spot::default(), |v| middle(&v.1)),
            }),
        }
    }
    numbers
}

/// Clearance between a number and the edge of its piece.
const CLEAR: f64 = 0.25;

fn fit(text: &str, shape: &[Spot], obstacles: &Obstacles, scale: u32) -> Option<PlacedNumber> {
    // The middle is tried before the other places are worked out: it serves for nearly every board.
    let mut places = alloc::vec![centre_of(shape), bounds(shape).middle()];
    let tries: &[(Lettering, Reading)] = if scale <= 50 {
        &[
            (Lettering::Plain, Reading::Level),
            (Lettering::Small, Reading::Level),
            (Lettering::Small, Reading::Upward),
        ]
    } else {
        &[
            (Lettering::Small, Reading::Level),
            (Lettering::Small, Reading::Upward),
        ]
    };
    for (i, &(lettering, reading)) in tries.iter().enumerate() {
        let length = lettering.width_mm(text) + 2.0 * CLEAR;
        // Digits have the height of capitals.
        let height = lettering.height_mm() + 2.0 * CLEAR;
        let (wide, high) = match reading {
            Reading::Level => (length, height),
            Reading::Upward => (height, length),
        };
        let free = |at: Spot| {
            let frame = Frame::around(at, wide, high);
            (box_inside(&frame, shape) && !obstacles.hit(&frame)).then(|| PlacedNumber {
                text: String::from(text),
                at,
                lettering,
                reading,
                frame,
            })
        };
        if let Some(number) = places.iter().find_map(|at| free(*at)) {
            return Some(number);
        }
        if i == 0 {
            places = candidates(shape);
            if let Some(number) = places.iter().find_map(|at| free(*at)) {
                return Some(number);
            }
        }
    }
    None
}

/// The centre of a shape's area: beside a slope the number stands where the piece is widest.
fn centre_of(shape: &[Spot]) -> Spot {
    let next = shape.iter().cycle().skip(1);
    let (mut doubled, mut x, mut y) = (0.0, 0.0, 0.0);
    for (a, b) in shape.iter().zip(next) {
        let cross = a.x * b.y - b.x * a.y;
        doubled += cross;
        x += (a.x + b.x) * cross;
        y += (a.y + b.y) * cross;
    }
    if libm::fabs(doubled) < 1e-9 {
        return bounds(shape).middle();
    }
    Spot::at(x / (3.0 * doubled), y / (3.0 * doubled))
}

/// Places tried in order: the middle, the middles of the rectangles between the corners, largest first, and a grid.
fn candidates(shape: &[Spot]) -> Vec<Spot> {
    let frame = bounds(shape);
    let mut places = alloc::vec![bounds(shape).middle()];
    if shape.len() <= 10 {
        places.extend(rectangle_middles(shape));
    }
    let shares = [0.5, 0.36, 0.64, 0.25, 0.75, 0.15, 0.85];
    let heights = [0.5, 0.3, 0.7, 0.2, 0.8];
    for x in shares {
        for y in heights {
            places.push(Spot::at(
                frame.x0 + x * frame.width(),
                frame.y0 + y * frame.height(),
            ));
        }
    }
    places
}

fn rectangle_middles(shape: &[Spot]) -> Vec<Spot> {
    let sorted = |read: fn(&Spot) -> f64| {
        let mut values: Vec<f64> = shape.iter().map(read).collect();
        values.sort_by(f64::total_cmp);
        values.dedup_by(|a, b| libm::fabs(*a - *b) < 0.01);
        values
    };
    let (xs, ys) = (sorted(|s| s.x), sorted(|s| s.y));
    let mut found: Vec<(f64, Spot)> = Vec::new();
    for (i, &x0) in xs.iter().enumerate() {
        for &x1 in xs.iter().skip(i + 1) {
            for (j, &y0) in ys.iter().enumerate() {
                for &y1 in ys.iter().skip(j + 1) {
                    let frame = Frame::new(x0, y0, x1, y1);
                    if box_inside(&frame, shape) {
                        let at = Spot::at(f64::midpoint(x0, x1), f64::midpoint(y0, y1));
                        found.push((frame.width() * frame.height(), at));
                    }
                }
            }
        }
    }
    found.sort_by(|a, b| {
        b.0.total_cmp(&a.0)
            .then(a.1.x.total_cmp(&b.1.x))
            .then(a.1.y.total_cmp(&b.1.y))
    });
    found.into_iter().map(|(_, at)| at).take(20).collect()
}

/// A place well inside a shape, for its dot.
fn middle(shape: &[Spot]) -> Spot {
    let places = candidates(shape);
    places
        .iter()
        .copied()
        .find(|at| inside(*at, shape))
        .or(places.first().copied())
        .unwrap_or_default()
}
