//! The terrains of `rules/wind/*.toml`: profiles of pressure over height.

use alloc::string::String;
use alloc::vec::Vec;

use quantity::Length;
use standards::en_1991_1_4::{
    Band, Basis, HeightReading, ParameterColumn, Profile, TableColumns, Terrain, TerrainFactor,
    TurbulenceFactor, ZoneColumn,
};

use crate::complete::of;
use crate::entry::{Rows, entry};
use crate::fault::{Fact, Found};
use crate::rules::file::{Backing, STATUS, need, word};
use crate::source::{Located, Place};
use crate::value::Text;

entry! {
    /// One band of a profile by bands: factor times (height / 10 m) to the exponent.
    BandEntry {
        /// The greatest height of the band.
        to: f64 = "to-m", Required, 0.1..=1000.0;
        /// The exposure factor at 10 m, where the profile is of factors.
        factor: f64 = "factor", Optional, 0.01..=100.0;
        /// The pressure at 10 m, where the profile is of pressures.
        pressure: f64 = "at-10-m-kpa", Optional, 0.001..=50.0;
        /// The exponent; 0 for a constant.
        exponent: f64 = "exponent", Required, 0.0..=2.0;
    }
}

entry! {
    /// One column of a profile by table.
    ColumnEntry {
        /// The wind zone, where columns go by zone.
        zone: String = "zone", Optional, Text::Free;
        /// The number, where columns go by a number.
        parameter: f64 = "at", Optional, 0.0..=100_000.0;
        /// Factors, one for each height.
        factors: Vec<f64> = "values", Optional, 0.001..=100.0;
        /// Pressures, one for each height.
        pressures: Vec<f64> = "values-kpa", Optional, 0.001..=50.0;
    }
}

entry! {
    /// A terrain category or profile.
    TerrainEntry {
        /// Its key, such as `II`.
        key: String = "key", Required, Text::Free;
        /// What it looks like.
        meaning: String = "meaning", Required, Text::Free;
        /// The kind of profile.
        profile: String = "profile", Required, Text::Choice(&["log", "bands", "table"]);
        /// Least height, for `log` and `bands`.
        height_min: f64 = "height-min-m", Optional, 0.0..=500.0;
        /// Roughness length, for `log`.
        roughness: f64 = "roughness-length-m", Optional, 0.0001..=10.0;
        /// Terrain factor, for `log`; by the formula where left out.
        terrain_factor: f64 = "terrain-factor", Optional, 0.01..=1.0;
        /// Turbulence factor, for `log`; 1 where left out.
        turbulence: f64 = "turbulence-factor", Optional, 0.1..=5.0;
        /// Turbulence factor 1 - a (log10 z0 + b)^n: a.
        turbulence_a: f64 = "turbulence-a", Optional, 0.0..=1.0;
        /// Turbulence factor 1 - a (log10 z0 + b)^n: b.
        turbulence_b: f64 = "turbulence-b", Optional, 0.0..=10.0;
        /// Turbulence factor 1 - a (log10 z0 + b)^n: n.
        turbulence_n: f64 = "turbulence-n", Optional, 0.0..=20.0;
        /// What the numbers are, for `bands` and `table`.
        basis: String = "basis", Optional, Text::Choice(&["factor", "pressure"]);
        /// How a table is read between heights.
        reading: String = "reading", Optional, Text::Choice(&["step", "linear"]);
        /// Heights of a table, rising.
        heights: Vec<f64> = "heights-m", Optional, 0.1..=1000.0;
        /// What the number is, where the columns of a table go by a number.
        parameter: String = "parameter", Optional, Text::Free;
        /// Bands, rising.
        bands: Rows<BandEntry> = "band", Optional, ();
        /// Columns of a table.
        columns: Rows<ColumnEntry> = "column", Optional, ();
        /// Where it was read, if not where the file says.
        source: String = "source", Optional, Text::Free;
        /// How well it is known, if not as the file says.
        status: String = "status", Optional, STATUS;
    }
}

/// Pressures in kilopascals as the profile takes them, in pascals.
fn pascals(kpa: &[f64]) -> Vec<f64> {
    kpa.iter().map(|p| p * 1000.0).collect()
}

impl TerrainEntry {
    pub fn complete(&self, file: &Backing, found: &mut Vec<Found>) -> Option<Terrain> {
        let own = file.or(self.source.as_ref(), self.status.as_ref());
        let profile = match word(self.profile.as_ref()) {
            "log" => self.log(found),
            "bands" => self.by_bands(found),
            _ => self.by_table(found),
        };
        Some(Terrain {
            key: of(&self.key)?,
            meaning: of(&self.meaning)?,
            profile: own.cite(profile?),
        })
    }

    fn within(&self) -> (&str, Place) {
        let at = self.profile.as_ref().map_or(self.at, |p| p.at);
        (word(self.profile.as_ref()), at)
    }

