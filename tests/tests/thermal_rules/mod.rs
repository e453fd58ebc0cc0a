//! The rule data and the weather of the tests, read here in the plainest way.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use quantity::{
    AreaMass, Duration, Rounding, Temperature, ThermalResistance, Transmittance, VapourPressure,
};
use thermal::{
    Climate, CondensateAt, CondensateLimit, FactorFloor, HumidityClass, LimitValue, Month,
    OutsideHumidity, ResistanceOf, ThermalLimit,
};
use toml::{Table, Value};
use working::Standing;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn tables(folder: &str) -> Vec<Table> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(root().join("catalogues").join(folder))
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files
        .iter()
        .map(|file| {
            let table: Table = std::fs::read_to_string(file)
                .expect("a file")
                .parse()
                .expect("TOML");
            let stem = file.file_stem().and_then(|s| s.to_str()).expect("a name");
            assert_eq!(words(&table, "key"), stem, "the file is named by its key");
            assert_eq!(table["format"].as_integer(), Some(1));
            table
        })
        .collect()
}

fn words(table: &Table, key: &str) -> String {
    table
        .get(key)
        .and_then(Value::as_str)
        .unwrap_or_default()
        .to_string()
}

fn number(table: &Table, key: &str) -> Option<f64> {
    let value = table.get(key)?;
    value.as_float().or(value.as_integer().map(|i| i as f64))
}

fn numbers(table: &Table, key: &str) -> Option<Vec<f64>> {
    let list = table.get(key)?.as_array()?;
    Some(
        list.iter()
            .map(|v| {
                v.as_float()
                    .or(v.as_integer().map(|i| i as f64))
                    .expect("a number")
            })
            .collect(),
    )
}

fn standing(table: &Table) -> Standing {
    match words(table, "status").as_str() {
        "published" => Standing::Published,
        "project" => Standing::Project,
        "unverified" => Standing::Unverified,
        other => panic!("status `{other}` of {}", words(table, "key")),
    }
}

/// `rules/thermal-limits`.
pub fn limits() -> Vec<ThermalLimit> {
    let limit = |t: &Table| {
        let value = match words(t, "quantity").as_str() {
            "transmittance-at-most" => LimitValue::TransmittanceAtMost(
                Transmittance::from_w_per_m2k(number(t, "value-w-per-m2k").expect("a value")),
            ),
            "resistance-at-least" => LimitValue::ResistanceAtLeast {
                of: match words(t, "resistance-of").as_str() {
                    "insulation" => ResistanceOf::Insulation,
                    "kit" => ResistanceOf::Kit,
                    "wall" => ResistanceOf::Wall,
                    "total" => ResistanceOf::Total,
                    other => panic!("resistance of `{other}`"),
                },
                value: ThermalResistance::from_m2k_per_w(
                    number(t, "value-m2k-per-w").expect("a value"),
                ),
            },
            other => panic!("quantity `{other}`"),
        };
        let digits = number(t, "rounding-digits").unwrap_or_default() as u8;
        ThermalLimit {
            id: words(t, "key"),
            country: words(t, "country"),
            act: words(t, "act"),
            edition: words(t, "edition"),
            element: words(t, "element"),
            action: words(t, "action"),
            zone: words(t, "zone"),
            valid_from: words(t, "valid-from"),
            valid_to: words(t, "valid-to"),
            value,
            rounding: match words(t, "rounding").as_str() {
                "decimals" => Rounding::Decimals(digits),
                "significant" => Rounding::Significant(digits),
                _ => Rounding::Full,
            },
            pierced_reduction: number(t, "pierced-reduction-share").unwrap_or_default(),
            exceptions: t["exceptions"]
                .as_array()
                .expect("a list")
                .iter()
                .map(|e| e.as_str().expect("a text").to_string())
                .collect(),
            source: words(t, "source"),
            standing: standing(t),
        }
    };
    tables("rules/thermal-limits").iter().map(limit).collect()
}

