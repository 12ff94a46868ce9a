//! A table of bad bodies for each resource: every row is refused with 422, pointing at exactly these places.

use serde_json::{Value, json};

use crate::world::{World, furniture, material, order, panel, revision};

/// The body with some members changed; null takes a member out where `drop` is set by the name's `-`.
fn but(mut body: Value, changes: Value) -> Value {
    for (name, change) in changes.as_object().unwrap() {
        match name.strip_prefix('-') {
            Some(name) => drop(body.as_object_mut().unwrap().remove(name)),
            None => body[name] = change.clone(),
        }
    }
    body
}

fn cement() -> Value {
    material("new", "portland_cement", 3.15)
}

fn group() -> Value {
    json!({ "id": "ends", "name": "End moulds", "moulds": 4, "turnaround_days": 1 })
}

fn tank() -> Value {
    json!({ "id": "south", "name": "South tank", "rows": 3, "usable_row_mm": 2400, "depth_mm": 600, "width_mm": 3000 })
}

fn set() -> Value {
    json!({ "id": "tall", "name": "Tall bed", "panels": [{ "panel": "side", "quantity": 8 }] })
}

fn entry() -> Value {
    json!({ "material": "cement", "kind": "received", "amount": 100 })
}

fn lot() -> Value {
    json!({ "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "soaking", "since": "2026-04-29", "quantity": 6, "tank": "north" })
}

fn pin() -> Value {
    json!({ "day": "2026-05-08", "panel": "side", "revision": "plain@1", "quantity": 4, "reason": "shown to visitors" })
}

fn rows() -> Vec<(&'static str, Value, Vec<&'static str>)> {
    let lines = |line: Value| json!({ "lines": [line] });
    vec![
        ("/finishes", json!({ "id": "x", "name": " " }), vec!["/name"]),
        ("/finishes", json!({ "id": "-x", "name": "X" }), vec!["/id"]),
        ("/finishes", json!({ "id": "x", "name": "a\u{0}b" }), vec!["/name"]),
        ("/materials", but(cement(), json!({ "-relative_density": 0 })), vec!["/relative_density"]),
        ("/materials", but(cement(), json!({ "unit": "piece" })), vec!["/unit"]),
        ("/materials", but(cement(), json!({ "pack": 0, "lead_days": 366 })), vec!["/lead_days", "/pack"]),
        ("/materials", but(cement(), json!({ "store_max": 10000, "floor": 20000 })), vec!["/floor", "/store_max"]),
        (
            "/materials",
            but(
                cement(),
                json!({ "price_breaks": [{ "from_packs": 10, "pack_price_minor": 400 }, { "from_packs": 10, "pack_price_minor": 450 }] }),
            ),
            vec!["/price_breaks/1/from_packs", "/price_breaks/1/pack_price_minor"],
        ),
        ("/mixes", json!({ "id": "new", "name": "New", "finish": "pink" }), vec!["/finish"]),
        (
            "/mixes/plain/revisions",
            revision(1).as_object().map(|_| but(revision(2), json!({ "id": "other@2" }))).unwrap(),
            vec!["/id"],
        ),
        ("/mixes/plain/revisions", but(revision(2), json!({ "id": "plain" })), vec!["/id"]),
        (
            "/mixes/plain/revisions",
            but(revision(2), json!({ "-reason": 0, "batch_max_ml": 5000, "wet_density_low_kg_m3": 2260.0 })),
            vec!["/batch_max_ml", "/reason", "/wet_density_low_kg_m3"],
        ),
        (
            "/mixes/plain/revisions",
            but(
                revision(2),
                json!({ "hold_hours_at_20c": 0, "ingredients": [{ "material": "cement", "kg_m3": 0 }, { "material": "cement", "kg_m3": 1 }] }),
            ),
            vec!["/hold_hours_at_20c", "/ingredients/0/kg_m3", "/ingredients/1/material"],
        ),
        (
            "/mixes/plain/revisions",
            but(
                revision(2),
                json!({ "foam": { "concentrate": "soap", "density_kg_m3": 45, "dilution": 30, "water_counted": true } }),
            ),
            vec!["/foam/concentrate"],
        ),
        (
            "/mould-groups",
            but(group(), json!({ "moulds": -1, "turnaround_days": 2 })),
            vec!["/moulds", "/turnaround_days"],
        ),
        (
            "/mould-groups",
            but(
                group(),
                json!({ "out_of_service": [{ "from": "2026-05-09", "to": "2026-05-08", "moulds": 5, "reason": "hinges" }] }),
            ),
            vec!["/out_of_service/0/moulds", "/out_of_service/0/to"],
        ),
        ("/tanks", but(tank(), json!({ "rows": 1.5 })), vec!["/rows"]),
        ("/racks", json!({ "id": "x", "name": "X", "rows": 1, "usable_row_mm": -1 }), vec!["/usable_row_mm"]),
        ("/panels", but(panel("end"), json!({ "voids_ml": 10800 })), vec!["/voids_ml"]),
        (
            "/panels",
            but(
                panel("end"),
                json!({ "mould_group": "none", "suits": [{ "revision": "plain@9", "reason": "hope" }], "tanks": ["pond"] }),
            ),
            vec!["/mould_group", "/suits/0/revision", "/tanks/0"],
        ),
        (
            "/panels",
            but(
                panel("end"),
                json!({ "pass_rate": 0, "per_panel": [{ "material": "cement", "amount": 1 }, { "material": "cement", "amount": 1 }] }),
            ),
            vec!["/pass_rate", "/per_panel/1/material"],
        ),
        ("/sets", but(set(), json!({ "panels": [] })), vec!["/panels"]),
        (
            "/sets",
            but(set(), json!({ "panels": [{ "panel": "side", "quantity": 1 }, { "panel": "side", "quantity": 1 }] })),
            vec!["/panels/1/panel"],
        ),
        ("/sets", but(set(), json!({ "panels": [{ "panel": "lid", "quantity": 1 }] })), vec!["/panels/0/panel"]),
        (
            "/orders",
            but(order("N"), lines(json!({ "set": "bed", "finish": "grey", "quantity": 0 }))),
            vec!["/lines/0/quantity"],
        ),
        (
            "/orders",
            but(order("N"), lines(json!({ "set": "bed", "finish": "grey", "quantity": 2.5 }))),
            vec!["/lines/0/quantity"],
        ),
        (
            "/orders",
            but(order("N"), lines(json!({ "set": "shed", "finish": "grey", "quantity": 1 }))),
            vec!["/lines/0/set"],
        ),
        (
            "/orders",
            but(order("N"), lines(json!({ "panel": "lid", "finish": "pink", "quantity": 1 }))),
            vec!["/lines/0/finish", "/lines/0/panel"],
        ),
        (
            "/orders",
            but(order("N"), lines(json!({ "set": "bed", "panel": "side", "finish": "grey", "quantity": 1 }))),
            vec!["/lines/0/panel"],
        ),
        ("/orders", but(order("N"), lines(json!({ "finish": "grey", "quantity": 1 }))), vec!["/lines/0/set"]),
        (
            "/orders",
            but(order("N"), lines(json!({ "set": "bed", "finish": "slate", "quantity": 1 }))),
            vec!["/lines/0/finish"],
        ),
        ("/orders", but(order("N"), json!({ "due_on": "2026-05-03" })), vec!["/due_on"]),
        ("/orders", but(order("N"), json!({ "lines": [], "priority": "urgent" })), vec!["/lines", "/priority"]),
        ("/stock/entries", but(entry(), json!({ "amount": 0 })), vec!["/amount"]),
        ("/stock/entries", but(entry(), json!({ "kind": "written_off" })), vec!["/amount"]),
        ("/stock/entries", but(entry(), json!({ "kind": "adjusted" })), vec!["/note"]),
        ("/stock/entries", but(entry(), json!({ "kind": "counted" })), vec!["/amount", "/counted"]),
        ("/stock/entries", but(entry(), json!({ "kind": "drawn" })), vec!["/kind"]),
        ("/stock/entries", but(entry(), json!({ "material": "water" })), vec!["/material"]),
        ("/stock/entries", but(entry(), json!({ "material": "gold" })), vec!["/material"]),
        ("/stock/entries", but(entry(), json!({ "day": "2026-05-05" })), vec!["/day"]),
        ("/deliveries", json!({ "material": "water", "packs": 0, "expected_on": "2026-05-07" }), vec!["/packs"]),
        (
            "/deliveries",
            json!({ "material": "water", "packs": 1, "expected_on": "1026-05-07" }),
            vec!["/expected_on", "/material"],
        ),
        ("/deliveries", json!({ "material": "gold", "packs": 1, "expected_on": "2026-05-07" }), vec!["/material"]),
        ("/lots", but(lot(), json!({ "-tank": 0, "rack": "long" })), vec!["/rack", "/tank"]),
        ("/lots", but(lot(), json!({ "since": "2026-04-27" })), vec!["/since"]),
        ("/lots", but(lot(), json!({ "panel": "lid", "ticket": "2026-04-28-01" })), vec!["/panel", "/ticket"]),
        ("/lots", but(lot(), json!({ "ticket": "2026-04-28-1x" })), vec!["/ticket"]),
        ("/pins", but(pin(), json!({ "day": "2026-05-03", "quantity": 10001 })), vec!["/quantity"]),
        ("/pins", but(pin(), json!({ "day": "2026-05-03" })), vec!["/day"]),
        ("/pins", but(pin(), json!({ "revision": "plain@7" })), vec!["/revision"]),
        ("/tokens", json!({ "name": " ", "role": "office" }), vec!["/name"]),
        ("/tokens", json!({ "name": "x", "role": "boss" }), vec!["/role"]),
    ]
}

#[tokio::test(flavor = "multi_thread")]
async fn bad_bodies_are_refused_with_pointers() {
    World::furnished(async |world| {
        let mut wrong = Vec::new();
        for (path, body, expected) in rows() {
            let answer = world.post(path, &body).await;
            let mut pointers = if answer.status == 422 { answer.pointers() } else { Vec::new() };
            pointers.sort();
            if answer.status != 422 || pointers != expected {
                wrong.push(format!("POST {path} {body}\n  wanted {expected:?}, got {} {}", answer.status, answer.text));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_of_a_refused_body_is_kept() {
    World::furnished(async |world| {
        let lists = [
            "/finishes",
            "/materials",
            "/mixes",
            "/panels",
            "/sets",
            "/orders",
            "/stock/entries",
            "/deliveries",
            "/lots",
            "/pins",
        ];
        let mut before = Vec::new();
        for list in lists {
            before.push(world.get(list).await.text);
        }
        for (path, body, _) in rows() {
            world.post(path, &body).await;
        }
        for (list, before) in lists.into_iter().zip(before) {
            assert_eq!(world.get(list).await.text, before, "{list}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_workshop_and_its_days_are_checked_too() {
    World::furnished(async |world| {
        let there = world.get("/workshop").await;
        let table = [
            ("time_zone", json!("Europe/Nowhere"), "/time_zone"),
            ("currency", json!("eur"), "/currency"),
            ("working_weekdays", json!([]), "/working_weekdays"),
            ("working_weekdays", json!(["monday", "monday"]), "/working_weekdays/1"),
            ("issue_at", json!("6:00"), "/issue_at"),
            ("issue_at", json!("25:00"), "/issue_at"),
            ("scale_resolution_g", json!(0), "/scale_resolution_g"),
            ("least_air_c", json!(1000), "/least_air_c"),
            ("policy", json!({ "horizon_days": 60 }), "/policy/late_price_minor"),
        ];
        for (name, value, pointer) in table {
            let mut body = there.json();
            body[name] = value.clone();
            let answer = world.ask("PUT", "/workshop").header("If-Match", &there.etag()).json(&body).send().await;
            assert_eq!(answer.status, 422, "{name} {value}: {answer:?}");
            assert!(answer.pointers().contains(&pointer.to_owned()), "{name} {value}: {answer:?}");
        }
        let days = [
            (json!({ "day": "2026-05-05", "work": "closed", "labour_minutes": 100 }), "/labour_minutes"),
            (json!({ "day": "2026-05-06", "work": "closed" }), "/day"),
            (json!({ "day": "2026-05-05", "work": "maybe" }), "/work"),
            (json!({ "day": "2026-05-05", "work": "usual", "air_c": -273 }), "/air_c"),
        ];
        for (body, pointer) in days {
            let answer = world.ask("PUT", "/calendar/2026-05-05").json(&body).send().await;
            assert_eq!((answer.status, answer.pointers()), (422, vec![pointer.to_owned()]), "{body}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn replacing_is_checked_as_making_is() {
    World::furnished(async |world| {
        for (list, body) in furniture().into_iter().filter(|(list, _)| !list.contains("revisions")) {
            let path = format!("{list}/{}", body["id"].as_str().unwrap());
            let refused = world.change(&path, |there| there["name"] = json!("")).await;
            assert_eq!((refused.status, refused.pointers()), (422, vec!["/name".to_owned()]), "{path}");
            let other = world.change(&path, |there| there["id"] = json!("other")).await;
            assert_eq!((other.status, other.pointers()), (422, vec!["/id".to_owned()]), "{path}");
        }
    })
    .await;
}
