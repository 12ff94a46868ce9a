//! The exact way: the window model from the best plan so far, for lateness first, then for the price with lateness held.

use workshop::documents::plan::LateFigure;

use crate::model::{Aim, InSolver, Model, columns, grain, read, start};
use crate::plan::Schedule;
use crate::problem::{DayIx, Problem};
use crate::solve::{Effort, Solved, solve as run_solver};

pub(crate) use crate::solve::Ended;

/// Most columns of a model that the exact way is good at, and that it tries at all.
const SMALL: usize = 16_000;
const LARGEST: usize = 90_000;

/// What the exact way can do with a problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Size {
    /// A good deal.
    Small,
    /// A bound, perhaps more.
    Fits,
    /// Nothing in the time there is.
    TooLarge,
}

/// How large the model of a problem would be.
pub(crate) fn size(problem: &Problem) -> Size {
    match columns(problem) {
        count if count <= SMALL => Size::Small,
        count if count <= LARGEST => Size::Fits,
        _ => Size::TooLarge,
    }
}

/// How the exact way may go on.
#[derive(Clone, Debug)]
pub(crate) struct Limits {
    pub seconds: Option<f64>,
    pub nodes: Option<u64>,
    pub threads: usize,
    pub seed: u64,
    pub figure: LateFigure,
}

/// What the exact way found.
pub(crate) struct Exact {
    /// A schedule and the days orders are whole, where there is any.
    pub found: Option<(Schedule, Vec<DayIx>)>,
    /// No plan has less of the figure.
    pub bound: f64,
    /// Why it ended.
    pub ended: Ended,
}

/// Solves for lateness, then for the price, from a schedule and the days orders are whole.
///
/// # Errors
/// Where the solver does not take the model, in words.
pub(crate) fn solve(problem: &Problem, from: &Schedule, ready: &[DayIx], limits: &Limits) -> Result<Exact, String> {
    // The solver keeps one number of threads for each thread it is called on, so each solve has a thread of its own.
    std::thread::scope(|scope| {
        let work = scope.spawn(|| both(problem, from, ready, limits));
        work.join().unwrap_or_else(|_| Err("the solver's thread came to grief".to_owned()))
    })
}

fn both(problem: &Problem, from: &Schedule, ready: &[DayIx], limits: &Limits) -> Result<Exact, String> {
    let grain = match limits.figure {
        LateFigure::OrderDaysLate | LateFigure::PanelDaysLate => grain(problem),
    };
    let gap = if grain > 0.0 { grain * 0.99 } else { 1e-6 };
    let late = one(problem, limits, Aim::Late, (from, ready), gap, limits.seconds)?;
    let bound = raised(late.solved.bound, grain);
    let ended = late.solved.ended;
    let found = late.found;
    // Only a proven lateness is worth spending time on its price; otherwise the search has seen to both.
    let left = limits.seconds.map(|seconds| seconds - late.seconds);
    if ended != Ended::Optimal || left.is_some_and(|left| left < 0.5) {
        return Ok(Exact { found, bound, ended });
    }
    let (schedule, ready) = found.unwrap_or_else(|| (from.clone(), ready.to_vec()));
    let value = lateness(problem, &schedule, &ready, limits.figure);
    let aim = Aim::Price { late: value };
    let price = one(problem, limits, aim, (&schedule, &ready), 0.5, left);
    let cheaper = price.ok().and_then(|price| price.found);
    Ok(Exact { found: Some(cheaper.unwrap_or((schedule, ready))), bound, ended })
}

struct One {
    solved: Solved,
    found: Option<(Schedule, Vec<DayIx>)>,
    seconds: f64,
}

fn one(
    problem: &Problem,
    limits: &Limits,
    aim: Aim,
    from: (&Schedule, &[DayIx]),
    gap: f64,
    seconds: Option<f64>,
) -> Result<One, String> {
    let model = Model::new(problem, limits.figure, aim);
    let start = start(problem, &model, from.0, from.1);
    let InSolver { model, variables, numbers, constant } = model.into_solver()?;
    let (nodes, threads, seed) = (limits.nodes, limits.threads, limits.seed);
    let mut solved = run_solver(model, &start, &Effort { seconds, nodes, threads, seed, gap })?;
    solved.bound += constant;
    let found = solved.columns.as_ref().map(|columns| read(problem, &variables, &numbers, columns));
    let seconds = solved.seconds;
    Ok(One { solved, found, seconds })
}

/// A bound of a figure that is a multiple of `grain`, rounded up to the next one.
fn raised(bound: f64, grain: f64) -> f64 {
    if grain > 0.0 && bound.is_finite() { ((bound - 1e-5) / grain).ceil() * grain } else { bound }
}

fn lateness(problem: &Problem, schedule: &Schedule, ready: &[DayIx], figure: LateFigure) -> f64 {
    match figure {
        LateFigure::OrderDaysLate => {
            let late = |(order, day): (&crate::problem::Order, &DayIx)| order.weight * problem.days_late(order, *day) as f64;
            problem.orders.iter().zip(ready).map(late).sum()
        }
        LateFigure::PanelDaysLate => {
            let rows = crate::plan::hand_out(problem, schedule.supply(problem), ready);
            let late = |order: usize, day: DayIx| {
                let order = &problem.orders[order];
                order.weight * problem.days_late(order, day) as f64
            };
            let never = problem.len();
            let all = problem.orders.iter().enumerate().map(|(ix, order)| {
                late(ix, never) * order.lines.iter().map(|line| line.1 as f64).sum::<f64>()
            });
            let given = rows.iter().map(|row| row.3 as f64 * (late(row.0, never) - late(row.0, row.2)));
            all.sum::<f64>() - given.sum::<f64>()
        }
    }
}
