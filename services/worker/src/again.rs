//! When a plan is made without anyone asking for it: once a change has been followed by a calm, and every night.

use chrono::{DateTime, Duration, Utc};
use store::marks::{self, Mark};
use store::{StoreError, Tx, jobs, runs, site};
use workshop::site::Workshop;

use crate::local::local;
use crate::step::PLAN;

/// So many calms after the first change the plan is made, however many changes still come.
const LONGEST_CALMS: i32 = 10;
/// Changes named in the reason of a run; the others are counted.
const NAMED: usize = 3;
/// Changes read to count them.
const MOST: u64 = 500;

/// Why a plan should be made now; none where none should. There must be a plan in force, and none being made.
pub(crate) async fn due(tx: &Tx, now: DateTime<Utc>) -> Result<Option<String>, StoreError> {
    let Some(workshop) = site::get(tx).await? else { return Ok(None) };
    if runs::in_force(tx).await?.is_none() || jobs::any_open(tx, PLAN).await? {
        return Ok(None);
    }
    let workshop = workshop.value;
    if let Some(calm) = workshop.policy.calm_seconds {
        let new = marks::after(tx, marks::known_to_any(tx).await?, MOST).await?;
        if has_come(&new, Duration::seconds(calm), now) {
            return Ok(Some(reason(&new)));
        }
    }
    let last = runs::page(tx, None, 1).await?.into_iter().next().map(|run| run.value.asked_at);
    Ok(night_is_due(&workshop, last, now).then(|| "the night's run".to_owned()))
}

/// Whether the calm after the changes has come, or has been waited for long enough. A change that lies ahead was written before
/// the clock was put back: how long ago nobody knows, and it waits no longer for having been made tomorrow.
fn has_come(new: &[Mark], calm: Duration, now: DateTime<Utc>) -> bool {
    match (new.first(), new.last()) {
        (Some(first), Some(last)) => (now - last.at).abs() >= calm || (now - first.at).abs() >= calm * LONGEST_CALMS,
        _ => false,
    }
}

fn reason(new: &[Mark]) -> String {
    let named: Vec<&str> = new.iter().rev().take(NAMED).map(|mark| mark.detail.as_str()).collect();
    match new.len().saturating_sub(named.len()) {
        0 => named.join("; "),
        more => format!("{}; and {more} changes before", named.join("; ")),
    }
}

/// Whether the hour of the night has come and no run was asked for since. A night that was slept through is made up for; a run
/// that was asked for before the clock was put back, and so lies ahead, says nothing of this night.
fn night_is_due(workshop: &Workshop, last: Option<DateTime<Utc>>, now: DateTime<Utc>) -> bool {
    let Some(hour) = workshop.policy.night_at else { return false };
    let (Ok(here), Some(last)) = (local(workshop, now), last) else { return false };
    let tonight = here.date().and_time(hour);
    here >= tonight && local(workshop, last).is_ok_and(|last| last < tonight || last > here)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(second: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(second, 0).unwrap()
    }

    fn marks(seconds: &[i64]) -> Vec<Mark> {
        let mark = |(id, second): (i64, &i64)| Mark {
            id,
            at: at(*second),
            what: "order".into(),
            detail: format!("order '{id}' is new"),
        };
        (1..).zip(seconds).map(mark).collect()
    }

    #[test]
    fn a_calm_is_waited_for_and_not_for_ever() {
        let calm = Duration::seconds(60);
        // Seconds of the changes, now, whether it has come.
        let cases: [(&[i64], i64, bool); 8] = [
            (&[], 1_000, false),
            (&[0], 59, false),
            (&[0], 60, true),
            (&[0, 50], 100, false),
            (&[0, 590], 600, true),
            // The clock was put back: by a little, which another machine's may be ahead too; and by a day.
            (&[1_010], 1_000, false),
            (&[87_400], 1_000, true),
            (&[87_400, 1_000], 1_059, true),
        ];
        for (seconds, now, expected) in cases {
            assert_eq!(has_come(&marks(seconds), calm, at(now)), expected, "{seconds:?} at {now}");
        }
    }

    #[test]
    fn the_reason_names_the_last_changes_and_counts_the_others() {
        assert_eq!(reason(&marks(&[0])), "order '1' is new");
        let many = reason(&marks(&[0, 1, 2, 3, 4]));
        assert_eq!(many, "order '5' is new; order '4' is new; order '3' is new; and 2 changes before");
    }
}
