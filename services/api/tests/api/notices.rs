//! What happened: asked for in pages, and web hooks that are told.

use serde_json::{Value, json};
use store::notices;
use testkit::databases::TestDatabase;
use workshop::notices::{Kind, NewNotice};

use crate::world::World;

async fn happened(world: &World, kind: Kind, subject: &str) {
    let tx = world.store.write().await.unwrap();
    let said = NewNotice { kind, subject: subject.to_owned(), sentence: format!("{subject} it is.") };
    notices::write(&tx, &said).await.unwrap();
    tx.commit().await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_script_that_asks_for_what_came_after_misses_nothing() {
    World::bare(async |world| {
        assert_eq!(world.get("/events").await.json(), json!([]));
        for number in 0..5 {
            happened(world, Kind::OrderLate, &format!("TH-{number}")).await;
        }
        happened(world, Kind::MaterialShort, "cement").await;
        let first = world.get("/events?limit=2").await;
        let ids: Vec<i64> = first.json().as_array().unwrap().iter().map(|e| e["id"].as_i64().unwrap()).collect();
        assert_eq!(ids.len(), 2);
        assert!(first.header("link").unwrap().contains(&format!("after={}&limit=2", ids[1])), "{first:?}");
        let rest = world.get(&format!("/events?after={}", ids[1])).await.json();
        let subjects: Vec<&str> = rest.as_array().unwrap().iter().map(|e| e["subject"].as_str().unwrap()).collect();
        assert_eq!(subjects, ["TH-2", "TH-3", "TH-4", "cement"]);
        let short = world.get("/events?kind=material_short").await.json();
        assert_eq!((short.as_array().unwrap().len(), &short[0]["sentence"]), (1, &json!("cement it is.")));
        // A web hook is sent the very same form.
        let tx = world.store.read().await.unwrap();
        let notice = notices::page(&tx, Some(Kind::MaterialShort), None, 1).await.unwrap().remove(0);
        let sent: Value = serde_json::from_str(&feeds::notices::written(&notice)).unwrap();
        assert_eq!(sent, short[0]);
        assert_eq!(world.get("/events?after=x").await.status, 400);
        assert_eq!(world.get("/events?kind=weather").await.status, 400);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_web_hook_shows_its_secret_once_and_how_its_messages_fare() {
    World::bare(async |world| {
        let given = json!({ "name": "yard", "url": "https://listener.example/x", "kinds": ["order_late"] });
        let made = world.make("/web-hooks", &given).await;
        let secret = made.json()["secret"].as_str().unwrap().to_owned();
        assert!(secret.starts_with("mw_") && secret.len() > 60, "{secret}");
        assert_eq!((made.status, made.header("cache-control")), (201, Some("no-store")));
        assert_eq!(world.post("/web-hooks", &given).await.status, 409, "one of that name is there");
        happened(world, Kind::OrderLate, "TH-1").await;
        happened(world, Kind::TicketsIssued, "2026-05-04").await;
        let list = world.get("/web-hooks").await;
        assert!(!list.text.contains(&secret), "{list:?}");
        let hook = &list.json()[0];
        assert_eq!(
            (&hook["waiting"], &hook["set_aside"], &hook["kinds"]),
            (&json!(1), &json!(0), &json!(["order_late"]))
        );
        let id = &hook["id"];
        let ended = world.ask("DELETE", &format!("/web-hooks/{id}")).send().await;
        assert_eq!(ended.status, 204, "{ended:?}");
        assert_eq!(world.get("/web-hooks").await.json(), json!([]));
        assert_eq!(world.ask("DELETE", &format!("/web-hooks/{id}")).send().await.status, 404);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_web_hook_into_the_own_network_is_refused_unless_a_setting_allows_it() {
    let given = |url: &str| json!({ "name": "yard", "url": url, "kinds": ["order_late"] });
    let database = TestDatabase::sqlite();
    let world = World::over(database.migrated().await, |_| {}).await;
    for url in
        ["http://127.0.0.1:9/", "http://localhost/", "http://192.168.1.4/", "ftp://listener.example/", "listener"]
    {
        let refused = world.post("/web-hooks", &given(url)).await;
        assert_eq!((refused.status, refused.pointers()), (422, vec!["/url".to_owned()]), "{url}");
    }
    let keyed =
        world.ask("POST", "/web-hooks").header("Idempotency-Key", "k").json(&given("https://listener.example/"));
    assert_eq!(keyed.send().await.status, 400, "a kept answer would keep the secret");
    let world = World::over(database.open().await, |config| config.hooks_to_private = true).await;
    assert_eq!(world.post("/web-hooks", &given("http://127.0.0.1:9/")).await.status, 201);
}
