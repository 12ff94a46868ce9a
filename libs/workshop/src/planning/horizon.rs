//! Which days a planning run looks at.

use chrono::{Days, NaiveDate as Day};

use super::{Snapshot, WorkCalendar, mixes};
use crate::fault::Fault;

/// No horizon is longer than this, days.
pub(super) const MOST_DAYS: u64 = 400;

/// First and last day of the facts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Horizon {
    pub first: Day,
    pub last: Day,
}

impl Horizon {
    /// From today, or from the next working day once today's tickets are issued, to the later of the last due day and
    /// today + the policy's days, and then as long as the slowest mix takes; 400 days at most.
    pub fn of(snapshot: &Snapshot, calendar: &WorkCalendar, today: Day, issued: bool) -> Result<Self, Fault> {
        let first = match issued {
            false => today,
            true => calendar.next_after(today).ok_or_else(|| {
                let detail = "the next 400 days have no working day: open some in the calendar or the working weekdays";
                Fault::at("/calendar", detail)
            })?,
        };
        let due = snapshot.orders.iter().map(|o| o.due_on).max().unwrap_or(today);
        let asked = today + Days::new(snapshot.workshop.policy.horizon_days.max(0).unsigned_abs());
        let last = due.max(asked).max(first) + Days::new(slowest(snapshot));
        Ok(Self { first, last: last.min(first + Days::new(MOST_DAYS - 1)) })
    }

    pub fn contains(&self, day: Day) -> bool {
        (self.first..=self.last).contains(&day)
    }

    /// Days from the first to the last.
    pub fn length(&self) -> i64 {
        (self.last - self.first).num_days()
    }
}

/// Hold + soak + dry of the slowest mix that may be poured, days.
fn slowest(snapshot: &Snapshot) -> u64 {
    let pourable = mixes::pourable(snapshot);
    let of = |r: &&crate::catalogue::MixRevision| {
        let hold = snapshot.holds.get(&r.id).map_or(1, |h| h.longest());
        (hold + r.soak_days + r.dry_days).max(0).unsigned_abs()
    };
    snapshot.revisions.iter().filter(|r| pourable.contains(&r.id)).map(|r| of(&r)).max().unwrap_or(0)
}
