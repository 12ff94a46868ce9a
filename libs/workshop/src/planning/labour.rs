//! Labour by the day: what the workshop has, less what its upkeep takes.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

use super::horizon::Horizon;
use super::{Snapshot, WorkCalendar, days};
use crate::documents::facts;
use crate::upkeep::{self, Known};

/// Minutes left for moulds, mixer, tanks and racks: never below 0.
pub(super) fn told(snapshot: &Snapshot, calendar: &WorkCalendar, horizon: Horizon, today: Day) -> facts::Labour {
    let usual = snapshot.workshop.labour_minutes;
    let mut on = BTreeMap::new();
    for day in days(horizon.first, horizon.last).filter(|d| calendar.works_on(*d)) {
        let (said, upkeep) = (calendar.labour_said(day), upkeep_minutes(snapshot, calendar, day, today));
        if said.is_some() || upkeep > 0 {
            on.insert(day, (said.unwrap_or(usual).get() - upkeep).max(0) as f64);
        }
    }
    facts::Labour { usual: usual.get() as f64, on }
}

/// Minutes of the upkeep on a day's sheet.
fn upkeep_minutes(snapshot: &Snapshot, calendar: &WorkCalendar, day: Day, today: Day) -> i64 {
    let known = Known { tasks: &snapshot.upkeep, last_done: &snapshot.upkeep_done, reports: &snapshot.upkeep_reports };
    upkeep::entries(&known, calendar, day, today).iter().map(|entry| entry.task.minutes.get()).sum()
}
