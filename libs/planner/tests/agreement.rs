//! Our checker and the judge say the same: of every instance's plan, of plans for facts drawn by lot, and of spoiled plans.
#![allow(clippy::unwrap_used)]

mod common;

use common::outside::{agree, judge};
use common::{FACTS_DRAWN, instance, instances, plan};
use planner::PlanFailure;

#[test]
fn every_instance_is_planned_and_judged_good() {
    let pairs: Vec<_> = instances()
        .into_iter()
        .map(|name| {
            let facts = instance(&name);
            let outcome = plan(&facts, 0, 0).unwrap();
            (facts, outcome.plan)
        })
        .collect();
    assert_eq!(pairs.len(), 11);
    agree(&pairs);
    for judged in judge(&pairs).into_iter().flatten() {
        assert!(judged.holds, "{}", judged.broken);
    }
}

#[test]
fn facts_drawn_by_lot_get_plans_the_judge_finds_good() {
    let (mut pairs, mut short) = (Vec::new(), 0);
    for seed in 0..facts_drawn() {
        let facts = common::lot::facts(seed);
        match plan(&facts, 20, 0) {
            Ok(outcome) => pairs.push((facts, outcome.plan)),
            Err(PlanFailure::Short(_)) => short += 1,
            Err(failure) => panic!("seed {seed}: {failure:?}"),
        }
    }
    assert!(4 * pairs.len() as u64 > 3 * facts_drawn(), "{short} of {} came out short of their pins", facts_drawn());
    agree(&pairs);
    for judged in judge(&pairs).into_iter().flatten() {
        assert!(judged.holds, "{}", judged.broken);
    }
}

/// How many facts are drawn: many more in the long run.
fn facts_drawn() -> u64 {
    if std::env::var_os("MOULDBOARD_TEST_SLOW").is_some() { 4 * FACTS_DRAWN } else { FACTS_DRAWN }
}
