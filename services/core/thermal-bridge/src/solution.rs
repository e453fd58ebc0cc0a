//! The answer: temperatures everywhere, heat flows between environments, the coldest surface points.

use alloc::vec::Vec;

use quantity::{Conductivity, Length, LinearHeatFlow, LinearTransmittance, Temperature};

use crate::model::{Model, Point};

/// What one grid of the refinement gave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refinement {
    /// The number of grid lines across and up.
    pub lines: (usize, usize),
    /// The heat flow out of the first environment into the others at one kelvin above them all.
    pub coupling: LinearTransmittance,
    /// The largest relative change of any environment's heat flow since the coarser grid; nothing on the first.
    pub flow_change: Option<f64>,
    /// The largest change of any environment's lowest surface weight since the coarser grid; nothing on the first.
    pub factor_change: Option<f64>,
    /// The iterations of all solves on this grid together.
    pub iterations: usize,
}

/// A point of the surface towards an environment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfacePoint {
    /// Where it is.
    pub point: Point,
    /// Its temperature.
    pub temperature: Temperature,
}

/// The steady temperatures and heat flows of a section.
///
/// Temperatures are held as weights of the environments, so that any other set of environment temperatures needs no new solve.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    pub(crate) xs: Vec<f64>,
    pub(crate) ys: Vec<f64>,
    /// The rectangle of each cell, row by row from below.
    pub(crate) owners: Vec<Option<u16>>,
    pub(crate) conductivities: Vec<f64>,
    /// For each environment the weight at each node, row by row from below.
    pub(crate) weights: Vec<Vec<f64>>,
    pub(crate) temperatures: Vec<f64>,
    /// `couplings[a][b]`: the flow into environment b at one kelvin in a and none elsewhere.
    pub(crate) couplings: Vec<Vec<f64>>,
    /// The nodes on the surface of each environment.
    pub(crate) surfaces: Vec<Vec<(usize, usize)>>,
    pub(crate) refinements: Vec<Refinement>,
    pub(crate) imbalance: f64,
}

impl Solution {
    /// The grid lines across, rising.
    pub fn columns(&self) -> Vec<Length> {
        self.xs.iter().map(|&x| Length::from_m(x)).collect()
    }
    /// The grid lines up, rising.
    pub fn rows(&self) -> Vec<Length> {
        self.ys.iter().map(|&y| Length::from_m(y)).collect()
    }
    /// The rectangle that fills the cell right of grid line `column` and above grid line `row`; nothing outside the material.
    pub fn material(&self, column: usize, row: usize) -> Option<usize> {
        let across = self.xs.len().checked_sub(1)?;
        if column >= across {
            return None;
        }
        self.owners
            .get(row * across + column)
            .copied()
            .flatten()
            .map(usize::from)
    }
    /// The temperature where grid lines `column` and `row` cross; nothing outside the material.
    pub fn temperature(&self, column: usize, row: usize) -> Option<Temperature> {
        self.touches_material(column, row)
            .then(|| self.at_node(column, row, &self.temperatures))
    }
    fn touches_material(&self, column: usize, row: usize) -> bool {
        [(0, 0), (1, 0), (0, 1), (1, 1)]
            .into_iter()
            .any(
                |(left, down)| match (column.checked_sub(left), row.checked_sub(down)) {
                    (Some(c), Some(r)) => self.material(c, r).is_some(),
                    _ => false,
                },
            )
    }
    fn at_node(&self, column: usize, row: usize, temperatures: &[f64]) -> Temperature {
        let node = row * self.xs.len() + column;
        let sum = self
            .weights
            .iter()
            .zip(temperatures)
            .map(|(weights, t)| weights.get(node).copied().unwrap_or(f64::NAN) * t)
            .sum();
        Temperature::from_celsius(sum)
    }

    /// The weights of the environments at a point; nothing outside the material.
    ///
    /// Between grid lines the weights vary linearly along both axes, within the most conductive of the cells that meet there.
    /// On an interface the grid line itself carries the temperature that makes the fluxes on its two sides equal, so a corner where
    /// three materials meet has one temperature, the one that the most conductive of them imposes.
    pub fn weights_at(&self, point: Point) -> Option<Vec<f64>> {
        let (x, y) = (point.x.as_m(), point.y.as_m());
        let mut best: Option<(f64, usize, usize)> = None;
        for column in cells_at(&self.xs, x).into_iter().flatten() {
            for row in cells_at(&self.ys, y).into_iter().flatten() {
                let Some(owner) = self.material(column, row) else {
                    continue;
                };
                let conductivity = self.conductivities.get(owner).copied().unwrap_or(0.0);
                if best.is_none_or(|(most, _, _)| conductivity > most) {
                    best = Some((conductivity, column, row));
                }
            }
        }
        let (_, column, row) = best?;
        let share = |lines: &[f64], at: usize, place: f64| -> Option<f64> {
            let (low, high) = (*lines.get(at)?, *lines.get(at + 1)?);
            Some(((place - low) / (high - low)).clamp(0.0, 1.0))
        };
        let (a, b) = (share(&self.xs, column, x)?, share(&self.ys, row, y)?);
        let across = self.xs.len();
        let node = row * across + column;
        self.weights
            .iter()
            .map(|w| {
                let lower = w.get(node)? * (1.0 - a) + w.get(node + 1)? * a;
                let upper = w.get(node + across)? * (1.0 - a) + w.get(node + across + 1)? * a;
                Some(lower * (1.0 - b) + upper * b)
            })
            .collect()
    }
    /// The temperature at a point; nothing outside the material.
    pub fn temperature_at(&self, point: Point) -> Option<Temperature> {
        let weights = self.weights_at(point)?;
        Some(Temperature::from_celsius(
            weights
                .iter()
                .zip(&self.temperatures)
                .map(|(g, t)| g * t)
                .sum(),
        ))
    }

