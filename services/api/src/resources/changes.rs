//! What changed from one plan to the next.

use actix_web::get;
use actix_web::web::{self, Data, Path};
use planner::Comparison;
use store::{Tx, runs};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::documents::{Facts, Plan};
use workshop::ids::RunId;
use workshop::runs::RunState;

use super::plan::{facts_of, plan_of};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::changes::RunChanges;

/// What a run was told and what it decided; nothing where it brought no plan.
async fn planned(tx: &Tx, run: RunId) -> Result<Option<(Facts, Plan)>, Problem> {
    let found = runs::find(tx, run).await?.ok_or_else(|| Problem::not_found("planning run", run))?;
    if found.value.state != RunState::Planned {
        return Ok(None);
    }
    let documents = runs::documents(tx, run).await?;
    Ok(Some((facts_of(run, documents.facts.as_deref())?, plan_of(run, documents.plan.as_deref())?)))
}

/// Two plans and what each was told, and the run of the earlier.
type Pair = (RunId, (Facts, Plan), (Facts, Plan));

/// A run's plan and the plan that was in force when its facts were read; nothing where one of them is not there.
async fn pair(tx: &Tx, run: RunId) -> Result<Option<Pair>, Problem> {
    let found = runs::find(tx, run).await?.ok_or_else(|| Problem::not_found("planning run", run))?;
    let Some(before) = found.value.parent else { return Ok(None) };
    let (Some(old), Some(new)) = (planned(tx, before).await?, planned(tx, run).await?) else { return Ok(None) };
    Ok(Some((before, old, new)))
}

/// Holds a run's plan against the plan that was in force when its facts were read; nothing where one of them is not there.
/// Both are read first, so that no transaction is open while they are compared.
///
/// # Errors
/// Those of the database, and documents that cannot be read.
pub async fn since_before(tx: Tx, run: RunId) -> Result<Option<(RunId, Comparison)>, Problem> {
    let pair = pair(&tx, run).await;
    tx.rollback().await?;
    let Some((before, (old_facts, old), (new_facts, new))) = pair? else { return Ok(None) };
    let compared = web::block(move || planner::compare(&old_facts, &old, &new_facts, &new)).await;
    let compared = compared.map_err(|error| Problem::internal(format!("two plans were not compared: {error}")))?;
    Ok(Some((before, compared)))
}

#[utoipa::path(
    tag = "planning", summary = "What a run's plan changes",
    description = "Line by line what its plan has otherwise than the plan in force when its facts were read, each with the change of the facts it comes from. 404 where the run brought no plan, or there was none before it.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The changes", body = RunChanges))
)]
#[get("/planning-runs/{id}/changes")]
async fn read(state: Data<State>, id: Path<i64>) -> Answer {
    let run = RunId::new(*id);
    let tx = state.store.read().await?;
    let found = since_before(tx, run).await?;
    let missing = || Problem::not_found("plan before and after", format!("of planning run {run}"));
    let (before, compared) = found.ok_or_else(missing)?;
    Reply::json(&RunChanges::of(run, before, compared))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(read);
}
