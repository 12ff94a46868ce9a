//! Facts, table by table: each test changes one table of a small workshop and reads what the planner is told.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDate as Day, Utc};
use quantities::{Grams, Millilitres, Minutes};

use super::example::{day, material, revision, snapshot};
use super::*;
use crate::catalogue::*;
use crate::documents::plan;
use crate::ids::*;
use crate::lots::{Lot, LotMove, Pin, Stage};
use crate::orders::{Item, Order, OrderLine, OrderState, Priority};
use crate::site::DayWork;
use crate::stock::{Delivery, DeliveryState};
use crate::tickets::{Fill, LineKind, Ticket, TicketLine, TicketState};
use crate::upkeep::{Place, UpkeepTask};

const TODAY: &str = "2026-05-04";

fn facts(snapshot: &Snapshot) -> Facts {
    facts_from(snapshot, day(TODAY), false).unwrap()
}

fn after_issue(snapshot: &Snapshot) -> Facts {
    facts_from(snapshot, day(TODAY), true).unwrap()
}

fn panel_id() -> PanelId {
    PanelId::parse("bed-side").unwrap()
}

fn grey(number: u32) -> RevisionId {
    RevisionId { mix: MixId::parse("grey").unwrap(), number }
}

fn said(on: &str, work: DayWork, air_c: Option<f64>, minutes: Option<i64>) -> CalendarDay {
    CalendarDay { day: day(on), work, labour_minutes: minutes.map(Minutes::new), air_c, note: None }
}

fn order(id: &str, due: &str, item: Item, quantity: i64) -> Order {
    let finish = FinishId::parse("grey-smooth").unwrap();
    Order {
        id: OrderId::parse(id).unwrap(),
        customer: None,
        due_on: day(due),
        promised_on: None,
        priority: Priority::High,
        state: OrderState::Open,
        lines: vec![OrderLine { item, finish, quantity }],
        note: None,
        parts_agreed: false,
    }
}

fn lot(id: i64, revision: RevisionId, stage: Stage, since: &str, quantity: i64) -> Lot {
    Lot {
        id: LotId::new(id),
        panel: panel_id(),
        revision,
        finish: FinishId::parse("grey-smooth").unwrap(),
        poured_on: day(since),
        ticket: None,
        stage,
        since: day(since),
        quantity,
        tank: (stage == Stage::Soaking).then(|| TankId::parse("north").unwrap()),
        rack: (stage == Stage::Drying).then(|| RackId::parse("long").unwrap()),
        row: None,
    }
}

fn told(stage: facts::Stage, mix: &str, since: &str, quantity: i64) -> facts::Lot {
    facts::Lot {
        panel: "bed-side".into(),
        mix: mix.into(),
        stage,
        since: day(since),
        quantity,
        tank: (stage == facts::Stage::Soaking).then(|| "north".into()),
        rack: (stage == facts::Stage::Drying).then(|| "long".into()),
        soaked_on: None,
    }
}

