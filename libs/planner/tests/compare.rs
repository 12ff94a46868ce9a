//! Two plans held against each other: every line that differs, with the change it comes from.
#![allow(clippy::unwrap_used)]

#[path = "common/bare.rs"]
mod bare;
mod common;

use bare::{bare, order};
use common::{day, lot, plan};
use planner::{Because, Comparison, Line, compare};
use workshop::documents::facts::{Expected, Lot, OutOfService, Pour, Stage};
use workshop::documents::{Facts, Plan};

fn planned(facts: &Facts) -> Plan {
    plan(facts, 0, 0).unwrap().plan
}

/// Facts with one order, and what changes once they are changed.
fn changed(change: impl FnOnce(&mut Facts)) -> Comparison {
    changed_from(|_| {}, change)
}

fn changed_from(before: impl FnOnce(&mut Facts), change: impl FnOnce(&mut Facts)) -> Comparison {
    let mut old = bare();
    old.orders = vec![order("first", "2026-04-10", 1)];
    before(&mut old);
    let mut new = old.clone();
    change(&mut new);
    compare(&old, &planned(&old), &new, &planned(&new))
}

fn told(comparison: &Comparison) -> Vec<(Because, &str)> {
    comparison.facts.iter().map(|fact| (fact.because, fact.sentence.as_str())).collect()
}

fn sentences(comparison: &Comparison) -> Vec<&str> {
    comparison.lines.iter().map(|line| line.sentence.as_str()).collect()
}

#[test]
fn nothing_changes_where_nothing_changed() {
    let same = changed(|_| {});
    assert_eq!((same.facts, same.lines), (vec![], vec![]));
    for seed in 0..40 {
        let facts = lot::facts(seed);
        let Ok(outcome) = plan(&facts, 0, 0) else { continue };
        let same = compare(&facts, &outcome.plan, &facts, &outcome.plan);
        assert_eq!((same.facts, same.lines), (vec![], vec![]), "{seed}");
    }
}

#[test]
fn an_order_that_came_in() {
    let comparison = changed(|facts| facts.orders.push(order("second", "2026-04-10", 1)));
    assert_eq!(told(&comparison), [(Because::OrderNew, "order \"second\" is new")]);
    assert!(
        sentences(&comparison).contains(&"order \"second\" is ready on 2026-04-10, as order \"second\" is new"),
        "{:?}",
        sentences(&comparison)
    );
    let poured = |line: &Line| matches!(line, Line::Pour { was: 0, is: 1, .. });
    let pour = comparison.lines.iter().find(|line| poured(&line.line)).unwrap();
    assert_eq!(pour.because, Because::OrderNew);
}

#[test]
fn an_order_that_is_gone_moved_or_another() {
    let comparison = changed(|facts| facts.orders.clear());
    assert_eq!(told(&comparison), [(Because::OrderGone, "order \"first\" is no longer open")]);
    assert!(comparison.lines.iter().all(|line| line.because == Because::OrderGone), "{:?}", comparison.lines);
    assert!(
        sentences(&comparison).contains(&"order \"first\" is planned no more, as order \"first\" is no longer open")
    );
    let comparison = changed(|facts| facts.orders[0].due_on = day("2026-04-20"));
    assert_eq!(
        told(&comparison),
        [(Because::DueMoved, "order \"first\" is wanted on 2026-04-20 instead of 2026-04-10")]
    );
    assert!(comparison.lines.iter().all(|line| line.because == Because::DueMoved));
    let comparison = changed(|facts| facts.orders[0].lines[0].quantity = 2);
    assert_eq!(told(&comparison), [(Because::OrderChanged, "order \"first\" wants other panels")]);
    assert!(!comparison.lines.is_empty());
}

#[test]
fn places_days_and_weather() {
    let with = |change: fn(&mut Facts)| changed_from(|facts| facts.orders[0].due_on = day("2026-03-31"), change);
    let closed = with(|facts| facts.working_days.retain(|d| *d != day("2026-03-01")));
    assert_eq!(told(&closed), [(Because::Calendar, "2026-03-01 is closed")]);
    assert!(closed.lines.iter().any(|line| line.because == Because::Calendar), "{:?}", closed.lines);
    let hours = with(|facts| facts.labour_minutes.on.extend([(day("2026-03-01"), 10.0)]));
    assert_eq!(told(&hours), [(Because::Hours, "2026-03-01 has 10 minutes of labour instead of 200")]);
    let later = "order \"first\" is ready on 2026-04-01, 1 day later than 2026-03-31";
    assert_eq!(sentences(&hours)[0], format!("{later}, as 2026-03-01 has 10 minutes of labour instead of 200"));
    let out = OutOfService { from: day("2026-03-01"), to: day("2026-03-02"), moulds: 1 };
    let mut moulds = bare();
    moulds.orders = vec![order("first", "2026-03-31", 1)];
    let mut fewer = moulds.clone();
    fewer.mould_groups[0].out_of_service = vec![out];
    let moulds = compare(&moulds, &planned(&moulds), &fewer, &planned(&fewer));
    assert_eq!(told(&moulds), [(Because::Moulds, "group \"edging\" has 0 moulds instead of 1 from 2026-03-01")]);
    assert!(moulds.lines.iter().all(|line| line.because == Because::Moulds), "{:?}", moulds.lines);
    let cold = with(|facts| facts.mixes[0].not_on.extend([day("2026-03-01")]));
    assert_eq!(told(&cold), [(Because::Weather, "mix \"foam\" may not be poured on other days than before")]);
    assert!(cold.lines.iter().all(|line| line.because == Because::Weather), "{:?}", cold.lines);
    let pin = Pour { day: day("2026-03-04"), panel: "edging".into(), mix: "foam".into(), quantity: 1 };
    let mut pinned = bare();
    let old = planned(&pinned);
    pinned.pinned = vec![pin];
    let comparison = compare(&bare(), &old, &pinned, &planned(&pinned));
    assert_eq!(comparison.lines[0].because, Because::Pin);
}

