//! The queue of jobs: each claimed by one worker at a time, on a lease, tried again after a failure, set aside when it
//! keeps failing.
//!
//! A job is waiting, running (somebody holds its lease), done, or set aside. Of one kind and key at most one waits, and
//! while one runs the next of that kind and key is not begun. Running a job twice must do no harm: a worker that dies
//! between its work and [`finish`] has it run again by another, once its lease is over.

use chrono::{DateTime, TimeDelta, Utc};
use sea_orm::sea_query::{Expr, ExprTrait as _, Query};
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, Condition, EntityTrait as _, IntoActiveModel as _,
    PaginatorTrait as _, QueryFilter as _, QueryOrder as _, QuerySelect as _,
};
use workshop::ids::JobId;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::store::Store;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word, moment, strange};

table!(job, "job", {
    #[sea_orm(primary_key)]
    id: i64,
    kind: String,
    job_key: String,
    payload: String,
    state: String,
    run_at: DateTimeUtc,
    attempts: i64,
    worker: Option<String>,
    lease_until: Option<DateTimeUtc>,
    last_error: Option<String>,
    asked_at: DateTimeUtc,
    ended_at: Option<DateTimeUtc>,
});

const NOUN: &str = "job";

/// Further ahead of now than this no pause and no lease reaches: what lies there was written by a clock that has been put back
/// since, and waits for nothing.
pub const FARTHEST: TimeDelta = TimeDelta::hours(2);

/// Where a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum JobState {
    /// To be run, from its time on.
    Waiting,
    /// In the hands of a worker.
    Running,
    /// Over.
    Done,
    /// Failed too often: it runs again only when a person says so.
    SetAside,
}

impl Word for JobState {
    fn word(&self) -> String {
        match self {
            JobState::Waiting => "waiting",
            JobState::Running => "running",
            JobState::Done => "done",
            JobState::SetAside => "set_aside",
        }
        .to_owned()
    }

    fn of(word: &str) -> Result<Self> {
        [JobState::Waiting, JobState::Running, JobState::Done, JobState::SetAside]
            .into_iter()
            .find(|state| state.word() == word)
            .ok_or_else(|| strange("job state", word))
    }
}

/// A job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// Its number.
    pub id: JobId,
    /// What is to be done.
    pub kind: String,
    /// What it is to be done to: one job of a kind and key waits at a time.
    pub key: String,
    /// What its kind needs to know.
    pub payload: String,
    /// Where it stands.
    pub state: JobState,
    /// Not to be begun before.
    pub run_at: DateTime<Utc>,
    /// How often it has been begun.
    pub attempts: i64,
    /// Who has it.
    pub worker: Option<String>,
    /// Until when they have it.
    pub lease_until: Option<DateTime<Utc>>,
    /// Why it failed the last time.
    pub last_error: Option<String>,
    /// When it was asked for.
    pub asked_at: DateTime<Utc>,
    /// When it was done or set aside.
    pub ended_at: Option<DateTime<Utc>>,
}

/// Asks for a job from `run_at` on. Where one of this kind and key waits already, that one is given back, brought
/// forward to `run_at` if it would have come later.
pub async fn enqueue(
    tx: &Tx,
    now: DateTime<Utc>,
    kind: &str,
    key: &str,
    payload: &str,
    run_at: DateTime<Utc>,
) -> Result<JobId> {
    let attempted = || format!("ask for the job {kind} of {key}");
    tx.writes()?;
    if let Some(mut waiting) = waiting_twin(tx, kind, key).await? {
        let id = JobId::new(waiting.id);
        if moment(run_at) < waiting.run_at {
            waiting.run_at = moment(run_at);
            replace(tx, waiting).await?;
        }
        return Ok(id);
    }
    let row = job::ActiveModel {
        kind: ActiveValue::Set(kind.to_owned()),
        job_key: ActiveValue::Set(key.to_owned()),
        payload: ActiveValue::Set(payload.to_owned()),
        state: ActiveValue::Set(JobState::Waiting.word()),
        run_at: ActiveValue::Set(moment(run_at)),
        attempts: ActiveValue::Set(0),
        asked_at: ActiveValue::Set(moment(now)),
        ..Default::default()
    };
    let written = job::Entity::insert(row).exec(tx.writes()?).await.attempted(attempted)?;
    Ok(JobId::new(written.last_insert_id))
}

/// Takes the job that has been due longest, if one is due, for `lease_seconds`; one whose lease is over is due again.
/// However many ask, each job goes to one of them.
pub async fn claim(store: &Store, now: DateTime<Utc>, worker: &str, lease_seconds: i64) -> Result<Option<Job>> {
    // Most of the time there is nothing to do, and looking does not need the turn to write.
    let looking = store.read().await?;
    let any = due(&looking, now).await?;
    looking.rollback().await?;
    if any.is_none() {
        return Ok(None);
    }
    let tx = store.write().await?;
    let Some(mut row) = due(&tx, now).await? else {
        tx.rollback().await?;
        return Ok(None);
    };
    row.state = JobState::Running.word();
    row.attempts += 1;
    row.worker = Some(worker.to_owned());
    row.lease_until = Some(lease_end(now, lease_seconds));
    let claimed = replace(&tx, row).await?;
    tx.commit().await?;
    Ok(Some(claimed))
}

