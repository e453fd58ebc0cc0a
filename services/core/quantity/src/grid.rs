//! The whole-number millimetre grid on which facades, boards and cuts are laid.

use core::fmt;
use core::iter::Sum;
use core::ops::{Add, AddAssign, Div, Mul, Neg, Rem, Sub, SubAssign};

use crate::Length;

/// A whole number of millimetres: a coordinate or a size on the setting-out grid.
///
/// Sums and products saturate at the ends of `i32`, far beyond [`Mm::LIMIT`], so that an unchecked survey never overflows.
///
/// ```
/// use quantity::Mm;
/// assert_eq!(Mm(1000) - Mm(250), Mm(750));
/// assert_eq!(Mm(1500).to_length().as_mm(), 1500.0);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mm(pub i32);

impl Mm {
    /// Zero.
    pub const ZERO: Self = Self(0);
    /// The largest coordinate that any survey may carry: 1 km either way.
    pub const LIMIT: Self = Self(1_000_000);

    /// The same distance as a physical length.
    pub fn to_length(self) -> Length {
        Length::from_mm(f64::from(self.0))
    }
    /// The smaller of two.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        if other < self { other } else { self }
    }
    /// The larger of two.
    #[must_use]
    pub fn max(self, other: Self) -> Self {
        if other > self { other } else { self }
    }
    /// The distance from zero.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }
    /// A finite number of millimetres that is whole, or nothing.
    pub fn from_whole(mm: f64) -> Option<Self> {
        let limit = f64::from(Self::LIMIT.0);
        let whole = mm.is_finite() && libm::trunc(mm) == mm && (-limit..=limit).contains(&mm);
        whole.then_some(Self(mm as i32))
    }
}

impl fmt::Display for Mm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.0)
    }
}

impl Add for Mm {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}
impl Sub for Mm {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}
impl Neg for Mm {
    type Output = Self;
    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}
impl Mul<i32> for Mm {
    type Output = Self;
    fn mul(self, times: i32) -> Self {
        Self(self.0.saturating_mul(times))
    }
}
impl Div<i32> for Mm {
    type Output = Self;
    fn div(self, parts: i32) -> Self {
        Self(self.0 / parts)
    }
}
impl Rem<Mm> for Mm {
    type Output = Self;
    fn rem(self, module: Mm) -> Self {
        Self(self.0 % module.0)
    }
}
impl AddAssign for Mm {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}
impl SubAssign for Mm {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}
impl Sum for Mm {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::ZERO, Add::add)
    }
}
