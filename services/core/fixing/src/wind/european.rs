//! EN 1991-1-4 with national parameters.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use quantity::{Area, Length, Mm, WindPressure, WindSpeed};
use standards::en_1991_1_4 as en;
use standards::en_1991_1_4::{
    AltitudeRule, Basis, HeightReading, NationalWind, Profile, ReturnPeriodRule, SideReference,
    TableColumns, Terrain, TerrainFactor, TurbulenceFactor, WindZone,
};
use working::{Fault, Faults, Figure, Finding, Origin, Severity, Sheet, Standing};

use super::envelope::{Patch, envelope};
use super::{
    FacadeOnPlan, FacadeSuction, LoadLevel, Plan, PlanShape, Runs, Suction, WindCode, WindRequest,
    Zone,
};

/// The site.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Fundamental basic wind velocity where the caller states it; it stands before the zone's.
    pub velocity: Option<WindSpeed>,
    /// Wind zone of the national set, or empty.
    pub zone: String,
    /// Terrain of the national set, such as `II`.
    pub terrain: String,
    /// Altitude above the sea, where the zone's rule needs it.
    pub altitude: Option<Length>,
    /// Orography factor; 1 on flat ground.
    pub orography: f64,
    /// Directional factor, where the national one is not meant.
    pub direction_factor: Option<f64>,
    /// Season factor, where the national one is not meant.
    pub season_factor: Option<f64>,
    /// Return period in years, where it is not 50.
    pub return_period_years: Option<f64>,
    /// The number by which a table's columns are chosen, such as the distance to the shore.
    pub table_parameter: Option<f64>,
}

impl Default for Site {
    fn default() -> Self {
        Self {
            velocity: None,
            zone: String::new(),
            terrain: String::new(),
            altitude: None,
            orography: 1.0,
            direction_factor: None,
            season_factor: None,
            return_period_years: None,
            table_parameter: None,
        }
    }
}

/// EN 1991-1-4 at a site.
#[derive(Clone, Copy, Debug)]
pub struct EnWind<'a> {
    /// National parameters.
    pub national: &'a NationalWind,
    /// The site.
    pub site: &'a Site,
    /// Path of the site in the request, for faults and origins.
    pub path: &'a str,
}

/// The peak velocity pressure at one height and what led to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeakPressure {
    /// Basic wind velocity.
    pub basic_velocity: Figure<WindSpeed>,
    /// Basic velocity pressure.
    pub basic_pressure: Figure<WindPressure>,
    /// Peak velocity pressure.
    pub peak: Figure<WindPressure>,
    /// Exposure factor.
    pub exposure: Figure<f64>,
}

/// What is the same at every height.
#[derive(Clone, Copy)]
struct Basic {
    velocity: Figure<WindSpeed>,
    pressure: Figure<WindPressure>,
    density: Figure<quantity::Density>,
    orography: Figure<f64>,
}

/// One wind direction across the plan: `b` across, `d` along.
struct Orientation {
    b: Length,
    edge: Figure<Length>,
    ratio: Figure<f64>,
    coefficients: [Figure<f64>; 5],
}

const WINDWARD: usize = 3;
const LEEWARD: usize = 4;

