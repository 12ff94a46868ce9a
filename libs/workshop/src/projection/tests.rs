//! Projections of one material, worked out by hand. Monday 4 May 2026 is today; packs hold 25,000 g, the floor is 1,000 g,
//! the lead time three days.

use std::collections::{BTreeMap, BTreeSet};

use super::*;
use crate::catalogue::PriceBreak;
use crate::documents::plan;
use crate::ids::DeliveryId;
use crate::planning::Snapshot;
use crate::planning::example::{day, snapshot};
use crate::site::{CalendarDay, DayWork};
use crate::stock::{Delivery, DeliveryState};

fn amounts(of: &[(&str, i64)]) -> BTreeMap<Day, Amount> {
    of.iter().map(|(d, a)| (day(d), Amount::new(*a))).collect()
}

fn cement(on_hand: i64, used: &[(&str, i64)]) -> Outlook {
    Outlook { on_hand: Amount::new(on_hand), used: amounts(used), ..Outlook::default() }
}

fn projected(s: &Snapshot, outlook: &Outlook) -> Projection {
    project(&s.materials[0], outlook, &s.work_calendar(), day("2026-05-04"), day("2026-05-29"))
}

#[test]
fn cement_that_lasts_says_so() {
    let p = projected(&snapshot(), &cement(100_000, &[("2026-05-05", 20_000), ("2026-05-12", 79_000)]));
    assert_eq!((p.first_short_day, p.order_by, p.packs), (None, None, 0));
    assert_eq!(p.sentence, "Cement lasts to the end of the plan, Friday 29 May.");
    assert_eq!(p.days.len(), 26);
    assert_eq!(p.days.last().map(|d| d.on_hand), Some(Amount::new(1_000)), "the floor itself is enough");
}

#[test]
fn cement_running_short_says_when_and_what_to_order_by_when() {
    let mut outlook = cement(50_000, &[("2026-05-05", 20_000), ("2026-05-12", 29_001), ("2026-05-13", 60_000)]);
    outlook.to_order = BTreeMap::from([(day("2026-05-12"), 3)]);
    let p = projected(&snapshot(), &outlook);
    assert_eq!(p.first_short_day, Some(day("2026-05-12")));
    // Three days before Tuesday 12 May is a Saturday: order on Friday.
    assert_eq!((p.order_by, p.packs), (Some(day("2026-05-08")), 3));
    assert_eq!(p.sentence, "Cement lasts to Monday 11 May; order 3 packs (15.00 for the delivery) by Friday 8 May.");
    let on_the_day = p.days.iter().find(|d| d.day == day("2026-05-12")).unwrap();
    assert_eq!(on_the_day.on_hand, Amount::new(50_000 - 20_000 - 29_001 + 75_000));
    assert_eq!(on_the_day.unordered, Amount::new(999));
    assert_eq!(on_the_day.to_order, Amount::new(75_000));
}

#[test]
fn the_sentence_names_the_price_break_and_the_charge() {
    let mut s = snapshot();
    let mut outlook = cement(50_000, &[("2026-05-12", 60_000)]);
    outlook.to_order = BTreeMap::from([(day("2026-05-12"), 12)]);
    let said = |s: &Snapshot| projected(s, &outlook).sentence;
    s.materials[0].price_breaks = vec![PriceBreak { from_packs: 10, pack_price: MinorUnits::new(805) }];
    assert!(
        said(&s).contains("order 12 packs (at 8.05 each from 10 on, and 15.00 for the delivery) by Friday"),
        "{}",
        said(&s)
    );
    s.materials[0].delivery_charge = MinorUnits::ZERO;
    assert!(said(&s).contains("order 12 packs (at 8.05 each from 10 on) by Friday"), "{}", said(&s));
    s.materials[0].price_breaks.clear();
    assert!(said(&s).contains("order 12 packs by Friday"), "{}", said(&s));
}

#[test]
fn packs_are_worked_out_where_the_plan_orders_none_or_too_few() {
    let mut outlook = cement(30_000, &[("2026-05-12", 30_000), ("2026-05-20", 25_000)]);
    // 26,000 g are missing in the end: two packs of 25,000.
    assert_eq!(projected(&snapshot(), &outlook).packs, 2);
    outlook.on_hand = Amount::new(31_000);
    assert_eq!(projected(&snapshot(), &outlook).packs, 1);
    outlook.on_hand = Amount::new(1_000);
    outlook.to_order = BTreeMap::from([(day("2026-05-12"), 1)]);
    assert_eq!(projected(&snapshot(), &outlook).packs, 3);
}

#[test]
fn an_order_that_is_due_today_or_too_late_says_so() {
    let due_today = projected(&snapshot(), &cement(10_000, &[("2026-05-07", 10_000)]));
    assert_eq!(due_today.sentence, "Cement lasts to Wednesday 6 May; order 1 pack (15.00 for the delivery) today.");
    let too_late = projected(&snapshot(), &cement(10_000, &[("2026-05-05", 10_000)]));
    assert_eq!(
        too_late.sentence,
        "Cement lasts to Monday 4 May; order 1 pack (15.00 for the delivery) at once: it is needed on Tuesday 5 May and cannot be here before Thursday 7 May."
    );
    assert_eq!(too_late.order_by, Some(day("2026-05-01")));
    let short_now = projected(&snapshot(), &cement(500, &[("2026-05-04", 1)]));
    assert!(
        short_now
            .sentence
            .starts_with("Cement is short on Monday 4 May; order 1 pack (15.00 for the delivery) at once"),
        "{}",
        short_now.sentence
    );
}

