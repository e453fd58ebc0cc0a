//! Numbers in sentences.

use alloc::format;
use alloc::string::String;

/// A number with its noun, in the singular for one.
///
/// ```
/// use working::numbered;
/// assert_eq!(numbered(1_u64, "strip", "strips"), "1 strip");
/// assert_eq!(numbered(0_u64, "strip", "strips"), "0 strips");
/// ```
pub fn numbered(number: impl Into<u64>, one: &str, several: &str) -> String {
    match number.into() {
        1 => format!("1 {one}"),
        n => format!("{n} {several}"),
    }
}
