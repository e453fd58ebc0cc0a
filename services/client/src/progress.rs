//! A line that shows that work is going on. Only on a terminal, and only when it takes long enough to wonder.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work that is shown while it lasts.
pub(crate) struct Shown(ProgressBar);

impl Shown {
    /// Begins to show work of a name. Nothing is drawn where standard error is not a terminal.
    pub fn begin(name: &'static str) -> Self {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr_with_hz(8));
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
            bar.set_style(style.tick_chars("|/-\\ "));
        }
        bar.set_message(name);
        bar.enable_steady_tick(Duration::from_millis(120));
        Self(bar)
    }
}

impl Drop for Shown {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
