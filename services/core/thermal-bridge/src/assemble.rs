//! From the section on a grid to equations: conductances along grid lines, films, and surfaces of fixed temperature.

use alloc::vec::Vec;

use crate::grid::Axis;
use crate::model::{Contact, Model};
use crate::multigrid::Equations;
use crate::outline::Outline;

/// A film between a node and an environment.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Film {
    /// The node, in the framed array.
    pub node: usize,
    /// The environment.
    pub environment: usize,
    /// The conductance, in W/(m.K).
    pub conductance: f64,
    /// Where the node is, across and up.
    pub place: (usize, usize),
}

/// The section on a grid.
pub(crate) struct Network {
    /// The grid lines across.
    pub x: Axis,
    /// The grid lines up.
    pub y: Axis,
    /// The conductances between neighbours, before surfaces of fixed temperature are taken out; the centre stays zero.
    pub conductances: Equations,
    /// All films of finite resistance, row by row.
    pub films: Vec<Film>,
    /// All nodes of fixed temperature with their environment, row by row.
    pub fixed: Vec<Film>,
}

impl Network {
    /// Lays the section on the grid.
    pub fn new(model: &Model, outline: &Outline, x: Axis, y: Axis) -> Self {
        let (hx, hy) = (x.sizes(), y.sizes());
        let spans = outline.xs.len().saturating_sub(1);
        let conductivity = |i: usize, j: usize| -> f64 {
            let (Some(&c), Some(&r)) = (x.span_of.get(i), y.span_of.get(j)) else {
                return 0.0;
            };
            let owner = outline.cells.get(r * spans + c).copied().flatten();
            owner
                .and_then(|o| model.rectangles.get(usize::from(o)))
                .map_or(0.0, |rectangle| rectangle.conductivity.as_w_per_mk())
        };
        let mut conductances = Equations::new(x.len(), y.len());
        for (j, &h) in hy.iter().enumerate() {
            for (i, &w) in hx.iter().enumerate() {
                let lambda = conductivity(i, j);
                if lambda == 0.0 {
                    continue;
                }
                // Each cell hands half of itself to the two grid lines on either side of it.
                let (across, up) = (0.5 * lambda * h / w, 0.5 * lambda * w / h);
                let lower = conductances.at(i, j);
                let upper = conductances.at(i, j + 1);
                conductances.east[lower] += across;
                conductances.east[upper] += across;
                conductances.north[lower] += up;
                conductances.north[lower + 1] += up;
            }
        }
        let mut network = Self {
            x,
            y,
            conductances,
            films: Vec::new(),
            fixed: Vec::new(),
        };
        network.touch(model, outline, &hx, &hy);
        network
    }

    fn touch(&mut self, model: &Model, outline: &Outline, hx: &[f64], hy: &[f64]) {
        let spans = outline.xs.len().saturating_sub(1);
        let mut met: Vec<((usize, usize), usize, f64)> = Vec::new();
        let mut meet = |contact: Option<Contact>, size: f64, ends: [(usize, usize); 2]| {
            let Some(Contact::Environment(e)) = contact else {
                return;
            };
            let Some(environment) = model.environments.get(e) else {
                return;
            };
            let resistance = environment.resistance.as_m2k_per_w();
            // Half of the side's film belongs to each end; an infinite one marks a fixed temperature.
            let half = if resistance > 0.0 {
                0.5 * size / resistance
            } else {
                f64::INFINITY
            };
            met.extend(ends.map(|end| (end, e, half)));
        };
        for (line, &y) in outline.ys.iter().enumerate() {
            let j = self.y.places.partition_point(|&p| p < y);
            for (i, &w) in hx.iter().enumerate() {
                let span = self.x.span_of.get(i).copied().unwrap_or_default();
                let contact = outline
                    .horizontal
                    .get(line * spans + span)
                    .copied()
                    .flatten();
                meet(contact, w, [(i, j), (i + 1, j)]);
            }
        }
        for (line, &x) in outline.xs.iter().enumerate() {
            let i = self.x.places.partition_point(|&p| p < x);
            for (j, &h) in hy.iter().enumerate() {
                let span = self.y.span_of.get(j).copied().unwrap_or_default();
                let contact = outline
                    .vertical
                    .get(span * outline.xs.len() + line)
                    .copied()
                    .flatten();
                meet(contact, h, [(i, j), (i, j + 1)]);
            }
        }
        // Row by row, environment by environment: a stated order, whatever the order of the boundaries.
        met.sort_by(|(a, e, _), (b, f, _)| (a.1, a.0, e).cmp(&(b.1, b.0, f)));
        for (place, environment, conductance) in met {
            let node = self.conductances.at(place.0, place.1);
            let film = Film {
                node,
                environment,
                conductance,
                place,
            };
            let list = if conductance.is_finite() {
                &mut self.films
            } else {
                &mut self.fixed
            };
            match list.last_mut() {
                Some(last) if last.node == node && last.environment == environment => {
                    last.conductance += conductance;
                }
                _ => list.push(film),
            }
        }
        // Where two fixed temperatures meet in one node, the environment named first holds it.
        self.fixed.dedup_by_key(|film| film.node);
    }

