//! The invariant sweep: the records worked out anew, and the plan in force put before the checker once more.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use store::jobs::JobState;
use store::{Store, StoreError, Tx};
use workshop::audit::{Break, Records, sweep};
use workshop::ids::RunId;

/// What was looked at, and everything that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report {
    /// How many of what.
    pub looked_at: Vec<(&'static str, usize)>,
    /// Everything that does not hold; nothing where all does.
    pub breaks: Vec<Break>,
}

/// Looks at everything in one reading transaction: others may write meanwhile.
///
/// # Errors
/// Where the database cannot be read.
pub async fn audit(store: &Store) -> Result<Report, StoreError> {
    let tx = store.read().await?;
    let records = store::audit::records(&tx).await?;
    let mut breaks = sweep(&records);
    breaks.extend(issued_as_planned(&tx, &records).await?);
    breaks.extend(plan_in_force(&tx).await?);
    breaks.extend(jobs_once(&tx).await?);
    tx.rollback().await?;
    let looked_at = vec![
        ("days issued", records.issued_days.len()),
        ("tickets", records.tickets.len()),
        ("stock entries", records.entries.len()),
        ("deliveries", records.deliveries.len()),
        ("lots", records.lots.len()),
        ("moves", records.moves.len()),
        ("joins", records.joins.len()),
        ("dispatches", records.dispatches.len()),
        ("losses", records.losses.len()),
    ];
    Ok(Report { looked_at, breaks })
}

/// A day's tickets are as many as the plan it was issued from asked for: none twice, none missing.
async fn issued_as_planned(tx: &Tx, records: &Records) -> Result<Vec<Break>, StoreError> {
    let mut by_run: BTreeMap<RunId, Vec<Day>> = BTreeMap::new();
    for (day, run) in &records.issued_days {
        by_run.entry(*run).or_default().push(*day);
    }
    let mut breaks = Vec::new();
    for (run, days) in by_run {
        let text = store::runs::documents(tx, run).await?.plan.unwrap_or_default();
        let Ok(plan) = feeds::documents::read_plan(&text) else {
            let sentence = "tickets were issued from it, and its plan cannot be read";
            breaks.push(Break::of("issued-as-planned", RunPlace(run), sentence));
            continue;
        };
        for day in days {
            let asked: usize = plan.batches.iter().filter(|b| b.day == day).map(|b| b.litres.len()).sum();
            let there = records.tickets.iter().filter(|t| t.number.day == day).count();
            if asked != there {
                let sentence = format!("the plan of run {run} asked for {asked} tickets, {there} were issued");
                breaks.push(Break::of("issued-as-planned", day, sentence));
            }
        }
    }
    Ok(breaks)
}

/// What the checker says of the plan in force, against the facts it was made from.
async fn plan_in_force(tx: &Tx) -> Result<Vec<Break>, StoreError> {
    let Some((run, ..)) = store::runs::in_force(tx).await? else { return Ok(Vec::new()) };
    let broken = |sentence: String| Break::of("plan-in-force", RunPlace(run), sentence);
    let documents = store::runs::documents(tx, run).await?;
    let (Some(facts), Some(plan)) = (documents.facts, documents.plan) else {
        return Ok(vec![broken("it has no facts or no plan document".to_owned())]);
    };
    let facts = match feeds::documents::read_facts(&facts) {
        Ok(facts) => facts,
        Err(faults) => return Ok(faults.iter().map(|f| broken(format!("its facts cannot be read: {f}"))).collect()),
    };
    let plan = match feeds::documents::read_plan(&plan) {
        Ok(plan) => plan,
        Err(faults) => return Ok(faults.iter().map(|f| broken(format!("its plan cannot be read: {f}"))).collect()),
    };
    if let Err(faults) = planner::validate(&facts) {
        return Ok(faults.iter().map(|f| broken(format!("its facts do not hold: {f}"))).collect());
    }
    let verdict = planner::check(&facts, &plan);
    Ok(verdict.broken.iter().map(|b| broken(format!("{}: {}", b.place, b.sentence))).collect())
}

/// Of one kind and key at most one job waits and at most one is being done.
async fn jobs_once(tx: &Tx) -> Result<Vec<Break>, StoreError> {
    let mut breaks = Vec::new();
    for (state, how) in [(JobState::Waiting, "wait"), (JobState::Running, "are being done")] {
        let mut times: BTreeMap<(String, String), usize> = BTreeMap::new();
        for job in store::jobs::all_in(tx, state).await? {
            *times.entry((job.kind, job.key)).or_default() += 1;
        }
        let twice = times.into_iter().filter(|(_, times)| *times > 1);
        breaks.extend(twice.map(|((kind, key), times)| {
            Break::of("jobs", format!("{kind} {key}"), format!("{times} jobs of this kind and key {how} at once"))
        }));
    }
    Ok(breaks)
}

/// A run as the place of a break.
struct RunPlace(RunId);

impl std::fmt::Display for RunPlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "run {}", self.0)
    }
}
