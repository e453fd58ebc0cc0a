//! The section on its own lines: which material fills each cell between them, and what each side of a cell touches.

use alloc::collections::BTreeSet;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use working::{Fault, Faults};

use crate::model::{
    Boundary, CONDUCTIVITY_RANGE, Contact, LARGEST_COORDINATE_M, MOST_ENVIRONMENTS, MOST_PARTS,
    Model, Rectangle, SNAP_M,
};

/// Four corners that bound a rectangle or a segment, in metres: left, lower, right, upper.
type Sides = [f64; 4];

/// A sound section: its lines, its cells, and the contact of every outer side of a cell.
#[derive(Clone, Debug)]
pub(crate) struct Outline {
    /// The lines across x, rising, in metres.
    pub xs: Vec<f64>,
    /// The lines across y, rising, in metres.
    pub ys: Vec<f64>,
    /// The rectangle in each cell, row by row from below.
    pub cells: Vec<Option<u16>>,
    /// The contact of each horizontal side: line by line from below, cell by cell.
    pub horizontal: Vec<Option<Contact>>,
    /// The contact of each vertical side: row by row from below, line by line.
    pub vertical: Vec<Option<Contact>>,
}

impl Outline {
    fn columns(&self) -> usize {
        self.xs.len().saturating_sub(1)
    }
    fn rows(&self) -> usize {
        self.ys.len().saturating_sub(1)
    }
    /// The rectangle in a cell; nothing beyond the lines.
    fn cell(&self, column: Option<usize>, row: Option<usize>) -> Option<u16> {
        let (column, row) = (column?, row?);
        if column >= self.columns() || row >= self.rows() {
            return None;
        }
        self.cells
            .get(row * self.columns() + column)
            .copied()
            .flatten()
    }

