//! The service as processes that die, fill their disk and get in each other's way. Each story ends with the audit.

#![allow(clippy::unwrap_used, reason = "a story that cannot go on may panic")]

mod crowd;
mod disk;
mod kills;
mod points;
mod safekeeping;
mod service;
mod workshop;
