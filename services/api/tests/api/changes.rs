//! Asking twice, and changing at the same time.

use serde_json::json;

use crate::world::{World, order};

#[tokio::test(flavor = "multi_thread")]
async fn the_same_key_and_body_is_done_once() {
    World::furnished(async |world| {
        let entry = json!({ "material": "cement", "kind": "received", "amount": 25000 });
        let ask = |key: &'static str, body: serde_json::Value| {
            let ask = world.ask("POST", "/stock/entries").header("Idempotency-Key", key).json(&body);
            async move { ask.send().await }
        };
        let first = ask("k1", entry.clone()).await;
        let again = ask("k1", entry.clone()).await;
        assert_eq!((first.status, &first.text, first.header("location")), (201, &again.text, again.header("location")));
        let other = ask("k1", json!({ "material": "cement", "kind": "received", "amount": 1 })).await;
        assert_eq!((other.status, other.problem()["type"].clone()), (422, json!("/problems/key-reused")));
        ask("k2", entry).await;
        assert_eq!(world.get("/stock/entries").await.json().as_array().unwrap().len(), 2);
        // A refusal is not kept: the same key may be used once the body is right.
        assert_eq!(ask("k3", json!({ "material": "gold", "kind": "received", "amount": 1 })).await.status, 422);
        assert_eq!(ask("k3", json!({ "material": "sand", "kind": "received", "amount": 1 })).await.status, 201);
        // On another path the key is another.
        let order = world.ask("POST", "/orders").header("Idempotency-Key", "k1").json(&order("TH-1")).send().await;
        assert_eq!(order.status, 201, "{order:?}");
        let long = "k".repeat(201);
        let refused = world
            .ask("POST", "/stock/entries")
            .header("Idempotency-Key", &long)
            .json(&json!({ "material": "sand", "kind": "received", "amount": 1 }));
        assert_eq!(refused.send().await.pointers(), ["/header/idempotency-key"]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_key_at_the_same_time_is_done_once() {
    World::furnished(async |world| {
        let body = json!({ "material": "cement", "kind": "received", "amount": 25000 });
        let asks =
            (0..8).map(|_| world.ask("POST", "/stock/entries").header("Idempotency-Key", "same").json(&body).send());
        let answers = futures::future::join_all(asks).await;
        let texts: std::collections::BTreeSet<_> = answers.iter().map(|answer| (answer.status, &answer.text)).collect();
        assert_eq!(texts.len(), 1, "{texts:?}");
        assert_eq!(world.get("/stock/entries").await.json().as_array().unwrap().len(), 1);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn of_changes_at_the_same_time_one_wins_and_the_others_hear_of_it() {
    World::furnished(async |world| {
        let etag = world.get("/finishes/grey").await.etag();
        let asks = (0..8).map(|n| {
            let body = json!({ "id": "grey", "name": format!("Grey {n}") });
            world.ask("PUT", "/finishes/grey").header("If-Match", &etag).json(&body).send()
        });
        let answers = futures::future::join_all(asks).await;
        let won: Vec<_> = answers.iter().filter(|answer| answer.status == 200).collect();
        assert_eq!(won.len(), 1, "{answers:?}");
        for lost in answers.iter().filter(|answer| answer.status != 200) {
            assert_eq!(lost.status, 412);
            assert_eq!((lost.problem()["current"].clone(), lost.etag()), (won[0].json(), won[0].etag()));
        }
        let retried = world.ask("PUT", "/finishes/grey").header("If-Match", &format!("\"x\", {}", won[0].etag()));
        assert_eq!(retried.json(&json!({ "id": "grey", "name": "Grey" })).send().await.status, 200);
        let any =
            world.ask("PUT", "/finishes/grey").header("If-Match", "*").json(&json!({ "id": "grey", "name": "Greyer" }));
        assert_eq!(any.send().await.status, 200);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_etag_never_speaks_for_another_thing_of_the_same_id() {
    World::furnished(async |world| {
        world.make("/finishes", &json!({ "id": "moss", "name": "Moss" })).await;
        let first = world.get("/finishes/moss").await.etag();
        assert_eq!(world.ask("DELETE", "/finishes/moss").header("If-Match", &first).send().await.status, 204);
        world.make("/finishes", &json!({ "id": "moss", "name": "Another moss" })).await;
        assert_eq!(world.ask("DELETE", "/finishes/moss").header("If-Match", &first).send().await.status, 412);
        let known = world.get("/finishes/moss").await.etag();
        let not_modified = world.ask("GET", "/finishes/moss").header("If-None-Match", &known).send().await;
        assert_eq!((not_modified.status, not_modified.text.as_str()), (304, ""));
        assert_eq!(world.ask("GET", "/finishes/moss").header("If-None-Match", &first).send().await.status, 200);
    })
    .await;
}
