//! The command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

/// Estimates for external thermal insulation composite systems: a survey in, thickness, anchors, setting-out, order list and price out.
#[derive(Parser)]
#[command(name = "etics", version = server::ENGINE_VERSION)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Subcommand)]
pub enum Command {
    /// The whole job: thickness, moisture, anchors, setting-out, order list, price.
    Estimate(Job),
    /// Thickness, transmittance and moisture only.
    Thermal(Job),
    /// Wind, anchors and bond only.
    Fixing(Job),
    /// Boards and order list only.
    Takeoff(Job),
    /// A wall of your own: transmittance, and with a climate mould and condensate.
    Wall(Weathered),
    /// A thermal bridge in two dimensions: psi, temperature factor, isotherms.
    Bridge(Question),
    /// The details that `bridge` knows, with their parameters.
    Details(Answerer),
    /// How a wall answers a temperature swing.
    Dynamics(Question),
    /// The board thickness that costs least over the years.
    Economy(Question),
    /// What insulating saves in a year, with its range.
    Saving(Weathered),
    /// How long a wet wall takes to dry behind each system.
    Drying(Weathered),
    /// What there is to build with.
    #[command(subcommand)]
    Catalogue(Catalogue),
}

/// A survey and what is to come back.
#[derive(Args)]
pub struct Job {
    /// Survey file, TOML or JSON, with the field names of the service.
    pub survey: PathBuf,
    /// Who answers.
    #[command(flatten)]
    pub answerer: Answerer,
    /// Branch whose prices and articles are used.
    #[arg(long, value_name = "BRANCH")]
    pub branch: Option<String>,
    /// Board thickness in mm, in place of what the survey says.
    #[arg(long, value_name = "MM")]
    pub thickness: Option<i32>,
    /// Bring back every board, piece and anchor with its place.
    #[arg(long)]
    pub setting_out: bool,
    /// Bring back the calculation sheet.
    #[arg(long)]
    pub working: bool,
    /// Bring back what each rule of setting-out costs in boards; takes nine searches in place of one.
    #[arg(long)]
    pub rule_costs: bool,
    /// Write the drawings into this folder.
    #[arg(long, value_name = "FOLDER")]
    pub drawings: Option<PathBuf>,
}

/// A single question and what is to come back.
#[derive(Args)]
pub struct Question {
    /// Request file, TOML or JSON, with the field names of the service.
    pub request: PathBuf,
    /// Who answers.
    #[command(flatten)]
    pub answerer: Answerer,
    /// Bring back the calculation sheet.
    #[arg(long)]
    pub working: bool,
    /// Write the drawings into this folder.
    #[arg(long, value_name = "FOLDER")]
    pub drawings: Option<PathBuf>,
}

/// A single question that hourly weather may stand in.
#[derive(Args)]
pub struct Weathered {
    /// The question.
    #[command(flatten)]
    pub question: Question,
    /// Hourly weather, a file in the EPW format, in place of the climate that the request names.
    #[arg(long, value_name = "FILE")]
    pub weather: Option<PathBuf>,
}

/// Who answers, and in which form.
#[derive(Args)]
pub struct Answerer {
    /// Ask this server, such as 127.0.0.1:7840, instead of computing here.
    #[arg(long, value_name = "ADDRESS", conflicts_with = "catalogues")]
    pub server: Option<String>,
    /// Compute with the catalogues of this folder; what it does not have comes from the built-in ones.
    #[arg(long, value_name = "FOLDER")]
    pub catalogues: Option<PathBuf>,
    /// Print JSON for machines.
    #[arg(long)]
    pub json: bool,
}

/// What there is to build with.
#[derive(Subcommand)]
pub enum Catalogue {
    /// Check catalogue files and print every fault with its line.
    Check {
        /// Root folder of the catalogues.
        folder: PathBuf,
        /// Print JSON for machines.
        #[arg(long)]
        json: bool,
    },
    /// List systems and articles.
    List {
        /// Who answers.
        #[command(flatten)]
        answerer: Answerer,
        /// Branch.
        #[arg(long, value_name = "BRANCH")]
        branch: Option<String>,
        /// Only this kind, such as board.
        #[arg(long, value_name = "KIND")]
        kind: Option<String>,
    },
    /// Show one article or system, such as board.eps-white.
    Show {
        /// Its key with its kind.
        key: String,
        /// Who answers.
        #[command(flatten)]
        answerer: Answerer,
        /// Branch.
        #[arg(long, value_name = "BRANCH")]
        branch: Option<String>,
    },
}
