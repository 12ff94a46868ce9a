//! Traces and pass rates: what the records say when they are read from end to end.

use actix_web::get;
use actix_web::web::{Data, Path};
use store::{Record, Tx, deliveries, lots};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::Panel;
use workshop::ids::{DeliveryId, LotId, OrderId};
use workshop::orders::Order;
use workshop::passing::measured;
use workshop::trace::{Start, trace};

use super::nouns::id_of;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::Id;
use crate::wire::losses::PassRate;
use crate::wire::trace::Trace;

async fn traced(tx: Tx, start: Start) -> Answer {
    let records = store::audit::records(&tx).await?;
    tx.rollback().await?;
    Reply::json(&Trace::from(trace(&records, &start)))
}

#[utoipa::path(
    tag = "lots", summary = "Trace an order back", description = "From what was sent for it back to lots, tickets and the deliveries of what went into them.",
    params(("id" = inline(Id), Path, description = "Its reference", example = "TH-1042")),
    responses((status = 200, description = "Everything behind it", body = Trace))
)]
#[get("/orders/{id}/trace")]
async fn of_order(state: Data<State>, id: Path<String>) -> Answer {
    let id: OrderId = id_of::<Order>(&id)?;
    let tx = state.store.read().await?;
    if Order::find(&tx, &id).await?.is_none() {
        return Err(Problem::not_found("order", &id));
    }
    traced(tx, Start::Order(id)).await
}

#[utoipa::path(
    tag = "lots", summary = "Trace a delivery forward", description = "From a delivery to the tickets it went into, their lots and the orders these went to.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "Everything after it", body = Trace))
)]
#[get("/deliveries/{id}/trace")]
async fn of_delivery(state: Data<State>, id: Path<i64>) -> Answer {
    let id = DeliveryId::new(*id);
    let tx = state.store.read().await?;
    if deliveries::find(&tx, id).await?.is_none() {
        return Err(Problem::not_found("delivery", id));
    }
    traced(tx, Start::Delivery(id)).await
}

#[utoipa::path(
    tag = "lots", summary = "Trace a lot both ways", description = "Where its panels came from and where they went.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "Everything around it", body = Trace))
)]
#[get("/lots/{id}/trace")]
async fn of_lot(state: Data<State>, id: Path<i64>) -> Answer {
    let id = LotId::new(*id);
    let tx = state.store.read().await?;
    if lots::find(&tx, id).await?.is_none() {
        return Err(Problem::not_found("lot", id));
    }
    traced(tx, Start::Lot(id)).await
}

#[utoipa::path(
    tag = "panels", summary = "How many of a panel come out good", description = "Measured stage by stage from all that was ever poured and scrapped. A suggestion: planning uses what the panel itself says.",
    params(("id" = inline(Id), Path, description = "Its id", example = "bed-side-900")),
    responses((status = 200, description = "As measured", body = PassRate))
)]
#[get("/panels/{id}/pass-rate")]
async fn pass_rate(state: Data<State>, id: Path<String>) -> Answer {
    let id = id_of::<Panel>(&id)?;
    let tx = state.store.read().await?;
    let panel = Panel::find(&tx, &id).await?.ok_or_else(|| Problem::not_found("panel", &id))?;
    let records = store::audit::records(&tx).await?;
    tx.rollback().await?;
    Reply::json(&PassRate::of(&id, &measured(&records, &id), panel.value.pass_rate))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(of_order).service(of_delivery).service(of_lot).service(pass_rate);
}
