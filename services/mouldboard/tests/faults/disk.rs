//! No room left: it is said, nothing is half kept, everything can still be read, and work goes on once there is room.

use reqwest::Client;
use serde_json::{Value, json};
use store::{Options, Store};
use testkit::databases::TestDatabase;
use workshop::tickets::TicketState;

use crate::service::send;
use crate::workshop::{World, noon};

/// An API in this process over one opening of the records.
async fn serving(store: Store) -> api::Running {
    let at = noon(mouldboard::demo::TODAY);
    let config = api::Config::local(([127, 0, 0, 1], 0).into(), std::sync::Arc::new(move || at));
    api::start(store, config).await.unwrap()
}

async fn post(api: &api::Running, path: &str, key: &str, body: &str) -> (u16, Value) {
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

/// The server's own word for it, from a table that refuses every row with it.
#[tokio::test(flavor = "multi_thread")]
async fn a_full_disk_is_said_and_nothing_is_half_kept_on_postgresql() {
    let Some(database) = TestDatabase::postgres().await else { return };
    let world = World::planned(database).await;
    world.work_at(noon(mouldboard::demo::TODAY)).await;
    let ticket = world.tickets(mouldboard::demo::TODAY).await.remove(0);
    let line = ticket.lines.iter().find(|l| l.counted).unwrap();
    let before = world.on_hand(&line.material).await;
    let api = serving(world.store.clone()).await;
    let path = format!("/tickets/{}/completion", ticket.number);
    world.execute(FULL).await;
    says_full(&post(&api, &path, "mixed", "{}").await);
    assert_eq!(world.on_hand(&line.material).await, before, "drawn, though its panels could not be written");
    world.audit("the disk was full").await;
    world.execute("DROP TRIGGER full_disk ON lot").await;
    assert_eq!(post(&api, &path, "mixed", "{}").await.0, 200);
    assert_eq!(world.on_hand(&line.material).await, before - line.target.get());
    world.audit("there was room again").await;
}

const FULL: &str = "
CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'could not extend file' USING ERRCODE = '53100'; END $$;
CREATE TRIGGER full_disk BEFORE INSERT ON lot FOR EACH ROW EXECUTE FUNCTION no_room();";
