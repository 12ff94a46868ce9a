//! Stock, deliveries, lots and pins.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

mod common;

use std::collections::BTreeMap;

use common::*;
use store::deliveries::NewDelivery;
use store::pins::NewPin;
use store::{Record, Rule, StoreError, deliveries, lots, orders, pins, stock};
use testkit::databases::each_database;
use workshop::catalogue::Amount;
use workshop::ids::{DeliveryId, LotId, PinId, StockEntryId, TicketNumber};
use workshop::lots::{LotMove, NewLot, Stage};
use workshop::orders::Order;
use workshop::said::Said;
use workshop::stock::{DeliveryState, EntryKind, NewStockEntry};

#[tokio::test]
async fn entries_are_kept_as_written_and_the_balance_runs_along() {
    each_database(async |store| {
        furnish(&store).await;
        let run = issued(&store, "2026-05-04").await;
        let tx = store.write().await.unwrap();
        let came = NewDelivery { material: cement().id, packs: 10, expected_on: day("2026-05-04") };
        let delivery = deliveries::insert(&tx, &came).await.unwrap().value.id;
        let ticket = ticket(run, "2026-05-04", 1).number;
        let entries = [
            NewStockEntry { delivery: Some(delivery), ..received("cement", 250_000) },
            NewStockEntry {
                kind: EntryKind::Drawn,
                amount: Amount::new(-17_200),
                ticket: Some(ticket),
                ..received("cement", 0)
            },
            NewStockEntry {
                kind: EntryKind::Counted,
                amount: Amount::new(-800),
                counted: Some(Amount::new(232_000)),
                ..received("cement", 0)
            },
            NewStockEntry { kind: EntryKind::Adjusted, note: None, ..received("cement", 500) },
            NewStockEntry { kind: EntryKind::WrittenOff, ..received("cement", -2_000) },
        ];
        let mut written = Vec::new();
        for entry in &entries {
            written.push(stock::append(&tx, at(5), entry).await.unwrap());
        }
        let balances: Vec<_> = written.iter().map(|e| e.balance.get()).collect();
        assert_eq!(balances, [250_000, 232_800, 232_000, 232_500, 230_500]);
        assert_eq!(stock::page(&tx, Some(&cement().id), None, 10).await.unwrap(), written);
        assert_eq!(stock::page(&tx, None, Some(written[2].id), 1).await.unwrap(), written[3..4]);
        assert_eq!(stock::find(&tx, written[1].id).await.unwrap().as_ref(), Some(&written[1]));
        assert_eq!(stock::of_ticket(&tx, ticket).await.unwrap(), written[1..2]);
        assert_eq!(written[0].entry, entries[0]);

        let opposite = NewStockEntry {
            kind: EntryKind::Countered,
            amount: Amount::new(17_200),
            counters: Some(written[1].id),
            ..received("cement", 0)
        };
        assert_eq!(stock::append(&tx, at(6), &opposite).await.unwrap().balance.get(), 247_700);
        assert!(matches!(stock::append(&tx, at(7), &opposite).await, Err(StoreError::AlreadyCountered)));
        assert_eq!(stock::balance(&tx, &cement().id).await.unwrap().get(), 247_700);
        assert_eq!(stock::on_hand(&tx).await.unwrap(), BTreeMap::from([(cement().id, Amount::new(247_700))]));
    })
    .await;
}

#[tokio::test]
async fn an_entry_names_all_it_misses_and_its_signs_are_held() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let astray = NewStockEntry {
            material: material_id("gravel"),
            ticket: Some(TicketNumber { day: day("2026-05-04"), sequence: 1 }),
            delivery: Some(DeliveryId::new(7)),
            counters: Some(StockEntryId::new(9)),
            ..received("cement", 1)
        };
        let Err(StoreError::Missing(missing)) = stock::append(&tx, at(0), &astray).await else { panic!() };
        let nouns: Vec<_> = missing.iter().map(|(noun, _)| *noun).collect();
        assert_eq!(nouns, ["material", "ticket", "delivery", "stock entry"]);
        let wrong = NewStockEntry { kind: EntryKind::Drawn, ..received("cement", 5) };
        let said = stock::append(&tx, at(0), &wrong).await;
        assert!(matches!(said, Err(StoreError::Refused { rule: Rule::Range, .. })), "{said:?}");
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn the_balance_is_the_sum_whoever_writes_at_once() {
    const WRITERS: i64 = 8;
    const EACH: i64 = 20;
    each_database(async |store| {
        furnish(&store).await;
        let mut writers = tokio::task::JoinSet::new();
        for writer in 0..WRITERS {
            let store = store.clone();
            writers.spawn(async move {
                for number in 0..EACH {
                    let tx = store.write().await.unwrap();
                    stock::append(&tx, at(number), &received("cement", 1 + writer * EACH + number)).await.unwrap();
                    // Every third is taken back: it must leave no trace in the balance.
                    if number % 3 == 2 { tx.rollback().await.unwrap() } else { tx.commit().await.unwrap() }
                }
            });
        }
        while let Some(done) = writers.join_next().await {
            done.unwrap();
        }
        let tx = store.read().await.unwrap();
        let entries = stock::page(&tx, None, None, 1_000).await.unwrap();
        let kept = (0..EACH).filter(|n| n % 3 != 2).count() * usize::try_from(WRITERS).unwrap();
        assert_eq!(entries.len(), kept);
        let mut sum = Amount::ZERO;
        for entry in &entries {
            sum = sum + entry.entry.amount;
            assert_eq!(entry.balance, sum, "entry {}", entry.id);
        }
        assert_eq!(stock::balance(&tx, &cement().id).await.unwrap(), sum);
    })
    .await;
}

