//! Time spent on the processor, for the programs that compare speeds.

use std::sync::OnceLock;
use std::time::Instant;

/// Seconds that this program has had the processor, so that others on the machine do not count; by the clock where the system does not say.
pub fn processor_seconds() -> f64 {
    static BEGIN: OnceLock<Instant> = OnceLock::new();
    let clock = BEGIN.get_or_init(Instant::now).elapsed().as_secs_f64();
    let text = std::fs::read_to_string("/proc/self/schedstat").unwrap_or_default();
    text.split_whitespace()
        .next()
        .and_then(|n| n.parse::<f64>().ok())
        .map_or(clock, |nanoseconds| nanoseconds / 1e9)
}
