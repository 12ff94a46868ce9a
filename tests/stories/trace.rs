//! From an order back to the cement of its panels and forward again; scrap on the way is counted, with its cause.

use reqwest::Method;
use serde_json::{Value, json};
use stories::World;
use testkit::databases::each_database;

async fn make(world: &World, path: &str, body: Value) -> Value {
    let answer = world.send(Method::POST, path, Some(&body.to_string())).await;
    let (status, text) = (answer.status(), answer.text().await.unwrap());
    assert!(status.is_success(), "POST {path} {body}: {status} {text}");
    serde_json::from_str(&text).unwrap_or_default()
}

/// The first ticket of the day that finishes two panels of a kind, completed with cement of one delivery only.
async fn poured(world: &World, delivery: &Value) -> Value {
    let there = world.on_hand("cement").await;
    let spoilt = json!({ "material": "cement", "kind": "written_off", "amount": -there, "note": "a burst pipe" });
    make(world, "/stock/entries", spoilt).await;
    make(world, &format!("/deliveries/{}/arrival", delivery["id"]), json!({})).await;
    for ticket in world.get("/days/today/tickets").await.as_array().unwrap() {
        let number = ticket["number"].as_str().unwrap();
        let done = make(world, &format!("/tickets/{number}/completion"), json!({})).await;
        let lots = done["lots"].as_array().unwrap();
        if let Some(lot) = lots.iter().find(|lot| lot["quantity"].as_i64().unwrap() >= 2) {
            return lot.clone();
        }
    }
    panic!("no ticket of the day finishes two panels");
}

/// One panel of a lot, moved to where it can be sent from; the lot it is in then.
async fn moved_to_ready(world: &World, lot: &Value) -> Value {
    let step = async |from: &Value, body: Value| make(world, &format!("/lots/{}/moves", from["id"]), body).await;
    let soaking = step(lot, json!({ "to": "soaking", "quantity": 1, "tank": "big-tank" })).await;
    let drying = step(&soaking, json!({ "to": "drying", "quantity": 1, "rack": "drying-rack" })).await;
    step(&drying, json!({ "to": "ready", "quantity": 1 })).await
}

fn ids(list: &Value, of: impl Fn(&Value) -> &Value) -> Vec<i64> {
    list.as_array().unwrap().iter().filter_map(|one| of(one).as_i64()).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_panel_is_traced_from_its_cement_to_its_customer() {
    each_database(async |store| {
        let world = World::new(store).await;
        world.plan().await;
        world.it_is("2026-03-02T06:00:00Z");
        world.work().await;
        let cement = json!({ "material": "cement", "packs": 40, "expected_on": "2026-03-02" });
        let delivery = make(&world, "/deliveries", cement).await;
        let lot = poured(&world, &delivery).await;
        let (ticket, panel) = (lot["ticket"].as_str().unwrap(), lot["panel"].as_str().unwrap());

        moulds_are_named(&world, &lot).await;
        scrap_comes_off_with_its_cause(&world, &lot, panel).await;

        let ready = moved_to_ready(&world, &lot).await;
        let order = json!({ "id": "ONE-PANEL", "due_on": "2026-04-30", "lines": [{ "panel": panel, "finish": lot["finish"], "quantity": 1 }] });
        make(&world, "/orders", order).await;
        make(&world, &format!("/lots/{}/dispatch", ready["id"]), json!({ "quantity": 1, "order": "ONE-PANEL" })).await;
        let back = world.get("/orders/ONE-PANEL/trace").await;
        assert_eq!(ids(&back["lots"], |l| &l["lot"]["id"]).len(), 4, "{back}");
        assert_eq!(back["lots"][0]["lot"]["id"], lot["id"]);
        assert!(back["tickets"].as_array().unwrap().contains(&json!(ticket)), "{back}");
        let of_cement = |used: &&Value| used["material"] == "cement" && used["ticket"] == ticket;
        let used: Vec<&Value> = back["used"].as_array().unwrap().iter().filter(of_cement).collect();
        assert_eq!(used.len(), 1, "{back}");
        assert_eq!(used[0]["delivery"], delivery["id"]);
        assert!(used[0]["amount"].as_i64().unwrap() > 0);

        let forward = world.get(&format!("/deliveries/{}/trace", delivery["id"])).await;
        assert_eq!(forward["sent"][0]["order"], "ONE-PANEL", "{forward}");
        assert!(ids(&forward["lots"], |l| &l["lot"]["id"]).contains(&ready["id"].as_i64().unwrap()));
        let around = world.get(&format!("/lots/{}/trace", ready["id"])).await;
        assert_eq!(around, back, "all there is of this order is of this lot");
        world.audit().await;
    })
    .await;
}

/// Each panel poured has a mould of its own until it is stripped.
async fn moulds_are_named(world: &World, lot: &Value) {
    let ticket = world.get(&format!("/tickets/{}", lot["ticket"].as_str().unwrap())).await;
    let fill = ticket["fills"].as_array().unwrap().iter().find(|fill| fill["panel"] == lot["panel"]).unwrap().clone();
    let given = ids(&fill["moulds"], |number| number);
    assert!(given.len() as i64 >= fill["finished_panels"].as_i64().unwrap(), "{fill}");
    let path = format!("/mould-groups/{}/moulds", fill["mould_group"].as_str().unwrap());
    let of = |moulds: &Value, number: i64| moulds.as_array().unwrap().iter().find(|m| m["number"] == number).cloned();
    let first = of(&world.get(&path).await, given[0]).unwrap();
    assert_eq!((&first["uses"], &first["taken"]), (&json!(1), &json!(true)), "{first}");
    assert_eq!(first["last_poured_on"], "2026-03-02");
}

async fn scrap_comes_off_with_its_cause(world: &World, lot: &Value, panel: &str) {
    let path = format!("/lots/{}/scrap", lot["id"]);
    let unknown = world.send(Method::POST, &path, Some(r#"{"quantity": 1, "cause": "bad-luck"}"#)).await;
    assert_eq!(unknown.status(), 422, "a cause that is not on the list");
    let many = world.send(Method::POST, &path, Some(r#"{"quantity": 9000, "cause": "corner-broken"}"#)).await;
    assert_eq!(many.status(), 422);
    let before = world.get("/marks").await.as_array().unwrap().len();
    let left = make(world, &path, json!({ "quantity": 1, "cause": "corner-broken", "note": "while stripping" })).await;
    assert_eq!(left["lot"]["quantity"].as_i64(), lot["quantity"].as_i64().map(|q| q - 1), "{left}");
    assert_eq!(left["losses"][0]["cause"], "corner-broken");
    assert!(world.get("/marks").await.as_array().unwrap().len() > before, "the plan does not know of it");
    let measured = world.get(&format!("/panels/{panel}/pass-rate")).await;
    let in_mould = &measured["stages"][0];
    assert_eq!((&in_mould["stage"], &in_mould["scrapped"]), (&json!("in_mould"), &json!(1)), "{measured}");
    assert_eq!(in_mould["causes"], json!([{ "cause": "corner-broken", "panels": 1 }]));
    assert_eq!((&in_mould["through"], &in_mould["pass_rate"]), (&json!(0), &Value::Null), "the others are in it yet");
}
