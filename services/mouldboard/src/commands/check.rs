//! `check`: whether a plan document keeps every rule; no database.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Context;

use super::plan::refuse;

/// What `check` is told.
#[derive(Debug, clap::Args)]
pub struct CheckArgs {
    /// Facts document the plan was made from
    pub facts: PathBuf,
    /// Plan document to check
    pub plan: PathBuf,
}

/// Prints the figures and each broken rule. Exit code 0 where all hold, 1 where not, 2 where a document cannot be used.
///
/// # Errors
/// Where a file cannot be read.
pub fn check(args: &CheckArgs) -> anyhow::Result<ExitCode> {
    let facts = match feeds::documents::read_facts(&text(&args.facts)?) {
        Ok(facts) => facts,
        Err(faults) => return Ok(refuse(&args.facts, &faults)),
    };
    if let Err(faults) = planner::validate(&facts) {
        return Ok(refuse(&args.facts, &faults));
    }
    let plan = match feeds::documents::read_plan(&text(&args.plan)?) {
        Ok(plan) => plan,
        Err(faults) => return Ok(refuse(&args.plan, &faults)),
    };
    let verdict = planner::check(&facts, &plan);
    let figures = verdict.figures;
    println!("order_days_late {}", figures.order_days_late);
    println!("panel_days_late {}", figures.panel_days_late);
    println!("material_cost {}", figures.material_cost);
    println!("changes {}", figures.changes);
    if verdict.holds() {
        println!("every rule holds");
        return Ok(ExitCode::SUCCESS);
    }
    println!("{} rules broken", verdict.broken.len());
    verdict.broken.iter().for_each(|broken| println!("{}: {}", broken.place, broken.sentence));
    Ok(ExitCode::FAILURE)
}

fn text(path: &Path) -> anyhow::Result<String> {
    fs::read_to_string(path).with_context(|| format!("reading {}", path.display()))
}