#[test]
fn what_is_below_the_floor_but_not_used_is_not_short() {
    let p = projected(&snapshot(), &cement(10, &[]));
    assert_eq!(p.first_short_day, None);
    assert_eq!(p.sentence, "Cement is not used by the plan.");
}

#[test]
fn a_delivery_on_its_way_on_a_closed_day_or_overdue_is_there_on_the_next_working_day() {
    let mut s = snapshot();
    let closed =
        |on| CalendarDay { day: day(on), work: DayWork::Closed, labour_minutes: None, air_c: None, note: None };
    s.calendar = vec![closed("2026-05-04"), closed("2026-05-08")];
    let mut outlook = cement(0, &[("2026-05-11", 24_000)]);
    outlook.expected = amounts(&[("2026-05-08", 25_000), ("2026-04-30", 500)]);
    let p = projected(&s, &outlook);
    let arrived: BTreeMap<Day, i64> =
        p.days.iter().filter(|d| d.expected > Amount::ZERO).map(|d| (d.day, d.expected.get())).collect();
    assert_eq!(arrived, BTreeMap::from([(day("2026-05-05"), 500), (day("2026-05-11"), 25_000)]));
    assert_eq!(p.first_short_day, None);
}

#[test]
fn what_no_one_sells_tells_how_much_is_missing() {
    let mut s = snapshot();
    s.materials[0].supply = Supply::NotSold;
    let p = projected(&s, &cement(10_000, &[("2026-05-07", 5_000), ("2026-05-08", 7_000)]));
    assert_eq!((p.first_short_day, p.order_by, p.packs), (Some(day("2026-05-08")), None, 0));
    assert_eq!(p.sentence, "Cement lasts to Thursday 7 May; no one sells it any more, and 3000 g are missing.");
}

#[test]
fn a_plan_draws_batches_washouts_and_panels() {
    let s = snapshot();
    let facts = crate::planning::facts_from(&s, day("2026-05-04"), false).unwrap();
    let (on, mix, panel) = (day("2026-05-05"), "grey@2".to_owned(), "bed-side".to_owned());
    let plan = Plan {
        pours: vec![crate::documents::plan::Pour { day: on, panel, mix: mix.clone(), quantity: 4 }],
        batches: vec![
            crate::documents::plan::Batches { day: on, mix: mix.clone(), litres: vec![20.0] },
            crate::documents::plan::Batches { day: on, mix, litres: vec![22.0] },
        ],
        ..Plan::default()
    };
    let drawn = planned_draws(&facts, &plan);
    // One washout of 1.5 litres for both rows: 315 g × 43.5.
    assert_eq!(drawn["cement"], BTreeMap::from([(on, 13_702.5)]));
    assert_eq!(drawn["mesh"], BTreeMap::from([(on, 960_000.0)]));
    let materials: BTreeSet<&str> = drawn.keys().map(String::as_str).collect();
    assert_eq!(materials, BTreeSet::from(["cement", "foamer", "mesh", "oil", "sand"]));
    assert_eq!(to_whole_nearest(13_702.5), Amount::new(13_703));
}

fn on_its_way(id: i64, packs: i64) -> Delivery {
    Delivery {
        id: DeliveryId::new(id),
        material: snapshot().materials[0].id.clone(),
        packs,
        pack: Amount::new(25_000),
        expected_on: day("2026-05-11"),
        state: DeliveryState::OnItsWay,
        arrived_on: None,
        received: None,
        rest_of: None,
        said: Default::default(),
    }
}

#[test]
fn what_has_been_ordered_since_the_plan_is_not_to_be_ordered_again() {
    let s = snapshot();
    let facts = crate::planning::facts_from(&s, day("2026-05-04"), false).unwrap();
    let want = |arrives: &str, packs| plan::Delivery { arrives: day(arrives), material: "cement".into(), packs };
    let plan = Plan { deliveries: vec![want("2026-05-20", 4), want("2026-05-12", 3)], ..Plan::default() };
    let outlook = |ordered: Vec<Delivery>| {
        let planned = Planned { facts: &facts, plan: &plan, since: &ordered };
        Known::new(day("2026-05-04"), BTreeMap::new(), ordered.clone(), Some(planned), None).outlook(&s.materials[0])
    };
    let to_order = |packs: &[(&str, i64)]| packs.iter().map(|(d, n)| (day(d), *n)).collect::<BTreeMap<_, _>>();
    let some = outlook(vec![on_its_way(1, 3), on_its_way(2, 1)]);
    assert_eq!(some.to_order, to_order(&[("2026-05-20", 3)]));
    assert_eq!(some.expected, amounts(&[("2026-05-11", 100_000)]));
}

#[test]
fn what_forgotten_tickets_drew_is_not_on_hand() {
    let s = snapshot();
    let cement = &s.materials[0];
    let ticket = crate::planning::example::ticket("2026-05-01", &[(&cement.id, 9_920)]);
    let on_hand = BTreeMap::from([(cement.id.clone(), Amount::new(20_000))]);
    let known = Known::new(day("2026-05-04"), on_hand, vec![], None, None);
    assert_eq!(known.clone().less_open(&[]).outlook(cement).on_hand, Amount::new(20_000));
    assert_eq!(known.less_open(&[ticket]).outlook(cement).on_hand, Amount::new(10_080));
}
