//! `etics-server`: serves estimates until it is told to stop.

use std::path::PathBuf;
use std::process::ExitCode;
use std::{env, fs};

use clap::{Parser, Subcommand};
use server::{Settings, ask_health, serve};

/// Estimates external thermal insulation jobs over gRPC.
#[derive(Parser)]
#[command(name = "etics-server", version = server::ENGINE_VERSION)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Serve until SIGTERM or SIGINT.
    Serve {
        /// Settings; `ETICS_<SECTION>_<KEY>` in the environment wins over the file.
        #[arg(long, env = "ETICS_CONFIG")]
        config: Option<PathBuf>,
    },
    /// Check a settings file and print what holds, the environment laid over.
    CheckConfig {
        /// The file.
        file: PathBuf,
    },
    /// Ask a server for its health; exit code 0 if it serves.
    Healthcheck {
        /// Its address; by default the one that the settings listen on.
        address: Option<String>,
    },
}

fn main() -> ExitCode {
    let done = match Arguments::parse().command {
        Command::Serve { config } => settings(config).and_then(|s| serve(&s)),
        Command::CheckConfig { file } => settings(Some(file)).and_then(|s| shown(&s)),
        Command::Healthcheck { address } => healthcheck(address),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(text) => {
            eprintln!("{}", text.trim_end());
            ExitCode::FAILURE
        }
    }
}

fn settings(file: Option<PathBuf>) -> Result<Settings, String> {
    let variable = |name: &str| env::var(name).ok();
    let Some(file) = file else {
        return Settings::read("", variable);
    };
    let place = file.display();
    let text = fs::read_to_string(&file).map_err(|e| format!("{place}: {e}"))?;
    Settings::read(&text, variable).map_err(|e| format!("{place}: {e}"))
}

fn shown(settings: &Settings) -> Result<(), String> {
    print!("{}", settings.to_toml()?);
    Ok(())
}

fn healthcheck(address: Option<String>) -> Result<(), String> {
    if let Some(address) = address {
        return ask_health(&address);
    }
    let config = env::var_os("ETICS_CONFIG").map(PathBuf::from);
    let listens = settings(config)?.address()?;
    let host = if listens.ip().is_unspecified() {
        "127.0.0.1".to_owned()
    } else {
        listens.ip().to_string()
    };
    ask_health(&format!("{host}:{}", listens.port()))
}
