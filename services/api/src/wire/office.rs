//! Forms of tokens, jobs and health.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;

use crate::http::access::Role;
use crate::http::body::Incoming;

/// What a token may do; each may also do what the ones before it may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(as = Role)]
pub enum RoleText {
    /// Read everything.
    Reader,
    /// Tickets, stages and stock.
    Bench,
    /// Everything.
    Office,
}

impl From<RoleText> for Role {
    fn from(text: RoleText) -> Self {
        match text {
            RoleText::Reader => Role::Reader,
            RoleText::Bench => Role::Bench,
            RoleText::Office => Role::Office,
        }
    }
}

impl From<Role> for RoleText {
    fn from(role: Role) -> Self {
        match role {
            Role::Reader => RoleText::Reader,
            Role::Bench => RoleText::Bench,
            Role::Office => RoleText::Office,
        }
    }
}

/// A token to be made.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "name": "bench tablet", "role": "bench" }))]
pub struct GivenToken {
    /// What it is for.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// What it may do.
    pub role: RoleText,
    /// From when on it lets no one in; never, where none is given.
    pub expires_at: Option<DateTime<Utc>>,
}

impl Incoming for GivenToken {
    type Domain = (String, Role, Option<DateTime<Utc>>);

    fn into_domain(self) -> Result<Self::Domain, Vec<Fault>> {
        named(&self.name)?;
        Ok((self.name, self.role.into(), self.expires_at))
    }
}

fn named(name: &str) -> Result<(), Vec<Fault>> {
    if name.trim().is_empty() {
        return Err(vec![Fault::at("/name", "is empty: say what the token is for")]);
    }
    Ok(())
}

/// A token that opens feeds only, to be made.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "name": "phone in the yard", "feeds": ["/plan/pours", "/plan/deliveries"] }))]
pub struct GivenFeedToken {
    /// What pulls with it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// Paths of the feeds it opens, without `.csv`, `.xlsx` or `.ics`; a day is written {day}, as in /days/{day}/tickets.
    #[schema(min_items = 1, max_items = 50)]
    pub feeds: Vec<String>,
    /// From when on it opens nothing; never, where none is given.
    pub expires_at: Option<DateTime<Utc>>,
}

impl Incoming for GivenFeedToken {
    type Domain = GivenFeedToken;

    fn into_domain(self) -> Result<Self::Domain, Vec<Fault>> {
        named(&self.name)?;
        Ok(self)
    }
}

/// A feed token, without its text.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 1, "name": "phone in the yard", "feeds": ["/plan/pours", "/plan/deliveries"], "made_at": "2026-05-04T08:12:00Z", "expires_at": null,
}))]
pub struct FeedToken {
    /// Its number among feed tokens.
    pub id: i64,
    /// What pulls with it.
    pub name: String,
    /// Paths of the feeds it opens.
    pub feeds: Vec<String>,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// From when on it opens nothing.
    pub expires_at: Option<DateTime<Utc>>,
}

/// A feed token just made, with its text: the only time it is shown.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 1, "name": "phone in the yard", "feeds": ["/plan/pours", "/plan/deliveries"], "token": "mf_…", "append": "?feed_token=mf_…",
}))]
pub struct MadeFeedToken {
    /// Its number among feed tokens.
    pub id: i64,
    /// What pulls with it.
    pub name: String,
    /// Paths of the feeds it opens.
    pub feeds: Vec<String>,
    /// The token itself; keep it, it is not shown again.
    pub token: String,
    /// What to put at the end of a feed's address.
    pub append: String,
}

/// A token, without its text.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "id": 2, "name": "bench tablet", "role": "bench", "made_at": "2026-05-04T08:12:00Z", "expires_at": null }))]
pub struct Token {
    /// Its number.
    pub id: i64,
    /// What it is for.
    pub name: String,
    /// What it may do.
    pub role: RoleText,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// From when on it lets no one in.
    pub expires_at: Option<DateTime<Utc>>,
}

/// A token just made, with its text: the only time it is shown.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "id": 2, "name": "bench tablet", "role": "bench", "token": "mb_…" }))]
pub struct MadeToken {
    /// Its number.
    pub id: i64,
    /// What it is for.
    pub name: String,
    /// What it may do.
    pub role: RoleText,
    /// The token itself; keep it, it is not shown again.
    pub token: String,
}

/// Where a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum JobState {
    /// To be done.
    Waiting,
    /// At work.
    Running,
    /// Done.
    Done,
    /// Failed too often: a person has to look.
    SetAside,
}

/// A job of the queue.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 5, "kind": "plan", "key": "run-4", "state": "set_aside", "attempts": 5, "run_at": "2026-05-04T06:00:00Z",
    "error": "the database cannot be reached",
}))]
pub struct Job {
    /// Its number.
    pub id: i64,
    /// What is to be done.
    pub kind: String,
    /// About what.
    pub key: String,
    /// Where it stands.
    pub state: JobState,
    /// How often it was tried.
    pub attempts: i64,
    /// Not before.
    pub run_at: DateTime<Utc>,
    /// What went wrong last.
    pub error: Option<String>,
}

/// That the service is there.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "alive": true, "version": "0.1.0" }))]
pub struct Live {
    /// It answers, so it is.
    pub alive: bool,
    /// Which version.
    pub version: String,
}

/// Whether all is well, part by part.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "ready": true, "database": "there", "worker": "there", "worker_seen_at": "2026-05-04T06:00:00Z", "plan": "there",
    "plan_in_force_since": "2026-05-04T05:58:00Z", "plan_age_seconds": 7320, "remarks": [],
}))]
pub struct Ready {
    /// Whether requests can be answered: the database is there and up to date.
    pub ready: bool,
    /// The database.
    pub database: Condition,
    /// The worker.
    pub worker: Condition,
    /// When the worker was last heard of.
    pub worker_seen_at: Option<DateTime<Utc>>,
    /// The plan in force.
    pub plan: Condition,
    /// Since when it is in force.
    pub plan_in_force_since: Option<DateTime<Utc>>,
    /// Seconds since then.
    pub plan_age_seconds: Option<i64>,
    /// What is not well, in sentences.
    pub remarks: Vec<String>,
}

/// How one part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Condition {
    /// There and well.
    There,
    /// Was there, is silent now.
    Silent,
    /// Not there.
    Missing,
    /// Cannot be told.
    Unknown,
}

impl From<JobState> for store::jobs::JobState {
    fn from(state: JobState) -> Self {
        match state {
            JobState::Waiting => Self::Waiting,
            JobState::Running => Self::Running,
            JobState::Done => Self::Done,
            JobState::SetAside => Self::SetAside,
        }
    }
}

impl From<store::jobs::JobState> for JobState {
    fn from(state: store::jobs::JobState) -> Self {
        match state {
            store::jobs::JobState::Waiting => Self::Waiting,
            store::jobs::JobState::Running => Self::Running,
            store::jobs::JobState::Done => Self::Done,
            store::jobs::JobState::SetAside => Self::SetAside,
        }
    }
}

impl From<store::jobs::Job> for Job {
    fn from(job: store::jobs::Job) -> Self {
        Self {
            id: job.id.get(),
            kind: job.kind,
            key: job.key,
            state: job.state.into(),
            attempts: job.attempts,
            run_at: job.run_at,
            error: job.last_error,
        }
    }
}
