//! From facts to a plan: foreman, search, exact; the best plan wins, is checked by a module that has met none of them, and is
//! explained. No I/O, no clock, no ids drawn: the same facts, limits and seed give the same plan.
//!
//! `facts → problem (indexed, validated) → guide or model → schedule → plan`; the mathematics is in `MODEL.md`.

// Tests within the library share helpers with those beside it, which know it by its name.
#[cfg(test)]
extern crate self as planner;

mod bound;
pub mod check;
mod compare;
mod cure;
mod exact;
mod explain;
pub mod foreman;
mod model;
pub mod plan;
pub mod problem;
mod promise;
mod run;
mod search;
mod short;
mod solve;
mod spare;
mod stop;
mod ways;

/// Facts drawn by lot, for tests within the library.
#[cfg(test)]
#[allow(dead_code, clippy::unwrap_used, reason = "shared with tests that use more of it")]
#[path = "../tests/common/lot.rs"]
mod lot;

pub use check::{Broken, Rule, Verdict, check};
pub use compare::{Because, Comparison, FactChange, Line, PlanChange, compare};
pub use cure::{Change, CureFailure, cures, rerun, run_and_advise};
pub use explain::Explanation;
pub use model::{ROW_FAMILIES, SUM_FAMILIES, WINDOW_FAMILIES};
pub use problem::{Fault, Problem, validate};
pub use promise::{Promise, PromiseFailure, Slip, Sooner, Wish, promise};
pub use run::{Limits, Outcome, PlanFailure, Progress, Stopwatch, run};
pub use short::Short;
pub use stop::Stoppable;
pub use ways::{Way, Ways};
