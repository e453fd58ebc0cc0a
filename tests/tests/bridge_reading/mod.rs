//! Reads sections and details from TOML for the checks of thermal bridges.
#![allow(dead_code)] // each check uses its part

use std::fs;
use std::path::{Path, PathBuf};

use quantity::{Conductivity, Length, Temperature, ThermalResistance};
use serde::Deserialize;
use thermal_bridge::{
    Boundary, Contact, Derived, Detail, DetailBoundary, DetailEnvironment, DetailFlank,
    DetailPoint, DetailRectangle, Environment, Model, Parameter, ParameterUnit, Point, Rectangle,
    Side,
};

/// A worked example of a section.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Worked {
    pub format: u32,
    pub id: String,
    pub title: String,
    pub ask: String,
    pub function: String,
    pub clause: String,
    pub source: String,
    environments: Vec<WorkedEnvironment>,
    rectangles: Vec<WorkedRectangle>,
    boundaries: Vec<WorkedBoundary>,
    pub points: Option<Vec<WorkedPoint>>,
    /// What L2D is compared with: the sum of U l of the flanking elements.
    pub flat_inner_w_per_mk: Option<f64>,
    pub flat_outer_w_per_mk: Option<f64>,
    pub expect: Vec<Expected>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct WorkedEnvironment {
    name: String,
    temperature_c: f64,
    surface_resistance_m2k_per_w: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct WorkedRectangle {
    name: String,
    x_mm: [f64; 2],
    y_mm: [f64; 2],
    conductivity_w_per_mk: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct WorkedBoundary {
    environment: Option<String>,
    #[serde(default)]
    adiabatic: bool,
    path_mm: Vec<[f64; 2]>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct WorkedPoint {
    pub name: String,
    pub x_mm: f64,
    pub y_mm: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Expected {
    pub what: String,
    pub unit: String,
    pub value: f64,
    pub tolerance: f64,
    pub source: Option<String>,
}

impl Worked {
    pub fn model(&self) -> Model {
        let index = |name: &str| {
            let found = self.environments.iter().position(|e| e.name == name);
            found.unwrap_or_else(|| panic!("{}: no environment {name}", self.id))
        };
        let point = |c: [f64; 2]| Point::from_mm(c[0], c[1]);
        Model {
            rectangles: self
                .rectangles
                .iter()
                .map(|r| Rectangle {
                    name: r.name.clone(),
                    x0: Length::from_mm(r.x_mm[0]),
                    y0: Length::from_mm(r.y_mm[0]),
                    x1: Length::from_mm(r.x_mm[1]),
                    y1: Length::from_mm(r.y_mm[1]),
                    conductivity: Conductivity::from_w_per_mk(r.conductivity_w_per_mk),
                })
                .collect(),
            boundaries: self
                .boundaries
                .iter()
                .flat_map(|b| {
                    assert!(b.adiabatic != b.environment.is_some());
                    let contact = b
                        .environment
                        .as_deref()
                        .map_or(Contact::Adiabatic, |name| Contact::Environment(index(name)));
                    b.path_mm
                        .windows(2)
                        .map(|pair| Boundary {
                            from: point(pair[0]),
                            to: point(pair[1]),
                            contact,
                        })
                        .collect::<Vec<_>>()
                })
                .collect(),
            environments: self
                .environments
                .iter()
                .map(|e| Environment {
                    name: e.name.clone(),
                    temperature: Temperature::from_celsius(e.temperature_c),
                    resistance: ThermalResistance::from_m2k_per_w(e.surface_resistance_m2k_per_w),
                })
                .collect(),
        }
    }
}

fn tests_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

fn toml_files(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files
}

/// Every worked example of a section.
pub fn worked() -> Vec<Worked> {
    toml_files(&tests_folder().join("worked/bridge"))
        .iter()
        .map(|path| {
            let text = fs::read_to_string(path).unwrap();
            toml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
        })
        .collect()
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FileDetail {
    format: u32,
    id: String,
    title: String,
    note: String,
    source: String,
    parameters: Vec<FileParameter>,
    #[serde(default)]
    derived: Vec<FileDerived>,
    environments: Vec<FileEnvironment>,
    rectangles: Vec<FileRectangle>,
    boundaries: Vec<FileBoundary>,
    flanks: Vec<FileFlank>,
    #[serde(default)]
    points: Vec<FilePoint>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FileParameter {
    name: String,
    meaning: String,
    source: String,
    default_mm: Option<f64>,
    lowest_mm: Option<f64>,
    highest_mm: Option<f64>,
    default_w_per_mk: Option<f64>,
    lowest_w_per_mk: Option<f64>,
    highest_w_per_mk: Option<f64>,
    default_m2k_per_w: Option<f64>,
    lowest_m2k_per_w: Option<f64>,
    highest_m2k_per_w: Option<f64>,
    default_c: Option<f64>,
    lowest_c: Option<f64>,
    highest_c: Option<f64>,
    default: Option<f64>,
    lowest: Option<f64>,
    highest: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileDerived {
    name: String,
    value: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FileEnvironment {
    name: String,
    side: String,
    temperature_c: String,
    surface_resistance_m2k_per_w: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FileRectangle {
    name: String,
    x0_mm: String,
    y0_mm: String,
    x1_mm: String,
    y1_mm: String,
    conductivity_w_per_mk: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FileBoundary {
    environment: Option<String>,
    #[serde(default)]
    adiabatic: bool,
    path_mm: Vec<[String; 2]>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FileFlank {
    name: String,
    warm: String,
    cold: String,
    cut_mm: [[String; 2]; 2],
    inner_length_mm: String,
    outer_length_mm: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FilePoint {
    name: String,
    x_mm: String,
    y_mm: String,
}

impl FileParameter {
    fn read(self) -> Parameter {
        let units = [
            (
                ParameterUnit::Millimetre,
                self.default_mm,
                self.lowest_mm,
                self.highest_mm,
            ),
            (
                ParameterUnit::WattPerMetreKelvin,
                self.default_w_per_mk,
                self.lowest_w_per_mk,
                self.highest_w_per_mk,
            ),
            (
                ParameterUnit::SquareMetreKelvinPerWatt,
                self.default_m2k_per_w,
                self.lowest_m2k_per_w,
                self.highest_m2k_per_w,
            ),
            (
                ParameterUnit::Celsius,
                self.default_c,
                self.lowest_c,
                self.highest_c,
            ),
            (
                ParameterUnit::Number,
                self.default,
                self.lowest,
                self.highest,
            ),
        ];
        let given: Vec<_> = units
            .into_iter()
            .filter_map(|(unit, d, l, h)| Some((unit, d?, l?, h?)))
            .collect();
        let [(unit, default, lowest, highest)] = given[..] else {
            panic!("{}: not exactly one unit", self.name);
        };
        assert!(lowest <= default && default <= highest, "{}", self.name);
        assert!(!self.source.is_empty(), "{} has no source", self.name);
        Parameter {
            name: self.name,
            meaning: self.meaning,
            unit,
            default,
            lowest,
            highest,
            source: self.source,
        }
    }
}

impl FileDetail {
    fn read(self) -> Detail {
        assert_eq!(self.format, 1);
        Detail {
            id: self.id,
            title: self.title,
            note: self.note,
            source: self.source,
            parameters: self
                .parameters
                .into_iter()
                .map(FileParameter::read)
                .collect(),
            derived: self
                .derived
                .into_iter()
                .map(|d| Derived {
                    name: d.name,
                    value: d.value,
                })
                .collect(),
            environments: self
                .environments
                .into_iter()
                .map(|e| DetailEnvironment {
                    side: match e.side.as_str() {
                        "inside" => Side::Inside,
                        "outside" => Side::Outside,
                        "between" => Side::Between,
                        other => panic!("no side {other}"),
                    },
                    name: e.name,
                    temperature: e.temperature_c,
                    resistance: e.surface_resistance_m2k_per_w,
                })
                .collect(),
            rectangles: self
                .rectangles
                .into_iter()
                .map(|r| DetailRectangle {
                    name: r.name,
                    x0: r.x0_mm,
                    y0: r.y0_mm,
                    x1: r.x1_mm,
                    y1: r.y1_mm,
                    conductivity: r.conductivity_w_per_mk,
                })
                .collect(),
            boundaries: self
                .boundaries
                .into_iter()
                .map(|b| {
                    assert!(b.adiabatic != b.environment.is_some());
                    DetailBoundary {
                        environment: b.environment,
                        path: b.path_mm,
                    }
                })
                .collect(),
            flanks: self
                .flanks
                .into_iter()
                .map(|f| DetailFlank {
                    name: f.name,
                    warm: f.warm,
                    cold: f.cold,
                    cut: f.cut_mm,
                    inner_length: f.inner_length_mm,
                    outer_length: f.outer_length_mm,
                })
                .collect(),
            points: self
                .points
                .into_iter()
                .map(|p| DetailPoint {
                    name: p.name,
                    x: p.x_mm,
                    y: p.y_mm,
                })
                .collect(),
        }
    }
}

/// Every detail of the rules, by the name of its file.
pub fn details() -> Vec<Detail> {
    toml_files(&tests_folder().join("../catalogues/rules/details"))
        .iter()
        .map(|path| {
            let text = fs::read_to_string(path).unwrap();
            let file: FileDetail =
                toml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            let detail = file.read();
            assert_eq!(path.file_stem().unwrap().to_str().unwrap(), detail.id);
            detail
        })
        .collect()
}

/// The detail of a name.
pub fn detail(id: &str) -> Detail {
    details()
        .into_iter()
        .find(|d| d.id == id)
        .unwrap_or_else(|| panic!("no detail {id}"))
}
