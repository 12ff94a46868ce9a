//! Corrections recorded on a ticket: asked for, answered, done, and never changed.

use chrono::NaiveDate as Day;
use quantities::{Grams, Millilitres, Minutes};
use serde_json::{Value, json};
use store::tickets;
use workshop::ids::{MouldGroupId, PanelId, RevisionId, TicketNumber};
use workshop::tickets::{Fill, Ticket, TicketState};

use crate::planned::{in_force, issued, now};
use crate::world::{World, revision};

fn near(found: &Value, wanted: f64, within: f64) {
    let number = found.as_f64().unwrap_or_else(|| panic!("{found} is no number"));
    assert!((number - wanted).abs() <= within, "{number} is not {wanted} within {within}");
}

/// A foamed revision that makes its cubic metre, and a ticket of 21.6 L of it.
async fn foamed_ticket(world: &World) -> String {
    let paste = json!([{ "material": "water", "kg_m3": 310.5 }, { "material": "cement", "kg_m3": 621.0 }]);
    ticket_of(world, paste).await
}

async fn ticket_of(world: &World, ingredients: Value) -> String {
    let agent = json!({
        "id": "agent", "name": "Foaming liquid", "kind": "foaming_concentrate", "unit": "millilitre", "relative_density": 1.02,
        "supply": "bought", "pack": 5000, "pack_price_minor": 4000, "lead_days": 5,
    });
    world.make("/materials", &agent).await;
    world.make("/mixes", &json!({ "id": "foamed", "name": "Foamed grey", "finish": "grey" })).await;
    let mut made = revision(1);
    made["id"] = json!("foamed@1");
    made["ingredients"] = ingredients;
    made["foam"] = json!({ "concentrate": "agent", "density_kg_m3": 50.0, "dilution": 25.0, "water_counted": false });
    for (field, kg_m3) in [("low_", 918.0), ("", 957.0), ("high_", 996.0)] {
        made[format!("wet_density_{field}kg_m3")] = json!(kg_m3);
    }
    made["air_percent"] = json!(0.0);
    made["batch_max_ml"] = json!(30000);
    world.make("/mixes/foamed/revisions", &made).await;
    let run = in_force(&world.store).await;
    let day: Day = "2026-05-04".parse().unwrap();
    let ticket = Ticket {
        number: TicketNumber { day, sequence: 1 },
        run,
        revision: RevisionId::parse("foamed@1").unwrap(),
        batch: Millilitres::new(21_600),
        washout: Millilitres::new(1_000),
        lines: vec![],
        foam: Millilitres::new(11_000),
        foam_mass: Grams::new(550),
        wet_density_kg_m3: 957.0,
        wet_density_low_kg_m3: 918.0,
        wet_density_high_kg_m3: 996.0,
        fills: vec![Fill {
            panel: PanelId::parse("side").unwrap(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished: 2,
            begun: Millilitres::ZERO,
            volume: Millilitres::new(21_600),
            moulds: vec![],
        }],
        labour: Minutes::new(40),
        cautions: vec![],
        state: TicketState::Issued,
        issued_at: now(),
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    };
    let tx = world.store.write().await.unwrap();
    tickets::insert_day(&tx, day, run, now(), &[ticket]).await.unwrap();
    tx.commit().await.unwrap();
    "/tickets/2026-05-04-01".to_owned()
}

fn weighing(place: &str, kg_m3: f64) -> Value {
    json!({ "by": "the bench", "place": place, "measured_wet_density_kg_m3": kg_m3, "minutes_since_foaming": 4 })
}

#[tokio::test(flavor = "multi_thread")]
async fn a_heavy_load_gets_foam_is_weighed_again_and_all_of_it_is_kept() {
    World::furnished(async |world| {
        let ticket = foamed_ticket(world).await;
        let path = format!("{ticket}/corrections");
        assert_eq!(world.get(&path).await.json(), json!([]));
        let mut heavy = weighing("mixer", 1040.0);
        heavy["generator_l_per_minute"] = json!(45.0);
        heavy["foam_density_kg_m3"] = json!(52.0);
        let asked = world.ask("POST", &path).header("Idempotency-Key", "w1").json(&heavy).send().await;
        assert_eq!(asked.status, 201, "{asked:?}");
        let again = world.ask("POST", &path).header("Idempotency-Key", "w1").json(&heavy).send().await;
        assert_eq!(again.json(), asked.json(), "the same key keeps one weighing");
        let first = asked.json()["correction"].clone();
        // The ticket's own 22.6 L; x = V (D - T) / (T - ρf).
        let foam = 22.6 * (1040.0 - 957.0) / (957.0 - 52.0);
        assert_eq!(
            (&first["sequence"], &first["answer"], &first["volume_ml"]),
            (&json!(1), &json!("add_foam"), &json!(22600))
        );
        // What the answer hangs on is kept: the slurry of 310.5 + 621 kg in 310.5 + 621 / 3.15 L, the mixer's most.
        near(&first["slurry_density_kg_m3"], 931.5 / (0.3105 + 0.621 / 3.15), 0.5);
        assert_eq!((&first["mixer_most_ml"], &first["generator_l_per_minute"]), (&json!(31000), &json!(45.0)));
        near(&first["added_ml"], foam * 1000.0, 0.5);
        near(&first["added_g"], foam * 52.0, 0.5);
        near(&first["generator_seconds"], foam / 45.0 * 60.0, 1e-9);
        near(&first["volume_then_ml"], 22600.0 + foam * 1000.0, 0.5);
        assert_eq!(first["panels_then"], 2);
        assert!(asked.json()["worked"][0]["formula"].as_str().unwrap().contains("(D - T)"));

        let said = json!({ "by": "the bench", "did": "foam_added", "added_ml": 2000 });
        let done = world.post(&format!("{path}/1/done"), &said).await;
        assert_eq!((done.status, &done.json()["done"]["added_ml"]), (200, &json!(2000)), "{done:?}");
        assert_eq!(world.post(&format!("{path}/1/done"), &said).await.json(), done.json());
        let other = world.post(&format!("{path}/1/done"), &json!({ "by": "the bench", "did": "thrown_away" })).await;
        assert_eq!(other.status, 409, "{other:?}");
        assert_eq!(world.post(&format!("{path}/2/done"), &said).await.status, 404);

        let accepted = world.make(&path, &weighing("mixer", 960.0)).await.json()["correction"].clone();
        assert_eq!(
            (&accepted["answer"], &accepted["volume_ml"]),
            (&json!("accept"), &json!(24600)),
            "with what was added"
        );
        // At the mould: 5.2 % above what was accepted at the mixer.
        let rise = world.make(&path, &weighing("mould", 1010.0)).await.json()["correction"].clone();
        assert_eq!(rise["answer"], "reject");
        near(&rise["rise_percent"], 5.208, 0.001);

        let kept = world.get(&path).await.json();
        let answers: Vec<_> = kept.as_array().unwrap().iter().map(|c| c["answer"].as_str().unwrap()).collect();
        assert_eq!(answers, ["add_foam", "accept", "reject"]);
        assert_eq!(kept[0]["done"]["did"], "foam_added");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_load_without_foam_is_poured_or_not_and_one_never_accepted_is_held_against_its_limits() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let path = "/tickets/2026-05-04-01/corrections";
        let right = world.make(path, &weighing("mixer", 2260.0)).await.json();
        assert_eq!(
            (&right["correction"]["answer"], &right["correction"]["volume_ml"]),
            (&json!("accept"), &json!(11800))
        );
        let wrong = world.make(path, &weighing("mixer", 2100.0)).await.json();
        assert_eq!(wrong["correction"]["answer"], "reject");
        // Nothing in it breaks down on the way to the mould.
        let at_mould = world.make("/tickets/2026-05-04-02/corrections", &weighing("mould", 2250.0)).await.json();
        assert_eq!(
            (&at_mould["correction"]["answer"], &at_mould["correction"]["rise_percent"]),
            (&json!("accept"), &Value::Null)
        );
    })
    .await;
    World::furnished(async |world| {
        let path = format!("{}/corrections", foamed_ticket(world).await);
        let unheld = world.make(&path, &weighing("mould", 960.0)).await.json();
        assert_eq!(
            (&unheld["correction"]["answer"], &unheld["correction"]["rise_percent"]),
            (&json!("accept"), &Value::Null)
        );
        assert!(unheld["correction"]["sentence"].as_str().unwrap().contains("not weighed and accepted at the mixer"));
        // Foam folded in without an amount, as answered: the load is what the answer made of it.
        let heavy = world.make(&path, &weighing("mixer", 1040.0)).await.json()["correction"].clone();
        let said = json!({ "by": "the bench", "did": "foam_added" });
        let done = world.post(&format!("{path}/2/done"), &said).await.json();
        assert_eq!(done["done"]["added_ml"], heavy["added_ml"]);
        assert_eq!(world.post(&format!("{path}/2/done"), &said).await.json(), done, "the same said again is the same");
        let again = world.make(&path, &weighing("mixer", 957.0)).await.json();
        assert_eq!(again["correction"]["volume_ml"], heavy["volume_then_ml"]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn weighings_that_cannot_be_answered_say_why() {
    World::furnished(async |world| {
        let ticket = foamed_ticket(world).await;
        let path = format!("{ticket}/corrections");
        let mut wrong = weighing("mixer", 50.0);
        wrong["by"] = json!("");
        wrong["volume_ml"] = json!(0);
        assert_eq!(world.post(&path, &wrong).await.pointers(), ["/by", "/measured_wet_density_kg_m3", "/volume_ml"]);
        let mut thin = weighing("mixer", 1040.0);
        thin["slurry_density_kg_m3"] = json!(900.0);
        assert_eq!(world.post(&path, &thin).await.pointers(), ["/slurry_density_kg_m3"]);
        let late = {
            let mut late = weighing("mixer", 957.0);
            late["minutes_since_foaming"] = json!(31);
            world.make(&path, &late).await.json()
        };
        assert_eq!(late["correction"]["answer"], "reject");
        assert_eq!(
            world
                .post(&format!("{path}/1/done"), &json!({ "by": "x", "did": "poured", "added_ml": 5 }))
                .await
                .pointers(),
            ["/added_ml"]
        );
        assert_eq!(world.post("/tickets/2026-05-04-09/corrections", &weighing("mixer", 957.0)).await.status, 404);
        assert_eq!(world.get("/tickets/2026-05-04-09/corrections").await.status, 404);
        world.make(&format!("{ticket}/void"), &json!({ "reason": "the mixer broke" })).await;
        assert_eq!(world.post(&path, &weighing("mixer", 957.0)).await.status, 409);
        assert_eq!(world.get(&path).await.json().as_array().unwrap().len(), 1);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_ticket_s_load_is_weighed_out_anew_with_today_s_foam() {
    World::furnished(async |world| {
        let ticket = foamed_ticket(world).await;
        let issued = world.get(&ticket).await.json();
        let usual = world.get(&format!("{ticket}/sheet")).await.json();
        let today = world.get(&format!("{ticket}/sheet?foam_density_kg_m3=55.5")).await.json();
        // Batch and washout, at the same wet density; heavier foam leaves less room for water and cement.
        for sheet in [&usual, &today] {
            near(&sheet["volume_l"], 22.6, 1e-9);
            near(&sheet["wet_density_kg_m3"], 957.0, 1.0);
        }
        near(&usual["foam"]["density_kg_m3"], 50.0, 1e-9);
        near(&today["foam"]["density_kg_m3"], 55.5, 1e-9);
        assert_ne!(usual["lines"], today["lines"]);
        assert_eq!(world.get(&ticket).await.json(), issued, "what is issued stays");
        for wrong in ["wet", "9", "301", "NaN"] {
            let answer = world.get(&format!("{ticket}/sheet?foam_density_kg_m3={wrong}")).await;
            assert_eq!(
                (answer.status, answer.pointers()),
                (400, vec!["/query/foam_density_kg_m3".to_owned()]),
                "{wrong}"
            );
        }
        assert_eq!(world.get("/tickets/2026-05-04-09/sheet").await.status, 404);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_ticket_s_load_takes_its_water_from_wet_sand() {
    World::furnished(async |world| {
        let sanded = json!([
            { "material": "water", "kg_m3": 250.0 }, { "material": "cement", "kg_m3": 480.0 }, { "material": "sand", "kg_m3": 200.9 },
        ]);
        let ticket = ticket_of(world, sanded).await;
        let exact = |sheet: &Value, material: &str| {
            let lines = sheet["lines"].as_array().unwrap();
            lines.iter().find(|l| l["material"] == material).unwrap()["exact_g"].as_f64().unwrap()
        };
        let usual = world.get(&format!("{ticket}/sheet")).await.json();
        let wet = world.get(&format!("{ticket}/sheet?moisture_percent=sand:5")).await.json();
        let more = exact(&wet, "sand") - exact(&usual, "sand");
        assert!(more > 0.0);
        // What the sand brings is not poured in again.
        near(&json!(exact(&usual, "water") - exact(&wet, "water")), more, 1e-6);
        near(&json!(exact(&wet, "cement")), exact(&usual, "cement"), 1e-6);
        let both = format!("{ticket}/sheet?foam_density_kg_m3=9&moisture_percent=sand:5,sand,:,gold:61");
        let answer = world.get(&both).await;
        let moisture = "/query/moisture_percent".to_owned();
        let mut wanted = vec![moisture; 4];
        wanted[0] = "/query/foam_density_kg_m3".to_owned();
        assert_eq!((answer.status, answer.pointers()), (400, wanted), "{}", answer.text);
        for wrong in ["cement:5", "sand:5,sand:6", "mud:5", "sand:-1", "sand:60.5", "sand:NaN"] {
            let answer = world.get(&format!("{ticket}/sheet?moisture_percent={wrong}")).await;
            let wanted = vec!["/query/moisture_percent".to_owned()];
            assert_eq!((answer.status, answer.pointers()), (400, wanted), "{wrong}");
        }
    })
    .await;
}
