//! From an order to today's tickets to stock drawn down, on both databases.

use reqwest::Method;
use serde_json::{Value, json};
use stories::World;
use testkit::databases::each_database;

const ORDER: &str = r#"{"id": "WALK-IN-1", "due_on": "2026-05-20", "priority": "usual",
    "lines": [{"set": "planter-450", "finish": "grey", "quantity": 2}]}"#;

#[tokio::test(flavor = "multi_thread")]
async fn an_order_becomes_tickets_and_tickets_draw_stock() {
    each_database(async |store| {
        let world = World::new(store).await;
        every_revision_says_what_it_was_put_in(&world).await;
        order_twice(&world).await;
        world.plan().await;
        plan_is_checked(&world).await;
        let number = tickets_are_issued_once(&world).await;
        completing_draws_exactly_once(&world, &number).await;
        voiding_counters_it(&world, &number).await;
        cement_is_projected(&world).await;
        world.audit().await;
    })
    .await;
}

/// The invented workshop keeps its records as a real one does: each revision's state and the one row that says so.
async fn every_revision_says_what_it_was_put_in(world: &World) {
    for mix in world.get("/mixes").await.as_array().unwrap() {
        let mix = mix["id"].as_str().unwrap();
        for revision in world.get(&format!("/mixes/{mix}/revisions")).await.as_array().unwrap() {
            let number = revision["id"].as_str().unwrap().rsplit('@').next().unwrap();
            let standings = world.get(&format!("/mixes/{mix}/revisions/{number}/standings")).await;
            let told: Vec<_> = standings.as_array().unwrap().iter().map(|s| (&s["state"], &s["reason"])).collect();
            assert_eq!(told, [(&revision["state"], &revision["reason"])], "{mix}@{number}");
        }
    }
}

async fn order_twice(world: &World) {
    let created = world.send(Method::POST, "/orders", Some(ORDER)).await;
    assert_eq!(created.status(), 201, "{}", created.text().await.unwrap());
    let again = world.send(Method::POST, "/orders", Some(ORDER)).await;
    assert_eq!(again.status(), 409, "the same reference made a second order");
}

/// What is in force is what the planner wrote, and the checker finds nothing in it.
async fn plan_is_checked(world: &World) {
    let plan = world.get("/plan").await;
    let run = plan["run"].as_i64().unwrap();
    let facts = feeds::documents::read_facts(&world.text(&format!("/planning-runs/{run}/facts")).await).unwrap();
    let document = feeds::documents::read_plan(&world.text(&format!("/planning-runs/{run}/plan")).await).unwrap();
    let verdict = planner::check(&facts, &document);
    assert!(verdict.holds(), "{:?}", verdict.broken);
    assert_eq!(facts.orders.len(), 31);
    let causes: std::collections::BTreeSet<&str> =
        plan["late"].as_array().unwrap().iter().filter_map(|late| late["cause"].as_str()).collect();
    assert!(causes.len() >= 4, "the demonstration promises four causes: {causes:?}");
}

async fn tickets_are_issued_once(world: &World) -> String {
    assert!(listed(world).await.is_empty(), "tickets came before their hour");
    world.it_is("2026-03-02T05:31:00Z");
    world.work().await;
    let tickets = listed(world).await;
    assert!(!tickets.is_empty());
    world.work().await;
    assert_eq!(listed(world).await, tickets, "a second look issued something again");
    let csv = world.text("/days/today/tickets.csv").await;
    let first = tickets[0]["number"].as_str().unwrap();
    assert!(csv.lines().count() > tickets.len() && csv.contains(first), "{csv}");
    first.to_owned()
}

async fn listed(world: &World) -> Vec<Value> {
    world.get("/days/2026-03-02/tickets").await.as_array().unwrap().clone()
}

