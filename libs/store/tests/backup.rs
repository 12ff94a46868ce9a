//! Backup and restore, within one database and from either to the other.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use std::fs;
use std::path::Path;

use common::*;
use store::deliveries::NewDelivery;
use store::feed_tokens::NewFeedToken;
use store::idempotency::{self, Kept};
use store::pins::NewPin;
use store::tokens::{self, Role};
use store::web_hooks::NewWebHook;
use store::{
    Record as _, Store, StoreError, Versioned, agenda, beats, corrections, deliveries, feed_tokens, jobs, lot_joins,
    lots, notices, pins, progress, pulls, runs, sessions, standings, stock, tickets, trail, upkeep, web_hooks,
};
use testkit::databases::{TestDatabase, databases};
use workshop::agenda::{Event, Topic, Wanted};
use workshop::catalogue::{Finish, MixRevision, RevisionState, ScrapCause};
use workshop::ids::ScrapCauseId;
use workshop::lots::{LossKind, Lot, LotLoss, LotMove, NewLot, Stage};
use workshop::notices::{Kind, NewNotice};
use workshop::said::Said;
use workshop::site::{CalendarDay, DayWork};
use workshop::tickets::TicketState;
use workshop::trail::{FieldChange, NewChange};
use workshop::trials::Trial;
use workshop::upkeep::UpkeepTask;

