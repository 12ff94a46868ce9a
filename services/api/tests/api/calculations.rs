//! The calculations over HTTP: what the document shows is what is answered, figures checked by hand, faults all at once.

use api::DOCUMENT;
use serde_json::{Value, json};

use crate::world::{World, revision};

fn near(found: &Value, wanted: f64, within: f64) {
    let number = found.as_f64().unwrap_or_else(|| panic!("{found} is no number"));
    assert!((number - wanted).abs() <= within, "{number} is not {wanted} within {within}");
}

/// Neat Portland paste, foamed to 960 kg/m³ as the demonstration workshop's grey mix is.
fn grey() -> Value {
    json!({
        "ingredients": [
            { "material": "mains", "kind": "water", "amount": "310.5 kg/m³" },
            { "material": "portland", "kind": "portland_cement", "amount": "621 kg/m³" },
            { "material": "glass", "kind": "fibre", "amount": "4 kg/m³", "relative_density": 2.7 },
        ],
        "foam": { "density": "50 kg/m³", "amount": "rest", "water_counted": false, "dilution": 25.0 },
        "wet_density": "960 kg/m³", "wet_density_low": "920 kg/m³", "wet_density_high": "1000 kg/m³",
    })
}

/// A revision whose contents really make a cubic metre, beside the furnished world's rough one.
async fn sound_revision(world: &World) {
    let mut sound = revision(2);
    sound["ingredients"][1]["kg_m3"] = json!(1838.8);
    for (field, kg_m3) in [("low_", 2310.0), ("", 2364.0), ("high_", 2410.0)] {
        sound[format!("wet_density_{field}kg_m3")] = json!(kg_m3);
    }
    world.make("/mixes/plain/revisions", &sound).await;
}

