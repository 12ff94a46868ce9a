//! The workshop's pages.

use maud::{Markup, html};

use super::shared::{counted, panels};

pub const TITLE: &str = "Workshop";
pub const ON_THIS_PAGE: &str = "On this page";
pub const MOULDS: &str = "Moulds";
pub const TANKS_AND_RACKS: &str = "Tanks and racks";
pub const DAYS_AHEAD: &str = "Days ahead";
pub const SETTINGS: &str = "Settings";
pub const BEGIN_OR_ADD_MORE: &str = "Begin, or add more";
pub const WHO_MAY_SEE_IT: &str = "Who may see it";
pub const WHO_CHANGED_WHAT: &str = "Who changed what";
pub const CHANGES_AS_A_TABLE: &str = "All of them as a table (CSV)";
pub const NO_CHANGES: &str = "Nothing was changed yet.";
pub const EARLIER_CHANGES: &str = "Earlier changes";
pub const NOTHING_THERE: &str = "nothing";
pub const ALL_OF_IT: &str = "all of it";
pub const NO_ROOMS: &str = "No tanks or racks are recorded yet.";
pub const TANK_CAUTION: &str =
    "Tank water burns like wet cement: gloves and eye protection. Cover every tank: children drown in them.";
pub const NO_PLACE: &str = "In water or drying, no place entered";
pub const READY: &str = "Ready";
pub const EMPTY_ROOM: &str = "Nothing in it.";
pub const PANELS: &str = "Panels";
pub const MIX: &str = "Mix";
pub const POURED: &str = "Poured";
pub const HERE_SINCE: &str = "Here since";
pub const OUT_OF_SERVICE_NOW: &str = "out of service";
pub const TAKEN: &str = "taken";
pub const EMPTY: &str = "empty";
pub const SAME_DAY: &str = "on the day it is stripped";
pub const DAY_AFTER: &str = "the day after";
pub const NO_MOULDS: &str = "No moulds are recorded yet.";
pub const CHANGE_GROUP: &str = "Take some out of service, or change the group";
pub const BACK_TO_THE_WORKSHOP: &str = "Back to the workshop";
pub const NAME: &str = "Name";
pub const POURED_AGAIN: &str = "Poured again";
pub const LIFE: &str = "Pours a mould is good for";
pub const OUT_OF_SERVICE: &str = "Out of service";
pub const HOW_TO_NAME: &str = "Name the numbers painted on them, with spaces between; where none are named, the highest are taken. Empty a row to forget it.";
pub const MISSING: &str = "Missing";
pub const AND_MISSING: &str = "And missing";
pub const HOW_MANY: &str = "How many";
pub const FROM: &str = "From";
pub const TO: &str = "To";
pub const NUMBERS: &str = "Numbers";
pub const WHY: &str = "Why";
pub const KEEP: &str = "Keep";
pub const TOO_COLD: &str = "too cold to pour";
pub const NO_SETTINGS: &str = "Days are known once the workshop's settings are recorded.";
pub const IS_CLOSED: &str = "closed";
pub const WORKED: &str = "Worked";
pub const AS_WEEKDAY: &str = "as its weekday says";
pub const WORKED_ANYWAY: &str = "worked, whatever the weekday";
pub const WORK_THAT_DAY: &str = "Work that day, minutes (empty: as usual)";
pub const AIR_EXPECTED: &str = "Mean air temperature expected (empty: as usual)";
pub const NOTE: &str = "Note";
pub const OR_WEEKDAY: &str = "Or let the weekday decide again.";
pub const TELL_NOTHING: &str = "Tell it nothing";
pub const MAY_ALL: &str = "may do everything";
pub const MAY_BENCH: &str = "works at the bench";
pub const MAY_LOOK: &str = "may look";
pub const TOKENS: &str = "Tokens";
pub const NO_TOKENS: &str = "No token has been made: whoever sits at this computer may do everything, and nobody else can reach it. The first one has to be for the office; from then on everyone needs one.";
pub const NEW_TOKEN: &str = "New token";
pub const MAKE_ONE: &str = "Make one";
pub const FOR_WHOM_OR_WHAT: &str = "For whom or what";
pub const MAY: &str = "May";
pub const ROLE_BENCH: &str = "work at the bench: tickets, stages, stock";
pub const ROLE_OFFICE: &str = "do everything";
pub const ROLE_READER: &str = "only look";
pub const MAKE_IT: &str = "Make it";
pub const FEEDS: &str = "Feeds";
pub const ABOUT_FEEDS: &str = "A calendar or spreadsheet that can send no token gets an address of its own. It opens the feeds named and nothing else. Whoever has the address can read them.";
pub const NEW_FEED: &str = "New feed";
pub const FEEDS_IT_OPENS: &str = "Feeds it opens";
pub const REVOKE: &str = "Revoke";
pub const DAY_FIRST: &str = "Mon 2 March";
pub const MONTH_FIRST: &str = "Mon, March 2";
pub const YEAR_FIRST: &str = "Mon 2026-03-02";
pub const POINT: &str = "a point: 10.5";
pub const COMMA: &str = "a comma: 10,5";
pub const HOURS_24: &str = "15:30";
pub const HOURS_12: &str = "3:30 pm";
pub const METRIC: &str = "kg, L, mm, °C";
pub const US_CUSTOMARY: &str = "lb, US gal, in, °F";
pub const BY_ITSELF: &str = "takes over by itself";
pub const WAITS_FOR_PERSON: &str = "waits for a person";
pub const LOOK_AT_THEM_CHANGE: &str = "Look at them, change them";
pub const RECORD_THE_WORKSHOP: &str = "Record the workshop";
pub const THE_WORKSHOP: &str = "The workshop";
pub const TIME_ZONE: &str = "Time zone, as Europe/Dublin";
pub const CURRENCY: &str = "Currency, as EUR";
pub const DAYS_ARE_WRITTEN: &str = "Days are written";
pub const BEFORE_DECIMALS_STANDS: &str = "Before decimals stands";
pub const TIMES_OF_DAY: &str = "Times of day";
pub const UNITS_PEOPLE_SEE: &str = "Units people see";
pub const WORK: &str = "Work";
pub const DAYS_USUALLY_WORKED: &str = "Days usually worked";
pub const WORK_IN_A_DAY: &str = "Work in a day, all hands together, minutes";
pub const MOST_BATCHES: &str = "Most batches a day";
pub const ISSUE_AT: &str = "Tickets of the day go out at";
pub const POUR_AT: &str = "The hold in the mould counts from";
pub const STRIP_AT: &str = "Panels are stripped at";
pub const LIMITS: &str = "Limits";
pub const LEAST_AIR: &str = "No pouring on a day colder than";
pub const USUAL_AIR: &str = "Air where the calendar says nothing";
pub const TANK_GAP: &str = "Gap between panels in a tank";
pub const RACK_GAP: &str = "Gap between panels on a rack";
pub const SCALE_STEP: &str = "Smallest step of the scale";
pub const COLD_WATER: &str = "Soaking in cold water";
pub const ABOUT_COLD_WATER: &str = "Least days by the temperature measured in the tank. In water as warm as the warmest of these a day counts in full, in colder water as less. Empty both fields of a line to take it out.";
pub const WATER_OF: &str = "Water of";
pub const LEAST_SOAK_DAYS: &str = "Least days";
pub const LIFTING_LIMIT: &str = "Lifted by two people above";
pub const PLANNING: &str = "Planning";
pub const A_NEW_PLAN: &str = "A new plan";
pub const HORIZON: &str = "Planned ahead at least, days";
pub const A_RUN_MAY_TAKE: &str = "A run may take, seconds";
pub const CALM: &str = "Planned anew so long after the last change, seconds (empty: only by hand)";
pub const NIGHT_AT: &str = "And every night at (empty: not)";
pub const FINER: &str = "Finer";
pub const STEADY_DAYS: &str = "Near days kept steady, working days";
pub const UNMET: &str = "What is never ready counts as so many days later";
pub const THREADS: &str = "Processors a run may use";
pub const STEPS: &str = "Steps instead of seconds, for runs that repeat exactly";
pub const SEED: &str = "Where chance begins (seed)";

