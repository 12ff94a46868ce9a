//! Whether the service is there, and whether all is well with what it needs.

use actix_web::get;
use actix_web::web::Data;
use chrono::{DateTime, Duration, Utc};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply, to_value};
use crate::state::State;
use crate::wire::office::{Condition, Live, Ready};

#[utoipa::path(
    tag = "health", summary = "Is the service there?", description = "Answers as long as the program runs, whatever else is wrong.",
    security(()), responses((status = 200, description = "It is", body = Live))
)]
#[get("/health/live")]
async fn live() -> Answer {
    Reply::json(&Live { alive: true, version: env!("CARGO_PKG_VERSION").to_owned() })
}

#[utoipa::path(
    tag = "health", summary = "Is all well?", description = "The truth about the database, the worker and the plan in force. 503 where the database is away or not up to date: then no request can be answered.",
    security(()),
    responses(
        (status = 200, description = "Requests can be answered; remarks say what is not well all the same", body = Ready),
        (status = 503, description = "Requests cannot be answered now", body = Ready),
    )
)]
#[get("/health/ready")]
async fn ready(state: Data<State>) -> Answer {
    let found = look(&state).await;
    let status = if found.ready { 200 } else { 503 };
    Ok(Reply::of_value(&to_value(&found)?).with_status(status))
}

/// What the records tell about the others.
struct Seen {
    pending: usize,
    beat: Option<DateTime<Utc>>,
    plan_since: Option<DateTime<Utc>>,
}

async fn look(state: &State) -> Ready {
    match seen(state).await {
        Ok(seen) => told(seen, state.now(), state.config.worker_silence_seconds),
        Err(problem) => Ready {
            ready: false,
            database: Condition::Missing,
            worker: Condition::Unknown,
            worker_seen_at: None,
            plan: Condition::Unknown,
            plan_in_force_since: None,
            plan_age_seconds: None,
            remarks: vec![problem.detail().to_owned()],
        },
    }
}

async fn seen(state: &State) -> Result<Seen, Problem> {
    state.store.ping().await?;
    let pending = state.store.pending().await?.len();
    let tx = state.store.read().await?;
    let beat = store::beats::last(&tx).await?;
    let plan_since = store::runs::in_force(&tx).await?.map(|(_, since, _)| since);
    tx.rollback().await?;
    Ok(Seen { pending, beat, plan_since })
}

fn told(seen: Seen, now: DateTime<Utc>, silence_seconds: i64) -> Ready {
    let worker = match seen.beat {
        None => Condition::Missing,
        Some(beat) if now - beat > Duration::seconds(silence_seconds) => Condition::Silent,
        Some(_) => Condition::There,
    };
    let mut remarks = Vec::new();
    if seen.pending > 0 {
        remarks.push(format!("The database lacks {} changes of its tables: run mouldboard migrate.", seen.pending));
    }
    match (worker, seen.beat) {
        (Condition::Missing, _) => {
            remarks.push("No worker has been heard of: nothing is planned and no tickets are issued.".to_owned())
        }
        (Condition::Silent, Some(beat)) => {
            remarks.push(format!("The worker was last heard of at {}.", beat.to_rfc3339()))
        }
        _ => {}
    }
    if seen.plan_since.is_none() {
        remarks.push("There is no plan in force yet.".to_owned());
    }
    Ready {
        ready: seen.pending == 0,
        database: if seen.pending == 0 { Condition::There } else { Condition::Missing },
        worker,
        worker_seen_at: seen.beat,
        plan: if seen.plan_since.is_some() { Condition::There } else { Condition::Missing },
        plan_in_force_since: seen.plan_since,
        plan_age_seconds: seen.plan_since.map(|since| (now - since).num_seconds()),
        remarks,
    }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(live).service(ready);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_truth_about_worker_and_plan() {
        let now = DateTime::from_timestamp(1_800_000_000, 0).unwrap();
        let cases = [
            (0, Some(10), true, Condition::There, 1),
            (0, Some(1000), true, Condition::Silent, 2),
            (0, None, true, Condition::Missing, 2),
            (2, Some(10), false, Condition::There, 2),
        ];
        for (pending, age, is_ready, worker, remarks) in cases {
            let beat = age.map(|seconds| now - Duration::seconds(seconds));
            let health = told(Seen { pending, beat, plan_since: None }, now, 120);
            assert_eq!((health.ready, health.worker, health.remarks.len()), (is_ready, worker, remarks), "{age:?}");
        }
    }
}
