//! Entries of calendars as they were given out: kept for good, so that whoever asks late still hears of each change.

use sea_orm::{ActiveModelTrait as _, EntityTrait as _, IntoActiveModel as _, QueryOrder as _};
use workshop::agenda::{Event, Topic, Wanted};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::parts;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{moment, strange};

table!(calendar_event, "calendar_event", {
    #[sea_orm(primary_key, auto_increment = false)]
    topic: String,
    #[sea_orm(primary_key, auto_increment = false)]
    name: String,
    day: Date,
    summary: String,
    description: String,
    sequence: i64,
    changed_at: DateTimeUtc,
    cancelled: bool,
});

/// Every entry, by day, topic and name. Entries that are wanted again may have any day, so none is left out.
pub async fn all(tx: &Tx) -> Result<Vec<Event>> {
    let rows = calendar_event::Entity::find()
        .order_by_asc(calendar_event::Column::Day)
        .order_by_asc(calendar_event::Column::Topic)
        .order_by_asc(calendar_event::Column::Name)
        .all(tx.reads())
        .await
        .attempted(|| "read the calendar entries".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// Writes entries, new ones and changed ones.
pub async fn put(tx: &Tx, events: &[Event]) -> Result<()> {
    let attempted = || "write calendar entries".to_owned();
    let mut new = Vec::new();
    for event in events {
        let row = row(event);
        // What has been changed was there before; what is new was not.
        if event.sequence == 0 {
            new.push(row);
        } else {
            row.into_active_model().reset_all().update(tx.writes()?).await.attempted(attempted)?;
        }
    }
    parts::put(tx, new).await
}

fn row(event: &Event) -> calendar_event::Model {
    let Wanted { topic, name, day, summary, description } = event.content.clone();
    calendar_event::Model {
        topic: topic.word().to_owned(),
        name,
        day,
        summary,
        description,
        sequence: event.sequence,
        changed_at: moment(event.changed_at),
        cancelled: event.cancelled,
    }
}

fn value(row: calendar_event::Model) -> Result<Event> {
    let topic = Topic::ALL.into_iter().find(|topic| topic.word() == row.topic);
    let topic = topic.ok_or_else(|| strange("calendar topic", &row.topic))?;
    let calendar_event::Model { name, day, summary, description, sequence, changed_at, cancelled, .. } = row;
    let content = Wanted { topic, name, day, summary, description };
    Ok(Event { content, sequence, changed_at, cancelled })
}
