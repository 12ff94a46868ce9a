//! The clock does what clocks do: it jumps a day, is put back, and is set on two nights of the year. Nothing is issued twice,
//! nothing is planned twice, and the records hold.

use chrono::NaiveTime;
use reqwest::Method;
use serde_json::Value;
use store::{Record as _, Store, jobs, site};
use stories::World;
use testkit::databases::each_database;
use workshop::site::{CalendarDay, DayWork, Workshop};

/// The invented workshop with a plan that need not be good, its settings changed.
async fn planned(store: Store, change: impl FnOnce(&mut Workshop)) -> World {
    let world = World::new(store).await;
    let tx = world.store.write().await.unwrap();
    let mut there = site::get(&tx).await.unwrap().unwrap();
    // By the clock: a run that counts steps may take long over orders that are months late.
    (there.value.policy.evaluations, there.value.policy.seconds) = (None, 1);
    (there.value.policy.calm_seconds, there.value.policy.night_at) = (None, None);
    change(&mut there.value);
    site::put(&tx, &there.value, Some(there.version)).await.unwrap();
    tx.commit().await.unwrap();
    world.plan().await;
    world
}

fn length(list: &Value) -> usize {
    list.as_array().unwrap().len()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_that_jumps_a_day_and_back_issues_each_day_once() {
    each_database(async |store| {
        let world = planned(store, |_| {}).await;
        world.it_is("2026-03-02T06:00:00Z");
        world.work().await;
        let monday = world.get("/days/2026-03-02/tickets").await;
        assert!(length(&monday) > 0);
        // Tuesday never was.
        world.it_is("2026-03-04T06:00:00Z");
        world.work().await;
        assert_eq!(length(&world.get("/days/2026-03-03/tickets").await), 0);
        assert_eq!(world.get("/days/today/sheet").await["issued"], true);
        let wednesday = world.get("/days/2026-03-04/tickets").await;
        world.audit().await;
        // It was put forward by mistake, and is put back to Monday: what is issued stays, and is not issued again.
        world.it_is("2026-03-02T09:00:00Z");
        world.work().await;
        assert_eq!(world.get("/days/today/tickets").await, monday);
        world.it_is("2026-03-03T06:00:00Z");
        world.work().await;
        assert_eq!(world.get("/days/today/sheet").await["issued"], true, "now Tuesday is");
        world.it_is("2026-03-04T07:00:00Z");
        world.work().await;
        assert_eq!(world.get("/days/2026-03-04/tickets").await, wednesday);
        world.audit().await;
    })
    .await;
}

/// The clock is a day ahead by mistake while an order comes, a plan is asked for and a worker dies over another; then it is put
/// right. Nothing waits for tomorrow to come again.
#[tokio::test(flavor = "multi_thread")]
async fn a_clock_put_back_a_day_holds_up_neither_plans_nor_orders() {
    each_database(async |store| {
        let world = planned(store, |workshop| workshop.policy.calm_seconds = Some(60)).await;
        world.it_is("2026-03-03T10:00:00Z");
        let asked = world.send(Method::POST, "/planning-runs", Some("{}")).await;
        assert_eq!(asked.status(), 202);
        let asked: Value = asked.json().await.unwrap();
        let tomorrow = "2026-03-03T10:00:00Z".parse().unwrap();
        let begun = jobs::claim(&world.store, tomorrow, "dead", 120).await.unwrap().unwrap();
        assert_eq!(begun.kind, worker::PLAN, "somebody died over the plan");
        world.it_is("2026-03-02T09:00:00Z");
        let did = world.work().await;
        assert!(did.iter().any(|d| matches!(d, worker::DidWork::Done { kind, .. } if kind == "issue")), "{did:?}");
        let run = world.get(&format!("/planning-runs/{}", asked["id"])).await;
        assert_eq!(run["state"], "planned", "{run}");

        world.it_is("2026-03-03T10:10:00Z");
        let order = r#"{"id": "AHEAD-1", "due_on": "2026-05-20", "lines": [{"set": "planter-450", "finish": "grey", "quantity": 1}]}"#;
        assert_eq!(world.send(Method::POST, "/orders", Some(order)).await.status(), 201);
        world.it_is("2026-03-02T09:30:00Z");
        world.work().await;
        let runs = world.get("/planning-runs?limit=500").await;
        let told = |run: &Value| run["reason"].as_str().is_some_and(|reason| reason.contains("AHEAD-1"));
        assert!(runs.as_array().unwrap().iter().any(told), "the order waits for tomorrow: {runs}");
        world.work().await;
        assert_eq!(length(&world.get("/planning-runs?limit=500").await), length(&runs), "planned again and again");
        world.audit().await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn on_both_nights_the_clocks_are_set_there_is_one_issue_and_one_nightly_plan() {
    // The night, and the instants from a while before to a while after the clock is set, a quarter of an hour apart. In March
    // the hour of issue does not exist; in October it comes twice.
    let nights = [("2026-03-29", "2026-03-28T23:30:00Z"), ("2026-10-25", "2026-10-24T22:30:00Z")];
    each_database(async |store| {
        let world = planned(store, |workshop| {
            workshop.issue_at = NaiveTime::from_hms_opt(1, 30, 0).unwrap();
            workshop.policy.night_at = NaiveTime::from_hms_opt(1, 15, 0);
        })
        .await;
        for (night, from) in nights {
            let tx = world.store.write().await.unwrap();
            let day = night.parse().unwrap();
            let worked = CalendarDay { day, work: DayWork::Worked, labour_minutes: None, air_c: None, note: None };
            match CalendarDay::find(&tx, &day).await.unwrap() {
                Some(there) => CalendarDay::replace(&tx, &worked, there.version).await.unwrap(),
                None => CalendarDay::insert(&tx, &worked).await.unwrap(),
            };
            tx.commit().await.unwrap();
            let start: chrono::DateTime<chrono::Utc> = from.parse().unwrap();
            // The evening before makes up for the nights that were slept through.
            world.it_is(&(start - chrono::Duration::minutes(15)).to_rfc3339());
            world.work().await;
            let runs = length(&world.get("/planning-runs?limit=500").await);
            let mut issues = 0;
            for quarter in 0..16 {
                world.it_is(&(start + chrono::Duration::minutes(15 * quarter)).to_rfc3339());
                let did = world.work().await;
                let issue = |d: &&worker::DidWork| matches!(d, worker::DidWork::Done { kind, key, .. } if kind == "issue" && key == night);
                issues += did.iter().filter(issue).count();
            }
            assert_eq!(issues, 1, "{night}");
            assert_eq!(world.get(&format!("/days/{night}/sheet")).await["issued"], true);
            let after = length(&world.get("/planning-runs?limit=500").await);
            assert_eq!(after - runs, 1, "{night}: one nightly plan");
            world.audit().await;
        }
    })
    .await;
}
