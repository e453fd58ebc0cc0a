//! From the velocity of the zone to the peak pressure at a height, by whichever profile the terrain has.

use alloc::format;
use alloc::string::String;

use quantity::{Length, WindPressure, WindSpeed};
use standards::en_1991_1_4 as en;
use standards::en_1991_1_4::{
    AltitudeRule, Basis, HeightReading, Profile, ReturnPeriodRule, TableColumns, Terrain,
    TerrainFactor, TurbulenceFactor,
};
use working::{Figure, Origin, Sheet};

use super::{Basic, EnWind};

impl EnWind<'_> {
    /// Velocity and pressure before terrain.
    pub(super) fn basic(&self, height: Length, sheet: &mut Sheet) -> Basic {
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
        self.of_zone(zone, height, sheet)
    }

    /// The fundamental basic velocity of a zone at the site's altitude.
    pub(super) fn of_zone(
        &self,
        zone: &en::WindZone,
        height: Length,
        sheet: &mut Sheet,
    ) -> Figure<WindSpeed> {
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
    pub(super) fn peak(
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
                let peak = log.peak(*terrain_factor, *turbulence, basic, z, rule, sheet);
                return self.at_altitude(peak, sheet);
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
