//! Planning runs.

use store::runs;
use testkit::databases::each_database;
use workshop::documents::facts::Stage;
use workshop::runs::RunState;
use workshop::site::TakingOver;

use super::world::{EARLY, ISSUE, World, day};
use crate::{DidWork, PLAN};

#[tokio::test(flavor = "multi_thread")]
async fn a_run_is_planned_and_takes_over() {
    each_database(async |store| {
        let world = World::new(store).await;
        let run = world.ask().await;
        let did = world.work(&world.worker("one")).await;
        let expected =
            DidWork::Done { kind: PLAN.into(), key: run.to_string(), outcome: format!("run {run} planned, in force") };
        assert_eq!(did, [expected]);
        let planned = world.run(run).await;
        assert_eq!((planned.state, planned.first_day), (RunState::Planned, Some(day("2026-05-04"))));
        assert_eq!(planned.figures.map(|f| f.order_days_late), Some(0.0), "four moulds and two weeks are enough");
        assert_eq!(world.in_force().await, Some(run));
        let tx = world.store.read().await.unwrap();
        let documents = runs::documents(&tx, run).await.unwrap();
        let facts = feeds::documents::read_facts(&documents.facts.unwrap()).unwrap();
        let plan = feeds::documents::read_plan(&documents.plan.unwrap()).unwrap();
        assert!(planner::check::check(&facts, &plan).holds());
        assert!(feeds::explanation::read(&documents.explanation.unwrap()).unwrap().late.is_empty());
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn counted_runs_plan_the_same_every_time() {
    each_database(async |store| {
        let world = World::with(store, |w| w.taking_over = TakingOver::WaitForAPerson).await;
        let worker = world.worker("one");
        let mut plans = Vec::new();
        for _ in 0..2 {
            let run = world.ask().await;
            world.work(&worker).await;
            let tx = world.store.read().await.unwrap();
            plans.push(runs::documents(&tx, run).await.unwrap().plan.unwrap());
        }
        assert_eq!(plans[0], plans[1]);
        assert_eq!(world.in_force().await, None, "plans wait for a person");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn after_the_issue_facts_begin_tomorrow_with_todays_panels_in_their_moulds() {
    each_database(async |store| {
        let world = World::new(store).await;
        let worker = world.worker("one");
        world.ask().await;
        world.work(&worker).await;
        world.set(ISSUE);
        world.work(&worker).await;
        let poured: i64 = world.tickets("2026-05-04").await.iter().flat_map(|t| &t.fills).map(|f| f.finished).sum();
        assert!(poured > 0);
        let run = world.ask().await;
        world.work(&worker).await;
        assert_eq!(world.run(run).await.state, RunState::Planned);
        let tx = world.store.read().await.unwrap();
        let text = runs::documents(&tx, run).await.unwrap().facts.unwrap();
        let facts = feeds::documents::read_facts(&text).unwrap();
        assert_eq!(facts.first_day, day("2026-05-05"));
        let standing: i64 = facts.lots.iter().map(|l| l.quantity).sum();
        assert_eq!(standing, poured);
        assert!(
            facts.lots.iter().all(|l| l.stage == Stage::InMould && l.since == day("2026-05-04")),
            "{:?}",
            facts.lots
        );
        assert!(facts.published.iter().all(|p| p.day >= day("2026-05-05")));
        let (first, second) = (world.run(run).await.parent, world.in_force().await);
        assert_eq!((first.is_some(), second), (true, Some(run)));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn tickets_issued_while_a_run_plans_make_it_plan_again() {
    each_database(async |store| {
        let world = World::new(store).await;
        let first = world.ask().await;
        world.work(&world.worker("one")).await;
        world.set(ISSUE);
        let second = world.ask().await;
        // Another worker issues the day while this one is planning.
        let mut slow = world.worker("slow");
        let (planner, other) = (slow.planner.clone(), world.worker("other"));
        let (runtime, store) = (tokio::runtime::Handle::current(), world.store.clone());
        slow.planner = std::sync::Arc::new(move |facts, limits, watched| {
            runtime.block_on(crate::issue::carry_out(&store, &other, "2026-05-04")).unwrap();
            planner(facts, limits, watched)
        });
        crate::step(&world.store, &slow).await.unwrap();
        assert_eq!(world.in_force().await, Some(first), "the second is older than today's tickets");
        let remark = world.run(second).await.remark.unwrap();
        assert!(remark.contains("tickets were issued while"), "{remark}");
        world.work(&world.worker("one")).await;
        let third = world.in_force().await.unwrap();
        assert!(third > second);
        assert_eq!(world.run(third).await.first_day, Some(day("2026-05-05")));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_from_older_facts_is_not_put_in_force() {
    each_database(async |store| {
        let world = World::new(store).await;
        let early = world.ask().await;
        let late = world.ask().await;
        // The later run is planned from facts of now; the earlier one from facts of an hour before.
        let (one, two) = (world.worker("one"), world.worker("two"));
        let claimed = async |name| store::jobs::claim(&world.store, world.now(), name, 120).await.unwrap().unwrap();
        let (first, second) = (claimed("one").await, claimed("two").await);
        world.pass(60);
        crate::plan::carry_out(&world.store, &two, &second).await.unwrap();
        world.set(EARLY);
        let said = crate::plan::carry_out(&world.store, &one, &first).await.unwrap();
        assert!(said.contains("older than the plan in force"), "{said}");
        assert_eq!(world.in_force().await, Some(late));
        assert!(world.run(early).await.remark.unwrap().contains("older facts"));
        assert_eq!(world.run(early).await.state, RunState::Planned, "a person can still read it");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_run_tells_how_it_gets_on_and_stops_with_the_best_plan_it_has() {
    each_database(async |store| {
        let world = World::new(store).await;
        let run = world.ask().await;
        let mut worker = world.worker("one");
        let planner = worker.planner.clone();
        let (runtime, store) = (tokio::runtime::Handle::current(), world.store.clone());
        let now = world.now();
        worker.planner = std::sync::Arc::new(move |facts, limits, watched| {
            let outcome = planner(facts, limits, watched)?;
            // It goes on until somebody has seen its news and asks it to stop, and the wish has reached it.
            runtime.block_on(async {
                while !watched.stopped() {
                    let tx = store.write().await.unwrap();
                    let known = store::progress::of(&tx, run).await.unwrap();
                    if known.news.is_some() && known.stop_asked_at.is_none() {
                        store::progress::ask_to_stop(&tx, run, now).await.unwrap();
                    }
                    tx.commit().await.unwrap();
                    tokio::time::sleep(std::time::Duration::from_millis(50)).await;
                }
            });
            Ok(outcome)
        });
        world.work(&worker).await;
        assert_eq!(world.run(run).await.state, RunState::Planned);
        assert_eq!(world.in_force().await, Some(run), "what was best by then is judged and taken over");
        let tx = world.store.write().await.unwrap();
        let known = store::progress::of(&tx, run).await.unwrap();
        let (told_at, news) = known.news.unwrap();
        assert_eq!((told_at, known.stop_asked_at), (world.now(), Some(world.now())));
        assert!(
            news.bound <= news.figures.order_days_late && news.gap() >= 0.0 && !news.sentence.is_empty(),
            "{news:?}"
        );
        let late = store::progress::ask_to_stop(&tx, run, world.now()).await;
        assert!(matches!(late, Err(store::StoreError::NotNow { .. })), "{late:?}");
    })
    .await;
}
