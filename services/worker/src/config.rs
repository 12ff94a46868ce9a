//! What a worker is told when it starts.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use chrono::{DateTime, NaiveDate as Day, Utc};
use planner::{Limits, Outcome, PlanFailure};
use workshop::documents::Facts;

use crate::plan::watched::{Watched, plan};

/// Tells the time.
pub type Clock = Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>;

/// Makes plans from facts, and tells how it gets on; the planner itself, except in tests.
pub type Planner = Arc<dyn Fn(&Facts, &Limits, &Watched) -> Result<Outcome, PlanFailure> + Send + Sync>;

/// How one worker works.
#[derive(Clone)]
pub struct Config {
    /// The one clock.
    pub clock: Clock,
    /// What this worker is called in the queue; no two at work may share a name.
    pub name: String,
    /// Seconds after which the job of a silent worker is given to another, 10 to 3600.
    pub lease_seconds: i64,
    /// Pause between looks into an empty queue.
    pub poll: Duration,
    /// Whether web hooks may lead to this machine and to private networks.
    pub hooks_to_private: bool,
    /// What plans.
    pub planner: Planner,
    /// The last day it was said that there is no plan to issue tickets from: once a day is enough.
    pub(crate) said_no_plan: Arc<Mutex<Option<Day>>>,
}

impl Config {
    /// A worker by this name and clock, with a lease of two minutes and a look into the queue every two seconds.
    pub fn new(name: impl Into<String>, clock: Clock) -> Self {
        Self {
            clock,
            name: name.into(),
            lease_seconds: 120,
            poll: Duration::from_secs(2),
            planner: Arc::new(plan),
            hooks_to_private: false,
            said_no_plan: Arc::default(),
        }
    }

    /// Now.
    pub(crate) fn now(&self) -> DateTime<Utc> {
        (self.clock)()
    }
}
