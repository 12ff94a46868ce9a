//! Planning runs and the plan in force.

use chrono::{DateTime, NaiveDate as Day, Utc};

use crate::documents::plan::Figures;
use crate::ids::RunId;

/// Where a planning run stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RunState {
    /// Asked for.
    Waiting,
    /// At work.
    Running,
    /// Brought a plan that the checker accepts.
    Planned,
    /// Brought none; says why.
    Failed,
}

/// One run of the planner.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanningRun {
    /// Its number.
    pub id: RunId,
    /// Where it stands.
    pub state: RunState,
    /// When it was asked for.
    pub asked_at: DateTime<Utc>,
    /// Why it was asked for.
    pub reason: Option<String>,
    /// When its facts were read.
    pub facts_at: Option<DateTime<Utc>>,
    /// First day of its facts.
    pub first_day: Option<Day>,
    /// When it ended.
    pub ended_at: Option<DateTime<Utc>>,
    /// The plan in force when its facts were read.
    pub parent: Option<RunId>,
    /// The figures of its plan.
    pub figures: Option<Figures>,
    /// Proven lower bound of order-days late.
    pub bound: Option<f64>,
    /// Gap between the two.
    pub gap: Option<f64>,
    /// How long it planned, seconds.
    pub seconds: Option<f64>,
    /// Which way found the plan.
    pub way: Option<String>,
    /// Why there is no plan, or why it was not put in force.
    pub remark: Option<String>,
}

/// How a run at work is getting on.
#[derive(Clone, Debug, PartialEq)]
pub struct RunProgress {
    /// Seconds since it began; 0 in a run without a clock.
    pub seconds: f64,
    /// Which way is at work.
    pub way: String,
    /// The figures of the best plan so far.
    pub figures: Figures,
    /// No plan has fewer order-days late than this, as far as is proven yet.
    pub bound: f64,
    /// The last news in words.
    pub sentence: String,
}

impl RunProgress {
    /// Share of the best plan's order-days late that is not proven to be needed; 0 where the bound is reached.
    pub fn gap(&self) -> f64 {
        let late = self.figures.order_days_late;
        ((late - self.bound) / late.max(1.0)).max(0.0)
    }
}

/// The documents of a run, as texts that only their writer reads.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RunDocuments {
    /// What the planner was told.
    pub facts: Option<String>,
    /// What it decided.
    pub plan: Option<String>,
    /// Why orders are late, what is short.
    pub explanation: Option<String>,
}
