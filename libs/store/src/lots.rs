//! Lots: panels of one pour on their way from mould to ready, and every step they took.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;
use sea_orm::sea_query::SimpleExpr;
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _, QuerySelect as _,
};
use workshop::ids::{FinishId, LotId, OrderId, PanelId, RevisionId, StockEntryId};
use workshop::lots::{LossKind, Lot, LotLoss, LotMove, NewLot, Stage};
use workshop::said::Said;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::marks;
use crate::moulds;
use crate::nouns::{mix::mix, revision::mix_revision};
use crate::record::{Versioned, same_version};
use crate::references::{Needs, Thing};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{
    Word as _, finish_id, moment, order_id, panel_id, perhaps, rack_id, revision_id, scrap_cause_id, tank_id,
    ticket_number,
};

table!(lot, "lot", {
    #[sea_orm(primary_key)]
    id: i64,
    version: i64,
    panel: String,
    revision: String,
    finish: String,
    poured_on: Date,
    ticket: Option<String>,
    stage: String,
    since: Date,
    quantity: i64,
    tank: Option<String>,
    rack: Option<String>,
    row_name: Option<String>,
    made: Option<i64>,
});

table!(lot_move, "lot_move", {
    #[sea_orm(primary_key)]
    id: i64,
    from_lot: i64,
    to_lot: i64,
    day: Date,
    to_stage: String,
    quantity: i64,
    tank: Option<String>,
    rack: Option<String>,
    row_name: Option<String>,
    said_by: Option<String>,
    said_at: Option<DateTimeUtc>,
});

table!(lot_dispatch, "lot_dispatch", {
    #[sea_orm(primary_key)]
    id: i64,
    lot: i64,
    day: Date,
    quantity: i64,
    order_id: Option<String>,
    said_by: Option<String>,
    said_at: Option<DateTimeUtc>,
});

table!(lot_loss, "lot_loss", {
    #[sea_orm(primary_key)]
    id: i64,
    lot: i64,
    at: DateTimeUtc,
    day: Date,
    quantity: i64,
    kind: String,
    cause: Option<String>,
    note: Option<String>,
    said_by: Option<String>,
});

table!(dispatch_draw, "dispatch_draw", {
    #[sea_orm(primary_key, auto_increment = false)]
    entry: i64,
    dispatch: i64,
});

pub(crate) const NOUN: &str = "lot";

/// A new lot, in the finish of its mix.
pub async fn insert(tx: &Tx, new: &NewLot) -> Result<Lot> {
    tx.writes()?;
    let mut needs = Needs::default();
    needs
        .on(Thing::Panel, &new.panel)
        .on(Thing::Revision, &new.revision)
        .perhaps_on(Thing::Ticket, new.ticket.as_ref())
        .perhaps_on(Thing::Tank, new.tank.as_ref())
        .perhaps_on(Thing::Rack, new.rack.as_ref());
    needs.met(tx).await?;
    let row = lot::Model {
        id: 0,
        version: 1,
        panel: new.panel.to_string(),
        revision: new.revision.to_string(),
        finish: finish_of(tx, &new.revision).await?,
        poured_on: new.poured_on,
        ticket: new.ticket.map(|t| t.to_string()),
        stage: new.stage.word(),
        since: new.since,
        quantity: new.quantity,
        tank: new.tank.as_ref().map(ToString::to_string),
        rack: new.rack.as_ref().map(ToString::to_string),
        row_name: new.row.clone(),
        made: Some(new.quantity),
    };
    let lot = write(tx, row).await?;
    if let Some(ticket) = new.ticket.filter(|_| new.stage == Stage::InMould) {
        moulds::fill(tx, ticket, &lot.panel, lot.id, lot.quantity, new.poured_on).await?;
    }
    Ok(lot)
}

/// The one with this number, if there is one. A lot that has wholly gone on has quantity 0.
pub async fn find(tx: &Tx, id: LotId) -> Result<Option<Versioned<Lot>>> {
    row_of(tx, id).await?.map(value).transpose()
}

