//! Uses of moulds: which panel stands, stood or is to stand in which mould.
//!
//! A use is written when its ticket is issued, filled when the ticket is mixed, over when the panel is stripped or scrapped,
//! and came to nothing where the ticket is voided.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, Condition, EntityTrait as _, IntoActiveModel as _,
    QueryFilter as _, QueryOrder as _,
};
use workshop::catalogue::{MouldGroup, Panel};
use workshop::ids::{LotId, PanelId, TicketNumber};
use workshop::lots::{LossKind, Stage};
use workshop::moulds::{MouldUse, Shelf, UseState};
use workshop::shared::begun_by;
use workshop::tickets::Ticket;

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::lots;
use crate::record::Record as _;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, mould_group_id, panel_id, perhaps, ticket_number};

table!(mould_use, "mould_use", {
    #[sea_orm(primary_key)]
    id: i64,
    mould_group: String,
    number: i64,
    day: Date,
    ticket: String,
    begun_by: Option<String>,
    panel: String,
    lot: Option<i64>,
    state: String,
    over_on: Option<Date>,
});

/// Every use there ever was, in the order they were written.
pub async fn all(tx: &Tx) -> Result<Vec<MouldUse>> {
    let rows = mould_use::Entity::find().order_by_asc(mould_use::Column::Id).all(tx.reads()).await;
    rows.attempted(|| "read what was poured in which mould".to_owned())?.iter().map(value).collect()
}

/// The moulds of every group, with what they have been through.
pub async fn shelves(tx: &Tx) -> Result<Vec<Shelf>> {
    let (groups, panels, uses) = (MouldGroup::all(tx).await?, Panel::all(tx).await?, all(tx).await?);
    let in_moulds: Vec<_> = lots::all_present(tx).await?.into_iter().filter(|l| l.stage == Stage::InMould).collect();
    let shelf = |group: MouldGroup| {
        let of_group = |panel: &PanelId| panels.iter().any(|p| p.id == *panel && p.mould_group == group.id);
        let standing = in_moulds.iter().filter(|lot| of_group(&lot.panel)).map(|lot| lot.quantity).sum();
        Shelf::of(group, &uses, standing)
    };
    Ok(groups.into_iter().map(shelf).collect())
}

/// Writes the moulds that the tickets of a day were given: each with the ticket that fills its panel up.
pub(crate) async fn give(tx: &Tx, tickets: &[Ticket]) -> Result<()> {
    for ticket in tickets {
        for fill in &ticket.fills {
            let finished = usize::try_from(fill.finished).unwrap_or(0);
            let first = begun_by(ticket, &fill.panel, tickets).last().map(|t| t.number.to_string());
            for (place, number) in fill.moulds.iter().take(finished).enumerate() {
                let row = mould_use::ActiveModel {
                    id: ActiveValue::NotSet,
                    mould_group: ActiveValue::Set(fill.mould_group.to_string()),
                    number: ActiveValue::Set(*number),
                    day: ActiveValue::Set(ticket.number.day),
                    ticket: ActiveValue::Set(ticket.number.to_string()),
                    begun_by: ActiveValue::Set(first.clone().filter(|_| place == 0)),
                    panel: ActiveValue::Set(fill.panel.to_string()),
                    lot: ActiveValue::Set(None),
                    state: ActiveValue::Set(UseState::Given.word()),
                    over_on: ActiveValue::Set(None),
                };
                let attempted = || format!("write the moulds of ticket {}", ticket.number);
                mould_use::Entity::insert(row).exec(tx.writes()?).await.attempted(attempted)?;
            }
        }
    }
    Ok(())
}

/// The moulds on tickets, by ticket and panel: of the panels each fills up, then of the one it begins.
pub(crate) async fn on_tickets(tx: &Tx, tickets: &mut [Ticket]) -> Result<()> {
    let ids: Vec<String> = tickets.iter().map(|t| t.number.to_string()).collect();
    let mut rows = Vec::new();
    for some in ids.chunks(500) {
        let theirs = Condition::any()
            .add(mould_use::Column::Ticket.is_in(some.iter().cloned()))
            .add(mould_use::Column::BegunBy.is_in(some.iter().cloned()));
        let found = mould_use::Entity::find().filter(theirs).order_by_asc(mould_use::Column::Id).all(tx.reads()).await;
        rows.extend(found.attempted(|| "read the moulds of tickets".to_owned())?);
    }
    let mut by_ticket: BTreeMap<(String, String), Vec<i64>> = BTreeMap::new();
    for row in &rows {
        by_ticket.entry((row.ticket.clone(), row.panel.clone())).or_default().push(row.number);
    }
    for (begun_by, row) in rows.iter().filter_map(|row| Some((row.begun_by.clone()?, row))) {
        by_ticket.entry((begun_by, row.panel.clone())).or_default().push(row.number);
    }
    for ticket in tickets {
        let number = ticket.number.to_string();
        for fill in &mut ticket.fills {
            fill.moulds = by_ticket.remove(&(number.clone(), fill.panel.to_string())).unwrap_or_default();
        }
    }
    Ok(())
}

