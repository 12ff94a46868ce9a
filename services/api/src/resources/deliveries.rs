//! Deliveries: ordered, on their way, here.

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, post};
use serde::Deserialize;
use store::deliveries::NewDelivery;
use store::fail_points::reached;
use store::{Record, Tx, Versioned, site};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Amount, Material};
use workshop::checks;
use workshop::ids::DeliveryId;
use workshop::ordering::{ToOrder, to_order};
use workshop::planning::WorkCalendar;
use workshop::site::CalendarDay;
use workshop::stock as domain;

use super::projection::known;
use crate::http::body::{Asked, Body};
use crate::http::paging::{Page, PageOfAll, key_of};
use crate::http::problem::{Kind, Problem};
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Shown, once};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::projection::DeliveryToOrder;
use crate::wire::stock::{Arrival, Delivery, DeliveryState, GivenDelivery};

const NOUN: &str = "delivery";

/// Which deliveries.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct DeliveryFilter {
    /// Only those in this state.
    #[param(inline)]
    pub state: Option<DeliveryState>,
}

fn shown(found: Versioned<domain::Delivery>) -> Result<Shown, Problem> {
    Shown::new(found.version, &Delivery::from(found.value))
}

#[utoipa::path(
    tag = "deliveries", summary = "List deliveries", description = "In the order they were made, in pages.", params(DeliveryFilter, Page),
    responses((status = 200, description = "A page of them", body = Vec<Delivery>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/deliveries")]
async fn list(state: Data<State>, filter: Query<DeliveryFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse().ok().map(DeliveryId::new))?;
    let tx = state.store.read().await?;
    let wanted = filter.state.map(domain::DeliveryState::from);
    let found = store::deliveries::page(&tx, wanted, after, page.limit_and_one()).await?;
    tx.rollback().await?;
    let word = filter.state.map(|s| if s == DeliveryState::Here { "here".to_owned() } else { "on_its_way".to_owned() });
    page.reply("/deliveries", &[("state", word)], found, |v| v.value.id.to_string(), |v| Delivery::from(v.value))
}

/// Everything still to order by the plan in force.
///
/// # Errors
/// 404 where there is no workshop; those of the database.
pub async fn still_to_order(state: &State, tx: &Tx) -> Result<Vec<ToOrder>, Problem> {
    let site = site::get(tx).await?.ok_or_else(|| Problem::not_found("workshop", "yet"))?.value;
    let today = state.today(tx).await?;
    let ((known, _), days) = (known(tx, today).await?, CalendarDay::all(tx).await?);
    Ok(to_order(&known, &Material::all(tx).await?, &WorkCalendar::new(&site, &days), today))
}

#[utoipa::path(
    tag = "deliveries", summary = "What to order", description = "Deliveries that the plan in force wants and nobody has ordered yet: packs, the price break they reach, the charge, and the last day to order; what is to be ordered first before the rest. Whoever orders one says so with POST /deliveries.",
    params(PageOfAll),
    responses((status = 200, description = "A page of the deliveries", body = Vec<DeliveryToOrder>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/deliveries/to-order")]
async fn to_be_ordered(state: Data<State>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let found = still_to_order(&state, &tx).await?;
    tx.rollback().await?;
    let key = |one: &ToOrder| key_of(&[&one.material.id, &one.arrives]);
    page.into_inner().reply("/deliveries/to-order", &[], found, key, DeliveryToOrder::from)
}

#[utoipa::path(
    tag = "deliveries", summary = "Read a delivery", description = "Its ETag is what a change has to name.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The one named", body = Delivery, headers(("ETag" = String, description = "its version"))))
)]
#[get("/deliveries/{id}")]
async fn read(state: Data<State>, id: Path<i64>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let found = store::deliveries::find(&tx, DeliveryId::new(*id)).await?;
    tx.rollback().await?;
    shown(found.ok_or_else(|| Problem::not_found(NOUN, *id))?).map(|shown| shown.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "deliveries", summary = "Say that a delivery is on its way", description = "The planner counts on it from then on.",
    request_body = GivenDelivery,
    responses((status = 201, description = "It is noted", body = Delivery, headers(("ETag" = String, description = "its version"), ("Location" = String, description = "its path"))))
)]
#[post("/deliveries")]
async fn create(state: Data<State>, body: Body<GivenDelivery>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let (material, packs, expected_on) = body.value.clone();
        let known = Material::find(tx, &material).await?.map(|found| found.value);
        let faults = checks::stock::delivery_faults(packs, expected_on, known.as_ref());
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let made = store::deliveries::insert(tx, &NewDelivery { material, packs, expected_on }).await?;
        let location = format!("/deliveries/{}", made.value.id);
        Ok(shown(made)?.reply().created_at(location))
    })
    .await
}

