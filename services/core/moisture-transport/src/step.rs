//! One step in time: water and heat in every slice at its end, by Newton's method on both balances together.

use alloc::vec::Vec;

use quantity::Quantity;
use standards::{en_15026, iso_13788};

use crate::cells::Cells;
use crate::curve::{Curve, Reading};
use crate::wall::{AirPermeability, Face, Hour, Wall};

/// The wall at one time.
#[derive(Clone, Debug)]
pub(crate) struct State {
    /// The relative humidity of each slice.
    pub humidity: Vec<f64>,
    /// The temperature of each slice, in degrees Celsius.
    pub celsius: Vec<f64>,
    /// The water content of each slice, in kg/m3.
    pub water: Vec<f64>,
}

/// What does not change from step to step.
pub(crate) struct Setting<'a> {
    pub wall: &'a Wall,
    pub cells: &'a Cells,
    pub curves: &'a [Curve],
}

/// What crossed the faces in a step, into the wall.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Crossed {
    /// Water from inside, in kg/m2.
    pub inside: f64,
    /// Water from outside, in kg/m2.
    pub outside: f64,
}

/// The residuals at which a step is taken for solved.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Closeness {
    /// The sum over all slices, in kg/m2.
    pub water: f64,
    /// The sum over all slices, in J/m2.
    pub heat: f64,
}

/// The most Newton iterations of a step.
const MOST_ITERATIONS: usize = 24;

/// After this many iterations the guess moves only half of the way.
const WHOLE_MOVES: usize = 7;

/// A two by two block: water and heat by humidity and temperature.
type Block = [f64; 4];

/// The flow through one face with its slopes; towards outside is positive.
#[derive(Clone, Copy, Default)]
struct Flow {
    water: f64,
    heat: f64,
    /// By the slice on the inner side.
    inner: Block,
    /// By the slice on the outer side.
    outer: Block,
}

/// A slice's properties at the present guess.
#[derive(Clone, Copy, Default)]
struct Slice {
    reading: Reading,
    /// Relative humidity, above 1 where more water is held than at saturation.
    humidity: f64,
    /// Vapour pressure, and its slopes over humidity and temperature.
    pressure: f64,
    by_humidity: f64,
    by_celsius: f64,
    celsius: f64,
    /// Half the slice's resistance to vapour, m2.s.Pa/kg.
    half_vapour: f64,
}

/// Working arrays, kept from step to step.
pub(crate) struct Workspace {
    near: Vec<u32>,
    slices: Vec<Slice>,
    /// Still air's permeability, conductivity and heat capacity of each slice, at the start of the step.
    still: Vec<f64>,
    half_heat: Vec<f64>,
    capacity: Vec<f64>,
    /// The share of each slice's liquid transport that acts in this step.
    liquid: Vec<f64>,
    lower: Vec<Block>,
    centre: Vec<Block>,
    upper: Vec<Block>,
    right: Vec<[f64; 2]>,
    /// The humidity, temperature and water content sought.
    pub next: State,
    /// The Newton iterations of all steps.
    pub iterations: u64,
}

impl Workspace {
    pub fn new(state: &State) -> Self {
        let n = state.humidity.len();
        Self {
            near: alloc::vec![0; n],
            slices: alloc::vec![Slice::default(); n],
            still: alloc::vec![0.0; n],
            half_heat: alloc::vec![0.0; n],
            capacity: alloc::vec![0.0; n],
            liquid: alloc::vec![1.0; n],
            lower: alloc::vec![[0.0; 4]; n],
            centre: alloc::vec![[0.0; 4]; n],
            upper: alloc::vec![[0.0; 4]; n],
            right: alloc::vec![[0.0; 2]; n],
            next: state.clone(),
            iterations: 0,
        }
    }

    /// Takes one step of `seconds` from `state`; the result stands in `next`. Nothing where Newton's method does not come to rest.
    pub fn step(
        &mut self,
        setting: &Setting,
        state: &State,
        air: &Hour,
        seconds: f64,
        close: &Closeness,
    ) -> Option<Crossed> {
        self.next.humidity.copy_from_slice(&state.humidity);
        self.next.celsius.copy_from_slice(&state.celsius);
        self.prepare(setting, state, air);
        for iteration in 0..=MOST_ITERATIONS {
            self.read(setting);
            let (crossed, residual) = self.balance(setting, state, air, seconds);
            // A residual that is no number fails both comparisons and ends in the refusal below.
            if residual[0] <= close.water && residual[1] <= close.heat && iteration > 0 {
                for (water, slice) in self.next.water.iter_mut().zip(&self.slices) {
                    *water = slice.reading.water;
                }
                return Some(crossed);
            }
            // Two materials with sharp bends can throw the guess to and fro; half a move settles it.
            let share = if iteration < WHOLE_MOVES { 1.0 } else { 0.5 };
            if iteration == MOST_ITERATIONS || !self.solve(share) {
                return None;
            }
            self.iterations += 1;
        }
        None
    }

