//! The database goes away in mid-run: PostgreSQL's wire is cut, SQLite's file is held by another program. The API says so and
//! comes back by itself; the worker waits and loses nothing.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use reqwest::Method;
use store::{Options, Store};
use stories::World;
use testkit::databases::TestDatabase;
use tokio::net::{TcpListener, TcpStream};

/// A wire to the server that can be cut.
struct Wire {
    port: u16,
    whole: Arc<AtomicBool>,
}

impl Wire {
    async fn to(server: String) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let port = listener.local_addr().unwrap().port();
        let whole = Arc::new(AtomicBool::new(true));
        let wire = whole.clone();
        tokio::spawn(async move {
            while let Ok((near, _)) = listener.accept().await {
                if wire.load(Ordering::SeqCst) {
                    tokio::spawn(carry(near, server.clone(), wire.clone()));
                }
            }
        });
        Self { port, whole }
    }
}

impl Wire {
    /// Cuts it, and waits until everything that ran over it has noticed.
    async fn cut(&self) {
        self.whole.store(false, Ordering::SeqCst);
        tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    }
}

async fn carry(mut near: TcpStream, server: String, wire: Arc<AtomicBool>) {
    let Ok(mut far) = TcpStream::connect(server).await else { return };
    let cut = async {
        while wire.load(Ordering::SeqCst) {
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
    };
    tokio::select! {
        _ = tokio::io::copy_bidirectional(&mut near, &mut far) => {}
        () = cut => {}
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_database_that_goes_away_is_said_and_comes_back() {
    let Some(database) = TestDatabase::postgres().await else { return };
    database.migrated().await;
    let (before, rest) = database.url.rsplit_once('@').unwrap();
    let (server, name) = rest.split_once('/').unwrap();
    let wire = Wire::to(server.to_owned()).await;
    let url = format!("{before}@127.0.0.1:{}/{name}", wire.port);
    let options = Options { acquire_timeout_ms: 700, busy_timeout_ms: 2_000, ..Options::default() };
    let world = World::new(Store::open(&url, &options).await.unwrap()).await;
    world.plan().await;

    wire.cut().await;
    let away = world.send(Method::GET, "/materials", None).await;
    assert_eq!(away.status(), 503);
    assert!(away.headers().contains_key("retry-after"));
    assert_eq!(away.headers()["content-type"], "application/problem+json");
    let order = r#"{"id": "LOST-1", "due_on": "2026-05-20", "lines": [{"set": "planter-450", "finish": "grey", "quantity": 1}]}"#;
    assert_eq!(world.send(Method::POST, "/orders", Some(order)).await.status(), 503);
    assert!(worker::step(&world.store, &world.worker("waiting")).await.is_err());
    assert_eq!(world.send(Method::GET, "/health/ready", None).await.status(), 503);
    let figures = world.send(Method::GET, "/metrics", None).await;
    assert_eq!(
        (figures.status().as_u16(), figures.text().await.unwrap().as_str()),
        (200, "mouldboard_database_up 0\n")
    );

    wire.whole.store(true, Ordering::SeqCst);
    assert_eq!(world.send(Method::GET, "/materials", None).await.status(), 200);
    assert_eq!(world.send(Method::GET, "/orders/LOST-1", None).await.status(), 404, "half an order was kept");
    world.it_is("2026-03-02T06:00:00Z");
    world.work().await;
    assert!(!world.get("/days/today/tickets").await.as_array().unwrap().is_empty());
    world.audit().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_file_that_another_program_holds_is_said_and_comes_back() {
    let database = TestDatabase::sqlite();
    database.migrated().await;
    let options = Options { acquire_timeout_ms: 700, busy_timeout_ms: 300, ..Options::default() };
    let world = World::new(Store::open(&database.url, &options).await.unwrap()).await;
    world.plan().await;

    let other = Store::open(&database.url, &Options::default()).await.unwrap();
    let held = other.write().await.unwrap();
    let order = r#"{"id": "LOST-1", "due_on": "2026-05-20", "lines": [{"set": "planter-450", "finish": "grey", "quantity": 1}]}"#;
    let busy = world.send(Method::POST, "/orders", Some(order)).await;
    assert_eq!(busy.status(), 503);
    assert!(busy.headers().contains_key("retry-after"));
    assert_eq!(world.send(Method::GET, "/materials", None).await.status(), 200, "it can still be read");
    world.it_is("2026-03-02T06:00:00Z");
    assert!(worker::step(&world.store, &world.worker("waiting")).await.is_err());

    held.rollback().await.unwrap();
    assert_eq!(world.send(Method::GET, "/orders/LOST-1", None).await.status(), 404, "half an order was kept");
    assert_eq!(world.send(Method::POST, "/orders", Some(order)).await.status(), 201);
    world.work().await;
    assert!(!world.get("/days/today/tickets").await.as_array().unwrap().is_empty());
    world.audit().await;
}
