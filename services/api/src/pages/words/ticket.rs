//! A ticket on the bench's page.

use maud::{Markup, html};

/// A ticket's number, where it is spoken of.
pub fn ticket(number: &str) -> String {
    format!("Ticket {number}")
}

/// Which ticket it is, of how many of its day, and its state.
pub fn which(ticket: &Markup, place: usize, of: usize, state: &str) -> Markup {
    html! { (ticket) ", " (place) " of " (of) " · " (state) }
}

/// What a ticket makes: for the moulds, and for the washout where there is one.
pub fn makes(moulds: &str, washout: Option<&str>) -> Markup {
    html! { strong { (moulds) } " for the moulds" @if let Some(washout) = washout { " and " (washout) " for the washout" } }
}

pub const NOT_TO_BE_MIXED: &str = "Not to be mixed. ";

/// The wet density aimed at, and what may be poured.
pub fn aim(target: &str, low: &str, high: &str) -> Markup {
    html! { "Wet density " strong { (target) } ", from " (low) " to " (high) }
}

pub const TO_BE_MIXED: &str = "to be mixed";
pub const MIXED: &str = "mixed";
pub const VOID: &str = "void";

/// The foam, and what it is made of where that is known.
pub fn foam(mass: &str, of: &str) -> Markup {
    html! { "Foam, " (mass) span.quiet { (of) } }
}

/// What foam is made of.
pub fn made_of(concentrate: Option<&str>, water: Option<&str>) -> String {
    match (concentrate, water) {
        (Some(concentrate), Some(water)) => format!(": {concentrate} concentrate in {water} water"),
        (Some(concentrate), None) => format!(": {concentrate} concentrate"),
        (None, Some(water)) => format!(": {water} water"),
        (None, None) => String::new(),
    }
}

/// What goes into the moulds or onto them besides the load.
pub fn on_the_moulds(materials: &str) -> String {
    format!("In or on the moulds: {materials}")
}

/// A fill that only begins a panel.
pub fn begins(panel: &str, volume: &str) -> String {
    format!("Begins one {panel} with {volume}")
}

/// A fill that finishes panels.
pub fn fills(count: i64, panel: &str) -> String {
    format!("Fills {count} × {panel}")
}

/// A fill that finishes panels and begins one.
pub fn fills_and_begins(count: i64, panel: &str, volume: &str) -> String {
    format!("Fills {count} × {panel}, and begins one more with {volume}")
}

/// A load weighed at the mixer, by whom and when, and the answer.
pub fn weighed_at_mixer(density: &str, by: &str, at: &str, answer: &str) -> Markup {
    html! { "Weighed " (density) " at the mixer by " (by) " at " (at) ": " strong { (answer) } }
}

/// A load weighed at the mould, by whom and when, and the answer.
pub fn weighed_at_mould(density: &str, by: &str, at: &str, answer: &str) -> Markup {
    html! { "Weighed " (density) " at the mould by " (by) " at " (at) ": " strong { (answer) } }
}

/// What was answered was done.
pub fn done_by(by: &str, at: &str) -> String {
    format!("Done by {by} at {at}.")
}

/// What the device calls an entry of what was done.
pub fn done_named(ticket: &str) -> String {
    format!("What was done with {ticket}")
}

/// What the device calls an entry of a weighing.
pub fn weighing_named(ticket: &str) -> String {
    format!("Weighing of {ticket}")
}

/// What the device calls an entry of a ticket completed.
pub fn completion_named(ticket: &str) -> String {
    format!("Completion of {ticket}")
}

pub const WHO: &str = "Who";
pub const DONE_SO: &str = "Done so";
pub const MEASURED: &str = "Wet density measured";
pub const WEIGH: &str = "Weigh the load";
pub const SINCE_FOAM: &str = "Minutes since the foam went in";
pub const WHERE: &str = "Where";
pub const AT_MIXER: &str = "at the mixer";
pub const AT_MOULD: &str = "at the mould";
pub const WHAT_TO_DO: &str = "What to do?";
pub const POURED: &str = "Mixed and poured";
pub const OTHERWISE: &str = "Other than written";
pub const NOTE: &str = "Note";
pub const DONE: &str = "Done";

/// What was used of a material, where the ticket said otherwise.
pub fn instead(used: &str, material: &str, written: &str) -> String {
    format!("{used} of {material} instead of {written}.")
}

/// The wet density a load was poured with.
pub fn was_measured(density: &str) -> String {
    format!("Wet density measured {density}.")
}

/// Which of the cautions above apply, by their numbers.
pub fn take_care_of(numbers: &str, place: &str) -> Markup {
    html! { "Take care: " (numbers) " of " a href=(place) { "the cautions above" } "." }
}

pub const TAKE_CARE: &str = "Take care";

pub const CHANGES: &str = "What was changed";

/// A thing of a ticket that was changed: as it was, as it became, by whom and when.
pub fn changed(what: &str, before: Option<&str>, after: Option<&str>, by: Option<&str>, at: Option<&str>) -> Markup {
    let (before, after) = (before.unwrap_or("nothing"), after.unwrap_or("nothing"));
    html! {
        (what) ": " (before) " → " (after)
        span.quiet { @if let Some(by) = by { ", " (by) } @if let Some(at) = at { ", " (at) } }
    }
}

/// The thing, by its name in the contract: `lines/2/actual` is what went in of line 2.
pub fn changed_what(name: &str) -> String {
    match name.strip_prefix("lines/").and_then(|rest| rest.strip_suffix("/actual")) {
        Some(position) => format!("line {position}, what went in"),
        None => name.replace('_', " "),
    }
}
