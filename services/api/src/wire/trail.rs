//! Forms of the trail of changes.

use chrono::{DateTime, Utc};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;
use workshop::trail as domain;

/// Something that was changed, by whom and how.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "number": 812, "at": "2026-05-04T08:12:30Z", "by": "office laptop", "kind": "orders", "id": "TH-1042", "act": "changed",
    "fields": [{ "field": "due_on", "before": "2026-06-12", "after": "2026-06-19" }],
}))]
pub struct RecordedChange {
    /// Its number; later changes have greater ones.
    pub number: i64,
    /// When it was made.
    pub at: DateTime<Utc>,
    /// The name of the token it was asked with; `mouldboard token` for that command; nothing where no token was needed.
    pub by: Option<String>,
    /// What kind of thing was changed: the first part of its path.
    pub kind: String,
    /// Which of them: the rest of its path; empty where there is but one, or where it was done to the whole list.
    pub id: String,
    /// What was done: made, changed, removed, or the last part of the path of another act, as dispatch or import.
    pub act: String,
    /// The fields that differ since; of another act what was asked.
    pub fields: Vec<ChangedField>,
}

/// A field before a change and after it.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "field": "due_on", "before": "2026-06-12", "after": "2026-06-19" }))]
pub struct ChangedField {
    /// Its name in the thing's form; empty for the whole of it, where it was made or removed.
    pub field: String,
    /// What it was, as the form had it; left out where it was not there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<Value>,
    /// What it became; left out where it is gone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<Value>,
}

impl From<domain::Change> for RecordedChange {
    fn from(change: domain::Change) -> Self {
        let domain::Change { number, at, by, done } = change;
        let domain::NewChange { kind, id, act, fields } = done;
        Self { number, at, by, kind, id, act, fields: fields.into_iter().map(Into::into).collect() }
    }
}

impl From<domain::FieldChange> for ChangedField {
    fn from(change: domain::FieldChange) -> Self {
        // What is kept is JSON, written here; a text that is none is shown as it is.
        let value = |text: String| serde_json::from_str(&text).unwrap_or(Value::String(text));
        Self { field: change.field, before: change.before.map(value), after: change.after.map(value) }
    }
}
