//! What holds for every request, whatever it asks for.

use serde_json::{Value, json};

use crate::world::{World, order};

/// Method, path, headers, body; then the status, the kind of problem, and a part of what is said.
type Row<'r> = (&'r str, &'r str, Vec<(&'r str, &'r str)>, Option<&'r str>, u16, &'r str, &'r str);

#[tokio::test(flavor = "multi_thread")]
async fn whatever_is_wrong_with_a_request_is_a_problem_of_its_kind() {
    World::furnished(async |world| {
        let long = format!("/materials?after={}", "x".repeat(61));
        let table: Vec<Row> = vec![
            ("GET", "/nothing", vec![], None, 404, "no-such-path", "/nothing"),
            ("GET", "/materials/", vec![], None, 404, "no-such-path", ""),
            ("GET", "/materials/%ff", vec![], None, 404, "no-such-path", ""),
            ("GET", "/materials/none", vec![], None, 404, "not-found", "'none'"),
            ("GET", "/materials/a%20b", vec![], None, 400, "bad-request", "no id"),
            ("GET", "/materials/a%00b", vec![], None, 400, "bad-request", "control character"),
            ("GET", "/deliveries/one", vec![], None, 400, "bad-request", "whole"),
            ("GET", "/deliveries/0", vec![], None, 400, "bad-request", "out of range"),
            ("GET", "/deliveries/99999999999999999999", vec![], None, 400, "bad-request", "id:"),
            ("GET", "/calendar/2026-13-01", vec![], None, 400, "bad-request", "not a day"),
            ("PATCH", "/materials", vec![], None, 405, "method-not-allowed", "GET, POST, HEAD"),
            ("DELETE", "/orders.csv", vec![], None, 405, "method-not-allowed", "GET, HEAD"),
            ("DELETE", "/orders/import", vec![], None, 405, "method-not-allowed", "POST"),
            ("GET", "/materials", vec![("Accept", "application/xml")], None, 406, "not-acceptable", "application/json"),
            ("GET", "/orders.csv", vec![("Accept", "application/json")], None, 406, "not-acceptable", "text/csv"),
            ("GET", "/materials?what=1", vec![], None, 400, "bad-request", "after, limit"),
            ("GET", "/materials?limit=0", vec![], None, 400, "bad-request", "1 to 500"),
            ("GET", "/materials?limit=501", vec![], None, 400, "bad-request", "1 to 500"),
            ("GET", "/materials?limit=many", vec![], None, 400, "bad-request", "limit"),
            ("GET", "/materials?limit=1&limit=2", vec![], None, 400, "bad-request", "twice"),
            ("GET", "/materials?after=%01", vec![], None, 400, "bad-request", "after"),
            ("GET", &long, vec![], None, 400, "bad-request", "after"),
            ("GET", "/deliveries?after=x", vec![], None, 400, "bad-request", "cursor"),
            ("GET", "/orders?state=lost", vec![], None, 400, "bad-request", "open, dispatched, withdrawn"),
            ("GET", "/calendar?from=soon", vec![], None, 400, "bad-request", "not a day"),
            ("GET", "/calendar?from=2026-05-04&to=2026-05-01", vec![], None, 400, "bad-request", "400 days"),
            ("GET", "/calendar?from=2026-05-04&to=9999-12-31", vec![], None, 400, "bad-request", "400 days"),
            ("POST", "/materials", vec![], Some("{}"), 415, "unsupported-format", "no Content-Type"),
            (
                "POST",
                "/materials",
                vec![("Content-Type", "text/plain")],
                Some("{}"),
                415,
                "unsupported-format",
                "application/json",
            ),
            (
                "POST",
                "/materials",
                vec![("Content-Type", "application/json; charset=latin1")],
                Some("{}"),
                415,
                "unsupported-format",
                "UTF-8",
            ),
            ("POST", "/materials", vec![("Content-Type", "application/json")], Some(""), 400, "malformed", "empty"),
            (
                "POST",
                "/materials",
                vec![("Content-Type", "application/json")],
                Some("{\"id\": \"cem"),
                400,
                "malformed",
                "breaks off at line 1, column 11",
            ),
            (
                "POST",
                "/materials",
                vec![("Content-Type", "application/json")],
                Some("{id: 1}"),
                400,
                "malformed",
                "line 1, column 2",
            ),
            ("POST", "/materials", vec![("Content-Type", "application/json")], Some("[]"), 422, "faulty", "1 fault"),
            (
                "POST",
                "/materials",
                vec![("Content-Type", "application/json"), ("Idempotency-Key", "")],
                Some("{}"),
                422,
                "faulty",
                "",
            ),
            (
                "PUT",
                "/finishes/grey",
                vec![("Content-Type", "application/json")],
                Some("{\"id\":\"grey\",\"name\":\"x\"}"),
                428,
                "condition-needed",
                "If-Match",
            ),
            (
                "PUT",
                "/finishes/grey",
                vec![("Content-Type", "application/json"), ("If-Match", "3")],
                Some("{\"id\":\"grey\",\"name\":\"x\"}"),
                400,
                "bad-request",
                "If-Match",
            ),
            (
                "PUT",
                "/finishes/grey",
                vec![("Content-Type", "application/json"), ("If-Match", "\"7\"")],
                Some("{\"id\":\"grey\",\"name\":\"x\"}"),
                412,
                "changed-meanwhile",
                "current state",
            ),
            (
                "PUT",
                "/finishes/none",
                vec![("Content-Type", "application/json"), ("If-Match", "\"7\"")],
                Some("{\"id\":\"none\",\"name\":\"x\"}"),
                404,
                "not-found",
                "'none'",
            ),
            ("DELETE", "/finishes/grey", vec![], None, 428, "condition-needed", "If-Match"),
            ("GET", "/problems/unheard-of", vec![], None, 404, "not-found", ""),
        ];
        let mut wrong = Vec::new();
        for (method, path, headers, body, status, kind, part) in table {
            let mut ask = world.ask(method, path);
            let mut format = "";
            for (name, value) in &headers {
                if *name == "Content-Type" { format = value } else { ask = ask.header(name, value) }
            }
            ask = match (body, format) {
                (Some(body), "") => {
                    let request = reqwest::Client::new().post(world.url(path)).body(body.to_owned());
                    let response = request.send().await.unwrap();
                    let (got, text) = (response.status().as_u16(), response.text().await.unwrap());
                    if got != status || !text.contains(kind) || !text.contains(part) {
                        wrong.push(format!("{method} {path} without a format: {got} {text}"));
                    }
                    continue;
                }
                (Some(body), format) => ask.body(format, body.to_owned()),
                (None, _) => ask,
            };
            let answer = ask.send().await;
            let problem = answer.problem();
            let is_kind = problem["type"] == format!("/problems/{kind}");
            if answer.status != status || !is_kind || !problem.to_string().contains(part) {
                wrong.push(format!("{method} {path} {headers:?} {body:?}: {problem}"));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wrong_method_is_told_the_right_ones() {
    World::bare(async |world| {
        for (path, allow) in
            [("/orders/TH-1", "DELETE, GET, PUT, HEAD"), ("/stock/entries", "GET, POST, HEAD"), ("/", "GET, HEAD")]
        {
            let answer = world.ask("TRACE", path).send().await;
            assert_eq!((answer.status, answer.header("allow")), (405, Some(allow)), "{path}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn three_megabytes_are_too_much_and_the_limit_is_named() {
    World::bare(async |world| {
        let body = json!({ "id": "x", "name": "y".repeat(3 * 1024 * 1024) });
        let answer = world.post("/finishes", &body).await;
        let problem = answer.problem();
        assert_eq!(answer.status, 413);
        assert!(problem["detail"].as_str().unwrap().contains("1048576 bytes"), "{problem}");
        assert_eq!(world.get("/finishes").await.json(), json!([]));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn all_faults_of_a_body_come_at_once() {
    World::bare(async |world| {
    let body = json!({ "id": "a b", "name": "", "kind": "stone", "unit": "gram", "relative_density": 99, "supply": "bought",
        "pack": 2.5, "pack_price_minor": "free", "what": 1 });
    let answer = world.post("/materials", &body).await;
    let mut pointers = answer.pointers();
    pointers.sort();
    let expected = ["/id", "/kind", "/lead_days", "/name", "/pack", "/pack_price_minor", "/relative_density", "/what"];
    assert_eq!((answer.status, pointers), (422, expected.map(str::to_owned).to_vec()));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn feeds_ignore_query_keys_they_do_not_know() {
    World::bare(async |world| {
        assert_eq!(world.get("/orders.csv?_cache=17").await.status, 200);
        assert_eq!(world.get("/orders?_cache=17").await.status, 400);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_has_what_is_read_is_told_so_and_never_after_a_change() {
    World::furnished(async |world| {
        for path in [
            "/materials",
            "/materials/cement",
            "/orders",
            "/mixes/plain/revisions",
            "/stock",
            "/changes",
            "/",
            "/openapi.json",
        ] {
            let tag = world.get(path).await.etag();
            let again = world.ask("GET", path).header("If-None-Match", &tag).send().await;
            assert_eq!((again.status, again.text.as_str(), again.etag()), (304, "", tag), "{path}");
        }
        let tag = world.get("/orders").await.etag();
        world.make("/orders", &order("TH-1")).await;
        let after = world.ask("GET", "/orders").header("If-None-Match", &tag).send().await;
        assert_eq!((after.status, after.json()[0]["id"].as_str()), (200, Some("TH-1")), "{after:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn head_is_get_without_a_body() {
    World::furnished(async |world| {
        let (get, head) = (world.get("/finishes/grey").await, world.ask("HEAD", "/finishes/grey").send().await);
        assert_eq!((head.status, head.text.as_str(), head.etag()), (200, "", get.etag()));
        assert_eq!(world.ask("HEAD", "/finishes/none").send().await.status, 404);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn lists_page_by_link_in_a_stable_order() {
    World::furnished(async |world| {
        for number in 0..7 {
            world.make("/orders", &order(&format!("TH-{number}"))).await;
        }
        for (path, count) in [
            ("/orders?limit=3", 7),
            ("/orders?limit=3&state=open", 7),
            ("/orders?limit=7", 7),
            ("/materials?limit=1", 4),
        ] {
            let mut ids: Vec<String> = Vec::new();
            let mut next = Some(path.to_owned());
            let mut pages = 0;
            while let Some(page) = next {
                let answer = world.get(&page).await;
                assert_eq!(answer.status, 200, "{page}: {answer:?}");
                ids.extend(answer.json().as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap().to_owned()));
                next = link(answer.header("link").unwrap(), "next");
                pages += 1;
                assert!(pages < 20, "{path} never ends");
            }
            let mut sorted = ids.clone();
            sorted.sort();
            sorted.dedup();
            assert_eq!((ids.len(), &ids), (count, &sorted), "{path}");
        }
        assert_eq!(world.get("/orders?state=withdrawn").await.json(), json!([]));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn lists_that_are_worked_out_page_too_and_say_where_they_cannot_go_on() {
    World::furnished(async |world| {
        let mut names = Vec::new();
        for number in 0..5 {
            let hook = json!({ "name": format!("hook {number}"), "url": "https://listener.example/", "kinds": ["order_late"] });
            world.make("/web-hooks", &hook).await;
            world.make("/orders", &order(&format!("TH-{number}"))).await;
        }
        let mut next = Some("/web-hooks?limit=2".to_owned());
        while let Some(page) = next {
            let answer = world.get(&page).await;
            assert_eq!(answer.status, 200, "{page}: {answer:?}");
            names.extend(answer.json().as_array().unwrap().iter().map(|one| one["name"].as_str().unwrap().to_owned()));
            next = link(answer.header("link").unwrap(), "next");
        }
        assert_eq!(names, ["hook 0", "hook 1", "hook 2", "hook 3", "hook 4"]);
        assert_eq!(world.get("/dispatch").await.json().as_array().unwrap().len(), 5, "without a limit all of them");
        let some = world.get("/dispatch?limit=2&after=TH-1").await;
        let orders: Vec<Value> = some.json().as_array().unwrap().iter().map(|one| one["order"].clone()).collect();
        assert_eq!(orders, [json!("TH-2"), json!("TH-3")]);
        let marks = world.get("/marks?limit=3").await;
        assert_eq!(marks.json().as_array().unwrap().len(), 3);
        let after = link(marks.header("link").unwrap(), "next").unwrap();
        assert!(!world.get(&after).await.json().as_array().unwrap().contains(&marks.json()[2]));
        for path in ["/web-hooks?after=99", "/dispatch?after=TH-9", "/marks?after=some"] {
            let answer = world.get(path).await;
            assert_eq!((answer.status, answer.pointers()), (400, vec!["/query/after".to_owned()]), "{path}");
        }
    })
    .await;
}

fn link(header: &str, wanted: &str) -> Option<String> {
    let entry = header.split(", ").find(|entry| entry.ends_with(&format!("rel=\"{wanted}\"")))?;
    Some(entry.strip_prefix('<')?.split('>').next()?.to_owned())
}

#[tokio::test(flavor = "multi_thread")]
async fn every_answer_has_a_request_id_and_the_pages_are_there() {
    World::bare(async |world| {
        let first = world.get("/health/live").await;
        let second = world.get("/nothing").await;
        assert_ne!(first.header("x-request-id").unwrap(), second.header("x-request-id").unwrap());
        for (path, part) in [
            ("/", "For programs"),
            ("/docs/", "swagger"),
            ("/problems/faulty", "422"),
            ("/openapi.yaml", "openapi: 3.1"),
            ("/openapi.json", "\"3.1"),
        ] {
            let answer = world.get(path).await;
            assert!(
                answer.status == 200 && answer.text.contains(part),
                "{path}: {} {:.300}",
                answer.status,
                answer.text
            );
        }
        let missing = world.get("/docs/nothing.js").await;
        assert_eq!((missing.status, missing.problem()["type"].clone()), (404, Value::from("/problems/no-such-path")));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn health_tells_the_truth() {
    World::bare(async |world| {
        let ready = world.get("/health/ready").await;
        let told = ready.json();
        assert_eq!(
            (ready.status, &told["database"], &told["worker"], &told["plan"]),
            (200, &json!("there"), &json!("missing"), &json!("missing"))
        );
        let tx = world.store.write().await.unwrap();
        store::beats::beat(&tx, "test", crate::world::NOW.parse().unwrap()).await.unwrap();
        tx.commit().await.unwrap();
        assert_eq!(world.get("/health/ready").await.json()["worker"], "there");
    })
    .await;
}
