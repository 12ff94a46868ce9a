//! The workshop itself: one, read and put.

use actix_web::web::Data;
use actix_web::{get, put};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::soaking::COMMON_PRACTICE;

use crate::http::body::Body;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Shown};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::site::Workshop;

#[utoipa::path(
    tag = "workshop", summary = "Read the workshop", description = "Its time zone, days, limits and ways.",
    responses(
        (status = 200, description = "The workshop", body = Workshop, headers(("ETag" = String, description = "its version"))),
        (status = 404, description = "None has been recorded yet", body = crate::wire::problem::Problem, content_type = "application/problem+json"),
    )
)]
#[get("/workshop")]
async fn read(state: Data<State>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let site = store::site::get(&tx).await?;
    tx.rollback().await?;
    let site = site.ok_or_else(|| Problem::not_found("workshop", "recorded yet: put one"))?;
    Ok(Shown::new(site.version, &Workshop::from(site.value))?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "workshop", summary = "Put the workshop", description = "The whole of it; the first time without If-Match.",
    request_body = Workshop,
    responses((status = 200, description = "As it is now", body = Workshop, headers(("ETag" = String, description = "its version"))))
)]
#[put("/workshop")]
async fn put_workshop(state: Data<State>, seen: IfMatch, body: Body<Workshop>) -> Answer {
    alter(&state, &body.asked, async |tx| {
        let current = store::site::get(tx).await?;
        let mut new = body.value.clone();
        if new.soaking.is_empty() {
            new.soaking = current.as_ref().map_or(COMMON_PRACTICE.to_vec(), |current| current.value.soaking.clone());
        }
        let version = current.as_ref().map(|current| current.version);
        let before = current.map(|current| Shown::new(current.version, &Workshop::from(current.value))).transpose()?;
        before.as_ref().map_or(Ok(()), |before| seen.agrees(before))?;
        let put = store::site::put(tx, &new, version).await?;
        Ok(Altered::put(before, &Shown::new(put.version, &Workshop::from(put.value))?))
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(read).service(put_workshop);
}