    /// Reads a model, or tells every fault of it.
    pub fn read(model: &Model) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        check_counts(model, &mut faults);
        check_environments(model, &mut faults);
        if !faults.is_empty() && model.rectangles.len().max(model.boundaries.len()) > MOST_PARTS {
            return Err(faults.into_list());
        }
        check_use(model, &mut faults);
        let rectangles: Vec<Option<Sides>> = model
            .rectangles
            .iter()
            .enumerate()
            .map(|(i, r)| check_rectangle(i, r, &mut faults))
            .collect();
        let segments: Vec<Option<Sides>> = model
            .boundaries
            .iter()
            .enumerate()
            .map(|(i, b)| check_boundary(i, b, model.environments.len(), &mut faults))
            .collect();
        let known = || rectangles.iter().chain(&segments).flatten();
        let xs = lines(known().flat_map(|s| [s[0], s[2]]));
        let ys = lines(known().flat_map(|s| [s[1], s[3]]));
        let mut outline = Self {
            cells: alloc::vec![None; xs.len().saturating_sub(1) * ys.len().saturating_sub(1)],
            horizontal: alloc::vec![None; xs.len().saturating_sub(1) * ys.len()],
            vertical: alloc::vec![None; xs.len() * ys.len().saturating_sub(1)],
            xs,
            ys,
        };
        outline.fill(&rectangles, &mut faults);
        // A part that could not be read leaves holes that are not faults of their own.
        let whole = rectangles.iter().chain(&segments).all(Option::is_some);
        outline.touch(model, &segments, whole, &mut faults);
        if whole {
            outline.check_cover(&mut faults);
            outline.check_connection(&mut faults);
        }
        faults.or(outline)
    }

    fn fill(&mut self, rectangles: &[Option<Sides>], faults: &mut Faults) {
        let columns = self.columns();
        let mut met = BTreeSet::new();
        for (i, sides) in rectangles.iter().enumerate() {
            let Some([x0, y0, x1, y1]) = *sides else {
                continue;
            };
            let (c0, c1) = (line_of(&self.xs, x0), line_of(&self.xs, x1));
            for row in line_of(&self.ys, y0)..line_of(&self.ys, y1) {
                for column in c0..c1 {
                    let Some(cell) = self.cells.get_mut(row * columns + column) else {
                        continue;
                    };
                    match *cell {
                        Some(other) => {
                            met.insert((i, usize::from(other)));
                        }
                        None => *cell = Some(i as u16),
                    }
                }
            }
        }
        for (i, other) in met {
            faults.add(
                format!("rectangles[{i}]"),
                "OVERLAP",
                format!("overlaps rectangles[{other}]"),
                "rectangles that touch without overlapping",
            );
        }
    }

    fn touch(
        &mut self,
        model: &Model,
        segments: &[Option<Sides>],
        whole: bool,
        faults: &mut Faults,
    ) {
        for (i, (segment, boundary)) in segments.iter().zip(&model.boundaries).enumerate() {
            let Some([x0, y0, x1, y1]) = *segment else {
                continue;
            };
            let (c0, c1) = (line_of(&self.xs, x0), line_of(&self.xs, x1));
            let (r0, r1) = (line_of(&self.ys, y0), line_of(&self.ys, y1));
            let (mut inside, mut twice) = (0_usize, false);
            if r0 == r1 {
                for column in c0..c1 {
                    let below = self.cell(Some(column), r0.checked_sub(1));
                    let above = self.cell(Some(column), Some(r0));
                    inside += usize::from(below.is_some() == above.is_some());
                    let at = r0 * self.columns() + column;
                    twice |= set_once(&mut self.horizontal, at, boundary.contact);
                }
            } else {
                for row in r0..r1 {
                    let left = self.cell(c0.checked_sub(1), Some(row));
                    let right = self.cell(Some(c0), Some(row));
                    inside += usize::from(left.is_some() == right.is_some());
                    let at = row * self.xs.len() + c0;
                    twice |= set_once(&mut self.vertical, at, boundary.contact);
                }
            }
            if inside > 0 && whole {
                faults.add(
                    format!("boundaries[{i}]"),
                    "BOUNDARY_NOT_ON_OUTLINE",
                    format!(
                        "{} lies inside the material or off it",
                        place(&[x0, y0, x1, y1])
                    ),
                    "a segment along the outline of the rectangles",
                );
            }
            if twice {
                faults.add(
                    format!("boundaries[{i}]"),
                    "BOUNDARY_TWICE",
                    format!("{} is already covered in part", place(&[x0, y0, x1, y1])),
                    "each part of the outline in one boundary",
                );
            }
        }
    }

    /// Every side between material and nothing must have a contact; enclosed holes are called gaps.
    fn check_cover(&self, faults: &mut Faults) {
        let outer = self.reached_from_outside();
        let open = |column: Option<usize>, row: Option<usize>| match (column, row) {
            (Some(c), Some(r)) if c < self.columns() && r < self.rows() => {
                !outer.get(r * self.columns() + c).copied().unwrap_or(true)
            }
            _ => false,
        };
        let mut report = |sides: Sides, gap: bool| {
            let (reason, expected) = if gap {
                (
                    "GAP",
                    "material without gaps, or a cavity with its own environment",
                )
            } else {
                (
                    "OUTLINE_UNCOVERED",
                    "a boundary along every part of the outline",
                )
            };
            faults.add(
                "boundaries",
                reason,
                format!("nothing along {}", place(&sides)),
                expected,
            );
        };
        for line in 0..self.ys.len() {
            for column in 0..self.columns() {
                let (below, above) = (line.checked_sub(1), Some(line));
                let outline = self.cell(Some(column), below).is_some()
                    != self.cell(Some(column), above).is_some();
                let at = line * self.columns() + column;
                if outline && self.horizontal.get(at).copied().flatten().is_none() {
                    let gap = open(Some(column), below) || open(Some(column), above);
                    let (x0, x1) = (at_line(&self.xs, column), at_line(&self.xs, column + 1));
                    let y = at_line(&self.ys, line);
                    report([x0, y, x1, y], gap);
                }
            }
        }
        for row in 0..self.rows() {
            for line in 0..self.xs.len() {
                let (left, right) = (line.checked_sub(1), Some(line));
                let outline =
                    self.cell(left, Some(row)).is_some() != self.cell(right, Some(row)).is_some();
                let at = row * self.xs.len() + line;
                if outline && self.vertical.get(at).copied().flatten().is_none() {
                    let gap = open(left, Some(row)) || open(right, Some(row));
                    let (y0, y1) = (at_line(&self.ys, row), at_line(&self.ys, row + 1));
                    let x = at_line(&self.xs, line);
                    report([x, y0, x, y1], gap);
                }
            }
        }
    }

    /// For each cell, whether it is material or an emptiness that reaches the rim of the section.
    fn reached_from_outside(&self) -> Vec<bool> {
        let (columns, rows) = (self.columns(), self.rows());
        let mut reached: Vec<bool> = self.cells.iter().map(Option::is_some).collect();
        let mut waiting: Vec<(usize, usize)> = (0..rows)
            .flat_map(|r| [(0, r), (columns.saturating_sub(1), r)])
            .chain((0..columns).flat_map(|c| [(c, 0), (c, rows.saturating_sub(1))]))
            .collect();
        // Each cell is marked once, so the work is bounded by the number of cells.
        while let Some((c, r)) = waiting.pop() {
            let Some(mark) = reached.get_mut(r * columns + c) else {
                continue;
            };
            if *mark {
                continue;
            }
            *mark = true;
            if c > 0 {
                waiting.push((c - 1, r));
            }
            if c + 1 < columns {
                waiting.push((c + 1, r));
            }
            if r > 0 {
                waiting.push((c, r - 1));
            }
            if r + 1 < rows {
                waiting.push((c, r + 1));
            }
        }
        reached
    }

    /// Every connected piece of material must touch an environment, else it has no temperature.
    fn check_connection(&self, faults: &mut Faults) {
        let columns = self.columns();
        let mut seen: Vec<bool> = self.cells.iter().map(Option::is_none).collect();
        for start in 0..self.cells.len() {
            let mut waiting = alloc::vec![start];
            let (mut new, mut touched) = (false, false);
            while let Some(at) = waiting.pop() {
                let Some(mark) = seen.get_mut(at) else {
                    continue;
                };
                if *mark {
                    continue;
                }
                *mark = true;
                new = true;
                let (c, r) = (at % columns, at / columns);
                touched |= self
                    .sides_of(c, r)
                    .iter()
                    .any(|side| matches!(side, Some(Contact::Environment(_))));
                if c > 0 {
                    waiting.push(at - 1);
                }
                if c + 1 < columns {
                    waiting.push(at + 1);
                }
                if r > 0 {
                    waiting.push(at - columns);
                }
                waiting.push(at + columns);
            }
            if new && !touched {
                let rectangle = self.cells.get(start).copied().flatten().unwrap_or_default();
                faults.add(
                    format!("rectangles[{rectangle}]"),
                    "NO_ENVIRONMENT",
                    "material that touches no environment",
                    "every connected piece of material along at least one environment",
                );
            }
        }
    }

    /// The contacts of a cell's lower, upper, left and right side.
    fn sides_of(&self, column: usize, row: usize) -> [Option<Contact>; 4] {
        let horizontal = |line: usize| {
            self.horizontal
                .get(line * self.columns() + column)
                .copied()
                .flatten()
        };
        let vertical = |line: usize| {
            self.vertical
                .get(row * self.xs.len() + line)
                .copied()
                .flatten()
        };
        [
            horizontal(row),
            horizontal(row + 1),
            vertical(column),
            vertical(column + 1),
        ]
    }
}

