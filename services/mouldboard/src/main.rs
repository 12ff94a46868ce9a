//! The one program: serves the API and its worker, plans and checks files, works out mixes, keeps the database.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};
use mouldboard::commands;
use mouldboard::settings::{self, Loaded};

/// Production planning for a small maker of garden panels.
#[derive(Parser)]
#[command(name = "mouldboard", version, about, max_term_width = 110)]
struct Program {
    #[command(flatten)]
    common: Common,
    #[command(subcommand)]
    command: Command,
}

#[derive(Args)]
struct Common {
    /// Settings file; without it mouldboard.toml is read where it is there
    #[arg(long, global = true, env = "MOULDBOARD_CONFIG", value_name = "FILE")]
    config: Option<PathBuf>,
}

#[derive(Subcommand)]
enum Command {
    /// Serve the API and the worker in one process
    Serve,
    /// Serve the API alone
    Api,
    /// Run the worker alone: planning runs and the daily issue of tickets
    Worker,
    /// Show an invented workshop: plan, tickets and stock
    Demo(commands::demo::DemoArgs),
    /// Plan a facts file, without a database
    Plan(commands::plan::PlanArgs),
    /// Check a plan file against its facts file, without a database
    Check(commands::check::CheckArgs),
    /// Work out mixes on files: proportions, batch sheets, corrections at the mixer; no database
    Mix(commands::mix::MixArgs),
    /// Work everything in the database out anew and say what does not hold
    Audit(commands::audit::AuditArgs),
    /// Bring the database's tables to this version
    Migrate,
    /// List every setting, its value and where that came from
    Settings,
    /// Make, list and revoke access tokens
    Token(commands::token::TokenArgs),
    /// Write everything in the database to a file, while it is in use
    Backup {
        /// The file to write; it must not be there yet
        file: PathBuf,
    },
    /// Read a backup into an empty database
    Restore {
        /// The file to read
        file: PathBuf,
    },
}

fn main() -> ExitCode {
    let program = Program::parse();
    let load = || settings::load(program.common.config.as_deref());
    let done = match program.command {
        Command::Plan(args) => commands::plan::plan(&args),
        Command::Check(args) => commands::check::check(&args),
        Command::Mix(args) => commands::mix::mix(&args),
        Command::Settings => load().map(|loaded| commands::settings::list(&loaded)),
        Command::Demo(args) => commands::demo::demo(&args, load),
        Command::Serve => with(load, commands::serve::both),
        Command::Api => with(load, commands::serve::api_alone),
        Command::Worker => with(load, commands::serve::worker_alone),
        Command::Audit(args) => with(load, |loaded| commands::audit::audit(&args, loaded)),
        Command::Migrate => with(load, commands::migrate::migrate),
        Command::Token(args) => with(load, |loaded| commands::token::token(&args, loaded)),
        Command::Backup { file } => with(load, |loaded| commands::archive::backup(&file, loaded)),
        Command::Restore { file } => with(load, |loaded| commands::archive::restore(&file, loaded)),
    };
    done.unwrap_or_else(|error| {
        eprintln!("mouldboard: {error:#}");
        ExitCode::FAILURE
    })
}

fn with(
    load: impl FnOnce() -> anyhow::Result<Loaded>,
    command: impl FnOnce(&Loaded) -> anyhow::Result<ExitCode>,
) -> anyhow::Result<ExitCode> {
    command(&load()?)
}