    fn prepare(&mut self, setting: &Setting, state: &State, air: &Hour) {
        let Setting {
            wall,
            cells,
            curves,
        } = setting;
        let drawing = match wall.outside {
            Face::Fixed => true,
            Face::Film(film) => film.held_rain * air.rain.as_kg_per_m2s() > 0.0,
        };
        for (i, &layer) in cells.layers.iter().enumerate() {
            let Some(material) = wall.layers.get(layer).map(|l| &l.material) else {
                continue;
            };
            let water = state.water[i];
            let resting = curves.get(layer).map_or(1.0, |c| c.redistribution);
            self.liquid[i] = if drawing { 1.0 } else { resting };
            self.still[i] = still_air(wall.air, state.celsius[i]);
            let lambda = material.conductivity.si() + material.conductivity_by_water * water;
            self.half_heat[i] = 0.5 * cells.sizes[i] / lambda;
            self.capacity[i] = material.density.si() * material.specific_heat.si()
                + en_15026::WATER_HEAT * libm::fmax(water, 0.0);
        }
    }

    fn read(&mut self, setting: &Setting) {
        let cells = setting.cells;
        for (i, slice) in self.slices.iter_mut().enumerate() {
            let (humidity, celsius) = (self.next.humidity[i], self.next.celsius[i]);
            if let Some(curve) = cells.layers.get(i).and_then(|&l| setting.curves.get(l)) {
                slice.reading = curve.read(humidity, &mut self.near[i]);
                slice.reading.liquid *= self.liquid[i];
                slice.reading.liquid_slope *= self.liquid[i];
            }
            let (saturated, slope) = saturation(celsius);
            slice.humidity = humidity;
            slice.celsius = celsius;
            // Beyond saturation the pressure goes on rising: the curve holds so much water there that this is a small excess, and
            // without the bend Newton's method comes to rest.
            slice.pressure = humidity * saturated;
            slice.by_humidity = saturated;
            slice.by_celsius = humidity * slope;
            slice.half_vapour = 0.5 * cells.sizes[i] / (slice.reading.open * self.still[i]);
        }
    }

    /// Fills the equations at the present guess; gives what crosses the faces and the sums of the residuals.
    fn balance(
        &mut self,
        setting: &Setting,
        state: &State,
        air: &Hour,
        seconds: f64,
    ) -> (Crossed, [f64; 2]) {
        let n = self.slices.len();
        for i in 0..n {
            let (slice, size) = (&self.slices[i], setting.cells.sizes[i]);
            self.centre[i] = [
                slice.reading.water_slope * size,
                0.0,
                0.0,
                self.capacity[i] * size,
            ];
            self.lower[i] = [0.0; 4];
            self.upper[i] = [0.0; 4];
            self.right[i] = [
                (state.water[i] - slice.reading.water) * size,
                self.capacity[i] * (state.celsius[i] - slice.celsius) * size,
            ];
        }
        for i in 0..n.saturating_sub(1) {
            let flow = self.between(setting, i);
            self.leave(i, &flow, seconds);
            self.enter(i + 1, &flow, seconds);
            for k in 0..4 {
                self.upper[i][k] += seconds * flow.outer[k];
                self.lower[i + 1][k] -= seconds * flow.inner[k];
            }
        }
        let from_inside = self.at_face(setting, &setting.wall.inside, 0, &Beside::inside(air));
        // Towards outside is positive, so what enters from inside keeps its sign and what enters from outside turns it.
        self.enter(0, &from_inside, seconds);
        let last = n.saturating_sub(1);
        let entering = self.at_face(setting, &setting.wall.outside, last, &Beside::outside(air));
        let leaving = Flow {
            water: -entering.water,
            heat: -entering.heat,
            inner: entering.outer.map(|v| -v),
            outer: [0.0; 4],
        };
        self.leave(last, &leaving, seconds);
        let mut sums = [0.0; 2];
        for right in &self.right {
            sums[0] += libm::fabs(right[0]);
            sums[1] += libm::fabs(right[1]);
        }
        let crossed = Crossed {
            inside: from_inside.water * seconds,
            outside: entering.water * seconds,
        };
        (crossed, sums)
    }

