//! How a planning run at work is getting on, and stopping it.

use actix_web::web::{Data, Path};
use actix_web::{get, post};
use store::{Tx, progress, runs};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::ids::RunId;

use crate::http::body::Asked;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply, once};
use crate::state::State;
use crate::wire::progress::RunProgress;

async fn of(tx: &Tx, run: RunId) -> Result<RunProgress, Problem> {
    let found = runs::find(tx, run).await?.ok_or_else(|| Problem::not_found("planning run", run))?;
    Ok(RunProgress::of(&found.value, progress::of(tx, run).await?))
}

#[utoipa::path(
    tag = "planning", summary = "How a run is getting on",
    description = "The best plan so far, the bound no plan can be below and the gap between the two, as last written down by its worker: about once a second while it is at work.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "How it gets on", body = RunProgress))
)]
#[get("/planning-runs/{id}/progress")]
async fn read(state: Data<State>, id: Path<i64>) -> Answer {
    let tx = state.store.read().await?;
    let found = of(&tx, RunId::new(*id)).await?;
    tx.rollback().await?;
    Reply::json(&found)
}

#[utoipa::path(
    tag = "planning", summary = "Stop a run",
    description = "It ends with the best plan it has by then, which is checked, explained and taken over like any other, within a second or two, in the middle of a solve as well. A run that counts its steps instead of seconds comes to the same plan every time only where it is left to its end.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 202, description = "It is asked to stop", body = RunProgress))
)]
#[post("/planning-runs/{id}/stop")]
async fn stop(state: Data<State>, id: Path<i64>, asked: Asked) -> Answer {
    let run = RunId::new(*id);
    once(&state, &asked, async |tx| {
        runs::find(tx, run).await?.ok_or_else(|| Problem::not_found("planning run", run))?;
        progress::ask_to_stop(tx, run, state.now()).await?;
        Ok(Reply::json(&of(tx, run).await?)?.with_status(202))
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(read).service(stop);
}
