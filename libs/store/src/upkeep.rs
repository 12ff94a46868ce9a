//! What was said of upkeep tasks. Reports are only added; the last one of a day counts.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _, QuerySelect as _,
};
use workshop::ids::UpkeepTaskId;
use workshop::said::Said;
use workshop::soaking::{Readings, Water};
use workshop::upkeep::{UpkeepReport, UpkeepTask};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::record::Record as _;
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

/// The temperatures measured in tanks that tell how panels soak that were put into them on `from` or later: of each tank the
/// last before that day and all after it, the coldest where a day has several. What a task at a tank measures in °C is the
/// temperature of its water.
pub async fn water(tx: &Tx, from: Day) -> Result<Water> {
    let mut water = Water::new();
    for task in UpkeepTask::all(tx).await? {
        let Some(tank) = task.measures_water() else { continue };
        let readings = readings(tx, &task.id, from).await?;
        let of_tank: &mut Readings = water.entry(tank.clone()).or_default();
        for (day, water_c) in readings {
            let coldest = of_tank.entry(day).or_insert(water_c);
            *coldest = coldest.min(water_c);
        }
    }
    Ok(water)
}

/// What a task measured, the last word of each day: the last before `from` and all after it.
async fn readings(tx: &Tx, task: &UpkeepTaskId, from: Day) -> Result<Readings> {
    let attempted = || format!("read what {task} measured");
    let measured = || {
        let of_task = upkeep_report::Entity::find().filter(upkeep_report::Column::Task.eq(task.as_str()));
        of_task.filter(upkeep_report::Column::Measured.is_not_null())
    };
    let last = measured()
        .filter(upkeep_report::Column::Day.lt(from))
        .order_by_desc(upkeep_report::Column::Day)
        .order_by_desc(upkeep_report::Column::Id)
        .one(tx.reads())
        .await
        .attempted(attempted)?;
    let after = measured()
        .filter(upkeep_report::Column::Day.gte(from))
        .order_by_asc(upkeep_report::Column::Id)
        .all(tx.reads())
        .await
        .attempted(attempted)?;
    Ok(last.into_iter().chain(after).filter_map(|row| Some((row.day, row.measured?))).collect())
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
