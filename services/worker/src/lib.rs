//! Jobs and the clock: planning runs and the daily issue of tickets.
//!
//! The queue is in the database. A worker claims one job at a time, does it in one pass (all reads, one pure decision, all
//! writes in one transaction) and writes down how it went; a job done twice does no harm. The clock takes no orders: it
//! compares what should be out by now with what is, and enqueues the difference.

mod again;
mod clock;
mod config;
mod hooks;
pub mod issue;
pub mod local;
mod look_back;
pub mod plan;
mod run;
mod sentences;
mod step;
#[cfg(test)]
mod tests;

pub use config::{Clock, Config, Planner};
pub use plan::watched::Watched;
pub use run::run;
pub use step::{DidWork, ISSUE, JobError, PLAN, step};
