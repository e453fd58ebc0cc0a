//! How a wall holds heat and vapour: transmittance, sizing, moisture, dynamics and the saving, to the standards.
//!
//! A [`BuildUp`] is plain layers from inside to outside. Every answer puts its figures on the calculation sheet, so that each can be
//! recomputed by hand; searches run bare and replay the result. This crate deliberately knows no catalogue, no request and no
//! text format: limits, climates and humidity classes are plain data that someone else reads. Bridges in two dimensions and
//! hourly moisture are answered by `thermal-bridge` and `moisture-transport`.
//!
//! See [`transmittance()`] for an example.
#![no_std]
extern crate alloc;

mod record;

mod air;
mod batch;
mod build_up;
mod climate;
mod dynamics;
mod economy;
pub mod epw;
mod exposure;
pub mod formula;
mod glaser;
mod interstitial;
mod limit;
mod moisture;
mod mould;
mod saving;
mod season;
mod sizing;
mod temperatures;
mod transmittance;
mod validate;

pub use air::MonthAir;
pub use batch::{Batch, BatchAnswer, Swing};
pub use build_up::*;
pub use climate::{
    Climate, CondensateAt, CondensateLimit, HumidityClass, Inside, InsideHumidity, MONTH_DAYS,
    MONTH_NAMES, MONTHS, Month, OutsideHumidity, validate_climate,
};
pub use dynamics::{Complex, DEEPEST_RATIO, Dynamics, Matrix, dynamics};
pub use economy::{CostPoint, Economy, EconomyRequest, EnergyTerms, economic_thickness};
pub use exposure::{Exposure, FacadeHour, FacadeWeather, on_facade, sun_on};
pub use interstitial::{Interstitial, Outcome, Plane, PlaneMonth, Point, PointState, WallMonth};
pub use limit::{LimitValue, ResistanceOf, STATED_IN_THE_REQUEST, ThermalLimit, judge};
pub use moisture::{CondensateVerdict, Moisture, MoistureRequest, moisture};
pub use mould::{FactorFloor, Mould, MouldCriteria, MouldMonth};
pub use saving::*;
pub use season::{DegreeRule, degree_days, degree_days_by_month, degree_hours, monthly};
pub use sizing::{Aim, Board, Choice, Layering, MOST_BOARDS, Sizing, SizingRequest, size};
pub use temperatures::{InterfaceTemperature, temperatures};
pub use transmittance::{
    CombinedMethod, Correction, CorrectionOf, LayerResistance, METAL_W_PER_MK, Transmittances,
    transmittance, transmittance_bare,
};
pub use validate::{
    GREATEST_CONDUCTIVITY, LEAST_CONDUCTIVITY, MOST_LAYERS, MOST_PATHS, SHARE_TOLERANCE, validate,
};
