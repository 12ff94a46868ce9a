//! Who may do what, and who is not let in.

use reqwest::Method;
use serde_json::json;
use testkit::databases::TestDatabase;

use crate::world::World;

/// Makes a token of a role by the API, with `by` where one is needed already.
async fn token(world: &World, role: &str, by: Option<&str>) -> String {
    let mut ask = world.ask("POST", "/tokens").json(&json!({ "name": format!("the {role}"), "role": role }));
    if let Some(by) = by {
        ask = ask.token(by);
    }
    let answer = ask.send().await;
    assert_eq!(answer.status, 201, "{answer:?}");
    answer.json()["token"].as_str().unwrap().to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn each_role_does_what_it_may_and_no_more() {
    World::furnished(async |world| {
        let office = token(world, "office", None).await;
        let bench = token(world, "bench", Some(&office)).await;
        let reader = token(world, "reader", Some(&office)).await;
        let finish = json!({ "id": "moss", "name": "Moss" });
        let entry = json!({ "material": "cement", "kind": "received", "amount": 25000 });
        let table = [
            (None, "GET", "/materials", None, 401),
            (Some("mb_wrong"), "GET", "/materials", None, 401),
            (Some(&*reader), "GET", "/materials", None, 200),
            (Some(&*reader), "POST", "/stock/entries", Some(&entry), 403),
            (Some(&*reader), "POST", "/finishes", Some(&finish), 403),
            (Some(&*reader), "GET", "/tokens", None, 403),
            (Some(&*bench), "POST", "/stock/entries", Some(&entry), 201),
            (Some(&*bench), "POST", "/finishes", Some(&finish), 403),
            (Some(&*bench), "GET", "/orders.csv", None, 200),
            (Some(&*office), "POST", "/finishes", Some(&finish), 201),
            (Some(&*office), "GET", "/tokens", None, 200),
            (None, "GET", "/health/live", None, 200),
            (Some(&*reader), "GET", "/", None, 200),
        ];
        for (token, method, path, body, status) in table {
            let mut ask = world.ask(method, path);
            if let Some(token) = token {
                ask = ask.token(token);
            }
            if let Some(body) = body {
                ask = ask.json(body);
            }
            let answer = ask.send().await;
            assert_eq!(answer.status, status, "{method} {path} {token:?}: {answer:?}");
            if status == 401 {
                assert_eq!(answer.header("www-authenticate"), Some("Bearer"));
            }
            if status >= 400 {
                answer.problem();
            }
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_token_is_shown_once_and_revoked_at_once() {
    World::bare(async |world| {
        let first_for_bench = world.post("/tokens", &json!({ "name": "tablet", "role": "bench" })).await;
        assert_eq!(first_for_bench.status, 409, "{first_for_bench:?}");
        let office = token(world, "office", None).await;
        let reader = token(world, "reader", Some(&office)).await;
        let list = world.ask("GET", "/tokens").token(&office).send().await;
        assert!(!list.text.contains("mb_"), "{list:?}");
        let reader_id = list.json().as_array().unwrap().iter().find(|t| t["role"] == "reader").unwrap()["id"].clone();
        assert_eq!(world.ask("GET", "/materials").token(&reader).send().await.status, 200);
        let revoked = world.ask("DELETE", &format!("/tokens/{reader_id}")).token(&office).send().await;
        assert_eq!(revoked.status, 204, "{revoked:?}");
        assert_eq!(world.ask("GET", "/materials").token(&reader).send().await.status, 401);
        let odd = world.ask("GET", "/materials").header("Authorization", "Basic eDp5").send().await;
        assert_eq!(odd.status, 401);
        let keyed = world.ask("POST", "/tokens").token(&office).header("Idempotency-Key", "k");
        assert_eq!(keyed.json(&json!({ "name": "x", "role": "reader" })).send().await.status, 400);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn pages_of_other_sites_and_foreign_names_are_refused() {
    let database = TestDatabase::sqlite();
    let world =
        World::over(database.migrated().await, |config| config.allowed_hosts = vec!["plans.example".to_owned()]).await;
    let port = world.url("").rsplit(':').next().unwrap().to_owned();
    let table = [
        (None, None, 200),
        (Some("localhost"), None, 200),
        (Some("[::1]"), None, 200),
        (Some("plans.example"), None, 200),
        (Some("evil.example"), None, 403),
        (Some("127.0.0.1.evil.example"), None, 403),
        (None, Some("http://evil.example".to_owned()), 403),
        (None, Some("null".to_owned()), 403),
        (None, Some(format!("http://127.0.0.1:{port}")), 200),
        (None, Some("http://127.0.0.1:1".to_owned()), 403),
    ];
    for (host, origin, status) in table {
        for (method, path) in [("GET", "/materials"), ("GET", "/health/live"), ("GET", "/docs/")] {
            let mut request =
                reqwest::Client::new().request(Method::from_bytes(method.as_bytes()).unwrap(), world.url(path));
            if let Some(host) = host {
                request = request.header("Host", host);
            }
            if let Some(origin) = &origin {
                request = request.header("Origin", origin);
            }
            let answer = request.send().await.unwrap();
            assert_eq!(answer.status().as_u16(), status, "{path} host {host:?}, origin {origin:?}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn where_it_is_told_so_even_the_local_user_needs_a_token() {
    let database = TestDatabase::sqlite();
    let world = World::over(database.migrated().await, |config| config.open_to_local_user = false).await;
    assert_eq!(world.get("/materials").await.status, 401);
    assert_eq!(world.get("/health/live").await.status, 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn it_does_not_start_open_to_the_network_without_a_token() {
    World::bare(async |world| {
        let now: chrono::DateTime<chrono::Utc> = crate::world::NOW.parse().unwrap();
        let open = || api::Config::local(([0, 0, 0, 0], 0).into(), std::sync::Arc::new(move || now));
        let refused = api::start(world.store.clone(), open()).await.err().expect("it is refused").to_string();
        assert!(refused.contains("no token has been made"), "{refused}");
        token(world, "office", None).await;
        let running = api::start(world.store.clone(), open()).await.expect("with a token it starts");
        running.stop().await;
    })
    .await;
}