impl EnWind<'_> {
    fn at(&self, field: &str) -> String {
        format!("{}.{field}", self.path)
    }
    fn rule(&self, key: &str, cited: &str) -> Origin {
        Origin::Rule(format!("{}, {key}: {cited}", self.national.key))
    }
    fn zone(&self) -> Option<&WindZone> {
        self.national.zone(&self.site.zone)
    }

    /// The peak velocity pressure at height `z`, on the sheet.
    ///
    /// # Errors
    /// Every fault of the site, and a height beyond the profile.
    pub fn peak_pressure(&self, z: Length, sheet: &mut Sheet) -> Result<PeakPressure, Vec<Fault>> {
        let mut faults = Faults::new();
        self.check_site(z, &mut faults);
        faults.or(())?;
        let terrain = self.terrain()?;
        let basic = self.basic(z, sheet);
        let height = sheet.given("z", z, Origin::request("z"));
        let peak = self.peak(terrain, basic, height, sheet);
        let exposure = sheet.derive("c_e", &en::EXPOSURE_FACTOR, (peak, basic.pressure));
        Ok(PeakPressure {
            basic_velocity: basic.velocity,
            basic_pressure: basic.pressure,
            peak,
            exposure,
        })
    }

    fn terrain(&self) -> Result<&Terrain, Vec<Fault>> {
        self.national.terrain(&self.site.terrain).ok_or_else(|| {
            let mut faults = Faults::new();
            self.unknown_terrain(&mut faults);
            faults.into_list()
        })
    }

    fn unknown_terrain(&self, faults: &mut Faults) {
        let names: Vec<&str> = self
            .national
            .terrains
            .iter()
            .map(|t| t.key.as_str())
            .collect();
        faults.add(
            self.at("terrain"),
            "UNKNOWN_TERRAIN",
            format!("`{}`", self.site.terrain),
            format!("one of {} of set {}", names.join(", "), self.national.key),
        );
    }

    fn check_site(&self, height: Length, faults: &mut Faults) {
        let site = self.site;
        self.check_velocity(faults);
        self.check_altitude(faults);
        let mut within = |field: &str, number: Option<f64>, low: f64, high: f64| {
            if let Some(n) = number
                && !(low..=high).contains(&n)
            {
                faults.add(
                    self.at(field),
                    "OUT_OF_RANGE",
                    n.to_string(),
                    format!("{low} to {high}"),
                );
            }
        };
        within("orography_factor", Some(site.orography), 1.0, 2.0);
        within("direction_factor", site.direction_factor, 0.5, 1.2);
        within("season_factor", site.season_factor, 0.5, 1.2);
        within(
            "return_period_years",
            site.return_period_years,
            2.0,
            10_000.0,
        );
        if height > en::HEIGHT_MAX {
            faults.add(
                "plan.height_m",
                "HEIGHT_BEYOND_SCOPE",
                format!("{} m", height.as_m()),
                format!(
                    "at most 200 m: {}, {}",
                    en::SCOPE.document,
                    en::SCOPE.clause
                ),
            );
        }
        match self.national.terrain(&site.terrain) {
            None => self.unknown_terrain(faults),
            Some(terrain) => self.check_profile(&terrain.profile.value, height, faults),
        }
    }

    fn check_velocity(&self, faults: &mut Faults) {
        let names: Vec<&str> = self.national.zones.iter().map(|z| z.key.as_str()).collect();
        let expected = if names.is_empty() {
            format!(
                "basic_velocity_m_per_s, as set {} has no zones",
                self.national.key
            )
        } else {
            format!("one of {} of set {}", names.join(", "), self.national.key)
        };
        match self.site.velocity {
            Some(v) if !(5.0..=80.0).contains(&v.as_m_per_s()) => faults.add(
                self.at("basic_velocity_m_per_s"),
                "OUT_OF_RANGE",
                format!("{} m/s", v.as_m_per_s()),
                "5 to 80 m/s",
            ),
            Some(_) => {}
            None if self.site.zone.is_empty() => {
                faults.add(
                    self.at("zone"),
                    "MISSING",
                    "neither zone nor velocity",
                    expected,
                );
            }
            None if self.zone().is_none() => {
                faults.add(
                    self.at("zone"),
                    "UNKNOWN_ZONE",
                    format!("`{}`", self.site.zone),
                    expected,
                );
            }
            None => {}
        }
    }

    fn check_altitude(&self, faults: &mut Faults) {
        if let Some(a) = self.site.altitude
            && !(-500.0..=6000.0).contains(&a.as_m())
        {
            faults.add(
                self.at("altitude_m"),
                "OUT_OF_RANGE",
                format!("{} m", a.as_m()),
                "-500 to 6000 m",
            );
        }
        let Some(rule) = self.altitude_rule() else {
            return;
        };
        let highest = match rule {
            AltitudeRule::None => return,
            AltitudeRule::UpTo { highest }
            | AltitudeRule::Ratio { highest, .. }
            | AltitudeRule::PerMetre { highest, .. }
            | AltitudeRule::ByHeight { highest, .. }
            | AltitudeRule::OnPressure { highest, .. } => *highest,
        };
        match self.site.altitude {
            None => faults.add(
                self.at("altitude_m"),
                "MISSING",
                "no altitude",
                format!(
                    "the site's altitude: set {} depends on it",
                    self.national.key
                ),
            ),
            Some(a) if a > highest => faults.add(
                self.at("altitude_m"),
                "ALTITUDE_BEYOND_RULE",
                format!("{} m", a.as_m()),
                format!(
                    "at most {} m: the rule of set {} ends there, a value for the site is needed",
                    highest.as_m(),
                    self.national.key
                ),
            ),
            Some(_) => {}
        }
    }

    /// The altitude rule that acts: the zone's, unless the caller states the velocity at the site.
    fn altitude_rule(&self) -> Option<&AltitudeRule> {
        if self.site.velocity.is_some() {
            return None;
        }
        self.zone().map(|z| &z.altitude.value)
    }

    fn check_profile(&self, profile: &Profile, height: Length, faults: &mut Faults) {
        let end = match profile {
            Profile::Log { .. } => return,
            Profile::Bands { bands, .. } => bands.last().map(|b| b.to),
            Profile::Table {
                heights, columns, ..
            } => {
                let count = self.check_columns(columns, faults).unwrap_or(heights.len());
                count
                    .checked_sub(1)
                    .and_then(|last| heights.get(last).copied())
            }
        };
        if !end.is_some_and(|end| height <= end) {
            faults.add(
                "plan.height_m",
                "PROFILE_ENDS",
                format!("{} m", height.as_m()),
                format!(
                    "at most {} m in terrain {} of set {}",
                    end.unwrap_or_default().as_m(),
                    self.site.terrain,
                    self.national.key
                ),
            );
        }
    }

    /// How many heights the column that is meant has.
    fn check_columns(&self, columns: &TableColumns, faults: &mut Faults) -> Option<usize> {
        match columns {
            TableColumns::ByZone(list) => {
                let found = list.iter().find(|c| c.zone == self.site.zone);
                if found.is_none() {
                    let names: Vec<&str> = list.iter().map(|c| c.zone.as_str()).collect();
                    faults.add(
                        self.at("zone"),
                        "UNKNOWN_ZONE",
                        format!("`{}`", self.site.zone),
                        format!(
                            "one of {}: the table of this terrain goes by zone",
                            names.join(", ")
                        ),
                    );
                }
                found.map(|c| c.values.len())
            }
            TableColumns::ByParameter { parameter, .. } => {
                if !self
                    .site
                    .table_parameter
                    .is_some_and(|p| p >= 0.0 && p.is_finite())
                {
                    faults.add(
                        self.at("table_parameter"),
                        "MISSING",
                        format!("{:?}", self.site.table_parameter),
                        parameter.clone(),
                    );
                }
                None
            }
        }
    }

    /// Velocity and pressure before terrain.
    fn basic(&self, height: Length, sheet: &mut Sheet) -> Basic {
        let (national, site) = (self.national, self.site);
        let stated = |own: Option<f64>, field: &str, set: &en::Cited<f64>| match own {
            Some(n) => (n, Origin::request(self.at(field))),
            None => (set.value, self.rule(field, &set.cite(field))),
        };
        let fundamental = self.fundamental(height, sheet);
        let (n, origin) = stated(
            site.direction_factor,
            "direction_factor",
            &national.direction_factor,
        );
        let direction = sheet.given("c_dir", n, origin);
        let (n, origin) = stated(site.season_factor, "season_factor", &national.season_factor);
        let season = sheet.given("c_season", n, origin);
        let mut velocity =
            sheet.derive("v_b", &en::BASIC_VELOCITY, (direction, season, fundamental));
        if let Some(years) = site.return_period_years {
            velocity = self.of_period(velocity, years, sheet);
        }
        let density = sheet.given(
            "density of the air",
            national.air_density.value,
            self.rule("air_density", &national.air_density.cite("air_density")),
        );
        let pressure = sheet.derive("q_b", &en::BASIC_PRESSURE, (density, velocity));
        let orography = sheet.given(
            "c_o",
            site.orography,
            Origin::request(self.at("orography_factor")),
        );
        Basic {
            velocity,
            pressure,
            density,
            orography,
        }
    }

    fn fundamental(&self, height: Length, sheet: &mut Sheet) -> Figure<WindSpeed> {
        if let Some(v) = self.site.velocity {
            let origin = Origin::request(self.at("basic_velocity_m_per_s"));
            return sheet.given("v_b,0", v, origin);
        }
        let Some(zone) = self.zone() else {
            // Refused before; a figure that is not a number can never pass for a design.
            let v = quantity::Quantity::from_si(f64::NAN);
            return sheet.given("v_b,0", v, Origin::Assumed("no zone".into()));
        };
        let cited = zone.velocity.cite(&format!("zones.{}", zone.key));
        let mapped = sheet.given(
            "v_b of the zone",
            zone.velocity.value,
            self.rule("velocity", &cited),
        );
        let altitude = self.site.altitude.unwrap_or_default();
        let cited = zone.altitude.cite(&format!("zones.{}.altitude", zone.key));
        let rule = self.rule("altitude rule", &cited);
        let at =
            |sheet: &mut Sheet| sheet.given("A", altitude, Origin::request(self.at("altitude_m")));
        let factor = match zone.altitude.value {
            AltitudeRule::None | AltitudeRule::UpTo { .. } | AltitudeRule::OnPressure { .. } => {
                return mapped;
            }
            AltitudeRule::Ratio { from, slope, .. } => {
                let k = sheet.given("k_s", slope, rule.clone());
                let a = at(sheet);
                let a0 = sheet.given("A_0", from, rule);
                sheet.derive("c_alt", &en::ALTITUDE_RATIO, (k, a, a0))
            }
            AltitudeRule::PerMetre {
                from, per_metre, ..
            } => {
                let s = sheet.given("s", per_metre, rule.clone());
                let a = at(sheet);
                let a0 = sheet.given("A_0", from, rule);
                sheet.derive("c_alt", &en::ALTITUDE_SLOPE, (s, a, a0))
            }
            AltitudeRule::ByHeight {
                per_metre,
                height_share,
                ..
            } => {
                let s = sheet.given("s", per_metre, rule.clone());
                let a = at(sheet);
                let z = sheet.given("z_s", height_share * height, rule);
                sheet.derive("c_alt", &en::ALTITUDE_BY_HEIGHT, (s, a, z))
            }
        };
        sheet.derive("v_b,0", &en::VELOCITY_AT_ALTITUDE, (factor, mapped))
    }

    fn of_period(&self, v: Figure<WindSpeed>, years: f64, sheet: &mut Sheet) -> Figure<WindSpeed> {
        let cited = self.national.return_period.cite("return_period");
        let rule = self.rule("return period", &cited);
        let t = sheet.given("T", years, Origin::request(self.at("return_period_years")));
        let factor = match self.national.return_period.value {
            ReturnPeriodRule::Ratio { shape, exponent } => {
                let k = sheet.given("K", shape, rule.clone());
                let n = sheet.given("n", exponent, rule);
                sheet.derive("c_prob", &en::PROBABILITY_FACTOR, (k, n, t))
            }
            ReturnPeriodRule::Stated {
                constant,
                shape,
                exponent,
            } => {
                let c = sheet.given("c", constant, rule.clone());
                let k = sheet.given("K", shape, rule.clone());
                let n = sheet.given("n", exponent, rule);
                sheet.derive("c_prob", &en::PROBABILITY_FACTOR_STATED, (c, k, n, t))
            }
        };
        sheet.derive(
            "v_b of the return period",
            &en::VELOCITY_OF_PERIOD,
            (factor, v),
        )
    }

    /// The peak pressure at a height by whichever profile the terrain has.
    fn peak(
        &self,
        terrain: &Terrain,
        basic: Basic,
        z: Figure<Length>,
        sheet: &mut Sheet,
    ) -> Figure<WindPressure> {
        let cited = terrain.profile.cite(&format!("terrains.{}", terrain.key));
        let rule = self.rule("profile", &cited);
        let peak = match &terrain.profile.value {
            Profile::Log {
                z_0,
                z_min,
                terrain_factor,
                turbulence,
            } => {
                let log = LogTerrain {
                    z_0: sheet.given("z_0", *z_0, rule.clone()),
                    z_min: sheet.given("z_min", *z_min, rule.clone()),
                };
                return log.peak(*terrain_factor, *turbulence, basic, z, rule, sheet);
            }
            Profile::Bands {
                basis,
                z_min,
                bands,
            } => {
                let top = z.value.max(*z_min);
                let band = bands.iter().find(|b| top <= b.to).or(bands.last());
                let (a, b) = band.map_or((f64::NAN, 0.0), |b| (b.factor, b.exponent));
                let z_min = sheet.given("z_min", *z_min, rule.clone());
                let b = sheet.given("b", b, rule.clone());
                match basis {
                    Basis::Factor => {
                        let a = sheet.given("a", a, rule);
                        let factor = sheet.derive("c_e", &en::BAND_FACTOR, (a, b, z, z_min));
                        sheet.derive("q_p", &en::PRESSURE_OF_FACTOR, (factor, basic.pressure))
                    }
                    Basis::Pressure => {
                        let q = sheet.given("q at 10 m", WindPressure::from_pa(a), rule);
                        sheet.derive("q_p", &en::BAND_PRESSURE, (q, b, z, z_min))
                    }
                }
            }
            Profile::Table {
                basis,
                reading,
                heights,
                columns,
            } => {
                let value = self.table(heights, *reading, columns, z, &rule, sheet);
                match basis {
                    Basis::Factor => {
                        sheet.derive("q_p", &en::PRESSURE_OF_FACTOR, (value, basic.pressure))
                    }
                    Basis::Pressure => {
                        let one = sheet.given(
                            "unit pressure",
                            WindPressure::from_pa(1.0),
                            Origin::Assumed("the table is in pascals".into()),
                        );
                        sheet.derive("q_p", &en::PRESSURE_OF_FACTOR, (value, one))
                    }
                }
            }
        };
        let peak = self.over_orography(peak, basic, sheet);
        self.at_altitude(peak, sheet)
    }

    fn over_orography(
        &self,
        peak: Figure<WindPressure>,
        basic: Basic,
        sheet: &mut Sheet,
    ) -> Figure<WindPressure> {
        if self.site.orography == 1.0 {
            return peak;
        }
        sheet.derive(
            "q_p over orography",
            &en::PRESSURE_OF_OROGRAPHY,
            (peak, basic.orography),
        )
    }

    fn at_altitude(&self, peak: Figure<WindPressure>, sheet: &mut Sheet) -> Figure<WindPressure> {
        let Some(AltitudeRule::OnPressure { from, constant, .. }) = self.altitude_rule() else {
            return peak;
        };
        let altitude = self.site.altitude.unwrap_or_default();
        if altitude <= *from {
            return peak;
        }
        let cited = self
            .zone()
            .map_or_else(String::new, |z| z.altitude.cite("altitude rule"));
        let a = sheet.given("a", *constant, self.rule("altitude", &cited));
        let altitude = sheet.given("A", altitude, Origin::request(self.at("altitude_m")));
        sheet.derive(
            "q_p at altitude",
            &en::PRESSURE_AT_ALTITUDE,
            (peak, a, altitude),
        )
    }

    /// A table read at a height, and between its columns.
    fn table(
        &self,
        heights: &[Length],
        reading: HeightReading,
        columns: &TableColumns,
        z: Figure<Length>,
        rule: &Origin,
        sheet: &mut Sheet,
    ) -> Figure<f64> {
        match columns {
            TableColumns::ByZone(list) => {
                let values = list
                    .iter()
                    .find(|c| c.zone == self.site.zone)
                    .map_or(&[][..], |c| c.values.as_slice());
                column(heights, reading, values, z, rule, sheet)
            }
            TableColumns::ByParameter { columns, .. } => {
                let at = self.site.table_parameter.unwrap_or_default();
                let above = columns.iter().position(|c| c.at >= at);
                let (low, high) = match above {
                    Some(0) => (columns.first(), columns.first()),
                    Some(i) => (columns.get(i - 1), columns.get(i)),
                    None => (columns.last(), columns.last()),
                };
                let (Some(low), Some(high)) = (low, high) else {
                    return sheet.given("table", f64::NAN, rule.clone());
                };
                let left = column(heights, reading, &low.values, z, rule, sheet);
                if low.at == high.at {
                    return left;
                }
                let right = column(heights, reading, &high.values, z, rule, sheet);
                let x = sheet.given("column", at, Origin::request(self.at("table_parameter")));
                let x1 = sheet.given("lower column", low.at, rule.clone());
                let x2 = sheet.given("upper column", high.at, rule.clone());
                sheet.derive(
                    "between columns",
                    &en::BETWEEN_ROWS,
                    (x, x1, x2, left, right),
                )
            }
        }
    }

    /// Edge measure and coefficients of one wind direction.
    fn orientation(
        &self,
        name: &str,
        (b, d): (Figure<Length>, Figure<Length>),
        (height, area): (Figure<Length>, Figure<Area>),
        sheet: &mut Sheet,
    ) -> Orientation {
        let edge = sheet.derive(format!("e, wind {name}"), &en::EDGE_MEASURE, (b, height));
        let ratio = sheet.derive(format!("h/d, wind {name}"), &en::SLENDERNESS, (height, d));
        let coefficients = [0, 1, 2, WINDWARD, LEEWARD].map(|zone| {
            let sign = ["A", "B", "C", "D", "E"]
                .get(zone)
                .copied()
                .unwrap_or_default();
            self.coefficient(&format!("{sign}, wind {name}"), zone, ratio, area, sheet)
        });
        Orientation {
            b: b.value,
            edge,
            ratio,
            coefficients,
        }
    }

    fn coefficient(
        &self,
        label: &str,
        zone: usize,
        ratio: Figure<f64>,
        area: Figure<Area>,
        sheet: &mut Sheet,
    ) -> Figure<f64> {
        let rows = &self.national.coefficients;
        let above = rows.iter().position(|r| r.ratio >= ratio.value);
        let (low, high) = match above {
            Some(0) => (rows.first(), rows.first()),
            Some(i) => (rows.get(i - 1), rows.get(i)),
            None => (rows.last(), rows.last()),
        };
        let (Some(low), Some(high)) = (low, high) else {
            return sheet.given(
                "no coefficients",
                f64::NAN,
                self.rule("coefficients", "none"),
            );
        };
        let mut one_of = |pick: fn(en::CoefficientPair) -> f64, kind: &str| {
            let mut cell = |row: &en::CoefficientRow| {
                let (value, cited) = row.zones.get(zone).map_or((f64::NAN, String::new()), |c| {
                    (
                        pick(c.value),
                        c.cite(&format!("coefficients at h/d {}", row.ratio)),
                    )
                });
                sheet.given(
                    format!("{kind} {label}, h/d {}", row.ratio),
                    value,
                    self.rule("Table 7.1", &cited),
                )
            };
            let first = cell(low);
            if low.ratio == high.ratio {
                return first;
            }
            let second = cell(high);
            let r1 = sheet.given(
                "h/d of the lower row",
                low.ratio,
                self.rule("Table 7.1", "row"),
            );
            let r2 = sheet.given(
                "h/d of the upper row",
                high.ratio,
                self.rule("Table 7.1", "row"),
            );
            let args = (ratio, r1, r2, first, second);
            sheet.derive(
                format!("{kind} {label}"),
                &en::COEFFICIENT_BETWEEN_RATIOS,
                args,
            )
        };
        let one = one_of(|pair| pair.one, "c_pe,1");
        let ten = one_of(|pair| pair.ten, "c_pe,10");
        sheet.derive(
            format!("c_pe {label}"),
            &en::COEFFICIENT_OF_AREA,
            (area, one, ten),
        )
    }

    /// Tops of the parts of a wall with their reference heights, in metres above ground, from below.
    fn parts(&self, b: Length, height: Length) -> Vec<Length> {
        if self.national.side_reference.value == SideReference::BuildingHeight || height <= b {
            return alloc::vec![height];
        }
        let mut tops = alloc::vec![b];
        if height > 2.0 * b {
            let count = self.national.strips_between.value.clamp(1, 50);
            let between = height - 2.0 * b;
            tops.extend((1..=count).map(|i| b + between * (f64::from(i) / f64::from(count))));
        }
        tops.push(height);
        tops
    }

    fn findings(
        &self,
        plan: &Plan,
        orientations: &[Orientation],
        facades: &[FacadeOnPlan],
    ) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut say = |code, severity, path: &str, text: String, source| {
            findings.push(Finding {
                code,
                severity,
                path: path.to_string(),
                text,
                source,
            });
        };
        let unverified = self.unverified();
        if !unverified.is_empty() {
            let text = format!(
                "Wind data of set {} not yet verified against the national text: {}. Have them confirmed before the design is used.",
                self.national.key,
                unverified.join("; ")
            );
            say(
                "WIND_DATA_UNVERIFIED",
                Severity::Caution,
                self.path,
                text,
                "",
            );
        }
        if plan.shape == PlanShape::Other {
            let text = "The plan is not a rectangle: its bounding rectangle stands for it, and every facade carries edge zones at both ends. \
                Re-entrant corners, courtyards and wind between buildings need a specialist's look.";
            say(
                "PLAN_APPROXIMATED",
                Severity::Caution,
                "plan",
                text.to_string(),
                en::DOCUMENT,
            );
        }
        if facades.iter().any(|f| f.runs == Runs::Unknown) {
            let text = "The side of the plan is not known for every facade; there the worse of both counts.";
            say(
                "FACADE_SIDE_UNKNOWN",
                Severity::Note,
                "facades",
                text.to_string(),
                en::DOCUMENT,
            );
        }
        if orientations
            .iter()
            .any(|o| o.ratio.value > en::SLENDERNESS_MAX)
        {
            let text = "The building is higher than five times its depth: the coefficients of walls are only a guide there.";
            say(
                "SLENDER_BUILDING",
                Severity::Caution,
                "plan.height_m",
                text.to_string(),
                en::DOCUMENT,
            );
        }
        if self.site.orography != 1.0 && !self.is_log() {
            let text = "The profile is stated for flat ground; the orography factor acts on the whole peak pressure, on the safe side.";
            say(
                "OROGRAPHY_ON_FLAT_PROFILE",
                Severity::Note,
                self.path,
                text.to_string(),
                en::DOCUMENT,
            );
        }
        findings
    }

    fn is_log(&self) -> bool {
        let terrain = self.national.terrain(&self.site.terrain);
        terrain.is_some_and(|t| matches!(t.profile.value, Profile::Log { .. }))
    }

    /// The names of the values used that are not verified.
    fn unverified(&self) -> Vec<String> {
        let set = self.national;
        let mut names = Vec::new();
        let mut note = |standing: Standing, name: String| {
            if standing == Standing::Unverified {
                names.push(name);
            }
        };
        note(set.air_density.standing, "air density".to_string());
        if let (None, Some(zone)) = (self.site.velocity, self.zone()) {
            note(
                zone.velocity.standing,
                format!("velocity of zone {}", zone.key),
            );
            if zone.altitude.value != AltitudeRule::None {
                note(zone.altitude.standing, "altitude rule".to_string());
            }
        }
        if let Some(terrain) = set.terrain(&self.site.terrain) {
            note(
                terrain.profile.standing,
                format!("profile of terrain {}", terrain.key),
            );
        }
        let cells = set.coefficients.iter().flat_map(|row| row.zones.iter());
        if cells
            .into_iter()
            .any(|c| c.standing == Standing::Unverified)
        {
            note(Standing::Unverified, "parts of Table 7.1".to_string());
        }
        note(
            set.side_reference.standing,
            "reference height of side walls".to_string(),
        );
        names
    }
}

