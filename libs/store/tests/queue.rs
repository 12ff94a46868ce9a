//! The queue of jobs, tokens, kept answers and signs of life.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use std::collections::BTreeSet;

use common::*;
use store::idempotency::{self, Kept};
use store::jobs::{self, JobState};
use store::tokens::{self, Role};
use store::{Store, StoreError, beats};
use testkit::databases::each_database;
use workshop::ids::JobId;

async fn ask(store: &Store, key: &str, run_at: i64) -> JobId {
    let tx = store.write().await.unwrap();
    let id = jobs::enqueue(&tx, at(0), "plan", key, "{}", at(run_at)).await.unwrap();
    tx.commit().await.unwrap();
    id
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn each_job_goes_to_one_worker() {
    const JOBS: usize = 40;
    each_database(async |store| {
        for number in 0..JOBS {
            ask(&store, &number.to_string(), 0).await;
        }
        let mut workers = tokio::task::JoinSet::new();
        for worker in 0..8 {
            let store = store.clone();
            workers.spawn(async move {
                let name = format!("worker-{worker}");
                let mut done = Vec::new();
                while let Some(job) = jobs::claim(&store, at(1), &name, 60).await.unwrap() {
                    let tx = store.write().await.unwrap();
                    jobs::finish(&tx, job.id, &name, at(2)).await.unwrap();
                    tx.commit().await.unwrap();
                    done.push(job.id);
                }
                done
            });
        }
        let done = workers.join_all().await.concat();
        assert_eq!(done.len(), JOBS, "none twice");
        assert_eq!(done.into_iter().collect::<BTreeSet<_>>().len(), JOBS, "none left out");
        let tx = store.read().await.unwrap();
        assert_eq!(jobs::page(&tx, Some(JobState::Done), None, 100).await.unwrap().len(), JOBS);
    })
    .await;
}

#[tokio::test]
async fn one_of_a_kind_and_key_waits_and_the_next_is_not_begun_beside_it() {
    each_database(async |store| {
        let first = ask(&store, "workshop", 10).await;
        assert_eq!(ask(&store, "workshop", 20).await, first);
        assert!(jobs::claim(&store, at(9), "a", 60).await.unwrap().is_none(), "not yet");
        assert_eq!(ask(&store, "workshop", 5).await, first, "brought forward");
        let job = jobs::claim(&store, at(9), "a", 60).await.unwrap().unwrap();
        assert_eq!((job.id, job.state, job.attempts, job.run_at), (first, JobState::Running, 1, at(5)));
        let second = ask(&store, "workshop", 9).await;
        assert_ne!(second, first, "what is asked for while one runs is done after it");
        assert!(jobs::claim(&store, at(10), "b", 60).await.unwrap().is_none());
        let tx = store.write().await.unwrap();
        jobs::finish(&tx, first, "a", at(11)).await.unwrap();
        tx.commit().await.unwrap();
        assert_eq!(jobs::claim(&store, at(12), "b", 60).await.unwrap().unwrap().id, second);
    })
    .await;
}

#[tokio::test]
async fn a_dead_workers_job_is_taken_by_another() {
    each_database(async |store| {
        let id = ask(&store, "workshop", 0).await;
        jobs::claim(&store, at(0), "dead", 30).await.unwrap().unwrap();
        jobs::beat(&store, id, "dead", at(20), 30).await.unwrap();
        assert!(jobs::claim(&store, at(40), "alive", 30).await.unwrap().is_none(), "its lease was made longer");
        let job = jobs::claim(&store, at(50), "alive", 30).await.unwrap().unwrap();
        assert_eq!((job.id, job.attempts, job.worker.as_deref()), (id, 2, Some("alive")));
        assert!(matches!(jobs::beat(&store, id, "dead", at(51), 30).await, Err(StoreError::LostLease)));
        assert!(matches!(jobs::fail(&store, id, "dead", at(51), "late", None).await, Err(StoreError::LostLease)));
        let tx = store.write().await.unwrap();
        assert!(matches!(jobs::finish(&tx, id, "dead", at(51)).await, Err(StoreError::LostLease)));
        jobs::finish(&tx, id, "alive", at(52)).await.unwrap();
        assert!(matches!(jobs::finish(&tx, id, "alive", at(53)).await, Err(StoreError::LostLease)), "done is done");
    })
    .await;
}

/// Everything was written by a clock a day ahead, which has been put back since.
#[tokio::test]
async fn a_clock_put_back_a_day_holds_up_no_job_and_no_lease() {
    const A_DAY: i64 = 24 * 3600;
    each_database(async |store| {
        let left = ask(&store, "left lying", A_DAY).await;
        assert_eq!(jobs::claim(&store, at(A_DAY), "dead", 3600).await.unwrap().unwrap().id, left);
        let failed = ask(&store, "failed", A_DAY).await;
        assert_eq!(jobs::claim(&store, at(A_DAY), "a", 30).await.unwrap().unwrap().id, failed);
        jobs::fail(&store, failed, "a", at(A_DAY), "no facts", Some(at(A_DAY + 135))).await.unwrap();
        let asked = ask(&store, "asked", A_DAY + 200).await;
        let mut done = Vec::new();
        while let Some(job) = jobs::claim(&store, at(60), "a", 30).await.unwrap() {
            let tx = store.write().await.unwrap();
            jobs::finish(&tx, job.id, "a", at(61)).await.unwrap();
            tx.commit().await.unwrap();
            done.push(job.id);
        }
        done.sort();
        assert_eq!(done, [left, failed, asked]);
        ask(&store, "a long pause", 3_645).await;
        assert!(jobs::claim(&store, at(0), "a", 30).await.unwrap().is_none(), "a pause is a pause");

        let tx = store.write().await.unwrap();
        beats::beat(&tx, "dead", at(A_DAY)).await.unwrap();
        beats::beat(&tx, "a", at(60)).await.unwrap();
        assert_eq!(beats::last(&tx).await.unwrap(), Some(at(60)), "who was alive tomorrow is not known to be alive");
    })
    .await;
}

#[tokio::test]
async fn a_failing_job_is_tried_again_then_set_aside_and_shown() {
    each_database(async |store| {
        let id = ask(&store, "workshop", 0).await;
        jobs::claim(&store, at(0), "a", 30).await.unwrap().unwrap();
        jobs::fail(&store, id, "a", at(1), "no facts", Some(at(60))).await.unwrap();
        assert!(jobs::claim(&store, at(59), "a", 30).await.unwrap().is_none());
        let job = jobs::claim(&store, at(60), "a", 30).await.unwrap().unwrap();
        assert_eq!((job.attempts, job.last_error.as_deref()), (2, Some("no facts")));
        jobs::fail(&store, id, "a", at(61), "still none", None).await.unwrap();
        assert!(jobs::claim(&store, at(9_999), "a", 30).await.unwrap().is_none());

        let tx = store.write().await.unwrap();
        let aside = jobs::page(&tx, Some(JobState::SetAside), None, 10).await.unwrap();
        assert_eq!((aside.len(), aside[0].last_error.as_deref()), (1, Some("still none")));
        assert_eq!(jobs::retry_set_aside(&tx, id, at(100)).await.unwrap().state, JobState::Waiting);
        assert!(matches!(jobs::retry_set_aside(&tx, id, at(100)).await, Err(StoreError::NotNow { .. })));
        tx.commit().await.unwrap();
        jobs::claim(&store, at(100), "a", 30).await.unwrap().unwrap();
        let twin = ask(&store, "workshop", 100).await;
        jobs::fail(&store, id, "a", at(101), "again", Some(at(200))).await.unwrap();
        let tx = store.write().await.unwrap();
        assert_eq!(jobs::find(&tx, id).await.unwrap().unwrap().state, JobState::Done, "its twin does the work");
        assert_eq!(jobs::find(&tx, twin).await.unwrap().unwrap().state, JobState::Waiting);
        assert_eq!(jobs::sweep(&tx, at(101)).await.unwrap(), 0);
        assert_eq!(jobs::sweep(&tx, at(102)).await.unwrap(), 1);
    })
    .await;
}

#[tokio::test]
async fn a_job_is_asked_for_only_if_the_change_is_kept() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        jobs::enqueue(&tx, at(0), "plan", "workshop", "{}", at(0)).await.unwrap();
        drop(tx);
        assert!(jobs::claim(&store, at(1), "a", 30).await.unwrap().is_none());
    })
    .await;
}

