//! How a planning run gets on while it is at work, and that somebody wants it to stop. Kept beside the run: news of it are no
//! changes of it.

use chrono::{DateTime, Utc};
use sea_orm::{ActiveModelTrait as _, EntityTrait as _, IntoActiveModel as _};
use workshop::documents::plan::Figures;
use workshop::ids::RunId;
use workshop::runs::{RunProgress, RunState};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::parts;
use crate::runs;
use crate::table::table;
use crate::tx::Tx;
use crate::words::moment;

table!(run_progress, "run_progress", {
    #[sea_orm(primary_key, auto_increment = false)]
    run: i64,
    told_at: Option<DateTimeUtc>,
    #[sea_orm(column_type = "Double", nullable)]
    seconds: Option<f64>,
    way: Option<String>,
    #[sea_orm(column_type = "Double", nullable)]
    order_days_late: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    panel_days_late: Option<f64>,
    material_cost: Option<i64>,
    changes: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    bound: Option<f64>,
    sentence: Option<String>,
    stop_asked_at: Option<DateTimeUtc>,
});

/// What is known of a run at work.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Progress {
    /// Its newest news and when they were told; none before the first.
    pub news: Option<(DateTime<Utc>, RunProgress)>,
    /// When somebody asked it to stop.
    pub stop_asked_at: Option<DateTime<Utc>>,
}

/// What is known of a run; nothing of one that never told anything.
pub async fn of(tx: &Tx, run: RunId) -> Result<Progress> {
    Ok(row(tx, run).await?.map(value).unwrap_or_default())
}

/// Keeps the newest news of a run, in the place of the older.
pub async fn tell(tx: &Tx, run: RunId, at: DateTime<Utc>, news: &RunProgress) -> Result<()> {
    let before = row(tx, run).await?;
    let told = run_progress::Model {
        run: run.get(),
        told_at: Some(moment(at)),
        seconds: Some(news.seconds),
        way: Some(news.way.clone()),
        order_days_late: Some(news.figures.order_days_late),
        panel_days_late: Some(news.figures.panel_days_late),
        material_cost: Some(news.figures.material_cost),
        changes: Some(news.figures.changes),
        bound: Some(news.bound),
        sentence: Some(news.sentence.clone()),
        stop_asked_at: before.as_ref().and_then(|row| row.stop_asked_at),
    };
    put(tx, before.is_some(), told).await
}

/// Asks a run to stop. Asking again changes nothing. [`StoreError::NotFound`], [`StoreError::NotNow`] where it has ended.
pub async fn ask_to_stop(tx: &Tx, run: RunId, at: DateTime<Utc>) -> Result<()> {
    let found = runs::find(tx, run).await?.ok_or_else(|| StoreError::not_found("planning run", run))?;
    if matches!(found.value.state, RunState::Planned | RunState::Failed) {
        let why = "has ended already".to_owned();
        return Err(StoreError::NotNow { noun: "planning run", id: run.to_string(), why });
    }
    let before = row(tx, run).await?;
    let there = before.is_some();
    let empty = run_progress::Model {
        run: run.get(),
        told_at: None,
        seconds: None,
        way: None,
        order_days_late: None,
        panel_days_late: None,
        material_cost: None,
        changes: None,
        bound: None,
        sentence: None,
        stop_asked_at: None,
    };
    let asked = before.unwrap_or(empty);
    let first = asked.stop_asked_at.or(Some(moment(at)));
    put(tx, there, run_progress::Model { stop_asked_at: first, ..asked }).await
}

async fn row(tx: &Tx, run: RunId) -> Result<Option<run_progress::Model>> {
    let found = run_progress::Entity::find_by_id(run.get()).one(tx.reads()).await;
    found.attempted(|| format!("read how planning run {run} gets on"))
}

async fn put(tx: &Tx, there: bool, row: run_progress::Model) -> Result<()> {
    if !there {
        return parts::put(tx, vec![row]).await;
    }
    let attempted = format!("write how planning run {} gets on", row.run);
    row.into_active_model().reset_all().update(tx.writes()?).await.attempted(|| attempted)?;
    Ok(())
}

fn value(row: run_progress::Model) -> Progress {
    let figures = Figures {
        order_days_late: row.order_days_late.unwrap_or_default(),
        panel_days_late: row.panel_days_late.unwrap_or_default(),
        material_cost: row.material_cost.unwrap_or_default(),
        changes: row.changes.unwrap_or_default(),
    };
    let news = |at: DateTime<Utc>| {
        let (way, sentence) = (row.way.clone().unwrap_or_default(), row.sentence.clone().unwrap_or_default());
        (
            at,
            RunProgress {
                seconds: row.seconds.unwrap_or_default(),
                way,
                figures,
                bound: row.bound.unwrap_or_default(),
                sentence,
            },
        )
    };
    Progress { news: row.told_at.map(news), stop_asked_at: row.stop_asked_at }
}
