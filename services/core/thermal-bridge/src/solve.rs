//! From a sound section to its solution: halving the grid until the standard's criteria hold.

use alloc::format;
use alloc::vec::Vec;

use quantity::LinearTransmittance;
use standards::iso_10211;
use working::{Fault, Faults, Halt};

use crate::assemble::Network;
use crate::grid::{Axis, Grading, graded};
use crate::model::Model;
use crate::multigrid::{Few, Hierarchy, inner};
use crate::outline::Outline;
use crate::solution::{Refinement, Solution};

/// How exact a solution must be, and how much work it may take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// The largest relative change of any heat flow that the last halving of the grid may bring.
    pub flow_change: f64,
    /// The largest change of the temperature factor of the coldest points that the last halving may bring.
    pub factor_change: f64,
    /// The most halvings of the first grid.
    pub most_halvings: u32,
    /// The most nodes of a grid; a halving beyond is not made.
    pub most_nodes: usize,
    /// The first grid.
    pub grading: Grading,
}

impl Default for Accuracy {
    /// The criteria of the standard, with at most five halvings and a quarter of a million nodes.
    fn default() -> Self {
        Self {
            flow_change: iso_10211::LARGEST_FLOW_CHANGE,
            factor_change: iso_10211::LARGEST_FACTOR_CHANGE,
            most_halvings: 5,
            most_nodes: 250_000,
            grading: Grading::default(),
        }
    }
}

/// How much nearer the last iteration still brings a field to the solution of its grid, as a share of the field, both by the root of
/// their energy. What is left is about a twentieth of it, far below what the grid itself is off by; the flows are off by the square of that.
const SETTLED_SHARE: f64 = 2e-8;
/// The same on a grid that will be halved again.
const PASSING_SHARE: f64 = 1e-3;
/// An answer whose heat flows differ by more than this share is not given out; the standard itself would allow far more.
const LARGEST_IMBALANCE: f64 = 1e-9;
/// Nor one whose iteration ended by its bound while it still gained more than this.
const LARGEST_UNSETTLED: f64 = 2e-7;
/// No grid has more nodes than this, whatever is asked for.
const NODES_ALLOWED: usize = 4_000_000;

/// Solves a section.
///
/// The first grid follows [`Grading`]; every cell is halved until the heat flow of every environment and the weights of its coldest
/// surface point change by no more than `accuracy` asks, or its limits are met. [`Solution::refinements`] tells which.
///
/// # Errors
/// Every fault of the model at once: counts, numbers out of range, overlaps, gaps, an outline without boundary, a boundary off the
/// outline or twice over, an unknown environment, material that touches none; or `NOT_SOLVED` where the iteration did not come to
/// rest within its bound.
pub fn solve(model: &Model, accuracy: &Accuracy) -> Result<Solution, Vec<Fault>> {
    let solution = solve_unless(model, accuracy, Halt::NEVER)?;
    // Never halted, it has a solution.
    solution.ok_or_else(Vec::new)
}

