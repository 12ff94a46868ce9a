//! The checks of nouns: all faults at once, pointing at their places.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on may panic")]

use std::collections::BTreeSet;

use chrono::NaiveDate as Day;
use quantities::{Millilitres, Millimetres, MinorUnits, Minutes};
use workshop::Fault;
use workshop::catalogue::*;
use workshop::checks::order::{Range, past_due, range_faults};
use workshop::checks::{lots, material, mix, panel, stock};
use workshop::ids::*;
use workshop::lots::{Lot, LotMove, Stage};
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};
use workshop::said::Said;
use workshop::stock::{EntryKind, NewStockEntry};

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

fn pointers(faults: &[Fault]) -> Vec<&str> {
    faults.iter().map(|fault| fault.pointer.as_str()).collect()
}

fn cement() -> Material {
    Material {
        id: MaterialId::parse("cement").unwrap(),
        name: "Cement".into(),
        kind: MaterialKind::PortlandCement,
        unit: StockUnit::Gram,
        relative_density: Some(3.15),
        supply: Supply::Bought,
        floor: Amount::ZERO,
        pack: Amount::new(25_000),
        pack_price: MinorUnits::new(500),
        lead_days: 3,
        delivery_charge: MinorUnits::ZERO,
        store_max: None,
        price_breaks: Vec::new(),
        keep_days: None,
    }
}

fn side() -> Panel {
    Panel {
        id: PanelId::parse("side").unwrap(),
        name: "Side".into(),
        length: Millimetres::new(900),
        height: Millimetres::new(300),
        thickness: Millimetres::new(40),
        voids: Millilitres::ZERO,
        mould_group: MouldGroupId::parse("sides").unwrap(),
        pour_minutes: Minutes::new(6),
        strip_minutes: Minutes::new(5),
        lift_minutes: Minutes::new(3),
        suits: vec![Suit { revision: RevisionId::parse("plain@1").unwrap(), reason: "trial".into() }],
        tanks: Vec::new(),
        per_panel: Vec::new(),
        pass_rate: None,
    }
}

fn revision(state: RevisionState) -> MixRevision {
    MixRevision {
        id: RevisionId::parse("plain@1").unwrap(),
        state,
        reason: Some("trial".into()),
        ingredients: vec![Ingredient { material: MaterialId::parse("cement").unwrap(), kg_m3: 350.0 }],
        foam: None,
        wet_density_kg_m3: 2250.0,
        wet_density_low_kg_m3: 2200.0,
        wet_density_high_kg_m3: 2300.0,
        air_percent: 2.0,
        hold_hours_at_20c: 20.0,
        soak_days: 7,
        dry_days: 7,
        batch_min: Millilitres::new(10_000),
        batch_max: Millilitres::new(60_000),
        batch_minutes: Minutes::new(25),
        washout: Millilitres::new(1_000),
        washout_minutes: Minutes::new(20),
        least_air_c: None,
    }
}

fn order(finish: &str) -> Order {
    let line = OrderLine {
        item: Item::Panel(PanelId::parse("side").unwrap()),
        finish: FinishId::parse(finish).unwrap(),
        quantity: 2,
    };
    Order {
        id: OrderId::parse("TH-1").unwrap(),
        customer: None,
        due_on: day("2026-06-01"),
        promised_on: None,
        priority: Priority::Usual,
        state: OrderState::Open,
        lines: vec![line],
        note: None,
        parts_agreed: false,
    }
}

fn range(state: RevisionState) -> Range {
    let plain =
        Mix { id: MixId::parse("plain").unwrap(), name: "Plain".into(), finish: FinishId::parse("grey").unwrap() };
    let finishes: BTreeSet<FinishId> = ["grey", "slate"].map(|f| FinishId::parse(f).unwrap()).into();
    Range::new(Vec::new(), &[side()], &[plain], &[revision(state)], finishes)
}

#[test]
fn sound_nouns_have_no_faults() {
    assert_eq!(material::faults(&cement()), []);
    assert_eq!(panel::faults(&side()), []);
    assert_eq!(mix::revision_faults(&revision(RevisionState::InUse)), []);
    assert_eq!(range_faults(&order("grey").lines, &range(RevisionState::InUse)), []);
}

