//! Notices of what happened, written in the transaction of what they tell of; numbered in the order they commit (there is one
//! writer), so whoever asks for those after a number misses none.

use std::collections::{BTreeMap, BTreeSet};

use sea_orm::{ActiveValue, ColumnTrait as _, EntityTrait as _, QueryFilter as _, QueryOrder as _, QuerySelect as _};
use workshop::notices::{Kind, NewNotice, Notice};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::jobs::{self, JobState};
use crate::table::table;
use crate::tx::Tx;
use crate::web_hooks;
use crate::words::{moment, strange};

table!(notice, "notice", {
    #[sea_orm(primary_key)]
    id: i64,
    at: DateTimeUtc,
    kind: String,
    subject: String,
    sentence: String,
});

table!(notice_standing, "notice_standing", {
    #[sea_orm(primary_key, auto_increment = false)]
    kind: String,
    #[sea_orm(primary_key, auto_increment = false)]
    subject: String,
});

/// The kind of a job that sends one notice to one web hook; its key is that of [`key`].
pub const SEND: &str = "send_notice";

/// The key of the job that sends a notice to a web hook.
pub fn key(hook: i64, notice: i64) -> String {
    format!("{hook}-{notice}")
}

/// The web hook and the notice of a job's key.
pub fn of_key(key: &str) -> Option<(i64, i64)> {
    let (hook, notice) = key.split_once('-')?;
    Some((hook.parse().ok()?, notice.parse().ok()?))
}

/// Writes a notice, and asks for it to be sent to every web hook that wants its kind.
pub async fn write(tx: &Tx, said: &NewNotice) -> Result<()> {
    let now = tx.now();
    let row = notice::ActiveModel {
        id: ActiveValue::NotSet,
        at: ActiveValue::Set(moment(now)),
        kind: ActiveValue::Set(said.kind.word().to_owned()),
        subject: ActiveValue::Set(said.subject.clone()),
        sentence: ActiveValue::Set(said.sentence.clone()),
    };
    let written = notice::Entity::insert(row).exec(tx.writes()?).await.attempted(|| "write a notice".to_owned())?;
    for hook in web_hooks::list(tx).await? {
        if hook.ended_at.is_none() && hook.kinds.contains(&said.kind) {
            jobs::enqueue(tx, now, SEND, &key(hook.id, written.last_insert_id), "", now).await?;
        }
    }
    Ok(())
}

/// Writes what the plan now in force says of late orders and short materials, and was not so by the one before it.
pub async fn stand(tx: &Tx, now_so: &[NewNotice]) -> Result<()> {
    let rows = notice_standing::Entity::find().all(tx.reads()).await;
    let rows = rows.attempted(|| "read which notices stand".to_owned())?;
    let before: BTreeSet<(String, String)> = rows.into_iter().map(|row| (row.kind, row.subject)).collect();
    let name = |said: &NewNotice| (said.kind.word().to_owned(), said.subject.clone());
    for said in now_so.iter().filter(|said| !before.contains(&name(said))) {
        write(tx, said).await?;
    }
    let after: BTreeSet<(String, String)> = now_so.iter().map(name).collect();
    if after == before {
        return Ok(());
    }
    let attempted = || "write which notices stand".to_owned();
    notice_standing::Entity::delete_many().exec(tx.writes()?).await.attempted(attempted)?;
    let rows = after.into_iter().map(|(kind, subject)| notice_standing::Model { kind, subject });
    crate::parts::put(tx, rows.collect()).await
}

/// Up to `limit` notices, of one kind where it is named, after the one with that number, in the order they were written.
pub async fn page(tx: &Tx, kind: Option<Kind>, after: Option<i64>, limit: u64) -> Result<Vec<Notice>> {
    let mut rows = notice::Entity::find().order_by_asc(notice::Column::Id).limit(limit);
    if let Some(kind) = kind {
        rows = rows.filter(notice::Column::Kind.eq(kind.word()));
    }
    if let Some(after) = after {
        rows = rows.filter(notice::Column::Id.gt(after));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| "read notices".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// The notice with this number, if there is one.
pub async fn find(tx: &Tx, id: i64) -> Result<Option<Notice>> {
    let row = notice::Entity::find_by_id(id).one(tx.reads()).await.attempted(|| format!("read notice {id}"))?;
    row.map(value).transpose()
}

fn value(row: notice::Model) -> Result<Notice> {
    let kind = Kind::of(&row.kind).ok_or_else(|| strange("kind of notice", &row.kind))?;
    let said = NewNotice { kind, subject: row.subject, sentence: row.sentence };
    Ok(Notice { id: row.id, at: row.at, said })
}

/// For each web hook how many notices are still to be sent to it, and how many were set aside.
pub async fn sending(tx: &Tx) -> Result<BTreeMap<i64, (i64, i64)>> {
    let mut counts: BTreeMap<i64, (i64, i64)> = BTreeMap::new();
    for (key, state) in jobs::open_keys(tx, SEND).await? {
        let Some((hook, _)) = of_key(&key) else { continue };
        let (waiting, set_aside) = counts.entry(hook).or_default();
        match state {
            JobState::SetAside => *set_aside += 1,
            _ => *waiting += 1,
        }
    }
    Ok(counts)
}