/// Solves a section as [`solve`] does, or gives nothing where the calculation was halted before its end.
///
/// # Errors
/// Those of [`solve`].
pub fn solve_unless(
    model: &Model,
    accuracy: &Accuracy,
    halt: Halt<'_>,
) -> Result<Option<Solution>, Vec<Fault>> {
    let (outline, mut x, mut y) = first_grid(model, &accuracy.grading)?;
    let mut refinements: Vec<Refinement> = Vec::new();
    let mut before: Option<Stage> = None;
    // One pass a grid, so the loop ends after the halvings allowed.
    loop {
        if halt.is_asked() {
            return Ok(None);
        }
        let start = before.take().map(|stage: Stage| {
            let coarser = (stage.totals(), stage.lowest());
            (stage.doubled(), stage.hierarchy, coarser)
        });
        let (start, coarser) = match start {
            Some((weights, hierarchy, coarser)) => (Some((weights, hierarchy)), Some(coarser)),
            None => (None, None),
        };
        let mut stage = Stage::lay(model, &outline, x, y, start);
        let (next_x, next_y) = (stage.network.x.halved(), stage.network.y.halved());
        let nodes = next_x.len().saturating_mul(next_y.len());
        let spent = refinements.len() as u64 >= u64::from(accuracy.most_halvings)
            || nodes > accuracy.most_nodes.min(NODES_ALLOWED);
        stage.settle(if spent { SETTLED_SHARE } else { PASSING_SHARE }, halt);
        let refinement = stage.against(coarser.as_ref());
        let close = refinement
            .flow_change
            .is_some_and(|c| c <= accuracy.flow_change)
            && refinement
                .factor_change
                .is_some_and(|c| c <= accuracy.factor_change);
        if close || spent {
            // Only the last grid is solved to the end.
            if !spent {
                stage.settle(SETTLED_SHARE, halt);
            }
            if halt.is_asked() {
                return Ok(None);
            }
            stage.refuse_imbalance()?;
            refinements.push(stage.against(coarser.as_ref()));
            return Ok(Some(stage.finish(model, &outline, refinements)));
        }
        refinements.push(refinement);
        before = Some(stage);
        (x, y) = (next_x, next_y);
    }
}

/// Checks a section without solving it.
///
/// # Errors
/// Those of [`solve`] on the usual first grid, but for `NOT_SOLVED`.
pub fn check(model: &Model) -> Result<(), Vec<Fault>> {
    first_grid(model, &Grading::default()).map(|_| ())
}

/// The outline of a sound section and the lines of its first grid.
fn first_grid(model: &Model, grading: &Grading) -> Result<(Outline, Axis, Axis), Vec<Fault>> {
    let outline = Outline::read(model)?;
    let x = graded(&outline.xs, grading);
    let y = graded(&outline.ys, grading);
    if x.len().saturating_mul(y.len()) > NODES_ALLOWED {
        let mut faults = Faults::new();
        faults.add(
            "rectangles",
            "TOO_FINE",
            format!("{} by {} grid lines", x.len(), y.len()),
            format!("a section and a first grid of at most {NODES_ALLOWED} nodes"),
        );
        return Err(faults.into_list());
    }
    Ok((outline, x, y))
}

/// The solution on one grid.
struct Stage {
    network: Network,
    hierarchy: Hierarchy,
    /// What one kelvin in an environment brings to a node.
    loads: Vec<(usize, f64, usize)>,
    /// How many environments there are.
    count: usize,
    /// For each environment the weight at each node, in framed arrays; the last one's only once the stage has settled.
    weights: Vec<Vec<f64>>,
    couplings: Vec<Vec<f64>>,
    /// The flows' sum, as a share of the environment's own.
    imbalance: f64,
    /// What the last iterations still gained, as [`SETTLED_SHARE`] counts it.
    unsettled: f64,
    iterations: usize,
}

impl Stage {
    /// Lays the section on a grid, with weights to start from.
    fn lay(
        model: &Model,
        outline: &Outline,
        x: Axis,
        y: Axis,
        coarser: Option<(Vec<Vec<f64>>, Hierarchy)>,
    ) -> Self {
        let count = model.environments.len();
        let network = Network::new(model, outline, x, y);
        let (equations, loads) = network.equations();
        let size = equations.size();
        let (start, hierarchy) = match coarser {
            Some((start, coarser)) => (Some(start), Hierarchy::over(equations, coarser)),
            None => (None, Hierarchy::new(equations)),
        };
        Self {
            network,
            hierarchy,
            loads,
            count,
            weights: start
                .unwrap_or_else(|| alloc::vec![alloc::vec![0.0; size]; count.saturating_sub(1)]),
            couplings: Vec::new(),
            imbalance: 0.0,
            unsettled: 0.0,
            iterations: 0,
        }
    }