async fn completing_draws_exactly_once(world: &World, number: &str) {
    let ticket = world.get(&format!("/tickets/{number}")).await;
    let cement: i64 = drawn(&ticket, "cement");
    assert!(cement > 0, "{ticket}");
    let before = world.on_hand("cement").await;
    let density = ticket["wet_density_kg_m3"].as_f64().unwrap();
    let body = json!({ "measured_wet_density_kg_m3": density }).to_string();
    let path = format!("/tickets/{number}/completion");
    for _ in 0..2 {
        let done = world.send(Method::POST, &path, Some(&body)).await;
        assert!(done.status().is_success(), "{}", done.text().await.unwrap());
        assert_eq!(world.on_hand("cement").await, before - cement);
    }
    let other = json!({ "measured_wet_density_kg_m3": density + 10.0 }).to_string();
    assert_eq!(world.send(Method::POST, &path, Some(&other)).await.status(), 409);
    assert_eq!(world.on_hand("cement").await, before - cement);
}

fn drawn(ticket: &Value, material: &str) -> i64 {
    let lines = ticket["lines"].as_array().unwrap().iter();
    lines.filter(|l| l["material"] == material).filter_map(|l| l["target"].as_i64()).sum()
}

async fn voiding_counters_it(world: &World, number: &str) {
    let before = world.on_hand("cement").await;
    let cement = drawn(&world.get(&format!("/tickets/{number}")).await, "cement");
    let path = format!("/tickets/{number}/void");
    let voided = world.send(Method::POST, &path, Some(r#"{"reason": "dropped the pail"}"#)).await;
    assert!(voided.status().is_success(), "{}", voided.text().await.unwrap());
    assert_eq!(world.on_hand("cement").await, before + cement);
}

async fn cement_is_projected(world: &World) {
    let csv = world.text("/stock/projection.csv?material=cement").await;
    assert!(csv.lines().count() > 30, "{csv}");
    let projection = world.text("/stock/projection?material=cement").await;
    assert!(projection.contains("Portland cement lasts to"), "{projection}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_days_go_on() {
    each_database(async |store| {
        let world = World::new(store).await;
        world.plan().await;
        world.it_is("2026-03-02T06:00:00Z");
        world.work().await;
        what_the_readme_shows(&world).await;
        // With today's tickets out, the next plan begins on the next day.
        world.plan().await;
        let run = world.get("/plan").await["run"].as_i64().unwrap();
        let facts = feeds::documents::read_facts(&world.text(&format!("/planning-runs/{run}/facts")).await).unwrap();
        assert_eq!(facts.first_day.to_string(), "2026-03-03");
        // A week later the service wakes up: only that day's tickets are issued.
        world.it_is("2026-03-09T09:00:00Z");
        world.work().await;
        for (day, issued) in [("2026-03-03", false), ("2026-03-06", false), ("2026-03-09", true)] {
            let tickets = world.get(&format!("/days/{day}/tickets")).await;
            assert_eq!(!tickets.as_array().unwrap().is_empty(), issued, "{day}: {tickets}");
        }
        world.audit().await;
    })
    .await;
}

/// The requests about tickets that the project's README shows, one after another, as they stand there.
async fn what_the_readme_shows(world: &World) {
    let readme = include_str!("../../README.md").replace("\\\n", " ");
    let of_tickets =
        |line: &&str| line.starts_with("curl ") && path(line).is_some_and(|path| path.contains("/tickets"));
    let shown: Vec<&str> = readme.lines().map(str::trim).filter(of_tickets).collect();
    assert!(shown.len() >= 3, "{shown:?}");
    for line in shown {
        let path = path(line).unwrap();
        let body = line.split_once("-d '").map(|(_, rest)| rest.split_once('\'').unwrap().0);
        let method = if line.contains("-X POST") { Method::POST } else { Method::GET };
        let answer = world.send(method, path, body).await;
        assert!(answer.status().is_success(), "{line}: {}", answer.text().await.unwrap());
        let said = answer.text().await.unwrap();
        assert!(!path.ends_with("/corrections") || said.contains("\"accept\""), "{line}: {said}");
    }
}

/// The path a command of the README asks for.
fn path(line: &str) -> Option<&str> {
    line.split_once("http://127.0.0.1:8080")?.1.split_whitespace().next()
}
