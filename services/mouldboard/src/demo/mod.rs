//! Tern Hollow Garden Castings: an invented workshop, to show the whole of the service on. Every person, firm, price and mix
//! in it is made up; the mixes are not to be cast from.

mod catalogue;
mod floor;
mod mixes;
mod orders;
pub mod report;
mod site;
pub mod stock;
mod trials;
mod upkeep;

use anyhow::Context;
use chrono::{DateTime, NaiveDate as Day, Utc};
use store::{Record, Store, Tx};
use workshop::site::Workshop;

/// The demonstration's today: a Monday.
pub const TODAY: Day = day(2026, 3, 2);
/// Its time zone.
pub const ZONE: chrono_tz::Tz = chrono_tz::Europe::Dublin;

const fn day(year: i32, month: u32, of_month: u32) -> Day {
    match Day::from_ymd_opt(year, month, of_month) {
        Some(day) => day,
        None => Day::MIN,
    }
}

/// Writes the whole workshop into an empty database, all or nothing; returns false where a workshop is there already.
pub async fn seed(store: &Store, now: DateTime<Utc>) -> anyhow::Result<bool> {
    let tx = store.write().await.context("opening the database to write the demonstration workshop")?;
    if store::site::get(&tx).await?.is_some() {
        return Ok(false);
    }
    let site = site::workshop();
    write_workshop(&tx, &site, now).await.context("writing the demonstration workshop")?;
    floor::write(&tx, now).await.context("writing what is on the demonstration workshop's floor")?;
    tx.commit().await.context("keeping the demonstration workshop")?;
    Ok(true)
}

async fn write_workshop(tx: &Tx, site: &Workshop, now: DateTime<Utc>) -> anyhow::Result<()> {
    store::site::put(tx, site, None).await?;
    insert_all(tx, site::calendar()?).await?;
    insert_all(tx, catalogue::materials()?).await?;
    insert_all(tx, catalogue::finishes()?).await?;
    insert_all(tx, catalogue::scrap_causes()?).await?;
    insert_all(tx, mixes::mixes()?).await?;
    for revision in mixes::revisions()? {
        store::standings::insert(tx, &revision, now).await.context("writing a mix revision")?;
    }
    insert_all(tx, catalogue::mould_groups()?).await?;
    insert_all(tx, catalogue::tanks()?).await?;
    insert_all(tx, catalogue::racks()?).await?;
    insert_all(tx, upkeep::tasks()?).await?;
    insert_all(tx, catalogue::panels()?).await?;
    insert_all(tx, trials::trials()?).await?;
    insert_all(tx, catalogue::sets()?).await?;
    insert_all(tx, orders::orders()?).await
}

async fn insert_all<R: Record>(tx: &Tx, records: Vec<R>) -> anyhow::Result<()> {
    for record in &records {
        R::insert(tx, record).await.with_context(|| format!("writing a {}", R::NOUN))?;
    }
    Ok(())
}
