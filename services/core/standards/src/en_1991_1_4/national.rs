//! National parameters as plain data, so that a national annex is a data file and never code.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec;
use alloc::vec::Vec;

use quantity::{Density, Length, WindPressure, WindSpeed};
use working::{Faults, Standing};

/// A value of rule data with its source and how well it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Cited<T> {
    /// The value.
    pub value: T,
    /// How well it is known.
    pub standing: Standing,
    /// Where it was read, in words.
    pub source: String,
}

impl<T> Cited<T> {
    /// A value read in a published text, or confirmed against published numbers.
    pub fn published(value: T, source: &str) -> Self {
        Self {
            value,
            standing: Standing::Published,
            source: source.to_string(),
        }
    }
    /// A value that is still to be verified against the text.
    pub fn unverified(value: T, source: &str) -> Self {
        Self {
            value,
            standing: Standing::Unverified,
            source: source.to_string(),
        }
    }
    /// The source as the sheet prints it, with a plain word where the value is not verified.
    pub fn cite(&self, key: &str) -> String {
        match self.standing {
            Standing::Unverified => format!("{key} ({}; UNVERIFIED)", self.source),
            Standing::Published | Standing::Project => format!("{key} ({})", self.source),
        }
    }
}

/// How the velocity of a zone depends on the altitude of the site.
#[derive(Clone, Debug, PartialEq)]
pub enum AltitudeRule {
    /// It does not.
    None,
    /// The value holds up to an altitude and nothing is known above.
    UpTo {
        /// The greatest altitude.
        highest: Length,
    },
    /// Velocity times 1 + k_s (A / A_0 - 1) above A_0.
    Ratio {
        /// A_0.
        from: Length,
        /// k_s.
        slope: f64,
        /// The greatest altitude.
        highest: Length,
    },
    /// Velocity times 1 + s (A - A_0) above A_0.
    PerMetre {
        /// A_0.
        from: Length,
        /// s, per metre.
        per_metre: f64,
        /// The greatest altitude.
        highest: Length,
    },
    /// Velocity times 1 + s A, falling with the height z_s = share times the building's height above 10 m.
    ByHeight {
        /// s, per metre.
        per_metre: f64,
        /// The share of the building's height that z_s is.
        height_share: f64,
        /// The greatest altitude.
        highest: Length,
    },
    /// Peak pressure times (constant + A / 1000 m) above an altitude.
    OnPressure {
        /// Where it begins.
        from: Length,
        /// The constant.
        constant: f64,
        /// The greatest altitude.
        highest: Length,
    },
}

/// A wind zone of the country.
#[derive(Clone, Debug, PartialEq)]
pub struct WindZone {
    /// Its key, such as `2`.
    pub key: String,
    /// The fundamental basic wind velocity.
    pub velocity: Cited<WindSpeed>,
    /// How it depends on altitude.
    pub altitude: Cited<AltitudeRule>,
}

/// What the numbers of a profile stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Exposure factors: peak pressure over basic pressure.
    Factor,
    /// Peak pressures in pascals.
    Pressure,
}

/// How a table is read between its heights.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeightReading {
    /// The next height above holds: a table of bands.
    Step,
    /// Linear between heights; below the first the first holds.
    Linear,
}

/// The terrain factor of a logarithmic profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TerrainFactor {
    /// By the standard's formula from the roughness length.
    Formula,
    /// Stated.
    Stated(f64),
}

/// The turbulence factor of a logarithmic profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TurbulenceFactor {
    /// A constant; 1 is recommended.
    Constant(f64),
    /// 1 - a (log10 z_0 + b)^n.
    OfRoughness {
        /// a.
        a: f64,
        /// b.
        b: f64,
        /// n.
        n: f64,
    },
}

/// One band of a profile by bands: value = factor (z / 10 m)^exponent up to a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// The greatest height of the band.
    pub to: Length,
    /// The exposure factor, or the pressure in pascals, at 10 m.
    pub factor: f64,
    /// The exponent; 0 for a constant.
    pub exponent: f64,
}

/// A column of a table by wind zone.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneColumn {
    /// The zone.
    pub zone: String,
    /// One value for each height, or for the first heights only where the table ends earlier.
    pub values: Vec<f64>,
}

