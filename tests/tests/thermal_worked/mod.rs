//! Published and independently computed examples of heat and moisture, as data: one file a case, one expectation a figure.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use quantity::{
    Area, AreaMass, Conductivity, Density, Duration, Length, LinearTransmittance, PerArea,
    PointTransmittance, SpecificHeat, Temperature, ThermalResistance, VapourPressure,
};
use standards::{iso_10456, iso_13786, iso_13788};
use thermal::{
    Body, Boundary, BuildUp, Climate, CorrectionOf, Fasteners, Homogeneous, HumidityClass, Inside,
    InsideHumidity, Layer, LinearBridge, MONTH_DAYS, MoistureRequest, Month, MouldCriteria,
    Outcome, OutsideHumidity, PointBridges, RecessReading, Role, Section, SlightVentilation,
    SmallCorrections, Source, Storage, Vapour, VoidLevel,
};
use toml::{Table, Value};
use working::{Sheet, Standing};

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
            "saturation" => saturation(&self.expect, &mut found),
            "mould-limits" => mould_limits(&self.expect, &mut found),
            "conversion" => conversion(&self.table, &mut found),
            "moisture" => moisture(&self.table, &mut found),
            "stationary" => stationary(&self.table, &mut found),
            "dynamics" => dynamics(&self.table, &mut found),
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
        slight_ventilation: match table.get("slight-ventilation").and_then(Value::as_str) {
            Some("halved") => SlightVentilation::Halved,
            _ => SlightVentilation::Interpolated,
        },
        linear: list(table, "linear")
            .iter()
            .map(|t| LinearBridge {
                name: words(t, "name"),
                path: String::new(),
                psi: LinearTransmittance::from_w_per_mk(number(t, "psi-w-per-mk")),
                length: Length::from_m(number(t, "length-m")),
                wall_area: Area::from_m2(number(t, "wall-area-m2")),
                from: from.clone(),
            })
            .collect(),
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

/// The numbers in brackets of `p_sat(-20)`.
fn saturation(expect: &[Expectation], found: &mut BTreeMap<String, f64>) {
    for row in expect {
        let text = row.what.trim_start_matches("p_sat(").trim_end_matches(')');
        let celsius: f64 = text.parse().expect("a temperature");
        let p = (iso_13788::SATURATION.function)((Temperature::from_celsius(celsius),));
        found.insert(row.what.clone(), p.as_pa());
        let back = (iso_13788::DEW_POINT.function)((p,)).as_celsius();
        assert!(
            (back - celsius).abs() < 1e-9,
            "the dew point inverts the curve: {celsius} {back}"
        );
    }
}

/// `mould limit 20/50`, `dew point 20/50`, `f 20/50/-5`: inside temperature, inside humidity in per cent, outside temperature.
fn mould_limits(expect: &[Expectation], found: &mut BTreeMap<String, f64>) {
    for row in expect {
        let (what, air) = row.what.rsplit_once(' ').expect("a name and its air");
        let air: Vec<f64> = air
            .split('/')
            .map(|n| n.parse().expect("a number"))
            .collect();
        let inside = Temperature::from_celsius(air[0]);
        let saturation = (iso_13788::SATURATION.function)((inside,));
        let pressure = (iso_13788::PARTIAL_PRESSURE.function)((air[1] / 100.0, saturation));
        let least = (iso_13788::LEAST_SATURATION.function)((pressure, 0.8));
        let limit = (iso_13788::DEW_POINT.function)((least,));
        let value = match what {
            "dew point" => (iso_13788::DEW_POINT.function)((pressure,)).as_celsius(),
            "mould limit" => limit.as_celsius(),
            _ => (iso_13788::TEMPERATURE_FACTOR.function)((
                limit,
                Temperature::from_celsius(air[2]),
                inside,
            )),
        };
        found.insert(row.what.clone(), value);
    }
}