/// Monday first.
pub const WEEKDAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

/// What a full tank weighs at least.
pub fn full_weighs(mass: &str) -> String {
    format!("Full, its water alone weighs {mass} or more: whoever answers for the floor says whether it bears that.")
}

/// How much of so many rows is taken, all lengths with their unit.
pub fn taken(used: &str, total: &str, rows: i64, each: &str) -> String {
    format!("{used} of {total} taken, in {} of {each}.", counted(rows, "row", "rows"))
}

/// How many moulds a group has, how many are taken, and how many are out of service.
pub fn moulds_taken(moulds: i64, taken: usize, out: usize) -> String {
    let moulds = counted(moulds, "mould", "moulds");
    if out == 0 {
        format!("{moulds}, {taken} taken.")
    } else {
        format!("{moulds}, {taken} taken, {out} out of service.")
    }
}

/// How long a mould lasts.
pub fn good_for(pours: i64) -> String {
    format!("Each is good for {} or so.", counted(pours, "pour", "pours"))
}

/// Panels whose moulds are not known.
pub fn unknown_moulds(count: i64) -> String {
    format!("{} more in moulds whose numbers nobody entered.", panels(count))
}

/// Moulds out of service between two days, and why.
pub fn out_from_to(moulds: i64, from: &str, to: &str, why: &str) -> String {
    format!("{moulds} out of service from {from} to {to}: {why}")
}

