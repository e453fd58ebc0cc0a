//! Where figures go: onto the sheet, or nowhere when an optimiser runs bare. One code path serves both.

use alloc::borrow::Cow;
use alloc::string::String;

use quantity::Quantity;
use working::{Args, Figure, Formula, Inputs, Origin, Sheet};

/// Takes figures as they arise. Labels and origins are closures, so that a bare run makes no text.
pub(crate) trait Record {
    fn given<Q: Quantity>(
        &mut self,
        label: impl FnOnce() -> Cow<'static, str>,
        value: Q,
        origin: impl FnOnce() -> Origin,
    ) -> Figure<Q>;
    fn derive<I: Inputs, O: Quantity, A: Args<I>>(
        &mut self,
        label: impl FnOnce() -> Cow<'static, str>,
        formula: &'static Formula<I, O>,
        arguments: A,
    ) -> Figure<O>;
    fn step(&mut self, text: impl FnOnce() -> Cow<'static, str>);
    fn section(&mut self, title: &'static str);
}

impl Record for Sheet {
    fn given<Q: Quantity>(
        &mut self,
        label: impl FnOnce() -> Cow<'static, str>,
        value: Q,
        origin: impl FnOnce() -> Origin,
    ) -> Figure<Q> {
        Sheet::given(self, label(), value, origin())
    }
    fn derive<I: Inputs, O: Quantity, A: Args<I>>(
        &mut self,
        label: impl FnOnce() -> Cow<'static, str>,
        formula: &'static Formula<I, O>,
        arguments: A,
    ) -> Figure<O> {
        Sheet::derive(self, label(), formula, arguments)
    }
    fn step(&mut self, text: impl FnOnce() -> Cow<'static, str>) {
        Sheet::step(self, text());
    }
    fn section(&mut self, title: &'static str) {
        Sheet::section(self, title);
    }
}

/// Records nothing.
pub(crate) struct Bare;

impl Record for Bare {
    fn given<Q: Quantity>(
        &mut self,
        _: impl FnOnce() -> Cow<'static, str>,
        value: Q,
        _: impl FnOnce() -> Origin,
    ) -> Figure<Q> {
        Figure { value, line: 0 }
    }
    fn derive<I: Inputs, O: Quantity, A: Args<I>>(
        &mut self,
        _: impl FnOnce() -> Cow<'static, str>,
        formula: &'static Formula<I, O>,
        arguments: A,
    ) -> Figure<O> {
        Figure {
            value: (formula.function)(arguments.values()),
            line: 0,
        }
    }
    fn step(&mut self, _: impl FnOnce() -> Cow<'static, str>) {}
    fn section(&mut self, _: &'static str) {}
}

/// A label that is a plain word or needs to be put together.
pub(crate) fn label(parts: core::fmt::Arguments<'_>) -> Cow<'static, str> {
    match parts.as_str() {
        Some(text) => Cow::Borrowed(text),
        None => Cow::Owned(alloc::fmt::format(parts)),
    }
}

/// The path of a field under a parent path.
pub(crate) fn under(parent: &str, field: &str) -> String {
    if parent.is_empty() {
        String::from(field)
    } else {
        alloc::format!("{parent}.{field}")
    }
}
