//! ISO 13788: the temperature factor that keeps an inner surface free of mould, month by month, and whether the wall has it.

use alloc::borrow::Cow;
use alloc::string::String;
use alloc::vec::Vec;

use quantity::{Temperature, ThermalResistance};
use standards::iso_13788 as iso;
use working::{Check, Figure, Limit, Origin, Sheet, Standing, Verdict};

use crate::air::{MonthAir, month_name};
use crate::build_up::Source;
use crate::formula;
use crate::record::label;
use crate::transmittance::Transmittances;

/// A least temperature factor that a national text asks for whatever the climate.
#[derive(Clone, Debug, PartialEq)]
pub struct FactorFloor {
    /// A short key.
    pub id: String,
    /// The country by its ISO 3166 code.
    pub country: String,
    /// The act or standard with its edition.
    pub act: String,
    /// The least factor.
    pub value: f64,
    /// Where it was read.
    pub source: String,
    /// How well it is known.
    pub standing: Standing,
}

/// What the mould check goes by.
#[derive(Clone, Debug, PartialEq)]
pub struct MouldCriteria {
    /// The internal surface resistance to use.
    pub surface: ThermalResistance,
    /// The relative humidity at the surface that must not be passed.
    pub critical_humidity: f64,
    /// The factor at the coldest place, from a thermal bridge calculation; nothing for the plane wall.
    pub factor: Option<(f64, Source)>,
    /// National floors to be checked too.
    pub floors: Vec<FactorFloor>,
}

impl Default for MouldCriteria {
    /// The standard's: 0.25 m2K/W, 80 %, the plane wall, no national floor.
    fn default() -> Self {
        Self {
            surface: iso::MOULD_SURFACE,
            critical_humidity: iso::MOULD_HUMIDITY,
            factor: None,
            floors: Vec::new(),
        }
    }
}

/// One month of the mould check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MouldMonth {
    /// The air on both sides.
    pub air: MonthAir,
    /// The least temperature of the surface.
    pub least_temperature: Figure<Temperature>,
    /// The factor the month asks for; nothing where it is not colder outside or any factor will do.
    pub factor_needed: Option<Figure<f64>>,
    /// The temperature the surface has.
    pub surface_temperature: Figure<Temperature>,
    /// The relative humidity there; above 1 it is wet.
    pub surface_humidity: Figure<f64>,
}

/// The mould check of a year.
#[derive(Clone, Debug, PartialEq)]
pub struct Mould {
    /// Twelve months.
    pub months: Vec<MouldMonth>,
    /// The month that asks for the largest factor; nothing where none asks for any.
    pub critical: Option<usize>,
    /// The factor of the surface.
    pub factor: Figure<f64>,
    /// Whether the factor reaches what the critical month asks for; nothing where none asks.
    pub verdict: Option<Verdict>,
    /// The verdicts on the national floors, in their order.
    pub floors: Vec<Verdict>,
}

impl Mould {
    /// Whether every check holds.
    pub fn holds(&self) -> bool {
        self.verdict.is_none_or(|v| v.holds) && self.floors.iter().all(|v| v.holds)
    }
}