/// Makes the lease last `lease_seconds` from now. [`StoreError::LostLease`] where another has the job.
pub async fn beat(store: &Store, id: JobId, worker: &str, now: DateTime<Utc>, lease_seconds: i64) -> Result<()> {
    let tx = store.write().await?;
    let mut row = held(&tx, id, worker).await?;
    row.lease_until = Some(lease_end(now, lease_seconds));
    replace(&tx, row).await?;
    tx.commit().await
}

/// Makes sure that the worker has the job still. What a job keeps in transactions before its last asks this first, in the same
/// transaction. [`StoreError::LostLease`] where another has it: nothing of the transaction may then be kept.
pub async fn hold(tx: &Tx, id: JobId, worker: &str) -> Result<()> {
    held(tx, id, worker).await.map(|_| ())
}

/// Says that the job is done; best in the transaction that keeps what it did. [`StoreError::LostLease`] where another
/// has the job: nothing of this transaction may then be kept.
pub async fn finish(tx: &Tx, id: JobId, worker: &str, now: DateTime<Utc>) -> Result<()> {
    let row = held(tx, id, worker).await?;
    replace(tx, ended(row, JobState::Done, now)).await?;
    Ok(())
}

/// Says why the job failed. It waits until `retry_at`, or is set aside where there is none. Where another of its kind
/// and key waits already, that one will do the work and this one is over.
pub async fn fail(
    store: &Store,
    id: JobId,
    worker: &str,
    now: DateTime<Utc>,
    error: &str,
    retry_at: Option<DateTime<Utc>>,
) -> Result<()> {
    let tx = store.write().await?;
    let mut row = held(&tx, id, worker).await?;
    row.last_error = Some(error.to_owned());
    let row = match retry_at {
        None => ended(row, JobState::SetAside, now),
        Some(_) if waiting_twin(&tx, &row.kind, &row.job_key).await?.is_some() => ended(row, JobState::Done, now),
        Some(at) => waiting(row, at),
    };
    replace(&tx, row).await?;
    tx.commit().await
}

