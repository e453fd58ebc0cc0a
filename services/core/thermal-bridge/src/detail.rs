//! Details with named parameters: the shape of a junction as data, and the section that one choice of parameters gives.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::{Conductivity, Length, Temperature, ThermalResistance};
use working::{ExpressionFault, Fault, Faults};

use crate::model::{Boundary, Contact, Environment, Model, Point, Rectangle, SNAP_M};

/// A detail: what a file of details holds, read by whoever knows files.
///
/// Every text that gives a number is an expression of [`working::evaluate`] in the names of the parameters and of the derived
/// values above it; lengths are in millimetres, conductivities in W/(m.K), resistances in m2.K/W, temperatures in degrees Celsius.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Detail {
    /// A short name, such as `reveal`.
    pub id: String,
    /// What it shows.
    pub title: String,
    /// How to read it: which way the section looks, what is left out.
    pub note: String,
    /// Where the shape comes from.
    pub source: String,
    /// What may be chosen.
    pub parameters: Vec<Parameter>,
    /// Values that follow from the parameters, each from those above it.
    pub derived: Vec<Derived>,
    /// The environments.
    pub environments: Vec<DetailEnvironment>,
    /// The material; a rectangle without width or height at the chosen parameters is left out.
    pub rectangles: Vec<DetailRectangle>,
    /// The outline; parts without length are left out.
    pub boundaries: Vec<DetailBoundary>,
    /// The flat elements beside the junction.
    pub flanks: Vec<DetailFlank>,
    /// Points of interest.
    pub points: Vec<DetailPoint>,
}

/// What a parameter counts in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum ParameterUnit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Watts per metre kelvin.
    WattPerMetreKelvin,
    /// Square metre kelvins per watt.
    SquareMetreKelvinPerWatt,
    /// Degrees Celsius.
    Celsius,
    /// A number without unit.
    Number,
}

/// A parameter of a detail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parameter {
    /// Its name in expressions.
    pub name: String,
    /// What it is.
    pub meaning: String,
    /// What it counts in.
    pub unit: ParameterUnit,
    /// Its value where nothing is chosen.
    pub default: f64,
    /// Its lowest value.
    pub lowest: f64,
    /// Its highest value.
    pub highest: f64,
    /// Where the default comes from.
    pub source: String,
}

/// A value that follows from parameters.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Derived {
    /// Its name in expressions.
    pub name: String,
    /// Its expression.
    pub value: String,
}

/// On which side of the envelope an environment lies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Heated: the heat it loses is the heat counted.
    #[default]
    Inside,
    /// Outdoors: the difference to it is what psi and the temperature factor refer to.
    Outside,
    /// Neither: an unheated cellar.
    Between,
}

/// An environment of a detail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DetailEnvironment {
    /// What it is; boundaries and flanks name it.
    pub name: String,
    /// Where it lies.
    pub side: Side,
    /// Its temperature.
    pub temperature: String,
    /// Its surface resistance.
    pub resistance: String,
}

/// A rectangle of a detail.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DetailRectangle {
    /// What it is.
    pub name: String,
    /// Its left side.
    pub x0: String,
    /// Its lower side.
    pub y0: String,
    /// Its right side.
    pub x1: String,
    /// Its upper side.
    pub y1: String,
    /// The conductivity of its material.
    pub conductivity: String,
}

/// A part of the outline: a path along the axes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DetailBoundary {
    /// The environment it touches; nothing for a cut plane or plane of symmetry.
    pub environment: Option<String>,
    /// The corners of the path.
    pub path: Vec<[String; 2]>,
}

/// A flat element beside the junction, whose transmittance is taken along a cut through the section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DetailFlank {
    /// What it is.
    pub name: String,
    /// The environment on its warm side.
    pub warm: String,
    /// The environment on its cold side.
    pub cold: String,
    /// The cut from the warm to the cold face.
    pub cut: [[String; 2]; 2],
    /// The length over which it counts with inner dimensions.
    pub inner_length: String,
    /// The length over which it counts with outer dimensions.
    pub outer_length: String,
}

/// A point of interest.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DetailPoint {
    /// What is there.
    pub name: String,
    /// Its place.
    pub x: String,
    /// Its height.
    pub y: String,
}

