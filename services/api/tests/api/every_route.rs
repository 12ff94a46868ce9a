//! What holds for every operation of the document: wrong methods, formats and sizes, a database that is away, too many requests.

use std::net::{IpAddr, UdpSocket};

use api::DOCUMENT;
use serde_json::Value;
use testkit::databases::TestDatabase;

use crate::world::{Answer, World};

/// Every operation: its method, its path with values in it, and what the document says of it.
fn operations() -> Vec<(String, String, &'static Value)> {
    let paths = DOCUMENT.json["paths"].as_object().expect("paths");
    let each = paths.iter().flat_map(|(path, item)| {
        let operations = item.as_object().into_iter().flatten().filter(|(_, operation)| operation.is_object());
        operations.map(move |(method, operation)| (method.to_uppercase(), filled(path, operation), operation))
    });
    each.collect()
}

/// The path with something that may stand in each of its places.
fn filled(path: &str, operation: &Value) -> String {
    let parameters = operation["parameters"].as_array().into_iter().flatten().filter(|p| p["in"] == "path");
    parameters.fold(path.to_owned(), |path, parameter| {
        let name = parameter["name"].as_str().expect("a name");
        let value = match (name, parameter["schema"]["type"].as_str()) {
            ("day", _) => "2026-05-04",
            ("number", Some("string")) => "2026-05-04-01",
            (_, Some("integer")) => "1",
            _ => "some",
        };
        path.replace(&format!("{{{name}}}"), value)
    })
}

/// A page answers with a page, all else with a problem.
fn is_page(path: &str) -> bool {
    path == "/" || path.starts_with("/pages/")
}

