//! A small workshop in a database, a clock that tests set, and workers over both.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use chrono::{DateTime, NaiveDate as Day, Utc, Weekday};
use quantities::Millimetres;
use store::{Record, Store, Tx, jobs, runs, site, stock, tickets};
use workshop::catalogue::*;
use workshop::ids::*;
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};
use workshop::runs::PlanningRun;
use workshop::site::Workshop;
use workshop::stock::{EntryKind, NewStockEntry};
use workshop::tickets::Ticket;

use crate::issue::tests::snapshot;
use crate::{Config, DidWork, PLAN, step};

/// Monday 4 May 2026, six in the morning in Dublin: the hour of issue.
pub const ISSUE: &str = "2026-05-04T05:00:00Z";
/// An hour before.
pub const EARLY: &str = "2026-05-04T04:00:00Z";

pub fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// One workshop.
pub struct World {
    pub store: Store,
    now: Arc<AtomicI64>,
}

impl World {
    /// A furnished workshop an hour before its first issue: moulds, tank, rack, cement, and two orders of four sides.
    pub async fn new(store: Store) -> Self {
        Self::with(store, |_| {}).await
    }

    /// The same, its settings changed.
    pub async fn with(store: Store, change: impl FnOnce(&mut Workshop)) -> Self {
        let now = Arc::new(AtomicI64::new(0));
        let told = now.clone();
        let clock = Arc::new(move || DateTime::from_timestamp(told.load(Ordering::SeqCst), 0).unwrap());
        let world = Self { store: store.told_time_by(clock), now };
        world.set(EARLY);
        let tx = world.store.write().await.unwrap();
        furnish(&tx, world.now(), change).await;
        tx.commit().await.unwrap();
        world
    }

    pub fn now(&self) -> DateTime<Utc> {
        DateTime::from_timestamp(self.now.load(Ordering::SeqCst), 0).unwrap()
    }

    pub fn set(&self, text: &str) {
        let at: DateTime<Utc> = text.parse().unwrap();
        self.now.store(at.timestamp(), Ordering::SeqCst);
    }

    pub fn pass(&self, seconds: i64) {
        self.now.fetch_add(seconds, Ordering::SeqCst);
    }

    pub fn worker(&self, name: &str) -> Config {
        let now = self.now.clone();
        Config::new(name, Arc::new(move || DateTime::from_timestamp(now.load(Ordering::SeqCst), 0).unwrap()))
    }

    /// Asks for a plan, as the API does.
    pub async fn ask(&self) -> RunId {
        let tx = self.store.write().await.unwrap();
        let run = runs::ask(&tx, self.now(), None).await.unwrap().id;
        jobs::enqueue(&tx, self.now(), PLAN, &run.to_string(), &run.to_string(), self.now()).await.unwrap();
        tx.commit().await.unwrap();
        run
    }

    /// Works until there is nothing to do.
    pub async fn work(&self, worker: &Config) -> Vec<DidWork> {
        let mut did = Vec::new();
        loop {
            match step(&self.store, worker).await.unwrap() {
                DidWork::Nothing => return did,
                work => did.push(work),
            }
        }
    }

    pub async fn run(&self, id: RunId) -> PlanningRun {
        let tx = self.store.read().await.unwrap();
        runs::find(&tx, id).await.unwrap().unwrap().value
    }

    pub async fn in_force(&self) -> Option<RunId> {
        let tx = self.store.read().await.unwrap();
        runs::in_force(&tx).await.unwrap().map(|(run, ..)| run)
    }

    pub async fn tickets(&self, on: &str) -> Vec<Ticket> {
        let tx = self.store.read().await.unwrap();
        tickets::of_day(&tx, day(on)).await.unwrap().into_iter().map(|t| t.value).collect()
    }

    pub async fn issued(&self) -> Vec<Day> {
        let tx = self.store.read().await.unwrap();
        tickets::issued_days(&tx, day("2026-01-01")).await.unwrap().into_iter().map(|(day, _)| day).collect()
    }
}

async fn furnish(tx: &Tx, now: DateTime<Utc>, change: impl FnOnce(&mut Workshop)) {
    let mut world = snapshot();
    world.workshop.working_weekdays = vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri];
    world.workshop.policy.evaluations = Some(300);
    world.workshop.policy.horizon_days = 14;
    change(&mut world.workshop);
    site::put(tx, &world.workshop, None).await.unwrap();
    all(tx, &world.finishes).await;
    all(tx, &world.materials).await;
    all(tx, &world.mixes).await;
    all(tx, &world.revisions).await;
    let moulds = MouldGroup {
        id: MouldGroupId::parse("sides").unwrap(),
        name: "Sides".into(),
        moulds: 4,
        turnaround_days: 0,
        life_uses: None,
        out_of_service: vec![],
    };
    let rows = |count| Rows { count, usable: Millimetres::new(2_000) };
    let north = Tank {
        id: TankId::parse("north").unwrap(),
        name: "North tank".into(),
        rows: rows(2),
        row_names: vec![],
        depth: Millimetres::new(500),
        width: Millimetres::new(900),
    };
    let long = Rack { id: RackId::parse("long").unwrap(), name: "Long rack".into(), rows: rows(3), row_names: vec![] };
    all(tx, &[moulds]).await;
    all(tx, &[north]).await;
    all(tx, &[long]).await;
    for panel in &mut world.panels {
        panel.suits = vec![Suit { revision: RevisionId::parse("grey@2").unwrap(), reason: "trial 3".into() }];
    }
    all(tx, &world.panels).await;
    all(tx, &[order("TH-1", "2026-05-20"), order("TH-2", "2026-05-22")]).await;
    for material in world.materials.iter().filter(|m| m.supply == Supply::Bought) {
        receive(tx, now, &material.id).await;
    }
}

async fn all<R: Record>(tx: &Tx, values: &[R]) {
    for value in values {
        R::insert(tx, value).await.unwrap();
    }
}

async fn receive(tx: &Tx, now: DateTime<Utc>, material: &MaterialId) {
    let entry = NewStockEntry {
        material: material.clone(),
        day: day("2026-05-01"),
        kind: EntryKind::Received,
        amount: Amount::new(50_000_000),
        counted: None,
        ticket: None,
        delivery: None,
        counters: None,
        note: None,
    };
    stock::append(tx, now, &entry).await.unwrap();
}

pub fn order(id: &str, due: &str) -> Order {
    Order {
        id: OrderId::parse(id).unwrap(),
        customer: None,
        due_on: day(due),
        promised_on: None,
        priority: Priority::Usual,
        state: OrderState::Open,
        lines: vec![OrderLine {
            item: Item::Panel(PanelId::parse("side").unwrap()),
            finish: FinishId::parse("grey-smooth").unwrap(),
            quantity: 4,
        }],
        note: None,
        parts_agreed: false,
    }
}
