//! What a site must say, and within which limits.

use alloc::format;
use alloc::string::ToString;
use alloc::vec::Vec;

use quantity::Length;
use standards::en_1991_1_4 as en;
use standards::en_1991_1_4::{AltitudeRule, Profile, TableColumns};
use working::{Faults, Sheet};

use super::EnWind;

/// How far a stated velocity may lie from the zone's that it agrees with: maps and tables print tenths.
const VELOCITIES_AGREE_M_PER_S: f64 = 0.05;

impl EnWind<'_> {
    pub(super) fn unknown_terrain(&self, faults: &mut Faults) {
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

    pub(super) fn check_site(&self, height: Length, faults: &mut Faults) {
        let site = self.site;
        self.check_velocity(faults);
        let mut altitude = Faults::new();
        self.check_altitude(&mut altitude);
        if altitude.is_empty() {
            self.check_agreement(height, faults);
        }
        faults.extend(altitude.into_list());
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
        if let Some(v) = self.site.velocity
            && !(5.0..=80.0).contains(&v.as_m_per_s())
        {
            faults.add(
                self.at("basic_velocity_m_per_s"),
                "OUT_OF_RANGE",
                format!("{} m/s", v.as_m_per_s()),
                "5 to 80 m/s",
            );
        }
        if !self.site.zone.is_empty() && self.zone().is_none() {
            faults.add(
                self.at("zone"),
                "UNKNOWN_ZONE",
                format!("`{}`", self.site.zone),
                expected,
            );
        } else if self.site.zone.is_empty() && self.site.velocity.is_none() {
            faults.add(
                self.at("zone"),
                "MISSING",
                "neither zone nor velocity",
                expected,
            );
        }
    }

    /// A velocity stated beside a zone must be the zone's at that altitude: a lower one would take the anchors that the zone asks for.
    fn check_agreement(&self, height: Length, faults: &mut Faults) {
        let (Some(stated), Some(zone)) = (self.site.velocity, self.zone()) else {
            return;
        };
        let of_zone = self.of_zone(zone, height, &mut Sheet::new()).value;
        if (stated - of_zone).as_m_per_s().abs() > VELOCITIES_AGREE_M_PER_S {
            faults.add(
                self.at("basic_velocity_m_per_s"),
                "VELOCITY_AND_ZONE",
                format!(
                    "{} m/s beside zone `{}`, whose velocity here is {:.2} m/s",
                    stated.as_m_per_s(),
                    zone.key,
                    of_zone.as_m_per_s()
                ),
                "either a velocity or a zone, or a velocity that is the zone's",
            );
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

    /// The altitude rule that acts: the named zone's.
    pub(super) fn altitude_rule(&self) -> Option<&AltitudeRule> {
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
}
