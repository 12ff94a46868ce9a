//! The workshop's local day and time, and whether its tickets are due.
//!
//! The instant is turned into local time, never the other way round, so a night on which clocks change has one answer: an
//! hour that does not exist is passed, one that comes twice is reached at its first coming.

use chrono::{DateTime, NaiveDate as Day, NaiveDateTime, Utc};
use chrono_tz::Tz;
use workshop::planning::WorkCalendar;
use workshop::site::{CalendarDay, Workshop};

/// A workshop whose time zone no one knows.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the workshop's time zone '{0}' is not known: give an IANA name such as Europe/Dublin")]
pub struct UnknownZone(String);

/// Local day and time of an instant.
///
/// # Errors
/// Where the workshop's time zone is none.
pub fn local(workshop: &Workshop, now: DateTime<Utc>) -> Result<NaiveDateTime, UnknownZone> {
    let zone: Tz = workshop.time_zone.parse().map_err(|_| UnknownZone(workshop.time_zone.clone()))?;
    Ok(now.with_timezone(&zone).naive_local())
}

/// The day whose tickets should be out by now: today, where it is worked and its hour of issue has come. Never an earlier
/// day: what an outage has passed over stays passed over.
pub fn due_day(workshop: &Workshop, calendar: &[CalendarDay], local: NaiveDateTime) -> Option<Day> {
    let worked = WorkCalendar::new(workshop, calendar).works_on(local.date());
    (worked && local.time() >= workshop.issue_at).then(|| local.date())
}

#[cfg(test)]
mod tests;
