//! `rules/wind/*.toml`

use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Density, Length, WindPressure, WindSpeed};
use standards::en_1991_1_4::{
    AltitudeRule, Cited, CoefficientPair, CoefficientRow, NationalWind, ReturnPeriodRule,
    SideReference, WindZone,
};
use working::Standing;

use crate::complete::of;
use crate::entry::{Rows, entry};
use crate::fault::Found;
use crate::rules::file::{
    Backing, CitedNumberEntry, RuleEntry, STATUS, need, rule_file, text, word,
};
use crate::rules::terrain::{TerrainEntry, terrains};
use crate::source::Located;
use crate::value::Text;

entry! {
    /// The air's density.
    DensityEntry {
        /// The density.
        density: f64 = "kg-per-m3", Required, 0.5..=2.0;
        /// Where it was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well it is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

entry! {
    /// How another return period than 50 years is treated.
    ReturnPeriodEntry {
        /// By the recommended formula, or with a constant in front.
        rule: String = "rule", Required, Text::Choice(&["ratio", "stated"]);
        /// The constant in front.
        constant: f64 = "constant", Optional, 0.1..=2.0;
        /// K.
        shape: f64 = "shape", Required, 0.0..=2.0;
        /// n.
        exponent: f64 = "exponent", Required, 0.0..=2.0;
        /// Where it was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well it is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

entry! {
    /// At which height the pressure on side and leeward walls is taken.
    SideReferenceEntry {
        /// At the building's height, or in parts as on the windward wall.
        reference: String = "at", Required, Text::Choice(&["building-height", "parts"]);
        /// Where it was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well it is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

entry! {
    /// Strips between the lower and the upper part of a high wall.
    StripsEntry {
        /// Their number.
        count: u32 = "count", Required, 1..=50;
        /// Where it was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well it is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

entry! {
    /// Suction above which national approvals stop.
    SuctionLimitEntry {
        /// The characteristic suction.
        suction: f64 = "kpa", Required, 0.1..=20.0;
        /// Where it was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well it is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

entry! {
    /// A wind zone.
    ZoneEntry {
        /// Its key, such as `2`.
        key: String = "key", Required, Text::Free;
        /// The fundamental basic wind velocity.
        velocity: f64 = "velocity-m-per-s", Required, 5.0..=100.0;
        /// How it depends on the altitude of the site.
        altitude: String = "altitude", Required, Text::Choice(&[
            "none", "up-to", "ratio", "per-metre", "by-height", "on-pressure",
        ]);
        /// Where the rise begins.
        altitude_from: f64 = "altitude-from-m", Optional, 0.0..=9000.0;
        /// The greatest altitude.
        altitude_to: f64 = "altitude-to-m", Optional, 0.0..=9000.0;
        /// k_s of `ratio`.
        slope: f64 = "altitude-slope", Optional, 0.0..=5.0;
        /// The rise per metre of `per-metre` and `by-height`.
        per_metre: f64 = "altitude-per-metre", Optional, 0.0..=0.1;
        /// The share of the building's height of `by-height`.
        height_share: f64 = "altitude-height-share", Optional, 0.0..=1.0;
        /// The constant of `on-pressure`.
        constant: f64 = "altitude-constant", Optional, -5.0..=5.0;
        /// Where the altitude rule was read, if not where the file says.
        altitude_source: String = "altitude-source", Optional, Text::Free;
        /// How well the altitude rule is known, if not as the file says.
        altitude_status: String = "altitude-status", Optional, STATUS;
        /// Where the velocity was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well the velocity is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

entry! {
    /// External pressure coefficients for 10 and for 1 square metre.
    PairEntry {
        /// For 10 square metres.
        ten: f64 = "ten", Required, -5.0..=5.0;
        /// For 1 square metre.
        one: f64 = "one", Required, -5.0..=5.0;
    }
}

entry! {
    /// The coefficients of the walls at one ratio of height to depth.
    CoefficientsEntry {
        /// The ratio.
        ratio: f64 = "h-over-d", Required, 0.0..=100.0;
        /// Zone A.
        a: PairEntry = "a", Required, ();
        /// Zone B.
        b: PairEntry = "b", Required, ();
        /// Zone C.
        c: PairEntry = "c", Required, ();
        /// Zone D.
        d: PairEntry = "d", Required, ();
        /// Zone E.
        e: PairEntry = "e", Required, ();
        /// Where they were read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well they are known, if not as the file says.
        status: String = "status", Optional, STATUS;
        /// Zones whose coefficients are not verified, whatever the status says.
        unverified: Vec<Located<String>> = "unverified-zones", Optional, Text::Choice(&["a", "b", "c", "d", "e"]);
    }
}

rule_file! {
    /// A national parameter set of EN 1991-1-4.
    WindEntry {
        /// ISO 3166-1 alpha-2 code, or empty for none.
        country: String = "country", Required, Text::Any;
        /// The document and edition it stands for.
        document: String = "document", Required, Text::Free;
        /// The air's density.
        air_density: DensityEntry = "air-density", Required, ();
        /// Directional factor where the caller states none.
        direction_factor: CitedNumberEntry = "direction-factor", Required, ();
        /// Season factor where the caller states none.
        season_factor: CitedNumberEntry = "season-factor", Required, ();
        /// How another return period is treated.
        return_period: ReturnPeriodEntry = "return-period", Required, ();
        /// Reference height of side and leeward walls.
        side_reference: SideReferenceEntry = "side-reference", Required, ();
        /// Strips between the lower and the upper part of a high wall.
        strips_between: StripsEntry = "strips-between", Required, ();
        /// Suction above which national approvals stop.
        suction_limit: SuctionLimitEntry = "suction-limit", Optional, ();
        /// Wind zones.
        zones: Rows<ZoneEntry> = "zone", Optional, ();
        /// Terrains.
        terrains: Rows<TerrainEntry> = "terrain", Required, ();
        /// Coefficients, in ascending order of height over depth.
        coefficients: Rows<CoefficientsEntry> = "coefficients", Required, ();
    }
}

impl ZoneEntry {
    fn altitude_rule(&self, found: &mut Vec<Found>) -> Option<AltitudeRule> {
        let altitude = self.altitude.as_ref()?;
        let within = (altitude.value.as_str(), altitude.at);
        if altitude.value == "none" {
            return Some(AltitudeRule::None);
        }
        let highest =
            need(self.altitude_to.as_ref(), "altitude-to-m", within, found).map(Length::from_m);
        if altitude.value == "up-to" {
            return Some(AltitudeRule::UpTo { highest: highest? });
        }
        if altitude.value == "by-height" {
            let per_metre = need(self.per_metre.as_ref(), "altitude-per-metre", within, found);
            let share = need(
                self.height_share.as_ref(),
                "altitude-height-share",
                within,
                found,
            );
            return Some(AltitudeRule::ByHeight {
                per_metre: per_metre?,
                height_share: share?,
                highest: highest?,
            });
        }
        let from = need(
            self.altitude_from.as_ref(),
            "altitude-from-m",
            within,
            found,
        )
        .map(Length::from_m);
        Some(match altitude.value.as_str() {
            "ratio" => AltitudeRule::Ratio {
                slope: need(self.slope.as_ref(), "altitude-slope", within, found)?,
                from: from?,
                highest: highest?,
            },
            "per-metre" => AltitudeRule::PerMetre {
                per_metre: need(self.per_metre.as_ref(), "altitude-per-metre", within, found)?,
                from: from?,
                highest: highest?,
            },
            _ => AltitudeRule::OnPressure {
                constant: need(self.constant.as_ref(), "altitude-constant", within, found)?,
                from: from?,
                highest: highest?,
            },
        })
    }

    fn complete(&self, file: &Backing, found: &mut Vec<Found>) -> Option<WindZone> {
        let rule = self.altitude_rule(found);
        let own = file.or(self.source.as_ref(), self.status.as_ref());
        let above = file.or(self.altitude_source.as_ref(), self.altitude_status.as_ref());
        Some(WindZone {
            key: of(&self.key)?,
            velocity: own.cite(WindSpeed::from_m_per_s(of(&self.velocity)?)),
            altitude: above.cite(rule?),
        })
    }
}

impl CoefficientsEntry {
    fn complete(&self, file: &Backing) -> Option<CoefficientRow> {
        let own = file.or(self.source.as_ref(), self.status.as_ref());
        let doubted = self.unverified.as_ref().map_or(&[][..], |list| &list.value);
        let pair =
            |zone: &str, field: &Option<Located<PairEntry>>| -> Option<Cited<CoefficientPair>> {
                let pair = &field.as_ref()?.value;
                let standing = if doubted.iter().any(|z| z.value == zone) {
                    Standing::Unverified
                } else {
                    own.standing
                };
                Some(Cited {
                    value: CoefficientPair {
                        ten: of(&pair.ten)?,
                        one: of(&pair.one)?,
                    },
                    standing,
                    source: own.source.clone(),
                })
            };
        Some(CoefficientRow {
            ratio: of(&self.ratio)?,
            zones: [
                pair("a", &self.a)?,
                pair("b", &self.b)?,
                pair("c", &self.c)?,
                pair("d", &self.d)?,
                pair("e", &self.e)?,
            ],
        })
    }
}

impl WindEntry {
    fn period(&self, file: &Backing, found: &mut Vec<Found>) -> Option<Cited<ReturnPeriodRule>> {
        let entry = &self.return_period.as_ref()?.value;
        let own = file.or(entry.source.as_ref(), entry.status.as_ref());
        let (shape, exponent) = (of(&entry.shape)?, of(&entry.exponent)?);
        let rule = entry.rule.as_ref()?;
        Some(own.cite(match rule.value.as_str() {
            "stated" => ReturnPeriodRule::Stated {
                constant: need(
                    entry.constant.as_ref(),
                    "constant",
                    (&rule.value, rule.at),
                    found,
                )?,
                shape,
                exponent,
            },
            _ => ReturnPeriodRule::Ratio { shape, exponent },
        }))
    }

    fn side(&self, file: &Backing) -> Option<Cited<SideReference>> {
        let entry = &self.side_reference.as_ref()?.value;
        let own = file.or(entry.source.as_ref(), entry.status.as_ref());
        Some(own.cite(match word(entry.reference.as_ref()) {
            "parts" => SideReference::Parts,
            _ => SideReference::BuildingHeight,
        }))
    }

    fn suction(&self, file: &Backing) -> Option<Cited<WindPressure>> {
        let entry = &self.suction_limit.as_ref()?.value;
        let own = file.or(entry.source.as_ref(), entry.status.as_ref());
        Some(own.cite(WindPressure::from_kpa(of(&entry.suction)?)))
    }
}

impl RuleEntry for WindEntry {
    type Rules = NationalWind;

    fn key(&self) -> Option<&Located<String>> {
        self.key.as_ref()
    }

    fn complete(&self, found: &mut Vec<Found>) -> Option<NationalWind> {
        let file = &Backing::new(self.source.as_ref(), self.status.as_ref());
        let zones = self.zones.iter().flat_map(|rows| &rows.value.0);
        let zones: Vec<_> = zones.map(|zone| zone.complete(file, found)).collect();
        let terrains = terrains(self.terrains.as_ref(), file, found);
        let period = self.period(file, found);
        let rows = self.coefficients.iter().flat_map(|rows| &rows.value.0);
        let density = &self.air_density.as_ref()?.value;
        let strips = &self.strips_between.as_ref()?.value;
        let strips_backing = file.or(strips.source.as_ref(), strips.status.as_ref());
        let density_backing = file.or(density.source.as_ref(), density.status.as_ref());
        Some(NationalWind {
            key: of(&self.key)?,
            name: of(&self.name)?,
            country: text(self.country.as_ref()),
            document: of(&self.document)?,
            air_density: density_backing.cite(Density::from_kg_per_m3(of(&density.density)?)),
            direction_factor: CitedNumberEntry::cited(self.direction_factor.as_ref(), file)?,
            season_factor: CitedNumberEntry::cited(self.season_factor.as_ref(), file)?,
            return_period: period?,
            zones: zones.into_iter().collect::<Option<_>>()?,
            terrains: terrains?,
            coefficients: rows.map(|row| row.complete(file)).collect::<Option<_>>()?,
            side_reference: self.side(file)?,
            strips_between: strips_backing.cite(of(&strips.count)?),
            suction_limit: self.suction(file),
        })
    }

    fn check(rules: &NationalWind) -> Vec<working::Fault> {
        rules.check("set")
    }
}
