//! No room left: it is said, nothing is half kept, everything can still be read, and work goes on once there is room.

use chrono::Duration;
use reqwest::Client;
use serde_json::{Value, json};
use store::{Options, Store};
use testkit::databases::TestDatabase;
use worker::DidWork;
use workshop::tickets::TicketState;

use crate::service::send;
use crate::workshop::{World, noon};

/// An API in this process over one opening of the records.
pub async fn serving(store: Store) -> api::Running {
    let at = noon(mouldboard::demo::TODAY);
    let config = api::Config::local(([127, 0, 0, 1], 0).into(), std::sync::Arc::new(move || at));
    api::start(store, config).await.unwrap()
}

pub async fn post(api: &api::Running, path: &str, key: &str, body: &str) -> (u16, Value) {
    let at = format!("http://{}", api.address);
    let (status, body) = send(&Client::new(), &at, path, key, body).await.unwrap();
    (status, serde_json::from_str(&body).unwrap_or_default())
}

fn order(number: usize) -> String {
    let note = "a long note, so that the room is soon used up ".repeat(20);
    json!({ "id": format!("FULL-{number}"), "due_on": "2026-05-20", "note": note,
        "lines": [{ "set": "planter-450", "finish": "grey", "quantity": 1 }] })
    .to_string()
}

fn says_full((status, problem): &(u16, Value)) {
    assert_eq!(*status, 507, "{problem}");
    let detail = problem["detail"].as_str().unwrap();
    assert!(detail.contains("no room"), "{detail}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_disk_is_said_and_nothing_is_half_kept_on_sqlite() {
    let world = World::planned(TestDatabase::sqlite()).await;
    world.work_at(noon(mouldboard::demo::TODAY)).await;
    let number = world.tickets(mouldboard::demo::TODAY).await[0].number;
    // As much room as it takes up now: no limit can be less than that.
    let options = Options { most_pages: Some(1), max_connections: 1, ..Options::default() };
    let tight = serving(Store::open(&world.url, &options).await.unwrap()).await;
    let mut taken = 0;
    let full = loop {
        let answer = post(&tight, "/orders", &format!("full-{taken}"), &order(taken)).await;
        if answer.0 != 201 {
            break answer;
        }
        taken += 1;
        assert!(taken < 1_000, "the disk never filled");
    };
    says_full(&full);
    let path = format!("/tickets/{number}/completion");
    // A ticket writes more than an order: it is refused whole.
    let said = json!({ "note": "m".repeat(2_000) }).to_string();
    says_full(&post(&tight, &path, "mixed", &said).await);
    world.audit("the disk was full").await;
    assert_eq!(world.tickets(mouldboard::demo::TODAY).await[0].state, TicketState::Issued);
    let there = Client::new().get(format!("http://{}/orders/FULL-0", tight.address)).send().await.unwrap();
    assert_eq!(there.status(), 200, "what is there can still be read");

    let roomy = serving(world.store.clone()).await;
    assert_eq!(post(&roomy, &path, "mixed", &said).await.0, 200);
    let next = format!("full-{taken}");
    assert_eq!(post(&roomy, "/orders", &next, &order(taken)).await.0, 201);
    world.audit("there was room again").await;
}

/// A table of which the server says, at every row, in its own word that there is no room for it.
struct FullTable<'w> {
    world: &'w World,
    table: &'static str,
}

impl<'w> FullTable<'w> {
    async fn make(world: &'w World, table: &'static str) -> Self {
        let trigger = format!(
            "CREATE OR REPLACE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS $$
             BEGIN RAISE EXCEPTION 'could not extend file' USING ERRCODE = '53100'; END $$;
             CREATE TRIGGER full_disk BEFORE INSERT OR UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION no_room();"
        );
        world.execute(&trigger).await;
        Self { world, table }
    }

