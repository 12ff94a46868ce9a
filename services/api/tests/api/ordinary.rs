//! Ordinary proportioning, steel, scales and curing over HTTP: figures checked by hand or against what was published.

use serde_json::{Value, json};

use crate::world::World;

fn near(found: &Value, wanted: f64, within: f64) {
    let number = found.as_f64().unwrap_or_else(|| panic!("{found} is no number"));
    assert!((number - wanted).abs() <= within, "{number} is not {wanted} within {within}");
}

async fn ask(world: &World, name: &str, body: Value) -> Value {
    world.make(&format!("/calculations/{name}"), &body).await.json()
}

/// US Navy, NAVEDTRA 14070, chapter 17: 610 lb of cement, 305 lb of water, 5 % air and 0.63 of coarse aggregate leave
/// 1152 lb of sand in a cubic yard.
#[tokio::test(flavor = "multi_thread")]
async fn sand_fills_what_is_left_of_a_cubic_yard() {
    World::bare(async |world| {
        let yard = json!({
            "concrete": "1 yd³", "air_percent": 5, "relative_density": 2.65,
            "others": [
                { "material": "cement", "mass": "610 lb", "relative_density": 3.15 },
                { "material": "water", "mass": "305 lb", "relative_density": 1 },
            ],
            "coarse": { "largest": "three_quarters_inch", "fineness_modulus": 2.7, "bulk_density": "102 lb/ft³", "relative_density": 2.6 },
        });
        let found = ask(world, "sand-by-difference", yard.clone()).await;
        near(&found["coarse_share_percent"], 63.0, 1e-9);
        near(&found["coarse_kg"], 1735.0 * 0.45359237, 0.5);
        near(&found["left_l"], 6.97 * 28.316846592, 0.3);
        near(&found["fine_kg"], 1152.0 * 0.45359237, 1.0);
        // The share as given is the same; so is the coarse aggregate among the others.
        let mut given = yard;
        given["coarse"] = json!({ "share_percent": 63, "bulk_density": "102 lb/ft³", "relative_density": 2.6 });
        assert_eq!(ask(world, "sand-by-difference", given.clone()).await, found);
        let coarse = json!({ "material": "stone", "mass": "1735.02 lb", "relative_density": 2.6 });
        given["others"].as_array_mut().unwrap().push(coarse);
        given["coarse"] = Value::Null;
        let among = ask(world, "sand-by-difference", given).await;
        near(&among["fine_kg"], found["fine_kg"].as_f64().unwrap(), 1e-6);
        assert_eq!(among["coarse_kg"], Value::Null);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn steel_and_scales_are_what_a_pencil_gives() {
    World::bare(async |world| {
        // Welded-wire literature: W5 at 4 in is 0.15 in² to the foot.
        let foot = json!({ "w_number": 5, "spacing": "4 in", "length": "1 ft", "width": "1 ft" });
        let found = ask(world, "mesh", foot).await;
        near(&found["steel_across_mm2"], 0.15 * 25.4 * 25.4, 1e-6);
        // Three feet of wire each way in a square foot at four inches.
        near(&found["mass_kg"], 2.0 * 3.0 * 0.3048 * 0.05 * 25.4 * 25.4 * 7850.0 / 1e6, 1e-6);

        // ASTM C94/C94M-15a: a load of 10 kg on a scale of 50 kg is weighed to 75 g; its steps are to be 50 g or less.
        let scale = |kind: &str, mass: &str, step: i64| json!({ "capacity": "50 kg", "scale_step_g": step, "kind": kind, "mass": mass });
        let found = ask(world, "scale", scale("portland_cement", "10 kg", 50)).await;
        near(&found["accuracy_g"], 75.0, 1e-9);
        assert_eq!((&found["fine_enough"], &found["weighable"]), (&json!(true), &json!(true)));
        near(&found["least_weighable_g"], 50.0 / 2.0 / 0.03, 1e-9);
        near(&found["bands"][0]["least_kg"], 9.7, 1e-9);
        near(&found["bands"][1]["most_kg"], 10.4, 1e-9);
        let coarse = ask(world, "scale", scale("portland_cement", "500 g", 100)).await;
        assert_eq!((&coarse["fine_enough"], &coarse["weighable"]), (&json!(false), &json!(false)));
        // Small doses may be further out, and of water two editions say two things.
        let mut red = scale("pigment", "1 kg", 5);
        red["of_cement_percent"] = json!(4);
        near(&ask(world, "scale", red).await["bands"][0]["most_kg"], 1.05, 1e-9);
        let mut water = scale("water", "8 kg", 5);
        water["all_water"] = json!("10 kg");
        let found = ask(world, "scale", water).await;
        near(&found["bands"][1]["most_kg"], 8.12, 1e-9);
        near(&found["bands"][2]["most_kg"], 8.1, 1e-9);
    })
    .await;
}

/// The states that a trial alone can say are weighed by its densities, and each with its own.
#[tokio::test(flavor = "multi_thread")]
async fn a_panel_weighs_what_each_state_s_density_gives() {
    World::bare(async |world| {
        let mut asked = json!({ "panel": "10 L", "from_the_tank_density": "1010 kg/m³", "air_dry_density": "62 lb/ft³", "recipe": {
            "ingredients": [
                { "material": "mains", "kind": "water", "amount": "310.5 kg/m³" },
                { "material": "portland", "kind": "portland_cement", "amount": "621 kg/m³" },
            ],
            "foam": { "density": "50 kg/m³", "amount": "rest", "water_counted": false },
        } });
        let panel = ask(world, "proportions", asked.clone()).await["panel"].clone();
        near(&panel["from_the_tank_kg"], 10.1, 1e-9);
        near(&panel["air_dry_kg"], 62.0 * 0.45359237 / 28.316846592 * 10.0, 1e-9);
        near(&panel["oven_dry_kg"], 1.2 * 6.21, 1e-9);
        asked["panel"] = Value::Null;
        assert_eq!(world.post("/calculations/proportions", &asked).await.pointers(), ["/panel"]);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn curing_and_age_go_by_the_cement() {
    World::bare(async |world| {
        let of = |kind: &str, portland: Option<f64>| {
            json!({ "recipe": { "ingredients": [
                { "material": "mains", "kind": "water", "amount": "1 part" },
                { "material": "binder", "kind": kind, "amount": "2 parts", "relative_density": 3, "portland_percent": portland },
            ] } })
        };
        for (kind, portland, days) in [
            ("portland_cement", None, 7),
            ("blended_cement", None, 14),
            ("blended_cement", Some(80.0), 14),
            ("blended_cement", Some(60.0), 21),
        ] {
            let found = ask(world, "moist-curing", of(kind, portland)).await;
            assert_eq!(found["least_days"], days, "{kind} {portland:?}: {found}");
        }
        let mut moderate = of("portland_cement", None);
        moderate["moderate"] = json!(true);
        assert_eq!(ask(world, "moist-curing", moderate).await["least_days"], 14);

        let air = json!({ "air": [
            { "hours": 8, "temperature": "50 °F" }, { "hours": 20, "temperature": "9 °C" }, { "hours": 3.5, "temperature": "15 °C" },
        ] });
        let found = ask(world, "stripping", air).await;
        assert_eq!((&found["warm_hours"], &found["may_be_stripped"]), (&json!(11.5), &json!(false)), "{found}");

        // At 20 °C an hour is an hour by either law; in the cold the Danish one counts less.
        let warm = ask(world, "maturity", json!({ "history": [{ "hours": 10, "temperature": "20 °C" }] })).await;
        near(&warm["equivalent_age_h"], 10.0, 1e-9);
        near(&warm["equivalent_age_danish_h"], 10.0, 1e-9);
        let cold = ask(world, "maturity", json!({ "history": [{ "hours": 10, "temperature": "5 °C" }] })).await;
        near(&cold["equivalent_age_h"], 3.99, 0.01);
        near(&cold["equivalent_age_danish_h"], 2.92, 0.01);

        // Two bags are wanted in part: what three make more than the load.
        let recipe = of("portland_cement", None)["recipe"].clone();
        let bags = json!({ "recipe": recipe, "material": "binder", "bag": "25 kg", "load": "50 L" });
        let found = ask(world, "whole-bags", bags).await;
        near(&found["above"]["spare_l"], found["above"]["volume_l"].as_f64().unwrap() - 50.0, 1e-9);
        assert_eq!(found["below"]["spare_l"], 0.0);
        // Three per cent of red is pastel's end; other colours have no shade of this table.
        let colour = |oxide: Value| json!({ "cementitious": "20 kg", "pigments": [{ "name": "one", "percent": 3, "oxide": oxide }] });
        assert_eq!(ask(world, "pigment", colour(json!("red"))).await["shade"], "strong");
        assert_eq!(ask(world, "pigment", colour(Value::Null)).await["shade"], Value::Null);
    })
    .await;
}