fn ticket(state: TicketState) -> Ticket {
    let line = |position, material: &str, target, counted| TicketLine {
        position,
        kind: LineKind::Ingredient,
        material: MaterialId::parse(material).unwrap(),
        mass: Some(Grams::new(target)),
        target: Amount::new(target),
        actual: None,
        counted,
    };
    Ticket {
        number: TicketNumber { day: day(TODAY), sequence: 1 },
        run: RunId::new(1),
        revision: grey(2),
        batch: Millilitres::new(30_000),
        washout: Millilitres::new(1_500),
        lines: vec![line(1, "water", 6_300, false), line(2, "cement", 9_920, true)],
        foam: Millilitres::ZERO,
        foam_mass: Grams::ZERO,
        wet_density_kg_m3: 810.0,
        wet_density_low_kg_m3: 770.0,
        wet_density_high_kg_m3: 850.0,
        fills: vec![Fill {
            panel: panel_id(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished: 3,
            begun: Millilitres::ZERO,
            volume: Millilitres::new(30_000),
            moulds: vec![],
        }],
        labour: Minutes::new(47),
        cautions: vec![],
        state,
        issued_at: DateTime::<Utc>::UNIX_EPOCH,
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}

fn plan_of_today(strips: i64, lifts: i64) -> Plan {
    let common = (day(TODAY), "bed-side".to_owned(), "grey@2".to_owned());
    let (day, panel, mix) = common;
    Plan {
        strips: vec![plan::Strip { day, panel: panel.clone(), mix: mix.clone(), quantity: strips, tank: None }],
        lifts: vec![plan::Lift {
            day,
            panel,
            mix,
            quantity: lifts,
            tank: Some("north".into()),
            rack: Some("long".into()),
        }],
        ..Plan::default()
    }
}

fn moved(to: Stage, quantity: i64) -> (LotMove, PanelId, RevisionId) {
    let moved = LotMove {
        from: LotId::new(1),
        day: day(TODAY),
        to,
        quantity,
        tank: (to == Stage::Soaking).then(|| TankId::parse("north").unwrap()),
        rack: (to == Stage::Drying).then(|| RackId::parse("long").unwrap()),
        row: None,
        said: Default::default(),
    };
    (moved, panel_id(), grey(2))
}

// --- horizon and calendar

#[test]
fn the_horizon_is_sixty_days_and_the_slowest_mix_without_orders() {
    let facts = facts(&snapshot());
    assert_eq!(facts.first_day, day("2026-05-04"));
    // 4 May + 60 days = 3 July; the slowest mix takes 2 + 5 + 7 days.
    assert_eq!(facts.last_day, day("2026-07-17"));
}

#[test]
fn a_late_due_day_carries_the_horizon_along_up_to_400_days() {
    let mut s = snapshot();
    s.orders = vec![order("A", "2026-08-01", Item::Panel(panel_id()), 1)];
    assert_eq!(facts(&s).last_day, day("2026-08-15"));
    s.orders[0].due_on = day("2028-01-01");
    assert_eq!((facts(&s).last_day - facts(&s).first_day).num_days(), 399);
}

#[test]
fn a_long_hold_in_the_cold_makes_the_horizon_longer() {
    let mut s = snapshot();
    s.holds.get_mut(&grey(2)).unwrap().on.insert(day("2026-05-06"), 4);
    assert_eq!(facts(&s).last_day, day("2026-07-19"));
}

#[test]
fn once_issued_facts_begin_on_the_next_working_day() {
    assert_eq!(facts_from(&snapshot(), day("2026-05-08"), true).unwrap().first_day, day("2026-05-11"));
}

#[test]
fn named_days_are_closed_opened_shortened() {
    let mut s = snapshot();
    s.calendar = vec![
        said("2026-05-05", DayWork::Closed, None, Some(99)),
        said("2026-05-09", DayWork::Worked, None, Some(240)),
        said("2026-05-06", DayWork::Usual, None, Some(300)),
    ];
    let facts = facts(&s);
    let first: Vec<Day> = facts.working_days.iter().copied().take(5).collect();
    assert_eq!(first, ["2026-05-04", "2026-05-06", "2026-05-07", "2026-05-08", "2026-05-09"].map(day));
    assert_eq!(facts.labour_minutes.usual, 480.0);
    assert_eq!(facts.labour_minutes.on, BTreeMap::from([(day("2026-05-06"), 300.0), (day("2026-05-09"), 240.0)]));
}

#[test]
fn a_calendar_without_working_days_is_a_fault_once_issued() {
    let mut s = snapshot();
    s.workshop.working_weekdays.clear();
    let faults = facts_from(&s, day(TODAY), true).unwrap_err();
    assert!(faults[0].detail.contains("no working day"), "{faults:?}");
}

// --- materials

#[test]
fn mains_are_left_out_and_the_rest_told_in_order_of_id() {
    let ids: Vec<String> = facts(&snapshot()).materials.into_iter().map(|m| m.id).collect();
    assert_eq!(ids, ["cement", "csa", "foamer", "mesh", "oil", "sand"]);
}

#[test]
fn a_material_is_told_with_all_that_buying_it_takes() {
    let mut s = snapshot();
    s.materials[0].store_max = Some(Amount::new(500_000));
    s.materials[0].price_breaks = vec![PriceBreak { from_packs: 10, pack_price: quantities::MinorUnits::new(850) }];
    s.deliveries = vec![delivery("2026-05-07", 2), delivery("2026-05-04", 1)];
    let cement = facts(&s).materials.remove(0);
    let expected = facts::Material {
        id: "cement".into(),
        on_hand: 100_000.0,
        floor: 1_000.0,
        pack: 25_000.0,
        pack_price: 900.0,
        lead_days: 3,
        delivery_charge: 1_500.0,
        store_max: Some(500_000.0),
        price_breaks: vec![facts::PriceBreak { from_packs: 10, pack_price: 850.0 }],
        expected: vec![
            facts::Expected { day: day("2026-05-04"), quantity: 25_000.0 },
            facts::Expected { day: day("2026-05-07"), quantity: 50_000.0 },
        ],
        unit: Some("g".into()),
    };
    assert_eq!(cement, expected);
}

fn delivery(on: &str, packs: i64) -> Delivery {
    Delivery {
        id: DeliveryId::new(packs),
        material: MaterialId::parse("cement").unwrap(),
        packs,
        pack: Amount::new(25_000),
        expected_on: day(on),
        state: DeliveryState::OnItsWay,
        arrived_on: None,
        received: None,
        rest_of: None,
        said: Default::default(),
    }
}

#[test]
fn what_no_one_sells_cannot_come_inside_the_horizon() {
    let mut s = snapshot();
    s.materials[0].supply = Supply::NotSold;
    let facts = facts(&s);
    let arrival = facts.first_day + chrono::Days::new(facts.materials[0].lead_days.unsigned_abs());
    assert!(arrival > facts.last_day);
}

#[test]
fn once_issued_open_tickets_are_drawn_and_todays_deliveries_here() {
    let mut s = snapshot();
    s.tickets = vec![ticket(TicketState::Issued)];
    s.deliveries = vec![delivery("2026-05-04", 1), delivery("2026-05-01", 2)];
    let cement = after_issue(&s).materials.remove(0);
    assert_eq!(cement.on_hand, 100_000.0 - 9_920.0 + 25_000.0);
    // What is overdue is still on its way, and the planner takes it as here on its first working day.
    assert_eq!(cement.expected, [facts::Expected { day: day("2026-05-01"), quantity: 50_000.0 }]);
}

#[test]
fn more_drawn_than_there_was_leaves_nothing() {
    let mut s = snapshot();
    s.on_hand.insert(MaterialId::parse("cement").unwrap(), Amount::new(-500));
    assert_eq!(facts(&s).materials[0].on_hand, 0.0);
}

#[test]
fn mixed_and_void_tickets_draw_nothing_more() {
    for state in [TicketState::Mixed, TicketState::Void] {
        let mut s = snapshot();
        s.tickets = vec![ticket(state)];
        assert_eq!(after_issue(&s).materials[0].on_hand, 100_000.0, "{state:?}");
        assert_eq!(after_issue(&s).lots, []);
    }
}

#[test]
fn a_pack_of_nothing_is_a_fault() {
    let mut s = snapshot();
    s.materials[0].pack = Amount::ZERO;
    let faults = facts_from(&s, day(TODAY), false).unwrap_err();
    assert_eq!(faults[0].pointer, "/materials/cement/pack");
}

// --- mixes

#[test]
fn a_litre_draws_grams_millilitres_and_the_foam_by_hand() {
    let facts = facts(&snapshot());
    let grey = facts.mixes.iter().find(|m| m.id == "grey@2").unwrap();
    assert_eq!(grey.per_litre["cement"], 315.0);
    assert_eq!(grey.per_litre["sand"], 265.0);
    assert!(!grey.per_litre.contains_key("water"), "the main is not counted");
    // Filled: 0.200 + 0.100 + 0.100 m³ and 10 % air, so 0.5 m³ of foam: 25 kg. A litre of concentrate (1.02 kg) takes
    // 40 litres of water: 41.02 kg of foam. 25 / 41.02 = 0.60946 litres in a cubic metre, as many millilitres in a litre.
    assert!((grey.per_litre["foamer"] - 0.609_459).abs() < 1e-6, "{}", grey.per_litre["foamer"]);
}

#[test]
fn bought_water_counts_the_water_of_the_foam_too() {
    let mut s = snapshot();
    s.materials.iter_mut().find(|m| m.id.as_str() == "water").unwrap().supply = Supply::Bought;
    let facts = facts(&s);
    let water = facts.mixes[0].per_litre["water"];
    assert!((water - (200.0 + 0.609_459 * 40.0)).abs() < 1e-4, "{water}");
}

#[test]
fn concentrate_counted_in_grams_draws_grams() {
    let mut s = snapshot();
    s.materials[2].unit = StockUnit::Gram;
    assert!((facts(&s).mixes[0].per_litre["foamer"] - 0.609_459 * 1.02).abs() < 1e-6);
}

#[test]
fn every_number_of_a_revision_is_told() {
    let mut s = snapshot();
    s.calendar =
        vec![said("2026-05-06", DayWork::Usual, Some(3.0), None), said("2026-05-09", DayWork::Usual, Some(0.0), None)];
    let hold = s.holds.get_mut(&grey(2)).unwrap();
    hold.on = BTreeMap::from([(day("2026-05-06"), 5), (day("2026-05-07"), 2), (day("2026-05-09"), 4)]);
    let mut mix = facts(&s).mixes.remove(0);
    mix.per_litre.clear();
    let expected = facts::Mix {
        id: "grey@2".into(),
        finish: "grey-smooth".into(),
        per_litre: BTreeMap::new(),
        batch_litres_min: 10.0,
        batch_litres_max: 60.0,
        batch_minutes: 20.0,
        washout_litres: 1.5,
        washout_minutes: 15.0,
        washout_price: 0.0,
        washout_price_on: BTreeMap::new(),
        hold_days: 2,
        // The Saturday and the day that is as usual need not be told.
        hold_days_on: BTreeMap::from([(day("2026-05-06"), 5)]),
        soak_days: 5,
        dry_days: 7,
        not_on: BTreeSet::from([day("2026-05-06")]),
    };
    assert_eq!(mix, expected);
}

#[test]
fn a_revisions_own_least_air_temperature_comes_before_the_workshops() {
    let mut s = snapshot();
    s.calendar = vec![said("2026-05-06", DayWork::Usual, Some(7.0), None)];
    s.revisions[1].least_air_c = Some(8.0);
    let facts = facts(&s);
    let cold = |id: &str| facts.mixes.iter().find(|m| m.id == id).unwrap().not_on.len();
    assert_eq!((cold("grey@2"), cold("rapid@1")), (1, 0));
}

#[test]
fn only_the_newest_revision_in_use_is_poured() {
    let mut s = snapshot();
    s.revisions[0].state = RevisionState::InUse;
    s.revisions.push(revision("grey@3", RevisionState::OnTrial));
    let facts = facts(&s);
    let ids: Vec<&str> = facts.mixes.iter().map(|m| m.id.as_str()).collect();
    assert_eq!(ids, ["grey@2", "rapid@1"]);
    assert_eq!(facts.panels[0].mixes, ["grey@2", "rapid@1"]);
}

#[test]
fn an_older_revision_is_told_for_its_lots_only() {
    let mut s = snapshot();
    s.lots = vec![lot(1, grey(1), Stage::Drying, "2026-05-01", 2)];
    let facts = facts(&s);
    assert!(facts.mixes.iter().any(|m| m.id == "grey@1"));
    assert!(!facts.panels[0].mixes.contains(&"grey@1".to_owned()));
}

#[test]
fn what_cannot_be_weighed_or_has_no_room_is_told_at_once() {
    let mut s = snapshot();
    s.revisions[1].ingredients[2].kg_m3 = 2_600.0;
    s.revisions[2].ingredients[2].material = MaterialId::parse("mesh").unwrap();
    let faults = facts_from(&s, day(TODAY), false).unwrap_err();
    let pointers: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
    // Mesh has no relative density, and is counted by area.
    let mesh = "/revisions/rapid@1/ingredients/mesh";
    assert_eq!(pointers, ["/revisions/grey@2/foam", mesh, mesh]);
}

#[test]
fn holds_are_wanted_for_pourable_mixes_and_for_lots_in_their_moulds() {
    let mut s = snapshot();
    s.lots = vec![lot(1, grey(1), Stage::InMould, "2026-05-01", 2)];
    let wanted = holds_wanted(&s, day(TODAY));
    assert!(wanted[&grey(1)].contains(&day("2026-05-01")));
    assert!(wanted[&grey(2)].contains(&day("2026-09-01")));
    s.holds.remove(&grey(2));
    assert!(facts_from(&s, day(TODAY), false).unwrap_err()[0].detail.contains("hold in the mould"));
}

// --- panels, moulds, tanks, racks

#[test]
fn a_panel_is_told_with_its_litres_room_minutes_and_materials() {
    let expected = facts::Panel {
        id: "bed-side".into(),
        mould_group: "sides".into(),
        litres: 10.5,
        tank_mm: 50.0,
        rack_mm: 70.0,
        pour_minutes: 4.0,
        strip_minutes: 5.0,
        lift_minutes: 3.0,
        mixes: vec!["grey@2".into(), "rapid@1".into()],
        tanks: None,
        per_panel: BTreeMap::from([("mesh".into(), 240_000.0), ("oil".into(), 15.0)]),
        pass_rate: Some(0.95),
        keep_price: 0.0,
    };
    assert_eq!(facts(&snapshot()).panels, [expected]);
}

#[test]
fn a_panel_that_fits_some_tanks_names_them() {
    let mut s = snapshot();
    s.panels[0].tanks = vec![TankId::parse("north").unwrap()];
    assert_eq!(facts(&s).panels[0].tanks, Some(vec!["north".to_owned()]));
}

#[test]
fn moulds_tanks_and_racks_are_told_with_their_room() {
    let mut s = snapshot();
    let out = |from: &str, to: &str| OutOfService {
        from: day(from),
        to: day(to),
        moulds: 2,
        which: vec![],
        reason: "crack".into(),
    };
    s.mould_groups[0].out_of_service = vec![out("2026-04-01", "2026-04-30"), out("2026-05-01", "2026-05-10")];
    let facts = facts(&s);
    let still_out = facts::OutOfService { from: day("2026-05-01"), to: day("2026-05-10"), moulds: 2 };
    let group =
        facts::MouldGroup { id: "sides".into(), moulds: 6, turnaround_days: 0, out_of_service: vec![still_out] };
    assert_eq!(facts.mould_groups, [group]);
    assert_eq!(facts.tanks, [facts::Room { id: "north".into(), mm: 1_800.0 }]);
    assert_eq!(facts.racks, [facts::Room { id: "long".into(), mm: 3_000.0 }]);
}

// --- orders, stock, lots, pins, published

#[test]
fn sets_are_opened_up_and_priorities_weighed() {
    let mut s = snapshot();
    s.orders = vec![order("B", "2026-05-20", Item::Set(SetId::parse("bed").unwrap()), 2)];
    let line = facts::OrderLine { panel: "bed-side".into(), finish: "grey-smooth".into(), quantity: 8 };
    let expected = facts::Order { id: "B".into(), due_on: day("2026-05-20"), weight: 4.0, lines: vec![line] };
    assert_eq!(facts(&s).orders, [expected]);
    s.orders[0].state = OrderState::Withdrawn;
    assert_eq!(facts(&s).orders, []);
}

#[test]
fn lots_alike_are_put_together_and_ready_ones_are_stock() {
    let mut s = snapshot();
    s.lots = vec![
        lot(1, grey(2), Stage::InMould, "2026-05-01", 2),
        lot(2, grey(2), Stage::InMould, "2026-05-01", 1),
        lot(3, grey(2), Stage::Soaking, "2026-04-30", 4),
        lot(4, grey(1), Stage::Ready, "2026-04-01", 5),
        lot(5, grey(2), Stage::Ready, "2026-04-20", 1),
    ];
    let facts = facts(&s);
    let expected = [
        told(facts::Stage::InMould, "grey@2", "2026-05-01", 3),
        told(facts::Stage::Soaking, "grey@2", "2026-04-30", 4),
    ];
    assert_eq!(facts.lots, expected);
    let ready = facts::ReadyStock { panel: "bed-side".into(), finish: "grey-smooth".into(), quantity: 6 };
    assert_eq!(facts.ready_stock, [ready]);
}

#[test]
fn a_stage_recorded_before_the_issue_is_told_as_of_the_day_before() {
    let mut s = snapshot();
    s.lots = vec![lot(1, grey(2), Stage::Soaking, TODAY, 2)];
    assert_eq!(facts(&s).lots[0].since, day("2026-05-03"));
    assert_eq!(after_issue(&s).lots[0].since, day(TODAY));
}

#[test]
fn only_pins_inside_the_horizon_are_pinned() {
    let mut s = snapshot();
    let pin = |id, on: &str| Pin {
        id: PinId::new(id),
        day: day(on),
        panel: panel_id(),
        revision: grey(2),
        quantity: 3,
        reason: "promised by hand".into(),
    };
    s.pins = vec![pin(1, "2026-05-01"), pin(2, "2026-05-06"), pin(3, "2026-05-06")];
    let pour = facts::Pour { day: day("2026-05-06"), panel: "bed-side".into(), mix: "grey@2".into(), quantity: 6 };
    assert_eq!(facts(&s).pinned, [pour]);
    s.pins[1].day = day("2026-05-09");
    s.pins[2].revision = grey(1);
    let faults = facts_from(&s, day(TODAY), false).unwrap_err();
    assert!(faults[0].detail.contains("not a working day"), "{faults:?}");
    assert!(faults[1].detail.contains("newest revision"), "{faults:?}");
}

#[test]
fn the_plan_in_force_is_published_from_the_first_day_on() {
    let mut s = snapshot();
    let pour =
        |on: &str, mix: &str| facts::Pour { day: day(on), panel: "bed-side".into(), mix: mix.into(), quantity: 2 };
    let pours = vec![pour(TODAY, "grey@2"), pour("2026-05-05", "grey@2"), pour("2026-05-05", "gone@1")];
    s.in_force = Some(Plan { pours, ..Plan::default() });
    assert_eq!(facts(&s).published.len(), 2);
    assert_eq!(after_issue(&s).published, [pour("2026-05-05", "grey@2")]);
}

// --- today, projected as done

#[test]
fn open_tickets_leave_panels_in_their_moulds_since_today() {
    let mut s = snapshot();
    s.tickets = vec![ticket(TicketState::Issued)];
    assert_eq!(after_issue(&s).lots, [told(facts::Stage::InMould, "grey@2", TODAY, 3)]);
    // A lot recorded for the ticket already is not counted twice.
    let mut recorded = lot(9, grey(2), Stage::InMould, TODAY, 2);
    recorded.ticket = Some(s.tickets[0].number);
    s.lots = vec![recorded];
    assert_eq!(after_issue(&s).lots, [told(facts::Stage::InMould, "grey@2", TODAY, 3)]);
}

#[test]
fn tickets_of_earlier_days_that_nobody_reported_are_not_poured_again() {
    let mut s = snapshot();
    let mut forgotten = ticket(TicketState::Issued);
    forgotten.number.day = day("2026-05-01");
    s.tickets = vec![forgotten];
    for facts in [facts(&s), after_issue(&s)] {
        assert_eq!(facts.lots, [told(facts::Stage::InMould, "grey@2", "2026-05-01", 3)]);
        assert_eq!(facts.materials[0].on_hand, 100_000.0 - 9_920.0);
    }
}

#[test]
fn strips_and_lifts_of_today_are_projected_oldest_first() {
    let mut s = snapshot();
    s.issued_plan = Some(plan_of_today(3, 2));
    s.lots = vec![
        lot(1, grey(2), Stage::InMould, "2026-05-01", 2),
        lot(2, grey(2), Stage::InMould, "2026-04-30", 2),
        lot(3, grey(2), Stage::Soaking, "2026-04-29", 4),
        lot(4, grey(2), Stage::Soaking, "2026-05-01", 1),
    ];
    let expected = [
        told(facts::Stage::InMould, "grey@2", "2026-05-01", 1),
        told(facts::Stage::Soaking, "grey@2", "2026-04-29", 2),
        told(facts::Stage::Soaking, "grey@2", "2026-05-01", 1),
        told(facts::Stage::Soaking, "grey@2", TODAY, 3),
        told(facts::Stage::Drying, "grey@2", TODAY, 2),
    ];
    assert_eq!(after_issue(&s).lots, expected);
    assert_eq!(facts(&s).lots.iter().map(|l| l.quantity).sum::<i64>(), 9, "nothing is projected before the issue");
}

#[test]
fn moves_recorded_today_are_not_projected_again() {
    let mut s = snapshot();
    s.issued_plan = Some(plan_of_today(3, 2));
    s.moves = vec![moved(Stage::Soaking, 2), moved(Stage::Drying, 2)];
    s.lots = vec![
        lot(1, grey(2), Stage::InMould, "2026-05-01", 5),
        lot(2, grey(2), Stage::Soaking, TODAY, 2),
        lot(3, grey(2), Stage::Soaking, "2026-04-20", 3),
        lot(4, grey(2), Stage::Drying, TODAY, 2),
    ];
    let at = |stage, since: &str| -> i64 {
        let there = |l: &&facts::Lot| l.stage == stage && l.since == day(since);
        after_issue(&s).lots.iter().filter(there).map(|l| l.quantity).sum()
    };
    assert_eq!(at(facts::Stage::InMould, "2026-05-01"), 4);
    assert_eq!(at(facts::Stage::Soaking, TODAY), 3);
    assert_eq!(at(facts::Stage::Soaking, "2026-04-20"), 3);
    assert_eq!(at(facts::Stage::Drying, TODAY), 2);
}

#[test]
fn what_may_not_go_yet_is_projected_where_it_is() {
    let mut s = snapshot();
    s.issued_plan = Some(plan_of_today(2, 2));
    s.lots = vec![lot(1, grey(2), Stage::InMould, "2026-05-03", 2), lot(2, grey(2), Stage::Soaking, "2026-05-03", 2)];
    let stages: Vec<facts::Stage> = after_issue(&s).lots.iter().map(|l| l.stage).collect();
    assert_eq!(stages, [facts::Stage::InMould, facts::Stage::Soaking]);
}

// --- the whole

#[test]
fn policy_and_mixer_are_handed_on() {
    let facts = facts(&snapshot());
    assert_eq!(facts.mixer_batches, 6);
    let policy =
        facts::Policy { unmet_days: 90, steady_days: 5, late_price: 200.0, seconds: 20.0, threads: 2, seed: 7 };
    assert_eq!(facts.policy, policy);
}

#[test]
fn what_was_sent_out_is_not_wanted_again() {
    let mut snapshot = snapshot();
    let finish = FinishId::parse("grey-smooth").unwrap();
    snapshot.orders = vec![
        order("TH-1", "2026-06-01", Item::Panel(panel_id()), 6),
        order("TH-2", "2026-06-02", Item::Panel(panel_id()), 2),
    ];
    let sent = |id: &str| (OrderId::parse(id).unwrap(), panel_id(), finish.clone());
    snapshot.dispatched = BTreeMap::from([(sent("TH-1"), 4), (sent("TH-2"), 2)]);
    let facts = facts(&snapshot);
    assert_eq!(facts.orders.len(), 1, "an order whose panels are all sent is wanted again");
    assert_eq!((facts.orders[0].id.as_str(), facts.orders[0].lines[0].quantity), ("TH-1", 2));
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let mut s = snapshot();
    s.orders = ["A", "B", "C"].map(|id| order(id, "2026-06-01", Item::Panel(panel_id()), 2)).to_vec();
    s.lots = vec![lot(1, grey(2), Stage::InMould, "2026-05-01", 2), lot(2, grey(2), Stage::Soaking, "2026-04-30", 4)];
    s.materials.push(material("brackets", MaterialKind::Hardware, StockUnit::Piece, None));
    let before = facts(&s);
    s.orders.reverse();
    s.lots.reverse();
    s.materials.reverse();
    s.revisions.reverse();
    assert_eq!(facts(&s), before);
}

#[test]
fn upkeep_takes_its_minutes_off_the_labour_of_its_days() {
    let mut snapshot = snapshot();
    let task = |id: &str, every_days, minutes| UpkeepTask {
        id: UpkeepTaskId::parse(id).unwrap(),
        name: id.into(),
        place: Place::Workshop,
        every_days,
        first_on: day(TODAY),
        last_on: None,
        minutes: Minutes::new(minutes),
        measures: None,
        note: None,
    };
    assert!(facts(&snapshot).labour_minutes.on.is_empty());
    let usual = snapshot.workshop.labour_minutes.get() as f64;
    snapshot.upkeep = vec![task("turn", 2, 30), task("change-of-water", 7, usual as i64)];
    snapshot.calendar = vec![said("2026-05-06", DayWork::Usual, None, Some(100))];
    let on = |snapshot: &Snapshot, text: &str| facts(snapshot).labour_minutes.on.get(&day(text)).copied();
    assert_eq!(on(&snapshot, TODAY), Some(0.0), "never below nothing");
    assert_eq!(on(&snapshot, "2026-05-05"), None);
    assert_eq!(on(&snapshot, "2026-05-06"), Some(70.0), "off what the calendar says of the day");
    assert_eq!(on(&snapshot, "2026-05-08"), Some(usual - 30.0));
    snapshot.upkeep_done = [(UpkeepTaskId::parse("change-of-water").unwrap(), day("2026-05-01"))].into();
    assert_eq!(
        (on(&snapshot, TODAY), on(&snapshot, "2026-05-08")),
        (Some(usual - 30.0), Some(0.0)),
        "due a week after it was done"
    );
}

#[test]
fn panels_in_cold_water_are_told_with_the_day_they_may_be_lifted() {
    let mut snapshot = snapshot();
    snapshot.lots = vec![lot(1, grey(2), Stage::Soaking, "2026-05-01", 4)];
    assert_eq!(facts(&snapshot).lots, [told(facts::Stage::Soaking, "grey@2", "2026-05-01", 4)]);
    snapshot.water = [(TankId::parse("north").unwrap(), [(day("2026-05-01"), 10.0)].into())].into();
    // Five days in water of 10 °C are eleven.
    let cold =
        facts::Lot { soaked_on: Some(day("2026-05-12")), ..told(facts::Stage::Soaking, "grey@2", "2026-05-01", 4) };
    assert_eq!(facts(&snapshot).lots, std::slice::from_ref(&cold));
    // The sheet of the day of issue does not lift them before.
    snapshot.issued_plan = Some(Plan { strips: vec![], ..plan_of_today(0, 4) });
    assert_eq!(after_issue(&snapshot).lots, [cold]);
}
