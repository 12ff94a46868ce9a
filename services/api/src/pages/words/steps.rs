//! The steps from nothing to the first plan.

use maud::{Markup, html};

use super::shared::counted;

pub const WORKSHOP: &str = "Say where the workshop is, which days it works and for how long.";
pub const FINISHES: &str = "Name the finishes customers choose from: colour and surface.";
pub const MATERIALS: &str =
    "Name the materials: cement, water, sand, whatever goes in or on; with pack, price and days to arrive.";
pub const MOULDS: &str = "Count the moulds, by groups that can stand in for each other.";
pub const ROOMS: &str = "Measure the tanks panels soak in and the racks they dry on.";
pub const MIXES: &str = "Write down a mix and its first revision; put it in use on a trial, or on your own word.";
pub const PANELS: &str = "Measure the panels, and say which revisions suit each and on whose word.";
pub const SETS: &str = "Put panels together into the sets you sell; single panels can be ordered without.";
pub const COUNT: &str = "Count what is on hand.";
pub const ORDERS: &str = "Take the first order.";
pub const PLAN: &str = "Ask for a plan. It takes over by itself, and every morning's tickets follow from it.";
pub const TO_SETTINGS: &str = "Settings";
pub const A_FINISH: &str = "A finish";
pub const A_MATERIAL: &str = "A material";
pub const A_GROUP: &str = "A group of moulds";
pub const A_TANK: &str = "A tank";
pub const A_RACK: &str = "A rack";
pub const A_MIX: &str = "A mix";
pub const A_REVISION: &str = "A revision";
pub const A_PANEL: &str = "A panel";
pub const A_SET: &str = "A set";
pub const TO_STOCK: &str = "Stock";
pub const A_NEW_ORDER: &str = "A new order";
pub const TO_PLAN: &str = "Plan";
pub const BEGIN_HERE: &str = "Begin here";
pub const ADD_MORE: &str = "Add more";
pub const BY_A_PROGRAM: &str = "By a program";
pub const DONE: &str = "✓ done:";
pub const TO_DO: &str = "to do:";

fn so_far(what: &str) -> String {
    format!("So far {what}.")
}

/// How many there are already.
pub fn finishes_so_far(count: usize) -> String {
    so_far(&counted(count, "finish", "finishes"))
}

/// How many there are already.
pub fn materials_so_far(count: usize) -> String {
    so_far(&counted(count, "material", "materials"))
}

/// How many there are already.
pub fn groups_so_far(count: usize) -> String {
    so_far(&counted(count, "group", "groups"))
}

/// How many there are already.
pub fn rooms_so_far(count: usize) -> String {
    so_far(&counted(count, "of them", "of them"))
}

/// How many there are already.
pub fn mixes_so_far(count: usize) -> String {
    so_far(&counted(count, "mix", "mixes"))
}

/// How many there are already.
pub fn panels_so_far(count: usize) -> String {
    so_far(&counted(count, "panel", "panels"))
}

/// How many there are already.
pub fn sets_so_far(count: usize) -> String {
    so_far(&counted(count, "set", "sets"))
}

/// How many there are already.
pub fn counted_materials_so_far(count: usize) -> String {
    so_far(&counted(count, "material counted", "materials counted"))
}

/// How many there are already.
pub fn orders_so_far(count: usize) -> String {
    so_far(&counted(count, "open order", "open orders"))
}

/// How many steps are done, and the command that shows a workshop with all of them done.
pub fn done_of(done: usize, steps: usize, demo: &str) -> Markup {
    html! {
        (done) " of " (steps) " steps to the first plan are done. Try " code { (demo) } " to see a workshop that has them all behind it."
    }
}
