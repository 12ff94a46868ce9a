//! Faults of a calendar day.

use super::found::Found;
use crate::Fault;
use crate::site::{CalendarDay, DayWork};

/// Every fault of what the calendar is told of one day.
pub fn faults(day: &CalendarDay) -> Vec<Fault> {
    let mut found = Found::new();
    found.day("/day", day.day);
    if let Some(minutes) = day.labour_minutes {
        found.whole("/labour_minutes", minutes.get(), 0..=100_000);
        found.ensure(day.work != DayWork::Closed, "/labour_minutes", || {
            "is given for a closed day: leave it out, or open the day".to_owned()
        });
    }
    if let Some(air) = day.air_c {
        found.number("/air_c", air, -40.0..=60.0);
    }
    found.note("/note", day.note.as_deref());
    found.all()
}
