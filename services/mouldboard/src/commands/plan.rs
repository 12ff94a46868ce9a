//! `plan`: a facts document in, a plan document out; no database.

use std::fs;
use std::io::{IsTerminal, Write, stderr};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use anyhow::Context;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use feeds::documents::LATE_FIGURES;
use planner::{Limits, Outcome, PlanFailure, Stoppable, Way, Ways};
use workshop::documents::Facts;
use workshop::documents::plan::LateFigure;

use super::progress;
use super::serve::asked_to_stop;

/// What `plan` is told.
#[derive(Debug, clap::Args)]
pub struct PlanArgs {
    /// Facts document to plan from
    pub facts: PathBuf,
    /// Where to write the plan document
    #[arg(long)]
    pub out: PathBuf,
    /// Seconds the run may take; the facts' policy, where left out
    #[arg(long)]
    pub seconds: Option<f64>,
    /// Threads; the facts' policy, where left out
    #[arg(long, value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Most nodes of the exact way; with --evaluations and without --seconds the run reads no clock
    #[arg(long)]
    pub nodes: Option<u64>,
    /// Most schedules the search tries
    #[arg(long)]
    pub evaluations: Option<u64>,
    /// Seed of the search; the facts' policy, where left out
    #[arg(long)]
    pub seed: Option<u64>,
    /// The lateness that leads
    #[arg(long, value_parser = figure_words(), default_value = LATE_FIGURES[0].0)]
    pub figure: LateFigure,
    /// Ways the run may go, with commas between; all, where left out. The foreman's first plan is made whatever is named
    #[arg(long, value_parser = way_words(), value_delimiter = ',')]
    pub ways: Vec<Way>,
}

fn figure_words() -> impl TypedValueParser<Value = LateFigure> {
    let named = |word: String| LATE_FIGURES.into_iter().find(|(name, _)| *name == word);
    PossibleValuesParser::new(LATE_FIGURES.map(|(name, _)| name))
        .try_map(move |word| named(word).map(|(_, figure)| figure).ok_or("no such figure"))
}

fn way_words() -> impl TypedValueParser<Value = Way> {
    let named = |word: String| Way::ALL.into_iter().find(|way| way.word() == word);
    PossibleValuesParser::new(Way::ALL.map(Way::word)).try_map(move |word| named(word).ok_or("no such way"))
}

/// Plans and writes the plan. Exit code 0 with a plan, 1 without one, 2 where the facts cannot be used.
///
/// # Errors
/// Where a file cannot be read or written.
pub fn plan(args: &PlanArgs) -> anyhow::Result<ExitCode> {
    let text = fs::read_to_string(&args.facts).with_context(|| format!("reading {}", args.facts.display()))?;
    let facts = match feeds::documents::read_facts(&text) {
        Ok(facts) => facts,
        Err(faults) => return Ok(refuse(&args.facts, &faults)),
    };
    let started = Instant::now();
    let (shown, stop) = (Stoppable::default(), stop_on_a_signal()?);
    let stopwatch = move || shown.reading(started.elapsed().as_secs_f64(), stop.load(Ordering::Relaxed));
    let shown = if stderr().is_terminal() { progress::for_people } else { progress::for_programs };
    // A reader that has gone away is no reason to stop planning.
    let mut report = |now| drop(writeln!(stderr(), "{}", shown(&now, args.figure)));
    let outcome = planner::run_and_advise(&facts, &limits(args, &facts), &stopwatch, &mut report);
    match outcome {
        Ok(outcome) => {
            write_whole(&args.out, &feeds::documents::write_plan(&outcome.plan))?;
            summary(&outcome);
            Ok(ExitCode::SUCCESS)
        }
        Err(PlanFailure::Facts(faults)) => Ok(refuse(&args.facts, &faults)),
        Err(failure) => {
            eprintln!("no plan: {failure}");
            if let PlanFailure::Refused(broken) = &failure {
                broken.iter().for_each(|broken| eprintln!("  {}: {}", broken.place, broken.sentence));
            }
            Ok(ExitCode::FAILURE)
        }
    }
}

/// Set once the program is told to stop (Ctrl-C or a terminate signal): the plan that is best by then is written. Told again, it ends at once.
fn stop_on_a_signal() -> anyhow::Result<Arc<AtomicBool>> {
    let stop = Arc::new(AtomicBool::new(false));
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().context("waiting for signals")?;
    let told = Arc::clone(&stop);
    std::thread::spawn(move || {
        runtime.block_on(asked_to_stop());
        told.store(true, Ordering::Relaxed);
        runtime.block_on(asked_to_stop());
        std::process::exit(130);
    });
    Ok(stop)
}

fn limits(args: &PlanArgs, facts: &Facts) -> Limits {
    let policy = &facts.policy;
    let counted = args.seconds.is_none() && args.evaluations.is_some();
    let threads = args.threads.map_or(policy.threads, i64::from).clamp(1, 256) as usize;
    let seconds = if counted { None } else { Some(args.seconds.unwrap_or(policy.seconds)) };
    let seed = args.seed.unwrap_or(policy.seed.unsigned_abs());
    // Without a clock the exact way needs some end of its own.
    let nodes = if counted { Some(args.nodes.unwrap_or(0)) } else { args.nodes };
    let ways = if args.ways.is_empty() { Ways::ALL } else { args.ways.iter().copied().collect() };
    let (evaluations, figure) = (args.evaluations, args.figure);
    Limits { seconds, threads, seed, nodes, evaluations, figure, ways }
}

/// Lists the faults of a facts document, one a line.
pub(super) fn refuse<F: std::fmt::Display>(path: &Path, faults: &[F]) -> ExitCode {
    eprintln!("{} cannot be used: {} faults", path.display(), faults.len());
    faults.iter().for_each(|fault| eprintln!("{fault}"));
    ExitCode::from(2)
}

fn summary(outcome: &Outcome) {
    let (figures, late) = (&outcome.plan.figures, outcome.explanation.late.len());
    println!("{} orders, {late} late or not ready", outcome.plan.orders.len());
    println!("{} order-days late, {} panel-days late", figures.order_days_late, figures.panel_days_late);
    println!("material cost {}, {} changes to what was published", figures.material_cost, figures.changes);
    if let Some(proof) = &outcome.plan.proof {
        let (bound, gap) = (proof.bound, proof.gap * 100.0);
        println!("bound {bound}, gap {gap:.1} %, found by {}, ended by {}", proof.way, proof.ended);
    }
    outcome.explanation.late.iter().for_each(|late| println!("{}", late.sentence));
    outcome.explanation.shorts.iter().for_each(|short| println!("{}", short.sentence));
    outcome.explanation.cures.iter().for_each(|cure| println!("{}", cure.sentence));
}

/// Writes a file whole or not at all: beside it first, then in its place.
fn write_whole(path: &Path, text: &str) -> anyhow::Result<()> {
    let mut name =
        path.file_name().map(ToOwned::to_owned).with_context(|| format!("{} names no file", path.display()))?;
    name.push(format!(".{}.part", std::process::id()));
    let part = path.with_file_name(name);
    let written = fs::File::create(&part)
        .and_then(|mut file| file.write_all(text.as_bytes()).and_then(|()| file.sync_all()))
        .and_then(|()| fs::rename(&part, path));
    if written.is_err() {
        let _ = fs::remove_file(&part);
    }
    written.with_context(|| format!("writing {}", path.display()))
}
