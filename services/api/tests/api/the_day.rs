//! From an asked-for plan to a mixed ticket: planning runs, the plan, tickets, day sheets, projections, proportions.

use serde_json::{Value, json};

use crate::planned::{in_force, issued, run_with_plan};
use crate::world::{World, revision};

async fn on_hand(world: &World, material: &str) -> i64 {
    let stock = world.get("/stock").await.json();
    stock.as_array().unwrap().iter().find(|m| m["material"] == material).unwrap()["on_hand"].as_i64().unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_is_asked_for_and_waits_for_a_worker() {
    World::furnished(async |world| {
        let asked =
            world.ask("POST", "/planning-runs").header("Idempotency-Key", "k").json(&json!({ "reason": "new orders" }));
        let asked = asked.send().await;
        assert_eq!(asked.status, 202, "{asked:?}");
        let again =
            world.ask("POST", "/planning-runs").header("Idempotency-Key", "k").json(&json!({ "reason": "new orders" }));
        assert_eq!(again.send().await.json(), asked.json(), "the same key asks for one plan");
        let path = asked.header("location").unwrap().to_owned();
        let run = world.get(&path).await;
        assert_eq!((&run.json()["state"], &run.json()["reason"]), (&json!("waiting"), &json!("new orders")));
        assert_eq!(world.get("/planning-runs").await.json().as_array().unwrap().len(), 1);
        let jobs = world.get("/jobs").await.json();
        assert_eq!(
            (&jobs[0]["kind"], &jobs[0]["key"]),
            (&json!("plan"), &json!(run.json()["id"].to_string())),
            "{jobs}"
        );
        for document in ["facts", "plan"] {
            assert_eq!(world.get(&format!("{path}/{document}")).await.status, 404, "{document}");
        }
        assert_eq!(world.get("/planning-runs/99").await.status, 404);
        assert_eq!(world.get("/planning-runs/99/plan").await.status, 404);
        assert_eq!(world.post("/planning-runs", &json!({ "why": "x" })).await.pointers(), ["/why"]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_finished_run_shows_its_documents() {
    World::furnished(async |world| {
        let run = run_with_plan(&world.store, 0).await;
        let facts = world.get(&format!("/planning-runs/{run}/facts")).await.json();
        assert_eq!(facts["format"], "mouldboard-facts/1");
        let plan = world.get(&format!("/planning-runs/{run}/plan")).await.json();
        assert_eq!((&plan["format"], &plan["pours"][0]["quantity"]), (&json!("mouldboard-plan/1"), &json!(2)));
        let shown = world.get(&format!("/planning-runs/{run}")).await.json();
        assert_eq!(shown["figures"]["order_days_late"], 4.0, "{shown}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_plan_in_force_says_what_is_late_and_why() {
    World::furnished(async |world| {
        for path in ["/plan", "/plan.csv"] {
            assert_eq!(world.get(path).await.status, 404, "{path}");
        }
        let run = in_force(&world.store).await;
        let plan = world.get("/plan").await.json();
        assert_eq!(plan["run"], run.get());
        assert_eq!(plan["late"][0]["cause"], "moulds", "{plan}");
        assert_eq!(plan["proof"]["gap"], 0.25);
        assert_eq!(
            plan["deliveries"][0],
            json!({ "arrives_on": "2026-05-06", "material": "cement", "quantity_packs": 1 })
        );
        let csv = world.get("/plan.csv?decimal=,&shared_by=calendar").await;
        assert_eq!(csv.text.lines().next(), Some("day;task;panel;mix;quantity_panels;tank;rack"), "{csv:?}");
        assert_eq!(csv.text.lines().nth(2), Some("2026-05-06;strip;side;plain@1;2;north;"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_person_puts_a_waiting_plan_in_force() {
    World::furnished(async |world| {
        let first = run_with_plan(&world.store, 0).await;
        let put = |run: Value| world.ask("PUT", "/plan").json(&json!({ "run": run }));
        assert_eq!(put(json!(99)).send().await.pointers(), ["/run"]);
        let taken = put(json!(first.get())).send().await;
        assert_eq!((taken.status, &taken.json()["run"]), (200, &json!(first.get())), "{taken:?}");
        let second = run_with_plan(&world.store, 10).await;
        assert_eq!(put(json!(second.get())).send().await.status, 428);
        let stale = put(json!(second.get())).header("If-Match", "\"1-00000000\"").send().await;
        assert_eq!((stale.status, &stale.problem()["current"]["run"]), (412, &json!(first.get())));
        let taken = put(json!(second.get())).header("If-Match", &world.get("/plan").await.etag()).send().await;
        assert_eq!(taken.status, 200, "{taken:?}");
        // The first run's facts are the older ones now, and a run that is still waiting has no plan.
        let back = put(json!(first.get())).header("If-Match", &taken.etag()).send().await;
        assert_eq!(back.status, 409, "{back:?}");
        let waiting = world.make("/planning-runs", &json!({})).await.json()["id"].clone();
        assert_eq!(put(waiting).header("If-Match", &taken.etag()).send().await.status, 409);
        assert_eq!(world.get("/plan").await.json()["run"], second.get());
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn tickets_come_as_json_and_as_csv() {
    World::furnished(async |world| {
        assert_eq!(world.get("/days/today/tickets").await.json(), json!([]));
        assert_eq!(world.get("/days/today/tickets.csv").await.text.lines().count(), 1, "the header alone");
        issued(&world.store).await;
        let tickets = world.get("/days/today/tickets").await.json();
        assert_eq!(tickets.as_array().map(Vec::len), Some(2), "{tickets}");
        assert_eq!(tickets[0]["lines"][1], json!({
            "position": 2, "kind": "ingredient", "material": "cement", "mass_g": 4130, "unit": "gram", "target": 4130,
            "actual": null, "drawn_from_stock": true,
        }));
        assert_eq!(world.get("/days/2026-05-04/tickets").await.json(), tickets);
        assert_eq!(world.get("/days/2026-05-05/tickets").await.json(), json!([]));
        let by_path = world.get("/days/today/tickets.csv").await;
        assert_eq!(by_path.header("content-type"), Some("text/csv; charset=utf-8"));
        assert_eq!(by_path.text.lines().count(), 1 + 2 * 3);
        let by_accept = world.ask("GET", "/days/today/tickets").header("Accept", "text/csv").send().await;
        assert_eq!(by_accept.text, by_path.text);
        assert_eq!(by_accept.header("content-type"), Some("text/csv; charset=utf-8"));
        let json_first = world.ask("GET", "/days/today/tickets").header("Accept", "application/json, text/csv").send().await;
        assert_eq!(json_first.json(), tickets);
        let with_bom = world.get("/days/today/tickets.csv?bom=1&decimal=,").await.text;
        assert!(with_bom.starts_with("\u{feff}ticket;day;"), "{with_bom}");
        assert!(with_bom.contains(";10,800;1,000;"), "{with_bom}");
        let one = world.get("/tickets/2026-05-04-02").await;
        assert_eq!(one.json(), tickets[1]);
        let known = world.ask("GET", "/tickets/2026-05-04-02").header("If-None-Match", &one.etag()).send().await;
        assert_eq!(known.status, 304);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn days_and_tickets_that_are_none_say_so() {
    World::furnished(async |world| {
        for (path, status, pointer) in [
            ("/days/tomorrow/tickets", 400, Some("/path/day")),
            ("/days/2026-13-01/tickets.csv", 400, Some("/path/day")),
            ("/days/2026-02-30/sheet", 400, Some("/path/day")),
            ("/tickets/7", 400, Some("/path/number")),
            ("/tickets/2026-05-04-1", 400, Some("/path/number")),
            ("/tickets/2026-05-04-01", 404, None),
            ("/days/today/tickets?colour=red", 400, Some("/query/colour")),
        ] {
            let answer = world.get(path).await;
            assert_eq!(answer.status, status, "{path}: {answer:?}");
            assert_eq!(answer.pointers().first().map(String::as_str), pointer, "{path}");
        }
        let nothing = world.post("/tickets/2026-05-04-01/completion", &json!({})).await;
        assert_eq!(nothing.status, 404, "{nothing:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_completed_ticket_draws_stock_and_fills_moulds_once() {
    World::furnished(async |world| {
        issued(&world.store).await;
        for material in ["cement", "sand"] {
            world.make("/stock/entries", &json!({ "material": material, "kind": "received", "amount": 100000 })).await;
        }
        let said = json!({ "lines": [{ "position": 2, "actual": 4200 }], "measured_wet_density_kg_m3": 2310.0 });
        let done = world.make("/tickets/2026-05-04-01/completion", &said).await.json();
        assert_eq!(done["ticket"]["state"], "mixed");
        assert_eq!(done["ticket"]["lines"][1]["actual"], 4200);
        assert_eq!(done["ticket"]["lines"][2]["actual"], 20060);
        assert_eq!(
            (&done["lots"][0]["quantity"], &done["lots"][0]["stage"]),
            (&json!(1), &json!("in_mould")),
            "{done}"
        );
        assert!(done["warnings"][0].as_str().unwrap().contains("2310"), "{done}");
        assert_eq!((on_hand(world, "cement").await, on_hand(world, "sand").await), (95_800, 79_940));
        let again = world.make("/tickets/2026-05-04-01/completion", &said).await.json();
        assert_eq!(again, done, "its warnings too");
        let other = world.post("/tickets/2026-05-04-01/completion", &json!({})).await;
        assert_eq!(other.status, 409, "{other:?}");
        assert_eq!(on_hand(world, "cement").await, 95_800);
        assert_eq!(world.get("/lots").await.json().as_array().map(Vec::len), Some(1));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_used_is_drawn_even_where_the_ledger_did_not_know_of_it() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let done = world.make("/tickets/2026-05-04-02/completion", &json!({})).await.json();
        let warnings: Vec<&str> = done["warnings"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        assert_eq!(warnings.len(), 2, "{warnings:?}");
        assert!(warnings[0].starts_with("cement is now 4130 g below nothing"), "{warnings:?}");
        assert_eq!(on_hand(world, "cement").await, -4130);
        let again = world.make("/tickets/2026-05-04-02/completion", &json!({})).await.json();
        assert_eq!(again, done, "sent again it is the same answer");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn completions_with_faults_change_nothing() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let cases = [
            (json!({ "lines": [{ "position": 9, "actual": 5 }] }), "/lines/9"),
            (json!({ "lines": [{ "position": 2, "actual": -5 }] }), "/lines/0/actual"),
            (json!({ "lines": [{ "position": 2, "actual": 1.5 }] }), "/lines/0/actual"),
            (json!({ "lines": [{ "position": 2, "actual": 1 }, { "position": 2, "actual": 2 }] }), "/lines/1/position"),
            (json!({ "measured_wet_density_kg_m3": 9 }), "/measured_wet_density_kg_m3"),
            (json!({ "density": 9 }), "/density"),
        ];
        for (body, pointer) in cases {
            let answer = world.post("/tickets/2026-05-04-01/completion", &body).await;
            assert_eq!((answer.status, answer.pointers()), (422, vec![pointer.to_owned()]), "{body}");
        }
        assert_eq!(world.get("/tickets/2026-05-04-01").await.json()["state"], "issued");
        assert_eq!(on_hand(world, "cement").await, 0);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn voiding_counters_the_draws_and_takes_the_panels_back() {
    World::furnished(async |world| {
        issued(&world.store).await;
        world.make("/tickets/2026-05-04-01/completion", &json!({})).await;
        assert_eq!(world.post("/tickets/2026-05-04-01/void", &json!({})).await.pointers(), ["/reason"]);
        let void = world.make("/tickets/2026-05-04-01/void", &json!({ "reason": "lumps" })).await.json();
        assert_eq!((&void["state"], &void["note"]), (&json!("void"), &json!("lumps")));
        assert_eq!((on_hand(world, "cement").await, on_hand(world, "sand").await), (0, 0));
        let lots = world.get("/lots").await.json();
        assert!(lots.as_array().unwrap().iter().all(|l| l["quantity"] == 0), "{lots}");
        world.make("/tickets/2026-05-04-01/void", &json!({ "reason": "lumps" })).await;
        assert_eq!(world.get("/stock/entries").await.json().as_array().map(Vec::len), Some(4), "countered once");
        assert_eq!(world.post("/tickets/2026-05-04-01/completion", &json!({})).await.status, 409);
        let never_mixed = world.make("/tickets/2026-05-04-02/void", &json!({ "reason": "rain" })).await.json();
        assert_eq!(never_mixed["state"], "void");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn panels_that_have_gone_on_keep_their_ticket() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let lot = world.make("/tickets/2026-05-04-01/completion", &json!({})).await.json()["lots"][0]["id"].clone();
        let path = format!("/lots/{lot}");
        let moved = json!({ "to": "soaking", "quantity": 1, "tank": "north" });
        let etag = world.get(&path).await.etag();
        let moved = world.ask("POST", &format!("{path}/moves")).header("If-Match", &etag).json(&moved).send().await;
        assert!((200..300).contains(&moved.status), "{moved:?}");
        let void = world.post("/tickets/2026-05-04-01/void", &json!({ "reason": "lumps" })).await;
        assert_eq!(void.status, 409, "{void:?}");
        assert_eq!(on_hand(world, "cement").await, -4130, "nothing is countered");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_day_sheet_follows_the_plan_and_what_was_done() {
    World::furnished(async |world| {
        let empty = world.get("/days/today/sheet").await.json();
        assert_eq!((&empty["run"], &empty["issued"], &empty["tickets"]), (&Value::Null, &json!(false), &json!([])));
        let run = issued(&world.store).await;
        let monday = world.get("/days/today/sheet").await.json();
        assert_eq!((&monday["run"], &monday["issued"]), (&json!(run.get()), &json!(true)), "{monday}");
        assert_eq!(monday["tickets"][1]["moulds_filled"], "side ×1");
        assert_eq!(monday["labour_minutes"], 102.0);
        let wednesday = world.get("/days/2026-05-06/sheet").await.json();
        assert_eq!(wednesday["issued"], false);
        assert_eq!(wednesday["pours"][0]["quantity_panels"], 2, "{wednesday}");
        assert_eq!(
            (&wednesday["strips"][0]["quantity_panels"], &wednesday["strips"][0]["tank"]),
            (&json!(2), &json!("north"))
        );
        assert_eq!(wednesday["deliveries"][0]["delivery"], Value::Null);
        // 2 strips, 2 pours, a batch and its washout.
        assert_eq!(wednesday["labour_minutes"], 10.0 + 12.0 + 25.0 + 20.0);
        let csv = world.get("/days/2026-05-06/sheet.csv").await.text;
        assert!(csv.contains("2026-05-06,strip,side,plain@1,2,0,,,north,,"), "{csv}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn projections_say_when_to_order() {
    World::furnished(async |world| {
        let unplanned = world.get("/stock/projection?material=cement").await.json();
        assert_eq!(unplanned[0]["sentence"], "cement is not used by the plan.", "{unplanned}");
        issued(&world.store).await;
        world.make("/stock/entries", &json!({ "material": "cement", "kind": "received", "amount": 10000 })).await;
        let cement = world.get("/stock/projection?material=cement").await.json()[0].clone();
        // Today the two tickets draw 8,260 g; on Wednesday 350 g × 22.6 L are planned.
        assert_eq!((&cement["days"][0]["used"], &cement["days"][2]["used"]), (&json!(8260), &json!(7910)), "{}", cement["days"]);
        assert_eq!((&cement["first_short_day"], &cement["quantity_to_order_packs"]), (&json!("2026-05-06"), &json!(1)));
        let late = "cement lasts to Tuesday 5 May; order 1 pack at once: it is needed on Wednesday 6 May and cannot be here before Thursday 7 May.";
        assert_eq!(cement["sentence"], late);
        world.make("/tickets/2026-05-04-01/completion", &json!({})).await;
        let after = world.get("/stock/projection?material=cement").await.json()[0].clone();
        assert_eq!(after["days"][0]["used"], 4130, "one ticket is mixed");
        assert_eq!(after["days"][0]["on_hand"], cement["days"][0]["on_hand"], "and nothing is drawn twice");
        let all = world.get("/stock/projection").await.json();
        assert_eq!(all.as_array().map(Vec::len), Some(3), "cement, sand and pins; not the main's water");
        for (path, status) in [("/stock/projection?material=water", 404), ("/stock/projection?material=no%20one", 400)] {
            assert_eq!(world.get(path).await.status, status, "{path}");
        }
        let csv = world.get("/stock/projection.csv?material=cement").await.text;
        assert!(csv.lines().nth(1).unwrap().starts_with("cement,g,2026-05-04,4130,0,0,"), "{csv}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn proportions_and_loads_come_from_the_mix_library() {
    World::furnished(async |world| {
        // 350 / 3.15 + 1700 / 2.65 + 175 litres and 2 % of air are less than a cubic metre: too heavy for its own limits.
        let short = world.get("/mixes/plain/revisions/1/proportions").await;
        assert_eq!((short.status, short.pointers()), (422, vec!["/target".to_owned()]), "{short:?}");
        let mut revision = revision(2);
        revision["ingredients"][1]["kg_m3"] = json!(1838.8);
        for (field, kg_m3) in [("low_", 2310.0), ("", 2364.0), ("high_", 2410.0)] {
            revision[format!("wet_density_{field}kg_m3")] = json!(kg_m3);
        }
        world.make("/mixes/plain/revisions", &revision).await;
        let found = world.get("/mixes/plain/revisions/2/proportions").await.json();
        assert_eq!(found["ingredients"][0]["material"], "cement", "{found}");
        let yielded = found["yield_l"].as_f64().unwrap();
        assert!((yielded - (111.111 + 693.887 + 175.0) / 0.98).abs() < 0.01, "{yielded}");
        assert!(found["worked"].as_array().is_some_and(|w| w.len() > 5));
        let sheet = world.get("/mixes/plain/revisions/2/batch?litres=21.6").await.json();
        assert_eq!(sheet["volume_l"], 21.6);
        let cement = &sheet["lines"][0];
        assert_eq!(cement["mass_g"].as_i64().map(|g| g % 5), Some(0), "the scale shows steps of 5 g: {cement}");
        for (path, status) in [
            ("/mixes/plain/revisions/3/proportions", 404),
            ("/mixes/none/revisions/1/proportions", 404),
            ("/mixes/plain/revisions/2/batch", 400),
            ("/mixes/plain/revisions/2/batch?litres=0", 400),
            ("/mixes/plain/revisions/2/batch?litres=much", 400),
        ] {
            assert_eq!(world.get(path).await.status, status, "{path}");
        }
    })
    .await;
}