/// A section with all that turns its heat flow into a linear thermal transmittance.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Material, outline and environments.
    pub model: Model,
    /// On which side each environment lies, in the model's order.
    pub sides: Vec<Side>,
    /// The flat elements beside the junction.
    pub flanks: Vec<Flank>,
    /// Points of interest with their names.
    pub points: Vec<(String, Point)>,
    /// The parameters as used, in the order of the detail.
    pub parameters: Vec<(String, f64)>,
}

/// A flat element beside a junction.
#[derive(Clone, Debug, PartialEq)]
pub struct Flank {
    /// What it is.
    pub name: String,
    /// The index of the environment on its warm side.
    pub warm: usize,
    /// The index of the environment on its cold side.
    pub cold: usize,
    /// The cut's end on the warm face.
    pub from: Point,
    /// The cut's end on the cold face.
    pub to: Point,
    /// The length over which it counts with inner dimensions.
    pub inner_length: Length,
    /// The length over which it counts with outer dimensions.
    pub outer_length: Length,
}

/// The section of a detail at the parameters chosen, defaults elsewhere.
///
/// # Errors
/// Every fault at once: a chosen parameter that the detail does not have, that is no number or out of its range; an expression
/// that cannot be evaluated; an environment that is not named. What the section itself lacks, [`crate::solve`] tells.
pub fn build(detail: &Detail, chosen: &BTreeMap<String, f64>) -> Result<Section, Vec<Fault>> {
    let mut faults = Faults::new();
    for name in chosen.keys() {
        if !detail.parameters.iter().any(|p| p.name == *name) {
            let known: Vec<&str> = detail.parameters.iter().map(|p| p.name.as_str()).collect();
            faults.add(
                format!("parameters.{name}"),
                "UNKNOWN_PARAMETER",
                name.clone(),
                format!("one of {}", known.join(", ")),
            );
        }
    }
    let mut values = Values::default();
    for parameter in &detail.parameters {
        let value = chosen
            .get(&parameter.name)
            .copied()
            .unwrap_or(parameter.default);
        if !(parameter.lowest..=parameter.highest).contains(&value) {
            let reason = if value.is_finite() {
                "OUT_OF_RANGE"
            } else {
                "NOT_FINITE"
            };
            faults.add(
                format!("parameters.{}", parameter.name),
                reason,
                format!("{value}"),
                format!(
                    "{} to {} ({})",
                    parameter.lowest, parameter.highest, parameter.meaning
                ),
            );
        }
        values.known.push((parameter.name.clone(), value));
    }
    let parameters = values.known.clone();
    for (i, derived) in detail.derived.iter().enumerate() {
        let value = values.number(&format!("derived[{i}]"), &derived.value, &mut faults);
        values.known.push((derived.name.clone(), value));
    }
    let mut reader = Reader {
        detail,
        values,
        faults,
    };
    let section = Section {
        model: Model {
            rectangles: reader.rectangles(),
            boundaries: reader.boundaries(),
            environments: reader.environments(),
        },
        sides: detail.environments.iter().map(|e| e.side).collect(),
        flanks: reader.flanks(),
        points: reader.points(),
        parameters,
    };
    reader.faults.or(section)
}

/// Names with their values so far.
#[derive(Default)]
struct Values {
    known: Vec<(String, f64)>,
}

impl Values {
    fn number(&self, path: &str, expression: &str, faults: &mut Faults) -> f64 {
        let symbols: Vec<(&str, &[f64], bool)> = self
            .known
            .iter()
            .map(|(name, value)| (name.as_str(), core::slice::from_ref(value), false))
            .collect();
        match working::evaluate(expression, &symbols) {
            Ok(value) if value.is_finite() => value,
            Ok(value) => {
                faults.add(
                    path,
                    "NOT_FINITE",
                    format!("`{expression}` is {value}"),
                    "a finite number",
                );
                0.0
            }
            Err(fault) => {
                let expected = match fault {
                    ExpressionFault::UnknownSymbol(_) => {
                        "names of parameters and of derived values above"
                    }
                    _ => "an expression",
                };
                faults.add(
                    path,
                    "EXPRESSION",
                    format!("`{expression}`: {fault}"),
                    expected,
                );
                0.0
            }
        }
    }
}

struct Reader<'a> {
    detail: &'a Detail,
    values: Values,
    faults: Faults,
}

