//! Runs, the plan in force, and the tickets of a day.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use common::*;
use store::{StoreError, runs, tickets};
use testkit::databases::each_database;
use workshop::catalogue::Amount;
use workshop::ids::{MaterialId, RunId, TicketNumber};
use workshop::runs::RunState;
use workshop::tickets::{Ticket, TicketState};

#[tokio::test]
async fn a_run_waits_runs_and_ends() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        let asked = runs::ask(&tx, at(0), None).await.unwrap();
        assert_eq!((asked.state, asked.asked_at, asked.reason.clone()), (RunState::Waiting, at(0), None));
        assert_eq!(runs::documents(&tx, asked.id).await.unwrap(), Default::default());
        let begun = runs::begin(&tx, asked.id, at(1), day("2026-05-04"), None, "facts").await.unwrap();
        assert_eq!((begun.version, begun.value.state), (2, RunState::Running));
        runs::begin(&tx, asked.id, at(2), day("2026-05-04"), None, "later facts").await.unwrap();
        let failed = runs::finish_failed(&tx, asked.id, at(3), "the checker refused it", Some("bad")).await.unwrap();
        assert_eq!(failed.value.state, RunState::Failed);
        let documents = runs::documents(&tx, asked.id).await.unwrap();
        assert_eq!((documents.facts.as_deref(), documents.plan.as_deref()), (Some("later facts"), Some("bad")));
        let again = runs::begin(&tx, asked.id, at(4), day("2026-05-04"), None, "facts").await;
        assert!(matches!(again, Err(StoreError::NotNow { .. })));

        let good = planned(&tx, at(10)).await;
        let found = runs::find(&tx, good).await.unwrap().unwrap();
        assert_eq!(found.value.figures.unwrap().material_cost, 12_345);
        assert_eq!(
            (found.value.bound, found.value.gap, found.value.way.as_deref()),
            (Some(1.5), Some(0.4), Some("exact"))
        );
        let newest = runs::page(&tx, None, 10).await.unwrap();
        assert_eq!(newest.iter().map(|r| r.value.id).collect::<Vec<_>>(), [good, asked.id]);
        assert_eq!(runs::page(&tx, Some(good), 10).await.unwrap().len(), 1);
        let remarked = runs::set_remark(&tx, good, Some("waits for a person")).await.unwrap();
        assert_eq!(remarked.version, found.version + 1);
        assert!(matches!(runs::documents(&tx, RunId::new(99)).await, Err(StoreError::NotFound { .. })));
    })
    .await;
}

#[tokio::test]
async fn only_a_good_plan_from_newer_facts_takes_over() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        assert_eq!(runs::in_force(&tx).await.unwrap(), None);
        let waiting = runs::ask(&tx, at(0), None).await.unwrap().id;
        assert!(matches!(runs::put_in_force(&tx, waiting, at(1)).await, Err(StoreError::NotPlanned)));
        let (old, new) = (planned(&tx, at(10)).await, planned(&tx, at(20)).await);
        runs::put_in_force(&tx, new, at(30)).await.unwrap();
        assert!(matches!(runs::put_in_force(&tx, old, at(31)).await, Err(StoreError::StaleFacts)));
        runs::put_in_force(&tx, new, at(32)).await.unwrap();
        let (run, since, found) = runs::in_force(&tx).await.unwrap().unwrap();
        assert_eq!((run, since, found.value.id), (new, at(30), new), "in force since it first was");
        let newer = planned(&tx, at(40)).await;
        runs::put_in_force(&tx, newer, at(50)).await.unwrap();
        assert_eq!(runs::in_force(&tx).await.unwrap().unwrap().0, newer);
        assert!(matches!(runs::put_in_force(&tx, RunId::new(99), at(51)).await, Err(StoreError::NotFound { .. })));
    })
    .await;
}

