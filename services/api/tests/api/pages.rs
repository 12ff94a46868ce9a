//! The pages: shown to those who may see them, changed from nowhere else, and nothing in them from elsewhere.

use serde_json::json;

use crate::world::{Answer, World};

const PAGES: [&str; 6] =
    ["/", "/pages/days/2026-05-05", "/pages/plan", "/pages/orders", "/pages/orders/new", "/pages/stock"];

/// The page itself, which must be one.
fn page(answer: &Answer) -> &str {
    assert_eq!(answer.header("content-type"), Some("text/html; charset=utf-8"), "{answer:?}");
    let policy = answer.header("content-security-policy").unwrap_or_default();
    assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{policy}");
    for outside in ["src=\"http", "href=\"http", "src=\"//", "href=\"//", "<style", "onclick", "style=\""] {
        assert!(!answer.text.contains(outside), "{outside} in {}", answer.text);
    }
    &answer.text
}

#[tokio::test(flavor = "multi_thread")]
async fn every_page_is_there_before_anything_is_recorded_and_after() {
    World::bare(async |world| {
        for path in PAGES {
            let answer = world.ask("GET", path).send().await;
            assert_eq!(answer.status, 200, "{path}: {answer:?}");
            page(&answer);
        }
    })
    .await;
    World::furnished(async |world| {
        for path in PAGES {
            let answer = world.ask("GET", path).send().await;
            assert_eq!(answer.status, 200, "{path}: {answer:?}");
            assert!(page(&answer).contains("Tern Hollow"), "{path}");
        }
        for path in ["/pages/look/pages.css", "/pages/look/pages.js"] {
            assert_eq!(world.ask("GET", path).send().await.status, 200, "{path}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_people_wrote_is_shown_as_they_wrote_it() {
    World::furnished(async |world| {
        let order = json!({
            "id": "TH-<1>", "due_on": "2026-06-12", "customer": "<script>alert(1)</script>", "note": "a & b",
            "lines": [{ "panel": "side", "finish": "grey", "quantity": 2 }],
        });
        let refused = world.ask("POST", "/orders").json(&order).send().await;
        assert_eq!(refused.status, 422, "a reference with such signs is none: {refused:?}");
        let mut order = order;
        order["id"] = json!("TH-1");
        assert_eq!(world.ask("POST", "/orders").json(&order).send().await.status, 201);
        let answer = world.ask("GET", "/pages/orders/TH-1").send().await;
        let shown = page(&answer);
        assert!(shown.contains("&lt;script&gt;alert(1)&lt;/script&gt;") && !shown.contains("<script>alert"), "{shown}");
        assert!(shown.contains("a &amp; b"));
        let list = world.ask("GET", "/pages/orders").send().await;
        assert!(page(&list).contains("/pages/orders/TH-1"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_that_is_not_there_says_so_as_a_page() {
    World::furnished(async |world| {
        for (path, status) in [
            ("/pages/orders/TH-9", 404),
            ("/pages/days/yesterday", 400),
            ("/pages/nothing", 404),
            ("/pages/plan?x=1", 400),
        ] {
            let answer = world.ask("GET", path).send().await;
            assert_eq!(answer.status, status, "{path}");
            assert!(page(&answer).contains("<h1>"), "{path}");
        }
    })
    .await;
}

/// Signs in with a token; the cookie to send, or the answer where that was refused.
async fn sign_in(world: &World, token: &str) -> Result<String, Answer> {
    let form = format!("token={token}");
    let answer = world.ask("POST", "/pages/session").body("application/x-www-form-urlencoded", form).send().await;
    if answer.status != 303 {
        return Err(answer);
    }
    assert_eq!(answer.header("location"), Some("/"));
    let cookie = answer.header("set-cookie").expect("a cookie").to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict") && !cookie.contains(token), "{cookie}");
    Ok(cookie.split(';').next().expect("its value").to_owned())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_browser_signs_in_with_a_token_and_changes_things_from_our_own_pages_only() {
    World::furnished(async |world| {
        let make = |name: &str, role: &str| json!({ "name": name, "role": role });
        let office = world.ask("POST", "/tokens").json(&make("office", "office")).send().await;
        let office = office.json()["token"].as_str().expect("a token").to_owned();
        let bench = world.ask("POST", "/tokens").token(&office).json(&make("bench", "bench")).send().await.json();
        let (bench, bench_id) = (bench["token"].as_str().expect("a token"), bench["id"].to_string());

        let shut = world.ask("GET", "/").send().await;
        assert_eq!(shut.status, 401);
        assert!(page(&shut).contains("action=\"/pages/session\""));
        let wrong = sign_in(world, "mb_wrong").await.expect_err("no such token");
        assert_eq!(wrong.status, 401);
        page(&wrong);

        let cookie = sign_in(world, bench).await.expect("the bench's token opens");
        assert_eq!(world.ask("GET", "/").header("Cookie", &cookie).send().await.status, 200);
        let ours = world.url("");
        let entry = json!({ "material": "cement", "kind": "received", "amount": 25000 });
        let finish = json!({ "id": "moss", "name": "Moss" });
        let table = [
            ("/stock/entries", &entry, None, 403),
            ("/stock/entries", &entry, Some("http://elsewhere.example"), 403),
            ("/stock/entries", &entry, Some("null"), 403),
            ("/stock/entries", &entry, Some(&*ours), 201),
            ("/finishes", &finish, Some(&*ours), 403),
        ];
        for (path, body, origin, status) in table {
            let mut ask = world.ask("POST", path).header("Cookie", &cookie).json(body);
            if let Some(origin) = origin {
                ask = ask.header("Origin", origin);
            }
            let answer = ask.send().await;
            assert_eq!(answer.status, status, "{path} from {origin:?}: {answer:?}");
        }

        let other = sign_in(world, bench).await.expect("another browser");
        let out = world.ask("POST", "/pages/session/end").header("Cookie", &other).send().await;
        assert_eq!(out.status, 303);
        assert_eq!(world.ask("GET", "/").header("Cookie", &other).send().await.status, 401, "signed out");
        assert_eq!(world.ask("GET", "/").header("Cookie", &cookie).send().await.status, 200, "the first still is in");
        let path = format!("/tokens/{bench_id}");
        assert_eq!(world.ask("DELETE", &path).token(&office).send().await.status, 204);
        assert_eq!(world.ask("GET", "/").header("Cookie", &cookie).send().await.status, 401, "its token is revoked");
    })
    .await;
}