/// Whether two values are the same but for digits beyond the fourth and for what the document leaves out of long lists.
fn alike(shown: &Value, found: &Value) -> bool {
    match (shown, found) {
        (Value::Number(a), Value::Number(b)) => (a.as_f64().unwrap() - b.as_f64().unwrap()).abs() <= 0.000_051,
        (Value::Array(a), Value::Array(b)) => a.len() <= b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b)),
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(name, a)| b.get(name).is_some_and(|b| alike(a, b)))
        }
        (a, b) => a == b,
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_calculation_answers_its_example_as_the_document_shows_it() {
    World::bare(async |world| {
        let paths = DOCUMENT.json["paths"].as_object().unwrap();
        let mut asked = 0;
        for (path, item) in paths.iter().filter(|(path, _)| path.starts_with("/calculations/")) {
            let post = &item["post"];
            let answer = world.post(path, &post["requestBody"]["content"]["application/json"]["example"]).await;
            assert_eq!(answer.status, 200, "{path}: {answer:?}");
            let shown = &post["responses"]["200"]["content"]["application/json"]["example"];
            assert!(alike(shown, &answer.json()), "{path}: {shown}\n{}", answer.text);
            assert!(answer.text.contains("\"formula\""), "{path} shows no worked line");
            asked += 1;
        }
        assert!(asked >= 11, "only {asked} calculations");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn one_mix_is_the_same_in_every_usual_form() {
    World::bare(async |world| {
        // 12.42 kg of water, 24.84 kg of cement: by mass, in pounds, by the bag, in parts, by liquid measure and per yard.
        let forms = [
            ("12.42 kg", "24.84 kg"),
            ("27.38141297 lb", "54.76282594 lb"),
            ("12.42 L", "0.9936 x 25 kg"),
            ("1 part", "2 parts"),
            ("3.281017 US gal", "876.22 oz av"),
            ("523.366 lb/yd³", "1046.732 lb/yd³"),
        ];
        let mut densities = Vec::new();
        for (water, cement) in forms {
            let recipe = json!({
                "ingredients": [
                    { "material": "water", "kind": "water", "amount": water },
                    { "material": "cement", "kind": "portland_cement", "amount": cement },
                ],
                "foam": { "density": "50 g/L", "water_counted": true }, "wet_density": "60 lb/ft³",
            });
            let found = world.make("/calculations/proportions", &json!({ "recipe": recipe })).await.json();
            near(&found["wet_density_kg_m3"], 961.108, 0.01);
            near(&found["water_cement_with_foam"], 0.5, 1e-4);
            densities.push(found["ingredients"][1]["content_kg_m3"].as_f64().unwrap());
        }
        let spread = densities.iter().fold(0.0_f64, |most, d| most.max((d - densities[0]).abs()));
        assert!(spread < 0.1, "{densities:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_revision_is_worked_out_alike_on_its_own_page_and_in_a_calculation() {
    World::furnished(async |world| {
        sound_revision(world).await;
        let page = world.get("/mixes/plain/revisions/2/proportions").await;
        assert_eq!(page.status, 200, "{page:?}");
        let asked = world.make("/calculations/proportions", &json!({ "revision": "plain@2" })).await;
        assert_eq!(page.json(), asked.json());
        let sheet = world.get("/mixes/plain/revisions/2/batch?litres=20").await.json();
        let loads = world.make("/calculations/batch", &json!({ "revision": "plain@2", "load": "20 L" })).await.json();
        assert_eq!(loads["last_sheet"], sheet);
        assert_eq!(loads["count"], 1);

        let pair = json!({ "first": { "revision": "plain@2" }, "second": { "revision": "plain@2" } });
        let same = world.make("/calculations/comparison", &pair).await.json();
        near(&same["lighter_wet_percent"], 0.0, 1e-9);
        // 350 kg of cement and 1838.8 kg of sand, each at 4.95 a bag of 25 kg.
        near(&same["first_cost_minor_m3"], (350.0 + 1838.8) / 25.0 * 495.0, 1e-6);
        near(&same["cheaper_percent"], 0.0, 1e-9);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_catalogue_fills_in_what_a_recipe_leaves_out() {
    World::furnished(async |world| {
        sound_revision(world).await;
        let recipe = json!({ "ingredients": [
            { "material": "cement", "amount": "350 kg/m³" }, { "material": "sand", "amount": "1838.8 kg/m³" },
            { "material": "water", "amount": "175 kg/m³" },
        ], "air_percent": 2.0 });
        let written = world.make("/calculations/proportions", &json!({ "recipe": recipe })).await.json();
        let on_record = world.get("/mixes/plain/revisions/2/proportions").await.json();
        assert_eq!(written["ingredients"], on_record["ingredients"]);
        assert_eq!(written["wet_density_kg_m3"], on_record["wet_density_kg_m3"]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_load_is_accepted_corrected_or_refused() {
    World::bare(async |world| {
        let asked = |changes: Value| {
            let mut body = json!({
                "recipe": grey(), "volume": "30 L", "minutes_since_foaming": 4, "mixer_most": "36 L", "panel": "10 L",
            });
            body.as_object_mut().unwrap().extend(changes.as_object().unwrap().clone());
            body
        };
        let ask = async |changes: Value| world.make("/calculations/correction", &asked(changes)).await.json();

        let right = ask(json!({ "measured_wet_density": "955 kg/m³" })).await;
        assert_eq!((&right["answer"], &right["panels"]), (&json!("accept"), &json!(3)));

        // x = 30 (1040 - 960) / (960 - 50).
        let heavy = ask(json!({ "measured_wet_density": "1040 kg/m³", "generator_l_per_minute": 60.0 })).await;
        assert_eq!(heavy["answer"], "add_foam");
        near(&heavy["add_l"], 30.0 * 80.0 / 910.0, 1e-9);
        near(&heavy["generator_seconds"], 30.0 * 80.0 / 910.0, 1e-9);
        near(&heavy["volume_l"], 30.0 + 30.0 * 80.0 / 910.0, 1e-9);
        assert!(
            heavy["worked"].as_array().unwrap().iter().any(|w| w["formula"] == "x = V (D - T) / (T - ρf)"),
            "{heavy}"
        );

        let light = ask(json!({ "measured_wet_density": "900 kg/m³" })).await;
        assert_eq!(light["answer"], "add_slurry");
        assert!(light["generator_seconds"].is_null());

        let late = ask(json!({ "measured_wet_density": "960 kg/m³", "minutes_since_foaming": 31 })).await;
        assert_eq!(late["answer"], "reject");
        assert!(late["panels"].is_null() && late["sentence"].as_str().unwrap().contains("31 minutes"), "{late}");

        // Weighed: (1.46 - 0.5) kg in a litre; at the mould 5.2 % more than at the mixer.
        let weighed = json!({ "full": "1.46 kg", "empty": "500 g", "holds": "1 L" });
        let poured = ask(json!({ "weighed": weighed, "wet_density_at_mould": "1010 kg/m³" })).await;
        near(&poured["measured_wet_density_kg_m3"], 960.0, 1e-9);
        assert_eq!((&poured["answer"], &poured["at_mould"]["answer"]), (&json!("accept"), &json!("reject")));
        near(&poured["at_mould"]["rise_percent"], 5.208, 0.001);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn days_in_the_mould_follow_the_calendar() {
    World::furnished(async |world| {
        sound_revision(world).await;
        // Warm days at the workshop's usual 15 °C, and a cold spell over the third.
        for day in ["2026-05-06", "2026-05-07", "2026-05-08"] {
            let told = json!({ "day": day, "work": "usual", "air_c": 3.0 });
            let put = world.ask("PUT", &format!("/calendar/{day}")).json(&told).send().await;
            assert!(put.status == 200 || put.status == 201, "{put:?}");
        }
        let holds = world.get("/mixes/plain/revisions/2/holds?from=2026-05-04&to=2026-05-08").await;
        assert_eq!(holds.status, 200, "{holds:?}");
        let holds = holds.json();
        let days: Vec<i64> =
            holds["days"].as_array().unwrap().iter().map(|d| d["hold_days"].as_i64().unwrap()).collect();
        // By hand: 20 h at 20 °C; an hour at 15 °C counts 0.7439, at 3 °C 0.3497.
        // Monday: 6.7 + 5.9 by Tuesday's strip hour, 6.7 + 17.9 + 2.8 by Wednesday's. Thursday: 3.1 + 8.4 + 5.9 by Saturday's
        // are 17.5, too few.
        assert_eq!(days, [2, 3, 3, 3, 2], "{holds}");
        assert_eq!(holds["days"][2]["may_be_poured"], false);
        assert!(holds["days"][0]["worked"].as_array().unwrap().len() >= 2);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn faults_of_a_calculation_come_all_at_once_at_their_places() {
    World::furnished(async |world| {
        sound_revision(world).await;
        let item = |amount: &str| json!({ "material": "x", "kind": "aggregate", "amount": amount, "relative_density": 2.6 });
        let with = |ingredient: Value| json!({ "recipe": { "ingredients": [ingredient] } });
        let rows: Vec<(&str, Value, Vec<&str>)> = vec![
            ("proportions", json!({}), vec![""]),
            ("proportions", json!({ "revision": "plain@2", "recipe": grey() }), vec!["/recipe"]),
            ("proportions", json!({ "revision": "plain@9" }), vec!["/revision"]),
            ("proportions", json!({ "revision": "plain" }), vec!["/revision"]),
            ("proportions", with(item("3 gal")), vec!["/recipe/ingredients/0/amount"]),
            ("proportions", with(item("3 bags")), vec!["/recipe/ingredients/0/amount"]),
            ("proportions", with(item("5 %")), vec!["/recipe/ingredients/0/amount"]),
            ("proportions", with(item("3 kg")), vec!["/recipe/ingredients", "/recipe/ingredients"]),
            (
                "proportions",
                with(json!({ "material": "unheard-of", "amount": "3 kg" })),
                vec!["/recipe/ingredients/0/kind"],
            ),
            (
                "proportions",
                with(json!({ "material": "g", "kind": "fibre", "amount": "3 ton", "zirconia_percent": 2.0 })),
                vec![
                    "/recipe/ingredients/0/amount",
                    "/recipe/ingredients/0/relative_density",
                    "/recipe/ingredients/0/zirconia_percent",
                ],
            ),
            ("proportions", json!({ "revision": "plain@2", "panel": "0 L", "foam_density": "50" }), vec!["/foam_density", "/panel"]),
            ("batch", json!({ "revision": "plain@2", "load": "20" }), vec!["/load"]),
            ("batch", json!({ "revision": "plain@2", "load": "20 L", "mixer_most": "5 L", "mixer_least": "9 L" }), vec!["/mixer_most"]),
            (
                "batch",
                json!({ "revision": "plain@2", "load": "20 L", "moisture": [{ "material": "gold", "percent": 3 }] }),
                vec!["/moisture/0"],
            ),
            ("foam", json!({ "revision": "plain@2", "load": "20 L" }), vec!["/recipe/foam"]),
            ("whole-bags", json!({ "revision": "plain@2", "material": "gold", "bag": "25 kg", "load": "20 L" }), vec!["/material"]),
            (
                "fill-mark",
                json!({ "bottom_diameter": "0 mm", "top_diameter": "330 mm", "height": "400 mm", "mark": "1 m" }),
                vec!["/bottom_diameter"],
            ),
            (
                "fill-mark",
                json!({ "bottom_diameter": "285 mm", "top_diameter": "330 mm", "height": "400 mm" }),
                vec!["/volume"],
            ),
            (
                "moisture",
                json!({ "mixing_water": "1 kg", "aggregates": [{ "material": "sand", "mass": "100 kg", "basis": "saturated_surface_dry", "free_surface_percent": 5 }] }),
                vec!["/aggregates"],
            ),
            (
                "correction",
                json!({ "volume": "30 L", "minutes_since_foaming": 4, "mixer_most": "36 L" }),
                vec![
                    "/foam_density",
                    "/measured_wet_density",
                    "/slurry_density",
                    "/wet_density",
                    "/wet_density_high",
                    "/wet_density_low",
                ],
            ),
            ("hold", json!({ "hold_hours_at_20c": 20, "daily": ["8 °C", "8"] }), vec!["/daily/1"]),
            ("maturity", json!({ "history": [{ "hours": 1, "temperature": "warm" }] }), vec!["/history/0/temperature"]),
        ];
        for (name, body, places) in rows {
            let answer = world.post(&format!("/calculations/{name}"), &body).await;
            assert_eq!(answer.status, 422, "{name} {body}: {answer:?}");
            let mut found = answer.pointers();
            found.sort();
            assert_eq!(found, places, "{name} {body}: {}", answer.text);
        }
    })
    .await;
}
