//! Temperatures through the wall in the steady state.

use alloc::borrow::Cow;
use alloc::vec::Vec;

use quantity::{Temperature, ThermalResistance};
use standards::iso_6946 as iso;
use working::{Figure, Sheet};

use crate::build_up::Boundary;
use crate::formula;
use crate::record::{Record, label};
use crate::transmittance::Transmittances;

/// The temperature at one place of the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InterfaceTemperature {
    /// The layer on the inner side of the place, by its place in the build-up; nothing for the inner surface.
    pub after: Option<usize>,
    /// The resistance from the room to the place.
    pub resistance: Figure<ThermalResistance>,
    /// The temperature.
    pub temperature: Figure<Temperature>,
}

/// The temperatures from the inner surface to the outer one: one more than there are layers that count.
///
/// In a layer with sections they are those of the equivalent layer, as if each interface had one temperature.
pub fn temperatures(
    of: &Transmittances,
    boundary: &Boundary,
    sheet: &mut Sheet,
) -> Vec<InterfaceTemperature> {
    Record::section(sheet, "Temperatures through the wall");
    temperatures_on(of, boundary, sheet)
}

pub(crate) fn temperatures_on<R: Record>(
    of: &Transmittances,
    boundary: &Boundary,
    record: &mut R,
) -> Vec<InterfaceTemperature> {
    let inside = record.given(
        || Cow::Borrowed("theta_i"),
        boundary.inside,
        || boundary.from.origin("inside-celsius"),
    );
    let outside = record.given(
        || Cow::Borrowed("theta_e"),
        boundary.outside,
        || boundary.from.origin("outside-celsius"),
    );
    let mut at = of.inside_surface;
    let mut found = Vec::with_capacity(of.layers.len() + 1);
    found.push(InterfaceTemperature {
        after: None,
        resistance: at,
        temperature: record.derive(
            || Cow::Borrowed("theta, inner surface"),
            &iso::INTERFACE_TEMPERATURE,
            (inside, outside, at, of.series),
        ),
    });
    for layer in &of.layers {
        at = record.derive(
            || label(format_args!("R from inside to behind {}", layer.name)),
            &formula::IN_SERIES,
            (at, layer.resistance),
        );
        found.push(InterfaceTemperature {
            after: Some(layer.index),
            resistance: at,
            temperature: record.derive(
                || label(format_args!("theta behind {}", layer.name)),
                &iso::INTERFACE_TEMPERATURE,
                (inside, outside, at, of.series),
            ),
        });
    }
    found
}
