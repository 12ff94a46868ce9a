//! Trials over HTTP: recorded and added to, what a revision is put in use on, side by side, and the line through them.

use serde_json::{Value, json};

use crate::world::{World, material, revision};

fn near(found: &Value, wanted: f64, within: f64) {
    let number = found.as_f64().unwrap_or_else(|| panic!("{found} is no number"));
    assert!((number - wanted).abs() <= within, "{number} is not {wanted} within {within}");
}

fn trial(id: &str, revision: &str) -> Value {
    json!({ "id": id, "revision": revision, "mixed_on": "2026-03-16", "by": "the bench" })
}

/// A trial with one density, oven-dry, and one strength at 28 days.
fn point(id: &str, revision: &str, kg_m3: f64, mpa: f64) -> Value {
    let mut point = trial(id, revision);
    point["densities"] = json!([{ "state": "oven_dry", "density_kg_m3": kg_m3 }]);
    point["strengths"] = json!([{ "age_days": 28.0, "strength_mpa": mpa }]);
    point
}

/// A revision on trial, so that putting it in use can be asked for.
async fn revision_on_trial(world: &World, number: u32) -> String {
    let mut made = revision(number);
    made["state"] = json!("on_trial");
    made.as_object_mut().unwrap().remove("reason");
    world.make("/mixes/plain/revisions", &made).await;
    format!("/mixes/plain/revisions/{number}")
}

