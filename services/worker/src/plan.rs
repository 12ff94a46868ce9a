//! A planning run: one read of everything, planning outside any transaction, one write of what came of it.

pub mod holds;
mod snapshot;
pub mod watched;

use std::sync::Arc;

use chrono::{DateTime, Utc};
use planner::check::{Broken, check};
use planner::{Limits, Outcome, PlanFailure};
use store::fail_points::reached;
use store::jobs::Job;
use store::{Store, StoreError, Tx};
use store::{jobs, marks, notices, runs, site, tickets};
use workshop::documents::{Facts, Plan};
use workshop::ids::{DeliveryId, JobId, RunId};
use workshop::notices::of_plan;
use workshop::planning::facts_from;
use workshop::runs::RunState;
use workshop::site::{Policy, TakingOver};

use crate::Config;
use crate::sentences::joined;
use crate::step::{JobError, PLAN, said};
use snapshot::Reading;
use watched::{Watched, look_after};

/// Why the run that a worker asks for itself is made.
const ISSUED_MEANWHILE: &str = "today's tickets were issued while the last run was planning";

/// Carries out the run whose number the job's payload is. Whatever is written of it is written only while the job is this
/// worker's: where another took it over, the plan here would stand beside the facts read there.
pub(crate) async fn carry_out(store: &Store, config: &Config, job: &Job) -> Result<String, JobError> {
    let run = number(&job.payload)?;
    let holder = Holder { store, config, job: job.id };
    let facts_at = config.now();
    let tx = store.read().await?;
    let found = runs::find(&tx, run).await?;
    let Some(found) = found else { return Err(JobError::Input(format!("there is no planning run {run}"))) };
    if matches!(found.value.state, RunState::Planned | RunState::Failed) {
        tx.rollback().await?;
        return Ok(format!("run {run} had ended already"));
    }
    let reading = snapshot::read(&tx, facts_at).await?;
    tx.rollback().await?;
    let known = Known { mark: reading.mark, delivery: reading.delivery, parent: reading.parent };
    let (today, issued) = (reading.today, reading.issued_today);
    let policy = reading.snapshot.workshop.policy.clone();
    let (facts, policy) = match on_a_thread(move || (told(reading), policy)).await? {
        (Ok(facts), policy) => (facts, policy),
        (Err(sentence), _) => return fail(holder, run, Some(known.mark), sentence, None).await,
    };
    begin(holder, run, facts_at, &facts, known).await?;
    reached("plan.begun");
    let (planner, watched) = (config.planner.clone(), Arc::new(Watched::default()));
    let seen = watched.clone();
    let work = on_a_thread(move || (planner(&facts, &limits(&policy), &seen), facts));
    let (result, facts) = look_after(store, config, run, &watched, work).await?;
    match judged(&facts, result) {
        Ok(outcome) => {
            reached("plan.made");
            let made = Made { run, today, issued, outcome };
            finish(holder, made).await
        }
        Err(refused) => fail(holder, run, None, refused.sentence, refused.plan).await,
    }
}

/// Marks a run as failed whose job is set aside.
pub(crate) async fn give_up(store: &Store, config: &Config, job: &Job, sentence: &str) -> Result<(), StoreError> {
    let Ok(run) = number(&job.payload) else { return Ok(()) };
    let tx = Holder { store, config, job: job.id }.write().await?;
    let open =
        runs::find(&tx, run).await?.is_some_and(|r| !matches!(r.value.state, RunState::Planned | RunState::Failed));
    if open {
        runs::finish_failed(&tx, run, config.now(), sentence, None).await?;
        marks::known_to(&tx, run, marks::last(&tx).await?).await?;
    }
    tx.commit().await
}

fn number(payload: &str) -> Result<RunId, JobError> {
    payload.parse().map(RunId::new).map_err(|_| JobError::Input(format!("'{payload}' is no planning run")))
}

/// What the planner is told; a sentence where the tables cannot be told.
fn told(mut reading: Reading) -> Result<Facts, String> {
    let holds = holds::holds(&reading.snapshot, reading.today).map_err(|faults| joined(&faults))?;
    reading.snapshot.holds = holds;
    facts_from(&reading.snapshot, reading.today, reading.issued_today).map_err(|faults| joined(&faults))
}

/// A policy that counts evaluations plans without a clock on one thread, so that it plans the same every time.
fn limits(policy: &Policy) -> Limits {
    let seed = policy.seed.unsigned_abs();
    match policy.evaluations {
        Some(evaluations) => Limits::counted(evaluations.unsigned_abs(), COUNTED_NODES, seed),
        None => {
            let threads = usize::try_from(policy.threads.max(1)).unwrap_or(1);
            Limits::seconds(policy.seconds as f64, threads, seed)
        }
    }
}

/// Nodes of the exact way in a run that counts instead of timing: enough to prove small cases, the same on any machine.
const COUNTED_NODES: u64 = 200;

/// Why there is no plan to put in force, with the plan that the checker refused, where there is one.
struct Refused {
    sentence: String,
    plan: Option<Plan>,
}

/// The plan, if the checker accepts it; else why not.
fn judged(facts: &Facts, result: Result<Outcome, PlanFailure>) -> Result<Outcome, Box<Refused>> {
    let none = |failure| Box::new(Refused { sentence: sentence(&failure), plan: None });
    let outcome = result.map_err(none)?;
    let verdict = check(facts, &outcome.plan);
    if verdict.holds() {
        return Ok(outcome);
    }
    let sentence = format!("the checker refused the plan, please report it: {}", rules(&verdict.broken));
    Err(Box::new(Refused { sentence, plan: Some(outcome.plan) }))
}

