//! Entity ↔ domain, one file a noun, all of the same shape: its tables, then how it lies in them.

pub(crate) mod calendar_day;
pub(crate) mod finish;
pub(crate) mod material;
pub(crate) mod mix;
pub(crate) mod mould_group;
pub(crate) mod order;
pub(crate) mod panel;
pub(crate) mod panel_set;
pub(crate) mod rack;
pub(crate) mod revision;
pub(crate) mod scrap_cause;
pub(crate) mod tank;
pub(crate) mod trial;
pub(crate) mod upkeep_task;
