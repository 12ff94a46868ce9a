//! Orders sent out whole or in parts, pack lists, tags, what to order, portions and use of materials.

use serde_json::{Value, json};

use crate::planned::{in_force, issued};
use crate::world::World;

/// An order of one raised bed: four sides and four pins.
fn bed(id: &str, parts_agreed: bool) -> Value {
    json!({ "id": id, "due_on": "2026-06-12", "parts_agreed": parts_agreed, "lines": [{ "set": "bed", "finish": "grey", "quantity": 1 }] })
}

/// So many sides, ready since a day.
async fn ready(world: &World, since: &str, quantity: i64) -> i64 {
    let lot = json!({ "panel": "side", "revision": "plain@1", "poured_on": "2026-04-01", "stage": "ready", "since": since, "quantity": quantity });
    world.make("/lots", &lot).await.json()["id"].as_i64().unwrap()
}

async fn on_hand(world: &World, material: &str) -> Value {
    let stock = world.get("/stock").await.json();
    stock.as_array().unwrap().iter().find(|m| m["material"] == material).unwrap().clone()
}

#[tokio::test(flavor = "multi_thread")]
async fn an_order_goes_whole_once_and_takes_its_hardware() {
    World::furnished(async |world| {
        world.make("/orders", &bed("TH-1", false)).await;
        world.make("/orders", &json!({ "id": "TH-2", "due_on": "2026-05-20", "lines": [{ "panel": "side", "finish": "grey", "quantity": 1 }] })).await;
        world.make("/stock/entries", &json!({ "material": "pin", "kind": "received", "amount": 3 })).await;
        let young = ready(world, "2026-05-03", 3).await;
        let list = world.get("/dispatch").await.json();
        assert_eq!((&list[0]["order"], &list[0]["can_go"]), (&json!("TH-2"), &json!("whole")), "due first: {list}");
        assert_eq!((&list[1]["can_go"], &list[1]["lines"][0]["ready_panels"]), (&json!("nothing"), &json!(2)));
        let short = world.post("/orders/TH-1/dispatch", &json!({})).await;
        assert_eq!((short.status, short.pointers()), (422, vec![String::new()]), "{short:?}");
        assert!(short.text.contains("4 side in grey are wanted, and 3 stand ready"), "{short:?}");
        let old = ready(world, "2026-05-01", 2).await;
        let early = world.post("/orders/TH-1/dispatch", &json!({ "day": "2026-05-02" })).await;
        assert_eq!(early.pointers(), ["/day"], "{early:?}");
        let ask = || world.ask("POST", "/orders/TH-1/dispatch").header("Idempotency-Key", "k").json(&json!({}));
        let sent = ask().send().await;
        assert_eq!(sent.status, 200, "{sent:?}");
        let sent = sent.json();
        assert_eq!(sent["state"], "dispatched");
        let lots: Vec<_> = sent["sent"].as_array().unwrap().iter().map(|s| (s["lot"].as_i64().unwrap(), s["quantity_panels"].as_i64().unwrap())).collect();
        assert_eq!(lots, [(old, 2), (young, 2)], "those that became ready first: {sent}");
        assert_eq!(sent["hardware"][0]["pieces"], 4);
        assert_eq!(sent["warnings"], json!(["pin is now 1 pieces below nothing in the ledger: count what is there"]));
        assert_eq!(ask().send().await.json(), sent, "the same key gives the same answer");
        let again = world.make("/orders/TH-1/dispatch", &json!({})).await.json();
        assert_eq!((&again["sent"], &again["hardware"]), (&sent["sent"], &sent["hardware"]), "and nothing goes twice");
        assert_eq!(on_hand(world, "pin").await["on_hand"], -1);
        let order = world.get("/orders/TH-1").await.json();
        assert_eq!(order["state"], "dispatched");
        let undone = world.change("/orders/TH-1", |order| order["state"] = json!("withdrawn")).await;
        assert_eq!((undone.status, undone.pointers()), (422, vec!["/state".to_owned()]), "{undone:?}");
        let more = world.change("/orders/TH-1", |order| order["lines"][0]["quantity"] = json!(9)).await;
        assert_eq!((more.status, more.pointers()), (422, vec!["/lines".to_owned()]), "{more:?}");
        let sheet = world.get("/days/today/sheet").await.json();
        assert_eq!((&sheet["dispatches"][0]["order"], &sheet["dispatches"][0]["progress"]), (&json!("TH-1"), &json!("done")), "{sheet}");
        let tx = world.store.read().await.unwrap();
        let breaks = workshop::audit::sweep(&store::audit::records(&tx).await.unwrap());
        assert_eq!(breaks, [], "what a dispatch drew is drawn by a dispatch");
        assert_eq!(world.post("/orders/TH-9/dispatch", &json!({})).await.status, 404);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn parts_go_where_they_were_agreed() {
    World::furnished(async |world| {
        world.make("/orders", &bed("TH-1", false)).await;
        ready(world, "2026-05-01", 4).await;
        let part = |quantity: i64| json!({ "panels": [{ "panel": "side", "finish": "grey", "quantity": quantity }] });
        let refused = world.post("/orders/TH-1/dispatch", &part(1)).await;
        assert_eq!(refused.pointers(), ["/panels"], "{refused:?}");
        assert_eq!(world.change("/orders/TH-1", |order| order["parts_agreed"] = json!(true)).await.status, 200);
        let first = world.make("/orders/TH-1/dispatch", &part(1)).await.json();
        assert_eq!((&first["state"], &first["hardware"]), (&json!("open"), &json!([])), "{first}");
        let twice = json!({ "panels": [{ "panel": "side", "finish": "grey", "quantity": 1 }, { "panel": "side", "finish": "grey", "quantity": 1 }] });
        assert_eq!(world.post("/orders/TH-1/dispatch", &twice).await.pointers(), ["/panels/1/panel"]);
        assert_eq!(world.post("/orders/TH-1/dispatch", &part(4)).await.pointers(), ["/panels/0/quantity"]);
        assert_eq!(world.get("/days/today/sheet").await.json()["dispatches"][0]["progress"], "partly_done");
        let last = world.make("/orders/TH-1/dispatch", &part(3)).await.json();
        assert_eq!((&last["state"], last["sent"].as_array().map(Vec::len)), (&json!("dispatched"), Some(2)), "{last}");
        assert_eq!(last["hardware"][0]["pieces"], 4, "hardware with the last panels");
        let csv = world.get("/orders.csv").await.text;
        assert!(csv.lines().next().unwrap().ends_with(",line,parts_agreed") && csv.contains(",1,yes"), "{csv}");
        // An older export, without the column, does not take the agreement back.
        let older: String = csv.lines().map(|line| line.rsplit_once(',').unwrap().0.to_owned() + "\r\n").collect();
        let report = world.ask("POST", "/orders/import").body("text/csv", older).send().await.json();
        assert_eq!((&report["unchanged"], &report["faults"]), (&json!(1), &json!([])), "{report}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn panels_of_a_lot_go_by_the_rules_of_their_order() {
    World::furnished(async |world| {
        world.make("/orders", &bed("TH-1", false)).await;
        let lot = ready(world, "2026-05-01", 6).await;
        let path = format!("/lots/{lot}/dispatch");
        let send = |quantity: i64, order: &str| json!({ "quantity": quantity, "order": order });
        let part = world.post(&path, &send(1, "TH-1")).await;
        assert_eq!((part.status, part.pointers()), (422, vec!["/order".to_owned()]), "{part:?}");
        assert_eq!(world.post(&path, &send(5, "TH-1")).await.pointers(), ["/quantity"]);
        assert_eq!(world.post(&path, &send(1, "TH-9")).await.pointers(), ["/order"]);
        let sample = world.make(&path, &json!({ "quantity": 1 })).await.json();
        assert_eq!((&sample["quantity"], &sample["warnings"]), (&json!(5), &json!([])), "for nobody's order");
        world.change("/orders/TH-1", |order| order["parts_agreed"] = json!(true)).await;
        world.make(&path, &send(1, "TH-1")).await;
        assert_eq!(
            (&world.get("/orders/TH-1").await.json()["state"], on_hand(world, "pin").await["on_hand"].as_i64()),
            (&json!("open"), Some(0))
        );
        let last = world.make(&path, &send(3, "TH-1")).await.json();
        assert_eq!(last["warnings"], json!(["pin is now 4 pieces below nothing in the ledger: count what is there"]));
        assert_eq!(world.get("/orders/TH-1").await.json()["state"], "dispatched", "with the last of it");
        assert_eq!(on_hand(world, "pin").await["on_hand"], -4, "and its hardware");
        let after = world.post(&path, &send(1, "TH-1")).await;
        assert_eq!((after.status, after.pointers()), (422, vec!["/order".to_owned()]), "{after:?}");
        let tx = world.store.read().await.unwrap();
        assert_eq!(workshop::audit::sweep(&store::audit::records(&tx).await.unwrap()), []);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_order_cut_to_what_was_sent_ends_with_its_hardware() {
    World::furnished(async |world| {
        let order =
            |lines: Value| json!({ "id": "TH-1", "due_on": "2026-06-12", "parts_agreed": true, "lines": lines });
        let (two, one) = (
            json!({ "set": "bed", "finish": "grey", "quantity": 2 }),
            json!({ "set": "bed", "finish": "grey", "quantity": 1 }),
        );
        world.make("/orders", &order(json!([two]))).await;
        ready(world, "2026-05-01", 4).await;
        world
            .make("/orders/TH-1/dispatch", &json!({ "panels": [{ "panel": "side", "finish": "grey", "quantity": 4 }] }))
            .await;
        let fewer = json!([{ "panel": "side", "finish": "grey", "quantity": 3 }]);
        let less = world.change("/orders/TH-1", |order| order["lines"] = fewer.clone()).await;
        assert_eq!((less.status, less.pointers()), (422, vec!["/lines".to_owned()]), "{less:?}");
        assert!(less.text.contains("4 side in grey were sent already"), "{less:?}");
        assert_eq!(world.change("/orders/TH-1", |order| order["lines"] = json!([one])).await.status, 200);
        let last = world.make("/orders/TH-1/dispatch", &json!({})).await.json();
        assert_eq!((&last["state"], &last["hardware"][0]["pieces"]), (&json!("dispatched"), &json!(4)), "{last}");
        let tx = world.store.read().await.unwrap();
        assert_eq!(workshop::audit::sweep(&store::audit::records(&tx).await.unwrap()), []);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_pack_list_says_what_it_weighs_and_who_lifts_it() {
    World::furnished(async |world| {
        world.make("/orders", &bed("TH-1", false)).await;
        ready(world, "2026-05-01", 3).await;
        let list = world.get("/orders/TH-1/pack-list").await.json();
        // 10.8 L of a mix that leaves the mixer at 2250 kg/m³; nothing is known of it dry.
        assert_eq!(
            (&list["packed"][0]["mass_each_g"], &list["packed"][0]["state"]),
            (&json!(24_300), &json!("fresh")),
            "{list}"
        );
        assert_eq!((&list["panels"], &list["mass_g"], &list["can_go"]), (&json!(3), &json!(72_900), &json!("nothing")));
        assert_eq!(list["missing"][0]["ready_panels"], 3);
        assert_eq!(list["hardware"][0]["pieces"], 4);
        assert_eq!(list["notes"].as_array().map(Vec::len), Some(2), "below the limit of 25 kg: {list}");
        world.change("/workshop", |workshop| workshop["lifting_limit_g"] = json!(20_000)).await;
        let heavy = world.get("/orders/TH-1/pack-list").await.json();
        assert!(heavy["notes"][0].as_str().unwrap().contains("two people or a lifting aid"), "{heavy}");
        let trial = json!({
            "id": "t-1", "revision": "plain@1", "mixed_on": "2026-04-01", "by": "the bench",
            "panels": [{ "panel": "side", "state": "air_dry", "mass_g": 19_870 }],
        });
        world.make("/trials", &trial).await;
        let weighed = world.get("/orders/TH-1/pack-list").await.json();
        assert_eq!(
            (&weighed["packed"][0]["mass_each_g"], &weighed["packed"][0]["state"]),
            (&json!(19_870), &json!("air_dry"))
        );
        assert_eq!(weighed["packed"][0]["above_lifting_limit"], false);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_tag_says_what_lies_there_and_when_it_may_go_on() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let mixed = world.make("/tickets/2026-05-04-01/completion", &json!({})).await.json();
        let lot = mixed["lots"][0]["id"].clone();
        let tag = world.get(&format!("/lots/{lot}/tag")).await.json();
        assert_eq!((&tag["cast_on"], &tag["batches"]), (&json!("2026-05-04"), &json!(["2026-05-04-01"])), "{tag}");
        assert_eq!((&tag["panel_name"], &tag["finish_name"]), (&json!("Bed side 900"), &json!("Grey, smooth")));
        // Poured at 15:00 on Monday at 15 °C: 20 hours at 20 °C are not over at 08:00 on Tuesday.
        assert_eq!(tag["out_on"], "2026-05-06", "{tag}");
        let soaking = json!({ "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "soaking", "since": "2026-05-02", "quantity": 6, "tank": "north", "row": "middle" });
        let soaking = world.make("/lots", &soaking).await.json()["id"].clone();
        let tag = world.get(&format!("/lots/{soaking}/tag")).await.json();
        assert_eq!((&tag["place_name"], &tag["row"]), (&json!("North tank"), &json!("middle")));
        // Seven days from Saturday the 2nd end on Saturday the 9th.
        assert_eq!(tag["out_on"], "2026-05-11");
        assert_eq!(world.get("/lots/999/tag").await.status, 404);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_to_order_is_listed_until_it_is_on_its_way() {
    World::furnished(async |world| {
        assert_eq!(world.get("/deliveries/to-order").await.json(), json!([]));
        in_force(&world.store).await;
        world.change("/materials/cement", |cement| cement["delivery_charge_minor"] = json!(1_800)).await;
        let wanted = world.get("/deliveries/to-order").await.json();
        assert_eq!(
            (&wanted[0]["material"], &wanted[0]["arrives_on"]),
            (&json!("cement"), &json!("2026-05-06")),
            "{wanted}"
        );
        assert_eq!((&wanted[0]["order_by"], &wanted[0]["too_late"]), (&json!("2026-05-01"), &json!(true)));
        assert_eq!(
            (&wanted[0]["price"]["packs"], &wanted[0]["price"]["total_minor"]),
            (&json!(1), &json!(495 + 1_800))
        );
        let asked_for = async || {
            let arrivals = world.get("/days/2026-05-06/sheet").await.json()["deliveries"].clone();
            arrivals.as_array().unwrap().iter().filter(|a| a["delivery"].is_null()).count()
        };
        assert_eq!(asked_for().await, 1);
        let new = json!({ "material": "cement", "packs": 1, "expected_on": "2026-05-04" });
        let made = world.make("/deliveries", &new).await.json();
        assert_eq!(world.get("/deliveries/to-order").await.json(), json!([]));
        assert_eq!(asked_for().await, 0, "the day's sheet asks for nothing that is ordered");
        world.make(&format!("/deliveries/{}/arrival", made["id"]), &json!({})).await;
        assert_eq!(world.get("/deliveries/to-order").await.json(), json!([]), "it stays ordered once it is here");
        assert_eq!(asked_for().await, 0);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn stock_lies_in_portions_and_its_use_is_held_against_what_was_asked_for() {
    World::furnished(async |world| {
        world.change("/materials/cement", |cement| cement["keep_days"] = json!(90)).await;
        let deliver = async |on: &str| {
            let made = world.make("/deliveries", &json!({ "material": "cement", "packs": 1, "expected_on": "2026-05-04" })).await;
            let path = made.header("location").unwrap().to_owned();
            world.make(&format!("{path}/arrival"), &json!({ "arrived_on": on })).await.json()["id"].clone()
        };
        let (old, new) = (deliver("2026-01-05").await, deliver("2026-05-04").await);
        issued(&world.store).await;
        let cement = on_hand(world, "cement").await;
        // Two tickets of 4130 g each are issued.
        assert_eq!((&cement["on_hand"], &cement["reserved"], &cement["free"]), (&json!(50_000), &json!(8_260), &json!(41_740)));
        let portions = world.get("/stock/portions?material=cement").await.json();
        assert_eq!((&portions[0]["delivery"], &portions[0]["left"], &portions[0]["reserved"]), (&old, &json!(25_000), &json!(8_260)), "{portions}");
        assert!(portions[0]["warning"].as_str().unwrap().contains("older than 90 days"), "{portions}");
        assert_eq!((&portions[1]["warning"], &portions[1]["use_by"]), (&Value::Null, &json!("2026-08-02")));
        let spoilt = json!({ "material": "cement", "kind": "written_off", "amount": -5000, "delivery": new, "note": "the bag got wet" });
        world.make("/stock/entries", &spoilt).await;
        let portions = world.get("/stock/portions?material=cement").await.json();
        assert_eq!((&portions[0]["left"], &portions[1]["left"]), (&json!(25_000), &json!(20_000)), "written off of the new one");
        let mut wrong = spoilt.clone();
        wrong["material"] = json!("sand");
        assert_eq!(world.post("/stock/entries", &wrong).await.pointers(), ["/delivery"]);
        wrong = json!({ "material": "cement", "kind": "received", "amount": 5, "delivery": old });
        assert_eq!(world.post("/stock/entries", &wrong).await.pointers(), ["/delivery"]);
        world.make("/tickets/2026-05-04-01/completion", &json!({ "lines": [{ "position": 2, "actual": 4956 }] })).await;
        let used = world.get("/stock/use").await.json();
        let cement = used.as_array().unwrap().iter().find(|u| u["material"] == "cement").unwrap();
        assert_eq!((&cement["month"], &cement["mix"], &cement["planned"], &cement["actual"]), (&json!("2026-05"), &json!("plain"), &json!(4130), &json!(4956)));
        assert_eq!((&cement["difference"], &cement["difference_percent"]), (&json!(826), &json!(20.0)));
        assert_eq!(world.get("/stock/use?from=2026-06-01&to=2026-06-30").await.json(), json!([]));
        let price = world.get("/stock/projection?material=cement").await.json()[0]["price"].clone();
        assert!(price.is_null() || price["packs"].as_i64() > Some(0), "{price}");
    })
    .await;
}