pub(crate) fn mould_on(
    of: &Transmittances,
    air: &[MonthAir],
    criteria: &MouldCriteria,
    sheet: &mut Sheet,
) -> Mould {
    sheet.section("Mould at the inner surface");
    let factor = surface_factor(of, criteria, sheet);
    let critical = sheet.given(
        "phi_cr",
        criteria.critical_humidity,
        if criteria.critical_humidity == iso::MOULD_HUMIDITY {
            Origin::Table(iso::MOULD_CLAUSE)
        } else {
            Origin::request("critical_humidity")
        },
    );
    let months: Vec<MouldMonth> = air
        .iter()
        .map(|air| mould_month(air, factor, critical, sheet))
        .collect();
    let needed = |month: &MouldMonth| month.factor_needed;
    let mut worst: Option<(usize, Figure<f64>)> = None;
    for (index, month) in months.iter().enumerate() {
        if let Some(needed) = needed(month)
            && worst.is_none_or(|(_, most)| needed.value > most.value)
        {
            worst = Some((index, needed));
        }
    }
    let verdict = worst.map(|(index, needed)| {
        sheet.check(Check {
            name: Cow::Owned(alloc::format!(
                "temperature factor in the critical month, {}",
                month_name(index)
            )),
            clause: iso::MOULD_CLAUSE,
            figure: factor,
            limit: needed,
            side: Limit::AtLeast,
        })
    });
    if worst.is_none() {
        sheet.step("No month asks for a temperature factor.");
    }
    let floors = criteria
        .floors
        .iter()
        .map(|floor| floor_verdict(floor, factor, sheet))
        .collect();
    Mould {
        months,
        critical: worst.map(|(index, _)| index),
        factor,
        verdict,
        floors,
    }
}

fn floor_verdict(floor: &FactorFloor, factor: Figure<f64>, sheet: &mut Sheet) -> Verdict {
    let rule = Origin::Rule(alloc::format!("{}, {}", floor.country, floor.act));
    let limit = sheet.given("f_Rsi, national floor", floor.value, rule);
    sheet.check(Check {
        name: Cow::Owned(alloc::format!("temperature factor, {}", floor.act)),
        clause: working::Clause::project(
            "national floor of the temperature factor named beside it",
        ),
        figure: factor,
        limit,
        side: Limit::AtLeast,
    })
}

fn surface_factor(of: &Transmittances, criteria: &MouldCriteria, sheet: &mut Sheet) -> Figure<f64> {
    if let Some((value, from)) = &criteria.factor {
        return sheet.given(
            "f_Rsi at the coldest place",
            *value,
            from.origin("temperature-factor"),
        );
    }
    let from = if criteria.surface == iso::MOULD_SURFACE {
        Origin::Table(iso::SURFACE_CLAUSE)
    } else {
        Origin::request("surface_m2k_per_w")
    };
    let surface = sheet.given("R_si for mould", criteria.surface, from);
    let total = sheet.derive(
        "R_tot with R_si for mould",
        &iso::WITH_SURFACE,
        (of.total, of.inside_surface, surface),
    );
    sheet.derive("f_Rsi", &iso::WALL_FACTOR, (surface, total))
}

fn mould_month(
    air: &MonthAir,
    factor: Figure<f64>,
    critical: Figure<f64>,
    sheet: &mut Sheet,
) -> MouldMonth {
    let name = month_name(air.month);
    let pressure = sheet.derive(
        label(format_args!("p_sat at the surface, least, {name}")),
        &iso::LEAST_SATURATION,
        (air.inside_pressure, critical),
    );
    let least = sheet.derive(
        label(format_args!("theta_si, least, {name}")),
        &iso::DEW_POINT,
        (pressure,),
    );
    let colder = air.outside.value < air.inside.value && air.outside.value < least.value;
    let factor_needed = colder.then(|| {
        sheet.derive(
            label(format_args!("f_Rsi, least, {name}")),
            &iso::TEMPERATURE_FACTOR,
            (least, air.outside, air.inside),
        )
    });
    let surface = sheet.derive(
        label(format_args!("theta_si, {name}")),
        &formula::SURFACE_TEMPERATURE,
        (air.outside, air.inside, factor),
    );
    let saturation = sheet.derive(
        label(format_args!("p_sat at the surface, {name}")),
        &iso::SATURATION,
        (surface,),
    );
    let humidity = sheet.derive(
        label(format_args!("phi at the surface, {name}")),
        &iso::RELATIVE_HUMIDITY,
        (air.inside_pressure, saturation),
    );
    MouldMonth {
        air: *air,
        least_temperature: least,
        factor_needed,
        surface_temperature: surface,
        surface_humidity: humidity,
    }
}
