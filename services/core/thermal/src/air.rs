//! The air of each month on both sides of the wall, on the sheet.

use alloc::borrow::Cow;
use alloc::vec::Vec;

use quantity::{Duration, Temperature, VapourPressure};
use standards::iso_13788 as iso;
use working::{Figure, Origin};

use crate::climate::{Climate, Inside, InsideHumidity, MONTH_NAMES, OutsideHumidity};
use crate::glaser::Air;
use crate::record::{Record, label};

/// The air of one month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MonthAir {
    /// The month, 0 for January.
    pub month: usize,
    /// Its length.
    pub length: Figure<Duration>,
    /// The outside temperature.
    pub outside: Figure<Temperature>,
    /// The inside temperature.
    pub inside: Figure<Temperature>,
    /// The outside vapour pressure.
    pub outside_pressure: Figure<VapourPressure>,
    /// The inside vapour pressure.
    pub inside_pressure: Figure<VapourPressure>,
    /// The inside relative humidity.
    pub inside_humidity: Figure<f64>,
}

impl MonthAir {
    pub(crate) fn bare(&self) -> Air {
        Air {
            inside_celsius: self.inside.value.as_celsius(),
            outside_celsius: self.outside.value.as_celsius(),
            inside_pa: self.inside_pressure.value.as_pa(),
            outside_pa: self.outside_pressure.value.as_pa(),
            seconds: self.length.value.as_seconds(),
        }
    }
}

/// The name of a month, 0 for January.
pub(crate) fn month_name(month: usize) -> &'static str {
    MONTH_NAMES.get(month).copied().unwrap_or("month")
}

pub(crate) fn air_on<R: Record>(
    climate: &Climate,
    inside: &Inside,
    record: &mut R,
) -> Vec<MonthAir> {
    let margin = record.given(
        || Cow::Borrowed("margin on the internal vapour excess"),
        iso::EXCESS_MARGIN,
        || Origin::Table(iso::MARGIN_CLAUSE),
    );
    climate
        .months
        .iter()
        .enumerate()
        .map(|(month, given)| {
            let name = month_name(month);
            let from = || {
                if climate.path.is_empty() {
                    Origin::Rule(alloc::format!("climate {}, {}", climate.id, climate.source))
                } else {
                    Origin::request(alloc::format!("{}.months[{month}]", climate.path))
                }
            };
            let length = record.given(|| label(format_args!("t, {name}")), given.length, from);
            let outside = record.given(
                || label(format_args!("theta_e, {name}")),
                given.outside,
                from,
            );
            let path = || Origin::request(alloc::format!("{}.temperatures", inside.path));
            let theta_i = record.given(
                || label(format_args!("theta_i, {name}")),
                inside.temperature(month),
                path,
            );
            let outside_pressure = match given.humidity {
                OutsideHumidity::Pressure(p) => {
                    record.given(|| label(format_args!("p_e, {name}")), p, from)
                }
                OutsideHumidity::Relative(phi) => {
                    let phi = record.given(|| label(format_args!("phi_e, {name}")), phi, from);
                    let saturation = record.derive(
                        || label(format_args!("p_sat outside, {name}")),
                        &iso::SATURATION,
                        (outside,),
                    );
                    record.derive(
                        || label(format_args!("p_e, {name}")),
                        &iso::PARTIAL_PRESSURE,
                        (phi, saturation),
                    )
                }
            };
            let saturation = record.derive(
                || label(format_args!("p_sat inside, {name}")),
                &iso::SATURATION,
                (theta_i,),
            );
            let (inside_pressure, inside_humidity) = inside_air(
                inside,
                month,
                (outside, outside_pressure, saturation, margin),
                record,
            );
            MonthAir {
                month,
                length,
                outside,
                inside: theta_i,
                outside_pressure,
                inside_pressure,
                inside_humidity,
            }
        })
        .collect()
}

type Around = (
    Figure<Temperature>,
    Figure<VapourPressure>,
    Figure<VapourPressure>,
    Figure<f64>,
);

fn inside_air<R: Record>(
    inside: &Inside,
    month: usize,
    (outside, outside_pressure, saturation, margin): Around,
    record: &mut R,
) -> (Figure<VapourPressure>, Figure<f64>) {
    let name = month_name(month);
    let relative = |phi: f64, record: &mut R| {
        let path = || Origin::request(alloc::format!("{}.relative_humidity", inside.path));
        let phi = record.given(|| label(format_args!("phi_i, {name}")), phi, path);
        let p = record.derive(
            || label(format_args!("p_i, {name}")),
            &iso::PARTIAL_PRESSURE,
            (phi, saturation),
        );
        (p, phi)
    };
    match &inside.humidity {
        InsideHumidity::Class(class) => {
            let rule = || {
                Origin::Rule(alloc::format!(
                    "humidity class {}, {}",
                    class.id,
                    class.source
                ))
            };
            let at_zero = record.given(
                || label(format_args!("dp_0, class {}", class.id)),
                class.excess,
                rule,
            );
            let none = record.given(
                || label(format_args!("theta_0, class {}", class.id)),
                class.none_from,
                rule,
            );
            let excess = record.derive(
                || label(format_args!("dp, {name}")),
                &iso::EXCESS,
                (at_zero, none, outside),
            );
            let p = record.derive(
                || label(format_args!("p_i, {name}")),
                &iso::INSIDE_PRESSURE,
                (outside_pressure, margin, excess),
            );
            let phi = record.derive(
                || label(format_args!("phi_i, {name}")),
                &iso::RELATIVE_HUMIDITY,
                (p, saturation),
            );
            (p, phi)
        }
        InsideHumidity::Relative(phi) => relative(*phi, record),
        InsideHumidity::Monthly(list) => {
            relative(list.get(month).copied().unwrap_or(f64::NAN), record)
        }
    }
}
