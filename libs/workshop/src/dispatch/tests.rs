//! Orders of a small workshop: a set of four sides and hardware, in grey; ready lots of different days.

use super::*;
use crate::catalogue::RevisionState;
use crate::orders::{OrderLine, Priority};
use crate::planning::example::{day, revision, snapshot};
use crate::trials::{HardDensity, PanelWeighed};

fn side() -> PanelId {
    PanelId::parse("bed-side").unwrap()
}

fn grey() -> FinishId {
    FinishId::parse("grey").unwrap()
}

fn sets() -> BTreeMap<SetId, PanelSet> {
    let id = SetId::parse("bed").unwrap();
    let hardware = vec![(MaterialId::parse("pin").unwrap(), Pieces::new(4))];
    BTreeMap::from([(id.clone(), PanelSet { id, name: "Bed".into(), panels: vec![(side(), 4)], hardware })])
}

fn order(id: &str, due_on: &str, beds: i64) -> Order {
    Order {
        id: OrderId::parse(id).unwrap(),
        customer: None,
        due_on: day(due_on),
        promised_on: None,
        priority: Priority::Usual,
        state: OrderState::Open,
        parts_agreed: false,
        lines: vec![OrderLine { item: Item::Set(SetId::parse("bed").unwrap()), finish: grey(), quantity: beds }],
        note: None,
    }
}

fn lot(id: i64, stage: Stage, since: &str, quantity: i64) -> Lot {
    Lot {
        id: LotId::new(id),
        panel: side(),
        revision: RevisionId::parse("grey@2").unwrap(),
        finish: grey(),
        poured_on: day("2026-04-01"),
        ticket: None,
        stage,
        since: day(since),
        quantity,
        tank: None,
        rack: None,
        row: None,
    }
}

fn ready() -> Vec<Lot> {
    vec![
        lot(1, Stage::Ready, "2026-05-03", 3),
        lot(2, Stage::Ready, "2026-05-01", 2),
        lot(3, Stage::Drying, "2026-04-25", 9),
        lot(4, Stage::Ready, "2026-05-02", 0),
    ]
}

#[test]
fn ready_panels_are_given_to_those_due_first_and_only_once() {
    let orders = [order("LATE", "2026-06-01", 1), order("SOON", "2026-05-08", 1)];
    let found = standing(&orders, &sets(), &SentOut::new(), &ready());
    let seen: Vec<_> = found.iter().map(|s| (s.order.id.as_str(), s.lines[0].ready.clone(), s.can_go())).collect();
    let lots = |given: &[(i64, i64)]| given.iter().map(|(lot, n)| (LotId::new(*lot), *n)).collect::<Vec<_>>();
    assert_eq!(seen, [("SOON", lots(&[(2, 2), (1, 2)]), CanGo::Whole), ("LATE", lots(&[(1, 1)]), CanGo::Nothing),]);
    let agreed = [Order { parts_agreed: true, ..orders[0].clone() }, orders[1].clone()];
    assert_eq!(standing(&agreed, &sets(), &SentOut::new(), &ready())[1].can_go(), CanGo::Part);
    let gone = SentOut::from([((orders[1].id.clone(), side(), grey()), 4)]);
    let left = standing(&orders, &sets(), &gone, &ready());
    assert_eq!(left.iter().map(|s| (s.order.id.as_str(), s.can_go())).collect::<Vec<_>>(), [("LATE", CanGo::Whole)]);
}

#[test]
fn orders_in_turn_are_served_as_they_are_named_and_stay_when_all_has_gone() {
    let orders = [order("LATE", "2026-06-01", 1), order("SOON", "2026-05-08", 1)];
    let gone = SentOut::from([((orders[1].id.clone(), side(), grey()), 4)]);
    let found = in_turn(&orders, &sets(), &gone, &ready());
    let seen: Vec<_> =
        found.iter().map(|s| (s.order.id.as_str(), s.lines[0].ready_panels(), s.lines[0].left())).collect();
    assert_eq!(seen, [("LATE", 4, 4), ("SOON", 0, 0)]);
    let found = in_turn(&orders, &sets(), &SentOut::new(), &ready());
    assert_eq!(found.iter().map(|s| s.lines[0].ready_panels()).collect::<Vec<_>>(), [4, 1]);
}

#[test]
fn an_order_goes_whole_with_its_hardware_and_oldest_panels_first() {
    let standing = alone(&order("A", "2026-05-08", 1), &sets(), &SentOut::new(), &ready());
    let load = load(&standing, &sets(), None).unwrap();
    assert_eq!(load.lots, [(LotId::new(2), 2), (LotId::new(1), 2)]);
    assert_eq!(load.hardware, [(MaterialId::parse("pin").unwrap(), Pieces::new(4))]);
    assert!(load.complete);
}