    fn leave(&mut self, i: usize, flow: &Flow, seconds: f64) {
        self.right[i][0] -= seconds * flow.water;
        self.right[i][1] -= seconds * flow.heat;
        for k in 0..4 {
            self.centre[i][k] += seconds * flow.inner[k];
        }
    }
    fn enter(&mut self, i: usize, flow: &Flow, seconds: f64) {
        self.right[i][0] += seconds * flow.water;
        self.right[i][1] += seconds * flow.heat;
        for k in 0..4 {
            self.centre[i][k] -= seconds * flow.outer[k];
        }
    }

    /// The flow from slice `i` to the next one.
    fn between(&mut self, setting: &Setting, i: usize) -> Flow {
        let (a, b) = (self.slices[i], self.slices[i + 1]);
        let vapour = 1.0 / (a.half_vapour + b.half_vapour);
        let heat = 1.0 / (self.half_heat[i] + self.half_heat[i + 1]);
        let cells = setting.cells;
        let (liquid, by_a, by_b) = if cells.layers[i] == cells.layers[i + 1] {
            let distance = 0.5 * (cells.sizes[i] + cells.sizes[i + 1]);
            (
                (a.reading.liquid - b.reading.liquid) / distance,
                a.reading.liquid_slope / distance,
                b.reading.liquid_slope / distance,
            )
        } else {
            let k = self.across_interface(setting, i);
            let apart = libm::fmin(a.humidity, 1.0) - libm::fmin(b.humidity, 1.0);
            (k * apart, k, k)
        };
        let g = vapour * (a.pressure - b.pressure);
        let h = en_15026::EVAPORATION_HEAT;
        Flow {
            water: g + liquid,
            heat: heat * (a.celsius - b.celsius) + h * g,
            inner: [
                vapour * a.by_humidity + by_a,
                vapour * a.by_celsius,
                h * vapour * a.by_humidity,
                heat + h * vapour * a.by_celsius,
            ],
            outer: [
                -vapour * b.by_humidity - by_b,
                -vapour * b.by_celsius,
                -h * vapour * b.by_humidity,
                -heat - h * vapour * b.by_celsius,
            ],
        }
    }

    /// The conductance for liquid over humidity between two materials: each half by its mean between the two humidities.
    fn across_interface(&mut self, setting: &Setting, i: usize) -> f64 {
        let (a, b) = (self.slices[i], self.slices[i + 1]);
        let apart = b.humidity - a.humidity;
        let half = |cell: usize, own: &Slice, other: f64| -> f64 {
            let Some(curve) = setting
                .cells
                .layers
                .get(cell)
                .and_then(|&l| setting.curves.get(l))
            else {
                return 0.0;
            };
            let mean = if libm::fabs(apart) > 1e-6 {
                let mut near = self.near[cell];
                let there = curve.read(other, &mut near).liquid * self.liquid[cell];
                (there - own.reading.liquid) / (other - own.humidity)
            } else {
                own.reading.liquid_slope
            };
            2.0 * mean / setting.cells.sizes[cell]
        };
        let (ka, kb) = (half(i, &a, b.humidity), half(i + 1, &b, a.humidity));
        if ka > 0.0 && kb > 0.0 {
            ka * kb / (ka + kb)
        } else {
            0.0
        }
    }

    /// The flow into slice `i` from the air beside a face; `outer` holds its slopes by the slice.
    fn at_face(&self, setting: &Setting, face: &Face, i: usize, air: &Beside) -> Flow {
        let Some(slice) = self.slices.get(i) else {
            return Flow::default();
        };
        let size = setting.cells.sizes[i];
        let half_heat = self.half_heat[i];
        let h = en_15026::EVAPORATION_HEAT;
        let (film_vapour, film_heat, gained) = match face {
            Face::Fixed => (0.0, 0.0, 0.0),
            Face::Film(film) => {
                let transfer = film.heat_transfer.si();
                let still = still_air(setting.wall.air, air.celsius);
                (
                    film.vapour_air_layer.si() / still,
                    1.0 / transfer,
                    film.absorbed_sun * air.sun / transfer,
                )
            }
        };
        let vapour = 1.0 / (film_vapour + slice.half_vapour);
        let heat = 1.0 / (film_heat + half_heat);
        let g = vapour * (air.pressure - slice.pressure);
        // Liquid: the face at the air's own humidity, or as much rain as it draws when saturated.
        let potential = setting
            .cells
            .layers
            .get(i)
            .and_then(|&l| setting.curves.get(l))
            .map(|curve| {
                let humidity = if matches!(face, Face::Fixed) {
                    air.humidity
                } else {
                    1.0
                };
                curve.read(humidity, &mut { self.near[i] }).liquid * self.liquid[i]
            });
        let drawn = (potential.unwrap_or(0.0) - slice.reading.liquid) / (0.5 * size);
        let drawn_slope = -slice.reading.liquid_slope / (0.5 * size);
        let (liquid, liquid_slope) = match face {
            Face::Fixed => (drawn, drawn_slope),
            Face::Film(film) => {
                let offered = film.held_rain * air.rain;
                if offered <= 0.0 {
                    (0.0, 0.0)
                } else if drawn >= offered {
                    (offered, 0.0)
                } else {
                    (libm::fmax(drawn, 0.0), drawn_slope)
                }
            }
        };
        Flow {
            water: g + liquid,
            heat: heat * (air.celsius + gained - slice.celsius) + h * g,
            inner: [0.0; 4],
            outer: [
                -vapour * slice.by_humidity + liquid_slope,
                -vapour * slice.by_celsius,
                -h * vapour * slice.by_humidity,
                -heat - h * vapour * slice.by_celsius,
            ],
        }
    }

