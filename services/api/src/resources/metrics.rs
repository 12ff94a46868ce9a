//! Figures for those who watch the service.

use actix_web::get;
use actix_web::web::Data;
use metrics::gauge;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::http::metrics::{DATABASE_UP, JOBS, PLAN_AGE, TEXT, WORKER_SILENT, counted};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;

#[utoipa::path(
    tag = "health", summary = "Figures as Prometheus text",
    description = "Requests by path pattern and status, how long they took, the jobs in the queue, seconds since a worker was heard of and since the plan in force came to be. Where the database is away it says that and nothing else, whoever asks. No names, references or notes.",
    responses((status = 200, description = "The figures", body = String, content_type = "text/plain", example = "mouldboard_database_up 1\n"))
)]
#[get("/metrics")]
async fn figures(state: Data<State>) -> Answer {
    let handle = counted();
    match look(&state).await {
        Ok(()) => gauge!(DATABASE_UP).set(1.0),
        Err(_) => gauge!(DATABASE_UP).set(0.0),
    }
    handle.run_upkeep();
    Ok(Reply::text(handle.render(), TEXT))
}

/// What is told where the database is away: then nobody's token can be looked up, so nothing is told but that.
pub fn without_database() -> Reply {
    Reply::text(format!("{DATABASE_UP} 0\n"), TEXT)
}

async fn look(state: &State) -> Result<(), Problem> {
    let tx = state.store.read().await?;
    let (beat, plan) = (store::beats::last(&tx).await?, store::runs::in_force(&tx).await?);
    let jobs = store::jobs::counts(&tx).await?;
    tx.rollback().await?;
    let since = |at: Option<chrono::DateTime<chrono::Utc>>| {
        at.map_or(f64::NAN, |at| (state.now() - at).num_milliseconds() as f64 / 1000.0)
    };
    gauge!(WORKER_SILENT).set(since(beat));
    gauge!(PLAN_AGE).set(since(plan.map(|(_, since, _)| since)));
    for (job_state, count) in jobs {
        gauge!(JOBS, "state" => job_state).set(count as f64);
    }
    Ok(())
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(figures);
}
