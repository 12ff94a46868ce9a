//! Issuing a day's tickets: decided purely from the plan in force and the catalogue, written in one transaction.

pub mod allot;
pub mod decide;
pub mod weigh;
#[cfg(test)]
mod tests;

pub use decide::{Inputs, decide_tickets};
