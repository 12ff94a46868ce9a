//! Stories across API, worker and database.

#![allow(clippy::unwrap_used, reason = "a story that cannot go on may panic")]

mod away;
mod axe;
mod browser;
mod clocks;
mod driving;
mod every_page;
mod kept;
mod keys;
mod offline;
mod paper;
mod trace;
mod weight;
mod whole_path;
