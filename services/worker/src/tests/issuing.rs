//! The daily issue.

use store::{Record, jobs};
use testkit::databases::each_database;
use workshop::site::{CalendarDay, DayWork};

use super::world::{EARLY, ISSUE, World, day};
use crate::{DidWork, step};

/// A workshop with a plan in force, an hour before the issue.
async fn planned(store: store::Store) -> World {
    let world = World::new(store).await;
    world.ask().await;
    world.work(&world.worker("planning")).await;
    assert!(world.in_force().await.is_some());
    world
}

#[tokio::test(flavor = "multi_thread")]
async fn tickets_are_issued_at_their_hour_and_once() {
    each_database(async |store| {
        let world = planned(store).await;
        let worker = world.worker("one");
        assert_eq!(world.work(&worker).await, [], "an hour early");
        world.set(ISSUE);
        let did = world.work(&worker).await;
        let tickets = world.tickets("2026-05-04").await;
        assert!(!tickets.is_empty());
        let outcome = format!("{} tickets", tickets.len());
        assert_eq!(did, [DidWork::Done { kind: crate::ISSUE.into(), key: "2026-05-04".into(), outcome }]);
        for _ in 1..=12 {
            world.pass(3600);
            assert_eq!(world.work(&worker).await, []);
        }
        assert_eq!(world.tickets("2026-05-04").await, tickets);
        let numbers: Vec<String> = tickets.iter().map(|t| t.number.to_string()).collect();
        assert_eq!(numbers[0], "2026-05-04-01");
        let said = crate::issue::carry_out(&world.store, &worker, "2026-05-04").await.unwrap();
        assert_eq!(said, "issued already");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_that_waited_past_midnight_issues_nothing() {
    each_database(async |store| {
        let world = planned(store).await;
        world.set(ISSUE);
        world.pass(24 * 3600);
        let said = crate::issue::carry_out(&world.store, &world.worker("late"), "2026-05-04").await.unwrap();
        assert!(said.starts_with("passed over"), "{said}");
        assert!(world.issued().await.is_empty());
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn two_workers_at_once_issue_once() {
    each_database(async |store| {
        let world = planned(store).await;
        world.set(ISSUE);
        let workers: Vec<_> = (0..4).map(|n| world.worker(&format!("worker-{n}"))).collect();
        let all = futures_of(&world, &workers).await;
        let issued = all.iter().filter(|d| matches!(d, DidWork::Done { outcome, .. } if outcome.ends_with("tickets")));
        assert_eq!(issued.count(), 1, "{all:?}");
        assert!(all.iter().all(|d| !matches!(d, DidWork::Failed { .. })), "{all:?}");
        assert_eq!(world.issued().await, [day("2026-05-04")]);
    })
    .await;
}

/// Lets all workers work at the same time, and once more until nothing is left.
async fn futures_of(world: &World, workers: &[crate::Config]) -> Vec<DidWork> {
    let mut tasks = tokio::task::JoinSet::new();
    for worker in workers {
        let (store, worker) = (world.store.clone(), worker.clone());
        tasks.spawn(async move { step(&store, &worker).await.unwrap() });
    }
    let mut did = tasks.join_all().await;
    did.extend(world.work(&workers[0]).await);
    did
}

#[tokio::test(flavor = "multi_thread")]
async fn issuing_the_same_day_by_force_at_once_writes_it_once() {
    each_database(async |store| {
        let world = planned(store).await;
        world.set(ISSUE);
        let mut tasks = tokio::task::JoinSet::new();
        for n in 0..4 {
            let (store, worker) = (world.store.clone(), world.worker(&format!("worker-{n}")));
            tasks.spawn(async move { crate::issue::carry_out(&store, &worker, "2026-05-04").await.unwrap() });
        }
        let said = tasks.join_all().await;
        assert_eq!(said.iter().filter(|s| s.ends_with("tickets")).count(), 1, "{said:?}");
        assert_eq!(said.iter().filter(|s| *s == "issued already").count(), 3, "{said:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn after_an_outage_only_todays_tickets_are_issued_late() {
    each_database(async |store| {
        let world = planned(store).await;
        // Down from before Monday's issue until Thursday afternoon.
        world.set("2026-05-07T14:30:00Z");
        world.work(&world.worker("one")).await;
        assert_eq!(world.issued().await, [day("2026-05-07")]);
        world.set("2026-05-07T23:30:00Z");
        world.work(&world.worker("one")).await;
        assert_eq!(world.issued().await, [day("2026-05-07")], "half past midnight on Friday is before its hour");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn closed_days_and_weekends_have_no_issue() {
    each_database(async |store| {
        let world = planned(store).await;
        let closed = CalendarDay {
            day: day("2026-05-04"),
            work: DayWork::Closed,
            labour_minutes: None,
            air_c: None,
            note: Some("the mixer is being repaired".into()),
        };
        let tx = world.store.write().await.unwrap();
        CalendarDay::insert(&tx, &closed).await.unwrap();
        tx.commit().await.unwrap();
        for at in [ISSUE, "2026-05-09T12:00:00Z", "2026-05-10T12:00:00Z"] {
            world.set(at);
            world.work(&world.worker("one")).await;
        }
        assert_eq!(world.issued().await, []);
        world.set("2026-05-05T05:00:00Z");
        world.work(&world.worker("one")).await;
        assert_eq!(world.issued().await, [day("2026-05-05")]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn without_a_plan_nothing_is_issued_until_there_is_one() {
    each_database(async |store| {
        let world = World::new(store).await;
        let worker = world.worker("one");
        world.set(ISSUE);
        for _ in 0..3 {
            assert_eq!(world.work(&worker).await, []);
            world.pass(60);
        }
        let tx = world.store.read().await.unwrap();
        assert!(jobs::page(&tx, None, None, 10).await.unwrap().is_empty(), "nothing piles up in the queue");
        drop(tx);
        world.ask().await;
        world.work(&worker).await;
        assert_eq!(world.issued().await, [day("2026-05-04")]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn both_nights_on_which_clocks_change_have_one_issue() {
    each_database(async |store| {
        let world = World::with(store, |w| {
            w.issue_at = chrono::NaiveTime::from_hms_opt(1, 30, 0).unwrap();
            w.working_weekdays.push(chrono::Weekday::Sun);
            w.policy.horizon_days = 7;
        })
        .await;
        for (from, issued) in [("2026-03-29T00:00:00Z", day("2026-03-29")), ("2026-10-25T00:00:00Z", day("2026-10-25"))]
        {
            world.set(from);
            let worker = world.worker(from);
            world.ask().await;
            // Through the night in steps of ten minutes.
            for _ in 0..18 {
                world.work(&worker).await;
                world.pass(600);
            }
            let days = world.issued().await;
            assert_eq!(days.iter().filter(|d| **d == issued).count(), 1, "{days:?}");
        }
        assert_eq!(world.issued().await.len(), 2);
        world.set(EARLY);
    })
    .await;
}