/// Up to `limit` jobs in a state (in any, where none is given) after the one named, by number.
pub async fn page(tx: &Tx, state: Option<JobState>, after: Option<JobId>, limit: u64) -> Result<Vec<Job>> {
    let mut rows = job::Entity::find()
        .filter(job::Column::Id.gt(after.map_or(0, JobId::get)))
        .order_by_asc(job::Column::Id)
        .limit(limit);
    if let Some(state) = state {
        rows = rows.filter(job::Column::State.eq(state.word()));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| "read jobs".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// Every job in a state, by number.
pub async fn all_in(tx: &Tx, state: JobState) -> Result<Vec<Job>> {
    let rows = job::Entity::find().filter(job::Column::State.eq(state.word())).order_by_asc(job::Column::Id);
    let rows = rows.all(tx.reads()).await.attempted(|| "read jobs".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// Keys and states of all jobs of a kind that are not done.
pub async fn open_keys(tx: &Tx, kind: &str) -> Result<Vec<(String, JobState)>> {
    let rows = job::Entity::find()
        .filter(job::Column::Kind.eq(kind))
        .filter(job::Column::State.ne(JobState::Done.word()))
        .all(tx.reads())
        .await
        .attempted(|| format!("read the open jobs {kind}"))?;
    rows.into_iter().map(|row| Ok((row.job_key, JobState::of(&row.state)?))).collect()
}

/// How many jobs there are in each state, by its word.
pub async fn counts(tx: &Tx) -> Result<Vec<(&'static str, u64)>> {
    let states = [
        ("waiting", JobState::Waiting),
        ("running", JobState::Running),
        ("done", JobState::Done),
        ("set_aside", JobState::SetAside),
    ];
    let mut counts = Vec::with_capacity(states.len());
    for (word, state) in states {
        let count = job::Entity::find().filter(job::Column::State.eq(state.word())).count(tx.reads()).await;
        counts.push((word, count.attempted(|| "count jobs".to_owned())?));
    }
    Ok(counts)
}

/// Whether a job of this kind waits or is being done.
pub async fn any_open(tx: &Tx, kind: &str) -> Result<bool> {
    let open = [JobState::Waiting.word(), JobState::Running.word()];
    let row = job::Entity::find()
        .filter(job::Column::Kind.eq(kind))
        .filter(job::Column::State.is_in(open))
        .one(tx.reads())
        .await
        .attempted(|| format!("see whether a job {kind} is under way"))?;
    Ok(row.is_some())
}

/// The job with this number, if there is one.
pub async fn find(tx: &Tx, id: JobId) -> Result<Option<Job>> {
    let row = job::Entity::find_by_id(id.get()).one(tx.reads()).await.attempted(|| format!("read job {id}"))?;
    row.map(value).transpose()
}

/// Has a job that was set aside run again. [`StoreError::NotNow`] where it was not, or where another of its kind and
/// key waits already.
pub async fn retry_set_aside(tx: &Tx, id: JobId, now: DateTime<Utc>) -> Result<Job> {
    let not_now = |why: &str| StoreError::NotNow { noun: NOUN, id: id.to_string(), why: why.to_owned() };
    let row = row_of(tx, id).await?;
    if row.state != JobState::SetAside.word() {
        return Err(not_now("is not set aside"));
    }
    if waiting_twin(tx, &row.kind, &row.job_key).await?.is_some() {
        return Err(not_now("need not run again: another of its kind and key waits already"));
    }
    // A person's word counts from the beginning: otherwise it would be set aside again before it is begun.
    replace(tx, waiting(job::Model { attempts: 0, ..row }, now)).await
}

/// Takes away the jobs that were done before a moment: how many.
pub async fn sweep(tx: &Tx, before: DateTime<Utc>) -> Result<u64> {
    let swept = job::Entity::delete_many()
        .filter(job::Column::State.eq(JobState::Done.word()))
        .filter(job::Column::EndedAt.lt(moment(before)))
        .exec(tx.writes()?)
        .await
        .attempted(|| "take away old jobs".to_owned())?;
    Ok(swept.rows_affected)
}

fn lease_end(now: DateTime<Utc>, seconds: i64) -> DateTime<Utc> {
    moment(now + TimeDelta::try_seconds(seconds).unwrap_or(TimeDelta::zero()))
}

fn ended(row: job::Model, state: JobState, now: DateTime<Utc>) -> job::Model {
    job::Model { state: state.word(), worker: None, lease_until: None, ended_at: Some(moment(now)), ..row }
}

fn waiting(row: job::Model, at: DateTime<Utc>) -> job::Model {
    let state = JobState::Waiting.word();
    job::Model { state, worker: None, lease_until: None, ended_at: None, run_at: moment(at), ..row }
}

/// The job due longest: waiting past its time with no twin running, or running with its lease over; and what lies further ahead
/// than either ever does. Notices come after all
/// else, so that a listener that does not answer holds up no plan and no tickets.
async fn due(tx: &Tx, now: DateTime<Utc>) -> Result<Option<job::Model>> {
    let come =
        |column: job::Column| Condition::any().add(column.lte(moment(now))).add(column.gt(moment(now + FARTHEST)));
    let running_twins = Query::select()
        .expr(Expr::col((job::Entity, job::Column::JobKey)))
        .from_as(job::Entity, "twin")
        .and_where(Expr::col(("twin", "state")).eq(JobState::Running.word()))
        .and_where(Expr::col(("twin", "kind")).equals((job::Entity, job::Column::Kind)))
        .and_where(Expr::col(("twin", "job_key")).equals((job::Entity, job::Column::JobKey)))
        .to_owned();
    let waiting = Condition::all()
        .add(job::Column::State.eq(JobState::Waiting.word()))
        .add(come(job::Column::RunAt))
        .add(Expr::exists(running_twins).not());
    let left_lying =
        Condition::all().add(job::Column::State.eq(JobState::Running.word())).add(come(job::Column::LeaseUntil));
    job::Entity::find()
        .filter(Condition::any().add(waiting).add(left_lying))
        .order_by_asc(job::Column::Kind.eq(crate::notices::SEND))
        .order_by_asc(job::Column::RunAt)
        .order_by_asc(job::Column::Id)
        .one(tx.reads())
        .await
        .attempted(|| "look for a job that is due".to_owned())
}

async fn waiting_twin(tx: &Tx, kind: &str, key: &str) -> Result<Option<job::Model>> {
    job::Entity::find()
        .filter(job::Column::Kind.eq(kind))
        .filter(job::Column::JobKey.eq(key))
        .filter(job::Column::State.eq(JobState::Waiting.word()))
        .one(tx.reads())
        .await
        .attempted(|| format!("look for a waiting job {kind} of {key}"))
}

async fn row_of(tx: &Tx, id: JobId) -> Result<job::Model> {
    let row = job::Entity::find_by_id(id.get()).one(tx.reads()).await.attempted(|| format!("read job {id}"))?;
    row.ok_or_else(|| StoreError::not_found(NOUN, id))
}

async fn held(tx: &Tx, id: JobId, worker: &str) -> Result<job::Model> {
    let row = row_of(tx, id).await?;
    let ours = row.state == JobState::Running.word() && row.worker.as_deref() == Some(worker);
    if ours { Ok(row) } else { Err(StoreError::LostLease) }
}

async fn replace(tx: &Tx, row: job::Model) -> Result<Job> {
    let active = row.clone().into_active_model().reset_all();
    active.update(tx.writes()?).await.attempted(|| format!("write job {}", row.id))?;
    value(row)
}

fn value(row: job::Model) -> Result<Job> {
    Ok(Job {
        id: JobId::new(row.id),
        state: JobState::of(&row.state)?,
        kind: row.kind,
        key: row.job_key,
        payload: row.payload,
        run_at: row.run_at,
        attempts: row.attempts,
        worker: row.worker,
        lease_until: row.lease_until,
        last_error: row.last_error,
        asked_at: row.asked_at,
        ended_at: row.ended_at,
    })
}
