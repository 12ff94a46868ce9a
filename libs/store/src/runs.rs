//! Planning runs, their documents, and the one plan in force.

use chrono::{DateTime, NaiveDate as Day, Utc};
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _, QuerySelect as _,
};
use workshop::documents::plan::Figures;
use workshop::ids::{DeliveryId, RunId};
use workshop::notices::{Kind, NewNotice};
use workshop::runs::{PlanningRun, RunDocuments, RunState};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::notices;
use crate::parts;
use crate::record::Versioned;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, moment};

table!(planning_run, "planning_run", {
    #[sea_orm(primary_key)]
    id: i64,
    version: i64,
    state: String,
    asked_at: DateTimeUtc,
    reason: Option<String>,
    facts_at: Option<DateTimeUtc>,
    first_day: Option<Date>,
    ended_at: Option<DateTimeUtc>,
    parent: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    order_days_late: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    panel_days_late: Option<f64>,
    material_cost: Option<i64>,
    changes: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    bound: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    gap: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    seconds: Option<f64>,
    way: Option<String>,
    remark: Option<String>,
    facts_mark: Option<i64>,
    facts_delivery: Option<i64>,
});

table!(
/// Apart from the run, so that a page of runs does not carry them.
run_document, "run_document", {
    #[sea_orm(primary_key, auto_increment = false)]
    run: i64,
    facts: Option<String>,
    plan: Option<String>,
    explanation: Option<String>,
});

table!(plan_in_force, "plan_in_force", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: i64,
    run: i64,
    since: DateTimeUtc,
});

const NOUN: &str = "planning run";
/// The key of the one row that says which plan is in force.
const ONE: i64 = 1;

/// A new run, waiting.
pub async fn ask(tx: &Tx, at: DateTime<Utc>, reason: Option<&str>) -> Result<PlanningRun> {
    let row = planning_run::ActiveModel {
        version: ActiveValue::Set(1),
        state: ActiveValue::Set(RunState::Waiting.word()),
        asked_at: ActiveValue::Set(moment(at)),
        reason: ActiveValue::Set(reason.map(str::to_owned)),
        ..Default::default()
    };
    let written =
        planning_run::Entity::insert(row).exec(tx.writes()?).await.attempted(|| "ask for a plan".to_owned())?;
    let run = written.last_insert_id;
    parts::put(tx, vec![run_document::Model { run, facts: None, plan: None, explanation: None }]).await?;
    Ok(value(row_of(tx, RunId::new(run)).await?)?.value)
}

/// The run with this number, if there is one.
pub async fn find(tx: &Tx, id: RunId) -> Result<Option<Versioned<PlanningRun>>> {
    let row = planning_run::Entity::find_by_id(id.get())
        .one(tx.reads())
        .await
        .attempted(|| format!("read planning run {id}"))?;
    row.map(value).transpose()
}

