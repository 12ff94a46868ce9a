//! Runs the solver on a model: options, start, watchdog, and what it knows in the end.

use std::ffi::{c_char, c_int, c_void};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

use highs::{HighsModelStatus, HighsSolutionStatus};

/// How a solve may go on.
#[derive(Clone, Debug)]
pub(crate) struct Effort {
    /// Seconds at the most.
    pub seconds: Option<f64>,
    /// Nodes at the most.
    pub nodes: Option<u64>,
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed.
    pub seed: u64,
    /// Absolute gap at which the solve may end.
    pub gap: f64,
    /// Constant of the objective, which the solver is not told.
    pub constant: f64,
    /// Whether some column is whole.
    pub whole: bool,
}

/// What a solve has found so far, for whoever waits for it.
#[derive(Clone, Debug)]
pub(crate) struct Seen {
    /// Bound and end of an earlier solve for lateness, where this one is for the price.
    pub late: Option<(f64, Ended)>,
    /// No solution has less, as far as is known.
    pub bound: f64,
    /// The best solution so far.
    pub columns: Option<Vec<f64>>,
}

impl Default for Seen {
    fn default() -> Self {
        Seen { late: None, bound: f64::NEG_INFINITY, columns: None }
    }
}

/// What is shared with whoever waits for a solve.
#[derive(Debug, Default)]
pub(crate) struct Shared {
    /// What it has found so far.
    pub seen: Mutex<Seen>,
    /// Whether it is to stop, in the middle of whatever it does.
    pub stop: AtomicBool,
}

/// What the solver's callback works with.
struct Watch<'a> {
    deadline: f64,
    constant: f64,
    shared: &'a Shared,
}

/// Why a solve ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ended {
    /// Nothing better is possible.
    Optimal,
    /// The time was over.
    Time,
    /// The nodes were.
    Nodes,
}

impl Ended {
    /// The word for it in a plan.
    pub fn word(self) -> &'static str {
        match self {
            Ended::Optimal => "optimal",
            Ended::Time => "time",
            Ended::Nodes => "nodes",
        }
    }
}

/// What the solver knows in the end.
#[derive(Clone, Debug)]
pub(crate) struct Solved {
    /// Values of the columns, where there is a solution.
    pub columns: Option<Vec<f64>>,
    /// No solution has less.
    pub bound: f64,
    /// Why it ended.
    pub ended: Ended,
    /// By the solver's own timer.
    pub seconds: f64,
}

/// Runs the solver, from a start where there is one.
///
/// # Errors
/// Where the solver refuses an option, the start or the model.
pub(crate) fn solve(
    mut model: highs::Model,
    start: &[f64],
    effort: &Effort,
    shared: &Shared,
) -> Result<Solved, String> {
    model.make_quiet();
    set(&mut model, "threads", effort.threads as i32)?;
    set(&mut model, "parallel", if effort.threads > 1 { "on" } else { "off" })?;
    set(&mut model, "random_seed", (effort.seed % 1_000_000_007) as i32)?;
    set(&mut model, "mip_rel_gap", 0.0)?;
    set(&mut model, "mip_abs_gap", effort.gap)?;
    if let Some(nodes) = effort.nodes {
        set(&mut model, "mip_max_nodes", nodes.min(i32::MAX as u64) as i32)?;
    }
    if let Some(seconds) = effort.seconds {
        set(&mut model, "time_limit", seconds)?;
    }
    if !start.is_empty() {
        // A start that is refused is a start lost, not a solve.
        let _ = model.try_set_solution(Some(start), None, None, None);
    }
    let deadline = effort.seconds.unwrap_or(f64::INFINITY);
    let watch = Watch { deadline, constant: effort.constant, shared };
    set_watch(&mut model, &watch);
    let solved = model.try_solve().map_err(|status| format!("the solver failed: {status:?}"))?;
    let ended = match solved.status() {
        HighsModelStatus::Optimal => Ended::Optimal,
        // Without a single number there is nothing to decide: the constant is the optimum.
        HighsModelStatus::ModelEmpty => {
            return Ok(Solved { columns: None, bound: effort.constant, ended: Ended::Optimal, seconds: 0.0 });
        }
        HighsModelStatus::ReachedTimeLimit | HighsModelStatus::ReachedInterrupt => Ended::Time,
        HighsModelStatus::ReachedSolutionLimit | HighsModelStatus::ReachedIterationLimit => Ended::Nodes,
        other => return Err(format!("the solver ended with {other:?}")),
    };
    let bound = match (effort.whole, ended) {
        (true, _) => solved.double_info_value(c"mip_dual_bound").unwrap_or(f64::NEG_INFINITY),
        // The solver knows a dual bound of whole numbers only; without them its optimum is one, and anything less is none.
        (false, Ended::Optimal) => solved.objective_value(),
        (false, _) => f64::NEG_INFINITY,
    } + effort.constant;
    let feasible = solved.primal_solution_status() == HighsSolutionStatus::Feasible;
    let columns = feasible.then(|| solved.get_solution().columns().to_vec());
    // SAFETY: the pointer is the model's own.
    let seconds = unsafe { highs_sys::Highs_getRunTime(solved.as_ptr()) };
    Ok(Solved { columns, bound, ended, seconds })
}