#[tokio::test]
async fn tickets_come_back_as_issued() {
    each_database(async |store| {
        furnish(&store).await;
        let run = issued(&store, "2026-05-04").await;
        issued(&store, "2026-05-05").await;
        let tx = store.read().await.unwrap();
        let today = tickets::of_day(&tx, day("2026-05-04")).await.unwrap();
        let values: Vec<Ticket> = today.into_iter().map(|v| v.value).collect();
        assert_eq!(values, [ticket(run, "2026-05-04", 1), ticket(run, "2026-05-04", 2)]);
        assert!(tickets::is_issued(&tx, day("2026-05-04")).await.unwrap());
        assert!(!tickets::is_issued(&tx, day("2026-05-06")).await.unwrap());
        let days: Vec<_> =
            tickets::issued_days(&tx, day("2026-05-05")).await.unwrap().into_iter().map(|d| d.0).collect();
        assert_eq!(days, [day("2026-05-05")]);
        let page = tickets::page(&tx, Some(values[0].number), 2).await.unwrap();
        let numbers: Vec<_> = page.iter().map(|t| t.value.number.to_string()).collect();
        assert_eq!(numbers, ["2026-05-04-02", "2026-05-05-01"]);
        let none = TicketNumber { day: day("2026-05-04"), sequence: 3 };
        assert_eq!(tickets::find(&tx, none).await.unwrap(), None);
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn a_day_is_issued_once_however_many_try() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let run = planned(&tx, at(0)).await;
        tx.commit().await.unwrap();
        let mut tries = tokio::task::JoinSet::new();
        for _ in 0..8 {
            let store = store.clone();
            tries.spawn(async move {
                let tx = store.write().await.unwrap();
                let both = [ticket(run, "2026-05-04", 1), ticket(run, "2026-05-04", 2)];
                match tickets::insert_day(&tx, day("2026-05-04"), run, at(0), &both).await {
                    Ok(()) => tx.commit().await.map(|()| true).unwrap(),
                    Err(StoreError::AlreadyIssued { day: said }) => said != day("2026-05-04"),
                    Err(other) => panic!("{other}"),
                }
            });
        }
        let done = tries.join_all().await;
        assert_eq!(done.iter().filter(|issued| **issued).count(), 1);
        let tx = store.read().await.unwrap();
        assert_eq!(tickets::of_day(&tx, day("2026-05-04")).await.unwrap().len(), 2);
    })
    .await;
}

#[tokio::test]
async fn a_day_with_nothing_to_mix_is_issued_too_and_gaps_are_named() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let run = planned(&tx, at(0)).await;
        let mut astray = ticket(run, "2026-05-06", 1);
        astray.lines[0].material = MaterialId::parse("gravel").unwrap();
        astray.revision = revision_id(8);
        let said = tickets::insert_day(&tx, day("2026-05-06"), RunId::new(77), at(0), &[astray]).await;
        let Err(StoreError::Missing(missing)) = said else { panic!("{said:?}") };
        assert_eq!(missing.len(), 3, "{missing:?}");
        assert!(!tickets::is_issued(&tx, day("2026-05-06")).await.unwrap());
        tickets::insert_day(&tx, day("2026-05-06"), run, at(0), &[]).await.unwrap();
        assert!(tickets::is_issued(&tx, day("2026-05-06")).await.unwrap());
    })
    .await;
}

#[tokio::test]
async fn closing_writes_what_became_of_a_ticket_and_nothing_else() {
    each_database(async |store| {
        furnish(&store).await;
        let run = issued(&store, "2026-05-04").await;
        let tx = store.write().await.unwrap();
        let mut mixed = ticket(run, "2026-05-04", 1);
        mixed.state = TicketState::Mixed;
        mixed.closed_at = Some(at(3_600));
        mixed.measured_wet_density_kg_m3 = Some(1_013.5);
        mixed.lines[1].actual = Some(Amount::new(17_250));
        let closed = tickets::close(&tx, &mixed, 1).await.unwrap();
        assert_eq!(closed.version, 2);
        assert_eq!(tickets::find(&tx, mixed.number).await.unwrap(), Some(closed));
        assert!(matches!(tickets::close(&tx, &mixed, 1).await, Err(StoreError::Stale { current: 2, .. })));
        let bigger = Ticket { batch: quantities::Millilitres::new(50_000), ..mixed.clone() };
        assert!(matches!(tickets::close(&tx, &bigger, 2).await, Err(StoreError::Immutable { .. })));
        let reopened = Ticket { state: TicketState::Issued, closed_at: None, ..mixed.clone() };
        assert!(matches!(tickets::close(&tx, &reopened, 2).await, Err(StoreError::NotNow { .. })));
        let void = Ticket { state: TicketState::Void, note: Some("wrong bucket".to_owned()), ..mixed.clone() };
        assert_eq!(tickets::close(&tx, &void, 2).await.unwrap().version, 3);
        assert!(matches!(tickets::close(&tx, &mixed, 3).await, Err(StoreError::NotNow { .. })));
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_plan_older_than_tickets_of_its_days_is_not_put_in_force() {
    each_database(async |store| {
        furnish(&store).await;
        issued(&store, "2026-05-04").await;
        let tx = store.write().await.unwrap();
        let waiting = planned(&tx, at(9)).await;
        let refused = runs::put_in_force(&tx, waiting, at(10)).await;
        assert!(matches!(refused, Err(StoreError::StaleFacts)), "{refused:?}");
        assert!(runs::in_force(&tx).await.unwrap().is_none());
        tx.rollback().await.unwrap();
    })
    .await;
}
