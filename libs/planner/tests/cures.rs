//! What would cure lateness: a cure is told only with the gain of a run on the changed facts.
#![allow(clippy::unwrap_used)]

#[path = "common/bare.rs"]
mod bare;
mod common;

use bare::{bare, order};
use common::{day, instance, lot, plan};
use planner::{Change, Limits, check, cures, rerun, run_and_advise};
use workshop::documents::Facts;
use workshop::documents::explanation::{Cure, Remedy};
use workshop::documents::facts::{Expected, Pour};

fn tried(facts: &Facts) -> Vec<(Change, Cure)> {
    let before = plan(facts, 0, 0).unwrap().plan;
    cures(facts, &before, &Limits::counted(0, 0, 1), &|| 0.0).unwrap()
}

/// Order-days late of the best plan there is.
fn best(facts: &Facts) -> f64 {
    let outcome = plan(facts, 400, 400).unwrap();
    assert_eq!(outcome.plan.proof.as_ref().unwrap().ended, "optimal");
    outcome.plan.figures.order_days_late
}

/// The cure of a kind, whose gain is what the best plan on the changed facts has less than the best on these.
fn cure(facts: &Facts, remedy: Remedy) -> Cure {
    let all = tried(facts);
    let words: Vec<&str> = all.iter().map(|(_, cure)| cure.sentence.as_str()).collect();
    let found = all.iter().find(|(_, cure)| cure.remedy == remedy);
    let (change, cure) = found.unwrap_or_else(|| panic!("no {remedy:?} in {words:?}"));
    assert_eq!(cure.order_days_fewer, best(facts) - best(&change.applied(facts)), "{}", cure.sentence);
    cure.clone()
}

/// Five moulds, and an order for so many that is due on the first day it can be ready.
fn five(quantity: i64) -> Facts {
    let mut facts = bare();
    facts.mould_groups[0].moulds = 5;
    facts.orders = vec![order("first", "2026-03-31", quantity)];
    facts
}

#[test]
fn a_mould_more() {
    let mut facts = bare();
    facts.orders = ["a", "b", "c"].map(|id| order(id, "2026-03-31", 1)).to_vec();
    let cure = cure(&facts, Remedy::Moulds);
    // Ready on 31 March, 2 and 4 April with one mould, on 31 March twice and 2 April with two.
    assert_eq!((cure.subject.as_str(), cure.order_days_fewer, cure.worth), ("edging", 4.0, 400));
    let orders: Vec<_> = cure.orders.iter().map(|o| (o.order.as_str(), o.days_sooner)).collect();
    assert_eq!(orders, [("c", 4)]);
    let sentence = "1 mould more of group \"edging\" would save 4 weighted order-days: order \"c\" 4 days less late";
    assert_eq!(cure.sentence, sentence);
}

#[test]
fn longer_days_and_overtime() {
    let mut facts = five(3);
    facts.labour_minutes.on.insert(day("2026-03-01"), 35.0);
    assert_eq!(cure(&facts, Remedy::Overtime).order_days_fewer, 1.0);
    let hours = cure(&facts, Remedy::Hours);
    assert_eq!(
        hours.sentence,
        "30 minutes more work every working day would save 1 weighted order-day: order \"first\" 1 day less late"
    );
}

#[test]
fn longer_rows() {
    let mut facts = five(3);
    facts.tanks[0].mm = 120.0;
    assert_eq!(cure(&facts, Remedy::TankRow).order_days_fewer, 14.0);
    let mut facts = five(3);
    facts.racks[0].mm = 180.0;
    let rack = cure(&facts, Remedy::RackRow);
    assert!(
        rack.sentence.starts_with("90 mm more row on rack \"rack\" would save 14 weighted order-days"),
        "{}",
        rack.sentence
    );
}

#[test]
fn a_batch_more() {
    let mut facts = five(5);
    facts.mixer_batches = 1;
    assert_eq!(cure(&facts, Remedy::Batches).order_days_fewer, 1.0);
}

#[test]
fn cement_sooner() {
    let mut facts = five(1);
    (facts.materials[0].on_hand, facts.materials[0].lead_days) = (1_000.0, 90);
    facts.materials[0].expected = vec![Expected { day: day("2026-03-06"), quantity: 25_000.0 }];
    assert_eq!(cure(&facts, Remedy::Delivery).order_days_fewer, 5.0);
    let packs = cure(&facts, Remedy::Packs);
    assert!(
        packs.sentence.starts_with("1 pack of 25 kg more of material \"cement\", there by 2026-03-01"),
        "{}",
        packs.sentence
    );
}