#[tokio::test]
async fn tokens_let_in_until_revoked() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        assert!(!tokens::any(&tx).await.unwrap());
        let id = tokens::insert(&tx, "bench tablet", Role::Bench, &[1, 2, 3], at(0), None).await.unwrap();
        tokens::insert(&tx, "office", Role::Office, &[4], at(0), None).await.unwrap();
        tokens::insert(&tx, "screen", Role::Reader, &[5], at(0), None).await.unwrap();
        let again = tokens::insert(&tx, "office", Role::Office, &[6], at(0), None).await;
        assert!(matches!(again, Err(StoreError::Exists { .. })));
        let found = tokens::find_by_hash(&tx, &[1, 2, 3], at(1)).await.unwrap();
        assert_eq!(found, Some((id, "bench tablet".to_owned(), Role::Bench)));
        tokens::revoke(&tx, id, at(1)).await.unwrap();
        tokens::revoke(&tx, id, at(2)).await.unwrap();
        assert_eq!(tokens::find_by_hash(&tx, &[1, 2, 3], at(1)).await.unwrap(), None);
        assert_eq!(tokens::list(&tx).await.unwrap()[0].revoked_at, Some(at(1)));
        assert!(tokens::any(&tx).await.unwrap());
        tokens::insert(&tx, "bench tablet", Role::Bench, &[7], at(3), Some(at(9))).await.unwrap();
        assert!(tokens::find_by_hash(&tx, &[7], at(8)).await.unwrap().is_some());
        assert_eq!(tokens::find_by_hash(&tx, &[7], at(9)).await.unwrap(), None, "it has expired");
    })
    .await;
}

