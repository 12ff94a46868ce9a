//! The worker's look at the clock: what should be out by now is compared with what is, and the difference enqueued.

use chrono::{DateTime, Duration, NaiveDate as Day, Utc};
use store::jobs::{Job, JobState};
use store::{Record, Store, StoreError, Tx};
use store::{beats, deliveries, idempotency, jobs, marks, runs, site, tickets};
use tracing::warn;
use workshop::site::CalendarDay;

use crate::Config;
use crate::again;
use crate::local::{due_day, local};
use crate::look_back;
use crate::step::{ISSUE, PLAN};

/// Seconds between signs of life: a look at the clock that finds nothing to do writes no more often.
const BETWEEN_BEATS: i64 = 20;
/// Jobs set aside that are looked through at a time.
const PAGE: u64 = 100;

/// Days for which the answer to an Idempotency-Key is kept.
const KEPT_ANSWERS: i64 = 7;
/// Days for which a job that is done is kept, and a change that a plan in force has known.
const KEPT_JOBS: i64 = 30;

/// Notes what is late and what a day that is over left undone, and enqueues the issue of today's tickets where they are due, not out yet, and there is a plan to issue them from; and a
/// plan where one is due.
pub(crate) async fn keep(store: &Store, config: &Config) -> Result<(), StoreError> {
    let now = config.now();
    let tx = store.read().await?;
    let missing = missing_day(&tx, config).await?;
    let stale = again::due(&tx, now).await?.is_some();
    let today = today(&tx, config).await?;
    let late = match today {
        Some(today) => !deliveries::late(&tx, today).await?.is_empty(),
        None => false,
    };
    let over = match today {
        Some(today) => look_back::due(&tx, today).await?,
        None => false,
    };
    // Of a sign of life that lies ahead nobody knows how old it is: the clock has been put back since.
    let silent = beats::last(&tx).await?.is_none_or(|last| (now - last).abs() >= Duration::seconds(BETWEEN_BEATS));
    tx.rollback().await?;
    if missing.is_none() && !stale && !silent && !late && !over {
        return Ok(());
    }
    let tx = store.write().await?;
    beats::beat(&tx, &config.name, now).await?;
    if let Some(day) = missing {
        jobs::enqueue(&tx, now, ISSUE, &day.to_string(), "", now).await?;
        // Once a working day is often enough to take away what nobody will ask for again.
        idempotency::sweep(&tx, now - Duration::days(KEPT_ANSWERS)).await?;
        jobs::sweep(&tx, now - Duration::days(KEPT_JOBS)).await?;
        if let Some((run, ..)) = runs::in_force(&tx).await? {
            marks::sweep(&tx, marks::known(&tx, run).await?, now - Duration::days(KEPT_JOBS)).await?;
        }
    }
    if let Some(today) = today.filter(|_| late) {
        for delivery in deliveries::note_late(&tx, today).await? {
            warn!(delivery = delivery.id.get(), expected_on = %delivery.expected_on, "a delivery is late");
        }
    }
    if let Some(today) = today.filter(|_| over) {
        look_back::carry_out(&tx, now, today).await?;
    }
    // Asked anew where no other worker can come between.
    if let Some(reason) = again::due(&tx, now).await? {
        let run = runs::ask(&tx, now, Some(&reason)).await?.id.to_string();
        jobs::enqueue(&tx, now, PLAN, &run, &run, now).await?;
    }
    tx.commit().await
}

/// The workshop's local day; none where it has not been described, or names a time zone that is none.
async fn today(tx: &Tx, config: &Config) -> Result<Option<Day>, StoreError> {
    let workshop = site::get(tx).await?;
    Ok(workshop.and_then(|found| local(&found.value, config.now()).ok()).map(|local| local.date()))
}

/// The day whose tickets are due and not out.
async fn missing_day(tx: &Tx, config: &Config) -> Result<Option<Day>, StoreError> {
    let Some(workshop) = site::get(tx).await? else { return Ok(None) };
    let workshop = workshop.value;
    let local = match local(&workshop, config.now()) {
        Ok(local) => local,
        Err(unknown) => {
            say_once(config, Day::MIN, &unknown.to_string());
            return Ok(None);
        }
    };
    let said = CalendarDay::find(tx, &local.date()).await?;
    let said: Vec<CalendarDay> = said.into_iter().map(|d| d.value).collect();
    let Some(day) = due_day(&workshop, &said, local) else { return Ok(None) };
    if tickets::is_issued(tx, day).await? {
        return Ok(None);
    }
    let Some((_, since, _)) = runs::in_force(tx).await? else {
        say_once(config, day, &format!("no plan is in force, so the tickets of {day} cannot be issued yet"));
        return Ok(None);
    };
    Ok((!set_aside(tx, day, since).await?).then_some(day))
}

/// Whether the issue of the day has been given up with the plan that is in force since then. It stays given up until a
/// person has the job tried again or another plan comes in force.
async fn set_aside(tx: &Tx, day: Day, since: DateTime<Utc>) -> Result<bool, StoreError> {
    let key = day.to_string();
    let mut after = None;
    loop {
        let page = jobs::page(tx, Some(JobState::SetAside), after, PAGE).await?;
        let given_up = |j: &Job| j.kind == ISSUE && j.key == key && j.ended_at.is_none_or(|ended| ended >= since);
        if page.iter().any(given_up) {
            return Ok(true);
        }
        match page.last() {
            Some(last) if page.len() as u64 == PAGE => after = Some(last.id),
            _ => return Ok(false),
        }
    }
}

/// Logs a sentence once for a day.
fn say_once(config: &Config, day: Day, sentence: &str) {
    // A poisoned lock means another step broke while it held a plain day: the day is still good.
    let mut said = config.said_no_plan.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    if *said != Some(day) {
        warn!("{sentence}");
        *said = Some(day);
    }
}
