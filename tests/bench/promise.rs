//! How long a promise takes: orders drawn by lot, asked of plans of the instances named and of the demonstration workshop's
//! service.
//!
//! Not part of any test: run it on a quiet machine. `cargo build --workspace --example promise_times`, then
//! `promise_times [--seconds 10] [--wishes 60] [medium-0 medium-1 …]`. The instances are planned for so many seconds each.

use std::error::Error;
use std::path::Path;
use std::time::Instant;

use planner::{Limits, Wish, promise, run};
use reqwest::Method;
use serde_json::{Value, json};
use stories::World;
use testkit::databases::TestDatabase;
use workshop::documents::Facts;
use workshop::documents::facts::OrderLine;

/// Seconds the service lets a quote look for a sooner day.
const LOOKING: f64 = 0.05;
/// Instances asked where none is named.
const MEDIUM: [&str; 3] = ["medium-0", "medium-1", "medium-2"];
/// What the demonstration workshop sells, and in which finishes.
const SETS: [&str; 4] = ["bed-900x600", "bed-1200x600", "planter-450", "edging-run"];
const FINISHES: [&str; 3] = ["grey", "stone", "charcoal"];

type Outcome<T = ()> = Result<T, Box<dyn Error>>;

/// What was asked for.
struct Told {
    seconds: f64,
    wishes: usize,
    names: Vec<String>,
}

fn main() -> Outcome {
    let told = told()?;
    println!("{:<28} {:>6} {:>8} {:>8} {:>8} {:>6}", "asked of", "asked", "half ms", "p95 ms", "most ms", "a day");
    for name in &told.names {
        instance(name, &told)?;
    }
    tokio::runtime::Runtime::new()?.block_on(demonstration(told.wishes))
}

fn told() -> Outcome<Told> {
    let mut told = Told { seconds: 10.0, wishes: 60, names: Vec::new() };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--seconds" => told.seconds = words.next().ok_or("--seconds wants a number")?.parse()?,
            "--wishes" => told.wishes = words.next().ok_or("--wishes wants a number")?.parse()?,
            _ => told.names.push(word),
        }
    }
    if told.names.is_empty() {
        told.names = MEDIUM.map(str::to_owned).to_vec();
    }
    Ok(told)
}

/// Promises on a plan of an instance.
fn instance(name: &str, told: &Told) -> Outcome {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("outside/bench").join(format!("{name}.json"));
    let text = std::fs::read_to_string(&file).map_err(|error| format!("{}: {error}", file.display()))?;
    let facts = feeds::documents::read_facts(&text).map_err(|faults| format!("{name}: {} faults", faults.len()))?;
    let started = Instant::now();
    let stopwatch = || started.elapsed().as_secs_f64();
    let plan = run(&facts, &Limits::seconds(told.seconds, 2, 1), &stopwatch, &mut |_| {})?.plan;
    let mut lot = Lot(1);
    let mut times = Times::default();
    for _ in 0..told.wishes {
        let lines = lot.lines(&facts);
        let asked = Instant::now();
        let wish = Wish { lines: &lines, weight: 1.0, from: None };
        let stopwatch = || asked.elapsed().as_secs_f64();
        let promise = promise(&facts, &plan, &wish, &Limits::seconds(LOOKING, 1, 1), &stopwatch)?;
        times.add(asked, promise.ready_on.is_some());
    }
    times.tell(name);
    Ok(())
}

/// Quotes of the demonstration workshop's service, the way of the request and the database in them.
async fn demonstration(wishes: usize) -> Outcome {
    let database = TestDatabase::sqlite();
    let world = World::new(database.migrated().await).await;
    world.plan().await;
    let mut lot = Lot(1);
    let mut times = Times::default();
    for _ in 0..wishes {
        let line = |lot: &mut Lot| {
            let (set, finish) = (SETS[lot.below(SETS.len())], FINISHES[lot.below(FINISHES.len())]);
            json!({ "set": set, "finish": finish, "quantity": 1 + lot.below(5) })
        };
        let lines: Vec<Value> = (0..=lot.below(2)).map(|_| line(&mut lot)).collect();
        let body = json!({ "lines": lines }).to_string();
        let asked = Instant::now();
        let response = world.send(Method::POST, "/quotes", Some(&body)).await;
        let (status, quote) = (response.status(), response.json::<Value>().await?);
        if status != 200 {
            return Err(format!("{body} was answered by {status}: {quote}").into());
        }
        times.add(asked, !quote["ready_on"].is_null());
    }
    times.tell("demonstration, over HTTP");
    world.api.stop().await;
    Ok(())
}

#[derive(Default)]
struct Times {
    milliseconds: Vec<f64>,
    days: usize,
}

impl Times {
    fn add(&mut self, asked: Instant, day: bool) {
        self.milliseconds.push(asked.elapsed().as_secs_f64() * 1000.0);
        self.days += usize::from(day);
    }

    fn tell(&mut self, of: &str) {
        let all = &mut self.milliseconds;
        all.sort_by(f64::total_cmp);
        let count = all.len();
        let at = |share: usize| all.get((count * share).div_ceil(100).saturating_sub(1)).copied().unwrap_or_default();
        let (half, p95, most) = (at(50), at(95), at(100));
        println!("{of:<28} {count:>6} {half:>8.1} {p95:>8.1} {most:>8.1} {:>6}", self.days);
    }
}

/// Numbers drawn by lot, the same every time.
struct Lot(u64);

impl Lot {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % count.max(1) as u64) as usize
    }

    /// One line to three, of panels in finishes that a mix gives them.
    fn lines(&mut self, facts: &Facts) -> Vec<OrderLine> {
        let finishes = |panel: &workshop::documents::facts::Panel| {
            let mixes = facts.mixes.iter().filter(|mix| panel.mixes.contains(&mix.id));
            mixes.map(|mix| (panel.id.clone(), mix.finish.clone())).collect::<Vec<_>>()
        };
        let kinds: Vec<(String, String)> = facts.panels.iter().flat_map(finishes).collect();
        let mut line = || {
            let (panel, finish) = kinds[self.below(kinds.len())].clone();
            OrderLine { panel, finish, quantity: 1 + self.below(12) as i64 }
        };
        let first = line();
        let more = first.quantity as usize % 3;
        std::iter::once(first).chain((0..more).map(|_| line())).collect()
    }
}