/// Up to `limit` runs older than the one named, newest first.
pub async fn page(tx: &Tx, after: Option<RunId>, limit: u64) -> Result<Vec<Versioned<PlanningRun>>> {
    let mut rows = planning_run::Entity::find().order_by_desc(planning_run::Column::Id).limit(limit);
    if let Some(after) = after {
        rows = rows.filter(planning_run::Column::Id.lt(after.get()));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| "read planning runs".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// The documents of a run.
pub async fn documents(tx: &Tx, id: RunId) -> Result<RunDocuments> {
    let row = run_document::Entity::find_by_id(id.get())
        .one(tx.reads())
        .await
        .attempted(|| format!("read the documents of planning run {id}"))?
        .ok_or_else(|| StoreError::not_found(NOUN, id))?;
    Ok(RunDocuments { facts: row.facts, plan: row.plan, explanation: row.explanation })
}

/// Says that a run is at work on these facts. A run that was at work may begin again: its worker may have died.
/// [`StoreError::NotNow`] where it has ended.
pub async fn begin(
    tx: &Tx,
    id: RunId,
    facts_at: DateTime<Utc>,
    first_day: Day,
    parent: Option<RunId>,
    facts_document: &str,
) -> Result<Versioned<PlanningRun>> {
    let mut row = not_ended(tx, id).await?;
    row.state = RunState::Running.word();
    row.facts_at = Some(moment(facts_at));
    row.first_day = Some(first_day);
    row.parent = parent.map(RunId::get);
    let documents =
        run_document::Model { run: id.get(), facts: Some(facts_document.to_owned()), plan: None, explanation: None };
    replace_documents(tx, documents).await?;
    replace_row(tx, row).await
}

/// Says that a run brought a plan that the checker accepts.
#[expect(clippy::too_many_arguments, reason = "each is one column of the run, and all are there when it ends")]
pub async fn finish_planned(
    tx: &Tx,
    id: RunId,
    ended_at: DateTime<Utc>,
    figures: Figures,
    bound: Option<f64>,
    gap: Option<f64>,
    seconds: Option<f64>,
    way: Option<&str>,
    plan_document: &str,
    explanation_document: &str,
) -> Result<Versioned<PlanningRun>> {
    let mut row = not_ended(tx, id).await?;
    row.state = RunState::Planned.word();
    row.ended_at = Some(moment(ended_at));
    row.order_days_late = Some(figures.order_days_late);
    row.panel_days_late = Some(figures.panel_days_late);
    row.material_cost = Some(figures.material_cost);
    row.changes = Some(figures.changes);
    row.bound = bound;
    row.gap = gap;
    row.seconds = seconds;
    row.way = way.map(str::to_owned);
    let facts = documents(tx, id).await?.facts;
    let documents = run_document::Model {
        run: id.get(),
        facts,
        plan: Some(plan_document.to_owned()),
        explanation: Some(explanation_document.to_owned()),
    };
    replace_documents(tx, documents).await?;
    replace_row(tx, row).await
}

/// Says that a run brought none, and why; a plan that the checker refused is kept beside it.
pub async fn finish_failed(
    tx: &Tx,
    id: RunId,
    ended_at: DateTime<Utc>,
    remark: &str,
    plan_document: Option<&str>,
) -> Result<Versioned<PlanningRun>> {
    let mut row = not_ended(tx, id).await?;
    row.state = RunState::Failed.word();
    row.ended_at = Some(moment(ended_at));
    row.remark = Some(remark.to_owned());
    let facts = documents(tx, id).await?.facts;
    let plan = plan_document.map(str::to_owned);
    replace_documents(tx, run_document::Model { run: id.get(), facts, plan, explanation: None }).await?;
    replace_row(tx, row).await
}

/// The run whose plan is in force, and since when.
pub async fn in_force(tx: &Tx) -> Result<Option<(RunId, DateTime<Utc>, Versioned<PlanningRun>)>> {
    let row = plan_in_force::Entity::find_by_id(ONE)
        .one(tx.reads())
        .await
        .attempted(|| "read which plan is in force".to_owned())?;
    let Some(row) = row else { return Ok(None) };
    let id = RunId::new(row.run);
    Ok(Some((id, row.since, value(row_of(tx, id).await?)?)))
}

/// Puts the plan of a run in force. [`StoreError::NotPlanned`] where it brought none that is good,
/// [`StoreError::StaleFacts`] where its facts are older than those of the plan in force, or than tickets issued for a day
/// it plans. Putting in force what is in
/// force changes nothing.
pub async fn put_in_force(tx: &Tx, id: RunId, at: DateTime<Utc>) -> Result<()> {
    tx.writes()?;
    let run = find(tx, id).await?.ok_or_else(|| StoreError::not_found(NOUN, id))?.value;
    if run.state != RunState::Planned {
        return Err(StoreError::NotPlanned);
    }
    let row = plan_in_force::Model { id: ONE, run: id.get(), since: moment(at) };
    let issued = match run.first_day {
        Some(first) => crate::tickets::issued_days(tx, first).await?,
        None => Vec::new(),
    };
    match in_force(tx).await? {
        Some((current, _, _)) if current == id => return Ok(()),
        // Tickets went out for a day it still plans: what it believes of that day is no longer so.
        _ if !issued.is_empty() => return Err(StoreError::StaleFacts),
        Some((current, _, _)) if knows_less(tx, id, current).await? => return Err(StoreError::StaleFacts),
        Some(_) => {
            let attempted = || format!("put planning run {id} in force");
            row.into_active_model().reset_all().update(tx.writes()?).await.attempted(attempted)?;
        }
        None => parts::put(tx, vec![row]).await?,
    }
    let sentence = format!("The plan of run {id} is in force.");
    notices::write(tx, &NewNotice { kind: Kind::PlanInForce, subject: id.to_string(), sentence }).await
}

/// Whether the facts of one run are older than those of another: by the last change they knew of, which is counted in the
/// order things were written; by the clock where that is the same, or was not noted.
async fn knows_less(tx: &Tx, id: RunId, than: RunId) -> Result<bool> {
    let (one, other) = (row_of(tx, id).await?, row_of(tx, than).await?);
    Ok(match (one.facts_mark, other.facts_mark) {
        (Some(knows), Some(knew)) if knows != knew => knows < knew,
        _ => one.facts_at < other.facts_at,
    })
}

/// Notes the last delivery a run's facts knew of; none where there was none yet.
pub async fn knew_deliveries(tx: &Tx, id: RunId, last: Option<DeliveryId>) -> Result<()> {
    let mut changed = row_of(tx, id).await?.into_active_model();
    changed.facts_delivery = ActiveValue::Set(Some(last.map_or(0, DeliveryId::get)));
    changed.update(tx.writes()?).await.attempted(|| format!("write which deliveries planning run {id} knew of"))?;
    Ok(())
}

/// The number of the last delivery a run's facts knew of, 0 where there was none yet; none where that was never noted.
pub(crate) async fn known_delivery(tx: &Tx, id: RunId) -> Result<Option<i64>> {
    Ok(row_of(tx, id).await?.facts_delivery)
}

/// Says something of a run: why it was not put in force, for one.
pub async fn set_remark(tx: &Tx, id: RunId, remark: Option<&str>) -> Result<Versioned<PlanningRun>> {
    let mut row = row_of(tx, id).await?;
    row.remark = remark.map(str::to_owned);
    replace_row(tx, row).await
}

async fn row_of(tx: &Tx, id: RunId) -> Result<planning_run::Model> {
    planning_run::Entity::find_by_id(id.get())
        .one(tx.reads())
        .await
        .attempted(|| format!("read planning run {id}"))?
        .ok_or_else(|| StoreError::not_found(NOUN, id))
}

async fn not_ended(tx: &Tx, id: RunId) -> Result<planning_run::Model> {
    let row = row_of(tx, id).await?;
    match RunState::of(&row.state)? {
        RunState::Waiting | RunState::Running => Ok(row),
        RunState::Planned | RunState::Failed => {
            let why = format!("has ended ({}): ask for another", row.state);
            Err(StoreError::NotNow { noun: NOUN, id: id.to_string(), why })
        }
    }
}

async fn replace_row(tx: &Tx, mut row: planning_run::Model) -> Result<Versioned<PlanningRun>> {
    row.version += 1;
    let active = row.clone().into_active_model().reset_all();
    active.update(tx.writes()?).await.attempted(|| format!("write planning run {}", row.id))?;
    value(row)
}

async fn replace_documents(tx: &Tx, row: run_document::Model) -> Result<()> {
    let attempted = format!("write the documents of planning run {}", row.run);
    row.into_active_model().reset_all().update(tx.writes()?).await.attempted(|| attempted)?;
    Ok(())
}

fn value(row: planning_run::Model) -> Result<Versioned<PlanningRun>> {
    let figures = match (row.order_days_late, row.panel_days_late, row.material_cost, row.changes) {
        (Some(order_days_late), Some(panel_days_late), Some(material_cost), Some(changes)) => {
            Some(Figures { order_days_late, panel_days_late, material_cost, changes })
        }
        _ => None,
    };
    let value = PlanningRun {
        id: RunId::new(row.id),
        state: RunState::of(&row.state)?,
        asked_at: row.asked_at,
        reason: row.reason,
        facts_at: row.facts_at,
        first_day: row.first_day,
        ended_at: row.ended_at,
        parent: row.parent.map(RunId::new),
        figures,
        bound: row.bound,
        gap: row.gap,
        seconds: row.seconds,
        way: row.way,
        remark: row.remark,
    };
    Ok(Versioned { version: row.version, value })
}
