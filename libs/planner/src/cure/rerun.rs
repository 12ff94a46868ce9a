//! A plan taken up again on facts that were changed: late orders are pulled forward, then the search goes on from there. It is
//! whole orders that cures are about, whichever figure leads.

use workshop::documents::plan::LateFigure;
use workshop::documents::{Facts, Plan};

use super::CureFailure;
use crate::check::check;
use crate::explain::{freed, is_late};
use crate::foreman::{Bench, foreman};
use crate::plan::{Schedule, write_plan};
use crate::problem::{DayIx, Problem, validate};
use crate::search::{Budget, Searched, search};
use crate::spare::{Read, Standing, read_plan};
use crate::stop::is_to_stop;
use crate::{Limits, Stopwatch};

/// Times that all late orders are looked at, at the most.
const MOST_ROUNDS: usize = 4;
/// Below so many seconds a search finds nothing but noise.
pub(super) const WORTH_SEARCHING: f64 = 0.2;

/// The plan, taken up again on these facts: no worse than it was, and better where that is found within the limits. The facts
/// may have more of anything than those it was made for.
///
/// # Errors
/// Contradictions in the facts, or a plan that does not fit them.
pub fn rerun(facts: &Facts, plan: &Plan, limits: &Limits, stopwatch: Stopwatch) -> Result<Plan, CureFailure> {
    let problem = validate(facts).map_err(CureFailure::Facts)?;
    let until = limits.seconds.map(|seconds| stopwatch() + seconds);
    let in_time = || until.map_or_else(|| !is_to_stop(stopwatch), |until| stopwatch() < until);
    let mut standing = standing(&problem, plan);
    let first = written(facts, &problem, &standing.schedule, &standing.ready)?;
    pull_all(&mut standing, in_time);
    let mut best = first;
    let pulled = written(facts, &problem, &standing.schedule, &standing.ready);
    if let Ok(pulled) = pulled
        && pulled.figures.better_than(&best.figures)
    {
        best = pulled;
    }
    if let Some(searched) = searched(&problem, &standing, limits, until, stopwatch)
        && let Ok(found) = written(facts, &problem, &searched.schedule, &searched.ready)
        && found.figures.better_than(&best.figures)
    {
        best = found;
    }
    Ok(best)
}

/// A plan read as it stands, on facts that allow it.
pub(super) fn standing<'p>(problem: &'p Problem, plan: &Plan) -> Standing<'p> {
    let Read { schedule, mut ready, part } = read_plan(problem, plan);
    for (ready, order) in ready.iter_mut().zip(&problem.orders).filter(|(ready, _)| **ready < problem.len()) {
        *ready = (*ready).max(order.due_ix);
    }
    Standing::new(problem, schedule, ready, part)
}

fn written(facts: &Facts, problem: &Problem, schedule: &Schedule, ready: &[DayIx]) -> Result<Plan, CureFailure> {
    let plan = write_plan(problem, schedule, ready, LateFigure::OrderDaysLate)
        .map_err(|short| CureFailure::Short(short.sentence(problem)))?;
    let broken = check(facts, &plan).broken;
    if broken.is_empty() { Ok(plan) } else { Err(CureFailure::Plan(broken)) }
}

/// Pulls every late order forward as far as it goes, the worst first, until none goes any further.
fn pull_all(standing: &mut Standing, in_time: impl Fn() -> bool) {
    let problem = standing.problem;
    for _ in 0..MOST_ROUNDS {
        let mut late: Vec<usize> = (0..problem.orders.len()).collect();
        late.retain(|order| problem.orders[*order].weight > 0.0 && is_late(standing, *order));
        let weighted = |order: &usize| problem.orders[*order].weight * standing.days_late(*order) as f64;
        late.sort_by(|a, b| weighted(b).total_cmp(&weighted(a)).then(a.cmp(b)));
        let mut any = false;
        for order in late {
            if !in_time() {
                return;
            }
            let Some(by) = standing.ready[order].min(problem.len()).checked_sub(1) else { continue };
            if let Some((day, pulled)) = freed(standing, &standing.spare, order, by) {
                standing.take(order, day, &pulled);
                any = true;
            }
        }
        if !any {
            return;
        }
    }
}

fn searched(
    problem: &Problem,
    standing: &Standing,
    limits: &Limits,
    until: Option<f64>,
    stopwatch: Stopwatch,
) -> Option<Searched> {
    let now = if until.is_some() { stopwatch() } else { 0.0 };
    let left = until.map(|until| until - now);
    let none = limits.evaluations == Some(0) || (left.is_none() && limits.evaluations.is_none());
    if none || left.is_some_and(|left| left < WORTH_SEARCHING) {
        return None;
    }
    let mut bench = Bench::new(problem, LateFigure::OrderDaysLate);
    foreman(&mut bench, |_, _| {}, || false).ok()?;
    let budget = Budget {
        seconds: left.map(|left| (now, left)),
        evaluations: limits.evaluations,
        threads: limits.threads.max(1),
        seed: limits.seed,
        figure: LateFigure::OrderDaysLate,
        bound: 0.0,
    };
    search(problem, &standing.schedule, &standing.ready, bench.decoder.restraint(), &budget, stopwatch)
}
