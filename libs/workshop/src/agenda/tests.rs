use super::*;
use crate::catalogue::Amount;
use crate::documents::plan;
use crate::ids::{DeliveryId, MaterialId, OrderId};
use crate::orders::Priority;

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn pour(on: &str, quantity: i64) -> plan::Pour {
    plan::Pour { day: day(on), panel: "side".into(), mix: "grey@2".into(), quantity }
}

fn on_its_way(expected: &str) -> Delivery {
    Delivery {
        id: DeliveryId::new(4),
        material: MaterialId::parse("cement").unwrap(),
        packs: 20,
        pack: Amount::new(25_000),
        expected_on: day(expected),
        state: DeliveryState::OnItsWay,
        arrived_on: None,
        received: None,
        rest_of: None,
        said: Default::default(),
    }
}

fn order(state: OrderState) -> Order {
    Order {
        id: OrderId::parse("TH-1").unwrap(),
        customer: Some("Wren Lane Allotments".into()),
        due_on: day("2026-06-01"),
        promised_on: None,
        priority: Priority::Usual,
        state,
        lines: vec![],
        note: None,
        parts_agreed: false,
    }
}

/// What is written after `before`, and all of it together.
fn step(
    kept: &mut Vec<Event>,
    plan: &Plan,
    first: &str,
    deliveries: &[Delivery],
    orders: &[Order],
    now: &str,
) -> usize {
    let lead_days = BTreeMap::from([("cement".to_owned(), 3)]);
    let known = Known { plan: Some((plan, day(first))), deliveries, orders, lead_days: &lead_days };
    let changes = changes(kept, &known.wanted(), |entry| known.is_settled(entry), at(now));
    let count = changes.len();
    for change in changes {
        kept.retain(|e| (e.content.topic, &e.content.name) != (change.content.topic, &change.content.name));
        kept.push(change);
    }
    count
}

fn only(kept: &[Event], topic: Topic) -> &Event {
    let found: Vec<_> = kept.iter().filter(|e| e.content.topic == topic).collect();
    assert_eq!(found.len(), 1, "{found:?}");
    found[0]
}

#[test]
fn an_entry_changes_is_cancelled_and_comes_back_under_one_name() {
    let mut kept = Vec::new();
    let with = |pours: Vec<plan::Pour>| Plan { pours, ..Plan::default() };
    let four = with(vec![pour("2026-05-05", 4)]);
    assert_eq!(step(&mut kept, &four, "2026-05-04", &[], &[], "2026-05-04T08:00:00Z"), 1);
    assert_eq!(step(&mut kept, &four, "2026-05-04", &[], &[], "2026-05-04T09:00:00Z"), 0, "nothing is new");
    assert_eq!(only(&kept, Topic::Pour).sequence, 0);
    step(
        &mut kept,
        &with(vec![pour("2026-05-05", 4), pour("2026-05-05", 2)]),
        "2026-05-04",
        &[],
        &[],
        "2026-05-04T10:00:00Z",
    );
    let event = only(&kept, Topic::Pour);
    assert_eq!((event.sequence, event.content.summary.as_str()), (1, "Pour 6 panels"));
    step(&mut kept, &with(vec![]), "2026-05-04", &[], &[], "2026-05-04T11:00:00Z");
    let event = only(&kept, Topic::Pour);
    assert_eq!((event.sequence, event.cancelled, event.changed_at), (2, true, at("2026-05-04T11:00:00Z")));
    assert_eq!(step(&mut kept, &with(vec![]), "2026-05-04", &[], &[], "2026-05-04T12:00:00Z"), 0, "cancelled once");
    step(&mut kept, &four, "2026-05-04", &[], &[], "2026-05-04T13:00:00Z");
    let event = only(&kept, Topic::Pour);
    assert_eq!((event.sequence, event.cancelled), (3, false));
}