impl Reader<'_> {
    fn number(&mut self, path: &str, expression: &str) -> f64 {
        self.values.number(path, expression, &mut self.faults)
    }
    fn length(&mut self, path: &str, expression: &str) -> Length {
        Length::from_mm(self.number(path, expression))
    }
    fn point(&mut self, path: &str, [x, y]: &[String; 2]) -> Point {
        Point {
            x: self.length(&format!("{path}[0]"), x),
            y: self.length(&format!("{path}[1]"), y),
        }
    }
    fn environment(&mut self, path: &str, name: &str) -> usize {
        let found = self.detail.environments.iter().position(|e| e.name == name);
        if found.is_none() {
            let known: Vec<&str> = self
                .detail
                .environments
                .iter()
                .map(|e| e.name.as_str())
                .collect();
            self.faults.add(
                path,
                "UNKNOWN_ENVIRONMENT",
                name.to_string(),
                format!("one of {}", known.join(", ")),
            );
        }
        found.unwrap_or_default()
    }

    fn rectangles(&mut self) -> Vec<Rectangle> {
        let mut list = Vec::new();
        for (i, r) in self.detail.rectangles.iter().enumerate() {
            let path = format!("rectangles[{i}]");
            let rectangle = Rectangle {
                name: r.name.clone(),
                x0: self.length(&format!("{path}.x0_mm"), &r.x0),
                y0: self.length(&format!("{path}.y0_mm"), &r.y0),
                x1: self.length(&format!("{path}.x1_mm"), &r.x1),
                y1: self.length(&format!("{path}.y1_mm"), &r.y1),
                conductivity: Conductivity::from_w_per_mk(
                    self.number(&format!("{path}.conductivity_w_per_mk"), &r.conductivity),
                ),
            };
            let nothing = |low: Length, high: Length| (high - low).abs().as_m() <= SNAP_M;
            if !nothing(rectangle.x0, rectangle.x1) && !nothing(rectangle.y0, rectangle.y1) {
                list.push(rectangle);
            }
        }
        list
    }

    fn boundaries(&mut self) -> Vec<Boundary> {
        let mut list = Vec::new();
        for (i, b) in self.detail.boundaries.iter().enumerate() {
            let path = format!("boundaries[{i}]");
            let contact = match &b.environment {
                None => Contact::Adiabatic,
                Some(name) => {
                    Contact::Environment(self.environment(&format!("{path}.environment"), name))
                }
            };
            let corners: Vec<Point> = b
                .path
                .iter()
                .enumerate()
                .map(|(k, corner)| self.point(&format!("{path}.path_mm[{k}]"), corner))
                .collect();
            for pair in corners.windows(2) {
                let (from, to) = (pair[0], pair[1]);
                let apart = (to.x - from.x).abs().as_m() + (to.y - from.y).abs().as_m();
                if apart > SNAP_M {
                    list.push(Boundary { from, to, contact });
                }
            }
        }
        list
    }

    fn environments(&mut self) -> Vec<Environment> {
        let mut list = Vec::new();
        for (i, e) in self.detail.environments.iter().enumerate() {
            let path = format!("environments[{i}]");
            let temperature = self.number(&format!("{path}.temperature_c"), &e.temperature);
            let resistance = self.number(
                &format!("{path}.surface_resistance_m2k_per_w"),
                &e.resistance,
            );
            list.push(Environment {
                name: e.name.clone(),
                temperature: Temperature::from_celsius(temperature),
                resistance: ThermalResistance::from_m2k_per_w(resistance),
            });
        }
        list
    }

    fn flanks(&mut self) -> Vec<Flank> {
        let mut list = Vec::new();
        for (i, f) in self.detail.flanks.iter().enumerate() {
            let path = format!("flanks[{i}]");
            let [from, to] = &f.cut;
            list.push(Flank {
                name: f.name.clone(),
                warm: self.environment(&format!("{path}.warm"), &f.warm),
                cold: self.environment(&format!("{path}.cold"), &f.cold),
                from: self.point(&format!("{path}.cut_mm[0]"), from),
                to: self.point(&format!("{path}.cut_mm[1]"), to),
                inner_length: self.length(&format!("{path}.inner_length_mm"), &f.inner_length),
                outer_length: self.length(&format!("{path}.outer_length_mm"), &f.outer_length),
            });
        }
        list
    }

    fn points(&mut self) -> Vec<(String, Point)> {
        let mut list = Vec::new();
        for (i, p) in self.detail.points.iter().enumerate() {
            let place = [p.x.clone(), p.y.clone()];
            let point = self.point(&format!("points[{i}]"), &place);
            list.push((p.name.clone(), point));
        }
        list
    }
}
