//! Jobs at random, drawn alike on every run.

/// A stream of numbers: a counter whose bits are mixed (splitmix64).
pub struct Draw(pub u64);

impl Draw {
    fn next(&mut self) -> u64 {
        tests::mixed(&mut self.0)
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
