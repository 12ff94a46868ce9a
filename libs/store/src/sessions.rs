//! Sessions: browsers that showed a token and need not show it again for a while. Kept only as hashes.

use chrono::{DateTime, Utc};
use sea_orm::{ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, QueryFilter as _};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::table::table;
use crate::tokens::{self, Role, TokenId};
use crate::tx::Tx;
use crate::words::moment;

table!(page_session, "page_session", {
    #[sea_orm(primary_key, auto_increment = false)]
    hash: Vec<u8>,
    token: i64,
    began_at: DateTimeUtc,
    ends_at: DateTimeUtc,
});

/// Begins one that ends at `ends_at`, and clears away those that have ended.
pub async fn begin(tx: &Tx, hash: &[u8], token: TokenId, now: DateTime<Utc>, ends_at: DateTime<Utc>) -> Result<()> {
    page_session::Entity::delete_many()
        .filter(page_session::Column::EndsAt.lte(moment(now)))
        .exec(tx.writes()?)
        .await
        .attempted(|| "clear away sessions that have ended".to_owned())?;
    let row = page_session::ActiveModel {
        hash: ActiveValue::Set(hash.to_vec()),
        token: ActiveValue::Set(token.get()),
        began_at: ActiveValue::Set(moment(now)),
        ends_at: ActiveValue::Set(moment(ends_at)),
    };
    row.insert(tx.writes()?).await.attempted(|| "begin a session".to_owned())?;
    Ok(())
}

/// Whose token began the session with this hash, unless it or the token has ended, or the token has been revoked.
pub async fn find(tx: &Tx, hash: &[u8], now: DateTime<Utc>) -> Result<Option<(TokenId, String, Role)>> {
    let row = page_session::Entity::find_by_id(hash.to_vec())
        .filter(page_session::Column::EndsAt.gt(moment(now)))
        .one(tx.reads())
        .await
        .attempted(|| "look a session up".to_owned())?;
    match row {
        Some(row) => tokens::find(tx, TokenId::new(row.token), now).await,
        None => Ok(None),
    }
}

/// Ends one; there is nothing to end where it is not there.
pub async fn end(tx: &Tx, hash: &[u8]) -> Result<()> {
    page_session::Entity::delete_by_id(hash.to_vec())
        .exec(tx.writes()?)
        .await
        .attempted(|| "end a session".to_owned())?;
    Ok(())
}
