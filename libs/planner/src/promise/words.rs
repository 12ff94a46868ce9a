//! A promise in plain words.

use chrono::NaiveDate as Day;
use workshop::documents::Facts;

use super::{Slip, Sooner};

/// Most orders a sentence names.
const MOST_NAMED: usize = 3;

/// A sentence for the day that keeps all promises, and one for each sooner day.
pub(super) fn sentences(
    facts: &Facts,
    ready: Option<Day>,
    sooner: &[Sooner],
    never: Option<(&str, &str)>,
) -> Vec<String> {
    let first = match (ready, never) {
        (Some(day), _) => format!("it can be ready on {day} without making any promised order later"),
        (None, Some((panel, finish))) => format!(
            "it cannot be ready by {}, where planning ends: there is no way for the panel \"{panel}\" in \"{finish}\" \
             beside what is promised",
            facts.last_day
        ),
        (None, None) => format!(
            "it cannot be ready by {}, where planning ends, without making a promised order later",
            facts.last_day
        ),
    };
    let other =
        |sooner: &Sooner| format!("it can be ready on {} if others wait: {}", sooner.ready_on, waits(&sooner.slips));
    std::iter::once(first).chain(sooner.iter().map(other)).collect()
}

fn waits(slips: &[Slip]) -> String {
    let one = |slip: &Slip| match slip.to {
        Some(to) => format!("order \"{}\" {} later, on {to}", slip.order, days(slip.days)),
        None => format!("order \"{}\" would not be ready by the last day", slip.order),
    };
    let named: Vec<String> = slips.iter().take(MOST_NAMED).map(one).collect();
    let more = slips.len().saturating_sub(MOST_NAMED);
    let others = if more == 1 { "order" } else { "orders" };
    let rest = if more > 0 { format!("; and {more} more {others}") } else { String::new() };
    format!("{}{rest}", named.join("; "))
}

fn days(days: i64) -> String {
    if days == 1 { "1 day".to_owned() } else { format!("{days} days") }
}
