//! What is wanted on paper by itself.

use maud::{Markup, html};

use super::shared::panels;

pub const THE_ORDER: &str = "The order";
pub const FOR: &str = "For";
pub const WANTED: &str = "Wanted";
pub const READY_FOR_IT: &str = "Ready for it";
pub const PANEL: &str = "Panel";
pub const TO_GO: &str = "To go";
pub const EACH: &str = "Each";
pub const TOGETHER: &str = "Together";
pub const PACKED: &str = "Packed";
pub const STILL_TO_COME: &str = "Still to come";
pub const HARDWARE: &str = "Hardware of the whole order";
pub const PIECE: &str = "Piece";
pub const ORDERED: &str = "Ordered";
pub const STRUCTURES: &str = "Walls that hold back soil are structures: local codes and licensed practice decide.";
pub const PACKED_BY: &str = "Packed by ____________   on ____________   Received ____________";
pub const NO_TAGS: &str = "No tickets are out for this day, so there is nothing to tag.";
pub const STRIP: &str = "Strip";
pub const LIFT: &str = "Lift";
pub const READY: &str = "Ready";
pub const CAUTION: &str = "Wet and tank-wet panels burn skin: gloves.";
pub const MIXED_BY: &str = "Wet density measured ____________   Mixed by ____________   at ______";
pub const LIFT_BY_TWO: &str = " (lift by two)";
pub const THE_DAY: &str = "The day";
pub const HOW_PRINTED: &str = "Printed on plain paper and cut, or on labels of 99 × 68 mm or larger.";

/// So many panels, and their mass.
pub fn together(count: i64, mass: &str) -> String {
    format!("{}, {mass} together", panels(count))
}

/// Panels of an order that are still to come.
pub fn not_ready(panel: &str, missing: i64, ordered: i64) -> String {
    let stand = if missing == 1 { "does not stand" } else { "do not stand" };
    format!("{panel}: {missing} of {ordered} {stand} ready")
}

/// An order's pack list.
pub fn pack_list_of(order: &str) -> String {
    format!("Pack list of {order}")
}

/// A day's tags.
pub fn tags_of(day: &str) -> String {
    format!("Tags of {day}")
}

/// Which ticket a lot is from, and when it was poured.
pub fn ticket_poured(ticket: &str, day: &str) -> Markup {
    html! { strong { "Ticket " (ticket) } ", poured " (day) }
}

/// The finish of a tag's panels.
pub fn in_finish(finish: &str) -> Markup {
    html! { "Finish: " (finish) }
}

/// The numbers of moulds.
pub fn moulds(numbers: &str) -> String {
    format!("Moulds {numbers}")
}

/// The way to all tickets of a day.
pub fn all_of(day: &str) -> String {
    format!("All of {day}")
}

/// A ticket's own page.
pub fn ticket(number: &str) -> String {
    format!("Ticket {number}")
}
