//! Lots put together: each goes wholly into a new one, and stays as history. Only added.

use sea_orm::{EntityTrait as _, QueryOrder as _};
use workshop::ids::LotId;
use workshop::lots::{Lot, LotJoin};
use workshop::said::Said;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::lots;
use crate::parts;
use crate::record::{Versioned, same_version};
use crate::table::table;
use crate::tx::Tx;
use crate::words::moment;

table!(lot_join, "lot_join", {
    #[sea_orm(primary_key, auto_increment = false)]
    from_lot: i64,
    to_lot: i64,
    day: Date,
    quantity: i64,
    said_by: Option<String>,
    said_at: DateTimeUtc,
});

/// Puts whole lots together into a new one, which is given back: `joined` is that lot, as yet without a number. They stay as
/// history with quantity 0. [`StoreError::Stale`] where one has changed meanwhile.
pub async fn join(tx: &Tx, whole: &[Versioned<Lot>], joined: Lot, day: chrono::NaiveDate) -> Result<Lot> {
    tx.writes()?;
    let mut rows = Vec::new();
    for lot in whole {
        let id = lot.value.id;
        let old = lots::row_of(tx, id).await?.ok_or_else(|| StoreError::not_found(lots::NOUN, id))?;
        same_version(lots::NOUN, id, old.version, lot.version)?;
        lots::take_off(tx, &old, lot.value.quantity).await?;
        rows.push(old);
    }
    let first = rows.into_iter().next().ok_or_else(|| StoreError::other("join lots", "none is named"))?;
    let row = lots::lot::Model {
        version: 1,
        ticket: joined.ticket.map(|t| t.to_string()),
        since: joined.since,
        quantity: joined.quantity,
        made: Some(joined.quantity),
        ..first
    };
    let made = lots::write(tx, row).await?;
    let record = |lot: &Versioned<Lot>| lot_join::Model {
        from_lot: lot.value.id.get(),
        to_lot: made.id.get(),
        day,
        quantity: lot.value.quantity,
        said_by: tx.by(),
        said_at: moment(tx.now()),
    };
    parts::put(tx, whole.iter().map(record).collect()).await?;
    Ok(made)
}

/// Every join there ever was, in the order of the lots that went into another.
pub async fn all(tx: &Tx) -> Result<Vec<LotJoin>> {
    let rows = lot_join::Entity::find().order_by_asc(lot_join::Column::FromLot).all(tx.reads()).await;
    let rows = rows.attempted(|| "read which lots were put together".to_owned())?;
    Ok(rows.into_iter().map(value).collect())
}

fn value(row: lot_join::Model) -> LotJoin {
    LotJoin {
        from: LotId::new(row.from_lot),
        into: LotId::new(row.to_lot),
        day: row.day,
        quantity: row.quantity,
        said: Said { by: row.said_by, at: Some(row.said_at) },
    }
}
