//! The form of a planning run at work.

use chrono::{DateTime, Utc};
use serde::Serialize;
use store::progress::Progress;
use utoipa::ToSchema;
use workshop::runs::PlanningRun;

use super::planning::{Figures, RunState};

/// How a planning run is getting on, as last written down by its worker.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "run": 7, "state": "running", "told_at": "2026-05-04T05:00:09Z", "seconds": 7.2, "way": "search",
    "best": { "order_days_late": 14.0, "material_cost_minor": 183250, "changes": 2, "panel_days_late": 61.0 },
    "bound_order_days_late": 9.0, "gap": 0.357, "sentence": "a better plan", "stop_asked_at": null,
}))]
pub struct RunProgress {
    /// The run's number.
    pub run: i64,
    /// Where it stands.
    pub state: RunState,
    /// When its news were written down; null before the first.
    pub told_at: Option<DateTime<Utc>>,
    /// How long it had planned then; 0 in a run that counts steps.
    pub seconds: Option<f64>,
    /// Which way was at work: foreman, search or exact.
    pub way: Option<String>,
    /// The figures of the best plan so far.
    pub best: Option<Figures>,
    /// No plan has fewer order-days late than this, as far as proven by then.
    pub bound_order_days_late: Option<f64>,
    /// How far the best plan is from the bound, as a share of its value.
    pub gap: Option<f64>,
    /// The last news in words.
    pub sentence: Option<String>,
    /// When somebody asked it to stop.
    pub stop_asked_at: Option<DateTime<Utc>>,
}

impl RunProgress {
    /// Of a run and what its worker wrote down.
    pub fn of(run: &PlanningRun, known: Progress) -> Self {
        let (told_at, news) = known.news.unzip();
        let gap = news.as_ref().map(workshop::runs::RunProgress::gap);
        Self {
            run: run.id.get(),
            state: run.state.into(),
            told_at,
            seconds: news.as_ref().map(|n| n.seconds),
            best: news.as_ref().map(|n| n.figures.into()),
            bound_order_days_late: news.as_ref().map(|n| n.bound),
            gap,
            way: news.as_ref().map(|n| n.way.clone()),
            sentence: news.map(|n| n.sentence),
            stop_asked_at: known.stop_asked_at,
        }
    }
}
