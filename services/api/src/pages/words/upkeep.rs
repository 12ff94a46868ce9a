//! What tanks, racks and the workshop need.

pub const TITLE: &str = "Look after";

/// A task not done on its day.
pub fn due_since(day: &str) -> String {
    format!(", due since {day}")
}

pub const WAS_DONE: &str = ": done";
pub const WAS_NOT_DONE: &str = ": not done";

/// Who reported it.
pub fn by(person: &str) -> String {
    format!(" by {person}")
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