#[test]
fn a_finish_is_possible_only_by_a_mix_in_use() {
    let cases = [
        ("slate", RevisionState::InUse, "no mix in use gives 'slate' for the panel 'side'; possible: grey"),
        ("grey", RevisionState::Retired, "no finish is possible for it"),
        ("pink", RevisionState::InUse, "there is no finish 'pink'; there are grey, slate"),
    ];
    for (finish, state, said) in cases {
        let faults = range_faults(&order(finish).lines, &range(state));
        assert_eq!(pointers(&faults), ["/lines/0/finish"]);
        assert!(faults[0].detail.contains(said), "{faults:?}");
    }
}

#[test]
fn only_open_orders_are_past_due() {
    let mut one = order("grey");
    assert_eq!(past_due(&one, day("2026-06-01")), None);
    assert!(past_due(&one, day("2026-06-02")).is_some());
    one.state = OrderState::Dispatched;
    assert_eq!(past_due(&one, day("2026-06-02")), None);
}

#[test]
fn all_faults_of_a_noun_come_at_once() {
    let mut wrong = cement();
    wrong.name = String::new();
    wrong.relative_density = Some(f64::NAN);
    wrong.pack = Amount::ZERO;
    wrong.lead_days = -1;
    assert_eq!(pointers(&material::faults(&wrong)), ["/name", "/relative_density", "/pack", "/lead_days"]);
    let mut hollow = side();
    hollow.voids = hollow.concrete();
    hollow.pass_rate = Some(1.5);
    assert_eq!(pointers(&panel::faults(&hollow)), ["/voids_ml", "/pass_rate"]);
    let mut mixed = revision(RevisionState::InUse);
    mixed.reason = Some(" ".into());
    mixed.wet_density_high_kg_m3 = 2000.0;
    mixed.batch_min = Millilitres::new(70_000);
    assert_eq!(pointers(&mix::revision_faults(&mixed)), ["/reason", "/wet_density_high_kg_m3", "/batch_max_ml"]);
}

#[test]
fn panels_move_one_stage_at_a_time_and_not_before_they_came() {
    let lot = Lot {
        id: LotId::new(1),
        panel: PanelId::parse("side").unwrap(),
        revision: RevisionId::parse("plain@1").unwrap(),
        finish: FinishId::parse("grey").unwrap(),
        poured_on: day("2026-05-01"),
        ticket: None,
        stage: Stage::InMould,
        since: day("2026-05-01"),
        quantity: 4,
        tank: None,
        rack: None,
        row: None,
    };
    let tank = TankId::parse("north").unwrap();
    let step = LotMove {
        from: lot.id,
        day: day("2026-05-02"),
        to: Stage::Soaking,
        quantity: 4,
        tank: Some(tank),
        rack: None,
        row: None,
        said: Said::default(),
    };
    let today = day("2026-05-04");
    assert_eq!(lots::move_faults(&step, &lot, today), []);
    let wrong = LotMove { to: Stage::Ready, quantity: 5, day: day("2026-04-30"), ..step.clone() };
    assert_eq!(pointers(&lots::move_faults(&wrong, &lot, today)), ["/quantity", "/to", "/day", "/tank"]);
    assert_eq!(pointers(&lots::dispatch_faults(&lot, 1, today, today)), [""]);
    let ready = Lot { stage: Stage::Ready, ..lot };
    assert_eq!(lots::dispatch_faults(&ready, 4, today, today), []);
    assert_eq!(pointers(&lots::move_faults(&step, &ready, today)), ["/to"]);
}

#[test]
fn what_comes_in_is_above_nothing_and_what_goes_out_below() {
    let entry = |kind, amount| NewStockEntry {
        material: MaterialId::parse("cement").unwrap(),
        day: day("2026-05-04"),
        kind,
        amount: Amount::new(amount),
        counted: None,
        ticket: None,
        delivery: None,
        counters: None,
        note: None,
    };
    let cases: [(EntryKind, i64, &[&str]); 6] = [
        (EntryKind::Received, 1, &[]),
        (EntryKind::Received, 0, &["/amount"]),
        (EntryKind::WrittenOff, -1, &[]),
        (EntryKind::WrittenOff, 1, &["/amount"]),
        (EntryKind::Adjusted, 1, &["/note"]),
        (EntryKind::Adjusted, 0, &["/amount", "/note"]),
    ];
    for (kind, amount, expected) in cases {
        let faults = stock::entry_faults(&entry(kind, amount), Some(&cement()), day("2026-05-04"));
        assert_eq!(pointers(&faults), expected, "{kind:?} {amount}");
    }
    let early = stock::entry_faults(&entry(EntryKind::Received, 1), None, day("2026-05-03"));
    assert_eq!(pointers(&early), ["/day"]);
}
