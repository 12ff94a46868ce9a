//! What tanks, racks and the workshop need.

use maud::{Markup, html};

pub const TITLE: &str = "Look after";

/// A task: where, and since when it is due if its day has passed.
pub fn task(name: &str, place: Option<&str>, due_since: Option<&str>) -> Markup {
    html! {
        strong { (name) } @if let Some(place) = place { ", " (place) }
        @if let Some(day) = due_since { span.late { ", due since " (day) } }
    }
}

/// What was reported of a task, after the task: done or not, what was measured, by whom.
pub fn reported(done: bool, measured: Option<&str>, by: Option<&str>) -> String {
    let done = if done { ": done" } else { ": not done" };
    let measured = measured.map(|measured| format!(", {measured}")).unwrap_or_default();
    let by = by.map(|by| format!(" by {by}")).unwrap_or_default();
    format!("{done}{measured}{by}")
}

pub const IT_WAS: &str = "It was";
pub const DONE: &str = "done";
pub const NOT_DONE: &str = "not done";
pub const NOTE: &str = "Note";
pub const ENTER: &str = "Enter";

/// What is measured, in which unit, and between which limits where there are any.
pub fn measured(what: &str, unit: &str, low: Option<&str>, high: Option<&str>) -> String {
    match (low, high) {
        (Some(low), Some(high)) => format!("{what}, {unit}, from {low} to {high}"),
        (Some(low), None) => format!("{what}, {unit}, {low} at least"),
        (None, Some(high)) => format!("{what}, {unit}, {high} at most"),
        (None, None) => format!("{what}, {unit}"),
    }
}
