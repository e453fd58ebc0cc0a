//! Why there is no answer: every fault with its place.

use std::fmt::Write as _;

use super::table::{PAGE, wrap};
use crate::refusal::{Refusal, Told};
use crate::survey::{NoSurvey, Source};

/// A refusal, with the lines of the survey file where it has one.
pub(crate) fn refused(refusal: &Refusal, source: Option<&Source>) -> String {
    let mut out = String::new();
    let _ = match refusal.faults.len() {
        0 => writeln!(out, "{}", refusal.summary),
        1 => writeln!(out, "1 fault; nothing was estimated"),
        n => writeln!(out, "{n} faults; nothing was estimated"),
    };
    for fault in &refusal.faults {
        told(&mut out, fault, source);
    }
    out
}

fn told(out: &mut String, fault: &Told, source: Option<&Source>) {
    let path = if fault.path.is_empty() {
        "the request"
    } else {
        &fault.path
    };
    let _ = writeln!(out, "\n  {path}   {}", fault.reason);
    for line in wrap(&fault.text, PAGE - 4) {
        let _ = writeln!(out, "    {line}");
    }
    if let Some(excerpt) = source.and_then(|s| s.excerpt(&fault.path)) {
        let _ = writeln!(out, "{excerpt}");
    }
}

/// A survey file that is no request.
pub(crate) fn no_survey(why: &NoSurvey) -> String {
    match why {
        NoSurvey::Unreadable(text) => format!("{text}\n"),
        NoSurvey::Syntax(faults) => {
            let mut out = String::new();
            for fault in faults {
                let _ = writeln!(out, "{fault}\n");
            }
            out
        }
        NoSurvey::Faults(faults, source) => refused(&Refusal::of_faults(faults), Some(source)),
    }
}
