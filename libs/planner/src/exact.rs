//! The exact way: the window model from the best plan so far, for lateness first, then for the price with lateness held.

use std::sync::Arc;
use std::sync::atomic::Ordering::Relaxed;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::time::Duration;

use workshop::documents::plan::LateFigure;

use crate::model::{Aim, Detail, InSolver, Model, columns, grain, joint, read, start, windows};
use crate::plan::{Schedule, hand_out, panel_days_late};
use crate::problem::{DayIx, Problem};
use crate::run::Stopwatch;
use crate::solve::{Effort, Seen, Shared, Solved, solve as run_solver};
use crate::stop::is_to_stop;

pub(crate) use crate::solve::Ended;

/// Most columns of a model that the exact way is very good at, that it is good at, and that it tries at all.
const TINY: usize = 3_000;
const SMALL: usize = 16_000;
const LARGEST: usize = 90_000;

/// What the exact way can do with a problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Size {
    /// Often everything.
    Tiny,
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
        count if count <= TINY => Size::Tiny,
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
    /// Whether the lateness to start from is known to be the least: then only the price is left.
    pub least_late: bool,
}

/// What the exact way found.
pub(crate) struct Exact {
    /// A schedule and the days orders are whole, where there is any.
    pub found: Option<Dated>,
    /// No plan has less of the figure.
    pub bound: f64,
    /// No plan with as little of it costs less, by the model's price; nothing where that was not asked.
    pub price_bound: Option<f64>,
    /// Why it ended.
    pub ended: Ended,
}

/// A schedule and the day each order is whole in it.
pub(crate) type Dated = (Schedule, Vec<DayIx>);

/// Solves for lateness, then for the price: `from` has nothing poured that is ready after the horizon, `cheap` is the best there is.
///
/// The solver has a thread of its own, since it keeps one number of threads for each thread it is called on. Some of its
/// steps cannot be interrupted: when the time is over it is left to come to its end alone, and what it had found counts.
///
/// # Errors
/// Where the solver does not take the model, in words.
pub(crate) fn solve(
    problem: &Problem,
    from: &Dated,
    cheap: &Dated,
    limits: &Limits,
    stopwatch: Stopwatch,
) -> Result<Exact, String> {
    let shared = Arc::new(Shared::default());
    let (send, receive) = mpsc::channel();
    let job = Job {
        problem: problem.clone(),
        from: from.clone(),
        cheap: cheap.clone(),
        limits: limits.clone(),
        shared: Arc::clone(&shared),
    };
    std::thread::spawn(move || {
        // Nobody may wait for it any more.
        let _ = send.send(job.both());
    });
    let gone = || Err("the solver's thread came to grief".to_owned());
    match wait(&receive, limits.seconds, &shared, stopwatch) {
        Ok(result) => result,
        Err(RecvTimeoutError::Disconnected) => gone(),
        Err(RecvTimeoutError::Timeout) => {
            let seen = shared.seen.lock().map(|seen| seen.clone()).unwrap_or_default();
            Ok(so_far(problem, limits.figure, seen))
        }
    }
}

/// How often it is looked whether a run is to stop, and how long the solver has to end by itself then.
const LOOK: Duration = Duration::from_millis(50);
const GRACE: Duration = Duration::from_millis(300);

/// What the solver's thread has to say, if it says it before the time is over and the run is to stop; afterwards the solver is asked to stop.
fn wait<T>(
    receive: &Receiver<T>,
    seconds: Option<f64>,
    shared: &Shared,
    stopwatch: Stopwatch,
) -> Result<T, RecvTimeoutError> {
    let mut left = seconds.map_or(Duration::MAX, |seconds| Duration::from_secs_f64(seconds * 1.02 + 0.1));
    loop {
        let look = left.min(LOOK);
        let said = receive.recv_timeout(look);
        if !matches!(said, Err(RecvTimeoutError::Timeout)) {
            return said;
        }
        left -= look;
        let to_stop = is_to_stop(stopwatch);
        if to_stop || left.is_zero() {
            shared.stop.store(true, Relaxed);
            return if to_stop { receive.recv_timeout(GRACE) } else { said };
        }
    }
}

/// What a solve that is left to itself had found.
fn so_far(problem: &Problem, figure: LateFigure, seen: Seen) -> Exact {
    let aim = if seen.late.is_some() { Aim::Price { late: 0.0 } } else { Aim::Late };
    let found = seen.columns.map(|columns| {
        let model = Model::new(problem, figure, aim);
        read(problem, &model.variables, model.numbers(), &columns)
    });
    let price_bound = seen.late.is_some().then_some(seen.bound);
    let (bound, ended) = seen.late.unwrap_or((raised(seen.bound, grain(problem)), Ended::Time));
    Exact { found, bound, price_bound, ended }
}

/// The bound of the joint relaxation, or as much of it as the time allows.
///
/// # Errors
/// Where the solver does not take the relaxation, in words.
pub(crate) fn joint_bound(problem: &Problem, limits: &Limits, stopwatch: Stopwatch) -> Result<f64, String> {
    let (figure, seconds) = (limits.figure, limits.seconds);
    relaxed(problem, limits, stopwatch, move |problem| joint(problem, figure, seconds))
}

/// The bound of the relaxation by windows; nothing below all bounds where panels are not whole and the time was too short.
///
/// # Errors
/// Where the solver does not take the relaxation, in words.
pub(crate) fn windows_bound(
    problem: &Problem,
    limits: &Limits,
    detail: Detail,
    stopwatch: Stopwatch,
) -> Result<f64, String> {
    let figure = limits.figure;
    relaxed(problem, limits, stopwatch, move |problem| windows(problem, figure, detail))
}

