//! Stock: what is on hand, and the ledger that says why.

use std::collections::BTreeMap;

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use chrono::{Datelike as _, Days, Months, NaiveDate};
use serde::Deserialize;
use store::{Record, Tx};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Amount, Material, StockUnit, Supply};
use workshop::checks;
use workshop::consumption::{Used, used};
use workshop::dated;
use workshop::ids::{DeliveryId, MaterialId, StockEntryId};
use workshop::projection::open_draws;
use workshop::stock::{EntryKind, NewStockEntry};

use crate::http::body::Body;
use crate::http::paging::{Page, PageOfAll, key_of};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfNoneMatch, Reply, Shown, once};
use crate::state::State;
use crate::wire::Id;
use crate::wire::stock::{CounterReason, Given, GivenAmount, GivenEntry, MonthlyUse, OnHand, Portion, StockEntry};

#[utoipa::path(
    tag = "stock", summary = "What is on hand", description = "Every counted material with what there is of it, in the order of their ids, in pages.",
    params(Page), responses((status = 200, description = "A page of it", body = Vec<OnHand>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/stock")]
async fn on_hand(state: Data<State>, page: Query<Page>) -> Answer {
    let after = page.after(|text| MaterialId::parse(text).ok())?;
    let tx = state.store.read().await?;
    let (materials, balances) = (Material::all(&tx).await?, store::stock::on_hand(&tx).await?);
    let reserved = open_draws(&store::tickets::open(&tx).await?);
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
            let reserved = reserved.get(&m.id).copied().unwrap_or_default();
            OnHand {
                material: Id::of(&m.id),
                unit: m.unit.into(),
                on_hand: there.get(),
                reserved: reserved.get(),
                free: (there - reserved).get(),
                floor: m.floor.get(),
                below_floor: there < m.floor,
                name: m.name,
            }
        },
    )
}

/// Whether what is written off of a delivery is of that delivery's material.
async fn written_off_of(tx: &Tx, entry: &NewStockEntry) -> Result<Option<Fault>, Problem> {
    let Some(id) = entry.delivery else { return Ok(None) };
    let Some(found) = store::deliveries::find(tx, id).await? else { return Ok(None) };
    let other = found.value.material != entry.material;
    let detail = format!("brought {}, not {}: name a delivery of it", found.value.material, entry.material);
    Ok(other.then(|| Fault::at("/delivery", detail)))
}

#[utoipa::path(
    tag = "stock", summary = "What is left of each delivery",
    description = "The stock by the deliveries and counts it came in with, oldest first: tickets use the oldest first. What issued tickets will take is reserved in that order, and what is older than its material keeps is warned of.",
    params(EntryFilter, PageOfAll),
    responses((status = 200, description = "A page of the portions", body = Vec<Portion>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/stock/portions")]
async fn portions(state: Data<State>, filter: Query<EntryFilter>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let (today, materials) = (state.today(&tx).await?, Material::all(&tx).await?);
    let mut reserved = open_draws(&store::tickets::open(&tx).await?);
    let entries = store::stock::all(&tx).await?;
    tx.rollback().await?;
    let known: BTreeMap<&MaterialId, &Material> = materials.iter().map(|m| (&m.id, m)).collect();
    let wanted = |p: &dated::Portion| filter.material.as_deref().is_none_or(|wanted| p.material.as_str() == wanted);
    let mut forms = Vec::new();
    for portion in dated::dated(&entries).left.into_iter().filter(wanted) {
        let Some(material) = known.get(&portion.material) else { continue };
        let open = reserved.entry(portion.material.clone()).or_default();
        let taken = open.get().min(portion.left);
        *open = *open - Amount::new(taken);
        forms.push(Portion {
            unit: material.unit.into(),
            entry: portion.entry.get(),
            delivery: portion.delivery.map(DeliveryId::get),
            came_on: portion.since,
            age_days: portion.age_days(today),
            left: portion.left,
            reserved: taken,
            use_by: material.keep_days.map(|days| portion.since + Days::new(days.max(0).unsigned_abs())),
            warning: portion.age_warning(material, today),
            material: Id::of(&portion.material),
        });
    }
    let filters = [("material", filter.into_inner().material)];
    page.into_inner().reply("/stock/portions", &filters, forms, |one| one.entry.to_string(), |one| one)
}

/// Which days.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct UseFilter {
    /// The first day; the first of the month two months ago where it is not given.
    pub from: Option<NaiveDate>,
    /// The last day; today where it is not given.
    pub to: Option<NaiveDate>,
}

#[utoipa::path(
    tag = "stock", summary = "Planned use against actual use",
    description = "What mixed tickets asked for and what went in, by month, mix and material; only what is drawn from stock.",
    params(UseFilter, PageOfAll),
    responses((status = 200, description = "By month, mix and material, a page of it", body = Vec<MonthlyUse>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/stock/use")]
async fn monthly_use(state: Data<State>, filter: Query<UseFilter>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let today = state.today(&tx).await?;
    let to = filter.to.unwrap_or(today);
    let from = filter.from.or_else(|| to.with_day(1)?.checked_sub_months(Months::new(2))).unwrap_or(to);
    let tickets = store::tickets::mixed_between(&tx, from, to).await?;
    let units: BTreeMap<MaterialId, StockUnit> =
        Material::all(&tx).await?.into_iter().map(|m| (m.id, m.unit)).collect();
    tx.rollback().await?;
    let form = |u: Used| MonthlyUse {
        month: u.month.format("%Y-%m").to_string(),
        difference: (u.actual - u.planned).get(),
        difference_percent: u.over_percent(),
        unit: units.get(&u.material).copied().map(Into::into),
        mix: Id::of(&u.mix),
        material: Id::of(&u.material),
        tickets: u.tickets,
        planned: u.planned.get(),
        actual: u.actual.get(),
    };
    let filters = [("from", Some(from.to_string())), ("to", Some(to.to_string()))];
    let key = |u: &Used| key_of(&[&u.month, &u.mix, &u.material]);
    page.into_inner().reply("/stock/use", &filters, used(&tickets), key, form)
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
        let mut faults = checks::stock::entry_faults(&entry, material.as_ref(), today);
        faults.extend(written_off_of(tx, &entry).await?);
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
        delivery: given.delivery,
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
    service
        .service(on_hand)
        .service(portions)
        .service(monthly_use)
        .service(list)
        .service(write)
        .service(read)
        .service(counter);
}