/// `rules/moisture/humidity-classes`.
pub fn classes() -> Vec<HumidityClass> {
    let class = |t: &Table| HumidityClass {
        id: words(t, "key"),
        rooms: words(t, "rooms"),
        excess: VapourPressure::from_pa(number(t, "excess-pa").expect("an excess")),
        none_from: Temperature::from_celsius(
            number(t, "none-from-celsius").expect("a temperature"),
        ),
        source: words(t, "source"),
        standing: standing(t),
    };
    tables("rules/moisture/humidity-classes")
        .iter()
        .map(class)
        .collect()
}

/// `rules/moisture/condensate-limits`.
pub fn condensate_limits() -> Vec<CondensateLimit> {
    let limit = |t: &Table| CondensateLimit {
        id: words(t, "key"),
        country: words(t, "country"),
        act: words(t, "act"),
        at: match words(t, "at").as_str() {
            "any-plane" => CondensateAt::AnyPlane,
            "non-capillary-contact" => CondensateAt::NonCapillaryContact,
            other => panic!("at `{other}`"),
        },
        value: AreaMass::from_kg_per_m2(number(t, "limit-kg-per-m2").expect("a limit")),
        source: words(t, "source"),
        standing: standing(t),
    };
    tables("rules/moisture/condensate-limits")
        .iter()
        .map(limit)
        .collect()
}

/// `rules/moisture/factor-floors`.
pub fn floors() -> Vec<FactorFloor> {
    let floor = |t: &Table| FactorFloor {
        id: words(t, "key"),
        country: words(t, "country"),
        act: words(t, "act"),
        value: number(t, "factor").expect("a factor"),
        source: words(t, "source"),
        standing: standing(t),
    };
    tables("rules/moisture/factor-floors")
        .iter()
        .map(floor)
        .collect()
}

/// `climates`.
pub fn climates() -> Vec<Climate> {
    let climate = |t: &Table| {
        let outside = numbers(t, "outside-celsius").expect("temperatures");
        let days = numbers(t, "days").expect("days");
        let humidity: Vec<OutsideHumidity> = match numbers(t, "relative-humidity") {
            Some(list) => list.into_iter().map(OutsideHumidity::Relative).collect(),
            None => numbers(t, "vapour-pressure-pa")
                .expect("humidity or pressure")
                .into_iter()
                .map(|p| OutsideHumidity::Pressure(VapourPressure::from_pa(p)))
                .collect(),
        };
        Climate {
            id: words(t, "key"),
            name: words(t, "name"),
            source: words(t, "source"),
            standing: standing(t),
            path: String::new(),
            months: outside
                .into_iter()
                .zip(humidity)
                .zip(days)
                .map(|((celsius, humidity), days)| Month {
                    outside: Temperature::from_celsius(celsius),
                    humidity,
                    length: Duration::from_days(days),
                })
                .collect(),
        }
    };
    tables("climates").iter().map(climate).collect()
}

/// A carried year of hours as a text in the EPW format.
pub fn weather_text(name: &str) -> String {
    let file =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("worked/thermal/weather/{name}.txt"));
    let hours = std::fs::read_to_string(file).expect("carried weather");
    let mut text = format!("LOCATION,{name},-,-,typical year,000000,36.10,-79.95,-5.0,273.0\n");
    text.push_str("DESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\n");
    text.push_str(
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,hours of the worked example\nCOMMENTS 2,\n",
    );
    text.push_str("DATA PERIODS,1,1,Data,Sunday,1/1,12/31\n");
    for line in hours.lines().filter(|l| !l.starts_with('#')) {
        let fields: Vec<&str> = line.split_whitespace().collect();
        for hour in 0..24 {
            let (celsius, humidity) = (fields[2 + hour], fields[26 + hour]);
            let _ = writeln!(
                text,
                "1988,{},{},{},0,?9,{celsius},0.0,{humidity},101325,0,0,300,0,0,0,0,0,0,0,180,3.0,5,5,10,3000,9,999999999,10,0.1,0,88,0.2,0.0,1.0",
                fields[0],
                fields[1],
                hour + 1
            );
        }
    }
    text
}
