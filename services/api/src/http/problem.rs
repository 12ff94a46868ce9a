//! Every failure the service answers with, in the form of RFC 9457.

use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderName, HeaderValue};
use actix_web::{HttpResponse, HttpResponseBuilder, ResponseError};
use serde_json::{Map, Value, json};
use workshop::Fault;

/// What kind of failure it is. Each has a page at `/problems/{name}`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The body is not JSON, or not CSV.
    Malformed,
    /// The address, a query value or a header is wrong.
    BadRequest,
    /// No token, or none that is known.
    TokenNeeded,
    /// The token's role may not do this.
    NotAllowed,
    /// Asked under another name, or by a page of another site.
    Foreign,
    /// No such path.
    NoSuchPath,
    /// The path is right; what it names is not there.
    NotFound,
    /// The path knows other methods only.
    MethodNotAllowed,
    /// None of the accepted formats is there.
    NotAcceptable,
    /// It is there already.
    AlreadyThere,
    /// Something else refers to it.
    InUse,
    /// It never changes once written.
    Immutable,
    /// Its state does not allow it.
    NotNow,
    /// It was changed since it was read.
    ChangedMeanwhile,
    /// More than is taken in one request.
    TooLarge,
    /// Sent in a format that is not read here.
    UnsupportedFormat,
    /// Well-formed, but its content has faults.
    Faulty,
    /// An Idempotency-Key came again with another body.
    KeyReused,
    /// A change without If-Match.
    ConditionNeeded,
    /// More requests than a caller's share.
    TooMany,
    /// Our fault.
    Internal,
    /// The database cannot be reached.
    DatabaseAway,
    /// The database is busy.
    DatabaseBusy,
    /// The database may only be read.
    DatabaseReadOnly,
    /// The database has no room left.
    DatabaseFull,
    /// The database is not as this version needs it.
    DatabaseNotReady,
}

impl Kind {
    /// All kinds, in the order of their status.
    pub const ALL: [Kind; 26] = [
        Kind::Malformed,
        Kind::BadRequest,
        Kind::TokenNeeded,
        Kind::NotAllowed,
        Kind::Foreign,
        Kind::NoSuchPath,
        Kind::NotFound,
        Kind::MethodNotAllowed,
        Kind::NotAcceptable,
        Kind::AlreadyThere,
        Kind::InUse,
        Kind::Immutable,
        Kind::NotNow,
        Kind::ChangedMeanwhile,
        Kind::TooLarge,
        Kind::UnsupportedFormat,
        Kind::Faulty,
        Kind::KeyReused,
        Kind::ConditionNeeded,
        Kind::TooMany,
        Kind::Internal,
        Kind::DatabaseAway,
        Kind::DatabaseBusy,
        Kind::DatabaseReadOnly,
        Kind::DatabaseFull,
        Kind::DatabaseNotReady,
    ];

    /// Its name in the type's path, its status, and its title.
    pub const fn row(self) -> (&'static str, u16, &'static str) {
        match self {
            Kind::Malformed => ("malformed", 400, "The body cannot be read"),
            Kind::BadRequest => ("bad-request", 400, "The address, a query value or a header is wrong"),
            Kind::TokenNeeded => ("token-needed", 401, "A token is needed"),
            Kind::NotAllowed => ("not-allowed", 403, "This token may not do this"),
            Kind::Foreign => ("foreign", 403, "Asked under a foreign name or from a foreign page"),
            Kind::NoSuchPath => ("no-such-path", 404, "There is no such path"),
            Kind::NotFound => ("not-found", 404, "It is not there"),
            Kind::MethodNotAllowed => ("method-not-allowed", 405, "This path knows other methods"),
            Kind::NotAcceptable => ("not-acceptable", 406, "None of the accepted formats is there"),
            Kind::AlreadyThere => ("already-there", 409, "It is there already"),
            Kind::InUse => ("in-use", 409, "It is in use"),
            Kind::Immutable => ("immutable", 409, "It never changes once written"),
            Kind::NotNow => ("not-now", 409, "Its state does not allow this"),
            Kind::ChangedMeanwhile => ("changed-meanwhile", 412, "It was changed since it was read"),
            Kind::TooLarge => ("too-large", 413, "The body is too large"),
            Kind::UnsupportedFormat => ("unsupported-format", 415, "The body's format is not read here"),
            Kind::Faulty => ("faulty", 422, "The content has faults"),
            Kind::KeyReused => ("key-reused", 422, "The Idempotency-Key was used for something else"),
            Kind::ConditionNeeded => ("condition-needed", 428, "If-Match is needed"),
            Kind::TooMany => ("too-many-requests", 429, "Too many requests"),
            Kind::Internal => ("internal", 500, "Something went wrong here"),
            Kind::DatabaseAway => ("database-away", 503, "The database cannot be reached"),
            Kind::DatabaseBusy => ("database-busy", 503, "The database is busy"),
            Kind::DatabaseReadOnly => ("database-read-only", 503, "The database may only be read"),
            Kind::DatabaseFull => ("database-full", 507, "The database has no room left"),
            Kind::DatabaseNotReady => ("database-not-ready", 503, "The database is not ready"),
        }
    }

