//! What callers hear when the database cannot do what is asked.

use serde_json::json;
use store::{Options, Store};
use testkit::databases::TestDatabase;

use crate::world::World;

#[tokio::test(flavor = "multi_thread")]
async fn a_read_only_database_is_read_and_says_why_it_takes_nothing() {
    let database = TestDatabase::sqlite();
    drop(database.migrated().await);
    let store = Store::open(&format!("{}?mode=ro", database.url), &Options::default()).await;
    let world = World::over(store.expect("a database that is only read"), |_| {}).await;
    assert_eq!(world.get("/finishes").await.status, 200);
    let refused = world.post("/finishes", &json!({ "id": "grey", "name": "Grey" })).await;
    let problem = refused.problem();
    assert_eq!((refused.status, &problem["type"]), (503, &json!("/problems/database-read-only")), "{refused:?}");
    assert!(refused.header("retry-after").is_some());
    assert!(problem["detail"].as_str().unwrap().contains("only be read"), "{problem}");
}

#[tokio::test(flavor = "multi_thread")]
async fn without_its_tables_it_is_not_ready_and_says_so() {
    let database = TestDatabase::sqlite();
    let world = World::over(database.open().await, |_| {}).await;
    assert_eq!(world.get("/health/live").await.status, 200);
    let ready = world.get("/health/ready").await;
    assert_eq!(ready.status, 503, "{ready:?}");
    assert!(ready.text.contains("mouldboard migrate") || ready.text.contains("not as this version"), "{ready:?}");
    let asked = world.get("/finishes").await;
    assert_eq!(
        (asked.status, asked.problem()["type"].clone()),
        (503, json!("/problems/database-not-ready")),
        "{asked:?}"
    );
}