#[tokio::test]
async fn an_answer_is_kept_once_for_a_while() {
    each_database(async |store| {
        let kept = Kept { body_hash: vec![9; 32], status: 201, headers: "{}".to_owned(), body: b"made \xff".to_vec() };
        let tx = store.write().await.unwrap();
        assert_eq!(idempotency::find(&tx, "k", "POST /orders").await.unwrap(), None);
        idempotency::keep(&tx, at(0), "k", "POST /orders", &kept).await.unwrap();
        let again = idempotency::keep(&tx, at(1), "k", "POST /orders", &kept).await;
        assert!(matches!(again, Err(StoreError::Exists { .. })));
        assert_eq!(idempotency::find(&tx, "k", "POST /orders").await.unwrap(), Some(kept.clone()));
        assert_eq!(idempotency::find(&tx, "k", "POST /sets").await.unwrap(), None);
        idempotency::keep(&tx, at(5), "k", "POST /sets", &kept).await.unwrap();
        assert_eq!(idempotency::sweep(&tx, at(5)).await.unwrap(), 1);
        assert_eq!(idempotency::find(&tx, "k", "POST /sets").await.unwrap(), Some(kept));
    })
    .await;
}

#[tokio::test]
async fn the_last_sign_of_life_is_any_workers() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        assert_eq!(beats::last(&tx).await.unwrap(), None);
        beats::beat(&tx, "a", at(5)).await.unwrap();
        beats::beat(&tx, "b", at(9)).await.unwrap();
        beats::beat(&tx, "a", at(7)).await.unwrap();
        assert_eq!(beats::last(&tx).await.unwrap(), Some(at(9)));
    })
    .await;
}
