//! Upkeep tasks, who said what, rows by their names, what was noted at the mixer, deliveries in two parts.

use serde_json::{Value, json};

use crate::planned::issued;
use crate::world::World;

fn task() -> Value {
    json!({
        "id": "water", "name": "Temperature of the water", "tank": "north", "every_days": 2, "first_on": "2026-05-04", "labour_minutes": 3,
        "measures": { "what": "temperature of the water", "unit": "°C", "low": 10.0 },
    })
}

/// The first tokens of an office and of a bench.
async fn tokens(world: &World) -> (String, String) {
    let office = world.post("/tokens", &json!({ "name": "the office", "role": "office" })).await.json();
    let office = office["token"].as_str().unwrap().to_owned();
    let asked = world.ask("POST", "/tokens").token(&office).json(&json!({ "name": "bench tablet", "role": "bench" }));
    let bench = asked.send().await.json()["token"].as_str().unwrap().to_owned();
    (office, bench)
}

#[tokio::test(flavor = "multi_thread")]
async fn an_upkeep_task_is_due_said_to_be_done_and_due_again() {
    World::furnished(async |world| {
        world.make("/upkeep-tasks", &task()).await;
        let (office, bench) = tokens(world).await;
        let sheet = async |day: &str| world.ask("GET", &format!("/days/{day}/sheet")).token(&bench).send().await.json();
        let monday = sheet("today").await;
        let due = &monday["upkeep"][0];
        assert_eq!(
            (&due["task"], &due["progress"], &due["tank"]),
            (&json!("water"), &json!("to_do"), &json!("north")),
            "{monday}"
        );
        assert_eq!(monday["labour_minutes"], 3.0);
        assert_eq!(sheet("2026-05-05").await["upkeep"], json!([]));
        assert_eq!(sheet("2026-05-06").await["upkeep"][0]["due_on"], "2026-05-06");
        let say = async |day: &str, body: Value| {
            world.ask("POST", &format!("/days/{day}/upkeep")).token(&bench).json(&body).send().await
        };
        let refused = [
            ("today", json!({ "task": "water", "done": true }), vec!["/value"]),
            ("today", json!({ "task": "weeds", "done": true }), vec!["/task"]),
            ("2026-05-05", json!({ "task": "water", "done": true, "value": 9 }), vec!["/path/day"]),
            ("today", json!({ "done": true, "valve": 3 }), vec!["/task", "/valve"]),
        ];
        for (day, body, pointers) in refused {
            let answer = say(day, body.clone()).await;
            assert_eq!(
                (answer.status, answer.pointers()),
                (422, pointers.iter().map(ToString::to_string).collect()),
                "{body}"
            );
        }
        let said = say("today", json!({ "task": "water", "done": true, "value": 8.5 })).await.json();
        assert_eq!((&said["by"], &said["done"]), (&json!("bench tablet"), &json!(true)), "{said}");
        assert_eq!(said["remark"], "temperature of the water is 8.5 °C, below 10 °C: see to it today");
        let again = say("today", json!({ "task": "water", "done": true, "value": 8.5 })).await;
        assert_eq!(again.status, 200, "{again:?}");
        let done = sheet("today").await["upkeep"][0].clone();
        assert_eq!(
            (&done["progress"], &done["value"], &done["by"]),
            (&json!("done"), &json!(8.5), &json!("bench tablet"))
        );
        say("today", json!({ "task": "water", "done": false, "note": "the thermometer was wrong" })).await;
        assert_eq!(sheet("today").await["upkeep"][0]["progress"], "not_done");
        let all = world.ask("GET", "/upkeep-tasks/water/reports?limit=1").token(&bench).send().await;
        assert!(all.header("link").is_some_and(|link| link.contains("next")), "{all:?}");
        let all = world.ask("GET", "/upkeep-tasks/water/reports").token(&bench).send().await.json();
        assert_eq!(all.as_array().map(Vec::len), Some(2), "the same again is not written twice: {all}");
        let path = "/upkeep-tasks/water";
        let etag = world.ask("GET", path).token(&office).send().await.etag();
        let kept = world.ask("DELETE", path).token(&office).header("If-Match", &etag).send().await;
        assert_eq!(kept.status, 409, "what was said of it is kept: {kept:?}");
        let csv = world.ask("GET", "/days/today/sheet.csv").token(&bench).send().await.text;
        assert!(csv.contains("2026-05-04,upkeep,water,,,,,,north,,"), "{csv}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_did_it_stands_beside_it() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let lot = json!({ "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "in_mould", "since": "2026-04-28", "quantity": 6 });
        let path = world.make("/lots", &lot).await.header("location").unwrap().to_owned();
        world.make("/scrap-causes", &json!({ "id": "dropped", "name": "Dropped" })).await;
        let (_, bench) = tokens(world).await;
        let post = async |path: &str, body: Value| {
            let answer = world.ask("POST", path).token(&bench).json(&body).send().await;
            assert!((200..300).contains(&answer.status), "{path}: {answer:?}");
            answer.json()
        };
        let step = json!({ "to": "soaking", "quantity": 4, "tank": "north", "row": "by the door" });
        assert_eq!(post(&format!("{path}/moves"), step).await["row"], "by the door");
        let lost = post(&format!("{path}/scrap"), json!({ "quantity": 1, "cause": "dropped" })).await;
        assert_eq!(lost["losses"][0]["by"], "bench tablet", "{lost}");
        let noted = json!({ "mix_c": 11.0, "left_over_ml": 900, "left_over_to": "a paving stone", "began_at": "2026-05-04T07:00:00Z" });
        let mixed = post("/tickets/2026-05-04-01/completion", noted.clone()).await;
        assert_eq!((&mixed["ticket"]["mixing"]["by"], &mixed["ticket"]["mixing"]["mix_c"]), (&json!("bench tablet"), &json!(11.0)));
        assert!(mixed["warnings"][0].as_str().unwrap().contains("below 13 °C"), "{mixed}");
        assert_eq!(post("/tickets/2026-05-04-01/completion", noted).await["ticket"], mixed["ticket"], "said again it is the same");
        let entries = world.ask("GET", "/stock/entries").token(&bench).send().await.json();
        assert_eq!((&entries[0]["kind"], &entries[0]["by"]), (&json!("drawn"), &json!("bench tablet")), "{entries}");
        let sheet = world.ask("GET", "/days/today/sheet").token(&bench).send().await.json();
        assert_eq!((&sheet["tickets"][0]["progress"], &sheet["tickets"][0]["by"]), (&json!("done"), &json!("bench tablet")));
        assert_eq!(sheet["tickets"][1]["progress"], "to_do");
        let csv = world.ask("GET", "/days/today/tickets.csv").token(&bench).send().await.text;
        assert!(csv.contains("bench tablet,,11.0,,900,a paving stone,2026-05-04T07:00:00Z,"), "{csv}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn rows_are_those_of_the_place() {
    World::furnished(async |world| {
        let lot = json!({ "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "soaking", "since": "2026-04-28", "quantity": 6, "tank": "north" });
        let with = |row: &str| {
            let mut lot = lot.clone();
            lot["row"] = json!(row);
            lot
        };
        let path = world.make("/lots", &with("middle")).await.header("location").unwrap().to_owned();
        let elsewhere = world.post("/lots", &with("attic")).await;
        assert_eq!(elsewhere.pointers(), ["/row"], "{elsewhere:?}");
        assert!(elsewhere.text.contains("by the door, middle, by the wall"), "{elsewhere:?}");
        // The long rack's rows have no names: their numbers do.
        let step = |row: &str| json!({ "to": "drying", "quantity": 6, "rack": "long", "row": row });
        assert_eq!(world.post(&format!("{path}/moves"), &step("5")).await.pointers(), ["/row"]);
        assert_eq!(world.make(&format!("{path}/moves"), &step("4")).await.json()["row"], "4");
        let short = world.change("/tanks/north", |tank| tank["row_names"] = json!(["one", "one"])).await;
        assert_eq!(short.pointers(), ["/row_names", "/row_names/1"], "{short:?}");
        assert!(world.get("/lots.csv").await.text.lines().nth(2).unwrap().ends_with(",long,4"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_delivery_that_comes_in_part_leaves_the_rest_on_its_way() {
    World::furnished(async |world| {
        let made =
            world.make("/deliveries", &json!({ "material": "cement", "packs": 4, "expected_on": "2026-05-04" })).await;
        let path = made.header("location").unwrap().to_owned();
        let arrival = |received: i64, rest: &str| json!({ "received": received, "rest_expected_on": rest });
        for (body, pointers) in [
            (arrival(100_000, "2026-05-08"), vec!["/rest_expected_on"]),
            (arrival(60_000, "2026-05-01"), vec!["/rest_expected_on"]),
        ] {
            assert_eq!(world.post(&format!("{path}/arrival"), &body).await.pointers(), pointers, "{body}");
        }
        // A bag and a half are missing: two bags are still to come.
        let key = "part";
        let ask = || world.ask("POST", &format!("{path}/arrival")).header("Idempotency-Key", key);
        let here = ask().json(&arrival(62_500, "2026-05-08")).send().await.json();
        assert_eq!((&here["state"], &here["received"]), (&json!("here"), &json!(62_500)), "{here}");
        assert_eq!(ask().json(&arrival(62_500, "2026-05-08")).send().await.json(), here);
        let rest = world.get("/deliveries?state=on_its_way").await.json();
        assert_eq!(rest.as_array().map(Vec::len), Some(1), "{rest}");
        let entries = async || {
            let entries = world.get("/stock/entries?material=cement").await.json();
            let amounts: Vec<i64> = entries.as_array().unwrap().iter().map(|e| e["amount"].as_i64().unwrap()).collect();
            amounts
        };
        assert_eq!(entries().await, [62_500], "once, and what came, not what was ordered");
        assert_eq!((&rest[0]["packs"], &rest[0]["expected_on"]), (&json!(2), &json!("2026-05-08")));
        assert_eq!(rest[0]["rest_of"], here["id"]);
        let sheet = world.get("/days/today/sheet").await.json();
        assert_eq!(
            (&sheet["deliveries"][0]["progress"], &sheet["deliveries"][0]["received"]),
            (&json!("partly_done"), &json!(62_500)),
            "{sheet}"
        );
        // The material comes in other bags from now on; the two that are still to come are of the old ones.
        world.change("/materials/cement", |m| m["pack"] = json!(40_000)).await;
        let later = format!("/deliveries/{}", rest[0]["id"]);
        assert_eq!(world.get(&later).await.json()["pack"], 25_000);
        let rest = world
            .make(&format!("{later}/arrival"), &json!({ "received": 25_000, "rest_expected_on": "2026-05-11" }))
            .await;
        assert_eq!(rest.json()["received"], 25_000, "{rest:?}");
        assert_eq!(entries().await, [62_500, 25_000]);
        let later = world.get("/deliveries?state=on_its_way").await.json();
        assert_eq!((&later[0]["packs"], &later[0]["pack"]), (&json!(1), &json!(25_000)), "{later}");
        let later = format!("/deliveries/{}", later[0]["id"]);
        let gone = world.ask("DELETE", &later).header("If-Match", &world.get(&later).await.etag()).send().await;
        assert_eq!(gone.status, 204, "{gone:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn cold_water_keeps_panels_in_their_tank_and_says_so() {
    World::furnished(async |world| {
        world.make("/upkeep-tasks", &task()).await;
        let lot = json!({ "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "soaking", "since": "2026-05-02", "quantity": 6, "tank": "north" });
        let lot = world.make("/lots", &lot).await.json()["id"].clone();
        let newest = async || {
            let tx = world.store.read().await.unwrap();
            store::marks::newest(&tx).await.unwrap().map(|mark| (mark.id, mark.detail)).unwrap()
        };
        let say = async |water_c: f64| world.make("/days/today/upkeep", &json!({ "task": "water", "done": true, "value": water_c })).await;
        let before = newest().await;
        say(21.0).await;
        assert_eq!(newest().await, before, "warm water moves nothing");
        assert_eq!(world.get("/days/today/sheet").await.json()["slow"], json!([]));
        say(10.0).await;
        let marked = newest().await;
        assert_eq!(marked.1, "the water of 'north' is 10 °C: 6 panels may be lifted on another day, the last on 2026-05-15");
        // Two days of seven before it was measured, then five times 11/5 of a day.
        let slow = world.get("/days/today/sheet").await.json()["slow"].clone();
        assert_eq!(
            slow,
            json!([{ "tank": "north", "panel": "side", "revision": "plain@1", "quantity_panels": 6, "usually_on": "2026-05-09",
                "lifted_from": "2026-05-15", "water_c": 10.0, "measured_on": "2026-05-04" }])
        );
        assert_eq!(world.get(&format!("/lots/{lot}/tag")).await.json()["out_on"], "2026-05-15");
        assert!(world.get("/days/today/sheet.csv").await.text.contains(",soak,side,plain@1,6,"));
        say(10.0).await;
        assert_eq!(newest().await, marked, "the same again is nothing new");

        let steps = world.get("/workshop").await.json()["soaking"].clone();
        assert_eq!(steps[2], json!({ "water_c": 10.0, "least_days": 11 }), "common practice until somebody changes it");
        let bad = json!([{ "water_c": 20, "least_days": 5 }, { "water_c": 20, "least_days": 5 }, { "water_c": 10, "least_days": 4 }]);
        let refused = world.change("/workshop", |w| w["soaking"] = bad).await;
        assert_eq!(refused.pointers(), ["/soaking/1/water_c", "/soaking/2/least_days"], "{refused:?}");
        let all_alike = json!([{ "water_c": 20.0, "least_days": 5 }]);
        assert_eq!(world.change("/workshop", |w| w["soaking"] = all_alike.clone()).await.status, 200);
        assert_eq!(world.get("/days/today/sheet").await.json()["slow"], json!([]));
        let older = world.change("/workshop", |w| drop(w.as_object_mut().unwrap().remove("soaking"))).await;
        assert_eq!((older.status, &older.json()["soaking"]), (200, &all_alike), "who does not know of it leaves it as it is");
    })
    .await;
}
