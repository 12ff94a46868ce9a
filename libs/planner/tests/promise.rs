//! Promises for orders not yet placed: kept by a plan the checker accepts, at nobody's cost unless they say so.
#![allow(clippy::unwrap_used)]

#[path = "common/bare.rs"]
mod bare;
mod common;

use bare::{bare, lines, order};
use common::lot::{self, Lots};
use common::{day, instance, plan};
use planner::{Limits, Promise, PromiseFailure, Wish, check, promise};
use workshop::documents::facts::{Order, OrderLine};
use workshop::documents::{Facts, Plan};

fn asked(facts: &Facts, plan: &Plan, lines: &[OrderLine]) -> Result<Promise, PromiseFailure> {
    let wish = Wish { lines, weight: 1.0, from: None };
    promise(facts, plan, &wish, &Limits::counted(20, 0, 1), &|| 0.0)
}

/// The facts with the order as promised on a day.
fn with(facts: &Facts, lines: &[OrderLine], due_on: chrono::NaiveDate) -> Facts {
    let mut facts = facts.clone();
    let id = if facts.orders.iter().any(|o| o.id == "asked for") { "asked for+" } else { "asked for" };
    facts.orders.push(Order { id: id.into(), due_on, weight: 1.0, lines: lines.to_vec() });
    facts
}

#[test]
fn an_empty_workshop_promises_what_the_trade_says() {
    let facts = bare();
    let before = plan(&facts, 0, 0).unwrap().plan;
    let promise = asked(&facts, &before, &lines(1)).unwrap();
    assert_eq!(promise.ready_on, Some(day("2026-03-31")));
    assert!(promise.sooner.is_empty());
    // 10 litres of 400 g at 1,000 for 25,000 g; the plan also pays for the washout litre, and buys nothing.
    assert_eq!((promise.material_price, promise.added_cost), (160, Some(176)));
    assert_eq!(promise.sentences, ["it can be ready on 2026-03-31 without making any promised order later"]);
    // One mould: the second panel is poured two days later.
    assert_eq!(asked(&facts, &before, &lines(2)).unwrap().ready_on, Some(day("2026-04-02")));
}

#[test]
fn who_would_wait_is_said() {
    let mut facts = bare();
    facts.orders.push(order("first", "2026-03-31", 2));
    let before = plan(&facts, 0, 0).unwrap().plan;
    let promise = asked(&facts, &before, &lines(1)).unwrap();
    assert_eq!(promise.ready_on, Some(day("2026-04-04")));
    let sooner = &promise.sooner[0];
    assert_eq!(sooner.ready_on, day("2026-03-31"));
    let slip = &sooner.slips[0];
    assert_eq!(
        (slip.order.as_str(), slip.from, slip.to, slip.days),
        ("first", day("2026-04-02"), Some(day("2026-04-04")), 2)
    );
    assert!(promise.sentences[1].contains("order \"first\" 2 days later, on 2026-04-04"), "{:?}", promise.sentences);
}

#[test]
fn an_order_in_no_hurry_lends_its_panels() {
    let mut facts = bare();
    facts.orders.push(order("patient", "2026-04-20", 2));
    let before = plan(&facts, 0, 0).unwrap().plan;
    let promise = asked(&facts, &before, &lines(2)).unwrap();
    assert_eq!(promise.ready_on, Some(day("2026-04-02")));
}

#[test]
fn nothing_is_added_before_the_day_named() {
    let facts = bare();
    let before = plan(&facts, 0, 0).unwrap().plan;
    let lines = lines(1);
    let wish = Wish { lines: &lines, weight: 1.0, from: Some(day("2026-03-05")) };
    let promise = promise(&facts, &before, &wish, &Limits::counted(20, 0, 1), &|| 0.0).unwrap();
    assert_eq!(promise.ready_on, Some(day("2026-04-04")));
}

#[test]
fn what_cannot_be_had_is_said() {
    let facts = bare();
    let before = plan(&facts, 0, 0).unwrap().plan;
    let promise = asked(&facts, &before, &lines(1_000)).unwrap();
    assert_eq!((promise.ready_on, promise.plan, promise.added_cost), (None, None, None));
    assert!(promise.sentences[0].contains("cannot be ready by 2026-05-10"), "{:?}", promise.sentences);
    let unknown = [OrderLine { panel: "screen".into(), finish: "plain".into(), quantity: 0 }];
    let Err(PromiseFailure::Facts(faults)) = asked(&facts, &before, &unknown) else { unreachable!("no fault found") };
    let places: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(places, ["/lines/0/panel", "/lines/0/quantity"]);
}

