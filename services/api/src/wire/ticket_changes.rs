//! The form of what was changed of a ticket.

use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use workshop::ticket_changes as domain;

/// One thing of a ticket as it was and as it became.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 41, "at": "2026-05-04T13:10:00Z", "by": "bench tablet", "what": "state", "before": "mixed", "after": "void",
    "note": "wrong cement",
}))]
pub struct TicketChange {
    /// Its number; later changes have greater ones.
    #[schema(minimum = 1)]
    pub id: i64,
    /// When it was changed.
    pub at: Option<DateTime<Utc>>,
    /// The name of the token it came with; null where there was none.
    pub by: Option<String>,
    /// Which thing, by its name in the ticket or its completion; `lines/2/actual` is what went in of line 2, in the line's unit.
    pub what: String,
    /// As it was; null where nothing was said of it. What went in of a line is at first its target.
    pub before: Option<String>,
    /// As it became; null where nothing is said of it any more.
    pub after: Option<String>,
    /// What was noted with the change.
    pub note: Option<String>,
}

impl From<domain::TicketChange> for TicketChange {
    fn from(one: domain::TicketChange) -> Self {
        let domain::Changed { what, before, after } = one.changed;
        Self { id: one.id, at: one.said.at, by: one.said.by, what, before, after, note: one.note }
    }
}
