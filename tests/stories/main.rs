//! Stories across API, worker and database.

#![allow(clippy::unwrap_used, reason = "a story that cannot go on may panic")]

mod away;
mod axe;
mod browser;
mod clocks;
mod kept;
mod paper;
mod trace;
mod whole_path;
