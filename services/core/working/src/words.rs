//! Numbers in sentences, and the words that stay with them where lines break.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

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

/// What stands behind a number and says nothing without it.
const UNITS: [&str; 31] = [
    "%", "mm", "cm", "m", "km", "mm2", "m2", "m²", "m3", "m³", "g", "kg", "t", "l", "s", "h", "d",
    "N", "kN", "Pa", "kPa", "W", "kWh", "K", "°C", "degC", "J", "EUR", "pc", "×", "x",
];

/// What stands before a number and says nothing without it.
const BEFORE: [&str; 8] = ["x", "y", "×", "no.", "U", "d", "+", "-"];

/// The words of a text as lines may break between them: a number stays with its unit, with what it is a number of, and with the thousands
/// behind it. A no-break space holds words together, as it does anywhere.
///
/// ```
/// use working::words_that_stay;
/// assert_eq!(words_that_stay("at most 1 369 Pa, 59 % used"), ["at", "most", "1 369 Pa,", "59 %", "used"]);
/// assert_eq!(words_that_stay("a board of 1200 × 600 at x 40"), ["a", "board", "of", "1200 × 600", "at", "x 40"]);
/// ```
pub fn words_that_stay(text: &str) -> Vec<String> {
    let words = text.split(|c: char| c.is_whitespace() && c != '\u{a0}');
    let mut kept: Vec<String> = Vec::new();
    let mut last = "";
    for word in words.filter(|word| !word.is_empty()) {
        match kept.last_mut().filter(|_| belongs(last, word)) {
            Some(before) => {
                before.push(' ');
                before.push_str(word);
            }
            None => kept.push(String::from(word)),
        }
        last = word;
    }
    kept
}

/// Whether a line must not break between two neighbouring words.
fn belongs(before: &str, word: &str) -> bool {
    let is_digit = |c: char| c.is_ascii_digit();
    let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
    // `59 %`, `1.2 W/(m2.K)`, but not `59 boards`.
    let unit = bare.split('/').next().unwrap_or_default();
    let behind = before.ends_with(is_digit) && UNITS.contains(&unit);
    let in_front =
        BEFORE.contains(&before) && word.starts_with(|c| is_digit(c) || "+-±".contains(c));
    let group = |text: &str, most: usize| {
        (1..=most).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit())
    };
    let digits = bare.split('.').next().unwrap_or_default();
    let thousands = group(before.trim_start_matches(['(', '-', '+']), 3)
        && digits.len() == 3
        && group(digits, 3);
    behind || in_front || thousands
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_never_leaves_its_unit() {
        for (text, words) in [
            ("59 %", 1),
            ("59 boards", 2),
            ("5.5 kWh/(m2.a)", 1),
            ("(1 234.50 EUR)", 1),
            ("in 2 300 boards", 3),
            ("x -40, y 200", 2),
            ("3 m of 12 m", 3),
            ("no number %", 3),
            ("  ", 0),
        ] {
            let found = words_that_stay(text);
            assert_eq!(found.len(), words, "{found:?}");
            let joined: Vec<&str> = text.split_whitespace().collect();
            assert_eq!(found.join(" "), joined.join(" "));
        }
    }
}