#[test]
fn a_day_before_the_plans_first_stays_as_it_was() {
    let mut kept = Vec::new();
    let plan = Plan { pours: vec![pour("2026-05-04", 4)], ..Plan::default() };
    step(&mut kept, &plan, "2026-05-04", &[], &[], "2026-05-04T05:00:00Z");
    // Once the day's tickets are issued, the next plan begins a day later and knows nothing of this pour.
    assert_eq!(step(&mut kept, &Plan::default(), "2026-05-05", &[], &[], "2026-05-04T08:00:00Z"), 0);
    assert!(!only(&kept, Topic::Pour).cancelled);
}

#[test]
fn a_delivery_moves_and_comes_under_its_number() {
    let mut kept = Vec::new();
    let plan = Plan::default();
    step(&mut kept, &plan, "2026-05-04", &[on_its_way("2026-05-11")], &[], "2026-05-04T08:00:00Z");
    step(&mut kept, &plan, "2026-05-04", &[on_its_way("2026-05-12")], &[], "2026-05-04T09:00:00Z");
    let event = only(&kept, Topic::Delivery);
    assert_eq!((event.content.day, event.sequence), (day("2026-05-12"), 1));
    let here = Delivery { state: DeliveryState::Here, arrived_on: Some(day("2026-05-08")), ..on_its_way("2026-05-12") };
    step(&mut kept, &plan, "2026-05-04", &[here], &[], "2026-05-08T09:00:00Z");
    let event = only(&kept, Topic::Delivery);
    assert_eq!((event.content.day, event.cancelled), (day("2026-05-08"), false));
    assert_eq!(event.content.summary, "20 packs of cement: here");
    let mut kept = Vec::new();
    step(&mut kept, &plan, "2026-05-04", &[on_its_way("2026-05-11")], &[], "2026-05-04T08:00:00Z");
    step(&mut kept, &plan, "2026-05-04", &[], &[], "2026-05-04T09:00:00Z");
    assert!(only(&kept, Topic::Delivery).cancelled, "it was taken back");
}

#[test]
fn packs_to_order_stand_on_the_last_day_to_order_them() {
    let delivery = plan::Delivery { arrives: day("2026-05-18"), material: "cement".into(), packs: 1 };
    let plan = Plan { deliveries: vec![delivery], ..Plan::default() };
    let mut kept = Vec::new();
    step(&mut kept, &plan, "2026-05-04", &[], &[], "2026-05-04T08:00:00Z");
    let event = only(&kept, Topic::OrderDay);
    assert_eq!((event.content.day, event.content.summary.as_str()), (day("2026-05-15"), "Order 1 pack of cement"));
}

#[test]
fn an_order_is_late_whole_sent_out_or_withdrawn() {
    let ready = |on: &str| Plan {
        orders: vec![plan::OrderResult { id: "TH-1".into(), ready_on: Some(day(on)), met: vec![] }],
        ..Plan::default()
    };
    let mut kept = Vec::new();
    let open = [order(OrderState::Open)];
    step(&mut kept, &Plan::default(), "2026-05-04", &[], &open, "2026-05-04T08:00:00Z");
    assert_eq!(only(&kept, Topic::Order).content.summary, "Order TH-1 due, not planned");
    step(&mut kept, &ready("2026-06-03"), "2026-05-04", &[], &open, "2026-05-04T09:00:00Z");
    assert_eq!(only(&kept, Topic::Order).content.summary, "Order TH-1 whole, 2 days late");
    assert_eq!(
        step(
            &mut kept,
            &ready("2026-06-03"),
            "2026-05-04",
            &[],
            &[order(OrderState::Dispatched)],
            "2026-06-03T09:00:00Z"
        ),
        0
    );
    step(&mut kept, &ready("2026-06-03"), "2026-05-04", &[], &[order(OrderState::Withdrawn)], "2026-06-03T09:00:00Z");
    assert!(only(&kept, Topic::Order).cancelled);
    assert!(!format!("{kept:?}").contains("Wren"), "customers are not named in calendars");
}