/// Sets a contact; true where there was one.
fn set_once(contacts: &mut [Option<Contact>], at: usize, contact: Contact) -> bool {
    contacts
        .get_mut(at)
        .is_some_and(|side| side.replace(contact).is_some())
}

fn at_line(lines: &[f64], index: usize) -> f64 {
    lines.get(index).copied().unwrap_or(f64::NAN)
}

/// The places rising, those nearer than the snapping distance joined to the first of them.
fn lines(places: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut all: Vec<f64> = places.collect();
    all.sort_by(f64::total_cmp);
    let mut kept: Vec<f64> = Vec::new();
    for place in all {
        if kept.last().is_none_or(|&last| place - last > SNAP_M) {
            kept.push(place);
        }
    }
    kept
}

/// The index of the line at a place: the last line not beyond it.
pub(crate) fn line_of(lines: &[f64], place: f64) -> usize {
    lines
        .partition_point(|&line| line <= place + 1e-12)
        .saturating_sub(1)
}

fn place([x0, y0, x1, y1]: &Sides) -> String {
    let mm = |m: f64| libm::round(m * 1e6) / 1e3;
    format!(
        "({}, {}) to ({}, {}) mm",
        mm(*x0),
        mm(*y0),
        mm(*x1),
        mm(*y1)
    )
}

fn check_counts(model: &Model, faults: &mut Faults) {
    for (path, count, least, most) in [
        ("rectangles", model.rectangles.len(), 1, MOST_PARTS),
        ("boundaries", model.boundaries.len(), 1, MOST_PARTS),
        (
            "environments",
            model.environments.len(),
            2,
            MOST_ENVIRONMENTS,
        ),
    ] {
        if !(least..=most).contains(&count) {
            faults.add(
                path,
                "COUNT",
                format!("{count}"),
                format!("{least} to {most}"),
            );
        }
    }
}

fn check_environments(model: &Model, faults: &mut Faults) {
    for (i, environment) in model.environments.iter().enumerate() {
        let temperature = environment.temperature.as_celsius();
        if !(-100.0..=200.0).contains(&temperature) {
            faults.add(
                format!("environments[{i}].temperature_c"),
                "OUT_OF_RANGE",
                format!("{temperature}"),
                "-100 to 200 degrees Celsius",
            );
        }
        let resistance = environment.resistance.as_m2k_per_w();
        if !(resistance == 0.0 || (1e-4..=100.0).contains(&resistance)) {
            faults.add(
                format!("environments[{i}].surface_resistance_m2k_per_w"),
                "OUT_OF_RANGE",
                format!("{resistance}"),
                "0, or 0.0001 to 100 m2.K/W",
            );
        }
    }
}

