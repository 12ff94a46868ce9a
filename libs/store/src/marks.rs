//! What happened since the plan in force was made and makes it out of date.
//!
//! A mark is written in the transaction of the change it tells of. Marks are numbered in the order they commit (there is
//! one writer), and a planning run keeps the number of the last one its facts knew of: what comes after it is new.

use chrono::{DateTime, Utc};
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _, QuerySelect as _,
};
use workshop::ids::RunId;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::runs::planning_run;
use crate::table::table;
use crate::tx::Tx;
use crate::words::moment;

table!(plan_mark, "plan_mark", {
    #[sea_orm(primary_key)]
    id: i64,
    at: DateTimeUtc,
    what: String,
    detail: String,
});

/// One change that matters to the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// Its number; later marks have greater ones.
    pub id: i64,
    /// When it was written.
    pub at: DateTime<Utc>,
    /// What changed: an order, a count, a delivery.
    pub what: String,
    /// The same in a few words.
    pub detail: String,
}

/// Writes that something changed that matters to the plan.
pub async fn mark(tx: &Tx, what: &str, detail: &str) -> Result<()> {
    let row = plan_mark::ActiveModel {
        id: ActiveValue::NotSet,
        at: ActiveValue::Set(moment(tx.now())),
        what: ActiveValue::Set(what.to_owned()),
        detail: ActiveValue::Set(detail.to_owned()),
    };
    let written = plan_mark::Entity::insert(row).exec_without_returning(tx.writes()?).await;
    written.attempted(|| "mark the plan as out of date".to_owned()).map(|_| ())
}

/// The number of the last mark; 0 where there is none.
pub async fn last(tx: &Tx) -> Result<i64> {
    Ok(newest(tx).await?.map_or(0, |mark| mark.id))
}

/// The last mark.
pub async fn newest(tx: &Tx) -> Result<Option<Mark>> {
    let row = plan_mark::Entity::find()
        .order_by_desc(plan_mark::Column::Id)
        .one(tx.reads())
        .await
        .attempted(|| "read what changed last".to_owned())?;
    Ok(row.map(value))
}

/// Up to `limit` marks after the number given, the earliest first.
pub async fn after(tx: &Tx, mark: i64, limit: u64) -> Result<Vec<Mark>> {
    let rows = plan_mark::Entity::find()
        .filter(plan_mark::Column::Id.gt(mark))
        .order_by_asc(plan_mark::Column::Id)
        .limit(limit)
        .all(tx.reads())
        .await
        .attempted(|| "read what changed since the plan was made".to_owned())?;
    Ok(rows.into_iter().map(value).collect())
}

/// Notes the last mark a run's facts knew of.
pub async fn known_to(tx: &Tx, run: RunId, mark: i64) -> Result<()> {
    let row = run_row(tx, run).await?;
    let mut changed = row.into_active_model();
    changed.facts_mark = ActiveValue::Set(Some(mark));
    changed.update(tx.writes()?).await.attempted(|| format!("write what planning run {run} knew of"))?;
    Ok(())
}

/// The last mark a run's facts knew of; 0 where that was never noted.
pub async fn known(tx: &Tx, run: RunId) -> Result<i64> {
    Ok(run_row(tx, run).await?.facts_mark.unwrap_or(0))
}

/// The last mark that any run's facts knew of.
pub async fn known_to_any(tx: &Tx) -> Result<i64> {
    let row = planning_run::Entity::find()
        .filter(planning_run::Column::FactsMark.is_not_null())
        .order_by_desc(planning_run::Column::FactsMark)
        .one(tx.reads())
        .await
        .attempted(|| "read what was known to a planning run".to_owned())?;
    Ok(row.and_then(|row| row.facts_mark).unwrap_or(0))
}

/// Takes away the marks up to a number that were written before a moment: how many.
pub async fn sweep(tx: &Tx, up_to: i64, before: DateTime<Utc>) -> Result<u64> {
    let swept = plan_mark::Entity::delete_many()
        .filter(plan_mark::Column::Id.lte(up_to))
        .filter(plan_mark::Column::At.lt(moment(before)))
        .exec(tx.writes()?)
        .await
        .attempted(|| "take away old marks".to_owned())?;
    Ok(swept.rows_affected)
}

async fn run_row(tx: &Tx, run: RunId) -> Result<planning_run::Model> {
    planning_run::Entity::find_by_id(run.get())
        .one(tx.reads())
        .await
        .attempted(|| format!("read planning run {run}"))?
        .ok_or_else(|| StoreError::not_found("planning run", run))
}

fn value(row: plan_mark::Model) -> Mark {
    Mark { id: row.id, at: row.at, what: row.what, detail: row.detail }
}
