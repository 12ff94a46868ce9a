//! The invented workshop in a database that processes share, a helper in this process that does what is left over, and the
//! questions a story asks of the records.

use std::sync::Arc;

use chrono::{DateTime, Datelike as _, Days, NaiveDate as Day, TimeZone as _, Utc, Weekday};
use mouldboard::demo;
use store::{Record as _, Store, jobs, runs, site, tickets};
use testkit::databases::TestDatabase;
use worker::DidWork;
use workshop::ids::{MaterialId, RunId, TicketNumber};
use workshop::lots::Lot;
use workshop::site::{CalendarDay, DayWork};
use workshop::tickets::{Ticket, TicketState};

/// The workshop's records, and whoever looks after them here.
pub struct World {
    /// Its records.
    pub store: Store,
    /// Their address.
    pub url: String,
    closed: Vec<Day>,
    database: TestDatabase,
}

impl World {
    /// The invented workshop with a plan in force, its first morning before the tickets' hour.
    pub async fn planned(database: TestDatabase) -> Self {
        let store = database.migrated().await;
        demo::seed(&store, morning(demo::TODAY)).await.unwrap();
        let tx = store.write().await.unwrap();
        let mut settings = site::get(&tx).await.unwrap().unwrap();
        // The plan need not be good here, it must be soon.
        settings.value.policy.evaluations = None;
        settings.value.policy.seconds = 1;
        // Plans are made only when a story asks.
        settings.value.policy.calm_seconds = None;
        settings.value.policy.night_at = None;
        site::put(&tx, &settings.value, Some(settings.version)).await.unwrap();
        let closed = CalendarDay::all(&tx).await.unwrap().into_iter().filter(|d| d.work == DayWork::Closed);
        let closed = closed.map(|d| d.day).collect();
        tx.commit().await.unwrap();
        let world = Self { store, url: database.url.clone(), closed, database };
        world.ask(morning(demo::TODAY)).await;
        world.work_at(morning(demo::TODAY)).await;
        assert!(world.in_force().await.is_some(), "the demonstration could not be planned");
        world
    }

    /// The working day after this one.
    pub fn next_day(&self, day: Day) -> Day {
        let later = (1..).map(|days| day + Days::new(days));
        let works = |d: &Day| !matches!(d.weekday(), Weekday::Sat | Weekday::Sun) && !self.closed.contains(d);
        later.into_iter().find(works).unwrap()
    }

    /// Asks for a plan.
    pub async fn ask(&self, at: DateTime<Utc>) -> RunId {
        let tx = self.store.write().await.unwrap();
        let run = runs::ask(&tx, at, None).await.unwrap().id;
        jobs::enqueue(&tx, at, worker::PLAN, &run.to_string(), &run.to_string(), at).await.unwrap();
        tx.commit().await.unwrap();
        run
    }

    /// Has a worker in this process do all that waits at a time, whoever left it.
    pub async fn work_at(&self, at: DateTime<Utc>) {
        let config = worker::Config::new("the helper", Arc::new(move || at));
        loop {
            match worker::step(&self.store, &config).await.unwrap() {
                DidWork::Nothing => return,
                DidWork::Done { .. } => {}
                DidWork::Failed { kind, key, error, .. } => panic!("the job {kind} of {key} failed: {error}"),
            }
        }
    }

    /// Works everything out anew from the tables: all of it must hold.
    pub async fn audit(&self, after: &str) {
        let report = mouldboard::audit::audit(&self.store).await.unwrap();
        assert!(report.breaks.is_empty(), "after {after}: {:#?}", report.breaks);
    }

    /// The run whose plan is in force.
    pub async fn in_force(&self) -> Option<RunId> {
        let tx = self.store.read().await.unwrap();
        runs::in_force(&tx).await.unwrap().map(|(run, ..)| run)
    }

    /// The tickets of a day.
    pub async fn tickets(&self, day: Day) -> Vec<Ticket> {
        let tx = self.store.read().await.unwrap();
        tickets::of_day(&tx, day).await.unwrap().into_iter().map(|t| t.value).collect()
    }

    /// How many tickets the plan in force asks for on a day.
    pub async fn batches(&self, day: Day) -> usize {
        let tx = self.store.read().await.unwrap();
        let (run, ..) = runs::in_force(&tx).await.unwrap().unwrap();
        let text = runs::documents(&tx, run).await.unwrap().plan.unwrap();
        let plan = feeds::documents::read_plan(&text).unwrap();
        plan.batches.iter().filter(|b| b.day == day).map(|b| b.litres.len()).sum()
    }

    /// Issues day after day until so many tickets are open, and says which; the last day with them.
    pub async fn open_tickets(&self, wanted: usize) -> (Vec<TicketNumber>, Day) {
        let (mut day, mut open) = (demo::TODAY, Vec::new());
        loop {
            self.work_at(noon(day)).await;
            let all = self.tickets(day).await;
            open.extend(all.iter().filter(|t| t.state == TicketState::Issued).map(|t| t.number));
            if open.len() >= wanted {
                return (open, day);
            }
            day = self.next_day(day);
            assert!(day < demo::TODAY + Days::new(80), "the plan has only {} tickets", open.len());
        }
    }

    /// Every lot that is here.
    pub async fn lots(&self) -> Vec<Lot> {
        let tx = self.store.read().await.unwrap();
        store::lots::all_present(&tx).await.unwrap()
    }

    /// Does to the database what no store does.
    pub async fn execute(&self, sql: &str) {
        self.database.execute(sql).await.unwrap();
    }

    /// On hand of a material, by the ledger.
    pub async fn on_hand(&self, material: &MaterialId) -> i64 {
        let tx = self.store.read().await.unwrap();
        store::stock::balance(&tx, material).await.unwrap().get()
    }
}

/// Four in the workshop's morning.
pub fn morning(day: Day) -> DateTime<Utc> {
    at(day, 4)
}

/// Noon in the workshop.
pub fn noon(day: Day) -> DateTime<Utc> {
    at(day, 12)
}

fn at(day: Day, hour: u32) -> DateTime<Utc> {
    demo::ZONE.from_local_datetime(&day.and_hms_opt(hour, 0, 0).unwrap()).unwrap().with_timezone(&Utc)
}
