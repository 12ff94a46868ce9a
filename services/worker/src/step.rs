//! One step of a worker: look at the clock, take one job, do it, write down how it went.

use std::future::Future;
use std::time::Instant;

use chrono::{DateTime, Duration, Utc};
use store::jobs::{self, Job};
use store::{Store, StoreError};
use tracing::{error, info, warn};

use crate::Config;
use crate::{clock, hooks, issue, plan};

pub use workshop::planning::JOB as PLAN;

/// The kind of a job that issues a day's tickets; its key is the day.
pub const ISSUE: &str = "issue";

pub use store::notices::SEND;

/// Attempts after which a job is set aside.
const MOST_ATTEMPTS: i64 = 5;
/// Attempts after which a notice is: whoever listens may be away for hours.
const MOST_SENDINGS: i64 = 8;
/// Pause after the first failed attempt, seconds; three times as long after each further one.
const FIRST_PAUSE: i64 = 5;

/// What a step did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DidWork {
    /// There was nothing to do.
    Nothing,
    /// A job was done.
    Done {
        /// Its kind.
        kind: String,
        /// Its key.
        key: String,
        /// How it ended, in a few words.
        outcome: String,
    },
    /// An attempt at a job failed.
    Failed {
        /// Its kind.
        kind: String,
        /// Its key.
        key: String,
        /// Why.
        error: String,
        /// When it is tried again; none where it is set aside.
        again_at: Option<DateTime<Utc>>,
    },
}

/// Why an attempt at a job failed.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// The store refused or did not answer.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// What is in the tables cannot be worked with; it says what to do.
    #[error("{0}")]
    Input(String),
    /// The job itself broke.
    #[error("the job broke off: {0}")]
    Panic(String),
}

/// Does one thing that waits to be done. Sleeps nowhere, so tests and demonstrations can call it until it says
/// [`DidWork::Nothing`].
///
/// # Errors
/// Where the store does not let the queue be read or written; whatever goes wrong inside a job is written to the queue
/// instead.
pub async fn step(store: &Store, config: &Config) -> Result<DidWork, StoreError> {
    let store = &store.told_time_by(config.clock.clone());
    clock::keep(store, config).await?;
    let Some(job) = jobs::claim(store, config.now(), &config.name, config.lease_seconds).await? else {
        return Ok(DidWork::Nothing);
    };
    let started = Instant::now();
    if job.attempts > most_attempts(&job.kind) {
        let error = JobError::Panic("its worker stopped in the middle of it each time".to_owned());
        return failed(store, config, job, &error, 0).await;
    }
    let result = with_beats(store, config, &job, carried_out(store, config, &job)).await;
    let ms = started.elapsed().as_millis();
    match result {
        Ok(outcome) => done(store, config, job, outcome, ms).await,
        Err(error) => failed(store, config, job, &error, ms).await,
    }
}

/// Runs the job on a task of its own, so that a panic in it is an error here.
async fn carried_out(store: &Store, config: &Config, job: &Job) -> Result<String, JobError> {
    let (store, config, job) = (store.clone(), config.clone(), job.clone());
    let task = tokio::spawn(async move {
        match job.kind.as_str() {
            PLAN => plan::carry_out(&store, &config, &job).await,
            ISSUE => issue::carry_out(&store, &config, &job.key).await,
            SEND => hooks::carry_out(&store, &config, &job.key).await,
            other => Err(JobError::Input(format!("no worker knows the kind of job '{other}'"))),
        }
    });
    task.await.unwrap_or_else(|broken| Err(JobError::Panic(said(broken))))
}

/// What a panic said.
pub(crate) fn said(broken: tokio::task::JoinError) -> String {
    let Ok(panic) = broken.try_into_panic() else { return "it was stopped".to_owned() };
    let text = panic.downcast_ref::<&str>().map(ToString::to_string);
    text.or_else(|| panic.downcast_ref::<String>().cloned()).unwrap_or_else(|| "it gave no reason".to_owned())
}

