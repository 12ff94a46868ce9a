//! A backup made while people work is of one moment, and whole again in an empty place.

use std::process::Stdio;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};

use serde_json::json;
use store::{Options, Store};
use testkit::databases::{TestDatabase, databases};

use crate::service::{Service, Told, program};
use crate::workshop::World;

fn run(database: &str, words: &[&str]) -> String {
    let mut command = program();
    let out = command.args(words).env("MOULDBOARD_DATABASE_URL", database).stdout(Stdio::piped()).output().unwrap();
    assert!(out.status.success(), "{words:?} did not succeed");
    String::from_utf8_lossy(&out.stdout).into_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_backup_made_under_load_is_whole_in_an_empty_place() {
    let folder = tempfile::tempdir().unwrap();
    for (index, database) in databases().await.into_iter().enumerate() {
        let kind = database.kind;
        let world = World::planned(database).await;
        let told = Told { command: "serve", database: &world.url, today: mouldboard::demo::TODAY, die_at: None };
        let service = Arc::new(Service::start(told).await);
        let (stop, taken) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicI64::new(0)));
        let writing = tokio::spawn(take_orders(service.clone(), stop.clone(), taken.clone()));
        for round in 0..3 {
            let file = folder.path().join(format!("{index}-{round}.backup"));
            let file = file.to_str().unwrap();
            let before = taken.load(Ordering::SeqCst);
            run(&world.url, &["backup", file]);
            let after = taken.load(Ordering::SeqCst);
            assert!(after > before, "nothing was written while the backup was made: it proves nothing");
            let place = empty(kind).await;
            run(&place.url, &["restore", file]);
            assert!(run(&place.url, &["audit"]).contains("Everything holds."));
            let there = orders_in(&place).await;
            assert!((before..=after + 1).contains(&there), "{there} orders came back, of {before} to {after} taken");
            assert!(
                program()
                    .args(["restore", file])
                    .env("MOULDBOARD_DATABASE_URL", &place.url)
                    .stderr(Stdio::null())
                    .status()
                    .unwrap()
                    .code()
                    == Some(1),
                "a backup was read into a place that is not empty"
            );
        }
        stop.store(true, Ordering::SeqCst);
        writing.await.unwrap();
        drop(service);
        world.audit("backups under load").await;
    }
}

async fn empty(kind: store::DatabaseKind) -> TestDatabase {
    match kind {
        store::DatabaseKind::Sqlite => TestDatabase::sqlite(),
        store::DatabaseKind::Postgres => TestDatabase::postgres().await.unwrap(),
    }
}

/// Takes orders, one after another, and counts those it has the answer of.
async fn take_orders(service: Arc<Service>, stop: Arc<AtomicBool>, taken: Arc<AtomicI64>) {
    while !stop.load(Ordering::SeqCst) {
        let number = taken.load(Ordering::SeqCst);
        let order = json!({ "id": format!("KEPT-{number}"), "due_on": "2026-05-20",
            "lines": [{ "set": "planter-450", "finish": "grey", "quantity": 1 }] });
        let (status, body) = service.send("/orders", &format!("kept-{number}"), &order.to_string()).await.unwrap();
        assert_eq!(status, 201, "{body}");
        taken.fetch_add(1, Ordering::SeqCst);
    }
}

/// How many of those orders a database holds.
async fn orders_in(place: &TestDatabase) -> i64 {
    let store = Store::open(&place.url, &Options::default()).await.unwrap();
    let tx = store.read().await.unwrap();
    let orders = store::orders::open(&tx).await.unwrap();
    i64::try_from(orders.iter().filter(|o| o.id.as_str().starts_with("KEPT-")).count()).unwrap()
}
