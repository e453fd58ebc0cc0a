//! The course of water and heat through years of climate.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{AreaMass, Density, Duration, Length, Quantity, Temperature};
use working::{Fault, Faults, Halt};

use crate::cells::{Cells, Slicing};
use crate::check::{check_climate, check_span, check_wall};
use crate::curve::Curve;
use crate::material::Start;
use crate::step::{Closeness, Setting, State, Workspace};
use crate::wall::{Climate, Wall};

/// How exact a calculation must be, and how much work it may take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// The error of humidity that one step may bring anywhere, as its size is estimated.
    pub humidity: f64,
    /// The error of temperature that one step may bring anywhere, in kelvin.
    pub temperature_k: f64,
    /// The first step.
    pub first_step: Duration,
    /// The longest step.
    pub longest_step: Duration,
    /// How the layers are cut.
    pub slicing: Slicing,
    /// The water that a step's balance may leave, in kg/m2.
    pub water_left: f64,
    /// The most steps of the whole calculation, taken or refused.
    pub most_steps: u64,
}

impl Accuracy {
    /// For years of hourly climate: one step an hour, shorter ones where a front passes.
    pub const fn climate() -> Self {
        Self {
            humidity: 0.1,
            temperature_k: 5.0,
            first_step: Duration::from_seconds(60.0),
            longest_step: Duration::from_seconds(3600.0),
            slicing: Slicing {
                smallest_m: 1e-3,
                growth: 1.5,
                least: 6,
            },
            water_left: 1e-9,
            most_steps: 20_000_000,
        }
    }
    /// For steady or yearly climates: steps of up to a day.
    pub const fn seasons() -> Self {
        Self {
            humidity: 5e-3,
            temperature_k: 0.5,
            longest_step: Duration::from_days(1.0),
            ..Self::climate()
        }
    }
    /// For comparison with exact solutions: fine slices and small errors.
    pub const fn exact() -> Self {
        Self {
            humidity: 1e-4,
            temperature_k: 5e-3,
            first_step: Duration::from_seconds(1.0),
            longest_step: Duration::from_days(5.0),
            slicing: Slicing {
                smallest_m: 5e-4,
                growth: 1.08,
                least: 20,
            },
            water_left: 1e-11,
            most_steps: 20_000_000,
        }
    }
}

/// What is calculated and what is kept of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// How long.
    pub span: Duration,
    /// How often the water of each layer is recorded.
    pub every: Duration,
    /// At which times the whole profile is kept.
    pub profiles_at: Vec<Duration>,
}

/// The water in the wall at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// The time since the start.
    pub after: Duration,
    /// The mean water content of each layer, from inside to outside.
    pub layers: Vec<Density>,
    /// All water in the wall.
    pub total: AreaMass,
    /// The relative humidity beside each interface, on its inner and outer side, from inside to outside.
    pub interfaces: Vec<(f64, f64)>,
}

/// The wall from face to face at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// The time since the start.
    pub after: Duration,
    /// The slices, from inside to outside.
    pub slices: Vec<SliceState>,
}

/// One slice of a profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SliceState {
    /// The layer it lies in.
    pub layer: usize,
    /// The distance of its centre from the inner face.
    pub from_inside: Length,
    /// Its thickness.
    pub thickness: Length,
    /// Its temperature.
    pub temperature: Temperature,
    /// Its relative humidity.
    pub humidity: f64,
    /// Its water content.
    pub water: Density,
}

impl Profile {
    /// The state at a distance from the inner face: straight between the centres of neighbouring slices of one layer. Nothing
    /// beyond the wall.
    pub fn at(&self, from_inside: Length) -> Option<SliceState> {
        let within = |s: &SliceState| {
            (from_inside - s.from_inside).abs().as_m() <= 0.5 * s.thickness.as_m() * (1.0 + 1e-9)
        };
        let index = self.slices.iter().position(within)?;
        let own = *self.slices.get(index)?;
        let neighbour = if from_inside >= own.from_inside {
            index.checked_add(1)
        } else {
            index.checked_sub(1)
        };
        let Some(other) = neighbour
            .and_then(|i| self.slices.get(i))
            .filter(|o| o.layer == own.layer)
        else {
            return Some(own);
        };
        let share = (from_inside - own.from_inside) / (other.from_inside - own.from_inside);
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Some(SliceState {
            from_inside,
            temperature: Temperature::from_si(mix(own.temperature.si(), other.temperature.si())),
            humidity: mix(own.humidity, other.humidity),
            water: Density::from_si(mix(own.water.si(), other.water.si())),
            ..own
        })
    }
}

