//! Runs the solver on a model: options, start, watchdog, and what it knows in the end.

use std::ffi::{c_char, c_int, c_void};

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

/// Runs the solver from a start.
///
/// # Errors
/// Where the solver refuses an option, the start or the model.
pub(crate) fn solve(mut model: highs::Model, start: &[f64], effort: &Effort) -> Result<Solved, String> {
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
    // A start that is refused is a start lost, not a solve.
    let _ = model.try_set_solution(Some(start), None, None, None);
    let mut deadline = effort.seconds.unwrap_or(f64::INFINITY);
    watch(&mut model, &mut deadline);
    let solved = model.try_solve().map_err(|status| format!("the solver failed: {status:?}"))?;
    let bound = solved.double_info_value(c"mip_dual_bound").unwrap_or(f64::NEG_INFINITY);
    let ended = match solved.status() {
        HighsModelStatus::Optimal => Ended::Optimal,
        HighsModelStatus::ReachedTimeLimit | HighsModelStatus::ReachedInterrupt => Ended::Time,
        HighsModelStatus::ReachedSolutionLimit | HighsModelStatus::ReachedIterationLimit => Ended::Nodes,
        other => return Err(format!("the solver ended with {other:?}")),
    };
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
fn watch(model: &mut highs::Model, deadline: &mut f64) {
    let kinds = [
        highs_sys::kHighsCallbackMipInterrupt,
        highs_sys::kHighsCallbackSimplexInterrupt,
        highs_sys::kHighsCallbackIpmInterrupt,
    ];
    let highs = model.as_mut_ptr();
    // SAFETY: the pointer is the model's own; the deadline outlives the solve, which ends before `solve` returns.
    unsafe {
        highs_sys::Highs_setCallback(highs, Some(interrupt), std::ptr::from_mut(deadline).cast());
        for kind in kinds {
            highs_sys::Highs_startCallback(highs, kind);
        }
    }
}

/// Asks the solver to stop once its running time is beyond the deadline. Does nothing that could panic.
unsafe extern "C" fn interrupt(
    _kind: c_int,
    _message: *const c_char,
    out: *const highs_sys::HighsCallbackDataOut,
    into: *mut highs_sys::HighsCallbackDataIn,
    deadline: *mut c_void,
) {
    // SAFETY: the solver hands in its own structures or null; the deadline is the one given to it.
    unsafe {
        let (Some(out), Some(into)) = (out.as_ref(), into.as_mut()) else { return };
        if let Some(deadline) = deadline.cast::<f64>().as_ref()
            && out.running_time > *deadline
        {
            into.user_interrupt = 1;
        }
    }
}
