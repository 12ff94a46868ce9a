//! Tickets: numbered once, on days that were issued, each gram drawn by exactly one of them.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;

use super::{Break, Records};
use crate::ids::{MaterialId, StockEntryId, TicketNumber};
use crate::stock::{EntryKind, StockEntry};
use crate::tickets::{Ticket, TicketState};

pub(super) fn breaks(records: &Records) -> Vec<Break> {
    let mut breaks = numbers(records);
    breaks.extend(days(records));
    breaks.extend(draws(records));
    breaks
}

/// No number twice, and none left out within a day.
fn numbers(records: &Records) -> Vec<Break> {
    let mut by_day: BTreeMap<Day, Vec<u32>> = BTreeMap::new();
    for ticket in &records.tickets {
        by_day.entry(ticket.number.day).or_default().push(ticket.number.sequence);
    }
    let mut breaks = Vec::new();
    for (day, mut sequence) in by_day {
        sequence.sort_unstable();
        let expected: Vec<u32> = (1..).take(sequence.len()).collect();
        if sequence != expected {
            let sentence = format!("its tickets are numbered {sequence:?}, not one after the other from 1");
            breaks.push(Break::of("ticket-numbers", day, sentence));
        }
    }
    breaks
}

/// Each ticket's day is issued, from the run the ticket names.
fn days(records: &Records) -> Vec<Break> {
    let issued: BTreeMap<Day, _> = records.issued_days.iter().copied().collect();
    let wrong = |ticket: &Ticket| {
        let sentence = match issued.get(&ticket.number.day) {
            Some(run) if *run == ticket.run => return None,
            Some(run) => format!("it comes from run {}, its day was issued from run {run}", ticket.run),
            None => "its day was never issued".to_owned(),
        };
        Some(Break::of("issued-days", ticket.number, sentence))
    };
    records.tickets.iter().filter_map(wrong).collect()
}

/// What a mixed ticket says it used is what the ledger says it drew; others have drawn nothing.
fn draws(records: &Records) -> Vec<Break> {
    let countered: BTreeSet<StockEntryId> = records.entries.iter().filter_map(|e| e.entry.counters).collect();
    let mut drawn: BTreeMap<(TicketNumber, &MaterialId), i64> = BTreeMap::new();
    let mut breaks = Vec::new();
    let known: BTreeSet<TicketNumber> = records.tickets.iter().map(|t| t.number).collect();
    let standing = |e: &&StockEntry| e.entry.kind == EntryKind::Drawn && !countered.contains(&e.id);
    for entry in records.entries.iter().filter(standing) {
        match entry.entry.ticket {
            Some(ticket) if known.contains(&ticket) => {
                *drawn.entry((ticket, &entry.entry.material)).or_default() -= entry.entry.amount.get();
            }
            Some(ticket) => {
                breaks.push(Break::of(
                    "draws",
                    entry.id,
                    format!("it was drawn by ticket {ticket}, which is not there"),
                ));
            }
            None if records.drawn_by_dispatch.contains_key(&entry.id) => {}
            None => breaks.push(Break::of("draws", entry.id, "it was drawn by no ticket and no dispatch")),
        }
    }
    for ticket in &records.tickets {
        let used = used_by(ticket);
        let materials: BTreeSet<&MaterialId> =
            used.keys().copied().chain(drawn.keys().filter(|(t, _)| *t == ticket.number).map(|(_, m)| *m)).collect();
        for material in materials {
            let says = used.get(material).copied().unwrap_or(0);
            let drew = drawn.get(&(ticket.number, material)).copied().unwrap_or(0);
            if says != drew {
                let sentence = format!("it used {says} of {material}, the ledger drew {drew} for it");
                breaks.push(Break::of("draws", ticket.number, sentence));
            }
        }
    }
    breaks
}

/// What a ticket's lines say was used, by material; nothing where it was not mixed.
fn used_by(ticket: &Ticket) -> BTreeMap<&MaterialId, i64> {
    let mut used = BTreeMap::new();
    if ticket.state == TicketState::Mixed {
        for line in ticket.lines.iter().filter(|l| l.counted) {
            *used.entry(&line.material).or_default() += line.actual.map_or(0, |a| a.get());
        }
    }
    used
}
