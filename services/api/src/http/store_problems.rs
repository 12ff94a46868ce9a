//! The one place where what the store says becomes what the caller is told.

use store::{Rule, StoreError};

use super::problem::{Kind, Problem};

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let said = sentence(&error.to_string());
        match error {
            StoreError::Missing(missing) => {
                Problem::missing(missing.into_iter().map(|(noun, id)| (noun.to_owned(), id)).collect())
            }
            StoreError::Exists { .. } => Problem::new(Kind::AlreadyThere, said),
            StoreError::NotFound { .. } => Problem::new(Kind::NotFound, said),
            StoreError::Stale { .. } => Problem::new(Kind::ChangedMeanwhile, said),
            StoreError::InUse { .. } => Problem::new(Kind::InUse, said),
            StoreError::Immutable { .. } => Problem::new(Kind::Immutable, said),
            StoreError::NotNow { .. }
            | StoreError::AlreadyIssued { .. }
            | StoreError::StaleFacts
            | StoreError::NotPlanned
            | StoreError::LostLease
            | StoreError::AlreadyCountered
            | StoreError::NotEmpty => Problem::new(Kind::NotNow, said),
            StoreError::ReadOnly(cause) => {
                Problem::new(Kind::DatabaseReadOnly, "The database may only be read, so nothing can be changed.")
                    .with_cause(cause)
            }
            StoreError::Full(cause) => {
                Problem::new(Kind::DatabaseFull, "The database has no room left, so nothing can be added.")
                    .with_cause(cause)
            }
            StoreError::Away(cause) => {
                Problem::new(Kind::DatabaseAway, "The database cannot be reached; nothing was changed.")
                    .with_cause(cause)
            }
            StoreError::Busy(cause) => {
                Problem::new(Kind::DatabaseBusy, "The database is busy; nothing was changed.").with_cause(cause)
            }
            StoreError::NotMigrated(cause) | StoreError::Unusable(cause) => {
                let detail = "The database is not as this version of the service needs it.";
                Problem::new(Kind::DatabaseNotReady, detail).with_cause(cause)
            }
            StoreError::Refused { rule: Rule::Unique, detail, .. } => {
                Problem::new(Kind::AlreadyThere, "There is one like it already.").with_cause(detail)
            }
            StoreError::Refused { rule: Rule::Reference, detail, .. } => {
                Problem::new(Kind::InUse, "Something that it refers to is not there, or something refers to it.")
                    .with_cause(detail)
            }
            StoreError::Refused { rule: Rule::AppendOnly, detail, .. } => {
                Problem::new(Kind::Immutable, "The ledger is only added to.").with_cause(detail)
            }
            StoreError::Refused { rule: Rule::Range, .. } | StoreError::Damaged(_) | StoreError::Other { .. } => {
                Problem::internal(said)
            }
            // The store may learn to say more than is known here; then it is ours to be told apart.
            other => Problem::internal(other),
        }
    }
}

/// Begins with a capital and ends with a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let rest = letters.as_str();
    let end = if text.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{first}{rest}{end}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::ResponseError;

    #[test]
    fn every_error_of_the_store_has_its_status() {
        let id = || "TH-1".to_owned();
        let text = || "said".to_owned();
        let refused = |rule| StoreError::Refused { rule, attempted: text(), detail: text() };
        let day = chrono::NaiveDate::default();
        let table = [
            (StoreError::Missing(vec![("set", id())]), Kind::Faulty, 422),
            (StoreError::Exists { noun: "order", id: id() }, Kind::AlreadyThere, 409),
            (StoreError::NotFound { noun: "order", id: id() }, Kind::NotFound, 404),
            (StoreError::Stale { noun: "order", id: id(), current: 3 }, Kind::ChangedMeanwhile, 412),
            (StoreError::InUse { noun: "set", id: id(), by: text() }, Kind::InUse, 409),
            (StoreError::Immutable { noun: "mix revision", id: id(), what: text() }, Kind::Immutable, 409),
            (StoreError::NotNow { noun: "delivery", id: id(), why: text() }, Kind::NotNow, 409),
            (StoreError::AlreadyIssued { day }, Kind::NotNow, 409),
            (StoreError::StaleFacts, Kind::NotNow, 409),
            (StoreError::NotPlanned, Kind::NotNow, 409),
            (StoreError::LostLease, Kind::NotNow, 409),
            (StoreError::AlreadyCountered, Kind::NotNow, 409),
            (StoreError::NotEmpty, Kind::NotNow, 409),
            (StoreError::ReadOnly(text()), Kind::DatabaseReadOnly, 503),
            (StoreError::Full(text()), Kind::DatabaseFull, 507),
            (StoreError::Away(text()), Kind::DatabaseAway, 503),
            (StoreError::Busy(text()), Kind::DatabaseBusy, 503),
            (StoreError::NotMigrated(text()), Kind::DatabaseNotReady, 503),
            (StoreError::Unusable(text()), Kind::DatabaseNotReady, 503),
            (refused(Rule::Unique), Kind::AlreadyThere, 409),
            (refused(Rule::Reference), Kind::InUse, 409),
            (refused(Rule::AppendOnly), Kind::Immutable, 409),
            (refused(Rule::Range), Kind::Internal, 500),
            (StoreError::Damaged(text()), Kind::Internal, 500),
            (StoreError::Other { attempted: text(), source: "x".into() }, Kind::Internal, 500),
        ];
        for (error, kind, status) in table {
            let said = error.to_string();
            let problem = Problem::from(error);
            assert_eq!((problem.kind(), problem.status_code().as_u16()), (kind, status), "{said}");
            let response = problem.error_response();
            assert_eq!(response.headers().contains_key("retry-after"), matches!(status, 503 | 507), "{said}");
        }
    }

    #[test]
    fn details_are_sentences() {
        assert_eq!(sentence("there is no order 'a'"), "There is no order 'a'.");
    }
}
