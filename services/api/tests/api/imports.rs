//! Imports: our own exports back, other people's files, faults, and many rows.

use serde_json::{Value, json};

use crate::world::{Answer, World, order};

const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

async fn send(world: &World, path: &str, text: &str) -> Answer {
    world.ask("POST", path).body("text/csv", text.to_owned()).send().await
}

/// Entries, new, changed and unchanged ones, and how many faults.
fn counts(answer: &Answer) -> (u64, u64, u64, u64, usize) {
    let report = answer.json();
    assert_eq!(answer.status, 200, "{answer:?}");
    let number = |name: &str| report[name].as_u64().unwrap();
    (
        number("entries"),
        number("new"),
        number("changed"),
        number("unchanged"),
        report["faults"].as_array().unwrap().len(),
    )
}

/// Line, column and value of each fault that a check lists.
fn faults(answer: &Answer) -> Vec<Value> {
    assert_eq!(answer.status, 200, "{answer:?}");
    let report = answer.json();
    let faults = report["faults"].as_array().unwrap();
    faults.iter().map(|fault| json!([fault["line"], fault["column"], fault["value"]])).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn every_export_comes_back_unchanged_in_both_formats() {
    World::furnished(async |world| {
        world.make("/orders", &order("TH-1")).await;
        world.make("/orders", &order("1042")).await;
        let breaks =
            json!([{ "from_packs": 10, "pack_price_minor": 450 }, { "from_packs": 20, "pack_price_minor": 400 }]);
        world.change("/materials/cement", |m| m["price_breaks"] = breaks).await;
        let out =
            json!([{ "from": "2026-05-04", "to": "2026-05-08", "moulds": 2, "which": [3, 7], "reason": "new hinges" }]);
        let changed = world.change("/mould-groups/sides", |g| {
            g["out_of_service"] = out;
            g["life_uses"] = json!(400);
        });
        assert_eq!(changed.await.status, 200);
        world.make("/deliveries", &json!({ "material": "cement", "packs": 4, "expected_on": "2026-05-07" })).await;
        send(world, "/deliveries/import", "reference,material,quantity_packs,expected_on\n7,sand,3,2026-05-09\n").await;
        for (path, entries) in
            [("/orders", 2), ("/materials", 4), ("/mould-groups", 1), ("/panels", 1), ("/deliveries", 2)]
        {
            let import = format!("{path}/import");
            for query in ["", "?bom=1&decimal=,", "?units=us", "?units=us&decimal=,"] {
                let csv = world.get(&format!("{path}.csv{query}")).await.text;
                let answer = send(world, &import, &csv).await;
                assert_eq!(counts(&answer), (entries, 0, 0, entries, 0), "{path}{query}: {answer:?}");
            }
            for query in ["", "?units=us"] {
                let book =
                    reqwest::get(world.url(&format!("{path}.xlsx{query}"))).await.unwrap().bytes().await.unwrap();
                let answer = world.ask("POST", &import).body(XLSX, book).send().await;
                assert_eq!(counts(&answer), (entries, 0, 0, entries, 0), "{path}{query}: {answer:?}");
            }
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_count_sheet_in_us_units_is_counted_in_them() {
    World::furnished(async |world| {
        let sheet = world.get("/stock/counts.csv?units=us").await.text;
        let (header, _) = sheet.split_once("\r\n").unwrap();
        assert_eq!(header, "material,name,us_unit,on_hand_in_us_unit,counted_in_us_unit,day,note");
        let text = format!("{header}\ncement,Cement,lb,0.0000,55.1156,,\n");
        let answer = send(world, "/stock/counts/import", &text).await;
        assert_eq!(answer.status, 200, "{answer:?}");
        let stock = world.get("/stock.csv").await.text;
        assert!(stock.contains(",g,25000,"), "{stock}");
        let unclear =
            send(world, "/stock/counts/import?check=1", "material,unit,counted_in_unit\ncement,lb,55\n").await;
        assert_eq!(faults(&unclear), [json!([2, "unit", "lb"])], "{unclear:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_older_file_opens_no_order_again_and_none_is_sent_out_by_a_file() {
    World::furnished(async |world| {
        world.make("/orders", &order("TH-1")).await;
        let monday = world.get("/orders.csv").await.text;
        let sent = send(world, "/orders/import?check=1", &monday.replace(",open,", ",dispatched,")).await;
        assert_eq!(faults(&sent), [json!([2, "state", "dispatched"])], "{sent:?}");
        world.change("/orders/TH-1", |order| order["state"] = json!("withdrawn")).await;
        let again = send(world, "/orders/import", &monday).await;
        assert_eq!(counts(&again), (1, 0, 0, 1, 0), "{again:?}");
        assert!(again.json()["warnings"][0]["detail"].as_str().unwrap().contains("was closed"), "{again:?}");
        assert_eq!(world.get("/orders/TH-1").await.json()["state"], "withdrawn");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_price_list_changes_prices_and_nothing_else() {
    World::furnished(async |world| {
        let before = world.get("/materials/cement").await.json();
        let answer = send(world, "/materials/import", "material;pack_price_major\ncement;5,10\nsand;4,95\n").await;
        assert_eq!(counts(&answer), (2, 0, 1, 1, 0), "{answer:?}");
        let after = world.get("/materials/cement").await.json();
        assert_eq!(after["pack_price_minor"], 510);
        let same = |mut material: Value| {
            material.as_object_mut().unwrap().remove("pack_price_minor");
            material
        };
        assert_eq!(same(after), same(before));
        let new = send(world, "/materials/import?check=1", "material,pack_price_minor\ngravel,300\n").await;
        let columns: Vec<Value> = faults(&new).into_iter().map(|fault| fault[1].clone()).collect();
        assert_eq!(columns, ["kind", "lead_days", "name", "pack_in_unit", "unit"], "{new:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn units_are_in_the_header_or_asked_for() {
    World::furnished(async |world| {
        let head = "material,name,kind,unit,relative_density,pack_lb,floor_lb,pack_price_minor,lead_days\n";
        let rows = "csa,Rapid,rapid_cement,g,2.98,94,0.5,2300,3\n";
        let answer = send(world, "/materials/import", &format!("{head}{rows}")).await;
        assert_eq!(counts(&answer), (1, 1, 0, 0, 0), "{answer:?}");
        let made = world.get("/materials/csa").await.json();
        assert_eq!((&made["pack"], &made["floor"]), (&json!(42638), &json!(227)));
        for (column, part) in
            [("pack", "pack_ and the unit"), ("pack_gal", "us_gal or imp_gal"), ("pack_l", "counted in g")]
        {
            let text = format!("material,{column}\ncement,25\n");
            let answer = send(world, "/materials/import?check=1", &text).await;
            assert_eq!(faults(&answer).len(), 1, "{column}: {answer:?}");
            assert!(answer.text.contains(part), "{column}: {answer:?}");
        }
        let kept = send(world, "/materials/import?check=1", "material,unit\ncement,ml\n").await;
        assert_eq!(faults(&kept), [json!([2, "unit", "ml"])], "{kept:?}");
        assert!(kept.text.contains("keeps its unit"), "{kept:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_file_of_others_is_read_by_a_stated_mapping() {
    World::furnished(async |world| {
        let text = "Auftrag;Telefon;Kunde;Liefertermin;Artikel;Farbe;Menge\n\
                    77;0123;Wren Lane;31.12.2026;bed;grey;2\n78;0124;;04.05.2026;bed;grey;1.000\n";
        let map = json!({ "order": "Auftrag", "customer": "Kunde", "due_on": "Liefertermin", "set": "Artikel", "finish": "Farbe", "quantity": "Menge" });
        let ask = |query: &str| {
            let path = format!("/orders/import?{query}");
            world.ask("POST", &path).body("text/csv", text.to_owned()).send()
        };
        let encoded: String = map.to_string().bytes().map(|byte| format!("%{byte:02X}")).collect();
        let unclear = ask(&format!("check=1&map={encoded}")).await;
        assert_eq!(faults(&unclear), [json!([3, "Menge", "1.000"])], "{unclear:?}");
        assert!(unclear.text.contains("decimal=. or decimal=,"), "{unclear:?}");
        let answer = ask(&format!("map={encoded}&decimal=%2C")).await;
        assert_eq!(counts(&answer), (2, 2, 0, 0, 0), "{answer:?}");
        let report = answer.json();
        assert_eq!(report["passed_over"], json!(["Telefon"]));
        let due = report["columns"].as_array().unwrap().iter().find(|c| c["column"] == "due_on").unwrap().clone();
        assert_eq!(due, json!({ "column": "due_on", "header": "Liefertermin", "read_as": "days with the day first" }));
        let made = world.get("/orders/78").await.json();
        assert_eq!((&made["due_on"], &made["lines"][0]["quantity"]), (&json!("2026-05-04"), &json!(1000)));
        for (query, pointer) in [
            ("map=%5B%5D", "/query/map"),
            ("decimal=x", "/query/decimal"),
            ("dates=ymd", "/query/dates"),
            ("check=2", "/query/check"),
        ] {
            let wrong = ask(query).await;
            assert_eq!((wrong.status, wrong.pointers()), (400, vec![pointer.to_owned()]), "{query}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn panels_refer_to_what_is_there() {
    World::furnished(async |world| {
        let head = "panel,name,length_in,height_mm,thickness_mm,mould_group,pour_min,strip_min,lift_min,suits_mix,suits_reason,tank,per_panel_material,per_panel_in_unit\n";
        let good = format!("{head}end,End,24,300,40,sides,4,3,2,plain@1,trial,north,pin,2\n");
        let answer = send(world, "/panels/import", &good).await;
        assert_eq!(counts(&answer), (1, 1, 0, 0, 0), "{answer:?}");
        assert_eq!(world.get("/panels/end").await.json()["length_mm"], 610, "609.6 mm, rounded");
        let bad = format!("{head}end,End,24,300,40,none,4,3,2,plain@9,trial,south,bolt,2\n");
        let refused = send(world, "/panels/import?check=1", &bad).await;
        let columns: Vec<Value> = faults(&refused).into_iter().map(|fault| fault[1].clone()).collect();
        assert_eq!(columns, ["mould_group", "per_panel_material", "suits_mix", "tank"], "{refused:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn deliveries_are_known_by_their_references() {
    World::furnished(async |world| {
        let text = "reference,material,quantity_packs,expected_on\nPO-1,cement,20,2026-05-07\nPO-2,sand,4,2026-05-08\n";
        assert_eq!(counts(&send(world, "/deliveries/import", text).await), (2, 2, 0, 0, 0));
        assert_eq!(counts(&send(world, "/deliveries/import", text).await), (2, 0, 0, 2, 0));
        let later = text.replace("2026-05-08", "2026-05-11");
        assert_eq!(counts(&send(world, "/deliveries/import", &later).await), (2, 0, 1, 1, 0));
        let list = world.get("/deliveries").await.json();
        assert_eq!((list.as_array().unwrap().len(), &list[1]["expected_on"]), (2, &json!("2026-05-11")), "{list}");
        world.make("/deliveries/1/arrival", &json!({})).await;
        assert_eq!(counts(&send(world, "/deliveries/import", &later).await), (2, 0, 0, 2, 0), "what is here is as it was");
        let moved = later.replace("cement,20", "cement,21");
        let refused = send(world, "/deliveries/import?check=1", &moved).await;
        assert_eq!(faults(&refused), [json!([2, "quantity_packs", "21"])], "{refused:?}");
        let odd = "reference,delivery,material,quantity_packs,expected_on,state\n\
                   ,,sand,1,2026-05-09,\nPO-3,,gold,1,2026-05-09,\nPO-4,,sand,0,2026-05-09,here\n,99,sand,1,2026-05-09,\n\
                   PO-2,,cement,4,2026-05-11,\nPO-5,,sand,1,2026-05-09,\nPO-5,,sand,1,2026-05-09,\n";
        let refused = send(world, "/deliveries/import?check=1", odd).await;
        let found: Vec<Value> = faults(&refused).into_iter().map(|fault| json!([fault[0], fault[1]])).collect();
        let wanted = json!([
            [2, "reference"], [3, "material"], [4, "quantity_packs"], [4, "state"], [5, "delivery"], [6, "material"], [8, "reference"]
        ]);
        assert_eq!(json!(found), wanted, "{refused:?}");
        world.make("/deliveries", &json!({ "material": "sand", "packs": 2, "expected_on": "2026-05-12" })).await;
        let named = "delivery,reference,quantity_packs\n3,PO-7,\n";
        assert_eq!(counts(&send(world, "/deliveries/import", named).await), (1, 0, 1, 0, 0), "ours has a reference now");
        assert_eq!(counts(&send(world, "/deliveries/import", named).await), (1, 0, 0, 1, 0));
        let theirs = "reference,material,quantity_packs,expected_on\nPO-7,sand,2,2026-05-12\n";
        assert_eq!(counts(&send(world, "/deliveries/import", theirs).await), (1, 0, 0, 1, 0), "and is found by it");
        let other = send(world, "/deliveries/import?check=1", &named.replace("PO-7", "PO-8")).await;
        assert_eq!(faults(&other), [json!([2, "reference", "PO-8"])], "{other:?}");
        let csv = world.get("/deliveries.csv").await.text;
        assert!(csv.contains(",PO-1\r\n") && csv.contains(",PO-2\r\n"), "{csv}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_count_sheet_goes_round_the_stores_and_comes_back_once() {
    World::furnished(async |world| {
        world.make("/stock/entries", &json!({ "material": "cement", "kind": "received", "amount": 100_000 })).await;
        let sheet = world.get("/stock/counts.csv").await.text;
        assert!(sheet.contains("cement,cement,g,100000,,2026-05-04,\r\n"), "{sheet}");
        assert_eq!(counts(&send(world, "/stock/counts/import", &sheet).await), (0, 0, 0, 0, 0), "nothing was counted");
        let filled = sheet.replace("100000,,", "100000,97500,");
        assert_eq!(counts(&send(world, "/stock/counts/import", &filled).await), (1, 1, 0, 0, 0));
        let on_hand = || async { world.get("/stock").await.json()[0]["on_hand"].clone() };
        assert_eq!(on_hand().await, 97_500);
        world.make("/stock/entries", &json!({ "material": "cement", "kind": "written_off", "amount": -500 })).await;
        assert_eq!(counts(&send(world, "/stock/counts/import", &filled).await), (1, 0, 0, 1, 0), "the same file again");
        assert_eq!(on_hand().await, 97_000, "changes nothing");
        let in_kg = "material,counted_kg,note\ncement,97.25,=damp\n";
        let answer = send(world, "/stock/counts/import", in_kg).await;
        assert_eq!(counts(&answer), (1, 1, 0, 0, 0), "{answer:?}");
        assert_eq!(on_hand().await, 97_250);
        let odd = "material,unit,counted_in_unit,day\nwater,ml,1,\ncement,ml,1,2026-05-05\ngold,g,1,\nsand,g,-1,\nsand,g,1.5,\n";
        let refused = send(world, "/stock/counts/import?check=1", odd).await;
        let found: Vec<Value> = faults(&refused).into_iter().map(|fault| json!([fault[0], fault[1]])).collect();
        let wanted = json!([
            [2, "material"], [3, "day"], [3, "unit"], [4, "material"], [5, "counted_in_unit"], [6, "counted_in_unit"]
        ]);
        assert_eq!(json!(found), wanted, "{refused:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn counts_of_days_past_leave_what_moved_since() {
    World::furnished(async |world| {
        let entry = |kind: &str, amount: i64, day: &str| {
            json!({ "material": "cement", "kind": kind, "amount": amount, "day": day })
        };
        world.make("/stock/entries", &entry("received", 100_000, "2026-05-01")).await;
        world.make("/stock/entries", &entry("written_off", -10_000, "2026-05-03")).await;
        let on_hand = || async { world.get("/stock").await.json()[0]["on_hand"].clone() };
        assert_eq!(on_hand().await, 90_000);
        // Of the second of May: two kilograms are missing before what was written off on the third.
        let friday = "material,counted_kg,day\ncement,98,2026-05-02\n";
        assert_eq!(counts(&send(world, "/stock/counts/import", friday).await), (1, 1, 0, 0, 0));
        assert_eq!(on_hand().await, 88_000);
        // A file is taken by its days, whatever the order of its rows.
        let both = "material,counted_kg,day\ncement,85,2026-05-04\ncement,87,2026-05-03\n";
        assert_eq!(counts(&send(world, "/stock/counts/import", both).await), (2, 2, 0, 0, 0));
        assert_eq!(on_hand().await, 85_000);
        let late = send(world, "/stock/counts/import?check=1", "material,counted_kg,day\ncement,99,2026-05-02\n").await;
        assert_eq!(faults(&late), [json!([2, "day", "2026-05-02"])], "{late:?}");
        // A count and a second thought, and the first again, on one day: the last word holds.
        for (kg, expected) in [("84", 84_000), ("83", 83_000), ("84", 84_000)] {
            let text = format!("material,counted_kg,day\ncement,{kg},2026-05-04\n");
            assert_eq!(counts(&send(world, "/stock/counts/import", &text).await), (1, 1, 0, 0, 0), "{kg}");
            assert_eq!(on_hand().await, expected);
        }
        let slip = send(world, "/stock/counts/import?check=1", "material,counted_kg,day\ncement,9,0026-05-04\n").await;
        assert_eq!(faults(&slip), [json!([2, "day", "0026-05-04"])], "{slip:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn ten_thousand_rows_are_one_import_and_the_same_again_changes_nothing() {
    World::furnished(async |world| {
        let row =
            |n: usize| format!("TH-{:05},Customer {n},2026-06-{:02},bed,grey,{}\n", n / 2, 1 + n / 2 % 28, 1 + n % 9);
        let row = |n: usize| row(n).replace(&format!("Customer {n},"), &format!("Customer {},", n / 2));
        let text: String = std::iter::once("order,customer,due_on,set,finish,quantity\n".to_owned())
            .chain((0..10_000).map(row))
            .collect();
        let started = std::time::Instant::now();
        assert_eq!(counts(&send(world, "/orders/import", &text).await), (5_000, 5_000, 0, 0, 0));
        let first = started.elapsed();
        assert_eq!(counts(&send(world, "/orders/import", &text).await), (5_000, 0, 0, 5_000, 0));
        let changed = text.replace("grey,9\n", "grey,10\n");
        let answer = send(world, "/orders/import", &changed).await;
        // Said, not held: no test is timed.
        println!("10,000 rows: new {first:?}, three imports {:?}", started.elapsed());
        assert_eq!(answer.json()["faults"], json!([]));
        assert!(answer.json()["changed"].as_u64().unwrap() > 500, "{answer:?}");
        let too_many = format!("{text}{}", (10_000..20_001).map(row).collect::<String>());
        let refused = send(world, "/orders/import", &too_many).await;
        assert!(refused.status == 422 && refused.text.contains("20000"), "{:.300}", refused.text);
        let too_large = world.ask("POST", "/orders/import").body("text/csv", vec![b'a'; 9 * 1024 * 1024]).send().await;
        assert!(too_large.status == 413 && too_large.text.contains("8388608"), "{too_large:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_workbook_is_told_so() {
    World::furnished(async |world| {
        for body in [b"PK\x03\x04 not really".to_vec(), b"order,due_on\n".to_vec(), Vec::new()] {
            let answer = world.ask("POST", "/orders/import").body(XLSX, body).send().await;
            assert_eq!((answer.status, answer.pointers()), (422, vec!["/1".to_owned()]), "{answer:?}");
            assert!(answer.text.contains("workbook"), "{answer:?}");
        }
        let other = world.ask("POST", "/orders/import").body("application/json", "{}").send().await;
        assert_eq!(other.status, 415);
    })
    .await;
}