/// The whole course.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    /// The water of each layer, at the start and then as often as was asked.
    pub records: Vec<Record>,
    /// The profiles asked for, in the order of their times.
    pub profiles: Vec<Profile>,
    /// The water that entered from inside, less what left there.
    pub from_inside: AreaMass,
    /// The water that entered from outside, less what left there.
    pub from_outside: AreaMass,
    /// The water that crossed the faces either way.
    pub crossed: AreaMass,
    /// The change of the water stored.
    pub stored: AreaMass,
    /// The steps taken.
    pub steps: u64,
    /// The steps refused and taken again in smaller ones.
    pub refused: u64,
    /// The Newton iterations of all steps.
    pub iterations: u64,
    /// The number of slices.
    pub slices: usize,
}

impl History {
    /// What does not add up between stored and crossed water, as a share of what crossed; zero where nothing crossed.
    pub fn imbalance(&self) -> f64 {
        let crossed = self.crossed.as_kg_per_m2();
        if crossed <= 0.0 {
            return 0.0;
        }
        (standards::en_15026::MASS_BALANCE.function)((
            self.stored.as_kg_per_m2(),
            self.from_inside.as_kg_per_m2(),
            self.from_outside.as_kg_per_m2(),
            crossed,
        ))
    }
}

/// The most records of a task.
pub const MOST_RECORDS: f64 = 200_000.0;

/// Calculates the course of a wall.
///
/// # Errors
/// Every fault of the wall, the climate and the task at once; or `NOT_SOLVED` with the time at which the steps could not be made
/// small enough or their number ran out.
pub fn simulate(
    wall: &Wall,
    climate: &Climate,
    task: &Task,
    accuracy: &Accuracy,
) -> Result<History, Vec<Fault>> {
    let history = simulate_unless(wall, climate, task, accuracy, Halt::NEVER)?;
    // Never halted, it has a history.
    history.ok_or_else(Vec::new)
}

/// The course of a wall as [`simulate`] calculates it, or nothing where the calculation was halted.
pub(crate) fn simulate_unless(
    wall: &Wall,
    climate: &Climate,
    task: &Task,
    accuracy: &Accuracy,
    halt: Halt<'_>,
) -> Result<Option<History>, Vec<Fault>> {
    let mut faults = Faults::new();
    check_wall(wall, &mut faults);
    check_climate(climate, &mut faults);
    check_span("span", task.span, &mut faults);
    check_span("every", task.every, &mut faults);
    if task.span / task.every > MOST_RECORDS {
        faults.add(
            "every",
            "TOO_FINE",
            format!("{} records", task.span / task.every),
            format!("at most {MOST_RECORDS} records"),
        );
    }
    for (i, at) in task.profiles_at.iter().enumerate() {
        if !(*at >= Duration::ZERO && *at <= task.span) {
            faults.add(
                format!("profiles_at[{i}]"),
                "OUT_OF_RANGE",
                format!("{} days", at.as_days()),
                "a time within the span",
            );
        }
    }
    faults.or(())?;
    let cells = Cells::new(wall, &accuracy.slicing);
    let curves: Vec<Curve> = wall
        .layers
        .iter()
        .map(|l| Curve::new(&l.material))
        .collect();
    let setting = Setting {
        wall,
        cells: &cells,
        curves: &curves,
    };
    let state = start(&setting);
    Course::new(&setting, climate, accuracy, state).run(task, halt)
}

fn start(setting: &Setting) -> State {
    let n = setting.cells.len();
    let mut state = State {
        humidity: Vec::with_capacity(n),
        celsius: alloc::vec![setting.wall.start.as_celsius(); n],
        water: Vec::with_capacity(n),
    };
    for &index in &setting.cells.layers {
        let (Some(layer), Some(curve)) =
            (setting.wall.layers.get(index), setting.curves.get(index))
        else {
            continue;
        };
        let humidity = match layer.start {
            Start::Humidity(h) => h,
            Start::Water(w) => curve.humidity_of(w.as_kg_per_m3()),
        };
        let humidity = libm::fmax(humidity, 1e-3);
        state.humidity.push(humidity);
        state.water.push(curve.read(humidity, &mut 0).water);
    }
    state
}

