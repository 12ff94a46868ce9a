//! What makes the plan out of date: voided tickets, panels recorded by hand, moves the plan does not have.

use serde_json::{Value, json};

use crate::planned::issued;
use crate::world::World;

/// What is said of the newest change that matters.
async fn newest(world: &World) -> Option<String> {
    let tx = world.store.read().await.unwrap();
    store::marks::newest(&tx).await.unwrap().map(|mark| mark.detail)
}

#[tokio::test(flavor = "multi_thread")]
async fn a_ticket_that_is_not_mixed_makes_the_plan_out_of_date() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let reason = json!({ "reason": "the mixer broke" });
        world.make("/tickets/2026-05-04-01/void", &reason).await;
        assert_eq!(newest(world).await.as_deref(), Some("ticket 2026-05-04-01 is void"));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn panels_recorded_or_moved_otherwise_than_planned_make_the_plan_out_of_date() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let there = json!({
            "panel": "side", "revision": "plain@1", "poured_on": "2026-04-30", "stage": "in_mould", "since": "2026-04-30", "quantity": 3,
        });
        let lot: Value = world.make("/lots", &there).await.json();
        let said = format!("3 side are recorded as lot {}", lot["id"]);
        assert_eq!(newest(world).await.as_deref(), Some(&*said));
        let strip = json!({ "to": "soaking", "quantity": 1, "tank": "north" });
        world.make(&format!("/lots/{}/moves", lot["id"]), &strip).await;
        let said = "1 side were stripped on 2026-05-04, where 0 were planned";
        assert_eq!(newest(world).await.as_deref(), Some(said));
    })
    .await;
}