    /// What to do about it, for its page.
    pub const fn advice(self) -> &'static str {
        match self {
            Kind::Malformed => {
                "Send a whole, well-formed body; the detail says at which line and column reading stopped."
            }
            Kind::BadRequest => {
                "Each entry of errors names the part of the path, the query key or the header, and what to give."
            }
            Kind::TokenNeeded => "Send the header Authorization: Bearer TOKEN with a token made by the office.",
            Kind::NotAllowed => "Ask the office for a token of the role that the detail names.",
            Kind::Foreign => "Ask the service by its own address; pages of other sites may not ask it at all.",
            Kind::NoSuchPath => "Compare the path with the documentation at /docs/.",
            Kind::NotFound => "It may have been removed, or never have been made: look in its list.",
            Kind::MethodNotAllowed => "The Allow header lists the methods this path knows.",
            Kind::NotAcceptable => "Leave Accept out, or name one of the formats in the detail.",
            Kind::AlreadyThere => "Change the one that is there by PUT, or give another id.",
            Kind::InUse => "Remove or change what refers to it first; the detail names it.",
            Kind::Immutable => "Make a new one instead; history stays as it was written.",
            Kind::NotNow => "Look at its present state; the detail says what it would have to be.",
            Kind::ChangedMeanwhile => {
                "The current state and its ETag are in the answer: put your change onto it and send it again."
            }
            Kind::TooLarge => "Send less at once; the detail names the limit.",
            Kind::UnsupportedFormat => "Set Content-Type to the format that the detail names.",
            Kind::Faulty => {
                "Each entry of errors points into the body and says what to give instead; all are listed at once."
            }
            Kind::KeyReused => "Use a new key for each new thing; the same key only repeats the same request.",
            Kind::ConditionNeeded => "Read it first, then send its ETag in If-Match, so that no one's change is lost.",
            Kind::TooMany => {
                "Wait for the seconds in Retry-After; a list in pages and a feed with its ETag need fewer requests."
            }
            Kind::Internal => "It has been logged under the id in the header X-Request-Id; trying again may help.",
            Kind::DatabaseAway => "Nothing was changed. Try again after the seconds in Retry-After.",
            Kind::DatabaseBusy => "Nothing was changed. Try again after the seconds in Retry-After.",
            Kind::DatabaseReadOnly => {
                "Nothing was changed. Whoever runs the service must give it the right to write to its database."
            }
            Kind::DatabaseFull => "Nothing was changed. Whoever runs the service must make room for its database.",
            Kind::DatabaseNotReady => {
                "Nothing was changed. Whoever runs the service must bring the database up to date (mouldboard migrate)."
            }
        }
    }

    /// Seconds after which it is worth trying again, where it is.
    const fn retry_after_seconds(self) -> Option<u32> {
        match self {
            Kind::DatabaseBusy => Some(1),
            Kind::DatabaseAway => Some(5),
            Kind::DatabaseReadOnly | Kind::DatabaseFull | Kind::DatabaseNotReady => Some(60),
            _ => None,
        }
    }
}

/// A failure, with one message for the caller and, where it is ours, one for the log.
#[derive(Debug)]
pub struct Problem(Box<Parts>);

#[derive(Debug)]
struct Parts {
    kind: Kind,
    detail: String,
    errors: Vec<Fault>,
    extra: Map<String, Value>,
    headers: Vec<(HeaderName, String)>,
    cause: Option<String>,
    missing: Vec<(String, String)>,
}

