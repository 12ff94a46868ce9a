//! The issue itself: everything read, decided and written in one writing transaction, so that it happens once or not at
//! all, however many workers try.

use chrono::NaiveDate as Day;
use store::{Record, Store, StoreError, Tx};
use store::{runs, site, tickets};
use workshop::catalogue::{Material, MixRevision, Panel};

use super::{Inputs, decide_tickets};
use crate::Config;
use crate::sentences::joined;
use crate::step::JobError;

/// Issues the tickets of the day the key names.
pub(crate) async fn carry_out(store: &Store, config: &Config, key: &str) -> Result<String, JobError> {
    let day: Day = key.parse().map_err(|_| JobError::Input(format!("'{key}' is no day to issue tickets for")))?;
    let tx = store.write().await?;
    if tickets::is_issued(&tx, day).await? {
        tx.rollback().await?;
        return Ok("issued already".to_owned());
    }
    let Some(issued) = issue(&tx, config, day).await? else {
        tx.rollback().await?;
        return Ok("no plan in force".to_owned());
    };
    match issued {
        Ok(count) => {
            tx.commit().await?;
            Ok(format!("{count} tickets"))
        }
        // Another worker was faster: the same tickets are out.
        Err(StoreError::AlreadyIssued { .. }) => Ok("issued already".to_owned()),
        Err(error) => Err(error.into()),
    }
}

/// Decides and writes; nothing where no plan is in force.
async fn issue(tx: &Tx, config: &Config, day: Day) -> Result<Option<Result<usize, StoreError>>, JobError> {
    let Some(in_force) = runs::in_force(tx).await? else { return Ok(None) };
    let run = in_force.0;
    let documents = runs::documents(tx, run).await?;
    let text = documents.plan.ok_or_else(|| JobError::Input(format!("planning run {run} has no plan document")))?;
    let plan = feeds::documents::read_plan(&text)
        .map_err(|faults| JobError::Input(format!("the plan of run {run} cannot be read: {}", joined(&faults))))?;
    let workshop = site::get(tx).await?.ok_or_else(|| JobError::Input("there is no workshop yet".to_owned()))?;
    let (materials, revisions, panels) = (Material::all(tx).await?, MixRevision::all(tx).await?, Panel::all(tx).await?);
    let issued_at = config.now();
    let inputs = Inputs {
        day,
        issued_at,
        run,
        plan: &plan,
        workshop: &workshop.value,
        materials: &materials,
        revisions: &revisions,
        panels: &panels,
    };
    let decided = decide_tickets(&inputs)
        .map_err(|faults| JobError::Input(format!("the tickets of {day} cannot be written: {}", joined(&faults))))?;
    Ok(Some(tickets::insert_day(tx, day, run, issued_at, &decided).await.map(|()| decided.len())))
}