/// At least one row in every table.
async fn fill(store: &Store) {
    furnish(store).await;
    let tx = store.write().await.unwrap().under(Some("office".to_owned()));
    let run = planned(&tx, at(0)).await;
    runs::put_in_force(&tx, run, at(0)).await.unwrap();
    let waiting = runs::ask(&tx, at(0), None).await.unwrap().id;
    progress::ask_to_stop(&tx, waiting, at(0)).await.unwrap();
    Trial::insert(&tx, &trial("t-1", 1, "2026-03-02")).await.unwrap();
    let used = MixRevision { state: RevisionState::InUse, reason: Some("trial t-1".to_owned()), ..revision(1) };
    standings::replace(&tx, &used, 1, at(0), Some(trial("t-1", 1, "2026-03-02").id)).await.unwrap();
    let mut both = [ticket(run, "2026-05-04", 1), ticket(run, "2026-05-04", 2)];
    both[0].fills[0].moulds = vec![1];
    tickets::insert_day(&tx, day("2026-05-04"), run, at(0), &both).await.unwrap();
    both[1].state = TicketState::Void;
    both[1].closed_at = Some(at(1));
    both[1].note = Some("the mixer broke".to_owned());
    tickets::close(&tx, &both[1], 1).await.unwrap();
    let kept = corrections::append(&tx, &correction("2026-05-04-01")).await.unwrap();
    corrections::append_done(&tx, kept.ticket, kept.sequence, &done()).await.unwrap();
    let came = NewDelivery { material: cement().id, packs: 10, expected_on: day("2026-05-04") };
    let first = deliveries::insert(&tx, &came).await.unwrap().value.id;
    let rest = deliveries::insert(&tx, &came).await.unwrap().value.id;
    deliveries::is_rest_of(&tx, rest, first).await.unwrap();
    UpkeepTask::insert(&tx, &upkeep_task()).await.unwrap();
    upkeep::report(&tx, &upkeep_report("2026-05-04", true, Some(14.5))).await.unwrap();
    stock::append(&tx, at(1), &received("cement", i64::MAX / 3)).await.unwrap();
    let closed = CalendarDay {
        day: day("2026-05-01"),
        work: DayWork::Closed,
        labour_minutes: None,
        air_c: Some(0.1 + 0.2),
        note: Some("holiday: \"all day\"\n".to_owned()),
    };
    CalendarDay::insert(&tx, &closed).await.unwrap();
    let (panel, revision) = (panel().id, revision_id(1));
    let poured = NewLot {
        panel: panel.clone(),
        revision: revision.clone(),
        poured_on: day("2026-05-04"),
        ticket: Some(ticket(run, "2026-05-04", 1).number),
        stage: Stage::Drying,
        since: day("2026-05-04"),
        quantity: 4,
        tank: None,
        rack: Some(rack().id),
        row: Some("1".to_owned()),
    };
    let mut alike = Vec::new();
    for _ in 0..2 {
        alike.push(Versioned { value: lots::insert(&tx, &poured).await.unwrap(), version: 1 });
    }
    let together = Lot { quantity: 8, ..alike[0].value.clone() };
    lot_joins::join(&tx, &alike, together, day("2026-05-05")).await.unwrap();
    let lot = lots::insert(&tx, &poured).await.unwrap().id;
    let step = LotMove {
        from: lot,
        day: day("2026-05-06"),
        to: Stage::Ready,
        quantity: 2,
        tank: None,
        rack: None,
        row: None,
        said: Said::default(),
    };
    let ready = lots::advance(&tx, &step, 1).await.unwrap();
    let (sent, rest) = lots::dispatch(&tx, ready.id, 1, day("2026-05-07"), Some(order("TH-1").id)).await.unwrap();
    let drawn = stock::append(&tx, at(2), &received("cement", 1)).await.unwrap();
    lots::drew(&tx, sent, drawn.id).await.unwrap();
    let cracked = ScrapCause { id: ScrapCauseId::parse("cracked").unwrap(), name: "Cracked".to_owned() };
    ScrapCause::insert(&tx, &cracked).await.unwrap();
    let lost = LotLoss {
        lot: ready.id,
        day: day("2026-05-08"),
        quantity: 1,
        kind: LossKind::Scrapped,
        cause: Some(cracked.id),
        note: Some("a corner".to_owned()),
        said: Said::default(),
    };
    lots::lose(&tx, &lost, rest.version).await.unwrap();
    let pin = NewPin { day: day("2026-05-20"), panel, revision, quantity: 2, reason: "a visit".to_owned() };
    pins::insert(&tx, &pin).await.unwrap();
    jobs::enqueue(&tx, at(0), "plan", "workshop", "{}", at(0)).await.unwrap();
    let office = tokens::insert(&tx, "office", Role::Office, &[0, 255, 7], at(0), Some(at(9))).await.unwrap();
    sessions::begin(&tx, &[9, 0], office, at(0), at(8)).await.unwrap();
    let kept = Kept { body_hash: vec![1], status: 200, headers: "{}".to_owned(), body: vec![0, 159] };
    idempotency::keep(&tx, at(0), "k", "r", &kept).await.unwrap();
    beats::beat(&tx, "a", at(0)).await.unwrap();
    let content = Wanted {
        topic: Topic::Pour,
        name: "2026-05-04".to_owned(),
        day: day("2026-05-04"),
        summary: "Pour 4 panels".to_owned(),
        description: String::new(),
    };
    agenda::put(&tx, &[Event { content, sequence: 0, changed_at: at(0), cancelled: false }]).await.unwrap();
    let feeds = ["/orders".to_owned()];
    let token = NewFeedToken { name: "phone", lookup: "a1", hash: &[7], feeds: &feeds, expires_at: None };
    feed_tokens::insert(&tx, &token, at(0)).await.unwrap();
    let said = NewNotice { kind: Kind::OrderLate, subject: "TH-1".to_owned(), sentence: "TH-1 is late.".to_owned() };
    notices::stand(&tx, &[said]).await.unwrap();
    let hook = NewWebHook { name: "yard", url: "https://listener.example/", kinds: &[Kind::OrderLate], secret: "s" };
    web_hooks::insert(&tx, &hook, at(0)).await.unwrap();
    trail::add(&tx, &[put_off()]).await.unwrap();
    tx.commit().await.unwrap();
    pulls::second_of(store, "/orders.csv?", &[1, 2], at(0)).await.unwrap();
}

/// An order's day that was changed.
fn put_off() -> NewChange {
    let (before, after) = (Some("\"2026-06-12\"".to_owned()), Some("\"2026-06-19\"".to_owned()));
    NewChange {
        kind: "orders".to_owned(),
        id: "TH-1".to_owned(),
        act: "changed".to_owned(),
        fields: vec![FieldChange { field: "due_on".to_owned(), before, after }],
    }
}

async fn finishes(store: &Store) -> usize {
    Finish::all(&store.read().await.unwrap()).await.unwrap().len()
}

