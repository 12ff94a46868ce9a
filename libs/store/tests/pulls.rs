//! Seconds by which feeds are known: one for each content, none twice, whatever the clock does.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use store::pulls::second_of;
use testkit::databases::each_database;

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

#[tokio::test]
async fn each_content_has_a_second_of_its_own() {
    each_database(async |store| {
        let noon = at("2026-05-04T12:00:00.400Z");
        let first = second_of(&store, "/orders.csv?", b"a", noon).await.unwrap();
        assert_eq!(first, at("2026-05-04T12:00:00Z"));
        let later = at("2026-05-04T13:00:00Z");
        assert_eq!(second_of(&store, "/orders.csv?", b"a", later).await.unwrap(), first, "nothing changed");
        let mut given = BTreeSet::from([first]);
        for (content, now) in [(b"b", noon), (b"c", noon), (b"a", at("2020-01-01T00:00:00Z")), (b"b", later)] {
            let second = second_of(&store, "/orders.csv?", content, now).await.unwrap();
            assert!(given.insert(second), "{second} was given before: {given:?}");
        }
    })
    .await;
}

#[tokio::test]
async fn feeds_are_forgotten_and_come_back_without_an_old_second() {
    each_database(async |store| {
        let noon = at("2026-05-04T12:00:00Z");
        let first = second_of(&store, "first", b"a", noon).await.unwrap();
        for number in 0..500 {
            second_of(&store, &format!("feed {number}"), b"a", noon).await.unwrap();
        }
        let again = second_of(&store, "first", b"b", noon).await.unwrap();
        assert!(again > first, "{again} is after {first}");
    })
    .await;
}
