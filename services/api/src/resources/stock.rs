//! Stock: what is on hand, and the ledger that says why.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use serde::Deserialize;
use store::{Record, Tx};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Amount, Material, Supply};
use workshop::checks;
use workshop::ids::{MaterialId, StockEntryId};
use workshop::stock::{EntryKind, NewStockEntry};

use crate::http::body::Body;
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfNoneMatch, Reply, Shown, once};
use crate::state::State;
use crate::wire::Id;
use crate::wire::stock::{CounterReason, Given, GivenAmount, GivenEntry, OnHand, StockEntry};

#[utoipa::path(
    tag = "stock", summary = "What is on hand", description = "Every counted material with what there is of it, in the order of their ids, in pages.",
    params(Page), responses((status = 200, description = "A page of it", body = Vec<OnHand>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/stock")]
async fn on_hand(state: Data<State>, page: Query<Page>) -> Answer {
    let after = page.after(|text| MaterialId::parse(text).ok())?;
    let tx = state.store.read().await?;
    let (materials, balances) = (Material::all(&tx).await?, store::stock::on_hand(&tx).await?);
    tx.rollback().await?;
    let counted =
        materials.into_iter().filter(|m| m.supply != Supply::Mains && after.as_ref().is_none_or(|a| m.id > *a));
    let found = counted.take(page.limit_and_one() as usize).collect();
    page.reply(
        "/stock",
        &[],
        found,
        |m: &Material| m.id.to_string(),
        |m| {
            let there = balances.get(&m.id).copied().unwrap_or_default();
            OnHand {
                material: Id::of(&m.id),
                unit: m.unit.into(),
                on_hand: there.get(),
                floor: m.floor.get(),
                below_floor: there < m.floor,
                name: m.name,
            }
        },
    )
}

/// Which entries.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct EntryFilter {
    /// Only those of this material.
    #[param(min_length = 1, max_length = 60, pattern = "^[A-Za-z0-9][A-Za-z0-9._@-]*$")]
    pub material: Option<String>,
}

#[utoipa::path(
    tag = "stock", summary = "List the ledger", description = "In the order it was written, in pages.", params(EntryFilter, Page),
    responses((status = 200, description = "A page of it", body = Vec<StockEntry>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/stock/entries")]
async fn list(state: Data<State>, filter: Query<EntryFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse().ok().map(StockEntryId::new))?;
    let material = filter.material.as_deref().and_then(|text| MaterialId::parse(text).ok());
    let tx = state.store.read().await?;
    let found = store::stock::page(&tx, material.as_ref(), after, page.limit_and_one()).await?;
    tx.rollback().await?;
    let filters = [("material", filter.material.clone())];
    page.reply("/stock/entries", &filters, found, |e| e.id.to_string(), StockEntry::from)
}

#[utoipa::path(
    tag = "stock", summary = "Read a line of the ledger", description = "It never changes.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The one named", body = StockEntry, headers(("ETag" = String, description = "its version"))))
)]
#[get("/stock/entries/{id}")]
async fn read(state: Data<State>, id: Path<i64>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let found = store::stock::find(&tx, StockEntryId::new(*id)).await?;
    tx.rollback().await?;
    let found = found.ok_or_else(|| Problem::not_found("stock entry", *id))?;
    Ok(Shown::new(1, &StockEntry::from(found))?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "stock", summary = "Write a line into the ledger",
    description = "Received, counted, adjusted or written off. A count adds the difference between what was found and what the ledger says. Lines are never changed, only countered.",
    security(("token" = ["bench"])), request_body = GivenEntry,
    responses((status = 201, description = "It is written", body = StockEntry, headers(("Location" = String, description = "its path"))))
)]
#[post("/stock/entries")]
async fn write(state: Data<State>, body: Body<GivenEntry>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let today = state.today(tx).await?;
        let given = &body.value;
        let material = Material::find(tx, &given.material).await?.map(|found| found.value);
        let entry = entry_of(tx, given, today).await?;
        let faults = checks::stock::entry_faults(&entry, material.as_ref(), today);
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let written = store::stock::append(tx, state.now(), &entry).await?;
        written_reply(written)
    })
    .await
}

async fn entry_of(tx: &Tx, given: &Given, today: chrono::NaiveDate) -> Result<NewStockEntry, Problem> {
    let (kind, amount, counted) = match given.what {
        GivenAmount::Change(kind, amount) => (kind, amount, None),
        GivenAmount::Count(found) => {
            let there = store::stock::balance(tx, &given.material).await?;
            (EntryKind::Counted, found - there, Some(found))
        }
    };
    Ok(NewStockEntry {
        material: given.material.clone(),
        day: given.day.unwrap_or(today),
        kind,
        amount,
        counted,
        ticket: None,
        delivery: None,
        counters: None,
        note: given.note.clone(),
    })
}

fn written_reply(written: workshop::stock::StockEntry) -> Answer {
    let location = format!("/stock/entries/{}", written.id);
    Ok(Reply::json(&StockEntry::from(written))?.created_at(location))
}

#[utoipa::path(
    tag = "stock", summary = "Counter a line of the ledger", description = "Writes its opposite, once. What a ticket drew is countered by voiding the ticket.",
    security(("token" = ["bench"])), params(("id" = i64, Path, description = "The number of the line to take back", minimum = 1)), request_body = CounterReason,
    responses((status = 201, description = "The opposite is written", body = StockEntry, headers(("Location" = String, description = "its path"))))
)]
#[post("/stock/entries/{id}/counter")]
async fn counter(state: Data<State>, id: Path<i64>, body: Body<CounterReason>) -> Answer {
    let id = StockEntryId::new(*id);
    once(&state, &body.asked, async |tx| {
        let found = store::stock::find(tx, id).await?.ok_or_else(|| Problem::not_found("stock entry", id))?;
        may_be_countered(&found.entry)?;
        let opposite = NewStockEntry {
            day: state.today(tx).await?,
            kind: EntryKind::Countered,
            amount: Amount::ZERO - found.entry.amount,
            counted: None,
            counters: Some(id),
            note: Some(body.value.clone()),
            ..found.entry
        };
        written_reply(store::stock::append(tx, state.now(), &opposite).await?)
    })
    .await
}

/// What a ticket drew goes back with the ticket, and an opposite has none of its own.
fn may_be_countered(entry: &NewStockEntry) -> Result<(), Problem> {
    use crate::http::problem::Kind;
    let why = match (entry.kind, entry.ticket) {
        (EntryKind::Drawn, Some(ticket)) => format!("It was drawn by the ticket {ticket}: void the ticket instead."),
        (EntryKind::Countered, _) => "It is itself the opposite of a line: write a new line instead.".to_owned(),
        _ => return Ok(()),
    };
    Err(Problem::new(Kind::NotNow, why))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(on_hand).service(list).service(write).service(read).service(counter);
}