/// Roughness length and least height on the sheet.
struct LogTerrain {
    z_0: Figure<Length>,
    z_min: Figure<Length>,
}

impl LogTerrain {
    fn peak(
        &self,
        terrain_factor: TerrainFactor,
        turbulence: TurbulenceFactor,
        basic: Basic,
        z: Figure<Length>,
        rule: Origin,
        sheet: &mut Sheet,
    ) -> Figure<WindPressure> {
        let kr = match terrain_factor {
            TerrainFactor::Formula => sheet.derive("k_r", &en::TERRAIN_FACTOR, (self.z_0,)),
            TerrainFactor::Stated(kr) => sheet.given("k_r", kr, rule.clone()),
        };
        let ki = match turbulence {
            TurbulenceFactor::Constant(k) => sheet.given("k_I", k, rule),
            TurbulenceFactor::OfRoughness { a, b, n } => {
                let a = sheet.given("a", a, rule.clone());
                let b = sheet.given("b", b, rule.clone());
                let n = sheet.given("n", n, rule);
                sheet.derive(
                    "k_I",
                    &en::TURBULENCE_FACTOR_OF_ROUGHNESS,
                    (a, b, n, self.z_0),
                )
            }
        };
        let cr = sheet.derive("c_r", &en::ROUGHNESS_FACTOR, (kr, z, self.z_min, self.z_0));
        let vm = sheet.derive(
            "v_m",
            &en::MEAN_VELOCITY,
            (cr, basic.orography, basic.velocity),
        );
        let args = (ki, basic.orography, z, self.z_min, self.z_0);
        let iv = sheet.derive("I_v", &en::TURBULENCE_INTENSITY, args);
        sheet.derive("q_p", &en::PEAK_PRESSURE, (iv, basic.density, vm))
    }
}

