//! The ledger of materials. Entries are only added; a running balance of each material is kept beside them.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate as Day, Utc};
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, PaginatorTrait as _,
    QueryFilter as _, QueryOrder as _, QuerySelect as _,
};
use workshop::catalogue::Amount;
use workshop::ids::{DeliveryId, MaterialId, StockEntryId};
use workshop::stock::{EntryKind, NewStockEntry, StockEntry};

use crate::classify::Attempted as _;
use crate::error::{Result, Rule, StoreError};
use crate::marks;
use crate::parts;
use crate::references::{Needs, Thing};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, material_id, moment, perhaps, ticket_number};

table!(stock_entry, "stock_entry", {
    #[sea_orm(primary_key)]
    id: i64,
    at: DateTimeUtc,
    material: String,
    day: Date,
    kind: String,
    amount: i64,
    balance: i64,
    counted: Option<i64>,
    ticket: Option<String>,
    delivery: Option<i64>,
    counters: Option<i64>,
    note: Option<String>,
    said_by: Option<String>,
});

table!(stock_balance, "stock_balance", {
    #[sea_orm(primary_key, auto_increment = false)]
    material: String,
    amount: i64,
});

/// Adds an entry and moves the balance by it. [`StoreError::Missing`] with all it refers to that is not there,
/// [`StoreError::AlreadyCountered`] where it counters an entry that has been countered.
pub async fn append(tx: &Tx, now: DateTime<Utc>, new: &NewStockEntry) -> Result<StockEntry> {
    tx.writes()?;
    references(tx, new).await?;
    let before = balance_row(tx, &new.material).await?;
    let had = before.as_ref().map_or(0, |row| row.amount);
    let balance = had.checked_add(new.amount.get()).ok_or_else(|| beyond_counting(&new.material))?;
    let row = row(new, now, balance, tx.by());
    let mut unnumbered = row.clone().into_active_model().reset_all();
    unnumbered.id = ActiveValue::NotSet;
    let written = stock_entry::Entity::insert(unnumbered)
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("write a stock entry of {}", new.material))?;
    set_balance(tx, before, stock_balance::Model { material: row.material.clone(), amount: balance }).await?;
    if matters(new) {
        let (kind, amount) = (new.kind.word(), new.amount.get());
        marks::mark(tx, "stock", &format!("{kind} {amount} of {}", new.material)).await?;
    }
    value(stock_entry::Model { id: written.last_insert_id, ..row })
}

/// What a ticket draws is planned, and what a delivery brings is marked with it: neither is a surprise by itself.
fn matters(new: &NewStockEntry) -> bool {
    let brought = new.kind == EntryKind::Received && new.delivery.is_some();
    new.amount != Amount::ZERO && new.kind != EntryKind::Drawn && !brought
}

/// On hand of every material that has an entry.
pub async fn on_hand(tx: &Tx) -> Result<BTreeMap<MaterialId, Amount>> {
    let rows = stock_balance::Entity::find().all(tx.reads()).await.attempted(|| "read what is on hand".to_owned())?;
    rows.iter().map(|row| Ok((material_id(&row.material)?, Amount::new(row.amount)))).collect()
}

/// On hand of one material.
pub async fn balance(tx: &Tx, material: &MaterialId) -> Result<Amount> {
    Ok(Amount::new(balance_row(tx, material).await?.map_or(0, |row| row.amount)))
}

/// The entry with this number, if there is one.
pub async fn find(tx: &Tx, id: StockEntryId) -> Result<Option<StockEntry>> {
    let row = stock_entry::Entity::find_by_id(id.get())
        .one(tx.reads())
        .await
        .attempted(|| format!("read stock entry {id}"))?;
    row.map(value).transpose()
}