    /// The records hold, and there is room again.
    async fn end(self) {
        self.world.audit(&format!("the disk was full for {}", self.table)).await;
        self.world.execute(&format!("DROP TRIGGER full_disk ON {}", self.table)).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_disk_is_said_and_nothing_is_half_kept_on_postgresql() {
    let Some(database) = TestDatabase::postgres().await else { return };
    let world = World::planned(database).await;
    issuing_waits_for_room(&world).await;
    completing_waits_for_room(&world).await;
    receiving_waits_for_room(&world).await;
    an_order_waits_for_room(&world).await;
    taking_over_waits_for_room(&world).await;
    world.audit("there was room again").await;
}

/// One step of a worker at a time of the first day.
async fn step(world: &World, seconds: i64) -> DidWork {
    let at = noon(mouldboard::demo::TODAY) + Duration::seconds(seconds);
    worker::step(&world.store, &worker::Config::new("the full one", std::sync::Arc::new(move || at))).await.unwrap()
}

fn failed_for_room(did: &DidWork) {
    assert!(matches!(did, DidWork::Failed { error, again_at: Some(_), .. } if error.contains("no room")), "{did:?}");
}

async fn issuing_waits_for_room(world: &World) {
    let full = FullTable::make(world, "mould_use").await;
    failed_for_room(&step(world, 0).await);
    assert!(world.tickets(mouldboard::demo::TODAY).await.is_empty(), "half a day was issued");
    full.end().await;
    assert!(matches!(step(world, 10).await, DidWork::Done { .. }));
    assert_eq!(world.tickets(mouldboard::demo::TODAY).await.len(), world.batches(mouldboard::demo::TODAY).await);
}

async fn completing_waits_for_room(world: &World) {
    let ticket = world.tickets(mouldboard::demo::TODAY).await.remove(0);
    let line = ticket.lines.iter().find(|l| l.counted).unwrap();
    let before = world.on_hand(&line.material).await;
    let api = serving(world.store.clone()).await;
    let path = format!("/tickets/{}/completion", ticket.number);
    let full = FullTable::make(world, "lot").await;
    says_full(&post(&api, &path, "mixed", "{}").await);
    assert_eq!(world.on_hand(&line.material).await, before, "drawn, though its panels could not be written");
    full.end().await;
    assert_eq!(post(&api, &path, "mixed", "{}").await.0, 200);
    assert_eq!(world.on_hand(&line.material).await, before - line.target.get());
}

async fn receiving_waits_for_room(world: &World) {
    let api = serving(world.store.clone()).await;
    let cement = json!({ "material": "cement", "packs": 2, "expected_on": mouldboard::demo::TODAY });
    let (status, delivery) = post(&api, "/deliveries", "ordered", &cement.to_string()).await;
    assert_eq!(status, 201, "{delivery}");
    let path = format!("/deliveries/{}/arrival", delivery["id"]);
    let cement = workshop::ids::MaterialId::parse("cement").unwrap();
    let before = world.on_hand(&cement).await;
    let full = FullTable::make(world, "stock_balance").await;
    says_full(&post(&api, &path, "here", "{}").await);
    assert_eq!(world.on_hand(&cement).await, before);
    full.end().await;
    let (status, here) = post(&api, &path, "here", "{}").await;
    assert_eq!((status, &here["state"]), (200, &json!("here")), "{here}");
    assert!(world.on_hand(&cement).await > before);
}

async fn an_order_waits_for_room(world: &World) {
    let api = serving(world.store.clone()).await;
    let full = FullTable::make(world, "order_line").await;
    says_full(&post(&api, "/orders", "taken", &order(1)).await);
    let there = Client::new().get(format!("http://{}/orders/FULL-1", api.address)).send().await.unwrap();
    assert_eq!(there.status(), 404, "an order without its lines was kept");
    full.end().await;
    assert_eq!(post(&api, "/orders", "taken", &order(1)).await.0, 201);
}

async fn taking_over_waits_for_room(world: &World) {
    let before = world.in_force().await;
    let asked = world.ask(noon(mouldboard::demo::TODAY)).await;
    let full = FullTable::make(world, "plan_in_force").await;
    failed_for_room(&step(world, 20).await);
    assert_eq!(world.in_force().await, before, "a plan is in force that could not be kept");
    full.end().await;
    assert!(matches!(step(world, 60).await, DidWork::Done { .. }));
    assert_eq!(world.in_force().await, Some(asked));
}