    /// The thermal coupling coefficient between two environments; nothing for an unknown one.
    pub fn coupling(&self, from: usize, to: usize) -> Option<LinearTransmittance> {
        let number = *self.couplings.get(from)?.get(to)?;
        Some(LinearTransmittance::from_w_per_mk(number))
    }
    /// The heat flow from an environment into the model; nothing for an unknown one.
    pub fn flow(&self, environment: usize) -> Option<LinearHeatFlow> {
        let mine = *self.temperatures.get(environment)?;
        let row = self.couplings.get(environment)?;
        let sum = row
            .iter()
            .zip(&self.temperatures)
            .enumerate()
            .filter(|(other, _)| *other != environment)
            .map(|(_, (coupling, other))| coupling * (mine - other))
            .sum();
        Some(LinearHeatFlow::from_w_per_m(sum))
    }
    /// What is left when all heat flows into the model are added, as a share of the largest of them: the larger over all environments
    /// warmed alone.
    pub fn imbalance(&self) -> f64 {
        self.imbalance
    }
    /// The grids from the first to the last.
    pub fn refinements(&self) -> &[Refinement] {
        &self.refinements
    }
    /// The coldest point of the surface towards an environment; of equally cold ones the lowest, then the leftmost.
    pub fn coldest_surface(&self, environment: usize) -> Option<SurfacePoint> {
        self.extreme(environment, |new, old| new < old)
    }
    /// The warmest point of the surface towards an environment; of equally warm ones the lowest, then the leftmost.
    pub fn warmest_surface(&self, environment: usize) -> Option<SurfacePoint> {
        self.extreme(environment, |new, old| new > old)
    }
    fn extreme(&self, environment: usize, better: fn(f64, f64) -> bool) -> Option<SurfacePoint> {
        let mut best: Option<(f64, (usize, usize))> = None;
        for &(column, row) in self.surfaces.get(environment)? {
            let t = self.at_node(column, row, &self.temperatures).as_celsius();
            if best.is_none_or(|(old, _)| better(t, old)) {
                best = Some((t, (column, row)));
            }
        }
        let (t, (column, row)) = best?;
        Some(SurfacePoint {
            point: Point {
                x: Length::from_m(*self.xs.get(column)?),
                y: Length::from_m(*self.ys.get(row)?),
            },
            temperature: Temperature::from_celsius(t),
        })
    }
    /// The temperatures of the environments that this solution stands for.
    pub fn temperatures(&self) -> Vec<Temperature> {
        self.temperatures
            .iter()
            .map(|&t| Temperature::from_celsius(t))
            .collect()
    }
    /// The same section between environments of other temperatures; nothing where their number differs.
    #[must_use]
    pub fn at_temperatures(&self, temperatures: &[Temperature]) -> Option<Self> {
        (temperatures.len() == self.temperatures.len()).then(|| Self {
            temperatures: temperatures.iter().map(|t| t.as_celsius()).collect(),
            ..self.clone()
        })
    }
    pub(crate) fn conductivities_of(model: &Model) -> Vec<f64> {
        model
            .rectangles
            .iter()
            .map(|r| Conductivity::as_w_per_mk(r.conductivity))
            .collect()
    }
}

/// The cells along one axis that hold a place: two where it lies on a line between cells.
fn cells_at(lines: &[f64], place: f64) -> [Option<usize>; 2] {
    const ON_LINE: f64 = 1e-9;
    let upper = lines.partition_point(|&line| line <= place + ON_LINE);
    let last = lines.len().saturating_sub(1);
    let Some(low) = upper.checked_sub(1) else {
        return [None, None];
    };
    let on_line = lines
        .get(low)
        .is_some_and(|&line| libm::fabs(line - place) <= ON_LINE);
    let own = (low < last).then_some(low);
    [if on_line { low.checked_sub(1) } else { None }, own]
}
