//! Exponential, sine, cosine and arc tangent of several numbers at once, without a branch, so that the compiler puts them side by side.
//!
//! They are made of sums, products, quotients and moves of bits alone, hence the same on every machine, and agree with `libm` to a few
//! units in the last place where a wall needs them; `libm` itself takes one number at a time and branches by its size.

/// A number whose last bits are whole numbers: what is added to it is rounded to one.
const TO_WHOLE: f64 = 6_755_399_441_055_744.0;

/// `e` to the power of `x`, for `x` from -700 to 700.
#[inline]
pub(super) fn exp(x: f64) -> f64 {
    const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let shifted = x * core::f64::consts::LOG2_E + TO_WHOLE;
    let whole = shifted - TO_WHOLE;
    let r = (x - whole * LN_2_HIGH) - whole * LN_2_LOW;
    let q = r * r;
    let even = 1.0 / 2.0
        + q * (1.0 / 24.0
            + q * (1.0 / 720.0
                + q * (1.0 / 40_320.0 + q * (1.0 / 3_628_800.0 + q * (1.0 / 479_001_600.0)))));
    let odd = 1.0 / 6.0
        + q * (1.0 / 120.0
            + q * (1.0 / 5_040.0
                + q * (1.0 / 362_880.0 + q * (1.0 / 39_916_800.0 + q * (1.0 / 6_227_020_800.0)))));
    let power = 1.0 + (r + q * (even + r * odd));
    // The exponent goes straight into its bits.
    let scale = (shifted.to_bits() << 52).wrapping_add(1.0_f64.to_bits());
    power * f64::from_bits(scale)
}

/// The hyperbolic sine and cosine of `x`, for `x` from 0 to 700.
#[inline]
pub(super) fn sinh_cosh(x: f64) -> (f64, f64) {
    let e = exp(x);
    let inverse = 1.0 / e;
    // Below a half the difference of the exponentials loses digits, and few terms of the series are exact.
    let q = x * x;
    let series = x + x
        * q
        * (1.0 / 6.0
            + q * (1.0 / 120.0
                + q * (1.0 / 5_040.0
                    + q * (1.0 / 362_880.0
                        + q * (1.0 / 39_916_800.0 + q * (1.0 / 6_227_020_800.0))))));
    let difference = (e - inverse) * 0.5;
    (
        if x < 0.5 { series } else { difference },
        (e + inverse) * 0.5,
    )
}

/// The sine and cosine of `x`, for `x` from 0 to a thousand.
#[inline]
pub(super) fn sin_cos(x: f64) -> (f64, f64) {
    // A quarter turn in two parts, the first short enough that its multiples are exact.
    const QUARTER_HIGH: f64 = 1.570_796_326_734_125_6;
    const QUARTER_LOW: f64 = 6.077_100_506_506_192e-11;
    let shifted = x * core::f64::consts::FRAC_2_PI + TO_WHOLE;
    let whole = shifted - TO_WHOLE;
    let r = (x - whole * QUARTER_HIGH) - whole * QUARTER_LOW;
    let q = r * r;
    // The terms of fdlibm's kernels.
    let sine = r + r
        * q
        * (-1.666_666_666_666_663_2e-1
            + q * (8.333_333_333_322_49e-3
                + q * (-1.984_126_982_985_795e-4
                    + q * (2.755_731_370_707_006_8e-6
                        + q * (-2.505_076_025_340_686_3e-8 + q * 1.589_690_995_211_55e-10)))));
    let cosine = 1.0 - q * 0.5
        + q * q
            * (4.166_666_666_666_66e-2
                + q * (-1.388_888_888_887_411e-3
                    + q * (2.480_158_728_947_673e-5
                        + q * (-2.755_731_435_139_066_3e-7
                            + q * (2.087_572_321_298_175e-9 + q * -1.135_964_755_778_819_5e-11)))));
    // The quarter turns change places and signs.
    let quarters = shifted.to_bits();
    let swapped = 0_u64.wrapping_sub(quarters & 1);
    let (s, c) = (sine.to_bits(), cosine.to_bits());
    let (sine, cosine) = (
        (s & !swapped) | (c & swapped),
        (c & !swapped) | (s & swapped),
    );
    let sign = |quarters: u64| (quarters & 2) << 62;
    (
        f64::from_bits(sine ^ sign(quarters)),
        f64::from_bits(cosine ^ sign(quarters.wrapping_add(1))),
    )
}

