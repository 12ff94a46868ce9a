//! Quotes: the day an order not yet placed can be promised for, worked out on the plan in force. Nothing is kept of them.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Instant;

use actix_web::post;
use actix_web::web::{self, Data};
use chrono::NaiveDate as Day;
use planner::{Limits, Promise, PromiseFailure, Wish};
use store::{Record, Tx, runs, tickets};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::PanelSet;
use workshop::checks::order::range_faults;
use workshop::documents::facts::OrderLine;
use workshop::documents::{Facts, Plan};
use workshop::ids::{FinishId, PanelId};
use workshop::orders::{Order, OrderState};

use super::orders::range;
use super::plan::{InForce, facts_of, none_in_force};
use crate::http::body::Body;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::quotes::{AskedQuote, Quote, Wanted};

/// Seconds a quote may look for a sooner day beyond its first answer.
const SECONDS: f64 = 0.05;

/// What a quote rests on.
struct Ground {
    in_force: InForce,
    facts: Facts,
    lines: Vec<OrderLine>,
    from: Day,
    orders_not_planned: Vec<String>,
}

impl Ground {
    async fn read(state: &State, tx: &Tx, wanted: &Wanted) -> Result<Self, Problem> {
        let in_force = InForce::read(tx).await?.ok_or_else(none_in_force)?;
        let faults = range_faults(&wanted.lines, &range(tx).await?);
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let documents = runs::documents(tx, in_force.run.id).await?;
        let facts = facts_of(in_force.run.id, documents.facts.as_deref())?;
        let sets: BTreeMap<_, _> = PanelSet::all(tx).await?.into_iter().map(|set| (set.id.clone(), set)).collect();
        let panels = workshop::orders::panels(&wanted.lines, &sets);
        let line = |((panel, finish), quantity): ((PanelId, FinishId), i64)| OrderLine {
            panel: panel.to_string(),
            finish: finish.to_string(),
            quantity,
        };
        let lines = panels.into_iter().map(line).collect();
        let known: BTreeSet<&str> = facts.orders.iter().map(|order| order.id.as_str()).collect();
        let open = Order::all(tx).await?.into_iter().filter(|order| order.state == OrderState::Open);
        let orders_not_planned =
            open.map(|order| order.id.to_string()).filter(|id| !known.contains(id.as_str())).collect();
        let today = state.today(tx).await?;
        let first = if tickets::is_issued(tx, today).await? { today.succ_opt().unwrap_or(today) } else { today };
        let from = wanted.not_before.map_or(first, |day| day.max(first));
        Ok(Self { in_force, facts, lines, from, orders_not_planned })
    }
}

#[utoipa::path(
    tag = "orders", summary = "Ask when an order could be ready",
    description = "The earliest day without making any promised order later, sooner days with who would wait and by how much, and the price of the materials: worked out on the plan in force, each day with a plan that the checker accepts. Nothing is kept of it.",
    security(("token" = ["reader"])), request_body = AskedQuote,
    responses((status = 200, description = "What can be promised", body = Quote))
)]
#[post("/quotes")]
async fn create(state: Data<State>, body: Body<AskedQuote>) -> Answer {
    let tx = state.store.read().await?;
    let ground = Ground::read(&state, &tx, &body.value).await;
    tx.rollback().await?;
    let Ground { in_force, facts, lines, from, orders_not_planned } = ground?;
    let (plan, weight) = (in_force.plan, body.value.weight);
    let found = web::block(move || promised(&facts, &plan, &lines, weight, from)).await;
    let found = found.map_err(|error| Problem::internal(format!("a quote was not worked out: {error}")))?;
    let promise = found.map_err(|failure| refused(&failure))?;
    Reply::json(&Quote::of(&in_force.run, in_force.since, promise, orders_not_planned))
}

fn promised(
    facts: &Facts,
    plan: &Plan,
    lines: &[OrderLine],
    weight: f64,
    from: Day,
) -> Result<Promise, PromiseFailure> {
    let started = Instant::now();
    let wish = Wish { lines, weight, from: Some(from) };
    planner::promise(facts, plan, &wish, &Limits::seconds(SECONDS, 1, 1), &|| started.elapsed().as_secs_f64())
}

/// A panel or finish that came into the catalogue after the plan was made is not in its facts: then a plan has to come first.
fn refused(failure: &PromiseFailure) -> Problem {
    match failure {
        PromiseFailure::Facts(faults) => {
            let told = |fault: &planner::Fault| {
                Fault::at("/lines", format!("the plan in force does not know it ({fault}): ask for a plan first"))
            };
            Problem::faulty(faults.iter().map(told).collect())
        }
        PromiseFailure::Plan(_) => Problem::internal(format!("a quote on the plan in force: {failure}")),
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(create);
}
