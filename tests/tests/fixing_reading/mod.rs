//! Reads the rule data of wind, fixing and fire for the checks, with a reader of its own.

#![allow(dead_code)] // each test file uses its part

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use fixing::fire::{FireCondition, FireDemand, FireRule, StripPosition, StripRule};
use quantity::{Density, Force, Length, Mm, PerArea, Stress, WindPressure, WindSpeed};
use serde::Deserialize;
use standards::en_1991_1_4::{
    AltitudeRule, Band, Basis, Cited, CoefficientPair, CoefficientRow, HeightReading, NationalWind,
    ParameterColumn, Profile, ReturnPeriodRule, SideReference, TableColumns, Terrain,
    TerrainFactor, TurbulenceFactor, WindZone, ZoneColumn,
};
use standards::en_13501_1::MainClass;
use standards::eota::{BondRule, FixingRules, PlacementRule, SiteTestRule};
use working::Standing;

/// The project's folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// All TOML files of a folder below the project, by their stem.
pub fn files(folder: &str) -> BTreeMap<String, String> {
    std::fs::read_dir(root().join(folder))
        .expect(folder)
        .map(|entry| entry.expect("entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .map(|path| {
            let stem = path
                .file_stem()
                .expect("stem")
                .to_string_lossy()
                .into_owned();
            (stem, std::fs::read_to_string(&path).expect("readable"))
        })
        .collect()
}

fn standing(word: &str) -> Standing {
    match word {
        "published" => Standing::Published,
        "project" => Standing::Project,
        "unverified" => Standing::Unverified,
        other => panic!("status {other}"),
    }
}

/// Where a value is from when it does not say so itself.
struct Whole {
    source: String,
    status: String,
}

