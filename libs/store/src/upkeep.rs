//! What was said of upkeep tasks. Reports are only added; the last one of a day counts.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _, QuerySelect as _,
};
use workshop::ids::UpkeepTaskId;
use workshop::said::Said;
use workshop::upkeep::UpkeepReport;

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::references::{Needs, Thing};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{moment, upkeep_task_id};

table!(upkeep_report, "upkeep_report", {
    #[sea_orm(primary_key)]
    id: i64,
    task: String,
    day: Date,
    done: bool,
    #[sea_orm(column_type = "Double", nullable)]
    measured: Option<f64>,
    note: Option<String>,
    said_by: Option<String>,
    said_at: DateTimeUtc,
});

/// Reports looked through at a time for the last one that says done.
const PAGE: u64 = 50;

/// Adds a report under the caller's name, and gives it as it was written. The same as the last word of its day is not written
/// again. [`StoreError::Missing`](crate::StoreError::Missing) where there is no such task.
pub async fn report(tx: &Tx, new: &UpkeepReport) -> Result<UpkeepReport> {
    tx.writes()?;
    Needs::default().on(Thing::UpkeepTask, &new.task).met(tx).await?;
    if let Some(last) = on_day(tx, new.day).await?.into_iter().rfind(|r| r.task == new.task)
        && (last.done, last.value, &last.note) == (new.done, new.value, &new.note)
    {
        return Ok(last);
    }
    let row = upkeep_report::Model {
        id: 0,
        task: new.task.to_string(),
        day: new.day,
        done: new.done,
        measured: new.value,
        note: new.note.clone(),
        said_by: tx.by(),
        said_at: moment(tx.now()),
    };
    let mut unnumbered = row.clone().into_active_model().reset_all();
    unnumbered.id = ActiveValue::NotSet;
    let attempted = || format!("write what was said of {}", new.task);
    unnumbered.insert(tx.writes()?).await.attempted(attempted)?;
    value(&row)
}

/// Everything said of a day, in the order it was written.
pub async fn on_day(tx: &Tx, day: Day) -> Result<Vec<UpkeepReport>> {
    let rows = upkeep_report::Entity::find()
        .filter(upkeep_report::Column::Day.eq(day))
        .order_by_asc(upkeep_report::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what was said of upkeep on {day}"))?;
    rows.iter().map(value).collect()
}

/// Up to `limit` reports of a task after the one with this number, in the order they were written, each with its number.
pub async fn page(tx: &Tx, task: &UpkeepTaskId, after: i64, limit: u64) -> Result<Vec<(i64, UpkeepReport)>> {
    let rows = upkeep_report::Entity::find()
        .filter(upkeep_report::Column::Task.eq(task.as_str()))
        .filter(upkeep_report::Column::Id.gt(after))
        .order_by_asc(upkeep_report::Column::Id)
        .limit(limit)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what was said of {task}"))?;
    rows.iter().map(|row| Ok((row.id, value(row)?))).collect()
}

/// The last day before `day` on which each of these tasks was done; none where it never was.
pub async fn last_done(tx: &Tx, tasks: &[UpkeepTaskId], day: Day) -> Result<BTreeMap<UpkeepTaskId, Day>> {
    let mut found = BTreeMap::new();
    for task in tasks {
        if let Some(last) = last_done_of(tx, task, day).await? {
            found.insert(task.clone(), last);
        }
    }
    Ok(found)
}

async fn last_done_of(tx: &Tx, task: &UpkeepTaskId, before: Day) -> Result<Option<Day>> {
    let mut before = before;
    loop {
        let rows = upkeep_report::Entity::find()
            .filter(upkeep_report::Column::Task.eq(task.as_str()))
            .filter(upkeep_report::Column::Day.lt(before))
            .order_by_desc(upkeep_report::Column::Day)
            .order_by_desc(upkeep_report::Column::Id)
            .limit(PAGE)
            .all(tx.reads())
            .await
            .attempted(|| format!("read when {task} was done last"))?;
        for (index, row) in rows.iter().enumerate() {
            let last_word = index == 0 || rows[index - 1].day != row.day;
            if last_word && row.done {
                return Ok(Some(row.day));
            }
        }
        match rows.last() {
            Some(last) if rows.len() as u64 == PAGE => before = last.day,
            _ => return Ok(None),
        }
    }
}

fn value(row: &upkeep_report::Model) -> Result<UpkeepReport> {
    Ok(UpkeepReport {
        task: upkeep_task_id(&row.task)?,
        day: row.day,
        done: row.done,
        value: row.measured,
        note: row.note.clone(),
        said: Said { by: row.said_by.clone(), at: Some(row.said_at) },
    })
}