/// One column of a table at a height.
fn column(
    heights: &[Length],
    reading: HeightReading,
    values: &[f64],
    z: Figure<Length>,
    rule: &Origin,
    sheet: &mut Sheet,
) -> Figure<f64> {
    let mut cells = heights.iter().copied().zip(values.iter().copied());
    let above = heights.iter().position(|&h| z.value <= h);
    let Some(index) = above.filter(|&i| i < values.len()) else {
        return sheet.given("beyond the table", f64::NAN, rule.clone());
    };
    let (low, high) = match index.checked_sub(1) {
        Some(before) => (cells.nth(before), cells.next()),
        None => (None, cells.next()),
    };
    let Some((top, value)) = high else {
        return sheet.given("beyond the table", f64::NAN, rule.clone());
    };
    let upper = sheet.given(format!("table at {} m", top.as_m()), value, rule.clone());
    match (reading, low) {
        (HeightReading::Step, _) | (_, None) => upper,
        (HeightReading::Linear, Some((bottom, value))) => {
            let lower = sheet.given(format!("table at {} m", bottom.as_m()), value, rule.clone());
            let x = sheet.given(
                "z in metres",
                z.value.as_m(),
                Origin::Counted("z as a number".into()),
            );
            let x1 = sheet.given("lower height", bottom.as_m(), rule.clone());
            let x2 = sheet.given("upper height", top.as_m(), rule.clone());
            sheet.derive(
                "between heights",
                &en::BETWEEN_ROWS,
                (x, x1, x2, lower, upper),
            )
        }
    }
}

