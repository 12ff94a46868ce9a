//! Completions and voidings of one ticket of three lines that finishes two panels and begins a third.

use quantities::{Grams, Millilitres, Minutes};

use super::*;
use crate::ids::*;
use crate::tickets::{Fill, LineKind, TicketLine};

fn day() -> Day {
    "2026-05-04".parse().unwrap()
}

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(second, 0).unwrap()
}

fn ticket() -> Ticket {
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
        number: TicketNumber { day: day(), sequence: 2 },
        run: RunId::new(1),
        revision: RevisionId::parse("grey@2").unwrap(),
        batch: Millilitres::new(27_000),
        washout: Millilitres::ZERO,
        lines: vec![line(1, "water", 5_400, false), line(2, "cement", 8_500, true), line(3, "sand", 7_000, true)],
        foam: Millilitres::ZERO,
        foam_mass: Grams::ZERO,
        wet_density_kg_m3: 810.0,
        wet_density_low_kg_m3: 770.0,
        wet_density_high_kg_m3: 850.0,
        fills: vec![Fill {
            panel: PanelId::parse("side").unwrap(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished: 2,
            begun: Millilitres::new(3_000),
            volume: Millilitres::new(27_000),
            moulds: vec![],
        }],
        labour: Minutes::new(30),
        cautions: vec![],
        state: TicketState::Issued,
        issued_at: at(0),
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}

fn given(actual: &[(i64, i64)]) -> Given {
    Given { actual: actual.iter().map(|(p, a)| (*p, Amount::new(*a))).collect(), ..Given::default() }
}

fn mixed(ticket: &Ticket, given: &Given) -> Mixed {
    match complete(ticket, std::slice::from_ref(ticket), given, at(60), day()).unwrap() {
        Completion::New(mixed) => *mixed,
        other => panic!("{other:?}"),
    }
}

fn entries(draws: &[NewStockEntry]) -> Vec<StockEntry> {
    let entry = |(id, new): (i64, &NewStockEntry)| StockEntry {
        id: StockEntryId::new(id),
        at: at(60),
        entry: new.clone(),
        balance: Amount::ZERO,
        by: None,
    };
    (1..).zip(draws).map(entry).collect()
}

fn lots(made: &[NewLot]) -> Vec<Lot> {
    let lot = |(id, l): (i64, &NewLot)| Lot {
        id: LotId::new(id),
        panel: l.panel.clone(),
        revision: l.revision.clone(),
        finish: FinishId::parse("grey-smooth").unwrap(),
        poured_on: l.poured_on,
        ticket: l.ticket,
        stage: l.stage,
        since: l.since,
        quantity: l.quantity,
        tank: None,
        rack: None,
        row: None,
    };
    (1..).zip(made).map(lot).collect()
}

#[test]
fn lines_not_named_used_their_target() {
    let mixed = mixed(&ticket(), &given(&[(2, 8_650)]));
    let drawn: Vec<(&str, i64)> = mixed.draws.iter().map(|d| (d.material.as_str(), d.amount.get())).collect();
    assert_eq!(drawn, [("cement", -8_650), ("sand", -7_000)], "water from the main is not drawn");
    assert!(mixed.draws.iter().all(|d| d.ticket == Some(ticket().number) && d.kind == EntryKind::Drawn));
    let actual: Vec<Option<i64>> = mixed.ticket.lines.iter().map(|l| l.actual.map(Amount::get)).collect();
    assert_eq!(actual, [Some(5_400), Some(8_650), Some(7_000)]);
    assert_eq!((mixed.ticket.state, mixed.ticket.closed_at), (TicketState::Mixed, Some(at(60))));
}

#[test]
fn a_line_that_used_nothing_draws_nothing() {
    let mixed = mixed(&ticket(), &given(&[(3, 0)]));
    assert_eq!(mixed.draws.len(), 1);
}

#[test]
fn finished_panels_are_in_their_moulds_since_the_tickets_day() {
    let made = mixed(&ticket(), &given(&[])).lots;
    assert_eq!(made.len(), 1);
    assert_eq!((made[0].quantity, made[0].stage, made[0].since), (2, Stage::InMould, day()));
    let mut only_begun = ticket();
    only_begun.fills[0].finished = 0;
    assert_eq!(mixed(&only_begun, &given(&[])).lots, []);
}

#[test]
fn a_density_outside_the_limits_is_warned_of_and_one_inside_is_not() {
    let with = |density| Given { measured_wet_density_kg_m3: Some(density), ..Given::default() };
    assert_eq!(mixed(&ticket(), &with(850.0)).warnings, [] as [String; 0]);
    assert!(mixed(&ticket(), &with(850.5)).warnings[0].contains("outside 770 to 850"));
}

#[test]
fn the_same_again_is_the_same_completion_and_anything_else_is_not() {
    let done = mixed(&ticket(), &given(&[(2, 8_650)])).ticket;
    let again = |g: &Given| complete(&done, &[], g, at(999), day()).unwrap();
    assert_eq!(again(&given(&[(2, 8_650)])), Completion::SameAgain(vec![]));
    assert_eq!(again(&given(&[(2, 8_650), (3, 7_000)])), Completion::SameAgain(vec![]), "the target, said aloud");
    let others = [
        given(&[]),
        Given { note: Some("stirred".into()), ..given(&[(2, 8_650)]) },
        Given { measured_wet_density_kg_m3: Some(800.0), ..given(&[(2, 8_650)]) },
        Given { mixing: Mixing { mix_c: Some(18.0), ..Mixing::default() }, ..given(&[(2, 8_650)]) },
    ];
    for other in others {
        assert!(matches!(again(&other), Completion::NotNow(_)), "{other:?}");
    }
}

#[test]
fn faults_are_told_all_at_once() {
    let wrong = Given { measured_wet_density_kg_m3: Some(9.0), ..given(&[(2, -1), (7, 5)]) };
    let faults = complete(&ticket(), &[], &wrong, at(0), day()).unwrap_err();
    let pointers: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
    assert_eq!(pointers, ["/lines/2", "/lines/7", "/measured_wet_density_kg_m3"]);
}

#[test]
fn what_is_noted_at_the_mixer_is_kept_checked_and_answered() {
    let noted = Mixing {
        air_c: Some(9.0),
        mix_c: Some(11.5),
        water_added: Some(Millilitres::new(300)),
        left_over: Some(Millilitres::new(2_000)),
        left_over_to: Some("two paving stones".into()),
        began_at: Some(at(10)),
        ended_at: Some(at(40)),
        by: None,
    };
    let done = mixed(&ticket(), &Given { mixing: noted.clone(), ..Given::default() });
    assert_eq!(done.ticket.mixing, noted);
    assert!(done.warnings[0].contains("11.5 °C, below 13 °C"), "{:?}", done.warnings);
    assert!(done.warnings[1].contains("0.3 L of water"), "{:?}", done.warnings);
    let mut kept = done.ticket.clone();
    kept.mixing.by = Some("bench".into());
    let again = complete(&kept, &[], &Given { mixing: noted.clone(), ..Given::default() }, at(60), day()).unwrap();
    assert_eq!(again, Completion::SameAgain(done.warnings), "whoever says it again, and what is to be known again");
    let wrong = Mixing {
        air_c: Some(-60.0),
        mix_c: Some(f64::NAN),
        left_over: Some(Millilitres::new(-1)),
        began_at: Some(at(61)),
        ended_at: Some(at(50)),
        ..noted
    };
    let faults = complete(&ticket(), &[], &Given { mixing: wrong, ..Given::default() }, at(60), day()).unwrap_err();
    let pointers: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
    assert_eq!(pointers, ["/air_c", "/mix_c", "/left_over_ml", "/left_over_ml", "/began_at", "/ended_at"]);
    let untold = Mixing { left_over: Some(Millilitres::new(5)), ..Mixing::default() };
    let faults = complete(&ticket(), &[], &Given { mixing: untold, ..Given::default() }, at(60), day()).unwrap_err();
    assert_eq!(faults[0].pointer, "/left_over_to");
}

#[test]
fn voiding_an_issued_ticket_only_closes_it() {
    let Voiding::New(voided) = void(&ticket(), &[], &[], &[], "rain", at(9), day()) else { panic!() };
    assert_eq!((voided.ticket.state, voided.ticket.note.as_deref()), (TicketState::Void, Some("rain")));
    assert!(voided.counters.is_empty() && voided.lots.is_empty());
    assert_eq!(void(&voided.ticket, &[], &[], &[], "rain", at(9), day()), Voiding::SameAgain);
    let completed = complete(&voided.ticket, &[], &given(&[]), at(9), day()).unwrap();
    assert!(matches!(completed, Completion::NotNow(_)));
}

#[test]
fn voiding_a_mixed_ticket_counters_its_draws_and_takes_its_lots_back() {
    let mixed = mixed(&ticket(), &given(&[]));
    let (entries, lots) = (entries(&mixed.draws), lots(&mixed.lots));
    let Voiding::New(voided) = void(&mixed.ticket, &[], &entries, &lots, "lumps", at(99), day()) else { panic!() };
    let countered: Vec<_> = voided.counters.iter().map(|c| (c.counters, c.amount.get(), c.kind)).collect();
    let expected = [
        (Some(StockEntryId::new(1)), 8_500, EntryKind::Countered),
        (Some(StockEntryId::new(2)), 7_000, EntryKind::Countered),
    ];
    assert_eq!(countered, expected);
    assert_eq!(voided.lots, lots);
    // Countered already, by hand: not again.
    let mut all = entries.clone();
    all.push(StockEntry { id: StockEntryId::new(9), entry: voided.counters[0].clone(), ..entries[0].clone() });
    let Voiding::New(rest) = void(&mixed.ticket, &[], &all, &lots, "lumps", at(99), day()) else { panic!() };
    assert_eq!(rest.counters.len(), 1);
}

#[test]
fn panels_that_have_gone_on_keep_their_ticket() {
    let mixed = mixed(&ticket(), &given(&[]));
    let mut moved = lots(&mixed.lots);
    moved[0].quantity = 1;
    moved.push(Lot { id: LotId::new(2), stage: Stage::Soaking, ..moved[0].clone() });
    let answer = void(&mixed.ticket, &[], &entries(&mixed.draws), &moved, "lumps", at(99), day());
    let Voiding::NotNow(why) = answer else { panic!("{answer:?}") };
    assert!(why.contains("poured 2 panels, of which 1"), "{why}");
}

/// The ticket before: it finishes nothing and begins the panel that [`ticket`] finishes first.
fn beginner(state: TicketState) -> Ticket {
    let mut before = Ticket { number: TicketNumber { day: day(), sequence: 1 }, state, ..ticket() };
    before.fills[0].finished = 0;
    before
}

#[test]
fn a_panel_whose_first_batch_was_void_is_not_whole() {
    let day_of = [beginner(TicketState::Void), ticket()];
    let completed = complete(&ticket(), &day_of, &given(&[]), at(60), day()).unwrap();
    let Completion::New(mixed) = completed else { panic!("{completed:?}") };
    assert_eq!(mixed.lots[0].quantity, 1);
    assert!(mixed.warnings[0].contains("2026-05-04-01 was to begin"), "{:?}", mixed.warnings);
    // Voided later, it takes back just what it made.
    let lots = lots(&mixed.lots);
    let voided = void(&mixed.ticket, &day_of, &entries(&mixed.draws), &lots, "lumps", at(99), day());
    assert!(matches!(voided, Voiding::New(_)), "{voided:?}");
}

#[test]
fn voiding_the_first_batch_of_a_panel_takes_it_off_the_lot_of_the_second() {
    let done = mixed(&ticket(), &given(&[]));
    let (first, made) = (beginner(TicketState::Mixed), lots(&done.lots));
    let tickets = [first.clone(), done.ticket.clone()];
    let Voiding::New(voided) = void(&first, &tickets, &[], &made, "lumps", at(99), day()) else { panic!() };
    assert_eq!(voided.not_whole, made);
    assert!(voided.lots.is_empty());
    // Gone on: it stays as it was.
    let moved = vec![Lot { stage: Stage::Soaking, ..made[0].clone() }];
    let Voiding::NotNow(why) = void(&first, &tickets, &[], &moved, "lumps", at(99), day()) else { panic!() };
    assert!(why.contains("2026-05-04-02 finished"), "{why}");
    // Of three batches of one panel, the second that is void costs no second panel.
    let middle = Ticket { number: TicketNumber { day: day(), sequence: 1 }, ..beginner(TicketState::Void) };
    let earliest = Ticket { number: TicketNumber { day: day(), sequence: 0 }, ..beginner(TicketState::Mixed) };
    let three = [earliest.clone(), middle, done.ticket.clone()];
    let Voiding::New(voided) = void(&earliest, &three, &[], &made, "lumps", at(99), day()) else { panic!() };
    assert!(voided.not_whole.is_empty());
}
