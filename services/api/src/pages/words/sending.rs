//! Orders that can go out.

use maud::{Markup, html};

use super::shared::panels;

pub const TITLE: &str = "Send out";

/// An order: for whom, how many of its panels went on the day, and whether all of it has gone.
pub fn order(order: &Markup, customer: Option<&str>, sent_today: i64, complete: bool) -> Markup {
    html! {
        strong { (order) } @if let Some(customer) = customer { " for " (customer) }
        @if sent_today > 0 { ": " (panels(sent_today)) " sent today" } @if complete { ", all of it has gone" }
    }
}

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
