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
