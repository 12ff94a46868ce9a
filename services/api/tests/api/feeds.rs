//! Feeds: in both formats, pulled again and again.

use serde_json::json;

use crate::world::{World, order};

/// Every feed that needs nothing but a furnished workshop.
const FEEDS: [&str; 11] = [
    "/orders",
    "/stock",
    "/stock/entries",
    "/stock/projection",
    "/deliveries",
    "/lots",
    "/trials",
    "/materials",
    "/mould-groups",
    "/panels",
    "/days/today/sheet",
];

#[tokio::test(flavor = "multi_thread")]
async fn every_table_is_there_in_both_formats() {
    World::furnished(async |world| {
        for feed in FEEDS {
            let csv = world.get(&format!("{feed}.csv")).await;
            assert_eq!((csv.status, csv.header("content-type")), (200, Some("text/csv; charset=utf-8")), "{feed}");
            let book = world.get(&format!("{feed}.xlsx")).await;
            assert_eq!(book.status, 200, "{feed}");
            assert!(book.header("content-type").is_some_and(|t| t.contains("spreadsheetml")), "{feed}");
            assert!(book.text.starts_with("PK"), "{feed} is a workbook");
        }
        for feed in
            ["/plan", "/plan/pours", "/plan/strips", "/plan/lifts", "/plan/batches", "/plan/deliveries", "/plan/orders"]
        {
            for format in ["csv", "xlsx"] {
                let answer = world.get(&format!("{feed}.{format}")).await;
                assert_eq!(answer.status, 404, "{feed}.{format}: no plan is in force yet");
                answer.problem();
            }
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_feed_that_did_not_change_is_not_sent_again_and_a_changed_one_always_is() {
    World::furnished(async |world| {
        world.make("/orders", &order("TH-1")).await;
        for path in ["/orders.csv", "/orders.xlsx"] {
            let first = world.get(path).await;
            let tag = first.etag();
            assert!(tag.starts_with("W/\""), "{tag}");
            assert_eq!(first.header("cache-control"), Some("private, no-cache"));
            let since = first.header("last-modified").expect("a second of its own").to_owned();
            let again = |name: &'static str, value: &str| world.ask("GET", path).header(name, value).send();
            let same = again("If-None-Match", &tag).await;
            assert_eq!((same.status, same.text.as_str()), (304, ""));
            assert_eq!(again("If-None-Match", &tag.replace("W/", "")).await.status, 304, "compared weakly");
            assert_eq!(again("If-Modified-Since", &since).await.status, 304);
            assert_eq!(
                again("If-Modified-Since", "Fri, 01 Jan 2100 00:00:00 GMT").await.status,
                200,
                "not what we gave"
            );

            // The clock of this world stands still: the change falls into the same second, and is seen all the same.
            let changed = world.change("/orders/TH-1", |o| o["note"] = json!(format!("seen at {path}"))).await;
            assert_eq!(changed.status, 200, "{changed:?}");
            assert_eq!(again("If-None-Match", &tag).await.status, 200);
            assert_eq!(again("If-Modified-Since", &since).await.status, 200);
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_list_is_a_table_for_whoever_accepts_csv_and_no_json() {
    World::furnished(async |world| {
        world.make("/orders", &order("TH-1")).await;
        for path in FEEDS {
            let table = world.get(&format!("{path}.csv")).await;
            for accept in ["text/csv", "text/csv;header=present, application/json;q=0.5"] {
                let same = world.ask("GET", path).header("Accept", accept).send().await;
                assert_eq!((same.status, &same.text), (200, &table.text), "{path} {accept}");
                assert_eq!(same.header("content-type"), table.header("content-type"), "{path}");
            }
        }
        for path in ["/orders", "/materials", "/stock"] {
            for accept in ["application/json, text/csv", "*/*"] {
                let list = world.ask("GET", path).header("Accept", accept).send().await;
                assert!(list.json().is_array(), "{path} {accept}: {list:?}");
            }
            let varies = world.ask("GET", path).header("Accept", "text/csv").send().await;
            let vary = varies.headers.get_all("vary").iter().any(|v| v.to_str().is_ok_and(|v| v.contains("Accept")));
            assert!(vary, "{varies:?}");
        }
        let none = world.ask("GET", "/finishes").header("Accept", "text/csv").send().await;
        assert_eq!(none.status, 406, "there is no table of finishes");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn another_way_of_writing_is_another_feed() {
    World::furnished(async |world| {
        let plain = world.get("/materials.csv").await;
        let comma = world.get("/materials.csv?decimal=,&bom=1").await;
        assert_ne!(plain.etag(), comma.etag());
        assert!(comma.text.starts_with("\u{feff}material;name;"), "{}", comma.text);
        assert!(comma.text.contains(";3,1500;") && plain.text.contains(",3.1500,"));
        let added = world.get("/materials.csv?_gl=1&cachebust=20260504").await;
        assert_eq!((added.status, added.text), (200, plain.text), "what spreadsheets add is passed over");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn customers_cannot_make_a_spreadsheet_calculate() {
    World::furnished(async |world| {
        let mut wanted = order("2026-1");
        wanted["customer"] = json!("=HYPERLINK(\"x\")");
        world.make("/orders", &wanted).await;
        let csv = world.get("/orders.csv").await.text;
        assert!(csv.contains("\r\n'2026-1,\"'=HYPERLINK(\"\"x\"\")\",2026-06-12,"), "{csv}");
        let report = world.ask("POST", "/orders/import").body("text/csv", csv).send().await;
        assert_eq!(report.json()["unchanged"], 1, "{report:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_feed_token_opens_its_feeds_and_nothing_else() {
    World::furnished(async |world| {
        let unknown = world.post("/feed-tokens", &json!({ "name": "phone", "feeds": ["/orders", "/nothing"] })).await;
        assert_eq!((unknown.status, unknown.pointers()), (422, vec!["/feeds/1".to_owned()]), "{unknown:?}");
        let past = json!({ "name": "phone", "feeds": ["/orders"], "expires_at": "2026-05-01T00:00:00Z" });
        assert_eq!(world.post("/feed-tokens", &past).await.pointers(), ["/expires_at"]);
        let asked = json!({ "name": "phone", "feeds": ["/orders", "/days/{day}/tickets"] });
        let made = world.make("/feed-tokens", &asked).await;
        assert_eq!(made.header("cache-control"), Some("no-store"));
        let made = made.json();
        let append = made["append"].as_str().unwrap().to_owned();

        // Now everyone needs a token.
        let office = world.make("/tokens", &json!({ "name": "office", "role": "office" })).await.json();
        let office = office["token"].as_str().unwrap().to_owned();
        let table = [
            ("GET", format!("/orders.csv{append}"), 200),
            ("HEAD", format!("/orders.csv{append}"), 200),
            ("GET", format!("/orders.xlsx{append}&utm_source=x"), 200),
            ("GET", format!("/days/today/tickets.csv{append}"), 200),
            ("GET", format!("/materials.csv{append}"), 403),
            ("GET", format!("/orders{append}"), 401),
            ("POST", format!("/orders.csv{append}"), 405),
            ("GET", "/orders.csv".to_owned(), 401),
            ("GET", "/orders.csv?feed_token=mf_no_no".to_owned(), 401),
            ("GET", "/orders.csv?feed_token=".to_owned(), 401),
            ("GET", format!("/orders.csv{append}x"), 401),
        ];
        for (method, path, status) in table {
            let answer = world.ask(method, &path).send().await;
            assert_eq!(answer.status, status, "{method} {path}: {answer:?}");
            assert!(!answer.text.contains("mf_"), "an answer never repeats a token: {answer:?}");
            if status == 200 {
                assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
            }
        }
        let list = world.ask("GET", "/feed-tokens").token(&office).send().await;
        assert!(!list.text.contains("mf_") && list.text.contains("phone"), "{list:?}");
        let revoked = world.ask("DELETE", &format!("/feed-tokens/{}", made["id"])).token(&office).send().await;
        assert_eq!(revoked.status, 204, "{revoked:?}");
        assert_eq!(world.get(&format!("/orders.csv{append}")).await.status, 401);
    })
    .await;
}

/// The one entry of a calendar with this UID, unfolded, by the names of its lines.
fn entry(calendar: &str, uid: &str) -> std::collections::BTreeMap<String, String> {
    let text = calendar.replace("\r\n ", "");
    let found: Vec<&str> =
        text.split("BEGIN:VEVENT\r\n").skip(1).filter(|e| e.contains(&format!("UID:{uid}\r\n"))).collect();
    assert_eq!(found.len(), 1, "{uid} in {text}");
    let line = |line: &str| line.split_once(':').map(|(name, value)| (name.to_owned(), value.to_owned()));
    found[0].lines().filter_map(line).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_calendar_tells_what_moved_and_what_was_taken_back() {
    World::furnished(async |world| {
        let path = "/plan/deliveries.ics";
        let empty = world.get(path).await;
        assert_eq!((empty.status, empty.header("content-type")), (200, Some("text/calendar; charset=utf-8")));
        assert!(!empty.text.contains("VEVENT"), "{}", empty.text);
        let delivery = json!({ "material": "cement", "packs": 20, "expected_on": "2026-05-11" });
        world.make("/deliveries", &delivery).await;
        assert_eq!(world.ask("GET", path).header("If-None-Match", &empty.etag()).send().await.status, 200);
        let calendar = world.get(path).await;
        let shown = entry(&calendar.text, "delivery-1@mouldboard");
        assert_eq!((&*shown["DTSTART;VALUE=DATE"], &*shown["DTEND;VALUE=DATE"]), ("20260511", "20260512"));
        assert_eq!((&*shown["SEQUENCE"], &*shown["STATUS"]), ("0", "CONFIRMED"));
        assert_eq!(world.get(path).await.text, calendar.text, "pulled again it is the same to the byte");
        let tag = world.get("/deliveries/1").await.etag();
        assert_eq!(world.ask("DELETE", "/deliveries/1").header("If-Match", &tag).send().await.status, 204);
        let shown = entry(&world.get(path).await.text, "delivery-1@mouldboard");
        assert_eq!((&*shown["SEQUENCE"], &*shown["STATUS"]), ("1", "CANCELLED"));

        world.make("/orders", &order("TH-1")).await;
        let all = world.get("/plan.ics").await.text;
        assert_eq!(entry(&all, "order-TH-1@mouldboard")["DTSTART;VALUE=DATE"], "20260612");
        assert_eq!(entry(&all, "delivery-1@mouldboard")["STATUS"], "CANCELLED");
        assert!(!world.get("/plan/pours.ics").await.text.contains("VEVENT"));
    })
    .await;
}
