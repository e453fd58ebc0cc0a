//! Leaving long work undone when nobody waits for it any more.

/// Whether work is still wanted, asked by an engine between two pieces of it. The engine knows neither clock nor caller; it leaves the work
/// undone and answers with nothing, so that what it does answer is the same whether it was ever asked or not.
#[derive(Clone, Copy)]
pub struct Halt<'a> {
    asked: &'a dyn Fn() -> bool,
}

impl<'a> Halt<'a> {
    /// Halts as soon as `asked` says yes; from then on it must go on saying so.
    pub fn when(asked: &'a dyn Fn() -> bool) -> Self {
        Self { asked }
    }
    /// Whether the work should be left undone.
    pub fn is_asked(self) -> bool {
        (self.asked)()
    }
}

impl Halt<'static> {
    /// The work is done to its end.
    pub const NEVER: Self = Self { asked: &|| false };
}