/// How often a mould was used, of how often it is good for.
pub fn uses_of(uses: i64, life: i64) -> String {
    format!("{uses} of {life}")
}

/// How often a mould was used.
pub fn uses(uses: i64) -> String {
    counted(uses, "pour", "pours")
}

/// When a mould was used last.
pub fn last_used(day: &str) -> String {
    format!(", last {day}")
}

/// What the device calls a change of a mould group.
pub fn group_named(group: &str) -> String {
    format!("Mould group {group}")
}

/// The limit for pouring, and what can be done with a day.
pub fn too_cold_below(temperature: &str) -> String {
    format!("Too cold to pour: below {temperature}. Press a day to close it, open it, or tell it its temperature.")
}

/// The week that begins on a Monday.
pub fn week_of(monday: &str) -> String {
    format!("Week of {monday}")
}

/// What the device calls a change of a calendar day.
pub fn calendar_named(day: &str) -> String {
    format!("Calendar of {day}")
}

/// Which feeds a token opens.
pub fn reads(feeds: &str) -> String {
    format!("reads {feeds}")
}

/// When a token was made, and when it ends if it does.
pub fn made(on: &str, end: Option<&str>) -> String {
    end.map_or_else(|| format!("Made {on}."), |end| format!("Made {on}, ends {end}."))
}

/// Whose token is revoked.
pub fn revoke(name: &str) -> String {
    format!("Revoke {name}")
}

/// What an order-day late is worth, in which currency.
pub fn late_price(currency: &str) -> String {
    format!("A day late of a usual order is worth {currency}")
}

/// What was done to which thing of which kind.
pub fn change(kind: &str, id: &str, act: &str) -> String {
    let of = if id.is_empty() { kind.to_owned() } else { format!("{kind} {id}") };
    format!("{of}: {act}")
}

/// Who said so, and when.
pub fn said_by(by: Option<&str>, day: &str, time: &str) -> String {
    by.map_or_else(|| format!("{day}, {time}"), |by| format!("{day}, {time}, by {by}"))
}

/// How many fields became otherwise.
pub fn fields(count: i64) -> String {
    counted(count, "field", "fields")
}

/// What a field was and what it became.
pub fn became(before: &Markup, after: &Markup) -> Markup {
    html! { "from " (before) " to " (after) }
}