/// Up to `limit` entries, of one material where it is named, after the one named, in the order they were written.
pub async fn page(
    tx: &Tx,
    material: Option<&MaterialId>,
    after: Option<StockEntryId>,
    limit: u64,
) -> Result<Vec<StockEntry>> {
    let mut rows = stock_entry::Entity::find().order_by_asc(stock_entry::Column::Id).limit(limit);
    if let Some(material) = material {
        rows = rows.filter(stock_entry::Column::Material.eq(material.as_str()));
    }
    if let Some(after) = after {
        rows = rows.filter(stock_entry::Column::Id.gt(after.get()));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| "read stock entries".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// Every entry of a day or a later one, in the order they were written.
pub async fn since(tx: &Tx, day: Day) -> Result<Vec<StockEntry>> {
    let rows = stock_entry::Entity::find()
        .filter(stock_entry::Column::Day.gte(day))
        .order_by_asc(stock_entry::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read the ledger from {day} on"))?;
    rows.into_iter().map(value).collect()
}

/// Up to `limit` entries, of one material where it is named, before the one named, the newest first.
pub async fn newest(
    tx: &Tx,
    material: Option<&MaterialId>,
    before: Option<StockEntryId>,
    limit: u64,
) -> Result<Vec<StockEntry>> {
    let mut rows = stock_entry::Entity::find().order_by_desc(stock_entry::Column::Id).limit(limit);
    if let Some(material) = material {
        rows = rows.filter(stock_entry::Column::Material.eq(material.as_str()));
    }
    if let Some(before) = before {
        rows = rows.filter(stock_entry::Column::Id.lt(before.get()));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| "read the newest stock entries".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// The entries a ticket drew, in the order they were written, those that counter them included.
pub async fn of_ticket(tx: &Tx, ticket: workshop::ids::TicketNumber) -> Result<Vec<StockEntry>> {
    let rows = stock_entry::Entity::find()
        .filter(stock_entry::Column::Ticket.eq(ticket.to_string()))
        .order_by_asc(stock_entry::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what ticket {ticket} drew"))?;
    rows.into_iter().map(value).collect()
}

/// Every entry there is, in the order they were written.
pub async fn all(tx: &Tx) -> Result<Vec<StockEntry>> {
    let rows = stock_entry::Entity::find().order_by_asc(stock_entry::Column::Id).all(tx.reads()).await;
    rows.attempted(|| "read the whole ledger".to_owned())?.into_iter().map(value).collect()
}

async fn references(tx: &Tx, new: &NewStockEntry) -> Result<()> {
    let mut missing = Vec::new();
    let mut needs = Needs::default();
    needs.on(Thing::Material, &new.material).perhaps_on(Thing::Ticket, new.ticket.as_ref());
    match needs.met(tx).await {
        Err(StoreError::Missing(some)) => missing.extend(some),
        other => other?,
    }
    if let Some(delivery) = new.delivery
        && crate::deliveries::find(tx, delivery).await?.is_none()
    {
        missing.push(("delivery", delivery.to_string()));
    }
    if let Some(countered) = new.counters
        && find(tx, countered).await?.is_none()
    {
        missing.push(("stock entry", countered.to_string()));
    }
    if !missing.is_empty() {
        return Err(StoreError::Missing(missing));
    }
    match new.counters {
        Some(countered) if is_countered(tx, countered).await? => Err(StoreError::AlreadyCountered),
        _ => Ok(()),
    }
}

async fn is_countered(tx: &Tx, id: StockEntryId) -> Result<bool> {
    let by = stock_entry::Entity::find()
        .filter(stock_entry::Column::Counters.eq(id.get()))
        .count(tx.reads())
        .await
        .attempted(|| format!("see whether stock entry {id} is countered"))?;
    Ok(by > 0)
}

async fn balance_row(tx: &Tx, material: &MaterialId) -> Result<Option<stock_balance::Model>> {
    stock_balance::Entity::find_by_id(material.as_str())
        .one(tx.reads())
        .await
        .attempted(|| format!("read what is on hand of {material}"))
}

async fn set_balance(tx: &Tx, before: Option<stock_balance::Model>, after: stock_balance::Model) -> Result<()> {
    if before.is_none() {
        return parts::put(tx, vec![after]).await;
    }
    let attempted = format!("write what is on hand of {}", after.material);
    after.into_active_model().reset_all().update(tx.writes()?).await.attempted(|| attempted)?;
    Ok(())
}

fn beyond_counting(material: &MaterialId) -> StoreError {
    StoreError::Refused {
        rule: Rule::Range,
        attempted: format!("write a stock entry of {material}"),
        detail: "what is on hand would be more than can be counted".to_owned(),
    }
}

fn row(new: &NewStockEntry, now: DateTime<Utc>, balance: i64, by: Option<String>) -> stock_entry::Model {
    stock_entry::Model {
        id: 0,
        at: moment(now),
        material: new.material.to_string(),
        day: new.day,
        kind: new.kind.word(),
        amount: new.amount.get(),
        balance,
        counted: new.counted.map(Amount::get),
        ticket: new.ticket.map(|t| t.to_string()),
        delivery: new.delivery.map(DeliveryId::get),
        counters: new.counters.map(StockEntryId::get),
        note: new.note.clone(),
        said_by: by,
    }
}

fn value(row: stock_entry::Model) -> Result<StockEntry> {
    let entry = NewStockEntry {
        material: material_id(&row.material)?,
        day: row.day,
        kind: EntryKind::of(&row.kind)?,
        amount: Amount::new(row.amount),
        counted: row.counted.map(Amount::new),
        ticket: perhaps(row.ticket.as_ref(), ticket_number)?,
        delivery: row.delivery.map(DeliveryId::new),
        counters: row.counters.map(StockEntryId::new),
        note: row.note,
    };
    Ok(StockEntry {
        id: StockEntryId::new(row.id),
        at: row.at,
        entry,
        balance: Amount::new(row.balance),
        by: row.said_by,
    })
}
