//! How water and heat move through a wall over years of weather, and how long a wet wall takes to dry.
//!
//! A [`Wall`] is layers from inside to outside with their hygric data; [`simulate`] follows vapour, liquid water and heat through it by
//! implicit finite volumes in steps that adapt to the fronts that pass, as EN 15026 describes. [`drying`] answers the contractor's
//! question: how long does a wet wall take to dry behind each insulation.
//!
//! It deliberately does not know: air that flows through gaps, rising damp, leaks, salts, freezing, two dimensions, files and
//! catalogues, nor how a plot looks.
//!
//! ```
//! use moisture_transport::{
//!     Accuracy, AirPermeability, Climate, Face, Hour, Layer, Liquid, Material, Sorption, Start, Task, VapourResistance, Wall,
//!     simulate,
//! };
//! use quantity::{Conductivity, Density, Diffusivity, Duration, HeatFlux, Length, MoistureFlux, SpecificHeat, Temperature};
//! // The isothermal drying benchmark: 0.2 m at 95 %, outside at 45 %, inside at 65 %.
//! let material = Material {
//!     name: "benchmark".into(),
//!     conductivity: Conductivity::from_w_per_mk(0.15),
//!     conductivity_by_water: 0.0,
//!     density: Density::from_kg_per_m3(525.0),
//!     specific_heat: SpecificHeat::from_j_per_kgk(800.0),
//!     vapour: VapourResistance::Constant { factor: 2e5 },
//!     sorption: Sorption::Logarithmic { saturation: Density::from_kg_per_m3(116.0), a: 0.118, n: 0.869 },
//!     liquid: Liquid::ByDiffusivity(Diffusivity::from_m2_per_s(6e-10)),
//! };
//! let wall = Wall {
//!     layers: vec![Layer { thickness: Length::from_m(0.2), material, start: Start::Humidity(0.95) }],
//!     inside: Face::Fixed,
//!     outside: Face::Fixed,
//!     start: Temperature::from_celsius(20.0),
//!     air: AirPermeability::ByTemperature,
//! };
//! let climate = Climate::Constant(Hour {
//!     outside_temperature: Temperature::from_celsius(20.0),
//!     outside_humidity: 0.45,
//!     sun: HeatFlux::ZERO,
//!     rain: MoistureFlux::ZERO,
//!     inside_temperature: Temperature::from_celsius(20.0),
//!     inside_humidity: 0.65,
//! });
//! let span = Duration::from_hours(1000.0);
//! let task = Task { span, every: Duration::from_hours(100.0), profiles_at: vec![span] };
//! let history = simulate(&wall, &climate, &task, &Accuracy::exact()).unwrap();
//! let middle = history.profiles[0].at(Length::from_m(0.1)).unwrap().water;
//! assert!((middle.as_kg_per_m3() / 69.456 - 1.0).abs() < 0.005);
//! ```
#![no_std]
extern crate alloc;

mod check;
mod material;
mod wall;

mod cells;
mod curve;
mod simulate;
mod step;

mod drying;

pub use cells::Slicing;
pub use check::{MOST_HOURS, MOST_LAYERS, MOST_YEARS};
pub use drying::{
    Candidate, Dry, Drying, DryingAnswer, DryingPoint, DryingTask, MOST_CANDIDATES, drying,
    drying_unless, record,
};
pub use material::{Layer, Liquid, Material, Sorption, SorptionPoint, Start, VapourResistance};
pub use simulate::{Accuracy, History, MOST_RECORDS, Profile, Record, SliceState, Task, simulate};
pub use wall::{AirPermeability, Climate, Face, Film, Hour, Swing, Wall};