#[test]
fn parts_go_only_where_they_were_agreed_and_hardware_with_the_last() {
    let two_beds = order("A", "2026-05-08", 2);
    let part = |quantity| vec![Part { panel: side(), finish: grey(), quantity }];
    let of = |order: &Order, sent: i64, parts: Option<&[Part]>| {
        let sent = SentOut::from([((order.id.clone(), side(), grey()), sent)]);
        load(&alone(order, &sets(), &sent, &ready()), &sets(), parts)
    };
    let pointers = |found: Result<Load, Vec<Fault>>| -> Vec<String> {
        found.unwrap_err().into_iter().map(|f| f.pointer).collect()
    };
    assert_eq!(pointers(of(&two_beds, 0, Some(&part(3)))), ["/panels"], "not agreed");
    assert_eq!(pointers(of(&two_beds, 0, None)), [""], "eight are wanted, five ready");
    let agreed = Order { parts_agreed: true, ..two_beds };
    let first = of(&agreed, 0, Some(&part(3))).unwrap();
    assert_eq!((first.lots.len(), first.hardware.len(), first.complete), (2, 0, false));
    let last = of(&agreed, 3, Some(&part(5))).unwrap();
    assert_eq!((last.complete, last.hardware[0].1), (true, Pieces::new(8)));
    for (quantity, says) in [(0, "out of range"), (6, "that stand ready"), (9, "left to send")] {
        let faults = of(&agreed, 0, Some(&part(quantity))).unwrap_err();
        assert_eq!(faults[0].pointer, "/panels/0/quantity", "{quantity}");
        assert!(faults[0].detail.contains(says), "{faults:?}");
    }
    assert_eq!(pointers(of(&agreed, 0, Some(&[]))), ["/panels"]);
    let other = vec![Part { finish: FinishId::parse("pink").unwrap(), ..part(1)[0].clone() }];
    assert_eq!(pointers(of(&agreed, 0, Some(&other)))[0], "/panels/0/panel");
    for state in [OrderState::Dispatched, OrderState::Withdrawn] {
        assert_eq!(pointers(of(&Order { state, ..agreed.clone() }, 0, None)), [""]);
    }
}

#[test]
fn panels_of_a_named_lot_go_by_the_rules_of_their_order() {
    let (bed, old) = (order("A", "2026-05-08", 1), lot(2, Stage::Ready, "2026-05-01", 6));
    let of = |order: &Order, sent: i64, quantity: i64| {
        let sent = SentOut::from([((order.id.clone(), side(), grey()), sent)]);
        load_from(order, &sets(), &sent, &old, quantity)
    };
    let pointers = |found: Result<Load, Vec<Fault>>| -> Vec<String> {
        found.unwrap_err().into_iter().map(|f| f.pointer).collect()
    };
    assert_eq!(pointers(of(&bed, 0, 1)), ["/order"], "no part was agreed");
    assert_eq!(pointers(of(&bed, 0, 5)), ["/quantity"], "four are wanted");
    let whole = of(&bed, 0, 4).unwrap();
    assert_eq!((whole.lots, whole.complete, whole.hardware.len()), (vec![(LotId::new(2), 4)], true, 1));
    let agreed = Order { parts_agreed: true, ..bed.clone() };
    let part = of(&agreed, 0, 1).unwrap();
    assert_eq!((part.complete, part.hardware.len()), (false, 0));
    assert!(of(&agreed, 3, 1).unwrap().complete, "the last of it");
    let other = Lot { finish: FinishId::parse("pink").unwrap(), ..old.clone() };
    assert_eq!(pointers(load_from(&bed, &sets(), &SentOut::new(), &other, 1))[0], "/order", "it wants none in pink");
    assert_eq!(pointers(of(&Order { state: OrderState::Withdrawn, ..bed }, 0, 4)), ["/order"]);
}

#[test]
fn a_mass_is_the_driest_that_is_known_and_never_too_small() {
    let panel = snapshot().panels[0].clone();
    let litres = panel.concrete().get() as f64 / 1000.0;
    let revision = revision("grey@2", RevisionState::InUse);
    let trial = |densities: Vec<HardDensity>, panels: Vec<PanelWeighed>| Trial {
        id: crate::ids::TrialId::parse("t").unwrap(),
        revision: revision.id.clone(),
        mixed_on: day("2026-03-01"),
        by: "the bench".into(),
        batch: None,
        masses: vec![],
        wet_density_kg_m3: None,
        densities,
        strengths: vec![],
        panels,
        wear_loss_g: None,
        cracks: None,
        warp_mm: None,
        photos: vec![],
        note: None,
    };
    let fresh = panel_mass(&panel, &revision, &[]);
    assert_eq!(fresh.each.get(), (revision.wet_density_kg_m3 * litres).ceil() as i64);
    assert_eq!(fresh.state, ConcreteState::Fresh);
    let dense = trial(vec![HardDensity { state: HardState::AirDry, kg_m3: 800.3 }], vec![]);
    let dry = panel_mass(&panel, &revision, std::slice::from_ref(&dense));
    assert_eq!((dry.each.get(), dry.state), ((800.3 * litres).ceil() as i64, ConcreteState::AirDry));
    let on_the_scale = PanelWeighed { panel: panel.id.clone(), state: HardState::AirDry, mass: Grams::new(8_123) };
    let weighed = trial(vec![], vec![on_the_scale]);
    assert_eq!(panel_mass(&panel, &revision, &[dense, weighed]).each, Grams::new(8_123));
}

#[test]
fn what_is_heavier_than_the_limit_wants_two_people() {
    let mass = PanelMass { each: Grams::new(24_620), state: ConcreteState::AirDry, source: String::new() };
    let (panel, finish, revision) = (side(), grey(), RevisionId::parse("grey@2").unwrap());
    let packed = [Packed { panel, finish, revision, quantity: 4, lots: vec![LotId::new(1)], mass }];
    let names = BTreeMap::from([(side(), "Bed side".to_owned())]);
    let notes = |limit| lifting_notes(&packed, &names, Grams::new(limit));
    assert!(
        notes(24_619)[0].starts_with("Bed side weighs 24.6 kg, above this workshop's limit of 24.6 kg: two people")
    );
    assert_eq!(notes(24_620).len(), 2, "at the limit one person is enough");
    assert_eq!(lifting_notes(&[], &names, Grams::new(1)), [] as [String; 0]);
}