    /// Solves the linear equations and moves the guess; false where they have no solution.
    fn solve(&mut self, share: f64) -> bool {
        let n = self.centre.len();
        for i in 0..n {
            let mut pivot = self.centre[i];
            let mut right = self.right[i];
            if i > 0 {
                let (low, up, before) = (self.lower[i], self.upper[i - 1], self.right[i - 1]);
                pivot = minus(pivot, times(low, up));
                right[0] -= low[0] * before[0] + low[1] * before[1];
                right[1] -= low[2] * before[0] + low[3] * before[1];
            }
            let determinant = pivot[0] * pivot[3] - pivot[1] * pivot[2];
            if !(libm::fabs(determinant) > 0.0 && determinant.is_finite()) {
                return false;
            }
            let inverse = [
                pivot[3] / determinant,
                -pivot[1] / determinant,
                -pivot[2] / determinant,
                pivot[0] / determinant,
            ];
            self.upper[i] = times(inverse, self.upper[i]);
            self.right[i] = [
                inverse[0] * right[0] + inverse[1] * right[1],
                inverse[2] * right[0] + inverse[3] * right[1],
            ];
        }
        let mut after = [0.0; 2];
        for i in (0..n).rev() {
            let up = self.upper[i];
            let mut change = self.right[i];
            change[0] -= up[0] * after[0] + up[1] * after[1];
            change[1] -= up[2] * after[0] + up[3] * after[1];
            after = change;
            // Never below a fifth of the humidity, nor further than the tables and formulas reach.
            let old = self.next.humidity[i];
            let new = (old + share * change[0]).clamp(0.2 * old, 1.5);
            self.next.humidity[i] = libm::fmax(new, 1e-6);
            self.next.celsius[i] =
                (self.next.celsius[i] + share * change[1].clamp(-40.0, 40.0)).clamp(-90.0, 120.0);
        }
        true
    }
}

fn times(a: Block, b: Block) -> Block {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
    ]
}

fn minus(a: Block, b: Block) -> Block {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2], a[3] - b[3]]
}

/// The saturation pressure and its slope over temperature.
fn saturation(celsius: f64) -> (f64, f64) {
    let p = iso_13788::saturation_pa(celsius);
    let (rise, zero) = if celsius >= 0.0 {
        (17.269, 237.3)
    } else {
        (21.875, 265.5)
    };
    let below = zero + celsius;
    (p, p * rise * zero / (below * below))
}

fn still_air(air: AirPermeability, celsius: f64) -> f64 {
    match air {
        AirPermeability::ByTemperature => en_15026::air_permeability(celsius),
        AirPermeability::IdealGas => {
            en_15026::VAPOUR_DIFFUSIVITY * en_15026::MOLAR_MASS
                / (en_15026::GAS_CONSTANT * (celsius + 273.15))
        }
        AirPermeability::Constant(delta) => delta.si(),
    }
}

/// The air beside a face, in bare numbers.
struct Beside {
    celsius: f64,
    humidity: f64,
    pressure: f64,
    sun: f64,
    rain: f64,
}

impl Beside {
    fn inside(air: &Hour) -> Self {
        let celsius = air.inside_temperature.as_celsius();
        Self {
            celsius,
            humidity: air.inside_humidity,
            pressure: air.inside_humidity * iso_13788::saturation_pa(celsius),
            sun: 0.0,
            rain: 0.0,
        }
    }
    fn outside(air: &Hour) -> Self {
        let celsius = air.outside_temperature.as_celsius();
        Self {
            celsius,
            humidity: air.outside_humidity,
            pressure: air.outside_humidity * iso_13788::saturation_pa(celsius),
            sun: air.sun.as_w_per_m2(),
            rain: air.rain.as_kg_per_m2s(),
        }
    }
}
