//! `etics`: estimates from a survey file.

use std::process::ExitCode;

use clap::Parser;
use client::{Arguments, Outcome, run};

fn main() -> ExitCode {
    match run(&Arguments::parse()) {
        Outcome::Answered => ExitCode::SUCCESS,
        Outcome::Refused => ExitCode::from(1),
        Outcome::Misused => ExitCode::from(2),
    }
}
