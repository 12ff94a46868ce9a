//! Answers kept for a while, so that a request sent twice is done once.

use chrono::{DateTime, Utc};
use sea_orm::{ColumnTrait as _, EntityTrait as _, QueryFilter as _};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::parts;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{moment, strange};

table!(kept_answer, "kept_answer", {
    #[sea_orm(primary_key, auto_increment = false)]
    request_key: String,
    #[sea_orm(primary_key, auto_increment = false)]
    route: String,
    body_hash: Vec<u8>,
    status: i64,
    headers: String,
    body: Vec<u8>,
    kept_at: DateTimeUtc,
});

/// An answer as it was given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Hash of what was asked, so that a key used for something else is noticed.
    pub body_hash: Vec<u8>,
    /// HTTP status, 100 to 599.
    pub status: u16,
    /// Its headers, as JSON text that only its writer reads.
    pub headers: String,
    /// Its body.
    pub body: Vec<u8>,
}

/// What was answered to this key on this route, if it is kept still.
pub async fn find(tx: &Tx, key: &str, route: &str) -> Result<Option<Kept>> {
    let row = kept_answer::Entity::find_by_id((key.to_owned(), route.to_owned()))
        .one(tx.reads())
        .await
        .attempted(|| "look for an answer given before".to_owned())?;
    let Some(row) = row else { return Ok(None) };
    let status = u16::try_from(row.status).map_err(|_| strange("status", &row.status.to_string()))?;
    Ok(Some(Kept { body_hash: row.body_hash, status, headers: row.headers, body: row.body }))
}

/// Keeps an answer, in the transaction that did what it tells of. [`StoreError::Exists`] where one is kept.
pub async fn keep(tx: &Tx, now: DateTime<Utc>, key: &str, route: &str, kept: &Kept) -> Result<()> {
    tx.writes()?;
    if find(tx, key, route).await?.is_some() {
        return Err(StoreError::Exists { noun: "answer", id: key.to_owned() });
    }
    let row = kept_answer::Model {
        request_key: key.to_owned(),
        route: route.to_owned(),
        body_hash: kept.body_hash.clone(),
        status: i64::from(kept.status),
        headers: kept.headers.clone(),
        body: kept.body.clone(),
        kept_at: moment(now),
    };
    parts::put(tx, vec![row]).await
}

/// Takes away the answers kept before a moment: how many.
pub async fn sweep(tx: &Tx, before: DateTime<Utc>) -> Result<u64> {
    let swept = kept_answer::Entity::delete_many()
        .filter(kept_answer::Column::KeptAt.lt(moment(before)))
        .exec(tx.writes()?)
        .await
        .attempted(|| "take away old answers".to_owned())?;
    Ok(swept.rows_affected)
}