    fn log(&self, found: &mut Vec<Found>) -> Option<Profile> {
        let within = self.within();
        let z_0 = need(self.roughness.as_ref(), "roughness-length-m", within, found);
        let z_min = need(self.height_min.as_ref(), "height-min-m", within, found);
        let of_roughness = match (&self.turbulence_a, &self.turbulence_b, &self.turbulence_n) {
            (Some(a), Some(b), Some(n)) => Some(TurbulenceFactor::OfRoughness {
                a: a.value,
                b: b.value,
                n: n.value,
            }),
            (None, None, None) => None,
            _ => {
                let why = "`turbulence-a`, `turbulence-b` and `turbulence-n` stand together".into();
                found.push(Found {
                    at: within.1,
                    fact: Fact::NotTogether { why },
                    help: None,
                });
                None
            }
        };
        let constant = TurbulenceFactor::Constant(of(&self.turbulence).unwrap_or(1.0));
        Some(Profile::Log {
            z_0: Length::from_m(z_0?),
            z_min: Length::from_m(z_min?),
            terrain_factor: of(&self.terrain_factor)
                .map_or(TerrainFactor::Formula, TerrainFactor::Stated),
            turbulence: of_roughness.unwrap_or(constant),
        })
    }

    fn basis(&self, found: &mut Vec<Found>) -> Option<Basis> {
        let basis = need(self.basis.as_ref(), "basis", self.within(), found)?;
        Some(match basis.as_str() {
            "pressure" => Basis::Pressure,
            _ => Basis::Factor,
        })
    }

    fn by_bands(&self, found: &mut Vec<Found>) -> Option<Profile> {
        let basis = self.basis(found);
        let z_min = need(
            self.height_min.as_ref(),
            "height-min-m",
            self.within(),
            found,
        );
        let rows = need(self.bands.as_ref(), "band", self.within(), found);
        let (basis, rows) = (basis?, rows?);
        let bands: Vec<_> = rows
            .0
            .iter()
            .map(|row| row.complete(basis, found))
            .collect();
        Some(Profile::Bands {
            basis,
            z_min: Length::from_m(z_min?),
            bands: bands.into_iter().collect::<Option<_>>()?,
        })
    }

    fn by_table(&self, found: &mut Vec<Found>) -> Option<Profile> {
        let within = self.within();
        let basis = self.basis(found);
        let reading = need(self.reading.as_ref(), "reading", within, found);
        let heights = need(self.heights.as_ref(), "heights-m", within, found);
        let rows = need(self.columns.as_ref(), "column", within, found);
        let (basis, rows) = (basis?, rows?);
        let values: Vec<_> = rows.0.iter().map(|row| row.values(basis, found)).collect();
        let values = values.into_iter().collect::<Option<Vec<_>>>()?;
        let pairs = rows.0.iter().zip(values);
        let columns = if let Some(parameter) = &self.parameter {
            let columns = pairs.map(|(row, values)| {
                let at = need(row.parameter.as_ref(), "at", ("column", row.at), found)?;
                Some(ParameterColumn { at, values })
            });
            let columns: Vec<_> = columns.collect();
            TableColumns::ByParameter {
                parameter: parameter.value.clone(),
                columns: columns.into_iter().collect::<Option<_>>()?,
            }
        } else {
            let columns = pairs.map(|(row, values)| {
                let zone = need(row.zone.as_ref(), "zone", ("column", row.at), found)?;
                Some(ZoneColumn { zone, values })
            });
            let columns: Vec<_> = columns.collect();
            TableColumns::ByZone(columns.into_iter().collect::<Option<_>>()?)
        };
        Some(Profile::Table {
            basis,
            reading: match reading?.as_str() {
                "linear" => HeightReading::Linear,
                _ => HeightReading::Step,
            },
            heights: heights?.into_iter().map(Length::from_m).collect(),
            columns,
        })
    }
}

impl BandEntry {
    fn complete(&self, basis: Basis, found: &mut Vec<Found>) -> Option<Band> {
        let factor = match basis {
            Basis::Factor => need(self.factor.as_ref(), "factor", ("band", self.at), found)?,
            Basis::Pressure => {
                need(
                    self.pressure.as_ref(),
                    "at-10-m-kpa",
                    ("band", self.at),
                    found,
                )? * 1000.0
            }
        };
        Some(Band {
            to: Length::from_m(of(&self.to)?),
            factor,
            exponent: of(&self.exponent)?,
        })
    }
}

impl ColumnEntry {
    fn values(&self, basis: Basis, found: &mut Vec<Found>) -> Option<Vec<f64>> {
        let within = ("column", self.at);
        match basis {
            Basis::Factor => need(self.factors.as_ref(), "values", within, found),
            Basis::Pressure => {
                let kpa: Vec<f64> = need(self.pressures.as_ref(), "values-kpa", within, found)?;
                Some(pascals(&kpa))
            }
        }
    }
}

/// Terrains of a file.
pub(crate) fn terrains(
    rows: Option<&Located<Rows<TerrainEntry>>>,
    file: &Backing,
    found: &mut Vec<Found>,
) -> Option<Vec<Terrain>> {
    let rows = rows.into_iter().flat_map(|rows| &rows.value.0);
    let rows: Vec<_> = rows.map(|row| row.complete(file, found)).collect();
    rows.into_iter().collect()
}
