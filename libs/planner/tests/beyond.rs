//! Panels that can no longer be ready within the horizon make no order less late, but poured from a cheap mix they cost less
//! than put off, which counts the dearest (rules and figures of the planning documents).
#![allow(clippy::unwrap_used)]

#[path = "common/bare.rs"]
mod bare;

use bare::{bare, order};
use planner::{Limits, Outcome, run};
use workshop::documents::Facts;

/// So many panels ordered, a horizon of thirty days, so that all but the pours of the first day are too late; two mixes of one
/// finish, 16 and 32 minor units a litre, a litre for each washout.
fn short_of_days(ordered: i64) -> Facts {
    let mut facts = bare();
    let mut dear = facts.mixes[0].clone();
    dear.id = "rapid".into();
    dear.per_litre.insert("cement".into(), 800.0);
    facts.mixes.push(dear);
    facts.panels[0].mixes.push("rapid".into());
    facts.last_day = facts.first_day + chrono::Duration::days(30);
    facts.orders = vec![order("one", "2026-03-05", ordered)];
    facts.policy.unmet_days = 0;
    facts
}

fn planned(facts: &Facts, nodes: u64) -> Outcome {
    run(facts, &Limits::counted(4_000, nodes, 1), &|| 0.0, &mut |_| {}).unwrap()
}

/// There is one mould, so that three panels are poured on three days, each of 10 L with a washout of 1 L, at 16 minor units a litre.
#[test]
fn nothing_is_put_off_that_a_cheap_mix_can_be_poured_for() {
    for nodes in [0, 2_000] {
        let outcome = planned(&short_of_days(3), nodes);
        let poured: Vec<_> = outcome.plan.pours.iter().map(|pour| (pour.mix.as_str(), pour.quantity)).collect();
        assert_eq!(poured, [("foam", 1), ("foam", 1), ("foam", 1)], "{nodes} nodes");
        assert_eq!(outcome.plan.figures.material_cost, 3 * 11 * 16, "{nodes} nodes");
    }
}

/// The least cost is proven, so nothing that is poured late is out of the model.
#[test]
fn the_least_cost_counts_panels_that_are_ready_after_the_horizon() {
    let outcome = planned(&short_of_days(3), 2_000);
    assert_eq!(outcome.cost_bound, Some(outcome.plan.figures.material_cost));
}

/// What is poured too late is poured at no order's expense: with it and without, orders are as late.
#[test]
fn no_order_is_later_for_it() {
    let facts = short_of_days(3);
    let without = run(&facts, &Limits::counted(0, 0, 1), &|| 0.0, &mut |_| {}).unwrap().plan.figures;
    let with = planned(&facts, 0).plan.figures;
    assert!(with.material_cost < without.material_cost, "{with:?} {without:?}");
    assert!(with.order_days_late <= without.order_days_late);
}
