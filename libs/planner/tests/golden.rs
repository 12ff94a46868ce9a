//! Three small workshops whose plans can be worked out by hand.
#![allow(clippy::unwrap_used)]

#[path = "common/bare.rs"]
mod bare;
mod common;

use bare::{bare, order};
use chrono::{Datelike, Weekday};
use common::{day, instance, plan};
use workshop::documents::Facts;
use workshop::documents::explanation::Cause;
use workshop::documents::facts::*;

/// The bare workshop with little cement and one order.
fn lone() -> Facts {
    let mut facts = bare();
    facts.materials[0].on_hand = 10_000.0;
    facts.policy.late_price = 1.0;
    facts.orders.push(order("first", "2026-03-25", 1));
    facts
}

#[test]
fn a_panel_alone_is_ready_on_day_thirty() {
    let facts = lone();
    let outcome = plan(&facts, 0, 0).unwrap();
    let expected = r#"{
  "format": "mouldboard-plan/1",
  "pours": [
    {
      "day": "2026-03-01",
      "panel": "edging",
      "mix": "foam",
      "quantity": 1
    }
  ],
  "strips": [
    {
      "day": "2026-03-03",
      "panel": "edging",
      "mix": "foam",
      "quantity": 1,
      "tank": "tank"
    }
  ],
  "lifts": [
    {
      "day": "2026-03-17",
      "panel": "edging",
      "mix": "foam",
      "quantity": 1,
      "tank": "tank",
      "rack": "rack"
    }
  ],
  "batches": [
    {
      "day": "2026-03-01",
      "mix": "foam",
      "litres": [
        10
      ]
    }
  ],
  "deliveries": [],
  "orders": [
    {
      "id": "first",
      "ready_on": "2026-03-31",
      "met": [
        {
          "panel": "edging",
          "finish": "plain",
          "day": "2026-03-31",
          "quantity": 1
        }
      ]
    }
  ],
  "figures": {
    "order_days_late": 6,
    "panel_days_late": 6,
    "material_cost": 176,
    "changes": 0
  },
  "proof": {
    "figure": "order_days_late",
    "bound": 6,
    "gap": 0,
    "seconds": 0,
    "ended": "optimal",
    "way": "foreman"
  }
}
"#;
    assert_eq!(feeds::documents::write_plan(&outcome.plan), expected);
    let late = &outcome.explanation.late[0];
    assert_eq!((late.cause, late.days_late), (Cause::LeadTime, 6));
    let sentence = "order \"first\" is 6 days late: panel \"edging\" in \"plain\" comes last, on 2026-03-31; by its hold, soak and \
                    dry times nothing poured now is ready before 2026-03-31, after the due day";
    assert_eq!(late.sentence, sentence);
}

#[test]
fn closed_days_move_it_on() {
    let mut facts = lone();
    facts.working_days.retain(|day| !matches!(day.weekday(), Weekday::Sat | Weekday::Sun));
    let outcome = plan(&facts, 0, 0).unwrap();
    // 1 March is a Sunday: poured on Monday 2, stripped on 4, lifted on 18, ready on Wednesday 1 April.
    assert_eq!(outcome.plan.pours[0].day, day("2026-03-02"));
    assert_eq!(outcome.plan.strips[0].day, day("2026-03-04"));
    assert_eq!(outcome.plan.lifts[0].day, day("2026-03-18"));
    assert_eq!(outcome.plan.orders[0].ready_on, Some(day("2026-04-01")));
}

/// Two hundred panels a day in moulds for a night, in a tank for five, wanted at once.
fn two_hundred_a_day(places: f64) -> Facts {
    let mut facts = lone();
    facts.tanks[0].mm = places;
    let (mix, panel) = (&mut facts.mixes[0], &mut facts.panels[0]);
    (mix.hold_days, mix.soak_days, mix.dry_days, mix.batch_litres_max) = (1, 5, 0, 2_000.0);
    (panel.tank_mm, panel.pour_minutes, panel.strip_minutes, panel.lift_minutes) = (1.0, 0.1, 0.1, 0.1);
    facts.mould_groups[0].moulds = 200;
    facts.materials[0].on_hand = 1e9;
    facts.last_day = day("2026-03-21");
    let ready = facts.first_day.iter_days().skip(6).take(12).enumerate();
    facts.orders = ready.map(|(n, day)| order(&format!("order-{n:02}"), &day.to_string(), 200)).collect();
    facts
}

