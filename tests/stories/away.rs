//! The database goes away in mid-run: PostgreSQL's wire is cut, SQLite's file is held by another program. The API says so and
//! comes back by itself; the worker waits and loses nothing.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

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
        tokio::time::sleep(Duration::from_millis(300)).await;
    }
}

/// How long the database is away: a full minute in the long run.
fn a_while() -> Duration {
    let slow = std::env::var_os("MOULDBOARD_TEST_SLOW").is_some();
    Duration::from_secs(if slow { 60 } else { 2 })
}

const ORDER: &str =
    r#"{"id": "LOST-1", "due_on": "2026-05-20", "lines": [{"set": "planter-450", "finish": "grey", "quantity": 1}]}"#;

/// People and the worker go on trying for as long as it is away: all are told to come again, nobody breaks.
async fn tried_in_vain(world: &World) {
    let since = Instant::now();
    let mut tried = 0;
    while tried < 2 || since.elapsed() < a_while() {
        let refused = world.send(Method::POST, "/orders", Some(ORDER)).await;
        assert_eq!(refused.status(), 503, "after {:?}", since.elapsed());
        assert!(refused.headers().contains_key("retry-after"));
        assert!(worker::step(&world.store, &world.worker("waiting")).await.is_err());
        tried += 1;
    }
    println!("tried {tried} times in {:?}", since.elapsed());
}

async fn carry(mut near: TcpStream, server: String, wire: Arc<AtomicBool>) {
    let Ok(mut far) = TcpStream::connect(server).await else { return };
    let cut = async {
        while wire.load(Ordering::SeqCst) {
            tokio::time::sleep(Duration::from_millis(20)).await;
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
    tried_in_vain(&world).await;
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
    world.it_is("2026-03-02T06:00:00Z");
    tried_in_vain(&world).await;
    assert_eq!(world.send(Method::GET, "/materials", None).await.status(), 200, "it can still be read");

    held.rollback().await.unwrap();
    assert_eq!(world.send(Method::GET, "/orders/LOST-1", None).await.status(), 404, "half an order was kept");
    assert_eq!(world.send(Method::POST, "/orders", Some(ORDER)).await.status(), 201);
    world.work().await;
    assert!(!world.get("/days/today/tickets").await.as_array().unwrap().is_empty());
    world.audit().await;
}