#[tokio::test]
async fn a_delivery_comes_once_or_is_called_off() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let new = NewDelivery { material: cement().id, packs: 10, expected_on: day("2026-05-08") };
        let first = deliveries::insert(&tx, &new).await.unwrap();
        let sooner = NewDelivery { expected_on: day("2026-05-06"), ..new.clone() };
        let second = deliveries::insert(&tx, &sooner).await.unwrap();
        assert_eq!(deliveries::find(&tx, first.value.id).await.unwrap().as_ref(), Some(&first));
        let coming = deliveries::on_their_way(&tx).await.unwrap();
        assert_eq!(coming, [second.value.clone(), first.value.clone()]);
        let received = Amount::new(249_000);
        let stale = deliveries::receive(&tx, first.value.id, 9, day("2026-05-08"), received).await;
        assert!(matches!(stale, Err(StoreError::Stale { current: 1, .. })));
        let here = deliveries::receive(&tx, first.value.id, 1, day("2026-05-08"), received).await.unwrap();
        assert_eq!((here.version, here.value.state, here.value.received), (2, DeliveryState::Here, Some(received)));
        let again = deliveries::receive(&tx, first.value.id, 2, day("2026-05-08"), received).await;
        assert!(matches!(again, Err(StoreError::NotNow { .. })));
        assert!(matches!(deliveries::cancel(&tx, first.value.id, 2).await, Err(StoreError::NotNow { .. })));
        deliveries::cancel(&tx, second.value.id, 1).await.unwrap();
        assert_eq!(deliveries::page(&tx, Some(DeliveryState::OnItsWay), None, 10).await.unwrap(), []);
        assert_eq!(deliveries::page(&tx, None, None, 10).await.unwrap(), [here]);
        let unknown = NewDelivery { material: material_id("gravel"), ..new };
        assert!(matches!(deliveries::insert(&tx, &unknown).await, Err(StoreError::Missing(_))));
    })
    .await;
}

fn new_lot(quantity: i64) -> NewLot {
    NewLot {
        panel: panel().id,
        revision: revision_id(1),
        poured_on: day("2026-05-04"),
        ticket: None,
        stage: Stage::InMould,
        since: day("2026-05-04"),
        quantity,
        tank: None,
        rack: None,
        row: None,
    }
}