/// Every environment must be touched, else it has no heat flow to speak of.
fn check_use(model: &Model, faults: &mut Faults) {
    for (i, environment) in model.environments.iter().enumerate() {
        let touched = |b: &Boundary| b.contact == Contact::Environment(i);
        if !model.boundaries.iter().any(touched) {
            faults.add(
                format!("environments[{i}]"),
                "UNUSED_ENVIRONMENT",
                format!("no boundary touches `{}`", environment.name),
                "at least one boundary along each environment",
            );
        }
    }
}

/// Adds a fault for each coordinate that is not a number in range; true where all are.
fn check_coordinates(path: &str, coordinates: [(&str, f64); 4], faults: &mut Faults) -> bool {
    let mut sound = true;
    for (name, m) in coordinates {
        if !(-LARGEST_COORDINATE_M..=LARGEST_COORDINATE_M).contains(&m) {
            sound = false;
            let reason = if m.is_finite() {
                "OUT_OF_RANGE"
            } else {
                "NOT_FINITE"
            };
            faults.add(
                format!("{path}.{name}"),
                reason,
                format!("{}", m * 1e3),
                "a number between -1000000 and 1000000 mm",
            );
        }
    }
    sound
}

fn check_rectangle(i: usize, rectangle: &Rectangle, faults: &mut Faults) -> Option<Sides> {
    let path = format!("rectangles[{i}]");
    let sides @ [x0, y0, x1, y1] = [
        rectangle.x0.as_m(),
        rectangle.y0.as_m(),
        rectangle.x1.as_m(),
        rectangle.y1.as_m(),
    ];
    let conductivity = rectangle.conductivity.as_w_per_mk();
    let (lowest, highest) = CONDUCTIVITY_RANGE;
    if !(lowest..=highest).contains(&conductivity) {
        faults.add(
            format!("{path}.conductivity_w_per_mk"),
            "OUT_OF_RANGE",
            format!("{conductivity}"),
            format!("{lowest} to {highest} W/(m.K)"),
        );
    }
    let named = [("x0_mm", x0), ("y0_mm", y0), ("x1_mm", x1), ("y1_mm", y1)];
    if !check_coordinates(&path, named, faults) {
        return None;
    }
    let mut sound = true;
    for (side, low, high) in [("x1_mm", x0, x1), ("y1_mm", y0, y1)] {
        if high - low <= 2.0 * SNAP_M {
            sound = false;
            faults.add(
                format!("{path}.{side}"),
                "NO_EXTENT",
                format!("{} mm beyond the opposite side", (high - low) * 1e3),
                "a side at least 0.01 mm beyond the opposite one",
            );
        }
    }
    sound.then_some(sides)
}

fn check_boundary(
    i: usize,
    boundary: &Boundary,
    environments: usize,
    faults: &mut Faults,
) -> Option<Sides> {
    let path = format!("boundaries[{i}]");
    if let Contact::Environment(index) = boundary.contact
        && index >= environments
    {
        faults.add(
            format!("{path}.environment"),
            "UNKNOWN_ENVIRONMENT",
            format!("index {index}"),
            format!("an index below {environments}"),
        );
    }
    let (x0, x1) = (boundary.from.x.as_m(), boundary.to.x.as_m());
    let (y0, y1) = (boundary.from.y.as_m(), boundary.to.y.as_m());
    let named = [
        ("from.x_mm", x0),
        ("from.y_mm", y0),
        ("to.x_mm", x1),
        ("to.y_mm", y1),
    ];
    if !check_coordinates(&path, named, faults) {
        return None;
    }
    let across = libm::fabs(x1 - x0) > 2.0 * SNAP_M;
    let up = libm::fabs(y1 - y0) > 2.0 * SNAP_M;
    if across == up {
        faults.add(
            path,
            "NOT_AXIS_PARALLEL",
            format!("{} by {} mm", (x1 - x0) * 1e3, (y1 - y0) * 1e3),
            "a segment parallel to one axis and longer than 0.01 mm",
        );
        return None;
    }
    // The short direction is nothing at all, so that a segment never straddles two lines.
    let (x1, y1) = if across { (x1, y0) } else { (x0, y1) };
    Some([
        libm::fmin(x0, x1),
        libm::fmin(y0, y1),
        libm::fmax(x0, x1),
        libm::fmax(y0, y1),
    ])
}
