//! Which days a planning run looks at.

use chrono::{Days, NaiveDate as Day};

use super::{Snapshot, WorkCalendar, mixes};
use crate::catalogue::MixRevision;
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
        let last = due.max(asked).max(first);
        let last = last + Days::new(slowest(snapshot, calendar, first, last));
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

/// Hold + soak + dry of the slowest mix that may be poured on some working day from `first` to `last`, days.
fn slowest(snapshot: &Snapshot, calendar: &WorkCalendar, first: Day, last: Day) -> u64 {
    let pourable = mixes::pourable(snapshot);
    let of = |revision: &MixRevision| {
        let hold = snapshot.holds.get(&revision.id);
        let cold = mixes::too_cold(revision, snapshot, calendar);
        let poured = |day: &Day| (first..=last).contains(day) && calendar.works_on(*day) && !cold(*day);
        let named = hold.iter().flat_map(|h| &h.on).filter(|(day, _)| poured(day)).map(|(_, days)| *days);
        let hold = named.max().unwrap_or(1).max(hold.map_or(1, |h| h.usual));
        (hold + revision.soak_days + revision.dry_days).max(0).unsigned_abs()
    };
    snapshot.revisions.iter().filter(|r| pourable.contains(&r.id)).map(of).max().unwrap_or(0)
}