/// A length in whole millimetres, never less than it is: an edge zone is rather a millimetre too wide.
fn outward(length: Length) -> Mm {
    let mm = libm::ceil(length.as_mm() - 1e-6);
    Mm(mm.clamp(0.0, f64::from(Mm::LIMIT.0)) as i32)
}

/// One reference height and the pressures of all five zones there, for one orientation.
struct Part {
    y: (Mm, Mm),
    suction: [Figure<WindPressure>; 5],
    pressure: Figure<WindPressure>,
}

impl WindCode for EnWind<'_> {
    fn name(&self) -> String {
        format!("{}, {}", self.national.document, self.national.name)
    }

    fn check(&self, request: &WindRequest, faults: &mut Faults) {
        self.check_site(request.plan.height, faults);
        faults.extend(self.national.check("national"));
        if self.national.coefficients.is_empty() {
            faults.add(
                "national.coefficients",
                "MISSING",
                "no rows",
                "rows of Table 7.1",
            );
        }
    }

    fn suction(&self, request: &WindRequest, sheet: &mut Sheet) -> Result<Suction, Vec<Fault>> {
        let terrain = self.terrain()?;
        let plan = &request.plan;
        sheet.section("Wind");
        sheet.step(format!("{}: four wind directions, the worst of them at every place, edge zones at both vertical edges", self.name()));
        let length = sheet.given(
            "length of the plan",
            plan.length.to_length(),
            Origin::request("plan.length_mm"),
        );
        let width = sheet.given(
            "width of the plan",
            plan.width.to_length(),
            Origin::request("plan.width_mm"),
        );
        let height = sheet.given("h", plan.height, Origin::request("plan.height_m"));
        let area = sheet.given(
            "loaded area of one fixing",
            request.loaded_area,
            Origin::request(self.at("loaded_area_m2")),
        );
        let basic = self.basic(plan.height, sheet);
        let peak = self.peak(terrain, basic, height, sheet);
        let scope = (height, area);
        let along_length = self.orientation("along the length", (width, length), scope, sheet);
        let along_width = self.orientation("along the width", (length, width), scope, sheet);
        let orientations = [along_length, along_width];
        let mut heights: Vec<(Length, Figure<WindPressure>)> = alloc::vec![(plan.height, peak)];
        let parts = orientations
            .each_ref()
            .map(|o| self.pressures(terrain, basic, o, plan.height, &mut heights, sheet));
        let facades = request
            .facades
            .iter()
            .map(|facade| facade_suction(facade, &orientations, &parts))
            .collect();
        Ok(Suction {
            code: self.name(),
            level: LoadLevel::Characteristic,
            basic_velocity: basic.velocity,
            reference_height: height,
            peak_pressure: peak,
            facades,
            findings: self.findings(plan, &orientations, &request.facades),
        })
    }
}

