//! Trials there and back, and the states a revision was put in, which nobody changes afterwards.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use common::*;
use store::{Record, StoreError, Versioned, standings, trials};
use testkit::databases::each_database;
use workshop::catalogue::{Material, MixRevision, Panel, RevisionState};
use workshop::trials::{Standing, Trial};

#[tokio::test]
async fn a_trial_comes_back_as_it_was_written_and_grows() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let bare = bare_trial("t-1", 1, "2026-03-02");
        Trial::insert(&tx, &bare).await.unwrap();
        assert_eq!(Trial::find(&tx, &bare.id).await.unwrap(), Some(Versioned { version: 1, value: bare.clone() }));
        assert!(matches!(Trial::insert(&tx, &bare).await, Err(StoreError::Exists { .. })));
        let whole = trial("t-1", 1, "2026-03-02");
        Trial::replace(&tx, &whole, 1).await.unwrap();
        let found = Trial::find(&tx, &whole.id).await.unwrap();
        assert_eq!(found, Some(Versioned { version: 2, value: whole.clone() }));
        let stale = Trial::replace(&tx, &whole, 1).await;
        assert!(matches!(stale, Err(StoreError::Stale { current: 2, .. })), "{stale:?}");
        MixRevision::insert(&tx, &revision(2)).await.unwrap();
        let of_another = Trial { revision: revision_id(2), ..whole.clone() };
        let said = Trial::replace(&tx, &of_another, 2).await;
        assert!(matches!(said, Err(StoreError::Immutable { .. })), "{said:?}");
        Trial::remove(&tx, &whole.id, 2).await.unwrap();
        assert_eq!(Trial::find(&tx, &whole.id).await.unwrap(), None);
    })
    .await;
}

#[tokio::test]
async fn trials_are_found_by_their_revision_and_the_newest_counts() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        MixRevision::insert(&tx, &revision(2)).await.unwrap();
        assert_eq!(trials::newest(&tx, &revision_id(1)).await.unwrap(), None);
        let rows = [("a", 1, "2026-03-02"), ("b", 1, "2026-02-02"), ("c", 2, "2026-04-02"), ("d", 1, "2026-03-02")];
        for (id, revision, on) in rows {
            Trial::insert(&tx, &trial(id, revision, on)).await.unwrap();
        }
        let newest = trials::newest(&tx, &revision_id(1)).await.unwrap().unwrap();
        assert_eq!(newest, trial("d", 1, "2026-03-02"), "the last by id of the last day");
        let ids = async |revision: Option<u32>, after: Option<&str>, limit| {
            let revision = revision.map(revision_id);
            let after = after.map(|id| trial(id, 1, "2026-03-02").id);
            let page = trials::page_of_revision(&tx, revision.as_ref(), after.as_ref(), limit).await.unwrap();
            page.into_iter().map(|v| v.value.id.to_string()).collect::<Vec<_>>()
        };
        assert_eq!(ids(Some(1), None, 10).await, ["a", "b", "d"]);
        assert_eq!(ids(Some(1), Some("a"), 1).await, ["b"]);
        assert_eq!(ids(None, Some("b"), 10).await, ["c", "d"]);
    })
    .await;
}

#[tokio::test]
async fn what_a_trial_speaks_of_must_be_there_and_stays() {
    each_database(async |store| {
        let tx = store.write().await.unwrap();
        let Err(StoreError::Missing(missing)) = Trial::insert(&tx, &trial("t-1", 1, "2026-03-02")).await else {
            panic!("nothing is there")
        };
        let ids: Vec<_> = missing.iter().map(|(noun, id)| format!("{noun} {id}")).collect();
        assert_eq!(ids, ["material cement", "material water", "mix revision foamed-grey@1", "panel side-900"]);
        drop(tx);
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        Trial::insert(&tx, &trial("t-1", 1, "2026-03-02")).await.unwrap();
        let by = |error: Result<(), StoreError>| match error {
            Err(StoreError::InUse { by, .. }) => by,
            other => panic!("{other:?}"),
        };
        assert_eq!(by(Material::remove(&tx, &cement().id, 1).await), "mix revision foamed-grey@1; trial t-1");
        assert_eq!(by(Panel::remove(&tx, &panel().id, 1).await), "set bed-900; order TH-1; trial t-1");
        assert_eq!(by(MixRevision::remove(&tx, &revision_id(1), 1).await), "panel side-900; trial t-1");
    })
    .await;
}

#[tokio::test]
async fn the_states_a_revision_was_put_in_are_kept_for_good() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let stood =
            |state, reason: Option<&str>| MixRevision { state, reason: reason.map(str::to_owned), ..revision(2) };
        let made = standings::insert(&tx, &stood(RevisionState::OnTrial, None), at(1)).await.unwrap();
        let used = stood(RevisionState::InUse, Some("trial t-1"));
        let tried = Some(trial("t-1", 2, "2026-03-02").id);
        Trial::insert(&tx, &trial("t-1", 2, "2026-03-02")).await.unwrap();
        let used = standings::replace(&tx, &used, made.version, at(2), tried.clone()).await.unwrap();
        let retired = stood(RevisionState::Retired, Some("shrinks"));
        let stale = standings::replace(&tx, &retired, made.version, at(3), None).await;
        assert!(matches!(stale, Err(StoreError::Stale { .. })), "{stale:?}");
        standings::replace(&tx, &retired, used.version, at(3), None).await.unwrap();
        let row = |state, seconds, trial, reason: Option<&str>| Standing {
            revision: revision_id(2),
            state,
            at: store_moment(at(seconds)),
            trial,
            reason: reason.map(str::to_owned),
        };
        let rows = [
            row(RevisionState::OnTrial, 1, None, None),
            row(RevisionState::InUse, 2, tried, Some("trial t-1")),
            row(RevisionState::Retired, 3, None, Some("shrinks")),
        ];
        let page = standings::page(&tx, &revision_id(2), None, 10).await.unwrap();
        assert_eq!(page.iter().map(|(_, standing)| standing.clone()).collect::<Vec<_>>(), rows);
        let after = standings::page(&tx, &revision_id(2), Some(page[0].0), 1).await.unwrap();
        assert_eq!(after, [page[1].clone()]);
        assert_eq!(standings::page(&tx, &revision_id(1), None, 10).await.unwrap(), []);
        let said = Trial::remove(&tx, &trial("t-1", 2, "2026-03-02").id, 1).await;
        assert!(matches!(&said, Err(StoreError::InUse { by, .. }) if by == "mix revision foamed-grey@2"), "{said:?}");
        // What it rests on is added to, never rewritten.
        let whole = trial("t-1", 2, "2026-03-02");
        let mut better = whole.clone();
        better.strengths[0].mpa = 9.9;
        let said = Trial::replace(&tx, &better, 1).await;
        assert!(matches!(said, Err(StoreError::Immutable { .. })), "{said:?}");
        let more = Trial { note: Some("seen again in spring".to_owned()), ..whole };
        Trial::replace(&tx, &more, 1).await.unwrap();
    })
    .await;
}

/// A moment as both databases keep it: whole microseconds.
fn store_moment(at: chrono::DateTime<chrono::Utc>) -> chrono::DateTime<chrono::Utc> {
    use chrono::SubsecRound as _;
    at.trunc_subsecs(6)
}
