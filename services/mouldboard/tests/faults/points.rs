//! The process dies at each named step, five times over; what it leaves is whole, and whoever comes next ends the work.

use reqwest::Client;
use serde_json::json;
use store::Record as _;
use store::deliveries::{self, NewDelivery};
use testkit::databases::TestDatabase;
use workshop::catalogue::Amount;
use workshop::ids::{DeliveryId, FinishId, MaterialId, OrderId, PanelId, RevisionId, SetId, TicketNumber};
use workshop::lots::{NewLot, Stage};
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};
use workshop::runs::RunState;
use workshop::tickets::TicketState;

use crate::on_every_database;
use crate::service::{Service, Told, send};
use crate::workshop::{World, morning, noon};

/// How often each step is died at.
const TIMES: usize = 5;

fn steps<'a>(of: &'a [&str]) -> impl Iterator<Item = &'static str> + 'a {
    store::fail_points::ALL.into_iter().filter(|step| of.iter().any(|of| step.starts_with(of)))
}

/// Waits until it has died of the step, and not ended by itself.
async fn dies(mut service: Service, step: &str) {
    let status = service.ended().await;
    assert_eq!(status.code(), None, "it did not die at {step}: {status}");
}

#[tokio::test(flavor = "multi_thread")]
async fn issuing_a_day_is_whole_wherever_it_dies() {
    on_every_database(async |database| {
        let world = World::planned(database).await;
        let mut day = mouldboard::demo::TODAY;
        for step in steps(&["issue."]) {
            for _ in 0..TIMES {
                die_issuing(&world, day, step).await;
                day = world.next_day(day);
            }
        }
    })
    .await;
}

