//! Moisture transport against the published bands and the exact series.

use std::fs;
use std::path::Path;

use moisture_transport::{
    Accuracy, AirPermeability, Climate, Face, Hour, Layer, Liquid, Material, Sorption, Start, Task,
    VapourResistance, Wall, simulate,
};
use quantity::{
    Conductivity, Density, Diffusivity, Duration, HeatFlux, Length, MoistureFlux, SpecificHeat,
    Temperature, VapourPermeability,
};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Case {
    format: u32,
    id: String,
    title: String,
    ask: String,
    function: String,
    clause: String,
    source: String,
    start_temperature_c: f64,
    air: String,
    distances_from: String,
    material: CaseMaterial,
    wall: CaseWall,
    outside: CaseAir,
    inside: CaseAir,
    expect: Vec<Expected>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct CaseMaterial {
    name: String,
    conductivity_w_per_mk: f64,
    conductivity_by_water: f64,
    density_kg_per_m3: f64,
    specific_heat_j_per_kgk: f64,
    vapour: CaseVapour,
    sorption: CaseSorption,
    liquid: CaseLiquid,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum CaseVapour {
    Constant(f64),
    FillingPores(f64),
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
enum CaseSorption {
    BySuction {
        saturation_kg_per_m3: f64,
        a_per_pa: f64,
        n: f64,
        m: f64,
    },
    Logarithmic {
        saturation_kg_per_m3: f64,
        a: f64,
        n: f64,
    },
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
enum CaseLiquid {
    ByConductivity {
        coefficients: Vec<f64>,
        around_kg_per_m3: f64,
    },
    #[serde(rename = "by-diffusivity-m2-per-s")]
    ByDiffusivity(f64),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct CaseWall {
    thickness_m: f64,
    start_humidity: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct CaseAir {
    temperature_c: f64,
    humidity: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Expected {
    what: String,
    after_hours: f64,
    at_mm: f64,
    unit: String,
    value: f64,
    tolerance: f64,
    source: Option<String>,
}

impl CaseMaterial {
    fn read(&self) -> Material {
        Material {
            name: self.name.clone(),
            conductivity: Conductivity::from_w_per_mk(self.conductivity_w_per_mk),
            conductivity_by_water: self.conductivity_by_water,
            density: Density::from_kg_per_m3(self.density_kg_per_m3),
            specific_heat: SpecificHeat::from_j_per_kgk(self.specific_heat_j_per_kgk),
            vapour: match self.vapour {
                CaseVapour::Constant(factor) => VapourResistance::Constant { factor },
                CaseVapour::FillingPores(factor) => VapourResistance::FillingPores { factor },
            },
            sorption: match self.sorption {
                CaseSorption::BySuction {
                    saturation_kg_per_m3,
                    a_per_pa,
                    n,
                    m,
                } => Sorption::BySuction {
                    saturation: Density::from_kg_per_m3(saturation_kg_per_m3),
                    a_per_pa,
                    n,
                    m,
                },
                CaseSorption::Logarithmic {
                    saturation_kg_per_m3,
                    a,
                    n,
                } => Sorption::Logarithmic {
                    saturation: Density::from_kg_per_m3(saturation_kg_per_m3),
                    a,
                    n,
                },
            },
            liquid: match &self.liquid {
                CaseLiquid::ByConductivity {
                    coefficients,
                    around_kg_per_m3,
                } => Liquid::ByConductivity {
                    coefficients: coefficients.clone(),
                    around: Density::from_kg_per_m3(*around_kg_per_m3),
                },
                CaseLiquid::ByDiffusivity(d) => {
                    Liquid::ByDiffusivity(Diffusivity::from_m2_per_s(*d))
                }
            },
        }
    }
}

impl Case {
    fn wall(&self) -> Wall {
        Wall {
            layers: vec![Layer {
                thickness: Length::from_m(self.wall.thickness_m),
                material: self.material.read(),
                start: Start::Humidity(self.wall.start_humidity),
            }],
            inside: Face::Fixed,
            outside: Face::Fixed,
            start: Temperature::from_celsius(self.start_temperature_c),
            air: match self.air.as_str() {
                "ideal-gas" => AirPermeability::IdealGas,
                "constant-2e-10" => {
                    AirPermeability::Constant(VapourPermeability::from_kg_per_mspa(2e-10))
                }
                other => panic!("no air {other}"),
            },
        }
    }
    fn climate(&self) -> Climate {
        Climate::Constant(Hour {
            outside_temperature: Temperature::from_celsius(self.outside.temperature_c),
            outside_humidity: self.outside.humidity,
            sun: HeatFlux::ZERO,
            rain: MoistureFlux::ZERO,
            inside_temperature: Temperature::from_celsius(self.inside.temperature_c),
            inside_humidity: self.inside.humidity,
        })
    }
}

fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("worked/transport");
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    files.sort();
    files
        .iter()
        .map(|path| {
            toml::from_str(&fs::read_to_string(path).unwrap())
                .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
        })
        .collect()
}

#[test]
fn every_worked_example_holds() {
    let cases = cases();
    assert!(cases.len() >= 2);
    let mut wrong = Vec::new();
    for case in &cases {
        assert_eq!(
            (case.format, case.ask.as_str(), case.distances_from.as_str()),
            (1, "transport", "outside")
        );
        assert!(!case.function.is_empty() && case.expect.len() >= 18);
        let mut times: Vec<f64> = case.expect.iter().map(|e| e.after_hours).collect();
        times.sort_by(f64::total_cmp);
        times.dedup();
        let task = Task {
            span: Duration::from_hours(*times.last().unwrap()),
            every: Duration::from_hours(*times.last().unwrap()),
            profiles_at: times.iter().map(|t| Duration::from_hours(*t)).collect(),
        };
        let history = simulate(&case.wall(), &case.climate(), &task, &Accuracy::exact()).unwrap();
        assert_eq!(history.profiles.len(), times.len());
        assert!(
            history.imbalance() < 1e-8,
            "{}: {}",
            case.id,
            history.imbalance()
        );
        for e in &case.expect {
            let profile =
                &history.profiles[times.iter().position(|t| *t == e.after_hours).unwrap()];
            assert!((profile.after.as_hours() / e.after_hours - 1.0).abs() < 1e-9);
            let place = Length::from_m(case.wall.thickness_m) - Length::from_mm(e.at_mm);
            let state = profile.at(place).unwrap();
            let got = match e.what.as_str() {
                "water" => state.water.as_kg_per_m3(),
                "temperature" => state.temperature.as_celsius(),
                other => panic!("no answer called {other}"),
            };
            let apart = (got - e.value).abs();
            if apart.is_nan() || apart > e.tolerance {
                wrong.push(format!(
                    "{} ({}, {}): {} after {} h at {} mm expected {} +- {} {} from {}, got {got}",
                    case.id,
                    case.title,
                    case.clause,
                    e.what,
                    e.after_hours,
                    e.at_mm,
                    e.value,
                    e.tolerance,
                    e.unit,
                    e.source.as_ref().unwrap_or(&case.source)
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
