//! A day sheet of a small workshop on Monday 4 May 2026.

use super::*;
use crate::catalogue::Amount;
use crate::documents::plan;
use crate::ids::{LotId, MaterialId, RackId, TankId};
use crate::planning::example::{day, snapshot};
use crate::planning::facts_from;

const TODAY: &str = "2026-05-04";

fn plan() -> Plan {
    let common = |on: &str| (day(on), "bed-side".to_owned(), "grey@2".to_owned());
    let strip = |on: &str, quantity| {
        let (day, panel, mix) = common(on);
        plan::Strip { day, panel, mix, quantity, tank: Some("north".into()) }
    };
    let lift = |on: &str, quantity| {
        let (day, panel, mix) = common(on);
        plan::Lift { day, panel, mix, quantity, tank: Some("north".into()), rack: Some("long".into()) }
    };
    let (on, panel, mix) = common(TODAY);
    let order =
        |id: &str, ready: Option<&str>| plan::OrderResult { id: id.into(), ready_on: ready.map(day), met: vec![] };
    Plan {
        pours: vec![plan::Pour { day: on, panel, mix: mix.clone(), quantity: 4 }],
        strips: vec![strip(TODAY, 3), strip("2026-05-05", 9)],
        lifts: vec![lift(TODAY, 2), lift("2026-05-08", 1)],
        batches: vec![plan::Batches { day: on, mix, litres: vec![20.0, 22.0] }],
        deliveries: vec![plan::Delivery { arrives: on, material: "sand".into(), packs: 2 }],
        orders: vec![order("A", Some(TODAY)), order("B", Some("2026-05-05")), order("C", None)],
        ..Plan::default()
    }
}

fn moved(to: Stage, quantity: i64) -> (LotMove, PanelId, RevisionId) {
    let (tank, rack) = match to {
        Stage::Soaking => (TankId::parse("north").ok(), None),
        Stage::Drying => (None, RackId::parse("long").ok()),
        Stage::InMould | Stage::Ready => (None, None),
    };
    let moved = LotMove {
        from: LotId::new(1),
        day: day(TODAY),
        to,
        quantity,
        tank,
        rack,
        row: None,
        said: Said { by: Some("bench".into()), at: None },
    };
    (moved, PanelId::parse("bed-side").unwrap(), RevisionId::parse("grey@2").unwrap())
}

#[test]
fn a_planned_day_lists_all_it_needs_with_its_labour() {
    let facts = facts_from(&snapshot(), day(TODAY), false).unwrap();
    let plan = plan();
    let inputs = Inputs {
        day: day(TODAY),
        today: day(TODAY),
        facts: Some(&facts),
        plan: Some(&plan),
        to_order: &[],
        tickets: &[],
        moves: &[moved(Stage::Soaking, 1)],
        deliveries: &[],
        slow: &[],
        upkeep: &[],
        sent: &[],
    };
    let sheet = sheet(&inputs);
    assert_eq!(sheet.strips.iter().map(|t| (t.quantity, t.done, t.left())).collect::<Vec<_>>(), [(3, 1, 2)]);
    assert_eq!(sheet.lifts.iter().map(|t| (t.quantity, t.done)).collect::<Vec<_>>(), [(2, 0)]);
    assert_eq!(sheet.strips[0].progress(false), Progress::PartlyDone);
    assert_eq!(sheet.strips[0].said, [Said { by: Some("bench".into()), at: None }]);
    assert_eq!((sheet.strips[0].minutes, sheet.lifts[0].minutes, sheet.pours[0].minutes), (15.0, 6.0, 16.0));
    assert_eq!(sheet.pours.iter().map(|p| p.pour.clone()).collect::<Vec<_>>(), plan.pours);
    assert_eq!(sheet.whole().collect::<Vec<_>>(), ["A"]);
    // 3 strips of 5, 2 lifts of 3, 4 pours of 4, two batches of 20 and one washout of 15 minutes.
    assert_eq!(sheet.labour_minutes, 15.0 + 6.0 + 16.0 + 40.0 + 15.0);
}

