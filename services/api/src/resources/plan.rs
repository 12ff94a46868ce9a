//! The pour plan in force.

use actix_web::web::{Data, Query};
use actix_web::{get, put};
use chrono::{DateTime, Utc};
use serde_json::Value;
use store::{Tx, marks, runs};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::documents::{Explanation, Facts, Plan as PlanDocument};
use workshop::ids::RunId;
use workshop::notices::of_plan;
use workshop::runs::PlanningRun;

use crate::http::body::Body;
use crate::http::paging::{MOST, Page, PageOfAll};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Shown, to_value};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::planning::{GivenPlan, Mark, Plan};

/// The plan in force, its run and its documents read.
pub struct InForce {
    /// The run that brought it.
    pub run: PlanningRun,
    /// Since when it is in force.
    pub since: DateTime<Utc>,
    /// What was decided.
    pub plan: PlanDocument,
    /// Why orders are late.
    pub explanation: Explanation,
}

impl InForce {
    /// Reads it; nothing where no plan is in force.
    ///
    /// # Errors
    /// Those of the database, and documents that cannot be read.
    pub async fn read(tx: &Tx) -> Result<Option<Self>, Problem> {
        let Some((id, since, run)) = runs::in_force(tx).await? else { return Ok(None) };
        let documents = runs::documents(tx, id).await?;
        let plan = plan_of(id, documents.plan.as_deref())?;
        let explanation = documents.explanation.as_deref().map(feeds::explanation::read).transpose();
        let explanation = explanation.map_err(|e| Problem::internal(format!("explanation of run {id}: {e}")))?;
        Ok(Some(Self { run: run.value, since, plan, explanation: explanation.unwrap_or_default() }))
    }

    /// As it is answered, with its tag.
    ///
    /// # Errors
    /// Where it cannot be written as JSON.
    pub fn shown(self) -> Result<Shown, Problem> {
        let version = self.run.id.get();
        Shown::new(version, &Plan::of(&self.run, self.since, self.plan, self.explanation))
    }
}

/// Reads the plan document of a run that has one.
///
/// # Errors
/// 500 where it is not there or cannot be read: this program wrote it.
pub fn plan_of(run: RunId, text: Option<&str>) -> Result<PlanDocument, Problem> {
    let text = text.ok_or_else(|| Problem::internal(format!("run {run} has no plan document")))?;
    feeds::documents::read_plan(text).map_err(|faults| unreadable(run, "plan", &faults))
}

/// Reads the facts document of a run that has one.
///
/// # Errors
/// 500 where it is not there or cannot be read: this program wrote it.
pub fn facts_of(run: RunId, text: Option<&str>) -> Result<Facts, Problem> {
    let text = text.ok_or_else(|| Problem::internal(format!("run {run} has no facts document")))?;
    feeds::documents::read_facts(text).map_err(|faults| unreadable(run, "facts", &faults))
}

fn unreadable(run: RunId, what: &str, faults: &[impl std::fmt::Display]) -> Problem {
    let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
    Problem::internal(format!("the {what} of run {run} cannot be read: {}", faults.join("; ")))
}

/// That no plan is in force yet.
pub fn none_in_force() -> Problem {
    Problem::not_found("plan", "in force")
        .with_errors(vec![Fault::at("", "no plan is in force yet: ask for one with POST /planning-runs")])
}

#[utoipa::path(
    tag = "planning", summary = "The plan in force",
    description = "Figures, pours, batches, deliveries to order, when each order is whole, and why some are late.",
    responses((status = 200, description = "The plan", body = Plan, headers(("ETag" = String, description = "its version"))))
)]
#[get("/plan")]
async fn read(state: Data<State>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let found = InForce::read(&tx).await?;
    tx.rollback().await?;
    Ok(found.ok_or_else(none_in_force)?.shown()?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "planning", summary = "Put a plan in force",
    description = "The plan of a run that brought one, where plans wait for a person. Never a plan made from older facts than the one in force. If-Match is the ETag of the plan in force; where there is none yet it is not needed.",
    request_body = GivenPlan,
    responses((status = 200, description = "It is in force", body = Plan, headers(("ETag" = String, description = "its version"))))
)]
#[put("/plan")]
async fn replace(state: Data<State>, seen: IfMatch, body: Body<GivenPlan>) -> Answer {
    alter(&state, &body.asked, async |tx| {
        let mut before = Value::Null;
        if let Some(current) = InForce::read(tx).await? {
            before = to_value(&GivenPlan { run: current.run.id.get() })?;
            seen.agrees(&current.shown()?)?;
        }
        if runs::find(tx, body.value).await?.is_none() {
            let detail = format!("there is no planning run {}: take one from GET /planning-runs", body.value);
            return Err(Problem::faulty(vec![Fault::at("/run", detail)]));
        }
        runs::put_in_force(tx, body.value, state.now()).await?;
        let now_in_force = InForce::read(tx).await?.ok_or_else(none_in_force)?;
        store::notices::stand(tx, &of_plan(&now_in_force.explanation)).await?;
        let after = to_value(&GivenPlan { run: body.value.get() })?;
        Ok(Altered::of(now_in_force.shown()?.reply(), before, after))
    })
    .await
}

#[utoipa::path(
    tag = "planning", summary = "What the plan in force does not know yet",
    description = "Everything that changed since its facts were read and matters to it, the earliest first, in pages. Nothing: it is up to date. Once a calm has followed, and at night, a worker plans anew by itself.",
    params(PageOfAll),
    responses((status = 200, description = "A page of the changes", body = Vec<Mark>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/marks")]
async fn unknown_to_it(state: Data<State>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let known = match runs::in_force(&tx).await? {
        Some((run, ..)) => marks::known(&tx, run).await?,
        None => 0,
    };
    let page = page.into_inner();
    // Their numbers rise, so one that a plan has come to know meanwhile is no reason to begin again.
    let page = Page { after: page.after, limit: page.limit.or(Some(MOST)) };
    let after = page.after(|text| text.parse::<i64>().ok())?.unwrap_or(0).max(known);
    let found = marks::after(&tx, after, page.limit_and_one()).await?;
    tx.rollback().await?;
    page.reply("/marks", &[], found, |mark| mark.id.to_string(), Mark::from)
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(read).service(replace).service(unknown_to_it);
}