fn conversion(table: &Table, found: &mut BTreeMap<String, f64>) {
    let psi = (iso_10456::MOISTURE_BY_VOLUME.function)((
        AreaMass::from_kg_per_m2(number(table, "moisture-kg-per-m2")),
        iso_10456::WATER,
        Length::from_mm(number(table, "thickness-mm")),
    ));
    let moist = (iso_10456::MOISTURE_FACTOR.function)((number(table, "coefficient"), 0.0, psi));
    let lambda = Conductivity::from_w_per_mk(number(table, "conductivity-w-per-mk"));
    found.insert(String::from("psi"), psi);
    found.insert(
        String::from("lambda"),
        (iso_10456::CONVERTED.function)((lambda, 1.0, moist)).as_w_per_mk(),
    );
}

/// The climate of a case.
pub fn climate(table: &Table) -> Climate {
    let given = table["climate"].as_table().expect("a climate");
    let numbers = |key: &str| -> Vec<f64> {
        let list = given[key].as_array().expect("a list");
        list.iter()
            .map(|v| {
                v.as_float()
                    .or(v.as_integer().map(|i| i as f64))
                    .expect("a number")
            })
            .collect()
    };
    let months = numbers("outside-celsius")
        .iter()
        .zip(numbers("relative-humidity"))
        .zip(MONTH_DAYS)
        .map(|((celsius, phi), days)| Month {
            outside: Temperature::from_celsius(*celsius),
            humidity: OutsideHumidity::Relative(phi),
            length: Duration::from_days(days),
        })
        .collect();
    Climate {
        id: String::from("case"),
        name: String::from("case"),
        source: String::from("case"),
        standing: Standing::Unverified,
        path: String::from("climate"),
        months,
    }
}

/// The air inside of a case.
pub fn inside(table: &Table) -> Inside {
    let given = table["inside"].as_table().expect("the air inside");
    Inside {
        temperatures: vec![Temperature::from_celsius(number(given, "celsius"))],
        humidity: InsideHumidity::Class(HumidityClass {
            id: String::from("case"),
            rooms: String::new(),
            excess: VapourPressure::from_pa(number(given, "excess-pa")),
            none_from: Temperature::from_celsius(20.0),
            source: String::from("case"),
            standing: Standing::Unverified,
        }),
        path: String::from("inside"),
    }
}

fn moisture(table: &Table, found: &mut BTreeMap<String, f64>) {
    let mut sheet = Sheet::new();
    let request = MoistureRequest {
        build_up: &build_up(table),
        climate: &climate(table),
        inside: &inside(table),
        mould: &MouldCriteria::default(),
        limits: &[],
    };
    let answer = thermal::moisture(&request, &mut sheet).expect("a sound question");
    every_figure_recomputes(&sheet);
    let mut put = |what: String, value: f64| {
        found.insert(what, value);
    };
    put(
        String::from("R_tot"),
        answer.transmittances.total.value.as_m2k_per_w(),
    );
    for (index, month) in answer.mould.months.iter().enumerate() {
        put(
            format!("p_i {}", index + 1),
            month.air.inside_pressure.value.as_pa(),
        );
        put(
            format!("asks {}", index + 1),
            f64::from(u8::from(month.factor_needed.is_some())),
        );
        if let Some(needed) = month.factor_needed {
            put(format!("f_min {}", index + 1), needed.value);
        }
    }
    if let Some(critical) = answer.mould.critical {
        put(String::from("critical month"), critical as f64 + 1.0);
        let needed = answer.mould.months[critical]
            .factor_needed
            .map_or(f64::NAN, |f| f.value);
        put(String::from("f_min critical"), needed);
    }
    let inside = &answer.interstitial;
    put(
        String::from("s_d"),
        inside
            .points
            .last()
            .map_or(f64::NAN, |p| p.equivalent_air.as_m()),
    );
    put(
        String::from("outcome"),
        match inside.outcome {
            Outcome::NoCondensation => 0.0,
            Outcome::DriesOut => 1.0,
            Outcome::Accumulates => 2.0,
        },
    );
    put(String::from("planes"), inside.planes.len() as f64);
    put(String::from("most"), inside.most.value.as_kg_per_m2());
    put(
        String::from("most month"),
        inside.most_month.map_or(f64::NAN, |m| m as f64 + 1.0),
    );
    put(
        String::from("start month"),
        inside.start.map_or(f64::NAN, |m| m as f64 + 1.0),
    );
    if let Some(plane) = inside.planes.first() {
        put(
            String::from("s_d inside the plane"),
            inside.points[plane.point].equivalent_air.as_m(),
        );
    }
    for month in &inside.months {
        let name = month.month + 1;
        put(
            format!("M_a {name}"),
            month.accumulated.value.as_kg_per_m2(),
        );
        if let Some(plane) = month.planes.first() {
            put(
                format!("theta_c {name}"),
                plane.temperature.value.as_celsius(),
            );
            put(format!("g_c {name}"), plane.condensate.value.as_kg_per_m2());
        }
    }
}