#[test]
fn arrivals_are_what_is_on_its_way_late_or_not_and_what_the_plan_asks_for() {
    let on_its_way = |id, on: &str, state| Delivery {
        id: DeliveryId::new(id),
        material: MaterialId::parse("cement").unwrap(),
        packs: 1,
        pack: Amount::new(1),
        expected_on: day(on),
        state,
        arrived_on: None,
        received: None,
        rest_of: None,
        said: Default::default(),
    };
    let came = |id, on: &str, packs| Delivery {
        state: DeliveryState::Here,
        arrived_on: Some(day(on)),
        received: Some(Amount::new(1)),
        packs,
        ..on_its_way(id, TODAY, DeliveryState::Here)
    };
    let deliveries = [
        on_its_way(1, TODAY, DeliveryState::OnItsWay),
        on_its_way(2, "2026-05-01", DeliveryState::OnItsWay),
        on_its_way(3, "2026-05-05", DeliveryState::OnItsWay),
        on_its_way(4, TODAY, DeliveryState::Here),
        came(5, TODAY, 1),
        came(6, "2026-05-03", 1),
        came(7, TODAY, 2),
    ];
    let plan = plan();
    let inputs = Inputs {
        day: day(TODAY),
        today: day(TODAY),
        facts: None,
        plan: Some(&plan),
        to_order: &plan.deliveries,
        tickets: &[],
        moves: &[],
        deliveries: &deliveries,
        slow: &[],
        upkeep: &[],
        sent: &[],
    };
    let found: Vec<_> = sheet(&inputs)
        .arrivals
        .into_iter()
        .map(|a| (a.material, a.delivery.map(DeliveryId::get), a.overdue_since, a.progress))
        .collect();
    let expected = [
        ("cement".to_owned(), Some(1), None, Progress::ToDo),
        ("cement".to_owned(), Some(2), Some(day("2026-05-01")), Progress::ToDo),
        ("cement".to_owned(), Some(5), None, Progress::Done),
        ("cement".to_owned(), Some(7), None, Progress::PartlyDone),
        ("sand".to_owned(), None, None, Progress::ToDo),
    ];
    assert_eq!(found, expected);
    let ordered = Inputs { to_order: &[], ..inputs };
    assert!(sheet(&ordered).arrivals.iter().all(|a| a.delivery.is_some()), "what is ordered is not asked for again");
    let tomorrow = Inputs { day: day("2026-05-05"), plan: None, ..inputs };
    let found: Vec<_> =
        sheet(&tomorrow).arrivals.into_iter().map(|a| (a.delivery.map(DeliveryId::get), a.overdue_since)).collect();
    assert_eq!(found, [(Some(3), None)], "what is overdue today stands on today's sheet alone");
}

#[test]
fn panels_leave_the_rack_on_the_first_working_day_after_drying() {
    let facts = facts_from(&snapshot(), day(TODAY), false).unwrap();
    let plan = plan();
    let leaving = |on: &str, moves: &[_]| {
        let inputs = Inputs {
            day: day(on),
            today: day(TODAY),
            facts: Some(&facts),
            plan: Some(&plan),
            to_order: &[],
            tickets: &[],
            moves,
            deliveries: &[],
            slow: &[],
            upkeep: &[],
            sent: &[],
        };
        sheet(&inputs).ready.iter().map(|t| (t.quantity, t.done)).collect::<Vec<_>>()
    };
    // Lifted on Monday the 4th and Friday the 8th; seven days of drying end on the 11th and the 15th.
    assert_eq!(leaving("2026-05-11", &[]), [(2, 0)]);
    assert_eq!(leaving("2026-05-15", &[]), [(1, 0)]);
    assert_eq!(leaving("2026-05-12", &[]), []);
}

#[test]
fn without_a_plan_a_day_is_empty() {
    let inputs = Inputs {
        day: day(TODAY),
        today: day(TODAY),
        facts: None,
        plan: None,
        to_order: &[],
        tickets: &[],
        moves: &[],
        deliveries: &[],
        slow: &[],
        upkeep: &[],
        sent: &[],
    };
    let sheet = sheet(&inputs);
    assert!(sheet.strips.is_empty() && sheet.lifts.is_empty() && sheet.ready.is_empty() && sheet.dispatches.is_empty());
    assert_eq!(sheet.labour_minutes, 0.0);
}

#[test]
fn what_went_out_stands_on_the_days_sheet_with_how_far_it_came() {
    let plan = plan();
    let sent = |order: &str, panels, complete| Sent {
        order: OrderId::parse(order).unwrap(),
        panels,
        complete,
        said: vec![Said::default()],
    };
    let inputs = Inputs {
        day: day(TODAY),
        today: day("2026-05-05"),
        facts: None,
        plan: Some(&plan),
        to_order: &[],
        tickets: &[],
        moves: &[],
        deliveries: &[],
        slow: &[],
        upkeep: &[],
        sent: &[sent("Z", 3, true), sent("K", 1, false)],
    };
    let begun = Inputs { sent: &[sent("A", 1, false)], ..inputs };
    assert_eq!(sheet(&begun).whole().collect::<Vec<_>>(), ["A"], "a part of it went, and the rest can go");
    let gone = Inputs { sent: &[sent("A", 4, true)], ..inputs };
    assert_eq!(sheet(&gone).whole().count(), 0);
    let found: Vec<_> = sheet(&inputs).dispatches.into_iter().map(|d| (d.order, d.panels, d.progress)).collect();
    let expected = [
        ("A".to_owned(), 0, Progress::NotDone),
        ("K".to_owned(), 1, Progress::PartlyDone),
        ("Z".to_owned(), 3, Progress::Done),
    ];
    assert_eq!(found, expected, "the day is over, and A is still here");
}
