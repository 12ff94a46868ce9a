//! Upkeep: what is said is only added, and the last word of a day counts.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use common::*;
use store::{Record as _, StoreError, upkeep};
use testkit::databases::each_database;
use workshop::upkeep::UpkeepTask;

#[tokio::test]
async fn the_last_word_of_a_day_says_when_a_task_was_done() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap().under(Some("bench".to_owned()));
        let early = upkeep::report(&tx, &upkeep_report("2026-05-01", true, Some(14.5))).await;
        assert!(matches!(early, Err(StoreError::Missing(_))), "{early:?}");
        UpkeepTask::insert(&tx, &upkeep_task()).await.unwrap();
        let reports = [
            upkeep_report("2026-05-01", true, Some(14.5)),
            upkeep_report("2026-05-02", true, Some(15.5)),
            upkeep_report("2026-05-02", false, None),
            upkeep_report("2026-05-03", false, None),
        ];
        for report in &reports {
            let written = upkeep::report(&tx, report).await.unwrap();
            assert_eq!((written.done, written.value), (report.done, report.value));
            assert_eq!(written.said.by.as_deref(), Some("bench"));
            // The same again is the same report.
            assert_eq!(upkeep::report(&tx, report).await.unwrap(), written);
        }
        let id = upkeep_task().id;
        let last = async |on: &str| {
            let last = upkeep::last_done(&tx, std::slice::from_ref(&id), day(on)).await.unwrap();
            last.get(&id).copied()
        };
        assert_eq!(last("2026-05-04").await, Some(day("2026-05-01")), "the 2nd was taken back, the 3rd not done");
        assert_eq!(last("2026-05-01").await, None, "only days before count");
        // So many words that they come in several pages.
        for n in 0..60_i64 {
            let report = workshop::upkeep::UpkeepReport {
                value: Some(n as f64),
                ..upkeep_report(&format!("2026-06-{:02}", n / 2 + 1), n % 2 == 0, None)
            };
            upkeep::report(&tx, &report).await.unwrap();
        }
        assert_eq!(last("2026-07-01").await, Some(day("2026-05-01")));
        assert_eq!(upkeep::page(&tx, &id, 0, 100).await.unwrap().len(), 64);
        tx.commit().await.unwrap();
    })
    .await;
}
