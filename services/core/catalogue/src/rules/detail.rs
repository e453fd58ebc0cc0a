//! `rules/details/*.toml`

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use thermal_bridge::{
    Derived, Detail, DetailBoundary, DetailEnvironment, DetailFlank, DetailPoint, DetailRectangle,
    Parameter, ParameterUnit, Side,
};

use crate::complete::of;
use crate::entry::{Rows, entry};
use crate::fault::{Fact, Found};
use crate::rules::file::{RuleEntry, text, word};
use crate::source::Located;
use crate::value::{Pairs, Text};

/// An entry of which a parameter has the three numbers for each unit it may count in.
macro_rules! parameter {
    ($($low:ident $usual:ident $high:ident = $low_key:literal $usual_key:literal $high_key:literal, $unit:ident;)*) => {
        entry! {
            /// A parameter of a detail, in one unit.
            ParameterEntry {
                /// Its name in expressions.
                name: String = "name", Required, Text::Free;
                /// What it stands for.
                meaning: String = "meaning", Required, Text::Free;
                $(
                    /// The value where none is chosen.
                    $usual: f64 = $usual_key, Optional, -1_000_000.0..=1_000_000.0;
                    /// The least value.
                    $low: f64 = $low_key, Optional, -1_000_000.0..=1_000_000.0;
                    /// The greatest value.
                    $high: f64 = $high_key, Optional, -1_000_000.0..=1_000_000.0;
                )*
                /// Where the value was read.
                source: String = "source", Required, Text::Free;
            }
        }

        impl ParameterEntry {
            /// The unit with the usual, least and greatest value, for every unit of which something is told.
            fn told(&self) -> Vec<(ParameterUnit, [Option<f64>; 3], [&'static str; 3])> {
                let mut told = Vec::new();
                $(
                    let numbers = [of(&self.$usual), of(&self.$low), of(&self.$high)];
                    if numbers.iter().any(Option::is_some) {
                        told.push((ParameterUnit::$unit, numbers, [$usual_key, $low_key, $high_key]));
                    }
                )*
                told
            }
        }
    };
}

parameter! {
    low_mm usual_mm high_mm = "lowest-mm" "default-mm" "highest-mm", Millimetre;
    low_w usual_w high_w = "lowest-w-per-mk" "default-w-per-mk" "highest-w-per-mk", WattPerMetreKelvin;
    low_r usual_r high_r = "lowest-m2k-per-w" "default-m2k-per-w" "highest-m2k-per-w", SquareMetreKelvinPerWatt;
    low_c usual_c high_c = "lowest-c" "default-c" "highest-c", Celsius;
    low_n usual_n high_n = "lowest" "default" "highest", Number;
}

entry! {
    /// A value computed from parameters.
    DerivedEntry {
        /// Its name in expressions.
        name: String = "name", Required, Text::Free;
        /// The expression.
        value: String = "value", Required, Text::Free;
    }
}

entry! {
    /// An environment.
    EnvironmentEntry {
        /// What it is; boundaries and flanks name it.
        name: String = "name", Required, Text::Free;
        /// On which side of the envelope it lies.
        side: String = "side", Required, Text::Choice(&["inside", "outside", "between"]);
        /// Its temperature, an expression.
        temperature: String = "temperature-c", Required, Text::Free;
        /// Its surface resistance, an expression.
        resistance: String = "surface-resistance-m2k-per-w", Required, Text::Free;
    }
}

entry! {
    /// A rectangle of one material; all numbers are expressions.
    RectangleEntry {
        /// What it is.
        name: String = "name", Required, Text::Free;
        /// Left.
        x0: String = "x0-mm", Required, Text::Free;
        /// Bottom.
        y0: String = "y0-mm", Required, Text::Free;
        /// Right.
        x1: String = "x1-mm", Required, Text::Free;
        /// Top.
        y1: String = "y1-mm", Required, Text::Free;
        /// Its conductivity.
        conductivity: String = "conductivity-w-per-mk", Required, Text::Free;
    }
}

entry! {
    /// A line of boundary, to an environment or adiabatic.
    BoundaryEntry {
        /// The environment.
        environment: String = "environment", Optional, Text::Free;
        /// True where no heat passes.
        adiabatic: bool = "adiabatic", Optional, ();
        /// The points of the line, pairs of expressions.
        path: Pairs = "path-mm", Required, ();
    }
}

entry! {
    /// A flat element beside the junction.
    FlankEntry {
        /// What it is.
        name: String = "name", Required, Text::Free;
        /// The environment on its warm side.
        warm: String = "warm", Required, Text::Free;
        /// The environment on its cold side.
        cold: String = "cold", Required, Text::Free;
        /// The cut through it, two points from warm to cold.
        cut: Pairs = "cut-mm", Required, ();
        /// Its length by inner dimensions, an expression.
        inner_length: String = "inner-length-mm", Required, Text::Free;
        /// Its length by outer dimensions, an expression.
        outer_length: String = "outer-length-mm", Required, Text::Free;
    }
}

entry! {
    /// A point of interest.
    PointEntry {
        /// What it is.
        name: String = "name", Required, Text::Free;
        /// Its place across, an expression.
        x: String = "x-mm", Required, Text::Free;
        /// Its place up, an expression.
        y: String = "y-mm", Required, Text::Free;
    }
}

entry! {
    /// A detail of a thermal bridge with named parameters.
    DetailEntry {
        /// The format of this file.
        format: u32 = "format", Required, 1..=1;
        /// Its key; the file's name without `.toml`.
        id: String = "id", Required, Text::Key;
        /// What it shows.
        title: String = "title", Required, Text::Free;
        /// How to read it.
        note: String = "note", Required, Text::Any;
        /// Where its shape comes from.
        source: String = "source", Required, Text::Free;
        /// Parameters.
        parameters: Rows<ParameterEntry> = "parameters", Required, ();
        /// Values computed from parameters, each from those before it.
        derived: Rows<DerivedEntry> = "derived", Optional, ();
        /// Environments.
        environments: Rows<EnvironmentEntry> = "environments", Required, ();
        /// Rectangles.
        rectangles: Rows<RectangleEntry> = "rectangles", Required, ();
        /// Boundaries.
        boundaries: Rows<BoundaryEntry> = "boundaries", Required, ();
        /// Flat elements beside the junction.
        flanks: Rows<FlankEntry> = "flanks", Optional, ();
        /// Points of interest.
        points: Rows<PointEntry> = "points", Optional, ();
    }
}

impl ParameterEntry {
    fn complete(&self, found: &mut Vec<Found>) -> Option<Parameter> {
        let told = self.told();
        let [(unit, [Some(default), Some(lowest), Some(highest)], _)] = told.as_slice() else {
            let keys: Vec<&str> = told
                .first()
                .map_or(&["default-mm", "lowest-mm", "highest-mm"][..], |t| &t.2[..])
                .to_vec();
            found.push(Found {
                at: self.at,
                fact: Fact::NotTogether {
                    why: "a parameter has its usual, least and greatest value in one unit".into(),
                },
                help: Some(format!("give it {}, in no other unit", keys.join(", "))),
            });
            return None;
        };
        Some(Parameter {
            name: of(&self.name)?,
            meaning: of(&self.meaning)?,
            unit: *unit,
            default: *default,
            lowest: *lowest,
            highest: *highest,
            source: of(&self.source)?,
        })
    }
}

impl BoundaryEntry {
    fn complete(&self, found: &mut Vec<Found>) -> Option<DetailBoundary> {
        let adiabatic = of(&self.adiabatic).unwrap_or(false);
        if adiabatic == self.environment.is_some() {
            found.push(Found {
                at: self.at,
                fact: Fact::NotTogether {
                    why: "a boundary either names an environment or is adiabatic".into(),
                },
                help: None,
            });
        }
        Some(DetailBoundary {
            environment: of(&self.environment),
            path: of(&self.path)?.0,
        })
    }
}

impl FlankEntry {
    fn complete(&self, found: &mut Vec<Found>) -> Option<DetailFlank> {
        let cut = self.cut.as_ref()?;
        let [from, to] = cut.value.0.as_slice() else {
            found.push(Found {
                at: cut.at,
                fact: Fact::Refused {
                    found: format!("{} points", cut.value.0.len()),
                    expected: "the two ends of the cut".into(),
                },
                help: None,
            });
            return None;
        };
        Some(DetailFlank {
            name: of(&self.name)?,
            warm: of(&self.warm)?,
            cold: of(&self.cold)?,
            cut: [from.clone(), to.clone()],
            inner_length: of(&self.inner_length)?,
            outer_length: of(&self.outer_length)?,
        })
    }
}

/// Every row made into something; all are made, so that all faults are found.
fn each<E, T>(
    rows: Option<&Located<Rows<E>>>,
    make: impl FnMut(&E) -> Option<T>,
) -> Option<Vec<T>> {
    let rows = rows.into_iter().flat_map(|rows| &rows.value.0);
    let made: Vec<Option<T>> = rows.map(make).collect();
    made.into_iter().collect()
}

impl RuleEntry for DetailEntry {
    type Rules = Detail;

    fn key(&self) -> Option<&Located<String>> {
        self.id.as_ref()
    }

    fn complete(&self, found: &mut Vec<Found>) -> Option<Detail> {
        let parameters = each(self.parameters.as_ref(), |p| p.complete(found));
        let boundaries = each(self.boundaries.as_ref(), |b| b.complete(found));
        let flanks = each(self.flanks.as_ref(), |f| f.complete(found));
        Some(Detail {
            id: of(&self.id)?,
            title: of(&self.title)?,
            note: text(self.note.as_ref()),
            source: of(&self.source)?,
            parameters: parameters?,
            derived: each(self.derived.as_ref(), |d| {
                Some(Derived {
                    name: of(&d.name)?,
                    value: of(&d.value)?,
                })
            })?,
            environments: each(self.environments.as_ref(), |e| {
                Some(DetailEnvironment {
                    name: of(&e.name)?,
                    side: match word(e.side.as_ref()) {
                        "inside" => Side::Inside,
                        "outside" => Side::Outside,
                        _ => Side::Between,
                    },
                    temperature: of(&e.temperature)?,
                    resistance: of(&e.resistance)?,
                })
            })?,
            rectangles: each(self.rectangles.as_ref(), |r| {
                Some(DetailRectangle {
                    name: of(&r.name)?,
                    x0: of(&r.x0)?,
                    y0: of(&r.y0)?,
                    x1: of(&r.x1)?,
                    y1: of(&r.y1)?,
                    conductivity: of(&r.conductivity)?,
                })
            })?,
            boundaries: boundaries?,
            flanks: flanks?,
            points: each(self.points.as_ref(), |p| {
                Some(DetailPoint {
                    name: of(&p.name)?,
                    x: of(&p.x)?,
                    y: of(&p.y)?,
                })
            })?,
        })
    }

    /// The section that the usual values give must stand.
    fn check(detail: &Detail) -> Vec<working::Fault> {
        thermal_bridge::build(detail, &BTreeMap::new())
            .err()
            .unwrap_or_default()
    }
}
