//! Moulds: none is given to two panels that are still to be poured, none is poured in twice on a day (a panel stays in its mould
//! overnight at least), and none is taken by a panel that has left it.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

use super::{Break, Records};
use crate::ids::{LotId, MouldGroupId, TicketNumber};
use crate::lots::Stage;
use crate::moulds::{MouldUse, UseState};
use crate::tickets::TicketState;

pub(super) fn breaks(records: &Records) -> Vec<Break> {
    let states: BTreeMap<TicketNumber, TicketState> = records.tickets.iter().map(|t| (t.number, t.state)).collect();
    let mut given: BTreeMap<(&MouldGroupId, i64), i64> = BTreeMap::new();
    let mut filled: BTreeMap<LotId, i64> = BTreeMap::new();
    let mut breaks = Vec::new();
    for one in &records.mould_uses {
        let place = || format!("{} {}", one.group, one.number);
        match one.state {
            UseState::Given if states.get(&one.ticket) != Some(&TicketState::Issued) => {
                breaks.push(Break::of(
                    "moulds",
                    place(),
                    format!("it waits for ticket {}, which is closed", one.ticket),
                ));
            }
            UseState::Filled => match one.lot {
                Some(lot) => *filled.entry(lot).or_default() += 1,
                None => breaks.push(Break::of("moulds", place(), "a panel of no lot stands in it")),
            },
            _ => {}
        }
        // A mould with a panel in it may be given already: the panel is stripped before the next is poured.
        if one.state == UseState::Given {
            *given.entry((&one.group, one.number)).or_default() += 1;
        }
    }
    let twice = given.into_iter().filter(|(_, times)| *times > 1);
    breaks.extend(twice.map(|((group, number), times)| {
        Break::of("moulds", format!("{group} {number}"), format!("it is given to {times} panels at once"))
    }));
    breaks.extend(twice_on_a_day(&records.mould_uses));
    let standing: BTreeMap<LotId, i64> = records
        .lots
        .iter()
        .filter(|begun| begun.lot.stage == Stage::InMould)
        .map(|begun| (begun.lot.id, begun.lot.quantity))
        .collect();
    let too_many = filled.into_iter().filter(|(lot, count)| standing.get(lot).is_none_or(|there| there < count));
    breaks.extend(too_many.map(|(lot, count)| {
        let there = standing.get(&lot).copied().unwrap_or(0);
        Break::of("moulds", lot, format!("{count} moulds are taken by it, and {there} of its panels stand in moulds"))
    }));
    breaks
}

fn twice_on_a_day(uses: &[MouldUse]) -> Vec<Break> {
    let mut poured: BTreeMap<(&MouldGroupId, i64, Day), i64> = BTreeMap::new();
    for one in uses.iter().filter(|one| one.state != UseState::NotUsed) {
        *poured.entry((&one.group, one.number, one.day)).or_default() += 1;
    }
    let twice = poured.into_iter().filter(|(_, times)| *times > 1);
    twice
        .map(|((group, number, day), times)| {
            Break::of("mould-days", format!("{group} {number}"), format!("{times} panels are poured in it on {day}"))
        })
        .collect()
}
