//! `mouldboard audit`: works everything out anew from the tables and says what does not hold.

use std::process::ExitCode;

use anyhow::Context;

use crate::audit::{Report, audit as sweep};
use crate::settings::Loaded;

/// What `audit` is told.
#[derive(Debug, clap::Args)]
pub struct AuditArgs {
    /// Write one JSON document instead of sentences
    #[arg(long)]
    pub json: bool,
}

/// Prints what was looked at and each thing that does not hold. Exit code 0 where all holds, 1 where not.
///
/// # Errors
/// Where the database cannot be read.
pub fn audit(args: &AuditArgs, loaded: &Loaded) -> anyhow::Result<ExitCode> {
    let report = super::block_on(async {
        let store = super::open_ready(&loaded.settings).await?;
        sweep(&store).await.context("reading the records")
    })?;
    if args.json {
        print!("{}", feeds::audit::write(&report.looked_at, &report.breaks).context("writing the report")?);
    } else {
        print(&report);
    }
    Ok(if report.breaks.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn print(report: &Report) {
    let looked_at: Vec<String> = report.looked_at.iter().map(|(what, count)| format!("{count} {what}")).collect();
    println!("Looked at {}.", looked_at.join(", "));
    for broken in &report.breaks {
        println!("{} ({}): {}", broken.place, broken.rule, broken.sentence);
    }
    match report.breaks.len() {
        0 => println!("Everything holds."),
        1 => println!("1 thing does not hold."),
        many => println!("{many} things do not hold."),
    }
}
