//! Days in the mould, worked out by the mix library from the calendar's temperatures.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate as Day};
use mix::{HoldClock, HoldKind, hold_days};
use quantities::{Celsius, Hours};
use workshop::catalogue::MixRevision;
use workshop::fault::Fault;
use workshop::planning::draws::is_rapid;
use workshop::planning::{Hold, Holds, Snapshot, days, holds_wanted};
use workshop::site::hours_of;

/// Days of temperatures beyond the last pour day: a hold that is longer counts as longer than any horizon.
const BEYOND: u64 = 120;

/// The holds that planning `snapshot` on `today` will ask for.
///
/// # Errors
/// Temperatures or hours no concrete can have, and mixes that would never harden at the workshop's usual temperature.
pub fn holds(snapshot: &Snapshot, today: Day) -> Result<Holds, Vec<Fault>> {
    let wanted = holds_wanted(snapshot, today);
    let mut faults = Vec::new();
    let Some(first) = wanted.values().filter_map(|days| days.first()).min().copied() else { return Ok(Holds::new()) };
    let last = wanted.values().filter_map(|days| days.last()).max().map_or(first, |d| *d + Days::new(BEYOND));
    let calendar = snapshot.work_calendar();
    let daily: Vec<Celsius> = days(first, last).filter_map(|day| celsius(calendar.air_c(day), &mut faults)).collect();
    let usual = celsius(snapshot.workshop.usual_air_c, &mut faults).map(|c| vec![c; BEYOND as usize]);
    let (Some(usual), true) = (usual, faults.is_empty()) else { return Err(faults) };
    let clock =
        HoldClock { pour_hour: hours_of(snapshot.workshop.pour_at), strip_hour: hours_of(snapshot.workshop.strip_at) };
    let weather = Weather { first, daily, usual, clock };
    let materials = snapshot.materials_by_id();
    let mut table = Holds::new();
    for revision in snapshot.revisions.iter().filter(|r| wanted.contains_key(&r.id)) {
        let kind = if is_rapid(revision, &materials) { HoldKind::TrialHours } else { HoldKind::PortlandMaturity };
        match weather.hold(revision, kind, wanted[&revision.id].iter().copied()) {
            Ok(hold) => drop(table.insert(revision.id.clone(), hold)),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok(table) } else { Err(faults) }
}

struct Weather {
    first: Day,
    daily: Vec<Celsius>,
    usual: Vec<Celsius>,
    clock: HoldClock,
}

impl Weather {
    fn hold(&self, revision: &MixRevision, kind: HoldKind, pours: impl Iterator<Item = Day>) -> Result<Hold, Fault> {
        let place = format!("/revisions/{}/hold_hours_at_20c", revision.id);
        let hours = Hours::from_hours(revision.hold_hours_at_20c)
            .map_err(|error| Fault::at(&*place, format!("the hold of {} cannot be: {error}", revision.id)))?;
        let usual = hold_days(hours, kind, 0, &self.usual, self.clock).map_err(|_| {
            let detail = format!(
                "{} would not harden at the workshop's usual air temperature: correct one of the two",
                revision.id
            );
            Fault::at(&*place, detail)
        })?;
        let usual = i64::from(usual);
        let mut on = BTreeMap::new();
        for day in pours {
            let at = usize::try_from((day - self.first).num_days()).unwrap_or(0);
            // Not hardened by the end of the temperatures: longer than any plan looks.
            let beyond = (self.daily.len() - at.min(self.daily.len())) as i64;
            let days = hold_days(hours, kind, at, &self.daily, self.clock).map_or(beyond, i64::from).max(1);
            if days != usual {
                on.insert(day, days);
            }
        }
        Ok(Hold { usual, on })
    }
}

fn celsius(degrees: f64, faults: &mut Vec<Fault>) -> Option<Celsius> {
    let found = Celsius::from_celsius(degrees);
    faults.extend(found.as_ref().err().map(|error| Fault::at("/calendar", error.to_string())));
    found.ok()
}

#[cfg(test)]
mod tests;