    /// Solves for the weights of every environment until an iteration changes them by at most `share`, as [`SETTLED_SHARE`] counts it.
    /// Halted, it leaves off where it is.
    fn settle(&mut self, share: f64, halt: Halt<'_>) {
        let count = self.count;
        self.couplings.clear();
        self.imbalance = 0.0;
        self.unsettled = 0.0;
        // The weights of all environments add to one, so the last one needs no solve.
        let sought = count.saturating_sub(1);
        let mut first = 0;
        while first < sought {
            first += match sought - first {
                1 => self.settle_few::<1>(first, share, halt),
                2 => self.settle_few::<2>(first, share, halt),
                3 => self.settle_few::<3>(first, share, halt),
                _ => self.settle_few::<4>(first, share, halt),
            };
        }
        self.weights.truncate(sought);
        let last = last_weights(&self.network, &self.weights);
        self.weights.push(last);
        let mut left = alloc::vec![0.0; self.network.conductances.size()];
        for environment in 0..sought {
            let flows = self.balanced(environment, &mut left);
            let own = flows.get(environment).copied().unwrap_or(f64::NAN);
            let apart = libm::fabs(flows.iter().sum::<f64>()) / libm::fabs(own);
            self.imbalance = worse(self.imbalance, apart);
            self.couplings
                .push(flows.iter().map(|flow| -flow).collect());
        }
        // All environments at one temperature exchange nothing, so the last row is what the others leave.
        let last = (0..count)
            .map(|to| {
                -self
                    .couplings
                    .iter()
                    .filter_map(|row| row.get(to))
                    .sum::<f64>()
            })
            .collect();
        self.couplings.push(last);
    }

    /// One kelvin in an environment and none in the others.
    fn unit(&self, environment: usize) -> Vec<f64> {
        (0..self.count)
            .map(|e| if e == environment { 1.0 } else { 0.0 })
            .collect()
    }

    /// The heat flows into the model at one kelvin in an environment; `left` takes what is left over at each node.
    ///
    /// The field leaves a little heat at the nodes: the residual, and what the last digit of a temperature carries where metal meets a
    /// fine grid. From each node it goes out to the environments by their weights there, and since all the fields are that
    /// near, the flows are then off by the square of it only.
    fn balanced(&self, environment: usize, left: &mut [f64]) -> Vec<f64> {
        let unit = self.unit(environment);
        let Some(field) = self.weights.get(environment) else {
            return unit;
        };
        let mut flows = self.network.flows(|node| field[node], &unit);
        self.network.left_over(field, &unit, left);
        let left = left.as_chunks::<1>().0;
        for (flow, weights) in flows.iter_mut().zip(&self.weights) {
            let [share] = inner(weights.as_chunks::<1>().0, left);
            *flow -= share;
        }
        flows
    }

    /// Solves for the weights of `L` environments from this one on; gives how many these are.
    fn settle_few<const L: usize>(&mut self, first: usize, share: f64, halt: Halt<'_>) -> usize {
        let size = self.network.conductances.size();
        let mut b = alloc::vec![[0.0; L]; size];
        for &(node, load, environment) in &self.loads {
            if let Some(lane) = environment.checked_sub(first).filter(|lane| *lane < L) {
                b[node][lane] += load;
            }
        }
        let mut fields = alloc::vec![[0.0; L]; size];
        for (lane, weights) in self.weights.iter().skip(first).take(L).enumerate() {
            for (field, weight) in fields.iter_mut().zip(weights) {
                field[lane] = *weight;
            }
        }
        let units: [Vec<f64>; L] = core::array::from_fn(|lane| self.unit(first + lane));
        let own = |fields: &[Few<L>]| -> Few<L> {
            core::array::from_fn(|lane| {
                let flows = self.network.flows(|node| fields[node][lane], &units[lane]);
                libm::fabs(flows.get(first + lane).copied().unwrap_or(f64::NAN))
            })
        };
        let solved = self.hierarchy.solve(b, &mut fields, |fields| {
            if halt.is_asked() {
                // Any gain is small enough.
                return [f64::INFINITY; L];
            }
            own(fields).map(|own| share * share * own)
        });
        let own = own(&fields);
        self.iterations += solved.iterations * L;
        for (gained, own) in solved.gained.iter().zip(own) {
            self.unsettled = worse(self.unsettled, libm::sqrt(gained / own));
        }
        for (lane, weights) in self.weights.iter_mut().skip(first).take(L).enumerate() {
            for (weight, field) in weights.iter_mut().zip(&fields) {
                *weight = field[lane];
            }
        }
        L
    }