/// Up to `limit` lots in a stage (in any, where none is given) after the one named, by number.
pub async fn page(tx: &Tx, stage: Option<Stage>, after: Option<LotId>, limit: u64) -> Result<Vec<Versioned<Lot>>> {
    let mut rows = lot::Entity::find()
        .filter(lot::Column::Id.gt(after.map_or(0, LotId::get)))
        .order_by_asc(lot::Column::Id)
        .limit(limit);
    if let Some(stage) = stage {
        rows = rows.filter(lot::Column::Stage.eq(stage.word()));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| "read lots".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// Every lot that still has panels here, by number.
pub async fn all_present(tx: &Tx) -> Result<Vec<Lot>> {
    let rows = lot::Entity::find()
        .filter(lot::Column::Quantity.gt(0))
        .order_by_asc(lot::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| "read the lots that are here".to_owned())?;
    rows.into_iter().map(|row| Ok(value(row)?.value)).collect()
}

/// Moves panels of a lot one stage on: they are taken off it and become a new lot, which is given back. The whole lot
/// may move; it then stays as history with quantity 0. [`StoreError::NotNow`] where the stage is not the next, there are
/// not so many, or the day is before the lot came where it is.
pub async fn advance(tx: &Tx, step: &LotMove, if_version: i64) -> Result<Lot> {
    tx.writes()?;
    let mut needs = Needs::default();
    needs.perhaps_on(Thing::Tank, step.tank.as_ref()).perhaps_on(Thing::Rack, step.rack.as_ref());
    needs.met(tx).await?;
    let old = row_of(tx, step.from).await?.ok_or_else(|| StoreError::not_found(NOUN, step.from))?;
    same_version(NOUN, step.from, old.version, if_version)?;
    let stage = Stage::of(&old.stage)?;
    if next(stage) != Some(step.to) {
        return not_now(step.from, format!("is {}: it cannot go to {} next", old.stage, step.to.word()));
    }
    if step.day < old.since {
        return not_now(step.from, format!("came where it is on {}, after {}", old.since, step.day));
    }
    take_off(tx, &old, step.quantity).await?;
    if stage == Stage::InMould {
        moulds::empty(tx, step.from, step.quantity, None, step.day).await?;
    }
    let tank = step.tank.as_ref().map(ToString::to_string);
    let rack = step.rack.as_ref().map(ToString::to_string);
    let moved = write(
        tx,
        lot::Model {
            version: 1,
            stage: step.to.word(),
            since: step.day,
            quantity: step.quantity,
            tank: tank.clone(),
            rack: rack.clone(),
            row_name: step.row.clone(),
            made: Some(step.quantity),
            ..old
        },
    )
    .await?;
    let record = lot_move::ActiveModel {
        id: ActiveValue::NotSet,
        from_lot: ActiveValue::Set(step.from.get()),
        to_lot: ActiveValue::Set(moved.id.get()),
        day: ActiveValue::Set(step.day),
        to_stage: ActiveValue::Set(step.to.word()),
        quantity: ActiveValue::Set(step.quantity),
        tank: ActiveValue::Set(tank),
        rack: ActiveValue::Set(rack),
        row_name: ActiveValue::Set(step.row.clone()),
        said_by: ActiveValue::Set(tx.by()),
        said_at: ActiveValue::Set(Some(moment(tx.now()))),
    };
    lot_move::Entity::insert(record)
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("write the move of lot {}", step.from))?;
    Ok(moved)
}

/// Takes a whole lot back that is still in its mould: the ticket it was poured by is voided. It stays as history with
/// quantity 0. [`StoreError::NotNow`] where it has gone on.
pub async fn take_back(tx: &Tx, id: LotId, day: Day, if_version: i64) -> Result<()> {
    let old = row_of(tx, id).await?.ok_or_else(|| StoreError::not_found(NOUN, id))?;
    if Stage::of(&old.stage)? != Stage::InMould {
        return not_now(id, format!("is {}: only what is still in its mould is taken back", old.stage));
    }
    let (quantity, kind) = (old.quantity, LossKind::TakenBack);
    let loss = LotLoss { lot: id, day, quantity, kind, cause: None, note: None, said: Said::default() };
    lose(tx, &loss, if_version).await?;
    Ok(())
}

/// Takes panels off a lot that do not go on: scrapped, taken back or not whole. Gives the lot with what is left of it.
/// [`StoreError::NotNow`] where there are not so many, [`StoreError::Missing`] where the cause is not on the list.
pub async fn lose(tx: &Tx, loss: &LotLoss, if_version: i64) -> Result<Versioned<Lot>> {
    tx.writes()?;
    let mut needs = Needs::default();
    needs.perhaps_on(Thing::ScrapCause, loss.cause.as_ref());
    needs.met(tx).await?;
    let old = row_of(tx, loss.lot).await?.ok_or_else(|| StoreError::not_found(NOUN, loss.lot))?;
    same_version(NOUN, loss.lot, old.version, if_version)?;
    let left = take_off(tx, &old, loss.quantity).await?;
    if Stage::of(&old.stage)? == Stage::InMould {
        moulds::empty(tx, loss.lot, loss.quantity, Some(loss.kind), loss.day).await?;
    }
    let record = lot_loss::ActiveModel {
        id: ActiveValue::NotSet,
        lot: ActiveValue::Set(loss.lot.get()),
        at: ActiveValue::Set(moment(tx.now())),
        day: ActiveValue::Set(loss.day),
        quantity: ActiveValue::Set(loss.quantity),
        kind: ActiveValue::Set(loss.kind.word()),
        cause: ActiveValue::Set(loss.cause.as_ref().map(ToString::to_string)),
        note: ActiveValue::Set(loss.note.clone()),
        said_by: ActiveValue::Set(tx.by()),
    };
    let attempted = || format!("write the loss of lot {}", loss.lot);
    lot_loss::Entity::insert(record).exec(tx.writes()?).await.attempted(attempted)?;
    marks::mark(tx, "loss", &format!("{} {} lost from lot {}", loss.quantity, old.panel, loss.lot)).await?;
    value(left)
}

/// Every loss of a lot, in the order they were written.
pub async fn losses_of(tx: &Tx, id: LotId) -> Result<Vec<LotLoss>> {
    let rows = lot_loss::Entity::find()
        .filter(lot_loss::Column::Lot.eq(id.get()))
        .order_by_asc(lot_loss::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read the losses of lot {id}"))?;
    rows.iter().map(loss_of).collect()
}

/// Sends ready panels of a lot out, for an order where it is named. Gives the dispatch's number and the lot with what is
/// left of it. [`StoreError::NotNow`] where the lot is not ready or there are not so many.
pub async fn dispatch(
    tx: &Tx,
    id: LotId,
    quantity: i64,
    day: Day,
    order: Option<OrderId>,
) -> Result<(i64, Versioned<Lot>)> {
    tx.writes()?;
    let mut needs = Needs::default();
    needs.perhaps_on(Thing::Order, order.as_ref());
    needs.met(tx).await?;
    let old = row_of(tx, id).await?.ok_or_else(|| StoreError::not_found(NOUN, id))?;
    if old.stage != Stage::Ready.word() {
        return not_now(id, format!("is {}: only ready panels are dispatched", old.stage));
    }
    let left = take_off(tx, &old, quantity).await?;
    let record = lot_dispatch::ActiveModel {
        id: ActiveValue::NotSet,
        lot: ActiveValue::Set(id.get()),
        day: ActiveValue::Set(day),
        quantity: ActiveValue::Set(quantity),
        order_id: ActiveValue::Set(order.map(|o| o.to_string())),
        said_by: ActiveValue::Set(tx.by()),
        said_at: ActiveValue::Set(Some(moment(tx.now()))),
    };
    let written = lot_dispatch::Entity::insert(record)
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("write the dispatch of lot {id}"))?;
    Ok((written.last_insert_id, value(left)?))
}

/// Notes that a line of the ledger was drawn by a dispatch.
pub async fn drew(tx: &Tx, dispatch: i64, entry: StockEntryId) -> Result<()> {
    crate::parts::put(tx, vec![dispatch_draw::Model { entry: entry.get(), dispatch }]).await
}

/// What was sent for an order, in the order it was written: the dispatch's number, the lot, how many, the day.
pub async fn sent_for(tx: &Tx, order: &OrderId) -> Result<Vec<(i64, LotId, i64, Day)>> {
    let rows = lot_dispatch::Entity::find()
        .filter(lot_dispatch::Column::OrderId.eq(order.as_str()))
        .order_by_asc(lot_dispatch::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what was sent for {order}"))?;
    Ok(rows.into_iter().map(|row| (row.id, LotId::new(row.lot), row.quantity, row.day)).collect())
}

/// The lines of the ledger that dispatches drew.
pub async fn drawn_by(tx: &Tx, dispatches: &[i64]) -> Result<Vec<StockEntryId>> {
    let rows = dispatch_draw::Entity::find()
        .filter(dispatch_draw::Column::Dispatch.is_in(dispatches.iter().copied()))
        .order_by_asc(dispatch_draw::Column::Entry)
        .all(tx.reads())
        .await
        .attempted(|| "read what dispatches drew".to_owned())?;
    Ok(rows.into_iter().map(|row| StockEntryId::new(row.entry)).collect())
}

/// What was sent out on a day for orders: how many panels of each, and who recorded it.
pub async fn sent_on(tx: &Tx, day: Day) -> Result<BTreeMap<OrderId, (i64, Vec<Said>)>> {
    let rows = lot_dispatch::Entity::find()
        .filter(lot_dispatch::Column::Day.eq(day))
        .filter(lot_dispatch::Column::OrderId.is_not_null())
        .order_by_asc(lot_dispatch::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read what was sent out on {day}"))?;
    let mut sent: BTreeMap<OrderId, (i64, Vec<Said>)> = BTreeMap::new();
    for row in rows {
        let Some(order) = perhaps(row.order_id.as_ref(), order_id)? else { continue };
        let (panels, said) = sent.entry(order).or_default();
        *panels += row.quantity;
        said.retain(|earlier| earlier.by != row.said_by);
        said.push(Said { by: row.said_by, at: row.said_at });
    }
    Ok(sent)
}

/// Panels sent out for each order, by panel and finish.
pub async fn dispatched(tx: &Tx) -> Result<BTreeMap<(OrderId, PanelId, FinishId), i64>> {
    summed(tx, lot_dispatch::Column::OrderId.is_not_null()).await
}

/// Panels sent out for one order, as [`dispatched`] gives them.
pub async fn dispatched_for(tx: &Tx, order: &OrderId) -> Result<BTreeMap<(OrderId, PanelId, FinishId), i64>> {
    summed(tx, lot_dispatch::Column::OrderId.eq(order.as_str())).await
}

async fn summed(tx: &Tx, of: SimpleExpr) -> Result<BTreeMap<(OrderId, PanelId, FinishId), i64>> {
    let attempted = || "read what was dispatched".to_owned();
    let sent = lot_dispatch::Entity::find().filter(of).all(tx.reads()).await.attempted(attempted)?;
    let lots: BTreeSet<i64> = sent.iter().map(|row| row.lot).collect();
    let mut rows: BTreeMap<i64, lot::Model> = BTreeMap::new();
    for some in lots.into_iter().collect::<Vec<i64>>().chunks(1000) {
        let found = lot::Entity::find().filter(lot::Column::Id.is_in(some.iter().copied()));
        rows.extend(found.all(tx.reads()).await.attempted(attempted)?.into_iter().map(|row| (row.id, row)));
    }
    let mut sums = BTreeMap::new();
    for row in sent {
        let (Some(order), Some(lot)) = (&row.order_id, rows.get(&row.lot)) else { continue };
        let key = (order_id(order)?, panel_id(&lot.panel)?, finish_id(&lot.finish)?);
        *sums.entry(key).or_insert(0) += row.quantity;
    }
    Ok(sums)
}

/// The moves of a day, in the order they were written, each with its panel and mix revision.
pub async fn moves_on(tx: &Tx, day: Day) -> Result<Vec<(LotMove, PanelId, RevisionId)>> {
    let attempted = || format!("read the moves of {day}");
    let moves = lot_move::Entity::find()
        .filter(lot_move::Column::Day.eq(day))
        .order_by_asc(lot_move::Column::Id)
        .all(tx.reads())
        .await
        .attempted(attempted)?;
    let lots = lot::Entity::find()
        .filter(lot::Column::Id.is_in(moves.iter().map(|m| m.from_lot)))
        .all(tx.reads())
        .await
        .attempted(attempted)?;
    let lots: BTreeMap<i64, lot::Model> = lots.into_iter().map(|l| (l.id, l)).collect();
    moves
        .iter()
        .filter_map(|step| lots.get(&step.from_lot).map(|lot| (step, lot)))
        .map(|(step, lot)| Ok((step_of(step)?, panel_id(&lot.panel)?, revision_id(&lot.revision)?)))
        .collect()
}

fn next(stage: Stage) -> Option<Stage> {
    match stage {
        Stage::InMould => Some(Stage::Soaking),
        Stage::Soaking => Some(Stage::Drying),
        Stage::Drying => Some(Stage::Ready),
        Stage::Ready => None,
    }
}

fn not_now<T>(id: LotId, why: String) -> Result<T> {
    Err(StoreError::NotNow { noun: NOUN, id: id.to_string(), why })
}

pub(crate) async fn row_of(tx: &Tx, id: LotId) -> Result<Option<lot::Model>> {
    lot::Entity::find_by_id(id.get()).one(tx.reads()).await.attempted(|| format!("read lot {id}"))
}

pub(crate) async fn write(tx: &Tx, row: lot::Model) -> Result<Lot> {
    let mut unnumbered = row.clone().into_active_model().reset_all();
    unnumbered.id = ActiveValue::NotSet;
    let written = lot::Entity::insert(unnumbered)
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("write a lot of {}", row.panel))?;
    Ok(value(lot::Model { id: written.last_insert_id, ..row })?.value)
}

/// Takes panels off a lot; they have gone on.
pub(crate) async fn take_off(tx: &Tx, old: &lot::Model, quantity: i64) -> Result<lot::Model> {
    let id = LotId::new(old.id);
    if !(1..=old.quantity).contains(&quantity) {
        return not_now(id, format!("has {} panels: {quantity} cannot be taken", old.quantity));
    }
    let left = lot::Model { version: old.version + 1, quantity: old.quantity - quantity, ..old.clone() };
    left.clone().into_active_model().reset_all().update(tx.writes()?).await.attempted(|| format!("change lot {id}"))?;
    Ok(left)
}

async fn finish_of(tx: &Tx, revision: &RevisionId) -> Result<String> {
    let attempted = || format!("read the finish of {revision}");
    let found = mix_revision::Entity::find_by_id(revision.to_string()).one(tx.reads()).await.attempted(attempted)?;
    let found = found.ok_or_else(|| StoreError::not_found("mix revision", revision))?;
    let mix = mix::Entity::find_by_id(found.mix.clone()).one(tx.reads()).await.attempted(attempted)?;
    mix.map(|m| m.finish).ok_or_else(|| StoreError::not_found("mix", found.mix))
}

pub(crate) fn step_of(row: &lot_move::Model) -> Result<LotMove> {
    Ok(LotMove {
        from: LotId::new(row.from_lot),
        day: row.day,
        to: Stage::of(&row.to_stage)?,
        quantity: row.quantity,
        tank: perhaps(row.tank.as_ref(), tank_id)?,
        rack: perhaps(row.rack.as_ref(), rack_id)?,
        row: row.row_name.clone(),
        said: Said { by: row.said_by.clone(), at: row.said_at },
    })
}

pub(crate) fn loss_of(row: &lot_loss::Model) -> Result<LotLoss> {
    Ok(LotLoss {
        lot: LotId::new(row.lot),
        day: row.day,
        quantity: row.quantity,
        kind: LossKind::of(&row.kind)?,
        cause: perhaps(row.cause.as_ref(), scrap_cause_id)?,
        note: row.note.clone(),
        said: Said { by: row.said_by.clone(), at: Some(row.at) },
    })
}

pub(crate) fn value(row: lot::Model) -> Result<Versioned<Lot>> {
    let value = Lot {
        id: LotId::new(row.id),
        panel: panel_id(&row.panel)?,
        revision: revision_id(&row.revision)?,
        finish: finish_id(&row.finish)?,
        poured_on: row.poured_on,
        ticket: perhaps(row.ticket.as_ref(), ticket_number)?,
        stage: Stage::of(&row.stage)?,
        since: row.since,
        quantity: row.quantity,
        tank: perhaps(row.tank.as_ref(), tank_id)?,
        rack: perhaps(row.rack.as_ref(), rack_id)?,
        row: row.row_name,
    };
    Ok(Versioned { version: row.version, value })
}
