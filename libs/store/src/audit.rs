//! Reading everything the sweep looks at, as it lies in the tables.

use std::collections::BTreeMap;

use sea_orm::{Condition, EntityTrait as _, QueryOrder as _};
use workshop::audit::{Begun, Dispatched, Records};
use workshop::catalogue::PanelSet;
use workshop::ids::{LotId, SetId, StockEntryId};
use workshop::lots::{LotLoss, LotMove};
use workshop::orders::Order;

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::lots::{dispatch_draw, lot, lot_dispatch, lot_loss, lot_move};
use crate::record::{Record as _, page_where};
use crate::tx::Tx;
use crate::words::{order_id, perhaps};
use crate::{deliveries, lot_joins, lots, moulds, stock, tickets};

/// All of it, at one moment.
pub async fn records(tx: &Tx) -> Result<Records> {
    Ok(Records {
        issued_days: tickets::all_issued_days(tx).await?,
        tickets: tickets::all(tx).await?,
        entries: stock::all(tx).await?,
        balances: stock::on_hand(tx).await?,
        drawn_by_dispatch: drawn_by_dispatch(tx).await?,
        deliveries: deliveries::all(tx).await?,
        lots: all_lots(tx).await?,
        moves: moves(tx).await?,
        joins: lot_joins::all(tx).await?,
        dispatches: dispatches(tx).await?,
        losses: losses(tx).await?,
        mould_uses: moulds::all(tx).await?,
        orders: Order::all(tx).await?,
        unchanged_sets: unchanged_sets(tx).await?,
    })
}

/// The sets that nobody has changed since they were made.
async fn unchanged_sets(tx: &Tx) -> Result<BTreeMap<SetId, PanelSet>> {
    let sets = page_where::<PanelSet>(tx, Condition::all(), None, None).await?;
    let unchanged = sets.into_iter().filter(|set| set.version == 1);
    Ok(unchanged.map(|set| (set.value.id.clone(), set.value)).collect())
}

async fn drawn_by_dispatch(tx: &Tx) -> Result<BTreeMap<StockEntryId, i64>> {
    let rows = dispatch_draw::Entity::find().all(tx.reads()).await;
    let rows = rows.attempted(|| "read what dispatches drew".to_owned())?;
    Ok(rows.into_iter().map(|row| (StockEntryId::new(row.entry), row.dispatch)).collect())
}

async fn all_lots(tx: &Tx) -> Result<Vec<Begun>> {
    let rows = lot::Entity::find().order_by_asc(lot::Column::Id).all(tx.reads()).await;
    let rows = rows.attempted(|| "read all lots".to_owned())?;
    rows.into_iter().map(|row| Ok(Begun { made: row.made, lot: lots::value(row)?.value })).collect()
}

async fn moves(tx: &Tx) -> Result<Vec<(LotMove, LotId)>> {
    let rows = lot_move::Entity::find().order_by_asc(lot_move::Column::Id).all(tx.reads()).await;
    let rows = rows.attempted(|| "read all moves".to_owned())?;
    rows.iter().map(|row| Ok((lots::step_of(row)?, LotId::new(row.to_lot)))).collect()
}

async fn dispatches(tx: &Tx) -> Result<Vec<Dispatched>> {
    let rows = lot_dispatch::Entity::find().order_by_asc(lot_dispatch::Column::Id).all(tx.reads()).await;
    let rows = rows.attempted(|| "read all dispatches".to_owned())?;
    let sent = |row: lot_dispatch::Model| {
        let order = perhaps(row.order_id.as_ref(), order_id)?;
        Ok(Dispatched { id: row.id, lot: LotId::new(row.lot), quantity: row.quantity, day: row.day, order })
    };
    rows.into_iter().map(sent).collect()
}

async fn losses(tx: &Tx) -> Result<Vec<LotLoss>> {
    let rows = lot_loss::Entity::find().order_by_asc(lot_loss::Column::Id).all(tx.reads()).await;
    rows.attempted(|| "read all losses".to_owned())?.iter().map(lots::loss_of).collect()
}