impl Problem {
    /// Of a kind, with a sentence for the caller.
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        let headers = match (kind, kind.retry_after_seconds()) {
            (Kind::TokenNeeded, _) => vec![(header::WWW_AUTHENTICATE, "Bearer".to_owned())],
            (_, Some(seconds)) => vec![(header::RETRY_AFTER, seconds.to_string())],
            _ => Vec::new(),
        };
        Self(Box::new(Parts {
            kind,
            detail: detail.into(),
            errors: Vec::new(),
            extra: Map::new(),
            headers,
            cause: None,
            missing: Vec::new(),
        }))
    }

    /// The content of a request has these faults.
    pub fn faulty(errors: Vec<Fault>) -> Self {
        let detail = match errors.len() {
            1 => "There is 1 fault; nothing was changed.".to_owned(),
            n => format!("There are {n} faults; nothing was changed."),
        };
        Self::new(Kind::Faulty, detail).with_errors(errors)
    }

    /// The address, query or headers of a request have these faults.
    pub fn bad_request(errors: Vec<Fault>) -> Self {
        let detail = errors.iter().map(|fault| fault.detail.as_str()).collect::<Vec<_>>().join("; ");
        Self::new(Kind::BadRequest, detail).with_errors(errors)
    }

    /// A noun is not there.
    pub fn not_found(noun: &str, id: impl std::fmt::Display) -> Self {
        Self::new(Kind::NotFound, format!("There is no {noun} '{id}'."))
    }

    /// What a request refers to is not there: nouns and ids. Whoever has the request's body points to them.
    pub fn missing(missing: Vec<(String, String)>) -> Self {
        let faults = missing.iter().map(|(noun, id)| Fault::at("", format!("there is no {noun} '{id}'"))).collect();
        let mut problem = Self::faulty(faults);
        problem.0.missing = missing;
        problem
    }

    /// What is missing, taken out.
    pub fn take_missing(&mut self) -> Vec<(String, String)> {
        std::mem::take(&mut self.0.missing)
    }

    /// Something went wrong that the caller could not help; the cause is for the log only.
    pub fn internal(cause: impl std::fmt::Display) -> Self {
        let mut problem = Self::new(Kind::Internal, "The service could not do this; it has been logged.");
        problem.0.cause = Some(cause.to_string());
        problem
    }

    /// With these faults listed.
    #[must_use]
    pub fn with_errors(mut self, errors: Vec<Fault>) -> Self {
        self.0.errors = errors;
        self
    }

    /// With a member of its own.
    #[must_use]
    pub fn with(mut self, member: &str, value: Value) -> Self {
        self.0.extra.insert(member.to_owned(), value);
        self
    }

    /// With a header of its own.
    #[must_use]
    pub fn with_header(mut self, name: HeaderName, value: impl Into<String>) -> Self {
        self.0.headers.push((name, value.into()));
        self
    }

    /// With what the log should say.
    #[must_use]
    pub fn with_cause(mut self, cause: impl std::fmt::Display) -> Self {
        self.0.cause = Some(cause.to_string());
        self
    }

    /// Its kind.
    pub fn kind(&self) -> Kind {
        self.0.kind
    }

    /// The sentence for the caller.
    pub fn detail(&self) -> &str {
        &self.0.detail
    }

    /// The faults it lists.
    pub fn errors(&self) -> &[Fault] {
        &self.0.errors
    }

    /// The faults it lists, to be made more exact.
    pub fn errors_mut(&mut self) -> &mut Vec<Fault> {
        &mut self.0.errors
    }

    /// What the log should say, where the caller is told less.
    pub fn cause(&self) -> Option<&str> {
        self.0.cause.as_deref()
    }

    fn document(&self) -> Value {
        let (name, status, title) = self.0.kind.row();
        let mut members = self.0.extra.clone();
        members.insert("type".into(), json!(format!("/problems/{name}")));
        members.insert("title".into(), json!(title));
        members.insert("status".into(), json!(status));
        members.insert("detail".into(), json!(self.0.detail));
        let errors: Vec<Value> =
            self.0.errors.iter().map(|fault| json!({ "pointer": fault.pointer, "detail": fault.detail })).collect();
        members.insert("errors".into(), Value::Array(errors));
        Value::Object(members)
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.0.kind.row().0)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.0.kind.row().1).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        let mut response = HttpResponseBuilder::new(self.status_code());
        for (name, value) in &self.0.headers {
            if let Ok(value) = HeaderValue::from_str(value) {
                response.insert_header((name.clone(), value));
            }
        }
        response.content_type("application/problem+json").body(self.document().to_string())
    }
}

/// Turns the framework's own failures, whatever they are, into a problem.
pub fn of_framework(status: StatusCode, said: &str) -> Problem {
    let kind = match status.as_u16() {
        404 => Kind::NoSuchPath,
        405 => Kind::MethodNotAllowed,
        406 => Kind::NotAcceptable,
        413 => Kind::TooLarge,
        415 => Kind::UnsupportedFormat,
        400..=499 => Kind::BadRequest,
        _ => return Problem::internal(said),
    };
    Problem::new(kind, format!("The request cannot be answered: {said}."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_statuses_rise() {
        let names: std::collections::BTreeSet<_> = Kind::ALL.iter().map(|kind| kind.row().0).collect();
        assert_eq!(names.len(), Kind::ALL.len());
    }

    #[test]
    fn the_cause_stays_here() {
        let problem = Problem::internal("table orders is on fire");
        assert!(!problem.document().to_string().contains("fire"));
        assert_eq!(problem.cause(), Some("table orders is on fire"));
    }
}
