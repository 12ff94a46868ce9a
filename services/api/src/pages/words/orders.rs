//! The orders' pages.

use maud::{Markup, html};

use super::shared::counted;

pub const TITLE: &str = "Orders";
pub const NEW: &str = "A new order";
pub const FROM_A_FILE: &str = "Orders from a file";
pub const AS_SPREADSHEET: &str = "These as a spreadsheet";

/// So many open orders.
pub fn open_orders(count: usize) -> String {
    format!("{}.", counted(count, "open order", "open orders"))
}

pub const NO_PLAN: &str = " No plan is in force yet, so no day is known for them.";
pub const ORDER: &str = "Order";
pub const WANTED: &str = "Wanted";
pub const PROMISED: &str = "Promised";
pub const WHOLE: &str = "Whole";
pub const PRIORITY: &str = "Priority";
pub const REFERENCE: &str = "Reference";
pub const FOR: &str = "For";
pub const WANTED_ON: &str = "Wanted on";
pub const NO_QUOTE_YET: &str = "When it could be ready is shown here once a line says what is wanted.";

/// A line's number, from 1.
pub fn line(number: usize) -> String {
    format!("Line {number}")
}

pub const WHAT: &str = "What";
pub const NOTHING: &str = "nothing";
pub const SETS: &str = "Sets";
pub const SINGLE_PANELS: &str = "Single panels";
pub const FINISH: &str = "Finish";
pub const HOW_MANY: &str = "How many";
pub const NOTE: &str = "Note";
pub const TAKE: &str = "Take the order";
pub const NEW_NAMED: &str = "New order";

/// What a file of orders is, beside those at an address.
pub fn about_files(ours: &str) -> Markup {
    html! {
        "A CSV or XLSX file with the columns of " a href=(ours) { "our own" }
        ": it is checked as soon as it is chosen, nothing is changed by that, and it is taken whole or not at all."
    }
}

pub const THE_FILE: &str = "The file";
pub const ITS_DECIMALS: &str = "Its decimal sign";
pub const AS_FOUND: &str = "as found in it";
pub const POINT: &str = "point";
pub const COMMA: &str = "comma";
pub const ITS_DAYS: &str = "Its days";
pub const DAY_FIRST: &str = "day first";
pub const MONTH_FIRST: &str = "month first";
pub const TAKE_THEM: &str = "Take them";
pub const BY_A_PROGRAM: &str = "By a program";
pub const AFTER_THE_PLAN: &str = "after the plan's last day";
pub const LATE: &str = "late";
pub const NOT_PLANNED: &str = "not planned yet";
pub const NOT_YET: &str = "not yet";
pub const LOW: &str = "low";
pub const USUAL: &str = "usual";
pub const HIGH: &str = "high";
pub const OPEN: &str = "open";
pub const DISPATCHED: &str = "sent out";
pub const WITHDRAWN: &str = "withdrawn";
pub const STATE: &str = "State";
pub const PACK_LIST: &str = "Pack list";
pub const ORDERED: &str = "Ordered";
pub const ITS_PANELS: &str = "Its panels";
pub const PANEL: &str = "Panel";
pub const SENT_OUT: &str = "Sent out";
pub const PLAN_GIVES: &str = "The plan gives";
pub const FOR_ANY: &str = "In the workshop, for any order";

/// An order by its reference.
pub fn order(reference: &str) -> String {
    format!("Order {reference}")
}

/// Panels in a tank.
pub fn in_tank(count: i64, tank: &str, since: &str) -> String {
    format!("{count} in {tank} since {since}")
}

/// Panels on a rack.
pub fn on_rack(count: i64, rack: &str, since: &str) -> String {
    format!("{count} on {rack} since {since}")
}

/// Panels in their moulds.
pub fn in_moulds(count: i64, since: &str) -> String {
    format!("{count} in moulds since {since}")
}

/// Panels in a tank that nobody named.
pub fn in_water(count: i64, since: &str) -> String {
    format!("{count} in water since {since}")
}

/// Panels on a rack that nobody named.
pub fn drying(count: i64, since: &str) -> String {
    format!("{count} drying since {since}")
}

/// Panels that are ready.
pub fn ready(count: i64, since: &str) -> String {
    format!("{count} ready since {since}")
}

pub const NONE: &str = "none";

/// Panels the plan gives on a day.
pub fn given_on(count: i64, day: &str) -> String {
    format!("{count} on {day}")
}

pub const PROMISED_ON: &str = "Promised on (empty: nothing is promised)";
pub const GOES_OUT: &str = "It goes out";
pub const WHEN_WHOLE: &str = "when all of it is ready";
pub const IN_PARTS: &str = "in parts, as the customer agreed";
pub const CHANGE: &str = "Change it";
pub const WHAT_CHANGES: &str = "Days, priority, what was agreed, or withdraw it";
pub const IT_IS: &str = "It is";
pub const STILL_WANTED: &str = "wanted";
pub const NOT_WANTED: &str = "withdrawn: not wanted any more";
pub const KEEP: &str = "Keep";