impl EnWind<'_> {
    /// The parts of a wall under one orientation with the pressures of all zones; heights already computed are used again.
    fn pressures(
        &self,
        terrain: &Terrain,
        basic: Basic,
        orientation: &Orientation,
        height: Length,
        known: &mut Vec<(Length, Figure<WindPressure>)>,
        sheet: &mut Sheet,
    ) -> Vec<Part> {
        let tops = self.parts(orientation.b, height);
        let last = tops.len().saturating_sub(1);
        let mut from = Mm(-Mm::LIMIT.0);
        let mut parts = Vec::with_capacity(tops.len());
        for (i, top) in tops.into_iter().enumerate() {
            let peak = if let Some((_, peak)) = known.iter().find(|(h, _)| *h == top) {
                *peak
            } else {
                let z = sheet.given(
                    "z_e",
                    top,
                    Origin::Counted("top of the part of the wall".into()),
                );
                let peak = self.peak(terrain, basic, z, sheet);
                known.push((top, peak));
                peak
            };
            let to = if i == last {
                Mm(2 * Mm::LIMIT.0)
            } else {
                outward(top)
            };
            let pressures = orientation
                .coefficients
                .map(|c| sheet.derive("w_e", &en::EXTERNAL_PRESSURE, (peak, c)));
            let suction = pressures.map(|w| sheet.derive("w_ek", &en::SUCTION, (w,)));
            let [_, _, _, pressure, _] = pressures;
            parts.push(Part {
                y: (from, to),
                suction,
                pressure,
            });
            from = to;
        }
        parts
    }
}

