//! What holds for any facts.
#![allow(clippy::unwrap_used)]

mod common;

use common::lot::Lots;
use common::{instance, lot, plan};
use planner::{Limits, PlanFailure, check};
use proptest::prelude::*;
use workshop::documents::Facts;
use workshop::documents::plan::LateFigure;

fn mixed_up(facts: &Facts, seed: u64) -> Facts {
    let (mut facts, mut lots) = (facts.clone(), Lots::new(seed));
    lots.shuffle(&mut facts.materials);
    lots.shuffle(&mut facts.mixes);
    lots.shuffle(&mut facts.mould_groups);
    lots.shuffle(&mut facts.panels);
    lots.shuffle(&mut facts.tanks);
    lots.shuffle(&mut facts.racks);
    lots.shuffle(&mut facts.ready_stock);
    lots.shuffle(&mut facts.lots);
    lots.shuffle(&mut facts.pinned);
    lots.shuffle(&mut facts.orders);
    lots.shuffle(&mut facts.published);
    facts.orders.iter_mut().for_each(|order| lots.shuffle(&mut order.lines));
    facts.panels.iter_mut().for_each(|panel| lots.shuffle(&mut panel.mixes));
    facts
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_facts_get_a_plan_the_checker_accepts(seed in any::<u64>()) {
        let facts = lot::facts(seed);
        match plan(&facts, 60, 0) {
            Ok(outcome) => {
                let verdict = check(&facts, &outcome.plan);
                prop_assert!(verdict.holds(), "{:?}", verdict.broken);
                let late = outcome.plan.orders.iter().zip(&facts.orders).filter(|_| true).count();
                prop_assert_eq!(late, facts.orders.len());
                let proof = outcome.plan.proof.unwrap();
                prop_assert!(proof.bound >= 0.0 && proof.gap >= 0.0);
            }
            Err(PlanFailure::Short(sentence)) => prop_assert!(sentence.contains("short on 2026-"), "{sentence}"),
            Err(failure) => prop_assert!(false, "{failure:?}"),
        }
    }

    #[test]
    fn the_order_of_rows_changes_nothing(seed in any::<u64>()) {
        let facts = lot::facts(seed);
        let (one, other) = (plan(&facts, 40, 0), plan(&mixed_up(&facts, seed ^ 5), 40, 0));
        match (one, other) {
            (Ok(one), Ok(other)) => {
                prop_assert_eq!(one.plan, other.plan);
                prop_assert_eq!(one.explanation, other.explanation);
            }
            (Err(PlanFailure::Short(one)), Err(PlanFailure::Short(other))) => prop_assert_eq!(one, other),
            (one, other) => prop_assert!(false, "{one:?} and {other:?}"),
        }
    }

    #[test]
    fn every_late_order_is_explained_and_no_other(seed in any::<u64>()) {
        let facts = lot::facts(seed);
        let Ok(outcome) = plan(&facts, 0, 0) else { return Ok(()) };
        for result in &outcome.plan.orders {
            let order = facts.orders.iter().find(|order| order.id == result.id).unwrap();
            let late = result.ready_on.is_none_or(|ready| ready > order.due_on);
            let told: Vec<_> = outcome.explanation.late.iter().filter(|late| late.order == order.id).collect();
            prop_assert_eq!(told.len(), usize::from(late), "{:?}", told);
            for told in told {
                prop_assert_eq!(told.ready_on, result.ready_on);
                prop_assert!(told.sentence.contains(&order.id) && told.sentence.len() > 40);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3, failure_persistence: None, ..ProptestConfig::default() })]

    /// The bound of the window model is at most what any other way finds, and its plan is never worse than the foreman's.
    #[test]
    fn the_exact_way_is_never_worse_and_its_bound_never_above(seed in any::<u64>()) {
        let facts = lot::facts(seed);
        for figure in [LateFigure::OrderDaysLate, LateFigure::PanelDaysLate] {
            let limits = |evaluations, nodes| Limits { figure, ..Limits::counted(evaluations, nodes, 1) };
            let run = |limits: Limits| planner::run(&facts, &limits, &|| 0.0, &mut |_| {});
            let (Ok(foreman), Ok(searched)) = (run(limits(0, 0)), run(limits(400, 0))) else { return Ok(()) };
            let exact = run(limits(0, 1)).unwrap();
            let value = |outcome: &planner::Outcome| outcome.plan.figures.late(figure);
            let proof = exact.plan.proof.as_ref().unwrap();
            prop_assert!(value(&exact) <= value(&foreman) + 1e-6);
            prop_assert!(proof.bound <= value(&searched) + 1e-6, "{} {}", proof.bound, value(&searched));
        }
    }
}

#[test]
fn without_a_clock_the_plan_is_the_same_every_time_whatever_a_stopwatch_shows() {
    let facts = instance("tiny-1");
    let limits = Limits::counted(400, 3, 7);
    let run = |step: u64| {
        let shown = std::sync::atomic::AtomicU64::new(0);
        // It is looked at for the wish to stop alone.
        let stopwatch = || shown.fetch_add(step, std::sync::atomic::Ordering::Relaxed) as f64;
        let outcome = planner::run(&facts, &limits, &stopwatch, &mut |_| {}).unwrap();
        feeds::documents::write_plan(&outcome.plan)
    };
    let without = run(0);
    assert_eq!([run(0), run(1), run(1_000)], [without.clone(), without.clone(), without]);
}

#[test]
fn the_exact_way_proves_a_tiny_plan() {
    let facts = instance("tiny-1");
    let outcome = planner::run(&facts, &Limits::counted(300, 400, 1), &|| 0.0, &mut |_| {}).unwrap();
    let proof = outcome.plan.proof.unwrap();
    assert_eq!((proof.bound, outcome.plan.figures.order_days_late), (11.0, 11.0));
    assert_eq!(proof.ended, "optimal");
}

#[test]
fn a_run_by_the_clock_ends_in_time() {
    let facts = instance("small-1");
    let started = std::time::Instant::now();
    let stopwatch = move || started.elapsed().as_secs_f64();
    let mut told = 0;
    let outcome = planner::run(&facts, &Limits::seconds(4.0, 2, 1), &stopwatch, &mut |_| told += 1).unwrap();
    let seconds = started.elapsed().as_secs_f64();
    assert!(seconds < 6.0, "{seconds}");
    assert!(told >= 1);
    assert!(check(&facts, &outcome.plan).holds());
    assert!(outcome.plan.proof.unwrap().seconds > 0.0);
}
