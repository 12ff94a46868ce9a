//! What can go wrong in the store, in sentences a person can act on.

use chrono::NaiveDate as Day;

/// What every function of the store gives.
pub type Result<T, E = StoreError> = std::result::Result<T, E>;

/// Which rule of the schema refused a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Two rows may not be alike.
    Unique,
    /// What a row refers to must be there.
    Reference,
    /// A value must be within its range, and present where it is needed.
    Range,
    /// Rows of a ledger are only added.
    AppendOnly,
}

/// Why the store did not do what was asked. Where one comes back, nothing of the transaction has been kept.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// Things that are referred to are not there; all of them, as noun and id.
    #[error("not there: {}", listed(.0))]
    Missing(Vec<(&'static str, String)>),
    /// There is one already.
    #[error("there is already a {noun} '{id}'")]
    Exists {
        /// What it is.
        noun: &'static str,
        /// Which.
        id: String,
    },
    /// There is none.
    #[error("there is no {noun} '{id}'")]
    NotFound {
        /// What it would be.
        noun: &'static str,
        /// Which.
        id: String,
    },
    /// It has been changed since it was read.
    #[error(
        "the {noun} '{id}' has been changed meanwhile: it is at version {current}; read it again and repeat the change"
    )]
    Stale {
        /// What it is.
        noun: &'static str,
        /// Which.
        id: String,
        /// The version it is at.
        current: i64,
    },
    /// Something refers to it.
    #[error("the {noun} '{id}' is in use by {by}")]
    InUse {
        /// What it is.
        noun: &'static str,
        /// Which.
        id: String,
        /// What refers to it: nouns and a few of their ids.
        by: String,
    },
    /// That part of it never changes.
    #[error("the {noun} '{id}' keeps its {what}")]
    Immutable {
        /// What it is.
        noun: &'static str,
        /// Which.
        id: String,
        /// What does not change, and what to do instead.
        what: String,
    },
    /// A thing is not in the state the change needs.
    #[error("the {noun} '{id}' {why}")]
    NotNow {
        /// What it is.
        noun: &'static str,
        /// Which.
        id: String,
        /// Why it cannot be done now.
        why: String,
    },
    /// The day's tickets are out already.
    #[error("the tickets of {day} are issued already")]
    AlreadyIssued {
        /// Which day.
        day: Day,
    },
    /// The plan was made from older facts than the plan in force.
    #[error("this plan was made from older facts than the plan in force: plan again")]
    StaleFacts,
    /// The run brought no plan that the checker accepts.
    #[error("this planning run brought no plan that the checker accepts, so it cannot be put in force")]
    NotPlanned,
    /// Another worker has the job, or it is done.
    #[error("this worker no longer holds the job: its lease ran out and another took it")]
    LostLease,
    /// A stock entry is countered once.
    #[error("this stock entry has been countered already")]
    AlreadyCountered,
    /// The database may not be written.
    #[error("{0}")]
    ReadOnly(String),
    /// There is no room left.
    #[error("{0}")]
    Full(String),
    /// The database does not answer.
    #[error("{0}")]
    Away(String),
    /// Others hold it for too long.
    #[error("{0}")]
    Busy(String),
    /// The address cannot work as it stands.
    #[error("{0}")]
    Unusable(String),
    /// A restore needs an empty place.
    #[error("the database is not empty: restore only into a new one")]
    NotEmpty,
    /// What was read is not what was written.
    #[error("{0}")]
    Damaged(String),
    /// The tables are not those this program needs.
    #[error("{0}")]
    NotMigrated(String),
    /// A rule of the schema refused a row.
    #[error("while trying to {attempted}: the database refused a row ({detail})")]
    Refused {
        /// Which kind of rule.
        rule: Rule,
        /// What was being done.
        attempted: String,
        /// What the database said.
        detail: String,
    },
    /// Anything else.
    #[error("while trying to {attempted}: {source}")]
    Other {
        /// What was being done.
        attempted: String,
        /// What came of it.
        source: Box<dyn std::error::Error + Send + Sync>,
    },
}

impl StoreError {
    /// Whether the same may succeed a little later.
    pub fn is_passing(&self) -> bool {
        matches!(self, StoreError::Away(_) | StoreError::Busy(_))
    }

    pub(crate) fn other(
        attempted: impl Into<String>,
        source: impl Into<Box<dyn std::error::Error + Send + Sync>>,
    ) -> Self {
        StoreError::Other { attempted: attempted.into(), source: source.into() }
    }

    pub(crate) fn not_found(noun: &'static str, id: impl ToString) -> Self {
        StoreError::NotFound { noun, id: id.to_string() }
    }
}

fn listed(missing: &[(&'static str, String)]) -> String {
    missing.iter().map(|(noun, id)| format!("{noun} '{id}'")).collect::<Vec<_>>().join(", ")
}
