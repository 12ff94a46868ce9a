//! Pins: pours decided by a person.

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, post};
use store::pins::NewPin;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::checks;
use workshop::ids::PinId;
use workshop::lots::Pin as Pinned;

use crate::http::body::{Asked, Body};
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Shown, once};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::lots::{GivenPin, Pin};

const NOUN: &str = "pin";

#[utoipa::path(
    tag = "pins", summary = "List pinned pours", description = "In the order they were made, in pages.", params(Page),
    responses((status = 200, description = "A page of them", body = Vec<Pin>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/pins")]
async fn list(state: Data<State>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse().ok().map(PinId::new))?;
    let tx = state.store.read().await?;
    let found = store::pins::page(&tx, after, page.limit_and_one()).await?;
    tx.rollback().await?;
    page.reply("/pins", &[], found, |v| v.value.id.to_string(), |v| Pin::from(v.value))
}

#[utoipa::path(
    tag = "pins", summary = "Read a pinned pour", description = "Its ETag is what a change has to name.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The one named", body = Pin, headers(("ETag" = String, description = "its version"))))
)]
#[get("/pins/{id}")]
async fn read(state: Data<State>, id: Path<i64>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let found = store::pins::find(&tx, PinId::new(*id)).await?;
    tx.rollback().await?;
    let found = found.ok_or_else(|| Problem::not_found(NOUN, *id))?;
    Ok(Shown::new(found.version, &Pin::from(found.value))?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "pins", summary = "Pin a pour", description = "The planner makes exactly this pour on this day, whatever else it decides.",
    request_body = GivenPin,
    responses((status = 201, description = "It is pinned", body = Pin, headers(("ETag" = String, description = "its version"), ("Location" = String, description = "its path"))))
)]
#[post("/pins")]
async fn create(state: Data<State>, body: Body<GivenPin>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let faults = checks::lots::pin_faults(&body.value, state.today(tx).await?);
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let Pinned { day, panel, revision, quantity, reason, .. } = body.value.clone();
        let made = store::pins::insert(tx, &NewPin { day, panel, revision, quantity, reason }).await?;
        let location = format!("/pins/{}", made.value.id);
        Ok(Shown::new(made.version, &Pin::from(made.value))?.reply().created_at(location))
    })
    .await
}

#[utoipa::path(
    tag = "pins", summary = "Unpin a pour", description = "The planner decides again.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)), responses((status = 204, description = "It is pinned no more"))
)]
#[delete("/pins/{id}")]
async fn remove(state: Data<State>, id: Path<i64>, seen: IfMatch, asked: Asked) -> Answer {
    let id = PinId::new(*id);
    alter(&state, &asked, async |tx| {
        let found = store::pins::find(tx, id).await?.ok_or_else(|| Problem::not_found(NOUN, id))?;
        let before = Shown::new(found.version, &Pin::from(found.value))?;
        seen.agrees(&before)?;
        store::pins::remove(tx, id, found.version).await?;
        Ok(Altered::removed(before.form().clone()))
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(read).service(remove);
}