#[test]
fn stock_deliveries_and_terms() {
    let tight = |facts: &mut Facts| {
        facts.materials[0].on_hand = 4_400.0;
        facts.orders[0].due_on = day("2026-03-31");
    };
    let stock = changed_from(tight, |facts| facts.materials[0].on_hand = 4_000.0);
    assert_eq!(told(&stock), [(Because::Stock, "400 g less of material \"cement\" than planned is there")]);
    assert!(stock.lines.iter().all(|line| line.because == Because::Stock), "{:?}", stock.lines);
    let expected = |on: &str| Expected { day: day(on), quantity: 10_000.0 };
    let known = |facts: &mut Facts| {
        tight(facts);
        facts.materials[0].on_hand = 0.0;
        facts.materials[0].lead_days = 90;
        facts.materials[0].expected = vec![expected("2026-03-02")];
    };
    let late = changed_from(known, |facts| facts.materials[0].expected = vec![expected("2026-03-05")]);
    assert_eq!(told(&late)[0], (Because::Delivery, "10 kg of material \"cement\" now comes on 2026-03-05"));
    assert!(late.lines.iter().all(|line| line.because == Because::Delivery), "{:?}", late.lines);
    let dearer = changed(|facts| facts.materials[0].pack_price = 2_000.0);
    assert_eq!(told(&dearer), [(Because::Supply, "material \"cement\" is sold or kept otherwise")]);
}

#[test]
fn what_went_as_planned_is_no_change_and_what_did_not_is() {
    let mut old = bare();
    old.orders = vec![order("first", "2026-03-31", 2)];
    old.mould_groups[0].moulds = 2;
    let before = planned(&old);
    let mut new = old.clone();
    new.first_day = day("2026-03-02");
    new.materials[0].on_hand -= 21.0 * 400.0;
    let lot = |quantity| Lot {
        panel: "edging".into(),
        mix: "foam".into(),
        stage: Stage::InMould,
        since: day("2026-03-01"),
        quantity,
        tank: None,
        rack: None,
        soaked_on: None,
    };
    new.lots = vec![lot(2)];
    let as_planned = compare(&old, &before, &new, &planned(&new));
    assert_eq!((as_planned.facts, as_planned.lines), (vec![], vec![]));
    // A ticket's lines are whole grams.
    new.materials[0].on_hand -= 0.9;
    assert_eq!(compare(&old, &before, &new, &planned(&new)).facts, []);
    new.materials[0].on_hand -= 0.2;
    let less = compare(&old, &before, &new, &planned(&new));
    assert_eq!(told(&less), [(Because::Stock, "1.1 g less of material \"cement\" than planned is there")]);
    new.materials[0].on_hand += 1.1;
    new.lots = vec![lot(1)];
    let broke = compare(&old, &before, &new, &planned(&new));
    assert_eq!(told(&broke), [(Because::Actuals, "1 panel \"edging\" in \"plain\" fewer than planned is there")]);
    let ready = "order \"first\" is ready on 2026-04-01, 1 day later than 2026-03-31, as 1 panel \"edging\" in \"plain\" fewer than \
                 planned is there";
    assert_eq!(sentences(&broke)[0], ready);
}

#[test]
fn a_plan_made_on_the_same_facts_is_told_as_such() {
    let mut facts = bare();
    facts.orders = vec![order("first", "2026-04-10", 1)];
    let new = planned(&facts);
    let mut old = new.clone();
    old.pours[0].day = day("2026-03-03");
    let anew = compare(&facts, &old, &facts, &new);
    assert!(anew.lines.iter().all(|line| line.because == Because::Anew), "{:?}", anew.lines);
    assert!(sentences(&anew)[0].ends_with(", planned anew on the same facts"));
    old.figures.order_days_late += 1.0;
    let comparison = compare(&facts, &old, &facts, &new);
    assert_eq!(comparison.facts, []);
    assert!(comparison.lines.iter().all(|line| line.because == Because::Better), "{:?}", comparison.lines);
    assert!(sentences(&comparison)[0].ends_with(", found to be better on the same facts"));
}

#[test]
fn every_word_is_another() {
    let words: std::collections::BTreeSet<&str> = Because::ALL.iter().map(|because| because.word()).collect();
    assert_eq!(words.len(), Because::ALL.len());
}
