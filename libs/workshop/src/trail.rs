//! The trail of changes: who changed what, when, and from what to what.

use chrono::{DateTime, Utc};

/// One field of a thing, before a change and after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldChange {
    /// Its name, as the thing's form has it.
    pub field: String,
    /// What it was, as JSON; nothing where it was not there.
    pub before: Option<String>,
    /// What it became, as JSON; nothing where it is gone.
    pub after: Option<String>,
}

/// A change to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewChange {
    /// What kind of thing was changed: where things of its kind are listed, as `orders`.
    pub kind: String,
    /// Which of them; empty where there is but one.
    pub id: String,
    /// What was done to it: made, changed, removed, or the name of another act.
    pub act: String,
    /// What it changed, by name.
    pub fields: Vec<FieldChange>,
}

/// A change as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Its number; later changes have greater ones.
    pub number: i64,
    /// When it was made.
    pub at: DateTime<Utc>,
    /// Under whose name; nothing where no token was needed.
    pub by: Option<String>,
    /// What was done.
    pub done: NewChange,
}
