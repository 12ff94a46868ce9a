//! Plans made without anyone asking, and plans made from old facts.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use chrono::NaiveTime;
use store::deliveries::NewDelivery;
use store::{Record, deliveries, marks, runs, site};
use testkit::databases::each_database;
use workshop::catalogue::Amount;
use workshop::ids::MaterialId;
use workshop::orders::Order;
use workshop::runs::{PlanningRun, RunState};
use workshop::site::Workshop;

use super::world::{World, day, order};

/// A workshop that plans after a calm of a minute, with a plan in force.
async fn planned(store: store::Store, change: impl FnOnce(&mut Workshop)) -> World {
    let world = World::with(store, |workshop| {
        workshop.policy.calm_seconds = Some(60);
        change(workshop);
    })
    .await;
    world.ask().await;
    world.work(&world.worker("one")).await;
    assert!(world.in_force().await.is_some());
    world
}

async fn all_runs(world: &World) -> Vec<PlanningRun> {
    let tx = world.store.read().await.unwrap();
    runs::page(&tx, None, 100).await.unwrap().into_iter().map(|run| run.value).collect()
}

async fn take_order(world: &World, id: &str) {
    let tx = world.store.write().await.unwrap();
    Order::insert(&tx, &order(id, "2026-05-21")).await.unwrap();
    tx.commit().await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_is_planned_once_a_calm_has_followed() {
    each_database(async |store| {
        let world = planned(store, |_| {}).await;
        let worker = world.worker("one");
        take_order(&world, "TH-3").await;
        world.pass(40);
        take_order(&world, "TH-4").await;
        world.pass(59);
        assert!(world.work(&worker).await.is_empty(), "changes are still coming");
        world.pass(1);
        world.work(&worker).await;
        let all = all_runs(&world).await;
        assert_eq!(all.len(), 2);
        assert_eq!(all[0].reason.as_deref(), Some("order 'TH-4' is new; order 'TH-3' is new"));
        assert_eq!(world.in_force().await, Some(all[0].id));
        world.pass(3_600);
        world.work(&worker).await;
        assert_eq!(all_runs(&world).await.len(), 2, "nothing has changed since");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn tables_that_cannot_be_planned_are_tried_once_for_each_change() {
    each_database(async |store| {
        let world = planned(store, |_| {}).await;
        let tx = world.store.write().await.unwrap();
        let mut frozen = site::get(&tx).await.unwrap().unwrap();
        frozen.value.usual_air_c = -20.0;
        site::put(&tx, &frozen.value, Some(frozen.version)).await.unwrap();
        tx.commit().await.unwrap();
        for _ in 0..3 {
            world.pass(600);
            world.work(&world.worker("one")).await;
        }
        let all = all_runs(&world).await;
        assert_eq!((all.len(), all[0].state), (2, RunState::Failed), "{:?}", all[0].remark);
        assert_eq!(world.in_force().await, Some(all[1].id), "the good plan stays");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn every_night_a_plan_is_made() {
    each_database(async |store| {
        let world = planned(store, |w| w.policy.night_at = NaiveTime::from_hms_opt(2, 0, 0)).await;
        let worker = world.worker("one");
        // Two in the morning in Dublin is one by the clock of the world.
        for (time, runs) in [("2026-05-05T00:59:59Z", 1), ("2026-05-05T01:00:00Z", 2), ("2026-05-05T01:30:00Z", 2)] {
            world.set(time);
            world.work(&worker).await;
            assert_eq!(all_runs(&world).await.len(), runs, "{time}");
        }
        assert_eq!(all_runs(&world).await[0].reason.as_deref(), Some("the night's run"));
        // Asleep for two nights: one run makes up for both.
        world.set("2026-05-07T09:00:00Z");
        world.work(&worker).await;
        assert_eq!(all_runs(&world).await.len(), 3);
    })
    .await;
}

/// Two runs at the same time by the clock; the one that read its facts first ends last.
#[tokio::test(flavor = "multi_thread")]
async fn a_plan_made_from_old_facts_is_not_put_in_force() {
    each_database(async |store| {
        let world = Arc::new(planned(store, |_| {}).await);
        let old = world.ask().await;
        let mut slow = world.worker("slow");
        let (planner, meanwhile, begun) = (slow.planner.clone(), world.clone(), Arc::new(AtomicBool::new(false)));
        slow.planner = Arc::new(move |facts, limits, watched| {
            if !begun.swap(true, Ordering::SeqCst) {
                tokio::runtime::Handle::current().block_on(async {
                    take_order(&meanwhile, "TH-9").await;
                    meanwhile.ask().await;
                    meanwhile.work(&meanwhile.worker("quick")).await;
                });
            }
            planner(facts, limits, watched)
        });
        world.work(&slow).await;
        let all = all_runs(&world).await;
        let run = |id| all.iter().find(|run| run.id == id).unwrap();
        let remark = run(old).remark.clone().unwrap();
        assert_eq!(run(old).state, RunState::Planned);
        assert!(remark.contains("older facts"), "{remark}");
        assert_eq!(world.in_force().await, Some(all[0].id));
        assert_ne!(all[0].id, old);
        assert_eq!(all[0].facts_at, run(old).facts_at, "the clock alone does not tell them apart");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_day_left_undone_is_looked_back_on_once_it_is_over() {
    each_database(async |store| {
        let world = planned(store, |_| {}).await;
        let worker = world.worker("one");
        // Each day's tickets are issued, and nobody strips or lifts anything.
        let mut told = Vec::new();
        for on in 4..=8 {
            for hour in ["01:00", "05:00", "18:00", "18:30"] {
                world.set(&format!("2026-05-{on:02}T{hour}:00Z"));
                world.work(&worker).await;
            }
            let tx = world.store.read().await.unwrap();
            let all = marks::after(&tx, 0, 500).await.unwrap();
            told = all.into_iter().filter(|mark| mark.what == "day").map(|mark| mark.detail).collect();
        }
        assert!(told.iter().any(|why| why.contains("were not stripped on 2026-05-")), "{told:?}");
        let mut once = told.clone();
        once.dedup();
        assert_eq!(once, told, "each day is looked back on once");
        let runs = all_runs(&world).await;
        assert!(runs.iter().any(|run| run.reason.as_deref().is_some_and(|why| why.contains("not stripped"))));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_knows_the_deliveries_its_facts_counted_on() {
    each_database(async |store| {
        let world = planned(store, |_| {}).await;
        let worker = world.worker("one");
        world.set(super::world::ISSUE);
        world.work(&worker).await;
        let order = async || {
            let tx = world.store.write().await.unwrap();
            let cement = MaterialId::parse("cement").unwrap();
            let new = NewDelivery { material: cement, packs: 1, expected_on: day("2026-05-04") };
            let id = deliveries::insert(&tx, &new).await.unwrap().value.id;
            tx.commit().await.unwrap();
            id
        };
        // Due on the day itself, it is in the facts' stock and not among what they expect.
        order().await;
        let run = world.ask().await;
        world.work(&worker).await;
        let later = order().await;
        let tx = world.store.read().await.unwrap();
        let since: Vec<_> = deliveries::since(&tx, run).await.unwrap().into_iter().map(|d| d.id).collect();
        assert_eq!(since, [later]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_delivery_that_is_late_is_noted_once_a_day_and_planned_again() {
    each_database(async |store| {
        let world = planned(store, |_| {}).await;
        let worker = world.worker("one");
        let tx = world.store.write().await.unwrap();
        let cement = MaterialId::parse("cement").unwrap();
        let new = NewDelivery { material: cement, packs: 1, expected_on: day("2026-05-04") };
        let id = deliveries::insert(&tx, &new).await.unwrap().value.id;
        tx.commit().await.unwrap();
        world.pass(600);
        world.work(&worker).await;
        let on_its_way = all_runs(&world).await.len();
        let late = async || {
            let tx = world.store.read().await.unwrap();
            let all = marks::after(&tx, 0, 500).await.unwrap();
            all.into_iter().filter(|mark| mark.detail.ends_with("is late")).map(|mark| mark.detail).collect::<Vec<_>>()
        };
        assert!(late().await.is_empty(), "it may still come today");
        for (now, times) in [("2026-05-05T06:00:00Z", 1), ("2026-05-05T09:00:00Z", 1), ("2026-05-06T06:00:00Z", 2)] {
            world.set(now);
            world.work(&worker).await;
            world.pass(120);
            world.work(&worker).await;
            assert_eq!(late().await.len(), times, "{now}");
        }
        assert_eq!(late().await[0], format!("delivery {id} of cement, expected on 2026-05-04, is late"));
        assert_eq!(all_runs(&world).await.len(), on_its_way + 2, "each such day is planned anew");
        assert!(all_runs(&world).await[0].reason.as_deref().is_some_and(|why| why.contains("is late")));
        let tx = world.store.write().await.unwrap();
        deliveries::receive(&tx, id, 1, day("2026-05-06"), Amount::new(1)).await.unwrap();
        tx.commit().await.unwrap();
        world.set("2026-05-07T06:00:00Z");
        world.work(&worker).await;
        assert_eq!(late().await.len(), 2, "it is here");
    })
    .await;
}
