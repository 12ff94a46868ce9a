//! Lots put together, and where their panels came from.

use serde_json::{Value, json};

use crate::world::World;

/// A lot of sides that soak in the north tank.
async fn soaking(world: &World, quantity: i64, since: &str) -> i64 {
    let lot = json!({
        "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "soaking", "since": since, "quantity": quantity,
        "tank": "north", "row": "middle",
    });
    world.make("/lots", &lot).await.json()["id"].as_i64().unwrap()
}

fn numbers(lots: &Value) -> Vec<i64> {
    lots.as_array().unwrap().iter().map(|lot| lot["lot"]["id"].as_i64().unwrap()).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn lots_alike_are_put_together_and_every_trace_leads_through_them() {
    World::furnished(async |world| {
        let (one, two) = (soaking(world, 3, "2026-04-29").await, soaking(world, 2, "2026-04-30").await);
        let made = world.make(&format!("/lots/{one}/join"), &json!({ "lots": [two] })).await.json();
        assert_eq!(
            (&made["quantity"], &made["since"], &made["row"]),
            (&json!(5), &json!("2026-04-30"), &json!("middle"))
        );
        for lot in [one, two] {
            assert_eq!(world.get(&format!("/lots/{lot}")).await.json()["quantity"], 0, "it stays as history");
        }
        let drying = json!({ "to": "drying", "quantity": 4, "rack": "long" });
        let dried = world.make(&format!("/lots/{}/moves", made["id"]), &drying).await.json();
        let back = world.get(&format!("/lots/{}/trace", dried["id"])).await.json();
        let (made, dried) = (made["id"].as_i64().unwrap(), dried["id"].as_i64().unwrap());
        assert_eq!(numbers(&back["lots"]), [one, two, made, dried]);
        assert_eq!((&back["lots"][2]["from"], &back["lots"][2]["also_from"]), (&json!(one), &json!([two])), "{back}");
        let forward = world.get(&format!("/lots/{two}/trace")).await.json();
        assert_eq!(numbers(&forward["lots"]), [two, made, dried]);
        let tx = world.store.read().await.unwrap();
        let records = store::audit::records(&tx).await.unwrap();
        assert_eq!(workshop::audit::sweep(&records), []);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn lots_that_are_not_alike_stay_as_they_are() {
    World::furnished(async |world| {
        let (one, two) = (soaking(world, 3, "2026-04-29").await, soaking(world, 2, "2026-04-29").await);
        let path = format!("/lots/{one}/join");
        for (others, pointers) in [(json!([two, 999]), vec!["/lots/1"]), (json!([two, one, two]), vec!["/lots/1", "/lots/2"])] {
            let refused = world.post(&path, &json!({ "lots": others })).await;
            assert_eq!((refused.status, refused.pointers()), (422, pointers.iter().map(ToString::to_string).collect()));
        }
        let elsewhere = json!({
            "panel": "side", "revision": "plain@1", "poured_on": "2026-04-28", "stage": "drying", "since": "2026-04-30", "quantity": 1, "rack": "long",
        });
        let other = world.make("/lots", &elsewhere).await.json()["id"].clone();
        let refused = world.post(&path, &json!({ "lots": [other] })).await;
        assert_eq!(refused.pointers(), ["/lots/0", "/lots/0"], "its stage and its place");
        assert_eq!(world.get(&format!("/lots/{one}")).await.json()["quantity"], 3);
        world.make(&path, &json!({ "lots": [two] })).await;
        assert_eq!(world.post(&path, &json!({ "lots": [two] })).await.status, 422, "they are gone");
    })
    .await;
}
