//! Why an order is late, each reason on a workshop where that limit and no other binds.
#![allow(clippy::unwrap_used)]

#[path = "common/bare.rs"]
mod bare;
mod common;

use bare::{bare, order};
use common::{day, plan};
use workshop::documents::Facts;
use workshop::documents::explanation::{Cause, LateOrder};
use workshop::documents::facts::{Expected, Lot, Pour, ReadyStock, Stage};

fn late(facts: &Facts) -> Vec<LateOrder> {
    plan(facts, 0, 0).unwrap().explanation.late
}

/// The one late order: its cause, the day it would be ready, and its reason.
fn reason(facts: &Facts) -> (Cause, Option<String>, String) {
    let late = late(facts);
    assert_eq!(late.len(), 1, "{late:?}");
    let (_, reason) = late[0].sentence.split_once("; ").unwrap();
    (late[0].cause, late[0].freed_on.map(|day| day.to_string()), reason.to_owned())
}

fn told(cause: Cause, day: &str, reason: &str) -> (Cause, Option<String>, String) {
    (cause, Some(day.into()), format!("{reason} it would be ready on {day}"))
}

/// Five moulds, and an order for so many that is due on the first day it can be ready.
fn five(quantity: i64) -> Facts {
    let mut facts = bare();
    facts.mould_groups[0].moulds = 5;
    facts.orders = vec![order("first", "2026-03-31", quantity)];
    facts
}

#[test]
fn moulds() {
    let mut facts = five(2);
    facts.mould_groups[0].moulds = 1;
    let sentence = "order \"first\" is 2 days late: panel \"edging\" in \"plain\" comes last, on 2026-04-02; the moulds of group \
                    \"edging\" hold it back: with 1 mould more of group \"edging\" it would be ready on 2026-03-31";
    assert_eq!(late(&facts)[0].sentence, sentence);
    assert_eq!((late(&facts)[0].cause, late(&facts)[0].freed_on), (Cause::Moulds, Some(day("2026-03-31"))));
}

#[test]
fn hours() {
    let mut facts = five(3);
    facts.labour_minutes.on.insert(day("2026-03-01"), 35.0);
    assert_eq!(
        reason(&facts),
        told(Cause::Hours, "2026-03-31", "the hours hold it back: with 5 minutes more on 2026-03-01")
    );
}

#[test]
fn the_mixer() {
    let mut facts = five(5);
    facts.mixer_batches = 1;
    assert_eq!(
        reason(&facts),
        told(Cause::Mixer, "2026-03-31", "the mixer holds it back: with 1 batch more on 2026-03-01")
    );
}

#[test]
fn tanks() {
    let mut facts = five(3);
    facts.tanks[0].mm = 120.0;
    assert_eq!(
        reason(&facts),
        told(Cause::Tank, "2026-03-31", "the tanks hold it back: with 30 mm more row in tank \"tank\"")
    );
}

#[test]
fn racks() {
    let mut facts = five(3);
    facts.racks[0].mm = 180.0;
    assert_eq!(
        reason(&facts),
        told(Cause::Rack, "2026-03-31", "the racks hold it back: with 90 mm more row in rack \"rack\"")
    );
}

#[test]
fn materials() {
    let mut facts = five(1);
    (facts.materials[0].on_hand, facts.materials[0].lead_days) = (1_000.0, 6);
    let words = "material \"cement\" holds it back: with 3.4 kg more by 2026-03-01";
    assert_eq!(reason(&facts), told(Cause::Material, "2026-03-31", words));
    facts.materials[0].unit = None;
    let words = "material \"cement\" holds it back: with 3400 of its small unit more by 2026-03-01";
    assert_eq!(reason(&facts), told(Cause::Material, "2026-03-31", words));
}

#[test]
fn room_in_the_store() {
    let mut facts = five(3);
    let cement = &mut facts.materials[0];
    // One pack of 5 kg fits, which is two panels a day and a washout.
    (cement.on_hand, cement.lead_days, cement.pack, cement.store_max) = (0.0, 0, 9_000.0, Some(9_000.0));
    let words = "material \"cement\" holds it back: with more room for it in the store";
    assert_eq!(reason(&facts), told(Cause::Material, "2026-03-31", words));
}