    /// The equations with fixed nodes taken out, and for each environment the right-hand side of one kelvin there.
    pub fn equations(&self) -> (Equations, Vec<(usize, f64, usize)>) {
        let mut equations = self.conductances.clone();
        let s = equations.stride();
        let size = equations.size();
        let mut fixed: Vec<bool> = alloc::vec![false; size];
        for film in &self.fixed {
            fixed[film.node] = true;
        }
        let c = &self.conductances;
        for j in 0..equations.ny {
            for i in 0..equations.nx {
                let at = equations.at(i, j);
                equations.centre[at] = c.east[at] + c.east[at - 1] + c.north[at] + c.north[at - s];
            }
        }
        let mut loads: Vec<(usize, f64, usize)> = Vec::new();
        for film in &self.films {
            equations.centre[film.node] += film.conductance;
            if !fixed[film.node] {
                loads.push((film.node, film.conductance, film.environment));
            }
        }
        for film in &self.fixed {
            let at = film.node;
            for (neighbour, coupling) in [
                (at + 1, c.east[at]),
                (at - 1, c.east[at - 1]),
                (at + s, c.north[at]),
                (at - s, c.north[at - s]),
            ] {
                if coupling > 0.0 && !fixed[neighbour] {
                    loads.push((neighbour, coupling, film.environment));
                }
            }
            equations.east[at] = 0.0;
            equations.east[at - 1] = 0.0;
            equations.north[at] = 0.0;
            equations.north[at - s] = 0.0;
            let centre = equations.centre[at];
            loads.push((at, centre, film.environment));
        }
        equations.bound();
        (equations, loads)
    }

    /// What is left of the heat flow at every node, written into `left`, in W/m; nothing at nodes of fixed temperature.
    ///
    /// Made from differences of temperature, so that it stays exact where conductances are large and differences small.
    pub fn left_over(&self, field: &[f64], temperatures: &[f64], left: &mut [f64]) {
        let c = &self.conductances;
        let s = c.stride();
        for j in 0..c.ny {
            for i in 0..c.nx {
                let at = c.at(i, j);
                let mine = field[at];
                left[at] = c.east[at] * (field[at + 1] - mine)
                    + c.east[at - 1] * (field[at - 1] - mine)
                    + c.north[at] * (field[at + s] - mine)
                    + c.north[at - s] * (field[at - s] - mine);
            }
        }
        for film in &self.films {
            let outside = temperatures.get(film.environment).copied().unwrap_or(0.0);
            left[film.node] += film.conductance * (outside - field[film.node]);
        }
        for film in &self.fixed {
            left[film.node] = 0.0;
        }
    }

    /// The heat flow into the model from each environment, in W/m, when environment `k` stands at `temperatures[k]`.
    pub fn flows(&self, field: impl Fn(usize) -> f64, temperatures: &[f64]) -> Vec<f64> {
        let c = &self.conductances;
        let s = c.stride();
        let mut flows = alloc::vec![0.0; temperatures.len()];
        let mut onto_fixed: Vec<(usize, f64)> = Vec::new();
        let at_env = |e: usize| temperatures.get(e).copied().unwrap_or(0.0);
        for film in &self.films {
            let flow = film.conductance * (at_env(film.environment) - field(film.node));
            if let Some(sum) = flows.get_mut(film.environment) {
                *sum += flow;
            }
            if self
                .fixed
                .binary_search_by_key(&film.node, |f| f.node)
                .is_ok()
            {
                onto_fixed.push((film.node, flow));
            }
        }
        for film in &self.fixed {
            let at = film.node;
            let mine = field(at);
            let away = c.east[at] * (mine - field(at + 1))
                + c.east[at - 1] * (mine - field(at - 1))
                + c.north[at] * (mine - field(at + s))
                + c.north[at - s] * (mine - field(at - s));
            let other: f64 = onto_fixed
                .iter()
                .filter(|(node, _)| *node == at)
                .map(|(_, flow)| flow)
                .sum();
            if let Some(sum) = flows.get_mut(film.environment) {
                *sum += away - other;
            }
        }
        flows
    }
}
