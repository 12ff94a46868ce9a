//! From what either database says to what the store says.

use sea_orm::{DbErr, RuntimeErr, SqlxError, SqlxPostgresError, SqlxSqliteError};

use crate::error::{Rule, StoreError};

/// A failed step of a result, named by what was being attempted.
pub(crate) trait Attempted<T> {
    /// Turns the database's error into the store's.
    fn attempted(self, what: impl FnOnce() -> String) -> Result<T, StoreError>;
}

impl<T> Attempted<T> for Result<T, DbErr> {
    fn attempted(self, what: impl FnOnce() -> String) -> Result<T, StoreError> {
        self.map_err(|error| classify(what(), error))
    }
}

/// The store's error for a database's.
pub(crate) fn classify(attempted: String, error: DbErr) -> StoreError {
    let sqlx = match &error {
        DbErr::Conn(RuntimeErr::SqlxError(e))
        | DbErr::Exec(RuntimeErr::SqlxError(e))
        | DbErr::Query(RuntimeErr::SqlxError(e)) => e,
        DbErr::ConnectionAcquire(why) => {
            return StoreError::Away(format!(
                "while trying to {attempted}: no connection to the database could be had in time ({why}); try again in a moment"
            ));
        }
        _ => return StoreError::other(attempted, error),
    };
    match known(&attempted, sqlx) {
        Some(known) => known,
        None => StoreError::other(attempted, error),
    }
}

fn known(attempted: &str, error: &SqlxError) -> Option<StoreError> {
    match error {
        SqlxError::Database(said) => {
            if said.try_downcast_ref::<SqlxSqliteError>().is_some() {
                let code = said.code().and_then(|c| c.parse().ok()).unwrap_or(0);
                return sqlite_said(attempted, code, said.message());
            }
            let postgres = said.try_downcast_ref::<SqlxPostgresError>()?;
            postgres_said(attempted, postgres.code(), postgres.message())
        }
        SqlxError::Io(why) => Some(away(attempted, &why.to_string())),
        SqlxError::PoolTimedOut => Some(away(attempted, "no connection was free in time")),
        SqlxError::PoolClosed | SqlxError::WorkerCrashed => Some(away(attempted, "the connection is closed")),
        SqlxError::Tls(why) => Some(away(attempted, &why.to_string())),
        // What a connection that was cut in the middle of an answer looks like.
        SqlxError::Protocol(why) => Some(away(attempted, why)),
        _ => None,
    }
}

fn away(attempted: &str, why: &str) -> StoreError {
    StoreError::Away(format!(
        "while trying to {attempted}: the database does not answer ({why}); see that it runs and can be reached, then try again"
    ))
}

fn busy(attempted: &str, why: &str) -> StoreError {
    StoreError::Busy(format!(
        "while trying to {attempted}: others kept the database busy for too long ({why}); try again in a moment"
    ))
}

fn full(attempted: &str, why: &str) -> StoreError {
    StoreError::Full(format!(
        "while trying to {attempted}: there is no room left for the database ({why}); free some space, nothing was changed"
    ))
}

fn read_only(attempted: &str, why: &str) -> StoreError {
    StoreError::ReadOnly(format!(
        "while trying to {attempted}: the database may only be read ({why}); let this program write the file and its folder"
    ))
}

fn not_migrated(attempted: &str, why: &str) -> StoreError {
    StoreError::NotMigrated(format!(
        "while trying to {attempted}: the tables are not those this program needs ({why}); bring them up to date with 'mouldboard migrate'"
    ))
}

fn damaged(attempted: &str, why: &str) -> StoreError {
    StoreError::Damaged(format!(
        "while trying to {attempted}: the database file is damaged or is none ({why}); restore the last backup into a new one"
    ))
}

fn refused(rule: Rule, attempted: &str, why: &str) -> StoreError {
    StoreError::Refused { rule, attempted: attempted.to_owned(), detail: why.to_owned() }
}

/// By SQLite's result codes: the low byte is the kind, the whole is the extended code.
fn sqlite_said(attempted: &str, code: i32, why: &str) -> Option<StoreError> {
    Some(match (code & 0xff, code) {
        (8, _) => read_only(attempted, why),
        (13, _) => full(attempted, why),
        (5 | 6, _) => busy(attempted, why),
        (11 | 26, _) => damaged(attempted, why),
        (14, _) => StoreError::Unusable(format!(
            "while trying to {attempted}: the database file cannot be opened ({why}); see that its folder is there and may be written"
        )),
        (1, _) if why.contains("no such table") || why.contains("no such column") => not_migrated(attempted, why),
        (19, 1555 | 2067 | 2579) => refused(Rule::Unique, attempted, why),
        (19, 787) => refused(Rule::Reference, attempted, why),
        (19, 1811) => refused(Rule::AppendOnly, attempted, why),
        (19, _) => refused(Rule::Range, attempted, why),
        _ => return None,
    })
}

/// By SQLSTATE (ISO/IEC 9075 classes; the server's own letters where the standard leaves room).
fn postgres_said(attempted: &str, code: &str, why: &str) -> Option<StoreError> {
    Some(match code {
        "53100" => full(attempted, why),
        "25006" => read_only(attempted, why),
        "53300" | "57P01" | "57P02" | "57P03" => away(attempted, why),
        "55P03" | "40001" | "40P01" | "57014" => busy(attempted, why),
        "42P01" | "42703" => not_migrated(attempted, why),
        "3D000" | "28P01" | "28000" | "42501" => StoreError::Unusable(format!(
            "while trying to {attempted}: the database refused this program ({why}); see the address, the user and its rights"
        )),
        "23505" => refused(Rule::Unique, attempted, why),
        "23503" => refused(Rule::Reference, attempted, why),
        "P0001" => refused(Rule::AppendOnly, attempted, why),
        _ if code.starts_with("23") || code.starts_with("22") => refused(Rule::Range, attempted, why),
        _ if code.starts_with("08") => away(attempted, why),
        _ => return None,
    })
}