/// A calculation on its way.
struct Course<'a> {
    setting: &'a Setting<'a>,
    climate: &'a Climate,
    accuracy: &'a Accuracy,
    state: State,
    /// The state one step before, and that step's length; none at the start.
    before: Option<(State, f64)>,
    work: Workspace,
    seconds: f64,
    /// The length that the next step may have.
    wished: f64,
    history: History,
}

/// A step shorter than this is not tried, in seconds.
const SHORTEST: f64 = 1e-4;

impl<'a> Course<'a> {
    fn new(
        setting: &'a Setting<'a>,
        climate: &'a Climate,
        accuracy: &'a Accuracy,
        state: State,
    ) -> Self {
        Self {
            setting,
            climate,
            accuracy,
            work: Workspace::new(&state),
            before: None,
            seconds: 0.0,
            wished: libm::fmax(accuracy.first_step.as_seconds(), SHORTEST),
            history: History {
                records: Vec::new(),
                profiles: Vec::new(),
                from_inside: AreaMass::ZERO,
                from_outside: AreaMass::ZERO,
                crossed: AreaMass::ZERO,
                stored: AreaMass::ZERO,
                steps: 0,
                refused: 0,
                iterations: 0,
                slices: setting.cells.len(),
            },
            state,
        }
    }

    fn run(mut self, task: &Task, halt: Halt<'_>) -> Result<Option<History>, Vec<Fault>> {
        let end = task.span.as_seconds();
        let every = task.every.as_seconds();
        let mut profile_times: Vec<f64> = task.profiles_at.iter().map(|t| t.as_seconds()).collect();
        profile_times.sort_by(f64::total_cmp);
        let mut profiles = profile_times.into_iter().peekable();
        let first = self.total();
        self.record();
        let mut recorded = 1.0;
        // Each pass reaches the next record or profile, and each of those is finite in number.
        loop {
            while profiles
                .next_if(|at| *at <= self.seconds * (1.0 + 1e-12))
                .is_some()
            {
                self.profile();
            }
            let next_record = libm::fmin(every * recorded, end);
            let goal = profiles
                .peek()
                .map_or(next_record, |at| libm::fmin(*at, next_record));
            if halt.is_asked() {
                return Ok(None);
            }
            self.advance(goal)?;
            if self.seconds >= next_record {
                self.record();
                recorded += 1.0;
                if next_record >= end {
                    while profiles.next().is_some() {
                        self.profile();
                    }
                    break;
                }
            }
        }
        self.history.stored = self.total() - first;
        self.history.iterations = self.work.iterations;
        Ok(Some(self.history))
    }

    /// Steps until `goal`, in seconds.
    fn advance(&mut self, goal: f64) -> Result<(), Vec<Fault>> {
        let pace = libm::fmin(self.climate.pace(), 1e12);
        let longest = libm::fmax(self.accuracy.longest_step.as_seconds(), SHORTEST);
        while self.seconds < goal {
            let turn = (libm::floor(self.seconds / pace + 1e-9) + 1.0) * pace;
            let bound = libm::fmin(goal, turn);
            let left = bound - self.seconds;
            let mut length = libm::fmin(self.wished, longest);
            // No sliver is left before the bound.
            if length >= left * 0.999 {
                length = left;
            } else if length > 0.5 * left {
                length = 0.5 * left;
            }
            let reached = if length == left {
                bound
            } else {
                self.seconds + length
            };
            if self.history.steps + self.history.refused >= self.accuracy.most_steps
                || length < SHORTEST && left > SHORTEST
            {
                return Err(self.stuck());
            }
            let air = self.climate.air(reached);
            let close = Closeness {
                water: self.accuracy.water_left,
                heat: 1.0,
            };
            let taken = self
                .work
                .step(self.setting, &self.state, &air, length, &close);
            let error = if taken.is_some() {
                self.error(length)
            } else {
                f64::INFINITY
            };
            match taken {
                Some(crossed) if error <= 2.0 || length <= 100.0 * SHORTEST => {
                    let h = &mut self.history;
                    h.from_inside += AreaMass::from_kg_per_m2(crossed.inside);
                    h.from_outside += AreaMass::from_kg_per_m2(crossed.outside);
                    h.crossed += AreaMass::from_kg_per_m2(
                        libm::fabs(crossed.inside) + libm::fabs(crossed.outside),
                    );
                    h.steps += 1;
                    self.accept(length);
                    self.seconds = reached;
                    let factor = (0.8 / libm::sqrt(libm::fmax(error, 0.05))).clamp(0.5, 3.0);
                    let cut_short = length < self.wished;
                    self.wished = if cut_short {
                        libm::fmax(self.wished, length * factor)
                    } else {
                        length * factor
                    };
                    self.wished = libm::fmin(self.wished, longest);
                }
                taken => {
                    self.history.refused += 1;
                    let factor = if taken.is_some() {
                        (0.8 / libm::sqrt(error)).clamp(0.1, 0.5)
                    } else {
                        0.25
                    };
                    self.wished = length * factor;
                }
            }
        }
        Ok(())
    }