async fn put_in_state(world: &World, path: &str, standing: Value) -> crate::world::Answer {
    let etag = world.get(path).await.etag();
    world.ask("PUT", path).header("If-Match", &etag).json(&standing).send().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_trial_is_recorded_read_added_to_and_listed_by_revision() {
    World::furnished(async |world| {
        let mut first = trial("t-1", "plain@1");
        first["masses"] = json!([{ "material": "cement", "mass_g": 4200 }]);
        first["wet_density_kg_m3"] = json!(2251.0);
        let made = world.make("/trials", &first).await;
        assert_eq!((made.status, made.header("location")), (201, Some("/trials/t-1")));
        assert_eq!(world.post("/trials", &first).await.status, 409);
        let later = world
            .change("/trials/t-1", |there| {
                there["strengths"] = json!([{ "age_days": 28, "strength_mpa": 31.5 }]);
                there["panels"] = json!([{ "panel": "side", "state": "air_dry", "mass_g": 24000 }]);
                there["photos"] = json!(["cube-28.jpg"]);
            })
            .await;
        assert_eq!(later.status, 200, "{later:?}");
        let shown = world.get("/trials/t-1").await.json();
        assert_eq!(shown["strengths"][0]["strength_mpa"], 31.5);
        assert_eq!(shown["masses"], first["masses"]);
        let lost = world.ask("PUT", "/trials/t-1").header("If-Match", &made.etag()).json(&first).send().await;
        assert_eq!(lost.status, 412);

        revision_on_trial(world, 2).await;
        world.make("/trials", &trial("t-2", "plain@2")).await;
        let of = async |query: &str| {
            let list = world.get(&format!("/trials{query}")).await;
            assert_eq!(list.status, 200, "{list:?}");
            list.json().as_array().unwrap().iter().map(|t| t["id"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
        };
        assert_eq!(of("").await, ["t-1", "t-2"]);
        assert_eq!(of("?revision=plain@2").await, ["t-2"]);
        assert_eq!(of("?revision=plain@9").await, Vec::<String>::new());
        let moved = world.change("/trials/t-2", |there| there["revision"] = json!("plain@1")).await;
        assert_eq!(moved.status, 409, "{moved:?}");
        let gone = world.ask("DELETE", "/trials/t-2").header("If-Match", &world.get("/trials/t-2").await.etag());
        assert_eq!(gone.send().await.status, 204);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_revision_is_put_in_use_on_a_trial_or_a_reason_and_each_time_is_kept() {
    World::furnished(async |world| {
        let path = revision_on_trial(world, 2).await;
        let refused = put_in_state(world, &path, json!({ "state": "in_use" })).await;
        assert_eq!((refused.status, refused.pointers()), (422, vec!["/reason".to_owned()]), "{refused:?}");
        world.make("/trials", &point("t-of-another", "plain@1", 2_240.0, 30.0)).await;
        world.make("/trials", &trial("t-1", "plain@2")).await;
        let bare = put_in_state(world, &path, json!({ "state": "in_use" })).await;
        assert_eq!(
            (bare.status, bare.pointers()),
            (422, vec!["/reason".to_owned()]),
            "nothing was found of it: {bare:?}"
        );
        let found = |there: &mut Value| there["strengths"] = json!([{ "age_days": 28.0, "strength_mpa": 30.5 }]);
        assert_eq!(world.change("/trials/t-1", found).await.status, 200);
        let used = put_in_state(world, &path, json!({ "state": "in_use" })).await;
        assert_eq!((used.status, &used.json()["reason"]), (200, &json!("trial t-1 of 2026-03-16")), "{used:?}");
        let retired = put_in_state(world, &path, json!({ "state": "retired", "reason": "shrinks" })).await;
        assert_eq!(retired.json()["state"], "retired");

        let untried = revision_on_trial(world, 3).await;
        let used =
            put_in_state(world, &untried, json!({ "state": "in_use", "reason": "as plain@1, finer sand" })).await;
        assert_eq!(used.status, 200, "{used:?}");

        let kept = world.get(&format!("{path}/standings")).await.json();
        let told: Vec<_> = kept.as_array().unwrap().iter().map(|s| (&s["state"], &s["trial"], &s["reason"])).collect();
        assert_eq!(
            told,
            [
                (&json!("on_trial"), &Value::Null, &Value::Null),
                (&json!("in_use"), &json!("t-1"), &json!("trial t-1 of 2026-03-16")),
                (&json!("retired"), &Value::Null, &json!("shrinks")),
            ]
        );
        let page = world.get(&format!("{path}/standings?limit=2")).await;
        assert!(page.header("link").unwrap().contains("rel=\"next\""), "{page:?}");
        assert_eq!(world.get("/mixes/plain/revisions/9/standings").await.status, 404);
        // The trial it was put in use on is kept, and only added to.
        let emptied = world.change("/trials/t-1", |there| there["strengths"] = json!([])).await;
        assert_eq!(emptied.status, 409, "{emptied:?}");
        let more = world.change("/trials/t-1", |there| there["wear_loss_g"] = json!(12.0)).await;
        assert_eq!(more.status, 200, "{more:?}");
        let etag = world.get("/trials/t-1").await.etag();
        let removed = world.ask("DELETE", "/trials/t-1").header("If-Match", &etag).send().await;
        assert_eq!(removed.status, 409, "{removed:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn trials_are_laid_side_by_side_against_a_reference() {
    World::furnished(async |world| {
        revision_on_trial(world, 2).await;
        let mut light = trial("light", "plain@2");
        light["wet_density_kg_m3"] = json!(960.0);
        light["densities"] = json!([
            { "state": "air_dry", "density_kg_m3": 800.0 }, { "state": "air_dry", "density_kg_m3": 820.0 },
            { "state": "oven_dry", "density_kg_m3": 750.0 },
        ]);
        light["strengths"] = json!([{ "age_days": 28, "strength_mpa": 3.0 }, { "age_days": 7, "strength_mpa": 2.0 }]);
        light["wear_loss_g"] = json!(30.0);
        light["panels"] = json!([{ "panel": "side", "state": "air_dry", "mass_g": 8700 }]);
        let mut heavy = trial("heavy", "plain@1");
        heavy["wet_density_kg_m3"] = json!(2400.0);
        heavy["densities"] = json!([{ "state": "air_dry", "density_kg_m3": 2250.0 }]);
        heavy["strengths"] = json!([{ "age_days": 28, "strength_mpa": 30.0 }]);
        heavy["wear_loss_g"] = json!(10.0);
        heavy["panels"] = json!([{ "panel": "side", "state": "air_dry", "mass_g": 24300 }]);
        world.make("/trials", &light).await;
        world.make("/trials", &heavy).await;

        let asked = json!({ "trials": ["light", "heavy"], "reference_trial": "heavy" });
        let found = world.post("/trial-comparisons", &asked).await;
        assert_eq!(found.status, 200, "{found:?}");
        let found = found.json();
        let mine = &found["trials"][0];
        assert_eq!((&mine["lighter"][0]["state"], &mine["lighter"][1]["state"]), (&json!("fresh"), &json!("air_dry")));
        near(&mine["lighter"][0]["percent"], 60.0, 1e-9);
        near(&mine["lighter"][1]["percent"], 64.0, 1e-9);
        near(&mine["stronger_percent"], -90.0, 1e-9);
        near(&mine["less_worn_percent"], -200.0, 1e-9);
        // One recipe, one price.
        near(&mine["cheaper_percent"], 0.0, 1e-9);
        near(&found["reference"]["cost_minor_m3"], (350.0 + 1700.0) / 25.0 * 495.0, 1e-6);
        near(&mine["panels"][0]["lighter_percent"], (24300.0 - 8700.0) / 243.0, 1e-9);
        assert!(mine["remarks"][0].as_str().unwrap().starts_with("oven-dry density was not found of both"), "{mine}");
        near(&found["trials"][1]["stronger_percent"], 0.0, 1e-9);

        // Against figures, at another age: what the reference does not say is not compared.
        let reference = json!({ "name": "bought gravel panel", "densities": [{ "state": "oven_dry", "density_kg_m3": 2000.0 }], "strength_mpa": 4.0 });
        let asked = json!({ "trials": ["light"], "reference": reference, "age_days": 7.0 });
        let found = world.make("/trial-comparisons", &asked).await.json();
        near(&found["trials"][0]["lighter"][0]["percent"], 62.5, 1e-9);
        near(&found["trials"][0]["stronger_percent"], -50.0, 1e-9);
        assert!(found["trials"][0]["less_worn_percent"].is_null() && found["trials"][0]["cheaper_percent"].is_null());

        for (wrong, places) in [
            (json!({ "trials": ["light"] }), vec!["/reference"]),
            (json!({ "trials": ["none", "light"], "reference_trial": "no-such" }), vec!["/trials/0", "/reference_trial"]),
            (
                json!({ "trials": ["light"], "reference": { "name": "x", "densities": [{ "state": "fresh", "density_kg_m3": 2000 }, { "state": "fresh", "density_kg_m3": 2100 }] } }),
                vec!["/reference/densities/1/state"],
            ),
        ] {
            let answer = world.post("/trial-comparisons", &wrong).await;
            assert_eq!((answer.status, answer.pointers()), (422, places.into_iter().map(str::to_owned).collect()), "{wrong}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_line_is_drawn_once_there_are_five_and_never_across_kinds_of_concrete() {
    World::furnished(async |world| {
        world.make("/materials", &material("rapid", "rapid_cement", 2.98)).await;
        world.make("/mixes", &json!({ "id": "quick", "name": "Quick", "finish": "grey" })).await;
        let mut quick = revision(1);
        quick["id"] = json!("quick@1");
        quick["ingredients"][0]["material"] = json!("rapid");
        world.make("/mixes/quick/revisions", &quick).await;

        // Points on ln f = ln 0.3 + 0.0025 d.
        let law = |d: f64| 0.3 * (0.0025 * d).exp();
        for (index, density) in [600.0, 700.0, 800.0, 900.0].into_iter().enumerate() {
            world.make("/trials", &point(&format!("p-{index}"), "plain@1", density, law(density))).await;
        }
        world.make("/trials", &point("quick-1", "quick@1", 1000.0, 25.0)).await;
        world.make("/trials", &trial("untested", "plain@1")).await;
        let few = world.get("/density-strength?concrete=portland_without_foam").await.json();
        assert_eq!(few["points"].as_array().unwrap().len(), 4, "{few}");
        assert_eq!(few["left_out"], json!([{ "trial": "untested", "why": "no oven-dry density" }]));
        assert!(few["remark"].as_str().unwrap().contains("too few"), "{few}");
        assert_eq!(few["readings"], json!([]));

        world.make("/trials", &point("p-4", "plain@1", 1000.0, law(1000.0))).await;
        let line = world.get("/density-strength?age_days=28&concrete=portland_without_foam&mix=plain").await.json();
        assert_eq!(line["readings"].as_array().unwrap().len(), 3, "{line}");
        near(&line["readings"][1]["strength_mpa"], law(800.0), 1e-9);
        near(&line["readings"][2]["strength_high_mpa"], law(1000.0), 1e-6);
        assert!(line["worked"].as_array().unwrap().len() >= 6 && line["remark"].is_null(), "{line}");
        let read = world.get("/density-strength?concrete=portland_without_foam&density_kg_m3=850").await.json();
        near(&read["readings"][0]["strength_mpa"], law(850.0), 1e-9);
        let beyond = world.get("/density-strength?concrete=portland_without_foam&density_kg_m3=1100").await.json();
        assert!(beyond["remark"].as_str().unwrap().contains("600 to 1000"), "{beyond}");
        let week = world.get("/density-strength?concrete=portland_without_foam&age_days=7").await.json();
        assert_eq!(week["left_out"][0]["why"], "no strength at 7 days", "{week}");
        let rapid = world.get("/density-strength?concrete=rapid_without_foam").await.json();
        assert_eq!(rapid["points"].as_array().unwrap().len(), 1, "{rapid}");
        let foamed = world.get("/density-strength").await.json();
        assert_eq!((&foamed["concrete"], &foamed["points"]), (&json!("portland_foamed"), &json!([])));
        assert_eq!(world.get("/density-strength?age_days=0").await.pointers(), ["/query/age_days"]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn faults_of_a_trial_come_all_at_once() {
    World::furnished(async |world| {
        let mut wrong = trial("x", "plain@1");
        wrong["by"] = json!(" ");
        wrong["strengths"] = json!([{ "age_days": 0, "strength_mpa": 3 }]);
        wrong["masses"] = json!([{ "material": "cement", "mass_g": 1 }, { "material": "cement", "mass_g": 1 }]);
        let answer = world.post("/trials", &wrong).await;
        assert_eq!(answer.status, 422, "{answer:?}");
        assert_eq!(answer.pointers(), ["/by", "/masses/1/material", "/strengths/0/age_days"]);
        let mut missing = trial("x", "plain@9");
        missing["panels"] = json!([{ "panel": "lid", "state": "air_dry", "mass_g": 5 }]);
        missing["masses"] = json!([{ "material": "gold", "mass_g": 1 }]);
        let answer = world.post("/trials", &missing).await;
        let mut places = answer.pointers();
        places.sort();
        assert_eq!(places, ["/masses/0/material", "/panels/0/panel", "/revision"]);
        let mut tomorrow = trial("x", "plain@1");
        tomorrow["mixed_on"] = json!("2026-05-05");
        assert_eq!(world.post("/trials", &tomorrow).await.pointers(), ["/mixed_on"]);
        // With whatever else is wrong.
        tomorrow["photos"] = json!(["front.jpg", "front.jpg"]);
        let mut places = world.post("/trials", &tomorrow).await.pointers();
        places.sort();
        assert_eq!(places, ["/mixed_on", "/photos/1"]);
        assert_eq!(world.get("/trials").await.json(), json!([]));
    })
    .await;
}