#[test]
fn a_warm_day_and_a_pin_set_free() {
    let mut facts = five(1);
    facts.mixes[0].not_on.insert(day("2026-03-01"));
    assert_eq!(cure(&facts, Remedy::Warmth).order_days_fewer, 1.0);
    let mut facts = five(2);
    facts.pinned = vec![Pour { day: day("2026-03-01"), panel: "edging".into(), mix: "foam".into(), quantity: 1 }];
    assert_eq!(cure(&facts, Remedy::Pin).order_days_fewer, 1.0);
}

#[test]
fn nothing_is_said_where_nothing_helps() {
    let mut facts = five(1);
    assert_eq!(tried(&facts), []);
    facts.orders[0].due_on = day("2026-03-20");
    assert_eq!(tried(&facts), []);
}

#[test]
fn every_gain_is_that_of_a_run_on_the_changed_facts() {
    let (mut looked_at, mut found) = (0, std::collections::BTreeMap::new());
    for seed in 0..250 {
        let facts = lot::facts(seed);
        let Ok(outcome) = plan(&facts, 20, 0) else { continue };
        let limits = Limits::counted(20, 0, 1);
        let base =
            [1, 2].map(|seed| rerun(&facts, &outcome.plan, &Limits { seed, ..limits.clone() }, &|| 0.0).unwrap());
        base.iter().for_each(|base| assert!(!outcome.plan.figures.better_than(&base.figures)));
        let least = base.iter().map(|base| base.figures.order_days_late).fold(f64::INFINITY, f64::min);
        for (change, cure) in cures(&facts, &outcome.plan, &limits, &|| 0.0).unwrap() {
            let changed = change.applied(&facts);
            let with = rerun(&changed, &outcome.plan, &limits, &|| 0.0).unwrap();
            assert!(check(&changed, &with).holds());
            assert_eq!(cure.order_days_fewer, least - with.figures.order_days_late, "{seed} {}", cure.sentence);
            assert!(cure.order_days_fewer > 0.0 && !cure.orders.is_empty());
            *found.entry(cure.remedy).or_insert(0) += 1;
        }
        looked_at += 1;
    }
    println!("{looked_at} plans: {found:?}");
    assert!(looked_at > 100 && found.len() >= 6, "{looked_at} {found:?}");
}

#[test]
fn the_yard_is_told_what_would_help() {
    let facts = instance("yard");
    let told = tried(&facts);
    let ranks: Vec<i64> = told.iter().map(|(_, cure)| cure.worth - cure.cost_more).collect();
    assert!(ranks.is_sorted_by(|a, b| a >= b), "{ranks:?}");
}

#[test]
fn of_changes_alike_the_least_is_told_and_the_least_that_gains_most() {
    for name in ["yard", "tiny-0", "small-0"] {
        let facts = instance(name);
        let mut alike = std::collections::BTreeMap::<_, Vec<(f64, f64)>>::new();
        for (change, cure) in tried(&facts) {
            let Some(size) = change.size() else { continue };
            alike.entry((cure.remedy, cure.subject)).or_default().push((size, cure.order_days_fewer));
        }
        for (what, mut sizes) in alike {
            sizes.sort_by(|a, b| a.partial_cmp(b).unwrap());
            assert!(sizes.len() <= 2 && sizes.is_sorted_by(|a, b| a.1 < b.1), "{name} {what:?}: {sizes:?}");
        }
    }
}

#[test]
fn the_same_is_told_every_time() {
    for name in ["yard", "tiny-0", "tiny-2"] {
        let facts = instance(name);
        let told = || {
            let outcome = run_and_advise(&facts, &Limits::counted(300, 0, 1), &|| 0.0, &mut |_| {}).unwrap();
            let explanation = outcome.explanation;
            assert!(!explanation.late.is_empty() && !explanation.cures.is_empty(), "{name}: {explanation:?}");
            (feeds::documents::write_plan(&outcome.plan), feeds::explanation::write(&explanation))
        };
        assert_eq!(told(), told(), "{name}");
    }
}
