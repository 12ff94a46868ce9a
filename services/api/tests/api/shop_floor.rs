//! Stock, deliveries, lots, pins and jobs.

use serde_json::{Value, json};

use crate::world::World;

async fn on_hand(world: &World, material: &str) -> i64 {
    let stock = world.get("/stock").await.json();
    stock.as_array().unwrap().iter().find(|m| m["material"] == material).unwrap()["on_hand"].as_i64().unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn the_ledger_adds_up_and_is_only_countered() {
    World::furnished(async |world| {
        let steps = [
            (json!({ "material": "cement", "kind": "received", "amount": 100000 }), 100000),
            (json!({ "material": "cement", "kind": "written_off", "amount": -5000, "note": "wet bag" }), 95000),
            (json!({ "material": "cement", "kind": "counted", "counted": 90000 }), 90000),
            (
                json!({ "material": "cement", "kind": "adjusted", "amount": 500, "note": "found behind the mixer" }),
                90500,
            ),
        ];
        for (body, balance) in steps {
            let written = world.make("/stock/entries", &body).await.json();
            assert_eq!(written["balance"], balance, "{body}");
            assert_eq!(on_hand(world, "cement").await, balance);
        }
        let entries = world.get("/stock/entries?material=cement").await.json();
        assert_eq!(entries[2]["amount"], -5000, "{entries}");
        let first = format!("/stock/entries/{}", entries[0]["id"]);
        let countered = world.make(&format!("{first}/counter"), &json!({ "note": "never came" })).await.json();
        assert_eq!((&countered["balance"], &countered["counters"]), (&json!(-9500), &entries[0]["id"]), "{countered}");
        let twice = world.post(&format!("{first}/counter"), &json!({ "note": "again" })).await;
        assert_eq!(twice.status, 409, "{twice:?}");
        let opposite =
            world.post(&format!("/stock/entries/{}/counter", countered["id"]), &json!({ "note": "no" })).await;
        assert_eq!(opposite.status, 409, "{opposite:?}");
        assert_eq!(world.get(&first).await.json(), entries[0]);
        assert_eq!(world.post("/stock/entries/999/counter", &json!({ "note": "x" })).await.status, 404);
        assert!(!world.get("/stock").await.text.contains("water"), "the main is not counted");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_delivery_comes_into_the_ledger_once() {
    World::furnished(async |world| {
        let made =
            world.make("/deliveries", &json!({ "material": "cement", "packs": 4, "expected_on": "2026-05-07" })).await;
        let path = made.header("location").unwrap().to_owned();
        assert_eq!(world.get("/deliveries?state=on_its_way").await.json().as_array().unwrap().len(), 1);
        let tomorrow = world.post(&format!("{path}/arrival"), &json!({ "arrived_on": "2026-05-05" })).await;
        assert_eq!((tomorrow.status, tomorrow.pointers()), (422, vec!["/arrived_on".to_owned()]));
        let here = world.make(&format!("{path}/arrival"), &json!({})).await.json();
        assert_eq!(
            (&here["state"], &here["received"], &here["arrived_on"]),
            (&json!("here"), &json!(100000), &json!("2026-05-04"))
        );
        assert_eq!(on_hand(world, "cement").await, 100000);
        let entry = &world.get("/stock/entries").await.json()[0];
        assert_eq!(entry["delivery"], here["id"]);
        assert_eq!(world.post(&format!("{path}/arrival"), &json!({})).await.status, 409);
        let etag = world.get(&path).await.etag();
        assert_eq!(world.ask("DELETE", &path).header("If-Match", &etag).send().await.status, 409);
        let other =
            world.make("/deliveries", &json!({ "material": "sand", "packs": 1, "expected_on": "2026-05-08" })).await;
        let taken_back =
            world.ask("DELETE", other.header("location").unwrap()).header("If-Match", &other.etag()).send().await;
        assert_eq!(taken_back.status, 204, "{taken_back:?}");
        assert_eq!(on_hand(world, "cement").await, 100000);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn panels_go_from_mould_to_customer_one_stage_at_a_time() {
    World::furnished(async |world| {
    let lot = json!({ "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "in_mould", "since": "2026-04-28", "quantity": 6 });
    let made = world.make("/lots", &lot).await;
    let path = made.header("location").unwrap().to_owned();
    assert_eq!(made.json()["finish"], "grey");
    let refused = [
        (json!({ "to": "drying", "quantity": 6, "rack": "long" }), vec!["/to"]),
        (json!({ "to": "soaking", "quantity": 7, "tank": "north" }), vec!["/quantity"]),
        (json!({ "to": "soaking", "quantity": 6 }), vec!["/tank"]),
        (json!({ "to": "soaking", "quantity": 6, "tank": "pond" }), vec!["/tank"]),
        (json!({ "to": "soaking", "quantity": 6, "tank": "north", "day": "2026-04-27" }), vec!["/day"]),
        (json!({ "to": "soaking", "quantity": 6, "tank": "north", "day": "2026-05-05" }), vec!["/day"]),
    ];
    for (body, pointers) in refused {
        let answer = world.post(&format!("{path}/moves"), &body).await;
        assert_eq!((answer.status, answer.pointers()), (422, pointers.iter().map(ToString::to_string).collect()), "{body}");
    }
    let soaking = world.make(&format!("{path}/moves"), &json!({ "to": "soaking", "quantity": 4, "tank": "north", "day": "2026-04-30" })).await;
    assert_eq!((soaking.status, &soaking.json()["quantity"], &soaking.json()["tank"]), (201, &json!(4), &json!("north")));
    assert_eq!(world.get(&path).await.json()["quantity"], 2);
    let soaking = soaking.header("location").unwrap().to_owned();
    let drying = world.make(&format!("{soaking}/moves"), &json!({ "to": "drying", "quantity": 4, "rack": "long", "day": "2026-05-01" })).await;
    let drying = drying.header("location").unwrap().to_owned();
    let ready = world.make(&format!("{drying}/moves"), &json!({ "to": "ready", "quantity": 4 })).await;
    let ready = ready.header("location").unwrap().to_owned();
    assert_eq!(world.post(&format!("{path}/dispatch"), &json!({ "quantity": 1 })).await.status, 422);
    assert_eq!(world.post(&format!("{ready}/dispatch"), &json!({ "quantity": 1, "order": "TH-9" })).await.pointers(), ["/order"]);
    let sent = world.make(&format!("{ready}/dispatch"), &json!({ "quantity": 3 })).await.json();
    assert_eq!(sent["quantity"], 1);
    let stages = world.get("/lots?stage=ready").await.json();
    assert_eq!(stages.as_array().unwrap().len(), 1, "{stages}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn pours_are_pinned_and_unpinned() {
    World::furnished(async |world| {
    let pin = json!({ "day": "2026-05-08", "panel": "side", "revision": "plain@1", "quantity": 4, "reason": "shown to visitors" });
    let made = world.make("/pins", &pin).await;
    let path = made.header("location").unwrap();
    assert_eq!(world.get(path).await.json(), made.json());
    assert_eq!(world.get("/pins").await.json(), Value::Array(vec![made.json()]));
    assert_eq!(world.ask("DELETE", path).header("If-Match", &made.etag()).send().await.status, 204);
    assert_eq!(world.get("/pins").await.json(), json!([]));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_set_aside_is_tried_again() {
    World::bare(async |world| {
        let now = crate::world::NOW.parse().unwrap();
        let tx = world.store.write().await.unwrap();
        store::jobs::enqueue(&tx, now, "test", "k", "{}", now).await.unwrap();
        tx.commit().await.unwrap();
        let job = store::jobs::claim(&world.store, now, "w", 60).await.unwrap().unwrap();
        store::jobs::fail(&world.store, job.id, "w", now, "it broke", None).await.unwrap();
        let aside = world.get("/jobs?state=set_aside").await.json();
        assert_eq!((&aside[0]["error"], &aside[0]["attempts"]), (&json!("it broke"), &json!(1)), "{aside}");
        let retry = format!("/jobs/{}/retry", aside[0]["id"]);
        assert_eq!(world.ask("POST", &retry).send().await.status, 204);
        assert_eq!(world.get("/jobs?state=waiting").await.json()[0]["id"], aside[0]["id"]);
        assert_eq!(world.ask("POST", &retry).send().await.status, 409);
        assert_eq!(world.ask("POST", "/jobs/999/retry").send().await.status, 404);
    })
    .await;
}