/// A column of a table by a number, such as the distance to the shore.
#[derive(Clone, Debug, PartialEq)]
pub struct ParameterColumn {
    /// The number.
    pub at: f64,
    /// One value for each height.
    pub values: Vec<f64>,
}

/// The columns of a profile by table.
#[derive(Clone, Debug, PartialEq)]
pub enum TableColumns {
    /// By wind zone.
    ByZone(Vec<ZoneColumn>),
    /// By a number, linear between columns; outside them the nearest holds.
    ByParameter {
        /// What the number is, such as `distance to the shore in km`.
        parameter: String,
        /// Columns in ascending order.
        columns: Vec<ParameterColumn>,
    },
}

/// How the peak pressure grows with height.
#[derive(Clone, Debug, PartialEq)]
pub enum Profile {
    /// The logarithmic profile.
    Log {
        /// Roughness length.
        z_0: Length,
        /// Least height.
        z_min: Length,
        /// Terrain factor.
        terrain_factor: TerrainFactor,
        /// Turbulence factor.
        turbulence: TurbulenceFactor,
    },
    /// Powers of height by bands.
    Bands {
        /// What the factors are.
        basis: Basis,
        /// Least height.
        z_min: Length,
        /// Bands in ascending order.
        bands: Vec<Band>,
    },
    /// A table.
    Table {
        /// What the values are.
        basis: Basis,
        /// How it is read between heights.
        reading: HeightReading,
        /// Heights in ascending order.
        heights: Vec<Length>,
        /// Columns.
        columns: TableColumns,
    },
}

/// A terrain category or profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Terrain {
    /// Its key, such as `II`.
    pub key: String,
    /// What it looks like.
    pub meaning: String,
    /// Its profile.
    pub profile: Cited<Profile>,
}

/// How another return period than 50 years is treated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ReturnPeriodRule {
    /// The recommended formula.
    Ratio {
        /// K.
        shape: f64,
        /// n.
        exponent: f64,
    },
    /// With a stated constant in front, applied to 50 years as well.
    Stated {
        /// The constant.
        constant: f64,
        /// K.
        shape: f64,
        /// n.
        exponent: f64,
    },
}

/// The coefficients for 10 and for 1 square metre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoefficientPair {
    /// c_pe,10.
    pub ten: f64,
    /// c_pe,1.
    pub one: f64,
}

/// The coefficients of the walls at one ratio of height to depth.
#[derive(Clone, Debug, PartialEq)]
pub struct CoefficientRow {
    /// h/d.
    pub ratio: f64,
    /// Zones A, B, C, D, E in this order.
    pub zones: [Cited<CoefficientPair>; 5],
}

/// At which height the pressure on side and leeward walls is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SideReference {
    /// At the building's height (recommended).
    BuildingHeight,
    /// In parts as on the windward wall.
    Parts,
}

/// The national parameters of EN 1991-1-4 for facades.
#[derive(Clone, Debug, PartialEq)]
pub struct NationalWind {
    /// Its key, such as `en-recommended`.
    pub key: String,
    /// Its name.
    pub name: String,
    /// ISO 3166-1 alpha-2 code, or empty for none.
    pub country: String,
    /// The document and edition it stands for.
    pub document: String,
    /// The air's density.
    pub air_density: Cited<Density>,
    /// Directional factor where the caller states none.
    pub direction_factor: Cited<f64>,
    /// Season factor where the caller states none.
    pub season_factor: Cited<f64>,
    /// How another return period is treated.
    pub return_period: Cited<ReturnPeriodRule>,
    /// Wind zones; empty where only the caller's own velocity serves.
    pub zones: Vec<WindZone>,
    /// Terrains.
    pub terrains: Vec<Terrain>,
    /// Rows of Table 7.1 in ascending order of h/d.
    pub coefficients: Vec<CoefficientRow>,
    /// Reference height of side and leeward walls.
    pub side_reference: Cited<SideReference>,
    /// Number of strips between the lower and the upper part of a wall higher than 2b.
    pub strips_between: Cited<u32>,
    /// Characteristic suction above which national approvals stop, where known.
    pub suction_limit: Option<Cited<WindPressure>>,
}

const RECOMMENDED: &str =
    "EN 1991-1-4:2005+A1:2010, recommended value, confirmed by published examples";
const PROJECT_STRIPS: &str =
    "choice of this project; the document leaves the height of the strips open";