/// The angle of the point (`x`, `y`), from minus half a turn to half a turn; `x` and `y` not both zero.
#[inline]
pub(super) fn atan2(y: f64, x: f64) -> f64 {
    use core::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};
    /// The tangent of an eighth of a half turn.
    const TURNED_ABOVE: f64 = 0.414_213_562_373_095_03;
    let (across, up) = (x.abs(), y.abs());
    let (short, long) = if up > across {
        (across, up)
    } else {
        (up, across)
    };
    let turned = short > long * TURNED_ABOVE;
    let (top, bottom) = if turned {
        (short - long, short + long)
    } else {
        (short, long)
    };
    let t = top / bottom;
    let angle = t - t * arc_series(t * t) + if turned { FRAC_PI_4 } else { 0.0 };
    let angle = if up > across {
        FRAC_PI_2 - angle
    } else {
        angle
    };
    let angle = if x < 0.0 { PI - angle } else { angle };
    if y < 0.0 { -angle } else { angle }
}

/// `1 - atan(t) / t` by `t` squared, up to the tangent of an eighth of a half turn: the terms of fdlibm's `atan`.
#[inline]
fn arc_series(z: f64) -> f64 {
    let w = z * z;
    let even = z
        * (3.333_333_333_333_293e-1
            + w * (1.428_571_427_250_346_6e-1
                + w * (9.090_887_133_436_507e-2
                    + w * (6.661_073_137_387_531e-2
                        + w * (4.976_877_994_615_932e-2 + w * 1.628_582_011_536_578_2e-2)))));
    let odd = w
        * (-1.999_999_999_987_648_3e-1
            + w * (-1.111_111_040_546_235_6e-1
                + w * (-7.691_876_205_044_83e-2
                    + w * (-5.833_570_133_790_573_5e-2 + w * -3.653_157_274_421_691_6e-2))));
    even + odd
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, wanted: f64, digits: f64) -> bool {
        (found - wanted).abs() <= digits * wanted.abs()
    }

    #[test]
    fn powers_and_hyperbolics_agree_with_libm() {
        for k in -60_000..=60_000 {
            let x = f64::from(k) * 0.005_123;
            assert!(close(exp(x), libm::exp(x), 4e-16), "exp {x}");
            if x >= 0.0 {
                let (sinh, cosh) = sinh_cosh(x);
                assert!(close(sinh, libm::sinh(x), 1e-15), "sinh {x}");
                assert!(close(cosh, libm::cosh(x), 1e-15), "cosh {x}");
            }
        }
    }

    #[test]
    fn small_hyperbolic_sines_keep_their_digits() {
        for k in 1..=5_000 {
            let x = f64::from(k) * 1e-4;
            assert!(close(sinh_cosh(x).0, libm::sinh(x), 5e-16), "sinh {x}");
        }
    }

    #[test]
    fn circular_functions_agree_with_libm() {
        for k in 0..=200_000 {
            let x = f64::from(k) * 0.001_517;
            let (sine, cosine) = sin_cos(x);
            assert!((sine - libm::sin(x)).abs() < 4e-16, "sin {x}");
            assert!((cosine - libm::cos(x)).abs() < 4e-16, "cos {x}");
        }
        // Near their roots the digits that are left are right.
        for k in 1..=190 {
            let x = f64::from(k) * core::f64::consts::FRAC_PI_2;
            let (sine, cosine) = sin_cos(x);
            let (wanted, found) = if k % 2 == 0 {
                (libm::sin(x), sine)
            } else {
                (libm::cos(x), cosine)
            };
            assert!((found - wanted).abs() < 1e-22, "{found} {wanted}");
        }
    }

    #[test]
    fn angles_agree_with_libm() {
        for k in 0..=40_000 {
            let (y, x) = libm::sincos(f64::from(k) * 1.571e-4);
            for size in [1e-9, 1.0, 3e7] {
                let (y, x) = (y * size, x * size);
                assert!(close(atan2(y, x), libm::atan2(y, x), 6e-16), "{y} {x}");
            }
        }
        for (y, x) in [(0.0, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0), (1.0, 1.0)] {
            assert!(close(atan2(y, x), libm::atan2(y, x), 4e-16), "{y} {x}");
        }
    }
}