/// The bound of a relaxation, solved on a thread of its own, or as much of it as the time allows.
fn relaxed(
    problem: &Problem,
    limits: &Limits,
    stopwatch: Stopwatch,
    build: impl FnOnce(&Problem) -> Result<InSolver, String> + Send + 'static,
) -> Result<f64, String> {
    let shared = Arc::new(Shared::default());
    let (send, receive) = mpsc::channel();
    let (of, limits_of, shared_by) = (problem.clone(), limits.clone(), Arc::clone(&shared));
    std::thread::spawn(move || {
        let solve = move || {
            let InSolver { model, constant, whole, .. } = build(&of)?;
            let Limits { seconds, nodes, threads, seed, .. } = limits_of;
            let effort = Effort { seconds, nodes, threads, seed, gap: grain(&of) * 0.99, constant, whole };
            run_solver(model, &[], &effort, &shared_by).map(|solved| solved.bound)
        };
        send.send(solve())
    });
    let bound = match wait(&receive, limits.seconds, &shared, stopwatch) {
        Ok(bound) => bound?,
        Err(RecvTimeoutError::Disconnected) => return Err("the solver's thread came to grief".to_owned()),
        Err(RecvTimeoutError::Timeout) => shared.seen.lock().map_or(f64::NEG_INFINITY, |seen| seen.bound),
    };
    Ok(raised(bound, grain(problem)))
}

struct Job {
    problem: Problem,
    from: Dated,
    cheap: Dated,
    limits: Limits,
    shared: Arc<Shared>,
}

struct One {
    solved: Solved,
    found: Option<Dated>,
}

impl Job {
    fn both(&self) -> Result<Exact, String> {
        let grain = grain(&self.problem);
        let gap = if grain > 0.0 { grain * 0.99 } else { 1e-6 };
        let late_of = |dated: &Dated| lateness(&self.problem, &dated.0, &dated.1, self.limits.figure);
        if self.limits.least_late {
            return Ok(self.price(&self.cheap, late_of(&self.cheap), self.limits.seconds));
        }
        let late = self.one(Aim::Late, &self.from, gap, self.limits.seconds)?;
        let (bound, ended) = (raised(late.solved.bound, grain), late.solved.ended);
        // Only a proven lateness is worth spending time on its price; otherwise the search has seen to both.
        let left = self.limits.seconds.map(|seconds| seconds - late.solved.seconds);
        if ended != Ended::Optimal || left.is_some_and(|left| left < 0.5) {
            return Ok(Exact { found: late.found, bound, price_bound: None, ended });
        }
        let least = late.found.unwrap_or_else(|| self.from.clone());
        let cheap_enough = late_of(&self.cheap) <= late_of(&least) + 1e-6;
        Ok(self.price(if cheap_enough { &self.cheap } else { &least }, bound, left))
    }

    /// The cheapest of the plans that are no later than one that is as little late as can be.
    fn price(&self, from: &Dated, bound: f64, seconds: Option<f64>) -> Exact {
        let ended = Ended::Optimal;
        if let Ok(mut seen) = self.shared.seen.lock() {
            *seen = Seen { late: Some((bound, ended)), ..Seen::default() };
        }
        let aim = Aim::Price { late: lateness(&self.problem, &from.0, &from.1, self.limits.figure) };
        // A plan's cost is in whole units.
        let price = self.one(aim, from, 0.4, seconds).ok();
        let price_bound = price.as_ref().map(|price| price.solved.bound);
        let cheaper = price.and_then(|price| price.found);
        let found = Some(cheaper.unwrap_or_else(|| from.clone()));
        Exact { found, bound, price_bound, ended }
    }

    fn one(&self, aim: Aim, from: &Dated, gap: f64, seconds: Option<f64>) -> Result<One, String> {
        let model = Model::new(&self.problem, self.limits.figure, aim);
        let start = start(&self.problem, &model, &from.0, &from.1, self.limits.figure);
        let (InSolver { model, numbers, constant, whole }, variables) = model.into_solver()?;
        let Limits { threads, seed, .. } = self.limits;
        // Where the price is the second aim, it gets a tenth of the nodes.
        let first = aim == Aim::Late || self.limits.least_late;
        let nodes = self.limits.nodes.map(|nodes| if first { nodes } else { nodes / 10 });
        let effort = Effort { seconds, nodes, threads, seed, gap, constant, whole };
        let solved = run_solver(model, &start, &effort, &self.shared)?;
        let found = solved.columns.as_ref().map(|columns| read(&self.problem, &variables, &numbers, columns));
        Ok(One { solved, found })
    }
}

/// A bound of a figure that is a multiple of `grain`, rounded up to the next one.
fn raised(bound: f64, grain: f64) -> f64 {
    let slack = 1e-5_f64.max(1e-6 * bound.abs());
    if grain > 0.0 && bound.is_finite() { ((bound - slack) / grain).ceil() * grain } else { bound - slack }
}

fn lateness(problem: &Problem, schedule: &Schedule, ready: &[DayIx], figure: LateFigure) -> f64 {
    match figure {
        LateFigure::OrderDaysLate => {
            let late =
                |(order, day): (&crate::problem::Order, &DayIx)| order.weight * problem.days_late(order, *day) as f64;
            problem.orders.iter().zip(ready).map(late).sum()
        }
        LateFigure::PanelDaysLate => {
            let rows = hand_out(problem, schedule.supply(problem), ready, figure);
            panel_days_late(problem, &rows)
        }
    }
}