#[utoipa::path(
    tag = "deliveries", summary = "Say that a delivery has come", description = "Notes the day and writes what came into the ledger, both or neither. Where only a part came, the rest can be said to come later: it is a delivery of its own then.",
    security(("token" = ["bench"])), params(("id" = i64, Path, description = "Its number", minimum = 1)), request_body = Arrival,
    responses((status = 200, description = "It is here", body = Delivery, headers(("ETag" = String, description = "its version"))))
)]
#[post("/deliveries/{id}/arrival")]
async fn arrive(state: Data<State>, id: Path<i64>, body: Body<Arrival>) -> Answer {
    let id = DeliveryId::new(*id);
    once(&state, &body.asked, async |tx| {
        let found = store::deliveries::find(tx, id).await?.ok_or_else(|| Problem::not_found(NOUN, id))?;
        if found.value.state == domain::DeliveryState::Here {
            return Err(Problem::new(Kind::NotNow, format!("The delivery {id} is here already.")));
        }
        let today = state.today(tx).await?;
        let arrived_on = body.value.arrived_on.unwrap_or(today);
        let all = found.value.ordered();
        let received = body.value.received.map_or(all, Amount::new);
        let mut faults = checks::stock::arrival_faults(arrived_on, received, today);
        if let Some(rest_on) = body.value.rest_expected_on {
            faults.extend(checks::stock::rest_faults(all, received, rest_on, arrived_on));
        }
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let here = store::deliveries::receive(tx, id, found.version, arrived_on, received).await?;
        reached("receive.noted");
        if let Some(rest_on) = body.value.rest_expected_on {
            let (material, packs) = (found.value.material.clone(), here.value.packs_missing());
            let rest = NewDelivery { material, packs, expected_on: rest_on };
            let rest = store::deliveries::insert(tx, &rest).await?.value.id;
            store::deliveries::is_rest_of(tx, rest, id).await?;
        }
        let entry = domain::NewStockEntry {
            material: found.value.material,
            day: arrived_on,
            kind: domain::EntryKind::Received,
            amount: received,
            counted: None,
            ticket: None,
            delivery: Some(id),
            counters: None,
            note: body.value.note.clone(),
        };
        store::stock::append(tx, state.now(), &entry).await?;
        reached("receive.entered");
        Ok(shown(here)?.reply())
    })
    .await
}

#[utoipa::path(
    tag = "deliveries", summary = "Take back a delivery", description = "Only as long as it is on its way.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)), responses((status = 204, description = "It is taken back"))
)]
#[delete("/deliveries/{id}")]
async fn cancel(state: Data<State>, id: Path<i64>, seen: IfMatch, asked: Asked) -> Answer {
    let id = DeliveryId::new(*id);
    alter(&state, &asked, async |tx| {
        let found = store::deliveries::find(tx, id).await?.ok_or_else(|| Problem::not_found(NOUN, id))?;
        let version = found.version;
        let before = shown(found)?;
        seen.agrees(&before)?;
        store::deliveries::cancel(tx, id, version).await?;
        Ok(Altered::removed(before.form().clone()))
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(to_be_ordered).service(read).service(arrive).service(cancel);
}