#[tokio::test]
async fn panels_go_stage_by_stage_and_none_is_lost() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap().under(Some("bench".to_owned()));
        let poured = lots::insert(&tx, &new_lot(6)).await.unwrap();
        assert_eq!(poured.finish, finish().id);
        let strip = LotMove {
            from: poured.id,
            day: day("2026-05-05"),
            to: Stage::Soaking,
            quantity: 4,
            tank: Some(tank().id),
            rack: None,
            row: Some("middle".to_owned()),
            said: Said::default(),
        };
        let soaking = lots::advance(&tx, &strip, 1).await.unwrap();
        assert_eq!((soaking.stage, soaking.quantity, soaking.since), (Stage::Soaking, 4, day("2026-05-05")));
        assert_eq!((soaking.tank, soaking.row.as_deref()), (Some(tank().id), Some("middle")));
        let left = lots::find(&tx, poured.id).await.unwrap().unwrap();
        assert_eq!((left.version, left.value.quantity, left.value.stage), (2, 2, Stage::InMould));
        assert!(matches!(lots::advance(&tx, &strip, 1).await, Err(StoreError::Stale { current: 2, .. })));
        let skipping = LotMove { to: Stage::Ready, tank: None, ..strip.clone() };
        assert!(matches!(lots::advance(&tx, &skipping, 2).await, Err(StoreError::NotNow { .. })));
        let too_many = LotMove { quantity: 3, ..strip.clone() };
        assert!(matches!(lots::advance(&tx, &too_many, 2).await, Err(StoreError::NotNow { .. })));
        let too_soon = LotMove { day: day("2026-05-03"), quantity: 1, ..strip.clone() };
        assert!(matches!(lots::advance(&tx, &too_soon, 2).await, Err(StoreError::NotNow { .. })));

        let lift = LotMove {
            from: soaking.id,
            day: day("2026-05-11"),
            to: Stage::Drying,
            quantity: 4,
            tank: None,
            rack: Some(rack().id),
            row: None,
            said: Said::default(),
        };
        let drying = lots::advance(&tx, &lift, 1).await.unwrap();
        let take = LotMove { from: drying.id, day: day("2026-05-13"), to: Stage::Ready, rack: None, ..lift };
        let ready = lots::advance(&tx, &take, 1).await.unwrap();
        assert_eq!(lots::find(&tx, soaking.id).await.unwrap().unwrap().value.quantity, 0, "kept as history");
        let present = lots::all_present(&tx).await.unwrap();
        assert_eq!(
            present.iter().map(|l| (l.stage, l.quantity)).collect::<Vec<_>>(),
            [(Stage::InMould, 2), (Stage::Ready, 4)]
        );

        let moves = lots::moves_on(&tx, day("2026-05-05")).await.unwrap();
        let said = Said { by: Some("bench".to_owned()), at: moves[0].0.said.at };
        assert!(said.at.is_some());
        assert_eq!(moves, [(LotMove { said, ..strip }, panel().id, revision_id(1))]);
        let id = order("TH-1").id;
        let (_, rest) = lots::dispatch(&tx, ready.id, 3, day("2026-05-14"), Some(id.clone())).await.unwrap();
        assert_eq!(rest.value.quantity, 1);
        assert!(matches!(
            lots::dispatch(&tx, ready.id, 2, day("2026-05-14"), None).await,
            Err(StoreError::NotNow { .. })
        ));
        assert!(matches!(
            lots::dispatch(&tx, poured.id, 1, day("2026-05-14"), None).await,
            Err(StoreError::NotNow { .. })
        ));
        assert!(matches!(Order::remove(&tx, &id, 1).await, Err(StoreError::InUse { .. })));
        assert_eq!(orders::open(&tx).await.unwrap().len(), 1);
        assert_eq!(lots::page(&tx, Some(Stage::Ready), None, 10).await.unwrap().len(), 1);
        assert_eq!(lots::page(&tx, None, Some(LotId::new(poured.id.get())), 10).await.unwrap().len(), 3);
    })
    .await;
}

#[tokio::test]
async fn a_lot_stands_only_where_its_stage_is() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let astray = NewLot { tank: Some(tank().id), ..new_lot(1) };
        assert!(matches!(lots::insert(&tx, &astray).await, Err(StoreError::Refused { rule: Rule::Range, .. })));
    })
    .await;
}

#[tokio::test]
async fn pins_are_made_found_and_taken_out() {
    each_database(async |store| {
        furnish(&store).await;
        let tx = store.write().await.unwrap();
        let new = NewPin {
            day: day("2026-05-20"),
            panel: panel().id,
            revision: revision_id(1),
            quantity: 2,
            reason: "a visit".to_owned(),
        };
        let later = pins::insert(&tx, &new).await.unwrap();
        let sooner = pins::insert(&tx, &NewPin { day: day("2026-05-12"), ..new.clone() }).await.unwrap();
        assert_eq!(pins::from(&tx, day("2026-05-12")).await.unwrap(), [sooner.value.clone(), later.value.clone()]);
        assert_eq!(pins::from(&tx, day("2026-05-13")).await.unwrap(), std::slice::from_ref(&later.value));
        assert_eq!(pins::page(&tx, Some(later.value.id), 5).await.unwrap(), std::slice::from_ref(&sooner));
        pins::remove(&tx, later.value.id, 1).await.unwrap();
        assert_eq!(pins::find(&tx, later.value.id).await.unwrap(), None);
        assert!(matches!(pins::remove(&tx, PinId::new(99), 1).await, Err(StoreError::NotFound { .. })));
        let strange = NewPin { revision: revision_id(9), ..new };
        assert!(matches!(pins::insert(&tx, &strange).await, Err(StoreError::Missing(_))));
    })
    .await;
}
