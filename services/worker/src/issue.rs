//! Issuing a day's tickets: decided purely from the plan in force and the catalogue, written in one transaction.

pub mod allot;
pub mod decide;
mod shell;
#[cfg(test)]
pub(crate) mod tests;
pub mod weigh;

pub use decide::{Inputs, decide_tickets};
pub(crate) use shell::carry_out;
