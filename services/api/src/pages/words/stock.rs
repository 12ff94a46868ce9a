//! The stock's pages.

use maud::{Markup, html};

pub const TITLE: &str = "Stock";
pub const MATERIAL: &str = "Material";
pub const BY_THE_LEDGER: &str = "By the ledger";
pub const A_PACK_HOLDS: &str = "A pack holds";
pub const COUNTED: &str = "Counted";
pub const THERE_IS: &str = "There is";
pub const CAUTION: &str = "Bags are lifted with the legs, by two where they are heavy. Cement dust harms lungs and eyes: a torn bag is moved wet or with a mask on.";
pub const ON_THEIR_WAY: &str = "On their way";
pub const NOTHING_ORDERED: &str = "Nothing is ordered.";
pub const ENTER_ORDER: &str = "Enter what was ordered";
pub const ORDER_NAMED: &str = "What was ordered";
pub const CHOOSE: &str = "choose";
pub const PACKS: &str = "Packs";
pub const EXPECTED_ON: &str = "Expected on";
pub const IT_IS_ORDERED: &str = "It is ordered";
pub const WHAT_CAME: &str = "What came";
pub const REST_COMES_ON: &str = "The rest comes on (empty: all is here, or no more comes)";
pub const NOTE: &str = "Note";
pub const IT_IS_HERE: &str = "It is here";
pub const IS_RECEIVED: &str = "received";
pub const IS_DRAWN: &str = "drawn";
pub const IS_COUNTED: &str = "counted";
pub const IS_PUT_RIGHT: &str = "put right";
pub const IS_WRITTEN_OFF: &str = "written off";
pub const IS_TAKEN_BACK: &str = "taken back";
pub const ALL_MATERIALS: &str = "All materials";
pub const EMPTY_LEDGER: &str = "Nothing is written in it.";
pub const DAY: &str = "Day";
pub const WHAT: &str = "What";
pub const CHANGE: &str = "Change";
pub const LEFT: &str = "Left";
pub const EARLIER_LINES: &str = "Earlier lines";
pub const TAKE_BACK: &str = "Take back";
pub const TAKE_BACK_NAMED: &str = "Taking back a line";
pub const TAKE_IT_BACK: &str = "Take it back";
pub const WHY: &str = "Why";
pub const COUNT_SHEET: &str = "Count sheet";
pub const LEDGER: &str = "Ledger";
pub const TO_ORDER: &str = "To order";
pub const LASTS: &str = "Lasts";
pub const NOTHING_ELSE: &str = "Nothing else is kept.";
pub const ITS_LEDGER: &str = "Its ledger";
pub const DAY_BY_DAY: &str = "Day by day";
pub const USED: &str = "Used";
pub const ARRIVING: &str = "Arriving";
pub const LEFT_UNORDERED: &str = "Left if nothing is ordered";
pub const WAS_TAKEN_BACK: &str = " (taken back)";

/// When the stock was counted: on paper a line to write on, here the day.
pub fn counted_on(day: &str) -> Markup {
    html! {
        "Counted on " span.only-print { "______________ by ______________" } span.no-print { (day) }
        ". A count makes the ledger right by the difference; nothing written in it is ever changed."
    }
}

/// What the device calls a count.
pub fn count_named(material: &str) -> String {
    format!("Count of {material}")
}

/// A material that has to be ordered.
pub fn to_order(material: &str) -> String {
    format!("{material}, to order")
}

/// A delivery: packs, what they hold where that is known, and when it is expected or should have been here.
pub fn delivery(packs: i64, material: &str, holds: Option<&str>, expected: &str, late: bool) -> Markup {
    html! {
        strong { (packs) " × " (material) } @if let Some(holds) = holds { ", " (holds) " in all" }
        @if late { span.late { ", expected since " (expected) } } @else { ", expected " (expected) }
    }
}

/// What the device calls an arrival.
pub fn arrival_named(material: &str) -> String {
    format!("Arrival of {material}")
}

/// The ledger's lines of one material.
pub fn ledger_of(material: &str) -> String {
    format!("Ledger of {material}")
}

/// Which ticket drew it.
pub fn by_ticket(ticket: &str) -> String {
    format!(" by ticket {ticket}")
}

/// Where the page's figures are as a spreadsheet.
pub fn as_spreadsheet(place: &str) -> Markup {
    html! { "The same as a spreadsheet: " a href=(place) { "stock projection" } }
}

/// What there is.
pub fn on_hand(amount: &str) -> String {
    format!("{amount} on hand by the ledger.")
}

/// What the chart of a material shows.
pub fn chart_of(material: &str) -> String {
    format!("{material}: left (line), left if nothing is ordered (dashed), used (bars)")
}
