//! Published and independently computed examples of heat and moisture, as data: one file a case, one expectation a figure.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use quantity::{
    Area, Conductivity, Density, Length, PerArea, PointTransmittance, SpecificHeat, Temperature,
    ThermalResistance,
};
use thermal::{
    Body, Boundary, BuildUp, CorrectionOf, Fasteners, Homogeneous, Layer, PointBridges,
    RecessReading, Role, Section, SmallCorrections, Source, Storage, Vapour, VoidLevel,
};
use toml::{Table, Value};
use working::Sheet;

/// One figure that a case expects.
pub struct Expectation {
    pub what: String,
    pub unit: String,
    pub value: f64,
    pub tolerance: f64,
    pub source: String,
}

/// One worked example.
pub struct Case {
    pub file: PathBuf,
    pub id: String,
    pub title: String,
    pub clause: String,
    pub function: String,
    pub expect: Vec<Expectation>,
    pub table: Table,
}

/// Every case of the folder, in the order of its file names.
pub fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("worked/thermal");
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
        .expect("the folder of worked examples")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files.iter().map(|file| case(file)).collect()
}

fn case(file: &Path) -> Case {
    let text = std::fs::read_to_string(file).expect("a readable case");
    let table: Table = text
        .parse()
        .unwrap_or_else(|e| panic!("{}: {e}", file.display()));
    let source = words(&table, "source");
    let expect = list(&table, "expect")
        .iter()
        .map(|row| Expectation {
            what: words(row, "what"),
            unit: words(row, "unit"),
            value: number(row, "value"),
            tolerance: number(row, "tolerance"),
            source: row
                .get("source")
                .map_or_else(|| source.clone(), |_| words(row, "source")),
        })
        .collect();
    Case {
        file: file.to_path_buf(),
        id: words(&table, "id"),
        title: words(&table, "title"),
        clause: words(&table, "clause"),
        function: words(&table, "function"),
        expect,
        table,
    }
}

impl Case {
    /// What the engines answer, each figure under the name by which the expectations ask for it.
    pub fn answers(&self) -> BTreeMap<String, f64> {
        let mut found = BTreeMap::new();
        match words(&self.table, "ask").as_str() {
            "transmittance" => transmittance(&self.table, &mut found),
            other => panic!("{}: unknown question `{other}`", self.file.display()),
        }
        found
    }
}

/// A text of a table.
pub fn words(table: &Table, key: &str) -> String {
    table
        .get(key)
        .and_then(Value::as_str)
        .unwrap_or_else(|| panic!("no text `{key}` in {table:?}"))
        .to_string()
}

/// A number of a table, whole or not.
pub fn number(table: &Table, key: &str) -> f64 {
    maybe(table, key).unwrap_or_else(|| panic!("no number `{key}` in {table:?}"))
}

/// A number of a table, if there.
pub fn maybe(table: &Table, key: &str) -> Option<f64> {
    table.get(key).and_then(|value| match value {
        Value::Integer(whole) => Some(*whole as f64),
        Value::Float(number) => Some(*number),
        _ => None,
    })
}

/// A list of tables; empty where there is none.
pub fn list(table: &Table, key: &str) -> Vec<Table> {
    let rows = table
        .get(key)
        .and_then(Value::as_array)
        .map(Vec::as_slice)
        .unwrap_or_default();
    rows.iter()
        .map(|row| row.as_table().expect("a table").clone())
        .collect()
}

fn material(table: &Table) -> Homogeneous {
    Homogeneous {
        conductivity: Conductivity::from_w_per_mk(number(table, "conductivity-w-per-mk")),
        vapour: maybe(table, "vapour-factor")
            .map(Vapour::Factor)
            .or_else(|| {
                maybe(table, "equivalent-air-m").map(|m| Vapour::EquivalentAir(Length::from_m(m)))
            }),
        storage: maybe(table, "density-kg-per-m3").map(|density| Storage {
            density: Density::from_kg_per_m3(density),
            specific_heat: SpecificHeat::from_j_per_kgk(number(table, "specific-heat-j-per-kgk")),
        }),
    }
}

fn layer(index: usize, table: &Table) -> Layer {
    let sections = list(table, "sections");
    let body = if !sections.is_empty() {
        let part = |s: &Table| Section {
            share: number(s, "share"),
            material: material(s),
        };
        Body::Sections(sections.iter().map(part).collect())
    } else if let Some(openings_mm2_per_m) = maybe(table, "openings-mm2-per-m") {
        Body::Air { openings_mm2_per_m }
    } else if let Some(r) = maybe(table, "resistance-m2k-per-w") {
        Body::Resistance {
            resistance: ThermalResistance::from_m2k_per_w(r),
            equivalent_air: maybe(table, "equivalent-air-m").map(Length::from_m),
        }
    } else {
        Body::Homogeneous(material(table))
    };
    let role = match table.get("role").and_then(Value::as_str) {
        Some("insulation") => Role::Insulation,
        Some("coat") => Role::Coat,
        _ => Role::Wall,
    };
    let path = format!("layers[{index}]");
    Layer::request(
        words(table, "name"),
        path,
        role,
        Length::from_mm(number(table, "thickness-mm")),
        body,
    )
}