fn set<V: highs::HighsOptionValue>(model: &mut highs::Model, option: &str, value: V) -> Result<(), String> {
    model.try_set_option(option, value).map_err(|_| format!("the solver refused its option \"{option}\""))
}

/// The solver looks at its own time limit too seldom when it is busy; it looks at this more often.
fn set_watch(model: &mut highs::Model, watch: &Watch) {
    let kinds = [
        highs_sys::kHighsCallbackMipInterrupt,
        highs_sys::kHighsCallbackMipImprovingSolution,
        highs_sys::kHighsCallbackSimplexInterrupt,
        highs_sys::kHighsCallbackIpmInterrupt,
    ];
    let highs = model.as_mut_ptr();
    // SAFETY: the pointer is the model's own; the watch outlives the solve, which ends before `solve` returns.
    unsafe {
        highs_sys::Highs_setCallback(highs, Some(look), std::ptr::from_ref(watch).cast_mut().cast());
        for kind in kinds {
            highs_sys::Highs_startCallback(highs, kind);
        }
    }
}

/// Asks the solver to stop once its running time is beyond the deadline or it is to stop, and keeps what it has found. Nothing here panics.
unsafe extern "C" fn look(
    kind: c_int,
    _message: *const c_char,
    out: *const highs_sys::HighsCallbackDataOut,
    into: *mut highs_sys::HighsCallbackDataIn,
    watch: *mut c_void,
) {
    // SAFETY: the solver hands in its own structures or null; the watch is the one given to it.
    let (out, into, watch) = unsafe { (out.as_ref(), into.as_mut(), watch.cast::<Watch>().as_ref()) };
    let (Some(out), Some(watch)) = (out, watch) else { return };
    if let Some(into) = into
        && (out.running_time > watch.deadline || watch.shared.stop.load(Relaxed))
    {
        into.user_interrupt = 1;
    }
    let of_mip = [highs_sys::kHighsCallbackMipInterrupt, highs_sys::kHighsCallbackMipImprovingSolution];
    let Ok(mut seen) = watch.shared.seen.lock() else { return };
    if of_mip.contains(&kind) && out.mip_dual_bound.is_finite() {
        seen.bound = seen.bound.max(out.mip_dual_bound + watch.constant);
    }
    if kind == highs_sys::kHighsCallbackMipImprovingSolution && !out.mip_solution.is_null() {
        let size = usize::try_from(out.mip_solution_size).unwrap_or(0);
        // SAFETY: the solver says how long its solution is.
        seen.columns = Some(unsafe { std::slice::from_raw_parts(out.mip_solution, size) }.to_vec());
    }
}