async fn die_issuing(world: &World, day: chrono::NaiveDate, step: &str) {
    let wanted = world.batches(day).await;
    let told = Told { command: "worker", database: &world.url, today: day, die_at: Some(step) };
    dies(Service::start(told).await, step).await;
    let there = world.tickets(day).await.len();
    let kept = step == "issue.kept";
    assert_eq!(there, if kept { wanted } else { 0 }, "{step}: half a day was issued");
    world.audit(step).await;
    world.work_at(noon(day)).await;
    assert_eq!(world.tickets(day).await.len(), wanted, "{step}: tickets twice, or missing");
    world.audit(step).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn completing_a_ticket_is_whole_wherever_it_dies() {
    on_every_database(async |database| {
        let world = World::planned(database).await;
        let steps: Vec<&str> = steps(&["complete.", "answer."]).collect();
        let (tickets, day) = world.open_tickets(steps.len() * TIMES).await;
        let api = Another::start(&world, noon(day)).await;
        for (step, numbers) in steps.iter().zip(tickets.chunks(TIMES)) {
            for number in numbers {
                die_completing(&world, &api, *number, step).await;
            }
        }
        api.stop().await;
    })
    .await;
}

async fn die_completing(world: &World, api: &Another, number: TicketNumber, step: &str) {
    let (before, drawn) = (world.cement().await, world.cement_of(number).await);
    let (path, key) = (format!("/tickets/{number}/completion"), format!("complete-{number}"));
    let body = json!({ "note": "poured by the window" }).to_string();
    let told = Told { command: "api", database: &world.url, today: number.day, die_at: Some(step) };
    let service = Service::start(told).await;
    assert!(service.send(&path, &key, &body).await.is_err(), "it answered in spite of {step}");
    dies(service, step).await;
    world.audit(step).await;
    let kept = step == "answer.kept";
    assert_eq!(world.cement().await, before - if kept { drawn } else { 0 }, "{step}");
    // The bench never had an answer: it sends the same again, twice.
    let first = api.send(&path, &key, &body).await;
    assert_eq!(first.0, 200, "{step}: {}", first.1);
    assert_eq!(api.send(&path, &key, &body).await, first);
    assert_eq!(world.cement().await, before - drawn, "{step}: drawn twice, or not at all");
    world.audit(step).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn receiving_a_delivery_is_whole_wherever_it_dies() {
    on_every_database(async |database| {
        let world = World::planned(database).await;
        let day = mouldboard::demo::TODAY;
        let api = Another::start(&world, noon(day)).await;
        for step in steps(&["receive.", "answer."]) {
            for time in 0..TIMES {
                die_receiving(&world, &api, step, time).await;
            }
        }
        api.stop().await;
    })
    .await;
}

async fn die_receiving(world: &World, api: &Another, step: &str, time: usize) {
    let day = mouldboard::demo::TODAY;
    let (delivery, ordered) = world.on_its_way().await;
    let before = world.cement().await;
    let (path, key) = (format!("/deliveries/{delivery}/arrival"), format!("{step}-{time}"));
    let told = Told { command: "api", database: &world.url, today: day, die_at: Some(step) };
    let service = Service::start(told).await;
    assert!(service.send(&path, &key, "{}").await.is_err(), "it answered in spite of {step}");
    dies(service, step).await;
    world.audit(step).await;
    let kept = step == "answer.kept";
    assert_eq!(world.cement().await, before + if kept { ordered } else { 0 }, "{step}");
    let first = api.send(&path, &key, "{}").await;
    assert_eq!(first.0, 200, "{step}: {}", first.1);
    assert_eq!(api.send(&path, &key, "{}").await, first);
    assert_eq!(world.cement().await, before + ordered, "{step}: received twice, or not at all");
    world.audit(step).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn sending_an_order_out_is_whole_wherever_it_dies() {
    on_every_database(async |database| {
        let world = World::planned(database).await;
        let day = mouldboard::demo::TODAY;
        let api = Another::start(&world, noon(day)).await;
        for step in steps(&["dispatch.", "answer."]) {
            for time in 0..TIMES {
                die_sending(&world, &api, step, time).await;
            }
        }
        api.stop().await;
    })
    .await;
}

async fn die_sending(world: &World, api: &Another, step: &str, time: usize) {
    let day = mouldboard::demo::TODAY;
    let order = world.planter_ready(&format!("{step}-{time}")).await;
    let before = world.on_hand(&strap()).await;
    let (path, key) = (format!("/orders/{order}/dispatch"), format!("{step}-{time}"));
    let told = Told { command: "api", database: &world.url, today: day, die_at: Some(step) };
    let service = Service::start(told).await;
    assert!(service.send(&path, &key, "{}").await.is_err(), "it answered in spite of {step}");
    dies(service, step).await;
    world.audit(step).await;
    let kept = step == "answer.kept";
    let sent = if kept { (4, OrderState::Dispatched) } else { (0, OrderState::Open) };
    assert_eq!(world.sent(&order).await, sent, "{step}");
    let first = api.send(&path, &key, "{}").await;
    assert_eq!(first.0, 200, "{step}: {}", first.1);
    assert_eq!(api.send(&path, &key, "{}").await, first);
    assert_eq!(world.sent(&order).await, (4, OrderState::Dispatched), "{step}: sent twice, or not at all");
    assert_eq!(world.on_hand(&strap()).await, before - 2, "{step}: hardware drawn twice, or not at all");
    world.audit(step).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn taking_over_a_plan_is_whole_wherever_it_dies() {
    on_every_database(async |database| {
        let world = World::planned(database).await;
        let mut day = mouldboard::demo::TODAY;
        for step in steps(&["plan."]) {
            for _ in 0..TIMES {
                world.work_at(noon(day)).await;
                die_planning(&world, day, step).await;
                day = world.next_day(day);
            }
        }
    })
    .await;
}

async fn die_planning(world: &World, day: chrono::NaiveDate, step: &str) {
    let before = world.in_force().await;
    // Before the worker's seven o'clock.
    let run = world.ask(morning(day)).await;
    let told = Told { command: "worker", database: &world.url, today: day, die_at: Some(step) };
    dies(Service::start(told).await, step).await;
    let kept = step == "plan.kept";
    assert_eq!(world.in_force().await, if kept { Some(run) } else { before }, "{step}: half taken over");
    world.audit(step).await;
    world.work_at(noon(day)).await;
    assert_eq!(world.state_of(run).await, RunState::Planned, "{step}");
    assert_eq!(world.in_force().await, Some(run), "{step}");
    world.audit(step).await;
}

/// Another process's API, as the ones that go on while one dies; here it is of this process.
struct Another {
    api: api::Running,
    client: Client,
}

impl Another {
    async fn start(world: &World, at: chrono::DateTime<chrono::Utc>) -> Self {
        let config = api::Config::local(([127, 0, 0, 1], 0).into(), std::sync::Arc::new(move || at));
        Self { api: api::start(world.store.clone(), config).await.unwrap(), client: Client::new() }
    }

    async fn send(&self, path: &str, key: &str, body: &str) -> (u16, String) {
        send(&self.client, &format!("http://{}", self.api.address), path, key, body).await.unwrap()
    }

    async fn stop(self) {
        drop(self.client);
        drop(self.api);
    }
}

impl World {
    async fn cement(&self) -> i64 {
        self.on_hand(&cement()).await
    }

    /// What a ticket is to draw of cement.
    async fn cement_of(&self, number: TicketNumber) -> i64 {
        let tx = self.store.read().await.unwrap();
        let ticket = store::tickets::find(&tx, number).await.unwrap().unwrap().value;
        assert_eq!(ticket.state, TicketState::Issued);
        ticket.lines.iter().filter(|l| l.counted && l.material == cement()).map(|l| l.target.get()).sum()
    }

    /// A delivery of three packs of cement that is on its way, and what it will bring.
    async fn on_its_way(&self) -> (DeliveryId, i64) {
        let tx = self.store.write().await.unwrap();
        let new = NewDelivery { material: cement(), packs: 3, expected_on: mouldboard::demo::TODAY };
        let made = deliveries::insert(&tx, &new).await.unwrap().value;
        tx.commit().await.unwrap();
        (made.id, Amount::get(made.ordered()))
    }

    /// An order of one planter, and the panels for it, ready.
    pub async fn planter_ready(&self, name: &str) -> OrderId {
        let tx = self.store.write().await.unwrap();
        let id = OrderId::parse(name).unwrap();
        let today = mouldboard::demo::TODAY;
        let order = Order {
            id: id.clone(),
            customer: None,
            due_on: today,
            promised_on: None,
            priority: Priority::Usual,
            state: OrderState::Open,
            lines: vec![OrderLine {
                item: Item::Set(SetId::parse("planter-450").unwrap()),
                finish: FinishId::parse("grey").unwrap(),
                quantity: 1,
            }],
            note: None,
            parts_agreed: false,
        };
        Order::insert(&tx, &order).await.unwrap();
        let ready = NewLot {
            panel: PanelId::parse("planter-side-450").unwrap(),
            revision: RevisionId::parse("foamed-grey@2").unwrap(),
            poured_on: today,
            ticket: None,
            stage: Stage::Ready,
            since: today,
            quantity: 4,
            tank: None,
            rack: None,
            row: None,
        };
        store::lots::insert(&tx, &ready).await.unwrap();
        tx.commit().await.unwrap();
        id
    }

    /// Panels sent for an order, and where it stands.
    async fn sent(&self, order: &OrderId) -> (i64, OrderState) {
        let tx = self.store.read().await.unwrap();
        let sent = store::lots::sent_for(&tx, order).await.unwrap().iter().map(|(_, _, quantity, _)| quantity).sum();
        (sent, Order::find(&tx, order).await.unwrap().unwrap().value.state)
    }

    async fn state_of(&self, run: workshop::ids::RunId) -> RunState {
        let tx = self.store.read().await.unwrap();
        store::runs::find(&tx, run).await.unwrap().unwrap().value.state
    }
}

fn strap() -> MaterialId {
    MaterialId::parse("planter-strap").unwrap()
}

fn cement() -> MaterialId {
    MaterialId::parse("cement").unwrap()
}

/// A name that is no step is refused at the start, with what there is.
#[test]
fn an_unknown_step_is_refused() {
    let database = TestDatabase::sqlite();
    let mut command = crate::service::program();
    command.arg("api").env("MOULDBOARD_DATABASE_URL", &database.url).env("MOULDBOARD_TEST_DIE_AT", "lunch");
    let out = command.stderr(std::process::Stdio::piped()).output().unwrap();
    let said = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(!out.status.success() && said.contains("lunch") && said.contains("issue.day"), "{said}");
}
