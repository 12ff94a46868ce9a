//! A run and the advice that goes with it.

use workshop::documents::Facts;

use super::cures;
use crate::{Limits, Outcome, PlanFailure, Progress, Stopwatch, run};

/// Share of a run's seconds that is kept for cures.
const SHARE: f64 = 0.05;

/// Plans, then looks for cures in a twentieth of the limits' seconds, so that both end when a run by itself would. Without a
/// clock nothing is searched for cures: late orders are only pulled forward, which takes no time worth counting.
///
/// # Errors
/// Those of [`run`].
pub fn run_and_advise(
    facts: &Facts,
    limits: &Limits,
    stopwatch: Stopwatch,
    progress: &mut dyn FnMut(Progress),
) -> Result<Outcome, PlanFailure> {
    let share = |part: f64| limits.seconds.map(|seconds| part * seconds);
    let mut outcome = run(facts, &Limits { seconds: share(1.0 - SHARE), ..limits.clone() }, stopwatch, progress)?;
    let advising = Limits { seconds: share(SHARE), evaluations: Some(0), ..limits.clone() };
    let advising = if limits.seconds.is_some() { Limits { evaluations: None, ..advising } } else { advising };
    // The plan was just checked, so the only way not to find cures is to find none.
    let found = cures(facts, &outcome.plan, &advising, stopwatch).unwrap_or_default();
    outcome.explanation.cures = found.into_iter().map(|(_, cure)| cure).collect();
    Ok(outcome)
}
