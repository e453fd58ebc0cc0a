//! Work that is halted.

use std::cell::Cell;

use working::Halt;

/// What comes of work that is halted from its question after `times` on, and how often it asks.
pub fn halted_after<T>(times: usize, work: impl FnOnce(Halt<'_>) -> T) -> (T, usize) {
    let asked = Cell::new(0);
    let ask = || {
        asked.set(asked.get() + 1);
        asked.get() > times
    };
    let end = work(Halt::when(&ask));
    (end, asked.get())
}
