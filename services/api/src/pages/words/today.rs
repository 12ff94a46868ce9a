//! The bench's day.

use maud::{Markup, html};

use super::shared::counted;

pub const TITLE: &str = "Today";
pub const TAGS: &str = "Tags for what is poured";

/// What cold water keeps in a tank: where, until when and not till when, how many of what, and the water that was measured.
pub struct Slow<'a> {
    pub tank: &'a str,
    pub until: &'a str,
    pub usual: &'a str,
    pub count: i64,
    pub panel: &'a str,
    pub water: &'a str,
    pub measured_on: &'a str,
}

impl Slow<'_> {
    /// In a sentence.
    pub fn said(&self) -> String {
        let Self { tank, until, usual, count, panel, water, measured_on } = self;
        format!("Leave in {tank} until {until}, not {usual}: {count} {panel}, in water of {water} on {measured_on}.")
    }
}

/// What a day holds, in numbers.
pub struct Work {
    pub tickets: i64,
    pub strips: i64,
    pub lifts: i64,
    pub off_the_rack: i64,
    pub whole_orders: i64,
}

impl Work {
    /// In one sentence, with the hours it takes; what there is none of is left out.
    pub fn said(&self, hours: &str) -> String {
        let parts = [
            (self.tickets, "ticket to mix", "tickets to mix"),
            (self.strips, "panel to strip", "panels to strip"),
            (self.lifts, "panel to lift", "panels to lift"),
            (self.off_the_rack, "panel comes off the rack", "panels come off the rack"),
            (self.whole_orders, "order is whole", "orders are whole"),
        ];
        let parts = parts.into_iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| counted(n, one, many));
        match parts.collect::<Vec<_>>().join(", ") {
            none if none.is_empty() => "Nothing is to be done.".to_owned(),
            some => format!("{some}. {hours} of work in all."),
        }
    }
}

/// There is no plan: where one is asked for, and where stands what it needs.
pub fn no_plan(plan: &str, begin: &str) -> Markup {
    html! {
        "No plan is in force yet: ask for one on the " a href=(plan) { "plan's page" } ", or see "
        a href=(begin) { "what has to be recorded first" } "."
    }
}

pub const NOT_ISSUED: &str = "The tickets of this day are not issued yet.";
pub const ARRIVES: &str = "Arrives";

/// So many packs of a material.
pub fn packs_of(packs: i64, material: &str) -> String {
    format!("{} of {material}", counted(packs, "pack", "packs"))
}

pub const NOT_ORDERED: &str = ": the plan reckons with it, but nobody has said that it is ordered";

/// A delivery that should have been here.
pub fn overdue(since: &str) -> String {
    format!(": expected since {since}")
}

/// How one kind of move is spoken of.
pub struct Move {
    pub title: &'static str,
    pub caution: &'static str,
    /// So many of a panel to move.
    pub task: fn(i64, &str) -> String,
    /// What is sent of a panel, as the device names it.
    pub named: fn(&str) -> String,
    /// The place the panels go into.
    pub into: fn(&str) -> String,
}

pub const READY: Move = Move {
    title: "Off the rack",
    caution: "Look each panel over before it is called ready.",
    task: |count, panel| format!("Take off {count} × {panel}"),
    named: |panel| format!("Take off {panel}"),
    into: |place| format!(", into {place}"),
};

pub const LIFT: Move = Move {
    title: "Lift",
    caution: "Tank water burns like wet cement: gloves and eye protection. A wet panel is at its heaviest.",
    task: |count, panel| format!("Lift {count} × {panel}"),
    named: |panel| format!("Lift {panel}"),
    into: |place| format!(", onto {place}"),
};

pub const STRIP: Move = Move {
    title: "Strip",
    caution: "Straight into the tank, held down and fully covered: light panels float.",
    task: |count, panel| format!("Strip {count} × {panel}"),
    named: |panel| format!("Strip {panel}"),
    into: |place| format!(", into {place}"),
};

/// Panels to move: of which mix revision, out of where and into where as far as that has a name, and how many are moved.
pub struct Task<'a> {
    pub count: i64,
    pub panel: &'a str,
    pub revision: &'a str,
    pub out_of: Option<&'a str>,
    pub into: Option<&'a str>,
    pub done: i64,
    pub left: i64,
}

impl Move {
    /// A task in one line.
    pub fn said(&self, task: &Task<'_>) -> Markup {
        let Task { count, panel, revision, out_of, into, done, left } = task;
        html! {
            strong { ((self.task)(*count, panel)) } " " span.quiet { (revision) }
            @if let Some(place) = out_of { ", out of " (place) }
            @if let Some(place) = into { ((self.into)(place)) }
            @if *left == 0 { ": done" } @else if *done > 0 { ": " (done) " done, " (left) " to go" }
        }
    }
}

pub const HOW_MANY: &str = "How many";
pub const DONE: &str = "Done";
pub const NONE_THERE: &str =
    "None of them is recorded where it should be: nothing can be entered here before it is there.";
pub const MIX: &str = "Mix, in this order";

/// The cautions above the tickets.
pub fn before_you_mix(cautions: usize) -> String {
    format!("Before you mix: {}", counted(cautions, "caution", "cautions"))
}

pub const TO_BE_POURED: &str = "To be poured";