#[test]
fn cold_days() {
    let mut facts = five(1);
    facts.mixes[0].not_on.insert(day("2026-03-01"));
    let words = "days on which its mix may not be poured hold it back: with mix \"foam\" poured on 2026-03-01";
    assert_eq!(reason(&facts), told(Cause::ColdDays, "2026-03-31", words));
}

#[test]
fn pins() {
    let mut facts = five(2);
    facts.pinned = vec![Pour { day: day("2026-03-01"), panel: "edging".into(), mix: "foam".into(), quantity: 1 }];
    let words = "a pinned pour holds it back: with mix \"foam\" poured beside what is pinned on 2026-03-01";
    assert_eq!(reason(&facts), told(Cause::Pins, "2026-03-31", words));
}

#[test]
fn two_together() {
    let mut facts = five(2);
    facts.mould_groups[0].moulds = 1;
    facts.labour_minutes.on.insert(day("2026-03-01"), 32.0);
    let words = "the moulds of group \"edging\" and the hours hold it back together: with 1 mould more of group \"edging\" and \
                 3 minutes more on 2026-03-01";
    let (cause, freed, said) = reason(&facts);
    // On the day after, a mould more is enough by itself.
    assert_eq!((cause, freed.as_deref()), (Cause::Moulds, Some("2026-04-01")), "{said}");
    facts.working_days.retain(|d| *d != day("2026-03-02"));
    assert_eq!(reason(&facts), told(Cause::Moulds, "2026-03-31", words));
}

#[test]
fn no_mould_no_mix_and_no_tank() {
    let mut facts = five(1);
    facts.mould_groups[0].moulds = 0;
    let words = "there is no mould of group \"edging\": with 1 mould more of group \"edging\"";
    assert_eq!(reason(&facts), told(Cause::NoMould, "2026-03-31", words));
    let mut facts = five(1);
    facts.panels[0].mixes.clear();
    assert_eq!(reason(&facts).0, Cause::NoMix);
    let mut facts = five(1);
    facts.tanks[0].mm = 10.0;
    let words = "the tanks hold it back: with 40 mm more row in tank \"tank\"";
    assert_eq!(reason(&facts), told(Cause::Tank, "2026-03-31", words));
}

#[test]
fn its_own_times() {
    let mut facts = five(1);
    facts.orders[0].due_on = day("2026-03-20");
    let (cause, freed, said) = reason(&facts);
    assert_eq!((cause, freed), (Cause::LeadTime, None));
    assert!(said.contains("nothing poured now is ready before 2026-03-31"), "{said}");
    facts.last_day = day("2026-03-25");
    assert_eq!(reason(&facts).0, Cause::LeadTime);
}

#[test]
fn others_come_first() {
    let mut facts = bare();
    facts.panels[0].mixes.clear();
    facts.ready_stock = vec![ReadyStock { panel: "edging".into(), finish: "plain".into(), quantity: 1 }];
    let drying = |since| Lot {
        panel: "edging".into(),
        mix: "foam".into(),
        stage: Stage::Drying,
        since: day(since),
        quantity: 1,
        tank: None,
        rack: None,
        soaked_on: None,
    };
    facts.lots = vec![drying("2026-02-26")];
    facts.orders = vec![order("first", "2026-03-05", 1), order("second", "2026-03-05", 1)];
    let (cause, _, said) = reason(&facts);
    assert_eq!((cause, said.as_str()), (Cause::Turn, "what is ready before is promised to other orders"));
}

#[test]
fn what_is_short_is_said_with_its_unit() {
    let mut facts = five(1);
    facts.materials[0].on_hand = 3_620.7;
    facts.materials[0].expected = vec![Expected { day: day("2026-03-20"), quantity: 100.0 }];
    facts.materials[0].lead_days = 6;
    let shorts = plan(&facts, 0, 0).unwrap().explanation.shorts;
    let sentence = "material \"cement\" is short by 779.3 g on 2026-03-01 for the late panels it keeps back";
    assert_eq!(shorts[0].sentence, sentence);
}
