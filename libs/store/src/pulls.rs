//! What was given out of each feed, and the second it is known by.

use chrono::{DateTime, Duration, SubsecRound as _, Utc};
use sea_orm::{EntityTrait as _, PaginatorTrait as _, QueryOrder as _, QuerySelect as _};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::parts;
use crate::store::Store;
use crate::table::table;
use crate::tx::Tx;
use crate::words::moment;

table!(feed_pull, "feed_pull", {
    #[sea_orm(primary_key, auto_increment = false)]
    feed: String,
    hash: Vec<u8>,
    changed_at: DateTimeUtc,
});

/// Feeds remembered; beyond this the one that changed longest ago is forgotten.
const MOST_FEEDS: u64 = 500;

/// The whole second that the content with this hash is known by: `now`, the first time it is given out, and the same ever
/// after until the feed has another content. No second is given out twice for one feed, whatever the clock does, so whoever
/// names it has this content. It may lie a little ahead of `now`.
///
/// # Errors
/// Where the database cannot be read, or a new content not be noted.
pub async fn second_of(store: &Store, feed: &str, hash: &[u8], now: DateTime<Utc>) -> Result<DateTime<Utc>> {
    let tx = store.read().await?;
    let known = find(&tx, feed).await?;
    tx.rollback().await?;
    if let Some(known) = known.filter(|known| known.hash == hash) {
        return Ok(known.changed_at);
    }
    let tx = store.write().await?;
    let second = note(&tx, feed, hash, now).await?;
    tx.commit().await?;
    Ok(second)
}

async fn find(tx: &Tx, feed: &str) -> Result<Option<feed_pull::Model>> {
    feed_pull::Entity::find_by_id(feed.to_owned())
        .one(tx.reads())
        .await
        .attempted(|| "read what was given out of a feed".to_owned())
}

async fn note(tx: &Tx, feed: &str, hash: &[u8], now: DateTime<Utc>) -> Result<DateTime<Utc>> {
    let before = match find(tx, feed).await? {
        Some(known) => Some(known.changed_at),
        None => make_room(tx).await?,
    };
    let now = moment(now).trunc_subsecs(0);
    let second = before.map_or(now, |before| now.max(before + Duration::seconds(1)));
    let attempted = || "note what is given out of a feed".to_owned();
    feed_pull::Entity::delete_by_id(feed.to_owned()).exec(tx.writes()?).await.attempted(attempted)?;
    parts::put(tx, vec![feed_pull::Model { feed: feed.to_owned(), hash: hash.to_vec(), changed_at: second }]).await?;
    Ok(second)
}

/// Makes room for one more feed. Where one had to be forgotten, now or before, any feed may be one that comes back: then its
/// seconds have to begin after the one given here, the last of all.
async fn make_room(tx: &Tx) -> Result<Option<DateTime<Utc>>> {
    let attempted = || "forget what was given out of a feed".to_owned();
    let by_time = || feed_pull::Entity::find().limit(1);
    if feed_pull::Entity::find().count(tx.reads()).await.attempted(attempted)? < MOST_FEEDS {
        return Ok(None);
    }
    let oldest = by_time().order_by_asc(feed_pull::Column::ChangedAt).one(tx.reads()).await.attempted(attempted)?;
    let newest = by_time().order_by_desc(feed_pull::Column::ChangedAt).one(tx.reads()).await.attempted(attempted)?;
    if let Some(oldest) = oldest {
        feed_pull::Entity::delete_by_id(oldest.feed).exec(tx.writes()?).await.attempted(attempted)?;
    }
    Ok(newest.map(|newest| newest.changed_at))
}
