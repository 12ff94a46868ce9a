//! The planner.

pub mod check;
pub mod foreman;
pub mod plan;
pub mod problem;
mod short;

pub use problem::{Fault, Problem, validate};
pub use short::Short;
