//! The end of a day: what its sheet asked for and nobody recorded as done is a reason to plan again. The panels are where they
//! are, and the plan in force was made as though they had gone on.

use chrono::{DateTime, NaiveDate as Day, Utc};
use store::{StoreError, Tx};
use store::{lots, marks, runs, tickets};
use tracing::warn;
use workshop::off_plan::undone;

/// Whether the last day issued before today has not been looked back on.
pub(crate) async fn due(tx: &Tx, today: Day) -> Result<bool, StoreError> {
    Ok(tickets::not_looked_back(tx, today).await?.is_some())
}

/// Looks back on the last day issued before today, once.
pub(crate) async fn carry_out(tx: &Tx, now: DateTime<Utc>, today: Day) -> Result<(), StoreError> {
    let Some((day, run)) = tickets::not_looked_back(tx, today).await? else { return Ok(()) };
    let text = runs::documents(tx, run).await?.plan.unwrap_or_default();
    match feeds::documents::read_plan(&text) {
        Ok(plan) => {
            if let Some(why) = undone(&plan, day, &lots::moves_on(tx, day).await?) {
                marks::mark(tx, "day", &why).await?;
            }
        }
        Err(_) => warn!(run = run.get(), %day, "the day cannot be looked back on: its plan cannot be read"),
    }
    tickets::looked_back(tx, day, now).await
}