    fn refuse_imbalance(&self) -> Result<(), Vec<Fault>> {
        if self.imbalance <= LARGEST_IMBALANCE && self.unsettled <= LARGEST_UNSETTLED {
            return Ok(());
        }
        let mut faults = Faults::new();
        faults.add(
            "rectangles",
            "NOT_SOLVED",
            format!(
                "heat flows that differ by {:e} of the largest, and a field that still changes by {:e} of itself",
                self.imbalance, self.unsettled
            ),
            "a section whose conductivities and sizes are less extreme",
        );
        faults.or(())
    }

    /// The weights on the halved grid, as a start: linear along both axes.
    fn doubled(&self) -> Vec<Vec<f64>> {
        let (nx, ny) = (self.network.x.len(), self.network.y.len());
        let (fx, fy) = (2 * nx - 1, 2 * ny - 1);
        let stride = fx + 2;
        // The last one's follow from the others.
        let sought = self.weights.len().saturating_sub(1);
        self.weights
            .iter()
            .take(sought)
            .map(|coarse| {
                let mut fine = alloc::vec![0.0; stride * (fy + 2)];
                for j in 0..fy {
                    for i in 0..fx {
                        let at =
                            |a: usize, b: usize| coarse[(j / 2 + b + 1) * (nx + 2) + i / 2 + a + 1];
                        let value = match (i % 2, j % 2) {
                            (0, 0) => at(0, 0),
                            (_, 0) => 0.5 * (at(0, 0) + at(1, 0)),
                            (0, _) => 0.5 * (at(0, 0) + at(0, 1)),
                            _ => 0.25 * (at(0, 0) + at(1, 0) + at(0, 1) + at(1, 1)),
                        };
                        fine[(j + 1) * stride + i + 1] = value;
                    }
                }
                fine
            })
            .collect()
    }

    /// The own flow of each environment at one kelvin.
    fn totals(&self) -> Vec<f64> {
        self.couplings
            .iter()
            .enumerate()
            .map(|(e, row)| -row.get(e).copied().unwrap_or(0.0))
            .collect()
    }

    /// The smallest weight of each environment on its own surface.
    fn lowest(&self) -> Vec<f64> {
        self.weights
            .iter()
            .enumerate()
            .map(|(e, weights)| {
                let surface = self.network.films.iter().chain(&self.network.fixed);
                surface
                    .filter(|film| film.environment == e)
                    .filter_map(|film| weights.get(film.node).copied())
                    .fold(1.0, libm::fmin)
            })
            .collect()
    }

    /// What this grid gave, against the own flows and lowest weights of the coarser one.
    fn against(&self, coarser: Option<&(Vec<f64>, Vec<f64>)>) -> Refinement {
        let totals = self.totals();
        let changes = coarser.map(|(old_totals, old_lowest)| {
            let flow = old_totals
                .iter()
                .zip(&totals)
                .fold(0.0, |worst, (old, new)| {
                    libm::fmax(worst, libm::fabs(new - old) / libm::fabs(*new))
                });
            let factor = old_lowest
                .iter()
                .zip(self.lowest())
                .fold(0.0, |worst, (old, new)| {
                    libm::fmax(worst, libm::fabs(new - old))
                });
            (flow, factor)
        });
        Refinement {
            lines: (self.network.x.len(), self.network.y.len()),
            coupling: LinearTransmittance::from_w_per_mk(totals.first().copied().unwrap_or(0.0)),
            flow_change: changes.map(|c| c.0),
            factor_change: changes.map(|c| c.1),
            iterations: self.iterations,
        }
    }