fn is_told(answer: &Answer, path: &str) {
    match is_page(path) {
        true => {
            assert!(answer.header("content-type").is_some_and(|t| t.starts_with("text/html")), "{path}: {answer:?}")
        }
        false => drop(answer.problem()),
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn wrong_methods_formats_and_sizes_are_told_on_every_route() {
    let database = TestDatabase::sqlite();
    let world = World::over(database.migrated().await, |_| {}).await;
    let paths = DOCUMENT.json["paths"].as_object().expect("paths");
    for (path, item) in paths {
        let (_, first) = item.as_object().and_then(|item| item.iter().next()).expect("an operation");
        let place = filled(path, first);
        let answer = world.ask("PATCH", &place).send().await;
        let known: Vec<String> =
            item.as_object().into_iter().flatten().map(|(method, _)| method.to_uppercase()).collect();
        let allow: Vec<&str> = answer.header("allow").unwrap_or_default().split(", ").collect();
        assert_eq!(answer.status, 405, "PATCH {place}: {answer:?}");
        assert!(known.iter().all(|method| allow.contains(&method.as_str())), "{place}: {allow:?}, not {known:?}");
        is_told(&answer, &place);
    }
    let (mut formats, mut bodies) = (0, 0);
    for (method, path, operation) in operations() {
        let answers = operation["responses"].as_object().into_iter().flatten();
        if answers.filter(|(status, _)| status.starts_with('2')).any(|(_, answer)| answer["content"].is_object()) {
            let answer = world.ask(&method, &path).header("Accept", "application/x-unheard-of").send().await;
            assert_eq!(answer.status, 406, "{method} {path}: {answer:?}");
            is_told(&answer, &path);
            formats += 1;
        }
        let Some(content) = operation["requestBody"]["content"].as_object() else { continue };
        let answer = world.ask(&method, &path).body("application/x-unheard-of", "x").send().await;
        assert_eq!(answer.status, 415, "{method} {path}: {answer:?}");
        assert!(content.keys().all(|known| answer.text.contains(known)), "{method} {path}: {answer:?}");
        is_told(&answer, &path);
        let format = content.keys().next().expect("a format");
        let limit = if path.ends_with("/import") { 8 * 1024 * 1024 } else { 1024 * 1024 };
        let answer = world.ask(&method, &path).body(format, vec![b' '; limit + 1]).send().await;
        assert_eq!(answer.status, 413, "{method} {path}: {answer:?}");
        assert!(answer.text.contains(&limit.to_string()), "{method} {path}: {answer:?}");
        is_told(&answer, &path);
        bodies += 1;
    }
    assert!(formats > 150 && bodies > 50, "{formats} with formats, {bodies} with bodies");
}

/// Operations that answer without a database: what the program knows by itself.
const NEED_NONE: [&str; 5] = ["/health/live", "/openapi.json", "/openapi.yaml", "/problems/some", "/pages/"];

#[tokio::test(flavor = "multi_thread")]
async fn without_its_database_every_route_says_when_to_try_again() {
    let database = TestDatabase::sqlite();
    let world = World::over(database.open().await, |_| {}).await;
    for (method, path, operation) in operations() {
        let mut ask = world.ask(&method, &path);
        if let Some((format, media)) = operation["requestBody"]["content"].as_object().and_then(|c| c.iter().next()) {
            let example = &media["example"];
            let body = example.as_str().map_or_else(|| example.to_string(), str::to_owned);
            ask = ask.body(format, body);
        }
        let answer = ask.send().await;
        if NEED_NONE.iter().any(|open| path.starts_with(open)) && answer.status < 500 {
            continue;
        }
        assert_eq!(answer.status, 503, "{method} {path}: {answer:?}");
        if path != "/health/ready" {
            assert_eq!(answer.header("retry-after"), Some("60"), "{method} {path}: {answer:?}");
            is_told(&answer, &path);
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_token_that_asks_too_often_waits_and_others_do_not() {
    let database = TestDatabase::sqlite();
    let world = World::over(database.migrated().await, |config| config.requests_per_minute = 3).await;
    for _ in 0..5 {
        assert_eq!(world.get("/materials").await.status, 200, "this machine itself has no limit");
    }
    let body = serde_json::json!({ "name": "the office", "role": "office" });
    let made = world.post("/tokens", &body).await;
    let office = made.json()["token"].as_str().expect("a token").to_owned();
    let reader = serde_json::json!({ "name": "a script", "role": "reader" });
    let made = world.ask("POST", "/tokens").token(&office).json(&reader).send().await;
    let reader = made.json()["token"].as_str().expect("a token").to_owned();
    let asked = async |token: &str| world.ask("GET", "/materials").token(token).send().await;
    for _ in 0..3 {
        assert_eq!(asked(&reader).await.status, 200);
    }
    let refused = asked(&reader).await;
    assert_eq!((refused.status, refused.problem()["type"].clone()), (429, "/problems/too-many-requests".into()));
    let seconds: u64 = refused.header("retry-after").and_then(|s| s.parse().ok()).expect("seconds");
    assert!((1..=60).contains(&seconds), "{refused:?}");
    assert_eq!(asked(&office).await.status, 200);
}

/// An address of this machine that others could reach it by, where it has one.
fn own_address() -> Option<IpAddr> {
    // Nothing is sent: the system only says which address it would send from.
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    socket.connect("198.51.100.1:9").ok()?;
    let address = socket.local_addr().ok()?.ip();
    (!address.is_loopback() && !address.is_unspecified()).then_some(address)
}

#[tokio::test(flavor = "multi_thread")]
async fn an_address_that_asks_too_often_waits_whatever_it_sends() {
    let Some(address) = own_address() else {
        println!("not run: this machine has no address but its own loop");
        assert!(std::env::var_os("CI").is_none(), "this machine has no address but its own loop");
        return;
    };
    let database = TestDatabase::sqlite();
    let here = World::over(database.migrated().await, |_| {}).await;
    let made = here.post("/tokens", &serde_json::json!({ "name": "the office", "role": "office" })).await;
    let office = made.json()["token"].as_str().expect("a token").to_owned();
    let world = World::over(here.store.clone(), |config| {
        config.bind = vec![(address, 0).into()];
        config.requests_per_minute = 3;
    })
    .await;
    for wrong in ["mb_one", "mb_two", "mb_three"] {
        assert_eq!(world.ask("GET", "/materials").token(wrong).send().await.status, 401, "another token each time");
    }
    let refused = world.ask("GET", "/materials").token(&office).send().await;
    assert_eq!((refused.status, refused.problem()["type"].clone()), (429, "/problems/too-many-requests".into()));
    assert!(refused.text.contains("from this address"), "{refused:?}");
    let seconds: u64 = refused.header("retry-after").and_then(|s| s.parse().ok()).expect("seconds");
    assert!((1..=60).contains(&seconds), "{refused:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn figures_and_traces_are_there_for_those_who_watch() {
    let database = TestDatabase::sqlite();
    let world = World::over(database.migrated().await, |_| {}).await;
    let trace = "4bf92f3577b34da6a3ce929d0e0e4736";
    let parent = format!("00-{trace}-00f067aa0ba902b7-01");
    let answer = world.ask("GET", "/orders/TH-1").header("traceparent", &parent).send().await;
    let told = answer.header("traceparent").expect("where the trace goes on").to_owned();
    assert!(told.starts_with(&format!("00-{trace}-")) && told != parent && told.ends_with("-01"), "{told}");
    let other = world.get("/health/live").await;
    assert!(other.header("traceparent").is_some_and(|told| !told.contains(trace)), "{other:?}");
    let tx = world.store.write().await.expect("a turn to write");
    store::beats::beat(&tx, "test", crate::world::NOW.parse().expect("an instant")).await.expect("a beat");
    tx.commit().await.expect("it is kept");
    let figures = world.get("/metrics").await;
    assert_eq!(
        (figures.status, figures.header("content-type")),
        (200, Some("text/plain; version=0.0.4; charset=utf-8"))
    );
    for line in [
        "mouldboard_http_requests_total{method=\"GET\",route=\"/orders/{id}\",status=\"404\"} 1",
        "mouldboard_http_request_seconds_count{route=\"/health/live\"} 1",
        "mouldboard_database_up 1",
        "mouldboard_worker_silent_seconds 0",
        "mouldboard_plan_age_seconds NaN",
        "mouldboard_jobs{state=\"waiting\"} 0",
    ] {
        assert!(figures.text.lines().any(|there| there == line), "{line} is not in\n{}", figures.text);
    }
    assert!(!figures.text.contains("TH-1"), "no reference of an order is in them");
}

/// Lists whose length their query or their nature already bounds: days of a range, at most 400.
const BOUNDED: [&str; 1] = ["/calendar"];

#[test]
fn every_list_comes_in_pages() {
    let mut lists = 0;
    for (path, item) in DOCUMENT.json["paths"].as_object().expect("paths") {
        let answer = &item["get"]["responses"]["200"];
        if answer["content"]["application/json"]["schema"]["type"] != "array" || BOUNDED.contains(&path.as_str()) {
            continue;
        }
        let keys: Vec<&str> =
            item["get"]["parameters"].as_array().into_iter().flatten().filter_map(|p| p["name"].as_str()).collect();
        assert!(keys.contains(&"after") && keys.contains(&"limit"), "{path} takes {keys:?}");
        assert!(answer["headers"]["Link"].is_object(), "{path} has no Link");
        lists += 1;
    }
    assert!(lists > 25, "{lists} lists were looked at");
}
