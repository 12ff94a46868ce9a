//! Making, reading, replacing and removing what the workshop has.

use serde_json::json;

use crate::world::{World, furniture, order, revision};

#[tokio::test(flavor = "multi_thread")]
async fn what_was_made_is_read_back_replaced_and_removed() {
    World::furnished(async |world| {
        for (list, body) in furniture().into_iter().filter(|(list, _)| !list.contains("revisions")) {
            let path = format!("{list}/{}", body["id"].as_str().unwrap());
            let read = world.get(&path).await;
            for (name, value) in body.as_object().unwrap() {
                assert_eq!(&read.json()[name], value, "{path} {name}");
            }
            let again = world.post(list, &body).await;
            assert_eq!(
                (again.status, again.problem()["type"].clone()),
                (409, json!("/problems/already-there")),
                "{path}"
            );
            let renamed = world.change(&path, |there| there["name"] = json!("Another name")).await;
            assert_eq!((renamed.status, &renamed.json()["name"]), (200, &json!("Another name")), "{path}: {renamed:?}");
            assert_ne!(renamed.etag(), read.etag(), "{path}");
            assert_eq!(world.get(&path).await.etag(), renamed.etag(), "{path}");
        }
        for path in
            ["/finishes/slate", "/sets/bed", "/panels/side", "/tanks/north", "/racks/long", "/mould-groups/sides"]
        {
            let etag = world.get(path).await.etag();
            let gone = world.ask("DELETE", path).header("If-Match", &etag).send().await;
            assert_eq!((gone.status, gone.text.as_str()), (204, ""), "{path}: {gone:?}");
            assert_eq!(world.get(path).await.status, 404, "{path}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_in_use_stays() {
    World::furnished(async |world| {
        world.make("/orders", &order("TH-1")).await;
        for path in
            ["/finishes/grey", "/materials/cement", "/mixes/plain", "/panels/side", "/sets/bed", "/mould-groups/sides"]
        {
            let etag = world.get(path).await.etag();
            let kept = world.ask("DELETE", path).header("If-Match", &etag).send().await;
            assert_eq!(
                (kept.status, kept.problem()["type"].clone()),
                (409, json!("/problems/in-use")),
                "{path}: {kept:?}"
            );
            assert_eq!(world.get(path).await.status, 200, "{path}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_revision_changes_its_standing_and_nothing_else() {
    World::furnished(async |world| {
        world.make("/mixes/plain/revisions", &revision(2)).await;
        let list = world.get("/mixes/plain/revisions").await.json();
        let ids: Vec<&str> = list.as_array().unwrap().iter().map(|r| r["id"].as_str().unwrap()).collect();
        assert_eq!(ids, ["plain@1", "plain@2"]);
        let first = world.get("/mixes/plain/revisions/1").await;
        let stand = |body: serde_json::Value| {
            let ask = world.ask("PUT", "/mixes/plain/revisions/1").header("If-Match", &first.etag()).json(&body);
            async move { ask.send().await }
        };
        assert_eq!(stand(json!({ "state": "in_use" })).await.pointers(), ["/reason"]);
        assert_eq!(stand(json!({ "state": "retired", "air_percent": 3 })).await.pointers(), ["/air_percent"]);
        let retired = stand(json!({ "state": "retired", "reason": "2 is better" })).await;
        assert_eq!((retired.status, &retired.json()["state"]), (200, &json!("retired")), "{retired:?}");
        assert_eq!(retired.json()["ingredients"], first.json()["ingredients"]);
        for (path, status) in
            [("/mixes/plain/revisions/3", 404), ("/mixes/none/revisions", 404), ("/mixes/plain/revisions/0", 400)]
        {
            assert_eq!(world.get(path).await.status, status, "{path}");
        }
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_calendar_tells_days_apart() {
    World::furnished(async |world| {
        let tell = |day: &str, body: serde_json::Value| {
            let ask = world.ask("PUT", &format!("/calendar/{day}")).json(&body);
            async move { ask.send().await }
        };
        let closed = tell("2026-05-05", json!({ "day": "2026-05-05", "work": "closed", "note": "stocktaking" })).await;
        assert_eq!(closed.status, 200, "{closed:?}");
        tell("2026-05-09", json!({ "day": "2026-05-09", "work": "worked", "labour_minutes": 240, "air_c": 2.5 })).await;
        let days = world.get("/calendar?from=2026-05-04&to=2026-05-10").await.json();
        let found: Vec<_> = days
            .as_array()
            .unwrap()
            .iter()
            .map(|d| (d["worked"].as_bool().unwrap(), d["labour_minutes"].as_i64().unwrap()))
            .collect();
        assert_eq!(found, [(true, 840), (false, 0), (true, 840), (true, 840), (true, 840), (true, 240), (false, 0)]);
        assert_eq!((&days[5]["too_cold_to_pour"], &days[4]["too_cold_to_pour"]), (&json!(true), &json!(false)));
        let again = tell("2026-05-05", json!({ "day": "2026-05-05", "work": "usual" })).await;
        assert_eq!(again.status, 428);
        let gone = world.ask("DELETE", "/calendar/2026-05-05").header("If-Match", &closed.etag()).send().await;
        assert_eq!((gone.status, world.get("/calendar/2026-05-05").await.status), (204, 404));
        assert_eq!(world.get("/calendar").await.json().as_array().unwrap().len(), 61);
    })
    .await;
}