    fn finish(self, model: &Model, outline: &Outline, refinements: Vec<Refinement>) -> Solution {
        let (x, y) = (&self.network.x, &self.network.y);
        let (nx, ny) = (x.len(), y.len());
        let spans = outline.xs.len().saturating_sub(1);
        let owners = y
            .span_of
            .iter()
            .flat_map(|&r| x.span_of.iter().map(move |&c| (r, c)))
            .map(|(r, c)| outline.cells.get(r * spans + c).copied().flatten())
            .collect();
        let weights = self
            .weights
            .iter()
            .map(|framed| {
                (1..=ny)
                    .flat_map(|j| framed.iter().skip(j * (nx + 2) + 1).take(nx).copied())
                    .collect()
            })
            .collect();
        let surfaces = (0..model.environments.len())
            .map(|e| {
                let mut places: Vec<(usize, usize)> = self
                    .network
                    .films
                    .iter()
                    .chain(&self.network.fixed)
                    .filter(|film| film.environment == e)
                    .map(|film| film.place)
                    .collect();
                places.sort_by_key(|&(column, row)| (row, column));
                places.dedup();
                places
            })
            .collect();
        Solution {
            xs: x.places.clone(),
            ys: y.places.clone(),
            owners,
            conductivities: Solution::conductivities_of(model),
            weights,
            temperatures: model
                .environments
                .iter()
                .map(|e| e.temperature.as_celsius())
                .collect(),
            couplings: self.couplings,
            surfaces,
            refinements,
            imbalance: self.imbalance,
        }
    }
}

/// The larger of two shares; no number at all counts as the worst.
fn worse(share: f64, other: f64) -> f64 {
    if other.is_nan() {
        f64::INFINITY
    } else {
        libm::fmax(share, other)
    }
}