/// Lets the queue know, three times in a lease, that the job is still being worked on, and whoever watches that this worker is.
async fn with_beats<T>(store: &Store, config: &Config, job: &Job, work: impl Future<Output = T>) -> T {
    let third = std::time::Duration::from_secs((config.lease_seconds / 3).max(1).unsigned_abs());
    tokio::pin!(work);
    loop {
        tokio::select! {
            result = &mut work => return result,
            () = tokio::time::sleep(third) => {
                // A missed beat costs at most the lease; finishing the job finds out whether it was lost.
                if let Err(error) = jobs::beat(store, job.id, &config.name, config.now(), config.lease_seconds).await {
                    warn!(job = job.id.get(), %error, "the lease of a job could not be renewed");
                }
                if let Err(error) = alive(store, config).await {
                    warn!(%error, "a sign of life could not be written");
                }
            }
        }
    }
}

/// Says that this worker is alive: a job may take longer than it is waited for.
async fn alive(store: &Store, config: &Config) -> Result<(), StoreError> {
    let tx = store.write().await?;
    store::beats::beat(&tx, &config.name, config.now()).await?;
    tx.commit().await
}

async fn done(store: &Store, config: &Config, job: Job, outcome: String, ms: u128) -> Result<DidWork, StoreError> {
    let tx = store.write().await?;
    match jobs::finish(&tx, job.id, &config.name, config.now()).await {
        Ok(()) => tx.commit().await?,
        // Another worker has taken it over; all jobs do no harm when done twice.
        Err(StoreError::LostLease) => warn!(job = job.id.get(), kind = job.kind, "the lease was lost before the end"),
        Err(error) => return Err(error),
    }
    info!(job = job.id.get(), kind = job.kind, key = job.key, outcome, ms, "job done");
    Ok(DidWork::Done { kind: job.kind, key: job.key, outcome })
}

async fn failed(store: &Store, config: &Config, job: Job, error: &JobError, ms: u128) -> Result<DidWork, StoreError> {
    let again_at = retry_at(&job.kind, job.attempts, config.now());
    let text = error.to_string();
    if again_at.is_none() && job.kind == PLAN {
        match plan::give_up(store, config, &job, &text).await {
            Ok(()) | Err(StoreError::LostLease) => {}
            Err(error) => return Err(error),
        }
    }
    match jobs::fail(store, job.id, &config.name, config.now(), &text, again_at).await {
        Ok(()) | Err(StoreError::LostLease) => {}
        Err(error) => return Err(error),
    }
    match again_at {
        Some(at) => {
            warn!(job = job.id.get(), kind = job.kind, key = job.key, error = text, %at, ms, "job failed, tried again")
        }
        None => error!(job = job.id.get(), kind = job.kind, key = job.key, error = text, ms, "job set aside"),
    }
    Ok(DidWork::Failed { kind: job.kind, key: job.key, error: text, again_at })
}

fn most_attempts(kind: &str) -> i64 {
    if kind == SEND { MOST_SENDINGS } else { MOST_ATTEMPTS }
}

/// When a job is tried again after so many attempts: 5, 15, 45, 135 seconds, and a notice 405, 1215 and 3645; then never.
pub(crate) fn retry_at(kind: &str, attempts: i64, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let pauses = u32::try_from(attempts.max(1) - 1).unwrap_or(u32::MAX);
    (attempts < most_attempts(kind)).then(|| now + Duration::seconds(FIRST_PAUSE * 3_i64.pow(pauses)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attempts_are_spaced_out_and_end() {
        let now = DateTime::<Utc>::UNIX_EPOCH;
        let pauses: Vec<Option<i64>> =
            (1..=6).map(|n| retry_at(PLAN, n, now).map(|at| (at - now).num_seconds())).collect();
        assert_eq!(pauses, [Some(5), Some(15), Some(45), Some(135), None, None]);
        let pauses = (1..MOST_SENDINGS).filter_map(|n| retry_at(SEND, n, now));
        assert!(
            pauses.into_iter().all(|at| at - now < jobs::FARTHEST),
            "the queue takes it for the work of a wrong clock"
        );
        let last: Vec<Option<i64>> =
            (7..=8).map(|n| retry_at(SEND, n, now).map(|at| (at - now).num_seconds())).collect();
        assert_eq!(last, [Some(3645), None]);
    }
}
