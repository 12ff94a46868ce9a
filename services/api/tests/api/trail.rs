//! Who changed what: every change leaves a line, under the name of its token, and no secret is in any.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::world::{Answer, World, order};

fn lines(answer: &Answer) -> Vec<(String, String, String)> {
    let text = |line: &Value, name: &str| line[name].as_str().unwrap_or_default().to_owned();
    let lines = answer.json().as_array().cloned().unwrap_or_default();
    lines.iter().map(|line| (text(line, "kind"), text(line, "id"), text(line, "act"))).collect()
}

fn told(kind: &str, id: &str, act: &str) -> (String, String, String) {
    (kind.to_owned(), id.to_owned(), act.to_owned())
}

/// A token of this role, made with `by`.
async fn token(world: &World, by: Option<&str>, name: &str, role: &str) -> String {
    let ask = world.ask("POST", "/tokens").json(&json!({ "name": name, "role": role }));
    let made = match by {
        Some(by) => ask.token(by).send().await,
        None => ask.send().await,
    };
    made.json()["token"].as_str().unwrap_or_else(|| panic!("no token in {made:?}")).to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_tells_its_fields_before_and_after_and_whose_it_was() {
    World::furnished(async |world| {
        world.make("/orders", &order("TH-1")).await;
        let changed = world.change("/orders/TH-1", |body| body["note"] = json!("ring first")).await;
        assert_eq!(changed.status, 200, "{changed:?}");
        let office = token(world, None, "office laptop", "office").await;
        let tag = world.ask("GET", "/orders/TH-1").token(&office).send().await.etag();
        let removed = world.ask("DELETE", "/orders/TH-1").token(&office).header("If-Match", &tag).send().await;
        assert_eq!(removed.status, 204, "{removed:?}");
        let get = async |path: &str| world.ask("GET", path).token(&office).send().await;
        let of_it = get("/changes?kind=orders&id=TH-1").await;
        let expected = ["made", "changed", "removed"].map(|act| told("orders", "TH-1", act));
        assert_eq!(lines(&of_it), expected, "{of_it:?}");
        let of_it = of_it.json();
        assert_eq!(of_it[1]["fields"], json!([{ "field": "note", "before": null, "after": "ring first" }]));
        assert_eq!((&of_it[1]["by"], &of_it[2]["by"]), (&Value::Null, &json!("office laptop")));
        assert_eq!(of_it[2]["at"], "2026-05-04T08:00:00Z");
        assert_eq!(of_it[0]["fields"][0]["after"]["due_on"], "2026-06-12", "all of what was made");
        let (all, gone) = (of_it[2]["fields"].as_array().unwrap(), &of_it[2]["fields"][0]);
        assert_eq!((all.len(), &gone["field"], &gone["before"]["note"]), (1, &json!(""), &json!("ring first")));
        assert!(gone.get("after").is_none(), "{gone}");
        assert_eq!(lines(&get("/changes?by=office%20laptop").await), [told("orders", "TH-1", "removed")]);
        assert_eq!(lines(&get("/changes?from=2026-05-04T08:00:01Z").await), []);
        assert_eq!(lines(&get("/changes?until=2026-05-04T08:00:00Z").await), []);
        let first = get("/changes?limit=1&from=2026-05-04T08:00:00Z").await;
        assert_eq!(lines(&first), [told("workshop", "", "made")]);
        assert!(
            first.header("link").unwrap().contains("from=2026-05-04T08%3A00%3A00%2B00%3A00&after=1&limit=1"),
            "{first:?}"
        );
        assert_eq!(get("/changes?from=yesterday").await.status, 400);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_refused_or_said_again_leaves_no_line() {
    World::furnished(async |world| {
        let count = async || lines(&world.get("/changes?limit=500").await).len();
        let before = count().await;
        let keyed = || world.ask("POST", "/orders").header("Idempotency-Key", "once").json(&order("TH-1"));
        assert_eq!((keyed().send().await.status, keyed().send().await.status), (201, 201));
        assert_eq!(count().await, before + 1, "the same once more is no change");
        assert_eq!(world.ask("DELETE", "/orders/TH-1").header("If-Match", "\"0-0\"").send().await.status, 412);
        assert_eq!(world.post("/orders", &json!({ "id": "TH-2" })).await.status, 422);
        let same = world.change("/orders/TH-1", |_| {}).await;
        assert_eq!((same.status, count().await), (200, before + 1), "what is as it was is not changed");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_import_tells_of_each_thing_it_changed() {
    World::furnished(async |world| {
        world.make("/orders", &order("TH-1")).await;
        let rows = "order,due_on,set,panel,finish,quantity,note\r\nTH-1,2026-06-12,bed,,grey,4,by rail\r\nTH-2,2026-06-12,bed,,grey,2,\r\n";
        let taken = world.ask("POST", "/orders/import").body("text/csv", rows).send().await;
        assert_eq!(taken.status, 200, "{taken:?}");
        let told_of = lines(&world.get("/changes?kind=orders").await);
        let wanted = [("TH-1", "made"), ("TH-2", "made"), ("TH-1", "changed"), ("", "import")];
        assert_eq!(told_of, wanted.map(|(id, act)| told("orders", id, act)), "{taken:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn only_the_office_reads_it_and_no_secret_is_in_it() {
    World::furnished(async |world| {
        let hook =
            json!({ "name": "yard", "url": "https://listener.example/very-secret-path", "kinds": ["order_late"] });
        let secret = world.make("/web-hooks", &hook).await.json()["secret"].as_str().unwrap().to_owned();
        let feed = world.make("/feed-tokens", &json!({ "name": "phone", "feeds": ["/orders"] })).await;
        let feed_token = feed.json()["token"].as_str().unwrap().to_owned();
        let office = token(world, None, "office", "office").await;
        let reader = token(world, Some(&office), "screen", "reader").await;
        for path in ["/web-hooks/1", "/feed-tokens/1", "/tokens/2", "/tokens/2"] {
            let gone = world.ask("DELETE", path).token(&office).send().await;
            assert_eq!(gone.status, 204, "{path}: {gone:?}");
        }
        let reader_again = token(world, Some(&office), "screen", "reader").await;
        for path in ["/changes", "/changes.csv", "/changes.xlsx"] {
            let refused = world.ask("GET", path).token(&reader_again).send().await;
            assert_eq!(refused.status, 403, "{path}: {refused:?}");
        }
        let more =
            world.ask("POST", "/feed-tokens").token(&office).json(&json!({ "name": "sly", "feeds": ["/changes"] }));
        assert_eq!(more.send().await.status, 422, "no feed token opens it");
        let all = world.ask("GET", "/changes?limit=500").token(&office).send().await;
        let csv = world.ask("GET", "/changes.csv").token(&office).send().await;
        for secret in [&secret, &feed_token, &office, &reader, &reader_again] {
            let half = secret.rsplit('_').next().unwrap();
            assert!(!all.text.contains(half) && !csv.text.contains(half), "{all:?}");
        }
        assert!(!all.text.contains("very-secret-path"), "{all:?}");
        assert!(csv.text.starts_with("change,at_utc,by,kind,id,act,field,before,after\r\n"), "{csv:?}");
        let secrets: Vec<_> = lines(&all)
            .into_iter()
            .filter(|(kind, ..)| ["web-hooks", "feed-tokens", "tokens"].contains(&kind.as_str()))
            .collect();
        let wanted = [
            ("web-hooks", "1", "made"),
            ("feed-tokens", "1", "made"),
            ("tokens", "1", "made"),
            ("tokens", "2", "made"),
            ("web-hooks", "1", "removed"),
            ("feed-tokens", "1", "removed"),
            ("tokens", "2", "removed"),
            ("tokens", "3", "made"),
        ];
        assert_eq!(secrets, wanted.map(|(kind, id, act)| told(kind, id, act)), "revoking again is no change");
    })
    .await;
}

/// Handlers write through `once` and `alter` only: both tell the trail.
#[test]
fn no_handler_writes_past_the_trail() {
    let past: BTreeSet<String> = walk(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src"));
    // Signing in and out changes nothing of the workshop's, and a pull of a calendar only notes what was given out.
    let known = ["http/reply.rs", "http/trail.rs", "pages/session.rs", "resources/calendars.rs"];
    assert_eq!(past, known.map(str::to_owned).into());
}

fn walk(folder: &std::path::Path) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut waiting = vec![folder.to_owned()];
    while let Some(path) = waiting.pop() {
        if path.is_dir() {
            waiting.extend(std::fs::read_dir(&path).unwrap().map(|entry| entry.unwrap().path()));
        } else if std::fs::read_to_string(&path).is_ok_and(|text| text.contains("store.write()")) {
            found.insert(path.strip_prefix(folder).unwrap().to_str().unwrap().replace('\\', "/"));
        }
    }
    found
}
