//! What the checks share.

/// The next number of a fixed-seed random source (SplitMix64): a counter whose bits are mixed.
pub fn mixed(counter: &mut u64) -> u64 {
    *counter = counter.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *counter;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// The next number from 0 up to 1 of the same source.
pub fn unit(counter: &mut u64) -> f64 {
    (mixed(counter) >> 11) as f64 / 9_007_199_254_740_992.0
}
