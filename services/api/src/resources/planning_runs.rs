//! Planning runs: asked for here, carried out by a worker, read here again.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use store::{jobs, runs};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::ids::RunId;
use workshop::planning::JOB;
use workshop::runs::RunDocuments;

use crate::http::body::Body;
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfNoneMatch, Reply, Shown, once};
use crate::state::State;
use crate::wire::planning::{GivenRun, PlanningRun};

#[utoipa::path(
    tag = "planning", summary = "Ask for a plan",
    description = "A worker plans in the background; its plan takes over by itself unless the workshop waits for a person. Look at Location to see how it goes.",
    request_body = GivenRun,
    responses((status = 202, description = "It waits to be planned", body = PlanningRun, headers(("Location" = String, description = "its path"))))
)]
#[post("/planning-runs")]
async fn create(state: Data<State>, body: Body<GivenRun>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let now = state.now();
        let run = runs::ask(tx, now, body.value.as_deref()).await?;
        let id = run.id.to_string();
        jobs::enqueue(tx, now, JOB, &id, &id, now).await?;
        let location = format!("/planning-runs/{id}");
        Ok(Reply::json(&PlanningRun::from(run))?.with_status(202).with_header("Location", location))
    })
    .await
}

#[utoipa::path(
    tag = "planning", summary = "List planning runs", description = "The newest first, in pages.", params(Page),
    responses((status = 200, description = "A page of them", body = Vec<PlanningRun>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/planning-runs")]
async fn list(state: Data<State>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse().ok().map(RunId::new))?;
    let tx = state.store.read().await?;
    let found = runs::page(&tx, after, page.limit_and_one()).await?;
    tx.rollback().await?;
    page.reply("/planning-runs", &[], found, |r| r.value.id.to_string(), |r| PlanningRun::from(r.value))
}

#[utoipa::path(
    tag = "planning", summary = "Read a planning run", description = "Where it stands, and what came of it.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The one named", body = PlanningRun, headers(("ETag" = String, description = "its version"))))
)]
#[get("/planning-runs/{id}")]
async fn read(state: Data<State>, id: Path<i64>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let found = runs::find(&tx, RunId::new(*id)).await?;
    tx.rollback().await?;
    let found = found.ok_or_else(|| Problem::not_found("planning run", *id))?;
    Ok(Shown::new(found.version, &PlanningRun::from(found.value))?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "planning", summary = "What a run was told", description = "The facts document, version 1: everything the planner knew.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The document", body = serde_json::Value, content_type = "application/json", example = json!({ "format": "mouldboard-facts/1" })))
)]
#[get("/planning-runs/{id}/facts")]
async fn facts(state: Data<State>, id: Path<i64>) -> Answer {
    document(&state, *id, "facts", |documents| documents.facts).await
}

#[utoipa::path(
    tag = "planning", summary = "What a run decided",
    description = "The plan document, version 1. Of a failed run: the plan that the checker refused, where there is one.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The document", body = serde_json::Value, content_type = "application/json", example = json!({ "format": "mouldboard-plan/1" })))
)]
#[get("/planning-runs/{id}/plan")]
async fn plan(state: Data<State>, id: Path<i64>) -> Answer {
    document(&state, *id, "plan", |documents| documents.plan).await
}

/// A document of a run, as it was written.
async fn document(state: &State, id: i64, noun: &str, pick: impl FnOnce(RunDocuments) -> Option<String>) -> Answer {
    let tx = state.store.read().await?;
    runs::find(&tx, RunId::new(id)).await?.ok_or_else(|| Problem::not_found("planning run", id))?;
    let documents = runs::documents(&tx, RunId::new(id)).await;
    tx.rollback().await?;
    let documents = match documents {
        Ok(documents) => documents,
        Err(store::StoreError::NotFound { .. }) => RunDocuments::default(),
        Err(error) => return Err(error.into()),
    };
    let text = pick(documents).ok_or_else(|| Problem::not_found(noun, format!("of planning run {id}")))?;
    Ok(Reply::text(text, "application/json"))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(create).service(list).service(read).service(facts).service(plan);
}
