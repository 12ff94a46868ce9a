//! A ticket that finishes fewer panels than it was to is a reason to plan again.

#![allow(clippy::unwrap_used, reason = "only tests use it")]

use chrono::{DateTime, NaiveDate as Day};
use quantities::{Grams, Millilitres, Minutes};
use workshop::completion::{Completion, Given, Mixed, complete};
use workshop::ids::{MouldGroupId, PanelId, RevisionId, RunId, TicketNumber};
use workshop::off_plan::fewer_poured;
use workshop::tickets::{Fill, Ticket, TicketState};

fn ticket(sequence: u32, finished: i64, begun_ml: i64, state: TicketState) -> Ticket {
    Ticket {
        number: TicketNumber { day: Day::from_ymd_opt(2026, 5, 4).unwrap(), sequence },
        run: RunId::new(1),
        revision: RevisionId::parse("grey@1").unwrap(),
        batch: Millilitres::new(20_000),
        washout: Millilitres::ZERO,
        lines: vec![],
        foam: Millilitres::ZERO,
        foam_mass: Grams::ZERO,
        wet_density_kg_m3: 0.0,
        wet_density_low_kg_m3: 0.0,
        wet_density_high_kg_m3: 0.0,
        fills: vec![Fill {
            panel: PanelId::parse("side").unwrap(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished,
            begun: Millilitres::new(begun_ml),
            volume: Millilitres::new(20_000),
            moulds: vec![],
        }],
        labour: Minutes::new(30),
        cautions: vec![],
        state,
        issued_at: DateTime::UNIX_EPOCH,
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}

/// The second ticket, mixed after the first, which was to begin a panel of it.
fn second_after(first: TicketState) -> Mixed {
    let tickets = [ticket(1, 2, 5_000, first), ticket(2, 3, 0, TicketState::Issued)];
    let day = tickets[1].number.day;
    match complete(&tickets[1], &tickets, &Given::default(), DateTime::UNIX_EPOCH, day).unwrap() {
        Completion::New(mixed) => *mixed,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_ticket_that_finishes_fewer_panels_than_planned_matters() {
    assert_eq!(fewer_poured(&second_after(TicketState::Mixed)), None);
    let said = fewer_poured(&second_after(TicketState::Void));
    assert_eq!(said.as_deref(), Some("ticket 2026-05-04-02 finished 2 panels, where 3 were planned"));
}
