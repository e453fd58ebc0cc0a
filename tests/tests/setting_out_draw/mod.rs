//! Jobs at random, drawn alike on every run.

/// A stream of numbers: a counter whose bits are mixed (splitmix64).
pub struct Draw(pub u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// One of the whole numbers from `least` to `most`, both among them.
    pub fn between(&mut self, least: i32, most: i32) -> i32 {
        let count = i64::from(most) - i64::from(least) + 1;
        least + (self.next() % count.max(1) as u64) as i32
    }

    /// Once in `times`.
    pub fn once_in(&mut self, times: i32) -> bool {
        self.between(1, times) == 1
    }

    pub fn one_of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.between(0, list.len() as i32 - 1) as usize]
    }
}
