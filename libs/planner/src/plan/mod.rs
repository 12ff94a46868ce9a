//! From a schedule to a plan document: who is given what, what is ordered, what it costs.

mod costing;
mod deliveries;
mod schedule;
mod serve;
mod shelf;
mod writing;

pub(crate) use costing::{drawn, keep_price, put_off_price, washout_price};
pub(crate) use deliveries::order_packs;
pub use schedule::{Lifted, Schedule, Stripped};
pub(crate) use serve::{Row, Served, free_from, hand_out, panel_days_late, reserve, serve, whole_by};
pub(crate) use shelf::{Shelf, coming};
pub(crate) use writing::write_plan;
