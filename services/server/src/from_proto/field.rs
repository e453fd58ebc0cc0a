//! Checks of single fields.

use working::Faults;

/// The most bytes of a name, key or reference.
pub const MOST_TEXT: usize = 200;

/// The value of a wire enum, with a fault where this version does not know it. `None` stands for unspecified.
pub(super) fn choice<E: TryFrom<i32> + Copy>(
    path: &str,
    number: i32,
    faults: &mut Faults,
) -> Option<E> {
    if number == 0 {
        return None;
    }
    let value = E::try_from(number).ok();
    if value.is_none() {
        faults.add(
            path,
            "UNKNOWN_VALUE",
            format!("{number}"),
            "a value of this version's enum",
        );
    }
    value
}

/// The value of a wire enum that must be told.
pub(super) fn told<E: TryFrom<i32> + Copy>(
    path: &str,
    number: i32,
    expected: &str,
    faults: &mut Faults,
) -> Option<E> {
    if number == 0 {
        faults.add(path, "MISSING", "nothing", expected);
    }
    choice(path, number, faults)
}

/// A range that a number of the wire must lie in, both ends included.
#[derive(Clone, Copy)]
pub(super) struct Range {
    pub least: f64,
    pub most: f64,
    pub unit: &'static str,
}

/// A number that must be finite and in range.
pub(super) fn number(path: &str, value: f64, range: Range, faults: &mut Faults) -> f64 {
    let Range { least, most, unit } = range;
    if !(least..=most).contains(&value) {
        let reason = if value.is_finite() {
            "OUT_OF_RANGE"
        } else {
            "NOT_FINITE"
        };
        let expected = format!("{least} to {most} {unit}");
        faults.add(path, reason, format!("{value}"), expected.trim_end());
        return least;
    }
    value
}

/// A short text.
pub(super) fn text(path: &str, value: &str, faults: &mut Faults) -> String {
    if value.len() > MOST_TEXT {
        faults.add(
            path,
            "LIMIT_EXCEEDED",
            format!("{} bytes", value.len()),
            format!("at most {MOST_TEXT} bytes"),
        );
        return String::new();
    }
    value.to_owned()
}

/// A short text that must be there.
pub(super) fn key(path: &str, value: &str, expected: &str, faults: &mut Faults) -> String {
    if value.is_empty() {
        faults.add(path, "MISSING", "nothing", expected);
    }
    text(path, value, faults)
}