/// The envelope of one facade.
fn facade_suction(
    facade: &FacadeOnPlan,
    orientations: &[Orientation; 2],
    parts: &[Vec<Part>; 2],
) -> FacadeSuction {
    let [along_length, along_width] = orientations;
    let [length_parts, width_parts] = parts;
    let mut patches = Vec::new();
    let mut pressure: Option<Figure<WindPressure>> = None;
    let mut lay = |side: (&Orientation, &[Part]), across: (&Orientation, &[Part])| {
        for part in side.1 {
            side_patches(facade, side.0, part, &mut patches);
        }
        for part in across.1 {
            let [_, _, _, _, leeward] = part.suction;
            let [_, _, _, _, coefficient] = across.0.coefficients;
            patches.push(patch(
                facade,
                Zone::E,
                (facade.left, facade.right),
                part,
                (coefficient, leeward),
            ));
            if pressure.is_none_or(|p| part.pressure.value > p.value) {
                pressure = Some(part.pressure);
            }
        }
    };
    let (lengthwise, widthwise) = (
        (along_length, length_parts.as_slice()),
        (along_width, width_parts.as_slice()),
    );
    if facade.runs != Runs::AlongWidth {
        lay(lengthwise, widthwise);
    }
    if facade.runs != Runs::AlongLength {
        lay(widthwise, lengthwise);
    }
    FacadeSuction {
        id: facade.id.clone(),
        strips: envelope(facade, &patches),
        pressure: pressure.unwrap_or(Figure {
            value: WindPressure::ZERO,
            line: 0,
        }),
    }
}