fn sentence(failure: &PlanFailure) -> String {
    match failure {
        PlanFailure::Facts(faults) => format!("{failure}: {}", joined(faults)),
        PlanFailure::Refused(broken) => format!("{failure}: {}", rules(broken)),
        PlanFailure::Short(_) => failure.to_string(),
    }
}

/// The rules that do not hold, each with its place.
fn rules(broken: &[Broken]) -> String {
    let each: Vec<String> = broken.iter().map(|b| format!("{}: {}", b.place, b.sentence)).collect();
    each.join("; ")
}

async fn begin(
    holder: Holder<'_>,
    run: RunId,
    facts_at: DateTime<Utc>,
    facts: &Facts,
    known: Known,
) -> Result<(), StoreError> {
    let text = feeds::documents::write_facts(facts);
    let tx = holder.write().await?;
    runs::begin(&tx, run, facts_at, facts.first_day, known.parent, &text).await?;
    marks::known_to(&tx, run, known.mark).await?;
    runs::knew_deliveries(&tx, run, known.delivery).await?;
    tx.commit().await
}

/// Who carries out a planning job.
#[derive(Clone, Copy)]
struct Holder<'a> {
    store: &'a Store,
    config: &'a Config,
    job: JobId,
}

impl Holder<'_> {
    /// A writing transaction while the job is still theirs.
    async fn write(self) -> Result<Tx, StoreError> {
        let tx = self.store.write().await?;
        jobs::hold(&tx, self.job, &self.config.name).await?;
        Ok(tx)
    }
}

/// What a run's facts know of.
#[derive(Clone, Copy)]
struct Known {
    /// The last change that is in them.
    mark: i64,
    /// The newest delivery that is in them.
    delivery: Option<DeliveryId>,
    /// The plan that was in force.
    parent: Option<RunId>,
}

/// A run that brought a plan the checker accepts.
struct Made {
    run: RunId,
    today: chrono::NaiveDate,
    issued: bool,
    outcome: Outcome,
}

/// Writes the plan down and, where the workshop wants that, puts it in force: in one transaction.
async fn finish(holder: Holder<'_>, made: Made) -> Result<String, JobError> {
    let config = holder.config;
    let plan = feeds::documents::write_plan(&made.outcome.plan);
    let explanation = feeds::explanation::write(&made.outcome.explanation);
    let proof = made.outcome.plan.proof.clone();
    let tx = holder.write().await?;
    runs::finish_planned(
        &tx,
        made.run,
        config.now(),
        made.outcome.plan.figures,
        proof.as_ref().map(|p| p.bound),
        proof.as_ref().map(|p| p.gap),
        proof.as_ref().map(|p| p.seconds),
        Some(made.outcome.way.word()),
        &plan,
        &explanation,
    )
    .await?;
    reached("plan.written");
    let outcome = take_over(&tx, config, &made).await?;
    reached("plan.in-force");
    tx.commit().await?;
    reached("plan.kept");
    Ok(format!("run {} planned, {outcome}", made.run))
}

/// Puts the plan in force unless a person is to do that, or the workshop has moved on while it was made.
async fn take_over(tx: &Tx, config: &Config, made: &Made) -> Result<String, StoreError> {
    let workshop = site::get(tx).await?;
    if workshop.is_some_and(|w| w.value.taking_over == TakingOver::WaitForAPerson) {
        return Ok("waits for a person".to_owned());
    }
    if !made.issued && tickets::is_issued(tx, made.today).await? {
        let remark = format!("not put in force: {ISSUED_MEANWHILE}; another run follows");
        runs::set_remark(tx, made.run, Some(&remark)).await?;
        let now = config.now();
        let next = runs::ask(tx, now, Some(ISSUED_MEANWHILE)).await?;
        jobs::enqueue(tx, now, PLAN, &next.id.to_string(), &next.id.to_string(), now).await?;
        return Ok(format!("older than today's tickets, run {} follows", next.id));
    }
    match runs::put_in_force(tx, made.run, config.now()).await {
        Ok(()) => {
            notices::stand(tx, &of_plan(&made.outcome.explanation)).await?;
            Ok("in force".to_owned())
        }
        Err(error @ StoreError::StaleFacts) => {
            runs::set_remark(tx, made.run, Some(&format!("not put in force: {error}"))).await?;
            Ok("older than the plan in force".to_owned())
        }
        Err(error) => Err(error),
    }
}

/// Writes down that there is no plan. Where it never came to facts, the changes it looked at are known to it now: the same
/// tables would fail the same way.
async fn fail(
    holder: Holder<'_>,
    run: RunId,
    mark: Option<i64>,
    sentence: String,
    plan: Option<Plan>,
) -> Result<String, JobError> {
    let plan = plan.map(|plan| feeds::documents::write_plan(&plan));
    let tx = holder.write().await?;
    runs::finish_failed(&tx, run, holder.config.now(), &sentence, plan.as_deref()).await?;
    if let Some(mark) = mark {
        marks::known_to(&tx, run, mark).await?;
    }
    tx.commit().await?;
    Ok(format!("run {run} failed: {sentence}"))
}

/// Planning takes seconds of arithmetic: it has a thread of its own.
async fn on_a_thread<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, JobError> {
    tokio::task::spawn_blocking(work).await.map_err(|broken| JobError::Panic(said(broken)))
}
