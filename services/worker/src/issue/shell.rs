//! The issue itself: everything read, decided and written in one writing transaction, so that it happens once or not at
//! all, however many workers try.

use chrono::NaiveDate as Day;
use store::fail_points::reached;
use store::{Record, Store, StoreError, Tx};
use store::{lots, moulds, runs, site, tickets};
use workshop::catalogue::{Finish, Material, Mix, MixRevision, Panel};
use workshop::moulds::{expect_strips, give};
use workshop::site::CalendarDay;

use super::{Inputs, decide_tickets};
use crate::Config;
use crate::local::{due_day, local};
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
    if !is_due(&tx, config, day).await? {
        tx.rollback().await?;
        return Ok("passed over: only today's tickets are issued, on a working day, from its hour on".to_owned());
    }
    let Some(issued) = issue(&tx, config, day).await? else {
        tx.rollback().await?;
        return Ok("no plan in force".to_owned());
    };
    match issued {
        Ok(count) => {
            reached("issue.written");
            tx.commit().await?;
            reached("issue.kept");
            Ok(format!("{count} tickets"))
        }
        // Another worker was faster: the same tickets are out.
        Err(StoreError::AlreadyIssued { .. }) => Ok("issued already".to_owned()),
        Err(error) => Err(error.into()),
    }
}

/// Whether `day` is still the one whose tickets should be out: a job may have waited past midnight.
async fn is_due(tx: &Tx, config: &Config, day: Day) -> Result<bool, JobError> {
    let Some(workshop) = site::get(tx).await? else { return Ok(false) };
    let local = local(&workshop.value, config.now()).map_err(|unknown| JobError::Input(unknown.to_string()))?;
    let said: Vec<CalendarDay> = CalendarDay::find(tx, &local.date()).await?.into_iter().map(|d| d.value).collect();
    Ok(due_day(&workshop.value, &said, local) == Some(day))
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
    let (mixes, finishes) = (Mix::all(tx).await?, Finish::all(tx).await?);
    let issued_at = config.now();
    let inputs = Inputs {
        day,
        issued_at,
        run,
        plan: &plan,
        workshop: &workshop.value,
        materials: &materials,
        revisions: &revisions,
        mixes: &mixes,
        finishes: &finishes,
        panels: &panels,
    };
    let mut decided = decide_tickets(&inputs)
        .map_err(|faults| JobError::Input(format!("the tickets of {day} cannot be written: {}", joined(&faults))))?;
    let (mut shelves, uses) = (moulds::shelves(tx).await?, moulds::all(tx).await?);
    expect_strips(&mut shelves, &uses, &lots::all_present(tx).await?, &panels, &plan, day);
    give(&shelves, &mut decided, day);
    reached("issue.decided");
    Ok(Some(tickets::insert_day(tx, day, run, issued_at, &decided).await.map(|()| decided.len())))
}
