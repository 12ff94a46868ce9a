//! What was changed of tickets after they were issued: only added.

use sea_orm::{
    ActiveValue, ColumnTrait as _, ConnectionTrait as _, EntityTrait as _, QueryFilter as _, QueryOrder as _,
    QuerySelect as _, QueryTrait as _,
};
use workshop::ids::TicketNumber;
use workshop::said::Said;
use workshop::ticket_changes::{Changed, TicketChange, changes};
use workshop::tickets::Ticket;

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::table::table;
use crate::tx::Tx;
use crate::words::moment;

table!(ticket_change, "ticket_change", {
    #[sea_orm(primary_key)]
    id: i64,
    ticket: String,
    at: DateTimeUtc,
    said_by: Option<String>,
    what: String,
    was: Option<String>,
    became: Option<String>,
    note: Option<String>,
});

/// Writes down what is otherwise of a ticket, under the name of this transaction.
pub(crate) async fn append(tx: &Tx, old: &Ticket, new: &Ticket) -> Result<()> {
    let number = new.number;
    let row = |changed: Changed| ticket_change::ActiveModel {
        id: ActiveValue::NotSet,
        ticket: ActiveValue::Set(number.to_string()),
        at: ActiveValue::Set(moment(tx.now())),
        said_by: ActiveValue::Set(tx.by()),
        what: ActiveValue::Set(changed.what),
        was: ActiveValue::Set(changed.before),
        became: ActiveValue::Set(changed.after),
        note: ActiveValue::Set(new.note.clone()),
    };
    let rows: Vec<ticket_change::ActiveModel> = changes(old, new).into_iter().map(row).collect();
    if rows.is_empty() {
        return Ok(());
    }
    let statement = ticket_change::Entity::insert_many(rows).into_query();
    tx.writes()?.execute(&statement).await.attempted(|| format!("write what was changed of ticket {number}"))?;
    Ok(())
}

/// Up to `limit` changes of a ticket after the one named, in the order they were made.
pub async fn page(tx: &Tx, ticket: TicketNumber, after: Option<i64>, limit: u64) -> Result<Vec<TicketChange>> {
    let rows = ticket_change::Entity::find()
        .filter(ticket_change::Column::Ticket.eq(ticket.to_string()))
        .filter(ticket_change::Column::Id.gt(after.unwrap_or(0)))
        .order_by_asc(ticket_change::Column::Id)
        .limit(limit)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what was changed of ticket {ticket}"))?;
    Ok(rows.into_iter().map(value).collect())
}

fn value(row: ticket_change::Model) -> TicketChange {
    TicketChange {
        id: row.id,
        changed: Changed { what: row.what, before: row.was, after: row.became },
        note: row.note,
        said: Said { by: row.said_by, at: Some(row.at) },
    }
}
