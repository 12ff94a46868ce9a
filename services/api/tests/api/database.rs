//! What callers hear when the database cannot do what is asked.

use serde_json::json;
use store::{Options, Store};

use crate::world::World;

#[tokio::test(flavor = "multi_thread")]
async fn a_read_only_database_is_read_and_says_why_it_takes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("test.db");
    let store = Store::open(&format!("sqlite:{}", file.display()), &Options::default()).await.unwrap();
    store.migrate().await.unwrap();
    drop(store);
    let url = format!("sqlite:{}?mode=ro", file.display());
    let store = match Store::open(&url, &Options::default()).await {
        Ok(store) => store,
        Err(refused) => {
            // Refusing at the start, in a sentence, is as good.
            assert!(refused.to_string().contains("read"), "{refused}");
            return;
        }
    };
    let world = World::over(store, folder, |_| {}).await;
    assert_eq!(world.get("/finishes").await.status, 200);
    let refused = world.post("/finishes", &json!({ "id": "grey", "name": "Grey" })).await;
    assert_eq!((refused.status, refused.problem()["type"].clone()), (503, json!("/problems/database-read-only")), "{refused:?}");
    assert!(refused.header("retry-after").is_some());
    assert!(refused.problem()["detail"].as_str().unwrap().contains("only be read"));
}

#[tokio::test(flavor = "multi_thread")]
async fn without_its_tables_it_is_not_ready_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let url = format!("sqlite:{}", folder.path().join("test.db").display());
    let store = Store::open(&url, &Options::default()).await.unwrap();
    let world = World::over(store, folder, |_| {}).await;
    assert_eq!(world.get("/health/live").await.status, 200);
    let ready = world.get("/health/ready").await;
    assert_eq!(ready.status, 503, "{ready:?}");
    assert!(ready.text.contains("mouldboard migrate") || ready.text.contains("not as this version"), "{ready:?}");
    let asked = world.get("/finishes").await;
    assert_eq!((asked.status, asked.problem()["type"].clone()), (503, json!("/problems/database-not-ready")), "{asked:?}");
}
