//! Orders, typed and imported.

use serde_json::{Value, json};

use crate::world::{Answer, World, order};

const HEADER: &str = "order,customer,due_on,promised_on,priority,state,set,panel,finish,quantity,note\r\n";

async fn import(world: &World, query: &str, rows: &str) -> Answer {
    world.ask("POST", &format!("/orders/import{query}")).body("text/csv", format!("{HEADER}{rows}")).send().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_finish_that_no_mix_gives_is_refused_with_those_that_are_possible() {
    World::furnished(async |world| {
        let mut body = order("TH-1");
        body["lines"][0]["finish"] = json!("slate");
        let answer = world.post("/orders", &body).await;
        let detail = answer.problem()["errors"][0]["detail"].as_str().unwrap().to_owned();
        assert!(
            detail.contains("no mix in use gives 'slate' for the panel 'side'") && detail.contains("possible: grey"),
            "{detail}"
        );
        let etag = world.get("/mixes/plain/revisions/1").await.etag();
        let retired = world
            .ask("PUT", "/mixes/plain/revisions/1")
            .header("If-Match", &etag)
            .json(&json!({ "state": "retired", "reason": "no more" }));
        assert_eq!(retired.send().await.status, 200);
        let answer = world.post("/orders", &order("TH-1")).await;
        let detail = answer.problem()["errors"][0]["detail"].as_str().unwrap().to_owned();
        assert!(detail.contains("no finish is possible"), "{detail}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_due_day_in_the_past_is_refused_typed_and_taken_with_a_warning_imported() {
    World::furnished(async |world| {
        let mut body = order("TH-1");
        body["due_on"] = json!("2026-05-03");
        let typed = world.post("/orders", &body).await;
        let detail = typed.problem()["errors"][0]["detail"].as_str().unwrap().to_owned();
        assert!(detail.contains("2026-05-03 is past: today is 2026-05-04"), "{detail}");
        let imported = import(world, "", "TH-1,,2026-05-03,,,,bed,,grey,2,\r\n").await;
        let report = imported.json();
        assert_eq!(
            (imported.status, &report["new"], &report["warnings"][0]["column"]),
            (200, &json!(1), &json!("due_on")),
            "{report}"
        );
        // Overdue by now, it can still be changed and closed, but not sent out by a word.
        let by_a_word = world.change("/orders/TH-1", |order| order["state"] = json!("dispatched")).await;
        assert_eq!((by_a_word.status, by_a_word.pointers()), (422, vec!["/state".to_owned()]));
        assert!(by_a_word.text.contains("POST /orders/TH-1/dispatch"), "{by_a_word:?}");
        let closed = world.change("/orders/TH-1", |order| order["state"] = json!("withdrawn")).await;
        assert_eq!(closed.status, 200, "{closed:?}");
        let moved = world
            .change("/orders/TH-1", |order| {
                order["state"] = json!("open");
                order["due_on"] = json!("2026-05-02")
            })
            .await;
        assert_eq!((moved.status, moved.pointers()), (422, vec!["/due_on".to_owned()]));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_import_is_tried_first_and_taken_whole_or_not_at_all() {
    World::furnished(async |world| {
    let bad = "TH-1,Wren Lane,2026-06-12,,,,bed,,grey,2,\r\nTH-2,,2026-06-13,,,,shed,,grey,2,\r\nTH-3,,2026-06-13,,,,bed,,slate,2,\r\n";
    let tried = import(world, "?check=1", bad).await;
    let faults: Vec<Value> = tried.json()["faults"].as_array().unwrap().iter().map(|f| json!([f["line"], f["column"]])).collect();
    assert_eq!((tried.status, faults), (200, vec![json!([3, "set"]), json!([4, "finish"])]), "{tried:?}");
    let refused = import(world, "", bad).await;
    assert_eq!((refused.status, refused.pointers()), (422, vec!["/3/set".to_owned(), "/4/finish".to_owned()]));
    assert_eq!(world.get("/orders").await.json(), json!([]));
    let cells = import(world, "", "TH-1,,soon,,urgent,,bed,,grey,2.5,\r\n").await;
    assert_eq!(cells.pointers(), ["/2/due_on", "/2/priority", "/2/quantity"]);
    let not_csv = world.ask("POST", "/orders/import").body("text/csv", "a;b\r\n1;2\r\n").send().await;
    assert_eq!(not_csv.status, 422);
    let not_utf8 = world.ask("POST", "/orders/import").body("text/csv", vec![0x6f, 0xff]).send().await;
    assert_eq!((not_utf8.status, not_utf8.pointers()), (422, vec!["/1".to_owned()]), "{not_utf8:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_file_twice_changes_nothing_and_the_export_comes_back_as_it_went() {
    World::furnished(async |world| {
    let rows = "TH-1,\"Wren, Lane\",2026-06-12,,high,open,bed,,grey,2,'=call\r\nTH-1,\"Wren, Lane\",2026-06-12,,high,open,,side,grey,3,'=call\r\nTH-2,,2026-06-13,2026-06-20,usual,open,,side,grey,1,\r\n";
    let first = import(world, "", rows).await.json();
    assert_eq!((&first["new"], &first["unchanged"]), (&json!(2), &json!(0)), "{first}");
    let etag = world.get("/orders/TH-1").await.etag();
    assert_eq!(world.get("/orders/TH-1").await.json()["note"], "=call");
    let again = import(world, "", rows).await.json();
    assert_eq!((&again["new"], &again["changed"], &again["unchanged"]), (&json!(0), &json!(0), &json!(2)), "{again}");
    assert_eq!(world.get("/orders/TH-1").await.etag(), etag);
    let exported = world.get("/orders.csv").await;
    let numbered: Vec<String> = [",line,parts_agreed", ",1,no", ",2,no", ",1,no"].iter().zip(format!("{HEADER}{rows}").lines()).map(|(end, row)| format!("{row}{end}\r\n")).collect();
    assert_eq!((exported.header("content-type"), exported.text.clone()), (Some("text/csv; charset=utf-8"), numbered.concat()));
    let with_bom = world.get("/orders.csv?bom=1&decimal=,").await.text;
    assert!(with_bom.starts_with("\u{feff}order;customer;"), "{with_bom:.40}");
    let back = world.ask("POST", "/orders/import").body("text/csv", with_bom).send().await.json();
    assert_eq!(back["unchanged"], 2, "{back}");
    let changed = import(world, "", "TH-2,,2026-06-14,2026-06-20,usual,open,,side,grey,1,\r\n").await.json();
    assert_eq!(changed["changed"], 1, "{changed}");
    })
    .await;
}