#[test]
fn a_plan_of_other_facts_is_refused() {
    let (mut facts, poured) = (bare(), Vec::from([order("first", "2026-03-31", 1)]));
    facts.orders = poured;
    let before = plan(&facts, 0, 0).unwrap().plan;
    facts.mould_groups[0].moulds = 0;
    assert!(matches!(asked(&facts, &before, &lines(1)), Err(PromiseFailure::Plan(_))));
}

/// Looks at a promise from outside; gives whether it was kept without anybody waiting, and sooner with somebody waiting.
fn looked_at(facts: &Facts, before: &Plan, lines: &[OrderLine]) -> (bool, bool) {
    let promise = asked(facts, before, lines).unwrap();
    assert_eq!(promise.ready_on.is_some(), promise.plan.is_some());
    let was = |id: &str| before.orders.iter().find(|o| o.id == id).unwrap().ready_on;
    if let (Some(ready_on), Some(plan)) = (promise.ready_on, &promise.plan) {
        let facts = with(facts, lines, ready_on);
        let verdict = check(&facts, plan);
        assert!(verdict.holds(), "{:?}", verdict.broken);
        for order in &facts.orders {
            let now = plan.orders.iter().find(|o| o.id == order.id).unwrap().ready_on;
            if order.id.starts_with("asked for") {
                assert_eq!(now, Some(ready_on));
            } else if let Some(was) = was(&order.id) {
                let kept = now.is_some_and(|now| now <= was.max(order.due_on));
                assert!(kept, "{}, due on {}, was ready on {was}, is on {now:?}", order.id, order.due_on);
            }
        }
    }
    for sooner in &promise.sooner {
        assert!(promise.ready_on.is_none_or(|kept| sooner.ready_on < kept));
        let facts = with(facts, lines, sooner.ready_on);
        assert!(check(&facts, &sooner.plan).holds());
        assert!(!sooner.slips.is_empty());
        for order in facts.orders.iter().filter(|order| !order.id.starts_with("asked for")) {
            let now = sooner.plan.orders.iter().find(|o| o.id == order.id).unwrap().ready_on;
            let later = was(&order.id).is_some_and(|was| now.is_none_or(|now| now > was.max(order.due_on)));
            let slip = sooner.slips.iter().find(|slip| slip.order == order.id);
            assert_eq!(later, slip.is_some(), "{}: {:?} was {:?}", order.id, now, was(&order.id));
            assert!(slip.is_none_or(|slip| slip.to == now));
        }
    }
    (promise.ready_on.is_some(), !promise.sooner.is_empty())
}

#[test]
fn every_promise_is_kept_by_a_plan_the_checker_accepts() {
    let (mut kept, mut sooner, mut asked) = (0, 0, 0);
    for seed in 0..400 {
        let facts = lot::facts(seed);
        let Ok(outcome) = plan(&facts, 20, 0) else { continue };
        let mut lots = Lots::new(seed + 1);
        let line = |lots: &mut Lots| {
            let panel = lots.one_of(&facts.panels).clone();
            let suits = facts.mixes.iter().filter(|mix| panel.mixes.is_empty() || panel.mixes.contains(&mix.id));
            let finishes: Vec<String> = suits.map(|mix| mix.finish.clone()).collect();
            let finish = lots.one_of(&finishes).clone();
            OrderLine { panel: panel.id, finish, quantity: lots.from(1, 6) }
        };
        let lines: Vec<OrderLine> = (0..lots.from(1, 3)).map(|_| line(&mut lots)).collect();
        let found = looked_at(&facts, &outcome.plan, &lines);
        asked += 1;
        kept += i32::from(found.0);
        sooner += i32::from(found.1);
    }
    println!("{asked} asked, {kept} kept, {sooner} sooner if others wait");
    assert!(asked > 200 && kept > asked / 4 && sooner > 10, "{asked} asked, {kept} kept, {sooner} sooner");
}

#[test]
fn large_instances_are_promised_too() {
    for name in ["yard", "tiny-0", "tiny-1", "tiny-2", "small-0", "small-1", "small-2"] {
        let facts = instance(name);
        let before = plan(&facts, 0, 0).unwrap().plan;
        let lines = facts.orders[0].lines.clone();
        looked_at(&facts, &before, &lines);
    }
}