fn patch(
    facade: &FacadeOnPlan,
    zone: Zone,
    x: (Mm, Mm),
    part: &Part,
    (coefficient, suction): (Figure<f64>, Figure<WindPressure>),
) -> Patch {
    Patch {
        zone,
        x,
        y: (facade.ground + part.y.0, facade.ground + part.y.1),
        coefficient,
        suction,
    }
}

/// Zones A, B, C from the left edge and from the right one.
fn side_patches(facade: &FacadeOnPlan, side: &Orientation, part: &Part, patches: &mut Vec<Patch>) {
    let width = facade.right - facade.left;
    let first = outward(side.edge.value / 5.0).min(width);
    let second = outward(side.edge.value).min(width);
    let [a, b, c, _, _] = part.suction;
    let [ca, cb, cc, _, _] = side.coefficients;
    let cuts = [
        (Zone::A, Mm::ZERO, first, (ca, a)),
        (Zone::B, first, second, (cb, b)),
        (Zone::C, second, width, (cc, c)),
    ];
    for (zone, from, to, figures) in cuts {
        if from < to {
            let left = (facade.left + from, facade.left + to);
            let right = (facade.right - to, facade.right - from);
            patches.push(patch(facade, zone, left, part, figures));
            patches.push(patch(facade, zone, right, part, figures));
        }
    }
}