impl NationalWind {
    /// The recommended values of the document itself.
    ///
    /// ```
    /// use standards::en_1991_1_4::NationalWind;
    /// let set = NationalWind::recommended();
    /// assert_eq!(set.terrains.len(), 5);
    /// assert!(set.check("set").is_empty());
    /// ```
    pub fn recommended() -> Self {
        let log = |key: &str, meaning: &str, z_0: f64, z_min: f64| Terrain {
            key: key.to_string(),
            meaning: meaning.to_string(),
            profile: Cited::published(
                Profile::Log {
                    z_0: Length::from_m(z_0),
                    z_min: Length::from_m(z_min),
                    terrain_factor: TerrainFactor::Formula,
                    turbulence: TurbulenceFactor::Constant(1.0),
                },
                RECOMMENDED,
            ),
        };
        Self {
            key: "en-recommended".to_string(),
            name: "recommended values of EN 1991-1-4".to_string(),
            country: String::new(),
            document: super::DOCUMENT.to_string(),
            air_density: Cited::published(Density::from_kg_per_m3(1.25), RECOMMENDED),
            direction_factor: Cited::published(1.0, RECOMMENDED),
            season_factor: Cited::published(1.0, RECOMMENDED),
            return_period: Cited::published(
                ReturnPeriodRule::Ratio {
                    shape: 0.2,
                    exponent: 0.5,
                },
                RECOMMENDED,
            ),
            zones: Vec::new(),
            terrains: vec![
                log("0", "sea or coast exposed to the open sea", 0.003, 1.0),
                log("I", "lakes, flat land without obstacles", 0.01, 1.0),
                log("II", "low vegetation, isolated obstacles", 0.05, 2.0),
                log("III", "regular cover, villages, suburbs, forest", 0.3, 5.0),
                log(
                    "IV",
                    "15 % covered with buildings above 15 m on average",
                    1.0,
                    10.0,
                ),
            ],
            coefficients: recommended_coefficients(),
            side_reference: Cited::unverified(
                SideReference::BuildingHeight,
                "7.2.2(1) note, recommended, from memory",
            ),
            strips_between: Cited {
                value: 4,
                standing: Standing::Project,
                source: PROJECT_STRIPS.to_string(),
            },
            suction_limit: None,
        }
    }
    /// The zone of a key.
    pub fn zone(&self, key: &str) -> Option<&WindZone> {
        self.zones.iter().find(|z| z.key == key)
    }
    /// The terrain of a key.
    pub fn terrain(&self, key: &str) -> Option<&Terrain> {
        self.terrains.iter().find(|t| t.key == key)
    }
    /// Every fault of the data: numbers that are not finite or not positive, heights, bands and columns out of order, missing rows.
    pub fn check(&self, path: &str) -> Vec<working::Fault> {
        let mut faults = Faults::new();
        let density = self.air_density.value.as_kg_per_m3();
        positive(&mut faults, format!("{path}.air_density"), density);
        positive(
            &mut faults,
            format!("{path}.direction_factor"),
            self.direction_factor.value,
        );
        positive(
            &mut faults,
            format!("{path}.season_factor"),
            self.season_factor.value,
        );
        for (i, zone) in self.zones.iter().enumerate() {
            let v = zone.velocity.value.as_m_per_s();
            positive(&mut faults, format!("{path}.zones[{i}].velocity"), v);
        }
        if self.terrains.is_empty() {
            faults.add(
                format!("{path}.terrains"),
                "MISSING",
                "no terrain",
                "at least one",
            );
        }
        for (i, terrain) in self.terrains.iter().enumerate() {
            profile(
                &mut faults,
                &format!("{path}.terrains[{i}].profile"),
                &terrain.profile.value,
            );
        }
        let ratios: Vec<f64> = self.coefficients.iter().map(|r| r.ratio).collect();
        ascending(&mut faults, format!("{path}.coefficients"), &ratios);
        for (i, row) in self.coefficients.iter().enumerate() {
            if row
                .zones
                .iter()
                .any(|z| !z.value.ten.is_finite() || !z.value.one.is_finite())
            {
                faults.add(
                    format!("{path}.coefficients[{i}]"),
                    "NOT_FINITE",
                    "a coefficient that is not a number",
                    "numbers",
                );
            }
        }
        if !(1..=50).contains(&self.strips_between.value) {
            faults.add(
                format!("{path}.strips_between"),
                "OUT_OF_RANGE",
                self.strips_between.value.to_string(),
                "1 to 50",
            );
        }
        faults.into_list()
    }
}

