//! A service at work for one test, and a short way to ask it.

use std::sync::Arc;

use api::{Config, Running, start};
use chrono::{DateTime, Utc};
use reqwest::header::HeaderMap;
use reqwest::redirect::Policy;
use reqwest::{Client, Method};
use serde_json::{Value, json};
use store::Store;
use testkit::databases::each_database;

/// The test world's Monday morning.
pub const NOW: &str = "2026-05-04T08:00:00Z";

/// One service over one database.
pub struct World {
    pub store: Store,
    running: Running,
    client: Client,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: HeaderMap,
    pub text: String,
}

impl Answer {
    /// The body as JSON; null where it is none.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap_or(Value::Null)
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).and_then(|v| v.to_str().ok())
    }

    pub fn etag(&self) -> String {
        self.header("etag").unwrap_or_else(|| panic!("no ETag in {self:?}")).to_owned()
    }

    /// The whole of it as the right kind of problem: the form of RFC 9457 and nothing else.
    pub fn problem(&self) -> Value {
        assert_eq!(self.header("content-type"), Some("application/problem+json"), "{self:?}");
        let problem = self.json();
        for member in ["type", "title", "status", "detail", "errors"] {
            assert!(!problem[member].is_null(), "a problem without {member}: {problem}");
        }
        assert_eq!(problem["status"], self.status, "{problem}");
        assert!(problem["type"].as_str().is_some_and(|t| t.starts_with("/problems/")), "{problem}");
        problem
    }

    /// The pointers of a problem's errors, in order.
    pub fn pointers(&self) -> Vec<String> {
        let problem = self.problem();
        let errors = problem["errors"].as_array().cloned().unwrap_or_default();
        errors.iter().map(|e| e["pointer"].as_str().unwrap_or_default().to_owned()).collect()
    }
}

/// A request being put together.
pub struct Ask {
    request: reqwest::RequestBuilder,
}

impl Ask {
    pub fn header(mut self, name: &str, value: &str) -> Self {
        self.request = self.request.header(name, value);
        self
    }

    pub fn token(self, token: &str) -> Self {
        self.header("Authorization", &format!("Bearer {token}"))
    }

    pub fn json(mut self, body: &Value) -> Self {
        self.request = self.request.header("Content-Type", "application/json").body(body.to_string());
        self
    }

    pub fn body(mut self, format: &str, body: impl Into<reqwest::Body>) -> Self {
        self.request = self.request.header("Content-Type", format).body(body);
        self
    }

    pub async fn send(self) -> Answer {
        let response = self.request.send().await.expect("the service answers");
        let (status, headers) = (response.status().as_u16(), response.headers().clone());
        let text = response.text().await.expect("the answer comes whole");
        Answer { status, headers, text }
    }
}

impl World {
    /// Runs a test on a service over an empty database of each kind, at [`NOW`], open to the local user.
    pub async fn bare(test: impl AsyncFn(&World)) {
        each_database(async |store| {
            let world = Self::over(store, |_| {}).await;
            test(&world).await;
            world.running.stop().await;
        })
        .await;
    }

    /// The same in the small workshop most tests need: one panel in one finish, and what it takes to make it.
    pub async fn furnished(test: impl AsyncFn(&World)) {
        Self::bare(async |world| {
            let put = world.ask("PUT", "/workshop").json(&workshop()).send().await;
            assert_eq!(put.status, 200, "{put:?}");
            for (path, body) in furniture() {
                world.make(path, &body).await;
            }
            test(world).await;
        })
        .await;
    }

    /// A service over this database, told otherwise than usual.
    pub async fn over(store: Store, change: impl FnOnce(&mut Config)) -> Self {
        let now: DateTime<Utc> = NOW.parse().expect("an instant");
        let mut config = Config::local(([127, 0, 0, 1], 0).into(), Arc::new(move || now));
        change(&mut config);
        let running = start(store.clone(), config).await.expect("the service starts");
        // What a service answers is looked at, not followed.
        let client = Client::builder().redirect(Policy::none()).build().expect("a client");
        Self { store, running, client }
    }

    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.running.address)
    }

    pub fn ask(&self, method: &str, path: &str) -> Ask {
        let method = Method::from_bytes(method.as_bytes()).expect("a method");
        Ask { request: self.client.request(method, self.url(path)) }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.ask("GET", path).send().await
    }

    pub async fn post(&self, path: &str, body: &Value) -> Answer {
        self.ask("POST", path).json(body).send().await
    }

    /// Makes it and expects that to work.
    pub async fn make(&self, path: &str, body: &Value) -> Answer {
        let answer = self.post(path, body).await;
        assert!((200..300).contains(&answer.status), "POST {path} {body}: {answer:?}");
        answer
    }

    /// Replaces what is there with what it is now after `change`.
    pub async fn change(&self, path: &str, change: impl FnOnce(&mut Value)) -> Answer {
        let there = self.get(path).await;
        let mut body = there.json();
        change(&mut body);
        self.ask("PUT", path).header("If-Match", &there.etag()).json(&body).send().await
    }
}