#[tokio::test]
async fn what_is_restored_is_what_was_backed_up_on_either_database() {
    let folder = tempfile::tempdir().unwrap();
    for (index, from) in databases().await.into_iter().enumerate() {
        let store = from.migrated().await;
        fill(&store).await;
        let file = folder.path().join(format!("{index}.backup"));
        store.backup(&file).await.unwrap();
        let text = fs::read_to_string(&file).unwrap();
        let empty = text.lines().filter(|l| l.starts_with("{\"table\"") && l.ends_with("\"rows\":0}")).count();
        assert_eq!(empty, 0, "every table has a row to lose");
        for (number, to) in databases().await.into_iter().enumerate() {
            let restored = to.open().await;
            restored.restore(&file).await.unwrap();
            let again = folder.path().join(format!("{index}-{number}.backup"));
            restored.backup(&again).await.unwrap();
            assert_eq!(fs::read_to_string(&again).unwrap(), text, "from {:?} to {:?}", from.kind, to.kind);
            // Numbering goes on where it was.
            let tx = restored.write().await.unwrap();
            let entry = stock::append(&tx, at(9), &received("water", 5)).await.unwrap();
            assert_eq!(entry.id.get(), 3);
            drop(tx);
            assert!(matches!(restored.restore(&file).await, Err(StoreError::NotEmpty)));
        }
    }
}

#[tokio::test]
async fn a_backup_shows_one_moment_while_others_write() {
    let folder = tempfile::tempdir().unwrap();
    for (index, database) in databases().await.into_iter().enumerate() {
        let store = database.migrated().await;
        furnish(&store).await;
        let writing = store.clone();
        let writer = tokio::spawn(async move {
            for number in 0..30 {
                let tx = writing.write().await.unwrap();
                stock::append(&tx, at(number), &received("cement", 100)).await.unwrap();
                tx.commit().await.unwrap();
            }
        });
        let file = folder.path().join(format!("{index}.backup"));
        store.backup(&file).await.unwrap();
        writer.await.unwrap();
        let other = TestDatabase::sqlite();
        let restored = other.open().await;
        restored.restore(&file).await.unwrap();
        let tx = restored.read().await.unwrap();
        let entries = stock::page(&tx, None, None, 100).await.unwrap();
        let sum = entries.iter().map(|e| e.entry.amount).sum();
        assert_eq!(stock::balance(&tx, &cement().id).await.unwrap(), sum, "entries and balance are of one moment");
    }
}

async fn damaged(database: &TestDatabase, file: &Path, text: &str) {
    fs::write(file, text).unwrap();
    let store = database.open().await;
    let before = store.pending().await.unwrap().len();
    let said = store.restore(file).await.unwrap_err();
    assert!(matches!(&said, StoreError::Damaged(s) if s.contains("nothing was restored")), "{said:?}");
    assert_eq!(store.pending().await.unwrap().len(), before, "not even tables were made");
}

#[tokio::test]
async fn a_damaged_file_restores_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("workshop.backup");
    let source = TestDatabase::sqlite();
    let store = source.migrated().await;
    furnish(&store).await;
    store.backup(&file).await.unwrap();
    assert!(store.backup(&file).await.is_err(), "a backup is not written over another");
    let text = fs::read_to_string(&file).unwrap();
    let cut = folder.path().join("cut.backup");
    for database in databases().await {
        damaged(&database, &cut, &text.replacen("Grey cement", "Gray cement", 1)).await;
        damaged(&database, &cut, &text[..text.len() - 40]).await;
        damaged(&database, &cut, &text[..text.len() / 2]).await;
        damaged(&database, &cut, "").await;
        let missing = database.open().await.restore(&folder.path().join("none")).await;
        assert!(matches!(missing, Err(StoreError::Unusable(_))), "{missing:?}");
        let restored = database.open().await;
        restored.restore(&file).await.unwrap();
        assert_eq!(finishes(&restored).await, 1);
    }
    assert!(!folder.path().join("workshop.backup.part").exists());
}

#[tokio::test]
async fn what_is_only_added_cannot_be_changed_even_behind_the_store() {
    for database in databases().await {
        let store = database.migrated().await;
        fill(&store).await;
        for (table, column) in [
            ("stock_entry", "amount"),
            ("lot_move", "quantity"),
            ("lot_join", "quantity"),
            ("revision_standing", "state"),
            ("ticket_change", "what"),
            ("ticket_correction", "sentence"),
            ("ticket_correction_done", "did"),
            ("recorded_change", "act"),
            ("changed_field", "field"),
        ] {
            for sql in [format!("UPDATE {table} SET {column} = {column}"), format!("DELETE FROM {table}")] {
                let said = database.execute(&sql).await.unwrap_err().to_string();
                assert!(said.contains("only added"), "{sql}: {said}");
            }
        }
    }
}
