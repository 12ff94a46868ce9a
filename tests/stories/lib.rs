//! The invented workshop served for a story: API, worker and database together, with a clock the story sets.

#![allow(clippy::unwrap_used, reason = "a story that cannot go on may panic")]

use std::sync::{Arc, Mutex};

use chrono::{DateTime, Utc};
use reqwest::{Client, Method, Response};
use serde_json::Value;
use store::Store;
use worker::DidWork;

/// When every story begins.
const FIRST_MORNING: &str = "2026-03-02T04:00:00Z";

/// The workshop at work.
pub struct World {
    /// Its records.
    pub store: Store,
    /// Its API.
    pub api: api::Running,
    now: Arc<Mutex<DateTime<Utc>>>,
    client: Client,
}

impl World {
    /// The invented workshop in `store`, on its first morning before the tickets' hour.
    pub async fn new(store: Store) -> Self {
        let now = Arc::new(Mutex::new(at(FIRST_MORNING)));
        let store = store.told_time_by(clock(&now));
        mouldboard::demo::seed(&store, at(FIRST_MORNING)).await.unwrap();
        Self::served(store, now).await
    }

    /// Nothing but what `store` holds, on the same morning.
    pub async fn empty(store: Store) -> Self {
        let now = Arc::new(Mutex::new(at(FIRST_MORNING)));
        Self::served(store.told_time_by(clock(&now)), now).await
    }

    async fn served(store: Store, now: Arc<Mutex<DateTime<Utc>>>) -> Self {
        let config = api::Config::local(([127, 0, 0, 1], 0).into(), clock(&now));
        let api = api::start(store.clone(), config).await.unwrap();
        Self { store, api, now, client: Client::new() }
    }

    /// Sets the clock.
    pub fn it_is(&self, time: &str) {
        *self.now.lock().unwrap() = at(time);
    }

    /// A worker of this world.
    pub fn worker(&self, name: &str) -> worker::Config {
        worker::Config::new(name, clock(&self.now))
    }

    /// Lets a worker do all that waits; what it did.
    pub async fn work(&self) -> Vec<DidWork> {
        let (config, mut did) = (self.worker("story"), Vec::new());
        loop {
            match worker::step(&self.store, &config).await.unwrap() {
                DidWork::Nothing => return did,
                done => did.push(done),
            }
        }
    }

    /// Asks for a plan and lets the worker make it.
    pub async fn plan(&self) {
        let asked = self.send(Method::POST, "/planning-runs", Some("{}")).await;
        assert_eq!(asked.status(), 202, "{}", asked.text().await.unwrap());
        self.work().await;
    }

    /// Works everything out anew from the tables: all of it must hold.
    pub async fn audit(&self) {
        let report = mouldboard::audit::audit(&self.store).await.unwrap();
        assert!(report.breaks.is_empty(), "{:#?}", report.breaks);
    }

    /// Where a path is.
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.api.address)
    }

    /// A request with a JSON body, or none.
    pub async fn send(&self, method: Method, path: &str, body: Option<&str>) -> Response {
        let mut request = self.client.request(method, self.url(path));
        if let Some(body) = body {
            request = request.header("Content-Type", "application/json").body(body.to_owned());
        }
        request.send().await.unwrap()
    }

    /// Puts a body in the place of what is at a path, whatever that is.
    pub async fn change(&self, path: &str, body: &str) -> Response {
        let request = self.client.request(Method::PUT, self.url(path)).header("If-Match", "*");
        request.header("Content-Type", "application/json").body(body.to_owned()).send().await.unwrap()
    }

    /// The JSON at a path, which must be there.
    pub async fn get(&self, path: &str) -> Value {
        let response = self.send(Method::GET, path, None).await;
        assert_eq!(response.status(), 200, "{path}");
        response.json().await.unwrap()
    }

    /// The text at a path, which must be there.
    pub async fn text(&self, path: &str) -> String {
        let response = self.send(Method::GET, path, None).await;
        assert_eq!(response.status(), 200, "{path}");
        response.text().await.unwrap()
    }

    /// On hand of a material, by the ledger.
    pub async fn on_hand(&self, material: &str) -> i64 {
        let tx = self.store.read().await.unwrap();
        let id = workshop::ids::MaterialId::parse(material).unwrap();
        let balance = store::stock::balance(&tx, &id).await.unwrap();
        tx.rollback().await.unwrap();
        balance.get()
    }
}

fn at(time: &str) -> DateTime<Utc> {
    time.parse().unwrap()
}

fn clock(now: &Arc<Mutex<DateTime<Utc>>>) -> api::Clock {
    let now = now.clone();
    Arc::new(move || *now.lock().unwrap())
}