impl Whole {
    fn cite<T>(&self, value: T, source: Option<&String>, status: Option<&String>) -> Cited<T> {
        Cited {
            value,
            standing: standing(status.unwrap_or(&self.status)),
            source: source.unwrap_or(&self.source).clone(),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct ValueEntry {
    value: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DensityEntry {
    #[serde(rename = "kg-per-m3")]
    density: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct PeriodEntry {
    rule: String,
    constant: Option<f64>,
    shape: f64,
    exponent: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SideEntry {
    at: String,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CountEntry {
    count: u32,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitEntry {
    kpa: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct ZoneEntry {
    key: String,
    velocity_m_per_s: f64,
    altitude: String,
    altitude_from_m: Option<f64>,
    altitude_slope: Option<f64>,
    altitude_per_metre: Option<f64>,
    altitude_height_share: Option<f64>,
    altitude_constant: Option<f64>,
    altitude_to_m: Option<f64>,
    altitude_source: Option<String>,
    altitude_status: Option<String>,
    source: Option<String>,
    status: Option<String>,
}

impl ZoneEntry {
    fn rule(&self) -> AltitudeRule {
        let m = |n: Option<f64>| Length::from_m(n.expect("metres"));
        match self.altitude.as_str() {
            "none" => AltitudeRule::None,
            "up-to" => AltitudeRule::UpTo {
                highest: m(self.altitude_to_m),
            },
            "ratio" => AltitudeRule::Ratio {
                from: m(self.altitude_from_m),
                slope: self.altitude_slope.expect("slope"),
                highest: m(self.altitude_to_m),
            },
            "per-metre" => AltitudeRule::PerMetre {
                from: m(self.altitude_from_m),
                per_metre: self.altitude_per_metre.expect("per metre"),
                highest: m(self.altitude_to_m),
            },
            "by-height" => AltitudeRule::ByHeight {
                per_metre: self.altitude_per_metre.expect("per metre"),
                height_share: self.altitude_height_share.expect("share"),
                highest: m(self.altitude_to_m),
            },
            "on-pressure" => AltitudeRule::OnPressure {
                from: m(self.altitude_from_m),
                constant: self.altitude_constant.expect("constant"),
                highest: m(self.altitude_to_m),
            },
            other => panic!("altitude {other}"),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct BandEntry {
    to_m: f64,
    factor: Option<f64>,
    at_10_m_kpa: Option<f64>,
    exponent: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct ColumnEntry {
    zone: Option<String>,
    at: Option<f64>,
    values: Option<Vec<f64>>,
    values_kpa: Option<Vec<f64>>,
}

impl ColumnEntry {
    fn values(&self) -> Vec<f64> {
        match (&self.values, &self.values_kpa) {
            (Some(values), None) => values.clone(),
            (None, Some(values)) => values.iter().map(|v| v * 1000.0).collect(),
            _ => panic!("one of values and values-kpa"),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct TerrainEntry {
    key: String,
    meaning: String,
    profile: String,
    roughness_length_m: Option<f64>,
    height_min_m: Option<f64>,
    terrain_factor: Option<f64>,
    turbulence_factor: Option<f64>,
    turbulence_a: Option<f64>,
    turbulence_b: Option<f64>,
    turbulence_n: Option<f64>,
    basis: Option<String>,
    reading: Option<String>,
    heights_m: Option<Vec<f64>>,
    parameter: Option<String>,
    #[serde(default)]
    band: Vec<BandEntry>,
    #[serde(default)]
    column: Vec<ColumnEntry>,
    source: Option<String>,
    status: Option<String>,
}

impl TerrainEntry {
    fn basis(&self) -> Basis {
        match self.basis.as_deref() {
            Some("factor") => Basis::Factor,
            Some("pressure") => Basis::Pressure,
            other => panic!("basis {other:?}"),
        }
    }
    fn profile(&self) -> Profile {
        let m = |n: Option<f64>| Length::from_m(n.expect("metres"));
        match self.profile.as_str() {
            "log" => Profile::Log {
                z_0: m(self.roughness_length_m),
                z_min: m(self.height_min_m),
                terrain_factor: self
                    .terrain_factor
                    .map_or(TerrainFactor::Formula, TerrainFactor::Stated),
                turbulence: match (self.turbulence_a, self.turbulence_b, self.turbulence_n) {
                    (Some(a), Some(b), Some(n)) => TurbulenceFactor::OfRoughness { a, b, n },
                    _ => TurbulenceFactor::Constant(self.turbulence_factor.unwrap_or(1.0)),
                },
            },
            "bands" => Profile::Bands {
                basis: self.basis(),
                z_min: m(self.height_min_m),
                bands: self
                    .band
                    .iter()
                    .map(|b| Band {
                        to: Length::from_m(b.to_m),
                        factor: b
                            .factor
                            .unwrap_or_else(|| b.at_10_m_kpa.expect("kpa") * 1000.0),
                        exponent: b.exponent,
                    })
                    .collect(),
            },
            "table" => Profile::Table {
                basis: self.basis(),
                reading: match self.reading.as_deref() {
                    Some("step") => HeightReading::Step,
                    Some("linear") => HeightReading::Linear,
                    other => panic!("reading {other:?}"),
                },
                heights: self
                    .heights_m
                    .iter()
                    .flatten()
                    .map(|&h| Length::from_m(h))
                    .collect(),
                columns: self.columns(),
            },
            other => panic!("profile {other}"),
        }
    }
    fn columns(&self) -> TableColumns {
        match &self.parameter {
            Some(parameter) => TableColumns::ByParameter {
                parameter: parameter.clone(),
                columns: self
                    .column
                    .iter()
                    .map(|c| ParameterColumn {
                        at: c.at.expect("at"),
                        values: c.values(),
                    })
                    .collect(),
            },
            None => TableColumns::ByZone(
                self.column
                    .iter()
                    .map(|c| ZoneColumn {
                        zone: c.zone.clone().expect("zone"),
                        values: c.values(),
                    })
                    .collect(),
            ),
        }
    }
}

#[derive(Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
struct PairEntry {
    ten: f64,
    one: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RowEntry {
    h_over_d: f64,
    a: PairEntry,
    b: PairEntry,
    c: PairEntry,
    d: PairEntry,
    e: PairEntry,
    #[serde(default)]
    unverified_zones: Vec<String>,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct WindEntry {
    format: u32,
    key: String,
    name: String,
    country: String,
    document: String,
    source: String,
    status: String,
    #[allow(dead_code)]
    notes: Vec<String>,
    air_density: DensityEntry,
    direction_factor: ValueEntry,
    season_factor: ValueEntry,
    return_period: PeriodEntry,
    side_reference: SideEntry,
    strips_between: CountEntry,
    suction_limit: Option<LimitEntry>,
    #[serde(default)]
    zone: Vec<ZoneEntry>,
    terrain: Vec<TerrainEntry>,
    coefficients: Vec<RowEntry>,
}

/// A national set from its text.
pub fn wind(text: &str) -> NationalWind {
    let e: WindEntry = toml::from_str(text).expect("wind data");
    assert_eq!(e.format, 1);
    let whole = Whole {
        source: e.source.clone(),
        status: e.status.clone(),
    };
    let value = |v: &ValueEntry| whole.cite(v.value, v.source.as_ref(), v.status.as_ref());
    let period = match e.return_period.rule.as_str() {
        "ratio" => ReturnPeriodRule::Ratio {
            shape: e.return_period.shape,
            exponent: e.return_period.exponent,
        },
        "stated" => ReturnPeriodRule::Stated {
            constant: e.return_period.constant.expect("constant"),
            shape: e.return_period.shape,
            exponent: e.return_period.exponent,
        },
        other => panic!("rule {other}"),
    };
    let side = match e.side_reference.at.as_str() {
        "building-height" => SideReference::BuildingHeight,
        "parts" => SideReference::Parts,
        other => panic!("at {other}"),
    };
    NationalWind {
        air_density: whole.cite(
            Density::from_kg_per_m3(e.air_density.density),
            e.air_density.source.as_ref(),
            e.air_density.status.as_ref(),
        ),
        direction_factor: value(&e.direction_factor),
        season_factor: value(&e.season_factor),
        return_period: whole.cite(
            period,
            e.return_period.source.as_ref(),
            e.return_period.status.as_ref(),
        ),
        zones: e
            .zone
            .iter()
            .map(|z| WindZone {
                key: z.key.clone(),
                velocity: whole.cite(
                    WindSpeed::from_m_per_s(z.velocity_m_per_s),
                    z.source.as_ref(),
                    z.status.as_ref(),
                ),
                altitude: whole.cite(
                    z.rule(),
                    z.altitude_source.as_ref(),
                    z.altitude_status.as_ref(),
                ),
            })
            .collect(),
        terrains: e
            .terrain
            .iter()
            .map(|t| Terrain {
                key: t.key.clone(),
                meaning: t.meaning.clone(),
                profile: whole.cite(t.profile(), t.source.as_ref(), t.status.as_ref()),
            })
            .collect(),
        coefficients: e.coefficients.iter().map(|r| row(r, &whole)).collect(),
        side_reference: whole.cite(
            side,
            e.side_reference.source.as_ref(),
            e.side_reference.status.as_ref(),
        ),
        strips_between: whole.cite(
            e.strips_between.count,
            e.strips_between.source.as_ref(),
            e.strips_between.status.as_ref(),
        ),
        suction_limit: e.suction_limit.as_ref().map(|l| {
            whole.cite(
                WindPressure::from_kpa(l.kpa),
                l.source.as_ref(),
                l.status.as_ref(),
            )
        }),
        key: e.key,
        name: e.name,
        country: e.country,
        document: e.document,
    }
}

fn row(r: &RowEntry, whole: &Whole) -> CoefficientRow {
    let zones = [("a", r.a), ("b", r.b), ("c", r.c), ("d", r.d), ("e", r.e)];
    CoefficientRow {
        ratio: r.h_over_d,
        zones: zones.map(|(sign, pair)| {
            let mut cited = whole.cite(
                CoefficientPair {
                    ten: pair.ten,
                    one: pair.one,
                },
                r.source.as_ref(),
                r.status.as_ref(),
            );
            if r.unverified_zones.iter().any(|z| z == sign) {
                cited.standing = Standing::Unverified;
            }
            cited
        }),
    }
}

/// All national sets, by key.
pub fn wind_sets() -> BTreeMap<String, NationalWind> {
    files("catalogues/rules/wind")
        .into_iter()
        .map(|(stem, text)| {
            let set = wind(&text);
            assert_eq!(set.key, stem, "a file is named by its key");
            (stem, set)
        })
        .collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct NumberEntry {
    min_per_m2: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct UsualEntry {
    low_per_m2: f64,
    high_per_m2: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct SiteTestsEntry {
    tests_min: u32,
    smallest: u32,
    factor: f64,
    cap_kn: f64,
    steps_kn: Vec<f64>,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct BondEntry {
    needed_strength_mpa: f64,
    share_floor: f64,
    substrate_min_mpa: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FlatnessEntry {
    bonded_mm_per_m: f64,
    anchored_mm_per_m: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct PlacementEntry {
    board_edge_mm: f64,
    board_edge_min_mm: f64,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FixingEntry {
    format: u32,
    key: String,
    name: String,
    country: String,
    document: String,
    source: String,
    status: String,
    #[allow(dead_code)]
    notes: Vec<String>,
    wind_factor: ValueEntry,
    wall_factor: ValueEntry,
    system_factor: ValueEntry,
    system_reduction: ValueEntry,
    number: NumberEntry,
    usual_number: UsualEntry,
    site_tests: SiteTestsEntry,
    bond: BondEntry,
    bond_share_practice: ValueEntry,
    bond_material_factor: ValueEntry,
    dead_load_factor: ValueEntry,
    flatness: FlatnessEntry,
    placement: PlacementEntry,
}

/// Fixing rules from their text.
pub fn fixing_rules(text: &str) -> FixingRules {
    let e: FixingEntry = toml::from_str(text).expect("fixing rules");
    assert_eq!(e.format, 1);
    let whole = Whole {
        source: e.source.clone(),
        status: e.status.clone(),
    };
    let value = |v: &ValueEntry| whole.cite(v.value, v.source.as_ref(), v.status.as_ref());
    let (t, b, f, p) = (&e.site_tests, &e.bond, &e.flatness, &e.placement);
    let usual = |n: f64| {
        whole.cite(
            PerArea::from_per_m2(n),
            e.usual_number.source.as_ref(),
            e.usual_number.status.as_ref(),
        )
    };
    FixingRules {
        wind_factor: value(&e.wind_factor),
        wall_factor: value(&e.wall_factor),
        system_factor: value(&e.system_factor),
        system_reduction: value(&e.system_reduction),
        per_m2_min: whole.cite(
            PerArea::from_per_m2(e.number.min_per_m2),
            e.number.source.as_ref(),
            e.number.status.as_ref(),
        ),
        per_m2_usual_low: usual(e.usual_number.low_per_m2),
        per_m2_usual_high: usual(e.usual_number.high_per_m2),
        site_tests: SiteTestRule {
            tests_min: whole.cite(t.tests_min, t.source.as_ref(), t.status.as_ref()),
            smallest: whole.cite(t.smallest, t.source.as_ref(), t.status.as_ref()),
            factor: whole.cite(t.factor, t.source.as_ref(), t.status.as_ref()),
            cap: whole.cite(
                Force::from_kn(t.cap_kn),
                t.source.as_ref(),
                t.status.as_ref(),
            ),
            steps: whole.cite(
                t.steps_kn.iter().map(|&s| Force::from_kn(s)).collect(),
                t.source.as_ref(),
                t.status.as_ref(),
            ),
        },
        bond: BondRule {
            needed_strength: whole.cite(
                Stress::from_mpa(b.needed_strength_mpa),
                b.source.as_ref(),
                b.status.as_ref(),
            ),
            share_floor: whole.cite(b.share_floor, b.source.as_ref(), b.status.as_ref()),
            share_practice: value(&e.bond_share_practice),
            substrate_min: whole.cite(
                Stress::from_mpa(b.substrate_min_mpa),
                b.source.as_ref(),
                b.status.as_ref(),
            ),
            material_factor: value(&e.bond_material_factor),
            dead_load_factor: value(&e.dead_load_factor),
            flatness_bonded_mm: whole.cite(f.bonded_mm_per_m, f.source.as_ref(), f.status.as_ref()),
            flatness_anchored_mm: whole.cite(
                f.anchored_mm_per_m,
                f.source.as_ref(),
                f.status.as_ref(),
            ),
        },
        placement: PlacementRule {
            board_edge: whole.cite(
                Length::from_mm(p.board_edge_mm),
                p.source.as_ref(),
                p.status.as_ref(),
            ),
            board_edge_min: whole.cite(
                Length::from_mm(p.board_edge_min_mm),
                p.source.as_ref(),
                p.status.as_ref(),
            ),
        },
        key: e.key,
        name: e.name,
        country: e.country,
        document: e.document,
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct StripEntry {
    position: String,
    not_above_mm: Option<i32>,
    storey: Option<u32>,
    from_below_mm: Option<i32>,
    storeys: Option<u32>,
    past_mm: Option<i32>,
    height_min_mm: i32,
    material: String,
    #[serde(default)]
    extra_anchors_per_m: f64,
    #[serde(default)]
    note: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FireEntry {
    id: String,
    legal_reference: String,
    edition: String,
    verified_by: String,
    verified_on: String,
    headline: String,
    #[serde(default)]
    superseded_by: String,
    #[serde(default)]
    insulation: Vec<String>,
    thickness_above_mm: Option<i32>,
    thickness_to_mm: Option<i32>,
    height_above_m: Option<f64>,
    height_to_m: Option<f64>,
    storeys_from: Option<u32>,
    class_above_m: Option<f64>,
    class: Option<String>,
    #[serde(default)]
    strip: Vec<StripEntry>,
    source: Option<String>,
    status: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FireFile {
    format: u32,
    #[allow(dead_code)]
    key: String,
    #[allow(dead_code)]
    name: String,
    country: String,
    source: String,
    status: String,
    #[allow(dead_code)]
    notes: Vec<String>,
    rule: Vec<FireEntry>,
}

fn class(text: &str) -> MainClass {
    match text {
        "A1" => MainClass::A1,
        "A2" => MainClass::A2,
        "B" => MainClass::B,
        "C" => MainClass::C,
        "D" => MainClass::D,
        "E" => MainClass::E,
        "F" => MainClass::F,
        other => panic!("class {other}"),
    }
}

fn strip(s: &StripEntry) -> StripRule {
    let position = match s.position.as_str() {
        "lower-edge" => StripPosition::LowerEdge {
            not_above: Mm(s.not_above_mm.expect("not-above-mm")),
        },
        "ceiling" => StripPosition::Ceiling {
            storey: s.storey.expect("storey"),
            from_below: Mm(s.from_below_mm.unwrap_or(0)),
        },
        "every-storeys" => StripPosition::EveryStoreys {
            storeys: s.storeys.expect("storeys"),
        },
        "upper-edge" => StripPosition::UpperEdge,
        "over-openings" => StripPosition::OverOpenings {
            past: Mm(s.past_mm.expect("past-mm")),
        },
        "not-stated" => StripPosition::NotStated,
        other => panic!("position {other}"),
    };
    StripRule {
        position,
        height_min: Mm(s.height_min_mm),
        material: class(&s.material),
        extra_anchors_per_m: s.extra_anchors_per_m,
        note: s.note.clone(),
    }
}

/// All fire rows.
pub fn fire_rules() -> Vec<FireRule> {
    files("catalogues/rules/fire")
        .values()
        .flat_map(|text| {
            let file: FireFile = toml::from_str(text).expect("fire rows");
            assert_eq!(file.format, 1);
            let (country, source, status) = (file.country, file.source, file.status);
            file.rule.into_iter().map(move |r| FireRule {
                country: country.clone(),
                id: r.id,
                legal_reference: r.legal_reference,
                edition: r.edition,
                verified_by: r.verified_by,
                verified_on: r.verified_on,
                standing: standing(r.status.as_ref().unwrap_or(&status)),
                source: r.source.unwrap_or_else(|| source.clone()),
                headline: r.headline,
                superseded_by: r.superseded_by,
                when: FireCondition {
                    insulation: r.insulation.iter().map(|c| class(c)).collect(),
                    thickness_above: r.thickness_above_mm.map(Mm),
                    thickness_to: r.thickness_to_mm.map(Mm),
                    height_above: r.height_above_m.map(Length::from_m),
                    height_to: r.height_to_m.map(Length::from_m),
                    storeys_from: r.storeys_from,
                },
                demand: match (r.class_above_m, &r.class) {
                    (Some(height), Some(main)) => FireDemand::ClassAbove {
                        height: Length::from_m(height),
                        class: class(main),
                    },
                    _ => FireDemand::Strips(r.strip.iter().map(strip).collect()),
                },
            })
        })
        .collect()
}
