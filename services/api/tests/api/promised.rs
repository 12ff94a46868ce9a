//! Quotes on the plan in force, what one plan changes of the one before, and cures beside late orders.

use chrono::TimeDelta;
use planner::{Limits, run_and_advise};
use serde_json::json;
use store::{Store, runs};
use workshop::documents::{Facts, facts};
use workshop::ids::RunId;

use crate::planned::{self, day, now};
use crate::world::{World, order};

/// The furnished world as a planner can use it: two moulds, every day worked, one order of four sides.
fn sound() -> Facts {
    let mut facts = planned::facts();
    facts.working_days = facts.first_day.iter_days().take(75).collect();
    facts.materials = vec![facts::Material {
        id: "cement".into(),
        on_hand: 500_000.0,
        floor: 0.0,
        pack: 25_000.0,
        pack_price: 495.0,
        lead_days: 3,
        delivery_charge: 0.0,
        store_max: None,
        price_breaks: vec![],
        expected: vec![],
        unit: Some("g".into()),
    }];
    facts.mould_groups =
        vec![facts::MouldGroup { id: "sides".into(), moulds: 2, turnaround_days: 0, out_of_service: vec![] }];
    facts.tanks = vec![facts::Room { id: "north".into(), mm: 2_400.0 }];
    facts.racks = vec![facts::Room { id: "long".into(), mm: 6_000.0 }];
    facts.orders = vec![wanted("TH-1", "2026-05-20", 4)];
    facts
}

fn wanted(id: &str, due_on: &str, quantity: i64) -> facts::Order {
    let line = facts::OrderLine { panel: "side".into(), finish: "grey".into(), quantity };
    facts::Order { id: id.into(), due_on: day(due_on), weight: 1.0, lines: vec![line] }
}

/// A run that planned these facts, so many minutes after the world's morning, put in force.
async fn planned_run(store: &Store, facts: &Facts, minutes: i64, parent: Option<RunId>) -> RunId {
    let outcome = run_and_advise(facts, &Limits::counted(0, 0, 1), &|| 0.0, &mut |_| {}).unwrap();
    let tx = store.write().await.unwrap();
    let run = runs::ask(&tx, now(), None).await.unwrap().id;
    let at = now() + TimeDelta::minutes(minutes);
    runs::begin(&tx, run, at, facts.first_day, parent, &feeds::documents::write_facts(facts)).await.unwrap();
    let (plan, why) = (feeds::documents::write_plan(&outcome.plan), feeds::explanation::write(&outcome.explanation));
    let way = Some(outcome.way.word());
    runs::finish_planned(&tx, run, at, outcome.plan.figures, None, None, None, way, &plan, &why).await.unwrap();
    runs::put_in_force(&tx, run, at).await.unwrap();
    tx.commit().await.unwrap();
    run
}

