//! Jobs: what the worker has to do, and what it had to set aside.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::ids::JobId;

use crate::http::body::Asked;
use crate::http::paging::Page;
use crate::http::reply::{Answer, Reply, once};
use crate::state::State;
use crate::wire::office::{Job, JobState};

/// Which jobs.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct JobFilter {
    /// Only those in this state.
    #[param(inline)]
    pub state: Option<JobState>,
}

#[utoipa::path(
    tag = "jobs", summary = "List jobs", description = "In the order they were asked for, in pages; those set aside need a person.", params(JobFilter, Page),
    responses((status = 200, description = "A page of them", body = Vec<Job>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/jobs")]
async fn list(state: Data<State>, filter: Query<JobFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse().ok().map(JobId::new))?;
    let tx = state.store.read().await?;
    let found = store::jobs::page(&tx, filter.state.map(Into::into), after, page.limit_and_one()).await?;
    tx.rollback().await?;
    let word = filter.state.and_then(|state| serde_json::to_value(state).ok()?.as_str().map(str::to_owned));
    page.reply("/jobs", &[("state", word)], found, |job| job.id.to_string(), Job::from)
}

#[utoipa::path(
    tag = "jobs", summary = "Try a job again", description = "One that was set aside; the worker takes it up with its next look.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)), responses((status = 204, description = "It waits again"))
)]
#[post("/jobs/{id}/retry")]
async fn retry(state: Data<State>, id: Path<i64>, asked: Asked) -> Answer {
    once(&state, &asked, async |tx| {
        store::jobs::retry_set_aside(tx, JobId::new(*id), state.now()).await?;
        Ok(Reply::done())
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(retry);
}
