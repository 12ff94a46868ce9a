//! The form of every failure (RFC 9457).

use serde::Serialize;
use utoipa::ToSchema;

/// Why a request was not done: an RFC 9457 problem.
#[derive(Serialize, ToSchema)]
#[schema(example = json!({
    "type": "/problems/faulty", "title": "The content has faults", "status": 422, "detail": "There is 1 fault; nothing was changed.",
    "errors": [{ "pointer": "/lines/0/quantity", "detail": "2.5 is not a whole number: give 1 to 10000" }],
}))]
pub struct Problem {
    /// Path of the page that explains this kind of problem.
    pub r#type: String,
    /// The kind of problem in a few words.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What is wrong this time, and what to do.
    pub detail: String,
    /// Every fault of the request; empty where the detail says all.
    pub errors: Vec<ProblemError>,
    /// The thing as it is now, where a change came too late.
    pub current: Option<serde_json::Value>,
}

/// One fault of a request.
#[derive(Serialize, ToSchema)]
pub struct ProblemError {
    /// RFC 6901 pointer into the body; beginning with /query, /path or /header where the fault is there.
    pub pointer: String,
    /// What is wrong and what to do.
    pub detail: String,
}