#[tokio::test(flavor = "multi_thread")]
async fn a_quote_says_when_and_who_would_wait() {
    World::furnished(async |world| {
        let asked = json!({ "lines": [{ "panel": "side", "finish": "grey", "quantity": 2 }] });
        assert_eq!(world.post("/quotes", &asked).await.status, 404, "no plan is in force yet");
        world.make("/orders", &order("TH-2")).await;
        let run = planned_run(&world.store, &sound(), 0, None).await;
        let quote = world.post("/quotes", &asked).await;
        assert_eq!(quote.status, 200, "{quote:?}");
        let quote = quote.json();
        // Sides poured on 4 May are ready on the 20th, those poured two days later on the 22nd; the third pair on the 24th.
        assert_eq!((&quote["run"], &quote["ready_on"]), (&json!(run.get()), &json!("2026-05-24")), "{quote}");
        assert_eq!(quote["sooner"][0]["ready_on"], "2026-05-20");
        assert_eq!(
            quote["sooner"][0]["slips"],
            json!([{ "order": "TH-1", "from": "2026-05-22", "to": "2026-05-24", "late_days_more": 2 }])
        );
        assert_eq!(quote["orders_not_planned"], json!(["TH-2"]));
        assert_eq!(quote["sentences"][0], "it can be ready on 2026-05-24 without making any promised order later");
        // Two sides of 10.8 litres, 350 g each, 495 for 25,000 g.
        assert_eq!(quote["materials_price_minor"], 150);
        let set = json!({ "lines": [{ "set": "bed", "finish": "grey", "quantity": 1 }], "not_before": "2026-05-10" });
        let later = world.post("/quotes", &set).await.json();
        assert_eq!(later["ready_on"], "2026-05-28", "two pairs from 10 May on: {later}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_quoted_is_refused_with_all_faults() {
    World::furnished(async |world| {
        planned_run(&world.store, &sound(), 0, None).await;
        let lines = |line| json!({ "lines": [line] });
        let unknown = lines(json!({ "panel": "lid", "finish": "grey", "quantity": 1 }));
        assert_eq!(world.post("/quotes", &unknown).await.pointers(), ["/lines/0/panel"]);
        let slate = lines(json!({ "panel": "side", "finish": "slate", "quantity": 1 }));
        assert_eq!(world.post("/quotes", &slate).await.pointers(), ["/lines/0/finish"]);
        assert_eq!(world.post("/quotes", &json!({ "lines": [] })).await.pointers(), ["/lines"]);
        // A panel that came into the catalogue after the plan was made.
        world.make("/panels", &crate::world::panel("end")).await;
        let new = lines(json!({ "panel": "end", "finish": "grey", "quantity": 1 }));
        let refused = world.post("/quotes", &new).await;
        assert_eq!(refused.status, 422, "{refused:?}");
        assert!(refused.text.contains("ask for a plan first"), "{refused:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_run_tells_what_it_changes_and_why() {
    World::furnished(async |world| {
        let first = planned_run(&world.store, &sound(), 0, None).await;
        let path = format!("/planning-runs/{first}/changes");
        assert_eq!(world.get(&path).await.status, 404, "there is no plan before the first");
        let mut facts = sound();
        facts.orders.push(wanted("TH-3", "2026-05-22", 2));
        let second = planned_run(&world.store, &facts, 5, Some(first)).await;
        let changes = world.get(&format!("/planning-runs/{second}/changes")).await.json();
        assert_eq!((&changes["run"], &changes["before"]), (&json!(second.get()), &json!(first.get())), "{changes}");
        let told = json!([{ "because": "order_new", "subject": "TH-3", "sentence": "order \"TH-3\" is new" }]);
        assert_eq!(changes["told"], told);
        let orders = changes["orders"].as_array().unwrap();
        let new = orders.iter().find(|order| order["order"] == "TH-3").unwrap();
        assert_eq!((&new["ready_before"], &new["because"]), (&json!(null), &json!("order_new")));
        assert!(changes["pours"].as_array().is_some_and(|pours| !pours.is_empty()), "{changes}");
        assert_eq!(world.get("/planning-runs/99/changes").await.status, 404);
        assert_eq!(world.get("/planning-runs/0/changes").await.status, 400);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn late_orders_come_with_their_cures() {
    World::furnished(async |world| {
        planned_run(&world.store, &sound(), 0, None).await;
        let plan = world.get("/plan").await.json();
        let late = &plan["late"][0];
        assert_eq!((&late["cause"], &late["freed_on"]), (&json!("moulds"), &json!("2026-05-20")), "{late}");
        let more = "the moulds of group \"sides\" hold it back: with 2 moulds more of group \"sides\"";
        assert!(late["sentence"].as_str().unwrap().contains(more), "{late}");
        let cure = &plan["cures"][0];
        assert_eq!((&cure["remedy"], &cure["order_days_fewer"]), (&json!("moulds"), &json!(2.0)), "{plan}");
        assert_eq!((&cure["worth_minor"], &cure["orders"][0]["order"]), (&json!(1000), &json!("TH-1")));
    })
    .await;
}
