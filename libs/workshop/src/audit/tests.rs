//! A small sound workshop, and each way it can be spoilt.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use quantities::{Grams, Millilitres, Minutes, Pieces};

use super::*;
use crate::catalogue::Amount;
use crate::ids::*;
use crate::lots::{LossKind, Stage};
use crate::moulds::UseState;
use crate::orders::{Item, OrderLine, OrderState, Priority};
use crate::said::Said;
use crate::stock::{DeliveryState, EntryKind, NewStockEntry};
use crate::tickets::{Fill, LineKind, TicketLine, TicketState};

fn day() -> Day {
    "2026-05-04".parse().unwrap()
}

fn at() -> DateTime<Utc> {
    DateTime::UNIX_EPOCH
}

fn cement() -> MaterialId {
    MaterialId::parse("cement").unwrap()
}

fn panel() -> PanelId {
    PanelId::parse("side").unwrap()
}

/// A ticket that draws 100 of cement and finishes so many panels, leaving one begun where litres are given.
fn ticket(sequence: u32, state: TicketState, finished: i64, begun: i64) -> Ticket {
    let actual = (state == TicketState::Mixed).then_some(Amount::new(100));
    let line = TicketLine {
        position: 1,
        kind: LineKind::Ingredient,
        material: cement(),
        mass: Some(Grams::new(100)),
        target: Amount::new(100),
        actual,
        counted: true,
    };
    Ticket {
        number: TicketNumber { day: day(), sequence },
        run: RunId::new(1),
        revision: RevisionId::parse("grey@1").unwrap(),
        batch: Millilitres::new(20_000),
        washout: Millilitres::ZERO,
        lines: vec![line],
        foam: Millilitres::ZERO,
        foam_mass: Grams::ZERO,
        wet_density_kg_m3: 800.0,
        wet_density_low_kg_m3: 760.0,
        wet_density_high_kg_m3: 840.0,
        fills: vec![Fill {
            panel: panel(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished,
            begun: Millilitres::new(begun),
            volume: Millilitres::new(20_000),
            moulds: vec![],
        }],
        labour: Minutes::new(30),
        cautions: vec![],
        state,
        issued_at: at(),
        closed_at: (state != TicketState::Issued).then(at),
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}

fn entry(id: i64, kind: EntryKind, amount: i64, balance: i64) -> StockEntry {
    let entry = NewStockEntry {
        material: cement(),
        day: day(),
        kind,
        amount: Amount::new(amount),
        counted: None,
        ticket: None,
        delivery: None,
        counters: None,
        note: None,
    };
    StockEntry { id: StockEntryId::new(id), at: at(), entry, balance: Amount::new(balance), by: None }
}

fn lot(id: i64, quantity: i64, made: i64, stage: Stage, ticket: Option<u32>) -> Begun {
    let lot = Lot {
        id: LotId::new(id),
        panel: panel(),
        revision: RevisionId::parse("grey@1").unwrap(),
        finish: FinishId::parse("grey").unwrap(),
        poured_on: day(),
        ticket: ticket.map(|sequence| TicketNumber { day: day(), sequence }),
        stage,
        since: day(),
        quantity,
        tank: None,
        rack: None,
        row: None,
    };
    Begun { lot, made: Some(made) }
}

fn strap() -> MaterialId {
    MaterialId::parse("strap").unwrap()
}

/// One side and two straps.
fn edging() -> PanelSet {
    let id = SetId::parse("edging").unwrap();
    PanelSet { id, name: "Edging".to_owned(), panels: vec![(panel(), 1)], hardware: vec![(strap(), Pieces::new(2))] }
}

/// An order of one edging.
fn order() -> Order {
    Order {
        id: OrderId::parse("TH-1").unwrap(),
        customer: None,
        due_on: day(),
        promised_on: None,
        priority: Priority::Usual,
        state: OrderState::Dispatched,
        lines: vec![OrderLine { item: Item::Set(edging().id), finish: FinishId::parse("grey").unwrap(), quantity: 1 }],
        note: None,
        parts_agreed: false,
    }
}

/// Straps drawn with the order.
fn straps(id: i64, balance: i64) -> StockEntry {
    let mut drawn = entry(id, EntryKind::Drawn, -2, balance);
    drawn.entry.material = strap();
    drawn
}

/// Two mixed tickets sharing a panel, one open; five panels, two of them moved on, one scrapped; a delivery received; an order
/// sent out with its hardware.
fn sound() -> Records {
    let mut received = entry(1, EntryKind::Received, 1_000, 1_000);
    received.entry.delivery = Some(DeliveryId::new(1));
    let drawn = |id, balance, sequence| {
        let mut drawn = entry(id, EntryKind::Drawn, -100, balance);
        drawn.entry.ticket = Some(TicketNumber { day: day(), sequence });
        drawn
    };
    let step = LotMove {
        from: LotId::new(1),
        day: day(),
        to: Stage::Soaking,
        quantity: 2,
        tank: None,
        rack: None,
        row: None,
        said: Said::default(),
    };
    Records {
        issued_days: vec![(day(), RunId::new(1))],
        tickets: vec![
            ticket(1, TicketState::Mixed, 2, 5_000),
            ticket(2, TicketState::Mixed, 3, 0),
            ticket(3, TicketState::Issued, 3, 0),
        ],
        entries: vec![straps(9, -2), received, drawn(2, 900, 1), drawn(3, 800, 2)],
        balances: BTreeMap::from([(cement(), Amount::new(800)), (strap(), Amount::new(-2))]),
        drawn_by_dispatch: BTreeMap::from([(StockEntryId::new(9), 1)]),
        deliveries: vec![Delivery {
            id: DeliveryId::new(1),
            material: cement(),
            packs: 2,
            pack: Amount::new(500),
            expected_on: day(),
            state: DeliveryState::Here,
            arrived_on: Some(day()),
            received: Some(Amount::new(1_000)),
            rest_of: None,
            said: Default::default(),
        }],
        lots: vec![
            lot(1, 0, 2, Stage::InMould, Some(1)),
            lot(2, 2, 3, Stage::InMould, Some(2)),
            lot(3, 2, 2, Stage::Soaking, Some(1)),
            lot(4, 0, 1, Stage::Ready, None),
        ],
        moves: vec![(step, LotId::new(3))],
        joins: vec![],
        dispatches: vec![Dispatched { id: 1, lot: LotId::new(4), quantity: 1, day: day(), order: Some(order().id) }],
        losses: vec![loss(2, LossKind::Scrapped)],
        mould_uses: vec![
            in_mould(1, 2, UseState::Filled),
            in_mould(2, 2, UseState::Filled),
            in_mould(3, 2, UseState::Over),
        ],
        orders: vec![order()],
        unchanged_sets: BTreeMap::from([(edging().id, edging())]),
    }
}

fn in_mould(number: i64, lot: i64, state: UseState) -> MouldUse {
    MouldUse {
        group: MouldGroupId::parse("sides").unwrap(),
        number,
        day: day(),
        ticket: TicketNumber { day: day(), sequence: 2 },
        begun_by: None,
        panel: panel(),
        lot: Some(LotId::new(lot)),
        state,
    }
}

fn loss(lot: i64, kind: LossKind) -> LotLoss {
    LotLoss { lot: LotId::new(lot), day: day(), quantity: 1, kind, cause: None, note: None, said: Said::default() }
}

#[test]
fn a_sound_workshop_has_no_breaks() {
    assert_eq!(sweep(&sound()), []);
}

#[test]
fn each_way_of_spoiling_it_is_found_by_its_rule() {
    type Spoil = fn(&mut Records);
    let cases: [(&str, &str, Spoil); 28] = [
        ("a number twice", "ticket-numbers", |r| r.tickets[2].number.sequence = 2),
        ("a number left out", "ticket-numbers", |r| r.tickets[2].number.sequence = 4),
        ("a day never issued", "issued-days", |r| r.issued_days.clear()),
        ("a day issued from another run", "issued-days", |r| r.issued_days[0].1 = RunId::new(2)),
        ("a gram drawn twice", "draws", |r| r.entries.push(r.entries[2].clone())),
        ("a draw that is missing", "draws", |r| drop(r.entries.pop())),
        ("a draw for an open ticket", "draws", |r| r.tickets[1].state = TicketState::Issued),
        ("a draw for nobody", "draws", |r| r.entries[2].entry.ticket = None),
        ("a draw for a ticket that is not there", "draws", |r| drop(r.tickets.remove(1))),
        ("a running balance that is wrong", "running-balance", |r| r.entries[1].balance = Amount::new(901)),
        ("on hand that is wrong", "on-hand", |r| {
            r.balances.insert(cement(), Amount::new(801));
        }),
        ("a counter of too much", "counters", |r| {
            let mut counter = entry(4, EntryKind::Countered, 99, 899);
            counter.entry.counters = Some(StockEntryId::new(3));
            r.entries.push(counter);
        }),
        ("a delivery that brought less", "deliveries", |r| r.deliveries[0].received = Some(Amount::new(999))),
        ("a delivery received without one", "deliveries", |r| r.deliveries.clear()),
        ("a panel that vanished", "lots", |r| r.lots[1].lot.quantity = 1),
        ("a panel from nowhere", "lots", |r| r.lots[2].lot.quantity = 3),
        ("a move that brought another number", "moves", |r| {
            r.lots[2].made = Some(3);
            r.lots[2].lot.quantity = 3;
        }),
        ("lots put together to another number", "joins", |r| join(r, 3)),
        ("a lot that went into another and is there", "lots", |r| {
            join(r, 2);
            r.lots[2].lot.quantity = 2;
        }),
        ("a lot of an open ticket", "pours", |r| r.lots.push(lot(4, 3, 3, Stage::InMould, Some(3)))),
        ("a mould given to two panels", "moulds", |r| {
            let mut given = in_mould(5, 0, UseState::Given);
            given.ticket.sequence = 3;
            given.lot = None;
            r.mould_uses.extend([given.clone(), given]);
        }),
        ("a mould that waits for what is mixed", "moulds", |r| r.mould_uses[2].state = UseState::Given),
        ("a mould more than panels", "moulds", |r| r.mould_uses.push(in_mould(4, 2, UseState::Filled))),
        ("a mould poured in twice on a day", "mould-days", |r| r.mould_uses.push(in_mould(3, 2, UseState::Over))),
        ("a panel sent that nobody ordered", "sent", |r| {
            r.dispatches[0].quantity = 2;
            r.lots[3].made = Some(2);
        }),
        ("another panel than was ordered", "sent", |r| r.lots[3].lot.finish = FinishId::parse("white").unwrap()),
        ("hardware drawn twice", "hardware", |r| {
            r.entries.push(straps(10, -4));
            r.balances.insert(strap(), Amount::new(-4));
            r.drawn_by_dispatch.insert(StockEntryId::new(10), 1);
        }),
        ("a ticket that made too few", "pours", |r| {
            r.lots[1].made = Some(2);
            r.lots[1].lot.quantity = 1;
        }),
    ];
    for (what, rule, spoil) in cases {
        let mut records = sound();
        spoil(&mut records);
        let breaks = sweep(&records);
        assert!(breaks.iter().any(|b| b.rule == rule), "{what}: {breaks:?}");
        assert!(breaks.iter().all(|b| !b.sentence.is_empty() && !b.place.is_empty()), "{breaks:?}");
    }
}

/// The soaking lot goes into a new one, of so many panels.
fn join(records: &mut Records, together: i64) {
    let (from, into) = (LotId::new(3), LotId::new(5));
    records.lots[2].lot.quantity = 0;
    records.lots.push(lot(5, together, together, Stage::Soaking, Some(1)));
    records.joins.push(LotJoin { from, into, day: day(), quantity: 2, said: Said::default() });
}

#[test]
fn lots_put_together_are_neither_lost_nor_poured_anew() {
    let mut records = sound();
    join(&mut records, 2);
    assert_eq!(sweep(&records), []);
}

#[test]
fn an_order_of_a_set_that_was_made_otherwise_since_is_not_judged() {
    let mut records = sound();
    records.dispatches[0].quantity = 2;
    records.lots[3].made = Some(2);
    records.unchanged_sets.clear();
    assert_eq!(sweep(&records), []);
}

#[test]
fn hardware_drawn_in_error_and_countered_may_be_drawn_again() {
    let mut records = sound();
    let mut counter = straps(10, 0);
    (counter.entry.kind, counter.entry.amount) = (EntryKind::Countered, Amount::new(2));
    counter.entry.counters = Some(StockEntryId::new(9));
    records.entries.extend([counter, straps(11, -2)]);
    records.drawn_by_dispatch.insert(StockEntryId::new(11), 1);
    assert_eq!(sweep(&records), []);
}

#[test]
fn a_counter_is_counted_once() {
    let mut records = sound();
    for id in [4, 5] {
        let mut counter = entry(id, EntryKind::Countered, 100, 800 + 100 * (id - 3));
        counter.entry.counters = Some(StockEntryId::new(3));
        counter.entry.ticket = Some(TicketNumber { day: day(), sequence: 2 });
        records.entries.push(counter);
    }
    records.balances.insert(cement(), Amount::new(1_000));
    assert!(sweep(&records).contains(&Break::of("counters", 3, "it is countered twice")));
}

#[test]
fn a_panel_whose_beginning_was_voided_is_not_whole() {
    let mut records = sound();
    // The first ticket is void: its draw is countered, its panels never stood, and the second ticket's first panel is not whole.
    records.tickets[0] = ticket(1, TicketState::Void, 2, 5_000);
    let mut counter = entry(4, EntryKind::Countered, 100, 900);
    counter.entry.counters = Some(StockEntryId::new(2));
    records.entries.push(counter);
    records.balances.insert(cement(), Amount::new(900));
    records.lots.retain(|b| b.lot.ticket.is_some_and(|t| t.sequence == 2));
    records.moves.clear();
    let breaks = sweep(&records);
    assert_eq!(breaks.iter().map(|b| b.rule).collect::<Vec<_>>(), ["pours"], "{breaks:?}");
    records.losses.push(loss(2, LossKind::NotWhole));
    records.mould_uses[0].state = UseState::NotUsed;
    records.lots[0].lot.quantity -= 1;
    assert_eq!(sweep(&records), []);
}