    fn stuck(&self) -> Vec<Fault> {
        alloc::vec![Fault {
            path: String::from("layers"),
            reason: "NOT_SOLVED",
            found: format!(
                "no step after {} days, {} taken and {} refused",
                self.seconds / 86_400.0,
                self.history.steps,
                self.history.refused
            ),
            expected: String::from("material data and a climate without extreme jumps"),
        }]
    }

    /// The estimated error of the step just made, as a share of what is allowed.
    fn error(&self, length: f64) -> f64 {
        let Some((before, last)) = &self.before else {
            return 1.0;
        };
        let (ratio, share) = (length / last, length / (length + last));
        let worst = |new: &[f64], now: &[f64], old: &[f64]| {
            new.iter()
                .zip(now)
                .zip(old)
                .fold(0.0, |worst, ((new, now), old)| {
                    let foreseen = now + (now - old) * ratio;
                    libm::fmax(worst, libm::fabs(new - foreseen))
                })
        };
        let next = &self.work.next;
        let humidity = worst(&next.humidity, &self.state.humidity, &before.humidity);
        let celsius = worst(&next.celsius, &self.state.celsius, &before.celsius);
        share
            * libm::fmax(
                humidity / self.accuracy.humidity,
                celsius / self.accuracy.temperature_k,
            )
    }

    fn accept(&mut self, length: f64) {
        // The three states go round, so that no step allocates.
        match &mut self.before {
            Some((before, last)) => {
                core::mem::swap(before, &mut self.state);
                *last = length;
            }
            None => self.before = Some((self.state.clone(), length)),
        }
        self.state
            .humidity
            .copy_from_slice(&self.work.next.humidity);
        self.state.celsius.copy_from_slice(&self.work.next.celsius);
        self.state.water.copy_from_slice(&self.work.next.water);
    }

    fn total(&self) -> AreaMass {
        let cells = self.setting.cells;
        let sum = self
            .state
            .water
            .iter()
            .zip(&cells.sizes)
            .map(|(w, d)| w * d)
            .sum();
        AreaMass::from_kg_per_m2(sum)
    }

    fn record(&mut self) {
        let cells = self.setting.cells;
        let count = self.setting.wall.layers.len();
        let (mut water, mut size) = (alloc::vec![0.0; count], alloc::vec![0.0; count]);
        for ((w, d), &layer) in self.state.water.iter().zip(&cells.sizes).zip(&cells.layers) {
            if let (Some(sum), Some(whole)) = (water.get_mut(layer), size.get_mut(layer)) {
                *sum += w * d;
                *whole += d;
            }
        }
        let interfaces = cells
            .layers
            .windows(2)
            .zip(self.state.humidity.windows(2))
            .filter(|(layers, _)| layers[0] != layers[1])
            .map(|(_, humidity)| (libm::fmin(humidity[0], 1.0), libm::fmin(humidity[1], 1.0)))
            .collect();
        self.history.records.push(Record {
            after: Duration::from_seconds(self.seconds),
            layers: water
                .iter()
                .zip(&size)
                .map(|(w, d)| Density::from_kg_per_m3(w / d))
                .collect(),
            total: self.total(),
            interfaces,
        });
    }

    fn profile(&mut self) {
        let cells = self.setting.cells;
        let slices = (0..cells.len())
            .map(|i| SliceState {
                layer: cells.layers[i],
                from_inside: Length::from_m(cells.centres[i]),
                thickness: Length::from_m(cells.sizes[i]),
                temperature: Temperature::from_celsius(self.state.celsius[i]),
                humidity: libm::fmin(self.state.humidity[i], 1.0),
                water: Density::from_kg_per_m3(self.state.water[i]),
            })
            .collect();
        self.history.profiles.push(Profile {
            after: Duration::from_seconds(self.seconds),
            slices,
        });
    }
}