/// A sound workshop.
pub fn workshop() -> Value {
    json!({
        "name": "Tern Hollow Garden Castings", "time_zone": "Europe/Dublin", "currency": "EUR", "display_units": "metric",
        "working_weekdays": ["monday", "tuesday", "wednesday", "thursday", "friday"], "labour_minutes": 840, "mixer_batches": 6,
        "issue_at": "06:00", "pour_at": "15:00", "strip_at": "08:00", "least_air_c": 5.0, "usual_air_c": 15.0,
        "tank_gap_mm": 15, "rack_gap_mm": 40, "scale_resolution_g": 5, "lifting_limit_g": 25000, "taking_over": "by_itself",
        "policy": { "horizon_days": 60, "unmet_days": 30, "steady_days": 3, "late_price_minor": 500, "seconds": 30, "threads": 2, "seed": 1 },
    })
}

/// What a furnished world is made of, in the order it can be made.
pub fn furniture() -> Vec<(&'static str, Value)> {
    vec![
        ("/finishes", json!({ "id": "grey", "name": "Grey, smooth" })),
        ("/finishes", json!({ "id": "slate", "name": "Slate, smooth" })),
        ("/scrap-causes", json!({ "id": "cracked", "name": "Cracked in the mould" })),
        ("/materials", material("cement", "portland_cement", 3.15)),
        ("/materials", material("sand", "aggregate", 2.65)),
        (
            "/materials",
            json!({
                "id": "water", "name": "Mains water", "kind": "water", "unit": "millilitre", "relative_density": 1.0, "supply": "mains",
                "pack": 1000, "pack_price_minor": 0, "lead_days": 0,
            }),
        ),
        (
            "/materials",
            json!({
                "id": "pin", "name": "Corner pin", "kind": "hardware", "unit": "piece", "supply": "bought", "pack": 100,
                "pack_price_minor": 2500, "lead_days": 5,
            }),
        ),
        ("/mixes", json!({ "id": "plain", "name": "Plain grey", "finish": "grey" })),
        ("/mixes/plain/revisions", revision(1)),
        ("/mould-groups", json!({ "id": "sides", "name": "Side moulds", "moulds": 8, "turnaround_days": 1 })),
        (
            "/tanks",
            json!({ "id": "north", "name": "North tank", "rows": 3, "usable_row_mm": 2400, "row_names": ["by the door", "middle", "by the wall"], "depth_mm": 600, "width_mm": 3000 }),
        ),
        ("/racks", json!({ "id": "long", "name": "Long rack", "rows": 4, "usable_row_mm": 6000 })),
        ("/panels", panel("side")),
        (
            "/sets",
            json!({
                "id": "bed", "name": "Raised bed", "panels": [{ "panel": "side", "quantity": 4 }],
                "hardware": [{ "material": "pin", "quantity": 4 }],
            }),
        ),
    ]
}

pub fn material(id: &str, kind: &str, density: f64) -> Value {
    json!({
        "id": id, "name": id, "kind": kind, "unit": "gram", "relative_density": density, "supply": "bought", "floor": 0,
        "pack": 25000, "pack_price_minor": 495, "lead_days": 3,
    })
}

pub fn revision(number: u32) -> Value {
    json!({
        "id": format!("plain@{number}"), "state": "in_use", "reason": "as poured for years",
        "ingredients": [
            { "material": "cement", "kg_m3": 350.0 }, { "material": "sand", "kg_m3": 1700.0 }, { "material": "water", "kg_m3": 175.0 },
        ],
        "wet_density_kg_m3": 2250.0, "wet_density_low_kg_m3": 2200.0, "wet_density_high_kg_m3": 2300.0, "air_percent": 2.0,
        "hold_hours_at_20c": 20.0, "soak_days": 7, "dry_days": 7, "batch_min_ml": 10000, "batch_max_ml": 60000,
        "batch_minutes": 25, "washout_ml": 1000, "washout_minutes": 20,
    })
}

pub fn panel(id: &str) -> Value {
    json!({
        "id": id, "name": "Bed side 900", "length_mm": 900, "height_mm": 300, "thickness_mm": 40, "mould_group": "sides",
        "pour_minutes": 6, "strip_minutes": 5, "lift_minutes": 3,
        "suits": [{ "revision": "plain@1", "reason": "as poured for years" }],
    })
}

pub fn order(id: &str) -> Value {
    json!({ "id": id, "due_on": "2026-06-12", "lines": [{ "set": "bed", "finish": "grey", "quantity": 2 }] })
}
