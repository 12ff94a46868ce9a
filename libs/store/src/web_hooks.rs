//! Addresses that notices are sent to. The secret is kept as it is: each message is signed with it.

use chrono::{DateTime, Utc};
use sea_orm::{ActiveModelTrait as _, ActiveValue, EntityTrait as _, IntoActiveModel as _, QueryOrder as _};
use workshop::notices::Kind;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{moment, strange};

table!(web_hook, "web_hook", {
    #[sea_orm(primary_key)]
    id: i64,
    name: String,
    url: String,
    kinds: String,
    secret: String,
    made_at: DateTimeUtc,
    ended_at: Option<DateTimeUtc>,
});

const NOUN: &str = "web hook";

/// An address that notices are sent to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WebHook {
    /// Its number.
    pub id: i64,
    /// What listens there.
    pub name: String,
    /// Where.
    pub url: String,
    /// Of what it is told.
    pub kinds: Vec<Kind>,
    /// What its messages are signed with; never shown again.
    pub secret: String,
    /// When it was made.
    pub made_at: DateTime<Utc>,
    /// When it was ended.
    pub ended_at: Option<DateTime<Utc>>,
}

/// A web hook to be kept.
#[derive(Clone, Debug)]
pub struct NewWebHook<'a> {
    /// What listens there.
    pub name: &'a str,
    /// Where.
    pub url: &'a str,
    /// Of what it is told.
    pub kinds: &'a [Kind],
    /// What its messages are signed with.
    pub secret: &'a str,
}

/// Keeps a new one. [`StoreError::Exists`] where one of that name has not been ended.
pub async fn insert(tx: &Tx, new: &NewWebHook<'_>, at: DateTime<Utc>) -> Result<WebHook> {
    tx.writes()?;
    if list(tx).await?.iter().any(|hook| hook.name == new.name && hook.ended_at.is_none()) {
        return Err(StoreError::Exists { noun: NOUN, id: new.name.to_owned() });
    }
    let kinds: Vec<&str> = new.kinds.iter().map(|kind| kind.word()).collect();
    let row = web_hook::Model {
        id: 0,
        name: new.name.to_owned(),
        url: new.url.to_owned(),
        kinds: kinds.join(" "),
        secret: new.secret.to_owned(),
        made_at: moment(at),
        ended_at: None,
    };
    let mut unnumbered = row.clone().into_active_model().reset_all();
    unnumbered.id = ActiveValue::NotSet;
    let written = web_hook::Entity::insert(unnumbered).exec(tx.writes()?).await;
    let written = written.attempted(|| "write a web hook".to_owned())?;
    value(web_hook::Model { id: written.last_insert_id, ..row })
}

/// All there ever were, by number.
pub async fn list(tx: &Tx) -> Result<Vec<WebHook>> {
    let rows = web_hook::Entity::find().order_by_asc(web_hook::Column::Id).all(tx.reads()).await;
    rows.attempted(|| "read web hooks".to_owned())?.into_iter().map(value).collect()
}

/// The one with this number, if there is one.
pub async fn find(tx: &Tx, id: i64) -> Result<Option<WebHook>> {
    let row = web_hook::Entity::find_by_id(id).one(tx.reads()).await.attempted(|| format!("read web hook {id}"))?;
    row.map(value).transpose()
}

/// Ends it: nothing more is sent there. [`StoreError::NotFound`] where there is none, or it was ended before.
pub async fn end(tx: &Tx, id: i64, at: DateTime<Utc>) -> Result<()> {
    let attempted = || format!("end web hook {id}");
    let row = web_hook::Entity::find_by_id(id).one(tx.reads()).await.attempted(attempted)?;
    let row = row.filter(|row| row.ended_at.is_none()).ok_or_else(|| StoreError::not_found(NOUN, id))?;
    let ended = web_hook::Model { ended_at: Some(moment(at)), ..row };
    ended.into_active_model().reset_all().update(tx.writes()?).await.attempted(attempted)?;
    Ok(())
}

fn value(row: web_hook::Model) -> Result<WebHook> {
    let kind = |word: &str| Kind::of(word).ok_or_else(|| strange("kind of notice", word));
    Ok(WebHook {
        kinds: row.kinds.split_whitespace().map(kind).collect::<Result<_>>()?,
        id: row.id,
        name: row.name,
        url: row.url,
        secret: row.secret,
        made_at: row.made_at,
        ended_at: row.ended_at,
    })
}
