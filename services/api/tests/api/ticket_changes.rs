//! Nothing that was said of a ticket is lost.

use serde_json::{Value, json};

use crate::planned::issued;
use crate::world::World;

/// What, as it was, as it became, and the note with it.
fn told(changes: &Value) -> Vec<[Value; 4]> {
    let row = |c: &Value| ["what", "before", "after", "note"].map(|key| c[key].clone());
    changes.as_array().unwrap().iter().map(row).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_mixed_ticket_that_is_voided_keeps_who_said_what_when() {
    World::furnished(async |world| {
        issued(&world.store).await;
        let path = "/tickets/2026-05-04-01";
        assert_eq!(world.get(&format!("{path}/changes")).await.json(), json!([]));
        let said = json!({ "lines": [{ "position": 2, "actual": 4200 }], "mix_c": 17.5, "note": "stirred twice" });
        world.make(&format!("{path}/completion"), &said).await;
        world.make(&format!("{path}/completion"), &said).await;
        world.make(&format!("{path}/void"), &json!({ "reason": "wrong cement" })).await;
        let changes = world.get(&format!("{path}/changes")).await.json();
        let (mixing, void) = (json!("stirred twice"), json!("wrong cement"));
        let expected = [
            [json!("state"), json!("issued"), json!("mixed"), mixing.clone()],
            [json!("lines/2/actual"), json!("4130"), json!("4200"), mixing.clone()],
            [json!("mix_c"), json!(null), json!("17.5"), mixing.clone()],
            [json!("note"), json!(null), mixing.clone(), mixing.clone()],
            [json!("state"), json!("mixed"), json!("void"), void.clone()],
            [json!("note"), mixing, void.clone(), void],
        ];
        assert_eq!(told(&changes), expected);
        assert!(changes.as_array().unwrap().iter().all(|c| c["at"].is_string()), "{changes}");
        let first = world.get(&format!("{path}/changes?limit=4")).await;
        let link = first.header("link").unwrap().to_owned();
        let next = format!("{path}/changes?after={}&limit=4", changes[3]["id"]);
        assert!(link.contains(&next), "{link}");
        assert_eq!(told(&world.get(&next).await.json()), expected[4..]);
        let page = world.get("/pages/tickets/2026-05-04-01").await.text;
        assert!(page.contains("What was changed") && page.contains("stirred twice → wrong cement"), "{page}");
        assert_eq!(world.get("/tickets/2026-05-04-09/changes").await.status, 404);
    })
    .await;
}