fn positive(faults: &mut Faults, path: String, number: f64) {
    if !(number > 0.0 && number.is_finite()) {
        faults.add(
            path,
            "NOT_POSITIVE",
            number.to_string(),
            "a positive number",
        );
    }
}

fn ascending(faults: &mut Faults, path: String, numbers: &[f64]) {
    let rising = numbers.windows(2).all(|pair| pair.first() < pair.last());
    if numbers.is_empty() || !rising || numbers.iter().any(|n| !n.is_finite()) {
        faults.add(
            path,
            "NOT_ASCENDING",
            format!("{numbers:?}"),
            "numbers that rise, at least one",
        );
    }
}

fn profile(faults: &mut Faults, path: &str, profile: &Profile) {
    match profile {
        Profile::Log { z_0, z_min, .. } => {
            positive(faults, format!("{path}.z_0"), z_0.as_m());
            if z_min <= z_0 {
                faults.add(
                    format!("{path}.z_min"),
                    "OUT_OF_RANGE",
                    format!("{} m", z_min.as_m()),
                    "more than the roughness length",
                );
            }
        }
        Profile::Bands { z_min, bands, .. } => {
            positive(faults, format!("{path}.z_min"), z_min.as_m());
            let tops: Vec<f64> = bands.iter().map(|b| b.to.as_m()).collect();
            ascending(faults, format!("{path}.bands"), &tops);
            for (i, band) in bands.iter().enumerate() {
                positive(faults, format!("{path}.bands[{i}].factor"), band.factor);
                if !band.exponent.is_finite() {
                    faults.add(
                        format!("{path}.bands[{i}].exponent"),
                        "NOT_FINITE",
                        "not a number",
                        "a number",
                    );
                }
            }
        }
        Profile::Table {
            heights, columns, ..
        } => {
            let tops: Vec<f64> = heights.iter().map(|h| h.as_m()).collect();
            ascending(faults, format!("{path}.heights"), &tops);
            columns_fit(faults, &format!("{path}.columns"), heights.len(), columns);
        }
    }
}

fn columns_fit(faults: &mut Faults, path: &str, heights: usize, columns: &TableColumns) {
    let values: Vec<(&[f64], bool)> = match columns {
        TableColumns::ByZone(list) => list.iter().map(|c| (c.values.as_slice(), true)).collect(),
        TableColumns::ByParameter { columns, .. } => {
            let at: Vec<f64> = columns.iter().map(|c| c.at).collect();
            ascending(faults, path.to_string(), &at);
            columns
                .iter()
                .map(|c| (c.values.as_slice(), false))
                .collect()
        }
    };
    for (i, (list, may_end)) in values.into_iter().enumerate() {
        let fits = list.len() == heights || (may_end && !list.is_empty() && list.len() < heights);
        if !fits || list.iter().any(|v| !(*v > 0.0 && v.is_finite())) {
            faults.add(
                format!("{path}[{i}].values"),
                "WRONG_LENGTH",
                format!("{} values", list.len()),
                format!("{heights} positive values, one for each height"),
            );
        }
    }
}

/// Table 7.1 with the recommended values, in ascending order of h/d.
fn recommended_coefficients() -> Vec<CoefficientRow> {
    let table = "EN 1991-1-4:2005 Table 7.1, read in two open implementations that agree";
    let row = |ratio: f64, pairs: [(f64, f64); 5]| CoefficientRow {
        ratio,
        zones: pairs.map(|(ten, one)| Cited::published(CoefficientPair { ten, one }, table)),
    };
    vec![
        row(
            0.25,
            [
                (-1.2, -1.4),
                (-0.8, -1.1),
                (-0.5, -0.5),
                (0.7, 1.0),
                (-0.3, -0.3),
            ],
        ),
        row(
            1.0,
            [
                (-1.2, -1.4),
                (-0.8, -1.1),
                (-0.5, -0.5),
                (0.8, 1.0),
                (-0.5, -0.5),
            ],
        ),
        row(
            5.0,
            [
                (-1.2, -1.4),
                (-0.8, -1.1),
                (-0.5, -0.5),
                (0.8, 1.0),
                (-0.7, -0.7),
            ],
        ),
    ]
}