/// The wall of a case.
pub fn build_up(table: &Table) -> BuildUp {
    let from = Source::Request(String::from("case"));
    let layers = list(table, "layers")
        .iter()
        .enumerate()
        .map(|(i, t)| layer(i, t))
        .collect();
    let sub = |key: &str| table.get(key).and_then(Value::as_table);
    BuildUp {
        anchors: sub("anchors").map(|t| PointBridges {
            per_area: PerArea::from_per_m2(number(t, "per-m2")),
            chi: PointTransmittance::from_w_per_k(number(t, "chi-w-per-k")),
            from: from.clone(),
        }),
        fasteners: sub("fasteners").map(|t| Fasteners {
            per_area: PerArea::from_per_m2(number(t, "per-m2")),
            conductivity: Conductivity::from_w_per_mk(number(t, "conductivity-w-per-mk")),
            cross_section: Area::from_mm2(number(t, "cross-section-mm2")),
            recessed_length: maybe(t, "recessed-length-mm").map(Length::from_mm),
            reading: match t.get("reading").and_then(Value::as_str) {
                Some("penetrated-part") => RecessReading::PenetratedPart,
                _ => RecessReading::WholeLayer,
            },
            from: from.clone(),
        }),
        voids: match table.get("voids").and_then(Value::as_integer) {
            Some(1) => VoidLevel::Bridging,
            Some(2) => VoidLevel::Circulating,
            _ => VoidLevel::None,
        },
        small_corrections: SmallCorrections::Dropped,
        ..BuildUp::of("case", layers)
    }
}

fn transmittance(table: &Table, found: &mut BTreeMap<String, f64>) {
    let wall = build_up(table);
    let mut sheet = Sheet::new();
    let answer = thermal::transmittance(&wall, &mut sheet).expect("a sound wall");
    let mut put = |what: &str, value: f64| {
        found.insert(what.to_string(), value);
    };
    put("R_tot", answer.total.value.as_m2k_per_w());
    put("U", answer.u.value.as_w_per_m2k());
    put("U_c", answer.u_corrected.value.as_w_per_m2k());
    put("share of U", answer.correction_share.value);
    if let Some(combined) = &answer.combined {
        put("upper limit", combined.upper.value.as_m2k_per_w());
        put("lower limit", combined.lower.value.as_m2k_per_w());
        put("relative error", combined.relative_error.value);
    }
    for correction in &answer.corrections {
        let what = match &correction.of {
            CorrectionOf::Voids => "voids",
            CorrectionOf::Fasteners => "fasteners",
            CorrectionOf::Anchors => "anchors",
            CorrectionOf::Linear(name) => name,
        };
        put(what, correction.value.value.as_w_per_m2k());
    }
    if let Some(inside) = maybe(table, "inside-celsius") {
        let boundary = Boundary {
            inside: Temperature::from_celsius(inside),
            outside: Temperature::from_celsius(number(table, "outside-celsius")),
            from: Source::Request(String::from("case")),
        };
        for (place, at) in thermal::temperatures(&answer, &boundary, &mut sheet)
            .iter()
            .enumerate()
        {
            put(
                &format!("temperature {place}"),
                at.temperature.value.as_celsius(),
            );
        }
    }
    every_figure_recomputes(&sheet);
}

/// Evaluates every derived line of a sheet from what is printed on it.
pub fn every_figure_recomputes(sheet: &Sheet) {
    for line in sheet.lines() {
        if line.kind != working::LineKind::Derived {
            continue;
        }
        let numbers: Vec<Vec<f64>> = line
            .inputs
            .iter()
            .map(|i| i.from.iter().map(|(_, v)| *v).collect())
            .collect();
        let symbols: Vec<(&str, &[f64], bool)> = line
            .inputs
            .iter()
            .zip(&numbers)
            .map(|(i, n)| (i.symbol.as_str(), n.as_slice(), i.list))
            .collect();
        let again = working::evaluate(&line.expression, &symbols).expect("an expression");
        let apart = (again - line.value).abs();
        assert!(
            apart <= 1e-12 * line.value.abs().max(1e-12) || (again.is_nan() && line.value.is_nan()),
            "line {} {}: printed {again:e}, recorded {:e}",
            line.number,
            line.label,
            line.value
        );
    }
}
