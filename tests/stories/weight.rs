//! What pages weigh on their way, compressed: the bench's and the office's pages load over a weak network too.

use chrono::{Days, NaiveDate};
use reqwest::Method;
use serde_json::json;
use stories::World;
use testkit::databases::TestDatabase;

#[tokio::test(flavor = "multi_thread")]
async fn pages_are_light() {
    let database = TestDatabase::sqlite();
    let world = World::new(database.migrated().await).await;
    world.plan().await;
    world.it_is("2026-03-02T06:00:00Z");
    world.work().await;
    pages_weigh_little(&world).await;
}

/// A workshop four times as large, with orders for four months.
#[tokio::test(flavor = "multi_thread")]
async fn pages_are_light_with_a_hundred_and_twenty_moulds_and_days() {
    let database = TestDatabase::sqlite();
    let world = World::new(database.migrated().await).await;
    grow(&world).await;
    world.plan().await;
    world.it_is("2026-03-02T06:00:00Z");
    world.work().await;
    let moulds =
        world.get("/mould-groups").await.as_array().unwrap().iter().filter_map(|g| g["moulds"].as_i64()).sum::<i64>();
    let page = world.text("/pages/plan").await;
    let days = page.matches("<article class=\"date").count();
    assert!(moulds >= 120 && days >= 120, "{moulds} moulds and {days} days");
    let at_work = page.matches("<dl class=\"work\">").count();
    assert!(at_work >= 60, "only {at_work} days have work on them");
    pages_weigh_little(&world).await;
}

/// Five times the moulds, room and hours; and orders to fill them, due over 125 days.
async fn grow(world: &World) {
    let mut site = world.get("/workshop").await;
    site["labour_minutes"] = 1_440.into();
    site["mixer_batches"] = 20.into();
    site["policy"]["horizon_days"] = 130.into();
    site["policy"]["evaluations"] = 20.into();
    assert_eq!(world.change("/workshop", &site.to_string()).await.status(), 200);
    for (path, fields) in [("/mould-groups", ["moulds"]), ("/tanks", ["rows"]), ("/racks", ["rows"])] {
        for mut one in world.get(path).await.as_array().unwrap().clone() {
            for field in fields {
                one[field] = (5 * one[field].as_i64().unwrap()).into();
            }
            if path != "/mould-groups" {
                one["row_names"] = json!([]);
            }
            let changed = world.change(&format!("{path}/{}", one["id"].as_str().unwrap()), &one.to_string()).await;
            assert_eq!(changed.status(), 200, "{path}: {}", changed.text().await.unwrap());
        }
    }
    let first: NaiveDate = "2026-03-07".parse().unwrap();
    for n in 0..120_u64 {
        let due = first + Days::new(n);
        let (set, finish) = (
            ["planter-450", "bed-900x600", "bed-1200x600", "edging-run"][n as usize % 4],
            ["grey", "charcoal", "stone"][n as usize % 3],
        );
        let order = json!({ "id": format!("MANY-{n}"), "due_on": due, "lines": [{ "set": set, "finish": finish, "quantity": 4 }] });
        let taken = world.send(Method::POST, "/orders", Some(&order.to_string())).await;
        assert_eq!(taken.status(), 201, "{order}");
    }
}

/// Holds each page, with its look and script, against the most it may weigh.
async fn pages_weigh_little(world: &World) {
    for (path, most) in [
        ("/", 150_000),
        ("/pages/plan", 300_000),
        ("/pages/stock", 300_000),
        ("/pages/mixes", 150_000),
        ("/pages/workshop", 150_000),
    ] {
        let mut bytes = 0;
        for part in [path, "/pages/look/pages.css", "/pages/look/pages.js"] {
            let asked = reqwest::Client::new().get(world.url(part)).header("Accept-Encoding", "gzip");
            let answer = asked.send().await.unwrap();
            assert_eq!(answer.headers()["content-encoding"], "gzip", "{part}");
            bytes += answer.bytes().await.unwrap().len();
        }
        eprintln!("{path}: {bytes} bytes with its look and script");
        assert!(bytes < most, "{path} weighs {bytes} bytes, more than {most}");
    }
}
