//! What every handler can reach: the records, the clock, the settings.

use std::sync::Arc;

use chrono::{DateTime, NaiveDate as Day, Utc};
use chrono_tz::Tz;
use store::{Store, Tx};

use crate::config::Config;
use crate::http::limits::Limits;
use crate::http::problem::Problem;

/// Shared by all requests.
#[derive(Clone)]
pub struct State {
    /// The records.
    pub store: Store,
    /// How the service is run.
    pub config: Config,
    /// How much each caller may still ask.
    pub limits: Arc<Limits>,
}

impl State {
    /// The time.
    pub fn now(&self) -> DateTime<Utc> {
        (self.config.clock)()
    }

    /// The workshop's local day; UTC's where no workshop has been recorded yet.
    ///
    /// # Errors
    /// Where the database cannot be read.
    pub async fn today(&self, tx: &Tx) -> Result<Day, Problem> {
        let named = store::site::time_zone(tx).await?;
        let zone: Tz = named.and_then(|name| name.parse().ok()).unwrap_or(Tz::UTC);
        Ok(self.now().with_timezone(&zone).date_naive())
    }
}