/// The panels of a mixed ticket stand in their moulds, as a lot of so many; a use more than that came to nothing, first the
/// one that another ticket was to begin.
pub(crate) async fn fill(
    tx: &Tx,
    ticket: TicketNumber,
    panel: &PanelId,
    lot: LotId,
    whole: i64,
    day: Day,
) -> Result<()> {
    let given = of_ticket(tx, ticket, UseState::Given).await?;
    let mut given: Vec<_> = given.into_iter().filter(|row| row.panel == panel.as_str()).collect();
    given.sort_by_key(|row| (row.begun_by.is_some(), row.id));
    for (place, row) in given.into_iter().enumerate() {
        match i64::try_from(place).is_ok_and(|place| place < whole) {
            true => put(tx, mould_use::Model { lot: Some(lot.get()), state: UseState::Filled.word(), ..row }).await?,
            false => put(tx, ended(row, UseState::NotUsed, day)).await?,
        }
    }
    Ok(())
}

/// A ticket that was never mixed leaves its moulds empty.
pub(crate) async fn give_back(tx: &Tx, ticket: TicketNumber, day: Day) -> Result<()> {
    for row in of_ticket(tx, ticket, UseState::Given).await? {
        put(tx, ended(row, UseState::NotUsed, day)).await?;
    }
    Ok(())
}

/// So many panels of a lot have left their moulds: stripped, where `lost` says nothing.
pub(crate) async fn empty(tx: &Tx, lot: LotId, quantity: i64, lost: Option<LossKind>, day: Day) -> Result<()> {
    let mut filled = mould_use::Entity::find()
        .filter(mould_use::Column::Lot.eq(lot.get()))
        .filter(mould_use::Column::State.eq(UseState::Filled.word()))
        .order_by_asc(mould_use::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read the moulds of lot {lot}"))?;
    // The panel that is not whole is the one that another ticket was to begin.
    filled.sort_by_key(|row| (lost == Some(LossKind::NotWhole) && row.begun_by.is_none(), row.id));
    let state = match lost {
        Some(LossKind::TakenBack | LossKind::NotWhole) => UseState::NotUsed,
        Some(LossKind::Scrapped) | None => UseState::Over,
    };
    for row in filled.into_iter().take(usize::try_from(quantity).unwrap_or(0)) {
        put(tx, ended(row, state, day)).await?;
    }
    Ok(())
}

async fn of_ticket(tx: &Tx, ticket: TicketNumber, state: UseState) -> Result<Vec<mould_use::Model>> {
    mould_use::Entity::find()
        .filter(mould_use::Column::Ticket.eq(ticket.to_string()))
        .filter(mould_use::Column::State.eq(state.word()))
        .order_by_asc(mould_use::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read the moulds of ticket {ticket}"))
}

fn ended(row: mould_use::Model, state: UseState, day: Day) -> mould_use::Model {
    mould_use::Model { state: state.word(), over_on: Some(day), ..row }
}

async fn put(tx: &Tx, row: mould_use::Model) -> Result<()> {
    let attempted = format!("write the use of mould {} {}", row.mould_group, row.number);
    row.into_active_model().reset_all().update(tx.writes()?).await.attempted(|| attempted)?;
    Ok(())
}

fn value(row: &mould_use::Model) -> Result<MouldUse> {
    Ok(MouldUse {
        group: mould_group_id(&row.mould_group)?,
        number: row.number,
        day: row.day,
        ticket: ticket_number(&row.ticket)?,
        begun_by: perhaps(row.begun_by.as_ref(), ticket_number)?,
        panel: panel_id(&row.panel)?,
        lot: row.lot.map(LotId::new),
        state: UseState::of(&row.state)?,
    })
}
