//! The trail of changes: written in the transaction of what it tells of, only added to, numbered in the order of writing.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use sea_orm::{
    ColumnTrait as _, EntityTrait as _, QueryFilter as _, QueryOrder as _, QuerySelect as _, QueryTrait as _,
};
use workshop::trail::{Change, FieldChange, NewChange};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::parts;
use crate::table::table;
use crate::tx::Tx;
use crate::words::moment;

table!(recorded_change, "recorded_change", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: i64,
    at: DateTimeUtc,
    said_by: Option<String>,
    kind: String,
    thing: String,
    act: String,
});

table!(changed_field, "changed_field", {
    #[sea_orm(primary_key, auto_increment = false)]
    change: i64,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    field: String,
    before_json: Option<String>,
    after_json: Option<String>,
});

/// Which changes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Which {
    /// Only those of things of this kind.
    pub kind: Option<String>,
    /// Only those of things with this id.
    pub id: Option<String>,
    /// Only those made under this name.
    pub by: Option<String>,
    /// Only those made at this moment or later.
    pub from: Option<DateTime<Utc>>,
    /// Only those made before this moment.
    pub until: Option<DateTime<Utc>>,
}

/// Adds changes, made now and under the name the transaction writes under.
pub async fn add(tx: &Tx, changes: &[NewChange]) -> Result<()> {
    tx.writes()?;
    let last = last_number(tx).await?;
    let numbered = || (last.saturating_add(1)..).zip(changes);
    let (at, by) = (moment(tx.now()), tx.by());
    let lines = numbered().map(|(id, change)| recorded_change::Model {
        id,
        at,
        said_by: by.clone(),
        kind: change.kind.clone(),
        thing: change.id.clone(),
        act: change.act.clone(),
    });
    parts::put(tx, lines.collect()).await?;
    let fields =
        numbered().flat_map(|(id, change)| (1..).zip(&change.fields).map(move |(at, field)| row(id, at, field)));
    parts::put(tx, fields.collect()).await
}

fn row(change: i64, position: i64, field: &FieldChange) -> changed_field::Model {
    let FieldChange { field, before, after } = field.clone();
    changed_field::Model { change, position, field, before_json: before, after_json: after }
}

/// The number of the last change; there is one writer, so the next is one more.
async fn last_number(tx: &Tx) -> Result<i64> {
    let last = recorded_change::Entity::find().order_by_desc(recorded_change::Column::Id).one(tx.reads()).await;
    Ok(last.attempted(|| "read the last change".to_owned())?.map_or(0, |row| row.id))
}

/// Up to `limit` of these changes after the one with that number, in the order they were written.
pub async fn page(tx: &Tx, which: &Which, after: Option<i64>, limit: u64) -> Result<Vec<Change>> {
    use recorded_change::Column;
    let mut rows = recorded_change::Entity::find().order_by_asc(Column::Id).limit(limit);
    let named = [(Column::Kind, &which.kind), (Column::Thing, &which.id), (Column::SaidBy, &which.by)];
    for (column, wanted) in named {
        rows = rows.apply_if(wanted.as_deref(), |rows, wanted| rows.filter(column.eq(wanted)));
    }
    let rows = rows
        .apply_if(which.from, |rows, from| rows.filter(Column::At.gte(moment(from))))
        .apply_if(which.until, |rows, until| rows.filter(Column::At.lt(moment(until))))
        .apply_if(after, |rows, after| rows.filter(Column::Id.gt(after)));
    let rows = rows.all(tx.reads()).await.attempted(|| "read changes".to_owned())?;
    with_fields(tx, rows).await
}

/// Up to `limit` changes, the newest first; only those before the one with that number where one is named.
pub async fn newest(tx: &Tx, before: Option<i64>, limit: u64) -> Result<Vec<Change>> {
    use recorded_change::Column;
    let rows = recorded_change::Entity::find().order_by_desc(Column::Id).limit(limit);
    let rows = rows.apply_if(before, |rows, before| rows.filter(Column::Id.lt(before)));
    let rows = rows.all(tx.reads()).await.attempted(|| "read the newest changes".to_owned())?;
    with_fields(tx, rows).await
}

async fn with_fields(tx: &Tx, rows: Vec<recorded_change::Model>) -> Result<Vec<Change>> {
    let numbers: Vec<i64> = rows.iter().map(|row| row.id).collect();
    let mut fields = parts::of_parents::<changed_field::Entity, i64>(
        tx,
        changed_field::Column::Change,
        changed_field::Column::Position,
        &numbers,
        |row| row.change,
    )
    .await?;
    Ok(rows.into_iter().map(|row| value(row, &mut fields)).collect())
}

fn value(row: recorded_change::Model, fields: &mut BTreeMap<i64, Vec<changed_field::Model>>) -> Change {
    let fields = fields.remove(&row.id).unwrap_or_default().into_iter();
    let field = |f: changed_field::Model| FieldChange { field: f.field, before: f.before_json, after: f.after_json };
    let done = NewChange { kind: row.kind, id: row.thing, act: row.act, fields: fields.map(field).collect() };
    Change { number: row.id, at: row.at, by: row.said_by, done }
}
