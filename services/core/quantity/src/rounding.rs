//! Rounding at the end of a calculation, never inside one.

/// How a final figure is rounded before it is compared or printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Rounding {
    /// The full value.
    #[default]
    Full,
    /// So many decimal places, half away from zero.
    Decimals(u8),
    /// So many significant figures, half away from zero.
    Significant(u8),
}

impl Rounding {
    /// The rounded number. Numbers that are not finite come back as they are.
    ///
    /// ```
    /// use quantity::Rounding;
    /// assert_eq!(Rounding::Significant(2).round(0.2446), 0.24);
    /// assert_eq!(Rounding::Decimals(0).round(2.5), 3.0);
    /// ```
    pub fn round(self, number: f64) -> f64 {
        if !number.is_finite() || number == 0.0 {
            return number;
        }
        let places = match self {
            Self::Full => return number,
            Self::Decimals(places) => i32::from(places),
            Self::Significant(figures) => {
                i32::from(figures) - 1 - libm::floor(libm::log10(libm::fabs(number))) as i32
            }
        };
        // Powers of ten are exact up to 10^22; a negative exponent divides, so that 0.24 comes out as the nearest double.
        let power = libm::pow(10.0, f64::from(places.abs()));
        if places >= 0 {
            libm::round(number * power) / power
        } else {
            libm::round(number / power) * power
        }
    }
}

/// The least whole number of packs that holds `need`, where both are in the same unit.
/// A need within one part in 10^9 of a whole number of packs counts as that number, so that dust of
/// floating-point arithmetic never buys a pack. Nothing for a pack that is not positive, or a need that is not finite.
///
/// ```
/// use quantity::whole_packs;
/// assert_eq!(whole_packs(10.0, 2.5), Some(4));
/// assert_eq!(whole_packs(10.1, 2.5), Some(5));
/// assert_eq!(whole_packs(0.0, 2.5), Some(0));
/// assert_eq!(whole_packs(1.0, 0.0), None);
/// ```
pub fn whole_packs(need: f64, pack: f64) -> Option<u64> {
    let ratio = need / pack;
    if !ratio.is_finite() || pack <= 0.0 || ratio > 1e12 {
        return None;
    }
    if ratio <= 0.0 {
        return Some(0);
    }
    Some(libm::ceil(ratio * (1.0 - 1e-9)) as u64)
}
