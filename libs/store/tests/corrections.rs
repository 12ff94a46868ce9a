//! Corrections of tickets' loads: numbered as they come, kept as they were, with what was done said once.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use chrono::SubsecRound as _;
use common::*;
use store::{StoreError, corrections};
use testkit::databases::each_database;
use workshop::corrections::{Correction, Done, LoadAnswer, WeighedAt};

#[tokio::test]
async fn corrections_are_numbered_as_they_come_and_come_back_whole() {
    each_database(async |store| {
        furnish(&store).await;
        issued(&store, "2026-05-04").await;
        let tx = store.write().await.unwrap();
        let first = correction("2026-05-04-01");
        let second = Correction {
            place: WeighedAt::Mould,
            answer: LoadAnswer::Reject,
            foam_density_kg_m3: None,
            added: None,
            added_mass: None,
            generator_seconds: None,
            panels_then: None,
            rise_percent: Some(5.25),
            note: None,
            ..first.clone()
        };
        let of_another = correction("2026-05-04-02");
        for (new, sequence) in [(&first, 1), (&second, 2), (&of_another, 1)] {
            assert_eq!(corrections::append(&tx, new).await.unwrap().sequence, sequence);
        }
        let kept = |one: &Correction, sequence| Correction { sequence, at: one.at.trunc_subsecs(6), ..one.clone() };
        let found = corrections::of_ticket(&tx, first.ticket).await.unwrap();
        assert_eq!(found, [kept(&first, 1), kept(&second, 2)]);
        assert_eq!(corrections::of_ticket(&tx, of_another.ticket).await.unwrap().len(), 1);
        let missing = corrections::append(&tx, &correction("2026-05-05-01")).await;
        assert!(matches!(missing, Err(StoreError::NotFound { .. })), "{missing:?}");
    })
    .await;
}

#[tokio::test]
async fn what_was_done_is_said_once() {
    each_database(async |store| {
        furnish(&store).await;
        issued(&store, "2026-05-04").await;
        let tx = store.write().await.unwrap();
        let one = corrections::append(&tx, &correction("2026-05-04-01")).await.unwrap();
        let said = corrections::append_done(&tx, one.ticket, 1, &done()).await.unwrap();
        assert_eq!(said.done, Some(Done { at: done().at.trunc_subsecs(6), ..done() }));
        assert_eq!(corrections::of_ticket(&tx, one.ticket).await.unwrap(), [said]);
        let twice = corrections::append_done(&tx, one.ticket, 1, &done()).await;
        assert!(matches!(twice, Err(StoreError::NotNow { .. })), "{twice:?}");
        let of_none = corrections::append_done(&tx, one.ticket, 2, &done()).await;
        assert!(matches!(of_none, Err(StoreError::NotFound { .. })), "{of_none:?}");
    })
    .await;
}
