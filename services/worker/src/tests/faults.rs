//! What can go wrong in a job, and what must not come of it.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use store::jobs::JobState;
use store::{Record, Store, jobs, runs};
use testkit::databases::each_database;
use workshop::catalogue::MixRevision;
use workshop::ids::RunId;
use workshop::runs::RunState;

use super::world::{ISSUE, World, day};
use crate::{DidWork, step};

async fn plan_document(store: &Store, run: RunId) -> Option<String> {
    let tx = store.read().await.unwrap();
    runs::documents(&tx, run).await.unwrap().plan
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_the_checker_refuses_is_kept_as_a_failed_run() {
    each_database(async |store| {
        let world = World::new(store).await;
        let mut worker = world.worker("one");
        let planner = worker.planner.clone();
        worker.planner = Arc::new(move |facts, limits, watched| {
            let mut outcome = planner(facts, limits, watched)?;
            outcome.plan.pours[0].quantity += 1;
            Ok(outcome)
        });
        let run = world.ask().await;
        world.work(&worker).await;
        let failed = world.run(run).await;
        assert_eq!(failed.state, RunState::Failed);
        assert!(failed.remark.unwrap().contains("the checker refused the plan"));
        assert!(plan_document(&world.store, run).await.is_some());
        assert_eq!(world.in_force().await, None);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn tables_that_cannot_be_told_fail_the_run_with_a_sentence() {
    each_database(async |store| {
        let world = World::with(store, |w| w.usual_air_c = -20.0).await;
        let run = world.ask().await;
        world.work(&world.worker("one")).await;
        let failed = world.run(run).await;
        assert_eq!(failed.state, RunState::Failed);
        let remark = failed.remark.unwrap();
        assert!(remark.contains("grey@2 would not harden"), "{remark}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_panic_is_a_failed_attempt_and_the_worker_lives_on() {
    each_database(async |store| {
        let world = World::new(store).await;
        let mut worker = world.worker("one");
        let (planner, calls) = (worker.planner.clone(), Arc::new(AtomicUsize::new(0)));
        let counted = calls.clone();
        worker.planner = Arc::new(move |facts, limits, watched| {
            assert!(counted.fetch_add(1, Ordering::SeqCst) > 0, "the first attempt breaks");
            planner(facts, limits, watched)
        });
        let run = world.ask().await;
        let did = world.work(&worker).await;
        let again = world.now() + chrono::Duration::seconds(5);
        let DidWork::Failed { error, again_at, .. } = &did[0] else { panic!("{did:?}") };
        assert!(error.contains("the first attempt breaks"), "{error}");
        assert_eq!((did.len(), *again_at), (1, Some(again)));
        assert_eq!(world.run(run).await.state, RunState::Running);
        world.pass(5);
        world.work(&worker).await;
        assert_eq!(world.run(run).await.state, RunState::Planned);
        assert_eq!(world.in_force().await, Some(run));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_that_keeps_failing_is_set_aside_and_its_run_with_it() {
    each_database(async |store| {
        let world = World::new(store).await;
        let mut worker = world.worker("one");
        worker.planner = Arc::new(|_, _, _| panic!("out of order"));
        let run = world.ask().await;
        let mut attempts = 0;
        for _ in 0..20 {
            attempts += world.work(&worker).await.len();
            world.pass(200);
        }
        assert_eq!(attempts, 5);
        let failed = world.run(run).await;
        assert_eq!(failed.state, RunState::Failed);
        assert!(failed.remark.unwrap().contains("out of order"));
        let tx = world.store.read().await.unwrap();
        let aside = jobs::page(&tx, Some(JobState::SetAside), None, 10).await.unwrap();
        assert_eq!((aside.len(), aside[0].attempts), (1, 5));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_issue_that_cannot_be_written_is_given_up_until_there_is_another_plan() {
    each_database(async |store| {
        let world = World::new(store).await;
        let worker = world.worker("one");
        // A plan of a mix that the catalogue has never had.
        let run = world.ask().await;
        world.work(&worker).await;
        let spoilt = plan_document(&world.store, run).await.unwrap().replace("grey@2", "gone@7");
        spoil(&world.store, run, &spoilt).await;
        world.set(ISSUE);
        let mut attempts = 0;
        for _ in 0..20 {
            attempts += world.work(&worker).await.len();
            world.pass(200);
        }
        assert_eq!(attempts, 5, "given up, and not begun again by the clock");
        assert_eq!(world.issued().await, []);
        world.ask().await;
        world.work(&worker).await;
        assert_eq!(world.issued().await, [day("2026-05-04")]);
    })
    .await;
}

/// Puts another run in force whose plan is this text.
async fn spoil(store: &Store, of: RunId, text: &str) {
    let tx = store.write().await.unwrap();
    let good = runs::find(&tx, of).await.unwrap().unwrap().value;
    let documents = runs::documents(&tx, of).await.unwrap();
    let at = good.facts_at.unwrap() + chrono::Duration::seconds(1);
    let run = runs::ask(&tx, at, None).await.unwrap().id;
    runs::begin(&tx, run, at, good.first_day.unwrap(), None, &documents.facts.unwrap()).await.unwrap();
    let (figures, why) = (good.figures.unwrap(), documents.explanation.unwrap());
    runs::finish_planned(&tx, run, at, figures, None, None, None, None, text, &why).await.unwrap();
    runs::put_in_force(&tx, run, at).await.unwrap();
    tx.commit().await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_run_whose_worker_died_is_taken_up_by_another() {
    each_database(async |store| {
        let world = World::new(store).await;
        let run = world.ask().await;
        let claimed = jobs::claim(&world.store, world.now(), "dead", 120).await.unwrap();
        assert!(claimed.is_some());
        let other = world.worker("other");
        assert_eq!(step(&world.store, &other).await.unwrap(), DidWork::Nothing, "the lease still runs");
        world.pass(121);
        world.work(&other).await;
        assert_eq!(world.run(run).await.state, RunState::Planned);
        // What the dead worker would still write is refused.
        let tx = world.store.write().await.unwrap();
        let late = jobs::finish(&tx, claimed.unwrap().id, "dead", world.now()).await;
        assert!(late.is_err());
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_worker_that_lost_its_lease_writes_nothing_of_its_run() {
    each_database(async |store| {
        let world = World::new(store).await;
        let run = world.ask().await;
        let mut slow = world.worker("slow");
        let planner = slow.planner.clone();
        let (runtime, store, at) = (tokio::runtime::Handle::current(), world.store.clone(), world.now());
        slow.planner = Arc::new(move |facts, limits, watched| {
            let later = at + chrono::Duration::seconds(121);
            let taken = runtime.block_on(jobs::claim(&store, later, "other", 120)).unwrap();
            assert!(taken.is_some(), "the lease was over");
            planner(facts, limits, watched)
        });
        let did = step(&world.store, &slow).await.unwrap();
        assert!(matches!(did, DidWork::Failed { .. }), "{did:?}");
        assert_eq!(world.run(run).await.state, RunState::Running, "it is the other's now");
        assert_eq!(world.in_force().await, None);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_done_twice_does_no_harm() {
    each_database(async |store| {
        let world = World::new(store).await;
        let worker = world.worker("one");
        let run = world.ask().await;
        let job = jobs::claim(&world.store, world.now(), "one", 120).await.unwrap().unwrap();
        crate::plan::carry_out(&world.store, &worker, &job).await.unwrap();
        let said = crate::plan::carry_out(&world.store, &worker, &job).await.unwrap();
        assert_eq!(said, format!("run {run} had ended already"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_empty_database_gives_a_worker_nothing_to_do() {
    each_database(async |store| {
        let now = chrono::DateTime::from_timestamp(0, 0).unwrap();
        let worker = crate::Config::new("one", Arc::new(move || now));
        assert_eq!(step(&store, &worker).await.unwrap(), DidWork::Nothing);
        let tx = store.read().await.unwrap();
        assert!(MixRevision::all(&tx).await.unwrap().is_empty());
        assert!(store::beats::last(&tx).await.unwrap().is_some(), "but it is alive");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_kind_of_job_no_one_knows_is_set_aside_in_the_end() {
    each_database(async |store| {
        let world = World::new(store).await;
        let tx = world.store.write().await.unwrap();
        jobs::enqueue(&tx, world.now(), "juggle", "k", "", world.now()).await.unwrap();
        tx.commit().await.unwrap();
        let did = world.work(&world.worker("one")).await;
        let DidWork::Failed { error, .. } = &did[0] else { panic!("{did:?}") };
        assert!(error.contains("juggle"), "{error}");
    })
    .await;
}