/// A year of equal months stands for a stationary state.
fn stationary(table: &Table, found: &mut BTreeMap<String, f64>) {
    let month = Month {
        outside: Temperature::from_celsius(number(table, "outside-celsius")),
        humidity: OutsideHumidity::Relative(number(table, "outside-humidity")),
        length: Duration::from_days(1.0),
    };
    let climate = Climate {
        id: String::from("stationary"),
        name: String::from("stationary"),
        source: String::from("case"),
        standing: Standing::Project,
        path: String::from("climate"),
        months: vec![month; 12],
    };
    let inside = Inside {
        temperatures: vec![Temperature::from_celsius(number(table, "inside-celsius"))],
        humidity: InsideHumidity::Relative(number(table, "inside-humidity")),
        path: String::from("inside"),
    };
    let wall = build_up(table);
    let mut sheet = Sheet::new();
    let request = MoistureRequest {
        build_up: &wall,
        climate: &climate,
        inside: &inside,
        mould: &MouldCriteria::default(),
        limits: &[],
    };
    let answer = thermal::moisture(&request, &mut sheet).expect("a sound question");
    every_figure_recomputes(&sheet);
    let mut put = |what: &str, value: f64| {
        found.insert(what.to_string(), value);
    };
    put("U", answer.transmittances.u.value.as_w_per_m2k());
    put("p_i", answer.air[0].inside_pressure.value.as_pa());
    put("p_e", answer.air[0].outside_pressure.value.as_pa());
    let inside = &answer.interstitial;
    let faces = inside
        .points
        .iter()
        .zip(&inside.months[0].profile)
        .filter(|(p, _)| p.share >= 1.0);
    for (place, (_, state)) in faces.enumerate() {
        put(
            &format!("temperature {place}"),
            state.temperature.as_celsius(),
        );
    }
    put("planes", inside.planes.len() as f64);
    let plane = &inside.months[0].planes[0];
    let point = inside.planes[plane.plane].point;
    put(
        "plane after layer",
        inside.points[point].layer.map_or(f64::NAN, |l| l as f64),
    );
    put(
        "p_sat at the plane",
        inside.months[0].profile[point].saturation.as_pa(),
    );
    put(
        "rate per hour",
        plane.condensate.value.as_kg_per_m2() / 24.0,
    );
}

fn dynamics(table: &Table, found: &mut BTreeMap<String, f64>) {
    let mut sheet = Sheet::new();
    let answer =
        thermal::dynamics(&build_up(table), iso_13786::DAY, &mut sheet).expect("a sound wall");
    every_figure_recomputes(&sheet);
    let mut put = |what: &str, value: f64| {
        found.insert(what.to_string(), value);
    };
    put("U", answer.transmittances.u.value.as_w_per_m2k());
    put("Y12", answer.periodic.value.as_w_per_m2k());
    put("f", answer.decrement.value);
    put("shift12", answer.shift.value.as_hours());
    put("Y11", answer.admittance_inside.value.as_w_per_m2k());
    put("shift11", answer.shift_inside.value.as_hours());
    put("Y22", answer.admittance_outside.value.as_w_per_m2k());
    put("shift22", answer.shift_outside.value.as_hours());
    put("kappa1", answer.capacity_inside.value.as_j_per_m2k() / 1e3);
    put("kappa2", answer.capacity_outside.value.as_j_per_m2k() / 1e3);
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