/// One less the weights of the others, on every node that has any.
fn last_weights(network: &Network, others: &[Vec<f64>]) -> Vec<f64> {
    let c = &network.conductances;
    let mut last = alloc::vec![0.0; c.size()];
    for j in 0..c.ny {
        for i in 0..c.nx {
            let at = c.at(i, j);
            let coupled = c.east[at] + c.east[at - 1] + c.north[at] + c.north[at - c.stride()];
            if coupled > 0.0 {
                last[at] = 1.0 - others.iter().map(|w| w[at]).sum::<f64>();
            }
        }
    }
    last
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Boundary, Contact, Environment, Point, Rectangle};
    use alloc::string::ToString;
    use quantity::{Conductivity, Length, Temperature, ThermalResistance};

    /// An angle of metal in insulation with so many environments around it, one of them without a film.
    fn section(environments: usize) -> Model {
        let rectangle = |x0, y0, x1, y1, lambda| Rectangle {
            name: "part".to_string(),
            x0: Length::from_mm(x0),
            y0: Length::from_mm(y0),
            x1: Length::from_mm(x1),
            y1: Length::from_mm(y1),
            conductivity: Conductivity::from_w_per_mk(lambda),
        };
        let outline = [
            (0.0, 0.0),
            (300.0, 0.0),
            (300.0, 100.0),
            (100.0, 100.0),
            (100.0, 300.0),
            (0.0, 300.0),
            (0.0, 0.0),
        ];
        let boundaries = outline
            .windows(2)
            .enumerate()
            .map(|(side, pair)| Boundary {
                from: Point::from_mm(pair[0].0, pair[0].1),
                to: Point::from_mm(pair[1].0, pair[1].1),
                contact: Contact::Environment(side % environments),
            })
            .collect();
        let environment = |k: usize| Environment {
            name: "air".to_string(),
            temperature: Temperature::from_celsius(5.0 * k as f64),
            resistance: ThermalResistance::from_m2k_per_w(0.05 * k as f64),
        };
        Model {
            rectangles: alloc::vec![
                rectangle(0.0, 0.0, 300.0, 50.0, 0.035),
                rectangle(0.0, 50.0, 300.0, 100.0, 160.0),
                rectangle(0.0, 100.0, 100.0, 300.0, 0.5),
            ],
            boundaries,
            environments: (0..environments).map(environment).collect(),
        }
    }

    /// Solves symmetric equations by elimination, as in a textbook.
    fn eliminated(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
        let n = b.len();
        for k in 0..n {
            for row in k + 1..n {
                let factor = a[row][k] / a[k][k];
                if factor != 0.0 {
                    let (upper, lower) = a.split_at_mut(row);
                    for (own, other) in lower[0][k..].iter_mut().zip(&upper[k][k..]) {
                        *own -= factor * other;
                    }
                    b[row] -= factor * b[k];
                }
            }
        }
        for k in (0..n).rev() {
            let known: f64 = (k + 1..n).map(|c| a[k][c] * b[c]).sum();
            b[k] = (b[k] - known) / a[k][k];
        }
        b
    }

    #[test]
    fn environments_solved_together_have_the_weights_that_elimination_gives() {
        let accuracy = Accuracy {
            flow_change: 0.0,
            factor_change: 0.0,
            most_halvings: 2,
            grading: Grading {
                divisions: 1.0,
                growth: 3.0,
                smallest_m: 0.02,
            },
            ..Accuracy::default()
        };
        // Two to six environments, so that one to four fields go through together, and four and one after another.
        for count in 2..=6 {
            let model = section(count);
            let solution = solve(&model, &accuracy).expect("a sound section");
            let outline = Outline::read(&model).expect("a sound section");
            let mut x = graded(&outline.xs, &accuracy.grading);
            let mut y = graded(&outline.ys, &accuracy.grading);
            for _ in 0..accuracy.most_halvings {
                (x, y) = (x.halved(), y.halved());
            }
            assert_eq!(x.places, solution.xs);
            let (nx, ny) = (x.len(), y.len());
            let network = Network::new(&model, &outline, x, y);
            let (equations, loads) = network.equations();
            let nodes: Vec<usize> = (0..ny)
                .flat_map(|j| (0..nx).map(move |i| (i, j)))
                .map(|(i, j)| equations.at(i, j))
                .collect();
            let live: Vec<usize> = (0..nodes.len())
                .filter(|k| equations.centre[nodes[*k]] > 0.0)
                .collect();
            let place = |node: usize| live.iter().position(|k| nodes[*k] == node);
            let mut a = alloc::vec![alloc::vec![0.0; live.len()]; live.len()];
            for (k, at) in live.iter().map(|k| nodes[*k]).enumerate() {
                a[k][k] = equations.centre[at];
                let stride = equations.stride();
                for (other, coupling) in [
                    (at + 1, equations.east[at]),
                    (at + stride, equations.north[at]),
                ] {
                    if let Some(other) = place(other).filter(|_| coupling > 0.0) {
                        a[k][other] = -coupling;
                        a[other][k] = -coupling;
                    }
                }
            }
            for environment in 0..count {
                let mut b = alloc::vec![0.0; live.len()];
                for (node, load, _) in loads.iter().filter(|(_, _, e)| *e == environment) {
                    b[place(*node).expect("a live node")] += load;
                }
                let exact = eliminated(a.clone(), b);
                for (k, exact) in live.iter().zip(&exact) {
                    let found = solution.weights[environment][*k];
                    assert!((found - exact).abs() < 1e-8, "{count}: {found} {exact}");
                }
                let mut framed = alloc::vec![0.0; equations.size()];
                for (k, exact) in live.iter().zip(&exact) {
                    framed[nodes[*k]] = *exact;
                }
                let unit: Vec<f64> = (0..count)
                    .map(|e| if e == environment { 1.0 } else { 0.0 })
                    .collect();
                let flows = network.flows(|node| framed[node], &unit);
                for (flow, coupling) in flows.iter().zip(&solution.couplings[environment]) {
                    // Flows are off by the square of what the fields are off by.
                    let apart = (flow + coupling).abs();
                    assert!(
                        apart < 1e-11 * flows[environment],
                        "{count}: {flow} {coupling}"
                    );
                }
            }
        }
    }
}
