//! Tokens that open feeds only, for programs that can send no header. Of each, its public half and a hash of its secret half
//! are kept.

use chrono::{DateTime, Utc};
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _,
};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::parts;
use crate::table::table;
use crate::tokens::TokenId;
use crate::tx::Tx;
use crate::words::moment;

table!(feed_token, "feed_token", {
    #[sea_orm(primary_key)]
    id: i64,
    name: String,
    lookup: String,
    hash: Vec<u8>,
    made_at: DateTimeUtc,
    expires_at: Option<DateTimeUtc>,
    revoked_at: Option<DateTimeUtc>,
});

table!(feed_of_token, "feed_of_token", {
    #[sea_orm(primary_key, auto_increment = false)]
    token: i64,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    feed: String,
});

const NOUN: &str = "feed token";

/// A feed token, without what is secret.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FeedToken {
    /// What it is known by.
    pub id: TokenId,
    /// What pulls with it.
    pub name: String,
    /// The paths it opens, without their format, as `/plan/pours`.
    pub feeds: Vec<String>,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// From when on it opens nothing.
    pub expires_at: Option<DateTime<Utc>>,
    /// When it was revoked.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// A feed token to be kept.
#[derive(Clone, Debug)]
pub struct NewFeedToken<'a> {
    /// What pulls with it.
    pub name: &'a str,
    /// Its public half, unique.
    pub lookup: &'a str,
    /// SHA-256 of its secret half.
    pub hash: &'a [u8],
    /// The paths it opens.
    pub feeds: &'a [String],
    /// From when on it opens nothing.
    pub expires_at: Option<DateTime<Utc>>,
}

/// Keeps a new one. [`StoreError::Exists`] where one of that name has not been revoked.
pub async fn insert(tx: &Tx, new: &NewFeedToken<'_>, at: DateTime<Utc>) -> Result<TokenId> {
    tx.writes()?;
    if list(tx).await?.iter().any(|t| t.name == new.name && t.revoked_at.is_none()) {
        return Err(StoreError::Exists { noun: NOUN, id: new.name.to_owned() });
    }
    let row = feed_token::ActiveModel {
        id: ActiveValue::NotSet,
        name: ActiveValue::Set(new.name.to_owned()),
        lookup: ActiveValue::Set(new.lookup.to_owned()),
        hash: ActiveValue::Set(new.hash.to_vec()),
        made_at: ActiveValue::Set(moment(at)),
        expires_at: ActiveValue::Set(new.expires_at.map(moment)),
        revoked_at: ActiveValue::Set(None),
    };
    let written = feed_token::Entity::insert(row).exec(tx.writes()?).await;
    let token = written.attempted(|| "write a feed token".to_owned())?.last_insert_id;
    let feeds = new.feeds.iter().enumerate();
    let feeds = feeds
        .map(|(at, feed)| feed_of_token::Model { token, position: parts::place(at), feed: feed.clone() })
        .collect();
    parts::put(tx, feeds).await?;
    Ok(TokenId::new(token))
}

/// All of them, revoked ones too, by number.
pub async fn list(tx: &Tx) -> Result<Vec<FeedToken>> {
    let rows = feed_token::Entity::find()
        .order_by_asc(feed_token::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| "read the feed tokens".to_owned())?;
    whole(tx, rows).await.map(|all| all.into_iter().map(|(token, _)| token).collect())
}

/// The one with this public half and the hash of its secret half, unless it has been revoked or has expired.
pub async fn find(tx: &Tx, lookup: &str, now: DateTime<Utc>) -> Result<Option<(FeedToken, Vec<u8>)>> {
    let rows = feed_token::Entity::find()
        .filter(feed_token::Column::Lookup.eq(lookup))
        .filter(feed_token::Column::RevokedAt.is_null())
        .all(tx.reads())
        .await
        .attempted(|| "look for a feed token".to_owned())?;
    let found = whole(tx, rows).await?.pop();
    Ok(found.filter(|(token, _)| token.expires_at.is_none_or(|end| now < end)))
}

/// Makes it open nothing any more. Revoking it again changes nothing.
pub async fn revoke(tx: &Tx, id: TokenId, at: DateTime<Utc>) -> Result<()> {
    let mut row = feed_token::Entity::find_by_id(id.get())
        .one(tx.reads())
        .await
        .attempted(|| format!("read feed token {id}"))?
        .ok_or_else(|| StoreError::not_found(NOUN, id))?;
    row.revoked_at = row.revoked_at.or(Some(moment(at)));
    let active = row.into_active_model().reset_all();
    active.update(tx.writes()?).await.attempted(|| format!("revoke feed token {id}"))?;
    Ok(())
}

async fn whole(tx: &Tx, rows: Vec<feed_token::Model>) -> Result<Vec<(FeedToken, Vec<u8>)>> {
    let ids: Vec<i64> = rows.iter().map(|row| row.id).collect();
    let (token, position) = (feed_of_token::Column::Token, feed_of_token::Column::Position);
    let mut feeds = parts::of_parents::<feed_of_token::Entity, i64>(tx, token, position, &ids, |row| row.token).await?;
    let value = |row: feed_token::Model| {
        let of_it = feeds.remove(&row.id).unwrap_or_default();
        let token = FeedToken {
            id: TokenId::new(row.id),
            name: row.name,
            feeds: of_it.into_iter().map(|one| one.feed).collect(),
            made_at: row.made_at,
            expires_at: row.expires_at,
            revoked_at: row.revoked_at,
        };
        (token, row.hash)
    };
    Ok(rows.into_iter().map(value).collect())
}
