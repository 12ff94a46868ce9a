//! Orders that can go out.

use super::shared::panels;

pub const TITLE: &str = "Send out";

/// The customer of an order.
pub fn order_for(customer: &str) -> String {
    format!(" for {customer}")
}

/// What of an order went on the day.
pub fn sent_today(count: i64) -> String {
    format!(": {} sent today", panels(count))
}

pub const COMPLETE: &str = ", all of it has gone";
pub const PACK_LIST: &str = "Pack list";

/// What the device calls an entry of panels sent.
pub fn some_named(order: &str) -> String {
    format!("What went of {order}")
}

/// What the device calls an entry of an order sent.
pub fn all_named(order: &str) -> String {
    format!("That {order} went")
}

/// How many are still to go.
pub fn of_left(count: i64) -> String {
    format!(", of {count}")
}

pub const GONE: &str = "Gone";
pub const HOW_TO: &str = "All that is ready stands in the fields: press the button, or write how many really went.";

/// How many of those wanted are ready.
pub fn ready(count: i64) -> String {
    format!(": {count} of them recorded as ready")
}

pub const ALL_GONE: &str = "All of it has gone";
pub const WHOLE_ONLY: &str = "It goes when all of it is ready: the customer has not agreed to parts.";