#[test]
fn a_tank_of_a_thousand_places_sustains_two_hundred_a_day_and_no_more() {
    let outcome = plan(&two_hundred_a_day(1_000.0), 0, 0).unwrap();
    assert_eq!(outcome.plan.figures.order_days_late, 0.0);
    let poured: i64 = outcome.plan.pours.iter().map(|pour| pour.quantity).sum();
    let days: std::collections::BTreeSet<_> = outcome.plan.pours.iter().map(|pour| pour.day).collect();
    assert_eq!((poured, days.len()), (2_400, 12));
    // With a place fewer no plan at all keeps up.
    let outcome = plan(&two_hundred_a_day(999.0), 0, 1).unwrap();
    assert!(outcome.plan.proof.as_ref().unwrap().bound > 0.0, "{:?}", outcome.plan.proof);
}

#[test]
fn one_mould_serves_three_orders_one_after_another() {
    let mut facts = lone();
    facts.orders = vec![order("a", "2026-03-31", 1), order("b", "2026-03-31", 1), order("c", "2026-04-02", 1)];
    let outcome = plan(&facts, 0, 0).unwrap();
    let ready: Vec<_> = outcome.plan.orders.iter().map(|order| order.ready_on.unwrap()).collect();
    // The mould is free again every second day: ready on 31 March, 2 and 4 April, in some order of due days.
    assert_eq!(ready, [day("2026-03-31"), day("2026-04-02"), day("2026-04-04")]);
    assert_eq!(outcome.plan.figures.order_days_late, 4.0);
    let causes: Vec<_> = outcome.explanation.late.iter().map(|late| (late.order.as_str(), late.cause)).collect();
    assert_eq!(causes, [("b", Cause::Moulds), ("c", Cause::Moulds)]);
}

#[test]
fn cement_that_comes_late_is_told() {
    let mut facts = lone();
    facts.materials[0].on_hand = 1_000.0;
    facts.materials[0].lead_days = 6;
    facts.orders = vec![order("first", "2026-03-31", 1)];
    let outcome = plan(&facts, 0, 0).unwrap();
    assert_eq!(outcome.plan.pours[0].day, day("2026-03-07"));
    let delivery = &outcome.plan.deliveries[0];
    assert_eq!((delivery.arrives, delivery.packs), (day("2026-03-07"), 1));
    assert_eq!(outcome.explanation.late[0].cause, Cause::Material);
    let short = &outcome.explanation.shorts[0];
    // Ten litres and one of washout at 400 g, with 1 kg on hand.
    assert_eq!((short.material.as_str(), short.day, short.short_by), ("cement", day("2026-03-01"), 3_400.0));
}

#[test]
fn without_a_mould_the_order_is_not_ready() {
    let mut facts = lone();
    facts.mould_groups[0].moulds = 0;
    let outcome = plan(&facts, 0, 0).unwrap();
    assert_eq!(outcome.plan.orders[0].ready_on, None);
    assert_eq!(outcome.explanation.late[0].cause, Cause::NoMould);
    assert!(outcome.explanation.late[0].sentence.contains("there is no mould of group \"edging\""));
}

#[test]
fn a_pin_without_moulds_is_short_by_this_much_here() {
    let mut facts = lone();
    facts.pinned = vec![Pour { day: day("2026-03-05"), panel: "edging".into(), mix: "foam".into(), quantity: 3 }];
    let failure = plan(&facts, 0, 0).unwrap_err().to_string();
    assert!(failure.contains("2 moulds of group \"edging\" short on 2026-03-05"), "{failure}");
}

#[test]
fn the_yard_keeps_its_pin() {
    let facts = instance("yard");
    let outcome = plan(&facts, 300, 0).unwrap();
    assert!(outcome.plan.pours.contains(&facts.pinned[0]));
    assert!(outcome.plan.figures.order_days_late <= 13.0);
}
