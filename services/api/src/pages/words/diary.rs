//! The plan's page.

use maud::{Markup, html};

use super::shared::{counted, panels};

pub const TITLE: &str = "Plan";
pub const NO_PLAN: &str = "No plan is in force yet.";

/// How many orders there are, and how many of them are late.
pub fn orders_in_time(orders: usize, on_time: usize, late: usize) -> String {
    format!("{}: {on_time} on time, {late} late.", counted(orders, "order", "orders"))
}

/// So many panels are poured between two days.
pub fn poured(count: i64, first: &str, last: &str) -> String {
    format!("{} poured from {first} to {last}.", panels(count))
}

/// What the plan's material costs.
pub fn material_cost(money: &str) -> String {
    format!("Material {money}.")
}

pub const NONE_BETTER: &str = "No plan has fewer order-days late.";

/// How late the plan is, and what no plan can be below.
pub fn late_at_least(late: f64, bound: f64) -> String {
    format!("{late} order-days late, weighted; no plan can have fewer than {bound}.")
}

pub const LATE: &str = "Late, and why";

/// An order that is late: wanted when, whole when and how late, if it is whole by the plan's last day at all.
pub fn late_order(order: &Markup, wanted: &str, whole: Option<(&str, &str)>) -> Markup {
    html! {
        (order) ": wanted " (wanted) ", "
        @match whole {
            Some((day, against)) => { "whole " (day) ", " strong { (against) } },
            None => strong { "not whole by the plan's last day" },
        }
    }
}

pub const CURES: &str = "What would help";
pub const CURES_TRIED: &str = "Each was tried by planning again with it; what it gains is what came of that.";
pub const SHORT: &str = "Short of something";
pub const DAY_BY_DAY: &str = "Day by day";
pub const MARKS_KEY: &str = "The four marks beside a day fill as the day's end leaves them: ";

/// The marks beside a day, and what they stand for.
pub const MARKS: [(&str, &str); 4] = [("M", "moulds"), ("W", "water"), ("R", "rack"), ("H", "hours")];

/// The week that begins on a Monday.
pub fn week_of(monday: &str) -> String {
    format!("Week of {monday}")
}

pub const NOTHING_PLANNED: &str = "Nothing is planned.";
pub const CLOSED: &str = "Closed.";
pub const CHANGED: &str = "What changed";

/// So many changes.
pub fn changes(count: usize) -> String {
    format!("{} since the plan before", counted(count, "change", "changes"))
}

/// What was recorded since the plan before, in sentences.
pub fn recorded_since(sentences: &str) -> String {
    format!("Since then: {sentences}")
}

/// Moulds in use.
pub fn moulds_taken(used: f64, of: f64) -> String {
    format!("{used} of {of} moulds taken")
}

/// Row of the tanks in use, both lengths with their unit.
pub fn water_taken(used: &str, of: &str) -> String {
    format!("{used} of {of} of water row taken")
}

/// Row of the racks in use, both lengths with their unit.
pub fn rack_taken(used: &str, of: &str) -> String {
    format!("{used} of {of} of rack row taken")
}

/// Hours of work.
pub fn work(used: &str, of: &str) -> String {
    format!("{used} of {of} of work")
}

pub const ARRIVES: &str = "Arrives";
pub const LIFT: &str = "Lift";
pub const STRIP: &str = "Strip";
pub const POUR: &str = "Pour";
pub const READY: &str = "Ready";
pub const CAN_GO: &str = "Can go";

/// Panels lifted onto a rack.
pub fn lifted(count: i64, panel: &str, rack: &str) -> String {
    format!("{count} × {panel} onto {rack}")
}

/// Panels stripped into a tank.
pub fn stripped(count: i64, panel: &str, tank: &str) -> String {
    format!("{count} × {panel} into {tank}")
}

/// Panels poured in moulds of a group.
pub fn poured_in(count: i64, panel: &str, moulds: Option<&str>) -> Markup {
    html! { (count) " × " (panel) @if let Some(moulds) = moulds { span.quiet { " in " (moulds) } } }
}

/// So many batches of so much in all.
pub fn batches(count: usize, volume: &str) -> String {
    format!("{}, {volume}", counted(count, "batch", "batches"))
}

/// Pinned by a person, for a reason.
pub fn pinned(reason: &str) -> String {
    format!("pinned: {reason}")
}

pub const PIN: &str = "Pin";
pub const PIN_NAMED: &str = "Pin a pour";
pub const PIN_WHY: &str = "Why";
pub const UNPIN: &str = "Unpin";
pub const UNPIN_NAMED: &str = "Unpin a pour";

/// Which pour is let go again.
pub fn unpin_this(count: i64, panel: &str, day: &str) -> String {
    format!("Unpin {count} × {panel} on {day}")
}

pub const FOLLOW: &str = "Follow this week's pours to the day they are ready";
pub const FOLLOW_HEAD: [&str; 5] = ["Panels", "Mould", "Water", "Rack", "Ready"];
pub const AFTER_THE_PLAN: &str = "after the plan";

/// The newest planning run failed, for a reason where one is known.
pub fn failed(why: Option<&str>) -> String {
    const FAILED: &str = "The last planning run brought no plan";
    why.map_or_else(|| FAILED.to_owned(), |why| format!("{FAILED}: {why}"))
}

/// A newer plan waits, for a reason where one is known.
pub fn waits(why: Option<&str>) -> String {
    const WAITS: &str = "A newer plan is there and not in force";
    why.map_or_else(|| format!("{WAITS}."), |why| format!("{WAITS}: {why}."))
}

pub const TAKE_OVER: &str = "Put it in force";
pub const TAKE_OVER_NAMED: &str = "Put a plan in force";
pub const ASK: &str = "Plan anew";
pub const ASK_NAMED: &str = "Ask for a plan";
pub const ASK_WHY: &str = "Why a new plan";
pub const RUN_WAITS: &str = "Planning: the run waits for the worker.";
pub const RUN_BEGINS: &str = "Planning: a new plan is being made.";

/// How far a run has come: its seconds, how late its best plan is, what no plan can be below, and the gap in per cent.
pub fn run_so_far(seconds: f64, late: f64, bound: &str, gap: f64) -> String {
    format!(
        "Planning, {seconds:.0} s: {late} order-days late in the best plan so far, no plan can have fewer than {bound}, a gap of {gap:.0} %."
    )
}

pub const ASKED_TO_STOP: &str = " It is asked to stop.";
pub const COUNTS_STEPS: &str = "It counts its steps, so that it plans the same every time if it is left to its end.";
pub const STOP: &str = "Stop: keep the best plan so far";
pub const STOP_NAMED: &str = "Stop the planning run";
